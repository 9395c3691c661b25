package trip

import (
	"encoding/json"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"testing"
	"time"
)

var (
	t0    = time.Date(2026, 3, 13, 17, 0, 0, 0, time.UTC)
	start = t0.Add(14 * time.Hour)
	end   = start.Add(5 * time.Hour)
)

const (
	ana, bram, chidi, dell = 11, 12, 13, 14
)

func plan(t testing.TB, change ...func(*Trip)) Trip {
	t.Helper()
	p := Trip{ID: "t1", Crew: "g1", Chat: -500, Ledge: "Anvil", PlanB: "Long Step", Start: start, End: end, Zone: "UTC", By: ana, ByName: "Ana"}
	for _, f := range change {
		f(&p)
	}
	p, err := New(p, t0)
	if err != nil {
		t.Fatalf("New() = %v, want a plan", err)
	}
	return p
}

func must(t testing.TB, p Trip, events ...Event) Trip {
	t.Helper()
	for _, e := range events {
		var err error
		if p, err = p.Apply(e, t0); err != nil {
			t.Fatalf("Apply(%#v) = %v, want no error", e, err)
		}
	}
	return p
}

func in(id int64, name string) Say { return Say{ID: id, Name: name, Answer: In} }

func bring(id int64, name, item string) Bring { return Bring{ID: id, Name: name, Item: item} }

func num(n int) *int { return &n }

func yes(b bool) *bool { return &b }

func gear(t testing.TB, p Trip, name string) Item {
	t.Helper()
	i := slices.IndexFunc(p.Gear, func(it Item) bool { return it.Name == name })
	if i < 0 {
		t.Fatalf("the plan has no %q", name)
	}
	return p.Gear[i]
}

func TestNew(t *testing.T) {
	p := plan(t)
	if len(p.Roster) != 1 || p.Roster[0] != (Place{ID: ana, Name: "Ana", Answer: In}) {
		t.Errorf("New() has roster %+v, want only the maker, in", p.Roster)
	}
	if p.Rev != 1 || p.V != Version || !p.MadeAt.Equal(t0) {
		t.Errorf("New() = rev %d, version %d, made %v, want 1, %d, %v", p.Rev, p.V, p.MadeAt, Version, t0)
	}
	for _, tt := range []struct {
		name       string
		start, end time.Time
		want       error
	}{
		{"EndBeforeStart", start, start.Add(-time.Minute), ErrTimes},
		{"EndAtStart", start, start, ErrTimes},
		{"EndedAMomentAgo", t0.Add(-time.Hour), t0, ErrOver},
		{"UnderWay", t0.Add(-time.Hour), t0.Add(time.Second), nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if _, err := New(Trip{Start: tt.start, End: tt.end}, t0); !errors.Is(err, tt.want) {
				t.Errorf("New(%v to %v) = %v, want %v", tt.start, tt.end, err, tt.want)
			}
		})
	}
}

// Every standing meets every event.
func TestEveryStandingMeetsEveryEvent(t *testing.T) {
	open := must(t, plan(t), bring(ana, "Ana", Float))
	standings := []struct {
		name string
		trip Trip
		now  time.Time
		want error
	}{
		{"Ahead", open, t0, nil},
		{"UnderWay", open, start.Add(time.Hour), nil},
		{"JustOver", open, end.Add(12 * time.Hour), nil},
		{"LongOver", open, end.Add(12*time.Hour + time.Second), ErrOver},
		{"CalledOff", must(t, open, CallOff{}), t0, ErrCalledOff},
		{"CalledOffAndLongOver", must(t, open, CallOff{}), end.Add(48 * time.Hour), ErrCalledOff},
	}
	events := []struct {
		event Event
		check func(Trip) bool
	}{
		{in(bram, "Bram"), func(p Trip) bool { return len(p.Who(In)) == 2 }},
		{Say{ID: bram, Name: "Bram", Answer: Maybe}, func(p Trip) bool { return len(p.Who(In)) == 1 && len(p.Who(Maybe)) == 1 }},
		{Say{ID: ana, Name: "Ana", Answer: Cant}, func(p Trip) bool { return len(p.Who(In)) == 0 && len(p.Who(Cant)) == 1 }},
		{bring(ana, "Ana", ThrowLine), func(p Trip) bool { return gear(t, p, ThrowLine).By == ana }},
		{CallOff{}, func(p Trip) bool { return !p.CalledOff.IsZero() }},
		{NewSea{Sea{Hs: 1.2, Period: 9, At: t0}}, func(p Trip) bool { return p.SeaNow.Hs == 1.2 }},
		{SetPlanB{Name: "Long Cove", DecideBy: t0}, func(p Trip) bool { return p.PlanB == "Long Cove" && p.DecideBy.Equal(t0) }},
		{Becomes{Outing: "k1"}, func(p Trip) bool { return p.Outing == "k1" }},
	}
	for _, s := range standings {
		for _, e := range events {
			t.Run(fmt.Sprintf("%s/%T", s.name, e.event), func(t *testing.T) {
				before := asJSON(t, s.trip)
				got, err := s.trip.Apply(e.event, s.now)
				if !errors.Is(err, s.want) {
					t.Fatalf("Apply(%+v) = %v, want %v", e.event, err, s.want)
				}
				if after := asJSON(t, s.trip); after != before {
					t.Errorf("Apply(%+v) changed the plan it was given:\n%s\nwas\n%s", e.event, after, before)
				}
				if err != nil {
					if !reflect.DeepEqual(got, Trip{}) {
						t.Errorf("Apply(%+v) refused returns %+v, want nothing", e.event, got)
					}
					return
				}
				if !e.check(got) {
					t.Errorf("Apply(%+v) = %+v, the event did not happen", e.event, got)
				}
				if got.Rev != s.trip.Rev+1 {
					t.Errorf("Apply(%+v) has rev %d, want %d", e.event, got.Rev, s.trip.Rev+1)
				}
			})
		}
	}
}

func asJSON(t testing.TB, p Trip) string {
	t.Helper()
	b, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

type unheardOf struct{ Event }

func TestRefusals(t *testing.T) {
	p := must(t, plan(t), Say{ID: bram, Name: "Bram", Answer: Cant}, Say{ID: chidi, Name: "Chidi", Answer: Maybe}, bring(chidi, "Chidi", Ice))
	for _, tt := range []struct {
		name  string
		event Event
		want  error
	}{
		{"AnAnswerThatIsNone", Say{ID: dell, Name: "Dell", Answer: "perhaps"}, ErrUnknown},
		{"NoAnswer", Say{ID: dell, Name: "Dell"}, ErrUnknown},
		{"BringingBySomebodyWhoCant", bring(bram, "Bram", Float), ErrNotIn},
		{"BringingByAStranger", bring(dell, "Dell", Float), ErrNotIn},
		{"BringingWhatAnotherBrings", bring(ana, "Ana", Ice), ErrTaken},
		{"BringingNothing", bring(ana, "Ana", "  "), ErrUnknown},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if _, err := p.Apply(tt.event, t0); !errors.Is(err, tt.want) {
				t.Errorf("Apply(%+v) = %v, want %v", tt.event, err, tt.want)
			}
		})
	}
	if _, err := p.Apply(unheardOf{}, t0); err == nil {
		t.Error("Apply(an event of no known kind) = no error, want one: nothing may be lost in silence")
	}
	if got := gear(t, p, Ice); got.By != chidi || got.ByName != "Chidi" {
		t.Errorf("ice is with %+v, want Chidi, who may come", got)
	}
}

func TestReady(t *testing.T) {
	vital := []Event{bring(ana, "Ana", ThrowLine), bring(ana, "Ana", Float), bring(ana, "Ana", FirstAid)}
	dark := func(p *Trip) { p.Dark = true }
	for _, tt := range []struct {
		name      string
		plan      Trip
		unclaimed []string
		lacks     []Lack
	}{
		{"NothingClaimed", plan(t), []string{ThrowLine, Float, FirstAid}, nil},
		{"OneVitalThingMissing", must(t, plan(t), vital[0], vital[2]), []string{Float}, nil},
		{"AllVitalThings", must(t, plan(t), vital...), nil, nil},
		{"LightsInTheDark", must(t, plan(t, dark), vital...), []string{Lights}, nil},
		{"LightsBrought", must(t, plan(t, dark), append(vital, bring(ana, "Ana", Lights))...), nil, nil},
		{"NoPlanB", must(t, plan(t, func(p *Trip) { p.PlanB = "" }), vital...), nil, []Lack{LackPlanB}},
		{"NobodyIn", must(t, plan(t), Say{ID: ana, Name: "Ana", Answer: Maybe}), []string{ThrowLine, Float, FirstAid}, []Lack{LackNobody}},
		{"FullLedge", must(t, plan(t, func(p *Trip) { p.Capacity = 2 }), append(vital, in(bram, "Bram"))...), nil, nil},
		{"OneTooMany", must(t, plan(t, func(p *Trip) { p.Capacity = 2 }), append(vital, in(bram, "Bram"), in(chidi, "Chidi"))...), nil, []Lack{LackRoom}},
		{"MaybeTakesNoRoom", must(t, plan(t, func(p *Trip) { p.Capacity = 1 }), append(vital, Say{ID: bram, Name: "Bram", Answer: Maybe})...), nil, nil},
		{"RoomUnknown", must(t, plan(t), append(vital, in(bram, "Bram"), in(chidi, "Chidi"), in(dell, "Dell"))...), nil, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			unclaimed, lacks, ready := tt.plan.Ready()
			if !slices.Equal(unclaimed, tt.unclaimed) || !slices.Equal(lacks, tt.lacks) || ready != (len(tt.unclaimed)+len(tt.lacks) == 0) {
				t.Errorf("Ready() = %v, %v, %v, want %v, %v", unclaimed, lacks, ready, tt.unclaimed, tt.lacks)
			}
		})
	}
}

func TestWhoeverCantOpensTheirGearAgain(t *testing.T) {
	p := must(t, plan(t), in(bram, "Bram"), bring(ana, "Ana", ThrowLine), bring(bram, "Bram", Float), bring(bram, "Bram", FirstAid), bring(bram, "Bram", "kettle"))
	if _, _, ready := p.Ready(); !ready {
		t.Fatal("Ready() = false with everything claimed, want true")
	}
	p = must(t, p, Say{ID: bram, Name: "Bram", Answer: Cant, Seats: num(3)})
	unclaimed, _, ready := p.Ready()
	if !slices.Equal(unclaimed, []string{Float, FirstAid}) || ready {
		t.Errorf("Ready() after Bram can't = %v, %v, want his float and first aid open", unclaimed, ready)
	}
	if k := gear(t, p, "kettle"); k.By != 0 || k.ByName != "" {
		t.Errorf("kettle is with %+v, want it open", k)
	}
	if l := gear(t, p, ThrowLine); l.By != ana {
		t.Errorf("throw line is with %+v, want it still with Ana", l)
	}
	if b, _ := p.Person(bram); b.Seats != 0 {
		t.Errorf("Bram can't and has %d seats, want 0", b.Seats)
	}
}

func TestBringingTwiceLetsGo(t *testing.T) {
	p := must(t, plan(t), bring(ana, "Ana", " Throw Line "))
	if l := gear(t, p, ThrowLine); l.By != ana || l.ByName != "Ana" {
		t.Errorf("throw line is with %+v, want Ana, however it is spelled", l)
	}
	p = must(t, p, bring(ana, "Ana", ThrowLine))
	if l := gear(t, p, ThrowLine); l.By != 0 || l.ByName != "" || !l.Vital {
		t.Errorf("throw line after a second tap = %+v, want it open and vital", l)
	}
	if n := len(p.Gear); n != len(standard()) {
		t.Errorf("the plan has %d things, want the %d standard ones", n, len(standard()))
	}
}

func TestSeatsAndFirstOnlyWhenGiven(t *testing.T) {
	p := must(t, plan(t), Say{ID: bram, Name: "Bram", Answer: In, Seats: num(3), First: yes(true)}, Say{ID: bram, Name: "Bram B", Answer: Maybe})
	if b, ok := p.Person(bram); !ok || b != (Place{ID: bram, Name: "Bram B", Answer: Maybe, Seats: 3, First: true}) {
		t.Errorf("Person() = %+v, %v, want the new name and answer with seats and first kept", b, ok)
	}
	p = must(t, p, Say{ID: bram, Name: "Bram B", Answer: Maybe, Seats: num(0), First: yes(false)})
	if b, _ := p.Person(bram); b.Seats != 0 || b.First {
		t.Errorf("Person() = %+v, want seats and first taken back", b)
	}
	if _, ok := p.Person(dell); ok {
		t.Error("Person() finds somebody who never answered")
	}
}

func TestRevCountsOnlyChanges(t *testing.T) {
	sea := Sea{Hs: 1.5, Period: 10, Verdict: "could be washed", At: t0}
	p := must(t, plan(t), in(bram, "Bram"), NewSea{sea}, Becomes{"k1"})
	for _, tt := range []struct {
		name  string
		event Event
		more  int
	}{
		{"TheSameAnswer", in(bram, "Bram"), 0},
		{"AnotherAnswer", Say{ID: bram, Name: "Bram", Answer: Maybe}, 1},
		{"TheSameSea", NewSea{sea}, 0},
		{"TheSameSeaToldInAnotherZone", NewSea{Sea{Hs: 1.5, Period: 10, Verdict: "could be washed", At: t0.In(time.FixedZone("x", 3600))}}, 0},
		{"TheSameSeaAsOfLater", NewSea{Sea{Hs: 1.5, Period: 10, Verdict: "could be washed", At: t0.Add(time.Hour)}}, 1},
		{"AHigherSea", NewSea{Sea{Hs: 1.6, Period: 10, Verdict: "could be washed", At: t0}}, 1},
		{"TheSameOuting", Becomes{"k1"}, 0},
		{"ClaimedGear", bring(ana, "Ana", Board), 1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := must(t, p, tt.event); got.Rev != p.Rev+tt.more {
				t.Errorf("Rev after %+v = %d, want %d", tt.event, got.Rev, p.Rev+tt.more)
			}
		})
	}
}

// What people agreed to is the sea as it was then; later forecasts are shown against it.
func TestSeaAtPlanStays(t *testing.T) {
	first, later := Sea{Hs: 1, Period: 8, At: t0}, Sea{Hs: 3, Period: 14, At: t0.Add(6 * time.Hour)}
	p := must(t, plan(t), NewSea{first}, NewSea{later})
	if p.SeaAtPlan != first || p.SeaNow != later {
		t.Errorf("seas = %+v then %+v, want %+v then %+v", p.SeaAtPlan, p.SeaNow, first, later)
	}
}

// A call-off names nobody: nobody should go down a ledge to save face.
func TestCallOffKeepsNoName(t *testing.T) {
	p := plan(t)
	off := must(t, p, CallOff{})
	if !off.CalledOff.Equal(t0) {
		t.Errorf("CalledOff = %v, want %v", off.CalledOff, t0)
	}
	if off.Seq != p.Seq+1 {
		t.Errorf("Seq after a call-off = %d, want %d: calendars must hear of it", off.Seq, p.Seq+1)
	}
	off.CalledOff, off.Rev, off.Seq = p.CalledOff, p.Rev, p.Seq
	if asJSON(t, off) != asJSON(t, p) {
		t.Errorf("a call-off leaves more than its time and number: %s, was %s", asJSON(t, off), asJSON(t, p))
	}
}

func TestSoloIsOneWhoIsIn(t *testing.T) {
	p := plan(t)
	if !p.Solo() {
		t.Error("Solo() with one in = false, want true")
	}
	if p := must(t, p, Say{ID: bram, Name: "Bram", Answer: Maybe}); !p.Solo() {
		t.Error("Solo() with one in and one maybe = false, want true")
	}
	if p := must(t, p, in(bram, "Bram")); p.Solo() {
		t.Error("Solo() with two in = true, want false")
	}
	if p := must(t, p, Say{ID: ana, Name: "Ana", Answer: Cant}); p.Solo() {
		t.Error("Solo() with nobody in = true, want false")
	}
}

func TestWhoKeepsTheOrderOfAnswers(t *testing.T) {
	p := must(t, plan(t), in(chidi, "Chidi"), in(bram, "Bram"), Say{ID: chidi, Name: "Chidi", Answer: Cant}, in(chidi, "Chidi"))
	var got []string
	for _, x := range p.Who(In) {
		got = append(got, x.Name)
	}
	if want := []string{"Ana", "Chidi", "Bram"}; !slices.Equal(got, want) {
		t.Errorf("Who(in) = %v, want %v", got, want)
	}
}
