package conditions

import (
	"math"
	"sort"
	"time"

	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/wave"
)

// instant is the sea at one end of an hour.
type instant struct {
	sea   *SeaHour          // nil: its height is not known
	parts []ledge.Partition // its wave systems as the wash chain takes them; none: the sea is not known
}

// main is the peak period and direction of the waves that matter: of the system which carries most energy, not of the
// mix, unless a feed gives no more. Either is nil if it is not known.
func (x instant) main() (*measure.Seconds, *measure.From) {
	if p, ok := strongest(x.sea.Partitions); ok {
		return &p.Tp, &p.From
	}
	if x.sea.Period == nil {
		return nil, x.sea.From
	}
	tp, err := wave.Convert(*x.sea.Period, x.sea.PeriodKind, wave.Peak, wave.WindSeaPeak)
	if err != nil {
		return nil, x.sea.From
	}
	return &tp, x.sea.From
}

// finder looks up instants in a forecast whose hours are in order of time.
type finder struct{ hours []SeaHour }

// at is the forecast hour that an instant lies in. A height of zero is what a feed sends that does not know, no calm.
func (f finder) at(t time.Time) instant {
	const half = 30 * time.Minute
	early := t.Add(-half)
	i := sort.Search(len(f.hours), func(i int) bool { return f.hours[i].At.After(early) })
	if i == len(f.hours) || f.hours[i].At.Sub(t) > half {
		return instant{}
	}
	s := &f.hours[i]
	if s.Hs == nil || !(*s.Hs > 0) || math.IsInf(float64(*s.Hs), 1) {
		return instant{}
	}
	return instant{sea: s, parts: partitions(s)}
}

// power is what the waves of an instant bring to the ledge, up to a constant: Hs² Tp of each system, lowered by the share of
// it that its direction lets arrive. Without systems it is less than any with: then nothing is judged anyway.
func (a *assessment) power(x instant) float64 {
	sum := 0.0
	for _, p := range x.parts {
		share := 1.0
		if f := a.q.Card.Faces; f != nil {
			open := [2]measure.From{*f - 90, *f + 90}
			if o := a.q.Card.OpenSector; o != nil {
				open = *o
			}
			spread := float64(wave.SwellSpread)
			if p.Kind == "wind" {
				spread = wave.WindSeaSpread
			}
			share = wave.Exposure(p.From, spread, *f, open)
			if p.Tp >= longPeriod {
				share = max(share, wrapShare) // long swell bends around points
			}
		}
		sum += float64(p.Hs*p.Hs) * float64(p.Tp) * share
	}
	return sum
}

// wrapShare is the least energy of long swell that is counted from any direction: 0.3 of its height, as the wash chain does.
const wrapShare = 0.3 * 0.3

// partitions are the wave systems of an hour with peak periods; the total where a feed gives no parts, or parts that do
// not add up to the total and so leave waves out. None if neither describes the whole sea.
func partitions(s *SeaHour) []ledge.Partition {
	out := make([]ledge.Partition, 0, max(1, len(s.Partitions)))
	var m0 float64
	for _, p := range s.Partitions {
		if x, ok := peaked(p); ok {
			out = append(out, x)
			m0 += float64(p.Hs * p.Hs)
		}
	}
	if sum := math.Sqrt(m0); sum >= 0.8*float64(*s.Hs) {
		// What the parts lack of the total is there all the same: they are raised to it.
		if up := float64(*s.Hs) / sum; up > 1 {
			for i := range out {
				out[i].Hs *= measure.Metres(up)
			}
		}
		return out
	}
	if s.Period == nil || s.From == nil {
		return nil
	}
	if x, ok := peaked(Partition{Kind: "total", Hs: *s.Hs, Period: *s.Period, PeriodKind: s.PeriodKind, From: *s.From}); ok {
		return append(out[:0], x)
	}
	return nil
}

// peaked is a wave system as the chain takes it; not ok if it has no height, or no period that can be converted.
func peaked(p Partition) (ledge.Partition, bool) {
	if !(p.Hs > 0) || !(p.Period > 0) || math.IsNaN(float64(p.From)) {
		return ledge.Partition{}, false
	}
	tp, err := wave.Convert(p.Period, p.PeriodKind, wave.Peak, wave.WindSeaPeak)
	return ledge.Partition{Kind: p.Kind, Hs: p.Hs, Tp: tp, From: p.From}, err == nil
}

// strongest is the wave system that carries most energy.
func strongest(ps []Partition) (best ledge.Partition, ok bool) {
	energy := 0.0
	for _, p := range ps {
		if x, known := peaked(p); known {
			if e := float64(x.Hs*x.Hs) * float64(x.Tp); e > energy {
				best, energy, ok = x, e, true
			}
		}
	}
	return best, ok
}

// windiest is the strongest mean wind of the forecast hours in and around a span, and the strongest gust, which need
// not fall in the same hour. There is no mean unless both ends of the span have one: what is known of one end says nothing of
// the other.
func windiest(hours []WeatherHour, from, to time.Time) (mean *WeatherHour, gust *measure.MetresPerSecond) {
	const half = 30 * time.Minute
	var atStart, atEnd bool
	i := sort.Search(len(hours), func(i int) bool { return !hours[i].At.Before(from.Add(-half)) })
	for ; i < len(hours) && !hours[i].At.After(to.Add(half)); i++ {
		h := &hours[i]
		if h.Wind != nil {
			atStart = atStart || !h.At.After(from.Add(half))
			atEnd = atEnd || !h.At.Before(to.Add(-half))
		}
		if h.Wind != nil && (mean == nil || *h.Wind > *mean.Wind) {
			mean = h
		}
		if h.Gust != nil && (gust == nil || *h.Gust > *gust) {
			gust = h.Gust
		}
	}
	if !atStart || !atEnd {
		mean = nil
	}
	return mean, gust
}
