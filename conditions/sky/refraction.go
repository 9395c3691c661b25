package sky

import "math"

// holdBelow is the true altitude, degrees, under which a body cannot be seen over a sea horizon and
// Saemundsson's formula, which has a pole at -5.1, stops meaning anything.
const holdBelow = -1.0

// refraction is how much higher than its true altitude a body seems to stand, in degrees, for a
// true altitude in degrees: Saemundsson, Sky and Telescope 72 (1986) 70, formula 16.4 in Meeus, for
// 1010 hPa and 10 C, good to about 0.1' above 5 degrees. Below -1 degree, where nothing is to be
// seen, it keeps the value it has there, 0.65 degrees: so do the refracted altitudes of JPL Horizons
// (their rows down to -20 degrees show it to 0.001), and the altitude stays continuous and always
// rises when the body does. Twilight is not judged by this altitude but by the true one.
func refraction(altitude float64) float64 {
	return max(0, saemundsson(max(altitude, holdBelow))) // at the zenith the formula dips below 0 by 0.1"
}

func saemundsson(h float64) float64 {
	return 1.02 / 60 / math.Tan((h+10.3/(h+5.11))*math.Pi/180)
}
