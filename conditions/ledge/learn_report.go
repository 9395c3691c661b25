package ledge

import (
	"time"

	"ledgehand/conditions/measure"
)

// PhiOf is how much more counts vary than Poisson's in a sea of this peak period: swell, from 10 s on, comes in longer
// sets. Where the period is not known (0) it is taken for swell, which makes a count say less.
func PhiOf(peak measure.Seconds) float64 {
	if peak > 0 && peak < swellFrom {
		return PhiWindSea
	}
	return PhiSwell
}

// Counted is what a watch saw: so many waves that would have reached the feet, or a mark whose freeboard the spans give.
func Counted(at time.Time, washes int, peak measure.Seconds, spans ...Span) Observation {
	return Observation{At: at, Washes: washes, Spans: spans, Phi: PhiOf(peak)}
}

// Reported is what a session says that nobody counted: water came over the lip at least once, or it stayed dry, in all the
// hours fished, one span for each. Nobody knows how often it came, so washed stands for once or more.
func Reported(at time.Time, washed bool, peak measure.Seconds, spans ...Span) Observation {
	o := Observation{At: at, Spans: spans, Phi: PhiOf(peak)}
	if washed {
		o.Washes, o.AtLeast = 1, true
	}
	return o
}
