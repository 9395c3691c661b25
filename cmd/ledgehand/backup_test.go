package main

import (
	"context"
	"fmt"
	"log/slog"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"ledgehand/session"
	"ledgehand/session/embedded"
	"ledgehand/session/redisstore"
	"ledgehand/session/storetest"
)

// backUp copies a running data directory with the script that is shipped, and returns the copy.
func backUp(t *testing.T, data string) string {
	t.Helper()
	if _, err := exec.LookPath("redis-cli"); err != nil {
		if os.Getenv("LEDGEHAND_REQUIRE_REDIS") == "1" {
			t.Fatal("no redis-cli on the path")
		}
		t.Skip("no redis-cli on the path")
	}
	to := shortDir(t)
	out, err := exec.Command(filepath.Join("deploy", "backup"), data, to).CombinedOutput()
	if err != nil || !strings.Contains(string(out), "backup: "+to) {
		t.Fatalf("backup: %v\n%s", err, out)
	}
	return to
}

// The machine is lost with an outing open; a copy made while people wrote goes on elsewhere.
func TestABackupOfARunningServeGoesOnWithEveryOuting(t *testing.T) {
	s := newServed(t)
	s.set.lease = 2 * time.Second // the copy holds the lease of the one that is lost, and it is waited for
	dir := shortDir(t)
	s.ownRedis(dir)
	s.furnish()
	const lines = 12
	written := make(chan struct{})
	go func() {
		defer close(written)
		for range lines {
			s.server.Write(1, 1, "/catch kelp greenling 31 kept")
		}
	}()
	storetest.Until(t, "some of it is stored", func() bool { return s.said(1, "Noted") > 3 })
	confirmed := s.said(1, "Noted")
	copied := backUp(t, dir)
	<-written
	storetest.Until(t, "all is confirmed", func() bool { return s.said(1, "Noted") == lines+1 })
	if got := (&storetest.Server{Addr: filepath.Join(dir, "redis.sock")}).Do(t, "CONFIG", "GET", "auto-aof-rewrite-percentage"); !slices.Equal(got.([]any), []any{"auto-aof-rewrite-percentage", "100"}) {
		t.Errorf("after the backup: %v, want rewrites as before", got)
	}
	s.end()

	s.ownRedis(copied)
	s.start()
	s.server.Write(1, 1, "/catch")
	storetest.Until(t, "the day is told", func() bool { return sums(s.server) != "" })
	kept := 0
	if _, after, ok := strings.Cut(sums(s.server), "kept "); ok {
		_, err := fmt.Sscanf(after, "%d", &kept)
		must(t, err)
	}
	if kept < confirmed {
		t.Errorf("the copy has %d catches, want at least the %d confirmed before it was begun", kept, confirmed)
	}
	s.server.Write(1, 1, "/off")
	s.hears(-9, "Ana: off Anvil")
	s.end()
}

// An outing falls due while its machine is being replaced: its alert goes out from the copy, once.
func TestAnAlertDueMeanwhileFiresOnceFromTheCopy(t *testing.T) {
	s := newServed(t)
	dir := shortDir(t)
	s.ownRedis(dir)
	s.furnish()
	s.end()
	// The times of the outing are moved back, so that it is long overdue when somebody looks next.
	own, err := embedded.Run(t.Context(), dir, slog.New(slog.DiscardHandler))
	must(t, err)
	defer func() { _ = own.Close() }()
	st := s.opened(s.set.keyFile, own.Socket)
	now := time.Now()
	crew := session.CrewOf(-9)
	fence, err := st.Lead(t.Context(), crew.Shard(), "the test", now, time.Minute)
	must(t, err)
	service := session.New(st, func(session.Shard) session.Fence { return fence })
	must(t, service.Do(t.Context(), session.Cause{ID: "earlier", Now: now}, crew, func(tx *session.Tx) error {
		open, err := tx.OpenOutings()
		if err != nil || len(open) != 1 {
			return fmt.Errorf("%d open, %w", len(open), err)
		}
		o := open[0]
		o.OpenedAt, o.BackBy = now.Add(-3*time.Hour), now.Add(-40*time.Minute)
		return tx.PutOuting(o)
	}))
	must(t, st.Resign(t.Context(), crew.Shard(), "the test"))

	// Letters come in while it is copied; those stored before it is begun are in the copy, each once.
	other := session.Shard((int(crew.Shard()) + 1) % session.Shards)
	ctx, stop := context.WithCancel(t.Context())
	var wg sync.WaitGroup
	began := make(chan int, 1)
	wg.Go(func() {
		for n := 0; ctx.Err() == nil; n++ {
			if _, err := st.Take(t.Context(), other, session.Letter{ID: fmt.Sprintf("u%d", n), Got: now, Body: []byte("{}")}); err != nil {
				t.Error(err)
				return
			}
			if n == 50 {
				began <- n
			}
		}
	})
	want := <-began
	before := everything(t, st, other)
	copied := backUp(t, dir)
	stop()
	wg.Wait()
	restored, err := embedded.Run(t.Context(), copied, slog.New(slog.DiscardHandler))
	must(t, err)
	theirs := s.opened(s.set.keyFile, restored.Socket)
	after := everything(t, theirs, other)
	for _, b := range before {
		if !slices.Contains(after, b) {
			t.Errorf("the copy lacks %s", b)
		}
	}
	letters, err := theirs.Waiting(t.Context(), other, "", 100_000)
	must(t, err)
	seen := map[string]int{}
	for _, l := range letters {
		seen[l.ID]++
	}
	for n := range want {
		if id := fmt.Sprintf("u%d", n); seen[id] != 1 {
			t.Errorf("letter %s is in the copy %d times, want once", id, seen[id])
		}
	}
	must(t, theirs.Close())
	must(t, restored.Close())
	must(t, st.Close())
	must(t, own.Close())

	s.ownRedis(copied)
	for start := range 3 {
		s.start()
		s.hears(-9, "has not checked in")
		s.server.Write(1, 1, "/about") // something answered: the start is over and everything due was looked at
		storetest.Until(t, "it serves", func() bool { return s.said(1, "NOAA CO-OPS") > start })
		s.end()
	}
	if n := s.said(-9, "has not checked in"); n != 1 {
		t.Errorf("the alert went out %d times, want once", n)
	}
}

// everything is all that is stored but the letters of one shard.
func everything(t *testing.T, st *redisstore.Store, but session.Shard) (all []string) {
	t.Helper()
	for s := range session.Shard(session.Shards) {
		if s == but {
			continue
		}
		must(t, st.Bodies(t.Context(), s, func(b redisstore.Body) error {
			if b.Err != nil {
				return b.Err
			}
			all = append(all, fmt.Sprintf("%d %s %s %s %s", s, b.Kind, b.Name, b.Seq, b.Plain))
			return nil
		}))
		due, err := st.AllDue(t.Context(), s)
		must(t, err)
		for _, d := range due {
			all = append(all, fmt.Sprintf("%d due %s %d", s, d.Item, d.At.UnixMilli()))
		}
	}
	return all
}

func TestABackupThatCannotBeMadeSaysSo(t *testing.T) {
	if _, err := exec.LookPath("redis-cli"); err != nil {
		t.Skip("no redis-cli on the path")
	}
	there := t.TempDir()
	for name, args := range map[string][]string{"nothing there": {shortDir(t), shortDir(t)}, "the copy is there": {shortDir(t), there}, "no arguments": nil} {
		if out, err := exec.Command(filepath.Join("deploy", "backup"), args...).CombinedOutput(); err == nil || len(out) == 0 {
			t.Errorf("%s: %v, %q, want it refused with a word why", name, err, out)
		}
	}
}
