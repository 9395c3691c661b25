package outing

import (
	"slices"
	"testing"
	"time"
)

// A fall is told to those ashore and to the group where it was not said there, again until somebody takes it on, and after that
// again; the "off" stands everybody down who heard of it.
func TestAFallIsAnAlert(t *testing.T) {
	o := starts()[0].open(t)
	at := func(minute int) time.Time { return t0.Add(time.Duration(minute) * time.Minute) }
	tells := func(what string, es []Effect, want ...int64) {
		t.Helper()
		var got []int64
		for _, e := range es {
			if e.Kind == SayFellIn {
				got = with(got, e.To.Chat)
			}
		}
		slices.Sort(want)
		if !slices.Equal(got, want) {
			t.Errorf("%s: tells %v of it, want %v", what, got, want)
		}
	}
	say := func(minute int, e Event) []Effect {
		t.Helper()
		next, es, err := o.Apply(e, at(minute))
		if err != nil {
			t.Fatal(err)
		}
		o = next
		return es
	}
	look := func(minute int) []Effect {
		t.Helper()
		if want := at(minute); !o.NextLook().Equal(want) {
			t.Fatalf("next look %v, want %v", o.NextLook(), want)
		}
		next, es := o.Tick(at(minute))
		o = next
		return es
	}
	es := say(10, FellIn{By: bram, Name: "P1", Chat: group})
	tells("in the group", es, mo, gil)
	if !es[0].First || !es[0].WantOutcome {
		t.Errorf("%+v: want the sheet along, and to know how it fares", es[0])
	}
	tells("the same again within the minute", say(10, FellIn{By: bram, Name: "P1", Chat: group}))
	tells("by somebody else", say(10, FellIn{By: ana, Name: "P0", Chat: ana}), mo, gil, group)
	tells("nobody took it on", look(20), mo, gil, group)
	acked := say(21, Acknowledge{By: mo, Name: "C0", Chat: mo, What: AckCalled})
	if !slices.ContainsFunc(acked, func(e Effect) bool { return e.Kind == SayAcked && e.To.Chat == group }) {
		t.Error("the group does not hear who takes care of it")
	}
	es = look(51)
	tells("the acknowledgement ended", es, mo, gil, group)
	if es[0].AckBy != "C0" || es[0].First {
		t.Errorf("%+v: want it to name who had it, and no second sheet", es[0])
	}
	es = say(55, SayOffRocks{By: ana, Who: []int64{ana, bram}})
	var down []int64
	for _, e := range es {
		if e.Kind == SayStandDown {
			down = with(down, e.To.Chat)
		}
	}
	if want := []int64{group, mo, gil}; !slices.Equal(down, slices.Sorted(slices.Values(want))) {
		t.Errorf("stands down %v, want %v", down, want)
	}
	if _, _, err := o.Apply(FellIn{By: ana, Name: "P0", Chat: ana}, at(56)); err != ErrClosed {
		t.Errorf("a fall after the end = %v, want ErrClosed", err)
	}
}

// With everybody late already the late alert goes on by itself; a fall only sounds it at once.
func TestAFallOfTheLate(t *testing.T) {
	o := starts()[0].open(t)
	for o.NextLook().Before(o.BackBy.Add(41 * time.Minute)) {
		o, _ = o.Tick(o.NextLook())
	}
	now := o.BackBy.Add(42 * time.Minute)
	o, _, _ = o.Apply(Acknowledge{By: mo, Name: "C0", Chat: mo, What: AckReached}, now)
	o, es, err := o.Apply(FellIn{By: gil, Name: "C1", Chat: gil}, now.Add(time.Minute))
	if err != nil || len(es) != 2 || es[1].First {
		t.Fatalf("%v, %v: want the group and Mo told", kinds(es), err)
	}
	if look := o.NextLook(); look.After(o.BackBy.Add(50 * time.Minute)) {
		t.Errorf("next look %v: what was taken on before holds the alert back", look)
	}
}
