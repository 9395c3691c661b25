package wave

import (
	"errors"
	"fmt"
	"math"

	"ledgehand/conditions/measure"
)

// ErrNoWaves means there is no wave height to work with. A feed that sends nothing or zeros
// does not know; it must never be read as a calm sea.
var ErrNoWaves = errors.New("no wave height above zero")

// System is a sea, or one part of it: significant height, energy period and zero-crossing period.
type System struct {
	Hs     measure.Metres
	Energy measure.Seconds // Tm-1,0
	Zero   measure.Seconds // Tz
}

// Combine adds wave systems as their spectral moments add: Hs² and Hs² Te sum, and so does
// Hs²/Tz². Systems of zero height take no part. Nothing above zero is ErrNoWaves.
func Combine(systems []System) (System, error) {
	var m0, m1, m2 float64
	for _, s := range systems {
		if s.Hs == 0 {
			continue
		}
		if !(s.Hs > 0) || math.IsInf(float64(s.Hs), 1) {
			return System{}, fmt.Errorf("significant wave height %v m: must be 0 or more", s.Hs)
		}
		if !(s.Energy > 0) || !(s.Zero > 0) {
			return System{}, fmt.Errorf("wave periods %v s and %v s: must be above 0", s.Energy, s.Zero)
		}
		e := float64(s.Hs) * float64(s.Hs)
		m0 += e
		m1 += e * float64(s.Energy)
		m2 += e / (float64(s.Zero) * float64(s.Zero))
	}
	if m0 == 0 {
		return System{}, ErrNoWaves
	}
	return System{
		Hs:     measure.Metres(math.Sqrt(m0)),
		Energy: measure.Seconds(m1 / m0),
		Zero:   measure.Seconds(math.Sqrt(m0 / m2)),
	}, nil
}
