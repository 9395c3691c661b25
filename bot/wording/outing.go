package wording

import (
	"fmt"
	"strings"
	"time"

	"ledgehand/session/outing"
)

// Outing says one effect of an outing to its recipient.
func (w Words) Outing(o outing.Outing, e outing.Effect, now time.Time) string {
	w = w.in(o.Zone)
	still := names(o.StillOut())
	num := w.number(o)
	switch e.Kind {
	case outing.SayOpened:
		return w.opened(o, now)
	case outing.SayPlan:
		return lines(
			w.T("plan_head", "who", w.list(all(o)), "ledge", o.Ledge, "by", w.When(o.BackBy, now)),
			w.T("plan_what", "at", w.Clock(o.BackBy.Add(o.Ladder.Contact))),
			w.T("plan_danger", "number", num),
			w.T("plan_leave"))
	case outing.SayRemind:
		return lines(w.T("remind", "who", w.list(still), "by", w.Clock(o.BackBy), "in", w.Ago(o.BackBy.Sub(now))))
	case outing.SayAsk:
		return lines(
			w.T("ask", "who", w.list(still), "ledge", o.Ledge, "by", w.Clock(o.BackBy), "at", w.Clock(now)),
			w.missed(o, e, now),
			w.T("ask_do"),
			w.next(o, now))
	case outing.SayParty:
		return w.alert(o, e, now, "party_head", w.partyDo(o))
	case outing.SayContact:
		return w.alert(o, e, now, "contact_head", lines(w.T("contact_nobody_called"), w.ring(o), w.T("contact_call", "number", num)))
	case outing.SayDelayed:
		d := o.Delays[len(o.Delays)-1]
		why := ""
		if d.Why != "" {
			why = w.T("delayed_why", "why", d.Why)
		}
		return lines(
			w.T("delayed", "who", d.By, "ledge", o.Ledge, "old", w.Clock(d.From), "by", w.When(d.To, now)),
			why,
			w.T("delayed_then", "ask", w.Clock(o.BackBy), "contact", w.Clock(o.BackBy.Add(o.Ladder.Contact))))
	case outing.SayAcked:
		if o.Ack == nil { // rendered after a later change
			return w.T("acked_"+string(outing.AckTrying), "who", e.Who, "until", w.Clock(now))
		}
		return lines(
			w.T("acked_"+string(o.Ack.What), "who", o.Ack.Name, "until", w.Clock(o.Ack.Until), "out", w.list(still)),
			w.T("acked_open", "out", w.list(still)),
			w.T("danger", "number", num))
	case outing.SayMemberOff:
		return w.T("member_off", "who", e.Who, "out", w.list(still), "by", w.Clock(o.BackBy))
	case outing.SayOff:
		return lines(w.T("off", "who", w.list(all(o)), "ledge", o.Ledge, "at", w.Clock(o.ClosedAt)), w.T("off_after"))
	case outing.SayStandDown:
		return lines(w.T("stand_down", "who", w.list(all(o)), "at", w.Clock(o.ClosedAt), "word", HTML(w.whose(o))), w.T("stand_down_do"))
	case outing.SayContactOff:
		return w.T("contact_off", "who", w.list(all(o)), "ledge", o.Ledge, "at", w.Clock(o.ClosedAt))
	case outing.SayHome:
		return w.T("home", "who", e.Who)
	case outing.SayUnreachable:
		if len(o.Reachable()) == 0 {
			return lines(w.T("unreachable", "who", e.Who), w.T("nobody_ashore"), w.T("invite_how"))
		}
		return lines(w.T("unreachable", "who", e.Who), w.T("others_ashore", "who", w.list(contacts(o.Reachable()))))
	case outing.SayContactLeft:
		if len(o.Reachable()) == 0 {
			return lines(w.T("contact_left", "who", e.Who), w.T("nobody_ashore"), w.T("invite_how"))
		}
		return lines(w.T("contact_left", "who", e.Who), w.T("others_ashore", "who", w.list(contacts(o.Reachable()))))
	case outing.SayCancelled:
		return w.T("cancelled", "who", w.list(all(o)), "ledge", o.Ledge)
	}
	return "[" + string(e.Kind) + "]"
}

// in is Words in a record's own zone.
func (w Words) in(zone string) Words {
	if l, err := time.LoadLocation(zone); err == nil && zone != "" {
		w.Zone = l
	}
	return w
}

func (w Words) opened(o outing.Outing, now time.Time) string {
	head := "opened"
	if o.Alone() {
		head = "opened_alone"
	}
	ashore := w.T("nobody_ashore")
	if cs := o.Reachable(); len(cs) > 0 {
		ashore = w.T("ashore_sending", "who", w.list(contacts(cs)))
		if reached := gotThrough(cs); len(reached) == len(cs) {
			ashore = w.T("ashore_has", "who", w.list(contacts(cs)))
		}
	} else {
		ashore += " " + w.T("invite_how")
	}
	jacket := w.T("jacket_" + orUnknown(o.Sheet.Lifejacket))
	if o.Sheet.Signal == "no" {
		jacket += " " + w.T("no_signal")
	}
	return lines(
		w.T(head, "who", w.list(all(o)), "ledge", o.Ledge, "by", w.When(o.BackBy, now)),
		ashore, jacket, w.next(o, now), w.T("opened_type"))
}

// next says who is told when, as it stands.
func (w Words) next(o outing.Outing, now time.Time) string {
	var parts []string
	if now.Before(o.BackBy) {
		parts = append(parts, w.T("then_ask", "at", w.Clock(o.BackBy)))
	}
	if o.Group != 0 && now.Before(o.BackBy.Add(o.Ladder.Party)) {
		parts = append(parts, w.T("then_party", "at", w.Clock(o.BackBy.Add(o.Ladder.Party))))
	}
	if cs := o.Reachable(); len(cs) > 0 && now.Before(o.BackBy.Add(o.Ladder.Contact)) {
		parts = append(parts, w.T("then_contact", "at", w.Clock(o.BackBy.Add(o.Ladder.Contact)), "who", HTML(w.list(contacts(cs[:1])))))
	}
	if len(parts) == 0 {
		return ""
	}
	return w.T("then", "steps", HTML(strings.Join(parts, ", ")))
}

// alert is what mates and contacts read when somebody is late: the fact, what to do, what is known.
func (w Words) alert(o outing.Outing, e outing.Effect, now time.Time, head, do string) string {
	again := ""
	if e.N > 0 {
		again = w.T("again", "n2", e.N+1) + " "
	}
	return lines(
		again+w.T(head, "n", len(o.StillOut()), "who", w.list(names(o.StillOut())), "ledge", o.Ledge, "by", w.When(o.BackBy, now), "at", w.Clock(now)),
		w.missed(o, e, now),
		w.afterAck(e, now),
		do,
		w.seaLine(o, now),
		w.heardLine(o, now))
}

func (w Words) afterAck(e outing.Effect, now time.Time) string {
	if e.AckBy == "" {
		return ""
	}
	return w.T("ack_ended", "who", e.AckBy, "at", w.When(e.AckAt, now))
}

func (w Words) partyDo(o outing.Outing) string {
	l := w.T("party_do")
	if len(o.Reachable()) == 0 {
		l = lines(w.T("party_nobody"), l)
	}
	return lines(l, w.T("danger", "number", w.number(o)))
}

func (w Words) ring(o outing.Outing) string {
	var out []string
	for _, m := range o.StillOut() {
		if m.Phone != "" {
			out = append(out, w.T("contact_ring", "who", m.Name, "phone", m.Phone))
		}
	}
	if len(out) == 0 {
		return w.T("contact_ring_unknown")
	}
	return strings.Join(out, "\n")
}

func (w Words) missed(o outing.Outing, e outing.Effect, now time.Time) string {
	if !e.Missed {
		return ""
	}
	return w.T("missed", "at", w.Clock(now))
}

func (w Words) seaLine(o outing.Outing, now time.Time) string {
	var parts []string
	s := o.Sheet
	if s.SeaHs > 0 {
		k := "sea_steady"
		if s.SeaHsLater > s.SeaHs*1.15 {
			k = "sea_rising"
		}
		parts = append(parts, w.T(k, "hs", w.Height(s.SeaHs), "later", w.Height(s.SeaHsLater), "at", w.Clock(s.SeaAt)))
	} else {
		parts = append(parts, w.T("sea_unknown"))
	}
	if s.NextTide.After(now) {
		k := "tide_ebbing"
		if s.NextTideIsHigh {
			k = "tide_making"
		}
		parts = append(parts, w.T(k, "at", w.Clock(s.NextTide)))
	}
	if !s.LastLight.IsZero() {
		if now.Before(s.LastLight) {
			parts = append(parts, w.T("light_until", "at", w.Clock(s.LastLight)))
		} else {
			parts = append(parts, w.T("dark_since", "at", w.Clock(s.LastLight)))
		}
	}
	return strings.Join(parts, " ")
}

func (w Words) heardLine(o outing.Outing, now time.Time) string {
	h, ok := o.LastHeard()
	if !ok {
		return ""
	}
	return w.T("last_heard", "at", w.When(h.At, now), "who", h.Who, "what", HTML(w.T("heard_"+h.What)))
}

// Sheet is everything the person ashore may have to read out, complete without any chat. ready says whether the
// number of the place is known.
func (w Words) Sheet(o outing.Outing, now time.Time) string {
	w = w.in(o.Zone)
	s := o.Sheet
	unknown := w.T("unknown")
	or := func(v string) string {
		if v == "" {
			return unknown
		}
		return v
	}
	var people []string
	for _, m := range o.People {
		state := w.T("sheet_out")
		if !m.OffAt.IsZero() {
			state = w.T("sheet_off", "at", w.Clock(m.OffAt))
		}
		people = append(people, w.T("sheet_person", "who", m.Name, "phone", or(m.Phone), "state", HTML(state)))
	}
	pos := w.T("sheet_place_unknown", "ledge", o.Ledge)
	if s.Lat != nil && s.Lon != nil {
		dec, dm := w.Position(*s.Lat, *s.Lon)
		pos = w.T("sheet_place", "ledge", o.Ledge, "decimal", dec, "minutes", dm, "map", HTML(fmt.Sprintf("geo:%.5f,%.5f", *s.Lat, *s.Lon)))
	}
	return lines(
		w.T("sheet_head", "at", w.When(now, now), "day", w.Day(now), "zone", w.ZoneName(now)),
		strings.Join(people, "\n"),
		pos,
		w.T("sheet_access", "access", or(s.Access), "out", or(s.WaysOut)),
		w.T("sheet_car", "car", or(s.Car), "parking", or(s.Parking)),
		w.T("sheet_times", "start", w.When(o.OpenedAt, now), "by", w.When(o.BackBy, now)),
		w.T("sheet_wears", "jacket", HTML(w.T("jacket_word_"+orUnknown(s.Lifejacket))), "wearing", or(s.Wearing)),
		w.heardLine(o, now),
		w.seaLine(o, now),
		w.tries(o),
		w.T("sheet_say", "number", w.number(o)))
}

func (w Words) tries(o outing.Outing) string {
	if len(o.Tries) == 0 {
		return w.T("tried_nothing")
	}
	var out []string
	for _, a := range o.Tries {
		out = append(out, w.T("tried_"+string(a.What), "who", a.Name, "at", w.Clock(a.At)))
	}
	return strings.Join(out, "\n")
}

// number is the local emergency number with whom to ask for, or a plain phrase where the crew has not given one:
// guessing a number would be worse than saying so.
func (w Words) number(o outing.Outing) HTML {
	switch {
	case o.Sheet.Number == "":
		return HTML(w.T("number_unknown"))
	case o.Sheet.AskFor == "":
		return HTML(w.T("number", "number", o.Sheet.Number))
	}
	return HTML(w.T("number_ask", "number", o.Sheet.Number, "ask", o.Sheet.AskFor))
}

// whose says by whose word the party is off.
func (w Words) whose(o outing.Outing) string {
	for _, m := range o.People {
		if m.OffBy != "" {
			return w.T("by_word_of", "who", m.OffBy)
		}
	}
	return w.T("by_own_word")
}

func all(o outing.Outing) []string { return names(o.People) }

func names(ms []outing.Member) []string {
	var out []string
	for _, m := range ms {
		out = append(out, m.Name)
	}
	return out
}

func contacts(cs []outing.Contact) []string {
	var out []string
	for _, c := range cs {
		out = append(out, c.Name)
	}
	return out
}

func gotThrough(cs []outing.Contact) []outing.Contact {
	var out []outing.Contact
	for _, c := range cs {
		if !c.Reached.IsZero() {
			out = append(out, c)
		}
	}
	return out
}

func orUnknown(s string) string {
	if s == "" {
		return "unknown"
	}
	return s
}

// People names the whole party.
func (w Words) People(o outing.Outing) HTML { return w.list(all(o)) }
