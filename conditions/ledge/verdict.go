package ledge

import (
	"fmt"
	"slices"
)

// Verdict is what may be said about a ledge. There is no word for safe.
type Verdict string

// The verdicts, in their order of precedence.
const (
	LikelyWashed Verdict = "likely washed"
	CannotTell   Verdict = "cannot tell" // to be treated like "no"
	CouldBe      Verdict = "could be washed"
	NotExpected  Verdict = "not expected on this forecast"
)

var verdicts = []Verdict{LikelyWashed, CannotTell, CouldBe, NotExpected}

// UnmarshalText refuses a word that is not a verdict.
func (v *Verdict) UnmarshalText(b []byte) error { return readWord(v, b, "verdict", verdicts) }

// First is the verdict that takes precedence: likely washed, then cannot tell, then could be
// washed, then not expected. So a doubt (old forecast, unknown warnings, a warning in force)
// never softens "likely washed" and is never hidden by the milder words. Words that are no
// verdict, and no words at all, are CannotTell.
func First(vs ...Verdict) Verdict {
	best := len(verdicts)
	for _, v := range vs {
		i := slices.Index(verdicts, v)
		if i < 0 {
			i = slices.Index(verdicts, CannotTell)
		}
		best = min(best, i)
	}
	if best == len(verdicts) {
		return CannotTell
	}
	return verdicts[best]
}

// Limits between the verdicts: engineering judgement, no source.
const (
	LikelyChance  = 0.5  // of at least one wash in the window, averaged over what is not known
	LikelyPerHour = 1.0  // washes an hour in the worst hour, median case
	CouldChance   = 0.05 //
)

// judge turns the numbers of a window into a verdict. Anything that is not a number ends in
// CannotTell, never in the mildest word.
func judge(chance, perHour, excessBad float64, underWater, doubt bool) Verdict {
	switch {
	case underWater || chance >= LikelyChance || perHour >= LikelyPerHour:
		return LikelyWashed
	case doubt:
		return CannotTell
	case chance >= CouldChance || excessBad > 0:
		return CouldBe
	case chance < CouldChance && excessBad <= 0:
		return NotExpected
	}
	return CannotTell
}

// readWord decodes a stored word and refuses one it does not know, so that a word of a newer
// version never turns into a zero value.
func readWord[T ~string](dst *T, b []byte, what string, known []T) error {
	w := T(b)
	if !slices.Contains(known, w) {
		return fmt.Errorf("%s %q: not one of %q", what, string(b), known)
	}
	*dst = w
	return nil
}
