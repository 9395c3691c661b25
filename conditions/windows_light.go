package conditions

import (
	"time"

	"ledgehand/conditions/measure"
	"ledgehand/conditions/sky"
	"ledgehand/conditions/tide"
)

// localDay is a day on the clocks of a ledge, cut to what is searched.
type localDay struct {
	date sky.Date
	tide.Span
}

// daysOf lists the days of a search. Days that a zone left out are not among them.
func daysOf(from, to time.Time, zone *time.Location) []localDay {
	var out []localDay
	for at := from; at.Before(to); {
		d := sky.DateIn(at, zone)
		_, next, err := d.Bounds(zone)
		if err != nil || !next.After(at) { // no zone does this; a search must end all the same
			return out
		}
		next = sooner(next, to)
		out = append(out, localDay{d, tide.Span{From: at.UTC(), To: next.UTC()}})
		at = next
	}
	return out
}

// daylight lists when it is light enough to fish and to walk out afterwards: from civil dawn to civil dusk less the
// walk. It reaches over midnight where it does not get dark. Not ok: the sky cannot be told here.
func daylight(at *measure.Position, from, to time.Time, zone *time.Location, walk time.Duration) (lit []tide.Span, ok bool) {
	if at == nil {
		return nil, false
	}
	// A day more, so that what looks like an end is the dusk and not the end of the search.
	for _, d := range daysOf(from, to.Add(24*time.Hour), zone) {
		day, err := sky.SunDayAt(*at, d.date, zone)
		if err != nil {
			return nil, false
		}
		for _, s := range litOf(day) {
			lit = join(lit, s)
		}
	}
	var out []tide.Span
	for _, s := range lit {
		out = join(out, tide.Span{From: later(s.From, from).UTC(), To: sooner(s.To.Add(-walk), to).UTC()})
	}
	return out, true
}

// litOf is the light of one day. Near the polar circles dusk may come past midnight, before the dawn.
func litOf(d sky.Day) []tide.Span {
	dawn, dusk := d.CivilDawn, d.CivilDusk
	switch {
	case d.Civil == sky.AlwaysUp:
		return []tide.Span{{From: d.From, To: d.To}}
	case d.Civil == sky.AlwaysDown:
		return nil
	case !dusk.OK:
		return []tide.Span{{From: dawn.At, To: d.To}}
	case !dawn.OK:
		return []tide.Span{{From: d.From, To: dusk.At}}
	case dusk.At.Before(dawn.At):
		return []tide.Span{{From: d.From, To: dusk.At}, {From: dawn.At, To: d.To}}
	}
	return []tide.Span{{From: dawn.At, To: dusk.At}}
}
