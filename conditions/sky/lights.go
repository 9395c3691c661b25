package sky

import (
	"time"

	"ledgehand/conditions/measure"
)

// Lights is LightAt for many instants of a span: it follows the sun through it, a day at a time, at a fraction of the work.
type Lights struct {
	from   time.Time
	tracks []*track
}

// lightsWithin is how much of the span one track carries.
const lightsWithin = 24 * time.Hour

// LightsBetween follows the sun over p from one instant to another. It fails as LightAt does, at either end.
func LightsBetween(p measure.Position, from, to time.Time) (Lights, error) {
	if err := check(p, from); err != nil {
		return Lights{}, err
	}
	if err := check(p, to); err != nil {
		return Lights{}, err
	}
	l := Lights{from: from}
	for at := from; len(l.tracks) == 0 || at.Before(to); at = at.Add(lightsWithin) {
		l.tracks = append(l.tracks, newTrack(Sun, observer(p), at, lightsWithin.Seconds(), lookEvery))
	}
	return l, nil
}

// At is the light at an instant of the span.
func (l Lights) At(t time.Time) Light {
	i := min(max(0, int(t.Sub(l.from)/lightsWithin)), len(l.tracks)-1)
	return lightOf(l.tracks[i].sine(t.Sub(l.from.Add(time.Duration(i) * lightsWithin)).Seconds()))
}
