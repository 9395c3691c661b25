package command

import (
	"slices"
	"strings"

	"ledgehand/session/catch/names"
)

// Fix puts somebody's last entry right.
type Fix struct {
	Entry Entry   // what is new: a fish, lengths, a count or a fate; what was not said stays as it was
	Bare  float64 // a bare number of which the entry itself must tell whether it is a length or a count; 0: none
	Was   float64 // the number that was wrong, as it stands in the unit of Entry or of the group; 0: not said
}

// takeBack are words that begin a line which takes the last entry back, and what may follow them.
var (
	takeBack = wordSet("scrap scratch undo delete remove cancel ignore forget bin strike wipe erase drop borra borrar bórralo borralo deshacer deshaz anula anular quita apaga apagar desfazer anula 取り消し 削除")
	backRest = wordSet("that this it my the last one entry catch fish line please out eso lo esa ese último última ultimo ultima mi el la o a captura linha pls and previous again")
)

func wordSet(s string) map[string]bool {
	out := map[string]bool{}
	for _, w := range strings.Fields(s) {
		out[w] = true
	}
	return out
}

// takesBack says whether a line only takes the last entry back: "scrap that", "undo", "scrap my last one".
func takesBack(line string) bool {
	said := false
	for _, x := range lex(line) {
		switch {
		case x.kind == lexDigits:
			return false
		case x.kind == lexSymbol && (x.s == "," || x.s == "." || x.s == "!"):
		case takeBack[x.s] && !said:
			said = true
		case !said && (x.s == "no" || x.s == "sorry" || x.s == "oops" || x.s == "please" || x.s == "wrong" || x.s == "one" || x.s == "mistake"):
		case said && backRest[x.s]:
		default:
			return false
		}
	}
	return said
}

// Words that begin a correction. The firm ones are nothing else; after the others a number or a fish must follow.
var (
	firm = phraseSet("correction|correct that|correct it|edit|fix|fix that|make that|make it|i meant|meant|meant to say|should be|should have been|should say|should read|change that to|change it to|change to|" +
		"corrección|correccion|corrige|mejor dicho|quise decir|correção|quis dizer|訂正")
	loose = phraseSet("no|nope|sorry|oops|actually|wait|that was|that one was|it was|its|it's|was|the last one was|my last one was|last one was|perdón|perdon|desculpa|não|era|eran|eram|that fish was|that's")
	// between the beginning and what is new
	linking = wordSet("that the my it this was were is one last a an be to era el la o")
)

func phraseSet(list string) map[string]bool {
	out := map[string]bool{}
	for s := range strings.SplitSeq(list, "|") {
		out[s] = true
	}
	return out
}

// corrects says whether a line puts an entry right; rest is what is new, was the part after "not".
func corrects(line string) (rest, was string, ok bool) {
	lx := lex(line)
	i, sure, begun, comma := 0, false, false, false
	for i < len(lx) {
		n := 0
		for k := min(4, len(lx)-i); k >= 1 && n == 0; k-- {
			words := make([]string, k)
			for j := range k {
				words[j] = lx[i+j].s
			}
			switch s := strings.Join(words, " "); {
			case firm[s]:
				n, sure, begun = k, true, true
			case loose[s]:
				n, begun = k, true
			}
		}
		if n == 0 {
			if begun && lx[i].kind == lexSymbol && (lx[i].s == "," || lx[i].s == ":" || lx[i].s == "." || lx[i].s == "-" || lx[i].s == "!") {
				i++
				comma = true
				continue
			}
			break
		}
		i += n
	}
	skipped := i
	for begun && i < len(lx) && linking[lx[i].s] {
		i++
	}
	// What was wrong stands after "not", behind or before what is new.
	at := -1
	for k := i; k < len(lx); k++ {
		if lx[k].s == "not" || begun && (lx[k].s == "no" || lx[k].s == "não") && kindAt(lx, k+1, lexDigits) {
			at = k
			break
		}
	}
	number := func(k int) bool { return kindAt(lx, k, lexDigits) || numberWords[peek(lx, k)] > 0 }
	switch {
	case !begun && at < 0:
		return "", "", false
	case !begun && (!number(at-1) || !number(at+1) || slices.ContainsFunc(lx[:at-1], func(x lexeme) bool { return x.kind == lexDigits && x.at != lx[at-1].at })): // "29 not 31", "bream 29 not 31"
		return "", "", false
	case begun && !sure && at < 0 && !number(i) && !(comma || i > skipped || skipped > 1):
		return "", "", false
	case begun && !sure && !number(i) && at < 0 && i >= len(lx):
		return "", "", false
	}
	if begun && !sure && skipped == 1 && lx[0].s == "no" && len(lx) > 1 && lx[1].kind == lexLetters && at < 0 {
		return "", "", false // "no bream today"
	}
	end := len(lx)
	var parts []string
	take := func(from, to int) string {
		var b strings.Builder
		for k := from; k < to; k++ {
			if w := lx[k].s; w == "was" || w == "were" || w == "is" {
				continue
			}
			if b.Len() > 0 && !lx[k].glued {
				b.WriteByte(' ')
			}
			b.WriteString(line[lx[k].at:lx[k].end])
		}
		return b.String()
	}
	if at >= 0 {
		stop := at + 1
		for stop < end && lx[stop].s != "," && lx[stop].s != ";" {
			stop++
		}
		was = take(at+1, stop)
		parts = append(parts, take(i, at), take(min(stop+1, end), end))
	} else {
		parts = append(parts, take(i, end))
	}
	rest = strings.TrimSpace(strings.Trim(strings.Join(parts, " "), " ,;"))
	return rest, strings.TrimSpace(was), rest != ""
}

// anyFish stands for the fish of the entry that is put right.
var anyFish = names.Species{ID: "as-it-was"}

// readFix reads what is new of an entry.
func readFix(rest, was string, g Terms) (CatchLine, error) {
	f := &Fix{}
	if q, next, ok := readQuantity(lex(was), 0); ok && next > 0 {
		f.Was = q.v
	} else if n := numberWords[lower(was)]; n > 0 {
		f.Was = float64(n)
	}
	r := catchReader{line: rest, g: g, lx: lex(rest)}
	if err := r.tokenize(); err != nil {
		return CatchLine{}, err
	}
	fish, other := false, 0
	var kept []catchToken
	for _, t := range r.toks {
		switch t.kind {
		case cFish:
			fish = true
		case cUnknown:
			gr := &grouping{catchReader: &r}
			if _, _, may := gr.guess(t); may {
				fish = true
			} else {
				other++
			}
		}
		kept = append(kept, t)
	}
	if fish {
		line, err := readCatch(rest, g)
		if d, ok := err.(*Doubt); ok && len(line.Entries) == 1 && (d.Question == AskCount || d.Question == AskTally || d.Question == AskFate || d.Question == AskLengths) && len(line.Entries[0].Species) == 1 {
			err = nil // "that was a tarwhine": how many stays as it was
		}
		if err != nil || len(line.Entries) != 1 {
			if err == nil {
				err = &Doubt{Said: rest, Question: AskFix}
			}
			return line, err
		}
		f.Entry = line.Entries[0]
		line.Fix = f
		return line, nil
	}
	if other > 0 {
		return CatchLine{}, &Unread{Said: rest, Why: WhyToken, Example: "no, 29"}
	}
	r.toks = append([]catchToken{{kind: cFish, species: []names.Species{anyFish}}}, kept...)
	if err := r.group(); err != nil {
		return CatchLine{}, err
	}
	if len(r.got) != 1 {
		return CatchLine{}, &Doubt{Said: rest, Question: AskFix}
	}
	d := r.got[0]
	if list := d.post; len(list) == 1 && list[0].wholeBare() && d.count == 0 && !d.hasFate() {
		f.Bare = list[0].q.v
	}
	e, err := d.entry(Terms{Units: g.Units})
	if refused, no := err.(*Unread); no {
		return CatchLine{}, refused
	}
	e.Named, e.Species, e.Unsure = "", nil, false
	if f.Bare > 0 { // as it is most likely meant; whoever holds the entry may know better
		tally, short, _, _ := g.bounds()
		e.Count, e.Lengths = 0, nil
		if f.Bare <= tally && f.Was <= tally {
			e.Count = int(f.Bare)
		} else if size, ok := d.post[0].q.size(g.Units); ok && f.Bare >= short {
			e.Count, e.Lengths = 1, []Size{size}
		}
	}
	if !d.hasFate() && e.Count == 0 && f.Bare == 0 {
		return CatchLine{}, &Doubt{Said: rest, Question: AskFix}
	}
	if d.hasFate() && e.Count == 0 { // "no, released": of as many as there were
		n := -1
		switch {
		case d.fate == cKept:
			e.Kept = &n
		case d.fate == cLetGo:
			e.Released = &n
		default:
			if d.kept >= 0 {
				e.Kept = &d.kept
			}
			if d.let >= 0 {
				e.Released = &d.let
			}
		}
	}
	f.Entry = e
	return CatchLine{Fix: f, Entries: []Entry{e}}, nil
}
