package conditions

import (
	"errors"
	"fmt"
	"math"
	"time"

	"ledgehand/conditions/measure"
	"ledgehand/conditions/sky"
	"ledgehand/conditions/tide"
)

// TideDay is the tide of one day at one place, as far as the tables go: predicted, never measured.
type TideDay struct {
	Name     string
	From, To time.Time // the day, on the clocks of Zone
	Now      time.Time
	Zone     *time.Location

	Station tide.Station
	Km      float64 // from the place; 0 when the place is the station
	Bearing measure.Towards
	Doubts  []tide.Doubt // why the station's tide may not be the place's, worst first

	Today     bool       // Now lies in the day: Stage and Rate mean something
	Stage     tide.Stage // at Now
	Rate      tide.MetresPerHour
	Turns     []tide.Extreme  // of the day
	Highest   tide.Extreme    // of the day; no Kind: none
	Next      [2]tide.Extreme // after Now: the next high, the next low; no Kind: none within days
	Stands    []tide.Span
	Character tide.Character
	Fortnight *tide.Fortnight // nil: the tide has no springs and neaps to speak of

	Gate    *measure.Metres // the walk-in is dry at or below it
	GateDry []tide.Span
	Asked   *Level
}

// Level is a height somebody asked about.
type Level struct {
	Height measure.Metres // above Datum of the day's station
	Above  bool           // when the water is above it; else at or below
	Spans  []tide.Span    // within the day
}

// PlaceDay is a place and a day somebody asks about. Place may be nil: then it is the station's own.
type PlaceDay struct {
	Name    string
	Place   *measure.Position
	Station string
	Day     sky.Date
	Now     time.Time
	Zone    *time.Location
	Gate    *measure.Metres
	Level   *measure.Metres
	Above   bool
}

// ErrNoTide says that a place has no tide station to go by.
var ErrNoTide = errors.New("no tide station")

// TideOf works out the tide of a day. It fails with ErrNoTide, with tide.UnknownStationError, and on a day the zone does
// not have.
func TideOf(q PlaceDay) (TideDay, error) {
	if q.Station == "" {
		return TideDay{}, fmt.Errorf("tide at %s: %w", q.Name, ErrNoTide)
	}
	p, err := tide.Open(q.Station)
	if err != nil {
		return TideDay{}, fmt.Errorf("tide of a day: %w", err)
	}
	from, to, err := q.Day.Bounds(q.Zone)
	if err != nil {
		return TideDay{}, fmt.Errorf("tide of a day: %w", err)
	}
	d := TideDay{
		Name: q.Name, From: from, To: to, Now: q.Now, Zone: q.Zone, Station: p.Station(), Gate: q.Gate, Character: p.Character(),
		Today: !q.Now.Before(from) && q.Now.Before(to),
	}
	if q.Place != nil {
		d.Km, d.Bearing = measure.DistanceKm(*q.Place, d.Station.Position), measure.Bearing(*q.Place, d.Station.Position)
		d.Doubts = tide.DoubtsOf(*q.Place, q.Station)
	} else if d.Station.Warning != "" {
		d.Doubts = []tide.Doubt{{Why: tide.Warned, Warning: d.Station.Warning}}
	}
	if math.IsNaN(float64(p.Height(q.Now))) { // a subordinate station whose reference has no highs and lows
		return TideDay{}, fmt.Errorf("tide at %s: %w", q.Name, ErrNoTide)
	}
	d.Stage, d.Rate = p.StageAt(q.Now), p.Rate(q.Now)
	d.Turns = p.Extremes(from, to.Add(-time.Second))
	d.Highest, _ = p.Highest(from, to.Add(-time.Second))
	for i, k := range []tide.Kind{tide.High, tide.Low} {
		d.Next[i], _ = p.Next(q.Now, k)
	}
	if d.Station.Warning != tide.NoTide {
		d.Stands = p.Stands(from, to, tide.StandRate, tide.StandLength)
	}
	if f, ok := p.FortnightAt(nowOrNoon(from, to, q.Now)); ok {
		d.Fortnight = &f
	}
	if q.Gate != nil {
		d.GateDry = p.Below(*q.Gate, from, to)
	}
	if q.Level != nil {
		d.Asked = &Level{Height: *q.Level, Above: q.Above, Spans: p.Below(*q.Level, from, to)}
		if q.Above {
			d.Asked.Spans = p.Above(*q.Level, from, to)
		}
	}
	return d, nil
}

// nowOrNoon is now on the day that is today, else noon.
func nowOrNoon(from, to, now time.Time) time.Time {
	if !now.Before(from) && now.Before(to) {
		return now
	}
	return from.Add(to.Sub(from) / 2)
}
