// Package tally is what a crew caught over time: bests, a season, the log of a ledge, and rates with what may honestly be said of
// them. It is pure. The trip is the unit, not the fish: twelve fish of one trip are one event. A blank counts like any other trip;
// a trip of which nobody said for how long how many rods fished is counted, and is in no rate.
//
// It knows no moon, no best hour and no forecast of bites, it gives no score and puts nobody in an order: one crew's log cannot
// carry any of that.
package tally

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"time"

	"ledgehand/session/catch"
)

// Stay is when and how the party of an outing was on its ledge.
type Stay struct {
	From, To time.Time
	Open     bool    // they are there still: the trip is not complete
	Making   float64 // how much of it the tide made, 0 to 1; negative: cannot be told
	Lit      float64 // how much of it was day or twilight, as Making
}

// Trip is one outing, or one day on one ledge where no outing was opened, with all that was noted of it.
type Trip struct {
	Key     string // the outing, or the day and the ledge
	Outing  string
	Date    string // YYYY-MM-DD of the crew's zone, of its first line
	Ledge   string // "": nobody said
	At      time.Time
	Stay    *Stay         // nil: no outing
	Entries []catch.Entry // that stand, as written
	Sum
}

// Sum is what lines come to. Fish are Kept, Released and Unsaid together.
type Sum struct {
	Fish, Kept, Released, Unsaid int

	RodMin  int // rods x minutes, of those who said
	Rated   int // fish of those who said
	Unrated int // people who did not say
}

// RodHours is the effort that is known.
func (s Sum) RodHours() float64 { return float64(s.RodMin) / 60 }

// Blank says whether a trip ended without a fish: every line says so.
func (t Trip) Blank() bool { return t.Fish == 0 && len(t.Entries) > 0 }

// Complete says whether a trip is over.
func (t Trip) Complete() bool { return t.Stay == nil || !t.Stay.Open }

// Counts says whether a trip can be in a rate, and what it adds: it is over, and some of its people said their effort. Fish of the
// others are left out with their hours.
func (t Trip) Counts() (Effort, bool) {
	return Effort{Fish: t.Rated, Hours: t.RodHours()}, t.Complete() && t.RodMin > 0
}

// Trips sorts what was noted into trips, oldest first. Lines that were taken back are in none. What a trip is of whose outing is
// not in stays is complete.
func Trips(days []catch.Day, stays map[string]Stay) []Trip {
	at := map[string]int{}
	var out []Trip
	for _, d := range days {
		for _, e := range d.Entries {
			if !e.Stands() {
				continue
			}
			key := "outing/" + e.Outing
			if e.Outing == "" {
				key = "day/" + d.Date + "/" + strings.ToLower(e.Ledge)
			}
			i, known := at[key]
			if !known {
				i = len(out)
				at[key] = i
				t := Trip{Key: key, Outing: e.Outing, Date: d.Date, Ledge: e.Ledge, At: e.At}
				if s, ok := stays[e.Outing]; ok && e.Outing != "" {
					t.Stay = &s
				}
				out = append(out, t)
			}
			t := &out[i]
			if e.At.Before(t.At) {
				t.At, t.Date = e.At, d.Date
			}
			t.Entries = append(t.Entries, e)
		}
	}
	for i := range out {
		t := &out[i]
		slices.SortStableFunc(t.Entries, func(a, b catch.Entry) int { return a.At.Compare(b.At) })
		t.Sum = sum(t.Entries)
	}
	slices.SortStableFunc(out, func(a, b Trip) int { return cmp.Or(a.At.Compare(b.At), strings.Compare(a.Key, b.Key)) })
	return out
}

// Of is a trip as far as one person goes; ok is false when nothing of it is theirs.
func (t Trip) Of(id int64) (Trip, bool) {
	t.Entries = slices.DeleteFunc(slices.Clone(t.Entries), func(e catch.Entry) bool { return e.WhoID != id || id == 0 })
	t.Sum = sum(t.Entries)
	return t, len(t.Entries) > 0
}

// All keeps the trips of which something is theirs, reduced to them.
func All(trips []Trip, id int64) (out []Trip) {
	for _, t := range trips {
		if x, ok := t.Of(id); ok {
			out = append(out, x)
		}
	}
	return out
}

// Fate splits the fish of a line: what was not said is neither kept nor let go.
func Fate(e catch.Entry) (kept, released, unsaid int) {
	switch {
	case e.Blank:
	case e.Kept != nil:
		kept = min(max(*e.Kept, 0), e.Count)
		released = e.Count - kept
	case e.Released != nil:
		released = min(max(*e.Released, 0), e.Count)
		unsaid = e.Count - released
	default:
		unsaid = e.Count
	}
	return kept, released, unsaid
}

// who tells people apart: by their number, or by name where they have none.
func who(e catch.Entry) string {
	if e.WhoID != 0 {
		return "#" + strconv.FormatInt(e.WhoID, 10)
	}
	return strings.ToLower(e.Who)
}

func sum(entries []catch.Entry) (s Sum) {
	of := map[string][]catch.Entry{}
	for _, e := range entries {
		kept, released, unsaid := Fate(e)
		s.Kept, s.Released, s.Unsaid = s.Kept+kept, s.Released+released, s.Unsaid+unsaid
		of[who(e)] = append(of[who(e)], e)
	}
	s.Fish = s.Kept + s.Released + s.Unsaid
	for _, theirs := range of {
		m := effort(theirs)
		if m == 0 {
			s.Unrated++
			continue
		}
		s.RodMin += m
		for _, e := range theirs {
			kept, released, unsaid := Fate(e)
			s.Rated += kept + released + unsaid
		}
	}
	return s
}

// effort is for how many rod-minutes one person fished in a trip, of what their lines say, oldest first; 0: none says. The lines of one
// message share what it says. A later line adds to the ones before where its time fits after them; where it does not, it tells the whole
// so far, and the larger figure stands.
func effort(theirs []catch.Entry) (total int) {
	var last time.Time
	said := ""
	for _, e := range theirs {
		message, _, _ := strings.Cut(e.ID, "-")
		if e.RodMin <= 0 || message == said && message != "" {
			continue
		}
		said = message
		lasted := time.Duration(e.RodMin) * time.Minute / time.Duration(max(e.Rods, 1))
		if total > 0 && e.At.Sub(last) < lasted {
			total = max(total, e.RodMin)
		} else {
			total += e.RodMin
		}
		last = e.At
	}
	return total
}
