package storetest

import (
	"bytes"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"testing"
	"time"

	"ledgehand/session"
)

func runOutbox(t *testing.T, open Open) {
	post := func(b *bench, entries ...session.Entry) { b.commit(session.Change{Post: entries}) }
	one := func(t *testing.T, b *bench, lane session.Lane, now time.Time) session.Claimed {
		t.Helper()
		got := b.claimOut(lane, now, time.Minute, 10)
		if len(got) != 1 {
			t.Fatalf("ClaimOut(%s) = %q, want one entry", lane, entryIDs(got))
		}
		return got[0]
	}

	t.Run("GivesBackWhatWasPosted", func(t *testing.T) {
		b := start(t, open)
		want := session.Entry{ID: "m/1", Lane: session.Urgent, Chat: big, At: noon.Add(time.Second), Made: noon.Add(time.Microsecond),
			Attempt: 3, About: "outing/k3f9", Alert: true, PanelKey: "outing/k3f9", Body: []byte(`{"chat":-9007199254740993}`)}
		post(b, want)
		got := one(t, b, session.Urgent, noon.Add(time.Second))
		if !reflect.DeepEqual(got.Entry, want) {
			t.Errorf("ClaimOut() = %+v, want %+v", got.Entry, want)
		}
		if got.Hold == "" {
			t.Error("ClaimOut() gave no Hold")
		}
	})

	t.Run("KeepsHostileBodies", func(t *testing.T) {
		b := start(t, open)
		bodies := hostile()
		for name, body := range bodies {
			e := entry(name, session.Slow, noon)
			e.Body = body
			post(b, e)
		}
		got := b.claimOut(session.Slow, noon, time.Minute, 100)
		if len(got) != len(bodies) {
			t.Fatalf("ClaimOut() = %d entries, want %d", len(got), len(bodies))
		}
		for _, c := range got {
			if !bytes.Equal(c.Body, bodies[c.ID]) {
				t.Errorf("body %q came back as %d bytes, want %d", c.ID, len(c.Body), len(bodies[c.ID]))
			}
		}
	})

	t.Run("NoBodyComesBackEmptyNotNil", func(t *testing.T) {
		b := start(t, open)
		e := entry("m", session.Slow, noon)
		e.Body = nil
		post(b, e)
		if got := one(t, b, session.Slow, noon); got.Body == nil || len(got.Body) != 0 {
			t.Errorf("ClaimOut() = body %v, want an empty one: nil means unreadable", got.Body)
		}
	})

	t.Run("NotBeforeItsTimeOldestFirst", func(t *testing.T) {
		b := start(t, open)
		post(b, entry("third", session.Slow, noon.Add(3*time.Second)), entry("first", session.Slow, noon), entry("second", session.Slow, noon.Add(time.Second)))
		if got := entryIDs(b.claimOut(session.Slow, noon.Add(2999*time.Millisecond), time.Minute, 10)); !slices.Equal(got, []string{"first", "second"}) {
			t.Errorf("ClaimOut() = %q, want first, second", got)
		}
		if got := entryIDs(b.claimOut(session.Slow, noon.Add(3*time.Second), time.Minute, 10)); !slices.Equal(got, []string{"third"}) {
			t.Errorf("ClaimOut() = %q, want third", got)
		}
	})

	t.Run("OneInstantKeepsTheOrderOfPosting", func(t *testing.T) {
		b := start(t, open)
		var want []string
		for i := range 12 {
			id := fmt.Sprintf("m%02d", (i*7)%12) // not in alphabetical order
			post(b, entry(id, session.Urgent, noon))
			want = append(want, id)
		}
		got := entryIDs(b.claimOut(session.Urgent, noon, time.Minute, 5))
		got = append(got, entryIDs(b.claimOut(session.Urgent, noon, time.Minute, 50))...)
		if !slices.Equal(got, want) {
			t.Errorf("ClaimOut() = %q, want %q", got, want)
		}
	})

	t.Run("NoTimesMeanNow", func(t *testing.T) {
		b := start(t, open)
		e := entry("m", session.Urgent, time.Time{})
		post(b, e)
		if got := b.claimOut(session.Urgent, noon.Add(-time.Millisecond), time.Minute, 10); len(got) != 0 {
			t.Errorf("ClaimOut() before the change = %q, want none", entryIDs(got))
		}
		if _, oldest := b.pending(); !oldest.Equal(noon) {
			t.Errorf("Pending() = oldest %v, want %v", oldest, noon)
		}
		if got := one(t, b, session.Urgent, noon); !got.At.Equal(noon) || !got.Made.Equal(noon) {
			t.Errorf("ClaimOut() = at %v made %v, want %v", got.At, got.Made, noon)
		}
	})

	t.Run("LanesAreApart", func(t *testing.T) {
		b := start(t, open)
		for i := range 200 {
			post(b, entry(fmt.Sprintf("slow%d", i), session.Slow, noon.Add(-time.Hour)))
		}
		post(b, entry("alert", session.Urgent, noon))
		if got := one(t, b, session.Urgent, noon); got.ID != "alert" {
			t.Errorf("ClaimOut(urgent) = %q, want alert", got.ID)
		}
		if _, err := b.ClaimOut(b.ctx, b.shard, b.fence, "express", noon, time.Minute, 1); err == nil {
			t.Error("ClaimOut() of no lane = no error, want one")
		}
	})

	t.Run("AHoldEndsByItself", func(t *testing.T) {
		b := start(t, open)
		post(b, entry("m", session.Urgent, noon))
		first := one(t, b, session.Urgent, noon)
		if got := b.claimOut(session.Urgent, noon.Add(time.Minute-time.Millisecond), time.Minute, 10); len(got) != 0 {
			t.Errorf("ClaimOut() during the hold = %q, want none", entryIDs(got))
		}
		second := one(t, b, session.Urgent, noon.Add(time.Minute))
		if !reflect.DeepEqual(first.Entry, second.Entry) {
			t.Errorf("second claim = %+v, want the same entry as %+v", second, first)
		}
		if first.Hold == second.Hold {
			t.Error("two claims have the same Hold")
		}
		b.settle(first, session.Settlement{})
		if n, _ := b.pending(); n != 1 {
			t.Error("an outdated claim ended the entry")
		}
		b.settle(first, session.Settlement{Retry: noon})
		if got := b.claimOut(session.Urgent, noon.Add(time.Minute), time.Minute, 10); len(got) != 0 {
			t.Error("an outdated claim postponed the entry")
		}
		b.settle(second, session.Settlement{})
		if n, _ := b.pending(); n != 0 {
			t.Error("the latest claim did not end the entry")
		}
	})

	t.Run("SettleEnds", func(t *testing.T) {
		b := start(t, open)
		post(b, entry("m", session.Urgent, noon))
		c := one(t, b, session.Urgent, noon)
		for range 2 { // a second time is no error
			b.settle(c, session.Settlement{})
		}
		n, oldest := b.pending()
		if n != 0 || !oldest.IsZero() {
			t.Errorf("Pending() = %d, %v, want nothing", n, oldest)
		}
		if got := b.claimOut(session.Urgent, noon.Add(24*time.Hour), time.Minute, 10); len(got) != 0 {
			t.Errorf("ClaimOut() after Settle() = %q, want none", entryIDs(got))
		}
	})

	t.Run("SettlePostpones", func(t *testing.T) {
		b := start(t, open)
		post(b, entry("m", session.Urgent, noon))
		c := one(t, b, session.Urgent, noon)
		retry := noon.Add(3 * time.Hour)
		for range 2 { // a second time does not count another attempt
			b.settle(c, session.Settlement{Retry: retry})
		}
		if got := b.claimOut(session.Urgent, retry.Add(-time.Millisecond), time.Minute, 10); len(got) != 0 {
			t.Errorf("ClaimOut() before the retry = %q, want none", entryIDs(got))
		}
		got := one(t, b, session.Urgent, retry)
		want := c.Entry
		want.Attempt, want.At = 1, retry
		if !reflect.DeepEqual(got.Entry, want) {
			t.Errorf("ClaimOut() = %+v, want %+v", got.Entry, want)
		}
		if _, oldest := b.pending(); !oldest.Equal(noon) {
			t.Errorf("Pending() = oldest made %v, want %v: a retry does not make it younger", oldest, noon)
		}
	})

	t.Run("ARetryMayComeBeforeTheHoldEnds", func(t *testing.T) {
		b := start(t, open)
		post(b, entry("m", session.Urgent, noon))
		c := one(t, b, session.Urgent, noon)
		b.settle(c, session.Settlement{Retry: noon.Add(time.Second)})
		b.settle(c, session.Settlement{}) // too late: the claim ended with the retry
		one(t, b, session.Urgent, noon.Add(time.Second))
	})

	t.Run("PostingAgainReplaces", func(t *testing.T) {
		b := start(t, open)
		old := entry("panel", session.Slow, noon)
		post(b, old, entry("next", session.Slow, noon))
		fresh := entry("panel", session.Slow, noon)
		fresh.Body = []byte("newer")
		post(b, fresh)
		got := b.claimOut(session.Slow, noon, time.Minute, 10)
		if !slices.Equal(entryIDs(got), []string{"next", "panel"}) || string(got[1].Body) != "newer" {
			t.Errorf("ClaimOut() = %+v, want next and the newer panel", got)
		}
	})

	t.Run("ReplacingMayChangeTheLane", func(t *testing.T) {
		b := start(t, open)
		post(b, entry("m", session.Urgent, noon))
		post(b, entry("m", session.Slow, noon))
		if n, oldest := b.pending(); n != 1 || !oldest.IsZero() {
			t.Errorf("Pending() = %d, %v, want one that is not urgent", n, oldest)
		}
		post(b, entry("m", session.Urgent, noon.Add(time.Second)))
		if n, oldest := b.pending(); n != 1 || !oldest.Equal(noon.Add(time.Second)) {
			t.Errorf("Pending() = %d, %v, want one urgent", n, oldest)
		}
		if got := b.claimOut(session.Slow, noon.Add(time.Hour), time.Minute, 10); len(got) != 0 {
			t.Errorf("ClaimOut(slow) = %q, want none", entryIDs(got))
		}
	})

	t.Run("SettlingWhatWasReplacedKeepsTheNewer", func(t *testing.T) {
		b := start(t, open)
		e := entry("panel", session.Urgent, noon)
		e.PanelKey = "trip/1"
		post(b, e)
		c := one(t, b, session.Urgent, noon)
		e.Body = []byte("newer")
		post(b, e)
		note := &session.Letter{ID: "fare/1", Got: noon, Body: []byte("refused")}
		b.settle(c, session.Settlement{Panel: 42, Note: note})
		if got := b.panel(big, "trip/1"); got != 42 {
			t.Errorf("Panel() = %d, want 42: what was posted is there", got)
		}
		if got := ids(b.waiting()); !slices.Equal(got, []string{"fare/1"}) {
			t.Errorf("waiting = %q, want the note", got)
		}
		b.settle(c, session.Settlement{Retry: noon.Add(time.Hour)})
		if got := one(t, b, session.Urgent, noon); string(got.Body) != "newer" || got.Attempt != 0 {
			t.Errorf("ClaimOut() = %+v, want the newer entry untouched", got)
		}
	})

	t.Run("CancelRemovesEvenWhatIsHeld", func(t *testing.T) {
		b := start(t, open)
		held := entry("held", session.Urgent, noon)
		held.PanelKey = "p"
		post(b, held)
		c := one(t, b, session.Urgent, noon)
		post(b, entry("waits", session.Slow, noon))
		b.commit(session.Change{Cancel: []string{"held", "waits", "unknown"}})
		if n, oldest := b.pending(); n != 0 || !oldest.IsZero() {
			t.Errorf("Pending() = %d, %v, want nothing", n, oldest)
		}
		b.settle(c, session.Settlement{Retry: noon, Panel: 7, Note: &session.Letter{ID: "n", Got: noon}})
		if n, _ := b.pending(); n != 0 {
			t.Error("Settle() brought a cancelled entry back")
		}
		if b.panel(big, "p") != 7 || len(b.waiting()) != 1 {
			t.Error("Settle() of a cancelled entry lost its panel or its note")
		}
		post(b, held)
		b.settle(c, session.Settlement{})
		if n, _ := b.pending(); n != 1 {
			t.Error("a claim from before the cancel ended a later entry of the same id")
		}
	})

	t.Run("CancelComesBeforePostInOneChange", func(t *testing.T) {
		b := start(t, open)
		post(b, entry("a", session.Urgent, noon), entry("b", session.Urgent, noon))
		fresh := entry("a", session.Urgent, noon)
		fresh.Body = []byte("stand-down")
		b.commit(session.Change{Cancel: []string{"a", "b"}, Post: []session.Entry{fresh}})
		if got := one(t, b, session.Urgent, noon); string(got.Body) != "stand-down" {
			t.Errorf("ClaimOut() = %+v, want the one posted with the cancel", got)
		}
	})

	t.Run("PanelsAreRememberedAndForgotten", func(t *testing.T) {
		b := start(t, open)
		say := func(chat int64, key string, panel int) {
			e := entry("m", session.Slow, noon)
			e.Chat, e.PanelKey = chat, key
			post(b, e)
			b.settle(one(t, b, session.Slow, noon), session.Settlement{Panel: panel})
		}
		if got := b.panel(big, "trip/1"); got != 0 {
			t.Errorf("Panel() = %d, want 0", got)
		}
		say(big, "trip/1", 2147483647)
		say(big+1, "trip/1", 5)
		say(big, "1|trip/1", 6)
		say(big, "", 9)
		if got := []int{b.panel(big, "trip/1"), b.panel(big+1, "trip/1"), b.panel(big, "1|trip/1"), b.panel(big, "")}; !slices.Equal(got, []int{2147483647, 5, 6, 0}) {
			t.Errorf("Panel() = %v, want 2147483647 5 6 0", got)
		}
		say(big, "trip/1", 0) // zero leaves it
		if got := b.panel(big, "trip/1"); got != 2147483647 {
			t.Errorf("Panel() after zero = %d, want it kept", got)
		}
		say(big, "trip/1", -1)
		if got := b.panel(big, "trip/1"); got != 0 {
			t.Errorf("Panel() after a negative one = %d, want 0", got)
		}
	})

	t.Run("ANoteComesOnce", func(t *testing.T) {
		b := start(t, open)
		post(b, entry("m", session.Urgent, noon))
		c := one(t, b, session.Urgent, noon)
		for range 3 {
			b.settle(c, session.Settlement{Note: &session.Letter{ID: "n", Got: noon, Body: []byte("403")}})
		}
		letters := b.waiting()
		if len(letters) != 1 || string(letters[0].Body) != "403" {
			t.Errorf("waiting = %+v, want the note once", letters)
		}
	})

	t.Run("PendingCountsTheHeldToo", func(t *testing.T) {
		b := start(t, open)
		young, old := entry("young", session.Urgent, noon), entry("old", session.Urgent, noon)
		old.Made = noon.Add(-time.Hour)
		slow := entry("slow", session.Slow, noon)
		slow.Made = noon.Add(-24 * time.Hour)
		post(b, young, old, slow, entry("later", session.Urgent, noon.Add(time.Hour)))
		b.claimOut(session.Urgent, noon, time.Minute, 10)
		if n, oldest := b.pending(); n != 4 || !oldest.Equal(old.Made) {
			t.Errorf("Pending() = %d, %v, want 4 and %v", n, oldest, old.Made)
		}
	})

	t.Run("AnOldFenceTouchesNothing", func(t *testing.T) {
		b := start(t, open)
		e := entry("m", session.Urgent, noon)
		e.PanelKey = "p"
		post(b, e)
		c := one(t, b, session.Urgent, noon)
		overtake(b)
		err := b.Settle(b.ctx, b.shard, b.fence, c, session.Settlement{Panel: 3, Note: &session.Letter{ID: "n", Got: noon}})
		if !errors.Is(err, session.ErrFenced) {
			t.Errorf("Settle() = %v, want ErrFenced", err)
		}
		if n, _ := b.pending(); n != 1 || b.panel(big, "p") != 0 || len(b.waiting()) != 0 {
			t.Error("a fenced replica settled an entry")
		}
		got, err := b.ClaimOut(b.ctx, b.shard, b.fence, session.Urgent, noon.Add(time.Hour), time.Minute, 10)
		if !errors.Is(err, session.ErrFenced) || len(got) != 0 {
			t.Errorf("ClaimOut() = %v, %v, want ErrFenced", got, err)
		}
	})

	t.Run("RefusesWhatCannotBeStored", func(t *testing.T) {
		b := start(t, open)
		post(b, entry("m", session.Urgent, noon))
		c := one(t, b, session.Urgent, noon)
		for name, o := range map[string]session.Settlement{
			"note without id":   {Note: &session.Letter{Got: noon}},
			"note without time": {Note: &session.Letter{ID: "n"}},
		} {
			if err := b.Settle(b.ctx, b.shard, b.fence, c, o); err == nil {
				t.Errorf("Settle(%s) = no error, want one", name)
			}
		}
		c.Hold = ""
		if err := b.Settle(b.ctx, b.shard, b.fence, c, session.Settlement{}); err == nil {
			t.Error("Settle() of what was not claimed = no error, want one")
		}
		if n, _ := b.pending(); n != 1 {
			t.Error("a refused settlement ended the entry")
		}
	})
}
