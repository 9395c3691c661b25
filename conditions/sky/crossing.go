package sky

import "math"

// A body's height over a day is close to a sine wave in the hour angle (plus a slow drift), so it
// turns round only about every twelve hours. Looking every ten minutes finds each plain crossing.
// Near the polar circles a body may come up and go down again, or dip and return, between two
// looks; those pairs are found by walking to every turning point that comes close to the level.
const (
	lookEvery = 600.0 // seconds
	// turnMargin is the most that the height (a sine) can rise from a look to a turning point
	// within one step: half the greatest curvature, 1 per radian squared of hour angle and a little
	// for the moon's own motion, times the step squared (600 s are 0.044 radians), doubled.
	turnMargin = 0.002
	rootTo     = 0.05 // seconds
)

// crossing is a passage through a level, s seconds after the start.
type crossing struct {
	s  float64
	up bool
}

// looks are heights taken every step seconds from one step before the start to one after the end;
// looks[1] is the start.
type looks struct {
	step float64
	h    []float64
}

func take(f func(s float64) float64, length float64) looks {
	n := int(math.Ceil(length / lookEvery))
	l := looks{step: length / float64(n), h: make([]float64, n+3)}
	for i := range l.h {
		l.h[i] = f(float64(i-1) * l.step)
	}
	return l
}

// crossings are the passages of f through level from the start to the end of the looks, in order.
// At the level counts as above it.
func (l looks) crossings(f func(s float64) float64, level float64) []crossing {
	var found []crossing
	for i := 1; i+2 < len(l.h); i++ {
		lo, hi := float64(i-1)*l.step, float64(i)*l.step
		a, b := l.h[i]-level, l.h[i+1]-level
		if (a < 0) != (b < 0) {
			found = append(found, crossing{bisect(f, level, lo, hi, a < 0), a < 0})
			continue
		}
		sign := 1.0 // look for a top that comes through from below
		if a >= 0 {
			sign = -1 // or for a dip from above
		}
		rising := sign*(l.h[i]-l.h[i-1]) > 0
		falling := sign*(l.h[i+2]-l.h[i+1]) < 0
		if !rising || !falling || math.Min(math.Abs(a), math.Abs(b)) > turnMargin {
			continue
		}
		turn := top(f, sign, lo, hi)
		if (f(turn)-level < 0) == (a < 0) {
			continue // turns back before it gets there
		}
		found = append(found,
			crossing{bisect(f, level, lo, turn, a < 0), a < 0},
			crossing{bisect(f, level, turn, hi, a >= 0), a >= 0})
	}
	return found
}

// bisect halves lo to hi down to where f passes level; up says that it is below at lo.
func bisect(f func(s float64) float64, level, lo, hi float64, up bool) float64 {
	for hi-lo > rootTo {
		mid := (lo + hi) / 2
		if (f(mid) < level) == up {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// top narrows lo to hi down to where sign*f is greatest, by the golden section.
func top(f func(s float64) float64, sign, lo, hi float64) float64 {
	const g = 1 / math.Phi
	x1, x2 := hi-g*(hi-lo), lo+g*(hi-lo)
	f1, f2 := sign*f(x1), sign*f(x2)
	for hi-lo > rootTo {
		if f1 < f2 {
			lo, x1, f1 = x1, x2, f2
			x2 = lo + g*(hi-lo)
			f2 = sign * f(x2)
		} else {
			hi, x2, f2 = x2, x1, f1
			x1 = hi - g*(hi-lo)
			f1 = sign * f(x1)
		}
	}
	return (lo + hi) / 2
}
