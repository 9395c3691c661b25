package bot

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/lookout"
	"ledgehand/session/trip"
)

// Leaving. Whoever leaves a group keeps what is theirs: those who hold their plans, and an outing that is open, which is watched to its end.
// What the group held of them for its own sake goes. We ourselves put out of a group keep its things for a month, for whoever adds us
// again, and then remove them.

// memberLeft is somebody leaving the group, or being thrown out of it.
func (a *ask) memberLeft() error {
	id := a.r.Gone.ID
	crew := a.crew
	c, err := a.crewRecord(crew)
	if err != nil || id == 0 || !c.Group || c.Met.IsZero() {
		return err
	}
	p, err := a.person(id)
	if err != nil {
		return err
	}
	if _, in := c.Member(id); !in && !slices.Contains(p.Crews, crew) {
		return nil // whoever never spoke is not known
	}
	if err := a.keepHolders(c, id); err != nil {
		return err
	}
	out := false
	if err := a.doIn(crew, a.cause.Then("left"), func(tx *session.Tx, c session.Crew, w wording.Words) error {
		open, err := tx.OpenOutings()
		if err != nil {
			return err
		}
		out = false
		for _, o := range open {
			m, in := o.Member(id)
			out = out || in && m.OffAt.IsZero()
		}
		c.Members = slices.DeleteFunc(slices.Clone(c.Members), func(m session.Member) bool { return m.ID == id })
		c.Holders = slices.DeleteFunc(slices.Clone(c.Holders), func(h session.Holder) bool { return h.Of == id })
		c.Pending = slices.DeleteFunc(slices.Clone(c.Pending), func(q session.Pending) bool { return q.Who == id })
		c.Invites = slices.DeleteFunc(slices.Clone(c.Invites), func(i session.Invite) bool { return i.Of == id })
		c.Shares = slices.DeleteFunc(slices.Clone(c.Shares), func(s session.LedgeShare) bool { return s.Of == id })
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		trips, err := tx.OpenTrips()
		if err != nil {
			return err
		}
		for _, t := range trips {
			if !leavesTrip(&t, id) {
				continue
			}
			if err := tx.PutTrip(t); err != nil {
				return err
			}
			a.tripPanel(tx, c, t, false)
		}
		if out && p.Private {
			a.post(tx, "", session.Urgent, chat.Message{To: id, Text: wordsIn(c, p.Language).T("left_out", "crew", c.Title)})
		}
		return nil
	}); err != nil {
		return err
	}
	a.known.drop(id)
	return a.Session.DoPerson(a.ctx, a.cause.Then("leaves"), id, func(tx *session.Tx) error {
		p, _, err := tx.LoadPerson(id)
		if err != nil || !p.Leave(crew) {
			return err
		}
		return tx.PutPerson(p)
	})
}

// leavesTrip takes somebody's answer, and what they were to bring, out of a plan.
func leavesTrip(t *trip.Trip, id int64) (changed bool) {
	n := len(t.Roster)
	t.Roster = slices.DeleteFunc(slices.Clone(t.Roster), func(p trip.Place) bool { return p.ID == id })
	changed = len(t.Roster) != n
	t.Gear = slices.Clone(t.Gear)
	for i := range t.Gear {
		if t.Gear[i].By == id {
			t.Gear[i].By, t.Gear[i].ByName, changed = 0, "", true
		}
	}
	changed = t.ForgetWords(id) || changed // nobody walks in with them now
	if changed {
		t.Rev++
	}
	return changed
}

// keepHolders notes in somebody's own private crew who holds their plans, before the group forgets it: first there, then with those who
// hold them. A crash in between leaves them noted twice, which alarms nobody twice.
func (a *ask) keepHolders(c session.Crew, id int64) error {
	held := c.HoldersOf(id)
	own := session.CrewOf(id)
	if len(held) == 0 || own == c.ID {
		return nil
	}
	if err := a.Session.Do(a.ctx, a.cause.Then("keeps"), own, func(tx *session.Tx) error {
		mine, found, err := tx.LoadCrew()
		if err != nil {
			return err
		}
		if !found {
			mine.Chat, mine.Units, mine.Zone, mine.Language, mine.Met = id, c.Units, c.Zone, c.Language, tx.Now()
		}
		for _, h := range held {
			if !slices.ContainsFunc(mine.Holders, func(x session.Holder) bool { return x.Of == id && x.ID == h.ID }) {
				mine.Holders = append(slices.Clone(mine.Holders), h)
			}
		}
		return tx.PutCrew(mine)
	}); err != nil {
		return err
	}
	for _, h := range held {
		if h.Mail != "" {
			continue // they have no record of their own
		}
		if err := a.Session.DoPerson(a.ctx, a.cause.Then(fmt.Sprintf("holds/%d", h.ID)), h.ID, func(tx *session.Tx) error {
			p, found, err := tx.LoadPerson(h.ID)
			if err != nil || !found {
				return err
			}
			name := h.Name
			p.Holds = slices.Clone(p.Holds)
			has := false
			for _, x := range p.Holds {
				if x.Of == id {
					name, has = x.Name, has || x.Crew == own
				}
			}
			p.Holds = slices.DeleteFunc(p.Holds, func(x session.Hold) bool { return x.Crew == c.ID && x.Of == id })
			if !has {
				p.Holds = append(p.Holds, session.Hold{Crew: own, Of: id, Name: name})
			}
			return tx.PutPerson(p)
		}); err != nil {
			return err
		}
	}
	return nil
}

// goneAtOnce is how many records of a crew are removed in one change.
const goneAtOnce = 60

// clearGone removes the things of a crew whose group put us out a month ago. What somebody's life may hang on stays: it is looked again
// when that is over. A group that only muted us has us still, and keeps its things; so does one of which the chat service tells nothing now.
func (a *ask) clearGone() error {
	c, err := a.crewRecord(a.crew)
	if err != nil {
		return err
	}
	again := time.Time{}
	if due := c.Gone.Add(session.GoneKept); !c.Gone.IsZero() && a.cause.Now.Before(due) {
		again = due
	} else if !c.Gone.IsZero() {
		ctx, cancel := context.WithTimeout(a.ctx, patience)
		_, err := a.Sender.Admins(ctx, c.Chat)
		cancel()
		switch {
		case err == nil:
			again = a.cause.Now.Add(aDay)
		case !errors.Is(err, chat.ErrNotIn):
			again = a.cause.Now.Add(time.Hour)
		}
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		l, found, err := tx.LoadLookout(lookout.Lookout{Kind: lookout.Gone, Of: goneOf}.ID())
		if err != nil || !found {
			return err
		}
		if c.Gone.IsZero() {
			return tx.PutLookout(l.Ended())
		}
		if !again.IsZero() {
			return tx.PutLookout(l.Again(again))
		}
		open, err := tx.OpenOutings()
		if err != nil {
			return err
		}
		if len(open) > 0 {
			return tx.PutLookout(l.Again(tx.Now().Add(aDay)))
		}
		more, err := tx.ClearCrew(goneAtOnce, session.LookoutKey(tx.Crew, l.ID()))
		if err != nil {
			return err
		}
		if more {
			return tx.PutLookout(l.Again(tx.Now().Add(time.Second)))
		}
		return tx.DropLookout(l)
	})
}

// goneOf is what such a look is of: the crew itself.
const goneOf = "crew"

// everywhere are the crews in which an outing of somebody may be open: theirs, and those they left.
func everywhere(p session.Person) []session.CrewID {
	return append(slices.Clone(crewsOf(p)), p.Left...)
}
