package tide

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"ledgehand/conditions/checkrows"
	"ledgehand/conditions/measure"
)

// Each mistake that tide programs are known to make, shown to be told apart by published figures: with the mistake put
// in, the figures no longer come out.

// altered opens a station with one change to its constants.
func altered(t *testing.T, id string, z0 float64, mode Mode, change func(c *Constituent)) *Predictor {
	t.Helper()
	cs := Constituents(id)
	if len(cs) == 0 {
		t.Fatalf("no constants of %s", id)
	}
	for i := range cs {
		change(&cs[i])
	}
	p, err := New(measure.Metres(z0), cs, WithMode(mode))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func turned(name string, deg float64) func(c *Constituent) {
	return func(c *Constituent) {
		if c.Name == name {
			c.Phase += deg
		}
	}
}

// worstAgainstNOAA is the greatest difference from the published series (NOAA CO-OPS, to 1 mm) at any station whose
// constants were not revised since.
func worstAgainstNOAA(t *testing.T, mode Mode, change func(c *Constituent)) float64 {
	t.Helper()
	values := by(readTable(t, kept, "authority_series.csv"), "case")
	worst := 0.0
	for _, c := range readTable(t, kept, "authority_cases.csv") {
		if c["kind"] != "series" || !isUnrevised(c) || !strings.HasPrefix(c["station"], "noaa/") {
			continue
		}
		p := altered(t, c["station"], c.Num(t, "z_m"), mode, change)
		for _, v := range values[c["case"]] {
			worst = math.Max(worst, math.Abs(float64(p.Height(v.Time(t, "time_utc")))-v.Num(t, "height_m")))
		}
	}
	return worst
}

func TestKnownMistakesDoNotReproduceNOAA(t *testing.T) {
	if right := worstAgainstNOAA(t, Year, func(*Constituent) {}); right > 0.001 {
		t.Fatalf("without a mistake the series are off by %.4f m", right)
	}
	perigee := meanLongitudes(float64(time.Date(2021, time.January, 1, 0, 0, 0, 0, time.UTC).Unix())).p
	f := math.Exp(yearArc(2021).lnf[ofM2])
	for what, change := range map[string]func(*Constituent){
		// odd species: the constant of the Doodson form for that of Schureman's is half a turn
		"K1 by the other convention": turned("K1", 180),
		"M3 by the other convention": turned("M3", 180),
		"S1 by the other convention": turned("S1", 180),
		// M1 counts p once, and not on 1 January
		"M1 with p twice":                turned("M1", -perigee),
		"M1 without half a year of p":    turned("M1", 20.33),
		"2N2 with the factor squared":    func(c *Constituent) { scaled(c, "2N2", f*f) },
		"L2 like M2":                     func(c *Constituent) { scaled(c, "L2", math.Exp(yearArc(2021).lnf[ofM2]-yearArc(2021).lnf[ofL2])) },
		"2MK3 with f of K1 divided out":  func(c *Constituent) { scaled(c, "2MK3", math.Exp(-2*yearArc(2021).lnf[ofK1])) },
		"phases for local standard time": func(c *Constituent) { c.Phase += 5 },
	} {
		if got := worstAgainstNOAA(t, Year, change); got <= 0.001 {
			t.Errorf("%s: worst %.4f m: no published value would have caught it", what, got)
		} else {
			t.Logf("%s: worst %.1f mm", what, got*1000)
		}
	}
}

func scaled(c *Constituent, name string, by float64) {
	if c.Name == name {
		c.Amplitude *= measure.Metres(by)
	}
}

// M1 in instant mode runs half a year of p ahead of its own argument, else it is off by a third of its amplitude: that
// is how NOAA's constants mean it. Compared in the middle of a year, where the two modes agree about everything else.
func TestM1AgreesBetweenTheModesAtMidYear(t *testing.T) {
	m1 := []Constituent{{"M1", 1, 0}}
	year, err := New(0, m1, WithMode(Year))
	if err != nil {
		t.Fatal(err)
	}
	instant, err := New(0, m1)
	if err != nil {
		t.Fatal(err)
	}
	for y := 2000; y < 2040; y++ {
		for h := range 30 {
			at := time.Date(y, time.July, 2, h, 0, 0, 0, time.UTC)
			if d := math.Abs(float64(year.Height(at) - instant.Height(at))); d > 0.06 {
				t.Errorf("M1 of 1 m at %s: the modes differ by %.3f m, want up to 0.06", at, d)
			}
		}
	}
}

// Names of lines that are something else than they look, by their node factors (tide notes, section 3).
func TestLinesThatAreNoCompounds(t *testing.T) {
	a := yearArc(2023)
	factor := func(name string) (f, u float64) {
		l, err := lineNamed(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, n := range l.nodes {
			f += math.Abs(n.by) * a.lnf[n.of]
			u += n.by * a.u[n.of]
		}
		return math.Exp(f), u
	}
	fM2, uM2 := factor("M2")
	fK1, _ := factor("K1")
	for name, want := range map[string][2]float64{
		"MU2":  {fM2, uM2},           // not 2MS2, which has the square
		"2MS2": {fM2 * fM2, 2 * uM2}, //
		"MSF":  {fM2, -uM2},          // not SM, whose angle is turned the same way but whose name is a compound's
		"MA2":  {1, 0},               // yearly side lines of M2, no compounds
		"MB2":  {1, 0},               //
		"2SM2": {fM2, -uM2},          // a product even where M2 is subtracted, never a quotient
		"M3":   {math.Pow(fM2, 1.5), 1.5 * uM2},
	} {
		f, u := factor(name)
		if math.Abs(f-want[0]) > 1e-12 || math.Abs(measure.Wrap180(u-want[1])) > 1e-9 {
			t.Errorf("%s: f %.6f, u %.4f, want %.6f, %.4f", name, f, u, want[0], want[1])
		}
	}
	if f, _ := factor("2MK3"); math.Abs(f-fM2*fM2*fK1) > 1e-12 {
		t.Errorf("2MK3: f %.6f, want the product %.6f", f, fM2*fM2*fK1)
	}
}

// Every constant of the table of lines against the Doodson form beside it in the notes' table: they differ by half a turn
// for every odd species, and by nothing else.
func TestConstantsAreThoseOfTheDoodsonForm(t *testing.T) {
	path := filepath.Join(full, "..", "constituents.csv")
	if _, err := os.Stat(path); err != nil {
		t.Skip("no shared folder beside the repository: nothing to compare with")
	}
	n := 0
	for _, r := range checkrows.Read(t, path) {
		l, err := lineNamed(r["name"])
		if err != nil {
			t.Errorf("%s: %v", r["name"], err)
			continue
		}
		n++
		want := 90*r.Num(t, "d_90") + 180*r.Num(t, "T") // tau = T + h - s + 180
		if d := measure.Wrap180(l.konst - want); math.Abs(d) > 1e-9 {
			t.Errorf("%s: constant %.0f°, the Doodson form gives %.0f°", l.name, l.konst, measure.Wrap360(want))
		}
		// the list's speed of M(KS)2 is not that of the numbers it gives for it beside: 29.0251708
		if r["iho_speed_deg_h"] != "" && l.name != "M(KS)2" && math.Abs(speed(l)-r.Num(t, "iho_speed_deg_h")) > 3e-6 {
			t.Errorf("%s: %.7f°/h, the IHO list has %s", l.name, speed(l), r["iho_speed_deg_h"])
		}
	}
	if n != 148 {
		t.Errorf("%d lines compared, want all 148", n)
	}
}

// Lines of the gauge fits whose phases come turned by a quarter or half a turn (found against 19 years of levels at
// Providence). The catalogue has them put right and under names of their own: the turned names must not be in it, and the
// New Zealand tables (LINZ, Nelson 2011) must get worse when the turns are undone.
func TestTurnedPhasesOfGaugeFitsArePutRight(t *testing.T) {
	c := stations()
	for i := range c.count {
		if r := c.record(i); c.sources[r[23]] == "ticon" {
			for _, k := range c.constituents(r) {
				switch k.Name {
				case "M1", "SGM", "LAMBDA2", "RHO1", "EP2":
					t.Errorf("%s has %s", c.text(r, 0), k.Name)
				}
			}
		}
	}
	turns := map[string]float64{"NO1": 90, "SIGMA1": 180, "3L2": 90, "3N2": -90, "T3": 180, "R3": 180, "2MK5": 90, "2MO5": -90}
	const id = "ticon/nelson-077a-nzl-uhslc_rq"
	rows := by(readTable(t, kept, "authority_hilo.csv"), "case")["linz-nelson-2011:nelson"]
	if len(rows) < 30 {
		t.Fatalf("%d waters of Nelson", len(rows))
	}
	_, right := match(t, altered(t, id, 0, Instant, func(*Constituent) {}), 0, rows)
	_, wrong := match(t, altered(t, id, 0, Instant, func(c *Constituent) { c.Phase -= turns[c.Name] }), 0, rows)
	t.Logf("Nelson: sd %.2f min, with the turns undone %.2f", right.sd(), wrong.sd())
	if wrong.sd() < 1.2*right.sd() {
		t.Errorf("with the turns undone %.2f min, right %.2f: want it clearly worse", wrong.sd(), right.sd())
	}
}

// Kartverket's yearly line counts from the solar perigee, and its S1 with it. So read, the season at every one of its
// stations is highest in autumn or early winter, as the sea along Norway is (from memory); read as the plain SA it would
// be highest three months earlier or later.
func TestYearlyLinesOfKartverketPeakInAutumn(t *testing.T) {
	c := stations()
	n, plain := 0, 0
	for i := range c.count {
		r := c.record(i)
		if c.sources[r[23]] != "kartverket" {
			continue
		}
		for _, k := range c.constituents(r) {
			if k.Name != "SA_KV" {
				continue
			}
			n++
			if m := peakMonth(t, k); m < time.September && m > time.January {
				t.Errorf("%s: the season is highest in %s", c.text(r, 0), m)
			}
			k.Name = "SA"
			if m := peakMonth(t, k); m < time.September && m > time.January {
				plain++
			}
		}
	}
	if n < 30 || plain < n/2 {
		t.Errorf("%d stations; read as plain lines %d are highest in another season: want 30 or more, most of them wrong so", n, plain)
	}
	for _, name := range []string{"SA_KV", "S1_KV", "OQ2_KV", "M(KS)2"} {
		if _, err := lineNamed(name); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func peakMonth(t *testing.T, k Constituent) time.Month {
	t.Helper()
	p := mustNew(t, k)
	best, top := time.January, measure.Metres(math.Inf(-1))
	for d := range 365 {
		at := newYear.AddDate(0, 0, d)
		if h := p.Height(at); h > top {
			best, top = at.Month(), h
		}
	}
	return best
}

// A ratio makes a low below the datum lower, as the tables of differences mean it.
func TestARatioLowersNegativeLows(t *testing.T) {
	c := stations()
	n := 0
	for i := range c.count {
		s := c.station(i)
		if !s.Subordinate || !s.Offsets.Ratio || s.Offsets.Low < 1.1 || s.Warning != "" {
			continue
		}
		ref, p := open(t, s.Reference), open(t, s.ID)
		lo, ok1 := ref.Lowest(newYear, newYear.AddDate(0, 0, 30))
		got, ok2 := p.Lowest(newYear, newYear.AddDate(0, 0, 30))
		if !ok1 || !ok2 || lo.Height > -0.1 {
			continue
		}
		if n++; got.Height > lo.Height*measure.Metres(s.Offsets.Low)+0.001 {
			t.Errorf("%s: lowest %v m, want %v times %v", s.ID, got.Height, s.Offsets.Low, lo.Height)
		}
		if n == 20 {
			break
		}
	}
	if n < 5 {
		t.Errorf("%d stations looked at, want at least 5", n)
	}
}

// Stations whose series bear wrong clocks must not be offered, by any way.
func TestStationsWithAWarningAreNeverOffered(t *testing.T) {
	for _, id := range []string{"ticon/vigo-208a-esp-uhslc_rq", "ticon/half_tide_tug_harbour-h060010a-aus-bom"} {
		if _, err := Find(id); err == nil {
			t.Errorf("Find(%q) = a station, want none", id)
		}
	}
	c := stations()
	for i := range c.count {
		if id := c.text(c.record(i), 0); strings.HasSuffix(id, "-usa-sfwmd") {
			t.Errorf("%s is in the catalogue", id)
		}
	}
}
