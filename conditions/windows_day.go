package conditions

import (
	"time"

	"ledgehand/conditions/tide"
)

// daysOff says for each day up to day 4 without a window what stands in the way.
func (s *search) daysOff() {
	for _, d := range s.days {
		part := tide.Span{From: d.From, To: sooner(d.To, s.mark)}
		// Nothing is said of what is left of a day at its end, nor past the forecast.
		if part.To.Sub(part.From) < s.q.Least || !part.From.Before(s.out.SeaUntil) || s.has(part) {
			continue
		}
		if s.mark.Before(d.To) && longest(s.light(part)) < s.q.Least {
			continue // the outlook speaks of this day
		}
		s.out.Off = append(s.out.Off, DayOff{d.date, s.inTheWay(part, func(bar) bool { return true })})
	}
}

// has says whether a window falls into a stretch.
func (s *search) has(part tide.Span) bool {
	for _, w := range s.out.Windows {
		if w.Room.From.Before(part.To) && w.Room.To.After(part.From) {
			return true
		}
	}
	return false
}

// light is what of a stretch is light enough.
func (s *search) light(part tide.Span) []tide.Span {
	return without([]tide.Span{part}, without([]tide.Span{part}, s.lit))
}

// outlooks gives each day past day 4, as far as the forecast goes, a word.
func (s *search) outlooks() {
	for _, d := range s.days {
		part := tide.Span{From: later(d.From, s.mark), To: d.To}
		if part.To.Sub(part.From) < s.q.Least || !part.From.Before(s.out.SeaUntil) {
			continue
		}
		if d.From.Before(s.mark) && longest(s.light(part)) < s.q.Least {
			continue
		}
		o := DayOutlook{Day: d.date}
		near := func(b bar) bool { return b.word != WhyTooFar }
		switch {
		case len(s.runs(part, near)) > 0:
			o.Word = OutlookMayBe
		case len(s.runs(part, func(b bar) bool { return near(b) && !b.uncertain })) > 0:
			o.Word = OutlookCannotTell
			o.Hindrance = s.inTheWay(part, func(b bar) bool { return b.uncertain })
		default:
			o.Word = OutlookOver
			o.Hindrance = s.inTheWay(part, func(b bar) bool { return !b.uncertain })
		}
		s.out.Outlook = append(s.out.Outlook, o)
	}
}

// inTheWay is the one bar of some without which a stretch would have a window, the first of several; if there is none that
// which takes most of its light.
func (s *search) inTheWay(part tide.Span, some func(bar) bool) Hindrance {
	lit := s.light(part)
	if len(s.longEnough(lit)) == 0 {
		for _, b := range s.bars {
			if b.word == Dark {
				return s.hindrance(b, []tide.Span{part})
			}
		}
	}
	var most *bar
	var takes time.Duration
	for k := range s.bars {
		b := &s.bars[k]
		if b.word == WhyTooFar || b.word == Dark || !some(*b) {
			continue
		}
		d := common(lit, b.spans)
		if d == 0 {
			continue
		}
		if len(s.runs(part, func(x bar) bool { return x.word != WhyTooFar && x.word != b.word })) > 0 {
			return s.hindrance(*b, lit)
		}
		if d > takes {
			most, takes = b, d
		}
	}
	if most != nil {
		return s.hindrance(*most, lit)
	}
	return s.stayOver(part)
}

// stayOver is for a stretch that no bar takes and that holds no stay all the same: the chance of a wash in the whole of even the
// mildest stay of the least length is over the limit.
func (s *search) stayOver(part tide.Span) Hindrance {
	h := Hindrance{Reason: Reason{Word: OverStayChance, Limit: s.out.StayChance}, Best: 1}
	least := int((s.q.Least + time.Hour - 1) / time.Hour)
	for _, run := range s.runs(part, func(b bar) bool { return b.word != WhyTooFar }) {
		first, end := s.overlapping(run)
		for i := first; i+least <= end; i++ {
			p := s.stayOf(i, i+least).chance()
			h.Value, h.Best = max(h.Value, p), min(h.Best, p)
		}
	}
	return h
}
