package after

import (
	"slices"
	"time"
)

// Ring answers whether the rescue ring of a ledge still hangs there.
type Ring string

// The answers; "" is none.
const (
	RingThere  Ring = "there"
	RingGone   Ring = "gone"
	RingUnseen Ring = "unseen" // did not look
)

// AnswerRing takes that answer of somebody who was asked.
func (r Report) AnswerRing(by int64, ring Ring, now time.Time) (Report, error) {
	if !r.Ring || r.Asked.IsZero() || !now.Before(r.Asked.Add(Answers)) {
		return Report{}, ErrOver
	}
	i := slices.IndexFunc(r.People, func(p Person) bool { return p.ID == by })
	if i < 0 {
		return Report{}, ErrNotThere
	}
	r.People = slices.Clone(r.People)
	r.People[i].Ring, r.People[i].At = ring, now
	return r, nil
}
