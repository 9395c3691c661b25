package session

import (
	"slices"
	"strings"
	"time"
)

// MailInvites are one angler's invitations by mail that nobody has said yes to yet. They lie in a record of their own, in the shard of
// the angler's private chat, so that the sweep takes what is over out of the store: an address of somebody who did not say yes is no
// business of ours after a week, whether or not anybody writes to us.
type MailInvites struct {
	V    int          `json:"v"`
	Of   int64        `json:"of"`
	List []MailInvite `json:"list,omitempty"`
	Sent []time.Time  `json:"sent,omitempty"` // when invitations went out within a day, whatever became of them
}

// MailInvite is one. Whoever reads the mail tells the angler the code, and only then is a plan of theirs held.
type MailInvite struct {
	ID      string    `json:"id"`
	Code    string    `json:"code"`
	Crew    CrewID    `json:"crew"` // whose record the contact goes into
	Name    string    `json:"name"`
	Address string    `json:"address"`
	Made    time.Time `json:"made"`
	Wrong   int       `json:"wrong,omitempty"` // codes that the angler typed and that were none
}

// How many may wait at once, how many codes may be wrong, and over how long invitations are counted.
const (
	MostMailInvites = 3
	MostWrongCodes  = 5
	mailInvitesDay  = 24 * time.Hour
)

// invitesID is the id of the record within the angler's private crew: there is one.
const invitesID = "mail"

func invitesKey(c CrewID) string { return "invites/" + string(c) + "/" + invitesID }

// NextLook is when something of it is over; zero when it is empty.
func (m MailInvites) NextLook() time.Time {
	var next time.Time
	consider := func(t time.Time) {
		if next.IsZero() || t.Before(next) {
			next = t
		}
	}
	for _, i := range m.List {
		consider(i.Made.Add(InviteLasts))
	}
	for _, t := range m.Sent {
		consider(t.Add(mailInvitesDay))
	}
	return next
}

// Tick drops what is over, and gives back the invitations among it.
func (m MailInvites) Tick(now time.Time) (next MailInvites, over []MailInvite) {
	var left []MailInvite
	for _, i := range m.List {
		if now.Before(i.Made.Add(InviteLasts)) {
			left = append(left, i)
		} else {
			over = append(over, i)
		}
	}
	m.List = left
	m.Sent = slices.DeleteFunc(slices.Clone(m.Sent), func(t time.Time) bool { return !now.Before(t.Add(mailInvitesDay)) })
	return m, over
}

// Add notes an invitation. One to the same address ends the older.
func (m MailInvites) Add(i MailInvite) MailInvites {
	m = m.Without(func(x MailInvite) bool { return strings.EqualFold(x.Address, i.Address) })
	m.List = append(m.List, i)
	m.Sent = append(slices.Clone(m.Sent), i.Made)
	return m
}

// Without drops some.
func (m MailInvites) Without(drop func(MailInvite) bool) MailInvites {
	m.List = slices.DeleteFunc(slices.Clone(m.List), drop)
	return m
}

// Coded is the one with a code.
func (m MailInvites) Coded(code string) (MailInvite, bool) {
	i := slices.IndexFunc(m.List, func(x MailInvite) bool { return x.Code == code })
	if i < 0 || code == "" {
		return MailInvite{}, false
	}
	return m.List[i], true
}

// WrongCode counts a code that is none, against all that wait: which was meant nobody knows. left is how many may still be wrong.
func (m MailInvites) WrongCode() (next MailInvites, left int) {
	list := slices.Clone(m.List)
	left = MostWrongCodes
	for i := range list {
		list[i].Wrong++
		left = min(left, MostWrongCodes-list[i].Wrong)
	}
	m.List = slices.DeleteFunc(list, func(i MailInvite) bool { return i.Wrong >= MostWrongCodes })
	return m, left
}

// LoadMailInvites reads the invitations of the angler whose private crew this is.
func (tx *Tx) LoadMailInvites() (m MailInvites, err error) {
	_, err = tx.load(invitesKey(tx.Crew), &m)
	return m, err
}

// PutMailInvites writes them, or takes the record out of the store when there is nothing in it.
func (tx *Tx) PutMailInvites(m MailInvites) error {
	m.V = 1
	key := invitesKey(tx.Crew)
	if len(m.List) == 0 && len(m.Sent) == 0 {
		tx.look(key, time.Time{})
		return tx.drop(key)
	}
	tx.look(key, m.NextLook())
	return tx.put(key, m)
}
