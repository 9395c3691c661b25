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

// ReportDoubt is how many times less a report says than a watch over the same hours: its log-likelihood is divided by so much
// again. Whoever fishes looks at the rod, the knife and the fish: thin water behind them goes unseen, the hours are those
// between two messages and not on the lip, and what is asked in the evening is remembered (common practice, no source; that
// it is two, engineering judgement).
const ReportDoubt = 2

// Of "once or twice" the least is once, and of "often" more than twice: nobody counted, so more than the least is open.
const (
	ReportedOnce  = 1
	ReportedOften = 3
)

// Reported is what a session says that nobody counted: it stayed dry in all the hours fished, one span for each, or water
// came over the lip at least so often.
func Reported(at time.Time, atLeast int, peak measure.Seconds, spans ...Span) Observation {
	return Observation{At: at, Washes: atLeast, AtLeast: atLeast > 0, Report: true, Spans: spans, Phi: PhiOf(peak) * ReportDoubt}
}
