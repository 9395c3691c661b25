package sky

import (
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

var bench = measure.Position{Lat: -33.5, Lon: 151.4}

func BenchmarkDayAt(b *testing.B) {
	loc := zone(b, "Australia/Sydney")
	b.ReportAllocs()
	for b.Loop() {
		if _, err := DayAt(bench, Date{2026, 7, 1}, loc); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkAtMoon(b *testing.B) {
	at := time.Date(2026, 7, 1, 12, 0, 0, 0, time.UTC)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := At(Moon, bench, at); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLightAt(b *testing.B) {
	at := time.Date(2026, 7, 1, 12, 0, 0, 0, time.UTC)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := LightAt(bench, at); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPhasesOfAYear(b *testing.B) {
	from := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Phases(from, from.AddDate(1, 0, 0)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkMoonlightAt(b *testing.B) {
	at := time.Date(2026, 7, 1, 12, 0, 0, 0, time.UTC)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := MoonlightAt(bench, at); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkMoonUpFor15Days(b *testing.B) {
	from := time.Date(2026, 7, 1, 12, 0, 0, 0, time.UTC)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := MoonUp(bench, from, from.Add(maxMoonWindow)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkWalkOut(b *testing.B) {
	at := time.Date(2026, 7, 1, 2, 0, 0, 0, time.UTC)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := WalkOut(bench, at, 30*time.Minute); err != nil {
			b.Fatal(err)
		}
	}
}
