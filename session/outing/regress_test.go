package outing

import (
	"slices"
	"testing"
	"time"
)

// What the walk found, each in a plain case of its own.

func TestTheSameBackByTwiceIsNoFurtherDelay(t *testing.T) {
	o := party(t, group, 1, ana)
	for i := range 3 { // the third would otherwise want a reason
		var es []Effect
		var err error
		o, es, err = o.Apply(SetDelay{By: ana, To: at(20)}, at(-20))
		if err != nil {
			t.Fatal(err)
		}
		want := []string{"delayed>-500", "delayed>21"}
		if i > 0 {
			want = want[:1]
		}
		wantKinds(t, "Delay to the same time", es, want...)
	}
	if len(o.Delays) != 1 {
		t.Errorf("%d delays are noted, want one", len(o.Delays))
	}
}

func TestWhoeverJoinsLateHearsTheAlertAtOnceAndEveryTime(t *testing.T) {
	o := party(t, group, 2, ana)
	o, _ = o.Tick(at(30))
	o, es, err := o.Apply(Join{ID: dora, Name: "C2", Chat: dora}, at(31))
	if err != nil {
		t.Fatal(err)
	}
	wantKinds(t, "third contact joins with the alert out", es, "plan>23", "contact>21", "contact>22", "contact>23", "party>-500", "ask>11")
	_, es = o.Tick(o.NextLook())
	wantKinds(t, "the repeat", es, "contact>21", "contact>22", "contact>23", "party>-500", "ask>11")

	// Four ashore: the one told out of turn is not passed over by the repeats that come up the order.
	o = party(t, group, 2, ana)
	o.Contacts = append(o.Contacts, Contact{ID: 24, Name: "C2", Chat: 24}, Contact{ID: 25, Name: "C3", Chat: 25})
	o, _ = o.Tick(at(30))
	o, _, err = o.Apply(Join{ID: dora, Name: "C4", Chat: dora}, at(31))
	if err != nil {
		t.Fatal(err)
	}
	_, es = o.Tick(o.NextLook())
	if !slices.Contains(kinds(es), "contact>23") {
		t.Errorf("the repeat says %v, want whoever was alarmed once to hear every repeat", kinds(es))
	}
}

func TestJoiningAgainIsNoAlarm(t *testing.T) {
	o := party(t, group, 2, ana)
	o, _ = o.Tick(at(30))
	before := o.NextLook()
	o, es, err := o.Apply(Join{ID: mo, Name: "C0", Chat: mo}, at(31))
	if err != nil {
		t.Fatal(err)
	}
	wantKinds(t, "a contact who holds the plan joins again", es, "plan>21")
	if !o.NextLook().Equal(before) {
		t.Errorf("NextLook() = %v, want it unmoved at %v", o.NextLook(), before)
	}
}

func TestARefusalUnderTheGroupsOldIDIsTheGroups(t *testing.T) {
	o := party(t, group, 0, ana)
	o.Mates = []Contact{{ID: bram, Name: "Bram", Chat: bram}}
	o, _ = o.Tick(at(15))
	o = o.Retarget(group, group2)
	o, es, err := o.Apply(Unreached{Chat: group, Name: "the group"}, at(15).Add(time.Second))
	if err != nil {
		t.Fatal(err)
	}
	if o.GroupRefused.IsZero() || !slices.Contains(kinds(es), "party>12") {
		t.Errorf("refused under the old id: refused since %v, says %v; want it noted and Bram told in private", o.GroupRefused, kinds(es))
	}
}

func TestNewsOfTwoContactsNeverShareAName(t *testing.T) {
	o := party(t, group, 2, ana)
	ids := map[string]string{}
	for _, e := range []Event{Unreached{Chat: mo}, LetGo{By: mo}, Join{ID: dora, Name: "C2", Chat: dora}, Unreached{Chat: gil}, LetGo{By: gil}} {
		next, es, err := o.Apply(e, at(-100))
		if err != nil {
			t.Fatal(err)
		}
		o = next
		for _, x := range es {
			if x.Who == "" {
				continue
			}
			id := o.MessageID(x)
			if was, ok := ids[id]; ok && was != x.Who {
				t.Errorf("%q is about %s and about %s", id, was, x.Who)
			}
			ids[id] = x.Who
		}
	}
	if len(ids) != 4 {
		t.Errorf("%d pieces of news, want 4: %v", len(ids), ids)
	}
}
