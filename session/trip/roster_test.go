package trip

import (
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"
)

// vitals is a plan for which everything vital is brought by Ana.
func vitals(t testing.TB, change ...func(*Trip)) Trip {
	return must(t, plan(t, change...), bring(ana, "Ana", ThrowLine), bring(ana, "Ana", Float), bring(ana, "Ana", FirstAid))
}

// A float that comes only if somebody comes is no float.
func TestWhatAMaybeBringsIsNotBrought(t *testing.T) {
	p := must(t, plan(t), bring(ana, "Ana", ThrowLine), bring(ana, "Ana", FirstAid), Say{ID: dell, Name: "Dell", Answer: Maybe}, bring(dell, "Dell", Float))
	if unclaimed, _, ready := p.Ready(); ready || !slices.Equal(unclaimed, []string{Float}) {
		t.Errorf("Ready() with the float at a maybe = %v, %v, want the float open", unclaimed, ready)
	}
	if _, sure, perhaps := p.Brings(gear(t, p, Float)); sure || !perhaps {
		t.Errorf("Brings(float) = sure %v, perhaps %v, want perhaps", sure, perhaps)
	}
	if over := must(t, p, bring(ana, "Ana", Float)); !ready(over) || gear(t, over, Float).ByName != "Ana" {
		t.Error("who is in cannot take the float over from a maybe")
	}
	if _, err := p.Apply(bring(chidi, "Chidi", Float), t0); !errors.Is(err, ErrNotIn) {
		t.Errorf("a stranger takes the float over: %v", err)
	}
	if p = must(t, p, in(dell, "Dell")); !ready(p) {
		t.Error("Ready() once Dell is in = false")
	}
	if p = must(t, p, Say{ID: dell, Name: "Dell", Answer: Maybe}); ready(p) {
		t.Error("Ready() once Dell is a maybe again = true")
	}
}

func ready(p Trip) bool { _, _, ok := p.Ready(); return ok }

func TestAChangeIsConfirmedAnew(t *testing.T) {
	p := must(t, vitals(t), in(bram, "Bram"), Say{ID: chidi, Name: "Chidi", Answer: Maybe}, NewSea{Sea{Hs: 1, Verdict: "could be washed", At: t0}})
	if !ready(p) {
		t.Fatal("not ready before the change")
	}
	sea := Sea{Hs: 2, Verdict: "likely washed", At: t0.Add(time.Minute)}
	p = must(t, p, Change{By: ana, Start: start.Add(time.Hour), End: end.Add(time.Hour), Capacity: 3, Dark: true, Sea: sea})
	_, lacks, ok := p.Ready()
	if ok || !slices.Equal(lacks, []Lack{LackAsked}) || p.Seq != 1 || !p.ChangedAt.Equal(t0) {
		t.Errorf("after the change: lacks %v, ready %v, Seq %d", lacks, ok, p.Seq)
	}
	if u := p.Unconfirmed(); len(u) != 1 || u[0].ID != bram {
		t.Errorf("Unconfirmed() = %v, want Bram: Ana changed it, Chidi is not in", u)
	}
	if p.SeaAtPlan != sea || p.SeaNow != sea || !gear(t, p, Lights).Vital || p.Capacity != 3 {
		t.Errorf("the plan holds what was known of the old hours: %+v", p)
	}
	if p = must(t, p, Say{ID: bram, Name: "Bram", Answer: In}); len(p.Unconfirmed()) != 1 {
		t.Error("a yes to the plan before the change confirms the new one")
	}
	if p = must(t, p, Say{ID: bram, Name: "Bram", Answer: In, Seen: 9}); len(p.Unconfirmed()) != 0 || p.Roster[1].Confirmed != 1 {
		t.Errorf("Bram has confirmed %d, want 1: no more than there is", p.Roster[1].Confirmed)
	}
	for name, tt := range map[string]struct {
		change Change
		want   error
	}{
		"EndBeforeStart": {Change{End: start}, ErrTimes}, "Over": {Change{Start: t0.Add(-2 * time.Hour), End: t0}, ErrOver}, "Same": {Change{By: ana, Ledge: "Anvil"}, nil},
	} {
		next, err := p.Apply(tt.change, t0)
		if !errors.Is(err, tt.want) || err == nil && next.Seq != p.Seq {
			t.Errorf("%s: Apply(%+v) = Seq %d, %v, want %v", name, tt.change, next.Seq, err, tt.want)
		}
	}
}

func TestSeatsAgainstThoseWithoutACar(t *testing.T) {
	p := must(t, plan(t), in(bram, "Bram"), in(chidi, "Chidi"), Say{ID: dell, Name: "Dell", Answer: Maybe})
	if _, _, known := p.Lift(); known {
		t.Error("nobody said that they drive, and yet it is known")
	}
	for _, step := range []struct {
		event       Event
		need, seats int
	}{
		{Drive{ID: ana, Car: true}, 2, 0},
		{Drive{ID: ana, Car: true, Seats: 2}, 2, 2},
		{Drive{ID: dell, Car: true, Seats: 4}, 2, 2}, // perhaps
		{Say{ID: bram, Name: "Bram", Answer: In, Seats: num(1)}, 1, 3},
		{Drive{ID: ana}, 2, 1},
		{Say{ID: bram, Name: "Bram", Answer: Cant}, 2, 0},
	} {
		p = must(t, p, step.event)
		need, seats, known := p.Lift()
		if _, left := step.event.(Say); need != step.need || seats != step.seats || !known && !(left && seats == 0) {
			t.Errorf("after %+v: %d need a lift, %d seats, known %v, want %d and %d", step.event, need, seats, known, step.need, step.seats)
		}
	}
	if _, err := p.Apply(Drive{ID: bram, Car: true}, t0); !errors.Is(err, ErrNotIn) {
		t.Errorf("a car of somebody who can't come = %v, want %v", err, ErrNotIn)
	}
	if p = must(t, p, Drive{ID: ana, Car: true, Seats: 900}); p.Roster[0].Seats != mostSeats {
		t.Errorf("a car with %d seats", p.Roster[0].Seats)
	}
}

// Whoever does not know the ledge walks in with somebody who does, and who comes.
func TestWalkingInWithAFirstTimer(t *testing.T) {
	p := must(t, plan(t), in(bram, "Bram"), Say{ID: dell, Name: "Dell", Answer: In, First: yes(true)}, Say{ID: chidi, Name: "Chidi", Answer: Maybe})
	for name, tt := range map[string]struct {
		walk WalkWith
		want error
	}{
		"AMaybe": {WalkWith{chidi, "Chidi", dell}, ErrNotIn}, "Themselves": {WalkWith{dell, "Dell", dell}, ErrFirstToo}, "AStranger": {WalkWith{99, "X", dell}, ErrNotIn},
		"WithOneWhoKnowsTheWay": {WalkWith{ana, "Ana", bram}, ErrUnknown}, "WithNobody": {WalkWith{ana, "Ana", 99}, ErrUnknown},
	} {
		if _, err := p.Apply(tt.walk, t0); !errors.Is(err, tt.want) {
			t.Errorf("%s: %v, want %v", name, err, tt.want)
		}
	}
	p = must(t, p, WalkWith{ana, "Ana", dell})
	if _, err := p.Apply(WalkWith{bram, "Bram", dell}, t0); !errors.Is(err, ErrTaken) {
		t.Errorf("two walk in with Dell = %v, want %v", err, ErrTaken)
	}
	with := func(p Trip) string { x, _ := p.Person(dell); return x.WalkName }
	for name, e := range map[string]Event{
		"AnaCant": Say{ID: ana, Name: "Ana", Answer: Cant}, "AnaMaybe": Say{ID: ana, Name: "Ana", Answer: Maybe}, "AnaIsNewToo": Newcomer{ana, true},
		"DellHasBeenThere": Newcomer{dell, false}, "TakenBack": WalkWith{ana, "Ana", dell},
	} {
		if with(p) != "Ana" {
			t.Fatal("Ana does not walk in with Dell")
		}
		if got := must(t, p, e); with(got) != "" {
			t.Errorf("%s: %q walks in with Dell still", name, with(got))
		}
	}
	if got := must(t, p, Change{By: bram, Ledge: "Long Step"}); with(got) != "Ana" || !ready(must(t, vitals(t))) {
		t.Error("another ledge changes who walks with whom")
	}
}

func TestBoundsOfAPlan(t *testing.T) {
	p := plan(t, func(p *Trip) { p.Capacity = 3 })
	for i := range MostPeople + 1 {
		next, err := p.Apply(in(int64(100+i), fmt.Sprint("P", i)), t0)
		if want := len(p.Roster) < MostPeople; (err == nil) != want || err != nil && !errors.Is(err, ErrFull) {
			t.Fatalf("answer %d: %v", i, err)
		}
		if err == nil {
			p = next
		}
	}
	if p.Over() != MostPeople-3 {
		t.Errorf("Over() = %d", p.Over())
	}
	if _, err := p.Apply(Say{ID: ana, Name: "Ana", Answer: Cant}, t0); err != nil {
		t.Errorf("who is on a full roster cannot leave it: %v", err)
	}
	for i := range MostNotes + 5 {
		p = must(t, p, AddNote{ana, "Ana", fmt.Sprint("note ", i)})
	}
	if n := len(p.Notes); n != MostNotes || p.Notes[n-1].Text != "note 14" {
		t.Errorf("%d notes, the last %+v", n, p.Notes[n-1])
	}
	if again := must(t, p, AddNote{ana, "Ana", " note 14 "}); again.Rev != p.Rev {
		t.Error("the same comment twice is two")
	}
	if _, err := p.Apply(AddNote{ana, "Ana", "  "}, t0); !errors.Is(err, ErrUnknown) {
		t.Errorf("an empty comment = %v", err)
	}
	if p = must(t, p, Shown{40}, Shown{12}); p.Panel != 40 {
		t.Errorf("the panel is message %d, want the newest", p.Panel)
	}
}
