package tide

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"ledgehand/conditions/measure"
)

// A Level is a datum of a station: the height heights can be counted from.
type Level struct {
	Datum  string         // MSL, MLLW, LAT, HAT, NAVD88, STND (the zero of a NOAA gauge), ...
	Height measure.Metres // above the station's chart datum
}

// Levels lists the datums known at a station, lowest first, its chart datum among them. A subordinate station has only its
// chart datum; an unknown one none.
func Levels(id string) []Level {
	c := stations()
	i, ok := c.find(id)
	if !ok {
		return nil
	}
	r := c.record(i)
	out := []Level{{Datum: c.datums[r[22]]}}
	first := int(u32(r, 30))
	for i := range int(r[34]) {
		l := c.levels[(first+i)*levelSize:]
		if name := c.datums[l[0]]; name != out[0].Datum {
			out = append(out, Level{name, measure.Metres(float64(i32(l, 1)) / 1e4)})
		}
	}
	slices.SortStableFunc(out, func(a, b Level) int {
		switch {
		case a.Height < b.Height:
			return -1
		case a.Height > b.Height:
			return 1
		}
		return 0
	})
	return out
}

// NoDatumError says that a station does not tell how high a datum lies: heights above it would be a guess.
type NoDatumError struct {
	Station, Datum string
	Known          []string
}

func (e NoDatumError) Error() string {
	return fmt.Sprintf("tide station %q does not tell how high datum %q lies; known there: %s", e.Station, e.Datum, strings.Join(e.Known, ", "))
}

// AboveDatum turns a height above the chart datum of a station into one above another of its datums, or refuses with a
// NoDatumError. Case does not count. A drying height or a depth on a chart holds for the datum of that chart only, and
// LAT of a station whose source is TICON is computed, up to 0.4 m from that of the country's hydrographic office.
func AboveDatum(id, datum string, h measure.Metres) (measure.Metres, error) {
	l, err := levelNamed(id, datum)
	if err != nil {
		return 0, err
	}
	return h - l.Height, nil
}

// FromDatum turns a height above one of a station's datums into one above its chart datum: AboveDatum undone.
func FromDatum(id, datum string, h measure.Metres) (measure.Metres, error) {
	l, err := levelNamed(id, datum)
	if err != nil {
		return 0, err
	}
	return h + l.Height, nil
}

func levelNamed(id, datum string) (Level, error) {
	levels := Levels(id)
	if levels == nil {
		return Level{}, UnknownStationError{ID: id}
	}
	var known []string
	for _, l := range levels {
		if strings.EqualFold(l.Datum, strings.TrimSpace(datum)) && !math.IsNaN(float64(l.Height)) {
			return l, nil
		}
		known = append(known, l.Datum)
	}
	return Level{}, NoDatumError{Station: id, Datum: datum, Known: known}
}

// Rebase tells how much higher a height above one station's chart datum is above another's: both are levelled against a
// datum the two have in common, a geodetic one first, else mean sea level, which between neighbours is level to a few
// centimetres. It fails with a NoDatumError where they have none, as subordinate stations do.
func Rebase(from, to string) (by measure.Metres, through string, err error) {
	var none error
	for _, datum := range []string{"NAVD88", "MSL"} {
		a, err := levelNamed(from, datum)
		if err == nil {
			var b Level
			if b, err = levelNamed(to, datum); err == nil {
				return b.Height - a.Height, datum, nil
			}
		}
		none = err
	}
	return 0, "", none
}
