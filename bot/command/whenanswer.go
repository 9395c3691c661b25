package command

import (
	"errors"
	"slices"
	"strings"
	"time"
)

// Answer reads what somebody writes when they were asked about a line: one of what was offered ("pm", "the second", "5pm",
// "sat 21"), the part that was missing ("til 9", "9am", "3h"), or the whole line anew. line is the one that was asked about
// and start, if not zero, what they chose since as its start. The answer is a whole window, or the next question.
func (l Local) Answer(line, answer string, start, now time.Time, zone *time.Location, order DayOrder) (Window, error) {
	sure, err := l.When(line, now, zone, order)
	var asked *Ambiguous
	errors.As(err, &asked)
	if !start.IsZero() {
		sure = Window{Start: start, Rest: sure.Rest}
	} else if asked != nil {
		if i, ok := Choose(answer, asked.Candidates, zone); ok {
			return l.finished(asked.Readings[i], line)
		}
	}
	whole := func(w Window, err error) bool {
		return err == nil && !w.Start.IsZero() && strings.TrimSpace(w.Rest) == "" && w.Start.Sub(now) > -time.Minute
	}
	if !sure.Start.IsZero() { // "9am": from that start on
		for _, ahead := range []string{"now til ", "now "} {
			if w, err := l.When(ahead+answer, sure.Start, zone, order); whole(w, err) && w.Start.Equal(sure.Start.Truncate(time.Minute)) {
				return w, nil
			}
		}
	}
	if start.IsZero() {
		if w, err := l.When(line+" "+answer, now, zone, order); whole(w, err) {
			return w, nil
		}
	}
	if w, err := l.When(answer, now, zone, order); whole(w, err) {
		return w, nil
	}
	w, err := l.When(answer, now, zone, order) // what the answer itself leaves open
	var open *Ambiguous
	if errors.As(err, &open) && (len(open.Candidates) > 0 || len(open.Days) > 0) {
		return w, err
	}
	if !sure.Start.IsZero() {
		return sure, &Ambiguous{Said: answer, Question: AskUntil}
	}
	return Window{}, &Unread{Said: answer, Why: WhyToken}
}

// finished is a reading that was chosen: whole, or asked for what it lacks.
func (l Local) finished(w Window, line string) (Window, error) {
	w.Confirm = ""
	if !w.Start.IsZero() && w.End.IsZero() && w.BackBy.IsZero() {
		return askRest(w, line, AskUntil)
	}
	return w, nil
}

// Choose finds which of the instants offered an answer means: by its place in the row, the half of the day, the hour, the
// weekday or the date. It answers only where just one fits.
func Choose(answer string, offered []time.Time, zone *time.Location) (i int, ok bool) {
	var words []string
	for _, x := range strings.Fields(answer) {
		x = fold(strings.ToLower(strings.Trim(x, ",.!?;")))
		if !slices.Contains([]string{"", "the", "one", "el", "la", "de", "las", "a", "at", "on", "in", "please", "por", "option", "number"}, x) {
			words = append(words, x)
		}
	}
	answer = strings.Join(words, " ")
	if len(words) == 0 || len(offered) == 0 {
		return 0, false
	}
	if len(words) == 1 {
		switch words[0] {
		case "first", "1st", "earlier", "early", "primera", "primero":
			return 0, len(offered) > 1
		case "second", "2nd", "segunda", "segundo":
			return 1, len(offered) > 1
		case "later", "last", "ultima", "ultimo":
			return len(offered) - 1, len(offered) > 1
		case "yes", "y", "yep", "yeah", "si", "ok", "sure", "correct":
			return 0, len(offered) == 1
		}
	}
	toks, err := tokenize(answer, plainWords(lex(answer)))
	if err != nil {
		return 0, false
	}
	fit := func(at time.Time) bool {
		at = at.In(zone)
		minute, said := at.Hour()*60+at.Minute(), false
		for _, t := range toks {
			switch t.kind {
			case tokClock, tokHours:
				m := t.clock.minutes
				if t.clock.midnight {
					m = 0
				}
				if m != minute && !(t.clock.open && m+720 == minute) {
					return false
				}
				said = true
			case tokPart:
				from, to := partSpan(t.part)
				if t.part == morning {
					from = 0
				}
				if !(minute >= from && minute < to || minute+1440 < to) {
					return false
				}
				said = true
			case tokDay:
				switch d := t.day; {
				case d.kind == dayWeekday && d.weekday != at.Weekday(), d.kind == dayOfMonth && d.a != at.Day():
					return false
				case d.kind == dayDate && (d.slash || d.a != at.Day() || d.b != int(at.Month())):
					return false
				case d.kind == dayOffset || d.kind == dayNext:
					return false
				}
				said = true
			case tokSep:
			case tokWord:
				if !t.filler {
					return false
				}
			default:
				return false
			}
		}
		return said
	}
	found := -1
	for k, at := range offered {
		if !fit(at) {
			continue
		}
		if found >= 0 {
			return 0, false
		}
		found = k
	}
	return max(found, 0), found >= 0
}

// unitedStates are the zones in which dates are written month first: those of the IANA database for the United States.
var unitedStates = []string{"New_York", "Chicago", "Denver", "Los_Angeles", "Phoenix", "Anchorage", "Detroit", "Boise", "Juneau", "Sitka", "Nome", "Adak", "Metlakatla", "Yakutat", "Menominee"}

// OrderIn is how dates are written where clocks keep a zone.
func OrderIn(zone string) DayOrder {
	region, city, _ := strings.Cut(zone, "/")
	switch {
	case region == "US", zone == "Pacific/Honolulu", region == "America" && slices.Contains(unitedStates, city),
		strings.HasPrefix(zone, "America/Indiana/"), strings.HasPrefix(zone, "America/Kentucky/"), strings.HasPrefix(zone, "America/North_Dakota/"):
		return MonthFirst
	}
	return DayFirst
}
