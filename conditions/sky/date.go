package sky

import (
	"errors"
	"fmt"
	"time"
)

// Date is a day of the civil calendar, without a zone. A time.Time would not do: in zones that
// change their clocks at midnight there are days without a 00:00, and parsing one may land on the
// day before.
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

// ErrNoSuchDay is returned for a date that a zone left out, as Samoa did with 30 December 2011.
var ErrNoSuchDay = errors.New("no such day in this zone")

// ParseDate reads YYYY-MM-DD (ISO 8601).
func ParseDate(s string) (Date, error) {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return Date{}, fmt.Errorf("date %q: want a day that exists, as YYYY-MM-DD", s)
	}
	return DateIn(t, time.UTC), nil
}

// DateIn is the date on the clocks of loc at the instant t.
func DateIn(t time.Time, loc *time.Location) Date {
	y, m, d := t.In(loc).Date()
	return Date{y, m, d}
}

// String is the date as YYYY-MM-DD.
func (d Date) String() string { return fmt.Sprintf("%04d-%02d-%02d", d.Year, int(d.Month), d.Day) }

func (d Date) before(e Date) bool {
	if d.Year != e.Year {
		return d.Year < e.Year
	}
	if d.Month != e.Month {
		return d.Month < e.Month
	}
	return d.Day < e.Day
}

func (d Date) next() Date {
	return DateIn(time.Date(d.Year, d.Month, d.Day+1, 12, 0, 0, 0, time.UTC), time.UTC)
}

// exists refuses 31 February, which time.Date would quietly turn into March.
func (d Date) exists() error {
	if DateIn(time.Date(d.Year, d.Month, d.Day, 12, 0, 0, 0, time.UTC), time.UTC) != d {
		return fmt.Errorf("date %s: not in the calendar", d)
	}
	return nil
}

// start is the first instant at which clocks in loc show d or a later date: midnight, or the end
// of the jump where midnight was jumped over.
func (d Date) start(loc *time.Location) time.Time {
	midnight := time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, loc)
	if DateIn(midnight, loc) == d && DateIn(midnight.Add(-time.Second), loc).before(d) {
		return midnight
	}
	// No zone is more than 15 hours from UTC, so the start lies between these two; halve to the second.
	utc := time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC).Unix()
	lo, hi := utc-16*3600, utc+16*3600 // lo is before d, hi is not
	for hi-lo > 1 {
		mid := (lo + hi) / 2
		if DateIn(time.Unix(mid, 0), loc).before(d) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return time.Unix(hi, 0).In(loc)
}

// Bounds are the first instant of d on the clocks of loc and the first of the next day. It fails on a date that the calendar
// or the zone does not have (ErrNoSuchDay).
func (d Date) Bounds(loc *time.Location) (from, to time.Time, err error) {
	if loc == nil {
		return from, to, fmt.Errorf("date %s: no time zone", d)
	}
	return d.bounds(loc)
}

// bounds are the first instant of d in loc and the first instant of the next day: 24 hours apart,
// or 23 or 25 when the clocks change. loc must not be nil.
func (d Date) bounds(loc *time.Location) (from, to time.Time, err error) {
	if err := d.exists(); err != nil {
		return from, to, err
	}
	from, to = d.start(loc), d.next().start(loc)
	if !from.Before(to) || DateIn(from, loc) != d {
		return from, to, fmt.Errorf("date %s in %s: %w", d, loc, ErrNoSuchDay)
	}
	return from, to, nil
}
