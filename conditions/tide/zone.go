package tide

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"
	"time"

	"ledgehand/conditions/measure"
)

// How far to look for stations that keep another clock: engineering judgement, no source, chosen by leaving stations out.
const (
	zoneLeast    = 50.0  // km, where the next station is at the door: borders run between gauges
	zoneTimes    = 3.0   // times the distance to the nearest station
	zoneFarther  = 500.0 // km beyond the nearest station at most
	zoneFarthest = 500.0 // km beyond which no station's zone is taken for the place's own
)

// ZonesAt lists the time zones a place may lie in, as IANA names. One means certain enough to use; more mean that somebody
// must be asked, the first being the likeliest: a wrong zone makes an alert an hour late. Nil off the Earth.
//
// The first is the zone of the nearest station, the others those of stations up to three times as far (at least 50 km,
// at most 500 km farther), in order of distance, each only if its clock differs from those before at some instant in the
// year from at. Farther than 500 km from every station nothing is certain: the nautical zone of the longitude comes first.
//
// With each of the 5,767 stations that have a zone of a country left out in turn, the answer was one zone and right for
// 5,467, asked with the right one in the list for 280, asked without it for 14, and wrong without asking for 6. With all
// stations within 30 km of the place left out it was 5,243, 492, 27 and 5. So a list to ask from needs a way out of it.
func ZonesAt(p measure.Position, at time.Time) []string {
	if p.Check() != nil {
		return nil
	}
	return zonesBeyond(p, at, -1)
}

// zonesBeyond is ZonesAt without the stations within some kilometres, so that a test can ask for a station's own zone.
func zonesBeyond(p measure.Position, at time.Time, hole float64) []string {
	zones := nearestByZone(p, hole)
	lost := len(zones) == 0 || zones[0].km > zoneFarthest
	var out []string
	if lost {
		out = append(out, nautical(p.Lon))
	}
	for _, z := range zones {
		if z.km <= zoneReach(zones[0].km) && !keptByAny(out, z.name, at) {
			out = append(out, z.name)
		}
	}
	if lost && len(out) == 1 { // nobody knows what clock an island far from every gauge keeps
		out = append(out, nautical(measure.Wrap180(p.Lon+15)), nautical(measure.Wrap180(p.Lon-15)))
	}
	return out
}

// zoneReach is how far to look for other clocks when the nearest station is so far.
func zoneReach(near float64) float64 {
	return min(max(zoneLeast, zoneTimes*near), near+zoneFarther)
}

type zoneNear struct {
	name string
	km   float64
}

// nearestByZone gives the zones within reach the distance of their nearest station, nearest first. Stations with a nautical
// zone do not count: the catalogue has it where its compiler found no land, on platforms and at misplaced positions.
func nearestByZone(p measure.Position, hole float64) []zoneNear {
	c := stations()
	all := make([]zoneNear, len(c.zones))
	for z, name := range c.zones {
		all[z] = zoneNear{name, math.Inf(1)}
		if strings.HasPrefix(name, "Etc/") {
			all[z].km = -1 // nothing is nearer
		}
	}
	const kmPerDegree = measure.EarthRadiusKm * math.Pi / 180
	reach := math.Inf(1)
	for i := range c.count {
		r := c.record(i)
		z := &all[u16(r, 18)]
		at := c.position(r)
		if math.Abs(at.Lat-p.Lat)*kmPerDegree > min(z.km, reach) {
			continue // too far north or south to be its zone's nearest, or to matter
		}
		if km := measure.DistanceKm(p, at); km > hole && km < z.km {
			z.km, reach = km, min(reach, zoneReach(km))
		}
	}
	out := slices.DeleteFunc(all, func(z zoneNear) bool { return z.km < 0 || z.km > reach })
	slices.SortStableFunc(out, func(a, b zoneNear) int { return cmp.Compare(a.km, b.km) })
	return out
}

// nautical is the zone of a longitude at sea, 15° each. These names count hours west of Greenwich: UTC+9 is Etc/GMT-9.
func nautical(lon float64) string {
	n := int(math.Round(lon / 15))
	if n == 0 {
		return "Etc/GMT"
	}
	return fmt.Sprintf("Etc/GMT%+d", -n)
}

func keptByAny(zones []string, zone string, at time.Time) bool {
	for _, z := range zones {
		if sameClock(z, zone, at) {
			return true
		}
	}
	return false
}

// sameClock says whether two zones show the same time for a year from an instant. Zones that cannot be loaded are not
// the same: where there is no zone table every name must be asked about.
func sameClock(a, b string, from time.Time) bool {
	if a == b {
		return true
	}
	la, lb := location(a), location(b)
	if la == nil || lb == nil {
		return false
	}
	for t, to := from, from.AddDate(1, 0, 0); t.Before(to); {
		ta, tb := t.In(la), t.In(lb)
		_, oa := ta.Zone()
		_, ob := tb.Zone()
		if oa != ob {
			return false
		}
		_, ea := ta.ZoneBounds()
		_, eb := tb.ZoneBounds()
		if ea.IsZero() || !eb.IsZero() && eb.Before(ea) {
			ea = eb
		}
		if ea.IsZero() {
			return true
		}
		t = ea
	}
	return true
}

// locations keeps the zones asked for, by name; loading one reads a file or unpacks a table. There are as many as the
// catalogue and the nautical zones have names.
var locations sync.Map

// location is nil when the zone cannot be loaded.
func location(name string) *time.Location {
	if l, ok := locations.Load(name); ok {
		return l.(*time.Location)
	}
	l, err := time.LoadLocation(name)
	if err != nil {
		l = nil
	}
	locations.Store(name, l)
	return l
}
