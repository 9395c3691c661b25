package wave

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"ledgehand/conditions/measure"
)

// runup_overtopping.csv: EurOtop (2018) run-up on plane faces and what follows from it. Not covered,
// because we do not compute them: mean discharge (O01 to O11), beach run-up (O12 to O17),
// the 1.21 form of the overtopping share (half of O5x), individual volumes (O6x), and
// the overtopping and height factors of oblique attack (two of the three numbers of O7x).
func TestRunUpTable(t *testing.T) {
	const g = 9.81
	var w worst
	for _, r := range table(t, "runup_overtopping.csv") {
		at := r["id"] + " " + r["quantity"]
		switch {
		case r["structure"] == "run-up on plane face":
			num := func(name string) float64 { return in(t, r, "inputs", name) }
			f := RunUp2
			if strings.HasPrefix(r["quantity"], "kappa") {
				f = Kappa
			}
			got, err := f(num("cot_alpha"), num("gamma_f"), measure.Metres(num("Hm0")), measure.Seconds(num("Tm-1,0")), g)
			if err != nil {
				t.Fatal(at, err)
			}
			w.Check(t, at, got, r.Num(t, "value"), r.Tol(t))
		case r["structure"] == "vertical face" && r["quantity"] == "same through Ru2%=1.8 Hm0":
			hs := in(t, r, "inputs", "Hm0")
			kappa, err := Kappa(0, 1, measure.Metres(hs), 9, g)
			if err != nil {
				t.Fatal(at, err)
			}
			w.Check(t, at, Rayleigh().Exceed(in(t, r, "inputs", "Rc")/(kappa*hs)), r.Num(t, "value"), r.Tol(t))
		case r["structure"] == "oblique attack":
			first, _, _ := strings.Cut(r["value"], ";")
			want, err := strconv.ParseFloat(first, 64)
			if err != nil {
				t.Fatal(at, err)
			}
			w.Check(t, at, ObliqueRunUp(in(t, r, "inputs", "beta")), want, r.Tol(t))
		}
	}
	if w.Rows != 12+4+7 {
		t.Errorf("checked %d rows, want 23", w.Rows)
	}
	w.Log(t)
}

func TestKappaRefuses(t *testing.T) {
	for _, in := range [][2]float64{{-1, 1}, {math.NaN(), 1}, {math.Inf(1), 1}, {1, 0}, {1, 1.1}, {1, math.NaN()}} {
		if got, err := Kappa(in[0], in[1], 2, 9, 9.81); err == nil {
			t.Errorf("Kappa(%v) = %v, want an error", in, got)
		}
	}
}

func TestKappaHoldsWithNoWaves(t *testing.T) {
	if got, err := Kappa(3, 1, 0, 9, 9.81); err != nil || math.Abs(got-4/rayleigh2) > 1e-12 {
		t.Errorf("Kappa(cot 3, no waves) = %v, %v, want its upper bound %v", got, err, 4/rayleigh2)
	}
}

func TestViolent(t *testing.T) {
	for _, tt := range []struct {
		name      string
		depth, hs measure.Metres
		want      bool
	}{
		{"DeepFoot", 11.2, 1.98, false},   // h/Hs 5.7
		{"ShallowFoot", 1.5, 0.9, true},   // h/Hs 1.7
		{"DryFoot", 0, 1, true},           //
		{"FootInTheAir", -0.3, 0, true},   //
		{"NearlyNoWaves", 6, 1e-9, false}, //
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := Violent(tt.depth, tt.hs, 10, measure.Gravity); got != tt.want {
				t.Errorf("Violent(%v, %v) = %v, want %v", tt.depth, tt.hs, got, tt.want)
			}
		})
	}
}
