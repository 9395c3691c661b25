package conditions

import (
	"time"

	"ledgehand/conditions/ledge"
	"ledgehand/conditions/tide"
)

// find looks for the windows: what the bars leave, where it is long enough, cut to stays whose chance of a wash is within
// the limit.
func (s *search) find() {
	for _, run := range s.runs(tide.Span{From: s.from, To: s.to}, func(bar) bool { return true }) {
		for _, v := range s.visits(run) {
			s.out.Windows = append(s.out.Windows, s.window(run, v))
		}
	}
}

// runs are the stretches of at least the least length, to the minute, that some of the bars leave.
func (s *search) runs(of tide.Span, bars func(bar) bool) []tide.Span {
	left := []tide.Span{of}
	for _, b := range s.bars {
		if bars(b) && len(left) > 0 {
			left = without(left, b.spans)
		}
	}
	return s.longEnough(left)
}

func (s *search) longEnough(list []tide.Span) []tide.Span {
	var out []tide.Span
	for _, x := range list {
		if m := (tide.Span{From: x.From.Add(time.Minute - 1).Truncate(time.Minute), To: x.To.Truncate(time.Minute)}); m.To.Sub(m.From) >= s.q.Least {
			out = append(out, m)
		}
	}
	return out
}

// visit is the longest stay of a room, and what cuts it if the run goes on.
type visit struct {
	tide.Span
	room tide.Span
	ends *Hindrance
}

// visits are the rooms of a run: every stay in them of at least the least length is within the limit on the chance of a wash
// and no longer than Assess takes. The longest stay of each stands for it, the first of two as long.
func (s *search) visits(run tide.Span) []visit {
	first, end := s.overlapping(run)
	all := s.fits(first, end) // then so does every part of it
	if all && run.To.Sub(run.From) <= MostHours*time.Hour {
		return []visit{{run, run, nil}}
	}
	var out []visit
	stop := first // of the stay that begins at the hour looked at: never before that of the hour before
	for i := first; i < end; i++ {
		before := stop
		stop = max(stop, i+1)
		for stop < end && stop-i < MostHours && (all || s.fits(i, stop+1)) {
			stop++
		}
		if stop == before {
			continue // part of the stay before
		}
		x := tide.Span{From: later(run.From, s.spanOf(i).From), To: sooner(run.To, s.spanOf(stop-1).To)}
		if x.To.Sub(x.From) < s.q.Least {
			continue
		}
		n := len(out)
		if n == 0 || x.From.After(out[n-1].room.To) {
			out = append(out, visit{Span: x, room: x})
			n++
		} else if out[n-1].room.To = x.To; x.To.Sub(x.From) > out[n-1].To.Sub(out[n-1].From) {
			out[n-1].Span = x
		} else {
			continue
		}
		out[n-1].ends = nil
		switch {
		case stop == end:
		case stop-i == MostHours:
			out[n-1].ends = &Hindrance{Reason: Reason{Word: LongestStay}}
		default:
			p := s.stayOf(i, stop+1).chance()
			out[n-1].ends = &Hindrance{Reason: Reason{Word: OverStayChance, Value: p, Limit: s.out.StayChance}, Best: p}
		}
	}
	return out
}

// fits says whether the chance of a wash in a stay is within the limit.
func (s *search) fits(first, end int) bool {
	p := s.stayOf(first, end).chance()
	return p < ledge.LikelyChance && p <= s.out.StayChance
}

func (s *search) window(run tide.Span, v visit) Window {
	w := Window{
		From: v.From, To: v.To, Room: v.room,
		TideAtStart: s.tideAt(v.From), TideAtEnd: s.tideAt(v.To),
	}
	trouble := v.To
	if v.ends != nil {
		w.Ends = *v.ends
	} else if b := s.barAt(run.To); b != nil {
		w.Ends = s.hindrance(*b, []tide.Span{{From: run.To, To: run.To.Add(time.Hour)}})
		if b.word == WalkInWet || b.word == Dark { // that is when to leave to have the walk behind one
			trouble = trouble.Add(s.walk)
		}
	}
	w.TurnBack = sooner(v.To, trouble.Add(-turnBackGap))
	for _, e := range s.turns {
		if !e.At.Before(w.From) && !e.At.After(w.To) {
			w.Turns = append(w.Turns, e)
		}
	}
	first, end := s.overlapping(v.Span)
	w.Gust = s.gust(first)
	for i := first; i < end; i++ {
		c, gust := &s.cells[i], s.gust(i)
		w.HsP90, w.Period = max(w.HsP90, c.hs), max(w.Period, c.period)
		if gust == nil || w.Gust == nil {
			w.Gust = nil
		} else if *gust > *w.Gust {
			w.Gust = gust
		}
	}
	x := s.stayOf(first, end)
	w.ChanceP90, w.Chance, w.ExcessBad, w.Verdict = x.chance(), x.own.Chance, x.own.ExcessBad, x.own.Verdict
	w.Notes = s.notes(v.Span)
	return w
}

// notes are what Assess would note of a stay.
func (s *search) notes(x tide.Span) []Reason {
	first, end := s.overlapping(x)
	a := assessment{q: s.a.q, r: &Report{Hours: s.a.r.Hours[first:end]}, sea: s.a.sea[first:end], pred: s.a.pred, level: s.a.level[first*stepsPer:]}
	a.q.From, a.q.To = x.From, x.To
	a.notes()
	return a.r.Reasons
}

// barAt is the first bar that goes up within a minute of an instant; nil: none does.
func (s *search) barAt(t time.Time) *bar {
	for k := range s.bars {
		for _, x := range s.bars[k].spans {
			if x.From.Before(t.Add(time.Minute)) && x.To.After(t) {
				return &s.bars[k]
			}
		}
	}
	return nil
}
