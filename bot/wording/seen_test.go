package wording

import (
	"strings"
	"testing"
)

// The code points by their names in the Unicode character database.
func TestCleanLeavesWhatIsSeen(t *testing.T) {
	for _, c := range []struct{ what, in, want string }{
		{"plain", "Ana Okafor", "Ana Okafor"},
		{"accents", "Zoë Núñez", "Zoë Núñez"},
		{"accents put on afterwards", "Zoe\u0308", "Zoe\u0308"},
		{"lines and spaces", "a\r\nb\u2028c\u2029 d\u00a0e\u0085f", "a b c d e f"},
		{"RIGHT-TO-LEFT OVERRIDE, isolates, marks", "\u202eana\u202c \u2066b\u2069\u200f\u061c", "ana b"},
		{"ZERO WIDTH SPACE, WORD JOINER, ZERO WIDTH NO-BREAK SPACE, SOFT HYPHEN", "A\u200bn\u2060a\ufeff\u00ad", "Ana"},
		{"a joiner between Latin letters", "A\u200dn\u200ca", "Ana"},
		{"a joiner in a family", "👨\u200d👩\u200d👧", "👨\u200d👩\u200d👧"},
		{"a joiner at the end", "👨\u200d", "👨"},
		{"ZERO WIDTH NON-JOINER in Persian", "می\u200cخواهم", "می\u200cخواهم"},
		{"tags", "Ana\U000e0041\U000e007f", "Ana"},
		{"controls of C0 and C1", "A\x00n\x1ba\u0090", "Ana"},
		{"HANGUL FILLER, BRAILLE PATTERN BLANK, COMBINING GRAPHEME JOINER", "\u3164\uffa0\u2800A\u034fna", "Ana"},
		{"private use", "Ana\ue000", "Ana"},
		{"a selector after a letter", "A\ufe0fna\U000e0100", "Ana"},
		{"a selector of the emoji form", "❤\ufe0f", "❤\ufe0f"},
		{"a tower of marks", "A" + strings.Repeat("\u0301", 30) + "na", "A" + strings.Repeat("\u0301", mostMarks) + "na"},
		{"nothing but what is not seen", "\u200b\u2060 \u202e", ""},
		{"a command", "/off", "∕off"},
		{"a command inside", "Ana /off@SomeBot now", "Ana ∕off@SomeBot now"},
		{"a slash in a word", "America/New_York, 5/6, a / b", "America/New_York, 5/6, a / b"},
	} {
		if got := Clean(c.in, 100); got != c.want {
			t.Errorf("%s: Clean(%q) = %q, want %q", c.what, c.in, got, c.want)
		}
	}
	if got := Clean(strings.Repeat("🎣", 64), 40); got != strings.Repeat("🎣", 40) {
		t.Errorf("Clean(64 emoji, 40) = %q", got)
	}
}

// Every script written from right to left is kept from turning its line around (Unicode UAX #9: classes R and AL).
func TestEveryRightToLeftScriptIsIsolated(t *testing.T) {
	for script, name := range map[string]string{"Hebrew": "עדי", "Arabic": "محمد", "Adlam": "𞤀𞤣𞤤𞤢𞤥", "Mandaic": "ࡌࡀࡍࡃࡀ", "Hanifi Rohingya": "𐴌𐴟", "Samaritan": "ࠔࠌࠓ"} {
		if got := escape(name); got != "\u2068"+name+"\u2069" {
			t.Errorf("%s: %q, want it isolated", script, got)
		}
	}
	if got := escape("Ана"); got != "Ана" {
		t.Errorf("Cyrillic: %q, want it as it is", got)
	}
}
