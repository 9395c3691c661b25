package command

import (
	"strings"
	"time"
	"unicode/utf8"
)

// BerleyPart is one thing of a recipe; Amount 0 says that nobody said how much.
type BerleyPart struct {
	Amount float64
	Unit   BerleyUnit
	Name   string
}

// BerleyUnit is what an amount counts.
type BerleyUnit string

// The units of a recipe. What has none is counted: "2 loaves stale bread" is two of "loaves stale bread".
const (
	BerleyGrams  BerleyUnit = "g"
	BerleyMillis BerleyUnit = "ml"
	BerleyPieces BerleyUnit = "piece"
)

// BerleyLine is a recipe as typed: what goes in, for how many anglers and how long.
type BerleyLine struct {
	Parts   []BerleyPart
	Anglers int
	Over    time.Duration
}

// BerleyExample is a whole recipe.
const BerleyExample = "4 kg soaked bread, 1 kg bran, 500 g pilchard for 2 anglers 4 hours"

// Bounds of a recipe: beyond them somebody meant another unit (engineering judgement).
const (
	MostBerleyParts  = 12
	MaxBerleyAnglers = 20
	MinBerleyOver    = 15 * time.Minute
	mostBerleyGrams  = 100_000
	mostBerleyMillis = 100_000
	mostBerleyPieces = 200
)

const poundGrams = 453.59237

// Grams and millilitres to each unit people write. The pound is exact (international, 0.45359237 kg); pints, quarts and gallons
// differ between countries and are counted as things.
var berleyUnits = func() map[string]struct {
	unit BerleyUnit
	of   float64
} {
	m := map[string]struct {
		unit BerleyUnit
		of   float64
	}{}
	for of, words := range map[float64]string{
		1000: "kg kgs kilo kilos kilogram kilograms kilogramme kilogrammes kilogramo kilogramos", 1: "g gr gm gms gram grams gramme grammes gramo gramos",
		poundGrams: "lb lbs pound pounds", poundGrams / 16: "oz ounce ounces",
	} {
		for _, w := range strings.Fields(words) {
			m[w] = struct {
				unit BerleyUnit
				of   float64
			}{BerleyGrams, of}
		}
	}
	for of, words := range map[float64]string{1000: "l lt ltr litre litres liter liters litro litros", 1: "ml mls millilitre millilitres milliliter milliliters mililitro mililitros"} {
		for _, w := range strings.Fields(words) {
			m[w] = struct {
				unit BerleyUnit
				of   float64
			}{BerleyMillis, of}
		}
	}
	return m
}()

var (
	berleyAnglers = map[string]bool{
		"angler": true, "anglers": true, "person": true, "persons": true, "people": true, "rod": true, "rods": true, "mate": true, "mates": true, "head": true, "fisher": true, "fishers": true,
		"pescador": true, "pescadores": true, "persona": true, "personas": true, "cana": true, "canas": true,
	}
	berleyFor   = map[string]bool{"for": true, "para": true, "per": true, "por": true, "over": true, "durante": true, "feeds": true}
	berleyJoins = map[string]bool{"for": true, "para": true, "per": true, "por": true, "over": true, "durante": true, "and": true, "y": true, "x": true, "×": true, ",": true, "of": true, "/": true, "feeds": true, "each": true, "cada": true}
	berleyAnd   = map[string]bool{"and": true, "y": true, "e": true, "&": true, "plus": true, "mas": true}
	berleyOf    = map[string]bool{"of": true, "de": true}
	vulgar      = map[string]float64{"½": 0.5, "¼": 0.25, "¾": 0.75, "⅓": 1.0 / 3, "⅔": 2.0 / 3}
)

// Berley reads a recipe such as BerleyExample: amounts with what they are of, parted by commas, "and" or new lines, and for
// how many anglers and how long that is. Weights are kg, g, lb or oz, volumes l or ml, anything else is counted. The decimal
// mark is a point, or a comma between digits ("1,5 kg"); "2 x 500 g" and "1 1/2 kg" are read. A thing without an amount stays
// without one. What cannot be placed is *Unread: an amount read wrongly would be bought.
func Berley(text string) (BerleyLine, error) {
	var out BerleyLine
	refuse := func(said string, why Word) (BerleyLine, error) {
		return BerleyLine{}, &Unread{Said: strings.TrimSpace(said), Why: why, Example: BerleyExample}
	}
	if len(text) > MaxLine {
		return refuse("", WhyLong)
	}
	lines := strings.Split(text, "\n")
	r := berleyReader{text: text, lx: lex(text), breaks: map[int]bool{}}
	if len(r.lx) == 0 {
		return refuse("", WhyEmpty)
	}
	at := 0
	for _, l := range lines[:len(lines)-1] { // a new line parts as a comma does
		at += len(l) + 1
		r.breaks[at] = true
	}
	from, to := 0, len(r.lx)
	// "for 2 anglers 4 hours: ..." says it first, everything else at the end or between commas.
	if berleyFor[peek(r.lx, 0)] {
		for i := range r.lx {
			if r.lx[i].s == ":" {
				if !r.scale(&out, 0, i) {
					return refuse(r.said(0, i), WhyToken)
				}
				from = i + 1
				break
			}
		}
	}
	for i := from; i < to; {
		end := r.chunk(i, to)
		if end == i { // two commas, or one at the end
			i++
			continue
		}
		if bad, why := r.read(&out, i, end); why != "" {
			return refuse(bad, why)
		}
		i = end
	}
	switch {
	case len(out.Parts) == 0:
		return refuse("", WhyNumber)
	case len(out.Parts) > MostBerleyParts:
		return refuse("", WhyLong)
	case out.Anglers == 0:
		return refuse("anglers", WhyMissing)
	case out.Over == 0:
		return refuse("hours", WhyMissing)
	case out.Anglers > MaxBerleyAnglers:
		return refuse("anglers", WhyRange)
	case out.Over < MinBerleyOver || out.Over > MaxSpan:
		return refuse("hours", WhyRange)
	}
	for _, p := range out.Parts {
		if p.Amount > 0 {
			return out, nil
		}
	}
	return refuse("", WhyNumber) // nothing in it that could be scaled
}

// berleyReader walks the lexemes of a recipe.
type berleyReader struct {
	text   string
	lx     []lexeme
	breaks map[int]bool // bytes at which a new line begins
}

func (r berleyReader) said(i, end int) string {
	if i >= end {
		return ""
	}
	return r.text[r.lx[i].at:r.lx[end-1].end]
}

// chunk is where the part that begins at i ends: at a comma that is no decimal mark, a semicolon, a plus, a new line, an
// "and" before an amount, or where another weight begins.
func (r berleyReader) chunk(i, to int) int {
	for k := i; k < to; k++ {
		switch s := r.lx[k].s; {
		case k > i && r.newLine(k):
			return k
		case s == ",":
			if k > i && kindAt(r.lx, k-1, lexDigits) && gluedTo(r.lx, k) && gluedTo(r.lx, k+1) && kindAt(r.lx, k+1, lexDigits) {
				continue
			}
			return k
		case s == ";" || s == "+":
			return k
		case r.andHalf(k, to) > 0: // "a kilo and a half", "4 horas y media"
		case berleyAnd[fold(s)] && k > i:
			if _, next, ok := r.number(k+1, to); ok && next > k+1 {
				return k
			}
		case k > i && kindAt(r.lx, k, lexDigits) && kindAt(r.lx, k-1, lexLetters):
			before := fold(r.lx[k-1].s)
			if _, unit := berleyUnits[before]; r.weightAt(k, to) && !unit && !berleyFor[before] && before != "x" { // "1 lb 8 oz" is one
				return k
			}
		}
	}
	return to
}

// andHalf is how many lexemes at k say "and a half" of the unit before them, 0 for none.
func (r berleyReader) andHalf(k, to int) int {
	if k < 2 || k >= to {
		return 0
	}
	before := fold(r.lx[k-1].s)
	if _, unit := berleyUnits[before]; !unit && !hourWords[before] {
		return 0
	}
	n := 0
	switch {
	case peek(r.lx, k) == "and" && peek(r.lx, k+1) == "a" && peek(r.lx, k+2) == "half":
		n = 3
	case peek(r.lx, k) == "y" && (fold(peek(r.lx, k+1)) == "medio" || fold(peek(r.lx, k+1)) == "media"):
		n = 2
	}
	if _, unit := berleyUnits[fold(peek(r.lx, k+n))]; n == 0 || k+n > to || unit { // "y medio kilo" is an amount of its own
		return 0
	}
	return n
}

// weightAt says whether a number with a unit of weight or volume begins at k.
func (r berleyReader) weightAt(k, to int) bool {
	_, next, ok := r.number(k, to)
	_, unit := berleyUnits[fold(peek(r.lx, next))]
	return ok && next < to && unit
}

// newLine says whether lexeme k is the first of a line.
func (r berleyReader) newLine(k int) bool {
	for at := r.lx[k-1].end; at <= r.lx[k].at; at++ {
		if r.breaks[at] {
			return true
		}
	}
	return false
}

// read reads one chunk: a part, or for how many and how long, or one after the other.
func (r berleyReader) read(out *BerleyLine, i, end int) (bad string, why Word) {
	for i < end && (r.lx[i].s == "," || r.lx[i].s == ";" || r.lx[i].s == "+" || berleyAnd[fold(r.lx[i].s)]) {
		i++
	}
	if i == end {
		return "", ""
	}
	if r.scale(out, i, end) {
		return "", ""
	}
	name := end
	for k := i + 1; k < end; k++ {
		if berleyFor[fold(r.lx[k].s)] && r.scale(out, k, end) {
			name = k
			break
		}
	}
	part, bad, why := r.part(i, name)
	if why == "" {
		out.Parts = append(out.Parts, part)
	}
	return bad, why
}

// part reads "4 kg soaked bread", "500 g of pilchard", "2 loaves", "some bran", "sand".
func (r berleyReader) part(i, end int) (p BerleyPart, bad string, why Word) {
	all := r.said(i, end)
	p.Unit = BerleyPieces
	n, next, ok := r.number(i, end)
	switch {
	case ok:
		if s := fold(peek(r.lx, next)); next < end && (s == "x" || s == "×") { // "2 x 500 g"
			m, after, ok := r.number(next+1, end)
			if !ok {
				return p, all, WhyNumber
			}
			n, next = n*m, after
		}
		p.Amount = n
		if u, known := berleyUnits[fold(peek(r.lx, next))]; known && next < end {
			p.Amount, p.Unit, next = n*u.of, u.unit, next+1
			if more := r.andHalf(next, end); more > 0 {
				p.Amount, next = p.Amount+u.of/2, next+more
			}
			if next < end && r.lx[next].s == "." { // "kg."
				next++
			}
			if m, after, ok := r.number(next, end); ok && u.of == poundGrams && after < end { // "1 lb 8 oz"
				if oz := berleyUnits[fold(r.lx[after].s)]; oz.of == poundGrams/16 {
					p.Amount, next = p.Amount+m*oz.of, after+1
				}
			}
		}
	case kindAt(r.lx, i, lexDigits) || r.lx[i].s == "-" || r.lx[i].s == "." || r.lx[i].s == "−":
		return p, all, WhyNumber
	case r.lx[i].s == "some" || fold(r.lx[i].s) == "algo":
		next = i + 1
	default:
		next = i
	}
	if next < end && berleyOf[fold(r.lx[next].s)] {
		next++
	}
	if next >= end {
		return p, all, WhyOrder // an amount of nothing
	}
	letters := false
	for k := next; k < end; k++ {
		if r.lx[k].kind == lexDigits {
			return p, all, WhyToken // most likely a comma forgotten, or a number that belongs elsewhere
		}
		letters = letters || r.lx[k].kind == lexLetters
	}
	if !letters {
		return p, all, WhyToken
	}
	p.Name = strings.Join(strings.Fields(r.said(next, end)), " ")
	if utf8.RuneCountInString(p.Name) > MaxName {
		return p, p.Name, WhyLong
	}
	if berleyAnglers[fold(p.Name)] || hourWords[fold(p.Name)] || minuteWords[fold(p.Name)] {
		return p, all, WhyOrder
	}
	most := map[BerleyUnit]float64{BerleyGrams: mostBerleyGrams, BerleyMillis: mostBerleyMillis, BerleyPieces: mostBerleyPieces}[p.Unit]
	if ok && (p.Amount <= 0 || p.Amount > most) {
		return p, all, WhyRange
	}
	if !ok {
		p.Unit = ""
	}
	return p, "", ""
}

// number reads an amount: 4, 1.5, 1,5, 1/2, 1 1/2, 1½, half a, a, two.
func (r berleyReader) number(i, end int) (n float64, next int, ok bool) {
	if i >= end {
		return 0, i, false
	}
	word := fold(r.lx[i].s)
	if f, is := vulgar[word]; is {
		return f, i + 1, true
	}
	switch {
	case word == "half" || word == "medio" || word == "media" || word == "quarter":
		n, next = 0.5, i+1
		if word == "quarter" {
			n = 0.25
		}
		if s := peek(r.lx, next); next < end && (s == "a" || s == "an" || s == "of") {
			next++
			if s := peek(r.lx, next); next < end && s == "a" {
				next++
			}
		}
		return n, next, true
	case word == "a" || word == "an":
		return 1, i + 1, true
	case numberWords[word] > 0 || spanishNumbers[word] > 0:
		return float64(max(numberWords[word], spanishNumbers[word])), i + 1, true
	case r.lx[i].kind != lexDigits:
		return 0, i, false
	}
	whole := small(r.lx[i].s)
	if whole < 0 {
		return 0, i, false
	}
	n, next = float64(whole), i+1
	switch mark := peek(r.lx, next); {
	case next+1 < end && (mark == "." || mark == ",") && gluedTo(r.lx, next) && gluedTo(r.lx, next+1) && kindAt(r.lx, next+1, lexDigits):
		digits := r.lx[next+1].s
		if len(digits) > 3 || mark == "," && len(digits) == 3 { // "2,500": thousands to some, a decimal to others
			return 0, i, false
		}
		part := float64(small(digits))
		for range digits {
			part /= 10
		}
		n, next = n+part, next+2
		if s := peek(r.lx, next); next < end && (s == "." || s == ",") && gluedTo(r.lx, next) && gluedTo(r.lx, next+1) && kindAt(r.lx, next+1, lexDigits) {
			return 0, i, false // "1.2.3"
		}
	case next+1 < end && mark == "/" && kindAt(r.lx, next+1, lexDigits):
		under := small(r.lx[next+1].s)
		if under < 2 || under > 100 {
			return 0, i, false
		}
		n, next = n/float64(under), next+2
	case next < end && vulgar[mark] > 0:
		n, next = n+vulgar[mark], next+1
	case next+2 < end && kindAt(r.lx, next, lexDigits) && peek(r.lx, next+1) == "/" && kindAt(r.lx, next+2, lexDigits): // "1 1/2"
		over, under := small(r.lx[next].s), small(r.lx[next+2].s)
		if over < 1 || under <= over || under > 100 {
			return 0, i, false
		}
		n, next = n+float64(over)/float64(under), next+3
	}
	if s := peek(r.lx, next); next < end && (s == "-" || s == "–") && kindAt(r.lx, next+1, lexDigits) {
		return 0, i, false // "4-5 kg": which?
	}
	return n, next, true
}

// scale reads "for 2 anglers 4 hours" whole, in either order, or a half of it; each may be said once in a recipe.
func (r berleyReader) scale(out *BerleyLine, i, end int) bool {
	anglers, over := 0, time.Duration(0)
	one := false // "per angler", "an hour each"
	for i < end {
		word := fold(r.lx[i].s)
		if berleyAnglers[word] && one && anglers == 0 {
			anglers, i, one = 1, i+1, false
			continue
		}
		if hourWords[word] && len(word) > 1 && one && over == 0 {
			over, i, one = time.Hour, i+1, false
			continue
		}
		if d, next, ok := readSpan(r.lx, i); ok && next <= end {
			if over != 0 {
				return false
			}
			over, i = d, next
			continue
		}
		n := small(r.lx[i].s)
		if r.lx[i].kind != lexDigits {
			n = max(numberWords[word], spanishNumbers[word])
			if word == "an" || word == "a" {
				n = 1
			}
		}
		if who := fold(peek(r.lx, i+1)); n > 0 && i+1 < end && anglers == 0 && (berleyAnglers[who] || who == "of" && peek(r.lx, i+2) == "us") {
			anglers, i = n, i+2
			if who == "of" {
				i++
			}
			continue
		}
		if !berleyJoins[word] {
			return false
		}
		one = word == "per" || word == "por" || word == "each" || word == "cada" || one
		i++
	}
	if anglers == 0 && over == 0 || anglers > 0 && out.Anglers > 0 || over > 0 && out.Over > 0 {
		return false
	}
	out.Anglers, out.Over = max(out.Anglers, anglers), max(out.Over, over)
	return true
}
