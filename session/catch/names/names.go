// Package names knows which fish a name means where: regional and foreign names, slang and
// misspellings of 155 species that are caught from ocean rocks.
//
// A name is looked up in the region of the group's area first; only if the region does not know
// it do the names used anywhere count. Several species may remain: that is a question for the
// angler, not for this package. It does not model seasons, ranges within a region (but for the
// few rows of local.csv), invertebrates, or names from a region that is not the group's: those
// are unknown, because half of them are another fish at home.
//
// The tables come from general knowledge of usage, not from one source; testdata/README.md says more.
package names

import (
	_ "embed" // the tables
	"slices"
	"strings"
	"sync"
)

// Species is one fish.
type Species struct {
	ID         string // stable: "girella_elevata"
	Scientific string // "Girella elevata"
	Canonical  string // the name to show: "rock blackfish"
}

//go:embed species.csv
var speciesCSV string

//go:embed names.csv
var namesCSV string

// localCSV decides, for one state or country, between species that share a name in the whole region:
// the one ordinarily caught from ocean rocks there (common practice, no source).
//
//go:embed local.csv
var localCSV string

type use struct {
	species   int // index into table.species
	region    string
	inputOnly bool
}

type table struct {
	species []Species
	byID    map[string]int
	uses    map[string][]use // by folded name
	local   map[string]int   // by folded name + "|" + area
}

// The tables are read once, at the first question.
var load = sync.OnceValue(func() *table {
	t := &table{byID: map[string]int{}, uses: map[string][]use{}, local: map[string]int{}}
	for row := range rows(speciesCSV) {
		t.byID[row[0]] = len(t.species)
		t.species = append(t.species, Species{ID: row[0], Scientific: row[1], Canonical: row[2]})
		t.uses[Fold(row[1])] = append(t.uses[Fold(row[1])], use{species: t.byID[row[0]], region: "any"})
	}
	for row := range rows(namesCSV) {
		name := Fold(row[1])
		t.uses[name] = append(t.uses[name], use{t.byID[row[0]], row[2], row[3] == "input-only"})
	}
	for row := range rows(localCSV) {
		t.local[Fold(row[0])+"|"+row[1]] = t.byID[row[2]]
	}
	return t
})

// rows yields the fields of each line but the header. The tables hold no quoted fields (a test checks).
func rows(csv string) func(func([]string) bool) {
	return func(yield func([]string) bool) {
		header := true
		for line := range strings.Lines(csv) {
			if header {
				header = false
				continue
			}
			if !yield(strings.Split(strings.TrimRight(line, "\r\n"), ",")) {
				return
			}
		}
	}
}

// Fold brings a name into the form names are compared in: lower case, single spaces.
func Fold(name string) string { return strings.ToLower(strings.Join(strings.Fields(name), " ")) }

// ByID returns the species with this id.
func ByID(id string) (Species, bool) {
	t := load()
	i, ok := t.byID[id]
	if !ok {
		return Species{}, false
	}
	return t.species[i], true
}

// Find returns the species that a name may mean in an area such as "AU-NSW" or "US-OR", in the
// order of the table: none if the name is unknown there, several if it is shared. A plural is
// understood where only its singular is in the table.
func Find(name, area string) []Species {
	folded := Fold(name)
	forms := []string{folded, strings.TrimSuffix(folded, "s"), strings.TrimSuffix(folded, "es")}
	if stem, ok := strings.CutSuffix(folded, "ies"); ok {
		forms = append(forms, stem+"y")
	}
	for _, form := range forms {
		if len(form) < 2 {
			continue
		}
		if found := find(form, area); len(found) > 0 {
			return found
		}
	}
	return nil
}

func find(folded, area string) []Species {
	t := load()
	area = strings.ToUpper(strings.TrimSpace(area))
	country, _, _ := strings.Cut(area, "-")
	for _, place := range []string{area, country} {
		if i, ok := t.local[folded+"|"+place]; ok {
			return []Species{t.species[i]}
		}
	}
	uses := t.uses[folded]
	for _, region := range Regions(area) {
		var found []Species
		for _, u := range uses {
			if s := t.species[u.species]; u.region == region && !slices.Contains(found, s) {
				found = append(found, s)
			}
		}
		if len(found) > 0 {
			return found
		}
	}
	return nil
}

// InputOnly says whether a name is one to understand but never to print back.
func InputOnly(name string) bool {
	folded := Fold(name)
	for _, form := range []string{folded, strings.TrimSuffix(folded, "s")} {
		for _, u := range load().uses[form] {
			if u.inputOnly {
				return true
			}
		}
	}
	return false
}

// Regions lists the regions of the name table whose names count in an area, nearest first;
// the last is always "any". The Pacific coast and the rest of the United States use different
// names; Ireland uses Britain's where it has none of its own in the table.
func Regions(area string) []string {
	area = strings.ToUpper(strings.TrimSpace(area))
	country, part, _ := strings.Cut(area, "-")
	switch country {
	case "":
		return []string{"any"}
	case "US":
		switch part {
		case "CA", "OR", "WA", "AK", "W":
			return []string{"US-W", "any"}
		case "HI":
			return []string{"US-HI", "any"}
		case "":
			return []string{"any"} // which coast is not known: a wrong fish is worse than none
		}
		return []string{"US-E", "any"}
	case "CA":
		return []string{"CA-BC", "any"}
	case "GB":
		return []string{"UK", "any"}
	case "IE":
		return []string{"IE", "UK", "any"}
	}
	return []string{country, "any"}
}
