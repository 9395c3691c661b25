package bot

import (
	"strings"

	"ledgehand/conditions/feed"
	"ledgehand/conditions/ledge"
	"ledgehand/session"
)

// states are the first three digits of NOAA's station numbers by state or territory, as NOAA numbers them
// (from memory, checked against the names in the station catalogue by a test).
var states = map[string]string{
	"161": "HI", "841": "ME", "842": "NH", "844": "MA", "845": "RI", "846": "CT", "851": "NY", "853": "NJ",
	"855": "DE", "857": "MD", "863": "VA", "865": "NC", "866": "SC", "867": "GA", "872": "FL", "873": "AL",
	"874": "MS", "876": "LA", "877": "TX", "941": "CA", "943": "OR", "944": "WA", "945": "AK", "946": "AK",
	"975": "PR",
}

// stateOf is the two-letter state a ledge's warnings are asked for: the crew's own setting first, else that of its
// tide station. "" where we hold no warning feed, which ends in "cannot tell", not in "none".
func stateOf(c session.Crew, card ledge.Card) string {
	if s, ok := strings.CutPrefix(c.Area, "US-"); ok && len(s) == 2 {
		return s
	}
	id, ok := strings.CutPrefix(card.TideStation, "noaa/")
	if !ok || len(id) < 3 {
		return ""
	}
	return states[id[:3]]
}

func warningPlace(c session.Crew, card ledge.Card) feed.WarningPlace {
	return feed.WarningPlace{State: stateOf(c, card)}
}
