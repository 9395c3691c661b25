package ledge

import (
	"math"
	"time"
)

func (s Span) waves() float64 { return s.Minutes * 60 / float64(s.Tz) }

// ratio2 is 2 (Rc/(kappa Hs))².
func (s Span) ratio2(kappa float64) float64 {
	r := float64(s.Rc) / (kappa * float64(s.Hs))
	return 2 * r * r
}

// evidence is an observation made ready for the grid.
type evidence struct {
	k       int
	atLeast bool
	trust   float64 // 1/phi times the weight of its age
	sigma   float64
	single  part   // the one span of nearly every observation
	several []part // instead, when there is more than one
}

// part stands for washes exp(lnN - c/kappa²) of one span.
type part struct{ lnN, c float64 }

func (o *Observation) evidence(now time.Time) evidence {
	e := evidence{k: o.Washes, atLeast: o.AtLeast, trust: o.weight(now), sigma: o.Sigma}
	if o.Phi > 1 {
		e.trust /= o.Phi
	}
	ready := func(s Span) part { return part{lnN: math.Log(s.waves()), c: s.ratio2(1)} }
	e.single = ready(o.Spans[0])
	if len(o.Spans) > 1 {
		for _, s := range o.Spans {
			e.several = append(e.several, ready(s))
		}
	}
	return e
}

// logLikelihood leaves out what does not depend on kappa. It works on ln mu, for a wash seen where
// the model finds one impossible must pull kappa up, not break the sum.
func (e *evidence) logLikelihood(kappa float64) float64 {
	perC := 1 / (kappa * kappa)
	lnMu := e.single.lnN - e.single.c*perC
	if len(e.several) > 0 {
		lnMu = math.Inf(-1)
		for _, q := range e.several {
			lnMu = logAdd(lnMu, q.lnN-q.c*perC)
		}
	}
	mu := math.Exp(lnMu)
	if e.atLeast {
		return e.trust * logAtLeast(e.k, lnMu, mu)
	}
	return e.trust * (float64(e.k)*lnMu - mu)
}

// logAdd is ln(e^a + e^b) without leaving the logarithms.
func logAdd(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	if math.IsInf(b, -1) {
		return a
	}
	return a + math.Log1p(math.Exp(b-a))
}

// logAtLeast is ln P(K >= k) for a Poisson K, whose leading term mu^k/k! stands in where it underflows.
func logAtLeast(k int, lnMu, mu float64) float64 {
	if k == 1 && mu > 1e-8 { // "it washed": nearly every report
		return math.Log(-math.Expm1(-mu))
	}
	if p := gammaP(float64(k), mu); p > 1e-300 {
		return math.Log(p)
	}
	lg, _ := math.Lgamma(float64(k) + 1)
	return float64(k)*lnMu - lg
}

// weight halves with every HalfLife of age.
func (o *Observation) weight(now time.Time) float64 {
	if now.IsZero() || o.At.IsZero() || !o.At.Before(now) {
		return 1
	}
	return math.Exp2(-float64(now.Sub(o.At)) / float64(HalfLife))
}
