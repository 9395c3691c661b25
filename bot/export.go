package bot

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/catch"
	"ledgehand/session/notice"
	"ledgehand/session/outing"
	"ledgehand/session/trip"
	"ledgehand/session/watch"
)

// Everything we hold about somebody, shown to them: from every record there is, and of others no more than their names.

// exportPiece is how much goes into one message, in characters of what is written, well under what a chat takes.
const exportPiece = 3000

// exported is one line of it, with what puts it in order.
type exported struct {
	part int // who they are, crews, plans, outings, trips, watches, catches
	at   time.Time
	text string
}

// export is /export. It goes out in pieces, each a message of its own: a long one must not be sent anew for its last line.
func (a *ask) export() error {
	if a.r.Place.Group {
		return a.say("private_only")
	}
	if ok, _ := a.scans.admit(a.r.From.ID, a.cause.ID, a.at(), 1); !ok && !a.Unbounded {
		return a.say("one_a_minute")
	}
	names, err := a.Session.NamesOf(a.ctx, a.r.From.ID)
	if err != nil {
		return err
	}
	var all []exported
	if err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		unread, err := a.Session.Each(a.ctx, func(_ string, record any) { all = append(all, a.exportOf(w, names, record)...) })
		if unread > 0 {
			a.Log.Warn("records cannot be read for an export", "n", unread)
		}
		return err
	}); err != nil {
		return err
	}
	slices.SortStableFunc(all, func(x, y exported) int { return cmp.Or(cmp.Compare(x.part, y.part), x.at.Compare(y.at)) })
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		pieces := []string{w.T("export_head", "who", a.name(), "at", w.Clock(tx.Now()), "day", w.Day(tx.Now()), "zone", w.ZoneName(tx.Now()))}
		if len(all) == 0 {
			pieces[0] += "\n" + w.T("export_nothing")
		}
		for _, e := range all {
			last := &pieces[len(pieces)-1]
			if utf8.RuneCountInString(*last)+utf8.RuneCountInString(e.text) > exportPiece {
				pieces = append(pieces, "")
				last = &pieces[len(pieces)-1]
			}
			*last = strings.TrimPrefix(*last+"\n"+e.text, "\n")
		}
		for i, p := range pieces {
			if len(pieces) > 1 {
				p += "\n" + w.T("export_piece", "i", i+1, "of", len(pieces))
			}
			a.reply(tx, p)
		}
		return nil
	})
}

// exportOf is what one record holds of them.
func (a *ask) exportOf(w wording.Words, names []string, record any) []exported {
	me := a.r.From.ID
	switch v := record.(type) {
	case *session.Person:
		if v.ID != me {
			return nil
		}
		out := []exported{{0, v.Seen, w.T("export_person", "who", v.Name, "id", fmt.Sprint(v.ID), "seen", w.Date(v.Seen), "n", len(v.Groups))}}
		for _, h := range v.Holds {
			out = append(out, exported{2, time.Time{}, w.T("export_holds", "who", h.Name)})
		}
		return out
	case *session.Crew:
		return a.exportCrew(w, names, v)
	case *outing.Outing:
		return a.exportOuting(w, v)
	case *trip.Trip:
		w = w.In(v.Zone)
		what := []string{}
		if i := slices.IndexFunc(v.Roster, func(p trip.Place) bool { return p.ID == me }); i >= 0 {
			what = append(what, w.T("export_answer", "answer", string(v.Roster[i].Answer), "seats", v.Roster[i].Seats))
		}
		for _, it := range v.Gear {
			if it.By == me {
				what = append(what, w.T("export_brings", "item", w.Item(it.Name)))
			}
		}
		what = append(what, a.exportPlan(w, v)...)
		if v.By == me {
			what = append(what, w.T("export_made_it"))
		}
		if len(what) == 0 {
			return nil
		}
		return []exported{{4, v.Start, w.T("export_trip", "day", w.Date(v.Start), "ledge", v.Ledge, "what", wording.HTML(strings.Join(what, ", ")))}}
	case *notice.Notice:
		if _, here := v.Forget(me); here {
			return []exported{{4, time.Time{}, w.T("export_calendar")}}
		}
	case *trip.Vote:
		return a.exportVote(w, v)
	case *watch.Watch:
		if v.By != me {
			return nil
		}
		w = w.In(v.Zone)
		return []exported{{5, v.StartedAt, w.T("export_watch", "day", w.Date(v.StartedAt), "at", w.Clock(v.StartedAt), "ledge", v.Ledge, "min", int(v.Watched(a.cause.Now).Minutes()), "n", len(v.Waves))}}
	case *catch.Day:
		var out []exported
		for _, e := range v.Entries {
			if e.By != me && e.WhoID != me {
				continue
			}
			fish := w.T("blank") + w.Effort(e)
			if !e.Blank {
				fish = fmt.Sprintf("%d %s", e.Count, wording.Escape(fishName(e)))
			}
			for _, l := range e.LengthsUM {
				fish += fmt.Sprintf(" %g cm", float64(l)/10_000)
			}
			if e.Measure != "" {
				fish += " " + e.Measure
			}
			for _, g := range e.WeightsG {
				fish += " " + w.Weighed(g)
			}
			if e.Kept != nil {
				fish += ", " + w.T("catch_kept", "n", *e.Kept)
			}
			if !e.Blank {
				fish += w.Effort(e)
			}
			if !e.Undone.IsZero() {
				fish += ", " + w.T("export_undone")
			}
			out = append(out, exported{6, e.At, w.T("export_catch", "day", v.Date, "who", e.Who, "fish", wording.HTML(fish), "ledge", orDash(e.Ledge))})
		}
		return out
	case *session.Rules:
		var out []exported
		for _, p := range v.Packs {
			if slices.Contains(names, p.By) {
				out = append(out, exported{1, p.At, w.T("export_pack", "id", p.ID, "day", w.Date(p.At))})
			}
		}
		for _, h := range v.Home {
			if h.Who == me {
				out = append(out, exported{6, h.At, w.T("export_freezer", "who", h.Name, "n", h.N, "fish", h.Named, "day", w.Date(h.At))})
			}
		}
		return out
	}
	return nil
}

func (a *ask) exportCrew(w wording.Words, names []string, c *session.Crew) (out []exported) {
	me := a.r.From.ID
	title := c.Title
	if title == "" {
		title = w.T("export_private_crew")
	}
	m, in := c.Member(me)
	if in {
		out = append(out, exported{1, c.Met, w.T("export_crew", "crew", title, "who", m.Name, "phone", orDash(m.Phone), "car", orDash(m.Car), "wears", orDash(m.Wears), "seen", w.Date(m.Seen))})
	}
	if m.Named {
		out = append(out, exported{1, c.Met, w.T("export_named", "crew", title)})
	}
	mine := func(by string) bool { return in && slices.Contains(names, by) }
	for _, l := range c.Ledges {
		seen := slices.ContainsFunc(l.Observed, func(o session.Observed) bool { return mine(o.By) })
		if !mine(l.By) && !seen && c.ID != session.CrewOf(me) {
			continue
		}
		place := w.T("unknown")
		if card, err := cardOf(l); err == nil && card.Exact != nil {
			place, _ = w.Position(card.Exact.Lat, card.Exact.Lon)
		}
		out = append(out, exported{1, l.At, w.T("export_ledge", "crew", title, "ledge", l.Name, "place", place, "day", w.Date(l.At))})
	}
	for _, l := range c.Ledges {
		for _, n := range l.Notes {
			if n.By == me {
				out = append(out, exported{1, n.At, w.T("export_note", "crew", title, "ledge", l.Name, "text", n.Text, "day", w.Date(n.At))})
			}
		}
		if l.Photo != nil && l.Photo.By == me {
			out = append(out, exported{1, l.Photo.At, w.T("export_photo", "crew", title, "ledge", l.Name, "day", w.Date(l.Photo.At))})
		}
	}
	for _, s := range c.Shares {
		if s.Of == me || s.Taken == me {
			out = append(out, exported{1, s.Made, w.T("export_share", "crew", title, "ledge", s.Ledge, "day", w.Date(s.Made))})
		}
	}
	if n := c.Number; n != nil && mine(n.By) {
		out = append(out, exported{1, n.At, w.T("export_number", "crew", title, "number", n.Number, "day", w.Date(n.At))})
	}
	for _, r := range c.Rules {
		if mine(r.By) {
			out = append(out, exported{1, r.Checked, w.T("export_rule", "crew", title, "fish", r.Named, "day", w.Date(r.Checked))})
		}
	}
	for _, h := range c.Holders {
		if h.Of == me {
			out = append(out, exported{2, h.Accepted, w.T("export_holder", "crew", title, "who", h.Name, "day", w.Date(h.Accepted))})
		}
	}
	for _, i := range c.Invites {
		if i.Of == me {
			out = append(out, exported{2, i.Made, w.T("export_link", "crew", title, "day", w.Date(i.Made))})
		}
	}
	for _, p := range c.Pending {
		if p.Who == me {
			out = append(out, exported{2, p.At, w.T("export_question", "crew", title, "day", w.Date(p.At), "at", w.Clock(p.At))})
		}
	}
	return out
}

func (a *ask) exportOuting(w wording.Words, o *outing.Outing) []exported {
	me := a.r.From.ID
	w = w.In(o.Zone)
	var part []string
	place := ""
	if m, in := o.Member(me); in {
		part = append(part, w.T("export_out", "phone", orDash(m.Phone), "off", clockOr(w, m.OffAt), "home", clockOr(w, m.HomeAt)))
		if s := o.Sheet; s.Lat != nil && s.Lon != nil {
			dec, _ := w.Position(*s.Lat, *s.Lon)
			if o.OpenedBy != me {
				s.Car, s.Wearing = "", "" // most likely another's
			}
			place = w.T("export_place", "place", dec, "car", orDash(s.Car), "wears", orDash(s.Wearing))
		}
	}
	if _, holds := o.Holder(me); holds {
		part = append(part, w.T("export_ashore"))
	}
	if o.Mate(me) {
		part = append(part, w.T("export_mate"))
	}
	for _, t := range o.Tries {
		if t.By == me {
			part = append(part, w.T("export_ack", "at", w.Clock(t.At)))
		}
	}
	for _, f := range o.Falls {
		if f.By == me {
			part = append(part, w.T("export_fell", "at", w.Clock(f.At)))
		}
	}
	if len(part) == 0 {
		return nil
	}
	return []exported{{3, o.OpenedAt, w.T("export_outing", "day", w.Date(o.OpenedAt), "at", w.Clock(o.OpenedAt), "ledge", o.Ledge, "who", w.People(*o), "by", w.When(o.BackBy, o.OpenedAt), "part", wording.HTML(strings.Join(part, ", ")), "place", wording.HTML(place))}}
}

func clockOr(w wording.Words, t time.Time) string {
	if t.IsZero() {
		return "–"
	}
	return w.Clock(t)
}
