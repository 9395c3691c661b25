package session

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"

	"ledgehand/session/after"
	"ledgehand/session/berley"
	"ledgehand/session/catch"
	"ledgehand/session/lookout"
	"ledgehand/session/notice"
	"ledgehand/session/outing"
	"ledgehand/session/trip"
	"ledgehand/session/watch"
)

// kinds are all kinds of record, by the first part of their keys, with the stored form this version writes.
var kinds = map[string]struct {
	version int
	empty   func() any
}{
	"crew":    {crewVersion, func() any { return new(Crew) }},
	"person":  {1, func() any { return new(Person) }},
	"outing":  {outing.Version, func() any { return new(outing.Outing) }},
	"watch":   {watch.Version, func() any { return new(watch.Watch) }},
	"trip":    {trip.Version, func() any { return new(trip.Trip) }},
	"catch":   {catch.Version, func() any { return new(catch.Day) }},
	"vote":    {trip.VoteVersion, func() any { return new(trip.Vote) }},
	"lookout": {lookout.Version, func() any { return new(lookout.Lookout) }},
	"invites": {1, func() any { return new(MailInvites) }},
	"after":   {after.Version, func() any { return new(after.Report) }},
	"moved":   {0, func() any { return new(moved) }}, // no version in it
	"rules":   {rulesVersion, func() any { return new(Rules) }},
	"sea":     {1, func() any { return new(SeaNote) }},
	"berley":  {berley.Version, func() any { return new(berley.Recipe) }},
	"notice":  {notice.Version, func() any { return new(notice.Notice) }},
}

// Kinds are the kinds of record there are, with the version of the stored form that is written now (0: it has none).
func Kinds() map[string]int {
	all := map[string]int{}
	for kind, k := range kinds {
		all[kind] = k.version
	}
	return all
}

// KindOf is the kind of a record, by its key.
func KindOf(key string) string {
	kind, _, _ := strings.Cut(key, "/")
	return kind
}

// Decode reads a stored record for checks: a pointer to the struct of its kind. strict refuses what this version would
// drop without a word if it wrote the record again: fields it does not know.
func Decode(key string, body []byte, strict bool) (any, error) {
	kind := KindOf(key)
	k, ok := kinds[kind]
	if !ok {
		return nil, fmt.Errorf("no kind of record is called %q", kind)
	}
	v := k.empty()
	d := json.NewDecoder(bytes.NewReader(body))
	if strict {
		d.DisallowUnknownFields()
	}
	if err := d.Decode(v); err != nil {
		return nil, fmt.Errorf("decode a %s: %w", kind, err)
	}
	return v, nil
}
