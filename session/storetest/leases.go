package storetest

import (
	"errors"
	"fmt"
	"sync"
	"testing"
	"time"

	"ledgehand/session"
)

func runLeases(t *testing.T, open Open) {
	const s = session.Shard(3)

	t.Run("OneOwnerAtATime", func(t *testing.T) {
		_, l := open(t)
		ctx := t.Context()
		first, err := l.Lead(ctx, s, "a", noon, time.Minute)
		if err != nil || first <= 0 {
			t.Fatalf("Lead(a) = %d, %v, want a positive number", first, err)
		}
		if _, err := l.Lead(ctx, s, "b", noon.Add(time.Minute-time.Millisecond), time.Minute); !errors.Is(err, session.ErrFenced) {
			t.Errorf("Lead(b) while a holds = %v, want ErrFenced", err)
		}
		renewed, err := l.Lead(ctx, s, "a", noon.Add(30*time.Second), time.Minute)
		if err != nil || renewed != first {
			t.Errorf("Lead(a) again = %d, %v, want %d", renewed, err, first)
		}
		if _, err := l.Lead(ctx, s, "b", noon.Add(time.Minute), time.Minute); !errors.Is(err, session.ErrFenced) {
			t.Errorf("Lead(b) after a renewed = %v, want ErrFenced", err)
		}
		second, err := l.Lead(ctx, s, "b", noon.Add(90*time.Second), time.Minute)
		if err != nil || second <= first {
			t.Errorf("Lead(b) after a ran out = %d, %v, want more than %d", second, err, first)
		}
		if _, err := l.Lead(ctx, s, "a", noon.Add(91*time.Second), time.Minute); !errors.Is(err, session.ErrFenced) {
			t.Errorf("Lead(a) after b took over = %v, want ErrFenced", err)
		}
	})

	t.Run("ALateRenewalKeepsTheNumber", func(t *testing.T) {
		_, l := open(t)
		ctx := t.Context()
		first, _ := l.Lead(ctx, s, "a", noon, time.Minute)
		again, err := l.Lead(ctx, s, "a", noon.Add(time.Hour), time.Minute)
		if err != nil || again != first {
			t.Errorf("Lead(a) after nobody took over = %d, %v, want %d", again, err, first)
		}
	})

	t.Run("ResigningFreesAtOnce", func(t *testing.T) {
		_, l := open(t)
		ctx := t.Context()
		first, _ := l.Lead(ctx, s, "a", noon, time.Hour)
		if err := l.Resign(ctx, s, "b"); err != nil {
			t.Errorf("Resign(b) = %v, want no error", err)
		}
		if _, err := l.Lead(ctx, s, "b", noon, time.Hour); !errors.Is(err, session.ErrFenced) {
			t.Errorf("Lead(b) = %v, want ErrFenced: only the owner can resign", err)
		}
		for range 2 {
			if err := l.Resign(ctx, s, "a"); err != nil {
				t.Errorf("Resign(a) = %v, want no error", err)
			}
		}
		second, err := l.Lead(ctx, s, "b", noon, time.Hour)
		if err != nil || second <= first {
			t.Errorf("Lead(b) = %d, %v, want more than %d", second, err, first)
		}
		if err := l.Resign(ctx, s, "b"); err != nil {
			t.Error(err)
		}
		third, err := l.Lead(ctx, s, "b", noon, time.Hour)
		if err != nil || third <= second {
			t.Errorf("Lead(b) after resigning = %d, %v, want more than %d", third, err, second)
		}
	})

	t.Run("ShardsAreApart", func(t *testing.T) {
		_, l := open(t)
		for s := range session.Shard(session.Shards) {
			if _, err := l.Lead(t.Context(), s, fmt.Sprintf("owner%d", s), noon, time.Hour); err != nil {
				t.Fatalf("Lead(%d) = %v, want no error", s, err)
			}
		}
	})

	t.Run("ExactlyOneOfManyGetsIt", func(t *testing.T) {
		_, l := open(t)
		var mu sync.Mutex
		won := 0
		var wg sync.WaitGroup
		for i := range 24 {
			wg.Go(func() {
				_, err := l.Lead(t.Context(), s, fmt.Sprintf("r%d", i), noon, time.Minute)
				mu.Lock()
				defer mu.Unlock()
				if err == nil {
					won++
				} else if !errors.Is(err, session.ErrFenced) {
					t.Errorf("Lead() = %v, want success or ErrFenced", err)
				}
			})
		}
		wg.Wait()
		if won != 1 {
			t.Errorf("%d replicas got the shard, want 1", won)
		}
	})

	t.Run("BeforeAnyoneLedTheFenceIsZero", func(t *testing.T) {
		st, _ := open(t)
		c := session.Change{Cause: "c", Now: noon}
		if err := st.Commit(t.Context(), s, 1, c); !errors.Is(err, session.ErrFenced) {
			t.Errorf("Commit() with a fence nobody got = %v, want ErrFenced", err)
		}
		if err := st.Commit(t.Context(), s, 0, c); err != nil {
			t.Errorf("Commit() with fence 0 = %v, want no error", err)
		}
	})

	t.Run("RefusesNonsense", func(t *testing.T) {
		_, l := open(t)
		if _, err := l.Lead(t.Context(), s, "", noon, time.Minute); err == nil {
			t.Error("Lead() without owner = no error, want one")
		}
		if _, err := l.Lead(t.Context(), s, "a", noon, 0); err == nil {
			t.Error("Lead() for no time = no error, want one")
		}
		if _, err := l.Lead(t.Context(), session.Shards, "a", noon, time.Minute); err == nil {
			t.Error("Lead() of no shard = no error, want one")
		}
	})
}
