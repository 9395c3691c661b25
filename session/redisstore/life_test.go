package redisstore_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/alicebob/miniredis/v2"
	"github.com/redis/go-redis/v9"
	"go.uber.org/goleak"

	"ledgehand/session"
	"ledgehand/session/redisstore"
)

func TestCloseLeavesNothingRunning(t *testing.T) {
	m := miniredis.RunT(t)
	ignore := goleak.IgnoreCurrent()
	st, err := redisstore.Open(t.Context(), redisstore.Options{Addrs: []string{m.Addr()}, Sealer: ring(t, redisstore.NewKey())})
	if err != nil {
		t.Fatal(err)
	}
	f := lead(t, st)
	for range 3 {
		for _, call := range calls(st, f) {
			_ = call(t.Context())
		}
	}
	if err := st.Close(); err != nil {
		t.Fatal(err)
	}
	m.Close() // its goroutines for our connections
	goleak.VerifyNone(t, ignore)
}

func TestAFailedOpenLeavesNothingRunning(t *testing.T) {
	m := miniredis.RunT(t)
	addr := m.Addr()
	m.Close()
	ignore := goleak.IgnoreCurrent()
	if st, err := redisstore.Open(t.Context(), redisstore.Options{Addrs: []string{addr}, Sealer: ring(t, redisstore.NewKey())}); err == nil {
		t.Errorf("Open() = %v, want an error", st)
	}
	goleak.VerifyNone(t, ignore)
}

// A night of one-minute sweeps passes in a bubble: the server runs outside, the client inside.
func TestANightInABubble(t *testing.T) {
	m := miniredis.RunT(t)
	r := ring(t, redisstore.NewKey())
	synctest.Test(t, func(t *testing.T) {
		st, err := redisstore.Open(t.Context(), redisstore.Options{Addrs: []string{m.Addr()}, Sealer: r})
		if err != nil {
			t.Fatal(err)
		}
		defer st.Close()
		evening := time.Now()
		f, err := st.Lead(t.Context(), shard, "me", evening, time.Minute)
		if err != nil {
			t.Fatal(err)
		}
		if err := st.Commit(t.Context(), shard, f, session.Change{Cause: "u1", Now: evening,
			Due: []session.DueItem{{Item: "outing/a", At: evening.Add(3 * time.Hour)}}}); err != nil {
			t.Fatal(err)
		}
		var fired []time.Duration
		for range 10 * 60 {
			time.Sleep(time.Minute)
			items, err := st.ClaimDue(t.Context(), shard, f, time.Now(), time.Hour, 10)
			if err != nil {
				t.Fatal(err)
			}
			for range items {
				fired = append(fired, time.Since(evening))
			}
		}
		var want []time.Duration
		for h := 3; h <= 10; h++ {
			want = append(want, time.Duration(h)*time.Hour)
		}
		if !slices.Equal(fired, want) {
			t.Errorf("claimed after %v, want %v", fired, want)
		}
	})
}

// The memory of ids and causes outlives 48 hours by Redis' clock, and ends some time.
func TestTimesToLiveSweepOnlyRubbish(t *testing.T) {
	m := miniredis.RunT(t)
	st := open(t, redisstore.Options{Addrs: []string{m.Addr()}, Prefix: "p"})
	f := lead(t, st)
	ctx := t.Context()
	change := departure("u1", 0)
	change.Notes = []session.Letter{{ID: "n1", Got: noon}}
	if err := st.Commit(ctx, shard, f, change); err != nil {
		t.Fatal(err)
	}
	if _, err := st.Take(ctx, shard, session.Letter{ID: "t1", Got: noon}); err != nil {
		t.Fatal(err)
	}
	for _, key := range m.Keys() {
		remembers := strings.Contains(key, ":seen:") || strings.Contains(key, ":done:")
		if got := m.TTL(key); remembers != (got >= 48*time.Hour) || !remembers && got != 0 {
			t.Errorf("time to live of %q = %v, want at least 48 hours for seen and done, none for all else", key, got)
		}
	}
	m.FastForward(48 * time.Hour)
	if fresh, err := st.Take(ctx, shard, session.Letter{ID: "n1", Got: noon.Add(time.Hour)}); err != nil || fresh {
		t.Errorf("Take() = %v, %v, want repeat", fresh, err)
	}
	if done, err := st.Done(ctx, shard, "u1"); err != nil || !done {
		t.Errorf("Done() after 48 hours = %v, %v, want true", done, err)
	}
	m.FastForward(1000 * time.Hour)
	if items, err := st.AllDue(ctx, shard); err != nil || len(items) != 1 {
		t.Errorf("AllDue() after weeks = %v, %v, want the item", items, err)
	}
	for _, key := range m.Keys() {
		if strings.Contains(key, ":seen:") || strings.Contains(key, ":done:") {
			t.Errorf("key %q is still there after weeks", key)
		}
	}
}

// When everything has run its course only what the table in keys.go says stays.
func TestNothingPilesUp(t *testing.T) {
	m := miniredis.RunT(t)
	st := open(t, redisstore.Options{Addrs: []string{m.Addr()}, Prefix: "p"})
	ctx := t.Context()
	f := lead(t, st)
	for i := range 20 {
		id := fmt.Sprintf("u%d", i)
		if _, err := st.Take(ctx, shard, session.Letter{ID: id, Got: noon}); err != nil {
			t.Fatal(err)
		}
		letters, err := st.Waiting(ctx, shard, "", 1)
		if err != nil {
			t.Fatal(err)
		}
		change := departure(id, 0)
		change.Letter = letters[0].Seq
		change.Post = append(change.Post, session.Entry{ID: "slow", Lane: session.Slow})
		if err := st.Commit(ctx, shard, f, change); err != nil {
			t.Fatal(err)
		}
		if _, err := st.ClaimDue(ctx, shard, f, noon.Add(time.Hour), time.Minute, 10); err != nil {
			t.Fatal(err)
		}
		claimed, err := st.ClaimOut(ctx, shard, f, session.Urgent, noon, time.Minute, 10)
		if err != nil || len(claimed) != 1 {
			t.Fatal(len(claimed), err)
		}
		if err := st.Settle(ctx, shard, f, claimed[0], session.Settlement{Panel: 4}); err != nil {
			t.Fatal(err)
		}
		if err := st.Settle(ctx, shard, f, claimed[0], session.Settlement{Panel: -1}); err != nil {
			t.Fatal(err)
		}
		if err := st.Commit(ctx, shard, f, session.Change{Cause: id + "/end", Now: noon, Cancel: []string{"slow"},
			Due: []session.DueItem{{Item: "outing/k3f9"}}, Writes: []session.Record{{Key: "outing/k3f9", Version: 1}}}); err != nil {
			t.Fatal(err)
		}
	}
	m.FastForward(100 * time.Hour)
	// An empty stream remembers its last place, so it stays.
	if got, want := m.Keys(), []string{"p:{07}:in", "p:{07}:lead", "p:{07}:out:n"}; !slices.Equal(got, want) {
		t.Errorf("keys left = %q, want %q", got, want)
	}
}

func TestDeadLettersAreCapped(t *testing.T) {
	for name, addr := range servers(t) {
		t.Run(name, func(t *testing.T) {
			st := open(t, redisstore.Options{Addrs: []string{addr}})
			ctx := t.Context()
			f := lead(t, st)
			const n = 1010
			for i := range n {
				if _, err := st.Take(ctx, shard, session.Letter{ID: fmt.Sprintf("u%d", i), Got: noon}); err != nil {
					t.Fatal(err)
				}
			}
			letters, err := st.Waiting(ctx, shard, "", n)
			if err != nil {
				t.Fatal(err)
			}
			for _, l := range letters {
				if err := st.Bury(ctx, shard, f, l.Seq, "x"); err != nil {
					t.Fatal(err)
				}
			}
			dead, err := st.Buried(ctx, shard, n)
			if err != nil || len(dead) != 1000 || dead[0].ID != "u1009" || dead[999].ID != "u10" {
				t.Errorf("Buried() = %d letters, %v, want the newest 1000", len(dead), err)
			}
		})
	}
}

// Two replicas with clients of their own serve one shard in turn.
func TestTwoReplicasNeverBothWrite(t *testing.T) {
	for name, addr := range servers(t) {
		t.Run(name, func(t *testing.T) {
			o := redisstore.Options{Addrs: []string{addr}, Prefix: "two", Sealer: ring(t, redisstore.NewKey())}
			a, b := open(t, o), open(t, o)
			ctx := t.Context()
			fa, err := a.Lead(ctx, shard, "a", noon, time.Minute)
			if err != nil {
				t.Fatal(err)
			}
			if err := a.Commit(ctx, shard, fa, departure("u1", 0)); err != nil {
				t.Fatal(err)
			}
			fb, err := b.Lead(ctx, shard, "b", noon.Add(time.Minute), time.Minute)
			if err != nil {
				t.Fatal(err)
			}
			if err := a.Commit(ctx, shard, fa, departure("u2", 1)); err == nil {
				t.Error("Commit() by the old replica = no error, want ErrFenced")
			}
			if err := b.Commit(ctx, shard, fb, departure("u2", 1)); err != nil {
				t.Errorf("Commit() by the new replica = %v, want no error", err)
			}
		})
	}
}

// A server that started anew knows no scripts: the changes of a batch are applied all the same, in their order.
func TestManyChangesReachAServerThatKnowsNoScripts(t *testing.T) {
	for name, addr := range servers(t) {
		t.Run(name, func(t *testing.T) {
			st := open(t, redisstore.Options{Addrs: []string{addr}})
			f := lead(t, st)
			c := redis.NewClient(&redis.Options{Addr: addr})
			defer c.Close()
			if err := c.ScriptFlush(t.Context()).Err(); err != nil {
				t.Fatal(err)
			}
			for i, err := range st.CommitAll(t.Context(), shard, f, []session.Change{departure("u1", 0), departure("u2", 1), departure("u3", 2)}) {
				if err != nil {
					t.Errorf("change %d: %v", i, err)
				}
			}
			if got, err := st.Load(t.Context(), shard, "outing/k3f9"); err != nil || got[0].Version != 3 {
				t.Errorf("record = %+v, %v, want version 3", got, err)
			}
		})
	}
}
