package storetest

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"ledgehand/session"
)

// model is what the store ought to hold, kept in the plainest way.
type model struct {
	records map[string]session.Record
	due     map[string]*modelDue
	out     map[string]*modelEntry
}

type modelDue struct{ at, next time.Time }

type modelEntry struct {
	session.Entry
	next time.Time
	hold string
}

// runModel plays random steps on the store and on the model and compares all they hold.
func runModel(t *testing.T, open Open) {
	for _, seed := range []uint64{1, 2, uint64(rand.Uint32())} {
		t.Run(fmt.Sprintf("Seed%d", seed), func(t *testing.T) {
			playModel(start(t, open), rand.New(rand.NewPCG(seed, 0)))
		})
	}
}

func playModel(b *bench, rng *rand.Rand) {
	m := model{records: map[string]session.Record{}, due: map[string]*modelDue{}, out: map[string]*modelEntry{}}
	now := noon
	name := func(kind string) string { return fmt.Sprintf("%s%d", kind, rng.IntN(6)) }
	var claims []session.Claimed // some of them outdated by the time they are settled
	for range 400 {
		now = now.Add(time.Duration(rng.IntN(20_000)) * time.Millisecond)
		switch rng.IntN(5) {
		case 0, 1:
			c := session.Change{Now: now}
			for _, key := range slices.Compact([]string{name("r"), name("s")}) {
				r := session.Record{Key: key, Version: m.records[key].Version, Body: fmt.Append(nil, rng.Uint64())}
				if rng.IntN(4) == 0 {
					r.Body = nil
					delete(m.records, key)
				} else {
					m.records[key] = session.Record{Key: key, Version: r.Version + 1, Body: r.Body}
				}
				c.Writes = append(c.Writes, r)
			}
			d := session.DueItem{Item: name("d"), At: now.Add(time.Duration(rng.IntN(60)-10) * time.Second)}
			if rng.IntN(4) == 0 {
				d.At = time.Time{}
				delete(m.due, d.Item)
			} else {
				m.due[d.Item] = &modelDue{d.At, d.At}
			}
			c.Due = []session.DueItem{d}
			gone := name("m")
			c.Cancel = []string{gone}
			delete(m.out, gone)
			e := entry(name("m"), []session.Lane{session.Urgent, session.Slow}[rng.IntN(2)], now.Add(time.Duration(rng.IntN(60)-10)*time.Second))
			e.Body = fmt.Append(nil, rng.Uint64())
			c.Post = []session.Entry{e}
			m.out[e.ID] = &modelEntry{Entry: e, next: e.At}
			b.commit(c)
		case 2:
			got := map[string]time.Time{}
			for _, d := range b.claimDue(now, 5*time.Second, 100) {
				got[d.Item] = d.At
			}
			want := map[string]time.Time{}
			for item, d := range m.due {
				if !d.next.After(now) {
					want[item] = d.at
					d.next = now.Add(5 * time.Second)
				}
			}
			if !maps.EqualFunc(got, want, time.Time.Equal) {
				b.t.Fatalf("ClaimDue() = %v, want %v", got, want)
			}
		case 3:
			lane := []session.Lane{session.Urgent, session.Slow}[rng.IntN(2)]
			claimed := b.claimOut(lane, now, 5*time.Second, 100)
			var want []string
			for id, e := range m.out {
				if e.Lane == lane && !e.next.After(now) {
					want = append(want, id)
					e.next = now.Add(5 * time.Second)
				}
			}
			slices.Sort(want)
			if got := slices.Sorted(slices.Values(entryIDs(claimed))); !slices.Equal(got, want) {
				b.t.Fatalf("ClaimOut(%s) = %q, want %q", lane, got, want)
			}
			for _, c := range claimed {
				if e := m.out[c.ID]; c.Attempt != e.Attempt || string(c.Body) != string(e.Body) {
					b.t.Fatalf("ClaimOut() = %+v, want %+v", c, e.Entry)
				}
				m.out[c.ID].hold = c.Hold
			}
			claims = append(claims, claimed...)
		case 4:
			if len(claims) == 0 {
				continue
			}
			i := rng.IntN(len(claims))
			c := claims[i]
			claims = slices.Delete(claims, i, i+1)
			var o session.Settlement
			if rng.IntN(2) == 0 {
				o.Retry = now.Add(time.Duration(rng.IntN(30)) * time.Second)
			}
			b.settle(c, o)
			if e := m.out[c.ID]; e != nil && e.hold == c.Hold {
				if o.Retry.IsZero() {
					delete(m.out, c.ID)
				} else {
					e.next, e.Attempt, e.hold = o.Retry, e.Attempt+1, ""
				}
			}
		}
		m.compare(b)
		if b.t.Failed() {
			return
		}
	}
}

func (m *model) compare(b *bench) {
	b.t.Helper()
	due := b.allDue()
	for item, d := range m.due {
		if !due[item].Equal(d.at) {
			b.t.Errorf("AllDue()[%q] = %v, want %v", item, due[item], d.at)
		}
	}
	if len(due) != len(m.due) {
		b.t.Errorf("AllDue() = %v, want %d items", due, len(m.due))
	}
	var oldest time.Time
	for _, e := range m.out {
		if e.Lane == session.Urgent && (oldest.IsZero() || e.Made.Before(oldest)) {
			oldest = e.Made
		}
	}
	if n, got := b.pending(); n != len(m.out) || !got.Equal(oldest) {
		b.t.Errorf("Pending() = %d, %v, want %d, %v", n, got, len(m.out), oldest)
	}
	keys, err := b.Keys(b.ctx, b.shard, "")
	if err != nil || !slices.Equal(slices.Sorted(slices.Values(keys)), slices.Sorted(maps.Keys(m.records))) {
		b.t.Errorf("Keys() = %q, %v, want %q", keys, err, slices.Sorted(maps.Keys(m.records)))
	}
	for _, r := range b.load(keys...) {
		if want := m.records[r.Key]; r.Version != want.Version || string(r.Body) != string(want.Body) {
			b.t.Errorf("Load(%q) = %+v, want %+v", r.Key, r, want)
		}
	}
}
