package wave

import (
	"math"
	"math/rand/v2"
	"testing"

	"ledgehand/conditions/measure"
)

// linear_theory.csv: worked examples of the USACE Coastal Engineering Manual II-1-1, the USACE
// ACES User's Guide 2-1-4 and 3-2-5 and the DNV Pierson-Moskowitz page, and rows solved
// elsewhere to 1e-15. One row is not covered: Goda's non-linear shoaling, which we do not use.
func TestSolveAgreesWithLinearTheory(t *testing.T) {
	var w worst
	for _, r := range table(t, "linear_theory.csv") {
		if r["quantity"] == "Ks_nonlinear_Goda(H0=4.5)" {
			continue
		}
		h := r.Num(t, "h_m")
		got, err := Solve(measure.Seconds(r.Num(t, "T_s")), measure.Metres(h), r.Num(t, "g"))
		if err != nil {
			t.Errorf("%s: Solve = %v, want a wave", r["id"], err)
			continue
		}
		v, ok := map[string]float64{
			"L": float64(got.Length), "c": got.Celerity, "cg": got.Group, "Ks": got.Ks,
			"kh": got.KH, "h_over_L": h / float64(got.Length),
		}[r["quantity"]]
		if !ok {
			t.Fatalf("%s: quantity %q is not one we know", r["id"], r["quantity"])
		}
		w.Check(t, r["id"]+" "+r["quantity"], v, r.Num(t, "value"), r.Tol(t))
	}
	if w.Rows != 63-1 {
		t.Errorf("checked %d rows, want all but one of 63", w.Rows)
	}
	w.Log(t)
}

// spm_table_c1.csv: the columns of the Shore Protection Manual (1984), table C-1, solved exactly;
// given to 5 digits.
func TestSolveAgreesWithShoreProtectionManualTable(t *testing.T) {
	const period = 10
	var w worst
	for _, r := range table(t, "spm_table_c1.csv") {
		h := measure.Metres(r.Num(t, "h_over_L0")) * DeepLength(period, measure.Gravity)
		got, err := Solve(period, h, measure.Gravity)
		if err != nil {
			t.Fatal(err)
		}
		c0 := float64(DeepLength(period, measure.Gravity)) / period
		for name, v := range map[string]float64{
			"h_over_L": float64(h / got.Length), "tanh_kh": math.Tanh(got.KH), "Ks": got.Ks, "n": got.N, "cg_over_c0": got.Group / c0,
		} {
			w.Check(t, r["h_over_L0"]+" "+name, v, r.Num(t, name), lastDigit(r[name]))
		}
	}
	w.Log(t)
}

// dispersion_approximations.csv: how far the start and the two Newton steps are off, and where.
// The rows of other people's approximations are not ours to check, but for the start we use.
func TestDispersionErrorIsAsTabulated(t *testing.T) {
	exact := func(y float64) float64 { // bisection: slow, and cannot be wrong
		lo, hi := 0.0, y+math.Sqrt(y)+1
		for range 200 {
			mid := (lo + hi) / 2
			if mid*math.Tanh(mid) < y {
				lo = mid
			} else {
				hi = mid
			}
		}
		return (lo + hi) / 2
	}
	start := func(y float64) float64 { return y * math.Pow(1-math.Exp(-math.Pow(y, 1.25)), -0.4) }
	errs := map[string]func(y float64) float64{"Guo 2002 rounded 5/4, 2/5": start, "Guo + 2 Newton steps": dispersion}
	for _, r := range table(t, "dispersion_approximations.csv") {
		f, ok := errs[r["method"]]
		if !ok {
			continue
		}
		delete(errs, r["method"])
		var most float64
		for ly := -6.0; ly <= 3; ly += 0.002 {
			y := math.Pow(10, ly)
			x := exact(y)
			most = math.Max(most, 100*math.Abs(f(y)/x-1))
		}
		if want := r.Num(t, "max_rel_error_kh_percent_recomputed"); math.Abs(most/want-1) > 0.02 {
			t.Errorf("%s: greatest error %.4g %%, want %.4g %%", r["method"], most, want)
		}
	}
	if len(errs) != 0 {
		t.Errorf("rows not found: %v", errs)
	}
}

func TestSolveProperties(t *testing.T) {
	const seed = 11
	rnd := rand.New(rand.NewPCG(seed, 0))
	for range 5000 {
		period := measure.Seconds(2 + 23*rnd.Float64())
		h := measure.Metres(math.Pow(10, -2+5*rnd.Float64()))
		w, err := Solve(period, h, measure.Gravity)
		if err != nil {
			t.Fatalf("seed %d: Solve(%v, %v) = %v", seed, period, h, err)
		}
		omega := 2 * math.Pi / float64(period)
		if res := measure.Gravity*w.K*math.Tanh(w.K*float64(h))/(omega*omega) - 1; math.Abs(res) > 4e-10 {
			t.Errorf("seed %d: Solve(%v, %v) leaves %v of the dispersion relation, want 0", seed, period, h, res)
		}
		if !(w.N >= 0.5 && w.N <= 1) {
			t.Errorf("seed %d: Solve(%v, %v).N = %v, want 1/2 to 1", seed, period, h, w.N)
		}
	}
	deep, err := Solve(9, measure.Metres(math.Inf(1)), measure.Gravity)
	if err != nil {
		t.Fatal(err)
	}
	far, err := Solve(9, 5000, measure.Gravity)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(float64(far.Length/deep.Length)-1) > 1e-12 || math.Abs(far.Ks-1) > 1e-12 || math.Abs(far.N-0.5) > 1e-12 {
		t.Errorf("Solve(9, 5000) = %+v, want the deep-water %+v", far, deep)
	}
	shallow, err := Solve(20, 0.01, measure.Gravity)
	if err != nil {
		t.Fatal(err)
	}
	if want := math.Sqrt(measure.Gravity * 0.01); math.Abs(shallow.Celerity/want-1) > 1e-4 || shallow.N < 0.999 {
		t.Errorf("Solve(20, 0.01) = %+v, want celerity sqrt(g h) = %v", shallow, want)
	}
}

func TestSolveRefuses(t *testing.T) {
	for _, in := range [][3]float64{{0, 5, 9.8}, {-3, 5, 9.8}, {math.NaN(), 5, 9.8}, {math.Inf(1), 5, 9.8}, {8, 0, 9.8}, {8, -1, 9.8}, {8, math.NaN(), 9.8}, {8, 5, 0}, {8, 5, math.NaN()}} {
		if w, err := Solve(measure.Seconds(in[0]), measure.Metres(in[1]), in[2]); err == nil {
			t.Errorf("Solve(%v) = %+v, want an error", in, w)
		}
	}
}
