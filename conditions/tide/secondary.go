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

// secondary is the curve of a subordinate station. Only its highs and lows are given (NOAA tables 2: reference heights
// above MLLW times a ratio or plus metres; a ratio makes negative lows lower, rightly). Between two of them it is half a
// cosine, an assumption of ours: true tides differ from it by up to a few percent of the range, by tens of percent
// where shallow water distorts them.
type secondary struct {
	ref  *harmonic
	off  Offsets
	last atomic.Pointer[block]
}

// block holds the turns of a fixed stretch of days and their neighbours, so that a height never hangs on what was asked before.
type block struct {
	from, to float64
	turns    []turn
}

const (
	blockSeconds = 16 * secondsPerDay
	offsetReach  = 15 * 3600 // offsets go up to 12.4 h
	apart        = 3 * secondsPerDay
)

func (s *secondary) adjusted(from, to float64) []turn {
	ref := s.ref.extremes(from-offsetReach, to+offsetReach)
	out := make([]turn, 0, len(ref))
	for _, t := range ref {
		later, by := s.off.LowLater, s.off.Low
		if t.high {
			later, by = s.off.HighLater, s.off.High
		}
		t.at += later.Seconds()
		if s.off.Ratio {
			t.h *= by
		} else {
			t.h += by
		}
		// offsets apart for high and low can turn the order of two close waters round: then there is neither
		if n := len(out); n > 0 && t.at <= out[n-1].at {
			out = out[:n-1]
			continue
		}
		out = append(out, t)
	}
	return out
}

func (s *secondary) extremes(from, to float64) []turn {
	return cut(s.adjusted(from-margin, to+margin), from, to)
}

func (s *secondary) turns(from, to float64) []turn { return s.extremes(from, to) }

func (s *secondary) height(at float64) float64 {
	b := s.last.Load()
	if b == nil || at < b.from || at >= b.to {
		from := math.Floor(at/blockSeconds) * blockSeconds
		b = &block{from: from, to: from + blockSeconds}
		b.turns = s.adjusted(b.from-apart, b.to+apart)
		s.last.Store(b)
	}
	i := sort.Search(len(b.turns), func(i int) bool { return b.turns[i].at > at })
	if i == 0 || i == len(b.turns) {
		return math.NaN()
	}
	l, r := b.turns[i-1], b.turns[i]
	return (l.h+r.h)/2 + (l.h-r.h)/2*math.Cos(math.Pi*(at-l.at)/(r.at-l.at))
}

func (s *secondary) heights(dst []measure.Metres, from time.Time, step time.Duration) {
	for i := range dst {
		dst[i] = measure.Metres(s.height(unix(from.Add(time.Duration(i) * step))))
	}
}
