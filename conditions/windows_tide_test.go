package conditions

import (
	"math"
	"testing"
	"time"

	"ledgehand/conditions/measure"
	"ledgehand/conditions/tide"
)

// Every minute of a window has the tide that was wished for, and there are windows of each.
func TestTheTideIsTheOneWishedFor(t *testing.T) {
	p, err := tide.Open(arenaCove)
	if err != nil {
		t.Fatal(err)
	}
	near := func(u time.Time, k tide.Kind, within time.Duration) bool {
		for _, e := range p.Extremes(u.Add(-within), u.Add(within)) {
			if e.Kind == k {
				return true
			}
		}
		return false
	}
	for _, tt := range []struct {
		wish TideWish
		has  func(u time.Time) bool
	}{
		{TideWish{Kind: MakingTide}, func(u time.Time) bool { return p.Rate(u) > -0.01 }},
		{TideWish{Kind: EbbingTide}, func(u time.Time) bool { return p.Rate(u) < 0.01 }},
		{TideWish{Kind: TideAroundLow}, func(u time.Time) bool { return near(u, tide.Low, DefaultAround) }},
		{TideWish{Kind: TideAroundHigh, Around: 90 * time.Minute}, func(u time.Time) bool { return near(u, tide.High, 90*time.Minute) }},
		{TideWish{Kind: TideBelowLevel, Level: 0.7}, func(u time.Time) bool { return p.Height(u) < 0.7+1e-6 }},
		{TideWish{Kind: TideAboveLevel, Level: 0.9}, func(u time.Time) bool { return p.Height(u) > 0.9-1e-6 }},
	} {
		t.Run(string(tt.wish.Kind), func(t *testing.T) {
			q, _ := aWeek(t)
			q.Tide = tt.wish
			a := windows(t, q)
			all := a.Ledges[0].Windows
			if len(all) < 4 {
				t.Errorf("windows = %q, want one a day or nearly", clocks(a, all))
			}
			for _, w := range all {
				for u := w.From; !u.After(w.To); u = u.Add(time.Minute) {
					if !tt.has(u) {
						t.Fatalf("window %s has not the tide wished for at %s", clock(a, w.From, w.To), u)
					}
				}
				if w.TideAtStart.Height != p.Height(w.From) || w.TideAtEnd.Height != p.Height(w.To) {
					t.Errorf("tide = %v to %v, want %v to %v", w.TideAtStart, w.TideAtEnd, p.Height(w.From), p.Height(w.To))
				}
			}
		})
	}
	q, _ := aWeek(t)
	q.Tide = TideWish{Kind: TideBelowLevel, Level: -3}
	a := windows(t, q)
	if h := offOn(t, a, 14); len(a.Ledges[0].Windows) > 0 || h.Word != OutsideTideWish {
		t.Errorf("off = %+v, want %q", h, OutsideTideWish)
	}
	// A limit that ends a window is named before the wish, the wish before the dark.
	q, _ = aWeek(t)
	q.Tide = TideWish{Kind: EbbingTide}
	a = windows(t, q)
	if w := onDay(a, 14)[0]; w.Ends.Word != OutsideTideWish || w.Ends.Until.IsZero() || w.TideAtStart.Motion != tide.Ebbing {
		t.Errorf("ends = %+v from %+v, want %q from an ebbing tide", w.Ends, w.TideAtStart, OutsideTideWish)
	}
}

// The walk-in is dry from the time it takes to walk before a window until that time after it, and wet soon after the latter.
func TestTheWalkInIsDryBothWays(t *testing.T) {
	const gate, walk = 0.6, 20 * time.Minute
	p, err := tide.Open(arenaCove)
	if err != nil {
		t.Fatal(err)
	}
	for _, hPa := range []float64{0, 983.25} { // 30 hPa under the mean lift the water by 0.3 m
		q, l := aWeek(t)
		l.Card.WalkInGate = new(measure.Metres(gate))
		lift := measure.Metres(0)
		if hPa > 0 {
			lift = tide.InverseBarometer(hPa)
			for i := range l.Weather.Hours {
				l.Weather.Hours[i].PressureHPa = &hPa
			}
		}
		a := windows(t, q)
		ended := 0
		for _, w := range a.Ledges[0].Windows {
			for u := w.From.Add(-walk); !u.After(w.To.Add(walk)); u = u.Add(time.Minute) {
				if h := p.Height(u) + lift; h > gate+1e-6 {
					t.Fatalf("water stands at %v m at %s, for the window %s; want it at or below %v", h, u, clock(a, w.From, w.To), gate)
				}
			}
			if w.Ends.Word != WalkInWet {
				continue
			}
			ended++
			wet := w.To.Add(walk + 2*time.Minute)
			if h := p.Height(wet) + lift; h <= gate {
				t.Errorf("water stands at %v m at %s though the window ended for it, want it over %v", h, wet, gate)
			}
			if gap := wet.Sub(w.TurnBack); gap < turnBackGap || gap > turnBackGap+3*time.Minute {
				t.Errorf("turn back %s before the walk-in floods, want an hour", gap)
			}
			if w.Ends.Limit != gate || !(w.Ends.Value > gate) {
				t.Errorf("ends = %+v, want a tide over %v", w.Ends, gate)
			}
		}
		if ended < 3 {
			t.Errorf("%v hPa: %d of %q end by the walk-in, want three or more", hPa, ended, clocks(a, a.Ledges[0].Windows))
		}
	}
	// Low pressure closes it earlier, and a gate under the lowest water keeps it shut.
	length := func(hPa float64) (sum time.Duration) {
		q, l := aWeek(t)
		l.Card.WalkInGate = new(measure.Metres(gate))
		for i := range l.Weather.Hours {
			l.Weather.Hours[i].PressureHPa = &hPa
		}
		for _, w := range windows(t, q).Ledges[0].Windows {
			sum += w.To.Sub(w.From)
		}
		return sum
	}
	if low, mean := length(983.25), length(1013.25); !(low < mean) {
		t.Errorf("dry for %s at 983 hPa, %s at 1013; want less", low, mean)
	}
	q, l := aWeek(t)
	l.Card.WalkInGate = new(measure.Metres(-1))
	a := windows(t, q)
	if h := offOn(t, a, 14); h.Word != WalkInWet || h.Limit != -1 || !(h.Value > 1) || math.IsInf(h.Best, 0) {
		t.Errorf("off = %+v, want %q, the tide over -1 m", h, WalkInWet)
	}
}

// A stay that begins within an hour is judged by Assess with the pressure of the hour after next: it must not call the walk-in wet
// where the search called it dry.
func TestTheWalkInIsDryWithTheSurgeOfTheNextHour(t *testing.T) {
	p, err := tide.Open(arenaCove)
	if err != nil {
		t.Fatal(err)
	}
	q, l := aWeek(t)
	l.Card.WalkMinutes = 0
	gate := p.Height(march(t, 14, 10).Add(40 * time.Minute)) // ebbing
	l.Card.WalkInGate = &gate
	for i, h := range l.Weather.Hours {
		l.Weather.Hours[i].PressureHPa = new(1013.25)
		if h.At.Equal(march(t, 14, 12)) {
			l.Weather.Hours[i].PressureHPa = new(1004.25)
		}
	}
	a := windows(t, q)
	ws := onDay(a, 14)
	if len(ws) == 0 {
		t.Fatalf("no window on day 14, off %+v", a.Ledges[0].Off)
	}
	one := *l
	one.Now, one.From, one.To = q.Now, ws[0].From, ws[0].From.Add(time.Hour)
	if r := assess(t, one); r.Hours[0].WalkInWet || !ws[0].From.After(march(t, 14, 10)) || !ws[0].From.Before(march(t, 14, 12)) {
		t.Errorf("window %s: Assess calls the walk-in of its first hour wet: %v; want one from about 11:00, dry", clock(a, ws[0].From, ws[0].To), r.Hours[0].WalkInWet)
	}
}
