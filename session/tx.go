package session

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"ledgehand/session/after"
	"ledgehand/session/catch"
	"ledgehand/session/lookout"
	"ledgehand/session/outing"
	"ledgehand/session/trip"
	"ledgehand/session/watch"
)

// Service is the one way to change what is stored.
type Service struct {
	store Store
	fence func(Shard) Fence
}

// New makes a Service. fence gives the number under which this replica serves a shard.
func New(store Store, fence func(Shard) Fence) *Service {
	return &Service{store: store, fence: fence}
}

// Cause is what a change is the effect of.
type Cause struct {
	ID     string    // unique for what happened: a second commit under it changes nothing
	Now    time.Time // the instant at which the effect is decided
	Letter string    // Seq of the inbox letter it settles, "" for none
	Shard  Shard     // shard of that letter

	swept bool // the sweep's own look
}

// Then names a further change of the same cause, in another shard or after the first.
func (c Cause) Then(step string) Cause {
	c.ID += "/" + step
	c.Letter = ""
	return c
}

// Tx is one change being decided: what was read, what will be written, what will be said.
// It is for one goroutine and one cause.
type Tx struct {
	Crew  CrewID
	Cause Cause
	ctx   context.Context
	store Records
	shard Shard

	read   map[string]Record
	write  map[string]any
	order  []string
	due    []DueItem
	post   []Entry
	cancel []string
	notes  []Letter
}

// Now is the instant at which this change is decided.
func (tx *Tx) Now() time.Time { return tx.Cause.Now }

// tries is how often a change is decided anew when another got in between. One worker serves a shard, so
// more than one conflict in a row means a sweep and a message meeting on the same record.
const tries = 8

// Do decides and commits one change of a crew. fn may run more than once and must have no effect but
// through tx. A cause that was committed before is no error: its effect stands and fn is not run.
func (s *Service) Do(ctx context.Context, cause Cause, crew CrewID, fn func(*Tx) error) error {
	return s.do(ctx, cause, crew, crew.Shard(), []string{crewKey(crew)}, fn)
}

// DoPerson is Do for the record of one person, which lives in the shard of their private chat.
func (s *Service) DoPerson(ctx context.Context, cause Cause, id int64, fn func(*Tx) error) error {
	c := CrewOf(id)
	return s.do(ctx, cause, c, c.Shard(), []string{personKey(id)}, fn)
}

// do is Do in a named shard. ahead are the records that fn reads in all likelihood: they come along with the question whether the
// cause was done.
func (s *Service) do(ctx context.Context, cause Cause, crew CrewID, shard Shard, ahead []string, fn func(*Tx) error) error {
	if s.fence(shard) == Guest && (cause.swept || cause.Letter != "" && cause.Shard == shard) {
		return fmt.Errorf("commit %q: %w", cause.ID, ErrFenced) // its deadlines and letters are its server's business
	}
	done, records, err := s.store.Begin(ctx, shard, cause.ID, ahead...)
	if err != nil && !errors.Is(err, ErrUnavailable) && ctx.Err() == nil { // a record that fn may never ask for must not stop it
		done, err = s.store.Done(ctx, shard, cause.ID)
	}
	if err != nil {
		return fmt.Errorf("ask whether %q was done: %w", cause.ID, err)
	}
	if done {
		return s.settled(ctx, cause)
	}
	for range tries {
		tx := s.tx(ctx, cause, crew, shard, records...)
		records = nil // decided anew, it is read anew
		if err := fn(tx); err != nil {
			return err
		}
		ch, err := tx.change()
		if err != nil {
			return err
		}
		if cause.Shard == shard {
			ch.Letter = cause.Letter
		}
		switch err := s.store.Commit(ctx, shard, s.fence(shard), ch); {
		case err == nil:
			return nil
		case errors.Is(err, ErrDone):
			return s.settled(ctx, cause)
		case errors.Is(err, ErrConflict):
			continue
		default:
			return fmt.Errorf("commit %q: %w", cause.ID, err)
		}
	}
	return fmt.Errorf("commit %q: %w, %d times over", cause.ID, ErrConflict, tries)
}

// tx begins a change with records that were read already.
func (s *Service) tx(ctx context.Context, cause Cause, crew CrewID, shard Shard, records ...Record) *Tx {
	tx := &Tx{Crew: crew, Cause: cause, ctx: ctx, store: s.store, shard: shard, read: make(map[string]Record, len(records)+1), write: map[string]any{}}
	for _, r := range records {
		tx.read[r.Key] = r
	}
	return tx
}

// settled drops the letter of a cause that had its effect before.
func (s *Service) settled(ctx context.Context, cause Cause) error {
	if cause.Letter == "" {
		return nil
	}
	if err := s.store.Discard(ctx, cause.Shard, s.fence(cause.Shard), cause.Letter); err != nil {
		return fmt.Errorf("drop the letter of %q: %w", cause.ID, err)
	}
	return nil
}

// View reads without changing anything; what fn writes or says is thrown away.
func (s *Service) View(ctx context.Context, crew CrewID, now time.Time, fn func(*Tx) error) error {
	return fn(s.tx(ctx, Cause{ID: "view", Now: now}, crew, crew.Shard()))
}

func (tx *Tx) change() (Change, error) {
	ch := Change{Cause: tx.Cause.ID, Now: tx.Cause.Now, Due: tx.due, Post: tx.post, Cancel: tx.cancel, Notes: tx.notes}
	for _, key := range tx.order {
		if _, gone := tx.write[key].(dropped); gone {
			if tx.read[key].Version != 0 {
				ch.Writes = append(ch.Writes, Record{Key: key, Version: tx.read[key].Version})
			}
			continue
		}
		body, err := json.Marshal(tx.write[key])
		if err != nil {
			return Change{}, fmt.Errorf("encode %s: %w", key, err)
		}
		if string(body) == string(tx.read[key].Body) {
			continue
		}
		ch.Writes = append(ch.Writes, Record{Key: key, Version: tx.read[key].Version, Body: body})
	}
	for _, d := range tx.due {
		// A look was worked out from a record. If that changed meanwhile, another look belongs to it, and ours would overwrite it.
		r, read := tx.read[d.Item]
		if read && !slices.ContainsFunc(ch.Writes, func(w Record) bool { return w.Key == d.Item }) {
			ch.Same = append(ch.Same, Record{Key: d.Item, Version: r.Version})
		}
	}
	return ch, nil
}

// load reads a record into out, or what was put in this change; found is false when there is none.
func (tx *Tx) load(key string, out any) (found bool, err error) {
	if v, ok := tx.write[key]; ok { // read your own writes
		if _, gone := v.(dropped); gone {
			return false, nil
		}
		body, err := json.Marshal(v)
		if err != nil {
			return false, fmt.Errorf("encode %s: %w", key, err)
		}
		return true, json.Unmarshal(body, out)
	}
	rec, ok := tx.read[key]
	if !ok {
		recs, err := tx.store.Load(tx.ctx, tx.shard, key)
		if err != nil {
			return false, fmt.Errorf("load %s: %w", key, err)
		}
		rec = recs[0]
		tx.read[key] = rec
	}
	if rec.Version == 0 {
		return false, nil
	}
	if err := json.Unmarshal(rec.Body, out); err != nil {
		return false, fmt.Errorf("decode %s: %w", key, err)
	}
	return true, nil
}

// put writes a record at commit. A record that was never read is read first, so that the commit can
// tell whether somebody else wrote it.
func (tx *Tx) put(key string, v any) error {
	if _, ok := tx.read[key]; !ok {
		recs, err := tx.store.Load(tx.ctx, tx.shard, key)
		if err != nil {
			return fmt.Errorf("load %s: %w", key, err)
		}
		tx.read[key] = recs[0]
	}
	if !slices.Contains(tx.order, key) {
		tx.order = append(tx.order, key)
	}
	tx.write[key] = v
	return nil
}

// Say queues a message. The same id in the same shard names the same message: a later one replaces it while it waits.
func (tx *Tx) Say(e Entry) {
	e.Made = tx.Cause.Now
	if e.At.IsZero() {
		e.At = tx.Cause.Now
	}
	if e.ID == "" {
		e.ID = fmt.Sprintf("%s.%d", tx.Cause.ID, len(tx.post))
	}
	tx.post = append(tx.post, e)
}

// Unsay calls queued messages back; those already sent stay sent.
func (tx *Tx) Unsay(ids ...string) { tx.cancel = append(tx.cancel, ids...) }

// sendOn puts a letter of our own into the shard's inbox, once per id: work that must not be done inside a change.
func (tx *Tx) sendOn(id string, v any) error {
	body, err := json.Marshal(v)
	if err != nil {
		return fmt.Errorf("encode letter %s: %w", id, err)
	}
	tx.notes = append(tx.notes, Letter{ID: id, Got: tx.Cause.Now, Body: body})
	return nil
}

// look sets when a record is next looked at, or takes it out of the index. What an event leaves overdue is due at
// once; after a look of the sweep itself a minute must pass, so that one item can never keep it busy.
func (tx *Tx) look(key string, at time.Time) {
	if !at.IsZero() && !at.After(tx.Cause.Now) && tx.Cause.swept {
		at = tx.Cause.Now.Add(time.Minute)
	}
	tx.due = slices.DeleteFunc(tx.due, func(d DueItem) bool { return d.Item == key })
	tx.due = append(tx.due, DueItem{Item: key, At: whole(at)})
}

// whole rounds an instant up to the store's milliseconds. Cut off instead, an item would come due a moment before
// its record has anything to do.
func whole(at time.Time) time.Time {
	if ms := at.Truncate(time.Millisecond); ms.Before(at) {
		return ms.Add(time.Millisecond)
	}
	return at
}

// Record keys. A crew's records share its shard, and ids are unique per shard.
func crewKey(c CrewID) string              { return "crew/" + string(c) }
func personKey(id int64) string            { return fmt.Sprintf("person/%d", id) }
func outingKey(c CrewID, id string) string { return "outing/" + string(c) + "/" + id }
func watchKey(c CrewID, id string) string  { return "watch/" + string(c) + "/" + id }
func tripKey(c CrewID, id string) string   { return "trip/" + string(c) + "/" + id }
func dayKey(c CrewID, date string) string  { return "catch/" + string(c) + "/" + date }
func lookoutKey(c CrewID, id string) string {
	return "lookout/" + string(c) + "/" + id
}
func afterKey(c CrewID, id string) string { return "after/" + string(c) + "/" + id }
func movedKey(c CrewID) string            { return "moved/" + string(c) }

// LoadCrew reads the crew; found is false when it was never met.
func (tx *Tx) LoadCrew() (c Crew, found bool, err error) {
	found, err = tx.load(crewKey(tx.Crew), &c)
	if !found {
		c = Crew{ID: tx.Crew}
	}
	return c, found, err
}

// PutCrew writes the crew.
func (tx *Tx) PutCrew(c Crew) error {
	c.V = crewVersion
	return tx.put(crewKey(tx.Crew), c)
}

// LoadPerson reads somebody's own record; only in DoPerson.
func (tx *Tx) LoadPerson(id int64) (p Person, found bool, err error) {
	found, err = tx.load(personKey(id), &p)
	if !found {
		p = Person{ID: id}
	}
	return p, found, err
}

// PutPerson writes it.
func (tx *Tx) PutPerson(p Person) error {
	p.V = 1
	return tx.put(personKey(p.ID), p)
}

// LoadOuting reads an outing of this crew.
func (tx *Tx) LoadOuting(id string) (o outing.Outing, found bool, err error) {
	found, err = tx.load(outingKey(tx.Crew, id), &o)
	return o, found, err
}

// PutOuting writes an outing, sets its next look (I4) and keeps the crew's list of open ones.
func (tx *Tx) PutOuting(o outing.Outing) error {
	key := outingKey(tx.Crew, o.ID)
	if err := tx.put(key, o); err != nil {
		return err
	}
	tx.look(key, o.NextLook())
	return tx.list(func(c *Crew) *[]string { return &c.Outings }, o.ID, !o.Closed())
}

// LoadWatch reads a watch of this crew.
func (tx *Tx) LoadWatch(id string) (w watch.Watch, found bool, err error) {
	found, err = tx.load(watchKey(tx.Crew, id), &w)
	return w, found, err
}

// PutWatch writes a watch and sets its next look.
func (tx *Tx) PutWatch(w watch.Watch) error {
	key := watchKey(tx.Crew, w.ID)
	if err := tx.put(key, w); err != nil {
		return err
	}
	tx.look(key, w.NextLook())
	return tx.list(func(c *Crew) *[]string { return &c.Watches }, w.ID, w.EndedAt.IsZero())
}

// LoadTrip reads a trip of this crew.
func (tx *Tx) LoadTrip(id string) (t trip.Trip, found bool, err error) {
	found, err = tx.load(tripKey(tx.Crew, id), &t)
	return t, found, err
}

// PutTrip writes a trip and keeps the crew's list of those not called off and not over.
func (tx *Tx) PutTrip(t trip.Trip) error {
	if err := tx.put(tripKey(tx.Crew, t.ID), t); err != nil {
		return err
	}
	return tx.list(func(c *Crew) *[]string { return &c.Trips }, t.ID, t.CalledOff.IsZero() && tx.Now().Before(t.End))
}

// LoadLookout reads the standing order to look again for a trip or an outing of this crew.
func (tx *Tx) LoadLookout(id string) (l lookout.Lookout, found bool, err error) {
	found, err = tx.load(lookoutKey(tx.Crew, id), &l)
	return l, found, err
}

// PutLookout writes it and sets its next look.
func (tx *Tx) PutLookout(l lookout.Lookout) error {
	key := lookoutKey(tx.Crew, l.ID())
	if err := tx.put(key, l); err != nil {
		return err
	}
	tx.look(key, l.NextLook())
	return nil
}

// LoadAfter reads what those of an outing of this crew say of their day.
func (tx *Tx) LoadAfter(id string) (r after.Report, found bool, err error) {
	found, err = tx.load(afterKey(tx.Crew, id), &r)
	return r, found, err
}

// PutAfter writes it.
func (tx *Tx) PutAfter(r after.Report) error {
	r.V = after.Version
	return tx.put(afterKey(tx.Crew, r.ID), r)
}

// LoadDay reads what was caught on a day (YYYY-MM-DD in the crew's zone).
func (tx *Tx) LoadDay(date string) (d catch.Day, err error) {
	found, err := tx.load(dayKey(tx.Crew, date), &d)
	if !found {
		d = catch.Day{V: catch.Version, Crew: string(tx.Crew), Date: date}
	}
	return d, err
}

// LoadDays reads all days from one to another, in one round trip; days without a catch are left out.
func (tx *Tx) LoadDays(from, to string) (out []catch.Day, err error) {
	first, err := time.Parse(time.DateOnly, from)
	if err != nil {
		return nil, fmt.Errorf("read the first day: %w", err)
	}
	last, err := time.Parse(time.DateOnly, to)
	if err != nil {
		return nil, fmt.Errorf("read the last day: %w", err)
	}
	var unread []string
	for d := first; !d.After(last) && len(unread) < mostDays; d = d.AddDate(0, 0, 1) {
		if key := dayKey(tx.Crew, d.Format(time.DateOnly)); tx.read[key].Key == "" {
			unread = append(unread, key)
		}
	}
	if len(unread) > 0 {
		records, err := tx.store.Load(tx.ctx, tx.shard, unread...)
		if err != nil {
			return nil, fmt.Errorf("load days of catches: %w", err)
		}
		for _, r := range records {
			tx.read[r.Key] = r
		}
	}
	for d := first; !d.After(last); d = d.AddDate(0, 0, 1) {
		day, err := tx.LoadDay(d.Format(time.DateOnly))
		if err != nil {
			return nil, err
		}
		if len(day.Entries) > 0 {
			out = append(out, day)
		}
	}
	return out, nil
}

// mostDays bounds what is read at once: a year with a day on either side.
const mostDays = 370

// PutDay writes it.
func (tx *Tx) PutDay(d catch.Day) error { return tx.put(dayKey(tx.Crew, d.Date), d) }

func (tx *Tx) list(of func(*Crew) *[]string, id string, open bool) error {
	c, _, err := tx.LoadCrew()
	if err != nil {
		return err
	}
	ids := of(&c)
	has := slices.Contains(*ids, id)
	switch {
	case open && !has:
		*ids = append(slices.Clone(*ids), id)
	case !open && has:
		*ids = slices.DeleteFunc(slices.Clone(*ids), func(x string) bool { return x == id })
	default:
		return nil
	}
	return tx.PutCrew(c)
}

// OpenOutings reads all outings that are still open, oldest first.
func (tx *Tx) OpenOutings() ([]outing.Outing, error) {
	c, _, err := tx.LoadCrew()
	if err != nil {
		return nil, err
	}
	var out []outing.Outing
	for _, id := range c.Outings {
		o, found, err := tx.LoadOuting(id)
		if err != nil {
			return nil, err
		}
		if found && !o.Closed() {
			out = append(out, o)
		}
	}
	return out, nil
}

// RunningWatches reads the watches still running, oldest first.
func (tx *Tx) RunningWatches() ([]watch.Watch, error) {
	c, _, err := tx.LoadCrew()
	if err != nil {
		return nil, err
	}
	var out []watch.Watch
	for _, id := range c.Watches {
		w, found, err := tx.LoadWatch(id)
		if err != nil {
			return nil, err
		}
		if found && w.EndedAt.IsZero() {
			out = append(out, w)
		}
	}
	return out, nil
}

// OpenTrips reads the plans that stand, oldest first.
func (tx *Tx) OpenTrips() ([]trip.Trip, error) {
	c, _, err := tx.LoadCrew()
	if err != nil {
		return nil, err
	}
	var out []trip.Trip
	for _, id := range c.Trips {
		t, found, err := tx.LoadTrip(id)
		if err != nil {
			return nil, err
		}
		if found && t.CalledOff.IsZero() && tx.Now().Before(t.End) {
			out = append(out, t)
		}
	}
	return out, nil
}
