package tide

import (
	"math"
	"time"

	"ledgehand/conditions/measure"
)

// Kind says whether a turn of the tide is a high or a low water.
type Kind string

const (
	High Kind = "high"
	Low  Kind = "low"
)

// An Extreme is a high or low water: the instant to the nearest second, the height in metres above the datum, to the
// micrometre: so the same water found through two windows is the same value.
type Extreme struct {
	At     time.Time
	Height measure.Metres
	Kind   Kind
}

// turn is an extreme in the making.
type turn struct {
	at   float64 // Unix seconds
	h    float64 // metres
	high bool
}

const (
	grid      = 48                 // samples a day of the search: half an hour, an eighth of the period of M6
	gridDt    = 24.0 / grid        // hours
	blockDays = 8                  // days searched at a time
	perBlock  = blockDays*grid + 1 // samples of them, both ends included
	margin    = 36 * 3600          // seconds searched beyond a window, so that what is found does not hang on it
)

// Extremes lists the high and low waters from from to to, both included, in order; high and low alternate.
func (p *Predictor) Extremes(from, to time.Time) []Extreme {
	if to.Before(from) {
		return nil
	}
	var out []Extreme
	for _, t := range p.curve.extremes(unix(from), unix(to)) {
		out = append(out, t.extreme())
	}
	return out
}

func (t turn) extreme() Extreme {
	e := Extreme{At: clock(t.at), Height: measure.Metres(math.Round(t.h*1e6) / 1e6), Kind: Low}
	if t.high {
		e.Kind = High
	}
	return e
}

// extremes are the turns of a wider window without the wiggles, cut to the window.
func (h *harmonic) extremes(from, to float64) []turn {
	return cut(prune(h.turns(from-margin, to+margin), h.prune), from, to)
}

// cut keeps the turns that, on the clock, lie in the window.
func cut(ts []turn, from, to float64) []turn {
	for len(ts) > 0 && ts[0].at < from-0.5 {
		ts = ts[1:]
	}
	for len(ts) > 0 && ts[len(ts)-1].at > to+0.5 {
		ts = ts[:len(ts)-1]
	}
	return ts
}

// turns finds every turn in the whole days around a window. It samples h' and h" on a grid fixed to the UTC day,
// takes every change of sign of h', looks for two changes hidden between samples where h" says that |h'| dips,
// and refines to the second.
func (h *harmonic) turns(from, to float64) []turn {
	first := floorDiv(int64(math.Floor(from)), secondsPerDay) * secondsPerDay
	end := (floorDiv(int64(math.Ceil(to)), secondsPerDay) + 1) * secondsPerDay
	out := make([]turn, 0, 8+(end-first)/(6*3600))
	var vs, as [perBlock]float64
	w := newWheel(len(h.terms))
	rising := 0.0 // sign of h' so far, 0 while unknown
	for start := first; start < end; {
		if w.end == 0 || start >= w.end {
			w.set(h.arcAt(start), h.terms)
		}
		stop := min(end, w.end, start+blockDays*secondsPerDay)
		tau := float64(start-w.start) / 3600
		n := int(stop-start)/(secondsPerDay/grid) + 1
		v, a := vs[:n], as[:n]
		clear(v)
		clear(a)
		w.series(v, tau, gridDt, 1)
		w.series(a, tau, gridDt, 2)
		s := search{w: w, z0: h.z0}
		if rising*v[0] < 0 { // the step at New Year in year mode
			out = append(out, s.turn(tau, v[0] < 0))
			rising = -rising
		}
		if rising == 0 {
			rising = sign(v[0])
		}
		for k := 1; k < n; k++ {
			t0, t1 := tau+float64(k-1)*gridDt, tau+float64(k)*gridDt
			switch {
			case rising == 0:
				rising = sign(v[k])
			case rising*v[k] < 0:
				out = append(out, s.root(t0, t1, v[k-1], v[k], a[k-1], a[k]))
				rising = -rising
			case rising*a[k-1] < 0 && rising*a[k] > 0:
				if m, vm, am, ok := s.dip(t0, t1, v[k-1], v[k], a[k-1], a[k], rising); ok {
					out = append(out, s.root(t0, m, v[k-1], vm, a[k-1], am), s.root(m, t1, vm, v[k], am, a[k]))
				}
			}
		}
		start = stop
	}
	return out
}

func sign(v float64) float64 {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}

// search refines turns on one wheel; times are hours from the start of its arc.
type search struct {
	w  *wheel
	z0 float64
}

func (s search) turn(tau float64, high bool) turn {
	return turn{at: float64(s.w.start) + tau*3600, h: s.z0 + s.w.height(tau), high: high}
}

// settled is the correction, in hours, that is not worth making any more.
const settled = 0.1 / 3600

// root finds where h' passes zero between lo and hi: first on the cubic through both ends, then by Newton on the
// exact sum, kept within the bracket.
func (s search) root(lo, hi, vlo, vhi, alo, ahi float64) turn {
	high := vlo > 0 || vhi < 0
	jerk := math.Abs(ahi-alo) / (hi - lo)
	t := lo + cubicRoot(hi-lo, vlo, vhi, alo, ahi)
	for range 60 {
		h, v, a := s.w.all(t)
		if v == 0 {
			return turn{at: float64(s.w.start) + t*3600, h: s.z0 + h, high: high}
		}
		if (v > 0) == high {
			lo = t
		} else {
			hi = t
		}
		step := -v / a
		if a == 0 || t+step < lo || t+step > hi {
			step = (lo+hi)/2 - t
			if hi-lo < settled {
				return s.turn(t, high)
			}
			t += step
			continue
		}
		t += step
		// Newton's error after a step is the square of the step by half the ratio of the third derivative to the second
		if step*step*jerk < settled*math.Abs(a) || math.Abs(step) < settled {
			// h is flat here: the second-order term carries the last step
			return turn{at: float64(s.w.start) + t*3600, h: s.z0 + h + step*(v+a*step/2), high: high}
		}
	}
	return s.turn(t, high)
}

// dip looks for the place between two samples of equal sign where h' comes nearest to zero, and tells whether it
// passes zero there.
func (s search) dip(t0, t1, v0, v1, a0, a1, rising float64) (m, v, a float64, ok bool) {
	// |h'| hangs like a chain between the samples, so it stays above the point where the tangents at both ends meet
	x := (v1 - v0 - a1*(t1-t0)) / (a0 - a1)
	if rising*(v0+a0*x) > 0 {
		return 0, 0, 0, false
	}
	m = t0 + (t1-t0)*a0/(a0-a1)
	lo, hi := t0, t1
	for range 40 {
		_, v, a = s.w.all(m)
		if rising*v < 0 {
			return m, v, a, true
		}
		if rising*a < 0 {
			lo = m
		} else {
			hi = m
		}
		if hi-lo < settled {
			break
		}
		m = (lo + hi) / 2
	}
	return 0, 0, 0, false
}

// cubicRoot solves the Hermite cubic of h' on [0, d] for zero, bracketed.
func cubicRoot(d, v0, v1, a0, a1 float64) float64 {
	lo, hi := 0.0, 1.0
	x := v0 / (v0 - v1)
	if !(x >= 0 && x <= 1) {
		x = 0.5
	}
	c2 := 3*(v1-v0) - d*(2*a0+a1)
	c3 := 2*(v0-v1) + d*(a0+a1)
	for range 8 {
		f := v0 + x*(d*a0+x*(c2+x*c3))
		if (f > 0) == (v0 > 0) {
			lo = x
		} else {
			hi = x
		}
		slope := d*a0 + x*(2*c2+3*x*c3)
		next := x - f/slope
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		if math.Abs(next-x) < 1e-6 {
			return next * d
		}
		x = next
	}
	return x * d
}

// prune drops pairs of turns both of whose rises are under the limit, smallest first: a stand with a ripple on it
// counts once. A wave on the flank of a long rise has one large rise and stays, as do double highs and lows.
func prune(ts []turn, limit float64) []turn {
	if limit <= 0 {
		return ts
	}
	for {
		best, size := -1, limit
		for i := 1; i+1 < len(ts); i++ {
			rise := math.Max(math.Abs(ts[i].h-ts[i-1].h), math.Abs(ts[i].h-ts[i+1].h))
			if rise < size {
				best, size = i, rise
			}
		}
		if best < 0 {
			return ts
		}
		// the turn goes, and of its two neighbours the lesser: the higher high or the lower low stays
		less := best - 1
		if (ts[best+1].h < ts[best-1].h) == ts[best-1].high {
			less = best + 1
		}
		i := min(best, less)
		ts = append(ts[:i:i], ts[i+2:]...)
	}
}
