package main

import (
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/prometheus/common/expfmt"
	"github.com/prometheus/common/model"

	"ledgehand/bot/bottest"
	"ledgehand/bot/vitals"
	"ledgehand/session"
	"ledgehand/session/storetest"
)

// eyes watch a story from outside.
type eyes struct {
	v     *vitals.Vitals
	blank []string // the lines of /metrics without their numbers, before anything happened
}

func (e *eyes) open(now func() time.Time, g session.Gauge) *vitals.Vitals {
	e.v = vitals.New(vitals.Options{Now: now, Gauge: g, FeedWhys: feedWords()})
	_, text := ask(vitals.Handler(e.v), "/metrics")
	e.blank = skeleton(text)
	return e.v
}

func ask(h http.Handler, path string) (int, string) {
	rec := httptest.NewRecorder()
	h.ServeHTTP(rec, httptest.NewRequest(http.MethodGet, path, nil))
	return rec.Code, rec.Body.String()
}

var lineValue = regexp.MustCompile(` [^ ]+$`)

// skeleton is what /metrics says without the value at the end of each line. The runtime's own are left out: which of them
// exist is for the runtime to say.
func skeleton(text string) (out []string) {
	for line := range strings.Lines(text) {
		if strings.HasPrefix(line, "ledgehand_") {
			out = append(out, lineValue.ReplaceAllString(strings.TrimSpace(line), ""))
		}
	}
	slices.Sort(out)
	return out
}

// sawNobody: after a whole story, with its places, numbers, names and texts, outside there are the same words as before it
// began, and nothing else but numbers.
func (e *eyes) sawNobody(t *testing.T, s *story) {
	t.Helper()
	h := vitals.Handler(e.v)
	e.v.Step(t.Context())
	_, numbers := ask(h, "/metrics")
	if got := skeleton(numbers); !slices.Equal(got, e.blank) {
		t.Errorf("the story left words in /metrics: %q, want what was there before it", slices.DeleteFunc(got, func(l string) bool { return slices.Contains(e.blank, l) }))
	}
	// A year on nothing is well any more, and all of it is told.
	later := s.now()
	s.set(later.AddDate(1, 0, 0))
	_, alive := ask(h, "/healthz")
	_, ready := ask(h, "/readyz")
	s.set(later)
	if !strings.Contains(ready, "no updates come in") || !strings.Contains(alive, "does not turn") {
		t.Errorf("a year on: %q and %q, want troubles", alive, ready)
	}
	personal := []string{`-?7007`, `38\.9\d+`, `123\.7\d+`, `38°`, `555 ?0142`, regexp.QuoteMeta(stageToken), `Anvil`, `crew`, `The crew`}
	for name := range s.people {
		personal = append(personal, `(?i)\b`+name+`\b`)
	}
	// The runtime's own numbers can be any: seven hundredths of a millisecond are no group.
	ours := slices.DeleteFunc(strings.Split(numbers, "\n"), func(l string) bool { return strings.HasPrefix(l, "go_") })
	for _, out := range []string{strings.Join(ours, "\n"), alive, ready} {
		for _, p := range personal {
			if found := regexp.MustCompile(p).FindString(out); found != "" {
				t.Errorf("%q is told to whoever watches:\n%s", found, out)
			}
		}
	}
	if strings.Contains(numbers, "ledgehand_updates_taken_total{result=\"fresh\"} 0\n") {
		t.Error("nothing was counted in a story: nobody watched")
	}
}

// TestServeIsWatched looks at a bot that runs: real Redis, the fake Bot API server, real listeners, the real clock.
func TestServeIsWatched(t *testing.T) {
	s := newServed(t)
	var barks atomic.Int64
	dog := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method == http.MethodGet && r.URL.Path == "/ping/5f2c" {
			barks.Add(1)
		}
	}))
	defer dog.Close()
	at := freeAddress(t)
	s.set.vitals = vitalSettings{listen: at, dog: dog.URL + "/ping/5f2c", every: time.Minute}
	const ana, mo, group = 7100200301, 7100200302, -1007100200300
	s.server.AddPerson(ana, "Quillon Ashgrove")
	s.server.AddPerson(mo, "Mo")
	s.server.AddGroup(group, "Kelp & Co", ana, mo)
	s.server.AddBot(group, ana)
	s.start()
	s.hears(group, "I'm Ledgehand")
	s.server.Write(group, ana, "/ledge add Thimble at 38.9546 -123.7406 lip 4.2 faces 270 number 911")
	s.hears(group, "Thimble noted")
	s.server.Start(ana, "")
	s.hears(ana, "I'm Ledgehand")
	s.server.Write(ana, ana, "/me phone +00 555 0142")
	s.hears(ana, "+00 555 0142")
	s.server.Write(group, ana, "/out Thimble back in 2 hours")
	s.hears(group, "Out: Quillon")
	s.server.Write(group, ana, "/conditions Thimble")
	s.hears(group, "cannot tell")

	get := func(path string) (int, string) {
		res, err := http.Get("http://" + at + path)
		if err != nil {
			t.Fatal(err)
		}
		defer func() { _ = res.Body.Close() }()
		body, err := io.ReadAll(res.Body)
		if err != nil {
			t.Fatal(err)
		}
		return res.StatusCode, string(body)
	}
	var told []string
	ready := func(want int, words string) {
		t.Helper()
		storetest.Until(t, fmt.Sprintf("/readyz is %d with %q", want, words), func() bool {
			status, body := get("/readyz")
			told = append(told, body)
			return status == want && strings.Contains(body, words)
		})
	}
	ready(http.StatusOK, "serving")
	storetest.Until(t, "the watchdog is called", func() bool { return barks.Load() == 1 })
	if status, body := get("/healthz"); status != http.StatusOK || body != "alive\n" {
		t.Errorf("/healthz = %d %q", status, body)
	}
	_, text := get("/metrics")
	told = append(told, text)
	parser := expfmt.NewTextParser(model.LegacyValidation)
	if _, err := parser.TextToMetricFamilies(strings.NewReader(text)); err != nil {
		t.Fatalf("/metrics does not parse: %v", err)
	}
	value := func(series string) float64 {
		t.Helper()
		_, rest, ok := strings.Cut(text, "\n"+series+" ")
		if !ok {
			t.Fatalf("no series %s in\n%s", series, text)
		}
		line, _, _ := strings.Cut(rest, "\n")
		v, err := strconv.ParseFloat(line, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for series, least := range map[string]float64{
		"ledgehand_shards_served":                                 64,
		`ledgehand_updates_taken_total{result="fresh"}`:           6,
		`ledgehand_letters_total{result="handled"}`:               6,
		`ledgehand_commits_total{result="committed"}`:             5,
		`ledgehand_polls_total{result="ok"}`:                      1,
		`ledgehand_rounds_total{result="clean"}`:                  2,
		`ledgehand_sends_total{lane="urgent",result="sent"}`:      1,
		`ledgehand_reconciles_total{result="done"}`:               1,
		`ledgehand_feed_answers_total{feed="sea",why="down"}`:     1,
		`ledgehand_feed_answers_total{feed="weather",why="down"}`: 1,
		`ledgehand_backlog_reads_total{result="done"}`:            1,
		`ledgehand_watchdog_pings_total{result="answered"}`:       1,
		"ledgehand_poll_last_good_timestamp_seconds":              float64(time.Now().Add(-time.Minute).Unix()),
		"ledgehand_store_last_write_timestamp_seconds":            float64(time.Now().Add(-time.Minute).Unix()),
	} {
		if got := value(series); got < least {
			t.Errorf("%s = %v, want %v at least", series, got, least)
		}
	}
	for _, series := range []string{
		"ledgehand_dead_letters", "ledgehand_due_oldest_age_seconds", `ledgehand_commits_total{result="failed"}`,
		`ledgehand_commits_total{result="fenced"}`, `ledgehand_commits_total{result="other"}`, `ledgehand_feed_answers_total{feed="sea",why="other"}`,
		`ledgehand_reconcile_differences_total`, `ledgehand_polls_total{result="token"}`,
	} {
		if got := value(series); got != 0 {
			t.Errorf("%s = %v, want 0", series, got)
		}
	}

	s.redis.Kill(t)
	ready(http.StatusServiceUnavailable, "the store takes no writes")
	s.redis.Start(t)
	ready(http.StatusOK, "serving")
	s.end()
	if _, err := http.Get("http://" + at + "/healthz"); err == nil {
		t.Error("it answers after its end")
	}
	personal := []string{"38.95", "123.74", "555 0142", "Quillon", "Ashgrove", "Kelp", "Thimble", bottest.Token, "/ping/", "5f2c"}
	for _, p := range personal {
		if strings.Contains(s.log.String(), p) {
			t.Errorf("%q is logged:\n%s", p, s.log)
		}
	}
	for _, out := range told {
		for _, p := range append(personal, "710020030") {
			if strings.Contains(out, p) {
				t.Errorf("%q is told:\n%s", p, out)
			}
		}
	}
}

// Of two replicas one polls; both serve and say so, and both call the watchdog.
func TestEveryReplicaIsReady(t *testing.T) {
	one := newServed(t)
	two := *one
	var barks [2]atomic.Int64
	for i, s := range []*served{one, &two} {
		dog := httptest.NewServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { barks[i].Add(1) }))
		t.Cleanup(dog.Close)
		s.set.vitals = vitalSettings{listen: freeAddress(t), dog: dog.URL, every: time.Minute}
		s.start()
	}
	for i, s := range []*served{one, &two} {
		serves(t, s.set.vitals.listen, "ledgehand_shards_served 32\n")
		storetest.Until(t, "its watchdog is called", func() bool { return barks[i].Load() > 0 })
	}
	two.end()
	serves(t, one.set.vitals.listen, "ledgehand_shards_served 64\n")
	one.end()
}

// Behind a webhook that nobody writes to, the bot is ready all the same: Telegram says that nothing waits.
func TestAQuietWebhookIsReady(t *testing.T) {
	s := newServed(t)
	s.set.listen, s.set.vitals.listen = freeAddress(t), freeAddress(t)
	s.set.hookURL, s.set.hookSecret = "http://"+s.set.listen+"/updates", "a-secret"
	s.start()
	storetest.Until(t, "Telegram has our address", func() bool { s.server.Deliver(t.Context(), nil); return s.server.Pending() == 0 })
	serves(t, s.set.vitals.listen, `ledgehand_polls_total{result="ok"}`)
	s.end()
}

// serves waits until a bot is ready and /metrics has the words.
func serves(t *testing.T, at, words string) {
	t.Helper()
	get := func(path string) (int, string) {
		res, err := http.Get("http://" + at + path)
		if err != nil {
			return 0, ""
		}
		defer func() { _ = res.Body.Close() }()
		body, _ := io.ReadAll(res.Body)
		return res.StatusCode, string(body)
	}
	last := ""
	defer func() {
		if t.Failed() {
			t.Log(last)
		}
	}()
	storetest.Until(t, "ready, with "+words, func() bool {
		status, body := get("/readyz")
		_, numbers := get("/metrics")
		last = body + numbers
		return status == http.StatusOK && strings.Contains(numbers, words)
	})
}

func TestVitalSettings(t *testing.T) {
	read := func(kv ...string) (vitalSettings, error) {
		env := map[string]string{}
		for i := 0; i < len(kv); i += 2 {
			env[kv[i]] = kv[i+1]
		}
		return readVitals(func(k string) string { return env[k] })
	}
	if s, err := read(); err != nil || s != (vitalSettings{every: time.Minute}) {
		t.Errorf("readVitals() of nothing = %+v, %v, want all off", s, err)
	}
	if s, err := read("LEDGEHAND_METRICS", "127.0.0.1:9464", "LEDGEHAND_WATCHDOG_URL", "https://host/x", "LEDGEHAND_WATCHDOG_EVERY", "5m"); err != nil || s.every != 5*time.Minute || s.dog != "https://host/x" {
		t.Errorf("readVitals() = %+v, %v", s, err)
	}
	for _, bad := range [][]string{
		{"LEDGEHAND_METRICS", "9464"}, {"LEDGEHAND_WATCHDOG_EVERY", "1s"}, {"LEDGEHAND_WATCHDOG_EVERY", "often"},
		{"LEDGEHAND_WATCHDOG_URL", "host/secret"}, {"LEDGEHAND_WATCHDOG_URL", "ftp://host/secret"},
	} {
		if _, err := read(bad...); err == nil || !strings.Contains(err.Error(), "export "+bad[0]+"=") || strings.Contains(err.Error(), "secret") {
			t.Errorf("readVitals(%q) = %v, want to hear what to type, and no secret", bad, err)
		}
	}
}
