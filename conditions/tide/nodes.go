package tide

import (
	"math"

	"ledgehand/conditions/measure"
)

// The lines whose node factors are given by a formula; all others are products of these.
const (
	ofMm = iota
	ofMf
	ofO1
	ofK1
	ofJ1
	ofOO1
	ofM2
	ofK2
	ofL2
	ofM1
	ofM1A
	nodeLines
)

// These numbers index arrays in memory and are never stored.
var nodeLine = map[string]int{
	"Mm": ofMm, "Mf": ofMf, "O1": ofO1, "K1": ofK1, "J1": ofJ1, "OO1": ofOO1,
	"M2": ofM2, "K2": ofK2, "L2": ofL2, "M1": ofM1, "M1A": ofM1A,
}

// Obliquity of the ecliptic and inclination of the moon's orbit, degrees, as Schureman's tables
// and with them the published predictions have them (epoch 1900).
const (
	obliquity   = 23.452
	inclination = 5.145
)

// nodeAngles are Schureman's auxiliary angles in degrees (SP 98, 1940, paragraphs 22 to 25, 122 to 135).
type nodeAngles struct {
	i, xi, nu, nu1, nu2 float64 // nu2 is 2ν″
	p                   float64 // P, the longitude of the perigee from the moon's intersection
}

func anglesAt(l longitudes) nodeAngles {
	n := measure.Wrap180(l.n)
	cn := cosDeg(n)
	so, co := sincosDeg(obliquity)
	si, ci := sincosDeg(inclination)
	cosI := ci*co - si*so*cn
	sinI := math.Sqrt(1 - cosI*cosI)
	// atan2 with the half angle's sine and cosine, so that N = 180° needs no tangent
	sh, ch := math.Sincos(n / 2 * math.Pi / 180)
	sum, diff := (obliquity+inclination)/2*math.Pi/180, (obliquity-inclination)/2*math.Pi/180
	e1 := math.Atan2(math.Cos(diff)*sh, math.Cos(sum)*ch) * 180 / math.Pi
	e2 := math.Atan2(math.Sin(diff)*sh, math.Sin(sum)*ch) * 180 / math.Pi
	a := nodeAngles{i: math.Acos(cosI) * 180 / math.Pi, xi: n - e1 - e2, nu: e1 - e2}
	a.p = l.p - a.xi
	sNu, cNu := sincosDeg(a.nu)
	s2Nu, c2Nu := sincosDeg(2 * a.nu)
	sin2I := 2 * sinI * cosI
	a.nu1 = math.Atan2(sin2I*sNu, sin2I*cNu+0.3347) * 180 / math.Pi
	a.nu2 = math.Atan2(sinI*sinI*s2Nu, sinI*sinI*c2Nu+0.0727) * 180 / math.Pi
	return a
}

// nodeFactors gives ln f and u (degrees) of every node line. The logarithm, because the factor of a
// compound is a product of powers: so it becomes the same signed sum as its angle.
func nodeFactors(l longitudes) (lnf, u [nodeLines]float64) {
	a := anglesAt(l)
	sI, cI := sincosDeg(a.i)
	sHalf, cHalf := sincosDeg(a.i / 2)
	tan2 := sHalf * sHalf / (cHalf * cHalf)
	sin2I := 2 * sI * cI
	cNu, c2Nu := cosDeg(a.nu), cosDeg(2*a.nu)
	sP, cP := sincosDeg(a.p)
	s2P, c2P := sincosDeg(2 * a.p)
	sN, cN := sincosDeg(l.n)

	set := func(line int, f, deg float64) { lnf[line], u[line] = math.Log(f), deg }
	set(ofMm, (2.0/3-sI*sI)/0.5021, 0)
	set(ofMf, sI*sI/0.1578, -2*a.xi)
	fO1 := sI * cHalf * cHalf / 0.37988 // some print 0.3799; the factors we are checked against have five digits
	set(ofO1, fO1, 2*a.xi-a.nu)
	set(ofK1, math.Sqrt(0.8965*sin2I*sin2I+0.6001*sin2I*cNu+0.1006), -a.nu1)
	set(ofJ1, sin2I/0.7214, -a.nu)
	set(ofOO1, sI*sHalf*sHalf/0.0164, -2*a.xi-a.nu)
	fM2 := cHalf * cHalf * cHalf * cHalf / 0.9154
	set(ofM2, fM2, 2*a.xi-2*a.nu)
	set(ofK2, math.Sqrt(19.0444*sI*sI*sI*sI+2.7702*sI*sI*c2Nu+0.0981), -a.nu2)

	invRa := math.Sqrt(1 - 12*tan2*c2P + 36*tan2*tan2)
	r := math.Atan2(s2P, 1/(6*tan2)-c2P) * 180 / math.Pi
	set(ofL2, fM2*invRa, 2*a.xi-2*a.nu-r)

	invQa := math.Sqrt(2.310 + 1.435*c2P)
	q := math.Atan2((5*cI-1)*sP, (7*cI+1)*cP) * 180 / math.Pi
	set(ofM1, fO1*invQa, a.xi-a.nu+q-l.p)

	// M1A of the IHO list of tidal constituents (2017), the line that other analyses than NOAA's fit at this place.
	s2p, c2p := sincosDeg(2 * l.p)
	s2pN, c2pN := sincosDeg(2*l.p - l.n)
	y := -0.3593*s2p - 0.2*sN - 0.066*s2pN
	x := 1 + 0.3593*c2p + 0.2*cN + 0.066*c2pN
	set(ofM1A, math.Hypot(x, y), math.Atan2(y, x)*180/math.Pi)
	return lnf, u
}

func sincosDeg(deg float64) (sin, cos float64) {
	return math.Sincos(deg * math.Pi / 180)
}

func cosDeg(deg float64) float64 { return math.Cos(deg * math.Pi / 180) }
