package warning

import (
	"slices"
	"strings"
	"time"

	"ledgehand/conditions/measure"
)

// NotPublic is the standing of a message for a closed circle, or between machines.
const NotPublic Standing = "not public"

// JudgeCAP says what messages mean for a place at now: one Judged for each hazard of each
// message, those over, taken back or not for the public too; the caller shows those whose
// Standing is Shown. The gravest come first, then those that are surely here.
//
// Order and repetition of the messages do not matter; a Cancel or Update has to be held as long
// as what it names may still be in force, for it may come first. places are where the warning
// would matter, the ledge and the sea before it: one of them inside is enough, none given
// cannot be placed. langs are the reader's languages, the best first. codes places what is
// given by code only; the zero value places none of it.
//
// Covers is false only where the sender drew an area that surely ends elsewhere.
func JudgeCAP(messages []Message, places []measure.Position, now time.Time, langs []string, codes Geocodes) []Judged {
	gone := takenBack(messages)
	out := make([]Judged, 0, len(messages))
	for i, m := range messages {
		hazards := m.hazards()
		if len(hazards) == 0 { // nothing but a note; nobody may be let off by what it does not say
			hazards = []hazard{{blocks: []Info{{}}}}
		}
		for n, h := range hazards {
			a := m.alert(h.choose(langs), n)
			j := Judged{Alert: a, Standing: m.standing(a, now), Concern: h.concern(), Covers: h.lie(places, codes).covers()}
			if s, ok := gone[i]; ok && j.Standing.Shown() {
				j.Standing = s
			}
			out = append(out, j)
		}
	}
	slices.SortFunc(out, gravestFirst)
	return slices.CompactFunc(out, func(a, b Judged) bool { return gravestFirst(a, b) == 0 })
}

// standing judges one hazard of a message by itself.
func (m Message) standing(a Alert, now time.Time) Standing {
	switch {
	case m.Status != "Actual":
		return NotActual
	case m.Scope == "Restricted" || m.Scope == "Private" || m.Type == "Ack" || m.Type == "Error":
		return NotPublic
	case m.Type == "Alert" && a.Response == "AllClear": // says itself that nothing is to be feared
		return Over
	}
	return a.Standing(now)
}

// takenBack finds the messages that others stand in for or take back, by their place in the
// list. An Update stands in for the whole of what it names: an area it leaves out is released.
// Only a later, public, actual message may do that: one that names itself, or two that name
// each other, would otherwise take a live warning away.
func takenBack(messages []Message) map[int]Standing {
	byID := map[string][]int{}
	for i, m := range messages {
		byID[m.Identifier] = append(byID[m.Identifier], i)
	}
	gone := map[int]Standing{}
	for _, by := range messages {
		if by.Status != "Actual" || by.Scope == "Restricted" || by.Scope == "Private" || by.Type != "Update" && by.Type != "Cancel" {
			continue
		}
		for _, r := range by.References {
			for _, i := range byID[r.Identifier] {
				if m := messages[i]; !by.Sent.After(m.Sent) || !r.names(m, by) {
					continue
				}
				if by.Type == "Cancel" {
					gone[i] = Cancelled
				} else if gone[i] == "" {
					gone[i] = Replaced
				}
			}
		}
	}
	return gone
}

// names says whether a reference made by a message means m. The standard makes sender,
// identifier and sent together the name of a message. Senders in references are met that
// differ from that of the message, and identifiers that are used again; so the time decides
// where there is one, and the sender where there is none.
func (r Reference) names(m, by Message) bool {
	if r.Identifier != m.Identifier {
		return false
	}
	switch {
	case !r.Sent.IsZero(): // a fraction of a second is lost on the way
		return r.Sent.Sub(m.Sent).Abs() < time.Second
	case r.Sender != "":
		return strings.EqualFold(r.Sender, m.Sender)
	}
	return strings.EqualFold(by.Sender, m.Sender)
}

// Until is when a message stops to speak by its own words: at the end of the event, else at
// its own end. Zero: it does not say. It is to be shown; what has passed it may still stand
// (see Standing).
func (j Judged) Until() time.Time {
	if !j.Ends.IsZero() && !j.Ends.Before(j.Sent) {
		return j.Ends
	}
	return j.Expires
}
