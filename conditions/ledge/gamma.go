package ledge

import "math"

// gammaP is the regularised lower incomplete gamma function P(a, x): a series below a+1, a
// continued fraction above (Abramowitz and Stegun 6.5.29 and 6.5.31). About 1e-14.
func gammaP(a, x float64) float64 {
	if x <= 0 {
		return 0
	}
	if math.IsInf(x, 1) {
		return 1
	}
	lg, _ := math.Lgamma(a)
	front := math.Exp(a*math.Log(x) - x - lg)
	if x < a+1 {
		term := 1 / a
		sum := term
		for n := a + 1; term > sum*1e-17; n++ {
			term *= x / n
			sum += term
		}
		return front * sum
	}
	const tiny = 1e-300
	b := x + 1 - a
	c, d := 1/tiny, 1/b
	h := d
	for i := 1.0; i < 10000; i++ { // Lentz; a few dozen turns unless a is huge
		an := -i * (i - a)
		b += 2
		if d = an*d + b; math.Abs(d) < tiny {
			d = tiny
		}
		if c = b + an/c; math.Abs(c) < tiny {
			c = tiny
		}
		d = 1 / d
		h *= d * c
		if math.Abs(d*c-1) < 1e-16 {
			break
		}
	}
	return 1 - front*h
}

// gammaQuantile is x with P(a, x) = p, for 0 < p < 1. Newton's steps from the Wilson-Hilferty
// start, kept inside a bracket that every step narrows, so it cannot run away for a below 1,
// where the density has no top. Half of it at a = nu/2 doubled is the chi-square quantile.
func gammaQuantile(p, a float64) float64 {
	lo, hi := 0.0, a+10*math.Sqrt(a)+50
	for gammaP(a, hi) < p {
		hi *= 2
	}
	z := math.Sqrt2 * math.Erfinv(2*p-1)
	w := 1 - 1/(9*a) + z/(3*math.Sqrt(a))
	x := a * w * w * w
	lg, _ := math.Lgamma(a)
	for range 200 {
		if !(x > lo && x < hi) {
			x = (lo + hi) / 2
		}
		miss := gammaP(a, x) - p
		if miss < 0 {
			lo = x
		} else {
			hi = x
		}
		next := x - miss/math.Exp((a-1)*math.Log(x)-x-lg)
		if math.Abs(next-x) <= 1e-14*x || hi-lo <= 1e-15*hi {
			return x
		}
		x = next
	}
	return x
}
