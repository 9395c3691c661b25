package conditions

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"os"
	"sync"
	"testing"

	"ledgehand/conditions/checkrows"
	"ledgehand/conditions/wave"
)

// Random linear seas: a Gaussian surface with a JONSWAP spectrum, its single waves by zero up-crossing. Heights are in
// Hs = 4 sqrt(m0) and times in Tp, so that one spectrum serves every sea of its peak enhancement.

const (
	perPeak = 16  // samples a peak period: a dozen a wave
	cutOff  = 5.0 // of the spectrum, in peak frequencies: what is above is ripple to a wave that reaches a lip
)

// rayleighShare is what a ledge's kappa is worth under the Rayleigh law the chain counts by: simulated seas have fewer high
// waves, as many as that law gives for a kappa 0.95 as great, at all levels that matter. The test of counts holds it.
const rayleighShare = 0.95

// oneWave is a zero up-crossing wave: when its crest stands, in Tp from the start, and its height trough to crest, in Hs.
type oneWave struct{ at, height float64 }

// waterSurface makes records of one spectrum.
type waterSurface struct {
	gamma  float64
	amp    []float64 // root mean square of the complex amplitude of each bin
	first  int       // bin with energy
	twist  []complex128
	record []complex128
}

var spectra sync.Map // of [2]float64{gamma, size}: amplitudes, which all workers share

// newSurface makes records of size samples, a power of two.
func newSurface(gamma float64, size int) *waterSurface {
	s := &waterSurface{gamma: gamma, twist: make([]complex128, size/2), record: make([]complex128, size)}
	for i := range s.twist {
		s.twist[i] = cmplx.Rect(1, 2*math.Pi*float64(i)/float64(size))
	}
	key := [2]float64{gamma, float64(size)}
	if a, ok := spectra.Load(key); ok {
		s.amp = a.([]float64)
	} else {
		step := float64(perPeak) / float64(size) // of frequency, in fp
		s.amp = make([]float64, int(cutOff/step)+1)
		var sum float64
		for k := range s.amp {
			f := step * float64(k)
			if f < 0.4 {
				continue
			}
			sigma := 0.07
			if f > 1 {
				sigma = 0.09
			}
			d := (f - 1) / sigma
			s.amp[k] = math.Pow(f, -5) * math.Exp(-1.25*math.Pow(f, -4)) * math.Pow(gamma, math.Exp(-d*d/2))
			sum += s.amp[k]
		}
		for k := range s.amp {
			s.amp[k] = math.Sqrt(s.amp[k] / sum / 16) // m0 = 1/16 where Hs is 1
		}
		spectra.Store(key, s.amp)
	}
	for s.amp[s.first] == 0 {
		s.first++
	}
	return s
}

// waves are the single waves of a stretch of sea that long, in Tp. It is pieced together from records; of a wave that
// straddles a joint nothing is seen.
func (s *waterSurface) waves(rnd *rand.Rand, long float64, into []oneWave) []oneWave {
	into = into[:0]
	span := float64(len(s.record)) / perPeak
	for start := 0.0; start < long; start += 2 * span {
		clear(s.record)
		n := len(s.record)
		for k := s.first; k < len(s.amp); k++ {
			a := s.amp[k] / math.Sqrt2
			s.record[k] = complex(a*rnd.NormFloat64(), a*rnd.NormFloat64())
			s.record[n-k] = complex(a*rnd.NormFloat64(), a*rnd.NormFloat64())
		}
		s.transform()
		// Amplitudes of opposite frequencies are drawn apart, which makes the real and the imaginary part two records.
		into = crossings(s.record, func(z complex128) float64 { return real(z) }, start, long, into)
		into = crossings(s.record, func(z complex128) float64 { return imag(z) }, start+span, long, into)
	}
	return into
}

// crossings appends the waves of one record which starts at start, up to long.
func crossings(z []complex128, part func(complex128) float64, start, long float64, into []oneWave) []oneWave {
	inWave := false
	var top, bottom, at float64
	before, here := part(z[0]), part(z[1])
	for i := 1; i < len(z)-1; i++ {
		after := part(z[i+1])
		if before < 0 && here >= 0 {
			t := start + at/perPeak
			if t > long || start+float64(i)/perPeak > long {
				return into
			}
			if inWave {
				into = append(into, oneWave{at: t, height: top - bottom})
			}
			inWave, top, bottom = true, 0, 0
		}
		if here > before && here >= after || here < before && here <= after { // the parabola through three samples has its top there
			peak := here
			if c := before - 2*here + after; c != 0 {
				peak -= (after - before) * (after - before) / (8 * c)
			}
			if peak > top {
				top, at = peak, float64(i)
			}
			bottom = math.Min(bottom, peak)
		}
		before, here = here, after
	}
	return into
}

// transform is the discrete Fourier sum of the record in place (Cooley and Tukey, radix 2).
func (s *waterSurface) transform() {
	z, n := s.record, len(s.record)
	for i, j := 1, 0; i < n; i++ {
		bit := n >> 1
		for ; j&bit != 0; bit >>= 1 {
			j ^= bit
		}
		j |= bit
		if i < j {
			z[i], z[j] = z[j], z[i]
		}
	}
	for half := 1; half < n; half *= 2 {
		stride := n / (2 * half)
		for i := 0; i < n; i += 2 * half {
			a, b := z[i:i+half], z[i+half:i+2*half]
			for k := range a {
				u, v := a[k], b[k]*s.twist[k*stride]
				a[k], b[k] = u+v, u-v
			}
		}
	}
}

// The sum itself, term by term.
func TestTransformIsTheSum(t *testing.T) {
	const size, seed = 64, 3
	rnd := rand.New(rand.NewPCG(seed, 0))
	s := newSurface(3.3, size)
	in := make([]complex128, size)
	for i := range in {
		in[i] = complex(rnd.NormFloat64(), rnd.NormFloat64())
	}
	copy(s.record, in)
	s.transform()
	for j := range size {
		var want complex128
		for k, a := range in {
			want += a * cmplx.Rect(1, 2*math.Pi*float64(j*k)/size)
		}
		if cmplx.Abs(s.record[j]-want) > 1e-11 {
			t.Fatalf("seed %d: term %d = %v, want %v", seed, j, s.record[j], want)
		}
	}
}

// Counts of high waves against a simulation made elsewhere with other code (independence_simulation.csv of the
// shared data: 4000 records each; its spectra are cut off elsewhere, which moves the number of small waves, not of
// high ones), and against what the Rayleigh law says, which is more.
func TestSimulatedSeasHaveTheKnownCounts(t *testing.T) {
	type line struct {
		gamma, tp, minutes, level float64
		count, varOverMean, any   float64
	}
	lines := []line{
		{3.3, 10, 60, 1.0, 50.25, 1.47, 1}, {3.3, 10, 60, 1.3, 10.01, 1.43, 1}, {3.3, 10, 60, 1.5, 2.73, 1.30, 0.909}, {3.3, 10, 60, 1.7, 0.62, 1.21, 0.428},
		{7, 14, 60, 1.0, 35.69, 1.91, 1}, {7, 14, 60, 1.3, 7.59, 1.82, 0.995}, {7, 14, 60, 1.5, 2.18, 1.59, 0.809}, {7, 14, 60, 1.7, 0.52, 1.45, 0.349},
	}
	const table = "../../shared/data/waves/independence_simulation.csv"
	if _, err := os.Stat(table); err == nil { // the rows above are those of the table
		rows := checkrows.Read(t, table)
		found := 0
		for _, r := range rows {
			for _, l := range lines {
				gamma := 3.3
				if r["spectrum"] == "JONSWAP 7 (swell)" {
					gamma = 7
				}
				if gamma == l.gamma && r.Num(t, "Tp_s") == l.tp && r.Num(t, "threshold_over_Hs") == l.level {
					found++
					if r.Num(t, "mean_count_simulated") != l.count || r.Num(t, "variance_over_mean") != l.varOverMean || r.Num(t, "P_ge1_simulated") != l.any {
						t.Errorf("row %v is not what this test says it is", r)
					}
				}
			}
		}
		if found != len(lines) {
			t.Errorf("found %d of %d rows in the table", found, len(lines))
		}
	}
	const seed, records = 11, 1000
	type tally struct{ sum, sum2, hit float64 }
	counts := map[float64][]tally{} // by peak enhancement, one of every line
	for _, gamma := range []float64{3.3, 7} {
		rnd := rand.New(rand.NewPCG(seed, uint64(gamma)))
		s := newSurface(gamma, 4096)
		byLine := make([]tally, len(lines))
		var waves []oneWave
		for range records {
			for i, l := range lines {
				if l.gamma != gamma {
					continue
				}
				if len(waves) == 0 { // one record for all levels
					waves = s.waves(rnd, l.minutes*60/l.tp, waves)
				}
				n := 0.0
				for _, w := range waves {
					n += one(w.height > l.level)
				}
				byLine[i].sum, byLine[i].sum2, byLine[i].hit = byLine[i].sum+n, byLine[i].sum2+n*n, byLine[i].hit+one(n > 0)
			}
			waves = waves[:0]
		}
		counts[gamma] = byLine
	}
	for i, l := range lines {
		c := counts[l.gamma][i]
		sum, sum2, hit := c.sum, c.sum2, c.hit
		mean := sum / records
		ratio := (sum2/records - mean*mean) / mean
		any := hit / records
		errMean := math.Sqrt(l.varOverMean*l.count/records) * 4
		if math.Abs(mean-l.count) > errMean+0.05*l.count {
			t.Errorf("seed %d, gamma %v, above %v Hs: %.3f waves, want %v", seed, l.gamma, l.level, mean, l.count)
		}
		if math.Abs(ratio/l.varOverMean-1) > 0.2 {
			t.Errorf("seed %d, gamma %v, above %v Hs: variance over mean %.2f, want %v", seed, l.gamma, l.level, ratio, l.varOverMean)
		}
		if math.Abs(any-l.any) > 0.05+4*math.Sqrt(l.any*(1-l.any)/records) {
			t.Errorf("seed %d, gamma %v, above %v Hs: any in %.3f, want %v", seed, l.gamma, l.level, any, l.any)
		}
		ratios, err := wave.JonswapRatios(wave.WindSeaPeak) // as the chain takes every sea
		if err != nil {
			t.Fatal(err)
		}
		all := l.minutes * 60 / (l.tp * ratios.Zero)
		if got := l.level / math.Sqrt(math.Log(all/mean)/2); math.Abs(got-rayleighShare) > 0.02 {
			t.Errorf("seed %d, gamma %v, above %v Hs: as many as by Rayleigh for %.3f of the height, want %v", seed, l.gamma, l.level, got, rayleighShare)
		}
		t.Logf("gamma %v above %v: mean %.2f (%v) var/mean %.2f (%v) any %.3f (%v)", l.gamma, l.level, mean, l.count, ratio, l.varOverMean, any, l.any)
	}
}
