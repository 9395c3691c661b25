package sky

import (
	"time"

	"github.com/soniakeys/unit"

	"ledgehand/conditions/measure"
)

// Light is how well one can see outdoors under a clear sky, by the height of the sun.
type Light string

// From light to dark. In civil twilight the path and the rock can be seen; in nautical twilight
// the horizon can, but waves can no longer be read.
const (
	Daylight         Light = "daylight"          // sun up
	CivilTwilight    Light = "civil twilight"    // sun down, centre above -6 degrees
	NauticalTwilight Light = "nautical twilight" // -6 to -12
	Dark             Light = "dark"              // below -12
)

// LightAt is the light at p at t.
func LightAt(p measure.Position, t time.Time) (Light, error) {
	if err := check(p, t); err != nil {
		return "", err
	}
	return lightOf(unit.AngleFromDeg(sunAltitudeAt(p, t)).Sin()), nil
}

// lightOf is the light by the sine of the sun's altitude.
func lightOf(sine float64) Light {
	switch {
	case sine >= sunAltitude.Sin():
		return Daylight
	case sine >= civilAltitude.Sin():
		return CivilTwilight
	case sine >= nauticalAltitude.Sin():
		return NauticalTwilight
	}
	return Dark
}

// eveningWithin is how far the next evening is looked for, seconds: dusks may lie a little more than 24 hours apart.
const eveningWithin = 25 * 3600.0

// NextDusk is the next end of civil dusk at p in the 25 hours after t, rounded up to the second: last
// light for those who are out by day, and for those who set out in the dark that of the day to come.
// No event means that the sun does not sink through -6 degrees in those hours; LightAt tells whether
// there is too much light for that or too little.
func NextDusk(p measure.Position, t time.Time) (Event, error) {
	if err := check(p, t); err != nil {
		return Event{}, err
	}
	sun := newTrack(Sun, observer(p), t, eveningWithin, lookEvery)
	for _, c := range take(sun.sine, eveningWithin).crossings(sun.sine, civilAltitude.Sin()) {
		if !c.up {
			// Rounded up, so that asking again from there finds the one after.
			at := t.Add(time.Duration(c.s * float64(time.Second))).UTC()
			return Event{At: at.Truncate(time.Second).Add(time.Second), OK: true}, nil
		}
	}
	return Event{}, nil
}
