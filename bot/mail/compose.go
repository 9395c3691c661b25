package mail

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net/mail"
	"strings"
	"unicode"

	gomail "github.com/wneessen/go-mail"

	"ledgehand/bot/chat"
)

// mostSubject bounds a subject, in characters: more is cut off by every list of mails.
const mostSubject = 150

// compose makes the mail of a message.
func (s *Sender) compose(m chat.Message) (*gomail.Msg, error) {
	if m.Mail == nil || !plainAddress(m.Mail.Address) {
		return nil, errNoAddress
	}
	text := chat.Plain(strings.ToValidUTF8(m.Text, "\uFFFD"))
	if strings.TrimSpace(text) == "" {
		return nil, errNoText
	}
	msg := gomail.NewMsg(gomail.WithNoDefaultUserAgent(), gomail.WithCharset(gomail.CharsetUTF8), gomail.WithEncoding(gomail.EncodingQP))
	from := s.from
	from.Name = line(from.Name, 60)
	msg.FromMailAddress(&from)
	msg.ToMailAddress(&mail.Address{Name: line(m.Mail.Name, 60), Address: m.Mail.Address})
	msg.Subject(line(m.Mail.Subject, mostSubject))
	msg.SetDateWithValue(s.o.Now())
	// The words are in it too: an entry said again in other words is another mail, and must not be dropped as one had before.
	msg.SetMessageIDWithValue(s.id("mail", strings.Join([]string{m.Entry, m.Mail.Address, m.Mail.Subject, text}, "\x00")))
	if m.Mail.Thread != "" {
		// The head of the thread is a name only: which of its mails arrives first, or at all, nobody knows.
		head := "<" + s.id("thread", m.Mail.Thread+"\x00"+m.Mail.Address) + ">"
		msg.SetGenHeader(gomail.HeaderInReplyTo, head)
		msg.SetGenHeader(gomail.HeaderReferences, head)
	}
	msg.SetGenHeader("Auto-Submitted", "auto-generated") // RFC 3834
	msg.SetGenHeader(gomail.HeaderXAutoResponseSuppress, "All")
	msg.SetListUnsubscribe(fmt.Sprintf("<mailto:%s?subject=stop>", s.from.Address)) // RFC 2369
	if m.Mail.Grave {
		msg.SetImportance(gomail.ImportanceHigh)
	}
	msg.SetBodyString(gomail.TypeTextPlain, text)
	return msg, nil
}

// id is a message id, the same whenever it is asked for the same. It shows nothing of what it is made of.
func (s *Sender) id(kind, of string) string {
	sum := sha256.Sum256([]byte("ledgehand " + kind + "\x00" + of))
	return kind + "." + hex.EncodeToString(sum[:16]) + "@" + s.domain
}

// line makes text from outside one line of a header: nothing that ends it or is not seen.
func line(v string, most int) string {
	v = strings.Map(func(r rune) rune {
		switch {
		case r == '\n', r == '\r', r == '\t', r == '\u2028', r == '\u2029':
			return ' '
		case unicode.IsControl(r), r == unicode.ReplacementChar, unicode.Is(unicode.Cf, r) && r != '\u200d':
			return -1
		}
		return r
	}, strings.ToValidUTF8(v, ""))
	v = strings.ReplaceAll(v, "=?", "= ?") // else a reader would decode it as a word in another charset (RFC 2047)
	r := []rune(strings.Join(strings.Fields(v), " "))
	if len(r) > most {
		r = append(r[:most-1], '…')
	}
	return string(r)
}
