// Package rules holds size, bag, season and gear rules as their makers publish them, reads them from files that a crew
// writes, and says what they say about a fish. It is pure.
//
// A pack is the rules of one jurisdiction, in YAML or JSON with the same names; testdata/fish/rules/README.md describes
// every field, and the packs beside it are examples. Load reads one and refuses what it does not know, with the line.
//
// Judge answers with one of three: allowed by the rules held, not allowed and by which, cannot tell and what is missing.
// Every rule that matches must hold: the fish's own, that of each group it is in, the cap over all. It never says "legal".
// Lengths are micrometres and weights micrograms, both whole numbers, so that nothing is ever rounded on its way to a limit.
//
// It does not model: places by polygon (areas are names with a parent, and the crew says which it fishes), what somebody's
// licence or age is (then it cannot tell), gear in the water (shown, not judged), and fish given to others.
package rules
