package tide

import (
	"sort"
	"sync"

	"ledgehand/conditions/measure"
)

// Nearby is a station seen from a place.
type Nearby struct {
	Station
	Km      float64         // great-circle distance
	Bearing measure.Towards // from the place to the station, degrees true
}

// directions are where the stations lie, from the middle of the Earth; worked out at the first search, 140 kB.
var directions = sync.OnceValue(func() [][3]float64 {
	c := stations()
	out := make([][3]float64, c.count)
	for i := range out {
		out[i] = direction(c.position(c.record(i)))
	}
	return out
})

func direction(p measure.Position) [3]float64 {
	sLat, cLat := sincosDeg(p.Lat)
	sLon, cLon := sincosDeg(p.Lon)
	return [3]float64{cLat * cLon, cLat * sLon, sLat}
}

// Near lists the n stations nearest to a place, nearest first. Near is not alike: across an inlet the time of the tide
// can differ by an hour. A station's Region is that of the nearest numbered gauge and can be the neighbour's at a state line.
func Near(p measure.Position, n int) []Nearby {
	if n <= 0 || p.Check() != nil {
		return nil
	}
	c, all := stations(), directions()
	n = min(n, c.count)
	type found struct {
		chord float64 // the straight line through the Earth, squared, in radii: it orders places as the way over ground does
		i     int
	}
	best := make([]found, 0, n+1)
	here := direction(p)
	for i, d := range all {
		x, y, z := d[0]-here[0], d[1]-here[1], d[2]-here[2]
		chord := x*x + y*y + z*z
		if len(best) == n && chord >= best[n-1].chord {
			continue
		}
		k := sort.Search(len(best), func(k int) bool { return best[k].chord > chord })
		best = append(best, found{})
		copy(best[k+1:], best[k:])
		best[k] = found{chord, i}
		best = best[:min(len(best), n)]
	}
	out := make([]Nearby, len(best))
	for k, f := range best {
		s := c.station(f.i)
		out[k] = Nearby{Station: s, Km: measure.DistanceKm(p, s.Position), Bearing: measure.Bearing(p, s.Position)}
	}
	return out
}
