package command

import "time"

// A civil date is carried as a time.Time at 00:00 UTC of that date, so that adding a day always does.
func civil(y int, m time.Month, d int) time.Time { return time.Date(y, m, d, 0, 0, 0, 0, time.UTC) }

func civilOf(t time.Time, zone *time.Location) time.Time {
	y, m, d := t.In(zone).Date()
	return civil(y, m, d)
}

// civilDate is the date d.m.y, and false if the calendar has none.
func civilDate(y, m, d int) (time.Time, bool) {
	if m < 1 || m > 12 || d < 1 || d > 31 || y < 1 {
		return time.Time{}, false
	}
	t := civil(y, time.Month(m), d)
	return t, t.Day() == d
}

// moments returns the instants at which clocks in the zone show this date and minute of the day:
// one, two when clocks go back over it, none when they are put forward over it. In the last case
// shown holds the instant that the same count of minutes comes to with the clock as it was before,
// which clocks show as a later time: the reading to offer.
func moments(date time.Time, minutes int, zone *time.Location) (at []time.Time, shown time.Time) {
	wall := date.Add(time.Duration(minutes) * time.Minute)
	var tried [3]int
	// 36 hours reach beyond every change of clocks and every zone's offset from UTC.
	for i, reach := range []time.Duration{-36 * time.Hour, 0, 36 * time.Hour} {
		_, offset := wall.Add(reach).In(zone).Zone()
		if tried[i] = offset; i > 0 && (offset == tried[0] || i > 1 && offset == tried[1]) {
			continue
		}
		t := wall.Add(-time.Duration(offset) * time.Second)
		if i == 0 {
			shown = t.In(zone)
		}
		if _, is := t.In(zone).Zone(); is == offset {
			at = append(at, t.In(zone))
		}
	}
	if len(at) == 2 && at[1].Before(at[0]) {
		at[0], at[1] = at[1], at[0]
	}
	return at, shown
}

// midnightOf is the first instant of a date in the zone.
func midnightOf(date time.Time, zone *time.Location) time.Time {
	at, shown := moments(date, 0, zone)
	if len(at) > 0 {
		return at[0]
	}
	return shown
}
