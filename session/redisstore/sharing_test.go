package redisstore_test

import (
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"ledgehand/session"
	"ledgehand/session/redisstore"
	"ledgehand/session/storetest"
)

// eachKind runs a test on the server inside the process's tests, a real one, and a Cluster of three masters.
func eachKind(t *testing.T, test func(t *testing.T, st *redisstore.Store)) {
	ring, err := redisstore.ParseKeyring(redisstore.NewKey())
	if err != nil {
		t.Fatal(err)
	}
	open := func(t *testing.T, addrs ...string) *redisstore.Store {
		st, err := redisstore.Open(t.Context(), redisstore.Options{Addrs: addrs, Sealer: ring})
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = st.Close() })
		return st
	}
	t.Run("one server", func(t *testing.T) { test(t, open(t, storetest.StartServer(t).Addr)) })
	t.Run("cluster", func(t *testing.T) {
		var addrs []string
		for _, n := range storetest.StartCluster(t, 3) {
			addrs = append(addrs, n.Addr)
		}
		test(t, open(t, addrs...))
	})
}

var six = time.Date(2027, 3, 14, 6, 0, 0, 0, time.UTC)

func TestReplicasKnowOfEachOther(t *testing.T) {
	eachKind(t, func(t *testing.T, st *redisstore.Store) {
		here := func(owner string, at time.Time, want ...string) {
			t.Helper()
			if got, err := st.Present(t.Context(), owner, at, time.Minute); err != nil || !slices.Equal(got, want) {
				t.Errorf("Present(%s) = %v, %v, want %v", owner, got, err, want)
			}
		}
		here("b", six, "b")
		here("a", six.Add(30*time.Second), "a", "b")
		here("a", six.Add(60*time.Second), "a")
		here("b", six.Add(61*time.Second), "a", "b")
		if err := st.Leave(t.Context(), "a"); err != nil {
			t.Fatal(err)
		}
		here("b", six.Add(62*time.Second), "b")
	})
}

func TestASeatHasOne(t *testing.T) {
	eachKind(t, func(t *testing.T, st *redisstore.Store) {
		ctx := t.Context()
		if err := st.Sit(ctx, "poll", "a", six, time.Minute); err != nil {
			t.Fatal(err)
		}
		if err := st.Sit(ctx, "poll", "b", six.Add(59*time.Second), time.Minute); !errors.Is(err, session.ErrFenced) {
			t.Errorf("Sit beside another = %v, want ErrFenced", err)
		}
		if err := st.Sit(ctx, "other", "b", six, time.Minute); err != nil {
			t.Errorf("another seat = %v", err)
		}
		if err := st.Stand(ctx, "poll", "b"); err != nil {
			t.Fatal(err)
		}
		if err := st.Sit(ctx, "poll", "b", six.Add(59*time.Second), time.Minute); !errors.Is(err, session.ErrFenced) {
			t.Errorf("Sit after somebody else gave it up = %v, want ErrFenced", err)
		}
		if err := st.Stand(ctx, "poll", "a"); err != nil {
			t.Fatal(err)
		}
		if err := st.Sit(ctx, "poll", "b", six.Add(59*time.Second), time.Minute); err != nil {
			t.Errorf("Sit on a free seat = %v", err)
		}
		if err := st.Sit(ctx, "poll", "a", six.Add(3*time.Minute), time.Minute); err != nil {
			t.Errorf("Sit after the lease ran out = %v", err)
		}
	})
}

func TestTheBeatNeverGoesBack(t *testing.T) {
	eachKind(t, func(t *testing.T, st *redisstore.Store) {
		if at, err := st.LastBeat(t.Context()); err != nil || !at.IsZero() {
			t.Errorf("LastBeat of nobody = %v, %v", at, err)
		}
		for _, s := range []time.Duration{5, 3, 8, 7} {
			if err := st.Beat(t.Context(), six.Add(s*time.Second)); err != nil {
				t.Fatal(err)
			}
		}
		if at, err := st.LastBeat(t.Context()); err != nil || !at.Equal(six.Add(8*time.Second)) {
			t.Errorf("LastBeat = %v, %v, want the latest", at, err)
		}
	})
}

func TestHeadsShowWhatWaits(t *testing.T) {
	eachKind(t, func(t *testing.T, st *redisstore.Store) {
		ctx := t.Context()
		var all []session.Shard
		for s := range session.Shard(session.Shards) {
			all = append(all, s)
		}
		for i, h := range st.Heads(ctx, all) {
			if h != (session.Head{}) {
				t.Fatalf("head of empty shard %d = %+v", i, h)
			}
		}
		f, err := st.Lead(ctx, 9, "me", six, time.Hour)
		if err != nil {
			t.Fatal(err)
		}
		for i := range 2 {
			if _, err := st.Take(ctx, 41, session.Letter{ID: fmt.Sprint("u", i), Got: six.Add(time.Duration(i) * time.Second), Body: []byte("{}")}); err != nil {
				t.Fatal(err)
			}
		}
		at := func(m int) time.Time { return six.Add(time.Duration(m) * time.Minute) }
		if err := st.Commit(ctx, 9, f, session.Change{
			Cause: "c", Now: six, Due: []session.DueItem{{Item: "outing/x/1", At: at(2)}, {Item: "outing/x/2", At: at(1)}},
			Post: []session.Entry{
				{ID: "m1", Lane: session.Urgent, Chat: 5, At: at(3), Made: six}, {ID: "m2", Lane: session.Slow, Chat: 5, At: at(4), Made: six},
			},
		}); err != nil {
			t.Fatal(err)
		}
		heads := st.Heads(ctx, all)
		if got, want := heads[41], (session.Head{Letter: six}); got != want {
			t.Errorf("head of a shard with letters = %+v, want %+v", got, want)
		}
		if got, want := heads[9], (session.Head{Due: at(1), Urgent: at(3), Slow: at(4)}); got != want {
			t.Errorf("head of a shard with the rest = %+v, want %+v", got, want)
		}
		if h := st.Heads(ctx, []session.Shard{99, 9}); h[0].Err == nil || h[1].Err != nil || h[1].Due.IsZero() {
			t.Errorf("heads of a shard there is not, and of one: %+v", h)
		}
	})
}

// What came in through one shard may change a record of another that somebody else serves; nothing but that.
func TestAGuestCommitsAndDoesNothingElse(t *testing.T) {
	eachKind(t, func(t *testing.T, st *redisstore.Store) {
		ctx := t.Context()
		f, err := st.Lead(ctx, 9, "other", six, time.Hour)
		if err != nil {
			t.Fatal(err)
		}
		change := session.Change{Cause: "u1", Now: six, Writes: []session.Record{{Key: "crew/1", Body: []byte("{}")}}, Due: []session.DueItem{{Item: "outing/x/1", At: six}},
			Post: []session.Entry{{ID: "m1", Lane: session.Urgent, Chat: 5, At: six, Made: six}}}
		if err := st.Commit(ctx, 9, session.Guest, change); err != nil {
			t.Fatalf("Commit of a guest = %v", err)
		}
		if err := st.Commit(ctx, 9, session.Guest, change); !errors.Is(err, session.ErrDone) {
			t.Errorf("the same again = %v, want ErrDone", err)
		}
		change.Cause = "u2"
		if err := st.Commit(ctx, 9, session.Guest, change); !errors.Is(err, session.ErrConflict) {
			t.Errorf("on an old version = %v, want ErrConflict", err)
		}
		if _, err := st.ClaimDue(ctx, 9, session.Guest, six, time.Minute, 5); !errors.Is(err, session.ErrFenced) {
			t.Errorf("ClaimDue of a guest = %v, want ErrFenced", err)
		}
		if _, err := st.ClaimOut(ctx, 9, session.Guest, session.Urgent, six, time.Minute, 5); !errors.Is(err, session.ErrFenced) {
			t.Errorf("ClaimOut of a guest = %v, want ErrFenced", err)
		}
		if err := st.Discard(ctx, 9, session.Guest, "1-1"); !errors.Is(err, session.ErrFenced) {
			t.Errorf("Discard of a guest = %v, want ErrFenced", err)
		}
		out, err := st.ClaimOut(ctx, 9, f, session.Urgent, six, time.Minute, 5)
		if err != nil || len(out) != 1 {
			t.Fatalf("ClaimOut of the server = %v, %v", out, err)
		}
		if err := st.Settle(ctx, 9, session.Guest, out[0], session.Settlement{}); !errors.Is(err, session.ErrFenced) {
			t.Errorf("Settle of a guest = %v, want ErrFenced", err)
		}
	})
}
