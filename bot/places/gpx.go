package places

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"strconv"
	"strings"
	"time"

	"ledgehand/conditions/measure"
)

// namespace is that of GPX 1.1. Files of 1.0 name their waypoints alike and are read too.
const namespace = "http://www.topografix.com/GPX/1/1"

// readGPX reads the waypoints of a file, token by token, so that what lies around them is never built up in memory. Entities that a
// document declares itself are not known, and a document that declares any is refused.
func readGPX(data []byte) (f Found, err error) {
	d := xml.NewDecoder(bytes.NewReader(data))
	var path []string
	var at *Place
	ok := false
	var text strings.Builder
	for {
		t, err := d.Token()
		if errors.Is(err, io.EOF) {
			if len(path) > 0 || d.InputOffset() == 0 {
				return Found{}, ErrBroken
			}
			return f, nil
		}
		if err != nil {
			return Found{}, ErrBroken
		}
		switch t := t.(type) {
		case xml.Directive:
			return Found{}, ErrDeclares
		case xml.StartElement:
			if len(path) == 0 && t.Name.Local != "gpx" {
				return Found{}, ErrFormat
			}
			path = append(path, t.Name.Local)
			if len(path) > mostDeep {
				return Found{}, ErrDeep
			}
			text.Reset()
			switch {
			case len(path) == 2 && t.Name.Local == "wpt":
				at = &Place{}
				at.At, ok = position(t.Attr)
			case len(path) == 2 && (t.Name.Local == "rte" || t.Name.Local == "trk"):
				f.Shapes++
			}
		case xml.CharData:
			if at != nil && len(path) == 3 && text.Len() < 4*mostNote*4 {
				text.Write(t)
			}
		case xml.EndElement:
			if at != nil && len(path) == 3 {
				switch t.Name.Local {
				case "name":
					at.Name = text.String()
				case "desc":
					at.Note = text.String()
				case "cmt":
					if at.Note == "" {
						at.Note = text.String()
					}
				}
			}
			if at != nil && len(path) == 2 {
				f.add(*at, ok)
				at = nil
			}
			path = path[:len(path)-1]
		}
	}
}

// position reads the two attributes of a waypoint; ok is false where one is missing or no number.
func position(attrs []xml.Attr) (p measure.Position, ok bool) {
	lat, lon := false, false
	for _, a := range attrs {
		switch {
		case a.Name.Space != "":
		case a.Name.Local == "lat":
			p.Lat, lat = decimal(a.Value)
		case a.Name.Local == "lon":
			p.Lon, lon = decimal(a.Value)
		}
	}
	return p, lat && lon
}

// numeral is an xsd:decimal, and one with an exponent, which some programs write all the same. It is no NaN, no INF and no hexadecimal.
var numeral = regexp.MustCompile(`^[+-]?([0-9]{1,20}(\.[0-9]{0,40})?|\.[0-9]{1,40})([eE][+-]?[0-9]{1,2})?$`)

func decimal(s string) (float64, bool) {
	s = strings.TrimSpace(s)
	if !numeral.MatchString(s) {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil
}

// The shapes of what is written, in the order that the schema prescribes.
type gpxFile struct {
	XMLName xml.Name `xml:"gpx"`
	NS      string   `xml:"xmlns,attr"`
	Version string   `xml:"version,attr"`
	Creator string   `xml:"creator,attr"`
	Meta    gpxMeta  `xml:"metadata"`
	Points  []gpxPoint
}

type gpxMeta struct {
	Name string `xml:"name,omitempty"`
	Time string `xml:"time"`
}

type gpxPoint struct {
	XMLName xml.Name `xml:"wpt"`
	Lat     string   `xml:"lat,attr"`
	Lon     string   `xml:"lon,attr"`
	Name    string   `xml:"name,omitempty"`
	Desc    string   `xml:"desc,omitempty"`
	Type    string   `xml:"type,omitempty"`
}

// GPX writes places as waypoints. kind is what they are, in a word of the reader's.
func GPX(title, kind string, places []Place, now time.Time) ([]byte, error) {
	out := gpxFile{NS: namespace, Version: "1.1", Creator: "Ledgehand", Meta: gpxMeta{Name: tidy(title, mostName), Time: now.UTC().Format(time.RFC3339)}}
	for _, p := range places {
		if p.At.Check() != nil { // whose error quotes it
			return nil, errNoPlace
		}
		lon := p.At.Lon
		if lon == 180 { // the schema ends before it
			lon = -180
		}
		out.Points = append(out.Points, gpxPoint{Lat: plain(p.At.Lat), Lon: plain(lon), Name: tidy(p.Name, mostName), Desc: tidy(p.Note, mostNote), Type: tidy(kind, mostName)})
	}
	body, err := xml.MarshalIndent(out, "", " ")
	if err != nil {
		return nil, err
	}
	return append(append([]byte(xml.Header), body...), '\n'), nil
}

// plain is a number without an exponent, for xsd:decimal has none.
func plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
