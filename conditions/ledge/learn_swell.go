package ledge

import (
	"math"

	"ledgehand/conditions/measure"
)

// ForSwell picks the observations kappa is to be learned from for swell from a direction: those of the 45 degrees about
// it once there are SectorWatches of them, else all. A sector is laid about the swell asked for and not on fixed
// bearings, so that no bound falls between two days of the same swell. A span without a direction belongs to
// no sector; an observation belongs to that of its first span.
func ForSwell(seen []Observation, from measure.From) []Observation {
	n := InSector(seen, from)
	if n < SectorWatches {
		return seen
	}
	own := make([]Observation, 0, n)
	for _, o := range seen {
		if o.inSector(from) {
			own = append(own, o)
		}
	}
	return own
}

// InSector counts the observations in swell from within half of SectorWidth of a direction.
func InSector(seen []Observation, from measure.From) int {
	n := 0
	for _, o := range seen {
		if o.inSector(from) {
			n++
		}
	}
	return n
}

func (o *Observation) swellFrom() *measure.From {
	if len(o.Spans) == 0 {
		return nil
	}
	return o.Spans[0].From
}

// inSector takes the lower bound in and leaves the upper out, so that eight sectors share the circle without a gap.
func (o *Observation) inSector(from measure.From) bool {
	f := o.swellFrom()
	if f == nil {
		return false
	}
	d := measure.Wrap180(float64(*f - from))
	return -SectorWidth/2.0 <= d && d < SectorWidth/2.0 && !math.IsNaN(d)
}
