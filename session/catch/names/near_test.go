package names

import (
	"slices"
	"testing"
)

// Slips of the pen and short forms as people type them (general usage, no single source).
func TestNear(t *testing.T) {
	for _, tt := range []struct {
		word, area string
		want       []string
		sure       bool
	}{
		{"kingy", "AU-NSW", []string{"seriola_lalandi"}, true},
		{"trev", "AU-NSW", []string{"pseudocaranx_georgianus"}, true},
		{"lud", "AU-NSW", []string{"girella_tricuspidata"}, true},
		{"snappr", "AU-NSW", []string{"chrysophrys_auratus"}, true},
		{"mullowy", "AU-NSW", []string{"argyrosomus_japonicus"}, true},
		{"pollak", "UK-SW", []string{"pollachius_pollachius"}, true},
		{"reds", "AU-NSW", []string{"sciaenops_ocellatus", "sebastes_miniatus"}, false}, // names of other coasts
		{"mul", "AU-NSW", nil, false},
		{"mermaid", "AU-NSW", nil, false},
		{"unicorn", "AU-NSW", nil, false},
		{"xy", "AU-NSW", nil, false},
		{"", "", nil, false},
	} {
		found, sure := Near(tt.word, tt.area)
		if sure != tt.sure || tt.want != nil && !slices.Equal(ids(found), tt.want) || sure && len(found) != 1 {
			t.Errorf("Near(%q, %q) = %v, %v, want %v, %v", tt.word, tt.area, ids(found), sure, tt.want, tt.sure)
		}
	}
	if found, sure := Near("brm", "AU-NSW"); sure || len(found) == 0 {
		t.Errorf("Near(brm) = %v, %v, want bream, not sure", found, sure)
	}
	for _, w := range []string{"mermaid", "unicorn"} {
		if found, _ := Near(w, "AU-NSW"); len(found) > 0 {
			t.Errorf("Near(%q) = %v, want nothing", w, found)
		}
	}
}

// The same answer every time, whatever the order of the table in memory.
func TestNearIsSteady(t *testing.T) {
	for _, w := range []string{"brm", "mul", "reds", "rock", "pollok", "wrse"} {
		first, sure := Near(w, "UK-SW")
		for range 20 {
			if again, s := Near(w, "UK-SW"); s != sure || !slices.Equal(again, first) {
				t.Fatalf("Near(%q) = %v, then %v", w, first, again)
			}
		}
	}
}

func BenchmarkNear(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		Near("xylophone", "AU-NSW")
	}
}
