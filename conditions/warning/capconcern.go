package warning

import (
	"strings"
	"unicode"

	"ledgehand/conditions"
)

// concern is the gravest that anything in any language of a hazard makes of it: the name of
// the event, its codes, and the levels of the European services. A name in a language we do
// not read, with nothing beside it that we do, is amber: it may be the sea.
func (h hazard) concern() conditions.Concern {
	c, read, green := conditions.Note, false, len(h.blocks) > 0
	for _, b := range h.blocks {
		e, ok := classifyEvent(b)
		c, read = graver(c, e), read || ok
		level, kind := b.awareness()
		if level > 0 && kind > 0 {
			read = true
			c = graver(c, classifyAwareness(level, kind))
		}
		green = green && level == 1
	}
	switch {
	case green: // the sender says that there is nothing to be aware of
		return conditions.Note
	case !read:
		return graver(c, conditions.Amber)
	}
	return c
}

// classifyEvent judges by name and codes. ok says that we could read the name.
func classifyEvent(b Info) (c conditions.Concern, ok bool) {
	name := strings.ToLower(b.Event)
	c, inTable := Classify(b.Event)
	if !inTable && redCoast(name) {
		c = conditions.Red
	}
	for _, code := range b.Codes {
		if !strings.Contains(code.Value, "://") {
			k, _ := Classify(code.Value)
			c = graver(c, k)
		}
	}
	if inTable {
		return c, true
	}
	if nameless(name) { // "Weather warning": the headline may say of what
		k, headlined := Classify(b.Headline)
		return graver(c, k), headlined || k != conditions.Note
	}
	foreign := !strings.EqualFold(primary(b.Language), "en") ||
		strings.IndexFunc(b.Event, func(r rune) bool { return r > unicode.MaxASCII && unicode.IsLetter(r) }) >= 0
	return c, !foreign
}

// redCoast knows the gravest of the three levels the European services put into their names.
func redCoast(name string) bool {
	if !hasWord(name, "coast") {
		return false
	}
	for _, w := range strings.Fields(name) {
		if w == "red" || w == "extreme" {
			return true
		}
	}
	return false
}

// nameless says that a name has only words any warning has.
func nameless(name string) bool {
	for _, w := range strings.FieldsFunc(name, func(r rune) bool { return !unicode.IsLetter(r) }) {
		switch w {
		case "weather", "met", "meteorological", "severe", "extreme", "moderate", "minor", "red", "orange", "yellow", "amber",
			"warning", "warnings", "alert", "advisory", "watch", "statement", "notice", "bulletin", "update", "of", "for", "the":
		default:
			return false
		}
	}
	return true
}

// awareness reads the two parameters of the European services: a level from 1 (green) to 4
// (red), a type by number; zero if not given.
func (in Info) awareness() (level, kind int) {
	for _, p := range in.Parameters {
		n := 0
		for _, r := range strings.TrimSpace(p.Value) {
			if r < '0' || r > '9' || n > 99 {
				break
			}
			n = n*10 + int(r-'0')
		}
		switch strings.ToLower(p.Name) {
		case "awareness_level":
			level = n
		case "awareness_type":
			kind = n
		}
	}
	return level, kind
}

// classifyAwareness: orange and red of anything keep people off by default; red at the coast
// and red wind do so without more. Yellow sea, wind and thunder stay amber on a ledge: at
// yellow some coasts have waves of four metres. Our judgement (common practice, no source);
// the numbers of the types 1, 3 and 7 are as met in messages.
func classifyAwareness(level, kind int) conditions.Concern {
	const wind, thunder, coast = 1, 3, 7
	switch {
	case level == 1:
		return conditions.Note
	case level == 4 && (kind == wind || kind == coast):
		return conditions.Red
	case level >= 3 || kind == wind || kind == thunder || kind == coast:
		return conditions.Amber
	}
	return conditions.Note
}

func graver(a, b conditions.Concern) conditions.Concern {
	if rank(b) < rank(a) {
		return b
	}
	return a
}
