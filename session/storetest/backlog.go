package storetest

import (
	"errors"
	"testing"
	"time"

	"ledgehand/session"
)

func runBacklog(t *testing.T, open Open) {
	of := func(b *bench) session.Backlog {
		b.t.Helper()
		g, ok := b.Store.(session.Gauge)
		if !ok {
			b.t.Fatal("the store is no session.Gauge")
		}
		got, err := g.Backlog(b.ctx, b.shard)
		if err != nil {
			b.t.Fatalf("Backlog() = %v, want no error", err)
		}
		return got
	}
	want := func(b *bench, want session.Backlog) {
		b.t.Helper()
		if got := of(b); got != want {
			b.t.Errorf("Backlog() = %+v, want %+v", got, want)
		}
	}
	ago := func(d time.Duration) time.Time { return noon.Add(-d) }

	t.Run("NothingWaits", func(t *testing.T) { want(start(t, open), session.Backlog{}) })

	t.Run("CountsLettersAndTheDead", func(t *testing.T) {
		b := start(t, open)
		for i, id := range []string{"u1", "u2", "u3"} {
			b.take(id, ago(time.Hour-time.Duration(i)*time.Minute), []byte("{}"))
		}
		want(b, session.Backlog{Letters: 3, OldestLetter: ago(time.Hour)})
		if err := b.Bury(b.ctx, b.shard, b.fence, b.waiting()[0].Seq, "why"); err != nil {
			t.Fatal(err)
		}
		want(b, session.Backlog{Letters: 2, OldestLetter: ago(59 * time.Minute), Dead: 1})
		want(b.other(8), session.Backlog{})
	})

	t.Run("AHeldItemCountsByWhatItIsDueFor", func(t *testing.T) {
		b := start(t, open)
		b.commit(session.Change{Due: []session.DueItem{{Item: "late", At: ago(time.Hour)}, {Item: "later", At: noon.Add(time.Hour)}}})
		want(b, session.Backlog{OldestDue: ago(time.Hour)})
		b.claimDue(noon, 10*time.Hour, 10)
		want(b, session.Backlog{OldestDue: ago(time.Hour)})
		b.commit(session.Change{Due: []session.DueItem{{Item: "late"}}})
		want(b, session.Backlog{OldestDue: noon.Add(time.Hour)})
	})

	t.Run("CountsBothLanesAndTheOldestUrgent", func(t *testing.T) {
		b := start(t, open)
		first, second, chatter := entry("a", session.Urgent, ago(time.Minute)), entry("b", session.Urgent, ago(time.Second)), entry("c", session.Slow, ago(time.Hour))
		first.At = noon
		b.commit(session.Change{Post: []session.Entry{first, second, chatter}})
		want(b, session.Backlog{Urgent: 2, Slow: 1, OldestUrgent: ago(time.Minute)})
		for _, c := range b.claimOut(session.Urgent, noon, time.Hour, 10) {
			if c.ID == "a" {
				b.settle(c, session.Settlement{})
			}
		}
		want(b, session.Backlog{Urgent: 1, Slow: 1, OldestUrgent: ago(time.Second)})
	})

	t.Run("ATrialWriteIsNoPartOfWhatWaits", func(t *testing.T) {
		b := start(t, open)
		for range 2 {
			if err := b.Store.(session.Gauge).TryWrite(b.ctx, b.shard, noon); err != nil {
				t.Fatalf("TryWrite() = %v, want no error", err)
			}
		}
		want(b, session.Backlog{})
	})

	t.Run("AnOutageIsSaid", func(t *testing.T) {
		b := start(t, open)
		off := NewRefusing(b.Store, b.leases)
		off.Off()
		if _, err := off.Backlog(b.ctx, b.shard); !errors.Is(err, session.ErrUnavailable) {
			t.Errorf("Backlog() while away = %v, want ErrUnavailable", err)
		}
		if err := off.TryWrite(b.ctx, b.shard, noon); !errors.Is(err, session.ErrUnavailable) {
			t.Errorf("TryWrite() while away = %v, want ErrUnavailable", err)
		}
	})
}
