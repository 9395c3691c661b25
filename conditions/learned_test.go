package conditions

import (
	"testing"
	"time"

	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
)

// watched is what n watches of 20 minutes saw, each k washes in a sea of 1.5 m at 8 s, 3 m below the lip.
func watched(q Question, n, k int) []ledge.Observation {
	var out []ledge.Observation
	for i := range n {
		out = append(out, ledge.Observation{
			At: q.Now.Add(-time.Duration(i+1) * 24 * time.Hour), Washes: k, Phi: ledge.PhiSwell,
			Spans: []ledge.Span{{Minutes: 20, Hs: 1.5, Tz: 8, Rc: 3, From: new(measure.From(285))}},
		})
	}
	return out
}

func TestWatchesShiftTheAnswer(t *testing.T) {
	q := anvil(t)
	q.Sea = sea(q.From.Add(-2*time.Hour), 12, swell(1.3, 11, 285))
	bare := assess(t, q)
	q.Learned = watched(q, 6, 0)
	dry := assess(t, q)
	q.Learned = watched(q, 6, 8)
	wet := assess(t, q)
	if !(dry.PStay < bare.PStay && bare.PStay < wet.PStay) {
		t.Errorf("chance = %v after dry watches, %v without, %v after wet ones; want it to grow", dry.PStay, bare.PStay, wet.PStay)
	}
	if !dry.Calibrated || !wet.Calibrated || bare.Calibrated || dry.Watches != 6 {
		t.Errorf("calibrated %v, %v, %v, watches %d; want true, true and false without any, 6", dry.Calibrated, wet.Calibrated, bare.Calibrated, dry.Watches)
	}
}

// A few watches count, but the ledge is called calibrated only from CalibratedAt on.
func TestFewWatchesAreNoCalibration(t *testing.T) {
	q := anvil(t)
	q.Card.LipMeasured = ledge.Unmeasured
	for n := range CalibratedAt + 2 {
		q.Learned = watched(q, n, 1)
		r := assess(t, q)
		if want := n >= CalibratedAt; r.Calibrated != want || says(r, WhyLip) == want {
			t.Errorf("%d watches: calibrated %v, lip doubted %v, want %v, %v", n, r.Calibrated, says(r, WhyLip), want, !want)
		}
	}
}

// One watch that cannot be true under the formula (every wave washed, far above a small sea) is a wrong mark or a wrong
// forecast: alone it shifts nothing, and however often it was made it is no calibration.
func TestAContradictionShiftsNothing(t *testing.T) {
	q := anvil(t)
	bare := assess(t, q)
	for _, n := range []int{1, 6} {
		q.Learned = watched(q, n, 140)
		for i := range q.Learned {
			q.Learned[i].Spans[0].Hs, q.Learned[i].Spans[0].Rc = 0.3, 6
		}
		if r := assess(t, q); r.PStay != bare.PStay || r.Calibrated || r.Verdict != bare.Verdict {
			t.Errorf("%d contradictions: chance %v, calibrated %v, want %v as without, false", n, r.PStay, r.Calibrated, bare.PStay)
		}
	}
	q.Card.LipMeasured, q.Learned = ledge.Unmeasured, watched(q, 6, 140)
	for i := range q.Learned {
		q.Learned[i].Spans[0].Hs, q.Learned[i].Spans[0].Rc = 0.3, 6
	}
	if r := assess(t, q); !says(r, WhyLip) {
		t.Error("contradicting watches stood in for a measured lip, want it doubted")
	}
}

// An observation that says nothing (under water every wave washes) neither shifts the answer nor silences the others.
func TestABadObservationDoesNotSilenceTheOthers(t *testing.T) {
	q := anvil(t)
	bad := ledge.Observation{At: q.Now, Washes: 3, Spans: []ledge.Span{{Minutes: 20, Hs: 1, Tz: 8, Rc: -1}}}
	bare := assess(t, q)
	q.Learned = []ledge.Observation{bad}
	if r := assess(t, q); r.PStay != bare.PStay || r.Calibrated {
		t.Errorf("one bad observation: chance %v, want %v", r.PStay, bare.PStay)
	}
	q.Learned = watched(q, 6, 8)
	wet := assess(t, q)
	q.Learned = append(q.Learned, bad)
	if r := assess(t, q); r.PStay != wet.PStay || !r.Calibrated {
		t.Errorf("bad observation among six: chance %v, calibrated %v, want %v, true", r.PStay, r.Calibrated, wet.PStay)
	}
	q.Learned = append(watched(q, CalibratedAt-1, 8), bad)
	if assess(t, q).Calibrated {
		t.Error("a bad observation counted towards a calibration, want not")
	}
}

// One watch against many that agree moves the answer less than they did.
func TestOneOutlierAmongManyMovesLittle(t *testing.T) {
	q := anvil(t)
	q.Sea = sea(q.From.Add(-2*time.Hour), 12, swell(1.3, 11, 285))
	bare := assess(t, q).PStay
	q.Learned = watched(q, 10, 1)
	agreed := assess(t, q).PStay
	q.Learned = append(q.Learned, watched(q, 1, 6)...)
	if with := assess(t, q).PStay; !(with >= agreed && with-agreed < 0.25) {
		t.Errorf("chance %v bare, %v after ten watches, %v with an outlier; want a small rise", bare, agreed, with)
	}
}
