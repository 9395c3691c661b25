package outing

import "slices"

// Who ashore holds the plan can be changed by those out: taken off, and put in another order.

// Release is a member of the party taking a contact off their plans.
type Release struct{ By, Contact int64 }

// Reorder says in which order those ashore are told: by their ids, others after them as they were.
type Reorder struct {
	By  int64
	IDs []int64
}

func (Release) event() {}
func (Reorder) event() {}

// SayReleased tells the party that one of them took a contact off.
const SayReleased EffectKind = "released"

// release takes a contact off. Whoever was alarmed is still stood down at the end.
func (o Outing) release(e Release) (Outing, []Effect, error) {
	if _, ok := o.Member(e.By); !ok {
		return Outing{}, nil, ErrNotMember
	}
	i := slices.IndexFunc(o.Contacts, func(c Contact) bool { return c.ID == e.Contact })
	if i < 0 {
		return Outing{}, nil, ErrNotContact
	}
	c := o.Contacts[i]
	o.Contacts = slices.Delete(o.Contacts, i, i+1)
	if c.Mail != "" && slices.ContainsFunc(o.alarmed(), func(r Recipient) bool { return r.Chat == c.Chat }) {
		o.Released = append(slices.Clone(o.Released), c) // the stand-down needs the address
	}
	if o.Closed() {
		return o, nil, nil
	}
	return o, []Effect{{Kind: SayReleased, To: o.party(), For: o.BackBy, Who: c.Name, N: int(c.ID), Alert: true}}, nil
}

// reorder puts those ashore in another order. It tells nobody, and takes back no alarm.
func (o Outing) reorder(e Reorder) (Outing, []Effect, error) {
	if _, ok := o.Member(e.By); !ok {
		return Outing{}, nil, ErrNotMember
	}
	place := func(c Contact) int {
		if i := slices.Index(e.IDs, c.ID); i >= 0 {
			return i
		}
		return len(e.IDs)
	}
	slices.SortStableFunc(o.Contacts, func(a, b Contact) int { return place(a) - place(b) })
	return o, nil, nil
}

// Mailed finds a contact who is written to by mail, or was when they were alarmed.
func (o Outing) Mailed(chat int64) (Contact, bool) {
	for _, cs := range [][]Contact{o.Contacts, o.Released} {
		if i := slices.IndexFunc(cs, func(c Contact) bool { return c.Chat == chat && c.Mail != "" }); i >= 0 {
			return cs[i], true
		}
	}
	return Contact{}, false
}
