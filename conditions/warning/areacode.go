package warning

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"ledgehand/conditions/measure"
)

// Outline is what a coded area looks like: patches of ground, each with its holes.
type Outline []Patch

// Patch is an outer ring and the rings left out of it.
type Patch struct {
	Outer Ring
	Holes []Ring
}

// Geocodes says where coded areas lie. The zero value knows none: whatever is named by code
// alone cannot be placed.
type Geocodes struct {
	// Outlines has the ground of codes, by kind in upper case and value, e.g. {EMMA_ID EI806}.
	Outlines map[Pair]Outline
	// Here has codes the place is known to lie in, e.g. {UGC PZZ455}.
	Here []Pair
}

// DecodeGeocodes reads outlines from GeoJSON (RFC 7946): features, or collections of them,
// whose properties have "type" (the kind of code) and "code". Coordinates are degrees,
// longitude first, WGS 84. It refuses what it cannot read; of two outlines for one code both count.
func DecodeGeocodes(raw ...[]byte) (Geocodes, error) {
	g := Geocodes{Outlines: map[Pair]Outline{}}
	for _, r := range raw {
		if len(r) > maxOutlines {
			return Geocodes{}, &Refused{Why: TooLarge, Detail: fmt.Sprintf("%d bytes of outlines (limit: %d bytes)", len(r), maxOutlines)}
		}
		var f geoFeature
		if err := json.Unmarshal(r, &f); err != nil {
			return Geocodes{}, &Refused{Why: Unreadable, Detail: "outlines are not GeoJSON"}
		}
		features := []geoFeature{f}
		if f.Type == "FeatureCollection" {
			features = f.Features
		}
		for _, f := range features {
			if err := g.add(f); err != nil {
				return Geocodes{}, err
			}
		}
	}
	return g, nil
}

// maxOutlines is the most bytes of one file of outlines; all coded areas of Europe's weather
// services together have fewer.
const maxOutlines = 64 << 20

type geoFeature struct {
	Type     string       `json:"type"`
	Features []geoFeature `json:"features"`
	CRS      *geoCRS      `json:"crs"`
	Geometry *struct {
		Type        string          `json:"type"`
		CRS         *geoCRS         `json:"crs"`
		Coordinates json.RawMessage `json:"coordinates"`
	} `json:"geometry"`
	Properties struct {
		Type string `json:"type"`
		Code string `json:"code"`
	} `json:"properties"`
}

// geoCRS is a member RFC 7946 has abolished; old files still carry it.
type geoCRS struct {
	Properties struct {
		Name string `json:"name"`
	} `json:"properties"`
}

func (c *geoCRS) foreign() bool {
	return c != nil && !strings.HasSuffix(c.Properties.Name, "4326") && !strings.HasSuffix(c.Properties.Name, "CRS84")
}

func (g Geocodes) add(f geoFeature) error {
	key := Pair{Name: f.Properties.Type, Value: f.Properties.Code}.folded()
	switch {
	case f.Type != "Feature" || f.Geometry == nil || key.Name == "" || key.Value == "":
		return wrongShape("an outline without geometry, type or code")
	case f.CRS.foreign() || f.Geometry.CRS.foreign():
		return wrongShape("outline %s not in WGS 84", brief(key.Value))
	}
	var polygons [][][][]float64
	var err error
	switch f.Geometry.Type {
	case "Polygon":
		polygons = make([][][][]float64, 1)
		err = json.Unmarshal(f.Geometry.Coordinates, &polygons[0])
	case "MultiPolygon":
		err = json.Unmarshal(f.Geometry.Coordinates, &polygons)
	default:
		return wrongShape("outline %s is a %s", brief(key.Value), brief(f.Geometry.Type))
	}
	if err != nil || len(polygons) == 0 {
		return wrongShape("outline %s has no coordinates", brief(key.Value))
	}
	for _, p := range polygons {
		var rings []Ring
		for _, line := range p {
			r := make(Ring, 0, len(line))
			for _, c := range line {
				if len(c) < 2 || math.Abs(c[1]) > 90 || math.Abs(c[0]) > 360 {
					return wrongShape("outline %s leaves the globe", brief(key.Value))
				}
				r = append(r, measure.Position{Lat: c[1], Lon: measure.Wrap180(c[0])})
			}
			if _, _, ok := r.unroll(); !ok {
				return wrongShape("outline %s encloses nothing", brief(key.Value))
			}
			rings = append(rings, r)
		}
		if len(rings) == 0 {
			return wrongShape("outline %s has no ring", brief(key.Value))
		}
		g.Outlines[key] = append(g.Outlines[key], Patch{Outer: rings[0], Holes: rings[1:]})
	}
	return nil
}

func (p Pair) folded() Pair {
	return Pair{Name: strings.ToUpper(strings.TrimSpace(p.Name)), Value: strings.ToUpper(strings.TrimSpace(p.Value))}
}

// lie places an area given as codes. Codes of one kind make up the area together; each kind
// describes the whole of it (see Area.lie), so one kind that can be placed is enough.
func (g Geocodes) lie(codes []Pair, p measure.Position) lie {
	if len(codes) == 0 {
		return unsure
	}
	out := unsure
	byKind := map[string]lie{}
	ugc := Place(valuesOf(codes, "UGC"), valuesOf(g.Here, "UGC"))
	for _, c := range codes {
		c = c.folded()
		l := unsure
		if o, ok := g.Outlines[c]; ok {
			l = o.lie(p)
		} else if c.Name == "UGC" && ugc != nil && !*ugc {
			l = outside
		}
		for _, h := range g.Here {
			if h.folded() == c {
				l = inside
			}
		}
		if l == inside {
			return inside
		}
		byKind[c.Name] = max(byKind[c.Name], l)
	}
	for _, l := range byKind {
		out = min(out, l)
	}
	return out
}

func valuesOf(codes []Pair, kind string) []string {
	var out []string
	for _, c := range codes {
		if c = c.folded(); c.Name == kind {
			out = append(out, c.Value)
		}
	}
	return out
}

func (o Outline) lie(p measure.Position) lie {
	out := outside
	for _, patch := range o {
		out = max(out, patch.lie(p))
	}
	return out
}

func (h Patch) lie(p measure.Position) lie {
	l := h.Outer.lie(p)
	if l != inside {
		return l
	}
	for _, r := range h.Holes {
		x, y, ok := r.unroll()
		if !ok {
			continue
		}
		if at := where(x, y, p); at.in && at.edge > Margin {
			if at.gap <= Margin {
				return unsure
			}
			return outside
		}
	}
	return inside
}
