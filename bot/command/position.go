package command

import (
	"math"
	"strings"

	"ledgehand/conditions/measure"
)

// WhyCoarse refuses a position too rough to send anyone to.
const WhyCoarse Word = "too-coarse"

const positionExample = "38.9142 -123.7275"

// Position reads a point as degrees north and east: "38.9142 -123.7275", "38.9142N 123.7275W",
// "38°54.85' N 123°43.65' W", "38° 54' 51\" N, 123° 43' 39\" W", the letters before or after.
// Without letters the first number is the latitude and a minus means south or west.
// Decimal degrees need three decimals (about 110 m), degrees and minutes need one decimal of a
// minute or seconds: this is read out to rescuers. *Unread never holds the position itself
// (it may end in a log), only the part that could not be read.
func Position(text string) (measure.Position, error) {
	refuse := func(said string, why Word) (measure.Position, error) {
		return measure.Position{}, &Unread{Said: said, Why: why, Example: positionExample}
	}
	if len(text) > MaxLine {
		return refuse("", WhyLong)
	}
	lx := lex(text)
	if len(lx) == 0 {
		return refuse("", WhyEmpty)
	}
	a, i, why := readAngle(lx, 0)
	if why != "" {
		return refuse(symbolAt(lx, i), why)
	}
	if s := peek(lx, i); s == "," || s == ";" {
		i++
	}
	b, i, why := readAngle(lx, i)
	if why != "" {
		return refuse(symbolAt(lx, i), why)
	}
	if i != len(lx) {
		return refuse(symbolAt(lx, i), WhyToken)
	}
	switch {
	case a.axis == 0 && b.axis == 0:
		a.axis, b.axis = 'n', 'e'
	case a.axis == 'e' && b.axis == 'n':
		a, b = b, a
	case a.axis != 'n' || b.axis != 'e':
		return refuse("", WhyClash) // one letter only, or two latitudes
	}
	p := measure.Position{Lat: a.deg, Lon: b.deg}
	if p.Check() != nil {
		return refuse("", WhyRange)
	}
	return p, nil
}

// symbolAt names the lexeme that stopped a reader, but never digits: they may be half a position.
func symbolAt(lx []lexeme, i int) string {
	if kindAt(lx, i, lexDigits) {
		return ""
	}
	return peek(lx, i)
}

type angle struct {
	deg  float64
	axis rune // 'n' for a latitude, 'e' for a longitude, 0 if no letter said so
}

var hemispheres = map[string]struct {
	axis rune
	sign float64
}{
	"n": {'n', 1}, "north": {'n', 1}, "s": {'n', -1}, "south": {'n', -1},
	"e": {'e', 1}, "east": {'e', 1}, "w": {'e', -1}, "west": {'e', -1},
}

func isMinus(s string) bool { return s == "-" || s == "−" || s == "–" }

// readAngle reads one angle from lexeme i on; why is "" when it could.
func readAngle(lx []lexeme, i int) (a angle, next int, why Word) {
	sign, hemisphere := 1.0, false
	if h, ok := hemispheres[peek(lx, i)]; ok {
		a.axis, sign, hemisphere = h.axis, h.sign, true
		i++
	}
	if s := peek(lx, i); isMinus(s) || s == "+" {
		if hemisphere {
			return a, i, WhyClash
		}
		if isMinus(s) {
			sign = -1
		}
		if i++; !gluedTo(lx, i) {
			return a, i, WhyToken
		}
	}
	deg, decimals, i, ok := readDecimal(lx, i)
	if !ok {
		return a, i, WhyNumber
	}
	coarse := decimals < 3
	if s := peek(lx, i); s == "°" || s == "º" || s == "deg" {
		i++
		if minutes, decimals, after, ok := readDecimal(lx, i); ok && isMinuteMark(peek(lx, after)) {
			if coarse = decimals < 1; deg != math.Trunc(deg) || minutes >= 60 {
				return a, i, WhyRange
			}
			deg, i = deg+minutes/60, after+1
			if seconds, _, after, ok := readDecimal(lx, i); ok && isSecondMark(peek(lx, after)) {
				if seconds >= 60 || minutes != math.Trunc(minutes) {
					return a, i, WhyRange
				}
				deg, i, coarse = deg+seconds/3600, after+1, false
			}
		}
	}
	if h, ok := hemispheres[peek(lx, i)]; ok && !hemisphere {
		// A letter that a number follows without a space belongs to that number: "38.9142 W123.7275".
		if !gluedTo(lx, i+1) || peek(lx, i+1) == "," {
			if sign < 0 {
				return a, i, WhyClash // "-38.9 S"
			}
			a.axis, sign = h.axis, h.sign
			i++
		}
	}
	if coarse {
		return a, len(lx), WhyCoarse
	}
	a.deg = sign * deg
	return a, i, ""
}

func isMinuteMark(s string) bool { return s == "'" || s == "′" || s == "’" }
func isSecondMark(s string) bool { return s == `"` || s == "″" || s == "”" }

// readDecimal reads digits with an optional decimal point and says how many decimals there were.
func readDecimal(lx []lexeme, i int) (v float64, decimals, next int, ok bool) {
	if !kindAt(lx, i, lexDigits) || len(lx[i].s) > 6 {
		return 0, 0, i, false
	}
	v = float64(small(lx[i].s))
	if peek(lx, i+1) == "." && gluedTo(lx, i+1) && gluedTo(lx, i+2) && kindAt(lx, i+2, lexDigits) {
		digits := lx[i+2].s
		if decimals = min(len(digits), 9); len(digits) > 15 {
			return 0, 0, i, false
		}
		v += float64(small(digits[:decimals])) / math.Pow10(decimals)
		return v, decimals, i + 3, true
	}
	return v, 0, i + 1, true
}

// Compass words, every 22.5 degrees from north.
var points = []string{"n", "nne", "ne", "ene", "e", "ese", "se", "sse", "s", "ssw", "sw", "wsw", "w", "wnw", "nw", "nnw"}

var pointWords = func() map[string]measure.From {
	m := map[string]measure.From{}
	for i, p := range points {
		m[p] = measure.From(float64(i) * 22.5)
		long := ""
		for _, r := range p {
			long += map[rune]string{'n': "north", 'e': "east", 's': "south", 'w': "west"}[r]
		}
		m[long] = m[p]
	}
	return m
}()

// direction reads degrees true 0 to 360 or a compass word: "280", "280°", "WSW", "north-west".
func direction(said string) (measure.From, bool) {
	word := strings.NewReplacer("-", "", " ", "").Replace(strings.ToLower(said))
	if d, ok := pointWords[word]; ok {
		return d, true
	}
	word = strings.TrimSuffix(strings.TrimSuffix(word, "°"), "deg")
	lx := lex(word)
	v, _, next, ok := readDecimal(lx, 0)
	if !ok || next != len(lx) || v > 360 || strings.Contains(said, "-") {
		return 0, false
	}
	return measure.From(measure.Wrap360(v)), true
}
