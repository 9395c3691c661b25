package wave

import (
	"fmt"
	"math"
)

// Correlation of the heights of one wave and the next, from memory: what makes sets.
const (
	WindSeaCorrelation = 0.25 // 0.2 to 0.3
	SwellCorrelation   = 0.6  // 0.5 to 0.7
)

// Groups says how waves above a level come in sets. Counts are in waves; times the
// zero-crossing period gives seconds.
type Groups struct {
	Stay     float64 // chance that the wave after one above the level is above it too
	Run      float64 // mean number of waves in a run above the level
	Interval float64 // mean number of waves from the start of one set to the start of the next
}

// Sets gives the runs of waves above level (in Hs) when the heights of successive waves
// correlate with r, 0 to 0.95. Kimura (1980): a Markov chain of Rayleigh heights,
// with the bivariate Rayleigh law for neighbours.
func Sets(r, level float64) (Groups, error) {
	if !(r >= 0 && r <= 0.95) {
		return Groups{}, fmt.Errorf("correlation of successive heights %v: outside 0 to 0.95", r)
	}
	if !(level > 0 && level <= 3) {
		return Groups{}, fmt.Errorf("level of a set %v Hs: outside 0 to 3", level)
	}
	x := 2 * level * level // in mean squared heights, which are exponential
	above := math.Exp(-x)
	both := bothAbove(kimuraParameter(r), x)
	stay := both / above
	enter := (above - both) / (1 - above)
	run := 1 / (1 - stay)
	return Groups{Stay: stay, Run: run, Interval: run + 1/enter}, nil
}

// bothAbove is the chance that two neighbours both have squared height above x. The bivariate
// Rayleigh law with parameter kappa is, in squared heights, a mixture: with chance
// (1-rho) rho^k, rho = kappa², both are independent gamma variables of shape k+1 and
// scale 1-rho. So no Bessel function is needed, and every term is positive.
func bothAbove(kappa, x float64) float64 {
	rho := kappa * kappa
	z := x / (1 - rho)
	// survival of shape k+1 is the Poisson sum e^-z (1 + z + ... + z^k/k!)
	term := math.Exp(-z)
	tail, weight, sum := term, 1-rho, 0.0
	for k := 1; weight > 1e-18; k++ {
		sum += weight * tail * tail
		weight *= rho
		term *= z / float64(k)
		tail += term
	}
	return sum
}

// kimuraParameter finds the parameter whose height correlation is r:
// r = (E(k) - (1-k²) K(k)/2 - pi/4)/(1 - pi/4), with complete elliptic integrals of modulus k.
// r grows with k, so bisection cannot miss.
func kimuraParameter(r float64) float64 {
	lo, hi := 0.0, 1.0
	for range 60 {
		mid := (lo + hi) / 2
		k, e := elliptic(mid)
		if (e-(1-mid*mid)*k/2-math.Pi/4)/(1-math.Pi/4) < r {
			lo = mid
		} else {
			hi = mid
		}
	}
	if r == 0 {
		return 0
	}
	return (lo + hi) / 2
}

// elliptic gives the complete integrals K and E of modulus k by the arithmetic-geometric mean
// (Abramowitz and Stegun 17.6).
func elliptic(k float64) (first, second float64) {
	a, b, c := 1.0, math.Sqrt(1-k*k), k
	sum, two := c*c/2, 0.5
	for math.Abs(c) > 1e-16 {
		a, b, c = (a+b)/2, math.Sqrt(a*b), (a-b)/2
		two *= 2
		sum += two * c * c
	}
	first = math.Pi / (2 * a)
	return first, first * (1 - sum)
}
