package bot

import (
	"slices"
	"strconv"
	"strings"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/outing"
)

// Several people ashore: in which order they are alarmed, how each is reached, who is taken off.

// contact is /contact and what follows it.
func (a *ask) contact(args string) error {
	line, problem := command.ReadContact(args)
	switch {
	case line.Act == command.ContactMail && a.r.Place.Group:
		return a.say("mail_private") // before anything is read of it: an address is nobody else's business
	case line.Act == command.ContactMail && !a.Mails:
		return a.say("mail_off")
	case problem == "address":
		return a.say("mail_address")
	case problem == "name" && line.Act == command.ContactMail:
		return a.say("mail_name")
	case problem == "name":
		return a.say("contact_whom", "act", string(line.Act))
	case problem != "":
		return a.say("contact_unread")
	}
	switch line.Act {
	case command.ContactMail:
		return a.inviteByMail(line.Address, wording.Clean(line.Name, 40))
	case command.ContactCode:
		return a.codeTold(line.Code)
	case command.ContactFirst:
		return a.contactFirst(line.Name)
	case command.ContactRemove:
		return a.contactOff(line.Name)
	}
	return a.invite()
}

// held is somebody who holds a person's plans, and the crews that know of it.
type held struct {
	session.Holder
	crews []session.CrewID
}

// contactsOf are those who hold a person's plans, whichever crew it was said in, in the order in which they are alarmed.
func (a *ask) contactsOf(p session.Person) ([]held, error) {
	var out []held
	crews := append([]session.CrewID{a.crew}, crewsOf(p)...)
	for i, crew := range crews {
		if slices.Contains(crews[:i], crew) {
			continue
		}
		c, err := a.crewRecord(crew)
		if err != nil {
			return nil, err
		}
		for _, h := range c.HoldersOf(p.ID) {
			if i := slices.IndexFunc(out, func(x held) bool { return x.ID == h.ID }); i >= 0 {
				out[i].crews = append(out[i].crews, crew)
				continue
			}
			out = append(out, held{h, []session.CrewID{crew}})
		}
	}
	slices.SortStableFunc(out, func(x, y held) int { return place(p.Order, x.ID) - place(p.Order, y.ID) })
	return out, nil
}

// inOrder sorts contacts as their angler wants them alarmed; others follow as they accepted.
func inOrder(hs []session.Holder, order []int64) []session.Holder {
	hs = slices.Clone(hs)
	slices.SortStableFunc(hs, func(x, y session.Holder) int { return place(order, x.ID) - place(order, y.ID) })
	return hs
}

func place(order []int64, id int64) int {
	if i := slices.Index(order, id); i >= 0 {
		return i
	}
	return len(order)
}

// contactLines lists contacts, numbered in the order in which they are alarmed, with how each is reached.
func contactLines(w wording.Words, hs []held) string {
	if len(hs) == 0 {
		return ""
	}
	out := []string{w.T("contacts_head")}
	for i, h := range hs {
		how := w.T("contact_by_chat")
		if h.Mail != "" {
			how = w.T("contact_by_mail")
		}
		out = append(out, w.T("contact_line", "i", i+1, "who", h.Name, "how", wording.HTML(how)))
	}
	return strings.Join(append(out, w.T("contacts_how")), "\n")
}

// lined joins what is not empty, one below the other.
func lined(parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), "\n")
}

// replyAlone says something that is for the one who asked alone; where a group reads along, there is only said what here says.
func (a *ask) replyAlone(tx *session.Tx, w wording.Words, p session.Person, text, here string) {
	switch {
	case !a.r.Place.Group:
		a.reply(tx, text)
	case p.Private:
		a.post(tx, "", session.Slow, chat.Message{To: a.r.From.ID, Text: text})
		a.reply(tx, here)
	default:
		a.reply(tx, w.T("plan_start_first"))
	}
}

// contactNamed finds a contact by number or name, the whole of it or its first word. problem is the message that says why none was found.
func contactNamed(hs []held, said string) (h held, problem string) {
	if n, err := strconv.Atoi(said); err == nil {
		if n >= 1 && n <= len(hs) {
			return hs[n-1], ""
		}
		return held{}, "contact_unknown"
	}
	for _, same := range []func(name string) bool{
		func(name string) bool { return strings.EqualFold(name, said) },
		func(name string) bool { first, _, _ := strings.Cut(name, " "); return strings.EqualFold(first, said) },
	} {
		var found []held
		for _, x := range hs {
			if same(x.Name) {
				found = append(found, x)
			}
		}
		switch len(found) {
		case 0:
		case 1:
			return found[0], ""
		default:
			return held{}, "contact_which"
		}
	}
	return held{}, "contact_unknown"
}

// whichContact finds the contact a line names, or says why not; then ok is false.
func (a *ask) whichContact(said string) (p session.Person, hs []held, h held, ok bool, err error) {
	if p, err = a.person(a.r.From.ID); err != nil {
		return p, nil, h, false, err
	}
	if hs, err = a.contactsOf(p); err != nil {
		return p, nil, h, false, err
	}
	h, problem := contactNamed(hs, strings.TrimSpace(said))
	switch problem {
	case "contact_unknown":
		return p, hs, h, false, a.say("contact_unknown", "said", wording.Clean(said, 40))
	case "contact_which":
		return p, hs, h, false, a.say("contact_which", "said", wording.Clean(said, 40))
	}
	return p, hs, h, true, nil
}

// contactFirst is /contact first: somebody is alarmed before the others, from now on and in what is under way.
func (a *ask) contactFirst(said string) error {
	p, hs, h, ok, err := a.whichContact(said)
	if err != nil || !ok {
		return err
	}
	order := []int64{h.ID}
	for _, x := range hs {
		if x.ID != h.ID {
			order = append(order, x.ID)
		}
	}
	if err := a.Session.DoPerson(a.ctx, a.cause.Then("order"), p.ID, func(tx *session.Tx) error {
		p, _, err := tx.LoadPerson(p.ID)
		if err != nil {
			return err
		}
		p.Order = order
		return tx.PutPerson(p)
	}); err != nil {
		return err
	}
	if err := a.onOpen(p, "order/", func(outing.Outing) outing.Event { return outing.Reorder{By: p.ID, IDs: order} }); err != nil {
		return err
	}
	slices.SortStableFunc(hs, func(x, y held) int { return place(order, x.ID) - place(order, y.ID) })
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		done := w.T("contact_first", "who", h.Name)
		a.replyAlone(tx, w, p, lined(done, contactLines(w, hs)), done)
		return nil
	})
}

// onOpen lets an event happen to every outing a person is out on. It is the same when it happens twice.
func (a *ask) onOpen(p session.Person, step string, event func(o outing.Outing) outing.Event) error {
	fs, err := a.outingsIn(everywhere(p), func(o outing.Outing) bool { _, out := o.Member(p.ID); return out })
	if err != nil {
		return err
	}
	for _, f := range fs {
		if err := a.doIn(f.crew, a.cause.Then(step+f.o.ID), func(tx *session.Tx, c session.Crew, _ wording.Words) error {
			o, ok, err := tx.LoadOuting(f.o.ID)
			if err != nil || !ok || o.Closed() {
				return err
			}
			e := event(o)
			if r, off := e.(outing.Release); off {
				held, has := o.Holder(r.Contact)
				if !has {
					return nil
				}
				unsayTo(tx, o, held.Chat)
			}
			_, err = a.apply(tx, c, o, e)
			return err
		}); err != nil {
			return err
		}
	}
	return nil
}

// contactOff is /contact remove: somebody holds a person's plans no more, and is told so. What is under way comes first and the crews
// that know of it last: until then a crash leaves somebody to be found again.
func (a *ask) contactOff(said string) error {
	p, _, h, ok, err := a.whichContact(said)
	if err != nil || !ok {
		return err
	}
	keeps, err := a.holdForOthers(p, h.ID)
	if err != nil {
		return err
	}
	if err := a.onOpen(p, "released/", func(o outing.Outing) outing.Event {
		if slices.ContainsFunc(o.People, func(m outing.Member) bool { return slices.Contains(keeps, m.ID) }) {
			return outing.Reorder{By: p.ID} // they hold the plan for somebody else who is along: nothing changes
		}
		return outing.Release{By: p.ID, Contact: h.ID}
	}); err != nil {
		return err
	}
	if h.Mail == "" {
		if err := a.Session.DoPerson(a.ctx, a.cause.Then("released"), h.ID, func(tx *session.Tx) error {
			x, _, err := tx.LoadPerson(h.ID)
			if err != nil {
				return err
			}
			x.Holds = slices.DeleteFunc(slices.Clone(x.Holds), func(y session.Hold) bool { return y.Of == p.ID })
			return tx.PutPerson(x)
		}); err != nil {
			return err
		}
	}
	for i, crew := range h.crews {
		cause := a.cause.Then("released/" + string(crew))
		last := i == len(h.crews)-1
		if last {
			cause = a.cause
		}
		if err := a.doIn(crew, cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
			c.Holders = slices.DeleteFunc(slices.Clone(c.Holders), func(x session.Holder) bool { return x.Of == p.ID && x.ID == h.ID })
			if err := tx.PutCrew(c); err != nil || !last {
				return err
			}
			a.tellReleased(tx, w, h.Holder)
			a.reply(tx, w.T("contact_removed", "who", h.Name))
			return nil
		}); err != nil {
			return err
		}
	}
	return nil
}

// tellReleased tells a contact that they were taken off.
func (a *ask) tellReleased(tx *session.Tx, w wording.Words, h session.Holder) {
	m := chat.Message{To: h.Chat, Text: w.T("released_you", "who", a.name())}
	if h.Mail != "" {
		m.Text += "\n\n" + w.T("released_foot", "who", a.name())
		m.Mail = &chat.Mail{Address: h.Mail, Name: h.Name, Subject: wording.Plain(w.T("mail_s_released", "who", a.name()))}
	}
	a.post(tx, a.cause.ID+".released", session.Urgent, m)
}

// holdForOthers are the people, of those out with somebody now, whose plans a contact holds as well.
func (a *ask) holdForOthers(p session.Person, contact int64) (others []int64, err error) {
	fs, err := a.outingsIn(everywhere(p), func(o outing.Outing) bool { _, out := o.Member(p.ID); return out })
	if err != nil {
		return nil, err
	}
	for _, f := range fs {
		for _, m := range f.o.People {
			if m.ID <= 0 || m.ID == p.ID || slices.Contains(others, m.ID) {
				continue
			}
			other, err := a.person(m.ID)
			if err != nil {
				return nil, err
			}
			crews := append([]session.CrewID{f.crew}, everywhere(other)...)
			for _, crew := range crews {
				c, err := a.crewRecord(crew)
				if err != nil {
					return nil, err
				}
				if slices.ContainsFunc(c.HoldersOf(m.ID), func(h session.Holder) bool { return h.ID == contact }) {
					others = append(others, m.ID)
					break
				}
			}
		}
	}
	return others, nil
}
