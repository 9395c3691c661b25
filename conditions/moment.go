package conditions

import (
	"fmt"
	"math"
	"time"

	"ledgehand/conditions/measure"
	"ledgehand/conditions/sky"
	"ledgehand/conditions/tide"
)

// TideStage is where the tide stands, in one word.
type TideStage string

// The stages. Around a turn the level rests: within Turning of it the tide is called by that turn. Slack is water that hardly moves
// far from any turn, as where two high waters follow each other.
const (
	StageMaking TideStage = "making"
	StageEbbing TideStage = "ebbing"
	StageHigh   TideStage = "high"
	StageLow    TideStage = "low"
	StageSlack  TideStage = "slack"
)

// Turning is how near to a high or low water the tide is called by it (common practice, no source).
const Turning = 20 * time.Minute

// LightStage is the light in one word.
type LightStage string

// The stages. Twilight is civil twilight, in which path and rock can be seen; what lies deeper is dark.
const (
	StageDark LightStage = "dark"
	StageDawn LightStage = "dawn"
	StageDay  LightStage = "day"
	StageDusk LightStage = "dusk"
)

// Moment is tide and light at one instant, as far as tables go: predicted, never measured.
type Moment struct {
	Tide  TideStage // "": no station, or a tide that does not turn
	Level measure.Metres
	Datum string
	Turn  tide.Extreme // the high or low water nearest in time
	Light LightStage   // "": no place
}

// MomentAt works out tide and light at t. A place or a station that is not known, and a time outside the tables, leave their part
// empty: what was caught then is worth keeping without it.
func MomentAt(p *measure.Position, station string, t time.Time) Moment {
	var m Moment
	if x, err := tide.Open(station); err == nil && station != "" {
		m.tideAt(x, t)
		if p == nil {
			at := x.Station().Position
			p = &at
		}
	}
	if p != nil {
		m.Light, _ = lightStage(*p, t)
	}
	return m
}

func (m *Moment) tideAt(p *tide.Predictor, t time.Time) {
	s := p.StageAt(t)
	if s.Motion == tide.Still || math.IsNaN(float64(s.Height)) || p.Station().Warning == tide.NoTide {
		return
	}
	m.Level, m.Datum, m.Turn = s.Height, p.Station().Datum, s.Last
	if s.Next.At.Sub(t) < t.Sub(s.Last.At) {
		m.Turn = s.Next
	}
	rate := p.Rate(t)
	switch {
	case m.Turn.At.Sub(t).Abs() <= Turning && m.Turn.Kind == tide.High:
		m.Tide = StageHigh
	case m.Turn.At.Sub(t).Abs() <= Turning:
		m.Tide = StageLow
	case rate > -tide.StandRate && rate < tide.StandRate:
		m.Tide = StageSlack
	case s.Motion == tide.Making:
		m.Tide = StageMaking
	default:
		m.Tide = StageEbbing
	}
}

// lightStage tells dawn from dusk by whether the sun climbs.
func lightStage(p measure.Position, t time.Time) (LightStage, error) {
	l, err := sky.LightAt(p, t)
	if err != nil {
		return "", fmt.Errorf("light at an instant: %w", err)
	}
	switch l {
	case sky.Daylight:
		return StageDay, nil
	case sky.CivilTwilight:
		now, err := sky.At(sky.Sun, p, t)
		if err != nil {
			return "", fmt.Errorf("light at an instant: %w", err)
		}
		soon, err := sky.At(sky.Sun, p, t.Add(time.Minute))
		if err != nil {
			return "", fmt.Errorf("light at an instant: %w", err)
		}
		if soon.Altitude > now.Altitude {
			return StageDawn, nil
		}
		return StageDusk, nil
	}
	return StageDark, nil
}

// Shares are how much of a stay the tide made, and how much of it was day or twilight, 0 to 1. A part that cannot be told is -1.
type Shares struct{ Making, Lit float64 }

// SharesOf looks every five minutes from from to to.
func SharesOf(p *measure.Position, station string, from, to time.Time) Shares {
	out := Shares{-1, -1}
	const every = 5 * time.Minute
	if to.Before(from) || to.Sub(from) > 48*time.Hour {
		return out
	}
	n := float64(to.Sub(from)/every + 1)
	if x, err := tide.Open(station); err == nil && station != "" && x.Station().Warning != tide.NoTide {
		if p == nil {
			at := x.Station().Position
			p = &at
		}
		if hs := x.Heights(from, to.Add(every), every); len(hs) > int(n) && !math.IsNaN(float64(hs[0])) {
			out.Making = 0
			for i := range int(n) {
				if hs[i+1] > hs[i] {
					out.Making += 1 / n
				}
			}
		}
	}
	if p == nil {
		return out
	}
	lit := 0.0
	for t := from; !t.After(to); t = t.Add(every) {
		l, err := sky.LightAt(*p, t)
		if err != nil {
			return out
		}
		if l == sky.Daylight || l == sky.CivilTwilight {
			lit += 1 / n
		}
	}
	out.Lit = lit
	return out
}
