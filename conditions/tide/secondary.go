package tide

import (
	"math"
	"sort"
	"sync/atomic"
	"time"

	"ledgehand/conditions/measure"
)

// Offsets make a subordinate station's high and low waters from its reference's.
type Offsets struct {
	HighLater, LowLater time.Duration // added to the time of high, of low water
	High, Low           float64       // multiplies the reference height when Ratio, else metres added to it
	Ratio               bool
}

// scale is what the offsets make of the reference's range; 1 where they only lift it, and for a reference station.
func (o Offsets) scale() float64 {
	if o.Ratio {
		return o.High
	}
	return 1
}

// secondary is the curve of a subordinate station. Only its highs and lows are given (NOAA tables 2: reference heights
// above MLLW times a ratio or plus metres; a ratio makes negative lows lower, rightly). Between two of them it is the
// curve of the reference between the same two, stretched in time and height: an assumption, but one that keeps stands
// and the quick and the slow side of a shallow tide, which half a cosine would lose.
type secondary struct {
	ref  *harmonic
	off  Offsets
	last atomic.Pointer[block]
}

// knot is a high or low water here and the one of the reference that it comes from.
type knot struct {
	turn
	ref turn
}

// block holds the knots of a fixed run of days and their neighbours, so that a height never hangs on what was asked before.
type block struct {
	from, to float64
	knots    []knot
}

const (
	blockSeconds = 16 * secondsPerDay
	offsetReach  = 15 * 3600 // offsets go up to 12.4 h
	apart        = 3 * secondsPerDay
	// Offsets apart for high and low can bring two close waters on top of each other or turn their order round: then
	// there is neither. No place has a high and a low a quarter of an hour apart.
	tooClose = 900
)

func (s *secondary) knots(from, to float64) []knot {
	ref := s.ref.extremes(from-offsetReach, to+offsetReach)
	out := make([]knot, 0, len(ref))
	for _, t := range ref {
		k := knot{turn: t, ref: t}
		later, by := s.off.LowLater, s.off.Low
		if t.high {
			later, by = s.off.HighLater, s.off.High
		}
		k.at += later.Seconds()
		if s.off.Ratio {
			k.h *= by
		} else {
			k.h += by
		}
		if n := len(out); n > 0 && k.at < out[n-1].at+tooClose {
			out = out[:n-1]
			continue
		}
		out = append(out, k)
	}
	return out
}

func (s *secondary) extremes(from, to float64) []turn {
	ks := s.knots(from-margin, to+margin)
	out := make([]turn, len(ks))
	for i, k := range ks {
		out[i] = k.turn
	}
	return cut(out, from, to)
}

// turns are the highs and lows and, between them, whatever the reference's curve does besides: ripples too small to
// count, and waters whose offsets did away with them.
func (s *secondary) turns(from, to float64) []turn {
	ks := s.knots(from-margin, to+margin)
	if len(ks) == 0 {
		return nil
	}
	all := s.ref.turns(ks[0].ref.at, ks[len(ks)-1].ref.at)
	var out []turn
	for i, k := range ks {
		out = append(out, k.turn)
		if i+1 == len(ks) {
			break
		}
		for _, t := range all {
			if t.at > k.ref.at+1 && t.at < ks[i+1].ref.at-1 {
				out = append(out, stretched(k, ks[i+1], t))
			}
		}
	}
	return cut(out, from, to)
}

// stretched moves a point of the reference's curve between two knots to where it lies here.
func stretched(a, b knot, t turn) turn {
	t.at = a.at + (b.at-a.at)*(t.at-a.ref.at)/(b.ref.at-a.ref.at)
	t.h = a.h + (b.h-a.h)*(t.h-a.ref.h)/(b.ref.h-a.ref.h)
	return t
}

// between gives the knots around an instant; not ok where the reference has no waters.
func (s *secondary) between(at float64) (l, r knot, ok bool) {
	b := s.last.Load()
	if b == nil || at < b.from || at >= b.to {
		from := math.Floor(at/blockSeconds) * blockSeconds
		b = &block{from: from, to: from + blockSeconds}
		b.knots = s.knots(b.from-apart, b.to+apart)
		s.last.Store(b)
	}
	i := sort.Search(len(b.knots), func(i int) bool { return b.knots[i].at > at })
	if i == 0 || i == len(b.knots) {
		return knot{}, knot{}, false
	}
	return b.knots[i-1], b.knots[i], true
}

func (s *secondary) height(at float64) float64 {
	l, r, ok := s.between(at)
	if !ok {
		return math.NaN()
	}
	there := l.ref.at + (r.ref.at-l.ref.at)*(at-l.at)/(r.at-l.at)
	return stretched(l, r, turn{at: there, h: s.ref.height(there)}).h
}

func (s *secondary) heights(dst []measure.Metres, from time.Time, step time.Duration) {
	for i := range dst {
		dst[i] = measure.Metres(s.height(unix(from.Add(time.Duration(i) * step))))
	}
}
