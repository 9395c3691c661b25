package wording

import (
	"strings"
	"time"

	"ledgehand/session/catch"
)

// Catch echoes one entry and what the rules held say about it.
func (w Words) Catch(e catch.Entry, name string, j catch.Judgement, stayed string, now time.Time) string {
	if e.Blank {
		return w.T("catch_blank", "who", e.Who, "effort", HTML(w.Effort(e)))
	}
	return lines(
		w.T("catch_noted", "who", e.Who, "n", e.Count, "fish", name, "of", HTML(w.measured(e)), "fate", HTML(w.became(e))),
		w.judgement(e, name, j, now),
		stayed)
}

func (w Words) judgement(e catch.Entry, name string, j catch.Judgement, now time.Time) string {
	if e.Kept != nil && *e.Kept == 0 {
		return "" // what swims away is judged by nobody
	}
	var out []string
	has := func(f catch.Finding) bool {
		for _, x := range j.Findings {
			if x == f {
				return true
			}
		}
		return false
	}
	r := j.Rule
	from := ""
	if r != nil {
		from = w.T("rule_from", "source", r.Source, "checked", w.Day(r.Checked))
	}
	no := " " + w.T("doubt_is_no")
	switch {
	case has(catch.NoRule):
		return w.T("rule_none", "fish", name) + no + " " + w.T("rule_none_do")
	case has(catch.NearMin):
		out = append(out, w.T("near_min", "len", w.Length(j.UM), "min", w.Length(r.MinUM)))
	case has(catch.NearMax):
		out = append(out, w.T("near_max", "len", w.Length(j.UM), "max", w.Length(r.MaxUM)))
	case has(catch.Short):
		out = append(out, w.T("short", "len", w.Length(j.UM), "min", w.Length(r.MinUM)))
	case has(catch.Long):
		out = append(out, w.T("long", "len", w.Length(j.UM), "max", w.Length(r.MaxUM)))
	case has(catch.NotMeasured):
		out = append(out, w.T("not_measured"))
	}
	if has(catch.OverBag) {
		out = append(out, w.T("over_bag", "who", e.Who, "over", j.Excess, "bag", *r.Bag))
	}
	if has(catch.KeptUnsaid) && len(out) == 0 {
		out = append(out, w.T("kept_unsaid"))
	}
	if has(catch.BagUnsure) {
		out = append(out, w.T("bag_unsure", "bag", *r.Bag))
	}
	if has(catch.RuleStale) {
		out = append(out, w.T("rule_stale", "checked", w.Date(r.Checked)))
	}
	if j.Verdict == catch.CannotTell && (has(catch.NotMeasured) || has(catch.BagUnsure) || has(catch.RuleStale)) {
		out[len(out)-1] += no
	}
	if j.Verdict == catch.Allowed && len(out) == 0 {
		out = append(out, w.T("allowed"))
	}
	if r != nil && r.Bag != nil && !has(catch.OverBag) && e.Kept != nil {
		if has(catch.AtBag) {
			out = append(out, w.T("at_bag", "who", e.Who, "n", j.Kept))
		} else {
			out = append(out, w.T("bag_count", "who", e.Who, "n", j.Kept, "bag", *r.Bag))
		}
	}
	if from != "" && !has(catch.RuleStale) {
		out = append(out, from)
	}
	return strings.Join(out, " ")
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
