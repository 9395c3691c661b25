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

// Round does one full round of one shard: first everything that came in, then what is due, then what is to be said.
// An inbox that cannot be read stops it there: no deadline may be judged either, for the letter could be the "off".
func (p *Pump) Round(ctx context.Context, s session.Shard, now time.Time) (moved int, err error) {
	return p.round(ctx, []session.Shard{s}, now, session.Urgent, session.Slow)
}

// round takes in what came to any of the shards before it judges what is due in one. The order is a safety rule: an
// "off the rocks" waiting in the inbox must be read before an alert is decided (I10), and it may wait in another shard
// than the outing, written in private or in a group whose id changed.
func (p *Pump) round(ctx context.Context, shards []session.Shard, now time.Time, lanes ...session.Lane) (moved int, err error) {
	var errs []error
	note := func(s session.Shard, doing string, n int, err error) (away bool) {
		moved += n
		if err != nil {
			errs = append(errs, fmt.Errorf("shard %d: %s: %w", s, doing, err))
		}
		return errors.Is(err, session.ErrUnavailable) // the others live in the same place
	}
	read := make([]session.Shard, 0, len(shards))
	for _, s := range shards {
		n, err := p.Inbox.Step(ctx, s, now)
		if note(s, "read the inbox", n, err) {
			return moved, errors.Join(errs...)
		}
		if err == nil {
			read = append(read, s)
		}
	}
	for _, s := range read {
		n, err := p.Sweep(ctx, s, now)
		if note(s, "sweep", n, err) {
			break
		}
	}
	for _, lane := range lanes {
		for _, s := range read {
			n, err := p.Outbox.Lane(ctx, s, lane, now)
			if note(s, "send", n, err) {
				return moved, errors.Join(errs...)
			}
		}
	}
	return moved, errors.Join(errs...)
}

func allShards() []session.Shard {
	all := make([]session.Shard, session.Shards)
	for i := range all {
		all[i] = session.Shard(i)
	}
	return all
}

// Settle runs rounds over the given shards, all of them if none is named, until nothing moves, pool included. For the
// demo, the terminal and tests.
func (p *Pump) Settle(ctx context.Context, now time.Time, shards ...session.Shard) error {
	if len(shards) == 0 {
		shards = allShards()
	}
	for range 100 {
		moved, err := p.round(ctx, shards, now, session.Urgent, session.Slow)
		if err != nil {
			return err
		}
		if moved+p.Inbox.Wait() == 0 {
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

// Run moves the queues until ctx ends, then finishes what it is at. Every tick covers all shards. Chatter goes out beside the rest:
// however long the chat service takes over it, letters are read, deadlines judged and alerts sent meanwhile (I7).
func (p *Pump) Run(ctx context.Context, every time.Duration) {
	p.mu.Lock()
	p.kick = make(chan session.Shard, 256)
	kick := p.kick
	p.mu.Unlock()
	work := context.WithoutCancel(ctx) // a commit under way is finished, not torn
	answered := make(chan session.Shard, 256)
	var chatter sync.WaitGroup
	chatter.Go(func() { p.chatter(ctx, every, answered) })
	defer chatter.Wait()
	defer p.Inbox.Wait()
	t := time.NewTicker(every)
	defer t.Stop()
	trouble := trouble{log: p.Log, what: "queues"}
	for {
		select {
		case <-ctx.Done():
			return
		case s := <-kick:
			// Only what came in, and the answer to it: what is due is judged when all that came in was read.
			_, err := p.Inbox.Step(work, s, p.Now())
			if err == nil {
				_, err = p.Outbox.Lane(work, s, session.Urgent, p.Now())
			}
			trouble.say(err)
			select {
			case answered <- s:
			default:
			}
		case <-t.C:
			_, err := p.round(work, allShards(), p.Now(), session.Urgent)
			trouble.say(err)
			if err == nil {
				p.mu.Lock()
				p.last = p.Now()
				p.mu.Unlock()
			}
		}
	}
}

// chatter sends the slow lane of all shards each tick, and of one when it was answered there.
func (p *Pump) chatter(ctx context.Context, every time.Duration, answered <-chan session.Shard) {
	work := context.WithoutCancel(ctx)
	t := time.NewTicker(every)
	defer t.Stop()
	trouble := trouble{log: p.Log, what: "chatter"}
	for {
		shards := allShards()
		select {
		case <-ctx.Done():
			return
		case s := <-answered:
			shards = []session.Shard{s}
		case <-t.C:
		}
		var errs []error
		for _, s := range shards {
			if ctx.Err() != nil {
				break // what is left stays stored
			}
			if _, err := p.Outbox.Lane(work, s, session.Slow, p.Now()); err != nil {
				errs = append(errs, fmt.Errorf("shard %d: send: %w", s, err))
				if errors.Is(err, session.ErrUnavailable) {
					break
				}
			}
		}
		trouble.say(errors.Join(errs...))
	}
}

// trouble logs the same trouble once, and its end.
type trouble struct {
	log        *slog.Logger
	what, said string
}

func (t *trouble) say(err error) {
	switch {
	case err != nil && untold(err) != t.said:
		t.said = untold(err)
		t.log.Error(t.what+" do not move", "err", t.said)
	case err == nil && t.said != "":
		t.said = ""
		t.log.Info(t.what + " move again")
	}
}

// Last is when the last full round ended without trouble.
func (p *Pump) Last() time.Time {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.last
}
