package vitals

import (
	"context"
	"errors"
	"time"

	"ledgehand/session"
)

// lookEvery is how often what waits is counted. Each look is a script a shard and one small write.
const lookEvery = 5 * time.Second

// Run looks, judges and calls the watchdog until ctx ends.
func (v *Vitals) Run(ctx context.Context) {
	t := time.NewTicker(lookEvery)
	defer t.Stop()
	defer v.dog.http.CloseIdleConnections()
	for {
		select {
		case <-ctx.Done():
			return
		case <-t.C:
			v.Step(ctx)
		}
	}
}

// Step is one look: what waits, whether the store takes a write, and a call to the watchdog if all is well and it is time.
// It takes seconds at most. Not for two goroutines at once.
func (v *Vitals) Step(ctx context.Context) {
	v.count(ctx)
	if ctx.Err() == nil {
		v.feed(ctx, v.o.Now())
	}
}

// countWithin bounds one look at the store.
const countWithin = 10 * time.Second

func (v *Vitals) count(ctx context.Context) {
	if v.o.Gauge == nil {
		return
	}
	ctx, cancel := context.WithTimeout(ctx, countWithin)
	defer cancel()
	// A shard after the other, for on a cluster they lie on several servers; one that refuses is asked until it does not.
	err := v.o.Gauge.TryWrite(ctx, v.triesAt, v.o.Now())
	if err == nil {
		v.triesAt = (v.triesAt + 1) % session.Shards
	}
	v.mu.Lock()
	v.f.writeBad = err != nil
	if err == nil {
		v.f.written = v.o.Now()
	}
	v.mu.Unlock()

	var all session.Backlog
	var errs []error
	for s := range session.Shard(session.Shards) {
		b, err := v.o.Gauge.Backlog(ctx, s)
		if err != nil {
			errs = append(errs, err)
			if errors.Is(err, session.ErrUnavailable) || ctx.Err() != nil {
				break
			}
			continue
		}
		all = merge(all, b)
	}
	if len(errs) > 0 {
		v.m.counted.add("failed")
		return // the last whole count stands: its ages go on
	}
	v.m.counted.add("done")
	v.mu.Lock()
	v.f.backlog, v.f.counted = all, v.o.Now()
	v.mu.Unlock()

	if v.o.Heard == nil {
		return
	}
	if by, err := v.o.Heard(ctx); err == nil {
		v.mu.Lock()
		v.f.heard = by
		v.mu.Unlock()
	}
}
