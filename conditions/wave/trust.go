package wave

import (
	"math"
	"time"
)

// ForecastSpread is the standard deviation of ln Hs between forecast and sea at a lead time:
// sqrt(0.13² + (0.06 day)²), with 0.15 more in quadrature near shore where the forecast has not
// been matched to the place. Our own assumption, shaped on remembered scatter against buoys;
// the bias towards low peaks of storms is not in it.
func ForecastSpread(lead time.Duration, nearshore bool) float64 {
	day := math.Max(0, lead.Hours()/24)
	v := 0.13*0.13 + 0.06*0.06*day*day
	if nearshore {
		v += 0.15 * 0.15
	}
	return math.Sqrt(v)
}

// Standard normal deviates passed in one case out of ten and one out of twenty.
const (
	OneInTen    = 1.2815515655446004
	OneInTwenty = 1.6448536269514722
)

// Margin is the factor on a forecast Hs that the sea passes in one case out of ten
// (deviate OneInTen) or twenty: exp(deviate times spread).
func Margin(spread, deviate float64) float64 { return math.Exp(deviate * spread) }
