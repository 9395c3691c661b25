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
	"sync"
	"time"

	"ledgehand/bot"
	"ledgehand/bot/chat"
	"ledgehand/bot/telegram"
	"ledgehand/bot/wording"
	"ledgehand/conditions/feed"
	"ledgehand/conditions/warning"
	"ledgehand/session/redisstore"
)

// settings of serve come from the environment: a token in the arguments would be seen by everybody on the machine.
type settings struct {
	token, tokenFile string
	redis            string
	redisUser        string
	redisPassword    string
	redisMore
	keyFile          string
	agent            string
	telegram         string // another Bot API server, for tests and one's own
	marine, forecast string // another forecast server
	alerts           string
	models           string        // wave models, parted by commas
	buoys, met       string        // other servers; "off" leaves one out
	areas            string        // files with the outlines of coded areas, parted by commas
	weights          string        // the table of lengths and weights: a file, "open", or "" for the bundled one
	caps             string        // COUNTRY=address of an index of CAP messages, parted by spaces
	hookURL          string        // receive by webhook at this address; "": by polling
	hookSecret       string        //
	listen           string        // where the webhook listens
	lease            time.Duration // how long a replica that died keeps others from serving
	vitals           vitalSettings
	mail             mailSettings

	now   func() time.Time // nil: the clock
	speed float64          // how fast that clock runs beside the real one, for tests; 0: as fast
}

// span is how long timers run for a duration of the settings' clock.
func (s settings) span(d time.Duration) time.Duration {
	if s.speed == 0 {
		return d
	}
	return max(time.Duration(float64(d)/s.speed), 100*time.Millisecond)
}

// readSettings names every setting that is missing, with what to type.
func readSettings(get func(string) string) (settings, error) {
	s := settings{
		token: get("LEDGEHAND_TOKEN"), tokenFile: get("LEDGEHAND_TOKEN_FILE"),
		keyFile: get("LEDGEHAND_KEY_FILE"), agent: get("LEDGEHAND_USER_AGENT"), telegram: get("LEDGEHAND_TELEGRAM_URL"),
		marine: get("LEDGEHAND_MARINE_URL"), forecast: get("LEDGEHAND_FORECAST_URL"), alerts: get("LEDGEHAND_ALERTS_URL"),
		models: get("LEDGEHAND_MARINE_MODELS"), buoys: get("LEDGEHAND_BUOYS_URL"), met: get("LEDGEHAND_MET_URL"), caps: get("LEDGEHAND_CAP_INDEXES"), areas: get("LEDGEHAND_WARNING_AREAS"), weights: get(weightsSetting),
	}
	var errs []error
	need := func(have bool, name, what, example string) {
		if !have {
			errs = append(errs, fmt.Errorf("%s is not set: %s. Type: export %s=%s", name, what, name, example))
		}
	}
	need(s.token != "" || s.tokenFile != "", "LEDGEHAND_TOKEN", "the bot's token, from Telegram's BotFather (or LEDGEHAND_TOKEN_FILE, a file with it)", "123456:the-token")
	errs = append(errs, s.readRedis(get))
	need(s.keyFile != "", "LEDGEHAND_KEY_FILE", "a file with the sealing key (make one once, and keep a copy elsewhere: ledgehand key > ledgehand.key)", "ledgehand.key")
	need(s.agent != "", "LEDGEHAND_USER_AGENT", "how the forecast services can reach you", `"ledgehand/1 (you@your-domain)"`)
	if err := errors.Join(errs...); err != nil {
		return s, err
	}
	secret := get("LEDGEHAND_WEBHOOK_SECRET_FILE")
	var err error
	if s.vitals, err = readVitals(get); err != nil {
		return s, err
	}
	if s.mail, err = readMail(get); err != nil {
		return s, err
	}
	if s.hookURL, s.listen = get("LEDGEHAND_WEBHOOK_URL"), get("LEDGEHAND_LISTEN"); s.hookURL != "" {
		raw, err := os.ReadFile(secret)
		if err != nil {
			return s, fmt.Errorf("read LEDGEHAND_WEBHOOK_SECRET_FILE: %w (a file with 1 to 256 of A-Z a-z 0-9 _ -, for example of: openssl rand -hex 32)", err)
		}
		if s.hookSecret = strings.TrimSpace(string(raw)); s.listen == "" {
			s.listen = "127.0.0.1:8080"
		}
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
	if set.now == nil {
		set.now = time.Now
	}
	ring, err := readRing(set.keyFile)
	if err != nil {
		return err
	}
	store, closeStore, err := openStore(ctx, set, ring, log, out)
	if err != nil {
		return err
	}
	defer closeStore()
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
	scales, err := weights(set.weights)
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
	letters, err := set.mail.sender(set.now)
	if err != nil {
		return err
	}
	me, err := sender.GetMe(ctx)
	if err != nil {
		return fmt.Errorf("ask Telegram who we are: %w", err)
	}
	seen, unwatch, err := openVitals(ctx, set.vitals, store, set.now, log)
	if err != nil {
		return err
	}
	defer unwatch()
	h := build(parts{
		store: seen.Hear(store), seer: heardSeer{seer, seen}, sender: sender, mail: letters, now: set.now, log: log, weights: scales,
		decode: func(raw []byte, got time.Time) (chat.Request, error) { return telegram.Decode(raw, got, me) },
		link:   func(token string) string { return deepLink(me.Username, token) },
	})
	h.watch(seen)
	h.join(store, set.lease, log)
	setCommands(ctx, sender, log)
	fmt.Fprintf(out, "Ledgehand serves as @%s. Stop it with Ctrl-C; nothing is lost.\n", me.Username)
	return h.run(ctx, set, store, sender, log)
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

// onceEach logs a poll's trouble once until it changes. Deliveries to a webhook call it at the same time.
func onceEach(log *slog.Logger) func(error) {
	var mu sync.Mutex
	said := ""
	return func(err error) {
		mu.Lock()
		defer mu.Unlock()
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

// setCommands registers what Telegram shows when somebody types a slash: in the first language for everybody, and in each
// other for those whose Telegram speaks it. Without it the bot works as well, so a failure is only logged.
func setCommands(ctx context.Context, sender *telegram.Sender, log *slog.Logger) {
	for i, l := range wording.Languages {
		whose := l
		if i == 0 {
			whose = "" // the list of all others
		}
		if err := sender.SetCommands(ctx, whose, commandList(l)); err != nil {
			log.Warn("command list not set", "language", l, "err", err)
		}
	}
}

// commandList are all commands with their help in a language.
func commandList(language string) []telegram.Command {
	w := wording.For(language, wording.Metric, nil)
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
