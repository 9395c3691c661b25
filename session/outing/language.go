package outing

import "slices"

// In which language somebody is told. The machine does not look at it: a contact whose language nobody knows is told in
// the crew's.

// LanguageIn is what is read in a chat: of whoever reads there alone, "" for the group and for chats that nobody of the
// outing has.
func (o Outing) LanguageIn(chat int64) string {
	if chat == o.Group {
		return ""
	}
	for _, m := range o.People {
		if m.Chat == chat || m.Chat == 0 && m.ID == chat {
			return m.Language
		}
	}
	for _, c := range append(slices.Clone(o.Contacts), o.Mates...) {
		if c.Chat == chat {
			return c.Language
		}
	}
	return ""
}

// Reads is the outing with what somebody of it reads; an empty language changes nothing.
func (o Outing) Reads(id int64, language string) Outing {
	if language == "" {
		return o
	}
	o = o.clone()
	o.Mates = slices.Clone(o.Mates)
	for i := range o.People {
		if o.People[i].ID == id {
			o.People[i].Language = language
		}
	}
	for _, list := range [][]Contact{o.Contacts, o.Mates} {
		for i := range list {
			if list[i].ID == id {
				list[i].Language = language
			}
		}
	}
	return o
}
