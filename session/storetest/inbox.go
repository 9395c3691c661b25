package storetest

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"sync"
	"testing"
	"time"

	"ledgehand/session"
)

func runInbox(t *testing.T, open Open) {
	t.Run("TakesOnceAndKeeps", func(t *testing.T) {
		b := start(t, open)
		got := noon.Add(123 * time.Millisecond)
		if !b.take("u1", got, []byte("hello")) {
			t.Error("first Take() = repeat, want fresh")
		}
		if b.take("u1", got.Add(time.Hour), []byte("other")) {
			t.Error("second Take() = fresh, want repeat")
		}
		letters := b.waiting()
		if len(letters) != 1 {
			t.Fatalf("Waiting() = %d letters, want 1", len(letters))
		}
		l := letters[0]
		if l.ID != "u1" || !l.Got.Equal(got) || string(l.Body) != "hello" || l.Seq == "" || l.Got.Location() != time.UTC {
			t.Errorf("Waiting() = %+v, want u1 as it was first taken, in UTC", l)
		}
		if again := b.waiting(); len(again) != 1 {
			t.Errorf("second Waiting() = %d letters, want 1: they stay", len(again))
		}
	})

	t.Run("ForgetsAnIDAfter48Hours", func(t *testing.T) {
		b := start(t, open)
		b.take("u1", noon, nil)
		if b.take("u1", noon.Add(48*time.Hour-time.Millisecond), nil) {
			t.Error("Take() just within 48 hours = fresh, want repeat")
		}
		if !b.take("u1", noon.Add(48*time.Hour), nil) {
			t.Error("Take() after 48 hours = repeat, want fresh: ids come round again")
		}
	})

	t.Run("TakesALowerIDAfterAHigherOne", func(t *testing.T) {
		b := start(t, open)
		if !b.take("u900000000", noon, nil) || !b.take("u12", noon.Add(time.Minute), nil) {
			t.Error("Take() of a lower id = repeat, want fresh")
		}
	})

	t.Run("ListsInOrderOfArrivalAndFromAPlace", func(t *testing.T) {
		b := start(t, open)
		var want []string
		for i := range 25 {
			id := fmt.Sprintf("u%d", 1000-i) // neither ids nor times are in order
			b.take(id, noon.Add(-time.Duration(i)*time.Second), nil)
			want = append(want, id)
		}
		var seen []string
		after := ""
		for {
			some, err := b.Waiting(b.ctx, b.shard, after, 10)
			if err != nil {
				t.Fatal(err)
			}
			if len(some) > 10 {
				t.Fatalf("Waiting(10) = %d letters, want at most 10", len(some))
			}
			seen = append(seen, ids(some)...)
			if len(some) < 10 {
				break
			}
			after = some[len(some)-1].Seq
		}
		if !slices.Equal(seen, want) {
			t.Errorf("Waiting() in steps = %q, want %q", seen, want)
		}
	})

	t.Run("KeepsHostileBodies", func(t *testing.T) {
		b := start(t, open)
		bodies := hostile()
		for name, body := range bodies {
			b.take(name, noon, body)
		}
		letters := b.waiting()
		if len(letters) != len(bodies) {
			t.Fatalf("Waiting() = %d letters, want %d", len(letters), len(bodies))
		}
		for _, l := range letters {
			if !bytes.Equal(l.Body, bodies[l.ID]) {
				t.Errorf("body %q came back as %d bytes, want %d", l.ID, len(l.Body), len(bodies[l.ID]))
			}
			if l.Body == nil {
				t.Errorf("body %q came back nil, which means unreadable", l.ID)
			}
		}
	})

	t.Run("KeepsShardsApart", func(t *testing.T) {
		b := start(t, open)
		o := b.other(63)
		b.take("u1", noon, nil)
		if !o.take("u1", noon, nil) {
			t.Error("Take() in another shard = repeat, want fresh")
		}
		if len(b.waiting()) != 1 || len(o.waiting()) != 1 {
			t.Error("letters of one shard show in another")
		}
	})

	t.Run("TakesOnceUnderContention", func(t *testing.T) {
		b := start(t, open)
		const n = 32
		var mu sync.Mutex
		fresh := 0
		var wg sync.WaitGroup
		for range n {
			wg.Go(func() {
				f, err := b.Take(b.ctx, b.shard, session.Letter{ID: "u1", Got: noon})
				if err != nil {
					t.Errorf("Take() = %v, want no error", err)
				}
				mu.Lock()
				defer mu.Unlock()
				if f {
					fresh++
				}
			})
		}
		wg.Wait()
		if fresh != 1 || len(b.waiting()) != 1 {
			t.Errorf("%d takers of one letter: %d fresh, %d kept, want 1 and 1", n, fresh, len(b.waiting()))
		}
	})

	t.Run("DiscardDropsOne", func(t *testing.T) {
		b := start(t, open)
		b.take("u1", noon, nil)
		b.take("u2", noon, nil)
		seq := b.waiting()[0].Seq
		for range 2 { // a second time changes nothing
			if err := b.Discard(b.ctx, b.shard, b.fence, seq); err != nil {
				t.Fatalf("Discard() = %v, want no error", err)
			}
		}
		if got := ids(b.waiting()); !slices.Equal(got, []string{"u2"}) {
			t.Errorf("after Discard() waiting = %q, want u2", got)
		}
		if b.take("u1", noon.Add(time.Minute), nil) {
			t.Error("Take() of a discarded letter = fresh, want repeat")
		}
	})

	t.Run("BuryMovesOneWithItsReason", func(t *testing.T) {
		b := start(t, open)
		body := []byte{0xff, '{', 0}
		b.take("u1", noon, body)
		b.take("u2", noon.Add(time.Second), []byte("fine"))
		b.take("u3", noon.Add(2*time.Second), []byte("odd"))
		first, third := b.waiting()[0], b.waiting()[2]
		for _, step := range []struct{ seq, why string }{{first.Seq, "no such kind\n\x00"}, {third.Seq, "other"}, {third.Seq, "again"}} {
			if err := b.Bury(b.ctx, b.shard, b.fence, step.seq, step.why); err != nil {
				t.Fatalf("Bury() = %v, want no error", err)
			}
		}
		if got := ids(b.waiting()); !slices.Equal(got, []string{"u2"}) {
			t.Errorf("after Bury() waiting = %q, want u2", got)
		}
		dead, err := b.Buried(b.ctx, b.shard, 10)
		if err != nil {
			t.Fatal(err)
		}
		if len(dead) != 2 {
			t.Fatalf("Buried() = %d letters, want 2", len(dead))
		}
		if d := dead[0]; d.ID != "u3" || d.Why != "other" {
			t.Errorf("Buried()[0] = %+v, want u3, the newest burial", d)
		}
		if d := dead[1]; d.ID != "u1" || d.Seq != first.Seq || !d.Got.Equal(noon) || !bytes.Equal(d.Body, body) || d.Why != "no such kind\n\x00" {
			t.Errorf("Buried()[1] = %+v, want u1 as it came", d)
		}
		if one, err := b.Buried(b.ctx, b.shard, 1); err != nil || len(one) != 1 {
			t.Errorf("Buried(1) = %d letters, %v, want 1", len(one), err)
		}
	})

	t.Run("AnOldFenceTouchesNothing", func(t *testing.T) {
		b := start(t, open)
		b.take("u1", noon, nil)
		seq := b.waiting()[0].Seq
		overtake(b)
		if err := b.Discard(b.ctx, b.shard, b.fence, seq); !errors.Is(err, session.ErrFenced) {
			t.Errorf("Discard() = %v, want ErrFenced", err)
		}
		if err := b.Bury(b.ctx, b.shard, b.fence, seq, "x"); !errors.Is(err, session.ErrFenced) {
			t.Errorf("Bury() = %v, want ErrFenced", err)
		}
		if len(b.waiting()) != 1 {
			t.Error("a fenced replica removed a letter")
		}
	})

	t.Run("RefusesWhatCannotBeStored", func(t *testing.T) {
		b := start(t, open)
		for name, l := range map[string]session.Letter{
			"no id": {Got: noon}, "no time": {ID: "u1"}, "id not utf-8": {ID: "\xff", Got: noon},
		} {
			if fresh, err := b.Take(b.ctx, b.shard, l); err == nil || fresh {
				t.Errorf("Take(%s) = %v, %v, want an error", name, fresh, err)
			}
		}
		for _, s := range []session.Shard{-1, session.Shards} {
			if _, err := b.Take(b.ctx, s, session.Letter{ID: "u1", Got: noon}); err == nil {
				t.Errorf("Take() in shard %d = no error, want one", s)
			}
		}
		for _, seq := range []string{"", "x", "1", "1-", "-1", "1-1-1", "99999999999999999999-0"} {
			if err := b.Discard(b.ctx, b.shard, b.fence, seq); err == nil {
				t.Errorf("Discard(%q) = no error, want one", seq)
			}
		}
	})
}

// overtake lets another owner take the shard, so that b's fence number is old.
func overtake(b *bench) session.Fence {
	b.t.Helper()
	f, err := b.leases.Lead(b.ctx, b.shard, "other", noon.Add(2*time.Hour), time.Hour)
	if err != nil {
		b.t.Fatalf("Lead() by another after the lease ran out = %v, want no error", err)
	}
	if f <= b.fence {
		b.t.Fatalf("Lead() by another = %d, want more than %d", f, b.fence)
	}
	return f
}
