package ledge

import (
	"math"
	"testing"
	"time"
)

// doubted is a watch whose sea may have been another than forecast.
func doubted(o Observation, sigma float64) Observation {
	o.Sigma = sigma
	return o
}

// The average over the forecast's error, worked out again for every point with nodes of its own and no neighbours.
func TestLearnAveragesOverTheForecastsError(t *testing.T) {
	for _, tt := range []struct {
		k       int
		minutes float64
		atLeast bool
		sigma   float64
	}{{0, 20, false, 0.14}, {3, 20, false, 0.14}, {40, 60, false, 0.2}, {1, 120, true, 0.1}, {0, 20, false, 0.6}, {5, 20, false, 0.005}} {
		o := doubted(watched(tt.k, tt.minutes), tt.sigma)
		o.AtLeast = tt.atLeast
		o.Phi = PhiSwell
		const points, nodes = 2001, 601
		var sum, mean, ln, ln2 float64
		for j := range points {
			z := -4 + 8*float64(j)/(points-1)
			k := VerticalKappa * math.Exp(DefaultSigmaKappa*z)
			var like float64
			for i := range nodes {
				u := -6 + 12*float64(i)/(nodes-1)
				mu := tt.minutes * 60 / 8 * math.Exp(-2*math.Pow(3/(1.5*k*math.Exp(tt.sigma*u)), 2))
				l := math.Pow(mu, float64(tt.k)) * math.Exp(-mu)
				if tt.atLeast {
					l = 1 - math.Exp(-mu)
				}
				like += math.Exp(-u*u/2) * math.Pow(l, 1/PhiSwell)
			}
			m := math.Exp(-z*z/2) * like
			sum, mean, ln, ln2 = sum+m, mean+m*k, ln+m*math.Log(k), ln2+m*math.Log(k)*math.Log(k)
		}
		spread := max(LeastSpread, math.Sqrt(ln2/sum-ln/sum*ln/sum))
		got := learn(t, o)
		if math.Abs(got.Mean/(mean/sum)-1) > 2e-4 || math.Abs(got.Spread/spread-1) > 1e-3 {
			t.Errorf("Learn(%+v) = mean %v, spread %v, want %v, %v", tt, got.Mean, got.Spread, mean/sum, spread)
		}
	}
}

func TestADoubtfulForecastTeachesLess(t *testing.T) {
	for _, o := range []Observation{watched(0, 20), watched(4, 20), watched(30, 60)} {
		exact := learn(t, o)
		last := exact
		for _, sigma := range []float64{0.05, 0.15, 0.3, 0.6} {
			p := learn(t, doubted(o, sigma))
			if !(p.P95/p.P5 > last.P95/last.P5) {
				t.Errorf("%d washes, sea known to %v: 90 %% from %v to %v, want wider than %v to %v", o.Washes, sigma, p.P5, p.P95, last.P5, last.P95)
			}
			last = p
		}
	}
	// One sea that nobody knows says nothing; the prior stays.
	p, none := learn(t, doubted(watched(20, 20), 3)), learn(t)
	if math.Abs(p.Median/none.Median-1) > 0.06 || math.Abs(p.Spread/none.Spread-1) > 0.05 {
		t.Errorf("a watch in a sea known to a factor of 20: median %v, spread %v, want about the prior's %v, %v", p.Median, p.Spread, none.Median, none.Spread)
	}
}

// Ten watches in ten seas share no error: together they know more than one of them, and no more than their mean error allows.
func TestErrorsOfManyDaysAverageOut(t *testing.T) {
	one := doubted(watched(30, 60), 0.3)
	var ten []Observation
	for range 10 {
		ten = append(ten, one)
	}
	p := learn(t, ten...)
	got := math.Log(p.P95/p.P5) / 2 / 1.645
	if exact := learn(t, watched(300, 600)); !(got > 0.07 && got < 0.12) || math.Log(exact.P95/exact.P5)/2/1.645 > 0.03 {
		t.Errorf("ten watches in seas known to 0.3: 90 %% as of a spread of %v, want about 0.3/sqrt 10 and as good as nothing were they exact", got)
	}
}

// What cannot be, seen together with its opposite, must not end in no number at all.
func TestLearnOfImpossibleWatches(t *testing.T) {
	wet := doubted(Observation{Washes: 500, Spans: []Span{{Minutes: 67, Hs: 0.1, Tz: 8, Rc: 9}}}, 0.05)
	dry := doubted(Observation{Spans: []Span{{Minutes: 6000, Hs: 9, Tz: 8, Rc: 0.1}}}, 0.05)
	p := learn(t, wet, dry)
	for name, v := range map[string]float64{"median": p.Median, "mean": p.Mean, "P5": p.P5, "P95": p.P95, "spread": p.Spread, "chance": p.Chance(wet.Spans[0])} {
		if math.IsNaN(v) || math.IsInf(v, 0) || v < 0 {
			t.Errorf("%s of two impossible watches = %v, want a number", name, v)
		}
	}
	// A prior far narrower than a watch is vague: nothing is learned, and nothing is allocated for it.
	o := doubted(watched(4, 20), 3)
	q, err := Learn(Prior{Kappa: 1.2, Sigma: 1e-9}, []Observation{o}, time.Time{})
	if err != nil || math.Abs(q.Median-1.2) > 1e-6 {
		t.Errorf("Learn under a prior without doubt = %v, %v, want 1.2", q.Median, err)
	}
}
