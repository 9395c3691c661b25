package tide

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"ledgehand/conditions/measure"
)

// Datums of Seattle as NOAA CO-OPS publishes them (metadata API, datums of station 9447130, epoch 1983-2001), in feet
// above the station datum, rounded to 0.01 ft.
var seattleFeet = map[string]float64{
	"STND": 0, "MHHW": 19.30, "MHW": 18.43, "MTL": 14.60, "MSL": 14.58, "MLW": 10.77, "MLLW": 7.94, "NAVD88": 10.28,
}

const foot = 0.3048

func TestLevelsAreThosePublished(t *testing.T) {
	const id = "noaa/9447130"
	levels := Levels(id)
	for name, feet := range seattleFeet {
		h, err := AboveDatum(id, "STND", heightOf(t, levels, name))
		if err != nil {
			t.Fatal(err)
		}
		if want := feet * foot; math.Abs(float64(h)-want) > 0.005*foot+0.0005 { // their rounding and ours
			t.Errorf("%s lies %.4f m above STND, want %.4f (%.2f ft)", name, h, want, feet)
		}
	}
	if !slices.IsSortedFunc(levels, func(a, b Level) int { return int(math.Copysign(1, float64(a.Height-b.Height))) }) {
		t.Errorf("Levels = %v, want the lowest first", levels)
	}
}

func heightOf(t *testing.T, levels []Level, name string) measure.Metres {
	t.Helper()
	i := slices.IndexFunc(levels, func(l Level) bool { return l.Datum == name })
	if i < 0 {
		t.Fatalf("no %s among %v", name, levels)
	}
	return levels[i].Height
}

// NOAA CO-OPS publishes hourly predictions above the station datum: asked for by name, they come out to 1 mm.
func TestWantedDatumReproducesNOAASeries(t *testing.T) {
	values := by(readTable(t, kept, "authority_series.csv"), "case")
	n := 0
	for _, c := range readTable(t, kept, "authority_cases.csv") {
		if c["kind"] != "series" || !isUnrevised(c) || c["datum"] != "STND" && c["datum"] != "MLLW" {
			continue
		}
		p, err := Open(c["station"], WithMode(Year), WithDatum(strings.ToLower(c["datum"])))
		if err != nil {
			t.Fatal(err)
		}
		if p.Datum() != c["datum"] {
			t.Errorf("Datum = %q, want %q", p.Datum(), c["datum"])
		}
		for _, v := range values[c["case"]] {
			n++
			if got, want := float64(p.Height(v.Time(t, "time_utc"))), v.Num(t, "height_m"); math.Abs(got-want) > 0.001 {
				t.Errorf("%s above %s at %s = %.4f, want %.3f", c["station"], c["datum"], v["time_utc"], got, want)
			}
		}
	}
	if n < 200 {
		t.Errorf("only %d values compared, want at least 200", n)
	}
}

func TestADatumNobodyKnowsIsRefused(t *testing.T) {
	for what, try := range map[string]func() error{
		"a wrong name":          func() error { _, err := Open("noaa/9447130", WithDatum("NAP")); return err },
		"NAVD88 in Europe":      func() error { _, err := Open("ticon/newlyn-new-gbr-bodc", WithDatum("NAVD88")); return err },
		"a subordinate station": func() error { _, err := Open("noaa/9445017", WithDatum("MSL")); return err },
		"a height":              func() error { _, err := AboveDatum("noaa/9445017", "MSL", 1); return err },
		"a height back":         func() error { _, err := FromDatum("noaa/9445017", "MSL", 1); return err },
	} {
		var none NoDatumError
		if err := try(); !errors.As(err, &none) || len(none.Known) == 0 || !strings.Contains(err.Error(), none.Known[0]) {
			t.Errorf("%s: %v, want a NoDatumError that names those known", what, err)
		}
	}
	if _, err := AboveDatum("noaa/0", "MSL", 1); !errors.As(err, &UnknownStationError{}) {
		t.Errorf("AboveDatum of an unknown station = %v, want an UnknownStationError", err)
	}
	if _, err := Open("noaa/9447130", WithDatum("MSL"), WithMeanLevel(1)); err == nil {
		t.Error("Open with a datum and a mean level = nil, want an error")
	}
	if _, err := New(1, nil, WithDatum("MSL")); err == nil {
		t.Error("New with a datum = nil, want an error: constants tell none")
	}
	if Levels("noaa/0") != nil {
		t.Error("Levels of an unknown station, want none")
	}
}

// A subordinate station is given above its own chart datum, which may be asked for by name.
func TestChartDatumByNameIsTheDefault(t *testing.T) {
	for _, id := range []string{"noaa/9445017", "noaa/9447130", "kartverket/OSL", "ticon/newlyn-new-gbr-bodc"} {
		p := open(t, id)
		q := open(t, id, WithDatum(p.Datum()))
		if p.Height(newYear) != q.Height(newYear) || q.Datum() != p.Datum() {
			t.Errorf("%s above %s = %v above %q, want %v", id, p.Datum(), q.Height(newYear), q.Datum(), p.Height(newYear))
		}
	}
}

func TestThereAndBackIsTheSameHeight(t *testing.T) {
	for _, s := range someStations(t, 30) {
		for _, l := range Levels(s.ID) {
			above, err := AboveDatum(s.ID, l.Datum, 2.5)
			if err != nil {
				t.Fatal(err)
			}
			if back, err := FromDatum(s.ID, l.Datum, above); err != nil || math.Abs(float64(back)-2.5) > 1e-9 {
				t.Errorf("%s: 2.5 m above %s and back = %v, %v", s.ID, l.Datum, back, err)
			}
		}
	}
}

// The datums and constants of a recorded reply of NOAA CO-OPS, where it is at hand.
func TestRecordedConstantsOfSeattle(t *testing.T) {
	dir := filepath.Join("..", "..", "..", "shared", "data", "feeds", "coops")
	body, err := os.ReadFile(filepath.Join(dir, "9447130_harcon_feet.json"))
	if err != nil {
		t.Skip("no shared folder beside the repository: nothing to compare with")
	}
	var reply struct {
		HarmonicConstituents []struct {
			Name      string
			Amplitude float64
			Phase     float64 `json:"phase_GMT"`
		}
	}
	if err := json.Unmarshal(body, &reply); err != nil {
		t.Fatal(err)
	}
	ours := map[string]Constituent{}
	for _, c := range Constituents("noaa/9447130") {
		ours[c.Name] = c
	}
	n := 0
	for _, c := range reply.HarmonicConstituents {
		if c.Amplitude == 0 {
			continue
		}
		l, err := lineNamed(c.Name)
		if err != nil {
			t.Errorf("NOAA's %q: %v", c.Name, err)
			continue
		}
		n++
		got := ours[l.name]
		if math.Abs(float64(got.Amplitude)-c.Amplitude*foot) > 0.005*foot+0.0005 || math.Abs(measure.Wrap180(got.Phase-c.Phase)) > 0.1 {
			t.Errorf("%s = %.4f m %.1f°, NOAA has %.4f m %.1f°", c.Name, got.Amplitude, got.Phase, c.Amplitude*foot, c.Phase)
		}
	}
	if n < 30 {
		t.Errorf("%d constituents compared, want at least 30", n)
	}
}

// Arena Cove and San Francisco both tell how high NAVD88 lies (NOAA CO-OPS datums: 0.042 m above MLLW at the one, 0.018 below it
// at the other), so a rock levelled at the one has a height at the other.
func TestHeightsAreLevelledOver(t *testing.T) {
	by, through, err := Rebase("noaa/9416841", "noaa/9414290")
	if err != nil || through != "NAVD88" || math.Abs(float64(by)+0.060) > 0.001 {
		t.Errorf("Rebase = %v through %q, %v, want -0.060 m through NAVD88", by, through, err)
	}
	back, _, err := Rebase("noaa/9414290", "noaa/9416841")
	if err != nil || math.Abs(float64(by+back)) > 1e-9 {
		t.Errorf("there %v and back %v, %v", by, back, err)
	}
	if _, through, err := Rebase("noaa/9416841", "ticon/newlyn-new-gbr-bodc"); err != nil || through != "MSL" {
		t.Errorf("to Newlyn through %q, %v, want MSL", through, err)
	}
	var none NoDatumError
	if _, _, err := Rebase("noaa/9416841", "noaa/9445017"); !errors.As(err, &none) || none.Station != "noaa/9445017" {
		t.Errorf("to a subordinate station: %v, want a NoDatumError naming it", err)
	}
	if _, _, err := Rebase("noaa/9445017", "noaa/9416841"); !errors.As(err, &none) {
		t.Errorf("from a subordinate station: %v, want a NoDatumError", err)
	}
}
