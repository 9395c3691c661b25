// Package wording holds every word that people read: one catalogue of messages a language,
// and pure functions that turn records and reports into them, in the reader's units and the
// ledge's zone. All text is HTML in the subset chat.Message allows; every value from outside
// is escaped here, once. It decides nothing: what is said when is decided elsewhere.
package wording

import (
	"embed"
	"encoding/json"
	"fmt"
	"html"
	"slices"
	"strings"
	"time"

	"github.com/nicksnyder/go-i18n/v2/i18n"
	"golang.org/x/text/language"
	"golang.org/x/text/unicode/bidi"

	"ledgehand/bot/chat"
)

//go:embed messages.*.json
var catalogue embed.FS

// Languages are those with a catalogue, the first being what others fall back to.
var Languages = []string{"en", "es"}

// Language is the one of Languages that somebody who uses a language code reads: "es-MX" is "es". A code without a
// catalogue, or that is none, is the first. Nothing is taken for its neighbour: who writes Portuguese did not ask for Spanish.
func Language(code string) string {
	if base := BaseLanguage(code); slices.Contains(Languages, base) {
		return base
	}
	return Languages[0]
}

// BaseLanguage is the language of a code without its region, as it is kept of people: "es-MX" is "es". "" for what has
// not the shape of one (ISO 639: two or three letters); codes come from outside.
func BaseLanguage(code string) string {
	base, _, _ := strings.Cut(strings.ToLower(strings.ReplaceAll(code, "_", "-")), "-")
	if len(base) < 2 || len(base) > 3 || strings.Trim(base, "abcdefghijklmnopqrstuvwxyz") != "" {
		return ""
	}
	return base
}

var bundle = mustLoad()

func mustLoad() *i18n.Bundle {
	b := i18n.NewBundle(language.English)
	b.RegisterUnmarshalFunc("json", json.Unmarshal)
	for _, l := range Languages {
		if _, err := b.LoadMessageFileFS(catalogue, "messages."+l+".json"); err != nil {
			panic(fmt.Sprintf("message catalogue %s: %v", l, err)) // embedded at build time: a test reads it too
		}
	}
	return b
}

// Units is what a crew reads lengths and speeds in.
type Units string

// The unit systems.
const (
	Metric   Units = "metric"
	Imperial Units = "imperial"
)

// Words speaks one language to one crew.
type Words struct {
	loc   *i18n.Localizer
	Lang  string // one of Languages
	Units Units
	Zone  *time.Location
}

// localizers are made once: a message to everybody ashore at once asks for thousands.
var localizers = func() map[string]*i18n.Localizer {
	m := map[string]*i18n.Localizer{}
	for _, l := range Languages {
		m[l] = i18n.NewLocalizer(bundle, l)
	}
	return m
}()

// For makes Words for a language code. An unknown language falls back to English; a nil zone to UTC, which is then said with every time.
func For(lang string, units Units, zone *time.Location) Words {
	if zone == nil {
		zone = time.UTC
	}
	if units == "" {
		units = Metric
	}
	l := Language(lang)
	return Words{loc: localizers[l], Lang: l, Units: units, Zone: zone}
}

// HTML is text that is escaped already.
type HTML string

// T is the message of that id with its values, given as name, value, name, value. A value n chooses the plural form.
// Strings are escaped and kept to one line; HTML is taken as it is. Labels of buttons, toasts and hints are no HTML
// anywhere, so there strings stay as they are. What a language lacks is said in the first one; a message that
// is nowhere is shown by its id: ugly, but never silent.
func (w Words) T(id string, kv ...any) string {
	data := make(map[string]any, len(kv)/2)
	conf := &i18n.LocalizeConfig{MessageID: id, TemplateData: data}
	for i := 0; i+1 < len(kv); i += 2 {
		name := kv[i].(string)
		switch v := kv[i+1].(type) {
		case string:
			if v = oneLine(v); !isLabel(id) {
				v = html.EscapeString(isolate(v))
			}
			data[name] = v
		case HTML:
			data[name] = string(v)
		default:
			data[name] = v
		}
		if name == "n" {
			conf.PluralCount = kv[i+1]
		}
	}
	if s, err := w.loc.Localize(conf); err == nil {
		return s
	}
	// A message with one form only has no plural to choose.
	conf.PluralCount = nil
	s, err := w.loc.Localize(conf)
	if err != nil && s == "" { // with an error and words they are those of the first language
		return "[" + id + "]"
	}
	return s
}

// lines joins what is not empty, one a line.
func lines(l ...string) string {
	var out []string
	for _, s := range l {
		if strings.TrimSpace(s) != "" {
			out = append(out, s)
		}
	}
	return strings.Join(out, "\n")
}

// list joins escaped names: "Ana", "Ana and Bram", "Ana, Bram and Chidi".
func (w Words) list(names []string) HTML {
	esc := make([]string, len(names))
	for i, n := range names {
		esc[i] = escape(n)
	}
	return w.join(esc)
}

// join is list for names that are HTML already.
func (w Words) join(names []string) HTML {
	switch n := len(names); n {
	case 0:
		return HTML(w.T("nobody"))
	case 1:
		return HTML(names[0])
	default:
		return HTML(strings.Join(names[:n-1], ", ") + " " + w.and(names[n-1]) + " " + names[n-1])
	}
}

// and is the word before the last of a list. Spanish says "e" before the sound i: "Ana e Inés", but "Ana y Ian", where
// it begins a diphthong (Real Academia Española, Diccionario panhispánico de dudas, "y").
func (w Words) and(next string) string {
	r := []rune(strings.ToLower(strings.Trim(Plain(next), "\u2068\u2069")))
	if len(r) > 0 && r[0] == 'h' {
		r = r[1:]
	}
	if len(r) > 0 && (r[0] == 'i' || r[0] == 'í') && (len(r) == 1 || !strings.ContainsRune("aeouáéóú", r[1])) {
		return w.T("and_i")
	}
	return w.T("and")
}

// Plain is HTML as a terminal or a log shows it: tags gone, entities resolved.
func Plain(s string) string { return chat.Plain(s) }

// Clean makes a name from outside fit for one line: no newlines, nothing that is not seen, no pile of marks on one
// letter, no command that a thumb could set off, at most n runes.
func Clean(s string, n int) string { return string(cut([]rune(unarmed(seen(s))), n)) }

func cut(r []rune, n int) []rune { return r[:min(len(r), max(n, 0))] }

// isLabel says whether a message is shown as plain text: on a button, in a toast, in an empty reply box.
func isLabel(id string) bool {
	return strings.HasPrefix(id, "b_") || strings.HasPrefix(id, "toast_") || strings.HasPrefix(id, "hint_")
}

// has says whether the catalogue has a message.
func (w Words) has(id string) bool {
	_, err := w.loc.Localize(&i18n.LocalizeConfig{MessageID: id})
	return err == nil
}

// oneLine takes out what would let a value from outside begin a line of its own or turn the text around.
func oneLine(s string) string { return seen(s) }

// isolate keeps a name written from right to left from turning around the line it stands in: an alert that begins
// with one would else be laid out from its end. FIRST STRONG ISOLATE and POP DIRECTIONAL ISOLATE, Unicode UAX #9.
func isolate(s string) string {
	for _, r := range s {
		if p, _ := bidi.LookupRune(r); p.Class() == bidi.R || p.Class() == bidi.AL {
			return "\u2068" + s + "\u2069"
		}
	}
	return s
}

func escape(s string) string { return html.EscapeString(isolate(oneLine(s))) }

// Escape makes text from outside fit for HTML.
func Escape(s string) string { return escape(s) }

// In is Words in a zone by its IANA name; an unknown one changes nothing.
func (w Words) In(zone string) Words { return w.in(zone) }
