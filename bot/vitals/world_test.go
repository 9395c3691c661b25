package vitals_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/alicebob/miniredis/v2"

	"ledgehand/bot/chat"
	"ledgehand/bot/pump"
	"ledgehand/bot/vitals"
	"ledgehand/session"
	"ledgehand/session/redisstore"
	"ledgehand/session/storetest"
)

func TestMain(m *testing.M) {
	redisstore.LogTo(nil) // the outages below are wanted
	os.Exit(m.Run())
}

const secret = "http://watch.invalid/ping/5f2c-not-for-logs"

// world is the queues on a real store in a bubble of its own time, with vitals that hear them and a watchdog that notes
// when it was called.
type world struct {
	*testing.T
	store *storetest.Refusing // fails when told to, for all of them
	heard vitals.Store
	v     *vitals.Vitals
	pump  *pump.Pump

	mu     sync.Mutex
	pings  []time.Time
	dog    func(*http.Request) (*http.Response, error) // nil: answers 200
	send   func(chat.Message) chat.Sent                // nil: sends
	sweep  func(session.Shard) (did bool, err error)   // before the real one, which is left out when it did
	mute   bool                                        // the poller is gone
	others session.Shard                               // shards from here on are renewed no more, if not 0
	log    strings.Builder
}

func (w *world) Write(p []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.log.Write(p)
}

func (w *world) RoundTrip(r *http.Request) (*http.Response, error) {
	w.mu.Lock()
	w.pings = append(w.pings, time.Now())
	dog := w.dog
	w.mu.Unlock()
	if dog != nil {
		return dog(r)
	}
	return answer(http.StatusOK, nil), nil
}

func answer(status int, header http.Header) *http.Response {
	return &http.Response{StatusCode: status, Header: header, Body: io.NopCloser(strings.NewReader("whatever it says"))}
}

// set changes what the world does.
func (w *world) set(f func()) {
	w.mu.Lock()
	defer w.mu.Unlock()
	f()
}

func (w *world) Send(_ context.Context, m chat.Message, _ int) chat.Sent {
	w.mu.Lock()
	send := w.send
	w.mu.Unlock()
	if send != nil {
		return send(m)
	}
	return chat.Sent{Result: chat.ResultSent, Message: 1}
}

// few asks the store about two shards only. Nothing is ever in the others here, and asking so for every second of an hour
// would take minutes.
type few struct{ *redisstore.Store }

func asked(s session.Shard) bool { return s == shard || s == shard+1 }

func (f few) Waiting(ctx context.Context, s session.Shard, after string, n int) ([]session.Letter, error) {
	if !asked(s) {
		return nil, nil
	}
	return f.Store.Waiting(ctx, s, after, n)
}

func (f few) ClaimDue(ctx context.Context, s session.Shard, x session.Fence, now time.Time, hold time.Duration, n int) ([]session.DueItem, error) {
	if !asked(s) {
		return nil, nil
	}
	return f.Store.ClaimDue(ctx, s, x, now, hold, n)
}

func (f few) ClaimOut(ctx context.Context, s session.Shard, x session.Fence, lane session.Lane, now time.Time, hold time.Duration, n int) ([]session.Claimed, error) {
	if !asked(s) {
		return nil, nil
	}
	return f.Store.ClaimOut(ctx, s, x, lane, now, hold, n)
}

func (f few) Backlog(ctx context.Context, s session.Shard) (session.Backlog, error) {
	if !asked(s) {
		return session.Backlog{}, nil
	}
	return f.Store.Backlog(ctx, s)
}

func (f few) Lead(ctx context.Context, s session.Shard, owner string, now time.Time, ttl time.Duration) (session.Fence, error) {
	if !asked(s) {
		return 1, nil
	}
	return f.Store.Lead(ctx, s, owner, now, ttl)
}

// desk handles what is a line, in no time.
type desk struct{}

func (desk) Handle(context.Context, chat.Request, session.Cause) error { return nil }
func (desk) Elsewhere(context.Context, chat.Request, session.Shard, time.Time) ([]session.Shard, error) {
	return nil, nil
}

func (desk) Slow(chat.Request) bool                                            { return false }
func (desk) Failed(context.Context, chat.Request, session.Cause, string) error { return nil }

// live plays in a world where all is well.
func live(t *testing.T, o vitals.Options, play func(w *world)) {
	t.Helper()
	m := miniredis.RunT(t) // its listener must not join the bubble
	synctest.Test(t, func(t *testing.T) {
		st := storetest.OpenRedis(t, m.Addr(), "t")
		few := few{st}
		w := &world{T: t, store: storetest.NewRefusing(few, few)}
		o.Now, o.Gauge, o.Watchdog, o.Client = time.Now, w.store, secret, w
		o.Log = slog.New(slog.NewTextHandler(w, nil))
		w.v = vitals.New(o)
		w.heard = w.v.Hear(w.store)
		w.lead(time.Now())
		ours := func(session.Shard) session.Fence { return fence }
		service := session.New(w.heard, ours)
		log := slog.New(slog.DiscardHandler)
		w.pump = &pump.Pump{
			Inbox: &pump.Inbox{Store: w.heard, Fence: ours, Desk: desk{}, Log: log, Observer: w.v,
				Decode: func(raw []byte, _ time.Time) (chat.Request, error) {
					if string(raw) == "garbage" {
						return chat.Request{}, errors.New("not a line")
					}
					return chat.Request{}, nil
				}},
			Outbox: &pump.Outbox{Store: w.heard, Fence: ours, Sender: w, Log: log, Observer: w.v},
			Sweep: func(ctx context.Context, s session.Shard, now time.Time) (int, error) {
				w.mu.Lock()
				sweep := w.sweep
				w.mu.Unlock()
				if sweep != nil {
					if did, err := sweep(s); did || err != nil {
						return 0, err
					}
				}
				return service.Sweep(ctx, s, now, nil) // what falls due here is nobody's record, and leaves the index
			},
			Now: time.Now, Log: log, Observer: w.v,
		}
		ctx, cancel := context.WithCancel(t.Context())
		var going sync.WaitGroup
		going.Go(func() { w.pump.Run(ctx, tick) })
		going.Go(func() { w.v.Run(ctx) })
		going.Go(func() { // the lease and the poller
			tick := time.NewTicker(10 * time.Second)
			defer tick.Stop()
			for {
				select {
				case <-ctx.Done():
					return
				case <-tick.C:
					w.lead(time.Now())
					w.mu.Lock()
					mute := w.mute
					w.mu.Unlock()
					if !mute {
						w.v.Polled(vitals.PollOK)
					}
				}
			}
		})
		defer going.Wait()
		defer cancel()
		synctest.Wait()
		play(w)
	})
}

func (w *world) lead(now time.Time) {
	w.mu.Lock()
	others := w.others
	w.mu.Unlock()
	for s := range session.Shard(session.Shards) {
		if others > 0 && s >= others {
			return
		}
		f, err := w.heard.Lead(w.Context(), s, "me", now, 30*time.Second)
		if err != nil {
			return // it runs out, or is taken again
		}
		if f != fence {
			w.Errorf("shard %d is led under %d, want %d", s, f, fence)
		}
	}
}

// pass lets time go by and says how often the watchdog was called meanwhile.
func (w *world) pass(d time.Duration) int {
	before := w.called()
	time.Sleep(d)
	synctest.Wait()
	return w.called() - before
}

func (w *world) called() int {
	w.mu.Lock()
	defer w.mu.Unlock()
	return len(w.pings)
}

func (w *world) logged(words string) int {
	w.mu.Lock()
	defer w.mu.Unlock()
	return strings.Count(w.log.String(), words)
}

// wantPings lets so many minutes pass and wants a call in each.
func (w *world) wantPings(when string, minutes int) {
	w.Helper()
	if n := w.pass(time.Duration(minutes) * time.Minute); n < minutes-1 || n > minutes+1 {
		w.Errorf("%s: %d calls in %d minutes, want one a minute", when, n, minutes)
	}
}

// wantSilence lets a trouble show and then wants no call for ten minutes, with the reason logged once.
func (w *world) wantSilence(when string, within time.Duration, word string) {
	w.Helper()
	w.pass(within)
	if n := w.pass(10 * time.Minute); n != 0 {
		w.Errorf("%s: %d calls in ten minutes, want none", when, n)
	}
	if n := w.logged(word); n != 1 {
		w.Errorf("%s: %q logged %d times, want once\n%s", when, word, n, w.log.String())
	}
}

func (w *world) get(path string) (status int, body string) {
	rec := httptest.NewRecorder()
	vitals.Handler(w.v).ServeHTTP(rec, httptest.NewRequest(http.MethodGet, path, nil))
	return rec.Code, rec.Body.String()
}

func (w *world) wantStatus(path string, want int, words string) {
	w.Helper()
	if got, body := w.get(path); got != want || !strings.Contains(body, words) || strings.Count(body, "\n") != 1 {
		w.Errorf("%s = %d %q, want %d and one line with %q", path, got, body, want, words)
	}
}

const (
	shard = session.Shard(7)
	fence = session.Fence(1)
	tick  = 5 * time.Second // slower than in life: fewer rounds to an hour
)

var causes int

func (w *world) commit(c session.Change) {
	w.Helper()
	causes++
	c.Cause, c.Now = fmt.Sprint("c", causes), time.Now()
	if err := w.heard.Commit(w.Context(), shard, fence, c); err != nil {
		w.Fatal(err)
	}
}

func (w *world) post(id string, lane session.Lane) {
	w.Helper()
	now := time.Now()
	w.commit(session.Change{Post: []session.Entry{{ID: id, Lane: lane, Chat: 5, At: now, Made: now, Alert: lane == session.Urgent, Body: []byte(`{"To":5,"Text":"words"}`)}}})
}
