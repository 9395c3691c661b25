package wording

import (
	"strings"
	"unicode"
)

// What people call themselves and their ledges is read by others in a hurry: nothing may stand in it that is not seen,
// that moves what stands around it, or that a thumb sets off.

// mostMarks is how many combining marks one letter may carry. Vietnamese and pointed Hebrew need two, Thai and Tibetan
// three (from memory); a pile of thirty runs over the lines above and below.
const mostMarks = 3

// blank is the empty Braille pattern, a symbol that shows nothing. What else shows nothing has a property for it.
const blank = '\u2800'

// joiners are seen in what they join: emoji, and the letters of scripts that join theirs. Between Latin letters they
// are not, and would make two equal-looking names of one.
const zwnj, zwj = '\u200c', '\u200d'

// seen is a text on one line with all that is not seen taken out: controls, formats (bidirectional ones, zero widths,
// soft hyphens, tags) and private code points (Unicode general category C), fillers (Other_Default_Ignorable_Code_Point),
// selectors of another form of a letter, and marks beyond mostMarks on it. Code points that our tables do not know are
// left: most are newer emoji.
func seen(s string) string {
	var out []rune
	marks, join := 0, rune(0)
	for _, r := range strings.Join(strings.Fields(s), " ") {
		switch {
		case r == zwj || r == zwnj:
			if len(out) > 0 && joins(out[len(out)-1]) {
				join = r
			}
			continue
		case r == blank || unicode.In(r, unicode.C, unicode.Other_Default_Ignorable_Code_Point):
			continue
		case unicode.Is(unicode.Variation_Selector, r) && (len(out) == 0 || unicode.In(out[len(out)-1], unicode.L, unicode.M)):
			continue
		case unicode.In(r, unicode.M):
			if marks++; marks > mostMarks {
				continue
			}
		default:
			marks = 0
		}
		if join != 0 && joins(r) {
			out = append(out, join)
		}
		out, join = append(out, r), 0
	}
	return strings.Join(strings.Fields(string(out)), " ") // what stood between two spaces may be gone
}

// joins says whether a joiner beside this rune is seen.
func joins(r rune) bool {
	return r >= 0x0590 && !unicode.In(r, unicode.Latin, unicode.Greek, unicode.Cyrillic, unicode.Z, unicode.P)
}

// unarmed takes commands out of a name: Telegram makes a "/off" wherever it stands a thing to tap, and the one who
// taps it would say that they are off. The slash becomes a DIVISION SLASH, which looks the same and does nothing.
func unarmed(s string) string {
	if !strings.Contains(s, "/") {
		return s
	}
	rs := []rune(s)
	for i, r := range rs {
		if r == '/' && (i == 0 || !wordy(rs[i-1])) && i+1 < len(rs) && wordy(rs[i+1]) {
			rs[i] = '\u2215'
		}
	}
	return string(rs)
}

func wordy(r rune) bool { return r == '_' || unicode.IsLetter(r) || unicode.IsDigit(r) }
