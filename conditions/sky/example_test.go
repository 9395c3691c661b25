package sky

import (
	"fmt"
	"time"

	"ledgehand/conditions/measure"
)

// Meeus, example 25.a: the sun on 13 October 1992 at 0h dynamical time.
func Example_sunOfExample25a() {
	s := sunAt(2448908.5)
	fmt.Printf("right ascension %.4f h, declination %.4f, %.5f au\n", s.ra.Hour(), s.dec.Deg(), s.km/auKm)
	// Output: right ascension 13.2254 h, declination -7.7851, 0.99766 au
}

// Meeus, example 47.a: the moon on 12 April 1992 at 0h dynamical time.
func Example_moonOfExample47a() {
	m := moonAt(2448724.5)
	fmt.Printf("right ascension %.4f, declination %.4f, %.1f km\n", m.ra.Deg(), m.dec.Deg(), m.km)
	// Output: right ascension 134.6885, declination 13.7684, 368409.7 km
}

// Meeus, example 48.a: the lit part of the moon at the same instant.
func Example_litOfExample48a() {
	fmt.Printf("%.4f\n", litAt(2448724.5))
	// Output: 0.6786
}

// Meeus, example 49.a: the new moon of February 1977, 3h 37m 42s dynamical time, which was then 48 s ahead.
func ExamplePhases() {
	q, err := Phases(time.Date(1977, 2, 16, 0, 0, 0, 0, time.UTC), time.Date(1977, 2, 20, 0, 0, 0, 0, time.UTC))
	if err != nil {
		fmt.Println(err)
		return
	}
	at := q[0].At
	fmt.Println(q[0].Phase.Words(), at.Add(48*time.Second).Format("2006-01-02 15:04"))
	// Output: new 1977-02-18 03:37
}

// Melbourne on 20 March 2026 by UTC, as the US Naval Observatory has it: by that clock the sun sets in
// the morning and rises in the evening.
func ExampleDayAt() {
	day, err := DayAt(measure.Position{Lat: -37.814, Lon: 144.96332}, Date{2026, time.March, 20}, time.UTC)
	if err != nil {
		fmt.Println(err)
		return
	}
	clock := func(e Event) string {
		if !e.OK {
			return "none"
		}
		return e.At.Round(time.Minute).In(day.From.Location()).Format("15:04")
	}
	fmt.Println("first light", clock(day.CivilDawn), "sunrise", clock(day.Sunrise))
	fmt.Println("sunset", clock(day.Sunset), "last light", clock(day.CivilDusk))
	fmt.Println("moon:", day.MoonPhase.Words(), "up", clock(day.Moonrise), "down", clock(day.Moonset))
	// Output:
	// first light 19:57 sunrise 20:24
	// sunset 08:32 last light 08:58
	// moon: waxing crescent up 22:37 down 08:55
}

// The same evening for somebody half an hour's walk from the car, asked in the Melbourne afternoon.
func ExampleWalkOut() {
	at := time.Date(2026, 3, 20, 4, 0, 0, 0, time.UTC)
	by, err := WalkOut(measure.Position{Lat: -37.814, Lon: 144.96332}, at, 30*time.Minute)
	if err != nil {
		fmt.Println(err)
		return
	}
	melbourne := time.FixedZone("AEDT", 11*3600)
	if by.BeforeSunset.OK {
		fmt.Println("leave by", by.BeforeSunset.At.In(melbourne).Format("15:04"), "to walk out in daylight")
	}
	if by.BeforeDark.OK {
		fmt.Println("by", by.BeforeDark.At.In(melbourne).Format("15:04"), "at the latest before it is dark")
	}
	// Output:
	// leave by 19:02 to walk out in daylight
	// by 19:28 at the latest before it is dark
}

// US Naval Observatory, Melbourne on 21 June 2026 by UTC: the moon is up from 01:52 to 14:05, not yet half lit.
func ExampleMoonUp() {
	p := measure.Position{Lat: -37.814, Lon: 144.96332}
	from := time.Date(2026, 6, 21, 0, 0, 0, 0, time.UTC)
	spans, err := MoonUp(p, from, from.Add(24*time.Hour))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range spans {
		light, err := MoonlightAt(p, s.From)
		fmt.Println(s.From.Round(time.Minute).Format("15:04"), "to", s.To.Round(time.Minute).Format("15:04"), light, err)
	}
	// Output: 01:52 to 14:05 faint <nil>
}
