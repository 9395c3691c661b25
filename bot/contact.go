package bot

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/outing"
)

// Who ashore holds whose plan. A contact counts only after their own start and their own yes.

// invite is /contact alone: who ashore holds the plans, and a link that the angler forwards to the one person it is for.
func (a *ask) invite() error {
	p, err := a.person(a.r.From.ID)
	if err != nil {
		return err
	}
	held, err := a.contactsOf(p)
	if err != nil {
		return err
	}
	token := a.Token()
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		switch {
		case len(c.HoldersOf(a.r.From.ID)) >= mostContacts:
			a.replyAlone(tx, w, p, lined(contactLines(w, held), w.T("contacts_full", "n", mostContacts)), w.T("contacts_full", "n", mostContacts))
			return nil
		case linksToday(c, a.r.From.ID, tx.Now()) >= mostLinks:
			a.replyAlone(tx, w, p, lined(contactLines(w, held), w.T("links_full", "n", mostLinks)), w.T("links_full", "n", mostLinks))
			return nil
		}
		c.Invite(session.Invite{Token: token, Of: a.r.From.ID, Name: a.name(), Made: tx.Now()}) // a new link ends the old one
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		own := wordsIn(c, p.Language)
		text := lined(contactLines(own, held), own.T("invite", "link", a.Link(inviteToken(tx.Crew, token))))
		if a.Mails {
			text = lined(text, own.T("mail_how"))
		}
		// The link makes its first taker a contact, so it goes to the angler alone, not into the group.
		a.replyAlone(tx, w, p, text, w.T("invite_in_private"))
		return nil
	})
}

// inviteToken packs crew and secret into what a deep link may carry (64 of A-Z a-z 0-9 _ -).
func inviteToken(c session.CrewID, token string) string { return "c_" + string(c) + "_" + token }

func splitInvite(s string) (crew session.CrewID, token string, ok bool) {
	p := strings.Split(s, "_")
	if len(p) != 3 || p[0] != "c" || p[1] == "" || p[2] == "" {
		return "", "", false
	}
	crew = session.CrewID(p[1])
	return crew, p[2], crew.Valid() && session.ValidID(p[2])
}

// start is /start, alone or with an invitation's token.
func (a *ask) start(payload string) error {
	if crew, token, ok := splitShare(payload); ok {
		return a.shareOpened(crew, token)
	}
	crew, token, ok := splitInvite(payload)
	if !ok {
		return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
			if payload == "" {
				return a.hello(tx, c, w)
			}
			a.reply(tx, w.T("invite_dead"))
			return nil
		})
	}
	return a.doIn(crew, a.cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
		inv, ok := openInvite(c, token, tx.Now())
		switch {
		case !ok:
			a.reply(tx, w.T("invite_dead"))
			return a.cameTooLate(tx, c, token)
		case inv.Of == a.r.From.ID:
			a.reply(tx, w.T("invite_own"))
		case a.r.Place.Group:
			a.reply(tx, w.T("invite_private_only"))
		default:
			r := ref(tx.Crew, token)
			yes := button(w.T("b_accept", "who", inv.Name), actAccept, r, "")
			yes.Style = chat.StyleGood
			a.reply(tx, w.T("accept_ask", "who", inv.Name), []chat.Button{yes}, []chat.Button{button(w.T("b_decline"), actDecline, r, "")})
		}
		return nil
	})
}

func openInvite(c session.Crew, token string, now time.Time) (session.Invite, bool) {
	i, ok := c.Invited(token)
	return i, ok && i.Open(now)
}

// cameTooLate tells whoever made a link, once, that somebody opened it who can do nothing with it any more: they may
// believe that their plans are held. Who said yes or no to it, and whoever made it, know how it stands.
func (a *ask) cameTooLate(tx *session.Tx, c session.Crew, token string) error {
	i, ok := c.Invited(token)
	if !ok || a.r.Place.Group || !i.Told.IsZero() || a.r.From.ID == i.Of || a.r.From.ID == i.Taken {
		return nil
	}
	i.Told = tx.Now()
	c.SetInvite(i)
	a.tellCrew(tx, c, "invite_too_late", "who", i.Name, "contact", a.name())
	return tx.PutCrew(c)
}

// accept makes the person a contact: first their own note of it, then the crew's, which counts. A crash between
// the two leaves a note without weight, and the tap is delivered again.
func (a *ask) accept(crew session.CrewID, token string) error {
	var of session.Invite
	ok := false
	if err := a.Session.View(a.ctx, crew, a.cause.Now, func(tx *session.Tx) error {
		c, _, err := tx.LoadCrew()
		of, ok = openInvite(c, token, tx.Now())
		return err
	}); err != nil {
		return err
	}
	full := false
	if ok && of.Of != a.r.From.ID {
		if err := a.Session.DoPerson(a.ctx, a.cause.Then("holds"), a.r.From.ID, func(tx *session.Tx) error {
			p, _, err := tx.LoadPerson(a.r.From.ID)
			if err != nil {
				return err
			}
			p.Name = a.name()
			p.Holds = slices.DeleteFunc(slices.Clone(p.Holds), func(h session.Hold) bool { return h.Crew == crew && h.Of == of.Of })
			if full = len(p.Holds) >= mostHeld; full {
				return nil
			}
			p.Holds = append(p.Holds, session.Hold{Crew: crew, Of: of.Of, Name: of.Name})
			return tx.PutPerson(p)
		}); err != nil {
			return err
		}
	}
	if full {
		return a.say("holds_full", "n", mostHeld)
	}
	if err := a.doIn(crew, a.cause.Then("accept"), func(tx *session.Tx, c session.Crew, w wording.Words) error {
		inv, ok := openInvite(c, token, tx.Now())
		if !ok || inv.Of == a.r.From.ID {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		inv.Taken = a.r.From.ID
		c.SetInvite(inv)
		c.Holders = slices.DeleteFunc(slices.Clone(c.Holders), func(h session.Holder) bool { return h.Of == inv.Of && h.ID == a.r.From.ID })
		c.Holders = append(c.Holders, session.Holder{Of: inv.Of, ID: a.r.From.ID, Name: a.name(), Chat: a.r.From.ID, Accepted: tx.Now(), Language: a.reads})
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		a.toast = w.T("toast_noted")
		a.answer(tx, w.T("accepted", "who", inv.Name))
		a.tellCrew(tx, c, "has_contact", "who", inv.Name, "contact", a.name())
		return nil
	}); err != nil {
		return err
	}
	p, err := a.person(a.r.From.ID)
	if err != nil {
		return err
	}
	if ok { // a plan given back for today is not pressed on them again
		p.Holds = slices.DeleteFunc(p.Holds, func(h session.Hold) bool { return h.Of != of.Of })
	}
	return a.holdOpen(p) // they may be out already
}

// holdOpen gives somebody ashore the plans of all outings under way whose people they hold plans for: right after
// they said yes, or when they can be reached again.
func (a *ask) holdOpen(p session.Person) error {
	for _, h := range p.Holds {
		c, err := a.crewRecord(h.Crew)
		if err != nil {
			return err
		}
		i := slices.IndexFunc(c.Holders, func(x session.Holder) bool { return x.Of == h.Of && x.ID == p.ID })
		if i < 0 {
			continue // a note without weight
		}
		of, err := a.person(h.Of)
		if err != nil {
			return err
		}
		join := outing.Join{ID: p.ID, Name: c.Holders[i].Name, Chat: c.Holders[i].Chat, Language: cmp.Or(p.Language, c.Holders[i].Language)}
		if err := a.joinOpen(of, join); err != nil {
			return err
		}
	}
	return nil
}

// joinOpen gives somebody ashore the plans of all outings under way that a person is out on.
func (a *ask) joinOpen(of session.Person, join outing.Join) error {
	fs, err := a.outingsIn(everywhere(of), func(o outing.Outing) bool {
		_, out := o.Member(of.ID)
		_, along := o.Member(join.ID)
		x, has := o.Holder(join.ID)
		return out && !along && (!has || !x.Refused.IsZero())
	})
	if err != nil {
		return err
	}
	for _, f := range fs {
		if err := a.doIn(f.crew, a.cause.Then("join/"+f.o.ID), func(tx *session.Tx, c session.Crew, _ wording.Words) error {
			o, ok, err := tx.LoadOuting(f.o.ID)
			if err != nil || !ok || o.Closed() {
				return err
			}
			_, err = a.apply(tx, c, o, join)
			return err
		}); err != nil {
			return err
		}
	}
	return nil
}

func (a *ask) decline(crew session.CrewID, token string) error {
	return a.doIn(crew, a.cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
		inv, ok := openInvite(c, token, tx.Now())
		if !ok || inv.Of == a.r.From.ID {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		inv.Taken = a.r.From.ID
		c.SetInvite(inv)
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		a.reply(tx, w.T("declined"))
		a.tellCrew(tx, c, "contact_declined", "who", inv.Name, "contact", a.name())
		return nil
	})
}

// tellCrew says a message of the catalogue where the crew reads.
func (a *ask) tellCrew(tx *session.Tx, c session.Crew, id string, kv ...any) {
	a.post(tx, "", session.Urgent, chat.Message{To: c.Chat, Thread: c.Thread, Text: a.wordsTo(c, c.Chat).T(id, kv...)})
}

// leaveHolding ends all holding of plans by somebody who holds none that is open: their own note first, then each crew.
func (a *ask) leaveHolding() error {
	p, err := a.person(a.r.From.ID)
	if err != nil {
		return err
	}
	for _, h := range p.Holds {
		if err := a.doIn(h.Crew, a.cause.Then("leave/"+string(h.Crew)), func(tx *session.Tx, c session.Crew, w wording.Words) error {
			n := len(c.Holders)
			c.Holders = slices.DeleteFunc(slices.Clone(c.Holders), func(x session.Holder) bool { return x.ID == a.r.From.ID })
			if len(c.Holders) == n {
				return nil
			}
			if err := tx.PutCrew(c); err != nil {
				return err
			}
			a.tellCrew(tx, c, "contact_left", "who", a.name())
			return nil
		}); err != nil {
			return err
		}
	}
	if err := a.Session.DoPerson(a.ctx, a.cause.Then("leave"), a.r.From.ID, func(tx *session.Tx) error {
		p, _, err := tx.LoadPerson(a.r.From.ID)
		if err != nil {
			return err
		}
		p.Holds = nil
		return tx.PutPerson(p)
	}); err != nil {
		return err
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		a.answer(tx, w.T("letgo_done"))
		return nil
	})
}
