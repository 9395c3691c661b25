package ledge

import (
	"math"
	"testing"

	"ledgehand/conditions/measure"
)

func TestRiseThatDoubles(t *testing.T) {
	// A vertical face, Hs 1.5 m, freeboard 3 m: 0.22 m, worked out by hand from the first term of the series and again
	// from the whole of it.
	if got := RiseThatDoubles(VerticalKappa, 1.5, 3); math.Abs(float64(got)-0.2236) > 5e-4 {
		t.Errorf("RiseThatDoubles = %v, want 0.224 m", got)
	}
	for _, kappa := range []float64{0.6, 1, 1.3, 2} {
		for _, hs := range []measure.Metres{0.5, 1.5, 3} {
			for _, rc := range []measure.Metres{0.4, 1, 3, 6} {
				d := RiseThatDoubles(kappa, hs, rc)
				if d <= 0 || d > rc {
					t.Fatalf("kappa %v, Hs %v, Rc %v: rise %v, want it within the freeboard", kappa, hs, rc, d)
				}
				share := math.Exp(-2 * math.Pow(float64(rc)/(kappa*float64(hs)), 2))
				then := ScaleShare(share, rc, hs, rc-d, hs)
				if share <= 0.5 && math.Abs(then/share-2) > 1e-6 || share > 0.5 && d != rc {
					t.Errorf("kappa %v, Hs %v, Rc %v: %v m more water makes %v of waves wash where %v did", kappa, hs, rc, d, then, share)
				}
			}
		}
	}
	for _, bad := range [][3]float64{{1, 1, 0}, {1, 1, -1}, {1, 0, 1}, {0, 1, 1}, {math.NaN(), 1, 1}, {1, 1, math.NaN()}, {math.Inf(1), 1, 1}} {
		if got := RiseThatDoubles(bad[0], measure.Metres(bad[1]), measure.Metres(bad[2])); got != 0 {
			t.Errorf("RiseThatDoubles(%v) = %v, want 0: nothing can be told", bad, got)
		}
	}
}
