package wording

import (
	"fmt"
	"strings"
	"time"

	"ledgehand/session/after"
)

// After are the two questions to those who were on a ledge and are asked in a chat, with what they answered so far.
func (w Words) After(r after.Report, chat int64) string {
	var names []string
	var said []string
	for _, p := range r.People {
		if p.Chat != chat && (p.Chat > 0 || chat > 0) { // a group has one id today and another tomorrow
			continue
		}
		names = append(names, p.Name)
		if p.Water == "" && p.Wet == "" {
			continue
		}
		var what []string
		if p.Water != "" {
			what = append(what, w.T("after_water_"+string(p.Water)))
		}
		if p.Wet != "" {
			what = append(what, w.T("after_wet_"+string(p.Wet)))
		}
		said = append(said, w.T("after_said", "who", p.Name, "what", HTML(strings.Join(what, ", "))))
	}
	head := w.T("after_head", "ledge", r.Ledge, "day", w.Day(r.From))
	if len(names) > 1 || chat < 0 {
		head = w.T("after_head_named", "who", w.list(names), "ledge", r.Ledge, "day", w.Day(r.From))
	}
	out := append([]string{head, w.T("after_questions")}, said...)
	if len(said) > 0 {
		out = append(out, w.T("after_change"))
	}
	return lines(out...)
}

// NearMiss is one near miss, in one line.
func (w Words) NearMiss(at time.Time, text string) string {
	l := at.In(w.Zone)
	return w.T("near_miss", "day", fmt.Sprintf("%d %s", l.Day(), w.T("mo"+fmt.Sprint(int(l.Month())))), "text", text)
}
