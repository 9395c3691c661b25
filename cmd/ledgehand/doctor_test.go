package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ledgehand/bot/telegram"
	"ledgehand/session"
	"ledgehand/session/redisstore"
	"ledgehand/session/storetest"
)

// env is the environment that would give such a serve.
func (s *served) env() map[string]string {
	return map[string]string{
		"LEDGEHAND_TOKEN": s.set.token, "LEDGEHAND_REDIS": s.set.redis, "LEDGEHAND_KEY_FILE": s.set.keyFile, "LEDGEHAND_USER_AGENT": s.set.agent,
		"LEDGEHAND_TELEGRAM_URL": s.set.telegram, "LEDGEHAND_MARINE_URL": s.set.marine, "LEDGEHAND_FORECAST_URL": s.set.forecast,
		"LEDGEHAND_ALERTS_URL": s.set.alerts, "LEDGEHAND_BUOYS_URL": "off", "LEDGEHAND_DATA": s.set.data,
	}
}

// examine runs the doctor in an environment.
func examine(t *testing.T, env map[string]string, dead bool) (string, error) {
	t.Helper()
	var out bytes.Buffer
	d := &doctor{out: &out, get: func(k string) string { return env[k] }, now: time.Now, listDead: dead,
		telegram: func(o telegram.Options) (telegramSide, error) { return telegram.NewSender(o) }}
	err := d.run(t.Context())
	text := out.String()
	// The invented people, their ledge, its place, the chats; the token, files and addresses of the settings.
	for _, secret := range []string{"Ana", "Mo", "Anvil", "anvil", "38.95", "123.74", "555 0142", "BLUE CAR", "-9/", "g9/", "p1/", env["LEDGEHAND_TOKEN"], env["LEDGEHAND_KEY_FILE"], env["LEDGEHAND_USER_AGENT"], env["LEDGEHAND_REDIS"], env["LEDGEHAND_DATA"]} {
		if secret != "" && strings.Contains(text, secret) {
			t.Errorf("the doctor says %q:\n%s", secret, text)
		}
	}
	for line := range strings.Lines(text) {
		if !strings.HasPrefix(line, "ok   ") && !strings.HasPrefix(line, "warn ") && !strings.HasPrefix(line, "FAIL ") && !strings.HasPrefix(line, "     ") {
			t.Errorf("a line that is no check: %q", line)
		}
	}
	if (err != nil) != strings.Contains("\n"+text, "\nFAIL ") {
		t.Errorf("doctor = %v with\n%s", err, text)
	}
	return text, err
}

// What Telegram has of a webhook is held against the settings.
func TestDoctorOnTheWebhook(t *testing.T) {
	s := newServed(t)
	text, _ := examine(t, s.env(), false)
	wantLines(t, text, "ok   updates: are polled; ")
	sender, err := telegram.NewSender(telegram.Options{Token: s.set.token, Server: s.set.telegram})
	must(t, err)
	must(t, sender.SetWebhook(t.Context(), "https://hook.example/x", "secret_of_the_test"))
	text, _ = examine(t, s.env(), false)
	wantLines(t, text, "warn updates: a webhook is set at Telegram, the settings say polling")
	env := s.env()
	env["LEDGEHAND_WEBHOOK_URL"], env["LEDGEHAND_WEBHOOK_SECRET_FILE"] = "https://hook.example/x", s.set.keyFile
	text, _ = examine(t, env, false)
	wantLines(t, text, "ok   updates: come by webhook; ")
	if strings.Contains(text, "hook.example") {
		t.Error("the doctor shows the webhook's address")
	}
}

func wantLines(t *testing.T, text string, want ...string) {
	t.Helper()
	for _, w := range want {
		if !strings.Contains(text, w) {
			t.Errorf("the doctor does not say %q:\n%s", w, text)
		}
	}
}

// furnish lets an outing, a plan, a catch and a letter nobody can read be stored.
func (s *served) furnish() {
	s.t.Helper()
	s.start()
	s.hears(-9, "I'm Ledgehand")
	s.server.Start(1, "")
	s.hears(1, "I'm Ledgehand")
	s.goesOut(1, 2)
	s.server.Write(1, 1, "/catch kelp greenling 31 kept")
	s.hears(1, "Noted")
}

func (s *served) opened(keyFile, redis string) *redisstore.Store {
	s.t.Helper()
	ring, err := readRing(keyFile)
	must(s.t, err)
	st, err := redisstore.Open(s.t.Context(), redisstore.Options{Addrs: []string{redis}, Sealer: ring})
	must(s.t, err)
	s.t.Cleanup(func() { _ = st.Close() })
	return st
}

func TestDoctorBesideAServingReplica(t *testing.T) {
	s := newServed(t)
	s.furnish()
	text, err := examine(t, s.env(), false)
	if err != nil {
		t.Fatalf("doctor = %v, want all in order\n%s", err, text)
	}
	wantLines(t, text, "LEDGEHAND_TOKEN", "Telegram knows it as @", "ok   key file: 1 keys; ", "ok   version: redis ", "ok   fsync: appendfsync always", "ok   clock:",
		"ok   memory:", "ok   rewrite:", "1 outing", "1 catch", "seals;", "ok   dead letters: none", "turned off: buoys")
	s.end()
}

func TestDoctorOnARedisOfItsOwn(t *testing.T) {
	s := newServed(t)
	dir := shortDir(t)
	s.ownRedis(dir)
	text, err := examine(t, s.env(), false)
	if err != nil {
		t.Errorf("before the first start: %v\n%s", err, text)
	}
	wantLines(t, text, "ok   data directory: not there yet", "ok   redis-server: version ", "disk:")
	if _, err := os.Stat(dir); err == nil {
		t.Error("the doctor made the data directory")
	}
	s.furnish()
	if text, err = examine(t, s.env(), false); err != nil {
		t.Errorf("beside serve: %v\n%s", err, text)
	}
	wantLines(t, text, "1 outing")
	s.end()
	if text, err = examine(t, s.env(), false); err != nil {
		t.Errorf("with nobody serving: %v\n%s", err, text)
	}
	wantLines(t, text, "1 outing")
	must(t, os.Chmod(dir, 0o755))
	if text, err = examine(t, s.env(), false); err == nil {
		t.Errorf("a directory that others can read: no failure\n%s", text)
	}
	wantLines(t, text, "do: chmod 700 $LEDGEHAND_DATA")
	must(t, os.Chmod(dir, 0o700))
	t.Setenv("PATH", t.TempDir())
	text, err = examine(t, s.env(), false)
	if err == nil {
		t.Error("without a redis-server: no failure")
	}
	wantLines(t, text, "FAIL redis-server: no redis-server on this machine", "apt install redis-server")
}

func TestDoctorNamesWhatKeepsServeFromStarting(t *testing.T) {
	s := newServed(t)
	other := filepath.Join(t.TempDir(), "other.key")
	must(t, os.WriteFile(other, []byte(redisstore.NewKey()+"\n"), 0o600))
	st := s.opened(other, s.set.redis)
	if _, err := st.Take(t.Context(), 3, session.Letter{ID: "u1", Got: time.Now(), Body: []byte("x")}); err != nil {
		t.Fatal(err)
	}
	forgets := storetest.StartServer(t, "--appendonly", "no").Addr
	for name, c := range map[string]struct {
		change map[string]string
		want   []string
	}{
		"nothing set":         {map[string]string{"LEDGEHAND_TOKEN": "", "LEDGEHAND_USER_AGENT": "", "LEDGEHAND_KEY_FILE": ""}, []string{"FAIL settings: LEDGEHAND_TOKEN is not set", "do: export LEDGEHAND_USER_AGENT=", "FAIL key file: none"}},
		"a token refused":     {map[string]string{"LEDGEHAND_TOKEN": "999999:wrong-token"}, []string{"FAIL token: "}},
		"no key file":         {map[string]string{"LEDGEHAND_KEY_FILE": "/no/such/file"}, []string{"FAIL key file: ", "put the copy back"}},
		"a Redis that's away": {map[string]string{"LEDGEHAND_REDIS": "127.0.0.1:1"}, []string{"FAIL store: "}},
		"a Redis that forgets": {map[string]string{"LEDGEHAND_REDIS": forgets}, []string{"FAIL persistence: append-only file off", "do: set `appendonly yes`",
			"warn fsync"}},
		"a key that's missing": {nil, []string{"FAIL keys: 1 bodies are sealed with key ", "which is not in the key file"}},
		"a lease of no sense":  {map[string]string{"LEDGEHAND_LEASE": "seventeen"}, []string{"FAIL settings: LEDGEHAND_LEASE is"}},
		"indexes of no sense":  {map[string]string{"LEDGEHAND_CAP_INDEXES": "norway"}, []string{"FAIL feeds: LEDGEHAND_CAP_INDEXES"}},
	} {
		t.Run(name, func(t *testing.T) {
			env := s.env()
			for k, v := range c.change {
				env[k] = v
			}
			text, err := examine(t, env, false)
			if err == nil {
				t.Errorf("doctor = nil, want a failure\n%s", text)
			}
			wantLines(t, text, c.want...)
			if strings.Contains(text, "seventeen") || strings.Contains(text, "wrong-token") {
				t.Errorf("it shows a setting's value:\n%s", text)
			}
		})
	}
}

func TestDoctorOnWhatCannotBeRead(t *testing.T) {
	s := newServed(t)
	s.furnish()
	s.end()
	must(t, os.Chmod(s.set.keyFile, 0o644))
	st := s.opened(s.set.keyFile, s.set.redis)
	crew := session.CrewOf(-9)
	shard := crew.Shard()
	f, err := st.Lead(t.Context(), shard, "the operator", time.Now(), time.Minute)
	must(t, err)
	for i, why := range []string{
		`load outing/g9/x: decode: parsing time "BLUE CAR"`, "decode update: its location 38.9546, -123.7406 is not on the globe",
		"handler panicked: chat -1001234567\ngoroutine 7: Anvil", "decode message of update 17: it comes from nobody",
	} {
		id := fmt.Sprintf("u%d", 900+i)
		if i == 0 {
			id = "note:outing/g9/k3/Anvil"
		}
		_, err := st.Take(t.Context(), shard, session.Letter{ID: id, Got: time.Now().Add(time.Duration(i) * time.Second), Body: []byte(`{"text":"BLUE CAR"}`)})
		must(t, err)
		letters, err := st.Waiting(t.Context(), shard, "", 10)
		must(t, err)
		must(t, st.Bury(t.Context(), shard, f, letters[len(letters)-1].Seq, why))
	}
	put := func(key, body string) {
		t.Helper()
		must(t, st.Commit(t.Context(), shard, f, session.Change{Cause: key, Now: time.Now(), Writes: []session.Record{{Key: key, Body: []byte(body)}}}))
	}
	put("trip/g9/newer", `{"v":9,"id":"newer","from_the_future":"Anvil"}`)
	put("watch/g9/odd", `{"v":1,"started_at":"Anvil"}`)
	put("secret-Anvil/g9", `{}`)
	must(t, st.Commit(t.Context(), shard, f, session.Change{Cause: "m", Now: time.Now(), Post: []session.Entry{{ID: "e", Lane: session.Slow, Body: []byte("Anvil")}}}))
	put("outing/g9/moved", `{}`)
	raw := &storetest.Server{Addr: s.set.redis}
	base := fmt.Sprintf("ledgehand:{%02d}:rec:", shard)
	raw.Do(t, "HSET", base+"outing/g9/moved", "b", raw.Do(t, "HGET", base+"watch/g9/odd", "b"))

	text, err := examine(t, s.env(), false)
	if err == nil {
		t.Errorf("doctor = nil, want a failure\n%s", text)
	}
	wantLines(t, text, "warn key file: 1 keys", "mode 0644", "do: chmod 600 $LEDGEHAND_KEY_FILE", "FAIL stored: damaged, or moved from where they were sealed: 1 outing", "open, but cannot be read: 1 of no known kind, 1 outbox entry, 1 watch",
		"with fields this one would drop: 1 trip", "warn dead letters: 4 that nobody could read", "u903  decode message of update 17: it comes from nobody", "u902  handler panicked: chat #\n", "u901  decode update: its location #, # is not on the globe", "doctor -dead")
	if strings.Contains(text, "of ours") {
		t.Errorf("all four dead letters are told, want the newest three\n%s", text)
	}
	text, _ = examine(t, s.env(), true)
	wantLines(t, text, "(a note of ours)  load outing/… decode: parsing time …")
}

func TestKeysAreChangedWithAnOutingOpen(t *testing.T) {
	s := newServed(t)
	s.furnish()
	env := s.env()
	get := func(k string) string { return env[k] }
	oldRing, err := readRing(s.set.keyFile)
	must(t, err)
	oldID := oldRing.IDs()[0]
	old, err := os.ReadFile(s.set.keyFile)
	must(t, err)
	fresh := redisstore.NewKey() + "\n"
	must(t, os.WriteFile(s.set.keyFile, append([]byte(fresh), old...), 0o600))

	// While the replica that serves does not know the new key nothing is touched.
	var out bytes.Buffer
	if err := reseal(t.Context(), get, time.Now, &out); !errors.Is(err, redisstore.ErrOldKeys) {
		t.Fatalf("reseal beside the old replica = %v, want it refused\n%s", err, &out)
	}
	s.end()
	s.start()
	text, err := examine(t, env, false)
	if err != nil {
		t.Errorf("doctor = %v\n%s", err, text)
	}
	wantLines(t, text, oldID+" is older;")
	storetest.Until(t, "the new replica serves", func() bool {
		out.Reset()
		return !errors.Is(reseal(t.Context(), get, time.Now, &out), redisstore.ErrOldKeys)
	})
	wantLines(t, out.String(), "key "+oldID+": ", "Not used any more: ["+oldID+"]")
	if text, err = examine(t, env, false); err != nil {
		t.Errorf("doctor = %v\n%s", err, text)
	}
	wantLines(t, text, oldID+" is not used any more")

	must(t, os.WriteFile(s.set.keyFile, []byte(fresh), 0o600))
	s.end()
	s.start()
	s.server.Write(1, 1, "/off")
	s.hears(-9, "Ana: off Anvil")
	s.end()
	out.Reset()
	must(t, reseal(t.Context(), get, time.Now, &out))
	wantLines(t, out.String(), "the only key there is")
}
