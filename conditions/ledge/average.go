package ledge

import (
	"math"
	"time"
)

const day = 24 * time.Hour

// The average over u ~ N(0,1) is a sum over equally spaced nodes from -6 to 6 (the trapezoid
// rule). What is summed is smooth and has died out at both ends, and for such a function the
// rule converges faster than any power of the spacing; no Gauss formula does better on
// 1 - exp(-Lambda(u)), which climbs from 0 to 1 within a fraction of a unit somewhere that
// moves with every case. 2e-9 of the mass lies outside. 401 nodes hold it to 1e-6 for every
// spread the chain can meet.
const (
	nodes   = 401
	reachU  = 6.0
	spacing = 2 * reachU / (nodes - 1)
)

var mass = func() (m [nodes]float64) {
	var sum float64
	for j := range m {
		u := -reachU + spacing*float64(j)
		m[j] = math.Exp(-u * u / 2)
		sum += m[j]
	}
	for j := range m {
		m[j] /= sum
	}
	return m
}()

// add adds a step's expected washes to Lambda at every node, and returns the chance of at least
// one wash in this step alone.
func (c *chain) add(s *WashStep) float64 {
	// e^(-2 sigma u) over equal spacings is a geometric row: one product a node instead of an exponential.
	a := s.ratio2()
	if math.IsInf(a, 1) {
		return 0
	}
	a *= math.Exp(2 * s.SigmaTotal * reachU)
	shrink := math.Exp(-2 * s.SigmaTotal * spacing)
	var chance float64
	for j := range c.lambda {
		if a < 745 { // else the share is below the smallest number
			washes := s.Waves * math.Exp(-a)
			c.lambda[j] += washes
			chance += mass[j] * atLeastOne(washes)
		}
		a *= shrink
	}
	return math.Min(1, chance)
}

// chance is the chance of at least one wash in all steps added so far.
func (c *chain) chance() float64 {
	var p float64
	for j, l := range c.lambda {
		p += mass[j] * atLeastOne(l)
	}
	return math.Min(1, p)
}

// atLeastOne is 1 - e^-lambda, without the exponential where it is 1 to the last digit or where three terms of its series are.
func atLeastOne(lambda float64) float64 {
	if lambda > 38 {
		return 1
	}
	if lambda < 1e-4 { // the next term is lambda^4/24
		return lambda * (1 - lambda/2*(1-lambda/3))
	}
	return -math.Expm1(-lambda)
}
