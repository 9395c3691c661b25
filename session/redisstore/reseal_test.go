package redisstore_test

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"ledgehand/session"
	"ledgehand/session/redisstore"
	"ledgehand/session/storetest"
)

// census is every body of the test's shard by kind and key.
func census(t *testing.T, st *redisstore.Store) (keys map[string]int, kinds map[redisstore.BodyKind]int, texts []string) {
	t.Helper()
	keys, kinds = map[string]int{}, map[redisstore.BodyKind]int{}
	err := st.Bodies(t.Context(), shard, func(b redisstore.Body) error {
		keys[b.KeyID]++
		kinds[b.Kind]++
		if b.Err != nil {
			return fmt.Errorf("%s %q: %w", b.Kind, b.Name, b.Err)
		}
		texts = append(texts, fmt.Sprintf("%s %s %s %d %s", b.Kind, b.Name, b.Seq, b.Got.UnixMilli(), b.Plain))
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	slices.Sort(texts)
	return keys, kinds, texts
}

func TestResealMovesEveryBodyToTheFirstKeyAndNothingElse(t *testing.T) {
	server := storetest.StartServer(t)
	oldKey, newKey := redisstore.NewKey(), redisstore.NewKey()
	o := redisstore.Options{Addrs: []string{server.Addr}, Prefix: "p", Sealer: ring(t, oldKey)}
	before := open(t, o)
	fence := fill(t, before)
	if err := before.Resign(t.Context(), shard, "me"); err != nil {
		t.Fatal(err)
	}
	const lastGiven = "99999999999999-7" // of a letter that came by another clock, and went
	server.Do(t, "XADD", "p:{07}:in", lastGiven, "x", "")
	server.Do(t, "XDEL", "p:{07}:in", lastGiven)
	oldID, newID := ring(t, oldKey).IDs()[0], ring(t, newKey).IDs()[0]
	keys, kinds, texts := census(t, before)
	// fill: two letters and two notes wait, two are dead, two records, two entries.
	want := map[redisstore.BodyKind]int{redisstore.RecordBody: 2, redisstore.EntryBody: 2, redisstore.LetterBody: 4, redisstore.DeadBody: 2, redisstore.ReasonBody: 2}
	if !maps.Equal(kinds, want) || keys[oldID] != 12 || len(keys) != 1 {
		t.Fatalf("stored: %v under %v, want %v under one key", kinds, keys, want)
	}
	loaded, err := before.Load(t.Context(), shard, "a", "b")
	if err != nil {
		t.Fatal(err)
	}
	layout := dumpOf(t, server)

	o.Sealer = ring(t, newKey, oldKey)
	after := open(t, o)
	for round, moved := range []int{12, 0} {
		done, err := after.Reseal(t.Context(), shard, noon)
		if err != nil || done.From[oldID] != moved || len(done.Closed) != 0 || done.Left != 0 {
			t.Fatalf("round %d: Reseal() = %+v, %v, want %d moved", round, done, err, moved)
		}
	}
	keys, _, again := census(t, after)
	if keys[newID] != 12 || len(keys) != 1 {
		t.Errorf("afterwards: %v, want all under %s", keys, newID)
	}
	if !slices.Equal(texts, again) {
		t.Errorf("afterwards:\n%q\nwant as before:\n%q", again, texts)
	}
	if now := dumpOf(t, server); !slices.Equal(layout, now) {
		t.Errorf("ids, versions or scores changed:\n%q\nwant\n%q", now, layout)
	}
	// Who loaded a record before may commit it, and the claimed ids are good still.
	o.Sealer = ring(t, newKey)
	only := open(t, o)
	f, err := only.Lead(t.Context(), shard, "me", noon, time.Hour)
	if err != nil || f != fence+1 {
		t.Fatalf("Lead() = %v, %v", f, err)
	}
	if err := only.Commit(t.Context(), shard, f, session.Change{Cause: "c", Now: noon, Writes: []session.Record{{Key: "a", Version: loaded[0].Version, Body: []byte("new")}}}); err != nil {
		t.Errorf("Commit() with the version loaded before = %v", err)
	}
	letters, err := only.Waiting(t.Context(), shard, "", 10)
	if err != nil || len(letters) != 4 {
		t.Fatalf("Waiting() with the new key alone = %d, %v", len(letters), err)
	}
	// A place in the inbox is never given twice, though the last one given is gone.
	if _, err := only.Take(t.Context(), shard, session.Letter{ID: "u77", Got: noon}); err != nil {
		t.Fatal(err)
	}
	if letters, err = only.Waiting(t.Context(), shard, lastGiven, 10); err != nil || len(letters) != 1 {
		t.Errorf("Waiting() after %s = %+v, %v, want the new letter", lastGiven, letters, err)
	}
}

// dumpOf is what is stored beside the sealed bodies: versions, scores, ids, in order.
func dumpOf(t *testing.T, s *storetest.Server) (all []string) {
	t.Helper()
	const base = "p:{07}:"
	for _, c := range [][]any{
		{"HGET", base + "rec:a", "v"}, {"HGET", base + "rec:b", "v"}, {"ZRANGE", base + "out:urgent", 0, -1, "WITHSCORES"},
		{"HGETALL", base + "out:tag"}, {"HKEYS", base + "out:body"}, {"XLEN", base + "in"}, {"XLEN", base + "dead"},
	} {
		all = append(all, fmt.Sprint(c, s.Do(t, c...)))
	}
	for _, stream := range []string{"in", "dead"} {
		entries, _ := s.Do(t, "XRANGE", base+stream, "-", "+").([]any)
		for _, e := range entries {
			pair, _ := e.([]any)
			fields, _ := pair[1].([]any)
			line := fmt.Sprint(stream, " ", pair[0])
			for i := 0; i+1 < len(fields); i += 2 {
				line += fmt.Sprint(" ", fields[i])
				if f := fields[i]; f != "b" && f != "w" {
					line += fmt.Sprint("=", fields[i+1])
				}
			}
			all = append(all, line)
		}
	}
	return all
}

// One replica serves (letters come and go, a record counts up, entries are claimed and put off) while another process seals anew.
func TestResealBesideAServingReplicaLosesNoWrite(t *testing.T) {
	server := storetest.StartServer(t)
	oldKey, newKey := redisstore.NewKey(), redisstore.NewKey()
	old := open(t, redisstore.Options{Addrs: []string{server.Addr}, Prefix: "p", Sealer: ring(t, oldKey)})
	fill(t, old)
	both := redisstore.Options{Addrs: []string{server.Addr}, Prefix: "p", Sealer: ring(t, newKey, oldKey)}
	serving, resealing := open(t, both), open(t, both)
	f, err := serving.Lead(t.Context(), shard, "me", noon, time.Hour)
	if err != nil {
		t.Fatal(err)
	}
	const rounds = 300
	ctx := t.Context()
	var wg sync.WaitGroup
	stop := make(chan struct{})
	wg.Go(func() {
		defer close(stop)
		for n := range rounds {
			// Half of them under the old key, as a replica that is just being replaced would write.
			st := serving
			if n%2 == 0 {
				st = old
			}
			if err := round(ctx, serving, st, f, n); err != nil {
				t.Errorf("round %d: %v", n, err)
				return
			}
		}
	})
	passes := 0
	for running := true; running; passes++ {
		if _, err := resealing.Reseal(ctx, shard, noon); err != nil {
			t.Fatal(err)
		}
		select {
		case <-stop:
			running = false
		default:
		}
	}
	wg.Wait()
	if passes < 5 {
		t.Errorf("only %d passes ran beside the writer: the test shows little", passes)
	}
	if _, err := resealing.Reseal(ctx, shard, noon); err != nil {
		t.Fatal(err)
	}
	only := open(t, redisstore.Options{Addrs: []string{server.Addr}, Prefix: "p", Sealer: ring(t, newKey)})
	recs, err := only.Load(ctx, shard, "count")
	if err != nil || string(recs[0].Body) != strconv.Itoa(rounds) || recs[0].Version != rounds {
		t.Errorf("the count reads %q at version %d, %v, want %d at as many", recs[0].Body, recs[0].Version, err, rounds)
	}
	letters, err := only.Waiting(ctx, shard, "", 10*rounds)
	n := 0
	for _, l := range letters {
		if len(l.ID) > 5 && l.ID[:5] == "stays" {
			n++
		}
	}
	if err != nil || n != rounds {
		t.Errorf("%d letters stayed, %v, want %d, each once", n, err, rounds)
	}
	keys, _, _ := census(t, only)
	if len(keys) != 1 {
		t.Errorf("keys in use: %v, want the new one alone", keys)
	}
}

// round is one piece of a replica's work; st is the store it writes through.
func round(ctx context.Context, serving, st *redisstore.Store, f session.Fence, n int) error {
	for _, id := range []string{"goes", "stays"} {
		if _, err := st.Take(ctx, shard, session.Letter{ID: fmt.Sprint(id, n), Got: noon, Body: []byte(id)}); err != nil {
			return err
		}
	}
	letters, err := serving.Waiting(ctx, shard, "", 10_000)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(letters, func(l session.Letter) bool { return l.ID == fmt.Sprint("goes", n) })
	if i < 0 {
		return errors.New("a letter that was taken is gone")
	}
	recs, err := serving.Load(ctx, shard, "count")
	if err != nil {
		return err
	}
	if n > 0 && (recs[0].Version != int64(n) || string(recs[0].Body) != strconv.Itoa(n)) {
		return fmt.Errorf("the count reads %s at version %d", recs[0].Body, recs[0].Version)
	}
	return st.Commit(ctx, shard, f, session.Change{
		Cause: fmt.Sprint("c", n), Now: noon, Letter: letters[i].Seq,
		Writes: []session.Record{{Key: "count", Version: recs[0].Version, Body: []byte(strconv.Itoa(n + 1))}},
		Post:   []session.Entry{{ID: "e", Lane: session.Urgent, Chat: 1, Body: []byte(strconv.Itoa(n))}},
	})
}

// meddling is a key ring during whose work something else happens, once.
type meddling struct {
	*redisstore.Keyring
	meanwhile func()
	once      sync.Once
}

func (m *meddling) Seal(place string, plain []byte) []byte {
	m.once.Do(m.meanwhile)
	return m.Keyring.Seal(place, plain)
}

// Between the reading of the old bodies and the writing of the new ones everything changes.
func TestResealNeverPutsAnOldBodyOverANewOne(t *testing.T) {
	server := storetest.StartServer(t)
	oldKey, newKey := redisstore.NewKey(), redisstore.NewKey()
	o := redisstore.Options{Addrs: []string{server.Addr}, Prefix: "p", Sealer: ring(t, oldKey)}
	fill(t, open(t, o))
	o.Sealer = ring(t, newKey, oldKey)
	serving := open(t, o)
	f, err := serving.Lead(t.Context(), shard, "me", noon, time.Hour)
	if err != nil {
		t.Fatal(err)
	}
	letters, err := serving.Waiting(t.Context(), shard, "", 1)
	if err != nil {
		t.Fatal(err)
	}
	o.Sealer = &meddling{Keyring: ring(t, newKey, oldKey), meanwhile: func() {
		if _, err := serving.Take(t.Context(), shard, session.Letter{ID: "u5", Got: noon, Body: []byte("u5")}); err != nil {
			t.Error(err)
		}
		err := serving.Commit(t.Context(), shard, f, session.Change{Cause: "meanwhile", Now: noon, Letter: letters[0].Seq,
			Writes: []session.Record{{Key: "a", Version: 1, Body: []byte("newer")}, {Key: "b", Version: 1}},
			Post:   []session.Entry{{ID: "a", Lane: session.Urgent, Body: []byte("newer")}}, Cancel: []string{"b"}})
		if err != nil {
			t.Error(err)
		}
	}}
	if _, err := open(t, o).Reseal(t.Context(), shard, noon); err != nil {
		t.Fatal(err)
	}
	only := open(t, redisstore.Options{Addrs: []string{server.Addr}, Prefix: "p", Sealer: ring(t, newKey)})
	recs, err := only.Load(t.Context(), shard, "a", "b")
	if err != nil || string(recs[0].Body) != "newer" || recs[0].Version != 2 || recs[1].Version != 0 {
		t.Errorf("Load() = %+v, %v, want what was committed meanwhile, and what was deleted gone", recs, err)
	}
	out, err := only.ClaimOut(t.Context(), shard, f, session.Urgent, noon.Add(2*time.Hour), time.Minute, 10)
	if err != nil || len(out) != 1 || string(out[0].Body) != "newer" {
		t.Errorf("ClaimOut() = %+v, %v, want the newer entry alone", out, err)
	}
	left, err := only.Waiting(t.Context(), shard, "", 10)
	if err != nil || len(left) != 4 || left[0].Seq == letters[0].Seq || left[3].ID != "u5" {
		t.Errorf("Waiting() = %+v, %v, want three of before and the new one", left, err)
	}
	// Nothing half is left: a body under no entry, an entry under no lane.
	if n := server.Do(t, "HLEN", "p:{07}:out:body"); n != int64(1) {
		t.Errorf("%v sealed entries stored, want 1", n)
	}
	if n := server.Do(t, "EXISTS", "p:{07}:rec:b"); n != int64(0) {
		t.Error("a deleted record is back")
	}
}

func TestResealRefusesWhileAReplicaServesThatCouldNotReadIt(t *testing.T) {
	server := storetest.StartServer(t)
	oldKey, newKey := redisstore.NewKey(), redisstore.NewKey()
	o := redisstore.Options{Addrs: []string{server.Addr}, Prefix: "p", Sealer: ring(t, oldKey)}
	serving := open(t, o)
	fill(t, serving)
	lead(t, serving)
	o.Sealer = ring(t, newKey, oldKey)
	st := open(t, o)
	if done, err := st.Reseal(t.Context(), shard, noon); !errors.Is(err, redisstore.ErrOldKeys) || len(done.From) != 0 {
		t.Errorf("Reseal() = %+v, %v, want it refused", done, err)
	}
	if _, err := serving.Load(t.Context(), shard, "a"); err != nil {
		t.Errorf("Load() by the one that serves = %v", err)
	}
	// When its lease has run out nobody is harmed.
	if done, err := st.Reseal(t.Context(), shard, noon.Add(10_000*time.Hour)); err != nil || done.From[ring(t, oldKey).IDs()[0]] != 12 {
		t.Errorf("Reseal() with nobody serving = %+v, %v, want all moved", done, err)
	}
	// What does not open is left and counted.
	lost := open(t, redisstore.Options{Addrs: []string{server.Addr}, Prefix: "p", Sealer: ring(t, redisstore.NewKey())})
	if done, err := lost.Reseal(t.Context(), shard, noon.Add(10_000*time.Hour)); err != nil || done.Closed[ring(t, newKey).IDs()[0]] != 12 || len(done.From) != 0 {
		t.Errorf("Reseal() without the key = %+v, %v, want 12 left closed", done, err)
	}
}

func TestUpkeep(t *testing.T) {
	st := open(t, redisstore.Options{Addrs: []string{storetest.StartServer(t).Addr}})
	for _, f := range st.Upkeep(t.Context()) {
		if !f.OK {
			t.Errorf("Upkeep() = %+v, want OK", f)
		}
	}
	full := storetest.StartServer(t, "--maxmemory", "1mb", "--maxmemory-policy", "noeviction")
	st = open(t, redisstore.Options{Addrs: []string{full.Addr}})
	got := map[string]redisstore.Finding{}
	for _, f := range st.Upkeep(t.Context()) {
		got[f.Name] = f
	}
	if f := got["memory"]; f.OK || f.Fatal || f.Do == "" {
		t.Errorf("Upkeep() of a full server = %+v, want a warning", f)
	}
	// A rewrite that does not come to its end: the process that does it is killed.
	broken := storetest.StartServer(t)
	st = open(t, redisstore.Options{Addrs: []string{broken.Addr}})
	broken.Do(t, "SET", "x", "y")
	broken.Do(t, "CONFIG", "SET", "rdb-key-save-delay", "60000000")
	broken.Do(t, "BGREWRITEAOF")
	_, after, _ := strings.Cut(fmt.Sprint(broken.Do(t, "INFO", "server")), "process_id:")
	pid := strings.Fields(after)[0]
	children := ""
	storetest.Until(t, "the rewrite has begun", func() bool {
		raw, err := os.ReadFile("/proc/" + pid + "/task/" + pid + "/children")
		if err != nil {
			t.Skip("this system does not tell a process's children")
		}
		children = strings.TrimSpace(string(raw))
		return children != ""
	})
	child, err := strconv.Atoi(children)
	if err != nil {
		t.Fatal(err)
	}
	p, err := os.FindProcess(child)
	if err != nil {
		t.Fatal(err)
	}
	if err := p.Kill(); err != nil {
		t.Fatal(err)
	}
	storetest.Until(t, "the rewrite has failed", func() bool {
		for _, f := range st.Upkeep(t.Context()) {
			if f.Name == "rewrite" && !f.OK {
				return !f.Fatal && f.Do != ""
			}
		}
		return false
	})
}
