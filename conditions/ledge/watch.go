package ledge

import (
	"fmt"
	"math"
)

// The prior shape of a rate of which nothing is known, after Jeffreys.
const JeffreysShape = 0.5

// leastSure is the share of cases an "upper 95 %" leaves out.
const leastSure = 0.05

// WatchInput is a watch from above: how many waves would have reached the feet in how many minutes,
// and how long somebody then means to stay.
type WatchInput struct {
	Washes      int      `json:"k"`
	Minutes     float64  `json:"minutes"`
	ThenMinutes float64  `json:"then_minutes"`
	PriorShape  *float64 `json:"prior_a,omitempty"` // JeffreysShape if left out
}

// WatchResult is what the count alone says, for a sea and tide that stay as they were.
type WatchResult struct {
	ChanceAny     float64 `json:"p_any"`                // of at least one wash in the stay
	MeanPerMinute float64 `json:"rate_mean_per_min"`    //
	Upper95       float64 `json:"rate_upper95_per_h"`   // washes an hour: higher rates are excluded at 95 %
	Median        float64 `json:"rate_median_per_min"`  //
	P95           float64 `json:"rate_p95_per_min"`     // of the rate as now believed, prior included
	CleanNeeded   float64 `json:"clean_minutes_needed"` // length of a dry watch that would show a chance of 5 % or less for the stay
}

// InferWatch draws what can be drawn from a watch, by a gamma prior on the rate of a Poisson
// stream: rate ~ Gamma(a+k, t), chance of any = 1 - (t/(t+T))^(k+a). Upper95 takes no prior: it
// is the one-sided limit chi2(0.95, 2k+2)/(2t) (Garwood 1936), for a dry watch 2.996/t, the
// "rule of three". Sets make counts vary more than Poisson's, so all of it says too much
// rather than too little; a rising tide is not in it.
func InferWatch(in WatchInput) (WatchResult, error) {
	a := JeffreysShape
	if in.PriorShape != nil {
		a = *in.PriorShape
	}
	switch {
	case in.Washes < 0 || in.Washes > 1e6:
		return WatchResult{}, fmt.Errorf("washes counted %d: outside 0 to 1000000", in.Washes)
	case !(in.Minutes > 0) || math.IsInf(in.Minutes, 1):
		return WatchResult{}, fmt.Errorf("watch of %v minutes: must be above 0", in.Minutes)
	case !(in.ThenMinutes >= 0) || math.IsInf(in.ThenMinutes, 1):
		return WatchResult{}, fmt.Errorf("stay of %v minutes: must be 0 or more", in.ThenMinutes)
	case !(a > 0 && a <= 1000):
		return WatchResult{}, fmt.Errorf("prior shape %v: outside 0 to 1000", a)
	}
	shape := float64(in.Washes) + a
	return WatchResult{
		ChanceAny:     -math.Expm1(-shape * math.Log1p(in.ThenMinutes/in.Minutes)),
		MeanPerMinute: shape / in.Minutes,
		Upper95:       60 * UpperRate(in.Washes, in.Minutes),
		Median:        gammaQuantile(0.5, shape) / in.Minutes,
		P95:           gammaQuantile(1-leastSure, shape) / in.Minutes,
		CleanNeeded:   CleanWatchNeeded(leastSure, in.ThenMinutes),
	}, nil
}

// UpperRate is the highest rate, in events a minute, that k events in so many minutes leave
// possible at 95 %.
func UpperRate(k int, minutes float64) float64 {
	return gammaQuantile(1-leastSure, float64(k)+1) / minutes
}

// RuleOfThree is the rough upper 95 % limit of a share after n trials without the event, 3/n:
// Hanley and Lippman-Hand, JAMA 249 (1983), 1743.
func RuleOfThree(n float64) float64 { return 3 / n }

// CleanWatchNeeded is how many minutes a watch without a single wash would have to last to show, at
// 95 %, that the chance of any wash in a stay is no more than chance: 117 hours for 5 % in two.
func CleanWatchNeeded(chance, stayMinutes float64) float64 {
	return math.Log(leastSure) * stayMinutes / math.Log1p(-chance)
}
