package tide

import "math"

// A wheel is the sum of one station over one arc: each constituent turns as
// amp·exp(grow·τ)·cos(phase + speed·τ), τ in hours from the start of the arc.
type wheel struct {
	start, end              int64 // Unix seconds
	amp, phase, speed, grow []float64
}

func newWheel(n int) *wheel {
	a := make([]float64, 4*n)
	return &wheel{amp: a[:n:n], phase: a[n : 2*n : 2*n], speed: a[2*n : 3*n : 3*n], grow: a[3*n:]}
}

// set turns the wheel to an arc.
func (w *wheel) set(a *arc, terms []term) {
	w.start, w.end = a.start, a.end
	for i := range terms {
		v, rate, lnf, dlnf := a.argument(terms[i].line)
		w.amp[i] = terms[i].amp * math.Exp(lnf)
		v -= terms[i].lag
		w.phase[i] = (v - 360*math.Floor(v/360)) * (math.Pi / 180)
		w.speed[i] = rate * (math.Pi / 180)
		w.grow[i] = dlnf
	}
}

// grown is exp(g): node factors change by a thousandth a day, where three terms are exact.
func grown(g float64) float64 {
	if math.Abs(g) < 0.003 {
		return 1 + g*(1+g*(0.5+g*(1.0/6)))
	}
	return math.Exp(g)
}

// height sums the wheel at one instant, metres from the mean level.
func (w *wheel) height(tau float64) float64 {
	var sum float64
	for i, p := range w.phase {
		sum += w.amp[i] * grown(w.grow[i]*tau) * math.Cos(p+w.speed[i]*tau)
	}
	return sum
}

// all gives the height and its first two derivatives by the hour.
func (w *wheel) all(tau float64) (h, v, acc float64) {
	for i, p := range w.phase {
		s, c := math.Sincos(p + w.speed[i]*tau)
		a := w.amp[i] * grown(w.grow[i]*tau)
		x, y := a*c, a*s
		vx, vy := w.grow[i]*x-w.speed[i]*y, w.grow[i]*y+w.speed[i]*x
		h += x
		v += vx
		acc += w.grow[i]*vx - w.speed[i]*vy
	}
	return h, v, acc
}

// restart is how many steps the recurrence below runs from exact values; its error grows with the square of it.
const restart = 512

// series adds the order-th derivative (0, 1 or 2) at tau0, tau0+dt, ... onto dst. A damped cosine on a regular grid
// obeys x[k+1] = 2r·cos(ω·dt)·x[k] − r²·x[k−1] with r = exp(grow·dt): no cosine per sample.
// Error against direct summing under 1e-9 m (tested) for steps from a second to a day.
func (w *wheel) series(dst []float64, tau0, dt float64, order int) {
	for len(dst) > restart {
		w.series(dst[:restart], tau0, dt, order)
		dst, tau0 = dst[restart:], tau0+restart*dt
	}
	n := len(w.amp)
	i := 0
	for ; i+4 <= n; i += 4 {
		a0, b0, c0, d0 := w.begin(i, tau0, dt, order)
		a1, b1, c1, d1 := w.begin(i+1, tau0, dt, order)
		a2, b2, c2, d2 := w.begin(i+2, tau0, dt, order)
		a3, b3, c3, d3 := w.begin(i+3, tau0, dt, order)
		for k := range dst {
			dst[k] += (a0 + a1) + (a2 + a3)
			a0, b0 = b0, c0*b0-d0*a0
			a1, b1 = b1, c1*b1-d1*a1
			a2, b2 = b2, c2*b2-d2*a2
			a3, b3 = b3, c3*b3-d3*a3
		}
	}
	for ; i < n; i++ {
		a, b, c, d := w.begin(i, tau0, dt, order)
		for k := range dst {
			dst[k] += a
			a, b = b, c*b-d*a
		}
	}
}

// begin gives the first two samples and the two coefficients of one constituent's recurrence.
func (w *wheel) begin(i int, tau0, dt float64, order int) (x0, x1, c, d float64) {
	s, co := math.Sincos(w.phase[i] + w.speed[i]*tau0)
	a := w.amp[i] * grown(w.grow[i]*tau0)
	x, y := a*co, a*s
	for range order {
		x, y = w.grow[i]*x-w.speed[i]*y, w.grow[i]*y+w.speed[i]*x
	}
	s, co = math.Sincos(w.speed[i] * dt)
	r := grown(w.grow[i] * dt)
	return x, r * (x*co - y*s), 2 * r * co, r * r
}
