package wave

import (
	"errors"
	"fmt"
	"math"

	"ledgehand/conditions/measure"
)

// WindClass is where the wind stands to a ledge.
type WindClass string

// The classes; limits at 45, 80, 100 and 135 degrees off the facing are our own choice.
const (
	Onshore       WindClass = "onshore"
	CrossOnshore  WindClass = "cross-onshore"
	CrossShore    WindClass = "cross-shore"
	CrossOffshore WindClass = "cross-offshore"
	Offshore      WindClass = "offshore"
)

// RelativeWind is a wind seen from a ledge.
type RelativeWind struct {
	Off     float64                 // degrees between the wind and straight on, 0 to 180
	Onshore measure.MetresPerSecond // component onto the ledge, negative when it blows off
	Cross   measure.MetresPerSecond // component along it, never negative
	Class   WindClass
}

// WindOn splits a wind by the way a ledge faces.
func WindOn(faces, from measure.From, speed measure.MetresPerSecond) RelativeWind {
	off := measure.Between(from, faces)
	sin, cos := math.Sincos(off * math.Pi / 180)
	w := RelativeWind{
		Off:     off,
		Onshore: speed * measure.MetresPerSecond(cos),
		Cross:   speed * measure.MetresPerSecond(sin),
	}
	switch {
	case off <= 45:
		w.Class = Onshore
	case off < 80:
		w.Class = CrossOnshore
	case off <= 100:
		w.Class = CrossShore
	case off < 135:
		w.Class = CrossOffshore
	default:
		w.Class = Offshore
	}
	return w
}

// GustFactor is what gusts over the sea commonly are to the mean wind, when a forecast has no
// gusts (Australian Bureau of Meteorology's marine guidance: typically 40 % above).
const GustFactor = 1.4

// beaufortFrom are the lowest speeds of forces 1 to 12 in m/s, WMO code table 1100.
var beaufortFrom = [12]measure.MetresPerSecond{0.3, 1.6, 3.4, 5.5, 8.0, 10.8, 13.9, 17.2, 20.8, 24.5, 28.5, 32.7}

// Beaufort is the force, 0 to 12, of a mean wind.
func Beaufort(speed measure.MetresPerSecond) (int, error) {
	if !(speed >= 0) {
		return 0, fmt.Errorf("wind speed %v m/s: must be 0 or more", speed)
	}
	for force, from := range beaufortFrom {
		if speed < from {
			return force, nil
		}
	}
	return 12, nil
}

// ErrChillNotDefined means the air is too warm or the wind too light for wind chill to have a meaning.
var ErrChillNotDefined = errors.New("wind chill is not defined here")

// WindChillC is the wind chill in degrees Celsius for air of airC and a 10 m wind in km/h:
// the 2001 index of the Joint Action Group for Temperature Indices (used by Environment
// Canada and the US weather service). Defined up to 10 C and from 5 km/h;
// otherwise ErrChillNotDefined. Wet clothes make it worse than the number.
func WindChillC(airC, kmh float64) (float64, error) {
	if !(airC <= 10 && airC >= -100) || !(kmh >= 5 && kmh <= 400) {
		return 0, fmt.Errorf("air %v C, wind %v km/h: %w (air up to 10 C, wind from 5 km/h)", airC, kmh, ErrChillNotDefined)
	}
	v := math.Pow(kmh, 0.16)
	return 13.12 + 0.6215*airC - 11.37*v + 0.3965*airC*v, nil
}

// WindChillF is the same index in degrees Fahrenheit and miles an hour, with the rounded
// coefficients the US weather service prints (up to 0.1 F from WindChillC). Defined up to
// 50 F and from 3 mph.
func WindChillF(airF, mph float64) (float64, error) {
	if !(airF <= 50 && airF >= -148) || !(mph >= 3 && mph <= 250) {
		return 0, fmt.Errorf("air %v F, wind %v mph: %w (air up to 50 F, wind from 3 mph)", airF, mph, ErrChillNotDefined)
	}
	v := math.Pow(mph, 0.16)
	return 35.74 + 0.6215*airF - 35.75*v + 0.4275*airF*v, nil
}
