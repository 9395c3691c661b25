package wording

import (
	"strings"

	"ledgehand/conditions"
	"ledgehand/conditions/ledge"
	"ledgehand/session/notice"
	"ledgehand/session/outing"
	"ledgehand/session/trip"
)

// TripNews is what a look at a planned trip found to be different: the new verdict first, warnings verbatim, what cannot be
// told, then what it was when the trip was planned. A plan of which nobody saw the sea yet is nil.
func (w Words) TripNews(t trip.Trip, plan *notice.Mark, is notice.Mark, warnings []conditions.Warning, r conditions.Report) string {
	head := w.T("trip_news", "ledge", t.Ledge, "day", w.Day(t.Start), "span", w.Span(t.Start, t.End), "verdict", HTML(w.verdict(is.Verdict)))
	doing := w.T("trip_news_do")
	if t.PlanB != "" {
		doing = w.T("trip_news_plan_b", "planb", t.PlanB)
	}
	return lines(head, w.verbatim(warnings), w.doubts(r), w.sincePlan(plan, is, len(warnings) > 0), doing)
}

// sincePlan is what is other than it was; "as planned again" where it was other in between.
func (w Words) sincePlan(plan *notice.Mark, is notice.Mark, warned bool) string {
	if plan == nil {
		if is.Hs == nil {
			return ""
		}
		return w.T("trip_news_swell", "hs", w.Height(*is.Hs))
	}
	var out []string
	for _, c := range is.Since(*plan) {
		switch c {
		case notice.Verdict:
			if plan.Verdict == string(ledge.CannotTell) {
				continue // what it was is no news, that it can be told is
			}
			out = append(out, w.T("trip_news_verdict", "was", HTML(w.verdict(plan.Verdict))))
		case notice.Swell:
			out = append(out, w.T("trip_news_swell_was", "was", w.Height(*plan.Hs), "hs", w.Height(*is.Hs)))
		case notice.Wind:
			out = append(out, w.T("trip_news_wind", "was", w.Speed(*plan.Wind), "is", w.Speed(*is.Wind)))
		case notice.Gust:
			out = append(out, w.T("trip_news_gust", "was", w.Speed(*plan.Gust), "is", w.Speed(*is.Gust)))
		case notice.Gate:
			switch {
			case is.Floods.IsZero():
				out = append(out, w.T("trip_news_gate_gone"))
			case plan.Floods.IsZero():
				out = append(out, w.T("trip_news_gate_new", "at", w.Clock(is.Floods)))
			default:
				out = append(out, w.T("trip_news_gate", "at", w.Clock(is.Floods), "was", w.Clock(plan.Floods)))
			}
		case notice.Heard:
			out = append(out, w.T("trip_news_heard"))
			if plan.Hs == nil && is.Hs != nil {
				out = append(out, w.T("trip_news_swell_now", "hs", w.Height(*is.Hs)))
			}
		case notice.Silent: // the doubts say it
		}
	}
	switch {
	case len(out) > 0:
		return w.T("trip_news_since", "what", HTML(strings.Join(out, "; ")))
	case len(is.Missing) > 0 || warned:
		return ""
	}
	return w.T("trip_news_as_planned")
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
