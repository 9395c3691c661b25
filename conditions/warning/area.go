package warning

import (
	"math"
	"strconv"
	"strings"

	"ledgehand/conditions/measure"
)

// Margin is how far outside an area, in kilometres, a place still counts as inside: outlines of
// warning zones are simplified by kilometres, and a sea zone stops somewhere at the shore the
// ledge stands on. Our judgement.
const Margin = 5.0

// Ring is a closed line of positions in degrees, the last joined to the first whether or not
// it repeats it. Its edges are straight in latitude and longitude and take the short way
// round the globe, so that a ring may cross 180 degrees.
type Ring []measure.Position

// Circle is a centre in degrees and a radius in kilometres.
type Circle struct {
	Centre measure.Position
	Km     float64
}

// Pair is a name and a value: a geocode, an event code or a parameter.
type Pair struct{ Name, Value string }

// Area is an <area> of CAP 1.2 (OASIS, 3.2.4): the union of its shapes. Altitude and ceiling
// are not read: they would only leave out warnings.
type Area struct {
	Desc     string // the sender's words
	Polygons []Ring
	Circles  []Circle
	Codes    []Pair
	// Unread counts polygons and circles that enclose nothing that could be read: too few
	// points, no numbers, off the globe.
	Unread int
}

// bare says that an area is words only.
func (a Area) bare() bool {
	return len(a.Polygons) == 0 && len(a.Circles) == 0 && len(a.Codes) == 0 && a.Unread == 0
}

// lie is where a place lies to an area. The greater of two is where it lies to both together.
type lie int

const (
	outside lie = iota
	unsure
	inside
)

// covers is the lie as the rest of the program has it.
func (l lie) covers() *bool {
	switch l {
	case inside:
		return new(true)
	case outside:
		return new(false)
	}
	return nil
}

// Covers says whether any of the places (a ledge, the sea before it) lies in the area; nil if
// that cannot be told: a shape that cannot be read, a code nobody has an outline for, or no
// place given. Within Margin of an edge is inside.
func (a Area) Covers(places []measure.Position, codes Geocodes) *bool {
	return liesIn([]Area{a}, places, codes).covers()
}

// liesIn takes areas together and places together: one place in one area is enough. No places
// or no areas cannot be told.
func liesIn(areas []Area, places []measure.Position, codes Geocodes) lie {
	out, asked := outside, false
	for _, p := range places {
		if p.Check() != nil {
			continue
		}
		asked = true
		for _, a := range areas {
			if out = max(out, a.lie(p, codes)); out == inside {
				return inside
			}
		}
	}
	if !asked || len(areas) == 0 {
		return unsure
	}
	return out
}

// lie puts shapes and codes together. The standard wants a geocode "in concert with an
// equivalent description" as a shape (3.2.4): each kind of description is taken for the whole
// area, so a code without an outline spoils nothing where a polygon was drawn. A hit by any
// kind counts.
func (a Area) lie(p measure.Position, codes Geocodes) lie {
	byCode := codes.lie(a.Codes, p)
	if len(a.Polygons) == 0 && len(a.Circles) == 0 && a.Unread == 0 {
		return byCode
	}
	drawn := outside
	if a.Unread > 0 {
		drawn = unsure
	}
	for _, r := range a.Polygons {
		if drawn = max(drawn, r.lie(p)); drawn == inside {
			return inside
		}
	}
	for _, c := range a.Circles {
		if drawn = max(drawn, c.lie(p)); drawn == inside {
			return inside
		}
	}
	if byCode == inside {
		return inside
	}
	return drawn
}

// lie is wary of a ring sent as longitude, latitude: a place that is inside only when read so
// is not said to be outside. (Where one order is impossible, readRing has mended it already.)
func (r Ring) lie(p measure.Position) lie {
	x, y, ok := r.unroll()
	if !ok {
		return unsure
	}
	at := where(x, y, p)
	switch {
	case at.in || at.edge <= Margin:
		return inside
	case at.gap <= Margin:
		return unsure
	case math.Abs(p.Lon) > 90:
		return outside
	}
	for _, q := range r {
		if math.Abs(q.Lon) > 90 {
			return outside
		}
	}
	if where(x, y, measure.Position{Lat: p.Lon, Lon: p.Lat}).in {
		return unsure
	}
	return outside
}

// whereabouts is where a position is to a ring: within it (on its line it may be either), and
// how many kilometres off the line at least, read as straight on the map (edge) and as whatever is
// nearer of that and great circles (gap). Well beyond Margin both say no more than far.
type whereabouts struct {
	in        bool
	edge, gap float64
}

// kmPerDegree along a meridian, on the sphere of package measure.
const kmPerDegree = measure.EarthRadiusKm * math.Pi / 180

// where says where p is to an unrolled ring. CAP does not say whether an edge is a straight
// line on the map or a great circle. A ring that crosses itself encloses all it goes round
// (non-zero winding).
func where(x, y []float64, p measure.Position) whereabouts {
	west, east, south, north := x[0], x[0], y[0], y[0]
	for i := range x {
		west, east = min(west, x[i]), max(east, x[i])
		south, north = min(south, y[i]), max(north, y[i])
	}
	far := Margin + bulge(east-west, 45) + 1 // km; farther off the box nothing depends on how far
	at := whereabouts{edge: far, gap: far}
	if p.Lat < south-far/kmPerDegree || p.Lat > north+far/kmPerDegree {
		return at
	}
	kx := kmPerDegree * math.Cos(p.Lat*math.Pi/180)
	for turn := -720.0; turn <= 720; turn += 360 {
		px := p.Lon + turn
		if (px < west && (west-px)*kx > far) || (px > east && (px-east)*kx > far) {
			continue
		}
		wound := 0
		for i := range x {
			j := (i + 1) % len(x)
			// The edge as seen from p, in km: exact on it, good near it.
			ax, ay := (x[i]-px)*kx, (y[i]-p.Lat)*kmPerDegree
			bx, by := (x[j]-px)*kx, (y[j]-p.Lat)*kmPerDegree
			d := fromOrigin(ax, ay, bx, by)
			at.edge = min(at.edge, d)
			at.gap = min(at.gap, max(0, d-bulge(x[i]-x[j], (y[i]+y[j])/2)))
			if ay <= 0 && by > 0 && ax*by-bx*ay > 0 {
				wound++
			} else if ay > 0 && by <= 0 && ax*by-bx*ay < 0 {
				wound--
			}
		}
		at.in = at.in || wound != 0
	}
	return at
}

// bulge is how far, in km, a great circle strays from the parallel it begins and ends on, for
// a difference in longitude and a latitude in degrees: L² tan φ / 8R, L = R Δλ cos φ, the
// first term of the series.
func bulge(dLon, lat float64) float64 {
	l := dLon * kmPerDegree
	if math.Abs(l) < 50 { // below 30 m
		return 0
	}
	s, c := math.Sincos(lat * math.Pi / 180)
	return l * l * math.Abs(s*c) / (8 * measure.EarthRadiusKm)
}

// fromOrigin is the distance from (0, 0) to the segment from a to b.
func fromOrigin(ax, ay, bx, by float64) float64 {
	dx, dy := bx-ax, by-ay
	t := 0.0
	if n := dx*dx + dy*dy; n > 0 {
		t = min(1, max(0, -(ax*dx+ay*dy)/n))
	}
	return math.Hypot(ax+t*dx, ay+t*dy)
}

// unroll gives the corners of a ring with longitudes that run on across 180 degrees, without
// the repeated last one. ok is false for a ring without area, one that goes round a pole, and
// one with an edge of about half the globe, which does not say which way it goes.
func (r Ring) unroll() (x, y []float64, ok bool) {
	n := len(r)
	for n > 1 && r[n-1] == r[0] {
		n--
	}
	if n < 3 {
		return nil, nil, false
	}
	x, y = make([]float64, n), make([]float64, n)
	for i := range n {
		x[i], y[i] = r[i].Lon, r[i].Lat
		if i > 0 {
			step := r[i].Lon - r[i-1].Lon
			if step < -180 || step >= 180 {
				step = measure.Wrap180(step)
			}
			if math.Abs(step) > 170 {
				return nil, nil, false
			}
			x[i] = x[i-1] + step
		}
	}
	if back := x[0] - x[n-1]; math.Abs(back) > 170 {
		return nil, nil, false
	}
	// All on one line? Seen from the corner that is farthest from the first.
	k, most := 0, 0.0
	for i := range x {
		if d := math.Hypot(x[i]-x[0], y[i]-y[0]); d > most {
			k, most = i, d
		}
	}
	for i := range x {
		if math.Abs((x[k]-x[0])*(y[i]-y[0])-(y[k]-y[0])*(x[i]-x[0])) > 1e-9*most {
			return x, y, true
		}
	}
	return nil, nil, false
}

func (c Circle) lie(p measure.Position) lie {
	if measure.DistanceKm(c.Centre, p) <= c.Km+Margin {
		return inside
	}
	turned := measure.Position{Lat: c.Centre.Lon, Lon: c.Centre.Lat}
	if turned.Check() == nil && measure.DistanceKm(turned, p) <= c.Km {
		return unsure // inside if the order was longitude, latitude
	}
	return outside
}

// readRing reads the text of a <polygon>: "lat,lon" pairs with space between. Pairs that can
// only be longitude, latitude are turned round.
func readRing(s string) (Ring, bool) {
	fields := pairs(s)
	r := make(Ring, 0, len(fields))
	for _, f := range fields {
		q, ok := position(f)
		if !ok {
			return nil, false
		}
		r = append(r, q)
	}
	for _, q := range r {
		if math.Abs(q.Lat) > 90 {
			for i := range r {
				r[i].Lat, r[i].Lon = r[i].Lon, r[i].Lat
			}
			break
		}
	}
	for i := range r {
		if math.Abs(r[i].Lat) > 90 || math.Abs(r[i].Lon) > 360 {
			return nil, false
		}
		r[i].Lon = measure.Wrap180(r[i].Lon) // some count from 0 to 360
	}
	_, _, ok := r.unroll()
	return r, ok
}

// readCircle reads the text of a <circle>: "lat,lon radius" in kilometres. A radius of zero
// does not say how far the hazard reaches.
func readCircle(s string) (Circle, bool) {
	fields := pairs(s)
	if len(fields) != 2 {
		return Circle{}, false
	}
	km, err := strconv.ParseFloat(fields[1], 64)
	if err != nil || !(km > 0) {
		return Circle{}, false
	}
	q, ok := position(fields[0])
	if !ok {
		return Circle{}, false
	}
	if math.Abs(q.Lat) > 90 {
		q.Lat, q.Lon = q.Lon, q.Lat
	}
	if math.Abs(q.Lat) > 90 || math.Abs(q.Lon) > 360 {
		return Circle{}, false
	}
	q.Lon = measure.Wrap180(q.Lon)
	return Circle{Centre: q, Km: km}, true
}

// pairs splits at space, but not at the space some put behind the comma.
func pairs(s string) []string {
	if strings.Contains(s, ", ") || strings.Contains(s, " ,") {
		s = strings.NewReplacer(" , ", ",", ", ", ",", " ,", ",").Replace(s)
	}
	return strings.Fields(s)
}

// position reads "a,b" as two finite numbers and nothing more.
func position(s string) (measure.Position, bool) {
	a, b, ok := strings.Cut(s, ",")
	if !ok {
		return measure.Position{}, false
	}
	lat, err1 := strconv.ParseFloat(a, 64)
	lon, err2 := strconv.ParseFloat(b, 64)
	if err1 != nil || err2 != nil || math.IsNaN(lat+lon) || math.IsInf(lat+lon, 0) {
		return measure.Position{}, false
	}
	return measure.Position{Lat: lat, Lon: lon}, true
}
