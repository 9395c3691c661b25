package outing

import (
	"fmt"
	"slices"
	"time"
)

// Ladder is when who is told, measured from the back-by time. Rungs are never skipped for
// being late: what is due goes out, in order, however long we were away.
type Ladder struct {
	Remind  time.Duration `json:"remind"`  // before: a reminder to those out, none where there is no signal
	Party   time.Duration `json:"party"`   // after: the mates are told
	Contact time.Duration `json:"contact"` // after: the first shore contact is told
	Repeat  time.Duration `json:"repeat"`  // between repeats, until a named person acknowledges

	Sooner bool `json:"sooner,omitempty"` // mates and those ashore are told sooner where it matters (Pace)
}

// DefaultLadder gives twenty minutes to answer, as many to the mates, then tells those ashore: for two or more in good light
// on a steady sea. Alone it comes to 15 and 30 minutes, with more against it to 10 and 20 (Pace).
// common practice, no source: New Zealand's one-hour wait for walkers is too long for somebody alone on an open ledge.
func DefaultLadder() Ladder {
	return Ladder{Remind: 15 * time.Minute, Party: 20 * time.Minute, Contact: 40 * time.Minute, Repeat: 10 * time.Minute, Sooner: true}
}

func (l Ladder) check() error {
	if l.Remind < 0 || l.Party < 0 || l.Contact < l.Party || l.Contact > 2*time.Hour || l.Repeat < time.Minute || l.Repeat > time.Hour {
		return fmt.Errorf("ladder %+v: outside what keeps an alert useful", l)
	}
	return nil
}

// Rung is one step of the ladder.
type Rung string

// The rungs, in order.
const (
	RungGate    Rung = "gate"  // the walk-in floods soon
	RungLight   Rung = "light" // the light goes soon
	RungRemind  Rung = "remind"
	RungAsk     Rung = "ask"
	RungParty   Rung = "party"
	RungContact Rung = "contact"
	RungRepeat  Rung = "repeat"
	RungFellIn  Rung = "fell_in" // no step of the ladder: somebody fell in, whatever the time
)

// Told is one rung that was climbed, for one back-by time.
type Told struct {
	Rung   Rung        `json:"rung"`
	For    time.Time   `json:"for"` // the back-by time it belongs to: a delay starts a new ladder
	N      int         `json:"n,omitempty"`
	At     time.Time   `json:"at"`
	To     []Recipient `json:"to"`
	Alert  bool        `json:"alert,omitempty"`  // somebody was alarmed and must get the stand-down
	Missed bool        `json:"missed,omitempty"` // it was due long before: we were away
}

// Role is what a recipient is to the outing.
type Role string

// The roles.
const (
	RoleAngler  Role = "angler"
	RoleGroup   Role = "group"
	RoleContact Role = "contact"
)

// Recipient is one chat that is told, and who reads there.
type Recipient struct {
	Role   Role   `json:"role"`
	Chat   int64  `json:"chat"`
	Thread int    `json:"thread,omitempty"`
	ID     int64  `json:"id,omitempty"`
	Name   string `json:"name,omitempty"`
}

// EffectKind says what a message is about; bot/wording has the words.
type EffectKind string

// What can be said.
const (
	SayOpened      EffectKind = "opened"       // to the party: the plan as understood
	SayPlan        EffectKind = "plan"         // to a contact: the plan, kept until needed
	SayRemind      EffectKind = "remind"       // to the angler: soon
	SayAsk         EffectKind = "ask"          // to the angler: are you off?
	SayParty       EffectKind = "party"        // alert to the mates
	SayContact     EffectKind = "contact"      // alert to a contact, with the sheet at hand
	SayDelayed     EffectKind = "delayed"      // new time, to everybody who knows the old one
	SayAcked       EffectKind = "acked"        // who is dealing with it, to everybody alarmed
	SayMemberOff   EffectKind = "member_off"   // one is off, others are not yet
	SayOff         EffectKind = "off"          // confirmation to the party: everybody is off
	SayStandDown   EffectKind = "stand_down"   // to everybody who was alarmed
	SayContactOff  EffectKind = "contact_off"  // to contacts who only held the plan
	SayHome        EffectKind = "home"         //
	SayUnreachable EffectKind = "unreachable"  // to the party: a contact cannot be reached
	SayCancelled   EffectKind = "cancelled"    //
	SayContactLeft EffectKind = "contact_left" // to the party: a contact gave the plan back
	SayDeaf        EffectKind = "deaf"         // what was said in some time may not have been heard
	SayGate        EffectKind = "gate"         // to the angler: the walk-in floods soon
	SayLight       EffectKind = "light"        // to the angler: the light goes soon
	SayAlong       EffectKind = "along"        // somebody more is out with them
	SayTimes       EffectKind = "times"        // when who is told was set anew
	SayFellIn      EffectKind = "fell_in"      // alert: somebody fell in, by somebody's word
)

// Effect is one thing to say to one recipient.
type Effect struct {
	Kind        EffectKind
	To          Recipient
	N           int       // which repeat, 0 for the first; with news of a contact their id, of the group -1
	For         time.Time // the back-by time it belongs to; with Kind, N and To it names the message
	Alert       bool      // urgent, sounds, is never given up
	Missed      bool      // due long ago: say that we were away
	Who         string    // the person it is about, where not the whole party
	WantOutcome bool      // a refusal must come back as an event
	Until       time.Time // with SayUnreachable: until when the chat is only held up, zero for refused
	AckBy       string    // with a repeat: who had taken it on, with nothing heard since
	AckAt       time.Time // when they had
	Deaf        Deaf      // with SayDeaf: when nothing was heard
	First       bool      // with SayContact: the first alert in this chat, so the sheet goes along
}

// missedAfter is how late a rung may be before we owe an explanation.
const missedAfter = 3 * time.Minute

// Tick does everything that has become due by now and says so. Calling it again at the same now changes nothing.
func (o Outing) Tick(now time.Time) (Outing, []Effect) {
	if o.Closed() {
		if !o.Wiped() && !now.Before(o.wipeAt()) {
			o = o.wipe(now)
		}
		return o, nil
	}
	o = o.clone()
	var effects []Effect
	for _, s := range o.steps() {
		if s.at.After(now) || o.told(s.rung, 0) {
			continue
		}
		if s.rung == RungRemind && !now.Before(o.BackBy) {
			continue // the question itself is due: a reminder would only be noise
		}
		if !s.until.IsZero() && !now.Before(s.until) { // too late to be of use: it counts as climbed
			o.Told = append(o.Told, Told{Rung: s.rung, For: o.BackBy, At: now, Missed: true})
			continue
		}
		effects = append(effects, o.climb(s.rung, 0, s.at, now)...)
	}
	if at, n, ok := o.nextRepeat(); ok && !at.After(now) {
		ended := o.Ack
		o.Ack = nil
		again := o.climb(RungRepeat, n, at, now)
		if ended != nil { // an acknowledgement ran out with nothing heard: said within the alert, not beside it
			for i := range again {
				again[i].AckBy, again[i].AckAt = ended.Name, ended.At
			}
		}
		effects = append(effects, again...)
	}
	return o, append(effects, o.fellInAgain(now)...)
}

// NextLook is when Tick next has something to do; zero when the outing is closed and wiped.
func (o Outing) NextLook() time.Time {
	if o.Wiped() {
		return time.Time{}
	}
	if o.Closed() {
		return o.wipeAt()
	}
	var next time.Time
	consider := func(t time.Time) {
		if next.IsZero() || t.Before(next) {
			next = t
		}
	}
	for _, s := range o.steps() {
		if !o.told(s.rung, 0) && !(s.rung == RungRemind && o.told(RungAsk, 0)) {
			consider(s.at)
		}
	}
	if at, _, ok := o.nextRepeat(); ok {
		consider(at)
	}
	if at, ok := o.nextFellIn(); ok {
		consider(at)
	}
	return next
}

type step struct {
	rung  Rung
	at    time.Time
	until time.Time // a prompt is of no use after that; zero: it is no prompt
}

// steps are the rungs of the present back-by time, in order. An outing with a group tells the mates before
// those ashore; a lone angler has no mates to tell.
func (o Outing) steps() []step {
	out := o.prompts()
	if o.Ladder.Remind > 0 && o.Sheet.Signal != "no" && o.BackBy.Sub(o.lastSet()) > o.Ladder.Remind {
		out = append(out, step{rung: RungRemind, at: o.BackBy.Add(-o.Ladder.Remind)})
	}
	out = append(out, step{rung: RungAsk, at: o.BackBy})
	if o.Group != 0 {
		out = append(out, step{rung: RungParty, at: o.MatesAt()})
	}
	return append(out, step{rung: RungContact, at: o.AshoreAt()})
}

// MatesAt and AshoreAt are when the mates, and the first of those ashore, are told: at the pace that holds, and not before
// those who may have answered in vain had the time to answer again.
func (o Outing) MatesAt() time.Time {
	pace, _ := o.Pace()
	return laterOf(o.BackBy.Add(pace.Party), o.AskedAgain)
}

// AshoreAt: see MatesAt.
func (o Outing) AshoreAt() time.Time {
	pace, _ := o.Pace()
	return laterOf(o.BackBy.Add(pace.Contact), o.AskedAgain)
}

func laterOf(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

// lastSet is when the present back-by time was stated.
func (o Outing) lastSet() time.Time {
	if n := len(o.Delays); n > 0 {
		return o.Delays[n-1].At
	}
	return o.OpenedAt
}

func (o Outing) told(r Rung, n int) bool {
	return slices.ContainsFunc(o.Told, func(t Told) bool { return t.Rung == r && t.N == n && t.For.Equal(o.BackBy) })
}

// slowAfter repeats the interval triples, so that a night-long alert stays audible without burning the group's message budget.
const slowAfter = 9

// nextRepeat is when the alert is said again. It starts once the contacts' rung was climbed and never ends by itself:
// an acknowledgement only moves it to its own end.
func (o Outing) nextRepeat() (at time.Time, n int, ok bool) {
	var last *Told
	for i := range o.Told {
		if t := &o.Told[i]; t.For.Equal(o.BackBy) && (t.Rung == RungContact || t.Rung == RungRepeat) {
			last = t
		}
	}
	if last == nil {
		return time.Time{}, 0, false
	}
	every := o.Ladder.Repeat
	if last.N >= slowAfter {
		every *= 3
	}
	at = last.At.Add(every)
	if o.Ack != nil && o.Ack.Until.After(at) {
		at = o.Ack.Until
	}
	return at, last.N + 1, true
}

// promptOf is what a prompt to those out says.
var promptOf = map[Rung]EffectKind{RungRemind: SayRemind, RungGate: SayGate, RungLight: SayLight}

// climb tells everybody a rung is for, and the contact also, and notes it.
func (o *Outing) climb(r Rung, n int, due, now time.Time, also ...int64) []Effect {
	missed := now.Sub(due) >= missedAfter
	var effects []Effect
	say := func(k EffectKind, to Recipient, alert bool) {
		effects = append(effects, Effect{Kind: k, To: to, N: n, For: o.BackBy, Alert: alert, Missed: missed, WantOutcome: to.Role == RoleContact || k == SayParty || k == SayAsk})
	}
	ask := func() {
		seen := map[int64]bool{}
		for _, m := range o.StillOut() {
			chat := o.chatOf(m)
			if seen[chat] {
				continue // one message per chat, not per person: the group names them all
			}
			seen[chat] = true
			say(SayAsk, Recipient{Role: RoleAngler, Chat: chat, ID: m.ID, Name: m.Name}, true)
		}
	}
	switch r {
	case RungRemind, RungGate, RungLight:
		seen := map[int64]bool{}
		for _, m := range o.StillOut() {
			if chat := o.chatOf(m); !seen[chat] {
				seen[chat] = true
				say(promptOf[r], Recipient{Role: RoleAngler, Chat: chat, ID: m.ID, Name: m.Name}, false)
			}
		}
	case RungAsk:
		ask()
	case RungParty:
		for _, to := range o.mates() {
			say(SayParty, to, true)
		}
	case RungContact, RungRepeat:
		told := o.contactsFor(n, also)
		for _, c := range told {
			first := !slices.ContainsFunc(o.alarmed(), func(r Recipient) bool { return r.Chat == c.Chat })
			say(SayContact, c.recipient(), true)
			effects[len(effects)-1].First = first
		}
		// The mates hear every repeat too; with nobody ashore they are the last rung, and it is said so.
		if o.Group != 0 && (r == RungRepeat || len(told) == 0) {
			for _, to := range o.mates() {
				say(SayParty, to, true)
			}
		}
		if r == RungRepeat || (o.Group == 0 && len(told) == 0) {
			ask() // those out may simply have forgotten
		}
	}
	t := Told{Rung: r, For: o.BackBy, N: n, At: now, Missed: missed}
	for _, e := range effects {
		t.To = append(t.To, e.To)
		if e.Kind == SayParty || e.Kind == SayContact {
			t.Alert = true
		}
	}
	o.Told = append(o.Told, t)
	return effects
}

// contactsFor are the contacts told at the n-th telling: one more each time, in order, those out of reach left out.
// Whoever was told once is told every time, wherever in the order they came in.
func (o Outing) contactsFor(n int, also []int64) []Contact {
	var out []Contact
	for i, c := range o.Reachable() {
		if i <= n || slices.Contains(also, c.ID) || o.toldNow(c.Chat) {
			out = append(out, c)
		}
	}
	return out
}

// toldNow says whether a chat had the alert of the present back-by time.
func (o Outing) toldNow(chat int64) bool {
	return slices.ContainsFunc(o.Told, func(t Told) bool {
		return t.Alert && t.For.Equal(o.BackBy) && slices.ContainsFunc(t.To, func(r Recipient) bool { return r.Role == RoleContact && r.Chat == chat })
	})
}

// alarmed lists every chat that got an alert in this outing, once each, whatever back-by time it was for.
func (o Outing) alarmed() []Recipient {
	var out []Recipient
	for _, t := range o.Told {
		if !t.Alert {
			continue
		}
		for _, r := range t.To {
			if r.Role != RoleAngler && !slices.ContainsFunc(out, func(x Recipient) bool { return x.Chat == r.Chat }) {
				out = append(out, r)
			}
		}
	}
	return out
}

// Alarmed is alarmed for readers outside: who must get a stand-down.
func (o Outing) Alarmed() []Recipient { return o.alarmed() }
