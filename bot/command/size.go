package command

import (
	"math"
	"strings"
)

// Units is what a bare number of a group means.
type Units string

// The units a group can keep.
const (
	Metric   Units = "metric"   // a bare fish length is centimetres
	Imperial Units = "imperial" // a bare fish length is inches
)

// Unit is the unit somebody typed, kept so that the echo can speak it.
type Unit string

// The units read.
const (
	Millimetre Unit = "mm"
	Centimetre Unit = "cm"
	Metre      Unit = "m"
	Inch       Unit = "in"
	Foot       Unit = "ft"
)

// Micrometres in one unit. The inch is 25.4 mm exactly (International yard and pound agreement, 1959).
var micrometres = map[Unit]float64{Millimetre: 1e3, Centimetre: 1e4, Metre: 1e6, Inch: 25_400, Foot: 304_800}

// The lengths a fish can have that Length reads.
const (
	MinLengthUM = 10_000    // 1 cm
	MaxLengthUM = 5_000_000 // 5 m
)

// Size is the length of a fish. It is held in micrometres because rules in inches are compared
// without rounding: 22 in is 558.8 mm, and 558 mm is short; a sixteenth of an inch is kept to 1 µm.
type Size struct {
	UM   int  `json:"um"`   // micrometres
	Unit Unit `json:"unit"` // as typed, or the group's for a bare number
}

// MM is the length in millimetres.
func (s Size) MM() float64 { return float64(s.UM) / 1000 }

// Length reads one fish length: "31" (in the group's unit), "31 cm", "310mm", "1.04m", "12in",
// `12"`, "12 1/2 in", "16¾", "3ft 2in". It answers with MinLengthUM to MaxLengthUM; everything else is *Unread.
func Length(text string, units Units) (Size, error) {
	said := strings.TrimSpace(text)
	if len(said) > MaxLine {
		return Size{}, &Unread{Said: said[:20], Why: WhyLong}
	}
	refuse := func(why Word) (Size, error) {
		example := "31 cm"
		if units == Imperial {
			example = "12 1/2 in"
		}
		return Size{}, &Unread{Said: said, Why: why, Example: example}
	}
	lx := lex(said)
	if len(lx) == 0 {
		return refuse(WhyEmpty)
	}
	q, next, ok := readQuantity(lx, 0)
	switch {
	case !ok || q.more:
		return refuse(WhyNumber)
	case next != len(lx):
		return refuse(WhyToken)
	}
	size, ok := q.size(units)
	if !ok {
		return refuse(WhyUnit)
	}
	if size.UM < MinLengthUM || size.UM > MaxLengthUM {
		return refuse(WhyRange)
	}
	return size, nil
}

// quantity is a number with what was said about it.
type quantity struct {
	v     float64
	unit  string // "" bare; a Unit, or "kg", "g", "lb" (ounces are already in v)
	whole bool   // no fraction was typed
	more  bool   // "30+", "32ish"
}

func (q quantity) size(units Units) (Size, bool) {
	unit := Unit(q.unit)
	if q.unit == "" {
		unit = Centimetre
		if units == Imperial {
			unit = Inch
		}
	}
	per, ok := micrometres[unit]
	if !ok || !(q.v >= 0 && q.v < 1e6) {
		return Size{}, false
	}
	return Size{UM: int(math.Round(q.v * per)), Unit: unit}, true
}

// Grams in one unit; the pound is 453.59237 g exactly (same agreement as the inch).
var grams = map[string]float64{"kg": 1000, "g": 1, "lb": 453.59237}

// grams is the weight, rounded to one gram.
func (q quantity) grams() (int, bool) {
	per, ok := grams[q.unit]
	if g := q.v * per; ok && g >= 1 && g < 1e6 {
		return int(math.Round(g)), true
	}
	return 0, false
}

var unitWords = map[string]string{
	"metre": "m", "metres": "m", "meter": "m", "meters": "m", "mtr": "m", "mm": "mm", "cm": "cm", "cms": "cm", "m": "m", "in": "in", "inch": "in", "inches": "in", `"`: "in", "″": "in", "”": "in",
	"ft": "ft", "foot": "ft", "feet": "ft", "'": "ft", "′": "ft", "’": "ft",
	"kg": "kg", "kgs": "kg", "kilo": "kg", "kilos": "kg", "g": "g", "gr": "g", "grams": "g",
	"lb": "lb", "lbs": "lb", "pound": "lb", "pounds": "lb", "oz": "oz",
}

// Words that may stand after "31 in" so that "in" is still the unit and not the start of "in the wash".
var afterInch = map[string]bool{"kept": true, "released": true, "tl": true, "fl": true, "and": true, "x": true}

// What may stand after "4lb 6" so that the 6 is ounces and not the next number.
var afterOunces = map[string]bool{",": true, ";": true, ".": true, "&": true, ")": true, "/": true, "!": true, "and": true, "kept": true, "released": true, "returned": true, "back": true, "put": true, "went": true}

var glyphs = map[string]float64{"½": 0.5, "¼": 0.25, "¾": 0.75}

// readQuantity reads a number, its fraction, its unit and "+" or "ish" from lexeme i on.
func readQuantity(lx []lexeme, i int) (q quantity, next int, ok bool) {
	q, i, ok = readNumber(lx, i)
	if !ok {
		return q, i, false
	}
	unit, isUnit := unitWords[peek(lx, i)]
	if isUnit && peek(lx, i) == "in" && !lx[i].glued {
		if kindAt(lx, i+1, lexLetters) && !afterInch[lx[i+1].s] {
			isUnit = false
		}
	}
	if isUnit {
		if unit == "oz" {
			return q, i, false // ounces stand only after pounds here
		}
		q.unit = unit
		i++
		// The lesser unit after the greater: "3ft 2in", "2lb 4oz"; "4lb 6" is 4 lb 6 oz.
		per, lesser := 12.0, "in"
		if unit == "lb" {
			per, lesser = 16, "oz"
		}
		if (unit == "ft" || unit == "lb") && q.whole && kindAt(lx, i, lexDigits) {
			rest, after, restOK := readNumber(lx, i)
			said := unitWords[peek(lx, after)] == lesser
			bare := unit == "lb" && (after == len(lx) || afterOunces[peek(lx, after)])
			if restOK && rest.v < per && (said || bare) {
				q.v, q.whole = q.v+rest.v/per, false
				if i = after; said {
					i++
				}
			}
		}
	}
	switch {
	case peek(lx, i) == "+" && gluedTo(lx, i), peek(lx, i) == "ish" && gluedTo(lx, i):
		q.more = true
		i++
	}
	if gluedTo(lx, i) && (kindAt(lx, i, lexLetters) || kindAt(lx, i, lexDigits)) {
		return q, i, false // "31kept", "5x": not ours to take apart
	}
	return q, i, true
}

// readNumber reads "31", "31.5", "1,2" (one digit after a comma: a decimal comma), "12 1/2", "12½".
func readNumber(lx []lexeme, i int) (q quantity, next int, ok bool) {
	if !kindAt(lx, i, lexDigits) || len(lx[i].s) > 7 {
		return q, i, false
	}
	q.v, q.whole = float64(small(lx[i].s)), true
	i++
	if s := peek(lx, i); (s == "." || s == ",") && gluedTo(lx, i) && gluedTo(lx, i+1) && kindAt(lx, i+1, lexDigits) {
		digits := lx[i+1].s
		list := s == "," && (len(digits) != 1 || peek(lx, i+2) == "," && gluedTo(lx, i+2) && gluedTo(lx, i+3))
		if !list {
			if len(digits) > 3 {
				return q, i, false
			}
			q.v += float64(small(digits)) / math.Pow10(len(digits))
			q.whole = false
			return q, i + 2, true
		}
	}
	if part, isGlyph := glyphs[peek(lx, i)]; isGlyph {
		q.v, q.whole = q.v+part, false
		return q, i + 1, true
	}
	if peek(lx, i+1) == "/" && kindAt(lx, i, lexDigits) && kindAt(lx, i+2, lexDigits) && !lx[i].glued && gluedTo(lx, i+1) && gluedTo(lx, i+2) {
		over, under := small(lx[i].s), small(lx[i+2].s)
		if (under == 2 || under == 4 || under == 8 || under == 16) && over > 0 && over < under && peek(lx, i+3) != "/" {
			q.v, q.whole = q.v+float64(over)/float64(under), false
			return q, i + 3, true
		}
	}
	return q, i, true
}
