package main

import (
	"context"
	"fmt"
	"log/slog"
	"sync"
	"time"

	"ledgehand/session"
)

// heard knows by when all that people said is stored. When nobody was heard for long enough that taps are lost, everybody who is
// out is told, once (I10).
type heard struct {
	store   session.Sharing
	session *session.Service
	now     func() time.Time
	log     *slog.Logger
	again   chan struct{} // asks the poller of this replica not to wait
	// patience is how long a judgement waits for what may be at Telegram.
	patience time.Duration

	mu     sync.Mutex
	by     time.Time // all that came in by then is stored, as far as this replica knows
	beaten time.Time // the last beat of ours
	news   chan struct{}
}

// How old what was heard may be. Telegram keeps taps for 150 s, and holds a quiet poll open for pollHold; beats need not come oftener
// than beatEvery.
const (
	pollHold  = 25 * time.Second
	beatEvery = 5 * time.Second
	staleFrom = 90 * time.Second
	deafFrom  = 140 * time.Second
	freshFor  = 10 * time.Second
)

func newHeard(store session.Sharing, s *session.Service, now func() time.Time, log *slog.Logger) *heard {
	return &heard{store: store, session: s, now: now, log: log, again: make(chan struct{}, 1), news: make(chan struct{}), patience: freshFor}
}

// stored notes that all that came in by then is stored. The beat moves only after the time before it is told of, so that a crash in
// between tells it again.
func (h *heard) stored(ctx context.Context, by time.Time) error {
	h.mu.Lock()
	recent := by.Sub(h.beaten) < beatEvery
	h.mu.Unlock()
	if !recent {
		last, err := h.store.LastBeat(ctx)
		if err != nil {
			return err
		}
		if !last.IsZero() && by.Sub(last) >= deafFrom {
			h.log.Warn("nobody was heard for a while; those who are out are told", "from", last, "to", by)
			if err := h.session.NoteDeaf(ctx, last, by); err != nil {
				return err
			}
		}
		if err := h.store.Beat(ctx, by); err != nil {
			return err
		}
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if !recent {
		h.beaten = by
	}
	h.learn(by)
	return nil
}

func (h *heard) learn(by time.Time) {
	if by.After(h.by) {
		h.by = by
		close(h.news)
		h.news = make(chan struct{})
	}
}

// fresh returns once what was heard is recent, or after a while all the same: with Telegram away an alert is tried late, not never.
func (h *heard) fresh(ctx context.Context) {
	_ = h.await(ctx, h.patience, true, func(by time.Time) bool { return h.now().Sub(by) < staleFrom })
}

// caughtUp waits until all that waited when we began is stored, by us or by another.
func (h *heard) caughtUp(ctx context.Context, since time.Time, patience time.Duration) error {
	return h.await(ctx, patience, false, func(by time.Time) bool { return !by.Before(since) })
}

// await waits until what is stored is enough; hurry asks the poller not to rest meanwhile.
func (h *heard) await(ctx context.Context, patience time.Duration, hurry bool, enough func(by time.Time) bool) error {
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	for {
		by, err := h.store.LastBeat(ctx) // perhaps another replica's
		h.mu.Lock()
		if err == nil {
			h.learn(by)
		}
		by, news := h.by, h.news
		h.mu.Unlock()
		if enough(by) {
			return nil
		}
		if hurry {
			select {
			case h.again <- struct{}{}:
			default:
			}
		}
		look := time.NewTimer(min(time.Second, h.patience/4))
		select {
		case <-news:
		case <-look.C:
		case <-ctx.Done():
			look.Stop()
			return fmt.Errorf("wait for what is at Telegram: %w", ctx.Err())
		}
		look.Stop()
	}
}
