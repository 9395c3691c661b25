// Package storetest is the contract of session.Store and session.Leases as a test suite, a wrapper
// that makes a store refuse or lose its answers, and helpers that start real Redis servers for tests.
//
// The suite knows nothing of Redis: it checks what the comments of session promise, through the
// interfaces. It does not check durability; a test that owns a server can kill it (Server).
package storetest

import (
	"bytes"
	"context"
	"math/rand/v2"
	"testing"
	"time"

	"ledgehand/session"
)

// Open makes an empty store. It registers its own clean-up.
type Open func(testing.TB) (session.Store, session.Leases)

// Run holds a store to the whole contract, each promise on a store of its own.
func Run(t *testing.T, open func(testing.TB) (session.Store, session.Leases)) {
	t.Run("inbox", func(t *testing.T) { runInbox(t, open) })
	t.Run("records", func(t *testing.T) { runRecords(t, open) })
	t.Run("commit", func(t *testing.T) { runCommit(t, open) })
	t.Run("many", func(t *testing.T) { runMany(t, open) })
	t.Run("due", func(t *testing.T) { runDue(t, open) })
	t.Run("outbox", func(t *testing.T) { runOutbox(t, open) })
	t.Run("leases", func(t *testing.T) { runLeases(t, open) })
	t.Run("backlog", func(t *testing.T) { runBacklog(t, open) })
	t.Run("model", func(t *testing.T) { runModel(t, open) })
}

// noon is when most of the suite happens: a fixed instant, so that nothing depends on today.
var noon = time.Date(2027, 3, 14, 12, 0, 0, 0, time.UTC)

// big is an id beyond 2^53, where a number kept as floating point loses its last digits.
const big = int64(-9_007_199_254_740_993)

// A bench is one open store with one led shard.
type bench struct {
	session.Store
	leases session.Leases
	t      testing.TB
	ctx    context.Context
	shard  session.Shard
	fence  session.Fence
	causes int
}

func start(t testing.TB, open Open) *bench {
	t.Helper()
	store, leases := open(t)
	b := &bench{Store: store, leases: leases, t: t, ctx: t.Context(), shard: 7}
	f, err := leases.Lead(b.ctx, b.shard, "me", noon, time.Hour)
	if err != nil {
		t.Fatalf("Lead() = %v, want no error", err)
	}
	b.fence = f
	return b
}

// cause makes a new one.
func (b *bench) cause() string {
	b.causes++
	return "u" + time.Duration(b.causes).String()
}

// commit fills in cause and now if they are missing and must succeed.
func (b *bench) commit(c session.Change) {
	b.t.Helper()
	if err := b.tryCommit(c); err != nil {
		b.t.Fatalf("Commit(%+v) = %v, want no error", c, err)
	}
}

func (b *bench) tryCommit(c session.Change) error {
	if c.Cause == "" {
		c.Cause = b.cause()
	}
	if c.Now.IsZero() {
		c.Now = noon
	}
	return b.Commit(b.ctx, b.shard, b.fence, c)
}

func (b *bench) take(id string, got time.Time, body []byte) bool {
	b.t.Helper()
	fresh, err := b.Take(b.ctx, b.shard, session.Letter{ID: id, Got: got, Body: body})
	if err != nil {
		b.t.Fatalf("Take(%q) = %v, want no error", id, err)
	}
	return fresh
}

func (b *bench) waiting() []session.Letter {
	b.t.Helper()
	letters, err := b.Waiting(b.ctx, b.shard, "", 10_000)
	if err != nil {
		b.t.Fatalf("Waiting() = %v, want no error", err)
	}
	return letters
}

func (b *bench) load(keys ...string) []session.Record {
	b.t.Helper()
	records, err := b.Load(b.ctx, b.shard, keys...)
	if err != nil {
		b.t.Fatalf("Load(%q) = %v, want no error", keys, err)
	}
	if len(records) != len(keys) {
		b.t.Fatalf("Load(%q) = %d records, want %d", keys, len(records), len(keys))
	}
	return records
}

func (b *bench) claimDue(now time.Time, hold time.Duration, n int) []session.DueItem {
	b.t.Helper()
	items, err := b.ClaimDue(b.ctx, b.shard, b.fence, now, hold, n)
	if err != nil {
		b.t.Fatalf("ClaimDue() = %v, want no error", err)
	}
	return items
}

func (b *bench) allDue() map[string]time.Time {
	b.t.Helper()
	items, err := b.AllDue(b.ctx, b.shard)
	if err != nil {
		b.t.Fatalf("AllDue() = %v, want no error", err)
	}
	all := map[string]time.Time{}
	for _, d := range items {
		all[d.Item] = d.At
	}
	if len(all) != len(items) {
		b.t.Fatalf("AllDue() = %v: an item is listed twice", items)
	}
	return all
}

func (b *bench) claimOut(lane session.Lane, now time.Time, hold time.Duration, n int) []session.Claimed {
	b.t.Helper()
	claimed, err := b.ClaimOut(b.ctx, b.shard, b.fence, lane, now, hold, n)
	if err != nil {
		b.t.Fatalf("ClaimOut(%s) = %v, want no error", lane, err)
	}
	return claimed
}

func (b *bench) settle(c session.Claimed, o session.Settlement) {
	b.t.Helper()
	if err := b.Settle(b.ctx, b.shard, b.fence, c, o); err != nil {
		b.t.Fatalf("Settle(%q, %+v) = %v, want no error", c.ID, o, err)
	}
}

func (b *bench) panel(chat int64, key string) int {
	b.t.Helper()
	id, err := b.Panel(b.ctx, b.shard, chat, key)
	if err != nil {
		b.t.Fatalf("Panel(%d, %q) = %v, want no error", chat, key, err)
	}
	return id
}

func (b *bench) pending() (int, time.Time) {
	b.t.Helper()
	n, oldest, err := b.Pending(b.ctx, b.shard)
	if err != nil {
		b.t.Fatalf("Pending() = %v, want no error", err)
	}
	return n, oldest
}

// other serves another shard of the same store under its own lease.
func (b *bench) other(s session.Shard) *bench {
	b.t.Helper()
	o := *b
	o.shard = s
	f, err := b.leases.Lead(b.ctx, s, "me", noon, time.Hour)
	if err != nil {
		b.t.Fatalf("Lead(%d) = %v, want no error", s, err)
	}
	o.fence = f
	return &o
}

func ids(letters []session.Letter) []string {
	var out []string
	for _, l := range letters {
		out = append(out, l.ID)
	}
	return out
}

func entryIDs(claimed []session.Claimed) []string {
	var out []string
	for _, c := range claimed {
		out = append(out, c.ID)
	}
	return out
}

func dueNames(items []session.DueItem) []string {
	var out []string
	for _, d := range items {
		out = append(out, d.Item)
	}
	return out
}

func entry(id string, lane session.Lane, at time.Time) session.Entry {
	return session.Entry{ID: id, Lane: lane, Chat: big, At: at, Made: at, Body: []byte(`{"text":"` + id + `"}`)}
}

// hostile are bodies that break what parses, prints or cuts them on the way.
func hostile() map[string][]byte {
	rng := rand.New(rand.NewPCG(1, 2))
	megabyte := make([]byte, 1<<20)
	for i := range megabyte {
		megabyte[i] = byte(rng.Uint32())
	}
	return map[string][]byte{
		"empty":          {},
		"nul":            {0},
		"not utf-8":      {0xff, 0xfe, 0x80},
		"protocol":       []byte("*1\r\n$8\r\nFLUSHALL\r\n"),
		"quotes":         []byte(`"]]..redis.call('FLUSHALL')..[["`),
		"big number":     []byte(`{"chat":-9007199254740993,"n":1234567890123456789}`),
		"empty list":     []byte(`{"list":[],"object":{}}`),
		"right to left":  []byte("\u202egnp.exe <b>&\"\u2028"),
		"long emoji":     bytes.Repeat([]byte("\U0001F469\u200d\U0001F692"), 64),
		"one megabyte":   megabyte,
		"looks sealed":   {1, 2, 3, 4, 5, 6},
		"trailing space": []byte(" \t\r\n"),
	}
}
