package wording

import (
	"strings"
	"testing"

	"ledgehand/session/outing"
)

func fellInSamples(w Words, c cast) []sample {
	o, bare := outBy9(c), party(c)
	o.Falls = []outing.Fall{{At: at(8, 32), By: 2, Name: c.bram}}
	bare.Falls = []outing.Fall{{At: at(8, 32), By: 2, Name: c.bram, Unsure: true}}
	here := WhereOf(o)
	there := WhereOf(bare)
	lat, lon := 38.9612, -123.7431
	step := Where{Ledge: c.longStep, Lat: &lat, Lon: &lon, Number: "911"}
	group := outing.Effect{Kind: outing.SayFellIn, To: outing.Recipient{Role: outing.RoleGroup, Chat: -7}, Who: c.bram}
	ashore := outing.Effect{Kind: outing.SayFellIn, To: outing.Recipient{Role: outing.RoleContact, Chat: 9, ID: 9, Name: c.mo}, Who: c.bram}
	again := ashore
	again.AckBy, again.AckAt = c.mo, at(9, 33)
	return []sample{
		{"here", w.FellIn([]Where{here})},
		{"no exact place, no number", w.FellIn([]Where{there})},
		{"no ledge known", w.FellIn(nil)},
		{"two, one number", w.FellIn([]Where{here, step})},
		{"two, two numbers, one without a place", w.FellIn([]Where{here, there})},
		{"alert: the group", w.Outing(o, group, at(8, 32))},
		{"alert: ashore", w.Outing(o, ashore, at(8, 32))},
		{"alert: ashore, again, taken on before", w.Outing(acked(o, c, outing.AckTrying), again, at(9, 48))},
		{"alert: which ledge is unclear", w.Outing(bare, ashore, at(8, 32))},
		{"told to the group, nobody out", w.FellInTold(c.bram, []Where{here}, at(8, 32))},
		{"told to the group, nobody out, unclear", w.FellInTold(c.bram, []Where{here, step}, at(8, 32))},
		{"late alert after it", w.Outing(o, outing.Effect{Kind: outing.SayContact, To: ashore.To}, at(9, 30))},
		{"sheet after it", w.Sheet(o, at(8, 33))},
	}
}

// What is read on a cracked screen by somebody frightened is six lines at most; the plain answer three.
func TestFellInIsShort(t *testing.T) {
	for _, s := range fellInSamples(words(Metric), crew) {
		n := strings.Count(s.text, "\n") + 1
		if s.name == "here" && n != 3 {
			t.Errorf("%s has %d lines, want 3", s.name, n)
		}
		if n > 6 && !strings.HasPrefix(s.name, "sheet") {
			t.Errorf("%s has %d lines, want 6 at most:\n%s", s.name, n, s.text)
		}
	}
	four := fourPlaces(crew)
	if n := strings.Count(words(Metric).FellIn(four), "\n") + 1; n > 6 {
		t.Errorf("four places make %d lines, want 6 at most", n)
	}
}

// fourPlaces are as many places as one message gives.
func fourPlaces(c cast) (out []Where) {
	for range 4 {
		out = append(out, WhereOf(outBy9(c)))
	}
	return out
}
