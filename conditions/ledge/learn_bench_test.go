package ledge

import (
	"testing"
	"time"
)

// How long it takes to update by one watch, and to the posterior of a ledge watched often; with and without the
// forecast's error, which every watch kept by the bot has.
func BenchmarkLearn(b *testing.B) {
	for _, tt := range []struct {
		name  string
		n     int
		sigma float64
	}{{"OneExact", 1, 0}, {"One", 1, 0.14}, {"FiftyExact", 50, 0}, {"Fifty", 50, 0.14}} {
		b.Run(tt.name, func(b *testing.B) {
			var seen []Observation
			for i := range tt.n {
				o := watched(i%3, 20)
				o.Sigma = tt.sigma
				seen = append(seen, o)
			}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Learn(uncalibrated, seen, time.Time{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
