package tide

import (
	"math"
	"time"

	"ledgehand/conditions/measure"
)

// Choice is the station to take the tide of a place from, and what speaks against it. Without doubts nothing is known
// against it, which is no promise: between gauges no table knows the tide.
type Choice struct {
	Nearby
	Doubts []Doubt  // worst first
	Others []Nearby // up to eight others that could be used, nearest first
}

// A Doubt is why the tide of the chosen station may not be the tide of the place, with the numbers to say it.
type Doubt struct {
	Why Why

	Km float64 // Far, VeryFar: how far the station is

	// OtherWater: a station about as near, and how its tide differs from the chosen one's.
	Other Nearby
	Difference

	Clock   time.Duration // OtherClock: by how much the station's standard time is ahead of its reference's, zero when not known
	Warning Warning       // Warned: what is known against the station itself
}

// Why is a word for a doubt.
type Why string

const (
	VeryFar    Why = "very far"    // more than 100 km: the tide there cannot be relied on here
	OtherWater Why = "other water" // stations about as near have unlike tides: the place may lie on another water body
	OtherClock Why = "other clock" // its times are reckoned from a station that keeps another clock, and may be an hour or more off
	Far        Why = "far"         // more than 20 km
	Warned     Why = "warned"      // the station has a warning of its own
)

// VeryFarKm is how far a station may be at most for its table to say anything about a place: engineering judgement, no source.
const VeryFarKm = 100.0

// How far counts as what: engineering judgement, no source, but for Far, which is common practice, no source.
const (
	farKm       = 20.0
	ownFarther  = 5.0  // km farther a station with constants of its own may be
	clockBeyond = 30.0 // km farther one may be that reckons by its own clock
	waterLeast  = 5.0  // km within which stations are compared, even if the chosen one is at the door
	waterTimes  = 3.0  // and how many times as far as the chosen one
	waterMost   = 40.0 // km, and no farther
	looked      = 48   // stations looked at
	offered     = 8
)

// Choose picks the station whose tide to use at a place on the open coast; false off the Earth. A river gauge never; a
// station without significant tide yes, and a doubt says so. The nearest is taken, but
//   - not one whose times are reckoned by another clock if any other is within 30 km more (see borrowed);
//   - one with constants of its own instead of one with offsets if it is at most 5 km farther and its tide is alike.
//
// Near is not alike: at two of five stations of the catalogue the next one has an unlike tide, most of them in estuaries
// and lagoons and behind inlets. With each station left out in turn and one chosen for its place, OtherWater is raised at
// 54 % of all, at 67 % of those where the chosen tide is unlike, at 45 % of the others; 5 % of all are unlike without any
// doubt raised. The doubt names the nearest of the unlike stations: its tide is nearer to that of the place than the most
// unlike one's at half of them, the other way round at a sixth. What helped nothing in this trial is left out: to choose
// by vote of the neighbours, or the earliest tide, which should be the open sea's.
func Choose(p measure.Position) (Choice, bool) {
	return choose(usable(p))
}

// usable are the stations around a place that its tide may be taken from, nearest first.
func usable(p measure.Position) []Nearby {
	var all []Nearby
	for _, s := range Near(p, looked) {
		if s.Warning != River && !misplaced[s.ID] {
			all = append(all, s)
		}
	}
	return all
}

// misplaced are stations whose positions in the catalogue are not where their names are: most have the sign of the
// longitude wrong, and with it the zone (judged by the coordinates of those places, from memory). They can be opened by
// name, but are near nothing.
var misplaced = map[string]bool{
	"noaa/TPT2871": true, "noaa/TPT2891": true, "noaa/TPT2893": true, "noaa/TPT2897": true, "noaa/TWC0279": true, "noaa/TWC2321": true,
	"ticon/boat_cove-rbct-nzl-ttw": true, "ticon/fishing_rock-rfrt-nzl-ttw": true, "ticon/owenga-chit-nzl-ttw": true,
	"ticon/tubuai-113-fra-refmar": true,
}

func choose(all []Nearby) (Choice, bool) {
	if len(all) == 0 {
		return Choice{}, false
	}
	at := pick(all)
	c := Choice{Nearby: all[at], Doubts: doubts(all, at)}
	for i, s := range all {
		if i != at && len(c.Others) < offered {
			c.Others = append(c.Others, s)
		}
	}
	return c, true
}

// DoubtsOf is what speaks against taking the tide of a place from a certain station, as Choose would say it.
func DoubtsOf(p measure.Position, id string) []Doubt {
	all := usable(p)
	for i, s := range all {
		if s.ID == id {
			return doubts(all, i)
		}
	}
	s, err := Find(id)
	if err != nil || p.Check() != nil {
		return nil
	}
	all = append(all, Nearby{Station: s, Km: measure.DistanceKm(p, s.Position), Bearing: measure.Bearing(p, s.Position)})
	return doubts(all, len(all)-1)
}

// doubts is what speaks against one of the stations around a place, worst first.
func doubts(all []Nearby, at int) []Doubt {
	var out []Doubt
	s := all[at]
	if s.Km > VeryFarKm {
		out = append(out, Doubt{Why: VeryFar, Km: s.Km})
	}
	if d, ok := otherWater(all, at); ok {
		out = append(out, d)
	}
	if by, ok := borrowed(s.Station); ok {
		out = append(out, Doubt{Why: OtherClock, Clock: by})
	}
	if s.Km > farKm && s.Km <= VeryFarKm {
		out = append(out, Doubt{Why: Far, Km: s.Km})
	}
	if s.Warning != "" {
		out = append(out, Doubt{Why: Warned, Warning: s.Warning})
	}
	return out
}

// pick is the place in the list of the station to use.
func pick(all []Nearby) int {
	at := 0
	if _, other := borrowed(all[0].Station); other {
		for i, s := range all {
			if s.Km > all[0].Km+clockBeyond {
				break
			}
			if _, other := borrowed(s.Station); !other {
				at = i
				break
			}
		}
	}
	if !all[at].Subordinate {
		return at
	}
	here := rhythmOf(all[at].Station)
	for i, s := range all {
		if s.Km > all[at].Km+ownFarther {
			break
		}
		if !s.Subordinate && !here.against(rhythmOf(s.Station)).Unlike() {
			return i
		}
	}
	return at
}

// otherWater finds the nearest station with an unlike tide among those about as near to the place as the chosen one.
func otherWater(all []Nearby, at int) (Doubt, bool) {
	reach := min(max(waterLeast, waterTimes*all[at].Km), waterMost)
	here := rhythmOf(all[at].Station)
	for i, s := range all {
		if s.Km > reach {
			break
		}
		if i == at {
			continue
		}
		d := here.against(rhythmOf(s.Station))
		if !d.Unlike() {
			continue
		}
		if _, other := borrowed(s.Station); other {
			continue // what it says against another is as likely its own fault
		}
		return Doubt{Why: OtherWater, Other: s, Difference: d}, true
	}
	return Doubt{}, false
}

// borrowed says whether a subordinate station's times are reckoned by another clock than its own, and by how much its
// standard time is ahead of that one's, within half a day. The tables the offsets come from give local time at both ends,
// and which clocks those were has changed since. Of the 78 such stations 26 have a gauge within 30 km: with the offsets
// as printed 2 agree with it to 20 minutes, with the difference of the clocks taken out 19, in neither way 5.
func borrowed(s Station) (time.Duration, bool) {
	if !s.Subordinate {
		return 0, false
	}
	ref, err := Find(s.Reference)
	if err != nil || ref.Zone == s.Zone {
		return 0, false
	}
	here, ok := standard(s.Zone)
	there, ok2 := standard(ref.Zone)
	if !ok || !ok2 {
		return 0, true
	}
	by := time.Duration(math.Remainder(float64(here-there), float64(24*time.Hour)))
	return by, by != 0
}

// standard is a zone's standard time ahead of UTC, that without daylight saving; false where the zone cannot be loaded.
func standard(zone string) (time.Duration, bool) {
	l := location(zone)
	if l == nil {
		return 0, false
	}
	const year = 2026 // any: nothing here asks what day it is
	_, jan := time.Date(year, time.January, 1, 0, 0, 0, 0, l).Zone()
	_, jul := time.Date(year, time.July, 1, 0, 0, 0, 0, l).Zone()
	return time.Duration(min(jan, jul)) * time.Second, true
}
