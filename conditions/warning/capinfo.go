package warning

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"ledgehand/conditions/measure"
)

// hazard is what the infos of one message say about one thing: as many blocks as languages.
type hazard struct {
	key    string
	blocks []Info
}

// hazards sorts the infos of a message: translations of each other become one hazard, and so
// do blocks that say the same of different areas.
func (m Message) hazards() []hazard {
	var out []hazard
	for _, in := range m.Infos {
		key := in.key()
		i := slices.IndexFunc(out, func(h hazard) bool { return h.key == key && h.takes(in) })
		if i < 0 {
			out = append(out, hazard{key: key, blocks: []Info{in}})
			continue
		}
		out[i].blocks = append(out[i].blocks, in)
	}
	// Second: the same words for further ground.
	var merged []hazard
next:
	for _, h := range out {
		for i := range merged {
			if merged[i].key == h.key && sameWords(merged[i].blocks, h.blocks) {
				for b := range h.blocks {
					merged[i].blocks[b].Areas = slices.Concat(merged[i].blocks[b].Areas, h.blocks[b].Areas)
				}
				continue next
			}
		}
		merged = append(merged, h)
	}
	return merged
}

// key has what translations share. The name of the event and the words are not in it.
func (in Info) key() string {
	coded := slices.Clone(in.Codes)
	for _, p := range in.Parameters {
		if n := strings.ToLower(p.Name); n == "awareness_type" || n == "awareness_level" {
			coded = append(coded, Pair{n, strings.ToLower(p.Value)})
		}
	}
	return fmt.Sprint(in.Onset.Unix(), in.Expires.Unix(), in.Categories, in.Responses, in.Urgency, in.Severity, in.Certainty, coded)
}

// takes says whether a block may be one more language of the hazard: a language it does not
// have yet, and the same ground, or none drawn in one of them.
func (h hazard) takes(in Info) bool {
	for _, b := range h.blocks {
		if strings.EqualFold(b.Language, in.Language) {
			return false
		}
	}
	return bare(in.Areas) || slices.ContainsFunc(h.blocks, func(b Info) bool { return bare(b.Areas) || sameGround(b.Areas, in.Areas) })
}

func bare(areas []Area) bool {
	return !slices.ContainsFunc(areas, func(a Area) bool { return !a.bare() })
}

func sameGround(a, b []Area) bool {
	return slices.EqualFunc(a, b, func(a, b Area) bool {
		return a.Unread == b.Unread && slices.Equal(a.Codes, b.Codes) && slices.Equal(a.Circles, b.Circles) &&
			slices.EqualFunc(a.Polygons, b.Polygons, func(a, b Ring) bool { return slices.Equal(a, b) })
	})
}

func sameWords(a, b []Info) bool {
	return slices.EqualFunc(a, b, func(a, b Info) bool {
		return a.Language == b.Language && a.Event == b.Event && a.Headline == b.Headline && a.Description == b.Description &&
			a.Instruction == b.Instruction && a.Effective.Equal(b.Effective) && slices.Equal(a.Parameters, b.Parameters)
	})
}

// choose takes the block in the reader's language (the first of theirs that is there), else
// the English one, else the first.
func (h hazard) choose(langs []string) Info {
	for _, want := range slices.Concat(langs, []string{"en"}) {
		if want == "" {
			continue
		}
		for _, match := range []func(string) bool{
			func(l string) bool { return strings.EqualFold(l, want) },
			func(l string) bool { return strings.EqualFold(primary(l), primary(want)) },
		} {
			if i := slices.IndexFunc(h.blocks, func(b Info) bool { return match(b.Language) }); i >= 0 {
				return h.blocks[i]
			}
		}
	}
	return h.blocks[0]
}

// primary is the first part of a language tag: "pt" of "pt-PT".
func primary(tag string) string {
	p, _, _ := strings.Cut(strings.ReplaceAll(tag, "_", "-"), "-")
	return p
}

// lie places a hazard by the areas of all its blocks. A translation without shapes of its own
// says nothing about where.
func (h hazard) lie(places []measure.Position, codes Geocodes) lie {
	var areas []Area
	for i, b := range h.blocks {
		if !bare(b.Areas) && !slices.ContainsFunc(h.blocks[:i], func(o Info) bool { return sameGround(o.Areas, b.Areas) }) {
			areas = append(areas, b.Areas...)
		}
	}
	return liesIn(areas, places, codes)
}

// alert is a hazard as this package judges it. n counts the hazards of the message from 0.
func (m Message) alert(in Info, n int) Alert {
	a := Alert{
		ID: m.Identifier, Event: in.Event, Headline: in.Headline, Text: in.Description, Sender: in.SenderName,
		Status: m.Status, MessageType: m.Type, Urgency: in.Urgency, Response: response(in.Responses),
		Sent: m.Sent, Onset: in.Onset, Expires: in.Expires, Ends: in.ends(),
	}
	if n > 0 { // two hazards of one message must not be taken for one
		a.ID = fmt.Sprintf("%s#%d", m.Identifier, n+1)
	}
	if a.Sender == "" {
		a.Sender = m.Sender
	}
	if in.Instruction != "" {
		a.Text = strings.TrimLeft(a.Text+"\n\n"+in.Instruction, "\n")
	}
	// CAP 1.2: effective is sent if not given; an event without an onset begins with it.
	if a.Onset.IsZero() && in.Effective.After(m.Sent) {
		a.Onset = in.Effective
	}
	if !a.Expires.After(m.Sent) { // dead on arrival: a mistake of the clock, and no end
		a.Expires = time.Time{}
	}
	for _, r := range m.References {
		a.Replaces = append(a.Replaces, r.Identifier)
	}
	var where []string
	said := map[string]bool{"": true}
	for _, area := range in.Areas {
		if !said[area.Desc] {
			where = append(where, area.Desc)
			said[area.Desc] = true
		}
		for _, c := range area.Codes {
			a.Codes = append(a.Codes, c.Value)
		}
	}
	a.Area = strings.Join(where, "; ")
	if a.Headline == "" {
		a.Headline = m.Note
	}
	return a
}

// ends is the end of the event where the sender gives one beside that of the message: CAP has
// no element for it, the US service has a parameter.
func (in Info) ends() time.Time {
	for _, p := range in.Parameters {
		if strings.EqualFold(p.Name, "eventEndingTime") {
			return instant(p.Value)
		}
	}
	return time.Time{}
}

// response is AllClear if nothing beside it asks people to act, else the first that is not.
func response(list []string) string {
	clear := false
	for _, r := range list {
		switch r {
		case "AllClear":
			clear = true
		case "Monitor", "Assess", "None":
		default:
			return r
		}
	}
	if clear {
		return "AllClear"
	}
	if len(list) > 0 {
		return list[0]
	}
	return ""
}
