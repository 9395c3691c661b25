package main

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"ledgehand/bot/bottest"
	"ledgehand/conditions"
	"ledgehand/conditions/feed"
	"ledgehand/conditions/measure"
	"ledgehand/session"
	"ledgehand/session/storetest"
)

// The invariants of the safety core, on the whole bot. I5 and I6 are walked exhaustively in session/outing, I9 in
// conditions; the stories show them in words.

const (
	crew int64 = -31
	ana  int64 = 301
	bram int64 = 302
)

var day = time.Date(2026, time.March, 14, 15, 0, 0, 0, time.UTC) // 08:00 in California

// outAt is a stage with one ledge and Ana out on it until two hours after day.
func outAt(t *testing.T, p stageParts) *stage {
	t.Helper()
	if p.seer == nil {
		seer, err := feed.NewRecorded(day.Add(-8*time.Hour), false)
		if err != nil {
			t.Fatal(err)
		}
		p.seer = seer
	}
	st, err := openStage(t.Context(), day, p)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = st.close() })
	st.server.AddPerson(ana, "Ana")
	st.server.AddPerson(bram, "Bram")
	st.server.AddGroup(crew, "The crew", ana, bram)
	st.server.AddBot(crew, ana)
	must(t, st.settle(t.Context()))
	for _, l := range []string{"/ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270 foot 12 slope wall number 911", "/out Anvil back in 2 hours"} {
		st.server.Write(crew, ana, l)
		must(t, st.settle(t.Context()))
	}
	if _, ok := st.said(crew, "Out: Ana"); !ok {
		t.Fatal("Ana is not out")
	}
	return st
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func (st *stage) count(words string) int {
	n := 0
	for _, e := range st.server.Transcript() {
		if e.Bot && e.What == bottest.Posted && strings.Contains(e.Text, words) {
			n++
		}
	}
	return n
}

// I1: what is not stored is not confirmed; once the store is back it has its effect.
func TestI1NothingIsConfirmedBeforeItIsStored(t *testing.T) {
	real, stop, err := memory(t.Context())
	must(t, err)
	t.Cleanup(stop)
	store := storetest.NewRefusing(real, real)
	st := outAt(t, stageParts{store: store})
	store.Off()
	st.server.Write(crew, ana, "/off")
	polls := st.server.Calls("getUpdates")
	storetest.Until(t, "the poller tried again", func() bool { return st.server.Calls("getUpdates") > polls || st.server.Pending() == 1 })
	if st.server.Pending() != 1 {
		t.Fatalf("%d updates wait at Telegram with the store away, want the one that could not be stored", st.server.Pending())
	}
	if st.count("Ana: off Anvil") != 0 {
		t.Error("confirmed an \"off\" that is not stored")
	}
	store.On()
	must(t, st.settle(t.Context()))
	if st.count("Ana: off Anvil") != 1 {
		t.Errorf("%d confirmations once the store is back, want 1", st.count("Ana: off Anvil"))
	}
}

// I2: an effect is committed once, however often its update comes: again before it was handled, again after, and
// again after its letter's own memory is gone, when only the record of causes is left.
func TestI2AnUpdateHasItsEffectOnce(t *testing.T) {
	st := outAt(t, stageParts{})
	raw := []byte(`{"update_id":555,"message":{"message_id":77,"date":1773500400,"chat":{"id":-31,"type":"group","title":"The crew"},` +
		`"from":{"id":301,"is_bot":false,"first_name":"Ana"},"text":"/more 30","entities":[{"type":"bot_command","offset":0,"length":5}]}}`)
	for range 2 {
		must(t, st.house.take(t.Context(), "u555", crew, raw, st.now()))
	}
	must(t, st.settle(t.Context()))
	must(t, st.house.take(t.Context(), "u555", crew, raw, st.now()))
	must(t, st.settle(t.Context()))
	err := st.house.session.Do(t.Context(), session.Cause{ID: "u555", Now: st.now()}, session.CrewOf(crew), func(*session.Tx) error {
		t.Error("a cause that had its effect is decided again")
		return nil
	})
	must(t, err)
	if n := st.count("Ana stays on Anvil"); n != 1 {
		t.Errorf("a delay that came three times was told %d times, want once", n)
	}
}

// I3, I4: as long as an outing is open it stands in the due index exactly once, whatever happens to it; and after that until it is wiped (retention_test.go).
func TestI3I4AnOpenOutingHasOneNextLook(t *testing.T) {
	st := outAt(t, stageParts{})
	check := func(what string, want int) {
		t.Helper()
		items, err := st.house.store.AllDue(t.Context(), session.CrewOf(crew).Shard())
		must(t, err)
		n := 0
		for _, it := range items {
			if strings.HasPrefix(it.Item, "outing/") {
				n++
			}
		}
		if n != want {
			t.Errorf("%s: %d entries in the due index, want %d", what, n, want)
		}
	}
	check("out", 1)
	for _, m := range []int{105, 120, 135, 150, 160} {
		must(t, st.until(t.Context(), day.Add(time.Duration(m)*time.Minute)))
		check("minute "+time.Duration(m*int(time.Minute)).String(), 1)
	}
	st.server.Write(crew, bram, "/trying")
	must(t, st.settle(t.Context()))
	check("acknowledged", 1)
	st.server.Write(crew, ana, "/more 1h")
	must(t, st.settle(t.Context()))
	check("delayed", 1)
	// A sweep that dies between claim and commit loses nothing: the claim only moves the item.
	if _, err := st.house.store.ClaimDue(t.Context(), session.CrewOf(crew).Shard(), st.house.fence(session.CrewOf(crew).Shard()), day.Add(24*time.Hour), 30*time.Second, 10); err != nil {
		t.Fatal(err)
	}
	check("claimed", 1)
	st.server.Write(crew, ana, "/off")
	must(t, st.settle(t.Context()))
	check("off", 1)
}

// stuckSeer never answers: a feed that hangs.
type stuckSeer struct{ asked chan struct{} }

func (s stuckSeer) wait(ctx context.Context) error {
	select {
	case s.asked <- struct{}{}:
	default:
	}
	<-ctx.Done()
	return ctx.Err()
}

func (s stuckSeer) Sea(ctx context.Context, _ feed.Anchor, _ time.Time) (*conditions.Sea, error) {
	return nil, s.wait(ctx)
}

func (s stuckSeer) Weather(ctx context.Context, _ feed.Anchor, _ time.Time) (*conditions.Weather, error) {
	return nil, s.wait(ctx)
}

func (s stuckSeer) Warnings(ctx context.Context, _ feed.WarningPlace, _ time.Time) conditions.Warnings {
	_ = s.wait(ctx)
	return conditions.Warnings{State: conditions.WarningsUnknown, Why: "down"}
}

func (s stuckSeer) Buoy(ctx context.Context, _ feed.Anchor, _ *measure.From, _ time.Time) (*conditions.Observed, error) {
	return nil, s.wait(ctx)
}

// I7: a feed that hangs delays neither an "off" nor an alert.
func TestI7AHangingFeedDelaysNoAlert(t *testing.T) {
	seer := stuckSeer{asked: make(chan struct{}, 1)}
	st := outAt(t, stageParts{seer: seer})
	st.server.Write(crew, bram, "/conditions Anvil")
	storetest.Until(t, "the line is stored", func() bool { return st.server.Pending() == 0 })
	round := func() {
		t.Helper()
		for _, s := range st.house.alive() {
			if _, err := st.house.pump.Round(t.Context(), s, st.now()); err != nil {
				t.Fatal(err)
			}
		}
	}
	round()
	<-seer.asked // the feed is being asked, and does not answer
	st.set(day.Add(151 * time.Minute))
	round()
	round()
	if st.count("has not checked in") == 0 {
		t.Error("no alert while a feed hangs")
	}
	st.server.Write(crew, ana, "/off")
	storetest.Until(t, "the off is stored", func() bool { return st.server.Pending() == 0 })
	round()
	if st.count("Stand down") == 0 {
		t.Error("no stand-down while a feed hangs")
	}
}

// I8: neither the group, nor a log, nor a forecast service learns where the ledge is, except by what the angler wrote.
func TestI8ThePlaceStaysWithThoseWhoHoldThePlan(t *testing.T) {
	st := outAt(t, stageParts{})
	for _, l := range []string{"/ledge", "/plan", "/conditions Anvil", "/trip Anvil tomorrow 8am til 11am", "/watch Anvil", "/help", "/settings"} {
		st.server.Write(crew, bram, l)
		must(t, st.settle(t.Context()))
	}
	must(t, st.until(t.Context(), day.Add(4*time.Hour)))
	for _, e := range st.server.Transcript() {
		for _, digits := range []string{"38.95", "123.74", "38°57", "123°44"} {
			if e.Bot && strings.Contains(e.Text, digits) && e.Chat != ana {
				t.Errorf("the bot said %q in chat %d", e.Text, e.Chat)
			}
		}
	}
}

// I10: with a deadline long past, what waits at Telegram is read before anything is judged.
func TestI10TheBacklogIsReadBeforeAnAlertIsDecided(t *testing.T) {
	st := outAt(t, stageParts{})
	// The bot is down from here; Ana writes on time, in private and in the group, and the bot comes back hours late.
	st.server.Write(crew, ana, "/off")
	storetest.Until(t, "it is fetched", func() bool { return st.server.Pending() == 0 })
	st.set(day.Add(5 * time.Hour))
	must(t, st.settle(t.Context()))
	if n := st.count("has not checked in"); n != 0 {
		t.Errorf("%d alerts about somebody whose \"off\" had arrived, want none", n)
	}
	if st.count("off Anvil") != 1 {
		t.Errorf("%d confirmations, want 1", st.count("off Anvil"))
	}
}

// A stage whose store is away answers nobody, and says so in its error rather than with a guess.
func TestStoreAwayIsAnError(t *testing.T) {
	real, stop, err := memory(t.Context())
	must(t, err)
	t.Cleanup(stop)
	store := storetest.NewRefusing(real, real)
	st := outAt(t, stageParts{store: store})
	store.Off()
	if _, err := st.house.pump.Round(t.Context(), session.CrewOf(crew).Shard(), st.now()); !errors.Is(err, session.ErrUnavailable) {
		t.Errorf("Round() with the store away = %v, want ErrUnavailable", err)
	}
	store.On()
}
