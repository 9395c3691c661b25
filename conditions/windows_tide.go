package conditions

import (
	"slices"
	"time"

	"ledgehand/conditions/measure"
	"ledgehand/conditions/tide"
)

// turnsReach is how far around a search its highs and lows are looked for: every stay then lies between two of them, but for
// diurnal tides that stand for days.
const turnsReach = 30 * time.Hour

// wished lists when the tide is as somebody wishes it.
func (s *search) wished(w TideWish) []tide.Span {
	all := tide.Span{From: s.from, To: s.to}
	p := s.a.pred
	var out []tide.Span
	switch w.Kind {
	case TideBelowLevel:
		return p.Below(w.Level, s.from, s.to)
	case TideAboveLevel:
		return p.Above(w.Level, s.from, s.to)
	case MakingTide, EbbingTide:
		for i := 1; i < len(s.turns); i++ {
			if (s.turns[i].Kind == tide.High) == (w.Kind == MakingTide) {
				out = join(out, tide.Span{From: later(s.turns[i-1].At, s.from), To: sooner(s.turns[i].At, s.to)})
			}
		}
		return out
	case TideAroundLow, TideAroundHigh:
		for _, e := range s.turns {
			if (e.Kind == tide.High) == (w.Kind == TideAroundHigh) {
				out = join(out, tide.Span{From: later(e.At.Add(-w.Around), s.from), To: sooner(e.At.Add(w.Around), s.to)})
			}
		}
		return out
	}
	return []tide.Span{all}
}

// wetWalkIn lists when the walk-in floods, by the tide with each hour's surge, over the whole grid.
func (s *search) wetWalkIn(gate measure.Metres) []tide.Span {
	// The tide is read off every ten minutes; between them it may stand a little higher, or lower.
	const near measure.Metres = 0.02
	var wet []tide.Span
	for i := range s.cells {
		h, hour := s.a.r.Hours[i], s.spanOf(i)
		lift := s.cells[i].level - h.Tide
		if h.Tide+lift < gate-near {
			continue
		}
		if slices.Min(s.a.level[i*stepsPer:(i+1)*stepsPer+1])+lift > gate+near {
			wet = join(wet, hour)
			continue
		}
		for _, x := range without([]tide.Span{hour}, s.a.pred.Below(gate-lift, hour.From, hour.To)) {
			wet = join(wet, x)
		}
	}
	return wet
}

// tideAt is the tide at an instant of the search.
func (s *search) tideAt(t time.Time) TideMark {
	m := TideMark{Height: s.a.pred.Height(t)}
	for i := 1; i < len(s.turns); i++ {
		if !s.turns[i-1].At.After(t) && s.turns[i].At.After(t) {
			if m.Motion = tide.Ebbing; s.turns[i].Kind == tide.High {
				m.Motion = tide.Making
			}
			return m
		}
	}
	m.Motion = s.a.pred.StageAt(t).Motion
	return m
}
