package wave

import (
	"fmt"
	"math"

	"ledgehand/conditions/measure"
)

// DepthLimit is the significant height a flat bed lets stand, over its depth: about 0.6 on
// rock platforms at four field sites (Poate et al. 2016; earlier work 0.3 to 0.5).
const DepthLimit = 0.6

// Refraction is what straight, parallel depth contours make of a wave. Rock headlands and
// gullies are not that: rays focus on headlands, so Kr above 1 happens and a Kr far below 1
// must not be counted on.
type Refraction struct {
	Angle float64 // between crest and contour here, degrees
	Kr    float64 // height factor of the bending alone
	Ks    float64 // height factor of the shoaling alone
}

// Refract bends a deep-water wave that meets the contours at deepAngle (0 to below 90 degrees)
// by Snell's law: sin a = tanh(kh) sin a0, Kr = sqrt(cos a0/cos a). CEM part II-3.
func Refract(period measure.Seconds, depth measure.Metres, deepAngle, g float64) (Refraction, error) {
	w, err := Solve(period, depth, g)
	if err != nil {
		return Refraction{}, err
	}
	if !(deepAngle >= 0 && deepAngle < 90) {
		return Refraction{}, fmt.Errorf("wave angle %v degrees: outside 0 to below 90", deepAngle)
	}
	s := w.slowing() * math.Sin(deepAngle*math.Pi/180)
	return refraction(deepAngle, math.Asin(s)*180/math.Pi, w), nil
}

// Unrefract goes the other way: the deep-water angle of a wave seen at angle in this depth, and
// the factors that turned its deep-water height into the one here.
// A wave so oblique that no deep-water wave could have become it is refused.
func Unrefract(period measure.Seconds, depth measure.Metres, angle, g float64) (deepAngle float64, r Refraction, err error) {
	w, err := Solve(period, depth, g)
	if err != nil {
		return 0, Refraction{}, err
	}
	if !(angle >= 0 && angle < 90) {
		return 0, Refraction{}, fmt.Errorf("wave angle %v degrees: outside 0 to below 90", angle)
	}
	s := math.Sin(angle*math.Pi/180) / w.slowing()
	if s >= 1 {
		return 0, Refraction{}, fmt.Errorf("wave angle %v degrees at %v m: more oblique than any deep-water wave of %v s can be there", angle, depth, period)
	}
	deepAngle = math.Asin(s) * 180 / math.Pi
	return deepAngle, refraction(deepAngle, angle, w), nil
}

func refraction(deep, here float64, w Linear) Refraction {
	return Refraction{
		Angle: here,
		Kr:    math.Sqrt(math.Cos(deep*math.Pi/180) / math.Cos(here*math.Pi/180)),
		Ks:    w.Ks,
	}
}

// slowing is c/c0 = tanh kh.
func (w Linear) slowing() float64 {
	if w.Deep {
		return 1
	}
	return math.Tanh(w.KH)
}

// Breaker is a single wave at the point where it breaks on a plane slope.
type Breaker struct {
	Height measure.Metres
	Index  float64 // height over depth
	Depth  measure.Metres
}

// Break says where a deep-water wave of height h0, coming in straight, breaks on a plane slope.
// CEM part II-4, equations II-4-5 to II-4-8 (Weggel 1972; Komar and Gaughan 1973).
func Break(h0 measure.Metres, period measure.Seconds, slope, g float64) (Breaker, error) {
	switch {
	case !(h0 > 0):
		return Breaker{}, fmt.Errorf("deep-water wave height %v m: must be above 0", h0)
	case !(period > 0):
		return Breaker{}, fmt.Errorf("wave period %v s: must be above 0", period)
	case !(slope > 0):
		return Breaker{}, fmt.Errorf("bed slope %v: must be above 0", slope)
	case !(g > 0):
		return Breaker{}, fmt.Errorf("gravity %v m/s2: must be above 0", g)
	}
	hb := 0.56 * float64(h0) * math.Pow(float64(h0/DeepLength(period, g)), -0.2)
	a := 43.8 * (1 - math.Exp(-19*slope))
	b := 1.56 / (1 + math.Exp(-19.5*slope))
	index := b - a*hb/(g*float64(period)*float64(period))
	if index <= 0 {
		return Breaker{}, fmt.Errorf("wave of %v m and %v s on a slope of %v: steeper than the breaker index holds for", h0, period, slope)
	}
	return Breaker{Height: measure.Metres(hb), Index: index, Depth: measure.Metres(hb / index)}, nil
}

// HighestStanding is the greatest height one wave can keep in this depth without breaking:
// 0.142 L tanh kh (Miche 1944).
func HighestStanding(period measure.Seconds, depth measure.Metres, g float64) (measure.Metres, error) {
	w, err := Solve(period, depth, g)
	if err != nil {
		return 0, err
	}
	return measure.Metres(0.142 * float64(w.Length) * w.slowing()), nil
}
