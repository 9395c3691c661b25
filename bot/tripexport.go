package bot

import (
	"slices"
	"strings"
	"time"

	"ledgehand/bot/wording"
	"ledgehand/session/trip"
)

// What a plan and a vote hold of whoever asks for it.

// exportPlan is what somebody said beside their answer, and what they wrote.
func (a *ask) exportPlan(w wording.Words, t *trip.Trip) (what []string) {
	me := a.r.From.ID
	for _, p := range t.Roster {
		if p.ID == me && p.First {
			what = append(what, w.T("export_first"))
		}
		if p.ID == me && p.Drives && p.Seats == 0 {
			what = append(what, w.T("export_drives"))
		}
		if p.WalkBy == me {
			what = append(what, w.T("export_walks"))
		}
	}
	for _, n := range t.Notes {
		if n.By == me {
			what = append(what, w.T("export_plan_note", "at", w.Date(n.At)+" "+w.Clock(n.At), "text", n.Text))
		}
	}
	return what
}

// exportVote is what somebody could, one line an option.
func (a *ask) exportVote(w wording.Words, v *trip.Vote) (out []exported) {
	mine := func(x trip.Voter) bool { return x.ID == a.r.From.ID }
	for _, o := range v.Options {
		if slices.ContainsFunc(o.For, mine) {
			w := w.In(o.Zone)
			out = append(out, exported{4, o.Start, w.T("export_vote", "day", w.Date(o.Start), "ledge", o.Ledge)})
		}
	}
	var also []string
	if slices.ContainsFunc(v.None, mine) {
		also = append(also, w.T("export_vote_none"))
	}
	if v.By == a.r.From.ID {
		also = append(also, w.T("export_made_it"))
	}
	if len(also) > 0 {
		out = append(out, exported{4, v.MadeAt.Truncate(time.Second), w.T("export_vote_of", "day", w.Date(v.MadeAt), "what", wording.HTML(strings.Join(also, ", ")))})
	}
	return out
}
