package bot

import (
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/outing"
	"ledgehand/session/trip"
)

// tooEarly is how long before its start a plan becomes no outing by a tap: somebody taps the wrong panel.
const tooEarly = 3 * time.Hour

// goTrip turns a plan into an outing of everybody who is in. The end of the plan is shown as the return time, by
// the person's own tap: it was stated by the crew, not guessed. seq is that of the plan they saw: nobody goes out on another.
func (a *ask) goTrip(id string, seq int) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		t, ok, err := tx.LoadTrip(id)
		if err != nil {
			return err
		}
		if !ok || !t.CalledOff.IsZero() {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		if p, in := t.Person(a.r.From.ID); !in || p.Answer != trip.In {
			return a.problem(tx, w, trip.ErrNotIn)
		}
		open, err := tx.OpenOutings()
		if err != nil {
			return err
		}
		for _, o := range open {
			if o.ID == t.Outing {
				a.toast = w.T("toast_out", "by", w.In(o.Zone).Clock(o.BackBy))
				return nil
			}
		}
		if seq < t.Seq {
			a.toast, a.loud = w.T("toast_plan_changed"), true
			return nil
		}
		if o, out := outWith(open, a.r.From.ID); out {
			a.toast, a.loud = short(w.T("out_already", "ledge", o.Ledge, "by", w.In(o.Zone).When(o.BackBy, tx.Now()))), true
			return nil
		}
		switch {
		case len(open) >= mostOutings:
			a.answer(tx, w.T("outings_full", "n", mostOutings))
			return nil
		case !t.End.After(tx.Now()):
			return a.problem(tx, w, trip.ErrOver)
		case t.Start.Sub(tx.Now()) > tooEarly:
			return a.problem(tx, w, wording.ErrTooEarly)
		}
		led, found := c.LedgeNamed(t.Ledge)
		if !found {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		card, err := cardOf(led)
		if err != nil {
			return err
		}
		// Whoever taps this stands at the car park and has seen the plan: that is their yes.
		me, _ := t.Person(a.r.From.ID)
		if t, err = t.Apply(trip.Say{ID: me.ID, Name: me.Name, Answer: trip.In, Seen: t.Seq}, tx.Now()); err != nil {
			return a.problem(tx, w, err)
		}
		with, asked, elsewhere := party{}, t.Unconfirmed(), []trip.Place(nil)
		for _, p := range t.Who(trip.In) {
			switch _, out := outWith(open, p.ID); {
			case p.ID == me.ID || isUnconfirmed(t, p.ID):
			case out:
				elsewhere = append(elsewhere, p)
			default:
				with.ids = append(with.ids, p.ID)
			}
		}
		with.notes = w.FirstTimers(t.Newcomers())
		with.drives = func(id int64) bool {
			p, _ := t.Person(id)
			return p.Drives || p.Seats > 0
		}
		if err := a.open(tx, c, w.In(card.Zone), led, card, t.End, with, &t); err != nil {
			return err
		}
		// An alert about somebody who stayed at home helps nobody, and one who is there must not be missed by all: they are asked by name.
		if len(asked) > 0 {
			w := a.wordsTo(c, t.Chat)
			a.post(tx, "", session.Urgent, chat.Message{To: t.Chat, Thread: t.Thread, Text: w.TripGoAsked(asked)})
		}
		if len(elsewhere) > 0 {
			w := a.wordsTo(c, t.Chat)
			a.post(tx, "", session.Urgent, chat.Message{To: t.Chat, Thread: t.Thread, Text: w.TripGoElsewhere(elsewhere)})
		}
		next, err := t.Apply(trip.Becomes{Outing: recordID(a.cause.ID)}, tx.Now())
		if err != nil {
			return err
		}
		return tx.PutTrip(next)
	})
}

// outWith finds the outing that somebody is out with.
func outWith(open []outing.Outing, id int64) (outing.Outing, bool) {
	for _, o := range open {
		if m, in := o.Member(id); in && m.OffAt.IsZero() {
			return o, true
		}
	}
	return outing.Outing{}, false
}
