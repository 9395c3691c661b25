package storetest

import (
	"testing"
	"time"

	"ledgehand/session"
	"ledgehand/session/redisstore"
)

// OpenRedis opens a store on the server at addr, sealed with a key of its own, and closes it when the test ends.
func OpenRedis(tb testing.TB, addr, prefix string) *redisstore.Store {
	tb.Helper()
	ring, err := redisstore.ParseKeyring(redisstore.NewKey())
	if err != nil {
		tb.Fatal(err)
	}
	st, err := redisstore.Open(tb.Context(), redisstore.Options{Addrs: []string{addr}, Sealer: ring, Prefix: prefix})
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() {
		if err := st.Close(); err != nil {
			tb.Error(err)
		}
	})
	return st
}

// LeadAll takes the lease of every shard, from then on and longer than any test's clock runs; want is the fence it must get.
func LeadAll(tb testing.TB, st session.Leases, from time.Time, want session.Fence) {
	tb.Helper()
	for s := range session.Shard(session.Shards) {
		if f, err := st.Lead(tb.Context(), s, "me", from, 1000*time.Hour); err != nil || f != want {
			tb.Fatalf("Lead() = %v, %v, want fence %d", f, err, want)
		}
	}
}
