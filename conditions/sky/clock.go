package sky

import (
	"time"

	"github.com/soniakeys/meeus/v3/deltat"
)

const (
	secondsPerDay = 86400.0
	unixEpochJD   = 2440587.5 // 1970-01-01 00:00 UTC
)

// julianDay is the Julian day of an instant in UTC. Universal time as the Earth turns (UT1) is kept
// within 0.9 s of UTC, so one stands for the other here. A float64 holds it to 0.04 ms.
func julianDay(t time.Time) float64 {
	return unixEpochJD + (float64(t.Unix())+float64(t.Nanosecond())/1e9)/secondsPerDay
}

// instant undoes julianDay, to the second below.
func instant(jd float64) time.Time {
	return time.UnixMilli(int64((jd - unixEpochJD) * secondsPerDay * 1e3)).UTC().Truncate(time.Second)
}

// leaps are the last leap seconds: from when on TAI runs how far ahead of UTC (IERS Bulletin C).
var leaps = []struct {
	from    float64 // Julian day
	seconds float64
}{
	{2457754.5, 37}, // 2017-01-01
	{2457204.5, 36}, // 2015-07-01
	{2456109.5, 35}, // 2012-07-01
	{2454832.5, 34}, // 2009-01-01
}

// deltaT is how far dynamical time, in which the series for sun and moon run, is ahead of UTC at a
// Julian day, in seconds. Up to 2008 it is table 10.A of Meeus. That table ends in 2010 and the
// book's formula for later years is by now half a minute off, so from 2009 on it is what the leap
// seconds make it: TT - UTC = 32.184 s + (TAI - UTC). No leap second has been ordered since 2017;
// each one still to come adds a second, which moves the moon by half a second of arc.
func deltaT(jd float64) float64 {
	for _, l := range leaps {
		if jd >= l.from {
			return 32.184 + l.seconds
		}
	}
	return deltat.Interp10A(jd).Sec()
}

// ephemerisDay is the Julian day in dynamical time for one in UTC.
func ephemerisDay(jd float64) float64 { return jd + deltaT(jd)/secondsPerDay }
