package conditions

import (
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

// An hour is judged by the end that brings more to the ledge, not by the higher number.
func TestALongSwellOnTheNoseOutweighsAHigherChopAlongTheCoast(t *testing.T) {
	q := anvil(t)
	q.To = q.From.Add(time.Hour)
	long := anvil(t)
	long.To = q.To
	long.Sea = sea(q.From.Add(-time.Hour), 4, swell(1.4, 16, 270))
	q.Sea = sea(q.From.Add(-time.Hour), 4, swell(1.4, 16, 270))
	q.Sea.Hours[2] = seaHour(q.To, chop(1.5, 5, 350))
	got, want := assess(t, q), assess(t, long)
	if got.Hours[0].P < want.Hours[0].P {
		t.Errorf("chance with a chop of 1.5 m at the end of the hour = %v, want at least that of the swell alone %v", got.Hours[0].P, want.Hours[0].P)
	}
	if *got.Hours[0].Hs != 1.5 {
		t.Errorf("shown height = %v, want the greater of the two ends", *got.Hours[0].Hs)
	}
}

// Systems that fall short of the total by a little are raised to it: the waves they lack are there all the same.
func TestPartsAreRaisedToTheTotal(t *testing.T) {
	whole, short := anvil(t), anvil(t)
	short.Sea = sea(short.From.Add(-2*time.Hour), 12, swell(0.85, 11, 285))
	for i := range short.Sea.Hours {
		short.Sea.Hours[i].Hs = new(measure.Metres(1))
	}
	a, b := assess(t, short), assess(t, whole)
	if d := a.PStay - b.PStay; d < -1e-9 || d > 1e-9 {
		t.Errorf("chance with parts of 85 %% = %v, want that of the whole %v", a.PStay, b.PStay)
	}
}

// A forecast's error grows from when it was made, and one of a run missed three times over says nothing.
func TestAnOldModelRun(t *testing.T) {
	fresh, older, stale := anvil(t), anvil(t), anvil(t)
	older.Sea.Source.RunAt = older.Now.Add(-30 * time.Hour)
	stale.Sea.Source.RunAt = stale.Now.Add(-37 * time.Hour)
	f, o, s := assess(t, fresh), assess(t, older), assess(t, stale)
	if *o.Hours[0].HsP90 <= *f.Hours[0].HsP90 {
		t.Errorf("height of 1 in 10 by a run 30 h old = %v, want more than %v by a new one", *o.Hours[0].HsP90, *f.Hours[0].HsP90)
	}
	if !says(s, WhySeaOld) {
		t.Errorf("a run 37 h old: doubts %v, want %q", doubts(s), WhySeaOld)
	}
}

// A forecast just under the crew's limit may well be over it.
func TestWithinTheLimitOnlyIfTheLikelyWorstIs(t *testing.T) {
	q := anvil(t)
	q.Card.Limits.Hs = new(measure.Metres(1.1))
	if r := assess(t, q); r.WithinLimits {
		t.Errorf("1.0 m forecast, 1 in 10 over %v, limit 1.1 m: within limits, want neither over nor within", *r.Hours[0].HsP90)
	}
	q.Card.Limits.Hs = new(measure.Metres(2))
	if r := assess(t, q); !r.WithinLimits {
		t.Errorf("limit 2 m: not within, want within; reasons %v", r.Reasons)
	}
}
