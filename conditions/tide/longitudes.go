package tide

// longitudes are the mean longitudes that drive the tide, in degrees, not folded.
type longitudes struct {
	s, h, p, n, p1 float64 // moon, sun, lunar perigee, lunar node, solar perigee
}

const (
	secondsPerDay = 86400
	j2000Unix     = 946728000 // 2000-01-01 12:00 UTC in Unix seconds
)

// meanLongitudes gives the longitudes at a Unix time after Meeus, Astronomical Algorithms, 2nd ed.
// (chapters 22, 25 and 47). UTC stands in for dynamical time: that moves the moon by 0.011°, the
// largest line of the tide by 0.02°.
func meanLongitudes(unix float64) longitudes {
	c := (unix - j2000Unix) / (36525 * secondsPerDay)
	return longitudes{
		s:  218.3164591 + c*(481267.88134236+c*(-0.0013268+c*(1.0/538841-c/65194000))),
		h:  280.46645 + c*(36000.76983+c*0.0003032),
		p:  83.3532430 + c*(4069.0137111+c*(-0.0103238+c*(-1.0/80053+c/18999000))),
		n:  125.0445550 + c*(-1934.1361849+c*(0.0020762+c*(1.0/467410-c/60616000))),
		p1: 282.93734098 + c*(1.71945766+c*0.00045688),
	}
}
