package command

import (
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"ledgehand/conditions/measure"
)

// MaxName is the most characters the name of a ledge may have: it goes into titles and buttons.
const MaxName = 40

// Signal says what a phone can do on the ledge.
type Signal string

// The kinds of signal.
const (
	SignalNo   Signal = "no"
	SignalWeak Signal = "weak"
	SignalYes  Signal = "yes"
)

// Sector is the arc a ledge lies open to, clockwise from one direction to the other, degrees true.
type Sector struct {
	From measure.From `json:"from"`
	To   measure.From `json:"to"`
}

// LedgeFields is what a ledge line gave. A nil field was not given.
type LedgeFields struct {
	Name    string
	At      *measure.Position // exact: never to be logged
	Lip     *measure.Metres   // height of the lip above the tide datum
	Faces   *measure.From     // the direction the ledge looks to
	Open    *Sector           // where waves can come from
	Foot    *measure.Metres   // depth of the water at the foot, below the tide datum
	Slope   *float64          // of the face, as cot of its angle: 0 is a wall, 2 is one up in two out
	Gate    *measure.Metres   // tide height above which the walk-in is shut
	Signal  *Signal
	Number  *string // whom to call there
	Station *string // id of the tide station
	Walk    *time.Duration
	People  *int    // as many as it takes
	Zone    *string // IANA name
	// What the heights were said to be counted from, where that was said: NAVD88, MSL.
	LipDatum, FootDatum, GateDatum string
}

// LedgeKeywords are the words a ledge line is built of, in the order of the card.
var LedgeKeywords = []string{"at", "lip", "faces", "open", "foot", "slope", "gate", "signal", "number", "station", "walkout", "people", "timezone"}

// LedgeExample is a whole ledge line.
const LedgeExample = "Anvil at 38.9142 -123.7275 lip 4.2 faces 280 open 200-340 foot 6 slope wall gate 1.4 walkout 25 signal no number 911"

// LedgeCard reads a ledge typed in one go, such as LedgeExample: a name, then keywords in any
// order, each with its value. Heights are metres unless "ft" follows; directions are degrees true
// or compass words; slope is "wall", "1:2" (one up, two out) or "45°"; walkout is minutes, or "1h". A height may name what
// it is counted from, "lip 4.2 NAVD88". A word that is no keyword, a keyword twice or a value that cannot be is *Unread.
func LedgeCard(text string) (LedgeFields, error) {
	var out LedgeFields
	name, list, err := fields(text, LedgeKeywords)
	if err != nil {
		return out, err
	}
	if name == "" {
		return out, &Unread{Why: WhyMissing, Said: "name", Example: LedgeExample}
	}
	if utf8.RuneCountInString(name) > MaxName {
		return out, &Unread{Said: name, Why: WhyLong}
	}
	out.Name = name
	for _, f := range list {
		if len(f.value) == 0 {
			return LedgeFields{}, &Unread{Said: f.key, Why: WhyMissing, Example: LedgeExample}
		}
		if err := out.set(f.key, f.value); err != nil {
			return LedgeFields{}, err
		}
	}
	return out, nil
}

// Heights a card can have, in metres: beyond them somebody meant another unit or another field.
var heightLimits = map[string][2]float64{"lip": {-1, 60}, "foot": {-2, 200}, "gate": {-3, 20}}

func (l *LedgeFields) set(key string, value []string) error {
	said := strings.Join(value, " ")
	refuse := func(why Word) error {
		e := &Unread{Said: key + " " + said, Why: why, Example: LedgeExample}
		if key == "number" { // a phone number has no place in an error
			e.Said = key
		}
		return e
	}
	extra := func(used int) error {
		if used < len(value) {
			return &Unread{Said: value[used], Why: WhyKeyword, Known: LedgeKeywords}
		}
		return nil
	}
	switch key {
	case "at":
		p, err := Position(said)
		if err != nil {
			return err
		}
		l.At = &p
	case "lip", "foot", "gate":
		m, used, why := height(value)
		if why != "" {
			return refuse(why)
		}
		if limit := heightLimits[key]; !(float64(m) >= limit[0] && float64(m) <= limit[1]) {
			return refuse(WhyRange)
		}
		*map[string]**measure.Metres{"lip": &l.Lip, "foot": &l.Foot, "gate": &l.Gate}[key] = &m
		datum := value[used:]
		if len(datum) > 0 && (strings.EqualFold(datum[0], "above") || strings.EqualFold(datum[0], "below")) {
			datum = datum[1:]
		}
		if len(datum) == 1 && isDatum(datum[0]) {
			*map[string]*string{"lip": &l.LipDatum, "foot": &l.FootDatum, "gate": &l.GateDatum}[key] = strings.ToUpper(datum[0])
			return nil
		}
		return extra(used)
	case "faces":
		d, used, ok := directionWords(value)
		if !ok {
			return refuse(WhyToken)
		}
		l.Faces = &d
		return extra(used)
	case "open":
		s, ok := sector(said)
		if !ok {
			return refuse(WhyToken)
		}
		l.Open = &s
	case "slope":
		cot, ok := slope(said)
		if !ok {
			return refuse(WhyToken)
		}
		l.Slope = &cot
	case "signal":
		s, ok := map[string]Signal{
			"no": SignalNo, "none": SignalNo, "weak": SignalWeak, "some": SignalWeak, "poor": SignalWeak,
			"yes": SignalYes, "good": SignalYes,
		}[strings.ToLower(value[0])]
		if !ok {
			return refuse(WhyToken)
		}
		l.Signal = &s
		return extra(1)
	case "number":
		digits := 0
		for i, r := range said {
			switch {
			case isDigit(r):
				digits++
			case r == '+' && i == 0, strings.ContainsRune(" -()", r):
			default:
				return refuse(WhyToken)
			}
		}
		if digits < 2 || digits > 15 { // 15: ITU-T E.164
			return refuse(WhyRange)
		}
		l.Number = &said
	case "walkout":
		d, err := Span(said)
		if err != nil || d < time.Minute || d > 10*time.Hour {
			return refuse(WhyRange)
		}
		l.Walk = &d
	case "people":
		n, err := strconv.Atoi(value[0])
		if err != nil || n < 1 || n > 100 {
			return refuse(WhyRange)
		}
		l.People = &n
		return extra(1)
	case "timezone":
		if _, err := time.LoadLocation(value[0]); err != nil || strings.EqualFold(value[0], "local") {
			return refuse(WhyToken)
		}
		l.Zone = &value[0]
		return extra(1)
	case "station":
		if len(value[0]) > 120 {
			return refuse(WhyLong)
		}
		l.Station = &value[0]
		return extra(1)
	}
	return nil
}

// The names of datums that tide stations have. Which of them a station knows the height of is not known here.
var datums = []string{
	"MSL", "MTL", "MLLW", "MLW", "MHW", "MHHW", "MLWS", "MHWS", "LAT", "HAT", "CD", "NLLW", "LLWLT", "TLT", "NAVD88", "STND",
}

func isDatum(s string) bool { return slices.Contains(datums, strings.ToUpper(s)) }

// height reads "4.2", "4.2m", "14 ft", "-0.5 m".
func height(value []string) (m measure.Metres, used int, why Word) {
	word := value[0]
	sign := 1.0
	if rest, found := strings.CutPrefix(strings.ReplaceAll(word, "−", "-"), "-"); found {
		sign, word = -1, rest
	}
	lx := lex(word)
	v, _, next, ok := readDecimal(lx, 0)
	if !ok {
		return 0, 0, WhyNumber
	}
	unit, used := "", 1
	switch {
	case next == len(lx)-1:
		unit = lx[next].s
	case next != len(lx):
		return 0, 0, WhyNumber
	case len(value) > 1:
		if _, isUnit := unitWords[strings.ToLower(value[1])]; isUnit {
			unit, used = strings.ToLower(value[1]), 2
		}
	}
	switch {
	case unit == "":
	case unitWords[unit] == "ft":
		v *= 0.3048 // exact
	case unitWords[unit] != "m" && unit != "metres" && unit != "meters":
		return 0, 0, WhyUnit
	}
	return measure.Metres(sign * v), used, ""
}

// directionWords reads one direction that may be two words, "north west".
func directionWords(value []string) (measure.From, int, bool) {
	if len(value) > 1 {
		if d, ok := direction(value[0] + value[1]); ok && !strings.ContainsAny(value[0]+value[1], "0123456789") {
			return d, 2, true
		}
	}
	d, ok := direction(value[0])
	return d, 1, ok
}

// sector reads "200-340", "200 340", "200 to 340", "SW-NNW".
func sector(said string) (Sector, bool) {
	said = strings.NewReplacer("–", "-", " to ", "-", " - ", "-").Replace(said)
	from, to, found := strings.Cut(said, "-")
	if !found {
		from, to, found = strings.Cut(said, " ")
	}
	a, okA := direction(strings.TrimSpace(from))
	b, okB := direction(strings.TrimSpace(to))
	return Sector{From: a, To: b}, found && okA && okB && a != b
}

// slope reads "wall", "1:2" or "45°" as the cotangent of the angle.
func slope(said string) (cot float64, ok bool) {
	said = strings.ToLower(said)
	if said == "wall" || said == "vertical" {
		return 0, true
	}
	lx := lex(said)
	v, _, next, ok := readDecimal(lx, 0)
	if !ok {
		return 0, false
	}
	switch peek(lx, next) {
	case ":":
		out, _, end, ok := readDecimal(lx, next+1)
		return out / v, ok && end == len(lx) && v > 0 && out/v <= 20
	case "°", "º", "deg", "degrees":
		return cotangent(v), next+1 == len(lx) && v >= 3 && v <= 90
	}
	return 0, false // a bare number: degrees, or a ratio?
}
