package warning

import (
	"slices"
	"strings"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/measure"
)

// IndexOld is when an index says nothing any more. What its time counts differs: the moment of
// serving, or the last change, and a quiet coast must not turn unknown within the hour. Our
// judgement.
const IndexOld = 24 * time.Hour

// Why an index leaves it unknown whether there are warnings; the words are those of the feeds.
const (
	TooOld     = "too old"
	Incomplete = "incomplete"
)

// Worth says whether the silence of the index means anything at now: empty, or TooOld if it is
// not dated, dated more than IndexOld back, or as far ahead.
func (x Index) Worth(now time.Time) string {
	if x.Updated.IsZero() || now.Sub(x.Updated).Abs() > IndexOld {
		return TooOld
	}
	return ""
}

// Wanted lists the entries to fetch the messages of, each message once: those that are for the
// public, in the order of the index. Nothing is left out for having expired: the event may
// outlast its message, and a Cancel may be the last word on another.
func (x Index) Wanted() []Entry {
	seen := map[string]bool{}
	var out []Entry
	for _, e := range x.Entries {
		if e.Link == "" || e.Scope == "Restricted" || e.Scope == "Private" || e.Status != "" && e.Status != "Actual" {
			continue
		}
		if seen["l"+e.Link] || e.Identifier != "" && seen["i"+e.Identifier] {
			continue
		}
		seen["l"+e.Link], seen["i"+e.Identifier] = true, true
		out = append(out, e)
	}
	return out
}

// Judge says what an index and the messages fetched for it mean for a place; places, langs and
// codes are those of JudgeCAP. A Message answers an entry with its Identifier or its Link. An
// entry whose message is not there is judged by what the index says of it, shown, and leaves
// the state unknown, even for a day after it has expired: the event may outlast its message.
// So does an index that is too old. None is said only by an index that is fresh, and of which
// everything that may be here was read.
func (x Index) Judge(messages []Message, places []measure.Position, now time.Time, langs []string, codes Geocodes) conditions.Warnings {
	w := conditions.Warnings{State: conditions.WarningsNone, Source: x.Title, CheckedAt: now, Why: x.Worth(now)}
	unread := x.unread(messages, places, now, codes)
	for _, j := range unread {
		maybe := j.Standing.Shown() || j.Standing == Over && now.Before(j.Expires.Add(Lifetime))
		if w.Why == "" && maybe && (j.Covers == nil || *j.Covers) {
			w.Why = Incomplete
		}
	}
	all := append(JudgeCAP(messages, places, now, langs, codes), unread...)
	slices.SortFunc(all, gravestFirst)
	for _, j := range all {
		if j.Standing.Shown() && (j.Covers == nil || *j.Covers) {
			w.State = conditions.WarningsInForce
			w.List = append(w.List, j.Warning())
		}
	}
	if w.Why != "" {
		w.State = conditions.WarningsUnknown
	}
	return w
}

// JudgeEntries judges an index alone, without any of its messages, by what it says of them;
// places and codes are those of JudgeCAP. It cannot see what takes back what, and indexes are
// sparing with areas: it is for who has nothing better.
func (x Index) JudgeEntries(places []measure.Position, now time.Time, codes Geocodes) []Judged {
	return x.unread(nil, places, now, codes)
}

// unread judges the entries whose messages are not there.
func (x Index) unread(messages []Message, places []measure.Position, now time.Time, codes Geocodes) []Judged {
	ids, links := map[string]bool{}, map[string]bool{}
	for _, m := range messages {
		ids[m.Identifier], links[m.Link] = m.Identifier != "", m.Link != ""
	}
	g := groups{byKey: map[string]int{}}
	for _, e := range x.Entries {
		if !ids[e.Identifier] && !ids[e.ID] && !links[e.Link] {
			g.add(e)
		}
	}
	out := make([]Judged, 0, len(g.list))
	for _, entries := range g.list {
		out = append(out, judgeEntries(entries, places, now, codes))
	}
	slices.SortFunc(out, gravestFirst)
	return slices.CompactFunc(out, func(a, b Judged) bool { return gravestFirst(a, b) == 0 })
}

// groups puts entries together that are about one hazard.
type groups struct {
	list  [][]Entry
	byKey map[string]int
}

// add takes an entry for one more language or area of a hazard if others of the same message
// have the same end, and the same onset where both give one. Where no identifier says that it
// is the same message (some services link all entries to one page), the name of the event has
// to be the same too. An entry that names no message may be about anything.
func (g *groups) add(e Entry) {
	key := ""
	switch {
	case e.Identifier != "":
		key = "identifier " + e.Identifier
	case e.Link != "":
		key = "link " + e.Link + " " + e.Event
	case e.ID != "":
		key = "id " + e.ID + " " + e.Event
	default:
		g.list = append(g.list, []Entry{e})
		return
	}
	key += " " + first(e.Status, "Actual") + " " + e.Expires.String()
	onset := key + " from " + e.Onset.String()
	i, ok := g.byKey[onset]
	if !ok {
		if j, any := g.byKey[key]; any && (e.Onset.IsZero() || g.list[j][0].Onset.IsZero()) {
			i, ok = j, true
		}
	}
	if !ok {
		i = len(g.list)
		g.list = append(g.list, nil)
		g.byKey[key] = i
	}
	g.byKey[onset] = i
	g.list[i] = append(g.list[i], e)
}

// judgeEntries makes of entries about one hazard what can be made of them; where they differ
// in the name, the gravest is shown. What does not say that it is a test is not one; what does
// not say when it ends is not confirmed for as long as the index has it.
func judgeEntries(group []Entry, places []measure.Position, now time.Time, codes Geocodes) Judged {
	var m Message
	in := Info{Language: "und"}
	concern := conditions.Concern("")
	judged := map[string]conditions.Concern{} // by what the concern depends on
	for i, e := range group {
		named := Info{Language: in.Language, Event: e.Event}
		if nameless(strings.ToLower(e.Event)) {
			named.Headline = e.Title
		}
		c, ok := judged[named.Event+"\n"+named.Headline]
		if !ok {
			c = hazard{blocks: []Info{named}}.concern()
			judged[named.Event+"\n"+named.Headline] = c
		}
		if i == 0 || e.Event != "" && (in.Event == "" || rank(c) < rank(concern)) {
			in.Event, in.Headline, concern = e.Event, e.Title, c
		}
		m.Sent, in.Onset, in.Effective, in.Expires = later(m.Sent, e.Updated), later(in.Onset, e.Onset), later(in.Effective, e.Effective), e.Expires
		m.Identifier, m.Status, m.Type, m.Scope = first(m.Identifier, e.Identifier), first(m.Status, e.Status), first(m.Type, e.Type), first(m.Scope, e.Scope)
		in.Areas = append(in.Areas, e.Area)
	}
	m.Identifier = first(m.Identifier, group[0].ID)
	if !in.Expires.IsZero() && !m.Sent.Before(in.Expires) { // stamped anew at every serving: not the time of sending
		m.Sent = time.Time{}
	}
	if !slices.Contains(statuses, m.Status) {
		m.Status = "Actual"
	}
	if !slices.Contains(types, m.Type) {
		m.Type = "Alert"
	}
	a := m.alert(in, 0)
	drawn := slices.DeleteFunc(slices.Clone(in.Areas), Area.bare)
	j := Judged{Alert: a, Standing: m.standing(a, now), Concern: concern, Covers: liesIn(drawn, places, codes).covers()}
	if j.Standing == Over && a.Expires.IsZero() {
		j.Standing = NotConfirmed
	}
	return j
}

func first(a, b string) string {
	if a != "" {
		return a
	}
	return b
}
