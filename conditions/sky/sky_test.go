package sky

import (
	"errors"
	"math"
	"testing"
	"time"
	_ "time/tzdata" // the same zones on every machine

	"ledgehand/conditions/measure"
)

func zone(t testing.TB, name string) *time.Location {
	t.Helper()
	loc, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return loc
}

func TestCivilDays(t *testing.T) {
	for _, tt := range []struct {
		name, zone string
		d          Date
		from       string
		hours      float64
	}{
		{"Plain", "Europe/London", Date{2026, 1, 15}, "2026-01-15T00:00:00Z", 24},
		{"ClocksForward", "Europe/London", Date{2026, 3, 29}, "2026-03-29T00:00:00Z", 23},
		{"ClocksBack", "Europe/London", Date{2026, 10, 25}, "2026-10-24T23:00:00Z", 25},
		{"HalfHourZone", "Australia/Lord_Howe", Date{2026, 4, 5}, "2026-04-04T13:00:00Z", 24.5},
		// Chile changes at midnight: that day begins at 01:00, and time.ParseInLocation would land on the day before or after.
		{"MidnightJumpedOver", "America/Santiago", Date{2022, 9, 11}, "2022-09-11T04:00:00Z", 23},
		{"MidnightTwice", "America/Havana", Date{2026, 11, 1}, "2026-11-01T04:00:00Z", 25},
	} {
		t.Run(tt.name, func(t *testing.T) {
			day, err := DayAt(measure.Position{Lat: -33, Lon: 151}, tt.d, zone(t, tt.zone))
			if err != nil {
				t.Fatal(err)
			}
			if want := utc(t, tt.from); !day.From.Equal(want) {
				t.Errorf("From = %v, want %v", day.From.UTC(), want)
			}
			near(t, "hours", day.To.Sub(day.From).Hours(), tt.hours, 0)
		})
	}
	t.Run("DaysTileAYear", func(t *testing.T) {
		for _, name := range []string{"America/Santiago", "America/Havana", "Australia/Sydney", "Africa/Cairo"} {
			loc, d := zone(t, name), Date{2026, 1, 1}
			end := d.start(loc)
			for range 366 {
				from, to, err := d.bounds(loc)
				if err != nil || !from.Equal(end) {
					t.Fatalf("%s in %s begins %v (%v), want %v", d, name, from, err, end)
				}
				end, d = to, d.next()
			}
		}
	})
}

func TestRefusals(t *testing.T) {
	here := measure.Position{Lat: -33, Lon: 151}
	bad := measure.Position{Lat: 91}
	day := Date{2026, 7, 1}
	noon := time.Date(2026, 7, 1, 12, 0, 0, 0, time.UTC)
	early := time.Date(1899, 12, 31, 0, 0, 0, 0, time.UTC)
	var year *YearError
	for name, try := range map[string]func() error{
		"DayAtBadPosition":   func() error { _, err := DayAt(bad, day, time.UTC); return err },
		"DayAtNoZone":        func() error { _, err := DayAt(here, day, nil); return err },
		"DayAtNotACalendar":  func() error { _, err := DayAt(here, Date{2026, 2, 30}, time.UTC); return err },
		"AtBadPosition":      func() error { _, err := At(Sun, bad, noon); return err },
		"AtUnknownBody":      func() error { _, err := At("mars", here, noon); return err },
		"LightAtBadPosition": func() error { _, err := LightAt(bad, noon); return err },
		"NextDuskNaN":        func() error { _, err := NextDusk(measure.Position{Lat: math.NaN()}, noon); return err },
		"PhasesBackwards":    func() error { _, err := Phases(noon, noon.Add(-time.Hour)); return err },
		"ParseDateWords":     func() error { _, err := ParseDate("tomorrow"); return err },
		"ParseDate31June":    func() error { _, err := ParseDate("2026-06-31"); return err },
	} {
		if err := try(); err == nil {
			t.Errorf("%s = nil, want an error", name)
		}
	}
	for name, try := range map[string]func() error{
		"DayAt":    func() error { _, err := DayAt(here, Date{2101, 1, 1}, time.UTC); return err },
		"At":       func() error { _, err := At(Moon, here, early); return err },
		"LightAt":  func() error { _, err := LightAt(here, early); return err },
		"NextDusk": func() error { _, err := NextDusk(here, early); return err },
		"Phases":   func() error { _, err := Phases(early, noon); return err },
	} {
		if err := try(); !errors.As(err, &year) {
			t.Errorf("%s outside the years = %v, want a YearError", name, err)
		}
	}
	// Samoa went over the date line and had no 30 December 2011.
	if _, err := DayAt(here, Date{2011, 12, 30}, zone(t, "Pacific/Apia")); !errors.Is(err, ErrNoSuchDay) {
		t.Errorf("DayAt(30 December 2011 in Samoa) = %v, want %v", err, ErrNoSuchDay)
	}
}

func TestLightFollowsTheDay(t *testing.T) {
	p, loc := measure.Position{Lat: -33.5, Lon: 151.4}, zone(t, "Australia/Sydney")
	for d, i := (Date{2026, 1, 1}), 0; i < 73; i++ {
		day, err := DayAt(p, d, loc)
		if err != nil {
			t.Fatal(err)
		}
		for _, tt := range []struct {
			e             Event
			before, after Light
		}{
			{day.NauticalDawn, Dark, NauticalTwilight},
			{day.CivilDawn, NauticalTwilight, CivilTwilight},
			{day.Sunrise, CivilTwilight, Daylight},
			{day.Sunset, Daylight, CivilTwilight},
			{day.CivilDusk, CivilTwilight, NauticalTwilight},
			{day.NauticalDusk, NauticalTwilight, Dark},
		} {
			for at, want := range map[time.Time]Light{tt.e.At.Add(-2 * time.Second): tt.before, tt.e.At.Add(2 * time.Second): tt.after} {
				if got, err := LightAt(p, at); err != nil || got != want || !tt.e.OK {
					t.Errorf("LightAt(%v) = %q, %v, want %q", at, got, err, want)
				}
			}
		}
		for _, from := range []time.Time{day.From, day.Sunrise.At, day.Sunset.At} {
			dusk, err := NextDusk(p, from)
			if err != nil || !dusk.OK || dusk.At.Sub(day.CivilDusk.At).Abs() > time.Second {
				t.Errorf("NextDusk(%v) = %v, %v, want %v", from, dusk, err, day.CivilDusk)
			}
		}
		after, err := NextDusk(p, day.CivilDusk.At.Add(time.Second))
		if err != nil || !after.OK || math.Abs(after.At.Sub(day.CivilDusk.At).Hours()-24) > 0.1 {
			t.Errorf("NextDusk(just after %v) = %v, %v, want the day after", day.CivilDusk.At, after, err)
		}
		for range 5 {
			d = d.next()
		}
	}
}

func TestNoDuskInTheMidnightSun(t *testing.T) {
	p := measure.Position{Lat: 70, Lon: 25}
	for at, want := range map[string]Light{"2026-06-21T22:20:00Z": Daylight, "2026-12-21T22:20:00Z": Dark} {
		dusk, err := NextDusk(p, utc(t, at))
		light, _ := LightAt(p, utc(t, at))
		if light != want || err != nil {
			t.Errorf("LightAt(%s) = %q, %v, want %q", at, light, err, want)
		}
		if want == Daylight && dusk.OK {
			t.Errorf("NextDusk(%s) = %v, want none", at, dusk.At)
		}
		if want == Dark && !dusk.OK { // the polar night there has a civil twilight at noon
			t.Errorf("NextDusk(%s) = none, want that of the coming noon", at)
		}
	}
	day, err := DayAt(p, Date{2026, 12, 21}, time.UTC)
	if err != nil || day.Sun != AlwaysDown || day.Civil != Normal || day.Nautical != Normal {
		t.Errorf("DayAt(winter) = sun %q civil %q nautical %q, %v", day.Sun, day.Civil, day.Nautical, err)
	}
}

// At high latitudes one day can have two sunsets, just past its first midnight and just before its last.
func TestTwoSunsetsInADay(t *testing.T) {
	p, loc := measure.Position{Lat: 64.13548, Lon: -21.89541}, time.UTC // Reykjavik
	found := false
	for d := (Date{2026, 6, 15}); d.before(Date{2026, 7, 10}); d = d.next() {
		day, err := DayAt(p, d, loc)
		if err != nil {
			t.Fatal(err)
		}
		first := firstSet(t, p, day)
		if first.OK && first.At.Before(day.Sunrise.At) && day.Sunset.At.After(day.Sunrise.At) {
			found = true
			if gap := day.Sunset.At.Sub(first.At); gap < 23*time.Hour {
				t.Errorf("%s: sunsets at %v and %v, %v apart", d, first.At, day.Sunset.At, gap)
			}
		}
	}
	if !found {
		t.Error("no day with two sunsets from 15 June to 10 July, want one as sets come back over midnight")
	}
}

func TestRefraction(t *testing.T) {
	// A body truly on the horizon is lifted by 29', one at 45 degrees by 1' (from memory), overhead by nothing.
	near(t, "refraction(0), minutes", refraction(0)*60, 29, 0.5)
	near(t, "refraction(45), minutes", refraction(45)*60, 1, 0.05)
	near(t, "refraction(90)", refraction(90), 0, 1e-9)
	last := -90 + refraction(-90)
	for h := -90.0; h <= 90; h += 0.01 {
		seen := h + refraction(h)
		if seen < last-1e-12 {
			t.Fatalf("seen altitude falls from %v to %v as the true one rises to %v", last, seen, h)
		}
		if seen-last > 0.02 {
			t.Fatalf("seen altitude jumps from %v to %v at %v", last, seen, h)
		}
		last = seen
	}
}

func TestPoles(t *testing.T) {
	for _, lat := range []float64{90, -90} {
		s, err := At(Sun, measure.Position{Lat: lat}, time.Date(2026, 6, 21, 12, 0, 0, 0, time.UTC))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "altitude at the pole", s.Altitude, math.Copysign(23.44, lat), 0.7)
		if az := float64(s.Azimuth); math.IsNaN(az) || az < 0 || az >= 360 {
			t.Errorf("azimuth at the pole = %v, want 0 to 360", az)
		}
		day, err := DayAt(measure.Position{Lat: lat}, Date{2026, 6, 21}, time.UTC)
		want := AlwaysUp
		if lat < 0 {
			want = AlwaysDown
		}
		if err != nil || day.Sun != want {
			t.Errorf("DayAt(pole %v) = %q, %v, want %q", lat, day.Sun, err, want)
		}
	}
}
