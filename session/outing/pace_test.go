package outing

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"
)

var update = flag.Bool("update", false, "write LADDERS.md anew")

func TestPace(t *testing.T) {
	two := []int64{ana, bram}
	for name, c := range map[string]struct {
		people         []int64
		set            func(o *Outing)
		party, contact int // minutes after the back-by time
		why            []Reason
	}{
		"two in good light":          {two, nil, 20, 40, nil},
		"alone":                      {two[:1], nil, 15, 30, []Reason{Alone}},
		"the last of two":            {two, func(o *Outing) { o.People[1].OffAt = at(-5) }, 15, 30, []Reason{Alone}},
		"two before dark":            {two, func(o *Outing) { o.Sheet.LastLight = at(100) }, 15, 30, []Reason{Dark}},
		"two, light for long":        {two, func(o *Outing) { o.Sheet.LastLight = at(101) }, 20, 40, nil},
		"two in the dark":            {two, func(o *Outing) { o.Sheet.LastLight = at(-60) }, 15, 30, []Reason{Dark}},
		"two at night":               {two, func(o *Outing) { o.Sheet.LastLight, o.Sheet.FirstLight = at(-300), at(41) }, 15, 30, []Reason{Dark}},
		"two when it gets light":     {two, func(o *Outing) { o.Sheet.LastLight, o.Sheet.FirstLight = at(-300), at(40) }, 20, 40, nil},
		"two on a rising sea":        {two, func(o *Outing) { o.Sheet.SeaHs, o.Sheet.SeaHsLater = 1, 1.2 }, 15, 30, []Reason{Rising}},
		"two on a sea like before":   {two, func(o *Outing) { o.Sheet.SeaHs, o.Sheet.SeaHsLater = 1, 1.1 }, 20, 40, nil},
		"alone on a rising sea":      {two[:1], func(o *Outing) { o.Sheet.SeaHs, o.Sheet.SeaHsLater = 1, 2 }, 10, 20, []Reason{Alone, Rising}},
		"all three":                  {two[:1], func(o *Outing) { o.Sheet.SeaHs, o.Sheet.SeaHsLater, o.Sheet.LastLight = 1, 2, at(0) }, 10, 20, []Reason{Alone, Dark, Rising}},
		"alone, set short":           {two[:1], func(o *Outing) { o.Ladder.Party, o.Ladder.Contact = 5*time.Minute, 12*time.Minute }, 5, 10, []Reason{Alone}},
		"alone, stored before there": {two[:1], func(o *Outing) { o.Ladder.Sooner = false }, 20, 40, nil},
	} {
		t.Run(name, func(t *testing.T) {
			o := party(t, group, 1, c.people...)
			if c.set != nil {
				c.set(&o)
			}
			l, why := o.Pace()
			if l.Party != time.Duration(c.party)*time.Minute || l.Contact != time.Duration(c.contact)*time.Minute || !slices.Equal(why, c.why) {
				t.Errorf("Pace() = %v, %v, %v, want %d and %d min, %v", l.Party, l.Contact, why, c.party, c.contact, c.why)
			}
			if l.Repeat != o.Ladder.Repeat || l.Remind != o.Ladder.Remind {
				t.Errorf("Pace() changed repeats or the reminder: %+v", l)
			}
		})
	}
}

// The last of a party is alone: those ashore hear sooner than was set for two, and the looks follow.
func TestTheLastOneOutIsLookedForSooner(t *testing.T) {
	o := party(t, group, 1, ana, bram)
	o, _ = o.Tick(at(0))
	o, _, err := o.Apply(SayOffRocks{By: bram}, at(1))
	if err != nil {
		t.Fatal(err)
	}
	if next := o.NextLook(); !next.Equal(at(15)) {
		t.Errorf("NextLook() = %v, want the mates told at +15", next)
	}
	if _, es := o.Tick(at(30)); !strings.Contains(fmt.Sprint(kinds(es)), "contact>") {
		t.Errorf("at +30 says %v, want those ashore told", kinds(es))
	}
}

func TestPromptsForTideAndDark(t *testing.T) {
	open := func(set func(o *Outing)) Outing {
		o := party(t, group, 1, ana)
		o.Sheet.WalkInFloods, o.Sheet.LastLight = at(-30), at(60)
		if set != nil {
			set(&o)
		}
		return o
	}
	o := open(nil)
	if next := o.NextLook(); !next.Equal(at(-60)) {
		t.Fatalf("NextLook() = %v, want half an hour before the walk-in floods", next)
	}
	o, es := o.Tick(at(-60))
	wantKinds(t, "Half an hour before the tide is over the walk-in", es, "gate>11")
	if again, es := o.Tick(at(-59)); len(es) != 0 || len(again.Told) != len(o.Told) {
		t.Errorf("a minute later says %v, want nothing: once", kinds(es))
	}
	// A delay is a new ladder, and the tide is the same.
	o, _, err := o.Apply(SetDelay{By: ana, For: time.Hour}, at(-50))
	if err != nil {
		t.Fatal(err)
	}
	if next := o.NextLook(); !next.Equal(at(15)) {
		t.Errorf("after a delay into the dusk NextLook() = %v, want 45 min before last light", next)
	}
	o, es = o.Tick(at(15))
	wantKinds(t, "Three quarters of an hour before last light", es, "light>11")
	if !slices.Contains(o.Outstanding(), o.MessageID(es[0])) {
		t.Error("Outstanding() lacks the prompt: it could follow an off")
	}

	for name, set := range map[string]func(o *Outing){
		"no signal there":                   func(o *Outing) { o.Sheet.Signal = "no" },
		"said at the start":                 func(o *Outing) { o.Sheet.WalkInFloods = o.OpenedAt.Add(20 * time.Minute) },
		"flooded already":                   func(o *Outing) { o.Sheet.WalkInFloods = o.OpenedAt.Add(-time.Hour) },
		"not before they are due anyway":    func(o *Outing) { o.Sheet.WalkInFloods = at(30) },
		"a ledge of which no gate is known": func(o *Outing) { o.Sheet.WalkInFloods = time.Time{} },
	} {
		o := open(set)
		if next := o.NextLook(); next.Before(at(-15)) {
			t.Errorf("%s: NextLook() = %v, want no prompt", name, next)
		}
	}

	// A bot that was down past the tide does not say that it comes.
	o, es = open(nil).Tick(at(-20))
	if len(es) != 0 || o.NextLook().Before(at(-15)) {
		t.Errorf("after the walk-in flooded says %v, next look %v, want nothing more of it", kinds(es), o.NextLook())
	}
}

func TestSetLadder(t *testing.T) {
	o := party(t, group, 1, ana, bram)
	short := Ladder{Remind: 10 * time.Minute, Party: 5 * time.Minute, Contact: 10 * time.Minute, Repeat: 5 * time.Minute}
	n, es, err := o.Apply(SetLadder{By: ana, Ladder: short}, at(-60))
	if err != nil {
		t.Fatal(err)
	}
	wantKinds(t, "Setting it", es, "times>-500", "times>21")
	n, _ = n.Tick(at(0))
	if _, es = n.Tick(at(10)); !strings.Contains(fmt.Sprint(kinds(es)), "contact>21") {
		t.Errorf("at +10 says %v, want the one ashore told", kinds(es))
	}
	again, es2, err := n.Apply(SetLadder{By: ana, Ladder: short}, at(-59))
	if err != nil || again.Timed != n.Timed || again.MessageID(es2[0]) != n.MessageID(es2[0]) {
		t.Errorf("said twice it counts %d times (%v), want %d", again.Timed, err, n.Timed)
	}
	for name, c := range map[string]struct {
		by   int64
		at   int
		set  func(l *Ladder)
		want error
	}{
		"by a stranger":             {stranger, -60, nil, ErrNotMember},
		"late":                      {ana, 1, nil, ErrPast},
		"mates at once":             {ana, -60, func(l *Ladder) { l.Party = 4 * time.Minute }, ErrLadder},
		"ashore before the mates":   {ana, -60, func(l *Ladder) { l.Party, l.Contact = 20*time.Minute, 15*time.Minute }, ErrLadder},
		"ashore after two hours":    {ana, -60, func(l *Ladder) { l.Contact = 2 * time.Hour }, ErrLadder},
		"repeats every minute":      {ana, -60, func(l *Ladder) { l.Repeat = time.Minute }, ErrLadder},
		"a reminder that is an age": {ana, -60, func(l *Ladder) { l.Remind = 2 * time.Hour }, ErrLadder},
	} {
		l := short
		if c.set != nil {
			c.set(&l)
		}
		if _, _, err := o.Apply(SetLadder{By: c.by, Ladder: l}, at(c.at)); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
}

func TestSomebodyGoesAlong(t *testing.T) {
	o := party(t, group, 1, ana)
	dell := Member{ID: 13, Name: "Dell", Chat: 13}
	n, es, err := o.Apply(GoAlong{Member: dell, Car: "red hatchback", Contacts: []Contact{{ID: 23, Name: "Noor", Chat: 23}, {ID: mo, Name: "Mo", Chat: mo}}}, at(-60))
	if err != nil {
		t.Fatal(err)
	}
	wantKinds(t, "Going along", es, "along>-500", "along>21", "plan>23")
	if len(n.StillOut()) != 2 || len(n.Contacts) != 2 || n.Sheet.Car != "red hatchback" {
		t.Errorf("out %d, ashore %d, car %q, want 2, 2 and hers", len(n.StillOut()), len(n.Contacts), n.Sheet.Car)
	}
	n, _, _ = n.Apply(SayOffRocks{By: ana}, at(-10))
	if n.Closed() {
		t.Error("one off closed it for the other")
	}
	if again, es, err := n.Apply(GoAlong{Member: dell}, at(-9)); err != nil || len(es) != 0 || len(again.People) != 2 {
		t.Errorf("said twice: %v, %v, %d people", kinds(es), err, len(again.People))
	}
	if _, _, err := n.Apply(GoAlong{Member: Member{ID: ana}}, at(-9)); !errors.Is(err, ErrWasOff) {
		t.Errorf("an old button after the off: %v, want %v", err, ErrWasOff)
	}
	// Who goes out is not ashore any more.
	n, _, err = o.Apply(GoAlong{Member: Member{ID: mo, Name: "Mo", Chat: mo}}, at(-60))
	if err != nil || len(n.Contacts) != 0 {
		t.Errorf("ashore are %v (%v), want nobody", n.Contacts, err)
	}
}

// The newest location is kept while somebody is out, and no other.
func TestAPositionIsKeptOnlyWhileOut(t *testing.T) {
	o := party(t, group, 1, ana, bram)
	fix := func(m int) Position { return Position{Lat: 38.9, Lon: -123.7, At: at(m), Live: at(60)} }
	o, _, err := o.Apply(Shows{By: ana, Position: fix(-60)}, at(-60))
	if err != nil {
		t.Fatal(err)
	}
	for name, at := range map[string]time.Time{"an older one": fix(-70).At, "one right after": fix(-60).At.Add(20 * time.Second)} {
		p := fix(0)
		p.At = at
		if n, _, err := o.Apply(Shows{By: ana, Position: p}, at); err != nil || !equal(n, o) {
			t.Errorf("%s changed it (%v)", name, err)
		}
	}
	n, _, _ := o.Apply(Shows{By: ana, Position: fix(-59)}, at(-59))
	if m, _ := n.Member(ana); !m.Position.At.Equal(at(-59)) {
		t.Errorf("kept is the fix of %v, want the newest", m.Position.At)
	}
	if len(n.Heard) != len(o.Heard) {
		t.Error("a phone that sends its location counts as a word of its owner")
	}
	n, _, _ = n.Apply(SayOffRocks{By: ana}, at(-50))
	if m, _ := n.Member(ana); m.Position != nil {
		t.Error("kept after the off")
	}
	if _, _, err := n.Apply(Shows{By: ana, Position: fix(-40)}, at(-40)); !errors.Is(err, ErrClosed) {
		t.Errorf("sent after the off: %v, want %v", err, ErrClosed)
	}
	if _, _, err := o.Apply(Shows{By: stranger, Position: fix(-40)}, at(-40)); !errors.Is(err, ErrNotMember) {
		t.Errorf("a stranger's: %v", err)
	}
}

// LADDERS.md shows who is told when, as the machine does it by looks alone.
func TestLadders(t *testing.T) {
	var b bytes.Buffer
	fmt.Fprint(&b, "# Who is told when\n\nWritten by `go test ./session/outing -run TestLadders -update`, as the machine does it when nobody answers and nobody\nacknowledges. Back by 17:00, opened at 14:00, two ashore. Times are common practice, no source; a crew can set its own (/alarm).\n")
	clock := func(t time.Time) string {
		return t.Add(at(0).Truncate(24 * time.Hour).Add(17 * time.Hour).Sub(at(0))).Format("15:04")
	}
	for _, c := range []struct {
		title  string
		group  int64
		ashore int
		people []int64
		set    func(o *Outing)
	}{
		{"Two out, in a group, good light, steady sea", group, 2, []int64{ana, bram}, nil},
		{"Alone, in a group", group, 2, []int64{ana}, nil},
		{"Alone near dark on a rising sea", group, 2, []int64{ana}, func(o *Outing) {
			o.Sheet.LastLight, o.Sheet.SeaHs, o.Sheet.SeaHsLater = at(50), 1.2, 1.9
		}},
		{"Alone, no group, no signal on the ledge; the walk-in floods at 16:10", 0, 2, []int64{ana}, func(o *Outing) {
			o.Sheet.Signal, o.Sheet.WalkInFloods = "no", at(-50)
		}},
		{"Two out, nobody ashore, the walk-in floods at 16:10", group, 0, []int64{ana, bram}, func(o *Outing) { o.Sheet.WalkInFloods = at(-50) }},
	} {
		o := party(t, c.group, c.ashore, c.people...)
		if c.set != nil {
			c.set(&o)
		}
		_, why := o.Pace()
		fmt.Fprintf(&b, "\n## %s\n\n", c.title)
		if len(why) > 0 {
			fmt.Fprintf(&b, "Brought forward: %v.\n\n", why)
		}
		fmt.Fprint(&b, "| at | what | to |\n|---|---|---|\n")
		for said := ""; said != "stop"; {
			next := o.NextLook()
			var es []Effect
			o, es = o.Tick(next)
			for _, e := range es {
				if line := fmt.Sprint(e.Kind, e.To.Role, e.N, next); e.To.Role == RoleAngler && line == said {
					continue // each of them, in private
				} else if said = line; e.N == 2 {
					said = "stop"
					break
				}
				to := map[bool]string{true: "the group", false: "those out, each"}[e.To.Chat == group]
				if e.To.Role == RoleContact {
					to = map[int64]string{mo: "the first ashore", gil: "the second ashore"}[e.To.Chat]
				}
				n := ""
				if e.N > 0 {
					n = fmt.Sprintf(" (repeat %d)", e.N)
				}
				fmt.Fprintf(&b, "| %s | %s%s | %s |\n", clock(next), e.Kind, n, to)
			}
		}
	}
	if *update {
		if err := os.WriteFile("LADDERS.md", b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile("LADDERS.md")
	if err != nil || !bytes.Equal(want, b.Bytes()) {
		t.Errorf("LADDERS.md (%v) is not what the machine does, which is\n%s", err, b.Bytes())
	}
}
