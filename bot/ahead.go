package bot

import (
	"errors"
	"slices"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/wording"
	"ledgehand/conditions"
	"ledgehand/conditions/feed"
	"ledgehand/session"
	"ledgehand/session/lookout"
	"ledgehand/session/notice"
	"ledgehand/session/trip"
)

// What is ahead of a trip: when we look at its sea again, and what people saw of it, against which that is held.

// looksAhead lays down when a trip is looked at again and when its bait is prepared. Made anew it takes the place of what was
// laid down before.
func looksAhead(tx *session.Tx, t trip.Trip) error {
	if err := tx.PutLookout(lookout.ForTrip(t.ID, t.Start, zone(t.Zone), tx.Now())); err != nil {
		return err
	}
	return tx.PutLookout(lookout.ForBerley(t.ID, t.Start, zone(t.Zone), tx.Now()))
}

// sawSea notes what people were shown of a trip's sea.
func sawSea(tx *session.Tx, t trip.Trip, r conditions.Report) error {
	n, err := tx.LoadNotice(t.ID)
	if err != nil {
		return err
	}
	n.Trip = t.ID
	return tx.PutNotice(n.Saw(t.Seq, markOf(r)))
}

// markOf is what a report comes to for a whole trip: the worst of its hours.
func markOf(r conditions.Report) notice.Mark {
	m := notice.Mark{At: r.Now, Verdict: string(r.Verdict)}
	for _, h := range r.Hours {
		if h.Hs != nil {
			m.Hs = larger(m.Hs, float64(*h.Hs))
		}
		if h.Wind != nil {
			m.Wind = larger(m.Wind, float64(*h.Wind))
		}
		if h.Gust != nil {
			m.Gust = larger(m.Gust, float64(*h.Gust))
		}
	}
	if m.Gate = r.HasGate; m.Gate {
		m.Floods = floods(r)
	}
	old := slices.ContainsFunc(r.Reasons, func(x conditions.Reason) bool { return x.Word == conditions.WhySeaOld })
	if old || trouble(r.SeaWhy) {
		m.Missing = append(m.Missing, notice.NoSea)
	}
	if trouble(r.WeatherWhy) {
		m.Missing = append(m.Missing, notice.NoWind)
	}
	if r.Warnings.State == conditions.WarningsUnknown && trouble(r.Warnings.Why) {
		m.Missing = append(m.Missing, notice.NoWarnings)
	}
	return m
}

func larger(a *float64, b float64) *float64 {
	if a != nil && *a >= b {
		return a
	}
	return &b
}

// floods is when the walk-in first lies under water within the hours of a report; zero where it stays dry.
func floods(r conditions.Report) time.Time {
	at := r.From
	for _, dry := range r.WalkInDry {
		if dry.From.After(at) {
			break
		}
		if dry.To.After(at) {
			at = dry.To
		}
	}
	if !at.Before(r.To) {
		return time.Time{}
	}
	return at
}

// couldNotLook tells the crew that a look at their trip came to nothing for a reason that will not pass by itself, such as a card
// that cannot be read: silence would be taken for no news.
func (a *ask) couldNotLook(t trip.Trip, err error) error {
	if errors.Is(err, session.ErrUnavailable) || a.ctx.Err() != nil {
		return err // it comes again
	}
	a.lesser("the look at a trip", err)
	return a.do(func(tx *session.Tx, c session.Crew, _ wording.Words) error {
		w := a.wordsTo(c, t.Chat).In(t.Zone)
		a.post(tx, "", session.Slow, chat.Message{
			To: t.Chat, Thread: t.Thread, Buttons: [][]chat.Button{newsButtons(w, t)},
			Text: w.T("trip_news_failed", "ledge", t.Ledge, "day", w.Day(t.Start), "span", w.Span(t.Start, t.End)),
		})
		return nil
	})
}

// replanned is what follows when the plan itself changed, or is off: other looks, and a newer calendar file where one went.
func (a *ask) replanned(tx *session.Tx, c session.Crew, t trip.Trip) error {
	if t.CalledOff.IsZero() {
		if err := looksAhead(tx, t); err != nil {
			return err
		}
	}
	return a.calendarAgain(tx, c, t)
}

// trouble says whether a source is silent that had something to say, or should have: it may be back tomorrow, and until then
// nobody knows. Coasts that no source covers are no news.
func trouble(why string) bool {
	switch feed.Why(why) {
	case "", feed.NoFeed, feed.NotCovered, feed.AllNull, feed.AllZero, feed.Why(errNoSea.Error()):
		return false
	}
	return true
}

// newsOf says whether a look found something to tell, and the mark of the plan it is held against. What a crew saw last decides
// whether it is news; a source that is silent is told each time, for people count on it.
func newsOf(n notice.Notice, t trip.Trip, is notice.Mark) (plan *notice.Mark, news bool) {
	plan, last := n.Of(t.Seq)
	if last == nil { // planned before this was kept, or changed since
		if was := t.SeaAtPlan; !was.At.IsZero() {
			last = &notice.Mark{At: was.At, Verdict: was.Verdict}
			if was.Hs > 0 {
				last.Hs = &was.Hs
			}
			plan = last
		}
	}
	return plan, last == nil || len(is.Missing) > 0 || len(is.Since(*last)) > 0
}

// newsButtons are under what changed: look again, or call it off.
func newsButtons(w wording.Words, t trip.Trip) []chat.Button {
	r := ref(session.CrewID(t.Crew), t.ID)
	return []chat.Button{button(w.T("b_sea"), actTripSea, r, ""), button(w.T("b_calloff"), actCallOff, r, "")}
}
