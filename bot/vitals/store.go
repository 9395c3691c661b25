package vitals

import (
	"context"
	"errors"
	"time"

	"ledgehand/session"
)

// Store is what a bot stands on.
type Store interface {
	session.Store
	session.Leases
}

// Hear stands before a store and listens: leases, updates taken, commits, and how late due items are claimed. It changes
// no call and no answer.
func (v *Vitals) Hear(s Store) Store {
	if v == nil {
		return s
	}
	return &heard{Store: s, v: v}
}

type heard struct {
	Store
	v *Vitals
}

func (h *heard) Take(ctx context.Context, s session.Shard, l session.Letter) (fresh bool, err error) {
	fresh, err = h.Store.Take(ctx, s, l)
	switch {
	case err != nil:
		h.v.m.takes.add("failed")
	case fresh:
		h.v.m.takes.add("fresh")
	default:
		h.v.m.takes.add("repeat")
	}
	return fresh, err
}

func (h *heard) Commit(ctx context.Context, s session.Shard, f session.Fence, c session.Change) error {
	err := h.Store.Commit(ctx, s, f, c)
	h.v.m.commits.add(commitWord(err))
	return err
}

func (h *heard) CommitAll(ctx context.Context, s session.Shard, f session.Fence, all []session.Change) []error {
	errs := h.Store.CommitAll(ctx, s, f, all)
	for _, err := range errs {
		h.v.m.commits.add(commitWord(err))
	}
	return errs
}

func commitWord(err error) string {
	switch {
	case err == nil:
		return "committed"
	case errors.Is(err, session.ErrDone):
		return "done"
	case errors.Is(err, session.ErrConflict):
		return "conflict"
	case errors.Is(err, session.ErrFenced):
		return "fenced"
	case errors.Is(err, session.ErrUnavailable):
		return "unavailable"
	}
	return "failed"
}

func (h *heard) ClaimDue(ctx context.Context, s session.Shard, f session.Fence, now time.Time, hold time.Duration, n int) ([]session.DueItem, error) {
	items, err := h.Store.ClaimDue(ctx, s, f, now, hold, n)
	if len(items) > 0 {
		h.v.looked(items)
	}
	return items, err
}

// looked goes by the clock, not by the round's own now, which stands still however long a round takes.
func (v *Vitals) looked(items []session.DueItem) {
	now := v.o.Now()
	worst := time.Duration(0)
	for _, it := range items {
		late := age(it.At, now)
		worst = max(worst, late)
		v.m.lateness.Observe(late.Seconds())
	}
	v.mu.Lock()
	defer v.mu.Unlock()
	v.f.late.note(worst, now)
}

func (h *heard) Lead(ctx context.Context, s session.Shard, owner string, now time.Time, ttl time.Duration) (session.Fence, error) {
	f, err := h.Store.Lead(ctx, s, owner, now, ttl)
	switch {
	case err == nil:
		h.v.leads(s, now, now.Add(ttl))
	case errors.Is(err, session.ErrFenced):
		h.v.leads(s, time.Time{}, time.Time{})
	}
	return f, err // an outage changes nothing: the lease runs on, to its end
}

func (h *heard) Resign(ctx context.Context, s session.Shard, owner string) error {
	err := h.Store.Resign(ctx, s, owner)
	if err == nil {
		h.v.leads(s, time.Time{}, time.Time{})
	}
	return err
}

// leads notes that a shard is ours until then, or no longer ours.
func (v *Vitals) leads(s session.Shard, now, until time.Time) {
	v.mu.Lock()
	defer v.mu.Unlock()
	if s < 0 || int(s) >= len(v.f.shards) {
		return
	}
	x := &v.f.shards[s]
	if until.IsZero() {
		*x = shardFacts{}
		return
	}
	if x.since.IsZero() {
		x.since = now
	}
	x.until = until
}
