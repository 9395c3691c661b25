package pump_test

import (
	"context"
	"flag"
	"fmt"
	"io"
	"log/slog"
	"math/big"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/session"
)

var longOrders = flag.Bool("long", false, "follow more orders of events: minutes instead of seconds")

// Every order of events. Several pieces of real code (a round of the pump, a letter being taken, the index being mended)
// run against one store in memory, and each single call of the store, and each message sent, is a step. A search follows
// every order in which the steps of all pieces can come, with one crash and one lost, refused or repeated reply anywhere.
//
// What a piece does next depends only on the answers it had so far. So its state is those answers: to go on from them it
// is run anew from its beginning with the answers read from a tape, up to the first call that is not on the tape. Each
// tape is run once, and states that are equal (store, what was sent, tapes) are gone on from once.

// call is the next step a piece wants to make.
type call struct {
	name string
	read bool // changes nothing
	do   func(w *world) answer
}

// answer is what a call gave back.
type answer struct {
	val any
	err error
}

// tape is a piece of code with the answers it had so far, and where it stands then.
type tape struct {
	id      int
	piece   *piece
	answers []answer
	call    *call // nil: it came to its end
	end     string
	next    map[string]*tape
}

// piece is one program that runs on one replica.
type piece struct {
	name    string
	replica string
	run     func(ctx context.Context, d *deck) error
	begun   *tape
}

// deck plays a tape: it is the store, the leases and the chat service of the piece that runs on it. Or it is live, and
// every call is made at once.
type deck struct {
	t    *tape
	at   int
	live *world
}

func ask[T any](d *deck, name string, read bool, do func(w *world) (T, error)) (T, error) {
	if d.live != nil {
		return do(d.live)
	}
	if d.at < len(d.t.answers) {
		a := d.t.answers[d.at]
		d.at++
		return a.val.(T), a.err
	}
	d.t.call = &call{name, read, func(w *world) answer { v, err := do(w); return answer{v, err} }}
	runtime.Goexit() // not a panic: the pump would catch that
	panic("not reached")
}

// follow finds out where a tape leads.
func (x *search) follow(p *piece, answers []answer) *tape {
	x.tapes++
	t := &tape{id: x.tapes, piece: p, answers: answers, next: map[string]*tape{}}
	var wg sync.WaitGroup
	wg.Go(func() {
		err := p.run(context.Background(), &deck{t: t})
		t.end = fmt.Sprint("ended: ", err)
	})
	wg.Wait()
	return t
}

func (x *search) after(t *tape, a answer) *tape {
	k := fmt.Sprintf("%v|%v", show(a.val), a.err)
	n := t.next[k]
	if n == nil {
		n = x.follow(t.piece, append(slices.Clip(t.answers), a))
		t.next[k] = n
	}
	return n
}

// show writes an answer so that two differ in it if they differ at all.
func show(v any) string {
	var b strings.Builder
	switch v := v.(type) {
	case []session.Record:
		for _, r := range v {
			fmt.Fprintf(&b, "%s %d %s;", r.Key, r.Version, r.Body)
		}
	case []session.Letter:
		for _, l := range v {
			fmt.Fprintf(&b, "%s %s %d %s;", l.Seq, l.ID, l.Got.UnixMilli(), l.Body)
		}
	case []session.Claimed:
		for _, c := range v {
			fmt.Fprintf(&b, "%s %s %d %d %s;", c.ID, c.Hold, c.At.UnixMilli(), c.Attempt, c.Body)
		}
	default:
		fmt.Fprintf(&b, "%+v", v)
	}
	return b.String()
}

// state is a point of the search.
type state struct {
	w       *world
	tapes   []*tape // nil: crashed
	crashes int     // still to come
	faults  int
}

func (s state) key() string {
	var b strings.Builder
	fmt.Fprint(&b, s.crashes, " ", s.faults)
	for _, t := range s.tapes {
		if t == nil {
			b.WriteString(" x")
		} else {
			fmt.Fprint(&b, " ", t.id)
		}
	}
	fmt.Fprint(&b, "|", s.w.key())
	return b.String()
}

type search struct {
	t       *testing.T
	restart func(replica string) []*piece // what starts where a replica crashed; nil: nothing
	check   func(w *world) []string       // of the end of each order, after a healthy replica went on
	checked map[string]bool
	pieces  map[string]*piece   // those that start on the way: each is one, whenever it starts
	orders  map[string]*big.Int // how many orders lead on from a state to an end
	tapes   int
	steps   int
	ends    int
	most    int // states; beyond that the search gives up
	over    bool
	way     []string
}

func (x *search) run(s state) *big.Int {
	key := s.key()
	if n := x.orders[key]; n != nil {
		return n
	}
	if len(x.orders) >= x.most {
		x.over = true
		return big.NewInt(0)
	}
	n := new(big.Int)
	moved := false
	to := func(what string, next state) {
		if x.t.Failed() {
			return
		}
		moved = true
		x.steps++
		x.way = append(x.way, what)
		if bad := next.w.bad; bad != "" {
			x.fail(bad)
		} else {
			n.Add(n, x.run(next))
		}
		x.way = x.way[:len(x.way)-1]
	}
	for i, t := range s.tapes {
		if t == nil || t.call == nil {
			continue
		}
		name := t.piece.name + " " + t.call.name
		step := func(w *world, a answer, faults int) state {
			tapes := slices.Clone(s.tapes)
			tapes[i] = x.after(t, a)
			return state{w, tapes, s.crashes, s.faults - faults}
		}
		w := s.w.change(t.call)
		a := t.call.do(w)
		to(name, step(w, a, 0))
		if s.faults > 0 {
			lost := answer{zero(a.val), fmt.Errorf("%w: lost", session.ErrUnavailable)}
			if _, sends := a.val.(chat.Sent); sends {
				lost = answer{chat.Sent{Result: chat.ResultUnknown}, nil}
			}
			hurt := w.fault()
			to(name+" (answer lost)", step(hurt, lost, 1))
			if !t.call.read {
				to(name+" (refused)", step(s.w.fault(), lost, 1))
				if _, sends := a.val.(chat.Sent); !sends { // the client of the store asks again by itself, that of the chat service does not
					twice := hurt.change(t.call)
					again := t.call.do(twice)
					to(name+" (answer lost, asked again)", step(twice, again, 1))
				}
			}
		}
	}
	if s.crashes > 0 {
		for _, r := range replicas(s.tapes) {
			w := s.w.fault()
			tapes := slices.Clone(s.tapes)
			for i, t := range tapes {
				if t != nil && t.piece.replica == r {
					tapes[i] = nil
				}
			}
			to(r+" crashes", state{w, tapes, s.crashes - 1, s.faults})
			if x.restart != nil {
				for _, p := range x.restart(r) {
					tapes = append(tapes, x.start(p))
				}
				to(r+" crashes and starts again", state{w, tapes, s.crashes - 1, s.faults})
			}
		}
	}
	if !moved || !slices.ContainsFunc(s.tapes, func(t *tape) bool { return t != nil && t.call != nil }) {
		x.ends++
		n.Add(n, big.NewInt(1))
		if k := s.w.key(); !x.checked[k] && !x.t.Failed() {
			x.checked[k] = true
			for _, bad := range x.check(s.w.clone()) {
				x.fail(bad)
			}
		}
	}
	x.orders[key] = n
	return n
}

func (x *search) fail(what string) {
	x.t.Helper()
	x.t.Errorf("%s\nway:\n  %s", what, strings.Join(x.way, "\n  "))
}

func (x *search) start(p *piece) *tape {
	if p.begun == nil {
		p.begun = x.follow(p, nil)
	}
	return p.begun
}

// piece is made once, so that its tapes are too.
func (x *search) piece(name string, make func() *piece) *piece {
	if x.pieces == nil {
		x.pieces = map[string]*piece{}
	}
	if x.pieces[name] == nil {
		x.pieces[name] = make()
	}
	return x.pieces[name]
}

// replicas lists those with a piece that still has something to do.
func replicas(tapes []*tape) []string {
	var out []string
	for _, t := range tapes {
		if t != nil && t.call != nil && !slices.Contains(out, t.piece.replica) {
			out = append(out, t.piece.replica)
		}
	}
	return out
}

// zero is what comes with an error.
func zero(v any) any {
	switch v.(type) {
	case bool:
		return false
	case session.Fence:
		return session.Fence(0)
	case int:
		return 0
	case []session.Letter:
		return []session.Letter(nil)
	case []session.Record:
		return []session.Record(nil)
	case begun:
		return begun{}
	case []session.DueItem:
		return []session.DueItem(nil)
	case []session.Claimed:
		return []session.Claimed(nil)
	case []string:
		return []string(nil)
	case chat.Sent:
		return chat.Sent{}
	case nothing:
		return nothing{}
	}
	panic(fmt.Sprintf("no zero of %T", v))
}

type nothing struct{}

func quiet() *slog.Logger { return slog.New(slog.NewTextHandler(io.Discard, nil)) }

// The deck as a store. Only the calls that the pieces make are there; the rest of the store would end the test.
type deckStore struct {
	session.Store
	d *deck
}

func changes(d *deck, name string, do func(w *world) error) error {
	_, err := ask(d, name, false, func(w *world) (nothing, error) { return nothing{}, do(w) })
	return err
}

func (s deckStore) Take(ctx context.Context, sh session.Shard, l session.Letter) (bool, error) {
	return ask(s.d, "take", false, func(w *world) (bool, error) { return w.take(ctx, sh, l) })
}

func (s deckStore) Waiting(ctx context.Context, sh session.Shard, after string, n int) ([]session.Letter, error) {
	return ask(s.d, "waiting", true, func(w *world) ([]session.Letter, error) { return w.store.Waiting(ctx, sh, after, n) })
}

func (s deckStore) Discard(ctx context.Context, sh session.Shard, f session.Fence, seq string) error {
	return changes(s.d, "discard", func(w *world) error { err := w.store.Discard(ctx, sh, f, seq); w.led("a discard", f, err); return err })
}

func (s deckStore) Load(ctx context.Context, sh session.Shard, keys ...string) ([]session.Record, error) {
	return ask(s.d, fmt.Sprint("load ", keys), true, func(w *world) ([]session.Record, error) { return w.store.Load(ctx, sh, keys...) })
}

func (s deckStore) Keys(ctx context.Context, sh session.Shard, prefix string) ([]string, error) {
	return ask(s.d, "keys", true, func(w *world) ([]string, error) { return w.store.Keys(ctx, sh, prefix) })
}

func (s deckStore) Done(ctx context.Context, sh session.Shard, cause string) (bool, error) {
	return ask(s.d, "done?", true, func(w *world) (bool, error) { return w.store.Done(ctx, sh, cause) })
}

// begun is what Begin answers.
type begun struct {
	done bool
	recs []session.Record
}

func (s deckStore) Begin(ctx context.Context, sh session.Shard, cause string, keys ...string) (bool, []session.Record, error) {
	b, err := ask(s.d, fmt.Sprint("begin ", cause, " ", keys), true, func(w *world) (begun, error) {
		done, recs, err := w.store.Begin(ctx, sh, cause, keys...)
		return begun{done, recs}, err
	})
	return b.done, b.recs, err
}

// CommitAll is one commit after the other: others may come in between.
func (s deckStore) CommitAll(ctx context.Context, sh session.Shard, f session.Fence, all []session.Change) []error {
	var errs []error
	for _, c := range all {
		errs = append(errs, s.Commit(ctx, sh, f, c))
	}
	return errs
}

func (s deckStore) Commit(ctx context.Context, sh session.Shard, f session.Fence, c session.Change) error {
	return changes(s.d, "commit "+c.Cause, func(w *world) error { return w.commit(ctx, sh, f, c) })
}

func (s deckStore) ClaimDue(ctx context.Context, sh session.Shard, f session.Fence, now time.Time, hold time.Duration, n int) ([]session.DueItem, error) {
	return ask(s.d, "claim due", false, func(w *world) ([]session.DueItem, error) {
		items, err := w.store.ClaimDue(ctx, sh, f, now, hold, n)
		w.led("a claim of due items", f, err)
		return items, err
	})
}

func (s deckStore) AllDue(ctx context.Context, sh session.Shard) ([]session.DueItem, error) {
	return ask(s.d, "all due", true, func(w *world) ([]session.DueItem, error) { return w.store.AllDue(ctx, sh) })
}

func (s deckStore) ClaimOut(ctx context.Context, sh session.Shard, f session.Fence, lane session.Lane, now time.Time, hold time.Duration, n int) ([]session.Claimed, error) {
	return ask(s.d, "claim "+string(lane), false, func(w *world) ([]session.Claimed, error) { return w.claimOut(ctx, sh, f, lane, now, hold, n) })
}

func (s deckStore) Settle(ctx context.Context, sh session.Shard, f session.Fence, c session.Claimed, o session.Settlement) error {
	return changes(s.d, "settle "+c.ID, func(w *world) error { return w.settle(ctx, sh, f, c, o) })
}

func (s deckStore) Lead(ctx context.Context, sh session.Shard, owner string, now time.Time, ttl time.Duration) (session.Fence, error) {
	return ask(s.d, "lead", false, func(w *world) (session.Fence, error) { return w.lead(ctx, sh, owner, now, ttl) })
}
