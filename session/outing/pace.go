package outing

import (
	"errors"
	"fmt"
	"time"
)

// Reason is why a ladder is climbed sooner than it was set.
type Reason string

// The reasons.
const (
	Alone  Reason = "alone"  // one person is out, or the last of several
	Dark   Reason = "dark"   // those ashore would be told too late to be of use before dark
	Rising Reason = "rising" // the sea is forecast to grow meanwhile
)

// The least a ladder is brought forward to: somebody walking off must have the time to say so. common practice, no source.
const (
	leastParty   = 5 * time.Minute
	leastContact = 10 * time.Minute
	// darkWithin: a search that begins in the last hour of light ends in the dark. common practice, no source.
	darkWithin = time.Hour
)

// Pace is the ladder as it is climbed now, and why it is brought forward: by a quarter for one reason, to half for two or
// more. common practice, no source: who is alone has nobody to throw a line, darkness and a growing sea end a search. It
// follows from what is stored, so it changes with a delay or with who is left, and is never wrong for being old.
func (o Outing) Pace() (Ladder, []Reason) {
	l := o.Ladder
	if !l.Sooner {
		return l, nil
	}
	var why []Reason
	if len(o.StillOut()) == 1 {
		why = append(why, Alone)
	}
	if s, at := o.Sheet, o.BackBy.Add(l.Contact); !s.LastLight.IsZero() && !at.Before(s.LastLight.Add(-darkWithin)) && (s.FirstLight.IsZero() || at.Before(s.FirstLight)) {
		why = append(why, Dark)
	}
	if o.Sheet.Rising() {
		why = append(why, Rising)
	}
	switch len(why) {
	case 0:
		return l, nil
	case 1:
		l.Party, l.Contact = sooner(l.Party, leastParty, 3), sooner(l.Contact, leastContact, 3)
	default:
		l.Party, l.Contact = sooner(l.Party, leastParty, 2), sooner(l.Contact, leastContact, 2)
	}
	return l, why
}

// sooner is so many quarters of a time, in whole minutes, not under the least; what was set shorter stays.
func sooner(d, least time.Duration, quarters int) time.Duration {
	return min(d, max(least, (d*time.Duration(quarters)/4).Truncate(time.Minute)))
}

// riseCounts is by how much a forecast must grow to count as rising.
const riseCounts = 1.15

// Rising says whether the sea was forecast to grow while they are out.
func (s Sheet) Rising() bool { return s.SeaHs > 0 && s.SeaHsLater > s.SeaHs*riseCounts }

// ErrLadder is for times that would make an alert useless or a nuisance.
var ErrLadder = errors.New("outside what keeps an alert useful")

// LadderBounds are the least and the most that a crew or a party may set.
var LadderBounds = struct{ Least, Most Ladder }{
	Least: Ladder{Party: leastParty, Contact: leastContact, Repeat: 5 * time.Minute},
	Most:  Ladder{Remind: time.Hour, Party: 45 * time.Minute, Contact: 90 * time.Minute, Repeat: 30 * time.Minute},
}

// Settable says whether people may set a ladder so.
func (l Ladder) Settable() error {
	lo, hi := LadderBounds.Least, LadderBounds.Most
	if l.Remind < lo.Remind || l.Remind > hi.Remind || l.Party < lo.Party || l.Party > hi.Party ||
		l.Contact < lo.Contact || l.Contact > hi.Contact || l.Contact < l.Party || l.Repeat < lo.Repeat || l.Repeat > hi.Repeat {
		return fmt.Errorf("ladder %+v: %w", l, ErrLadder)
	}
	return nil
}

// SetLadder is one of the party setting other times for this outing. Only before the back-by time: once somebody is late
// a later alert is asked for by a delay, which everybody hears of.
type SetLadder struct {
	By     int64
	Ladder Ladder
}

func (SetLadder) event() {}

func (o Outing) setLadder(e SetLadder, now time.Time) (Outing, []Effect, error) {
	m, ok := o.Member(e.By)
	switch {
	case !ok:
		return Outing{}, nil, ErrNotMember
	case o.Closed():
		return Outing{}, nil, ErrClosed
	case !now.Before(o.BackBy):
		return Outing{}, nil, fmt.Errorf("set the ladder after the back-by time: %w", ErrPast)
	}
	if err := e.Ladder.Settable(); err != nil {
		return Outing{}, nil, err
	}
	e.Ladder.Sooner = true
	if e.Ladder != o.Ladder {
		o.Ladder = e.Ladder
		o.Timed++
	}
	effects := []Effect{{Kind: SayTimes, To: o.party(), For: o.BackBy, N: o.Timed, Who: m.Name}}
	for _, c := range o.hearing() {
		effects = append(effects, Effect{Kind: SayTimes, To: c.recipient(), For: o.BackBy, N: o.Timed, Who: m.Name})
	}
	return o, effects, nil
}
