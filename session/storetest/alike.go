package storetest

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"ledgehand/session"
)

// Alike plays random steps on Memory and on another store and compares every answer, down to fences and holds. Half of
// all steps are played again at once, as a client does that lost the reply; some come with an outdated fence or claim.
func Alike(t *testing.T, open Open, steps int) {
	for _, seed := range []uint64{1, 2, uint64(rand.Uint32())} {
		t.Run(fmt.Sprintf("Seed%d", seed), func(t *testing.T) {
			m := NewMemory()
			st, leases := open(t)
			p := &pair{t: t, rng: rand.New(rand.NewPCG(seed, 0)), now: noon, stores: [2]side{{m, m}, {st, leases}}, met: map[string]int{}}
			for p.steps < steps && !t.Failed() {
				p.step()
			}
			t.Logf("%d answers compared: %v", p.steps, p.met)
			for _, what := range []string{"Commit", "Commit done", "Commit conflict", "Commit fenced", "ClaimDue", "ClaimDue fenced", "ClaimOut", "ClaimOut fenced", "Settle", "Settle fenced", "Bury", "Bury fenced", "Discard", "Discard fenced", "Lead", "Lead fenced"} {
				if seed <= 2 && p.met[what] == 0 && !t.Failed() { // of a random one no more is asked than that it is alike
					t.Errorf("no %s on the way: nothing was compared of it", what)
				}
			}
		})
	}
}

type side struct {
	session.Store
	session.Leases
}

type pair struct {
	t      *testing.T
	rng    *rand.Rand
	now    time.Time
	stores [2]side
	fences []session.Fence
	claims []session.Claimed
	causes int
	steps  int
	met    map[string]int // answers by kind; of claims only those that held something
}

const pairShard = session.Shard(5)

// both asks the two stores and compares what they say. It returns Memory's answer.
func both[T any](p *pair, what string, ask func(ctx context.Context, s side, i int) (T, error)) (T, error) {
	p.t.Helper()
	p.steps++
	var got [2]T
	var errs [2]error
	for i, s := range p.stores {
		got[i], errs[i] = ask(p.t.Context(), s, i)
	}
	word := [2]string{}
	for i, err := range errs {
		switch {
		case errors.Is(err, session.ErrDone):
			word[i] = " done"
		case errors.Is(err, session.ErrConflict):
			word[i] = " conflict"
		case errors.Is(err, session.ErrFenced):
			word[i] = " fenced"
		case err != nil:
			p.t.Fatalf("step %d, %s: %v", p.steps, what, err)
		}
	}
	if word[0] != word[1] {
		p.t.Fatalf("step %d, %s: in memory %v, the other %v", p.steps, what, errs[0], errs[1])
	}
	if word[0] != "" || fmt.Sprint(got[0]) != "[]" {
		p.met[what+word[0]]++
	}
	if a, b := fmt.Sprintf("%+v", got[0]), fmt.Sprintf("%+v", got[1]); a != b {
		p.t.Fatalf("step %d, %s: in memory\n%s\nthe other\n%s", p.steps, what, a, b)
	}
	return got[0], errs[0]
}

func do(p *pair, what string, act func(ctx context.Context, s side, i int) error) {
	p.t.Helper()
	for range 1 + p.rng.IntN(2) {
		_, _ = both(p, what, func(ctx context.Context, s side, i int) (string, error) { return "", act(ctx, s, i) })
	}
}

func (p *pair) name(kind string) string { return fmt.Sprintf("%s%d", kind, p.rng.IntN(4)) }

func (p *pair) at() time.Time {
	return p.now.Add(time.Duration(p.rng.IntN(60_000)-20_000) * time.Millisecond)
}

// fence is mostly the newest given out, sometimes an older one.
func (p *pair) fence() session.Fence {
	if len(p.fences) == 0 || p.rng.IntN(15) == 0 {
		return 0
	}
	if p.rng.IntN(4) == 0 {
		return p.fences[p.rng.IntN(len(p.fences))]
	}
	return p.fences[len(p.fences)-1]
}

// letters are the places of what waits, in both stores: they name them differently.
func (p *pair) letters() [][2]string {
	var seqs [2][]string
	if _, err := both(p, "Waiting", func(ctx context.Context, s side, i int) (out []string, err error) {
		ls, err := s.Waiting(ctx, pairShard, "", 1000)
		for _, l := range ls {
			seqs[i] = append(seqs[i], l.Seq)
			out = append(out, fmt.Sprintf("%s %v %q", l.ID, l.Got, l.Body))
		}
		return out, err
	}); err != nil {
		p.t.Fatal(err)
	}
	out := make([][2]string, len(seqs[0]))
	for n := range out {
		out[n] = [2]string{seqs[0][n], seqs[1][n]}
	}
	return out
}

func (p *pair) step() {
	p.now = p.now.Add(time.Duration(p.rng.IntN(15_000)) * time.Millisecond)
	f, now, lane := p.fence(), p.now, []session.Lane{session.Urgent, session.Slow}[p.rng.IntN(2)]
	hold := time.Duration(1+p.rng.IntN(30_000)) * time.Millisecond
	switch p.rng.IntN(14) {
	case 0:
		owner, ttl := p.name("owner"), time.Duration(1+p.rng.IntN(40))*time.Second
		if f, err := both(p, "Lead", func(ctx context.Context, s side, _ int) (session.Fence, error) {
			return s.Lead(ctx, pairShard, owner, now, ttl)
		}); err == nil {
			p.fences = append(p.fences, f)
		}
		if p.rng.IntN(6) == 0 {
			do(p, "Resign", func(ctx context.Context, s side, _ int) error { return s.Resign(ctx, pairShard, owner) })
		}
	case 1, 13:
		l := session.Letter{ID: p.name("u"), Got: now, Body: fmt.Append(nil, p.rng.Uint64())}
		for range 2 {
			_, _ = both(p, "Take", func(ctx context.Context, s side, _ int) (bool, error) { return s.Take(ctx, pairShard, l) })
			if p.rng.IntN(2) == 0 { // the edge of what counts as a repeat
				l.Got = l.Got.Add(repeats - time.Duration(p.rng.IntN(2))*time.Millisecond)
			}
		}
	case 2, 12:
		if ls := p.letters(); len(ls) > 0 {
			seq := ls[p.rng.IntN(len(ls))]
			if p.rng.IntN(2) > 0 {
				do(p, "Discard", func(ctx context.Context, s side, i int) error { return s.Discard(ctx, pairShard, f, seq[i]) })
			} else {
				do(p, "Bury", func(ctx context.Context, s side, i int) error { return s.Bury(ctx, pairShard, f, seq[i], "why") })
			}
		}
	case 3, 4, 5:
		p.commit(f)
	case 6, 7:
		_, _ = both(p, "ClaimDue", func(ctx context.Context, s side, _ int) ([]session.DueItem, error) {
			return s.ClaimDue(ctx, pairShard, f, now, hold, 1+int(now.UnixMilli()%3))
		})
	case 8, 9:
		cs, err := both(p, "ClaimOut", func(ctx context.Context, s side, _ int) ([]session.Claimed, error) {
			return s.ClaimOut(ctx, pairShard, f, lane, now, hold, 1+int(now.UnixMilli()%3))
		})
		if err == nil {
			p.claims = append(p.claims, cs...)
		}
	default:
		if len(p.claims) == 0 {
			return
		}
		c := p.claims[max(0, len(p.claims)-1-p.rng.IntN(4))]
		o := session.Settlement{Panel: p.rng.IntN(4) - 1}
		if p.rng.IntN(2) == 0 {
			o.Retry = p.at()
		}
		if p.rng.IntN(2) == 0 {
			o.Note = &session.Letter{ID: p.name("note"), Got: now, Body: []byte("n")}
		}
		do(p, "Settle", func(ctx context.Context, s side, _ int) error { return s.Settle(ctx, pairShard, f, c, o) })
	}
	if p.rng.IntN(3) == 0 {
		p.compare()
	}
}

func (p *pair) commit(f session.Fence) {
	c := session.Change{Cause: fmt.Sprintf("c%d", p.causes), Now: p.now}
	if p.rng.IntN(6) > 0 {
		p.causes++
		c.Cause = fmt.Sprintf("c%d", p.causes)
	}
	for _, key := range []string{"r" + p.name(""), "s" + p.name("")} {
		recs, err := p.stores[0].Load(p.t.Context(), pairShard, key)
		if err != nil {
			p.t.Fatal(err)
		}
		r := session.Record{Key: key, Version: recs[0].Version, Body: fmt.Append(nil, p.rng.Uint64())}
		switch p.rng.IntN(8) {
		case 0:
			r.Version++
		case 1:
			r.Body = nil
		}
		c.Writes = append(c.Writes, r)
	}
	if p.rng.IntN(3) == 0 {
		for _, key := range []string{"t" + p.name(""), "r" + p.name("")} {
			recs, err := p.stores[0].Load(p.t.Context(), pairShard, key)
			if err != nil {
				p.t.Fatal(err)
			}
			if p.rng.IntN(4) == 0 {
				recs[0].Version++
			}
			c.Same = append(c.Same, recs[0])
		}
	}
	c.Due = []session.DueItem{{Item: p.name("d"), At: p.at()}, {Item: p.name("e")}}
	if p.rng.IntN(2) == 0 {
		c.Due = append(c.Due, session.DueItem{Item: c.Due[1].Item, At: p.at()})
	}
	c.Cancel = []string{p.name("m"), p.name("m")}
	for range p.rng.IntN(3) {
		e := entry(p.name("m"), []session.Lane{session.Urgent, session.Slow}[p.rng.IntN(2)], p.at())
		e.PanelKey = p.name("panel")
		c.Post = append(c.Post, e)
	}
	if p.rng.IntN(3) == 0 {
		c.Notes = []session.Letter{{ID: p.name("note"), Got: p.now, Body: []byte("n")}}
	}
	var seq [2]string
	if ls := p.letters(); len(ls) > 0 && p.rng.IntN(4) == 0 {
		seq = ls[p.rng.IntN(len(ls))]
	}
	do(p, "Commit", func(ctx context.Context, s side, i int) error {
		c := c
		c.Letter = seq[i]
		return s.Commit(ctx, pairShard, f, c)
	})
	_, _ = both(p, "Done", func(ctx context.Context, s side, _ int) (bool, error) { return s.Done(ctx, pairShard, c.Cause) })
}

// compare asks for all that can be asked without changing anything.
func (p *pair) compare() {
	p.letters()
	keys, _ := both(p, "Keys", func(ctx context.Context, s side, _ int) ([]string, error) { return s.Keys(ctx, pairShard, "") })
	_, _ = both(p, "Load", func(ctx context.Context, s side, _ int) ([]session.Record, error) {
		return s.Load(ctx, pairShard, append(keys, "none")...)
	})
	_, _ = both(p, "AllDue", func(ctx context.Context, s side, _ int) (map[string]time.Time, error) {
		items, err := s.AllDue(ctx, pairShard)
		all := map[string]time.Time{}
		for _, d := range items {
			all[d.Item] = d.At
		}
		return all, err
	})
	_, _ = both(p, "Pending", func(ctx context.Context, s side, _ int) (string, error) {
		n, oldest, err := s.Pending(ctx, pairShard)
		return fmt.Sprint(n, oldest), err
	})
	panel := p.name("panel")
	_, _ = both(p, "Panel", func(ctx context.Context, s side, _ int) (int, error) { return s.Panel(ctx, pairShard, big, panel) })
	_, _ = both(p, "Buried", func(ctx context.Context, s side, _ int) (n int, err error) {
		dead, err := s.Buried(ctx, pairShard, 5)
		return len(dead), err
	})
}
