package feed

import (
	"math"
	"math/rand/v2"
	"testing"

	"ledgehand/conditions/measure"
)

func TestSnap(t *testing.T) {
	// Cell centres that the wave model itself answered with: 37.708332, -25.125 and the real
	// 53.041664, 3.9583435 off the Netherlands.
	for _, tc := range []struct{ in, want measure.Position }{
		{measure.Position{Lat: 37.74, Lon: -25.16}, measure.Position{Lat: 37.708333, Lon: -25.125}},
		{measure.Position{Lat: 53.05, Lon: 3.92}, measure.Position{Lat: 53.041667, Lon: 3.958333}},
		{measure.Position{Lat: 90, Lon: 180}, measure.Position{Lat: 89.958333, Lon: 179.958333}},
		{measure.Position{Lat: -90, Lon: -180}, measure.Position{Lat: -89.958333, Lon: -179.958333}},
	} {
		a, err := Snap(tc.in)
		if got := a.Position(); err != nil || math.Abs(got.Lat-tc.want.Lat) > 1e-6 || math.Abs(got.Lon-tc.want.Lon) > 1e-6 {
			t.Errorf("Snap(%v) = %v, %v, want %v", tc.in, got, err, tc.want)
		}
	}
	for _, p := range []measure.Position{{Lat: 91}, {Lon: 181}, {Lat: math.NaN()}, {Lon: math.Inf(1)}} {
		if a, err := Snap(p); err == nil || a.set {
			t.Errorf("Snap(%v) = %v, want an error", p, a)
		}
	}
}

func TestSnapIsAPublicPlaceOfTheCell(t *testing.T) {
	const seed = 20261205
	t.Logf("seed %d", seed)
	r := rand.New(rand.NewPCG(seed, 1))
	most := 0.0
	for range 20000 {
		p := measure.Position{Lat: r.Float64()*180 - 90, Lon: r.Float64()*360 - 180}
		a, err := Snap(p)
		if err != nil {
			t.Fatalf("Snap(%v): %v", p, err)
		}
		again, err := Snap(a.Position())
		if err != nil || again != a {
			t.Fatalf("Snap(Snap(%v)) = %v, want %v", p, again, a)
		}
		if p.Lat > -80 && p.Lat < 80 {
			most = max(most, measure.DistanceKm(p, a.Position()))
		}
	}
	// Half the diagonal of a cell of 1/12 degree at the equator: 111.2/12/sqrt(2) = 6.55 km.
	if most > 6.56 {
		t.Errorf("farthest centre = %.2f km, want at most 6.56", most)
	}
}
