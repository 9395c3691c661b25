package outing

import (
	"bytes"
	"encoding/json"
	"reflect"
	"slices"
	"time"
)

// alarms are what must never follow an "off": those with alert sound to others, and the questions.
func alarms(e Effect) bool {
	switch e.Kind {
	case SayParty, SayContact, SayAsk, SayRemind, SayGate, SayLight, SayFellIn:
		return true
	}
	return false
}

func alert(e Effect) bool { return e.Kind == SayParty || e.Kind == SayContact }

// step holds one move to the rules.
func (w *walk) step(i int, p place, m move, next place, es []Effect, err error) {
	bad := func(format string, args ...any) {
		w.t.Helper()
		w.fail(i, "then "+m.name+": "+format, args...)
	}
	if err != nil {
		if len(es) != 0 || !known(err) {
			bad("= %v with effects %v, want a known error and no effect", err, kinds(es))
		}
		return
	}
	if m.pass != nil {
		return
	}
	o, n := p.o, next.o
	w.count(p, n, es)
	var word Event
	if m.event != nil {
		word = m.event(p)
	}

	if n.Wiped() != o.Wiped() && !(m.tick && n.Wiped()) {
		bad("wiped %v, want only a look to do that, once", n.Wiped())
	}

	// I5, I6: only word of everybody closes, what is closed stays so, and nothing alarms then.
	if o.Closed() && (!n.Closed() || !n.ClosedAt.Equal(o.ClosedAt)) {
		bad("a closed outing is closed %v at %v, want it as it was", n.Closed(), n.ClosedAt)
	}
	if n.Closed() && len(n.StillOut()) != 0 {
		bad("closed with %d still out", len(n.StillOut()))
	}
	if n.Closed() && !o.Closed() {
		switch word.(type) {
		case SayOffRocks, SayAtHome, Cancel:
		default:
			bad("closed by a %T", word)
		}
	}
	for j, m := range n.People {
		if !m.OffAt.IsZero() && (j >= len(o.People) || o.People[j].OffAt.IsZero()) && !calls(word, m.ID) {
			bad("%s is off by nobody's word", m.Name)
		}
	}
	if !n.BackBy.Equal(o.BackBy) && n.Ack != nil {
		bad("an acknowledgement of the alert for %v holds for %v too", o.BackBy, n.BackBy)
	}
	if n.Closed() && slices.ContainsFunc(es, alarms) {
		bad("says %v though it is closed", kinds(es))
	}

	// Who is alarmed is kept exactly, and stood down exactly once, at the end.
	want := chats(o.alarmed(), o.Group, n.Group)
	for _, e := range es {
		if (alert(e) || e.Kind == SayFellIn) && e.To.Role != RoleAngler {
			want = with(want, e.To.Chat)
		}
		if e.To.Chat == 0 {
			bad("%s goes nowhere", e.Kind)
		}
	}
	if got := chats(n.alarmed(), 0, 0); !slices.Equal(got, want) {
		bad("alarmed are %v, want %v", got, want)
	}
	var down []int64
	for _, e := range es {
		if e.Kind == SayStandDown {
			down = append(down, e.To.Chat)
		}
	}
	slices.Sort(down)
	if o.Closed() || !n.Closed() {
		want = nil
	}
	if o.Closed() && o.GroupRefused.IsZero() && !n.GroupRefused.IsZero() && slices.Contains(chats(o.alarmed(), 0, 0), o.Group) {
		for _, m := range o.Mates { // the stand-down did not get into the group that was alarmed
			if !slices.Contains(chats(o.alarmed(), 0, 0), m.Chat) {
				want = append(want, m.Chat)
			}
		}
		slices.Sort(want)
	}
	if !slices.Equal(down, want) {
		bad("stands down %v, want %v, each once", down, want)
	}

	// What waits unsent can be called back by name, and one step never gives one name to two messages.
	names := map[string]Effect{}
	var out []string
	if m.to != 0 || slices.ContainsFunc(es, alarms) {
		out = n.Outstanding()
	}
	for _, e := range es {
		id := n.MessageID(e)
		if was, ok := names[id]; ok && (was.Kind != e.Kind || was.Who != e.Who || was.To.Chat != e.To.Chat) {
			bad("%q names %v and %v", id, was, e)
		}
		names[id] = e
		for _, was := range p.said {
			if was.id == id && was.who != e.Who {
				bad("%q was about %s and is about %s: the later would replace the earlier while it waits", id, was.who, e.Who)
			}
		}
		if alarms(e) && !slices.Contains(out, id) {
			bad("Outstanding() lacks %q", id)
		}
	}
	if len(n.Told) < len(o.Told) {
		bad("forgot what was told")
	}
	if m.to != 0 {
		for _, id := range o.Outstanding() {
			if !slices.Contains(out, id) {
				bad("Outstanding() lost %q", id)
			}
		}
	}

	if !n.Closed() {
		w.refusals(p, m, next, bad)
		w.audible(next, o, n, es, bad)
	}
	if j, ok := joins(m, p); ok && !o.Closed() {
		w.joined(p, j, es, bad)
	}
	if f, ok := word.(FellIn); ok {
		w.fellIn(p, f, n, es, bad)
	}
	w.again(p, m, next, bad)
	if m.tick {
		w.look(p, next, es, bad)
	}
}

// calls says whether an event calls somebody off the rocks: who speaks does, for themselves, for whom they name, and for
// guests when they say that nobody went.
func calls(e Event, id int64) bool {
	switch e := e.(type) {
	case SayOffRocks:
		return id == e.By && len(e.Who) == 0 || slices.Contains(e.Who, id)
	case SayAtHome:
		return id == e.By
	case Cancel:
		return id == e.By || id < 0
	}
	return false
}

func (w *walk) count(p place, n Outing, es []Effect) {
	for _, e := range es {
		switch {
		case alert(e):
			w.met["alerts"]++
		case e.Kind == SayStandDown:
			w.met["stand-downs"]++
		}
	}
	if n.Closed() && !p.o.Closed() {
		w.met["ends"]++
	}
}

// chats lists recipients' chats in order; from is written as to, where the group moved.
func chats(rs []Recipient, from, to int64) []int64 {
	var out []int64
	for _, r := range rs {
		if from != 0 && r.Chat == from {
			r.Chat = to
		}
		out = with(out, r.Chat)
	}
	return out
}

// refusals: the machine knows of every chat that refused us last.
func (w *walk) refusals(p place, m move, next place, bad func(string, ...any)) {
	for _, c := range next.o.Contacts {
		if c.Refused.IsZero() == slices.Contains(next.refused, c.Chat) {
			bad("contact %d refused since %v, want it to follow their last word: %v", c.ID, c.Refused, next.refused)
		}
	}
	if g := next.o.Group; g != 0 && m.refuses != 0 && slices.Contains(next.refused, g) && next.o.GroupRefused.IsZero() {
		bad("the group %d refused (as %d) and nobody noted it", g, m.refuses)
	}
}

// candidates are the chats an alert can be heard in, as far as anybody knows.
func (p place) candidates() []int64 {
	var out []int64
	for _, c := range p.o.Contacts {
		out = append(out, c.Chat)
	}
	if p.o.Group != 0 {
		out = append(out, p.o.Group)
		if !p.o.GroupRefused.IsZero() {
			for _, m := range p.o.Mates {
				out = append(out, m.Chat)
			}
		}
	}
	return slices.DeleteFunc(out, func(c int64) bool { return slices.Contains(p.refused, c) })
}

// audible: a step of the ladder that alarms others never goes only to chats that refuse us while there is another;
// with none at all those out are asked.
func (w *walk) audible(next place, o, n Outing, es []Effect, bad func(string, ...any)) {
	for _, t := range n.Told[min(len(o.Told), len(n.Told)):] {
		if t.Rung != RungContact && t.Rung != RungRepeat {
			continue
		}
		can := next.candidates()
		heard := func(e Effect) bool { return alert(e) && slices.Contains(can, e.To.Chat) }
		if len(can) > 0 && !slices.ContainsFunc(es, heard) {
			bad("%s says %v, want one of %v to hear it", t.Rung, kinds(es), can)
		}
		if len(can) == 0 && len(n.StillOut()) > 0 && !slices.ContainsFunc(es, func(e Effect) bool { return alarms(e) }) {
			bad("%s says %v, want at least those out to be asked", t.Rung, kinds(es))
		}
	}
}

// fellIn: whoever can be told of a fall is told at once, but for those who read where it was said; the same person's word
// alarms once a minute. A new back-by time calls nothing of it back.
func (w *walk) fellIn(p place, f FellIn, n Outing, es []Effect, bad func(string, ...any)) {
	var want, got []int64
	if !slices.ContainsFunc(p.o.Falls, func(x Fall) bool { return x.By == f.By && p.now.Sub(x.At) < fellInEvery }) {
		w.met["falls"]++
		want = with(want, p.o.PartyChat())
		for _, c := range p.o.Contacts {
			if c.Refused.IsZero() || !c.Until.IsZero() {
				want = with(want, c.Chat)
			}
		}
		for _, m := range p.o.Mates {
			if !p.o.GroupRefused.IsZero() {
				want = with(want, m.Chat)
			}
		}
		want = without(want, f.Chat)
	}
	outdated := n.Outdated()
	for _, e := range es {
		if e.Kind != SayFellIn || !e.Alert {
			bad("says %v, want nothing but the alert", kinds(es))
		}
		if got = with(got, e.To.Chat); slices.Contains(outdated, n.MessageID(e)) {
			bad("a new back-by time would call %q back", n.MessageID(e))
		}
	}
	if !slices.Equal(got, want) {
		bad("tells %v of the fall, want %v", got, want)
	}
}

func joins(m move, p place) (Join, bool) {
	if m.event == nil {
		return Join{}, false
	}
	j, ok := m.event(p).(Join)
	return j, ok
}

// joined: whoever comes to hold the plan when those ashore are alarmed, and nobody took it on, hears of it at once; who
// held it already is not alarmed by saying so again.
func (w *walk) joined(p place, j Join, es []Effect, bad func(string, ...any)) {
	if _, in := p.o.Member(j.ID); in {
		return
	}
	_, _, late := p.o.nextRepeat()
	c, had := p.o.Holder(j.ID)
	holds := had && c.Refused.IsZero() && c.Chat == j.Chat
	hears := slices.ContainsFunc(es, func(e Effect) bool { return e.Kind == SayContact && e.To.Chat == j.Chat })
	if want := late && p.o.Ack == nil && !holds; hears != want {
		bad("says %v, want the alert to %d: %v", kinds(es), j.ID, want)
	}
}

// again: the same event twice is once.
func (w *walk) again(p place, m move, next place, bad func(string, ...any)) {
	if m.event == nil || m.twice {
		return
	}
	e := m.event(p)
	n, es, err := next.o.Apply(e, p.now)
	if err != nil {
		return // nothing changed
	}
	if twice := (place{o: n, now: next.now, refused: next.refused}); twice.key() != next.key() {
		bad("twice is\n%s\nonce is\n%s", twice.key(), next.key())
	}
	if slices.ContainsFunc(es, func(e Effect) bool { return alarms(e) || e.Kind == SayStandDown || e.Kind == SayContactOff }) {
		bad("twice says %v, want no alarm and no stand-down of a repetition", kinds(es))
	}
}

// look: one that is due changes something and moves the next look ahead; one that is not due does nothing.
func (w *walk) look(p, next place, es []Effect, bad func(string, ...any)) {
	if p.o.Closed() {
		due := !p.o.Wiped() && !p.now.Before(p.o.NextLook())
		if len(es) != 0 || !due && !equal(p.o, next.o) {
			bad("a look at a closed outing says %v", kinds(es))
		}
		if due && (!next.o.NextLook().IsZero() || len(leftOf(next.o)) != 0) {
			bad("a wiped outing has %v, next look %v", leftOf(next.o), next.o.NextLook())
		}
		return
	}
	if p.now.Before(p.o.NextLook()) {
		if len(es) != 0 || !equal(p.o, next.o) {
			bad("a look before its time says %v", kinds(es))
		}
		return
	}
	if !next.o.NextLook().After(p.now) {
		bad("the next look is %v, want it after this one at %v", next.o.NextLook(), p.now)
	}
	// It may say nothing only of what is of no use any more: a prompt that comes after the tide or the dark it is about.
	lapsed := len(next.o.Told) > len(p.o.Told)
	for _, t := range next.o.Told[len(p.o.Told):] {
		lapsed = lapsed && t.Missed && len(t.To) == 0 && (t.Rung == RungGate || t.Rung == RungLight)
	}
	if len(next.o.Told) == len(p.o.Told) || len(es) == 0 && !lapsed {
		bad("a look that was due says %v", kinds(es))
	}
	if o, es := next.o.Tick(p.now); len(es) != 0 || !equal(o, next.o) {
		bad("a second look at once says %v", kinds(es))
	}
}

// place holds one place to the rules: its next look, its stored form, and that looks alone end in an alert.
func (w *walk) place(i int, p place) {
	bad := func(format string, args ...any) { w.t.Helper(); w.fail(i, format, args...) }
	at := p.o.NextLook()
	if at.IsZero() != (p.o.Closed() && p.o.Wiped()) {
		bad("closed %v, wiped %v, next look %v", p.o.Closed(), p.o.Wiped(), at)
	}
	if p.o.Closed() && !p.o.Wiped() && !at.Equal(p.o.ClosedAt.Add(Keeps)) {
		bad("closed at %v, wiped at %v", p.o.ClosedAt, at)
	}
	if p.o.Wiped() && (!p.o.Closed() || len(leftOf(p.o)) != 0) {
		bad("wiped, closed %v, and has %v", p.o.Closed(), leftOf(p.o))
	}
	if i%4 == 0 || *long {
		w.stored(p, bad)
	}
	if p.o.Closed() {
		return
	}
	w.rings(p, bad)
	if last, n := p.o.lastFellIn(); n > 0 {
		limit := last.At.Add(3 * p.o.Ladder.Repeat)
		if p.o.Ack != nil {
			limit = later(limit, p.o.Ack.Until)
		}
		if _, _, late := p.o.nextRepeat(); !late && at.After(limit) {
			bad("somebody fell in, and the next look is %v, want it by %v", at, limit)
		}
	}
	down := place{o: p.o, now: later(p.o.BackBy, p.now).Add(7 * time.Hour), refused: p.refused}
	next, es := down.o.Tick(down.now) // a bot that was down that long says it in one look
	w.audible(place{o: next, now: down.now, refused: p.refused}, down.o, next, es, bad)
	if len(next.Told) == len(p.o.Told) {
		bad("seven hours late a look says %v", kinds(es))
	}
}

// rings: by looks alone the alert comes by the back-by time and the ladder, and then again and again, until everybody
// who can be told was told.
func (w *walk) rings(p place, bad func(string, ...any)) {
	l, _ := p.o.Pace()
	now, o := p.now, p.o
	var missing []int64
	for _, c := range o.Reachable() {
		missing = with(missing, c.Chat)
	}
	if o.Group != 0 {
		missing = with(missing, o.Group)
	}
	missing = slices.DeleteFunc(missing, func(c int64) bool { return slices.Contains(p.refused, c) })
	for alerts := 0; alerts < 2+len(o.Contacts); {
		limit := later(later(o.BackBy, now).Add(l.Contact), o.AskedAgain)
		if at, _, ok := o.nextRepeat(); ok { // said already: at the latest when an acknowledgement ends
			last, _ := o.lastAlert()
			limit = later(last.At.Add(3*l.Repeat), now)
			if o.Ack != nil {
				limit = later(limit, o.Ack.Until)
			}
			if at.After(limit) {
				bad("by looks alone the alert is repeated at %v, want it by %v", at, limit)
				return
			}
		}
		for rung := false; !rung; {
			at := later(o.NextLook(), now)
			if at.After(limit) {
				bad("by looks alone nothing rings by %v: next look %v", limit, at)
				return
			}
			before := len(o.Told)
			var es []Effect
			if o, es = o.Tick(at); len(o.Told) == before {
				bad("by looks alone: the look at %v does nothing", at)
				return
			}
			now = at
			for _, t := range o.Told[before:] {
				rung = rung || t.Rung == RungContact || t.Rung == RungRepeat
			}
			for _, e := range es {
				if alert(e) {
					missing = without(missing, e.To.Chat)
				}
			}
		}
		alerts++
	}
	if len(missing) != 0 {
		bad("by looks alone %v never hear the alert", missing)
	}
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// stored: what is read back is what was written.
func (w *walk) stored(p place, bad func(string, ...any)) {
	body, err := json.Marshal(p.o)
	if err != nil {
		bad("cannot be stored: %v", err)
		return
	}
	var back Outing
	if err := json.Unmarshal(body, &back); err != nil {
		bad("cannot be read back: %v", err)
		return
	}
	if twice, err := json.Marshal(back); err != nil || !bytes.Equal(body, twice) {
		bad("stored as\n%s\nread back and stored as\n%s (%v)", body, twice, err)
	}
	if back := (place{o: back, now: p.now, refused: p.refused}); back.key() != p.key() || !back.o.NextLook().Equal(p.o.NextLook()) {
		bad("read back it is another outing")
	}
}

// copyOf shares nothing with the outing that the machine may write to.
func copyOf(o Outing) Outing {
	o = o.clone()
	for i := range o.Told {
		o.Told[i].To = slices.Clone(o.Told[i].To)
	}
	o.Mates, o.GroupWas = slices.Clone(o.Mates), slices.Clone(o.GroupWas)
	if o.Ack != nil {
		a := *o.Ack
		o.Ack = &a
	}
	return o
}

func equal(a, b Outing) bool { return reflect.DeepEqual(a, b) }
