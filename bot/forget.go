package bot

import (
	"encoding/json"
	"errors"
	"slices"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/wording"
	"ledgehand/conditions/ledge"
	"ledgehand/session"
	"ledgehand/session/outing"
)

// Deleting what we hold about somebody, when they ask for it and nobody's life hangs on it.

// forgetWithin is how long the button under the question works.
const forgetWithin = 10 * time.Minute

// forget is /forget: it says what goes and what stays, and asks once.
func (a *ask) forget() error {
	if a.r.Place.Group {
		return a.say("private_only")
	}
	if ok, err := a.mayForget(); !ok || err != nil {
		return err
	}
	own := session.CrewOf(a.r.From.ID)
	return a.doIn(own, a.cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
		c.Ask(session.Pending{Who: a.r.From.ID, Chat: a.r.Place.ID, What: "forget", At: tx.Now()})
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		yes := button(w.T("b_forget"), actForget, ref(own, ""), "")
		yes.Style = chat.StyleGrave
		a.reply(tx, w.T("forget_ask", "min", int(forgetWithin.Minutes())), []chat.Button{yes})
		return nil
	})
}

// mayForget says whether nothing that is open needs what we know of them; else they were told what does.
func (a *ask) mayForget() (bool, error) {
	fs, err := a.everyOuting(func(o outing.Outing) bool { return o.Involves(a.r.From.ID) })
	if err != nil || len(fs) == 0 {
		return err == nil, err
	}
	o := fs[0].o
	for _, f := range fs {
		if _, in := f.o.Member(a.r.From.ID); in {
			o = f.o
		}
	}
	return false, a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		_, in := o.Member(a.r.From.ID)
		_, holds := o.Holder(a.r.From.ID)
		var said string
		switch {
		case in:
			said = w.T("forget_out", "ledge", o.Ledge)
		case holds:
			said = w.T("forget_holds", "who", w.People(o), "ledge", o.Ledge)
		default:
			said = w.T("forget_part", "ledge", o.Ledge)
		}
		a.answer(tx, said)
		return nil
	})
}

// forgetNow is the button under it. Everything is asked again: they may have gone out meanwhile.
func (a *ask) forgetNow() error {
	own := session.CrewOf(a.r.From.ID)
	asked := false
	if a.r.Place.Group {
		return a.oldPanel()
	}
	if err := a.Session.View(a.ctx, own, a.cause.Now, func(tx *session.Tx) error {
		c, _, err := tx.LoadCrew()
		q, ok := c.Question(a.r.From.ID, a.r.Place.ID, a.at())
		asked = ok && q.What == "forget" && a.at().Sub(q.At) < forgetWithin
		return err
	}); err != nil {
		return err
	}
	if !asked {
		return a.oldPanel()
	}
	if ok, err := a.mayForget(); !ok || err != nil {
		return err
	}
	names, err := a.Session.NamesOf(a.ctx, a.r.From.ID)
	if err != nil {
		return err
	}
	f := session.Forgotten{ID: a.r.From.ID, Called: append(names, a.name()), Card: blankCard}
	if err := a.view(func(_ *session.Tx, _ session.Crew, w wording.Words) error {
		f.As = w.T("somebody")
		return nil
	}); err != nil {
		return err
	}
	switch err := a.Session.Forget(a.ctx, a.cause, f, a.tellForgotten); {
	case errors.Is(err, session.ErrNeeded): // in an outing that does not lead here from their own record
		return a.say("forget_needed")
	case err != nil:
		return err
	}
	a.known.drop(f.ID)
	return a.doIn(own, a.cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
		r, err := tx.LeaveCrew(f)
		if err != nil {
			return err
		}
		a.tellForgotten(tx, r)
		a.reply(tx, w.T("forget_done"))
		return nil
	})
}

// tellForgotten tells anglers that nobody holds their plans for them any more, and those ashore that they hold none.
func (a *ask) tellForgotten(tx *session.Tx, r session.Released) {
	w := a.words(r.Crew)
	if len(r.Gave) > 0 {
		a.tellCrew(tx, r.Crew, "contact_left", "who", a.name())
	}
	var told []int64
	for _, h := range r.Lost {
		if !slices.Contains(told, h.Chat) {
			told = append(told, h.Chat)
			m := chat.Message{To: h.Chat, Text: wordsIn(r.Crew, h.Language).T("forget_held", "who", a.name())}
			if h.Mail != "" {
				m.Mail = &chat.Mail{Address: h.Mail, Name: h.Name, Subject: wording.Plain(w.T("mail_s_released", "who", a.name()))}
			}
			a.post(tx, "", session.Urgent, m)
		}
	}
}

// blankCard takes a name off a card: who set its limits.
func blankCard(raw json.RawMessage, blank func(name *string) bool) (json.RawMessage, bool) {
	var card ledge.Card
	if json.Unmarshal(raw, &card) != nil || !blank(&card.Limits.SetBy) {
		return raw, false
	}
	next, err := json.Marshal(card)
	return next, err == nil
}
