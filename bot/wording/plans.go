package wording

import (
	"strings"
	"time"

	"ledgehand/session/catch"
	"ledgehand/session/catch/rules"
)

// Catch echoes one entry and what the rules held say about it.
func (w Words) Catch(e catch.Entry, name string, j rules.Answer, stayed string, now time.Time) string {
	if e.Blank {
		return w.T("catch_blank", "who", e.Who, "effort", HTML(w.Effort(e)))
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
