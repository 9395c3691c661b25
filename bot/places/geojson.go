package places

import (
	"bytes"
	"encoding/json"
	"strings"

	"ledgehand/conditions/measure"
)

// object is any GeoJSON object, with the members we act on.
type object struct {
	Type        string                     `json:"type"`
	Features    []json.RawMessage          `json:"features"`
	Geometry    json.RawMessage            `json:"geometry"`
	Coordinates json.RawMessage            `json:"coordinates"`
	Properties  map[string]json.RawMessage `json:"properties"`
	CRS         json.RawMessage            `json:"crs"`
}

// readGeoJSON reads the points of a FeatureCollection, of one Feature, or a bare Point.
func readGeoJSON(data []byte) (f Found, err error) {
	if deep(data) {
		return Found{}, ErrDeep
	}
	var root object
	if json.Unmarshal(data, &root) != nil {
		return Found{}, ErrBroken
	}
	if !wgs84(root.CRS) {
		return Found{}, ErrSystem
	}
	switch root.Type {
	case "FeatureCollection":
		for _, raw := range root.Features {
			var o object
			if json.Unmarshal(raw, &o) != nil || o.Type != "Feature" {
				f.Unread++
				continue
			}
			if err := f.feature(o); err != nil {
				return Found{}, err
			}
		}
	case "Feature":
		err = f.feature(root)
	case "Point":
		f.geometry(root, Place{})
	default:
		return Found{}, ErrFormat
	}
	return f, err
}

func (f *Found) feature(o object) error {
	if !wgs84(o.CRS) {
		return ErrSystem
	}
	p := Place{Name: text(o.Properties, "name", "title"), Note: text(o.Properties, "desc", "description", "note", "cmt")}
	var g object
	if json.Unmarshal(o.Geometry, &g) != nil || g.Type == "" { // RFC 7946, 3.2: null is a feature without a place
		f.Unread++
		return nil
	}
	f.geometry(g, p)
	return nil
}

func (f *Found) geometry(g object, p Place) {
	if g.Type != "Point" {
		f.Shapes++
		return
	}
	// RFC 7946, 3.1.1: longitude first, then latitude; what follows is a height, which is above an ellipsoid and no tide datum.
	var at []*float64
	ok := json.Unmarshal(g.Coordinates, &at) == nil && len(at) >= 2 && at[0] != nil && at[1] != nil
	if ok {
		p.At = measure.Position{Lat: *at[1], Lon: *at[0]}
	}
	f.add(p, ok)
}

// text is the first property of these names, whatever their case, that is a text or a number.
func text(of map[string]json.RawMessage, names ...string) string {
	for _, n := range names {
		for k, raw := range of {
			if !strings.EqualFold(k, n) || k != n && of[n] != nil {
				continue
			}
			var s string
			var v json.Number
			switch {
			case json.Unmarshal(raw, &s) == nil && s != "":
				return s
			case json.Unmarshal(raw, &v) == nil && v != "":
				return v.String()
			}
		}
	}
	return ""
}

// wgs84 says whether a "crs" member, which RFC 7946 did away with (section 4), leaves positions what they are there.
func wgs84(raw json.RawMessage) bool {
	if len(raw) == 0 || bytes.Equal(raw, []byte("null")) {
		return true
	}
	var crs struct {
		Properties struct {
			Name string `json:"name"`
		} `json:"properties"`
	}
	if json.Unmarshal(raw, &crs) != nil {
		return false
	}
	n := strings.ToUpper(crs.Properties.Name)
	return strings.HasSuffix(n, "CRS84") || n == "EPSG:4326" || strings.HasSuffix(n, ":EPSG::4326")
}

// deep says whether brackets are nested deeper than a list of places needs.
func deep(data []byte) bool {
	n, quoted, escaped := 0, false, false
	for _, c := range data {
		switch {
		case escaped:
			escaped = false
		case quoted:
			quoted, escaped = c != '"', c == '\\'
		case c == '"':
			quoted = true
		case c == '{' || c == '[':
			if n++; n > mostDeep {
				return true
			}
		case c == '}' || c == ']':
			n--
		}
	}
	return false
}

type outFeature struct {
	Type     string `json:"type"`
	Geometry struct {
		Type string     `json:"type"`
		At   [2]float64 `json:"coordinates"`
	} `json:"geometry"`
	Properties struct {
		Name string `json:"name"`
		Desc string `json:"desc,omitempty"`
		Kind string `json:"kind,omitempty"`
	} `json:"properties"`
}

// GeoJSON writes places as a FeatureCollection of points.
func GeoJSON(kind string, places []Place) ([]byte, error) {
	out := struct {
		Type     string       `json:"type"`
		Features []outFeature `json:"features"`
	}{"FeatureCollection", []outFeature{}}
	for _, p := range places {
		if p.At.Check() != nil { // whose error quotes it
			return nil, errNoPlace
		}
		x := outFeature{Type: "Feature"}
		x.Geometry.Type, x.Geometry.At = "Point", [2]float64{p.At.Lon, p.At.Lat}
		x.Properties.Name, x.Properties.Desc, x.Properties.Kind = tidy(p.Name, mostName), tidy(p.Note, mostNote), tidy(kind, mostName)
		out.Features = append(out.Features, x)
	}
	body, err := json.MarshalIndent(out, "", " ")
	if err != nil {
		return nil, err
	}
	return append(body, '\n'), nil
}
