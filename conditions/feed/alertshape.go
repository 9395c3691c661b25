package feed

import (
	"encoding/json"

	"ledgehand/conditions/measure"
	"ledgehand/conditions/warning"
)

// alertShape is the outline an alert of the US service may carry, GeoJSON (RFC 7946).
type alertShape struct {
	Type        string          `json:"type"`
	Coordinates json.RawMessage `json:"coordinates"`
}

// area reads it. Holes are not cut out: within a hole the alert is taken to hold. A shape that cannot be read counts as one of
// unknown extent.
func (g alertShape) area() warning.Area {
	var polygons [][][][]float64
	var err error
	switch g.Type {
	case "Polygon":
		polygons = make([][][][]float64, 1)
		err = json.Unmarshal(g.Coordinates, &polygons[0])
	case "MultiPolygon":
		err = json.Unmarshal(g.Coordinates, &polygons)
	}
	if err != nil || len(polygons) == 0 {
		return warning.Area{Unread: 1}
	}
	var a warning.Area
	for _, p := range polygons {
		if r, ok := outer(p); ok {
			a.Polygons = append(a.Polygons, r)
		} else {
			a.Unread++
		}
	}
	return a
}

// outer reads the outer line of a polygon, longitude first.
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
