package session

import (
	"slices"
	"strings"
	"time"

	"ledgehand/session/lookout"
	"ledgehand/session/outing"
)

// EditAdmins is the value of Crew.Edit with which only those who administer the group may change ledges and limits.
const EditAdmins = "admins"

// Number is the emergency number a crew set for itself, for ledges whose card has none.
type Number struct {
	Number  string    `json:"number"`
	Source  string    `json:"source,omitempty"`
	By      string    `json:"by"`
	At      time.Time `json:"at"`
	Country string    `json:"country,omitempty"` // it counts for ledges there; "" while there is no ledge to tell
}

// For says what number counts for a ledge of a country, "" for none: one country's number is not another's.
func (n *Number) For(country string) string {
	if n == nil || n.Country != "" && n.Country != country {
		return ""
	}
	return n.Number
}

// Quiet are the hours in which what is not urgent makes no sound, in minutes after midnight, local. They may go over midnight.
type Quiet struct {
	From int `json:"from"`
	To   int `json:"to"`
}

// Covers says whether an instant lies in them.
func (q *Quiet) Covers(at time.Time, zone *time.Location) bool {
	if q == nil || q.From == q.To {
		return false
	}
	l := at.In(zone)
	m := l.Hour()*60 + l.Minute()
	if q.From < q.To {
		return m >= q.From && m < q.To
	}
	return m >= q.From || m < q.To
}

// GoneKept is how long a crew's things are kept after we were removed from its group, for whoever adds us again.
const GoneKept = 30 * 24 * time.Hour

// mostLeft bounds in how many crews that somebody left it is looked for outings of theirs.
const mostLeft = 10

// Leave notes that somebody belongs to a crew no more; it reports whether that is news. An outing of theirs there may be open.
func (p *Person) Leave(c CrewID) bool {
	if !slices.Contains(p.Crews, c) && slices.Contains(p.Left, c) {
		return false
	}
	p.Crews = slices.DeleteFunc(slices.Clone(p.Crews), func(x CrewID) bool { return x == c })
	rest := slices.DeleteFunc(slices.Clone(p.Left), func(x CrewID) bool { return x == c })
	p.Left = append([]CrewID{c}, rest[:min(len(rest), mostLeft-1)]...)
	if p.Crew == c {
		p.Crew = ""
	}
	return true
}

// ClearCrew removes up to n records of the crew that is being changed, and when none is left all its own record holds but whom people chose to
// hold their plans, which is theirs and not the crew's. Open outings, what is looked for on their behalf, and the keys in keep stay;
// more says that something is left to remove.
func (tx *Tx) ClearCrew(n int, keep ...string) (more bool, err error) {
	keys, err := tx.store.Keys(tx.ctx, tx.shard, "")
	if err != nil {
		return false, err
	}
	slices.Sort(keys)
	open, err := tx.OpenOutings()
	if err != nil {
		return false, err
	}
	var mine []string
	for _, key := range keys {
		_, crew, id, ok := splitKey(key)
		if ok && crew == tx.Crew && !slices.Contains(keep, key) && !slices.ContainsFunc(open, func(o outing.Outing) bool { return strings.HasSuffix(id, o.ID) }) {
			mine = append(mine, key)
		}
	}
	for i, key := range mine {
		if i == n {
			return true, nil
		}
		if kind, _, id, _ := splitKey(key); kind == "outing" { // whatever the crew's list says
			if o, found, err := tx.LoadOuting(id); err != nil || found && !o.Closed() {
				if err != nil {
					return false, err
				}
				continue
			}
		}
		tx.look(key, time.Time{})
		if err := tx.drop(key); err != nil {
			return false, err
		}
	}
	c, found, err := tx.LoadCrew()
	if err != nil || !found {
		return false, err
	}
	return false, tx.PutCrew(Crew{ID: c.ID, Chat: c.Chat, Group: c.Group, Language: c.Language, Units: c.Units, Zone: c.Zone, Holders: c.Holders, Outings: c.Outings, Met: c.Met, Gone: c.Gone})
}

// LookoutKey is the key of a look-out of a crew, by its id.
func LookoutKey(c CrewID, id string) string { return lookoutKey(c, id) }

// DropLookout takes a look-out out of the store, which is at its end.
func (tx *Tx) DropLookout(l lookout.Lookout) error {
	key := lookoutKey(tx.Crew, l.ID())
	if _, _, err := tx.LoadLookout(l.ID()); err != nil {
		return err
	}
	tx.look(key, time.Time{})
	return tx.drop(key)
}
