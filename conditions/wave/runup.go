package wave

import (
	"fmt"
	"math"

	"ledgehand/conditions/measure"
)

// RunUp2 is the height above still water that 2 % of the incoming waves reach on a plane face,
// over Hs: mean values of EurOtop (2018), equations 5.1, 5.2 and 5.6. cot is the cotangent of
// the face's slope (0 is vertical), roughness its gamma_f (1 is smooth), energy the period
// Tm-1,0. Steeper than 1:2 the sea does not enter and neither does roughness (from memory:
// its effect dies out as the surf similarity passes 10). Laboratory walls and dikes, surf
// similarity 0.5 to 8; natural rock can differ by a factor of two.
func RunUp2(cot, roughness float64, hs measure.Metres, energy measure.Seconds, g float64) (float64, error) {
	if !(cot >= 0) || math.IsInf(cot, 1) {
		return 0, fmt.Errorf("face slope cotangent %v: must be 0 (vertical) or more", cot)
	}
	if !(roughness > 0 && roughness <= 1) {
		return 0, fmt.Errorf("roughness factor %v: outside 0 to 1", roughness)
	}
	if cot < 2 {
		return math.Min(3, math.Max(1.8, 0.8*cot+1.6)), nil
	}
	xi := Iribarren(1/cot, hs, energy, g)
	return roughness * math.Min(1.65*xi, 4-1.5/math.Sqrt(xi)), nil
}

// Iribarren is the surf similarity tan a/sqrt(H/L0) with the deep-water length (Battjes 1974).
// With no wave at all it is +Inf.
func Iribarren(slope float64, h measure.Metres, period measure.Seconds, g float64) float64 {
	return slope / math.Sqrt(float64(h/DeepLength(period, g)))
}

// Kappa is the effective run-up coefficient of a plane face: a wave of height H reaches
// Kappa times H above still water. It is RunUp2 over the 2 % wave height of a Rayleigh sea,
// sqrt(ln 50/2) = 1.3986 Hs. 1.287 for a vertical face. A ledge's own value, learned from
// watches, beats it.
func Kappa(cot, roughness float64, hs measure.Metres, energy measure.Seconds, g float64) (float64, error) {
	ru, err := RunUp2(cot, roughness, hs, energy, g)
	return ru / rayleigh2, err
}

// rayleigh2 is the height 2 % of Rayleigh waves exceed, in Hs.
var rayleigh2 = math.Sqrt(math.Log(50) / 2)

// ObliqueRunUp is the factor on run-up of waves that arrive off degrees from straight on:
// 1 - 0.0022 |off|, unchanged beyond 80 degrees. EurOtop (2018), section 5.4.
func ObliqueRunUp(off float64) float64 { return 1 - 0.0022*math.Min(math.Abs(off), 80) }

// Impulsiveness is h²/(Hs Lm-1,0) with the deep-water length of the energy period: what decides
// whether waves break onto a steep face (EurOtop 2018, section 7.2).
func Impulsiveness(depth, hs measure.Metres, energy measure.Seconds, g float64) float64 {
	return float64(depth) * float64(depth) / (float64(hs) * float64(DeepLength(energy, g)))
}

// The limits below which a steep face is hit by breaking waves: depth over Hs, and Impulsiveness.
const (
	ViolentDepth         = 4.0
	ViolentImpulsiveness = 0.23
)

// Violent says that waves break onto the face: water is then thrown many wave heights up and
// no run-up coefficient means anything. True with a dry foot.
func Violent(depth, hs measure.Metres, energy measure.Seconds, g float64) bool {
	return depth <= 0 || float64(depth/hs) <= ViolentDepth && Impulsiveness(depth, hs, energy, g) <= ViolentImpulsiveness
}
