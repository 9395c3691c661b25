package bottest_test

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"ledgehand/bot/bottest"
)

const hookURL = "https://hook.invalid/in"

// ear is a webhook that answers as it is told and writes down what it heard.
type ear struct {
	mu     sync.Mutex
	heard  []string // text or data
	header http.Header
	answer func(what string, w http.ResponseWriter) // nil: 200
}

func (e *ear) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	body, _ := io.ReadAll(r.Body)
	var u struct {
		Message *struct {
			Text string `json:"text"`
		} `json:"message"`
		Tap *struct {
			Data string `json:"data"`
		} `json:"callback_query"`
	}
	what := "?"
	if json.Unmarshal(body, &u) == nil {
		switch {
		case u.Message != nil:
			what = u.Message.Text
		case u.Tap != nil:
			what = "tap " + u.Tap.Data
		default:
			what = "member"
		}
	}
	e.mu.Lock()
	defer e.mu.Unlock()
	e.heard, e.header = append(e.heard, what), r.Header.Clone()
	if e.answer != nil {
		e.answer(what, w)
	}
}

// take returns what was heard since the last time.
func (e *ear) take() []string {
	e.mu.Lock()
	defer e.mu.Unlock()
	out := e.heard
	e.heard = nil
	return out
}

func refuse(what string, status int, again string) func(string, http.ResponseWriter) {
	return func(heard string, w http.ResponseWriter) {
		if heard == what {
			if again != "" {
				w.Header().Set("Retry-After", again)
			}
			w.WriteHeader(status)
		}
	}
}

// hooked is a shore with a webhook, after the news that the bot was added and ana's Start.
func hooked(t *testing.T, now func() time.Time, a args) (*bottest.Server, *ear) {
	t.Helper()
	s, e := shore(now), &ear{}
	set := args{"url": hookURL, "secret_token": "s-1"}
	for k, v := range a {
		set[k] = v
	}
	if r := call(t, s, "setWebhook", set); !r.OK {
		t.Fatalf("setWebhook = %+v", r)
	}
	s.Start(ana, "")
	deliver(t, s, e, 2, time.Time{})
	if got := e.take(); len(got) != 2 || e.header.Get("X-Telegram-Bot-Api-Secret-Token") != "s-1" || e.header.Get("Content-Type") != "application/json" {
		t.Fatalf("heard %q with %v, want the membership and /start with the secret", got, e.header)
	}
	return s, e
}

func deliver(t *testing.T, s *bottest.Server, e http.Handler, taken int, next time.Time) {
	t.Helper()
	n, at := s.Deliver(t.Context(), bottest.Local(e))
	if n != taken || !at.Equal(next) {
		t.Errorf("Deliver = %d, %s, want %d, %s", n, at, taken, next)
	}
}

// Lanes as in WebhookActor.cpp and Client.cpp of tdlib/telegram-bot-api: messages queue by chat,
// taps by person, what changes the bot's standing on its own.
func TestAnUpdateThatIsNotTakenHoldsItsLaneAndNoOther(t *testing.T) {
	now := time.Date(2026, 11, 25, 5, 0, 0, 0, time.UTC)
	s, e := hooked(t, func() time.Time { return now }, nil)
	s.SetPrivacy(false)
	s.Start(bram, "")
	panel := post(t, s, crew, "Out", keys(args{"text": "Off", "callback_data": "off"}, args{"text": "More", "callback_data": "more"}))
	deliver(t, s, e, 1, time.Time{})
	e.take()

	e.answer = func(what string, w http.ResponseWriter) {
		if what == "one" || what == "tap off" {
			w.WriteHeader(http.StatusInternalServerError)
		}
	}
	for _, line := range []string{"one", "two", "three"} {
		s.Write(crew, ana, line)
	}
	for _, b := range []struct {
		who   int64
		label string
	}{{ana, "Off"}, {ana, "More"}, {bram, "More"}} {
		if _, err := s.Tap(crew, b.who, panel, b.label); err != nil {
			t.Fatal(err)
		}
	}
	s.Write(bram, bram, "hello")
	s.PromoteBot(crew, ana)
	deliver(t, s, e, 3, now.Add(2*time.Second))
	got := e.take()
	slices.Sort(got)
	if want := []string{"hello", "member", "one", "one", "tap more", "tap off", "tap off"}; !slices.Equal(got, want) {
		t.Errorf("heard %q, want %q: nothing after what was not taken, and all that is in no line with it", got, want)
	}
	if n := s.Pending(); n != 5 {
		t.Errorf("%d wait, want 3 lines and 2 taps", n)
	}
	deliver(t, s, e, 0, now.Add(2*time.Second)) // not yet due
	if got := e.take(); got != nil {
		t.Errorf("heard %q before it was due", got)
	}
	now = now.Add(2 * time.Second)
	e.answer = nil
	deliver(t, s, e, 5, time.Time{})
	var lines, taps []string
	for _, what := range e.take() {
		if strings.HasPrefix(what, "tap") {
			taps = append(taps, what)
		} else {
			lines = append(lines, what)
		}
	}
	if !slices.Equal(lines, []string{"one", "two", "three"}) || !slices.Equal(taps, []string{"tap off", "tap more"}) || s.Pending() != 0 {
		t.Errorf("heard %q and %q, %d wait, want them in order and none", lines, taps, s.Pending())
	}
}

// What was under way to a webhook that is no more comes again to whoever fetches next.
func TestAnAnswerToAWebhookThatIsGoneIsNotHeard(t *testing.T) {
	s, e := hooked(t, time.Now, nil)
	e.answer = func(string, http.ResponseWriter) { call(t, s, "deleteWebhook", nil) }
	s.Write(ana, ana, "off")
	if n, _ := s.Deliver(t.Context(), bottest.Local(e)); n != 0 || s.Pending() != 1 {
		t.Errorf("%d taken, %d wait, want the line to wait", n, s.Pending())
	}
	if _, kinds := updates(t, s, 0); !slices.Equal(kinds, []string{"message"}) {
		t.Errorf("polled %v, want the line", kinds)
	}
}

func TestTriesComeAfterGrowingPauses(t *testing.T) {
	for _, c := range []struct {
		name   string
		again  string
		pauses []int // seconds
	}{
		// WebhookActor.cpp, on_update_error: the first at once, then doubled up to the longest.
		{"of Telegram's own", "", []int{2, 4, 8, 16, 32, 64, 120, 120}},
		{"as the answer asked", "7", []int{7, 7, 7}},
		{"and no longer than an hour", "90000", []int{3600, 3600}},
	} {
		t.Run(c.name, func(t *testing.T) {
			now := time.Date(2026, 11, 25, 5, 0, 0, 0, time.UTC)
			s, e := hooked(t, func() time.Time { return now }, nil)
			e.answer = refuse("off", 503, c.again)
			s.Write(ana, ana, "off")
			for i, want := range c.pauses {
				_, next := s.Deliver(t.Context(), bottest.Local(e))
				if got := next.Sub(now); got != time.Duration(want)*time.Second {
					t.Fatalf("try %d comes after %s, want %d s", i+1, got, want)
				}
				now = next
			}
			tries := len(e.take())
			if want := len(c.pauses); c.again == "" && tries != want+1 || c.again != "" && tries != want {
				t.Errorf("%d tries for %d pauses", tries, want)
			}
		})
	}
}

func TestWhatIsNotTakenIsForgottenWithAge(t *testing.T) {
	now := time.Date(2026, 11, 25, 5, 0, 0, 0, time.UTC)
	from := now
	s, e := hooked(t, func() time.Time { return now }, nil)
	panel := post(t, s, ana, "Out", keys(args{"text": "Off", "callback_data": "off"}))
	e.answer = func(_ string, w http.ResponseWriter) { w.WriteHeader(http.StatusBadGateway) }
	if _, err := s.Tap(ana, ana, panel, "Off"); err != nil {
		t.Fatal(err)
	}
	s.Write(ana, ana, "off")
	last, waiting := map[string]time.Duration{}, 0
	for range 10000 {
		_, next := s.Deliver(t.Context(), bottest.Local(e))
		for _, what := range e.take() {
			last[what] = now.Sub(from)
			if what == "tap off" {
				waiting = s.Pending()
			}
		}
		if next.IsZero() {
			break
		}
		now = next
	}
	// 0, 0, 2, 6, 14, 30, 62, 126 s: the next would come after the tap's 150 s.
	if last["tap off"] != 126*time.Second || waiting != 1 {
		t.Errorf("the tap was tried for %s, %d waited after it, want 126 s and the line alone", last["tap off"], waiting)
	}
	if last["off"] > 24*time.Hour || last["off"] < 24*time.Hour-2*time.Minute {
		t.Errorf("the line was tried for %s, want a day", last["off"])
	}
	if s.Pending() != 0 {
		t.Errorf("%d wait after a day, want none", s.Pending())
	}
}

func TestAWebhookAndPollsExcludeEachOther(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := shore(time.Now)
		from := time.Now()
		cut := make(chan reply, 1)
		go func() {
			r, _ := try(t.Context(), s, "getUpdates", args{"offset": 100002, "timeout": 50})
			cut <- r
		}()
		synctest.Wait()
		call(t, s, "setWebhook", args{"url": hookURL, "allowed_updates": []string{"message", "callback_query"}})
		if r := <-cut; r.Code != 409 || !strings.Contains(r.Description, "setWebhook") || !time.Now().Equal(from) {
			t.Errorf("the poll that waited = %+v after %s, want 409 at once", r, time.Since(from))
		}
		if r := call(t, s, "getUpdates", nil); r.Code != 409 || !strings.Contains(r.Description, "webhook is active") {
			t.Errorf("getUpdates with a webhook = %+v, want 409", r)
		}
		s.Start(ana, "")
		s.Block(ana) // no longer asked for
		if n := s.Pending(); n != 1 {
			t.Errorf("%d wait, want the line alone", n)
		}
		call(t, s, "deleteWebhook", nil)
		if _, kinds := updates(t, s, 0); !slices.Equal(kinds, []string{"message"}) {
			t.Errorf("polled %v without the webhook, want what it did not fetch", kinds)
		}
		if n, next := s.Deliver(t.Context(), nil); n != 0 || !next.IsZero() {
			t.Errorf("Deliver without a webhook = %d, %s, want nothing", n, next)
		}
		call(t, s, "setWebhook", args{"url": hookURL, "drop_pending_updates": true})
		if n := s.Pending(); n != 0 {
			t.Errorf("%d wait though they were to be dropped", n)
		}
	})
}

func TestWebhookInfo(t *testing.T) {
	now := time.Date(2026, 11, 25, 5, 0, 0, 0, time.UTC)
	s, e := hooked(t, func() time.Time { return now }, args{"max_connections": 500})
	e.answer = refuse("off", 503, "")
	s.Write(ana, ana, "off")
	s.Deliver(t.Context(), bottest.Local(e))
	r := call(t, s, "getWebhookInfo", nil)
	var got map[string]any
	if err := json.Unmarshal(r.Result, &got); err != nil {
		t.Fatal(err)
	}
	for k, want := range map[string]any{"url": hookURL, "pending_update_count": 1.0, "max_connections": 100.0,
		"last_error_date": float64(now.Unix()), "last_error_message": "Wrong response from the webhook: 503 Service Unavailable"} {
		if got[k] != want {
			t.Errorf("%s = %v, want %v", k, got[k], want)
		}
	}
	if strings.Contains(string(r.Result), "s-1") {
		t.Errorf("the secret is told: %s", r.Result)
	}
}

func TestWebhookRefusals(t *testing.T) {
	for _, c := range []struct {
		a    args
		says string
	}{
		{args{"url": "nowhere"}, "invalid webhook URL"},
		{args{"url": "ftp://hook.invalid"}, "invalid webhook URL"},
		{args{"url": hookURL, "secret_token": strings.Repeat("x", 257)}, "secret token is too long"},
		{args{"url": hookURL, "secret_token": "a b"}, "secret token contains unallowed characters"},
	} {
		s := shore(time.Now)
		if r := call(t, s, "setWebhook", c.a); r.Code != 400 || !strings.Contains(r.Description, c.says) {
			t.Errorf("setWebhook(%v) = %+v, want 400 with %q", c.a, r, c.says)
		}
		if r := call(t, s, "getUpdates", nil); !r.OK {
			t.Errorf("after it polls are refused: %+v", r)
		}
	}
}

// Telegram's guide to webhooks: a redirect is not followed.
func TestARedirectIsNoAnswer(t *testing.T) {
	s := shore(time.Now)
	there := &ear{}
	target := httptest.NewServer(there)
	defer target.Close()
	moved := httptest.NewServer(http.RedirectHandler(target.URL, http.StatusTemporaryRedirect))
	defer moved.Close()
	call(t, s, "setWebhook", args{"url": moved.URL})
	if n, _ := s.Deliver(t.Context(), nil); n != 0 || len(there.take()) != 0 || s.Pending() != 1 {
		t.Errorf("%d taken, %d wait, want nobody to follow a redirect", n, s.Pending())
	}
	closed := httptest.NewServer(nil)
	closed.Close()
	call(t, s, "setWebhook", args{"url": closed.URL})
	if n, next := s.Deliver(t.Context(), nil); n != 0 || next.IsZero() || s.Pending() != 1 {
		t.Errorf("%d taken with nobody there, %d wait, want the one for later", n, s.Pending())
	}
}

// With so many lanes that connections run out, none is lost and none comes twice.
func TestMoreLanesThanConnections(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, e := hooked(t, time.Now, args{"max_connections": 2})
		var mu sync.Mutex
		inHand, most := 0, 0
		slow := http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			mu.Lock()
			inHand++
			most = max(most, inHand)
			mu.Unlock()
			time.Sleep(time.Second)
			e.ServeHTTP(w, r)
			mu.Lock()
			inHand--
			mu.Unlock()
		})
		want := []string{}
		for i := range 20 {
			id := int64(100 + i)
			s.AddPerson(id, fmt.Sprint("P", i))
			s.Start(id, fmt.Sprint(i))
			s.Write(id, id, fmt.Sprintf("line %d", i))
			want = append(want, fmt.Sprintf("/start %d", i), fmt.Sprintf("line %d", i))
		}
		deliver(t, s, slow, 40, time.Time{})
		got := e.take()
		for i := range 20 {
			if slices.Index(got, want[2*i]) > slices.Index(got, want[2*i+1]) {
				t.Errorf("%q came after %q", want[2*i], want[2*i+1])
			}
		}
		slices.Sort(got)
		slices.Sort(want)
		if !slices.Equal(got, want) || most != 2 {
			t.Errorf("heard %q with %d at once, want each once with 2 at once", got, most)
		}
	})
}
