package wording

import (
	"slices"
	"time"

	"ledgehand/session/outing"
)

// mostWho is how many parties one message tells of; the rest are counted. Who is late comes first.
const mostWho = 4

// Who says who is out, off by when, heard when, and who is late; and who is off the rocks already today. Names and ledges only.
// outings are those that are open and those that ended of late, in any order.
func (w Words) Who(outings []outing.Outing, now time.Time) string {
	var open []outing.Outing
	for _, o := range outings {
		if !o.Closed() {
			open = append(open, o)
		}
	}
	slices.SortFunc(open, func(x, y outing.Outing) int { return x.BackBy.Compare(y.BackBy) })
	var out []string
	for _, o := range open[:min(mostWho, len(open))] {
		out = append(out, w.whoOut(o, now))
	}
	if n := len(open) - mostWho; n > 0 {
		out = append(out, w.T("who_more", "n", n))
	}
	off := w.offToday(outings, now)
	if len(open) == 0 {
		none := w.T("who_nobody")
		if off != "" {
			none += " " + off
		}
		return none
	}
	return lines(append(out, off)...)
}

func (w Words) whoOut(o outing.Outing, now time.Time) string {
	w = w.in(o.Zone)
	still := o.StillOut()
	who := w.list(names(still))
	if len(still) == 1 {
		who = HTML(w.T("who_alone", "who", who))
	}
	id := "who_out"
	if !now.Before(o.BackBy) {
		id = "who_late"
	}
	l := w.T(id, "who", who, "ledge", o.Ledge, "by", w.When(o.BackBy, now), "ago", w.Ago(now.Sub(o.BackBy)))
	if h, ok := o.LastHeard(); ok {
		l += " " + w.T("who_heard", "who", h.Who, "ago", w.Ago(now.Sub(h.At)))
	}
	return l + w.fellNote(o, now)
}

// offToday lists who came off the rocks on this day, by the ledge's clock, each by the last time.
func (w Words) offToday(outings []outing.Outing, now time.Time) string {
	type off struct {
		name, said string
		at         time.Time
	}
	var all []off
	for _, o := range outings {
		z := w.in(o.Zone)
		if o.Cancelled {
			continue
		}
		for _, m := range o.People {
			if m.OffAt.IsZero() || z.Day(m.OffAt) != z.Day(now) {
				continue
			}
			x := off{m.Name, z.T("who_off_one", "who", m.Name, "ledge", o.Ledge, "at", z.Clock(m.OffAt)), m.OffAt}
			switch i := slices.IndexFunc(all, func(y off) bool { return y.name == m.Name }); {
			case i < 0:
				all = append(all, x)
			case x.at.After(all[i].at):
				all[i] = x
			}
		}
	}
	if len(all) == 0 {
		return ""
	}
	slices.SortFunc(all, func(x, y off) int { return x.at.Compare(y.at) })
	var said []string
	for _, x := range all {
		said = append(said, x.said)
	}
	return w.T("who_off", "who", w.join(said))
}
