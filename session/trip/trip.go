// Package trip is the plan made beforehand: which ledge, when, plan B, who is in and who
// brings what. It is pure. A plan is "ready" only when nothing that saves a life is
// unclaimed. It does not model costs, boats or permits.
package trip

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
)

// Version is the stored form.
const Version = 1

// Trip is one plan of a crew.
type Trip struct {
	V         int       `json:"v"`
	ID        string    `json:"id"`
	Crew      string    `json:"crew"`
	Chat      int64     `json:"chat"`
	Thread    int       `json:"thread,omitempty"`
	Ledge     string    `json:"ledge"`
	PlanB     string    `json:"plan_b,omitempty"` // another ledge, or "home"
	DecideBy  time.Time `json:"decide_by,omitzero"`
	Start     time.Time `json:"start"`
	End       time.Time `json:"end"`
	Zone      string    `json:"zone"`
	By        int64     `json:"by"`
	ByName    string    `json:"by_name"`
	MadeAt    time.Time `json:"made_at"`
	Roster    []Place   `json:"roster,omitempty"`
	Gear      []Item    `json:"gear,omitempty"`
	Capacity  int       `json:"capacity,omitempty"` // people the ledge takes, 0 unknown
	Dark      bool      `json:"dark,omitempty"`     // part of it lies outside civil twilight: lights are needed
	SeaAtPlan Sea       `json:"sea_at_plan,omitzero"`
	SeaNow    Sea       `json:"sea_now,omitzero"`
	CalledOff time.Time `json:"called_off,omitzero"` // nobody is named for it
	Outing    string    `json:"outing,omitempty"`    // the outing it became
	Rev       int       `json:"rev"`                 // counts changes, so that taps on an old panel are seen as such

	// Seq counts changes of what people agreed to: ledge, hours, called off. It is the SEQUENCE of the calendar entry
	// (RFC 5545, 3.8.7.4) and tells who has said yes to the plan as it is now.
	Seq       int       `json:"seq,omitempty"`
	ChangedAt time.Time `json:"changed_at,omitzero"` // when ledge or hours became others
	Vote      string    `json:"vote,omitempty"`      // the vote it came from
	Notes     []Note    `json:"notes,omitempty"`     // oldest first
	Panel     int       `json:"panel,omitempty"`     // message that shows the plan, in Chat; 0: not known
}

// Sea is what the forecast said at a time: offshore significant height (m), period (s).
type Sea struct {
	Hs      float64   `json:"hs,omitempty"`
	Period  float64   `json:"period,omitempty"`
	Verdict string    `json:"verdict,omitempty"`
	At      time.Time `json:"at,omitzero"`
}

// same compares instants as such, whatever zone they are written in.
func (s Sea) same(o Sea) bool {
	at := s.At.Equal(o.At)
	s.At, o.At = time.Time{}, time.Time{}
	return at && s == o
}

// Answer is what somebody said to a plan.
type Answer string

// The answers.
const (
	In    Answer = "in"
	Maybe Answer = "maybe"
	Cant  Answer = "cant"
)

// Place is one person's answer.
type Place struct {
	ID     int64  `json:"id"`
	Name   string `json:"name"`
	Answer Answer `json:"answer"`
	Seats  int    `json:"seats,omitempty"` // in their car, besides themselves
	First  bool   `json:"first,omitempty"` // first time on this ledge

	Drives    bool   `json:"drives,omitempty"`    // comes by their own car, with Seats free or none
	WalkBy    int64  `json:"walk_by,omitempty"`   // who walks in with them, who are there for the first time
	WalkName  string `json:"walk_name,omitempty"` //
	Confirmed int    `json:"confirmed,omitempty"` // the newest Seq they said yes to
}

// Item is one shared thing and who brings it.
type Item struct {
	Name   string `json:"name"` // a word of Standard, or the crew's own
	Vital  bool   `json:"vital,omitempty"`
	By     int64  `json:"by,omitempty"`
	ByName string `json:"by_name,omitempty"`
}

// The standard things. The vital ones block "ready" while nobody brings them: a float on a line is what
// saves someone in the water, before anybody ashore can. common practice, no source.
const (
	ThrowLine = "throw line"
	Float     = "float"
	FirstAid  = "first aid"
	Lights    = "lights"
	Berley    = "berley"
	Bait      = "bait"
	Board     = "measure board"
	Ice       = "ice"
)

func standard() []Item {
	return []Item{
		{Name: ThrowLine, Vital: true}, {Name: Float, Vital: true}, {Name: FirstAid, Vital: true},
		{Name: Lights}, {Name: Berley}, {Name: Bait}, {Name: Board}, {Name: Ice},
	}
}

// Errors Apply returns.
var (
	ErrCalledOff = errors.New("trip is called off")
	ErrTaken     = errors.New("somebody else brings it")
	ErrNotIn     = errors.New("not among those going")
	ErrUnknown   = errors.New("answer or thing not known")
	ErrTimes     = errors.New("end is not after start")
	ErrOver      = errors.New("trip is over")
	ErrFull      = errors.New("no more people can answer")
	ErrFirstToo  = errors.New("is there for the first time too")
)

// New makes a plan; whoever makes it is in.
func New(t Trip, now time.Time) (Trip, error) {
	if !t.End.After(t.Start) {
		return Trip{}, ErrTimes
	}
	if !t.End.After(now) {
		return Trip{}, ErrOver
	}
	t.V = Version
	t.MadeAt = now
	t.Gear = standard()
	for i := range t.Gear {
		if t.Gear[i].Name == Lights {
			t.Gear[i].Vital = t.Dark
		}
	}
	t.Roster = []Place{{ID: t.By, Name: t.ByName, Answer: In}}
	t.Rev, t.Seq = 1, 0
	return t, nil
}

// Event is something that happened to a plan.
type Event interface{ event() }

// Say is somebody's answer; Seats and First only when given. Seen is the Seq of the plan as they saw it: who says yes to
// a plan that has changed since has not said yes to the new one.
type Say struct {
	ID     int64
	Name   string
	Answer Answer
	Seats  *int
	First  *bool
	Seen   int
}

// Bring claims a thing; saying it again for one's own thing lets it go.
type Bring struct {
	ID   int64
	Name string
	Item string
}

// Change is another ledge or other hours; what is left zero stays as it was. Those who were in are asked again, but for
// whoever changed it. What was known of the old ledge and the old hours goes.
type Change struct {
	By         int64
	Ledge      string
	Start, End time.Time
	Zone       string
	Capacity   int
	Dark       bool
	Sea        Sea
}

// CallOff ends the plan. No reason is asked and no name kept: nobody should go down a ledge to save face.
type CallOff struct{}

// SetPlanB names where to go instead, and by when that is decided.
type SetPlanB struct {
	Name     string
	DecideBy time.Time
}

// NewSea notes what the forecast says now.
type NewSea struct{ Sea Sea }

// Becomes notes the outing it turned into.
type Becomes struct{ Outing string }

func (Say) event()      {}
func (Drive) event()    {}
func (Newcomer) event() {}
func (WalkWith) event() {}
func (AddNote) event()  {}
func (Shown) event()    {}
func (Bring) event()    {}
func (Change) event()   {}
func (CallOff) event()  {}
func (SetPlanB) event() {}
func (NewSea) event()   {}
func (Becomes) event()  {}

// Apply lets an event happen at now; on error nothing changed. An event that changes nothing keeps Rev.
func (t Trip) Apply(e Event, now time.Time) (Trip, error) {
	if !t.CalledOff.IsZero() {
		return Trip{}, ErrCalledOff
	}
	if t.Past(now) {
		return Trip{}, ErrOver
	}
	old := t
	t.Roster, t.Gear, t.Notes = slices.Clone(t.Roster), slices.Clone(t.Gear), slices.Clone(t.Notes)
	switch e := e.(type) {
	case Say:
		if err := t.say(e); err != nil {
			return Trip{}, err
		}
	case Drive:
		if err := t.drive(e); err != nil {
			return Trip{}, err
		}
	case Newcomer:
		if err := t.newcomer(e); err != nil {
			return Trip{}, err
		}
	case WalkWith:
		if err := t.walkWith(e); err != nil {
			return Trip{}, err
		}
	case AddNote:
		if err := t.addNote(e, now); err != nil {
			return Trip{}, err
		}
	case Shown:
		t.Panel = max(t.Panel, e.Message)
	case Bring:
		p, ok := t.Person(e.ID)
		if !ok || p.Answer == Cant {
			return Trip{}, ErrNotIn
		}
		name := strings.ToLower(strings.TrimSpace(e.Item))
		if name == "" {
			return Trip{}, ErrUnknown
		}
		i := slices.IndexFunc(t.Gear, func(it Item) bool { return it.Name == name })
		if i < 0 {
			t.Gear = append(t.Gear, Item{Name: name})
			i = len(t.Gear) - 1
		}
		switch it := &t.Gear[i]; it.By {
		case 0:
			it.By, it.ByName = e.ID, e.Name
		case e.ID:
			it.By, it.ByName = 0, ""
		default:
			if by, _ := t.Person(it.By); !it.Vital || by.Answer != Maybe || p.Answer != In {
				return Trip{}, ErrTaken
			}
			it.By, it.ByName = e.ID, e.Name // what a life may hang on goes over to who is sure to come
		}
	case Change:
		if err := t.change(e, now); err != nil {
			return Trip{}, err
		}
	case CallOff:
		t.CalledOff = now
		t.Seq++
	case SetPlanB:
		t.PlanB, t.DecideBy = e.Name, e.DecideBy
	case NewSea:
		t.SeaNow = e.Sea
		if t.SeaAtPlan.At.IsZero() {
			t.SeaAtPlan = e.Sea
		}
	case Becomes:
		t.Outing = e.Outing
	default:
		return Trip{}, fmt.Errorf("trip event %T: not known", e)
	}
	t.tidy()
	if !same(old, t) {
		t.Rev++
	}
	return t, nil
}

func same(a, b Trip) bool {
	return a.Seq == b.Seq && a.Zone == b.Zone && a.Capacity == b.Capacity && a.Dark == b.Dark && slices.Equal(a.Roster, b.Roster) && slices.Equal(a.Gear, b.Gear) && sameNotes(a.Notes, b.Notes) &&
		a.CalledOff.Equal(b.CalledOff) && a.PlanB == b.PlanB && a.DecideBy.Equal(b.DecideBy) && a.SeaAtPlan.same(b.SeaAtPlan) && a.SeaNow.same(b.SeaNow) && a.Outing == b.Outing
}

// Past says whether a plan is so long over that nothing happens to it any more.
func (t Trip) Past(now time.Time) bool { return now.After(t.End.Add(12 * time.Hour)) }

// Has says whether a thing is on the list, brought by somebody or not.
func (t Trip) Has(item string) bool {
	item = strings.ToLower(strings.TrimSpace(item))
	return slices.ContainsFunc(t.Gear, func(it Item) bool { return it.Name == item })
}

// Person finds somebody's answer.
func (t Trip) Person(id int64) (Place, bool) {
	i := slices.IndexFunc(t.Roster, func(p Place) bool { return p.ID == id })
	if i < 0 {
		return Place{}, false
	}
	return t.Roster[i], true
}

// Who lists those with an answer, in the order they gave it.
func (t Trip) Who(a Answer) []Place {
	var out []Place
	for _, p := range t.Roster {
		if p.Answer == a {
			out = append(out, p)
		}
	}
	return out
}

// Lack is one reason why a plan is not ready.
type Lack string

// The reasons that are not a thing nobody brings.
const (
	LackNobody Lack = "nobody"   // nobody is in
	LackPlanB  Lack = "plan_b"   // no plan B: then plan A goes ahead whatever the sea does
	LackRoom   Lack = "too_many" // more people than the ledge takes
	LackAsked  Lack = "asked"    // somebody who is in has not said so since the plan changed
)

// Brings is who is sure to bring a thing: somebody who is in. perhaps is somebody who said no more than maybe.
func (t Trip) Brings(it Item) (who Place, sure, perhaps bool) {
	who, ok := t.Person(it.By)
	return who, ok && it.By != 0 && who.Answer == In, ok && it.By != 0 && who.Answer == Maybe
}

// Ready says whether the plan stands, and if not, why: vital things by name that nobody is sure to bring, and lacks.
func (t Trip) Ready() (unclaimed []string, lacks []Lack, ready bool) {
	for _, it := range t.Gear {
		if _, sure, _ := t.Brings(it); it.Vital && !sure {
			unclaimed = append(unclaimed, it.Name)
		}
	}
	in := t.Who(In)
	if len(in) == 0 {
		lacks = append(lacks, LackNobody)
	}
	if t.PlanB == "" {
		lacks = append(lacks, LackPlanB)
	}
	if t.Capacity > 0 && len(in) > t.Capacity {
		lacks = append(lacks, LackRoom)
	}
	if len(t.Unconfirmed()) > 0 {
		lacks = append(lacks, LackAsked)
	}
	return unclaimed, lacks, len(unclaimed) == 0 && len(lacks) == 0
}

// Solo says whether just one person is in: it is allowed, and said out loud.
func (t Trip) Solo() bool { return len(t.Who(In)) == 1 }
