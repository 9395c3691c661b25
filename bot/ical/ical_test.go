package ical

import (
	"bytes"
	"errors"
	"regexp"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	reader "github.com/emersion/go-ical"
)

var made = time.Date(2026, 3, 13, 19, 2, 0, 0, time.UTC)

func plan() Event {
	zone, err := time.LoadLocation("America/Los_Angeles")
	if err != nil {
		panic(err)
	}
	return Event{
		UID: UID("g7", "t1"), Seq: 2, Stamp: made,
		Start: time.Date(2026, 3, 14, 5, 30, 0, 0, zone), End: time.Date(2026, 3, 14, 9, 0, 0, 0, zone),
		Summary: "Anvil", Location: "Anvil", Description: "Plan B: Long Step, decide by 20:00.\nThrow line: Ana; float: nobody, yet \\ so far.", Crew: "The crew",
	}
}

// read opens a file with a reader that is not by those who wrote the writer.
func read(t testing.TB, file []byte) *reader.Calendar {
	t.Helper()
	c, err := reader.NewDecoder(bytes.NewReader(file)).Decode()
	if err != nil {
		t.Fatalf("an ordinary reader refuses it: %v\n%s", err, file)
	}
	// The reader's own writer checks which properties must be there, and how often.
	if err := reader.NewEncoder(&bytes.Buffer{}).Encode(c); err != nil {
		t.Fatalf("it lacks something: %v\n%s", err, file)
	}
	return c
}

func prop(t testing.TB, p reader.Props, name string) string {
	t.Helper()
	s, err := p.Text(name)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return s
}

// RFC 5545: shape and values. RFC 5546, sections 4.1.1 to 4.1.3: the methods of an event that is published, changed and cancelled.
func TestAPlanIsReadByAnOrdinaryReader(t *testing.T) {
	for _, off := range []bool{false, true} {
		e := plan()
		method, status := "PUBLISH", "CONFIRMED"
		if off {
			e.Off, e.Seq, method, status = true, 3, "CANCEL", "CANCELLED"
		}
		file, err := Encode(e)
		if err != nil {
			t.Fatal(err)
		}
		c := read(t, file)
		if got := prop(t, c.Props, reader.PropMethod); got != method {
			t.Errorf("method %s, want %s", got, method)
		}
		if got := prop(t, c.Props, reader.PropVersion); got != "2.0" {
			t.Errorf("version %s, want 2.0", got)
		}
		if len(c.Events()) != 1 {
			t.Fatalf("%d events, want one", len(c.Events()))
		}
		v := c.Events()[0]
		for name, want := range map[string]string{
			reader.PropUID: e.UID, reader.PropSummary: e.Summary, reader.PropDescription: e.Description, reader.PropLocation: e.Location, reader.PropStatus: status,
		} {
			if got := prop(t, v.Props, name); got != want {
				t.Errorf("%s = %q, want %q", name, got, want)
			}
		}
		if n, err := v.Props.Get(reader.PropSequence).Int(); err != nil || n != e.Seq {
			t.Errorf("sequence %d, %v, want %d", n, err, e.Seq)
		}
		start, err1 := v.DateTimeStart(time.UTC)
		end, err2 := v.DateTimeEnd(time.UTC)
		stamp, err3 := v.Props.DateTime(reader.PropDateTimeStamp, time.UTC)
		if err := errors.Join(err1, err2, err3); err != nil || !start.Equal(e.Start) || !end.Equal(e.End) || !stamp.Equal(made) {
			t.Errorf("from %v to %v, stamped %v, %v", start, end, stamp, err)
		}
		if o := v.Props.Get(reader.PropOrganizer); o == nil || o.Params.Get("CN") != "The crew" || strings.Contains(o.Value, "mailto") {
			t.Errorf("organizer %+v, want the crew, who has no address", o)
		}
	}
}

// RFC 5545, section 3.1: lines end in CRLF, have at most 75 octets, and a fold never falls within a character.
func TestLinesAreFoldedBetweenCharacters(t *testing.T) {
	for _, s := range []string{
		strings.Repeat("á", 400), strings.Repeat("アンビル", 90), strings.Repeat("x", 500), strings.Repeat("ab ", 120), strings.Repeat(`\;,`, 90),
		"🎣" + strings.Repeat("x", 59) + "🎣🎣", strings.Repeat("\n", 3) + "línea", strings.Repeat(" ", 200) + "x", strings.Repeat("e\u0301", 90),
	} {
		e := plan()
		e.Description, e.Summary = s, s
		file, err := Encode(e)
		if err != nil {
			t.Fatal(err)
		}
		checkLines(t, file)
		v := read(t, file).Events()[0]
		if got, want := prop(t, v.Props, reader.PropDescription), strings.TrimSpace(s); got != want {
			t.Errorf("read back %q, want %q", got, want)
		}
	}
}

func checkLines(t testing.TB, file []byte) {
	t.Helper()
	body, ended := strings.CutSuffix(string(file), "\r\n")
	if !ended {
		t.Errorf("the file does not end in CRLF")
	}
	for _, l := range strings.Split(body, "\r\n") {
		if len(l) > 75 || strings.ContainsAny(l, "\r\n") || !utf8.ValidString(l) {
			t.Errorf("line of %d octets, want up to 75 of whole characters: %q", len(l), l)
		}
	}
}

func TestEventsThatEndBeforeTheyBegin(t *testing.T) {
	e := plan()
	e.End = e.Start
	if _, err := Encode(e); !errors.Is(err, ErrTimes) {
		t.Errorf("error %v, want ErrTimes", err)
	}
}

// RFC 9562, section 5.8: version 8 and the variant; and nothing of what it is made from.
func TestUIDs(t *testing.T) {
	a, b := UID("g7", "t1"), UID("g7", "t2")
	if a == b || a != UID("g7", "t1") || UID("g7t", "1") == UID("g7", "t1") {
		t.Errorf("UIDs %s and %s, want one a plan and the same each time", a, b)
	}
	if !regexp.MustCompile(`^[0-9a-f]{8}-[0-9a-f]{4}-8[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$`).MatchString(a) {
		t.Errorf("UID %s has not the form of a UUID of version 8", a)
	}
}

// Whatever people write, the file is one event of their words and nothing else.
func FuzzEncode(f *testing.F) {
	f.Add("Anvil", "a\nEND:VEVENT\r\nBEGIN:VEVENT", `x";CN="y:z`)
	f.Add("\x00\u2028\x85", strings.Repeat("é", 4100), "'\\'")
	f.Fuzz(func(t *testing.T, summary, description, crew string) {
		e := plan()
		e.Summary, e.Description, e.Crew = summary, description, crew
		file, err := Encode(e)
		if err != nil {
			t.Fatal(err)
		}
		checkLines(t, file)
		c := read(t, file)
		if len(c.Events()) != 1 || len(c.Children) != 1 {
			t.Fatalf("%d events in it:\n%s", len(c.Events()), file)
		}
		if got := prop(t, c.Events()[0].Props, reader.PropSummary); got != text(summary) {
			t.Errorf("summary %q, want %q", got, text(summary))
		}
	})
}
