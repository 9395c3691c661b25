package ledge

import (
	"fmt"
	"math"
	"time"

	"ledgehand/conditions/measure"
)

// Numbers of the learning: engineering judgement unless a source is named.
const (
	VerticalKappa = 1.287 // of a smooth vertical face, EurOtop (2018): wave.Kappa(0, ...)
	LeastSpread   = 0.12  // of ln kappa, however many watches: people report from the days they went
	HalfLife      = 365 * day
	SectorWidth   = 45 // degrees of swell direction that share a kappa
	SectorWatches = 5  // observations a sector needs to stand on its own

	// How much more counts vary than Poisson's, because waves come in sets (own simulation).
	PhiWindSea = 1.4
	PhiSwell   = 1.9
)

// Span is a time over which sea and tide are taken as steady.
type Span struct {
	Minutes float64         `json:"minutes"`
	Hs      measure.Metres  `json:"hs_m"` // at the foot, times gamma_beta: from the forecast source kappa is later used with
	Tz      measure.Seconds `json:"tz_s"` //
	Rc      measure.Metres  `json:"rc_m"` // freeboard of the level counted at, which may be a mark below the lip
	From    *measure.From   `json:"from,omitempty"`
}

// Observation is one watch, or one report of a session: washes counted over its spans.
type Observation struct {
	At      time.Time `json:"at,omitzero"`
	Washes  int       `json:"k"`
	AtLeast bool      `json:"at_least,omitempty"` // "it washed": that many or more, not counted
	Spans   []Span    `json:"spans"`
	Phi     float64   `json:"phi,omitempty"`    // overdispersion, 1 and when left out: plain Poisson
	Source  string    `json:"source,omitempty"` // of the forecast the heights came from
}

// Prior is what is believed of ln kappa before any watch: a normal about ln Kappa.
type Prior struct {
	Kappa float64 `json:"kappa"`
	Sigma float64 `json:"sigma"`
}

// Posterior is what is believed of kappa after the watches. Store the observations, not this.
type Posterior struct {
	Median       float64 `json:"kappa_median"`
	Mean         float64 `json:"kappa_mean"`
	P5           float64 `json:"kappa_p5"`
	P95          float64 `json:"kappa_p95"`
	Spread       float64 `json:"sigma_kappa"` // of ln kappa, never below LeastSpread: what Wash is to be given
	Observations int     `json:"observations"`
	Contradicted bool    `json:"prior_contradicted,omitempty"` // what was seen lies beyond the prior: a wrong lip, mark or forecast; do not use

	kappa, mass []float64 // the grid it was worked out on
}

// The grid covers four prior standard deviations either way. The density is smooth, so equal
// spacing converges fast: 801 points give the same four digits as 3201.
const gridPoints = 801

// Learn updates the prior by every observation: likelihood (mu^k e^-mu)^(1/phi), with
// mu = sum over the spans of N exp(-2 (Rc/(kappa Hs))²), N = minutes/Tz. An observation that only says
// "at least k" enters with the Poisson chance of that. If now is given, an observation counts half
// after HalfLife, a quarter after two.
func Learn(prior Prior, seen []Observation, now time.Time) (Posterior, error) {
	if !(prior.Kappa > 0 && prior.Kappa <= 20) {
		return Posterior{}, fmt.Errorf("prior run-up coefficient %v: outside 0 to 20", prior.Kappa)
	}
	if !(prior.Sigma > 0 && prior.Sigma <= 3) {
		return Posterior{}, fmt.Errorf("prior spread %v: outside 0 to 3", prior.Sigma)
	}
	proofs := make([]evidence, 0, len(seen))
	for i, o := range seen {
		if err := o.check(); err != nil {
			return Posterior{}, fmt.Errorf("observation %d: %w", i, err)
		}
		proofs = append(proofs, o.evidence(now))
	}
	p := Posterior{Observations: len(seen), kappa: make([]float64, gridPoints), mass: make([]float64, gridPoints)}
	top := math.Inf(-1)
	for j := range p.kappa {
		z := -4 + 8*float64(j)/(gridPoints-1)
		p.kappa[j] = prior.Kappa * math.Exp(z*prior.Sigma)
		l := -z * z / 2
		for i := range proofs {
			l += proofs[i].logLikelihood(p.kappa[j])
		}
		p.mass[j] = l
		top = math.Max(top, l)
	}
	var sum, mean, ln, ln2 float64
	for j, l := range p.mass {
		m := math.Exp(l - top)
		p.mass[j] = m
		sum += m
		mean += m * p.kappa[j]
		lk := math.Log(p.kappa[j] / prior.Kappa)
		ln += m * lk
		ln2 += m * lk * lk
	}
	for j := range p.mass {
		p.mass[j] /= sum
	}
	const edge = gridPoints / 80 // a tenth of a prior deviation
	for j := range edge {
		if p.mass[j]+p.mass[gridPoints-1-j] > 0.001 {
			p.Contradicted = true
		}
	}
	p.Mean = mean / sum
	p.P5, p.Median, p.P95 = p.quantile(0.05), p.quantile(0.5), p.quantile(0.95)
	p.Spread = max(LeastSpread, math.Sqrt(math.Max(0, ln2/sum-ln/sum*ln/sum)))
	if p.Contradicted { // the mass leans on the end of the grid, so its spread means nothing
		p.Spread = max(p.Spread, prior.Sigma)
	}
	return p, nil
}

// quantile interpolates the cumulated mass, each point standing for half a spacing either way.
func (p Posterior) quantile(q float64) float64 {
	var before float64 // mass up to the point before
	var last float64   // cumulated at its middle
	for j, m := range p.mass {
		mid := before + m/2
		if mid >= q {
			if j == 0 {
				return p.kappa[0]
			}
			f := (q - last) / (mid - last)
			return math.Min(p.kappa[j], p.kappa[j-1]+f*(p.kappa[j]-p.kappa[j-1]))
		}
		before, last = before+m, mid
	}
	return p.kappa[len(p.kappa)-1]
}

// Chance is the chance of at least one wash over the spans, averaged over kappa alone: height and
// level taken as exact.
func (p Posterior) Chance(spans ...Span) float64 {
	var c float64
	for j, k := range p.kappa {
		mu := 0.0
		for _, s := range spans {
			mu += s.waves() * math.Exp(-s.ratio2(k))
		}
		c += p.mass[j] * atLeastOne(mu)
	}
	return c
}

// ForSwell picks the observations kappa is to be learned from for swell from a direction: those of its
// own 45 degree sector once there are SectorWatches of them, else all. A span without a
// direction belongs to no sector; an observation belongs to that of its first span.
func ForSwell(seen []Observation, from measure.From) []Observation {
	sector := func(f measure.From) int { return int(measure.Wrap360(float64(f)) / SectorWidth) }
	var own []Observation
	for _, o := range seen {
		if len(o.Spans) > 0 && o.Spans[0].From != nil && sector(*o.Spans[0].From) == sector(from) {
			own = append(own, o)
		}
	}
	if len(own) >= SectorWatches {
		return own
	}
	return seen
}

func (o Observation) check() error {
	if o.Washes < 0 || o.Washes > 1e6 {
		return fmt.Errorf("washes counted %d: outside 0 to 1000000", o.Washes)
	}
	if o.AtLeast && o.Washes == 0 {
		return fmt.Errorf("at least 0 washes: says nothing")
	}
	if o.Phi != 0 && !(o.Phi >= 1 && o.Phi <= 10) {
		return fmt.Errorf("overdispersion %v: outside 1 to 10", o.Phi)
	}
	if len(o.Spans) == 0 {
		return fmt.Errorf("spans: none given")
	}
	for _, s := range o.Spans {
		switch {
		case !(s.Minutes > 0) || math.IsInf(s.Minutes, 1):
			return fmt.Errorf("span of %v minutes: must be above 0", s.Minutes)
		case !(s.Hs > 0) || math.IsInf(float64(s.Hs), 1):
			return fmt.Errorf("wave height %v m: must be above 0", s.Hs)
		case !(s.Tz > 0) || math.IsInf(float64(s.Tz), 1):
			return fmt.Errorf("wave period %v s: must be above 0", s.Tz)
		case !(s.Rc > 0) || math.IsInf(float64(s.Rc), 1):
			return fmt.Errorf("freeboard %v m: must be above 0, under water every wave washes and nothing is learned", s.Rc)
		}
	}
	return nil
}

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
	single  part    // the one span of nearly every observation
	several []part  // instead, when there is more than one
}

// part stands for washes exp(lnN - c/kappa²) of one span.
type part struct{ lnN, c float64 }

func (o *Observation) evidence(now time.Time) evidence {
	e := evidence{k: o.Washes, atLeast: o.AtLeast, trust: o.weight(now)}
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

// ScaleShare carries the share of waves that wash from one freeboard and height to another at the same
// ledge: p2 = p1^s, s = (Rc2/Rc1)² (Hs1/Hs2)². kappa cancels, so a count made now speaks for
// the tide and sea of later.
func ScaleShare(share float64, rc1, hs1, rc2, hs2 measure.Metres) float64 {
	if rc2 <= 0 {
		return 1
	}
	r := float64(rc2) / float64(rc1) * float64(hs1) / float64(hs2)
	return math.Pow(share, r*r)
}
