package ledge

import (
	"math"

	"ledgehand/conditions/measure"
)

// RiseThatDoubles is by how much the water must rise until waves wash twice as often, for a run-up coefficient, a height at
// the foot and a freeboard: 2 (Rc² - (Rc-d)²)/(kappa Hs)² = ln 2, from the share that washes being exp(-2 (Rc/(kappa Hs))²).
// Where the share cannot double any more before the water stands at the lip, it is the whole freeboard; 0 for one
// that is none, or for a sea without waves.
func RiseThatDoubles(kappa float64, hs, rc measure.Metres) measure.Metres {
	reach := kappa * float64(hs)
	if !(reach > 0) || !(rc > 0) || math.IsInf(reach, 1) {
		return 0
	}
	left := float64(rc)*float64(rc) - math.Ln2*reach*reach/2
	if left <= 0 {
		return rc
	}
	return rc - measure.Metres(math.Sqrt(left))
}
