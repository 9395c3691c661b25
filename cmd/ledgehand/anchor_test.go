package main

import (
	"context"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"ledgehand/bot"
	"ledgehand/conditions"
	"ledgehand/conditions/feed"
)

// coast is the invented sea with land in the cells listed, as a wave model draws it: every value missing.
type coast struct {
	bot.Seer
	mu    sync.Mutex
	land  int // so many cells are land, counted in the order they are asked for
	known []string
	asked []string
	down  bool
}

func (s *coast) Sea(ctx context.Context, a feed.Anchor, now time.Time) (*conditions.Sea, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.asked = append(s.asked, a.String())
	if s.down && len(s.known) > 0 && a.String() != s.known[0] {
		return nil, &feed.Unavailable{Why: feed.Down}
	}
	if !slices.Contains(s.known, a.String()) {
		s.known = append(s.known, a.String())
	}
	if slices.Index(s.known, a.String()) < s.land {
		return nil, &feed.NoData{Why: feed.AllNull}
	}
	return s.Seer.Sea(ctx, a, now)
}

func (s *coast) take() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	out := s.asked
	s.asked = nil
	return out
}

func onCoast(t *testing.T, sea *coast) *stage {
	t.Helper()
	seer, err := feed.NewRecorded(day.Add(-8*time.Hour), false)
	must(t, err)
	sea.Seer = seer
	st, err := openStage(t.Context(), day, stageParts{seer: sea})
	must(t, err)
	t.Cleanup(func() { _ = st.close() })
	st.meet(t)
	st.server.Write(crew, ana, "/ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270 foot 12 slope wall number 911")
	must(t, st.settle(t.Context()))
	return st
}

func (st *stage) write(t *testing.T, line string) {
	t.Helper()
	st.server.Write(crew, ana, line)
	must(t, st.settle(t.Context()))
}

// A point at sea that a wave model takes for land is moved seaward, once, and the choice is kept.
func TestAnAnchorOnLandMovesSeaward(t *testing.T) {
	for _, command := range []string{"/conditions Anvil", "/hours Anvil"} {
		sea := &coast{land: 2}
		st := onCoast(t, sea)
		sea.take()
		st.write(t, command)
		asked := sea.take()
		if len(asked) != 3 || asked[0] == asked[1] || asked[1] == asked[2] {
			t.Fatalf("%s asked for %q, want three different cells", command, asked)
		}
		lon := func(s string) string { _, lon, _ := strings.Cut(s, ","); return lon }
		if lat, _, _ := strings.Cut(asked[0], ","); !strings.HasPrefix(asked[2], lat) || !(lon(asked[0]) < lon(asked[1]) && lon(asked[1]) < lon(asked[2])) {
			t.Errorf("%s asked for %q, want due west of each other, the way Anvil looks", command, asked)
		}
		st.write(t, "/conditions Anvil")
		if again := sea.take(); len(again) != 1 || again[0] != asked[2] {
			t.Errorf("asked again for %q, want only %q", again, asked[2])
		}
		if _, ok := st.said(crew, "Anvil", "Swell"); !ok {
			t.Error("there is a sea further out and the answer has none")
		}
	}
}

// Where all of it is land nothing is moved; where the service fails in between nothing was found out.
func TestAnAnchorIsNotMovedForNothing(t *testing.T) {
	for _, tt := range []struct {
		name  string
		sea   *coast
		asked int
		why   string
	}{
		{"AllLand", &coast{land: 99}, 3, "the forecast is empty here"},
		{"Down", &coast{land: 1, down: true}, 2, "the service does not answer"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			st := onCoast(t, tt.sea)
			tt.sea.take()
			st.write(t, "/conditions Anvil")
			first := tt.sea.take()
			if _, ok := st.said(crew, "cannot tell", tt.why); !ok || len(first) != tt.asked {
				t.Errorf("asked %d times and answered otherwise than %q", len(first), tt.why)
			}
			st.write(t, "/conditions Anvil")
			if again := tt.sea.take(); len(again) != tt.asked || again[0] != first[0] {
				t.Errorf("asked again for %q, want the first cell first: %q", again, first)
			}
		})
	}
}
