package main

import (
	"context"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// freeAddress is one nobody listened at a moment ago.
func freeAddress(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	must(t, err)
	defer func() { must(t, l.Close()) }()
	return l.Addr().String()
}

// serve by webhook: what was written while we were down comes first and nobody is alarmed meanwhile; every line has its effect once; a
// stranger who posts to the address has none.
func TestServeByWebhook(t *testing.T) {
	s := newServed(t)
	const secret = "a-secret_of-the-test"
	s.set.listen = freeAddress(t)
	s.set.hookURL, s.set.hookSecret = "http://"+s.set.listen+"/updates", secret
	delivering, stop := context.WithCancel(t.Context())
	stopped := make(chan struct{})
	defer func() { stop(); <-stopped }()
	go func() { // Telegram's side
		defer close(stopped)
		for delivering.Err() == nil {
			s.server.Deliver(delivering, nil)
			tick := time.NewTimer(20 * time.Millisecond)
			<-tick.C
		}
	}()
	s.start()
	s.hears(-9, "I'm Ledgehand")
	s.goesOut(-9, 2)
	for _, with := range []string{"", "wrong", secret + "x"} {
		req, err := http.NewRequestWithContext(t.Context(), http.MethodPost, s.set.hookURL, strings.NewReader(`{"update_id":99,"message":{"message_id":1,"date":1,"chat":{"id":-9,"type":"group"},"from":{"id":1,"first_name":"Ana"},"text":"/off"}}`))
		must(t, err)
		if with != "" {
			req.Header.Set("X-Telegram-Bot-Api-Secret-Token", with)
		}
		res, err := http.DefaultClient.Do(req)
		must(t, err)
		must(t, res.Body.Close())
		if res.StatusCode != http.StatusUnauthorized {
			t.Errorf("a stranger with secret %q is answered %d, want 401", with, res.StatusCode)
		}
	}
	s.end()
	if n := s.told(-9, "off Anvil"); n != 0 {
		t.Error("a stranger's update had an effect")
	}
	s.server.Write(-9, 1, "/off") // while nobody listens
	s.start()
	s.hears(-9, "Ana: off Anvil")
	s.end()
	if n := s.told(-9, "Ana: off Anvil"); n != 1 {
		t.Errorf("the off was told %d times, want once", n)
	}
	if strings.Contains(s.log.String(), secret) {
		t.Error("the log holds the secret")
	}
	// Polling again: the webhook is taken away first, or every poll would be refused.
	s.set.hookURL = ""
	s.start()
	s.server.Write(-9, 1, "/ledge add Shelf at 38.9546 -123.7406 lip 5.2 faces 270 number 911")
	s.hears(-9, "Shelf noted")
	s.end()
}

func TestWebhookSettings(t *testing.T) {
	env := map[string]string{"LEDGEHAND_TOKEN": "1:a", "LEDGEHAND_REDIS": "x", "LEDGEHAND_KEY_FILE": "y", "LEDGEHAND_USER_AGENT": "z (a@b)", "LEDGEHAND_WEBHOOK_URL": "https://bot.example/x"}
	get := func(k string) string { return env[k] }
	if _, err := readSettings(get); err == nil || !strings.Contains(err.Error(), "LEDGEHAND_WEBHOOK_SECRET_FILE") {
		t.Errorf("a webhook without a secret: %v, want the setting named", err)
	}
	file := filepath.Join(t.TempDir(), "secret")
	must(t, os.WriteFile(file, []byte("abc\n"), 0o600))
	env["LEDGEHAND_WEBHOOK_SECRET_FILE"] = file
	if s, err := readSettings(get); err != nil || s.hookSecret != "abc" || s.listen == "" {
		t.Errorf("settings %+v, %v", s, err)
	}
}
