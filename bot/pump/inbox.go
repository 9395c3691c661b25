package pump

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"runtime/debug"
	"strings"
	"sync"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/session"
)

// Desk handles requests. Handle returns only when the effect is committed, or with an error and no effect.
type Desk interface {
	Handle(ctx context.Context, r chat.Request, cause session.Cause) error
	// Slow says that a request needs feeds or a picture and must not hold others up (I7).
	Slow(r chat.Request) bool
	// Failed tells the person that a request could not be handled after all, with a reference for the operator.
	Failed(ctx context.Context, r chat.Request, cause session.Cause, ref string) error
	// Elsewhere names the shards in which the same person may have said something that must have had its effect before this
	// request has: "I go out" in the group, "I am off" in private. None for most requests.
	Elsewhere(ctx context.Context, r chat.Request, s session.Shard, now time.Time) ([]session.Shard, error)
}

// Inbox hands what came in to the desk, in order, each until its effect stands.
type Inbox struct {
	Store  session.Inbox
	Fence  func(session.Shard) session.Fence
	Decode func(raw []byte, got time.Time) (chat.Request, error)
	Desk   Desk
	Log    *slog.Logger
	Use    func(session.Shard) (done func(), ok bool) // as in Pump: a slow request works on its shard until it is through

	Observer Observer // nil: nobody listens

	mu     sync.Mutex
	flying map[string]bool      // letters in the pool; they stay in the inbox until their effect is committed
	failed map[string]int       // how often a letter failed
	waits  map[string]time.Time // since when a letter waits for an older one elsewhere
	pool   sync.WaitGroup
	slots  chan struct{}
	landed int
}

// notePrefix marks letters we wrote ourselves: how a message fared.
const notePrefix = "note:"

// givesUpAfter is how often a letter may fail for a reason of its own before it is put aside; others wait behind it.
const givesUpAfter = 3

// poolSize bounds slow requests at work at once.
const poolSize = 4

// Step hands every waiting letter of a shard to the desk. It stops at the first that cannot be
// committed because the store is away; that one and those behind it stay.
func (b *Inbox) Step(ctx context.Context, s session.Shard, now time.Time) (int, error) {
	handled, after := 0, ""
	for {
		letters, err := b.Store.Waiting(ctx, s, after, 100)
		if err != nil && len(letters) == 0 {
			return handled, fmt.Errorf("list waiting letters: %w", err)
		}
		if err != nil { // some cannot be opened; they come without a body and must not silence the others
			b.Log.Error("letters cannot be opened", "err", untold(err))
		}
		for _, l := range letters {
			after = l.Seq
			if b.isFlying(s, l.Seq) {
				continue
			}
			n, err := b.one(ctx, s, l, now)
			handled += n
			if err != nil { // nor what came here after it
				return handled, err
			}
		}
		if len(letters) < 100 {
			return handled, nil
		}
	}
}

func (b *Inbox) one(ctx context.Context, s session.Shard, l session.Letter, now time.Time) (int, error) {
	r, err := b.read(l)
	if err != nil {
		b.Log.Error("letter cannot be read, put aside", "id", l.ID, "err", untold(err))
		if err := b.Store.Bury(ctx, s, b.Fence(s), l.Seq, untold(err)); err != nil {
			return 0, fmt.Errorf("put an unreadable letter aside: %w", err)
		}
		hears(b.Observer).Handled(true)
		return 1, nil
	}
	cause := session.Cause{ID: l.ID, Now: now, Letter: l.Seq, Shard: s}
	if b.Desk.Slow(r) {
		return b.fly(ctx, s, l, r, cause), nil
	}
	if err := b.inOrder(ctx, s, l, r, now); err != nil {
		return 0, err
	}
	return 1, b.handle(ctx, s, l, r, cause)
}

func (b *Inbox) read(l session.Letter) (chat.Request, error) {
	if l.Body == nil {
		return chat.Request{}, errors.New("letter cannot be opened")
	}
	if strings.HasPrefix(l.ID, notePrefix) {
		var o chat.Outcome
		if err := json.Unmarshal(l.Body, &o); err != nil {
			return chat.Request{}, fmt.Errorf("decode note: %w", err)
		}
		return chat.Request{ID: l.ID, At: l.Got, Got: l.Got, Kind: chat.KindOutcome, Outcome: &o}, nil
	}
	if strings.HasPrefix(l.ID, session.LookPrefix) {
		var look chat.Look
		if err := json.Unmarshal(l.Body, &look); err != nil {
			return chat.Request{}, fmt.Errorf("decode a look: %w", err)
		}
		return chat.Request{ID: l.ID, At: l.Got, Got: l.Got, Kind: chat.KindLook, Look: &look}, nil
	}
	if strings.HasPrefix(l.ID, session.DeafPrefix) {
		var d chat.Deaf
		if err := json.Unmarshal(l.Body, &d); err != nil {
			return chat.Request{}, fmt.Errorf("decode when we heard nobody: %w", err)
		}
		return chat.Request{ID: l.ID, At: l.Got, Got: l.Got, Kind: chat.KindDeaf, Deaf: &d}, nil
	}
	r, err := b.Decode(l.Body, l.Got)
	if err != nil {
		return chat.Request{}, fmt.Errorf("decode update: %w", err)
	}
	r.ID = l.ID
	return r, nil
}

// handle lets the desk work on one letter and sees to it that the letter leaves the inbox exactly when its effect stands.
func (b *Inbox) handle(ctx context.Context, s session.Shard, l session.Letter, r chat.Request, cause session.Cause) error {
	err := b.guard(func() error { return b.Desk.Handle(ctx, r, cause) })
	switch {
	case err == nil:
		// Mostly gone with the commit; an effect in another shard, or none, leaves it to us.
		if err := b.Store.Discard(ctx, s, b.Fence(s), l.Seq); err != nil {
			return fmt.Errorf("drop a handled letter: %w", err)
		}
		hears(b.Observer).Handled(false)
		b.forget(s, l.Seq)
		return nil
	case goesBy(ctx, err):
		return fmt.Errorf("handle letter: %w", err)
	}
	ref := reference(l.ID)
	if n := b.count(s, l.Seq); n < givesUpAfter {
		b.Log.Warn("letter failed, tried again", "id", l.ID, "ref", ref, "attempt", n, "err", untold(err))
		return b.handle(ctx, s, l, r, cause)
	}
	b.Log.Error("letter failed for good, put aside", "id", l.ID, "ref", ref, "err", untold(err))
	if err := b.guard(func() error { return b.Desk.Failed(ctx, r, cause, ref) }); goesBy(ctx, err) {
		return fmt.Errorf("tell that a request failed: %w", err)
	} else if err != nil { // what broke the request may break the apology; everybody behind it still waits
		b.Log.Error("nobody was told of a failed letter", "id", l.ID, "ref", ref, "err", untold(err))
	}
	if err := b.Store.Bury(ctx, s, b.Fence(s), l.Seq, untold(err)); err != nil {
		return fmt.Errorf("put a failing letter aside: %w", err)
	}
	hears(b.Observer).Handled(true)
	b.forget(s, l.Seq)
	return nil
}

// goesBy says that trouble is not the letter's own and will pass: the store is away, another replica serves, or we are
// ending. A time limit that a handler set itself is none of these.
func goesBy(ctx context.Context, err error) bool {
	return errors.Is(err, session.ErrUnavailable) || errors.Is(err, session.ErrFenced) || (err != nil && ctx.Err() != nil)
}

// guard turns a panic in a handler into an error: one bad line must not stop the alerts of everybody.
func (b *Inbox) guard(handler func() error) (err error) {
	defer func() {
		if v := recover(); v != nil {
			err = panicOf(v, debug.Stack())
		}
	}()
	return handler()
}

// fly gives a slow letter to the pool. With the pool full it waits in the inbox for the next round.
func (b *Inbox) fly(ctx context.Context, s session.Shard, l session.Letter, r chat.Request, cause session.Cause) int {
	through := func() {}
	if b.Use != nil {
		done, ok := b.Use(s)
		if !ok {
			return 0
		}
		through = done
	}
	b.mu.Lock()
	if b.slots == nil {
		b.slots = make(chan struct{}, poolSize)
		b.flying = map[string]bool{}
	}
	select {
	case b.slots <- struct{}{}:
	default:
		b.mu.Unlock()
		through()
		return 0
	}
	key := flightKey(s, l.Seq)
	b.flying[key] = true
	b.mu.Unlock()
	b.pool.Go(func() {
		defer through()
		err := b.handle(context.WithoutCancel(ctx), s, l, r, cause)
		if err != nil {
			b.Log.Warn("slow request stays in the inbox", "id", l.ID, "err", untold(err))
		}
		b.mu.Lock()
		delete(b.flying, key)
		if err == nil {
			b.landed++
		}
		b.mu.Unlock()
		<-b.slots
	})
	return 1
}

// Wait waits for the pool and returns how many slow requests came through since the last call.
func (b *Inbox) Wait() int {
	b.pool.Wait()
	b.mu.Lock()
	defer b.mu.Unlock()
	n := b.landed
	b.landed = 0
	return n
}

func flightKey(s session.Shard, seq string) string { return fmt.Sprintf("%d/%s", s, seq) }

func (b *Inbox) isFlying(s session.Shard, seq string) bool {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.flying[flightKey(s, seq)]
}

func (b *Inbox) count(s session.Shard, seq string) int {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.failed == nil {
		b.failed = map[string]int{}
	}
	b.failed[flightKey(s, seq)]++
	return b.failed[flightKey(s, seq)]
}

func (b *Inbox) forget(s session.Shard, seq string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	delete(b.failed, flightKey(s, seq))
}

// reference is a short handle that a person can quote and the operator can find in the log.
func reference(id string) string {
	if len(id) > 6 {
		id = id[len(id)-6:]
	}
	return id
}
