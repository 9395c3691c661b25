package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"maps"
	"os"
	"strings"
	"time"

	"ledgehand/bot"
	"ledgehand/bot/chat"
	"ledgehand/bot/telegram"
	"ledgehand/bot/wording"
	"ledgehand/conditions/feed"
	"ledgehand/conditions/warning"
	"ledgehand/session"
	"ledgehand/session/redisstore"
)

// settings of serve come from the environment: a token in the arguments would be seen by everybody on the machine.
type settings struct {
	token, tokenFile string
	redis            string
	redisUser        string
	redisPassword    string
	keyFile          string
	agent            string
	telegram         string // another Bot API server, for tests and one's own
	marine, forecast string // another forecast server
	alerts           string
	models           string        // wave models, parted by commas
	buoys, met       string        // other servers; "off" leaves one out
	areas            string        // files with the outlines of coded areas, parted by commas
	caps             string        // COUNTRY=address of an index of CAP messages, parted by spaces
	lease            time.Duration // how long a replica that died keeps others from serving
	vitals           vitalSettings
}

// readSettings names every setting that is missing, with what to type.
func readSettings(get func(string) string) (settings, error) {
	s := settings{
		token: get("LEDGEHAND_TOKEN"), tokenFile: get("LEDGEHAND_TOKEN_FILE"),
		redis: get("LEDGEHAND_REDIS"), redisUser: get("LEDGEHAND_REDIS_USER"), redisPassword: get("LEDGEHAND_REDIS_PASSWORD"),
		keyFile: get("LEDGEHAND_KEY_FILE"), agent: get("LEDGEHAND_USER_AGENT"), telegram: get("LEDGEHAND_TELEGRAM_URL"),
		marine: get("LEDGEHAND_MARINE_URL"), forecast: get("LEDGEHAND_FORECAST_URL"), alerts: get("LEDGEHAND_ALERTS_URL"),
		models: get("LEDGEHAND_MARINE_MODELS"), buoys: get("LEDGEHAND_BUOYS_URL"), met: get("LEDGEHAND_MET_URL"), caps: get("LEDGEHAND_CAP_INDEXES"), areas: get("LEDGEHAND_WARNING_AREAS"),
	}
	var errs []error
	need := func(have bool, name, what, example string) {
		if !have {
			errs = append(errs, fmt.Errorf("%s is not set: %s. Type: export %s=%s", name, what, name, example))
		}
	}
	need(s.token != "" || s.tokenFile != "", "LEDGEHAND_TOKEN", "the bot's token, from Telegram's BotFather (or LEDGEHAND_TOKEN_FILE, a file with it)", "123456:the-token")
	need(s.redis != "", "LEDGEHAND_REDIS", "the address of a Redis server, 7.0 or newer", "127.0.0.1:6379")
	need(s.keyFile != "", "LEDGEHAND_KEY_FILE", "a file with the sealing key (make one once, and keep a copy elsewhere: ledgehand key > ledgehand.key)", "ledgehand.key")
	need(s.agent != "", "LEDGEHAND_USER_AGENT", "how the forecast services can reach you", `"ledgehand/1 (you@your-domain)"`)
	if err := errors.Join(errs...); err != nil {
		return s, err
	}
	var err error
	if s.vitals, err = readVitals(get); err != nil {
		return s, err
	}
	s.lease = leaseFor
	if v := get("LEDGEHAND_LEASE"); v != "" {
		d, err := time.ParseDuration(v)
		if err != nil || d < time.Second || d > 5*time.Minute {
			return s, fmt.Errorf("LEDGEHAND_LEASE is %q: how long a replica that died keeps its shards, 1s to 5m. Type: export LEDGEHAND_LEASE=30s", v)
		}
		s.lease = d
	}
	if s.token == "" {
		raw, err := os.ReadFile(s.tokenFile)
		if err != nil {
			return s, fmt.Errorf("read LEDGEHAND_TOKEN_FILE: %w", err)
		}
		s.token = strings.TrimSpace(string(raw))
	}
	return s, nil
}

// How serve keeps its shards, and how often it looks.
const (
	leaseFor   = 30 * time.Second // renewed at a third of it
	tickEvery  = time.Second
	mendEvery  = 5 * time.Minute
	drainFor   = 20 * time.Second
	catchUpFor = time.Minute
)

// runServe serves Telegram until told to stop; then it stores what it has in hand, gives its shards up and ends.
func runServe(ctx context.Context, args []string, _ io.Reader, out, errOut io.Writer) error {
	if len(args) > 0 {
		return fmt.Errorf("%w: it takes no arguments, only settings in the environment", errUsage)
	}
	set, err := readSettings(os.Getenv)
	if err != nil {
		return err
	}
	log := slog.New(slog.NewTextHandler(errOut, nil))
	redisstore.LogTo(log)
	return serve(ctx, set, log, out)
}

func serve(ctx context.Context, set settings, log *slog.Logger, out io.Writer) error {
	keys, err := os.ReadFile(set.keyFile)
	if err != nil {
		return fmt.Errorf("read LEDGEHAND_KEY_FILE: %w (make one: ledgehand key > ledgehand.key)", err)
	}
	ring, err := redisstore.ParseKeyring(string(keys))
	if err != nil {
		return fmt.Errorf("read LEDGEHAND_KEY_FILE: %w", err)
	}
	store, err := redisstore.Open(ctx, redisstore.Options{Addrs: strings.Split(set.redis, ","), Username: set.redisUser, Password: set.redisPassword, Sealer: ring})
	if err != nil {
		return fmt.Errorf("reach Redis at LEDGEHAND_REDIS: %w", err)
	}
	defer func() { _ = store.Close() }()
	if err := checkStore(ctx, store, log); err != nil {
		return err
	}
	caps, err := capIndexes(set.caps)
	if err != nil {
		return err
	}
	areas, err := warningAreas(set.areas)
	if err != nil {
		return err
	}
	seer, err := feed.NewClient(feed.Settings{
		UserAgent: set.agent, MarineURL: set.marine, ForecastURL: set.forecast, AlertsURL: set.alerts, BuoysURL: set.buoys, MetURL: set.met, CAPIndexes: caps, Areas: areas, Shared: store.Answers(), Models: strings.FieldsFunc(set.models, func(r rune) bool { return r == ',' }),
	})
	if err != nil {
		return fmt.Errorf("LEDGEHAND_USER_AGENT: %w", err)
	}
	defer seer.Close()
	sender, err := telegram.NewSender(telegram.Options{Token: set.token, Server: set.telegram})
	if err != nil {
		return err
	}
	me, err := sender.GetMe(ctx)
	if err != nil {
		return fmt.Errorf("ask Telegram who we are: %w", err)
	}
	seen, unwatch, err := openVitals(ctx, set.vitals, store, false, log)
	if err != nil {
		return err
	}
	defer unwatch()
	h := build(parts{
		store: seen.Hear(store), seer: heardSeer{seer, seen}, sender: sender, now: time.Now, log: log,
		decode: func(raw []byte, got time.Time) (chat.Request, error) { return telegram.Decode(raw, got, me) },
		link:   func(token string) string { return deepLink(me.Username, token) },
	})
	h.watch(seen)
	if err := takeOver(ctx, h, set.lease, log); err != nil {
		return err
	}
	// From here on shards are ours, and are given up whatever happens.
	defer func() {
		ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), 5*time.Second)
		defer cancel()
		if err := h.resign(ctx); err != nil {
			log.Warn("shards end with their lease", "err", err)
		}
	}()
	mended, err := h.reconcile(ctx, time.Now())
	if err != nil {
		return fmt.Errorf("compare deadlines with records: %w", err)
	}
	for _, key := range mended {
		log.Warn("deadline mended", "record", key)
	}
	if err := sender.SetCommands(ctx, "", commandList()); err != nil {
		log.Warn("command list not set", "err", err)
	}
	fmt.Fprintf(out, "Ledgehand serves as @%s. Stop it with Ctrl-C; nothing is lost.\n", me.Username)
	return h.run(ctx, set, log)
}

// checkStore refuses a Redis that would lose people.
func checkStore(ctx context.Context, store *redisstore.Store, log *slog.Logger) error {
	found := store.Check(ctx, time.Now())
	for _, f := range found {
		if !f.OK && !f.Fatal {
			log.Warn("Redis check", "what", f.Name, "says", f.Says, "do", f.Do)
		}
	}
	if err := redisstore.FatalFindings(found); err != nil {
		return fmt.Errorf("this Redis could lose somebody's deadline:\n%w", err)
	}
	return nil
}

// takeOver waits until no other replica serves.
func takeOver(ctx context.Context, h *house, lease time.Duration, log *slog.Logger) error {
	said := false
	for {
		err := h.lead(ctx, time.Now(), lease)
		if !errors.Is(err, session.ErrFenced) {
			return err
		}
		if !said {
			log.Info("another replica serves; waiting for it to end")
			said = true
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(time.Second):
		}
	}
}

// run polls, moves the queues and keeps the lease, until ctx ends or the lease is lost.
func (h *house) run(ctx context.Context, set settings, log *slog.Logger) error {
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	logged := onceEach(log)
	caughtUp := make(chan struct{})
	poller := &telegram.Poller{Token: set.token, Server: set.telegram, Take: updateTaker(h), Now: time.Now, Observe: polls(h.vitals, logged), CaughtUp: func() { close(caughtUp) }}
	polled := make(chan error, 1)
	pumped := make(chan struct{})
	pumping, stopPump := context.WithCancel(context.WithoutCancel(ctx))
	defer stopPump()
	go func() { polled <- poller.Run(ctx) }()
	go func() {
		defer close(pumped)
		// The "off the rocks" of somebody who is due may wait at Telegram: it is fetched before anything is judged
		// (I10). With Telegram away that cannot wait for ever: an alert decided now goes out when it is back.
		select {
		case <-caughtUp:
		case <-time.After(catchUpFor):
			log.Warn("Telegram does not answer; deadlines are judged without what waits there")
		case <-pumping.Done():
			return
		}
		h.pump.Run(pumping, tickEvery)
	}()

	renew, mend := time.NewTicker(set.lease/3), time.NewTicker(mendEvery)
	defer renew.Stop()
	defer mend.Stop()
	var ended error
	for ended == nil && ctx.Err() == nil {
		select {
		case <-ctx.Done():
		case err := <-polled:
			polled <- err
			ended = err
			if err == nil && ctx.Err() == nil {
				ended = errors.New("polling ended")
			}
		case <-renew.C:
			if err := h.lead(context.WithoutCancel(ctx), time.Now(), set.lease); errors.Is(err, session.ErrFenced) {
				ended = fmt.Errorf("another replica took over: %w", err)
			} else if err != nil {
				log.Error("lease not renewed", "err", err)
			}
		case <-mend.C:
			mended, err := h.reconcile(ctx, time.Now())
			for _, key := range mended {
				log.Warn("deadline mended", "record", key)
			}
			if err != nil {
				log.Error("deadlines not compared", "err", err)
			}
		}
	}
	// Stop in the order in which nothing is lost: no more updates are taken, then what is in hand is finished.
	stop(nil)
	err := <-polled
	if ended == nil && err != nil && !errors.Is(err, context.Canceled) {
		ended = err
	}
	if !errors.Is(ended, session.ErrFenced) {
		drain, cancel := context.WithTimeout(context.WithoutCancel(ctx), drainFor)
		defer cancel()
		stopPump()
		<-pumped
		if err := h.pump.Settle(drain, time.Now()); err != nil {
			log.Warn("what was not finished stays stored", "err", err)
		}
	}
	stopPump()
	<-pumped
	return ended
}

// onceEach logs a poll's trouble once until it changes.
func onceEach(log *slog.Logger) func(error) {
	said := ""
	return func(err error) {
		switch {
		case err != nil && err.Error() != said:
			said = err.Error()
			log.Error("polling Telegram", "err", said)
		case err == nil && said != "":
			said = ""
			log.Info("polling Telegram works again")
		}
	}
}

// commandList is what Telegram shows when somebody types a slash.
func commandList() []telegram.Command {
	w := wording.For("en", wording.Metric, nil)
	var out []telegram.Command
	for _, c := range bot.Commands {
		out = append(out, telegram.Command{Name: c, Description: wording.Plain(w.T("cmd_" + c))})
	}
	return out
}

// capIndexes are the indexes built in with those of the setting put over them: "NZ=https://... ES=https://...".
func capIndexes(setting string) (map[string]string, error) {
	out := maps.Clone(feed.CAPIndexes)
	for _, pair := range strings.Fields(setting) {
		country, address, ok := strings.Cut(pair, "=")
		if !ok || len(country) != 2 || strings.ToUpper(country) != country {
			return nil, fmt.Errorf("LEDGEHAND_CAP_INDEXES: %q is not COUNTRY=address. Type: export LEDGEHAND_CAP_INDEXES=\"NZ=https://host/cap/rss\"", pair)
		}
		if address == "" {
			delete(out, country)
			continue
		}
		out[country] = address
	}
	return out, nil
}

// warningAreas are the outlines of the setting, files of GeoJSON parted by commas: none are built in.
func warningAreas(setting string) (warning.Geocodes, error) {
	var raw [][]byte
	for _, name := range strings.FieldsFunc(setting, func(r rune) bool { return r == ',' }) {
		b, err := os.ReadFile(strings.TrimSpace(name))
		if err != nil {
			return warning.Geocodes{}, fmt.Errorf("read LEDGEHAND_WARNING_AREAS: %w", err)
		}
		raw = append(raw, b)
	}
	g, err := warning.DecodeGeocodes(raw...)
	if err != nil {
		return warning.Geocodes{}, fmt.Errorf("LEDGEHAND_WARNING_AREAS: %w (want GeoJSON features with the properties type, such as UGC or EMMA_ID, and code)", err)
	}
	return g, nil
}
