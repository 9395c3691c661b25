package redisstore_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"

	"ledgehand/session"
	"ledgehand/session/redisstore"
	"ledgehand/session/storetest"
)

var noon = time.Date(2027, 3, 14, 12, 0, 0, 0, time.UTC)

const shard = session.Shard(7)

func lead(tb testing.TB, st *redisstore.Store) session.Fence {
	tb.Helper()
	f, err := st.Lead(tb.Context(), shard, "me", noon, time.Hour)
	if err != nil {
		tb.Fatalf("Lead() = %v, want no error", err)
	}
	return f
}

func alert(id string) session.Entry {
	return session.Entry{ID: id, Lane: session.Urgent, Chat: -1, At: noon, Made: noon, PanelKey: "p", Body: []byte("overdue")}
}

// departure is a change such as an outing makes: a record, a deadline, a message.
func departure(cause string, version int64) session.Change {
	return session.Change{
		Cause: cause, Now: noon,
		Writes: []session.Record{{Key: "outing/k3f9", Version: version, Body: []byte(`{"due":"2027-03-14T13:00:00Z"}`)}},
		Due:    []session.DueItem{{Item: "outing/k3f9", At: noon.Add(time.Hour)}},
		Post:   []session.Entry{alert("m/" + cause)},
	}
}

// calls are one call of every kind, for tests of what all must do. None of them may panic or succeed
// while the server is away.
func calls(st *redisstore.Store, f session.Fence) map[string]func(context.Context) error {
	claimed := session.Claimed{Entry: alert("m"), Hold: "0000000000000001:1"}
	return map[string]func(context.Context) error{
		"Take": func(ctx context.Context) error {
			_, err := st.Take(ctx, shard, session.Letter{ID: "u1", Got: noon})
			return err
		},
		"Waiting": func(ctx context.Context) error { _, err := st.Waiting(ctx, shard, "", 1); return err },
		"Discard": func(ctx context.Context) error { return st.Discard(ctx, shard, f, "1-1") },
		"Bury":    func(ctx context.Context) error { return st.Bury(ctx, shard, f, "1-1", "x") },
		"Buried":  func(ctx context.Context) error { _, err := st.Buried(ctx, shard, 1); return err },
		"Load":    func(ctx context.Context) error { _, err := st.Load(ctx, shard, "a"); return err },
		"Keys":    func(ctx context.Context) error { _, err := st.Keys(ctx, shard, ""); return err },
		"Commit":  func(ctx context.Context) error { return st.Commit(ctx, shard, f, departure("refused", 0)) },
		"Done":    func(ctx context.Context) error { _, err := st.Done(ctx, shard, "x"); return err },
		"CommitAll": func(ctx context.Context) error {
			return errors.Join(st.CommitAll(ctx, shard, f, []session.Change{departure("refused too", 0)})...)
		},
		"Heads": func(ctx context.Context) error {
			heads := st.Heads(ctx, []session.Shard{shard, shard + 1})
			return errors.Join(heads[0].Err, heads[1].Err)
		},
		"Begin": func(ctx context.Context) error { _, _, err := st.Begin(ctx, shard, "x", "a"); return err },
		"ClaimDue": func(ctx context.Context) error {
			_, err := st.ClaimDue(ctx, shard, f, noon, time.Minute, 1)
			return err
		},
		"AllDue": func(ctx context.Context) error { _, err := st.AllDue(ctx, shard); return err },
		"ClaimOut": func(ctx context.Context) error {
			_, err := st.ClaimOut(ctx, shard, f, session.Urgent, noon, time.Minute, 1)
			return err
		},
		"Settle":  func(ctx context.Context) error { return st.Settle(ctx, shard, f, claimed, session.Settlement{}) },
		"Panel":   func(ctx context.Context) error { _, err := st.Panel(ctx, shard, 1, "p"); return err },
		"Pending": func(ctx context.Context) error { _, _, err := st.Pending(ctx, shard); return err },
		"Lead":    func(ctx context.Context) error { _, err := st.Lead(ctx, shard, "me", noon, time.Hour); return err },
		"Resign":  func(ctx context.Context) error { return st.Resign(ctx, shard, "me") },
	}
}

func TestWhatTheServerRefusesIsUnavailable(t *testing.T) {
	for _, reply := range []string{
		"LOADING Redis is loading the dataset in memory",
		"READONLY You can't write against a read only replica.",
		"OOM command not allowed when used memory > 'maxmemory'.",
		"MISCONF Errors writing to the AOF file: No space left on device",
		"NOREPLICAS Not enough good replicas to write.",
		"CLUSTERDOWN The cluster is down",
		"MASTERDOWN Link with MASTER is down",
		"NOAUTH Authentication required.",
		"BUSY Redis is busy running a script.",
		"ERR max number of clients reached",
	} {
		t.Run(strings.Fields(reply)[0], func(t *testing.T) {
			m := miniredis.RunT(t)
			st := open(t, redisstore.Options{Addrs: []string{m.Addr()}})
			f := lead(t, st)
			m.SetError(reply)
			for name, call := range calls(st, f) {
				err := call(t.Context())
				if !errors.Is(err, session.ErrUnavailable) || !strings.Contains(err.Error(), reply) {
					t.Errorf("%s() = %v, want ErrUnavailable and the reply", name, err)
				}
			}
			m.SetError("")
			for name, call := range calls(st, f) {
				if err := call(t.Context()); errors.Is(err, session.ErrUnavailable) {
					t.Errorf("%s() afterwards = %v, want it to work again", name, err)
				}
			}
		})
	}
}

func TestAFaultOfOursIsNotAnOutage(t *testing.T) {
	m := miniredis.RunT(t)
	st := open(t, redisstore.Options{Addrs: []string{m.Addr()}, Prefix: "p"})
	if err := m.Set("p:{07}:due", "not a sorted set"); err != nil {
		t.Fatal(err)
	}
	_, err := st.AllDue(t.Context(), shard)
	if err == nil || errors.Is(err, session.ErrUnavailable) {
		t.Errorf("AllDue() on a key of another type = %v, want an error that is no outage", err)
	}
}

func TestAServerThatIsGoneIsUnavailable(t *testing.T) {
	m := miniredis.RunT(t)
	st := open(t, redisstore.Options{Addrs: []string{m.Addr()}})
	f := lead(t, st)
	addr := m.Addr()
	m.Close()
	for name, call := range calls(st, f) {
		var op *net.OpError
		if err := call(t.Context()); !errors.Is(err, session.ErrUnavailable) || !errors.As(err, &op) && !errors.Is(err, io.EOF) {
			t.Errorf("%s() = %v, want ErrUnavailable and the cause", name, err)
		}
	}
	if _, err := redisstore.Open(t.Context(), redisstore.Options{Addrs: []string{addr}, Sealer: ring(t, redisstore.NewKey())}); !errors.Is(err, session.ErrUnavailable) {
		t.Errorf("Open() = %v, want ErrUnavailable", err)
	}
	if err := m.Restart(); err != nil {
		t.Fatal(err)
	}
	// The client probes once a second after many failed dials.
	storetest.Until(t, "the store works again", func() bool {
		_, err := st.Lead(t.Context(), shard, "me", noon, time.Hour)
		return err == nil
	})
}

func TestAWrongPasswordIsUnavailable(t *testing.T) {
	m := miniredis.RunT(t)
	m.RequireUserAuth("bot", "right")
	r := ring(t, redisstore.NewKey())
	_, err := redisstore.Open(t.Context(), redisstore.Options{Addrs: []string{m.Addr()}, Username: "bot", Password: "wrong", Sealer: r})
	if !errors.Is(err, session.ErrUnavailable) || strings.Contains(err.Error(), "wrong ") {
		t.Errorf("Open() = %v, want ErrUnavailable", err)
	}
	lead(t, open(t, redisstore.Options{Addrs: []string{m.Addr()}, Username: "bot", Password: "right"}))
}

func TestOpenRefusesWhatCannotWork(t *testing.T) {
	r := ring(t, redisstore.NewKey())
	for name, o := range map[string]redisstore.Options{
		"no address":            {Sealer: r},
		"no sealer":             {Addrs: []string{"127.0.0.1:1"}},
		"prefix with braces":    {Addrs: []string{"127.0.0.1:1"}, Sealer: r, Prefix: "{x}"},
		"database on a cluster": {Addrs: []string{"127.0.0.1:1", "127.0.0.1:2"}, Sealer: r, DB: 3},
	} {
		st, err := redisstore.Open(t.Context(), o)
		if err == nil || errors.Is(err, session.ErrUnavailable) || st != nil {
			t.Errorf("Open(%s) = %v, want an error that is no outage", name, err)
		}
	}
}

func TestACallerThatGivesUpIsNotAnOutage(t *testing.T) {
	st := open(t, redisstore.Options{Addrs: []string{miniredis.RunT(t).Addr()}})
	f := lead(t, st)
	cancelled, cancel := context.WithCancel(t.Context())
	cancel()
	late, cancel := context.WithDeadline(t.Context(), time.Unix(0, 0))
	defer cancel()
	for name, call := range calls(st, f) {
		if err := call(cancelled); !errors.Is(err, context.Canceled) || errors.Is(err, session.ErrUnavailable) {
			t.Errorf("%s(cancelled) = %v, want context.Canceled only", name, err)
		}
		if err := call(late); !errors.Is(err, context.DeadlineExceeded) || !errors.Is(err, session.ErrUnavailable) {
			t.Errorf("%s(late) = %v, want both DeadlineExceeded and ErrUnavailable", name, err)
		}
	}
}

// cutter is a Dialer whose connections lose the next reply when armed: the server has done what it
// was told, the client reads the end of the connection.
type cutter struct {
	armed atomic.Bool
	cuts  atomic.Int32
}

func (c *cutter) dial(ctx context.Context, network, addr string) (net.Conn, error) {
	if strings.HasPrefix(addr, "/") {
		network = "unix"
	}
	conn, err := (&net.Dialer{}).DialContext(ctx, network, addr)
	if err != nil {
		return nil, err
	}
	return &cutConn{conn, c}, nil
}

type cutConn struct {
	net.Conn
	c *cutter
}

func (c *cutConn) Read(b []byte) (int, error) {
	n, err := c.Conn.Read(b)
	if n > 0 && c.c.armed.CompareAndSwap(true, false) {
		c.c.cuts.Add(1)
		c.Conn.Close()
		return 0, io.EOF
	}
	return n, err
}

// Every write is sent again by the client when its reply is lost, and must have one effect.
func TestAResendHasNoSecondEffect(t *testing.T) {
	for name, addr := range servers(t) {
		t.Run(name, func(t *testing.T) {
			c := &cutter{}
			st := open(t, redisstore.Options{Addrs: []string{addr}, Dialer: c.dial})
			ctx := t.Context()
			// again runs a call whose first reply is lost.
			again := func(call func() error) error {
				t.Helper()
				c.armed.Store(true)
				before := c.cuts.Load()
				err := call()
				if c.cuts.Load() != before+1 {
					t.Fatal("no reply was lost: the test does not test")
				}
				return err
			}
			// The server must know the scripts, or the lost reply would be its NOSCRIPT.
			warm := open(t, redisstore.Options{Addrs: []string{addr}})
			for _, call := range calls(warm, lead(t, warm)) {
				_ = call(ctx)
			}
			f := lead(t, st)

			if err := again(func() error {
				n, err := st.Lead(ctx, shard, "me", noon, time.Hour)
				if n != f {
					t.Errorf("Lead() = %d, want %d", n, f)
				}
				return err
			}); err != nil {
				t.Errorf("Lead() = %v, want no error", err)
			}

			if err := again(func() error {
				fresh, err := st.Take(ctx, shard, session.Letter{ID: "u5", Got: noon})
				if fresh {
					t.Error("Take() sent twice = fresh, want repeat")
				}
				return err
			}); err != nil {
				t.Errorf("Take() = %v, want no error", err)
			}
			letters, err := st.Waiting(ctx, shard, "", 10)
			if err != nil || len(letters) != 1 {
				t.Fatalf("Waiting() = %d letters, %v, want 1", len(letters), err)
			}

			change := departure("u5", 0)
			change.Letter = letters[0].Seq
			change.Notes = []session.Letter{{ID: "n1", Got: noon}}
			if err := again(func() error { return st.Commit(ctx, shard, f, change) }); !errors.Is(err, session.ErrDone) {
				t.Errorf("Commit() sent twice = %v, want ErrDone: the effect stands", err)
			}
			if n, _, err := st.Pending(ctx, shard); err != nil || n != 1 {
				t.Errorf("Pending() = %d, %v, want 1", n, err)
			}
			if r, err := st.Load(ctx, shard, "outing/k3f9"); err != nil || r[0].Version != 1 {
				t.Errorf("Load() = %+v, %v, want version 1", r, err)
			}
			letters, err = st.Waiting(ctx, shard, "", 10)
			if err != nil || len(letters) != 1 || letters[0].ID != "n1" {
				t.Fatalf("Waiting() = %+v, %v, want the note once", letters, err)
			}

			if err := again(func() error { return st.Bury(ctx, shard, f, letters[0].Seq, "x") }); err != nil {
				t.Errorf("Bury() = %v, want no error", err)
			}
			if dead, err := st.Buried(ctx, shard, 10); err != nil || len(dead) != 1 {
				t.Errorf("Buried() = %d letters, %v, want 1", len(dead), err)
			}

			// A claim whose reply is lost comes again when its hold ends.
			due := noon.Add(time.Hour)
			if err := again(func() error {
				items, err := st.ClaimDue(ctx, shard, f, due, time.Minute, 10)
				if len(items) != 0 {
					t.Errorf("ClaimDue() sent twice = %v, want none", items)
				}
				return err
			}); err != nil {
				t.Errorf("ClaimDue() = %v, want no error", err)
			}
			if items, err := st.ClaimDue(ctx, shard, f, due.Add(time.Minute), time.Minute, 10); err != nil || len(items) != 1 || !items[0].At.Equal(due) {
				t.Errorf("ClaimDue() after the hold = %v, %v, want the item, due for %v", items, err, due)
			}
			if err := again(func() error {
				claimed, err := st.ClaimOut(ctx, shard, f, session.Urgent, noon, time.Minute, 10)
				if len(claimed) != 0 {
					t.Errorf("ClaimOut() sent twice = %v, want none", claimed)
				}
				return err
			}); err != nil {
				t.Errorf("ClaimOut() = %v, want no error", err)
			}
			claimed, err := st.ClaimOut(ctx, shard, f, session.Urgent, noon.Add(time.Minute), time.Minute, 10)
			if err != nil || len(claimed) != 1 {
				t.Fatalf("ClaimOut() after the hold = %v, %v, want one", claimed, err)
			}

			if err := again(func() error {
				return st.Settle(ctx, shard, f, claimed[0], session.Settlement{Retry: noon.Add(2 * time.Minute), Panel: 9, Note: &session.Letter{ID: "n2", Got: noon}})
			}); err != nil {
				t.Errorf("Settle() = %v, want no error", err)
			}
			if letters, err := st.Waiting(ctx, shard, "", 10); err != nil || len(letters) != 1 {
				t.Errorf("Waiting() = %d letters, %v, want the note once", len(letters), err)
			}
			claimed, err = st.ClaimOut(ctx, shard, f, session.Urgent, noon.Add(2*time.Minute), time.Minute, 10)
			if err != nil || len(claimed) != 1 || claimed[0].Attempt != 1 {
				t.Fatalf("ClaimOut() after a retry = %+v, %v, want attempt 1", claimed, err)
			}
			if err := again(func() error { return st.Settle(ctx, shard, f, claimed[0], session.Settlement{}) }); err != nil {
				t.Errorf("Settle() = %v, want no error", err)
			}
			if n, _, err := st.Pending(ctx, shard); err != nil || n != 0 {
				t.Errorf("Pending() = %d, %v, want none", n, err)
			}
			if err := again(func() error { return st.Resign(ctx, shard, "me") }); err != nil {
				t.Errorf("Resign() = %v, want no error", err)
			}
		})
	}
}

// servers are miniredis, and a real server where there is one.
func servers(t *testing.T) map[string]string {
	addrs := map[string]string{"Miniredis": miniredis.RunT(t).Addr()}
	t.Run("RealServerIsThere", func(sub *testing.T) {
		storetest.Binary(sub)
		addrs["Redis"] = storetest.StartServer(t).Addr
	})
	return addrs
}

func TestAHangingServerIsGivenUp(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0") // takes connections into its backlog and never answers
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	ctx, cancel := context.WithTimeout(t.Context(), 200*time.Millisecond)
	defer cancel()
	start := time.Now()
	_, err = redisstore.Open(ctx, redisstore.Options{Addrs: []string{l.Addr().String()}, Sealer: ring(t, redisstore.NewKey())})
	if !errors.Is(err, session.ErrUnavailable) {
		t.Errorf("Open() = %v, want ErrUnavailable", err)
	}
	if took := time.Since(start); took > 2*time.Second {
		t.Errorf("Open() took %v with a context of 200ms", took)
	}
}

func TestScriptsSurviveAFlushedCache(t *testing.T) {
	s := storetest.StartServer(t)
	st := open(t, redisstore.Options{Addrs: []string{s.Addr}})
	f := lead(t, st)
	for i := range 3 {
		s.Do(t, "SCRIPT", "FLUSH")
		if err := st.Commit(t.Context(), shard, f, departure(fmt.Sprintf("u%d", i), int64(i))); err != nil {
			t.Errorf("Commit() after SCRIPT FLUSH = %v, want no error", err)
		}
	}
}

// Under appendfsync everysec this test fails now and then: see checkFsync.
func TestWhatWasCommittedSurvivesACrashOfTheServer(t *testing.T) {
	s := storetest.StartServer(t, "--appendfsync", "always")
	st := open(t, redisstore.Options{Addrs: []string{s.Addr}})
	f := lead(t, st)
	ctx := t.Context()
	for i := range 5 {
		if _, err := st.Take(ctx, shard, session.Letter{ID: fmt.Sprintf("t%d", i), Got: noon, Body: []byte("raw")}); err != nil {
			t.Fatal(err)
		}
		if err := st.Commit(ctx, shard, f, departure(fmt.Sprintf("u%d", i), int64(i))); err != nil {
			t.Fatal(err)
		}
		s.Kill(t)
		if err := st.Commit(ctx, shard, f, departure("while down", int64(i+1))); !errors.Is(err, session.ErrUnavailable) {
			t.Errorf("Commit() while the server is down = %v, want ErrUnavailable", err)
		}
		s.Start(t)
		r, err := st.Load(ctx, shard, "outing/k3f9")
		if err != nil || r[0].Version != int64(i+1) {
			t.Fatalf("Load() after the restart = %+v, %v, want version %d", r, err, i+1)
		}
	}
	letters, err := st.Waiting(ctx, shard, "", 100)
	if err != nil || len(letters) != 5 || string(letters[4].Body) != "raw" {
		t.Errorf("Waiting() = %d letters, %v, want 5", len(letters), err)
	}
	items, err := st.AllDue(ctx, shard)
	if err != nil || len(items) != 1 {
		t.Errorf("AllDue() = %v, %v, want one", items, err)
	}
	claimed, err := st.ClaimOut(ctx, shard, f, session.Urgent, noon, time.Minute, 100)
	if err != nil || len(claimed) != 5 {
		t.Errorf("ClaimOut() = %d entries, %v, want 5", len(claimed), err)
	}
	if done, err := st.Done(ctx, shard, "u0"); err != nil || !done {
		t.Errorf("Done() = %v, %v, want true", done, err)
	}
	if again, err := st.Lead(ctx, shard, "me", noon, time.Hour); err != nil || again != f {
		t.Errorf("Lead() = %d, %v, want %d", again, err, f)
	}
}

// When memory is full nothing new is taken, but what was decided still gets out and the shard keeps its server.
func TestAFullServerStillLetsAlertsOut(t *testing.T) {
	s := storetest.StartServer(t)
	st := open(t, redisstore.Options{Addrs: []string{s.Addr}})
	f := lead(t, st)
	ctx := t.Context()
	if err := st.Commit(ctx, shard, f, departure("u1", 0)); err != nil {
		t.Fatal(err)
	}
	s.Do(t, "CONFIG", "SET", "maxmemory", "1")

	if _, err := st.Take(ctx, shard, session.Letter{ID: "u2", Got: noon}); !errors.Is(err, session.ErrUnavailable) {
		t.Errorf("Take() on a full server = %v, want ErrUnavailable", err)
	}
	change := departure("u2", 1)
	change.Cancel = []string{"m/u1"}
	change.Due = []session.DueItem{{Item: "outing/k3f9"}}
	if err := st.Commit(ctx, shard, f, change); !errors.Is(err, session.ErrUnavailable) {
		t.Errorf("Commit() on a full server = %v, want ErrUnavailable", err)
	}
	if err := st.TryWrite(ctx, shard, noon); !errors.Is(err, session.ErrUnavailable) {
		t.Errorf("TryWrite() on a full server = %v, want ErrUnavailable: that is what it is for", err)
	}
	if b, err := st.Backlog(ctx, shard); err != nil || b.Urgent != 1 {
		t.Errorf("Backlog() on a full server = %+v, %v, want it counted all the same", b, err)
	}
	if again, err := st.Lead(ctx, shard, "me", noon.Add(time.Minute), time.Hour); err != nil || again != f {
		t.Errorf("Lead() on a full server = %d, %v, want %d", again, err, f)
	}
	claimed, err := st.ClaimOut(ctx, shard, f, session.Urgent, noon, time.Minute, 10)
	if err != nil || len(claimed) != 1 {
		t.Fatalf("ClaimOut() on a full server = %v, %v, want the alert, neither lost nor cancelled", claimed, err)
	}
	if err := st.Settle(ctx, shard, f, claimed[0], session.Settlement{Panel: 8, Note: &session.Letter{ID: "n", Got: noon}}); err != nil {
		t.Errorf("Settle() on a full server = %v, want no error", err)
	}

	s.Do(t, "CONFIG", "SET", "maxmemory", "0")
	if items, err := st.AllDue(ctx, shard); err != nil || len(items) != 1 {
		t.Errorf("AllDue() = %v, %v: a refused change removed a deadline", items, err)
	}
	if n, _, err := st.Pending(ctx, shard); err != nil || n != 0 {
		t.Errorf("Pending() = %d, %v, want none", n, err)
	}
	change.Cancel = nil
	if err := st.Commit(ctx, shard, f, change); err != nil {
		t.Errorf("Commit() with memory again = %v, want no error", err)
	}
}

func TestTheStoreFollowsAFailover(t *testing.T) {
	g := storetest.StartGuarded(t)
	st := open(t, redisstore.Options{Addrs: []string{g.Sentinel.Addr}, MasterName: storetest.GuardedName})
	ctx := t.Context()
	f := lead(t, st)
	if err := st.Commit(ctx, shard, f, departure("u1", 0)); err != nil {
		t.Fatal(err)
	}
	g.Master.Do(t, "WAIT", 1, 5000)
	g.Sentinel.Do(t, "SENTINEL", "FAILOVER", storetest.GuardedName)
	storetest.Until(t, "the replica is master", func() bool {
		reply, err := g.Replica.Try("ROLE")
		role, _ := reply.([]any)
		return err == nil && len(role) > 0 && role[0] == "master"
	})
	g.Master.Kill(t)
	storetest.Until(t, "the store writes to the new master", func() bool {
		err := st.Commit(ctx, shard, f, departure("u2", 1))
		if err != nil && !errors.Is(err, session.ErrUnavailable) && !errors.Is(err, session.ErrDone) {
			t.Fatalf("Commit() during a failover = %v, want success, ErrUnavailable or ErrDone", err)
		}
		return !errors.Is(err, session.ErrUnavailable)
	})
	r, err := st.Load(ctx, shard, "outing/k3f9")
	if err != nil || r[0].Version != 2 {
		t.Errorf("Load() after the failover = %+v, %v, want version 2", r, err)
	}
}
