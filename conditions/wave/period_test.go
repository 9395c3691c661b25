package wave

import (
	"math"
	"testing"
)

// period_ratios.csv: JONSWAP moments computed elsewhere, given to 5 digits, and the zero-crossing
// ratio of the DNV Pierson-Moskowitz page. The DNV polynomial is a column we do not offer.
func TestJonswapRatiosTable(t *testing.T) {
	var w worst
	for _, r := range table(t, "period_ratios.csv") {
		got, err := JonswapRatios(r.Num(t, "gamma"))
		if err != nil {
			t.Fatal(err)
		}
		for column, v := range map[string]float64{
			"Tm-1,0_over_Tp": got.Energy, "Tm01_over_Tp": got.Mean01, "Tm02(Tz)_over_Tp": got.Zero, "Tm-1,0_over_Tz": got.Energy / got.Zero,
		} {
			if r[column] == "" {
				continue
			}
			// The last digit of the published row is one of rounding of Tz = 10 s over Tp = 14.077 s.
			w.Check(t, r["gamma"]+" "+column, v, r.Num(t, column), math.Max(lastDigit(r[column]), 1.5e-5))
		}
	}
	w.Log(t)
}

func TestConvert(t *testing.T) {
	t.Run("ThereAndBack", func(t *testing.T) {
		for _, k := range []PeriodKind{Peak, Energy, Mean01, Zero} {
			out, err := Convert(12, Peak, k, WindSeaPeak)
			if err != nil {
				t.Fatal(err)
			}
			back, err := Convert(out, k, Peak, WindSeaPeak)
			if err != nil || math.Abs(float64(back)-12) > 1e-12 {
				t.Errorf("Convert(12 s to %s and back) = %v, %v, want 12", k, back, err)
			}
			if k != Peak && out >= 12 {
				t.Errorf("Convert(12 s, peak, %s) = %v, want less: mean periods are below the peak", k, out)
			}
		}
	})
	t.Run("RefusesAKindItDoesNotKnow", func(t *testing.T) {
		for _, k := range []PeriodKind{"", "significant", "Peak"} {
			if got, err := Convert(12, k, Peak, 3.3); err == nil {
				t.Errorf("Convert(from %q) = %v, want an error", k, got)
			}
			if got, err := Convert(12, Peak, k, 3.3); err == nil {
				t.Errorf("Convert(to %q) = %v, want an error", k, got)
			}
		}
	})
	t.Run("RefusesAnEnhancementOutOfRange", func(t *testing.T) {
		for _, g := range []float64{0, 0.5, 21, math.NaN()} {
			if got, err := JonswapRatios(g); err == nil {
				t.Errorf("JonswapRatios(%v) = %v, want an error", g, got)
			}
		}
	})
}
