package command

import (
	"strconv"
	"strings"
)

// What is done to the words of a line before they are read: numbers in words become numbers where an hour can stand.

// minuteNumbers stand after an hour: "five thirty".
var minuteNumbers = map[string]string{"fifteen": "15", "twenty": "20", "thirty": "30", "forty": "40", "fortyfive": "45", "fifty": "50"}

// plainWords makes digits of hours in words: "five til nine", "half five", "a las tres". A number beside no word of time,
// as in "Three Sisters", stays a word.
func plainWords(lx []lexeme) []lexeme {
	lx = fromJapanese(lx)
	has := func(set string, w string) bool { return w != "" && strings.Contains(set, " "+w+" ") }
	const before = " for til till until to by at from back between half past after before - – leaving out "
	const after = " til till until to am pm o'clock oclock thirty fifteen forty fifty - – a.m past after "
	out := make([]lexeme, 0, len(lx))
	for i := 0; i < len(lx); i++ {
		x := lx[i]
		prev, next := "", peek(lx, i+1)
		if len(out) > 0 {
			prev = out[len(out)-1].s
		}
		if base, own := strings.CutSuffix(strings.ReplaceAll(x.s, "’", "'"), "'s"); own { // "tomorrow's low"
			_, weekday := weekdays[base]
			_, offset := offsets[base]
			if weekday || offset || todays[base] != "" || parts[base] != "" {
				x.s = base
			}
		}
		if at, minutes, ok := wordMinutes(lx, i); ok { // "twenty past five"
			x.s, x.kind, x.end = minutes, lexDigits, lx[at].end
			out, i = append(out, x), at
			continue
		}
		n := 0
		if x.kind == lexLetters {
			n = numberWords[x.s]
			isUnit := hourWords[next] || minuteWords[next] || dayWords[next] || weekWords[next] || next == "hour" || next == "of"
			if n > 0 && (isUnit || !has(before, prev) && !has(after, next) && !(next == "in" && peek(lx, i+2) == "the")) {
				n = 0
			}
			if n == 0 {
				if m := spanishNumbers[fold(x.s)]; m > 0 && !isUnit && (prev == "las" || prev == "la" || prev == "às" ||
					has(" de desde hasta a ", fold(prev)) && (fold(next) == "a" || fold(next) == "y" || fold(prev) == "a" && digitsOf(out, len(out)-2))) {
					n = m
				}
			}
		}
		if n > 0 {
			x.s, x.kind = strconv.Itoa(n), lexDigits
			if m := minuteNumbers[next]; m != "" {
				x.s += m
				i++
				x.end = lx[i].end
			}
		}
		out = append(out, x)
	}
	return out
}

// wordMinutes reads minutes in words before or after an hour, "twenty past five", "twenty to six", as the digits of a time.
// "Ten to six" may be from ten to six, and is left unless an end follows: "ten to six till nine".
func wordMinutes(lx []lexeme, i int) (last int, digits string, ok bool) {
	minutes := map[string]int{"five": 5, "ten": 10, "twenty": 20}[peek(lx, i)]
	if minutes == 0 {
		return i, "", false
	}
	k := i + 1
	if minutes == 20 && (peek(lx, k) == "five" || peek(lx, k) == "-" && peek(lx, k+1) == "five") {
		minutes, k = 25, k+1
		if peek(lx, k) == "five" {
			k++
		}
	}
	way := peek(lx, k)
	hour := numberWords[peek(lx, k+1)]
	if kindAt(lx, k+1, lexDigits) && len(lx[k+1].s) <= 2 {
		hour = small(lx[k+1].s)
	}
	if hour < 1 || hour > 12 || way != "past" && way != "after" && !(way == "to" && (minutes >= 20 || endFollows(lx, k+2))) {
		return i, "", false
	}
	if way == "to" {
		minutes = 60 - minutes
		if hour--; hour == 0 {
			hour = 12
		}
	}
	return k + 1, strconv.Itoa(hour*100 + minutes), true
}

// endFollows says whether an end of hours is told from here on, after what may say which half of the day it is.
func endFollows(lx []lexeme, i int) bool {
	_, i = meridiem(lx, i)
	if next, ok := oneOfPhrases(lx, i, []string{"in the morning", "in the evening", "in the afternoon", "at night"}); ok {
		i = next
	}
	switch peek(lx, i) {
	case "til", "till", "until", "to", "-", "thru", "through":
		return true
	}
	return false
}

func digitsOf(lx []lexeme, i int) bool { return kindAt(lx, i, lexDigits) }

var (
	dayWords  = map[string]bool{"day": true, "days": true, "dia": true, "dias": true, "días": true}
	weekWords = map[string]bool{"week": true, "weeks": true, "wk": true, "wks": true, "fortnight": true, "semana": true, "semanas": true}
)

// readWeeks reads days counted in weeks and days from another: "sat week", "fortnight saturday", "a week on sat",
// "tomorrow week", "in 2 days", "day after tomorrow".
func readWeeks(lx []lexeme, i int) (t token, next int, ok bool) {
	if next, ok := oneOfPhrases(lx, i, []string{"the day after tomorrow", "day after tomorrow", "day after tmrw", "overmorrow", "depois de amanha", "apres demain"}); ok {
		return token{kind: tokDay, day: day{kind: dayOffset, n: 2}}, next, true
	}
	count := func(k int) (n, next int, ok bool) {
		switch w := peek(lx, k); {
		case w == "a" || w == "one" || w == "1":
			n, k = 1, k+1
		case w == "two" || w == "2":
			n, k = 2, k+1
		case w == "three" || w == "3":
			n, k = 3, k+1
		default:
			n = 1
		}
		switch w := peek(lx, k); {
		case w == "fortnight":
			return 2 * n, k + 1, true
		case w == "week" || w == "weeks" || w == "wk" || w == "wks":
			return n, k + 1, true
		}
		return 0, k, false
	}
	if n, k, ok := count(i); ok {
		for peek(lx, k) == "on" || peek(lx, k) == "from" || peek(lx, k) == "this" {
			k++
		}
		if d, is := weekdays[peek(lx, k)]; is {
			return token{kind: tokDay, day: day{kind: dayWeekday, weekday: d, weeks: n}}, k + 1, true
		}
		if o, is := offsets[peek(lx, k)]; is && o >= 0 {
			return token{kind: tokDay, day: day{kind: dayOffset, n: o + 7*n}}, k + 1, true
		}
	}
	if peek(lx, i) == "in" {
		if n, k, ok := count(i + 1); ok {
			return token{kind: tokDay, day: day{kind: dayOffset, n: 7 * n}}, k, true
		}
		n := max(numberWords[peek(lx, i+1)], 0)
		if kindAt(lx, i+1, lexDigits) {
			n = small(lx[i+1].s)
		}
		if n > 0 && n < 31 && dayWords[peek(lx, i+2)] {
			return token{kind: tokDay, day: day{kind: dayOffset, n: n}}, i + 3, true
		}
	}
	d, isDay := weekdays[peek(lx, i)]
	o, isOffset := offsets[peek(lx, i)]
	if !isDay && !(isOffset && o >= 0) {
		return t, i, false
	}
	if n, k, ok := count(i + 1); ok {
		if isDay {
			return token{kind: tokDay, day: day{kind: dayWeekday, weekday: d, weeks: n}}, k, true
		}
		return token{kind: tokDay, day: day{kind: dayOffset, n: o + 7*n}}, k, true
	}
	// "Sat 14 6am": a number that has an hour after it, and may be a day of a month.
	if k := i + 1; isDay && kindAt(lx, k, lexDigits) && !gluedTo(lx, k+1) && len(lx[k].s) == 2 && small(lx[k].s) <= 31 && kindAt(lx, k+1, lexDigits) {
		return token{kind: tokDay, day: day{kind: dayWeekday, weekday: d, a: small(lx[k].s)}}, k + 1, true
	}
	return t, i, false
}

// vaguePhrases are of several words; each is asked about.
var vaguePhrases = map[Word][]string{
	AskStart: {"just now", "now now", "in a bit", "in a while", "in a mo", "in a minute", "ahorita"},
	AskTime:  {"dawn patrol", "first thing", "early doors", "crack of sparrows", "tea time", "happy hour", "all day", "all night", "half a day", "half day", "rest of the day", "stupid o'clock", "silly o'clock", "sparrow o'clock"},
	AskVague: {"a few hours", "few hours", "couple of hours", "a couple of hours", "couple hours", "a couple hours", "a few hrs", "couple of hrs", "a couple of hrs", "a bit", "a while", "a quick one", "some time", "or so", "or thereabouts", "knock off", "un rato", "un par de horas", "no rush",
		"dark o'clock", "dark-ish", "darkish", "lightish"},
	AskDate: {"good friday", "bank holiday", "public holiday", "new year", "new years", "new year's", "next week", "next weekend", "this weekend", "the weekend", "next month", "this week", "fin de semana", "one day", "some day", "la semana que viene", "proxima semana", "next day", "other day"},
	WhyPast: {"last night", "last week", "last weekend", "the other day", "earlier today", "anoche", "semana pasada"},
}

// readVague reads a phrase about time that is none.
func readVague(lx []lexeme, i int) (next int, why Word, ok bool) {
	for _, why := range []Word{AskStart, AskTime, AskVague, AskDate, WhyPast} {
		if next, ok := oneOfPhrases(lx, i, vaguePhrases[why]); ok {
			return next, why, true
		}
	}
	return i, "", false
}
