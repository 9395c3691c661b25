package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/url"
	"strings"
	"time"

	"ledgehand/bot"
	"ledgehand/bot/telegram"
	"ledgehand/bot/vitals"
	"ledgehand/conditions"
	"ledgehand/conditions/feed"
	"ledgehand/conditions/measure"
	"ledgehand/session"
	"ledgehand/session/redisstore"
)

// vitalSettings say who may look and who is called.
type vitalSettings struct {
	listen string        // where /metrics, /healthz and /readyz are answered; empty: nowhere
	dog    string        // the watchdog's address, a secret; empty: none
	every  time.Duration // between two calls to it
}

func readVitals(get func(string) string) (s vitalSettings, err error) {
	s = vitalSettings{listen: get("LEDGEHAND_METRICS"), dog: get("LEDGEHAND_WATCHDOG_URL"), every: time.Minute}
	var errs []error
	if s.listen != "" {
		if _, _, err := net.SplitHostPort(s.listen); err != nil {
			errs = append(errs, fmt.Errorf("LEDGEHAND_METRICS is %q: where to answer a scraper, host:port. Type: export LEDGEHAND_METRICS=127.0.0.1:9464", s.listen))
		}
	}
	if u, err := url.Parse(s.dog); s.dog != "" && (err != nil || u.Scheme != "https" && u.Scheme != "http" || u.Host == "") {
		errs = append(errs, errors.New("LEDGEHAND_WATCHDOG_URL is no address: what to call while all is well, http(s)://host/path. Type: export LEDGEHAND_WATCHDOG_URL=https://host/path"))
	}
	if v := get("LEDGEHAND_WATCHDOG_EVERY"); v != "" {
		if s.every, err = time.ParseDuration(v); err != nil || s.every < 10*time.Second || s.every > time.Hour {
			errs = append(errs, fmt.Errorf("LEDGEHAND_WATCHDOG_EVERY is %q: how long between two calls to the watchdog, 10s to 1h. Type: export LEDGEHAND_WATCHDOG_EVERY=1m", v))
		}
	}
	return s, errors.Join(errs...)
}

// openVitals makes what the settings ask for and answers from then on; stop ends it. It always listens to the bot, which costs next to nothing.
func openVitals(ctx context.Context, set vitalSettings, store *redisstore.Store, now func() time.Time, log *slog.Logger) (v *vitals.Vitals, stop func(), err error) {
	v = vitals.New(vitals.Options{
		Now: now, Log: log, Gauge: store, Heard: store.LastBeat, FeedWhys: feedWords(), Watchdog: set.dog, Every: set.every,
	})
	ctx, cancel := context.WithCancel(context.WithoutCancel(ctx)) // it is watched to its end
	looked := make(chan struct{})
	web := func() {}
	if set.listen != "" {
		if web, err = answerAt(set.listen, vitals.Handler(v), log); err != nil {
			cancel()
			return nil, nil, err
		}
	}
	go func() { defer close(looked); v.Run(ctx) }()
	return v, func() { cancel(); <-looked; web() }, nil
}

// answerAt serves a handler at an address until told to stop.
func answerAt(address string, h http.Handler, log *slog.Logger) (stop func(), err error) {
	l, err := net.Listen("tcp", address)
	if err != nil {
		return nil, fmt.Errorf("listen at LEDGEHAND_METRICS: %w", err)
	}
	server := &http.Server{
		Handler: h, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 10 * time.Second, WriteTimeout: 30 * time.Second,
		IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 16 << 10, ErrorLog: slog.NewLogLogger(log.Handler(), slog.LevelDebug),
	}
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		if err := server.Serve(l); !errors.Is(err, http.ErrServerClosed) {
			log.Error("metrics are not answered any more", "err", err)
		}
	}()
	log.Info("metrics are answered", "at", l.Addr().String())
	return func() { _ = server.Close(); <-ended }, nil
}

// watch lets v hear what the bot does. To be called before anything moves.
func (h *house) watch(v *vitals.Vitals) {
	h.vitals = v
	h.pump.Observer, h.pump.Inbox.Observer, h.pump.Outbox.Observer = v, v, v
}

// polls tells v how polling goes, and then the others who want to know.
func polls(v *vitals.Vitals, then func(error)) func(error) {
	return func(err error) {
		v.Polled(pollWord(err))
		then(err)
	}
}

func pollWord(err error) string {
	switch {
	case err == nil:
		return vitals.PollOK
	case errors.Is(err, telegram.ErrToken):
		return vitals.PollToken
	case errors.Is(err, telegram.ErrOtherPoller):
		return vitals.PollConflict
	case errors.Is(err, telegram.ErrFlood):
		return vitals.PollFlood
	case errors.Is(err, session.ErrUnavailable):
		return vitals.PollStore
	}
	return vitals.PollFailed
}

// feedWord is why a feed failed, as one word.
func feedWord(why feed.Why) string { return strings.ReplaceAll(string(why), " ", "_") }

func feedWords() (out []string) {
	for _, w := range feed.Whys {
		out = append(out, feedWord(w))
	}
	return out
}

// heardSeer tells v what asking each feed came to.
type heardSeer struct {
	bot.Seer
	v *vitals.Vitals
}

func (h heardSeer) fed(name string, err error, silent string) {
	switch status, why := feed.Status(err); {
	case status != "ok":
		h.v.Fed(name, feedWord(why))
	case silent != "":
		h.v.Fed(name, vitals.FeedPartly)
	default:
		h.v.Fed(name, vitals.FeedOK)
	}
}

func (h heardSeer) Sea(ctx context.Context, a feed.Anchor, now time.Time) (*conditions.Sea, error) {
	s, err := h.Seer.Sea(ctx, a, now)
	silent := ""
	if s != nil {
		silent = s.Source.Silent
	}
	h.fed(vitals.FeedSea, err, silent)
	return s, err
}

func (h heardSeer) Weather(ctx context.Context, a feed.Anchor, now time.Time) (*conditions.Weather, error) {
	w, err := h.Seer.Weather(ctx, a, now)
	silent := ""
	if w != nil {
		silent = w.Source.Silent
	}
	h.fed(vitals.FeedWeather, err, silent)
	return w, err
}

func (h heardSeer) Warnings(ctx context.Context, p feed.WarningPlace, now time.Time) conditions.Warnings {
	w := h.Seer.Warnings(ctx, p, now)
	if w.State == conditions.WarningsUnknown {
		h.v.Fed(vitals.FeedWarnings, feedWord(feed.Why(w.Why)))
	} else {
		h.v.Fed(vitals.FeedWarnings, vitals.FeedOK)
	}
	return w
}

func (h heardSeer) Buoy(ctx context.Context, a feed.Anchor, faces *measure.From, now time.Time) (*conditions.Observed, error) {
	o, err := h.Seer.Buoy(ctx, a, faces, now)
	h.fed(vitals.FeedBuoy, err, "")
	return o, err
}
