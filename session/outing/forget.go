package outing

import (
	"slices"
	"strings"
)

// Involves says whether somebody has a part in an outing that matters while it is open: of the party, ashore, alarmed, or one whose
// word it holds. To be of the mates is none.
func (o Outing) Involves(id int64) bool {
	_, in := o.Member(id)
	_, holds := o.Holder(id)
	return in || holds || o.OpenedBy == id ||
		slices.ContainsFunc(o.Tries, func(a Ack) bool { return a.By == id }) ||
		slices.ContainsFunc(o.Falls, func(f Fall) bool { return f.By == id }) ||
		slices.ContainsFunc(o.Told, func(t Told) bool {
			return slices.ContainsFunc(t.To, func(r Recipient) bool { return r.ID == id || r.Chat == id })
		})
}

// NamesOf are the names by which an outing knows a person.
func (o Outing) NamesOf(id int64) (names []string) {
	for _, m := range o.People {
		if m.ID == id {
			names = append(names, m.Name)
		}
	}
	for _, c := range slices.Concat(o.Contacts, o.Mates) {
		if c.ID == id {
			names = append(names, c.Name)
		}
	}
	for _, a := range o.Tries {
		if a.By == id {
			names = append(names, a.Name)
		}
	}
	for _, f := range o.Falls {
		if f.By == id {
			names = append(names, f.Name)
		}
	}
	return names
}

// Forget takes a person out of the record of an outing: those of the party stay as somebody without a number, those ashore and the
// mates go. It reports whether anything changed. An open outing that involves them is left as it is: an alert may need all of it.
func (o Outing) Forget(id int64, called []string, as string) (Outing, bool) {
	if !o.Closed() && o.Involves(id) {
		return o, false
	}
	names := append(slices.Clone(called), o.NamesOf(id)...)
	changed := false
	is := func(n string) bool { return n != as && slices.Contains(names, n) }
	blank := func(n *string) {
		if is(*n) {
			*n, changed = as, true
		}
	}
	nobody := func(i *int64, to int64) {
		if *i == id {
			*i, changed = to, true
		}
	}
	o = o.clone()
	o.Mates = slices.Clone(o.Mates)
	free := int64(-1) // a number like those of guests that nobody here has
	for slices.ContainsFunc(o.People, func(m Member) bool { return m.ID == free }) {
		free--
	}
	for i := range o.People {
		m := &o.People[i]
		if m.ID == id {
			o.Sheet.Car, o.Sheet.Wearing = "", "" // it may be theirs
			// All of the member but that they were there, and when they came off, is theirs.
			*m = Member{ID: free, Name: as, OffAt: m.OffAt, OffBy: m.OffBy, HomeAt: m.HomeAt}
			changed = true
		}
		blank(&m.OffBy)
	}
	if o.Sheet.Notes != "" && slices.ContainsFunc(names, func(n string) bool { return n != as && n != "" && strings.Contains(o.Sheet.Notes, n) }) {
		o.Sheet.Notes, changed = "", true // it names them
	}
	nobody(&o.OpenedBy, free)
	n := len(o.Contacts) + len(o.Mates)
	theirs := func(c Contact) bool { return c.ID == id || c.Chat == id }
	o.Contacts, o.Mates = slices.DeleteFunc(o.Contacts, theirs), slices.DeleteFunc(o.Mates, theirs)
	changed = changed || len(o.Contacts)+len(o.Mates) != n
	for i := range o.Told {
		to := slices.DeleteFunc(slices.Clone(o.Told[i].To), func(r Recipient) bool { return r.ID == id || r.Chat == id })
		changed = changed || len(to) != len(o.Told[i].To)
		o.Told[i].To = to
	}
	if o.Ack != nil && o.Ack.By == id {
		o.Ack, changed = nil, true
	}
	for i := range o.Tries {
		nobody(&o.Tries[i].By, 0)
		blank(&o.Tries[i].Name)
	}
	for i := range o.Falls {
		nobody(&o.Falls[i].By, 0)
		blank(&o.Falls[i].Name)
	}
	for i := range o.Heard {
		blank(&o.Heard[i].Who)
	}
	for i := range o.Delays {
		blank(&o.Delays[i].By)
	}
	return o, changed
}
