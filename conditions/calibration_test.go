package conditions

import (
	"flag"
	"math"
	"os"
	"regexp"
	"strconv"
	"testing"
	"time"
)

var calibrate = flag.Bool("calibrate", false, "run the whole simulation of stated chances and write CALIBRATION.md anew")

const (
	calibrationFile = "CALIBRATION.md"
	calibrationSeed = 20260314

	wholeLedges  = 8000
	otherLedges  = 1400
	shortLedges  = 240
	enoughCases  = 100 // stays a tenth of the scale needs to say anything, in the whole form
	enoughOthers = 60
	enoughShort  = 20
)

var (
	watchCounts = []int{0, 1, 2, 3, 5, 8, 12}
	fewCounts   = []int{0, 1, 5, 12}
	quarters    = []float64{0.1, 0.35, 0.65, 0.9, 1}
)

// otherWorlds are those the chain does not assume.
func otherWorlds() []world {
	change := func(name string, f func(w *world)) world {
		w := asAssumed()
		w.name = name
		f(&w)
		return w
	}
	return []world{
		change("rock scatters by 0.5, not 0.35", func(w *world) { w.kappa = 0.5 }),
		change("rock runs up 1.25 of the formula on average", func(w *world) { w.formula = 1.25 }),
		change("forecast 10 % low on average", func(w *world) { w.low = 1.1 }),
		change("forecasts scatter about the sea, not the sea about them", func(w *world) { w.aboutTheSea = true }),
		change("a day's forecast errs half as much again", func(w *world) { w.day = 1.5 }),
		change("error near shore another every day", func(w *world) { w.nearDaily = true }),
		change("another swell: watches in one, stay in one 60° away, kappa of each 0.2 off", func(w *world) { w.swell = 0.2 }),
		change("a third of the wet watches never kept", func(w *world) { w.hushed = 1.0 / 3 }),
		change("only reports, washed or dry of 2 to 4 hours", func(w *world) { w.reports = true }),
		change("lip never measured, 0.5 m off", func(w *world) { w.lip, w.unmeasured = 0.5, true }),
		change("last watch on the day, an hour before the stay", func(w *world) { w.sameDay = true }),
		change("watches kept with the water of their middle, not of the nearest hour", func(w *world) { w.midLevel = true }),
		change("... and water that stands all hour at its highest", func(w *world) { w.midLevel, w.hourlyTide = true, true }),
	}
}

// TestCalibration is the whole form under -calibrate, which writes the docs; else the short one.
func TestCalibration(t *testing.T) {
	if !*calibrate {
		shortCalibration(t)
		return
	}
	began := time.Now()
	main := tales(t, asAssumed(), wholeLedges, watchCounts, calibrationSeed)
	t.Logf("seed %d: %d ledges in %v", calibrationSeed, wholeLedges, time.Since(began).Round(time.Second))
	for _, bad := range unsafe(main, watchCounts, deciles, enoughCases) {
		t.Errorf("seed %d: %s", calibrationSeed, bad)
	}
	var others []otherWorld
	for i, w := range otherWorlds() {
		others = append(others, otherWorld{world: w, tales: tales(t, w, otherLedges, fewCounts, calibrationSeed+uint64(i)+1)})
	}
	t.Logf("with all worlds in %v", time.Since(began).Round(time.Second))
	doc := calibrationDoc(calibrationSeed, watchCounts, main, others, fewCounts)
	if err := os.WriteFile(calibrationFile, []byte(doc), 0o644); err != nil {
		t.Fatal(err)
	}
}

// shortCalibration holds the bar with fewer ledges, and the docs to what the chain now says.
func shortCalibration(t *testing.T) {
	t.Logf("seed %d, %d ledges", calibrationSeed, shortLedges)
	short := tales(t, asAssumed(), shortLedges, fewCounts, calibrationSeed)
	for _, bad := range unsafe(short, fewCounts, quarters, enoughShort) {
		t.Errorf("unsafe side: %s", bad)
	}
	var before score
	for i, n := range fewCounts {
		z := scoreOf(short, i, nil)
		if i > 0 && !(z.spread < before.spread && z.brier < before.brier) {
			t.Errorf("after %d watches: spread %.3f, Brier %.4f; want both less than %.3f, %.4f with fewer", n, z.spread, z.brier, before.spread, before.brier)
		}
		before = z
	}
	doc, err := os.ReadFile(calibrationFile)
	if err != nil {
		t.Fatal(err)
	}
	said := documented(t, string(doc))
	for i, n := range fewCounts {
		z, d := scoreOf(short, i, nil), said[n]
		if math.Abs(z.brier-d.brier) > 3.5*math.Hypot(z.brierError, d.brierError) || math.Abs(z.spread-d.spread) > 0.02 {
			t.Errorf("after %d watches: Brier %.4f ± %.4f, spread %.3f; %s says %.4f and %.3f: run with -calibrate and read the difference",
				n, z.brier, z.brierError, z.spread, calibrationFile, d.brier, d.spread)
		}
	}
}

var (
	scoreLine = regexp.MustCompile(`(?m)^\| (\d+) \| ([\d.]+) ± ([\d.]+) \| ([\d.]+) % \| [^|]*\| [^|]*\| [^|]*\| ([\d.]+) \|`)
	bandLine  = regexp.MustCompile(`(?m)^\| \d+–\d+ % \|.*$`)
	bandCell  = regexp.MustCompile(`([\d.]+) → ([\d.]+) \((\d+)\)`)
)

// documented reads the scores by watches out of the docs, and holds what stands there to the bar.
func documented(t *testing.T, doc string) map[int]score {
	t.Helper()
	num := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	out := map[int]score{}
	for _, m := range scoreLine.FindAllStringSubmatch(doc, -1) {
		z := score{brier: num(m[2]), brierError: num(m[3]), pastBad: num(m[4]) / 100, spread: num(m[5])}
		if z.pastBad > badShare+unsafeBy {
			t.Errorf("%s: after %s watches %.3f of the biggest waves pass the bad case", calibrationFile, m[1], z.pastBad)
		}
		out[int(num(m[1]))] = z
	}
	cells := 0
	for _, line := range bandLine.FindAllString(doc, -1) {
		for _, m := range bandCell.FindAllStringSubmatch(line, -1) {
			cells++
			if b := (band{cases: int(num(m[3])), stated: num(m[1]) / 100, washed: num(m[2]) / 100}); b.cases >= enoughCases && b.unsafe() {
				t.Errorf("%s: stated %v, washed %v of %d: past the bar", calibrationFile, b.stated, b.washed, b.cases)
			}
		}
	}
	if len(out) != len(watchCounts) || cells != len(deciles)*len(watchCounts) {
		t.Fatalf("%s: %d lines of scores and %d cells, want %d and %d", calibrationFile, len(out), cells, len(watchCounts), len(deciles)*len(watchCounts))
	}
	return out
}

// The short form must be able to fail: rock that runs up far beyond the formula, and forecasts that run low, are caught.
func TestTheShortFormCatchesATooMildChain(t *testing.T) {
	t.Logf("seed %d", calibrationSeed)
	for name, f := range map[string]func(w *world){
		"RockRunsUpMore": func(w *world) { w.formula = 1.5 },
		"ForecastLow":    func(w *world) { w.low = 1.4 },
		"RockScatters":   func(w *world) { w.kappa = 0.9 },
	} {
		w := asAssumed()
		f(&w)
		if got := unsafe(tales(t, w, shortLedges, []int{0}, calibrationSeed), []int{0}, quarters, enoughShort); len(got) == 0 {
			t.Errorf("%s: nothing is found on the unsafe side", name)
		}
	}
}

// Watches must not only narrow what is believed but move it to the truth: on a ledge that runs up little, and on one that
// runs up much.
func TestWatchesFindTheLedge(t *testing.T) {
	t.Logf("seed %d", calibrationSeed)
	for _, factor := range []float64{0.7, 1.4} {
		w := asAssumed()
		w.kappa, w.formula, w.near = 0.01, factor, 0
		var sum float64
		n := 0
		for _, x := range tales(t, w, 100, []int{0, 12}, calibrationSeed) {
			if s := x.said[1]; s.wet >= 3 {
				sum += math.Log(math.Sqrt(s.kLow*s.kHigh) / math.Sqrt(x.said[0].kLow*x.said[0].kHigh))
				n++
			}
		}
		if got := math.Exp(sum / float64(n)); n < 10 || math.Abs(math.Log(got/factor)) > 0.12 {
			t.Errorf("ledges that run up %v of the formula: %d of them with wet watches find %.3f on average", factor, n, got)
		}
	}
}
