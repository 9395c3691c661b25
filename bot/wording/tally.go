package wording

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"ledgehand/bot/picture"
	"ledgehand/session/catch"
	"ledgehand/session/catch/tally"
)

// Tally is what was caught over time, as far as it may be said.
type Tally struct {
	Who     string // "": the crew
	Season  tally.Season
	Bests   []tally.Best
	Prior   *tally.Prior // nil: there is no rate
	Rate    tally.Rate   // of the season, or of the ledge
	Open    int          // trips that are not over
	Silent  int          // outings of the season about which nobody said a word
	Older   int          // days left out, for only so many are read
	Days    int          // read
	Compare *tally.Comparison
	Counts  []tally.Count

	Ledge string
	Log   []tally.Trip // newest first
	Fish  func(species, named string) string
}

// How much of it is shown: the rest is in an export.
const (
	mostKinds = 5
	mostBests = 4
	mostLog   = 3
)

// SeasonName is a season in two words: a year, or the months from which to which.
func (w Words) SeasonName(from, to string) string {
	a, err := time.Parse(time.DateOnly, from)
	b, err1 := time.Parse(time.DateOnly, to)
	if err != nil || err1 != nil {
		return from + "–" + to
	}
	if a.Month() == time.January {
		return fmt.Sprint(a.Year())
	}
	return fmt.Sprintf("%s %d–%s %d", w.T("mo"+fmt.Sprint(int(a.Month()))), a.Year(), w.T("mo"+fmt.Sprint(int(b.Month()))), b.Year())
}

// TallyMine is what one person caught in a season, and their longest fish of all that is held.
func (w Words) TallyMine(t Tally) string {
	s := t.Season
	if s.Trips == 0 && len(t.Bests) == 0 {
		return w.T("tally_none", "season", w.SeasonName(s.From, s.To))
	}
	hours := ""
	switch {
	case s.Trips == 0:
	case s.RodMin == 0:
		hours = w.T("tally_no_hours")
	default:
		hours = w.T("tally_hours", "hours", hoursOf(s.RodHours()), "n", s.Trips-s.NoTime, "none", HTML(w.withoutHours(s.NoTime)))
	}
	bests := ""
	if len(t.Bests) > 0 {
		var out []string
		for i, b := range t.Bests {
			if i == mostBests {
				break
			}
			k := "tally_best"
			if b.Fork {
				k = "tally_best_fork"
			}
			where := w.Date(b.At)
			if b.Ledge != "" {
				where = b.Ledge + ", " + where
			}
			out = append(out, w.T(k, "fish", t.Fish(b.Species, b.Named), "len", w.Length(b.UM), "where", where))
		}
		bests = w.T("tally_bests", "list", HTML(strings.Join(out, "; ")))
	}
	return lines(w.tallyHead(t), w.tallyFate(t), hours, bests, w.tallyOlder(t))
}

// TallyCrew is a season of the crew.
func (w Words) TallyCrew(t Tally) string {
	if t.Season.Trips == 0 {
		return lines(w.T("tally_none", "season", w.SeasonName(t.Season.From, t.Season.To)), w.tallyOlder(t))
	}
	counts := ""
	if len(t.Counts) > 0 {
		var out []string
		for _, c := range t.Counts {
			out = append(out, w.T("tally_count", "who", c.Who, "n", c.Fish))
		}
		counts = w.T("tally_counts", "list", HTML(strings.Join(out, ", ")))
	}
	return lines(w.tallyHead(t), w.tallyFate(t), w.tallyRate(t), w.tallyCompare(t.Compare), w.tallyOut(t), counts+w.tallyOlder(t))
}

// TallyLedge is the log of a ledge, newest first, with its rate.
func (w Words) TallyLedge(t Tally, now time.Time) string {
	if len(t.Log) == 0 {
		return lines(w.T("tally_ledge_none", "ledge", t.Ledge), w.tallyOlder(t))
	}
	out := []string{w.T("tally_ledge", "ledge", t.Ledge, "n", len(t.Log))}
	if len(t.Log) > mostLog {
		out[0] += " " + w.T("tally_more", "n", mostLog)
	}
	for i, x := range t.Log {
		if i == mostLog {
			break
		}
		out = append(out, w.tallyTrip(t, x))
	}
	return lines(append(out, w.tallyRate(t), w.tallyOut(t)+w.tallyOlder(t))...)
}

func (w Words) tallyHead(t Tally) string {
	who := HTML(w.T("tally_the_crew"))
	if t.Who != "" {
		who = HTML(escape(t.Who))
	}
	return w.T("tally_head", "who", who, "season", w.SeasonName(t.Season.From, t.Season.To), "n", t.Season.Trips, "fish", HTML(w.T("tally_fish", "n", t.Season.Fish)))
}

// tallyFate says which fish, and what became of them.
func (w Words) tallyFate(t Tally) string {
	s := t.Season
	if s.Trips == 0 {
		return ""
	}
	var kinds []string
	for i, k := range s.Kinds {
		if i == mostKinds {
			kinds = append(kinds, w.T("tally_kinds_more", "n", len(s.Kinds)-mostKinds))
			break
		}
		kinds = append(kinds, fmt.Sprintf("%d %s", k.Fish, escape(t.Fish(k.Species, k.Named))))
	}
	var out []string
	if s.Fish > 0 {
		unsaid := ""
		if s.Unsaid > 0 {
			unsaid = ", " + w.T("tally_unsaid", "n", s.Unsaid)
		}
		out = append(out, w.T("tally_fate", "kinds", HTML(strings.Join(kinds, ", ")), "kept", s.Kept, "gone", s.Released, "unsaid", HTML(unsaid)))
	}
	if s.Blanks > 0 {
		out = append(out, w.T("tally_blanks", "n", s.Blanks))
	}
	return strings.Join(out, " ")
}

// tallyRate is what may be said of a rate: nothing below three trips.
func (w Words) tallyRate(t Tally) string {
	r := t.Rate
	if r.Says() == tally.SayList {
		return ""
	}
	if t.Prior == nil {
		return w.T("tally_rate_none", "n", r.Trips, "hours", hoursOf(r.Hours))
	}
	out := w.T("tally_rate", "n", r.Trips, "fish", HTML(w.T("tally_fish", "n", r.Fish)), "hours", hoursOf(r.Hours), "rate", rate(r.Mean), "lo", rate(r.Lo), "hi", rate(r.Hi))
	switch {
	case t.Ledge == "" || rate(r.Mean) == rate(r.Raw): // nothing was drawn anywhere
	case t.Prior.Fitted:
		out += " " + w.T("tally_drawn", "mean", rate(t.Prior.Mean()))
	default:
		out += " " + w.T("tally_drawn_choice", "mean", rate(t.Prior.Mean()))
	}
	return out
}

// tallyOut says what is in no rate, so that nobody takes it for all there was.
func (w Words) tallyOut(t Tally) string {
	var out []string
	s := t.Season
	if t.Ledge != "" {
		s = tally.SeasonOf(t.Log, "", "9999")
	}
	none := s.NoTime
	if none > 0 {
		out = append(out, w.T("tally_out_hours", "n", none))
	}
	if s.Loose > 0 {
		out = append(out, w.T("tally_out_loose", "n", s.Loose))
	}
	if t.Open > 0 {
		out = append(out, w.T("tally_out_open", "n", t.Open))
	}
	if t.Silent > 0 {
		out = append(out, w.T("tally_out_silent", "n", t.Silent))
	}
	if len(out) == 0 {
		return ""
	}
	return w.T("tally_out", "list", HTML(strings.Join(out, ", ")))
}

func (w Words) tallyOlder(t Tally) string {
	if t.Older == 0 {
		return ""
	}
	return " " + w.T("tally_older", "n", t.Days, "older", t.Older)
}

func (w Words) withoutHours(n int) string {
	if n == 0 {
		return ""
	}
	return w.T("tally_hours_none", "n", n)
}

func (w Words) tallyCompare(c *tally.Comparison) string {
	if c == nil || c.By == tally.ByNothing {
		return ""
	}
	one, two := w.T("tally_side_making"), w.T("tally_side_ebbing")
	if c.By == tally.ByLight {
		one, two = w.T("tally_side_light"), w.T("tally_side_dark")
	}
	a, b := c.One.Trips, c.Two.Trips
	switch c.More() {
	case 1:
		return w.T("tally_compare_more", "one", HTML(one), "a", a, "b", b)
	case -1:
		return w.T("tally_compare_more", "one", HTML(two), "a", b, "b", a)
	}
	if c.Enough() {
		return w.T("tally_compare_same", "one", HTML(one), "two", HTML(two), "a", a, "b", b)
	}
	return w.T("tally_compare_few", "one", HTML(one), "two", HTML(two), "a", a, "b", b, "least", tally.FewestCompared)
}

// tallyTrip is one trip of a log in a line.
func (w Words) tallyTrip(t Tally, x tally.Trip) string {
	var fish, people, then []string
	kinds := tally.SeasonOf([]tally.Trip{x}, x.Date, x.Date)
	for i, k := range kinds.Kinds {
		if i == mostKinds {
			fish = append(fish, "…")
			break
		}
		fish = append(fish, fmt.Sprintf("%d %s", k.Fish, escape(t.Fish(k.Species, k.Named))))
	}
	if x.Blank() {
		fish = []string{w.T("tally_blank")}
	}
	var last *catch.Then
	for _, e := range x.Entries {
		if e.Then != nil {
			last = e.Then
		}
		if !slices.Contains(people, e.Who) {
			people = append(people, e.Who)
		}
	}
	var stages []string
	for _, s := range tally.StagesOf(x) {
		if w.has("tally_tide_" + s) { // else a word stored by another version
			stages = append(stages, w.T("tally_tide_"+s))
		}
	}
	if len(stages) > 0 {
		then = append(then, strings.Join(stages, " → "))
	}
	if last != nil && last.Sea != nil {
		then = append(then, w.T("tally_swell", "hs", w.Height(last.Sea.HsM)))
	}
	if last != nil && w.has("tally_light_"+last.Light) {
		then = append(then, w.T("tally_light_"+last.Light))
	}
	if x.RodMin > 0 {
		then = append(then, w.T("tally_rod_hours", "hours", hoursOf(x.RodHours())))
	}
	day := w.Date(x.At)
	if len(then) == 0 {
		return w.T("tally_trip", "day", day, "fish", HTML(strings.Join(fish, ", ")), "people", w.list(people))
	}
	return w.T("tally_trip_then", "day", day, "fish", HTML(strings.Join(fish, ", ")), "people", w.list(people), "then", HTML(strings.Join(then, ", ")))
}

// rate is fish an hour: no more digits than a log of a few trips carries.
func rate(v float64) string {
	if v < 0.995 {
		return fmt.Sprintf("%.2f", v)
	}
	return fmt.Sprintf("%.1f", v)
}

// hoursOf is a number of rod-hours, to the half below ten.
func hoursOf(h float64) string {
	if h >= 9.95 {
		return fmt.Sprintf("%.0f", h)
	}
	return strings.TrimSuffix(fmt.Sprintf("%.1f", math.Round(h*10)/10), ".0")
}

// SeasonLabels are the words of the picture of a season.
func (w Words) SeasonLabels() picture.SeasonLabels {
	plain := func(id string) string { return Plain(w.T(id)) }
	l := picture.SeasonLabels{
		PerTrip: plain("pic_per_trip"), PerWeek: plain("pic_per_week"), Kept: plain("pic_kept"), Gone: plain("pic_gone"), Unsaid: plain("pic_unsaid"),
		Blank: plain("pic_blank"), ToCome: plain("pic_to_come"), Note: plain("pic_season_note"),
	}
	for i := range l.Months {
		l.Months[i] = Plain(w.T("mo" + fmt.Sprint(i+1)))
	}
	return l
}
