package ledge

import (
	"encoding/json"
	"math"
	"slices"
	"testing"

	"ledgehand/conditions/measure"
)

// Whatever JSON comes in, Wash either refuses it or answers with finite numbers, chances between
// 0 and 1 and a verdict, and never calls a ledge dry that stands under water.
func FuzzWash(f *testing.F) {
	for _, s := range scenarios(f) {
		f.Add([]byte(s.Inputs))
	}
	f.Add([]byte(`{"ledge":{"height_m":1,"faces":0,"open_sector":[270,90],"cot_alpha":3},"partitions":[{"kind":"swell","Hs":1e-12,"Tp":9,"dir_from":180}],"water_level_m":[0.9999,1,-3],"step_min":1}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		var in WashInput
		if json.Unmarshal(b, &in) != nil || len(in.WaterLevel) > 50 {
			return
		}
		got, err := Wash(in)
		if err != nil {
			return
		}
		if _, err := json.Marshal(got); err != nil {
			t.Fatalf("Wash(%s) = %+v, want finite numbers: %v", b, got, err)
		}
		for _, p := range []float64{got.Chance, got.ChanceMedian, got.ChanceBad} {
			if !(p >= 0 && p <= 1) {
				t.Errorf("Wash(%s) has a chance of %v, want 0 to 1", b, p)
			}
		}
		if !slices.Contains(verdicts, got.Verdict) {
			t.Errorf("Wash(%s) = %q, want a verdict", b, got.Verdict)
		}
		for i, s := range got.Steps {
			if s.Rc <= 0 && (got.Verdict != LikelyWashed || s.ShareMedian != 1) {
				t.Errorf("Wash(%s) = %q with step %d under water, want likely washed", b, got.Verdict, i)
			}
			if math.IsNaN(s.SigmaTotal) || s.HsLocal < 0 {
				t.Errorf("Wash(%s) step %d = %+v", b, i, s)
			}
		}
		if got.AnyViolent && (got.Verdict == CouldBe || got.Verdict == NotExpected) {
			t.Errorf("Wash(%s) = %q with waves breaking onto the face, want likely washed or cannot tell", b, got.Verdict)
		}
	})
}

func FuzzCalibrate(f *testing.F) {
	f.Add(3, 20.0, 1.5, 8.0, 3.0, 1.287, 0.35, 1.4)
	f.Add(0, 1e-3, 1e-9, 1e9, 1e-9, 1e-3, 3.0, 0.0)
	f.Add(900000, 1e9, 30.0, 1.0, 500.0, 20.0, 0.01, 10.0)
	f.Fuzz(func(t *testing.T, k int, minutes, hs, tz, rc, prior, sigma, phi float64) {
		in := CalibrateInput{
			Washes: k, Minutes: minutes, Hs: measure.Metres(hs), Tz: measure.Seconds(tz), Rc: measure.Metres(rc),
			PriorKappa: prior, PriorSigma: sigma, Phi: phi,
		}
		got, err := Calibrate(in)
		if err != nil {
			return
		}
		if _, err := json.Marshal(got); err != nil {
			t.Errorf("Calibrate(%+v) = %+v, want finite numbers: %v", in, got, err)
		}
		if !(got.P5 <= got.Median && got.Median <= got.P95 && got.Spread >= LeastSpread) {
			t.Errorf("Calibrate(%+v) = %v, %v, %v, spread %v, want ordered quantiles", in, got.P5, got.Median, got.P95, got.Spread)
		}
	})
}
