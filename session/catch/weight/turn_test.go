package weight

import (
	"math"
	"testing"
)

// A fork length of 36.2 cm is a total length of 42.9 cm for tailor, by the table's own line (its source stands in the row).
func TestTurn(t *testing.T) {
	table := Bundled()
	for _, tt := range []struct {
		species  string
		from, to Measure
		cm, want float64
		ok       bool
	}{
		{"Pomatomus saltatrix", FL, TL, 36.2, 42.9, true},
		{"Pomatomus saltatrix", TL, FL, 42.9, 36.2, true},
		{"Pomatomus saltatrix", TL, TL, 42.9, 42.9, true},
		{"Nobodys fish", FL, TL, 30, 0, false},
	} {
		got, ok := table.Turn(tt.species, tt.from, tt.to, tt.cm)
		if ok != tt.ok || ok && math.Abs(got-tt.want) > 0.1 {
			t.Errorf("Turn(%s, %s to %s, %g) = %.2f, %v, want %.1f, %v", tt.species, tt.from, tt.to, tt.cm, got, ok, tt.want, tt.ok)
		}
	}
}
