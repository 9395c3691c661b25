package main

import (
	"context"
	"errors"
	"log/slog"
	"time"

	"ledgehand/bot/telegram"
	"ledgehand/session"
	"ledgehand/session/redisstore"
)

// How serve keeps its shards, and how often it looks.
const (
	leaseFor   = 30 * time.Second
	keepEvery  = 2 * time.Second // or a third of the lease
	tickEvery  = time.Second
	mendEvery  = 5 * time.Minute
	drainFor   = 20 * time.Second
	catchUpFor = time.Minute
)

// pollSeat is the seat of the one replica that polls: two pollers of one token take each other's updates away.
const pollSeat = "poll"

// join makes the house one replica among others.
func (h *house) join(store *redisstore.Store, lease time.Duration, log *slog.Logger) {
	h.share = newShare(h.owner, lease)
	h.share.store, h.share.now, h.share.log = store, h.now, log
	h.share.begin = func(ctx context.Context, s session.Shard) error { return h.reconcile(ctx, s, h.now(), log) }
	h.pump.Shards, h.pump.Use, h.pump.Inbox.Use, h.pump.Glance = h.share.shards, h.share.use, h.share.use, store.Heads
}

// run keeps our share, polls if that is ours to do, and moves the queues, until ctx ends.
func (h *house) run(ctx context.Context, set settings, store *redisstore.Store, log *slog.Logger) error {
	began := h.now()
	heard := newHeard(store, h.session, h.now, log)
	heard.patience = set.span(freshFor)
	h.pump.Fresh = heard.fresh
	work := context.WithoutCancel(ctx)

	if _, err := h.share.keep(ctx); err != nil {
		log.Error("shards not taken", "err", err)
	}
	pumping, stopPump := context.WithCancel(work)
	defer stopPump()
	pumped := make(chan struct{})
	go func() {
		defer close(pumped)
		// The "off the rocks" of somebody who is due may wait at Telegram: it is fetched before anything is judged
		// (I10). With Telegram away that cannot wait for ever: an alert decided now goes out when it is back.
		if err := heard.caughtUp(pumping, began, set.span(catchUpFor)); pumping.Err() != nil {
			return
		} else if err != nil {
			log.Warn("Telegram does not answer; deadlines are judged without what waits there", "err", err)
		}
		h.pump.Run(pumping, set.span(tickEvery))
	}()

	p := &polling{house: h, set: set, heard: heard, store: store, log: log, observe: onceEach(log)}
	trouble := ""
	keep, mend := time.NewTicker(set.span(min(keepEvery, set.lease/3))), time.NewTicker(set.span(mendEvery))
	defer keep.Stop()
	defer mend.Stop()
	var ended error
	p.keep(ctx)
	for ended == nil && ctx.Err() == nil {
		select {
		case <-ctx.Done():
		case err := <-p.done:
			p.done = nil
			if ended = err; err == nil && ctx.Err() == nil {
				ended = errors.New("polling ended")
			}
		case <-keep.C:
			_, err := h.share.keep(work)
			p.keep(ctx)
			switch {
			case err != nil && err.Error() != trouble:
				trouble = err.Error()
				log.Error("leases not all kept", "err", err)
			case err == nil:
				trouble = ""
			}
		case <-mend.C:
			for _, s := range h.share.shards() {
				if err := h.reconcile(work, s, h.now(), log); err != nil {
					log.Error("deadlines not compared", "shard", int(s), "err", err)
				}
			}
		}
	}
	// Stop in the order in which nothing is lost: no more updates are taken, then what is in hand is finished, then others may go on.
	drain, cancel := context.WithTimeout(work, drainFor)
	defer cancel()
	p.stop(drain)
	stopPump()
	<-pumped
	if err := h.pump.Settle(drain, h.now()); err != nil {
		log.Warn("what was not finished stays stored", "err", err)
	}
	if err := h.share.leave(drain); err != nil {
		log.Warn("shards end with their lease", "err", err)
	}
	return ended
}

// polling is the poller of this replica, while it has the seat.
type polling struct {
	house   *house
	set     settings
	heard   *heard
	store   session.Sharing
	log     *slog.Logger
	observe func(error)

	until time.Time  // of the seat, by our own clock
	done  chan error // how the poller ended; nil while it does not run
	end   context.CancelFunc
}

// keep takes or renews the seat, and polls while it is ours.
func (p *polling) keep(ctx context.Context) {
	now := p.house.now()
	err := p.store.Sit(context.WithoutCancel(ctx), pollSeat, p.house.owner, now, p.set.lease)
	switch {
	case err == nil:
		p.until = now.Add(p.set.lease)
		if p.done == nil {
			p.start(ctx)
		}
	case p.done != nil && (errors.Is(err, session.ErrFenced) || !now.Before(p.until)):
		p.log.Warn("another replica polls now", "err", err)
		p.end()
		<-p.done
		p.done = nil
	}
}

func (p *polling) start(ctx context.Context) {
	ctx, p.end = context.WithCancel(ctx)
	work := context.WithoutCancel(ctx)
	poller := &telegram.Poller{
		Token: p.set.token, Server: p.set.telegram, Take: updateTaker(p.house), Now: p.house.now, Observe: p.observe, Hold: max(time.Second, p.set.span(pollHold)),
		Again: p.heard.again, CaughtUp: func() {},
		Stored: func(by time.Time) {
			if err := p.heard.stored(work, by); err != nil {
				p.observe(err)
			}
		},
	}
	p.done = make(chan error, 1)
	go func(done chan error) { done <- poller.Run(ctx) }(p.done)
}

// stop stores the batch in hand and gives the seat up.
func (p *polling) stop(ctx context.Context) {
	if p.done != nil {
		p.end()
		if err := <-p.done; err != nil {
			p.log.Error("polling ended", "err", err)
		}
		p.done = nil
	}
	if err := p.store.Stand(ctx, pollSeat, p.house.owner); err != nil {
		p.log.Warn("the poller's seat ends with its lease", "err", err)
	}
}
