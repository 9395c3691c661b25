package command

import (
	"strings"
	"time"
)

// DayOrder is how a group writes dates with slashes.
type DayOrder string

// The orders. Day first outside the United States, month first there.
const (
	DayFirst   DayOrder = "day-first"
	MonthFirst DayOrder = "month-first"
)

// MaxSpan is the longest trip that is read without asking, and how far past midnight an end may wrap.
const MaxSpan = 14 * time.Hour

// MaxAhead is how far ahead a trip may start.
const MaxAhead = 400 * 24 * time.Hour

// Window is when a trip is. Zero times were not given. All are in the zone asked for.
type Window struct {
	Start, End time.Time // the fishing
	BackBy     time.Time // off the rocks by
	Rest       string    // what was not about time: the ledge, as typed
	Confirm    Word      // AskDate or AskHour: read with good reason, but say it back as a question; "" otherwise
}

// When reads a trip line in a zone: "sat 5am til 10", "Fri 18:30-22:00", "back by 3pm",
// "north ledge tomorrow 0530-0900 back by 10", "for 3h", "leaving in half an hour, 3 hrs".
//
// The answer is a window with a start and an end, or a time to be back by, or both. Otherwise the
// error is *Ambiguous (ask; the window holds what is certain) or *Unread (refuse). Text it did not
// use is in Rest either way. The rules:
//
//   - An hour without am, pm or a 24-hour spelling is read only if something settles it: a part of
//     the day, the other end of the range, or that one of the two has passed.
//   - An end, or a time to be back, is the first such time after the start: the early reading raises
//     the alert early. More than MaxSpan is asked about.
//   - A bare time to be back with no start is read if both halves of the day lie ahead of now on
//     different days, the nearer this afternoon or evening; it then carries Confirm.
//   - "3-5pm" is of one half of the day; an end written as its start is, "22:30 til 12:00", is on the
//     same 24-hour clock. "Half five" is half past, and asked for its half of the day.
//   - A weekday is the next whose time is ahead; "next sat" is asked, "sat week" is seven days after
//     the next. A day may be named once, and the end may have one of its own.
//   - A date with slashes is read in the order given; the other order is a question only where the
//     first has just passed.
//   - Without a day, or today, a turn of the tide is the coming one. On another day it must be the only
//     one of that day or that part of it. "The last 2 of the ebb" counts in hours.
//   - Of two promises to be back the later holds. "5:30 for 6", to meet and to fish, is asked.
//   - A local time that a change of clocks doubles or skips is asked.
//
// Ledge names may hold numbers or words about time ("Ledge 9", "Back Rock", "Low Shelf"): take the
// names you know out of the line first.
func When(text string, now time.Time, zone *time.Location, order DayOrder) (Window, error) {
	return Local{}.When(text, now, zone, order)
}

// WhenBack reads the line of somebody who goes out now: as When, but a time or a span with nothing
// beside it is the return, "15:00" as "back by 15:00" and "3h" as "for 3h" from now (the early
// reading: it raises the alert early). What comes back without an error has an End or a BackBy.
func WhenBack(text string, now time.Time, zone *time.Location, order DayOrder) (Window, error) {
	return Local{}.WhenBack(text, now, zone, order)
}

// When is as the function of that name, and reads times that hang on the tide and the light of the place too.
func (l Local) When(text string, now time.Time, zone *time.Location, order DayOrder) (Window, error) {
	return l.when(text, now, zone, order, false)
}

// WhenBack is as the function of that name, and reads times that hang on the tide and the light of the place too.
func (l Local) WhenBack(text string, now time.Time, zone *time.Location, order DayOrder) (Window, error) {
	return l.when(text, now, zone, order, true)
}

func (l Local) when(text string, now time.Time, zone *time.Location, order DayOrder, returns bool) (Window, error) {
	line := strings.TrimSpace(text)
	if len(line) > MaxLine {
		return Window{}, &Unread{Said: strings.ToValidUTF8(line[:20], ""), Why: WhyLong}
	}
	if line == "" {
		return Window{}, &Unread{Why: WhyEmpty}
	}
	toks, err := tokenize(line, plainWords(lex(line)))
	if err != nil {
		return Window{}, err
	}
	p := plan{returns: returns, line: line, now: now.In(zone).Truncate(time.Minute), zone: zone, order: order, local: l}
	rest, err := p.walk(toks)
	if err != nil {
		return Window{Rest: rest}, err
	}
	w, err := p.resolve()
	w.Rest = rest
	if ask, ok := err.(*Ambiguous); ok {
		for i := range ask.Readings {
			ask.Readings[i].Rest = rest
		}
	}
	return w, err
}
