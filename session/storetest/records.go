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

func runRecords(t *testing.T, open Open) {
	t.Run("MissingHasVersionZero", func(t *testing.T) {
		b := start(t, open)
		b.commit(session.Change{Writes: []session.Record{{Key: "crew/2", Body: []byte("two")}}})
		got := b.load("crew/1", "crew/2", "crew/1")
		if got[0].Key != "crew/1" || got[0].Version != 0 || got[0].Body != nil || got[2].Version != 0 {
			t.Errorf("Load() of a missing record = %+v, want version 0 and no body", got[0])
		}
		if got[1].Key != "crew/2" || got[1].Version != 1 || string(got[1].Body) != "two" {
			t.Errorf("Load() = %+v, want version 1 of crew/2", got[1])
		}
		if none := b.load(); len(none) != 0 {
			t.Errorf("Load() of nothing = %v, want nothing", none)
		}
	})

	t.Run("EachWriteRaisesTheVersionByOne", func(t *testing.T) {
		b := start(t, open)
		for v := range int64(5) {
			b.commit(session.Change{Writes: []session.Record{{Key: "outing/a", Version: v, Body: fmt.Appendf(nil, "v%d", v+1)}}})
			got := b.load("outing/a")[0]
			if got.Version != v+1 || string(got.Body) != fmt.Sprintf("v%d", v+1) {
				t.Fatalf("Load() = %+v, want version %d", got, v+1)
			}
		}
	})

	t.Run("NilBodyDeletesEmptyBodyDoesNot", func(t *testing.T) {
		b := start(t, open)
		b.commit(session.Change{Writes: []session.Record{{Key: "a", Body: []byte{}}, {Key: "b", Body: []byte("x")}}})
		if got := b.load("a")[0]; got.Version != 1 || got.Body == nil || len(got.Body) != 0 {
			t.Errorf("Load() of an empty body = %+v, want version 1, empty", got)
		}
		b.commit(session.Change{Writes: []session.Record{{Key: "b", Version: 1}, {Key: "never there"}}})
		if got := b.load("b")[0]; got.Version != 0 || got.Body != nil {
			t.Errorf("Load() of a deleted record = %+v, want version 0", got)
		}
		keys, err := b.Keys(b.ctx, b.shard, "")
		if err != nil || !slices.Equal(keys, []string{"a"}) {
			t.Errorf("Keys() = %q, %v, want a", keys, err)
		}
	})

	t.Run("KeysFindsByPrefixOnly", func(t *testing.T) {
		b := start(t, open)
		// Prefixes that are patterns elsewhere, the byte above the prefix's last, other languages.
		names := []string{"outing/a", "outing/b", "outing0", "outing", "trip/*", "trip/[x]", "trip/x", "тропа/1", "trip/\x00", "["}
		for _, n := range names {
			b.commit(session.Change{Writes: []session.Record{{Key: n, Body: []byte("x")}}})
		}
		b.other(8).commit(session.Change{Cause: "elsewhere", Writes: []session.Record{{Key: "outing/c", Body: []byte("x")}}})
		for prefix, want := range map[string][]string{
			"outing/": {"outing/a", "outing/b"}, "trip/*": {"trip/*"}, "trip/[": {"trip/[x]"}, "т": {"тропа/1"},
			"trip/": {"trip/\x00", "trip/*", "trip/[x]", "trip/x"}, "[": {"["}, "zz": nil, "": names,
		} {
			got, err := b.Keys(b.ctx, b.shard, prefix)
			if err != nil {
				t.Fatal(err)
			}
			slices.Sort(got)
			want = slices.Sorted(slices.Values(want))
			if !slices.Equal(got, want) {
				t.Errorf("Keys(%q) = %q, want %q", prefix, got, want)
			}
		}
	})

	t.Run("KeysFindsThousands", func(t *testing.T) {
		b := start(t, open)
		const n = 2500
		var c session.Change
		for i := range n {
			c.Writes = append(c.Writes, session.Record{Key: fmt.Sprintf("outing/%04d", i), Body: []byte("x")})
		}
		b.commit(c)
		got, err := b.Keys(b.ctx, b.shard, "outing/")
		slices.Sort(got)
		if err != nil || len(slices.Compact(got)) != n {
			t.Errorf("Keys() = %d keys, %v, want %d", len(got), err, n)
		}
	})

	t.Run("KeepsHostileBodies", func(t *testing.T) {
		b := start(t, open)
		for name, body := range hostile() {
			b.commit(session.Change{Writes: []session.Record{{Key: name, Body: body}}})
			if got := b.load(name)[0]; !bytes.Equal(got.Body, body) {
				t.Errorf("body %q came back as %d bytes, want %d", name, len(got.Body), len(body))
			}
		}
	})
}

func runCommit(t *testing.T, open Open) {
	// full is a change that touches everything there is.
	full := func(b *bench) session.Change {
		b.take("u77", noon, []byte("raw"))
		return session.Change{
			Cause: "u77", Now: noon, Letter: b.waiting()[0].Seq,
			Writes: []session.Record{{Key: "outing/a", Body: []byte("state")}},
			Due:    []session.DueItem{{Item: "outing/a", At: noon.Add(time.Hour)}},
			Post:   []session.Entry{entry("m1", session.Urgent, noon)},
			Notes:  []session.Letter{{ID: "note/1", Got: noon, Body: []byte("n")}},
		}
	}
	// untouched says whether nothing of full happened.
	untouched := func(t *testing.T, b *bench) {
		t.Helper()
		if got := ids(b.waiting()); !slices.Equal(got, []string{"u77"}) {
			t.Errorf("waiting = %q, want u77 only", got)
		}
		if got := b.load("outing/a")[0]; got.Version > 1 || string(got.Body) == "state" {
			t.Errorf("record = %+v, want it as it was", got)
		}
		if all := b.allDue(); len(all) != 0 {
			t.Errorf("due index = %v, want nothing", all)
		}
		if n, _ := b.pending(); n != 0 {
			t.Errorf("outbox holds %d entries, want none", n)
		}
	}

	t.Run("AppliesEverything", func(t *testing.T) {
		b := start(t, open)
		b.commit(full(b))
		if got := ids(b.waiting()); !slices.Equal(got, []string{"note/1"}) {
			t.Errorf("waiting = %q, want the note and no longer the letter", got)
		}
		if got := b.waiting()[0]; string(got.Body) != "n" || !got.Got.Equal(noon) {
			t.Errorf("note = %+v, want it as given", got)
		}
		if got := b.load("outing/a")[0]; string(got.Body) != "state" {
			t.Errorf("record = %+v, want it stored", got)
		}
		if at := b.allDue()["outing/a"]; !at.Equal(noon.Add(time.Hour)) {
			t.Errorf("due at %v, want %v", at, noon.Add(time.Hour))
		}
		if n, oldest := b.pending(); n != 1 || !oldest.Equal(noon) {
			t.Errorf("Pending() = %d, %v, want 1 of %v", n, oldest, noon)
		}
		done, err := b.Done(b.ctx, b.shard, "u77")
		if err != nil || !done {
			t.Errorf("Done() = %v, %v, want true", done, err)
		}
		if done, err := b.Done(b.ctx, b.shard, "u78"); err != nil || done {
			t.Errorf("Done() of another cause = %v, %v, want false", done, err)
		}
	})

	t.Run("ASecondTimeChangesNothing", func(t *testing.T) {
		b := start(t, open)
		c := full(b)
		b.commit(c)
		c.Writes[0].Version = 1
		c.Due[0].At = noon.Add(5 * time.Hour)
		c.Post = append(c.Post, entry("m2", session.Urgent, noon))
		c.Notes[0].ID = "note/2"
		if err := b.tryCommit(c); !errors.Is(err, session.ErrDone) {
			t.Fatalf("second Commit() = %v, want ErrDone", err)
		}
		if n, _ := b.pending(); n != 1 || b.load("outing/a")[0].Version != 1 || len(b.waiting()) != 1 ||
			!b.allDue()["outing/a"].Equal(noon.Add(time.Hour)) {
			t.Error("a second commit of the same cause had an effect")
		}
	})

	t.Run("TheSameCauseInAnotherShardIsAnother", func(t *testing.T) {
		b := start(t, open)
		b.commit(session.Change{Cause: "u1"})
		o := b.other(8)
		o.commit(session.Change{Cause: "u1"})
	})

	t.Run("ConflictChangesNothing", func(t *testing.T) {
		for name, version := range map[string]int64{"Older": 0, "Newer": 2, "FarBeyond": 1 << 60} {
			t.Run(name, func(t *testing.T) {
				b := start(t, open)
				b.commit(session.Change{Writes: []session.Record{{Key: "outing/a", Body: []byte("first")}}})
				c := full(b)
				c.Writes = []session.Record{{Key: "outing/new", Body: []byte("new")}, {Key: "outing/a", Version: version, Body: []byte("state")}}
				if err := b.tryCommit(c); !errors.Is(err, session.ErrConflict) {
					t.Fatalf("Commit() = %v, want ErrConflict", err)
				}
				untouched(t, b)
				if b.load("outing/new")[0].Version != 0 {
					t.Error("the record that did not conflict was written")
				}
				c.Writes[1].Version = 1
				b.commit(c) // the cause is not spent
			})
		}
	})

	t.Run("DeletingConflictsToo", func(t *testing.T) {
		b := start(t, open)
		b.commit(session.Change{Writes: []session.Record{{Key: "a", Body: []byte("x")}}})
		if err := b.tryCommit(session.Change{Writes: []session.Record{{Key: "a", Version: 3}}}); !errors.Is(err, session.ErrConflict) {
			t.Errorf("Commit() deleting an older version = %v, want ErrConflict", err)
		}
		if err := b.tryCommit(session.Change{Writes: []session.Record{{Key: "a"}}}); !errors.Is(err, session.ErrConflict) {
			t.Errorf("Commit() deleting what it thinks is missing = %v, want ErrConflict", err)
		}
	})

	t.Run("AnOldFenceChangesNothing", func(t *testing.T) {
		b := start(t, open)
		c := full(b)
		f := overtake(b)
		if err := b.tryCommit(c); !errors.Is(err, session.ErrFenced) {
			t.Fatalf("Commit() with an old fence = %v, want ErrFenced", err)
		}
		untouched(t, b)
		if err := b.Commit(b.ctx, b.shard, f+1, c); !errors.Is(err, session.ErrFenced) {
			t.Errorf("Commit() with a fence nobody got = %v, want ErrFenced", err)
		}
		b.fence = f
		b.commit(c)
	})

	t.Run("ExactlyOneOfManyWins", func(t *testing.T) {
		b := start(t, open)
		const n = 24
		var mu sync.Mutex
		won, lost := 0, 0
		var wg sync.WaitGroup
		for i := range n {
			wg.Go(func() {
				err := b.Commit(b.ctx, b.shard, b.fence, session.Change{
					Cause: fmt.Sprintf("race%d", i), Now: noon,
					Writes: []session.Record{{Key: "outing/a", Body: fmt.Appendf(nil, "%d", i)}},
					Post:   []session.Entry{entry(fmt.Sprintf("m%d", i), session.Slow, noon)},
				})
				mu.Lock()
				defer mu.Unlock()
				switch {
				case err == nil:
					won++
				case errors.Is(err, session.ErrConflict):
					lost++
				default:
					t.Errorf("Commit() = %v, want success or ErrConflict", err)
				}
			})
		}
		wg.Wait()
		if pending, _ := b.pending(); won != 1 || lost != n-1 || pending != 1 {
			t.Errorf("%d racing commits: %d won, %d lost, %d entries; want 1, %d, 1", n, won, lost, pending, n-1)
		}
	})

	t.Run("OneCauseRacingItselfHasOneEffect", func(t *testing.T) {
		b := start(t, open)
		const n = 24
		var mu sync.Mutex
		ok := 0
		var wg sync.WaitGroup
		for range n {
			wg.Go(func() {
				err := b.Commit(b.ctx, b.shard, b.fence, session.Change{Cause: "u1", Now: noon,
					Notes: []session.Letter{{ID: "n", Got: noon}}, Post: []session.Entry{entry("m", session.Slow, noon)}})
				mu.Lock()
				defer mu.Unlock()
				if err == nil {
					ok++
				} else if !errors.Is(err, session.ErrDone) {
					t.Errorf("Commit() = %v, want success or ErrDone", err)
				}
			})
		}
		wg.Wait()
		if ok != 1 || len(b.waiting()) != 1 {
			t.Errorf("%d commits succeeded, %d notes, want 1 and 1", ok, len(b.waiting()))
		}
	})

	t.Run("NotesAreDedupedLikeLetters", func(t *testing.T) {
		b := start(t, open)
		b.take("u1", noon, []byte("taken"))
		note := func(id string, got time.Time) session.Letter {
			return session.Letter{ID: id, Got: got, Body: []byte("note")}
		}
		b.commit(session.Change{Notes: []session.Letter{note("u1", noon), note("n1", noon), note("n1", noon), note("n2", noon)}})
		b.commit(session.Change{Notes: []session.Letter{note("n1", noon.Add(47*time.Hour))}})
		if got := ids(b.waiting()); !slices.Equal(got, []string{"u1", "n1", "n2"}) {
			t.Errorf("waiting = %q, want u1 n1 n2", got)
		}
		if b.take("n1", noon, nil) {
			t.Error("Take() of a note's id = fresh, want repeat")
		}
		b.commit(session.Change{Notes: []session.Letter{note("n1", noon.Add(48*time.Hour)), {ID: "n3"}}})
		letters := b.waiting()
		if got := ids(letters); !slices.Equal(got, []string{"u1", "n1", "n2", "n1", "n3"}) {
			t.Errorf("after 48 hours waiting = %q, want n1 again", got)
		} else if !letters[4].Got.Equal(noon) {
			t.Errorf("note without a time was got %v, want the change's now", letters[4].Got)
		}
	})

	t.Run("ALetterThatIsGoneIsFine", func(t *testing.T) {
		b := start(t, open)
		b.commit(session.Change{Letter: "1-1", Writes: []session.Record{{Key: "a", Body: []byte("x")}}})
	})

	t.Run("WhatMustBeTheSameIsChecked", func(t *testing.T) {
		b := start(t, open)
		b.commit(session.Change{Writes: []session.Record{{Key: "a", Body: []byte("1")}, {Key: "b", Body: []byte("1")}}})
		b.commit(session.Change{Same: []session.Record{{Key: "a", Version: 1}, {Key: "none"}}, Writes: []session.Record{{Key: "b", Version: 1, Body: []byte("2")}}})
		if r := b.load("a", "b", "none"); r[0].Version != 1 || r[1].Version != 2 || r[2].Version != 0 {
			t.Errorf("Load() = %+v, want a as it was, b written, and no more", r)
		}
		for _, same := range [][]session.Record{{{Key: "a", Version: 2}}, {{Key: "a"}}, {{Key: "a", Version: 1}, {Key: "none", Version: 1}}} {
			c := session.Change{Cause: "late", Same: same, Writes: []session.Record{{Key: "b", Version: 2, Body: []byte("3")}},
				Due: []session.DueItem{{Item: "a", At: noon}}, Notes: []session.Letter{{ID: "n", Got: noon}}}
			if err := b.tryCommit(c); !errors.Is(err, session.ErrConflict) {
				t.Errorf("Commit(same %+v) = %v, want ErrConflict", same, err)
			}
		}
		if r := b.load("b"); r[0].Version != 2 || len(b.allDue()) != 0 || len(b.waiting()) != 0 {
			t.Errorf("a refused change left %+v, due %v", r, b.allDue())
		}
		b.commit(session.Change{Cause: "late", Same: []session.Record{{Key: "a", Version: 1}}, Notes: []session.Letter{{ID: "n", Got: noon}}})
		if got := ids(b.waiting()); len(got) != 1 {
			t.Errorf("Waiting() = %q, want the note: keys behind those of records are found", got)
		}
	})

	t.Run("RefusesWhatCannotBeStored", func(t *testing.T) {
		b := start(t, open)
		ok := session.Change{Cause: "c", Now: noon, Writes: []session.Record{{Key: "a", Body: []byte("x")}}}
		for name, spoil := range map[string]func(c *session.Change){
			"no cause":         func(c *session.Change) { c.Cause = "" },
			"no now":           func(c *session.Change) { c.Now = time.Time{} },
			"letter":           func(c *session.Change) { c.Letter = "not a place" },
			"record twice":     func(c *session.Change) { c.Writes = append(c.Writes, c.Writes[0]) },
			"negative version": func(c *session.Change) { c.Writes[0].Version = -1 },
			"no record key":    func(c *session.Change) { c.Writes[0].Key = "" },
			"no item":          func(c *session.Change) { c.Due = []session.DueItem{{At: noon}} },
			"far future":       func(c *session.Change) { c.Due = []session.DueItem{{Item: "a", At: noon.AddDate(400_000, 0, 0)}} },
			"no lane":          func(c *session.Change) { c.Post = []session.Entry{entry("m", "express", noon)} },
			"no entry id":      func(c *session.Change) { c.Post = []session.Entry{entry("", session.Slow, noon)} },
			"no note id":       func(c *session.Change) { c.Notes = []session.Letter{{Got: noon}} },
			"no cancel id":     func(c *session.Change) { c.Cancel = []string{""} },
		} {
			c := ok
			c.Writes = slices.Clone(ok.Writes)
			spoil(&c)
			if err := b.Commit(b.ctx, b.shard, b.fence, c); err == nil {
				t.Errorf("Commit() with %s = no error, want one", name)
			}
		}
		if got := b.load("a")[0]; got.Version != 0 {
			t.Errorf("a refused change wrote %+v", got)
		}
		b.commit(ok)
	})
}

func runMany(t *testing.T, open Open) {
	write := func(cause, key string, version int64) session.Change {
		return session.Change{Cause: cause, Now: noon, Writes: []session.Record{{Key: key, Version: version, Body: []byte(cause)}},
			Post: []session.Entry{entry("m/"+cause, session.Urgent, noon)}}
	}

	t.Run("CommitsEachByItself", func(t *testing.T) {
		b := start(t, open)
		b.commit(write("before", "c", 0))
		b.commit(session.Change{Cause: "done before"})
		errs := b.CommitAll(b.ctx, b.shard, b.fence, []session.Change{
			write("a1", "a", 0), write("done before", "b", 0), write("stale", "c", 0), {Cause: "", Now: noon}, write("a2", "a", 1), write("a1", "b", 0),
		})
		for i, want := range []error{nil, session.ErrDone, session.ErrConflict, nil, nil, session.ErrDone} {
			if len(errs) != 6 || i != 3 && !errors.Is(errs[i], want) || i == 3 && errs[i] == nil {
				t.Fatalf("CommitAll() = %q, want fine, done, conflict, an error, fine, done", errs)
			}
		}
		got := b.load("a", "b", "c")
		if string(got[0].Body) != "a2" || got[0].Version != 2 || got[1].Version != 0 || string(got[2].Body) != "before" {
			t.Errorf("records = %+v, want a as written last, no b, c as it was", got)
		}
		if got, want := entryIDs(b.claimOut(session.Urgent, noon, time.Minute, 10)), []string{"m/before", "m/a1", "m/a2"}; !slices.Equal(got, want) {
			t.Errorf("messages = %q, want %q: in the order of the changes", got, want)
		}
	})

	t.Run("CommitsHundredsAndNone", func(t *testing.T) {
		b := start(t, open)
		var all []session.Change
		for i := range 450 {
			all = append(all, write(fmt.Sprintf("n%d", i), "r", int64(i)))
		}
		if err := errors.Join(b.CommitAll(b.ctx, b.shard, b.fence, all)...); err != nil {
			t.Fatalf("CommitAll() = %v, want no error", err)
		}
		if got := b.load("r")[0]; got.Version != 450 || string(got.Body) != "n449" {
			t.Errorf("record = %+v, want all applied in their order", got)
		}
		if errs := b.CommitAll(b.ctx, b.shard, b.fence, nil); len(errs) != 0 {
			t.Errorf("CommitAll() of nothing = %v, want nothing", errs)
		}
	})

	t.Run("CommitAllIsFenced", func(t *testing.T) {
		b := start(t, open)
		if _, err := b.leases.Lead(b.ctx, b.shard, "other", noon.Add(2*time.Hour), time.Hour); err != nil {
			t.Fatal(err)
		}
		for _, err := range b.CommitAll(b.ctx, b.shard, b.fence, []session.Change{write("a", "a", 0), write("b", "b", 0)}) {
			if !errors.Is(err, session.ErrFenced) {
				t.Errorf("CommitAll() = %v, want ErrFenced", err)
			}
		}
		if got := b.load("a", "b"); got[0].Version != 0 || got[1].Version != 0 {
			t.Errorf("records = %+v, want none", got)
		}
	})

	t.Run("BeginIsDoneAndLoad", func(t *testing.T) {
		b := start(t, open)
		b.commit(write("u1", "a", 0))
		for cause, want := range map[string]bool{"u1": true, "u2": false} {
			done, got, err := b.Begin(b.ctx, b.shard, cause, "none", "a")
			if err != nil || done != want {
				t.Errorf("Begin(%s) = %v, %v, want %v", cause, done, err, want)
			}
			if len(got) != 2 || got[0].Key != "none" || got[0].Version != 0 || got[1].Key != "a" || got[1].Version != 1 || string(got[1].Body) != "u1" {
				t.Errorf("Begin(%s) = %+v, want the records as Load gives them", cause, got)
			}
		}
		if done, got, err := b.Begin(b.ctx, b.shard, "u1"); err != nil || !done || len(got) != 0 {
			t.Errorf("Begin() without records = %v, %v, %v, want done and none", done, got, err)
		}
		if done, _, err := b.Begin(b.ctx, b.shard+1, "u1"); err != nil || done {
			t.Errorf("Begin() in another shard = %v, %v, want not done", done, err)
		}
	})
}
