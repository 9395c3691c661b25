package feed

import (
	"fmt"
	"math"
	"strconv"

	"ledgehand/conditions/measure"
)

// cells is the number of grid cells to a degree: 1/12 degree, about 9 km north to south, is
// the grid of the global wave model behind the default answer.
const cells = 12

// Anchor is the place that is asked about in public: the centre of a grid cell. There is no
// other way to make one than Snap, so that no exact position can be sent by mistake.
type Anchor struct {
	at  measure.Position
	set bool
}

// Snap moves a point at sea to the centre of its grid cell, at most about 6.6 km away. It
// always gives the same centre for the same cell: noise instead would average out to the truth.
func Snap(p measure.Position) (Anchor, error) {
	if err := p.Check(); err != nil {
		return Anchor{}, fmt.Errorf("sea anchor: %w", err)
	}
	centre := func(deg, most float64) float64 {
		i := math.Floor(deg * cells)
		return (math.Min(i, most*cells-1) + 0.5) / cells // the pole and the date line belong to the last cell
	}
	return Anchor{at: measure.Position{Lat: centre(p.Lat, 90), Lon: centre(p.Lon, 180)}, set: true}, nil
}

// Position is the centre of the cell.
func (a Anchor) Position() measure.Position { return a.at }

func (a Anchor) String() string { return decimals(a.at.Lat) + "," + decimals(a.at.Lon) }

// decimals writes four decimals, 11 m: the services refuse more or redirect.
func decimals(deg float64) string { return strconv.FormatFloat(deg, 'f', 4, 64) }
