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
	if math.Sqrt(m0) >= 0.8*float64(*s.Hs) {
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
// not fall in the same hour.
func windiest(hours []WeatherHour, from, to time.Time) (mean *WeatherHour, gust *measure.MetresPerSecond) {
	const half = 30 * time.Minute
	from, to = from.Add(-half), to.Add(half)
	i := sort.Search(len(hours), func(i int) bool { return !hours[i].At.Before(from) })
	for ; i < len(hours) && !hours[i].At.After(to); i++ {
		h := &hours[i]
		if h.Wind != nil && (mean == nil || *h.Wind > *mean.Wind) {
			mean = h
		}
		if h.Gust != nil && (gust == nil || *h.Gust > *gust) {
			gust = h.Gust
		}
	}
	return mean, gust
}
