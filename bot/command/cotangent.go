package command

import "math"

// cotangent of an angle in degrees, exactly 0 for 90.
func cotangent(deg float64) float64 {
	if deg == 90 {
		return 0
	}
	return 1 / math.Tan(deg*math.Pi/180)
}
