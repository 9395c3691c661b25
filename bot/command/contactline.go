package command

import (
	"strings"
)

// ContactAct is what somebody wants with their contacts ashore.
type ContactAct string

// What can be wanted.
const (
	ContactList   ContactAct = "list"   // and a link for another
	ContactMail   ContactAct = "mail"   // invite somebody by mail
	ContactCode   ContactAct = "code"   // the code that they told
	ContactFirst  ContactAct = "first"  // alarm them first
	ContactRemove ContactAct = "remove" // take them off
)

// ContactLine is a line after /contact.
type ContactLine struct {
	Act     ContactAct
	Address string // with ContactMail
	Name    string // with ContactMail, ContactFirst and ContactRemove: as typed, or a number of the list
	Code    string // with ContactCode: as CleanCode gives it
}

// ReadContact reads what follows /contact. Problem is what is wrong with it: "word", "address" or "name"; "" for nothing.
func ReadContact(line string) (c ContactLine, problem string) {
	words := strings.Fields(line)
	if len(words) == 0 {
		return ContactLine{Act: ContactList}, ""
	}
	act, rest := ContactAct(strings.ToLower(words[0])), words[1:]
	switch act {
	case "email", "e-mail":
		act = ContactMail
	case "up", "top":
		act = ContactFirst
	case "delete", "drop", "off":
		act = ContactRemove
	}
	c.Act = act
	switch act {
	case ContactMail:
		var name []string
		for _, w := range rest {
			if strings.Contains(w, "@") && c.Address == "" {
				c.Address = strings.Trim(strings.TrimPrefix(strings.ToLower(w), "mailto:"), "<>,;")
				continue
			}
			name = append(name, w)
		}
		c.Name = strings.Join(name, " ")
		switch {
		case !Address(c.Address):
			return c, "address"
		case c.Name == "":
			return c, "name"
		}
	case ContactCode:
		if c.Code = CleanCode(strings.Join(rest, "")); c.Code == "" {
			return c, "word"
		}
	case ContactFirst, ContactRemove:
		if c.Name = strings.Join(rest, " "); c.Name == "" {
			return c, "name"
		}
	default:
		return c, "word"
	}
	return c, ""
}

// Address says whether this is a mail address that can be written to: a dot-string and a host name of at least two labels, in
// ASCII (RFC 5321, 4.1.2 and 4.5.3.1). Quoted local parts, addresses in brackets and other scripts are refused.
func Address(s string) bool {
	local, host, ok := strings.Cut(s, "@")
	if !ok || len(s) > 254 || local == "" || len(local) > 64 {
		return false
	}
	for _, atom := range strings.Split(local, ".") {
		if atom == "" || strings.IndexFunc(atom, func(r rune) bool { return !alnum(r) && !strings.ContainsRune("!#$%&'*+-/=?^_`{|}~", r) }) >= 0 {
			return false
		}
	}
	labels := strings.Split(host, ".")
	for _, l := range labels {
		if l == "" || len(l) > 63 || l[0] == '-' || l[len(l)-1] == '-' || strings.IndexFunc(l, func(r rune) bool { return !alnum(r) && r != '-' }) >= 0 {
			return false
		}
	}
	last := labels[len(labels)-1]
	return len(labels) >= 2 && strings.IndexFunc(last, func(r rune) bool { return r < '0' || r > '9' }) >= 0 // no bare address of a host
}

func alnum(r rune) bool { return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' }

// CodeLetters are what codes are made of: no two of them are taken for each other, read aloud or written by hand. Our own choice.
const CodeLetters = "ACDEFHJKMNPQRTUWXY34679"

// CodeLength is how many of them a code has: 23^8, over 36 bits.
const CodeLength = 8

// CleanCode is a typed code as it was given out: capitals, without what people put between. "" for what cannot be one.
func CleanCode(s string) string {
	s = strings.ToUpper(strings.Map(func(r rune) rune {
		if r == ' ' || r == '-' || r == '.' || r == '\u00a0' {
			return -1
		}
		return r
	}, s))
	if len(s) > 40 || s == "" {
		return ""
	}
	return s
}

// Code makes a code of bytes that nobody can guess.
func Code(random []byte) string {
	var b strings.Builder
	for _, x := range random[:CodeLength] {
		b.WriteByte(CodeLetters[int(x)%len(CodeLetters)])
	}
	return b.String()
}
