package outing

import (
	"errors"
	"slices"
	"testing"
	"time"
)

const byMail = int64(1)<<52 + 7

// withMail is Ana out with a group, Gil ashore and Mo by mail, in that order.
func withMail(t *testing.T) Outing {
	t.Helper()
	o, _, err := New(Outing{
		ID: "k1", Crew: "g1", Group: group, Ledge: "Anvil", Zone: "UTC", OpenedBy: ana, BackBy: t0.Add(3 * time.Hour), Ladder: DefaultLadder(),
		People:   []Member{{ID: ana, Name: "Ana", Chat: ana}},
		Contacts: []Contact{{ID: gil, Name: "Gil", Chat: gil}, {ID: byMail, Name: "Mo", Chat: byMail, Mail: "mo@example.org"}},
	}, t0)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

func heard(es []Effect, k EffectKind) (chats []int64) {
	for _, e := range es {
		if e.Kind == k {
			chats = append(chats, e.To.Chat)
		}
	}
	return chats
}

func mustApply(t *testing.T, o Outing, e Event, now time.Time) (Outing, []Effect) {
	t.Helper()
	next, es, err := o.Apply(e, now)
	if err != nil {
		t.Fatalf("Apply(%T) = %v", e, err)
	}
	return next, es
}

// looks lets an outing do all that is due by an instant.
func looks(o Outing, until time.Time) (Outing, []Effect) {
	var all []Effect
	for at := o.NextLook(); !at.IsZero() && !at.After(until); at = o.NextLook() {
		var es []Effect
		o, es = o.Tick(at)
		all = append(all, es...)
	}
	return o, all
}

func TestTheOrderAshore(t *testing.T) {
	o := withMail(t)
	first, _ := mustApply(t, o, Reorder{By: ana, IDs: []int64{byMail}}, t0)
	if o.Contacts[0].ID != gil || first.Contacts[0].ID != byMail || first.Contacts[1].ID != gil {
		t.Fatalf("order %v, was %v, want Mo first and what was handed in unchanged", first.Contacts, o.Contacts)
	}
	at, es := looks(first, o.BackBy.Add(30*time.Minute))
	if got := heard(es, SayContact); !slices.Equal(got, []int64{byMail}) {
		t.Errorf("alarmed first: %v, want Mo", got)
	}
	_, es = looks(at, o.BackBy.Add(40*time.Minute)) // who cannot answer keeps nobody from the next one
	if got := heard(es, SayContact); !slices.Equal(got, []int64{byMail, gil}) {
		t.Errorf("alarmed at the repeat: %v, want both", got)
	}
	// In the midst of an alarm the order changes who comes next, and takes nothing back.
	again, es := mustApply(t, at, Reorder{By: ana, IDs: []int64{gil, byMail}}, o.BackBy.Add(31*time.Minute))
	if len(es) != 0 {
		t.Errorf("a new order says %v", es)
	}
	if _, es = looks(again, o.BackBy.Add(40*time.Minute)); len(heard(es, SayContact)) != 2 {
		t.Errorf("alarmed at the repeat: %v, want both", heard(es, SayContact))
	}
	if _, _, err := o.Apply(Reorder{By: stranger}, t0); !errors.Is(err, ErrNotMember) {
		t.Errorf("a stranger's order = %v, want it refused", err)
	}
}

func TestTakingAContactOff(t *testing.T) {
	o := withMail(t)
	early, es := mustApply(t, o, Release{By: ana, Contact: byMail}, t0.Add(time.Hour))
	if len(early.Contacts) != 1 || len(early.Released) != 0 || len(heard(es, SayReleased)) != 1 {
		t.Errorf("contacts %v, kept %v, says %v: want the address gone, for nobody was alarmed", early.Contacts, early.Released, es)
	}
	if _, ok := early.Mailed(byMail); ok {
		t.Error("the address is still there")
	}
	for _, e := range []Release{{By: stranger, Contact: byMail}, {By: ana, Contact: 99}} {
		if _, _, err := o.Apply(e, t0); err == nil {
			t.Errorf("%+v is let through", e)
		}
	}

	// Alarmed, then taken off: the next one hears it at once, and Mo is stood down all the same.
	o, _ = mustApply(t, o, Reorder{By: ana, IDs: []int64{byMail}}, t0)
	o, _ = looks(o, o.BackBy.Add(30*time.Minute))
	now := o.BackBy.Add(31 * time.Minute)
	o, es = mustApply(t, o, Release{By: ana, Contact: byMail}, now)
	if got := heard(es, SayContact); !slices.Equal(got, []int64{gil}) {
		t.Errorf("told at once: %v, want Gil", got)
	}
	if c, ok := o.Mailed(byMail); !ok || c.Mail != "mo@example.org" {
		t.Errorf("Mailed() = %v, %v: the stand-down has no address", c, ok)
	}
	o, es = looks(o, now.Add(time.Hour))
	if slices.Contains(heard(es, SayContact), byMail) {
		t.Error("alarmed again after being taken off")
	}
	_, es = mustApply(t, o, SayOffRocks{By: ana}, now.Add(2*time.Hour))
	if got := heard(es, SayStandDown); !slices.Contains(got, byMail) || !slices.Contains(got, gil) {
		t.Errorf("stood down: %v, want both", got)
	}
}

// The one by mail is refused at the start, held up, and back.
func TestAMailContactOutOfReach(t *testing.T) {
	o := withMail(t)
	held, es := mustApply(t, o, Unreached{Chat: byMail, Until: t0.Add(3 * time.Minute)}, t0.Add(time.Minute))
	if len(heard(es, SayUnreachable)) != 1 {
		t.Errorf("held up says %v, want the party told", es)
	}
	if held, es = mustApply(t, held, Unreached{Chat: byMail, Until: t0.Add(4 * time.Minute)}, t0.Add(2*time.Minute)); len(es) != 0 {
		t.Errorf("held up again says %v, want it said once", es)
	}
	back, _ := mustApply(t, held, Reached{Chat: byMail}, t0.Add(5*time.Minute))
	if len(back.Reachable()) != 2 {
		t.Errorf("reachable %v, want both again", back.Reachable())
	}
}
