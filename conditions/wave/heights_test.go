package wave

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"ledgehand/conditions/measure"
)

var xOf = regexp.MustCompile(`^x=([0-9.]+)$`)

// height_statistics.csv: ratios of Longuet-Higgins (1952), Forristall (1978), counts in an outing,
// and systems added as spectral moments.
func TestHeightStatisticsTable(t *testing.T) {
	var w worst
	for _, r := range table(t, "height_statistics.csv") {
		at, want, tol := r["id"]+" "+r["quantity"], r.Num(t, "value"), r.Tol(t)
		var got float64
		switch {
		case r["quantity"] == "Hs/Hrms":
			got = MeanOfHighest(1.0 / 3)
		case r["quantity"] == "H1/10 / H1/3":
			got = MeanOfHighest(0.1) / MeanOfHighest(1.0/3)
		case r["quantity"] == "H1/100 / H1/3":
			got = MeanOfHighest(0.01) / MeanOfHighest(1.0/3)
		case r["quantity"] == "Hmean/Hrms":
			got = Rayleigh().Mean() * math.Sqrt2
		case strings.HasPrefix(r["quantity"], "H(10 %"):
			got = Rayleigh().Height(0.1) * math.Sqrt2 / MeanOfHighest(1.0/3)
		case r["quantity"] == "H2%/H1/3":
			got = Rayleigh().Height(0.02) * math.Sqrt2 / MeanOfHighest(1.0/3)
		case r["quantity"] == "Hmean/Hs":
			got = Rayleigh().Mean()
		case r["quantity"] == "Hmedian/Hs":
			got = Rayleigh().Height(0.5)
		case xOf.MatchString(r["condition"]):
			x, err := strconv.ParseFloat(xOf.FindStringSubmatch(r["condition"])[1], 64)
			if err != nil {
				t.Fatal(err)
			}
			got = Rayleigh().Exceed(x)
			if strings.Contains(r["quantity"], "Forristall") {
				got = Forristall().Exceed(x)
			}
		case strings.Contains(r["condition"], "outing="):
			n := in(t, r, "condition", "outing") * 3600 / in(t, r, "condition", "Tz")
			p := Rayleigh().Exceed(heightIn(t, r["condition"]) / in(t, r, "condition", "Hs"))
			switch r["quantity"] {
			case "number of waves N":
				got = n
			case "expected number of exceedances":
				got = n * p
			case "P(at least one), Poisson 1-exp(-N p)":
				got = AnyOf(n, p)
			case "P(at least one), 1-(1-p)^N":
				got = 1 - math.Pow(1-p, n) // not a function of ours: kept to show how near the two are
			}
		case strings.HasPrefix(r["quantity"], "combined"):
			s, err := Combine(systemsIn(t, r["condition"]))
			if err != nil {
				t.Fatal(err)
			}
			switch {
			case strings.HasPrefix(r["quantity"], "combined Hs"):
				got = float64(s.Hs)
			case strings.HasPrefix(r["quantity"], "combined Tm"):
				got = float64(s.Energy)
			default:
				got = float64(s.Zero)
			}
		default:
			t.Fatalf("%s: a row no case takes", at)
		}
		w.Check(t, at, got, want, tol)
	}
	w.Log(t)
}

func heightIn(t *testing.T, s string) float64 {
	t.Helper()
	_, v, ok := strings.Cut(s, "threshold height=")
	h, err := strconv.ParseFloat(strings.TrimSuffix(v, " m"), 64)
	if !ok || err != nil {
		t.Fatalf("threshold in %q: %v", s, err)
	}
	return h
}

// systemsIn reads "Hs=1.5,Tp=13.0; ..." with the table's own period ratios, which differ from ours
// in the fourth digit.
func systemsIn(t *testing.T, s string) []System {
	t.Helper()
	var out []System
	for part := range strings.SplitSeq(s, "; ") {
		r := row{"x": part}
		tp := in(t, r, "x", "Tp")
		out = append(out, System{Hs: measure.Metres(in(t, r, "x", "Hs")), Energy: measure.Seconds(0.9034 * tp), Zero: measure.Seconds(0.7776 * tp)})
	}
	return out
}

// max_of_n_waves.csv, in Hs, given to 6 digits; computed elsewhere from the same integral.
// The Longuet-Higgins approximation of the mean is a column we do not offer.
func TestLargestOfNWavesTable(t *testing.T) {
	var w worst
	for _, r := range table(t, "max_of_n_waves.csv") {
		n := r.Num(t, "N_waves")
		got, err := Rayleigh().LargestOf(n)
		if err != nil {
			t.Fatal(err)
		}
		f, err := Forristall().LargestOf(n)
		if err != nil {
			t.Fatal(err)
		}
		for column, v := range map[string]float64{
			"most_probable_sqrt_lnN_over_2": got.MostProbable, "exact_mean_rayleigh": got.Mean,
			"median_rayleigh": got.Median, "p90_rayleigh": got.P90, "exact_mean_forristall1978": f.Mean,
		} {
			w.Check(t, r["N_waves"]+" "+column, v, r.Num(t, column), math.Max(lastDigit(r[column]), 5.01e-6))
		}
	}
	w.Log(t)
}

func TestLargestOf(t *testing.T) {
	t.Run("OneWaveIsAWave", func(t *testing.T) {
		got, err := Rayleigh().LargestOf(1)
		if err != nil || math.Abs(got.Mean-Rayleigh().Mean()) > 1e-9 || math.Abs(got.Median-Rayleigh().Height(0.5)) > 1e-12 || got.MostProbable != 0 {
			t.Errorf("LargestOf(1) = %+v, %v, want the mean and median of one wave", got, err)
		}
	})
	t.Run("GrowsWithTheNumber", func(t *testing.T) {
		var last Largest
		for n := 1.0; n < 1e9; n *= 3.7 {
			got, err := Rayleigh().LargestOf(n)
			if err != nil || !(got.Mean > last.Mean && got.Median > last.Median && got.P90 > last.P90 && got.Mean > got.Median*0.99) {
				t.Errorf("LargestOf(%v) = %+v, %v after %+v, want more", n, got, err, last)
			}
			last = got
		}
	})
	t.Run("RefusesLessThanOne", func(t *testing.T) {
		for _, n := range []float64{0, 0.5, -1, math.NaN(), math.Inf(1)} {
			if got, err := Rayleigh().LargestOf(n); err == nil {
				t.Errorf("LargestOf(%v) = %+v, want an error", n, got)
			}
		}
	})
}

func TestCombineRefuses(t *testing.T) {
	if _, err := Combine(nil); err != ErrNoWaves {
		t.Errorf("Combine(nil) = %v, want ErrNoWaves", err)
	}
	if _, err := Combine([]System{{Hs: 0, Energy: 9, Zero: 8}}); err != ErrNoWaves {
		t.Errorf("Combine of zeros = %v, want ErrNoWaves", err)
	}
	for _, s := range []System{{Hs: -1, Energy: 9, Zero: 8}, {Hs: 1, Energy: 0, Zero: 8}, {Hs: 1, Energy: 9}, {Hs: measure.Metres(math.NaN()), Energy: 9, Zero: 8}} {
		if got, err := Combine([]System{s}); err == nil {
			t.Errorf("Combine(%+v) = %+v, want an error", s, got)
		}
	}
}
