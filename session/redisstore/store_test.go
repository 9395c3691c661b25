package redisstore_test

import (
	"fmt"
	"os"
	"sync/atomic"
	"testing"

	"github.com/alicebob/miniredis/v2"

	"ledgehand/session"
	"ledgehand/session/redisstore"
	"ledgehand/session/storetest"
)

var _ session.Store = (*redisstore.Store)(nil)

func TestMain(m *testing.M) {
	redisstore.LogTo(nil) // the outages below are wanted
	os.Exit(m.Run())
}

// stores counts prefixes, so that each test has an empty store on a shared server.
var stores atomic.Int64

// open opens a store of its own on the given server.
func open(tb testing.TB, o redisstore.Options) *redisstore.Store {
	tb.Helper()
	if o.Sealer == nil {
		o.Sealer = ring(tb, redisstore.NewKey())
	}
	if o.Prefix == "" {
		o.Prefix = fmt.Sprintf("test%d", stores.Add(1))
	}
	st, err := redisstore.Open(tb.Context(), o)
	if err != nil {
		tb.Fatalf("Open() = %v, want no error", err)
	}
	tb.Cleanup(func() {
		if err := st.Close(); err != nil {
			tb.Errorf("Close() = %v, want no error", err)
		}
	})
	return st
}

func ring(tb testing.TB, keys ...string) *redisstore.Keyring {
	tb.Helper()
	text := ""
	for _, k := range keys {
		text += k + "\n"
	}
	r, err := redisstore.ParseKeyring(text)
	if err != nil {
		tb.Fatalf("ParseKeyring() = %v, want no error", err)
	}
	return r
}

func suite(t *testing.T, addrs ...string) {
	storetest.Run(t, func(tb testing.TB) (session.Store, session.Leases) {
		st := open(tb, redisstore.Options{Addrs: addrs})
		return st, st
	})
}

func TestContractOnMiniredis(t *testing.T) { suite(t, miniredis.RunT(t).Addr()) }

func TestContractOnRedis(t *testing.T) { suite(t, storetest.StartServer(t).Addr) }

func TestContractOnCluster(t *testing.T) {
	var addrs []string
	for _, s := range storetest.StartCluster(t, 3) {
		addrs = append(addrs, s.Addr)
	}
	suite(t, addrs...)
}
