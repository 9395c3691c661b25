package bot

import (
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/trip"
)

// What people write to a plan: typed, or as a reply to its panel.

// mostNoteText is how long a comment may be, in characters: it stands on a panel.
const mostNoteText = 160

// noteTrip is /trip note WORDS.
func (a *ask) noteTrip(said string) error {
	text := wording.Clean(said, mostNoteText)
	if text == "" {
		return a.say("trip_note_how")
	}
	return a.typedTrip(func() (trip.Event, bool) {
		return trip.AddNote{ID: a.r.From.ID, Name: a.name(), Text: text}, true
	})
}

// notedReply takes a line that answers the panel of a plan as a comment to it; but not of somebody who is out: what they write may
// be about that, and must not stand on a plan as if it had been understood.
func (a *ask) notedReply() (noted bool, err error) {
	text := wording.Clean(a.r.Text, mostNoteText)
	if a.r.ReplyTo == 0 || text == "" {
		return false, nil
	}
	id := ""
	if err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		if len(c.Trips) == 0 {
			return nil
		}
		open, err := tx.OpenOutings()
		if err != nil {
			return err
		}
		if _, out := outWith(open, a.r.From.ID); out {
			return nil
		}
		ts, err := tx.OpenTrips()
		for _, t := range ts {
			if a.answers(t.Chat, t.Panel) {
				id = t.ID
			}
		}
		return err
	}); err != nil || id == "" {
		return false, err
	}
	return true, a.onTrip(id, trip.AddNote{ID: a.r.From.ID, Name: a.name(), Text: text})
}
