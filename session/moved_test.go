package session_test

import (
	"context"
	"errors"
	"testing"
	"time"

	"ledgehand/session"
	"ledgehand/session/trip"
	"ledgehand/session/watch"
)

const movedTo = -1001234567890

// moving is a crew with everything open, and one closed outing.
func moving(t *testing.T) *bench {
	b := open(t)
	b.do("u1", noon, func(tx *session.Tx) error {
		c, _, err := tx.LoadCrew()
		if err != nil {
			return err
		}
		c.Chat, c.Group, c.Title = group, true, "The crew"
		return tx.PutCrew(c)
	})
	b.do("u2", noon, putOuting(party(t, "k1", noon.Add(backIn), noon)))
	b.do("u3", noon, putOuting(off(t, party(t, "k2", noon.Add(backIn), noon), noon)))
	alone := party(t, "k3", noon.Add(backIn), noon)
	alone.Group = 0
	b.do("u4", noon, putOuting(alone))
	b.do("u5", noon, func(tx *session.Tx) error {
		w, err := watch.New(watch.Watch{ID: "w1", Chat: group, By: ana, Length: watch.Usual}, noon)
		if err != nil {
			return err
		}
		p, err := trip.New(trip.Trip{ID: "t1", Chat: group, By: ana, Start: noon.Add(time.Hour), End: noon.Add(5 * time.Hour)}, noon)
		if err != nil {
			return err
		}
		return errors.Join(tx.PutWatch(w), tx.PutTrip(p))
	})
	return b
}

func (b *bench) move(cause string, from, to int64) {
	b.Helper()
	if err := b.svc.Move(b.Context(), session.Cause{ID: cause, Now: noon.Add(time.Minute)}, from, to); err != nil {
		b.Fatalf("Move(%d to %d) = %v, want no error", from, to, err)
	}
}

func (b *bench) crewOf(chat int64) session.CrewID {
	b.Helper()
	c, err := b.svc.CrewOfChat(b.Context(), chat)
	if err != nil {
		b.Fatal(err)
	}
	return c
}

// wantAt checks where the crew and all it has open write to.
func (b *bench) wantAt(chat int64) {
	b.Helper()
	c := b.crew()
	if c.Chat != chat || c.Title != "The crew" {
		b.Errorf("the crew %q writes to %d, want The crew to %d", c.Title, c.Chat, chat)
	}
	b.view(noon, func(tx *session.Tx) error {
		o, _, err := tx.LoadOuting("k1")
		w, _, err2 := tx.LoadWatch("w1")
		p, _, err3 := tx.LoadTrip("t1")
		if o.Group != chat || w.Chat != chat || p.Chat != chat {
			b.Errorf("outing, watch and trip write to %d, %d, %d, want %d", o.Group, w.Chat, p.Chat, chat)
		}
		return errors.Join(err, err2, err3)
	})
	if o := b.outing("k2"); o.Group != group {
		b.Errorf("the closed outing writes to %d, want it left alone", o.Group)
	}
	if o := b.outing("k3"); o.Group != 0 {
		b.Errorf("the outing without a group writes to %d, want none", o.Group)
	}
}

func TestMove(t *testing.T) {
	b := moving(t)
	if got := b.crewOf(group); got != crewID {
		t.Fatalf("CrewOfChat() = %q, want %q", got, crewID)
	}
	due := b.due()
	b.move("u9", group, movedTo)
	for _, chat := range []int64{group, movedTo} {
		if got := b.crewOf(chat); got != crewID {
			t.Errorf("CrewOfChat(%d) = %q, want %q", chat, got, crewID)
		}
	}
	b.wantAt(movedTo)
	if got := b.due(); len(got) != len(due) || !got[itemOf("k1")].Equal(due[itemOf("k1")]) {
		t.Errorf("index = %v, want it as before: %v", got, due)
	}
	// The alerts go where the group is now.
	h := &herald{}
	b.swept(noon.Add(backIn), h, "w1 result0", "k1 ask>11", "k1 ask>-1001234567890", "k3 ask>11", "k3 ask>12")

	version := b.record("crew/" + string(crewID)).Version
	b.move("u9", group, movedTo)  // delivered twice
	b.move("u10", group, movedTo) // told of twice: the service announces it in both chats
	b.wantAt(movedTo)
	if v := b.record("crew/" + string(crewID)).Version; v != version {
		t.Errorf("crew version %d after moving again, want %d", v, version)
	}
}

func TestMoveTwiceOver(t *testing.T) {
	b := moving(t)
	const third = -1009999999999
	b.move("u9", group, movedTo)
	b.move("u10", movedTo, third)
	if got := b.crewOf(third); got != crewID {
		t.Errorf("CrewOfChat() of the third = %q, want %q", got, crewID)
	}
	b.wantAt(third)
	b.move("u11", third, group) // and home again: nothing to point at itself
	if got := b.crewOf(group); got != crewID {
		t.Errorf("CrewOfChat() of the first = %q, want %q", got, crewID)
	}
	b.wantAt(group)
}

// The new id may fall into the crew's own shard: pointer and crew are then two changes there, and both must stand.
func TestMoveWithinAShard(t *testing.T) {
	const near = -1001234568025
	if session.ShardOfChat(near) != crewID.Shard() {
		t.Fatal("the two ids lie in different shards: choose others")
	}
	b := moving(t)
	b.move("u9", group, near)
	if got := b.crewOf(near); got != crewID {
		t.Errorf("CrewOfChat() = %q, want %q", got, crewID)
	}
	b.wantAt(near)
}

// Told of what never moved, or of a chat nobody knows, nothing comes to harm.
func TestMoveOfAStranger(t *testing.T) {
	b := moving(t)
	b.move("u9", -777, -1007777777777)
	b.wantAt(group)
	var found bool
	stranger := session.CrewOf(-777)
	if err := b.svc.View(t.Context(), stranger, noon, func(tx *session.Tx) (err error) { _, found, err = tx.LoadCrew(); return err }); err != nil || found {
		t.Errorf("a move made a crew of strangers: %v, %v", found, err)
	}
	if got := b.crewOf(-1007777777777); got != stranger {
		t.Errorf("CrewOfChat() = %q, want %q, so that they meet us once", got, stranger)
	}
	if got := b.crewOf(ana); got != session.CrewOf(ana) {
		t.Errorf("CrewOfChat() of a private chat = %q, want its own", got)
	}
}

// Each half alone does no harm, and redelivery heals.
func TestHalfAMove(t *testing.T) {
	t.Run("OnlyThePointer", func(t *testing.T) {
		b := moving(t)
		b.damage("crew/" + string(crewID)) // the second half fails
		if err := b.svc.Move(t.Context(), session.Cause{ID: "u9", Now: noon}, group, movedTo); err == nil {
			t.Fatal("Move() with a damaged crew = no error, want one")
		}
		for _, chat := range []int64{group, movedTo} {
			if got := b.crewOf(chat); got != crewID {
				t.Errorf("CrewOfChat(%d) = %q, want %q", chat, got, crewID)
			}
		}
		if o := b.outing("k1"); o.Group != group {
			t.Errorf("the outing writes to %d, want all or nothing: %d", o.Group, group)
		}
	})
	t.Run("OnlyTheCrew", func(t *testing.T) {
		b := moving(t)
		b.do("x", noon, func(tx *session.Tx) error {
			o, _, err := tx.LoadOuting("k1")
			if err != nil {
				return err
			}
			c, _, err := tx.LoadCrew()
			if err != nil {
				return err
			}
			c.Chat = movedTo
			return errors.Join(tx.PutCrew(c), tx.PutOuting(o.Retarget(group, movedTo)))
		})
		b.move("u9", group, movedTo)
		b.wantAt(movedTo)
	})
	t.Run("Redelivered", func(t *testing.T) {
		for calls := 1; ; calls++ {
			b := moving(t)
			svc := session.New(&stopAfter{Store: b.store, left: calls}, func(session.Shard) session.Fence { return fence0 })
			cause := session.Cause{ID: "u9", Now: noon}
			err := svc.Move(t.Context(), cause, group, movedTo)
			if err == nil {
				if calls < 8 {
					t.Errorf("a whole move took %d calls: the test cut nothing short", calls)
				}
				return
			}
			if !errors.Is(err, session.ErrUnavailable) {
				t.Fatalf("Move() cut after %d calls = %v, want ErrUnavailable", calls, err)
			}
			if got := b.crewOf(group); got != crewID {
				t.Errorf("cut after %d calls, CrewOfChat() = %q, want %q", calls, got, crewID)
			}
			b.move("u9", group, movedTo)
			b.wantAt(movedTo)
			if got := b.crewOf(movedTo); got != crewID {
				t.Errorf("cut after %d calls and redelivered, CrewOfChat() = %q, want %q", calls, got, crewID)
			}
		}
	})
}

// stopAfter lets a number of reads and commits through and is then away.
type stopAfter struct {
	session.Store
	left int
}

func (s *stopAfter) gone() error {
	if s.left--; s.left < 0 {
		return session.ErrUnavailable
	}
	return nil
}

func (s *stopAfter) Load(ctx context.Context, shard session.Shard, keys ...string) ([]session.Record, error) {
	if err := s.gone(); err != nil {
		return nil, err
	}
	return s.Store.Load(ctx, shard, keys...)
}

func (s *stopAfter) Done(ctx context.Context, shard session.Shard, cause string) (bool, error) {
	if err := s.gone(); err != nil {
		return false, err
	}
	return s.Store.Done(ctx, shard, cause)
}

func (s *stopAfter) Begin(ctx context.Context, shard session.Shard, cause string, keys ...string) (bool, []session.Record, error) {
	if err := s.gone(); err != nil {
		return false, nil, err
	}
	return s.Store.Begin(ctx, shard, cause, keys...)
}

func (s *stopAfter) Commit(ctx context.Context, shard session.Shard, f session.Fence, c session.Change) error {
	if err := s.gone(); err != nil {
		return err
	}
	return s.Store.Commit(ctx, shard, f, c)
}
