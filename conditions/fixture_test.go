package conditions

import (
	"math"
	"testing"
	"time"

	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
)

// The invented ledge of these tests: Anvil, near the tide gauge of Arena Cove, California (NOAA 9416841).
const arenaCove = "noaa/9416841"

func pacific(t testing.TB) *time.Location {
	t.Helper()
	loc, err := time.LoadLocation("America/Los_Angeles")
	if err != nil {
		t.Fatal(err)
	}
	return loc
}

// anvil is a question about which everything is known: a lip 6 m above MLLW, 10 m of water at a vertical foot, a
// swell of 1 m and 11 s, no warning; 08:00 to 14:00 of the day after it is asked, in daylight.
func anvil(t testing.TB) Question {
	t.Helper()
	loc := pacific(t)
	now := time.Date(2026, 3, 13, 19, 0, 0, 0, loc)
	from := time.Date(2026, 3, 14, 8, 0, 0, 0, loc)
	return Question{
		Card: ledge.Card{
			Name: "Anvil", Exact: &measure.Position{Lat: 38.9546, Lon: -123.7406}, TideStation: arenaCove, Zone: "America/Los_Angeles",
			LipHeight: new(measure.Metres(6)), LipMeasured: ledge.Measured, FootDepth: new(measure.Metres(10)),
			Faces: new(measure.From(270)), OpenSector: &ledge.Sector{200, 340}, FaceSlope: new(0.0),
		},
		From: from, To: from.Add(6 * time.Hour), Now: now, Zone: loc,
		Sea:      sea(from.Add(-2*time.Hour), 12, swell(1, 11, 285)),
		Weather:  wind(from.Add(-2*time.Hour), 12, 4, 6, 90),
		Warnings: Warnings{State: WarningsNone, Source: "the weather service", CheckedAt: now},
	}
}

func swell(hs measure.Metres, tp measure.Seconds, from measure.From) Partition {
	return Partition{Kind: "swell", Hs: hs, Period: tp, PeriodKind: PeriodPeak, From: from}
}

func chop(hs measure.Metres, tp measure.Seconds, from measure.From) Partition {
	return Partition{Kind: "wind", Hs: hs, Period: tp, PeriodKind: PeriodPeak, From: from}
}

// sea is a forecast of the same partitions every hour, fetched an hour before Now of anvil.
func sea(from time.Time, hours int, ps ...Partition) *Sea {
	s := &Sea{Source: Source{Name: "an invented sea", FetchedAt: time.Date(2026, 3, 14, 1, 0, 0, 0, time.UTC)}}
	for i := range hours {
		s.Hours = append(s.Hours, seaHour(from.Add(time.Duration(i)*time.Hour), ps...))
	}
	return s
}

func seaHour(at time.Time, ps ...Partition) SeaHour {
	h := SeaHour{At: at, Partitions: ps, PeriodKind: PeriodPeak, WaterTempC: new(17.0)}
	var m0 float64
	for _, p := range ps {
		m0 += float64(p.Hs * p.Hs)
	}
	h.Hs = new(measure.Metres(math.Sqrt(m0)))
	if len(ps) > 0 {
		h.Period, h.From, h.PeriodKind = new(ps[0].Period), new(ps[0].From), ps[0].PeriodKind
	}
	return h
}

func wind(from time.Time, hours int, mean, gust measure.MetresPerSecond, dir measure.From) *Weather {
	w := &Weather{Source: Source{Name: "an invented wind", FetchedAt: from}}
	for i := range hours {
		w.Hours = append(w.Hours, WeatherHour{At: from.Add(time.Duration(i) * time.Hour), Wind: new(mean), Gust: new(gust), WindFrom: new(dir)})
	}
	return w
}

func assess(t testing.TB, q Question) Report {
	t.Helper()
	r, err := Assess(q)
	if err != nil {
		t.Fatalf("Assess = %v, want a report", err)
	}
	return r
}

// doubts are the words of the reasons that make an answer "cannot tell".
func doubts(r Report) []string {
	var out []string
	for _, x := range r.Reasons {
		if x.Doubt {
			out = append(out, x.Word)
		}
	}
	return out
}

func says(r Report, word string) bool {
	for _, x := range r.Reasons {
		if x.Word == word {
			return true
		}
	}
	return false
}
