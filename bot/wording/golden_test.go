package wording

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

var update = flag.Bool("update", false, "write the golden files anew")

// sample is one text as it is sent, with what it is for.
type sample struct {
	name string
	text string
}

// cast is who and what the samples speak of, so that the same ones can be rendered with hostile names.
type cast struct {
	ana, bram, chidi, dell, mo, eve string
	anvil, longStep                 string
}

var crew = cast{"Ana", "Bram", "Chidi", "Dell", "Mo", "Eve", "Anvil", "Long Step"}

const zoneName = "America/Los_Angeles"

// areas are the golden files and what is in them.
var areas = map[string]func(w Words, c cast) []sample{
	"outing":     outingSamples,
	"sheet":      sheetSamples,
	"trip":       tripSamples,
	"watch":      watchSamples,
	"catch":      catchSamples,
	"rules":      packSamples,
	"bags":       bagSamples,
	"conditions": conditionsSamples,
	"why":        whySamples,
	"problems":   problemSamples,
	"help":       helpSamples,
	"fellin":     fellInSamples,
	"mail":       mailSamples,
	"who":        whoSamples,
	"tally":      tallySamples,
}

// at is a time of the invented Saturday in the ledges' zone.
func at(hour, minute int) time.Time {
	z, err := time.LoadLocation(zoneName)
	if err != nil {
		panic(err)
	}
	return time.Date(2026, 3, 14, hour, minute, 0, 0, z).UTC()
}

func words(u Units) Words { return wordsOf("en", u) }

func wordsOf(language string, u Units) Words { return For(language, u, nil).In(zoneName) }

// TestGolden compares every area in every language with its file: NAME.golden is English, NAME.es.golden Spanish.
func TestGolden(t *testing.T) {
	for name, samples := range areas {
		for _, l := range Languages {
			testGolden(t, name, l, samples)
		}
	}
}

func testGolden(t *testing.T, name, language string, samples func(w Words, c cast) []sample) {
	if language != "en" {
		name += "." + language
	}
	t.Run(name, func(t *testing.T) {
		var b strings.Builder
		for _, s := range samples(wordsOf(language, Metric), crew) {
			fmt.Fprintf(&b, "== %s (%d)\n%s\n\n", s.name, units16(s.text), s.text)
		}
		file := filepath.Join("testdata", name+".golden")
		if *update {
			if err := os.WriteFile(file, []byte(b.String()), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if got := b.String(); got != string(want) {
			t.Errorf("%s differs from what is written down; if that is meant, run go test -update\n%s", file, firstDifference(got, string(want)))
		}
	})
}

func firstDifference(got, want string) string {
	g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range max(len(g), len(w)) {
		var a, b string
		if i < len(g) {
			a = g[i]
		}
		if i < len(w) {
			b = w[i]
		}
		if a != b {
			return fmt.Sprintf("line %d\n got %q\nwant %q", i+1, a, b)
		}
	}
	return "no line differs"
}

// everySample renders all samples of all areas, and each message of the catalogue by itself: those have no golden
// file, for the catalogue is one.
func everySample(w Words, c cast) map[string]string {
	out := map[string]string{}
	for area, samples := range areas {
		for _, s := range samples(w, c) {
			out[area+"/"+s.name] = s.text
		}
	}
	for _, s := range deskSamples(w, c) {
		out["desk/"+s.name] = s.text
	}
	return out
}
