package tide

import (
	"bufio"
	"compress/gzip"
	"encoding/json"
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"sort"
	"strings"
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

func TestEveryStationOpens(t *testing.T) {
	c := stations()
	if c.count < 5000 {
		t.Fatalf("Stations() = %d, want thousands", c.count)
	}
	last := ""
	for i := range c.count {
		s := c.station(i)
		if s.ID <= last {
			t.Errorf("station %q after %q: not sorted", s.ID, last)
		}
		last = s.ID
		if s.Name == "" || s.Zone == "" || s.Datum == "" || s.Credit == "" || len(s.Country) != 2 || s.Position.Check() != nil {
			t.Errorf("station %+v lacks something", s)
		}
		p, err := Open(s.ID)
		if err != nil {
			t.Errorf("Open(%q) = %v", s.ID, err)
			continue
		}
		h := float64(p.Height(newYear))
		if !finite(h) || math.Abs(h) > 20 || p.Station().ID != s.ID || p.Datum() != s.Datum {
			t.Errorf("%s: Height = %v above %q of %q", s.ID, h, p.Datum(), p.Station().ID)
		}
		// no prediction passes the astronomical extremes the source gives by more than the season and the years differ
		if hi, lo := float64(s.Highest), float64(s.Lowest); h > hi+0.3 || h < lo-0.3 {
			t.Errorf("%s: Height = %.2f, outside %.2f to %.2f", s.ID, h, lo, hi)
		}
	}
}

// The catalogue against the file it is made from.
func TestCatalogueHoldsItsSource(t *testing.T) {
	f, err := os.Open(filepath.Join("..", "..", "..", "shared", "data", "tide", "stations.jsonl.gz"))
	if err != nil {
		t.Skip("no shared folder beside the repository: nothing to compare with")
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(z)
	lines.Buffer(nil, 1<<20)
	n := 0
	for lines.Scan() {
		var s struct {
			ID, Name, TZ, CC, Type, Src, CD, Warn, Ref string
			Lat, Lon                                   float64
			D                                          map[string]float64
			C                                          map[string][2]float64
			Off                                        struct {
				TH, TL int
				HH, HL float64
				HT     string
			}
		}
		if err := json.Unmarshal(lines.Bytes(), &s); err != nil {
			t.Fatal(err)
		}
		got, err := Find(s.ID)
		if s.Warn != "" {
			if !errors.Is(err, UnknownStationError{s.ID}) {
				t.Errorf("Find(%q), a station with a warning, = %v", s.ID, err)
			}
			continue
		}
		n++
		if err != nil {
			t.Fatal(err)
		}
		if got.Name != s.Name || got.Zone != s.TZ || got.Country != s.CC || got.Source != s.Src || got.Subordinate != (s.Type == "sub") ||
			math.Abs(got.Position.Lat-s.Lat) > 1e-6 || math.Abs(got.Position.Lon-s.Lon) > 1e-6 {
			t.Errorf("Find(%q) = %+v, want %+v", s.ID, got, s)
		}
		if got.Subordinate {
			o := Offsets{
				HighLater: time.Duration(s.Off.TH) * time.Minute, LowLater: time.Duration(s.Off.TL) * time.Minute,
				High: s.Off.HH, Low: s.Off.HL, Ratio: s.Off.HT == "ratio",
			}
			if got.Reference != s.Ref || got.Offsets != o || got.Datum != "MLLW" {
				t.Errorf("Find(%q) = %+v, want %q, %+v above MLLW", s.ID, got, s.Ref, o)
			}
			continue
		}
		if msl, ok := s.D["MSL"]; ok && (got.Datum != s.CD || float64(got.MeanLevel) != msl) {
			t.Errorf("Find(%q): mean level %v above %s, want %v above %s", s.ID, got.MeanLevel, got.Datum, msl, s.CD)
		} else if !ok && (got.Datum != "MSL" || got.MeanLevel != 0) {
			t.Errorf("Find(%q): mean level %v above %s, want 0 above MSL where no datum is known", s.ID, got.MeanLevel, got.Datum)
		}
		for name, want := range s.D {
			if got, err := FromDatum(s.ID, name, 0); len(s.D) > 1 && (err != nil || math.Abs(float64(got)-want) > 5e-5) {
				t.Errorf("%s of %q lies %v above %s (%v), want %v", name, s.ID, got, s.CD, err, want)
			}
		}
		cs := Constituents(s.ID)
		if len(cs) != len(s.C) {
			t.Errorf("Constituents(%q) = %d, want %d", s.ID, len(cs), len(s.C))
		}
		for _, c := range cs {
			if want := s.C[c.Name]; math.Abs(float64(c.Amplitude)-want[0]) > 1e-9 || math.Abs(c.Phase-want[1]) > 1e-9 {
				t.Errorf("%s of %q = %v, want %v", c.Name, s.ID, c, want)
			}
		}
	}
	if n != Stations() || lines.Err() != nil {
		t.Errorf("Stations() = %d, the source has %d usable (%v)", Stations(), n, lines.Err())
	}
}

func TestUnknownStationsAreErrorsThatNameThem(t *testing.T) {
	for _, id := range []string{"", "noaa/0000000", "zzz", "NOAA/9414290"} {
		_, err := Open(id)
		var unknown UnknownStationError
		if !errors.As(err, &unknown) || unknown.ID != id {
			t.Errorf("Open(%q) = %v, want an UnknownStationError naming it", id, err)
		}
		if Constituents(id) != nil {
			t.Errorf("Constituents(%q) = some, want none", id)
		}
	}
}

func TestNearestStationsAreTheNearest(t *testing.T) {
	c := stations()
	for _, p := range []measure.Position{{Lat: 37.8, Lon: -122.5}, {Lat: -36.9, Lon: 174.8}, {Lat: 0, Lon: 179.99}, {Lat: 89, Lon: 0}, {Lat: -77, Lon: -179.9}} {
		var want []float64
		for i := range c.count {
			want = append(want, measure.DistanceKm(p, c.station(i).Position))
		}
		sort.Float64s(want)
		got := Near(p, 15)
		if len(got) != 15 {
			t.Fatalf("Near(%v, 15) = %d stations", p, len(got))
		}
		for i, s := range got {
			if s.Km != want[i] {
				t.Errorf("Near(%v)[%d] = %.3f km, want %.3f", p, i, s.Km, want[i])
			}
			if s.Bearing != measure.Bearing(p, s.Position) {
				t.Errorf("Near(%v)[%d] bears %v, want %v", p, i, s.Bearing, measure.Bearing(p, s.Position))
			}
		}
	}
	if got := Near(measure.Position{Lat: 37.8, Lon: -122.47}, 1)[0]; got.ID != "noaa/9414290" || got.Region != "CA" || got.Zone != "America/Los_Angeles" {
		t.Errorf("nearest to the Golden Gate = %+v, want San Francisco", got)
	}
	for _, n := range []int{0, -1} {
		if got := Near(measure.Position{}, n); got != nil {
			t.Errorf("Near with n = %d: %v, want nil", n, got)
		}
	}
	if got := Near(measure.Position{Lat: 91}, 3); got != nil {
		t.Errorf("Near off the Earth = %v, want nil", got)
	}
	if got := Near(measure.Position{}, 1e6); len(got) != c.count {
		t.Errorf("Near with a huge n = %d stations, want all", len(got))
	}
}

func TestPlacesAreFoundByName(t *testing.T) {
	for _, c := range []struct{ typed, want string }{
		{"San Francisco (golden", "noaa/9414290"},
		{"  san  FRANCISCO Golden", "noaa/9414290"},
		{"gate golden", "noaa/9414290"},
		{"alesund", "kartverket/AES"},
		{"Ålesund", "kartverket/AES"},
		{"Ny-Alesund", "kartverket/NYA"},
		{"ny ålesund", "kartverket/NYA"},
		{"newlyn", "ticon/newlyn-new-gbr-bodc"},
		{"golden gate", "noaa/9414290"},
	} {
		got := Named(c.typed, 5)
		if len(got) == 0 || got[0].ID != c.want {
			t.Errorf("Named(%q) = %v, want %s first", c.typed, ids(got), c.want)
		}
	}
	for _, typed := range []string{"", "   ", "---", "qqqqqqqq", "\xff"} {
		if got := Named(typed, 5); len(got) != 0 {
			t.Errorf("Named(%q) = %v, want none", typed, ids(got))
		}
	}
	if got := Named("point", 3); len(got) != 3 {
		t.Errorf("Named(point, 3) = %v, want three", ids(got))
	}
	if got := Named("point", 0); got != nil {
		t.Errorf("Named(point, 0) = %v, want none", ids(got))
	}
}

func ids(ss []Station) []string {
	var out []string
	for _, s := range ss {
		out = append(out, s.ID)
	}
	return out
}

func FuzzNamed(f *testing.F) {
	for _, s := range []string{"San Francisco", "Ålesund", "", "ß", "İ", "🎣", "@name", "Владивосток", "a\x00b"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if again := fold(fold(s)); again != fold(s) {
			t.Errorf("fold(%q) = %q, folded again %q", s, fold(s), again)
		}
		if got := Named(s, 3); len(got) > 3 {
			t.Errorf("Named(%q, 3) = %d stations", s, len(got))
		}
	})
}

func TestWarningsPartRiversFromTheCoast(t *testing.T) {
	for id, want := range map[string]Warning{
		"ticon/columbia_river_at_vancouver_wa-14144700-usa-usgs": River,
		"ticon/trois_rivieres-3360-can-meds":                     River,
		"ticon/visby-2080-swe-smhi":                              NoTide,
		"ticon/toronto_ontario-13320-can-meds":                   NoTide,
		"ticon/karumba-63580-aus-bom":                            Season, // the Gulf of Carpentaria: a sea
		"noaa/9414290":                                           "",
		"noaa/9455920":                                           "", // Anchorage: MSF 0.14 m beside M2 of 3.5 m
		"ticon/newlyn-new-gbr-bodc":                              "",
	} {
		if got := open(t, id).Warning(); got != want {
			t.Errorf("Warning of %s = %q, want %q", id, got, want)
		}
	}
}

func TestCreditsNameEverySource(t *testing.T) {
	all := strings.Join(Credits(), "\n")
	for name, s := range sources {
		if !strings.Contains(all, s.credit) || s.licence == "" {
			t.Errorf("Credits lack %q of %s", s.credit, name)
		}
	}
	for _, src := range stations().sources {
		if _, ok := sources[src]; !ok {
			t.Errorf("source %q of the catalogue has no credit", src)
		}
	}
}

func TestSubordinateWatersAreTheReferencesMoved(t *testing.T) {
	const id = "noaa/1612376" // +11 min and ×0.88 for highs, +5 min and ×0.75 for lows
	s, err := Find(id)
	if err != nil {
		t.Fatal(err)
	}
	ref, p := open(t, s.Reference), open(t, id)
	got := p.Extremes(newYear, newYear.AddDate(0, 0, 10))
	var want []Extreme
	for _, e := range ref.Extremes(newYear.Add(-time.Hour), newYear.AddDate(0, 0, 10)) {
		if e.Kind == High {
			e.At, e.Height = e.At.Add(11*time.Minute), e.Height*0.88
		} else {
			e.At, e.Height = e.At.Add(5*time.Minute), e.Height*0.75
		}
		if !e.At.Before(newYear) && !e.At.After(newYear.AddDate(0, 0, 10)) {
			want = append(want, e)
		}
	}
	if !slices.EqualFunc(got, want, func(a, b Extreme) bool {
		return a.Kind == b.Kind && a.At.Equal(b.At) && math.Abs(float64(a.Height-b.Height)) < 1e-6
	}) {
		t.Errorf("Extremes = %v, want %v", got, want)
	}
	// a third of the way from one water to the next it has come as far as the reference has then
	there := ref.Extremes(newYear.Add(-time.Hour), newYear.AddDate(0, 0, 10))
	for i := range len(got) - 1 {
		a, b, ra, rb := got[i], got[i+1], there[i], there[i+1]
		if ra.Kind != a.Kind {
			t.Fatalf("the reference has %v for %v", ra, a)
		}
		h := p.Height(a.At.Add(b.At.Sub(a.At) / 3))
		rh := ref.Height(ra.At.Add(rb.At.Sub(ra.At) / 3))
		want := a.Height + (b.Height-a.Height)*(rh-ra.Height)/(rb.Height-ra.Height)
		if math.Abs(float64(h-want)) > 1e-4 {
			t.Errorf("Height a third of the way from %v to %v = %v, want %v", a, b, h, want)
		}
	}
	if _, err := Open(id, WithMeanLevel(1)); !errors.Is(err, ErrSubordinateLevel) {
		t.Errorf("Open with a mean level = %v, want ErrSubordinateLevel", err)
	}
}

func TestOptionsAreChecked(t *testing.T) {
	cs := []Constituent{{"M2", 1, 0}}
	for what, opt := range map[string]Option{
		"mode": WithMode("decade"), "level": WithMeanLevel(measure.Metres(math.NaN())), "rise": WithPrune(-1),
	} {
		if _, err := New(0, cs, opt); err == nil {
			t.Errorf("New with a wrong %s = nil, want an error", what)
		}
	}
	for _, c := range []Constituent{{"M2", -1, 0}, {"M2", measure.Metres(math.Inf(1)), 0}, {"M2", 1, math.NaN()}} {
		if _, err := New(0, []Constituent{c}); err == nil {
			t.Errorf("New with %v = nil, want an error", c)
		}
	}
	if _, err := New(measure.Metres(math.Inf(1)), cs); err == nil {
		t.Error("New with an endless mean level = nil, want an error")
	}
	p := open(t, "noaa/9414290", WithMeanLevel(5), Without("M2", "lambda2", "Q1"))
	if p.Datum() != "" || len(p.curve.(*harmonic).terms) != len(Constituents("noaa/9414290"))-3 {
		t.Errorf("Datum = %q, %d terms: want none named and three left out", p.Datum(), len(p.curve.(*harmonic).terms))
	}
}
