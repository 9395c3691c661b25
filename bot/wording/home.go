package wording

import (
	"strings"
	"time"

	"ledgehand/session/outing"
)

// The way home: who is off the rocks and not home yet.

// HomeAsk asks them.
func (w Words) HomeAsk(o outing.Outing, missing []outing.Member) string {
	w = w.in(o.Zone)
	return w.T("home_ask", "who", w.list(names(missing)), "by", w.Clock(o.HomeBy))
}

// HomeLate tells others, with what can be done about it: a road is searched by ringing and by the police, not at the ledge.
func (w Words) HomeLate(o outing.Outing, missing []outing.Member, now time.Time) string {
	w = w.in(o.Zone)
	var ring []string
	for _, m := range missing {
		phone := w.T("no_phone")
		if m.Phone != "" {
			phone = escape(m.Phone)
		}
		ring = append(ring, w.T("ring_one", "who", m.Name, "phone", HTML(phone)))
	}
	return lines(
		w.T("home_late", "n", len(missing), "who", w.list(names(missing)), "ledge", o.Ledge, "off", w.When(o.ClosedAt, now), "by", w.When(o.HomeBy, now), "at", w.Clock(now)),
		w.T("home_late_do", "whom", HTML(strings.Join(ring, ", ")), "number", w.number(o)))
}

// HomeSubject is HomeLate in the subject of a mail.
func (w Words) HomeSubject(o outing.Outing, missing []outing.Member) string {
	w = w.in(o.Zone)
	return Plain(w.T("mail_s_home", "who", w.list(names(missing)), "by", w.Clock(o.HomeBy)))
}

// homeBy says when they will be home, where they said so.
func (w Words) homeBy(o outing.Outing, now time.Time) string {
	if o.HomeBy.IsZero() {
		return ""
	}
	return w.T("home_by", "at", w.When(o.HomeBy, now))
}
