package sky

import (
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/soniakeys/meeus/v3/moonphase"
)

// Phase is a quarter of the moon, which falls at an instant, or a stretch between two.
type Phase string

// The phases in the order the moon goes through them. Phases returns the four quarters only.
const (
	New            Phase = "new"
	WaxingCrescent Phase = "waxing_crescent"
	FirstQuarter   Phase = "first_quarter"
	WaxingGibbous  Phase = "waxing_gibbous"
	Full           Phase = "full"
	WaningGibbous  Phase = "waning_gibbous"
	LastQuarter    Phase = "last_quarter"
	WaningCrescent Phase = "waning_crescent"
)

// Words is the phase in plain English: "first quarter", "waning crescent".
func (p Phase) Words() string { return strings.ReplaceAll(string(p), "_", " ") }

var (
	quarters = [4]Phase{New, FirstQuarter, Full, LastQuarter}
	between  = [4]Phase{WaxingCrescent, WaxingGibbous, WaningGibbous, WaningCrescent} // each after its quarter
)

// PhaseAt is a quarter of the moon and when it falls, UTC.
type PhaseAt struct {
	Phase Phase
	At    time.Time
}

// Phases are the quarters of the moon from from up to but not including to, in order. The series of
// Meeus chapter 49 is good to about 20 s in these centuries; the tables print minutes.
func Phases(from, to time.Time) ([]PhaseAt, error) {
	for _, t := range []time.Time{from, to} {
		if err := checkYear(t.UTC().Year()); err != nil {
			return nil, fmt.Errorf("moon phases: %w", err)
		}
	}
	if to.Before(from) {
		return nil, fmt.Errorf("moon phases: from %s is after to %s", from.Format(time.RFC3339), to.Format(time.RFC3339))
	}
	var found []PhaseAt
	// A quarter falls within a day of its mean, and the next mean is a week away.
	last := int(math.Ceil(lunation(julianDay(to)) * 4))
	for n := int(math.Floor(lunation(julianDay(from))*4)) - 1; n <= last+1; n++ {
		at := quarterAt(n)
		if !at.Before(from) && at.Before(to) {
			found = append(found, PhaseAt{quarters[mod4(n)], at})
		}
	}
	return found, nil
}

// lunation counts mean lunations from the new moon of 6 January 2000 (Meeus formula 49.1; the
// quadratic term is under 3 minutes a century).
func lunation(jd float64) float64 { return (jd - 2451550.09766) / 29.530588861 }

// quarterAt is the instant of quarter n, counted from the same new moon: 0 new, 1 first quarter ...
func quarterAt(n int) time.Time {
	// The library takes a decimal year and looks for the quarter nearest to it by formula 49.2;
	// this is the year that formula turns into exactly n quarters.
	year := 2000 + float64(n)/4/12.3685
	var jde float64
	switch quarters[mod4(n)] {
	case New:
		jde = moonphase.New(year)
	case FirstQuarter:
		jde = moonphase.First(year)
	case Full:
		jde = moonphase.Full(year)
	case LastQuarter:
		jde = moonphase.Last(year)
	}
	return instant(jde - deltaT(jde)/secondsPerDay)
}

func mod4(n int) int { return ((n % 4) + 4) % 4 }

// phaseOf names the phase of a day: the quarter if one falls in it, else the stretch it is in.
func phaseOf(from, to time.Time) Phase {
	noon := from.Add(to.Sub(from) / 2)
	jd := julianDay(noon)
	for n, last := int(math.Floor(lunation(jd)*4))-1, int(math.Ceil(lunation(jd)*4))+1; n <= last; n++ {
		// ruled out without the series: no quarter strays by a day from its mean
		if math.Abs(lunation(jd)-float64(n)/4)*29.53 > 1.6 {
			continue
		}
		if at := quarterAt(n); !at.Before(from) && at.Before(to) {
			return quarters[mod4(n)]
		}
	}
	return between[int(elongationAt(ephemerisDay(jd))/90)%4]
}
