package ledge

import (
	"testing"

	"ledgehand/conditions/measure"
)

// inSwell is a dry watch in swell from a direction.
func inSwell(d measure.From) Observation {
	o := watched(0, 20)
	o.Spans[0].From = &d
	return o
}

func TestForSwell(t *testing.T) {
	seen := []Observation{inSwell(268), inSwell(280), inSwell(300), inSwell(310), watched(0, 20), inSwell(200), inSwell(312.5)}
	if got := ForSwell(seen, 290); len(got) != len(seen) {
		t.Errorf("ForSwell with 4 within 22.5 degrees = %d observations, want all %d", len(got), len(seen))
	}
	seen = append(seen, inSwell(267.5))
	got := ForSwell(seen, 290)
	if len(got) != 5 {
		t.Fatalf("ForSwell with 5 within 22.5 degrees = %d observations, want those 5", len(got))
	}
	for _, o := range got {
		if d := *o.Spans[0].From; d < 267.5 || d >= 312.5 {
			t.Errorf("ForSwell(290) picked a swell from %v", d)
		}
	}
}

// Two days of the same swell must not be told apart by where a bound of the compass lies, north included.
func TestASectorHasNoFixedBounds(t *testing.T) {
	for _, at := range []measure.From{0, 22.5, 45, 270, 359.9} {
		var seen []Observation
		for _, off := range []measure.From{-20, -10, 0, 10, 20} {
			seen = append(seen, inSwell(measure.From(measure.Wrap360(float64(at+off)))))
		}
		if n := InSector(seen, at); n != 5 {
			t.Errorf("about %v: %d of 5 observations within 20 degrees are in the sector", at, n)
		}
	}
}

// Every direction belongs to one of the eight winds, and to one only.
func TestEightWindsShareTheCircle(t *testing.T) {
	for d := measure.From(0); d < 360; d += 0.5 {
		n := 0
		for wind := measure.From(0); wind < 360; wind += SectorWidth {
			n += InSector([]Observation{inSwell(d)}, wind)
		}
		if n != 1 {
			t.Errorf("swell from %v lies in %d of the eight winds, want 1", d, n)
		}
	}
	if n := InSector([]Observation{watched(0, 20), {}}, 0); n != 0 {
		t.Errorf("observations without a direction, or a span: %d in the sector, want 0", n)
	}
}
