package telegram

import (
	"html"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Length is how long a text is in Telegram's eyes: UTF-16 units once tags are gone and entities resolved.
func Length(text string) int {
	n := 0
	for _, t := range tokens(text) {
		n += t.units
	}
	return n
}

// Plain is a text without its tags and with its entities resolved. What only looks like a tag stays.
func Plain(text string) string {
	var b strings.Builder
	for _, t := range tokens(text) {
		if t.tag == "" {
			b.WriteString(html.UnescapeString(t.raw))
		}
	}
	return b.String()
}

// Split cuts HTML into pieces of at most limit UTF-16 units each: between lines where it can,
// between words in a line that is too long by itself, between characters in a word that is. Tags
// open at a cut are closed there and opened again in the next piece; neither tags nor entities are torn.
// Nothing is lost but blank space at the cuts.
func Split(text string, limit int) []string {
	return cutAll(text, limit, "")
}

// Cut is the first limit UTF-16 units of HTML (at least 3), ended with "…" when there is more.
func Cut(text string, limit int) string {
	if Length(text) <= limit {
		return text
	}
	p := cutAll(text, limit-1, "…")
	if len(p) == 0 {
		return ""
	}
	return p[0]
}

// token is a tag, or a character of text: a rune or an entity.
type token struct {
	raw   string
	tag   string // its name, "" for text
	close bool
	units int
	space bool
	line  bool // a line break
}

// The tags Telegram knows in HTML mode (Bot API, "HTML style"). Any other "<" is a character that
// somebody forgot to escape.
var knownTags = map[string]bool{
	"a": true, "b": true, "strong": true, "i": true, "em": true, "u": true, "ins": true, "s": true,
	"strike": true, "del": true, "code": true, "pre": true, "blockquote": true, "span": true,
	"tg-spoiler": true, "tg-emoji": true, "tg-time": true,
}

func tokens(text string) []token {
	out := make([]token, 0, len(text))
	for i := 0; i < len(text); {
		rest := text[i:]
		switch rest[0] {
		case '<':
			if t, ok := readTag(rest); ok {
				out = append(out, t)
				i += len(t.raw)
				continue
			}
		case '&':
			if t, ok := readEntity(rest); ok {
				out = append(out, t)
				i += len(t.raw)
				continue
			}
		}
		r, size := utf8.DecodeRuneInString(rest)
		out = append(out, token{raw: rest[:size], units: units(r), space: unicode.IsSpace(r), line: r == '\n'})
		i += size
	}
	return out
}

func readTag(s string) (token, bool) {
	end := strings.IndexAny(s[1:], "<>") + 1
	if end == 0 || s[end] == '<' {
		return token{}, false
	}
	inside, closes := strings.CutPrefix(s[1:end], "/")
	name, _, _ := strings.Cut(inside, " ")
	t := token{raw: s[:end+1], tag: strings.ToLower(name), close: closes}
	return t, knownTags[t.tag]
}

// readEntity reads the entities Telegram resolves: four names and numbers. Others stay as they are.
func readEntity(s string) (token, bool) {
	end := strings.IndexByte(s[:min(len(s), 12)], ';')
	if end < 0 {
		return token{}, false
	}
	raw := s[:end+1]
	switch raw {
	case "&lt;", "&gt;", "&amp;", "&quot;":
		return token{raw: raw, units: 1}, true
	}
	number, ok := strings.CutPrefix(raw[:end], "&#")
	if !ok || number == "" || strings.Trim(number, "0123456789abcdefxABCDEFX") != "" {
		return token{}, false
	}
	resolved := []rune(html.UnescapeString(raw))
	if len(resolved) != 1 {
		return token{}, false // not a number after all
	}
	r := resolved[0]
	return token{raw: raw, units: units(r), space: unicode.IsSpace(r), line: r == '\n'}, true
}
