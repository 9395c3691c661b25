package weight

import (
	"encoding/csv"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

type check struct {
	id, species string
	measure     Measure
	cm, grams   float64
	tolerance   float64 // percent
}

// checks are published pairs of length and weight, each with its source (testdata/README.md): the whole table where it
// lies beside the repository.
func checks(t *testing.T) (out []check) {
	t.Helper()
	f, err := os.Open(filepath.FromSlash("../../../../shared/data/fish/length_weight_checks.csv"))
	if err != nil {
		f, err = os.Open(filepath.FromSlash("../../../testdata/fish/length_weight_checks.csv"))
	}
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = f.Close() }()
	records, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	number := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for _, r := range records[1:] {
		out = append(out, check{r[0], r[1], Measure(r[2]), number(r[3]), number(r[4]), number(r[7])})
	}
	return out
}

func TestPublishedWeights(t *testing.T) {
	passed := 0
	all := checks(t)
	for _, c := range all {
		e, err := Bundled().Of(c.species, c.measure, c.cm)
		if err != nil {
			t.Errorf("%s: Of(%s, %s, %g): %v", c.id, c.species, c.measure, c.cm, err)
			continue
		}
		off := 100 * (e.Grams - c.grams) / c.grams
		if math.Abs(off) > c.tolerance {
			t.Errorf("%s: Of(%s, %s, %g) = %.0f g, want %.0f within %g %%: %.1f %% off", c.id, c.species, c.measure, c.cm, e.Grams, c.grams, c.tolerance, off)
			continue
		}
		passed++
	}
	t.Logf("%d of %d within tolerance", passed, len(all))
	if len(all) < 24 {
		t.Errorf("%d checks, want 24 at least", len(all))
	}
}

func TestRefusals(t *testing.T) {
	for _, tt := range []struct {
		outcome, species string
		measure          Measure
		cm               float64
		want             Why
	}{
		{"SourcesDiffer", "Scorpaenichthys marmoratus", TL, 50, WhyListed},
		{"SourcesDifferWhateverTheLength", "sparus  AURATA", "", -1, WhyListed},
		{"AFamily", "Serranidae", TL, 30, WhyListed},
		{"NotInTheTable", "Girella leonina", TL, 30, WhyUnknown},
		{"NoName", "", TL, 30, WhyUnknown},
		{"NoMeasure", "Girella elevata", "", 30, WhyMeasure},
		{"StandardLength", "Girella elevata", "SL", 30, WhyMeasure},
		{"NoConversion", "Girella elevata", FL, 30, WhyConversion},
		{"NoConversionBack", "Sebastes melanops", TL, 30, WhyConversion},
		{"Nothing", "Girella elevata", TL, 0, WhyLength},
		{"Negative", "Girella elevata", TL, -31, WhyLength},
		{"NotANumber", "Girella elevata", TL, math.NaN(), WhyLength},
		{"Endless", "Girella elevata", TL, math.Inf(1), WhyLength},
		{"TooLong", "Girella elevata", TL, 90, WhyLength},
		{"TooShort", "Girella elevata", TL, 0.5, WhyLength},
		{"TooLongWithNoLongestKnown", "Oblada melanura", TL, 101, WhyLength},
		{"NoSuchTail", "Scorpis aequipinnis", FL, 5, WhyLength},
		{"ForkBelowTheLine", "Chrysophrys auratus", TL, 1.5, WhyLength},
	} {
		t.Run(tt.outcome, func(t *testing.T) {
			e, err := Bundled().Of(tt.species, tt.measure, tt.cm)
			var r *Refused
			if !errors.As(err, &r) || r.Why != tt.want || e != (Estimate{}) {
				t.Errorf("Of(%q, %q, %g) = %+v, %v, want refused: %s", tt.species, tt.measure, tt.cm, e, err, tt.want)
			}
		})
	}
}

func TestConversions(t *testing.T) {
	// A fish given by either length weighs the same.
	fork, err := Bundled().Of("Girella tricuspidata", FL, 30)
	if err != nil {
		t.Fatal(err)
	}
	total, err := Bundled().Of("Girella tricuspidata", TL, 30*1.041)
	if err != nil || math.Abs(fork.Grams-total.Grams) > 0.01 || fork.Converted || !total.Converted {
		t.Errorf("30 cm FL = %+v, the same fish by TL = %+v, %v", fork, total, err)
	}
	// Of two stocks of one species the one studied in the length given.
	for m, want := range map[Measure]float64{TL: 0.0073 * math.Pow(60, 3.073), FL: 0.005132 * math.Pow(60, 3.1625)} {
		if e, err := Bundled().Of("gadus morhua", m, 60); err != nil || math.Abs(e.Grams-want) > 0.01 || e.Converted {
			t.Errorf("cod of 60 cm %s = %+v, %v, want %.1f g", m, e, err, want)
		}
	}
	// Outside the lengths studied a good value is a rough one.
	if e, err := Bundled().Of("Sciaenops ocellatus", FL, 20); err != nil || !e.Outside || e.Quality != C {
		t.Errorf("red drum of 20 cm = %+v, %v, want it outside and C", e, err)
	}
	if e, err := Bundled().Of("Sciaenops ocellatus", FL, 60); err != nil || e.Outside || e.Quality != A {
		t.Errorf("red drum of 60 cm = %+v, %v, want A", e, err)
	}
}

// Every species of the table: a longer fish is a heavier one, never a weight no fish has.
func TestEveryRowIsAFish(t *testing.T) {
	species := Bundled().Species()
	if len(species) != 82 {
		t.Errorf("%d species, want 82", len(species))
	}
	for _, s := range species {
		for _, m := range []Measure{TL, FL} {
			last := 0.0
			for cm := 5.0; cm < 300; cm++ {
				e, err := Bundled().Of(s, m, cm)
				if err != nil {
					continue
				}
				// Fulton's factor 100·W/L³ of fish runs from about 0.1 (eels, needlefish) to about 4 (from memory).
				k := 100 * e.Grams / (cm * cm * cm)
				if e.Grams <= last || k < 0.03 || k > 6 || e.Quality == "" || e.Source == "" {
					t.Fatalf("%s %s %g cm: %+v after %g g (factor %.2f)", s, m, cm, e, last, k)
				}
				last = e.Grams
			}
		}
	}
}

func TestOpenRows(t *testing.T) {
	open := Open()
	if got := len(open.Species()); got != 7 {
		t.Errorf("%d species, want 7: %v", got, open.Species())
	}
	if _, err := open.Of("Dichistius capensis", TL, 35); err != nil {
		t.Errorf("galjoen: %v", err)
	}
	var r *Refused
	if _, err := open.Of("Girella tricuspidata", FL, 35); !errors.As(err, &r) || r.Why != WhyUnknown {
		t.Errorf("luderick: %v, want it unknown", err)
	}
	for _, list := range Bundled().rows {
		for _, x := range list {
			switch x.takenAs {
			case "public", "own", "record", "compiled":
			case "estimate":
				if x.quality != C {
					t.Errorf("%s: an estimate of quality %s", x.canon, x.quality)
				}
			default:
				t.Errorf("%s: taken as %q", x.canon, x.takenAs)
			}
		}
	}
}

func TestParseRefusesWhatCannotBe(t *testing.T) {
	head := strings.Join(columns, ",") + "\n"
	good := "x,Piscis exemplum,TL,cm,g,0.01,3,,,,,50,TL,B,made up\n"
	if tab, err := Parse(strings.NewReader("\ufeff" + head + good)); err != nil {
		t.Errorf("a good table: %v", err)
	} else if e, err := tab.Of("piscis exemplum", TL, 10); err != nil || math.Abs(e.Grams-10) > 1e-9 {
		t.Errorf("10 cm = %+v, %v, want 10 g", e, err)
	}
	for _, bad := range []string{
		"", "a,b\n", head + "x,Piscis exemplum,TL,mm,g,0.01,3,,,,,50,TL,B,s\n", head + "x,Piscis exemplum,SL,cm,g,0.01,3,,,,,50,TL,B,s\n",
		head + "x,Piscis exemplum,TL,cm,g,zero,3,,,,,50,TL,B,s\n", head + "x,Piscis exemplum,TL,cm,g,0.01,7,,,,,50,TL,B,s\n",
		head + "x,Piscis exemplum,TL,cm,g,0.01,3,0,0.5,,,50,TL,B,s\n", head + "x,Piscis exemplum,TL,cm,g,0.01,3,,,,,50,TL,D,s\n",
		head + "x,,TL,cm,g,0.01,3,,,,,50,TL,B,s\n", head + "x,Piscis exemplum,TL,cm,g,NaN,3,,,,,50,TL,B,s\n", head + "x,y\n", head + "x,Piscis exemplum,TL,cm,g,0.01,3,,,,,-5,TL,B,s\n",
	} {
		if _, err := Parse(strings.NewReader(bad)); err == nil {
			t.Errorf("Parse(%q): no error", bad)
		}
	}
}

// The bundled table is the project's, row by row, with what each is taken as.
func TestTheTableIsTheSharedOne(t *testing.T) {
	for ours, theirs := range map[string]string{bundledCSV: "length_weight.csv", refuseCSV: "length_weight_refuse.csv"} {
		raw, err := os.ReadFile(filepath.Join("../../../../shared/data/fish", theirs))
		if err != nil {
			t.Skipf("the shared table is not beside the repository: %v", err)
		}
		read := func(s string) [][]string {
			r, err := csv.NewReader(strings.NewReader(s)).ReadAll()
			if err != nil {
				t.Fatal(err)
			}
			return r
		}
		a, b := read(ours), read(string(raw))
		if len(a) != len(b) {
			t.Fatalf("%s: %d rows, want %d", theirs, len(a), len(b))
		}
		for i := range b {
			if got := strings.Join(a[i][:len(b[i])], "|"); got != strings.Join(b[i], "|") {
				t.Errorf("%s row %d: %s, want %s", theirs, i, got, strings.Join(b[i], "|"))
			}
		}
	}
}

func FuzzOf(f *testing.F) {
	f.Add("Girella elevata", "TL", 75.0)
	f.Add("gadus morhua", "FL", -1.0)
	f.Fuzz(func(t *testing.T, species, m string, cm float64) {
		e, err := Bundled().Of(species, Measure(m), cm)
		var r *Refused
		if err != nil && !errors.As(err, &r) || err == nil && !(e.Grams > 0 && e.Grams < 1e6) {
			t.Errorf("Of(%q, %q, %g) = %+v, %v", species, m, cm, e, err)
		}
	})
}
