package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"time"

	"ledgehand/bot/telegram"
	"ledgehand/session"
)

// hooking receives by webhook. Every replica listens; the one that has the seat tells Telegram the address and looks whether
// Telegram gets through.
type hooking struct {
	house   *house
	set     settings
	heard   *heard
	store   session.Sharing
	hooks   hookSetter
	log     *slog.Logger
	observe func(error)

	web   *http.Server
	done  chan error
	told  bool      // Telegram has our address
	asked time.Time // when we last looked
}

// hookLook is how often whoever has the seat asks Telegram whether it gets through to us.
const hookLook = 10 * time.Second

// Bounds of one delivery. A body is at most a mebibyte; whoever takes longer to send it is not Telegram.
const (
	hookHeader = 5 * time.Second
	hookBody   = 20 * time.Second
	hookIdle   = 90 * time.Second
)

func (k *hooking) open(ctx context.Context) error {
	hook := &telegram.Webhook{Secret: k.set.hookSecret, Take: updateTaker(k.house), Now: k.house.now, Observe: func(err error) {
		if !errors.Is(err, telegram.ErrStranger) { // anybody may knock
			k.observe(err)
		}
	}}
	if err := hook.Check(); err != nil {
		return fmt.Errorf("LEDGEHAND_WEBHOOK_SECRET_FILE: %w", err)
	}
	l, err := net.Listen("tcp", k.set.listen)
	if err != nil {
		return fmt.Errorf("listen at LEDGEHAND_LISTEN: %w", err)
	}
	k.web = &http.Server{Handler: hook, ReadHeaderTimeout: hookHeader, ReadTimeout: hookBody, IdleTimeout: hookIdle, MaxHeaderBytes: 1 << 14,
		ErrorLog: slog.NewLogLogger(slog.DiscardHandler, slog.LevelDebug)} // it quotes what strangers send
	k.done = make(chan error, 1)
	go func() {
		err := k.web.Serve(l)
		if errors.Is(err, http.ErrServerClosed) {
			err = nil
		}
		k.done <- err
	}()
	return nil
}

// keep sees to the webhook while we have the seat. That Telegram has nothing left for us is what a quiet poll says elsewhere.
func (k *hooking) keep(ctx context.Context) {
	now := k.house.now()
	if err := k.store.Sit(context.WithoutCancel(ctx), receiveSeat, k.house.owner, now, k.set.lease); err != nil {
		k.told = false
		return
	}
	if now.Sub(k.asked) < hookLook {
		return
	}
	k.asked = now
	if !k.told {
		if err := k.hooks.SetWebhook(ctx, k.set.hookURL, k.set.hookSecret); err != nil {
			k.observe(err)
			return
		}
		k.told = true
	}
	info, err := k.hooks.WebhookInfo(ctx)
	switch {
	case err != nil:
		k.observe(err)
	case info.Pending > 0 && now.Sub(info.Failed) < staleFrom:
		k.observe(fmt.Errorf("the webhook is not reached, %d updates wait: %s", info.Pending, info.Why))
	default:
		k.observe(nil)
		if err := k.heard.stored(context.WithoutCancel(ctx), now); err != nil {
			k.observe(err)
		}
	}
}

func (k *hooking) ended() <-chan error { return k.done }

func (k *hooking) over() { k.done = nil }

// stop ends listening once what is under way is stored; what comes meanwhile Telegram sends again. The webhook stays set: another
// replica, or the next start, listens behind it.
func (k *hooking) stop(ctx context.Context) {
	if k.web != nil {
		if err := k.web.Shutdown(ctx); err != nil {
			k.log.Warn("deliveries under way come again", "err", err)
		}
	}
	if err := k.store.Stand(ctx, receiveSeat, k.house.owner); err != nil {
		k.log.Warn("the webhook's seat ends with its lease", "err", err)
	}
}
