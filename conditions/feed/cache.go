package feed

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"sync"
	"time"

	"golang.org/x/sync/singleflight"
)

// ages says how long an answer counts. Up to fresh it is given without asking; up to stale it
// is given if the service is slow (patience) or fails; up to refuse only if the service fails;
// after that never. Waves and wind: model runs come every 6 to 12 h. Start values of ours.
type ages struct{ fresh, stale, refuse time.Duration }

var (
	seaAges     = ages{time.Hour, 6 * time.Hour, 12 * time.Hour}
	weatherAges = ages{30 * time.Minute, 3 * time.Hour, 6 * time.Hour}
	alertAges   = ages{5 * time.Minute, 20 * time.Minute, 30 * time.Minute}
	runAges     = ages{time.Hour, 6 * time.Hour, 12 * time.Hour}
)

// patience is how long somebody waits for a refresh while a stale answer is at hand.
const patience = 2 * time.Second

// shelfRoom bounds the answers kept of one kind; a week of sea is about 60 kB.
const shelfRoom = 256

// kept is the last good answer to a question and, since it, the last no.
type kept[T any] struct {
	value T
	at    time.Time // of the good answer, zero if there is none
	no    error     // a *NoData or a refused request: asking again soon changes nothing
	noAt  time.Time
}

// shelf keeps answers by question. Its instants are those passed in.
type shelf[T any] struct {
	ages   ages
	mu     sync.Mutex
	kept   map[string]kept[T]
	flight singleflight.Group
}

func newShelf[T any](a ages) *shelf[T] { return &shelf[T]{ages: a, kept: map[string]kept[T]{}} }

func (s *shelf[T]) look(key string) kept[T] {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.kept[key]
}

// within says whether something of instant at is at most d old at now. The future counts as
// now for as long: clocks of replicas differ, but a leap back must not keep an answer for ever.
func within(at, now time.Time, d time.Duration) bool {
	return !at.IsZero() && now.Sub(at).Abs() <= d
}

// get gives the answer to a question, from the shelf or by load, and the instant it is of.
// Many who ask at once cause one load, which runs on the client's own context so that the
// first to give up does not take the others' answer along.
func (s *shelf[T]) get(ctx context.Context, c *Client, key string, now time.Time, load func(context.Context) (T, time.Time, error)) (T, time.Time, error) {
	k := s.look(key)
	if within(k.at, now, s.ages.fresh) {
		return k.value, k.at, nil
	}
	usable := within(k.at, now, s.ages.refuse)
	if k.no != nil && within(k.noAt, now, s.ages.fresh) {
		if usable {
			return k.value, k.at, nil
		}
		var none T
		return none, time.Time{}, k.no
	}
	answer := s.flight.DoChan(key, func() (any, error) {
		ctx, done, err := c.begin()
		if err != nil {
			return nil, err
		}
		defer done()
		if k := s.look(key); within(k.at, now, s.ages.fresh) { // somebody was faster
			return k, nil
		}
		v, at, err := unbroken(ctx, load)
		return s.put(key, v, at, err, now), err
	})
	var enough <-chan time.Time
	if within(k.at, now, s.ages.stale) {
		t := time.NewTimer(patience)
		defer t.Stop()
		enough = t.C
	}
	var err error
	select {
	case r := <-answer:
		if r.Err == nil {
			k := r.Val.(kept[T])
			return k.value, k.at, nil
		}
		err = r.Err
	case <-enough:
	case <-ctx.Done():
		err = &Unavailable{Why: Down, Err: ctx.Err()}
	}
	if usable {
		return k.value, k.at, nil
	}
	var none T
	return none, time.Time{}, err
}

// unbroken makes a refusal of a panic. Loads run on a goroutine of their own, where no asker could catch it, and what a service sends
// must not be able to end the bot for everybody. What was panicked with may hold a place; its kind does not.
func unbroken[T any](ctx context.Context, load func(context.Context) (T, time.Time, error)) (v T, at time.Time, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = &BadBody{Why: Unreadable, Err: fmt.Errorf("reading it panicked (%T)\n%s", p, debug.Stack())}
		}
	}()
	return load(ctx)
}

// put keeps a good answer or a lasting no.
func (s *shelf[T]) put(key string, v T, at time.Time, err error, now time.Time) kept[T] {
	s.mu.Lock()
	defer s.mu.Unlock()
	k := s.kept[key]
	var none *NoData
	var un *Unavailable
	switch {
	case err == nil:
		k = kept[T]{value: v, at: at}
	case errors.As(err, &none), errors.As(err, &un) && un.Why == BadRequest:
		k.no, k.noAt = err, now
	default:
		return k
	}
	if _, ok := s.kept[key]; !ok && len(s.kept) >= shelfRoom {
		s.drop(now)
	}
	s.kept[key] = k
	return k
}

// drop makes room: all that will never be given again, or else the oldest.
func (s *shelf[T]) drop(now time.Time) {
	oldest, age := "", time.Duration(-1)
	for key, k := range s.kept {
		d := min(now.Sub(k.at).Abs(), now.Sub(k.noAt).Abs())
		if d > s.ages.refuse {
			delete(s.kept, key)
			continue
		}
		if d > age {
			oldest, age = key, d
		}
	}
	if len(s.kept) >= shelfRoom {
		delete(s.kept, oldest)
	}
}
