package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"slices"
	"strings"
	"sync"
	"time"

	"ledgehand/bot"
	"ledgehand/bot/bottest"
	"ledgehand/bot/chat"
	"ledgehand/bot/mail"
	"ledgehand/bot/telegram"
	"ledgehand/bot/vitals"
	"ledgehand/conditions/feed"
	"ledgehand/session"
)

// stage is the whole bot on real parts with an invented day around it: the fake Bot API server behind a real
// socket, the real poller and client talking HTTP to it, the real store, and a clock that jumps from one thing
// that falls due to the next. The demo and the end-to-end tests play on it.
type stage struct {
	server *bottest.Server
	house  *house

	mu    sync.Mutex
	clock time.Time

	stops []func()
	done  chan error // the poller's end
}

const stageToken = bottest.Token

// stageParts is what a stage can be given instead of its own.
type stageParts struct {
	store interface {
		session.Store
		session.Leases
	}
	seer   bot.Seer
	mail   *mail.Options // the mail server; nil: there is none. The time is the stage's
	log    *slog.Logger
	vitals func(now func() time.Time, g session.Gauge) *vitals.Vitals // nil: nobody watches
}

// openStage raises the curtain at an instant.
func openStage(ctx context.Context, start time.Time, p stageParts) (*stage, error) {
	st := &stage{clock: start, done: make(chan error, 1)}
	if p.log == nil {
		p.log = slog.New(slog.DiscardHandler)
	}
	if p.store == nil {
		store, stop, err := memory(ctx)
		if err != nil {
			return nil, err
		}
		st.stops = append(st.stops, stop)
		p.store = store
	}
	st.server = bottest.NewServer(st.now)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return nil, errors.Join(fmt.Errorf("open the fake Bot API server: %w", err), st.close())
	}
	web := &http.Server{Handler: st.server, ReadHeaderTimeout: 10 * time.Second}
	go func() { _ = web.Serve(l) }()
	st.stops = append(st.stops, func() { _ = web.Close() })
	address := "http://" + l.Addr().String()

	sender, err := telegram.NewSender(telegram.Options{Token: stageToken, Server: address, Client: &http.Client{Timeout: 20 * time.Second}})
	if err != nil {
		return nil, errors.Join(err, st.close())
	}
	me, err := sender.GetMe(ctx)
	if err != nil {
		return nil, errors.Join(err, st.close())
	}
	var seen *vitals.Vitals
	if p.vitals != nil {
		gauge, _ := p.store.(session.Gauge)
		seen = p.vitals(st.now, gauge)
		p.store, p.seer = seen.Hear(p.store), heardSeer{p.seer, seen}
	}
	var letters *mail.Sender
	if p.mail != nil {
		o := *p.mail
		o.Now = st.now
		if letters, err = mail.NewSender(o); err != nil {
			return nil, errors.Join(err, st.close())
		}
	}
	st.house = build(parts{
		store: p.store, seer: p.seer, sender: sender, mail: letters, now: st.now, log: p.log,
		decode: func(raw []byte, got time.Time) (chat.Request, error) { return telegram.Decode(raw, got, me) },
		link:   func(token string) string { return deepLink(me.Username, token) },
	})
	st.house.watch(seen)
	if err := st.house.lead(ctx, start, 365*24*time.Hour); err != nil {
		return nil, errors.Join(err, st.close())
	}
	polling, stop := context.WithCancel(ctx)
	poller := &telegram.Poller{Token: stageToken, Server: address, Take: updateTaker(st.house), Now: st.now, Hold: 5 * time.Second}
	go func() { st.done <- poller.Run(polling) }()
	st.stops = append(st.stops, func() { stop(); <-st.done })
	return st, nil
}

// updateTaker names an update's letter after its id.
func updateTaker(h *house) func(ctx context.Context, id string, to int64, raw []byte, got time.Time) error {
	return func(ctx context.Context, id string, to int64, raw []byte, got time.Time) error {
		return h.take(ctx, "u"+id, to, raw, got)
	}
}

func deepLink(bot, token string) string { return "https://t.me/" + bot + "?start=" + token }

func (st *stage) now() time.Time {
	st.mu.Lock()
	defer st.mu.Unlock()
	return st.clock
}

func (st *stage) set(t time.Time) {
	st.mu.Lock()
	defer st.mu.Unlock()
	st.clock = t
}

// close ends everything, last opened first.
func (st *stage) close() error {
	for _, stop := range slices.Backward(st.stops) {
		stop()
	}
	st.stops = nil
	return nil
}

// settle waits until Telegram's queue is empty and the bot has done all it has to do at this instant.
func (st *stage) settle(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, 20*time.Second)
	defer cancel()
	for {
		for st.server.Pending() > 0 {
			select {
			case err := <-st.done:
				st.done <- err
				return fmt.Errorf("the poller ended: %w", err)
			case <-ctx.Done():
				return fmt.Errorf("updates are not fetched: %w", ctx.Err())
			case <-time.After(time.Millisecond):
			}
		}
		if err := st.house.settle(ctx, st.now()); err != nil {
			return err
		}
		if st.server.Pending() == 0 {
			return nil
		}
	}
}

// until lets time pass, stopping at everything that falls due on the way.
func (st *stage) until(ctx context.Context, t time.Time) error {
	for {
		next, err := st.nextDue(ctx)
		if err != nil {
			return err
		}
		if next.IsZero() || next.After(t) {
			break
		}
		if next.After(st.now()) {
			st.set(next)
		}
		before := st.now()
		if err := st.settle(ctx); err != nil {
			return err
		}
		if again, err := st.nextDue(ctx); err != nil {
			return err
		} else if !again.After(before) && !again.IsZero() {
			return fmt.Errorf("what was due at %s is due still", again.Format(time.RFC3339))
		}
	}
	st.set(t)
	return st.settle(ctx)
}

func (st *stage) nextDue(ctx context.Context) (time.Time, error) {
	var next time.Time
	for _, s := range st.house.alive() {
		items, err := st.house.store.AllDue(ctx, s)
		if err != nil {
			return next, fmt.Errorf("read what is due: %w", err)
		}
		for _, it := range items {
			if next.IsZero() || it.At.Before(next) {
				next = it.At
			}
		}
	}
	return next, nil
}

// tap presses the newest button with that label in a chat.
func (st *stage) tap(chatID, person int64, label string) error {
	posts := st.server.Messages(chatID)
	for _, p := range slices.Backward(posts) {
		for _, row := range p.Buttons {
			for _, b := range row {
				if b.Label == label {
					_, err := st.server.Tap(chatID, person, p.ID, label)
					return err
				}
			}
		}
	}
	return fmt.Errorf("no message in chat %d has a button %q", chatID, label)
}

// said finds the newest message of the bot in a chat that contains all the words.
func (st *stage) said(chatID int64, words ...string) (bottest.Post, bool) {
	for _, p := range slices.Backward(st.server.Messages(chatID)) {
		if !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(p.Text, w) }) {
			return p, true
		}
	}
	return bottest.Post{}, false
}

var _ bot.Seer = (*feed.Recorded)(nil)
