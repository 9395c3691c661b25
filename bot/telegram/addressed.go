package telegram

import (
	"strings"
	"unicode/utf8"

	"github.com/go-telegram/bot/models"
)

// addressed takes the @name off a command at the very start of a text and says whether the text
// is for us. "/trip@us sat" becomes "/trip sat"; "/trip@another" is not ours. Telegram's groups
// add the name whenever somebody taps a command. As long as we do not know our own name, any
// will do: a command too many is better than an "off" that nobody heard.
func addressed(text string, entities []models.MessageEntity, username string) (string, bool) {
	for _, e := range entities {
		if e.Type != models.MessageEntityTypeBotCommand || e.Offset != 0 {
			continue
		}
		end, ok := byteOffset(text, e.Length)
		if !ok {
			return text, true
		}
		name, to, found := strings.Cut(text[:end], "@")
		if !found {
			return text, true
		}
		if username != "" && !strings.EqualFold(to, username) {
			return text, false
		}
		return name + text[end:], true
	}
	return text, true
}

// byteOffset is the place in s after n UTF-16 units, which is how Telegram counts.
func byteOffset(s string, n int) (int, bool) {
	if n < 0 {
		return 0, false
	}
	for i, r := range s {
		if n <= 0 {
			return i, n == 0
		}
		n -= units(r)
	}
	return len(s), n == 0
}

// units is how many UTF-16 units a character takes.
func units(r rune) int {
	if r > 0xFFFF && r <= utf8.MaxRune {
		return 2
	}
	return 1
}
