package names

import (
	"slices"
	"strings"
	"sync"
	"unicode/utf8"
)

// Near returns the species a word most likely means that Find does not know in an area. sure says
// whether it may be taken as that without asking: one species, and the word is its name with an
// ending of another kind ("kingy"), cut short ("lud") or with one slip ("snaper"). Whatever is
// not sure is a question; a name of another coast is never sure, for half of those are another fish here.
func Near(word, area string) (found []Species, sure bool) {
	w := Fold(word)
	n := utf8.RuneCountInString(w)
	if n < 3 {
		return nil, false
	}
	for _, form := range endings(w) {
		if found := find(form, area); len(found) > 0 {
			return found, len(found) == 1
		}
	}
	t := load()
	regions := Regions(area)
	known := func(fits func(name spelt) bool) (found []Species) {
		for _, name := range spellings() {
			if !fits(name) {
				continue
			}
			for _, u := range t.uses[name.name] {
				if s := t.species[u.species]; slices.Contains(regions, u.region) && !slices.Contains(found, s) {
					found = append(found, s)
				}
			}
		}
		slices.SortFunc(found, func(a, b Species) int { return t.byID[a.ID] - t.byID[b.ID] })
		return found
	}
	slips := func(most int) func(spelt) bool {
		return func(x spelt) bool {
			d := x.letters - n
			return d <= most && -d <= most && Slips(w, x.name) <= most
		}
	}
	// "Snaper", "luderik": one slip in five letters or more, two in eight or more.
	most := 1
	if n >= 8 {
		most = 2
	}
	if n >= 5 {
		if found := known(slips(most)); len(found) > 0 {
			return found, len(found) == 1
		}
	}
	// "Lud", "snap": the beginning of one fish's names and of no other's.
	if found := known(func(x spelt) bool { return strings.HasPrefix(x.name, w) && !strings.Contains(x.name, " ") }); len(found) > 0 && n <= 6 {
		return found, len(found) == 1
	}
	own, two := bones(w), slips(2)
	if found := known(func(x spelt) bool {
		return n >= 5 && two(x) || x.bones == w || n > 3 && x.bones == own && len(own) > 2
	}); len(found) > 0 {
		return found, false
	}
	for _, form := range append(endings(w), w) {
		for _, u := range t.uses[form] {
			if s := t.species[u.species]; !slices.Contains(found, s) {
				found = append(found, s)
			}
		}
	}
	return found, false
}

// spelt is a name with what it is compared by.
type spelt struct {
	name, bones string
	letters     int
}

// spellings are all names, worked out once.
var spellings = sync.OnceValue(func() (out []spelt) {
	for name := range load().uses {
		out = append(out, spelt{name, bones(name), utf8.RuneCountInString(name)})
	}
	return out
})

// endings are a name's other forms: the endings that anglers put on short names, and one more or less "s".
func endings(w string) []string {
	stem := strings.TrimSuffix(w, "s")
	out := []string{w + "s", stem + "ie", stem + "ies", stem + "y"}
	for _, end := range []string{"ie", "ies", "y", "ey", "o"} {
		if s, ok := strings.CutSuffix(w, end); ok && utf8.RuneCountInString(s) >= 3 {
			out = append(out, s, s+"ie", s+"ies", s+"y", s+"s")
		}
	}
	return out
}

// bones are the consonants of a word: "brm".
func bones(w string) string {
	return strings.Map(func(r rune) rune {
		if strings.ContainsRune("aeiou", r) {
			return -1
		}
		return r
	}, w)
}
