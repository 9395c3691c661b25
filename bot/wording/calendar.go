package wording

import (
	"strings"

	"ledgehand/session/trip"
)

// Calendar is a plan as a calendar shows it: plain text, a line each, and of the ledge no more than its name.
func (w Words) Calendar(t trip.Trip) (summary, description string) {
	w = w.in(t.Zone)
	summary = Plain(w.T("cal_summary", "ledge", t.Ledge))
	if !t.CalledOff.IsZero() {
		return Plain(w.T("cal_summary_off", "ledge", t.Ledge)), Plain(w.T("trip_called_off", "ledge", t.Ledge, "day", w.Day(t.Start)))
	}
	names := func(a trip.Answer) HTML {
		var out []string
		for _, p := range t.Who(a) {
			out = append(out, escape(Clean(p.Name, 40)))
		}
		if len(out) == 0 {
			return "–"
		}
		return HTML(strings.Join(out, ", "))
	}
	planB := w.T("cal_no_plan_b")
	if t.PlanB != "" {
		planB = w.T("cal_plan_b", "ledge", t.PlanB)
		if !t.DecideBy.IsZero() {
			planB += " " + w.T("cal_decide", "at", w.Day(t.DecideBy)+" "+w.Clock(t.DecideBy))
		}
	}
	var brings, open []string
	for _, it := range t.Gear {
		switch {
		case it.By != 0:
			brings = append(brings, w.T("trip_item", "item", w.Item(it.Name), "by", it.ByName))
		case it.Vital:
			open = append(open, escape(w.Item(it.Name)))
		}
	}
	gear, lack := "", ""
	if len(brings) > 0 {
		gear = w.T("cal_brings", "items", HTML(strings.Join(brings, "; ")))
	}
	if len(open) > 0 {
		lack = w.T("cal_open", "items", HTML(strings.Join(open, ", ")))
	}
	return summary, Plain(lines(planB, w.T("cal_who", "in", names(trip.In), "maybe", names(trip.Maybe)), gear, lack, w.T("cal_foot")))
}

// CalendarSent goes under the file: the first one, one that replaces it, or the end of it.
func (w Words) CalendarSent(t trip.Trip, again bool) string {
	w = w.in(t.Zone)
	switch {
	case !t.CalledOff.IsZero():
		return w.T("cal_off", "ledge", t.Ledge, "day", w.Day(t.Start))
	case again:
		return w.T("cal_again", "ledge", t.Ledge, "day", w.Day(t.Start), "span", w.Span(t.Start, t.End))
	}
	return w.T("cal_sent", "ledge", t.Ledge, "day", w.Day(t.Start), "span", w.Span(t.Start, t.End))
}
