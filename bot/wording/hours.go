package wording

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/sky"
)

// Hours is the answer to which hours of the coming days meet the crew's limits: the soonest first, then ledge by ledge in
// the order asked, never ranked; why the other days do not; how old it all is.
func (w Words) Hours(a conditions.WindowsAnswer) string {
	most := max(2, 8/max(1, len(a.Ledges))) // all must fit into one message
	out := []string{w.hoursHead(a), w.hoursWish(a)}
	for i := range a.Ledges {
		out = append(out, w.ledgeHours(a, &a.Ledges[i], most))
	}
	return lines(append(out, "<i>"+w.hoursFoot(a)+"</i>")...)
}

func (w Words) hoursHead(a conditions.WindowsAnswer) string {
	if found := a.ByTime(); len(found) > 0 {
		w.Zone = found[0].Ledge.Zone
		id := "hours_first"
		if !found[0].Ledge.LimitsSet {
			id = "hours_first_unset" // what nobody set cannot be met
		}
		return w.T(id, "ledge", found[0].Ledge.Ledge, "at", w.When(found[0].From, a.Now), "to", w.Clock(found[0].To))
	}
	// Where nothing could be told, "none" would be a claim.
	for _, l := range a.Ledges {
		if len(l.Doubts) == 0 {
			return w.T("hours_none")
		}
	}
	return w.T("hours_cannot_tell")
}

// hoursWish says what was searched for.
func (w Words) hoursWish(a conditions.WindowsAnswer) string {
	parts := []string{w.T("hours_least", "least", w.Wait(a.Least))}
	if a.Nights {
		parts = append(parts, w.T("hours_nights"))
	} else {
		parts = append(parts, w.T("hours_daylight"))
	}
	if k := a.Tide.Kind; k != conditions.AnyTide {
		parts = append(parts, w.T("wish_"+key(string(k)), "h", w.Height(float64(a.Tide.Level)), "around", w.Wait(a.Tide.Around)))
	}
	return w.T("hours_wish", "what", HTML(strings.Join(parts, ", ")))
}

func (w Words) ledgeHours(a conditions.WindowsAnswer, l *conditions.LedgeWindows, most int) string {
	w.Zone = l.Zone
	if len(l.Doubts) > 0 {
		return w.T("hours_ledge_doubt", "ledge", l.Ledge, "why", HTML(w.hoursDoubts(a, l)))
	}
	limits := w.Limits(l.Limits)
	if !l.LimitsSet {
		limits = w.T("hours_no_limits", "ledge", l.Ledge, "chance", w.Chance(l.HourChance))
	}
	out := []string{w.T("hours_ledge", "ledge", l.Ledge, "limits", HTML(limits))}
	for i, x := range l.Windows {
		if i == most {
			out = append(out, w.T("hours_more", "n", len(l.Windows)-most, "ledge", l.Ledge, "day", w.weekday(sky.DateIn(x.From, w.Zone))))
			break
		}
		out = append(out, w.window(x))
	}
	if notes := w.hoursNotes(l, most); notes != "" {
		out = append(out, notes)
	}
	return lines(append(out, w.daysOff(l), w.outlook(l))...)
}

// whyEnded is the word of a feed whose forecast ends before the hours asked about.
const whyEnded = "ended"

func (w Words) hoursDoubts(a conditions.WindowsAnswer, l *conditions.LedgeWindows) string {
	var out []string
	for _, d := range l.Doubts {
		var kv []any
		switch d {
		case conditions.WhySeaUnknown:
			why := l.SeaWhy
			if why == "" && l.SeaUntil.Before(a.From) && !l.SeaUntil.IsZero() {
				why = whyEnded
			}
			kv = []any{"why", HTML(w.feedWhy(why))}
		case conditions.WhyWarningsUnknown:
			kv = []any{"why", HTML(w.feedWhy(l.Warnings.Why))}
		case conditions.WhySeaOld:
			kv = []any{"ago", w.Ago(a.Now.Sub(l.SeaSource.FetchedAt))}
		}
		out = append(out, w.T("doubt_"+d, kv...))
	}
	return strings.Join(out, " ")
}

// window is one stay: when, the numbers it was judged by, when to turn back and what ends it.
func (w Words) window(x conditions.Window) string {
	sea := w.T("win_sea", "hs", w.Height(float64(x.HsP90)), "period", fmt.Sprintf("%.0f", float64(x.Period)))
	if x.Gust != nil {
		sea += ", " + w.T("win_gust", "gust", w.Speed(float64(*x.Gust)))
	}
	tide := w.T("win_tide", "from", w.Height(float64(x.TideAtStart.Height)))
	for _, e := range x.Turns {
		tide += ", " + w.T("tide_turn_"+string(e.Kind), "h", w.Height(float64(e.Height)), "at", w.Clock(e.At))
	}
	tide += ", " + w.T("win_tide_end", "to", w.Height(float64(x.TideAtEnd.Height)))
	s := w.T("win", "day", w.Day(x.From), "span", w.acrossDays(x.From, x.To), "sea", HTML(sea), "chance", w.Chance(max(x.Chance, x.ChanceP90)), "tide", HTML(tide))
	if x.Room.To.Sub(x.Room.From) > x.To.Sub(x.From) {
		s += " " + w.T("win_room", "from", w.Clock(x.Room.From), "to", w.Clock(x.Room.To))
	}
	for _, n := range x.Notes {
		if urgentNote(n.Word) {
			s += " " + w.T("note_"+n.Word)
		}
	}
	if x.Ends.Word == "" {
		return s + " " + w.T("win_turn_back", "at", w.Clock(x.TurnBack))
	}
	return s + " " + w.T("win_ends", "at", w.Clock(x.TurnBack), "why", HTML(w.hindrance(x.Ends)))
}

// urgentNote is one that speaks of single hours; the others hold for the place and the season.
func urgentNote(word string) bool {
	return word != conditions.ColdWater && word != conditions.LongPeriod
}

// hoursNotes are what holds for all the hours shown, said once.
func (w Words) hoursNotes(l *conditions.LedgeWindows, most int) string {
	var out []string
	for _, x := range l.Windows[:min(most, len(l.Windows))] {
		for _, n := range x.Notes {
			if s := w.T("note_" + n.Word); !urgentNote(n.Word) && !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return strings.Join(out, " ")
}

// acrossDays is a span that may end on another day.
func (w Words) acrossDays(from, to time.Time) string {
	if w.Day(from) != w.Day(to) {
		return w.Clock(from) + "–" + w.Day(to) + " " + w.Clock(to)
	}
	return w.Span(from, to)
}

// hindrance is what keeps people off, with its worst value and the limit where it has them.
func (w Words) hindrance(h conditions.Hindrance) string {
	return w.T("off_"+h.Word, "value", HTML(w.hindranceValue(h.Word, h.Value)), "limit", HTML(w.hindranceValue(h.Word, h.Limit)))
}

func (w Words) hindranceValue(word string, v float64) string {
	if word == conditions.WalkInWet {
		return w.Height(v)
	}
	return w.quantity(word, v)
}

// daysOff says why the other days have no hours; neighbours with the same reason share one line, with the worst of them.
func (w Words) daysOff(l *conditions.LedgeWindows) string {
	var out []string
	for i := 0; i < len(l.Off); {
		h, days := l.Off[i].Hindrance, []string{w.weekday(l.Off[i].Day)}
		for i++; i < len(l.Off) && l.Off[i].Word == h.Word; i++ {
			days = append(days, w.weekday(l.Off[i].Day))
			h.Value = max(h.Value, l.Off[i].Value)
		}
		out = append(out, w.T("hours_off", "days", strings.Join(days, ", "), "why", HTML(w.hindrance(h))))
	}
	return strings.Join(out, " ")
}

func (w Words) outlook(l *conditions.LedgeWindows) string {
	var out []string
	for i := 0; i < len(l.Outlook); {
		o, days := l.Outlook[i], []string{w.weekday(l.Outlook[i].Day)}
		for i++; i < len(l.Outlook) && l.Outlook[i].Word == o.Word; i++ {
			days = append(days, w.weekday(l.Outlook[i].Day))
		}
		out = append(out, strings.Join(days, ", ")+" "+w.T("outlook_"+key(string(o.Word))))
	}
	if len(out) == 0 {
		return ""
	}
	return w.T("hours_outlook", "what", strings.Join(out, "; "))
}

func (w Words) weekday(d sky.Date) string {
	t := time.Date(d.Year, d.Month, d.Day, 12, 0, 0, 0, time.UTC)
	return w.T("wd" + fmt.Sprint(int(t.Weekday())))
}

func (w Words) hoursFoot(a conditions.WindowsAnswer) string {
	out := []string{w.T("hours_basis")}
	said := map[string]bool{}
	add := func(s string) {
		if !said[s] {
			out, said[s] = append(out, s), true
		}
	}
	for _, l := range a.Ledges {
		w.Zone = l.Zone
		if s := l.SeaSource; s != nil && s.Recorded {
			add(w.T("source_recorded"))
		} else if s != nil {
			add(w.T("hours_source", "name", s.Name, "ago", w.Ago(a.Now.Sub(s.FetchedAt))))
		}
		if !l.SeaUntil.IsZero() && l.SeaUntil.Before(a.To) {
			add(w.T("hours_until", "until", w.Day(l.SeaUntil)))
		}
		if l.Datum != "" && len(l.Windows) > 0 {
			add(w.T("hours_datum", "datum", l.Datum, "zone", w.ZoneName(l.Windows[0].From)))
		}
		if l.Warnings.State == conditions.WarningsNone && (l.SeaSource == nil || !l.SeaSource.Recorded) {
			add(w.T("no_warnings", "source", l.Warnings.Source, "ago", w.Ago(a.Now.Sub(l.Warnings.CheckedAt))))
		}
		if l.Watches == 0 {
			add(w.T("uncalibrated", "ledge", l.Ledge))
		}
	}
	return strings.Join(append(out, w.T("hours_caution")), " ")
}
