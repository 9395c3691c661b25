package main

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// numbersOf matches text against a pattern whose groups are numbers.
func numbersOf(t testing.TB, pattern *regexp.Regexp, text string) []float64 {
	t.Helper()
	var out []float64
	for _, s := range pattern.FindStringSubmatch(text) {
		if v, err := strconv.ParseFloat(s, 64); err == nil {
			out = append(out, v)
		}
	}
	if len(out) != pattern.NumSubexp() {
		t.Fatalf("%q does not read like %v", text, pattern)
	}
	return out
}

// linear_theory.csv: worked examples of the USACE Coastal Engineering Manual, the ACES User's Guide and others, and
// solutions by other code. Goda's non-linear shoaling is not what this operation gives.
func TestCalcLinearAgreesWithWorkedExamples(t *testing.T) {
	overChecks(t, "waves", func(t *testing.T, dir string) {
		var in asking
		var rows []record
		for _, r := range checkTable(t, dir, "linear_theory.csv") {
			if strings.HasPrefix(r["quantity"], "Ks_nonlinear") {
				continue
			}
			q := object{"op": "wave.linear", "period_s": r.Num(t, "T_s"), "g": r.Num(t, "g"), "depth_m": nil}
			if h := r.Num(t, "h_m"); !math.IsInf(h, 0) {
				q["depth_m"] = h
			}
			rows = append(rows, r)
			in.add(t, q)
		}
		var m misfit
		for i, a := range in.answers(t) {
			r := rows[i]
			var got float64
			switch r["quantity"] {
			case "L":
				got = numberIn(t, a, "length_m")
			case "c":
				got = numberIn(t, a, "celerity_ms")
			case "cg":
				got = numberIn(t, a, "group_ms")
			case "Ks":
				got = numberIn(t, a, "ks")
			case "kh":
				got = numberIn(t, a, "k") * r.Num(t, "h_m")
			case "h_over_L":
				got = r.Num(t, "h_m") / numberIn(t, a, "length_m")
			default:
				t.Fatalf("quantity %q: no case takes it", r["quantity"])
			}
			if n, c := numberIn(t, a, "n"), numberIn(t, a, "celerity_ms"); math.Abs(n*c-numberIn(t, a, "group_ms")) > 1e-9*c {
				t.Errorf("%s: n c = %v, want the group speed %v", r["id"], n*c, a["group_ms"])
			}
			m.near(t, r["id"]+" "+r["quantity"], got, r.Num(t, "value"), r.Tol(t))
		}
		m.log(t, 55, "")
	})
}

// max_of_n_waves.csv: Rayleigh waves, the mean by numerical integration elsewhere; six digits.
func TestCalcMaxAgreesWithTheTable(t *testing.T) {
	overChecks(t, "waves", func(t *testing.T, dir string) {
		rows := checkTable(t, dir, "max_of_n_waves.csv")
		var in asking
		for _, r := range rows {
			in.add(t, object{"op": "wave.max", "n": r.Num(t, "N_waves")})
		}
		var m misfit
		for i, a := range in.answers(t) {
			for key, column := range map[string]string{"most_probable": "most_probable_sqrt_lnN_over_2", "mean": "exact_mean_rayleigh", "median": "median_rayleigh", "p90": "p90_rayleigh"} {
				m.near(t, key+" of "+rows[i]["N_waves"], numberIn(t, a, key), rows[i].Num(t, column), 5.5e-6)
			}
		}
		m.log(t, 40, "Hs")
	})
}

// chain_scenarios.json: every key of every expected answer is there, and every number within its tolerance, 1 % or 0.01
// on probabilities. Computed by other code; no field measurement is among them.
func TestCalcWashAgreesWithTheScenarios(t *testing.T) {
	overChecks(t, "waves", func(t *testing.T, dir string) {
		raw, err := os.ReadFile(filepath.Join(dir, "chain_scenarios.json"))
		if err != nil {
			t.Fatal(err)
		}
		var all []struct {
			ID               string
			Inputs, Expected any
		}
		if err := json.Unmarshal(raw, &all); err != nil {
			t.Fatal(err)
		}
		var in asking
		for _, s := range all {
			in.add(t, object{"op": "wash", "inputs": s.Inputs})
		}
		var number, chance misfit
		for i, a := range in.answers(t) {
			if a["error"] != nil {
				t.Errorf("%s = %v", all[i].ID, a["error"])
				continue
			}
			compareScenario(t, all[i].ID, "", a, all[i].Expected, &number, &chance)
		}
		number.log(t, 100, "of the value")
		chance.log(t, 15, "of probability")
	})
}

func compareScenario(t *testing.T, at, name string, have, want any, number, chance *misfit) {
	t.Helper()
	switch want := want.(type) {
	case object:
		h, ok := have.(object)
		if !ok {
			t.Fatalf("%s = %v, want an object", at, have)
		}
		for k, v := range want {
			if _, ok := h[k]; !ok {
				t.Errorf("%s has no %q", at, k)
				continue
			}
			compareScenario(t, at+"."+k, k, h[k], v, number, chance)
		}
	case []any:
		h, ok := have.([]any)
		if !ok || len(h) != len(want) {
			t.Fatalf("%s = %v, want %d values", at, have, len(want))
		}
		for i := range want {
			compareScenario(t, at, name, h[i], want[i], number, chance)
		}
	case float64:
		h, ok := have.(float64)
		switch {
		case !ok:
			t.Errorf("%s = %v, want %v", at, have, want)
		case strings.HasPrefix(name, "P_"):
			chance.near(t, at, h, want, 0.01)
		case want == 0:
			number.near(t, at, h, 0, 0)
		default:
			number.near(t, at, h/want, 1, 0.01)
		}
	default:
		if have != want {
			t.Errorf("%s = %v, want %v", at, have, want)
		}
	}
}

var (
	watchInputs = regexp.MustCompile(`^k=(\d+) washes in t=(\d+) min; next T=(\d+) min$`)
	kappaInputs = regexp.MustCompile(`^k=(\d+) in ([0-9.]+) min; Hs=([0-9.]+),Tz=([0-9.]+),Rc=([0-9.]+); prior ln kappa~N\(ln ([0-9.]+),([0-9.]+)\^2\); likelihood Poisson\^\(1/([0-9.]+)\)$`)
)

// ledge_watch.csv: closed forms of a gamma prior on a Poisson rate, and the one-sided limit of Garwood (1936); the dry
// watches are the "rule of three" of Hanley and Lippman-Hand, JAMA 249 (1983) 1743.
func TestCalcWatchAgreesWithTheTable(t *testing.T) {
	overChecks(t, "waves", func(t *testing.T, dir string) {
		var in asking
		var rows []record
		for _, r := range checkTable(t, dir, "ledge_watch.csv") {
			if r["method"] != "Gamma-Poisson" {
				continue
			}
			n := numbersOf(t, watchInputs, r["inputs"])
			q := object{"op": "watch", "k": int(n[0]), "minutes": n[1], "then_minutes": n[2]}
			if strings.Contains(r["quantity"], "flat prior") {
				q["prior_a"] = 1
			}
			rows = append(rows, r)
			in.add(t, q)
		}
		var m misfit
		for i, a := range in.answers(t) {
			r := rows[i]
			var got float64
			switch q := r["quantity"]; {
			case strings.HasPrefix(q, "P(>=1 wash in next T)"), strings.HasPrefix(q, "P(>=1), flat prior"):
				got = numberIn(t, a, "p_any")
			case strings.HasPrefix(q, "posterior mean rate"):
				got = numberIn(t, a, "rate_mean_per_min")
			case strings.HasPrefix(q, "one-sided 95% Garwood"):
				got = numberIn(t, a, "rate_upper95_per_h") / 60
			default:
				continue // not among the promised fields
			}
			m.near(t, r["id"]+" "+r["quantity"], got, r.Num(t, "value"), r.Tol(t))
		}
		m.log(t, 24, "")
	})
}

// kappa_calibration.csv: computed elsewhere on a grid of 3201 points over four prior deviations, to 0.2 %.
func TestCalcKappaAgreesWithTheTable(t *testing.T) {
	overChecks(t, "waves", func(t *testing.T, dir string) {
		var in asking
		var rows []record
		for _, r := range checkTable(t, dir, "kappa_calibration.csv") {
			n := numbersOf(t, kappaInputs, r["inputs"])
			rows = append(rows, r)
			in.add(t, object{
				"op": "kappa", "k": int(n[0]), "minutes": n[1], "hs_m": n[2], "tz_s": n[3], "rc_m": n[4], "prior_kappa": n[5], "prior_sigma": n[6], "phi": n[7],
			})
		}
		var m misfit
		for i, a := range in.answers(t) {
			r := rows[i]
			key := ""
			switch q := r["quantity"]; {
			case q == "N waves in watch":
				key = "n_waves"
			case strings.HasPrefix(q, "kappa MLE"):
				key = "kappa_hat"
			case strings.HasPrefix(q, "kappa 95% upper"):
				key = "kappa_upper95"
			case q == "posterior mean kappa":
				key = "kappa_mean"
			case q == "posterior median kappa":
				key = "kappa_median"
			default:
				continue // not among the promised fields
			}
			m.near(t, r["id"]+" "+r["quantity"], numberIn(t, a, key), r.Num(t, "value"), r.Tol(t))
		}
		m.log(t, 20, "")
	})
}

// wind_chill.csv: the chart of the US weather service, and JAG/TI (2001) by other code. In the row 10 F, 4 mph the
// published value is the metric formula in Fahrenheit.
func TestCalcWindChillAgreesWithTheTable(t *testing.T) {
	overChecks(t, "waves", func(t *testing.T, dir string) {
		rows := checkTable(t, dir, "wind_chill.csv")
		var in asking
		for _, r := range rows {
			air, wind := r.Num(t, "air_temp"), r.Num(t, "wind")
			if r["units"] == "F,mph" {
				in.add(t, object{"op": "windchill", "air_f": air, "wind_mph": wind})
				air, wind = (air-32)/1.8, wind*1.609344
			}
			in.add(t, object{"op": "windchill", "air_c": air, "wind_kmh": wind})
		}
		answers := in.answers(t)
		var formula, chart misfit
		for _, r := range rows {
			where := r["units"] + " " + r["air_temp"] + " " + r["wind"]
			key, metric := "chill_c", numberIn(t, answers[0], map[bool]string{true: "chill_f", false: "chill_c"}[r["units"] == "F,mph"])
			got := metric
			if r["units"] == "F,mph" {
				key, metric, answers = "chill_f", numberIn(t, answers[1], "chill_c")*1.8+32, answers[1:]
			}
			answers = answers[1:]
			want := r.Num(t, "formula_value")
			formula.near(t, where+" "+key, got, want, 5.01e-6*math.Max(1, 10*math.Abs(want)))
			if where == "F,mph 10 4" {
				got = metric
			}
			chart.near(t, where+" chart", got, r.Num(t, "table_value"), r.Num(t, "tol"))
		}
		formula.log(t, 10, "degrees")
	})
}
