package chat

import (
	"html"
	"strings"
)

// Plain is the text of a message as a terminal, a log or a mail shows it: tags gone, entities resolved.
func Plain(text string) string {
	var b strings.Builder
	in := false
	for _, r := range text {
		switch {
		case r == '<':
			in = true
		case r == '>' && in:
			in = false
		case !in:
			b.WriteRune(r)
		}
	}
	return html.UnescapeString(b.String())
}
