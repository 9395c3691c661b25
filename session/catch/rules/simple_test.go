package rules

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"ledgehand/session/catch"
)

// What one-line rules say, as they are typed with /rule.

var lineNow = time.Date(2026, 3, 14, 13, 0, 0, 0, time.UTC)

// fishOfLine is one kept fish for each length.
func fishOfLine(lengths ...int) catch.Entry {
	return catch.Entry{ID: "e", By: ana, Who: "Ana", Species: "bream", Count: len(lengths), LengthsUM: lengths, Kept: num(len(lengths)), At: lineNow}
}

func some(kept int) catch.Entry {
	return catch.Entry{ID: "e", By: ana, Who: "Ana", Species: "bream", Count: kept, Kept: num(kept), At: lineNow}
}

func with(e catch.Entry, change func(*catch.Entry)) catch.Entry {
	change(&e)
	return e
}

// lineAnswer is what typed rules come to.
type lineAnswer struct {
	Verdict          catch.Verdict
	Findings         []What
	UM, Kept, Excess int // of the findings that have one
	Bag              bool
	Rule             *Rule
}

func byLines(of []catch.Rule, d catch.Day, e catch.Entry, now time.Time) (j lineAnswer) {
	a := Book{FromLines(of)}.Judge(Case{Now: now, Zone: time.UTC, Days: []catch.Day{d}}, e)
	j.Verdict = a.Verdict
	for _, f := range a.Findings {
		if f.What != NoBagHeld {
			j.Findings = append(j.Findings, f.What)
		}
		if f.Count != nil {
			j.Excess = max(j.Excess, f.Count.Over())
		}
		j.UM = max(j.UM, f.UM)
	}
	for _, c := range a.Counts {
		j.Kept, j.Bag = c.Kept, true
	}
	if a.From != nil {
		j.Rule = a.From.Rule
	}
	slices.Sort(j.Findings)
	return j
}

func sorted(of []What) []What { return slices.Sorted(slices.Values(of)) }

func rule(change func(*catch.Rule)) catch.Rule {
	r := catch.Rule{Species: "bream", Named: "bream", Source: "the board at the ramp", Checked: lineNow.Add(-30 * 24 * time.Hour)}
	change(&r)
	return r
}

func day(es ...catch.Entry) catch.Day {
	d := catch.Day{Crew: "g1", Date: "2026-03-14"}
	for i, e := range es {
		e.ID = fmt.Sprintf("e%d", i)
		d = d.Add(e)
	}
	return d
}

func TestJudge(t *testing.T) {
	from25 := rule(func(r *catch.Rule) { r.MinUM = 250 * mm })
	slot := rule(func(r *catch.Rule) { r.MinUM, r.MaxUM = 300*mm, 600*mm })
	most := rule(func(r *catch.Rule) { r.MaxUM = 600 * mm })
	bag2 := rule(func(r *catch.Rule) { r.Bag = num(2) })
	both := rule(func(r *catch.Rule) { r.MinUM, r.Bag = 250*mm, num(1) })
	imperial := rule(func(r *catch.Rule) { r.MinUM = 22 * inch })
	unsaid := func(e catch.Entry) catch.Entry { return with(e, func(e *catch.Entry) { e.Kept = nil }) }
	kept := func(e catch.Entry, n int) catch.Entry { return with(e, func(e *catch.Entry) { e.Kept = num(n) }) }
	caught := func(e catch.Entry, n int) catch.Entry { return with(e, func(e *catch.Entry) { e.Count = n }) }

	for _, tt := range []struct {
		name     string
		rule     catch.Rule
		earlier  []catch.Entry
		entry    catch.Entry
		want     catch.Verdict
		findings []What
		um, kept int
		excess   int
	}{
		{"WellOver", from25, nil, fishOfLine(300 * mm), catch.Allowed, nil, 300 * mm, 1, 0},
		{"Short", from25, nil, fishOfLine(200 * mm), catch.NotAllowed, []What{Short}, 200 * mm, 1, 0},
		{"ShortByMoreThanATapeErrs", from25, nil, fishOfLine(245*mm - 1), catch.NotAllowed, []What{Short}, 245*mm - 1, 1, 0},
		{"ShortByWhatATapeErrs", from25, nil, fishOfLine(245 * mm), catch.NotAllowed, []What{Short, NearMin}, 245 * mm, 1, 0},
		{"ShortByAHair", from25, nil, fishOfLine(250*mm - 1), catch.NotAllowed, []What{Short, NearMin}, 250*mm - 1, 1, 0},
		{"OnTheMinimum", from25, nil, fishOfLine(250 * mm), catch.Allowed, []What{NearMin}, 250 * mm, 1, 0},
		{"JustOver", from25, nil, fishOfLine(255*mm - 1), catch.Allowed, []What{NearMin}, 255*mm - 1, 1, 0},
		{"OverByWhatATapeErrs", from25, nil, fishOfLine(255 * mm), catch.Allowed, nil, 255 * mm, 1, 0},

		// 22 in is 558.8 mm exactly (1 in = 25.4 mm by definition): no rounding may decide.
		{"Exactly22Inches", imperial, nil, fishOfLine(558_800), catch.Allowed, []What{NearMin}, 558_800, 1, 0},
		{"22InchesLessAMicrometre", imperial, nil, fishOfLine(558_799), catch.NotAllowed, []What{Short, NearMin}, 558_799, 1, 0},
		{"22InchesRoundedDownToMillimetres", imperial, nil, fishOfLine(558 * mm), catch.NotAllowed, []What{Short, NearMin}, 558 * mm, 1, 0},

		{"OnTheMaximum", most, nil, fishOfLine(600 * mm), catch.Allowed, []What{NearMax}, 600 * mm, 1, 0},
		{"WellUnderTheMaximum", most, nil, fishOfLine(595 * mm), catch.Allowed, nil, 595 * mm, 1, 0},
		{"JustUnderTheMaximum", most, nil, fishOfLine(595*mm + 1), catch.Allowed, []What{NearMax}, 595*mm + 1, 1, 0},
		{"LongByAHair", most, nil, fishOfLine(600*mm + 1), catch.NotAllowed, []What{Long, NearMax}, 600*mm + 1, 1, 0},
		{"LongByWhatATapeErrs", most, nil, fishOfLine(605 * mm), catch.NotAllowed, []What{Long, NearMax}, 605 * mm, 1, 0},
		{"Long", most, nil, fishOfLine(605*mm + 1), catch.NotAllowed, []What{Long}, 605*mm + 1, 1, 0},

		{"InTheSlot", slot, nil, fishOfLine(450 * mm), catch.Allowed, nil, 450 * mm, 1, 0},
		{"UnderTheSlot", slot, nil, fishOfLine(290 * mm), catch.NotAllowed, []What{Short}, 290 * mm, 1, 0},
		{"OverTheSlot", slot, nil, fishOfLine(700 * mm), catch.NotAllowed, []What{Long}, 700 * mm, 1, 0},

		{"Guessed", from25, nil, with(fishOfLine(200*mm), func(e *catch.Entry) { e.Estimated = true }), catch.CannotTell, []What{NotMeasured}, 0, 1, 0},
		{"GuessedToFit", from25, nil, with(fishOfLine(400*mm), func(e *catch.Entry) { e.Estimated = true }), catch.CannotTell, []What{NotMeasured}, 0, 1, 0},
		{"NotMeasured", from25, nil, some(1), catch.CannotTell, []What{NotMeasured}, 0, 1, 0},
		{"NotMeasuredAndNoSizeRule", bag2, nil, some(1), catch.Allowed, nil, 0, 1, 0},

		{"AllMeasuredAllKept", from25, nil, fishOfLine(300*mm, 200*mm, 310*mm), catch.NotAllowed, []What{Short}, 200 * mm, 3, 0},
		{"TheShortOneLetGo", from25, nil, kept(fishOfLine(200*mm, 300*mm, 310*mm), 2), catch.Allowed, nil, 310 * mm, 2, 0},
		{"MoreKeptThanFit", from25, nil, kept(fishOfLine(200*mm, 300*mm, 210*mm), 2), catch.NotAllowed, []What{Short}, 200 * mm, 2, 0},
		{"TheNearestOfThoseKept", from25, nil, kept(fishOfLine(251*mm, 300*mm, 200*mm), 2), catch.Allowed, []What{NearMin}, 251 * mm, 2, 0},
		{"MeasuredTheOneKept", from25, nil, kept(caught(fishOfLine(300*mm), 3), 1), catch.Allowed, nil, 300 * mm, 1, 0},
		{"MeasuredTooFew", from25, nil, kept(caught(fishOfLine(300*mm), 3), 2), catch.CannotTell, []What{NotMeasured}, 0, 2, 0},
		{"AnotherThanTheShortOneMayBeKept", from25, nil, kept(caught(fishOfLine(200*mm), 3), 1), catch.CannotTell, []What{NotMeasured}, 0, 1, 0},
		{"OneOfTheShortOnesMustBeKept", from25, nil, kept(caught(fishOfLine(200*mm, 210*mm), 3), 2), catch.NotAllowed, []What{Short}, 200 * mm, 2, 0},

		{"BagNotFull", bag2, nil, some(1), catch.Allowed, nil, 0, 1, 0},
		{"BagFullWithThisOne", bag2, []catch.Entry{some(1)}, some(1), catch.Allowed, []What{AtBag}, 0, 2, 0},
		{"OverTheBag", bag2, []catch.Entry{some(2)}, some(1), catch.NotAllowed, []What{OverBag}, 0, 3, 1},
		{"FarOverTheBag", bag2, nil, some(7), catch.NotAllowed, []What{OverBag}, 0, 7, 5},
		{"NoneMayBeKept", rule(func(r *catch.Rule) { r.Bag = num(0) }), nil, some(1), catch.NotAllowed, []What{OverBag}, 0, 1, 1},
		{"NoneMayBeKeptAndNoneIs", rule(func(r *catch.Rule) { r.Bag = num(0) }), nil, kept(some(3), 0), catch.Allowed, nil, 0, 0, 0},
		{"EarlierOnesWereLetGo", bag2, []catch.Entry{kept(some(9), 0)}, some(1), catch.Allowed, nil, 0, 1, 0},
		{"EarlierOnesMayBeInTheBag", bag2, []catch.Entry{unsaid(some(2))}, some(1), catch.CannotTell, []What{BagUnsure}, 0, 1, 0},
		{"EarlierOnesDoNotMatterYet", bag2, []catch.Entry{unsaid(some(1))}, some(1), catch.Allowed, nil, 0, 1, 0},
		{"EarlierOnesHalfSaid", bag2, []catch.Entry{with(unsaid(some(3)), func(e *catch.Entry) { e.Released = num(2) })}, some(1), catch.Allowed, nil, 0, 1, 0},
		{"OverTheBagWhateverTheOthers", bag2, []catch.Entry{unsaid(some(2))}, some(3), catch.NotAllowed, []What{OverBag}, 0, 3, 1},
		{"AnothersBag", bag2, []catch.Entry{with(some(2), func(e *catch.Entry) { e.Who = "Bram" })}, some(1), catch.Allowed, nil, 0, 1, 0},
		{"OwnBagHoweverWritten", bag2, []catch.Entry{with(some(2), func(e *catch.Entry) { e.Who = "ANA" })}, some(1), catch.NotAllowed, []What{OverBag}, 0, 3, 1},
		{"OwnBagWhoeverWroteIt", bag2, []catch.Entry{with(some(2), func(e *catch.Entry) { e.By = bram })}, some(1), catch.NotAllowed, []What{OverBag}, 0, 3, 1},
		{"AnotherKind", bag2, []catch.Entry{with(some(2), func(e *catch.Entry) { e.Species = "luderick" })}, some(1), catch.Allowed, nil, 0, 1, 0},
		{"ABlankIsNoFish", bag2, []catch.Entry{with(some(2), func(e *catch.Entry) { e.Blank = true })}, some(1), catch.Allowed, nil, 0, 1, 0},
		{"UndoneOnesDoNotCount", bag2, []catch.Entry{with(some(2), func(e *catch.Entry) { e.Undone = lineNow })}, some(1), catch.Allowed, nil, 0, 1, 0},

		{"KeepingNotSaid", bag2, nil, unsaid(some(1)), catch.CannotTell, []What{KeptUnsaid}, 0, 0, 0},
		{"KeepingNotSaidOfAShortOne", from25, nil, unsaid(fishOfLine(200 * mm)), catch.NotAllowed, []What{Short, KeptUnsaid}, 200 * mm, 0, 0},
		{"KeepingNotSaidOfAGoodOne", from25, nil, unsaid(fishOfLine(300 * mm)), catch.CannotTell, []What{KeptUnsaid}, 300 * mm, 0, 0},
		{"KeepingNotSaidWithTheBagFull", bag2, []catch.Entry{some(2)}, unsaid(some(1)), catch.CannotTell, []What{KeptUnsaid, BagUnsure}, 0, 2, 0},

		{"SizeAndBagBothBroken", both, []catch.Entry{fishOfLine(300 * mm)}, fishOfLine(200 * mm), catch.NotAllowed, []What{Short, OverBag}, 200 * mm, 2, 1},
		{"GoodSizeOverTheBag", both, []catch.Entry{fishOfLine(300 * mm)}, fishOfLine(310 * mm), catch.NotAllowed, []What{OverBag}, 310 * mm, 2, 1},

		{"LetGo", from25, nil, kept(fishOfLine(100*mm), 0), catch.Allowed, nil, 0, 0, 0},
		{"Blank", bag2, nil, catch.Entry{ID: "e", Who: "Ana", Blank: true, Species: "bream", Count: 9}, catch.Allowed, nil, 0, 0, 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d := day(append(slices.Clone(tt.earlier), tt.entry)...)
			j := byLines([]catch.Rule{{Species: "luderick", MinUM: 9999 * mm, Bag: num(0)}, tt.rule}, d, tt.entry, lineNow)
			if j.Verdict != tt.want || !slices.Equal(j.Findings, sorted(tt.findings)) {
				t.Errorf("Judge() = %s %v, want %s %v", j.Verdict, j.Findings, tt.want, tt.findings)
			}
			if j.UM != 0 && j.UM != tt.um || j.Bag && j.Kept != tt.kept || j.Excess != tt.excess {
				t.Errorf("Judge() has length %d µm, kept %d, excess %d, want %d, %d, %d", j.UM, j.Kept, j.Excess, tt.um, tt.kept, tt.excess)
			}
		})
	}
}

func TestJudgeWithoutARuleToGoBy(t *testing.T) {
	old := func(age time.Duration, min int) catch.Rule {
		return rule(func(r *catch.Rule) { r.MinUM, r.Checked = min, lineNow.Add(-age) })
	}
	for _, tt := range []struct {
		name     string
		rules    []catch.Rule
		entry    catch.Entry
		want     catch.Verdict
		findings []What
	}{
		{"NoRuleAtAll", nil, fishOfLine(300 * mm), catch.CannotTell, []What{NoRule}},
		{"ARuleForAnotherKind", []catch.Rule{{Species: "luderick"}}, fishOfLine(300 * mm), catch.CannotTell, []What{NoRule}},
		{"NoRuleButLetGo", nil, with(fishOfLine(300*mm), func(e *catch.Entry) { e.Kept = num(0) }), catch.Allowed, nil},
		{"CheckedAYearAgo", []catch.Rule{old(Stale, 250*mm)}, fishOfLine(300 * mm), catch.Allowed, nil},
		{"CheckedMoreThanAYearAgo", []catch.Rule{old(Stale+time.Second, 250*mm)}, fishOfLine(300 * mm), catch.CannotTell, []What{Old}},
		{"AStaleRuleStillRefuses", []catch.Rule{old(2*Stale, 250*mm)}, fishOfLine(200 * mm), catch.NotAllowed, []What{Old, Short}},
		{"NeverChecked", []catch.Rule{{Species: "bream", MinUM: 250 * mm}}, fishOfLine(300 * mm), catch.CannotTell, []What{Old}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			j := byLines(tt.rules, day(tt.entry), tt.entry, lineNow)
			if j.Verdict != tt.want || !slices.Equal(j.Findings, sorted(tt.findings)) {
				t.Errorf("Judge() = %s %v, want %s %v", j.Verdict, j.Findings, tt.want, tt.findings)
			}
			if slices.Contains(tt.findings, NoRule) != (j.Rule == nil) && j.Verdict != catch.Allowed {
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
	random := func(i int) catch.Entry {
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
		rules := []catch.Rule{rule(func(r *catch.Rule) { r.Bag = num(rng.IntN(6)) })}
		d := catch.Day{}
		for i := range rng.IntN(6) {
			d = d.Add(random(i))
		}
		e := some(1 + rng.IntN(3))
		d = d.Add(e)
		before := byLines(rules, d, e, lineNow)
		for i := range rng.IntN(4) {
			d = d.Add(random(100 + i))
		}
		after := byLines(rules, d, e, lineNow)
		if after.Kept < before.Kept {
			t.Fatalf("kept fell from %d to %d by adding fish", before.Kept, after.Kept)
		}
		if before.Verdict != catch.NotAllowed {
			continue
		}
		over++
		if after.Verdict != catch.NotAllowed || !slices.Contains(after.Findings, OverBag) || after.Excess < before.Excess {
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
		rules := []catch.Rule{rule(func(r *catch.Rule) { r.MinUM = low })}
		j := byLines(rules, day(fishOfLine(um)), fishOfLine(um), lineNow)
		if (j.Verdict == catch.NotAllowed) != (um < low) {
			t.Fatalf("Judge(%d µm against %d) = %s, want not allowed exactly when below", um, low, j.Verdict)
		}
		if near := um-low < Near && low-um <= Near; slices.Contains(j.Findings, NearMin) != near {
			t.Fatalf("Judge(%d µm against %d) = %v, want near %v", um, low, j.Findings, near)
		}
	}
}
