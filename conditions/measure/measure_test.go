package measure

import (
	"math"
	"testing"
)

func TestDistanceAndBearing(t *testing.T) {
	// One degree of arc on the equator and on a meridian is pi R / 180 by definition of the sphere.
	deg := math.Pi * EarthRadiusKm / 180
	tests := []struct {
		name    string
		a, b    Position
		km      float64
		bearing float64
	}{
		{"EastAlongEquator", Position{0, 10}, Position{0, 11}, deg, 90},
		{"NorthAlongMeridian", Position{50, 5}, Position{51, 5}, deg, 0},
		{"AcrossTheDateLine", Position{0, 179.5}, Position{0, -179.5}, deg, 90},
		// San Francisco (9414290) to Point Reyes (9415020), positions as NOAA CO-OPS lists them:
		// 49.2 km by the flat-Earth rule at 37.9 N (111.2 km a degree of latitude, times cos lat for longitude).
		{"GoldenGateToPointReyes", Position{37.80631, -122.46589}, Position{37.99417, -122.97361}, 49.27, 295.2},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := DistanceKm(tt.a, tt.b); math.Abs(got-tt.km) > 0.1 {
				t.Errorf("DistanceKm(%v, %v) = %v, want %v", tt.a, tt.b, got, tt.km)
			}
			if got := float64(Bearing(tt.a, tt.b)); math.Abs(Wrap180(got-tt.bearing)) > 0.3 {
				t.Errorf("Bearing(%v, %v) = %v, want %v", tt.a, tt.b, got, tt.bearing)
			}
			back := Offset(tt.a, Bearing(tt.a, tt.b), DistanceKm(tt.a, tt.b))
			if d := DistanceKm(back, tt.b); d > 1e-6 {
				t.Errorf("Offset undoes DistanceKm and Bearing to %v km, want 0", d)
			}
		})
	}
}

func TestDirections(t *testing.T) {
	if got := From(350).Towards(); got != 170 {
		t.Errorf("From(350).Towards() = %v, want 170", got)
	}
	if got := Between(350, 20); got != 30 {
		t.Errorf("Between(350, 20) = %v, want 30", got)
	}
	for _, d := range []float64{-720, math.Copysign(0, -1), -1e-15, 359.9999, 360, 725} {
		if w := Wrap360(d); w < 0 || w >= 360 {
			t.Errorf("Wrap360(%v) = %v, want [0, 360)", d, w)
		}
	}
}

func TestPositionCheckRefuses(t *testing.T) {
	for _, p := range []Position{{91, 0}, {0, 181}, {math.NaN(), 0}, {0, math.Inf(1)}} {
		if p.Check() == nil {
			t.Errorf("Position%v.Check() = nil, want an error", p)
		}
	}
}
