package bot

import (
	"context"
	"slices"

	"ledgehand/bot/chat"
	"ledgehand/bot/wording"
	"ledgehand/conditions"
	"ledgehand/session"
	"ledgehand/session/lookout"
	"ledgehand/session/outing"
	"ledgehand/session/trip"
)

// Looking again without being asked: the evening before a trip and two hours before it, and for warnings while people are out.
// Silence when nothing changed.

// lookAgain does the look that has come due.
func (a *ask) lookAgain() error {
	switch lookout.Kind(a.r.Look.Kind) {
	case lookout.Trip:
		return a.lookAtTrip(a.r.Look.Of)
	case lookout.Outing:
		return a.lookAtOuting(a.r.Look.Of)
	case lookout.Tide:
		return a.tellAgain(a.r.Look.Of)
	case lookout.After:
		return a.askAfter(a.r.Look.Of)
	case lookout.Home:
		return a.lookHome(a.r.Look.Of)
	case lookout.Gone:
		return a.clearGone()
	case lookout.Berley:
		return a.lookAtBerley(a.r.Look.Of)
	case lookout.Ladle:
		return a.lookToLadle(a.r.Look.Of)
	}
	return nil
}

// lookAtTrip looks at the hours of a trip, brings its panel up to date, and says in the group what is different from
// what the crew saw last, held against the plan: another verdict, clearly more or less swell or wind, another tide gate, a
// warning, a source that is silent.
func (a *ask) lookAtTrip(id string) error {
	var t trip.Trip
	var led session.Ledge
	stands := false
	if err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) (err error) {
		if t, stands, err = tx.LoadTrip(id); err != nil || !stands {
			return err
		}
		led, stands = c.LedgeNamed(t.Ledge)
		stands = stands && t.CalledOff.IsZero() && t.Outing == "" && c.Gone.IsZero() && t.End.After(tx.Now())
		return nil
	}); err != nil {
		return err
	}
	if !stands {
		return a.lookAtVote(id)
	}
	l, err := a.look(led, t.Start, t.End)
	if err != nil {
		return a.couldNotLook(t, err)
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		seen := t.Seq
		t, found, err := tx.LoadTrip(id)
		if err != nil || !found || !t.CalledOff.IsZero() || t.Seq != seen { // of another plan, which has looks of its own
			return err
		}
		n, err := tx.LoadNotice(id)
		if err != nil {
			return err
		}
		is := markOf(l.report)
		plan, different := newsOf(n, t, is)
		next, err := t.Apply(trip.NewSea{Sea: l.tripSea()}, tx.Now())
		if err != nil {
			return nil // over meanwhile: nothing to tell
		}
		if err := tx.PutTrip(next); err != nil {
			return err
		}
		if err := tx.PutSea(l.note); err != nil {
			return err
		}
		a.tripPanel(tx, c, next, false)
		news, err := a.tellWarnings(tx, lookout.Trip, id, l.report.Warnings)
		if err != nil {
			return err
		}
		if len(news) == 0 && !different {
			return nil
		}
		w = w.In(t.Zone)
		// Never hushed: it comes when people are about to set out.
		say(tx, session.Entry{Lane: session.Slow}, chat.Message{
			To: t.Chat, Thread: t.Thread, Text: w.TripNews(next, plan, is, news, l.report), Buttons: [][]chat.Button{newsButtons(w, next)},
		})
		n.Trip = id
		return tx.PutNotice(n.Told(t.Seq, is))
	})
}

// lookAtOuting looks whether a warning was issued since people went out, and tells it once: to the group or to those out in
// private, and to those who hold the plan ashore.
func (a *ask) lookAtOuting(id string) error {
	var o outing.Outing
	var led session.Ledge
	open, known := false, false
	if err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) (err error) {
		if o, open, err = tx.LoadOuting(id); err != nil || !open {
			return err
		}
		led, known = c.LedgeNamed(o.Ledge)
		open = !o.Closed()
		return nil
	}); err != nil {
		return err
	}
	if !open || !known {
		return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
			return a.endLookout(tx, lookout.Outing, id)
		})
	}
	in, err := a.warningsFor(led)
	if err != nil {
		return err
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		o, found, err := tx.LoadOuting(id)
		if err != nil || !found || o.Closed() {
			return err
		}
		news, err := a.tellWarnings(tx, lookout.Outing, id, in)
		if err != nil || len(news) == 0 {
			return err
		}
		for _, to := range hearers(o) {
			w := wordsOf(c, o, to.chat)
			text := w.OutingWarning(o, news, to.ashore)
			m := chat.Message{To: to.chat, Thread: to.thread, Text: text}
			if ashore, ok := o.Mailed(to.chat); ok {
				m = outingMail(o, ashore, w.WarningSubject(o), text+"\n\n"+w.MailFoot(o, tx.Now()))
				m.Mail.Grave = true
			}
			if !to.ashore {
				m.Buttons = outingButtons(w, o)
			}
			a.post(tx, "", session.Urgent, m)
		}
		return nil
	})
}

// hearer is a chat that hears of a new warning.
type hearer struct {
	chat   int64
	thread int
	ashore bool
}

// hearers are the group, or where there is none those out in private; and everybody ashore who holds the plan and can be
// reached.
func hearers(o outing.Outing) []hearer {
	var out []hearer
	if o.Group != 0 && o.GroupRefused.IsZero() {
		out = append(out, hearer{chat: o.Group, thread: o.Thread})
	} else {
		for _, m := range o.People {
			if m.OffAt.IsZero() && m.Chat != 0 {
				out = append(out, hearer{chat: m.Chat})
			}
		}
	}
	for _, c := range o.Contacts {
		if c.Refused.IsZero() && !slices.ContainsFunc(out, func(h hearer) bool { return h.chat == c.Chat }) {
			out = append(out, hearer{chat: c.Chat, ashore: true})
		}
	}
	return out
}

// warningsFor asks the warning feed alone for a ledge, now.
func (a *ask) warningsFor(led session.Ledge) (conditions.Warnings, error) {
	card, err := cardOf(led)
	if err != nil {
		return conditions.Warnings{}, err
	}
	if card.SeaAnchor == nil {
		return conditions.Warnings{State: conditions.WarningsUnknown, Why: errNoSea.Error()}, nil
	}
	where, err := a.whereWarned(card)
	if err != nil {
		return conditions.Warnings{}, err
	}
	ctx, cancel := context.WithTimeout(a.ctx, patience)
	defer cancel()
	return a.Seer.Warnings(ctx, where, a.cause.Now), nil
}

// tellWarnings notes the warnings of a look as told and gives back those that are news. What bears no more than a note, or
// lies elsewhere for sure, is none.
func (a *ask) tellWarnings(tx *session.Tx, kind lookout.Kind, of string, in conditions.Warnings) ([]conditions.Warning, error) {
	l, found, err := tx.LoadLookout(lookout.Lookout{Kind: kind, Of: of}.ID())
	if err != nil || !found || in.State != conditions.WarningsInForce {
		return nil, err
	}
	var ids []string
	byID := map[string]conditions.Warning{}
	for _, x := range in.List {
		if !x.KeepsOff() {
			continue
		}
		ids = append(ids, x.ID)
		byID[x.ID] = x
	}
	l, fresh := l.News(ids)
	if len(fresh) == 0 {
		return nil, nil
	}
	var out []conditions.Warning
	for _, id := range fresh {
		out = append(out, byID[id])
	}
	return out, tx.PutLookout(l)
}

func (a *ask) endLookout(tx *session.Tx, kind lookout.Kind, of string) error {
	l, found, err := tx.LoadLookout(lookout.Lookout{Kind: kind, Of: of}.ID())
	if err != nil || !found {
		return err
	}
	return tx.PutLookout(l.Ended())
}
