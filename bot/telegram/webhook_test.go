package telegram_test

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"ledgehand/bot/bottest"
	"ledgehand/bot/telegram"
)

const secret = "constructed-Secret_1"

func webhook(b *box, d *diary) *telegram.Webhook {
	return &telegram.Webhook{Secret: secret, Take: b.take, Observe: d.observe}
}

// line is an update as Telegram words it.
func line(id int, text string) string {
	return fmt.Sprintf(`{"update_id":%d,"message":{"message_id":%d,"date":1795582800,"chat":{"id":11,"type":"private"},"from":{"id":11,"first_name":"Ana"},"text":%q}}`, id, id, text)
}

// call is one request; body may be a string or a reader.
func call(t *testing.T, method, url, secret string, body any) *http.Response {
	t.Helper()
	r, ok := body.(io.Reader)
	if !ok {
		r = strings.NewReader(body.(string))
	}
	req, err := http.NewRequestWithContext(t.Context(), method, url, r)
	if err != nil {
		t.Fatal(err)
	}
	if secret != "" {
		req.Header.Set("X-Telegram-Bot-Api-Secret-Token", secret)
	}
	resp, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { resp.Body.Close() })
	return resp
}

// chunked hides how long a body is.
func chunked(s string) io.Reader { return struct{ io.Reader }{strings.NewReader(s)} }

func TestWebhookAnswers(t *testing.T) {
	off := line(100001, "off")
	long := `{"update_id":1,"x":"` + strings.Repeat("x", 1<<20) + `"}`
	for _, c := range []struct {
		name, method, secret string
		body                 any
		status               int
		ids                  []string
	}{
		{"an update", "POST", secret, off, 200, []string{"100001"}},
		{"with space around it", "POST", secret, "\r\n " + off + "\n", 200, []string{"100001"}},
		{"of unknown length", "POST", secret, chunked(off), 200, []string{"100001"}},
		{"of a kind to come", "POST", secret, `{"update_id":7,"telepathy":{"chat":{"id":-5}}}`, 200, []string{"7"}},
		{"nobody can read", "POST", secret, `{"update_id":8,"message":[]}`, 200, []string{"8"}},
		{"without a number", "POST", secret, `{"message":{"text":"off"}}`, 200, []string{"unreadable-"}},
		{"with no number at all", "POST", secret, `{"update_id":"7"}`, 200, []string{"unreadable-"}},
		{"empty", "POST", secret, "", 400, nil},
		{"half an update", "POST", secret, off[:len(off)-1], 400, nil},
		{"two updates", "POST", secret, off + off, 400, nil},
		{"a list", "POST", secret, "[" + off + "]", 400, nil},
		{"a form", "POST", secret, "update_id=1", 400, nil},
		{"null", "POST", secret, "null", 400, nil},
		{"too large", "POST", secret, long, 413, nil},
		{"too large, of unknown length", "POST", secret, chunked(long), 413, nil},
		{"no secret", "POST", "", off, 401, nil},
		{"a secret of the same length", "POST", "constructed-Secret_2", off, 401, nil},
		{"the beginning of the secret", "POST", secret[:5], off, 401, nil},
		{"more than the secret", "POST", secret + "x", off, 401, nil},
		{"the secret in another case", "POST", strings.ToLower(secret), off, 401, nil},
		{"a look", "GET", secret, "", 405, nil},
		{"a put", "PUT", secret, off, 405, nil},
		{"a look without the secret", "GET", "", "", 405, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			b, d := &box{}, &diary{}
			srv := httptest.NewServer(webhook(b, d))
			defer srv.Close()
			resp := call(t, c.method, srv.URL, c.secret, c.body)
			if resp.StatusCode != c.status {
				t.Errorf("answered %d, want %d", resp.StatusCode, c.status)
			}
			if allow := resp.Header.Get("Allow"); (allow == "POST") != (c.status == 405) {
				t.Errorf("Allow %q with %d", allow, c.status)
			}
			said, err := io.ReadAll(resp.Body)
			if err != nil || c.status == 200 && len(said) != 0 {
				t.Errorf("said %q, %v, want nothing with 200", said, err)
			}
			all := b.all()
			if len(all) != len(c.ids) {
				t.Fatalf("took %d, want %d", len(all), len(c.ids))
			}
			for i, l := range all {
				if unread, _ := strings.CutPrefix(c.ids[i], "unreadable-"); unread != c.ids[i] {
					if !strings.HasPrefix(l.id, "unreadable-") || len(l.id) != 32 {
						t.Errorf("took it as %q, want it named after its content", l.id)
					}
				} else if l.id != c.ids[i] {
					t.Errorf("took it as %q, want %q", l.id, c.ids[i])
				}
			}
			switch errs := d.all(); {
			case c.status == 200 && d.well != 1:
				t.Errorf("reported %v, want that one went well", d)
			case c.status != 200 && (len(errs) != 1 || d.well != 0):
				t.Errorf("reported %v, want one trouble", d)
			case c.status == 401 || c.status == 405:
				if !errors.Is(errs[0], telegram.ErrStranger) {
					t.Errorf("reported %v, want ErrStranger", d)
				}
			}
			for _, hidden := range []string{secret, "off", bottest.Token} {
				if strings.Contains(d.String()+string(said), hidden) {
					t.Errorf("%q is told: %v, %q", hidden, d, said)
				}
			}
		})
	}
}

// What Telegram delivers is kept exactly as it came, under the id and the chat that a poll would give it.
func TestWebhookTakesWhatAPollWould(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		polled, hooked := &box{}, &box{}
		s := shore(time.Now)
		odd := []string{`{"message":{"message_id":1,"chat":{"id":-4001,"type":"group"},"date":"soon","text":"x"}}`, `{"message":[]}`, `{"poll":{"id":"5"}}`}
		s.Start(ana, "")
		for _, raw := range odd {
			s.Raw(raw)
		}
		s.Write(ana, ana, "off")
		p := poller(s, polled, &diary{})
		cut := p.Take
		p.Take = func(ctx context.Context, id string, chatID int64, raw []byte, got time.Time) error {
			defer s.Inject(bottest.Fault{Method: "getUpdates", Cut: true}) // nothing is confirmed
			return cut(ctx, id, chatID, raw, got)
		}
		stop := run(t, p)
		time.Sleep(time.Millisecond)
		stop()
		s.Heal()
		set(t, s, "https://hook.invalid/in")
		if n, _ := s.Deliver(t.Context(), bottest.Local(webhook(hooked, &diary{}))); n != 6 || s.Pending() != 0 {
			t.Fatalf("%d delivered, %d wait, want all 6", n, s.Pending())
		}
		a, b := polled.all(), hooked.all()
		by := func(x, y letter) int { return strings.Compare(x.id, y.id) }
		slices.SortFunc(a, by)
		slices.SortFunc(b, by)
		if len(a) != 6 || !slices.EqualFunc(a, b, func(x, y letter) bool { return x.id == y.id && x.at == y.at && string(x.raw) == string(y.raw) }) {
			t.Errorf("delivered %+v, want as polled %+v", b, a)
		}
	})
}

func set(t *testing.T, s *bottest.Server, url string) {
	t.Helper()
	if err := newSender(t, s).SetWebhook(t.Context(), url, secret); err != nil {
		t.Fatal(err)
	}
}

// guarded fails the test when it is read.
type guarded struct{ t *testing.T }

func (g guarded) Read([]byte) (int, error) {
	g.t.Error("the body was read")
	return 0, io.EOF
}
func (g guarded) Close() error { return nil }

func TestNothingOfAStrangersBodyIsRead(t *testing.T) {
	for _, c := range []struct {
		method string
		header []string
		ours   string
		status int
	}{
		{"POST", nil, secret, 401},
		{"POST", []string{"constructed-Secret_2"}, secret, 401},
		{"POST", []string{secret, secret}, secret, 401}, // whoever added one may have added both
		{"POST", []string{""}, "", 401},                 // a secret that was never set lets nobody in
		{"POST", nil, "", 401},
		{"POST", []string{"with space"}, "with space", 401},
		{"GET", []string{secret}, secret, 405},
	} {
		b := &box{}
		h := webhook(b, &diary{})
		h.Secret = c.ours
		req := httptest.NewRequest(c.method, "/", guarded{t})
		for _, v := range c.header {
			req.Header.Add("X-Telegram-Bot-Api-Secret-Token", v)
		}
		rec := httptest.NewRecorder()
		h.ServeHTTP(rec, req)
		if rec.Code != c.status || b.tries() != 0 {
			t.Errorf("%s with %q against %q answered %d and took %d, want %d and none", c.method, c.header, c.ours, rec.Code, b.tries(), c.status)
		}
	}
}

func TestWebhookSettings(t *testing.T) {
	take := (&box{}).take
	for _, c := range []struct {
		h    *telegram.Webhook
		good bool
	}{
		{&telegram.Webhook{Secret: "a", Take: take}, true},
		{&telegram.Webhook{Secret: strings.Repeat("aZ0_-", 51) + "9", Take: take}, true}, // 256
		{&telegram.Webhook{Secret: strings.Repeat("x", 257), Take: take}, false},
		{&telegram.Webhook{Take: take}, false},
		{&telegram.Webhook{Secret: "with space", Take: take}, false},
		{&telegram.Webhook{Secret: "umlaut-ä", Take: take}, false},
		{&telegram.Webhook{Secret: secret}, false},
	} {
		err := c.h.Check()
		if (err == nil) != c.good {
			t.Errorf("Check of %d characters = %v, want good %t", len(c.h.Secret), err, c.good)
		}
		if err != nil && c.h.Secret != "" && strings.Contains(err.Error(), c.h.Secret) {
			t.Errorf("Check tells the secret: %v", err)
		}
	}
}

func TestAStoreThatFailsFirst(t *testing.T) {
	now := time.Date(2026, 11, 25, 5, 0, 0, 0, time.UTC)
	s, b, d := shore(func() time.Time { return now }), &box{}, &diary{}
	away := true
	b.fail = func(string) error {
		if away {
			return errors.New("store is away")
		}
		return nil
	}
	h := webhook(b, d)
	h.Now = func() time.Time { return now }
	srv := httptest.NewServer(h)
	defer srv.Close()
	set(t, s, srv.URL+"/in")
	s.Start(ana, "")
	s.Write(ana, ana, "off")
	for range 3 {
		n, next := s.Deliver(t.Context(), nil)
		// Telegram is asked back soon: its own pauses grow to two minutes, and somebody may be due.
		if n != 0 || next.Sub(now) != 5*time.Second || s.Pending() != 3 {
			t.Fatalf("%d taken, %d wait, next in %s, want none, 3 and 5s", n, s.Pending(), next.Sub(now))
		}
		now = next
	}
	if resp := call(t, "POST", srv.URL, secret, line(5, "x")); resp.StatusCode != 503 || resp.Header.Get("Retry-After") != "5" {
		t.Errorf("answered %d, Retry-After %q, want 503 and 5", resp.StatusCode, resp.Header.Get("Retry-After"))
	}
	if !strings.Contains(d.String(), "store is away") {
		t.Errorf("reported %v, want the store's trouble", d)
	}
	away = false
	if n, next := s.Deliver(t.Context(), nil); n != 3 || !next.IsZero() || s.Pending() != 0 {
		t.Errorf("%d taken, %d wait once the store is back, want 3 and none", n, s.Pending())
	}
	if got, want := b.texts(), []string{"/start", "off"}; !slices.Equal(got, want) {
		t.Errorf("taken %q, want %q once each", got, want)
	}
	if all := b.all(); !all[len(all)-1].got.Equal(now) {
		t.Errorf("stamped %s, want %s", all[len(all)-1].got, now)
	}
}

// lossy loses the answer to what was acted on.
type lossy struct {
	next http.RoundTripper
	n    atomic.Int64
}

func (l *lossy) RoundTrip(r *http.Request) (*http.Response, error) {
	resp, err := l.next.RoundTrip(r)
	if err == nil && l.n.Add(1)%2 == 1 {
		resp.Body.Close()
		return nil, io.ErrUnexpectedEOF
	}
	return resp, err
}

// Two receivers stand behind one address and the answers to every other call get lost: nothing is
// missing, nothing counts twice, and what one person writes stays in order.
func TestTwoReceiversBehindOneAddress(t *testing.T) {
	now := time.Date(2026, 11, 25, 5, 0, 0, 0, time.UTC)
	s, b, d := shore(func() time.Time { return now }), &box{}, &diary{}
	halves := []*telegram.Webhook{webhook(b, d), webhook(b, d)}
	var turn atomic.Int64
	var calls [2]atomic.Int64
	srv := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		i := turn.Add(1) % 2
		calls[i].Add(1)
		halves[i].ServeHTTP(w, r)
	}))
	defer srv.Close()
	set(t, s, srv.URL)
	want := map[int64][]string{}
	for _, who := range []int64{ana, bram, chidi} {
		s.Start(who, "")
		want[who] = []string{"/start"}
		for i := range 20 {
			text := fmt.Sprintf("%d of %d", i, who)
			s.Write(who, who, text)
			want[who] = append(want[who], text)
		}
	}
	client := &http.Client{Transport: &lossy{next: http.DefaultTransport}}
	for range 100 {
		_, next := s.Deliver(t.Context(), client)
		if next.IsZero() {
			break
		}
		now = next
	}
	if s.Pending() != 0 {
		t.Errorf("%d wait, want none", s.Pending())
	}
	if calls[0].Load() < 60 || calls[1].Load() < 60 || b.tries() <= 64 {
		t.Errorf("%d and %d calls, %d handed over, want both halves at work and repeats among them", calls[0].Load(), calls[1].Load(), b.tries())
	}
	got := map[int64][]string{}
	for _, l := range b.all() {
		if r, err := telegram.Decode(l.raw, l.got, us); err == nil && r.Text != "" {
			got[l.at] = append(got[l.at], r.Text)
		}
	}
	for who, lines := range want {
		if !slices.Equal(got[who], lines) {
			t.Errorf("of %d taken %q, want %q", who, got[who], lines)
		}
	}
}

func TestADuplicateIsTakenAndAnswered(t *testing.T) {
	b := &box{}
	srv := httptest.NewServer(webhook(b, &diary{}))
	defer srv.Close()
	for range 3 {
		for _, body := range []string{line(100001, "off"), `{"no":"number"}`, `{"none":"either"}`} {
			if resp := call(t, "POST", srv.URL, secret, body); resp.StatusCode != 200 {
				t.Errorf("answered %d, want 200 each time", resp.StatusCode)
			}
		}
	}
	if len(b.all()) != 3 || b.tries() != 9 {
		t.Errorf("%d handed over, %d kept, want 9 and 3", b.tries(), len(b.all()))
	}
}

// raw sends bytes and leaves the connection open.
func raw(t *testing.T, srv *httptest.Server, length int, body string) net.Conn {
	t.Helper()
	c, err := net.Dial("tcp", srv.Listener.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	if _, err := fmt.Fprintf(c, "POST / HTTP/1.1\r\nHost: hook\r\nX-Telegram-Bot-Api-Secret-Token: %s\r\nContent-Length: %d\r\n\r\n%s", secret, length, body); err != nil {
		t.Fatal(err)
	}
	return c
}

func TestACallerWhoHangsUpCutsNoWriteShort(t *testing.T) {
	b := &box{}
	h := webhook(b, &diary{})
	began, gone, stored := make(chan struct{}), make(chan struct{}), make(chan error, 1)
	h.Take = func(ctx context.Context, id string, chatID int64, raw []byte, got time.Time) error {
		close(began)
		<-gone // the request's own context has ended
		err := ctx.Err()
		if err == nil {
			err = b.take(ctx, id, chatID, raw, got)
		}
		stored <- err
		return err
	}
	srv := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		context.AfterFunc(r.Context(), func() { close(gone) })
		h.ServeHTTP(w, r)
	}))
	defer srv.Close()
	off := line(100001, "off")
	c := raw(t, srv, len(off), off)
	<-began
	c.Close()
	if err := <-stored; err != nil || !slices.Equal(b.texts(), []string{"off"}) {
		t.Errorf("the write ended with %v, %q kept, want it stored", err, b.texts())
	}
}

func TestABodyThatIsCutOffIsNotTaken(t *testing.T) {
	b, d := &box{}, &diary{}
	done := make(chan struct{})
	h := webhook(b, d)
	srv := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer close(done)
		h.ServeHTTP(w, r)
	}))
	defer srv.Close()
	off := line(100001, "off")
	raw(t, srv, len(off)+1, off).Close()
	<-done
	if b.tries() != 0 || len(d.all()) != 1 {
		t.Errorf("%d taken, reported %v, want none and the trouble", b.tries(), d)
	}
}

func TestABodyThatTricklesInLosesItsPlace(t *testing.T) {
	b := &box{}
	h := webhook(b, &diary{})
	h.Limit = 20 * time.Millisecond
	srv := httptest.NewServer(h)
	defer srv.Close()
	c := raw(t, srv, 1000, `{"update_id":`)
	resp, err := http.ReadResponse(bufio.NewReader(c), nil)
	if err != nil {
		t.Fatal(err)
	}
	resp.Body.Close()
	if resp.StatusCode != 400 || b.tries() != 0 {
		t.Errorf("answered %d, %d taken, want 400 and none", resp.StatusCode, b.tries())
	}
}

// A stranger who promises a body and sends half of it is not waited for.
func TestAStrangersConnectionIsClosed(t *testing.T) {
	h := webhook(&box{}, &diary{})
	h.Secret = "another-one"
	srv := httptest.NewServer(h)
	defer srv.Close()
	c := raw(t, srv, 1000, `{"update_id":`)
	in := bufio.NewReader(c)
	resp, err := http.ReadResponse(in, nil)
	if err != nil {
		t.Fatal(err)
	}
	io.Copy(io.Discard, resp.Body)
	resp.Body.Close()
	if _, err := in.ReadByte(); resp.StatusCode != 401 || err == nil {
		t.Errorf("answered %d, then %v, want 401 and the end", resp.StatusCode, err)
	}
}

func TestOnlySoManyAreInHand(t *testing.T) {
	b, d := &box{}, &diary{}
	h := webhook(b, d)
	h.AtOnce = 2
	in, out := make(chan struct{}, 2), make(chan struct{})
	h.Take = func(ctx context.Context, id string, chatID int64, raw []byte, got time.Time) error {
		in <- struct{}{}
		<-out
		return b.take(ctx, id, chatID, raw, got)
	}
	srv := httptest.NewServer(h)
	defer srv.Close()
	answered := make(chan int, 2)
	for i := range 2 {
		go func() { answered <- call(t, "POST", srv.URL, secret, line(i+1, "x")).StatusCode }()
	}
	<-in
	<-in
	if resp := call(t, "POST", srv.URL, secret, line(3, "x")); resp.StatusCode != 503 || resp.Header.Get("Retry-After") == "" {
		t.Errorf("the third is answered %d, want 503 with Retry-After", resp.StatusCode)
	}
	if resp := call(t, "POST", srv.URL, "guess", line(3, "x")); resp.StatusCode != 401 {
		t.Errorf("a stranger is answered %d, want 401: strangers take no place", resp.StatusCode)
	}
	close(out)
	for range 2 {
		if status := <-answered; status != 200 {
			t.Errorf("answered %d, want 200", status)
		}
	}
	if resp := call(t, "POST", srv.URL, secret, line(3, "x")); resp.StatusCode != 200 || len(b.all()) != 3 {
		t.Errorf("then answered %d, %d kept, want 200 and 3", resp.StatusCode, len(b.all()))
	}
}

func TestAStoreThatHangsIsGivenUp(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := shore(time.Now)
		h := webhook(&box{}, &diary{})
		h.Take = func(ctx context.Context, _ string, _ int64, _ []byte, _ time.Time) error {
			<-ctx.Done()
			return ctx.Err()
		}
		set(t, s, "https://hook.invalid/in")
		from := time.Now()
		n, next := s.Deliver(t.Context(), bottest.Local(h))
		if took := time.Since(from); n != 0 || took != 20*time.Second || time.Until(next) != 5*time.Second {
			t.Errorf("%d taken in %s, next at %s, want none after 20s, before Telegram gives up", n, took, next)
		}
	})
}

// A bot goes from polling to a webhook and back with lines under way: none is lost.
func TestFromPollsToAWebhookAndBack(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, b := shore(time.Now), &box{}
		sender := newSender(t, s)
		stop := run(t, poller(s, b, &diary{}))
		s.Start(ana, "")
		time.Sleep(time.Second)
		stop()
		s.Write(ana, ana, "one")
		set(t, s, "https://hook.invalid/in")
		s.Write(ana, ana, "two")
		d := &diary{}
		stop = run(t, poller(s, b, d)) // somebody starts a copy that polls
		time.Sleep(time.Second)
		stop()
		if errs := d.all(); len(errs) == 0 || !errors.Is(errs[0], telegram.ErrOtherPoller) {
			t.Errorf("the copy that polls reported %v, want ErrOtherPoller", d)
		}
		s.Deliver(t.Context(), bottest.Local(webhook(b, &diary{})))
		s.Write(ana, ana, "three")
		if err := sender.DeleteWebhook(t.Context()); err != nil {
			t.Fatal(err)
		}
		if err := sender.DeleteWebhook(t.Context()); err != nil {
			t.Errorf("deleting none = %v, want nil", err)
		}
		stop = run(t, poller(s, b, &diary{}))
		time.Sleep(time.Second)
		stop()
		if got, want := b.texts(), []string{"/start", "one", "two", "three"}; !slices.Equal(got, want) || s.Pending() != 0 {
			t.Errorf("taken %q, %d wait, want %q and none", got, s.Pending(), want)
		}
	})
}

// Whatever comes, nothing panics, and what is answered with 200 was taken as it came.
func FuzzWebhookBody(f *testing.F) {
	for _, s := range []string{line(1, "off"), "", "{}", "[]", "null", `{"update_id":1`, `{"update_id":-1,"message":{}}`, `{"update_id":1e3}`,
		`{"update_id":9223372036854775807,"callback_query":{"from":{"id":3},"message":null}}`, `{"update_id":2,"message":{"chat":{"id":"x"}}}`,
		"\xef\xbb\xbf{}", "{\"\x00\":1}", `{"update_id":3,"update_id":4}`, strings.Repeat(`{"a":`, 200), strings.Repeat("x", 5000)} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, body []byte) {
		b := &box{}
		h := webhook(b, &diary{})
		h.Most = 4096
		req := httptest.NewRequest("POST", "/", strings.NewReader(string(body)))
		req.Header.Set("X-Telegram-Bot-Api-Secret-Token", secret)
		rec := httptest.NewRecorder()
		h.ServeHTTP(rec, req)
		all := b.all()
		switch rec.Code {
		case 200:
			if len(all) != 1 || string(all[0].raw) != string(body) || all[0].id == "" {
				t.Errorf("%q is answered 200 and %+v taken", body, all)
			}
		case 400, 413:
			if b.tries() != 0 {
				t.Errorf("%q is answered %d and taken", body, rec.Code)
			}
		default:
			t.Errorf("%q is answered %d", body, rec.Code)
		}
		if rec.Code == 413 != (len(body) > 4096) {
			t.Errorf("%d bytes are answered %d", len(body), rec.Code)
		}
	})
}
