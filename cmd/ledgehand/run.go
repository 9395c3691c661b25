package main

import (
	"context"
	"errors"
	"log/slog"
	"time"

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

// join makes the house one replica among others.
func (h *house) join(store *redisstore.Store, lease time.Duration, log *slog.Logger) {
	h.share = newShare(h.owner, lease)
	h.share.store = struct {
		session.Leases
		session.Sharing
	}{h.store, store}
	h.share.now, h.share.log = h.now, log
	h.share.begin = func(ctx context.Context, s session.Shard) error { return h.reconcile(ctx, s, h.now(), log) }
	h.pump.Shards, h.pump.Use, h.pump.Inbox.Use, h.pump.Outbox.Use, h.pump.Glance = h.share.shards, h.share.use, h.share.use, h.share.use, store.Heads
	h.pump.Outbox.Ours = h.share.leads
}

// run keeps our share, polls if that is ours to do, and moves the queues, until ctx ends.
func (h *house) run(ctx context.Context, set settings, store *redisstore.Store, hooks hookSetter, log *slog.Logger) error {
	began := h.now()
	heard := newHeard(store, h.session, h.now, log)
	heard.patience = set.span(freshFor)
	h.pump.Fresh = heard.fresh
	work := context.WithoutCancel(ctx)

	p := receiving(h, set, heard, store, hooks, log)
	if err := p.open(ctx); err != nil {
		return err // before anything is ours
	}
	if err := h.share.keep(ctx); err != nil {
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

	trouble := ""
	keep, mend := time.NewTicker(set.span(min(keepEvery, set.lease/3))), time.NewTicker(set.span(mendEvery))
	defer keep.Stop()
	defer mend.Stop()
	var ended error
	p.keep(ctx)
	for ended == nil && ctx.Err() == nil {
		select {
		case <-ctx.Done():
		case err := <-p.ended():
			p.over()
			if ended = err; err == nil && ctx.Err() == nil {
				ended = errors.New("polling ended")
			}
		case <-keep.C:
			err := h.share.keep(work)
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
