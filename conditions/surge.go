package conditions

import (
	"math"
	"time"

	"ledgehand/conditions/measure"
	"ledgehand/conditions/tide"
)

// Surge is what air pressure is estimated to add to the predicted tide. The feeds carry no surge of their own that holds
// at a coast. A high that should press the water down is not counted on: the wind that comes with it may hold it up.
type Surge struct {
	HPa    float64        // the pressure of the hour that lifts the water most
	Height measure.Metres // what the water is taken to stand higher, an estimate; 0 where pressure is high
}

// surge estimates the lift of every hour from the lowest pressure forecast in and around it. An hour whose pressure nobody
// forecast has none; the spread of the water level allows for that.
func (a *assessment) surge() {
	if a.q.Weather == nil {
		return
	}
	for i := range a.r.Hours {
		h := &a.r.Hours[i]
		low := math.Inf(1)
		for _, w := range a.q.Weather.Hours {
			if w.PressureHPa != nil && !w.At.Before(h.At.Add(-time.Hour/2)) && !w.At.After(h.At.Add(time.Hour*3/2)) {
				low = math.Min(low, *w.PressureHPa)
			}
		}
		if math.IsInf(low, 1) {
			continue
		}
		h.Surge = max(0, tide.InverseBarometer(low))
		if a.r.Surge == nil || h.Surge > a.r.Surge.Height {
			a.r.Surge = &Surge{HPa: low, Height: h.Surge}
		}
	}
}
