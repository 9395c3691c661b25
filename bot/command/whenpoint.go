package command

import (
	"slices"
	"strings"
	"time"
)

// How people say times that hang on the tide or the light: "an hour before low", "2h either side of high", "last two hours
// of the ebb", "hw-2", "sunset plus an hour". The words are common practice, no source; in Spanish those of the Real
// Academia Española, Diccionario: bajamar, pleamar, alba, ocaso.

// theseWords says whether the words of a phrase stand from lexeme i on, and what comes after them. A hyphen may join them.
func theseWords(lx []lexeme, i int, phrase string) (next int, ok bool) {
	if i < 0 || i >= len(lx) || lx[i].s[0] < 0x80 && lx[i].s[0] != phrase[0] {
		return i, false // nearly always
	}
	for n, w := 0, ""; phrase != ""; n++ {
		w, phrase, _ = strings.Cut(phrase, " ")
		if n > 0 && peek(lx, i) == "-" && gluedTo(lx, i) && gluedTo(lx, i+1) {
			i++
		}
		if i >= len(lx) || lx[i].s != w && fold(strings.ReplaceAll(lx[i].s, "’", "'")) != w {
			return i, false
		}
		i++
	}
	return i, true
}

// oneOfPhrases finds the first of several phrases that stands there.
func oneOfPhrases(lx []lexeme, i int, phrases []string) (next int, ok bool) {
	for _, ph := range phrases {
		if next, ok = theseWords(lx, i, ph); ok {
			return next, true
		}
	}
	return i, false
}

// anchors are the words for the turns of the tide and the times of the sun, longest first.
var anchors = func() (out []struct {
	phrase string
	pt     point
}) {
	add := func(pt point, phrases ...string) {
		for _, ph := range phrases {
			out = append(out, struct {
				phrase string
				pt     point
			}{ph, pt})
		}
	}
	for turn, words := range map[Turn][]string{
		NextLow:  {"low", "dead low", "slack low", "bottom of the", "lw", "lowtide", "bajamar", "baixa mar", "baixamar", "marea baja", "mare baixa", "maree basse", "basse mer"},
		NextHigh: {"high", "dead high", "slack high", "top of the", "hw", "hightide", "pleamar", "preia mar", "preamar", "marea alta", "mare alta", "mare cheia", "maree haute", "pleine mer"},
	} {
		for _, w := range words {
			of := strings.HasSuffix(w, " the")
			for _, after := range []string{" water slack", " slack water", " tide", " water", " slack", " tides", " ebb", " flood", " run out", " run in", ""} {
				run := slices.Contains([]string{" ebb", " flood", " run out", " run in"}, after)
				if of && (after == "" || strings.Contains(after, "slack") || strings.Contains(after, "tides")) || run && !of || after == " tides" {
					continue
				}
				add(point{turn: turn}, w+after)
			}
		}
	}
	add(point{light: FirstLight}, "crack of dawn", "first light", "break of day", "day break", "daybreak", "sparrow's fart", "sparrows fart", "sparrow fart", "sparrow's",
		"sparrows", "dawn", "alba", "amanecer", "primera luz", "aube", "firstlight", "que amanezca", "amanhecer")
	add(point{light: Sunrise}, "sun rise", "sunrise", "sun up", "sunup", "salida del sol", "nascer do sol", "lever du soleil")
	add(point{light: Sunset}, "sun set", "sunset", "sun down", "sundown", "puesta del sol", "puesta de sol", "ocaso", "por do sol", "coucher du soleil")
	add(point{light: LastLight}, "last light", "lastlight", "it gets dark", "it's dark", "it is dark", "its dark", "dark", "dusk", "nightfall", "anochecer", "que anochezca", "que oscurezca", "ultima luz", "crepuscule")
	slices.SortStableFunc(out, func(a, b struct {
		phrase string
		pt     point
	}) int {
		if d := len(b.phrase) - len(a.phrase); d != 0 {
			return d
		}
		return strings.Compare(a.phrase, b.phrase)
	})
	return out
}()

// readAnchor reads a turn of the tide or a time of the sun, with an article before it.
func readAnchor(lx []lexeme, i int) (pt point, next int, ok bool) {
	for slices.Contains([]string{"the", "la", "el", "l", "del", "al", "da", "do", "a", "o"}, fold(peek(lx, i))) {
		i++
	}
	if in := parts[fold(peek(lx, i))]; in != "" {
		if pt, next, ok = readAnchor(lx, i+1); ok && pt.turn != "" && pt.in == "" {
			pt.in = in
			return pt, next, true
		}
		return point{}, i, false
	}
	for _, a := range anchors {
		if next, ok := theseWords(lx, i, a.phrase); ok {
			if w := peek(lx, next); a.pt.light != "" && w == "patrol" { // "dawn patrol" is no time
				return pt, i, false
			}
			return a.pt, next, true
		}
	}
	return pt, i, false
}

// Words for the tide between its turns.
var (
	ebbWords = []string{"ebb tide", "ebbing tide", "ebb", "run out tide", "run out", "runout", "outgoing tide", "outgoing", "falling tide", "dropping tide",
		"going out", "vaciante", "bajante", "reflujo", "marea bajando", "vazante"}
	floodWords = []string{"flood tide", "flooding tide", "flood", "run in tide", "run in", "runin", "incoming tide", "incoming", "making tide", "rising tide", "pushing tide",
		"push", "creciente", "llenante", "flujo", "marea subiendo", "enchente"}
	tideWords = []string{"slack water", "slack tide", "slack", "turn of the tide", "change of tide", "change of the tide", "tide turns", "tide change", "making", "pushing", "ebbing",
		"flooding", "tide", "tides", "springs", "neaps", "marea", "mareas", "mare", "half tide", "mid tide"}
)

// readStage reads the tide between two turns: the turn that it runs to.
func readStage(lx []lexeme, i int) (to Turn, next int, ok bool) {
	if w := peek(lx, i); w == "the" || w == "la" || w == "el" {
		i++
	}
	if next, ok = oneOfPhrases(lx, i, ebbWords); ok {
		return NextLow, next, true
	}
	if next, ok = oneOfPhrases(lx, i, floodWords); ok {
		return NextHigh, next, true
	}
	return "", i, false
}

// longestOffset is how far from a turn or a time of the sun people count.
const longestOffset = 8 * time.Hour

// readAway reads how far from the tide or the light: a span, and where only hours can be meant a bare number too.
func readAway(lx []lexeme, i int) (d time.Duration, next int, ok bool) {
	if w := peek(lx, i); w == "hour" || w == "hr" || w == "hora" {
		return time.Hour, i + 1, true // "hour either side of low"
	}
	if next, ok := oneOfPhrases(lx, i, []string{"half hour", "half an hour", "media hora"}); ok {
		return 30 * time.Minute, next, true
	}
	if d, next, ok := readSpan(lx, i); ok {
		return d, next, d > 0 && d <= longestOffset
	}
	if kindAt(lx, i, lexDigits) && len(lx[i].s) == 1 && small(lx[i].s) > 0 && !goesOn(lx, i+1) {
		return time.Duration(small(lx[i].s)) * time.Hour, i + 1, true
	}
	if n := numberWords[peek(lx, i)]; n > 0 && n <= 8 {
		return time.Duration(n) * time.Hour, i + 1, true
	}
	return 0, i, false
}

// goesOn says whether something stuck to a number makes more of it: "2nd", "2:30", "2.5", but not the stop at a line's end.
func goesOn(lx []lexeme, i int) bool {
	return gluedTo(lx, i) && (lx[i].kind != lexSymbol || gluedTo(lx, i+1) && kindAt(lx, i+1, lexDigits) || strings.ContainsAny(lx[i].s, ":/%°"))
}

var (
	beforeWords = []string{"before", "b4", "pre", "prior to", "antes de", "antes del", "antes da", "antes do", "avant", "off"}
	afterWords  = []string{"after", "past", "post", "despues de", "despues del", "depois de", "depois da", "depois do", "apres", "into"}
	sideWords   = []string{"either side of", "each side of", "both sides of", "a side of", "before and after", "before & after", "around", "a cada lado de", "antes y despues de", "antes y despues del"}
	loneSides   = []string{"either side", "each side", "both sides", "a side", "before and after", "before & after", "a cada lado", "antes y despues"}
	upToWords   = []string{"up to", "leading up to", "into the", "until", "till", "til", "to", "hasta"}
)

// readPoint reads a whole phrase: a point, a window about one, or the tide between two turns, which is no time.
func readPoint(lx []lexeme, i int) (t token, next int, ok bool) {
	if i > 0 && gluedTo(lx, i) && kindAt(lx, i-1, lexLetters) {
		return t, i, false
	}
	window := func(pt point, from, to time.Duration, next int) (token, int, bool) {
		pt.offset += from
		return token{kind: tokPoint, point: pt, span: to - from}, next, true
	}
	// "the two hours before low", "last 2 of the ebb", "first hour of the flood"
	k := i
	if peek(lx, k) == "the" {
		k++
	}
	edge := peek(lx, k)
	if edge == "final" || edge == "ultima" || edge == "ultimas" || edge == "últimas" || edge == "última" {
		edge = "last"
	}
	if edge == "primera" || edge == "primeras" {
		edge = "first"
	}
	if edge == "last" || edge == "first" {
		if d, after, ok := readAway(lx, k+1); ok {
			of := after
			for slices.Contains([]string{"of", "de", "del", "hours", "hrs"}, peek(lx, of)) {
				of++
			}
			if to, next, ok := readStage(lx, of); ok {
				if edge == "last" {
					// "last hour of the flood and first hour of the ebb": both sides of the high
					if n, ok := oneOfPhrases(lx, next, []string{"and the first", "and first", "& first", "plus the first"}); ok {
						if more, k, ok := readAway(lx, n); ok {
							for peek(lx, k) == "of" || peek(lx, k) == "hours" {
								k++
							}
							if then, end, ok := readStage(lx, k); ok && then != to {
								return window(point{turn: to}, -d, more, end)
							}
						}
					}
					return window(point{turn: to}, -d, 0, next)
				}
				return window(point{turn: otherTurn(to)}, 0, d, next)
			}
			if n, ok := oneOfPhrases(lx, after, beforeWords); ok && edge == "last" {
				if pt, next, ok := readAnchor(lx, n); ok {
					return window(pt, -d, 0, next)
				}
			}
			if n, ok := oneOfPhrases(lx, after, afterWords); ok && edge == "first" {
				if pt, next, ok := readAnchor(lx, n); ok {
					return window(pt, 0, d, next)
				}
			}
		}
		of := k + 1
		for slices.Contains([]string{"of", "bit", "de", "part", "half"}, peek(lx, of)) {
			of++
		}
		if _, next, ok := readStage(lx, of); ok {
			return token{kind: tokStop, why: AskTide}, next, true
		}
	}
	if d, after, ok := readAway(lx, i); ok {
		type way struct {
			words    []string
			from, to time.Duration
			window   bool
		}
		for _, w := range []way{
			{sideWords, -d, d, true}, {beforeWords, -d, 0, false}, {afterWords, d, 0, false}, {upToWords, -d, 0, true},
		} {
			n, ok := oneOfPhrases(lx, after, w.words)
			if !ok || w.window && w.to == 0 && kindAt(lx, i, lexDigits) && len(lx) > i+1 && after == i+1 && !strings.HasPrefix(peek(lx, after), "up") {
				continue // "5 to low": from five on
			}
			// "three hours after the start": no tide
			pt, next, ok := readAnchor(lx, n)
			if !ok {
				continue
			}
			if w.window {
				return window(pt, w.from, w.to, next)
			}
			pt.offset = w.from
			if k := next; w.from < 0 { // "an hour before low to an hour after"
				if s := peek(lx, k); s == "to" || s == "til" || s == "till" || s == "until" || s == "-" || s == "and" {
					if more, k, ok := readAway(lx, k+1); ok {
						if n, ok := oneOfPhrases(lx, k, []string{"after it", "after"}); ok {
							if _, _, other := readAnchor(lx, n); !other && !kindAt(lx, n, lexDigits) {
								pt.offset = 0
								return window(pt, w.from, more, n)
							}
						}
					}
				}
			}
			return token{kind: tokPoint, point: pt}, next, true
		}
		if n, ok := oneOfPhrases(lx, after, loneSides); ok && d > 0 {
			return token{kind: tokSide, span: d}, n, true
		}
	}
	side := i
	switch {
	case peek(lx, i) == "±":
		side = i + 1
	case peek(lx, i) == "+" && peek(lx, i+1) == "/" && peek(lx, i+2) == "-":
		side = i + 3
	}
	if side > i {
		if d, next, ok := readAway(lx, side); ok {
			return token{kind: tokSide, span: d}, next, true
		}
	}
	if pt, after, ok := readAnchor(lx, i); ok {
		short := peek(lx, after-1) == "hw" || peek(lx, after-1) == "lw"
		sign, k := time.Duration(0), after
		switch s := peek(lx, k); {
		case s == "±":
			k++
		case s == "+" && peek(lx, k+1) == "/" && peek(lx, k+2) == "-":
			k += 3
		case s == "+" || s == "plus" || s == "mas" || s == "más":
			sign, k = 1, k+1
		case s == "minus" || s == "menos" || (s == "-" || s == "–" || s == "−") && gluedTo(lx, k+1):
			sign, k = -1, k+1
		default:
			k = -1
		}
		if k > 0 {
			if d, next, ok := readAway(lx, k); ok {
				unit := !kindAt(lx, next-1, lexDigits)
				meridian, _ := meridiem(lx, next)
				switch {
				case meridian != "", sign < 0 && !unit && !short, goesOn(lx, next):
				case sign == 0:
					return window(pt, -d, d, next)
				default:
					if n, ok := oneOfPhrases(lx, next, []string{"to +", "til +", "till +"}); ok { // "low +1 to +3"
						if more, end, ok := readAway(lx, n); ok && more > sign*d {
							return window(pt, sign*d, more, end)
						}
					}
					pt.offset = sign * d
					return token{kind: tokPoint, point: pt}, next, true
				}
			}
		}
		return token{kind: tokPoint, point: pt}, after, true
	}
	if _, next, ok := readStage(lx, i); ok {
		return token{kind: tokStop, why: AskTide}, next, true
	}
	if peek(lx, i) == "the" {
		i++
	}
	if next, ok := oneOfPhrases(lx, i, tideWords); ok {
		return token{kind: tokStop, why: AskTide}, next, true
	}
	return t, i, false
}

func otherTurn(t Turn) Turn {
	if t == NextLow {
		return NextHigh
	}
	return NextLow
}
