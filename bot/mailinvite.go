package bot

import (
	"crypto/sha256"
	"slices"
	"strings"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/outing"
)

// Somebody ashore without a chat with us: they are asked by mail, and say yes by telling the angler the code in it. Until then nothing is
// kept of them but what the angler typed, and that for a week.

// mailInvitation begins the reference of an invitation's message, for how it fared.
const mailInvitation = "mailinvite"

// inviteByMail is /contact mail.
func (a *ask) inviteByMail(address, name string) error {
	if name == "" {
		return a.say("mail_name")
	}
	p, err := a.person(a.r.From.ID)
	if err != nil {
		return err
	}
	hs, err := a.contactsOf(p)
	if err != nil {
		return err
	}
	number := chat.MailNumber(address)
	if i := slices.IndexFunc(hs, func(h held) bool { return h.ID == number }); i >= 0 {
		return a.say("mail_already", "who", hs[i].Name)
	}
	if len(hs) >= mostContacts {
		return a.say("contacts_full", "n", mostContacts)
	}
	code, id := mailCode(a.Token()), recordID(a.cause.ID)
	crew, own := a.crew, session.CrewOf(a.r.From.ID)
	return a.doIn(own, a.cause, func(tx *session.Tx, _ session.Crew, w wording.Words) error {
		m, err := tx.LoadMailInvites()
		if err != nil {
			return err
		}
		m, _ = m.Tick(tx.Now())
		m.Of = a.r.From.ID
		again := m.Without(func(x session.MailInvite) bool { return strings.EqualFold(x.Address, address) })
		switch {
		case len(again.List) >= session.MostMailInvites:
			a.reply(tx, w.T("mail_invites_full", "n", session.MostMailInvites))
			return nil
		case len(m.Sent) >= mostLinks:
			a.reply(tx, w.T("mail_invites_day", "n", mostLinks))
			return nil
		}
		m = m.Add(session.MailInvite{ID: id, Code: code, Crew: crew, Name: name, Address: address, Made: tx.Now()})
		if err := tx.PutMailInvites(m); err != nil {
			return err
		}
		mail := chat.Message{
			To:   number,
			Text: w.T("mail_invite", "who", a.name(), "code", code) + "\n\n" + w.T("mail_invite_foot", "who", a.name()),
			Mail: &chat.Mail{Address: address, Name: name, Subject: wording.Plain(w.T("mail_s_invite", "who", a.name()))},
		}
		say(tx, session.Entry{ID: mailInvitation + "/" + id, Lane: session.Slow, About: mailInvitation + "/" + string(own) + "/" + id}, mail)
		a.reply(tx, w.T("mail_invited", "who", name))
		return nil
	})
}

// mailCode makes a code of a token that nobody can guess.
func mailCode(token string) string {
	sum := sha256.Sum256([]byte("ledgehand mail code\x00" + token))
	return command.Code(sum[:])
}

// codeTold is /contact code: whoever was invited by mail told the angler the code, and holds their plans from now on. The crew's
// record comes first and the end of the invitation last: a crash between them leaves the code good for another try.
func (a *ask) codeTold(code string) error {
	own := session.CrewOf(a.r.From.ID)
	var inv session.MailInvite
	known := false
	if err := a.Session.View(a.ctx, own, a.cause.Now, func(tx *session.Tx) error {
		m, err := tx.LoadMailInvites()
		if err != nil {
			return err
		}
		m, _ = m.Tick(tx.Now())
		inv, known = m.Coded(code)
		return nil
	}); err != nil {
		return err
	}
	if !known {
		return a.wrongCode(own)
	}
	number, full := chat.MailNumber(inv.Address), false
	if err := a.doIn(inv.Crew, a.cause.Then("holder"), func(tx *session.Tx, c session.Crew, w wording.Words) error {
		c.Holders = slices.DeleteFunc(slices.Clone(c.Holders), func(h session.Holder) bool { return h.Of == a.r.From.ID && h.ID == number })
		if full = len(c.HoldersOf(a.r.From.ID)) >= mostContacts; full {
			return nil
		}
		c.Holders = append(c.Holders, session.Holder{Of: a.r.From.ID, ID: number, Name: inv.Name, Chat: number, Accepted: tx.Now(), Mail: inv.Address, Language: a.reads})
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		if c.Group {
			a.tellCrew(tx, c, "has_contact", "who", a.name(), "contact", inv.Name)
		}
		return nil
	}); err != nil {
		return err
	}
	if full {
		return a.say("contacts_full", "n", mostContacts)
	}
	p, err := a.person(a.r.From.ID)
	if err != nil {
		return err
	}
	if err := a.joinOpen(p, outing.Join{ID: number, Name: inv.Name, Chat: number, Mail: inv.Address, Language: a.reads}); err != nil {
		return err
	}
	return a.doIn(own, a.cause, func(tx *session.Tx, _ session.Crew, w wording.Words) error {
		m, err := tx.LoadMailInvites()
		if err != nil {
			return err
		}
		if err := tx.PutMailInvites(m.Without(func(x session.MailInvite) bool { return x.ID == inv.ID })); err != nil {
			return err
		}
		a.reply(tx, w.T("code_done", "who", inv.Name))
		return nil
	})
}

// wrongCode counts a code that is none.
func (a *ask) wrongCode(own session.CrewID) error {
	return a.doIn(own, a.cause, func(tx *session.Tx, _ session.Crew, w wording.Words) error {
		m, err := tx.LoadMailInvites()
		if err != nil {
			return err
		}
		m, _ = m.Tick(tx.Now())
		if len(m.List) == 0 {
			a.reply(tx, w.T("code_none"))
			return nil
		}
		m, left := m.WrongCode()
		if err := tx.PutMailInvites(m); err != nil {
			return err
		}
		if left > 0 {
			a.reply(tx, w.T("code_wrong", "n", left))
		} else {
			a.reply(tx, w.T("code_over"))
		}
		return nil
	})
}

// invitationFared tells the angler of an invitation that did not get out; its address is deleted.
func (a *ask) invitationFared(own session.CrewID, id string, oc *chat.Outcome) error {
	if !own.Valid() || oc.Result == chat.ResultSent || oc.Result == chat.ResultSame || !oc.Until.IsZero() {
		return nil
	}
	return a.Session.Do(a.ctx, a.cause, own, func(tx *session.Tx) error {
		m, err := tx.LoadMailInvites()
		if err != nil {
			return err
		}
		i := slices.IndexFunc(m.List, func(x session.MailInvite) bool { return x.ID == id })
		if i < 0 {
			return nil
		}
		inv := m.List[i]
		c, _, err := tx.LoadCrew()
		if err != nil {
			return err
		}
		w := wordsIn(c, "")
		text := w.T("invite_mail_refused", "who", inv.Name)
		switch oc.Result {
		case chat.ResultUnknown: // it may be there: the code stays good
			text = w.T("invite_mail_unknown", "who", inv.Name)
		case chat.ResultLater:
			text = w.T("invite_mail_late", "who", inv.Name)
		}
		if oc.Result != chat.ResultUnknown {
			if err := tx.PutMailInvites(m.Without(func(x session.MailInvite) bool { return x.ID == id })); err != nil {
				return err
			}
		}
		a.post(tx, "", session.Slow, chat.Message{To: m.Of, Text: text})
		return nil
	})
}

// InvitesOver tells an angler of invitations by mail that nobody took up (session.Herald).
func (d *Desk) InvitesOver(tx *session.Tx, of int64, over []session.MailInvite) error {
	c, _, err := tx.LoadCrew()
	if err != nil {
		return err
	}
	w := wordsIn(c, "")
	for _, i := range over {
		say(tx, session.Entry{ID: "inviteover/" + i.ID, Lane: session.Slow}, chat.Message{To: of, Text: w.T("invite_mail_over", "who", i.Name)})
	}
	return nil
}
