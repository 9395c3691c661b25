package ledge

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

var (
	kappaCase = regexp.MustCompile(`^k=(\d+) in (\d+) min; Hs=([0-9.]+),Tz=([0-9.]+),Rc=([0-9.]+); prior ln kappa~N\(ln ([0-9.]+),([0-9.]+)\^2\); likelihood Poisson\^\(1/([0-9.]+)\)$`)
	nextCase  = regexp.MustCompile(`^P\(>=1 wash\) next (\d+) min at Hs=([0-9.]+),Tz=([0-9.]+),Rc=([0-9.]+): `)
)

// kappa_calibration.csv: computed elsewhere on a grid of 3201 points over 4 prior deviations.
func TestKappaTable(t *testing.T) {
	var w worst
	for _, r := range table(t, "kappa_calibration.csv") {
		at := r["id"] + " " + r["quantity"]
		in := numbers(t, kappaCase, r["inputs"])
		c := CalibrateInput{
			Washes: int(in[0]), Minutes: in[1], Hs: measure.Metres(in[2]), Tz: measure.Seconds(in[3]), Rc: measure.Metres(in[4]),
			PriorKappa: in[5], PriorSigma: in[6], Phi: in[7],
		}
		got, err := Calibrate(c)
		if err != nil {
			t.Fatal(at, err)
		}
		var v float64
		switch {
		case r["quantity"] == "N waves in watch":
			v = got.Waves
		case strings.HasPrefix(r["quantity"], "kappa MLE"):
			v = *got.Hat
		case strings.HasPrefix(r["quantity"], "kappa 95% upper"):
			v = *got.Upper95
		case r["quantity"] == "posterior mean kappa":
			v = got.Mean
		case r["quantity"] == "posterior 5% kappa":
			v = got.P5
		case r["quantity"] == "posterior median kappa":
			v = got.Median
		case r["quantity"] == "posterior 95% kappa":
			v = got.P95
		case strings.HasPrefix(r["quantity"], "P(>=1 wash)"):
			n := numbers(t, nextCase, r["quantity"])
			next := Span{Minutes: n[0], Hs: measure.Metres(n[1]), Tz: measure.Seconds(n[2]), Rc: measure.Metres(n[3])}
			p := got.Posterior
			if strings.HasSuffix(r["quantity"], "prior only") {
				if p, err = Learn(Prior{Kappa: c.PriorKappa, Sigma: c.PriorSigma}, nil, time.Time{}); err != nil {
					t.Fatal(at, err)
				}
			}
			v = p.Chance(next)
		default:
			t.Fatalf("%s: a row no case takes", at)
		}
		w.Check(t, at, v, r.Num(t, "value"), r.Tol(t))
	}
	w.Log(t)
}

// rate_scaling.csv: computed elsewhere, given to 6 digits.
func TestScaleShareTable(t *testing.T) {
	var w worst
	for _, r := range table(t, "rate_scaling.csv") {
		m := func(c string) measure.Metres { return measure.Metres(r.Num(t, c)) }
		p1 := r.Num(t, "rate1_per_h") * r.Num(t, "Tz1_s") / 3600
		p2 := ScaleShare(p1, m("Rc1_m"), m("Hs1_m"), m("Rc2_m"), m("Hs2_m"))
		per := p2 * 3600 / r.Num(t, "Tz2_s")
		// p1 itself is given to 6 digits, so all that follows is good to five.
		for name, v := range map[string]float64{"p2": p2, "rate2_per_h": per, "rate_ratio": per / r.Num(t, "rate1_per_h"), "s": math.Log(p2) / math.Log(p1)} {
			w.Check(t, r["id"]+" "+name, v, r.Num(t, name), 1e-5*r.Num(t, name))
		}
	}
	w.Log(t)
	if got := ScaleShare(0.01, 3, 1, 0, 1); got != 1 {
		t.Errorf("ScaleShare to no freeboard = %v, want 1", got)
	}
}

var uncalibrated = Prior{Kappa: VerticalKappa, Sigma: DefaultSigmaKappa}

func learn(t testing.TB, seen ...Observation) Posterior {
	t.Helper()
	p, err := Learn(uncalibrated, seen, time.Time{})
	if err != nil {
		t.Fatalf("Learn = %v, want a posterior", err)
	}
	return p
}

func watched(k int, minutes float64) Observation {
	return Observation{Washes: k, Spans: []Span{{Minutes: minutes, Hs: 1.5, Tz: 8, Rc: 3}}}
}

func TestLearn(t *testing.T) {
	none := learn(t)
	t.Run("NothingSeenIsThePrior", func(t *testing.T) {
		if math.Abs(none.Median/VerticalKappa-1) > 1e-6 || math.Abs(none.Spread-0.35) > 0.001 {
			t.Errorf("Learn of nothing = %+v, want the prior", none)
		}
	})
	t.Run("DryWatchLowersKappa", func(t *testing.T) {
		last := none
		for _, minutes := range []float64{5, 10, 20, 60, 240} {
			p := learn(t, watched(0, minutes))
			if !(p.Median < last.Median && p.Mean < last.Mean && p.P95 < last.P95) {
				t.Errorf("Learn of %v dry minutes = %+v, want below %+v", minutes, p, last)
			}
			last = p
		}
	})
	t.Run("EveryWashRaisesKappa", func(t *testing.T) {
		last := learn(t, watched(0, 20))
		for k := 1; k <= 150; k++ {
			p := learn(t, watched(k, 20))
			if !(p.Median > last.Median) {
				t.Errorf("Learn of %d washes = %+v, want above %+v", k, p, last)
			}
			last = p
		}
	})
	t.Run("TwoWatchesAreOneLonger", func(t *testing.T) {
		a, b := learn(t, watched(1, 20), watched(2, 40)), learn(t, watched(3, 60))
		if math.Abs(a.Mean-b.Mean) > 1e-12 || math.Abs(a.Median-b.Median) > 1e-12 {
			t.Errorf("Learn of 1 in 20 and 2 in 40 = %+v, want that of 3 in 60, %+v", a, b)
		}
		spans := watched(3, 20)
		spans.Spans = append(spans.Spans, watched(0, 40).Spans...)
		if c := learn(t, spans); math.Abs(c.Mean-b.Mean) > 1e-12 {
			t.Errorf("Learn of 3 over spans of 20 and 40 = %+v, want that of 3 in 60, %+v", c, b)
		}
	})
	t.Run("SetsMakeAWatchCountLess", func(t *testing.T) {
		o := watched(0, 60)
		o.Phi = PhiSwell
		if p, plain := learn(t, o), learn(t, watched(0, 60)); !(p.Median > plain.Median && p.Median < none.Median) {
			t.Errorf("Learn with phi 1.9 = %v, want between %v and %v", p.Median, plain.Median, none.Median)
		}
	})
	t.Run("AtLeastOneRaisesLessThanMany", func(t *testing.T) {
		o := watched(1, 20)
		o.AtLeast = true
		p, once := learn(t, o), learn(t, watched(1, 20))
		if !(p.Median > none.Median && p.Median > once.Median && p.P95 > once.P95) {
			t.Errorf("Learn of at least one = %+v, want above both nothing %v and just one %v", p, none.Median, once.Median)
		}
	})
	t.Run("SpreadHasAFloor", func(t *testing.T) {
		var seen []Observation
		for range 40 {
			seen = append(seen, watched(3, 60))
		}
		if p := learn(t, seen...); p.Spread != LeastSpread {
			t.Errorf("Learn of 40 watches has spread %v, want the floor %v", p.Spread, LeastSpread)
		}
	})
	t.Run("OldWatchesFade", func(t *testing.T) {
		now := time.Date(2026, 3, 14, 6, 0, 0, 0, time.UTC)
		o := watched(0, 60)
		at := func(age time.Duration) float64 {
			o := o
			o.At = now.Add(-age)
			p, err := Learn(uncalibrated, []Observation{o}, now)
			if err != nil {
				t.Fatal(err)
			}
			return p.Median
		}
		fresh, year, old := at(0), at(HalfLife), at(20*HalfLife)
		half := o
		half.Phi = 2 // half the log-likelihood
		if want := learn(t, half).Median; math.Abs(year-want) > 1e-12 {
			t.Errorf("Learn of a watch one half-life old = %v, want %v", year, want)
		}
		if !(fresh < year && year < old) || math.Abs(old-none.Median) > 1e-4 {
			t.Errorf("Learn of a fresh, year-old and ancient watch = %v, %v, %v, want rising to the prior", fresh, year, old)
		}
	})
	t.Run("AWashThatCannotBeIsStillHeard", func(t *testing.T) {
		for _, atLeast := range []bool{false, true} {
			o := Observation{Washes: 1, AtLeast: atLeast, Spans: []Span{{Minutes: 60, Hs: 0.1, Tz: 8, Rc: 8}}}
			p := learn(t, o)
			if !(p.Median > 3 && !math.IsInf(p.Median, 0)) || math.IsNaN(p.Mean) || !p.Contradicted || p.Spread < DefaultSigmaKappa {
				t.Errorf("Learn of a wash 80 wave heights up (at least: %v) has median %v, spread %v, contradicted %v, want kappa far up and said so", atLeast, p.Median, p.Spread, p.Contradicted)
			}
		}
	})
	t.Run("OrdinaryWatchesDoNotContradictThePrior", func(t *testing.T) {
		for _, k := range []int{0, 1, 5, 40} {
			if p := learn(t, watched(k, 20)); p.Contradicted {
				t.Errorf("Learn of %d washes in 20 min is called contradicted, median %v", k, p.Median)
			}
		}
	})
	t.Run("FinerGridChangesNothing", func(t *testing.T) {
		// The same density on 32001 points, summed without any of Learn's steps.
		o := watched(2, 20)
		var sum, mean float64
		for j := range 32001 {
			z := -4 + 8*float64(j)/32000
			k := VerticalKappa * math.Exp(0.35*z)
			mu := 150 * math.Exp(-2*math.Pow(2/k, 2))
			m := math.Exp(-z*z/2) * mu * mu * math.Exp(-mu)
			sum += m
			mean += m * k
		}
		if got, want := learn(t, o).Mean, mean/sum; math.Abs(got/want-1) > 1e-6 {
			t.Errorf("Learn(2 in 20 min).Mean = %v, want %v", got, want)
		}
	})
}

func TestLearnRecoversAKnownKappa(t *testing.T) {
	const seed, truth = 9, 1.05
	rnd := rand.New(rand.NewPCG(seed, 0))
	var seen []Observation
	for range 60 {
		s := Span{Minutes: 30, Hs: measure.Metres(1 + rnd.Float64()), Tz: 9, Rc: measure.Metres(1.5 + rnd.Float64())}
		p := math.Exp(-s.ratio2(truth))
		k := 0
		for range int(s.waves()) {
			if rnd.Float64() < p {
				k++
			}
		}
		seen = append(seen, Observation{Washes: k, Spans: []Span{s}})
	}
	if p := learn(t, seen...); math.Abs(p.Median/truth-1) > 0.03 {
		t.Errorf("seed %d: Learn of 60 drawn watches = %+v, want kappa near %v", seed, p, truth)
	}
}

func TestLearnRefuses(t *testing.T) {
	for name, change := range map[string]func(*Prior, *Observation){
		"NoPrior":        func(p *Prior, _ *Observation) { p.Kappa = 0 },
		"NoPriorSpread":  func(p *Prior, _ *Observation) { p.Sigma = 0 },
		"NegativeCount":  func(_ *Prior, o *Observation) { o.Washes = -1 },
		"AtLeastNothing": func(_ *Prior, o *Observation) { o.Washes, o.AtLeast = 0, true },
		"PhiBelowOne":    func(_ *Prior, o *Observation) { o.Phi = 0.5 },
		"NegativeSpread": func(_ *Prior, o *Observation) { o.Sigma = -0.1 },
		"SpreadNotANum":  func(_ *Prior, o *Observation) { o.Sigma = math.NaN() },
		"NoSpans":        func(_ *Prior, o *Observation) { o.Spans = nil },
		"NoMinutes":      func(_ *Prior, o *Observation) { o.Spans[0].Minutes = 0 },
		"NoHeight":       func(_ *Prior, o *Observation) { o.Spans[0].Hs = 0 },
		"PeriodNotANum":  func(_ *Prior, o *Observation) { o.Spans[0].Tz = measure.Seconds(math.NaN()) },
		"UnderWater":     func(_ *Prior, o *Observation) { o.Spans[0].Rc = -0.2 },
	} {
		t.Run(name, func(t *testing.T) {
			p, o := uncalibrated, watched(1, 20)
			change(&p, &o)
			if got, err := Learn(p, []Observation{o}, time.Time{}); err == nil {
				t.Errorf("Learn(%+v, %+v) = %+v, want an error", p, o, got)
			}
		})
	}
}

func TestCalibrateShortWatches(t *testing.T) {
	for name, in := range map[string]CalibrateInput{
		"TooShortForALimit": {Minutes: 0.3, Hs: 1.5, Tz: 8, Rc: 3},
		"EveryWaveWashed":   {Washes: 150, Minutes: 20, Hs: 1.5, Tz: 8, Rc: 3},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := Calibrate(in)
			if err != nil || got.Hat != nil || got.Upper95 != nil {
				t.Errorf("Calibrate(%+v) = %+v, %v, want neither an estimate nor a limit by the count alone", in, got, err)
			}
			if _, err := json.Marshal(got); err != nil {
				t.Error(err)
			}
		})
	}
}
