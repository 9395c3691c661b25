// Package lookout is when to look again, by itself, at the sea of a trip that is planned or of an outing that is under way,
// and what of it was told already. It is pure: it asks no feed and says nothing.
package lookout

import (
	"slices"
	"time"
)

// Version is the stored form.
const Version = 1

// Kind says what is looked out for.
type Kind string

// The kinds.
const (
	Trip   Kind = "trip"
	Outing Kind = "outing"
	Tide   Kind = "tide"  // of an outing: the water stands otherwise than when it was watched
	After  Kind = "after" // of an outing: what the ledge did is asked of those who were there
	Gone   Kind = "gone"  // of a crew: we were put out of its group, and its things are to be removed
	Home   Kind = "home"  // of an outing: who is off the rocks and said when they would be home is not there yet

	Berley Kind = "berley" // of a trip: what is to be soaked or thawed the evening before
	Ladle  Kind = "ladle"  // of one of an outing, who asked for it: time for a little berley
)

// Lookout is one standing order to look.
type Lookout struct {
	V     int           `json:"v"`
	Kind  Kind          `json:"kind"`
	Of    string        `json:"of"` // id of the trip or outing
	At    []time.Time   `json:"at,omitempty"`
	Every time.Duration `json:"every,omitempty"`
	From  time.Time     `json:"from,omitzero"` // with Every: the next look
	Until time.Time     `json:"until"`
	Told  []string      `json:"told,omitempty"` // what was told, by the ids its source has for it

	Since   time.Time `json:"since,omitzero"`    // of a tide: what the water is compared with
	Watched bool      `json:"watched,omitempty"` // a watch ended then; else the outing began
}

// How often. An evening is when plans can still be changed at ease, two hours is before people set out: common practice, no
// source. Warning feeds are asked anew every ten minutes at most, so a look every quarter of an hour misses little.
const (
	Evening = 20 * time.Hour // on the day before, local
	Before  = 2 * time.Hour
	Round   = 15 * time.Minute
	// mostAfter ends the looks of an outing that never closes: alerts go on, the sea of that day is over.
	mostAfter = 24 * time.Hour
)

// ForTrip looks the evening before and two hours before the start, whichever of them are still to come.
func ForTrip(id string, start time.Time, zone *time.Location, now time.Time) Lookout {
	l := Lookout{V: Version, Kind: Trip, Of: id, Until: start}
	y, m, d := start.In(zone).Date()
	evening := time.Date(y, m, d-1, int(Evening.Hours()), 0, 0, 0, zone)
	for _, at := range []time.Time{evening.UTC(), start.Add(-Before).UTC()} {
		if at.After(now) {
			l.At = append(l.At, at)
		}
	}
	return l
}

// ForOuting looks every quarter of an hour from now on until well after the time to be back.
func ForOuting(id string, backBy, now time.Time) Lookout {
	return Lookout{V: Version, Kind: Outing, Of: id, Every: Round, From: now.Add(Round), Until: backBy.Add(mostAfter)}
}

// ID is the record's id within its crew.
func (l Lookout) ID() string { return string(l.Kind) + "." + l.Of }

// NextLook is the next instant to look; zero for never.
func (l Lookout) NextLook() time.Time {
	var next time.Time
	if l.Every > 0 {
		next = l.From
	} else if len(l.At) > 0 {
		next = l.At[0]
	}
	if next.After(l.Until) {
		return time.Time{}
	}
	return next
}

// Tick says whether it is time to look. Looks that were missed meanwhile are one.
func (l Lookout) Tick(now time.Time) (next Lookout, look bool) {
	at := l.NextLook()
	if at.IsZero() || at.After(now) {
		return l, false
	}
	if l.Every > 0 {
		l.From = now.Add(l.Every)
		return l, true
	}
	l.At = slices.DeleteFunc(slices.Clone(l.At), func(t time.Time) bool { return !t.After(now) })
	return l, true
}

// Ended is the order with nothing to look at any more.
func (l Lookout) Ended() Lookout {
	l.At, l.Every, l.From = nil, 0, time.Time{}
	return l
}

// mostTold bounds what is remembered of what is over.
const mostTold = 64

// News notes ids as told and gives back those that are new. What is in force is never forgotten, however much that is: it would
// be told again at every look.
func (l Lookout) News(ids []string) (next Lookout, fresh []string) {
	l.Told = slices.Clone(l.Told)
	for _, id := range ids {
		if !slices.Contains(l.Told, id) {
			fresh = append(fresh, id)
			l.Told = append(l.Told, id)
		}
	}
	over := len(l.Told) - max(mostTold, len(ids))
	l.Told = slices.DeleteFunc(l.Told, func(id string) bool {
		if over <= 0 || slices.Contains(ids, id) {
			return false
		}
		over--
		return true
	})
	return l, fresh
}
