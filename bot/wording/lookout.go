package wording

import (
	"ledgehand/conditions"
	"ledgehand/session/outing"
	"ledgehand/session/trip"
)

// TripNews is what a look at a planned trip found to be different: the new verdict first, warnings verbatim, then what it was.
func (w Words) TripNews(t trip.Trip, was trip.Sea, warnings []conditions.Warning, r conditions.Report) string {
	head := w.T("trip_news", "ledge", t.Ledge, "day", w.Day(t.Start), "span", w.Span(t.Start, t.End), "verdict", HTML(w.verdict(t.SeaNow.Verdict)))
	before := ""
	if was.Verdict != "" && was.Verdict != t.SeaNow.Verdict {
		before = w.T("trip_news_was", "verdict", HTML(w.verdict(was.Verdict)))
	}
	swell := ""
	switch {
	case t.SeaNow.Hs == 0:
	case was.Hs == 0:
		swell = w.T("trip_news_swell", "hs", w.Height(t.SeaNow.Hs))
	default:
		swell = w.T("trip_news_swell_was", "hs", w.Height(t.SeaNow.Hs), "was", w.Height(was.Hs))
	}
	doing := w.T("trip_news_do")
	if t.PlanB != "" {
		doing = w.T("trip_news_plan_b", "planb", t.PlanB)
	}
	return lines(head, w.verbatim(warnings), w.doubts(r), before, swell, doing)
}

// OutingWarning is a warning issued while people are out, told once to them and to those ashore.
func (w Words) OutingWarning(o outing.Outing, warnings []conditions.Warning, ashore bool) string {
	var still []string
	for _, m := range o.People {
		if m.OffAt.IsZero() {
			still = append(still, m.Name)
		}
	}
	if ashore {
		return lines(w.T("out_warning_ashore", "n", len(still), "who", w.list(still), "ledge", o.Ledge), w.verbatim(warnings), w.T("out_warning_ashore_do", "by", w.Clock(o.BackBy)))
	}
	return lines(w.T("out_warning", "n", len(still), "who", w.list(still), "ledge", o.Ledge), w.verbatim(warnings), w.T("out_warning_do"))
}
