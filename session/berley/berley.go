// Package berley is a crew's own recipe of berley, free food put in to draw fish, and what it comes to for a trip. It is
// pure. It knows no right amount: for sea ledges nobody published one, so a recipe is scaled and not judged. It does not
// model what fish like, nor when to stop.
package berley

import (
	"math"
	"strings"
	"time"
	"unicode"
)

// Version is the stored form.
const Version = 1

// Recipe is what a crew puts together for so many anglers and so long a time.
type Recipe struct {
	V       int           `json:"v"`
	Parts   []Part        `json:"parts,omitempty"`
	Anglers int           `json:"anglers,omitempty"`
	Over    time.Duration `json:"over,omitempty"`
	At      time.Time     `json:"at,omitzero"` // when it was written down
}

// Part is one thing in it.
type Part struct {
	Name   string  `json:"name"`             // as the crew calls it
	Amount float64 `json:"amount,omitempty"` // 0: some, nobody said how much
	Unit   Unit    `json:"unit,omitempty"`
}

// Unit is what an amount counts.
type Unit string

// The units: grams, millilitres, and things by number, such as loaves.
const (
	Gram       Unit = "g"
	Millilitre Unit = "ml"
	Piece      Unit = "piece"
)

// Known says whether there is a recipe.
func (r Recipe) Known() bool { return len(r.Parts) > 0 && r.Anglers > 0 && r.Over > 0 }

// For is what the recipe comes to for other anglers and another time: linear in angler-hours (common practice, no source).
// Nobody or no time gives nothing.
func (r Recipe) For(anglers int, over time.Duration) []Part {
	if !r.Known() || anglers <= 0 || over <= 0 {
		return nil
	}
	factor := float64(anglers) * over.Hours() / (float64(r.Anglers) * r.Over.Hours())
	out := make([]Part, len(r.Parts))
	for i, p := range r.Parts {
		p.Amount *= factor
		if p.Unit == Piece {
			p.Amount = halves(p.Amount)
		}
		out[i] = p
	}
	return out
}

// halves rounds a number of things up to the next half, for half a loaf can be had and a third cannot. What a float adds to
// a whole number is no reason for another half.
func halves(n float64) float64 { return math.Ceil(n*2-1e-9) / 2 }

// Grams is what the parts weigh together; volumes and things by number weigh nobody knows what.
func Grams(parts []Part) (g float64) {
	for _, p := range parts {
		if p.Unit == Gram {
			g += p.Amount
		}
	}
	return g
}

// Sensible rounds an amount to two figures: nobody weighs berley more closely. It is never rounded to nothing.
func Sensible(v float64) float64 {
	if v <= 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	if v < 1 {
		return math.Max(0.1, math.Round(v*10)/10)
	}
	step := math.Pow(10, math.Floor(math.Log10(v))-1)
	if step < 1 { // whole steps divide exactly, tenths do not
		return math.Round(v*10) / 10
	}
	return math.Round(v/step) * step
}

// Prep is what a thing needs the evening before.
type Prep string

// The ways to prepare. Dry bread swells in the fish: it is soaked first. Bait fish and squid are mostly bought frozen
// (both common practice, no source).
const (
	Soak Prep = "soak"
	Thaw Prep = "thaw"
)

// prepWords are words, without accents, that a part's name may begin a word with; the crew's own word for it comes first.
var prepWords = []struct {
	prep  Prep
	begin []string
}{
	{Soak, []string{"soak", "remoj"}},
	{Thaw, []string{"frozen", "thaw", "descongel", "congelad"}},
	{Soak, []string{"bread", "loaf", "loaves", "barra"}},
	{Thaw, []string{"pilchard", "sardin", "anchov", "boqueron", "mackerel", "caballa", "herring", "arenque", "sprat", "saury", "squid", "calamar", "octopus", "pulpo",
		"prawn", "shrimp", "krill", "gamba", "camaron", "langostino", "mullet"}},
}

// Prep is what the name of a part says of it; "" for nothing to be done before.
func (p Part) Prep() Prep {
	words := words(p.Name)
	for _, set := range prepWords {
		if set.prep == Thaw && kept(words) {
			continue
		}
		for _, w := range words {
			for _, b := range set.begin {
				if strings.HasPrefix(w, b) || b == "bread" && (w == "pan" || w == "panes") {
					return set.prep
				}
			}
		}
	}
	return ""
}

// kept says whether it is something that keeps by itself: sardine oil, prawn meal.
func kept(words []string) bool {
	for _, w := range words {
		switch w {
		case "oil", "meal", "powder", "essence", "salted", "aceite", "harina", "polvo", "esencia", "salada", "saladas":
			return true
		}
	}
	return false
}

// words are the words of a name in lower case without accents.
func words(s string) []string {
	s = strings.NewReplacer("á", "a", "é", "e", "í", "i", "ó", "o", "ú", "u", "ü", "u").Replace(strings.ToLower(s))
	return strings.FieldsFunc(s, func(r rune) bool { return !unicode.IsLetter(r) })
}

// Prawns says whether a name speaks of prawns or shrimp, in which a virus of prawns travels.
func Prawns(name string) bool {
	for _, w := range words(name) {
		for _, b := range []string{"prawn", "shrimp", "gamba", "camaron", "langostino"} {
			if strings.HasPrefix(w, b) {
				return true
			}
		}
	}
	return false
}
