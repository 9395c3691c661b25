package redisstore_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"

	"ledgehand/session"
	"ledgehand/session/redisstore"
)

// fill puts a secret into every place that a body can go to.
func fill(t *testing.T, st *redisstore.Store) session.Fence {
	t.Helper()
	const secret = "51.0000N SECRET"
	ctx := t.Context()
	f := lead(t, st)
	for _, id := range []string{"u1", "u2", "u3", "u4"} {
		if _, err := st.Take(ctx, shard, session.Letter{ID: id, Got: noon, Body: []byte(secret)}); err != nil {
			t.Fatal(err)
		}
	}
	letters, err := st.Waiting(ctx, shard, "", 2)
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range letters {
		if err := st.Bury(ctx, shard, f, l.Seq, "cannot read "+secret); err != nil {
			t.Fatal(err)
		}
	}
	c := session.Change{Cause: "u9", Now: noon, Notes: []session.Letter{{ID: "n1", Body: []byte(secret)}}}
	for _, id := range []string{"a", "b"} {
		c.Writes = append(c.Writes, session.Record{Key: id, Body: []byte(secret)})
		c.Post = append(c.Post, session.Entry{ID: id, Lane: session.Urgent, Chat: -100123456789, Body: []byte(secret), About: "SECRET"})
	}
	if err := st.Commit(ctx, shard, f, c); err != nil {
		t.Fatal(err)
	}
	claimed, err := st.ClaimOut(ctx, shard, f, session.Urgent, noon, time.Minute, 1)
	if err != nil {
		t.Fatal(err)
	}
	if err := st.Settle(ctx, shard, f, claimed[0], session.Settlement{Retry: noon.Add(time.Hour), Note: &session.Letter{ID: "n2", Got: noon, Body: []byte(secret)}}); err != nil {
		t.Fatal(err)
	}
	return f
}

func TestNothingReadableReachesRedis(t *testing.T) {
	m := miniredis.RunT(t)
	fill(t, open(t, redisstore.Options{Addrs: []string{m.Addr()}, Prefix: "p"}))
	dump := m.Dump()
	for _, word := range []string{"SECRET", "51.0", "100123456789"} {
		if strings.Contains(dump, word) {
			t.Errorf("Redis holds %q in the clear", word)
		}
	}
	for _, word := range []string{"p:{07}:in", "p:{07}:dead", "p:{07}:rec:a", "p:{07}:out:body"} {
		if !strings.Contains(dump, word) {
			t.Errorf("the dump does not show %q: the test does not see what it looks for", word)
		}
	}
}

func TestABodyThatWasMovedDoesNotOpen(t *testing.T) {
	t.Run("Record", func(t *testing.T) {
		m := miniredis.RunT(t)
		st := open(t, redisstore.Options{Addrs: []string{m.Addr()}, Prefix: "p"})
		fill(t, st)
		m.HSet("p:{07}:rec:a", "b", m.HGet("p:{07}:rec:b", "b"))
		if r, err := st.Load(t.Context(), shard, "a"); !errors.Is(err, redisstore.ErrBroken) || !strings.Contains(err.Error(), `"a"`) {
			t.Errorf("Load() = %v, %v, want ErrBroken that names the record", r, err)
		}
		if _, err := st.Load(t.Context(), shard, "b"); err != nil {
			t.Errorf("Load() of the other = %v, want no error", err)
		}
		// Another shard's record of the same name is another place.
		m.HSet("p:{08}:rec:b", "v", "1", "b", m.HGet("p:{07}:rec:b", "b"))
		if _, err := st.Load(t.Context(), shard+1, "b"); !errors.Is(err, redisstore.ErrBroken) {
			t.Errorf("Load() from another shard = %v, want ErrBroken", err)
		}
	})
	t.Run("EntryButItsNeighbourGoesOut", func(t *testing.T) {
		m := miniredis.RunT(t)
		st := open(t, redisstore.Options{Addrs: []string{m.Addr()}, Prefix: "p"})
		f := fill(t, st)
		m.HSet("p:{07}:out:body", "a", m.HGet("p:{07}:out:body", "b"))
		got, err := st.ClaimOut(t.Context(), shard, f, session.Urgent, noon.Add(2*time.Hour), time.Minute, 10)
		if !errors.Is(err, redisstore.ErrBroken) || len(got) != 2 {
			t.Fatalf("ClaimOut() = %d entries, %v, want both and ErrBroken", len(got), err)
		}
		for _, c := range got {
			if (c.ID == "a") != (c.Body == nil) || c.Hold == "" {
				t.Errorf("ClaimOut() = %+v, want a without a body and b with it", c)
			}
		}
		for _, c := range got { // the unreadable one can still be ended
			if err := st.Settle(t.Context(), shard, f, c, session.Settlement{}); err != nil {
				t.Errorf("Settle(%q) = %v, want no error", c.ID, err)
			}
		}
		if n, _, err := st.Pending(t.Context(), shard); err != nil || n != 0 {
			t.Errorf("Pending() = %d, %v, want none", n, err)
		}
	})
}

func TestALetterThatDoesNotOpenHidesNoOther(t *testing.T) {
	m := miniredis.RunT(t)
	old, fresh := redisstore.NewKey(), redisstore.NewKey()
	o := redisstore.Options{Addrs: []string{m.Addr()}, Prefix: "p", Sealer: ring(t, old)}
	before := open(t, o)
	ctx := t.Context()
	take := func(st *redisstore.Store, id string) {
		t.Helper()
		if _, err := st.Take(ctx, shard, session.Letter{ID: id, Got: noon, Body: []byte(id)}); err != nil {
			t.Fatal(err)
		}
	}
	take(before, "u1")
	o.Sealer = ring(t, fresh)
	after := open(t, o)
	take(after, "u2")

	letters, err := after.Waiting(ctx, shard, "", 10)
	var unknown *redisstore.UnknownKeyError
	if !errors.As(err, &unknown) || !strings.Contains(err.Error(), ring(t, old).IDs()[0]) || !strings.Contains(err.Error(), `"u1"`) {
		t.Errorf("Waiting() = %v, want an error that names key and letter", err)
	}
	if len(letters) != 2 || letters[0].Body != nil || letters[0].Seq == "" || string(letters[1].Body) != "u2" {
		t.Fatalf("Waiting() = %+v, want u1 without a body, and u2", letters)
	}
	f := lead(t, after)
	if err := after.Bury(ctx, shard, f, letters[0].Seq, "no key"); err != nil {
		t.Fatal(err)
	}
	if dead, err := after.Buried(ctx, shard, 10); err == nil || len(dead) != 1 || dead[0].Why != "no key" || dead[0].ID != "u1" {
		t.Errorf("Buried() = %+v, %v, want u1 and its reason", dead, err)
	}

	// The operator finds the old key: with it in the ring everything opens, the buried one too.
	o.Sealer = ring(t, fresh, old)
	both := open(t, o)
	if dead, err := both.Buried(ctx, shard, 10); err != nil || len(dead) != 1 || string(dead[0].Body) != "u1" {
		t.Errorf("Buried() with both keys = %+v, %v, want u1 readable", dead, err)
	}
}
