// Package ical writes a plan as an iCalendar file (RFC 5545), the form that ordinary calendars take: one event a file,
// sent anew with the same UID and a higher SEQUENCE when the plan changes, and as a CANCEL when it is called off
// (RFC 5546, section 4.1: publishing, changing and cancelling an event). It is pure. It knows names and times and no
// positions, and it models neither answers of those invited nor events that repeat.
package ical

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	ics "github.com/arran4/golang-ical"
)

// Event is one plan. Texts are plain: no markup, lines parted by \n.
type Event struct {
	UID         string    // of UID; the same for as long as the plan is the same
	Seq         int       // counts the changes that matter; never goes back
	Stamp       time.Time // when this file was made
	Start, End  time.Time
	Summary     string
	Description string
	Location    string // a name, never a position
	Crew        string // who it is of, as the calendar shows it
	Off         bool   // called off
}

// Media is the type of such a file, by RFC 5545 section 8.1; a mail or a chat that shows it can tell what it is.
const Media = "text/calendar; charset=utf-8"

// mostText bounds each text, in characters: far more than a plan has, and little enough for any calendar.
const mostText = 4000

// ErrTimes means that an event would end before it begins.
var ErrTimes = errors.New("end of a calendar event is not after its start")

// Encode writes the file: CRLF, lines of at most 75 octets, instants in UTC, so that no calendar has to know the zone.
func Encode(e Event) ([]byte, error) {
	if !e.End.After(e.Start) {
		return nil, ErrTimes
	}
	c := ics.NewCalendarFor("Ledgehand")
	c.SetCalscale("GREGORIAN")
	c.SetMethod(ics.MethodPublish)
	if e.Off {
		c.SetMethod(ics.MethodCancel)
	}
	v := c.AddEvent(e.UID)
	v.SetDtStampTime(e.Stamp)
	v.SetSequence(e.Seq)
	v.SetStartAt(e.Start)
	v.SetEndAt(e.End)
	v.SetSummary(text(e.Summary))
	v.SetDescription(text(e.Description))
	v.SetLocation(text(e.Location))
	// RFC 5546 wants an organizer, who need not have a mail address: a name and an id nobody can write to.
	organizer := []ics.PropertyParameter{}
	if name := param(e.Crew); name != "" {
		organizer = append(organizer, ics.WithCN(name))
	}
	v.SetProperty(ics.ComponentPropertyOrganizer, "urn:uuid:"+e.UID, organizer...)
	v.SetStatus(ics.ObjectStatusConfirmed)
	if e.Off {
		v.SetStatus(ics.ObjectStatusCancelled)
	}
	var out strings.Builder
	if err := c.SerializeTo(&out, ics.WithNewLineWindows); err != nil {
		return nil, fmt.Errorf("write a calendar file: %w", err)
	}
	return []byte(out.String()), nil
}

// UID is a name for a record that no other has, in the form of a UUID (RFC 7986, section 5.3, which also wants it to tell
// nothing of anybody): a sum, so neither chats nor people can be read from it. Version 8 of RFC 9562 is for such.
func UID(parts ...string) string {
	sum := sha256.Sum256([]byte("ledgehand plan\x00" + strings.Join(parts, "\x00")))
	b := sum[:16]
	b[6], b[8] = b[6]&0x0f|0x80, b[8]&0x3f|0x80
	h := hex.EncodeToString(b)
	return h[:8] + "-" + h[8:12] + "-" + h[12:16] + "-" + h[16:20] + "-" + h[20:]
}

// text keeps what a TEXT value may hold: no controls but line feeds (RFC 5545, section 3.1), whole characters, an end.
func text(s string) string {
	s = strings.Map(func(r rune) rune {
		if r != '\n' && unicode.IsControl(r) || r == utf8.RuneError {
			return -1
		}
		return r
	}, strings.ReplaceAll(s, "\r\n", "\n"))
	if r := []rune(s); len(r) > mostText {
		s = string(r[:mostText-1]) + "…"
	}
	return strings.TrimSpace(s)
}

// param is a name as the value of a parameter, which can hold neither quotes nor what parts parameters.
func param(s string) string {
	return strings.Join(strings.Fields(strings.Map(func(r rune) rune {
		if strings.ContainsRune(`";:,\'`, r) || r == '\n' {
			return ' '
		}
		return r
	}, text(s))), " ")
}
