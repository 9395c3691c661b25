package redisstore_test

import (
	"flag"
	"testing"

	"github.com/alicebob/miniredis/v2"

	"ledgehand/session"
	"ledgehand/session/redisstore"
	"ledgehand/session/storetest"
)

var long = flag.Bool("long", false, "compare longer")

// The store in memory, on which every order of events is followed, does as the scripts do. Whoever changes one changes
// the other.
func alike(t *testing.T, addr string) {
	steps := 5000
	if *long {
		steps = 200_000
	}
	storetest.Alike(t, func(tb testing.TB) (session.Store, session.Leases) {
		st := open(tb, redisstore.Options{Addrs: []string{addr}})
		return st, st
	}, steps)
}

func TestMemoryDoesAsMiniredis(t *testing.T) { alike(t, miniredis.RunT(t).Addr()) }

func TestMemoryDoesAsRedis(t *testing.T) { alike(t, storetest.StartServer(t).Addr) }
