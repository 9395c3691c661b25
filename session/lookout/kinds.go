package lookout

import (
	"slices"
	"time"
)

// ForTide looks at instants that were worked out beforehand: when the water stands otherwise than at since, which is the end of a
// watch or, when nothing was watched, the beginning of the outing. Those that are not ahead of now are left out.
func ForTide(id string, since time.Time, watched bool, at []time.Time, now time.Time) Lookout {
	l := Lookout{V: Version, Kind: Tide, Of: id, Since: since, Watched: watched, Until: since}
	for _, t := range at {
		if t.After(now) {
			l.At = append(l.At, t)
		}
	}
	slices.SortFunc(l.At, time.Time.Compare)
	if n := len(l.At); n > 0 {
		l.Until = l.At[n-1]
	}
	return l
}

// When those who came back are asked what the ledge did: when they have eaten, and not in the night. Within a day memory still
// serves (common practice, no source).
const (
	AskAfter   = 3 * time.Hour
	AskWithin  = 24 * time.Hour
	nightFalls = 22 // o'clock, local
	nightEnds  = 8
)

// ForAfter looks once, AskAfter the end of an outing, and when that falls into the night at its end.
func ForAfter(id string, closed time.Time, zone *time.Location) Lookout {
	return Lookout{V: Version, Kind: After, Of: id, At: []time.Time{byDay(closed.Add(AskAfter), zone)}, Until: closed.Add(AskWithin)}
}

// How long somebody who is off the rocks has to say that they are home before others hear of it, and until they hear of it again.
// common practice, no source: a road is no ledge, and a flat battery likelier than harm.
const (
	HomeTold   = 30 * time.Minute
	HomeAgain  = 90 * time.Minute
	homeLeast  = 30 * time.Minute // after the "off", however late that came
	homeWithin = 6 * time.Hour
)

// ForHome looks at the time at which those of an outing said they would be home: they are asked, then others are told, twice.
func ForHome(id string, homeBy, closed time.Time) Lookout {
	if least := closed.Add(homeLeast); homeBy.Before(least) {
		homeBy = least
	}
	return Lookout{V: Version, Kind: Home, Of: id, At: []time.Time{homeBy, homeBy.Add(HomeTold), homeBy.Add(HomeAgain)}, Until: homeBy.Add(homeWithin)}
}

// askLater is how long those who are out again are left alone before it is looked whether they are back.
const askLater = time.Hour

// Later puts such a look off, because those who are to be asked are out again; past its end it is not made any more.
func (l Lookout) Later(now time.Time, zone *time.Location) Lookout {
	l.At = []time.Time{byDay(now.Add(askLater), zone)}
	return l
}

// byDay is an instant, or the end of the night it falls into.
func byDay(at time.Time, zone *time.Location) time.Time {
	local := at.In(zone)
	y, m, d := local.Date()
	switch h := local.Hour(); {
	case h >= nightFalls:
		at = time.Date(y, m, d+1, nightEnds, 0, 0, 0, zone)
	case h < nightEnds:
		at = time.Date(y, m, d, nightEnds, 0, 0, 0, zone)
	}
	return at.UTC()
}

// mostGone ends the looks after a crew's things for good, whatever keeps them.
const mostGone = 10 * 365 * 24 * time.Hour

// ForGone looks once, when the things of a crew that put us out of its group are to be removed.
func ForGone(id string, at, now time.Time) Lookout {
	return Lookout{V: Version, Kind: Gone, Of: id, At: []time.Time{at}, Until: now.Add(mostGone)}
}

// Again is the order with one more look at an instant.
func (l Lookout) Again(at time.Time) Lookout {
	l.At = []time.Time{at}
	return l
}
