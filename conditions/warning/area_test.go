package warning

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"ledgehand/conditions/measure"
)

// drawn reads areas as a message has them.
func drawn(t testing.TB, shapes string) Area {
	t.Helper()
	m := decoded(t, page(plainHead+`<info><event>Gale</event><area><areaDesc>x</areaDesc>`+shapes+`</area></info>`))
	return m.Infos[0].Areas[0]
}

func TestAreaCovers(t *testing.T) {
	polygon := func(s string) string { return "<polygon>" + s + "</polygon>" }
	const square = "10,20 11,20 11,21 10,21 10,20"
	for _, tc := range []struct {
		name, shapes string
		lat, lon     float64
		want         string
	}{
		{"inside", polygon(square), 10.5, 20.5, "yes"},
		{"outside", polygon(square), 12, 20.5, "no"},
		{"outside on the other side of the globe", polygon(square), -10.5, -159.5, "no"},
		{"on an edge", polygon(square), 10, 20.5, "yes"},
		{"on a corner", polygon(square), 11, 21, "yes"},
		{"within the margin", polygon(square), 10.5, 21.04, "yes"}, // 4.4 km
		{"beyond the margin", polygon(square), 10.5, 21.06, "no"},  // 6.6 km
		{"the other way round", polygon("10,20 10,21 11,21 11,20 10,20"), 10.5, 20.5, "yes"},
		{"unclosed", polygon("10,20 11,20 11,21 10,21"), 10.5, 20.05, "yes"},
		{"unclosed, outside", polygon("10,20 11,20 11,21 10,21"), 10.5, 19, "no"},
		{"closed twice", polygon(square + " 10,20"), 10.5, 20.5, "yes"},
		{"tabs and line ends between", polygon("10,20\n\t\t11,20\r\n11,21\t10,21 10,20"), 10.5, 20.5, "yes"},
		{"space behind the comma", polygon("10, 20 11, 20 11, 21 10, 21"), 10.5, 20.5, "yes"},
		{"a bay is not inside", polygon("10,20 13,20 13,23 12,23 12,21 11,21 11,23 10,23 10,20"), 11.5, 22.5, "no"},
		{"a corner level with the place", polygon("10,20 11,21 10,22 9,21"), 10, 21, "yes"},
		{"beside a corner level with the place", polygon("10,20 11,21 10,22 9,21"), 10, 23, "no"},

		{"latitude out of range: longitude first", polygon("151.20,-33.55 151.75,-33.58 151.40,-34.20 151.20,-33.55"), -33.8, 151.4, "yes"},
		{"the same, outside", polygon("151.20,-33.55 151.75,-33.58 151.40,-34.20 151.20,-33.55"), -35, 151.4, "no"},
		{"only one corner shows the order", polygon("89,10 91,10 91,12 89,12"), 11, 90, "yes"},
		{"either order possible, inside as sent", polygon("-9.6,43.8 -7.6,43.8 -7.6,42.8 -9.6,42.8"), -8, 43, "yes"},
		{"either order possible, inside if turned round", polygon("-9.6,43.8 -7.6,43.8 -7.6,42.8 -9.6,42.8"), 43, -8, "not known"},
		{"either order possible, inside in none", polygon("-9.6,43.8 -7.6,43.8 -7.6,42.8 -9.6,42.8"), 50, -8, "no"},

		{"across 180 degrees, west of it", polygon("-16,177 -16,-178 -19.5,-178 -19.5,177 -16,177"), -17.8, 178, "yes"},
		{"across 180 degrees, east of it", polygon("-16,177 -16,-178 -19.5,-178 -19.5,177 -16,177"), -17.8, -179, "yes"},
		{"across 180 degrees, on it", polygon("-16,177 -16,-178 -19.5,-178 -19.5,177 -16,177"), -17.8, 180, "yes"},
		{"across 180 degrees, on it as minus 180", polygon("-16,177 -16,-178 -19.5,-178 -19.5,177 -16,177"), -17.8, -180, "yes"},
		{"across 180 degrees, not at the longitudes between", polygon("-16,177 -16,-178 -19.5,-178 -19.5,177 -16,177"), -17.8, 151, "no"},
		{"across 180 degrees, outside", polygon("-16,177 -16,-178 -19.5,-178 -19.5,177 -16,177"), -17.8, 176, "no"},
		{"longitudes from 0 to 360", polygon("-16,177 -16,182 -19.5,182 -19.5,177 -16,177"), -17.8, -179, "yes"},
		{"a corner at 180, another at minus 180", polygon("-16,178 -16,180 -17,-180 -18,180 -18,178"), -17, 179, "yes"},

		{"too few corners", polygon("51,-10 52,-10"), 51.5, -10, "not known"},
		{"one point four times", polygon("51,-10 51,-10 51,-10 51,-10"), 20, 20, "not known"},
		{"all on one line", polygon("51,-10 52,-9 53,-8 51,-10"), 20, 20, "not known"},
		{"there and back", polygon("51,-10 52,-9 51,-10 52,-9 51,-10"), 20, 20, "not known"},
		{"round the pole", polygon("70,0 70,90 70,180 70,-90 70,0"), 80, 10, "not known"},
		{"round the globe", polygon("5,0 6,120 5,-120"), 40, 10, "not known"},
		{"round the pole, in and out", polygon("70,0 72,90 70,180 72,-90 70,0"), 80, 10, "not known"},
		{"an edge of nearly half the globe", polygon("10,-90 10,85 20,85 20,-90"), 15, 0, "not known"},
		{"an edge of half the globe", polygon("10,-90 10,90 20,90 20,-90"), 15, 0, "not known"},
		{"no numbers", polygon("a,b c,d e,f g,h"), 20, 20, "not known"},
		{"not finite", polygon("NaN,20 11,20 11,21"), 20, 20, "not known"},
		{"infinite", polygon("Inf,20 11,20 11,21"), 20, 20, "not known"},
		{"pairs without commas", polygon("10 20 11 20 11 21 10 21"), 20, 20, "not known"},
		{"three numbers a corner", polygon("10,20,5 11,20,5 11,21,5"), 20, 20, "not known"},
		{"off the globe in either order", polygon("95,100 96,100 96,101"), 20, 20, "not known"},
		{"a bad shape beside a good one, inside the good one", polygon("51,-10 52,-10") + polygon(square), 10.5, 20.5, "yes"},
		{"a bad shape beside a good one, outside", polygon("51,-10 52,-10") + polygon(square), 30, 30, "not known"},
		{"an empty shape beside a good one, outside", polygon(" ") + polygon(square), 30, 30, "no"},
		{"crossing itself, in one half", polygon("10,20 12,20 10,22 12,22 10,20"), 11, 20.2, "yes"},
		{"crossing itself, in the other half", polygon("10,20 12,20 10,22 12,22 10,20"), 11, 21.8, "yes"},
		{"crossing itself, in neither", polygon("10,20 12,20 10,22 12,22 10,20"), 11.9, 21, "no"},
		{"wound twice", polygon("10,20 12,20 12,22 10,22 10,20 12,20 12,22 10,22"), 11, 21, "yes"},

		{"in a circle", "<circle>37.75,-25.45 80.0</circle>", 37.75, -25.0, "yes"},
		{"out of a circle", "<circle>37.75,-25.45 80.0</circle>", 38.75, -25.45, "no"}, // 111 km
		{"in a circle that reaches over 180 degrees", "<circle>-17,179.9 50</circle>", -17, -179.9, "yes"},
		{"a circle of no size", "<circle>37.75,-25.45 0</circle>", 37.75, -25.45, "not known"},
		{"a circle of less than none", "<circle>37.75,-25.45 -5</circle>", 37.75, -25.45, "not known"},
		{"a circle without a radius", "<circle>37.75,-25.45</circle>", 37.75, -25.45, "not known"},
		{"a circle, longitude first", "<circle>151.3,-33.9 30</circle>", -33.9, 151.3, "yes"},
		{"a circle in either order", "<circle>-25.45,37.75 80</circle>", 37.75, -25.45, "not known"},
		{"two shapes, in the second", polygon(square) + "<circle>0,0 100</circle>", 0.5, 0.5, "yes"},
		{"words only", "", 10, 10, "not known"},
		{"altitudes change nothing", polygon(square) + "<altitude>10000</altitude><ceiling>20000</ceiling>", 10.5, 20.5, "yes"},
		{"a code nobody knows", "<geocode><valueName>EMMA_ID</valueName><value>XX1</value></geocode>", 10.5, 20.5, "not known"},
		{"an empty code", "<geocode><valueName>EMMA_ID</valueName><value> </value></geocode>", 10.5, 20.5, "not known"},
		{"a code beside a polygon is its name", polygon(square) + "<geocode><valueName>EMMA_ID</valueName><value>XX1</value></geocode>", 30, 30, "no"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			a := drawn(t, tc.shapes)
			if got := yesNo(a.Covers(at(tc.lat, tc.lon), Geocodes{})); got != tc.want {
				t.Errorf("Covers(%v, %v) = %s, want %s", tc.lat, tc.lon, got, tc.want)
			}
			for _, r := range a.Polygons {
				for _, p := range r {
					if err := p.Check(); err != nil {
						t.Errorf("corner %v: %v", p, err)
					}
				}
			}
		})
	}
}

func TestAreaCoversPlaces(t *testing.T) {
	a := drawn(t, "<polygon>10,20 11,20 11,21 10,21</polygon>")
	ledge, anchor := measure.Position{Lat: 9.9, Lon: 20.5}, measure.Position{Lat: 10.2, Lon: 20.5}
	for _, tc := range []struct {
		name   string
		places []measure.Position
		want   string
	}{
		{"the ledge alone", []measure.Position{ledge}, "no"},
		{"the ledge and the sea before it", []measure.Position{ledge, anchor}, "yes"},
		{"in the other order", []measure.Position{anchor, ledge}, "yes"},
		{"no place", nil, "not known"},
		{"no place on Earth", []measure.Position{{Lat: math.NaN()}, {Lat: 91}}, "not known"},
	} {
		if got := yesNo(a.Covers(tc.places, Geocodes{})); got != tc.want {
			t.Errorf("%s: Covers = %s, want %s", tc.name, got, tc.want)
		}
	}
}

// A long edge may be meant as a great circle: at 60 degrees north the one between 20 west and
// 20 east goes 1.7 degrees farther north than the parallel.
func TestLongEdgeMayBeAGreatCircle(t *testing.T) {
	a := drawn(t, "<polygon>50,-20 60,-20 60,20 50,20</polygon>")
	mid := measure.Offset(measure.Position{Lat: 60, Lon: -20}, measure.Bearing(measure.Position{Lat: 60, Lon: -20}, measure.Position{Lat: 60, Lon: 20}),
		measure.DistanceKm(measure.Position{Lat: 60, Lon: -20}, measure.Position{Lat: 60, Lon: 20})/2)
	if math.Abs(mid.Lon) > 0.01 || mid.Lat < 61 {
		t.Fatalf("middle of the great circle = %v", mid)
	}
	for _, tc := range []struct {
		lat  float64
		want string
	}{{59.9, "yes"}, {60.5, "not known"}, {mid.Lat - 0.2, "not known"}, {mid.Lat + 0.3, "no"}} {
		if got := yesNo(a.Covers(at(tc.lat, 0), Geocodes{})); got != tc.want {
			t.Errorf("Covers(%v, 0) = %s, want %s", tc.lat, got, tc.want)
		}
	}
}

func whereOf(t *testing.T, r Ring, p measure.Position) whereabouts {
	t.Helper()
	x, y, ok := r.unroll()
	if !ok {
		t.Fatalf("ring %v: no area", r)
	}
	return where(x, y, p)
}

// Against an independent way: a place within a star-shaped ring is nearer to its middle than
// the ring is in that direction. Shifting all by a longitude, across 180 degrees too, turning
// the ring round and beginning it elsewhere must change nothing.
func TestRingProperties(t *testing.T) {
	const seed = 7
	rnd := rand.New(rand.NewPCG(seed, seed))
	for range 3000 {
		n := 3 + rnd.IntN(12)
		radius := make([]float64, n)
		for i := range radius {
			radius[i] = 0.5 + 2*rnd.Float64()
		}
		lat, lon := -40+80*rnd.Float64(), -180+360*rnd.Float64()
		corner := func(i int) (x, y float64) {
			s, c := math.Sincos(2 * math.Pi * float64(i%n) / float64(n))
			return radius[i%n] * c, radius[i%n] * s
		}
		var r Ring
		for i := range n {
			x, y := corner(i)
			r = append(r, measure.Position{Lat: lat + y, Lon: measure.Wrap180(lon + x)})
		}
		px, py := -3+6*rnd.Float64(), -3+6*rnd.Float64()
		// The wedge it lies in, and on which side of that wedge's edge.
		w := int(math.Floor(math.Mod(math.Atan2(py, px)/(2*math.Pi)+1, 1) * float64(n)))
		ax, ay := corner(w)
		bx, by := corner(w + 1)
		want := (bx-ax)*(py-ay)-(by-ay)*(px-ax) >= 0
		p := measure.Position{Lat: lat + py, Lon: measure.Wrap180(lon + px)}
		got := whereOf(t, r, p)
		if got.in != want && got.edge > 0.01 {
			t.Fatalf("seed %d: %v in %v = %v (%.3f km from the edge), want %v", seed, p, r, got.in, got.edge, want)
		}
		k := rnd.IntN(n)
		turned := append(append(Ring{}, r[k:]...), r[:k+1]...)
		for i, j := 0, len(turned)-1; i < j; i, j = i+1, j-1 {
			turned[i], turned[j] = turned[j], turned[i]
		}
		again := whereOf(t, turned, p)
		if again.in != got.in || math.Abs(again.edge-got.edge) > 1e-6 {
			t.Fatalf("seed %d: turned round: %+v, want %+v", seed, again, got)
		}
	}
}

func TestGeocodes(t *testing.T) {
	g := outlines(t, sampleCAP(t, "geocode_outlines.constructed.geojson"))
	codes := func(kinds ...string) []Pair {
		var out []Pair
		for _, k := range kinds {
			name, value, _ := strings.Cut(k, "=")
			out = append(out, Pair{name, value})
		}
		return out
	}
	for _, tc := range []struct {
		name     string
		codes    []Pair
		here     []Pair
		lat, lon float64
		want     string
	}{
		{"in the area", codes("EMMA_ID=XX901"), nil, 48.1, -4.5, "yes"},
		{"written otherwise", codes("emma_id=xx901 "), nil, 48.1, -4.5, "yes"},
		{"in the hole", codes("EMMA_ID=XX901"), nil, 48.5, -4.5, "no"},
		{"in the hole near its edge", codes("EMMA_ID=XX901"), nil, 48.32, -4.5, "yes"},
		{"in the second patch", codes("EMMA_ID=XX902"), nil, 47.1, -3.4, "yes"},
		{"between the patches", codes("EMMA_ID=XX902"), nil, 47.4, -3.2, "no"},
		{"in one of two areas", codes("EMMA_ID=XX901", "EMMA_ID=XX902"), nil, 47.1, -3.4, "yes"},
		{"in neither", codes("EMMA_ID=XX901", "EMMA_ID=XX902"), nil, 40, 0, "no"},
		{"one area unknown, in the other", codes("EMMA_ID=XX999", "EMMA_ID=XX901"), nil, 48.1, -4.5, "yes"},
		{"one area unknown, not in the other", codes("EMMA_ID=XX901", "EMMA_ID=XX999"), nil, 40, 0, "not known"},
		{"another kind of the same value", codes("NUTS3=XX901"), nil, 48.1, -4.5, "not known"},
		{"a kind nobody knows beside one that is known", codes("NUTS3=FR1", "EMMA_ID=XX901"), nil, 40, 0, "no"},
		{"a zone the place lies in", codes("UGC=PZZ455"), codes("UGC=PZZ455"), 40, 0, "yes"},
		{"another zone of the same sea", codes("UGC=PZZ645"), codes("UGC=PZZ455"), 40, 0, "no"},
		{"a zone of a kind not listed", codes("UGC=CAZ109"), codes("UGC=PZZ455"), 40, 0, "not known"},
		{"counties beside zones", codes("FIPS6=006045", "UGC=PZZ645"), codes("UGC=PZZ455"), 40, 0, "no"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			g := g
			g.Here = tc.here
			if got := yesNo((Area{Codes: tc.codes}).Covers(at(tc.lat, tc.lon), g)); got != tc.want {
				t.Errorf("Covers = %s, want %s", got, tc.want)
			}
		})
	}
	t.Run("a code reaches farther than the polygon beside it", func(t *testing.T) {
		a := drawn(t, "<polygon>10,20 11,20 11,21 10,21</polygon><geocode><valueName>EMMA_ID</valueName><value>XX901</value></geocode>")
		if got := yesNo(a.Covers(at(48.1, -4.5), g)); got != "yes" {
			t.Errorf("Covers = %s, want yes", got)
		}
	})
}

func TestDecodeGeocodesRefuses(t *testing.T) {
	good := `{"type":"Feature","properties":{"type":"EMMA_ID","code":"A"},"geometry":{"type":"Polygon","coordinates":[[[1,2],[3,2],[3,4],[1,2]]]}}`
	outlines(t, []byte(good))
	for _, change := range [][2]string{
		{`"Feature"`, `"Point"`}, {`"EMMA_ID"`, `""`}, {`"A"`, `""`}, {`"Polygon"`, `"LineString"`}, {`[1,2],[3,2]`, `[1,2],[1,2]`},
		{`[3,4]`, `[3,94]`}, {`[3,4]`, `[3]`}, {`[3,4]`, `["a",4]`}, {`[[[1,2],[3,2],[3,4],[1,2]]]`, `[]`},
		{`"geometry":`, `"crs":{"type":"name","properties":{"name":"EPSG:3857"}},"geometry":`}, {`}}`, `}`},
	} {
		if _, err := DecodeGeocodes([]byte(strings.Replace(good, change[0], change[1], 1))); err == nil {
			t.Errorf("%s for %s: no error", change[1], change[0])
		}
	}
}

// The outlines of the Irish sea areas as others recorded them, and the message that has nothing else.
func TestRecordedOutlines(t *testing.T) {
	var files [][]byte
	for n := 806; n <= 809; n++ {
		files = append(files, recordedCAP(t, fmt.Sprintf("geocode/EMMA_ID_EI%d.geojson", n)))
	}
	g := outlines(t, files...)
	m := decoded(t, recordedCAP(t, "ie_smallcraft_emma_geocode_only_2025.xml"))
	now := "2025-04-14T10:00:00Z"
	for _, tc := range []struct {
		name     string
		codes    Geocodes
		lat, lon float64
		want     string
	}{
		{"off Dublin", g, 53.5, -5.8, "yes"},
		{"off Belfast", g, 54.5, -5.2, "yes"},
		{"the west coast", g, 53.3, -9.5, "no"},
		{"without the outlines", Geocodes{}, 53.5, -5.8, "not known"},
		{"with half of the outlines, in none of these", outlines(t, files[:2]...), 53.3, -9.5, "not known"},
	} {
		j := one(t, now, at(tc.lat, tc.lon), nil, tc.codes, m)
		if got := yesNo(j.Covers); got != tc.want {
			t.Errorf("%s: Covers = %s, want %s", tc.name, got, tc.want)
		}
		if j.Standing != ToCome || j.Area == "" || j.Sender != "Met Éireann" {
			t.Errorf("%s: judged %+v, want to come, with the sender's words for where", tc.name, j)
		}
	}
}
