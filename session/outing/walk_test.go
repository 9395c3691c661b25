package outing

import (
	"errors"
	"flag"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
)

var long = flag.Bool("long", false, "walk further: minutes instead of seconds")

// The walk goes through the outing breadth first: from every place, every event and every kind of passing time. Two
// places are the same when nothing the machine does from there on can differ; what is only kept to be told (when a
// contact was reached, signs of life, how often somebody tried) does not part them. The rules it holds every place
// and every step to are in walk_rules_test.go. They speak of one step at a time, so that places met on several ways
// need to be left only once.

const (
	dell, dora     = 13, 23
	group2, group3 = -501, -502
)

// place is a point of the walk: the outing, the time, and which chats refused us last (by their own word, whatever
// the machine makes of it).
type place struct {
	o       Outing
	now     time.Time
	refused []int64
	said    []named // about somebody, of late on this way: it may still wait to be sent
	from    int     // index of the place before, -1 for a start
	by      string
	depth   int
}

// named is a message by its name, and whom it is about.
type named struct{ id, who string }

// move is one thing that can happen. A move in time changes no outing; all others are one call of the machine.
type move struct {
	name    string
	event   func(p place) Event // an event, or
	tick    bool                // a look, or
	pass    func(p place) time.Time
	to      int64 // the group's chat becomes this one, or
	refuses int64 // with Unreached: the chat
	accepts int64 // with Reached, Join, Acknowledge: the chat
	twice   bool  // meant anew each time it is said
}

func always(e Event) func(place) Event { return func(place) Event { return e } }

func moves() []move {
	ms := []move{
		{name: "look", tick: true},
		{name: "until the look", pass: func(p place) time.Time { return p.o.NextLook() }},
		{name: "until just before it", pass: func(p place) time.Time { return p.o.NextLook().Add(-time.Second) }},
		{name: "past it", pass: func(p place) time.Time { return p.o.NextLook().Add(4 * time.Minute) }},
		{name: "three days on", pass: func(p place) time.Time { return p.o.wipeAt() }},
		{name: "seven hours down", pass: func(p place) time.Time { return p.now.Add(7 * time.Hour) }},
		{name: "a replica two seconds behind takes over", pass: func(p place) time.Time { return p.now.Add(-2 * time.Second) }},
		{name: "group moves", to: group2},
		{name: "group moves again", to: group3},
	}
	for name, e := range map[string]Event{
		"ana off": SayOffRocks{By: ana}, "bram off": SayOffRocks{By: bram}, "bram: all off": SayOffRocks{By: bram, Who: []int64{ana, bram}},
		"a stranger off": SayOffRocks{By: stranger}, "ana home": SayAtHome{By: ana}, "bram home": SayAtHome{By: bram},
		"mo lets go": LetGo{By: mo}, "gil lets go": LetGo{By: gil}, "ana takes gil off": Release{By: ana, Contact: gil}, "a stranger takes mo off": Release{By: stranger, Contact: mo},
		"gil before mo": Reorder{By: ana, IDs: []int64{gil, mo}}, "ana shows": Sign{By: ana, What: "catch"},
		"ana cancels": Cancel{By: ana}, "bram cancels": Cancel{By: bram}, "ana joins": Join{ID: ana, Name: "P0", Chat: ana},
		"nobody acknowledges": Acknowledge{By: stranger, Chat: stranger, What: AckTrying}, "mo shrugs": Acknowledge{By: mo, Chat: mo, What: "shrug"},
	} {
		ms = append(ms, move{name: name, event: always(e)})
	}
	ms = append(ms,
		move{name: "+30", event: always(SetDelay{By: ana, For: 30 * time.Minute}), twice: true},
		move{name: "back in 20", event: func(p place) Event { return SetDelay{By: ana, To: p.now.Add(20 * time.Minute)} }},
		move{name: "back in 50, tired", event: func(p place) Event {
			return SetDelay{By: ana, To: p.now.Add(50 * time.Minute), Why: "w"}
		}})
	for _, c := range []struct {
		name string
		id   int64
		what []AckKind
	}{{"mo", mo, []AckKind{AckTrying, AckReached, AckCalled}}, {"gil", gil, []AckKind{AckTrying}}} {
		for _, k := range c.what {
			ms = append(ms, move{name: c.name + " " + string(k), event: always(Acknowledge{By: c.id, Name: c.name, Chat: c.id, What: k}), accepts: c.id})
		}
	}
	ms = append(ms, move{name: "dell trying", accepts: 0, event: func(p place) Event {
		return Acknowledge{By: dell, Name: "dell", Chat: p.o.PartyChat(), What: AckTrying, Mate: true}
	}})
	for _, chat := range []int64{mo, gil, ana, dell, group, group2} {
		ms = append(ms, move{name: fmt.Sprintf("%d refuses", chat), event: always(Unreached{Chat: chat, Name: "g"}), refuses: chat})
	}
	for _, chat := range []int64{mo, group, group2} {
		ms = append(ms, move{name: fmt.Sprintf("%d reached", chat), event: always(Reached{Chat: chat}), accepts: chat})
	}
	ms = append(ms,
		move{name: "ana sets it short", event: always(SetLadder{By: ana, Ladder: Ladder{Party: leastParty, Contact: leastContact, Repeat: 5 * time.Minute}})},
		move{name: "dell along", event: always(GoAlong{Member: Member{ID: dell, Name: "dell", Chat: dell}, Contacts: []Contact{{ID: dora, Name: "C2", Chat: dora}}}), accepts: dora},
		move{name: "mo along", event: always(GoAlong{Member: Member{ID: mo, Name: "mo", Chat: mo}, Car: "van"})},
		move{name: "ana shows where", event: func(p place) Event { return Shows{By: ana, Position: Position{Lat: 1, Lon: 2, At: p.now}} }, twice: true},
		move{name: "dell off", event: always(SayOffRocks{By: dell})})
	for _, c := range []struct {
		name, who string
		id        int64
		chat      func(p place) int64
	}{{"bram: somebody fell in", "P1", bram, func(p place) int64 { return p.o.PartyChat() }}, {"mo: somebody fell in", "C0", mo, func(place) int64 { return mo }}} {
		ms = append(ms, move{name: c.name, event: func(p place) Event { return FellIn{By: c.id, Name: c.who, Chat: c.chat(p)} }})
	}
	ms = append(ms, move{name: "nobody was heard for a while", event: func(p place) Event { return WasDeaf{From: p.now.Add(-10 * time.Minute), To: p.now} }})
	for i, id := range []int64{mo, gil, dora} {
		ms = append(ms, move{name: fmt.Sprintf("%d joins", id), event: always(Join{ID: id, Name: fmt.Sprintf("C%d", i), Chat: id}), accepts: id})
	}
	slices.SortFunc(ms, func(a, b move) int { return strings.Compare(a.name, b.name) }) // the map above has no order
	return ms
}

// start is one party to begin a walk with.
type start struct {
	name     string
	group    int64
	contacts int
	people   []Member
	mates    bool
	signal   string
	ladder   Ladder
	sheet    Sheet
}

func starts() []start {
	two := []Member{{ID: ana, Name: "P0", Chat: ana}, {ID: bram, Name: "P1"}}
	one, guest := two[:1], []Member{{ID: ana, Name: "P0", Chat: ana}, {ID: -1, Name: "G"}}
	return []start{
		{"a group, two ashore", group, 2, two, true, "", DefaultLadder(), Sheet{}},
		{"a group with nobody ashore, no signal", group, 0, two, true, "no", DefaultLadder(), Sheet{}},
		{"alone, two ashore", 0, 2, one, false, "", DefaultLadder(), Sheet{}},
		{"alone, nobody ashore", 0, 0, one, false, "", DefaultLadder(), Sheet{}},
		{"with a guest, one ashore, everything at once", group, 1, guest, false, "", Ladder{Repeat: time.Minute}, Sheet{}},
		{"a group, one ashore, tide and dark and a rising sea", group, 1, two, true, "", DefaultLadder(), Sheet{
			WalkInFloods: t0.Add(150 * time.Minute), LastLight: t0.Add(190 * time.Minute), SeaHs: 1, SeaHsLater: 2}},
	}
}

func (s start) open(t *testing.T) Outing {
	o := Outing{ID: "k1", Crew: "g1", Group: s.group, Ledge: "Anvil", Zone: "UTC", OpenedBy: ana, BackBy: t0.Add(3 * time.Hour), Ladder: s.ladder, People: s.people}
	for i, id := range []int64{mo, gil}[:s.contacts] {
		o.Contacts = append(o.Contacts, Contact{ID: id, Name: fmt.Sprintf("C%d", i), Chat: id})
	}
	if s.mates {
		o.Mates = []Contact{{ID: dell, Name: "dell", Chat: dell}}
	}
	lat, lon := 38.9546, -123.7406
	o.Sheet = s.sheet
	o.Sheet.Signal, o.Sheet.Lat, o.Sheet.Lon, o.Sheet.Car, o.Sheet.Parking = s.signal, &lat, &lon, "grey van", "gate"
	o.People = slices.Clone(o.People)
	o.People[0].Phone = "+00 555 0142"
	o, _, err := New(o, t0)
	if err != nil {
		t.Fatalf("New() = %v, want an outing", err)
	}
	return o
}

// key is what two places must have in common to be the same.
func (p place) key() string {
	o, k := p.o, make(key, 0, 256)
	k.add(o.Group, num(!o.GroupRefused.IsZero()), num(o.Closed()), num(o.Cancelled), int64(min(len(o.Delays), 2)))
	k.add(o.GroupWas...)
	k.add(p.refused...)
	for _, m := range o.People {
		k.add(m.ID, m.Chat, num(!m.OffAt.IsZero()), num(!m.HomeAt.IsZero()))
	}
	for _, c := range o.Contacts {
		k.add(c.ID, c.Chat, num(!c.Refused.IsZero()), num(o.toldNow(c.Chat)))
	}
	for _, r := range o.alarmed() {
		k.add(r.Chat)
		k = append(k, r.Role...)
	}
	if o.Closed() { // nothing depends on the time any more, but that its wipe is due
		k.add(num(o.Wiped()), num(p.now.Before(o.wipeAt())))
		return string(k)
	}
	rel := func(t time.Time) int64 { return int64(t.Sub(p.now)) }
	k.add(rel(o.BackBy), int64(min(len(o.Deaf), 2)))
	if o.AskedAgain.After(o.BackBy) {
		k.add(rel(o.AskedAgain))
	}
	if o.Ack != nil {
		k.add(o.Ack.By, rel(o.Ack.Until))
	}
	k.add(int64(o.Ladder.Party), int64(o.Ladder.Contact), int64(min(o.Timed, 1)))
	for _, f := range o.Falls {
		if p.now.Sub(f.At) < fellInEvery {
			k.add(f.By, rel(f.At))
		}
	}
	if last, n := o.lastFellIn(); n > 0 {
		k.add(rel(last.At), int64(min(last.N, slowAfter+1)), num(o.fellInThere(o.Group)))
	}
	k.add(num(len(o.Falls) > 0))
	for _, s := range o.steps() {
		k.add(num(o.told(s.rung, 0)), rel(s.at))
		k = append(k, s.rung...)
	}
	for _, told := range o.Told {
		if told.For.After(p.now) && !told.For.Equal(o.BackBy) { // counts if they go back to that time
			k.add(rel(told.For))
			k = append(k, told.Rung...)
		}
	}
	if last, ok := o.lastAlert(); ok {
		k.add(rel(last.At), int64(min(last.N, slowAfter)))
	}
	return string(k)
}

type key []byte

func (k *key) add(ns ...int64) {
	for _, n := range ns {
		*k = strconv.AppendInt(append(*k, ' '), n, 10)
	}
	*k = append(*k, ';')
}

func num(b bool) int64 {
	if b {
		return 1
	}
	return 0
}

// lastAlert is the rung from which the next repeat counts.
func (o Outing) lastAlert() (last Told, ok bool) {
	for _, t := range o.Told {
		if t.For.Equal(o.BackBy) && (t.Rung == RungContact || t.Rung == RungRepeat) {
			last, ok = t, true
		}
	}
	return last, ok
}

// apply makes a move. moved is false where it cannot be made.
func (p place) apply(m move) (next place, es []Effect, err error, moved bool) {
	next = p
	switch {
	case m.pass != nil:
		to := m.pass(p)
		if to.IsZero() || to.Equal(p.now) || to.Before(p.now.Add(-2*time.Second)) || !p.o.Closed() && to.After(t0.Add(72*time.Hour)) || to.After(t0.Add(2*72*time.Hour)) {
			return p, nil, nil, false
		}
		next.now = to
		return next, nil, nil, true
	case m.tick:
		next.o, es = p.o.Tick(p.now)
	case m.to != 0:
		if p.o.Group == 0 || p.o.Group == m.to || slices.Contains(p.o.GroupWas, m.to) {
			return p, nil, nil, false
		}
		next.o = p.o.Retarget(p.o.Group, m.to)
		if slices.Contains(p.refused, p.o.Group) {
			next.refused = with(next.refused, m.to)
		}
	case m.refuses < 0 && m.refuses != p.o.Group && !slices.Contains(p.o.GroupWas, m.refuses):
		return p, nil, nil, false // nothing was written to there
	default:
		next.o, es, err = p.o.Apply(m.event(p), p.now)
		if err != nil {
			return p, es, err, true
		}
		next.refused = without(next.refused, m.accepts)
		if m.refuses != 0 && (slices.Contains(p.o.GroupWas, m.refuses) || m.refuses == p.o.Group) {
			next.refused = with(next.refused, p.o.Group)
		} else if m.refuses != 0 {
			next.refused = with(next.refused, m.refuses)
		}
	}
	return next, es, nil, true
}

func with(chats []int64, c int64) []int64 {
	if slices.Contains(chats, c) {
		return chats
	}
	chats = append(slices.Clone(chats), c)
	slices.Sort(chats)
	return chats
}

func without(chats []int64, c int64) []int64 {
	return slices.DeleteFunc(slices.Clone(chats), func(x int64) bool { return x == c })
}

// TestEveryWayOfAnOuting is I4 to I6 on every way of so many steps through an outing.
func TestEveryWayOfAnOuting(t *testing.T) {
	depth, most := 3, 500 // moves from each rung; places for each party
	if *long {
		depth, most = 4, 150_000
	}
	for _, s := range starts() {
		t.Run(s.name, func(t *testing.T) {
			if !*long { // one after the other, for the room they take
				t.Parallel()
			}
			w := &walk{t: t, depth: depth, seen: map[string]bool{}, moves: moves()}
			w.begin(s.open(t))
			w.run(most)
			t.Logf("%d places left by every move, %d more seen at the rim (%d moves deep), %d steps", w.left, len(w.seen)-w.left, w.deepest, w.steps)
			if *long && w.left == most {
				t.Errorf("%d places were not enough for every way of %d moves", most, depth)
			}
			for _, k := range []string{"alerts", "stand-downs", "ends", "falls"} {
				if w.met[k] == 0 && !(s.group == 0 && s.contacts == 0) {
					t.Errorf("the walk met no %s: it proves nothing of them", k)
				}
			}
			t.Logf("met %v", w.met)
		})
	}
}

type walk struct {
	t       *testing.T
	depth   int // places so many moves from a rung are not left any more
	moves   []move
	places  []place
	seen    map[string]bool
	left    int
	steps   int
	deepest int
	met     map[string]int
}

// begin puts the start and every rung reached by looks alone on the list: what is rare on the way up is near from there.
func (w *walk) begin(o Outing) {
	w.met = map[string]int{}
	p := place{o: o, now: t0, from: -1, by: "opened"}
	for range 7 {
		w.add(p)
		p.now = p.o.NextLook()
		p.o, _ = p.o.Tick(p.now)
	}
	for range slowAfter { // and where repeats become rare
		p.now = p.o.NextLook()
		p.o, _ = p.o.Tick(p.now)
	}
	w.add(p)
}

func (w *walk) add(p place) {
	k := p.key()
	if !w.seen[k] {
		w.seen[k] = true
		w.deepest = max(w.deepest, p.depth)
		if p.depth < w.depth {
			w.places = append(w.places, p)
		}
	}
}

func (w *walk) run(most int) {
	for i := 0; i < len(w.places) && w.left < most && !w.t.Failed(); i++ {
		p := w.places[i]
		w.left++
		was, k := copyOf(p.o), p.key()
		w.place(i, p)
		for _, m := range w.moves {
			next, es, err, moved := p.apply(m)
			if !moved {
				continue
			}
			w.steps++
			w.step(i, p, m, next, es, err)
			if err == nil {
				next.from, next.by, next.depth = i, m.name, p.depth+1
				for _, e := range es {
					if e.Who != "" {
						next.said = append(slices.Clip(next.said), named{next.o.MessageID(e), e.Who})
					}
				}
				w.add(next)
			}
		}
		if !equal(was, p.o) || p.key() != k {
			w.fail(i, "some move from here changed the outing it was handed")
		}
	}
}

// fail says what is wrong and by which way one gets there.
func (w *walk) fail(i int, format string, args ...any) {
	w.t.Helper()
	var way []string
	for at := i; at >= 0; at = w.places[at].from {
		p := w.places[at]
		way = append(way, fmt.Sprintf("%s (minute %v)", p.by, p.now.Sub(t0.Add(3*time.Hour)).Minutes()))
	}
	slices.Reverse(way)
	w.t.Errorf("%s\nway: %s", fmt.Sprintf(format, args...), strings.Join(way, " → "))
}

var errorsKnown = []error{ErrClosed, ErrNotMember, ErrNotContact, ErrPast, ErrTooFar, ErrWhy, ErrWasOff, ErrLadder}

func known(err error) bool {
	return slices.ContainsFunc(errorsKnown, func(k error) bool { return errors.Is(err, k) }) || strings.Contains(err.Error(), "not known")
}
