package conditions

import (
	"math"
	"slices"
	"time"

	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/tide"
)

// search goes over one ledge. The sea, the wind and the tide come from Assess's own chain, laid out over all hours of the
// search and some either side; what is judged of them is in cells, one an hour.
type search struct {
	q        *WindowsQuestion
	a        *assessment // of the whole grid: its hours and seas are those of the cells
	from, to time.Time   // searched
	mark     time.Time   // end of day 4, at the full hour before
	walk     time.Duration
	days     []localDay
	lit      []tide.Span // when people may be on the ledge, as far as light goes
	turns    []tide.Extreme
	cells    []cell
	bars     []bar
	known    map[lesson]*learnt
	out      LedgeWindows

	// Stores that are used again and again.
	steps   []step
	owner   []owner
	parts   [][]ledge.Partition
	levels  []measure.Metres
	spreads []float64
	last    stint // asked for
}

// pad is how far the grid goes beyond the search: as far as a swell may be early or late.
const pad = arrivalFar * time.Hour

func newSearch(q *WindowsQuestion, l Question) *search {
	s := &search{q: q, from: q.From.UTC(), to: q.To.UTC(), known: map[lesson]*learnt{}}
	if l.Zone == nil {
		l.Zone = time.UTC
	}
	if w := l.Card.Walk(); w != nil {
		s.walk = min(*w, 24*time.Hour)
	}
	around := (max(pad, s.walk) + time.Hour).Truncate(time.Hour)
	l.Now = q.Now
	l.From = wholeHour(q.From, l.Zone).Add(-around).UTC()
	l.To = l.From.Add((q.To.Sub(l.From) + around + time.Hour - 1).Truncate(time.Hour))
	s.mark = l.From.Add(q.Now.Add(FarthestDay).Sub(l.From).Truncate(time.Hour))
	s.a = &assessment{q: l, r: &Report{Now: q.Now, From: l.From, To: l.To}}
	lim := l.Card.Limits
	s.out = LedgeWindows{
		Ledge: l.Card.Name, Zone: l.Zone, Limits: lim, LimitsSet: lim.Hs != nil || lim.Period != nil || lim.Gust != nil || lim.WashChance != nil,
		HourChance: badHour, StayChance: ledge.LikelyChance, Watches: len(l.Learned),
		Warnings: l.Warnings, SeaWhy: l.SeaWhy, WeatherWhy: l.WeatherWhy,
	}
	if c := lim.WashChance; c != nil {
		// No crew can set a limit that lets this program offer what it calls "likely washed".
		s.out.HourChance = min(*c, ledge.LikelyChance)
		s.out.StayChance = s.out.HourChance
	}
	if l.Sea != nil {
		s.out.SeaSource = &l.Sea.Source
		s.out.SeaUntil = seaEnd(l.Sea.Hours)
	}
	if l.Weather != nil {
		s.out.WeatherSource = &l.Weather.Source
		for _, w := range l.Weather.Hours {
			if w.Gust != nil || w.Wind != nil {
				s.out.WeatherUntil = later(s.out.WeatherUntil, w.At.UTC())
			}
		}
	}
	return s
}

// wholeHour is the last full hour on the clocks of a zone; some of them stand at half or quarter hours of UTC.
func wholeHour(t time.Time, zone *time.Location) time.Time {
	_, minute, second := t.In(zone).Clock()
	return t.Add(-time.Duration(minute)*time.Minute - time.Duration(second)*time.Second - time.Duration(t.Nanosecond()))
}

// seaEnd is the last instant that a forecast knows the whole sea of.
func seaEnd(hours []SeaHour) time.Time {
	for _, h := range slices.Backward(hours) {
		if h.Hs != nil && *h.Hs > 0 && len(partitions(&h)) > 0 {
			return h.At.UTC()
		}
	}
	return time.Time{}
}

func (s *search) windows() LedgeWindows {
	s.lay()
	if s.doubts(); len(s.out.Doubts) > 0 {
		return s.out
	}
	s.judge()
	s.bar()
	s.find()
	s.daysOff()
	s.outlooks()
	return s.out
}

// lay lays out the grid hour by hour with what the feeds and the tide say, as Assess does.
func (s *search) lay() {
	a, r := s.a, s.a.r
	r.Hours = make([]Hour, int(r.To.Sub(r.From)/time.Hour))
	for i := range r.Hours {
		r.Hours[i] = Hour{At: r.From.Add(time.Duration(i) * time.Hour), Tide: measure.Metres(math.NaN()), Freeboard: measure.Metres(math.NaN())}
	}
	a.sea = make([]instant, 0, len(r.Hours))
	// When the walk-in is wet depends on the surge of each hour, and light is known by the day and to the second: it would
	// only cost time to have them worked out here.
	card := a.q.Card
	a.q.Card.WalkInGate = nil
	a.surge()
	a.tide()
	s.out.Station, s.out.Datum = r.Station, r.Datum
	if a.pred != nil {
		s.turns = a.pred.Extremes(s.from.Add(-turnsReach), s.to.Add(turnsReach))
	}
	s.days = daysOf(s.from, s.to, s.out.Zone)
	s.lit = []tide.Span{{From: s.from, To: s.to}}
	if !s.q.Nights {
		lit, ok := daylight(card.Place(), s.from, s.to, s.out.Zone, s.walk)
		if !ok {
			a.doubt(WhyLight)
		}
		s.lit = lit
		a.q.Card.Exact, a.q.Card.SeaAnchor = nil, nil
	}
	a.hours()
	a.q.Card = card
}

// doubts are what speaks against the whole search. They are those of a Report on any of its hours, light apart.
func (s *search) doubts() {
	a := s.a
	seaKnown := slices.ContainsFunc(a.r.Hours, func(h Hour) bool { return h.Known && h.At.Add(time.Hour).After(s.from) })
	w := Report{Warnings: a.q.Warnings}
	(&assessment{q: a.q, r: &w}).warnings()
	card := a.q.Card
	for _, d := range []struct {
		word string
		on   bool
	}{
		{WhySeaOld, a.hasDoubt(WhySeaOld)},
		{WhySeaUnknown, !seaKnown && !a.hasDoubt(WhySeaOld)},
		{WhyWarningsUnknown, slices.ContainsFunc(w.Reasons, func(x Reason) bool { return x.Word == WhyWarningsUnknown })},
		{WhyTide, a.pred == nil},
		{WhyTideFar, a.hasDoubt(WhyTideFar)},
		{WhyLip, card.LipHeight == nil || !card.LipMeasured.Known() && len(a.q.Learned) < CalibratedAt},
		{WhyFoot, footUnknown(card)},
		{WhyLight, a.hasDoubt(WhyLight)},
	} {
		if d.on {
			s.out.Doubts = append(s.out.Doubts, d.word)
		}
	}
}

// overlapping are the indices of the cells that a stretch touches: from the first to before the last.
func (s *search) overlapping(t tide.Span) (first, end int) {
	start := s.a.r.From
	first = int(t.From.Sub(start) / time.Hour)
	end = int((t.To.Sub(start) + time.Hour - 1) / time.Hour)
	return max(0, first), min(len(s.cells), end)
}

func (s *search) spanOf(i int) tide.Span {
	at := s.a.r.From.Add(time.Duration(i) * time.Hour)
	return tide.Span{From: at, To: at.Add(time.Hour)}
}
