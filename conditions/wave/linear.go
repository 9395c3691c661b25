package wave

import (
	"fmt"
	"math"

	"ledgehand/conditions/measure"
)

// Linear is one small wave in water of one depth.
type Linear struct {
	K        float64        `json:"k"`            // wave number, radians per metre
	Length   measure.Metres `json:"length_m"`     //
	Celerity float64        `json:"celerity_ms"`  // of the crests, m/s
	Group    float64        `json:"group_ms"`     // of the energy, m/s
	N        float64        `json:"n"`            // group over crest speed, 1/2 deep to 1 shallow
	Ks       float64        `json:"ks"`           // shoaling: height here over height in deep water
	KH       float64        `json:"kh,omitempty"` // k times depth, left 0 in deep water
	Deep     bool           `json:"deep,omitempty"`
}

// Solve gives the linear wave of one period in one depth; depth +Inf is deep water.
// g is gravity in m/s², measure.Gravity unless a worked example says otherwise.
//
// Airy theory as in USACE, Coastal Engineering Manual EM 1110-2-1100, part II-1.
func Solve(period measure.Seconds, depth measure.Metres, g float64) (Linear, error) {
	t, h := float64(period), float64(depth)
	switch {
	case !(t > 0) || math.IsInf(t, 1):
		return Linear{}, fmt.Errorf("wave period %v s: must be above 0", t)
	case !(h > 0):
		return Linear{}, fmt.Errorf("water depth %v m: must be above 0", h)
	case !(g > 0) || math.IsInf(g, 1):
		return Linear{}, fmt.Errorf("gravity %v m/s2: must be above 0", g)
	}
	omega := 2 * math.Pi / t
	if math.IsInf(h, 1) {
		k := omega * omega / g
		return Linear{K: k, Length: measure.Metres(2 * math.Pi / k), Celerity: omega / k, Group: omega / k / 2, N: 0.5, Ks: 1, Deep: true}, nil
	}
	kh := dispersion(omega * omega * h / g)
	k := kh / h
	n := groupRatio(kh)
	c := omega / k
	return Linear{
		K: k, Length: measure.Metres(2 * math.Pi / k), Celerity: c, Group: n * c, N: n,
		Ks: 1 / math.Sqrt(2*n*math.Tanh(kh)), KH: kh,
	}, nil
}

// Shoaling is the height here over the height in deep water, without refraction or breaking:
// sqrt(cg0/cg). It is smallest, 0.913, where depth is 0.16 of the deep-water length.
func Shoaling(period measure.Seconds, depth measure.Metres, g float64) (float64, error) {
	w, err := Solve(period, depth, g)
	return w.Ks, err
}

// DeepLength is the deep-water length g T²/(2 pi).
func DeepLength(period measure.Seconds, g float64) measure.Metres {
	return measure.Metres(g * float64(period) * float64(period) / (2 * math.Pi))
}

// dispersion solves x tanh x = y for x = kh, y = omega²h/g: the start of Guo (2002) with its
// exponents rounded to 5/4 and 2/5 (0.79 % off), then two Newton steps, which leaves less
// than 2e-10 relative over y = 1e-6 to 1e3 (Newton's error squares: 8e-3, 2e-5, 2e-10).
func dispersion(y float64) float64 {
	// -Expm1 rather than 1-Exp: for small y the difference is all there is.
	x := y * math.Pow(-math.Expm1(-math.Pow(y, 1.25)), -0.4)
	for range 2 {
		th := math.Tanh(x)
		x -= (x*th - y) / (th + x*(1-th*th))
	}
	return x
}

// groupRatio is n = (1 + 2kh/sinh 2kh)/2.
func groupRatio(kh float64) float64 {
	if kh > 300 { // sinh overflows; the term is below 1e-250 long before
		return 0.5
	}
	return (1 + 2*kh/math.Sinh(2*kh)) / 2
}
