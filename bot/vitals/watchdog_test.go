package vitals_test

import (
	"context"
	"errors"
	"net/http"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/vitals"
	"ledgehand/session"
)

func TestTheWatchdogIsCalledOnceAMinuteWhileAllIsWell(t *testing.T) {
	live(t, vitals.Options{}, func(w *world) {
		w.wantPings("all is well", 15)
		for i := 1; i < len(w.pings); i++ {
			if gap := w.pings[i].Sub(w.pings[i-1]); gap < time.Minute {
				w.Fatalf("called again after %v, want a minute at least", gap)
			}
		}
		w.wantStatus("/healthz", http.StatusOK, "alive")
		w.wantStatus("/readyz", http.StatusOK, "serving")
		if n := w.logged("watchdog"); n != 0 {
			w.Errorf("a good quarter of an hour is logged:\n%s", w.log.String())
		}
	})
}

// Each of these alone keeps the watchdog from being called, whatever else is well; when it is over, calls go on.
func TestTheWatchdogIsNotCalledWhile(t *testing.T) {
	for name, c := range map[string]struct {
		breaks func(w *world)
		mends  func(w *world)
		within time.Duration // when it must show
		says   string
	}{
		// The scanner dead while everything else is healthy, three ways.
		"TheSweepHangs": {
			breaks: func(w *world) {
				w.sweep = func(session.Shard) (bool, error) {
					for {
						time.Sleep(time.Second)
						w.mu.Lock()
						over := w.sweep == nil
						w.mu.Unlock()
						if over {
							return false, nil
						}
					}
				}
			},
			mends: func(w *world) { w.sweep = nil }, within: time.Minute, says: "no clean round",
		},
		"TheSweepLooksAtNothing": {
			breaks: func(w *world) { w.sweep = func(session.Shard) (bool, error) { return true, nil } },
			mends:  func(w *world) { w.sweep = nil }, within: 2 * time.Minute, says: "deadlines are looked at late",
		},
		"TheSweepOfOneShardFails": {
			breaks: func(w *world) {
				w.sweep = func(s session.Shard) (bool, error) {
					if s == shard+1 {
						return true, errors.New("a record cannot be read")
					}
					return false, nil
				}
			},
			mends: func(w *world) { w.sweep = nil }, within: time.Minute, says: "no clean round",
		},
		"AnAlertIsStuck": {
			breaks: func(w *world) {
				w.send = func(chat.Message) chat.Sent { return chat.Sent{Result: chat.ResultLater} }
			},
			mends: func(w *world) { w.send = nil }, within: 4 * time.Minute, says: "an urgent message waits unsent",
		},
		"TheStoreIsDown": {
			breaks: func(w *world) { w.store.Off() },
			mends:  func(w *world) { w.store.On() }, within: time.Minute, says: "the store takes no writes",
		},
		"NoUpdatesAreFetched": {
			breaks: func(w *world) { w.mute = true },
			mends:  func(w *world) { w.mute = false }, within: 3 * time.Minute, says: "no updates come in",
		},
	} {
		t.Run(name, func(t *testing.T) {
			live(t, vitals.Options{}, func(w *world) {
				w.wantPings("before", 3)
				w.commit(session.Change{Due: []session.DueItem{{Item: "nobody/s", At: time.Now().Add(2 * time.Second)}}})
				w.post("alert", session.Urgent)
				w.set(func() { c.breaks(w) })
				w.wantSilence("meanwhile", c.within, c.says)
				w.wantStatus("/readyz", http.StatusServiceUnavailable, c.says)
				w.set(func() { c.mends(w) })
				w.pass(2 * time.Minute) // what waited is retried
				w.wantPings("after", 5)
				w.wantStatus("/readyz", http.StatusOK, "serving")
				if n := w.logged("all is well again"); n != 1 {
					w.Errorf("the end of it is logged %d times, want once\n%s", n, w.log.String())
				}
			})
		})
	}
}

// A loop that hangs is told to who could start the process anew; an outage of the store or the chat service, which that
// would not mend, is not.
func TestOnlyALoopThatStandsStillIsNotAlive(t *testing.T) {
	live(t, vitals.Options{}, func(w *world) {
		w.pass(time.Minute)
		w.store.Off()
		w.set(func() { w.mute = true })
		w.pass(20 * time.Minute)
		w.wantStatus("/healthz", http.StatusOK, "alive")
		w.store.On()
		over := make(chan bool)
		w.set(func() { w.sweep = func(session.Shard) (bool, error) { <-over; return true, nil } })
		w.pass(4 * time.Minute)
		w.wantStatus("/healthz", http.StatusOK, "alive")
		w.pass(2 * time.Minute)
		w.wantStatus("/healthz", http.StatusServiceUnavailable, "loop does not turn")
		w.set(func() { w.sweep = nil })
		close(over)
		w.pass(5 * time.Second)
		w.wantStatus("/healthz", http.StatusOK, "alive")
	})
}

func TestWhoServesNothingIsAliveAndNotReady(t *testing.T) {
	live(t, vitals.Options{}, func(w *world) {
		w.pass(2 * time.Minute)
		for s := range session.Shard(session.Shards) {
			if err := w.heard.Resign(w.Context(), s, "me"); err != nil {
				w.Fatal(err)
			}
		}
		w.pass(2 * time.Second)
		w.wantStatus("/readyz", http.StatusServiceUnavailable, "no shard is served here")
		w.wantStatus("/healthz", http.StatusOK, "alive")
	})
}

// The lease of every shard runs out, and the loop goes on as if nothing were: nobody may call that healthy.
func TestALeaseThatRanOutIsTold(t *testing.T) {
	live(t, vitals.Options{}, func(w *world) {
		w.pass(2 * time.Minute)
		for s := range session.Shard(session.Shards) { // nearly over at once; the next renewal is up to 10 s off
			if _, err := w.heard.Lead(w.Context(), s, "me", time.Now(), time.Second); err != nil {
				w.Fatal(err)
			}
		}
		w.pass(2 * time.Second)
		w.wantStatus("/readyz", http.StatusServiceUnavailable, "leases ran out (64 shards)")
		w.pass(10 * time.Second)
		w.wantStatus("/readyz", http.StatusOK, "serving")
	})
}

// A shard whose lease ran out goes to another replica, which nobody tells us of: that is no trouble of ours for ever.
func TestAShardThatWentToAnotherIsForgotten(t *testing.T) {
	live(t, vitals.Options{}, func(w *world) {
		w.pass(time.Minute)
		w.set(func() { w.others = 50 })
		w.pass(45 * time.Second)
		w.wantStatus("/readyz", http.StatusServiceUnavailable, "leases ran out (14 shards)")
		w.pass(2 * time.Minute)
		w.wantStatus("/readyz", http.StatusOK, "serving")
		w.want("ledgehand_shards_served", 50)
		w.wantPings("with what is left", 5)
	})
}

// Where another replica polls, or a webhook is quiet, what the store knows of when everything was heard is enough; and when
// that grows old it is a trouble.
func TestWhoDoesNotPollGoesByWhatWasHeard(t *testing.T) {
	var deaf atomic.Bool
	var last atomic.Pointer[time.Time]
	heard := func(context.Context) (time.Time, error) {
		if now := time.Now(); !deaf.Load() {
			last.Store(&now)
		}
		return *last.Load(), nil
	}
	live(t, vitals.Options{Heard: heard}, func(w *world) {
		w.set(func() { w.mute = true })
		w.wantPings("in a quiet half hour", 30)
		deaf.Store(true)
		w.wantSilence("while nobody is heard", 3*time.Minute, "no updates come in")
		deaf.Store(false)
		w.wantPings("after the next was heard", 5)
	})
}

// However the watchdog answers, nothing waits for it, nothing is followed, and its address is told to nobody.
func TestTheWatchdogHoldsNobodyUp(t *testing.T) {
	for name, c := range map[string]struct {
		dog  func(*http.Request) (*http.Response, error)
		want string
	}{
		"Hangs": {func(r *http.Request) (*http.Response, error) { <-r.Context().Done(); return nil, r.Context().Err() }, "unreachable"},
		"SendsElsewhere": {func(*http.Request) (*http.Response, error) {
			return answer(http.StatusFound, http.Header{"Location": {secret + "/elsewhere"}}), nil
		}, "refused"},
		"Refuses": {func(*http.Request) (*http.Response, error) { return answer(http.StatusNotFound, nil), nil }, "refused"},
		"IsGone": {func(r *http.Request) (*http.Response, error) {
			return nil, errors.New("no such host as " + r.URL.String())
		}, "unreachable"},
	} {
		t.Run(name, func(t *testing.T) {
			live(t, vitals.Options{}, func(w *world) {
				w.set(func() { w.dog = c.dog })
				before := w.number(`ledgehand_rounds_total{result="clean"}`)
				w.wantPings("tried all the same", 10)
				if n := w.number(`ledgehand_rounds_total{result="clean"}`) - before; n < 119 || n > 121 {
					w.Errorf("%v rounds in ten minutes, want one a tick", n)
				}
				if n := w.number(`ledgehand_watchdog_pings_total{result="` + c.want + `"}`); int(n) != w.called() {
					w.Errorf("%v calls counted as %s, want all %d", n, c.want, w.called())
				}
				_, numbers := w.get("/metrics")
				for _, out := range []string{w.log.String(), numbers} {
					if strings.Contains(out, "not-for-logs") || strings.Contains(out, "watch.invalid") {
						w.Errorf("the watchdog's address is told:\n%s", out)
					}
				}
			})
		})
	}
}
