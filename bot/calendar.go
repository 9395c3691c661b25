package bot

import (
	"strings"

	"ledgehand/bot/chat"
	"ledgehand/bot/ical"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/trip"
)

// A plan as a calendar file: sent to whoever asks, and anew to where it went when the plan changes or is called off.

// calendarAsked says whether a line after /trip asks for the file.
func calendarAsked(args string) bool {
	switch strings.ToLower(strings.TrimSpace(args)) {
	case "calendar", "cal", "ics", "calendario":
		return true
	}
	return false
}

// tripCalendar is /trip calendar: of the newest plan that stands.
func (a *ask) tripCalendar() error {
	id, err := a.lastTrip()
	if err != nil {
		return err
	}
	if id == "" {
		return a.say("no_trips")
	}
	return a.calendar(id)
}

// calendar sends the file of a trip to where it was asked for.
func (a *ask) calendar(id string) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		t, ok, err := tx.LoadTrip(id)
		if err != nil {
			return err
		}
		if !ok {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		if !t.CalledOff.IsZero() {
			return a.problem(tx, w, trip.ErrCalledOff)
		}
		n, err := tx.LoadNotice(id)
		if err != nil {
			return err
		}
		n.Trip = id
		to, reads := int64(0), ""
		if a.r.Place.ID != t.Chat && !a.r.Place.Group { // 0 is the chat of the plan, whatever it is called when the plan changes
			to, reads = a.r.Place.ID, a.reads
		}
		n, _ = n.Sent(to, t.Seq, reads)
		if err := tx.PutNotice(n); err != nil {
			return err
		}
		file, err := calendarFile(tx, c, w, t)
		if err != nil {
			return err
		}
		a.toast = w.T("toast_noted")
		a.sendFile(tx, w.CalendarSent(t, false), file)
		return nil
	})
}

// calendarFile is the file itself. Its UID is a sum of crew and trip, so that it tells of neither.
func calendarFile(tx *session.Tx, c session.Crew, w wording.Words, t trip.Trip) (chat.Document, error) {
	summary, description := w.Calendar(t)
	data, err := ical.Encode(ical.Event{
		UID: ical.UID(t.Crew, t.ID), Seq: t.Seq, Stamp: tx.Now(), Start: t.Start, End: t.End,
		Summary: summary, Description: description, Location: t.Ledge, Crew: c.Title, Off: !t.CalledOff.IsZero(),
	})
	return chat.Document{Data: data, Name: "trip-" + t.Start.In(zone(t.Zone)).Format("2006-01-02") + ".ics", Type: ical.Media}, err
}

// calendarAgain sends the file of a plan that changed, or that is off, to where an older one went.
func (a *ask) calendarAgain(tx *session.Tx, c session.Crew, t trip.Trip) error {
	n, err := tx.LoadNotice(t.ID)
	if err != nil {
		return err
	}
	to := n.Outdated(t.Seq)
	for _, f := range to {
		m := chat.Message{To: f.Chat}
		w := wordsIn(c, f.Reads).In(t.Zone)
		if f.Chat == 0 {
			m.To, m.Thread = t.Chat, t.Thread
		}
		file, err := calendarFile(tx, c, w, t)
		if err != nil {
			return err
		}
		m.Text, m.File = w.CalendarSent(t, true), &file
		a.post(tx, "", session.Slow, m)
		n, _ = n.Sent(f.Chat, t.Seq, f.Reads)
	}
	if len(to) == 0 {
		return nil
	}
	return tx.PutNotice(n)
}

// calendarButton asks for the file.
func calendarButton(w wording.Words, t trip.Trip) chat.Button {
	return button(w.T("b_calendar"), actCalendar, ref(session.CrewID(t.Crew), t.ID), "")
}
