package ledge

import (
	"math"

	"ledgehand/conditions/measure"
)

// anchorGrid is the spacing of sea anchors in degrees, that of the wave models they are asked of.
const anchorGrid = 1.0 / 12

// SnapSeaAnchor gives the public point forecasts are asked for: 5 km out the way the ledge faces,
// then the nearest multiple of 1/12 degree in latitude and longitude, the centre of its cell
// of a wave model. Snapping, not noise: the same place always gives the same anchor, so asking
// often gives nothing away, and every ledge that looks out over the cell shares it. The
// anchor can lie up to 11 km from the ledge, and on a crooked coast on land: ask once
// whether waves come back, and if not go on with NextSeaAnchor.
func SnapSeaAnchor(exact measure.Position, faces measure.From) (measure.Position, error) {
	if exact.Check() != nil {
		return measure.Position{}, &FieldError{Field: "exact", Fault: NotAPlace}
	}
	if !(faces >= 0 && faces <= 360) {
		return measure.Position{}, &FieldError{Field: "faces", Fault: OutOfRange, Low: 0, High: 360}
	}
	const seawardKm = 5
	return snap(measure.Offset(exact, measure.Towards(faces), seawardKm)), nil
}

// NextSeaAnchor moves an anchor one cell on, to the neighbour that lies nearest the way the ledge
// faces.
func NextSeaAnchor(anchor measure.Position, faces measure.From) measure.Position {
	octant := math.Round(measure.Wrap360(float64(faces))/45) * 45 * math.Pi / 180
	return snap(measure.Position{
		Lat: anchor.Lat + anchorGrid*math.Round(math.Cos(octant)),
		Lon: anchor.Lon + anchorGrid*math.Round(math.Sin(octant)),
	})
}

// snap rounds to the grid; the division comes last, so that equal cells print alike.
func snap(p measure.Position) measure.Position {
	const per = 12
	lat := math.Max(-90, math.Min(90, math.Round(p.Lat*per)/per))
	return measure.Position{Lat: lat, Lon: math.Round(measure.Wrap180(p.Lon)*per) / per}
}
