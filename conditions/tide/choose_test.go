package tide

import (
	"slices"
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

func doubt(c Choice, w Why) (Doubt, bool) {
	i := slices.IndexFunc(c.Doubts, func(d Doubt) bool { return d.Why == w })
	if i < 0 {
		return Doubt{}, false
	}
	return c.Doubts[i], true
}

func whys(c Choice) []Why {
	var out []Why
	for _, d := range c.Doubts {
		out = append(out, d.Why)
	}
	return out
}

func TestChooseOnKnownCoasts(t *testing.T) {
	for _, c := range []struct {
		name  string
		at    measure.Position
		want  string // station
		doubt []Why
	}{
		// straight open coast: nothing to say
		{"CrescentCity", measure.Position{Lat: 41.75, Lon: -124.20}, "noaa/9419750", nil},
		{"Trinidad", measure.Position{Lat: 41.06, Lon: -124.15}, "noaa/9419059", nil},
		{"ShelterCove", measure.Position{Lat: 40.02, Lon: -124.07}, "noaa/9418024", nil},
		{"ArenaCove", measure.Position{Lat: 38.91, Lon: -123.72}, "noaa/9416841", nil},
		{"PointReyes", measure.Position{Lat: 38.00, Lon: -123.02}, "noaa/9415020", nil},
		{"AnoNuevo", measure.Position{Lat: 37.11, Lon: -122.33}, "noaa/9413878", nil}, // with offsets, 1 km, not San Francisco's own at 78 km
		{"BigSur", measure.Position{Lat: 36.27, Lon: -121.81}, "noaa/9413375", []Why{Far}},
		{"LandsEnd", measure.Position{Lat: 50.066, Lon: -5.715}, "ticon/newlyn-new-gbr-bodc", nil},
		{"Sydney", measure.Position{Lat: -33.83, Lon: 151.29}, "ticon/sydney_port_jackson-213470-aus-bom", nil},
		// two waters within reach
		{"WestOfAuckland", measure.Position{Lat: -36.95, Lon: 174.47}, "ticon/manukau-mnkt-nzl-ttw", []Why{OtherWater}},
		{"IsthmusOfPanama", measure.Position{Lat: 9.15, Lon: -79.75}, "ticon/cristobal-266-pan-uhslc_fd", []Why{OtherWater, Far}},
		{"FloridaKeys", measure.Position{Lat: 24.73, Lon: -81.0}, "noaa/8723949", []Why{OtherWater}},
		{"OceanPierBesideALagoon", measure.Position{Lat: 26.61, Lon: -80.03}, "noaa/8722670", []Why{OtherWater}},
		{"NorthSpitOfHumboldtBay", measure.Position{Lat: 40.77, Lon: -124.22}, "noaa/9418767", []Why{OtherWater}},
		// offsets on a station that keeps another clock: the gauge beside it instead, if there is one
		{"Mazatlan", measure.Position{Lat: 23.2, Lon: -106.42}, "ticon/mazatlan-673a-mex-uhslc_rq", nil},
		{"EasterIsland", measure.Position{Lat: -27.15, Lon: -109.45}, "ticon/easter-022-chl-uhslc_fd", nil},
		{"Casilda", measure.Position{Lat: 21.75, Lon: -80.0}, "noaa/TEC4675", []Why{OtherClock}},
		{"Gotland", measure.Position{Lat: 57.63, Lon: 18.28}, "ticon/visby-2080-swe-smhi", []Why{Warned}},
		{"MidSouthPacific", measure.Position{Lat: -45, Lon: -125}, "ticon/easter-022-chl-uhslc_fd", []Why{VeryFar}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, ok := Choose(c.at)
			if !ok || got.ID != c.want || !slices.Equal(whys(got), c.doubt) {
				t.Errorf("Choose(%v) = %s at %.1f km, %v; %v, want %s, %v", c.at, got.ID, got.Km, whys(got), ok, c.want, c.doubt)
			}
		})
	}
}

func TestDoubtsCarryTheirNumbers(t *testing.T) {
	west, _ := Choose(measure.Position{Lat: -36.95, Lon: 174.47})
	d, _ := doubt(west, OtherWater)
	if d.Other.Zone != "Pacific/Auckland" || d.Later > -2*time.Hour || d.Later < -3*time.Hour-30*time.Minute || d.Other.Km > 40 {
		t.Errorf("west of Auckland: %+v, want the east coast's high water two to three hours earlier", d)
	}
	if diff := Differ(west.Station, d.Other.Station); diff != d.Difference {
		t.Errorf("doubt has %+v, Differ says %+v", d.Difference, diff)
	}
	mid, _ := Choose(measure.Position{Lat: -45, Lon: -125})
	if d, _ := doubt(mid, VeryFar); d.Km != mid.Km || d.Km < 1000 {
		t.Errorf("mid ocean: %+v at %.0f km", d, mid.Km)
	}
	far, _ := Choose(measure.Position{Lat: 36.27, Lon: -121.81})
	if d, _ := doubt(far, Far); d.Km != far.Km || d.Km <= 20 || d.Km > 100 {
		t.Errorf("Big Sur: %+v at %.0f km", d, far.Km)
	}
	cuba, _ := Choose(measure.Position{Lat: 21.75, Lon: -80.0})
	if d, _ := doubt(cuba, OtherClock); d.Clock != -time.Hour {
		t.Errorf("south of Cuba: %+v, want an hour behind San Juan", d)
	}
	gotland, _ := Choose(measure.Position{Lat: 57.63, Lon: 18.28})
	if d, _ := doubt(gotland, Warned); d.Warning != NoTide {
		t.Errorf("Gotland: %+v, want no significant tide", d)
	}
}

func TestARiverGaugeIsNeverChosen(t *testing.T) {
	c := stations()
	rivers := 0
	for i := range c.count {
		s := c.station(i)
		if s.Warning != River {
			continue
		}
		rivers++
		got, ok := Choose(s.Position)
		if !ok || got.Warning == River || slices.ContainsFunc(got.Others, func(o Nearby) bool { return o.Warning == River }) {
			t.Errorf("beside %s: %s, %v", s.ID, got.ID, ok)
		}
	}
	if rivers == 0 {
		t.Error("no river gauge in the catalogue: nothing tried")
	}
}

// A station with its own constants takes the place of one with offsets only near by and alike.
func TestOwnConstantsArePreferredWithinReach(t *testing.T) {
	c := stations()
	took, left := 0, 0
	for i := range c.count {
		s := c.station(i)
		if _, other := borrowed(s); !s.Subordinate || other || s.Warning == River || misplaced[s.ID] {
			continue
		}
		got, _ := Choose(s.Position)
		if got.Subordinate {
			left++
			if got.Km > 0.01 {
				t.Errorf("at %s: %s at %.1f km, with offsets as well", s.ID, got.ID, got.Km)
			}
			continue
		}
		took++
		if got.Km > 5 || Differ(s, got.Station).Unlike() {
			t.Errorf("at %s: %s at %.1f km, %+v", s.ID, got.ID, got.Km, Differ(s, got.Station))
		}
	}
	if took == 0 || left == 0 {
		t.Errorf("changed at %d, kept at %d: want both", took, left)
	}
}

func TestOthersAreTheRestInOrder(t *testing.T) {
	for _, s := range someStations(t, 60) {
		got, ok := Choose(s.Position)
		if !ok || len(got.Others) != 8 {
			t.Fatalf("at %s: %d others, %v", s.ID, len(got.Others), ok)
		}
		for i, o := range got.Others {
			if o.ID == got.ID || i > 0 && o.Km < got.Others[i-1].Km {
				t.Errorf("at %s: others %d is %s at %.1f km", s.ID, i, o.ID, o.Km)
			}
		}
	}
	for _, p := range []measure.Position{{Lat: 91}, {Lon: -181}} {
		if got, ok := Choose(p); ok {
			t.Errorf("Choose(%v) = %s, want none", p, got.ID)
		}
	}
}

// Every station left out in turn and one chosen for its place: how often the doubt is raised, and how often rightly.
func TestDoubtsOfStationsLeftOut(t *testing.T) {
	c := stations()
	var n, unlike, water, hit, silent float64
	for i := range c.count {
		s := c.station(i)
		if s.Warning == River {
			continue
		}
		got, ok := choose(slices.DeleteFunc(Near(s.Position, looked), func(o Nearby) bool { return o.ID == s.ID || o.Warning == River }))
		if !ok {
			t.Fatalf("nothing to choose at %s", s.ID)
		}
		_, warned := doubt(got, OtherWater)
		bad := Differ(got.Station, s).Unlike()
		n++
		if warned {
			water++
		}
		if bad {
			unlike++
		}
		if warned && bad {
			hit++
		}
		if bad && len(got.Doubts) == 0 {
			silent++
		}
	}
	t.Logf("%.0f stations: unlike %.3f; other water raised at %.3f, at %.3f of the unlike, at %.3f of the others; unlike and no doubt %.3f of the unlike, %.3f of all",
		n, unlike/n, water/n, hit/unlike, (water-hit)/(n-unlike), silent/unlike, silent/n)
	if share := water / n; share > 0.57 {
		t.Errorf("other water raised at %.2f of all, want at most 0.57", share)
	}
	if share := hit / unlike; share < 0.64 {
		t.Errorf("other water raised at %.2f of the unlike, want at least 0.64", share)
	}
	if share := silent / n; share > 0.06 {
		t.Errorf("unlike without a doubt at %.2f of all, want at most 0.06", share)
	}
}

func BenchmarkChoose(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		Choose(measure.Position{Lat: 38.9, Lon: -123.7})
	}
}

func BenchmarkChooseAmongMany(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		Choose(measure.Position{Lat: 24.73, Lon: -81.0})
	}
}

// Beside Tanna, in Vanuatu, the catalogue puts Niue, whose longitude has lost its sign.
func TestAMisplacedStationIsNeverChosen(t *testing.T) {
	for id := range misplaced {
		s, err := Find(id)
		if err != nil {
			t.Errorf("%s is not in the catalogue: %v", id, err)
			continue
		}
		got, ok := Choose(s.Position)
		if !ok || got.ID == id || slices.ContainsFunc(got.Others, func(o Nearby) bool { return misplaced[o.ID] }) {
			t.Errorf("where the catalogue has %s: %s", s.Name, got.ID)
		}
	}
	if got, _ := Choose(measure.Position{Lat: -19.5, Lon: 169.3}); got.ID == "noaa/TPT2891" {
		t.Error("Tanna has the tide of Niue")
	}
}

func TestDoubtsOfAGivenStation(t *testing.T) {
	for _, s := range someStations(t, 40) {
		p := measure.Position{Lat: s.Position.Lat * 0.999, Lon: s.Position.Lon}
		c, _ := Choose(p)
		got := DoubtsOf(p, c.ID)
		if len(got) != len(c.Doubts) {
			t.Errorf("near %s: DoubtsOf = %+v, Choose says %+v", s.ID, got, c.Doubts)
		}
	}
	far := DoubtsOf(measure.Position{Lat: 38.95, Lon: -123.74}, "ticon/newlyn-new-gbr-bodc")
	if len(far) == 0 || far[0].Why != VeryFar || far[0].Km < 8000 {
		t.Errorf("Newlyn for California: %+v, want very far first", far)
	}
	river := DoubtsOf(measure.Position{Lat: 45.6, Lon: -122.7}, "ticon/columbia_river_at_vancouver_wa-14144700-usa-usgs")
	if !slices.ContainsFunc(river, func(d Doubt) bool { return d.Why == Warned && d.Warning == River }) {
		t.Errorf("a river gauge: %+v, want its warning", river)
	}
	if got := DoubtsOf(measure.Position{Lat: 1, Lon: 1}, "nowhere"); got != nil {
		t.Errorf("an unknown station: %+v", got)
	}
}
