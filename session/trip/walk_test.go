package trip

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"reflect"
	"slices"
	"testing"
	"time"
)

var long = flag.Bool("long", false, "walk further")

type place struct {
	t     Trip
	now   time.Time
	depth int
	way   string
}

// TestEveryWayOfATrip: on every way of so many steps through a plan it is ready only with everything vital brought by
// somebody who is still with it; Rev counts exactly the changes; what is called off stays as it is; an error changes
// nothing; the same word twice is once (but for a thing, which a second word lets go); the stored form reads back.
func TestEveryWayOfATrip(t *testing.T) {
	depth := 3
	if *long {
		depth = 5
	}
	made := time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
	yes, seats := true, 2
	events := []Event{
		Say{ID: 11, Name: "P0", Answer: In}, Say{ID: 11, Name: "P0", Answer: Cant}, Say{ID: 12, Name: "P1", Answer: In, Seats: &seats},
		Say{ID: 12, Name: "P1", Answer: Maybe, First: &yes}, Say{ID: 12, Name: "P1", Answer: Cant}, Say{ID: 13, Name: "P2", Answer: In}, Say{ID: 13, Answer: "perhaps"},
		Bring{ID: 11, Name: "P0", Item: ThrowLine}, Bring{ID: 11, Name: "P0", Item: " Float "}, Bring{ID: 11, Name: "P0", Item: FirstAid}, Bring{ID: 11, Name: "P0", Item: Lights},
		Bring{ID: 12, Name: "P1", Item: ThrowLine}, Bring{ID: 12, Name: "P1", Item: "tea"}, Bring{ID: 99, Name: "X", Item: Bait}, Bring{ID: 11, Name: "P0", Item: " "},
		CallOff{}, SetPlanB{Name: "home"}, SetPlanB{Name: "home", DecideBy: made.Add(20 * time.Hour)}, SetPlanB{},
		NewSea{Sea{Hs: 1.5, Verdict: "could", At: made.Add(time.Hour)}}, NewSea{Sea{Hs: 1.5, Verdict: "could", At: made.Add(time.Hour).In(time.FixedZone("", 3600))}},
		Say{ID: 11, Name: "P0", Answer: In, Seen: 1}, Say{ID: 12, Name: "P1", Answer: In, Seen: 1, First: &yes},
		Drive{ID: 12, Car: true, Seats: 3}, Drive{ID: 12}, Newcomer{ID: 12, First: true}, Newcomer{ID: 11, First: true}, Newcomer{ID: 12},
		WalkWith{ID: 11, Name: "P0", With: 12}, WalkWith{ID: 12, Name: "P1", With: 11}, WalkWith{ID: 11, Name: "P0", With: 11},
		AddNote{ID: 11, Name: "P0", Text: "gate"}, AddNote{ID: 99, Name: "X", Text: " "}, Shown{Message: 7},
		Change{By: 11, Ledge: "Long Step", Capacity: 1}, Change{By: 99, Start: made.Add(25 * time.Hour), Capacity: 2, Dark: true}, Change{By: 11}, Change{End: made},
		Becomes{Outing: "k1"}, nil,
	}
	start, err := New(Trip{ID: "t1", Ledge: "Anvil", Start: made.Add(24 * time.Hour), End: made.Add(30 * time.Hour), By: 11, ByName: "P0", Capacity: 2, Dark: true}, made)
	if err != nil {
		t.Fatal(err)
	}
	// Nearly ready is a second start: what makes a plan ready is several steps from a new one.
	near := start
	for _, e := range []Event{Bring{ID: 11, Name: "P0", Item: ThrowLine}, Bring{ID: 11, Name: "P0", Item: Float}, Bring{ID: 11, Name: "P0", Item: Lights}, SetPlanB{Name: "home"}} {
		if near, err = near.Apply(e, made); err != nil {
			t.Fatal(err)
		}
	}
	seen, steps, ready := map[string]bool{}, 0, 0
	places := []place{{t: start, now: made, way: "made"}, {t: near, now: made, way: "nearly ready"}}
	for i := 0; i < len(places) && !t.Failed(); i++ {
		p := places[i]
		bad := func(what any, format string, args ...any) {
			t.Helper()
			t.Errorf("%s → %T%+v: %s", p.way, what, what, fmt.Sprintf(format, args...))
		}
		if _, _, ok := p.t.Ready(); ok {
			ready++
			checkReady(p.t, bad)
		}
		body, err := json.Marshal(p.t)
		var back Trip
		if err != nil || json.Unmarshal(body, &back) != nil || differ(back, p.t) || back.Rev != p.t.Rev {
			bad("store", "reads back as %+v, want %+v", back, p.t)
		}
		if p.depth == depth {
			continue
		}
		was := p.t
		was.Roster, was.Gear = slices.Clone(was.Roster), slices.Clone(was.Gear)
		for _, e := range events {
			steps++
			next, err := p.t.Apply(e, p.now)
			if err != nil {
				if !slices.ContainsFunc([]error{ErrCalledOff, ErrTaken, ErrNotIn, ErrUnknown, ErrOver, ErrTimes, ErrFirstToo}, func(k error) bool { return errors.Is(err, k) }) && e != nil {
					bad(e, "= %v", err)
				}
				continue
			}
			if !p.t.CalledOff.IsZero() {
				bad(e, "changes a plan that is called off")
			}
			if want := p.t.Rev + btoi(differ(p.t, next)); next.Rev != want {
				bad(e, "Rev = %d, want %d", next.Rev, want)
			}
			for _, it := range next.Gear {
				if who, ok := next.Person(it.By); it.By != 0 && (!ok || who.Answer == Cant) {
					bad(e, "%s is brought by %d, who is not coming", it.Name, it.By)
				}
			}
			if next.Seq < p.t.Seq || next.Seq > p.t.Seq+1 {
				bad(e, "Seq = %d, was %d", next.Seq, p.t.Seq)
			}
			moves := next.Ledge != p.t.Ledge || !next.Start.Equal(p.t.Start) || !next.End.Equal(p.t.End) || !next.CalledOff.Equal(p.t.CalledOff)
			if moves != (next.Seq != p.t.Seq) {
				bad(e, "ledge, hours or call-off changed: %v, Seq %d was %d", moves, next.Seq, p.t.Seq)
			}
			for _, who := range next.Roster {
				was, _ := p.t.Person(who.ID)
				say, says := e.(Say)
				if c, changes := e.(Change); who.Confirmed != was.Confirmed && !(says && say.ID == who.ID && say.Answer == In && say.Seen >= who.Confirmed) && !(changes && c.By == who.ID) {
					bad(e, "%s has confirmed %d, was %d, and said nothing", who.Name, who.Confirmed, was.Confirmed)
				}
				if by, ok := next.Person(who.WalkBy); who.WalkBy != 0 && (!ok || by.Answer != In || by.First || !who.First || who.Answer == Cant || by.ID == who.ID) {
					bad(e, "%s walks in with %+v", who.Name, by)
				}
			}
			if len(next.Notes) > MostNotes || len(next.Roster) > MostPeople {
				bad(e, "%d notes, %d people", len(next.Notes), len(next.Roster))
			}
			_, claims := e.(Bring)
			if _, walks := e.(WalkWith); !claims && !walks {
				if twice, err := next.Apply(e, p.now); err == nil && !reflect.DeepEqual(twice, next) {
					bad(e, "twice is %+v, once %+v", twice, next)
				}
			}
			add(&places, seen, place{next, p.now, p.depth + 1, fmt.Sprintf("%s → %T%+v", p.way, e, e)})
		}
		for _, at := range []time.Time{p.t.Start.Add(-time.Hour), p.t.End.Add(12 * time.Hour), p.t.End.Add(12*time.Hour + 1)} {
			if at.After(p.now) {
				add(&places, seen, place{p.t, at, p.depth + 1, p.way + " → later"})
			}
		}
		if !reflect.DeepEqual(was, p.t) {
			bad("all moves", "some move changed the plan it was handed")
		}
	}
	t.Logf("%d places, %d steps, %d of them ready", len(places), steps, ready)
	if ready == 0 {
		t.Error("no plan was ever ready: it proves nothing of that")
	}
}

func add(places *[]place, seen map[string]bool, p place) {
	q := p.t
	q.Rev = 0
	if k := fmt.Sprint(q, p.now); !seen[k] {
		seen[k] = true
		*places = append(*places, p)
	}
}

// differ compares two plans by all that is stored but Rev, instants as such.
func differ(a, b Trip) bool {
	plain := func(t Trip) string {
		t.Rev, t.Panel = 0, 0 // which message shows it is no change of the plan
		for _, at := range []*time.Time{&t.Start, &t.End, &t.ChangedAt, &t.DecideBy, &t.CalledOff, &t.SeaAtPlan.At, &t.SeaNow.At} {
			*at = at.UTC()
		}
		body, err := json.Marshal(t)
		return fmt.Sprint(string(body), err)
	}
	return plain(a) != plain(b)
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// checkReady repeats what "ready" promises from the plan itself.
func checkReady(p Trip, bad func(any, string, ...any)) {
	brought := map[string]bool{}
	for _, it := range p.Gear {
		if who, ok := p.Person(it.By); ok && who.Answer == In {
			brought[it.Name] = true
		}
	}
	for _, name := range []string{ThrowLine, Float, FirstAid, Lights} {
		if !brought[name] && (name != Lights || p.Dark) {
			bad("ready", "nobody who comes brings %q", name)
		}
	}
	in := 0
	for _, who := range p.Roster {
		in += btoi(who.Answer == In)
		if who.Answer == In && who.Confirmed < p.Seq {
			bad("ready", "%s has not confirmed", who.Name)
		}
	}
	if in == 0 || in > p.Capacity && p.Capacity > 0 || p.PlanB == "" {
		bad("ready", "%d are in of %d, plan B %q", in, p.Capacity, p.PlanB)
	}
}
