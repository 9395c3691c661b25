package command

import (
	"math"
	"strings"
	"time"
)

// MaxDuration is the longest span Span reads.
const MaxDuration = 24 * time.Hour

// Span reads a length of time: "30" and "+30 min" (a bare number is minutes), "1h", "1h30",
// "90m", "1.5 hours", "an hour", "half an hour", "an hour and a half", and in Spanish "30 minutos", "una hora", "media
// hora", "hora y media". It answers with one minute
// to MaxDuration; anything else, also anything left over, is *Unread.
func Span(text string) (time.Duration, error) {
	said := strings.TrimSpace(text)
	if len(said) > MaxLine {
		return 0, &Unread{Said: said[:20], Why: WhyLong}
	}
	lx := lex(said)
	refuse := func(why Word) (time.Duration, error) {
		return 0, &Unread{Said: said, Why: why, Example: "1h30"}
	}
	if len(lx) == 0 {
		return refuse(WhyEmpty)
	}
	i := 0
	if lx[0].s == "+" {
		i = 1
	}
	d, next, ok := readSpan(lx, i)
	if !ok && i == len(lx)-1 && lx[i].kind == lexDigits {
		if n := small(lx[i].s); n >= 0 {
			d, next, ok = time.Duration(n)*time.Minute, i+1, true
		}
	}
	if !ok || next != len(lx) {
		return refuse(WhyToken)
	}
	if d < time.Minute || d > MaxDuration {
		return refuse(WhyRange)
	}
	return d, nil
}

var (
	hourWords   = map[string]bool{"h": true, "hr": true, "hrs": true, "hour": true, "hours": true, "hora": true, "horas": true}
	minuteWords = map[string]bool{"m": true, "min": true, "mins": true, "minute": true, "minutes": true, "minuto": true, "minutos": true}
)

// readSpan reads a span with a unit from lexeme i on and says which lexeme comes after it.
// Spans above 1000 hours are not ok; the caller has its own, lower limit.
func readSpan(lx []lexeme, i int) (d time.Duration, next int, ok bool) {
	switch word := peek(lx, i); {
	case word == "half":
		i++
		if w := peek(lx, i); w == "an" || w == "a" {
			i++
		}
		return 30 * time.Minute, i + 1, peek(lx, i) == "hour"
	case word == "media":
		return 30 * time.Minute, i + 2, peek(lx, i+1) == "hora"
	case word == "hora" && peek(lx, i+1) == "y":
		more, next := andPart(lx, i+1)
		return time.Hour + more, next, more > 0
	case word == "an" || word == "a" || numberWords[word] > 0 || spanishNumbers[word] > 0:
		n := max(numberWords[word], spanishNumbers[word], 1)
		i++
		if next, ok := halfMore(lx, i); ok && numberWords[word] > 0 {
			return time.Duration(n)*time.Hour + 30*time.Minute, next, true
		}
		switch unit := peek(lx, i); {
		case hourWords[unit] && len(unit) > 1:
			d, i = time.Duration(n)*time.Hour, i+1
			if peek(lx, i) == "and" && peek(lx, i+1) == "a" && peek(lx, i+2) == "half" {
				d, i = d+30*time.Minute, i+3
			}
			more, next := andPart(lx, i)
			return d + more, next, true
		case minuteWords[unit] && len(unit) > 1:
			return time.Duration(n) * time.Minute, i + 1, true
		}
		return 0, i, false
	case !kindAt(lx, i, lexDigits):
		return 0, i, false
	}
	whole := small(lx[i].s)
	if whole < 0 || whole > 60_000 {
		return 0, i, false
	}
	i++
	if next, ok := halfMore(lx, i); ok && whole <= 1000 {
		return time.Duration(whole)*time.Hour + 30*time.Minute, next, true
	}
	fraction := 0.0
	if peek(lx, i) == "." && gluedTo(lx, i) && gluedTo(lx, i+1) && kindAt(lx, i+1, lexDigits) && len(peek(lx, i+1)) <= 2 {
		fraction = float64(small(peek(lx, i+1))) / math.Pow10(len(peek(lx, i+1)))
		i += 2
	}
	of := func(unit time.Duration) time.Duration {
		return time.Duration((float64(whole) + fraction) * float64(unit)).Round(time.Minute)
	}
	switch unit := peek(lx, i); {
	case hourWords[unit] && whole <= 1000:
		d, i = of(time.Hour), i+1
		if fraction != 0 || !kindAt(lx, i, lexDigits) {
			more, next := andPart(lx, i)
			return d + more, next, true
		}
		// "1h30", "1h30m", "1 h 30 min"; but "1h 30" stops after the hour unless a unit follows.
		minutes, unit := small(lx[i].s), peek(lx, i+1)
		switch {
		case minuteWords[unit] && minutes >= 0 && minutes < 60:
			return d + time.Duration(minutes)*time.Minute, i + 2, true
		case lx[i].glued && len(lx[i].s) == 2 && minutes < 60:
			return d + time.Duration(minutes)*time.Minute, i + 1, true
		case lx[i].glued:
			return 0, i, false // "1h3", "1h300"
		}
		return d, i, true
	case minuteWords[unit]:
		return of(time.Minute), i + 1, true
	}
	return 0, i, false
}

// halfMore reads the half that stands between a number and its hours: "two and a half hours", "2½ hours", "2 1/2 h".
func halfMore(lx []lexeme, i int) (next int, ok bool) {
	switch {
	case peek(lx, i) == "and" && peek(lx, i+1) == "a" && peek(lx, i+2) == "half":
		i += 3
	case peek(lx, i) == "½":
		i++
	case peek(lx, i) == "1" && peek(lx, i+1) == "/" && peek(lx, i+2) == "2" && !gluedTo(lx, i):
		i += 3
	default:
		return i, false
	}
	return i + 1, hourWords[peek(lx, i)]
}

// andPart reads what Spanish adds to whole hours: "y media", "y cuarto".
func andPart(lx []lexeme, i int) (more time.Duration, next int) {
	switch peek(lx, i) + " " + peek(lx, i+1) {
	case "y media":
		return 30 * time.Minute, i + 2
	case "y cuarto":
		return 15 * time.Minute, i + 2
	}
	return 0, i
}
