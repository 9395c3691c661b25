package conditions

import (
	"testing"
	"time"
)

// A report for seven days is asked for in pieces of 48 hours; the aim is 2 ms of processor time for the week.
func BenchmarkAssessWeek(b *testing.B) {
	q := anvil(b)
	q.From = q.Now
	q.Sea, q.Weather = sea(q.From.Add(-time.Hour), 8*24, swell(1.4, 13, 285), chop(0.7, 6, 300)), wind(q.From.Add(-time.Hour), 8*24, 7, 11, 300)
	b.ReportAllocs()
	for b.Loop() {
		for start := q.From; start.Before(q.From.Add(7 * 24 * time.Hour)); start = start.Add(MostHours * time.Hour) {
			piece := q
			piece.From, piece.To = start, earlier(start.Add(MostHours*time.Hour), q.From.Add(7*24*time.Hour))
			if _, err := Assess(piece); err != nil {
				b.Fatal(err)
			}
		}
	}
}

func BenchmarkAssess48Hours(b *testing.B) {
	q := anvil(b)
	q.From = q.Now
	q.To = q.From.Add(MostHours * time.Hour)
	q.Sea, q.Weather = sea(q.From.Add(-time.Hour), 8*24, swell(1.4, 13, 285), chop(0.7, 6, 300)), wind(q.From.Add(-time.Hour), 8*24, 7, 11, 300)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Assess(q); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAssessMorning(b *testing.B) {
	q := anvil(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Assess(q); err != nil {
			b.Fatal(err)
		}
	}
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}
