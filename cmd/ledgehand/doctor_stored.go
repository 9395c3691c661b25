package main

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/session"
	"ledgehand/session/redisstore"
)

// deadLetter is what the operator may see of one: no word of what it says.
type deadLetter struct {
	id, why string
	got     time.Time
}

// holdings is what is stored, counted.
type holdings struct {
	records map[string]int // by kind
	bodies  map[redisstore.BodyKind]int
	keys    map[string]int // bodies by the key they are sealed with
	unknown map[string]int // of those, by a key that is not in the file
	damaged map[string]int // of live bodies, by what they are
	garbled map[string]int // opened, but not what their kind should be
	newer   map[string]int // with fields that this version would drop
	dead    []deadLetter
}

// stored opens and decodes everything there is.
func (d *doctor) stored(ctx context.Context, store *redisstore.Store, ring *redisstore.Keyring) {
	h := holdings{records: map[string]int{}, bodies: map[redisstore.BodyKind]int{}, keys: map[string]int{},
		unknown: map[string]int{}, damaged: map[string]int{}, garbled: map[string]int{}, newer: map[string]int{}}
	for s := range session.Shard(session.Shards) {
		if err := store.Bodies(ctx, s, func(b redisstore.Body) error { h.add(b, ring.IDs()); return nil }); err != nil {
			d.fail("stored", err.Error(), "run this again")
			return
		}
	}
	d.ok("records", "%s", counts(h.records))
	d.ok("queues", "%d messages to be sent, %d letters to be read", h.bodies[redisstore.EntryBody], h.bodies[redisstore.LetterBody])
	for _, id := range slices.Sorted(maps.Keys(h.unknown)) {
		d.fail("keys", fmt.Sprintf("%d bodies are sealed with key %s, which is not in the key file", h.unknown[id], id), "put that key into the file, as a further line")
	}
	if len(h.damaged) > 0 {
		d.fail("stored", "damaged, or moved from where they were sealed: "+counts(h.damaged), "put a backup back (deploy/README.md), or write to the developers with the log of serve")
	}
	if len(h.garbled) > 0 {
		d.fail("stored", "open, but cannot be read: "+counts(h.garbled), "start the version again that wrote them")
	}
	if len(h.newer) > 0 {
		d.warn("stored", "written by a newer version, with fields this one would drop: "+counts(h.newer), "do not serve with this version")
	}
	for i, id := range ring.IDs() {
		switch n := h.keys[id]; {
		case i == 0:
			d.ok("keys", "%s seals; %d bodies are sealed with it", id, n)
		case n == 0:
			d.ok("keys", "%s is not used any more; its line can go once no backup needs it", id)
		default:
			d.ok("keys", "%s is older; %d bodies are sealed with it (ledgehand reseal)", id, n)
		}
	}
	d.deadLetters(h.dead)
}

func (h *holdings) add(b redisstore.Body, ids []string) {
	h.bodies[b.Kind]++
	h.keys[b.KeyID]++
	what := string(b.Kind)
	if b.Kind == redisstore.RecordBody {
		what = kindShown(b.Name)
		h.records[what]++
	}
	if b.Kind == redisstore.ReasonBody {
		h.dead = append(h.dead, deadLetter{id: idShown(b.Name), why: whyShown(string(b.Plain)), got: b.Got})
	}
	switch {
	case b.Err != nil && b.KeyID != "" && !slices.Contains(ids, b.KeyID):
		h.unknown[b.KeyID]++
		return
	case b.Err != nil:
		h.damaged[what]++
		return
	}
	switch b.Kind {
	case redisstore.RecordBody:
		if _, err := session.Decode(b.Name, b.Plain, true); err == nil {
			return
		}
		if _, err := session.Decode(b.Name, b.Plain, false); err == nil {
			h.newer[what]++
			return
		}
		h.garbled[what]++
	case redisstore.EntryBody:
		var e session.Entry
		var m chat.Message
		if json.Unmarshal(b.Plain, &e) != nil || json.Unmarshal(e.Body, &m) != nil {
			h.garbled[what]++
		}
	}
}

// newestDead is how many dead letters are told of when the list is not asked for.
const newestDead = 3

func (d *doctor) deadLetters(dead []deadLetter) {
	const name = "dead letters"
	if len(dead) == 0 {
		d.ok(name, "none")
		return
	}
	slices.SortFunc(dead, func(a, b deadLetter) int { return b.got.Compare(a.got) })
	shown := dead
	if !d.listDead {
		shown = dead[:min(newestDead, len(dead))]
	}
	var says strings.Builder
	fmt.Fprintf(&says, "%d that nobody could read; the newest:", len(dead))
	for _, l := range shown {
		fmt.Fprintf(&says, "\n     %s  %s  %s", l.got.Format(time.RFC3339), l.id, l.why)
	}
	do := "look for their ids in the log of serve; what people meant by them had no effect, and they were told so where it could be done"
	if len(shown) < len(dead) {
		do += " (all of them: ledgehand doctor -dead)"
	}
	d.warn(name, says.String(), do)
}

// counts lists numbers by name.
func counts(by map[string]int) string {
	if len(by) == 0 {
		return "none"
	}
	var out []string
	for _, name := range slices.Sorted(maps.Keys(by)) {
		out = append(out, fmt.Sprintf("%d %s", by[name], name))
	}
	return strings.Join(out, ", ")
}

// kindShown is a record's kind: keys hold people's ids and ledges' names.
func kindShown(key string) string {
	kind := session.KindOf(key)
	if _, ok := session.Kinds()[kind]; !ok {
		return "of no known kind"
	}
	return kind
}

var updateID = regexp.MustCompile(`^u?\d+$`)

// idShown is a letter's id where it is the number of an update; our own letters' ids hold chats and crews.
func idShown(id string) string {
	if updateID.MatchString(id) {
		return id
	}
	kind, _, _ := strings.Cut(id, ":")
	switch kind + ":" {
	case session.LookPrefix:
		return "(a look of ours)"
	}
	return "(a note of ours)"
}

var (
	quotedText = regexp.MustCompile("\"[^\"]*\"?|`[^`]*`?|“[^”]*”?")
	pathText   = regexp.MustCompile(`(\w+)/\S+`)
	numberText = regexp.MustCompile(`[-+]?\d+[.,]\d+|[-+]?\d{4,}`)
)

// whyShown is a reason without what could be somebody's: quotations, record keys, coordinates, ids, and the trace of a panic.
func whyShown(why string) string {
	why, _, _ = strings.Cut(why, "\n")
	why = quotedText.ReplaceAllString(why, "…")
	why = pathText.ReplaceAllString(why, "$1/…")
	why = numberText.ReplaceAllString(why, "#")
	if r := []rune(why); len(r) > 160 {
		why = string(r[:159]) + "…"
	}
	if why == "" {
		return "(the reason does not open)"
	}
	return why
}
