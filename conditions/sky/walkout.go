package sky

import (
	"fmt"
	"math"
	"time"

	"ledgehand/conditions/measure"
)

// LeaveBy is until when one can set out and have the whole walk in the light, on the evening that
// comes after an instant t: the one that ends with the next civil dusk, or in 25 hours if there is none.
//
// All of it is for a clear sky and a sea horizon. Cloud, a cliff behind or trees over the path take
// the light sooner, the air moves sunset by a minute or more, and people walk slower with wet
// gear: nobody should plan by the minute, and those who can should leave well before.
type LeaveBy struct {
	Sunset Event // none too when the sun has set already and only dusk is to come
	Dusk   Event // end of civil twilight: the sun's centre at -6 degrees

	// The two above less the walk. One that lies before t is past: too late to have that light all
	// the way. None where the one above has none, and where the light does not last as long as the walk.
	BeforeSunset Event // to be back in daylight
	BeforeDark   Event // at the latest, to be back before the path can no longer be seen

	Sun   State // Normal: has a Sunset. AlwaysUp: does not set. AlwaysDown: does not come up this evening
	Civil State // Normal: has a Dusk. AlwaysUp: does not get dark. AlwaysDown: no civil twilight to come
}

// WalkOut is when to leave a ledge at p for a walk of that length, on the evening after t. Events are
// UTC, rounded down to the second, and as good as Sunset (a minute). A walk below zero or over 24
// hours is refused.
func WalkOut(p measure.Position, t time.Time, walk time.Duration) (LeaveBy, error) {
	if err := check(p, t); err != nil {
		return LeaveBy{}, err
	}
	if walk < 0 || walk > 24*time.Hour {
		return LeaveBy{}, fmt.Errorf("walk out: walk of %v, want 0 to %v", walk, 24*time.Hour)
	}
	sun := newTrack(Sun, observer(p), t, eveningWithin, lookEvery)
	l := take(sun.sine, eveningWithin)

	light := firstSpell(l.crossings(sun.sine, civilAltitude.Sin()), l.h[1] >= civilAltitude.Sin(), eveningWithin)
	end := eveningWithin
	if light.state == Normal {
		end = light.to // a later sunset is tomorrow's
	}
	up := firstSpell(l.crossings(sun.sine, sunAltitude.Sin()), l.h[1] >= sunAltitude.Sin(), end)

	by := LeaveBy{Sun: up.state, Civil: light.state}
	by.Sunset, by.BeforeSunset = up.leave(t, walk)
	by.Dusk, by.BeforeDark = light.leave(t, walk)
	return by, nil
}

// spell is the first stretch above a level that ends, in seconds; from and to only mean something if
// the state is Normal.
type spell struct {
	from, to float64
	state    State
}

// firstSpell finds it among the passages before end. What is up at the start counts as having been so
// for ever: how long since does not matter to those who have yet to leave.
func firstSpell(passages []crossing, up bool, end float64) spell {
	s := spell{from: math.Inf(-1), state: AlwaysDown}
	if up {
		s.state = AlwaysUp
	}
	for _, c := range passages {
		switch {
		case c.s >= end:
			return s
		case c.up:
			s.from, s.state = c.s, AlwaysUp
		default:
			s.to, s.state = c.s, Normal
			return s
		}
	}
	return s
}

// leave is the end of s, which counts its seconds from t, and when to leave for it.
func (s spell) leave(t time.Time, walk time.Duration) (end, by Event) {
	if s.state != Normal {
		return end, by
	}
	at := t.Add(time.Duration(s.to * float64(time.Second))).UTC()
	end = Event{At: at.Truncate(time.Second), OK: true}
	if s.to-s.from >= walk.Seconds() {
		by = Event{At: at.Add(-walk).Truncate(time.Second), OK: true}
	}
	return end, by
}
