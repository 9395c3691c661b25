package main

import (
	"context"
	"log/slog"
	"testing"
	"time"

	"ledgehand/bot/bottest"
	"ledgehand/session"
)

// beats remembers the newest beat, for a day on which nobody else serves.
type beats struct {
	session.Sharing
	at time.Time
}

func (b *beats) Beat(_ context.Context, at time.Time) error { b.at = at; return nil }

func (b *beats) LastBeat(context.Context) (time.Time, error) { return b.at, nil }

// away cuts every poll from now on, and returns when the one that was held open is over: it would bring what is said next.
func (s *story) away() {
	s.server.Inject(bottest.Fault{Method: "getUpdates", Cut: true, Times: -1})
	polls := s.server.Calls("getUpdates")
	s.server.Write(storyGroup, bramID, "/ledge") // ends a poll that is held
	for s.server.Calls("getUpdates") == polls {
		tick := time.NewTimer(time.Millisecond)
		<-tick.C
	}
}

// Telegram is away for ten minutes, three hours, a day and more, while somebody taps or types that they are off. What it keeps
// counts before anybody is alarmed; what it does not keep is asked for again, and the alert that was due comes minutes late, not never.
func TestDrillTelegramIsAway(t *testing.T) {
	for _, tt := range []struct {
		name  string
		away  time.Duration
		tap   bool
		heard bool // what was said is kept for so long
	}{
		{"TenMinutesTyped", 10 * time.Minute, false, true}, {"TenMinutesTapped", 10 * time.Minute, true, false},
		{"ThreeHoursTyped", 3 * time.Hour, false, true}, {"ThreeHoursTapped", 3 * time.Hour, true, false},
		{"ADayTyped", 25 * time.Hour, false, false}, {"AMinuteTapped", time.Minute, true, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			plays(t, all(ready, moHolds, []any{
				"[Sat 07:00] ana> /out Anvil back 9am",
				"[Sat 08:58] wait",
				func(s *story) {
					s.since = len(s.server.Transcript())
					h := newHeard(&beats{}, s.house.session, s.now, slog.New(slog.DiscardHandler))
					must(t, h.stored(t.Context(), s.now()))
					s.away()
					if tt.tap {
						must(t, s.tap(storyGroup, anaID, "I'm off"))
					} else {
						s.server.Write(storyGroup, anaID, "/off")
					}
					s.set(s.now().Add(tt.away))
					s.server.Heal()
					for s.server.Pending() > 0 { // the poller comes round by itself
						tick := time.NewTimer(10 * time.Millisecond)
						<-tick.C
					}
					must(t, h.stored(t.Context(), s.now()))
					must(t, s.settle(t.Context()))
					off, deaf := s.count("Ana: off Anvil")+s.count("Stand down") > 0, s.count("I heard nobody from") > 0
					if off != tt.heard || deaf != (tt.away > 140*time.Second && !off) {
						t.Errorf("confirmed %v, told of the silence %v; want %v, and of the silence if still out", off, deaf, tt.heard)
					}
					if n := s.count("has not checked in"); n != 0 && tt.heard {
						t.Errorf("somebody was alarmed %d times though the off was there", n)
					}
					if tt.heard {
						return
					}
					if n := s.count("has not checked in"); n != 0 {
						t.Error("others were alarmed before those out could answer again")
					}
					must(t, s.until(t.Context(), s.now().Add(6*time.Minute)))
					late := tt.away > 32*time.Minute
					if got := s.posts(moID, "has not checked in") > 0; got != late {
						t.Errorf("six minutes later Mo is alarmed: %v, want %v", got, late)
					}
				},
			})...)
		})
	}
}
