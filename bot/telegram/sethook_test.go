package telegram_test

import (
	"encoding/json"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgehand/bot/bottest"
	"ledgehand/bot/telegram"
)

// wire keeps what went over it.
type wire struct {
	next http.RoundTripper
	sent []string
}

func (w *wire) RoundTrip(r *http.Request) (*http.Response, error) {
	body, err := io.ReadAll(r.Body)
	if err != nil {
		return nil, err
	}
	w.sent = append(w.sent, string(body))
	r.Body = io.NopCloser(strings.NewReader(string(body)))
	return w.next.RoundTrip(r)
}

func TestSetWebhookAsksForWhatPollsAskFor(t *testing.T) {
	s := shore(time.Now)
	w := &wire{next: s.Client().Transport}
	sender, err := telegram.NewSender(telegram.Options{Token: bottest.Token, Server: "http://constructed.invalid", Client: &http.Client{Transport: w}})
	if err != nil {
		t.Fatal(err)
	}
	if err := sender.SetWebhook(t.Context(), "https://hook.invalid:8443/in", secret); err != nil {
		t.Fatal(err)
	}
	if err := sender.DeleteWebhook(t.Context()); err != nil {
		t.Fatal(err)
	}
	set, del := w.sent[0], w.sent[1]
	var asked []string
	if i := strings.Index(set, `["message"`); i < 0 || json.NewDecoder(strings.NewReader(set[i:])).Decode(&asked) != nil {
		t.Fatalf("sent %q, want a list of kinds", set)
	}
	if want := []string{"message", "edited_message", "callback_query", "my_chat_member"}; !slices.Equal(asked, want) {
		t.Errorf("asked for %q, want %q", asked, want)
	}
	for _, part := range []string{"https://hook.invalid:8443/in", secret, "max_connections"} {
		if !strings.Contains(set, part) {
			t.Errorf("setWebhook sent %q, want %q in it", set, part)
		}
	}
	if strings.Contains(set+del, "drop_pending_updates") {
		t.Errorf("what waits is told to be dropped: %q, %q", set, del)
	}
}

func TestSetWebhookRefuses(t *testing.T) {
	_, half, _ := strings.Cut(bottest.Token, ":")
	for _, c := range []struct{ name, url, secret string }{
		{"no address", "", secret},
		{"no host", "https:///in", secret},
		{"another scheme", "ftp://hook.invalid", secret},
		{"no URL", "https://hook.invalid/%zz", secret},
		{"the token in the path", "https://hook.invalid/" + bottest.Token, secret},
		{"half the token in the path", "https://hook.invalid/" + half, secret},
		{"the token, escaped", "https://hook.invalid/?t=" + strings.ReplaceAll(bottest.Token, ":", "%3A"), secret},
		{"the secret in the path", "https://hook.invalid/" + secret, secret},
		{"no secret", "https://hook.invalid", ""},
		{"a secret Telegram does not take", "https://hook.invalid", "a b"},
		{"a long secret", "https://hook.invalid", strings.Repeat("x", 257)},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := shore(time.Now)
			err := newSender(t, s).SetWebhook(t.Context(), c.url, c.secret)
			if err == nil || s.Calls("setWebhook") != 0 {
				t.Fatalf("SetWebhook = %v after %d calls, want it refused here", err, s.Calls("setWebhook"))
			}
			for _, hidden := range []string{half, secret, "hook.invalid/"} {
				if strings.Contains(err.Error(), hidden) {
					t.Errorf("the error tells %q: %v", hidden, err)
				}
			}
		})
	}
}

func TestWebhookCallsThatFail(t *testing.T) {
	for _, c := range []struct {
		fault bottest.Fault
		is    error
		says  string
	}{
		{bottest.Fault{Code: 400, Description: "Bad Request: bad webhook: " + bottest.Token + " and " + secret}, nil, "bad webhook"},
		{bottest.Fault{Code: 401}, telegram.ErrToken, ""},
		{bottest.Fault{Code: 429, RetryAfter: 1}, nil, "retry after 1"},
		{bottest.Fault{Code: 502, Body: "<html>"}, nil, "status 502"},
		{bottest.Fault{Cut: true}, nil, "EOF"},
	} {
		s := shore(time.Now)
		sender := newSender(t, s)
		for name, do := range map[string]func() error{
			"setWebhook":     func() error { return sender.SetWebhook(t.Context(), "https://hook.invalid/in", secret) },
			"deleteWebhook":  func() error { return sender.DeleteWebhook(t.Context()) },
			"getWebhookInfo": func() error { _, err := sender.WebhookInfo(t.Context()); return err },
		} {
			c.fault.Method = name
			s.Inject(c.fault)
			err := do()
			if err == nil || c.is != nil && !errors.Is(err, c.is) || !strings.Contains(err.Error(), c.says) {
				t.Errorf("%s with %+v = %v, want %v with %q", name, c.fault, err, c.is, c.says)
				continue
			}
			if strings.Contains(err.Error(), bottest.Token) || name == "setWebhook" && strings.Contains(err.Error(), secret) || strings.Contains(err.Error(), "constructed.invalid") {
				t.Errorf("%s = %v, which holds the token, the secret or the address", name, err)
			}
		}
	}
}

func TestWebhookInfo(t *testing.T) {
	now := time.Date(2026, 11, 25, 5, 0, 0, 0, time.UTC)
	s := shore(func() time.Time { return now })
	sender := newSender(t, s)
	ask := func(want telegram.WebhookInfo) {
		t.Helper()
		if got, err := sender.WebhookInfo(t.Context()); err != nil || got != want {
			t.Errorf("WebhookInfo = %+v, %v, want %+v", got, err, want)
		}
	}
	ask(telegram.WebhookInfo{Pending: 1})
	h := webhook(&box{}, &diary{})
	h.Secret = "another-one"
	srv := httptest.NewServer(h)
	defer srv.Close()
	set(t, s, srv.URL+"/in")
	host := strings.TrimPrefix(srv.URL, "http://")
	ask(telegram.WebhookInfo{Host: host, Pending: 1})
	s.Deliver(t.Context(), nil)
	ask(telegram.WebhookInfo{Host: host, Pending: 1, Failed: now, Why: "Wrong response from the webhook: 401 Unauthorized"})
	h.Secret = secret
	now = now.Add(2 * time.Second)
	s.Deliver(t.Context(), nil)
	ask(telegram.WebhookInfo{Host: host, Failed: now.Add(-2 * time.Second), Why: "Wrong response from the webhook: 401 Unauthorized"})
	s.Inject(bottest.Fault{Method: "getWebhookInfo", Code: 200, Body: `{"ok":true,"result":{"url":"https://hook.invalid/p/` + bottest.Token +
		`","pending_update_count":2,"last_error_date":1795582800,"last_error_message":"at https://hook.invalid/p/` + bottest.Token + ` with ` + bottest.Token + `"}}`})
	ask(telegram.WebhookInfo{Host: "hook.invalid", Pending: 2, Failed: now.Add(-2 * time.Second), Why: "at hook.invalid with ***"})
}
