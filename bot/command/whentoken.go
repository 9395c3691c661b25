package command

import (
	"slices"
	"strings"
	"time"

	"ledgehand/session/catch/names"
)

// A trip line becomes a row of tokens first; when.go says how they belong together.
type tokenKind uint8

const (
	tokWord    tokenKind = iota // a word that means nothing here: perhaps a ledge
	tokStop                     // a word about time that this reader does not read; why says which sort
	tokClock                    // a time of day
	tokHours                    // "3h", "7h30": a time of day or a span, by its place
	tokSpan                     // "half an hour"
	tokDay                      // a day
	tokPart                     // a part of a day
	tokNow                      // now
	tokTo                       // til
	tokBack                     // back by
	tokLeave                    // leaving
	tokIn                       // in
	tokFor                      // for
	tokSep                      // a comma: ends nothing, but is no ledge name
	tokPoint                    // a time that hangs on the tide or the light; with a span a window from it on
	tokSide                     // "2h either side", after a point
	tokCall                     // "call it": a later promise follows
	tokLatest                   // "at the latest", after a time
	tokBetween                  // between
	tokAnd                      // its "and"
)

type token struct {
	kind    tokenKind
	at, end int // bytes in the line
	clock   clock
	span    time.Duration
	day     day
	part    part
	why     Word // with tokStop
	dash    bool // with tokTo: "-", not a word
	point   point
	in      bool // with tokSpan: "two hours from now"
	filler  bool // with tokWord: "going", "session": neither a ledge nor a time
	local   bool // with tokStop: a Spanish word, which places are called after
}

// clock is a time of day as typed. open: the hour is 1 to 12 and nothing typed says which half of the day.
type clock struct {
	minutes  int  // since local midnight; below 720 when open; 1440 for 24:00
	open     bool //
	midnight bool // the word, or 24:00: the end of a day as well as its start
	half     bool // "half five"
	h24      bool // "05:30", "1830": written on the 24-hour clock
	padded   bool // "10:00": two digits, which is the 24-hour clock where the day is written that way
}

// part is a part of a day.
type part string

const (
	morning   part = "morning"
	afternoon part = "afternoon"
	evening   part = "evening"
	night     part = "night"
	postNoon  part = "pm" // the half of the day
)

type dayKind uint8

const (
	dayNone    dayKind = iota
	dayOffset          // today + n
	dayWeekday         // the next one whose time is ahead
	dayNext            // "next sat": either of two
	dayOfMonth         // "the 14th"
	dayDate            // day and month, perhaps a year
)

type day struct {
	kind    dayKind
	n       int // with dayOffset
	weekday time.Weekday
	a, b    int // day and month; with slash in the order typed
	year    int // 0: not said
	weeks   int // with dayWeekday: so many weeks after the next one
	slash   bool
	iso     bool
}

var weekdays = map[string]time.Weekday{
	"monday": time.Monday, "mon": time.Monday,
	"tuesday": time.Tuesday, "tue": time.Tuesday, "tues": time.Tuesday,
	"wednesday": time.Wednesday, "wed": time.Wednesday, "weds": time.Wednesday,
	"thursday": time.Thursday, "thu": time.Thursday, "thur": time.Thursday, "thurs": time.Thursday,
	"friday": time.Friday, "fri": time.Friday,
	"saturday": time.Saturday, "sat": time.Saturday,
	"sunday": time.Sunday, "sun": time.Sunday,
}

var months = map[string]int{
	"january": 1, "jan": 1, "february": 2, "feb": 2, "march": 3, "mar": 3, "april": 4, "apr": 4, "may": 5,
	"june": 6, "jun": 6, "july": 7, "jul": 7, "august": 8, "aug": 8, "september": 9, "sep": 9, "sept": 9,
	"october": 10, "oct": 10, "november": 11, "nov": 11, "december": 12, "dec": 12,
}

var parts = map[string]part{
	"morning": morning, "morn": morning, "mornin": morning, "am": morning, "afternoon": afternoon, "arvo": afternoon, "avo": afternoon, "arvie": afternoon, "aft": afternoon,
	"evening": evening, "evenin": evening, "eve": evening, "night": night, "nite": night, "pm": postNoon,
}

// todays are parts of this day in one word.
var todays = map[string]part{"tonight": night, "tonite": night, "2nite": night, "tonigth": night, "sarvo": afternoon, "s'arvo": afternoon, "s’arvo": afternoon}

var offsets = map[string]int{
	"today": 0, "2day": 0, "tday": 0, "tomorrow": 1, "tmrw": 1, "tmw": 1, "tmr": 1, "tmrow": 1, "tomoz": 1, "tomo": 1, "tomora": 1, "tmoz": 1, "tomorra": 1, "morra": 1, "2moro": 1, "2morrow": 1, "2mrw": 1,
	"tommorow": 1, "tommorrow": 1, "tomorow": 1, "tomorro": 1, "tommorw": 1,
	"yesterday": -1,
}

// fillers are words around a plan that say nothing about when or where.
var fillers = []string{"sesh", "session", "sessions", "fishing", "heading", "headed", "going", "gonna", "we", "we're", "we'll", "i", "i'm", "i'll", "im", "be", "will", "want", "plan", "planning",
	"trip", "should", "hopefully", "please", "pls", "thanks", "salida", "voy", "vamos", "pesca", "pescar", "salgo", "salimos", "saldré", "saldremos"}

// polite are the fillers that do not even say that somebody goes.
var polite = []string{"please", "pls", "thanks", "be", "will"}

// Words that bear on a time in a way this reader does not know. A line with one of them is asked
// about or refused whatever else it says. Better one too many: a ledge whose name holds such a word
// is taken out of the line by the caller, who knows the ledges.
var stops = func() map[string]Word {
	m := map[string]Word{}
	for why, words := range map[Word]string{
		AskTide:  `tide tides low lows high highs ebb ebbing flood flooding slack lw hw springs neaps making pushing pushin`,
		AskLight: `daylight light moonrise moonset`,
		AskVague: `late later lunch lunchtime dinner dinnertime tea teatime breakfast brekkie brekky supper soon early earlier sometime anytime ish about around roughly circa approx maybe perhaps or ca latest earliest smoko midday-ish
			before after between asap shortly noonish middayish middday-ish overnight bedtime elevenses whenevs time times crib beers beer work knockoff knock-off school`,
		AskDate:   `next this coming week weeks weekend weekends fortnight month months year years easter xmas christmas holiday anzac boxing`,
		WhyNoTime: `whenever when once`,
		WhyPast:   `last`,
		WhyToken: `daily every each usually past quarter half either side to and then if unless except not no never don't dont by until-ish
			hour hours hr hrs min mins minute minutes day days o'clock oclock second first third may call a.m p.m
			minus plus less more than within utc gmt z morrow off`,
		// Days in the other languages of our crews: better refused than taken for a ledge.
		WhyDate: `montag dienstag mittwoch donnerstag freitag samstag sonntag morgen heute more`,
	} {
		for w := range strings.FieldsSeq(words) {
			m[w] = why
		}
	}
	return m
}()

// Words a slip of the thumb away from these are asked about, not taken for ledge names.
var slipTargets = []string{
	"monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday", "today", "tonight", "tomorrow",
	"morning", "afternoon", "evening", "midnight", "sunrise", "sunset", "until",
}

// tokenize reads the whole line. The only error is a number that no reader of numbers takes.
func tokenize(line string, lx []lexeme) ([]token, error) {
	toks := make([]token, 0, len(lx))
	for i := 0; i < len(lx); {
		t, next, err := readToken(line, lx, i)
		if err != nil {
			return nil, err
		}
		t.at, t.end = lx[i].at, lx[next-1].end
		toks = append(toks, t)
		i = next
	}
	return toks, nil
}

func readToken(line string, lx []lexeme, i int) (t token, next int, err error) {
	x := lx[i]
	if t, next, ok := readPoint(lx, i); ok {
		return t, next, nil
	}
	if t, next, ok := readWeeks(lx, i); ok {
		return t, next, nil
	}
	switch x.kind {
	case lexDigits:
		if afterArticle(lx, i) {
			t, next, why := readArticleClock(lx, i)
			if why != "" || gluedTo(lx, next) && lx[next].kind != lexSymbol {
				return token{}, 0, &Unread{Said: line[lx[i].at:lx[min(next, len(lx)-1)].end], Why: orToken(why)}
			}
			return t, next, nil
		}
		return readTimeNumber(line, lx, i)
	case lexSymbol:
		switch x.s {
		case "-", "–", "—", "−", "~", "〜", "～", "→":
			return token{kind: tokTo, dash: true}, i + 1, nil
		case ">":
			if kindAt(lx, i+1, lexDigits) {
				return token{kind: tokTo, dash: true}, i + 1, nil
			}
		case "+":
			if _, _, ok := readSpan(lx, i+1); ok && i > 0 {
				return token{kind: tokFor}, i + 1, nil // "5am + 3h"
			}
		case ",", ";", ".", "!", "@", "&", "(", ")", "?", "\"":
			return token{kind: tokSep}, i + 1, nil
		}
		if x.s == ":" && kindAt(lx, i-1, lexLetters) && !gluedTo(lx, i+1) {
			return token{kind: tokSep}, i + 1, nil // "sat: 5am"
		}
		switch x.s {
		case "+", "/", ":", "<", ">", "=", "*", "%":
			return token{kind: tokStop, why: WhyToken}, i + 1, nil
		}
		return token{kind: tokWord}, i + 1, nil // emoji and the like
	}
	if next, why, ok := readVague(lx, i); ok {
		return token{kind: tokStop, why: why}, next, nil
	}
	if d, next, ok := readSpan(lx, i); ok {
		next, in := fromNow(lx, next)
		return token{kind: tokSpan, span: d, in: in}, next, nil
	}
	if t, next, ok := readSpanish(lx, i); ok {
		return t, next, nil
	}
	w := peek(lx, i+1)
	switch x.s {
	case "right", "straight":
		if w == "now" || w == "away" {
			return token{kind: tokNow}, i + 2, nil
		}
	case "now":
		return token{kind: tokNow}, i + 1, nil
	case "between":
		if kindAt(lx, i+1, lexDigits) || w == "noon" {
			return token{kind: tokBetween}, i + 1, nil
		}
	case "and":
		if kindAt(lx, i-1, lexDigits) || isMeridiem(peek(lx, i-1)) || kindAt(lx, i+1, lexDigits) {
			return token{kind: tokAnd}, i + 1, nil
		}
	case "call":
		if w == "it" {
			return token{kind: tokCall}, i + 2, nil
		}
	case "say", "worst":
		if next, ok := oneOfPhrases(lx, i, []string{"worst case", "say"}); ok && kindAt(lx, next, lexDigits) && i > 0 {
			return token{kind: tokCall}, next, nil
		}
	case "at":
		if next, ok := oneOfPhrases(lx, i, []string{"at the latest", "at latest", "at a push", "at worst", "at the outside"}); ok {
			return token{kind: tokLatest}, next, nil
		}
		if w == "the" && parts[peek(lx, i+2)] != "" {
			return token{kind: tokPart, part: parts[peek(lx, i+2)]}, i + 3, nil
		}
		if w == "night" {
			return token{kind: tokPart, part: night}, i + 2, nil
		}
		return token{kind: tokSep}, i + 1, nil
	case "latest", "tops":
		return token{kind: tokLatest}, i + 1, nil
	case "til", "till", "until", "'til", "to", "thru", "through", "’til", "untill":
		return token{kind: tokTo}, i + 1, nil
	case "for":
		return token{kind: tokFor}, i + 1, nil
	case "start", "kickoff":
		if kindAt(lx, i-1, lexDigits) || isMeridiem(peek(lx, i-1)) { // "5:30am start"
			return token{kind: tokWord, filler: true}, i + 1, nil
		}
		return token{kind: tokLeave}, i + 1, nil
	case "leaving", "leave", "starting", "from", "departing", "meet", "meeting":
		return token{kind: tokLeave}, i + 1, nil
	case "out":
		if kindAt(lx, i+1, lexDigits) || w == "at" || w == "from" {
			if w == "at" || w == "from" {
				return token{kind: tokLeave}, i + 2, nil
			}
			return token{kind: tokLeave}, i + 1, nil
		}
		if w == "for" {
			return token{kind: tokSep}, i + 1, nil
		}
		return token{kind: tokWord, filler: true}, i + 1, nil
	case "noon", "midday":
		return token{kind: tokClock, clock: clock{minutes: 720}}, i + 1, nil
	case "midnight":
		return token{kind: tokClock, clock: clock{midnight: true}}, i + 1, nil
	case "mid":
		if next, ok := theseWords(lx, i, "mid day"); ok {
			return token{kind: tokClock, clock: clock{minutes: 720}}, next, nil
		}
	case "finish", "finishing", "ending", "done":
		next = i + 1
		if w == "by" || w == "at" {
			next++
		}
		if i > 0 && (kindAt(lx, next, lexDigits) || next > i+1) {
			return token{kind: tokTo}, next, nil
		}
	case "a", "p":
		if half, next := meridiem(lx, i); half != "" && next > i+1 {
			return token{kind: tokPart, part: parts[half]}, next, nil
		}
	case "half", "quarter":
		return readSpokenClock(lx, i)
	case "in":
		if w == "the" {
			if p, ok := parts[peek(lx, i+2)]; ok && peek(lx, i+2) != "am" && peek(lx, i+2) != "pm" {
				return token{kind: tokPart, part: p}, i + 3, nil
			}
		}
		return token{kind: tokIn}, i + 1, nil
	case "on":
		return token{kind: tokSep}, i + 1, nil
	case "back", "home", "return", "returning":
		next = i + 1
		if x.s == "home" && w != "by" && w != "before" && w != "for" && w != "in" {
			break // "home beach"
		}
		if w == "home" {
			next++
		}
		if b := peek(lx, next); b == "by" || b == "before" || b == "at" || b == "for" && !forSpan(lx, next+1) {
			next++
		}
		if b := peek(lx, next); b == "until" || b == "till" || b == "til" {
			next++
		}
		return token{kind: tokBack}, next, nil
	case "off":
		if w == "now" {
			return token{kind: tokSep}, i + 1, nil
		}
		if w == "by" || w == "before" {
			return token{kind: tokBack}, i + 2, nil
		}
		if w == "the" && peek(lx, i+2) == "rocks" && (peek(lx, i+3) == "by" || peek(lx, i+3) == "before") {
			return token{kind: tokBack}, i + 4, nil
		}
	case "this", "coming":
		if x.s == "this" && (w == "coming" || w == "comin") {
			if d, ok := weekdays[peek(lx, i+2)]; ok {
				return token{kind: tokDay, day: day{kind: dayWeekday, weekday: d}}, i + 3, nil
			}
		}
		if p, ok := parts[w]; ok && x.s == "this" {
			return token{kind: tokPart, part: p, day: day{kind: dayOffset}}, i + 2, nil
		}
		if d, ok := weekdays[w]; ok {
			return token{kind: tokDay, day: day{kind: dayWeekday, weekday: d}}, i + 2, nil
		}
	case "next":
		if d, ok := weekdays[w]; ok {
			return token{kind: tokDay, day: day{kind: dayNext, weekday: d}}, i + 2, nil
		}
	}
	if p, ok := todays[x.s]; ok {
		return token{kind: tokPart, part: p, day: day{kind: dayOffset}}, i + 1, nil
	}
	if d, ok := weekdays[x.s]; ok {
		if w == "after" && peek(lx, i+2) == "next" || w == "next" {
			return token{kind: tokDay, day: day{kind: dayNext, weekday: d}}, i + 2 + len(w)/5, nil
		}
		if w == "coming" {
			return token{kind: tokDay, day: day{kind: dayWeekday, weekday: d}}, i + 2, nil
		}
		return token{kind: tokDay, day: day{kind: dayWeekday, weekday: d}}, i + 1, nil
	}
	if n, ok := offsets[x.s]; ok {
		return token{kind: tokDay, day: day{kind: dayOffset, n: n}}, i + 1, nil
	}
	if p, ok := parts[x.s]; ok && (!isMeridiem(x.s) || !x.glued) {
		return token{kind: tokPart, part: p}, i + 1, nil
	}
	if m, ok := months[x.s]; ok && kindAt(lx, i+1, lexDigits) && len(w) <= 2 {
		if s := peek(lx, i+2); s != ":" && s != "." && !isMeridiem(s) || !gluedTo(lx, i+2) {
			d := day{kind: dayDate, a: small(w), b: m}
			next = i + 2
			if ordinals[peek(lx, next)] && lx[next].glued {
				next++
			}
			d.year, next = readYear(lx, next)
			return token{kind: tokDay, day: d}, next, nil
		}
	}
	if x.s == "the" { // "the 14th", "the arvo"
		_, weekday := weekdays[w]
		if _, offset := offsets[w]; kindAt(lx, i+1, lexDigits) || weekday || offset || parts[w] != "" || stops[w] != "" {
			return token{kind: tokWord, filler: true}, i + 1, nil
		}
	}
	if slices.Contains(fillers, x.s) {
		return token{kind: tokWord, filler: true}, i + 1, nil
	}
	if why, ok := stops[x.s]; ok {
		return token{kind: tokStop, why: why}, i + 1, nil
	}
	if numberWords[x.s] > 0 || strings.Contains(x.s, "曜") {
		return token{kind: tokStop, why: WhyToken}, i + 1, nil
	}
	if len(x.s) >= 5 {
		for _, target := range slipTargets {
			if gap := len(x.s) - len(target); gap > 2 || gap < -2 {
				continue
			}
			if d := names.Slips(x.s, target); d <= 1 || d == 2 && len(target) >= 6 {
				return token{kind: tokStop, why: WhyToken}, i + 1, nil
			}
		}
	}
	return token{kind: tokWord}, i + 1, nil
}

// spokenBefore are the words for minutes before or after an hour.
var spokenBefore = []struct {
	words   string
	minutes int
}{
	{"half past", 30}, {"half", 30}, {"quarter past", 15}, {"quarter after", 15}, {"quarter to", -15}, {"quarter till", -15}, {"quarter til", -15}, {"quarter of", -15}, {"quarter before", -15},
}

// readSpokenClock reads "quarter to 6", "quarter past 10", "half past 5", "half five". "Half five" is half past five where
// English is spoken and half past four in other languages.
func readSpokenClock(lx []lexeme, i int) (token, int, error) {
	stop := token{kind: tokStop, why: WhyToken}
	for _, s := range spokenBefore {
		if k, ok := theseWords(lx, i, s.words); ok && s.words != "half" {
			switch w := peek(lx, k); w {
			case "midnight", "noon", "midday":
				m := s.minutes
				if w != "midnight" {
					m += 720
				}
				return token{kind: tokClock, clock: clock{minutes: (m + 1440) % 1440}}, k + 1, nil
			}
		}
		at, ok := theseWords(lx, i, s.words)
		hour := small(peek(lx, at))
		if !ok || !kindAt(lx, at, lexDigits) || hour < 1 || hour > 12 {
			continue
		}
		if s := peek(lx, at+1); (s == ":" || s == ".") && gluedTo(lx, at+2) {
			return stop, i + 1, nil
		}
		return minutesFrom(lx, at, hour, s.minutes, s.words == "half")
	}
	return stop, i + 1, nil
}

// minutesFrom is a time so many minutes from the hour at a lexeme.
func minutesFrom(lx []lexeme, at, hour, minutes int, half bool) (token, int, error) {
	m := (hour*60 + minutes + 720) % 720
	ampm, next := meridiem(lx, at+1)
	switch ampm {
	case "am":
		return token{kind: tokClock, clock: clock{minutes: m}}, next, nil
	case "pm":
		return token{kind: tokClock, clock: clock{minutes: m + 720}}, next, nil
	}
	if o := peek(lx, next); o == "o'clock" || o == "oclock" {
		next++
	}
	return token{kind: tokClock, clock: clock{minutes: m, open: true, half: half}}, next, nil
}

func orToken(why Word) Word {
	if why == "" {
		return WhyToken
	}
	return why
}

var ordinals = map[string]bool{"st": true, "nd": true, "rd": true, "th": true}

func isMeridiem(s string) bool { return s == "am" || s == "pm" || s == "a" || s == "p" }

// meridiem reads am, pm, a.m., p.m., and glued a or p.
func meridiem(lx []lexeme, i int) (half string, next int) {
	switch s := peek(lx, i); s {
	case "am", "pm":
		return s, i + 1
	case "a", "p":
		if peek(lx, i+1) == "." && gluedTo(lx, i+1) && peek(lx, i+2) == "m" && gluedTo(lx, i+2) {
			if next = i + 3; peek(lx, next) == "." && gluedTo(lx, next) {
				next++
			}
			return s + "m", next
		}
		if gluedTo(lx, i) {
			return s + "m", i + 1
		}
	}
	return "", i
}

func readYear(lx []lexeme, i int) (year, next int) {
	if kindAt(lx, i, lexDigits) && len(lx[i].s) == 4 && strings.HasPrefix(lx[i].s, "20") && !gluedTo(lx, i+1) {
		return small(lx[i].s), i + 1
	}
	return 0, i
}

// readTimeNumber reads everything that starts with a digit: a date, a clock time, a span.
func readTimeNumber(line string, lx []lexeme, i int) (t token, next int, err error) {
	n, width := small(lx[i].s), len(lx[i].s)
	refuse := func(end int, why Word) (token, int, error) {
		return token{}, 0, &Unread{Said: line[lx[i].at:lx[min(end, len(lx))-1].end], Why: why}
	}
	digits := func(k, most int) bool { return kindAt(lx, k, lexDigits) && lx[k].glued && len(lx[k].s) <= most }
	isGlued := func(k int, s string) bool { return gluedTo(lx, k) && lx[k].s == s }
	// finish refuses a number with something stuck to its end: "5ish", "5x", "10:30:15".
	finish := func(t token, next int) (token, int, error) {
		if gluedTo(lx, next) && (lx[next].kind != lexSymbol || strings.ContainsAny(lx[next].s, ":/%°+'\"") ||
			lx[next].s == "." && digits(next+1, 9)) {
			if w := lx[next].s; w == "ish" && t.kind == tokClock {
				return token{kind: tokStop, why: AskVague}, next + 1, nil
			}
			if _, _, ok := readSpan(lx, next+1); lx[next].s == "+" && ok && t.kind == tokClock {
				return t, next, nil // "5am+3h"
			}
			return refuse(next+1, WhyToken)
		}
		if peek(lx, next) == "-" && gluedTo(lx, next) && peek(lx, next+1) == "ish" {
			return token{kind: tokStop, why: AskVague}, next + 2, nil
		}
		return t, next, nil
	}
	if w := peek(lx, i+1); n == 12 && width == 2 && (w == "noon" || w == "midday" || w == "midnight") {
		return readToken(line, lx, i+1)
	}
	if w := peek(lx, i+1); (w == "past" || w == "after") && kindAt(lx, i+2, lexDigits) && width <= 2 && n < 60 && small(peek(lx, i+2)) >= 1 && small(peek(lx, i+2)) <= 12 {
		return minutesFrom(lx, i+2, small(peek(lx, i+2)), n, false)
	}
	switch {
	case width == 4 && isGlued(i+1, "-") && digits(i+2, 2) && len(lx[i+2].s) == 2 && isGlued(i+3, "-") && digits(i+4, 2) && len(lx[i+4].s) == 2:
		t = token{kind: tokDay, day: day{kind: dayDate, year: n, a: small(lx[i+4].s), b: small(lx[i+2].s), iso: true}}
		if isGlued(i+5, "t") && digits(i+6, 2) { // 2026-03-14T05:00
			return t, i + 6, nil
		}
		return finish(t, i+5)
	case width <= 2 && (isGlued(i+1, ".") || isGlued(i+1, "-")) && digits(i+2, 2) && isGlued(i+3, lx[i+1].s) && digits(i+4, 4) && len(lx[i+4].s) == 4:
		// 14.03.2026, 14-03-2026: written so day first, in all countries that write it
		return finish(token{kind: tokDay, day: day{kind: dayDate, year: small(lx[i+4].s), a: n, b: small(lx[i+2].s)}}, i+5)
	case width <= 2 && isGlued(i+1, "/") && digits(i+2, 2):
		d := day{kind: dayDate, a: n, b: small(lx[i+2].s), slash: true}
		next = i + 3
		if isGlued(next, "/") && digits(next+1, 4) && len(lx[next+1].s)%2 == 0 {
			if d.year = small(lx[next+1].s); d.year < 100 {
				d.year += 2000
			}
			next += 2
		}
		return finish(token{kind: tokDay, day: d}, next)
	case width <= 2 && (isGlued(i+1, ":") || isGlued(i+1, ".")) && digits(i+2, 2) && len(lx[i+2].s) == 2 && (!hourWords[peek(lx, i+3)] || lx[i+1].s == ":" && peek(lx, i+3) == "h"):
		t, next, why := finishClock(lx, i+3, n, small(lx[i+2].s), width == 2)
		if w := peek(lx, next); (w == "h" || w == "hs") && t.kind == tokClock {
			next++ // "05:30 h"
		}
		if why != "" {
			return refuse(next, why)
		}
		return finish(t, next)
	case width <= 2 && isGlued(i+1, "h") && (!gluedTo(lx, i+2) || lx[i+2].kind == lexSymbol || digits(i+2, 2) && len(lx[i+2].s) == 2):
		t = token{kind: tokHours, clock: clock{minutes: n * 60}, span: time.Duration(n) * time.Hour}
		next = i + 2
		if digits(next, 2) {
			m := small(lx[next].s)
			if m > 59 {
				return refuse(next+1, WhyClock)
			}
			t.clock.minutes, t.span, t.clock.padded = n*60+m, t.span+time.Duration(m)*time.Minute, true
			next++
		}
		return finish(t, next)
	}
	if d, next, ok := readSpan(lx, i); ok && !(width == 4 && n >= 100) {
		next, in := fromNow(lx, next)
		return finish(token{kind: tokSpan, span: d, in: in}, next)
	}
	if m, next, ok := dayFirstMonth(lx, i+1); ok && width <= 2 && months[peek(lx, i+1)] == 0 { // "14 de marzo", "14 ago"
		d := day{kind: dayDate, a: n, b: m}
		if year := next + 1; peek(lx, next) == "de" {
			if y, after := readYear(lx, year); y > 0 {
				d.year, next = y, after
			}
		} else {
			d.year, next = readYear(lx, next)
		}
		return finish(token{kind: tokDay, day: d}, next)
	}
	if width <= 2 && i+1 < len(lx) && lx[i+1].glued && ordinals[lx[i+1].s] || width <= 2 && months[peek(lx, i+1)] > 0 {
		d := day{kind: dayOfMonth, a: n}
		next = i + 1
		if ordinals[peek(lx, next)] {
			next++
		}
		if peek(lx, next) == "of" {
			next++
		}
		if m := months[peek(lx, next)]; m > 0 {
			d.kind, d.b = dayDate, m
			next++
			d.year, next = readYear(lx, next)
		}
		return finish(token{kind: tokDay, day: d}, next)
	}
	var why Word
	switch {
	case width <= 2:
		hour, minute, after := spokenMinutes(lx, i+1, n)
		t, next, why = finishClock(lx, after, hour, minute, false)
	case width <= 4:
		after := i + 1
		if width == 4 && hourWords[peek(lx, after)] { // "0500hrs"
			after++
		}
		t, next, why = finishClock(lx, after, n/100, n%100, width == 4)
		if width == 4 && n < 1000 {
			t.clock.open = false
		}
	default:
		return refuse(i+1, WhyToken)
	}
	if why != "" {
		return refuse(next, why)
	}
	if peek(lx, next) == "o'clock" || peek(lx, next) == "oclock" {
		next++
	}
	return finish(t, next)
}

// finishClock makes a clock time of hour and minute and reads am or pm after it. padded: the hour has two digits.
func finishClock(lx []lexeme, i, hour, minute int, padded bool) (t token, next int, why Word) {
	half, next := meridiem(lx, i)
	c := clock{minutes: hour*60 + minute, padded: padded}
	if one, after, ok := spanishHalf(lx, i, hour, minute); ok && minute <= 59 {
		return token{kind: tokClock, clock: one}, after, ""
	}
	switch {
	case minute > 59, hour > 24, hour == 24 && minute > 0:
		return t, next, WhyClock
	case half != "" && (hour < 1 || hour > 12):
		return t, next, WhyClock
	case half == "am":
		c.minutes = hour%12*60 + minute
	case half == "pm":
		c.minutes = (hour%12+12)*60 + minute
	case hour == 24:
		c = clock{midnight: true}
	case hour >= 1 && hour <= 12:
		// "05:30" is the 24-hour clock; "10:30" and "5:30" may be either.
		if c.open = !padded || hour >= 10; c.open {
			c.minutes %= 720
		}
	}
	c.h24 = half == "" && !c.open && (padded || hour > 12)
	return token{kind: tokClock, clock: c}, next, ""
}

// fromNow reads what makes a span one that begins now: "two hours from now".
func fromNow(lx []lexeme, i int) (next int, ok bool) {
	return oneOfPhrases(lx, i, []string{"from now", "from right now"})
}

// forSpan says whether a span follows: "back for 3 hours" is no time to be back.
func forSpan(lx []lexeme, i int) bool {
	_, _, ok := readSpan(lx, i)
	return ok
}
