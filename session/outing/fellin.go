package outing

import (
	"slices"
	"time"
)

// Fall is somebody's word that somebody fell in.
type Fall struct {
	At     time.Time `json:"at"`
	By     int64     `json:"by"`
	Name   string    `json:"name"`
	Unsure bool      `json:"unsure,omitempty"` // on which ledge they did not say, and this is not the only party out
}

// FellIn is that word. Whoever says it need not be of the party: a mate on the next ledge may have seen it.
type FellIn struct {
	By     int64
	Name   string
	Chat   int64 // where it was said: those who read there know
	Unsure bool
}

func (FellIn) event() {}

// fellInEvery is how soon the same person's word alarms anew: a frightened thumb taps more than once.
const fellInEvery = time.Minute

// fellIn tells those ashore and the mates at once, whatever the ladder says. What somebody had taken on was something else.
func (o Outing) fellIn(e FellIn, now time.Time) (Outing, []Effect, error) {
	if o.Closed() {
		return Outing{}, nil, ErrClosed
	}
	if slices.ContainsFunc(o.Falls, func(f Fall) bool { return f.By == e.By && now.Sub(f.At) < fellInEvery }) {
		return o, nil, nil
	}
	o.Falls = append(o.Falls, Fall{At: now, By: e.By, Name: e.Name, Unsure: e.Unsure})
	o.Heard = append(o.Heard, Heard{At: now, Who: e.Name, What: "fell_in"})
	o.Ack = nil
	to := slices.DeleteFunc(o.fellInHearing(), func(r Recipient) bool { return r.Chat == e.Chat })
	return o, o.tellFellIn(to, now), nil
}

// fellInHearing are all who hear of it: the mates, or the lone angler, and everybody ashore, those only held up among them.
func (o Outing) fellInHearing() []Recipient {
	to := o.mates()
	for _, c := range o.hearing() {
		to = append(to, c.recipient())
	}
	return to
}

// tellFellIn tells the newest word to these and notes it. Each telling has a number of its own.
func (o *Outing) tellFellIn(to []Recipient, now time.Time) []Effect {
	if len(to) == 0 || len(o.Falls) == 0 {
		return nil
	}
	last, n := o.lastFellIn()
	if n > 0 {
		n = last.N
	}
	t := Told{Rung: RungFellIn, For: o.BackBy, N: n + 1, At: now, To: to, Alert: true}
	var effects []Effect
	for _, r := range to {
		first := r.Role == RoleContact && !slices.ContainsFunc(o.alarmed(), func(x Recipient) bool { return x.Chat == r.Chat })
		effects = append(effects, Effect{Kind: SayFellIn, To: r, N: t.N, For: t.For, Who: o.Falls[len(o.Falls)-1].Name, Alert: true, WantOutcome: true, First: first})
	}
	o.Told = append(o.Told, t)
	return effects
}

// lastFellIn is the newest telling of a fall, and how many there were.
func (o Outing) lastFellIn() (last Told, n int) {
	for _, t := range o.Told {
		if t.Rung == RungFellIn {
			last, n = t, n+1
		}
	}
	return last, n
}

// fellInThere says whether a chat was told of a fall.
func (o Outing) fellInThere(chat int64) bool {
	return slices.ContainsFunc(o.Told, func(t Told) bool {
		return t.Rung == RungFellIn && slices.ContainsFunc(t.To, func(r Recipient) bool { return r.Chat == chat })
	})
}

// nextFellIn is when it is told again: like every alert until somebody takes it on, and after that again (I6). Once those
// ashore are alarmed because the party is late, that alert says it.
func (o Outing) nextFellIn() (at time.Time, ok bool) {
	last, n := o.lastFellIn()
	if _, _, late := o.nextRepeat(); n == 0 || late {
		return time.Time{}, false
	}
	every := o.Ladder.Repeat
	if last.N > slowAfter {
		every *= 3
	}
	at = last.At.Add(every)
	if o.Ack != nil && o.Ack.Until.After(at) {
		at = o.Ack.Until
	}
	return at, true
}

// fellInAgain is Tick's part of it.
func (o *Outing) fellInAgain(now time.Time) []Effect {
	at, ok := o.nextFellIn()
	if !ok || at.After(now) {
		return nil
	}
	ended := o.Ack
	o.Ack = nil
	again := o.tellFellIn(o.fellInHearing(), now)
	if ended != nil {
		for i := range again {
			again[i].AckBy, again[i].AckAt = ended.Name, ended.At
		}
	}
	return again
}

// LastFall is the newest word that somebody fell in.
func (o Outing) LastFall() (Fall, bool) {
	if len(o.Falls) == 0 {
		return Fall{}, false
	}
	return o.Falls[len(o.Falls)-1], true
}
