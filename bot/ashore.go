package bot

import (
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/outing"
)

// Those ashore: the hand-over sheet, taking an alert on, giving a plan back.

// plan is /plan: the hand-over sheet, or with "text" the plan to send by other means. The exact place goes to the party and to those
// who hold the plan, in private only; in a group it is said that it went there (I8).
func (a *ask) plan(args string) error {
	fs, err := a.everyOuting(a.mayRead) // it goes to them alone, wherever they ask
	if err != nil {
		return err
	}
	if len(fs) == 0 {
		return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
			a.answer(tx, w.T("no_plan"))
			return nil
		})
	}
	if strings.EqualFold(strings.TrimSpace(args), "text") {
		return a.showPlanAs(fs[0].crew, fs[0].o.ID, wording.Words.PlanText)
	}
	return a.showPlan(fs[0].crew, fs[0].o.ID)
}

func (a *ask) mayRead(o outing.Outing) bool {
	_, in := o.Member(a.r.From.ID)
	_, holds := o.Holder(a.r.From.ID)
	return in || holds
}

func (a *ask) showPlan(crew session.CrewID, id string) error {
	return a.showPlanAs(crew, id, wording.Words.Sheet)
}

func (a *ask) showPlanAs(crew session.CrewID, id string, as func(w wording.Words, o outing.Outing, now time.Time) string) error {
	p, err := a.person(a.r.From.ID)
	if err != nil {
		return err
	}
	return a.doIn(crew, a.cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
		o, ok, err := tx.LoadOuting(id)
		if err != nil {
			return err
		}
		if !ok {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		w = w.In(o.Zone)
		if !a.mayRead(o) {
			return a.problem(tx, w, outing.ErrNotContact)
		}
		if o.Wiped() {
			a.toast, a.loud = short(w.T("plan_wiped", "ledge", o.Ledge, "at", w.When(o.ClosedAt, tx.Now()))), true
			return nil // only an old button leads here
		}
		switch {
		case !a.r.Place.Group:
			a.answer(tx, as(w, o, tx.Now()), copyButtons(w, o)...)
		case p.Private:
			own := wordsIn(c, p.Language).In(o.Zone)
			a.post(tx, "", session.Urgent, chat.Message{To: a.r.From.ID, Text: as(own, o, tx.Now()), Buttons: copyButtons(own, o)})
			a.toast = w.T("plan_in_private")
			if a.r.Kind == chat.KindText {
				a.reply(tx, w.T("plan_in_private"))
			}
		default:
			a.toast, a.loud = w.T("plan_start_first"), true
			if a.r.Kind == chat.KindText {
				a.reply(tx, w.T("plan_start_first"))
			}
		}
		return nil
	})
}

// acknowledge is /trying, /reached, /called.
func (a *ask) acknowledge(k outing.AckKind) error {
	now := a.cause.Now
	fs, err := a.myOutings(func(o outing.Outing) bool {
		_, holds := o.Holder(a.r.From.ID)
		return (holds || a.r.Place.Group || o.Mate(a.r.From.ID)) && alarming(o, now)
	})
	if err != nil {
		return err
	}
	if len(fs) == 0 {
		return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
			a.answer(tx, w.T("nothing_to_ack"))
			return nil
		})
	}
	if len(fs) > 1 {
		// Which of them is not guessed: quiet about the wrong party would be silence about the other.
		return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
			for _, f := range fs {
				_, holds := f.o.Holder(a.r.From.ID)
				e := outing.Effect{Kind: outing.SayParty, For: f.o.BackBy}
				a.answer(tx, w.Outing(f.o, e, tx.Now()), alertButtons(w.In(f.o.Zone), f.o, holds && !a.r.Place.Group)...)
			}
			return nil
		})
	}
	return a.ackOuting(fs[0].crew, fs[0].o.ID, k)
}

// alarming says whether there is anything to take on: somebody is late, or fell in by somebody's word.
func alarming(o outing.Outing, now time.Time) bool {
	_, fell := o.LastFall()
	return fell || o.Standing(now) != outing.Out
}

func (a *ask) ackOuting(crew session.CrewID, id string, k outing.AckKind) error {
	early := false
	if err := a.Session.View(a.ctx, crew, a.cause.Now, func(tx *session.Tx) error {
		o, ok, err := tx.LoadOuting(id)
		early = ok && !o.Closed() && !alarming(o, tx.Now())
		return err
	}); err != nil {
		return err
	}
	if early { // an old alert's button: taken on now, it would hold back the alerts of the new time
		return a.doIn(crew, a.cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
			a.toast, a.loud = short(w.T("nothing_to_ack")), true
			return nil
		})
	}
	return a.onOuting(crew, id, func(o outing.Outing) outing.Event {
		mate := a.r.Place.Group && a.r.Place.ID == o.Group || o.Mate(a.r.From.ID)
		return outing.Acknowledge{By: a.r.From.ID, Name: a.name(), Chat: a.r.Place.ID, What: k, Mate: mate}
	})
}

// letGo is /letgo: a contact gives the plan back.
func (a *ask) letGo() error {
	fs, err := a.everyOuting(func(o outing.Outing) bool { _, holds := o.Holder(a.r.From.ID); return holds })
	if err != nil {
		return err
	}
	if len(fs) == 0 {
		return a.leaveHolding()
	}
	for i, f := range fs { // all of them: they are told that they hold no plan any more
		event := func(outing.Outing) outing.Event { return outing.LetGo{By: a.r.From.ID} }
		if i == len(fs)-1 {
			return a.onOuting(f.crew, f.o.ID, event)
		}
		if err := a.doIn(f.crew, a.cause.Then("letgo/"+f.o.ID), func(tx *session.Tx, c session.Crew, _ wording.Words) error {
			o, ok, err := tx.LoadOuting(f.o.ID)
			if err != nil || !ok {
				return err
			}
			_, err = a.apply(tx, c, o, event(o))
			return err
		}); err != nil {
			return err
		}
	}
	return nil
}
