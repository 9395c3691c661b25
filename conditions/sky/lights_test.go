package sky

import (
	"math/rand/v2"
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

// The light of a span is that of its every instant, polar days and the ends of the span among them. Within a second of a change
// either will do.
func TestLightsAreThoseOfEveryInstant(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 11))
	seen := map[Light]int{}
	for range 400 {
		p := measure.Position{Lat: rnd.Float64()*178 - 89, Lon: rnd.Float64()*360 - 180}
		from := time.Date(1990+rnd.IntN(60), 1, 1, 0, 0, 0, 0, time.UTC).Add(time.Duration(rnd.IntN(365*24*3600)) * time.Second)
		to := from.Add(time.Duration(rnd.IntN(9*24*3600)) * time.Second)
		l, err := LightsBetween(p, from, to)
		if err != nil {
			t.Fatal(err)
		}
		for i := range 20 {
			at := from.Add(to.Sub(from) * time.Duration(i) / 19)
			want, err := LightAt(p, at)
			if err != nil {
				t.Fatal(err)
			}
			got := l.At(at)
			if seen[got]++; got != want {
				before, _ := LightAt(p, at.Add(-time.Second))
				after, _ := LightAt(p, at.Add(time.Second))
				if got != before && got != after {
					t.Errorf("light at %v at %s in %s to %s = %q, want %q", p, at, from, to, got, want)
				}
			}
		}
	}
	if len(seen) != 4 {
		t.Errorf("only %v were tried", seen)
	}
	if _, err := LightsBetween(measure.Position{Lat: 91}, time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC), time.Date(2026, 1, 2, 0, 0, 0, 0, time.UTC)); err == nil {
		t.Error("no error beyond the pole")
	}
}

// BenchmarkLights is an instant of a week; beside it BenchmarkLightAt.
func BenchmarkLights(b *testing.B) {
	from := time.Date(2026, 7, 1, 0, 0, 0, 0, time.UTC)
	b.ReportAllocs()
	for b.Loop() {
		l, err := LightsBetween(bench, from, from.AddDate(0, 0, 7))
		if err != nil {
			b.Fatal(err)
		}
		for h := range 7 * 24 {
			l.At(from.Add(time.Duration(h) * time.Hour))
		}
	}
}
