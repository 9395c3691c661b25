package warning

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"
)

// page wraps the inside of a message.
func page(inside string) []byte {
	return []byte(`<?xml version="1.0"?><alert xmlns="urn:oasis:names:tc:emergency:cap:1.2"><identifier>a</identifier><sender>s</sender>` +
		`<sent>2026-12-05T10:00:00+00:00</sent>` + inside + `</alert>`)
}

const plainHead = `<status>Actual</status><msgType>Alert</msgType><scope>Public</scope>`

func TestDecodeCAPRefuses(t *testing.T) {
	whole := string(sampleCAP(t, "hazardous_surf_1_alert.constructed.xml"))
	for _, tc := range []struct {
		name string
		raw  string
		want Why
	}{
		{"nothing", "", Unreadable},
		{"space", " \n ", Unreadable},
		{"JSON", `{"type":"FeatureCollection","features":[]}`, Unreadable},
		{"an error page", `<!DOCTYPE html><html><head><title>502</title></head><body>Bad gateway</body></html>`, Unreadable},
		{"an error page without a document type", `<html><body><p>Bad gateway</p></body></html>`, WrongShape},
		{"an Atom index", string(sampleCAP(t, "index_atom_meteoalarm_style.constructed.atom.xml")), WrongShape},
		{"an RSS index", string(sampleCAP(t, "index_rss_empty.constructed.rss.xml")), WrongShape},
		{"another alert", strings.Replace(whole, "urn:oasis:names:tc:emergency:cap:1.2", "http://alerts.example/1", 1), WrongShape},
		{"another alert with plain names in it", strings.Replace(strings.Replace(strings.Replace(whole, `<alert xmlns="urn:oasis:names:tc:emergency:cap:1.2"`, `<x:alert xmlns:x="http://alerts.example/1"`, 1), "</alert>", "</x:alert>", 1), "UTF-8", "utf-8", 1), WrongShape},
		{"half of it", whole[:len(whole)/2], Unreadable},
		{"all but the last tag", strings.TrimSuffix(strings.TrimSpace(whole), "</alert>"), Unreadable},
		{"an error glued on", whole + "upstream timed out", Unreadable},
		{"two messages", whole + whole[strings.Index(whole, "<alert"):], Unreadable},
		{"entities that grow", `<!DOCTYPE a [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]>` + string(page(plainHead+`<note>&b;</note>`)), Unreadable},
		{"a file as an entity", `<?xml version="1.0"?><!DOCTYPE alert [<!ENTITY x SYSTEM "file:///x">]><alert>&x;</alert>`, Unreadable},
		{"an entity of HTML", string(page(plainHead + `<note>a&nbsp;b</note>`)), Unreadable},
		{"an encoding we do not read", strings.Replace(whole, "UTF-8", "UTF-16", 1), Unreadable},
		{"letters that are not UTF-8", strings.Replace(whole, "Avoid", "Av\xf3id", 1), Unreadable},
		{"too deep", string(page(plainHead + strings.Repeat("<a>", 100) + strings.Repeat("</a>", 100))), TooLarge},
		{"too many elements", string(page(plainHead + strings.Repeat("<a/>", maxElements))), TooLarge},
		{"too large", string(page(plainHead + "<note>" + strings.Repeat("x", MaxMessage) + "</note>")), TooLarge},
		{"too many infos", string(page(plainHead + strings.Repeat("<info/>", maxInfos+1))), TooLarge},
		{"too many references", string(page(plainHead + "<references>" + strings.Repeat("s,i,t ", maxReferences+1) + "</references>")), TooLarge},
		{"no identifier", strings.ReplaceAll(whole, "identifier>", "id>"), WrongShape},
		{"no sender", strings.ReplaceAll(whole, "sender>", "from>"), WrongShape},
		{"no time of sending", strings.ReplaceAll(whole, "sent>", "at>"), WrongShape},
		{"a time without a zone", strings.Replace(whole, "<sent>2026-12-06T15:00:00+11:00", "<sent>2026-12-06T15:00:00", 1), WrongShape},
		{"no status", strings.ReplaceAll(whole, "status>", "state>"), WrongShape},
		{"a status nobody knows", strings.Replace(whole, "Actual", "Perhaps", 1), WrongShape},
		{"a type nobody knows", strings.Replace(whole, "<msgType>Alert", "<msgType>Alarm", 1), WrongShape},
	} {
		t.Run(tc.name, func(t *testing.T) {
			m, err := DecodeCAP([]byte(tc.raw))
			if r, ok := errors.AsType[*Refused](err); !ok || r.Why != tc.want {
				t.Errorf("DecodeCAP = %q, %v, want refused: %s", m.Identifier, err, tc.want)
			}
			if err != nil && len(err.Error()) > 200 {
				t.Errorf("error of %d bytes, want one that can be logged: %.80s", len(err.Error()), err)
			}
		})
	}
}

func TestDecodeCAPReadsAllOfIt(t *testing.T) {
	m := message(t, "hazardous_surf_2_update.constructed.xml")
	if m.Identifier != "2.49.0.0.36.0.EX.20261206160000.HSW2" || m.Sender != "warnings@met.example" || m.Status != "Actual" || m.Type != "Update" || m.Scope != "Public" {
		t.Errorf("head = %+v", m)
	}
	if !m.Sent.Equal(ts("2026-12-06T16:00:00Z")) || m.Sent.Location() != time.UTC {
		t.Errorf("Sent = %v, want 16:00 UTC", m.Sent)
	}
	if len(m.References) != 1 || m.References[0].Identifier != "2.49.0.0.36.0.EX.20261206040000.HSW1" || m.References[0].Sender != m.Sender ||
		!m.References[0].Sent.Equal(ts("2026-12-06T04:00:00Z")) {
		t.Errorf("References = %+v", m.References)
	}
	in := m.Infos[0]
	if in.Language != "en-AU" || in.Event != "Hazardous Surf Warning" || in.Urgency != "Immediate" || in.Severity != "Severe" || in.Certainty != "Observed" ||
		in.SenderName != "Example Meteorological Service" || !strings.HasPrefix(in.Instruction, "Anglers") ||
		!in.Onset.Equal(ts("2026-12-06T16:00:00Z")) || !in.Expires.Equal(ts("2026-12-07T18:00:00Z")) {
		t.Errorf("info = %+v", in)
	}
	if len(in.Areas) != 2 || in.Areas[1].Desc != "Hunter Coast" || len(in.Areas[0].Polygons) != 1 || len(in.Areas[0].Polygons[0]) != 5 || in.Areas[0].Polygons[0][0].Lat != -33.55 {
		t.Errorf("areas = %+v", in.Areas)
	}
	if c := message(t, "hazardous_surf_1_alert.constructed.xml").Infos[0]; len(c.Codes) != 1 || c.Codes[0] != (Pair{"example:event", "marineHazardousSurf"}) || len(c.Responses) != 2 {
		t.Errorf("codes, responses = %+v, %+v", c.Codes, c.Responses)
	}
}

// CAP 1.1, a prefix, ISO-8859-1, words in other letters, an element of the same name from elsewhere.
func TestDecodeCAPTolerates(t *testing.T) {
	m := message(t, "latin1_prefixed_cap11.constructed.xml")
	in := m.Infos[0]
	if m.Status != "Actual" || m.Type != "Alert" || m.Scope != "Public" || in.Event != "Fenómenos costeros" {
		t.Errorf("message = %+v", m)
	}
	if !in.Expires.Equal(ts("2026-12-05T18:00:00Z")) {
		t.Errorf("Expires = %v, want that of CAP and not that of an extension", in.Expires)
	}
	if a := in.Areas[0]; a.Unread != 0 || len(a.Circles) != 1 || a.Circles[0].Km != 40 {
		t.Errorf("area = %+v, want the circle, and the empty polygon to spoil nothing", a)
	}
	t.Run("a byte order mark", func(t *testing.T) {
		decoded(t, append([]byte("\xef\xbb\xbf"), sampleCAP(t, "hazardous_surf_1_alert.constructed.xml")...))
	})
	t.Run("no namespace at all", func(t *testing.T) {
		decoded(t, []byte(strings.Replace(string(page(plainHead)), ` xmlns="urn:oasis:names:tc:emergency:cap:1.2"`, "", 1)))
	})
	t.Run("letters of windows-1252", func(t *testing.T) {
		raw := strings.Replace(string(page(plainHead+"<note>\x93a\x94 \x80 \xe9</note>")), `"1.0"?`, `"1.0" encoding="windows-1252"?`, 1)
		if m := decoded(t, []byte(raw)); m.Note != "“a” € é" {
			t.Errorf("Note = %q", m.Note)
		}
	})
	t.Run("CDATA", func(t *testing.T) {
		if m := decoded(t, page(plainHead+"<note><![CDATA[5 < 6 & more]]></note>")); m.Note != "5 < 6 & more" {
			t.Errorf("Note = %q", m.Note)
		}
	})
	t.Run("times that cannot be read are not given", func(t *testing.T) {
		in := decoded(t, page(plainHead+`<info><event>Gale</event><onset>soon</onset><expires>2026-12-05T20:00:00</expires><effective>0001-01-01T00:00:00Z</effective></info>`)).Infos[0]
		if !in.Onset.IsZero() || !in.Expires.IsZero() || !in.Effective.IsZero() {
			t.Errorf("times = %v, %v, %v, want none", in.Onset, in.Expires, in.Effective)
		}
	})
	t.Run("an empty code is none", func(t *testing.T) {
		if a := drawn(t, "<geocode><valueName>EMMA_ID</valueName><value/></geocode>"); !a.bare() {
			t.Errorf("area = %+v, want words only", a)
		}
	})
	t.Run("the standard's language", func(t *testing.T) {
		if in := decoded(t, page(plainHead+`<info><event>Gale</event></info>`)).Infos[0]; in.Language != "en-US" {
			t.Errorf("Language = %q, want en-US", in.Language)
		}
	})
}

func TestReferences(t *testing.T) {
	got := references("  s,i,2026-12-05T10:00:00+01:00\n\ts,i,j,2026-12-05T10:00:00-00:00 lone s,two x,y,never ")
	want := "[{s i 2026-12-05 09:00:00 +0000 UTC} {s i,j 2026-12-05 10:00:00 +0000 UTC} { lone 0001-01-01 00:00:00 +0000 UTC} {s two 0001-01-01 00:00:00 +0000 UTC} {x y 0001-01-01 00:00:00 +0000 UTC}]"
	if fmt.Sprint(got) != want {
		t.Errorf("references = %v, want %s", got, want)
	}
}

func TestInstant(t *testing.T) {
	for _, tc := range []struct{ in, want string }{
		{"2026-12-05T10:00:00-00:00", "2026-12-05T10:00:00Z"}, // UTC as CAP wants it
		{"2026-12-05T10:00:00Z", "2026-12-05T10:00:00Z"},
		{"2026-12-05T10:00:00+11:00", "2026-12-04T23:00:00Z"},
		{"2026-12-05T10:00:00.250+01:00", "2026-12-05T09:00:00.25Z"},
		{"2026-12-05T10:00:00+0100", "2026-12-05T09:00:00Z"},
		{"2026-12-05T10:00+01:00", "2026-12-05T09:00:00Z"},
		{"Thu, 01 Jan 2026 16:00:00 +0000", "2026-01-01T16:00:00Z"},
		{"Thu, 01 Jan 2026 16:00:00 GMT", "2026-01-01T16:00:00Z"},
		{"Thu,  1 Jan 2026 16:00:00 EST", "2026-01-01T21:00:00Z"}, // a name the package time takes for UTC
		{"1 Jan 2026 16:00 +0200", "2026-01-01T14:00:00Z"},
		{"Thu, 01 Jan 26 16:00:00 UT", "2026-01-01T16:00:00Z"},
		{"2026-12-05T10:00:00", ""}, {"Thu, 01 Jan 2026 16:00:00", ""}, {"Thu, 01 Jan 2026 16:00:00 XYZT", ""},
		{"1970-01-01T00:00:00Z", ""}, {"9999-12-31T23:59:59Z", ""}, {"", ""}, {"soon", ""}, {"2026-13-05T10:00:00Z", ""},
	} {
		got := ""
		if at := instant(tc.in); !at.IsZero() {
			got = at.Format(time.RFC3339Nano)
		}
		if got != tc.want {
			t.Errorf("instant(%q) = %q, want %q", tc.in, got, tc.want)
		}
	}
}
