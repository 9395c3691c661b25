package sky

import "math"

// transit is when the body first passes the observer's meridian on the upper side, in the first
// length seconds: the almanacs' transit. Short of the polar circles the moon is within a few minutes
// of arc of its greatest height there.
func (k *track) transit(length float64) (s float64, ok bool) { return k.reaches(0, length) }

// reaches is when the hour angle first is angle (radians), in the first length seconds. It steps by
// how far the Earth has still to turn. Sun and moon run eastward, so the turn always falls a little
// short (by a part in 20 at most), and no step goes past the instant that is sought.
func (k *track) reaches(angle, length float64) (s float64, ok bool) {
	turn := math.Mod(angle-k.hourAngle(0), 2*math.Pi)
	if turn < 0 {
		turn += 2 * math.Pi
	}
	for step := turn / siderealRate; ; step = math.Remainder(angle-k.hourAngle(s), 2*math.Pi) / siderealRate {
		s += step
		switch {
		case s >= length:
			return 0, false
		case step < rootTo:
			return s, true
		}
	}
}

// hourAngle is how far west of the meridian the body stands s seconds after start, radians from -π to
// π. Parallax moves a body within the observer's own meridian plane only, so it is left out.
func (k *track) hourAngle(s float64) float64 {
	v := k.at(s)
	sθ, cθ := math.Sincos(k.θ + siderealRate*s)
	return math.Atan2(v[0]*sθ-v[1]*cθ, v[0]*cθ+v[1]*sθ)
}
