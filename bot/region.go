package bot

import (
	"strings"

	"ledgehand/conditions/feed"
	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/tide"
	"ledgehand/session"
)

// stateOf is the two-letter US state a ledge's warnings are asked for: the crew's own setting first (/settings area
// US-CA), else that of its tide station. "" where we hold no warning feed, which ends in "cannot tell", not in "none".
func stateOf(c session.Crew, card ledge.Card) string {
	if s, ok := strings.CutPrefix(c.Area, "US-"); ok && len(s) == 2 {
		return s
	}
	st, err := tide.Find(card.TideStation)
	if err != nil || st.Country != "US" {
		return ""
	}
	return st.Region
}

// countryOf is the country of a ledge's tide station, for countries whose warnings come as one list.
func countryOf(card ledge.Card) string {
	st, err := tide.Find(card.TideStation)
	if err != nil {
		return ""
	}
	return st.Country
}

func warningPlace(c session.Crew, card ledge.Card) feed.WarningPlace {
	p := feed.WarningPlace{State: stateOf(c, card), Country: countryOf(card), Languages: []string{c.Language}}
	for _, at := range []*measure.Position{card.Exact, card.SeaAnchor} {
		if at != nil {
			p.Places = append(p.Places, *at)
		}
	}
	return p
}
