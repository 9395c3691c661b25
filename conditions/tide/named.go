package tide

import (
	"sort"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// foldedNames are the station names made ready for searching, built at the first search.
var foldedNames = sync.OnceValue(func() []string {
	c := stations()
	out := make([]string, c.count)
	for i := range out {
		out[i] = fold(c.text(c.record(i), 5))
	}
	return out
})

// How well a name fits what was typed, best first.
const (
	whole    = iota // the name itself
	startsAs        // the name begins with it
	wordAs          // a word in the name begins with it
	contains
	scattered // every word typed begins a word of the name, in any order
	unlike
)

// Named lists up to n stations by place name, best fit first: the whole name, its beginning, the beginning of a word in it,
// any part of it, then all words in any order. Less than three letters must be the whole name. Case, accents and punctuation do not count. Among equals, stations with
// constants of their own come first, then shorter names.
func Named(q string, n int) []Station {
	want := fold(q)
	if want == "" || n <= 0 {
		return nil
	}
	words := strings.Fields(want)
	type found struct{ fit, i int }
	var all []found
	for i, name := range foldedNames() {
		if fit := fits(name, want, words); fit < unlike {
			all = append(all, found{fit, i})
		}
	}
	c := stations()
	weight := func(f found) [3]int {
		r := c.record(f.i)
		return [3]int{f.fit, min(int(r[24]), 1), len(foldedNames()[f.i])}
	}
	sort.SliceStable(all, func(a, b int) bool {
		x, y := weight(all[a]), weight(all[b])
		for k := range x {
			if x[k] != y[k] {
				return x[k] < y[k]
			}
		}
		return all[a].i < all[b].i
	})
	out := make([]Station, 0, min(n, len(all)))
	for _, f := range all[:min(n, len(all))] {
		out = append(out, c.station(f.i))
	}
	return out
}

func fits(name, want string, words []string) int {
	switch {
	case name == want:
		return whole
	case len(want) < 3: // "hi" is no Hilo
		return unlike
	case strings.HasPrefix(name, want):
		return startsAs
	case strings.Contains(name, " "+want):
		return wordAs
	case strings.Contains(name, want):
		return contains
	case len(words) > 1:
		padded := " " + name
		for _, w := range words {
			if !strings.Contains(padded, " "+w) {
				return unlike
			}
		}
		return scattered
	}
	return unlike
}

// Letters that decompose into no base letter.
var plainLetters = map[rune]string{
	'ø': "o", 'æ': "ae", 'œ': "oe", 'ß': "ss", 'ł': "l", 'đ': "d", 'ð': "d", 'þ': "th", 'ı': "i", 'ŋ': "n", 'ʻ': "", '’': "", '\'': "", 'ʼ': "",
}

// fold makes names comparable: lower case, no accents, words of letters and digits parted by one space.
func fold(s string) string {
	var b strings.Builder
	gap := false
	for _, r := range norm.NFKD.String(strings.ToLower(s)) {
		plain, special := plainLetters[r]
		switch {
		case unicode.Is(unicode.Mn, r):
		case special, unicode.IsLetter(r), unicode.IsDigit(r):
			if special && plain == "" {
				continue
			}
			if gap && b.Len() > 0 {
				b.WriteByte(' ')
			}
			gap = false
			if special {
				b.WriteString(plain)
			} else {
				b.WriteRune(unicode.ToLower(r))
			}
		default:
			gap = true
		}
	}
	return b.String()
}
