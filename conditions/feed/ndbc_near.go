package feed

import (
	"cmp"
	"slices"
	"time"

	"ledgehand/conditions/measure"
)

// Our judgement: farther than this a buoy sees another sea, and beyond this angle from where the waves come it sees
// what has already gone by or never comes.
const (
	buoyReachKm   = 150
	buoySideways  = 60 // degrees
	buoyReachMost = 1000
)

// BuoyWant is where an observation is wanted for.
type BuoyWant struct {
	At      measure.Position
	ReachKm float64       // how far a buoy may be, 1 to 1000 km; 0: 150
	Facing  *measure.From // the way the ledge faces, or the direction the swell comes from; nil: no side is preferred
}

// NearBuoy is an observation with where it was made. Every word about it must say Km and Bearing: it is the sea over
// there, on the open side of whatever lies between.
type NearBuoy struct {
	Observation
	Km      float64         // great circle, from the place
	Bearing measure.Towards // from the place to the buoy
	Age     time.Duration
	Facing  bool // within 60 degrees of the direction wanted, or none was
}

// NearBuoys gives the useful buoys near a place: with a position within reach and a wave height of the last 3 hours.
// Those on the side wanted come first, each side by distance; of a station with several observations the newest counts.
// It knows no land: a buoy behind a headland is as near as any, so the list is a choice for a person to confirm.
func NearBuoys(all []Observation, want BuoyWant, now time.Time) []NearBuoy {
	reach := want.ReachKm
	if reach == 0 {
		reach = buoyReachKm
	}
	if want.At.Check() != nil || !(reach >= 1 && reach <= buoyReachMost) {
		return nil
	}
	newest := map[string]int{}
	var out []NearBuoy
	for _, o := range all {
		age := now.Sub(o.At)
		if o.Hs == nil || o.Position == nil || age > buoyFresh || age < -buoyAhead {
			continue
		}
		n := NearBuoy{
			Observation: o, Age: age, Facing: true,
			Km: measure.DistanceKm(want.At, *o.Position), Bearing: measure.Bearing(want.At, *o.Position),
		}
		if !(n.Km <= reach) {
			continue
		}
		if want.Facing != nil {
			n.Facing = measure.Between(measure.From(n.Bearing), *want.Facing) <= buoySideways
		}
		if i, ok := newest[o.Station]; ok && o.Station != "" {
			if o.At.After(out[i].At) {
				out[i] = n
			}
			continue
		}
		newest[o.Station] = len(out)
		out = append(out, n)
	}
	slices.SortStableFunc(out, func(a, b NearBuoy) int {
		if a.Facing != b.Facing {
			if a.Facing {
				return -1
			}
			return 1
		}
		return cmp.Compare(a.Km, b.Km)
	})
	return out
}
