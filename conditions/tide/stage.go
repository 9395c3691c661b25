package tide

import (
	"math"
	"time"

	"ledgehand/conditions/measure"
)

// Motion says what the water does.
type Motion string

const (
	Making Motion = "making" // rising towards the next high water
	Ebbing Motion = "ebbing" // falling towards the next low water
	Still  Motion = "still"  // no turn of the tide within days: nothing to tell
)

// Stage is where the tide stands at an instant. Last and Next are zero when Motion is Still.
type Stage struct {
	Motion Motion
	Height measure.Metres
	Last   Extreme // since when it has been making or ebbing
	Next   Extreme // until when it will
}

// StageAt tells where the tide stands at t.
func (p *Predictor) StageAt(t time.Time) Stage {
	s := Stage{Motion: Still, Height: p.Height(t)}
	for _, reach := range []time.Duration{30 * time.Hour, 8 * 24 * time.Hour} { // diurnal tides can stand for days
		s.Last, s.Next = Extreme{}, Extreme{}
		for _, e := range p.Extremes(t.Add(-reach), t.Add(reach)) {
			if !e.At.After(t) {
				s.Last = e
			} else if s.Next.Kind == "" {
				s.Next = e
			}
		}
		if s.Last.Kind == "" || s.Next.Kind == "" {
			continue
		}
		if s.Motion = Making; s.Next.Kind == Low {
			s.Motion = Ebbing
		}
		return s
	}
	return Stage{Motion: Still, Height: s.Height}
}

// Next is the first high or low water after t; ok is false when there is none within eight days.
func (p *Predictor) Next(t time.Time, k Kind) (e Extreme, ok bool) {
	for _, reach := range []time.Duration{30 * time.Hour, 8 * 24 * time.Hour} {
		for _, e := range p.Extremes(t, t.Add(reach)) {
			if e.Kind == k && e.At.After(t) {
				return e, true
			}
		}
	}
	return Extreme{}, false
}

// A Span is a stretch of time, both ends included.
type Span struct{ From, To time.Time }

// Below lists when the level is at or below a height between from and to, in order. Ends are to the second and
// never reach outside the time the water is low enough, so that a walk-in gate is not called dry too early or too long.
func (p *Predictor) Below(level measure.Metres, from, to time.Time) []Span {
	var out []Span
	for _, s := range p.below(float64(level), unix(from), unix(to)) {
		a, b := time.Unix(int64(math.Ceil(s.from)), 0).UTC(), time.Unix(int64(math.Floor(s.to)), 0).UTC()
		if s.from == unix(from) {
			a = from.UTC()
		}
		if s.to == unix(to) {
			b = to.UTC()
		}
		if b.After(a) {
			out = append(out, Span{a, b})
		}
	}
	return out
}

// Above lists when the level is above a height between from and to: what Below leaves.
func (p *Predictor) Above(level measure.Metres, from, to time.Time) []Span {
	if !to.After(from) {
		return nil
	}
	var out []Span
	start := from.UTC()
	for _, s := range p.Below(level, from, to) {
		if s.From.After(start) {
			out = append(out, Span{start, s.From})
		}
		start = s.To
	}
	if to.After(start) {
		out = append(out, Span{start, to.UTC()})
	}
	return out
}

type stretch struct{ from, to float64 }

func (p *Predictor) below(level, from, to float64) []stretch {
	if !(to > from) {
		return nil
	}
	marks := []float64{from}
	for _, t := range p.curve.turns(from, to) {
		if t.at > from && t.at < to {
			marks = append(marks, t.at)
		}
	}
	marks = append(marks, to)
	var out []stretch
	low := p.curve.height(from) <= level
	if low {
		out = append(out, stretch{from, to})
	}
	for i := 1; i < len(marks); i++ {
		next := p.curve.height(marks[i]) <= level
		if next == low {
			continue
		}
		at := p.crossing(level, marks[i-1], marks[i], low)
		if low {
			out[len(out)-1].to = at
		} else {
			out = append(out, stretch{at, to})
		}
		low = next
	}
	return out
}

// crossing halves a stretch without a turn until the level is passed within a tenth of a second, and answers on the
// side where the water is low.
func (p *Predictor) crossing(level, from, to float64, lowFirst bool) float64 {
	for to-from > 0.1 {
		mid := (from + to) / 2
		if (p.curve.height(mid) <= level) == lowFirst {
			from = mid
		} else {
			to = mid
		}
	}
	if lowFirst {
		return from
	}
	return to
}
