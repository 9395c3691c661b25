package main

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"ledgehand/bot/bottest"
	"ledgehand/session"
	"ledgehand/session/catch"
	"ledgehand/session/outing"
	"ledgehand/session/redisstore"
	"ledgehand/session/storetest"
)

// The fault harness: crews live through a morning of which a minute passes in a second, while the two replicas that serve them, and
// their Redis, are killed at random points, Telegram loses replies, refuses, duplicates and reorders. What must hold is checked from
// the outside: by what arrived in the chats, and by what is stored in the end.

var (
	longHarness = flag.Bool("long", false, "run the fault harness for at least 1,000 kills instead of 40")
	harnessSeed = flag.Uint64("seed", 0, "seed of the fault harness; 0: a new one")
)

// How fast a morning passes. Leases are long enough for a busy machine to renew them.
const (
	harnessSpeed = 60
	harnessLease = 3 * time.Minute
	speedEnv     = "LEDGEHAND_TEST_CLOCK" // the real instant and that of the morning, ms, and how fast
)

// fastClock is a morning beside the real time.
type fastClock struct {
	real, morning int64 // ms
	speed         float64
}

func (c fastClock) now() time.Time {
	gone := float64(time.Now().UnixMilli()-c.real) * c.speed
	return time.UnixMilli(c.morning + int64(gone)).UTC()
}

func (c fastClock) String() string { return fmt.Sprintf("%d,%d,%g", c.real, c.morning, c.speed) }

// serveFast is serve by a fast clock, in a process of its own.
func serveFast(spec string) int {
	var c fastClock
	if _, err := fmt.Sscanf(spec, "%d,%d,%g", &c.real, &c.morning, &c.speed); err != nil {
		fmt.Fprintln(os.Stderr, "clock:", err)
		return exitFailed
	}
	set, err := readSettings(os.Getenv)
	if err == nil {
		set.now, set.speed = c.now, c.speed
		ctx, stop := signalled()
		defer stop()
		err = serve(ctx, set, slog.New(slog.NewTextHandler(os.Stderr, nil)), io.Discard)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return exitFailed
	}
	return 0
}

// tally is what happened.
type tally struct {
	Kills, RedisKills, Stops, Frozen          int
	Updates, Duplicated, Reordered, Withheld  int
	Sends, Lost, Cut, Flooded, Failed         int
	Outings, Alerts, StandDowns, Catches, Off int
	Deaf                                      int
	Latest                                    time.Duration // how late the latest first alert ashore was
}

// badLine is Telegram on a bad day: a handler before the fake server.
type badLine struct {
	server http.Handler

	mu    sync.Mutex
	rng   *rand.Rand
	fair  bool // it behaves
	old   []json.RawMessage
	tally *tally
}

func (b *badLine) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	poll, send := strings.HasSuffix(r.URL.Path, "/getUpdates"), strings.Contains(r.URL.Path, "/send") || strings.Contains(r.URL.Path, "/edit")
	b.mu.Lock()
	dice, fair := b.rng.Float64(), b.fair
	if send {
		b.tally.Sends++
	}
	b.mu.Unlock()
	count := func(n *int) {
		b.mu.Lock()
		*n++
		b.mu.Unlock()
	}
	switch {
	case fair || !poll && !send:
		b.server.ServeHTTP(w, r)
	case poll:
		b.poll(w, r, dice)
	case dice < 0.04: // it never arrives
		count(&b.tally.Cut)
		panic(http.ErrAbortHandler)
	case dice < 0.10: // it arrives, and nobody hears so
		count(&b.tally.Lost)
		b.server.ServeHTTP(httptest.NewRecorder(), r)
		panic(http.ErrAbortHandler)
	case dice < 0.16:
		count(&b.tally.Flooded)
		w.Header().Set("Content-Type", "application/json")
		w.WriteHeader(http.StatusTooManyRequests)
		after := []int{10, 60, 300}[int(dice*1e6)%3] // some minutes of the morning: what waits so long may be called back meanwhile
		fmt.Fprintf(w, `{"ok":false,"error_code":429,"description":"Too Many Requests: retry after %d","parameters":{"retry_after":%[1]d}}`, after)
	case dice < 0.19:
		count(&b.tally.Failed)
		w.WriteHeader(http.StatusBadGateway)
		fmt.Fprint(w, "<html>502</html>")
	default:
		b.server.ServeHTTP(w, r)
	}
}

// poll hands updates on, some of them twice, those of different chats in another order, or not yet.
func (b *badLine) poll(w http.ResponseWriter, r *http.Request, dice float64) {
	rec := httptest.NewRecorder()
	b.server.ServeHTTP(rec, r)
	var answer struct {
		OK     bool              `json:"ok"`
		Result []json.RawMessage `json:"result"`
	}
	if json.Unmarshal(rec.Body.Bytes(), &answer) != nil || !answer.OK {
		w.WriteHeader(rec.Code)
		_, _ = w.Write(rec.Body.Bytes())
		return
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.tally.Updates += len(answer.Result)
	if dice < 0.05 && len(answer.Result) > 0 {
		b.tally.Withheld++
		panic(http.ErrAbortHandler) // not confirmed: they come again
	}
	batch := slices.Clone(answer.Result)
	if len(batch) > 1 && b.rng.IntN(2) == 0 {
		b.tally.Reordered++
		batch = mixed(batch, b.rng)
	}
	if len(b.old) > 0 && b.rng.IntN(3) == 0 { // one of before, in front of the others: its number raises nothing
		b.tally.Duplicated++
		batch = append([]json.RawMessage{b.old[b.rng.IntN(len(b.old))]}, batch...)
	}
	if b.old = append(b.old, answer.Result...); len(b.old) > 50 {
		b.old = b.old[len(b.old)-50:]
	}
	w.Header().Set("Content-Type", "application/json")
	_ = json.NewEncoder(w).Encode(map[string]any{"ok": true, "result": batch})
}

// mixed is a batch in another order that keeps the order within every chat, as Telegram does. The last stays the last: the offset
// goes by it.
func mixed(batch []json.RawMessage, rng *rand.Rand) []json.RawMessage {
	chatOf := func(raw json.RawMessage) string {
		var u struct {
			Message struct {
				Chat struct{ ID int64 }
			}
			Tap struct {
				Message struct{ Chat struct{ ID int64 } }
			} `json:"callback_query"`
			Member struct{ Chat struct{ ID int64 } } `json:"my_chat_member"`
		}
		_ = json.Unmarshal(raw, &u)
		return fmt.Sprint(u.Message.Chat.ID, u.Tap.Message.Chat.ID, u.Member.Chat.ID)
	}
	queues, names := map[string][]json.RawMessage{}, []string(nil)
	last := batch[len(batch)-1]
	for _, raw := range batch[:len(batch)-1] {
		c := chatOf(raw)
		if queues[c] == nil {
			names = append(names, c)
		}
		queues[c] = append(queues[c], raw)
	}
	var out []json.RawMessage
	for len(names) > 0 {
		i := rng.IntN(len(names))
		c := names[i]
		out = append(out, queues[c][0])
		if queues[c] = queues[c][1:]; len(queues[c]) == 0 {
			names = slices.Delete(names, i, i+1)
		}
	}
	return append(out, last)
}

// rehearsed is a crew that lives through the morning by a script.
type rehearsed struct {
	group, angler, contact int64
	backIn, offAt          int // minutes of the morning; offAt 0: not before the morning is over
	private                bool
	catches                []int
	written                int
	out, off               bool
	acked                  bool
}

// episode is one morning.
type episode struct {
	t      *testing.T
	rng    *rand.Rand
	clock  fastClock
	server *bottest.Server
	line   *badLine
	redis  *storetest.Server
	web    string
	key    string
	procs  [2]*exec.Cmd
	logs   [2]*bytes.Buffer
	crews  []*rehearsed
	tally  *tally
}

func startEpisode(t *testing.T, rng *rand.Rand, sum *tally) *episode {
	redisstore.LogTo(nil)
	e := &episode{t: t, rng: rng, tally: sum, redis: storetest.StartServer(t, "--appendfsync", "always")}
	e.clock = fastClock{real: time.Now().UnixMilli(), morning: time.Date(2026, 3, 14, 13, 0, 0, 0, time.UTC).UnixMilli(), speed: harnessSpeed}
	e.server = bottest.NewServer(e.clock.now)
	e.line = &badLine{server: e.server, rng: rand.New(rand.NewPCG(rng.Uint64(), 1)), fair: true, tally: sum}
	web := httptest.NewServer(e.line)
	t.Cleanup(web.Close)
	e.web = web.URL
	e.key = t.TempDir() + "/key"
	must(t, os.WriteFile(e.key, []byte(redisstore.NewKey()+"\n"), 0o600))
	for i := range e.procs {
		e.start(i)
		t.Cleanup(func() {
			_ = e.procs[i].Process.Kill()
			_ = e.procs[i].Wait()
		})
	}
	return e
}

// start starts a replica.
func (e *episode) start(i int) {
	e.t.Helper()
	exe, err := os.Executable()
	must(e.t, err)
	e.logs[i] = &bytes.Buffer{}
	cmd := exec.Command(exe)
	cmd.Env = append(os.Environ(), childEnv+"=1", speedEnv+"="+e.clock.String(), "LEDGEHAND_TOKEN="+bottest.Token, "LEDGEHAND_REDIS="+e.redis.Addr,
		"LEDGEHAND_KEY_FILE="+e.key, "LEDGEHAND_USER_AGENT=ledgehand-test/1 (test@ledgehand.example)", "LEDGEHAND_TELEGRAM_URL="+e.web,
		"LEDGEHAND_MARINE_URL=http://127.0.0.1:1", "LEDGEHAND_FORECAST_URL=http://127.0.0.1:1", "LEDGEHAND_ALERTS_URL=http://127.0.0.1:1",
		"LEDGEHAND_BUOYS_URL=off", "LEDGEHAND_MET_URL=off", "LEDGEHAND_LEASE="+harnessLease.String())
	cmd.Stderr = e.logs[i]
	must(e.t, cmd.Start())
	e.procs[i] = cmd
}

// until waits for something the chats show.
func (e *episode) until(what string, so func() bool) {
	e.t.Helper()
	for deadline := time.Now().Add(90 * time.Second); !so(); {
		if time.Now().After(deadline) {
			for i, l := range e.logs {
				e.t.Logf("replica %d said:\n%s", i, tail(l.String(), 3000))
			}
			for i, c := range e.crews {
				for _, ev := range e.server.Transcript() {
					if (ev.Chat == c.group || ev.Chat == c.angler) && !strings.Contains(ev.Text, "greenling") && !strings.HasPrefix(ev.Text, "Noted") {
						e.t.Logf("crew %d: %s", i, ev)
					}
				}
			}
			e.t.Fatalf("after 90 s still not so: %s", what)
		}
		tick := time.NewTimer(20 * time.Millisecond)
		<-tick.C
	}
}

func tail(s string, n int) string {
	if len(s) > n {
		return "…" + s[len(s)-n:]
	}
	return s
}

// said counts the bot's messages in a chat that contain words.
func (e *episode) said(chat int64, words string) int {
	n := 0
	for _, ev := range e.server.Transcript() {
		if ev.Bot && ev.What == bottest.Posted && ev.Chat == chat && strings.Contains(ev.Text, words) {
			n++
		}
	}
	return n
}

// prepare brings the crews together, with Telegram and machines in order.
func (e *episode) prepare(n int) {
	for i := range n {
		c := &rehearsed{group: -900 - int64(i), angler: 100 + 10*int64(i), contact: 101 + 10*int64(i)}
		e.crews = append(e.crews, c)
		e.server.AddPerson(c.angler, fmt.Sprintf("Angler%d", i))
		e.server.AddPerson(c.contact, fmt.Sprintf("Ashore%d", i))
		e.server.AddGroup(c.group, fmt.Sprintf("Crew %d", i), c.angler)
		e.server.AddBot(c.group, c.angler)
		e.server.Start(c.angler, "")
	}
	for _, c := range e.crews {
		e.until("the bot greets", func() bool { return e.said(c.group, "I'm Ledgehand") > 0 && e.said(c.angler, "I'm Ledgehand") > 0 })
		e.server.Write(c.group, c.angler, "/ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 number 911")
		e.server.Write(c.angler, c.angler, "/contact")
	}
	for _, c := range e.crews {
		var token string
		e.until("a link", func() bool {
			for _, p := range e.server.Messages(c.angler) {
				if _, rest, ok := strings.Cut(p.Text, "?start="); ok {
					token = strings.Fields(rest)[0]
					return true
				}
			}
			return false
		})
		e.server.Start(c.contact, token)
	}
	for _, c := range e.crews {
		e.until("the contact is asked", func() bool {
			for _, p := range e.server.Messages(c.contact) {
				for _, row := range p.Buttons {
					if strings.HasPrefix(row[0].Label, "Yes, I hold") {
						_, err := e.server.Tap(c.contact, c.contact, p.ID, row[0].Label)
						return err == nil
					}
				}
			}
			return false
		})
	}
	for _, c := range e.crews {
		e.until("the contact holds the plans", func() bool { return e.said(c.contact, "You hold") > 0 && e.said(c.group, "Anvil noted") > 0 })
	}
	for i, c := range e.crews {
		c.backIn = 6 + e.rng.IntN(6)
		c.private = e.rng.IntN(2) == 0
		switch i % 3 {
		case 0: // off in time
			c.offAt = 1 + e.rng.IntN(c.backIn)
		case 1: // off when everybody was alarmed, or nearly
			c.offAt = c.backIn + []int{0, 15, 30, 40, 50}[e.rng.IntN(5)] + e.rng.IntN(3) // as an alert goes out, or soon after
		}
		for range 10 + e.rng.IntN(10) {
			c.catches = append(c.catches, e.rng.IntN(45))
		}
		slices.Sort(c.catches)
	}
}

// live lets the crews do what their script has for them by a minute of the morning.
func (e *episode) live(minute int) {
	for _, c := range e.crews {
		if !c.out {
			c.out = true
			e.tally.Outings++
			e.server.Write(c.group, c.angler, fmt.Sprintf("/out Anvil back in %d minutes", c.backIn))
		}
		for c.written < len(c.catches) && c.catches[c.written] <= minute {
			c.written++
			e.tally.Catches++
			e.server.Write(c.group, c.angler, fmt.Sprintf("/catch kelp greenling %d.%d kept", 30+c.written/10, c.written%10))
		}
		if c.offAt > 0 && minute >= c.offAt {
			e.goOff(c)
		}
		if !c.off && !c.acked && c.offAt == 0 { // somebody ashore takes it on, once
			for _, p := range e.server.Messages(c.contact) {
				if strings.Contains(p.Text, "has not checked in") && len(p.Buttons) > 0 {
					if _, err := e.server.Tap(c.contact, c.contact, p.ID, p.Buttons[0][0].Label); err == nil {
						c.acked = true
					}
					break
				}
			}
		}
	}
}

func (e *episode) goOff(c *rehearsed) {
	if c.off {
		return
	}
	c.off = true
	e.tally.Off++
	chat := c.group
	if c.private { // in another shard than the outing
		chat = c.angler
	}
	e.server.Write(chat, c.angler, "/off")
}

// harm kills one of the processes, or stops one in order, and starts it again.
func (e *episode) harm() {
	switch i := e.rng.IntN(20); {
	case i == 19: // frozen for longer than its lease: it wakes with work in hand that another has taken over
		k := e.rng.IntN(2)
		e.tally.Frozen++
		must(e.t, e.procs[k].Process.Signal(syscall.SIGSTOP))
		e.pause(int((harnessLease + time.Minute).Milliseconds() / harnessSpeed))
		must(e.t, e.procs[k].Process.Signal(syscall.SIGCONT))
	case i < 14:
		k := e.rng.IntN(2)
		e.tally.Kills++
		must(e.t, e.procs[k].Process.Kill())
		_ = e.procs[k].Wait()
		e.pause(e.rng.IntN(300))
		e.start(k)
	case i < 17:
		e.tally.RedisKills++
		e.redis.Kill(e.t)
		e.pause(e.rng.IntN(200))
		e.redis.Start(e.t)
	default:
		k := e.rng.IntN(2)
		e.tally.Stops++
		must(e.t, e.procs[k].Process.Signal(syscall.SIGTERM))
		_ = e.procs[k].Wait()
		e.start(k)
	}
}

func (e *episode) pause(ms int) {
	t := time.NewTimer(time.Duration(ms) * time.Millisecond)
	<-t.C
}

// chaos lasts until so many processes were killed and the morning has gone on for a while.
func (e *episode) chaos(kills, minutes int) {
	e.line.mu.Lock()
	e.line.fair = false
	e.line.mu.Unlock()
	begin := e.clock.now()
	before := e.tally.Kills + e.tally.RedisKills
	gap := float64(minutes) * 60e3 / harnessSpeed / float64(kills) // real milliseconds between two
	for {
		minute := int(e.clock.now().Sub(begin).Minutes())
		e.live(minute)
		done := e.tally.Kills + e.tally.RedisKills - before
		if done >= kills && minute >= minutes {
			break
		}
		if done < kills {
			e.harm()
		}
		e.pause(e.rng.IntN(int(2*gap) + 1))
	}
	e.line.mu.Lock()
	e.line.fair = true
	e.line.mu.Unlock()
	for _, c := range e.crews {
		e.goOff(c)
	}
}

// check looks at everything once it has come to rest.
func (e *episode) check() {
	raw, err := os.ReadFile(e.key)
	must(e.t, err)
	ring, err := redisstore.ParseKeyring(string(raw))
	must(e.t, err)
	st, err := redisstore.Open(e.t.Context(), redisstore.Options{Addrs: []string{e.redis.Addr}, Sealer: ring})
	must(e.t, err)
	defer func() { _ = st.Close() }()
	for i, c := range e.crews {
		e.until(fmt.Sprintf("crew %d: the off is confirmed", i), func() bool {
			return e.said(c.group, "Stand down")+e.said(c.group, ": off Anvil")+e.said(c.angler, "Stand down")+e.said(c.angler, ": off Anvil") > 0
		})
	}
	quiet := 0 // the shards are looked at one after the other: what goes from one to another may be in neither
	e.until("nothing waits any more", func() (rest bool) {
		defer func() {
			if quiet++; !rest {
				quiet = 0
			}
			rest = quiet >= 10
		}()
		if e.server.Pending() > 0 {
			return false
		}
		for s := range session.Shard(session.Shards) {
			if n, oldest, err := st.Pending(e.t.Context(), s); err != nil || n > 0 && !oldest.IsZero() {
				return false
			}
			if l, err := st.Waiting(e.t.Context(), s, "", 1); err != nil || len(l) > 0 {
				return false
			}
		}
		return true
	})
	for s := range session.Shard(session.Shards) {
		if dead, err := st.Buried(e.t.Context(), s, 5); err != nil || len(dead) > 0 {
			e.t.Errorf("dead letters in shard %d: %+v, %v", s, dead, err)
		}
	}
	events := e.server.Transcript()
	for i, c := range e.crews {
		e.checkCrew(e.t.Context(), st, fmt.Sprintf("crew %d", i), c, events)
	}
}

// aBound is how late an alert may be in a morning of one fall after another: some of these minutes every process was down, and every
// time nobody was heard for a while those out are asked again before others are alarmed.
const aBound = 45 * time.Minute

func (e *episode) checkCrew(ctx context.Context, st *redisstore.Store, name string, c *rehearsed, events []bottest.Event) {
	crew := session.CrewOf(c.group)
	outings := load[outing.Outing](e.t, ctx, st, crew, "outing/")
	days := load[catch.Day](e.t, ctx, st, crew, "catch/")
	kept := 0
	for _, d := range days {
		kept += len(d.Entries)
	}
	if len(outings) != 1 {
		e.t.Errorf("%s: %d outings, want 1: the line was written once", name, len(outings))
		return
	}
	if kept != c.written {
		e.t.Errorf("%s: %d catches are stored, %d were written", name, kept, c.written)
	}
	o := outings[0]
	if !o.Closed() {
		e.t.Errorf("%s: the outing is open after the off", name)
		return
	}
	alerts := func(chat int64) (first time.Time, n int) {
		for _, ev := range events {
			if ev.Bot && ev.What == bottest.Posted && ev.Chat == chat && strings.Contains(ev.Text, "has not checked in") {
				if n++; n == 1 {
					first = ev.At
				}
			}
		}
		return first, n
	}
	first, n := alerts(c.contact)
	e.tally.Alerts += n
	out := o // as it was before the off
	out.People = slices.Clone(o.People)
	for i := range out.People {
		out.People[i].OffAt = time.Time{}
	}
	pace, _ := out.Pace()
	due := o.BackBy.Add(pace.Contact)
	switch late := first.Sub(due); {
	case n == 0 && o.ClosedAt.After(due.Add(aBound)):
		e.t.Errorf("%s: open until %s, and nobody ashore was told by %s", name, o.ClosedAt.Format("15:04"), due.Add(aBound).Format("15:04"))
	case n > 0 && late > aBound:
		e.t.Errorf("%s: the first alert ashore came %s late", name, late)
	case n > 0 && late < -time.Second:
		e.t.Errorf("%s: the first alert ashore came %s early", name, -late)
	case n > 0:
		e.tally.Latest = max(e.tally.Latest, late)
	}
	// Nothing after the confirmation; and a stand-down to everybody who was alarmed.
	confirmed := slices.IndexFunc(events, func(ev bottest.Event) bool {
		return ev.Bot && ev.What == bottest.Posted && (ev.Chat == c.group || ev.Chat == c.angler) && (strings.Contains(ev.Text, "Stand down") || strings.Contains(ev.Text, ": off Anvil"))
	})
	if confirmed < 0 {
		e.t.Errorf("%s: the off was never confirmed", name)
		return
	}
	for _, ev := range events[confirmed+1:] {
		ours := ev.Chat == c.group || ev.Chat == c.angler || ev.Chat == c.contact
		if ev.Bot && ev.What == bottest.Posted && ours && (strings.Contains(ev.Text, "has not checked in") || strings.Contains(ev.Text, "are you off")) {
			e.t.Errorf("%s: after the off was confirmed at %s somebody was alarmed: %s", name, events[confirmed].At.Format("15:04:05"), ev)
		}
	}
	for _, chat := range []int64{c.group, c.contact} {
		if _, n := alerts(chat); n > 0 {
			stood := e.said(chat, "Stand down")
			if e.tally.StandDowns += stood; stood == 0 {
				e.t.Errorf("%s: chat %d was alarmed %d times and never stood down", name, chat, n)
			}
		}
	}
	e.tally.Deaf += e.said(c.group, "I heard nobody")
}

// load reads all records of a crew that have a prefix.
func load[T any](t *testing.T, ctx context.Context, st *redisstore.Store, crew session.CrewID, prefix string) []T {
	t.Helper()
	keys, err := st.Keys(ctx, crew.Shard(), prefix+string(crew)+"/")
	must(t, err)
	recs, err := st.Load(ctx, crew.Shard(), keys...)
	if len(keys) == 0 {
		return nil
	}
	must(t, err)
	var out []T
	for _, r := range recs {
		var v T
		must(t, json.Unmarshal(r.Body, &v))
		out = append(out, v)
	}
	return out
}

func TestFaultHarness(t *testing.T) {
	seed := *harnessSeed
	if seed == 0 {
		seed = rand.Uint64()
	}
	rng := rand.New(rand.NewPCG(seed, 3))
	sum := &tally{}
	kills, per := 40, 40
	if *longHarness {
		kills, per = 1000, 75
	}
	defer func() { t.Logf("seed %d: %+v", seed, *sum) }()
	for episodes := 1; sum.Kills+sum.RedisKills < kills && !t.Failed(); episodes++ {
		t.Run(fmt.Sprint("morning ", episodes), func(t *testing.T) {
			e := startEpisode(t, rng, sum)
			e.prepare(6)
			e.chaos(per, 70)
			e.check()
		})
	}
}
