package wave

import (
	"testing"

	"ledgehand/conditions/measure"
)

func BenchmarkSolve(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Solve(12, 8, measure.Gravity); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkExposure(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		Exposure(280, SwellSpread, 270, [2]measure.From{200, 340})
	}
}

func BenchmarkLargestOf(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Rayleigh().LargestOf(1000); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSets(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Sets(SwellCorrelation, 1.5); err != nil {
			b.Fatal(err)
		}
	}
}
