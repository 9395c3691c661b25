package wording

import (
	"strings"
	"time"

	"ledgehand/session/outing"
)

// Those ashore: how the plan gets to them, by a chat or by mail, and the plan that an angler sends by other means.

// ashore says how those ashore have the plan. Of a mail no more is known than that its server took it.
func (w Words) ashore(o outing.Outing) string {
	var chats, mails []outing.Contact
	for _, c := range o.Reachable() {
		if c.Mail != "" {
			mails = append(mails, c)
		} else {
			chats = append(chats, c)
		}
	}
	if len(chats)+len(mails) == 0 {
		return w.T("nobody_ashore") + " " + w.T("invite_how") + " " + w.T("plan_text_how")
	}
	var parts []string
	if len(chats) > 0 {
		said := w.T("ashore_sending", "who", w.list(contacts(chats)))
		if len(gotThrough(chats)) == len(chats) {
			said = w.T("ashore_has", "n", len(chats), "who", w.list(contacts(chats)))
		}
		parts = append(parts, said)
	}
	if len(mails) > 0 {
		said := w.T("ashore_sending", "who", w.list(contacts(mails)))
		if len(gotThrough(mails)) == len(mails) {
			said = w.T("ashore_mail", "who", w.list(contacts(mails)))
		}
		parts = append(parts, said)
	}
	if len(chats) == 0 {
		parts = append(parts, w.T("ashore_only_mail", "who", w.list(contacts(mails))))
	}
	return strings.Join(parts, " ")
}

// outOfReach is the first line of news about a contact, or the group, that messages do not get to.
func (w Words) outOfReach(o outing.Outing, e outing.Effect, now time.Time) string {
	c, known := o.Holder(int64(e.N))
	switch mail := known && c.Mail != ""; {
	case mail && e.Until.IsZero():
		return w.T("mail_unreachable", "who", e.Who)
	case mail:
		return w.T("mail_held_up", "who", e.Who)
	case !e.Until.IsZero():
		return w.T("held_up", "who", e.Who, "at", w.When(e.Until, now))
	}
	return w.T("unreachable", "who", e.Who)
}

// Mail is what somebody ashore gets by mail of an effect. The sheet goes along with the plan and with every alert: one mail may be all
// they ever read, and they can ask for nothing.
func (w Words) Mail(o outing.Outing, e outing.Effect, now time.Time) (subject, text string) {
	w = w.in(o.Zone)
	var parts []string
	switch e.Kind {
	case outing.SayPlan:
		worry := w.Clock(o.AshoreAt())
		parts = append(parts, lines(
			w.T("plan_head", "who", w.list(all(o)), "ledge", o.Ledge, "by", w.stamp(o.BackBy, now)),
			w.T("mail_plan_what", "at", worry),
			w.T("plan_silence", "at", w.Clock(o.AshoreAt().Add(o.Ladder.Repeat)), "who", w.list(all(o))),
			w.quietThere(o),
			w.T("plan_danger", "number", w.number(o), "ask", w.askFor(o))), w.Sheet(o, now))
	case outing.SayContact, outing.SayFellIn:
		parts = append(parts, lines(w.Outing(o, e, now), w.T("mail_deaf", "out", w.list(names(o.StillOut()))), w.matesTold(o, e.To.Chat)), w.Sheet(o, now))
	default:
		parts = append(parts, w.Outing(o, e, now))
	}
	parts = append(parts, w.MailFoot(o, now))
	return w.subject(o, e, now), strings.Join(parts, "\n\n")
}

// MailFoot is the last line of every mail: why they get it, and how it stops.
func (w Words) MailFoot(o outing.Outing, now time.Time) string {
	return w.in(o.Zone).T("mail_foot", "zone", w.in(o.Zone).ZoneName(now), "who", w.list(all(o)))
}

// subject carries the decision, as plain text.
func (w Words) subject(o outing.Outing, e outing.Effect, now time.Time) string {
	who, still := w.list(all(o)), names(o.StillOut())
	by := w.stamp(o.BackBy, now)
	var s string
	switch e.Kind {
	case outing.SayPlan:
		s = w.T("mail_s_plan", "who", who, "ledge", o.Ledge, "by", by)
	case outing.SayContact:
		if s = w.T("mail_s_late", "n", len(still), "who", w.list(still), "ledge", o.Ledge, "by", by); e.N > 0 && !e.First {
			s = w.T("mail_s_still", "n", len(still), "who", w.list(still), "ledge", o.Ledge, "by", by)
		}
	case outing.SayFellIn:
		s = w.T("mail_s_fell_in", "ledge", o.Ledge, "number", w.number(o))
	case outing.SayDelayed:
		s = w.T("mail_s_delayed", "who", w.list(still), "ledge", o.Ledge, "by", by)
	case outing.SayAlong:
		s = w.T("mail_s_along", "who", e.Who, "ledge", o.Ledge, "by", by)
	case outing.SayTimes:
		s = w.T("mail_s_times", "who", w.list(still), "at", w.stamp(o.AshoreAt(), now))
	case outing.SayAcked:
		s = w.T("mail_s_acked", "by", e.Who, "who", w.list(still))
	case outing.SayStandDown:
		s = w.T("mail_s_stand_down", "who", who, "at", w.stamp(o.ClosedAt, now))
	case outing.SayContactOff, outing.SayCancelled:
		s = w.T("mail_s_over", "who", who, "ledge", o.Ledge)
	case outing.SayDeaf:
		s = w.T("mail_s_deaf", "who", w.list(still), "ledge", o.Ledge)
	case outing.SayUnreachable:
		s = w.T("mail_s_unreachable", "who", e.Who)
	default:
		s = w.T("mail_s_news", "who", who, "ledge", o.Ledge)
	}
	return Plain(s)
}

// WarningSubject is the subject of a warning that came while people are out.
func (w Words) WarningSubject(o outing.Outing) string {
	return Plain(w.T("mail_s_warning", "who", w.list(names(o.StillOut())), "ledge", o.Ledge))
}

// stamp is When with the zone's abbreviation: a mail may be read far from the ledge.
func (w Words) stamp(t, now time.Time) string {
	zone, _, _ := strings.Cut(w.ZoneName(t), ",")
	return w.When(t, now) + " " + zone
}

// matesTold names everybody else who knows that the party is late.
func (w Words) matesTold(o outing.Outing, chat int64) string {
	var who []string
	for _, r := range o.Alarmed() {
		switch {
		case r.Chat == chat:
		case r.Role == outing.RoleGroup && r.Chat == o.Group:
			if !o.GroupRefused.IsZero() {
				continue // what it may have heard before is not counted on
			}
			group := w.T("mail_told_group_only")
			if len(o.Mates) > 0 {
				group = w.T("mail_told_group", "who", w.list(contacts(o.Mates)))
			}
			who = append(who, group)
		default:
			who = append(who, escape(r.Name))
		}
	}
	if len(who) == 0 {
		return w.T("mail_told_nobody")
	}
	return w.T("mail_told", "who", w.join(who))
}

// PlanText is the plan in plain words for somebody without any of this: who, where, by when, when to worry, what to do. It is one block
// that a tap copies, short enough for a few SMS.
func (w Words) PlanText(o outing.Outing, now time.Time) string {
	w = w.in(o.Zone)
	var who []string
	for _, m := range o.StillOut() {
		phone := m.Phone
		if phone == "" {
			phone = w.T("no_phone")
		}
		who = append(who, w.T("ring_one", "who", m.Name, "phone", phone))
	}
	where := w.T("plan_t_where_unknown", "ledge", o.Ledge)
	if s := o.Sheet; s.Lat != nil && s.Lon != nil {
		dec, dm := w.Position(*s.Lat, *s.Lon)
		where = w.T("plan_t_where", "ledge", o.Ledge, "decimal", dec, "minutes", dm)
	}
	car := ""
	if s := o.Sheet; s.Car != "" || s.Parking != "" {
		car = w.T("plan_t_car", "car", orWord(s.Car, w.T("unknown")), "parking", orWord(s.Parking, w.T("unknown")))
	}
	dated := func(t time.Time) string {
		zone, _, _ := strings.Cut(w.ZoneName(t), ",")
		return w.Day(t) + " " + w.Clock(t) + " " + zone
	}
	block := lines(
		w.T("plan_t_head", "at", dated(now)),
		w.T("plan_t_who", "who", HTML(strings.Join(who, ", "))),
		where,
		w.T("plan_t_by", "by", dated(o.BackBy)),
		w.T("plan_t_worry", "at", dated(o.AshoreAt()), "number", w.number(o), "ask", w.askFor(o)),
		car,
		w.T("plan_t_change"))
	return w.T("plan_text") + "\n<pre>" + block + "</pre>"
}

func orWord(s, word string) string {
	if s == "" {
		return word
	}
	return s
}
