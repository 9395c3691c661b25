// Package outing is the part that saves lives: who is out on which ledge, by when
// they said they would be off it, who ashore is told if they are not, and how far
// that telling has come. It is pure: facts go in, facts and effects come out, and
// every function that needs the time is told it.
//
//	            Delay                      Delay
//	           ┌─────┐                 ┌──────────┐
//	           ▼     │                 ▼          │
//	Open ───▶ out ───┴─ back-by passes ─▶ late ── contact time passes ─▶ overdue
//	           │                         │                                │
//	           └────────── Off (everybody, by name) ◀─────────────────────┘
//	                                     │
//	                                    off ── Home (everybody) ──▶ home
//
// The standing is computed from stored instants and never stored, so it cannot go
// stale. The package calls nobody and declares no emergency: it says what it has
// not heard. It does not model several landing places, nor search by authorities.
package outing

import (
	"errors"
	"fmt"
	"slices"
	"time"
)

// Version is the stored form; older ones decode for ever.
const Version = 1

// Outing is one party on one ledge. Everything in it is a fact somebody stated or we did.
type Outing struct {
	V         int       `json:"v"`
	ID        string    `json:"id"`
	Crew      string    `json:"crew"`
	Group     int64     `json:"group,omitempty"` // the crew's group chat, 0 for a lone angler
	Thread    int       `json:"thread,omitempty"`
	Trip      string    `json:"trip,omitempty"`
	Ledge     string    `json:"ledge"` // its name as the crew knows it
	Zone      string    `json:"zone"`  // IANA zone in which times are told
	OpenedBy  int64     `json:"opened_by"`
	OpenedAt  time.Time `json:"opened_at"`
	BackBy    time.Time `json:"back_by"`          // off the rocks by, UTC
	HomeBy    time.Time `json:"home_by,omitzero"` // home by, where they said so
	People    []Member  `json:"people"`
	Contacts  []Contact `json:"contacts,omitempty"` // ashore, in the order they are told
	Mates     []Contact `json:"mates,omitempty"`    // of the crew, reachable in private: told there when the group cannot be
	Released  []Contact `json:"released,omitempty"` // by mail, taken off after they were alarmed: still to be stood down
	Ladder    Ladder    `json:"ladder"`
	Delays    []Delay   `json:"delays,omitempty"`
	Told      []Told    `json:"told,omitempty"`  // what went out to whom, oldest first
	Heard     []Heard   `json:"heard,omitempty"` // what we had from them, oldest first
	Ack       *Ack      `json:"ack,omitempty"`
	Tries     []Ack     `json:"tries,omitempty"` // all acknowledgements so far
	Sheet     Sheet     `json:"sheet"`
	Timed     int       `json:"timed,omitempty"` // how often the ladder was set anew
	ClosedAt  time.Time `json:"closed_at,omitzero"`
	Cancelled bool      `json:"cancelled,omitempty"` // opened by mistake, nobody went down
	WipedAt   time.Time `json:"wiped_at,omitzero"`   // since when it holds no exact place and no way to ring anybody: see wipe

	Falls []Fall `json:"falls,omitempty"` // that somebody fell in, by whose word, oldest first

	Deaf       []Deaf    `json:"deaf,omitempty"`       // when we may have missed what was said, oldest first
	AskedAgain time.Time `json:"asked_again,omitzero"` // who may have answered in vain has until then to answer again

	GroupWas     []int64   `json:"group_was,omitempty"`    // ids the group's chat had before
	GroupRefused time.Time `json:"group_refused,omitzero"` // since when the group cannot be written to: we were removed or muted
}

// Member is one person of the party.
type Member struct {
	ID     int64     `json:"id"` // negative: a guest who cannot answer for themselves
	Name   string    `json:"name"`
	Chat   int64     `json:"chat,omitempty"` // private chat that works, 0: reach them in the group
	Phone  string    `json:"phone,omitempty"`
	OffAt  time.Time `json:"off_at,omitzero"`
	OffBy  string    `json:"off_by,omitempty"` // who said so, when it was not themselves
	HomeAt time.Time `json:"home_at,omitzero"`

	Position *Position `json:"position,omitempty"` // the newest location they shared, while they are out
	Language string    `json:"language,omitempty"` // what they read in private, "": as the crew
}

// Contact is someone ashore who accepted to hold the plan.
type Contact struct {
	ID      int64     `json:"id"`
	Name    string    `json:"name"`
	Chat    int64     `json:"chat"`
	Reached time.Time `json:"reached,omitzero"` // the plan got through to them
	Refused time.Time `json:"refused,omitzero"` // it did not: blocked, left, deleted
	Until   time.Time `json:"until,omitzero"`   // with Refused: only held up until then
	Mail    string    `json:"mail,omitempty"`   // the address of one who is written to by mail: nobody can tell whether they read it

	Language string `json:"language,omitempty"` // what they read, "": as the crew
}

// recipient is the contact as somebody who is told.
func (c Contact) recipient() Recipient {
	return Recipient{Role: RoleContact, Chat: c.Chat, ID: c.ID, Name: c.Name}
}

// Delay is one change of the back-by time.
type Delay struct {
	At   time.Time `json:"at"`
	By   string    `json:"by"`
	From time.Time `json:"from"`
	To   time.Time `json:"to"`
	Why  string    `json:"why,omitempty"`
}

// Heard is a sign of life, with what it was.
type Heard struct {
	At   time.Time `json:"at"`
	Who  string    `json:"who"`
	What string    `json:"what"` // a word: opened, watch_start, watch_dry, watch_wet, catch, delay, place, along, fell_in
}

// Sheet is what the person ashore reads out to rescuers. Empty fields are said to be unknown, not left out silently.
type Sheet struct {
	Lat, Lon       *float64  `json:",omitempty"`
	Access         string    `json:"access,omitempty"`
	WaysOut        string    `json:"ways_out,omitempty"`
	Parking        string    `json:"parking,omitempty"`
	Ring           string    `json:"ring,omitempty"`
	Number         string    `json:"number,omitempty"`  // local emergency number
	AskFor         string    `json:"ask_for,omitempty"` // whom to ask for there
	Car            string    `json:"car,omitempty"`
	Lifejacket     string    `json:"lifejacket,omitempty"` // yes, no, "" unknown
	Signal         string    `json:"signal,omitempty"`     // yes, no, patchy, "" unknown
	Wearing        string    `json:"wearing,omitempty"`
	Notes          string    `json:"notes,omitempty"`
	SeaHs          float64   `json:"sea_hs,omitempty"` // forecast significant height at the start, m
	SeaHsLater     float64   `json:"sea_hs_later,omitempty"`
	SeaPeriod      float64   `json:"sea_period,omitempty"` // s
	SeaAt          time.Time `json:"sea_at,omitzero"`
	WaterC         *float64  `json:"water_c,omitempty"`
	NextTide       time.Time `json:"next_tide,omitzero"`
	NextTideIsHigh bool      `json:"next_tide_is_high,omitempty"`
	NextTideHeight float64   `json:"next_tide_height,omitempty"` // m above Datum
	Datum          string    `json:"datum,omitempty"`
	LastLight      time.Time `json:"last_light,omitzero"`
	FirstLight     time.Time `json:"first_light,omitzero"`    // and begins again
	WalkInFloods   time.Time `json:"walk_in_floods,omitzero"` // the predicted tide shuts the walk-in then; before the start: it is shut
	WalkInDries    time.Time `json:"walk_in_dries,omitzero"`  // and opens it again
}

// Standing is where an outing or a member is now.
type Standing string

// The standings.
const (
	Out     Standing = "out"
	Late    Standing = "late"    // past the back-by time
	Overdue Standing = "overdue" // past the time at which people ashore are told
	Off     Standing = "off"     // off the rocks
	Home    Standing = "home"
)

// Standing of the whole party.
func (o Outing) Standing(now time.Time) Standing {
	switch {
	case o.Closed() && !slices.ContainsFunc(o.People, func(m Member) bool { return m.HomeAt.IsZero() }):
		return Home
	case o.Closed():
		return Off
	case now.Before(o.BackBy):
		return Out
	}
	if pace, _ := o.Pace(); now.Before(o.BackBy.Add(pace.Contact)) {
		return Late
	}
	return Overdue
}

// Closed says whether everybody is off the rocks, or nobody went.
func (o Outing) Closed() bool { return !o.ClosedAt.IsZero() }

// Alone says whether one person is out without company.
func (o Outing) Alone() bool { return len(o.People) == 1 }

// StillOut lists those who have not been called off the rocks.
func (o Outing) StillOut() []Member {
	var out []Member
	for _, m := range o.People {
		if m.OffAt.IsZero() {
			out = append(out, m)
		}
	}
	return out
}

// Member finds a person of the party.
func (o Outing) Member(id int64) (Member, bool) {
	i := slices.IndexFunc(o.People, func(m Member) bool { return m.ID == id })
	if i < 0 {
		return Member{}, false
	}
	return o.People[i], true
}

// Holder finds a shore contact.
func (o Outing) Holder(id int64) (Contact, bool) {
	i := slices.IndexFunc(o.Contacts, func(c Contact) bool { return c.ID == id })
	if i < 0 {
		return Contact{}, false
	}
	return o.Contacts[i], true
}

// Mate says whether somebody of the crew is told of this outing in private when the group cannot be.
func (o Outing) Mate(id int64) bool {
	return slices.ContainsFunc(o.Mates, func(c Contact) bool { return c.ID == id })
}

// mates is where the mates are told: in the group, and while that refuses us each in private as well.
func (o Outing) mates() []Recipient {
	out := []Recipient{o.party()}
	if !o.GroupRefused.IsZero() {
		for _, m := range o.Mates {
			out = append(out, Recipient{Role: RoleGroup, Chat: m.Chat, ID: m.ID, Name: m.Name})
		}
	}
	return out
}

// Reachable lists the contacts that the plan got through to, or may have: not those known to be out of reach.
func (o Outing) Reachable() []Contact {
	var out []Contact
	for _, c := range o.Contacts {
		if c.Refused.IsZero() {
			out = append(out, c)
		}
	}
	return out
}

// hearing are the contacts that what is said now gets to, if late: the reachable ones and those only held up.
func (o Outing) hearing() []Contact {
	var out []Contact
	for _, c := range o.Contacts {
		if c.Refused.IsZero() || !c.Until.IsZero() {
			out = append(out, c)
		}
	}
	return out
}

// LastHeard is the newest sign of life.
func (o Outing) LastHeard() (Heard, bool) {
	if len(o.Heard) == 0 {
		return Heard{}, false
	}
	return o.Heard[len(o.Heard)-1], true
}

// clone copies what Apply and Tick change, so that a value handed in never changes behind its owner.
func (o Outing) clone() Outing {
	o.People = slices.Clone(o.People)
	o.Contacts = slices.Clone(o.Contacts)
	o.Delays = slices.Clone(o.Delays)
	o.Told = slices.Clone(o.Told)
	o.Heard = slices.Clone(o.Heard)
	o.Tries = slices.Clone(o.Tries)
	o.Falls = slices.Clone(o.Falls)
	return o
}

// Errors that Apply returns; they carry no words for people.
var (
	ErrClosed     = errors.New("outing is closed")
	ErrNotMember  = errors.New("not one of the party")
	ErrNotContact = errors.New("not a contact or a mate of this outing")
	ErrPast       = errors.New("time is not ahead")
	ErrTooFar     = errors.New("time is too far ahead")
	ErrWhy        = errors.New("a third delay needs a reason")
	ErrNoPeople   = errors.New("nobody is going")
)

// Longest is how far ahead a back-by time may lie: longer trips are more than one outing.
const Longest = 24 * time.Hour

// New opens an outing. The back-by time is never guessed here: it comes in o, and must be ahead of when it was stated: of
// OpenedAt where that is set, else of now. What was stated while we were down may have passed since. Then they are late, and
// are asked before others are alarmed.
func New(o Outing, now time.Time) (Outing, []Effect, error) {
	if len(o.People) == 0 {
		return Outing{}, nil, ErrNoPeople
	}
	stated := o.OpenedAt
	if stated.IsZero() || stated.After(now) {
		stated = now
	}
	if err := checkBackBy(o.BackBy, stated); err != nil {
		return Outing{}, nil, err
	}
	o = o.clone()
	o.V = Version
	o.OpenedAt = stated
	if err := o.Ladder.check(); err != nil {
		return Outing{}, nil, err
	}
	if !now.Before(o.BackBy) {
		o.AskedAgain = now.Add(askedAgain)
	}
	o.Heard = append(o.Heard, Heard{At: stated, Who: o.name(o.OpenedBy), What: "opened"})
	effects := []Effect{{Kind: SayOpened, To: o.party()}}
	for _, c := range o.Contacts {
		effects = append(effects, Effect{Kind: SayPlan, To: c.recipient(), WantOutcome: true})
	}
	return o, effects, nil
}

func checkBackBy(t, now time.Time) error {
	if !t.After(now) {
		return fmt.Errorf("back by %s: %w", t.UTC().Format(time.RFC3339), ErrPast)
	}
	if t.Sub(now) > Longest {
		return fmt.Errorf("back by %s: %w (limit %v)", t.UTC().Format(time.RFC3339), ErrTooFar, Longest)
	}
	return nil
}

func (o Outing) name(id int64) string {
	m, _ := o.Member(id)
	return m.Name
}

// party is where the whole crew reads: the group, or the lone angler's own chat.
func (o Outing) party() Recipient {
	if o.Group != 0 {
		return Recipient{Role: RoleGroup, Chat: o.Group, Thread: o.Thread}
	}
	m := o.People[0]
	return Recipient{Role: RoleAngler, Chat: o.chatOf(m), ID: m.ID, Name: m.Name}
}

// PartyChat is the chat where the party reads.
func (o Outing) PartyChat() int64 { return o.party().Chat }

func (o Outing) chatOf(m Member) int64 {
	if m.Chat != 0 {
		return m.Chat
	}
	if o.Group != 0 {
		return o.Group
	}
	if m.ID < 0 { // a guest, known by name only: reached through whoever brought them
		if o.People[0].ID < 0 {
			return 0 // who is forgotten meanwhile
		}
		return o.chatOf(o.People[0])
	}
	return m.ID
}
