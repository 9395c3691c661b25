package tide

import (
	"math"
	"sync/atomic"
	"time"

	"ledgehand/conditions/measure"
)

// An arc is a stretch of time over which the astronomy is one start value and one rate: eight UTC days in
// instant mode, a calendar year in year mode. Within eight days each node factor runs geometrically and its
// angle linearly to their values at the end, so that there is no step anywhere. That stays within 0.06 mm of
// node factors worked out at every instant (tested); holding them through a day would be off by 0.4 mm.
type arc struct {
	start     int64 // Unix seconds
	end       int64
	lon       [5]float64 // T, s, h, p, p1 in degrees at the start
	rate      [5]float64 // degrees an hour
	u, du     [nodeLines]float64
	lnf, dlnf [nodeLines]float64
}

// halfYearOfPerigee is the advance of p over half a year. The published NOAA predictions leave p out of M1 on
// 1 January and then let it run, so that in the middle of the year, where their node factors hold, M1 is that
// much ahead. Instant mode carries it as a constant, else M1 would be off by a third of its amplitude.
const halfYearOfPerigee = 20.33

// arcDays is a compromise: a longer arc is quicker to follow, and its error grows with the square.
const (
	arcDays    = 8
	arcSeconds = arcDays * secondsPerDay
)

// recent holds arcs by their number modulo its size: every station shares them. 256 arcs are five and a half years.
var recent [256]atomic.Pointer[arc]

// instantArc is the arc of instant mode that a Unix second lies in.
func instantArc(second int64) *arc {
	n := floorDiv(second, arcSeconds)
	slot := &recent[uint64(n)%uint64(len(recent))]
	if a := slot.Load(); a != nil && a.start == n*arcSeconds {
		return a
	}
	a := arcFrom(n * arcSeconds)
	slot.Store(a)
	return a
}

// arcFrom is an arc of instant mode that starts at a Unix second, a UTC midnight.
func arcFrom(start int64) *arc {
	a := &arc{start: start, end: start + arcSeconds}
	l0, l1 := meanLongitudes(float64(a.start)), meanLongitudes(float64(a.end))
	a.sun(l0, l1)
	lnf0, u0 := nodeFactors(l0)
	lnf1, u1 := nodeFactors(l1)
	u0[ofM1] += halfYearOfPerigee
	u1[ofM1] += halfYearOfPerigee
	a.lnf, a.u = lnf0, u0
	for i := range nodeLines {
		a.dlnf[i] = (lnf1[i] - lnf0[i]) / (24 * arcDays)
		a.du[i] = measure.Wrap180(u1[i]-u0[i]) / (24 * arcDays) // an angle may pass ±180° between the ends
	}
	return a
}

// yearArc is the practice of the published tables: f and u of 2 July for the whole calendar year,
// the arguments running from 1 January 00 UTC.
func yearArc(year int) *arc {
	start := time.Date(year, time.January, 1, 0, 0, 0, 0, time.UTC).Unix()
	end := time.Date(year+1, time.January, 1, 0, 0, 0, 0, time.UTC).Unix()
	a := &arc{start: start, end: end}
	l0, l1 := meanLongitudes(float64(start)), meanLongitudes(float64(end))
	a.sun(l0, l1)
	a.lnf, a.u = nodeFactors(meanLongitudes(float64(start+end) / 2)) // 2 July, 00 or 12 UTC
	mid := meanLongitudes(float64(start+end) / 2)
	a.u[ofM1] += mid.p - l0.p // p is left out on 1 January, not in July
	return a
}

// sun sets the longitudes and their rates from those at both ends; T is 180° at every UTC midnight.
func (a *arc) sun(l0, l1 longitudes) {
	hours := float64(a.end-a.start) / 3600
	a.lon = [5]float64{180, l0.s, l0.h, l0.p, l0.p1}
	for i, e := range [5]float64{180 + 15*hours, l1.s, l1.h, l1.p, l1.p1} {
		a.rate[i] = (e - a.lon[i]) / hours
	}
}

// argument gives V + u in degrees at the start of the arc, its rate in degrees an hour, ln f and its rate an hour.
func (a *arc) argument(l *line) (v, rate, lnf, dlnf float64) {
	v = l.konst
	for i, m := range l.v {
		v += m * a.lon[i]
		rate += m * a.rate[i]
	}
	for _, t := range l.nodes {
		v += t.by * a.u[t.of]
		rate += t.by * a.du[t.of]
		size := math.Abs(t.by)
		lnf += size * a.lnf[t.of]
		dlnf += size * a.dlnf[t.of]
	}
	return v, rate, lnf, dlnf
}
