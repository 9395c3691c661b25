package wave

import (
	"fmt"
	"math"

	"ledgehand/conditions/measure"
)

// PeriodKind says which statistic of a sea state a "period" is. Feeds differ, and mistaking
// one for another moves a period by up to 30 %.
type PeriodKind string

// The kinds of wave period.
const (
	Peak   PeriodKind = "peak"   // Tp
	Energy PeriodKind = "energy" // Tm-1,0, also called Te
	Mean01 PeriodKind = "mean"   // Tm01
	Zero   PeriodKind = "zero"   // Tz, Tm02: mean time between up-crossings
)

// WindSeaPeak is the JONSWAP peak enhancement taken where nothing better is known.
const WindSeaPeak = 3.3

// Ratios are the mean periods of a spectrum over its peak period.
type Ratios struct{ Energy, Mean01, Zero float64 }

// windSea is held because the wash chain asks for it for every partition of every hour.
var windSea = jonswap(WindSeaPeak)

// JonswapRatios gives the mean periods of a JONSWAP spectrum (sigma 0.07 and 0.09, moments
// integrated to infinite frequency) over its peak period, for a peak enhancement gamma of
// 1 (an old sea) to 20. Hasselmann et al. (1973). Feeds that cut the tail off give a longer Tz.
func JonswapRatios(gamma float64) (Ratios, error) {
	if !(gamma >= 1 && gamma <= 20) {
		return Ratios{}, fmt.Errorf("peak enhancement %v: outside 1 to 20", gamma)
	}
	if gamma == WindSeaPeak {
		return windSea, nil
	}
	return jonswap(gamma), nil
}

// Convert turns a period of one kind into another, for a JONSWAP spectrum of this gamma.
func Convert(t measure.Seconds, from, to PeriodKind, gamma float64) (measure.Seconds, error) {
	r, err := JonswapRatios(gamma)
	if err != nil {
		return 0, err
	}
	a, err := r.of(from)
	if err != nil {
		return 0, err
	}
	b, err := r.of(to)
	if err != nil {
		return 0, err
	}
	return t * measure.Seconds(b/a), nil
}

func (r Ratios) of(k PeriodKind) (float64, error) {
	switch k {
	case Peak:
		return 1, nil
	case Energy:
		return r.Energy, nil
	case Mean01:
		return r.Mean01, nil
	case Zero:
		return r.Zero, nil
	}
	return 0, fmt.Errorf("kind of wave period %q: not one of peak, energy, mean, zero", string(k))
}

// jonswap integrates x^(n-5) exp(-1.25 x^-4) gamma^G for n = -1, 0, 1, 2 with x = f/fp and
// G = exp(-(x-1)²/(2 sigma²)). Without enhancement the moments are gamma functions; what
// the peak adds is gone ten sigmas from it, so only that is summed (Simpson, split at
// x = 1 where sigma jumps), and no tail is ever cut.
func jonswap(gamma float64) Ratios {
	var m [4]float64 // m[n+1]
	for i := range m {
		p := float64(4-(i-1)) / 4
		m[i] = math.Pow(1.25, -p) * math.Gamma(p) / 4
	}
	add := func(from, to, sigma float64) {
		const intervals = 200
		h := (to - from) / intervals
		for i := 0; i <= intervals; i++ {
			w := 2.0
			switch {
			case i == 0 || i == intervals:
				w = 1
			case i%2 == 1:
				w = 4
			}
			x := from + h*float64(i)
			d := (x - 1) / sigma
			s := w * h / 3 * math.Exp(-1.25/(x*x*x*x)) / (x * x * x * x * x * x) *
				math.Expm1(math.Log(gamma)*math.Exp(-d*d/2))
			for n := range m {
				m[n] += s
				s *= x
			}
		}
	}
	add(1-10*0.07, 1, 0.07)
	add(1, 1+10*0.09, 0.09)
	return Ratios{Energy: m[0] / m[1], Mean01: m[1] / m[2], Zero: math.Sqrt(m[1] / m[3])}
}
