package command

import (
	"slices"
	"strings"

	"ledgehand/session/catch/names"
)

// whose is one whose fish they are.
type whose struct {
	name string
	me   bool // whoever writes
}

// grouping is what is known while tokens are given to entries.
type grouping struct {
	*catchReader
	pending []catchToken // numbers and articles before a name
	prefix  *catchToken  // "released a 45cm tailor"
	about   bool
	many    bool // "heaps of"
	limit   bool // "our limit of"
	short   bool // "undersize reds"
	time    string
	who     []whose
	whoAt   int // the token that named the last of them
	clause  int
	lost    *catchToken // a fish that was lost: "landed 1" may be of the same kind
	legal   bool
}

func (g *grouping) at(k int) catchToken {
	if k < 0 || k >= len(g.toks) {
		return catchToken{kind: cSep}
	}
	return g.toks[k]
}

// beyond is the first token from k on that is not just a word between.
func (g *grouping) beyond(k int) (catchToken, int) {
	for g.at(k).kind == cJoin && k < len(g.toks) {
		k++
	}
	return g.at(k), k
}

func (g *grouping) cur() *draft {
	if len(g.got) == 0 {
		return nil
	}
	return &g.got[len(g.got)-1]
}

func unread(t catchToken) error { return &Unread{Said: t.said, Why: WhyToken, Example: catchExample} }

// guess says which fish a word may be that is in no table for the place.
func (g *grouping) guess(t catchToken) (found []names.Species, sure, fish bool) {
	if t.kind != cUnknown || g.g.Fish == nil || colours[lower(t.said)] {
		return nil, false, false
	}
	key := lower(t.said)
	x, known := g.guesses[key]
	if !known {
		if g.g.Near != nil {
			x.found, x.sure = g.g.Near(t.said)
		}
		if g.guesses == nil {
			g.guesses = map[string]guessed{}
		}
		g.guesses[key] = x // every name there is was compared
	}
	return x.found, x.sure, len(x.found) > 0 || kinds[key]
}

// fishAt says whether a token is a fish, or a word that may be one.
func (g *grouping) fishAt(k int) bool {
	t := g.at(k)
	if t.kind == cFish {
		return true
	}
	_, _, fish := g.guess(t)
	return fish
}

// group gives each token to an entry.
func (r *catchReader) group() error {
	g := &grouping{catchReader: r, whoAt: -2}
	for i := 0; i < len(g.toks); {
		next, err := g.take(i)
		if err != nil {
			return err
		}
		i = next
	}
	return g.end()
}

func (g *grouping) end() error {
	if len(g.pending) > 0 && g.lost != nil && len(g.got) == 0 { // "lost 2 pigs, landed 1 at 35"
		if err := g.begin(*g.lost); err != nil {
			return err
		}
		d := g.cur()
		d.post, d.pre = append(d.post, d.pre...), nil
	}
	switch {
	case len(g.pending) > 0 && g.pending[0].kind != cOne:
		return &Doubt{Said: g.pending[0].said, Question: AskWhatFish}
	case g.limit && len(g.got) == 0:
		return &Doubt{Said: g.line, Question: AskWhatFish}
	case len(g.got) == 0 && !g.out.Blank && !g.out.Lost:
		if g.prefix != nil || g.talk || g.short || g.many {
			return &Doubt{Said: g.line, Question: AskWhatFish}
		}
		return &Unread{Said: g.line, Why: WhyNoFish, Example: catchExample}
	case len(g.got) > 0 && g.out.Blank && len(g.got[0].who) == 0:
		return &Unread{Said: g.line, Why: WhyClash, Example: catchExample}
	case len(g.got) > 0:
		g.out.Blank = false
	}
	return nil
}

// begin opens an entry of a fish with what stood before its name.
func (g *grouping) begin(t catchToken) error {
	d := draft{fish: t, kept: -1, let: -1, fate: cNumber, about: g.about, many: g.many, limit: g.limit, short: g.short, legal: g.legal, time: g.time, who: g.who, clause: g.clause}
	for _, n := range g.pending {
		switch {
		case n.kind == cOne:
			d.article = true
		case n.kind == cRange:
			d.manyOf = true
		case n.wholeBare() && d.count == 0 && len(d.pre) == 0:
			if n.q.v < 1 || n.q.v > MaxCount {
				return &Unread{Said: n.said, Why: WhyRange, Example: catchExample}
			}
			d.count, d.spoken = int(n.q.v), n.spoken
		default:
			d.pre = append(d.pre, n)
		}
	}
	if prev := g.cur(); prev != nil && prev.clause == g.clause {
		d.joined = true
	}
	if g.prefix != nil {
		d.prefixed = true
		d.fate, d.fateSaid = g.prefix.kind, g.prefix.said
		if g.prefix.n > 0 {
			d.fate = cNumber
			if g.prefix.kind == cKept {
				d.kept = g.prefix.n
			} else {
				d.let = g.prefix.n
			}
		}
	}
	g.pending, g.prefix, g.about, g.many, g.limit, g.short, g.legal, g.time = nil, nil, false, false, false, false, false, ""
	g.got = append(g.got, d)
	return nil
}

// take gives one token, and those that belong to it, to an entry; it returns the next token.
func (g *grouping) take(i int) (int, error) {
	t, next, cur := g.toks[i], g.at(i+1), g.cur()
	switch t.kind {
	case cSep:
		g.clause++
	case cJoin:
		if (t.said == "landed" || t.said == "got" || t.said == "caught" || t.said == "i got" || t.said == "managed") && next.kind == cIt && cur != nil && cur.lost {
			cur.lost = false // "snapped me ... landed it"
		}
	case cIt, cChatter:
	case cWas:
		if cur != nil && cur.hasSize() {
			return 0, unread(t)
		}
	case cUnclear:
		if cur != nil || len(g.pending) > 0 {
			return 0, unread(t)
		}
		g.talk = true
	case cBlank:
		if cur != nil && next.kind == cUnknown && (lower(next.said) == "else" || lower(next.said) == "more") {
			return i + 2, nil
		}
		if g.out.Blank && len(g.who) == 0 || len(g.pending) > 0 || g.prefix != nil || cur != nil && len(g.who) == 0 {
			return 0, unread(t)
		}
		if cur == nil || len(cur.who) == 0 {
			g.out.Blank = true
		}
	case cFish:
		if cur != nil && cur.tok == i-1 && len(g.pending) == 0 && len(t.species) == 1 && len(cur.fish.species) == 1 && t.species[0] == cur.fish.species[0] {
			cur.fish.said, cur.tok = cur.fish.said+" "+t.said, i // "rat king": one fish called twice
			return i + 1, nil
		}
		err := g.begin(t)
		if err == nil {
			g.cur().tok = i
		}
		return i + 1, err
	case cUnknown:
		return g.unknown(i)
	case cPerson, cMe:
		return g.person(i)
	case cTalk:
		if n := len(g.pending); n > 0 && g.pending[n-1].kind == cNumber && !g.fishAt(i+1) && cur == nil {
			t.said = "fish"
			return i + 1, g.begin(t)
		}
		g.talk = true
	case cOne:
		switch k, _ := g.beyond(i + 1); {
		case k.kind == cHours:
			g.out.Effort.Hours = 1
			return i + 2, nil
		case k.kind == cFish, k.kind == cNumber, k.kind == cUnknown, k.kind == cShort, k.kind == cLegal, k.kind == cMore, k.kind == cAbout, k.kind == cBig, k.kind == cSmall, k.kind == cTalk, k.kind == cLost:
			g.pending = append(g.pending, t)
		case cur == nil:
			return 0, unread(t)
		}
	case cAbout:
		switch {
		case next.kind == cNumber:
			if k := g.at(i + 2).kind; cur != nil && k != cFish && k != cRods && k != cHours {
				cur.about = true
			} else if k == cFish || cur == nil {
				g.about = true
			}
		case cur != nil && (g.at(i-1).kind == cNumber || g.at(i-1).kind == cMeasure || g.at(i-1).kind == cJoin && g.at(i-2).kind == cNumber) && cur.hasSize():
			cur.about = true // "40 or so"
		case t.said == "over" || t.said == "under" || t.said == "above" || t.said == "around": // "over by the reef"
		default:
			return 0, unread(t)
		}
	case cNumber:
		return g.number(i)
	case cRange:
		if cur == nil || g.fishAt(i+1) {
			g.pending = append(g.pending, t)
			break
		}
		cur.ranged, cur.rangeSaid = true, t.said
	case cTimes:
		switch {
		case t.n > MaxCount:
			return 0, &Unread{Said: t.said, Why: WhyRange, Example: catchExample}
		case cur == nil && t.counter:
			g.pending = append(g.pending, catchToken{kind: cNumber, said: t.said, q: quantity{v: float64(t.n), whole: true}, spoken: true})
		case cur == nil || cur.count > 0 || len(g.pending) > 0:
			return 0, unread(t)
		default:
			cur.count, cur.spoken = t.n, true
			cur.repeat = len(cur.post)+len(cur.pre) == 1
		}
	case cMeasure:
		if cur == nil || cur.measure != "" && cur.measure != t.said || !cur.hasSize() {
			return 0, unread(t)
		}
		cur.measure = t.said
	case cNote:
		if cur != nil && cur.note == "" {
			cur.note = t.said
		}
	case cEach:
		switch {
		case cur != nil && len(cur.who) > 1:
			cur.perPerson = true
		case cur != nil && (cur.hasSize() || next.kind == cNumber && g.at(i+2).kind != cFish):
			cur.each = true
		default:
			return 0, g.doubt(t.said, AskWho)
		}
	case cShared:
		g.shared = t.said
	case cMore:
		return g.more(i)
	case cMany:
		g.howMany(i)
		if next.kind == cRest {
			return i + 2, nil
		}
	case cLimit:
		if k, _ := g.beyond(i + 1); k.kind == cFish || cur == nil {
			g.limit = true
		} else {
			cur.limit = true
		}
	case cTime:
		if cur != nil && cur.clause == g.clause && cur.time == "" {
			cur.time = t.said
		} else {
			g.time = t.said
		}
	case cCut:
		g.flag("line_left_in_fish")
		if cur != nil {
			cur.cut = true
		} else {
			g.out.Lost = true
		}
	case cMark:
		g.flag(remarks[t.said])
	case cLost:
		return g.lose(i)
	case cUpTo:
		return g.upTo(i)
	case cBig, cSmall:
		switch {
		case (next.kind == cKept || next.kind == cLetGo) && cur != nil:
			return i + 2, cur.setFate(next, 1)
		case next.kind == cNumber:
			return g.upTo(i)
		}
	case cShort:
		switch {
		case cur == nil || next.kind == cFish || g.fishAt(i+1) && cur.clause != g.clause:
			g.short = true
		default:
			cur.short = true
		}
	case cLegal:
		if cur == nil || next.kind == cFish {
			g.legal = true
			g.talk = true
		} else {
			cur.legal = true
		}
	default:
		return g.fate(i)
	}
	return i + 1, nil
}

func (g *grouping) flag(s string) {
	if !slices.Contains(g.out.Flags, s) {
		g.out.Flags = append(g.out.Flags, s)
	}
}

// doubt ends the reading with a question about the whole; what was read so far comes along.
func (g *grouping) doubt(said string, q Word) error {
	for i := range g.got {
		e, _ := g.got[i].entry(g.g)
		g.out.Entries = append(g.out.Entries, e)
	}
	return &Doubt{Said: said, Question: q}
}

// unknown is a word of no table: a fish of a slip, a person, or a remark.
func (g *grouping) unknown(i int) (int, error) {
	t, cur := g.toks[i], g.cur()
	if g.out.Blank && cur == nil && len(g.pending) == 0 {
		return i + 1, nil // where it was
	}
	next, k := g.beyond(i + 1)
	number := next.kind == cNumber || next.kind == cTimes || next.kind == cRange
	if number && next.kind == cNumber { // "2 rods" after a word is effort, not a length
		if after := g.at(k + 1).kind; after == cRods || after == cHours || after == cMinutes {
			number = false
		}
	}
	if g.g.Fish == nil {
		return 0, &Unread{Said: t.said, Why: WhyNoFish, Example: catchExample}
	}
	found, sure, fish := g.guess(t)
	if !sure && g.calls(i) {
		return g.named(i, whose{name: strings.TrimSuffix(strings.TrimSuffix(t.said, "'s"), "’s")})
	}
	colon := g.at(i+1).kind == cSep && g.at(i+1).said == ":" && g.at(i+2).kind == cNumber
	place := len(g.pending) > 0 || g.short || g.many || g.limit || g.prefix != nil && cur == nil || number || colon ||
		cur == nil && (i == 0 || g.at(i-1).kind == cJoin) && (next.kind == cKept || next.kind == cLetGo || next.kind == cAbout || next.kind == cLegal || len(g.toks) == 1)
	if k == i+1 && next.kind == cFish && (place || cur == nil && i == 0) { // "2 pikey bream": of another kind than bream alone
		if next.notFish == "" {
			g.toks[k].said, g.toks[k].unsure = t.said+" "+next.said, true
		}
		return i + 1, nil
	}
	if cur != nil && cur.tok == i-1 && fish && sure && len(found) == 1 && len(cur.fish.species) == 1 && found[0] == cur.fish.species[0] {
		place = true
	}
	if !place {
		if cur == nil && !fish {
			return i + 1, nil // a word before the fish; with no fish the whole is refused
		}
		if cur != nil {
			return i + 1, nil // a remark
		}
	}
	if !fish {
		return 0, &Unread{Said: t.said, Why: WhyNoFish, Example: catchExample}
	}
	if cur != nil && cur.tok == i-1 && len(g.pending) == 0 && len(found) == 1 && len(cur.fish.species) == 1 && found[0] == cur.fish.species[0] {
		cur.fish.said, cur.tok = cur.fish.said+" "+t.said, i
		return i + 1, nil
	}
	if err := g.begin(catchToken{kind: cFish, said: t.said, species: found, unsure: !sure, plural: len(t.said) > 3 && t.said[len(t.said)-1] == 's'}); err != nil {
		return 0, err
	}
	g.cur().tok = i
	return i + 1, nil
}

// calls says whether a word that is no fish names somebody: "Tarn 2 bream", "Tarn: 2 bream", "me and Brix 4 luderick".
func (g *grouping) calls(i int) bool {
	t := g.toks[i]
	if g.cur() != nil && !t.capital || len(g.pending) > 0 {
		return false
	}
	if !t.capital && (g.g.Person != nil || i > 0 && g.whoAt != i-2) {
		return false
	}
	next, k := g.beyond(i + 1)
	if next.kind == cSep && next.said == ":" {
		next, k = g.beyond(k + 1)
	}
	switch next.kind {
	case cNumber, cTimes:
		after := g.at(k + 1).kind
		return g.fishAt(k+1) || t.capital && g.cur() != nil && next.wholeBare() && (after == cSep || after == cJoin || after == cKept || after == cLetGo || after == cNumber) // "me 3 bream, Brix 2"
	case cFish: // "Dell pig 38"
		return t.capital && (i == 0 || g.at(i-1).kind == cSep)
	case cOne, cMany, cBlank:
		return next.kind == cBlank && t.capital || g.fishAt(k+1)
	case cUnknown, cPerson, cMe:
		return t.capital && k > i+1 && next.capital && g.at(k+1).kind == cNumber // "Tarn and Oda 4 luderick each"
	case cKept, cLetGo:
		return t.capital && g.at(k+1).kind == cNumber && g.fishAt(k+2)
	}
	return false
}

// person is somebody of the crew, or the writer.
func (g *grouping) person(i int) (int, error) {
	t, cur := g.toks[i], g.cur()
	if t.n == 1 { // "for Chidi"
		if cur != nil {
			cur.who = []whose{{name: t.said}}
			return i + 1, nil
		}
		return g.named(i, whose{name: t.said})
	}
	next, k := g.beyond(i + 1)
	if next.kind == cSep && next.said == ":" {
		next, _ = g.beyond(k + 1)
	}
	leads := next.kind == cNumber || next.kind == cOne || next.kind == cFish || next.kind == cKept || next.kind == cLetGo || next.kind == cBlank || next.kind == cPerson ||
		next.kind == cMany || next.kind == cMe || next.kind == cUnknown || next.kind == cTimes || next.kind == cLost || next.kind == cAbout
	if t.kind == cMe {
		if leads && (cur == nil || g.at(i-1).kind == cSep || g.at(i-1).kind == cJoin) {
			return g.named(i, whose{me: true})
		}
		return i + 1, nil
	}
	if !leads || len(g.pending) > 0 {
		return 0, unread(t)
	}
	return g.named(i, whose{name: t.said})
}

// named takes somebody for the one whose fish follow; with others named right before, for one of them.
func (g *grouping) named(i int, w whose) (int, error) {
	if !w.me && g.g.Person != nil && !g.g.Person(w.name) && g.toks[i].kind == cUnknown && !(g.at(i+1).kind == cSep && g.at(i+1).said == ":") {
		return 0, g.doubt(w.name, AskWho) // most likely a slip: say "Tarn: 2 bream" for somebody who is not of the crew
	}
	joined := g.whoAt >= 0
	for k := g.whoAt + 1; joined && k < i; k++ {
		joined = g.at(k).kind == cJoin
	}
	if joined && g.whoAt >= 0 {
		g.who = append(slices.Clone(g.who), w)
	} else {
		g.who = []whose{w}
	}
	g.whoAt = i
	return i + 1, nil
}

// howMany notes that a number is not known.
func (g *grouping) howMany(i int) {
	t, cur := g.toks[i], g.cur()
	switch next, _ := g.beyond(i + 1); {
	case next.kind == cFish || cur == nil:
		g.many, g.talk = true, true
	case t.said == "lost count" || t.said == "lost count of" || cur.count == 0 && !cur.hasSize():
		cur.many = true
	}
}

// more is "another 33", "two more": the fish of before.
func (g *grouping) more(i int) (int, error) {
	cur := g.cur()
	if cur == nil || g.fishAt(i+1) {
		if g.fishAt(i+1) && len(g.pending) == 0 {
			g.pending = append(g.pending, catchToken{kind: cOne, said: g.toks[i].said})
		}
		return i + 1, nil
	}
	if next := g.at(i + 1); next.kind == cUnknown {
		return i + 1, nil // "more soon": a remark
	}
	fish := cur.fish
	if len(g.pending) == 0 {
		g.pending = append(g.pending, catchToken{kind: cOne, said: g.toks[i].said})
	}
	if err := g.begin(fish); err != nil {
		return 0, err
	}
	g.cur().fish.plural = false
	if n := g.at(i + 1); n.wholeBare() && g.cur().count == 0 {
		if tally, _, _, _ := g.g.bounds(); n.q.v <= tally && n.q.v >= 1 {
			g.cur().count, g.cur().spoken = int(n.q.v), true
			return i + 2, nil
		}
	}
	return i + 1, nil
}

// lose takes what was lost out of the line: it is no catch.
func (g *grouping) lose(i int) (int, error) {
	cur := g.cur()
	n, other, k := 0, false, i+1
scan:
	for ; k < len(g.toks); k++ {
		switch t := g.toks[k]; t.kind {
		case cSep, cKept, cLetGo, cPerson, cBlank, cLost, cRest, cHours, cRods:
			break scan
		case cJoin:
			if t.said != "of" && t.said != "with" {
				break scan
			}
		case cNumber:
			if after := g.at(k + 1).kind; after == cHours || after == cRods || after == cMinutes {
				break scan
			}
			if t.wholeBare() && n == 0 {
				n = int(t.q.v)
			}
			other = true
		case cFish:
			g.lost = &g.toks[k]
			other = true
		case cUnknown:
			if found, sure, fish := g.guess(t); fish && sure {
				g.lost = &catchToken{kind: cFish, said: t.said, species: found}
				other = true
			}
		case cOne, cMany, cBig, cMore, cSmall:
			other = true
			if t.kind == cOne {
				n = max(n, 1)
			}
		}
	}
	g.out.Lost = true
	if before := g.at(i - 1); before.kind == cJoin && (before.said == "and" || before.said == "plus" || before.said == "&" || before.said == "+" || before.said == "y" || before.said == "e") {
		other = true // "bream 31 and bust off": one more, which got away
	}
	switch {
	case cur != nil && len(g.pending) == 1 && g.pending[0].kind == cOne: // "and a bust off"
		g.pending = nil
		g.out.LostN += max(n, 1)
	case !other && cur != nil && cur.clause == g.clause && cur.fate == cNumber && cur.kept < 0 && cur.let < 0:
		cur.lost = true
	case len(g.pending) > 0: // "2 lost", "a bust off"
		if p := g.pending[0]; p.wholeBare() {
			n = max(n, int(p.q.v))
		}
		g.pending = nil
		g.out.LostN += n
	default:
		g.out.LostN += n
	}
	return k, nil
}

// upTo is "to 3lb", "biggest 45": what was measured is the largest; "28 to 34" is a range.
func (g *grouping) upTo(i int) (int, error) {
	cur, next := g.cur(), g.at(i+1)
	if next.kind == cAbout {
		next = g.at(i + 2)
		if cur != nil && next.kind == cNumber {
			cur.about = true
			i++
		}
	}
	if next.kind != cNumber || cur == nil {
		return i + 1, nil
	}
	if t := g.toks[i]; (t.said == "to" || t.said == "hasta" || t.said == "até") && len(cur.post) > 0 && g.at(i-1).kind == cNumber {
		cur.rangeSaid = cur.post[len(cur.post)-1].said + "–" + next.said
		cur.post = cur.post[:len(cur.post)-1]
		cur.ranged = true
		return i + 2, nil
	}
	cur.top = true
	cur.post = append(cur.post, next)
	return i + 2, nil
}

// number gives a number to what it counts or measures.
func (g *grouping) number(i int) (int, error) {
	t, next, cur := g.toks[i], g.at(i+1), g.cur()
	tally, _, long, _ := g.g.bounds()
	before := g.at(i - 1).kind
	if cur != nil && g.whoAt > cur.tok && t.wholeBare() && len(g.pending) == 0 && g.justNamed(i) && !g.fishAt(i+1) && next.kind != cRods && next.kind != cHours && next.kind != cMinutes {
		g.pending = append(g.pending, t) // "me 3 bream, Brix 2"
		fish := cur.fish
		if t.q.v >= long {
			g.pending[0].kind = cOne
			g.toks[i].spoken = false
		}
		if err := g.begin(fish); err != nil {
			return 0, err
		}
		g.cur().tok, g.cur().spoken = i, true
		if t.q.v >= long {
			g.cur().post = append(g.cur().post, t)
		}
		return i + 1, nil
	}
	switch {
	case next.kind == cRods || next.kind == cHours || next.kind == cMinutes:
		if !t.q.whole && next.kind == cRods || t.q.unit != "" || t.q.v <= 0 || t.q.v > 48 && next.kind != cMinutes || t.q.v > 2880 {
			return 0, unread(t)
		}
		switch next.kind {
		case cRods:
			g.out.Effort.Rods = int(t.q.v)
		case cHours:
			g.out.Effort.Hours += t.q.v
		default:
			g.out.Effort.Hours += t.q.v / 60
		}
		return i + 2, nil
	case next.kind == cLost && t.wholeBare() && (t.q.v <= tally || t.spoken):
		g.out.Lost = true
		g.out.LostN += int(t.q.v)
		return i + 2, nil
	case next.kind == cMore && cur != nil && t.wholeBare() && !g.fishAt(i+2):
		g.pending = append(g.pending, t)
		return i + 1, nil
	case g.fishAt(i + 1):
		// Without a comma a number between two names may be the length of the first.
		if cur != nil && !cur.hasNumber() && t.q.unit == "" && t.q.v >= long && g.at(i+2).kind == cNumber && (g.at(i+2).q.v >= long || g.at(i+2).q.unit != "") && before != cSep && before != cJoin {
			cur.post = append(cur.post, t) // "bream 31 tarwhine 26": each has its own
			return i + 1, nil
		}
		if cur != nil && before != cSep && before != cJoin && before != cPerson && before != cMe && before != cUnknown && t.q.unit == "" && !t.spoken && (t.q.v >= long || !cur.hasNumber()) {
			return 0, g.doubt(t.said+" "+next.said, AskTally)
		}
		g.pending = append(g.pending, t)
		return i + 1, nil
	case next.kind == cUnknown && cur != nil && (before == cSep || before == cJoin) && t.wholeBare() && t.q.v <= tally:
		g.pending = append(g.pending, t) // "and 2 grondles"
		return i + 1, nil
	case next.kind == cNumber:
		if cur != nil && t.spoken && t.q.v == 1 && len(g.pending) == 0 && (next.q.unit != "" || next.q.v >= long) && !g.fishAt(i+2) {
			return i + 1, nil // "one 31, one 33"
		}
		if cur == nil || t.spoken {
			g.pending = append(g.pending, t)
			return i + 1, nil
		}
		if g.fishAt(i+2) && (before == cSep || before == cJoin) {
			g.pending = append(g.pending, t)
			return i + 1, nil
		}
	case next.kind == cShort && cur != nil && t.wholeBare() && cur.hasNumber() && (t.q.v <= tally || t.spoken):
		cur.shorts = int(t.q.v)
		return i + 2, nil
	case next.kind == cKept || next.kind == cLetGo:
		if cur != nil && cur.count == 0 && !cur.hasSize() && t.wholeBare() && t.q.v <= tally && next.n == 0 && next.q.unit == "" && (cur.kept >= 0 || cur.let >= 0 || g.countsOn(i+2, next.kind)) {
			return i + 2, cur.setFate(next, int(t.q.v)) // "luderick: 3 kept, 2 released"
		}
		if cur != nil && t.wholeBare() && next.n == 0 && next.q.unit == "" && (cur.hasNumber() || cur.many) && (t.q.v <= tally || t.spoken) &&
			(g.at(i+2).kind != cNumber || g.at(i+3).kind == cKept || g.at(i+3).kind == cLetGo || g.fishAt(i+3) || g.at(i+3).kind == cRods || g.at(i+3).kind == cHours) {
			return i + 2, cur.setFate(next, int(t.q.v))
		}
		if cur != nil && t.q.unit == "" && t.q.v >= long && next.n == 0 && next.q.unit == "" && cur.measured(t) && cur.ones == 0 && len(cur.pre)+len(cur.post) > 1 {
			return i + 2, cur.setFate(next, 1) // "35 & 40, 40 kept"
		}
		if cur != nil && t.q.v >= long && next.n == 0 && next.q.unit == "" && cur.ones == 0 && cur.count == 0 && cur.fate != cNumber && !cur.all && len(cur.pre)+len(cur.post) == 1 {
			cur.ones = 1 // "31cm bream kept, 29 let go"
			if cur.fate == cKept {
				cur.onesKept = 1
			}
			cur.fate = cNumber
		}
		// "2 bream, 31 kept 28 back": a fate each.
		if cur != nil && t.q.v >= long && next.n == 0 && next.q.unit == "" && (cur.ones > 0 || g.fates(i+2)) {
			cur.post = append(cur.post, t)
			cur.ones++
			if next.kind == cKept {
				cur.onesKept++
			}
			return i + 2, nil
		}
	}
	if cur != nil && len(g.pending) == 1 && g.pending[0].kind == cOne && !t.spoken { // "31, 32 and a 40"
		g.pending = nil
	}
	if cur == nil || len(g.pending) > 0 {
		g.pending = append(g.pending, t)
		return i + 1, nil
	}
	if t.spoken {
		if next.kind == cNumber && t.q.v == 1 && (next.q.unit != "" || next.q.v >= long) { // "one 31, one 33"
			return i + 1, nil
		}
		return 0, g.doubt(t.said, AskCount)
	}
	cur.post = append(cur.post, t)
	return i + 1, nil
}

// justNamed says whether nothing but a colon or a word between stands after whom the fish belong to.
func (g *grouping) justNamed(i int) bool {
	for k := g.whoAt + 1; k < i; k++ {
		if t := g.at(k); t.kind != cJoin && !(t.kind == cSep && t.said == ":") {
			return false
		}
	}
	return true
}

// countsOn says whether a number of fish with the other fate follows.
func (g *grouping) countsOn(k int, than catchKind) bool {
	for g.at(k).kind == cJoin || g.at(k).kind == cSep && k < len(g.toks) {
		k++
	}
	tally, _, _, _ := g.g.bounds()
	after := g.at(k + 1)
	return g.at(k).wholeBare() && g.at(k).q.v <= tally && (after.kind == cKept || after.kind == cLetGo) && after.kind != than
}

// fates says whether another length with a fate of its own follows before the next fish.
func (g *grouping) fates(k int) bool {
	_, _, long, _ := g.g.bounds()
	for ; k < len(g.toks) && g.toks[k].kind != cFish; k++ {
		if t := g.toks[k]; t.kind == cNumber && t.q.v >= long && (g.at(k+1).kind == cKept || g.at(k+1).kind == cLetGo) && !g.fishAt(k+1) {
			return true
		}
	}
	return false
}

// fate is what became of fish, with all, both, the rest and none.
func (g *grouping) fate(i int) (int, error) {
	t, next, cur := g.toks[i], g.at(i+1), g.cur()
	isFate := func(x catchToken) bool { return (x.kind == cKept || x.kind == cLetGo) && x.n == 0 && x.q.unit == "" }
	switch t.kind {
	case cAll, cBoth:
		k, at := g.beyond(i + 1)
		switch {
		case cur == nil && k.kind == cShort, cur == nil && k.kind == cLegal:
			g.talk = true
			return at + 1, nil
		case cur == nil:
			return 0, unread(t)
		case next.kind == cAbout && t.kind == cAll && !cur.hasSize():
			cur.each = true
			return i + 1, nil
		case k.kind == cNumber && t.kind == cAll && len(cur.pre)+len(cur.post) <= 1, k.kind == cRange && t.kind == cAll: // "5 luderick all 32"
			cur.each = k.kind == cNumber && !cur.hasSize()
			return i + 1, nil
		case k.kind == cShort:
			cur.short, cur.all = true, true
			return at + 1, nil
		case k.kind == cLegal:
			return at + 1, nil
		case isFate(k):
			cur.all, cur.both = true, t.kind == cBoth
			return at + 1, cur.setFate(k, -1)
		}
		return 0, unread(t)
	case cRest:
		k, at := g.beyond(i + 1)
		if cur == nil || !isFate(k) && k.kind != cShort {
			if cur != nil && (cur.kept >= 0 || cur.let >= 0) {
				return i + 1, nil
			}
			return 0, unread(t)
		}
		if k.kind == cShort {
			k.kind = cLetGo
		}
		return at + 1, cur.restTo(k)
	case cNone:
		k, at := g.beyond(i + 1)
		switch {
		case cur == nil:
			g.talk = true
			return i + 1, nil
		case k.kind == cKept:
			k.kind = cLetGo
			cur.all = true
			return at + 1, cur.setFate(k, -1)
		case k.kind == cLegal:
			cur.short = true
			return at + 1, nil
		}
		return 0, unread(t)
	case cNo:
		k, at := g.beyond(i + 1)
		switch {
		case cur == nil && (k.kind == cKept || k.kind == cLegal || k.kind == cTalk):
			g.talk = true
			return at + 1, nil
		case cur == nil && k.kind == cFish && len(g.pending) == 0: // "no bream, just a rat"
			g.talk = true
			return at + 1, nil
		case cur != nil && (k.kind == cKept || k.kind == cLegal):
			return at + 1, cur.setFate(catchToken{kind: cLetGo, said: t.said}, -1)
		case cur != nil && next.kind == cSep && cur.hasSize():
			return i + 1, cur.setFate(catchToken{kind: cLetGo, said: t.said}, -1)
		}
		return 0, unread(t)
	case cKept, cLetGo:
		return g.keptOrNot(i)
	}
	return 0, unread(t)
}

func (g *grouping) keptOrNot(i int) (int, error) {
	t, next, cur := g.toks[i], g.at(i+1), g.cur()
	_, _, long, _ := g.g.bounds()
	if cur == nil {
		switch {
		case g.prefix != nil || t.q.unit != "" && t.q.unit != "it":
			return 0, unread(t)
		case len(g.pending) > 0:
			if p := g.pending[0]; p.wholeBare() && t.n == 0 && g.at(i+1).kind != cFish && !g.fishAt(i+1) {
				return 0, &Doubt{Said: p.said, Question: AskWhatFish}
			}
			return 0, &Doubt{Said: g.pending[0].said, Question: AskWhatFish}
		}
		if of := g.at(i + 2); t.n == 0 && next.wholeBare() && next.q.v >= 1 && of.kind == cJoin && of.said == "of" && g.at(i+3).wholeBare() && g.fishAt(i+4) {
			t.n = int(next.q.v) // "kept 2 of 5 tailor"
			g.prefix = &t
			return i + 3, nil
		}
		g.prefix = &g.toks[i]
		return i + 1, nil
	}
	if t.n > 0 { // let 3 go
		return i + 1, cur.setFate(t, t.n)
	}
	switch {
	case t.q.unit == "rest" || next.kind == cRest && t.q.unit == "":
		if next.kind == cRest {
			i++
		}
		return i + 1, cur.restTo(t)
	case t.q.unit == "it":
		cur.it = true
	case t.q.unit == "all":
		cur.all = true
	case t.q.unit == "both":
		cur.all, cur.both = true, true
	case next.kind == cNone:
		if t.kind == cKept {
			t.kind = cLetGo
		} else {
			t.kind = cKept
		}
		cur.all = true
		return i + 2, cur.setFate(t, -1)
	case next.kind == cAll, next.kind == cBoth, next.kind == cIt:
		cur.all, cur.both, cur.it = next.kind != cIt, next.kind == cBoth, next.kind == cIt
		i++
	case next.kind == cOne && (g.at(i+2).kind == cSep || g.at(i+2).kind == cJoin || g.at(i+2).kind == cKept || g.at(i+2).kind == cLetGo): // "solté una"
		return i + 2, cur.setFate(t, 1)
	case next.kind == cSmall, next.kind == cBig && g.at(i+2).kind != cNumber:
		return i + 2, cur.setFate(t, 1)
	case next.kind == cNumber && (g.at(i+2).kind == cRods || g.at(i+2).kind == cHours || g.at(i+2).kind == cMinutes): // "kept 2 rods"
	case next.kind == cNumber && g.at(i+2).kind == cMore:
	case next.kind == cNumber && next.wholeBare() && next.q.v == 1 && g.fishAt(i+2) && (cur.count == 1 || cur.count == 0 && len(cur.pre)+len(cur.post) == 1):
		// "1 snapper 30 kept 1 tarwhine": one of one either way
	case next.kind == cNumber && g.fishAt(i+2), next.kind == cOne && g.fishAt(i+2), next.kind == cFish:
		return 0, g.doubt(t.said+" "+next.said, AskFate) // of the fish before, or of those after?
	case next.kind == cNumber && next.q.v >= long && cur.measured(next) && len(cur.pre)+len(cur.post) > 1:
		return i + 2, cur.setFate(t, 1) // "35 and 40, kept the 40"
	case next.kind == cHalf && cur.count > 0 && cur.count%2 == 0:
		return i + 2, cur.setFate(t, cur.count/2)
	case next.kind == cNumber:
		n := int(next.q.v)
		// "Kept 1 released": kept and one let go, or one kept and the rest let go?
		loose := (g.at(i+2).kind == cKept || g.at(i+2).kind == cLetGo) && g.at(i+2).n == 0 && g.at(i+2).q.unit == "" && g.at(i+3).kind != cNumber
		if !next.wholeBare() || next.q.v >= long && cur.count < n || loose {
			return 0, g.doubt(t.said+" "+next.said, AskFate)
		}
		return i + 2, cur.setFate(t, n)
	}
	return i + 1, cur.setFate(t, -1)
}
