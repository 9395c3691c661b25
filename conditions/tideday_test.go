package conditions

import (
	"errors"
	"math"
	"slices"
	"testing"
	"time"

	"ledgehand/conditions/measure"
	"ledgehand/conditions/sky"
	"ledgehand/conditions/tide"
)

func zoneOf(t testing.TB, name string) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return z
}

// What NOAA CO-OPS published for Monterey (9413450) on 13 July 2016, local daylight time, metres above MLLW. Its constants were
// revised since: 3 minutes and 2 cm.
var publishedMonterey = []struct {
	at     string
	kind   tide.Kind
	metres float64
}{{"01:18", tide.Low, 0.439}, {"07:03", tide.High, 0.936}, {"11:58", tide.Low, 0.613}, {"18:50", tide.High, 1.527}}

func TestTheDayOfMontereyAsPublished(t *testing.T) {
	z := zoneOf(t, "America/Los_Angeles")
	d, err := TideOf(PlaceDay{Name: "Monterey", Station: "noaa/9413450", Day: sky.Date{Year: 2016, Month: time.July, Day: 13}, Zone: z, Now: time.Date(2016, 7, 13, 9, 0, 0, 0, z)})
	if err != nil {
		t.Fatal(err)
	}
	want := publishedMonterey
	if len(d.Turns) != len(want) {
		t.Fatalf("Turns = %v, want %d", d.Turns, len(want))
	}
	for i, e := range d.Turns {
		at, err := time.ParseInLocation("2006-01-02 15:04", "2016-07-13 "+want[i].at, z)
		if err != nil {
			t.Fatal(err)
		}
		if e.Kind != want[i].kind || e.At.Sub(at).Abs() > 3*time.Minute || math.Abs(float64(e.Height)-want[i].metres) > 0.02 {
			t.Errorf("%s %.3f m at %s, published %s %.3f m at %s", e.Kind, e.Height, e.At.In(z).Format("15:04"), want[i].kind, want[i].metres, want[i].at)
		}
	}
	if !d.Today || d.Stage.Motion != tide.Ebbing || d.Rate >= 0 || d.Next[0].Kind != tide.High || d.Next[1].Kind != tide.Low {
		t.Errorf("at 09:00: %+v, rate %v, next %v", d.Stage, d.Rate, d.Next)
	}
	if d.Highest != d.Turns[3] || d.Fortnight == nil || d.Character.Regime != tide.MixedTwo || d.Km != 0 || len(d.Doubts) != 0 {
		t.Errorf("highest %v, fortnight %v, %+v, %v km, %v", d.Highest, d.Fortnight, d.Character, d.Km, d.Doubts)
	}
}

func TestATideDayIsThatOfTheLocalDate(t *testing.T) {
	for _, x := range []struct {
		zone, station string
		day           sky.Date
		hours         float64
	}{
		{"America/Los_Angeles", arenaCove, sky.Date{Year: 2026, Month: time.March, Day: 8}, 23},
		{"America/Los_Angeles", arenaCove, sky.Date{Year: 2026, Month: time.November, Day: 1}, 25},
		{"Pacific/Kiritimati", "noaa/1612340", sky.Date{Year: 2026, Month: time.November, Day: 1}, 24}, // Honolulu's tide by clocks a day ahead
	} {
		z := zoneOf(t, x.zone)
		d, err := TideOf(PlaceDay{Name: "x", Station: x.station, Day: x.day, Zone: z, Now: time.Date(2026, 1, 1, 0, 0, 0, 0, z), Level: new(measure.Metres(0.5))})
		if err != nil {
			t.Fatal(err)
		}
		if got := d.To.Sub(d.From).Hours(); got != x.hours || sky.DateIn(d.From, z) != x.day || d.Today {
			t.Errorf("%s in %s: from %s to %s, today %v", x.day, x.zone, d.From, d.To, d.Today)
		}
		for _, e := range d.Turns {
			if sky.DateIn(e.At, z) != x.day {
				t.Errorf("%s in %s has %v", x.day, x.zone, e)
			}
		}
		above, err := TideOf(PlaceDay{Name: "x", Station: x.station, Day: x.day, Zone: z, Now: d.Now, Level: new(measure.Metres(0.5)), Above: true})
		if err != nil {
			t.Fatal(err)
		}
		var all time.Duration
		for _, s := range slices.Concat(d.Asked.Spans, above.Asked.Spans) {
			all += s.To.Sub(s.From)
		}
		if (d.To.Sub(d.From) - all).Abs() > 10*time.Second { // edges to the second
			t.Errorf("%s: below and above 0.5 m make up %s", x.day, all)
		}
	}
}

func TestTideOfRefuses(t *testing.T) {
	z := zoneOf(t, "Pacific/Apia")
	now := time.Date(2026, 3, 14, 0, 0, 0, 0, z)
	day := sky.Date{Year: 2026, Month: time.March, Day: 14}
	if _, err := TideOf(PlaceDay{Name: "x", Day: day, Zone: z, Now: now}); !errors.Is(err, ErrNoTide) {
		t.Errorf("without a station: %v, want ErrNoTide", err)
	}
	if _, err := TideOf(PlaceDay{Name: "x", Station: "noaa/0", Day: day, Zone: z, Now: now}); !errors.As(err, &tide.UnknownStationError{}) {
		t.Errorf("with an unknown station: %v", err)
	}
	// Samoa left 30 December 2011 out.
	if _, err := TideOf(PlaceDay{Name: "x", Station: "noaa/1770000", Day: sky.Date{Year: 2011, Month: time.December, Day: 30}, Zone: z, Now: now}); !errors.Is(err, sky.ErrNoSuchDay) {
		t.Errorf("on a day that was not: %v, want ErrNoSuchDay", err)
	}
}

// A ledge whose nearest station lies beyond all reach gets its numbers, and the verdict "cannot tell".
func TestATideFromFarAwayIsDoubted(t *testing.T) {
	q := anvil(t)
	q.Card.Exact = &measure.Position{Lat: 37.5, Lon: -123.7} // 160 km south of the station
	r := assess(t, q)
	if !slices.Contains(doubts(r), WhyTideFar) {
		t.Errorf("doubts = %v, want %s", doubts(r), WhyTideFar)
	}
	if near := assess(t, anvil(t)); slices.Contains(doubts(near), WhyTideFar) {
		t.Errorf("doubts = %v near the station", doubts(near))
	}
}

// Sun at San Francisco on 14 March 2026 by our own package, which is held to the USNO tables there; here only what is built on it.
func TestTheWalkOutCountsBackFromDusk(t *testing.T) {
	z := zoneOf(t, "America/Los_Angeles")
	p := measure.Position{Lat: 38.95, Lon: -123.74}
	day := sky.Date{Year: 2026, Month: time.March, Day: 14}
	d, err := LightOf("Anvil", p, day, time.Date(2026, 3, 14, 8, 0, 0, 0, z), z, new(25*time.Minute))
	if err != nil {
		t.Fatal(err)
	}
	if !d.Leave.Dusk.OK || d.CivilDusk.At.Sub(d.Leave.Dusk.At).Abs() > time.Second || d.Leave.Dusk.At.Sub(d.Leave.BeforeDark.At) != 25*time.Minute ||
		d.Leave.Sunset.At.Sub(d.Leave.BeforeSunset.At) != 25*time.Minute {
		t.Errorf("Leave = %+v, dusk %v", d.Leave, d.CivilDusk)
	}
	if !d.NightFrom.Equal(d.Leave.Dusk.At) || !d.NightTo.After(d.NightFrom) || d.NightTo.Sub(d.NightFrom) > 12*time.Hour {
		t.Errorf("night from %s to %s", d.NightFrom, d.NightTo)
	}
	for _, s := range d.MoonUp {
		if s.From.Before(d.NightFrom) || s.To.After(d.NightTo) {
			t.Errorf("moon up %v outside the night", s)
		}
	}
	q := anvil(t)
	q.Card.WalkMinutes = 25
	r := assess(t, q)
	if r.LastLight.Sub(r.LeaveBy) != 25*time.Minute {
		t.Errorf("leave by %s for last light %s", r.LeaveBy, r.LastLight)
	}
	if r := assess(t, anvil(t)); !r.LeaveBy.IsZero() {
		t.Errorf("leave by %s though nobody said how long the walk is", r.LeaveBy)
	}
}

func TestNightsOfTheNorth(t *testing.T) {
	z := zoneOf(t, "Europe/Oslo")
	for name, x := range map[string]struct {
		lat  float64
		day  sky.Date
		dark bool
		sun  sky.State
	}{
		"midnight sun":        {70, sky.Date{Year: 2026, Month: time.June, Day: 20}, false, sky.AlwaysUp},
		"civil all night":     {64, sky.Date{Year: 2026, Month: time.June, Day: 20}, false, sky.Normal},
		"dusk after midnight": {61.6, sky.Date{Year: 2026, Month: time.May, Day: 25}, true, sky.Normal},
		"polar night":         {70, sky.Date{Year: 2026, Month: time.December, Day: 20}, true, sky.AlwaysDown},
		"winter":              {60, sky.Date{Year: 2026, Month: time.December, Day: 20}, true, sky.Normal},
	} {
		d, err := LightOf(name, measure.Position{Lat: x.lat, Lon: 5}, x.day, time.Date(2026, 1, 1, 0, 0, 0, 0, z), z, nil)
		if err != nil {
			t.Fatal(err)
		}
		if d.NightFrom.IsZero() == x.dark || d.Sun != x.sun {
			t.Errorf("%s: night from %s to %s, sun %q", name, d.NightFrom, d.NightTo, d.Sun)
		}
		if length := d.NightTo.Sub(d.NightFrom); x.dark && (length <= 0 || length > 24*time.Hour) {
			t.Errorf("%s: the night lasts %s", name, length)
		}
	}
}
