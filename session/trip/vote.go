package trip

import (
	"errors"
	"slices"
	"time"
)

// VoteVersion is the stored form of a vote.
const VoteVersion = 1

// The bounds of a vote: more options than fit under one thumb are no choice (common practice, no source).
const (
	MostOptions  = 6
	FewestOfVote = 2
)

// Vote asks a crew which of some days, or ledges, it shall be. Nobody counts it for them: they see who could come when, and
// what the forecast says, and somebody takes one.
type Vote struct {
	V       int       `json:"v"`
	ID      string    `json:"id"`
	Crew    string    `json:"crew"`
	Chat    int64     `json:"chat"`
	Thread  int       `json:"thread,omitempty"`
	By      int64     `json:"by"`
	ByName  string    `json:"by_name"`
	MadeAt  time.Time `json:"made_at"`
	PlanB   string    `json:"plan_b,omitempty"`
	Options []Option  `json:"options"`
	None    []Voter   `json:"none,omitempty"`   // who can on none of the days
	Trip    string    `json:"trip,omitempty"`   // the plan that came of it
	TakenNo int       `json:"taken,omitempty"`  // which option that is, from 1
	Closed  time.Time `json:"closed,omitzero"`  // taken or dropped
	Panel   int       `json:"panel,omitempty"`  // message that shows it, in Chat; 0: not known
	Rev     int       `json:"rev"`              // counts changes
	SeenAt  time.Time `json:"seen_at,omitzero"` // when the sea was last looked up for it
}

// Option is one day and ledge to choose.
type Option struct {
	Ledge    string    `json:"ledge"`
	Start    time.Time `json:"start"`
	End      time.Time `json:"end"`
	Zone     string    `json:"zone"`
	Capacity int       `json:"capacity,omitempty"`
	Dark     bool      `json:"dark,omitempty"`
	Sea      Sea       `json:"sea,omitzero"`
	For      []Voter   `json:"for,omitempty"` // in the order they said so
}

// Voter is somebody who could.
type Voter struct {
	ID   int64  `json:"id"`
	Name string `json:"name"`
}

// Errors of votes.
var (
	ErrVoteOver = errors.New("vote is over")
	ErrFew      = errors.New("one option is no choice")
	ErrMany     = errors.New("more options than a vote takes")
	ErrTwice    = errors.New("the same option twice")
)

// NewVote makes one.
func NewVote(v Vote, now time.Time) (Vote, error) {
	switch n := len(v.Options); {
	case n < FewestOfVote:
		return Vote{}, ErrFew
	case n > MostOptions:
		return Vote{}, ErrMany
	}
	for i, o := range v.Options {
		if !o.End.After(o.Start) {
			return Vote{}, ErrTimes
		}
		if !o.Start.After(now) {
			return Vote{}, ErrOver
		}
		if slices.ContainsFunc(v.Options[:i], func(x Option) bool { return x.Ledge == o.Ledge && x.Start.Equal(o.Start) && x.End.Equal(o.End) }) {
			return Vote{}, ErrTwice
		}
	}
	v.V, v.MadeAt, v.Rev, v.SeenAt = VoteVersion, now, 1, now
	return v, nil
}

// Ends is when the last option begins: after that there is nothing to choose.
func (v Vote) Ends() (t time.Time) {
	for _, o := range v.Options {
		if o.Start.After(t) {
			t = o.Start
		}
	}
	return t
}

// Begins is when the first begins.
func (v Vote) Begins() time.Time {
	t := v.Ends()
	for _, o := range v.Options {
		if o.Start.Before(t) {
			t = o.Start
		}
	}
	return t
}

// Taken is the option that became the plan.
func (v Vote) Taken() (Option, bool) {
	if v.TakenNo < 1 || v.TakenNo > len(v.Options) {
		return Option{}, false
	}
	return v.Options[v.TakenNo-1], true
}

// Open says whether there is still something to choose.
func (v Vote) Open(now time.Time) bool { return v.Closed.IsZero() && now.Before(v.Ends()) }

// Cast says that somebody could come to an option, or, said again, that they could not; None is Cast for no day at all, which
// takes back all others.
type Cast struct {
	ID     int64
	Name   string
	Option int // NoOption: none of them
}

// NoOption in a Cast is none of the days.
const NoOption = -1

// SeaOf notes what the forecast says now, an option each in order; a zero one leaves what was.
type SeaOf struct{ Seas []Sea }

// Take settles a vote on an option; Trip is the plan that comes of it.
type Take struct {
	Option int
	Trip   string
}

// Drop ends a vote without a plan.
type Drop struct{}

// VoteShown notes the message that shows the vote.
type VoteShown struct{ Message int }

// VoteEvent is something that happened to a vote.
type VoteEvent interface{ voteEvent() }

func (Cast) voteEvent()      {}
func (SeaOf) voteEvent()     {}
func (Take) voteEvent()      {}
func (Drop) voteEvent()      {}
func (VoteShown) voteEvent() {}

// Apply lets an event happen at now; on error nothing changed.
func (v Vote) Apply(e VoteEvent, now time.Time) (Vote, error) {
	if !v.Open(now) {
		return Vote{}, ErrVoteOver
	}
	v.Options, v.None = slices.Clone(v.Options), slices.Clone(v.None)
	for i := range v.Options {
		v.Options[i].For = slices.Clone(v.Options[i].For)
	}
	switch e := e.(type) {
	case Cast:
		return v.cast(e, now)
	case SeaOf:
		if len(e.Seas) != len(v.Options) {
			return Vote{}, ErrUnknown
		}
		for i, s := range e.Seas {
			if !s.At.IsZero() {
				v.Options[i].Sea = s
			}
		}
		v.SeenAt = now
	case Take:
		if e.Option < 0 || e.Option >= len(v.Options) || e.Trip == "" {
			return Vote{}, ErrUnknown
		}
		if !v.Options[e.Option].Start.After(now) {
			return Vote{}, ErrOver
		}
		v.Trip, v.TakenNo, v.Closed = e.Trip, e.Option+1, now
	case Drop:
		v.Closed = now
	case VoteShown:
		v.Panel = max(v.Panel, e.Message)
		return v, nil
	default:
		return Vote{}, ErrUnknown
	}
	v.Rev++
	return v, nil
}

func (v Vote) cast(e Cast, now time.Time) (Vote, error) {
	if e.Option < NoOption || e.Option >= len(v.Options) {
		return Vote{}, ErrUnknown
	}
	if e.Option != NoOption && !v.Options[e.Option].Start.After(now) {
		return Vote{}, ErrOver
	}
	toggled := func(list []Voter) ([]Voter, error) {
		if i := slices.IndexFunc(list, func(x Voter) bool { return x.ID == e.ID }); i >= 0 {
			return slices.Delete(list, i, i+1), nil
		}
		if len(list) >= MostPeople {
			return list, ErrFull
		}
		return append(list, Voter{ID: e.ID, Name: e.Name}), nil
	}
	without := func(list []Voter) []Voter {
		return slices.DeleteFunc(list, func(x Voter) bool { return x.ID == e.ID })
	}
	var err error
	if e.Option == NoOption {
		if v.None, err = toggled(v.None); err != nil {
			return Vote{}, err
		}
		for i := range v.Options {
			v.Options[i].For = without(v.Options[i].For)
		}
	} else {
		if v.Options[e.Option].For, err = toggled(v.Options[e.Option].For); err != nil {
			return Vote{}, err
		}
		v.None = without(v.None)
	}
	v.Rev++
	return v, nil
}

// FromVote makes the plan of an option: who takes it is in, who could come then is in and asked to confirm, for "I could" is
// no promise. t holds what a vote does not know: id, chat, by when to decide.
func (v Vote) FromVote(option int, t Trip, now time.Time) (Trip, error) {
	if option < 0 || option >= len(v.Options) {
		return Trip{}, ErrUnknown
	}
	o := v.Options[option]
	t.Ledge, t.Start, t.End, t.Zone, t.Capacity, t.Dark, t.Vote = o.Ledge, o.Start, o.End, o.Zone, o.Capacity, o.Dark, v.ID
	t.PlanB = v.PlanB
	t, err := New(t, now)
	if err != nil {
		return Trip{}, err
	}
	t.SeaAtPlan, t.SeaNow = o.Sea, o.Sea
	for _, x := range o.For {
		if x.ID != t.By && len(t.Roster) < MostPeople {
			t.Roster = append(t.Roster, Place{ID: x.ID, Name: x.Name, Answer: In})
		}
	}
	t.Seq = 1
	t.Roster[0].Confirmed = 1
	return t, nil
}
