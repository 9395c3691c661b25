package storetest

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"
	"time"

	"ledgehand/session"
)

// Refusing stands before a store and fails when told to: it plays the outage (nothing happens, the
// answer is ErrUnavailable) and the lost reply (all happens, the answer is ErrUnavailable).
// It is safe for concurrent use.
type Refusing struct {
	store  session.Store
	leases session.Leases

	mu    sync.Mutex
	off   bool
	drops int
	calls int
}

var (
	_ session.Store  = (*Refusing)(nil)
	_ session.Leases = (*Refusing)(nil)
	_ session.Gauge  = (*Refusing)(nil)
)

// NewRefusing wraps a store and its leases; leases may be nil where a test needs none. It begins switched on.
func NewRefusing(store session.Store, leases session.Leases) *Refusing {
	return &Refusing{store: store, leases: leases}
}

// Off makes every call fail without effect until On.
func (r *Refusing) Off() { r.set(true, 0) }

// On ends Off and what is left of DropReplies.
func (r *Refusing) On() { r.set(false, 0) }

// DropReplies lets the next n calls take effect and fail all the same.
func (r *Refusing) DropReplies(n int) { r.set(false, n) }

func (r *Refusing) set(off bool, drops int) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.off, r.drops = off, drops
}

// Calls counts the calls so far, failed ones included.
func (r *Refusing) Calls() int {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.calls
}

var (
	errOff  = errors.New("switched off by the test")
	errDrop = errors.New("reply dropped by the test")
)

// enter says how this call fails: with refuse before its effect, with drop after it.
func (r *Refusing) enter(what string) (refuse, drop error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.calls++
	switch {
	case r.off:
		return fmt.Errorf("%s: %w: %w", what, session.ErrUnavailable, errOff), nil
	case r.drops > 0:
		r.drops--
		return nil, fmt.Errorf("%s: %w: %w", what, session.ErrUnavailable, errDrop)
	}
	return nil, nil
}

// call0 and call1 run one call of the store between the two ways to fail.
func (r *Refusing) call0(what string, f func() error) error {
	_, err := call1(r, what, func() (struct{}, error) { return struct{}{}, f() })
	return err
}

func call1[T any](r *Refusing, what string, f func() (T, error)) (T, error) {
	var zero T
	refuse, drop := r.enter(what)
	if refuse != nil {
		return zero, refuse
	}
	got, err := f()
	if drop != nil {
		return zero, drop
	}
	return got, err
}

// Take is session.Inbox.
func (r *Refusing) Take(ctx context.Context, s session.Shard, l session.Letter) (bool, error) {
	return call1(r, "take", func() (bool, error) { return r.store.Take(ctx, s, l) })
}

// Waiting is session.Inbox.
func (r *Refusing) Waiting(ctx context.Context, s session.Shard, after string, n int) ([]session.Letter, error) {
	return call1(r, "waiting", func() ([]session.Letter, error) { return r.store.Waiting(ctx, s, after, n) })
}

// Discard is session.Inbox.
func (r *Refusing) Discard(ctx context.Context, s session.Shard, f session.Fence, seq string) error {
	return r.call0("discard", func() error { return r.store.Discard(ctx, s, f, seq) })
}

// Bury is session.Inbox.
func (r *Refusing) Bury(ctx context.Context, s session.Shard, f session.Fence, seq, why string) error {
	return r.call0("bury", func() error { return r.store.Bury(ctx, s, f, seq, why) })
}

// Buried is session.Inbox.
func (r *Refusing) Buried(ctx context.Context, s session.Shard, n int) ([]session.DeadLetter, error) {
	return call1(r, "buried", func() ([]session.DeadLetter, error) { return r.store.Buried(ctx, s, n) })
}

// Load is session.Records.
func (r *Refusing) Load(ctx context.Context, s session.Shard, keys ...string) ([]session.Record, error) {
	return call1(r, "load", func() ([]session.Record, error) { return r.store.Load(ctx, s, keys...) })
}

// Keys is session.Records.
func (r *Refusing) Keys(ctx context.Context, s session.Shard, prefix string) ([]string, error) {
	return call1(r, "keys", func() ([]string, error) { return r.store.Keys(ctx, s, prefix) })
}

// Commit is session.Records.
func (r *Refusing) Commit(ctx context.Context, s session.Shard, f session.Fence, c session.Change) error {
	return r.call0("commit", func() error { return r.store.Commit(ctx, s, f, c) })
}

// Done is session.Records.
func (r *Refusing) Done(ctx context.Context, s session.Shard, cause string) (bool, error) {
	return call1(r, "done", func() (bool, error) { return r.store.Done(ctx, s, cause) })
}

// CommitAll is session.Records. A reply that is dropped is that to all changes, as it is for one round trip.
func (r *Refusing) CommitAll(ctx context.Context, s session.Shard, f session.Fence, all []session.Change) []error {
	errs, err := call1(r, "commit all", func() ([]error, error) { return r.store.CommitAll(ctx, s, f, all), nil })
	if err != nil {
		return slices.Repeat([]error{err}, len(all))
	}
	return errs
}

// Begin is session.Records.
func (r *Refusing) Begin(ctx context.Context, s session.Shard, cause string, keys ...string) (bool, []session.Record, error) {
	var records []session.Record
	done, err := call1(r, "begin", func() (done bool, err error) {
		done, records, err = r.store.Begin(ctx, s, cause, keys...)
		return done, err
	})
	if err != nil {
		return false, nil, err
	}
	return done, records, nil
}

// ClaimDue is session.Deadlines.
func (r *Refusing) ClaimDue(ctx context.Context, s session.Shard, f session.Fence, now time.Time, hold time.Duration, n int) ([]session.DueItem, error) {
	return call1(r, "claim due", func() ([]session.DueItem, error) { return r.store.ClaimDue(ctx, s, f, now, hold, n) })
}

// AllDue is session.Deadlines.
func (r *Refusing) AllDue(ctx context.Context, s session.Shard) ([]session.DueItem, error) {
	return call1(r, "all due", func() ([]session.DueItem, error) { return r.store.AllDue(ctx, s) })
}

// ClaimOut is session.Outbox.
func (r *Refusing) ClaimOut(ctx context.Context, s session.Shard, f session.Fence, lane session.Lane, now time.Time, hold time.Duration, n int) ([]session.Claimed, error) {
	return call1(r, "claim out", func() ([]session.Claimed, error) { return r.store.ClaimOut(ctx, s, f, lane, now, hold, n) })
}

// Settle is session.Outbox.
func (r *Refusing) Settle(ctx context.Context, s session.Shard, f session.Fence, c session.Claimed, o session.Settlement) error {
	return r.call0("settle", func() error { return r.store.Settle(ctx, s, f, c, o) })
}

// Panel is session.Outbox.
func (r *Refusing) Panel(ctx context.Context, s session.Shard, chat int64, key string) (int, error) {
	return call1(r, "panel", func() (int, error) { return r.store.Panel(ctx, s, chat, key) })
}

// Pending is session.Outbox.
func (r *Refusing) Pending(ctx context.Context, s session.Shard) (int, time.Time, error) {
	var oldest time.Time
	n, err := call1(r, "pending", func() (n int, err error) {
		n, oldest, err = r.store.Pending(ctx, s)
		return n, err
	})
	if err != nil {
		return 0, time.Time{}, err
	}
	return n, oldest, nil
}

// Lead is session.Leases.
func (r *Refusing) Lead(ctx context.Context, s session.Shard, owner string, now time.Time, ttl time.Duration) (session.Fence, error) {
	return call1(r, "lead", func() (session.Fence, error) { return r.leases.Lead(ctx, s, owner, now, ttl) })
}

// Resign is session.Leases.
func (r *Refusing) Resign(ctx context.Context, s session.Shard, owner string) error {
	return r.call0("resign", func() error { return r.leases.Resign(ctx, s, owner) })
}

// gauge is the store's own; a store without one cannot be asked.
func (r *Refusing) gauge() session.Gauge { return r.store.(session.Gauge) }

// Backlog is session.Gauge.
func (r *Refusing) Backlog(ctx context.Context, s session.Shard) (session.Backlog, error) {
	return call1(r, "backlog", func() (session.Backlog, error) { return r.gauge().Backlog(ctx, s) })
}

// TryWrite is session.Gauge.
func (r *Refusing) TryWrite(ctx context.Context, s session.Shard, now time.Time) error {
	return r.call0("try a write", func() error { return r.gauge().TryWrite(ctx, s, now) })
}
