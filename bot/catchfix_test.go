package bot

import (
	"fmt"
	"testing"

	"ledgehand/bot/command"
	"ledgehand/session/catch"
)

func ptr(n int) *int { return &n }

func entryText(e catch.Entry) string {
	out := fmt.Sprintf("%d %s", e.Count, e.Species)
	for _, l := range e.LengthsUM {
		out += fmt.Sprintf(" %g", float64(l)/10_000)
	}
	if e.Kept != nil {
		out += fmt.Sprintf(" k%d", *e.Kept)
	}
	if e.Released != nil {
		out += fmt.Sprintf(" r%d", *e.Released)
	}
	return out
}

// Corrections as they are typed, on what stood there; "?" is asked about, and nothing changes.
func TestCorrections(t *testing.T) {
	const um = 10_000
	one := catch.Entry{Species: "tailor", Count: 1, LengthsUM: []int{31 * um}, Kept: ptr(1), Released: ptr(0)}
	two := catch.Entry{Species: "tailor", Count: 2, LengthsUM: []int{31 * um, 33 * um}, Kept: ptr(1), Released: ptr(1)}
	bare := catch.Entry{Species: "tailor", Count: 30}
	for _, tt := range []struct {
		was  catch.Entry
		line string
		want string
	}{
		{one, "no, 29", "1 tailor 29 k1 r0"},
		{one, "no, 29.5", "1 tailor 29.5 k1 r0"},
		{one, "29 not 31", "1 tailor 29 k1 r0"},
		{one, "29 not 40", "?"},
		{one, "make that 2", "2 tailor 31 k2 r0"},
		{one, "no, released", "1 tailor 31 k0 r1"},
		{one, "correction: 31 cm 40 cm", "2 tailor 31 40 k2 r0"},
		{one, "that was a snapper", "1 chrysophrys_auratus 31 k1 r0"},
		{one, "correction: that tailor was 29 not 31", "1 pomatomus_saltatrix 29 k1 r0"},
		{two, "no, 29", "?"},
		{two, "29 not 31", "2 tailor 29 33 k1 r1"},
		{two, "35 not 33", "2 tailor 31 35 k1 r1"},
		{two, "make that 1", "?"},
		{two, "make that 3", "3 tailor 31 33"},
		{two, "no, kept 2", "2 tailor 31 33 k2 r0"},
		{two, "no, kept 3", "?"},
		{bare, "no, 29", "29 tailor"},
		{bare, "20 not 30", "20 tailor"},
		{bare, "make that 2", "2 tailor"},
	} {
		line, err := command.Catch(tt.line, CatchTerms("metric", "AU-NSW", nil))
		if err != nil || line.Fix == nil {
			t.Errorf("Catch(%q) = %+v, %v, want a correction", tt.line, line, err)
			continue
		}
		before := entryText(tt.was)
		got, ok := fixed(tt.was, *line.Fix)
		if text := entryText(got); ok != (tt.want != "?") || ok && text != tt.want {
			t.Errorf("%q on %s = %s, %v, want %s", tt.line, before, text, ok, tt.want)
		}
		if entryText(tt.was) != before {
			t.Errorf("%q changed what was handed in: %s", tt.line, entryText(tt.was))
		}
		if ok && (got.Count < 1 || len(got.LengthsUM) > got.Count || got.Kept != nil && (*got.Kept < 0 || *got.Released < 0 || *got.Kept+*got.Released != got.Count)) {
			t.Errorf("%q on %s = %s: does not add up", tt.line, before, entryText(got))
		}
	}
}

// What a name means where it was settled, and where not.
func TestSettledNamesComeFirst(t *testing.T) {
	line, err := command.Catch("drummer 36", CatchTerms("metric", "AU-NSW", map[string]string{"drummer": "girella_elevata"}))
	if err != nil || len(line.Entries) != 1 || line.Entries[0].Species[0] != "girella_elevata" {
		t.Errorf("a settled name: %+v, %v", line, err)
	}
	if _, err := command.Catch("drummer 36", CatchTerms("metric", "AU-NSW", map[string]string{"drummer": "no_such_fish"})); err == nil {
		t.Error("a name settled on no fish is taken")
	}
}
