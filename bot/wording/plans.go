package wording

import (
	"strings"
	"time"

	"ledgehand/conditions/ledge"
	"ledgehand/session/catch"
	"ledgehand/session/catch/rules"
	"ledgehand/session/trip"
)

// Trip is the one panel of a plan.
func (w Words) Trip(t trip.Trip, now time.Time) string {
	w = w.in(t.Zone)
	head := w.T("trip_head", "day", w.Day(t.Start), "ledge", t.Ledge, "span", w.Span(t.Start, t.End))
	if !t.CalledOff.IsZero() {
		return lines(head, w.T("trip_off"))
	}
	planB := w.T("trip_no_plan_b")
	if t.PlanB != "" {
		planB = w.T("trip_plan_b", "ledge", t.PlanB)
		if !t.DecideBy.IsZero() {
			planB += " " + w.T("trip_decide", "at", w.When(t.DecideBy, now))
		}
	}
	who := func(a trip.Answer) HTML {
		var out []string
		for _, p := range t.Who(a) {
			n := Clean(p.Name, 40)
			if p.Seats > 0 {
				n += " " + w.T("trip_seats", "n", p.Seats)
			}
			if p.First {
				n += " " + w.T("trip_first")
			}
			out = append(out, n)
		}
		if len(out) == 0 {
			return "–"
		}
		l := make([]string, len(out))
		for i := range out {
			l[i] = escape(out[i])
		}
		return HTML(strings.Join(l, ", "))
	}
	var vital, also, open []string
	for _, it := range t.Gear {
		by := HTML("<b>" + w.T("nobody") + "</b>")
		if it.By != 0 {
			by = HTML(escape(it.ByName))
		}
		switch l := w.T("trip_item", "item", w.Item(it.Name), "by", by); {
		case it.Vital:
			vital = append(vital, l)
		case it.By != 0:
			also = append(also, l)
		default:
			open = append(open, escape(w.Item(it.Name)))
		}
	}
	rest := ""
	if len(also) > 0 {
		rest = w.T("trip_also", "items", HTML(strings.Join(also, " · "))) + ". "
	}
	if len(open) > 0 {
		rest += w.T("trip_open", "items", HTML(strings.Join(open, ", "))) + "."
	}
	return lines(
		head+" "+planB,
		w.tripReady(t),
		w.T("trip_roster", "in", who(trip.In), "maybe", who(trip.Maybe), "cant", who(trip.Cant)),
		strings.Join(vital, " · "),
		rest,
		w.tripSea(t, now))
}

func (w Words) tripReady(t trip.Trip) string {
	unclaimed, lacks, ready := t.Ready()
	if ready {
		s := w.T("trip_ready")
		if t.Solo() {
			s = lines(s, w.T("trip_solo"))
		}
		return s
	}
	var why []string
	if len(unclaimed) > 0 {
		var items []string
		for _, u := range unclaimed {
			items = append(items, escape(w.Item(u)))
		}
		why = append(why, w.T("lack_items", "items", HTML(strings.Join(items, ", "))))
	}
	for _, l := range lacks {
		why = append(why, w.T("lack_"+string(l), "n", t.Capacity))
	}
	return w.T("trip_not_ready", "why", HTML(strings.Join(why, "; ")))
}

// tripSea is the newest look at the sea of a trip's hours, and what it was when the plan was made if that differs.
func (w Words) tripSea(t trip.Trip, now time.Time) string {
	was, is := t.SeaAtPlan, t.SeaNow
	if !is.At.After(was.At) {
		is = was
	}
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

// Item is a shared thing's name in the reader's language; a crew's own thing as they wrote it.
func (w Words) Item(name string) string {
	switch name {
	case trip.ThrowLine, trip.Float, trip.FirstAid, trip.Lights, trip.Berley, trip.Bait, trip.Board, trip.Ice:
		return w.T("item_" + key(name))
	}
	return Clean(name, 40)
}

func key(s string) string { return strings.ReplaceAll(s, " ", "_") }

// Catch echoes one entry and what the rules held say about it.
func (w Words) Catch(e catch.Entry, name string, j rules.Answer, stayed string, now time.Time) string {
	if e.Blank {
		return w.T("catch_blank", "who", e.Who, "effort", HTML(w.effort(e)))
	}
	return lines(
		w.T("catch_noted", "who", e.Who, "n", e.Count, "fish", name, "of", HTML(w.measured(e)), "fate", HTML(w.became(e))),
		w.judgement(e, name, j, now),
		stayed)
}

// Rule is one rule the crew holds.
func (w Words) Rule(r catch.Rule) string {
	var what []string
	if r.MinUM > 0 {
		what = append(what, w.T("rule_min", "len", w.Length(r.MinUM)))
	}
	if r.MaxUM > 0 {
		what = append(what, w.T("rule_max", "len", w.Length(r.MaxUM)))
	}
	if r.Bag != nil {
		what = append(what, w.T("rule_bag", "n", *r.Bag))
	}
	if len(what) == 0 {
		what = append(what, w.T("rule_nothing"))
	}
	return w.T("rule_line", "fish", r.Named, "what", HTML(strings.Join(what, ", ")), "source", r.Source, "checked", w.Day(r.Checked))
}
