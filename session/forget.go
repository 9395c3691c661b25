package session

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"ledgehand/session/catch"
	"ledgehand/session/notice"
	"ledgehand/session/outing"
	"ledgehand/session/trip"
	"ledgehand/session/watch"
)

// What we hold of one person, read from all records, and how it is taken out of them.

// eachAtOnce is how many records are read in one round trip.
const eachAtOnce = 100

// Each reads every record there is, decoded as Decode does: what one person may ask for lies in the shards of all crews they were
// ever met in. It reads as much as a Reconcile of all shards and changes nothing. What cannot be read, or not any more, is passed over
// and counted.
func (s *Service) Each(ctx context.Context, fn func(key string, record any)) (unread int, err error) {
	for shard := range Shard(Shards) {
		keys, err := s.store.Keys(ctx, shard, "")
		if err != nil {
			return unread, fmt.Errorf("list the records of shard %d: %w", shard, err)
		}
		slices.Sort(keys)
		n, err := s.some(ctx, shard, keys, fn)
		if unread += n; err != nil {
			return unread, err
		}
	}
	return unread, nil
}

// loadEach reads many records at once, or each by itself where one of them cannot be opened.
func (s *Service) loadEach(ctx context.Context, shard Shard, keys []string) ([]Record, error) {
	records, err := s.store.Load(ctx, shard, keys...)
	switch {
	case err == nil:
		return records, nil
	case errors.Is(err, ErrUnavailable), ctx.Err() != nil:
		return nil, fmt.Errorf("read the records of shard %d: %w", shard, err)
	case len(keys) == 1:
		return nil, nil
	}
	records = nil
	for _, key := range keys {
		one, err := s.loadEach(ctx, shard, []string{key})
		if err != nil {
			return nil, err
		}
		records = append(records, one...)
	}
	return records, nil
}

// NamesOf are all names by which records know a person: somebody who took another name is in older ones by the one before.
func (s *Service) NamesOf(ctx context.Context, id int64) (names []string, err error) {
	add := func(is bool, name string) {
		if is && name != "" && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	_, err = s.Each(ctx, func(_ string, record any) {
		switch v := record.(type) {
		case *Person:
			add(v.ID == id, v.Name)
			for _, h := range v.Holds {
				add(h.Of == id, h.Name)
			}
		case *Crew:
			m, in := v.Member(id)
			add(in, m.Name)
			for _, h := range v.Holders {
				add(h.ID == id, h.Name)
			}
			for _, i := range v.Invites {
				add(i.Of == id, i.Name)
			}
			for _, s := range v.Shares {
				add(s.Of == id, s.Name)
			}
			for _, l := range v.Ledges {
				for _, n := range l.Notes {
					add(n.By == id, n.Name)
				}
			}
		case *outing.Outing:
			for _, n := range v.NamesOf(id) {
				add(true, n)
			}
		case *watch.Watch:
			add(v.By == id, v.ByName)
		case *trip.Trip:
			add(v.By == id, v.ByName)
			for _, p := range v.Roster {
				add(p.ID == id, p.Name)
			}
			for _, n := range v.Notes {
				add(n.By == id, n.Name)
			}
		case *trip.Vote:
			add(v.By == id, v.ByName)
			for _, x := range v.Voters() {
				add(x.ID == id, x.Name)
			}
		case *catch.Day:
			for _, e := range v.Entries {
				add(e.WhoID == id, e.Who)
			}
		case *Rules:
			for _, h := range v.Home {
				add(h.Who == id, h.Name)
			}
		}
	})
	if err != nil {
		return nil, fmt.Errorf("look for somebody's names: %w", err)
	}
	return names, nil
}

// Forgotten is who is to be forgotten.
type Forgotten struct {
	ID     int64
	Called []string // by which names: NamesOf
	As     string   // what stands in a record instead of a name
	// Card puts the word for somebody in the place of a name of theirs on a ledge's card, which is not looked into here; nil leaves cards alone.
	Card func(card json.RawMessage, blank func(name *string) bool) (json.RawMessage, bool)
}

// Released are the plans that are held no more because somebody is forgotten.
type Released struct {
	Crew Crew
	Gave []Holder // of others, held by them: they gave these back
	Lost []Holder // of their own, held by others
}

// ErrNeeded means that somebody has a part in an outing that is open: what is known of them may save a life.
var ErrNeeded = errors.New("has a part in an open outing")

// Forget takes a person out of every record: each is a change of its own, so that a second delivery goes on where the first ended.
// What is theirs alone goes, what others share stays without them. tell says to whom it matters what of held plans ended, in the same
// change. All that is left then is the record of their private chat as a crew, for LeaveCrew. ErrNeeded, with nothing changed, while they
// have a part in an open outing anywhere.
func (s *Service) Forget(ctx context.Context, cause Cause, f Forgotten, tell func(tx *Tx, r Released)) error {
	var todo []string
	needed := false
	if _, err := s.Each(ctx, func(key string, v any) {
		if o, ok := v.(*outing.Outing); ok && !o.Closed() && o.Involves(f.ID) {
			needed = true
		}
		if key != personKey(f.ID) && key != crewKey(CrewOf(f.ID)) && f.concerns(key, v) {
			todo = append(todo, key)
		}
	}); err != nil {
		return fmt.Errorf("look for what is to be forgotten: %w", err)
	}
	if needed {
		return ErrNeeded
	}
	for _, key := range append(todo, personKey(f.ID)) {
		// Named after the record, for what is left to do is another list each time; by a sum, for it may hold their number.
		sum := sha256.Sum256([]byte(key))
		if err := s.forgetIn(ctx, cause.Then("forget/"+hex.EncodeToString(sum[:8])), key, f, tell); err != nil {
			return fmt.Errorf("forget somebody in a %s: %w", KindOf(key), err)
		}
	}
	return nil
}

// concerns says whether a record has anything of them.
func (f Forgotten) concerns(key string, v any) bool {
	if f.own(key) {
		return true
	}
	switch v := v.(type) {
	case *Crew:
		_, changed := f.crew(v)
		return changed
	case *Person:
		return slices.ContainsFunc(v.Holds, func(h Hold) bool { return h.Of == f.ID })
	case *outing.Outing:
		_, changed := v.Forget(f.ID, f.Called, f.As)
		return changed
	case *watch.Watch:
		return f.watch(v)
	case *trip.Trip:
		return f.trip(v)
	case *trip.Vote:
		return v.Forget(f.ID, f.As)
	case *catch.Day:
		return f.day(v)
	case *Rules:
		return f.rules(v)
	case *notice.Notice:
		_, changed := v.Forget(f.ID)
		return changed
	}
	return false
}

// own says whether a record is theirs alone: that of the person, and all of the crew that their private chat is.
func (f Forgotten) own(key string) bool {
	mine := CrewOf(f.ID)
	if key == personKey(f.ID) || key == crewKey(mine) {
		return true
	}
	_, crew, _, ok := splitKey(key)
	return ok && crew == mine
}

func (s *Service) forgetIn(ctx context.Context, cause Cause, key string, f Forgotten, tell func(tx *Tx, r Released)) error {
	kind, crew, id, ok := splitKey(key)
	shard := crew.Shard()
	switch {
	case ok:
	case KindOf(key) == "crew":
		kind, crew = "crew", CrewID(strings.TrimPrefix(key, "crew/"))
		shard = crew.Shard()
	default: // a person
		kind, id = "person", strings.TrimPrefix(key, "person/")
		var of int64
		if _, err := fmt.Sscan(id, &of); err != nil {
			return fmt.Errorf("read whose record it is: %w", err)
		}
		crew = CrewOf(of)
		shard = crew.Shard()
	}
	return s.do(ctx, cause, crew, shard, []string{key}, func(tx *Tx) error {
		if f.own(key) {
			if kind == "outing" {
				if o, found, err := tx.LoadOuting(id); err != nil || found && !o.Closed() {
					return err // gone out meanwhile: an alert may need it
				}
			}
			if kind != "person" {
				tx.look(key, time.Time{})
			}
			return tx.drop(key)
		}
		switch kind {
		case "crew":
			c, _, err := tx.LoadCrew()
			if err != nil {
				return err
			}
			r, changed := f.crew(&c)
			if !changed {
				return nil
			}
			tell(tx, r)
			return tx.PutCrew(c)
		case "person":
			var p Person
			if found, err := tx.load(key, &p); err != nil || !found {
				return err
			}
			p.Holds = slices.DeleteFunc(p.Holds, func(h Hold) bool { return h.Of == f.ID })
			return tx.PutPerson(p)
		case "outing":
			o, found, err := tx.LoadOuting(id)
			if err != nil || !found {
				return err
			}
			next, changed := o.Forget(f.ID, f.Called, f.As)
			if !changed {
				return nil
			}
			return tx.PutOuting(next)
		case "watch":
			w, found, err := tx.LoadWatch(id)
			if err != nil || !found || !f.watch(&w) {
				return err
			}
			if w.EndedAt.IsZero() {
				w.EndedAt = tx.Now()
			}
			return tx.PutWatch(w)
		case "trip":
			t, found, err := tx.LoadTrip(id)
			if err != nil || !found || !f.trip(&t) {
				return err
			}
			return tx.PutTrip(t)
		case "vote":
			v, found, err := tx.LoadVote(id)
			if err != nil || !found || !v.Forget(f.ID, f.As) {
				return err
			}
			return tx.PutVote(v)
		case "catch":
			d, err := tx.LoadDay(id)
			if err != nil || !f.day(&d) {
				return err
			}
			return tx.PutDay(d)
		case "rules":
			r, err := tx.LoadRules()
			if err != nil || !f.rules(&r) {
				return err
			}
			return tx.PutRules(r)
		case "notice":
			n, err := tx.LoadNotice(id)
			if err != nil {
				return err
			}
			next, changed := n.Forget(f.ID)
			if !changed {
				return nil
			}
			return tx.PutNotice(next)
		}
		return nil
	})
}

// LeaveCrew is the end of Forget, in a change of their private crew: its record goes.
func (tx *Tx) LeaveCrew(f Forgotten) (Released, error) {
	c, found, err := tx.LoadCrew()
	if err != nil || !found || tx.Crew != CrewOf(f.ID) {
		return Released{}, err
	}
	r, _ := f.crew(&c)
	return r, tx.drop(crewKey(tx.Crew))
}

// drop takes a record out of the store.
func (tx *Tx) drop(key string) error { return tx.put(key, dropped{}) }

// dropped stands for a record that is taken out.
type dropped struct{}

// crew takes them out of a crew's record.
func (f Forgotten) crew(c *Crew) (r Released, changed bool) {
	n := len(c.Members) + len(c.Holders) + len(c.Invites) + len(c.Pending) + len(c.Shares)
	c.Shares = slices.DeleteFunc(slices.Clone(c.Shares), func(s LedgeShare) bool { return s.Of == f.ID })
	for i := range c.Shares {
		if c.Shares[i].Taken == f.ID {
			c.Shares[i].Taken, changed = -1, true
		}
	}
	if c.Number != nil {
		x := *c.Number
		changed = f.blank(&x.By) || changed
		c.Number = &x
	}
	c.Members = slices.DeleteFunc(slices.Clone(c.Members), func(m Member) bool { return m.ID == f.ID })
	for _, h := range c.Holders {
		switch f.ID {
		case h.Of:
			r.Lost = append(r.Lost, h)
		case h.ID:
			r.Gave = append(r.Gave, h)
		}
	}
	c.Holders = slices.DeleteFunc(slices.Clone(c.Holders), func(h Holder) bool { return h.Of == f.ID || h.ID == f.ID })
	c.Invites = slices.DeleteFunc(slices.Clone(c.Invites), func(i Invite) bool { return i.Of == f.ID })
	for i := range c.Invites {
		if c.Invites[i].Taken == f.ID {
			c.Invites[i].Taken, changed = -1, true // used up, and nobody knows by whom
		}
	}
	id := fmt.Sprint(f.ID)
	c.Pending = slices.DeleteFunc(slices.Clone(c.Pending), func(p Pending) bool {
		for k, v := range p.Args {
			if slices.Contains(strings.Fields(v), id) || slices.Contains(f.Called, v) {
				return true
			}
			// A line that waits, as it was typed, may speak of them.
			if k == "line" && slices.ContainsFunc(f.Called, func(name string) bool {
				return strings.Contains(strings.ToLower(v), strings.ToLower(name)) && name != ""
			}) {
				return true
			}
		}
		return p.Who == f.ID || p.Chat == f.ID
	})
	changed = changed || len(c.Members)+len(c.Holders)+len(c.Invites)+len(c.Pending)+len(c.Shares) != n
	c.Ledges, c.Rules = slices.Clone(c.Ledges), slices.Clone(c.Rules)
	for i := range c.Ledges {
		l := &c.Ledges[i]
		changed = f.blank(&l.By) || changed
		changed = f.blank(&l.From) || changed
		changed = f.ledge(l) || changed
		l.Observed = slices.Clone(l.Observed)
		for j := range l.Observed {
			changed = f.blank(&l.Observed[j].By) || changed
		}
	}
	for i := range c.Rules {
		x := &c.Rules[i]
		if by := x.By; f.blank(&x.By) { // where no source was given, their word is it
			x.Source, changed = strings.ReplaceAll(x.Source, by, f.As), true
		}
	}
	r.Crew = *c
	return r, changed
}

// ledge takes what they wrote and sent of a ledge away.
func (f Forgotten) ledge(l *Ledge) (changed bool) {
	n := len(l.Notes)
	l.Notes = slices.DeleteFunc(slices.Clone(l.Notes), func(x LedgeNote) bool { return x.By == f.ID })
	if l.Photo != nil && l.Photo.By == f.ID {
		l.Photo, changed = nil, true
	}
	if f.Card != nil {
		if card, blanked := f.Card(l.Card, f.blank); blanked {
			l.Card, changed = card, true
		}
	}
	return changed || len(l.Notes) != n
}

// blank puts the word for somebody in the place of a name of theirs.
func (f Forgotten) blank(name *string) bool {
	if *name == f.As || !slices.Contains(f.Called, *name) {
		return false
	}
	*name = f.As
	return true
}

func (f Forgotten) watch(w *watch.Watch) bool {
	if w.By != f.ID {
		return false
	}
	w.By, w.ByName = 0, f.As
	if w.Chat == f.ID {
		w.Chat = 0
	}
	return true
}

func (f Forgotten) trip(t *trip.Trip) (changed bool) {
	n := len(t.Roster)
	t.Roster = slices.DeleteFunc(slices.Clone(t.Roster), func(p trip.Place) bool { return p.ID == f.ID })
	changed = len(t.Roster) != n
	t.Gear = slices.Clone(t.Gear)
	for i := range t.Gear {
		if t.Gear[i].By == f.ID { // nobody brings it now
			t.Gear[i].By, t.Gear[i].ByName, changed = 0, "", true
		}
	}
	if t.By == f.ID {
		t.By, t.ByName, changed = 0, f.As, true
	}
	changed = t.ForgetWords(f.ID) || changed
	if changed {
		t.Rev++
	}
	return changed
}

func (f Forgotten) day(d *catch.Day) (changed bool) {
	d.Entries = slices.Clone(d.Entries)
	for i := range d.Entries {
		e := &d.Entries[i]
		if e.WhoID == f.ID {
			e.WhoID, e.Who, changed = 0, f.As, true
		}
		if e.By == f.ID {
			e.By, changed = 0, true
		}
		if e.WhoID == 0 {
			changed = f.blank(&e.Who) || changed
		}
	}
	return changed
}
