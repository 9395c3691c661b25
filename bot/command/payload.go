package command

import (
	"strconv"
	"strings"
)

// MaxPayload is the most bytes a button can carry (Telegram Bot API, InlineKeyboardButton.callback_data).
const MaxPayload = 64

// payloadVersion is the first character of every payload. Buttons live in chats for years: when the
// layout changes, take the next letter and keep reading the old one.
const payloadVersion = 'a'

// Payload is what a button of ours means.
type Payload struct {
	Act string // what to do: "off", "more"
	Ref string // what to do it to: "outing/k3f9"
	Arg string // how: "30"
	Rev int    // the revision of the panel it hangs under, 0 or more; an older one than the record's is stale
}

// Pack writes a payload as printable ASCII of at most MaxPayload bytes, for example
// "aoff|outing/k3f9|30|2s". What does not fit is an error, never cut short: half a reference is another one.
func Pack(p Payload) (string, error) {
	if p.Act == "" || p.Rev < 0 {
		return "", &Unread{Said: p.Act, Why: WhyPayload}
	}
	var b strings.Builder
	b.WriteByte(payloadVersion)
	for _, part := range []string{p.Act, p.Ref, p.Arg} {
		escape(&b, part)
		b.WriteByte('|')
	}
	b.WriteString(strconv.FormatInt(int64(p.Rev), 36))
	if b.Len() > MaxPayload {
		return "", &Unread{Said: p.Act, Why: WhyTooLong}
	}
	return b.String(), nil
}

// Unpack reads what Pack wrote. A payload of another version is WhyVersion (the panel is from an
// older or newer bot: post it anew), everything else that is not ours is WhyPayload.
func Unpack(s string) (Payload, error) {
	bad := &Unread{Why: WhyPayload}
	if s == "" || len(s) > MaxPayload {
		return Payload{}, bad
	}
	if s[0] != payloadVersion {
		return Payload{}, &Unread{Said: s[:1], Why: WhyVersion}
	}
	parts := strings.Split(s[1:], "|")
	if len(parts) != 4 {
		return Payload{}, bad
	}
	rev, err := strconv.ParseInt(parts[3], 36, strconv.IntSize)
	if err != nil || rev < 0 {
		return Payload{}, bad
	}
	p := Payload{Rev: int(rev)}
	for i, field := range []*string{&p.Act, &p.Ref, &p.Arg} {
		var ok bool
		if *field, ok = unescape(parts[i]); !ok {
			return Payload{}, bad
		}
	}
	// One meaning has one spelling: a payload that we would have written otherwise is not ours.
	if again, err := Pack(p); err != nil || again != s {
		return Payload{}, bad
	}
	return p, nil
}

const hexDigits = "0123456789abcdef"

func escape(b *strings.Builder, s string) {
	for i := range len(s) {
		if c := s[i]; c <= ' ' || c >= 0x7f || c == '|' || c == '%' {
			b.WriteByte('%')
			b.WriteByte(hexDigits[c>>4])
			b.WriteByte(hexDigits[c&15])
		} else {
			b.WriteByte(c)
		}
	}
}

func unescape(s string) (string, bool) {
	if !strings.Contains(s, "%") {
		return s, true
	}
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		if s[i] != '%' {
			b.WriteByte(s[i])
			continue
		}
		if i+2 >= len(s) {
			return "", false
		}
		hi, lo := strings.IndexByte(hexDigits, s[i+1]), strings.IndexByte(hexDigits, s[i+2])
		if hi < 0 || lo < 0 {
			return "", false
		}
		b.WriteByte(byte(hi<<4 | lo))
		i += 2
	}
	return b.String(), true
}
