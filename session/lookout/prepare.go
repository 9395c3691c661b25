package lookout

import "time"

// Preparing is when what a trip needs soaked or thawed is said: on the day before, local. Shops are open still, and a night
// is what bait takes to thaw (common practice, no source).
const Preparing = 19 * time.Hour

const (
	prepareLate  = 30 * time.Minute // a plan made later than that is told of a little after it, when people have said what they bring
	prepareLeast = 2 * time.Hour    // before the start; after that nothing thaws any more
)

// PrepareAt is when the things of a trip are prepared.
func PrepareAt(start time.Time, zone *time.Location) time.Time {
	y, m, d := start.In(zone).Date()
	return time.Date(y, m, d-1, int(Preparing.Hours()), 0, 0, 0, zone).UTC()
}

// ForBerley looks the evening before a trip, or a little from now where that has passed and there is time left.
func ForBerley(id string, start time.Time, zone *time.Location, now time.Time) Lookout {
	l := Lookout{V: Version, Kind: Berley, Of: id, Until: start}
	at := PrepareAt(start, zone)
	if !at.After(now) {
		at = now.Add(prepareLate)
		if start.Sub(at) < prepareLeast {
			return l
		}
	}
	l.At = []time.Time{at}
	return l
}

// How often somebody can be told to ladle: less would be noise, more is no trail any more (common practice, no source).
const (
	LadleLeast = 5 * time.Minute
	LadleMost  = time.Hour
	ladleUntil = 12 * time.Hour // from when it was asked for
)

// ForLadle looks every so often from now on, for one of those of an outing.
func ForLadle(of string, every time.Duration, now time.Time) Lookout {
	return Lookout{V: Version, Kind: Ladle, Of: of, Every: every, From: now.Add(every), Until: now.Add(ladleUntil)}
}
