package wording

import (
	"fmt"
	"math"
	"strings"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/sky"
	"ledgehand/conditions/tide"
)

// Tide is the tide of one day: what was asked first, then the day's waters, what runs over the fortnight, and whose table.
func (w Words) Tide(d conditions.TideDay) string {
	if d.Zone != nil {
		w.Zone = d.Zone
	}
	return lines(
		w.tideHead(d),
		w.tideNow(d),
		w.tideTurns(d),
		w.tideFortnight(d),
		w.tideGate(d),
		w.TideDoubts(d.Doubts),
		"<i>"+w.tideSource(d)+"</i>")
}

// NextTurn is the answer to "next low": that water first, then the rest of the day.
func (w Words) NextTurn(d conditions.TideDay, k tide.Kind) string {
	if d.Zone != nil {
		w.Zone = d.Zone
	}
	e := d.Next[0]
	if k == tide.Low {
		e = d.Next[1]
	}
	head := w.T("tide_no_next", "name", d.Name)
	if e.Kind != "" {
		head = w.T("tide_next_"+string(k), "name", d.Name, "h", w.Height(float64(e.Height)), "at", w.When(e.At, d.Now), "in", w.Wait(e.At.Sub(d.Now)))
	}
	return lines(head, w.tideNow(d), w.tideTurns(d), w.TideDoubts(d.Doubts), "<i>"+w.tideSource(d)+"</i>")
}

func (w Words) tideHead(d conditions.TideDay) string {
	switch {
	case d.Asked != nil:
		id := "tide_below"
		if d.Asked.Above {
			id = "tide_above"
		}
		if len(d.Asked.Spans) == 0 {
			if id = "tide_never_below"; d.Asked.Above {
				id = "tide_never_above"
			}
			return w.T(id, "name", d.Name, "day", w.Day(d.From), "h", w.Height(float64(d.Asked.Height)))
		}
		return w.T(id, "name", d.Name, "day", w.Day(d.From), "h", w.Height(float64(d.Asked.Height)), "spans", HTML(w.spans(d.Asked.Spans, d.From, d.To)))
	case !d.Today:
		return w.T("tide_day", "name", d.Name, "day", w.Day(d.From))
	case still(d):
		return w.T("tide_still", "name", d.Name)
	}
	return w.T("tide_stage_"+string(d.Stage.Motion), "name", d.Name,
		"h", w.Height(float64(d.Stage.Next.Height)), "at", w.When(d.Stage.Next.At, d.Now), "in", w.Wait(d.Stage.Next.At.Sub(d.Now)))
}

// still says that there is no making and ebbing to speak of.
func still(d conditions.TideDay) bool {
	return d.Stage.Motion == tide.Still || d.Station.Warning == tide.NoTide
}

func (w Words) tideNow(d conditions.TideDay) string {
	if !d.Today || still(d) {
		return ""
	}
	now, ago := w.Height(float64(d.Stage.Height)), w.Wait(d.Now.Sub(d.Stage.Last.At))
	if rate := w.Height(math.Abs(float64(d.Rate))); math.Abs(float64(d.Rate)) >= float64(tide.StandRate) {
		if d.Stage.Motion == tide.Making {
			return w.T("tide_now_making", "now", now, "rate", rate, "ago", ago)
		}
		return w.T("tide_now_ebbing", "now", now, "rate", rate, "ago", ago)
	}
	return w.T("tide_now_slack", "now", now)
}

// tideTurns are the day's highs and lows in order, the highest marked where there is more than one.
func (w Words) tideTurns(d conditions.TideDay) string {
	if d.Station.Warning == tide.NoTide {
		return ""
	}
	if len(d.Turns) == 0 {
		return w.T("tide_no_turns")
	}
	highs := 0
	for _, e := range d.Turns {
		if e.Kind == tide.High {
			highs++
		}
	}
	var out []string
	for _, e := range d.Turns {
		s := w.T("tide_turn_"+string(e.Kind), "h", w.Height(float64(e.Height)), "at", w.Clock(e.At))
		if e == d.Highest && highs > 1 {
			s = "<b>" + s + "</b>"
		}
		out = append(out, s)
	}
	s := strings.Join(out, " · ")
	if len(d.Stands) > 0 {
		s += ". " + w.T("tide_stands", "spans", HTML(w.spans(d.Stands, d.From, d.To)))
	} else {
		s += "."
	}
	if d.Character.Double {
		s += " " + w.T("tide_double")
	}
	return s
}

func (w Words) tideFortnight(d conditions.TideDay) string {
	f := d.Fortnight
	if f == nil {
		return ""
	}
	args := []any{
		"great", w.Day(f.NextGreat), "small", w.Day(f.NextSmall), "range", w.Height(float64(f.Range)),
		"h", w.Height(float64(f.Largest.Height)), "day", w.Day(f.Largest.At), "at", w.Clock(f.Largest.At),
	}
	if d.Character.Regime == tide.Diurnal || d.Character.Regime == tide.MixedOne {
		return w.T("tide_tropic_"+string(f.Pace), args...)
	}
	return w.T("tide_springs_"+string(f.Pace), args...)
}

func (w Words) tideGate(d conditions.TideDay) string {
	if d.Gate == nil {
		return ""
	}
	return w.T("tide_gate", "h", w.Height(float64(*d.Gate)), "spans", HTML(w.spans(d.GateDry, d.From, d.To)))
}

// TideDoubts are why a station's tide may not be that of the place, in a sentence each, at most two.
func (w Words) TideDoubts(ds []tide.Doubt) string {
	var out []string
	for _, d := range ds {
		if len(out) == 2 {
			break
		}
		switch d.Why {
		case tide.VeryFar:
			out = append(out, w.T("tide_doubt_very_far", "km", w.Km(d.Km)))
		case tide.Far:
			out = append(out, w.T("tide_doubt_far", "km", w.Km(d.Km)))
		case tide.OtherWater:
			id := "tide_doubt_other_later"
			if d.Later < 0 {
				id = "tide_doubt_other_earlier"
			}
			out = append(out, w.T(id, "other", d.Other.Name, "km", w.Km(d.Other.Km), "dir", w.Compass(float64(d.Other.Bearing)),
				"by", w.Wait(d.Later.Abs()), "times", fmt.Sprintf("%.1f", d.Ratio)))
		case tide.OtherClock:
			out = append(out, w.T("tide_doubt_clock"))
		case tide.Warned:
			out = append(out, w.T("tide_warned_"+key(string(d.Warning))))
		}
	}
	return strings.Join(out, " ")
}

func (w Words) tideSource(d conditions.TideDay) string {
	where := w.T("tide_at_station", "station", d.Station.Name)
	if d.Km > 0 {
		where = w.T("tide_from_station", "station", d.Station.Name, "km", w.Km(d.Km), "dir", w.Compass(float64(d.Bearing)))
	}
	return w.T("tide_source", "where", HTML(where), "datum", d.Station.Datum, "zone", w.ZoneName(d.From), "credit", d.Station.Brief)
}

// spans are stretches of a day: "05:10–09:40 and 17:30–22:05", "all day", "not that day".
func (w Words) spans(ss []tide.Span, from, to time.Time) string {
	if len(ss) == 0 {
		return w.T("spans_never")
	}
	if len(ss) == 1 && !ss[0].From.After(from) && !ss[0].To.Before(to) {
		return w.T("spans_all")
	}
	var out []string
	for _, s := range ss {
		switch {
		case !s.From.After(from):
			out = append(out, w.T("span_until", "at", w.Clock(s.To)))
		case !s.To.Before(to):
			out = append(out, w.T("span_from", "at", w.Clock(s.From)))
		default:
			out = append(out, w.Span(s.From, s.To))
		}
	}
	return string(w.join(out))
}

// Wait is a span of hours and minutes: "2 h 10 min".
func (w Words) Wait(d time.Duration) string {
	m := int(d.Round(time.Minute) / time.Minute)
	switch {
	case m < 1:
		return w.T("moments")
	case m < 60:
		return fmt.Sprintf("%d min", m)
	case m >= 48*60:
		return fmt.Sprintf("%d d", m/60/24)
	case m%60 == 0:
		return fmt.Sprintf("%d h", m/60)
	}
	return fmt.Sprintf("%d h %d min", m/60, m%60)
}

// Light is the light of one day: last light first, then when to leave, then the moon.
func (w Words) Light(d conditions.LightDay) string {
	if d.Zone != nil {
		w.Zone = d.Zone
	}
	return lines(w.lightHead(d), w.lightSun(d), w.lightWalk(d), w.moon(d), "<i>"+w.T("light_caution", "zone", w.ZoneName(d.From))+"</i>")
}

func (w Words) lightHead(d conditions.LightDay) string {
	day := w.Day(d.From)
	switch {
	case d.Leave.Dusk.OK:
		return w.T("light_last", "name", d.Name, "day", day, "at", w.When(d.Leave.Dusk.At, d.From.Add(12*time.Hour)))
	case d.Leave.Civil == sky.AlwaysUp:
		return w.T("light_no_night", "name", d.Name, "day", day)
	}
	return w.T("light_no_day", "name", d.Name, "day", day)
}

func (w Words) lightSun(d conditions.LightDay) string {
	var out []string
	if d.CivilDawn.OK {
		out = append(out, w.T("light_dawn", "at", w.Clock(d.CivilDawn.At)))
	}
	switch {
	case d.Sun == sky.AlwaysUp:
		out = append(out, w.T("sun_up_all_day"))
	case d.Sun == sky.AlwaysDown:
		out = append(out, w.T("sun_down_all_day"))
	default:
		if d.Sunrise.OK {
			out = append(out, w.T("sunrise", "at", w.Clock(d.Sunrise.At), "dir", w.Compass(float64(d.SunriseTowards))))
		}
		if d.Sunset.OK {
			out = append(out, w.T("sunset", "at", w.Clock(d.Sunset.At), "dir", w.Compass(float64(d.SunsetTowards))))
		}
	}
	if len(out) == 0 {
		return ""
	}
	return upperFirst(strings.Join(out, ", ")) + "."
}

func (w Words) lightWalk(d conditions.LightDay) string {
	switch {
	case !d.Leave.Dusk.OK:
		return ""
	case d.Walk == nil:
		return w.T("light_walk_unknown", "name", d.Name)
	case !d.Leave.BeforeDark.OK:
		return w.T("light_walk_too_long", "walk", w.Wait(*d.Walk))
	case !d.Leave.BeforeSunset.OK:
		return w.T("light_walk_dusk", "walk", w.Wait(*d.Walk), "dark", w.Clock(d.Leave.BeforeDark.At))
	}
	return w.T("light_walk", "walk", w.Wait(*d.Walk), "day", w.Clock(d.Leave.BeforeSunset.At), "dark", w.Clock(d.Leave.BeforeDark.At))
}

func (w Words) moon(d conditions.LightDay) string {
	var out []string
	phase := w.T("moon_phase", "lit", fmt.Sprintf("%.0f %%", 100*d.MoonLit), "phase", w.T("phase_"+string(d.MoonPhase)))
	switch {
	case d.NightFrom.IsZero():
		out = append(out, phase+".")
	case len(d.MoonUp) == 0:
		out = append(out, phase+": "+w.T("moon_down"))
	default:
		var up []string
		for _, s := range d.MoonUp {
			switch {
			case !s.From.After(d.NightFrom) && !s.To.Before(d.NightTo):
				up = append(up, w.T("spans_night"))
			case !s.From.After(d.NightFrom):
				up = append(up, w.T("span_until", "at", w.Clock(s.To)))
			case !s.To.Before(d.NightTo):
				up = append(up, w.T("span_from", "at", w.Clock(s.From)))
			default:
				up = append(up, w.Span(s.From, s.To))
			}
		}
		out = append(out, phase+": "+w.T("moon_"+string(d.Moonlight), "spans", HTML(w.join(up))))
	}
	for _, p := range d.Next {
		if p.Phase == sky.New || p.Phase == sky.Full {
			out = append(out, upperFirst(w.T("moon_next", "phase", w.T("phase_"+string(p.Phase)), "day", w.Day(p.At)))+".")
			break
		}
	}
	return strings.Join(out, " ")
}
