package storetest_test

import (
	"errors"
	"testing"
	"time"

	"ledgehand/session"
	"ledgehand/session/embedded"
	"ledgehand/session/redisstore"
	"ledgehand/session/storetest"
)

func store(tb testing.TB) *redisstore.Store {
	tb.Helper()
	addr, stop, err := embedded.Start()
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(stop)
	return storetest.OpenRedis(tb, addr, "")
}

// Switched on, the wrapper is the store.
func TestRefusingHonoursTheContract(t *testing.T) {
	storetest.Run(t, func(tb testing.TB) (session.Store, session.Leases) {
		st := store(tb)
		r := storetest.NewRefusing(st, st)
		return r, r
	})
}

func TestRefusingPlaysOutageAndLostReply(t *testing.T) {
	st := store(t)
	r := storetest.NewRefusing(st, st)
	ctx := t.Context()
	take := func(id string) error {
		_, err := r.Take(ctx, 1, session.Letter{ID: id, Got: time.Date(2027, 3, 14, 12, 0, 0, 0, time.UTC)})
		return err
	}
	kept := func() int {
		t.Helper()
		letters, err := st.Waiting(ctx, 1, "", 10)
		if err != nil {
			t.Fatal(err)
		}
		return len(letters)
	}

	r.Off()
	for range 2 {
		if err := take("u1"); !errors.Is(err, session.ErrUnavailable) {
			t.Errorf("Take() while off = %v, want ErrUnavailable", err)
		}
	}
	if _, err := r.Lead(ctx, 1, "me", time.Unix(1, 0), time.Minute); !errors.Is(err, session.ErrUnavailable) {
		t.Errorf("Lead() while off = %v, want ErrUnavailable", err)
	}
	if kept() != 0 {
		t.Error("a refused call had an effect")
	}

	r.DropReplies(1)
	if err := take("u1"); !errors.Is(err, session.ErrUnavailable) {
		t.Errorf("Take() with its reply dropped = %v, want ErrUnavailable", err)
	}
	if kept() != 1 {
		t.Error("a call whose reply was dropped had no effect")
	}
	if err := take("u2"); err != nil {
		t.Errorf("the next Take() = %v, want no error", err)
	}

	r.Off()
	r.On()
	if err := take("u3"); err != nil || kept() != 3 {
		t.Errorf("Take() when on again = %v with %d kept, want no error and 3", err, kept())
	}
	if got := r.Calls(); got != 6 {
		t.Errorf("Calls() = %d, want 6", got)
	}
}
