package warning

import (
	"slices"
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
		ids[m.Identifier] = true
		links[m.Link] = m.Link != ""
	}
	var groups [][]Entry
	byMessage := map[string][]int{}
	for _, e := range x.Entries {
		if ids[e.Identifier] || ids[e.ID] || links[e.Link] {
			continue
		}
		key := e.message()
		if key == "" { // it may be about anything
			groups = append(groups, []Entry{e})
			continue
		}
		i := slices.IndexFunc(byMessage[key], func(i int) bool { return e.beside(groups[i]) })
		if i >= 0 {
			i = byMessage[key][i]
			groups[i] = append(groups[i], e)
			continue
		}
		byMessage[key] = append(byMessage[key], len(groups))
		groups = append(groups, []Entry{e})
	}
	out := make([]Judged, 0, len(groups))
	for _, g := range groups {
		out = append(out, judgeEntries(g, places, now, codes))
	}
	slices.SortFunc(out, gravestFirst)
	return slices.CompactFunc(out, func(a, b Judged) bool { return gravestFirst(a, b) == 0 })
}

// message names the message an entry is about; empty if it does not say.
func (e Entry) message() string {
	switch {
	case e.Identifier != "":
		return "i" + e.Identifier
	case e.Link != "":
		return "l" + e.Link
	case e.ID != "":
		return "e" + e.ID
	}
	return ""
}

// beside says whether an entry may be one more language or area of the hazard that others of
// the same message are about: no time of theirs differs. Where no identifier says that it is
// the same message (some services link all entries to one page), the name must not either.
func (e Entry) beside(others []Entry) bool {
	agree := func(a, b time.Time) bool { return a.IsZero() || b.IsZero() || a.Equal(b) }
	return !slices.ContainsFunc(others, func(o Entry) bool {
		return !agree(e.Onset, o.Onset) || !agree(e.Effective, o.Effective) || !agree(e.Expires, o.Expires) || e.Status != o.Status && e.Status != "" && o.Status != "" ||
			e.Identifier == "" && e.Event != o.Event
	})
}

// judgeEntries makes of entries about one hazard what can be made of them; where they differ
// in the name, the gravest is shown. What does not say that it is a test is not one; what does
// not say when it ends is not confirmed for as long as the index has it.
func judgeEntries(group []Entry, places []measure.Position, now time.Time, codes Geocodes) Judged {
	h, m := hazard{}, Message{}
	var best Info
	for _, e := range group {
		in := Info{Language: "und", Event: e.Event, Headline: e.Title, Severity: e.Severity,
			Effective: e.Effective, Onset: e.Onset, Expires: e.Expires, Areas: []Area{e.Area}}
		for _, b := range h.blocks { // what one entry leaves out another may have
			in.Effective, in.Onset, in.Expires = later(in.Effective, b.Effective), later(in.Onset, b.Onset), later(in.Expires, b.Expires)
		}
		h.blocks = append(h.blocks, in)
		m.Sent = later(m.Sent, e.Updated)
		m.Identifier, m.Status, m.Type, m.Scope = first(m.Identifier, e.Identifier), first(m.Status, e.Status), first(m.Type, e.Type), first(m.Scope, e.Scope)
		one := func(in Info) int { return rank(hazard{blocks: []Info{in}}.concern()) }
		if best.Event == "" || in.Event != "" && one(in) < one(best) {
			best.Event, best.Headline = in.Event, in.Headline
		}
		best.Language, best.Effective, best.Onset, best.Expires = in.Language, in.Effective, in.Onset, in.Expires
		best.Areas = append(best.Areas, e.Area)
	}
	m.Identifier = first(m.Identifier, group[0].ID)
	if !best.Expires.IsZero() && !m.Sent.Before(best.Expires) { // stamped anew at every serving: not the time of sending
		m.Sent = time.Time{}
	}
	if !isKnown(m.Status, statuses) {
		m.Status = "Actual"
	}
	if !isKnown(m.Type, types) {
		m.Type = "Alert"
	}
	a := m.alert(best, 0)
	j := Judged{Alert: a, Standing: m.standing(a, now), Concern: h.concern(), Covers: h.lie(places, codes).covers()}
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
