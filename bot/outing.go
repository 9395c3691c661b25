package bot

import (
	"fmt"
	"strings"
	"time"

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
	d.sayOuting(tx, c, o, effects)
	return nil
}

// sayOuting queues one message an effect, in the language of whoever reads it. Everything an outing says is urgent:
// somebody's safety hangs on it.
func (d *Desk) sayOuting(tx *session.Tx, c session.Crew, o outing.Outing, effects []outing.Effect) {
	for _, e := range effects {
		w := wordsOf(c, o, e.To.Chat)
		m := outingMessage(w, o, e, tx.Now())
		mail, byMail := o.Mailed(e.To.Chat)
		if byMail {
			m = mailOf(w, o, e, mail, tx.Now())
		}
		if again := e.Kind == outing.SayAsk || e.Kind == outing.SayParty || e.Kind == outing.SayContact || e.Kind == outing.SayFellIn; again && e.N > 0 {
			// Where the last telling still waits to be let through, this one says all of it, and newer.
			was := e
			for was.N = e.N - 1; was.N >= -1; was.N-- {
				tx.Unsay(o.MessageID(was))
			}
		}
		entry := session.Entry{ID: o.MessageID(e), Lane: session.Urgent, Alert: e.Alert}
		if e.WantOutcome {
			entry.About = aboutOuting(o)
		}
		say(tx, entry, m)
		if (e.Kind == outing.SayContact || e.Kind == outing.SayFellIn) && e.First && !byMail { // a mail has it in itself
			// The sheet goes along at once: with one bar ashore a second tap may not get through.
			sheet := chat.Message{To: e.To.Chat, Text: w.Sheet(o, tx.Now()), Buttons: copyButtons(w, o)}
			say(tx, session.Entry{ID: o.MessageID(e) + "/sheet", Lane: session.Urgent, Alert: true}, sheet)
		}
	}
}

// outingMessage is one effect as it is sent: its words, and the buttons of whoever may press them.
func outingMessage(w wording.Words, o outing.Outing, e outing.Effect, now time.Time) chat.Message {
	m := chat.Message{To: e.To.Chat, Thread: e.To.Thread, Text: w.Outing(o, e, now)}
	switch e.Kind {
	case outing.SayOpened:
		m.Buttons, m.Panel = outingButtons(w, o), "outing/"+o.ID
	case outing.SayRemind, outing.SayAsk, outing.SayDelayed, outing.SayMemberOff, outing.SayDeaf, outing.SayGate, outing.SayLight:
		if e.To.Role != outing.RoleContact {
			m.Buttons = offButtons(w, o)
		}
	case outing.SayParty:
		m.Buttons = alertButtons(w, o, false)
	case outing.SayContact:
		m.Buttons = alertButtons(w, o, true)
	case outing.SayFellIn:
		contact := e.To.Role == outing.RoleContact
		m.Buttons = alertButtons(w, o, contact)
		if !contact { // theirs have it already
			m.Buttons = append(m.Buttons, copyPlaces(w, []wording.Where{wording.WhereOf(o)})...)
		}
	case outing.SayPlan:
		m.Buttons = [][]chat.Button{{button(w.T("b_plan"), actPlan, ref(session.CrewID(o.Crew), o.ID), ""), button(w.T("b_letgo"), actLetGo, ref(session.CrewID(o.Crew), o.ID), "")}}
	case outing.SayOff, outing.SayStandDown:
		if e.To.Role != outing.RoleContact {
			m.Buttons = [][]chat.Button{{button(w.T("b_home"), actHome, ref(session.CrewID(o.Crew), o.ID), "")}}
		}
	}
	return m
}

// apply lets an event happen to an outing of the tx's crew and says what follows.
func (a *ask) apply(tx *session.Tx, c session.Crew, o outing.Outing, e outing.Event) (outing.Outing, error) {
	if !a.r.Place.Group { // there it is not asked what they chose
		o = o.Reads(a.r.From.ID, a.reads)
	}
	next, effects, err := o.Apply(e, tx.Now())
	if err != nil {
		return o, err
	}
	if next.Closed() || !next.BackBy.Equal(o.BackBy) {
		stale := o.Outdated()
		if next.Closed() {
			stale = o.Outstanding()
		}
		for _, id := range stale { // what was decided for the old state must not go out any more (I5)
			tx.Unsay(id, id+"/sheet")
		}
	}
	if err := tx.PutOuting(next); err != nil {
		return o, err
	}
	if next.Closed() && !o.Closed() {
		a.lesser("ask afterwards", ends(tx, next))
		if err := headsHome(tx, next); err != nil {
			return o, err
		}
	}
	if _, home := e.(outing.SayAtHome); home {
		if err := a.tellHome(tx, c, next); err != nil {
			return o, err
		}
	}
	a.sayOuting(tx, c, next, effects)
	a.panel(tx, c, next)
	return next, nil
}

// panel brings the outing's first message up to date; once closed, without buttons.
func (a *ask) panel(tx *session.Tx, c session.Crew, o outing.Outing) {
	w := wordsOf(c, o, o.PartyChat())
	m := chat.Message{To: o.PartyChat(), Thread: o.Thread, Panel: "outing/" + o.ID, Quiet: true, Text: panelText(w, o, tx.Now())}
	if !o.Closed() {
		m.Buttons = outingButtons(w, o)
	}
	say(tx, session.Entry{Lane: session.Slow}, m)
}

func panelText(w wording.Words, o outing.Outing, now time.Time) string {
	if o.Closed() {
		return w.T("panel_closed", "who", w.People(o), "ledge", o.Ledge, "at", w.Clock(o.ClosedAt))
	}
	return w.Outing(o, outing.Effect{Kind: outing.SayOpened}, now)
}

// moved is a group that has another id from now on. What was posted stays behind with the old one, so the panels of
// those who are out are posted anew.
func (a *ask) moved(from, to int64) error {
	if err := a.Session.Move(a.ctx, a.cause, from, to); err != nil {
		return err
	}
	crew, err := a.Session.CrewOfChat(a.ctx, to)
	if err != nil {
		return err
	}
	return a.doIn(crew, a.cause.Then("panels"), func(tx *session.Tx, c session.Crew, _ wording.Words) error {
		open, err := tx.OpenOutings()
		if err != nil {
			return err
		}
		for _, o := range open {
			if o.Group == to {
				a.panel(tx, c, o)
			}
		}
		return a.plansMoved(tx, c)
	})
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
		a.panel(tx, c, o)
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
		return a.moved(oc.Chat, to)
	}
	p := strings.SplitN(oc.About, "/", 3)
	if len(p) == 3 && (p[0] == aboutTrip || p[0] == aboutVote) {
		return a.planShown(session.CrewID(p[1]), p[0], p[2], oc)
	}
	if len(p) == 3 && p[0] == mailInvitation {
		return a.invitationFared(session.CrewID(p[1]), p[2], oc)
	}
	if len(p) != 3 || p[0] != "outing" {
		return nil
	}
	var e outing.Event
	switch oc.Result {
	case chat.ResultSent, chat.ResultSame:
		e = outing.Reached{Chat: oc.Chat}
	default:
		e = outing.Unreached{Chat: oc.Chat, Until: oc.Until}
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
		if no, ok := e.(outing.Unreached); ok {
			no.Name = c.Title
			e = no
		}
		if _, got := e.(outing.Reached); got {
			next, _, err := o.Apply(e, tx.Now())
			if err != nil {
				return err
			}
			if w := wordsOf(c, o, o.PartyChat()); panelText(w, next, tx.Now()) == panelText(w, o, tx.Now()) {
				return tx.PutOuting(next) // an edit that shows nothing new would take room in the group from an alert
			}
		}
		_, err = a.apply(tx, c, o, e)
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
