package pump_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/pump"
	"ledgehand/session"
	"ledgehand/session/outing"
	"ledgehand/session/storetest"
	"ledgehand/session/watch"
)

// The house in which every order of events is followed: Ana is alone on a ledge, half an hour late, so that Mo ashore is
// to be told now; a message waits to be sent; and Ana's own word comes in.

var (
	lone      = session.CrewOf(ana)
	loneShard = lone.Shard()
	backBy    = noon.Add(time.Hour)
	overdue   = backBy.Add(30 * time.Minute)
	k1        = "outing/" + string(lone) + "/k1"
)

// world is everything outside the pieces: the store, and what the chat service saw.
type world struct {
	store     *storetest.Memory
	sends     map[string]int    // messages by id, as they reached somebody
	owed      map[string]string // texts by id: decided, not called back, and not sent since
	gone      map[string]bool   // settled for good
	causes    map[string]bool   // committed
	fence     session.Fence     // the newest given out, and to whom
	leader    string
	took      bool // Ana's word was taken in
	confirmed bool // the chat service was told that Ana's word is in hand
	off       bool // the commit of "off" stands
	offSaid   bool // and Ana was told so
	late      bool // an alert went out after that
	excuses   int  // faults, crashes, and settlements that came too late: each may cost one message sent twice
	bad       string
}

func (w *world) clone() *world {
	c := *w
	c.store, c.sends, c.owed, c.gone, c.causes = w.store.Clone(), maps.Clone(w.sends), maps.Clone(w.owed), maps.Clone(w.gone), maps.Clone(w.causes)
	return &c
}

// change is the world in which a call is made: a copy, unless the call changes nothing.
func (w *world) change(c *call) *world {
	if c.read {
		return w
	}
	return w.clone()
}

// fault is the world after a fault: nothing else in it changed.
func (w *world) fault() *world {
	c := *w
	c.excuses++
	return &c
}

func (w *world) key() string {
	return fmt.Sprint(w.sends, w.owed, w.gone, w.confirmed, w.off, w.offSaid, w.late, w.excuses, w.bad, w.took, w.fence, w.leader, w.store.Key()) // causes are in the store's key
}

// led: what was done under a fence was done by whoever leads.
func (w *world) led(what string, f session.Fence, err error) {
	if err == nil && f != w.fence {
		w.bad = fmt.Sprintf("%s took effect under fence %d, with %d given out", what, f, w.fence)
	}
}

func (w *world) lead(ctx context.Context, sh session.Shard, owner string, now time.Time, ttl time.Duration) (session.Fence, error) {
	f, err := w.store.Lead(ctx, sh, owner, now, ttl)
	if err == nil && (owner == w.leader) != (f == w.fence) {
		w.bad = fmt.Sprintf("%s got fence %d, after %s had %d", owner, f, w.leader, w.fence)
	}
	if err == nil {
		w.fence, w.leader = f, owner
	}
	return f, err
}

func (w *world) take(ctx context.Context, sh session.Shard, l session.Letter) (bool, error) {
	fresh, err := w.store.Take(ctx, sh, l)
	if fresh && w.took {
		w.bad = l.ID + " was taken in twice"
	}
	w.took = w.took || fresh
	return fresh, err
}

func (w *world) commit(ctx context.Context, sh session.Shard, f session.Fence, c session.Change) error {
	err := w.store.Commit(ctx, sh, f, c)
	if w.led("a commit", f, err); err != nil {
		return err
	}
	if w.causes[c.Cause] {
		w.bad = c.Cause + " was committed twice"
	}
	w.causes[c.Cause] = true
	for _, id := range c.Cancel {
		delete(w.owed, id)
	}
	for _, e := range c.Post {
		var m chat.Message
		if err := json.Unmarshal(e.Body, &m); err != nil {
			w.bad = err.Error()
		}
		w.owed[e.ID] = m.Text
		delete(w.gone, e.ID)
		if strings.Contains(e.ID, "/off/") {
			w.off = true
		}
	}
	return nil
}

func (w *world) claimOut(ctx context.Context, sh session.Shard, f session.Fence, lane session.Lane, now time.Time, hold time.Duration, n int) ([]session.Claimed, error) {
	got, err := w.store.ClaimOut(ctx, sh, f, lane, now, hold, n)
	w.led("a claim of messages", f, err)
	for _, c := range got {
		if w.gone[c.ID] {
			w.bad = c.ID + " was settled and is claimed again"
		}
		if w.off && (strings.Contains(c.ID, "/contact/") || strings.Contains(c.ID, "/ask/")) {
			w.bad = c.ID + " is claimed though all are off"
		}
	}
	return got, err
}

func (w *world) settle(ctx context.Context, sh session.Shard, f session.Fence, c session.Claimed, o session.Settlement) error {
	before, _, _ := w.store.Pending(ctx, sh)
	err := w.store.Settle(ctx, sh, f, c, o)
	w.led("a settlement", f, err)
	after, _, _ := w.store.Pending(ctx, sh)
	switch {
	case errors.Is(err, session.ErrFenced):
		w.excuses++
	case err == nil && o.Retry.IsZero() && after < before:
		w.gone[c.ID] = true
	case err == nil && o.Retry.IsZero():
		w.excuses++ // the hold had ended, or it was called back meanwhile
	}
	return err
}

// Send is pump.Sender: messages of this house are named by their text.
func (d *deck) Send(_ context.Context, m chat.Message, _ int) chat.Sent {
	res, err := ask(d, "send "+m.Text, false, func(w *world) (chat.Sent, error) {
		w.sends[m.Text]++
		maps.DeleteFunc(w.owed, func(_, text string) bool { return text == m.Text })
		if strings.Contains(m.Text, "/off/") {
			w.offSaid = true
		}
		if w.offSaid && strings.Contains(m.Text, "/contact/") {
			w.late = true
		}
		return chat.Sent{Result: chat.ResultSent, Message: 7}, nil
	})
	if err != nil {
		return chat.Sent{Result: chat.ResultUnknown}
	}
	return res
}

// home is the desk and the herald over a real Service.
type home struct{ svc *session.Service }

func (h home) Elsewhere(context.Context, chat.Request, session.Shard, time.Time) ([]session.Shard, error) {
	return nil, nil
}

func (h home) Slow(chat.Request) bool { return false }

func (h home) Failed(context.Context, chat.Request, session.Cause, string) error {
	return errors.New("no letter of this house fails by itself")
}

// Handle does what the bot does with such a word: the event, what it calls back, what it says.
func (h home) Handle(ctx context.Context, r chat.Request, cause session.Cause) error {
	return h.svc.Do(ctx, cause, lone, func(tx *session.Tx) error {
		o, found, err := tx.LoadOuting("k1")
		if err != nil || !found {
			return fmt.Errorf("load k1: found %v, %w", found, err)
		}
		var e outing.Event = outing.SayOffRocks{By: ana}
		switch r.Text {
		case "+30":
			e = outing.SetDelay{By: ana, For: 30 * time.Minute}
		case "+40":
			e = outing.SetDelay{By: ana, For: 40 * time.Minute}
		case "to":
			e = outing.SetDelay{By: ana, To: tx.Now().Add(time.Minute)}
		}
		next, effects, err := o.Apply(e, tx.Now())
		if err != nil {
			return err
		}
		tx.Unsay(o.Outstanding()...)
		if err := tx.PutOuting(next); err != nil {
			return err
		}
		tx.Say(say("hello", session.Urgent, chat.Message{To: ana, Text: "hello again"})) // in place of the one that waits
		return h.OutingDue(tx, next, effects)
	})
}

func (h home) OutingDue(tx *session.Tx, o outing.Outing, effects []outing.Effect) error {
	for _, e := range effects {
		id := o.MessageID(e)
		m := say(id, session.Urgent, chat.Message{To: e.To.Chat, Text: id})
		m.Alert = e.Alert
		tx.Say(m)
	}
	return nil
}

func (h home) WatchDue(*session.Tx, watch.Watch, []watch.Effect) error { return nil }

func (home) InvitesOver(*session.Tx, int64, []session.MailInvite) error { return nil }

// rooms are the real parts over one deck.
func rooms(d *deck, f session.Fence) (*session.Service, *pump.Pump) {
	st, at := deckStore{d: d}, func(session.Shard) session.Fence { return f }
	svc := session.New(st, at)
	h := home{svc}
	return svc, &pump.Pump{
		Inbox:  &pump.Inbox{Store: st, Fence: at, Decode: decode, Desk: h, Log: quiet()},
		Outbox: &pump.Outbox{Store: st, Fence: at, Sender: d, Log: quiet()},
		Sweep: func(ctx context.Context, s session.Shard, now time.Time) (int, error) {
			return svc.Sweep(ctx, s, now, h)
		},
	}
}

// leads runs what a replica does once it leads; the first one leads from the start, under fence 1.
func leads(name, replica string, now time.Time, run func(ctx context.Context, svc *session.Service, p *pump.Pump) error) *piece {
	return &piece{name: name, replica: replica, run: func(ctx context.Context, d *deck) error {
		f := session.Fence(1)
		if replica != "A" {
			var err error
			if f, err = (deckStore{d: d}).Lead(ctx, loneShard, replica, now, time.Minute); err != nil {
				return err
			}
		}
		svc, p := rooms(d, f)
		return run(ctx, svc, p)
	}}
}

func round(replica string, now time.Time) *piece {
	return leads(replica, replica, now, func(ctx context.Context, _ *session.Service, p *pump.Pump) error {
		_, err := p.Round(ctx, loneShard, now)
		return err
	})
}

// jobs is a round in three pieces side by side, as if no replica kept them in order.
func jobs(replica string, now time.Time) []*piece {
	return []*piece{
		leads(replica+" inbox", replica, now, func(ctx context.Context, _ *session.Service, p *pump.Pump) error {
			_, err := p.Inbox.Step(ctx, loneShard, now)
			return err
		}),
		leads(replica+" sweep", replica, now, sweep(now)),
		leads(replica+" outbox", replica, now, func(ctx context.Context, _ *session.Service, p *pump.Pump) error {
			_, err := p.Outbox.Lane(ctx, loneShard, session.Urgent, now)
			return err
		}),
	}
}

func sweep(now time.Time) func(context.Context, *session.Service, *pump.Pump) error {
	return func(ctx context.Context, _ *session.Service, p *pump.Pump) error {
		_, err := p.Sweep(ctx, loneShard, now)
		return err
	}
}

// poller takes Ana's word in and then tells the chat service that it is in hand.
func poller(replica, line string) *piece {
	return &piece{name: replica + " poller", replica: replica, run: func(ctx context.Context, d *deck) error {
		if _, err := (deckStore{d: d}).Take(ctx, loneShard, session.Letter{ID: "u1", Got: overdue, Body: []byte(line)}); err != nil {
			return err
		}
		return changes(d, "confirm", func(w *world) error { w.confirmed = true; return nil })
	}}
}

// one handles one letter at once, beside everything else, as the pool does. The letters wait in the order of their ids.
func one(replica, id, line string, now time.Time) *piece {
	return leads(replica+" "+id, replica, now, func(ctx context.Context, svc *session.Service, p *pump.Pump) error {
		seq := id[1:] + "-0"
		if err := (home{svc}).Handle(ctx, chat.Request{Text: line}, session.Cause{ID: id, Now: now, Shard: loneShard, Letter: seq}); err != nil {
			return err
		}
		return p.Inbox.Store.Discard(ctx, loneShard, p.Inbox.Fence(loneShard), seq)
	})
}

func mend(replica string, now time.Time) *piece {
	return leads(replica+" mend", replica, now, func(ctx context.Context, svc *session.Service, _ *pump.Pump) error {
		_, err := svc.Reconcile(ctx, loneShard, now)
		return err
	})
}

// begin is the house at the moment at which Mo is to be told, with all that was due before said and sent.
func begin(t *testing.T) *world {
	t.Helper()
	w := &world{store: storetest.NewMemory(), sends: map[string]int{}, owed: map[string]string{}, gone: map[string]bool{}, causes: map[string]bool{}}
	ctx := t.Context()
	// The lease of A has just ended by the clock of B: B may take over at any moment from here on.
	if f, err := w.lead(ctx, loneShard, "A", noon, overdue.Sub(noon)); err != nil || f != 1 {
		t.Fatalf("Lead() = %v, %v", f, err)
	}
	o, _, err := outing.New(outing.Outing{ID: "k1", Crew: string(lone), Ledge: "Anvil", Zone: "UTC", OpenedBy: ana, BackBy: backBy, Ladder: outing.DefaultLadder(),
		People: []outing.Member{{ID: ana, Name: "Ana", Chat: ana}}, Contacts: []outing.Contact{{ID: mo, Name: "Mo", Chat: mo}}}, noon)
	if err != nil {
		t.Fatal(err)
	}
	svc, p := rooms(&deck{live: w}, 1)
	if err := svc.Do(ctx, session.Cause{ID: "open", Now: noon}, lone, func(tx *session.Tx) error { return tx.PutOuting(o) }); err != nil {
		t.Fatal(err)
	}
	if err := p.Settle(ctx, backBy, loneShard); err != nil {
		t.Fatal(err)
	}
	if len(w.sends) != 1 {
		t.Fatalf("sent %v, want the question at the back-by time", w.sends)
	}
	w.sends, w.gone = map[string]int{}, map[string]bool{}
	hello := say("hello", session.Urgent, chat.Message{To: ana, Text: "hello"})
	hello.At, hello.Made = overdue, overdue
	if err := w.commit(ctx, loneShard, 1, session.Change{Cause: "hello", Now: overdue, Post: []session.Entry{hello}}); err != nil {
		t.Fatal(err)
	}
	return w
}

func (w *world) outing(ctx context.Context) (o outing.Outing, err error) {
	recs, err := w.store.Load(ctx, loneShard, k1)
	if err != nil {
		return o, err
	}
	return o, json.Unmarshal(recs[0].Body, &o)
}

// ends looks at the end of one order: first as it is, then after a third, healthy replica went on for some hours.
func ends(ctx context.Context, w *world, delays int, closes bool) (bad []string) {
	say := func(format string, args ...any) { bad = append(bad, fmt.Sprintf(format, args...)) }
	indexed := func(when string) {
		o, err := w.outing(ctx)
		if err != nil {
			say("%s: %v", when, err)
			return
		}
		items, err := w.store.AllDue(ctx, loneShard)
		look := o.NextLook()
		switch {
		case err != nil:
			say("%s: %v", when, err)
		case look.IsZero() && when == "when all is done" && len(items) != 0:
			say("%s: a closed outing is due: %v", when, items)
		case !look.IsZero() && (len(items) != 1 || items[0].At.After(look.Add(time.Millisecond))):
			say("%s: the index says %v, the outing %v: its look would come late", when, items, look)
		}
	}
	indexed("as it is")

	now := overdue.Add(10 * time.Minute) // every lease and hold is over
	d := &deck{live: w}
	f, err := w.lead(ctx, loneShard, "C", now, 1000*time.Hour)
	if err != nil {
		say("Lead(C) = %v", err)
		return bad
	}
	if !w.confirmed { // the chat service brings it again
		if _, err := w.take(ctx, loneShard, session.Letter{ID: "u1", Got: overdue, Body: []byte(map[bool]string{true: "off", false: "+30"}[closes])}); err != nil {
			say("Take() = %v", err)
		}
	}
	_, p := rooms(d, f)
	for i := range 6 {
		if items, _ := w.store.AllDue(ctx, loneShard); i > 0 && len(items) > 0 && items[0].At.After(now) {
			now = items[0].At
		}
		if err := p.Settle(ctx, now, loneShard); err != nil {
			say("a healthy replica: %v", err)
		}
	}
	if items, _ := w.store.AllDue(ctx, loneShard); len(items) > 0 && !items[0].At.After(now) {
		say("%v is due at %v and never looked at", items[0], now)
	}
	if w.bad != "" {
		say("a healthy replica: %s", w.bad)
	}
	indexed("when all is done")
	o, err := w.outing(ctx)
	if err != nil {
		say("%v", err)
		return bad
	}
	if len(o.Delays) != delays || o.Closed() != closes {
		say("%d delays, closed %v: want %d, %v: the word had its effect once", len(o.Delays), o.Closed(), delays, closes)
	}
	told := map[string]int{}
	for _, x := range o.Told {
		told[fmt.Sprint(x.Rung, x.N, x.For.UnixMilli())]++
	}
	for what, n := range told {
		if n > 1 {
			say("%s was climbed %d times", what, n)
		}
	}
	contact := 0
	for _, x := range o.Told {
		if x.Rung == outing.RungContact && x.For.Equal(o.BackBy) {
			contact++
		}
	}
	if !closes && contact != 1 {
		say("the look at which Mo is told happened %d times", contact)
	}
	heard := func(kind string) (n int) {
		for id, times := range w.sends {
			if strings.Contains(id, "/"+kind+"/") {
				n += times
			}
		}
		return n
	}
	if closes && (heard("off") == 0 || heard("contact") > 0 && heard("stand_down") == 0) {
		say("off said %d times, Mo alarmed %d and stood down %d times", heard("off"), heard("contact"), heard("stand_down"))
	}
	if !closes && heard("contact") == 0 {
		say("Mo was never told")
	}
	if len(w.owed) != 0 || w.sends["hello"]+w.sends["hello again"] == 0 {
		say("never sent: %v", slices.Sorted(maps.Keys(w.owed)))
	}
	for id, n := range w.sends {
		if n > 1+w.excuses {
			say("%s was sent %d times, with %d reasons for once more", id, n, w.excuses)
		}
	}
	letters, err := w.store.Waiting(ctx, loneShard, "", 100)
	dead, err2 := w.store.Buried(ctx, loneShard, 100)
	n, _, err3 := w.store.Pending(ctx, loneShard)
	if len(letters)+len(dead)+n != 0 || errors.Join(err, err2, err3) != nil {
		say("left over: letters %v, dead %v, %d messages, %v", letters, dead, n, errors.Join(err, err2, err3))
	}
	return bad
}
