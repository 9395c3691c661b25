package bot

import (
	"fmt"
	"strings"

	"ledgehand/bot/chat"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/outing"
)

// The job "outing": who is out, and who is told if they are not back.

// OutingDue puts what became due of an outing into messages (session.Herald).
func (d *Desk) OutingDue(tx *session.Tx, o outing.Outing, effects []outing.Effect) error {
	c, _, err := tx.LoadCrew()
	if err != nil {
		return err
	}
	d.sayOuting(tx, wording.For(c.Language, wording.Units(c.Units), zone(o.Zone)), o, effects)
	return nil
}

// sayOuting queues one message an effect. Everything an outing says is urgent: somebody's safety hangs on it.
func (d *Desk) sayOuting(tx *session.Tx, w wording.Words, o outing.Outing, effects []outing.Effect) {
	w = w.In(o.Zone)
	for _, e := range effects {
		m := chat.Message{To: e.To.Chat, Thread: e.To.Thread, Text: w.Outing(o, e, tx.Now())}
		switch e.Kind {
		case outing.SayOpened:
			m.Buttons, m.Panel = outingButtons(w, o), "outing/"+o.ID
		case outing.SayRemind, outing.SayAsk, outing.SayDelayed, outing.SayMemberOff, outing.SayDeaf:
			if e.To.Role != outing.RoleContact {
				m.Buttons = outingButtons(w, o)
			}
		case outing.SayParty:
			m.Buttons = alertButtons(w, o, false)
		case outing.SayContact:
			m.Buttons = alertButtons(w, o, true)
		case outing.SayPlan:
			m.Buttons = [][]chat.Button{{button(w.T("b_plan"), actPlan, ref(session.CrewID(o.Crew), o.ID), ""), button(w.T("b_letgo"), actLetGo, ref(session.CrewID(o.Crew), o.ID), "")}}
		case outing.SayOff, outing.SayStandDown:
			if e.To.Role != outing.RoleContact {
				m.Buttons = [][]chat.Button{{button(w.T("b_home"), actHome, ref(session.CrewID(o.Crew), o.ID), "")}}
			}
		}
		entry := session.Entry{ID: o.MessageID(e), Lane: session.Urgent, Alert: e.Alert}
		if e.WantOutcome {
			entry.About = "outing/" + string(o.Crew) + "/" + o.ID
		}
		say(tx, entry, m)
		if e.Kind == outing.SayContact && e.First {
			// The sheet goes along at once: with one bar ashore a second tap may not get through.
			sheet := chat.Message{To: e.To.Chat, Text: w.Sheet(o, tx.Now())}
			say(tx, session.Entry{ID: o.MessageID(e) + "/sheet", Lane: session.Urgent, Alert: true}, sheet)
		}
	}
}

// apply lets an event happen to an outing of the tx's crew and says what follows.
func (a *ask) apply(tx *session.Tx, w wording.Words, o outing.Outing, e outing.Event) (outing.Outing, error) {
	next, effects, err := o.Apply(e, tx.Now())
	if err != nil {
		return o, err
	}
	if next.Closed() || !next.BackBy.Equal(o.BackBy) {
		for _, id := range o.Outstanding() { // what was decided for the old state must not go out any more (I5)
			tx.Unsay(id, id+"/sheet")
		}
	}
	if err := tx.PutOuting(next); err != nil {
		return o, err
	}
	a.sayOuting(tx, w, next, effects)
	a.panel(tx, w, next)
	return next, nil
}

// panel brings the outing's first message up to date; once closed, without buttons.
func (a *ask) panel(tx *session.Tx, w wording.Words, o outing.Outing) {
	w = w.In(o.Zone)
	m := chat.Message{To: o.PartyChat(), Thread: o.Thread, Panel: "outing/" + o.ID, Quiet: true}
	if o.Closed() {
		m.Text = w.T("panel_closed", "who", w.People(o), "ledge", o.Ledge, "at", w.Clock(o.ClosedAt))
	} else {
		m.Text = w.Outing(o, outing.Effect{Kind: outing.SayOpened}, tx.Now())
		m.Buttons = outingButtons(w, o)
	}
	say(tx, session.Entry{Lane: session.Slow}, m)
}

// setSheet notes a fact of the hand-over sheet.
func (a *ask) setSheet(crew session.CrewID, id string, set func(s *outing.Sheet)) error {
	return a.doIn(crew, a.cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
		o, ok, err := tx.LoadOuting(id)
		if err != nil {
			return err
		}
		if !ok || o.Closed() {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		if _, in := o.Member(a.r.From.ID); !in {
			return a.problem(tx, w, outing.ErrNotMember)
		}
		set(&o.Sheet)
		if err := tx.PutOuting(o); err != nil {
			return err
		}
		a.toast = w.T("toast_noted")
		a.panel(tx, w, o)
		return nil
	})
}

// outcome is how one of our messages fared; an outing's contact who cannot be reached is news for those out.
func (a *ask) outcome() error {
	oc := a.r.Outcome
	if oc.Result == chat.ResultMoved {
		var to int64
		if _, err := fmt.Sscan(oc.Why, &to); err != nil || to == 0 {
			return nil
		}
		return a.Session.Move(a.ctx, a.cause, oc.Chat, to)
	}
	p := strings.SplitN(oc.About, "/", 3)
	if len(p) != 3 || p[0] != "outing" {
		return nil
	}
	var e outing.Event
	switch oc.Result {
	case chat.ResultSent, chat.ResultSame:
		e = outing.Reached{Chat: oc.Chat}
	default:
		e = outing.Unreached{Chat: oc.Chat}
	}
	crew := session.CrewID(p[1])
	return a.Session.Do(a.ctx, a.cause, crew, func(tx *session.Tx) error {
		c, _, err := tx.LoadCrew()
		if err != nil {
			return err
		}
		o, ok, err := tx.LoadOuting(p[2])
		if err != nil || !ok {
			return err
		}
		if _, no := e.(outing.Unreached); no {
			e = outing.Unreached{Chat: oc.Chat, Name: c.Title}
		}
		_, err = a.apply(tx, wording.For(c.Language, wording.Units(c.Units), zone(o.Zone)), o, e)
		return err
	})
}

// signOfLife notes on the person's outing that they were heard from.
func (a *ask) signOfLife(tx *session.Tx, what string) error {
	open, err := tx.OpenOutings()
	if err != nil {
		return err
	}
	for _, o := range open {
		if !a.mine(o) {
			continue
		}
		next, _, err := o.Apply(outing.Sign{By: a.r.From.ID, What: what}, tx.Now())
		if err != nil {
			return err
		}
		return tx.PutOuting(next)
	}
	return nil
}

var _ session.Herald = (*Desk)(nil)
