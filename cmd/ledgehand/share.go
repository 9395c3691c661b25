package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"sync"
	"time"

	"ledgehand/session"
)

// share is the part of all shards that this replica serves: which, under which number, and until when. Replicas share evenly and
// hand over cleanly; one that dies loses its part when its leases end.
type share struct {
	store interface {
		session.Leases
		session.Sharing
	}
	owner string
	ttl   time.Duration
	now   func() time.Time
	log   *slog.Logger
	// begin makes a shard ready to be served: its index is compared with its records.
	begin func(ctx context.Context, s session.Shard) error

	mu   sync.Mutex
	held [session.Shards]tenure
}

// tenure is one shard's lease.
type tenure struct {
	fence    session.Fence
	until    time.Time // by our own clock
	starting bool      // ours, and not served before its index is right
	leaving  bool      // nothing new is begun on it
	busy     int
}

func newShare(owner string, ttl time.Duration) *share {
	return &share{owner: owner, ttl: ttl}
}

// serves says whether a tenure is one to work under.
func (t tenure) serves() bool { return t.fence > 0 && !t.starting && !t.leaving }

// fence is the number to commit under: that of a guest in shards that are not ours.
func (sh *share) fence(s session.Shard) session.Fence {
	sh.mu.Lock()
	defer sh.mu.Unlock()
	if f := sh.held[s].fence; f > 0 {
		return f
	}
	return session.Guest
}

// leads says whether a shard's lease still runs, by our own clock.
func (sh *share) leads(s session.Shard) bool {
	sh.mu.Lock()
	defer sh.mu.Unlock()
	return sh.held[s].fence > 0 && sh.now().Before(sh.held[s].until)
}

// shards are those served now.
func (sh *share) shards() []session.Shard {
	sh.mu.Lock()
	defer sh.mu.Unlock()
	var out []session.Shard
	for s, t := range sh.held {
		if t.serves() {
			out = append(out, session.Shard(s))
		}
	}
	return out
}

// use marks a shard as being worked on; not ok where it is not ours, or on its way to another.
func (sh *share) use(s session.Shard) (done func(), ok bool) {
	sh.mu.Lock()
	defer sh.mu.Unlock()
	if !sh.held[s].serves() {
		return nil, false
	}
	sh.held[s].busy++
	return func() {
		sh.mu.Lock()
		defer sh.mu.Unlock()
		sh.held[s].busy--
	}, true
}

// keep renews what is ours, gives up what others are to have and takes what we are to have. It never stops at one shard's trouble.
func (sh *share) keep(ctx context.Context) error {
	now := sh.now()
	present, err := sh.store.Present(ctx, sh.owner, now, sh.ttl)
	if err != nil {
		sh.expire(now)
		return err
	}
	want, first := session.Share(sh.owner, present)
	var errs []error
	for _, s := range sh.toRenew(now) {
		f, err := sh.store.Lead(ctx, s, sh.owner, now, sh.ttl)
		switch {
		case errors.Is(err, session.ErrFenced):
			sh.log.Warn("another replica has taken a shard over", "shard", int(s))
			sh.drop(s)
		case err != nil:
			errs = append(errs, err)
		default:
			sh.hold(s, f, now.Add(sh.ttl))
		}
	}
	sh.expire(now)
	if err := sh.handOver(ctx, sh.surplus(want, first)); err != nil {
		errs = append(errs, err)
	}
	for i := range session.Shards {
		if len(sh.ours()) >= want {
			break
		}
		s := session.Shard((int(first) + i) % session.Shards)
		if sh.fence(s) != session.Guest {
			continue
		}
		f, err := sh.store.Lead(ctx, s, sh.owner, now, sh.ttl)
		if errors.Is(err, session.ErrFenced) {
			continue // somebody else's, still
		}
		if err == nil {
			err = sh.ready(ctx, s, f, now)
		}
		if err != nil {
			errs = append(errs, err)
		}
	}
	return errors.Join(errs...)
}

// ready begins to serve a shard just taken.
func (sh *share) ready(ctx context.Context, s session.Shard, f session.Fence, now time.Time) error {
	sh.mu.Lock()
	sh.held[s] = tenure{fence: f, until: now.Add(sh.ttl), starting: true, busy: sh.held[s].busy}
	sh.mu.Unlock()
	if sh.begin != nil {
		if err := sh.begin(ctx, s); err != nil {
			sh.drop(s)
			return errors.Join(fmt.Errorf("begin to serve shard %d: %w", s, err), sh.store.Resign(ctx, s, sh.owner))
		}
	}
	sh.mu.Lock()
	defer sh.mu.Unlock()
	sh.held[s].starting = false
	return nil
}

// surplus are the shards beyond our share: those that others try first.
func (sh *share) surplus(want int, first session.Shard) []session.Shard {
	ours := sh.ours()
	if len(ours) <= want {
		return nil
	}
	from := func(s session.Shard) int { return (int(s) - int(first) + session.Shards) % session.Shards }
	slices.SortFunc(ours, func(a, b session.Shard) int { return from(a) - from(b) })
	return ours[want:]
}

// handOver gives shards up, each as soon as nobody works on it; what is still worked on goes the next time.
func (sh *share) handOver(ctx context.Context, going []session.Shard) error {
	var free []session.Shard
	sh.mu.Lock()
	for s := range sh.held {
		t := &sh.held[s]
		if t.leaving = t.fence > 0 && slices.Contains(going, session.Shard(s)); t.leaving && t.busy == 0 {
			free = append(free, session.Shard(s))
		}
	}
	sh.mu.Unlock()
	var errs []error
	for _, s := range free {
		sh.drop(s)
		errs = append(errs, sh.store.Resign(ctx, s, sh.owner))
	}
	return errors.Join(errs...)
}

// leave gives everything up, so that others need not wait for a lease to end. Nobody may work on anything any more.
func (sh *share) leave(ctx context.Context) error {
	return errors.Join(sh.store.Leave(ctx, sh.owner), sh.handOver(ctx, sh.ours()))
}

// ours are all shards under a lease of ours, served or on their way.
func (sh *share) ours() []session.Shard {
	sh.mu.Lock()
	defer sh.mu.Unlock()
	var out []session.Shard
	for s, t := range sh.held {
		if t.fence > 0 {
			out = append(out, session.Shard(s))
		}
	}
	return out
}

// toRenew are those of ours whose lease has run for a third.
func (sh *share) toRenew(now time.Time) []session.Shard {
	ours := sh.ours()
	sh.mu.Lock()
	defer sh.mu.Unlock()
	return slices.DeleteFunc(ours, func(s session.Shard) bool { return sh.held[s].until.Sub(now) > sh.ttl*2/3 })
}

func (sh *share) hold(s session.Shard, f session.Fence, until time.Time) {
	sh.mu.Lock()
	defer sh.mu.Unlock()
	sh.held[s].fence, sh.held[s].until = f, until
}

func (sh *share) drop(s session.Shard) {
	sh.mu.Lock()
	defer sh.mu.Unlock()
	sh.held[s] = tenure{busy: sh.held[s].busy} // work under way ends with a refusal
}

// expire stops serving what could not be renewed in time: another may have it by now.
func (sh *share) expire(now time.Time) {
	for _, s := range sh.ours() {
		sh.mu.Lock()
		over := !now.Before(sh.held[s].until)
		sh.mu.Unlock()
		if over {
			sh.log.Warn("a shard's lease ended before it could be renewed", "shard", int(s))
			sh.drop(s)
		}
	}
}
