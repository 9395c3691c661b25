package main

import (
	"context"
	"fmt"
	"log/slog"
	"math"
	"net/http"
	"net/http/httptest"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"ledgehand/bot"
	"ledgehand/bot/bottest"
	"ledgehand/bot/mail"
	"ledgehand/bot/mailtest"
	"ledgehand/conditions"
	"ledgehand/conditions/feed"
	"ledgehand/session"
	"ledgehand/session/redisstore"
	"ledgehand/session/storetest"
)

// A whole story, with everything going wrong that can, and then a search of the log, of the store and of what went to the
// feeds for anything that a person told us.

// secrets are what people told, in words and digits that stand nowhere else. The sea anchor is none: feeds get it.
var secrets = []string{
	"38.9546", "38.95", "-123.7406", "123.74", "38°57", "123°44", "38,95", // where the ledge is
	"555 0142", "5550142", "zz99", "greyvan", // whom to ring, what stands in the car park
	"anazed", "bramzed", "mozed", "evezed", "mailzed", "zedmail.example", "crewzed", "ledgezed", "otherzed", "guestzed", "stepzed", // names
	"whyzed", "captionzed", "itemzed", "rulezed", "linezed", "kelp greenling", // what they wrote
	bottest.Token, strings.Split(bottest.Token, ":")[1],
}

// found are the secrets that stand in a text, in whichever case.
func found(text string, more ...string) (out []string) {
	text = strings.ToLower(text)
	for _, s := range append(slices.Clone(secrets), more...) {
		if strings.Contains(text, strings.ToLower(s)) {
			out = append(out, s)
		}
	}
	return out
}

// feeds is a server that answers every feed badly, each time otherwise, and keeps what it was asked.
type feeds struct {
	mu    sync.Mutex
	asked []string
}

func (f *feeds) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	f.mu.Lock()
	f.asked = append(f.asked, r.Method+" "+r.URL.String()+fmt.Sprint(r.Header))
	n := len(f.asked)
	f.mu.Unlock()
	switch n % 5 {
	case 0:
		panic(http.ErrAbortHandler)
	case 1:
		http.Error(w, "overloaded", http.StatusServiceUnavailable)
	case 2:
		_, _ = w.Write([]byte("<html>maintenance</html>"))
	case 3:
		_, _ = fmt.Fprintf(w, `{"latitude":%q,"error":true,"reason":%q}`, r.URL.Query().Get("latitude"), r.URL.String())
	default:
		_, _ = w.Write([]byte(`{"hourly":{"time":["x"],"wave_height":["38.9546"]}}`))
	}
}

// loose is a feed that breaks with what it was asked on its lips.
type loose struct {
	bot.Seer
	on bool
}

func (l *loose) Sea(ctx context.Context, a feed.Anchor, now time.Time) (*conditions.Sea, error) {
	if l.on {
		panic(fmt.Sprintf("no sea at %v for ledgezed of anazed, 38.9546 -123.7406", a))
	}
	return l.Seer.Sea(ctx, a, now)
}

// clumsy is a chat service that breaks in the handler's own hands.
type clumsy struct{ bot.Sender }

func (clumsy) Typing(context.Context, int64, int) {
	panic(fmt.Errorf("typing to anazed (+00 555 0142) at 38.9546, -123.7406: %q", "linezed"))
}

type leaky struct {
	*guarded
	redis *storetest.Server
	feeds *feeds
	post  *mailtest.Server
	key   string
	extra []string // secrets of this run: links, the key
}

// tellAll plays the story on a real Redis.
func tellAll(t *testing.T) *leaky {
	t.Helper()
	l := &leaky{feeds: &feeds{}, redis: storetest.StartServer(t), key: redisstore.NewKey()}
	l.extra = append(l.extra, l.key)
	ring, err := redisstore.ParseKeyring(l.key)
	must(t, err)
	store, err := redisstore.Open(t.Context(), redisstore.Options{Addrs: []string{l.redis.Addr}, Sealer: ring})
	must(t, err)
	t.Cleanup(func() { _ = store.Close() })
	web := httptest.NewServer(l.feeds)
	t.Cleanup(web.Close)
	client, err := feed.NewClient(feed.Settings{
		UserAgent: "ledgehand-test/1 (+mailto:test@ledgehand.example)", MarineURL: web.URL, ForecastURL: web.URL, AlertsURL: web.URL, BuoysURL: web.URL, MetURL: web.URL,
		CAPIndexes: map[string]string{"US": web.URL + "/atom"},
	})
	must(t, err)
	t.Cleanup(client.Close)
	sea := &loose{Seer: client}
	refusing := storetest.NewRefusing(store, store)
	post, err := mailtest.Start(mailtest.Options{})
	must(t, err)
	t.Cleanup(post.Close)
	l.post = post
	l.guarded = guard(t, stageParts{store: refusing, seer: sea, mail: &mail.Options{Server: post.Addr, From: "bot@example.com"}}, map[int64]string{ana: "Anazed", bram: "Bramzed", mo: "Mozed", eve: "Evezed"}, "Crewzed")
	redisstore.LogTo(slog.New(slog.NewTextHandler(l.log, &slog.HandlerOptions{Level: slog.LevelDebug})))
	t.Cleanup(func() { redisstore.LogTo(nil) })
	g := l.guarded
	g.starts(ana, "")
	g.starts(eve, "linezed")
	for _, line := range []string{
		"/ledge add Ledgezed at 38.9546 -123.7406 lip 6.1 faces 270 foot 12 slope wall number 5550142", "/ledge add Stepzed at 38.9546 -123.7406 lip 3 faces 200",
		"/ledge name Stepzed = Otherzed", "/ledge add 38.9546 linezed", "/me phone +00 555 0142", "/me car greyvan ZZ99", "/conditions Ledgezed", "/hours Ledgezed", "/conditions Otherzed", "/conditions linezed",
		"/trip Ledgezed tomorrow 8am til 11am plan b Otherzed", "/bring itemzed", "/planb linezed", "/catch 2 kelp greenling 31 28", "/catch linezed 3", "/rule rulezed min 30 bag 10 checked today from rulezed",
		"/linezed", "linezed 38.9546 -123.7406", "/tide Ledgezed", "/light Ledgezed", "/settings zone linezed",
	} {
		g.writes(crew, ana, line)
		g.writes(ana, ana, line)
	}
	g.server.SendPlace(ana, ana, 38.9546, -123.7406)
	g.rest()
	g.server.SendPhoto(ana, ana, "/catch captionzed")
	g.rest()
	g.writes(ana, ana, "/contact")
	first := g.linkOf(ana)
	g.starts(mo, first)
	g.press(mo, mo, "accept")
	g.starts(eve, first)
	g.writes(ana, ana, "/contact")
	for _, link := range []string{first, g.linkOf(ana)} {
		l.extra = append(l.extra, link[strings.LastIndex(link, "_")+1:])
	}
	// Somebody by mail: refused, not understood, waiting still, and one who said yes; with a server that says all it knows.
	for _, f := range []mailtest.Fault{{Verb: "RCPT", Reply: "550 5.1.1 <mailzed@zedmail.example> (mailzed of anazed)"}, {Verb: "END", Reply: "451 4.3.0 anazed asks mailzed@zedmail.example"}, {Verb: "MAIL", Reply: "550 no mailzed@zedmail.example", Cut: true}} {
		post.Inject(f)
		g.writes(ana, ana, "/contact mail mailzed@zedmail.example Mailzed")
		g.rest()
	}
	g.writes(crew, ana, "/contact mail mailzed@zedmail.example Mailzed")
	g.writes(ana, ana, "/contact code linezed")
	g.writes(ana, ana, "/contact mail mailzed2@zedmail.example Mailzed")
	_, code, _ := strings.Cut(post.Mails()[len(post.Mails())-1].Body, "\nCode: ")
	code, _, _ = strings.Cut(code, "\n")
	l.extra = append(l.extra, code)
	g.writes(ana, ana, "/contact code "+code)
	g.writes(ana, ana, "/contact first Mailzed")
	post.Inject(mailtest.Fault{Verb: "END", Reply: "451 4.3.0 Plan of anazed for mailzed2@zedmail.example: 38.9546 -123.7406"})
	g.writes(crew, ana, "/out Ledgezed back in 2 hours with Guestzed")
	for range 3 {
		g.writes(crew, ana, "/more 5 whyzed")
	}
	g.writes(crew, ana, "/watch Ledgezed")
	g.writes(mo, mo, "/plan")

	// Telegram fails in all its ways, with the text in its own words as well; then Redis is away and back.
	for _, f := range []bottest.Fault{
		{Method: "sendMessage", Code: 400, Times: 2, Description: `Bad Request: wrong address "anazed" in the message`}, // with all it has, and as words alone
		{Method: "sendMessage", Code: 403, Description: "Forbidden: bot was blocked by the user"},
		{Method: "sendMessage", Code: 500, Body: "<html>linezed " + bottest.Token + "</html>"}, {Method: "sendMessage", Cut: true}, {Method: "sendMessage", Lost: true}, {Method: "getUpdates", Cut: true}, {Method: "getUpdates", Code: 500, Body: bottest.Token},
	} {
		g.server.Inject(f)
		g.writes(crew, ana, "/ledge")
	}
	g.server.Heal()
	refusing.Off()
	g.server.Write(crew, ana, "/ledge linezed")
	for range 3 {
		_, _ = g.house.pump.Round(t.Context(), session.CrewOf(crew).Shard(), g.now())
	}
	refusing.On()
	g.rest()

	// Handlers break: beside the handler, in it, and on what nobody can read.
	sea.on = true
	g.writes(crew, ana, "/conditions Ledgezed")
	sea.on = false
	sender := g.house.desk.Sender
	g.house.desk.Sender = clumsy{sender}
	g.writes(crew, ana, "/conditions Ledgezed")
	g.house.desk.Sender = sender
	if !strings.Contains(l.log.String(), "handler panicked") || !strings.Contains(l.log.String(), "asking a feed panicked") || !strings.Contains(l.log.String(), "wrong address") {
		t.Error("nothing broke as it should")
	}
	for _, raw := range []string{
		`{"message":{"message_id":1,"date":"linezed","chat":{"id":-31,"type":"group","title":"Crewzed"},"text":"linezed"}}`,
		`{"message":{"message_id":1,"date":1,"chat":{"id":-31,"type":"group"},"from":{"id":301,"first_name":"Anazed"},"location":{"latitude":"38.9546","longitude":-123.7406}}}`,
		`{"message":{"message_id":1,"date":1,"chat":{"id":-31,"type":"group"},"location":{"latitude":138.9546,"longitude":-123.7406}}}`,
	} {
		g.server.Raw(raw)
		g.rest()
	}

	// The alert, with an outing that is open still.
	must(t, g.until(t.Context(), g.now().Add(4*time.Hour)))
	if _, ok := g.said(mo, "not checked in"); !ok {
		t.Fatalf("no alert:\n%s", g)
	}
	if ms := post.Mails(); len(ms) < 3 || !strings.Contains(ms[len(ms)-1].Subject, "not checked in") {
		t.Fatalf("no alert by mail among %d", len(ms))
	}
	g.press(mo, mo, "ack")
	return l
}

func TestNothingPeopleToldLiesOpen(t *testing.T) {
	l := tellAll(t)
	t.Run("InTheLog", l.notInTheLog)
	t.Run("WithTheFeeds", l.notWithTheFeeds)
	t.Run("InTheStore", l.notInTheStore)
}

func (l *leaky) notInTheLog(t *testing.T) {
	log := l.log.String()
	for _, what := range []string{"panicked", "put aside", "did not get through", "sea forecast not had"} {
		if !strings.Contains(log, what) {
			t.Errorf("the log does not say %q: the story did not go wrong as it should", what)
		}
	}
	for line := range strings.Lines(log) {
		if bad := found(line, l.extra...); len(bad) > 0 {
			t.Errorf("%q in the log: %.400s", bad, line)
		}
	}
	// Nor in what is told of a failure: whoever asked gets a reference, and the group nothing of the private lines.
	for _, e := range l.server.Transcript() {
		if e.Bot && strings.Contains(e.Text, "did not work") && len(found(e.Text, l.extra...)) > 0 {
			t.Errorf("a failure is told with %q: %s", found(e.Text, l.extra...), e.Text)
		}
		if e.Bot && (strings.Contains(e.Text, "goroutine") || strings.Contains(e.Text, "http://") || strings.Contains(e.Text, ".go:")) {
			t.Errorf("a person is told of our insides: %s", e.Text)
		}
	}
}

// What goes out: a point at sea on a coarse grid, and who runs the bot.
func (l *leaky) notWithTheFeeds(t *testing.T) {
	if len(l.feeds.asked) == 0 {
		t.Fatal("no feed was asked")
	}
	for _, ask := range l.feeds.asked {
		where, _, _ := strings.Cut(ask, "map[") // the header names the operator
		for _, bad := range found(ask, l.extra...) {
			if bad != "38.95" && bad != "123.74" { // the centre of a cell may begin so
				t.Errorf("%q went out: %s", bad, ask)
			}
		}
		// Centres of the cells of a grid of a twelfth of a degree, to four places: n + 1/2 twelfths.
		for _, digits := range decimals.FindAllString(where, -1) {
			v, err := strconv.ParseFloat(digits, 64)
			must(t, err)
			if n := v*12 - 0.5; math.Abs(n-math.Round(n)) > 12*0.00006 {
				t.Errorf("%s went out, which is the centre of no cell: %s", digits, where)
			}
		}
	}
}

var decimals = regexp.MustCompile(`-?\d+\.\d{2,}`)

// What lies in Redis: ids, times, versions and sealed bytes.
func (l *leaky) notInTheStore(t *testing.T) {
	db := redis.NewClient(&redis.Options{Network: "unix", Addr: l.redis.Addr})
	t.Cleanup(func() { _ = db.Close() })
	ctx := t.Context()
	kinds, n := map[string]int{}, 0
	look := func(key, text string) {
		t.Helper()
		n++
		if bad := found(text, l.extra...); len(bad) > 0 {
			t.Errorf("%q lies open under %s: %.300q", bad, key, text)
		}
	}
	keys := db.Scan(ctx, 0, "*", 1000).Iterator()
	for keys.Next(ctx) {
		key := keys.Val()
		look(key, key)
		kind := db.Type(ctx, key).Val()
		kinds[kind]++
		switch kind {
		case "string":
			look(key, db.Get(ctx, key).Val())
		case "hash":
			for f, v := range db.HGetAll(ctx, key).Val() {
				look(key, f+" "+v)
			}
		case "zset":
			for _, z := range db.ZRangeWithScores(ctx, key, 0, -1).Val() {
				look(key, fmt.Sprint(z.Member, " ", z.Score))
			}
		case "stream":
			for _, m := range db.XRange(ctx, key, "-", "+").Val() {
				look(key, fmt.Sprint(m.Values))
			}
		case "list":
			look(key, fmt.Sprint(db.LRange(ctx, key, 0, -1).Val()))
		case "set":
			look(key, fmt.Sprint(db.SMembers(ctx, key).Val()))
		default:
			t.Errorf("a key of type %q is not looked into: %s", kind, key)
		}
	}
	must(t, keys.Err())
	if n < 200 || kinds["hash"] == 0 || kinds["stream"] == 0 || kinds["zset"] == 0 {
		t.Errorf("looked at %d values of %v: that is not all there is", n, kinds)
	}
	if dead := l.dead(t); len(dead) == 0 {
		t.Error("no dead letter: the story did not go wrong as it should")
	}
}
