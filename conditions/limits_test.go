package conditions

import (
	"math"
	"slices"
	"testing"
	"time"

	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/sky"
	"ledgehand/conditions/tide"
)

// What a crew set itself is stated with both numbers, and is no doubt: the verdict stays that of the waves.
func TestLimitsAreReportedAsFacts(t *testing.T) {
	for _, tt := range []struct {
		name, word   string
		lim          ledge.Limits
		value, limit float64
	}{
		{"Height", OverHs, ledge.Limits{Hs: new(measure.Metres(0.8))}, 1, 0.8},
		{"Period", OverPeriod, ledge.Limits{Period: new(measure.Seconds(10))}, 11, 10},
		{"Gust", OverGust, ledge.Limits{Gust: new(measure.MetresPerSecond(5))}, 6, 5},
		{"Chance", OverChance, ledge.Limits{WashChance: new(0.0)}, -1, 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			q := anvil(t)
			plain := assess(t, q)
			q.Card.Limits = tt.lim
			r := assess(t, q)
			i := slices.IndexFunc(r.Reasons, func(x Reason) bool { return x.Word == tt.word })
			if tt.value < 0 {
				tt.value = plain.PStay
			}
			if i < 0 || r.Reasons[i] != (Reason{Word: tt.word, Value: tt.value, Limit: tt.limit}) {
				t.Fatalf("Assess reasons = %+v, want %q %v against %v", r.Reasons, tt.word, tt.value, tt.limit)
			}
			if r.Verdict != plain.Verdict || r.WithinLimits {
				t.Errorf("Assess = %q, within limits %v, want %q as without limits, false", r.Verdict, r.WithinLimits, plain.Verdict)
			}
		})
	}
}

func everyLimit() ledge.Limits {
	return ledge.Limits{Hs: new(measure.Metres(3)), Period: new(measure.Seconds(18)), Gust: new(measure.MetresPerSecond(20)), WashChance: new(0.9)}
}

// "Within" is a comfort, so it is only given when each limit has its number in every hour.
func TestWithinLimitsIsOnlySaidWhenAllIsKnown(t *testing.T) {
	q := anvil(t)
	if assess(t, q).WithinLimits {
		t.Error("within limits said with no limit set, want not")
	}
	q.Card.Limits = everyLimit()
	if !assess(t, q).WithinLimits {
		t.Error("within limits not said with everything known and below, want said")
	}
	for _, tt := range []struct {
		name  string
		spoil func(q *Question)
	}{
		{"NoSea", func(q *Question) { q.Sea = nil }},
		{"OldSea", func(q *Question) { q.Sea.Source.FetchedAt = q.Now.Add(-13 * time.Hour) }},
		{"HoleInTheSea", func(q *Question) { q.Sea.Hours[4].Hs = nil }},
		{"BeyondDayFour", func(q *Question) { q.Now = q.To.Add(-97 * time.Hour); q.Sea.Source.FetchedAt = q.Now }},
		{"NoWeather", func(q *Question) { q.Weather = nil }},
		{"WeatherWithoutGusts", func(q *Question) {
			for i := range q.Weather.Hours {
				q.Weather.Hours[i].Gust = nil
			}
		}},
		{"WeatherEndsEarly", func(q *Question) { q.Weather.Hours = q.Weather.Hours[:6] }},
		{"NoLip", func(q *Question) { q.Card.LipHeight = nil }},
		{"LipUnmeasured", func(q *Question) { q.Card.LipMeasured = ledge.Unmeasured }},
		{"NoTide", func(q *Question) { q.Card.TideStation = "" }},
		{"OneOver", func(q *Question) { q.Card.Limits.Gust = new(measure.MetresPerSecond(5)) }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			q := anvil(t)
			q.Card.Limits = everyLimit()
			tt.spoil(&q)
			if r := assess(t, q); r.WithinLimits {
				t.Errorf("Assess said within limits (%+v), want not", r.Reasons)
			}
		})
	}
	// A limit on height alone needs no wind.
	q.Card.Limits, q.Weather = ledge.Limits{Hs: new(measure.Metres(3))}, nil
	if !assess(t, q).WithinLimits {
		t.Error("within a limit on height not said for want of wind, want said")
	}
}

// The strongest gust need not fall in the hour of the strongest mean wind.
func TestTheStrongestGustCounts(t *testing.T) {
	q := anvil(t)
	q.Weather.Hours[4].Wind, q.Weather.Hours[4].Gust = new(measure.MetresPerSecond(1)), new(measure.MetresPerSecond(22))
	q.Card.Limits.Gust = new(measure.MetresPerSecond(20))
	if r := assess(t, q); !says(r, OverGust) {
		t.Errorf("Assess reasons = %+v, want a gust of 22 m/s over the limit of 20", r.Reasons)
	}
}

// rising is a sea that grows by the hour, small at first.
func rising(q *Question, step measure.Metres) {
	for i := range q.Sea.Hours {
		q.Sea.Hours[i] = seaHour(q.Sea.Hours[i].At, swell(0.3+step*measure.Metres(max(0, i-2)), 11, 285))
	}
}

func TestTurnBackIsAnHourBeforeTheFirstBadHour(t *testing.T) {
	for _, tt := range []struct {
		name  string
		first int // bad hour of the window
		spoil func(q *Question)
	}{
		{"Height", 3, func(q *Question) { rising(q, 0.1); q.Card.Limits.Hs = new(measure.Metres(0.65)) }},
		{"Period", 4, func(q *Question) {
			q.Sea.Hours[7] = seaHour(q.Sea.Hours[7].At, swell(1, 16, 285))
			q.Card.Limits.Period = new(measure.Seconds(14))
		}},
		{"Gust", 4, func(q *Question) {
			q.Weather.Hours[7].Gust, q.Card.Limits.Gust = new(measure.MetresPerSecond(15)), new(measure.MetresPerSecond(12))
		}},
		{"HoleInTheSea", 4, func(q *Question) { q.Sea.Hours[7].Hs = nil }},
		{"ChanceWhereTheCrewSetNone", 4, func(q *Question) { q.Sea.Hours[7] = seaHour(q.Sea.Hours[7].At, swell(2.5, 14, 285)) }},
		{"WavesBreakOntoTheFace", 4, func(q *Question) { q.Sea.Hours[7] = seaHour(q.Sea.Hours[7].At, swell(6, 14, 285)) }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			q := anvil(t)
			tt.spoil(&q)
			r := assess(t, q)
			if want := q.From.Add(time.Duration(tt.first-1) * time.Hour); !r.TurnBack.Equal(want) || r.NoGoodHour || !r.GoodFrom.IsZero() {
				t.Errorf("turn back = %s (no good hour %v, good from %s), want %s", r.TurnBack, r.NoGoodHour, r.GoodFrom, want)
			}
		})
	}
	t.Run("NeverWhenNothingPasses", func(t *testing.T) {
		if r := assess(t, anvil(t)); !r.TurnBack.IsZero() || r.NoGoodHour {
			t.Errorf("turn back = %s, no good hour %v, want neither", r.TurnBack, r.NoGoodHour)
		}
	})
	t.Run("NoGoodHourWhenTheSecondIsBad", func(t *testing.T) {
		q := anvil(t)
		q.Sea.Hours[4].Hs = nil // 10:00: the hours from 09 and from 10
		if r := assess(t, q); !r.TurnBack.IsZero() || !r.NoGoodHour {
			t.Errorf("turn back = %s, no good hour %v, want none and true", r.TurnBack, r.NoGoodHour)
		}
	})
	t.Run("NoGoodHourWhereNoneCouldBeJudged", func(t *testing.T) {
		q := anvil(t)
		q.Card.LipHeight = nil
		if r := assess(t, q); !r.NoGoodHour {
			t.Error("no good hour = false without a lip height, want true: what cannot be told is a no")
		}
	})
}

// However the limits lie: at least an hour before the first bad hour after a good one, and after the first good one.
func TestTurnBackLiesWithinTheGoodHours(t *testing.T) {
	for limit := 0.2; limit < 1.4; limit += 0.05 {
		for _, step := range []measure.Metres{0.1, -0.1} {
			q := anvil(t)
			rising(&q, step)
			if step < 0 {
				slices.Reverse(q.Sea.Hours)
				for i := range q.Sea.Hours {
					q.Sea.Hours[i] = seaHour(q.From.Add(time.Duration(i-2)*time.Hour), swell(1.2-0.1*measure.Metres(i), 11, 285))
				}
			}
			q.Card.Limits.Hs = new(measure.Metres(limit))
			r := assess(t, q)
			over := func(h Hour) bool { return *h.Hs > measure.Metres(limit) }
			start := q.From
			if !r.GoodFrom.IsZero() {
				start = r.GoodFrom
			}
			if r.NoGoodHour {
				if !r.TurnBack.IsZero() || !r.GoodFrom.IsZero() {
					t.Errorf("limit %.2f: no good hour, yet good from %s and turn back %s", limit, r.GoodFrom, r.TurnBack)
				}
				continue
			}
			if !r.TurnBack.IsZero() && !r.TurnBack.After(start) {
				t.Errorf("limit %.2f: turn back %s, want after the start %s", limit, r.TurnBack, start)
			}
			for _, h := range r.Hours {
				if over(h) && !h.At.Before(start) && (r.TurnBack.IsZero() || r.TurnBack.After(h.At.Add(-time.Hour))) {
					t.Errorf("limit %.2f: turn back %s, want an hour or more before the bad hour of %s", limit, r.TurnBack, h.At)
				}
				if over(h) && h.At.Equal(start) {
					t.Errorf("limit %.2f: good from %s, which passes it", limit, start)
				}
			}
		}
	}
}

func TestWalkInGate(t *testing.T) {
	p, err := tide.Open(arenaCove)
	if err != nil {
		t.Fatal(err)
	}
	q := anvil(t)
	q.From = highWater(t, q).Add(-4 * time.Hour)
	q.To = q.From.Add(8 * time.Hour)
	q.Sea = sea(q.From.Add(-2*time.Hour), 12, swell(1, 11, 285))
	if r := assess(t, q); r.HasGate || r.WalkInDry != nil {
		t.Errorf("gate %v, dry %v, want none where the card has none", r.HasGate, r.WalkInDry)
	}
	q.Card.Exact = nil // and so no light: this is about water
	gate := (p.Height(q.From) + p.Height(q.From.Add(4*time.Hour))) / 2
	q.Card.WalkInGate = &gate
	r := assess(t, q)
	if !r.HasGate || len(r.WalkInDry) == 0 {
		t.Fatalf("gate %v, dry %v, want a gate that is dry at first", r.HasGate, r.WalkInDry)
	}
	floods := r.WalkInDry[0].To
	if d := math.Abs(float64(p.Height(floods) - gate)); d > 0.002 {
		t.Errorf("walk-in floods at %s with the tide at %v, want at the gate %v", floods, p.Height(floods), gate)
	}
	for _, h := range r.Hours {
		if h.WalkInWet != (h.Tide > gate) {
			t.Errorf("hour of %s wet = %v with the tide up to %v, gate %v", h.At, h.WalkInWet, h.Tide, gate)
		}
		if h.WalkInWet && !r.TurnBack.IsZero() && h.At.After(r.TurnBack) && h.At.Add(-time.Hour).Before(r.TurnBack) {
			t.Errorf("turn back %s, want an hour before the walk-in is wet at %s", r.TurnBack, h.At)
		}
	}
	if r.TurnBack.IsZero() && !r.NoGoodHour {
		t.Error("no turn back though the walk-in floods, want one")
	}
}

// Waves cannot be read once the sun is 6 degrees down (waves.md section 7), give or take five minutes.
func TestDarkHoursGoByTheSun(t *testing.T) {
	q := anvil(t)
	q.From = time.Date(2026, 3, 14, 16, 0, 0, 0, q.Zone)
	q.To = q.From.Add(18 * time.Hour)
	q.Sea, q.Weather = sea(q.From.Add(-2*time.Hour), 24, swell(0.5, 11, 285)), nil
	d, err := sky.DayAt(*q.Card.Exact, sky.DateIn(q.From, q.Zone), q.Zone)
	if err != nil {
		t.Fatal(err)
	}
	next, err := sky.DayAt(*q.Card.Exact, sky.DateIn(q.From.AddDate(0, 0, 1), q.Zone), q.Zone)
	if err != nil {
		t.Fatal(err)
	}
	r := assess(t, q)
	for _, h := range r.Hours {
		want := h.At.Add(55*time.Minute).After(d.CivilDusk.At) && h.At.Add(5*time.Minute).Before(next.CivilDawn.At)
		if h.Dark != want {
			t.Errorf("hour of %s dark = %v, want %v (dusk %s, dawn %s)", h.At, h.Dark, want, d.CivilDusk.At, next.CivilDawn.At)
		}
	}
	if !says(r, Dark) || !r.LastLight.Equal(d.CivilDusk.At) || !r.FirstLight.Equal(d.CivilDawn.At) {
		t.Errorf("dark said %v, light %s to %s, want true, %s to %s", says(r, Dark), r.FirstLight, r.LastLight, d.CivilDawn.At, d.CivilDusk.At)
	}
	if r.TurnBack.IsZero() || r.TurnBack.After(d.CivilDusk.At.Add(-time.Hour+5*time.Minute)) {
		t.Errorf("turn back %s, want an hour before dusk at %s", r.TurnBack, d.CivilDusk.At)
	}
	if assessed := assess(t, anvil(t)); says(assessed, Dark) {
		t.Error("a morning in March said to be dark, want not")
	}
	for minutes, want := range map[time.Duration]bool{3: false, 7: true} {
		q := anvil(t)
		q.To = d.CivilDusk.At.Add(minutes * time.Minute)
		q.From = q.To.Add(-2 * time.Hour)
		if got := says(assess(t, q), Dark); got != want {
			t.Errorf("a stay until %v minutes after dusk dark = %v, want %v", int(minutes), got, want)
		}
		q.From = d.CivilDawn.At.Add(-minutes * time.Minute)
		q.To = q.From.Add(2 * time.Hour)
		if got := says(assess(t, q), Dark); got != want {
			t.Errorf("a stay from %v minutes before dawn dark = %v, want %v", int(minutes), got, want)
		}
	}
}

func TestNotesAreSaidWhenTheirCauseIsThere(t *testing.T) {
	for _, tt := range []struct {
		word string
		on   func(q *Question)
	}{
		{LongPeriod, func(q *Question) { q.Sea = sea(q.From.Add(-2*time.Hour), 12, swell(0.5, 12, 285)) }},
		{ColdWater, func(q *Question) { q.Sea.Hours[4].WaterTempC = new(14.9) }},
		{Fog, func(q *Question) { q.Weather.Hours[4].Code = new(45) }},
		{Fog, func(q *Question) { q.Weather.Hours[4].VisibilityM = new(999.0) }},
		{Thunder, func(q *Question) { q.Weather.Hours[4].Code = new(95) }},
		{Thunder, func(q *Question) { q.Weather.Hours[4].CAPE, q.Weather.Hours[4].RainMM = new(1500.0), new(0.2) }},
		{OnshoreRising, func(q *Question) {
			high := highWater(t, *q)
			q.From, q.To = high.Add(-3*time.Hour), high.Add(-2*time.Hour) // one hour, of the making tide
			q.Weather = wind(q.From.Add(-time.Hour), 5, 12, 15, 270)
		}},
	} {
		t.Run(tt.word, func(t *testing.T) {
			q := anvil(t)
			if says(assess(t, q), tt.word) {
				t.Fatalf("Assess said %q without cause", tt.word)
			}
			tt.on(&q)
			r := assess(t, q)
			if !says(r, tt.word) {
				t.Errorf("Assess reasons = %+v, want %q", r.Reasons, tt.word)
			}
			if want := 20 + 10*b2i(tt.word == LongPeriod); r.WatchMinutes != want {
				t.Errorf("watch for %d minutes, want %d", r.WatchMinutes, want)
			}
		})
	}
	q := anvil(t)
	high := highWater(t, q)
	q.From, q.To = high.Add(time.Hour), high.Add(3*time.Hour)
	q.Weather = wind(q.From.Add(-time.Hour), 6, 12, 15, 270)
	if says(assess(t, q), OnshoreRising) {
		t.Error("onshore on a rising tide said of an ebb, want not")
	}
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}
