package main

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/telegram"
	"ledgehand/conditions/ledge"
	"ledgehand/session"
	"ledgehand/session/outing"
)

// What earlier versions stored, as they stored it. A file is never changed once it is there: -update only adds those
// that are missing. Whoever changes what is written raises the version and adds, or adds a state.
const storedDir = "../../testdata/stored"

// storedFile is one stored thing.
type storedFile struct {
	Kind    string          `json:"kind"`
	Version int             `json:"version"`
	State   string          `json:"state"`
	Key     string          `json:"key,omitempty"` // of a record
	Body    json.RawMessage `json:"body"`          // as it lies sealed in the store
	Then    []string        `json:"then,omitempty"`
	Reads   json.RawMessage `json:"reads,omitempty"` // of an update: the request it is
}

func (f storedFile) name() string { return fmt.Sprintf("%s.%d.%s.json", f.Kind, f.Version, f.State) }

// The kinds that are no records, and what decodes them.
var otherKinds = map[string]func() any{
	"entry":   func() any { return new(session.Entry) },
	"message": func() any { return new(chat.Message) },
	"note":    func() any { return new(chat.Outcome) },
	"deaf":    func() any { return new(chat.Deaf) },
	"look":    func() any { return new(chat.Look) },
	"card":    func() any { return new(ledge.Card) },
}

var storedAt = time.Date(2027, 3, 14, 15, 0, 0, 0, time.UTC)

// strict decodes a body and refuses what it does not know.
func (f storedFile) strict() (any, error) {
	make, other := otherKinds[f.Kind]
	if !other {
		return session.Decode(f.Key, f.Body, true)
	}
	v := make()
	d := json.NewDecoder(bytes.NewReader(f.Body))
	d.DisallowUnknownFields()
	return v, d.Decode(v)
}

// request is the update of a letter as it is read.
func (f storedFile) request() (json.RawMessage, error) {
	r, err := telegram.Decode(f.Body, storedAt, telegram.Me{ID: 99, Username: "LedgehandTestBot"})
	if err != nil {
		return nil, err
	}
	return json.Marshal(r)
}

// then plays an outing on with nobody saying anything: when what is said to whom.
func then(o outing.Outing) (out []string) {
	for range 14 {
		at := o.NextLook()
		if at.IsZero() {
			return out
		}
		var effects []outing.Effect
		o, effects = o.Tick(at)
		for _, e := range effects {
			out = append(out, fmt.Sprintf("%s %s to %s %d, n %d, alert %v, missed %v, first %v, ack by %q", at.UTC().Format(time.RFC3339Nano), e.Kind, e.To.Role, e.To.Chat, e.N, e.Alert, e.Missed, e.First, e.AckBy))
		}
	}
	return out
}

func readStored(t *testing.T) map[string]storedFile {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(storedDir, "*.json"))
	must(t, err)
	all := map[string]storedFile{}
	for _, name := range files {
		raw, err := os.ReadFile(name)
		must(t, err)
		var f storedFile
		must(t, json.Unmarshal(raw, &f))
		if f.name() != filepath.Base(name) {
			t.Errorf("%s holds %s", name, f.name())
		}
		all[f.name()] = f
	}
	return all
}

// Everything that was ever stored can be read for ever, with nothing left out, and ends in the same alerts.
func TestWhatWasStoredIsReadForEver(t *testing.T) {
	for name, f := range readStored(t) {
		t.Run(name, func(t *testing.T) {
			if f.Kind == "update" {
				got, err := f.request()
				must(t, err)
				for _, lost := range lacks("", tree(t, f.Reads), tree(t, got)) {
					t.Errorf("the letter reads otherwise: %s", lost)
				}
				return
			}
			v, err := f.strict()
			if err != nil {
				t.Fatalf("it cannot be read any more: %v", err)
			}
			again, err := json.Marshal(v)
			must(t, err)
			for _, lost := range lacks("", tree(t, f.Body), tree(t, again)) {
				t.Errorf("lost when written again: %s", lost)
			}
			switch v := v.(type) {
			case *session.Entry:
				inner := storedFile{Kind: "message", Body: v.Body}
				if _, err := inner.strict(); err != nil {
					t.Errorf("its message: %v", err)
				}
			case *outing.Outing:
				if got := then(*v); !slices.Equal(got, f.Then) {
					t.Errorf("it goes on otherwise:\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(f.Then, "\n"))
				}
				if open := !v.Closed(); open != (len(f.Then) > 0) || (open || !v.Wiped()) == v.NextLook().IsZero() {
					t.Errorf("open %v with %d things to come, next look %v", open, len(f.Then), v.NextLook())
				}
			}
		})
	}
}

// The test must be able to fail: an old field under another name, a field nobody knows, a value that changed.
func TestWhatIsLostIsSeen(t *testing.T) {
	old := tree(t, []byte(`{"a":1,"b":{"c":[{"d":"x"}]}}`))
	for body, want := range map[string]int{
		`{"a":1,"b":{"c":[{"d":"x","e":0}]},"f":3}`: 0, `{"A":1,"b":{"c":[{"d":"x"}]}}`: 1, `{"a":2,"b":{"c":[{"d":"y"}]}}`: 2, `{"a":1,"b":{"c":[]}}`: 1, `{}`: 2,
	} {
		if got := lacks("", old, tree(t, []byte(body))); len(got) != want {
			t.Errorf("lacks(%s) = %q, want %d", body, got, want)
		}
	}
	if _, err := (storedFile{Kind: "outing", Key: "outing/g9/x", Body: []byte(`{"v":1,"of_old":2}`)}).strict(); err == nil {
		t.Error("a field nobody knows is let through")
	}
}

// lacks names what of old is not in now.
func lacks(path string, old, now any) (lost []string) {
	switch old := old.(type) {
	case map[string]any:
		m, _ := now.(map[string]any)
		for k, v := range old {
			n, ok := m[k]
			if !ok {
				lost = append(lost, path+"."+k)
				continue
			}
			lost = append(lost, lacks(path+"."+k, v, n)...)
		}
	case []any:
		l, _ := now.([]any)
		if len(l) != len(old) {
			return []string{path + ": another number of elements"}
		}
		for i, v := range old {
			lost = append(lost, lacks(fmt.Sprintf("%s[%d]", path, i), v, l[i])...)
		}
	default:
		if !reflect.DeepEqual(old, now) {
			lost = append(lost, fmt.Sprintf("%s: %v is now %v", path, old, now))
		}
	}
	return lost
}

func tree(t *testing.T, raw []byte) (v any) {
	t.Helper()
	d := json.NewDecoder(bytes.NewReader(raw))
	d.UseNumber()
	must(t, d.Decode(&v))
	return v
}

// What this version stores is in the files, word for word.
func TestStoredFilesAreWhatIsWrittenNow(t *testing.T) {
	have := readStored(t)
	current := map[string]map[string]bool{} // kind -> paths of fields that some file of now has
	for _, f := range samples(t) {
		if *update {
			if _, there := have[f.name()]; !there {
				raw, err := json.MarshalIndent(f, "", " ")
				must(t, err)
				must(t, os.MkdirAll(storedDir, 0o755))
				must(t, os.WriteFile(filepath.Join(storedDir, f.name()), append(raw, '\n'), 0o644))
				have[f.name()] = f
			}
		}
		kept, ok := have[f.name()]
		if !ok {
			t.Errorf("%s is missing: run with -update, which only adds", f.name())
			continue
		}
		was, is := tree(t, kept.Body), tree(t, f.Body)
		for _, diff := range append(lacks("", was, is), lacks("", is, was)...) {
			t.Errorf("%s is written otherwise now (%s): raise the version of its kind, and run with -update, which only adds", f.name(), diff)
		}
		if current[f.Kind] == nil {
			current[f.Kind] = map[string]bool{}
		}
		pathsIn(tree(t, kept.Body), "", current[f.Kind])
	}
	// Every kind there is has files, and every field of it is in one.
	for kind, v := range session.Kinds() {
		if len(current[kind]) == 0 {
			t.Errorf("no file of %s, version %d", kind, v)
		}
	}
	checked := map[string]bool{"update": true} // the service's own words, of which we read what we need
	for _, f := range samples(t) {
		if checked[f.Kind] {
			continue
		}
		checked[f.Kind] = true
		v, err := f.strict()
		must(t, err)
		for _, path := range fieldsOf(reflect.TypeOf(v).Elem(), "") {
			if !current[f.Kind][path] {
				t.Errorf("%s%s is in no file: add a state that has it", f.Kind, path)
			}
		}
	}
}

// pathsIn collects the paths of all fields of a body.
func pathsIn(v any, path string, into map[string]bool) {
	switch v := v.(type) {
	case map[string]any:
		for k, x := range v {
			into[path+"."+k] = true
			pathsIn(x, path+"."+k, into)
		}
	case []any:
		for _, x := range v {
			pathsIn(x, path, into)
		}
	}
}

var leaves = []reflect.Type{reflect.TypeFor[time.Time](), reflect.TypeFor[json.RawMessage]()}

// fieldsOf are the paths of all fields that a type can have as JSON.
func fieldsOf(t reflect.Type, path string) (out []string) {
	for t.Kind() == reflect.Pointer || t.Kind() == reflect.Slice && t.Elem().Kind() != reflect.Uint8 {
		t = t.Elem()
	}
	if t.Kind() != reflect.Struct || slices.Contains(leaves, t) {
		return nil
	}
	for i := range t.NumField() {
		f := t.Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if name == "-" || !f.IsExported() {
			continue
		}
		if name == "" {
			name = f.Name
		}
		out = append(out, path+"."+name)
		out = append(out, fieldsOf(f.Type, path+"."+name)...)
	}
	return out
}

// filled puts something into every field: words into texts, numbers that count up, instants that go on.
func filled[T any]() T {
	var v T
	n := 0
	fillIn(reflect.ValueOf(&v).Elem(), "it", &n)
	return v
}

func fillIn(v reflect.Value, name string, n *int) {
	*n++
	switch {
	case v.Type() == leaves[0]:
		v.Set(reflect.ValueOf(storedAt.Add(time.Duration(*n) * time.Minute)))
		return
	case v.Type() == leaves[1]:
		v.Set(reflect.ValueOf(json.RawMessage(`{}`)))
		return
	}
	switch v.Kind() {
	case reflect.String:
		v.SetString(strings.ToLower(name))
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int, reflect.Int64:
		v.SetInt(int64(*n))
	case reflect.Float64:
		v.SetFloat(float64(*n) + 0.25)
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		fillIn(v.Elem(), name, n)
	case reflect.Array:
		for i := range v.Len() {
			fillIn(v.Index(i), name, n)
		}
	case reflect.Slice:
		if v.Type().Elem().Kind() == reflect.Uint8 {
			v.SetBytes([]byte(name))
			return
		}
		v.Set(reflect.MakeSlice(v.Type(), 1, 1))
		fillIn(v.Index(0), name, n)
	case reflect.Map:
		v.Set(reflect.ValueOf(map[string]string{"name": "anvil"}))
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() {
				fillIn(v.Field(i), f.Name, n)
			}
		}
	default:
		panic("no way to fill " + v.Type().String())
	}
}

// grown names the state of kinds that got fields after their first full one was written down: that stays as it is.
var grown = map[string]string{"after": "ring", "card": "ring", "crew": "shore", "catch": "then", "person": "left", "message": "files", "watch": "ashore", "lookout": "tide", "trip": "changed"}

// samples are all there is to store, as this version stores it: invented people on an invented ledge.
func samples(t *testing.T) (all []storedFile) {
	t.Helper()
	versions := session.Kinds()
	add := func(kind, state, key string, v any) {
		t.Helper()
		body, ok := v.(json.RawMessage)
		if !ok {
			raw, err := json.Marshal(v)
			must(t, err)
			body = raw
		}
		f := storedFile{Kind: kind, Version: versions[kind], State: state, Key: key, Body: body}
		if o, ok := v.(outing.Outing); ok {
			f.Then = then(o)
		}
		if kind == "update" {
			reads, err := f.request()
			must(t, err)
			f.Reads = reads
		}
		all = append(all, f)
	}
	for state, o := range outings(t) {
		add("outing", state, "outing/g9/k3f9", o)
	}
	// The kinds whose structs are not all told here are made by way of their own decoder.
	for kind := range versions {
		if kind == "outing" {
			continue
		}
		v, err := session.Decode(kind+"/x", []byte(`{}`), true)
		must(t, err)
		n := 0
		fillIn(reflect.ValueOf(v).Elem(), "it", &n)
		if f := reflect.ValueOf(v).Elem().FieldByName("V"); f.IsValid() {
			f.SetInt(int64(versions[kind]))
		}
		add(kind, cmp.Or(grown[kind], "full"), kind+"/g9/k3f9", v)
	}
	card := filled[ledge.Card]()
	card.LipMeasured, card.Signal = ledge.Estimated, ledge.SignalPatchy
	words(reflect.ValueOf(&card).Elem())
	add("card", cmp.Or(grown["card"], "full"), "", card)

	m := filled[chat.Message]()
	m.Answer = nil
	add("message", cmp.Or(grown["message"], "full"), "", m)
	add("message", "answer", "", chat.Message{Answer: &chat.Answer{TapID: "77", Text: "Noted.", Loud: true}})
	alert := chat.Message{To: 21, Text: "<b>Ana has not checked in.</b> Due off Anvil at 10:00; it is 10:30.", Buttons: [][]chat.Button{{{Label: "I'm trying to reach them", Data: "ack|k3f9|trying", Style: chat.StyleGrave}}}}
	add("message", "alert", "", alert)
	inner, err := json.Marshal(alert)
	must(t, err)
	e := filled[session.Entry]()
	e.Lane, e.Body = session.Urgent, inner
	add("entry", "full", "", e)
	note := filled[chat.Outcome]()
	add("note", "held-up", "", note)
	note.Until = time.Time{}
	add("note", "full", "", note)
	add("deaf", "full", "", filled[chat.Deaf]())
	add("look", "full", "", filled[chat.Look]())
	for state, raw := range map[string]string{
		"off":   `{"update_id":17,"message":{"message_id":9,"from":{"id":11,"is_bot":false,"first_name":"Ana"},"chat":{"id":-9,"type":"supergroup","title":"The crew"},"date":1805036400,"text":"/off","entities":[{"type":"bot_command","offset":0,"length":4}]}}`,
		"tap":   `{"update_id":18,"callback_query":{"id":"77","from":{"id":21,"is_bot":false,"first_name":"Mo"},"message":{"message_id":12,"chat":{"id":21,"type":"private","first_name":"Mo"},"date":1805036400,"text":"x"},"chat_instance":"1","data":"ack|k3f9|trying"}}`,
		"place": `{"update_id":19,"message":{"message_id":10,"from":{"id":11,"is_bot":false,"first_name":"Ana"},"chat":{"id":11,"type":"private","first_name":"Ana"},"date":1805036400,"location":{"latitude":38.9546,"longitude":-123.7406}}}`,
	} {
		add("update", state, "", json.RawMessage(raw))
	}
	slices.SortFunc(all, func(a, b storedFile) int { return strings.Compare(a.name(), b.name()) })
	return all
}

// words puts words that are known into fields that take no others.
func words(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		words(v.Elem())
	case reflect.Struct:
		for i := range v.NumField() {
			words(v.Field(i))
		}
	case reflect.String:
		if v.Type() == reflect.TypeFor[ledge.Answer]() {
			v.SetString(string(ledge.Yes))
		}
	}
}

// outings are parties in all their states, as they come about.
func outings(t *testing.T) map[string]outing.Outing {
	t.Helper()
	const ana, bram, mo, gil = 11, 12, 21, 22
	lat, lon, water := 38.9546, -123.7406, 12.5
	at := func(minutes int) time.Time { return storedAt.Add(time.Duration(minutes) * time.Minute) }
	apply := func(o outing.Outing, minutes int, e outing.Event) outing.Outing {
		t.Helper()
		next, _, err := o.Apply(e, at(minutes))
		must(t, err)
		return next
	}
	until := func(o outing.Outing, minutes int) outing.Outing {
		for next := o.NextLook(); !next.IsZero() && !next.After(at(minutes)); next = o.NextLook() {
			o, _ = o.Tick(next)
		}
		return o
	}
	ladder := outing.Ladder{Remind: 15 * time.Minute, Party: 15 * time.Minute, Contact: 30 * time.Minute, Repeat: 10 * time.Minute}
	party, _, err := outing.New(outing.Outing{
		ID: "k3f9", Crew: "g9", Group: -9, Thread: 4, Trip: "t1", Ledge: "Anvil", Zone: "America/Los_Angeles", OpenedBy: ana, BackBy: at(120), Ladder: ladder,
		People:   []outing.Member{{ID: ana, Name: "Ana", Chat: ana, Phone: "+00 555 0142"}, {ID: bram, Name: "Bram"}, {ID: -1, Name: "Kit"}},
		Contacts: []outing.Contact{{ID: mo, Name: "Mo", Chat: mo}, {ID: gil, Name: "Gil", Chat: gil}},
		Mates:    []outing.Contact{{ID: 31, Name: "Rae", Chat: 31}},
		Sheet: outing.Sheet{Lat: &lat, Lon: &lon, Access: "gate by the water tank", WaysOut: "gully to the north", Parking: "end of the track", Ring: "post at the gate", Number: "112",
			AskFor: "coast rescue", Car: "green van", Lifejacket: "yes", Signal: "patchy", Wearing: "orange", Notes: "two rods", SeaHs: 1.5, SeaHsLater: 2, SeaPeriod: 11, SeaAt: at(-60),
			WaterC: &water, NextTide: at(90), NextTideIsHigh: true, NextTideHeight: 1.4, Datum: "MLLW", LastLight: at(400)},
	}, at(0))
	must(t, err)
	alone, _, err := outing.New(outing.Outing{ID: "k3f9", Crew: "pb", Ledge: "Anvil", Zone: "UTC", OpenedBy: ana, BackBy: at(120), Ladder: ladder,
		People: []outing.Member{{ID: ana, Name: "Ana", Chat: ana}}}, at(0))
	must(t, err)

	delayed := apply(apply(party, 60, outing.SetDelay{By: ana, For: 30 * time.Minute, Why: "fish are on"}), 61, outing.Reached{Chat: mo})
	overdue := until(apply(delayed, 62, outing.Unreached{Chat: gil}), 200)
	taken := apply(overdue, 201, outing.Acknowledge{By: mo, Name: "Mo", Chat: mo, What: outing.AckTrying})
	shut := apply(apply(taken, 205, outing.Unreached{Chat: -9, Name: "The crew"}), 205, outing.SayOffRocks{By: ana, Who: []int64{-1}})
	moved := shut.Retarget(-9, -1009)
	off := apply(taken, 206, outing.SayOffRocks{By: ana, Who: []int64{ana, bram, -1}})
	home := off
	for _, who := range []int64{ana, bram} {
		home = apply(home, 240, outing.SayAtHome{By: who})
	}
	missed, _ := alone.Tick(at(500)) // we were away over its time
	mates := party
	mates.Mates = slices.Clone(party.Mates)
	mates.Mates[0].Reached, mates.Mates[0].Refused = at(1), at(2)
	held := party
	held.Mates = slices.Clone(party.Mates)
	held.Mates[0].Refused, held.Mates[0].Until = at(2), at(300)
	held = apply(held, 125, outing.Unreached{Chat: mo, Until: at(300)})
	deaf := apply(until(party, 121), 131, outing.WasDeaf{From: at(121), To: at(131)})
	gone := apply(alone, 10, outing.Cancel{By: ana})
	mail := party
	mail.Contacts = []outing.Contact{{ID: 1<<52 + 21, Name: "Mo", Chat: 1<<52 + 21, Mail: "mo@example.org"}, {ID: gil, Name: "Gil", Chat: gil}}
	mail = apply(until(apply(mail, 1, outing.Unreached{Chat: gil, Until: at(300)}), 150), 151, outing.Reached{Chat: gil})
	released := mail
	released.Released = []outing.Contact{mail.Contacts[0]}
	released.Mates = slices.Clone(party.Mates)
	released.Mates[0].Mail = "rae@example.org"
	released.Released[0].Reached, released.Released[0].Refused, released.Released[0].Until = at(1), at(2), at(300)
	shown := party
	shown.Sheet.FirstLight, shown.Sheet.WalkInFloods, shown.Sheet.WalkInDries = at(1000), at(100), at(300)
	shown = apply(shown, 20, outing.SetLadder{By: ana, Ladder: outing.Ladder{Remind: 10 * time.Minute, Party: 5 * time.Minute, Contact: 20 * time.Minute, Repeat: 5 * time.Minute}})
	shown = apply(shown, 30, outing.Shows{By: ana, Position: outing.Position{Lat: lat, Lon: lon, At: at(30), Live: at(400)}})
	shown = until(apply(shown, 31, outing.GoAlong{Member: outing.Member{ID: 31, Name: "Rae", Chat: 31}, Car: "blue hatchback", Wears: "yellow"}), 71)
	languages := party
	for id, l := range map[int64]string{ana: "en", bram: "es", mo: "es", 31: "es"} {
		languages = languages.Reads(id, l)
	}
	fell := apply(party, 70, outing.FellIn{By: 31, Name: "Rae", Chat: 31, Unsure: true})
	wiped, _ := home.Tick(home.ClosedAt.Add(outing.Keeps))
	road := party
	road.HomeBy = at(240)
	spanish := released
	spanish.Released = slices.Clone(released.Released)
	spanish.Released[0].Language = "es"
	return map[string]outing.Outing{
		"open": party, "alone": alone, "late": until(delayed, 151), "overdue": overdue, "acknowledged": taken, "group-shut": shut, "group-moved": moved,
		"off": off, "home": home, "missed": missed, "cancelled": gone, "mates": mates, "held-up": held, "deaf": deaf, "shown": shown, "languages": languages,
		"fell-in": fell, "wiped": wiped, "mail": mail, "released": released, "released-es": spanish, "home-by": road,
	}
}

// The samples themselves: built twice they are the same, or the files could not be compared with them.
func TestSamplesAreTheSameEachTime(t *testing.T) {
	a, b := samples(t), samples(t)
	for i := range a {
		if string(a[i].Body) != string(b[i].Body) {
			t.Errorf("%s differs from one time to the next", a[i].name())
		}
	}
	n := map[string]int{}
	for _, f := range a {
		n[f.name()]++
	}
	for _, name := range slices.Sorted(maps.Keys(n)) {
		if n[name] > 1 {
			t.Errorf("%s is there %s times", name, strconv.Itoa(n[name]))
		}
	}
}
