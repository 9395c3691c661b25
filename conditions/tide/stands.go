package tide

import (
	"math"
	"time"

	"ledgehand/conditions/measure"
)

// MetresPerHour is how fast the level changes, positive while it rises.
type MetresPerHour float64

// A stand is water that for a while neither rises nor falls to speak of. At every high and low water the level rests for
// some minutes; that is none. Both figures are common practice, no source.
const (
	StandRate   MetresPerHour = 0.05
	StandLength               = 90 * time.Minute
)

// Rate is how fast the predicted level changes at t.
func (p *Predictor) Rate(t time.Time) MetresPerHour {
	return MetresPerHour(p.curve.rate(unix(t)))
}

// Stands lists when the level changes by less than rate metres an hour for at least atLeast, between from and to, in
// order. A stand that began before from or goes on after to is cut there, and counts by the whole of its length up to
// a day outside. Edges are to half a minute.
func (p *Predictor) Stands(from, to time.Time, rate MetresPerHour, atLeast time.Duration) []Span {
	if !to.After(from) || rate <= 0 {
		return nil
	}
	const step = 300.0 // seconds; nothing of interest is shorter
	slow := func(at float64) bool { return math.Abs(p.curve.rate(at)) < float64(rate) }
	edge := func(lo, hi float64) float64 { // slow at one end and not at the other
		first := slow(lo)
		for hi-lo > 30 {
			if mid := (lo + hi) / 2; slow(mid) == first {
				lo = mid
			} else {
				hi = mid
			}
		}
		return (lo + hi) / 2
	}
	begin, end := unix(from)-secondsPerDay, unix(to)+secondsPerDay
	var out []Span
	keep := func(a, b float64) {
		if b-a < atLeast.Seconds() || b <= unix(from) || a >= unix(to) {
			return
		}
		out = append(out, Span{clock(math.Max(a, unix(from))), clock(math.Min(b, unix(to)))})
	}
	since, in := begin, slow(begin)
	for at := begin + step; at <= end; at += step {
		if now := slow(at); now != in {
			e := edge(at-step, at)
			if in {
				keep(since, e)
			}
			since, in = e, now
		}
	}
	if in {
		keep(since, end)
	}
	return out
}

func (h *harmonic) rate(at float64) float64 {
	w := h.wheelAt(int64(math.Floor(at)))
	_, v, _ := w.all((at - float64(w.start)) / 3600)
	return v
}

func (s *secondary) rate(at float64) float64 {
	l, r, ok := s.between(at)
	if !ok {
		return math.NaN()
	}
	there := l.ref.at + (r.ref.at-l.ref.at)*(at-l.at)/(r.at-l.at)
	return s.ref.rate(there) * (r.ref.at - l.ref.at) / (r.at - l.at) * (r.h - l.h) / (r.ref.h - l.ref.h)
}

// Highest is the highest high water between from and to, Lowest the lowest low water; ok is false where there is none.
func (p *Predictor) Highest(from, to time.Time) (e Extreme, ok bool) {
	return p.outermost(from, to, High, 1)
}

// Lowest is the lowest low water between from and to; ok is false where there is none.
func (p *Predictor) Lowest(from, to time.Time) (e Extreme, ok bool) {
	return p.outermost(from, to, Low, -1)
}

func (p *Predictor) outermost(from, to time.Time, k Kind, up measure.Metres) (best Extreme, ok bool) {
	for _, e := range p.Extremes(from, to) {
		if e.Kind == k && (!ok || e.Height*up > best.Height*up) {
			best, ok = e, true
		}
	}
	return best, ok
}
