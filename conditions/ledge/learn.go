package ledge

import (
	"fmt"
	"math"
	"slices"
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
	Report  bool      `json:"report,omitempty"`   // told afterwards, nobody watched
	Spans   []Span    `json:"spans"`
	Phi     float64   `json:"phi,omitempty"`      // overdispersion, 1 and when left out: plain Poisson
	Sigma   float64   `json:"sigma_ln,omitempty"` // of ln(Hs/Rc), one error for all spans: what forecast and water level may be off by; 0 exact
	Source  string    `json:"source,omitempty"`   // of the forecast the heights came from
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

// Learn updates the prior by every observation: likelihood (mu^k e^-mu)^(1/phi), with
// mu = sum over the spans of N exp(-2 (Rc/(kappa Hs))²), N = minutes/Tz. An observation that only says
// "at least k" enters with the Poisson chance of that. Where an observation says how far the sea may
// have been from its forecast, its likelihood is averaged over that error: a watch tells kappa no
// better than the forecast tells the sea. If now is given, an observation counts half after HalfLife,
// a quarter after two.
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
	g := newGrid(prior, proofs)
	p := Posterior{Observations: len(seen), kappa: g.kappa[g.margin : g.margin+gridPoints], mass: make([]float64, gridPoints)}
	for j := range p.mass {
		z := -4 + 8*float64(j)/(gridPoints-1)
		p.mass[j] = -z * z / 2
	}
	for i := range proofs {
		g.add(&proofs[i], p.mass)
	}
	top := slices.Max(p.mass)
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
	if !(o.Sigma >= 0 && o.Sigma <= 3) {
		return fmt.Errorf("spread of the forecast %v: outside 0 to 3", o.Sigma)
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
