package bot

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/wording"
	"ledgehand/conditions"
	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/tide"
	"ledgehand/session"
	"ledgehand/session/lookout"
	"ledgehand/session/outing"
	"ledgehand/session/watch"
)

// Watching again while people are out: when the tide turns, and on a making tide whenever the water has risen so far that a
// watch says little any more. The times are worked out beforehand from the predicted tide; no feed is asked.

// noPromptBefore is how long before the back-by time nobody is asked to watch any more: they are packing (common practice,
// no source).
const noPromptBefore = 30 * time.Minute

// makingAt says whether the predicted tide rises; not ok where no station tells.
func makingAt(card ledge.Card, now time.Time) (making, ok bool) {
	p, err := tide.Open(card.TideStation)
	if err != nil {
		return false, false
	}
	s := p.StageAt(now)
	return s.Motion == tide.Making, s.Motion != tide.Still
}

// tideSince lays down when those who are out with the keeper of a watch are to look again, counted from its end. It gives
// back when the water will first stand otherwise, zero where the tide does not tell.
func (d *Desk) tideSince(tx *session.Tx, c session.Crew, x watch.Watch) (time.Time, error) {
	led, ok := c.LedgeNamed(x.Ledge)
	if !ok {
		return time.Time{}, nil
	}
	at, err := stagesOf(tx, led, x.EndedAt)
	if err != nil {
		return time.Time{}, err
	}
	open, err := tx.OpenOutings()
	if err != nil {
		return time.Time{}, err
	}
	for _, o := range open {
		m, in := o.Member(x.By)
		if there, ok := c.LedgeNamed(o.Ledge); !in || !m.OffAt.IsZero() || !ok || there.Name != led.Name {
			continue
		}
		if err := tx.PutLookout(lookout.ForTide(o.ID, x.EndedAt, true, at, tx.Now())); err != nil {
			return time.Time{}, err
		}
	}
	if len(at) == 0 {
		return time.Time{}, nil
	}
	return at[0], nil
}

// watchedLately is how old a watch may be to count for an outing that begins now.
const watchedLately = 90 * time.Minute

// tideFromNow does the same for an outing that begins: from the last watch that one of the party kept, else from now.
func tideFromNow(tx *session.Tx, led session.Ledge, o outing.Outing) error {
	since, watched := tx.Now(), false
	for _, x := range slices.Backward(led.Observed) {
		byThem := slices.ContainsFunc(o.People, func(m outing.Member) bool { return m.Name == x.By })
		if byThem && !x.At.After(tx.Now()) && tx.Now().Sub(x.At) <= watchedLately {
			since, watched = x.At, true
			break
		}
	}
	at, err := stagesOf(tx, led, since)
	if err != nil {
		return err
	}
	return tx.PutLookout(lookout.ForTide(o.ID, since, watched, at, tx.Now()))
}

// stagesOf are the instants from since on at which a ledge is worth watching again, for as long as an outing can last: a
// back-by time may still be moved.
func stagesOf(tx *session.Tx, led session.Ledge, since time.Time) ([]time.Time, error) {
	card, err := cardOf(led)
	if err != nil {
		return nil, err
	}
	p, err := tide.Open(card.TideStation)
	if err != nil {
		return nil, nil // no station, no stages
	}
	var hs, rc measure.Metres
	var peak measure.Seconds
	if card.LipHeight != nil {
		rc = *card.LipHeight - p.Height(since)
	}
	n, found, err := tx.LoadSea(led.Name)
	if err != nil {
		return nil, err
	}
	if h, ok := n.Hour(since, tx.Now()); found && ok {
		hs, peak = measure.Metres(h.HsLocal), measure.Seconds(h.Period)
	}
	step := conditions.RiseToWatch(card, observations(led), hs, peak, rc, tx.Now())
	all, err := conditions.WatchAgain(card.TideStation, since, since.Add(outing.Longest), step)
	if err != nil {
		return nil, err
	}
	var at []time.Time
	for _, x := range all {
		at = append(at, x.At)
	}
	return at, nil
}

// tellAgain tells those who are out that the water stands otherwise than when it was watched: one quiet line a chat. Not where
// the phone is no use, not to those who are watching, and not when they are about to leave.
func (a *ask) tellAgain(id string) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		o, found, err := tx.LoadOuting(id)
		if err != nil {
			return err
		}
		led, known := c.LedgeNamed(o.Ledge)
		if !found || o.Closed() || !known {
			return a.endLookout(tx, lookout.Tide, id)
		}
		if o.Sheet.Signal == string(ledge.SignalNo) || o.BackBy.Sub(tx.Now()) < noPromptBefore {
			return nil // the back-by time may still be moved: the later looks stay
		}
		running, err := tx.RunningWatches()
		if err != nil {
			return err
		}
		for _, x := range running {
			if m, in := o.Member(x.By); in && m.OffAt.IsZero() {
				return nil // they are looking
			}
		}
		l, found, err := tx.LoadLookout(lookout.Lookout{Kind: lookout.Tide, Of: id}.ID())
		if err != nil || !found {
			return err
		}
		card, err := cardOf(led)
		if err != nil {
			return err
		}
		now, err := conditions.AgainNow(card.TideStation, l.Since, tx.Now())
		if err != nil {
			return a.endLookout(tx, lookout.Tide, id) // another station meanwhile, or none
		}
		for _, to := range stillOutChats(o) {
			a.post(tx, "", session.Slow, chat.Message{To: to.chat, Thread: to.thread, Quiet: true, Text: wordsOf(c, o, to.chat).WatchTide(now, l.Since, l.Watched)})
		}
		return nil
	})
}

// lesser is for what must not stand in the way of going out, of coming back or of the result of a watch: a record that cannot
// be read costs only what hangs on it. A store that is down is found at the commit.
func (d *Desk) lesser(what string, err error) {
	if err != nil {
		d.Log.Error("left out, the rest goes on", "what", what, "kind", fmt.Sprintf("%T", errors.Unwrap(err))) // the error itself may quote the record
	}
}

// stillOutChats are where those still out read, each chat once: their own where it works, else the group.
func stillOutChats(o outing.Outing) (out []hearer) {
	for _, m := range o.StillOut() {
		to := hearer{chat: m.Chat}
		switch {
		case m.Chat != 0:
		case o.Group != 0 && o.GroupRefused.IsZero():
			to = hearer{chat: o.Group, thread: o.Thread}
		default:
			continue // nobody to be reached
		}
		if !slices.ContainsFunc(out, func(h hearer) bool { return h.chat == to.chat }) {
			out = append(out, to)
		}
	}
	return out
}
