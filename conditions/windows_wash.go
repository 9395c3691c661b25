package conditions

import (
	"math"

	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
)

// learnt is what the run-up coefficient is taken to be.
type learnt struct {
	post       *ledge.Posterior // nil: the formula's
	calibrated bool
}

// lesson is what learnt depends on within a search. Learning is dear, and days of the same swell share it.
type lesson struct {
	prior float64
	from  measure.From
	known bool // from
}

// learn is what Assess would learn for hours that begin with this one.
func (s *search) learn(h Hour) *learnt {
	var key lesson
	if k, ok := formula(s.a.q.Card, *h.Hs, *h.Period); ok {
		key.prior = k
	}
	if h.SwellFrom != nil {
		key.from, key.known = *h.SwellFrom, true
	}
	if l := s.known[key]; l != nil {
		return l
	}
	one := assessment{q: s.a.q, r: &Report{Hours: []Hour{h}}}
	l := &learnt{post: one.learned()}
	l.calibrated = one.r.Calibrated
	s.known[key] = l
	return l
}

// chain puts hours through the wash chain as one stay.
func (s *search) chain(of *learnt, steps []step) (ledge.WashResult, error) {
	in := washInput(s.a.q.Card, of.post, of.calibrated)
	in.StepPartitions, in.WaterLevel, in.StepSigmaHs = s.parts[:0], s.levels[:0], s.spreads[:0]
	for _, x := range steps {
		in.StepPartitions = append(in.StepPartitions, x.parts)
		in.WaterLevel = append(in.WaterLevel, x.level)
		in.StepSigmaHs = append(in.StepSigmaHs, x.spread)
	}
	s.parts, s.levels, s.spreads = in.StepPartitions, in.WaterLevel, in.StepSigmaHs // the chain keeps none of them
	return ledge.Wash(in)
}

// wash is each step's own chance and violence. One that the chain cannot take has NaN for a chance and silences no other.
func (s *search) wash(of *learnt, steps []step) []ledge.WashStep {
	if len(steps) == 0 {
		return nil
	}
	if res, err := s.chain(of, steps); err == nil {
		return res.Steps
	}
	out := make([]ledge.WashStep, len(steps))
	for k := range steps {
		out[k].Chance = math.NaN()
		if res, err := s.chain(of, steps[k:k+1]); err == nil {
			out[k] = res.Steps[0]
		}
	}
	return out
}

// stint is what the chain makes of a stay of whole hours.
type stint struct {
	first, end int
	given      float64          // chance of at least one wash in a sea that comes as high as its P90, at its worst time
	own        ledge.WashResult // of the forecast as it stands
}

// chance is that of at least one wash, as stays are judged.
func (x stint) chance() float64 { return max(x.given, x.own.Chance) }

// stayOf puts a stay before the mark through the chain.
func (s *search) stayOf(first, end int) stint {
	if s.last.first == first && s.last.end == end {
		return s.last
	}
	x := stint{first: first, end: end, given: 1}
	of := s.cells[first].of
	s.pick(first, end, func(c *cell) step { return c.given.step })
	if res, err := s.chain(of, s.steps); err == nil { // else no chance is known that could be within a limit
		x.given = res.Chance
	}
	s.pick(first, end, func(c *cell) step { return c.own.step })
	if res, err := s.chain(of, s.steps); err == nil {
		x.own = res
	} else {
		x.own = ledge.WashResult{Chance: 1, Verdict: ledge.CannotTell}
	}
	s.last = x
	return x
}

func (s *search) pick(first, end int, of func(*cell) step) {
	s.steps = s.steps[:0]
	for i := first; i < end; i++ {
		s.steps = append(s.steps, of(&s.cells[i]))
	}
}
