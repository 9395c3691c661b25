package bot

import (
	"slices"

	"ledgehand/bot/chat"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/outing"
)

// Whose outing a line or a tap is about, and how what was done is confirmed to whoever did it.

// found is an outing of somebody, and the crew it belongs to.
type found struct {
	crew session.CrewID
	o    outing.Outing
}

// myOutings finds outings a person has to do with, newest first: in a group those of its crew, in private those of all
// crews they are known in, as one of the party or as the holder of a plan. Nothing here changes; the use case loads
// again inside its own change.
func (a *ask) myOutings(want func(o outing.Outing) bool) ([]found, error) {
	if a.r.Place.Group {
		return a.outingsIn([]session.CrewID{a.crew}, want)
	}
	return a.everyOuting(want)
}

// everyOuting is myOutings without regard to where the person writes.
func (a *ask) everyOuting(want func(o outing.Outing) bool) ([]found, error) {
	p, err := a.person(a.r.From.ID)
	if err != nil {
		return nil, err
	}
	crews := append([]session.CrewID{a.crew}, everywhere(p)...)
	for _, h := range p.Holds {
		of, err := a.person(h.Of)
		if err != nil {
			return nil, err
		}
		crews = append(append(crews, h.Crew), everywhere(of)...)
	}
	return a.outingsIn(crews, want)
}

// ownOutings are the outings somebody is out on, wherever they say it: those of the group they write in first.
func (a *ask) ownOutings(want func(o outing.Outing) bool) ([]found, error) {
	here, err := a.myOutings(want)
	if err != nil || !a.r.Place.Group {
		return here, err
	}
	p, err := a.person(a.r.From.ID)
	if err != nil {
		return nil, err
	}
	there, err := a.outingsIn(slices.DeleteFunc(everywhere(p), func(c session.CrewID) bool { return c == a.crew }), want)
	return append(here, there...), err
}

func (a *ask) outingsIn(crews []session.CrewID, want func(o outing.Outing) bool) (out []found, err error) {
	crews = slices.Clone(crews)
	slices.Sort(crews)
	for _, crew := range slices.Compact(crews) {
		if err := a.Session.View(a.ctx, crew, a.cause.Now, func(tx *session.Tx) error {
			open, err := tx.OpenOutings()
			for _, o := range open {
				if want(o) {
					out = append(out, found{crew, o})
				}
			}
			return err
		}); err != nil {
			return nil, err
		}
	}
	slices.SortFunc(out, func(x, y found) int { return y.o.OpenedAt.Compare(x.o.OpenedAt) })
	return out, nil
}

func (a *ask) mine(o outing.Outing) bool {
	m, ok := o.Member(a.r.From.ID)
	return ok && m.OffAt.IsZero()
}

// onMine applies an event to the outing the person is out on, told by typed command.
func (a *ask) onMine(event func(o outing.Outing) outing.Event) error {
	fs, err := a.ownOutings(a.mine)
	if err != nil {
		return err
	}
	if len(fs) == 0 {
		return a.notOut()
	}
	return a.onOuting(fs[0].crew, fs[0].o.ID, event)
}

func (a *ask) notOut() error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		a.answer(tx, w.T("not_out"))
		return nil
	})
}

// onOuting applies an event to a named outing and answers the person where they are.
func (a *ask) onOuting(crew session.CrewID, id string, event func(o outing.Outing) outing.Event) error {
	return a.onOutingAs(a.cause, crew, id, event)
}

func (a *ask) onOutingAs(cause session.Cause, crew session.CrewID, id string, event func(o outing.Outing) outing.Event) error {
	return a.doIn(crew, cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
		o, ok, err := tx.LoadOuting(id)
		if err != nil {
			return err
		}
		if !ok {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		w = w.In(o.Zone)
		e := event(o)
		next, err := a.apply(tx, c, o, e)
		if err != nil {
			return a.problem(tx, w, err)
		}
		a.confirm(tx, w, c, next, e)
		return nil
	})
}

// confirm answers the person in their own chat when the party's message went elsewhere, and fills the tap's answer.
func (a *ask) confirm(tx *session.Tx, w wording.Words, c session.Crew, o outing.Outing, e outing.Event) {
	var kind outing.EffectKind
	switch e := e.(type) {
	case outing.SayOffRocks:
		kind = outing.SayOff
		if !o.Closed() {
			kind = outing.SayMemberOff
		}
		a.toast = w.T("toast_off", "at", w.Clock(tx.Now()))
	case outing.SetDelay:
		kind = outing.SayDelayed
		a.toast = w.T("toast_more", "by", w.Clock(o.BackBy))
	case outing.SetLadder:
		kind = outing.SayTimes
	case outing.Acknowledge:
		a.toast = w.T("toast_ack")
		return // everybody alarmed is told, this chat among them
	case outing.SayAtHome:
		a.toast = w.T("toast_home")
		if a.r.Kind == chat.KindText && a.r.Place.ID != o.PartyChat() {
			a.answer(tx, w.T("home", "who", a.name()))
		}
		return
	case outing.LetGo:
		a.toast = w.T("letgo_done")
		a.answer(tx, w.T("letgo_done"))
		return
	default:
		_ = e
		return
	}
	switch {
	case a.r.Place.ID == o.PartyChat():
	case a.r.Place.Group: // another crew's: no ledge and no names there
		a.answer(tx, a.toast)
	default:
		a.answer(tx, w.Outing(o, outing.Effect{Kind: kind, Who: a.name(), For: o.BackBy}, tx.Now()))
	}
}
