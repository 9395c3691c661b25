package conditions

import (
	"math"
	"testing"
	"time"

	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
)

// crew is a search over three ledges and seven days with a swell that comes and goes; the aim is 20 ms of processor time.
func crew(b *testing.B, spoil func(q *Question)) WindowsQuestion {
	one := anvil(b)
	from := one.Now.Add(-12 * time.Hour).Truncate(time.Hour)
	one.Sea, one.Weather = sea(from, 9*24), wind(from, 9*24, 4, 7, 90)
	for i := range one.Sea.Hours {
		hs := measure.Metres(0.8 + 0.5*math.Sin(float64(i)/11))
		one.Sea.Hours[i] = seaHour(one.Sea.Hours[i].At, swell(hs, 11, 285), chop(0.4, 5, 300))
	}
	one.Card.Limits = ledge.Limits{Hs: new(measure.Metres(1.6)), Gust: new(measure.MetresPerSecond(12))}
	one.Card.WalkInGate, one.Card.WalkMinutes = new(measure.Metres(1.5)), 20
	spoil(&one)
	q := WindowsQuestion{Now: one.Now, From: one.Now, To: one.Now.Add(7 * 24 * time.Hour)}
	for k := range 3 {
		l := one
		l.Card.Exact = &measure.Position{Lat: 38.9546 + float64(k)/100, Lon: -123.7406}
		l.Card.LipHeight = new(measure.Metres(5 + float64(k)))
		q.Ledges = append(q.Ledges, l)
	}
	return q
}

func benchmarkWindows(b *testing.B, q WindowsQuestion) {
	a, err := Windows(q)
	if err != nil || len(a.all()) == 0 {
		b.Fatalf("Windows = %d windows, %v; want some", len(a.all()), err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Windows(q); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkWindows(b *testing.B) {
	benchmarkWindows(b, crew(b, func(*Question) {}))
}

// Twenty watches a ledge, to be learned from anew in every search.
func BenchmarkWindowsOfWatchedLedges(b *testing.B) {
	benchmarkWindows(b, crew(b, func(q *Question) { q.Learned = watched(*q, 20, 1) }))
}

// A limit on the chance of a wash in the whole stay that cuts most of them: the dearest search there is by day.
func BenchmarkWindowsOfShortStays(b *testing.B) {
	benchmarkWindows(b, crew(b, func(q *Question) { q.Card.Limits.WashChance = new(0.03) }))
}
