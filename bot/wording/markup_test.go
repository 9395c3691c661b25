package wording

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"ledgehand/bot/chat"
)

// everyWords are all languages in all units.
func everyWords() []Words {
	var out []Words
	for _, l := range Languages {
		for _, u := range []Units{Metric, Imperial} {
			out = append(out, wordsOf(l, u))
		}
	}
	return out
}

// units16 is how long a text is as Telegram counts it: UTF-16 units after the markup is read.
func units16(text string) int { return len(utf16.Encode([]rune(Plain(text)))) }

var (
	anyTag = regexp.MustCompile(`</?[a-z]+>`)
	entity = regexp.MustCompile(`&(lt|gt|amp|quot|#\d+);`)
)

// checkHTML reads a text as Telegram does: only b, i, code and pre, properly nested, and only the entities it knows
// (Telegram Bot API, HTML style). It returns the tags in order.
func checkHTML(text string) ([]string, error) {
	tags := anyTag.FindAllString(text, -1)
	rest := entity.ReplaceAllString(anyTag.ReplaceAllString(text, ""), "")
	if i := strings.IndexAny(rest, "<>&"); i >= 0 {
		return tags, fmt.Errorf("bare %q in %q", rest[i], text)
	}
	var open []string
	for _, tag := range tags {
		name := strings.Trim(tag, "</>")
		switch {
		case !slices.Contains([]string{"b", "i", "code", "pre"}, name):
			return tags, fmt.Errorf("tag %s in %q", tag, text)
		case !strings.HasPrefix(tag, "</"):
			open = append(open, name)
		case len(open) == 0 || open[len(open)-1] != name:
			return tags, fmt.Errorf("%s closes nothing in %q", tag, text)
		default:
			open = open[:len(open)-1]
		}
	}
	if len(open) > 0 {
		return tags, fmt.Errorf("%v is not closed in %q", open, text)
	}
	return tags, nil
}

func TestEveryTextIsMarkupTelegramTakes(t *testing.T) {
	for _, w := range everyWords() {
		for name, text := range everySample(w, crew) {
			if strings.HasPrefix(name, "desk/b_") || strings.HasPrefix(name, "desk/toast_") || strings.HasPrefix(name, "desk/hint_") {
				if strings.ContainsAny(text, "<>&") {
					t.Errorf("%s = %q, want no markup: it is shown as it is", name, text)
				}
				continue
			}
			if _, err := checkHTML(text); err != nil {
				t.Errorf("%s: %v", name, err)
			}
			if n := units16(text); n > chat.MaxText {
				t.Errorf("%s has %d characters, want up to %d", name, n, chat.MaxText)
			}
		}
	}
}

// Whatever people call themselves and their ledges, the markup, the number of lines and the direction of the text
// stay what they are with plain names.
func TestHostileNamesStayText(t *testing.T) {
	const seed = 20260314
	rng := rand.New(rand.NewPCG(seed, 1))
	parts := []string{"<b>", "</b>", "&", "\"", "'", "<a href=x>", "&lt;", "{{.who}}", "\n", "\r\n", "\t", strings.Repeat("🎣", 64), "🎣", "עדי", "محمد", "\u202e", "\u2066", "\u2069", "Ана", "</pre>", "%s", "[x]"}
	names := []string{`<b>&"`, strings.Repeat("🐟", 64), "محمد", "a\nb\n\nc", "\u202eevil\u202c", "{{.x}}"}
	for range 20 {
		n := "x"
		for range 1 + rng.IntN(4) {
			n += parts[rng.IntN(len(parts))]
		}
		names = append(names, n)
	}
	for _, l := range Languages {
		hostileNamesStayText(t, wordsOf(l, Metric), seed, names)
	}
}

func hostileNamesStayText(t *testing.T, w Words, seed uint64, names []string) {
	plain := everySample(w, crew)
	for _, n := range names {
		c := cast{n + "A", n + "B", n + "C", n + "D", n + "M", n + "E", n + "V", n + "L"}
		hostile := everySample(w, c)
		for _, name := range slices.Sorted(maps.Keys(plain)) {
			id := strings.TrimPrefix(name, "desk/")
			got := hostile[name]
			if isLabel(id) {
				if want := oneLine(n + "A"); strings.Contains(plain[name], "Ana") && !strings.Contains(got, want) {
					t.Errorf("seed %d: label %s = %q, want %q in it, not escaped", seed, id, got, want)
				}
				continue
			}
			tags, err := checkHTML(got)
			if err != nil {
				t.Fatalf("seed %d, name %q: %s: %v", seed, n, name, err)
			}
			want, _ := checkHTML(plain[name])
			if !slices.Equal(tags, want) {
				t.Fatalf("seed %d, name %q: tags of %s = %v, want %v\n%s", seed, n, name, tags, want, got)
			}
			if g, p := strings.Count(got, "\n"), strings.Count(plain[name], "\n"); g != p {
				t.Fatalf("seed %d, name %q: %s has %d lines, want %d\n%s", seed, n, name, g+1, p+1, got)
			}
			if strings.ContainsAny(got, "\u202e\u202d\u2066\u2067") || strings.Count(got, "\u2068") != strings.Count(got, "\u2069") {
				t.Fatalf("seed %d, name %q: %s leaves the direction of the text open: %q", seed, n, name, got)
			}
		}
	}
}

// A picture goes out with its words below it only while they fit (Telegram Bot API, sendPhoto.caption).
func TestConditionsFitUnderAPicture(t *testing.T) {
	for _, w := range everyWords() {
		for _, s := range conditionsSamples(w, crew) {
			if n := units16(s.text); n > chat.MaxCaption {
				t.Errorf("%s has %d characters, want up to %d:\n%s", s.name, n, chat.MaxCaption, Plain(s.text))
			}
		}
	}
}

func TestNobodyIsTurnedAround(t *testing.T) {
	got := words(Metric).T("home", "who", "עדי")
	if want := "\u2068עדי\u2069 is home."; got != want {
		t.Errorf("T(home, a name from right to left) = %q, want %q", got, want)
	}
	if got := words(Metric).T("home", "who", "Ana"); got != "Ana is home." {
		t.Errorf("T(home, Ana) = %q, want it plain", got)
	}
}
