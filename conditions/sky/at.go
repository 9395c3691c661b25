package sky

import (
	"fmt"
	"time"

	"github.com/soniakeys/meeus/v3/sidereal"

	"ledgehand/conditions/measure"
)

// Sighting is where a body stands for somebody at sea level.
type Sighting struct {
	Altitude   float64         // of the centre, degrees, lifted by refraction (see refraction.go)
	Azimuth    measure.Towards // degrees true
	Lit        float64         // lit part of the disc seen from the middle of the Earth, 0 to 1; 1 for the sun
	DistanceKm float64         // from the middle of the Earth; the moon's is good to 50 km
}

// At is where b stands over p at t: right to about 0.02 degrees in calm standard air, worse by
// tenths of a degree close to the horizon, where refraction changes with the weather.
func At(b Body, p measure.Position, t time.Time) (Sighting, error) {
	if b != Sun && b != Moon {
		return Sighting{}, fmt.Errorf("body %q: want %q or %q", string(b), Sun, Moon)
	}
	if err := check(p, t); err != nil {
		return Sighting{}, err
	}
	jd := julianDay(t)
	jde := ephemerisDay(jd)
	o := observer(p)
	θ := localAngle(o, sidereal.Apparent(jd))

	c := bodyAt(b, jde)
	altitude, azimuth := horizontal(o, θ, fromGround(o, θ, c))
	s := Sighting{Altitude: altitude + refraction(altitude), Azimuth: azimuth, Lit: 1, DistanceKm: c.km}
	if b == Moon {
		s.Lit = litAt(jde)
	}
	return s, nil
}

// sunAltitudeAt is the sun's altitude as the almanacs take it for rise, set and twilight: of the
// centre, from the middle of the Earth, without refraction. Degrees.
func sunAltitudeAt(p measure.Position, t time.Time) float64 {
	jd := julianDay(t)
	o := observer(p)
	altitude, _ := horizontal(o, localAngle(o, sidereal.Apparent(jd)), sunAt(ephemerisDay(jd)).vector())
	return altitude
}
