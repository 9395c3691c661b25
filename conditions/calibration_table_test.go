package conditions

import (
	"fmt"
	"math"
	"testing"

	"ledgehand/conditions/ledge"
)

// What stated chances were worth, counted.

// The bar: nowhere may washes be more frequent than stated by more than unsafeBy, beyond what so few cases leave open.
const (
	unsafeBy = 0.02
	deviates = 2.0  // standard errors that chance is given
	badShare = 0.05 // of the stays whose biggest wave may pass the "bad case"
)

// band is the stays whose stated chance lay in one range.
type band struct {
	cases          int
	stated, washed float64 // mean, and share
}

// standardError is that of the washed share if the truth lay at the bar.
func (b band) standardError() float64 {
	p := math.Min(1, b.stated+unsafeBy)
	return math.Sqrt(math.Max(p*(1-p), 1e-4) / float64(b.cases))
}

// over is by how much more often than stated it washed; below zero is the safe side.
func (b band) over() float64 { return b.washed - b.stated }

// unsafe says that this cannot be put down to chance.
func (b band) unsafe() bool { return b.over() > unsafeBy+deviates*b.standardError() }

// bands sorts stays by stated chance; limits are the upper ends, the last is 1.
func bands(ts []tale, count int, limits []float64) []band {
	out := make([]band, len(limits))
	for _, x := range ts {
		s := x.said[count]
		i := 0
		for i < len(limits)-1 && s.chance >= limits[i] {
			i++
		}
		out[i].cases++
		out[i].stated += s.chance
		if x.washed {
			out[i].washed++
		}
	}
	for i := range out {
		if n := float64(out[i].cases); n > 0 {
			out[i].stated, out[i].washed = out[i].stated/n, out[i].washed/n
		}
	}
	return out
}

var deciles = []float64{0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1}

// score is what all stays say together, after one count of watches.
type score struct {
	cases          int
	stated, washed float64 // mean, and share
	brier          float64 // mean squared difference between stated chance and what happened: less is better
	brierError     float64 // standard error of it
	pastBad        float64 // share of stays whose biggest wave passed the bad case
	within         float64 // between the low and the bad case: 90 % if the interval is right
	kappaBelow     float64 // share of true kappas below the 90 % that is reckoned with: 5 % if it is right
	kappaAbove     float64
	spread         float64 // of ln kappa, mean
	calibrated     float64 // share called so
}

func scoreOf(ts []tale, count int, keep func(s stated) bool) score {
	var z score
	var square float64
	for _, x := range ts {
		s := x.said[count]
		if keep != nil && !keep(s) {
			continue
		}
		z.cases++
		hit := 0.0
		if x.washed {
			hit = 1
		}
		miss := (s.chance - hit) * (s.chance - hit)
		z.stated, z.washed, z.brier, z.spread = z.stated+s.chance, z.washed+hit, z.brier+miss, z.spread+s.spread
		square += miss * miss
		z.pastBad += one(x.excess > s.bad)
		z.within += one(s.low <= x.excess && x.excess <= s.bad)
		z.kappaBelow += one(x.kappa < s.kLow)
		z.kappaAbove += one(x.kappa > s.kHigh)
		z.calibrated += one(s.calibrated)
	}
	n := math.Max(1, float64(z.cases))
	for _, v := range []*float64{&z.stated, &z.washed, &z.brier, &z.spread, &z.pastBad, &z.within, &z.kappaBelow, &z.kappaAbove, &z.calibrated} {
		*v /= n
	}
	z.brierError = math.Sqrt(math.Max(0, square/n-z.brier*z.brier) / n)
	return z
}

func one(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

// unsafe lists where the bar is passed: bands with enough cases, and the bad case.
func unsafe(ts []tale, counts []int, limits []float64, enough int) []string {
	var out []string
	for i, n := range counts {
		for _, b := range bands(ts, i, limits) {
			if b.cases >= enough && b.unsafe() {
				out = append(out, fmt.Sprintf("after %d watches: stated %.3f, washed %.3f of %d", n, b.stated, b.washed, b.cases))
			}
		}
		z := scoreOf(ts, i, nil)
		if limit := badShare + unsafeBy; z.kappaAbove > limit+deviates*math.Sqrt(limit*(1-limit)/float64(z.cases)) {
			out = append(out, fmt.Sprintf("after %d watches: %.3f of the true kappas lie above the 90 %% reckoned with, of %d", n, z.kappaAbove, z.cases))
		}
		if pastBar(z) {
			out = append(out, fmt.Sprintf("after %d watches: %.3f of the biggest waves passed the bad case of %d", n, z.pastBad, z.cases))
		}
	}
	return out
}

// pastBar says that more of the biggest waves pass the bad case than can be put down to chance.
func pastBar(z score) bool {
	const limit = badShare + unsafeBy
	return z.pastBad > limit+deviates*math.Sqrt(limit*(1-limit)/float64(z.cases))
}

// The bar itself: it must let through what is true, and what errs on the safe side, and catch what is not.
func TestTheBar(t *testing.T) {
	told := func(n int, says, washed, pastBad, kappaAbove float64) []tale {
		var out []tale
		for i := range n {
			x := tale{said: []stated{{chance: says, bad: 1}}}
			x.washed = float64(i) < washed*float64(n)
			if float64(i) < pastBad*float64(n) {
				x.excess = 2
			}
			if float64(i) < kappaAbove*float64(n) {
				x.kappa = 1
			}
			out = append(out, x)
		}
		return out
	}
	for _, tt := range []struct {
		name         string
		n            int
		says, washed float64
		pastBad      float64
		kappaAbove   float64
		caught       bool
	}{
		{"True", 1000, 0.3, 0.3, 0.05, 0.05, false},
		{"SafeSide", 1000, 0.3, 0.1, 0, 0.05, false},
		{"TwoPoints", 1000, 0.03, 0.05, 0.05, 0.05, false},
		{"ByChance", 50, 0.3, 0.4, 0.05, 0.05, false},
		{"UnsafeWhereItMatters", 1000, 0.02, 0.06, 0.05, 0.05, true},
		{"Unsafe", 1000, 0.3, 0.37, 0.05, 0.05, true},
		{"BadCaseTooMild", 1000, 0.3, 0.3, 0.1, 0.05, true},
		{"KappaTooNarrow", 1000, 0.3, 0.3, 0.05, 0.12, true},
		{"TooFewToSay", 20, 0.02, 0.4, 0.05, 0.05, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := unsafe(told(tt.n, tt.says, tt.washed, tt.pastBad, tt.kappaAbove), []int{0}, deciles, 30); (len(got) > 0) != tt.caught {
				t.Errorf("%+v: found %v", tt, got)
			}
		})
	}
}

// byVerdict are the stays of one verdict.
func byVerdict(ts []tale, count int, v ledge.Verdict) score {
	return scoreOf(ts, count, func(s stated) bool { return s.verdict == v })
}
