package main

import (
	"context"
	"errors"
	"strings"
	"sync"
	"testing"
	"time"

	"ledgehand/bot"
	"ledgehand/conditions"
	"ledgehand/conditions/feed"
	"ledgehand/conditions/measure"
)

// turning is the invented sea until somebody turns it: then it is higher by a factor, and bears warnings.
type turning struct {
	bot.Seer
	mu       sync.Mutex
	times    float64
	warnings []conditions.Warning
	down     bool
	asked    int
}

func (s *turning) turn(times float64, warnings ...conditions.Warning) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.times, s.warnings = times, warnings
}

func (s *turning) looks() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.asked
}

func (s *turning) Sea(ctx context.Context, a feed.Anchor, now time.Time) (*conditions.Sea, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.asked++; s.down {
		return nil, errors.New("the forecast is down")
	}
	sea, err := s.Seer.Sea(ctx, a, now)
	if err != nil || s.times == 0 {
		return sea, err
	}
	out := *sea
	out.Hours = append([]conditions.SeaHour(nil), sea.Hours...)
	for i := range out.Hours {
		h := &out.Hours[i]
		if h.Hs != nil {
			v := higher(*h.Hs, s.times)
			h.Hs = &v
		}
		h.Partitions = append([]conditions.Partition(nil), h.Partitions...)
		for j := range h.Partitions {
			h.Partitions[j].Hs = higher(h.Partitions[j].Hs, s.times)
		}
	}
	return &out, nil
}

func higher[T ~float64](v T, by float64) T { return T(float64(v) * by) }

// Buoy reads 4 m once the sea has turned.
func (s *turning) Buoy(ctx context.Context, a feed.Anchor, faces *measure.From, now time.Time) (*conditions.Observed, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.times == 0 {
		return s.Seer.Buoy(ctx, a, faces, now)
	}
	return &conditions.Observed{Station: "EX001", Source: "an invented buoy", Km: 41, Bearing: 225, At: now.Add(-30 * time.Minute), Hs: 4}, nil
}

func (s *turning) Warnings(ctx context.Context, place feed.WarningPlace, now time.Time) conditions.Warnings {
	s.mu.Lock()
	defer s.mu.Unlock()
	w := conditions.Warnings{State: conditions.WarningsNone, Source: "an invented office", CheckedAt: now}
	if len(s.warnings) > 0 {
		w.State, w.List = conditions.WarningsInForce, s.warnings
	}
	return w
}

var (
	surfWarning = conditions.Warning{ID: "w1", Event: "High Surf Warning", Headline: "High Surf Warning until Saturday evening", Sender: "An invented office", Concern: conditions.Red}
	mistNote    = conditions.Warning{ID: "w2", Event: "Mist Notice", Headline: "Mist in the valleys", Sender: "An invented office", Concern: conditions.Note}
	galeWarning = conditions.Warning{ID: "w3", Event: "Gale Warning", Headline: "Gale Warning from noon", Sender: "An invented office", Concern: conditions.Amber}
)

func turningSea(t *testing.T) *turning {
	t.Helper()
	seer, err := feed.NewRecorded(day.Add(-32*time.Hour), false)
	must(t, err)
	return &turning{Seer: seer}
}

// meet lets Ana add the bot to the crew's group.
func (st *stage) meet(t *testing.T) {
	t.Helper()
	st.server.AddPerson(ana, "Ana")
	st.server.AddGroup(crew, "The crew", ana)
	st.server.AddBot(crew, ana)
	must(t, st.settle(t.Context()))
}

// planned is a stage on Friday noon with a trip to Anvil on Saturday from 08:00 to 11:00.
func planned(t *testing.T, sea *turning) *stage {
	t.Helper()
	st, err := openStage(t.Context(), day.Add(-20*time.Hour), stageParts{seer: sea})
	must(t, err)
	t.Cleanup(func() { _ = st.close() })
	st.meet(t)
	for _, l := range []string{"/ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270 foot 12 slope wall number 911", "/trip Anvil sat 8am til 11am plan b home"} {
		st.server.Write(crew, ana, l)
		must(t, st.settle(t.Context()))
	}
	if _, ok := st.said(crew, "Plan B"); !ok {
		if _, ok := st.said(crew, "plan B"); !ok {
			t.Fatal("there is no trip")
		}
	}
	return st
}

func (st *stage) goTo(t *testing.T, h, m int) {
	t.Helper()
	must(t, st.until(t.Context(), day.Add(-8*time.Hour).Add(time.Duration(h)*time.Hour+time.Duration(m)*time.Minute)))
}

// Hours count from midnight of the Saturday in California.
func TestATripIsLookedAtAgainAndOnlyNewsIsTold(t *testing.T) {
	sea := turningSea(t)
	st := planned(t, sea)
	asked := sea.looks()
	st.goTo(t, -3, 10) // the evening before: 20:00 has passed
	if sea.looks() == asked {
		t.Error("nobody looked at the sea the evening before")
	}
	if n := st.count("Still going?"); n != 0 {
		t.Errorf("%d messages though nothing changed, want silence", n)
	}
	sea.turn(2.5, surfWarning)
	st.goTo(t, 6, 10)
	p, ok := st.said(crew, "Still going?", "High Surf Warning until Saturday evening", "swell", "→")
	if !ok || !strings.Contains(p.Text, "Plan B is home") {
		t.Errorf("two hours before: %q, want the news with the warning and plan B", p.Text)
	}
	if n := st.count("Still going?"); n != 1 {
		t.Errorf("told %d times, want once", n)
	}
}

func TestACalledOffTripIsNotLookedAt(t *testing.T) {
	sea := turningSea(t)
	st := planned(t, sea)
	st.server.Write(crew, ana, "/calloff")
	must(t, st.settle(t.Context()))
	sea.turn(3, surfWarning)
	st.goTo(t, 9, 0)
	if n := st.count("Still going?"); n != 0 {
		t.Errorf("%d messages about a trip that is off", n)
	}
}

// A feed that is down must not be taken for no change: the verdict is then "cannot tell", which is news.
func TestAFeedThatIsDownIsNews(t *testing.T) {
	sea := turningSea(t)
	st := planned(t, sea)
	sea.mu.Lock()
	sea.down = true
	sea.mu.Unlock()
	st.goTo(t, -3, 0)
	if _, ok := st.said(crew, "Still going?", "cannot tell"); !ok {
		t.Error("the sea is not known any more and nobody was told")
	}
}

func TestAWarningDuringAnOutingIsToldOnceToThoseItConcerns(t *testing.T) {
	sea := turningSea(t)
	st := outAt(t, stageParts{seer: sea})
	asked, typed := sea.looks(), st.server.Calls("sendChatAction")
	st.goTo(t, 8, 20) // a look has been, and there was nothing
	if n, typing := sea.looks(), st.server.Calls("sendChatAction"); n != asked || typing != typed {
		t.Errorf("looking for warnings asked %d times for the sea and showed %d times that an answer is coming, want neither", n-asked, typing-typed)
	}
	sea.turn(1, mistNote)
	st.goTo(t, 8, 50)
	if n := st.count("New warning"); n != 0 {
		t.Errorf("%d messages about a mere note", n)
	}
	sea.turn(1, mistNote, surfWarning)
	st.goTo(t, 9, 25)
	if n := st.count("New warning while Ana is out"); n != 1 {
		t.Fatalf("told %d times in the group, want once", n)
	}
	sea.turn(1, mistNote, surfWarning, galeWarning)
	st.goTo(t, 9, 45)
	if p, ok := st.said(crew, "New warning while Ana is out", "Gale Warning from noon"); !ok || strings.Contains(p.Text, "High Surf") {
		t.Errorf("a second warning: %q, want it alone", p.Text)
	}
	st.server.Write(crew, ana, "/off")
	must(t, st.settle(t.Context()))
	before := st.count("New warning")
	sea.turn(1, conditions.Warning{ID: "w9", Event: "Storm Warning", Headline: "Storm Warning", Concern: conditions.Red})
	st.goTo(t, 11, 0)
	if n := st.count("New warning"); n != before {
		t.Error("a warning is told after everybody is off")
	}
}

// I7: feeds that are down hold up no alert.
func TestFeedsThatAreDownHoldNoAlertUp(t *testing.T) {
	sea := turningSea(t)
	st := outAt(t, stageParts{seer: sea})
	sea.mu.Lock()
	sea.down = true
	sea.mu.Unlock()
	st.goTo(t, 12, 0)
	if _, ok := st.said(crew, "has not checked in"); !ok {
		t.Error("no alert while the feeds are down")
	}
}

func TestABuoyIsSaidBesideTheForecast(t *testing.T) {
	sea := turningSea(t)
	st := outAt(t, stageParts{seer: sea})
	sea.turn(1)
	st.server.Write(crew, ana, "/conditions Anvil 9am til 11am")
	must(t, st.settle(t.Context()))
	if p, ok := st.said(crew, "Buoy EX001, 41 km SW, read 4.0 m at 07:30: more than forecast"); !ok {
		t.Errorf("no word of the buoy: %q", p.Text)
	}
}
