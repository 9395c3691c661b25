package feed

import (
	"encoding/json"

	"ledgehand/conditions/measure"
	"ledgehand/conditions/warning"
)

// alertOutlines reads the shapes that alerts of the US service carry, by the alert's id. Most carry none. Holes are not
// cut out: within a hole the alert is taken to hold. A shape that cannot be read counts as one of unknown extent.
func alertOutlines(raw []byte) (map[string]warning.Area, error) {
	var c struct {
		Features []struct {
			Geometry *struct {
				Type        string          `json:"type"`
				Coordinates json.RawMessage `json:"coordinates"`
			} `json:"geometry"`
			Properties struct {
				ID string `json:"id"`
			} `json:"properties"`
		} `json:"features"`
	}
	if err := json.Unmarshal(raw, &c); err != nil {
		return nil, &BadBody{Why: Unreadable, Err: plain(err)}
	}
	out := map[string]warning.Area{}
	for _, f := range c.Features {
		if f.Geometry == nil {
			continue
		}
		var polygons [][][][]float64
		var err error
		switch f.Geometry.Type {
		case "Polygon":
			polygons = make([][][][]float64, 1)
			err = json.Unmarshal(f.Geometry.Coordinates, &polygons[0])
		case "MultiPolygon":
			err = json.Unmarshal(f.Geometry.Coordinates, &polygons)
		}
		var a warning.Area
		if err != nil || len(polygons) == 0 {
			a.Unread = 1
			polygons = nil
		}
		for _, p := range polygons {
			if r, ok := outer(p); ok {
				a.Polygons = append(a.Polygons, r)
			} else {
				a.Unread++
			}
		}
		out[f.Properties.ID] = a
	}
	return out, nil
}

// outer reads the outer line of a polygon, longitude first as GeoJSON (RFC 7946) has it.
func outer(polygon [][][]float64) (warning.Ring, bool) {
	if len(polygon) == 0 || len(polygon[0]) < 4 {
		return nil, false
	}
	r := make(warning.Ring, 0, len(polygon[0]))
	for _, c := range polygon[0] {
		if len(c) < 2 {
			return nil, false
		}
		p := measure.Position{Lat: c[1], Lon: c[0]}
		if p.Check() != nil {
			return nil, false
		}
		r = append(r, p)
	}
	return r, true
}
