package session_test

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"ledgehand/session"
	"ledgehand/session/catch"
	"ledgehand/session/outing"
	"ledgehand/session/trip"
	"ledgehand/session/watch"
)

// breaking is a store that goes away at the n-th commit, once.
type breaking struct {
	session.Store
	left int
}

func (s *breaking) Commit(ctx context.Context, sh session.Shard, f session.Fence, c session.Change) error {
	if s.left--; s.left == 0 {
		return session.ErrUnavailable
	}
	return s.Store.Commit(ctx, sh, f, c)
}

// vale is who is forgotten: a number and names that stand nowhere else.
const vale = 7305550199

// known puts a part of theirs into every kind of record.
func known(t *testing.T) *bench {
	b := open(t)
	o := party(t, "k1", noon.Add(backIn), noon)
	o.People = append(o.People, outing.Member{ID: vale, Name: "Oldervale", Phone: "+00 555 0177"})
	o, _, err := o.Apply(outing.FellIn{By: vale, Name: "Oldervale", Chat: group}, noon.Add(time.Minute))
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	must(err)
	o, _, err = o.Apply(outing.SayOffRocks{By: ana, Who: []int64{ana, vale, bram}}, noon.Add(2*time.Minute))
	must(err)
	if !o.Closed() {
		t.Fatal("somebody is out still")
	}
	b.do("u1", noon, putOuting(o))
	b.do("u2", noon, func(tx *session.Tx) error {
		c, _, err := tx.LoadCrew()
		must(err)
		c.Group, c.Chat = true, group
		c.Members = []session.Member{{ID: ana, Name: "Ana"}, {ID: vale, Name: "Vale", Phone: "+00 555 0177", Car: "redvan"}}
		c.Holders = []session.Holder{{Of: vale, ID: mo, Name: "Mo", Chat: mo}, {Of: ana, ID: vale, Name: "Vale", Chat: vale}}
		c.Invites = []session.Invite{{Token: "a", Of: vale, Name: "Vale", Made: noon}, {Token: "b", Of: ana, Name: "Ana", Made: noon, Taken: vale}}
		c.Ledges = []session.Ledge{{Name: "Anvil", Card: []byte(`{}`), By: "Oldervale", Observed: []session.Observed{{By: "Vale"}}}}
		c.Rules = []catch.Rule{{Named: "greenling", Source: "Vale's word", By: "Vale"}}
		c.Pending = []session.Pending{{Who: ana, Chat: group, What: "out", Args: map[string]string{"with": "12 7305550199"}, At: noon}}
		must(tx.PutCrew(c))
		d, err := tx.LoadDay("2026-03-14")
		must(err)
		must(tx.PutDay(d.Add(catch.Entry{ID: "a", By: ana, Who: "Vale", WhoID: vale}).Add(catch.Entry{ID: "b", By: vale, Who: "Ana", WhoID: ana})))
		w, err := watch.New(watch.Watch{ID: "w1", Chat: vale, By: vale, ByName: "Vale", Length: 21 * time.Minute}, noon)
		must(err)
		must(tx.PutWatch(w))
		tr, err := trip.New(trip.Trip{ID: "t1", By: vale, ByName: "Vale", Start: noon.Add(time.Hour), End: noon.Add(3 * time.Hour)}, noon)
		must(err)
		tr.Gear[0].By, tr.Gear[0].ByName = vale, "Vale"
		tr.Roster = append(tr.Roster, trip.Place{ID: ana, Name: "Ana", Answer: trip.In, First: true, WalkBy: vale, WalkName: "Vale"})
		tr.Notes = []trip.Note{{By: vale, Name: "Vale", Text: "vale knows the gate", At: noon}, {By: ana, Name: "Ana", Text: "good", At: noon}}
		must(tx.PutVote(trip.Vote{V: trip.VoteVersion, ID: "v1", By: vale, ByName: "Vale", None: []trip.Voter{{ID: vale, Name: "Vale"}}, Options: []trip.Option{
			{Ledge: "Anvil", Start: noon.Add(time.Hour), End: noon.Add(2 * time.Hour), For: []trip.Voter{{ID: ana, Name: "Ana"}, {ID: vale, Name: "Vale"}}},
			{Ledge: "Anvil", Start: noon.Add(25 * time.Hour), End: noon.Add(26 * time.Hour), For: []trip.Voter{{ID: vale, Name: "Vale"}}},
		}}))
		must(tx.PutRules(session.Rules{Packs: []session.Pack{{ID: "coast", By: "Vale"}}, Home: []session.Freezer{{Who: vale, Name: "Vale", N: 4}, {Who: ana, Name: "Ana", N: 2}}}))
		return tx.PutTrip(tr)
	})
	must(b.svc.Do(b.Context(), session.Cause{ID: "u3", Now: noon}, session.CrewOf(vale), func(tx *session.Tx) error {
		c, _, err := tx.LoadCrew()
		must(err)
		c.Chat, c.Members = vale, []session.Member{{ID: vale, Name: "Vale"}}
		must(tx.PutCrew(c))
		w, err := watch.New(watch.Watch{ID: "w2", Chat: vale, By: vale, ByName: "Vale", Length: 21 * time.Minute}, noon)
		must(err)
		return tx.PutWatch(w)
	}))
	for id, p := range map[int64]session.Person{vale: {ID: vale, Name: "Vale", Holds: []session.Hold{{Crew: crewID, Of: ana, Name: "Ana"}}}, mo: {ID: mo, Name: "Mo", Holds: []session.Hold{{Crew: crewID, Of: vale, Name: "Vale"}}}} {
		must(b.svc.DoPerson(b.Context(), session.Cause{ID: "u4", Now: noon}, id, func(tx *session.Tx) error { return tx.PutPerson(p) }))
	}
	return b
}

// traces are where something of theirs stands.
func (b *bench) traces() (left []string) {
	b.Helper()
	for sh := range session.Shard(session.Shards) {
		keys, err := b.store.Keys(b.Context(), sh, "")
		if err != nil {
			b.Fatal(err)
		}
		if len(keys) == 0 {
			continue
		}
		records, err := b.store.Load(b.Context(), sh, keys...)
		if err != nil {
			b.Fatal(err)
		}
		for _, r := range records {
			all := strings.ToLower(r.Key + " " + string(r.Body))
			for _, s := range []string{"7305550199", "vale", "555 0177", "redvan", string(session.CrewOf(vale))} {
				if strings.Contains(all, s) {
					left = append(left, s+" in "+all)
				}
			}
		}
	}
	return left
}

// forget is what the desk does, on a store.
func (b *bench) forget(store session.Store, told *[]string) error {
	svc := session.New(store, func(session.Shard) session.Fence { return fence0 })
	names, err := svc.NamesOf(b.Context(), vale)
	if err != nil {
		return err
	}
	f := session.Forgotten{ID: vale, Called: names, As: "somebody"}
	cause := session.Cause{ID: "u9", Now: noon.Add(time.Hour)}
	tell := func(_ *session.Tx, r session.Released) {
		for _, h := range append(r.Gave, r.Lost...) {
			*told = append(*told, h.Name)
		}
	}
	if err := svc.Forget(b.Context(), cause, f, tell); err != nil {
		return err
	}
	return svc.Do(b.Context(), cause, session.CrewOf(vale), func(tx *session.Tx) error {
		r, err := tx.LeaveCrew(f)
		tell(tx, r)
		return err
	})
}

// Broken off at any commit and asked for again it comes to the same: nothing left, and the index as it should be.
func TestForgettingGoesOnWhereItBrokeOff(t *testing.T) {
	for n := 1; ; n++ {
		b := known(t)
		if len(b.traces()) < 10 {
			t.Fatalf("only %d traces: this proves little", len(b.traces()))
		}
		store, told := &breaking{b.store, n}, []string(nil)
		err := b.forget(store, &told)
		whole := err == nil
		if !whole {
			if !errors.Is(err, session.ErrUnavailable) {
				t.Fatal(err)
			}
			if err = b.forget(store, &told); err != nil {
				t.Fatal(err)
			}
		}
		if left := b.traces(); len(left) != 0 {
			t.Fatalf("broken off at commit %d, left:\n%s", n, strings.Join(left, "\n"))
		}
		if s := strings.Join(told, " "); !strings.Contains(s, "Vale") || !strings.Contains(s, "Mo") {
			t.Errorf("broken off at commit %d, told of plans held by %q", n, told)
		}
		b.reconcile(noon.Add(time.Hour))
		if whole {
			if n < 8 {
				t.Fatalf("it took only %d commits", n)
			}
			return
		}
	}
}

// Whoever has a part in an open outing is not forgotten, in nothing.
func TestWhoIsNeededIsNotForgotten(t *testing.T) {
	b := known(t)
	o := party(t, "k2", noon.Add(backIn), noon)
	o.Contacts = append(o.Contacts, outing.Contact{ID: vale, Name: "Vale", Chat: vale})
	b.do("u5", noon, putOuting(o))
	before, told := len(b.traces()), []string(nil)
	if err := b.forget(b.store, &told); !errors.Is(err, session.ErrNeeded) || len(b.traces()) != before || len(told) != 0 {
		t.Errorf("= %v with %d traces of %d, want ErrNeeded and all as it was", err, len(b.traces()), before)
	}
}
