package warning

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"ledgehand/conditions"
)

func index(t testing.TB, raw []byte) Index {
	t.Helper()
	x, err := DecodeIndex(raw)
	if err != nil {
		t.Fatalf("DecodeIndex: %v", err)
	}
	return x
}

func TestDecodeIndexRefuses(t *testing.T) {
	atom := string(sampleCAP(t, "index_atom_meteoalarm_style.constructed.atom.xml"))
	rss := string(sampleCAP(t, "index_rss_empty.constructed.rss.xml"))
	for _, tc := range []struct {
		name, raw string
		want      Why
	}{
		{"nothing", "", Unreadable},
		{"JSON", `[]`, Unreadable},
		{"an error page", "<!DOCTYPE html><html><body>503</body></html>", Unreadable},
		{"an error page without a document type", "<html><head/><body>no alerts</body></html>", WrongShape},
		{"an error page that is a feed to nobody", `<feed xmlns="http://other.example/"></feed>`, WrongShape},
		{"a CAP message", string(sampleCAP(t, "hazardous_surf_1_alert.constructed.xml")), WrongShape},
		{"half of an Atom index", atom[:len(atom)/2], Unreadable},
		{"an Atom index cut between entries", atom[:strings.LastIndex(atom, "<entry>")], Unreadable},
		{"an RSS index without its end", strings.TrimSuffix(strings.TrimSpace(rss), "</rss>"), Unreadable},
		{"an RSS index with an error glued on", rss + "Fatal error", Unreadable},
		{"an RSS index without a channel", `<rss version="2.0"></rss>`, WrongShape},
		{"two channels", `<rss version="2.0"><channel/><channel/></rss>`, WrongShape},
		{"entities", `<!DOCTYPE rss [<!ENTITY a "b">]>` + rss, Unreadable},
		{"too many entries", `<rss><channel>` + strings.Repeat("<item/>", maxEntries+1) + `</channel></rss>`, TooLarge},
		{"too large", strings.Replace(rss, "No alerts", strings.Repeat("x", MaxIndex), 1), TooLarge},
	} {
		t.Run(tc.name, func(t *testing.T) {
			x, err := DecodeIndex([]byte(tc.raw))
			if r, ok := errors.AsType[*Refused](err); !ok || r.Why != tc.want {
				t.Errorf("DecodeIndex = %+v, %v, want refused: %s", x, err, tc.want)
			}
		})
	}
}

func TestDecodeIndex(t *testing.T) {
	t.Run("Atom", func(t *testing.T) {
		x := index(t, sampleCAP(t, "index_atom_meteoalarm_style.constructed.atom.xml"))
		if x.Form != "atom" || x.Title != "Warnings for Exampleland" || !x.Updated.Equal(ts("2026-12-05T08:05:00Z")) || len(x.Entries) != 2 {
			t.Fatalf("index = %+v", x)
		}
		e := x.Entries[0]
		if e.Link != "https://feeds.example/cap/CO1" || e.Identifier != "2.49.0.0.724.0.EX.20261205080000.CO1" || e.Event != "Severe coastal event warning" ||
			e.Status != "Actual" || e.Type != "Alert" || e.Scope != "Public" || e.Severity != "Severe" ||
			!e.Updated.Equal(ts("2026-12-05T08:00:00Z")) || !e.Onset.Equal(ts("2026-12-06T11:00:00Z")) || !e.Expires.Equal(ts("2026-12-06T23:00:00Z")) ||
			e.Area.Desc != "West coast" || !slices.Equal(e.Area.Codes, []Pair{{"EMMA_ID", "ES999"}}) {
			t.Errorf("entry = %+v", e)
		}
	})
	t.Run("RSS", func(t *testing.T) {
		x := index(t, sampleCAP(t, "index_rss_items.constructed.rss.xml"))
		if x.Form != "rss" || len(x.Entries) != 2 || !x.Updated.Equal(ts("2026-12-06T04:00:00Z")) { // the newest it says, of a channel and its items
			t.Fatalf("index = %+v", x)
		}
		if e := x.Entries[1]; e.Status != "Exercise" || !e.Updated.Equal(ts("2026-12-05T05:00:00Z")) || !e.Expires.Equal(ts("2026-12-06T12:00:00Z")) || e.Link != "https://feeds.example/cap/EX.xml" {
			t.Errorf("entry = %+v", e)
		}
	})
	t.Run("the link to the message among others", func(t *testing.T) {
		x := index(t, []byte(`<a:feed xmlns:a="http://www.w3.org/2005/Atom"><a:entry><a:link rel="related" href="r"/><a:link href="page"/><a:link type="application/cap+xml" href="cap"/><a:link rel="edit" href="e"/></a:entry>`+
			`<a:entry><a:link rel="related" href="r"/><a:link rel="alternate" href="page"/></a:entry><a:entry><a:link rel="related" href="r"/></a:entry><a:entry/></a:feed>`))
		var got []string
		for _, e := range x.Entries {
			got = append(got, e.Link)
		}
		if !slices.Equal(got, []string{"cap", "page", "r", ""}) {
			t.Errorf("links = %q", got)
		}
	})
	t.Run("a guid that is a link, and one that is none", func(t *testing.T) {
		x := index(t, []byte(`<rss version="2.0"><channel><item><guid>https://x.example/1</guid></item><item><guid isPermaLink="false">2</guid></item></channel></rss>`))
		if x.Entries[0].Link != "https://x.example/1" || x.Entries[1].Link != "" {
			t.Errorf("entries = %+v", x.Entries)
		}
	})
	t.Run("several codes in one element", func(t *testing.T) {
		x := index(t, []byte(`<feed xmlns="http://www.w3.org/2005/Atom" xmlns:cap="urn:oasis:names:tc:emergency:cap:1.1"><entry><cap:geocode><valueName>FIPS6</valueName><value>006015 006023</value><valueName>UGC</valueName><value>CAZ101</value></cap:geocode></entry></feed>`))
		if want := []Pair{{"FIPS6", "006015"}, {"FIPS6", "006023"}, {"UGC", "CAZ101"}}; !slices.Equal(x.Entries[0].Area.Codes, want) {
			t.Errorf("codes = %v, want %v", x.Entries[0].Area.Codes, want)
		}
	})
}

func TestWanted(t *testing.T) {
	links := func(x Index) (out []string) {
		for _, e := range x.Wanted() {
			out = append(out, e.Link)
		}
		return out
	}
	if got := links(index(t, sampleCAP(t, "index_atom_meteoalarm_style.constructed.atom.xml"))); !slices.Equal(got, []string{"https://feeds.example/cap/CO1"}) {
		t.Errorf("Wanted = %q, want the message of two entries once", got)
	}
	if got := links(index(t, sampleCAP(t, "index_rss_items.constructed.rss.xml"))); !slices.Equal(got, []string{"https://feeds.example/cap/HSW1.xml"}) {
		t.Errorf("Wanted = %q, want no exercise", got)
	}
	x := Index{Entries: []Entry{{Link: "a"}, {Link: "b"}, {Link: "a"}, {Link: "c", Scope: "Private"}, {Identifier: "i"}, {Link: "d", Type: "Cancel"}, {Link: "e", Identifier: "j"}, {Link: "f", Identifier: "j"}}}
	if got := links(x); !slices.Equal(got, []string{"a", "b", "d", "e"}) {
		t.Errorf("Wanted = %q, want a b d e", got)
	}
}

func TestEmptyIndex(t *testing.T) {
	raw := string(sampleCAP(t, "index_rss_empty.constructed.rss.xml")) // built at 08:00
	const built = "<lastBuildDate>Sat, 05 Dec 2026 08:00:00 +0000</lastBuildDate>"
	for _, tc := range []struct {
		name, with, now string
		want            conditions.WarningState
		why             string
	}{
		{"fresh", built, "2026-12-05T09:00:00Z", conditions.WarningsNone, ""},
		{"a day old", built, "2026-12-06T08:00:00Z", conditions.WarningsNone, ""},
		{"older", built, "2026-12-06T08:00:01Z", conditions.WarningsUnknown, TooOld},
		{"years old", built, "2031-12-05T08:00:00Z", conditions.WarningsUnknown, TooOld},
		{"from the day after tomorrow", built, "2026-12-03T08:00:00Z", conditions.WarningsUnknown, TooOld},
		{"not dated", "", "2026-12-05T09:00:00Z", conditions.WarningsUnknown, TooOld},
		{"dated without a zone", strings.Replace(built, " +0000", "", 1), "2026-12-05T09:00:00Z", conditions.WarningsUnknown, TooOld},
		{"one of its dates stuck", built + "<pubDate>Thu, 13 Jul 2023 06:47:59 +0000</pubDate>", "2026-12-05T09:00:00Z", conditions.WarningsNone, ""},
		{"the other stuck", strings.Replace(built, "2026", "2023", 1) + "<pubDate>Sat, 05 Dec 2026 08:00:00 +0000</pubDate>", "2026-12-05T09:00:00Z", conditions.WarningsNone, ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			x := index(t, []byte(strings.Replace(raw, built, tc.with, 1)))
			w := x.Judge(nil, at(43, -9), ts(tc.now), nil, Geocodes{})
			if w.State != tc.want || w.Why != tc.why || len(w.List) != 0 || w.Source != "CAP alerts" || !w.CheckedAt.Equal(ts(tc.now)) {
				t.Errorf("Judge = %+v, want %s %s", w, tc.want, tc.why)
			}
		})
	}
}

func TestIndexWithItsMessages(t *testing.T) {
	x := index(t, sampleCAP(t, "index_atom_meteoalarm_style.constructed.atom.xml"))
	m := message(t, "coastal_event_bilingual_onset_later.constructed.xml")
	const now = "2026-12-05T12:00:00Z"
	events := func(w conditions.Warnings) (out []string) {
		for _, x := range w.List {
			out = append(out, x.Event+"|"+yesNo(x.Covers)+"|"+string(x.Concern))
		}
		return out
	}
	t.Run("read", func(t *testing.T) {
		w := x.Judge([]Message{m}, at(43.3, -9), ts(now), []string{"es"}, Geocodes{})
		if w.State != conditions.WarningsInForce || w.Why != "" || !slices.Equal(events(w), []string{"Aviso de fenómenos costeros de nivel naranja|yes|amber"}) {
			t.Errorf("Judge = %+v", w)
		}
	})
	t.Run("read, and all of it elsewhere", func(t *testing.T) {
		if w := x.Judge([]Message{m}, at(36, -5), ts(now), nil, Geocodes{}); w.State != conditions.WarningsNone || len(w.List) != 0 {
			t.Errorf("Judge = %+v, want none", w)
		}
	})
	t.Run("read, known by its link", func(t *testing.T) {
		other := changed(m, func(m *Message) { m.Identifier, m.Link = "renamed", "https://feeds.example/cap/CO1" })
		if w := x.Judge([]Message{other}, at(43.3, -9), ts(now), nil, Geocodes{}); w.State != conditions.WarningsInForce || len(w.List) != 1 {
			t.Errorf("Judge = %+v, want it once, in force", w)
		}
	})
	t.Run("read, known by the entry's id", func(t *testing.T) {
		x := Index{Updated: x.Updated, Entries: []Entry{{ID: m.Identifier, Event: "Gale", Updated: m.Sent}}}
		if w := x.Judge([]Message{m}, at(43.3, -9), ts(now), nil, Geocodes{}); w.State != conditions.WarningsInForce || len(w.List) != 1 {
			t.Errorf("Judge = %+v, want it once, in force", w)
		}
	})
	t.Run("an entry without a name is not answered by a message without one", func(t *testing.T) {
		x := Index{Updated: x.Updated, Entries: []Entry{{Event: "Gale", Updated: m.Sent}}}
		if w := x.Judge([]Message{m}, at(43.3, -9), ts(now), nil, Geocodes{}); w.State != conditions.WarningsUnknown || len(w.List) != 2 {
			t.Errorf("Judge = %+v, want unknown, both shown", w)
		}
	})
	t.Run("not fetched", func(t *testing.T) {
		w := x.Judge(nil, at(43.3, -9), ts(now), nil, Geocodes{})
		if w.State != conditions.WarningsUnknown || w.Why != Incomplete || !slices.Equal(events(w), []string{"Severe coastal event warning|not known|amber"}) {
			t.Errorf("Judge = %+v, want unknown, with what the index says, once", w)
		}
	})
	t.Run("not fetched, and surely elsewhere", func(t *testing.T) {
		g := Geocodes{Outlines: map[Pair]Outline{{"EMMA_ID", "ES999"}: {{Outer: Ring{{Lat: 42, Lon: -10}, {Lat: 44, Lon: -10}, {Lat: 44, Lon: -8}, {Lat: 42, Lon: -8}}}}}}
		if w := x.Judge(nil, at(36, -5), ts(now), nil, g); w.State != conditions.WarningsNone || len(w.List) != 0 {
			t.Errorf("Judge = %+v, want none", w)
		}
		if w := x.Judge(nil, at(43, -9), ts(now), nil, g); w.State != conditions.WarningsUnknown || yesNo(w.List[0].Covers) != "yes" {
			t.Errorf("Judge = %+v, want unknown, with one that is here", w)
		}
	})
	t.Run("not fetched, expired less than a day ago: its event may go on", func(t *testing.T) {
		x := x
		x.Updated = ts("2026-12-07T20:00:00Z")
		if w := x.Judge(nil, at(43.3, -9), ts("2026-12-07T20:00:00Z"), nil, Geocodes{}); w.State != conditions.WarningsUnknown || len(w.List) != 0 {
			t.Errorf("Judge = %+v, want unknown", w)
		}
		x.Updated = ts("2026-12-08T00:00:00Z")
		if w := x.Judge(nil, at(43.3, -9), ts("2026-12-08T00:00:00Z"), nil, Geocodes{}); w.State != conditions.WarningsNone {
			t.Errorf("Judge a day after = %+v, want none", w)
		}
	})
	t.Run("an old index: unknown, with what it has", func(t *testing.T) {
		if w := x.Judge([]Message{m}, at(43.3, -9), ts("2026-12-06T12:00:00Z"), nil, Geocodes{}); w.State != conditions.WarningsUnknown || w.Why != TooOld || len(w.List) != 1 {
			t.Errorf("Judge = %+v, want unknown with the warning", w)
		}
	})
	t.Run("an update that is not in the index counts", func(t *testing.T) {
		c := changed(m, func(m *Message) {
			m.Type, m.Identifier, m.Sent = "Cancel", "c", ts("2026-12-05T11:00:00Z")
			m.References = []Reference{{Sender: m.Sender, Identifier: x.Entries[0].Identifier, Sent: ts("2026-12-05T08:00:00Z")}}
		})
		if w := x.Judge([]Message{c, m}, at(43.3, -9), ts(now), nil, Geocodes{}); w.State != conditions.WarningsNone {
			t.Errorf("Judge = %+v, want none: cancelled", w)
		}
	})
}

func TestJudgeEntries(t *testing.T) {
	seen := func(x Index, now string) (out []string) {
		for _, j := range x.JudgeEntries(at(-33.9, 151.3), ts(now), Geocodes{}) {
			out = append(out, fmt.Sprintf("%s|%s|%s|%s", j.Event, j.Standing, j.Concern, yesNo(j.Covers)))
		}
		return out
	}
	rss := index(t, sampleCAP(t, "index_rss_items.constructed.rss.xml"))
	for now, want := range map[string][]string{
		"2026-12-06T05:00:00Z": {"Tsunami Warning|not actual|red|not known", "Hazardous Surf Warning|to come|red|not known"},
		"2026-12-06T14:00:00Z": {"Tsunami Warning|not actual|red|not known", "Hazardous Surf Warning|in force|red|not known"},
		"2026-12-07T06:30:00Z": {"Tsunami Warning|not actual|red|not known", "Hazardous Surf Warning|not confirmed|red|not known"},
		"2026-12-07T07:00:00Z": {"Tsunami Warning|not actual|red|not known", "Hazardous Surf Warning|over|red|not known"},
	} {
		if got := seen(rss, now); !slices.Equal(got, want) {
			t.Errorf("at %s: %q, want %q", now, got, want)
		}
	}
	atom := index(t, sampleCAP(t, "index_atom_meteoalarm_style.constructed.atom.xml"))
	if got, want := seen(atom, "2026-12-05T12:00:00Z"), []string{"Severe coastal event warning|to come|amber|not known"}; !slices.Equal(got, want) {
		t.Errorf("two entries of one message: %q, want %q", got, want)
	}
	if j := atom.JudgeEntries(nil, ts("2026-12-05T12:00:00Z"), Geocodes{})[0]; j.Area != "West coast" || !slices.Equal(j.Codes, []string{"ES999"}) || j.Headline != "Orange coastal event warning - West coast" {
		t.Errorf("judged = %+v, want the words of the entry", j)
	}
	expires := ts("2026-12-05T18:00:00Z")
	for _, tc := range []struct {
		name    string
		entries []Entry
		now     string
		want    []string
	}{
		{"no end: not confirmed for as long as it is listed", []Entry{{ID: "a", Event: "Gale", Updated: ts("2026-12-01T00:00:00Z")}}, "2026-12-05T12:00:00Z", []string{"Gale|not confirmed|amber|not known"}},
		{"no date either", []Entry{{ID: "a", Event: "Gale"}}, "2026-12-05T12:00:00Z", []string{"Gale|not confirmed|amber|not known"}},
		{"a cancel is no warning", []Entry{{ID: "a", Event: "Gale", Type: "Cancel", Expires: expires}}, "2026-12-05T12:00:00Z", []string{"Gale|cancelled|amber|not known"}},
		{"stamped anew after it expired", []Entry{{ID: "a", Event: "Gale", Updated: ts("2026-12-05T20:00:00Z"), Expires: expires}}, "2026-12-05T20:30:00Z", []string{"Gale|over|amber|not known"}},
		{"nothing but a link", []Entry{{Link: "x"}}, "2026-12-05T12:00:00Z", []string{"|not confirmed|amber|not known"}},
		{"two hazards of one message, at other times", []Entry{{Identifier: "i", Event: "Gale", Expires: expires}, {Identifier: "i", Event: "Tsunami", Expires: expires.Add(3600e9)}}, "2026-12-05T12:00:00Z",
			[]string{"Tsunami|in force|red|not known", "Gale|in force|amber|not known"}},
		{"one hazard in two entries: the gravest name", []Entry{{Identifier: "i", Event: "Dense fog advisory", Expires: expires}, {Identifier: "i", Event: "Gale", Expires: expires}}, "2026-12-05T12:00:00Z",
			[]string{"Gale|in force|amber|not known"}},
		{"an entry that names nothing beside one that does", []Entry{{Identifier: "i", Event: "Dense fog advisory", Expires: expires}, {Identifier: "i", Expires: expires}}, "2026-12-05T12:00:00Z",
			[]string{"Dense fog advisory|in force|note|not known"}},
		{"the gravest name first and without titles", []Entry{{Identifier: "i", Event: "Gale", Expires: expires}, {Identifier: "i", Event: "Dense fog advisory", Expires: expires}}, "2026-12-05T12:00:00Z",
			[]string{"Gale|in force|amber|not known"}},
		{"two onsets of one message, and an entry without", []Entry{{Identifier: "i", Event: "Gale", Onset: expires, Expires: expires}, {Identifier: "i", Event: "Gale", Onset: expires.Add(-9e12), Expires: expires}, {Identifier: "i", Expires: expires}}, "2026-12-05T12:00:00Z",
			[]string{"Gale|to come|amber|not known", "Gale|to come|amber|not known"}},
		{"an entry without an onset, then one with", []Entry{{Identifier: "i", Expires: expires}, {Identifier: "i", Event: "Gale", Onset: expires.Add(-9e12), Expires: expires}}, "2026-12-05T12:00:00Z",
			[]string{"Gale|to come|amber|not known"}},
		{"an exercise and the real one in one message", []Entry{{Identifier: "i", Event: "Gale", Status: "Exercise", Expires: expires}, {Identifier: "i", Event: "Gale", Expires: expires}}, "2026-12-05T12:00:00Z",
			[]string{"Gale|in force|amber|not known", "Gale|not actual|amber|not known"}},
		{"two by their id", []Entry{{ID: "a", Event: "Gale", Expires: expires}, {ID: "b", Event: "Gale", Expires: expires}, {ID: "b", Event: "Tsunami", Expires: expires}}, "2026-12-05T12:00:00Z",
			[]string{"Tsunami|in force|red|not known", "Gale|in force|amber|not known", "Gale|in force|amber|not known"}},
		{"the title says of what", []Entry{{ID: "a", Event: "Weather warning", Title: "Hazardous surf", Expires: expires}}, "2026-12-05T12:00:00Z",
			[]string{"Weather warning|in force|red|not known"}},
		{"one area drawn elsewhere, a translation without", []Entry{{Identifier: "i", Event: "Gale", Expires: expires, Area: Area{Desc: "x", Circles: []Circle{{Centre: at(0, 0)[0], Km: 10}}}},
			{Identifier: "i", Event: "Temporal", Expires: expires, Area: Area{Desc: "y"}}}, "2026-12-05T12:00:00Z", []string{"Gale|in force|amber|no"}},
		{"two that link to one page", []Entry{{Link: "p", Event: "Gale", Expires: expires}, {Link: "p", Event: "Tsunami", Expires: expires}}, "2026-12-05T12:00:00Z",
			[]string{"Tsunami|in force|red|not known", "Gale|in force|amber|not known"}},
		{"two that say nothing of what they are about", []Entry{{Event: "Gale", Expires: expires}, {Event: "Tsunami", Expires: expires}}, "2026-12-05T12:00:00Z",
			[]string{"Tsunami|in force|red|not known", "Gale|in force|amber|not known"}},
		{"one hazard, two areas, in the second", []Entry{{Identifier: "i", Event: "Gale", Expires: expires, Area: Area{Circles: []Circle{{Centre: at(0, 0)[0], Km: 10}}}},
			{Identifier: "i", Expires: expires, Area: Area{Circles: []Circle{{Centre: at(-33.9, 151.3)[0], Km: 10}}}}}, "2026-12-05T12:00:00Z", []string{"Gale|in force|amber|yes"}},
	} {
		if got := seen(Index{Entries: tc.entries}, tc.now); !slices.Equal(got, tc.want) {
			t.Errorf("%s: %q, want %q", tc.name, got, tc.want)
		}
	}
}

// An index of the world mirror: dates of RFC 822 inside elements of CAP, and a date of building stuck for years.
func TestRecordedIndex(t *testing.T) {
	x := index(t, recordedCAP(t, "index_wmo_mirror_au_bom.rss.xml"))
	if len(x.Entries) != 1 || !x.Updated.Equal(ts("2026-01-01T16:05:14Z")) {
		t.Fatalf("index = %+v", x)
	}
	if e := x.Entries[0]; e.Event != "Wind" || !e.Expires.Equal(ts("2026-01-01T16:00:00Z")) || !strings.HasPrefix(e.Area.Desc, "Western Australia") || !strings.HasSuffix(e.Link, ".xml") {
		t.Errorf("entry = %+v", e)
	}
	for now, want := range map[string]conditions.WarningState{
		"2026-01-01T16:10:00Z": conditions.WarningsUnknown, // the message was not fetched
		"2026-01-02T16:04:00Z": conditions.WarningsNone,    // a day later nothing can be left of it
		"2026-01-02T16:06:00Z": conditions.WarningsUnknown, // too old
	} {
		if w := x.Judge(nil, at(-33.9, 115), ts(now), nil, Geocodes{}); w.State != want {
			t.Errorf("at %s: %+v, want %s", now, w, want)
		}
	}
}
