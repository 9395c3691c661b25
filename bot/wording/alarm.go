package wording

import (
	"ledgehand/session/outing"
)

// Alarm says when who is told, by a crew's own times.
func (w Words) Alarm(l outing.Ladder) string {
	remind := w.T("alarm_no_reminder")
	if l.Remind > 0 {
		remind = w.T("alarm_remind", "in", w.Ago(l.Remind))
	}
	return lines(
		w.T("alarm", "mates", w.Ago(l.Party), "ashore", w.Ago(l.Contact), "repeat", w.Ago(l.Repeat)),
		w.T("alarm_sooner"), remind, w.T("alarm_set"))
}

// AlarmBounds says what may be set.
func (w Words) AlarmBounds() string {
	lo, hi := outing.LadderBounds.Least, outing.LadderBounds.Most
	return w.T("alarm_bounds",
		"m1", int(lo.Party.Minutes()), "m2", int(hi.Party.Minutes()), "a1", int(lo.Contact.Minutes()), "a2", int(hi.Contact.Minutes()),
		"r1", int(lo.Repeat.Minutes()), "r2", int(hi.Repeat.Minutes()), "n2", int(hi.Remind.Minutes()))
}
