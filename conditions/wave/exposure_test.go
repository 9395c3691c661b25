package wave

import (
	"math"
	"math/rand/v2"
	"testing"

	"ledgehand/conditions/measure"
)

// exposureBySum adds the wrapped normal over every hundredth of a degree that is open: slow,
// and written without any cutting of arcs.
func exposureBySum(from measure.From, spread float64, faces measure.From, open [2]measure.From) float64 {
	const step = 0.01
	width := float64(open[1] - open[0])
	if width < 360 {
		width = measure.Wrap360(width)
	}
	var in, all float64
	for d := step / 2; d < 360; d += step {
		var density float64
		for turn := -2.0; turn <= 2; turn++ {
			z := (d - float64(from) + 360*turn) / spread
			density += math.Exp(-z * z / 2)
		}
		all += density
		if measure.Wrap360(d-float64(open[0])) <= width && measure.Between(measure.From(d), faces) <= 90 {
			in += density
		}
	}
	return in / all
}

func TestExposureIsTheOpenShareOfTheSpread(t *testing.T) {
	const seed = 7
	rnd := rand.New(rand.NewPCG(seed, 0))
	deg := func() measure.From { return measure.From(360 * rnd.Float64()) }
	for range 60 {
		from, faces, open := deg(), deg(), [2]measure.From{deg(), deg()}
		spread := SwellSpread
		if rnd.IntN(2) == 0 {
			spread = WindSeaSpread
		}
		got, want := Exposure(from, spread, faces, open), exposureBySum(from, spread, faces, open)
		if math.Abs(got-want) > 4e-4 { // half a step at either end of the sum
			t.Errorf("seed %d: Exposure(%v, %v, %v, %v) = %v, want %v", seed, from, spread, faces, open, got, want)
		}
	}
}

func TestExposure(t *testing.T) {
	open := [2]measure.From{180, 0}
	if got := Exposure(270, 15, 270, open); math.Abs(got-1) > 1e-8 {
		t.Errorf("Exposure straight on = %v, want 1", got)
	}
	// EurOtop (2018) has a height factor of 0.67 for waves along the wall; the root of this is 0.71.
	if got := Exposure(180, 15, 270, open); math.Abs(got-0.5) > 1e-9 {
		t.Errorf("Exposure along the coast = %v, want 0.5", got)
	}
	if got := Exposure(90, 15, 270, open); !(got > 0 && got < 1e-8) {
		t.Errorf("Exposure from behind = %v, want next to nothing", got)
	}
	for _, full := range [][2]measure.From{{0, 360}, {90, 450}} {
		if got := Exposure(300, 30, 270, full); math.Abs(got-Exposure(300, 30, 270, [2]measure.From{180, 360})) > 1e-12 {
			t.Errorf("Exposure with %v open = %v, want that of the half-plane", full, got)
		}
	}
	// The far side of a turn makes no difference.
	if a, b := Exposure(350, 15, 20, [2]measure.From{300, 100}), Exposure(80, 15, 110, [2]measure.From{30, 190}); math.Abs(a-b) > 1e-12 {
		t.Errorf("Exposure across north = %v, turned by 90 degrees %v, want the same", a, b)
	}
}
