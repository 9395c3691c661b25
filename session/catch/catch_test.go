package catch

import (
	"fmt"
	"testing"
	"time"
)

var now = time.Date(2026, 3, 14, 13, 0, 0, 0, time.UTC)

const (
	ana, bram = 11, 12
	mm        = 1000   // micrometres
	inch      = 25_400 // micrometres, by definition
)

func num(n int) *int { return &n }

// fish is one kept fish for each length.
func fish(lengths ...int) Entry {
	return Entry{ID: "e", By: ana, Who: "Ana", Species: "bream", Count: len(lengths), LengthsUM: lengths, Kept: num(len(lengths))}
}

func with(e Entry, change func(*Entry)) Entry {
	change(&e)
	return e
}

func day(es ...Entry) Day {
	d := Day{Crew: "g1", Date: "2026-03-14"}
	for i, e := range es {
		e.ID = fmt.Sprintf("e%d", i)
		d = d.Add(e)
	}
	return d
}

func TestDayTakesAnEntryOnce(t *testing.T) {
	a, b := fish(300*mm), fish(310*mm)
	a.ID, b.ID = "u1", "u2"
	one := Day{Date: "2026-03-14"}.Add(a)
	if again := one.Add(a); len(again.Entries) != 1 {
		t.Errorf("Add() twice = %d entries, want 1", len(again.Entries))
	}
	two := one.Add(b)
	if len(one.Entries) != 1 || len(two.Entries) != 2 || two.V != Version {
		t.Errorf("Add() = %d then %d entries in version %d, want 1 then 2 in %d", len(one.Entries), len(two.Entries), two.V, Version)
	}
}

func TestUndo(t *testing.T) {
	d := day(fish(300*mm), with(fish(310*mm), func(e *Entry) { e.By = bram }), fish(320*mm))
	if e, ok := d.Last(ana); !ok || e.ID != "e2" {
		t.Errorf("Last() = %q, %v, want Ana's newest", e.ID, ok)
	}
	if _, _, ok := d.Undo("e1", ana, now); ok {
		t.Error("Undo() of a line by another = true, want false")
	}
	if _, _, ok := d.Undo("e9", ana, now); ok {
		t.Error("Undo() of no line = true, want false")
	}
	next, e, ok := d.Undo("e2", ana, now)
	if !ok || e.ID != "e2" || !e.Undone.Equal(now) {
		t.Fatalf("Undo() = %+v, %v, want e2 undone", e, ok)
	}
	if !d.Entries[2].Undone.IsZero() {
		t.Error("Undo() changed the day it was given")
	}
	if _, _, ok := next.Undo("e2", ana, now); ok {
		t.Error("Undo() twice = true, want false")
	}
	if e, ok := next.Last(ana); !ok || e.ID != "e0" {
		t.Errorf("Last() after the undo = %q, %v, want the one before", e.ID, ok)
	}
	if kept, unsure := next.KeptBy("Ana", "bream"); kept != 2 || unsure != 0 {
		t.Errorf("KeptBy() after the undo = %d, %d, want 2, 0", kept, unsure)
	}
	if again := next.Add(with(fish(320*mm), func(e *Entry) { e.ID = "e2" })); len(again.Entries) != 3 || again.Entries[2].Undone.IsZero() {
		t.Error("an undone line came back by being delivered again")
	}
	if _, ok := next.Last(99); ok {
		t.Error("Last() of somebody who wrote nothing = true, want false")
	}
}
