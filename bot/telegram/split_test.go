package telegram_test

import (
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"ledgehand/bot/telegram"
)

func TestSplit(t *testing.T) {
	for _, c := range []struct {
		name  string
		in    string
		limit int
		want  []string
	}{
		{"short text stays whole", "one <b>two</b>", 7, []string{"one <b>two</b>"}},
		{"tags and entities count as what they show", "<b>a&amp;b</b>", 3, []string{"<b>a&amp;b</b>"}},
		{"lines stay whole", "abc\ndef\nghi", 7, []string{"abc\ndef", "ghi"}},
		{"blank lines at a cut are dropped", "abc\n\ndef", 4, []string{"abc", "def"}},
		{"a tag open at a cut is closed and opened again", "<b>abc\ndef</b>", 4, []string{"<b>abc</b>", "<b>def</b>"}},
		{"attributes come along", `<a href="x">abc` + "\n" + `d<i>ef</i></a>`, 4, []string{`<a href="x">abc</a>`, `<a href="x">d<i>ef</i></a>`}},
		{"a long line is cut between words", "aa bb cc", 5, []string{"aa bb", "cc"}},
		{"a word that does not fit goes to the next", "aaa bbb c", 5, []string{"aaa", "bbb c"}},
		{"a long word is cut between characters", "abcdef", 4, []string{"abcd", "ef"}},
		{"an entity is not torn", "abc&lt;d", 3, []string{"abc", "&lt;d"}},
		{"emoji take two and are not torn", "🐟🐟🐟", 3, []string{"🐟", "🐟", "🐟"}},
		{"indents survive", "<pre>ab\n  cd</pre>", 4, []string{"<pre>ab</pre>", "<pre>  cd</pre>"}},
		{"nothing to say is nothing", " \n<b></b>", 4, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := telegram.Split(c.in, c.limit); !slices.Equal(got, c.want) {
				t.Errorf("Split(%q, %d) = %q, want %q", c.in, c.limit, got, c.want)
			}
		})
	}
}

func TestCut(t *testing.T) {
	for _, c := range []struct {
		in    string
		limit int
		want  string
	}{
		{"<b>abc</b>", 3, "<b>abc</b>"},
		{"<b>abcdef</b>", 4, "<b>abc…</b>"},
		{"one\ntwo", 5, "one…"},
	} {
		if got := telegram.Cut(c.in, c.limit); got != c.want {
			t.Errorf("Cut(%q, %d) = %q, want %q", c.in, c.limit, got, c.want)
		}
	}
}

func TestPlain(t *testing.T) {
	for in, want := range map[string]string{
		"<b>5 &lt; 6</b> &amp; more":  "5 < 6 & more",
		"gust <20 kn":                 "gust <20 kn", // forgotten escape: must not eat the alert
		"a <x>y</x> &nope; &#128031;": "a <x>y</x> &nope; 🐟",
	} {
		if got := telegram.Plain(in); got != want {
			t.Errorf("Plain(%q) = %q, want %q", in, got, want)
		}
	}
}

func BenchmarkSplit(b *testing.B) {
	in := "<b>" + strings.Repeat("Ana &amp; Bram are out at <i>Anvil</i>, back by 17:30\n", 400) + "</b>"
	b.ReportAllocs()
	for b.Loop() {
		if n := len(telegram.Split(in, 4096)); n != 5 {
			b.Fatalf("%d pieces, want 5", n)
		}
	}
}

func FuzzSplit(f *testing.F) {
	f.Add("<b>abc\n\n<i>de fg</i></b> &amp; 🐟🐟 <a href=\"t\">x</a>", 5)
	f.Add("</b><b><", 2)
	f.Add("a\nb\n\n\n<pre>  c\n</pre>\n", 3)
	f.Add("&#x1F41F;&#0;&lt;", 2)
	f.Add("&#09&lt;", 49)
	f.Add("<A><A 0", 49)
	f.Fuzz(func(t *testing.T, in string, limit int) {
		if !utf8.ValidString(in) || len(in) > 5000 {
			return // what is longer is only slower: every piece repeats the tags that are open
		}
		limit = 3 + (limit%50+50)%50
		pieces := telegram.Split(in, limit)
		var all strings.Builder
		for _, p := range pieces {
			if n := telegram.Length(p); n > limit {
				t.Errorf("Split(%q, %d) has %q of length %d", in, limit, p, n)
			}
			plain := telegram.Plain(p)
			if strings.TrimSpace(plain) == "" {
				t.Errorf("Split(%q, %d) has the blank piece %q", in, limit, p)
			}
			all.WriteString(plain)
		}
		if got, want := dense(all.String()), dense(telegram.Plain(in)); got != want {
			t.Errorf("Split(%q, %d) says %q, want %q", in, limit, got, want)
		}
		if n := telegram.Length(telegram.Cut(in, limit)); n > limit {
			t.Errorf("Cut(%q, %d) has length %d", in, limit, n)
		}
	})
}

// dense is a text without its blank space, of which cuts may take some.
func dense(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return -1
		}
		return r
	}, s)
}
