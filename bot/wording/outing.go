package wording

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"ledgehand/session/outing"
)

// Outing says one effect of an outing to its recipient.
func (w Words) Outing(o outing.Outing, e outing.Effect, now time.Time) string {
	w = w.in(o.Zone)
	still := names(o.StillOut())
	switch e.Kind {
	case outing.SayOpened:
		return w.opened(o, now)
	case outing.SayPlan:
		return lines(
			strings.TrimSpace(w.T("plan_head", "who", w.list(all(o)), "ledge", o.Ledge, "by", w.When(o.BackBy, now))+" "+w.homeBy(o, now)),
			w.T("plan_what", "at", w.Clock(o.AshoreAt())),
			w.T("plan_silence", "at", w.Clock(o.AshoreAt().Add(o.Ladder.Repeat)), "who", w.list(all(o))),
			w.quietThere(o),
			w.T("plan_danger", "number", w.number(o), "ask", w.askFor(o)),
			w.T("plan_leave"))
	case outing.SayRemind:
		return lines(w.T("remind", "who", w.called(o, e), "by", w.Clock(o.BackBy), "in", w.Ago(o.BackBy.Sub(now))))
	case outing.SayAsk:
		return lines(
			w.T("ask", "who", w.called(o, e), "ledge", o.Ledge, "by", w.Clock(o.BackBy), "at", w.Clock(now)),
			w.missed(e, "missed_ask"),
			w.T("ask_do"),
			w.nextOrTold(o, now))
	case outing.SayParty:
		return w.alert(o, e, now, w.partyDo(o))
	case outing.SayContact:
		return w.alert(o, e, now, w.contactDo(o, now))
	case outing.SayGate:
		return lines(w.T("gate_soon", "who", w.called(o, e), "at", w.Clock(o.Sheet.WalkInFloods), "in", w.Ago(o.Sheet.WalkInFloods.Sub(now))), w.T("gate_do"))
	case outing.SayLight:
		return lines(w.T("dark_soon", "who", w.called(o, e), "at", w.Clock(o.Sheet.LastLight), "in", w.Ago(o.Sheet.LastLight.Sub(now))), w.T("dark_do"))
	case outing.SayAlong:
		return lines(w.T("along", "who", e.Who, "all", w.list(still), "ledge", o.Ledge, "by", w.When(o.BackBy, now)), w.contactTimes(o, e, now))
	case outing.SayTimes:
		return lines(w.T("times_set", "who", e.Who, "ledge", o.Ledge), w.contactTimes(o, e, now))
	case outing.SayDelayed:
		return w.delayed(o, e, now)
	case outing.SayAcked:
		return w.acked(o, e)
	case outing.SayMemberOff:
		off := strings.Split(e.Who, ", ")
		return lines(w.T("member_off", "n", len(off), "who", w.list(off), "out", w.list(still), "by", w.Clock(o.BackBy)), w.next(o, now)) // the last one is looked for sooner
	case outing.SayOff:
		return lines(w.T("off", "who", w.list(all(o)), "ledge", o.Ledge, "at", w.Clock(o.ClosedAt)), w.T("off_after"))
	case outing.SayStandDown:
		return lines(w.T("stand_down", "who", w.list(all(o)), "at", w.Clock(o.ClosedAt), "word", HTML(w.whose(o))), w.T("stand_down_do"))
	case outing.SayContactOff:
		return w.T("contact_off", "who", w.list(all(o)), "ledge", o.Ledge, "at", w.Clock(o.ClosedAt))
	case outing.SayHome:
		return w.T("home", "who", e.Who)
	case outing.SayUnreachable:
		return w.unreachable(o, e, now)
	case outing.SayContactLeft:
		return lines(w.T("contact_left", "who", e.Who)+" "+w.ashoreNow(o), w.T("invite_how"))
	case outing.SayReleased:
		return lines(w.T("contact_released", "who", e.Who)+" "+w.ashoreNow(o), w.T("invite_how"))
	case outing.SayDeaf:
		return w.deaf(o, e, now)
	case outing.SayFellIn:
		return w.fellIn(o, e, now)
	case outing.SayCancelled:
		return w.T("cancelled", "who", w.list(all(o)), "ledge", o.Ledge)
	}
	return "[" + string(e.Kind) + "]"
}

// keepsLines is how long Telegram keeps typed lines that we do not fetch; taps, 150 s (read in its open-source Bot API server).
const keepsLines = 24 * time.Hour

// deaf says when nothing was heard, what of it is lost, and what to do.
func (w Words) deaf(o outing.Outing, e outing.Effect, now time.Time) string {
	d := e.Deaf
	lost := w.T("deaf_taps")
	if d.To.Sub(d.From) > keepsLines {
		lost = w.T("deaf_lines")
	}
	head := w.T("deaf", "from", w.When(d.From, now), "to", w.Clock(d.To)) + " " + lost
	switch {
	case e.To.Role == outing.RoleContact:
		return lines(head, w.T("deaf_contact", "who", w.list(names(o.StillOut())), "by", w.Clock(o.BackBy)), w.T("plan_danger", "number", w.number(o), "ask", w.askFor(o)))
	case now.Before(o.BackBy):
		return lines(head, w.T("deaf_party", "who", w.called(o, e), "by", w.Clock(o.BackBy)))
	}
	return lines(head, w.T("deaf_ask", "who", w.called(o, e), "ledge", o.Ledge, "by", w.Clock(o.BackBy)), w.T("ask_do"))
}

// unreachable is for those who count on somebody, or on the group, that messages do not get to, or not for long.
func (w Words) unreachable(o outing.Outing, e outing.Effect, now time.Time) string {
	do := "unreachable_do"
	if e.N < 0 {
		do = "unreachable_group_do"
	}
	return lines(w.outOfReach(o, e, now)+" "+w.ashoreNow(o), w.T(do, "who", e.Who))
}

// called names those still out. In a group the names are links to the people, which makes their own phones sound; a
// service that knows no such link shows the plain name, and guests have none.
func (w Words) called(o outing.Outing, e outing.Effect) HTML {
	still := o.StillOut()
	if e.To.Chat != o.Group || o.Group == 0 {
		return w.list(names(still))
	}
	linked := make([]string, len(still))
	for i, m := range still {
		if linked[i] = escape(m.Name); m.ID > 0 {
			linked[i] = fmt.Sprintf(`<a href="tg://user?id=%d">%s</a>`, m.ID, linked[i])
		}
	}
	return w.join(linked)
}

// in is Words in a record's own zone.
func (w Words) in(zone string) Words {
	if l, ok := Zone(zone); ok {
		w.Zone = l
	}
	return w
}

func (w Words) opened(o outing.Outing, now time.Time) string {
	head := "opened"
	if o.Alone() {
		head = "opened_alone"
	}
	jacket := w.T("jacket_" + orUnknown(o.Sheet.Lifejacket))
	if o.Sheet.Signal == "no" {
		jacket += " " + w.T("no_signal")
	}
	return lines(
		strings.TrimSpace(w.T(head, "who", w.list(all(o)), "ledge", o.Ledge, "by", w.When(o.BackBy, now))+" "+w.homeBy(o, now)),
		w.ashore(o), jacket, w.noted(o), w.ends(o, now), w.next(o, now), w.T("opened_type"))
}

// next says who is told when, as it stands.
func (w Words) next(o outing.Outing, now time.Time) string {
	var parts []string
	if now.Before(o.BackBy) {
		parts = append(parts, w.T("then_ask", "at", w.Clock(o.BackBy)))
	}
	_, why := o.Pace()
	if at := o.MatesAt(); o.Group != 0 && now.Before(at) {
		parts = append(parts, w.T("then_party", "at", w.Clock(at)))
	}
	if cs := o.Reachable(); len(cs) > 0 && now.Before(o.AshoreAt()) {
		parts = append(parts, w.T("then_contact", "at", w.Clock(o.AshoreAt()), "who", HTML(w.list(contacts(cs[:1])))))
	}
	if len(parts) == 0 {
		return ""
	}
	if o.Group == 0 && len(o.Reachable()) == 0 {
		parts = append(parts, w.T("then_nobody"))
	}
	steps := w.T("then", "steps", HTML(strings.Join(parts, ", ")))
	if slices.ContainsFunc(why, func(r outing.Reason) bool { return r != outing.Alone }) { // that they are alone is said above
		steps += " " + w.T("sooner", "why", HTML(w.reasons(why)))
	}
	return steps
}

// contactTimes is what a change of the times comes to, for those ashore and for the party.
func (w Words) contactTimes(o outing.Outing, e outing.Effect, now time.Time) string {
	if e.To.Role == outing.RoleContact {
		return w.T("delayed_contact", "contact", w.Clock(o.AshoreAt()))
	}
	return w.next(o, now)
}

func (w Words) reasons(why []outing.Reason) string {
	var out []string
	for _, r := range why {
		out = append(out, w.T("sooner_"+string(r)))
	}
	return strings.Join(out, ", ")
}

// quietThere tells those ashore what silence means where no phone works.
func (w Words) quietThere(o outing.Outing) string {
	if o.Sheet.Signal != "no" {
		return ""
	}
	return w.T("plan_no_signal", "by", w.Clock(o.BackBy))
}

// ends is what ends the stay whatever was planned: the tide over the walk-in, the dark.
func (w Words) ends(o outing.Outing, now time.Time) string {
	var out []string
	s := o.Sheet
	switch {
	case s.WalkInFloods.IsZero():
	case !s.WalkInFloods.After(o.OpenedAt) && s.WalkInDries.After(now):
		out = append(out, w.T("gate_wet", "at", w.Clock(s.WalkInDries)))
	case s.WalkInFloods.After(o.OpenedAt) && s.WalkInFloods.Before(o.BackBy.Add(outing.GateAhead)):
		out = append(out, w.T("gate_floods", "at", w.Clock(s.WalkInFloods)))
	}
	if d := s.LastLight; !d.IsZero() && d.Before(o.BackBy) && d.After(o.OpenedAt) {
		out = append(out, w.T("dark_before", "at", w.Clock(d)))
	}
	return strings.Join(out, " ")
}

// nextOrTold is next, and once all of that has happened, who has been told: somebody still on the rock must know
// that people ashore are worried.
func (w Words) nextOrTold(o outing.Outing, now time.Time) string {
	var told []string
	for _, r := range o.Alarmed() {
		switch {
		case r.Role == outing.RoleGroup && r.Chat == o.Group:
			if o.GroupRefused.IsZero() { // what it may have heard before is not counted on
				told = append(told, w.T("the_group"))
			}
		default:
			told = append(told, r.Name)
		}
	}
	if len(told) == 0 {
		return w.next(o, now)
	}
	return strings.TrimSpace(w.T("told_already", "who", w.list(told)) + " " + w.next(o, now))
}

// ashoreNow says who holds the plan after a change, or that nobody does.
func (w Words) ashoreNow(o outing.Outing) string {
	if cs := o.Reachable(); len(cs) > 0 {
		return w.T("others_ashore", "who", w.list(contacts(cs)))
	}
	return w.T("nobody_ashore")
}

func (w Words) delayed(o outing.Outing, e outing.Effect, now time.Time) string {
	d := o.Delays[len(o.Delays)-1]
	why := ""
	if d.Why != "" {
		why = w.T("delayed_why", "why", d.Why)
	}
	then := w.next(o, now)
	if e.To.Role == outing.RoleContact {
		then = w.T("delayed_contact", "contact", w.Clock(o.AshoreAt()))
	}
	return lines(w.T("delayed", "who", d.By, "ledge", o.Ledge, "old", w.When(d.From, now), "by", w.When(d.To, now)), why, w.ends(o, now), then)
}

// acked says who took an alert on, what that person said, and that it is not over.
func (w Words) acked(o outing.Outing, e outing.Effect) string {
	a := o.Ack
	if a == nil && len(o.Tries) > 0 { // said after a later change: what was claimed stands
		a = &o.Tries[len(o.Tries)-1]
	}
	if a == nil {
		a = &outing.Ack{Name: e.Who, What: outing.AckTrying}
	}
	out := w.list(names(o.StillOut()))
	do := w.T("danger", "number", w.number(o), "ask", w.askFor(o))
	if a.What == outing.AckCalled {
		do = w.T("called_then", "number", w.number(o))
	}
	return lines(
		w.T("acked_"+string(a.What), "who", a.Name, "out", out, "number", w.number(o)),
		w.T("acked_open", "until", w.Clock(a.Until), "out", out),
		do)
}

// alert is what mates and contacts read when somebody is late: the fact, what to do, what is known.
func (w Words) alert(o outing.Outing, e outing.Effect, now time.Time, do string) string {
	again := ""
	if e.N > 0 {
		again = w.T("again") + " "
	}
	return lines(
		w.T("late_head", "n", len(o.StillOut()), "again", HTML(again), "who", w.list(names(o.StillOut())), "ledge", o.Ledge, "by", w.When(o.BackBy, now), "at", w.Clock(now))+w.fellNote(o, now),
		w.missed(e, "missed"),
		w.afterAck(o, e, now),
		do,
		w.seaLine(o, now),
		w.heardLine(o, now))
}

// afterAck is what somebody had taken on before the alert came back, in their own claim.
func (w Words) afterAck(o outing.Outing, e outing.Effect, now time.Time) string {
	if e.AckBy == "" {
		return ""
	}
	what := outing.AckTrying
	for _, a := range o.Tries {
		if a.Name == e.AckBy && a.At.Equal(e.AckAt) {
			what = a.What
		}
	}
	if what == outing.AckCalled && e.Kind == outing.SayContact {
		return "" // part of what to do
	}
	return w.T("ack_ended_"+string(what), "who", e.AckBy, "at", w.When(e.AckAt, now))
}

// contactDo is what the person ashore is to do, in order. That nobody has been called is only said while nobody
// has told us otherwise.
func (w Words) contactDo(o outing.Outing, now time.Time) string {
	said, call := w.T("contact_nobody_called"), "contact_call"
	for _, a := range o.Tries {
		if a.What == outing.AckCalled {
			said, call = w.T("contact_was_called", "who", a.Name, "at", w.When(a.At, now)), "contact_call_again"
		}
	}
	return lines(said, w.ring(o), w.T(call, "number", w.number(o), "ask", w.askFor(o)))
}

func (w Words) partyDo(o outing.Outing) string {
	l := w.T("party_do", "who", w.list(names(o.StillOut())))
	if len(o.Reachable()) == 0 {
		l = lines(w.T("party_nobody"), l)
	}
	return lines(l, w.T("danger", "number", w.number(o), "ask", w.askFor(o)))
}

func (w Words) ring(o outing.Outing) string {
	var out []string
	known := false
	for _, m := range o.StillOut() {
		phone := w.T("no_phone")
		if m.Phone != "" {
			phone, known = escape(m.Phone), true
		}
		out = append(out, w.T("ring_one", "who", m.Name, "phone", HTML(phone)))
	}
	if !known {
		return w.T("contact_ring_unknown", "who", w.list(names(o.StillOut())))
	}
	return w.T("contact_ring", "whom", HTML(strings.Join(out, ", ")))
}

func (w Words) missed(e outing.Effect, id string) string {
	if !e.Missed {
		return ""
	}
	return w.T(id)
}

func (w Words) seaLine(o outing.Outing, now time.Time) string {
	var parts []string
	s := o.Sheet
	if s.SeaHs > 0 {
		k := "sea_steady"
		if s.Rising() {
			k = "sea_rising"
		}
		parts = append(parts, w.T(k, "hs", w.Height(s.SeaHs), "later", w.Height(s.SeaHsLater)))
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
	if !s.WalkInFloods.IsZero() && now.After(s.WalkInFloods) && (s.WalkInDries.IsZero() || now.Before(s.WalkInDries)) {
		parts = append(parts, w.T("gate_under"))
	}
	if !s.LastLight.IsZero() {
		switch {
		case now.Before(s.LastLight):
			parts = append(parts, w.T("light_until", "at", w.Clock(s.LastLight)))
		case !s.FirstLight.IsZero() && !now.Before(s.FirstLight):
			parts = append(parts, w.T("light_since", "at", w.When(s.FirstLight, now)))
		default:
			parts = append(parts, w.T("dark_since", "at", w.When(s.LastLight, now)))
		}
	}
	return strings.Join(parts, " ")
}

func (w Words) heardLine(o outing.Outing, now time.Time) string {
	h, ok := o.LastHeard()
	if !ok {
		return ""
	}
	what := "heard_" + h.What
	if !w.has(what) { // a word stored by another version
		what = "heard_something"
	}
	l := w.T("last_heard", "at", w.When(h.At, now), "who", h.Who, "what", HTML(w.T(what)))
	switch o.Sheet.Signal { // silence means less where no phone works
	case "no", "patchy":
		l += " " + w.T("signal_"+o.Sheet.Signal)
	}
	return l
}

// Sheet is everything the person ashore may have to read out, complete without any chat, in the order in which
// rescuers ask: where, who and how many, since when, what they wear. What is not known is said to be so.
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
	var people, shown []string
	for _, m := range o.People {
		state := w.T("sheet_out")
		switch {
		case !m.OffAt.IsZero():
			state = w.T("sheet_off", "at", w.When(m.OffAt, now))
		case now.Before(o.BackBy): // nothing is wrong yet
			state = w.T("sheet_still_out")
		}
		people = append(people, w.T("sheet_person", "who", m.Name, "phone", or(m.Phone), "state", HTML(state)))
		if p := m.Position; p != nil {
			dec, dm := w.Position(p.Lat, p.Lon)
			shown = append(shown, w.T("sheet_position", "who", m.Name, "at", w.When(p.At, now), "age", w.Ago(now.Sub(p.At)), "decimal", dec, "minutes", dm))
		}
	}
	pos := w.T("sheet_place_unknown", "ledge", o.Ledge)
	if s.Lat != nil && s.Lon != nil {
		dec, dm := w.Position(*s.Lat, *s.Lon)
		pos = w.T("sheet_place", "ledge", o.Ledge, "decimal", dec, "minutes", dm, "map", HTML(mapLink(*s.Lat, *s.Lon)))
	}
	notes := ""
	if s.Notes != "" {
		notes = w.T("sheet_notes", "notes", s.Notes)
	}
	return lines(
		w.T("sheet_head", "at", w.Clock(now), "day", w.Day(now), "zone", w.ZoneName(now)),
		w.T("sheet_say", "number", w.number(o), "ask", w.askFor(o)),
		pos,
		w.T("sheet_count", "n", len(o.People), "out", len(o.StillOut())),
		strings.Join(people, "\n"),
		w.fellLine(o, now),
		w.T("sheet_times", "start", w.When(o.OpenedAt, now), "by", w.When(o.BackBy, now)),
		w.heardLine(o, now),
		strings.Join(shown, "\n"),
		w.tries(o, now),
		w.T("sheet_wears", "jacket", HTML(w.T("jacket_word_"+orUnknown(s.Lifejacket))), "wearing", or(s.Wearing)),
		notes,
		w.T("sheet_car", "car", or(s.Car), "parking", or(s.Parking)),
		w.T("sheet_access", "access", or(s.Access), "out", or(s.WaysOut), "ring", or(s.Ring)),
		w.seaLine(o, now)+w.water(o))
}

// mapLink opens a map of the whole world that anybody can read without an account.
func mapLink(lat, lon float64) string {
	return fmt.Sprintf("https://www.openstreetmap.org/?mlat=%.5f&amp;mlon=%.5f", lat, lon)
}

func (w Words) water(o outing.Outing) string {
	if o.Sheet.WaterC == nil {
		return ""
	}
	return " " + w.T("sheet_water", "temp", w.Temp(*o.Sheet.WaterC))
}

func (w Words) tries(o outing.Outing, now time.Time) string {
	if len(o.Tries) == 0 {
		return w.T("tried_nothing")
	}
	var out []string
	for _, a := range o.Tries {
		out = append(out, w.T("tried_"+string(a.What), "who", a.Name, "at", w.When(a.At, now)))
	}
	return strings.Join(out, "\n")
}

// number is the local emergency number, or a plain phrase where the crew has not given one: guessing a number would
// be worse than saying so.
func (w Words) number(o outing.Outing) HTML {
	if o.Sheet.Number == "" {
		return HTML(w.T("number_unknown"))
	}
	return HTML(escape(o.Sheet.Number))
}

// askFor follows "call NUMBER now": whom to ask for there, or why there is no number.
func (w Words) askFor(o outing.Outing) HTML {
	switch {
	case o.Sheet.Number == "":
		return HTML(w.T("ask_number_unknown", "ledge", o.Ledge))
	case o.Sheet.AskFor == "":
		return ""
	}
	return HTML(w.T("ask_for", "ask", o.Sheet.AskFor))
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
