package wording

import (
	"fmt"
	"strings"

	"ledgehand/conditions/ledge"
)

// Learned is what watches taught about a ledge: how far waves run up it beside what the formula says, how sure, and for which swell.
func (w Words) Learned(l ledge.Lesson) string {
	if l.Watches == 0 {
		return w.T("learned_nothing")
	}
	s := w.T("learned", "n", l.Watches, "wet", l.Wet)
	if l.Reports > 0 {
		s = w.T("learned_seen", "seen", w.seenBy(l.Watches, l.Reports), "wet", l.Wet)
	}
	switch {
	case l.Contradicted:
		return s + " " + w.T("learned_contradicted")
	case !l.Calibrated:
		return s + " " + w.T("learned_little", "factor", factor(l.Factor), "low", factor(l.Low), "high", factor(l.High))
	}
	s += " " + w.T("learned_factor", "factor", factor(l.Factor), "low", factor(l.Low), "high", factor(l.High))
	var swells []string
	for _, x := range l.Swells {
		if x.Calibrated {
			swells = append(swells, w.T("learned_swell", "dir", w.Compass(float64(x.From)), "factor", factor(x.Factor), "n", x.Watches))
		}
	}
	if len(swells) > 1 { // of one alone all has been said
		s += " " + upperFirst(strings.Join(swells, ", ")) + "."
	}
	return s
}

// seenBy is what a ledge is known from: "3 watches, 2 reports". reports are among all.
func (w Words) seenBy(all, reports int) string {
	if all == reports {
		return w.T("count_reports", "n", reports)
	}
	return w.T("count_watches", "n", all-reports) + ", " + w.T("count_reports", "n", reports)
}

func factor(f float64) string { return fmt.Sprintf("%.1f", f) }
