package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"time"

	"ledgehand/bot/telegram"
	"ledgehand/conditions/feed"
	"ledgehand/session/embedded"
	"ledgehand/session/redisstore"
)

// runDoctor says what serve would find at its start, and what is stored, without a word of what people said.
func runDoctor(ctx context.Context, args []string, _ io.Reader, out, errOut io.Writer) error {
	flags := flag.NewFlagSet("doctor", flag.ContinueOnError)
	flags.SetOutput(errOut)
	dead := flags.Bool("dead", false, "list the dead letters: id, when, why; never what is in them")
	if err := flags.Parse(args); err != nil || flags.NArg() > 0 {
		return fmt.Errorf("%w: doctor [-dead]", errUsage)
	}
	redisstore.LogTo(nil)
	d := &doctor{out: out, get: os.Getenv, now: time.Now, listDead: *dead, telegram: func(o telegram.Options) (telegramSide, error) { return telegram.NewSender(o) }}
	return d.run(ctx)
}

// telegramSide is what the doctor asks Telegram.
type telegramSide interface {
	GetMe(ctx context.Context) (telegram.Me, error)
	WebhookInfo(ctx context.Context) (telegram.WebhookInfo, error)
}

// doctor prints one line a check, and under what is not in order what to do.
type doctor struct {
	out      io.Writer
	get      func(string) string
	now      func() time.Time
	listDead bool
	telegram func(telegram.Options) (telegramSide, error)

	asked  []string // names of settings, in the order serve asks for them
	failed int
}

func (d *doctor) run(ctx context.Context) error {
	set := d.settings()
	d.token(ctx, set)
	ring := d.keyFile(set)
	if set.own() {
		d.ownRedis(ctx, set)
	}
	d.store(ctx, set, ring)
	d.feeds(set)
	d.mail(ctx, set)
	if d.failed > 0 {
		return fmt.Errorf("%d checks failed", d.failed)
	}
	return nil
}

func (d *doctor) ok(name, format string, args ...any) {
	d.line("ok  ", name, fmt.Sprintf(format, args...), "")
}

// warn is for what should be mended; serve starts all the same.
func (d *doctor) warn(name, says, do string) { d.line("warn", name, says, do) }

func (d *doctor) fail(name, says, do string) {
	d.failed++
	d.line("FAIL", name, says, do)
}

// line prints a check. No value of a setting gets out: errors quote paths and addresses, which are shown by name.
func (d *doctor) line(level, name, says, do string) {
	text := fmt.Sprintf("%s %s: %s\n", level, name, strings.TrimSpace(says))
	if do != "" {
		text += "     do: " + do + "\n"
	}
	for _, setting := range d.asked {
		if v := d.get(setting); len(v) > 5 {
			text = strings.ReplaceAll(text, v, "$"+setting)
		}
	}
	_, _ = io.WriteString(d.out, text)
}

func (d *doctor) settings() settings {
	set, err := readSettings(func(name string) string {
		if !slices.Contains(d.asked, name) {
			d.asked = append(d.asked, name)
		}
		return d.get(name)
	})
	// Long values first, so that none is shown because a part of it is another's.
	slices.SortFunc(d.asked, func(a, b string) int { return len(d.get(b)) - len(d.get(a)) })
	var names []string
	for _, name := range d.asked {
		if d.get(name) != "" {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	if err != nil {
		for says := range strings.Lines(err.Error()) {
			what, do, _ := strings.Cut(strings.TrimSpace(says), " Type: ")
			d.fail("settings", what, do)
		}
	}
	d.ok("settings", "%d set: %s", len(names), strings.Join(names, " "))
	if set.token == "" && set.tokenFile != "" { // not read because of another setting
		raw, _ := os.ReadFile(set.tokenFile)
		set.token = strings.TrimSpace(string(raw))
	}
	return set
}

func (d *doctor) token(ctx context.Context, set settings) {
	const name = "token"
	if set.token == "" {
		d.fail(name, "none", "set LEDGEHAND_TOKEN_FILE (or LEDGEHAND_TOKEN)")
		return
	}
	sender, err := d.telegram(telegram.Options{Token: set.token, Server: set.telegram})
	var me telegram.Me
	if err == nil {
		me, err = sender.GetMe(ctx)
	}
	switch {
	case errors.Is(err, telegram.ErrToken):
		d.fail(name, "Telegram refuses it", "ask BotFather for it again (/token)")
	case err != nil:
		d.fail(name, strings.ReplaceAll(err.Error(), set.token, "$LEDGEHAND_TOKEN"), "see to the network; api.telegram.org must be reached")
	default:
		d.ok(name, "Telegram knows it as @%s", me.Username)
		if me.ReadsAll {
			d.ok("groups", "every line of a group reaches the bot")
		} else {
			d.warn("groups", "only commands and replies reach the bot in groups where it is no administrator",
				"make it an administrator there; or turn its privacy mode off at BotFather (/setprivacy) and add it anew")
		}
		d.updates(ctx, set, sender)
	}
}

// updates are how they come to us, as Telegram has it and as the settings want it. No address is shown.
func (d *doctor) updates(ctx context.Context, set settings, sender telegramSide) {
	const name = "updates"
	info, err := sender.WebhookInfo(ctx)
	hook := info.Host != ""
	switch {
	case err != nil:
		d.warn(name, "Telegram does not say how they are delivered", "see to the network")
	case !hook && set.hookURL == "":
		d.ok(name, "are polled; %d wait", info.Pending)
	case hook && set.hookURL == "":
		d.warn(name, "a webhook is set at Telegram, the settings say polling", "serve takes it away as it starts; set LEDGEHAND_WEBHOOK_URL if it was meant to stay")
	case !hook:
		d.ok(name, "serve sets the webhook as it starts; %d wait", info.Pending)
	case d.now().Sub(info.Failed) < staleFrom:
		d.warn(name, fmt.Sprintf("the webhook is not reached, %d wait; the last failed at %s", info.Pending, info.Failed.Format(time.RFC3339)),
			"see that the address leads to LEDGEHAND_LISTEN, with a certificate Telegram accepts and the same secret")
	default:
		d.ok(name, "come by webhook; %d wait", info.Pending)
	}
}

func (d *doctor) keyFile(set settings) *redisstore.Keyring {
	const name = "key file"
	if set.keyFile == "" {
		d.fail(name, "none", "ledgehand key > ledgehand.key; keep a copy elsewhere")
		return nil
	}
	ring, err := readRing(set.keyFile)
	if err != nil {
		d.fail(name, err.Error(), "put the copy back that was kept elsewhere; a new key opens nothing that is stored")
		return nil
	}
	ids := ring.IDs()
	says := fmt.Sprintf("%d keys; %s seals", len(ids), ids[0])
	if info, err := os.Stat(set.keyFile); err == nil && info.Mode().Perm()&0o007 != 0 { // a credential of systemd shows its own user as the group
		d.warn(name, fmt.Sprintf("%s; others can get at the file (mode %04o)", says, info.Mode().Perm()), "chmod 600 "+set.keyFile)
	} else {
		d.ok(name, "%s", says)
	}
	return ring
}

// Room on the disk of our own Redis. A rewrite needs as much again as is stored. Our choice: common practice, no source.
const (
	littleRoom = 1 << 30
	noRoom     = 64 << 20
)

var serverVersion = regexp.MustCompile(`v=(\d+)\.(\S+)`)

func (d *doctor) ownRedis(ctx context.Context, set settings) {
	const name = "redis-server"
	binary, err := embedded.Binary()
	if err != nil {
		what, do, _ := strings.Cut(err.Error(), ". ")
		d.fail(name, what, do)
		return
	}
	said, err := exec.CommandContext(ctx, binary, "--version").Output()
	switch m := serverVersion.FindSubmatch(said); {
	case err != nil || m == nil:
		d.warn(name, "does not tell its version", "install Redis 7.0 or newer")
	case len(m[1]) == 1 && m[1][0] < '7':
		d.fail(name, fmt.Sprintf("version %s.%s", m[1], m[2]), "install Redis 7.0 or newer")
	default:
		d.ok(name, "version %s.%s", m[1], m[2])
	}
	dir, err := set.dataDir(d.get)
	if err != nil {
		what, do, _ := strings.Cut(err.Error(), " Type: ")
		d.fail("data directory", what, do)
		return
	}
	free, err := embedded.Free(existing(dir))
	switch {
	case err != nil:
		d.warn("disk", "unknown: "+err.Error(), "see to it that there is room")
	case free < noRoom:
		d.fail("disk", fmt.Sprintf("%d MB free for the data directory", free>>20), "free some")
	case free < littleRoom:
		d.warn("disk", fmt.Sprintf("%d MB free for the data directory", free>>20), "free some: the file is laid anew now and then, which takes as much again")
	default:
		d.ok("disk", "%d MB free for the data directory", free>>20)
	}
}

// existing is the path, or the nearest above it that is there.
func existing(dir string) string {
	for {
		if _, err := os.Stat(dir); err == nil || len(dir) < 2 {
			return dir
		}
		dir = dir[:max(1, strings.LastIndexByte(dir, os.PathSeparator))]
	}
}

func (d *doctor) store(ctx context.Context, set settings, ring *redisstore.Keyring) {
	if ring == nil {
		d.fail("store", "not looked at: there is no key", "see above")
		return
	}
	store, done, err := openBeside(ctx, set, ring, d.get)
	switch {
	case set.own() && errors.Is(err, fs.ErrNotExist):
		d.ok("data directory", "not there yet: the first start makes it, and nothing is stored")
		return
	case err != nil:
		what, do, _ := strings.Cut(err.Error(), " Type: ")
		if do == "" {
			do = "start it, or correct the LEDGEHAND_REDIS settings; with a Redis of its own: see the line above and the log of serve"
		}
		d.fail("store", what, do)
		return
	}
	defer done()
	for _, f := range append(store.Check(ctx, d.now()), store.Upkeep(ctx)...) {
		switch {
		case f.OK:
			d.ok(f.Name, "%s", f.Says)
		case f.Fatal:
			d.fail(f.Name, f.Says, f.Do)
		default:
			d.warn(f.Name, f.Says, f.Do)
		}
	}
	d.stored(ctx, store, ring)
}

// mail connects and logs in, and sends nothing.
func (d *doctor) mail(ctx context.Context, set settings) {
	const name = "mail"
	sender, err := set.mail.sender(d.now)
	switch {
	case err != nil:
		d.fail(name, err.Error(), "correct the LEDGEHAND_MAIL settings")
	case sender == nil:
		d.ok(name, "no server is set: people ashore are reached by Telegram alone")
	default:
		if err := sender.Check(ctx); err != nil {
			d.fail(name, err.Error(), "see to the network and to the LEDGEHAND_MAIL settings: contacts by mail hear nothing until then")
			return
		}
		d.ok(name, "the server answers and takes the account; nothing was sent")
	}
}

func (d *doctor) feeds(set settings) {
	const name = "feeds"
	caps, err := capIndexes(set.caps)
	if err == nil {
		areas, aerr := warningAreas(set.areas)
		err = aerr
		if err == nil && set.agent != "" {
			var client *feed.Client
			client, err = feed.NewClient(feed.Settings{UserAgent: set.agent, MarineURL: set.marine, ForecastURL: set.forecast, AlertsURL: set.alerts,
				BuoysURL: set.buoys, MetURL: set.met, CAPIndexes: caps, Areas: areas})
			if err == nil {
				client.Close()
			}
		}
	}
	if _, werr := weights(set.weights); err == nil {
		err = werr
	}
	var off []string
	for what, v := range map[string]string{"buoys": set.buoys, "the second opinion": set.met} {
		if v == feed.Off {
			off = append(off, what)
		}
	}
	slices.Sort(off)
	switch {
	case err != nil:
		what, do, _ := strings.Cut(err.Error(), " Type: ")
		d.fail(name, what, do)
	case set.agent == "":
		d.fail(name, "LEDGEHAND_USER_AGENT is not set", `export LEDGEHAND_USER_AGENT="ledgehand/1 (you@your-domain)"`)
	case len(off) > 0:
		d.ok(name, "LEDGEHAND_USER_AGENT is set; turned off: %s", strings.Join(off, ", "))
	default:
		d.ok(name, "LEDGEHAND_USER_AGENT is set; all in use")
	}
}
