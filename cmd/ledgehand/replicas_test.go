package main

import (
	"fmt"
	"log/slog"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgehand/session"
	"ledgehand/session/redisstore"
	"ledgehand/session/storetest"
)

// peers are replicas that share a store, without anything to do: their keeping is driven by hand, at the instants of the test.
type peers struct {
	t   *testing.T
	now time.Time
	all []*share
	st  *redisstore.Store
}

func newPeers(t *testing.T, n int) *peers {
	p := &peers{t: t, now: time.Date(2027, 3, 14, 6, 0, 0, 0, time.UTC), st: storetest.OpenRedis(t, storetest.StartServer(t).Addr, "")}
	for i := range n {
		sh := newShare(fmt.Sprint("replica", i), 30*time.Second)
		sh.store, sh.now, sh.log = p.st, func() time.Time { return p.now }, slog.New(slog.DiscardHandler)
		p.all = append(p.all, sh)
	}
	return p
}

func (p *peers) keep(alive ...*share) {
	p.t.Helper()
	for _, sh := range alive {
		if err := sh.keep(p.t.Context()); err != nil {
			p.t.Fatal(err)
		}
	}
}

// owners counts the shards of each and fails if two serve one.
func (p *peers) owners(of ...*share) (counts []int, all int) {
	p.t.Helper()
	seen := map[session.Shard]bool{}
	for _, sh := range of {
		mine := sh.shards()
		for _, s := range mine {
			if seen[s] {
				p.t.Errorf("shard %d is served by two", s)
			}
			seen[s] = true
		}
		counts = append(counts, len(mine))
	}
	return counts, len(seen)
}

func TestReplicasShareEvenlyAndTakeOver(t *testing.T) {
	p := newPeers(t, 3)
	a, b, c := p.all[0], p.all[1], p.all[2]
	p.keep(a)
	if n, _ := p.owners(a); n[0] != session.Shards {
		t.Fatalf("alone it serves %d shards, want all", n[0])
	}
	// A second comes: within two rounds of keeping both have half, and none is nobody's for longer.
	p.keep(b, a, b)
	if n, all := p.owners(a, b); n[0] != 32 || n[1] != 32 || all != session.Shards {
		t.Fatalf("two serve %v, %d in all", n, all)
	}
	p.keep(c, a, b, c)
	if n, all := p.owners(a, b, c); !slices.Equal(n, []int{22, 21, 21}) || all != session.Shards {
		t.Fatalf("three serve %v, %d in all", n, all)
	}
	// One dies: nothing moves before its lease ends, everything after.
	dead := c.shards()
	p.now = p.now.Add(29 * time.Second)
	p.keep(a, b)
	if _, all := p.owners(a, b); all != session.Shards-len(dead) {
		t.Errorf("%d are served before the dead one's lease ends, want %d", all, session.Shards-len(dead))
	}
	if !c.leads(dead[0]) {
		t.Error("its lease runs for a second yet")
	}
	p.now = p.now.Add(2 * time.Second)
	if c.leads(dead[0]) {
		t.Error("it would send messages of a shard that another may serve by now")
	}
	p.keep(a, b, a, b)
	if n, all := p.owners(a, b); n[0] != 32 || n[1] != 32 || all != session.Shards {
		t.Errorf("after its lease two serve %v, %d in all", n, all)
	}
	// It comes to itself and finds out before it does anything: its leases are long over.
	if err := c.keep(t.Context()); err != nil {
		t.Fatal(err)
	}
	if n, _ := p.owners(a, b, c); n[2] != 0 {
		t.Errorf("the one that was away serves %d at once", n[2])
	}
	for _, s := range dead {
		if f := c.fence(s); f != session.Guest {
			t.Errorf("it would commit to shard %d as %d, want as a guest", s, f)
		}
	}
	// One ends in order: the others have its part at their next keeping.
	if err := a.leave(t.Context()); err != nil {
		t.Fatal(err)
	}
	p.keep(b, c, b, c)
	if n, all := p.owners(b, c); n[0] != 32 || n[1] != 32 || all != session.Shards {
		t.Errorf("after one left two serve %v, %d in all", n, all)
	}
}

// What is being worked on is not handed over before it is done, and nothing new is begun on it.
func TestAShardIsHandedOverWhenNobodyWorksOnIt(t *testing.T) {
	p := newPeers(t, 2)
	a, b := p.all[0], p.all[1]
	p.keep(a)
	var done []func()
	for _, s := range a.shards() {
		d, ok := a.use(s)
		if !ok {
			t.Fatalf("shard %d is not ours", s)
		}
		done = append(done, d)
	}
	p.keep(b, a, b)
	if n, _ := p.owners(a, b); n[1] != 0 || n[0] != 32 {
		t.Errorf("with all in work they serve %v, want 32 and none", n)
	}
	for s := range session.Shard(session.Shards) {
		if _, ok := a.use(s); ok != (a.fence(s) > 0 && slices.Contains(a.shards(), s)) {
			t.Errorf("shard %d: begun = %v though it is on its way", s, ok)
		}
	}
	for _, d := range done {
		d()
	}
	p.keep(a, b)
	if n, all := p.owners(a, b); n[0] != 32 || n[1] != 32 || all != session.Shards {
		t.Errorf("after the work they serve %v, %d in all", n, all)
	}
}

// Replicas that join, leave and die at random never serve one shard together, and whoever is left ends with all.
func TestReplicasComeAndGo(t *testing.T) {
	p := newPeers(t, 5)
	rng := randoms(t)
	alive := map[int]bool{}
	for range 150 {
		i := rng.IntN(len(p.all))
		switch sh := p.all[i]; {
		case !alive[i]:
			alive[i] = true
		case rng.IntN(10) == 0: // dies: it does nothing more until it is back with what it knew
			alive[i] = false
		case rng.IntN(10) == 0:
			if err := sh.leave(t.Context()); err != nil {
				t.Fatal(err)
			}
			alive[i] = false
		}
		p.now = p.now.Add(time.Duration(rng.IntN(5000)) * time.Millisecond)
		var here []*share
		for i, sh := range p.all {
			if alive[i] && rng.IntN(3) > 0 {
				p.keep(sh)
			}
			// One that was not kept in time must not count on its leases.
			if alive[i] {
				sh.expire(p.now)
				here = append(here, sh)
			}
		}
		p.owners(here...)
	}
	last := p.all[0]
	for _, sh := range p.all[1:] {
		_ = sh.leave(t.Context())
	}
	p.now = p.now.Add(time.Minute)
	p.keep(last, last)
	if n, _ := p.owners(last); n[0] != session.Shards {
		t.Errorf("the last one serves %d shards", n[0])
	}
}

// Two processes serve together; the one that polls is killed. Nothing said before or after is lost or done twice, wherever its
// records lie, and the outing's "off" is heard.
func TestTwoReplicasOneKilled(t *testing.T) {
	s := newServed(t)
	for i := range 8 {
		s.server.AddPerson(int64(20+i), fmt.Sprint("Angler", i))
	}
	first, second := s.child(), s.child()
	t.Cleanup(func() { _ = first.Process.Kill(); _ = first.Wait() })
	t.Cleanup(func() { _ = second.Process.Kill(); _ = second.Wait() })
	s.hears(-9, "I'm Ledgehand")
	s.server.Start(1, "")
	s.hears(1, "I'm Ledgehand")
	s.goesOut(1, 3)
	for i := range 8 {
		s.server.Start(int64(20+i), "")
	}
	for i := range 8 { // private chats of eight people lie in many shards
		s.hears(int64(20+i), "I'm Ledgehand")
	}
	if err := first.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = first.Wait()
	for i := range 8 {
		s.server.Write(int64(20+i), int64(20+i), "/ledge")
	}
	for i := range 8 {
		s.hears(int64(20+i), "I know no ledge yet")
	}
	s.server.Write(1, 1, "/off") // in private: another shard than the group's
	s.hears(-9, "Ana: off Anvil")
	if n := s.told(-9, "Ana: off Anvil"); n != 1 {
		t.Errorf("the off was told %d times, want once", n)
	}
}

// A Cluster of three masters, two replicas on it: the whole way from a line to its effect in other shards, on other masters.
func TestServeOnACluster(t *testing.T) {
	s := newServed(t)
	var addrs []string
	for _, n := range storetest.StartCluster(t, 3) {
		n.Do(t, "CONFIG", "SET", "appendfsync", "always")
		addrs = append(addrs, n.Addr)
	}
	s.set.redis = strings.Join(addrs, ",")
	first, second := s.child(), s.child()
	t.Cleanup(func() { _ = first.Process.Kill(); _ = first.Wait() })
	t.Cleanup(func() { _ = second.Process.Kill(); _ = second.Wait() })
	s.hears(-9, "I'm Ledgehand")
	s.server.Start(1, "")
	s.server.Start(2, "")
	s.hears(2, "I'm Ledgehand")
	s.goesOut(1, 2)
	s.server.Write(-9, 1, "/catch kelp greenling 31 kept")
	s.hears(-9, "31")
	s.server.Migrate(-9, -1009, false)
	s.server.Write(1, 1, "/off")
	s.hears(-1009, "Ana: off Anvil")
}

// Nobody was heard for longer than taps are kept: those who are out are told, once, by whichever replica finds out.
func TestThoseOutAreToldWhenNobodyWasHeard(t *testing.T) {
	s := newServed(t)
	s.start()
	s.hears(-9, "I'm Ledgehand")
	s.goesOut(-9, 2)
	s.end()
	s.setBeat(time.Now().Add(-20 * time.Minute)) // as after so long a silence
	s.start()
	s.hears(-9, "I heard nobody from")
	s.end()
	s.start()
	s.server.Write(-9, 1, "/off")
	s.hears(-9, "Ana: off Anvil")
	s.end()
	if n := s.told(-9, "I heard nobody from"); n != 1 {
		t.Errorf("told %d times, want once", n)
	}
}

// told counts the messages of the bot in a chat that contain words.
func (s *served) told(chat int64, words string) int {
	n := 0
	for _, e := range s.server.Transcript() {
		if e.Bot && e.Chat == chat && strings.Contains(e.Text, words) {
			n++
		}
	}
	return n
}

// setBeat makes the store say that everything was heard by then.
func (s *served) setBeat(at time.Time) {
	s.t.Helper()
	s.redis.Do(s.t, "SET", "ledgehand:beat", at.UnixMilli())
}

// randoms is a source whose seed a failing test names.
func randoms(t *testing.T) *rand.Rand {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	return rand.New(rand.NewPCG(seed, 9))
}
