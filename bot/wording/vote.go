package wording

import (
	"fmt"
	"strings"
	"time"

	"ledgehand/session/trip"
)

// Vote is the one panel of a vote: each option with who could come and what the forecast says, in the order asked, never ranked.
// which asks which of them becomes the plan.
func (w Words) Vote(v trip.Vote, which bool, now time.Time) string {
	if !v.Closed.IsZero() {
		o, taken := v.Taken()
		if !taken {
			return w.T("vote_dropped")
		}
		w = w.in(o.Zone)
		return w.T("vote_taken", "day", w.Day(o.Start), "ledge", o.Ledge, "span", w.acrossDays(o.Start, o.End))
	}
	head, foot := w.T("vote_head"), w.T("vote_do")
	if which {
		head, foot = w.T("vote_which"), ""
	}
	out := []string{head}
	for i, o := range v.Options {
		out = append(out, w.option(i, o, now))
	}
	if len(v.None) > 0 {
		out = append(out, w.T("vote_none", "who", w.voters(v.None)))
	}
	if v.PlanB != "" {
		foot = strings.TrimSpace(w.T("vote_foot", "ledge", w.PlanB(v.PlanB)) + foot)
	}
	return lines(append(out, foot)...)
}

func (w Words) option(i int, o trip.Option, now time.Time) string {
	w = w.in(o.Zone)
	if !o.Start.After(now) {
		return w.T("vote_option_past", "no", i+1, "day", w.Day(o.Start), "ledge", o.Ledge, "span", w.acrossDays(o.Start, o.End))
	}
	who := w.T("vote_for_nobody")
	if n := len(o.For); n > 0 {
		who = w.T("vote_for", "n", n, "who", w.voters(o.For))
	}
	return w.T("vote_option", "no", i+1, "day", w.Day(o.Start), "ledge", o.Ledge, "span", w.acrossDays(o.Start, o.End), "for", HTML(who), "sea", HTML(w.optionSea(o.Sea, now)))
}

// optionSea is a forecast in a few words, with its age. What cannot be told is followed by what to make of it.
func (w Words) optionSea(s trip.Sea, now time.Time) string {
	switch {
	case s.At.IsZero():
		return w.T("vote_sea_unknown")
	case s.Hs == 0:
		return w.T("vote_sea_verdict", "verdict", HTML(w.Verdict(s.Verdict)), "ago", w.Ago(now.Sub(s.At)))
	}
	return w.T("vote_sea", "verdict", HTML(w.Verdict(s.Verdict)), "hs", w.Height(s.Hs), "period", int(s.Period+0.5), "ago", w.Ago(now.Sub(s.At)))
}

func (w Words) voters(vs []trip.Voter) HTML {
	ps := make([]trip.Place, len(vs))
	for i, v := range vs {
		ps[i] = trip.Place{ID: v.ID, Name: v.Name}
	}
	return w.some(ps)
}

// OptionLabel is an option on a button: day, hour and ledge, so that it can be told from the others without the text.
func (w Words) OptionLabel(i int, o trip.Option) string {
	w = w.in(o.Zone)
	return fmt.Sprintf("%d. %s %s %s", i+1, w.Day(o.Start), w.Clock(o.Start), Clean(o.Ledge, 20))
}
