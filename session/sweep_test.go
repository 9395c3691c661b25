package session_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgehand/session"
	"ledgehand/session/outing"
	"ledgehand/session/watch"
)

// herald says every effect as a message of its own and fails for those named.
type herald struct {
	fail   map[string]error
	breaks string // the outing over which it panics
	heard  []string
}

func (h *herald) OutingDue(tx *session.Tx, o outing.Outing, effects []outing.Effect) error {
	for _, e := range effects {
		tx.Say(session.Entry{ID: o.MessageID(e), Lane: session.Urgent, Chat: e.To.Chat, Alert: e.Alert, Body: []byte(e.Kind)})
		h.heard = append(h.heard, fmt.Sprintf("%s %s>%d", o.ID, e.Kind, e.To.Chat))
	}
	if o.ID == h.breaks {
		panic("Ana at 38.9546, -123.7406")
	}
	return h.fail[o.ID]
}

func (h *herald) WatchDue(tx *session.Tx, w watch.Watch, effects []watch.Effect) error {
	for _, e := range effects {
		tx.Say(session.Entry{Lane: session.Urgent, Chat: group, Body: []byte(e.Kind)})
		h.heard = append(h.heard, fmt.Sprintf("%s %s%d", w.ID, e.Kind, e.N))
	}
	return h.fail[w.ID]
}

func (h *herald) InvitesOver(tx *session.Tx, of int64, over []session.MailInvite) error {
	for _, i := range over {
		h.heard = append(h.heard, fmt.Sprintf("%d invited %s", of, i.Name))
	}
	return h.fail["invites"]
}

func (b *bench) sweep(now time.Time, h *herald) (int, error) {
	b.Helper()
	h.heard = nil
	return b.svc.Sweep(b.Context(), crewID.Shard(), now, h)
}

func (b *bench) swept(now time.Time, h *herald, want ...string) {
	b.Helper()
	if _, err := b.sweep(now, h); err != nil {
		b.Fatalf("Sweep(%v) = %v, want no error", now, err)
	}
	if !slices.Equal(h.heard, want) {
		b.Errorf("Sweep(%v) says %q, want %q", now, h.heard, want)
	}
}

func itemOf(id string) string { return "outing/" + string(crewID) + "/" + id }

func TestSweepTicksAndCommits(t *testing.T) {
	b, h := open(t), &herald{}
	backBy := noon.Add(backIn)
	w, err := watch.New(watch.Watch{ID: "w1", By: ana, Length: 21 * time.Minute}, noon)
	if err != nil {
		t.Fatal(err)
	}
	b.do("u1", noon, putOuting(party(t, "k1", backBy, noon)))
	b.do("u2", noon, func(tx *session.Tx) error { return tx.PutWatch(w) })

	b.swept(noon.Add(7*time.Minute-time.Millisecond), h)
	b.swept(noon.Add(7*time.Minute), h, "w1 prompt1")
	b.swept(noon.Add(7*time.Minute), h) // had its look
	b.swept(noon.Add(21*time.Minute), h, "w1 result0")
	if got := b.due(); len(got) != 1 || len(b.crew().Watches) != 0 {
		t.Errorf("index = %v, crew lists %v, want the outing's look alone and no watch", got, b.crew().Watches)
	}
	b.swept(backBy.Add(-remindBefore), h, "k1 remind>11", "k1 remind>-500")
	b.swept(backBy, h, "k1 ask>11", "k1 ask>-500")
	b.swept(backBy.Add(15*time.Minute), h, "k1 party>-500")
	b.swept(backBy.Add(30*time.Minute), h, "k1 contact>21")
	if o := b.outing("k1"); len(o.Told) != 4 {
		t.Errorf("the outing remembers %d rungs, want 4", len(o.Told))
	}
	if got := len(b.said(session.Urgent, backBy.Add(time.Hour))); got != 8 {
		t.Errorf("%d messages were queued, want 8: what was said is committed with the record", got)
	}
	now := backBy.Add(31 * time.Minute)
	b.do("u3", now, putOuting(off(t, b.outing("k1"), now)))
	b.swept(now.Add(24*time.Hour), h)
	if got := b.due(); len(got) != 1 || !got[itemOf("k1")].Equal(now.Add(outing.Keeps)) {
		t.Errorf("index = %v, want nothing but the wipe once all are off", got)
	}
	b.swept(now.Add(outing.Keeps), h)
	if got := b.due(); len(got) != 0 || !b.outing("k1").Wiped() {
		t.Errorf("index = %v, want it empty once the outing is wiped", got)
	}
	b.reconcile(now.Add(outing.Keeps))
}

// I3: what cannot be told stays due, and does not keep the others from being told.
func TestAFailingHeraldKeepsItsItemAndNoOther(t *testing.T) {
	b := open(t)
	wrong := errors.New("no words")
	h := &herald{fail: map[string]error{"k2": wrong}}
	backBy := noon.Add(backIn)
	for _, id := range []string{"k1", "k2", "k3"} {
		b.do("u"+id, noon, putOuting(party(t, id, backBy, noon)))
	}
	n, err := b.sweep(backBy, h)
	if n != 3 || !errors.Is(err, wrong) {
		t.Errorf("Sweep() = %d, %v, want all three looked at and the herald's error", n, err)
	}
	for id, told := range map[string]int{"k1": 1, "k2": 0, "k3": 1} {
		if o := b.outing(id); len(o.Told) != told {
			t.Errorf("%s remembers %d rungs, want %d: a record is written only with its words", id, len(o.Told), told)
		}
	}
	if got := len(b.said(session.Urgent, backBy)); got != 4 {
		t.Errorf("%d messages are queued, want the 4 of those that went well", got)
	}
	if at, ok := b.due()[itemOf("k2")]; !ok || at.After(backBy) {
		t.Errorf("the failed item is due %v, %v, want it still due for when it was", at, ok)
	}
	h.fail = nil
	b.swept(backBy.Add(claimHold-time.Millisecond), h)
	b.swept(backBy.Add(claimHold), h, "k2 ask>11", "k2 ask>-500")
}

// A replica that dies between claim and commit leaves the item held; when the hold ends it comes again.
// What breaks over one record ends nobody else's alert; the record stays due, and what broke is told without what was in it.
func TestAPanicKeepsItsItemAndNoOther(t *testing.T) {
	b, h := open(t), &herald{breaks: "k2"}
	backBy := noon.Add(backIn)
	for _, id := range []string{"k1", "k2", "k3"} {
		b.do("u"+id, noon, putOuting(party(t, id, backBy, noon)))
	}
	n, err := b.sweep(backBy, h)
	if n != 3 || err == nil || !strings.Contains(err.Error(), "panicked") || strings.Contains(err.Error(), "38.9546") {
		t.Errorf("Sweep() = %d, %v, want all three looked at and a panic told without what it holds", n, err)
	}
	if got := len(b.said(session.Urgent, backBy)); got != 4 {
		t.Errorf("%d messages are queued, want the 4 of those that went well", got)
	}
	h.breaks = ""
	if n, err = b.sweep(backBy.Add(time.Minute), h); n != 1 || err != nil || len(b.outing("k2").Told) != 1 {
		t.Errorf("Sweep() once it is mended = %d, %v, want the one that was left", n, err)
	}
}

func TestACrashAfterTheClaimIsLateNotLost(t *testing.T) {
	b, h := open(t), &herald{}
	backBy := noon.Add(backIn)
	b.do("u1", noon, putOuting(party(t, "k1", backBy, noon)))
	claimed, err := b.store.ClaimDue(t.Context(), crewID.Shard(), fence0, backBy, claimHold, enough)
	if err != nil || len(claimed) != 1 {
		t.Fatalf("ClaimDue() = %v, %v, want the outing", claimed, err)
	}
	b.swept(backBy, h)
	b.swept(backBy.Add(claimHold), h, "k1 ask>11", "k1 ask>-500")
	b.swept(backBy.Add(claimHold), h)
}

// The reply to a sweep's commit may be lost: the alert is queued once and the ladder goes on.
func TestALostReplyToTheSweepDoesNotAlarmTwice(t *testing.T) {
	b := open(t)
	h := &herald{}
	backBy := noon.Add(backIn)
	b.do("u1", noon, putOuting(party(t, "k1", backBy, noon)))
	dropping := &droppingHerald{herald: h, drop: func() { b.store.DropReplies(1) }}
	if _, err := b.svc.Sweep(t.Context(), crewID.Shard(), backBy, dropping); !errors.Is(err, session.ErrUnavailable) {
		t.Fatalf("Sweep() with the reply lost = %v, want ErrUnavailable", err)
	}
	b.swept(backBy.Add(claimHold), h)
	wantIDs(t, "queued", b.said(session.Urgent, backBy.Add(time.Hour)),
		fmt.Sprintf("k1/%d/ask/0/11", backBy.UnixMilli()), fmt.Sprintf("k1/%d/ask/0/-500", backBy.UnixMilli()))
	b.swept(backBy.Add(15*time.Minute), h, "k1 party>-500")
}

type droppingHerald struct {
	*herald
	drop func()
}

func (d *droppingHerald) OutingDue(tx *session.Tx, o outing.Outing, effects []outing.Effect) error {
	defer d.drop()
	return d.herald.OutingDue(tx, o, effects)
}

func TestAnOutageStopsTheSweep(t *testing.T) {
	b, h := open(t), &herald{}
	b.do("u1", noon, putOuting(party(t, "k1", noon.Add(backIn), noon)))
	b.store.Off()
	if _, err := b.sweep(noon.Add(backIn), h); !errors.Is(err, session.ErrUnavailable) || len(h.heard) != 0 {
		t.Errorf("Sweep() without a store = %v, says %v, want ErrUnavailable and nothing", err, h.heard)
	}
	b.store.On()
	b.swept(noon.Add(backIn), h, "k1 ask>11", "k1 ask>-500")
}

// A sweep may run within the very millisecond an instant falls into, a part of it early. That must not use the
// instant up: the alert would never fire.
func TestASweepAPartOfAMillisecondEarlyLosesNothing(t *testing.T) {
	b, h := open(t), &herald{}
	backBy := noon.Add(backIn + 700*time.Microsecond)
	b.do("u1", noon, putOuting(party(t, "k1", backBy, noon)))
	remind := backBy.Add(-remindBefore)
	for early := time.Millisecond; early > 0; early -= 50 * time.Microsecond {
		b.swept(remind.Add(-early), h)
	}
	b.swept(remind.Add(time.Millisecond), h, "k1 remind>11", "k1 remind>-500")
	b.swept(backBy.Add(time.Millisecond), h, "k1 ask>11", "k1 ask>-500")
}

// The index may name an instant again that had its look: mended from the record, restored, or set by hand.
func TestAnInstantThatHadItsLookIsLookedAtAgain(t *testing.T) {
	b, h := open(t), &herald{}
	backBy := noon.Add(backIn)
	b.do("u1", noon, putOuting(party(t, "k1", backBy, noon)))
	b.swept(backBy, h, "k1 ask>11", "k1 ask>-500")
	b.index("by hand", session.DueItem{Item: itemOf("k1"), At: backBy.Add(-remindBefore)}) // what the look above was for
	b.swept(backBy.Add(15*time.Minute), h, "k1 party>-500")
	if at := b.due()[itemOf("k1")]; !at.Equal(backBy.Add(30 * time.Minute)) {
		t.Errorf("next look at %v, want the next rung: it must not be claimed for ever", at)
	}
}

func TestSweepDropsWhatIsNothingOfOurs(t *testing.T) {
	b, h := open(t), &herald{}
	b.index("x", session.DueItem{Item: "rubbish", At: noon}, session.DueItem{Item: "what/" + string(crewID) + "/k1", At: noon},
		session.DueItem{Item: itemOf("gone"), At: noon}, session.DueItem{Item: "watch/" + string(crewID) + "/gone", At: noon})
	b.do("u1", noon, putOuting(party(t, "k1", noon.Add(time.Hour), noon)))
	if n, err := b.sweep(noon, h); n != 4 || err != nil {
		t.Errorf("Sweep() = %d, %v, want 4 looked at", n, err)
	}
	if got := b.due(); len(got) != 1 || got[itemOf("k1")].IsZero() {
		t.Errorf("index = %v, want the open outing alone", got)
	}
}

func TestADamagedOutingDoesNotSilenceOthers(t *testing.T) {
	b, h := open(t), &herald{}
	backBy := noon.Add(backIn)
	for _, id := range []string{"k1", "k2"} {
		b.do("u"+id, noon, putOuting(party(t, id, backBy, noon)))
	}
	b.damage(itemOf("k1"))
	if n, err := b.sweep(backBy, h); n != 2 || err == nil || !slices.Equal(h.heard, []string{"k2 ask>11", "k2 ask>-500"}) {
		t.Errorf("Sweep() = %d, %v, says %v; want an error of k1 and k2 told", n, err, h.heard)
	}
	if _, ok := b.due()[itemOf("k1")]; !ok {
		t.Error("the damaged outing left the index")
	}
}

func TestMoreDueThanOneClaimTakes(t *testing.T) {
	b, h := open(t), &herald{}
	const n = 250
	backBy := noon.Add(backIn)
	b.do("u1", noon, func(tx *session.Tx) error {
		for i := range n {
			if err := tx.PutOuting(party(t, fmt.Sprintf("k%03d", i), backBy, noon)); err != nil {
				return err
			}
		}
		return nil
	})
	if got, err := b.sweep(backBy, h); got != n || err != nil || len(h.heard) != 2*n {
		t.Errorf("Sweep() = %d, %v, says %d things, want %d and %d", got, err, len(h.heard), n, 2*n)
	}
}

func (b *bench) reconcile(now time.Time, want ...string) {
	b.Helper()
	got, err := b.svc.Reconcile(b.Context(), crewID.Shard(), now)
	if err != nil || !slices.Equal(got, want) {
		b.Errorf("Reconcile(%v) = %q, %v, want %q", now, got, err, want)
	}
}

// The records are the truth: whatever is wrong in the index is mended from them, and said.
func TestReconcile(t *testing.T) {
	backBy := noon.Add(backIn + 123456*time.Nanosecond)
	look := backBy.Add(-remindBefore)
	start := func(t *testing.T) *bench {
		b := open(t)
		b.do("u1", noon, putOuting(party(t, "k1", backBy, noon)))
		gone, _ := off(t, party(t, "k2", backBy, noon), noon).Tick(noon.Add(outing.Keeps))
		b.do("u2", noon, putOuting(gone)) // ended and wiped: it wants no look any more
		w, err := watch.New(watch.Watch{ID: "w1", By: ana, Length: time.Hour}, noon)
		if err != nil {
			t.Fatal(err)
		}
		b.do("u3", noon, func(tx *session.Tx) error { return tx.PutWatch(w) })
		return b
	}
	right := func(t *testing.T, b *bench) {
		t.Helper()
		got := b.due()
		if at := got[itemOf("k1")]; len(got) != 2 || at.Before(look) || at.Sub(look) >= time.Millisecond || !got["watch/"+string(crewID)+"/w1"].Equal(noon.Add(20*time.Minute)) {
			t.Errorf("index = %v, want one look of k1 and one of w1, when they want it", got)
		}
	}
	w1 := "watch/" + string(crewID) + "/w1"

	t.Run("AllRight", func(t *testing.T) {
		b := start(t)
		before, crew := b.redis.Dump(), b.record("crew/"+string(crewID)).Version
		b.reconcile(noon)
		if after := b.redis.Dump(); after != before {
			t.Errorf("Reconcile() with nothing wrong changed the store from\n%s\nto\n%s", before, after)
		}
		if v := b.record("crew/" + string(crewID)).Version; v != crew {
			t.Errorf("crew version %d, want %d", v, crew)
		}
		right(t, b)
	})
	t.Run("Missing", func(t *testing.T) {
		b := start(t)
		b.index("x", session.DueItem{Item: itemOf("k1")}, session.DueItem{Item: w1})
		b.reconcile(noon, itemOf("k1"), w1)
		right(t, b)
		b.reconcile(noon)
	})
	t.Run("NeverWiped", func(t *testing.T) { // as by a version that kept it for ever
		b, h := start(t), &herald{}
		b.do("u4", noon, putOuting(off(t, party(t, "k3", backBy, noon), noon)))
		b.index("x", session.DueItem{Item: itemOf("k3")})
		later := noon.Add(100 * 24 * time.Hour)
		b.reconcile(later, itemOf("k3"))
		if _, err := b.sweep(later, h); err != nil {
			t.Fatal(err)
		}
		if !b.outing("k3").Wiped() {
			t.Error("an outing that ended long ago is not wiped")
		}
	})
	t.Run("Late", func(t *testing.T) {
		b := start(t)
		b.index("x", session.DueItem{Item: itemOf("k1"), At: look.Add(time.Hour)})
		b.reconcile(noon, itemOf("k1"))
		right(t, b)
	})
	t.Run("LateByAMinute", func(t *testing.T) {
		b := start(t)
		b.index("x", session.DueItem{Item: itemOf("k1"), At: look.Add(time.Minute)})
		b.reconcile(noon, itemOf("k1"))
		right(t, b)
	})
	t.Run("Extra", func(t *testing.T) {
		b := start(t)
		b.index("x", session.DueItem{Item: itemOf("k2"), At: look})
		b.reconcile(noon, itemOf("k2"))
		right(t, b)
	})
	t.Run("Early", func(t *testing.T) { // does no harm: the sweep finds nothing to do and sets it right
		b, h := start(t), &herald{}
		b.index("x", session.DueItem{Item: itemOf("k1"), At: noon})
		b.reconcile(noon)
		b.swept(noon, h)
		right(t, b)
	})
	t.Run("Held", func(t *testing.T) {
		b := start(t)
		if _, err := b.store.ClaimDue(t.Context(), crewID.Shard(), fence0, look.Add(time.Second), claimHold, enough); err != nil {
			t.Fatal(err)
		}
		b.reconcile(look.Add(2 * time.Second))
	})
	t.Run("SetAMinuteAhead", func(t *testing.T) {
		b := start(t)
		now := backBy.Add(time.Hour)
		b.do("u9", now, putOuting(b.outing("k1")))
		b.reconcile(now)
	})
	t.Run("LostWhileOverdue", func(t *testing.T) {
		b, h := start(t), &herald{}
		b.swept(backBy.Add(time.Millisecond), h, "w1 result0", "k1 ask>11", "k1 ask>-500")
		b.index("x", session.DueItem{Item: itemOf("k1")})
		now := backBy.Add(16 * time.Minute)
		b.reconcile(now, itemOf("k1"))
		b.swept(now, h, "k1 party>-500")
	})
	t.Run("PastADamagedRecord", func(t *testing.T) {
		b := start(t)
		b.do("u9", noon, putOuting(party(t, "k0", backBy, noon)))
		b.index("x", session.DueItem{Item: itemOf("k1")}, session.DueItem{Item: w1})
		b.damage(itemOf("k0"))
		got, err := b.svc.Reconcile(t.Context(), crewID.Shard(), noon)
		if err == nil || !slices.Equal(got, []string{itemOf("k1"), w1}) {
			t.Errorf("Reconcile() = %q, %v, want an error of k0 and the others mended", got, err)
		}
	})
	t.Run("Outage", func(t *testing.T) {
		b := start(t)
		b.store.Off()
		if got, err := b.svc.Reconcile(t.Context(), crewID.Shard(), noon); !errors.Is(err, session.ErrUnavailable) || got != nil {
			t.Errorf("Reconcile() without a store = %v, %v, want ErrUnavailable", got, err)
		}
	})
}

// Whatever happens to the index, and however sweeps are torn, an outing nobody called off reaches its contacts.
func TestAnOverdueOutingAlwaysReachesThoseAshore(t *testing.T) {
	for _, seed := range []uint64{1, 2, rand.Uint64()} {
		t.Run(fmt.Sprintf("Seed%d", seed), func(t *testing.T) {
			rng := rand.New(rand.NewPCG(seed, 0))
			b, h := open(t), &herald{}
			backBy := noon.Add(backIn + time.Duration(rng.Int64N(int64(time.Second))))
			b.do("u1", noon, putOuting(party(t, "k1", backBy, noon)))
			contacts := 0
			for step, now := 0, backBy.Add(-20*time.Minute); now.Before(backBy.Add(50 * time.Minute)); step++ {
				switch cause := fmt.Sprintf("x%d", step); rng.IntN(12) {
				case 0: // the index forgets it
					b.index(cause, session.DueItem{Item: itemOf("k1")})
				case 1: // or has it for another time
					b.index(cause, session.DueItem{Item: itemOf("k1"), At: now.Add(time.Duration(rng.Int64N(int64(2*time.Hour))) - time.Hour)})
				case 2: // a claim whose owner died
					if _, err := b.store.ClaimDue(t.Context(), crewID.Shard(), fence0, now, claimHold, enough); err != nil {
						t.Fatal(err)
					}
				case 3: // words fail
					h.fail = map[string]error{"k1": errors.New("no words")}
				case 4:
					b.store.Off()
				}
				_, _ = b.sweep(now, h) // its errors are wanted
				h.fail = nil
				b.store.On()
				if step%10 == 0 {
					if _, err := b.svc.Reconcile(t.Context(), crewID.Shard(), now); err != nil {
						t.Fatal(err)
					}
				}
				now = now.Add(time.Duration(rng.Int64N(int64(20 * time.Second))))
			}
			for _, e := range b.said(session.Urgent, backBy.Add(time.Hour)) {
				if string(e.Body) == string(outing.SayContact) {
					contacts++
				}
			}
			if contacts < 2 { // the first alert at 30 minutes and the repeat at 40, each at most a few minutes late
				t.Errorf("%d alerts to those ashore 50 minutes after the time, want at least 2", contacts)
			}
		})
	}
}

// Found by following every order: a look worked out from a record that changed before the commit would stand in the index
// in place of the new record's, and later than that.
func TestALookOfAnOlderRecordIsNotIndexed(t *testing.T) {
	b := open(t)
	backBy := noon.Add(backIn)
	o := party(t, "k1", backBy, noon)
	b.do("u1", noon, putOuting(o))
	between := func() {
		sooner, _, err := o.Apply(outing.SetDelay{By: ana, To: noon.Add(time.Minute)}, noon)
		if err != nil {
			t.Fatal(err)
		}
		b.do("u3", noon, putOuting(sooner))
	}
	runs := 0
	b.do("u2", noon, func(tx *session.Tx) error { // changes nothing, as a look before its time
		o, _, err := tx.LoadOuting("k1")
		if err != nil {
			return err
		}
		if runs++; runs == 1 {
			between()
		}
		return tx.PutOuting(o)
	})
	if at := b.due()[itemOf("k1")]; !at.Equal(noon.Add(time.Minute)) || runs != 2 {
		t.Errorf("due %v after %d runs, want the newer record's look at %v and the change decided anew", at, runs, noon.Add(time.Minute))
	}
}

// meanwhile lets something else happen while an outing is put into words, as when a message comes in during a sweep.
type meanwhile struct {
	*herald
	then map[string]func()
}

func (m *meanwhile) OutingDue(tx *session.Tx, o outing.Outing, effects []outing.Effect) error {
	if f := m.then[o.ID]; f != nil {
		delete(m.then, o.ID)
		f()
	}
	return m.herald.OutingDue(tx, o, effects)
}

// I5: what is due is read together, but an "off" that is confirmed before the commit keeps its outing's alert from going out, and
// nobody else's.
func TestAnOffDuringASweepOfManyStopsItsOwnAlert(t *testing.T) {
	b := open(t)
	backBy := noon.Add(backIn)
	for _, id := range []string{"k1", "k2", "k3"} {
		b.do("u"+id, noon, putOuting(party(t, id, backBy, noon)))
	}
	m := &meanwhile{herald: &herald{}, then: map[string]func(){"k3": func() {
		b.do("off", backBy, putOuting(off(t, b.outing("k2"), backBy)))
	}}}
	if n, err := b.svc.Sweep(t.Context(), crewID.Shard(), backBy, m); n != 3 || err != nil {
		t.Fatalf("Sweep() = %d, %v, want three looked at", n, err)
	}
	at := backBy.UnixMilli()
	wantIDs(t, "queued", b.said(session.Urgent, backBy.Add(time.Hour)),
		fmt.Sprintf("k1/%d/ask/0/11", at), fmt.Sprintf("k1/%d/ask/0/-500", at), fmt.Sprintf("k3/%d/ask/0/11", at), fmt.Sprintf("k3/%d/ask/0/-500", at))
	if o := b.outing("k2"); !o.Closed() || len(o.Told) != 0 {
		t.Errorf("k2 is closed %v and remembers %d rungs, want it off and nobody told", o.Closed(), len(o.Told))
	}
	if at := b.due()[itemOf("k2")]; !at.Equal(backBy.Add(outing.Keeps)) {
		t.Errorf("k2 is off and looked at %v, want it only to be wiped", at)
	}
}

// What a sweep costs in round trips goes by hundreds of items, not by items.
func TestASweepOfManyIsAFewRoundTrips(t *testing.T) {
	b, h := open(t), &herald{}
	backBy := noon.Add(backIn)
	for i := range 40 {
		b.do(fmt.Sprintf("u%d", i), noon, putOuting(party(t, fmt.Sprintf("k%d", i), backBy, noon)))
	}
	before := b.store.Calls()
	if n, err := b.sweep(backBy, h); n != 40 || err != nil {
		t.Fatalf("Sweep() = %d, %v, want 40", n, err)
	}
	if n := b.store.Calls() - before; n != 3 {
		t.Errorf("%d calls of the store, want 3: claim, read, commit", n)
	}
	if n := len(b.said(session.Urgent, backBy)); n != 80 {
		t.Errorf("%d messages are queued, want two for each", n)
	}
}

// A sweep of many whose reply is lost has told everybody once; what comes again when the hold ends says nothing twice.
func TestALostReplyToASweepOfManyDoesNotAlarmTwice(t *testing.T) {
	b, h := open(t), &herald{}
	backBy := noon.Add(backIn)
	for _, id := range []string{"k1", "k2", "k3"} {
		b.do("u"+id, noon, putOuting(party(t, id, backBy, noon)))
	}
	m := &meanwhile{herald: h, then: map[string]func(){"k3": func() { b.store.DropReplies(1) }}}
	if _, err := b.svc.Sweep(t.Context(), crewID.Shard(), backBy, m); !errors.Is(err, session.ErrUnavailable) {
		t.Fatalf("Sweep() with the reply lost = %v, want ErrUnavailable", err)
	}
	b.swept(backBy.Add(claimHold), h)
	if n := len(b.said(session.Urgent, backBy.Add(time.Hour))); n != 6 {
		t.Errorf("%d messages are queued, want 6, each once", n)
	}
	b.swept(backBy.Add(15*time.Minute), h, "k1 party>-500", "k2 party>-500", "k3 party>-500")
}

// One record that cannot be read does not keep those beside it from being looked at.
func TestAnUnreadableRecordDoesNotSilenceASweepOfMany(t *testing.T) {
	b, h := open(t), &herald{}
	backBy := noon.Add(backIn)
	for _, id := range []string{"k1", "k2", "k3"} {
		b.do("u"+id, noon, putOuting(party(t, id, backBy, noon)))
	}
	b.redis.HSet(fmt.Sprintf("%s:{%02d}:rec:%s", prefix, crewID.Shard(), itemOf("k2")), "b", "not sealed")
	if n, err := b.sweep(backBy, h); n != 3 || err == nil {
		t.Errorf("Sweep() = %d, %v, want three looked at and the trouble of one", n, err)
	}
	if n := len(b.said(session.Urgent, backBy)); n != 4 {
		t.Errorf("%d messages are queued, want the four of the others", n)
	}
}

// Items that the index names once more for an instant that had its look are looked at anew and move on, many as one.
func TestManyThatHadTheirLookMoveOn(t *testing.T) {
	b, h := open(t), &herald{}
	backBy := noon.Add(backIn)
	ids := []string{"k1", "k2", "k3"}
	for _, id := range ids {
		b.do("u"+id, noon, putOuting(party(t, id, backBy, noon)))
	}
	if n, err := b.sweep(backBy, h); n != 3 || err != nil {
		t.Fatalf("Sweep() = %d, %v", n, err)
	}
	back := session.Change{Cause: "restored", Now: backBy}
	for _, id := range ids {
		back.Due = append(back.Due, session.DueItem{Item: itemOf(id), At: backBy.Add(-remindBefore)})
	}
	if err := b.store.Commit(t.Context(), crewID.Shard(), fence0, back); err != nil {
		t.Fatal(err)
	}
	b.swept(backBy.Add(time.Minute), h)
	for _, id := range ids {
		if at := b.due()[itemOf(id)]; !at.Equal(backBy.Add(15 * time.Minute)) {
			t.Errorf("%s is due %v, want the next rung's %v", id, at, backBy.Add(15*time.Minute))
		}
	}
}

// A look that panics ends no other, alone or among many.
func TestALookThatPanicsEndsNoOther(t *testing.T) {
	for _, ids := range [][]string{{"k1"}, {"k1", "k2", "k3"}} {
		b, h := open(t), &herald{}
		backBy := noon.Add(backIn)
		for _, id := range ids {
			b.do("u"+id, noon, putOuting(party(t, id, backBy, noon)))
		}
		m := &meanwhile{herald: h, then: map[string]func(){"k1": func() { panic("what somebody wrote") }}}
		n, err := b.svc.Sweep(t.Context(), crewID.Shard(), backBy, m)
		if n != len(ids) || err == nil || strings.Contains(err.Error(), "what somebody wrote") {
			t.Errorf("Sweep() of %d = %d, %v, want all looked at and the panic without its words", len(ids), n, err)
		}
		if got := len(b.said(session.Urgent, backBy)); got != 2*(len(ids)-1) {
			t.Errorf("%d messages are queued of %d outings, want those of all others", got, len(ids))
		}
		b.swept(backBy.Add(claimHold), h, "k1 ask>11", "k1 ask>-500")
	}
}
