package conditions

import (
	"math"
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
	bad := ledge.Observation{At: q.Now, Washes: 3, Spans: []ledge.Span{{Minutes: 20, Hs: 1, Tz: 8, Rc: -1, From: new(measure.From(285))}}}
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

// A watch that could hardly show anything leaves the formula's answer for this face where it was.
func TestAWatchStartsFromTheFormulaOfTheFace(t *testing.T) {
	for _, cot := range []float64{0, 1, 2} {
		q := anvil(t)
		q.Card.FaceSlope = &cot
		bare := assess(t, q).PStay
		q.Learned = watched(q, 1, 0)
		q.Learned[0].Spans[0].Hs, q.Learned[0].Spans[0].Rc = 0.3, 9
		if got := assess(t, q).PStay; math.Abs(got-bare) > 0.02 {
			t.Errorf("cot %v: chance %v after a watch that shows nothing, want %v", cot, got, bare)
		}
	}
}

// Once a swell's own sector has enough watches, those of other swells do not speak for it.
func TestASectorSpeaksForItself(t *testing.T) {
	q := anvil(t)
	q.Learned = watched(q, CalibratedAt, 0)
	want := assess(t, q).PStay
	for _, o := range watched(q, 6, 9) {
		o.Spans[0].From = new(measure.From(200))
		q.Learned = append(q.Learned, o)
	}
	if got := assess(t, q).PStay; got != want {
		t.Errorf("chance %v with wet watches of another swell, want %v as without", got, want)
	}
}

// Enough watches make the forecast's error at this shore a known one, and show what long swell around the point does
// (waves.md sections 6 and 8: 0.15 in quadrature, and 0.3 of the height from anywhere, until calibrated).
func TestACalibrationNarrowsWhatIsNotKnown(t *testing.T) {
	q := anvil(t)
	around := sea(q.From.Add(-2*time.Hour), 12, swell(2, 14, 120)) // from behind the open sector
	bare := assess(t, q)
	bareAround := q
	bareAround.Sea = around
	if got, want := float64(assess(t, bareAround).Hours[0].HsLocal), 0.3*2.0; got < want {
		t.Errorf("long swell from behind, uncalibrated: %v m at the ledge, want at least %v", got, want)
	}
	q.Learned = watched(q, CalibratedAt, 1)
	for i := range q.Learned {
		q.Learned[i].Spans[0].From = nil
	}
	r := assess(t, q)
	if !(*r.Hours[0].HsP90 < *bare.Hours[0].HsP90) {
		t.Errorf("P90 of the sea = %v calibrated, %v not; want it lower", *r.Hours[0].HsP90, *bare.Hours[0].HsP90)
	}
	q.Sea = around
	if got := float64(assess(t, q).Hours[0].HsLocal); got > 0.1 {
		t.Errorf("long swell from behind, calibrated: %v m at the ledge, want next to none", got)
	}
}
