package command

import (
	"strings"
	"time"
	"unicode/utf8"
)

// RuleFields is what a rule line gave. A nil field was not given.
type RuleFields struct {
	Named   string    // the fish, as typed
	Min     *Size     // inclusive: a fish of just this length is legal
	Max     *Size     // inclusive
	Bag     *int      // fish a person may keep a day; 0: none may be kept
	Source  string    // who says so; shown with every answer that uses the rule
	Checked time.Time // 00:00 of the day somebody compared it with the source; zero: not given
}

// RuleKeywords are the words a rule line is built of.
var RuleKeywords = []string{"min", "max", "bag", "source", "checked"}

// RuleExample is a whole rule line.
const RuleExample = "greenling min 30 cm bag 10 source Example Coast pack checked 2 Mar"

// Rule reads a limit such as RuleExample: the fish, then keywords in any order, at least one of
// min, max and bag. A date without a year is the last such day up to today in the zone; a day still
// to come is refused, because nobody has checked anything then.
func Rule(text string, units Units, now time.Time, zone *time.Location, order DayOrder) (RuleFields, error) {
	var out RuleFields
	name, list, err := fields(text, RuleKeywords)
	if err != nil {
		return out, err
	}
	refuse := func(said string, why Word) (RuleFields, error) {
		return RuleFields{}, &Unread{Said: said, Why: why, Known: RuleKeywords, Example: RuleExample}
	}
	if name == "" {
		return refuse("name", WhyMissing)
	}
	if utf8.RuneCountInString(name) > MaxName {
		return refuse(name, WhyLong)
	}
	out.Named = name
	for _, f := range list {
		value := strings.Join(f.value, " ")
		if value == "" {
			return refuse(f.key, WhyMissing)
		}
		switch f.key {
		case "min", "max":
			s, err := Length(value, units)
			if err != nil {
				return refuse(f.key+" "+value, err.(*Unread).Why)
			}
			if f.key == "min" {
				out.Min = &s
			} else {
				out.Max = &s
			}
		case "bag":
			n := small(value)
			if strings.Trim(value, "0123456789") != "" {
				return refuse(f.key+" "+value, WhyNumber)
			}
			if n < 0 || n > MaxCount {
				return refuse(f.key+" "+value, WhyRange)
			}
			out.Bag = &n
		case "source":
			if utf8.RuneCountInString(value) > 100 {
				return refuse(f.key, WhyLong)
			}
			out.Source = value
		case "checked":
			day, why := pastDay(value, now, zone, order)
			if why != "" {
				return refuse(f.key+" "+value, why)
			}
			out.Checked = day
		}
	}
	switch {
	case out.Min == nil && out.Max == nil && out.Bag == nil:
		return refuse(strings.Join(RuleKeywords[:3], ", "), WhyMissing)
	case out.Min != nil && out.Max != nil && out.Min.UM > out.Max.UM:
		return refuse("min, max", WhyClash)
	}
	return out, nil
}

// pastDay reads one date up to today: "2 Mar", "2/3", "2026-03-02", "today".
func pastDay(value string, now time.Time, zone *time.Location, order DayOrder) (time.Time, Word) {
	toks, err := tokenize(value, lex(value))
	if err != nil {
		return time.Time{}, WhyDate
	}
	if len(toks) != 1 || toks[0].kind != tokDay {
		return time.Time{}, WhyToken
	}
	d, today := toks[0].day, civilOf(now, zone)
	date := today
	switch d.kind {
	case dayOffset:
		date = today.AddDate(0, 0, d.n)
	case dayDate:
		day, month := d.a, d.b
		if d.slash && order == MonthFirst {
			day, month = month, day
		}
		years := []int{d.year}
		if d.year == 0 {
			years = years[:0]
			for back := range 9 { // nine years hold a 29 February
				years = append(years, today.Year()-back)
			}
		}
		found := false
		for _, y := range years {
			t, ok := civilDate(y, month, day)
			if ok && (d.year != 0 || !t.After(today)) {
				date, found = t, true
				break
			}
		}
		if !found {
			return time.Time{}, WhyDate
		}
	default:
		return time.Time{}, WhyToken
	}
	if date.After(today) {
		return time.Time{}, WhyRange
	}
	return midnightOf(date, zone), ""
}
