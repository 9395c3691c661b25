package wording

import (
	"strings"
	"testing"

	"ledgehand/session/outing"
)

func whoSamples(w Words, c cast) []sample {
	alone, two := outBy9(c), party(c)
	two.BackBy = at(12, 0)
	two.People[1].OffAt = at(8, 50)
	fell := outBy9(c)
	fell.Falls = []outing.Fall{{At: at(8, 32), By: 2, Name: c.bram}}
	off := offAt(outBy9(c), at(8, 40), "")
	yesterday := offAt(outBy9(c), at(8, 40).AddDate(0, 0, -1), "")
	var many []outing.Outing
	for range 7 {
		many = append(many, outBy9(c))
	}
	many = append(many, off)
	return []sample{
		{"nobody", w.Who(nil, at(8, 55))},
		{"nobody, one off today, one yesterday", w.Who([]outing.Outing{off, yesterday}, at(9, 55))},
		{"one out", w.Who([]outing.Outing{alone}, at(8, 55))},
		{"one late, two others of whom one is off", w.Who([]outing.Outing{two, alone}, at(9, 55))},
		{"somebody fell in", w.Who([]outing.Outing{fell}, at(8, 55))},
		{"more than are read", w.Who(many, at(8, 55))},
	}
}

// Names and ledges, and six lines at most.
func TestWhoTellsNoPlaces(t *testing.T) {
	for _, s := range whoSamples(words(Metric), crew) {
		if n := strings.Count(s.text, "\n") + 1; n > 6 {
			t.Errorf("%s has %d lines, want 6 at most", s.name, n)
		}
		for _, secret := range []string{"38.9", "123.7", "555", "AB 123", "cypress"} {
			if strings.Contains(s.text, secret) {
				t.Errorf("%s tells %q:\n%s", s.name, secret, s.text)
			}
		}
	}
}
