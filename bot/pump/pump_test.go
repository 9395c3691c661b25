package pump_test

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/alicebob/miniredis/v2"
	"go.uber.org/goleak"

	"ledgehand/bot/chat"
	"ledgehand/bot/pump"
	"ledgehand/session"
	"ledgehand/session/outing"
	"ledgehand/session/watch"
)

var crew = session.CrewOf(group)

// house is the queues over a real Service: its desk knows the one word "off", and puts alerts into one word each.
type house struct {
	*bench
	svc  *session.Service
	pump *pump.Pump
}

func build(b *bench, now func() time.Time) *house {
	h := &house{bench: b, svc: session.New(b.store, b.fence)}
	b.desk.do = h.off
	h.pump = &pump.Pump{
		Inbox: b.inbox, Outbox: b.outbox, Now: now, Log: slog.New(slog.NewTextHandler(b.log, nil)),
		Sweep: func(ctx context.Context, s session.Shard, now time.Time) (int, error) {
			return h.svc.Sweep(ctx, s, now, h)
		},
	}
	return h
}

func (h *house) off(ctx context.Context, r chat.Request, cause session.Cause) error {
	if r.Text != "off" {
		return nil
	}
	return h.svc.Do(ctx, cause, crew, func(tx *session.Tx) error {
		open, err := tx.OpenOutings()
		if err != nil {
			return err
		}
		for _, o := range open {
			o, _, err := o.Apply(outing.SayOffRocks{By: ana}, tx.Now())
			if err != nil {
				return err
			}
			if err := tx.PutOuting(o); err != nil {
				return err
			}
			tx.Say(say("off noted", session.Urgent, chat.Message{To: group, Text: "off noted"}))
		}
		return nil
	})
}

// OutingDue is session.Herald.
func (h *house) OutingDue(tx *session.Tx, o outing.Outing, effects []outing.Effect) error {
	for _, e := range effects {
		tx.Say(alert(o.MessageID(e), chat.Message{To: e.To.Chat, Text: string(e.Kind)}))
	}
	return nil
}

// WatchDue is session.Herald.
func (h *house) WatchDue(*session.Tx, watch.Watch, []watch.Effect) error { return nil }

// InvitesOver is session.Herald.
func (h *house) InvitesOver(*session.Tx, int64, []session.MailInvite) error { return nil }

// goOut opens an outing that is due back at the given time.
func (h *house) goOut(id string, backBy, now time.Time) {
	h.Helper()
	o, _, err := outing.New(outing.Outing{
		ID: id, Crew: string(crew), Group: group, Ledge: "Anvil", Zone: "UTC", OpenedBy: ana, BackBy: backBy, Ladder: outing.DefaultLadder(),
		People: []outing.Member{{ID: ana, Name: "Ana"}}, Contacts: []outing.Contact{{ID: mo, Name: "Mo", Chat: mo}},
	}, now)
	if err != nil {
		h.Fatal(err)
	}
	if err := h.svc.Do(h.Context(), session.Cause{ID: "open " + id, Now: now}, crew, func(tx *session.Tx) error { return tx.PutOuting(o) }); err != nil {
		h.Fatal(err)
	}
}

// long is well past every rung of an outing that goOut opened for an hour later.
var long = noon.Add(3 * time.Hour)

// I10: an "off the rocks" that waits in the inbox is read before any alert is decided.
func TestAWaitingOffBeatsADueAlert(t *testing.T) {
	t.Run("InOneShard", func(t *testing.T) {
		h := build(open(t), nil)
		h.goOut("k1", noon.Add(time.Hour), noon)
		h.take(shard, "u1", "hello")
		h.take(shard, "u2", "off")
		if n, err := h.pump.Round(t.Context(), shard, long); err != nil || n == 0 {
			t.Fatalf("Round() = %d, %v, want things moved", n, err)
		}
		if got := h.sender.texts(); !slices.Equal(got, []string{"off noted"}) {
			t.Errorf("sent %q, want the confirmation and no alert", got)
		}
	})
	// In private, or in a group whose id changed, the word waits in another shard than the outing, before or behind it.
	for _, where := range []session.Shard{0, session.Shards - 1} {
		t.Run(fmt.Sprintf("InShard%d", where), func(t *testing.T) {
			h := build(open(t), nil)
			h.goOut("k1", noon.Add(time.Hour), noon)
			h.take(where, "u1", "off")
			if err := h.pump.Settle(t.Context(), long); err != nil {
				t.Fatal(err)
			}
			if got := h.sender.texts(); !slices.Equal(got, []string{"off noted"}) {
				t.Errorf("sent %q, want the confirmation and no alert", got)
			}
		})
	}
	t.Run("AndWithoutItTheAlertGoesOut", func(t *testing.T) {
		h := build(open(t), nil)
		h.goOut("k1", noon.Add(time.Hour), noon)
		h.take(shard, "u1", "hello")
		if _, err := h.pump.Round(t.Context(), shard, long); err != nil {
			t.Fatal(err)
		}
		if got := h.sender.texts(); !slices.Equal(got, []string{"ask", "party", "contact"}) {
			t.Errorf("sent %q, want the whole ladder", got)
		}
	})
}

// With a letter stuck for want of a store nothing is judged and nothing sent: it could be the "off".
func TestAStuckInboxJudgesNothing(t *testing.T) {
	h := build(open(t), nil)
	h.goOut("k1", noon.Add(time.Hour), noon)
	other := session.Shard(0)
	h.take(other, "u1", "off")
	h.post(alert("old", chat.Message{To: mo, Text: "decided before"}))
	away := true
	h.desk.do = func(ctx context.Context, r chat.Request, cause session.Cause) error {
		if away {
			return session.ErrUnavailable
		}
		return h.off(ctx, r, cause)
	}
	if err := h.pump.Settle(t.Context(), long); !errors.Is(err, session.ErrUnavailable) {
		t.Errorf("Settle() = %v, want ErrUnavailable", err)
	}
	if got := h.sender.texts(); len(got) != 0 {
		t.Errorf("sent %q, want nothing", got)
	}
	away = false
	if err := h.pump.Settle(t.Context(), long); err != nil {
		t.Fatal(err)
	}
	if got := h.sender.texts(); !slices.Equal(got, []string{"decided before", "off noted"}) {
		t.Errorf("sent %q, want the confirmation and no new alert", got)
	}
}

// Trouble of one shard's own stops that shard and no other.
func TestTroubleOfOneShardStaysThere(t *testing.T) {
	h := build(open(t), nil)
	h.goOut("k1", noon.Add(time.Hour), noon)
	wrong := errors.New("wrong")
	sweep := h.pump.Sweep
	h.pump.Sweep = func(ctx context.Context, s session.Shard, now time.Time) (int, error) {
		if s == 0 {
			return 0, wrong
		}
		return sweep(ctx, s, now)
	}
	h.redis.Set(fmt.Sprintf("%s:{01}:in", prefix), "not a stream")
	if err := h.pump.Settle(t.Context(), long); !errors.Is(err, wrong) || errors.Is(err, session.ErrUnavailable) {
		t.Errorf("Settle() = %v, want the trouble of both shards", err)
	}
	if got := h.sender.texts(); !slices.Equal(got, []string{"ask", "party", "contact"}) {
		t.Errorf("sent %q, want the alerts of the others", got)
	}
}

func TestSettle(t *testing.T) {
	t.Run("OnlyTheShardsNamed", func(t *testing.T) {
		h := build(open(t), nil)
		h.take(3, "u1", "three")
		h.take(4, "u2", "four")
		if err := h.pump.Settle(t.Context(), noon, 4); err != nil {
			t.Fatal(err)
		}
		h.desk.wantHandled(t, "four")
		if err := h.pump.Settle(t.Context(), noon); err != nil {
			t.Fatal(err)
		}
		h.desk.wantHandled(t, "four", "three")
	})
	t.Run("WaitsForWhatIsSlowAndItsAnswer", func(t *testing.T) {
		h := build(open(t), nil)
		h.desk.do = func(ctx context.Context, r chat.Request, cause session.Cause) error {
			return h.svc.Do(ctx, cause, crew, func(tx *session.Tx) error {
				tx.Say(say("", session.Slow, chat.Message{To: ana, Text: "the answer"}))
				return nil
			})
		}
		h.take(shard, "u1", "slow")
		if err := h.pump.Settle(t.Context(), noon); err != nil {
			t.Fatal(err)
		}
		if got := h.sender.texts(); !slices.Equal(got, []string{"the answer"}) {
			t.Errorf("sent %q, want the answer", got)
		}
	})
	t.Run("GivesUpOnWhatNeverRests", func(t *testing.T) {
		h := build(open(t), nil)
		h.pump.Sweep = func(context.Context, session.Shard, time.Time) (int, error) { return 1, nil }
		if err := h.pump.Settle(t.Context(), noon, shard); err == nil {
			t.Error("Settle() = no error, want one")
		}
	})
}

// asOf makes an entry one of the bubble's own time, which begins long before noon.
func asOf(now time.Time, e session.Entry) session.Entry {
	e.At, e.Made = now, now
	return e
}

// running starts Run in a bubble; the server must be outside of it.
func running(t *testing.T, every time.Duration, play func(t *testing.T, h *house, stop func())) {
	t.Helper()
	m := miniredis.RunT(t)
	synctest.Test(t, func(t *testing.T) {
		h := build(openOn(t, m), time.Now)
		ctx, cancel := context.WithCancel(t.Context())
		ended := make(chan bool)
		go func() {
			defer close(ended)
			h.pump.Run(ctx, every)
		}()
		stop := func() { cancel(); <-ended }
		defer stop()
		synctest.Wait()
		play(t, h, stop)
	})
}

func TestRunMovesTheQueues(t *testing.T) {
	running(t, 5*time.Minute, func(t *testing.T, h *house, stop func()) {
		began := time.Now()
		h.goOut("k1", began.Add(10*time.Minute), began)
		h.take(shard, "u1", "hello")
		time.Sleep(6 * time.Minute)
		h.desk.wantHandled(t, "hello")
		if last := h.pump.Last(); last.Before(began) || last.After(time.Now()) {
			t.Errorf("Last() = %v, want the last round", last)
		}
		time.Sleep(36 * time.Minute)
		if got := h.sender.texts(); !slices.Equal(got, []string{"ask", "party", "contact"}) {
			t.Errorf("sent %q half an hour after the time, want each rung once", got)
		}
		h.take(shard, "u2", "off")
		time.Sleep(20 * time.Minute)
		if got := h.sender.texts(); len(got) != 4 || got[3] != "off noted" {
			t.Errorf("sent %q, want the confirmation and nothing more", got)
		}
		stop()
		h.take(shard, "u3", "too late")
		h.pump.Kick(shard)
		time.Sleep(time.Hour)
		h.desk.wantHandled(t, "hello", "off")
	})
}

// A kick answers before the next tick, and judges no deadline: an "off" may wait in another shard.
func TestAKickIsAnsweredAtOnce(t *testing.T) {
	m := miniredis.RunT(t)
	synctest.Test(t, func(t *testing.T) {
		h := build(openOn(t, m), time.Now)
		h.pump.Kick(shard) // before Run there is nobody to kick
		began := time.Now()
		h.goOut("k1", began.Add(time.Hour), began)
		time.Sleep(3 * time.Hour)
		ctx, cancel := context.WithCancel(t.Context())
		ended := make(chan bool)
		go func() { defer close(ended); h.pump.Run(ctx, time.Minute) }()
		synctest.Wait()
		h.take(0, "u1", "off")
		h.take(shard, "u2", "hello")
		h.post(asOf(began, say("s", session.Slow, chat.Message{To: ana, Text: "chatter"})), asOf(began, say("u", session.Urgent, chat.Message{To: ana, Text: "noted"})))
		h.pump.Kick(shard)
		time.Sleep(time.Second)
		h.desk.wantHandled(t, "hello")
		if got := h.sender.texts(); !slices.Equal(got, []string{"noted", "chatter"}) {
			t.Errorf("sent %q a second after the kick, want what waited there and no alert", got)
		}
		time.Sleep(time.Minute)
		if got := h.sender.texts(); !slices.Equal(got, []string{"noted", "chatter", "off noted"}) {
			t.Errorf("sent %q after the tick, want the confirmation and no alert", got)
		}
		cancel()
		<-ended
	})
}

// I7: however long the chat service takes over chatter, a check-in is read and an alert goes out on time.
func TestHangingChatterDelaysNoAlert(t *testing.T) {
	const every = 5 * time.Second
	running(t, every, func(t *testing.T, h *house, _ func()) {
		began := time.Now()
		backBy := began.Add(3*time.Minute + time.Second)
		h.goOut("k1", backBy, began)
		var asked time.Time
		h.sender.answer = func(m chat.Message, _ int) chat.Sent {
			switch m.Text {
			case "chatter":
				time.Sleep(10 * time.Minute)
				return chat.Sent{Result: chat.ResultLater}
			case "ask":
				asked = time.Now()
			}
			return chat.Sent{Result: chat.ResultSent, Message: 1}
		}
		for i := range 30 {
			h.post(asOf(began, say(fmt.Sprint(i), session.Slow, chat.Message{To: int64(1000 + i), Text: "chatter"})))
		}
		time.Sleep(backBy.Sub(began) + 2*every)
		if got := h.sender.texts(); len(got) == 0 || got[0] != "chatter" {
			t.Fatalf("sent %q, want chatter to hang by now", got)
		}
		if late := asked.Sub(backBy); asked.IsZero() || late > every {
			t.Errorf("the question went out %v after its time, want within a tick", late)
		}
		h.take(shard, "u1", "off")
		time.Sleep(2 * every)
		if got := h.sender.texts(); got[len(got)-1] != "off noted" {
			t.Errorf("sent %q, want the check-in confirmed while chatter hangs", got)
		}
	})
}

// An outage is logged once, and its end; the health of the loop shows it.
func TestAnOutageIsLoggedOnceAndEnds(t *testing.T) {
	running(t, time.Second, func(t *testing.T, h *house, _ func()) {
		time.Sleep(2500 * time.Millisecond) // between two rounds
		h.store.Off()
		time.Sleep(time.Second)
		last := h.pump.Last()
		time.Sleep(time.Minute)
		if got := h.pump.Last(); got.After(last) {
			t.Errorf("Last() = %v during the outage, want it to stay at %v", got, last)
		}
		h.store.On()
		h.take(shard, "u1", "hello")
		time.Sleep(2 * time.Second)
		h.desk.wantHandled(t, "hello")
		if got := h.pump.Last(); !got.After(last) {
			t.Errorf("Last() = %v after the outage, want it to go on", got)
		}
		for _, what := range []string{"queues", "chatter"} {
			if trouble, end := h.log.count(what+" do not move"), h.log.count(what+" move again"); trouble != 1 || end != 1 {
				t.Errorf("a minute's outage of the %s is logged %d times and its end %d times, want once each", what, trouble, end)
			}
		}
	})
}

// Ending waits for slow requests under way: what was taken up is finished, not torn.
func TestRunEndsCleanly(t *testing.T) {
	running(t, time.Second, func(t *testing.T, h *house, stop func()) {
		done := false
		h.desk.do = func(ctx context.Context, _ chat.Request, _ session.Cause) error {
			time.Sleep(10 * time.Second)
			done = true
			return ctx.Err()
		}
		h.take(shard, "u1", "slow")
		time.Sleep(2 * time.Second)
		stop()
		if !done || len(h.waiting(shard)) != 0 {
			t.Errorf("ended with the slow request done %v and %d letters waiting, want it finished", done, len(h.waiting(shard)))
		}
	})
}

func TestRunLeavesNothingBehind(t *testing.T) {
	h := build(open(t), func() time.Time { return noon })
	before := goleak.IgnoreCurrent()
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan bool)
	go func() { defer close(ended); h.pump.Run(ctx, time.Hour) }()
	cancel()
	<-ended
	goleak.VerifyNone(t, before)
}

// Shards are swept a few at a time, each once; with the store away no further one is begun.
func TestShardsAreSweptSideBySide(t *testing.T) {
	h := build(open(t), nil)
	var mu sync.Mutex
	seen := map[session.Shard]int{}
	at, most := 0, 0
	together := make(chan struct{})
	two := sync.OnceFunc(func() { close(together) })
	h.pump.Sweep = func(_ context.Context, s session.Shard, _ time.Time) (int, error) {
		mu.Lock()
		seen[s]++
		at++
		most = max(most, at)
		if at == 2 {
			two()
		}
		mu.Unlock()
		<-together // two must be at it before any goes on
		mu.Lock()
		at--
		mu.Unlock()
		return 0, nil
	}
	if err := h.pump.Settle(t.Context(), noon); err != nil {
		t.Fatal(err)
	}
	if len(seen) != session.Shards || most > 8 {
		t.Errorf("%d shards were swept, up to %d at once, want all, at most 8 at once", len(seen), most)
	}
	for s, n := range seen {
		if n != 1 {
			t.Errorf("shard %d was swept %d times, want once", s, n)
		}
	}
	begun := 0
	h.pump.Sweep = func(context.Context, session.Shard, time.Time) (int, error) {
		mu.Lock()
		defer mu.Unlock()
		begun++
		return 0, session.ErrUnavailable
	}
	if err := h.pump.Settle(t.Context(), noon); !errors.Is(err, session.ErrUnavailable) || begun > 8 {
		t.Errorf("Settle() with the store away = %v after %d shards, want ErrUnavailable after those under way", err, begun)
	}
}
