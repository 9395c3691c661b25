// Package pump keeps three queues moving: what came in is read and handled, what is due is
// looked at, what is to be said is sent. Each is one Step over one shard at a given instant;
// Run calls the steps on a tick and whenever something new is known to wait. Nothing here
// decides anything: handling is the desk's, sending the chat service's, truth the store's.
package pump

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"sync"
	"time"

	"ledgehand/session"
)

// Pump moves the queues of the shards this replica serves.
type Pump struct {
	Inbox  *Inbox
	Outbox *Outbox
	Sweep  func(ctx context.Context, s session.Shard, now time.Time) (int, error)
	Now    func() time.Time
	Log    *slog.Logger

	mu   sync.Mutex
	kick chan session.Shard
	last time.Time // the last full round without an error: the loop's own health is a fact too
}

// Round does one full round of one shard: first everything that came in, then what is due, then what is to be
// said. The order is a safety rule: an "off the rocks" waiting in the inbox must be read before an alert is decided (I10).
func (p *Pump) Round(ctx context.Context, s session.Shard, now time.Time) (moved int, err error) {
	n, err := p.Inbox.Step(ctx, s, now)
	moved += n
	if err != nil {
		// With a letter stuck for want of a store no deadline may be judged either: it could be the "off".
		return moved, fmt.Errorf("read the inbox: %w", err)
	}
	n, err = p.Sweep(ctx, s, now)
	moved += n
	errs := []error{}
	if err != nil {
		errs = append(errs, fmt.Errorf("sweep: %w", err))
	}
	n, err = p.Outbox.Step(ctx, s, now)
	moved += n
	if err != nil {
		errs = append(errs, fmt.Errorf("send: %w", err))
	}
	return moved, errors.Join(errs...)
}

// Settle runs rounds over all shards until nothing moves, pool included. For the demo, the terminal and tests.
func (p *Pump) Settle(ctx context.Context, now time.Time) error {
	for range 100 {
		moved := 0
		for s := range session.Shard(session.Shards) {
			n, err := p.Round(ctx, s, now)
			if err != nil {
				return fmt.Errorf("shard %d: %w", s, err)
			}
			moved += n
		}
		moved += p.Inbox.Wait()
		if moved == 0 {
			return nil
		}
	}
	return errors.New("the queues do not come to rest")
}

// Kick says that something new waits in a shard, so that it is not left until the next tick.
func (p *Pump) Kick(s session.Shard) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.kick == nil {
		return
	}
	select {
	case p.kick <- s:
	default: // the next tick comes soon enough
	}
}

// Run moves the queues until ctx ends, then finishes the round it is in. Every tick covers all shards.
func (p *Pump) Run(ctx context.Context, every time.Duration) {
	p.mu.Lock()
	p.kick = make(chan session.Shard, 256)
	kick := p.kick
	p.mu.Unlock()
	work := context.WithoutCancel(ctx) // a commit under way is finished, not torn
	t := time.NewTicker(every)
	defer t.Stop()
	var said string
	for {
		var errs []error
		select {
		case <-ctx.Done():
			p.Inbox.Wait()
			return
		case s := <-kick:
			if _, err := p.Round(work, s, p.Now()); err != nil {
				errs = append(errs, err)
			}
		case <-t.C:
			for s := range session.Shard(session.Shards) {
				if _, err := p.Round(work, s, p.Now()); err != nil {
					errs = append(errs, fmt.Errorf("shard %d: %w", s, err))
					if errors.Is(err, session.ErrUnavailable) {
						break // the others live in the same place
					}
				}
			}
			if len(errs) == 0 {
				p.mu.Lock()
				p.last = p.Now()
				p.mu.Unlock()
			}
		}
		// The same trouble is logged once, and its end.
		switch err := errors.Join(errs...); {
		case err != nil && err.Error() != said:
			said = err.Error()
			p.Log.Error("queues do not move", "err", said)
		case err == nil && said != "":
			said = ""
			p.Log.Info("queues move again")
		}
	}
}

// Last is when the last full round ended without trouble.
func (p *Pump) Last() time.Time {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.last
}
