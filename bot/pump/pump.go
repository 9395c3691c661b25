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
	"slices"
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

	Observer Observer // nil: nobody listens

	Shards func() []session.Shard // those served now; nil: all
	// Use marks a shard as being worked on until done is called; not ok: it is not ours any more. nil: it always is.
	Use func(s session.Shard) (done func(), ok bool)
	// Glance tells what waits where, so that idle shards are left alone; nil: every shard is looked into.
	Glance func(ctx context.Context, shards []session.Shard) []session.Head
	// Fresh waits, for a bounded time, until all that the chat service holds for us is stored, if it was out of reach. It is asked
	// before anything is judged or an alert sent: an "off" may be waiting there (I10). nil: nothing to wait for.
	Fresh func(ctx context.Context)

	mu   sync.Mutex
	kick chan session.Shard
	last time.Time // the last full round without an error: the loop's own health is a fact too
}

// Letters that wait in shards of other replicas hold our deadlines back for so long: one may be the "off" of somebody we look after,
// written in private. Younger ones are being read this moment; older ones have a server that is slow or gone, and a deadline is late
// but never lost.
const (
	elsewhereAfter = 2 * time.Second
	elsewhereUntil = 45 * time.Second
)

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
	var clean []session.Shard
	defer func() { hears(p.Observer).Round(clean, err) }()
	var ill [session.Shards]bool
	cut := false // deadlines were not judged to the end
	note := func(s session.Shard, doing string, n int, err error) (away bool) {
		moved += n
		if err != nil {
			ill[s] = true
			errs = append(errs, fmt.Errorf("shard %d: %s: %w", s, doing, err))
		}
		return errors.Is(err, session.ErrUnavailable) // the others live in the same place
	}
	v := p.view(ctx, shards)
	if p.Fresh != nil && (v.any(dueBy(now)) || v.any(urgentBy(now))) {
		p.Fresh(ctx)
		v = p.view(ctx, shards)
	}
	read := make([]session.Shard, 0, len(shards))
	todo := make([]session.Shard, 0, len(shards))
	for _, s := range shards {
		if err := v.err(s); err != nil {
			if note(s, "look", 0, err) && v.allAway() {
				return moved, errors.Join(errs...)
			}
			continue
		}
		if v.has(s, lettersWait) {
			todo = append(todo, s)
		} else {
			read = append(read, s)
		}
	}
	// A letter may wait for an older one in another shard: as long as that moves anything, those that waited are read again.
	for again, before := true, 0; again; {
		var waits []session.Shard
		before = moved
		for _, s := range todo {
			n, err := p.on(s, func() (int, error) { return p.Inbox.Step(ctx, s, now) })
			if errors.Is(err, errNotYet) {
				moved += n
				waits = append(waits, s)
				continue
			}
			if note(s, "read the inbox", n, err) {
				return moved, errors.Join(errs...)
			}
			if err == nil {
				read = append(read, s)
			}
		}
		again, todo = len(waits) > 0 && moved > before, waits
	}
	if moved > 0 { // what was read may have made something due, or said
		v = p.view(ctx, shards)
	}
	if len(todo) == 0 && !p.waitElsewhere(ctx, v, now) {
		before := moved
		due := slices.DeleteFunc(slices.Clone(read), func(s session.Shard) bool { return !v.has(s, dueBy(now)) })
		p.sweepAll(ctx, due, now, func(s session.Shard, n int, err error) (away bool) {
			away = note(s, "sweep", n, err)
			cut = cut || away
			return away
		})
		if moved > before {
			v = p.view(ctx, shards)
		}
	}
	for _, lane := range lanes {
		for _, s := range read {
			if !v.has(s, laneBy(lane, now)) {
				continue
			}
			n, err := p.on(s, func() (int, error) { return p.Outbox.Lane(ctx, s, lane, now) })
			if note(s, "send", n, err) {
				return moved, errors.Join(errs...)
			}
		}
	}
	for _, s := range read {
		if !ill[s] && !cut {
			clean = append(clean, s)
		}
	}
	return moved, errors.Join(errs...)
}

// sweepers is how many shards are swept at once: while the store writes for one, the next is decided. What is due in one shard stays
// in the hands of one.
const sweepers = 8

// sweepAll sweeps shards. All that came in was read before, in every one of them, and none waits for another's messages. told hears how
// each went, one after the other, and whether the store is away: then no further one is begun.
func (p *Pump) sweepAll(ctx context.Context, shards []session.Shard, now time.Time, told func(s session.Shard, n int, err error) (away bool)) {
	var mu sync.Mutex
	next, away := 0, false
	begin := func() (session.Shard, bool) {
		mu.Lock()
		defer mu.Unlock()
		if next == len(shards) || away {
			return 0, false
		}
		next++
		return shards[next-1], true
	}
	sweep := func() {
		for s, more := begin(); more; s, more = begin() {
			n, err := p.on(s, func() (int, error) { return p.Sweep(ctx, s, now) })
			mu.Lock()
			away = told(s, n, err) || away
			mu.Unlock()
		}
	}
	var others sync.WaitGroup
	for range min(sweepers, len(shards)) - 1 {
		others.Go(sweep)
	}
	sweep()
	others.Wait()
}

// on works on a shard if it is still ours.
func (p *Pump) on(s session.Shard, work func() (int, error)) (int, error) {
	if p.Use == nil {
		return work()
	}
	done, ok := p.Use(s)
	if !ok {
		return 0, nil
	}
	defer done()
	return work()
}

// waitElsewhere says whether deadlines are to wait for letters in shards that others serve.
func (p *Pump) waitElsewhere(ctx context.Context, v view, now time.Time) bool {
	if p.Shards == nil || p.Glance == nil || !v.any(dueBy(now)) {
		return false
	}
	if v.any(dueBy(now.Add(-elsewhereUntil))) {
		return false
	}
	var others []session.Shard
	for _, s := range allShards() {
		if _, ours := v.heads[s]; !ours {
			others = append(others, s)
		}
	}
	if len(others) == 0 {
		return false
	}
	for _, h := range p.Glance(ctx, others) {
		if age := now.Sub(h.Letter); h.Err == nil && !h.Letter.IsZero() && age >= elsewhereAfter && age < elsewhereUntil {
			return true
		}
	}
	return false
}

// served are the shards this replica serves now.
func (p *Pump) served() []session.Shard {
	if p.Shards == nil {
		return allShards()
	}
	return p.Shards()
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
		shards = p.served()
	}
	for range 100 {
		moved, err := p.round(ctx, shards, now, session.Urgent, session.Slow)
		if err != nil {
			return err
		}
		if moved+p.Inbox.Wait()+p.Outbox.Wait() == 0 {
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
	defer p.Outbox.Wait() // when nothing sends any more
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
			_, err := p.on(s, func() (int, error) {
				n, err := p.Inbox.Step(work, s, p.Now())
				if err == nil {
					_, err = p.Outbox.Lane(work, s, session.Urgent, p.Now())
				}
				return n, err
			})
			trouble.say(err)
			select {
			case answered <- s:
			default:
			}
		case <-t.C:
			_, err := p.round(work, p.served(), p.Now(), session.Urgent)
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
		shards := p.served()
		select {
		case <-ctx.Done():
			return
		case s := <-answered:
			shards = []session.Shard{s}
		case <-t.C:
		}
		var errs []error
		v := p.view(work, shards)
		for _, s := range shards {
			if ctx.Err() != nil {
				break // what is left stays stored
			}
			if !v.has(s, laneBy(session.Slow, p.Now())) {
				continue
			}
			if _, err := p.on(s, func() (int, error) { return p.Outbox.Lane(work, s, session.Slow, p.Now()) }); err != nil {
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
