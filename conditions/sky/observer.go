package sky

import (
	"math"

	"github.com/soniakeys/meeus/v3/globe"
	"github.com/soniakeys/unit"

	"ledgehand/conditions/measure"
)

// observer is a place on the ground as the library wants it, longitude positive WEST. This is the
// only place where the sign is turned; everything else here works on what it returns.
func observer(p measure.Position) globe.Coord {
	return globe.Coord{Lat: unit.AngleFromDeg(p.Lat), Lon: unit.AngleFromDeg(-p.Lon)}
}

// localAngle is the local sidereal time as an angle in radians, for the sidereal time at Greenwich.
func localAngle(o globe.Coord, greenwich unit.Time) float64 {
	return greenwich.Rad() - o.Lon.Rad()
}

// horizontal turns a direction given by a vector on the equator of date into altitude and azimuth
// as seen by o when the local sidereal angle is θ. It holds at the poles too, where the book's
// formula 13.5 divides by zero; azimuth there is counted from the observer's own meridian.
func horizontal(o globe.Coord, θ float64, v [3]float64) (altitude float64, azimuth measure.Towards) {
	sφ, cφ := o.Lat.Sincos()
	sθ, cθ := math.Sincos(θ)
	east := -v[0]*sθ + v[1]*cθ
	north := -v[0]*sφ*cθ - v[1]*sφ*sθ + v[2]*cφ
	up := v[0]*cφ*cθ + v[1]*cφ*sθ + v[2]*sφ
	altitude = math.Atan2(up, math.Hypot(east, north)) * 180 / math.Pi
	return altitude, measure.Towards(measure.Wrap360(math.Atan2(east, north) * 180 / math.Pi))
}

// fromGround moves the origin of a geocentric position from the middle of the Earth to the feet of
// o at sea level, in kilometres (Meeus chapter 11, the ellipsoid of 1976).
func fromGround(o globe.Coord, θ float64, p place) [3]float64 {
	s, c := globe.Earth76.ParallaxConstants(o.Lat, 0)
	sθ, cθ := math.Sincos(θ)
	v, er := p.vector(), globe.Earth76.Er
	return [3]float64{
		v[0]*p.km - er*c*cθ,
		v[1]*p.km - er*c*sθ,
		v[2]*p.km - er*s,
	}
}
