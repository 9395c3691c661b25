package warning

import (
	"cmp"
	"slices"
	"time"

	"ledgehand/conditions"
)

// Grace is how long after its message has expired a warning without an end of its own is kept:
// the next message may be late, and dropping the warning at once would read as "over".
const Grace = time.Hour

// Lifetime is taken for a message that says neither when it expires nor when the event ends,
// from its sending or its onset, whichever is later. Unended is how long it is kept after that,
// not confirmed: nobody has said that it is over. CAP leaves this to each recipient; both are
// our judgement, after services that renew their warnings at least once a day.
const (
	Lifetime = 24 * time.Hour
	Unended  = 48 * time.Hour
)

// Alert is one message about one hazard, as it was sent. Its times are instants; a zero time
// was not given. Words are the sender's own.
type Alert struct {
	ID, Event, Headline, Text, Sender string
	Status                            string // Actual, Exercise, System, Test, Draft
	MessageType                       string // Alert, Update, Cancel, ...
	Urgency, Response                 string
	Sent, Onset                       time.Time
	Expires                           time.Time // end of the message
	Ends                              time.Time // end of the event
	Replaces                          []string  // ids this message stands in for
	Codes                             []string  // zones it is for
	Area                              string    // the sender's words for where, empty if not read
}

// Standing says what a message is worth at an instant.
type Standing string

// The standings. The first three are shown to people.
const (
	InForce      Standing = "in force"
	ToCome       Standing = "to come"       // its onset lies ahead
	NotConfirmed Standing = "not confirmed" // the message has expired within the hour, or is old and has no end, and the event was given none
	Over         Standing = "over"
	Cancelled    Standing = "cancelled" // the message takes others back, or was taken back
	Replaced     Standing = "replaced"  // a later message stands in for it
	NotActual    Standing = "not actual"
)

// Shown says whether people are to be told.
func (s Standing) Shown() bool { return s == InForce || s == ToCome || s == NotConfirmed }

// Standing judges one message by itself at now. The event's end counts, not the message's:
// the US service sends messages that expire days before the event does.
func (a Alert) Standing(now time.Time) Standing {
	switch {
	case a.Status != "Actual":
		return NotActual
	case a.MessageType == "Cancel":
		return Cancelled
	case a.MessageType == "Update" && (a.Response == "AllClear" || a.Urgency == "Past"):
		return Over
	}
	ends := a.Ends
	if ends.Before(a.Sent) { // not given, or nonsense
		ends = time.Time{}
	}
	expires, grace := a.Expires, Grace
	if expires.IsZero() {
		expires, grace = a.Sent.Add(Lifetime), Unended
		if a.Onset.After(a.Sent) {
			expires = a.Onset.Add(Lifetime)
		}
	}
	if expires.Before(a.Onset) { // what has not begun is not over because its update is late
		expires = a.Onset
	}
	switch {
	case !ends.IsZero() && !now.Before(ends):
		return Over
	case ends.IsZero() && !now.Before(expires.Add(grace)):
		return Over
	case now.Before(a.Onset):
		return ToCome
	case ends.IsZero() && !now.Before(expires):
		return NotConfirmed
	}
	return InForce
}

// Judged is a message with what it means for one ledge.
type Judged struct {
	Alert
	Standing Standing
	Concern  conditions.Concern
	Covers   *bool // nil: its area could not be placed
}

// Warning is the part of a judged message that is shown.
func (j Judged) Warning() conditions.Warning {
	w := conditions.Warning{
		ID: j.ID, Event: j.Event, Headline: j.Headline, Text: j.Text, Sender: j.Sender,
		Concern: j.Concern, Onset: j.Onset, Covers: j.Covers,
	}
	if !j.Ends.Before(j.Sent) {
		w.Ends = j.Ends
	}
	return w
}

// Judge weighs messages against each other; covers says whether one takes in the place (see InZones). All come back, the gravest first, then those that are
// surely here, then by onset; the caller shows those whose Standing is Shown.
func Judge(alerts []Alert, covers func(Alert) *bool, now time.Time) []Judged {
	gone := replaced(alerts)
	out := make([]Judged, 0, len(alerts))
	for _, a := range alerts {
		j := Judged{Alert: a, Standing: a.Standing(now), Covers: covers(a)}
		if s, ok := gone[a.ID]; ok && j.Standing.Shown() {
			j.Standing = s
		}
		j.Concern, _ = Classify(a.Event)
		out = append(out, j)
	}
	slices.SortStableFunc(out, gravestFirst)
	return out
}

// InZones places messages by the zones a ledge and its sea lie in. None known: nothing can be placed.
func InZones(zones []string) func(Alert) *bool {
	return func(a Alert) *bool { return Place(a.Codes, zones) }
}

// gravestFirst orders by what people are to see first; no two that differ in what they see are
// equal, so that the order in which messages came leaves no trace.
func gravestFirst(a, b Judged) int {
	return cmp.Or(
		cmp.Compare(rank(a.Concern), rank(b.Concern)),
		cmp.Compare(unplaced(a.Covers), unplaced(b.Covers)),
		a.Onset.Compare(b.Onset),
		cmp.Compare(a.ID, b.ID),
		a.Sent.Compare(b.Sent),
		cmp.Compare(a.Sender, b.Sender),
		cmp.Compare(a.Standing, b.Standing),
		cmp.Compare(elsewhere(a.Covers), elsewhere(b.Covers)),
		cmp.Compare(a.Event, b.Event),
		cmp.Compare(a.Headline, b.Headline),
		cmp.Compare(a.Text, b.Text),
		cmp.Compare(a.Area, b.Area),
		a.Until().Compare(b.Until()),
		cmp.Compare(a.MessageType+a.Status, b.MessageType+b.Status),
	)
}

func elsewhere(covers *bool) int {
	if covers != nil && !*covers {
		return 1
	}
	return 0
}

func unplaced(covers *bool) int {
	if covers == nil {
		return 1
	}
	return 0
}

// replaced finds the messages that others in the list stand in for or take back. Only a later
// message may do that: two that name each other, or one that names itself, would otherwise
// take a live warning away.
func replaced(alerts []Alert) map[string]Standing {
	sent := make(map[string]time.Time, len(alerts))
	for _, a := range alerts {
		sent[a.ID] = a.Sent
	}
	gone := map[string]Standing{}
	for _, a := range alerts {
		if a.Status != "Actual" || a.MessageType != "Update" && a.MessageType != "Cancel" {
			continue
		}
		for _, id := range a.Replaces {
			if t, ok := sent[id]; !ok || !a.Sent.After(t) {
				continue
			}
			if a.MessageType == "Cancel" {
				gone[id] = Cancelled
			} else if gone[id] == "" {
				gone[id] = Replaced
			}
		}
	}
	return gone
}
