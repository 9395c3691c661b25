package bot

import (
	"slices"
	"time"

	"ledgehand/session"
)

// How much of anything a crew or a person may have: more than any crew needs (common practice, no source), and an end
// to what somebody of ill will can make us store, read or send.
const (
	mostLedges    = 60
	mostTrips     = 12 // standing at once
	mostVotes     = 3  // open at once
	mostOutings   = 40 // under way at once in one crew
	mostContacts  = 6  // ashore for one person in one crew
	mostHeld      = 30 // people whose plans one person holds
	mostLinks     = 5  // invitations of one person in one crew a day
	mostGroups    = 5  // new groups that one person adds us to a day
	mostRules     = 60
	mostGear      = 30  // things of one plan
	mostCatches   = 400 // of one crew a day
	mostFishNames = 100 // names of fish settled in one crew
	mostWatches   = 400 // kept with one ledge, the newest
	mostReports   = 100 // of outings, kept with one ledge, the newest
	mostAliases   = 10  // old names of one ledge
	mostWhy       = 200 // characters of a reason
)

// aDay is over how long links and groups count.
const aDay = 24 * time.Hour

// linksToday counts the invitations somebody made within a day.
func linksToday(c session.Crew, of int64, now time.Time) int {
	n := 0
	for _, i := range c.Invites {
		if i.Of == of && now.Sub(i.Made) < aDay {
			n++
		}
	}
	return n
}

// lately are the instants that lie within a day.
func lately(at []time.Time, now time.Time) []time.Time {
	return slices.DeleteFunc(slices.Clone(at), func(t time.Time) bool { return now.Sub(t) >= aDay })
}
