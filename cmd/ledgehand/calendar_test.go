package main

import (
	"bytes"
	"strings"
	"testing"
	"time"

	ical "github.com/emersion/go-ical"
)

// The files that the whole bot sends, read by a reader of others (RFC 5545), from plan to cancelling (RFC 5546, section 4.1).
func TestACalendarFileFollowsItsPlan(t *testing.T) {
	st := planned(t, turningSea(t))
	files := func() (out []*ical.Calendar) {
		for _, p := range st.server.Messages(crew) {
			if p.File == nil {
				continue
			}
			if !strings.HasSuffix(p.FileName, ".ics") {
				t.Errorf("the file is called %q", p.FileName)
			}
			if strings.Contains(string(p.File), "38.9") || strings.Contains(string(p.File), "123.7") {
				t.Errorf("the file tells where the ledge is:\n%s", p.File)
			}
			c, err := ical.NewDecoder(bytes.NewReader(p.File)).Decode()
			must(t, err)
			out = append(out, c)
		}
		return out
	}
	for _, l := range []string{"/trip calendar", "/bring float", "/trip calendar", "/calloff"} {
		st.server.Write(crew, ana, l)
		must(t, st.settle(t.Context()))
		must(t, st.until(t.Context(), st.now().Add(time.Minute))) // a chat takes so much at once
	}
	all := files()
	if len(all) != 3 {
		t.Fatalf("%d files, want one each time it was asked for and one when the plan was called off", len(all))
	}
	text := func(p ical.Props, name string) string {
		t.Helper()
		s, err := p.Text(name)
		must(t, err)
		return s
	}
	uid := text(all[0].Events()[0].Props, ical.PropUID)
	for i, want := range []struct {
		method, status string
		seq            int
	}{{"PUBLISH", "CONFIRMED", 0}, {"PUBLISH", "CONFIRMED", 0}, {"CANCEL", "CANCELLED", 1}} {
		e := all[i].Events()[0]
		seq, err := e.Props.Get(ical.PropSequence).Int()
		must(t, err)
		if m, s := text(all[i].Props, ical.PropMethod), text(e.Props, ical.PropStatus); m != want.method || s != want.status || seq != want.seq || text(e.Props, ical.PropUID) != uid {
			t.Errorf("file %d: %s, %s, sequence %d, %s; want %+v and the same UID", i, m, s, seq, text(e.Props, ical.PropUID), want)
		}
		start, err := e.DateTimeStart(time.UTC)
		must(t, err)
		end, err := e.DateTimeEnd(time.UTC)
		must(t, err)
		if !start.Equal(day) || !end.Equal(day.Add(3*time.Hour)) {
			t.Errorf("file %d: from %v to %v, want 08:00 to 11:00 in California", i, start, end)
		}
	}
	if d := text(all[1].Events()[0].Props, ical.PropDescription); !strings.Contains(d, "Plan B: home") || !strings.Contains(d, "float: Ana") || !strings.Contains(d, "Nobody brings: throw line, first aid") {
		t.Errorf("the description lacks something:\n%s", d)
	}
}
