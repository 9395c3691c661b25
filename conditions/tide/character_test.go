package tide

import (
	"math"
	"path/filepath"
	"testing"
	"time"

	"ledgehand/conditions/checkrows"
	"ledgehand/conditions/measure"
)

// Form factors printed by another program beside its check values.
func TestFormFactorsAgreeWithAnotherProgram(t *testing.T) {
	n := 0
	for _, st := range readTable(t, kept, "library_stations.csv") {
		if st["regime_F"] == "" {
			continue
		}
		n++
		got := open(t, st["station"]).Character().Form
		if want := st.Num(t, "regime_F"); math.Abs(got-want) > 0.006+0.01*want {
			t.Errorf("%s: form factor %.3f, want %v", st["station"], got, want)
		}
	}
	if n < 20 {
		t.Errorf("%d form factors compared, want at least 20", n)
	}
}

func TestCharactersOfKnownPlaces(t *testing.T) {
	for id, want := range map[string]struct {
		regime Regime
		double bool
	}{
		"ticon/newlyn-new-gbr-bodc":          {Semidiurnal, false},
		"noaa/9414290":                       {MixedTwo, false}, // San Francisco
		"noaa/8729840":                       {Diurnal, false},  // Pensacola
		"ticon/southampton-sou-gbr-da_idh":   {Semidiurnal, true},
		"ticon/visby-2080-swe-smhi":          {Tideless, false},
		"ticon/vung_tau-383-vnm-uhslc_fd":    {MixedTwo, false},
		"ticon/karumba-63580-aus-bom":        {Diurnal, false},
		"ticon/simons_town-221-zaf-uhslc_fd": {Semidiurnal, false},
	} {
		if got := open(t, id).Character(); got.Regime != want.regime || got.Double != want.double {
			t.Errorf("%s: %+v, want %q, double %v", id, got, want.regime, want.double)
		}
	}
	if c := mustNew(t, Constituent{"K1", 0.2, 0}).Character(); c.Regime != Diurnal || !math.IsInf(c.Form, 1) {
		t.Errorf("K1 alone = %+v, want diurnal", c)
	}
	if c := mustNew(t).Character(); c.Regime != Tideless {
		t.Errorf("nothing = %+v, want no tide", c)
	}
}

func mustNew(t *testing.T, cs ...Constituent) *Predictor {
	t.Helper()
	p, err := New(0, cs)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestRateIsTheSlopeOfTheHeight(t *testing.T) {
	for _, s := range someStations(t, 25) {
		p := open(t, s.ID)
		for k := range 40 {
			at := newYear.Add(time.Duration(k) * 83 * time.Minute)
			const d = 5 * time.Second
			slope := float64(p.Height(at.Add(d))-p.Height(at.Add(-d))) / (2 * d.Hours())
			// where two waters of a subordinate station meet, the slope is nought on both sides but bends sharply
			if math.Abs(slope-float64(p.Rate(at))) > 0.003+0.01*math.Abs(slope) {
				t.Errorf("%s: Rate(%s) = %.4f m/h, the height runs %.4f", s.ID, at, p.Rate(at), slope)
			}
		}
	}
}

// Against looking at every minute.
func TestStandsAreWhereTheWaterRests(t *testing.T) {
	for _, id := range []string{"ticon/southampton-sou-gbr-da_idh", "noaa/8729840", "ticon/newlyn-new-gbr-bodc", "noaa/8531526"} {
		p := open(t, id)
		from, to := newYear, newYear.AddDate(0, 0, 20)
		got := p.Stands(from, to, StandRate, StandLength)
		in := map[int]bool{}
		for _, s := range got {
			if s.From.Before(from) || s.To.After(to) {
				t.Errorf("%s: %v reaches out of the window", id, s)
			}
			for at := s.From.Add(time.Minute); at.Before(s.To.Add(-time.Minute)); at = at.Add(time.Minute) {
				if r := math.Abs(float64(p.Rate(at))); r > float64(StandRate)+0.002 {
					t.Fatalf("%s: water runs %.3f m/h at %s in the stand %v", id, r, at, s)
				}
				in[int(at.Sub(from)/time.Minute)] = true
			}
		}
		run := 0
		for m := range int(to.Sub(from) / time.Minute) {
			if math.Abs(float64(p.Rate(from.Add(time.Duration(m)*time.Minute)))) < float64(StandRate)-0.002 {
				run++
			} else {
				run = 0
			}
			if run > int(StandLength/time.Minute)+2 && !in[m-3] {
				t.Fatalf("%s: the water rests for %d minutes until minute %d, which no stand has", id, run, m)
			}
		}
		t.Logf("%s: %d stands", id, len(got))
		if id == "ticon/newlyn-new-gbr-bodc" && len(got) > 0 {
			t.Errorf("stands at a plain tide of five metres: %v", got)
		}
		if id == "noaa/8729840" && len(got) == 0 {
			t.Error("no stand at Pensacola in 20 days, want some: its tide all but stops near the equatorial moon")
		}
	}
	if got := open(t, "noaa/8729840").Stands(newYear, newYear, StandRate, StandLength); got != nil {
		t.Errorf("Stands of no time = %v, want none", got)
	}
}

// Springs come up to three days after new and full moon (USNO, phases of the moon; the lag is common practice, no source),
// at every place with two tides a day, neaps after the quarters.
func TestSpringsFollowTheMoon(t *testing.T) {
	var springs, neaps []time.Time
	for _, r := range checkrows.Read(t, filepath.Join("..", "..", "testdata", "sky", "moon_phases.csv")) {
		at := r.Time(t, "utc")
		if r["phase"] == "new" || r["phase"] == "full" {
			springs = append(springs, at)
		} else {
			neaps = append(neaps, at)
		}
	}
	// Days since the last one. The table lacks some, so from the nearest it has in steps of half a mean month, which
	// is up to a day off.
	late := func(phases []time.Time, at time.Time) float64 {
		const half = 29.530588861 / 2
		best := math.Inf(1)
		for _, x := range phases {
			if d := at.Sub(x).Hours() / 24; math.Abs(d) < math.Abs(best) {
				best = d
			}
		}
		return best - half*math.Floor((best+1)/half)
	}
	first, last := springs[0], springs[len(springs)-1]
	for _, at := range springs { // the table has runs of months; the last one will do
		if last.Sub(at) < 300*24*time.Hour {
			first = at
			break
		}
	}
	n := 0
	for _, id := range []string{"ticon/newlyn-new-gbr-bodc", "noaa/8443970", "ticon/simons_town-221-zaf-uhslc_fd", "noaa/8531526"} {
		p := open(t, id)
		for at := first.AddDate(0, 0, 15); at.Before(last.AddDate(0, 0, -30)); at = at.AddDate(0, 0, 5) {
			f, ok := p.FortnightAt(at)
			if !ok {
				t.Fatalf("%s: FortnightAt(%s) is not ok", id, at)
			}
			n++
			if d := late(springs, f.NextGreat); d > 4 {
				t.Errorf("%s: springs at %s, %.1f days after new or full moon, want up to 4", id, f.NextGreat, d)
			}
			if d := late(neaps, f.NextSmall); d > 4 {
				t.Errorf("%s: neaps at %s, %.1f days after a quarter, want up to 4", id, f.NextSmall, d)
			}
			for _, x := range []time.Time{f.NextGreat, f.NextSmall} {
				if x.Before(at) || x.After(at.Add(15*24*time.Hour)) {
					t.Errorf("%s: %s asked on %s", id, x, at)
				}
			}
			if f.Pace == Growing && f.NextSmall.Before(f.NextGreat) || f.Pace == Shrinking && f.NextGreat.Before(f.NextSmall) || f.Range <= 0 {
				t.Errorf("%s: FortnightAt(%s) = %+v", id, at, f)
			}
		}
	}
	if n < 90 {
		t.Errorf("%d instants looked at, want at least 90", n)
	}
}

// With nothing but the two constituents that make springs, the greatest range lies within a tide of them and the least within a
// tide of neaps; the same for a place with one tide a day.
func TestGreatTidesAreTheGreatestOfTheBeat(t *testing.T) {
	for _, cs := range [][]Constituent{{{"M2", 1, 100}, {"S2", 0.4, 150}}, {{"K1", 0.5, 10}, {"O1", 0.3, 320}}} {
		p := mustNew(t, cs...)
		f, ok := p.FortnightAt(newYear)
		if !ok {
			t.Fatal("FortnightAt is not ok")
		}
		size := func(at time.Time) measure.Metres {
			hi, _ := p.Highest(at.Add(-lunarDay*2/3), at.Add(lunarDay*2/3))
			lo, _ := p.Lowest(at.Add(-lunarDay*2/3), at.Add(lunarDay*2/3))
			return hi.Height - lo.Height
		}
		great, small := size(f.NextGreat), size(f.NextSmall)
		for d := -5; d <= 5; d++ {
			at := time.Duration(d) * 24 * time.Hour
			if x := size(f.NextGreat.Add(at)); x > great+0.01 {
				t.Errorf("%v: range %v %d days from the great tides, %v at them", cs, x, d, great)
			}
			if x := size(f.NextSmall.Add(at)); d%2 == 0 && x < small-0.05 {
				t.Errorf("%v: range %v %d days from the small tides, %v at them", cs, x, d, small)
			}
		}
	}
	for _, cs := range [][]Constituent{nil, {{"M2", 1, 0}}, {{"S2", 1, 0}}} {
		if f, ok := mustNew(t, cs...).FortnightAt(newYear); ok {
			t.Errorf("%v has no beat, but %+v", cs, f)
		}
	}
	if _, ok := open(t, "noaa/8729840").FortnightAt(newYear); !ok {
		t.Error("a diurnal tide has none, want great and small ones")
	}
}

func TestHighestAndLowestOfTheDay(t *testing.T) {
	p := open(t, "noaa/9414290")
	day := newYear.AddDate(0, 0, 1)
	hi, ok1 := p.Highest(newYear, day)
	lo, ok2 := p.Lowest(newYear, day)
	if !ok1 || !ok2 || hi.Kind != High || lo.Kind != Low {
		t.Fatalf("Highest, Lowest = %v, %v", hi, lo)
	}
	for _, e := range p.Extremes(newYear, day) {
		if e.Height > hi.Height || e.Height < lo.Height {
			t.Errorf("%v beyond %v or %v", e, hi, lo)
		}
	}
	if _, ok := p.Highest(newYear, newYear); ok {
		t.Error("a highest water in no time")
	}
	var none measure.Metres
	if e, ok := mustNew(t).Lowest(newYear, day); ok || e.Height != none {
		t.Errorf("Lowest without a tide = %v", e)
	}
}
