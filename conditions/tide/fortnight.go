package tide

import (
	"math"
	"time"

	"ledgehand/conditions/measure"
)

// Fortnight is where an instant lies between great tides and small ones. Where there are two tides a day those are springs
// and neaps: the lunar and the solar tide, M2 and S2, in step or against each other, a day or two after new and full and
// after half moon (the age of the tide is in the phases). Where there is one a day they are K1 and O1, in step when the
// moon stands far from the equator. The moon's distance makes some springs greater than others: see Largest.
type Fortnight struct {
	Pace      Pace
	NextGreat time.Time      // the next great tides: springs
	NextSmall time.Time      // the next small tides: neaps
	Range     measure.Metres // from the lowest low to the highest high water of the lunar day around the instant
	Largest   Extreme        // the highest high water of the fifteen days to come
}

// Pace says how the ranges run.
type Pace string

const (
	GreatTides Pace = "great"     // within two days or so of springs
	SmallTides Pace = "small"     // of neaps
	Growing    Pace = "growing"   // from neaps to springs
	Shrinking  Pace = "shrinking" // from springs to neaps
)

// lunarDay is how long the moon takes to come round: as long as two tides.
const lunarDay = 24*time.Hour + 50*time.Minute + 28*time.Second

// FortnightAt tells where t lies between great and small tides; ok is false where the tide is too small to speak of or
// has no such beat.
func (p *Predictor) FortnightAt(t time.Time) (f Fortnight, ok bool) {
	at := unix(t)
	lead, rate, ok := p.curve.beat(at)
	if !ok || p.warning == NoTide {
		return Fortnight{}, false
	}
	next := func(deg float64) time.Time { // when the lead is deg next; it grows by the same amount every hour
		return clock(at + measure.Wrap360(deg-lead)/rate*3600)
	}
	f = Fortnight{NextGreat: next(0), NextSmall: next(180)}
	switch lead = measure.Wrap360(lead); {
	case lead < 45 || lead >= 315:
		f.Pace = GreatTides
	case lead < 135:
		f.Pace = Shrinking
	case lead < 225:
		f.Pace = SmallTides
	default:
		f.Pace = Growing
	}
	hi, ok1 := p.Highest(t.Add(-lunarDay/2), t.Add(lunarDay/2))
	lo, ok2 := p.Lowest(t.Add(-lunarDay/2), t.Add(lunarDay/2))
	if ok1 && ok2 {
		f.Range = hi.Height - lo.Height
	}
	f.Largest, ok = p.Highest(t, t.AddDate(0, 0, 15))
	return f, ok
}

// beat gives by how many degrees the faster of the two great constituents leads the other, and how many degrees an hour
// it gains: 0 is springs, 180 neaps. Not ok where one of the two is missing.
func (h *harmonic) beat(at float64) (lead, rate float64, ok bool) {
	w := h.wheelAt(int64(math.Floor(at)))
	tau := (at - float64(w.start)) / 3600
	phase := func(name string) (amp, deg, speed float64) {
		for i, t := range h.terms {
			if t.line.name == name {
				return t.amp, (w.phase[i] + w.speed[i]*tau) * 180 / math.Pi, w.speed[i] * 180 / math.Pi
			}
		}
		return 0, 0, 0
	}
	s2, sDeg, sSpeed := phase("S2")
	m2, mDeg, mSpeed := phase("M2")
	k1, kDeg, kSpeed := phase("K1")
	o1, oDeg, oSpeed := phase("O1")
	if m2+s2 >= k1+o1 {
		return sDeg - mDeg, sSpeed - mSpeed, m2 > 0 && s2 > 0
	}
	return kDeg - oDeg, kSpeed - oSpeed, k1 > 0 && o1 > 0
}

func (s *secondary) beat(at float64) (lead, rate float64, ok bool) {
	return s.ref.beat(at - (s.off.HighLater+s.off.LowLater).Seconds()/2)
}
