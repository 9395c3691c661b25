package wave

import (
	"math"

	"ledgehand/conditions/measure"
)

// Spread of wave energy about its mean direction, one standard deviation in degrees.
// From memory of Goda's s_max 75, 25 and 10 for long swell, young swell and wind sea.
const (
	SwellSpread   = 15.0
	WindSeaSpread = 30.0
)

// Exposure is the share F of a wave system's energy that can reach a ledge: what a normal
// distribution about its mean direction has inside the open sector (clockwise from open[0]
// to open[1]) and within 90 degrees of the way the ledge faces. Heights go with sqrt F.
// On an open coast a wave running along it keeps F = 0.5, a height factor of 0.71, where the
// EurOtop manual (2018) has 0.67. Waves that bend round a point are not in it.
func Exposure(from measure.From, spread float64, faces measure.From, open [2]measure.From) float64 {
	// All angles from here on are relative to the facing, so the half-plane is -90 to 90.
	mean := measure.Wrap180(float64(from - faces))
	lo := measure.Wrap180(float64(open[0] - faces))
	width := float64(open[1] - open[0])
	if width < 360 {
		width = measure.Wrap360(width)
	} else {
		width = 360
	}
	var f float64
	// The sector, and the same a turn earlier: a wide one can meet the half-plane twice.
	for _, turn := range [2]float64{0, -360} {
		a, b := math.Max(lo+turn, -90), math.Min(lo+width+turn, 90)
		if a >= b {
			continue
		}
		for _, image := range [3]float64{-360, 0, 360} { // directions close on themselves
			lo, hi := (a-mean+image)/spread, (b-mean+image)/spread
			if lo < outOfReach && hi > -outOfReach {
				f += normalBetween(lo, hi)
			}
		}
	}
	return math.Min(1, f)
}

// outOfReach is how many standard deviations leave less than 1e-19 beyond them.
const outOfReach = 9.1

// normalBetween is P(a < Z < b) for a standard normal Z, keeping its digits in the tails.
func normalBetween(a, b float64) float64 {
	if a > 0 {
		a, b = -b, -a
	}
	return (math.Erfc(-b/math.Sqrt2) - math.Erfc(-a/math.Sqrt2)) / 2
}
