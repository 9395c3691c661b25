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

// Watches on days when no wave could come near the lip show nothing, however many: they neither move the answer, nor make up
// for a lip nobody measured, nor take the doubt about the shore away.
func TestWatchesThatShowNothingAreNoCalibration(t *testing.T) {
	q := anvil(t)
	q.Card.LipMeasured = ledge.Unmeasured
	q.Sea = sea(q.From.Add(-2*time.Hour), 12, swell(1.3, 11, 285))
	bare := assess(t, q)
	q.Learned = watched(q, 30, 0)
	for i := range q.Learned {
		q.Learned[i].Spans[0].Rc = 10
	}
	r := assess(t, q)
	if r.Calibrated || !says(r, WhyLip) || *r.Hours[0].HsP90 != *bare.Hours[0].HsP90 {
		t.Errorf("30 watches that show nothing: calibrated %v, lip doubted %v, P90 %v; want false, true, %v", r.Calibrated, says(r, WhyLip), *r.Hours[0].HsP90, *bare.Hours[0].HsP90)
	}
	if math.Abs(r.PStay-bare.PStay) > 0.02 {
		t.Errorf("chance %v after watches that show nothing, want %v", r.PStay, bare.PStay)
	}
}

// A watch knows the ledge no better than its forecast knew the sea.
func TestAWatchOnADoubtfulForecastMovesLess(t *testing.T) {
	q := anvil(t)
	last := math.Inf(1)
	for _, sigma := range []float64{0.01, 0, 0.3, 0.6} { // 0: nobody said, which is a forecast of the day
		q.Learned = watched(q, 1, 12)
		q.Learned[0].Sigma = sigma
		r := assess(t, q)
		a := assessment{q: q, r: &r}
		post := a.learned()
		if post == nil || !(ledge.VerticalKappa < post.Median && post.Median < last) {
			t.Fatalf("after a wet watch in a sea known to %v: %+v, want a median between %v and %v", sigma, post, ledge.VerticalKappa, last)
		}
		last = post.Median
		if q.Learned[0].Sigma != sigma {
			t.Error("the observation handed in was changed")
		}
	}
}

// What waves of one swell do says less of another: its watches move the answer, but are no calibration.
func TestAnotherSwellIsNotCalibrated(t *testing.T) {
	q := anvil(t)
	bare := assess(t, q)
	from := func(d float64, n int) Report {
		q := q
		q.Learned = watched(q, n, 0)
		for i := range q.Learned {
			q.Learned[i].Spans[0].From = new(measure.From(d))
		}
		return assess(t, q)
	}
	own, other := from(285, 8), from(200, 8)
	if !own.Calibrated || other.Calibrated {
		t.Errorf("calibrated %v by its own swell and %v by another, want true and false", own.Calibrated, other.Calibrated)
	}
	if !(own.PStay < other.PStay && other.PStay < bare.PStay) {
		t.Errorf("chance %v after dry watches in this swell, %v in another, %v without; want it to rise", own.PStay, other.PStay, bare.PStay)
	}
	if *other.Hours[0].HsP90 != *bare.Hours[0].HsP90 {
		t.Errorf("P90 of the sea %v by watches of another swell, want %v as uncalibrated", *other.Hours[0].HsP90, *bare.Hours[0].HsP90)
	}
	// A few of its own among them are heard for their share.
	mixed := q
	mixed.Learned = watched(q, 8, 0)
	for i := range 5 {
		mixed.Learned[i].Spans[0].From = new(measure.From(200))
	}
	if r := assess(t, mixed); r.Calibrated || !(own.PStay < r.PStay && r.PStay < other.PStay) {
		t.Errorf("3 of 8 in this swell: chance %v, calibrated %v; want between %v and %v, false", r.PStay, r.Calibrated, own.PStay, other.PStay)
	}
}

func TestReportsOfSessionsShiftTheAnswer(t *testing.T) {
	q := anvil(t)
	bare := assess(t, q).PStay
	report := func(washes int) float64 {
		q.Learned = nil
		for i := range 3 {
			at := q.Now.Add(-time.Duration(i+1) * 24 * time.Hour)
			q.Learned = append(q.Learned, ledge.Reported(at, washes, 11,
				ledge.Span{Minutes: 60, Hs: 1.2, Tz: 8.5, Rc: 3.2, From: new(measure.From(285))}, ledge.Span{Minutes: 60, Hs: 1.2, Tz: 8.5, Rc: 3, From: new(measure.From(285))}))
		}
		return assess(t, q).PStay
	}
	if dry, wet := report(0), report(ledge.ReportedOnce); !(dry < bare && bare < wet) {
		t.Errorf("chance %v after dry sessions, %v before, %v after wet ones; want it to rise", dry, bare, wet)
	}
}

func TestTaught(t *testing.T) {
	q := anvil(t)
	if l := Taught(q.Card, nil, q.Now); l.Watches != 0 || l.Calibrated || math.Abs(l.Factor-1) > 1e-6 {
		t.Errorf("Taught by nothing = %+v, want the textbook, not calibrated", l)
	}
	bad := ledge.Observation{At: q.Now, Washes: 3, Spans: []ledge.Span{{Minutes: 20, Hs: 1, Tz: 8, Rc: -1}}}
	dry := Taught(q.Card, append(watched(q, 6, 0), bad, ledge.Observation{}), q.Now)
	wet := Taught(q.Card, watched(q, 6, 8), q.Now)
	if dry.Watches != 6 || dry.Wet != 0 || wet.Wet != 6 || !wet.Calibrated || len(wet.Swells) != 1 || wet.Swells[0].From != 270 {
		t.Errorf("Taught = %+v by dry watches, %+v by wet ones; want 6 of each, the wet calibrated, in west swell", dry, wet)
	}
	if !(dry.Factor < 1 && 1 < wet.Factor) {
		t.Errorf("factor %v by dry watches, %v by wet ones; want below and above 1", dry.Factor, wet.Factor)
	}
	// A gentle face starts from a formula of its own, that asks for the sea of the watches.
	gentle := q.Card
	gentle.FaceSlope = new(3.0)
	if l := Taught(gentle, watched(q, 6, 8), q.Now); math.Abs(l.Kappa-l.Factor*ledge.VerticalKappa) < 0.05 {
		t.Errorf("Taught on a gentle face = %+v: measured against the vertical one", l)
	}
	// What the card says is what the answer reckons with.
	q.Learned = watched(q, 6, 8)
	r := assess(t, q)
	a := assessment{q: q, r: &r}
	if post := a.learned(); post == nil || math.Abs(post.Median/wet.Kappa-1) > 1e-9 || math.Abs(post.Spread-wet.Spread) > 1e-9 {
		t.Errorf("the answer reckons with %+v, the card says %+v", post, wet)
	}
}

func BenchmarkAssessMorningAfterFiftyWatches(b *testing.B) {
	q := anvil(b)
	q.Learned = watched(q, 50, 1)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Assess(q); err != nil {
			b.Fatal(err)
		}
	}
}
