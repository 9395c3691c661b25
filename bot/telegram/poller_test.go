package telegram_test

import (
	"context"
	"errors"
	"fmt"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"ledgehand/bot/bottest"
	"ledgehand/bot/chat"
	"ledgehand/bot/telegram"
)

const (
	ana, bram, chidi, mo int64 = 11, 12, 13, 21
	crew                 int64 = -4001
)

// shore is a server with a crew in it, the bot already among them.
func shore(now func() time.Time) *bottest.Server {
	s := bottest.NewServer(now)
	s.AddPerson(ana, "Ana")
	s.AddPerson(bram, "Bram")
	s.AddPerson(chidi, "Chidi")
	s.AddPerson(mo, "Mo")
	s.AddGroup(crew, "Anvil crew", ana, bram, chidi)
	s.AddBot(crew, ana)
	return s
}

// box is an inbox in memory: what was taken, in order, each once.
type box struct {
	mu      sync.Mutex
	seen    map[string]bool
	letters []letter
	takes   int
	fail    func(id string) error
}

type letter struct {
	id  string
	at  int64
	raw []byte
	got time.Time
}

func (b *box) take(_ context.Context, id string, chatID int64, raw []byte, got time.Time) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.takes++
	if b.fail != nil {
		if err := b.fail(id); err != nil {
			return err
		}
	}
	if b.seen == nil {
		b.seen = map[string]bool{}
	}
	if !b.seen[id] {
		b.seen[id] = true
		b.letters = append(b.letters, letter{id, chatID, raw, got})
	}
	return nil
}

func (b *box) all() []letter {
	b.mu.Lock()
	defer b.mu.Unlock()
	return slices.Clone(b.letters)
}

func (b *box) tries() int {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.takes
}

// texts are the lines and taps among the letters, and "?" for each nobody can read.
func (b *box) texts() []string {
	b.mu.Lock()
	defer b.mu.Unlock()
	var out []string
	for _, l := range b.letters {
		switch r, err := telegram.Decode(l.raw, l.got, us); {
		case err != nil:
			out = append(out, "?")
		case r.Kind == chat.KindText:
			out = append(out, r.Text)
		case r.Kind == chat.KindTap:
			out = append(out, "tap "+r.Data)
		}
	}
	return out
}

// diary keeps what a poller reports.
type diary struct {
	mu   sync.Mutex
	errs []error
	well int
}

func (d *diary) observe(err error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err == nil {
		d.well++
	} else {
		d.errs = append(d.errs, err)
	}
}

func (d *diary) all() []error {
	d.mu.Lock()
	defer d.mu.Unlock()
	return slices.Clone(d.errs)
}

func (d *diary) String() string {
	d.mu.Lock()
	defer d.mu.Unlock()
	return fmt.Sprint(d.errs)
}

func poller(s *bottest.Server, b *box, d *diary) *telegram.Poller {
	return &telegram.Poller{Token: bottest.Token, Server: "http://constructed.invalid", Client: s.Client(), Take: b.take, Observe: d.observe}
}

// run starts a poller and returns a function that stops it and waits.
func run(t *testing.T, p *telegram.Poller) (stop func()) {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- p.Run(ctx) }()
	stopped := false
	stop = func() {
		t.Helper()
		if stopped {
			return
		}
		stopped = true
		cancel()
		if err := <-done; err != nil {
			t.Errorf("Run = %v after a stop, want nil", err)
		}
	}
	t.Cleanup(stop)
	return stop
}

func TestPollerLongPollsForHours(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, b, d := shore(time.Now), &box{}, &diary{}
		stop := run(t, poller(s, b, d))
		s.Start(ana, "")
		for i := range 3 {
			s.Write(ana, ana, fmt.Sprintf("/watch %d", i))
			time.Sleep(time.Hour)
		}
		s.Write(ana, ana, "off")
		synctest.Wait()
		if got, want := b.texts(), []string{"/start", "/watch 0", "/watch 1", "/watch 2", "off"}; !slices.Equal(got, want) {
			t.Errorf("taken %q, want %q", got, want)
		}
		all := b.all()
		last := all[len(all)-1]
		if r, err := telegram.Decode(last.raw, last.got, us); err != nil || !last.got.Equal(time.Now()) || r.At.After(r.Got) {
			t.Errorf("last line got %s at %s, %v, want now, %s", last.got, r.At, err, time.Now())
		}
		// 3 h of polls of 50 s each, and one more for each burst: nowhere near a busy loop.
		if n := s.Calls("getUpdates"); n < 216 || n > 235 {
			t.Errorf("%d polls in three hours, want about 216", n)
		}
		stop()
		if n := s.Pending(); n != 0 {
			t.Errorf("%d updates left unconfirmed after a graceful stop, want 0", n)
		}
		if len(d.all()) != 0 {
			t.Errorf("reported %v, want nothing", d)
		}
	})
}

func TestPollerConfirmsOnlyWhatWasTaken(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, d := shore(time.Now), &diary{}
		b := &box{}
		broken, id := true, ""
		b.fail = func(i string) error {
			if id == "" && len(b.letters) == 3 {
				id = i // the fourth: "two"
			}
			if broken && i == id {
				return errors.New("store is away")
			}
			return nil
		}
		s.Start(ana, "")
		for _, line := range []string{"one", "two", "off"} {
			s.Write(ana, ana, line)
		}
		run(t, poller(s, b, d))
		time.Sleep(30 * time.Minute)
		if got, want := b.texts(), []string{"/start", "one"}; !slices.Equal(got, want) {
			t.Fatalf("taken %q while the store was away, want %q", got, want)
		}
		if n := s.Pending(); n != 5 {
			t.Errorf("%d updates unconfirmed while the store was away, want all 5", n)
		}
		if n := b.tries(); n > 75 {
			t.Errorf("%d tries in half an hour, want them to slow down", n)
		}
		if !strings.Contains(d.String(), "store is away") {
			t.Errorf("reported %v, want the store's trouble", d)
		}
		b.mu.Lock()
		broken = false
		b.mu.Unlock()
		time.Sleep(time.Minute)
		if got, want := b.texts(), []string{"/start", "one", "two", "off"}; !slices.Equal(got, want) {
			t.Errorf("taken %q once the store was back, want %q", got, want)
		}
		if n := s.Pending(); n != 0 {
			t.Errorf("%d updates unconfirmed, want 0", n)
		}
	})
}

func TestCrashBetweenTakeAndConfirmBringsUpdatesAgain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, b := shore(time.Now), &box{}
		s.Start(ana, "")
		s.Write(ana, ana, "off")
		// The poller dies as a process does: no confirming on the way out.
		ctx, crash := context.WithCancel(t.Context())
		p := poller(s, b, &diary{})
		p.Take = func(ctx context.Context, id string, c int64, raw []byte, got time.Time) error {
			if err := b.take(ctx, id, c, raw, got); err != nil {
				return err
			}
			if len(b.letters) == 3 {
				s.Inject(bottest.Fault{Method: "getUpdates", Cut: true})
				crash()
			}
			return nil
		}
		if err := p.Run(ctx); err != nil {
			t.Fatalf("Run = %v, want nil", err)
		}
		if n := s.Pending(); n != 3 {
			t.Fatalf("%d updates left after the crash, want 3", n)
		}
		stop := run(t, poller(s, b, &diary{}))
		time.Sleep(time.Second)
		stop()
		if got, want := b.texts(), []string{"/start", "off"}; !slices.Equal(got, want) {
			t.Errorf("taken %q, want %q once each", got, want)
		}
		if b.tries() != 6 || s.Pending() != 0 {
			t.Errorf("%d handed over, %d left, want each of 3 twice and none left", b.tries(), s.Pending())
		}
	})
}

func TestStopStoresTheBatchInHand(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, b := shore(time.Now), &box{}
		s.Start(ana, "")
		s.Write(ana, ana, "off")
		p := poller(s, b, &diary{})
		slow := make(chan struct{})
		p.Take = func(ctx context.Context, id string, c int64, raw []byte, got time.Time) error {
			select {
			case <-slow:
			default:
				close(slow)
			}
			time.Sleep(time.Second)
			if err := ctx.Err(); err != nil {
				return err
			}
			return b.take(ctx, id, c, raw, got)
		}
		ctx, cancel := context.WithCancel(t.Context())
		done := make(chan error, 1)
		go func() { done <- p.Run(ctx) }()
		<-slow
		cancel()
		if err := <-done; err != nil {
			t.Errorf("Run = %v, want nil", err)
		}
		if got, want := b.texts(), []string{"/start", "off"}; !slices.Equal(got, want) {
			t.Errorf("taken %q, want %q though told to stop before", got, want)
		}
		if n := s.Pending(); n != 0 {
			t.Errorf("%d updates unconfirmed, want 0", n)
		}
	})
}

func TestStopGivesUpOnADeadStore(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, b := shore(time.Now), &box{}
		b.fail = func(string) error {
			if len(b.letters) > 0 {
				return errors.New("store is away")
			}
			return nil
		}
		s.Start(ana, "")
		s.Write(ana, ana, "off")
		p := poller(s, b, &diary{})
		p.Grace = 5 * time.Second
		ctx, cancel := context.WithCancel(t.Context())
		done := make(chan error, 1)
		go func() { done <- p.Run(ctx) }()
		time.Sleep(time.Minute)
		cancel()
		from := time.Now()
		if err := <-done; err != nil {
			t.Errorf("Run = %v, want nil", err)
		}
		if took := time.Since(from); took > 6*time.Second {
			t.Errorf("stop took %s, want its grace of 5s", took)
		}
		if n := s.Pending(); n != 2 {
			t.Errorf("%d updates kept by Telegram, want the two that were not taken", n)
		}
	})
}

func TestAnUnreadableUpdateHoldsNobodyUp(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, b, d := shore(time.Now), &box{}, &diary{}
		s.Start(ana, "")
		for i := range 60 {
			if i == 30 {
				s.Raw(`{"message":{"message_id":1,"chat":{"id":-4001,"type":"group"},"date":"soon","text":"x"}}`)
				s.Raw(`{"my_chat_member":{"chat":{"id":-4001,"type":"group"},"from":{"id":11},"date":1,"new_chat_member":{"status":"apprentice"}}}`)
				s.Raw(`{"message":[]}`)
			}
			s.Write(ana, ana, fmt.Sprint(i))
		}
		run(t, poller(s, b, d))
		time.Sleep(time.Second)
		got := b.texts()
		if len(got) != 64 || !slices.Equal(got[30:35], []string{"29", "?", "?", "?", "30"}) || got[63] != "59" {
			t.Fatalf("taken %q, want 61 lines and 3 unreadable ones in their places", got)
		}
		for _, l := range b.all() {
			if strings.Contains(string(l.raw), "soon") && l.at != crew {
				t.Errorf("unreadable update stored for chat %d, want %d all the same", l.at, crew)
			}
		}
		if n := s.Pending(); n != 0 {
			t.Errorf("%d updates unconfirmed, want 0", n)
		}
	})
}

func TestPollerTrouble(t *testing.T) {
	for _, c := range []struct {
		name  string
		fault bottest.Fault
		want  error  // what the report is
		says  string // and says
		wait  time.Duration
	}{
		{"a pause is kept", bottest.Fault{Code: 429, RetryAfter: 300}, telegram.ErrFlood, "5m0s", 300 * time.Second},
		{"another poller is named", bottest.Fault{Code: 409, Description: "Conflict: can't use getUpdates method while webhook is active"}, telegram.ErrOtherPoller, "webhook is active", 5 * time.Second},
		{"an outage is waited out", bottest.Fault{Code: 502, Body: "<html>Bad Gateway</html>"}, nil, "status 502", time.Second},
		{"a cut connection is nothing special", bottest.Fault{Cut: true}, nil, "EOF", time.Second},
		{"an error of the server", bottest.Fault{Code: 500, Description: "Internal Server Error: restart"}, nil, "restart", time.Second},
	} {
		t.Run(c.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				s, b, d := shore(time.Now), &box{}, &diary{}
				c.fault.Method = "getUpdates"
				s.Inject(c.fault)
				s.Start(ana, "")
				stop := run(t, poller(s, b, d))
				time.Sleep(c.wait - time.Millisecond)
				if n := s.Calls("getUpdates"); n != 1 {
					t.Errorf("%d polls within %s, want 1", n, c.wait)
				}
				time.Sleep(2 * time.Millisecond)
				synctest.Wait()
				if got := b.texts(); !slices.Equal(got, []string{"/start"}) {
					t.Errorf("taken %q afterwards, want /start", got)
				}
				stop()
				if errs := d.all(); len(errs) != 1 || c.want != nil && !errors.Is(errs[0], c.want) || !strings.Contains(d.String(), c.says) {
					t.Errorf("reported %v, want one %v with %q", d, c.want, c.says)
				}
				if strings.Contains(d.String(), bottest.Token) || strings.Contains(d.String(), "constructed") {
					t.Errorf("report %v holds the token or the address", d)
				}
			})
		})
	}
}

func TestARefusedTokenEndsThePolling(t *testing.T) {
	for _, token := range []string{"7000000001:old", "not-a-token"} {
		s := shore(time.Now)
		p := poller(s, &box{}, &diary{})
		p.Token = token
		err := p.Run(t.Context())
		if !errors.Is(err, telegram.ErrToken) || strings.Contains(err.Error(), token) {
			t.Errorf("Run with token %q = %v, want ErrToken without the token", token, err)
		}
	}
}

func TestTwoPollersLoseNothing(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, b, d := shore(time.Now), &box{}, &diary{}
		run(t, poller(s, b, d))
		run(t, poller(s, b, d))
		time.Sleep(10 * time.Minute)
		s.Start(ana, "")
		s.Write(ana, ana, "off")
		time.Sleep(time.Minute)
		if got, want := b.texts(), []string{"/start", "off"}; !slices.Equal(got, want) {
			t.Errorf("taken %q, want %q", got, want)
		}
		conflicts := 0
		for _, err := range d.all() {
			if errors.Is(err, telegram.ErrOtherPoller) {
				conflicts++
			}
		}
		if conflicts == 0 {
			t.Error("nobody was told that two pollers are at it")
		}
	})
}

func TestLowerIDsAfterAWeekOfSilence(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, b, d := shore(time.Now), &box{}, &diary{}
		s.Start(ana, "")
		run(t, poller(s, b, d))
		time.Sleep(8 * 24 * time.Hour)
		s.Renumber(500)
		s.Write(ana, ana, "out")
		s.Write(ana, ana, "off")
		time.Sleep(time.Minute)
		if got, want := b.texts(), []string{"/start", "out", "off"}; !slices.Equal(got, want) {
			t.Errorf("taken %q, want %q", got, want)
		}
		if n := s.Pending(); n != 0 {
			t.Errorf("%d updates unconfirmed, want 0", n)
		}
	})
}

func TestAnOutageKeepsLinesAndLosesTaps(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s, b, d := shore(time.Now), &box{}, &diary{}
		s.Start(ana, "")
		sender := newSender(t, s)
		panel := sender.Send(t.Context(), chat.Message{To: ana, Text: "Out now", Buttons: [][]chat.Button{{{Label: "Off the rocks", Data: "off"}}}}, 0)
		if _, err := s.Tap(ana, ana, panel.Message, "Off the rocks"); err != nil {
			t.Fatal(err)
		}
		time.Sleep(10 * time.Minute)
		s.Write(ana, ana, "off")
		time.Sleep(3 * time.Hour)
		run(t, poller(s, b, d))
		time.Sleep(time.Second)
		if got, want := b.texts(), []string{"/start", "off"}; !slices.Equal(got, want) {
			t.Errorf("taken %q after three hours, want %q", got, want)
		}
	})
}

func TestPollerOverTCP(t *testing.T) {
	s, b, d := shore(time.Now), &box{}, &diary{}
	srv := httptest.NewServer(s)
	defer srv.Close()
	taken := make(chan struct{}, 10)
	p := &telegram.Poller{Token: bottest.Token, Server: srv.URL, Observe: d.observe,
		Take: func(ctx context.Context, id string, c int64, raw []byte, got time.Time) error {
			defer func() { taken <- struct{}{} }()
			return b.take(ctx, id, c, raw, got)
		}}
	stop := run(t, p)
	<-taken // the bot was added
	s.Start(ana, "")
	<-taken
	stop()
	if got := b.texts(); !slices.Equal(got, []string{"/start"}) || s.Pending() != 0 {
		t.Errorf("taken %q, %d unconfirmed, want /start and none", got, s.Pending())
	}
}
