package session_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"

	"ledgehand/session"
	"ledgehand/session/catch"
	"ledgehand/session/outing"
	"ledgehand/session/redisstore"
	"ledgehand/session/storetest"
	"ledgehand/session/trip"
	"ledgehand/session/watch"
)

func TestMain(m *testing.M) {
	redisstore.LogTo(nil) // the outages below are wanted
	os.Exit(m.Run())
}

const (
	group         = -500
	ana, bram, mo = 11, 12, 21
	crewID        = session.CrewID("gdw") // CrewOf(group)
	prefix        = "t"
	fence0        = session.Fence(1)
	enough        = 1000
	backIn        = 3 * time.Hour
	remindBefore  = 15 * time.Minute // of the default ladder
	claimHold     = 30 * time.Second // of the sweep
)

var noon = time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC)

// bench is a Service on a real store of its own, with a wrapper that refuses when told to.
type bench struct {
	testing.TB
	redis *miniredis.Miniredis
	store *storetest.Refusing
	svc   *session.Service
}

func open(t testing.TB) *bench {
	t.Helper()
	m := miniredis.RunT(t)
	st := storetest.OpenRedis(t, m.Addr(), prefix)
	storetest.LeadAll(t, st, noon.Add(-time.Hour), fence0)
	r := storetest.NewRefusing(st, st)
	return &bench{TB: t, redis: m, store: r, svc: session.New(r, func(session.Shard) session.Fence { return fence0 })}
}

func (b *bench) try(cause string, now time.Time, fn func(*session.Tx) error) error {
	b.Helper()
	return b.svc.Do(b.Context(), session.Cause{ID: cause, Now: now}, crewID, fn)
}

func (b *bench) do(cause string, now time.Time, fn func(*session.Tx) error) {
	b.Helper()
	if err := b.try(cause, now, fn); err != nil {
		b.Fatalf("Do(%s) = %v, want no error", cause, err)
	}
}

func (b *bench) view(now time.Time, fn func(*session.Tx) error) {
	b.Helper()
	if err := b.svc.View(b.Context(), crewID, now, fn); err != nil {
		b.Fatalf("View() = %v, want no error", err)
	}
}

func (b *bench) crew() (c session.Crew) {
	b.Helper()
	b.view(noon, func(tx *session.Tx) (err error) { c, _, err = tx.LoadCrew(); return err })
	return c
}

func (b *bench) outing(id string) (o outing.Outing) {
	b.Helper()
	b.view(noon, func(tx *session.Tx) (err error) { o, _, err = tx.LoadOuting(id); return err })
	return o
}

// due is the index of the crew's shard, item to instant.
func (b *bench) due() map[string]time.Time {
	b.Helper()
	items, err := b.store.AllDue(b.Context(), crewID.Shard())
	if err != nil {
		b.Fatal(err)
	}
	got := map[string]time.Time{}
	for _, it := range items {
		got[it.Item] = it.At
	}
	if len(got) != len(items) {
		b.Errorf("the index names an item twice: %v", items)
	}
	return got
}

// index writes the index behind the records' back.
func (b *bench) index(cause string, items ...session.DueItem) {
	b.Helper()
	if err := b.store.Commit(b.Context(), crewID.Shard(), fence0, session.Change{Cause: cause, Now: noon, Due: items}); err != nil {
		b.Fatal(err)
	}
}

// said takes everything of a lane that may go out by now.
func (b *bench) said(lane session.Lane, now time.Time) []session.Entry {
	b.Helper()
	claimed, err := b.store.ClaimOut(b.Context(), crewID.Shard(), fence0, lane, now, time.Minute, enough)
	if err != nil {
		b.Fatal(err)
	}
	var out []session.Entry
	for _, c := range claimed {
		out = append(out, c.Entry)
	}
	return out
}

func (b *bench) record(key string) session.Record {
	b.Helper()
	r, err := b.store.Load(b.Context(), crewID.Shard(), key)
	if err != nil {
		b.Fatal(err)
	}
	return r[0]
}

// damage makes a record unreadable.
func (b *bench) damage(key string) {
	b.Helper()
	b.redis.HSet(fmt.Sprintf("%s:{%02d}:rec:%s", prefix, int(crewID.Shard()), key), "b", "no sealed body")
}

func wantIDs(t testing.TB, what string, got []session.Entry, want ...string) {
	t.Helper()
	var ids []string
	for _, e := range got {
		ids = append(ids, e.ID)
	}
	if !slices.Equal(ids, want) {
		t.Errorf("%s = %q, want %q", what, ids, want)
	}
}

func retitle(title string) func(*session.Tx) error {
	return func(tx *session.Tx) error {
		c, _, err := tx.LoadCrew()
		if err != nil {
			return err
		}
		c.Title += title
		tx.Say(session.Entry{Lane: session.Slow, Chat: group, Body: []byte(title)})
		return tx.PutCrew(c)
	}
}

func party(t testing.TB, id string, backBy, now time.Time) outing.Outing {
	t.Helper()
	o, _, err := outing.New(outing.Outing{
		ID: id, Crew: string(crewID), Group: group, Ledge: "Anvil", Zone: "UTC", OpenedBy: ana, BackBy: backBy, Ladder: outing.Ladder{Remind: 15 * time.Minute, Party: 15 * time.Minute, Contact: 30 * time.Minute, Repeat: 10 * time.Minute},
		People:   []outing.Member{{ID: ana, Name: "Ana", Chat: ana}, {ID: bram, Name: "Bram"}},
		Contacts: []outing.Contact{{ID: mo, Name: "Mo", Chat: mo}},
	}, now)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

func putOuting(o outing.Outing) func(*session.Tx) error {
	return func(tx *session.Tx) error { return tx.PutOuting(o) }
}

func off(t testing.TB, o outing.Outing, now time.Time) outing.Outing {
	t.Helper()
	o, _, err := o.Apply(outing.SayOffRocks{By: ana, Who: []int64{ana, bram}}, now)
	if err != nil || !o.Closed() {
		t.Fatalf("Off = closed %v, %v", o.Closed(), err)
	}
	return o
}

// I2: the effect is committed once, together with its cause; a second delivery changes nothing and says nothing.
func TestACauseHasItsEffectOnce(t *testing.T) {
	b := open(t)
	b.do("u1", noon, retitle("A"))
	ran := false
	b.do("u1", noon.Add(time.Minute), func(tx *session.Tx) error { ran = true; return retitle("B")(tx) })
	if ran {
		t.Error("the second Do() of a cause ran, want it not to")
	}
	if got := b.crew().Title; got != "A" {
		t.Errorf("title = %q, want %q", got, "A")
	}
	wantIDs(t, "said", b.said(session.Slow, noon.Add(time.Hour)), "u1.0")
}

// The reply to a commit may be lost: asked again under the same cause, its effect stands and is not doubled.
func TestALostReplyDoesNotDoubleAnEffect(t *testing.T) {
	b := open(t)
	b.do("u0", noon, retitle("A")) // so that both the question and the load below come before the commit
	runs := 0
	err := b.try("u1", noon, func(tx *session.Tx) error {
		runs++
		if err := retitle("B")(tx); err != nil {
			return err
		}
		b.store.DropReplies(1)
		return nil
	})
	if !errors.Is(err, session.ErrUnavailable) {
		t.Fatalf("Do() with the reply lost = %v, want ErrUnavailable: nobody may be told yet", err)
	}
	b.do("u1", noon.Add(time.Minute), func(tx *session.Tx) error { runs++; return retitle("B")(tx) })
	if got := b.crew().Title; got != "AB" || runs != 1 {
		t.Errorf("title = %q after %d runs, want AB after one", got, runs)
	}
	wantIDs(t, "said", b.said(session.Slow, noon.Add(time.Hour)), "u0.0", "u1.0")
}

func TestAConflictIsDecidedAnew(t *testing.T) {
	b := open(t)
	runs := 0
	b.do("u1", noon, func(tx *session.Tx) error {
		runs++
		if err := retitle("A")(tx); err != nil {
			return err
		}
		if runs == 1 { // somebody else gets in between reading and committing
			b.do("u2", noon, retitle("B"))
		}
		return nil
	})
	if got := b.crew().Title; got != "BA" || runs != 2 {
		t.Errorf("title = %q after %d runs, want BA after 2: both effects, the second on top of the first", got, runs)
	}
	wantIDs(t, "said", b.said(session.Slow, noon), "u2.0", "u1.0")
}

func TestAConflictOverANewRecordIsSeenToo(t *testing.T) {
	b := open(t)
	runs := 0
	b.do("u1", noon, func(tx *session.Tx) error {
		runs++
		if runs == 1 {
			b.do("u2", noon, func(tx *session.Tx) error {
				return tx.PutDay(catch.Day{Date: "2026-03-14", Entries: []catch.Entry{{ID: "b"}}})
			})
		}
		d, err := tx.LoadDay("2026-03-14")
		if err != nil {
			return err
		}
		return tx.PutDay(d.Add(catch.Entry{ID: "a"}))
	})
	b.view(noon, func(tx *session.Tx) error {
		if d, err := tx.LoadDay("2026-03-14"); err != nil || len(d.Entries) != 2 {
			t.Errorf("the day has %d entries, %v, want both", len(d.Entries), err)
		}
		return nil
	})
}

func TestEndlessConflictIsGivenUp(t *testing.T) {
	b := open(t)
	runs := 0
	err := b.try("u1", noon, func(tx *session.Tx) error {
		runs++
		if err := retitle("A")(tx); err != nil {
			return err
		}
		b.do(fmt.Sprintf("other%d", runs), noon, retitle("B"))
		return nil
	})
	if !errors.Is(err, session.ErrConflict) || runs < 2 {
		t.Errorf("Do() = %v after %d runs, want ErrConflict after several", err, runs)
	}
	if got := b.crew().Title; strings.Contains(got, "A") {
		t.Errorf("title = %q, want nothing of what never got through", got)
	}
}

func TestAnErrorLeavesNothing(t *testing.T) {
	b := open(t)
	wrong := errors.New("wrong")
	err := b.try("u1", noon, func(tx *session.Tx) error {
		if err := retitle("A")(tx); err != nil {
			return err
		}
		if err := tx.PutOuting(party(t, "k1", noon.Add(backIn), noon)); err != nil {
			return err
		}
		return wrong
	})
	if !errors.Is(err, wrong) {
		t.Errorf("Do() = %v, want the error as it was", err)
	}
	if _, found := b.found("k1"); found || b.crew().Title != "" || len(b.due()) != 0 || len(b.said(session.Slow, noon)) != 0 {
		t.Error("a failed Do() left something behind")
	}
	b.do("u1", noon, retitle("B")) // and the cause is free to have its effect
	if got := b.crew().Title; got != "B" {
		t.Errorf("title = %q, want B", got)
	}
}

func (b *bench) found(id string) (o outing.Outing, found bool) {
	b.Helper()
	b.view(noon, func(tx *session.Tx) (err error) { o, found, err = tx.LoadOuting(id); return err })
	return o, found
}

func TestAnOutageSurfaces(t *testing.T) {
	b := open(t)
	b.store.Off()
	ran := false
	if err := b.try("u1", noon, func(*session.Tx) error { ran = true; return nil }); !errors.Is(err, session.ErrUnavailable) || ran {
		t.Errorf("Do() without a store = %v, ran %v; want ErrUnavailable before anything runs", err, ran)
	}
	if err := b.svc.View(t.Context(), crewID, noon, func(tx *session.Tx) error { _, _, err := tx.LoadCrew(); return err }); !errors.Is(err, session.ErrUnavailable) {
		t.Errorf("View() without a store = %v, want ErrUnavailable", err)
	}
	if _, err := b.svc.CrewOfChat(t.Context(), group); !errors.Is(err, session.ErrUnavailable) {
		t.Errorf("CrewOfChat() without a store = %v, want ErrUnavailable: a guess would start a second crew", err)
	}
	b.store.On()
	err := b.try("u1", noon, func(tx *session.Tx) error { b.store.Off(); return nil })
	if !errors.Is(err, session.ErrUnavailable) {
		t.Errorf("Do() with the store gone before the commit = %v, want ErrUnavailable", err)
	}
	b.store.On()
	b.do("u1", noon, retitle("A"))
	if b.crew().Title != "A" {
		t.Error("the cause had no effect after the outage")
	}
}

func TestAnOlderReplicaIsRefused(t *testing.T) {
	b := open(t)
	old := session.New(b.store, func(session.Shard) session.Fence { return fence0 - 1 })
	if err := old.Do(t.Context(), session.Cause{ID: "u1", Now: noon}, crewID, retitle("A")); !errors.Is(err, session.ErrFenced) {
		t.Errorf("Do() of a replica that was replaced = %v, want ErrFenced", err)
	}
	if b.crew().Title != "" {
		t.Error("a replica that was replaced changed something")
	}
}

func TestReadYourOwnWrites(t *testing.T) {
	b := open(t)
	o := party(t, "k1", noon.Add(backIn), noon)
	b.do("u1", noon, func(tx *session.Tx) error {
		if _, found, err := tx.LoadOuting("k1"); found || err != nil {
			t.Errorf("LoadOuting() before = %v, %v, want none", found, err)
		}
		if err := tx.PutOuting(o); err != nil {
			return err
		}
		got, found, err := tx.LoadOuting("k1")
		if err != nil || !found || got.Ledge != "Anvil" {
			t.Errorf("LoadOuting() after = %+v, %v, %v, want what was put", got, found, err)
		}
		got.People[0].Name = "X" // a copy: what is put stays as it was put
		c, found, err := tx.LoadCrew()
		if err != nil || !found || !slices.Equal(c.Outings, []string{"k1"}) {
			t.Errorf("LoadCrew() = %v, %v, %v, want it to list the outing", c.Outings, found, err)
		}
		return nil
	})
	if got := b.outing("k1"); got.People[0].Name != "Ana" {
		t.Errorf("stored name = %q, want Ana", got.People[0].Name)
	}
	b.view(noon, func(tx *session.Tx) error {
		return retitle("never")(tx) // a view throws away what it writes and says
	})
	if b.crew().Title != "" || len(b.said(session.Slow, noon)) != 0 {
		t.Error("View() changed something")
	}
}

func TestUnchangedRecordsAreNotRewritten(t *testing.T) {
	b := open(t)
	b.do("u1", noon, retitle("A"))
	before := b.record("crew/" + string(crewID))
	b.do("u2", noon, func(tx *session.Tx) error {
		c, _, err := tx.LoadCrew()
		if err != nil {
			return err
		}
		return tx.PutCrew(c)
	})
	if after := b.record("crew/" + string(crewID)); after.Version != before.Version {
		t.Errorf("version = %d, want %d: nothing changed", after.Version, before.Version)
	}
	b.do("u3", noon, retitle("B"))
	if after := b.record("crew/" + string(crewID)); after.Version != before.Version+1 {
		t.Errorf("version = %d, want %d", after.Version, before.Version+1)
	}
}

func TestSay(t *testing.T) {
	b := open(t)
	say := func(tx *session.Tx) error {
		tx.Say(session.Entry{Lane: session.Slow, Chat: group, Body: []byte("one")})
		tx.Say(session.Entry{ID: "mine", Lane: session.Slow, Chat: group, Body: []byte("two"), At: noon.Add(time.Minute)})
		tx.Say(session.Entry{Lane: session.Slow, Chat: group, Body: []byte("three")})
		return nil
	}
	b.do("u1", noon, say)
	got := b.said(session.Slow, noon)
	wantIDs(t, "said at once", got, "u1.0", "u1.2")
	if len(got) == 2 && (!got[0].Made.Equal(noon) || !got[0].At.Equal(noon)) {
		t.Errorf("said at %v, made %v, want %v", got[0].At, got[0].Made, noon)
	}
	wantIDs(t, "said a minute later", b.said(session.Slow, noon.Add(59*time.Second)))
	b.do("u2", noon, func(tx *session.Tx) error {
		tx.Say(session.Entry{ID: "mine", Lane: session.Slow, Chat: group, Body: []byte("newer")})
		tx.Unsay("u1.0", "unknown")
		return nil
	})
	got = b.said(session.Slow, noon.Add(time.Hour))
	wantIDs(t, "left", got, "mine", "u1.2") // the other one is still held from before
	if len(got) == 2 && string(got[0].Body) != "newer" {
		t.Errorf("the replaced message says %q, want the newer text", got[0].Body)
	}
}

func (b *bench) letters() []session.Letter {
	b.Helper()
	l, err := b.store.Waiting(b.Context(), crewID.Shard(), "", enough)
	if err != nil {
		b.Fatal(err)
	}
	return l
}

func TestTheLetterIsSettledWithItsEffect(t *testing.T) {
	b := open(t)
	s := crewID.Shard()
	take := func(s session.Shard, id string) session.Cause {
		if _, err := b.store.Take(t.Context(), s, session.Letter{ID: id, Got: noon, Body: []byte("x")}); err != nil {
			t.Fatal(err)
		}
		l, err := b.store.Waiting(t.Context(), s, "", enough)
		if err != nil {
			t.Fatal(err)
		}
		return session.Cause{ID: id, Now: noon, Letter: l[len(l)-1].Seq, Shard: s}
	}
	cause := take(s, "u1")
	wrong := errors.New("wrong")
	if err := b.svc.Do(t.Context(), cause, crewID, func(*session.Tx) error { return wrong }); !errors.Is(err, wrong) || len(b.letters()) != 1 {
		t.Errorf("Do() = %v with %d letters, want the error and the letter still there", err, len(b.letters()))
	}
	if err := b.svc.Do(t.Context(), cause.Then("side"), crewID, retitle("S")); err != nil || len(b.letters()) != 1 {
		t.Errorf("Do() of a step on the way = %v with %d letters, want the letter to wait for the whole effect", err, len(b.letters()))
	}
	calls := b.store.Calls()
	if err := b.svc.Do(t.Context(), cause, crewID, func(*session.Tx) error { return nil }); err != nil || len(b.letters()) != 0 {
		t.Errorf("Do() = %v with %d letters, want it gone with the commit", err, len(b.letters()))
	}
	if n := b.store.Calls() - calls - 2; n != 1 { // two of them are the look at the inbox and the question whether it was done
		t.Errorf("%d further calls of the store, want the one commit: letter and effect are one step", n)
	}
	// A redelivery of what had its effect drops the letter, too.
	again := take(s, "u1x")
	again.ID = cause.ID
	if err := b.svc.Do(t.Context(), again, crewID, func(*session.Tx) error { t.Error("ran twice"); return nil }); err != nil || len(b.letters()) != 0 {
		t.Errorf("Do() of a settled cause = %v with %d letters, want them gone", err, len(b.letters()))
	}
	// A letter of another shard cannot leave in this commit; it must not take another one's place either.
	other := take(s+1, "u2")
	mine := take(s, "u3")
	seen := &committed{Store: b.store}
	svc := session.New(seen, func(session.Shard) session.Fence { return fence0 })
	if err := svc.Do(t.Context(), other, crewID, retitle("O")); err != nil {
		t.Fatal(err)
	}
	if len(seen.changes) != 1 || seen.changes[0].Letter != "" {
		t.Errorf("changes = %+v, want one that settles no letter: places are only good in their own shard", seen.changes)
	}
	if got := b.letters(); len(got) != 1 || got[0].Seq != mine.Letter {
		t.Errorf("%d letters wait in the crew's shard, want the one of its own", len(got))
	}
}

// committed notes what is committed.
type committed struct {
	session.Store
	changes []session.Change
}

func (c *committed) Commit(ctx context.Context, s session.Shard, f session.Fence, ch session.Change) error {
	c.changes = append(c.changes, ch)
	return c.Store.Commit(ctx, s, f, ch)
}

func TestPeopleLiveInTheirOwnShard(t *testing.T) {
	b := open(t)
	err := b.svc.DoPerson(t.Context(), session.Cause{ID: "u1", Now: noon}, ana, func(tx *session.Tx) error {
		p, found, err := tx.LoadPerson(ana)
		if err != nil || found || p.ID != ana {
			t.Errorf("LoadPerson() = %+v, %v, %v, want a new one", p, found, err)
		}
		p.Name, p.Private = "Ana", true
		return tx.PutPerson(p)
	})
	if err != nil {
		t.Fatal(err)
	}
	keys, err := b.store.Keys(t.Context(), session.ShardOfChat(ana), "person/")
	if err != nil || !slices.Equal(keys, []string{"person/11"}) {
		t.Errorf("keys of the person's shard = %v, %v, want person/11", keys, err)
	}
}

// I4: an open outing has exactly one next look; a closed one none. The crew lists what is open.
func TestPutOutingKeepsOneNextLook(t *testing.T) {
	b := open(t)
	backBy := noon.Add(backIn)
	o := party(t, "k1", backBy, noon)
	key := "outing/" + string(crewID) + "/k1"
	want := func(what string, at time.Time, open ...string) {
		t.Helper()
		got := b.due()
		switch {
		case at.IsZero() && len(got) != 0, !at.IsZero() && (len(got) != 1 || !got[key].Equal(at)):
			t.Errorf("%s: index = %v, want one look at %v", what, got, at)
		}
		if c := b.crew(); !slices.Equal(c.Outings, open) {
			t.Errorf("%s: the crew lists %v, want %v", what, c.Outings, open)
		}
	}
	b.do("u1", noon, putOuting(o))
	want("opened", backBy.Add(-remindBefore), "k1")
	b.do("u2", noon, putOuting(o))
	want("put again", backBy.Add(-remindBefore), "k1")
	b.do("u3", noon, func(tx *session.Tx) error { // twice in one change: the last one counts
		if err := tx.PutOuting(o); err != nil {
			return err
		}
		next, _, err := o.Apply(outing.SetDelay{By: ana, To: backBy.Add(time.Hour)}, noon)
		if err != nil {
			return err
		}
		o = next
		return tx.PutOuting(o)
	})
	want("delayed", backBy.Add(time.Hour-remindBefore), "k1")
	late := backBy.Add(4 * time.Hour)
	b.do("u4", late, putOuting(o))
	// What an event leaves overdue is due at once: a minute's wait would let a stream of events put a rung off.
	want("long past its look", o.NextLook(), "k1")
	b.do("u5", late, putOuting(off(t, o, late)))
	want("closed", time.Time{})
}

// A look must never come before the record has anything to do, by a part of a millisecond either.
func TestTheNextLookIsNeverEarly(t *testing.T) {
	b := open(t)
	for i, extra := range []time.Duration{0, 1, time.Millisecond - 1, time.Millisecond} {
		o := party(t, "k1", noon.Add(backIn+extra), noon)
		b.do(fmt.Sprintf("u%d", i), noon, putOuting(o))
		got := b.due()["outing/"+string(crewID)+"/k1"]
		if got.Before(o.NextLook()) || got.Sub(o.NextLook()) >= time.Millisecond {
			t.Errorf("look at %v for an outing that wants it at %v, want it then or within the millisecond after", got, o.NextLook())
		}
	}
}

func TestPutWatchKeepsOneNextLook(t *testing.T) {
	b := open(t)
	key := "watch/" + string(crewID) + "/w1"
	w, err := watch.New(watch.Watch{ID: "w1", By: ana, Length: 21 * time.Minute}, noon)
	if err != nil {
		t.Fatal(err)
	}
	b.do("u1", noon, func(tx *session.Tx) error { return tx.PutWatch(w) })
	if got := b.due(); len(got) != 1 || !got[key].Equal(noon.Add(7*time.Minute)) || !slices.Equal(b.crew().Watches, []string{"w1"}) {
		t.Errorf("index = %v, crew lists %v, want one look at a third", got, b.crew().Watches)
	}
	b.view(noon, func(tx *session.Tx) error {
		if ws, err := tx.RunningWatches(); err != nil || len(ws) != 1 || ws[0].ID != "w1" {
			t.Errorf("RunningWatches() = %v, %v, want w1", ws, err)
		}
		return nil
	})
	b.do("u2", noon, func(tx *session.Tx) error {
		w, _, err := w.Stop(ana, noon.Add(time.Minute))
		if err != nil {
			return err
		}
		return tx.PutWatch(w)
	})
	if got := b.due(); len(got) != 0 || len(b.crew().Watches) != 0 {
		t.Errorf("index = %v, crew lists %v, want nothing of an ended watch", got, b.crew().Watches)
	}
}

func TestTripsAreListedWhileTheyStand(t *testing.T) {
	b := open(t)
	end := noon.Add(20 * time.Hour)
	p, err := trip.New(trip.Trip{ID: "t1", By: ana, ByName: "Ana", Start: noon.Add(15 * time.Hour), End: end}, noon)
	if err != nil {
		t.Fatal(err)
	}
	q := p
	q.ID = "t2"
	put := func(cause string, now time.Time, p trip.Trip) {
		b.do(cause, now, func(tx *session.Tx) error { return tx.PutTrip(p) })
	}
	open := func(now time.Time) (ids []string) {
		b.view(now, func(tx *session.Tx) error {
			ts, err := tx.OpenTrips()
			for _, x := range ts {
				ids = append(ids, x.ID)
			}
			return err
		})
		return ids
	}
	put("u1", noon, p)
	put("u2", noon, q)
	if got := open(noon); !slices.Equal(got, []string{"t1", "t2"}) || len(b.due()) != 0 {
		t.Errorf("OpenTrips() = %v with index %v, want both, oldest first, and no look", got, b.due())
	}
	if got := open(end.Add(12 * time.Hour)); len(got) != 0 {
		t.Errorf("OpenTrips() long after = %v, want none", got)
	}
	if q, err = q.Apply(trip.CallOff{}, noon); err != nil {
		t.Fatal(err)
	}
	put("u3", noon, q)
	put("u4", end.Add(12*time.Hour), p)
	if got := b.crew().Trips; len(got) != 0 {
		t.Errorf("the crew lists %v, want neither what was called off nor what is long over", got)
	}
}

func TestADayHasItsOwnRecord(t *testing.T) {
	b := open(t)
	b.do("u1", noon, func(tx *session.Tx) error {
		d, err := tx.LoadDay("2026-03-14")
		if err != nil || d.Date != "2026-03-14" || d.Crew != string(crewID) || d.V != catch.Version {
			t.Errorf("LoadDay() of a new day = %+v, %v, want it named", d, err)
		}
		return tx.PutDay(d.Add(catch.Entry{ID: "a", Who: "Ana"}))
	})
	keys, err := b.store.Keys(t.Context(), crewID.Shard(), "catch/")
	if want := []string{"catch/" + string(crewID) + "/2026-03-14"}; err != nil || !slices.Equal(keys, want) {
		t.Errorf("keys = %v, %v, want %v", keys, err, want)
	}
	b.view(noon, func(tx *session.Tx) error {
		if d, err := tx.LoadDay("2026-03-15"); err != nil || len(d.Entries) != 0 {
			t.Errorf("LoadDay() of the day after = %+v, %v, want it empty", d, err)
		}
		return nil
	})
}

// A damaged record is an error, never an empty one: written back, it would be gone for good.
func TestADamagedRecordIsAnError(t *testing.T) {
	b := open(t)
	b.do("u1", noon, retitle("A"))
	b.damage("crew/" + string(crewID))
	if err := b.try("u2", noon, retitle("B")); err == nil || errors.Is(err, session.ErrUnavailable) {
		t.Errorf("Do() on a damaged record = %v, want an error of its own", err)
	}
	if err := b.try("u3", noon, func(tx *session.Tx) error { return tx.PutCrew(session.Crew{}) }); err == nil {
		t.Error("Do() wrote over a damaged record")
	}
}

func TestThenKeepsTheLetter(t *testing.T) {
	c := session.Cause{ID: "u1", Now: noon, Letter: "1-1", Shard: 3}
	if got := c.Then("x"); got.ID != "u1/x" || got.Letter != "" || got.Shard != 3 || !got.Now.Equal(noon) {
		t.Errorf("Then() = %+v, want another cause that settles no letter", got)
	}
}
