package conditions

import (
	"fmt"
	"time"

	"ledgehand/conditions/measure"
	"ledgehand/conditions/sky"
)

// LightDay is the light of one day at one place: sun and twilight, the walk out, the moon of the night that follows.
type LightDay struct {
	Name string
	Now  time.Time
	Zone *time.Location
	sky.Day
	Walk  *time.Duration // from the ledge to where the dark does not matter; nil: nobody said
	Leave sky.LeaveBy    // for that walk, or for none, on the evening of the day
	// MoonUp is when the moon is over the horizon between the dusk and the dawn that follow the day's noon.
	NightFrom, NightTo time.Time // zero where it does not get dark, or not light
	MoonUp             []sky.Span
	Moonlight          sky.Moonlight // the best that the moon gives in that night
	Next               []sky.PhaseAt // the quarters of the moon in the fortnight from the day on
}

// LightOf works out the light of a day. It fails on a day the zone does not have and on years outside 1900 to 2100.
func LightOf(name string, p measure.Position, day sky.Date, now time.Time, zone *time.Location, walk *time.Duration) (LightDay, error) {
	d, err := sky.DayAt(p, day, zone)
	if err != nil {
		return LightDay{}, fmt.Errorf("light of a day: %w", err)
	}
	out := LightDay{Name: name, Now: now, Zone: zone, Day: d, Walk: walk, Moonlight: sky.NoMoon}
	noon := d.From.Add(d.To.Sub(d.From) / 2)
	length := time.Duration(0)
	if walk != nil {
		length = *walk
	}
	if out.Leave, err = sky.WalkOut(p, noon, length); err != nil {
		return LightDay{}, fmt.Errorf("light of a day: %w", err)
	}
	// Counted back from dusk, a long walk would begin before it got light: then the light does not last for it.
	if e := &out.Leave.BeforeDark; e.OK && d.CivilDawn.OK && e.At.Before(d.CivilDawn.At) {
		*e = sky.Event{}
	}
	if e := &out.Leave.BeforeSunset; e.OK && d.Sunrise.OK && e.At.Before(d.Sunrise.At) {
		*e = sky.Event{}
	}
	if out.Next, err = sky.Phases(d.From, d.From.AddDate(0, 0, 15)); err != nil {
		return LightDay{}, fmt.Errorf("light of a day: %w", err)
	}
	switch {
	case out.Leave.Dusk.OK:
		// The dusk of this evening, which in a northern summer falls after midnight, and the first dawn after it.
		out.NightFrom = out.Leave.Dusk.At
		for _, at := range []time.Time{out.NightFrom, out.NightFrom.Add(24 * time.Hour)} {
			x, err := sky.DayAt(p, sky.DateIn(at, zone), zone)
			if err != nil {
				return LightDay{}, fmt.Errorf("light of the day after: %w", err)
			}
			if x.CivilDawn.OK && x.CivilDawn.At.After(out.NightFrom) {
				out.NightTo = x.CivilDawn.At
				break
			}
		}
		if out.NightTo.IsZero() { // the first dusk before a polar night
			out.NightTo = out.NightFrom.Add(24 * time.Hour)
		}
	case out.Leave.Civil == sky.AlwaysDown: // polar night: all of it is night
		out.NightFrom, out.NightTo = noon, noon.Add(24*time.Hour)
	default:
		return out, nil
	}
	if out.MoonUp, err = sky.MoonUp(p, out.NightFrom, out.NightTo); err != nil {
		return LightDay{}, fmt.Errorf("moon of the night: %w", err)
	}
	for _, s := range out.MoonUp {
		l, err := sky.MoonlightAt(p, s.From.Add(s.To.Sub(s.From)/2))
		if err != nil {
			return LightDay{}, fmt.Errorf("moon of the night: %w", err)
		}
		if l == sky.BrightMoon || out.Moonlight == sky.NoMoon {
			out.Moonlight = l
		}
	}
	return out, nil
}
