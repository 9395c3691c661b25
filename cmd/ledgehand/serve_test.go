package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ledgehand/bot/bottest"
	"ledgehand/session"
	"ledgehand/session/redisstore"
	"ledgehand/session/storetest"
)

func TestServeNamesEverySettingThatIsMissing(t *testing.T) {
	_, err := readSettings(func(string) string { return "" })
	if err == nil {
		t.Fatal("readSettings() without any = nil, want an error")
	}
	for _, name := range []string{"LEDGEHAND_TOKEN", "LEDGEHAND_KEY_FILE", "LEDGEHAND_USER_AGENT"} {
		if !strings.Contains(err.Error(), "export "+name+"=") {
			t.Errorf("readSettings() = %q, want it to say what to type for %s", err, name)
		}
	}
	file := filepath.Join(t.TempDir(), "token")
	if err := os.WriteFile(file, []byte("12:ab\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	env := map[string]string{"LEDGEHAND_TOKEN_FILE": file, "LEDGEHAND_REDIS": "x", "LEDGEHAND_KEY_FILE": "y", "LEDGEHAND_USER_AGENT": "z (a@b)"}
	if s, err := readSettings(func(k string) string { return env[k] }); err != nil || s.token != "12:ab" {
		t.Errorf("readSettings() = token %q, %v, want that of the file", s.token, err)
	}
}

func TestUsage(t *testing.T) {
	for _, args := range [][]string{nil, {"fly"}, {"serve", "now"}, {"chat", "x"}, {"key", "x"}, {"doctor", "x"}, {"reseal", "x"}, {"demo", "-x"}, {"calc", "x"}} {
		var out, errOut bytes.Buffer
		if code := run(t.Context(), args, strings.NewReader(""), &out, &errOut); code != exitUsage || errOut.Len() == 0 {
			t.Errorf("run(%q) = %d, %q, want %d and a word why", args, code, errOut.String(), exitUsage)
		}
	}
	var out bytes.Buffer
	if code := run(t.Context(), []string{"help"}, nil, &out, &out); code != 0 || !strings.Contains(out.String(), "demo") {
		t.Errorf("run(help) = %d, %q", code, out.String())
	}
}

// served is serve on a real Redis, talking HTTP to the fake Bot API server, by the real clock.
type served struct {
	t      *testing.T
	server *bottest.Server
	redis  *storetest.Server
	set    settings
	stop   context.CancelFunc
	done   chan error
	log    *bytes.Buffer
	out    *bytes.Buffer
}

func newServed(t *testing.T) *served {
	redisstore.LogTo(nil) // a server that ends takes connections with it
	redis := storetest.StartServer(t, "--appendonly", "yes", "--appendfsync", "always")
	server := bottest.NewServer(time.Now)
	web := httptest.NewServer(server)
	t.Cleanup(web.Close)
	key := filepath.Join(t.TempDir(), "key")
	if err := os.WriteFile(key, []byte(redisstore.NewKey()+"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	server.AddPerson(1, "Ana")
	server.AddPerson(2, "Mo")
	server.AddGroup(-9, "The crew", 1)
	server.AddBot(-9, 1)
	return &served{t: t, server: server, redis: redis, set: settings{
		lease: leaseFor, token: bottest.Token, redis: redis.Addr, keyFile: key, agent: "ledgehand-test/1 (test@example.org)", telegram: web.URL,
		// Nothing listens there: a forecast that cannot be had is "cannot tell".
		marine: "http://127.0.0.1:1", forecast: "http://127.0.0.1:1", alerts: "http://127.0.0.1:1", buoys: "off", met: "off",
	}}
}

func (s *served) start() {
	ctx, stop := context.WithCancel(s.t.Context())
	s.stop, s.done, s.log, s.out = stop, make(chan error, 1), &bytes.Buffer{}, &bytes.Buffer{}
	log := slog.New(slog.NewTextHandler(s.log, nil))
	set, done, out := s.set, s.done, s.out
	go func() { done <- serve(ctx, set, log, out) }()
}

func (s *served) end() {
	s.t.Helper()
	s.stop()
	select {
	case err := <-s.done:
		if err != nil {
			s.t.Fatalf("serve() = %v, want a clean end\n%s", err, s.log)
		}
	case <-time.After(30 * time.Second):
		s.t.Fatal("serve does not end")
	}
}

func (s *served) hears(chat int64, words string) {
	s.t.Helper()
	storetest.Until(s.t, "bot says "+words, func() bool {
		for _, e := range s.server.Transcript() {
			if e.Bot && e.Chat == chat && strings.Contains(e.Text, words) {
				return true
			}
		}
		return false
	})
}

// goesOut is Ana, alone, on a ledge that she notes first, said in a chat of hers.
func (s *served) goesOut(chat int64, hours int) {
	s.t.Helper()
	s.server.Write(-9, 1, "/ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 number 911")
	s.hears(-9, "Anvil noted")
	s.server.Write(chat, 1, fmt.Sprintf("/out Anvil back in %d hours", hours))
	s.hears(-9, "Out: Ana, alone, Anvil")
}

func TestServeKeepsAnOutingAcrossARestart(t *testing.T) {
	s := newServed(t)
	s.start()
	s.hears(-9, "I'm Ledgehand")
	s.goesOut(-9, 2)
	s.end()

	// While we are down somebody writes; Telegram keeps it.
	s.server.Write(-9, 1, "/off")
	s.start()
	s.hears(-9, "Ana: off Anvil")
	s.server.Write(-9, 1, "/conditions Anvil")
	s.hears(-9, "cannot tell")
	if n := s.server.Pending(); n > 1 {
		t.Errorf("%d updates unconfirmed, want at most the newest", n)
	}
	s.end()
	if n := strings.Count(transcript(s.server), "Ana: off Anvil"); n != 1 {
		t.Errorf("confirmed %d times, want once", n)
	}
	// Nothing of what was sent or logged holds the ledge's position.
	if strings.Contains(s.log.String(), "38.9546") {
		t.Error("the log holds the ledge's position")
	}
}

// A stop with work in hand loses nothing: every line is answered once, before or after.
func TestServeStopsInTheMiddle(t *testing.T) {
	s := newServed(t)
	s.start()
	s.server.Start(1, "")
	s.hears(1, "I'm Ledgehand")
	const lines = 30 // in private, where no limit of a group delays the answers
	for i := range lines {
		s.server.Write(1, 1, "/ledge", bottest.Ago(time.Duration(lines-i)*7*time.Second)) // nobody types them all at once
	}
	s.end()
	s.start()
	storetest.Until(t, "every line is answered", func() bool {
		return strings.Count(transcript(s.server), "I know no ledge yet") >= lines
	})
	s.end()
	if n := strings.Count(transcript(s.server), "I know no ledge yet"); n != lines {
		t.Errorf("%d answers to %d lines, want one each", n, lines)
	}
}

func TestAReplicaGivesItsShardsUpAsItEnds(t *testing.T) {
	s := newServed(t)
	s.start()
	s.hears(-9, "I'm Ledgehand")
	ring, err := os.ReadFile(s.set.keyFile)
	if err != nil {
		t.Fatal(err)
	}
	keys, err := redisstore.ParseKeyring(string(ring))
	if err != nil {
		t.Fatal(err)
	}
	store, err := redisstore.Open(t.Context(), redisstore.Options{Addrs: []string{s.set.redis}, Sealer: keys})
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = store.Close() }()
	if _, err := store.Lead(t.Context(), 3, "another", time.Now(), leaseFor); !errors.Is(err, session.ErrFenced) {
		t.Errorf("Lead() beside a serving replica = %v, want ErrFenced", err)
	}
	s.end()
	if _, err := store.Lead(t.Context(), 3, "another", time.Now(), leaseFor); err != nil {
		t.Errorf("Lead() after it ended = %v, want the shard at once", err)
	}
}

func TestServeRefusesARedisThatForgets(t *testing.T) {
	s := newServed(t)
	s.set.redis = storetest.StartServer(t, "--appendonly", "no", "--maxmemory", "100mb", "--maxmemory-policy", "allkeys-lru").Addr
	s.start()
	err := <-s.done
	s.stop()
	if err == nil || !strings.Contains(err.Error(), "lose") {
		t.Errorf("serve() on a Redis without persistence = %v, want it refused", err)
	}
}

func transcript(s *bottest.Server) string {
	var b strings.Builder
	for _, e := range s.Transcript() {
		if e.Bot {
			b.WriteString(e.Text + "\n")
		}
	}
	return b.String()
}

func TestOutlinesOfWarningAreas(t *testing.T) {
	g, err := warningAreas(filepath.Join("..", "..", "testdata", "feeds", "cap", "geocode_outlines.constructed.geojson"))
	if err != nil || len(g.Outlines) != 2 {
		t.Errorf("%d outlines, %v; want 2", len(g.Outlines), err)
	}
	if g, err := warningAreas(""); err != nil || len(g.Outlines) != 0 {
		t.Errorf("no file: %d outlines, %v", len(g.Outlines), err)
	}
	for _, bad := range []string{"no-such-file.geojson", "serve_test.go"} {
		if _, err := warningAreas(bad); err == nil || !strings.Contains(err.Error(), "LEDGEHAND_WARNING_AREAS") {
			t.Errorf("%s: %v, want an error that names the setting", bad, err)
		}
	}
}
