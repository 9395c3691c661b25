package rules

import (
	"fmt"
	"math/big"
	"strconv"
	"strings"
	"time"
	"unicode"
)

// Length is a length, exact.
type Length struct {
	UM   int    // micrometres
	Said string // as written
}

// Weight is a weight, exact.
type Weight struct {
	UG   int64 // micrograms
	Said string
}

// Number is a number with at most three decimals.
type Number struct{ Milli int64 }

// Micrometres in one unit; the inch is 25.4 mm exactly (International yard and pound agreement, 1959).
var umPer = map[string]int64{"mm": 1_000, "cm": 10_000, "m": 1_000_000, "in": 25_400, "inch": 25_400, "inches": 25_400, "ft": 304_800}

// Micrograms in one unit; the pound is 453.59237 g exactly (same agreement).
var ugPer = map[string]int64{"g": 1_000_000, "kg": 1_000_000_000, "lb": 453_592_370, "lbs": 453_592_370}

const (
	mostUM = 10_000_000        // 10 m: longer than any fish that is caught with a rod
	mostUG = 2_000_000_000_000 // 2 t
)

// quantity reads "12 1/2 in" as an exact number of the smallest units. A value that is none of them is refused, not rounded.
func quantity(said string, per map[string]int64) (int64, Why) {
	s := strings.TrimSpace(said)
	cut := strings.IndexFunc(s, func(r rune) bool { return unicode.IsLetter(r) || r == '"' })
	if cut <= 0 {
		return 0, WhyUnit
	}
	number, unit := strings.TrimSpace(s[:cut]), strings.ToLower(strings.TrimSpace(s[cut:]))
	if unit == `"` {
		unit = "in"
	}
	of, ok := per[unit]
	if !ok {
		return 0, WhyUnit
	}
	sum := new(big.Rat)
	for i, part := range strings.Fields(number) {
		if len(part) > 12 || strings.Trim(part, "0123456789./") != "" || i > 1 || i == 1 && !strings.Contains(part, "/") {
			return 0, WhyNumber
		}
		if _, under, ok := strings.Cut(part, "/"); ok && strings.Trim(under, "0") == "" {
			return 0, WhyNumber // a fraction of nothing
		}
		x, ok := new(big.Rat).SetString(part)
		if !ok {
			return 0, WhyNumber
		}
		sum.Add(sum, x)
	}
	sum.Mul(sum, new(big.Rat).SetInt64(of))
	if !sum.IsInt() {
		return 0, WhyFine
	}
	if !sum.Num().IsInt64() {
		return 0, WhyRange
	}
	return sum.Num().Int64(), ""
}

func (l *Length) read(n *node) error {
	v, why := quantity(n.text, umPer)
	if why == "" && (v < 1_000 || v > mostUM) {
		why = WhyRange
	}
	if n.kind != scalar || why != "" {
		return n.refuse(orWhy(why, WhyUnit), "25 cm, 22 in, 250 mm")
	}
	l.UM, l.Said = int(v), strings.TrimSpace(n.text)
	return nil
}

func (w *Weight) read(n *node) error {
	v, why := quantity(n.text, ugPer)
	if why == "" && (v < 1_000_000 || v > mostUG) {
		why = WhyRange
	}
	if n.kind != scalar || why != "" {
		return n.refuse(orWhy(why, WhyUnit), "6.4 kg, 500 g, 5 lb")
	}
	w.UG, w.Said = v, strings.TrimSpace(n.text)
	return nil
}

func orWhy(a, b Why) Why {
	if a != "" {
		return a
	}
	return b
}

// mostNumber bounds counts and kilograms.
const mostNumber = 10_000

func (x *Number) read(n *node) error {
	whole, part, dotted := strings.Cut(n.text, ".")
	for len(part) < 3 {
		part += "0"
	}
	v, err := strconv.Atoi(whole)
	f, errPart := strconv.Atoi(part)
	if n.kind != scalar || n.quoted || err != nil || errPart != nil || len(part) > 3 || dotted && len(part) == 0 ||
		strings.Trim(whole+part, "0123456789") != "" {
		return n.refuse(WhyNumber, "10")
	}
	if v > mostNumber {
		return n.refuse(WhyRange, "10")
	}
	x.Milli = int64(v)*1000 + int64(f)
	return nil
}

// String is the number with no more decimals than it has.
func (x Number) String() string {
	return strconv.FormatFloat(float64(x.Milli)/1000, 'f', -1, 64)
}

// read takes "bag: 10" for ten fish a person and day.
func (b *Bag) read(n *node) error {
	if n.kind == scalar {
		if err := b.N.read(n); err != nil {
			return err
		}
	} else if err := readStruct(n, b); err != nil {
		return err
	} else if n.field("n") == nil {
		return n.refuse(WhyMissing, "n: 10")
	}
	if b.Unit == "" {
		b.Unit = "fish"
	}
	if b.Per == "" {
		b.Per = "person"
	}
	if b.Period == "" {
		b.Period = Day
	}
	for _, w := range []struct {
		field, said string
		of          []string
	}{{"unit", b.Unit, units}, {"per", b.Per, pers}, {"period", b.Period, periods}} {
		if err := oneOf(n, w.field, w.said, w.of); err != nil {
			return err
		}
	}
	if b.Unit == "fish" && b.N.Milli%1000 != 0 {
		return n.refuse(WhyNumber, "10")
	}
	return nil
}

// Periods a bag is for.
const (
	Day   = "day"      // calendar day of the place
	Any24 = "any 24 h" // rolling
	Trip  = "trip"
	Year  = "year" // calendar year of the place
)

var (
	units   = []string{"fish", "kg"}
	pers    = []string{"person", "licence", "party", "vessel"}
	periods = []string{Day, Any24, Trip, Year}
)

func (a *Amount) read(n *node) error {
	if n.kind == scalar {
		if err := a.N.read(n); err != nil {
			return err
		}
	} else if err := readStruct(n, a); err != nil {
		return err
	} else if n.field("n") == nil {
		return n.refuse(WhyMissing, "n: 8")
	}
	if a.Unit == "" {
		a.Unit = "fish"
	}
	if a.Unit == "fish" && a.N.Milli%1000 != 0 {
		return n.refuse(WhyNumber, "8")
	}
	return oneOf(n, "unit", a.Unit, units)
}

// read takes "equal", "double", or an amount.
func (p *Possession) read(n *node) error {
	if n.kind == scalar {
		switch n.text {
		case "equal":
			p.Times = 1
			return nil
		case "double":
			p.Times = 2
			return nil
		}
	}
	if err := p.Amount.read(n); err != nil {
		if n.kind == scalar {
			return n.refuse(WhyWord, "equal, double, 20")
		}
		return err
	}
	return nil
}

// Date is a day by the calendar, or none.
type Date struct{ time.Time }

func (d *Date) read(n *node) error {
	t, err := time.Parse(time.DateOnly, n.text)
	if n.kind != scalar || err != nil || t.Year() < 1900 || t.Year() > 2200 {
		return n.refuse(WhyDate, "2025-03-01")
	}
	d.Time = t
	return nil
}

// When is a day of every year, or of one.
type When struct {
	Year, Month, Day int // Year 0: every year
	set              bool
}

// EndOfMonth stands for the last day, which of February differs.
var monthNames = []string{"jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"}

func (w *When) read(n *node) error {
	s := strings.ToLower(strings.TrimSpace(n.text))
	bad := n.refuse(WhyDay, "15 Oct, 10-15, end of Feb, 2025-03-14")
	if n.kind != scalar {
		return bad
	}
	if t, err := time.Parse(time.DateOnly, s); err == nil {
		*w = When{t.Year(), int(t.Month()), t.Day(), true}
		return nil
	}
	month := func(s string) int {
		for i, m := range monthNames {
			if len(s) >= 3 && strings.HasPrefix(strings.ToLower(time.Month(i+1).String()), s) || s == m {
				return i + 1
			}
		}
		return 0
	}
	day, mon := 0, 0
	if rest, ok := strings.CutPrefix(s, "end of "); ok {
		if mon = month(rest); mon > 0 {
			day = lastDay(mon)
		}
	} else if a, b, ok := strings.Cut(s, "-"); ok && len(a) == 2 && len(b) == 2 {
		mon, day = atoi(a), atoi(b)
	} else if f := strings.Fields(s); len(f) == 2 {
		day, mon = atoi(f[0]), month(f[1])
	}
	if mon < 1 || mon > 12 || day < 1 || day > lastDay(mon) {
		return bad
	}
	*w = When{0, mon, day, true}
	return nil
}

func atoi(s string) int {
	n, err := strconv.Atoi(s)
	if err != nil {
		return 0
	}
	return n
}

// lastDay is the last day of a month in a leap year: in other years no day comes after 28 February and before 1 March.
func lastDay(month int) int {
	return time.Date(2024, time.Month(month)+1, 0, 0, 0, 0, 0, time.UTC).Day()
}

func (w When) String() string {
	if w.Year != 0 {
		return fmt.Sprintf("%04d-%02d-%02d", w.Year, w.Month, w.Day)
	}
	return fmt.Sprintf("%02d-%02d", w.Month, w.Day)
}

// holds says whether a day lies in it, first and last day included.
func (s Season) holds(day time.Time) bool {
	at := When{day.Year(), int(day.Month()), day.Day(), true}
	if s.From.Year != 0 {
		return !at.before(s.From) && !s.To.before(at)
	}
	at.Year = 0
	if s.To.before(s.From) { // over the new year
		return !at.before(s.From) || !s.To.before(at)
	}
	return !at.before(s.From) && !s.To.before(at)
}

func (w When) before(o When) bool {
	return w.Year*10_000+w.Month*100+w.Day < o.Year*10_000+o.Month*100+o.Day
}
