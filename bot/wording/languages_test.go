package wording

import (
	"encoding/json"
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

// formsOf gives the forms of each message of a language, by plural form; "" is the one of a message with one form.
func formsOf(t testing.TB, language string) map[string]map[string]string {
	t.Helper()
	body, err := catalogue.ReadFile("messages." + language + ".json")
	if err != nil {
		t.Fatal(err)
	}
	var raw map[string]json.RawMessage
	if err := json.Unmarshal(body, &raw); err != nil {
		t.Fatal(err)
	}
	out := map[string]map[string]string{}
	for id, v := range raw {
		var one string
		if json.Unmarshal(v, &one) == nil {
			out[id] = map[string]string{"": one}
			continue
		}
		forms := map[string]string{}
		if err := json.Unmarshal(v, &forms); err != nil {
			t.Fatalf("message %s of %s is neither a text nor plural forms", id, language)
		}
		out[id] = forms
	}
	return out
}

var (
	action  = regexp.MustCompile(`\{\{[^}]*\}\}`)
	tag     = regexp.MustCompile(`</?[a-z]+[^>]*>`)
	typed   = regexp.MustCompile(`(?:^|[\s(>])/[a-z]+`)
	codeTag = regexp.MustCompile(`<code>.*?</code>`)
)

func found(re *regexp.Regexp, s string) []string {
	all := re.FindAllString(s, -1)
	for i := range all {
		all[i] = strings.TrimLeft(all[i], " (>\n")
	}
	slices.Sort(all)
	return all
}

// Every message is in every catalogue, with the same forms, values, tags and commands: what is left out of one language
// is not said to those who read it.
func TestCataloguesSayTheSame(t *testing.T) {
	first := formsOf(t, Languages[0])
	for _, l := range Languages[1:] {
		other := formsOf(t, l)
		for _, id := range slices.Sorted(maps.Keys(other)) {
			if first[id] == nil {
				t.Errorf("%s has message %q, which %s has not", l, id, Languages[0])
			}
		}
		for _, id := range slices.Sorted(maps.Keys(first)) {
			if other[id] == nil {
				t.Errorf("%s has no message %q: %q", l, id, english[id])
				continue
			}
			for _, form := range slices.Sorted(maps.Keys(first[id])) {
				says, ok := other[id][form]
				if !ok || len(other[id]) != len(first[id]) {
					t.Errorf("message %s of %s has other plural forms", id, l)
					break
				}
				for what, re := range map[string]*regexp.Regexp{"values": action, "tags": tag, "commands": typed} {
					want, got := found(re, first[id][form]), found(re, says)
					if what == "commands" { // which, not how often
						want, got = slices.Compact(want), slices.Compact(got)
					}
					if !slices.Equal(got, want) {
						t.Errorf("message %s %s of %s has %s %q, want %q", id, form, l, what, got, want)
					}
				}
				if strings.TrimSpace(says) == "" || strings.Count(says, "\n") != strings.Count(first[id][form], "\n") {
					t.Errorf("message %s %s of %s = %q, want as many lines as %q", id, form, l, says, first[id][form])
				}
			}
		}
	}
}

// englishWords are frequent words of the English catalogue that are none in Spanish.
var englishWords = strings.Fields(`the and of is are was were be been you your yours they them their he she we our it its this that these those
	not nobody none no-one with without for from until till off back by at to into onto out in on over under after before when where who whom which what
	how why if then else than tide tides wave waves swell wind gusts ledge lip high low water light dark watch watching warning warnings forecast
	rocks rock phone car home trip plan's plans call called calling tell told say said ask asked answer answers type tap press here there now today
	tomorrow week month year hour hours minute minutes more less longer again already still only just never always every each any some all both
	nothing something somebody anybody everybody one two three first last next new old name names noted saved changed list rule rules fish bait
	berley jacket lifejacket signal number emergency help group crew person people contact shore ashore late alert notes none unknown known
	can could might must shall should will would does did do done have has had get got give given take taken make made let go going gone`)

// spanishToo are words of that list which Spanish has as well.
var spanishToo = []string{"he", "has"}

// TestNoEnglishIsLeft: what a reader of another language is told holds no English but what they are to type.
func TestNoEnglishIsLeft(t *testing.T) {
	word := regexp.MustCompile(`[\p{L}'’-]+`)
	args := regexp.MustCompile(`/[a-z]+[^;)]*`)
	for _, l := range Languages[1:] {
		for id, forms := range formsOf(t, l) {
			for _, s := range forms {
				s = action.ReplaceAllString(codeTag.ReplaceAllString(s, " "), " ")
				if strings.HasPrefix(id, "cmd_") {
					s = args.ReplaceAllString(s, " ")
				}
				s = typed.ReplaceAllString(s, " ")
				for _, typedToo := range []string{"«kept»", "«let go»", "(wash,"} { // words that a command takes
					s = strings.ReplaceAll(s, typedToo, " ")
				}
				s = tag.ReplaceAllString(s, " ")
				for _, w := range word.FindAllString(strings.ToLower(s), -1) {
					if slices.Contains(englishWords, w) && !slices.Contains(spanishToo, w) {
						t.Errorf("message %s of %s has %q: %s", id, l, w, s)
					}
				}
			}
		}
	}
	if !slices.Contains(word.FindAllString("Off the rocks", -1), "the") || !slices.Contains(englishWords, "rocks") {
		t.Error("the search finds nothing")
	}
	letters := regexp.MustCompile(`\p{L}+`)
	first := formsOf(t, "en")
	for id, forms := range formsOf(t, "es") {
		own := letters.FindAllString(tag.ReplaceAllString(action.ReplaceAllString(forms[""], ""), ""), -1)
		if forms[""] == first[id][""] && len(strings.Join(own, "")) > 6 {
			t.Errorf("message %s is the same in both languages: %q", id, forms[""])
		}
	}
}

// The bot never says that it is safe, in no language. Each sentence that has the word denies it.
func TestSeguroIsOnlyDenied(t *testing.T) {
	allowed := []string{
		"ningún pronóstico hace segura una repisa.",
		"Ningún pronóstico hace segura una repisa.",
		"Ningún pronóstico la hace segura.", // under a picture of the ledge
		"Nunca digo que una repisa sea segura.",
	}
	for id, forms := range formsOf(t, "es") {
		for _, form := range forms {
			for _, s := range allowed {
				form = strings.ReplaceAll(form, s, "")
			}
			low := strings.ToLower(form)
			for _, bad := range []string{"segur", "a salvo", "sin peligro", "sin riesgo", "tranquil"} {
				if strings.Contains(low, bad) {
					t.Errorf("message %q says %q; only %q may", id, form, allowed)
				}
			}
		}
	}
}

// What fits on a phone in English fits in every language (Telegram Bot API: 30 characters are ours, the rest theirs).
func TestEveryLanguageFits(t *testing.T) {
	for _, w := range everyWords() {
		for _, id := range ids() {
			text := w.T(id, "item", Item(w), "who", "Ana", "at", "09:00", "by", "09:00", "ref", "0123456789")
			n := utf8.RuneCountInString(text)
			switch {
			case strings.HasPrefix(id, "b_") && id != "b_accept" && id != "b_wave" && n > 30:
				t.Errorf("%s: label %s = %q has %d characters, want up to 30", w.Lang, id, text, n)
			case strings.HasPrefix(id, "toast_") && units16(text) > 200:
				t.Errorf("%s: toast %s has %d characters, want up to 200", w.Lang, id, units16(text))
			case strings.HasPrefix(id, "hint_") && n > 64: // input_field_placeholder
				t.Errorf("%s: hint %s = %q has %d characters, want up to 64", w.Lang, id, text, n)
			case strings.HasPrefix(id, "cmd_") && (n < 1 || units16(text) > 256): // BotCommand.description
				t.Errorf("%s: help %s has %d characters, want 1 to 256", w.Lang, id, n)
			}
		}
		for _, err := range problems {
			if text, _ := w.Problem(err); units16(text) > 200 {
				t.Errorf("%s: Problem(%v) has %d characters, want up to 200", w.Lang, err, units16(text))
			}
		}
	}
}

// The safety messages are as short in Spanish as in English, as far as the language lets them, and have the same lines.
func TestSafetyMessagesKeepTheirLength(t *testing.T) {
	for _, l := range Languages[1:] {
		want := outingSamples(words(Metric), crew)
		for i, s := range outingSamples(wordsOf(l, Metric), crew) {
			if g, w := strings.Count(s.text, "\n"), strings.Count(want[i].text, "\n"); g != w {
				t.Errorf("%s: %q has %d lines, want %d:\n%s", l, s.name, g+1, w+1, Plain(s.text))
			}
			if g, w := units16(s.text), units16(want[i].text); g > w*5/4+25 {
				t.Errorf("%s: %q has %d characters beside %d:\n%s", l, s.name, g, w, Plain(s.text))
			}
		}
	}
}

func TestAlertsSayTheEssentialInTheFirstLineInSpanish(t *testing.T) {
	for _, s := range outingSamples(wordsOf("es", Metric), crew) {
		kind, _, _ := strings.Cut(s.name, ":")
		if kind != "party" && kind != "contact" {
			continue
		}
		first, _, _ := strings.Cut(Plain(s.text), "\n")
		for _, part := range []string{"⚠ ", " dado señales", "Hora de dejar ", "; son las "} {
			if !strings.Contains(first, part) {
				t.Errorf("first line of %q = %q, want %q in it", s.name, first, part)
			}
		}
		if p := Plain(s.text); !strings.Contains(p, "lama ya: 911") && !strings.Contains(p, "lama otra vez: 911") && !strings.Contains(p, "número de emergencias de la zona") {
			t.Errorf("%q does not say whom to call:\n%s", s.name, p)
		}
	}
	// What cannot be told is a no, in every language.
	for name, text := range everySample(wordsOf("es", Metric), crew) {
		p := strings.ToLower(Plain(text))
		if i := strings.Index(p, ": no se sabe"); i >= 0 && !strings.HasPrefix(name, "desk/") && !strings.HasPrefix(name, "sheet/") && !strings.Contains(p[i:], "tómalo como un no") {
			t.Errorf("%s says that it is not known, and not that this is a no:\n%s", name, Plain(text))
		}
	}
}

func TestLanguageOfACode(t *testing.T) {
	for code, want := range map[string]string{
		"": "en", "en": "en", "es": "es", "es-MX": "es", "ES_419": "es", "es-": "es", "pt": "en", "pt-BR": "en", "ca": "en", "gl": "en", "est": "en", "e": "en", "es; DROP": "en", "español": "en",
	} {
		if got := Language(code); got != want {
			t.Errorf("Language(%q) = %q, want %q", code, got, want)
		}
		if w := For(code, Metric, nil); w.Lang != want || w.T("nobody") != For(want, Metric, nil).T("nobody") {
			t.Errorf("For(%q) speaks %q, want %q", code, w.Lang, want)
		}
	}
	for code, want := range map[string]string{"es-MX": "es", "pt-br": "pt", "zh-hans": "zh", "": "", "x": "", "español": "", "../en": "", "gsw": "gsw"} {
		if got := BaseLanguage(code); got != want {
			t.Errorf("BaseLanguage(%q) = %q, want %q", code, got, want)
		}
	}
}

// "E" stands before the sound i: examples of the Diccionario panhispánico de dudas, "y", and names.
func TestSpanishAnd(t *testing.T) {
	w := For("es", Metric, nil)
	for next, want := range map[string]string{"Inés": "Ana e Inés", "Hilda": "Ana e Hilda", "Íñigo": "Ana e Íñigo", "Ian": "Ana y Ian", "Hielo": "Ana y Hielo", "Bram": "Ana y Bram", "Ya": "Ana y Ya", "I": "Ana e I", "H": "Ana y H"} {
		if got := string(w.Names([]string{"Ana", next})); got != want {
			t.Errorf("Names(Ana, %s) = %q, want %q", next, got, want)
		}
	}
	if got := string(For("en", Metric, nil).Names([]string{"Ana", "Inés"})); got != "Ana and Inés" {
		t.Errorf("Names = %q, want no Spanish in English", got)
	}
}
