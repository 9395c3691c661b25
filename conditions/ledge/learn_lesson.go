package ledge

import (
	"math"
	"time"

	"ledgehand/conditions/measure"
	"ledgehand/conditions/wave"
)

// WellKnown is the spread of ln kappa up to which observations are called a calibration: less than half of the variance
// that is believed before any. Dry watches far below the lip, however many, do not get there (engineering judgement).
const WellKnown = 0.25

// Lesson is what some observations of a ledge taught, for its card. Factors are over the textbook's run-up: 0.8 means that
// waves reach 0.8 of what the formula says, as the forecast sees them.
type Lesson struct {
	Watches      int     `json:"watches"`           // and reports that could be learned from
	Reports      int     `json:"reports,omitempty"` // of them: told afterwards, nobody watched
	Wet          int     `json:"wet"`               // of them with water over the lip
	Kappa        float64 `json:"kappa"`             // median
	Factor       float64 `json:"factor"`            // median
	Low          float64 `json:"factor_low"`        // nine in ten lie between
	High         float64 `json:"factor_high"`       //
	Spread       float64 `json:"spread"`            // of ln kappa
	Calibrated   bool    `json:"calibrated"`        // enough, and of days that showed something, to be worth more than the formula
	Contradicted bool    `json:"contradicted,omitempty"`

	Swells []SwellLesson `json:"swells,omitempty"` // those with watches enough to speak for themselves, only of a whole ledge
}

// SwellLesson is what watches in swell from the 45 degrees about a direction taught.
type SwellLesson struct {
	From measure.From `json:"from"` // one of the eight winds
	Lesson
}

// Summarise says what all observations of a ledge teach together, and those of each of the eight winds that has
// SectorWatches of them. Errors are those of Learn.
func Summarise(prior Prior, seen []Observation, now time.Time) (Lesson, error) {
	all, err := lessonOf(prior, seen, now)
	if err != nil {
		return Lesson{}, err
	}
	for from := measure.From(0); from < 360; from += SectorWidth {
		if InSector(seen, from) < SectorWatches {
			continue
		}
		one, err := lessonOf(prior, ForSwell(seen, from), now)
		if err != nil {
			return Lesson{}, err
		}
		all.Swells = append(all.Swells, SwellLesson{From: from, Lesson: one})
	}
	return all, nil
}

func lessonOf(prior Prior, seen []Observation, now time.Time) (Lesson, error) {
	p, err := Learn(prior, seen, now)
	if err != nil {
		return Lesson{}, err
	}
	out := Lesson{
		Watches: len(seen), Kappa: p.Median, Factor: p.Median / prior.Kappa, Spread: p.Spread, Contradicted: p.Contradicted,
		Calibrated: len(seen) >= SectorWatches && p.Spread <= WellKnown && !p.Contradicted,
	}
	// By the spread the chain reckons with, which has a floor, and not by the ends of the grid's mass, which have none.
	out.Low, out.High = out.Factor*math.Exp(-wave.OneInTwenty*p.Spread), out.Factor*math.Exp(wave.OneInTwenty*p.Spread)
	for _, o := range seen {
		if o.Washes > 0 {
			out.Wet++
		}
		if o.Report {
			out.Reports++
		}
	}
	return out, nil
}
