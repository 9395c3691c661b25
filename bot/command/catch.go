package command

import (
	"slices"
	"strings"
	"unicode/utf8"

	"ledgehand/session/catch/names"
)

// MaxCount is the most fish of one kind that are read in one line.
const MaxCount = 200

// Terms is what a group's words mean.
type Terms struct {
	Units  Units                             // what a bare length is
	Fish   func(name string) []names.Species // the species a name may mean there; nil for none
	Person func(name string) bool            // whether somebody of the crew is called that; may be nil
}

// CatchLine is a catch reported in one line. What was not said is absent, never assumed.
type CatchLine struct {
	Who     string // whose catch, if the line named somebody of the crew first; "" for the sender
	Entries []Entry
	Blank   bool // "blanked": a record of effort, with no fish
	Effort  Effort
}

// Entry is the fish of one name.
type Entry struct {
	Named     string   // as typed: may be a name never to print
	Species   []string // ids the name may mean; several go with a *Doubt
	Count     int      // 0 beside a *Doubt if it is not clear
	Lengths   []Size   // may be fewer than Count
	Measure   string   // "TL" or "FL" if said
	Estimated bool     // about, ish, 30+: no evidence for a size check
	WeightsG  []int    // whole grams
	Kept      *int     // nil: not said
	Released  *int     // nil: not said
	Note      string   // where or on what, as typed
}

// LengthsUM is the lengths in micrometres.
func (e Entry) LengthsUM() []int {
	var out []int
	for _, s := range e.Lengths {
		out = append(out, s.UM)
	}
	return out
}

// Effort is how long with how many rods. Zero: not said.
type Effort struct {
	Rods  int
	Hours float64
}

const catchExample = "2 bream 31 33 kept 1"

// Catch reads a line such as "2 bream 31 33 kept 1", "45cm tailor released", "pig 38",
// "3 pigs, 34/36/41, kept the lot", "luderick x5 all about 32, let 3 go", "blanked. 2 rods 4 hrs".
//
// The error is *Doubt (ask that one question; the line holds what was read so far) or *Unread
// (refuse). Every word must be understood or be a note after "on", "off", "at", "from" or "for"
// without a number. The rules:
//
//   - "kept 1" of two means that one was let go; "kept" alone means all of that entry; nothing
//     said means nothing known.
//   - One bare number after a name is a length if it can be one; if it is small it is a count; a
//     round or a middling one is asked. A number before a name is a count.
//   - A fate after the last of several kinds is asked about unless it says "all" or "both".
func Catch(text string, g Terms) (CatchLine, error) {
	line := strings.TrimSpace(text)
	if len(line) > MaxLine {
		return CatchLine{}, &Unread{Said: strings.ToValidUTF8(line[:20], ""), Why: WhyLong}
	}
	if line == "" {
		return CatchLine{}, &Unread{Why: WhyEmpty, Example: catchExample}
	}
	r := catchReader{line: line, g: g, lx: lex(line)}
	if err := r.tokenize(); err != nil {
		return r.out, err
	}
	if err := r.group(); err != nil {
		return r.out, err
	}
	return r.finish()
}

type catchKind uint8

const (
	cNumber catchKind = iota
	cFish
	cKept
	cLetGo // with n > 0: "let 3 go"
	cAll
	cBoth
	cIt
	cAbout
	cTimes // x5
	cMeasure
	cOne // a, an
	cNote
	cSep
	cBlank
	cRods
	cHours
)

type catchToken struct {
	kind    catchKind
	said    string
	q       quantity
	n       int
	species []names.Species
	plural  bool
	spoken  bool // a count in words: never a length
}

type catchReader struct {
	line string
	g    Terms
	lx   []lexeme
	toks []catchToken
	out  CatchLine
	got  []draft
}

// phrases are tried longest first. One that says how many stand in n.
var phrases = func() [5]map[string]catchToken {
	var byLength [5]map[string]catchToken
	for i := range byLength {
		byLength[i] = map[string]catchToken{}
	}
	for _, p := range []struct {
		kind catchKind
		list string
	}{
		{cKept, "kept|keep|keeper|keepers|keeping|took"},
		{cLetGo, "released|release|returned|back|back in|put back|threw back|thrown back|tossed|tossed back|let go|went back|sent back"},
		{cAll, "all|the lot|all of them|them all|everything|the whole lot"},
		{cBoth, "both|both of them"},
		{cIt, "it"},
		{cAbout, "about|around|roughly|approx"},
		{cMeasure, "tl|fl"},
		{cOne, "a|an"},
		{cBlank, "blank|blanked|a blank|donut|a donut|skunked|got skunked|no fish|nothing|zilch|nada|zip|bozu"},
		{cRods, "rod|rods"},
		{cHours, "hour|hours|hr|hrs|h"},
		{cSep, "and|plus|got|caught|landed|had|of|with"},
	} {
		for s := range strings.SplitSeq(p.list, "|") {
			byLength[strings.Count(s, " ")+1][s] = catchToken{kind: p.kind, said: s}
		}
	}
	for s, n := range map[string]int{"couple": 2, "couple of": 2, "a couple": 2, "a couple of": 2, "pair of": 2, "a pair of": 2,
		"half a dozen": 6, "half dozen": 6, "dozen": 12, "a dozen": 12} {
		byLength[strings.Count(s, " ")+1][s] = catchToken{kind: cNumber, q: quantity{v: float64(n), whole: true}, spoken: true}
	}
	for s, n := range numberWords {
		byLength[1][s] = catchToken{kind: cNumber, q: quantity{v: float64(n), whole: true}, spoken: true}
	}
	return byLength
}()

// Words that a note may start with, and words that make a note more than one.
var (
	noteStarts = map[string]bool{"on": true, "off": true, "at": true, "from": true, "for": true, "@": true, "using": true}
	noteBreaks = map[string]bool{
		"not": true, "no": true, "none": true, "lost": true, "dropped": true, "except": true, "but": true, "each": true, "every": true,
		"another": true, "or": true, "then": true, "was": true, "were": true, "more": true, "other": true, "others": true, "rest": true,
		"one": true, "two": true, "undersize": true, "short": true, "legal": true, "me": true, "yesterday": true, "tomorrow": true,
	}
)

func (r *catchReader) tokenize() error {
	lx := r.lx
	i := 0
	if peek(lx, 0) == "@" && gluedTo(lx, 1) && kindAt(lx, 1, lexLetters) && r.person(1) {
		r.out.Who, i = r.line[lx[1].at:lx[1].end], 2
	} else if kindAt(lx, 0, lexLetters) && r.person(0) {
		r.out.Who, i = r.line[lx[0].at:lx[0].end], 1
	}
	if i > 0 && peek(lx, i) == ":" {
		i++
	}
	for i < len(lx) {
		t, next, err := r.token(i)
		if err != nil {
			return err
		}
		if t.said == "" {
			t.said = r.line[lx[i].at:lx[next-1].end]
		}
		r.toks = append(r.toks, t)
		i = next
	}
	return nil
}

func (r *catchReader) person(i int) bool {
	return r.g.Person != nil && r.g.Person(r.line[r.lx[i].at:r.lx[i].end])
}

func (r *catchReader) refuse(i, next int, why Word) error {
	return &Unread{Said: r.line[r.lx[i].at:r.lx[max(i, next-1)].end], Why: why, Example: catchExample}
}

func (r *catchReader) token(i int) (t catchToken, next int, err error) {
	lx := r.lx
	x := lx[i]
	switch x.kind {
	case lexDigits:
		if q, next, ok := readNumber(lx, i); ok {
			if k := phrases[1][peek(lx, next)].kind; k == cHours || k == cRods {
				return catchToken{kind: cNumber, q: q}, next, nil // "5hrs"
			}
		}
		q, next, ok := readQuantity(lx, i)
		if !ok {
			return t, 0, r.refuse(i, i+1, WhyToken)
		}
		return catchToken{kind: cNumber, q: q}, next, nil
	case lexSymbol:
		switch x.s {
		case "~", "≈":
			return catchToken{kind: cAbout}, i + 1, nil
		case "×":
			return r.times(i)
		case ",", ";", ".", ":", "/", "&", "+", "!", "|":
			return catchToken{kind: cSep}, i + 1, nil
		case "-", "−", "–":
			if gluedTo(lx, i+1) && kindAt(lx, i+1, lexDigits) && !(x.glued && kindAt(lx, i-1, lexDigits)) {
				return t, 0, r.refuse(i, i+2, WhyRange) // a negative length
			}
		case "@":
			return r.note(i)
		}
		return t, 0, r.refuse(i, i+1, WhyToken)
	}
	// "let 3 go", "let it go", "let them go", "threw 2 back", "put both back".
	if end := map[string]string{"let": "go", "threw": "back", "put": "back", "chucked": "back"}[x.s]; end != "" && peek(lx, i+2) == end {
		switch w := peek(lx, i+1); {
		case w == "it" || w == "him" || w == "her":
			return catchToken{kind: cLetGo, q: quantity{unit: "it"}}, i + 3, nil
		case w == "them" || w == "all":
			return catchToken{kind: cLetGo, q: quantity{unit: "all"}}, i + 3, nil
		case w == "both":
			return catchToken{kind: cLetGo, q: quantity{unit: "both"}}, i + 3, nil
		case kindAt(lx, i+1, lexDigits) && small(w) > 0:
			return catchToken{kind: cLetGo, n: small(w)}, i + 3, nil
		case numberWords[w] > 0:
			return catchToken{kind: cLetGo, n: numberWords[w]}, i + 3, nil
		}
	}
	if x.s == "x" && kindAt(lx, i+1, lexDigits) {
		return r.times(i)
	}
	// The longest name of a fish wins over words of ours, but a single word of ours over a fish.
	name, length := "", 0
	for n := min(4, len(lx)-i); n >= 1; n-- {
		if lx[i+n-1].kind != lexLetters || slices.ContainsFunc(lx[i:i+n], func(l lexeme) bool { return l.kind == lexDigits }) {
			continue
		}
		words := r.line[x.at:lx[i+n-1].end]
		if n == 1 || phrases[n] == nil {
			break
		}
		if found := r.fish(words); len(found) > 0 {
			return r.fishToken(words, found), i + n, nil
		}
	}
	for n := min(4, len(lx)-i); n >= 1; n-- {
		var b strings.Builder
		for k := range n {
			if k > 0 {
				b.WriteByte(' ')
			}
			b.WriteString(lx[i+k].s)
		}
		if t, ok := phrases[n][b.String()]; ok {
			return t, i + n, nil
		}
	}
	name, length = r.line[x.at:x.end], 1
	if found := r.fish(name); len(found) > 0 {
		return r.fishToken(name, found), i + length, nil
	}
	if noteStarts[x.s] {
		return r.note(i)
	}
	return t, 0, r.refuse(i, i+1, WhyToken)
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
	if !kindAt(r.lx, i+1, lexDigits) || n < 1 || gluedTo(r.lx, i+2) && r.lx[i+2].kind == lexLetters ||
		gluedTo(r.lx, i+2) && gluedTo(r.lx, i+3) && kindAt(r.lx, i+3, lexDigits) {
		return catchToken{}, 0, r.refuse(i, i+2, WhyToken)
	}
	return catchToken{kind: cTimes, n: n}, i + 2, nil
}

// note reads words about where and on what up to a comma or a word of ours.
func (r *catchReader) note(i int) (catchToken, int, error) {
	lx := r.lx
	if peek(lx, i) == "at" && kindAt(lx, i+1, lexDigits) {
		return catchToken{kind: cSep}, i + 1, nil // "landed 1 at 35"
	}
	k := i + 1
	for ; k < len(lx) && lx[k].kind == lexLetters; k++ {
		w := lx[k].s
		if noteBreaks[w] || numberWords[w] > 0 || len(r.fish(w)) > 0 {
			return catchToken{}, 0, r.refuse(i, k+1, WhyToken)
		}
		if t, ours := phrases[1][w]; ours && t.kind != cOne && w != "of" && w != "with" || w == "let" || w == "threw" || w == "put" {
			break
		}
	}
	if k == i+1 || kindAt(lx, k, lexDigits) || k-i > 8 {
		return catchToken{}, 0, r.refuse(i, k, WhyToken)
	}
	return catchToken{kind: cNote, said: r.line[lx[i].at:lx[k-1].end]}, k, nil
}
