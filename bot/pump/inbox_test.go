package pump_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/session"
)

func TestLettersAreHandledInOrder(t *testing.T) {
	b := open(t)
	var want []string
	for i := range 250 { // more than one page
		line := fmt.Sprintf("line %d", i)
		b.take(shard, fmt.Sprintf("u%d", 1000-i), line)
		want = append(want, line)
	}
	if n := b.step(noon); n != 250 {
		t.Errorf("Step() = %d, want 250", n)
	}
	b.desk.wantHandled(t, want...)
	b.wantWaiting()
	if n := b.step(noon); n != 0 {
		t.Errorf("second Step() = %d, want 0", n)
	}
}

func TestARequestCarriesItsLetter(t *testing.T) {
	b := open(t)
	b.take(shard, "u77", "hello")
	b.step(noon.Add(time.Second))
	if len(b.desk.asked) != 1 {
		t.Fatalf("%d requests, want 1", len(b.desk.asked))
	}
	r, c := b.desk.asked[0], b.desk.causes[0]
	if r.ID != "u77" || r.Text != "hello" || !r.Got.Equal(noon) {
		t.Errorf("request = %+v, want u77 as it was got", r)
	}
	if c.ID != "u77" || c.Letter == "" || c.Shard != shard || !c.Now.Equal(noon.Add(time.Second)) {
		t.Errorf("cause = %+v, want u77 with its letter and the instant of the step", c)
	}
}

func TestNotesOfOurOwnBecomeOutcomes(t *testing.T) {
	b := open(t)
	body, err := json.Marshal(chat.Outcome{About: "outing/g1/k1", Chat: mo, Result: chat.ResultBlocked})
	if err != nil {
		t.Fatal(err)
	}
	b.take(shard, "note:m1/0", string(body))
	b.take(shard, "note:m2/0", "garbage")
	b.step(noon)
	if len(b.desk.asked) != 1 {
		t.Fatalf("%d requests, want the readable one", len(b.desk.asked))
	}
	r := b.desk.asked[0]
	if r.Kind != chat.KindOutcome || r.Outcome == nil || *r.Outcome != (chat.Outcome{About: "outing/g1/k1", Chat: mo, Result: chat.ResultBlocked}) {
		t.Errorf("request = %+v with %+v, want the outcome", r, r.Outcome)
	}
	b.wantWaiting()
}

func TestAnUnreadableLetterIsPutAside(t *testing.T) {
	b := open(t)
	b.take(shard, "u1", "one")
	b.take(shard, "u2", "garbage")
	b.take(shard, "u3", "three")
	b.step(noon)
	b.desk.wantHandled(t, "one", "three")
	b.wantWaiting()
	b.wantBuried("u2: decode update: not a line")
}

// A letter that was damaged in the store, or sealed with a key that is gone, must not keep a shard's alerts waiting for ever.
func TestALetterThatDoesNotOpenIsPutAside(t *testing.T) {
	b := open(t)
	in := fmt.Sprintf("%s:{%02d}:in", prefix, int(shard))
	b.take(shard, "u1", "one")
	if _, err := b.redis.XAdd(in, "*", []string{"i", "u2", "t", fmt.Sprint(noon.UnixMilli()), "b", "no sealed body"}); err != nil {
		t.Fatal(err)
	}
	b.take(shard, "u3", "three")
	b.step(noon)
	b.desk.wantHandled(t, "one", "three")
	b.wantWaiting()
	b.wantBuried("u2: letter cannot be opened")
}

func TestAFailingLetter(t *testing.T) {
	wrong := errors.New("wrong")
	failing := func(times int, err error) func(context.Context, chat.Request, session.Cause) error {
		return func(_ context.Context, r chat.Request, _ session.Cause) error {
			if r.Text == "bad" && times > 0 {
				times--
				return err
			}
			return nil
		}
	}
	start := func(t *testing.T) *bench {
		b := open(t)
		b.take(shard, "u1", "one")
		b.take(shard, "u20000002", "bad")
		b.take(shard, "u3", "three")
		return b
	}
	t.Run("IsTriedAgain", func(t *testing.T) {
		b := start(t)
		b.desk.do = failing(2, wrong)
		b.step(noon)
		b.desk.wantHandled(t, "one", "bad", "bad", "bad", "three")
		b.wantWaiting()
		b.wantBuried()
		if len(b.desk.failed) != 0 {
			t.Errorf("told that it failed: %q, want nothing: it went well in the end", b.desk.failed)
		}
	})
	t.Run("IsPutAsideAndTheSenderTold", func(t *testing.T) {
		b := start(t)
		b.desk.do = failing(99, wrong)
		b.step(noon)
		b.desk.wantHandled(t, "one", "bad", "bad", "bad", "three")
		b.wantWaiting()
		b.wantBuried("u20000002: wrong")
		if !slices.Equal(b.desk.failed, []string{"bad 000002"}) || b.log.count("ref=000002") == 0 {
			t.Errorf("told %q, want it once with the reference that is also in the log", b.desk.failed)
		}
	})
	t.Run("PanicIsAnErrorLikeAnyOther", func(t *testing.T) {
		b := start(t)
		b.desk.do = func(_ context.Context, r chat.Request, _ session.Cause) error {
			if r.Text == "bad" {
				panic("Ana at 38.9546, -123.7406")
			}
			return nil
		}
		b.step(noon)
		b.desk.wantHandled(t, "one", "bad", "bad", "bad", "three")
		b.wantBuried("u20000002: handler panicked: a string")
		if len(b.desk.failed) != 1 {
			t.Errorf("told %q, want it once", b.desk.failed)
		}
	})
	t.Run("IsPutAsideThoughNobodyCanBeTold", func(t *testing.T) {
		for _, refuse := range []error{wrong, errors.New("panic")} {
			b := start(t)
			b.desk.do, b.desk.refuse = failing(99, wrong), refuse
			b.step(noon)
			b.desk.wantHandled(t, "one", "bad", "bad", "bad", "three")
			b.wantWaiting()
			b.wantBuried("u20000002: wrong")
		}
	})
	t.Run("StaysUntilTheSenderCanBeTold", func(t *testing.T) {
		b := start(t)
		b.desk.do, b.desk.refuse = failing(99, wrong), session.ErrUnavailable
		if _, err := b.inbox.Step(t.Context(), shard, noon); !errors.Is(err, session.ErrUnavailable) {
			t.Errorf("Step() = %v, want ErrUnavailable", err)
		}
		b.wantWaiting("u20000002", "u3")
		b.desk.refuse = nil
		b.step(noon)
		b.wantWaiting()
		b.wantBuried("u20000002: wrong")
	})
	t.Run("ATimeLimitOfItsOwnIsNoOutage", func(t *testing.T) {
		b := start(t)
		b.desk.do = failing(99, fmt.Errorf("ask a feed: %w", context.DeadlineExceeded))
		b.step(noon)
		b.wantWaiting()
		b.wantBuried("u20000002: ask a feed: context deadline exceeded")
	})
}

// I1, I2: what could not be committed stays, in order, and nobody is told that it failed.
func TestAnOutageKeepsTheLetterAndThoseBehindIt(t *testing.T) {
	for _, gone := range []error{session.ErrUnavailable, session.ErrFenced} {
		b := open(t)
		for i, line := range []string{"one", "two", "three"} {
			b.take(shard, fmt.Sprintf("u%d", i+1), line)
		}
		b.desk.do = func(_ context.Context, r chat.Request, _ session.Cause) error {
			if r.Text == "two" {
				return fmt.Errorf("commit: %w", gone)
			}
			return nil
		}
		for range 5 { // an outage is not counted against the letter, however long it lasts
			if n, err := b.inbox.Step(t.Context(), shard, noon); !errors.Is(err, gone) {
				t.Errorf("Step() = %d, %v, want %v", n, err, gone)
			}
			b.wantWaiting("u2", "u3")
		}
		b.desk.do = nil
		b.step(noon)
		b.desk.wantHandled(t, "one", "two", "two", "two", "two", "two", "two", "three")
		b.wantWaiting()
		b.wantBuried()
		if len(b.desk.failed) != 0 {
			t.Errorf("told %q, want nobody told", b.desk.failed)
		}
	}
	b := open(t)
	b.take(shard, "u1", "one")
	b.store.Off()
	if _, err := b.inbox.Step(t.Context(), shard, noon); !errors.Is(err, session.ErrUnavailable) {
		t.Errorf("Step() without a store = %v, want ErrUnavailable", err)
	}
	b.store.On()
	b.step(noon)
	b.desk.wantHandled(t, "one")
}

func TestEndingKeepsTheLetter(t *testing.T) {
	b := open(t)
	b.take(shard, "u1", "one")
	ctx, cancel := context.WithCancel(t.Context())
	b.desk.do = func(ctx context.Context, _ chat.Request, _ session.Cause) error { cancel(); return ctx.Err() }
	if _, err := b.inbox.Step(ctx, shard, noon); !errors.Is(err, context.Canceled) {
		t.Errorf("Step() = %v, want context.Canceled", err)
	}
	b.wantWaiting("u1")
}

// I7: what needs a feed or a picture is worked at beside the rest, and leaves the inbox only when its effect stands.
func TestSlowRequestsHoldUpNobody(t *testing.T) {
	b := open(t)
	release := make(chan error)
	b.desk.do = func(_ context.Context, r chat.Request, _ session.Cause) error {
		if b.desk.Slow(r) {
			return <-release
		}
		return nil
	}
	for i, line := range []string{"slow 1", "off", "slow 2"} {
		b.take(shard, fmt.Sprintf("u%d", i+1), line)
	}
	if n := b.step(noon); n != 3 {
		t.Errorf("Step() = %d, want all three in hand", n)
	}
	b.wantWaiting("u1", "u3")
	if n := b.step(noon); n != 0 {
		t.Errorf("Step() with both at work = %d, want 0: none is taken up twice", n)
	}
	release <- nil
	release <- nil
	if n := b.inbox.Wait(); n != 2 {
		t.Errorf("Wait() = %d, want 2 come through", n)
	}
	b.wantWaiting()
	if got := b.desk.lines(); len(got) != 3 {
		t.Errorf("handled %q, want each once", got)
	}
	if n := b.inbox.Wait(); n != 0 {
		t.Errorf("second Wait() = %d, want 0", n)
	}

	b.take(shard, "u4", "slow 4")
	b.step(noon)
	release <- session.ErrUnavailable
	if n := b.inbox.Wait(); n != 0 {
		t.Errorf("Wait() = %d, want 0: nothing came through", n)
	}
	b.wantWaiting("u4")
	b.step(noon)
	release <- nil
	b.inbox.Wait()
	b.wantWaiting()
}

func TestThePoolIsBounded(t *testing.T) {
	b := open(t)
	const size = 4
	release, entered := make(chan bool), make(chan bool, 100)
	b.desk.do = func(_ context.Context, r chat.Request, _ session.Cause) error {
		if b.desk.Slow(r) {
			entered <- true
			<-release
		}
		return nil
	}
	for i := range size + 2 {
		b.take(shard, fmt.Sprintf("u%d", i), fmt.Sprintf("slow %d", i))
	}
	b.take(shard, "off", "off")
	if n := b.step(noon); n != size+1 {
		t.Errorf("Step() = %d, want %d slow ones and the quick one", n, size)
	}
	for range size {
		<-entered
	}
	if !slices.Contains(b.desk.lines(), "off") {
		t.Error("the quick one waited behind a full pool")
	}
	if got := len(b.waiting(shard)); got != size+2 {
		t.Errorf("%d letters wait, want the %d slow ones", got, size+2)
	}
	close(release)
	b.inbox.Wait()
	b.step(noon)
	b.inbox.Wait()
	b.wantWaiting()
	if got := b.desk.lines(); len(got) != size+3 {
		t.Errorf("handled %q, want each once", got)
	}
}
