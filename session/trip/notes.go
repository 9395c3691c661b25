package trip

import (
	"slices"
	"strings"
	"time"
)

// MostNotes is how many comments a plan keeps, the newest.
const MostNotes = 10

// Note is what somebody wrote to a plan.
type Note struct {
	By   int64     `json:"by,omitempty"` // 0: somebody who is forgotten
	Name string    `json:"name"`
	Text string    `json:"text"`
	At   time.Time `json:"at"`
}

// AddNote is a comment.
type AddNote struct {
	ID   int64
	Name string
	Text string
}

// addNote keeps a comment; the same one twice running is one.
func (t *Trip) addNote(e AddNote, now time.Time) error {
	text := strings.TrimSpace(e.Text)
	if text == "" {
		return ErrUnknown
	}
	if n := len(t.Notes); n > 0 && t.Notes[n-1].By == e.ID && t.Notes[n-1].Text == text {
		return nil
	}
	t.Notes = append(t.Notes, Note{By: e.ID, Name: e.Name, Text: text, At: now})
	t.Notes = t.Notes[max(0, len(t.Notes)-MostNotes):]
	return nil
}

func sameNotes(a, b []Note) bool {
	return slices.EqualFunc(a, b, func(x, y Note) bool {
		return x.By == y.By && x.Name == y.Name && x.Text == y.Text && x.At.Equal(y.At)
	})
}
