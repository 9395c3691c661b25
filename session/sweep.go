package session

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"ledgehand/session/lookout"
	"ledgehand/session/outing"
	"ledgehand/session/watch"
)

// Herald puts what has become due into words. It has no effect but through tx.
type Herald interface {
	OutingDue(tx *Tx, o outing.Outing, effects []outing.Effect) error
	WatchDue(tx *Tx, w watch.Watch, effects []watch.Effect) error
	// InvitesOver is for invitations by mail that nobody took up; they are deleted.
	InvitesOver(tx *Tx, of int64, over []MailInvite) error
}

// hold is how long a claimed item stays away from other sweeps. If we die meanwhile it comes back then: late, not lost.
const hold = 30 * time.Second

// atOnce bounds one claim, so that no script runs long.
const atOnce = 100

// Sweep looks at everything of a shard that is due by now and commits what follows. It returns how many
// items it looked at. An item that fails stays in the index and is looked at again; the others go on.
func (s *Service) Sweep(ctx context.Context, shard Shard, now time.Time, herald Herald) (int, error) {
	looked := 0
	var errs []error
	for {
		items, err := s.store.ClaimDue(ctx, shard, s.fence(shard), now, hold, atOnce)
		if err != nil {
			return looked, errors.Join(append(errs, fmt.Errorf("claim due items of shard %d: %w", shard, err))...)
		}
		looked += len(items)
		errs = append(errs, s.lookAtAll(ctx, shard, items, now, herald)...)
		if len(items) < atOnce {
			return looked, errors.Join(errs...)
		}
	}
}

// lookAtAll looks at claimed items in three round trips however many they are: what they need is read, each is decided by itself, all
// is committed. Each stays a change of its own under its own cause. One that is not committed so is looked at alone: a message came in
// between, its record cannot be read together with the others, or it had its look before.
func (s *Service) lookAtAll(ctx context.Context, shard Shard, items []DueItem, now time.Time, herald Herald) (errs []error) {
	fence := s.fence(shard)
	if len(items) < 2 || fence == Guest {
		return s.lookAtEach(ctx, shard, items, now, herald)
	}
	var keys []string
	for _, it := range items {
		keys = append(keys, ahead(it)...)
	}
	slices.Sort(keys)
	read, err := s.store.Load(ctx, shard, slices.Compact(keys)...)
	switch {
	case errors.Is(err, ErrUnavailable):
		return []error{fmt.Errorf("read %d due items: %w", len(items), err)} // they come again when their hold ends
	case err != nil:
		return s.lookAtEach(ctx, shard, items, now, herald)
	}
	byKey := make(map[string]Record, len(read))
	for _, r := range read {
		byKey[r.Key] = r
	}
	var changes []Change
	var of []DueItem // whose they are
	for _, it := range items {
		tx := s.tx(ctx, dueCause(it, now), crewOf(it), shard)
		for _, key := range ahead(it) {
			tx.read[key] = byKey[key]
		}
		ch, err := Change{}, lookDue(tx, it, herald)
		if err == nil {
			ch, err = tx.change()
		}
		if err != nil {
			errs = append(errs, fmt.Errorf("look at due item: %w", err))
			continue
		}
		changes, of = append(changes, ch), append(of, it)
	}
	for i, err := range s.store.CommitAll(ctx, shard, fence, changes) {
		switch {
		case err == nil:
		case errors.Is(err, ErrConflict), errors.Is(err, ErrDone):
			errs = append(errs, s.lookAtEach(ctx, shard, of[i:i+1], now, herald)...)
		default:
			errs = append(errs, fmt.Errorf("look at due item: commit %q: %w", changes[i].Cause, err))
		}
	}
	return errs
}

func (s *Service) lookAtEach(ctx context.Context, shard Shard, items []DueItem, now time.Time, herald Herald) (errs []error) {
	for _, it := range items {
		if err := s.lookAt(ctx, shard, it, now, herald); err != nil {
			errs = append(errs, fmt.Errorf("look at due item: %w", err))
		}
	}
	return errs
}

func dueCause(it DueItem, now time.Time) Cause {
	return Cause{ID: fmt.Sprintf("due:%s@%d", it.Item, it.At.UnixMilli()), Now: now, swept: true}
}

func crewOf(it DueItem) CrewID {
	_, crew, _, _ := splitKey(it.Item)
	return crew
}

// ahead are the records that a look at an item reads.
func ahead(it DueItem) []string {
	_, crew, _, ok := splitKey(it.Item)
	if !ok {
		return nil
	}
	return []string{it.Item, crewKey(crew)}
}

func (s *Service) lookAt(ctx context.Context, shard Shard, it DueItem, now time.Time, herald Herald) error {
	cause, crew, decided := dueCause(it, now), crewOf(it), false
	decide := func(tx *Tx) error {
		decided = true
		return lookDue(tx, it, herald)
	}
	if err := s.do(ctx, cause, crew, shard, ahead(it), decide); err != nil || decided {
		return err
	}
	// This instant had its look, and yet the index names it once more. Without a new cause the item would be claimed
	// and passed over for ever, and its alerts with it.
	cause.ID = fmt.Sprintf("%s/again@%d", cause.ID, now.UnixMilli())
	return s.do(ctx, cause, crew, shard, ahead(it), decide)
}

// lookDue lets a record do what has become due. A panic is made an error: one bad record must not stop the alerts of everybody else.
// What was panicked with may quote the record and goes no further than its kind.
func lookDue(tx *Tx, it DueItem, herald Herald) (err error) {
	defer func() {
		if v := recover(); v != nil {
			err = fmt.Errorf("%s panicked (%T)\n%s", it.Item, v, debug.Stack())
		}
	}()
	kind, crew, id, ok := splitKey(it.Item)
	if !ok {
		tx.look(it.Item, time.Time{}) // nothing of ours is named so; leaving it would be claimed for ever
		return nil
	}
	now := tx.Now()
	switch kind {
	case "outing":
		o, found, err := tx.LoadOuting(id)
		if err != nil {
			return err
		}
		if !found {
			tx.look(it.Item, time.Time{})
			return nil
		}
		next, effects := o.Tick(now)
		if err := tx.PutOuting(next); err != nil {
			return err
		}
		return herald.OutingDue(tx, next, effects)
	case "watch":
		w, found, err := tx.LoadWatch(id)
		if err != nil {
			return err
		}
		if !found {
			tx.look(it.Item, time.Time{})
			return nil
		}
		next, effects := w.Tick(now)
		if err := tx.PutWatch(next); err != nil {
			return err
		}
		return herald.WatchDue(tx, next, effects)
	case "lookout":
		l, found, err := tx.LoadLookout(id)
		if err != nil {
			return err
		}
		if !found {
			tx.look(it.Item, time.Time{})
			return nil
		}
		next, look := l.Tick(now)
		if look {
			// Looking asks feeds and may take long: it is not done here, but as a letter of our own to the desk.
			if err := tx.sendOn(LookID(it), Look{Crew: crew, Kind: l.Kind, Of: l.Of}); err != nil {
				return err
			}
		}
		return tx.PutLookout(next)
	case "invites":
		m, err := tx.LoadMailInvites()
		if err != nil {
			return err
		}
		next, over := m.Tick(now)
		if err := tx.PutMailInvites(next); err != nil || len(over) == 0 {
			return err
		}
		return herald.InvitesOver(tx, m.Of, over)
	}
	tx.look(it.Item, time.Time{})
	return nil
}

// Look is what a letter of our own asks the desk for: to look again at the sea of a trip or an outing.
type Look struct {
	Crew CrewID       `json:"crew"`
	Kind lookout.Kind `json:"kind"`
	Of   string       `json:"of"`
}

// LookPrefix begins the ids of such letters.
const LookPrefix = "look:"

// LookID names the letter of one look: the same look makes the same letter.
func LookID(it DueItem) string { return fmt.Sprintf("%s%s@%d", LookPrefix, it.Item, it.At.UnixMilli()) }

func splitKey(key string) (kind string, crew CrewID, id string, ok bool) {
	p := strings.SplitN(key, "/", 3)
	if len(p) != 3 {
		return "", "", "", false
	}
	return p[0], CrewID(p[1]), p[2], true
}

// Reconcile makes the due index of a shard agree with its records, which are the truth: every open outing and
// running watch has exactly one next look, no later than it should be (I3, I4). It returns what it had to mend.
// A record that cannot be read does not keep it from the others.
func (s *Service) Reconcile(ctx context.Context, shard Shard, now time.Time) (mended []string, err error) {
	have, err := s.store.AllDue(ctx, shard)
	if err != nil {
		return nil, fmt.Errorf("read the due index of shard %d: %w", shard, err)
	}
	var errs []error
	for _, prefix := range []string{"outing/", "watch/", "lookout/", "invites/"} {
		keys, err := s.store.Keys(ctx, shard, prefix)
		if err != nil {
			return mended, errors.Join(append(errs, fmt.Errorf("list records of shard %d: %w", shard, err))...)
		}
		slices.Sort(keys)
		for _, key := range keys {
			kind, crew, id, ok := splitKey(key)
			if !ok {
				continue
			}
			i := slices.IndexFunc(have, func(d DueItem) bool { return d.Item == key })
			wrong := func(want time.Time) bool {
				if want.IsZero() || i < 0 {
					return !want.IsZero() || i >= 0
				}
				// A claimed item lies up to hold later than the record says, and a look that is overdue is set a
				// minute ahead; neither is a fault.
				return have[i].At.After(want) && have[i].At.After(now.Add(hold+time.Minute))
			}
			var want time.Time
			err := s.View(ctx, crew, now, func(tx *Tx) (err error) { want, err = tx.nextLook(kind, id); return err })
			if err != nil {
				errs = append(errs, fmt.Errorf("mend the index: %w", err))
				if errors.Is(err, ErrUnavailable) || ctx.Err() != nil {
					return mended, errors.Join(errs...)
				}
				continue
			}
			if !wrong(want) {
				continue
			}
			cause := Cause{ID: fmt.Sprintf("mend:%s@%d", key, now.UnixMilli()), Now: now}
			err = s.do(ctx, cause, crew, shard, []string{key}, func(tx *Tx) error {
				want, err := tx.nextLook(kind, id)
				if err != nil {
					return err
				}
				tx.due = append(tx.due, DueItem{Item: key, At: want}) // in the past is fine: it is due at once
				return nil
			})
			if err != nil {
				return mended, errors.Join(append(errs, fmt.Errorf("mend the index: %w", err))...)
			}
			mended = append(mended, key)
		}
	}
	return mended, errors.Join(errs...)
}

// nextLook asks a record when it wants the next look; zero for never.
func (tx *Tx) nextLook(kind, id string) (time.Time, error) {
	switch kind {
	case "outing":
		o, found, err := tx.LoadOuting(id)
		if err != nil || !found {
			return time.Time{}, err
		}
		return whole(o.NextLook()), nil
	case "watch":
		w, found, err := tx.LoadWatch(id)
		if err != nil || !found {
			return time.Time{}, err
		}
		return whole(w.NextLook()), nil
	case "lookout":
		l, found, err := tx.LoadLookout(id)
		if err != nil || !found {
			return time.Time{}, err
		}
		return whole(l.NextLook()), nil
	case "invites":
		m, err := tx.LoadMailInvites()
		if err != nil {
			return time.Time{}, err
		}
		return whole(m.NextLook()), nil
	}
	return time.Time{}, nil
}
