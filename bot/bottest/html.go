package bottest

import (
	"fmt"
	"strconv"
	"strings"
)

// entity marks a part of a text, in UTF-16 units.
type entity struct {
	Type   string `json:"type"`
	Offset int    `json:"offset"`
	Length int    `json:"length"`
	URL    string `json:"url,omitempty"`
}

var htmlTags = map[string]string{
	"b": "bold", "strong": "bold", "i": "italic", "em": "italic", "u": "underline", "ins": "underline",
	"s": "strikethrough", "strike": "strikethrough", "del": "strikethrough", "code": "code", "pre": "pre",
	"blockquote": "blockquote", "tg-spoiler": "spoiler", "a": "text_link", "tg-time": "date_time",
}

// parseHTML reads Telegram's HTML style: the plain text and its entities, or what is wrong with it.
func parseHTML(s string) (plain string, entities []entity, no *refusal) {
	var out strings.Builder
	type open struct {
		tag string
		e   entity
	}
	var stack []open
	at := 0
	add := func(r rune) {
		out.WriteRune(r)
		at += width(r)
	}
	for i := 0; i < len(s); {
		switch s[i] {
		case '&':
			if r, n := readReference(s[i:]); n > 0 {
				add(r)
				i += n
				continue
			}
		case '<':
			end := strings.IndexByte(s[i:], '>')
			if end < 0 {
				return "", nil, bad("can't parse entities: Unclosed start tag at byte offset %d", i)
			}
			inside := s[i+1 : i+end]
			if name, ok := strings.CutPrefix(inside, "/"); ok {
				name = strings.ToLower(strings.TrimSpace(name))
				if len(stack) == 0 {
					return "", nil, bad("can't parse entities: Unexpected end tag at byte offset %d", i)
				}
				top := stack[len(stack)-1]
				if name != "" && name != top.tag {
					return "", nil, bad("can't parse entities: Unmatched end tag at byte offset %d, expected \"</%s>\", found \"</%s>\"", i, top.tag, name)
				}
				stack = stack[:len(stack)-1]
				if top.e.Length = at - top.e.Offset; top.e.Length > 0 {
					entities = append(entities, top.e)
				}
			} else {
				name, attributes, _ := strings.Cut(inside, " ")
				name = strings.ToLower(name)
				kind, ok := htmlTags[name]
				if !ok {
					return "", nil, bad("can't parse entities: Unsupported start tag \"%s\" at byte offset %d", name, i)
				}
				e := entity{Type: kind, Offset: at}
				if name == "a" {
					if _, v, ok := strings.Cut(attributes, `href="`); ok {
						e.URL, _, _ = strings.Cut(v, `"`)
						if u, _, no := parseHTML(e.URL); no == nil {
							e.URL = u
						}
					}
				}
				stack = append(stack, open{name, e})
			}
			i += end + 1
			continue
		}
		r, n := rune(0), 0
		for j, c := range s[i:] {
			if j > 0 {
				n = j
				break
			}
			r = c
		}
		if n == 0 {
			n = len(s) - i
		}
		add(r)
		i += n
	}
	if len(stack) > 0 {
		return "", nil, bad("can't parse entities: Can't find end tag corresponding to start tag \"%s\"", stack[len(stack)-1].tag)
	}
	return out.String(), entities, nil
}

// readReference reads a character reference; n is 0 where there is none that Telegram knows.
func readReference(s string) (r rune, n int) {
	end := strings.IndexByte(s, ';')
	if end < 2 || end > 10 {
		return 0, 0
	}
	switch name := s[1:end]; {
	case name == "lt":
		r = '<'
	case name == "gt":
		r = '>'
	case name == "amp":
		r = '&'
	case name == "quot":
		r = '"'
	case name[0] == '#':
		base, digits := 10, name[1:]
		if strings.HasPrefix(digits, "x") || strings.HasPrefix(digits, "X") {
			base, digits = 16, digits[1:]
		}
		v, err := strconv.ParseUint(digits, base, 32)
		if err != nil || v == 0 || v > 0x10FFFF {
			return 0, 0
		}
		r = rune(v)
	default:
		return 0, 0
	}
	return r, end + 1
}

func width(r rune) int {
	if r > 0xFFFF {
		return 2
	}
	return 1
}

func length(s string) int {
	n := 0
	for _, r := range s {
		n += width(r)
	}
	return n
}

// found are the entities Telegram itself finds in what people write: commands and mentions.
func found(text string) []entity {
	var out []entity
	at, before := 0, ' '
	rs := []rune(text)
	for i := 0; i < len(rs); i++ {
		r := rs[i]
		if (r == '/' || r == '@') && !word(before) && before != '/' {
			j := i + 1
			for j < len(rs) && (word(rs[j]) || r == '/' && rs[j] == '@') {
				j++
			}
			name, to, _ := strings.Cut(string(rs[i+1:j]), "@")
			if n := len(name); n >= 1 && n <= 32 && ascii(name+to) {
				kind := "bot_command"
				if r == '@' {
					kind = "mention"
				}
				out = append(out, entity{Type: kind, Offset: at, Length: j - i})
			}
		}
		at += width(r)
		before = r
	}
	return out
}

func ascii(s string) bool {
	for _, r := range s {
		if r > 127 {
			return false
		}
	}
	return true
}

func word(r rune) bool {
	return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '_' || r > 127 && r != '\u00a0' && r < 0x2000
}

// formatted is a text as the bot sent it, read.
type formatted struct {
	html     string
	plain    string
	entities []entity
}

func readText(text, mode string, limit int, what string) (formatted, *refusal) {
	f := formatted{html: text, plain: text}
	switch mode {
	case "":
		f.html = escape(text)
	case "HTML":
		var no *refusal
		if f.plain, f.entities, no = parseHTML(text); no != nil {
			return f, no
		}
	default:
		return f, bad("unsupported parse_mode")
	}
	f.plain = strings.TrimSpace(f.plain)
	if n := length(f.plain); n > limit {
		return f, bad("%s is too long", what)
	}
	return f, nil
}

func escape(s string) string {
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;").Replace(s)
}

func (f formatted) key() string { return fmt.Sprintf("%q %v", f.plain, f.entities) }
