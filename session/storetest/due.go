package storetest

import (
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"ledgehand/session"
)

func runDue(t *testing.T, open Open) {
	set := func(b *bench, items ...session.DueItem) { b.commit(session.Change{Due: items}) }
	at := func(item string, d time.Duration) session.DueItem {
		return session.DueItem{Item: item, At: noon.Add(d)}
	}

	t.Run("ClaimsWhatIsDueOldestFirst", func(t *testing.T) {
		b := start(t, open)
		set(b, at("late", -time.Hour), at("now", 0), at("early", time.Millisecond), at("latest", -2*time.Hour))
		got := b.claimDue(noon, time.Minute, 10)
		if !slices.Equal(dueNames(got), []string{"latest", "late", "now"}) {
			t.Fatalf("ClaimDue() = %v, want latest, late, now", got)
		}
		if !got[1].At.Equal(noon.Add(-time.Hour)) || got[1].At.Location() != time.UTC {
			t.Errorf("ClaimDue() says due at %v, want %v", got[1].At, noon.Add(-time.Hour))
		}
		if got := b.claimDue(noon.Add(time.Millisecond), time.Minute, 10); !slices.Equal(dueNames(got), []string{"early"}) {
			t.Errorf("ClaimDue() a millisecond later = %v, want early", got)
		}
	})

	t.Run("TakesNoMoreThanAsked", func(t *testing.T) {
		b := start(t, open)
		for i := range 10 {
			set(b, at(fmt.Sprintf("i%d", i), -time.Duration(10-i)*time.Second))
		}
		if got := dueNames(b.claimDue(noon, time.Minute, 3)); !slices.Equal(got, []string{"i0", "i1", "i2"}) {
			t.Errorf("ClaimDue(3) = %v, want the three oldest", got)
		}
		if got := dueNames(b.claimDue(noon, time.Minute, 100)); len(got) != 7 || got[0] != "i3" {
			t.Errorf("next ClaimDue() = %v, want the other seven", got)
		}
		if got := b.claimDue(noon, time.Minute, 0); len(got) != 0 {
			t.Errorf("ClaimDue(0) = %v, want none", got)
		}
	})

	t.Run("AHoldEndsByItselfAndKeepsWhatItWasDueFor", func(t *testing.T) {
		b := start(t, open)
		set(b, at("a", -time.Hour))
		b.claimDue(noon, time.Minute, 10)
		if got := b.claimDue(noon.Add(time.Minute-time.Millisecond), time.Minute, 10); len(got) != 0 {
			t.Fatalf("ClaimDue() during the hold = %v, want none", got)
		}
		for i := 1; i <= 3; i++ {
			got := b.claimDue(noon.Add(time.Duration(i)*time.Minute), time.Minute, 10)
			if len(got) != 1 || !got[0].At.Equal(noon.Add(-time.Hour)) {
				t.Fatalf("ClaimDue() after hold %d = %v, want a, due for %v", i, got, noon.Add(-time.Hour))
			}
		}
		if all := b.allDue(); !all["a"].Equal(noon.Add(-time.Hour)) {
			t.Errorf("AllDue() = %v, want what it was due for", all)
		}
	})

	t.Run("OnlyACommitRemovesAnItem", func(t *testing.T) {
		b := start(t, open)
		set(b, at("a", -time.Hour), at("b", -time.Hour))
		b.claimDue(noon, time.Minute, 10)
		if all := b.allDue(); len(all) != 2 {
			t.Fatalf("AllDue() after a claim = %v, want both", all)
		}
		set(b, session.DueItem{Item: "a"}, session.DueItem{Item: "unknown"})
		all := b.allDue()
		if _, there := all["a"]; there || len(all) != 1 {
			t.Errorf("AllDue() = %v, want b only", all)
		}
		if got := dueNames(b.claimDue(noon.Add(time.Hour), time.Minute, 10)); !slices.Equal(got, []string{"b"}) {
			t.Errorf("ClaimDue() after the hold = %v, want b", got)
		}
	})

	t.Run("ANewTimeEndsTheHold", func(t *testing.T) {
		b := start(t, open)
		set(b, at("a", -time.Hour), at("b", -time.Hour))
		b.claimDue(noon, time.Hour, 10)
		set(b, at("a", time.Second), at("b", 2*time.Hour), at("b", 3*time.Hour))
		got := b.claimDue(noon.Add(time.Second), time.Minute, 10)
		if len(got) != 1 || !got[0].At.Equal(noon.Add(time.Second)) {
			t.Errorf("ClaimDue() = %v, want a at its new time", got)
		}
		if all := b.allDue(); !all["b"].Equal(noon.Add(3 * time.Hour)) {
			t.Errorf("AllDue() = %v, want the last time given for b", all)
		}
	})

	t.Run("KeepsMillisecondsOnly", func(t *testing.T) {
		b := start(t, open)
		set(b, at("a", 1999*time.Microsecond))
		if all := b.allDue(); !all["a"].Equal(noon.Add(time.Millisecond)) {
			t.Errorf("AllDue() = %v, want cut to the millisecond", all)
		}
	})

	t.Run("KeepsTheDigitsOfFarInstants", func(t *testing.T) {
		b := start(t, open)
		far := time.Date(9999, 12, 31, 23, 59, 59, 999e6, time.UTC) // 253402300799999 ms: fifteen digits
		old := time.Date(1969, 7, 20, 20, 17, 40, 1e6, time.UTC)
		set(b, session.DueItem{Item: "far", At: far}, session.DueItem{Item: "old", At: old})
		if all := b.allDue(); !all["far"].Equal(far) || !all["old"].Equal(old) {
			t.Errorf("AllDue() = %v, want %v and %v", all, far, old)
		}
		got := b.claimDue(far, time.Minute, 10)
		if len(got) != 2 || !got[0].At.Equal(old) || !got[1].At.Equal(far) {
			t.Errorf("ClaimDue() = %v, want %v and %v", got, old, far)
		}
	})

	t.Run("AnOldFenceClaimsNothing", func(t *testing.T) {
		b := start(t, open)
		set(b, at("a", -time.Hour))
		f := overtake(b)
		if got, err := b.ClaimDue(b.ctx, b.shard, b.fence, noon, time.Minute, 10); !errors.Is(err, session.ErrFenced) || len(got) != 0 {
			t.Errorf("ClaimDue() with an old fence = %v, %v, want ErrFenced", got, err)
		}
		b.fence = f
		if got := b.claimDue(noon, time.Minute, 10); len(got) != 1 {
			t.Errorf("ClaimDue() by the new owner = %v, want a", got)
		}
	})

	t.Run("AHoldThatHoldsNothingIsRefused", func(t *testing.T) {
		b := start(t, open)
		for _, hold := range []time.Duration{0, -time.Second, time.Microsecond} {
			if _, err := b.ClaimDue(b.ctx, b.shard, b.fence, noon, hold, 10); err == nil {
				t.Errorf("ClaimDue(hold %v) = no error, want one", hold)
			}
			if _, err := b.ClaimOut(b.ctx, b.shard, b.fence, session.Urgent, noon, hold, 10); err == nil {
				t.Errorf("ClaimOut(hold %v) = no error, want one", hold)
			}
		}
	})
}
