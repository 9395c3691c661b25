package command

import (
	"slices"
	"time"
)

// dateChoice is the dates that the days of a line can be.
type dateChoice struct {
	list     []time.Time // civil dates
	step     int         // add this many days to a date whose time has passed: 1 if no day was said, 7 for a weekday
	confirm  Word        // AskDate: one reading, but say it back
	question Word        // ask even if only one is left
	either   bool        // with slashes, and either order gives a date
	iso      bool        // written year first
}

// farDate is how far ahead a date without a year may be and still be this one: further, somebody
// wrote a date that has just passed.
const farDate = 300 * 24 * time.Hour

// dates works out the days of the line.
func (p *plan) dates() (dateChoice, Word) {
	today := civilOf(p.now, p.zone)
	if len(p.days) == 0 {
		return dateChoice{list: []time.Time{today}, step: 1}, ""
	}
	first, why := p.dateOf(p.days[0], today)
	if why != "" || len(p.days) == 1 {
		return first, why
	}
	// Two days in one line must be two ways to say one: "sat 14 mar", "tomorrow, fri".
	second, why := p.dateOf(p.days[1], today)
	if why != "" {
		return first, why
	}
	a, b := p.days[0], p.days[1]
	if a.kind == dayNext || b.kind == dayNext || a.kind == b.kind && a != b {
		return first, WhyTwoDays
	}
	if a == b {
		return first, ""
	}
	if a.kind == dayWeekday {
		a, b, first, second = b, a, second, first
	}
	if b.kind != dayWeekday {
		both := slices.DeleteFunc(first.list, func(d time.Time) bool { return !slices.ContainsFunc(second.list, d.Equal) })
		if len(both) == 0 {
			return first, WhyTwoDays
		}
		return dateChoice{list: both, iso: first.iso || second.iso}, ""
	}
	match := slices.DeleteFunc(slices.Clone(first.list), func(d time.Time) bool { return d.Weekday() != b.weekday })
	if len(match) == 0 {
		// "fri 14 mar" when the 14th is a Saturday: which of the two was the slip?
		return dateChoice{list: append(first.list, second.list...), question: AskDate, iso: first.iso}, ""
	}
	return dateChoice{list: match, iso: first.iso, question: first.question}, ""
}

func (p *plan) dateOf(d day, today time.Time) (dateChoice, Word) {
	switch d.kind {
	case dayOffset:
		if d.n < 0 {
			return dateChoice{}, WhyPast
		}
		return dateChoice{list: []time.Time{today.AddDate(0, 0, d.n)}}, ""
	case dayWeekday:
		if ahead := int(d.weekday-today.Weekday()+7) % 7; d.weeks > 0 {
			first := today.AddDate(0, 0, ahead+7*d.weeks)
			if ahead == 0 { // said on that weekday: from today, or from the next one
				return dateChoice{list: []time.Time{first, first.AddDate(0, 0, 7)}, question: AskDate}, ""
			}
			return dateChoice{list: []time.Time{first}, confirm: AskDate}, ""
		}
		return dateChoice{list: []time.Time{today.AddDate(0, 0, int(d.weekday-today.Weekday()+7)%7)}, step: 7}, ""
	case dayNext:
		ahead := int(d.weekday-today.Weekday()+7) % 7
		if ahead == 0 {
			ahead = 7
		}
		return dateChoice{list: []time.Time{today.AddDate(0, 0, ahead), today.AddDate(0, 0, ahead+7)}, question: AskDate}, ""
	case dayOfMonth:
		for add := range 13 {
			y, m, _ := today.Date()
			first := civil(y, m+time.Month(add), 1)
			if t, ok := civilDate(first.Year(), int(first.Month()), d.a); ok && !t.Before(today) {
				return dateChoice{list: []time.Time{t}, confirm: AskDate}, ""
			}
		}
		return dateChoice{}, WhyDate
	}
	asDate := func(day, month int) (time.Time, Word, Word) {
		if d.year != 0 {
			t, ok := civilDate(d.year, month, day)
			if !ok {
				return t, "", WhyDate
			}
			return t, "", ""
		}
		for y := today.Year(); y <= today.Year()+8; y++ { // eight years hold a 29 February
			t, ok := civilDate(y, month, day)
			if !ok || t.Before(today) {
				continue
			}
			if t.Sub(today) > farDate {
				return t, AskDate, ""
			}
			return t, "", ""
		}
		return time.Time{}, "", WhyDate
	}
	out := dateChoice{iso: d.iso}
	t, question, why := asDate(d.a, d.b)
	if !d.slash {
		out.list, out.question = []time.Time{t}, question
		return out, why
	}
	swapped, swappedQuestion, swappedWhy := asDate(d.b, d.a)
	if p.order == MonthFirst {
		t, question, why, swapped, swappedQuestion, swappedWhy = swapped, swappedQuestion, swappedWhy, t, question, why
	}
	out.either = why == "" && swappedWhy == "" && d.a != d.b
	switch {
	case why != "" && swappedWhy != "":
		return out, WhyDate
	case why != "":
		// Only the other order gives a date: a visitor's.
		out.list, out.question, out.confirm = []time.Time{swapped}, swappedQuestion, AskDate
	case swappedWhy == "" && p.order == MonthFirst && d.a != d.b && question != "":
		// Has just passed, and visitors write day first.
		out.list, out.question = []time.Time{t, swapped}, AskDate
	case swappedWhy == "" && d.a != d.b:
		out.list, out.question, out.confirm = []time.Time{t}, question, AskDate
	default:
		out.list, out.question = []time.Time{t}, question
	}
	return out, ""
}
