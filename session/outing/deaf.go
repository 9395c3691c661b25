package outing

import (
	"slices"
	"time"
)

// Deaf is a time in which we may have missed what people said: the bot, its store or the chat service was down.
type Deaf struct {
	From time.Time `json:"from"`
	To   time.Time `json:"to"`
	For  time.Time `json:"for,omitzero"` // the back-by time when it was told
}

// WasDeaf says that from From to To taps were lost, and longer ago typed lines too.
type WasDeaf struct{ From, To time.Time }

func (WasDeaf) event() {}

// askedAgain is how long those who may have answered in vain get to answer again before others are alarmed. common practice, no
// source; an alert that is out already is not held back.
const askedAgain = 5 * time.Minute

// deaf tells the party of it. Past the back-by time everybody still out is asked again, and those ashore hear why nothing was heard.
func (o Outing) deaf(e WasDeaf, now time.Time) (Outing, []Effect, error) {
	d := Deaf{From: e.From, To: e.To, For: o.BackBy}
	if o.Closed() || !d.To.After(d.From) || d.To.Before(o.OpenedAt) || slices.ContainsFunc(o.Deaf, func(x Deaf) bool { return !x.To.Before(d.To) }) {
		return o, nil, nil
	}
	o.Deaf = append(slices.Clone(o.Deaf), d)
	late := !now.Before(o.BackBy)
	if late && !o.told(RungContact, 0) && !o.AskedAgain.After(o.BackBy) { // once for a back-by time: what keeps failing must not put alerts off for ever
		o.AskedAgain = now.Add(askedAgain)
	}
	var effects []Effect
	say := func(to Recipient) {
		if slices.ContainsFunc(effects, func(x Effect) bool { return x.To.Chat == to.Chat }) {
			return
		}
		effects = append(effects, Effect{Kind: SayDeaf, To: to, N: len(o.Deaf), For: o.BackBy, Alert: late, Deaf: d})
	}
	say(o.party())
	if !late {
		return o, effects, nil
	}
	for _, m := range o.StillOut() {
		say(Recipient{Role: RoleAngler, Chat: o.chatOf(m), ID: m.ID, Name: m.Name})
	}
	for _, c := range o.Reachable() {
		say(c.recipient())
	}
	return o, effects, nil
}
