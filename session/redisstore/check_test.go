package redisstore_test

import (
	"strings"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"

	"ledgehand/session/redisstore"
	"ledgehand/session/storetest"
)

// findings maps each finding's name to it; on a Cluster the last of a name wins.
func findings(t *testing.T, st *redisstore.Store, now time.Time) map[string]redisstore.Finding {
	t.Helper()
	all := map[string]redisstore.Finding{}
	for _, f := range st.Check(t.Context(), now) {
		if f.Says == "" || f.OK != (f.Do == "") || f.OK && f.Fatal {
			t.Errorf("Check() = %+v: says nothing, or does not say what to do", f)
		}
		all[f.Name] = f
	}
	return all
}

func TestCheckAcceptsAServerSetUpForThis(t *testing.T) {
	st := open(t, redisstore.Options{Addrs: []string{storetest.StartServer(t, "--appendfsync", "always").Addr}})
	got := findings(t, st, time.Now())
	for _, name := range []string{"version", "role", "persistence", "fsync", "eviction", "clock"} {
		if !got[name].OK {
			t.Errorf("Check() on %s = %+v, want OK", name, got[name])
		}
	}
	if err := redisstore.FatalFindings(st.Check(t.Context(), time.Now())); err != nil {
		t.Errorf("FatalFindings() = %v, want none", err)
	}
}

func TestCheckFindsWhatWouldLosePeople(t *testing.T) {
	for name, c := range map[string]struct {
		args    []string
		now     time.Duration // how far our clock is ahead
		finding string
		fatal   bool
	}{
		"no append-only file": {args: []string{"--appendonly", "no"}, finding: "persistence", fatal: true},
		"fsync each second":   {args: []string{"--appendfsync", "everysec"}, finding: "fsync"},
		"no fsync":            {args: []string{"--appendfsync", "no"}, finding: "fsync"},
		"eviction":            {args: []string{"--maxmemory", "100mb", "--maxmemory-policy", "allkeys-lru"}, finding: "eviction", fatal: true},
		"a replica":           {args: []string{"--replicaof", "127.0.0.1 1", "--replica-serve-stale-data", "yes"}, finding: "role", fatal: true},
		"our clock is late":   {now: -10 * time.Second, finding: "clock"},
		"our clock is wrong":  {now: time.Hour, finding: "clock", fatal: true},
	} {
		t.Run(name, func(t *testing.T) {
			st := open(t, redisstore.Options{Addrs: []string{storetest.StartServer(t, append([]string{"--appendfsync", "always"}, c.args...)...).Addr}})
			got := findings(t, st, time.Now().Add(c.now))
			if f := got[c.finding]; f.OK || f.Fatal != c.fatal || f.Do == "" {
				t.Errorf("Check() on %s = %+v, want a finding with Fatal %v", c.finding, f, c.fatal)
			}
			for other, f := range got {
				if other != c.finding && !f.OK {
					t.Errorf("Check() on %s = %+v, want OK", other, f)
				}
			}
			err := redisstore.FatalFindings(st.Check(t.Context(), time.Now().Add(c.now)))
			if (err != nil) != c.fatal {
				t.Errorf("FatalFindings() = %v, want an error: %v", err, c.fatal)
			}
		})
	}
}

func TestEvictionWithoutALimitIsHarmless(t *testing.T) {
	st := open(t, redisstore.Options{Addrs: []string{storetest.StartServer(t, "--maxmemory-policy", "allkeys-lru").Addr}})
	if f := findings(t, st, time.Now())["eviction"]; !f.OK {
		t.Errorf("Check() = %+v, want OK: there is no maxmemory", f)
	}
}

func TestCheckLooksAtEveryMasterOfACluster(t *testing.T) {
	nodes := storetest.StartCluster(t, 3)
	for _, n := range nodes {
		n.Do(t, "CONFIG", "SET", "appendfsync", "always")
	}
	nodes[1].Do(t, "CONFIG", "SET", "appendonly", "no")
	st := open(t, redisstore.Options{Addrs: []string{nodes[0].Addr}, Cluster: true})
	var bad []redisstore.Finding
	n := 0
	for _, f := range st.Check(t.Context(), time.Now()) {
		n++
		if !f.OK {
			bad = append(bad, f)
		}
	}
	if n != 3*6 || len(bad) != 1 || bad[0].Name != "persistence" || !strings.Contains(bad[0].Says, nodes[1].Addr) {
		t.Errorf("Check() = %d findings, bad: %+v, want 18 and the one node without a file", n, bad)
	}
}

func TestCheckSaysWhatItCannotKnow(t *testing.T) {
	m := miniredis.RunT(t)
	now := time.Date(2027, 3, 14, 12, 0, 0, 0, time.UTC)
	m.SetTime(now)
	got := findings(t, open(t, redisstore.Options{Addrs: []string{m.Addr()}}), now)
	for _, name := range []string{"version", "role", "persistence", "fsync", "eviction"} {
		if f := got[name]; f.OK || f.Fatal || !strings.HasPrefix(f.Says, "unknown") {
			t.Errorf("Check() on %s = %+v, want unknown", name, f)
		}
	}
	if !got["clock"].OK {
		t.Errorf("Check() on the clock = %+v, want OK", got["clock"])
	}
}

func TestCheckOfAServerThatIsGoneIsFatal(t *testing.T) {
	m := miniredis.RunT(t)
	st := open(t, redisstore.Options{Addrs: []string{m.Addr()}})
	m.Close()
	found := st.Check(t.Context(), time.Now())
	if len(found) != 1 || found[0].Name != "reach" || !found[0].Fatal {
		t.Errorf("Check() = %+v, want that it cannot be reached", found)
	}
	if err := redisstore.FatalFindings(found); err == nil || !strings.Contains(err.Error(), "reach") {
		t.Errorf("FatalFindings() = %v, want an error", err)
	}
}
