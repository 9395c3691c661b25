package ledge

import (
	"encoding"
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"ledgehand/conditions/measure"
	"ledgehand/conditions/wave"
)

// FieldError is one thing wrong with a card. It carries no position and no text of the card.
type FieldError struct {
	Field     string  // name as stored, e.g. "lip_m"
	Fault     Fault   //
	Low, High float64 // with OutOfRange
}

// Fault is what is wrong.
type Fault string

// The faults.
const (
	Missing      Fault = "missing"
	OutOfRange   Fault = "out of range"
	NotAPlace    Fault = "not a place on Earth"
	UnknownWord  Fault = "unknown word"
	BadText      Fault = "bad text" // empty, too long, or with control characters
	Repeated     Fault = "repeated"
	ShutFromSea  Fault = "shut from the sea" // no direction is both open and in front of the face
	NeedsAnother Fault = "needs another"     // a height without how it was measured, and the like
)

func (e *FieldError) Error() string {
	if e.Fault == OutOfRange {
		return fmt.Sprintf("ledge card: %s: outside %v to %v", e.Field, e.Low, e.High)
	}
	return fmt.Sprintf("ledge card: %s: %s", e.Field, e.Fault)
}

// longestText is room enough for any field of a card; a whole Telegram message ends at 4096.
const longestText = 500

// longestName keeps names usable on buttons.
const longestName = 40

// Check names everything that is wrong with what the card says, as joined FieldErrors. It does not
// ask for completeness: a card may start with a name. See Face for what the wash chain needs.
func (c Card) Check() error {
	var f faults
	c.checkNames(&f)
	f.position("exact", c.Exact)
	f.position("sea_anchor", c.SeaAnchor)
	c.checkShape(&f)
	c.checkPlace(&f)
	c.checkLimits(&f)
	return errors.Join(f...)
}

func (c Card) checkNames(f *faults) {
	seen := map[string]bool{}
	for i, n := range append([]string{c.Name}, c.Aliases...) {
		field := "aliases"
		if i == 0 {
			field = "name"
		}
		key := strings.ToLower(strings.TrimSpace(n))
		switch {
		case key == "":
			f.add(field, Missing)
		case seen[key]:
			f.add(field, Repeated)
		}
		f.text(field, n, longestName)
		seen[key] = true
	}
}

// checkShape looks at the numbers the wash chain lives on.
func (c Card) checkShape(f *faults) {
	if c.LipHeight != nil {
		f.within("lip_m", float64(*c.LipHeight), -5, 100)
		if c.LipMeasured == "" {
			f.add("lip_measured", NeedsAnother)
		}
		if c.TideStation == "" {
			f.add("tide_station", NeedsAnother) // else a height above nothing
		}
	}
	if c.FootDepth != nil {
		f.within("foot_depth_m", float64(*c.FootDepth), -20, 500)
	}
	if c.Faces != nil {
		f.within("faces", float64(*c.Faces), 0, 360)
	}
	if s := c.OpenSector; s != nil {
		f.within("open_sector", float64(s[0]), 0, 360)
		f.within("open_sector", float64(s[1]), 0, 360)
		if s[0] == s[1] || c.Faces != nil && wave.Exposure(*c.Faces, wave.WindSeaSpread, *c.Faces, *s) == 0 {
			f.add("open_sector", ShutFromSea)
		}
	}
	if c.FaceSlope != nil {
		f.within("cot_alpha", *c.FaceSlope, 0, 20)
	}
	if c.Roughness != 0 {
		f.within("gamma_f", c.Roughness, 0.3, 1)
	}
	f.within("walk_min", float64(c.WalkMinutes), 0, 600)
	if c.WalkInGate != nil {
		f.within("walk_in_gate_m", float64(*c.WalkInGate), -10, 30)
	}
	f.word("lip_measured", string(c.LipMeasured), new(HowMeasured))
}

// checkPlace looks at what people read.
func (c Card) checkPlace(f *faults) {
	if c.RescueRing != nil {
		f.text("rescue_ring", c.RescueRing.Where, longestText)
		if strings.TrimSpace(c.RescueRing.Where) == "" {
			f.add("rescue_ring", Missing)
		}
	}
	for _, w := range c.WaysOut {
		f.text("ways_out", w, longestText)
	}
	f.text("land_fish", c.LandFish, longestText)
	f.text("parking", c.Parking, longestText)
	f.text("access", c.Access, longestText)
	f.text("datum", c.Datum, longestName)
	f.text("tide_station", c.TideStation, longestName)
	f.text("emergency", c.Emergency.AskFor, longestText)
	const digits = "0123456789"
	if n := c.Emergency.Number; n != "" && (strings.Trim(n, digits+" +") != "" || len(n) > 20 || !strings.ContainsAny(n, digits)) {
		f.add("emergency", BadText)
	}
	f.text("zone", c.Zone, longestName)
	if c.Zone == "Local" { // the zone of whatever machine runs this
		f.add("zone", UnknownWord)
	}
	if c.Capacity != 0 {
		f.within("capacity", float64(c.Capacity), 1, 100)
	}
	f.word("signal", string(c.Signal), new(Signal))
	f.word("lifejacket_by_law", string(c.Rules.LifejacketByLaw), new(Answer))
	f.word("ground_bait", string(c.Rules.GroundBait), new(Answer))
}

func (c Card) checkLimits(f *faults) {
	l := c.Limits
	if l.Hs != nil {
		f.within("limits.hs_m", float64(*l.Hs), 0.1, 20)
	}
	if l.Period != nil {
		f.within("limits.period_s", float64(*l.Period), 1, 30)
	}
	if l.Gust != nil {
		f.within("limits.gust_ms", float64(*l.Gust), 1, 100)
	}
	if l.WashChance != nil {
		f.within("limits.wash_chance", *l.WashChance, 0, 1)
	}
	some := l.Hs != nil || l.Period != nil || l.Gust != nil || l.WashChance != nil
	if some && (l.SetBy == "" || l.SetAt.IsZero()) { // a limit is somebody's word, of some day
		f.add("limits", NeedsAnother)
	}
	f.text("limits", l.SetBy, longestName)
}

// faults collects what is wrong.
type faults []error

func (f *faults) add(field string, what Fault) {
	*f = append(*f, &FieldError{Field: field, Fault: what})
}

func (f *faults) within(field string, v, low, high float64) {
	if !(v >= low && v <= high) { // NaN is outside
		*f = append(*f, &FieldError{Field: field, Fault: OutOfRange, Low: low, High: high})
	}
}

// position never quotes what it was given: errors end up in logs, and half a position, or one
// with its halves swapped, is still a place.
func (f *faults) position(field string, p *measure.Position) {
	if p != nil && p.Check() != nil {
		f.add(field, NotAPlace)
	}
}

func (f *faults) text(field, s string, longest int) {
	if utf8.RuneCountInString(s) > longest || !utf8.ValidString(s) || strings.ContainsFunc(s, unicode.IsControl) {
		f.add(field, BadText)
	}
}

// word reports a stored word its type does not know; unsaid is fine.
func (f *faults) word(field, said string, into encoding.TextUnmarshaler) {
	if said != "" && into.UnmarshalText([]byte(said)) != nil {
		f.add(field, UnknownWord)
	}
}
