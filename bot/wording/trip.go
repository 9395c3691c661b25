package wording

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"ledgehand/conditions/ledge"
	"ledgehand/session/outing"
	"ledgehand/session/trip"
)

// View is which side of a plan's panel is shown: all of it would be more than is read on a phone.
type View string

// The views.
const (
	ViewMain View = "main"
	ViewMore View = "more" // the other things, and what was written
	ViewGear View = "gear" // who brings what
	ViewCars View = "cars" // who drives, and who is there for the first time
)

const (
	mostNamed = 12 // names in a line; the rest is a number
	notesMore = 5  // comments under More
)

// Trip is the one panel of a plan: whether it stands first, then who, what, and the sea.
func (w Words) Trip(t trip.Trip, now time.Time) string { return w.TripView(t, ViewMain, now) }

// TripView is one side of the panel.
func (w Words) TripView(t trip.Trip, v View, now time.Time) string {
	w = w.in(t.Zone)
	head := w.tripHead(t)
	if !t.CalledOff.IsZero() {
		return lines(head, w.T("trip_off"))
	}
	head += " " + w.tripPlanB(t, now)
	vital, also, open := w.gear(t)
	roster := w.T("trip_roster", "in", w.places(t.Who(trip.In)), "maybe", w.places(t.Who(trip.Maybe)), "cant", w.places(t.Who(trip.Cant)))
	rest := func() (out []string) {
		if len(also) > 0 {
			out = append(out, w.T("trip_also", "items", HTML(strings.Join(also, " · "))))
		}
		if len(open) > 0 {
			out = append(out, w.T("trip_open", "items", HTML(strings.Join(open, ", "))))
		}
		return out
	}
	switch v {
	case ViewGear:
		return lines(append(append([]string{head, w.tripReady(t), strings.Join(vital, " · ")}, rest()...), w.T("trip_gear_how"))...)
	case ViewCars:
		return lines(head, w.tripReady(t), roster, w.tripFacts(t), w.T("trip_cars_how"))
	case ViewMore:
		out := append([]string{head, w.tripReady(t), roster, strings.Join(vital, " · ")}, rest()...)
		return lines(append(append(out, w.tripFacts(t), w.tripSea(t, now)), w.tripNotes(t, notesMore, now)...)...)
	}
	out := []string{head, w.tripReady(t), w.tripFacts(t), roster, strings.Join(vital, " · "), w.tripSea(t, now)}
	return lines(append(out, w.tripNotes(t, 1, now)...)...)
}

func (w Words) tripHead(t trip.Trip) string {
	return w.T("trip_head", "day", w.Day(t.Start), "ledge", t.Ledge, "span", w.acrossDays(t.Start, t.End))
}

func (w Words) tripPlanB(t trip.Trip, now time.Time) string {
	if t.PlanB == "" {
		return w.T("trip_no_plan_b")
	}
	s := w.T("trip_plan_b", "ledge", w.PlanB(t.PlanB))
	if !t.DecideBy.IsZero() {
		s += " " + w.T("trip_decide", "at", w.When(t.DecideBy, now))
	}
	return s
}

// PlanB is where to go instead; "home" in the reader's language.
func (w Words) PlanB(name string) string {
	if strings.EqualFold(name, trip.Home) {
		return w.T("plan_b_home")
	}
	return Clean(name, 40)
}

// places are people with what they said beside their answer.
func (w Words) places(ps []trip.Place) HTML {
	var out []string
	for i, p := range ps {
		if i == mostNamed {
			out = append(out, w.T("trip_more_people", "n", len(ps)-mostNamed))
			break
		}
		n := escape(Clean(p.Name, 40))
		switch {
		case p.Seats > 0:
			n += " " + w.T("trip_seats", "n", p.Seats)
		case p.Drives:
			n += " " + w.T("trip_car_full")
		}
		if p.First {
			n += " " + w.T("trip_first")
		}
		out = append(out, n)
	}
	if len(out) == 0 {
		return "–"
	}
	return HTML(strings.Join(out, ", "))
}

// gear is who brings what: what a life may hang on, what else somebody brings, and what nobody does.
func (w Words) gear(t trip.Trip) (vital, also, open []string) {
	for _, it := range t.Gear {
		by, id := HTML("<b>"+w.T("nobody")+"</b>"), "trip_item"
		if it.By != 0 {
			by = HTML(escape(Clean(it.ByName, 40)))
		}
		if _, _, perhaps := t.Brings(it); perhaps {
			id = "trip_item_maybe"
		}
		switch l := w.T(id, "item", w.Item(it.Name), "by", by); {
		case it.Vital:
			vital = append(vital, l)
		case it.By != 0:
			also = append(also, l)
		default:
			open = append(open, escape(w.Item(it.Name)))
		}
	}
	return vital, also, open
}

// tripReady says whether the plan stands, and if not, all that is missing.
func (w Words) tripReady(t trip.Trip) string {
	unclaimed, lacks, ready := t.Ready()
	if ready {
		if v := newestSea(t).Verdict; v != string(ledge.NotExpected) {
			return w.T("trip_ready_sea", "verdict", HTML(w.Verdict(cmp.Or(v, string(ledge.CannotTell)))))
		}
		return w.T("trip_ready")
	}
	var why, nobody, maybe []string
	for _, it := range t.Gear {
		for _, u := range unclaimed {
			if it.Name != u {
				continue
			}
			if _, _, perhaps := t.Brings(it); perhaps {
				maybe = append(maybe, escape(w.Item(u)))
			} else {
				nobody = append(nobody, escape(w.Item(u)))
			}
		}
	}
	if len(nobody) > 0 {
		why = append(why, w.T("lack_items", "items", HTML(strings.Join(nobody, ", "))))
	}
	if len(maybe) > 0 {
		why = append(why, w.T("lack_maybe", "items", HTML(strings.Join(maybe, ", "))))
	}
	for _, l := range lacks {
		if l == trip.LackAsked && t.Vote != "" && t.Seq == 1 {
			why = append(why, w.T("lack_asked_vote", "who", w.some(t.Unconfirmed())))
			continue
		}
		why = append(why, w.T("lack_"+string(l), "n", t.Capacity, "who", w.some(t.Unconfirmed())))
	}
	return w.T("trip_not_ready", "why", HTML(strings.Join(why, "; ")))
}

// some are names without more, the first of many.
func (w Words) some(ps []trip.Place) HTML {
	var out []string
	for i, p := range ps {
		if i == mostNamed {
			out = append(out, w.T("trip_more_people", "n", len(ps)-mostNamed))
			break
		}
		out = append(out, escape(Clean(p.Name, 40)))
	}
	return HTML(strings.Join(out, ", "))
}

// tripFacts is what is said out loud though it keeps nobody from going: one alone, somebody who does not know the way, seats.
func (w Words) tripFacts(t trip.Trip) string {
	var out []string
	if t.Solo() {
		out = append(out, w.T("trip_solo", "who", t.Who(trip.In)[0].Name))
	}
	for i, p := range t.Newcomers() {
		if i == 3 { // the roster marks them all
			break
		}
		if p.WalkBy != 0 {
			out = append(out, w.T("trip_walks", "who", Clean(p.Name, 40), "with", Clean(p.WalkName, 40)))
		} else {
			out = append(out, w.T("trip_newcomer", "who", Clean(p.Name, 40)))
		}
	}
	if need, seats, known := t.Lift(); known && need > 0 {
		s := w.T("trip_lift", "n", need, "seats", HTML(w.T("trip_free", "n", seats)))
		if need > seats {
			s = "<b>" + s + "</b>"
		}
		out = append(out, s)
	}
	return strings.Join(out, " ")
}

// tripNotes are the newest comments, oldest first.
func (w Words) tripNotes(t trip.Trip, most int, now time.Time) (out []string) {
	for _, n := range t.Notes[max(0, len(t.Notes)-most):] {
		out = append(out, w.T("trip_note", "who", Clean(n.Name, 40), "text", n.Text, "ago", w.Ago(now.Sub(n.At))))
	}
	return out
}

// TripChanged tells those who are in that ledge or hours are others now; names are theirs as links that make their phones sound.
func (w Words) TripChanged(was, is trip.Trip, who string, toB bool, now time.Time) string {
	w = w.in(is.Zone)
	id := "trip_changed"
	if toB {
		id = "trip_changed_b"
	}
	ask := ""
	if asked := is.Unconfirmed(); len(asked) > 0 {
		ask = w.T("trip_changed_ask", "names", w.linked(asked))
	}
	return lines(
		w.T(id, "who", who, "day", w.Day(is.Start), "ledge", is.Ledge, "span", w.acrossDays(is.Start, is.End)),
		w.T("trip_changed_was", "day", w.Day(was.Start), "ledge", was.Ledge, "span", w.acrossDays(was.Start, was.End)),
		ask, w.tripSea(is, now))
}

// TripGoAsked says who is not counted as out, because they have not said yes to the plan as it is.
func (w Words) TripGoAsked(asked []trip.Place) string {
	return w.T("trip_go_asked", "n", len(asked), "who", w.linked(asked))
}

// TripGoElsewhere says who is not counted as out here, because they are out elsewhere.
func (w Words) TripGoElsewhere(ps []trip.Place) string {
	return w.T("trip_go_elsewhere", "n", len(ps), "who", w.linked(ps))
}

// linked names people so that their own phones sound.
func (w Words) linked(ps []trip.Place) HTML {
	out := make([]string, len(ps))
	for i, p := range ps {
		if out[i] = escape(Clean(p.Name, 40)); p.ID > 0 {
			out[i] = fmt.Sprintf(`<a href="tg://user?id=%d">%s</a>`, p.ID, out[i])
		}
	}
	return w.join(out)
}

// FirstTimers is what those ashore read of who does not know the ledge.
func (w Words) FirstTimers(ps []trip.Place) string {
	var out []string
	for _, p := range ps {
		if p.WalkBy != 0 {
			out = append(out, Plain(w.T("first_time_with", "who", p.Name, "with", p.WalkName)))
		} else {
			out = append(out, Plain(w.T("first_time", "who", p.Name)))
		}
	}
	return strings.Join(out, "; ")
}

// tripSea is the newest look at the sea of a trip's hours, and what it was when the plan was made if that differs.
func (w Words) tripSea(t trip.Trip, now time.Time) string {
	was, is := t.SeaAtPlan, newestSea(t)
	if is.At.IsZero() {
		return w.T("trip_sea_unknown")
	}
	verdict := func(s trip.Sea) HTML { return HTML(w.T("verdict_" + key(s.Verdict))) }
	out := ""
	switch {
	case is.Hs == 0 || was.Hs == 0:
		out = w.T("trip_sea_verdict", "verdict", verdict(is), "ago", w.Ago(now.Sub(is.At)))
	case is.Hs-was.Hs > 0.2 || was.Hs-is.Hs > 0.2 || is.Verdict != was.Verdict:
		out = w.T("trip_sea_changed", "old", w.Height(was.Hs), "new", w.Height(is.Hs), "period", int(is.Period+0.5), "was", verdict(was), "verdict", verdict(is), "ago", w.Ago(now.Sub(is.At)))
	default:
		out = w.T("trip_sea", "hs", w.Height(is.Hs), "period", int(is.Period+0.5), "verdict", verdict(is), "ago", w.Ago(now.Sub(is.At)))
	}
	if is.Verdict == string(ledge.CannotTell) {
		out += " " + w.T("doubt_is_no")
	}
	return out
}

func newestSea(t trip.Trip) trip.Sea {
	if t.SeaNow.At.After(t.SeaAtPlan.At) {
		return t.SeaNow
	}
	return t.SeaAtPlan
}

// Item is a shared thing's name in the reader's language; a crew's own thing as they wrote it.
func (w Words) Item(name string) string {
	switch name {
	case trip.ThrowLine, trip.Float, trip.FirstAid, trip.Lights, trip.Berley, trip.Bait, trip.Board, trip.Ice:
		return w.T("item_" + key(name))
	}
	return Clean(name, 40)
}

func key(s string) string { return strings.ReplaceAll(s, " ", "_") }

// noted are the notes that go with an outing: who is on the ledge for the first time, by the plan it was.
func (w Words) noted(o outing.Outing) string {
	if o.Sheet.Notes == "" {
		return ""
	}
	return w.T("sheet_notes", "notes", o.Sheet.Notes)
}
