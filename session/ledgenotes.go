package session

import (
	"slices"
	"time"
)

// LedgeNote is a line that somebody wrote down about a ledge, for the crew.
type LedgeNote struct {
	ID   string    `json:"id"`
	At   time.Time `json:"at"`
	By   int64     `json:"by"`
	Name string    `json:"name"`
	Text string    `json:"text"`
}

// MostNotes bounds what is kept with a ledge, the newest.
const MostNotes = 30

// LedgePhoto is a picture of a ledge that the chat service holds: we keep its reference. It may show where the ledge is, and goes where its
// exact position goes.
type LedgePhoto struct {
	Ref  string    `json:"ref"`
	At   time.Time `json:"at"`
	By   int64     `json:"by"`
	Name string    `json:"name"`
}

// AddNote keeps a note with a ledge, by the ledge's name; over says that the oldest had to go for it. One of the same id is the same one.
func (c *Crew) AddNote(ledge string, n LedgeNote) (over, ok bool) {
	l, ok := c.LedgeNamed(ledge)
	if !ok {
		return false, false
	}
	l.Notes = slices.DeleteFunc(slices.Clone(l.Notes), func(x LedgeNote) bool { return x.ID == n.ID })
	l.Notes = append(l.Notes, n)
	over = len(l.Notes) > MostNotes
	l.Notes = l.Notes[max(0, len(l.Notes)-MostNotes):]
	c.PutLedge(l)
	return over, true
}

// DropNote takes a note off a ledge, by whoever wrote it.
func (c *Crew) DropNote(id string, by int64) (ledge string, ok bool) {
	for _, l := range c.Ledges {
		i := slices.IndexFunc(l.Notes, func(n LedgeNote) bool { return n.ID == id && n.By == by && by != 0 })
		if i < 0 {
			continue
		}
		l.Notes = slices.Delete(slices.Clone(l.Notes), i, i+1) // empty and not nil: PutLedge keeps what is not given
		c.PutLedge(l)
		return l.Name, true
	}
	return "", false
}

// LedgeShare is a link by which one person, once, takes a copy of a ledge's card into their own private crew.
type LedgeShare struct {
	Token string    `json:"token"`
	Ledge string    `json:"ledge"`
	Of    int64     `json:"of"` // who made it
	Name  string    `json:"name"`
	Made  time.Time `json:"made"`
	Taken int64     `json:"taken,omitempty"` // by whom; -1: by somebody who is forgotten
	Ended time.Time `json:"ended,omitzero"`  // a newer one for the same ledge took its place
}

// Open says whether it can still be taken up. It lasts as long as an invitation.
func (s LedgeShare) Open(now time.Time) bool {
	return s.Taken == 0 && s.Ended.IsZero() && now.Sub(s.Made) <= InviteLasts
}

// Share adds a link. It ends older ones of the same person for the same ledge; what nobody would know again is forgotten.
func (c *Crew) Share(to LedgeShare) {
	c.Shares = slices.DeleteFunc(slices.Clone(c.Shares), func(s LedgeShare) bool { return to.Made.Sub(s.Made) > InviteKept })
	for i := range c.Shares {
		if x := &c.Shares[i]; x.Of == to.Of && x.Ledge == to.Ledge && x.Open(to.Made) {
			x.Ended = to.Made
		}
	}
	c.Shares = append(c.Shares, to)
}

// Shared finds a link by its token, open or not.
func (c *Crew) Shared(token string) (LedgeShare, bool) {
	i := slices.IndexFunc(c.Shares, func(s LedgeShare) bool { return s.Token == token })
	if i < 0 || token == "" {
		return LedgeShare{}, false
	}
	return c.Shares[i], true
}

// TakeShare marks a link as taken up by somebody. The same person may take it again: a tap comes twice.
func (c *Crew) TakeShare(token string, by int64, now time.Time) (LedgeShare, bool) {
	i := slices.IndexFunc(c.Shares, func(s LedgeShare) bool { return s.Token == token })
	if i < 0 || token == "" || by == 0 || !c.Shares[i].Open(now) && c.Shares[i].Taken != by {
		return LedgeShare{}, false
	}
	c.Shares = slices.Clone(c.Shares)
	c.Shares[i].Taken = by
	return c.Shares[i], true
}
