package sky

import (
	"fmt"
	"time"

	"github.com/soniakeys/unit"

	"ledgehand/conditions/measure"
)

// Standard altitudes of the sun's centre, as the almanacs define the words.
var (
	sunAltitude      = unit.AngleFromMin(-50) // 34' of refraction and 16' of radius
	civilAltitude    = unit.AngleFromDeg(-6)
	nauticalAltitude = unit.AngleFromDeg(-12)
)

// Event is an instant that some days do not have. At is UTC and only means something if OK.
type Event struct {
	At time.Time
	OK bool
}

// State says whether something above a limit comes and goes in a day, or holds all day.
type State string

// The states of a day. AlwaysUp of the twilights means that it never gets as dark as their end.
const (
	Normal     State = "normal"
	AlwaysUp   State = "always up"
	AlwaysDown State = "always down"
)

// halfMinute is how far an event may lie before midnight and still belong to the day that begins: its
// nearest minute is 00:00. The almanacs date events so, and it keeps a printed "00:00" under its own date.
const halfMinute = 30 * time.Second

// Day is the light of one civil day at one place: the events whose nearest minute lies in it. Near the polar circles a day may hold two of a
// kind (a sunset just past midnight and one just before the next): then Sunrise, the dawns and
// Moonrise are the first of the day, Sunset, the dusks and Moonset the last, so that they frame
// the light. NextDusk finds every dusk in turn.
type Day struct {
	Date     Date
	From, To time.Time // first instant of the day and of the next, on the zone's clocks

	Sunrise, Sunset            Event
	CivilDawn, CivilDusk       Event // sun's centre at -6 degrees
	NauticalDawn, NauticalDusk Event // sun's centre at -12 degrees
	Moonrise, Moonset          Event

	// Over or under the horizon, on the meridian: the sun's true noon, the moon's middle. The moon
	// passes about every 24 h 50 min, so about once a month a day has none; at longitudes 12 hours from
	// their zone even the sun may miss a day. A day with two has the first.
	SunTransit, MoonTransit Event

	// Where the sun comes up and goes down, degrees true, good to 0.1 where it crosses steeply.
	// Only those of the events that are OK mean something.
	SunriseTowards, SunsetTowards measure.Towards

	Sun      State // AlwaysUp: the sun does not set this day
	Civil    State // AlwaysUp: it never gets darker than civil twilight
	Nautical State // AlwaysDown: not even nautical twilight
	Moon     State

	MoonLit   float64 // lit part of the disc at noon on the zone's clocks, 0 to 1
	MoonPhase Phase   // a quarter on the day it falls, else what lies between
}

// DayAt works out the day d, from midnight to midnight on the clocks of loc (23 or 25 hours when
// they change), at p. It fails on a bad position, a date that does not exist, in the calendar or in
// loc (ErrNoSuchDay), and a year outside 1900 to 2100 (YearError).
func DayAt(p measure.Position, d Date, loc *time.Location) (Day, error) {
	day, err := SunDayAt(p, d, loc)
	if err != nil {
		return day, err
	}
	start, length := day.From.Add(-halfMinute), day.To.Sub(day.From).Seconds()
	moon := newTrack(Moon, observer(p), start, length, lookEvery)
	passages, up := moon.moonPassages(length)
	day.Moonrise, day.Moonset, day.Moon = frame(start, passages, up)
	if s, ok := moon.transit(length); ok {
		day.MoonTransit = Event{At: after(start, s), OK: true}
	}
	noon := time.Date(d.Year, d.Month, d.Day, 12, 0, 0, 0, loc)
	day.MoonLit = litAt(ephemerisDay(julianDay(noon)))
	day.MoonPhase = phaseOf(day.From, day.To)
	return day, nil
}

// SunDayAt is DayAt without the moon, whose fields stay empty, for a third of the work.
func SunDayAt(p measure.Position, d Date, loc *time.Location) (Day, error) {
	if loc == nil {
		return Day{}, fmt.Errorf("sky on %s: no time zone", d)
	}
	if err := checkYear(d.Year); err != nil {
		return Day{}, fmt.Errorf("sky: %w", err)
	}
	from, to, err := d.bounds(loc)
	if err != nil {
		return Day{}, fmt.Errorf("sky: %w", err)
	}
	if err := p.Check(); err != nil {
		return Day{}, fmt.Errorf("sky on %s: %w", d, err)
	}

	day := Day{Date: d, From: from, To: to}
	o, start, length := observer(p), from.Add(-halfMinute), to.Sub(from).Seconds()

	sun := newTrack(Sun, o, start, length, lookEvery)
	suns := take(sun.sine, length)
	pass := func(level unit.Angle) (rise, set Event, st State) {
		return frame(start, suns.crossings(sun.sine, level.Sin()), suns.h[1] >= level.Sin())
	}
	day.Sunrise, day.Sunset, day.Sun = pass(sunAltitude)
	day.CivilDawn, day.CivilDusk, day.Civil = pass(civilAltitude)
	day.NauticalDawn, day.NauticalDusk, day.Nautical = pass(nauticalAltitude)

	if s, ok := sun.transit(length); ok {
		day.SunTransit = Event{At: after(start, s), OK: true}
	}
	if day.Sunrise.OK {
		day.SunriseTowards = sun.towards(o, day.Sunrise.At.Sub(start).Seconds())
	}
	if day.Sunset.OK {
		day.SunsetTowards = sun.towards(o, day.Sunset.At.Sub(start).Seconds())
	}

	return day, nil
}

// frame takes the first rise and the last set out of the passages of a day.
func frame(start time.Time, passages []crossing, up bool) (rise, set Event, st State) {
	if len(passages) == 0 {
		if up {
			return rise, set, AlwaysUp
		}
		return rise, set, AlwaysDown
	}
	for _, c := range passages {
		e := Event{At: after(start, c.s), OK: true}
		switch {
		case !c.up:
			set = e
		case !rise.OK:
			rise = e
		}
	}
	return rise, set, Normal
}

// after is s seconds after start, to the nearest second, UTC.
func after(start time.Time, s float64) time.Time {
	return start.Add(time.Duration(s * float64(time.Second))).UTC().Round(time.Second)
}
