package main

import (
	"context"
	"crypto/rand"
	"fmt"
	"log/slog"
	"slices"
	"sync"
	"time"

	"ledgehand/bot"
	"ledgehand/bot/chat"
	"ledgehand/bot/mail"
	"ledgehand/bot/pump"
	"ledgehand/bot/vitals"
	"ledgehand/session"
	"ledgehand/session/catch/weight"
)

// house is the bot with everything it stands on. Demo, chat and serve differ only in what they put in here.
type house struct {
	store interface {
		session.Store
		session.Leases
	}
	session *session.Service
	desk    *bot.Desk
	pump    *pump.Pump
	now     func() time.Time
	owner   string
	vitals  *vitals.Vitals // nil where nobody watches
	share   *share         // nil: all shards are ours, under fences

	mu      sync.Mutex
	fences  [session.Shards]session.Fence
	touched []session.Shard // those that something came in for
}

// parts is what a house is built of.
type parts struct {
	store interface {
		session.Store
		session.Leases
	}
	seer   bot.Seer
	sender bot.Sender
	mail   *mail.Sender // nil: nobody can be written to by mail
	decode func(raw []byte, got time.Time) (chat.Request, error)
	link   func(token string) string
	token  func() string // nil: random
	now    func() time.Time
	log    *slog.Logger

	weights *weight.Table // nil: the bundled one
}

func build(p parts) *house {
	h := &house{store: p.store, now: p.now, owner: rand.Text()}
	h.session = session.New(p.store, h.fence)
	if p.token == nil {
		p.token = func() string { return rand.Text()[:20] }
	}
	sender := ways{p.sender, p.mail}
	h.desk = &bot.Desk{Session: h.session, Seer: p.seer, Sender: sender, Log: p.log, Link: p.link, Token: p.token, Mails: p.mail != nil, Weights: p.weights}
	h.pump = &pump.Pump{
		Inbox:  &pump.Inbox{Store: p.store, Fence: h.fence, Decode: p.decode, Desk: h.desk, Log: p.log},
		Outbox: &pump.Outbox{Store: p.store, Fence: h.fence, Sender: sender, Log: p.log, Now: p.now},
		Sweep: func(ctx context.Context, s session.Shard, now time.Time) (int, error) {
			return h.session.Sweep(ctx, s, now, h.desk)
		},
		Now: p.now, Log: p.log,
	}
	return h
}

func (h *house) fence(s session.Shard) session.Fence {
	if h.share != nil {
		return h.share.fence(s)
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.fences[s]
}

// lead takes or renews all shards for ttl. ErrFenced when another replica serves one of them.
func (h *house) lead(ctx context.Context, now time.Time, ttl time.Duration) error {
	for s := range session.Shard(session.Shards) {
		f, err := h.store.Lead(ctx, s, h.owner, now, ttl)
		if err != nil {
			return fmt.Errorf("take shard %d: %w", s, err)
		}
		h.mu.Lock()
		h.fences[s] = f
		h.mu.Unlock()
	}
	return nil
}

// take puts one raw update durably into the inbox of its chat's shard (I1).
func (h *house) take(ctx context.Context, id string, to int64, raw []byte, got time.Time) error {
	s := session.ShardOfChat(to)
	if _, err := h.store.Take(ctx, s, session.Letter{ID: id, Got: got, Body: raw}); err != nil {
		return fmt.Errorf("store update: %w", err)
	}
	h.mu.Lock()
	if !slices.Contains(h.touched, s) {
		h.touched = append(h.touched, s)
	}
	h.mu.Unlock()
	h.pump.Kick(s)
	return nil
}

// alive are the shards that something came in for since the start: with a store that began empty, nothing else can
// move. serve, whose store did not, looks at all of them.
func (h *house) alive() []session.Shard {
	h.mu.Lock()
	defer h.mu.Unlock()
	return slices.Clone(h.touched)
}

// settle lets the queues of a store that began empty come to rest.
func (h *house) settle(ctx context.Context, now time.Time) error {
	shards := h.alive()
	if len(shards) == 0 {
		return nil
	}
	return h.pump.Settle(ctx, now, shards...)
}

// reconcile makes the due index of a shard agree with its records, and says what had to be mended.
func (h *house) reconcile(ctx context.Context, s session.Shard, now time.Time, log *slog.Logger) error {
	mended, err := h.session.Reconcile(ctx, s, now)
	for _, key := range mended {
		log.Warn("deadline mended", "record", key)
	}
	h.vitals.Reconciled(len(mended), err)
	if err != nil {
		return fmt.Errorf("compare deadlines with records: %w", err)
	}
	return nil
}
