package pump_test

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"ledgehand/bot/pump"
)

// The figures of Telegram's FAQ for bots ("My bot is hitting limits"): about one message a second in a chat, short bursts
// tolerated, 20 a minute in a group, about 30 a second overall. How long a short burst is nobody says.
const (
	faqGroup   = 20
	faqOverall = 30
	burst      = 8
)

// posted is a message that was let go.
type posted struct {
	at time.Time
	to int64
	c  pump.Class
}

// most is the largest number of messages in any stretch of time that is shorter than span.
func most(all []posted, span time.Duration) int {
	best, from := 0, 0
	for i := range all {
		for all[i].at.Sub(all[from].at) >= span {
			from++
		}
		best = max(best, i-from+1)
	}
	return best
}

// pick is the part of the messages that a condition holds for.
func pick(all []posted, is func(posted) bool) (out []posted) {
	for _, p := range all {
		if is(p) {
			out = append(out, p)
		}
	}
	return out
}

// want is a message that waits.
type want struct {
	posted
	n    int
	next time.Time
}

// Over random traffic of any strength the figures are kept in every stretch of time, and no alert waits for anything but
// the alerts before it, however much else there is.
func TestLimitsKeepTheFiguresAndStarveNoAlert(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 3))
	for round := range 12 {
		var l pump.Limits
		chats := []int64{-1, -2, -3, 1, 2, 3, 4, 5}
		if round%3 == 1 {
			chats = []int64{-1}
		}
		if round%3 == 2 {
			for i := range int64(200) {
				chats = append(chats, 100+i)
			}
		}
		load := []float64{0.3, 3, 30, 90}[round%4] // messages a second
		alertEvery := 2 + rng.IntN(40)             // seconds, one in all
		var waits []want
		var sent []posted
		var latest, private time.Duration // the longest that an alert waited; that in a private chat
		now := noon
		for step := range 4 * 300 { // five minutes in quarters of a second
			now = noon.Add(time.Duration(step)*250*time.Millisecond + time.Duration(rng.IntN(200))*time.Millisecond)
			for n := load / 4; rng.Float64() < n; n-- {
				waits = append(waits, want{posted{now, chats[rng.IntN(len(chats))], pump.Class(rng.IntN(2))}, 1 + rng.IntN(3)*rng.IntN(2), now})
			}
			if step%(4*alertEvery) == 0 {
				waits = append(waits, want{posted{now, chats[rng.IntN(len(chats))], pump.Alert}, 1, now})
			}
			rng.Shuffle(len(waits), func(i, j int) { waits[i], waits[j] = waits[j], waits[i] }) // whatever order they are asked in
			waits = slices.DeleteFunc(waits, func(w want) bool {
				if w.next.After(now) {
					return false
				}
				wait := l.Ask(w.to, w.c, w.n, now)
				if wait > 0 {
					if w.next = now.Add(wait); w.c != pump.Alert {
						return rng.IntN(2) == 0 // called back, or never asked again
					}
					return false
				}
				for range w.n {
					sent = append(sent, posted{now, w.to, w.c})
				}
				if w.c == pump.Alert {
					latest = max(latest, now.Sub(w.at))
					if w.to > 0 {
						private = max(private, now.Sub(w.at))
					}
				}
				return true
			})
		}
		if n := most(sent, time.Second); n > faqOverall {
			t.Errorf("round %d: %d messages in less than a second, want at most %d", round, n, faqOverall)
		}
		for _, to := range chats {
			mine := pick(sent, func(p posted) bool { return p.to == to })
			if n := most(mine, time.Minute); to < 0 && n > faqGroup {
				t.Errorf("round %d: %d messages in less than a minute in group %d, want at most %d", round, n, to, faqGroup)
			}
			for _, span := range []time.Duration{time.Second, 5 * time.Second, 20 * time.Second, time.Minute} {
				if n := most(mine, span); n > burst+int(span/time.Second) {
					t.Errorf("round %d: %d messages in less than %v in chat %d, want one a second but for a burst of %d", round, n, span, to, burst)
				}
			}
			news := pick(mine, func(p posted) bool { return p.c == pump.Chatter })
			if n := most(news, time.Minute); to < 0 && n > 14 {
				t.Errorf("round %d: %d lines of chatter in less than a minute in group %d, want at most 14", round, n, to)
			}
		}
		// The worst for an alert is a group whose minute is used up. Elsewhere it finds room at once.
		if alertEvery >= 4 && (latest > 62*time.Second || private > 500*time.Millisecond) {
			t.Errorf("round %d: an alert waited %v, in private %v, want no longer than a group's minute, in private not at all", round, latest, private)
		}
		if load < 1 && len(sent) < 60 {
			t.Errorf("round %d: %d messages let go in five minutes of little traffic, want nearly all", round, len(sent))
		}
	}
}

func ask(t *testing.T, l *pump.Limits, to int64, c pump.Class, at time.Duration, want time.Duration) {
	t.Helper()
	if got := l.Ask(to, c, 1, noon.Add(at)); got != want {
		t.Errorf("Ask(%d, class %d) after %v = %v, want %v", to, c, at, got, want)
	}
}

// A chat that asked for a pause is left alone, by all classes, and nobody else is.
func TestAChatThatAskedForAPauseIsLeftAlone(t *testing.T) {
	var l pump.Limits
	l.Shut(-1, 10_000*time.Second, noon)
	for _, c := range []pump.Class{pump.Chatter, pump.Urgent, pump.Alert} {
		ask(t, &l, -2, c, time.Second, 0)
	}
	ask(t, &l, -1, pump.Alert, time.Second, 9999*time.Second)
	// When it is over the alert goes first.
	ask(t, &l, -1, pump.Chatter, 10_000*time.Second, 3*time.Second)
	ask(t, &l, -1, pump.Alert, 10_000*time.Second, 0)
	ask(t, &l, -1, pump.Chatter, 10_003*time.Second, 0)
	// A shorter wait told later does not shorten it.
	l.Shut(-3, time.Hour, noon.Add(10_003*time.Second))
	l.Shut(-3, time.Second, noon.Add(10_004*time.Second))
	ask(t, &l, -3, pump.Alert, 10_005*time.Second, time.Hour-2*time.Second)
}

// Three chats at once mean the whole bot: nothing goes for a bounded time, but an alert every now and then to see
// whether it is over.
func TestSeveralChatsAskingForAPausePauseEverything(t *testing.T) {
	var l pump.Limits
	l.Shut(1, 3*time.Hour, noon)
	l.Shut(1, 3*time.Hour, noon)
	l.Shut(2, 30*time.Second, noon.Add(time.Second))
	ask(t, &l, 9, pump.Chatter, time.Second, 0)
	l.Shut(3, 3*time.Hour, noon.Add(2*time.Second))
	ask(t, &l, 9, pump.Chatter, 2*time.Second, time.Minute+3*time.Second)
	ask(t, &l, 9, pump.Urgent, 2*time.Second, time.Minute+3*time.Second)
	ask(t, &l, 9, pump.Alert, 3*time.Second, 4*time.Second)
	ask(t, &l, 9, pump.Alert, 7*time.Second, 0) // the probe
	ask(t, &l, 8, pump.Alert, 7*time.Second, 5*time.Second)
	l.Went(noon) // an answer to something asked before the pause says nothing about it
	ask(t, &l, 8, pump.Urgent, 8*time.Second, 57*time.Second)
	l.Went(noon.Add(7 * time.Second))
	ask(t, &l, 8, pump.Chatter, 8*time.Second, 0)
	ask(t, &l, 3, pump.Alert, 8*time.Second, 3*time.Hour-6*time.Second)

	// Long apart they are three chats, not the whole bot.
	var m pump.Limits
	for i := range 5 {
		m.Shut(int64(i+1), time.Hour, noon.Add(time.Duration(i)*20*time.Second))
	}
	ask(t, &m, 9, pump.Chatter, 81*time.Second, 0)

	// Without an alert to try it the pause ends by itself.
	var n pump.Limits
	for i := range 3 {
		n.Shut(int64(i+1), 10*time.Second, noon)
	}
	ask(t, &n, 9, pump.Urgent, 12*time.Second, time.Second)
	ask(t, &n, 9, pump.Alert, 10*time.Second, 0)
	ask(t, &n, 9, pump.Urgent, 13*time.Second, 0)
}

// A clock that is set back holds nothing up: what was counted on it is forgotten.
func TestAClockSetBackHoldsNothingUp(t *testing.T) {
	var l pump.Limits
	l.Shut(-1, time.Hour, noon)
	ask(t, &l, -1, pump.Alert, -30*time.Second, time.Hour) // a little: it is counted as if it had not been
	ask(t, &l, -1, pump.Alert, -2*time.Hour, 0)
}

// Chats are forgotten when nothing hangs on them, and not before.
func TestIdleChatsAreForgotten(t *testing.T) {
	var l pump.Limits
	l.Shut(-7, 24*time.Hour, noon)
	peak := 0
	for i := range 20_000 {
		if wait := l.Ask(int64(1+i), pump.Alert, 1, noon.Add(time.Duration(i)*100*time.Millisecond)); wait > 0 {
			t.Fatalf("Ask() of a fresh chat = %v, want room at ten a second", wait)
		}
		peak = max(peak, l.Chats())
	}
	if peak > 1000 {
		t.Errorf("%d chats remembered of 20000 that got one message each, want those of the last minutes only", peak)
	}
	ask(t, &l, -7, pump.Alert, 23*time.Hour, time.Hour)
}

// What the limits cost a message. Nothing is allocated for a chat that is known.
func BenchmarkLimits(b *testing.B) {
	for name, to := range map[string]func(i int) int64{
		"OneGroup":      func(int) int64 { return -1 },
		"ThousandChats": func(i int) int64 { return int64(i%1000 + 1) },
		"EverNewChats":  func(i int) int64 { return int64(i + 1) },
		"EverNewGroups": func(i int) int64 { return -int64(i + 1) },
	} {
		b.Run(name, func(b *testing.B) {
			var l pump.Limits
			b.ReportAllocs()
			for i := range b.N {
				l.Ask(to(i), pump.Alert, 1, noon.Add(time.Duration(i)*40*time.Millisecond))
			}
		})
	}
}
