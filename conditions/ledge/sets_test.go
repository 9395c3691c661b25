package ledge

import (
	"math"
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

func TestSetsEvery(t *testing.T) {
	for _, tt := range []struct {
		name     string
		tz, peak measure.Seconds
		want     time.Duration
	}{
		{"LongSwell", 13, 16, 28 * time.Minute},
		{"Swell", 12, 15, 26 * time.Minute},
		{"WindSea", 5, 6.5, 8*time.Minute + 20*time.Second}, // about 100 waves
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := SetsEvery(tt.tz, tt.peak)
			if err != nil || (got-tt.want).Abs() > 30*time.Second {
				t.Errorf("SetsEvery(%v, %v) = %v, %v, want about %v", tt.tz, tt.peak, got, err, tt.want)
			}
		})
	}
	for _, in := range [][2]measure.Seconds{{0, 9}, {9, 0}, {measure.Seconds(math.NaN()), 9}, {9, 61}} {
		if got, err := SetsEvery(in[0], in[1]); err == nil {
			t.Errorf("SetsEvery(%v) = %v, want an error", in, got)
		}
	}
}
