package rules

import (
	"fmt"
	"time"

	"ledgehand/session/catch"
	"ledgehand/session/catch/names"
)

// ownPlace is the jurisdiction of what a crew typed: wherever it fishes.
const ownPlace = "own"

// FromLines makes a pack of the rules a crew typed with /rule, so that one engine judges by all.
func FromLines(lines []catch.Rule) Held {
	p := &Pack{Format: Format, ID: ownPlace, Jurisdiction: ownPlace}
	for i, l := range lines {
		r := &Rule{ID: fmt.Sprintf("line-%d", i+1), Name: l.Named, Named: []string{l.Species, l.Named}}
		if s, ok := names.ByID(l.Species); ok {
			r.Species, r.Named = []string{s.Scientific}, nil
		}
		if l.MinUM > 0 {
			r.Min = &Length{UM: l.MinUM}
		}
		if l.MaxUM > 0 {
			r.Max = &Length{UM: l.MaxUM}
		}
		if l.Bag != nil {
			r.Bag = &Bag{Amount: Amount{N: Number{int64(*l.Bag) * 1000}, Unit: "fish"}, Per: "person", Period: Day}
		}
		r.Source, r.CheckedOn, r.Provenance = l.Source, Date{l.Checked}, OwnWord
		p.Rules = append(p.Rules, r)
	}
	return Held{Pack: p}
}

// StaleAt says whether words were last checked too long ago to answer by.
func (s Stated) StaleAt(now time.Time) bool {
	return s.CheckedOn.IsZero() || now.Sub(s.CheckedOn.Time) > Stale
}
