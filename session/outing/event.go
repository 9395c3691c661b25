package outing

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// Event is something that happened to an outing. Each kind is one struct below.
type Event interface{ event() }

// SetDelay moves the back-by time, by a member of the party.
type SetDelay struct {
	By  int64
	To  time.Time     // a stated time, or
	For time.Duration // this much more
	Why string
}

// SayOffRocks calls a member off the rocks. By must be that member, or another of the party, who is then named.
type SayOffRocks struct {
	By  int64
	Who []int64 // empty: By alone
}

// SayAtHome says that a member is home.
type SayAtHome struct{ By int64 }

// Acknowledge is a named person taking charge of an alert for a while.
type Acknowledge struct {
	By   int64
	Name string
	Chat int64
	What AckKind
	Mate bool // By belongs to the crew's group, though not to the party
}

// Reached and Unreached are how the plan or an alert fared with a contact.
type Reached struct{ Chat int64 }

// Unreached means the chat service refuses a chat: blocked, left, deleted. Name is what the group is called, for when
// it is the group's. With Until it only lets an alert wait so long that nobody may count on it; it still comes then.
type Unreached struct {
	Chat  int64
	Name  string
	Until time.Time
}

// Join is somebody ashore who holds the plan from now on, or is back after having been out of reach.
type Join struct {
	ID       int64
	Name     string
	Chat     int64
	Mail     string // their address, if they are written to by mail
	Language string // what they read, "": not known
}

// LetGo is a contact who gives the plan back.
type LetGo struct{ By int64 }

// Sign is a sign of life worth telling those ashore.
type Sign struct {
	By   int64
	What string
}

// Cancel takes a member out of an outing before it happened, and closes it when no other member is left: whoever stays
// at home must not take the watch from those who went. Only before the back-by time.
type Cancel struct{ By int64 }

func (SetDelay) event()    {}
func (SayOffRocks) event() {}
func (SayAtHome) event()   {}
func (Acknowledge) event() {}
func (Reached) event()     {}
func (Unreached) event()   {}
func (Join) event()        {}
func (LetGo) event()       {}
func (Sign) event()        {}
func (Cancel) event()      {}

// AckKind is what the person acknowledging is doing. None of them closes the outing: only "off" does.
type AckKind string

// The acknowledgements.
const (
	AckTrying  AckKind = "trying"  // I'm trying to reach them
	AckReached AckKind = "reached" // I reached them and they are fine
	AckCalled  AckKind = "called"  // I have called the emergency number
)

// lasts is how long an acknowledgement holds repeats back. Short where somebody only tries. common practice, no source.
func (k AckKind) lasts() (time.Duration, bool) {
	switch k {
	case AckTrying:
		return 15 * time.Minute, true
	case AckReached:
		return time.Hour, true
	case AckCalled:
		return 30 * time.Minute, true
	}
	return 0, false
}

// Ack is one acknowledgement.
type Ack struct {
	By    int64     `json:"by"`
	Name  string    `json:"name"`
	What  AckKind   `json:"what"`
	At    time.Time `json:"at"`
	Until time.Time `json:"until"`
}

// Apply lets an event happen at now. It returns the new outing and what must be said; on error nothing changed.
// Every event is idempotent in meaning: the same "off" twice confirms twice and changes once.
func (o Outing) Apply(e Event, now time.Time) (Outing, []Effect, error) {
	o = o.clone()
	switch e := e.(type) {
	case SetDelay:
		return o.delay(e, now)
	case SayOffRocks:
		return o.off(e, now)
	case SayAtHome:
		return o.home(e, now)
	case Acknowledge:
		return o.acknowledge(e, now)
	case Reached:
		for i := range o.Contacts {
			if o.Contacts[i].Chat == e.Chat {
				o.Contacts[i].Reached, o.Contacts[i].Refused, o.Contacts[i].Until = now, time.Time{}, time.Time{}
			}
		}
		if o.Group != 0 && e.Chat == o.Group {
			o.GroupRefused = time.Time{}
		}
		return o, nil, nil
	case Join:
		return o.join(e, now)
	case Unreached:
		return o.unreached(e, now)
	case LetGo:
		return o.letGo(e, now)
	case Release:
		next, effects, err := o.release(e)
		if err != nil || next.Closed() {
			return next, effects, err
		}
		return next, append(effects, next.handOn(e.Contact, 0, now)...), nil
	case Reorder:
		return o.reorder(e)
	case Sign:
		m, ok := o.Member(e.By)
		if !ok {
			return Outing{}, nil, ErrNotMember
		}
		if o.Closed() {
			return Outing{}, nil, ErrClosed
		}
		o.Heard = append(o.Heard, Heard{At: now, Who: m.Name, What: e.What})
		return o, nil, nil
	case Cancel:
		return o.cancel(e, now)
	case WasDeaf:
		return o.deaf(e, now)
	case SetLadder:
		return o.setLadder(e, now)
	case GoAlong:
		return o.goAlong(e, now)
	case Shows:
		return o.shows(e, now)
	case FellIn:
		return o.fellIn(e, now)
	}
	return Outing{}, nil, fmt.Errorf("outing event %T: not known", e)
}

func (o Outing) delay(e SetDelay, now time.Time) (Outing, []Effect, error) {
	m, ok := o.Member(e.By)
	if !ok {
		return Outing{}, nil, ErrNotMember
	}
	if o.Closed() {
		return Outing{}, nil, ErrClosed
	}
	to := e.To
	if to.IsZero() {
		// "+30" means half an hour more than was said; once that has passed, half an hour from now.
		to = o.BackBy.Add(e.For)
		if !to.After(now.Add(5 * time.Minute)) {
			to = now.Add(e.For)
		}
	}
	if err := checkBackBy(to, now); err != nil {
		return Outing{}, nil, err
	}
	if to.Equal(o.BackBy) {
		// Said twice, as by a button pressed again: it stands, it is no further delay, and those ashore have heard it.
		return o, []Effect{{Kind: SayDelayed, To: o.party(), For: to, N: len(o.Delays), Who: m.Name}}, nil
	}
	if len(o.Delays) >= 2 && strings.TrimSpace(e.Why) == "" && to.After(o.BackBy) {
		return Outing{}, nil, ErrWhy
	}
	o.Delays = append(o.Delays, Delay{At: now, By: m.Name, From: o.BackBy, To: to, Why: strings.TrimSpace(e.Why)})
	o.BackBy = to
	o.Ack = nil // an acknowledgement was of the old alert
	o.Heard = append(o.Heard, Heard{At: now, Who: m.Name, What: "delay"})
	effects := []Effect{{Kind: SayDelayed, To: o.party(), For: to, N: len(o.Delays), Who: m.Name}}
	for _, c := range o.hearing() {
		effects = append(effects, Effect{Kind: SayDelayed, To: c.recipient(), For: to, N: len(o.Delays), Who: m.Name, WantOutcome: true})
	}
	return o, effects, nil
}

func (o Outing) off(e SayOffRocks, now time.Time) (Outing, []Effect, error) {
	by, ok := o.Member(e.By)
	if !ok {
		return Outing{}, nil, ErrNotMember
	}
	who := e.Who
	if len(who) == 0 {
		who = []int64{e.By}
	}
	var names []string
	for _, id := range who {
		i := slices.IndexFunc(o.People, func(m Member) bool { return m.ID == id })
		if i < 0 {
			return Outing{}, nil, ErrNotMember
		}
		if !o.People[i].OffAt.IsZero() {
			continue
		}
		o.People[i].OffAt, o.People[i].Position = now, nil
		if id != e.By {
			o.People[i].OffBy = by.Name
		}
		names = append(names, o.People[i].Name)
	}
	if len(o.StillOut()) > 0 {
		if len(names) == 0 {
			return o, nil, nil // said before
		}
		o.Heard = append(o.Heard, Heard{At: now, Who: by.Name, What: "off"})
		return o, []Effect{{Kind: SayMemberOff, To: o.party(), For: o.BackBy, N: len(o.People) - len(o.StillOut()), Who: strings.Join(names, ", ")}}, nil
	}
	if o.Closed() {
		// Said again after it was closed: the confirmation may not have arrived, so it is said again, and nothing else.
		return o, []Effect{{Kind: SayOff, To: o.party(), For: o.BackBy, N: 1}}, nil
	}
	o.Heard = append(o.Heard, Heard{At: now, Who: by.Name, What: "off"})
	return o.close(now, SayOff)
}

// close ends the outing: the party is told, everybody who was alarmed is stood down, and contacts who only held the plan hear that it is over.
func (o Outing) close(now time.Time, kind EffectKind) (Outing, []Effect, error) {
	o.ClosedAt = now
	o.Ack = nil
	effects := []Effect{{Kind: kind, To: o.party(), For: o.BackBy}}
	stood := o.alarmed()
	for _, r := range stood {
		if r.Chat == o.party().Chat {
			effects[0].Kind = SayStandDown // one message does both jobs in the group
			effects[0].Alert = true
			effects[0].WantOutcome = true
			continue
		}
		effects = append(effects, Effect{Kind: SayStandDown, To: r, For: o.BackBy, Alert: true})
	}
	for _, c := range o.hearing() {
		if slices.ContainsFunc(stood, func(r Recipient) bool { return r.Chat == c.Chat }) {
			continue
		}
		k := SayContactOff
		if kind == SayCancelled {
			k = SayCancelled
		}
		effects = append(effects, Effect{Kind: k, To: c.recipient(), For: o.BackBy})
	}
	return o, effects, nil
}

func (o Outing) home(e SayAtHome, now time.Time) (Outing, []Effect, error) {
	i := slices.IndexFunc(o.People, func(m Member) bool { return m.ID == e.By })
	if i < 0 {
		return Outing{}, nil, ErrNotMember
	}
	var effects []Effect
	if o.People[i].OffAt.IsZero() { // home implies off
		var err error
		if o, effects, err = o.off(SayOffRocks{By: e.By}, now); err != nil {
			return Outing{}, nil, err
		}
	}
	if o.People[i].HomeAt.IsZero() {
		o.People[i].HomeAt = now
	}
	return o, append(effects, Effect{Kind: SayHome, To: o.party(), For: o.BackBy, Who: o.People[i].Name, N: i}), nil
}

func (o Outing) acknowledge(e Acknowledge, now time.Time) (Outing, []Effect, error) {
	if o.Closed() {
		return Outing{}, nil, ErrClosed
	}
	i := slices.IndexFunc(o.Contacts, func(c Contact) bool { return c.ID == e.By })
	if i < 0 && !e.Mate {
		return Outing{}, nil, ErrNotContact
	}
	if i >= 0 {
		o.Contacts[i].Refused, o.Contacts[i].Until = time.Time{}, time.Time{} // whoever answers can be reached
	}
	lasts, ok := e.What.lasts()
	if !ok {
		return Outing{}, nil, fmt.Errorf("acknowledgement %q: not known", e.What)
	}
	a := Ack{By: e.By, Name: e.Name, What: e.What, At: now, Until: now.Add(lasts)}
	o.Ack = &a
	o.Tries = append(o.Tries, a)
	var effects []Effect
	to := o.alarmed()
	if !slices.ContainsFunc(to, func(r Recipient) bool { return r.Chat == e.Chat }) {
		to = append(to, Recipient{Role: RoleContact, Chat: e.Chat, ID: e.By, Name: e.Name})
	}
	if p := o.party(); len(o.Falls) > 0 && !slices.ContainsFunc(to, func(r Recipient) bool { return r.Chat == p.Chat }) {
		to = append(to, p) // where it was said nobody was alarmed, and yet they wait to hear who takes care of it
	}
	for _, r := range to {
		effects = append(effects, Effect{Kind: SayAcked, To: r, For: o.BackBy, N: len(o.Tries), Who: e.Name})
	}
	return o, effects, nil
}

func (o Outing) unreached(e Unreached, now time.Time) (Outing, []Effect, error) {
	if o.Group != 0 && (e.Chat == o.Group || slices.Contains(o.GroupWas, e.Chat)) {
		return o.groupUnreached(e, now) // what was queued under an id the group had before fares for the group
	}
	effects := o.askInGroup(e.Chat, now)
	i := slices.IndexFunc(o.Contacts, func(c Contact) bool { return c.Chat == e.Chat })
	if i < 0 {
		return o, effects, nil
	}
	if c := o.Contacts[i]; !c.Refused.IsZero() && (c.Until.IsZero() || !e.Until.IsZero()) {
		return o, effects, nil // known
	}
	o.Contacts[i].Refused, o.Contacts[i].Until = now, e.Until
	if o.Closed() {
		return o, nil, nil
	}
	// News for those out while they can still act on it, and for the mates in any case. It is numbered by the contact's
	// id: their place in the order changes when somebody leaves, and then news of two would bear one name.
	effects = append(effects, Effect{Kind: SayUnreachable, To: o.party(), For: o.BackBy, N: int(o.Contacts[i].ID), Who: o.Contacts[i].Name, Alert: true, Until: e.Until})
	// The alert was for somebody who cannot read it: the next one hears it now, not at the next repeat.
	return o, append(effects, o.handOn(o.Contacts[i].ID, 0, now)...), nil
}

// askInGroup is for those of the party whose private chat is out of reach: they are asked in the group from now on, and
// at once when the question is out already.
func (o *Outing) askInGroup(chat int64, now time.Time) []Effect {
	if o.Group == 0 {
		return nil
	}
	var effects []Effect
	for j, m := range o.People {
		if m.Chat != chat {
			continue
		}
		o.People[j].Chat = 0
		if o.Closed() || !m.OffAt.IsZero() || !o.told(RungAsk, 0) || o.askedThere(o.Group) {
			continue
		}
		t := Told{Rung: RungAsk, For: o.BackBy, N: -1, At: now, To: []Recipient{{Role: RoleAngler, Chat: o.Group, Thread: o.Thread, ID: m.ID, Name: m.Name}}}
		o.Told = append(o.Told, t)
		effects = append(effects, Effect{Kind: SayAsk, To: t.To[0], N: t.N, For: o.BackBy, Alert: true, WantOutcome: true})
	}
	return effects
}

// askedThere says whether the question of the present back-by time went to a chat.
func (o *Outing) askedThere(chat int64) bool {
	return slices.ContainsFunc(o.Told, func(t Told) bool {
		return t.Rung == RungAsk && t.For.Equal(o.BackBy) && slices.ContainsFunc(t.To, func(r Recipient) bool { return r.Chat == chat })
	})
}

// handOn tells the contacts at once, when the alert is out already and one of them is not there any more (from), or
// another is now (to). What the one who left had taken on holds nothing back.
func (o *Outing) handOn(from, to int64, now time.Time) []Effect {
	if o.Ack != nil && o.Ack.By == from {
		o.Ack = nil
	}
	if o.Ack != nil || len(o.Reachable()) == 0 {
		return nil
	}
	_, n, ok := o.nextRepeat()
	if !ok {
		return nil
	}
	return o.climb(RungRepeat, n, now, now, to)
}

// groupUnreached is news for everybody who can still be written to: the mates will not hear of anything.
func (o Outing) groupUnreached(e Unreached, now time.Time) (Outing, []Effect, error) {
	if !o.GroupRefused.IsZero() {
		return o, nil, nil
	}
	o.GroupRefused = now
	if o.Closed() {
		return o.standDownMates()
	}
	var effects []Effect
	for _, m := range o.StillOut() {
		if m.Chat != 0 && m.Chat != o.Group {
			effects = append(effects, Effect{Kind: SayUnreachable, To: Recipient{Role: RoleAngler, Chat: m.Chat, ID: m.ID, Name: m.Name}, For: o.BackBy, N: -1, Who: e.Name, Alert: true, Until: e.Until})
		}
	}
	for _, c := range o.Reachable() {
		effects = append(effects, Effect{Kind: SayUnreachable, To: c.recipient(), For: o.BackBy, N: -1, Who: e.Name, Alert: true, WantOutcome: true, Until: e.Until})
	}
	if o.fellInThere(o.Group) {
		effects = append(effects, o.tellFellIn(o.mates()[1:], now)...)
	}
	if o.told(RungParty, 0) && len(o.Mates) > 0 {
		// The alert was for a group that cannot be written to: its people hear it now, each in private.
		t := Told{Rung: RungParty, For: o.BackBy, N: -1, At: now, Alert: true, To: o.mates()[1:]}
		o.Told = append(o.Told, t)
		for _, r := range t.To {
			effects = append(effects, Effect{Kind: SayParty, To: r, N: -1, For: o.BackBy, Alert: true})
		}
	}
	return o, effects, nil
}

// standDownMates is for when the stand-down did not get into the group that was alarmed: each of its people hears it in
// private. Whoever was alarmed there was stood down there already.
func (o Outing) standDownMates() (Outing, []Effect, error) {
	var effects []Effect
	alarmed := o.alarmed()
	heard := func(chat int64) bool {
		return slices.ContainsFunc(alarmed, func(r Recipient) bool { return r.Chat == chat })
	}
	if !heard(o.Group) {
		return o, nil, nil
	}
	for _, r := range o.mates()[1:] {
		if !heard(r.Chat) {
			effects = append(effects, Effect{Kind: SayStandDown, To: r, For: o.BackBy, Alert: true})
		}
	}
	return o, effects, nil
}

func (o Outing) join(e Join, now time.Time) (Outing, []Effect, error) {
	if o.Closed() {
		return Outing{}, nil, ErrClosed
	}
	if _, in := o.Member(e.ID); in {
		return o, nil, nil // nobody holds a plan for themselves
	}
	i := slices.IndexFunc(o.Contacts, func(c Contact) bool { return c.ID == e.ID })
	if i < 0 {
		o.Contacts = append(o.Contacts, Contact{ID: e.ID})
		i = len(o.Contacts) - 1
	}
	c := &o.Contacts[i]
	held := c.Chat == e.Chat && c.Refused.IsZero()
	c.Name, c.Chat, c.Mail, c.Refused, c.Until = e.Name, e.Chat, e.Mail, time.Time{}, time.Time{}
	if e.Language != "" {
		c.Language = e.Language
	}
	effects := []Effect{{Kind: SayPlan, To: c.recipient(), WantOutcome: true}}
	if held {
		return o, effects, nil // said again: the plan again, and no alarm
	}
	effects = append(effects, o.handOn(0, e.ID, now)...) // late already: they hear it now
	if _, due := o.nextFellIn(); due && o.Ack == nil {
		effects = append(effects, o.tellFellIn([]Recipient{effects[0].To}, now)...)
	}
	return o, effects, nil
}

func (o Outing) letGo(e LetGo, now time.Time) (Outing, []Effect, error) {
	i := slices.IndexFunc(o.Contacts, func(c Contact) bool { return c.ID == e.By })
	if i < 0 {
		return Outing{}, nil, ErrNotContact
	}
	name := o.Contacts[i].Name
	o.Contacts = slices.Delete(o.Contacts, i, i+1)
	if o.Closed() {
		return o, nil, nil
	}
	effects := []Effect{{Kind: SayContactLeft, To: o.party(), For: o.BackBy, Who: name, N: int(e.By), Alert: true}}
	return o, append(effects, o.handOn(e.By, 0, now)...), nil
}

func (o Outing) cancel(e Cancel, now time.Time) (Outing, []Effect, error) {
	if _, ok := o.Member(e.By); !ok {
		return Outing{}, nil, ErrNotMember
	}
	if o.Closed() {
		return Outing{}, nil, ErrClosed
	}
	if !now.Before(o.BackBy) {
		return Outing{}, nil, fmt.Errorf("cancel after the back-by time: %w", ErrPast)
	}
	if slices.ContainsFunc(o.StillOut(), func(m Member) bool { return m.ID != e.By && m.ID > 0 }) {
		return o.off(SayOffRocks{By: e.By}, now)
	}
	o.Cancelled = true
	for i := range o.People {
		if o.People[i].OffAt.IsZero() {
			o.People[i].OffAt, o.People[i].Position = now, nil
		}
	}
	return o.close(now, SayCancelled)
}
