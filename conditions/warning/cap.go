package warning

import (
	"bytes"
	"slices"
	"strings"
	"time"
)

// Message is one message of the Common Alerting Protocol (OASIS CAP 1.2; 1.1 is read as well),
// as it was sent. Times are instants in UTC, zero if not given or not readable.
type Message struct {
	Identifier, Sender string
	Sent               time.Time
	Status             string // Actual, Exercise, System, Test, Draft
	Type               string // Alert, Update, Cancel, Ack, Error
	Scope              string // Public, Restricted, Private; another word as it was sent
	Note               string
	References         []Reference
	Infos              []Info
	Link               string // where it was fetched, for who matches it with an index; not in the message
}

// Reference names an earlier message: CAP writes "sender,identifier,sent". Parts that could
// not be read are empty.
type Reference struct {
	Sender, Identifier string
	Sent               time.Time
}

// Info is an <info> of a message: one hazard in one language. The words are the sender's own.
type Info struct {
	Language   string // RFC 3066; en-US if the message does not say
	Event      string
	Categories []string
	Responses  []string
	Urgency    string
	Severity   string
	Certainty  string
	Codes      []Pair // eventCode
	Parameters []Pair
	Areas      []Area

	Effective time.Time // when the message begins to count; Message.Sent if zero
	Onset     time.Time // when the event begins
	Expires   time.Time // end of the message, which need not be that of the event

	SenderName, Headline, Description, Instruction string
}

// Counts beyond which a message is refused: our judgement of what no honest sender needs.
const (
	maxInfos      = 500
	maxReferences = 5000
)

const capNamespace = "urn:oasis:names:tc:emergency:cap:1."

// inCAP says whether a namespace is one of CAP 1.1 or 1.2, or none at all. What an extension or
// a signature has inside a message is not read, even if it is called <expires>.
func inCAP(space string) bool { return space == "" || strings.HasPrefix(space, capNamespace) }

// DecodeCAP reads one message. It refuses (a *Refused) whatever is not a CAP message from end
// to end, or lacks what it takes to judge it: identifier, sender, sent, a status and a type
// that the standard knows. What is wrong deeper inside is taken so that the warning stays: a
// time that cannot be read is not given, a shape that cannot be read is counted (Area.Unread).
func DecodeCAP(raw []byte) (Message, error) {
	root, err := readXML(raw, MaxMessage)
	if err != nil {
		return Message{}, err
	}
	if root.name != "alert" || !inCAP(root.space) {
		return Message{}, wrongShape("root is %s, not a CAP alert", brief(root.name))
	}
	m := Message{
		Identifier: root.str("identifier", inCAP), Sender: root.str("sender", inCAP), Sent: instant(root.str("sent", inCAP)),
		Scope: known(root.str("scope", inCAP), "Public", "Restricted", "Private"), Note: root.str("note", inCAP),
	}
	if m.Identifier == "" || m.Sender == "" || m.Sent.IsZero() {
		return Message{}, wrongShape("a message without identifier, sender or time of sending")
	}
	status, kind := root.str("status", inCAP), root.str("msgType", inCAP)
	m.Status, m.Type = known(status, statuses...), known(kind, types...)
	if !slices.Contains(statuses, m.Status) {
		return Message{}, wrongShape("a message of status %s", brief(status))
	}
	if !slices.Contains(types, m.Type) {
		return Message{}, wrongShape("a message of type %s", brief(kind))
	}
	if m.References = references(root.str("references", inCAP)); len(m.References) > maxReferences {
		return Message{}, &Refused{Why: TooLarge, Detail: "more references than any message needs"}
	}
	infos := root.all("info", inCAP)
	if len(infos) > maxInfos {
		return Message{}, &Refused{Why: TooLarge, Detail: "more infos than any message needs"}
	}
	for _, e := range infos {
		m.Infos = append(m.Infos, readInfo(e))
	}
	return m, nil
}

var (
	statuses = []string{"Actual", "Exercise", "System", "Test", "Draft"}
	types    = []string{"Alert", "Update", "Cancel", "Ack", "Error"}
)

// known spells a word as the standard does; a word it does not know stays.
func known(s string, words ...string) string {
	for _, w := range words {
		if strings.EqualFold(s, w) {
			return w
		}
	}
	return s
}

// references reads "sender,identifier,sent" groups with space between. A lone word is taken
// for an identifier.
func references(s string) []Reference {
	var out []Reference
	for _, f := range strings.Fields(s) {
		parts := strings.Split(f, ",")
		switch len(parts) {
		case 1:
			out = append(out, Reference{Identifier: f})
		case 2:
			out = append(out, Reference{Sender: parts[0], Identifier: parts[1]})
		default: // an identifier must have no comma; some have
			n := len(parts) - 1
			out = append(out, Reference{Sender: parts[0], Identifier: strings.Join(parts[1:n], ","), Sent: instant(parts[n])})
		}
	}
	return out
}

func readInfo(e *element) Info {
	in := Info{
		Language: e.str("language", inCAP), Categories: e.strs("category", inCAP), Event: e.str("event", inCAP),
		Urgency:   known(e.str("urgency", inCAP), "Immediate", "Expected", "Future", "Past", "Unknown"),
		Severity:  known(e.str("severity", inCAP), "Extreme", "Severe", "Moderate", "Minor", "Unknown"),
		Certainty: known(e.str("certainty", inCAP), "Observed", "Likely", "Possible", "Unlikely", "Unknown"),
		Codes:     readPairs(e.all("eventCode", inCAP), inCAP),
		Effective: instant(e.str("effective", inCAP)), Onset: instant(e.str("onset", inCAP)), Expires: instant(e.str("expires", inCAP)),
		SenderName: e.str("senderName", inCAP), Headline: e.str("headline", inCAP),
		Description: e.str("description", inCAP), Instruction: e.str("instruction", inCAP),
		Parameters: readPairs(e.all("parameter", inCAP), inCAP),
	}
	if in.Language == "" {
		in.Language = "en-US" // CAP 1.2, 3.2.2
	}
	for _, r := range e.strs("responseType", inCAP) {
		in.Responses = append(in.Responses, known(r, "Shelter", "Evacuate", "Prepare", "Execute", "Avoid", "Monitor", "Assess", "AllClear", "None"))
	}
	for _, a := range e.all("area", inCAP) {
		in.Areas = append(in.Areas, readArea(a, inCAP))
	}
	return in
}

// readPairs reads elements that hold a valueName and a value. Old indexes put several of them
// one after another into one element.
func readPairs(list []*element, spoken func(string) bool) []Pair {
	var out []Pair
	for _, e := range list {
		name := ""
		for _, k := range e.kids {
			switch {
			case !spoken(k.space):
			case k.name == "valueName":
				name = string(bytes.TrimSpace(k.text))
			case k.name == "value":
				out = append(out, Pair{Name: name, Value: string(bytes.TrimSpace(k.text))})
			}
		}
	}
	return out
}

// readArea reads the areaDesc, polygons, circles and geocodes below e. An empty element says
// nothing and spoils nothing; some senders write one when they mean none.
func readArea(e *element, spoken func(string) bool) Area {
	a := Area{Desc: e.str("areaDesc", spoken)}
	for _, s := range e.strs("polygon", spoken) {
		if r, ok := readRing(s); ok {
			a.Polygons = append(a.Polygons, r)
		} else {
			a.Unread++
		}
	}
	for _, s := range e.strs("circle", spoken) {
		if c, ok := readCircle(s); ok {
			a.Circles = append(a.Circles, c)
		} else {
			a.Unread++
		}
	}
	for _, p := range readPairs(e.all("geocode", spoken), spoken) {
		if p.Value != "" {
			a.Codes = append(a.Codes, p)
		}
	}
	return a
}
