package sky

import (
	"math"
	"time"

	"github.com/soniakeys/meeus/v3/globe"
	"github.com/soniakeys/meeus/v3/sidereal"

	"ledgehand/conditions/measure"
)

// nodes is how many positions carry a body through a day: the polynomial through eight of them stays
// within 0.1" of the series, which is 0.01 s, at a twentieth of the work.
const nodes = 8

// siderealRate is how fast the Earth turns against the equinox, radians a second (Meeus formula 12.4).
const siderealRate = 2 * math.Pi * 1.00273790935 / secondsPerDay

// track is the path of one body over one place during about a day, quick to read at any second of
// it. Seconds count from the start it was made with.
type track struct {
	centre float64    // of the span covered, seconds
	half   float64    // half the span covered, seconds
	zenith [2]float64 // sin and cos of the latitude
	ground [2]float64 // the observer along and across the Earth's axis, in equatorial radii
	θ      float64    // local sidereal angle at start, radians
	cheb   [nodes]spot
}

// spot is what a track carries, as values or as Chebyshev coefficients: the direction from the
// middle of the Earth (0 to 2), the sine of the horizontal parallax (3) and of the standard altitude (4).
type spot [5]float64

// newTrack follows body over o from lead seconds before start to lead seconds after length.
func newTrack(b Body, o globe.Coord, start time.Time, length, lead float64) *track {
	k := &track{centre: length / 2, half: length/2 + lead}
	k.zenith[0], k.zenith[1] = o.Lat.Sincos()
	k.ground[0], k.ground[1] = globe.Earth76.ParallaxConstants(o.Lat, 0)
	jd := julianDay(start)
	// Nutation moves the equinox by about 0.1" in a day (0.007 s of time), so the apparent sidereal
	// time of the middle, carried at the mean rate, serves all of it.
	k.θ = localAngle(o, sidereal.Apparent(jd+k.centre/secondsPerDay)) - siderealRate*k.centre

	var at [nodes]spot
	for i := range at {
		x := math.Cos(math.Pi * (float64(i) + 0.5) / nodes)
		p := bodyAt(b, ephemerisDay(jd+(k.centre+k.half*x)/secondsPerDay))
		v := p.vector()
		at[i] = spot{v[0], v[1], v[2], 0, sunAltitude.Sin()} // the almanacs leave out the sun's parallax, 9"
		if b == Moon {
			at[i][3], at[i][4] = globe.Earth76.Er/p.km, moonAltitude(p.km).Sin()
		}
	}
	for j := range k.cheb {
		for i := range at {
			w := 2.0 / nodes * math.Cos(math.Pi*float64(j)*(float64(i)+0.5)/nodes)
			if j == 0 {
				w /= 2
			}
			for c := range at[i] {
				k.cheb[j][c] += w * at[i][c]
			}
		}
	}
	return k
}

// height is the sine of the body's altitude s seconds after start, the moon's from the ground and
// the sun's from the middle of the Earth, and above is by how much that passes the sine of its
// standard altitude: negative when it has set.
func (k *track) height(s float64) (sin, above float64) {
	v := k.at(s)
	sθ, cθ := math.Sincos(k.θ + siderealRate*s)
	out := v[0]*cθ + v[1]*sθ // away from the axis, in the observer's meridian
	sin = v[2]*k.zenith[0] + out*k.zenith[1]
	if π := v[3]; π != 0 {
		up := k.ground[0]*k.zenith[0] + k.ground[1]*k.zenith[1]
		along := v[2]*k.ground[0] + out*k.ground[1]
		square := k.ground[0]*k.ground[0] + k.ground[1]*k.ground[1]
		sin = (sin - π*up) / math.Sqrt(1-2*π*along+π*π*square)
	}
	return sin, sin - v[4]
}

// sine is height's first result alone.
func (k *track) sine(s float64) float64 {
	sin, _ := k.height(s)
	return sin
}

// towards is the azimuth s seconds after start for somebody at o, for whom the track was made, seen
// from the middle of the Earth: for the sun that is good to its parallax, 9".
func (k *track) towards(o globe.Coord, s float64) measure.Towards {
	v := k.at(s)
	_, azimuth := horizontal(o, k.θ+siderealRate*s, [3]float64{v[0], v[1], v[2]})
	return azimuth
}

// at sums the Chebyshev series by Clenshaw's recurrence.
func (k *track) at(s float64) spot {
	x := (s - k.centre) / k.half
	var b1, b2 spot
	for j := nodes - 1; j > 0; j-- {
		c := &k.cheb[j]
		for i := range b1 {
			b1[i], b2[i] = 2*x*b1[i]-b2[i]+c[i], b1[i]
		}
	}
	var v spot
	for i := range v {
		v[i] = x*b1[i] - b2[i] + k.cheb[0][i]
	}
	return v
}
