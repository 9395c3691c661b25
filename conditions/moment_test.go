package conditions

import (
	"math"
	"testing"
	"time"

	"ledgehand/conditions/measure"
	"ledgehand/conditions/tide"
)

// Arena Cove, 9416841: the stage of every five minutes of a fortnight must be what its highs and lows say.
func TestMomentsAgreeWithTheHighsAndLows(t *testing.T) {
	const station = "noaa/9416841"
	p, err := tide.Open(station)
	if err != nil {
		t.Fatal(err)
	}
	from := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	turns := p.Extremes(from.Add(-24*time.Hour), from.Add(15*24*time.Hour))
	seen := map[TideStage]int{}
	for at := from; at.Before(from.Add(14 * 24 * time.Hour)); at = at.Add(5 * time.Minute) {
		m := MomentAt(nil, station, at)
		seen[m.Tide]++
		var last, next, near tide.Extreme
		for _, e := range turns {
			if !e.At.After(at) {
				last = e
			} else if next.Kind == "" {
				next = e
			}
		}
		if near = last; next.At.Sub(at) < at.Sub(last.At) {
			near = next
		}
		if m.Turn != near {
			t.Fatalf("%s: nearest turn %v, want %v", at, m.Turn, near)
		}
		switch m.Tide {
		case StageHigh, StageLow:
			if near.At.Sub(at).Abs() > Turning || string(m.Tide) != string(near.Kind) {
				t.Fatalf("%s: %s, %v from %s water", at, m.Tide, near.At.Sub(at), near.Kind)
			}
		case StageMaking, StageEbbing:
			if (m.Tide == StageMaking) != (next.Kind == tide.High) {
				t.Fatalf("%s: %s before %s water", at, m.Tide, next.Kind)
			}
		case StageSlack:
			if near.At.Sub(at).Abs() <= Turning || math.Abs(float64(p.Rate(at))) >= float64(tide.StandRate) {
				t.Fatalf("%s: slack, %v from %s water, %v m/h", at, near.At.Sub(at), near.Kind, p.Rate(at))
			}
		default:
			t.Fatalf("%s: stage %q", at, m.Tide)
		}
		if m.Level != p.Height(at) || m.Datum != p.Station().Datum || m.Light == "" {
			t.Fatalf("%s: %+v", at, m)
		}
	}
	for _, s := range []TideStage{StageMaking, StageEbbing, StageHigh, StageLow} {
		if seen[s] == 0 {
			t.Errorf("no moment was %s", s)
		}
	}
}

// Sun and twilight of 14 March 2026 at Arena Cove (computed by this program, checked against almanacs in package sky): civil dawn
// 06:58, sunrise 07:24, sunset 19:21, civil dusk 19:47, UTC-7.
func TestLightOfAMoment(t *testing.T) {
	z, err := time.LoadLocation("America/Los_Angeles")
	if err != nil {
		t.Fatal(err)
	}
	p := &measure.Position{Lat: 38.95, Lon: -123.74}
	for clock, want := range map[string]LightStage{"03:00": StageDark, "06:40": StageDark, "07:10": StageDawn, "07:40": StageDay, "13:00": StageDay, "19:00": StageDay, "19:35": StageDusk, "20:10": StageDark} {
		at, err := time.ParseInLocation("2006-01-02 15:04", "2026-03-14 "+clock, z)
		if err != nil {
			t.Fatal(err)
		}
		if m := MomentAt(p, "", at); m.Light != want || m.Tide != "" {
			t.Errorf("%s: light %q, tide %q, want %q and no tide", clock, m.Light, m.Tide, want)
		}
	}
	if m := MomentAt(nil, "", time.Date(2026, 3, 14, 0, 0, 0, 0, time.UTC)); m != (Moment{}) {
		t.Errorf("nothing known: %+v", m)
	}
	if m := MomentAt(p, "noaa/none", time.Date(2500, 3, 14, 0, 0, 0, 0, time.UTC)); m != (Moment{}) {
		t.Errorf("outside the tables: %+v", m)
	}
}

func TestSharesOfAStay(t *testing.T) {
	const station = "noaa/9416841"
	p, err := tide.Open(station)
	if err != nil {
		t.Fatal(err)
	}
	at := time.Date(2026, 3, 14, 0, 0, 0, 0, time.UTC)
	low, _ := p.Next(at, tide.Low)
	high, _ := p.Next(low.At, tide.High)
	for _, c := range []struct {
		from, to time.Time
		want     float64
	}{
		{low.At.Add(time.Minute), high.At.Add(-6 * time.Minute), 1},
		{low.At, low.At, 1},
		{high.At.Add(time.Minute), high.At.Add(3 * time.Hour), 0},
		{high.At.Add(-2 * time.Hour), high.At.Add(2 * time.Hour), 0.5},
	} {
		if s := SharesOf(nil, station, c.from, c.to); math.Abs(s.Making-c.want) > 0.03 || s.Lit < 0 || s.Lit > 1.0001 {
			t.Errorf("%s to %s: %+v, want making %g", c.from, c.to, s, c.want)
		}
	}
	for _, s := range []Shares{SharesOf(nil, "", at, at.Add(time.Hour)), SharesOf(nil, station, at, at.Add(-time.Hour)), SharesOf(nil, station, at, at.Add(1000*time.Hour))} {
		if s != (Shares{-1, -1}) {
			t.Errorf("cannot be told: %+v", s)
		}
	}
}
