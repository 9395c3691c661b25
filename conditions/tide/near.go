package tide

import (
	"math"
	"sort"

	"ledgehand/conditions/measure"
)

// Nearby is a station seen from a place.
type Nearby struct {
	Station
	Km      float64         // great-circle distance
	Bearing measure.Towards // from the place to the station, degrees true
}

// Near lists the n stations nearest to a place, nearest first. Near is not alike: across an inlet the time of the tide
// can differ by an hour. A station's Region is that of the nearest numbered gauge and can be the neighbour's at a state line.
func Near(p measure.Position, n int) []Nearby {
	if n <= 0 || p.Check() != nil {
		return nil
	}
	c := stations()
	n = min(n, c.count)
	type found struct {
		km float64
		i  int
	}
	best := make([]found, 0, n+1)
	const kmPerDegree = measure.EarthRadiusKm * math.Pi / 180
	for i := range c.count {
		at := c.position(c.record(i))
		if len(best) == n && math.Abs(at.Lat-p.Lat)*kmPerDegree > best[n-1].km {
			continue // too far north or south already
		}
		km := measure.DistanceKm(p, at)
		if len(best) == n && km >= best[n-1].km {
			continue
		}
		k := sort.Search(len(best), func(k int) bool { return best[k].km > km })
		best = append(best, found{})
		copy(best[k+1:], best[k:])
		best[k] = found{km, i}
		best = best[:min(len(best), n)]
	}
	out := make([]Nearby, len(best))
	for k, f := range best {
		s := c.station(f.i)
		out[k] = Nearby{Station: s, Km: f.km, Bearing: measure.Bearing(p, s.Position)}
	}
	return out
}
