package tally

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Effort is what one trip adds to a rate.
type Effort struct {
	Fish  int
	Hours float64 // rod-hours
}

// Prior is what a crew's own trips say of a rate before those in question are looked at: rates of trips are as if drawn from a
// gamma distribution of this shape and rate, whose mean is Alpha/Beta fish a rod-hour.
type Prior struct {
	Alpha, Beta float64
	Bunch       float64 // size k of the negative binomial by which fish come in one trip: the smaller, the more bunched
	Fitted      bool    // by moments on the trips; else Alpha is 2 by choice
	Trips       int     // it rests on
}

// Mean is fish a rod-hour.
func (p Prior) Mean() float64 { return p.Alpha / p.Beta }

// What a prior is fitted from, and kept within. With fewer trips the spread between them says nothing, and Alpha 2 is a choice; size 1
// of the bunching is what real catches show (both of the project's notes on catch rates). Size 2 is the least bunching that is
// believed, and a fit to few trips is taken lower: both from the coverage that the tests measure.
const (
	fitTrips   = 10
	usualAlpha = 2.0
	usualBunch = 1.0
	leastAlpha = 0.2
	mostAlpha  = 20.0
	mostBunch  = 2.0
)

// Fit makes a prior from a crew's trips; ok is false where no rod-hour is known or no fish was caught in any. By moments, each trip
// weighing by its hours: the spread between trips over that of chance is the spread of rates.
func Fit(trips []Effort) (p Prior, ok bool) {
	fish, hours, squares, n := 0.0, 0.0, 0.0, 0
	for _, t := range trips {
		if t.Hours > 0 {
			fish, hours, squares, n = fish+float64(t.Fish), hours+t.Hours, squares+t.Hours*t.Hours, n+1
		}
	}
	if fish == 0 {
		return Prior{Trips: n}, false
	}
	m := fish / hours
	p = Prior{Alpha: usualAlpha, Beta: usualAlpha / m, Bunch: usualBunch, Trips: n}
	if n < fitTrips {
		return p, true
	}
	spread := 0.0
	for _, t := range trips {
		if t.Hours > 0 {
			d := float64(t.Fish)/t.Hours - m
			spread += t.Hours * d * d
		}
	}
	v := (spread - float64(n-1)*m) / (hours - squares/hours)
	if !(v > 0) {
		return p, true // no more spread than chance: nothing to fit a shape to
	}
	p.Alpha = min(mostAlpha, max(leastAlpha, m*m/v))
	p.Beta, p.Fitted = p.Alpha/m, true
	p.Bunch = min(mostBunch, p.Alpha*float64(n)/float64(n+10))
	return p, true
}

// Rate is fish a rod-hour over trips: the ratio of sums, drawn towards the crew's mean as far as there is little to go by.
type Rate struct {
	Trips  int
	Fish   int
	Hours  float64 // rod-hours
	Raw    float64 // fish a rod-hour, as noted
	Mean   float64 // the same, drawn in
	Lo, Hi float64 // nine in ten: widened, for fish are bunched
}

// RateOf is the rate of some of a crew's trips under its prior.
func RateOf(p Prior, trips []Effort) Rate {
	r := Rate{}
	squares := 0.0
	for _, t := range trips {
		if t.Hours > 0 {
			r.Trips, r.Fish, r.Hours, squares = r.Trips+1, r.Fish+t.Fish, r.Hours+t.Hours, squares+t.Hours*t.Hours
		}
	}
	if r.Hours > 0 {
		r.Raw = float64(r.Fish) / r.Hours
	}
	g := p.after(r.Fish, r.Hours)
	r.Mean = g.mean()
	if r.Hours == 0 || !(p.Bunch > 0) {
		r.Lo, r.Hi = g.quantile(0.05), g.quantile(0.95)
		return r
	}
	r.Lo, r.Hi = g.widened(squares / (r.Hours * p.Bunch))
	return r
}

// gamma is a gamma distribution of fish a rod-hour.
type gamma struct{ shape, rate float64 }

// after is the prior after so many fish in so many rod-hours, were they not bunched.
func (p Prior) after(fish int, hours float64) gamma {
	return gamma{p.Alpha + float64(fish), p.Beta + hours}
}

func (g gamma) mean() float64 { return g.shape / g.rate }

func (g gamma) quantile(p float64) float64 { return mathext.GammaIncRegInv(g.shape, p) / g.rate }

// widened is where nine in ten lie when fish come bunched. Of a rate r the sum of trips has 1 + r*per times the variance that chance
// alone gives it (negative binomial trips), so it tells as much as so many times fewer fish in so many times fewer hours. Each end is
// the rate that lies just at it when it is itself the true one.
func (g gamma) widened(per float64) (lo, hi float64) {
	at := func(q, r float64) float64 {
		f := 1 + r*per
		return gamma{g.shape / f, g.rate / f}.quantile(q)
	}
	end := func(q, from, to float64) float64 { // at(q, r) >= r at from, and not at to
		for range 36 { // to a 10^10th of what it began with
			if mid := (from + to) / 2; at(q, mid) >= mid {
				from = mid
			} else {
				to = mid
			}
		}
		return from
	}
	mean := g.mean()
	far := 2 * mean
	for at(0.95, far) > far && !math.IsInf(far, 1) {
		far *= 2
	}
	return end(0.05, 0, mean), max(mean, end(0.95, mean, far))
}

// Say is what may be said of so many trips.
type Say string

// With one or two trips they are listed and nothing more; from three on there is a rate with its range. A comparison needs Compared trips
// on either side. After the project's notes on catch rates: of two like ledges one looks twice as good after four trips more
// often than not.
const (
	SayList Say = "list"
	SayRate Say = "rate"
)

// FewestRated and FewestCompared are from how many trips on a rate, and a comparison, is spoken of.
const (
	FewestRated    = 3
	FewestCompared = 10
)

// Says is what may be said of a rate.
func (r Rate) Says() Say {
	if r.Trips < FewestRated {
		return SayList
	}
	return SayRate
}
