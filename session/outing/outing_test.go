package outing

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

var t0 = time.Date(2026, 3, 14, 13, 0, 0, 0, time.UTC)

const (
	ana, bram, mo, gil, stranger = 11, 12, 21, 22, 99
	group                        = -500
)

func party(t testing.TB, group int64, contacts int, people ...int64) Outing {
	t.Helper()
	o := Outing{ID: "k1", Crew: "g1", Group: group, Ledge: "Anvil", Zone: "UTC", OpenedBy: people[0], BackBy: t0.Add(3 * time.Hour), Ladder: DefaultLadder()}
	for i, id := range people {
		o.People = append(o.People, Member{ID: id, Name: fmt.Sprintf("P%d", i), Chat: id})
	}
	for i, id := range []int64{mo, gil}[:contacts] {
		o.Contacts = append(o.Contacts, Contact{ID: id, Name: fmt.Sprintf("C%d", i), Chat: id})
	}
	o, _, err := New(o, t0)
	if err != nil {
		t.Fatalf("New() = %v, want an outing", err)
	}
	return o
}

func at(minutes int) time.Time { return t0.Add(3*time.Hour + time.Duration(minutes)*time.Minute) } // from back-by

func kinds(es []Effect) []string {
	var out []string
	for _, e := range es {
		out = append(out, fmt.Sprintf("%s>%d", e.Kind, e.To.Chat))
	}
	return out
}

func wantKinds(t *testing.T, what string, got []Effect, want ...string) {
	t.Helper()
	if g := kinds(got); !slices.Equal(g, want) {
		t.Errorf("%s says %v, want %v", what, g, want)
	}
}

// The ladder in the order and at the times it promises.
func TestLadderClimbsOnTime(t *testing.T) {
	o := party(t, group, 2, ana)
	steps := []struct {
		minute int
		want   []string
	}{
		{-15, []string{"remind>11"}},
		{0, []string{"ask>11"}},
		{15, []string{"party>-500"}},
		{30, []string{"contact>21"}},
		{40, []string{"contact>21", "contact>22", "party>-500", "ask>11"}},
		{50, []string{"contact>21", "contact>22", "party>-500", "ask>11"}},
	}
	for _, s := range steps {
		if next := o.NextLook(); !next.Equal(at(s.minute)) {
			t.Fatalf("NextLook() = %v, want %v", next, at(s.minute))
		}
		early, es := o.Tick(at(s.minute).Add(-time.Second))
		if len(es) != 0 {
			t.Errorf("Tick a second before minute %d says %v, want nothing", s.minute, kinds(es))
		}
		o, es = early.Tick(at(s.minute))
		wantKinds(t, fmt.Sprintf("Tick at minute %d", s.minute), es, s.want...)
		if _, es = o.Tick(at(s.minute)); len(es) != 0 {
			t.Errorf("Tick twice at minute %d says %v again, want nothing", s.minute, kinds(es))
		}
	}
}

// I1..I3 are the store's; this is the ladder's half of "a deadline can be late, never lost": whatever the hole in
// time, everything due is said at once, in order, and marked as late.
func TestTickAfterAnOutageSaysAllThatWasDue(t *testing.T) {
	o := party(t, group, 1, ana)
	o, es := o.Tick(at(90))
	wantKinds(t, "Tick 90 minutes late", es, "ask>11", "party>-500", "contact>21")
	if !es[2].First {
		t.Error("first alert to a contact has First = false, want true: the sheet goes along")
	}
	for _, e := range es {
		if !e.Missed {
			t.Errorf("effect %s after an outage has Missed = false, want true", e.Kind)
		}
	}
	if next := o.NextLook(); !next.Equal(at(100)) {
		t.Errorf("NextLook() = %v, want the first repeat at %v", next, at(100))
	}
}

func TestNoSignalMeansNoPingBeforeTime(t *testing.T) {
	o := party(t, group, 1, ana)
	o.Sheet.Signal = "no"
	if next := o.NextLook(); !next.Equal(at(0)) {
		t.Errorf("NextLook() without signal = %v, want the back-by time", next)
	}
}

func TestLoneAnglerWithNobodyAshoreIsAskedForEver(t *testing.T) {
	o := party(t, 0, 0, ana)
	o, es := o.Tick(at(30))
	wantKinds(t, "Tick", es, "ask>11", "ask>11")
	for m := 40; m <= 200; m += 10 {
		var es []Effect
		o, es = o.Tick(o.NextLook())
		if len(es) == 0 {
			t.Fatalf("repeat at %v says nothing, want it never to fall silent", o.NextLook())
		}
	}
}

// I6: an acknowledgement holds repeats back and ends by itself; only "off" closes.
func TestAcknowledgementExpires(t *testing.T) {
	o := party(t, group, 1, ana)
	o, _ = o.Tick(at(30))
	o, es, err := o.Apply(Acknowledge{By: mo, Name: "Mo", Chat: mo, What: AckTrying}, at(32))
	if err != nil {
		t.Fatal(err)
	}
	wantKinds(t, "Acknowledge", es, "acked>-500", "acked>21")
	if o, es = o.Tick(at(46)); len(es) != 0 {
		t.Errorf("Tick while acknowledged says %v, want nothing", kinds(es))
	}
	o, es = o.Tick(at(47))
	wantKinds(t, "Tick when the acknowledgement ended", es, "contact>21", "party>-500", "ask>11")
	if es[0].AckBy != "Mo" || !es[0].AckAt.Equal(at(32)) || es[0].First {
		t.Errorf("repeat after an acknowledgement = by %q at %v, first %v; want Mo, when she took it on, not first", es[0].AckBy, es[0].AckAt, es[0].First)
	}
	if o.Closed() {
		t.Error("outing closed by an acknowledgement, want only \"off\" to close it")
	}
	if _, _, err := o.Apply(Acknowledge{By: stranger, Name: "X", Chat: stranger, What: AckCalled}, at(48)); !errors.Is(err, ErrNotContact) {
		t.Errorf("Acknowledge by a stranger = %v, want ErrNotContact", err)
	}
}

// I5: after "off" nothing more goes out, and everybody who was alarmed is stood down, once.
func TestOffStandsEverybodyDown(t *testing.T) {
	o := party(t, group, 2, ana)
	o, _ = o.Tick(at(45))
	before := o.Outstanding()
	o, es, err := o.Apply(SayOffRocks{By: ana}, at(47))
	if err != nil {
		t.Fatal(err)
	}
	wantKinds(t, "Off", es, "stand_down>-500", "stand_down>21", "contact_off>22")
	if len(before) == 0 {
		t.Error("Outstanding() is empty with alerts out, want their ids so that waiting ones can be called back")
	}
	if !o.NextLook().IsZero() {
		t.Errorf("NextLook() after off = %v, want none", o.NextLook())
	}
	if _, es := o.Tick(at(500)); len(es) != 0 {
		t.Errorf("Tick after off says %v, want nothing", kinds(es))
	}
	if _, es, err := o.Apply(SayOffRocks{By: ana}, at(48)); err != nil || len(es) != 1 || es[0].Kind != SayOff {
		t.Errorf("second Off = %v, %v, want the confirmation again and nothing else", kinds(es), err)
	}
}

func TestOneCarLeavingEarlyClosesNothing(t *testing.T) {
	o := party(t, group, 1, ana, bram)
	o, es, err := o.Apply(SayOffRocks{By: bram}, at(-60))
	if err != nil {
		t.Fatal(err)
	}
	wantKinds(t, "Bram off", es, "member_off>-500")
	if o.Closed() {
		t.Fatal("closed with one still out")
	}
	o, es = o.Tick(at(0))
	wantKinds(t, "Tick at back-by, the reminder missed", es, "ask>11")
	if _, _, err := o.Apply(SayOffRocks{By: stranger}, at(1)); !errors.Is(err, ErrNotMember) {
		t.Errorf("Off by a stranger = %v, want ErrNotMember", err)
	}
	o, _, err = o.Apply(SayOffRocks{By: bram, Who: []int64{ana, bram}}, at(2))
	if err != nil || !o.Closed() || o.People[0].OffBy != "P1" {
		t.Errorf("Bram's word for both = closed %v, by %q, %v; want closed, named", o.Closed(), o.People[0].OffBy, err)
	}
}

func TestDelayStartsANewLadderAndTellsThoseAshore(t *testing.T) {
	o := party(t, group, 1, ana)
	o, _ = o.Tick(at(31))
	o, es, err := o.Apply(SetDelay{By: ana, For: 30 * time.Minute}, at(33))
	if err != nil {
		t.Fatal(err)
	}
	wantKinds(t, "Delay", es, "delayed>-500", "delayed>21")
	if want := at(33 + 30); !o.BackBy.Equal(want) {
		t.Errorf("BackBy after +30 min, 33 min late = %v, want half an hour from now %v", o.BackBy, want)
	}
	o, _, err = o.Apply(SetDelay{By: ana, For: 30 * time.Minute}, at(34))
	if err != nil {
		t.Fatal(err)
	}
	if want := at(63 + 30); !o.BackBy.Equal(want) {
		t.Errorf("BackBy after +30 min before it passed = %v, want half an hour more %v", o.BackBy, want)
	}
	if _, _, err = o.Apply(SetDelay{By: ana, For: 30 * time.Minute}, at(35)); !errors.Is(err, ErrWhy) {
		t.Errorf("third delay without a reason = %v, want ErrWhy", err)
	}
	if o, _, err = o.Apply(SetDelay{By: ana, To: at(40)}, at(36)); err != nil || !o.BackBy.Equal(at(40)) {
		t.Errorf("coming back earlier = %v, %v, want no reason asked", o.BackBy, err)
	}
	for _, to := range []time.Time{at(35), at(36), at(36).Add(25 * time.Hour)} {
		if _, _, err := o.Apply(SetDelay{By: ana, To: to, Why: "x"}, at(36)); !errors.Is(err, ErrPast) && !errors.Is(err, ErrTooFar) {
			t.Errorf("Delay to %v = %v, want refused", to, err)
		}
	}
}

func TestUnreachableContactIsNewsAtOnceAndTheNextIsTold(t *testing.T) {
	o := party(t, group, 2, ana)
	o2, es, err := o.Apply(Unreached{Chat: mo}, at(-170))
	if err != nil {
		t.Fatal(err)
	}
	wantKinds(t, "Unreached before leaving", es, "unreachable>-500")
	if _, es, _ := o2.Apply(Unreached{Chat: mo}, at(-169)); len(es) != 0 {
		t.Errorf("Unreached twice says %v, want nothing the second time", kinds(es))
	}
	o, _ = o.Tick(at(30))
	_, es, err = o.Apply(Unreached{Chat: mo}, at(30).Add(2*time.Second))
	if err != nil {
		t.Fatal(err)
	}
	wantKinds(t, "Unreached at alarm time", es, "unreachable>-500", "contact>22", "party>-500", "ask>11")
}

// Every (standing, event) pair: nothing panics, an error changes nothing, an open outing always has a next look,
// and a closed one never alarms (I4, I5).
func TestEveryStandingMeetsEveryEvent(t *testing.T) {
	events := []Event{
		SetDelay{By: ana, For: 30 * time.Minute}, SetDelay{By: ana, To: at(300), Why: "w"}, SetDelay{By: stranger, For: time.Hour},
		SayOffRocks{By: ana}, SayOffRocks{By: bram, Who: []int64{ana, bram}}, SayOffRocks{By: stranger},
		SayAtHome{By: ana}, SayAtHome{By: stranger},
		Acknowledge{By: mo, Name: "Mo", Chat: mo, What: AckTrying}, Acknowledge{By: mo, Name: "Mo", Chat: mo, What: AckReached},
		Acknowledge{By: mo, Name: "Mo", Chat: mo, What: AckCalled}, Acknowledge{By: mo, Name: "Mo", Chat: mo, What: "shrug"},
		Acknowledge{By: 13, Name: "Dell", Chat: group, What: AckTrying, Mate: true},
		Reached{Chat: mo}, Unreached{Chat: mo}, Unreached{Chat: gil}, Unreached{Chat: mo, Until: at(90)}, Unreached{Chat: group, Name: "G"},
		Unreached{Chat: group, Name: "G", Until: at(90)}, Unreached{Chat: ana}, Reached{Chat: group}, LetGo{By: mo}, LetGo{By: stranger},
		Sign{By: ana, What: "catch"}, Sign{By: stranger, What: "catch"}, Cancel{By: ana}, Cancel{By: stranger},
	}
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 1))
	minutes := []int{-179, -20, -5, 0, 10, 20, 35, 61, 200}
	walks := 0
	for _, m := range minutes {
		for _, e := range events {
			for range 20 {
				walks++
				o := party(t, []int64{0, group}[rng.IntN(2)], rng.IntN(3), ana, bram)
				now := t0.Add(time.Minute)
				for now.Before(at(m)) { // walk there with ticks and other events in between
					now = now.Add(time.Duration(1+rng.IntN(40)) * time.Minute)
					o, _ = o.Tick(now)
					if next, _, err := o.Apply(events[rng.IntN(len(events))], now); err == nil {
						o = next
					}
				}
				was := fmt.Sprintf("%+v", o)
				next, es, err := o.Apply(e, now)
				if fmt.Sprintf("%+v", o) != was {
					t.Fatalf("Apply(%T) changed the outing it was given", e)
				}
				if err != nil {
					if len(es) != 0 {
						t.Fatalf("Apply(%T) = %v with effects %v, want none on error", e, err, kinds(es))
					}
					continue
				}
				if next.Closed() != next.NextLook().IsZero() {
					t.Fatalf("after %T: closed %v but next look %v", e, next.Closed(), next.NextLook())
				}
				if o.Closed() && !next.Closed() {
					t.Fatalf("after %T: a closed outing is open again", e)
				}
				if next.Closed() {
					if _, es := next.Tick(now.Add(24 * time.Hour)); len(es) != 0 {
						t.Fatalf("after %T: closed, yet Tick says %v", e, kinds(es))
					}
					if !o.Closed() {
						for _, r := range o.Alarmed() {
							if !slices.ContainsFunc(es, func(x Effect) bool { return x.To.Chat == r.Chat && x.Kind == SayStandDown }) {
								t.Fatalf("after %T: chat %d was alarmed and is not stood down: %v", e, r.Chat, kinds(es))
							}
						}
					}
				}
				for _, x := range es {
					if x.To.Chat == 0 {
						t.Fatalf("after %T: effect %s goes nowhere", e, x.Kind)
					}
				}
			}
		}
	}
	t.Logf("%d walks", walks)
}

// Deciding the same effect twice names the same message; different ones never share a name.
func TestMessageIDs(t *testing.T) {
	o := party(t, group, 2, ana, bram)
	seen := map[string]Effect{}
	for m := -20; m < 300; m++ {
		var es []Effect
		o, es = o.Tick(at(m))
		for _, e := range es {
			id := o.MessageID(e)
			if old, ok := seen[id]; ok {
				t.Errorf("minute %d: %q names %v and %v", m, id, old, e)
			}
			seen[id] = e
		}
	}
	out := o.Outstanding()
	for id, e := range seen {
		if !slices.Contains(out, id) {
			t.Errorf("Outstanding() lacks %q (%s)", id, e.Kind)
		}
	}
}

func TestNewRefuses(t *testing.T) {
	good := party(t, group, 0, ana)
	for name, tt := range map[string]struct {
		change func(o *Outing)
		want   error
	}{
		"nobody":   {func(o *Outing) { o.People = nil }, ErrNoPeople},
		"past":     {func(o *Outing) { o.BackBy = t0 }, ErrPast},
		"too far":  {func(o *Outing) { o.BackBy = t0.Add(25 * time.Hour) }, ErrTooFar},
		"no alarm": {func(o *Outing) { o.Ladder.Contact = 10 * time.Hour }, nil},
	} {
		o := good
		tt.change(&o)
		if _, _, err := New(o, t0); err == nil || tt.want != nil && !errors.Is(err, tt.want) {
			t.Errorf("New(%s) = %v, want %v", name, err, tt.want)
		}
	}
}

// With the group deaf the mates hear of it in private, and are stood down there.
func TestMatesAreToldInPrivateWhenTheGroupRefuses(t *testing.T) {
	o := party(t, group, 0, ana)
	o.Mates = []Contact{{ID: bram, Name: "Bram", Chat: bram}}
	o, _ = o.Tick(at(15))
	o, es, err := o.Apply(Unreached{Chat: group, Name: "the group"}, at(16))
	if err != nil {
		t.Fatal(err)
	}
	if g := kinds(es); !slices.Contains(g, "party>12") {
		t.Errorf("the group refused the alert: says %v, want Bram told in private at once", g)
	}
	if _, es, _ := o.Apply(Unreached{Chat: group, Name: "the group"}, at(17)); len(es) != 0 {
		t.Errorf("refused again: says %v, want nothing new", kinds(es))
	}
	o, es = o.Tick(at(30))
	if g := kinds(es); !slices.Contains(g, "party>12") {
		t.Errorf("contact rung with the group deaf: says %v, want Bram told", g)
	}
	for _, id := range []string{o.MessageID(Effect{Kind: SayParty, To: Recipient{Chat: bram}, N: -1, For: o.BackBy})} {
		if !slices.Contains(o.Outstanding(), id) {
			t.Errorf("Outstanding() lacks %q", id)
		}
	}
	_, es, err = o.Apply(SayOffRocks{By: ana}, at(33))
	if err != nil {
		t.Fatal(err)
	}
	if g := kinds(es); !slices.Contains(g, "stand_down>12") {
		t.Errorf("off says %v, want Bram stood down", g)
	}
	if !o.Mate(bram) || o.Mate(stranger) {
		t.Error("Mate() = wrong for Bram or a stranger")
	}
}

// Held up for hours is as good as refused for those who must be told now; but what is said meanwhile gets there in the
// end, and then it is as it was.
func TestHeldUpIsToldLikeRefusedUntilItGetsThrough(t *testing.T) {
	o := party(t, group, 2, ana)
	o, _ = o.Tick(at(30))
	o, es, err := o.Apply(Unreached{Chat: mo, Until: at(150)}, at(31))
	if err != nil {
		t.Fatal(err)
	}
	wantKinds(t, "Held up at alarm time", es, "unreachable>-500", "contact>22", "party>-500", "ask>11")
	if !es[0].Until.Equal(at(150)) {
		t.Errorf("told until %v, want %v", es[0].Until, at(150))
	}
	if _, es, _ := o.Apply(Unreached{Chat: mo, Until: at(150)}, at(32)); len(es) != 0 {
		t.Errorf("held up still: says %v, want nothing new", kinds(es))
	}
	if _, es, _ := o.Apply(Unreached{Chat: mo}, at(32)); len(es) == 0 || es[0].Kind != SayUnreachable || !es[0].Until.IsZero() {
		t.Errorf("refused after being held up: says %v, want that it is for good now", kinds(es))
	}
	_, es, err = o.Apply(SetDelay{By: ana, For: time.Hour}, at(33))
	if err != nil {
		t.Fatal(err)
	}
	wantKinds(t, "A delay meanwhile", es, "delayed>-500", "delayed>21", "delayed>22")
	_, es, err = o.Apply(SayOffRocks{By: ana}, at(33))
	if err != nil {
		t.Fatal(err)
	}
	wantKinds(t, "Off meanwhile", es, "stand_down>-500", "stand_down>21", "stand_down>22")
	o, _, err = o.Apply(Reached{Chat: mo}, at(151))
	if err != nil || len(o.Reachable()) != 2 {
		t.Errorf("once it got through %d are reachable, %v, want both", len(o.Reachable()), err)
	}
}

// Whoever cannot be asked in private is asked in the group: from now on, and at once when the question is out.
func TestWhoIsOutOfReachInPrivateIsAskedInTheGroup(t *testing.T) {
	o := party(t, group, 1, ana, bram)
	early, es, err := o.Apply(Unreached{Chat: ana}, at(-30))
	if err != nil || len(es) != 0 {
		t.Errorf("before the question says %v, %v, want nothing", kinds(es), err)
	}
	_, es = early.Tick(at(0))
	wantKinds(t, "The question then", es, "ask>-500", "ask>12")
	o, _ = o.Tick(at(0))
	o, es, err = o.Apply(Unreached{Chat: ana}, at(1))
	if err != nil {
		t.Fatal(err)
	}
	wantKinds(t, "After the question", es, "ask>-500")
	if !slices.Contains(o.Outstanding(), o.MessageID(es[0])) {
		t.Error("Outstanding() lacks the question in the group")
	}
	o, es, err = o.Apply(Unreached{Chat: bram}, at(2))
	if err != nil || len(es) != 0 {
		t.Errorf("and for the second says %v, %v, want nothing: it stands there", kinds(es), err)
	}
	if next := o.NextLook(); !next.Equal(at(20)) {
		t.Errorf("NextLook() = %v, want the mates' rung as before", next)
	}
}

// A stand-down that does not get into the group goes to its people in private, once each.
func TestAStandDownGoesAroundADeafGroup(t *testing.T) {
	o := party(t, group, 0, ana)
	o.Mates = []Contact{{ID: bram, Name: "Bram", Chat: bram}}
	early, _, err := o.Apply(SayOffRocks{By: ana}, at(-5))
	if err != nil {
		t.Fatal(err)
	}
	if _, es, _ := early.Apply(Unreached{Chat: group, Name: "G"}, at(-4)); len(es) != 0 {
		t.Errorf("nobody was alarmed: says %v, want nothing", kinds(es))
	}
	o, _ = o.Tick(at(15))
	o, _, err = o.Apply(SayOffRocks{By: ana}, at(16))
	if err != nil {
		t.Fatal(err)
	}
	o, es, err := o.Apply(Unreached{Chat: group, Name: "G"}, at(17))
	if err != nil {
		t.Fatal(err)
	}
	wantKinds(t, "The group is deaf to the stand-down", es, "stand_down>12")
	if _, es, _ := o.Apply(Unreached{Chat: group, Name: "G"}, at(18)); len(es) != 0 {
		t.Errorf("again says %v, want nothing", kinds(es))
	}
}

// What was stated while we were down counts from when it was stated: somebody whose time passed meanwhile is late, not refused.
func TestStatedWhileWeWereDown(t *testing.T) {
	o := Outing{
		ID: "k1", Crew: "g1", Group: group, Ledge: "Anvil", Zone: "UTC", OpenedBy: ana, BackBy: at(0), OpenedAt: at(-120), Ladder: DefaultLadder(),
		People: []Member{{ID: ana, Name: "P0", Chat: ana}}, Contacts: []Contact{{ID: mo, Name: "C0", Chat: mo}},
	}
	o, es, err := New(o, at(60))
	if err != nil {
		t.Fatal(err)
	}
	wantKinds(t, "Opened an hour late", es, "opened>-500", "plan>21")
	o, es = o.Tick(at(60))
	wantKinds(t, "A look at once", es, "ask>11")
	if !es[0].Missed {
		t.Error("the question does not own up to being late")
	}
	if next := o.NextLook(); !next.Equal(at(65)) {
		t.Errorf("NextLook() = %v, want five minutes to answer", next)
	}
	_, es = o.Tick(at(65))
	wantKinds(t, "Nothing heard", es, "party>-500", "contact>21")
	if _, _, err := New(Outing{People: o.People, BackBy: at(-121), OpenedAt: at(-120), Ladder: DefaultLadder()}, at(60)); !errors.Is(err, ErrPast) {
		t.Errorf("past when it was stated: %v, want %v", err, ErrPast)
	}
}
