package tally

import (
	"time"

	"ledgehand/session/catch"
)

// By is what a crew chose to compare: one thing, before looking. Comparing many things finds a winner among equals nearly always.
type By string

// What can be chosen.
const (
	ByNothing By = ""
	ByTide    By = "tide"  // a making tide with an ebbing one
	ByLight   By = "light" // light with dark
)

// Comparison holds two rates of the same crew beside each other.
type Comparison struct {
	By       By
	One, Two Rate // making and ebbing, or light and dark
	Mixed    int  // trips that were mostly neither, or of which that cannot be told
}

// Mostly is how much of a trip must lie on one side to count there (common practice, no source).
const Mostly = 2.0 / 3

// Compare sorts the trips that began at or after since into two sides. Whoever changes what is compared has seen the catches before: then
// only later trips count.
func Compare(p Prior, by By, trips []Trip, since time.Time) Comparison {
	c := Comparison{By: by}
	var one, two []Effort
	for _, t := range trips {
		e, ok := t.Counts()
		if !ok || t.At.Before(since) {
			continue
		}
		switch s := side(by, t); {
		case s >= Mostly:
			one = append(one, e)
		case s >= 0 && s <= 1-Mostly:
			two = append(two, e)
		default:
			c.Mixed++
		}
	}
	c.One, c.Two = RateOf(p, one), RateOf(p, two)
	return c
}

// side is how much of a trip lies on the first side; negative: cannot be told. Of a trip without an outing it is told only where all its
// lines agree.
func side(by By, t Trip) float64 {
	if t.Stay != nil {
		if by == ByLight {
			return t.Stay.Lit
		}
		return t.Stay.Making
	}
	out := -1.0
	for i, e := range t.Entries {
		s := sideThen(by, e.Then)
		if i > 0 && s != out {
			return -1
		}
		out = s
	}
	return out
}

func sideThen(by By, t *catch.Then) float64 {
	switch {
	case t == nil:
	case by == ByLight && t.Light == "dark":
		return 0
	case by == ByLight && t.Light != "":
		return 1
	case by == ByLight, t.Tide == nil:
	case t.Tide.Stage == "making":
		return 1
	case t.Tide.Stage == "ebbing":
		return 0
	}
	return -1
}

// Enough says whether there are trips enough on both sides to compare them at all.
func (c Comparison) Enough() bool {
	return c.One.Trips >= FewestCompared && c.Two.Trips >= FewestCompared
}

// More says on which side more was caught: 1 for the first, -1 for the second, 0 where nothing may be said, for want of trips or because
// what either rate could be overlaps with the other.
func (c Comparison) More() int {
	switch {
	case !c.Enough():
		return 0
	case c.One.Lo > c.Two.Hi:
		return 1
	case c.Two.Lo > c.One.Hi:
		return -1
	}
	return 0
}
