package conditions

import (
	"math"
	"time"

	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/wave"
)

// cell is an hour as a search judges it: by the worst sea of the time it may come early or late, at its P90; past day 4 by
// the forecast as it stands.
type cell struct {
	searched   bool           // the others lie around the search, and only what is known of their sea is used
	asked      bool           // somebody might be on the ledge in it: the chance of a wash is worked out
	known      bool           // its sea, and that of the hours around it, is known
	level      measure.Metres // highest tide of the hour, with surge
	hs         measure.Metres // worst P90
	period     measure.Seconds
	violent    bool
	lipDoubted bool
	of         *learnt
	own        guess // the sea of the hour itself with the forecast's spread, as Assess takes it
	given      guess // the sea that washes most if it comes as high as its P90: its height given, all else still unknown
}

// chance is that of at least one wash in the hour, as it is judged. Past day 4 nothing is given.
func (c *cell) chance() float64 { return max(c.given.chance, c.own.chance) }

// step is one step of the wash chain.
type step struct {
	parts  []ledge.Partition
	level  measure.Metres
	spread float64 // of ln Hs
}

// guess is a step with its chance of a wash.
type guess struct {
	step
	chance float64
}

// judge fills the cells of the search, day by day.
func (s *search) judge() {
	hours := s.a.r.Hours
	s.cells = make([]cell, len(hours))
	power := make([]float64, len(hours))
	for i, h := range hours {
		// A stay that begins on the half hour sees the pressure of the next hour too.
		lift := h.Surge
		for _, j := range []int{i - 1, i + 1} {
			if j >= 0 && j < len(hours) {
				lift = max(lift, hours[j].Surge)
			}
		}
		s.cells[i].level = h.Tide + lift
		if h.Known {
			power[i] = s.a.power(s.a.sea[i])
		}
	}
	for _, l := range s.lit {
		first, end := s.overlapping(l)
		for i := first; i < end; i++ {
			s.cells[i].asked = true
		}
	}
	var at []int
	for _, d := range s.days {
		at = at[:0]
		first, end := s.overlapping(d.Span)
		for i := first; i < end; i++ {
			if !s.cells[i].searched { // midnight may lie within an hour
				s.cells[i].searched = true
				at = append(at, i)
			}
		}
		s.judgeDay(at, power)
	}
}

// judgeDay judges the hours of a day, with what would have been learned for the first in which somebody might be there.
func (s *search) judgeDay(at []int, power []float64) {
	of := &learnt{}
	for _, i := range at {
		if h := s.a.r.Hours[i]; s.cells[i].asked && h.Known && h.Period != nil {
			of = s.learn(h)
			break
		}
	}
	lipKnown := s.a.q.Card.LipMeasured.Known()
	s.steps, s.owner = s.steps[:0], s.owner[:0]
	for _, i := range at {
		s.cells[i].of, s.cells[i].lipDoubted = of, !lipKnown && !of.calibrated
		s.around(i, power)
	}
	for k, w := range s.wash(of, s.steps) {
		c := &s.cells[s.owner[k].cell]
		if math.IsNaN(w.Chance) { // the chain cannot take it
			c.known = false
			continue
		}
		c.violent = c.violent || w.Violent
		switch {
		case !s.owner[k].given:
			c.own = guess{s.steps[k], w.Chance}
		case c.given.parts == nil || w.Chance > c.given.chance:
			c.given = guess{s.steps[k], w.Chance}
		}
	}
}

// owner says what a step is tried for.
type owner struct {
	cell  int
	given bool
}

// around finds the worst sea in the time about an hour, and lays out the steps to try for it: of the hour itself and of the
// hour that brings most power to the ledge, which is how Assess tells the worse of two seas.
func (s *search) around(i int, power []float64) {
	c, hours := &s.cells[i], s.a.r.Hours
	h := hours[i]
	if !h.Known || h.Period == nil {
		return
	}
	c.known = true
	spread := s.spread(i, c.of)
	own := step{s.a.sea[i].parts, c.level, spread}
	if s.far(i) {
		if c.hs, c.period = *h.Hs, *h.Period; c.asked {
			s.try(i, false, own)
		}
		return
	}
	reach := arrivalNear
	if s.lead(i)+time.Hour > nearDays {
		reach = arrivalFar
	}
	worst, most := i, 0.0
	for j := i - reach; j <= i+reach; j++ {
		n := &hours[j]
		if !n.Known || n.Period == nil {
			if n.At.Before(s.q.Now) {
				continue // many a feed begins now; the sea that was can be seen
			}
			c.known = false
			return
		}
		margin := wave.Margin(s.spread(j, c.of), wave.OneInTen)
		c.hs, c.period = max(c.hs, *n.Hs*measure.Metres(margin)), max(c.period, *n.Period)
		if p := power[j] * margin * margin; p > most {
			worst, most = j, p
		}
	}
	if !c.asked {
		return
	}
	s.try(i, false, own)
	s.try(i, true, raised(own, spread))
	if worst != i {
		s.try(i, true, raised(step{parts: s.a.sea[worst].parts, level: c.level}, s.spread(worst, c.of)))
	}
}

func (s *search) try(i int, given bool, x step) {
	s.steps, s.owner = append(s.steps, x), append(s.owner, owner{i, given})
}

// raised is a step whose sea has come as high as its P90.
func raised(x step, spread float64) step {
	up := measure.Metres(wave.Margin(spread, wave.OneInTen))
	parts := make([]ledge.Partition, len(x.parts))
	for k, p := range x.parts {
		p.Hs *= up
		parts[k] = p
	}
	return step{parts: parts, level: x.level}
}

// far says whether an hour lies past day 4.
func (s *search) far(i int) bool { return s.spanOf(i).To.After(s.mark) }

// lead is how old the forecast is in an hour, as Assess counts it.
func (s *search) lead(i int) time.Duration { return max(0, s.a.r.Hours[i].At.Sub(s.a.issued())) }

func (s *search) spread(i int, of *learnt) float64 {
	return wave.ForecastSpread(s.lead(i), !of.calibrated)
}
