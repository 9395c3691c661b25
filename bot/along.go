package bot

import (
	"cmp"

	"ledgehand/bot/chat"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/outing"
)

// Who goes out, with what those ashore need to know of them.

// goer is one person who goes out.
type goer struct {
	member     outing.Member
	car, wears string
	ashore     []outing.Contact
}

// goer reads what is known of somebody. Who holds their plans, and how to ring them, is true of the person, in whichever
// crew it was said.
func (a *ask) goer(tx *session.Tx, c session.Crew, id int64) (goer, error) {
	g := goer{member: outing.Member{ID: id, Name: a.name()}}
	p, err := a.person(id)
	if err != nil {
		return g, err
	}
	g.member.Language = p.Language
	if p.Private {
		g.member.Chat = id
	}
	if m, ok := c.Member(id); ok {
		g.member.Name = m.Name
	}
	holders, crews := c.HoldersOf(id), []session.Crew{c}
	for _, crew := range crewsOf(p) {
		if crew == tx.Crew {
			continue
		}
		other, err := a.crewRecord(crew)
		if err != nil {
			return g, err
		}
		crews, holders = append(crews, other), append(holders, other.HoldersOf(id)...)
	}
	for _, x := range crews {
		m, _ := x.Member(id)
		g.member.Phone, g.car, g.wears = cmp.Or(g.member.Phone, m.Phone), cmp.Or(g.car, m.Car), cmp.Or(g.wears, m.Wears)
	}
	for _, h := range inOrder(holders, p.Order) {
		g.ashore = append(g.ashore, outing.Contact{ID: h.ID, Name: h.Name, Chat: h.Chat, Mail: h.Mail, Language: h.Language})
	}
	return g, nil
}

// ofWhom is a fact of somebody, with their name where there are several.
func ofWhom(name, fact string, party int) string {
	if fact == "" || party == 1 {
		return fact
	}
	return name + ": " + fact
}

// along is a mate who says that they are out with a party that is under way.
func (a *ask) along(crew session.CrewID, id string) error {
	return a.doIn(crew, a.cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
		o, ok, err := tx.LoadOuting(id)
		if err != nil {
			return err
		}
		if _, mate := c.Member(a.r.From.ID); !ok || !mate {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		open, err := tx.OpenOutings()
		if err != nil {
			return err
		}
		for _, x := range open {
			if m, out := x.Member(a.r.From.ID); out && m.OffAt.IsZero() && x.ID != id {
				a.toast, a.loud = short(w.T("out_already", "ledge", x.Ledge, "by", w.In(x.Zone).When(x.BackBy, tx.Now()))), true
				return nil
			}
		}
		g, err := a.goer(tx, c, a.r.From.ID)
		if err != nil {
			return err
		}
		w = w.In(o.Zone)
		next, err := a.apply(tx, c, o, outing.GoAlong{Member: g.member, Car: ofWhom(g.member.Name, g.car, 2), Wears: ofWhom(g.member.Name, g.wears, 2), Contacts: g.ashore})
		if err != nil {
			return a.problem(tx, w, err)
		}
		a.toast = w.T("toast_out", "by", w.Clock(next.BackBy))
		return nil
	})
}

// alongButton lets mates say that they are out too; those who are press it in vain, and are told so.
func alongButton(w wording.Words, o outing.Outing) []chat.Button {
	if o.Group == 0 || len(o.People) == 0 {
		return nil
	}
	return []chat.Button{button(w.T("b_along"), actAlong, ref(session.CrewID(o.Crew), o.ID), "")}
}
