package wording

import (
	"slices"
	"strings"
	"time"
)

// WhenAsk is the one short question about a time that was typed. question is a command.Word; times are what it may be, with
// their day where that is not today.
func (w Words) WhenAsk(question, said string, times []time.Time, now time.Time) string {
	var list []string
	for _, t := range times {
		list = append(list, w.When(t, now))
	}
	all := HTML("")
	if len(list) > 0 {
		all = w.list(slices.Compact(list))
	}
	return w.T("when_q_"+strings.ReplaceAll(question, "-", "_"), "said", Clean(said, 60), "times", all)
}
