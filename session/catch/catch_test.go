package catch

import (
	"fmt"
	"math/rand/v2"
	"slices"
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

func some(kept int) Entry {
	return Entry{ID: "e", By: ana, Who: "Ana", Species: "bream", Count: kept, Kept: num(kept)}
}

func with(e Entry, change func(*Entry)) Entry {
	change(&e)
	return e
}

func rule(change func(*Rule)) Rule {
	r := Rule{Species: "bream", Named: "bream", Source: "the board at the ramp", Checked: now.Add(-30 * 24 * time.Hour)}
	change(&r)
	return r
}

func day(es ...Entry) Day {
	d := Day{Crew: "g1", Date: "2026-03-14"}
	for i, e := range es {
		e.ID = fmt.Sprintf("e%d", i)
		d = d.Add(e)
	}
	return d
}

func TestJudge(t *testing.T) {
	from25 := rule(func(r *Rule) { r.MinUM = 250 * mm })
	slot := rule(func(r *Rule) { r.MinUM, r.MaxUM = 300*mm, 600*mm })
	most := rule(func(r *Rule) { r.MaxUM = 600 * mm })
	bag2 := rule(func(r *Rule) { r.Bag = num(2) })
	both := rule(func(r *Rule) { r.MinUM, r.Bag = 250*mm, num(1) })
	imperial := rule(func(r *Rule) { r.MinUM = 22 * inch })
	unsaid := func(e Entry) Entry { return with(e, func(e *Entry) { e.Kept = nil }) }
	kept := func(e Entry, n int) Entry { return with(e, func(e *Entry) { e.Kept = num(n) }) }
	caught := func(e Entry, n int) Entry { return with(e, func(e *Entry) { e.Count = n }) }

	for _, tt := range []struct {
		name     string
		rule     Rule
		earlier  []Entry
		entry    Entry
		want     Verdict
		findings []Finding
		um, kept int
		excess   int
	}{
		{"WellOver", from25, nil, fish(300 * mm), Allowed, nil, 300 * mm, 1, 0},
		{"Short", from25, nil, fish(200 * mm), NotAllowed, []Finding{Short}, 200 * mm, 1, 0},
		{"ShortByMoreThanATapeErrs", from25, nil, fish(245*mm - 1), NotAllowed, []Finding{Short}, 245*mm - 1, 1, 0},
		{"ShortByWhatATapeErrs", from25, nil, fish(245 * mm), NotAllowed, []Finding{Short, NearMin}, 245 * mm, 1, 0},
		{"ShortByAHair", from25, nil, fish(250*mm - 1), NotAllowed, []Finding{Short, NearMin}, 250*mm - 1, 1, 0},
		{"OnTheMinimum", from25, nil, fish(250 * mm), Allowed, []Finding{NearMin}, 250 * mm, 1, 0},
		{"JustOver", from25, nil, fish(255*mm - 1), Allowed, []Finding{NearMin}, 255*mm - 1, 1, 0},
		{"OverByWhatATapeErrs", from25, nil, fish(255 * mm), Allowed, nil, 255 * mm, 1, 0},

		// 22 in is 558.8 mm exactly (1 in = 25.4 mm by definition): no rounding may decide.
		{"Exactly22Inches", imperial, nil, fish(558_800), Allowed, []Finding{NearMin}, 558_800, 1, 0},
		{"22InchesLessAMicrometre", imperial, nil, fish(558_799), NotAllowed, []Finding{Short, NearMin}, 558_799, 1, 0},
		{"22InchesRoundedDownToMillimetres", imperial, nil, fish(558 * mm), NotAllowed, []Finding{Short, NearMin}, 558 * mm, 1, 0},

		{"OnTheMaximum", most, nil, fish(600 * mm), Allowed, []Finding{NearMax}, 600 * mm, 1, 0},
		{"WellUnderTheMaximum", most, nil, fish(595 * mm), Allowed, nil, 595 * mm, 1, 0},
		{"JustUnderTheMaximum", most, nil, fish(595*mm + 1), Allowed, []Finding{NearMax}, 595*mm + 1, 1, 0},
		{"LongByAHair", most, nil, fish(600*mm + 1), NotAllowed, []Finding{Long, NearMax}, 600*mm + 1, 1, 0},
		{"LongByWhatATapeErrs", most, nil, fish(605 * mm), NotAllowed, []Finding{Long, NearMax}, 605 * mm, 1, 0},
		{"Long", most, nil, fish(605*mm + 1), NotAllowed, []Finding{Long}, 605*mm + 1, 1, 0},

		{"InTheSlot", slot, nil, fish(450 * mm), Allowed, nil, 450 * mm, 1, 0},
		{"UnderTheSlot", slot, nil, fish(290 * mm), NotAllowed, []Finding{Short}, 290 * mm, 1, 0},
		{"OverTheSlot", slot, nil, fish(700 * mm), NotAllowed, []Finding{Long}, 700 * mm, 1, 0},

		{"Guessed", from25, nil, with(fish(200*mm), func(e *Entry) { e.Estimated = true }), CannotTell, []Finding{NotMeasured}, 0, 1, 0},
		{"GuessedToFit", from25, nil, with(fish(400*mm), func(e *Entry) { e.Estimated = true }), CannotTell, []Finding{NotMeasured}, 0, 1, 0},
		{"NotMeasured", from25, nil, some(1), CannotTell, []Finding{NotMeasured}, 0, 1, 0},
		{"NotMeasuredAndNoSizeRule", bag2, nil, some(1), Allowed, nil, 0, 1, 0},

		{"AllMeasuredAllKept", from25, nil, fish(300*mm, 200*mm, 310*mm), NotAllowed, []Finding{Short}, 200 * mm, 3, 0},
		{"TheShortOneLetGo", from25, nil, kept(fish(200*mm, 300*mm, 310*mm), 2), Allowed, nil, 310 * mm, 2, 0},
		{"MoreKeptThanFit", from25, nil, kept(fish(200*mm, 300*mm, 210*mm), 2), NotAllowed, []Finding{Short}, 200 * mm, 2, 0},
		{"TheNearestOfThoseKept", from25, nil, kept(fish(251*mm, 300*mm, 200*mm), 2), Allowed, []Finding{NearMin}, 251 * mm, 2, 0},
		{"MeasuredTheOneKept", from25, nil, kept(caught(fish(300*mm), 3), 1), Allowed, nil, 300 * mm, 1, 0},
		{"MeasuredTooFew", from25, nil, kept(caught(fish(300*mm), 3), 2), CannotTell, []Finding{NotMeasured}, 0, 2, 0},
		{"AnotherThanTheShortOneMayBeKept", from25, nil, kept(caught(fish(200*mm), 3), 1), CannotTell, []Finding{NotMeasured}, 0, 1, 0},
		{"OneOfTheShortOnesMustBeKept", from25, nil, kept(caught(fish(200*mm, 210*mm), 3), 2), NotAllowed, []Finding{Short}, 200 * mm, 2, 0},

		{"BagNotFull", bag2, nil, some(1), Allowed, nil, 0, 1, 0},
		{"BagFullWithThisOne", bag2, []Entry{some(1)}, some(1), Allowed, []Finding{AtBag}, 0, 2, 0},
		{"OverTheBag", bag2, []Entry{some(2)}, some(1), NotAllowed, []Finding{OverBag}, 0, 3, 1},
		{"FarOverTheBag", bag2, nil, some(7), NotAllowed, []Finding{OverBag}, 0, 7, 5},
		{"NoneMayBeKept", rule(func(r *Rule) { r.Bag = num(0) }), nil, some(1), NotAllowed, []Finding{OverBag}, 0, 1, 1},
		{"NoneMayBeKeptAndNoneIs", rule(func(r *Rule) { r.Bag = num(0) }), nil, kept(some(3), 0), Allowed, nil, 0, 0, 0},
		{"EarlierOnesWereLetGo", bag2, []Entry{kept(some(9), 0)}, some(1), Allowed, nil, 0, 1, 0},
		{"EarlierOnesMayBeInTheBag", bag2, []Entry{unsaid(some(2))}, some(1), CannotTell, []Finding{BagUnsure}, 0, 1, 0},
		{"EarlierOnesDoNotMatterYet", bag2, []Entry{unsaid(some(1))}, some(1), Allowed, nil, 0, 1, 0},
		{"EarlierOnesHalfSaid", bag2, []Entry{with(unsaid(some(3)), func(e *Entry) { e.Released = num(2) })}, some(1), Allowed, nil, 0, 1, 0},
		{"OverTheBagWhateverTheOthers", bag2, []Entry{unsaid(some(2))}, some(3), NotAllowed, []Finding{OverBag}, 0, 3, 1},
		{"AnothersBag", bag2, []Entry{with(some(2), func(e *Entry) { e.Who = "Bram" })}, some(1), Allowed, nil, 0, 1, 0},
		{"OwnBagHoweverWritten", bag2, []Entry{with(some(2), func(e *Entry) { e.Who = "ANA" })}, some(1), NotAllowed, []Finding{OverBag}, 0, 3, 1},
		{"OwnBagWhoeverWroteIt", bag2, []Entry{with(some(2), func(e *Entry) { e.By = bram })}, some(1), NotAllowed, []Finding{OverBag}, 0, 3, 1},
		{"AnotherKind", bag2, []Entry{with(some(2), func(e *Entry) { e.Species = "luderick" })}, some(1), Allowed, nil, 0, 1, 0},
		{"ABlankIsNoFish", bag2, []Entry{with(some(2), func(e *Entry) { e.Blank = true })}, some(1), Allowed, nil, 0, 1, 0},
		{"UndoneOnesDoNotCount", bag2, []Entry{with(some(2), func(e *Entry) { e.Undone = now })}, some(1), Allowed, nil, 0, 1, 0},

		{"KeepingNotSaid", bag2, nil, unsaid(some(1)), CannotTell, []Finding{KeptUnsaid}, 0, 0, 0},
		{"KeepingNotSaidOfAShortOne", from25, nil, unsaid(fish(200 * mm)), NotAllowed, []Finding{Short, KeptUnsaid}, 200 * mm, 0, 0},
		{"KeepingNotSaidOfAGoodOne", from25, nil, unsaid(fish(300 * mm)), CannotTell, []Finding{KeptUnsaid}, 300 * mm, 0, 0},
		{"KeepingNotSaidWithTheBagFull", bag2, []Entry{some(2)}, unsaid(some(1)), CannotTell, []Finding{KeptUnsaid, BagUnsure}, 0, 2, 0},

		{"SizeAndBagBothBroken", both, []Entry{fish(300 * mm)}, fish(200 * mm), NotAllowed, []Finding{Short, OverBag}, 200 * mm, 2, 1},
		{"GoodSizeOverTheBag", both, []Entry{fish(300 * mm)}, fish(310 * mm), NotAllowed, []Finding{OverBag}, 310 * mm, 2, 1},

		{"LetGo", from25, nil, kept(fish(100*mm), 0), Allowed, nil, 0, 0, 0},
		{"Blank", bag2, nil, Entry{ID: "e", Who: "Ana", Blank: true, Species: "bream", Count: 9}, Allowed, nil, 0, 0, 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d := day(append(slices.Clone(tt.earlier), tt.entry)...)
			j := Judge([]Rule{{Species: "luderick", MinUM: 9999 * mm, Bag: num(0)}, tt.rule}, d, tt.entry, now)
			if j.Verdict != tt.want || !slices.Equal(j.Findings, tt.findings) {
				t.Errorf("Judge() = %s %v, want %s %v", j.Verdict, j.Findings, tt.want, tt.findings)
			}
			if j.UM != tt.um || j.Kept != tt.kept || j.Excess != tt.excess {
				t.Errorf("Judge() has length %d µm, kept %d, excess %d, want %d, %d, %d", j.UM, j.Kept, j.Excess, tt.um, tt.kept, tt.excess)
			}
		})
	}
}

func TestJudgeWithoutARuleToGoBy(t *testing.T) {
	old := func(age time.Duration, min int) Rule {
		return rule(func(r *Rule) { r.MinUM, r.Checked = min, now.Add(-age) })
	}
	for _, tt := range []struct {
		name     string
		rules    []Rule
		entry    Entry
		want     Verdict
		findings []Finding
	}{
		{"NoRuleAtAll", nil, fish(300 * mm), CannotTell, []Finding{NoRule}},
		{"ARuleForAnotherKind", []Rule{{Species: "luderick"}}, fish(300 * mm), CannotTell, []Finding{NoRule}},
		{"NoRuleButLetGo", nil, with(fish(300*mm), func(e *Entry) { e.Kept = num(0) }), Allowed, nil},
		{"CheckedAYearAgo", []Rule{old(Stale, 250*mm)}, fish(300 * mm), Allowed, nil},
		{"CheckedMoreThanAYearAgo", []Rule{old(Stale+time.Second, 250*mm)}, fish(300 * mm), CannotTell, []Finding{RuleStale}},
		{"AStaleRuleStillRefuses", []Rule{old(2*Stale, 250*mm)}, fish(200 * mm), NotAllowed, []Finding{RuleStale, Short}},
		{"NeverChecked", []Rule{{Species: "bream", MinUM: 250 * mm}}, fish(300 * mm), CannotTell, []Finding{RuleStale}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			j := Judge(tt.rules, day(tt.entry), tt.entry, now)
			if j.Verdict != tt.want || !slices.Equal(j.Findings, tt.findings) {
				t.Errorf("Judge() = %s %v, want %s %v", j.Verdict, j.Findings, tt.want, tt.findings)
			}
			if slices.Contains(tt.findings, NoRule) != (j.Rule == nil) && j.Verdict != Allowed {
				t.Errorf("Judge() names rule %+v, want one exactly when there is one", j.Rule)
			}
		})
	}
}

// More fish in the bag never makes it legal to keep one: whatever else is written on the day, a "not allowed" by bag stays.
func TestMoreKeptFishNeverEmptyTheBag(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 0))
	random := func(i int) Entry {
		e := some(rng.IntN(4))
		e.ID = fmt.Sprintf("r%d", i)
		e.Who = []string{"Ana", "ana", "Bram"}[rng.IntN(3)]
		switch rng.IntN(4) {
		case 0:
			e.Kept = nil
		case 1:
			e.Kept = num(rng.IntN(e.Count + 1))
		}
		return e
	}
	over := 0
	for range 2000 {
		rules := []Rule{rule(func(r *Rule) { r.Bag = num(rng.IntN(6)) })}
		d := Day{}
		for i := range rng.IntN(6) {
			d = d.Add(random(i))
		}
		e := some(1 + rng.IntN(3))
		d = d.Add(e)
		before := Judge(rules, d, e, now)
		for i := range rng.IntN(4) {
			d = d.Add(random(100 + i))
		}
		after := Judge(rules, d, e, now)
		if after.Kept < before.Kept {
			t.Fatalf("kept fell from %d to %d by adding fish", before.Kept, after.Kept)
		}
		if before.Verdict != NotAllowed {
			continue
		}
		over++
		if after.Verdict != NotAllowed || !slices.Contains(after.Findings, OverBag) || after.Excess < before.Excess {
			t.Fatalf("bag %d: %s %v (%d over) became %s %v (%d over) by adding fish", *rules[0].Bag, before.Verdict, before.Findings, before.Excess, after.Verdict, after.Findings, after.Excess)
		}
	}
	if over == 0 {
		t.Error("no bag was ever full: the property was not tried")
	}
}

// A longer fish never becomes short, a shorter one never long; a hair decides and nothing else.
func TestSizesAreMonotone(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 0))
	for range 2000 {
		low, um := 200*mm+rng.IntN(400*mm), 150*mm+rng.IntN(500*mm)
		rules := []Rule{rule(func(r *Rule) { r.MinUM = low })}
		j := Judge(rules, day(fish(um)), fish(um), now)
		if (j.Verdict == NotAllowed) != (um < low) {
			t.Fatalf("Judge(%d µm against %d) = %s, want not allowed exactly when below", um, low, j.Verdict)
		}
		if near := um-low < Near && low-um <= Near; slices.Contains(j.Findings, NearMin) != near {
			t.Fatalf("Judge(%d µm against %d) = %v, want near %v", um, low, j.Findings, near)
		}
	}
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
