package command

import (
	"slices"
	"time"
)

// Local is what a reader of times is told about the place: its highs and lows and its light on the days around. The zero
// Local knows nothing, and what hangs on the tide or the light is then asked.
type Local struct {
	Tides []TideTurn
	Light []DayLight
}

// TideTurn is one high or low water.
type TideTurn struct {
	At   time.Time
	Turn Turn
}

// DayLight is the light of one day; a zero time is one that the sun does not keep there, or that nobody knows.
type DayLight struct {
	FirstLight time.Time // the begin of civil twilight
	Sunrise    time.Time
	Sunset     time.Time
	LastLight  time.Time // the end of civil twilight
}

// Light is a time of the sun, as people say it.
type Light string

// The times of the sun. Dawn is first light, dusk and dark are last light: common practice, no source.
const (
	FirstLight Light = "first-light"
	Sunrise    Light = "sunrise"
	Sunset     Light = "sunset"
	LastLight  Light = "last-light"
)

func (d DayLight) of(l Light) time.Time {
	switch l {
	case FirstLight:
		return d.FirstLight
	case Sunrise:
		return d.Sunrise
	case Sunset:
		return d.Sunset
	case LastLight:
		return d.LastLight
	}
	return time.Time{}
}

// point is a time that hangs on the tide or the light: "an hour before low", "first light".
type point struct {
	turn   Turn
	light  Light         // or a time of the sun
	in     part          // "the morning low"
	offset time.Duration // after it
}

// unknown is the question to ask where nobody told when this is.
func (p point) unknown() Word {
	if p.light != "" {
		return AskLight
	}
	return AskTide
}

// about is the minute of the day near which a time of the sun lies, to tell which half of the day goes with it. A tide has
// none.
func (p point) about() (minute int, ok bool) {
	switch p.light {
	case FirstLight, Sunrise:
		return 360, true
	case Sunset, LastLight:
		return 1110, true
	}
	return 0, false
}

// events are the turns or the times of the sun that a point hangs on, oldest first, without its offset. A local that gives
// one twice gives it once.
func (l Local) events(pt point) (out []time.Time) {
	for _, t := range l.Tides {
		if pt.turn != "" && t.Turn == pt.turn {
			out = append(out, t.At)
		}
	}
	for _, d := range l.Light {
		if t := d.of(pt.light); !t.IsZero() {
			out = append(out, t)
		}
	}
	slices.SortFunc(out, time.Time.Compare)
	return slices.CompactFunc(out, time.Time.Equal)
}

// partSpan is a part of the day in minutes since midnight, for tides and light; the night ends on the next day.
func partSpan(in part) (from, to int) {
	switch in {
	case morning:
		return 180, 720
	case afternoon:
		return 720, 1140
	case evening:
		return 960, 1440
	case night:
		return 1050, 1440 + 300
	case postNoon:
		return 720, 1440
	}
	return 0, 1440
}

// onDate are the events of a point on a date, in a part of it. near says that none is, and that the one given is the
// nearest of that day.
func (p *plan) onDate(pt point, date time.Time, in part) (list []time.Time, near bool) {
	if pt.in != "" {
		in = pt.in
	}
	if pt.light != "" {
		in = "" // a day has one
	}
	p.missed = append(p.missed, date)
	from, to := partSpan(in)
	var best time.Time
	away := 0
	for _, e := range p.local.events(pt) {
		m := int(wallOf(e, p.zone).Sub(date).Minutes())
		switch {
		case m >= from && m < to:
			list = append(list, e.In(p.zone).Truncate(time.Minute))
		case m >= 0 && m < 1440:
			if d := max(from-m, m-to); best.IsZero() || d < away {
				best, away = e.In(p.zone).Truncate(time.Minute), d
			}
		}
	}
	if len(list) == 0 && !best.IsZero() {
		return []time.Time{best}, true
	}
	return list, false
}

// wallOf is what clocks show at an instant, as if they stood in UTC: civil dates are carried so.
func wallOf(t time.Time, zone *time.Location) time.Time {
	t = t.In(zone)
	return civilOf(t, zone).Add(time.Duration(t.Hour())*time.Hour + time.Duration(t.Minute())*time.Minute)
}

// pointStarts are the readings of a start that hangs on the tide or the light. None, and no reason: nobody told when that is.
func (p *plan) pointStarts(dates dateChoice) (list []reading, why Word) {
	pt := *p.start.point
	in := p.start.part
	if in == "" {
		in = p.part
	}
	add := func(e time.Time, q Word) {
		at := e.Add(pt.offset)
		r := reading{w: Window{Start: at, Confirm: dates.confirm}, at: at, question: q, past: at.Before(p.now)}
		list = append(list, r)
	}
	today := civilOf(p.now, p.zone)
	if dates.step == 1 || p.onlyToday() { // the coming one
		last := today
		if dates.step == 1 {
			last = today.AddDate(0, 0, 2)
		}
		known := false
		for date := today; !date.After(last); date = date.AddDate(0, 0, 1) {
			es, near := p.onDate(pt, date, in)
			for _, e := range es {
				known = true
				at := e.Add(pt.offset)
				switch {
				case !at.Before(p.now) && near:
					add(e, AskTurn)
					return list, ""
				case !at.Before(p.now):
					q := Word("")
					if len(list) > 0 {
						q = AskTurn
					}
					add(e, q)
					return list, ""
				case p.length > 0 && at.Add(p.length).After(p.now) && len(list) == 0:
					// It has begun: what is left of it, or the next one?
					list = append(list, reading{w: Window{Start: p.now}, at: p.now, question: AskTurn, ends: at.Add(p.length)})
				}
			}
		}
		if len(list) == 0 && known {
			return nil, WhyPast
		}
		return list, ""
	}
	for _, date := range dates.list {
		es, near := p.onDate(pt, date, in)
		for _, e := range es {
			q := Word("")
			if near || len(es) > 1 {
				q = AskTurn
			}
			add(e, q)
		}
	}
	return list, ""
}

// pointAfter is the first time after an instant at which the tide or the light is as said; none: nobody told when that is.
func (p *plan) pointAfter(from time.Time, s said, inclusive bool) []reading {
	in := s.part
	if s.point.in != "" {
		in = s.point.in
	}
	if s.point.light != "" {
		in = ""
	}
	p.missed = append(p.missed, civilOf(from, p.zone), civilOf(from, p.zone).AddDate(0, 0, 1))
	lo, hi := partSpan(in)
	for _, e := range p.local.events(*s.point) {
		at := e.Add(s.point.offset).In(p.zone).Truncate(time.Minute)
		wall := wallOf(e, p.zone)
		m := wall.Hour()*60 + wall.Minute()
		if in != "" && !(m >= lo && m < hi || m+1440 < hi) {
			continue
		}
		if at.Sub(from) > 36*time.Hour {
			return nil
		}
		if at.After(from) || inclusive && at.Equal(from) {
			return []reading{{at: at}}
		}
	}
	return nil
}

// askUnknown asks for a time that hangs on a tide or a light nobody told us, beside what of the line is certain.
func (p *plan) askUnknown(pt point, dates dateChoice) (Window, error) {
	var sure Window
	if len(dates.list) == 1 && dates.question == "" && p.end.set && p.end.point == nil {
		m, ok := pt.about()
		if !ok && !p.end.open {
			ok = true // a tide may be at any hour, but the end has only one
		}
		if at, _ := moments(dates.list[0], m, p.zone); ok && len(at) == 1 {
			if ends, why := p.after(at[0], p.end, false); why == "" && len(ends) == 1 && ends[0].question == "" && ends[0].at.After(p.now) {
				sure.End = ends[0].at
			}
		}
	}
	return sure, p.untold(pt.unknown())
}

// untold is the question about a tide or a light that nobody told us.
func (p *plan) untold(q Word) *Ambiguous {
	slices.SortFunc(p.missed, time.Time.Compare)
	return &Ambiguous{Said: p.line, Question: q, Days: slices.CompactFunc(p.missed, time.Time.Equal)}
}
