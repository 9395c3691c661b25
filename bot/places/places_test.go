package places

import (
	"encoding/json"
	"encoding/xml"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

var noon = time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC)

// A file as a handheld writes it, with what we do not take: a route, a track, heights, extensions.
const handheld = `<?xml version="1.0" encoding="UTF-8" standalone="no" ?>
<gpx xmlns="http://www.topografix.com/GPX/1/1" xmlns:x="http://example.com/x" creator="a handheld" version="1.1">
 <metadata><name>not a place</name><bounds minlat="1" minlon="2" maxlat="3" maxlon="4"/></metadata>
 <wpt lat="38.9142" lon="-123.7275"><ele>12.5</ele><time>2026-03-01T08:00:00Z</time><name>Anvil &amp; co</name><cmt>seen</cmt><sym>Flag</sym><extensions><x:y><x:name>no name</x:name></x:y></extensions></wpt>
 <wpt lat=" +38.9612 " lon="-1.237431e2"><name> Long
  Step </name><cmt>by the gully</cmt><desc>big flat</desc></wpt>
 <wpt lon="-123.7"><name>half</name></wpt>
 <wpt lat="NaN" lon="0"><name>nan</name></wpt>
 <wpt lat="91" lon="0"><name>off</name></wpt>
 <wpt lat="0x10" lon="0"/>
 <rte><name>r</name><rtept lat="1" lon="2"><name>p</name></rtept></rte>
 <trk><trkseg><trkpt lat="1" lon="2"/></trkseg></trk>
</gpx>`

func TestAHandheldsFile(t *testing.T) {
	f, err := Read([]byte("\ufeff" + handheld))
	if err != nil {
		t.Fatal(err)
	}
	want := []Place{
		{"Anvil & co", "seen", measure.Position{Lat: 38.9142, Lon: -123.7275}},
		{"Long Step", "big flat", measure.Position{Lat: 38.9612, Lon: -123.7431}},
	}
	if !slices.Equal(f.Places, want) || f.Unread != 4 || f.Shapes != 2 || f.Over != 0 {
		t.Errorf("read %+v\nwant %+v, 4 unread, 2 shapes", f, want)
	}
}

func TestGeoJSONFiles(t *testing.T) {
	// The first is the example of RFC 7946, section 1.5.
	const rfc = `{"type":"FeatureCollection","features":[
 {"type":"Feature","geometry":{"type":"Point","coordinates":[102.0,0.5]},"properties":{"prop0":"value0"}},
 {"type":"Feature","geometry":{"type":"LineString","coordinates":[[102.0,0.0],[103.0,1.0],[104.0,0.0],[105.0,1.0]]},"properties":{"prop0":"value0","prop1":0.0}},
 {"type":"Feature","geometry":{"type":"Polygon","coordinates":[[[100.0,0.0],[101.0,0.0],[101.0,1.0],[100.0,1.0],[100.0,0.0]]]},"properties":{"prop0":"value0","prop1":{"this":"that"}}}]}`
	for _, c := range []struct {
		name, in string
		want     Found
		err      error
	}{
		{"the RFC's example", rfc, Found{Places: []Place{{At: measure.Position{Lat: 0.5, Lon: 102}}}, Shapes: 2}, nil},
		{"one feature", `{"type":"Feature","geometry":{"type":"Point","coordinates":[-123.7275,38.9142,9]},"properties":{"Name":"Anvil","description":"flat"}}`, Found{Places: []Place{{"Anvil", "flat", measure.Position{Lat: 38.9142, Lon: -123.7275}}}}, nil},
		{"a bare point", `{"type":"Point","coordinates":[1,2]}`, Found{Places: []Place{{At: measure.Position{Lat: 2, Lon: 1}}}}, nil},
		{"a number for a name", `{"type":"Feature","geometry":{"type":"Point","coordinates":[1,2]},"properties":{"name":7}}`, Found{Places: []Place{{Name: "7", At: measure.Position{Lat: 2, Lon: 1}}}}, nil},
		{"nowhere", `{"type":"Feature","geometry":null,"properties":{"name":"A"}}`, Found{Unread: 1}, nil},
		{"null for a number", `{"type":"Point","coordinates":[null,2]}`, Found{Unread: 1}, nil},
		{"half a place", `{"type":"Point","coordinates":[1]}`, Found{Unread: 1}, nil},
		{"latitude first where that cannot be", `{"type":"Point","coordinates":[38.9,-123.7]}`, Found{Unread: 1}, nil},
		{"words", `{"type":"Point","coordinates":["1","2"]}`, Found{Unread: 1}, nil},
		{"another system", `{"type":"FeatureCollection","crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:EPSG::3857"}},"features":[]}`, Found{}, ErrSystem},
		{"the usual system, said", `{"type":"Point","crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:OGC:1.3:CRS84"}},"coordinates":[1,2]}`, Found{Places: []Place{{At: measure.Position{Lat: 2, Lon: 1}}}}, nil},
		{"something else", `{"type":"Topology"}`, Found{}, ErrFormat},
		{"cut off", `{"type":"Feature","geometry":{"type":"Poi`, Found{}, ErrBroken},
		{"NaN", `{"type":"Point","coordinates":[NaN,2]}`, Found{}, ErrBroken},
		{"too large a number", `{"type":"Point","coordinates":[1e999,2]}`, Found{Unread: 1}, nil},
		{"a tower", strings.Repeat(`{"a":`, 100), Found{}, ErrDeep},
	} {
		f, err := Read([]byte(c.in))
		if !errors.Is(err, c.err) || !slices.Equal(f.Places, c.want.Places) || f.Unread != c.want.Unread || f.Shapes != c.want.Shapes {
			t.Errorf("%s: %+v, %v, want %+v, %v", c.name, f, err, c.want, c.err)
		}
	}
}

func TestHostileGPX(t *testing.T) {
	bomb := `<?xml version="1.0"?><!DOCTYPE gpx [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]><gpx version="1.1"><wpt lat="1" lon="2"><name>&b;</name></wpt></gpx>`
	for _, c := range []struct {
		name, in string
		err      error
	}{
		{"entities of its own", bomb, ErrDeclares},
		{"an entity nobody declared", `<gpx><wpt lat="1" lon="2"><name>&x;</name></wpt></gpx>`, ErrBroken},
		{"a file from outside", `<!DOCTYPE gpx SYSTEM "file:///x"><gpx/>`, ErrDeclares},
		{"a tower", "<gpx>" + strings.Repeat("<a>", 100), ErrDeep},
		{"cut off", `<gpx><wpt lat="1" lon="2">`, ErrBroken},
		{"another document", `<kml><wpt lat="1" lon="2"/></kml>`, ErrFormat},
		{"another alphabet", `<?xml version="1.0" encoding="UTF-16"?><gpx/>`, ErrBroken},
		{"not text", "\x00\x01", ErrFormat},
		{"empty", "", ErrFormat},
	} {
		if f, err := Read([]byte(c.in)); !errors.Is(err, c.err) || len(f.Places) > 0 {
			t.Errorf("%s: %+v, %v, want %v", c.name, f, err, c.err)
		}
	}
	many := "<gpx>" + strings.Repeat(`<wpt lat="1" lon="2"/>`, Most+7) + "</gpx>"
	if f, err := Read([]byte(many)); err != nil || len(f.Places) != Most || f.Over != 7 {
		t.Errorf("%d places, %d over, %v, want %d and 7", len(f.Places), f.Over, err, Most)
	}
}

// The children of a waypoint in the order of wptType, and the rules of its attributes, as the schema gpx.xsd has them.
var wptOrder = []string{"ele", "time", "magvar", "geoidheight", "name", "cmt", "desc", "src", "link", "sym", "type", "fix", "sat", "hdop", "vdop", "pdop", "ageofdgpsdata", "dgpsid", "extensions"}

func obeysSchema(t *testing.T, body []byte) {
	t.Helper()
	type node struct {
		XMLName xml.Name
		Attrs   []xml.Attr `xml:",any,attr"`
		Kids    []node     `xml:",any"`
	}
	var root node
	if err := xml.Unmarshal(body, &root); err != nil {
		t.Fatal(err)
	}
	attr := func(n node, name string) string {
		i := slices.IndexFunc(n.Attrs, func(a xml.Attr) bool { return a.Name.Local == name })
		if i < 0 {
			return ""
		}
		return n.Attrs[i].Value
	}
	if root.XMLName.Local != "gpx" || root.XMLName.Space != namespace || attr(root, "version") != "1.1" || attr(root, "creator") == "" {
		t.Errorf("root %v %v", root.XMLName, root.Attrs)
	}
	for i, k := range root.Kids {
		if want := "wpt"; i == 0 && k.XMLName.Local != "metadata" || i > 0 && k.XMLName.Local != want || k.XMLName.Space != namespace {
			t.Errorf("child %d is %v", i, k.XMLName)
		}
		if i == 0 {
			continue
		}
		for _, a := range []string{"lat", "lon"} {
			if v := attr(k, a); strings.ContainsAny(v, "eE") || v == "" || a == "lon" && v == "180" {
				t.Errorf("%s=%q is no %s of the schema", a, v, a)
			}
		}
		last := -1
		for _, x := range k.Kids {
			at := slices.Index(wptOrder, x.XMLName.Local)
			if at <= last {
				t.Errorf("%s stands out of its order", x.XMLName.Local)
			}
			last = at
		}
	}
}

// What is written is read back the same, names, notes and positions to the last bit, whatever they hold.
func TestThereAndBack(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	runes := []rune("aZ é&<>\"'\\\n\t\x00\u202e\u0301鰯𝕏{}[],:\ufffe\ufffd")
	word := func() string {
		var b strings.Builder
		for range r.IntN(30) {
			b.WriteRune(runes[r.IntN(len(runes))])
		}
		return b.String()
	}
	for range 400 {
		var in, want []Place
		for range r.IntN(5) {
			p := Place{word(), word(), measure.Position{Lat: r.Float64()*180 - 90, Lon: r.Float64()*360 - 180}}
			switch r.IntN(4) {
			case 0:
				p.At = measure.Position{Lat: math.Ldexp(r.Float64(), -40), Lon: -math.Ldexp(r.Float64(), -40)}
			case 1:
				p.At = measure.Position{Lat: 90, Lon: 180}
			}
			in = append(in, p)
			p.Name, p.Note = tidy(p.Name, mostName), tidy(p.Note, mostNote)
			want = append(want, p)
		}
		gpx, err := GPX(word(), "rock", in, noon)
		if err != nil {
			t.Fatal(err)
		}
		obeysSchema(t, gpx)
		gj, err := GeoJSON("rock", in)
		if err != nil {
			t.Fatal(err)
		}
		if !json.Valid(gj) {
			t.Fatalf("no JSON: %s", gj)
		}
		for _, body := range [][]byte{gpx, gj} {
			got, err := Read(body)
			for i := range got.Places {
				if i < len(want) && want[i].At.Lon == 180 && got.Places[i].At.Lon == -180 { // the same meridian
					got.Places[i].At.Lon = 180
				}
			}
			if err != nil || !slices.Equal(got.Places, want) || got.Unread+got.Shapes+got.Over > 0 {
				t.Fatalf("%v, %+v\nwant %+v\n%s", err, got, want, body)
			}
		}
	}
	if _, err := GPX("", "", []Place{{At: measure.Position{Lat: math.NaN()}}}, noon); err == nil {
		t.Error("a place that is none is written")
	}
	if _, err := GeoJSON("", []Place{{At: measure.Position{Lon: math.Inf(1)}}}); err == nil {
		t.Error("a place that is none is written")
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(handheld))
	f.Add([]byte(`{"type":"FeatureCollection","features":[{"type":"Feature","geometry":{"type":"Point","coordinates":[1,2]},"properties":{"name":"a"}}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		found, err := Read(data)
		if err != nil {
			return
		}
		if len(found.Places) > Most {
			t.Fatalf("%d places", len(found.Places))
		}
		for _, p := range found.Places {
			if p.At.Check() != nil || tidy(p.Name, mostName) != p.Name || tidy(p.Note, mostNote) != p.Note {
				t.Fatalf("%+v", p)
			}
		}
		body, err := GPX("", "", found.Places, noon)
		if err != nil {
			t.Fatal(err)
		}
		if again, err := Read(body); err != nil || len(again.Places) != len(found.Places) {
			t.Fatalf("read back %+v, %v", again, err)
		}
	})
}
