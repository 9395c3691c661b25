package wording

import (
	"fmt"
	"html"
	"math"
	"slices"
	"strings"
	"time"

	"ledgehand/bot/picture"
	"ledgehand/conditions"
	"ledgehand/conditions/ledge"
)

// Conditions is the answer about one ledge for some hours: verdict first, warnings verbatim, the numbers behind it,
// what changes it, how old it is.
func (w Words) Conditions(r conditions.Report) string {
	if r.Zone != nil {
		w.Zone = r.Zone
	}
	return lines(
		w.T("cond_head", "ledge", r.Ledge, "day", w.Day(r.From), "span", w.Span(r.From, r.To), "verdict", HTML(w.verdict(string(r.Verdict)))),
		w.warnings(r),
		w.doubts(r),
		w.turnBack(r),
		w.worst(r),
		w.sea(r),
		w.buoy(r),
		w.tide(r),
		w.limits(r),
		"<i>"+w.sources(r)+"</i>")
}

// Verdict is one of the four verdicts in the reader's language, as it stands by itself: what cannot be told comes
// with what to make of it.
func (w Words) Verdict(v string) string {
	if v == string(ledge.CannotTell) {
		return w.T("verdict_cannot_tell_alone")
	}
	return w.verdict(v)
}

func (w Words) verdict(v string) string { return w.T("verdict_" + key(v)) }

func (w Words) warnings(r conditions.Report) string { return w.verbatim(r.Warnings.List) }

// verbatim are warnings in their offices' own words, three at most.
func (w Words) verbatim(list []conditions.Warning) string {
	var out []string
	for i, x := range list {
		if i == 3 {
			out = append(out, w.T("warn_more", "n", len(list)-3))
			break
		}
		head := x.Headline
		if head == "" {
			head = x.Event
		}
		l := w.T("warn", "head", Clean(head, 300))
		if who, _, _ := strings.Cut(x.Sender, " "); !strings.Contains(head, who) { // most headlines name their office
			l += " (" + escape(Clean(x.Sender, 60)) + ")"
		}
		if x.Covers == nil {
			l += " " + w.T("warn_unplaced")
		}
		out = append(out, l)
	}
	return strings.Join(out, "\n")
}

// doubts are why nothing can be told, each in one sentence, and that this is to be treated like "no".
func (w Words) doubts(r conditions.Report) string {
	var out []string
	warning := ""
	far := slices.ContainsFunc(r.Reasons, func(x conditions.Reason) bool { return x.Word == conditions.WhyTooFar })
	for _, x := range r.Reasons {
		if !x.Doubt || far && (x.Word == conditions.WhySeaUnknown || x.Word == conditions.WhyWindUnknown) { // far is why
			continue
		}
		switch x.Word {
		case conditions.WhyWarning: // its words are above
			warning = w.T("doubt_warning")
		case conditions.WhySeaUnknown:
			if slices.ContainsFunc(r.Reasons, func(x conditions.Reason) bool { return x.Word == conditions.WhySeaOld }) {
				continue // that is why
			}
			id := "doubt_sea_unknown"
			if slices.ContainsFunc(r.Hours, func(h conditions.Hour) bool { return h.Known }) {
				id = "doubt_sea_partly"
			}
			out = append(out, w.T(id, "why", HTML(w.feedWhy(orGap(r.SeaWhy, r.SeaSource)))))
		case conditions.WhyWindUnknown:
			id := "doubt_wind_unknown"
			if slices.ContainsFunc(r.Hours, func(h conditions.Hour) bool { return h.Wind != nil }) {
				id = "doubt_wind_partly"
			}
			out = append(out, w.T(id, "why", HTML(w.feedWhy(orGap(r.WeatherWhy, r.WeatherSource)))))
		case conditions.WhyWarningsUnknown:
			out = append(out, w.T("doubt_warnings_unknown", "why", HTML(w.feedWhy(r.Warnings.Why))))
		case conditions.WhySeaOld:
			out = append(out, w.T("doubt_sea_old", "ago", w.Ago(r.Now.Sub(r.SeaSource.FetchedAt))))
		default:
			out = append(out, w.T("doubt_"+x.Word))
		}
	}
	if len(out) == 0 && warning != "" {
		out = []string{warning}
	}
	if len(out) == 0 {
		return ""
	}
	s := strings.Join(out, " ")
	if r.Verdict == ledge.CannotTell {
		s += " " + w.T("doubt_is_no")
	}
	if r.ByNumbers != r.Verdict && r.ByNumbers != "" {
		s += " " + w.T("by_numbers", "verdict", HTML(w.verdict(string(r.ByNumbers))))
	}
	return s
}

// orGap is a feed's word for its trouble. One that answered without trouble and is not known for an hour has a gap there.
func orGap(why string, answered *conditions.Source) string {
	if why == "" && answered != nil {
		return "gap"
	}
	return why
}

func (w Words) feedWhy(why string) string {
	if why == "" {
		return w.T("why_unknown")
	}
	if id := "why_" + key(why); w.has(id) { // a feed's own word for its trouble
		return w.T(id)
	}
	return escape(Clean(why, 160))
}

func (w Words) worst(r conditions.Report) string {
	if r.Worst < 0 {
		return ""
	}
	h := r.Hours[r.Worst]
	if !h.Judged {
		return ""
	}
	span := w.Clock(h.At) + "–" + w.Clock(h.At.Add(time.Hour))
	if h.Freeboard <= 0 {
		return w.T("worst_under", "span", span, "by", w.Height(float64(-h.Freeboard)))
	}
	if h.Violent {
		return w.T("worst_violent", "span", span)
	}
	reach := w.T("worst_below", "bad", w.Height(float64(-r.ExcessBad)))
	switch {
	case r.ExcessMedian > 0:
		reach = w.T("worst_over", "mid", w.Height(float64(r.ExcessMedian)), "bad", w.Height(float64(r.ExcessBad)))
	case r.ExcessBad > 0:
		reach = w.T("worst_bad_over", "bad", w.Height(float64(r.ExcessBad)))
	}
	s := w.T("worst", "span", span, "chance", w.Chance(h.P), "stay", w.Chance(r.PStay), "reach", HTML(reach))
	// A number never stands alone: what would change it stands beside. Where nothing can be told no number decides.
	if r.Verdict != ledge.CannotTell && r.PerTideRise >= 1.2 && r.PerTideRise < 1000 {
		times := fmt.Sprintf("%.1f", r.PerTideRise)
		if r.PerTideRise >= 10 {
			times = fmt.Sprintf("%.0f", r.PerTideRise)
		}
		s += " " + w.T("what_changes", "rise", w.Height(0.3), "times", times)
	}
	return s
}

func (w Words) sea(r conditions.Report) string {
	if r.Worst < 0 {
		return ""
	}
	h := r.Hours[r.Worst]
	var parts []string
	if h.Hs != nil {
		s := w.T("swell", "hs", w.Height(float64(*h.Hs)))
		if h.Period != nil {
			s += " " + fmt.Sprintf("%.0f s", float64(*h.Period))
		}
		if h.SwellFrom != nil {
			s += " " + w.T("from", "dir", w.Compass(float64(*h.SwellFrom)))
		}
		if h.HsP90 != nil {
			s += ", " + w.T("likely_up_to", "hs", w.Height(float64(*h.HsP90)))
		}
		parts = append(parts, s+".")
	}
	if h.Wind != nil {
		s := w.T("wind", "speed", w.Speed(float64(*h.Wind)))
		if h.OnshoreMS != nil && *h.OnshoreMS >= 0.7*float64(*h.Wind) && float64(*h.Wind) >= 3 {
			s = w.T("wind_onshore", "speed", w.Speed(float64(*h.Wind)))
		}
		if h.WindFrom != nil {
			s += " " + w.T("from", "dir", w.Compass(float64(*h.WindFrom)))
		}
		if h.Gust != nil {
			s += ", " + w.T("gusts", "speed", w.Speed(float64(*h.Gust)))
		}
		parts = append(parts, upperFirst(s)+".")
	} else {
		parts = append(parts, w.T("wind_unknown"))
	}
	return strings.Join(parts, " ")
}

// surgeWorthSaying is what rounds to a decimetre, metres.
const surgeWorthSaying = 0.05

// buoy is what the nearest buoy read, beside what was forecast for then.
func (w Words) buoy(r conditions.Report) string {
	b := r.Buoy
	if b == nil {
		return ""
	}
	args := []any{"station", b.Station, "km", w.Km(b.Km), "dir", w.Compass(float64(b.Bearing)), "hs", w.Height(float64(b.Hs)), "at", w.When(b.At, r.Now)}
	if r.ForecastAtBuoy == nil {
		return w.T("buoy", args...)
	}
	args = append(args, "forecast", w.Height(float64(*r.ForecastAtBuoy)))
	if slices.ContainsFunc(r.Reasons, func(x conditions.Reason) bool { return x.Word == conditions.BuoyOver }) {
		return w.T("buoy_over", args...)
	}
	return w.T("buoy_beside", args...)
}

func (w Words) tide(r conditions.Report) string {
	if r.Station == "" || len(r.Hours) == 0 {
		return w.T("tide_unknown")
	}
	s := ""
	for i, e := range r.Extremes {
		if !e.At.After(r.From) {
			continue
		}
		// A turn within minutes of the start says nothing by itself: then the one after it is what matters.
		if e.At.Sub(r.From) < 30*time.Minute && i+1 < len(r.Extremes) {
			k, next := "tide_low_now", r.Extremes[i+1]
			if e.Kind == "high" {
				k = "tide_high_now"
			}
			s = w.T(k, "now", w.Height(float64(e.Height)), "from", w.Clock(e.At), "then", w.Height(float64(next.Height)), "at", w.Clock(next.At), "station", r.Station, "datum", r.Datum)
			break
		}
		k := "tide_to_low"
		if e.Kind == "high" {
			k = "tide_to_high"
		}
		s = w.T(k, "now", w.Height(float64(r.TideAtStart)), "from", w.Clock(r.From), "then", w.Height(float64(e.Height)), "at", w.Clock(e.At), "station", r.Station, "datum", r.Datum)
		break
	}
	if r.Surge != nil && r.Surge.Height >= surgeWorthSaying {
		s += " " + w.T("surge", "hpa", fmt.Sprintf("%.0f", r.Surge.HPa), "by", w.Height(float64(r.Surge.Height)))
	}
	if r.HasGate {
		switch {
		case len(r.WalkInDry) == 0:
			s += " " + w.T("walk_in_wet")
		case !r.WalkInDry[0].From.After(r.From) && !r.WalkInDry[0].To.Before(r.To):
			s += " " + w.T("walk_in_dry")
		case !r.WalkInDry[0].From.After(r.From):
			s += " " + w.T("walk_in_until", "at", w.Clock(r.WalkInDry[0].To))
		case r.WalkInDry[0].To.Before(r.To):
			s += " " + w.T("walk_in_between", "from", w.Clock(r.WalkInDry[0].From), "to", w.Clock(r.WalkInDry[0].To))
		default:
			s += " " + w.T("walk_in_from", "at", w.Clock(r.WalkInDry[0].From))
		}
	}
	// Light is said where the hours come near its ends.
	if !r.FirstLight.IsZero() && !r.LastLight.IsZero() && (r.From.Before(r.FirstLight.Add(time.Hour)) || r.To.After(r.LastLight.Add(-2*time.Hour))) {
		s += " " + w.T("light", "from", w.Clock(r.FirstLight), "to", w.Clock(r.LastLight))
		if !r.LeaveBy.IsZero() && r.To.After(r.LastLight.Add(-2*time.Hour)) {
			s += " " + w.T("light_leave", "at", w.Clock(r.LeaveBy))
		}
	}
	return strings.TrimSpace(s)
}

// limits are facts: what the crew set, and whether the forecast passes it.
func (w Words) limits(r conditions.Report) string {
	var out, over []string
	for _, x := range r.Reasons {
		switch x.Word {
		case conditions.OverHs, conditions.OverGust, conditions.OverPeriod, conditions.OverChance:
			over = append(over, w.T("limit_"+x.Word, "limit", HTML(w.limit(x)), "value", HTML(w.value(x))))
		case conditions.OnshoreRising, conditions.ColdWater, conditions.LongPeriod:
			if r.Verdict == ledge.CannotTell {
				continue // it is a no already: what would make it a worse one only hides the reason
			}
			out = append(out, w.T("note_"+x.Word))
		case conditions.Dark, conditions.Thunder, conditions.Fog:
			out = append(out, w.T("note_"+x.Word))
		}
	}
	// Beside a "no" this would read like a way out of it.
	if told := r.Verdict == ledge.CouldBe || r.Verdict == ledge.NotExpected; told && r.WithinLimits && !r.NoGoodHour {
		out = append(out, w.T("within_limits"))
	}
	if len(over) > 0 {
		out = append([]string{w.T("limits_over", "what", HTML(strings.Join(over, ", ")))}, out...)
	}
	return strings.Join(out, " ")
}

func (w Words) limit(x conditions.Reason) string { return w.quantity(x.Word, x.Limit) }
func (w Words) value(x conditions.Reason) string { return w.quantity(x.Word, x.Value) }

func (w Words) quantity(word string, v float64) string {
	switch word {
	case conditions.OverHs:
		return w.Height(v)
	case conditions.OverGust:
		return w.Speed(v)
	case conditions.OverPeriod:
		return fmt.Sprintf("%.0f s", v)
	}
	return w.Chance(v)
}

// numbers says whether anything was computed for any of the hours.
func numbers(r conditions.Report) bool {
	return r.Worst >= 0 || slices.ContainsFunc(r.Hours, func(h conditions.Hour) bool { return h.Freeboard <= 0 })
}

func (w Words) turnBack(r conditions.Report) string {
	if r.NoGoodHour {
		if !numbers(r) {
			return "" // where there are none, none speak against it
		}
		return w.T("no_good_hour")
	}
	if r.Verdict == ledge.CannotTell { // beside a "no" times to go by would read like leave to go
		return ""
	}
	s := ""
	if !r.GoodFrom.IsZero() {
		s = w.T("good_from", "at", w.Clock(r.GoodFrom)) + " "
	}
	if !r.TurnBack.IsZero() {
		s += w.T("turn_back", "at", w.Clock(r.TurnBack))
	}
	return strings.TrimSpace(s)
}

func (w Words) sources(r conditions.Report) string {
	var out []string
	if s := r.SeaSource; s != nil && s.Recorded {
		out = append(out, w.T("source_recorded"))
	} else {
		if s != nil {
			what := w.T("source", "name", s.Name, "ago", w.Ago(r.Now.Sub(s.FetchedAt)), "km", w.Km(s.Km))
			if !s.RunAt.IsZero() {
				what = w.T("source_run", "name", s.Name, "run", s.RunAt.UTC().Format("15")+"Z", "ago", w.Ago(r.Now.Sub(s.FetchedAt)), "km", w.Km(s.Km))
			}
			out = append(out, what)
		}
		if r.Warnings.State == conditions.WarningsNone {
			out = append(out, w.T("no_warnings", "source", r.Warnings.Source, "ago", w.Ago(r.Now.Sub(r.Warnings.CheckedAt))))
		}
	}
	for _, s := range []*conditions.Source{r.SeaSource, r.WeatherSource} {
		if s == nil || s.Silent == "" {
			continue
		}
		if l := w.T("source_silent", "name", s.Silent); !slices.Contains(out, l) {
			out = append(out, l)
		}
	}
	if r.Station != "" && r.StationKm > 20 {
		out = append(out, w.T("tide_station_far", "km", w.Km(r.StationKm)))
	}
	switch seen := w.seenBy(r.Watches, r.Reports); {
	case r.Calibrated && r.Reports > 0:
		out = append(out, w.T("calibrated_seen", "seen", seen, "ledge", r.Ledge))
	case r.Reports > 0:
		out = append(out, w.T("barely_calibrated_seen", "seen", seen, "ledge", r.Ledge))
	case r.Calibrated:
		out = append(out, w.T("calibrated", "n", r.Watches, "ledge", r.Ledge))
	case r.Watches > 0:
		out = append(out, w.T("barely_calibrated", "n", r.Watches, "ledge", r.Ledge))
	default:
		out = append(out, w.T("uncalibrated", "ledge", r.Ledge))
	}
	out = append(out, w.T("watch_yourself", "min", r.WatchMinutes))
	return strings.Join(out, " ")
}

// Why is the longer story: hour by hour, and what the numbers mean. The table is narrow enough for a phone.
func (w Words) Why(r conditions.Report) string {
	if r.Zone != nil {
		w.Zone = r.Zone
	}
	height := func(m float64) string {
		if math.IsNaN(m) {
			return "?"
		}
		return strings.Fields(w.Height(m))[0]
	}
	columns := "why_columns"
	if w.Units == Imperial {
		columns = "why_columns_ft"
	}
	table := []string{w.T(columns)}
	violent := false
	for _, h := range r.Hours {
		hs, per, wind, p := "?", "?", "?", "?"
		if h.Hs != nil {
			hs = height(float64(*h.Hs))
		}
		if h.Period != nil {
			per = fmt.Sprintf("%.0f", float64(*h.Period))
		}
		if h.Wind != nil {
			wind = strings.Fields(w.Speed(float64(*h.Wind)))[0]
		}
		switch {
		case !h.Judged:
		case h.Violent && h.Freeboard > 0:
			p, violent = "*", true
		case h.P < 0.005:
			p = "<1%"
		case h.P > 0.995:
			p = ">99%"
		default:
			p = fmt.Sprintf("%.0f%%", math.Round(h.P*100))
		}
		table = append(table, fmt.Sprintf("%s %5s %3s %5s %4s %5s", w.Clock(h.At), hs, per, height(float64(h.Freeboard)), wind, p))
	}
	more := ""
	if r.Station != "" {
		more = strings.TrimSpace(more + " " + w.T("tide_station", "name", r.Station, "km", w.Km(r.StationKm)) + " " + w.TideDoubts(r.TideDoubts))
	}
	breaks := ""
	if violent {
		breaks = w.T("why_breaks")
	}
	return lines(
		w.T("why_head", "ledge", r.Ledge, "day", w.Day(r.From)),
		"<pre>"+html.EscapeString(strings.Join(table, "\n"))+"</pre>",
		breaks,
		w.T("why_means"),
		more)
}

// Names lists names as people would.
func (w Words) Names(names []string) HTML { return w.list(names) }

// Times lists clock times.
func (w Words) Times(ts []time.Time) HTML {
	var out []string
	for _, t := range ts {
		out = append(out, w.Day(t)+" "+w.Clock(t))
	}
	return w.list(slices.Compact(out))
}

func upperFirst(s string) string {
	r := []rune(s)
	if len(r) > 0 {
		r[0] = []rune(strings.ToUpper(string(r[0])))[0]
	}
	return string(r)
}

// Datum is what heights are counted from, as a picture says it.
func (w Words) Datum(name string) string {
	unit := "m"
	if w.Units == Imperial {
		unit = "ft"
	}
	return w.T("pic_datum", "unit", unit, "datum", name)
}

// ChartLabels are all words of the picture.
func (w Words) ChartLabels(r conditions.Report) picture.Labels {
	plain := func(id string, kv ...any) string { return Plain(w.T(id, kv...)) }
	l := picture.Labels{
		Asked: plain("pic_asked"), TurnBack: plain("pic_turn_back"), Dark: plain("pic_dark"),
		Water: plain("pic_water"), Lip: plain("pic_lip"), Gate: plain("pic_gate"), GateWet: plain("pic_gate_wet"), Gap: plain("pic_gap"),
		UnderWater: plain("pic_under"), High: plain("pic_high"), Low: plain("pic_low"),
		Swell: plain("pic_swell"), SwellNote: plain("pic_swell_note"), Limit: plain("pic_limit"), UpTo: plain("pic_up_to"),
		Period: plain("pic_period"), GoesTo: plain("pic_goes_to"),
		Chance: plain("pic_wash"), ChanceNote: plain("pic_each_hour"), Violent: plain("pic_violent"), Wind: plain("pic_wind"), Gust: plain("pic_gust"), WindTo: plain("pic_wind_to"),
		WorstOf: plain("pic_worst_of"), Unknown: plain("unknown"), ClockChange: plain("pic_clocks"),
		Caution: plain("pic_caution", "min", r.WatchMinutes), Source: plain("pic_no_source"),
	}
	for i := range l.Weekdays {
		l.Weekdays[i] = plain("wd" + fmt.Sprint(i))
	}
	if s := r.SeaSource; s != nil {
		l.Source = plain("source", "name", s.Name, "ago", w.Ago(r.Now.Sub(s.FetchedAt)), "km", w.Km(s.Km))
		if s.Recorded {
			l.Source = plain("source_recorded")
		}
	}
	return l
}

// Limits are what a crew set for a ledge.
func (w Words) Limits(l ledge.Limits) string {
	var out []string
	if l.Hs != nil {
		out = append(out, w.T("lim_hs", "v", w.Height(float64(*l.Hs))))
	}
	if l.Gust != nil {
		out = append(out, w.T("lim_gust", "v", w.Speed(float64(*l.Gust))))
	}
	if l.Period != nil {
		out = append(out, w.T("lim_period", "v", fmt.Sprintf("%.0f", float64(*l.Period))))
	}
	if l.WashChance != nil {
		out = append(out, w.T("lim_wash", "v", w.Chance(*l.WashChance)))
	}
	if len(out) == 0 {
		return w.T("limits_none")
	}
	return strings.Join(out, ", ")
}
