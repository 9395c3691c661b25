package outing

import (
	"errors"
	"slices"
	"time"
)

// GoAlong is somebody who is out with a party that is under way, by their own word, and those who hold their plans.
type GoAlong struct {
	Member   Member
	Car      string
	Wears    string
	Contacts []Contact
}

func (GoAlong) event() {}

// ErrWasOff is for somebody of the party who was called off the rocks: they are not out again by an old button.
var ErrWasOff = errors.New("off the rocks already")

func (o Outing) goAlong(e GoAlong, now time.Time) (Outing, []Effect, error) {
	if o.Closed() {
		return Outing{}, nil, ErrClosed
	}
	if m, in := o.Member(e.Member.ID); in {
		if !m.OffAt.IsZero() {
			return Outing{}, nil, ErrWasOff
		}
		return o, nil, nil
	}
	m := Member{ID: e.Member.ID, Name: e.Member.Name, Chat: e.Member.Chat, Phone: e.Member.Phone, Language: e.Member.Language}
	o.People = append(o.People, m)
	o.Sheet.Car, o.Sheet.Wearing = Joined(o.Sheet.Car, e.Car), Joined(o.Sheet.Wearing, e.Wears)
	// Whoever goes along holds nobody's plan from ashore.
	if i := slices.IndexFunc(o.Contacts, func(c Contact) bool { return c.ID == m.ID }); i >= 0 {
		o.Contacts = slices.Delete(o.Contacts, i, i+1)
		if o.Ack != nil && o.Ack.By == m.ID {
			o.Ack = nil
		}
	}
	o.Mates = slices.DeleteFunc(slices.Clone(o.Mates), func(c Contact) bool { return c.ID == m.ID })
	o.Heard = append(o.Heard, Heard{At: now, Who: m.Name, What: "along"})
	effects := []Effect{{Kind: SayAlong, To: o.party(), For: o.BackBy, N: len(o.People), Who: m.Name}}
	for _, c := range o.hearing() {
		effects = append(effects, Effect{Kind: SayAlong, To: c.recipient(), For: o.BackBy, N: len(o.People), Who: m.Name})
	}
	for _, c := range e.Contacts {
		if _, out := o.Member(c.ID); out {
			continue
		}
		if _, holds := o.Holder(c.ID); holds {
			continue
		}
		var more []Effect
		var err error
		if o, more, err = o.join(Join{ID: c.ID, Name: c.Name, Chat: c.Chat, Mail: c.Mail, Language: c.Language}, now); err != nil {
			return Outing{}, nil, err
		}
		effects = append(effects, more...)
	}
	return o, effects, nil
}

// Joined is what was known of a party, and more of it.
func Joined(was, more string) string {
	switch {
	case more == "":
		return was
	case was == "":
		return more
	}
	return was + "; " + more
}
