package wording

import (
	"testing"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/sky"
	"ledgehand/conditions/tide"
)

func init() {
	areas["tide"], areas["light"] = tideSamples, lightSamples
}

var saturday = sky.Date{Year: 2026, Month: time.March, Day: 14}

// tideOf is the real tide of an invented ledge near a real station.
func tideOf(name, station string, change func(*conditions.PlaceDay)) conditions.TideDay {
	st, err := tide.Find(station)
	if err != nil {
		panic(err)
	}
	z, err := time.LoadLocation(st.Zone)
	if err != nil {
		panic(err)
	}
	near := measure.Position{Lat: st.Position.Lat + 0.04, Lon: st.Position.Lon - 0.03}
	q := conditions.PlaceDay{
		Name: name, Place: &near, Station: station, Day: saturday, Zone: z,
		Now: time.Date(2026, 3, 14, 9, 40, 0, 0, z),
	}
	if change != nil {
		change(&q)
	}
	d, err := conditions.TideOf(q)
	if err != nil {
		panic(err)
	}
	return d
}

func tideSamples(w Words, c cast) []sample {
	m := func(v float64) *measure.Metres { x := measure.Metres(v); return &x }
	const arena = "noaa/9416841"
	other := tideOf(c.anvil, arena, nil)
	other.Doubts = []tide.Doubt{
		{Why: tide.VeryFar, Km: 140},
		{Why: tide.OtherWater, Other: tide.Nearby{Station: tide.Station{Name: "Inner Basin"}, Km: 8, Bearing: 45}, Difference: tide.Difference{Later: -95 * time.Minute, Ratio: 0.6}},
	}
	later := other
	later.Doubts = []tide.Doubt{
		{Why: tide.OtherWater, Other: tide.Nearby{Station: tide.Station{Name: "Inner Basin"}, Km: 8, Bearing: 45}, Difference: tide.Difference{Later: 25 * time.Minute, Ratio: 1.3}},
		{Why: tide.OtherClock}, {Why: tide.Far, Km: 33},
	}
	warned := other
	warned.Doubts = []tide.Doubt{{Why: tide.Warned, Warning: tide.Season}, {Why: tide.Warned, Warning: tide.River}}
	far := other
	far.Doubts = []tide.Doubt{{Why: tide.Far, Km: 33}}
	today := tideOf(c.anvil, arena, func(q *conditions.PlaceDay) { q.Gate = m(0.9) })
	return []sample{
		{"today", w.Tide(today)},
		{"today: feet and miles", For(w.Lang, Imperial, nil).Tide(today)},
		{"another day", w.Tide(tideOf(c.anvil, arena, func(q *conditions.PlaceDay) { q.Day.Day = 18 }))},
		{"next low", w.NextTurn(today, tide.Low)},
		{"next high", w.NextTurn(today, tide.High)},
		{"below a height", w.Tide(tideOf(c.anvil, arena, func(q *conditions.PlaceDay) { q.Level = m(0.5) }))},
		{"above a height", w.Tide(tideOf(c.anvil, arena, func(q *conditions.PlaceDay) { q.Level, q.Above = m(0.5), true }))},
		{"never below a height", w.Tide(tideOf(c.anvil, arena, func(q *conditions.PlaceDay) { q.Level = m(-3) }))},
		{"never above a height", w.Tide(tideOf(c.anvil, arena, func(q *conditions.PlaceDay) { q.Level, q.Above = m(6), true }))},
		{"always below a height", w.Tide(tideOf(c.anvil, arena, func(q *conditions.PlaceDay) { q.Level = m(6) }))},
		{"at the station itself", w.Tide(tideOf(c.anvil, arena, func(q *conditions.PlaceDay) { q.Place = nil }))},
		{"far and another water", w.Tide(other)},
		{"another water, another clock", w.Tide(later)},
		{"far", w.Tide(far)},
		{"warned of", w.Tide(warned)},
		{"one tide a day, stands", w.Tide(tideOf(c.longStep, "noaa/8729840", func(q *conditions.PlaceDay) { q.Day.Day = 20 }))},
		{"double waters", w.Tide(tideOf(c.longStep, "ticon/southampton-sou-gbr-da_idh", nil))},
		{"hardly any tide", w.Tide(tideOf(c.longStep, "ticon/visby-2080-swe-smhi", nil))},
		{"by offsets", w.Tide(tideOf(c.longStep, "noaa/9445017", nil))},
	}
}

func lightOf(name string, lat, lon float64, zone string, day sky.Date, walk time.Duration) conditions.LightDay {
	z, err := time.LoadLocation(zone)
	if err != nil {
		panic(err)
	}
	var w *time.Duration
	if walk > 0 {
		w = &walk
	}
	d, err := conditions.LightOf(name, measure.Position{Lat: lat, Lon: lon}, day, time.Date(2026, 3, 14, 9, 40, 0, 0, z), z, w)
	if err != nil {
		panic(err)
	}
	return d
}

func lightSamples(w Words, c cast) []sample {
	return []sample{
		{"walk known", w.Light(lightOf(c.anvil, 38.95, -123.74, zoneName, saturday, 25*time.Minute))},
		{"walk not known", w.Light(lightOf(c.anvil, 38.95, -123.74, zoneName, saturday, 0))},
		{"bright moon", w.Light(lightOf(c.anvil, 38.95, -123.74, zoneName, sky.Date{Year: 2026, Month: time.April, Day: 1}, 25*time.Minute))},
		{"midnight sun", w.Light(lightOf(c.longStep, 78.2, 15.6, "Arctic/Longyearbyen", sky.Date{Year: 2026, Month: time.June, Day: 20}, 25*time.Minute))},
		{"polar night", w.Light(lightOf(c.longStep, 78.2, 15.6, "Arctic/Longyearbyen", sky.Date{Year: 2026, Month: time.December, Day: 20}, 25*time.Minute))},
		{"dusk after midnight", w.Light(lightOf(c.longStep, 61.6, 5.0, "Europe/Oslo", sky.Date{Year: 2026, Month: time.May, Day: 25}, 25*time.Minute))},
		{"walk longer than the light", w.Light(lightOf(c.longStep, 69.65, 18.95, "Europe/Oslo", sky.Date{Year: 2026, Month: time.December, Day: 20}, 9*time.Hour))},
		{"southern summer", w.Light(lightOf(c.longStep, -33.9, 151.3, "Australia/Sydney", sky.Date{Year: 2026, Month: time.January, Day: 3}, 40*time.Minute))},
	}
}

func TestWait(t *testing.T) {
	w := words(Metric)
	for d, want := range map[time.Duration]string{
		10 * time.Second: "a moment", 35 * time.Minute: "35 min", time.Hour: "1 h", 130 * time.Minute: "2 h 10 min", 59*time.Minute + 40*time.Second: "1 h", 72 * time.Hour: "3 d",
	} {
		if got := w.Wait(d); got != want {
			t.Errorf("Wait(%s) = %q, want %q", d, got, want)
		}
	}
}
