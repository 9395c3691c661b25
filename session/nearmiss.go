package session

import (
	"slices"
	"time"
)

// NearMiss is what nearly went wrong on a ledge, told by one who was there. Nobody is named but by what they wrote.
type NearMiss struct {
	ID     string    `json:"id"`
	At     time.Time `json:"at"` // the day it is of
	Text   string    `json:"text"`
	By     int64     `json:"by"` // who may take it back; never shown
	Outing string    `json:"outing,omitempty"`
}

// MostNear bounds what is kept with a ledge, the newest; NearLasts is how long it is shown.
const (
	MostNear  = 20
	NearLasts = 365 * 24 * time.Hour
)

// NoteNear keeps a near miss with a ledge, by the ledge's name; not ok if there is none of that name. One of the same id is
// the same one.
func (c *Crew) NoteNear(ledge string, n NearMiss) bool {
	l, ok := c.LedgeNamed(ledge)
	if !ok {
		return false
	}
	l.Near = slices.DeleteFunc(slices.Clone(l.Near), func(x NearMiss) bool { return x.ID == n.ID })
	l.Near = append(l.Near, n)
	slices.SortStableFunc(l.Near, func(a, b NearMiss) int { return a.At.Compare(b.At) })
	l.Near = l.Near[max(0, len(l.Near)-MostNear):]
	c.PutLedge(l)
	return true
}

// TakeBackNear takes one back, by who wrote it; ok is false when there is none such of theirs.
func (c *Crew) TakeBackNear(id string, by int64) (ledge string, ok bool) {
	for _, l := range c.Ledges {
		i := slices.IndexFunc(l.Near, func(n NearMiss) bool { return n.ID == id && n.By == by && by != 0 })
		if i < 0 {
			continue
		}
		l.Near = slices.Delete(slices.Clone(l.Near), i, i+1) // empty and not nil: PutLedge keeps what is not given
		c.PutLedge(l)
		return l.Name, true
	}
	return "", false
}

// NearLately are a ledge's near misses of the last year, the newest first.
func (l Ledge) NearLately(now time.Time) (out []NearMiss) {
	for _, n := range slices.Backward(l.Near) {
		if now.Sub(n.At) < NearLasts {
			out = append(out, n)
		}
	}
	return out
}
