package command

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"ledgehand/session/catch/names"
)

// MaxCount is the most fish of one kind that are read in one line.
const MaxCount = 200

// Terms is what a group's words mean.
type Terms struct {
	Units   Units                                                  // what a bare length is
	Fish    func(name string) []names.Species                      // the species a name may mean there; nil for none
	Near    func(name string) (found []names.Species, sure bool)   // the species a word may be a slip for; may be nil
	Person  func(name string) bool                                 // whether somebody of the crew is called that; nil: any name is taken
	Longest func(s names.Species, fork bool) (cm float64, ok bool) // beyond which no such fish is believed; may be nil
	Heavier func(s names.Species, grams float64) (slip bool)       // whether no such fish weighs so much; may be nil
}

// CatchLine is a catch reported in one line. What was not said is absent, never assumed.
type CatchLine struct {
	Entries []Entry
	Blank   bool // "blanked": a record of effort, with no fish
	Effort  Effort
	Lost    bool     // fish were lost: no catch
	LostN   int      // how many, 0: not said
	Delete  bool     // takes the writer's last entry back
	Fix     *Fix     // puts the writer's last entry right; the entries beside it show what is new
	Ask     Word     // what may be asked once it is noted; "": nothing
	Flags   []string // remarks: not_rod, tag, line_left_in_fish
}

// Entry is the fish of one name.
type Entry struct {
	Who       string   // whose, if the line named somebody; "" for the writer
	Me        bool     // the line named the writer among others
	Named     string   // as typed: may be a name never to print
	Species   []string // ids the name may mean; several go with a *Doubt, or with Wide
	Unsure    bool     // the species is a guess, with a *Doubt
	Wide      bool     // a name of many fish, noted as that
	NotFish   string   // plain name of an octopus, a crab; then there is no species
	Count     int      // 0 beside a *Doubt if it is not clear
	Lengths   []Size   // may be fewer than Count
	Measure   string   // "TL" or "FL" if said
	Estimated bool     // about, ish, 30+: no evidence for a size check
	WeightsG  []int    // whole grams; may be fewer than Count
	Largest   bool     // what was measured is the largest of them
	Kept      *int     // nil: not said
	Released  *int     // nil: not said
	Note      string   // where or on what, as typed
	Time      string   // "last night" as typed
	DayBefore bool     // and that was the day before
}

// LengthsUM is the lengths in micrometres.
func (e Entry) LengthsUM() []int {
	var out []int
	for _, s := range e.Lengths {
		out = append(out, s.UM)
	}
	return out
}

// Effort is how long with how many rods. Zero: not said. Hours without rods were one rod's.
type Effort struct {
	Rods  int
	Hours float64
}

const catchExample = "2 bream 31 33 kept 1"

// Catch reads a line such as "2 bream 31 33 kept 1", "45cm tailor released", "pig 38",
// "3 pigs, 34/36/41, kept the lot", "luderick x5 all about 32, let 3 go", "lost 2 pigs, landed 1 at 35",
// "Chidi 2 bream, me 1", "lubina 44 y dos sargos", "blanked. 2 rods 4 hrs", "no, 29", "scrap that".
//
// The error is *Doubt (ask that one question; the line holds what was read so far) or *Unread
// (refuse). A number is always understood or the line is not read; a word that is not known is a
// remark only where it can be neither a fish nor change what was said. The rules:
//
//   - "kept 1" of two means that one was let go; "kept" alone means all of that entry; nothing
//     said means nothing known. Undersize ones were let go.
//   - One bare number after a name is a length if it can be one; if it is small it is a count; a
//     round or a middling one is asked. A number before a name is a count.
//   - A fate after the last of several kinds is asked about unless it says "all" or "both".
//   - What was lost is no catch, whatever it was.
func Catch(text string, g Terms) (CatchLine, error) {
	line := strings.TrimSpace(text)
	if len(line) > MaxLine {
		return CatchLine{}, &Unread{Said: strings.ToValidUTF8(line[:20], ""), Why: WhyLong}
	}
	line = plainSigns(line)
	if line == "" {
		return CatchLine{}, &Unread{Why: WhyEmpty, Example: catchExample}
	}
	if takesBack(line) {
		return CatchLine{Delete: true}, nil
	}
	if rest, was, ok := corrects(line); ok {
		return readFix(rest, was, g)
	}
	return readCatch(line, g)
}

func readCatch(line string, g Terms) (CatchLine, error) {
	r := catchReader{line: line, g: g, lx: lex(line)}
	if err := r.tokenize(); err != nil {
		return r.out, err
	}
	if err := r.group(); err != nil {
		return r.out, err
	}
	return r.finish()
}

// plainSigns takes out pictures and puts spaces where Japanese has none.
func plainSigns(line string) string {
	line = strings.Map(func(r rune) rune {
		if unicode.Is(unicode.So, r) || unicode.Is(unicode.Sk, r) || unicode.Is(unicode.Cf, r) || r >= 0xfe00 && r <= 0xfe0f {
			return ' '
		}
		return r
	}, line)
	if strings.ContainsFunc(line, func(r rune) bool { return r >= 0x3000 && r < 0xa000 || r >= 0xff00 }) {
		line = spaced.Replace(line)
	}
	return strings.TrimSpace(line)
}

type catchReader struct {
	line  string
	g     Terms
	lx    []lexeme
	toks  []catchToken
	paren int // depth of brackets while tokens are made
	out   CatchLine
	got   []draft
	talk  bool // words about fishing, and no fish

	shared string // "between us", "my mate": whose is not clear

	guesses map[string]guessed
}

// guessed is which fish a word may be a slip for.
type guessed struct {
	found []names.Species
	sure  bool
}

func (r *catchReader) tokenize() error {
	for i := 0; i < len(r.lx); {
		t, next, err := r.token(i)
		if err != nil {
			return err
		}
		if t.said == "" {
			t.said = r.line[r.lx[i].at:r.lx[next-1].end]
		}
		if t.kind != cChatter {
			r.toks = append(r.toks, t)
		}
		i = next
	}
	return nil
}

func (r *catchReader) refuse(i, next int, why Word) error {
	return &Unread{Said: r.line[r.lx[i].at:r.lx[min(max(i, next-1), len(r.lx)-1)].end], Why: why, Example: catchExample}
}

// counters are Japanese words behind a number of fish.
var counters = map[string]bool{"匹": true, "枚": true, "尾": true, "杯": true, "本": true}

func (r *catchReader) token(i int) (t catchToken, next int, err error) {
	lx := r.lx
	x := lx[i]
	switch x.kind {
	case lexDigits:
		if x.s == "0" && peek(lx, i+1) == "fish" && i == 0 { // "0 bream" may be a slip, "0 fish" says it
			return catchToken{kind: cBlank, said: "0 fish"}, i + 2, nil
		}
		return r.number(i)
	case lexSymbol:
		switch x.s {
		case "~", "≈":
			return catchToken{kind: cAbout}, i + 1, nil
		case "×", "*":
			return r.times(i)
		case "(", "[":
			r.paren++
			return catchToken{kind: cChatter}, i + 1, nil
		case ")", "]":
			r.paren = max(0, r.paren-1)
			return catchToken{kind: cChatter}, i + 1, nil
		case ",", ";", ".", ":", "!", "|", "…":
			if x.s == "." && gluedTo(lx, i+1) && kindAt(lx, i+1, lexDigits) && !(x.glued && kindAt(lx, i-1, lexDigits)) { // ".5kg"
				q, next, ok := readQuantity(lx, i+1)
				if ok && q.whole && len(lx[i+1].s) <= 3 {
					for range len(lx[i+1].s) {
						q.v /= 10
					}
					q.whole = false
					return catchToken{kind: cNumber, q: q}, next, nil
				}
				return t, 0, r.refuse(i, i+2, WhyNumber)
			}
			return catchToken{kind: cSep, said: x.s}, i + 1, nil
		case "/", "&", "+":
			return catchToken{kind: cJoin, said: x.s}, i + 1, nil
		case "'", "#", "\"":
			return catchToken{kind: cChatter}, i + 1, nil
		case "?":
			if r.paren > 0 {
				return catchToken{kind: cChatter}, i + 1, nil
			}
		case "-", "−", "–":
			if gluedTo(lx, i+1) && kindAt(lx, i+1, lexDigits) && (i == 0 || !x.glued) {
				return t, 0, r.refuse(i, i+2, WhyRange) // a negative length
			}
			return catchToken{kind: cSep, said: "-"}, i + 1, nil
		case "@":
			if kindAt(lx, i+1, lexDigits) {
				return catchToken{kind: cJoin}, i + 1, nil // "1 bream @ 31"
			}
			if gluedTo(lx, i+1) && i == 0 { // "@Ana 2 pigs"
				return catchToken{kind: cChatter}, i + 1, nil
			}
			return r.note(i)
		}
		return t, 0, r.refuse(i, i+1, WhyToken)
	}
	if u, ok := unitWords[peek(lx, i+1)]; ok && (x.s == "a" || x.s == "one" || x.s == "un" || x.s == "um") && kindAt(lx, i+1, lexLetters) && len(lx[i+1].s) > 3 && u != "oz" {
		return catchToken{kind: cNumber, q: quantity{v: 1, unit: u, whole: true}}, i + 2, nil // "a metre"
	}
	if x.s == "by" && kindAt(lx, i+1, lexDigits) { // "short by 1cm"
		if _, next, ok := readQuantity(lx, i+1); ok {
			return catchToken{kind: cChatter}, next, nil
		}
	}
	if x.s == "between" || x.s == "from" || x.s == "entre" { // "between 28 and 32"
		if from, k, ok := readQuantity(lx, i+1); ok && (peek(lx, k) == "and" || peek(lx, k) == "to" || peek(lx, k) == "y" || peek(lx, k) == "e") {
			if to, next, ok := readQuantity(lx, k+1); ok && from.v <= to.v {
				if after := phrases[1][peek(lx, next)].kind; after != cHours && after != cRods {
					from.unit = to.unit
					return catchToken{kind: cRange, q: from}, next, nil
				}
			}
		}
	}
	if t, next, ok := r.letBack(i); ok {
		return t, next, nil
	}
	if x.s == "x" && kindAt(lx, i+1, lexDigits) {
		return r.times(i)
	}
	// The longest name of a fish wins over words of ours, but a single word of ours over a fish.
	for n := min(4, len(lx)-i); n >= 2; n-- {
		if lx[i+n-1].kind != lexLetters || slices.ContainsFunc(lx[i:i+n], func(l lexeme) bool { return l.kind == lexDigits }) {
			continue
		}
		words := r.line[x.at:lx[i+n-1].end]
		if found := r.fish(words); len(found) > 0 && !(n == 2 && phrases[1][x.s].kind == cLost) {
			return r.fishToken(words, found), i + n, nil
		}
		if plain, ok := shellfish[strings.ToLower(words)]; ok {
			return catchToken{kind: cFish, said: plain, notFish: plain, plural: strings.HasSuffix(words, "s")}, i + n, nil
		}
	}
	for n := min(mostWords, len(lx)-i); n >= 1; n-- {
		var b strings.Builder
		for k := range n {
			if k > 0 {
				b.WriteByte(' ')
			}
			b.WriteString(lx[i+k].s)
		}
		if t, ok := phrases[n][b.String()]; ok {
			if n == 1 && noteStarts[x.s] && t.kind == cChatter {
				break // a note, if one follows
			}
			if n == 1 && (x.s == "at" || x.s == "con") && kindAt(lx, i+1, lexLetters) && !r.ours(i+1) {
				break
			}
			if n == 1 && t.kind == cJoin && x.s == "with" && kindAt(lx, i+1, lexLetters) && !r.ours(i+1) && len(r.fish(lx[i+1].s)) == 0 {
				break
			}
			if t.kind != cMeasure && (t.kind == cLegal || t.kind == cShort || n > 1) {
				t.said = b.String()
			}
			return t, i + n, nil
		}
	}
	if r.person(i) {
		next := i + 1
		if p, found := strings.CutSuffix(x.s, "'s"); found && p != "" {
			return catchToken{kind: cPerson, said: r.line[x.at : x.end-2], capital: true}, next, nil
		}
		return catchToken{kind: cPerson, said: r.line[x.at:x.end], capital: true}, next, nil
	}
	name := r.line[x.at:x.end]
	if found := r.fish(name); len(found) > 0 {
		return r.fishToken(name, found), i + 1, nil
	}
	if plain, ok := shellfish[x.s]; ok {
		return catchToken{kind: cFish, said: plain, notFish: plain, plural: strings.HasSuffix(x.s, "s")}, i + 1, nil
	}
	if noteStarts[x.s] {
		return r.note(i)
	}
	if r.paren > 0 {
		return catchToken{kind: cChatter}, i + 1, nil
	}
	first, _ := utf8.DecodeRuneInString(name)
	return catchToken{kind: cUnknown, said: name, capital: unicode.IsUpper(first) && name != strings.ToUpper(name)}, i + 1, nil
}

// ours says whether a lexeme is a word that means something in any line.
func (r *catchReader) ours(i int) bool {
	t, ok := phrases[1][peek(r.lx, i)]
	return ok && t.kind != cChatter && t.kind != cOne
}

// person says whether a lexeme is somebody of the crew, or in a crew of which nothing is known, might be.
func (r *catchReader) person(i int) bool {
	name := strings.TrimSuffix(strings.TrimSuffix(r.line[r.lx[i].at:r.lx[i].end], "'s"), "’s")
	return r.g.Person != nil && r.g.Person(name)
}

// number reads what begins with a digit: a count, a length, a weight, hours, a clock time.
func (r *catchReader) number(i int) (catchToken, int, error) {
	lx := r.lx
	if next, ok := clockAt(lx, i); ok {
		return catchToken{kind: cChatter}, next, nil // when it was caught is when it is written, as far as we note
	}
	if q, next, ok := readNumber(lx, i); ok {
		switch k := phrases[1][peek(lx, next)].kind; {
		case k == cHours || k == cRods || k == cMinutes:
			if k == cHours && peek(lx, next) == "h" && !gluedTo(lx, next) && len(lx) > next+1 && kindAt(lx, next+1, lexLetters) && !r.ours(next+1) {
				break
			}
			return catchToken{kind: cNumber, q: q}, next, nil // "5hrs"
		case counters[peek(lx, next)] && q.whole && q.v >= 1:
			return catchToken{kind: cTimes, n: int(q.v), counter: true}, next + 1, nil
		case peek(lx, next) == "x" && q.whole && kindAt(lx, next+1, lexDigits):
			if size, _, ok := readQuantity(lx, next+1); ok && (size.unit != "" || !size.whole) { // "2 x 31cm bream"
				return catchToken{kind: cNumber, q: q, spoken: true}, next + 1, nil
			}
		case peek(lx, next) == "x" && q.whole && !kindAt(lx, next+1, lexDigits) && next+1 < len(lx):
			return catchToken{kind: cNumber, q: q, spoken: true}, next + 1, nil // "2x bream"
		}
	}
	q, next, ok := readQuantity(lx, i)
	if !ok { // "2bream", "31kept"
		if q, next, ok = readNumber(lx, i); !ok || !kindAt(lx, next, lexLetters) || utf8.RuneCountInString(lx[next].s) < 3 {
			return catchToken{}, 0, r.refuse(i, i+1, WhyToken)
		}
	}
	if !q.whole && peek(lx, next) == "." && gluedTo(lx, next) && gluedTo(lx, next+1) && kindAt(lx, next+1, lexDigits) {
		return catchToken{}, 0, r.refuse(i, next+2, WhyNumber) // "31.5.2" is no length
	}
	t := catchToken{kind: cNumber, q: q}
	// "4-6", "28–34 cm": from one to the other.
	if s := peek(lx, next); (s == "-" || s == "–") && kindAt(lx, next+1, lexDigits) && gluedTo(lx, next) == gluedTo(lx, next+1) {
		if to, after, ok := readQuantity(lx, next+1); ok {
			if q.unit == "" {
				q.unit = to.unit
			}
			t.kind, t.q, next = cRange, q, after
		}
	}
	return t, next, nil
}

// clockAt reads "6:40am", "6am", "06:40", "6.40pm".
func clockAt(lx []lexeme, i int) (next int, ok bool) {
	next = i + 1
	if s := peek(lx, next); (s == ":" || s == ".") && gluedTo(lx, next) && gluedTo(lx, next+1) && kindAt(lx, next+1, lexDigits) && len(lx[next+1].s) == 2 && small(lx[next+1].s) < 60 && small(lx[i].s) < 24 {
		ok = s == ":"
		next += 2
	}
	if w := peek(lx, next); (w == "am" || w == "pm") && small(lx[i].s) <= 12 {
		return next + 1, true
	}
	return next, ok
}

// letBack reads "let 3 go", "let it go", "threw 2 back", "put the small one back", "threw smaller back", "let the rest go".
func (r *catchReader) letBack(i int) (t catchToken, next int, ok bool) {
	lx := r.lx
	end := map[string]string{"let": "go", "threw": "back", "put": "back", "chucked": "back", "tossed": "back", "sent": "back", "slipped": "back", "chuck": "back", "throw": "back"}[lx[i].s]
	if end == "" {
		return t, 0, false
	}
	stop := -1
	for k := i + 1; k < min(len(lx), i+7); k++ {
		if lx[k].kind == lexSymbol {
			break
		}
		if w := lx[k].s; w == end || w == "back" && end == "go" || w == "off" && end == "go" {
			stop = k
			break
		}
	}
	if stop <= i+1 {
		return t, 0, false
	}
	t = catchToken{kind: cLetGo}
	one := false
	for k := i + 1; k < stop; k++ {
		w := lx[k].s
		switch {
		case lx[k].kind == lexDigits && small(w) > 0 && t.n == 0:
			t.n = small(w)
		case numberWords[w] > 0 && w != "one" && t.n == 0:
			t.n = numberWords[w]
		case w == "one" || w == "a":
			one = true
		case w == "it" || w == "him" || w == "her":
			t.q.unit = "it"
		case w == "all" || w == "them" || w == "everything" || w == "lot" || w == "every":
			if t.q.unit == "" {
				t.q.unit = "all"
			}
		case w == "both":
			t.q.unit = "both"
		case w == "rest" || w == "others" || w == "other" || w == "remainder":
			t.q.unit = "rest"
		case strings.HasPrefix(w, "small") || strings.HasPrefix(w, "littl") || strings.HasPrefix(w, "bigg") || w == "big" || w == "shorter" || w == "larger" || w == "smallest":
			one = true
		case w == "ones" || w == "smalls":
			return t, 0, false // how many?
		case phrases[1][w].kind == cChatter || w == "of":
		default:
			return t, 0, false
		}
	}
	if t.q.unit == "" && t.n == 0 && one {
		t.n = 1
	}
	if t.q.unit == "" && t.n == 0 {
		return t, 0, false
	}
	return t, stop + 1, true
}

func (r *catchReader) fish(name string) []names.Species {
	if r.g.Fish == nil || utf8.RuneCountInString(name) < 2 {
		return nil
	}
	return r.g.Fish(name)
}

func (r *catchReader) fishToken(name string, found []names.Species) catchToken {
	singular, cut := strings.CutSuffix(strings.ToLower(name), "s")
	return catchToken{kind: cFish, said: name, species: found, plural: cut && len(r.fish(singular)) > 0}
}

func (r *catchReader) times(i int) (catchToken, int, error) {
	n := small(peek(r.lx, i+1))
	if !kindAt(r.lx, i+1, lexDigits) || n < 1 || gluedTo(r.lx, i+2) && r.lx[i+2].kind == lexLetters && !counters[r.lx[i+2].s] ||
		gluedTo(r.lx, i+2) && gluedTo(r.lx, i+3) && kindAt(r.lx, i+3, lexDigits) {
		return catchToken{}, 0, r.refuse(i, i+2, WhyToken)
	}
	return catchToken{kind: cTimes, n: n}, i + 2, nil
}

// note reads words about where and on what up to a comma, a number or a word of ours. What fish is used as bait, or
// stands in the name of a place, is no catch.
func (r *catchReader) note(i int) (catchToken, int, error) {
	lx := r.lx
	start := lx[i].s
	if (start == "at" || start == "@" || start == "off") && kindAt(lx, i+1, lexDigits) {
		return catchToken{kind: cJoin}, i + 1, nil // "landed 1 at 35"
	}
	if start == "for" || start == "para" { // "for Chidi"
		k := i + 1
		if k < len(lx) && lx[k].kind == lexLetters {
			name := r.line[lx[k].at:lx[k].end]
			first, _ := utf8.DecodeRuneInString(name)
			_, known := phrases[1][lx[k].s]
			if r.person(k) || unicode.IsUpper(first) && !known && len(r.fish(name)) == 0 {
				return catchToken{kind: cPerson, said: name, n: 1}, k + 1, nil
			}
			if phrases[1][lx[k].s].kind == cMe {
				return catchToken{kind: cChatter}, k + 1, nil
			}
		}
	}
	k := i + 1
	for ; k < len(lx) && lx[k].kind == lexLetters && k-i <= 8; k++ {
		t, known := phrases[1][lx[k].s]
		if !known || t.kind == cChatter || t.kind == cOne || t.kind == cTalk || t.kind == cRods || lx[k].s == "of" || lx[k].s == "with" || lx[k].s == "back" && k == i+2 && start == "at" {
			if start != "for" && start != "para" || len(r.fish(lx[k].s)) == 0 {
				continue
			}
		}
		break
	}
	if k == i+1 {
		if kindAt(lx, k, lexDigits) && start != "for" {
			return catchToken{}, 0, r.refuse(i, k+1, WhyToken) // "on 2 pilchards": a number that is no fish of theirs
		}
		return catchToken{kind: cChatter}, k, nil
	}
	return catchToken{kind: cNote, said: r.line[lx[i].at:lx[k-1].end]}, k, nil
}
