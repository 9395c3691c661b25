package warning

import (
	"bytes"
	"fmt"
	"strings"
	"time"
)

// Index is a list of messages that a service has out: Atom (RFC 4287) or RSS 2.0, with or
// without elements of CAP in its entries. Times are instants in UTC, zero if not given.
type Index struct {
	Form    string // atom, rss
	Title   string
	Updated time.Time // the latest the index says of itself or of an entry
	Entries []Entry
}

// Entry is what an index says of one message, or of one info or area of it: several entries
// may be about the same message.
type Entry struct {
	ID, Title  string
	Link       string // where the message is, as it was sent: not to be fetched without a look at the host
	Identifier string // of the message, if the index gives it
	Status     string
	Type       string
	Scope      string
	Event      string
	Severity   string
	Updated    time.Time // of the entry; its time of sending if it gives that
	Effective  time.Time
	Onset      time.Time
	Expires    time.Time
	Area       Area
}

// maxEntries is beyond what an index of a continent has on a stormy day. Our judgement.
const maxEntries = 20_000

const (
	atomNamespace = "http://www.w3.org/2005/Atom"
	atomType      = "application/cap+xml"
)

func inAtom(space string) bool { return space == atomNamespace }
func inRSS(space string) bool  { return space == "" }

// anyCAP is inCAP for the entries of an index, where prefixes are used carelessly: what is in
// the namespace of the index itself counts as well below an element of CAP.
func anyCAP(space string) bool {
	return inCAP(space) || space == atomNamespace || strings.HasPrefix(space, "http://www.incident.com/cap/")
}

// DecodeIndex reads an index. It refuses (a *Refused) what is neither Atom nor RSS from end to
// end; a CAP message is no index, and read as one it would be an empty one. An index without
// entries is well-formed: Index.Judge says what it is worth.
func DecodeIndex(raw []byte) (Index, error) {
	root, err := readXML(raw, MaxIndex)
	if err != nil {
		return Index{}, err
	}
	switch {
	case root.name == "feed" && inAtom(root.space):
		return bounded(readAtom(root))
	case root.name == "rss" && inRSS(root.space):
		channels := root.all("channel", inRSS)
		if len(channels) != 1 {
			return Index{}, wrongShape("an RSS document with %d channels", len(channels))
		}
		return bounded(readRSS(channels[0]))
	}
	return Index{}, wrongShape("root is %s, not an index", brief(root.name))
}

func bounded(x Index) (Index, error) {
	if len(x.Entries) > maxEntries {
		return Index{}, &Refused{Why: TooLarge, Detail: fmt.Sprintf("%d entries (limit: %d)", len(x.Entries), maxEntries)}
	}
	return x, nil
}

func readAtom(root *element) Index {
	x := Index{Form: "atom", Title: root.str("title", inAtom), Updated: instant(root.str("updated", inAtom))}
	for _, e := range root.all("entry", inAtom) {
		t := Entry{ID: e.str("id", inAtom), Title: e.str("title", inAtom), Link: atomLink(e)}
		t.Updated = later(instant(e.str("updated", inAtom)), instant(e.str("published", inAtom)))
		x.add(t, e)
	}
	return x
}

// atomLink is the link to the message: the one marked as such, else the one to the entry itself.
func atomLink(e *element) string {
	best, rank := "", 0
	for _, l := range e.all("link", inAtom) {
		r := 1
		switch rel := l.attr("rel"); {
		case strings.HasPrefix(l.attr("type"), atomType):
			r = 3
		case rel == "" || rel == "alternate":
			r = 2
		}
		if href := l.attr("href"); href != "" && r > rank {
			best, rank = href, r
		}
	}
	return best
}

func readRSS(c *element) Index {
	x := Index{Form: "rss", Title: c.str("title", inRSS)}
	// Either may be stuck for years while the other moves.
	x.Updated = later(instant(c.str("pubDate", inRSS)), instant(c.str("lastBuildDate", inRSS)))
	for _, e := range c.all("item", inRSS) {
		t := Entry{ID: e.str("guid", inRSS), Title: e.str("title", inRSS), Link: e.str("link", inRSS), Updated: instant(e.str("pubDate", inRSS))}
		if t.Link == "" {
			if g := e.first("guid", inRSS); g != nil && g.attr("isPermaLink") != "false" {
				t.Link = t.ID
			}
		}
		x.add(t, e)
	}
	return x
}

// add puts an entry in with what CAP has in it. What was sent later than the index says of
// itself shows that the index is at least as new.
func (x *Index) add(t Entry, e *element) {
	str := func(name string) string {
		// The prefixed one first: RSS and Atom have elements of the same names.
		for _, k := range e.kids {
			if k.name == name && k.space != "" && k.space != atomNamespace && anyCAP(k.space) {
				return string(bytes.TrimSpace(k.text))
			}
		}
		return ""
	}
	t.Identifier = str("identifier")
	t.Status = known(str("status"), statuses...)
	if t.Type = str("msgType"); t.Type == "" {
		t.Type = str("message_type")
	}
	t.Type = known(t.Type, types...)
	t.Scope = known(str("scope"), "Public", "Restricted", "Private")
	t.Event, t.Severity = str("event"), known(str("severity"), "Extreme", "Severe", "Moderate", "Minor", "Unknown")
	t.Effective, t.Onset, t.Expires = instant(str("effective")), instant(str("onset")), instant(str("expires"))
	t.Area = readArea(e, anyCAP)
	x.Updated = later(x.Updated, t.Updated)
	if sent := instant(str("sent")); !sent.IsZero() {
		x.Updated, t.Updated = later(x.Updated, sent), sent
	}
	// Old indexes list several codes in one value.
	var codes []Pair
	for _, c := range t.Area.Codes {
		for _, v := range strings.Fields(c.Value) {
			codes = append(codes, Pair{Name: c.Name, Value: v})
		}
	}
	t.Area.Codes = codes
	x.Entries = append(x.Entries, t)
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}
