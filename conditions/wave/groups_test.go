package wave

import (
	"math"
	"testing"
)

// wave_groups_kimura.csv: Kimura (1980), computed elsewhere by integrating the bivariate Rayleigh
// density. The level 0.5887 is the median, 0.588705, rounded; both are tried against 5 digits.
func TestKimuraTable(t *testing.T) {
	var w worst
	for _, r := range table(t, "wave_groups_kimura.csv") {
		level := r.Num(t, "threshold_over_Hs")
		if r["threshold_over_Hs"] == "0.5887" {
			level = Rayleigh().Height(0.5)
		}
		corr := r.Num(t, "height_correlation_gamma_h")
		got, err := Sets(corr, level)
		if err != nil {
			t.Fatal(err)
		}
		at := r["height_correlation_gamma_h"] + " " + r["threshold_over_Hs"] + " "
		w.Check(t, at+"kappa", kimuraParameter(corr), r.Num(t, "kappa"), math.Max(lastDigit(r["kappa"]), 5.01e-6))
		for column, v := range map[string]float64{"p22": got.Stay, "mean_run_waves": got.Run, "mean_total_run_waves": got.Interval} {
			want := r.Num(t, column)
			w.Check(t, at+column, v, want, math.Max(lastDigit(r[column]), 5.01e-5*want))
		}
	}
	w.Log(t)
}

func TestSets(t *testing.T) {
	t.Run("SwellAbove1.5HsComesEvery130Waves", func(t *testing.T) {
		got, err := Sets(SwellCorrelation, 1.5)
		if err != nil || math.Abs(got.Interval-130) > 2 {
			t.Errorf("Sets(0.6, 1.5) = %+v, %v, want an interval of about 130 waves", got, err)
		}
	})
	t.Run("LongerWithMoreCorrelation", func(t *testing.T) {
		last := 0.0
		for r := 0.0; r <= 0.95; r += 0.05 {
			got, err := Sets(r, 1.5)
			if err != nil || got.Interval <= last || got.Run < 1 || got.Stay < math.Exp(-4.5)*0.999 {
				t.Errorf("Sets(%v, 1.5) = %+v, %v, want an interval above %v", r, got, err, last)
			}
			last = got.Interval
		}
	})
	t.Run("ShareOfTimeAboveIsTheRayleighShare", func(t *testing.T) {
		for _, level := range []float64{0.5, 1, 1.5, 2} {
			got, err := Sets(0.6, level)
			if want := Rayleigh().Exceed(level); err != nil || math.Abs(got.Run/got.Interval/want-1) > 1e-9 {
				t.Errorf("Sets(0.6, %v) = %+v, %v, want a share above of %v", level, got, err, want)
			}
		}
	})
	t.Run("RefusesOutOfRange", func(t *testing.T) {
		for _, in := range [][2]float64{{-0.1, 1}, {0.96, 1}, {0.5, 0}, {0.5, 4}, {math.NaN(), 1}, {0.5, math.NaN()}} {
			if got, err := Sets(in[0], in[1]); err == nil {
				t.Errorf("Sets(%v) = %+v, want an error", in, got)
			}
		}
	})
}
