package conditions

import (
	"math"
	"sort"
	"time"

	"ledgehand/conditions/measure"
	"ledgehand/conditions/tide"
)

// bar is one thing that keeps people off a ledge, with the hours it does.
type bar struct {
	word  string
	doubt bool
	// uncertain means that nobody knows whether these hours would do: past day 4 they make "cannot tell".
	uncertain bool
	limit     float64
	value     func(i int) float64 // of a cell; nil: it has none
	spans     []tide.Span
}

// bar lays out the bars, the one to be named first ahead.
func (s *search) bar() {
	lim, c := s.out.Limits, s.cells
	gusts := func(i int) float64 { g, _ := deref(s.gust(i)); return g }
	over := func(word string, limit *float64, value func(i int) float64) bar {
		if limit == nil {
			return bar{word: word}
		}
		return bar{word: word, limit: *limit, value: value, spans: s.where(func(i int) bool { return value(i) > *limit })}
	}
	s.bars = []bar{
		{word: WhyWarning, doubt: true, spans: s.warned()},
		{word: WhySeaUnknown, doubt: true, uncertain: true, spans: s.where(func(i int) bool { return !c[i].known })},
		{word: WhyWindUnknown, doubt: true, uncertain: true, spans: s.where(func(i int) bool { return !s.windKnown(i) })},
		{word: WhyLip, doubt: true, uncertain: true, spans: s.where(func(i int) bool { return c[i].lipDoubted })},
		{word: WhyViolent, doubt: true, uncertain: true, spans: s.whereAsked(func(i int) bool { return c[i].violent })},
		over(OverHs, number(lim.Hs), func(i int) float64 { return float64(c[i].hs) }),
		over(OverPeriod, number(lim.Period), func(i int) float64 { return float64(c[i].period) }),
		over(OverGust, number(lim.Gust), gusts),
		{
			word: OverChance, limit: s.out.HourChance, value: func(i int) float64 { return c[i].chance() },
			spans: s.whereAsked(func(i int) bool { return c[i].chance() >= s.out.HourChance }),
		},
	}
	if g := s.a.q.Card.WalkInGate; g != nil {
		s.bars = append(s.bars, bar{
			word: WalkInWet, limit: float64(*g), value: func(i int) float64 { return float64(c[i].level) },
			spans: widened(s.wetWalkIn(*g), s.walk),
		})
	}
	searched := []tide.Span{{From: s.from, To: s.to}}
	s.bars = append(s.bars,
		bar{word: OutsideTideWish, spans: without(searched, s.wished(s.q.Tide))},
		bar{word: Dark, spans: without(searched, s.lit)},
		bar{word: WhyTooFar, doubt: true, spans: join(nil, tide.Span{From: s.mark, To: s.to})},
	)
}

// windKnown says whether the wind of an hour is known, and its gusts where the crew set a limit on them.
func (s *search) windKnown(i int) bool {
	if s.oldWeather() || s.a.r.Hours[i].Wind == nil {
		return false
	}
	return s.out.Limits.Gust == nil || s.gust(i) != nil
}

func (s *search) oldWeather() bool {
	w := s.a.q.Weather
	return w == nil || s.q.Now.Sub(w.Source.FetchedAt) > SeaRefused
}

// gust is the strongest gust of an hour. It is not known, nil, unless all that was forecast in and around the hour has one, at
// both of its ends (each speaks for the hour before), and was not fetched too long ago.
func (s *search) gust(i int) *measure.MetresPerSecond {
	const half = 30 * time.Minute
	if s.oldWeather() {
		return nil
	}
	w := s.a.q.Weather
	hour := s.spanOf(i)
	var atStart, atEnd bool
	k := sort.Search(len(w.Hours), func(k int) bool { return !w.Hours[k].At.Before(hour.From.Add(-half)) })
	for ; k < len(w.Hours) && !w.Hours[k].At.After(hour.To.Add(half)); k++ {
		if w.Hours[k].Gust == nil {
			return nil
		}
		atStart = atStart || !w.Hours[k].At.After(hour.From.Add(half))
		atEnd = atEnd || !w.Hours[k].At.Before(hour.To.Add(-half))
	}
	if !atStart || !atEnd {
		return nil
	}
	return s.a.r.Hours[i].Gust
}

// where lists the hours of the search that something is true of.
func (s *search) where(holds func(i int) bool) []tide.Span {
	var out []tide.Span
	for i := range s.cells {
		if s.cells[i].searched && holds(i) {
			out = join(out, s.spanOf(i))
		}
	}
	return out
}

// whereAsked lists the hours that something is true of which is only known while somebody might be there. Between two of
// them a night counts along: what held in the evening and holds in the morning is taken to have held, and
// what held in the last evening has no end.
func (s *search) whereAsked(holds func(i int) bool) []tide.Span {
	var out []tide.Span
	before := false
	for i := range s.cells {
		if !s.cells[i].asked {
			continue
		}
		now := holds(i)
		if now {
			x := s.spanOf(i)
			if before {
				x.From = out[len(out)-1].To
			}
			out = join(out, x)
		}
		before = now
	}
	if before {
		out[len(out)-1].To = later(out[len(out)-1].To, s.to)
	}
	return out
}

// warned lists when an official warning that keeps people off holds, here or where nobody could place it.
func (s *search) warned() []tide.Span {
	if s.a.q.Warnings.State != WarningsInForce {
		return nil
	}
	all := []tide.Span{{From: s.a.r.From, To: s.a.r.To}}
	free := all
	for _, w := range s.a.q.Warnings.List {
		if !w.KeepsOff() {
			continue
		}
		x := all[0]
		if !w.Onset.IsZero() {
			x.From = w.Onset.UTC()
		}
		if !w.Ends.IsZero() {
			x.To = w.Ends.UTC()
		}
		if x.To.Before(x.From) { // an end before the onset: both are doubtful
			x.From, x.To = x.To, x.From
		}
		free = without(free, []tide.Span{x})
	}
	return without(all, free)
}

// hindrance is a bar as it stands over some stretches: its values in their hours, and the stretch of it that covers most.
func (s *search) hindrance(b bar, over []tide.Span) Hindrance {
	h := Hindrance{Reason: Reason{Word: b.word, Doubt: b.doubt}}
	if b.value != nil {
		h.Limit, h.Value, h.Best = b.limit, math.Inf(-1), math.Inf(1)
	}
	var most time.Duration
	for _, x := range b.spans {
		part := without(over, without(over, []tide.Span{x}))
		if len(part) == 0 {
			continue
		}
		if d := total(part); d > most {
			most, h.From, h.Until = d, x.From, x.To
		}
		if b.value == nil {
			continue
		}
		for _, o := range part {
			first, end := s.overlapping(o)
			for i := first; i < end; i++ {
				h.Value, h.Best = max(h.Value, b.value(i)), min(h.Best, b.value(i))
			}
		}
	}
	if !h.From.After(s.from) {
		h.From = time.Time{}
	}
	if !h.Until.Before(s.to) {
		h.Until = time.Time{}
	}
	return h
}
