package tide

import (
	"math"
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

var year2026 = time.Date(2026, time.January, 1, 0, 0, 0, 0, time.UTC)

func BenchmarkStationYearHourly(b *testing.B) {
	b.ReportAllocs()
	p := open(b, "noaa/9419750")
	dst := make([]measure.Metres, 8760)
	for b.Loop() {
		p.HeightsInto(dst, year2026, time.Hour)
	}
}

// BenchmarkStationYearFloor is the floor beside BenchmarkStationYearHourly: as many multiply-adds as the station has
// constituents times samples, and nothing else.
func BenchmarkStationYearFloor(b *testing.B) {
	b.ReportAllocs()
	n := len(open(b, "noaa/9419750").curve.(*harmonic).terms)
	dst := make([]float64, 8760)
	for b.Loop() {
		for i := range n {
			x := float64(i) * 1e-3
			for k := range dst {
				dst[k] = math.FMA(x, dst[k], x)
			}
		}
	}
}

func BenchmarkStationYearExtremes(b *testing.B) {
	b.ReportAllocs()
	p := open(b, "noaa/9419750")
	for b.Loop() {
		if n := len(p.Extremes(year2026, year2026.AddDate(1, 0, 0))); n < 1300 {
			b.Fatalf("%d extremes", n)
		}
	}
}

func BenchmarkThreeDaysExtremes(b *testing.B) {
	b.ReportAllocs()
	p := open(b, "noaa/9419750")
	for b.Loop() {
		p.Extremes(year2026, year2026.AddDate(0, 0, 3))
	}
}

func BenchmarkOneHeight(b *testing.B) {
	b.ReportAllocs()
	p := open(b, "noaa/9419750")
	for b.Loop() {
		p.Height(year2026)
	}
}

func BenchmarkOneHeightOnAnotherDay(b *testing.B) {
	b.ReportAllocs()
	p := open(b, "noaa/9419750")
	at := year2026
	for b.Loop() {
		p.Height(at)
		at = at.Add(25 * time.Hour)
	}
}

func BenchmarkOpen(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		open(b, "ticon/newlyn-new-gbr-bodc")
	}
}

func BenchmarkNearest(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		Near(measure.Position{Lat: 36.6, Lon: -121.9}, 5)
	}
}

func BenchmarkReadCatalogue(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		readCatalogue(catalogueFile)
	}
}

func BenchmarkNamed(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		Named("san francisco", 5)
	}
}
