// Package measure holds the units and directions every computation here shares,
// so that a metre is never taken for a foot nor a direction "from" for one "towards".
// All quantities are SI; conversion to what people read happens in bot/wording only.
// It does not model ellipsoids: distances are great circles on a sphere of mean Earth
// radius, right to 0.5 %, which is enough to name the nearest tide station.
package measure

import (
	"fmt"
	"math"
)

// Gravity is standard gravity in m/s², 3rd CGPM (1901), exact by definition.
const Gravity = 9.80665

// EarthRadiusKm is the mean radius R1 of the GRS 80 ellipsoid, 6371.0088 km
// (IUGG, Moritz 1980); the true radius varies by about 0.3 % either way.
const EarthRadiusKm = 6371.0088

// Metres is a length or height.
type Metres float64

// Seconds is a wave period. Spans of clock time are time.Duration.
type Seconds float64

// MetresPerSecond is a speed.
type MetresPerSecond float64

// From is the direction a thing comes from (wind, waves), or that a ledge faces, in degrees true, clockwise from north.
type From float64

// Towards is the direction a thing moves to (currents, bearings), in degrees true.
type Towards float64

// From turns a direction of motion into the direction of origin.
func (t Towards) From() From { return From(Wrap360(float64(t) + 180)) }

// Towards turns a direction of origin into the direction of motion.
func (f From) Towards() Towards { return Towards(Wrap360(float64(f) + 180)) }

// Wrap360 folds degrees into [0, 360).
func Wrap360(deg float64) float64 {
	d := math.Mod(deg, 360)
	if d < 0 {
		d += 360
	}
	if d == 360 { // -tiny + 360 rounds up
		return 0
	}
	return d
}

// Wrap180 folds degrees into [-180, 180).
func Wrap180(deg float64) float64 { return Wrap360(deg+180) - 180 }

// Between returns the angle between two directions, 0 to 180 degrees.
func Between(a, b From) float64 { return math.Abs(Wrap180(float64(a) - float64(b))) }

// Position is a point in degrees north and east, WGS 84.
type Position struct {
	Lat float64 `json:"lat"`
	Lon float64 `json:"lon"`
}

// Check refuses what cannot be a place on Earth.
func (p Position) Check() error {
	if !(p.Lat >= -90 && p.Lat <= 90) {
		return fmt.Errorf("latitude %v: outside -90 to 90", p.Lat)
	}
	if !(p.Lon >= -180 && p.Lon <= 180) {
		return fmt.Errorf("longitude %v: outside -180 to 180", p.Lon)
	}
	return nil
}

// DistanceKm is the great-circle distance from a to b in kilometres (haversine form, stable for near points).
func DistanceKm(a, b Position) float64 {
	la, lb := a.Lat*math.Pi/180, b.Lat*math.Pi/180
	sLat := math.Sin((lb - la) / 2)
	sLon := math.Sin((b.Lon - a.Lon) * math.Pi / 360)
	h := sLat*sLat + math.Cos(la)*math.Cos(lb)*sLon*sLon
	return 2 * EarthRadiusKm * math.Asin(math.Min(1, math.Sqrt(h)))
}

// Bearing is the initial great-circle course from a to b.
func Bearing(a, b Position) Towards {
	la, lb := a.Lat*math.Pi/180, b.Lat*math.Pi/180
	dl := (b.Lon - a.Lon) * math.Pi / 180
	y := math.Sin(dl) * math.Cos(lb)
	x := math.Cos(la)*math.Sin(lb) - math.Sin(la)*math.Cos(lb)*math.Cos(dl)
	return Towards(Wrap360(math.Atan2(y, x) * 180 / math.Pi))
}

// Offset is the point reached from p after km along a great circle on course t.
func Offset(p Position, t Towards, km float64) Position {
	d := km / EarthRadiusKm
	la, lo, c := p.Lat*math.Pi/180, p.Lon*math.Pi/180, float64(t)*math.Pi/180
	lb := math.Asin(math.Sin(la)*math.Cos(d) + math.Cos(la)*math.Sin(d)*math.Cos(c))
	lo += math.Atan2(math.Sin(c)*math.Sin(d)*math.Cos(la), math.Cos(d)-math.Sin(la)*math.Sin(lb))
	return Position{Lat: lb * 180 / math.Pi, Lon: Wrap180(lo * 180 / math.Pi)}
}
