package sky

import (
	"fmt"
	"time"

	"github.com/soniakeys/meeus/v3/sidereal"

	"ledgehand/conditions/measure"
)

// Moonlight is whether the moon helps somebody to see outdoors at night under a clear sky.
type Moonlight string

// From the most light to none. A half moon gives about a tenth of the light of a full one (from memory).
const (
	BrightMoon Moonlight = "bright" // up, and more than half of the disc lit
	FaintMoon  Moonlight = "faint"  // up, but half or less lit: no light to walk by
	NoMoon     Moonlight = "none"   // below the horizon
)

// brightLit is the lit part of the disc above which the moon helps: common practice, no source.
const brightLit = 0.5

// MoonlightAt is what the moon gives at p at t. It judges the moon alone: LightAt tells whether it is
// night at all. The lit part is good to 0.01, so within about two hours of a quarter it may say
// either. Neither cloud nor cliffs nor the height of the moon are in it, and a moon that has just
// risen lights little.
func MoonlightAt(p measure.Position, t time.Time) (Moonlight, error) {
	if err := check(p, t); err != nil {
		return "", err
	}
	jd := julianDay(t)
	jde, o := ephemerisDay(jd), observer(p)
	θ := localAngle(o, sidereal.Apparent(jd))
	c := moonAt(jde)
	altitude, _ := horizontal(o, θ, fromGround(o, θ, c))
	switch {
	case altitude < moonAltitude(c.km).Deg():
		return NoMoon, nil
	case litAt(jde) > brightLit:
		return BrightMoon, nil
	}
	return FaintMoon, nil
}

// Span is a stretch of time, UTC, from From up to To.
type Span struct {
	From, To time.Time
}

// maxMoonWindow is as far as forecasts go, and half a millisecond of work.
const maxMoonWindow = 15 * 24 * time.Hour

// MoonUp is when the moon is above the horizon at p between from and to, by the standard altitude of
// Moonrise and as good (a minute): in order, cut to the window, otherwise to whole seconds. Windows
// longer than 15 days are refused. None means that it is down all the time.
func MoonUp(p measure.Position, from, to time.Time) ([]Span, error) {
	if err := check(p, from); err != nil {
		return nil, err
	}
	if err := check(p, to); err != nil {
		return nil, err
	}
	from, to = from.UTC(), to.UTC()
	if to.Before(from) {
		return nil, fmt.Errorf("moon up: from %s is after to %s", from.Format(time.RFC3339), to.Format(time.RFC3339))
	}
	if window := to.Sub(from); window > maxMoonWindow {
		return nil, fmt.Errorf("moon up: window of %v, want at most %v", window, maxMoonWindow)
	}

	var spans []Span
	var rise time.Time
	up := false
	turn := func(at time.Time) {
		if at.Before(from) { // rounded out of the window
			at = from
		} else if at.After(to) {
			at = to
		}
		if up = !up; up {
			rise = at
		} else if rise.Before(at) {
			spans = append(spans, Span{rise, at})
		}
	}
	// A track carries about a day. Two that meet differ by 0.01 s, so that a passage right there may be
	// missing from both or in both: the state at the start of each settles it.
	const day = 24 * time.Hour
	o := observer(p)
	for start := from; start.Before(to); start = start.Add(day) {
		length := min(day, to.Sub(start)).Seconds()
		passages, upAtStart := newTrack(Moon, o, start, length, lookEvery).moonPassages(length)
		if upAtStart != up {
			turn(start)
		}
		for _, c := range passages {
			turn(after(start, c.s))
		}
	}
	if up {
		turn(to)
	}
	return spans, nil
}

// moonPassages are the rises and sets of the moon that k follows, and whether it is up at the start.
func (k *track) moonPassages(length float64) (passages []crossing, up bool) {
	above := func(s float64) float64 { _, above := k.height(s); return above }
	l := take(above, length)
	return l.crossings(above, 0), l.h[1] >= 0
}
