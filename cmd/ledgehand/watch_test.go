package main

import (
	"strings"
	"testing"
	"time"

	"ledgehand/session"
)

// A watch that ends while the bot is down ends at its time. What was not heard is said with the result and counts neither as
// watched nor as dry, and so it is in what the ledge learns.
func TestAWatchEndsWhileTheBotIsDown(t *testing.T) {
	for _, tt := range []struct {
		name     string
		from, to time.Duration // nobody is heard, from the beginning of the watch
		back     time.Duration
		want     []string
		minutes  float64
	}{
		{"OverItsEnd", 8 * time.Minute, 40 * time.Minute, 40 * time.Minute,
			[]string{"8 minutes: 1 wave would have reached you", "I heard nothing 08:09–08:21", "It ended at 08:21; I was away"}, 8},
		{"Within", 3 * time.Minute, 9 * time.Minute, 20 * time.Minute, []string{"14 minutes: 1 wave would have reached you", "I heard nothing 08:04–08:10"}, 14},
		{"OnlyLate", 0, 0, 30 * time.Minute, []string{"20 minutes: 1 wave would have reached you", "It ended at 08:21; I was away"}, 20},
	} {
		t.Run(tt.name, func(t *testing.T) {
			st := outAt(t, stageParts{})
			st.server.Write(crew, ana, "/conditions Anvil")
			must(t, st.settle(t.Context()))
			begun := day.Add(time.Minute)
			st.set(begun)
			st.server.Write(crew, ana, "/watch")
			must(t, st.settle(t.Context()))
			st.set(begun.Add(2 * time.Minute))
			st.server.Write(crew, ana, "/wave")
			must(t, st.settle(t.Context()))
			st.set(begun.Add(tt.back)) // nothing of ours ran meanwhile
			if tt.to > 0 {
				must(t, st.house.session.NoteDeaf(t.Context(), begun.Add(tt.from), begun.Add(tt.to)))
				must(t, st.house.session.NoteDeaf(t.Context(), begun.Add(tt.from), begun.Add(tt.to))) // told twice, it is once
			}
			must(t, st.settle(t.Context()))
			post, ok := st.said(crew, "would have reached you")
			if !ok {
				t.Fatal("no result")
			}
			for _, w := range tt.want {
				if !strings.Contains(post.Text, w) {
					t.Errorf("the result lacks %q:\n%s", w, post.Text)
				}
			}
			if n := st.count("would have reached you."); n != 1 {
				t.Errorf("told %d times, want once", n)
			}
			c := st.crewNow(t)
			seen := c.Ledges[0].Observed
			if len(seen) != 1 || seen[0].Minutes != tt.minutes || seen[0].K != 1 || !seen[0].At.Equal(begun.Add(20*time.Minute)) {
				t.Errorf("the ledge learned from %+v, want one wave in %v minutes, ended at its time", seen, tt.minutes)
			}
		})
	}
}

// crewNow is the record of the crew as it is stored.
func (st *stage) crewNow(t *testing.T) (c session.Crew) {
	t.Helper()
	must(t, st.house.session.View(t.Context(), session.CrewOf(crew), st.now(), func(tx *session.Tx) (err error) {
		c, _, err = tx.LoadCrew()
		return err
	}))
	return c
}
