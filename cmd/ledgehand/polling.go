package main

import (
	"context"
	"errors"
	"log/slog"
	"time"

	"ledgehand/bot/telegram"
	"ledgehand/session"
)

// receiver is how updates come to us: by polling or by a webhook.
type receiver interface {
	// open begins to listen, where others call us.
	open(ctx context.Context) error
	// keep takes or renews what only one replica does.
	keep(ctx context.Context)
	// ended hears of a receiver that ended by itself; over takes note of it.
	ended() <-chan error
	over()
	// stop stores what is in hand and gives up what only one replica does.
	stop(ctx context.Context)
}

// hookSetter sets and looks at the webhook.
type hookSetter interface {
	SetWebhook(ctx context.Context, address, secret string) error
	DeleteWebhook(ctx context.Context) error
	WebhookInfo(ctx context.Context) (telegram.WebhookInfo, error)
}

// receiveSeat is the seat of the one replica that polls, for two pollers of one token take each other's updates away, or that sees to
// the webhook.
const receiveSeat = "poll"

func receiving(h *house, set settings, heard *heard, store session.Sharing, hooks hookSetter, log *slog.Logger) receiver {
	observe := polls(h.vitals, onceEach(log))
	if set.hookURL != "" {
		return &hooking{house: h, set: set, heard: heard, store: store, hooks: hooks, log: log, observe: observe}
	}
	return &polling{house: h, set: set, heard: heard, store: store, hooks: hooks, log: log, observe: observe}
}

// polling is the poller of this replica, while it has the seat.
type polling struct {
	house   *house
	set     settings
	heard   *heard
	store   session.Sharing
	hooks   hookSetter
	log     *slog.Logger
	observe func(error)

	until time.Time  // of the seat, by our own clock
	done  chan error // how the poller ended; nil while it does not run
	end   context.CancelFunc
}

// keep takes or renews the seat, and polls while it is ours.
func (p *polling) keep(ctx context.Context) {
	now := p.house.now()
	err := p.store.Sit(context.WithoutCancel(ctx), receiveSeat, p.house.owner, now, p.set.lease)
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
		Again: p.heard.again, CaughtUp: func() {}, // what waits at the start is not to wait for a poll that is held open
		Stored: func(by time.Time) {
			if err := p.heard.stored(work, by); err != nil {
				p.observe(err)
			}
		},
	}
	p.done = make(chan error, 1)
	go func(done chan error) {
		if err := p.hooks.DeleteWebhook(ctx); err != nil { // while one is set polls are refused; what waits is kept
			p.log.Warn("a webhook may still be set", "err", err)
		}
		done <- poller.Run(ctx)
	}(p.done)
}

func (p *polling) open(context.Context) error { return nil }

func (p *polling) ended() <-chan error { return p.done }

func (p *polling) over() { p.done = nil }

// stop stores the batch in hand and gives the seat up.
func (p *polling) stop(ctx context.Context) {
	if p.done != nil {
		p.end()
		if err := <-p.done; err != nil {
			p.log.Error("polling ended", "err", err)
		}
		p.done = nil
	}
	if err := p.store.Stand(ctx, receiveSeat, p.house.owner); err != nil {
		p.log.Warn("the poller's seat ends with its lease", "err", err)
	}
}
