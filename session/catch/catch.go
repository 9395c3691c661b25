// Package catch keeps what was caught, and by whom, and the one-line rules that a crew types; package rules judges by them and by
// larger ones. It is pure.
package catch

import (
	"slices"
	"strings"
	"time"
)

// Version is the stored form.
const Version = 1

// Day is what one crew caught on one day of its own zone.
type Day struct {
	V       int     `json:"v"`
	Crew    string  `json:"crew"`
	Date    string  `json:"date"` // YYYY-MM-DD in the crew's zone
	Entries []Entry `json:"entries,omitempty"`
}

// Entry is one line of one person: fish of one kind, or a blank.
type Entry struct {
	ID        string    `json:"id"`
	At        time.Time `json:"at"`
	By        int64     `json:"by"`  // who wrote it
	Who       string    `json:"who"` // whose fish: a person's name
	WhoID     int64     `json:"who_id,omitempty"`
	Species   string    `json:"species,omitempty"` // as resolved; "" with Blank
	Named     string    `json:"named,omitempty"`   // as written
	Count     int       `json:"count,omitempty"`
	LengthsUM []int     `json:"lengths_um,omitempty"` // micrometres, so that inches stay exact; may be fewer than Count
	Estimated bool      `json:"estimated,omitempty"`
	Kept      *int      `json:"kept,omitempty"` // nil: not said, and never assumed
	Released  *int      `json:"released,omitempty"`
	Measure   string    `json:"measure,omitempty"`   // TL or FL as said; "": not said
	WeightsG  []float64 `json:"weights_g,omitempty"` // grams as weighed; may be fewer than Count
	Blank     bool      `json:"blank,omitempty"`
	Rods      int       `json:"rods,omitempty"`    // in the water, 0: not said
	RodMin    int       `json:"rod_min,omitempty"` // rods x minutes that lines were in, 0: not said
	Ledge     string    `json:"ledge,omitempty"`
	Outing    string    `json:"outing,omitempty"`
	Then      *Then     `json:"then,omitempty"` // tide, sea and light at the time; nil: not known
	Undone    time.Time `json:"undone,omitzero"`
}

// Add appends an entry unless one of the same id is there.
func (d Day) Add(e Entry) Day {
	if slices.ContainsFunc(d.Entries, func(x Entry) bool { return x.ID == e.ID }) {
		return d
	}
	d.V = Version
	d.Entries = append(slices.Clone(d.Entries), e)
	return d
}

// Undo marks an entry as never having been; ok says whether it was there, by the same writer, and not undone before.
func (d Day) Undo(id string, by int64, now time.Time) (Day, Entry, bool) {
	i := slices.IndexFunc(d.Entries, func(x Entry) bool { return x.ID == id })
	if i < 0 || d.Entries[i].By != by || !d.Entries[i].Undone.IsZero() {
		return d, Entry{}, false
	}
	d.Entries = slices.Clone(d.Entries)
	d.Entries[i].Undone = now
	return d, d.Entries[i], true
}

// Change puts an entry in the place of the one of the same id that stands.
func (d Day) Change(e Entry) Day {
	i := slices.IndexFunc(d.Entries, func(x Entry) bool { return x.ID == e.ID && x.Undone.IsZero() })
	if i < 0 {
		return d
	}
	d.Entries = slices.Clone(d.Entries)
	d.Entries[i] = e
	return d
}

// Last is the newest entry written by somebody that stands.
func (d Day) Last(by int64) (Entry, bool) {
	for i := len(d.Entries) - 1; i >= 0; i-- {
		if e := d.Entries[i]; e.By == by && e.Undone.IsZero() {
			return e, true
		}
	}
	return Entry{}, false
}

// KeptBy counts fish of a kind that somebody kept this day. Entries where keeping was not said count
// as unsure: they may be in the bag.
func (d Day) KeptBy(who string, species string) (kept, unsure int) {
	for _, e := range d.Entries {
		if !e.Undone.IsZero() || e.Blank || !strings.EqualFold(e.Who, who) || e.Species != species {
			continue
		}
		if e.Kept != nil {
			kept += *e.Kept
			continue
		}
		unsure += e.Count
		if e.Released != nil {
			unsure -= *e.Released
		}
	}
	return kept, unsure
}

// Rule is one size and bag rule as the crew typed it, with where it is from: the small stored form. It holds no seasons, areas
// or slots by licence: those are in packs (package rules).
type Rule struct {
	Species string    `json:"species"`          // resolved id, or the plain name
	Named   string    `json:"named"`            // as the crew calls it
	MinUM   int       `json:"min_um,omitempty"` // micrometres, 0: none
	MaxUM   int       `json:"max_um,omitempty"` // micrometres, 0: none
	Bag     *int      `json:"bag,omitempty"`    // a person a day, nil: none, 0: none may be kept
	Source  string    `json:"source,omitempty"`
	Checked time.Time `json:"checked"` // when somebody last compared it with the real rule
	By      string    `json:"by,omitempty"`
}

// Verdict is the answer of the rules held.
type Verdict string

// The three answers, and none else.
const (
	Allowed    Verdict = "allowed"
	NotAllowed Verdict = "not allowed"
	CannotTell Verdict = "cannot tell"
)
