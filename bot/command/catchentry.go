package command

import (
	"fmt"
	"slices"
	"strings"

	"ledgehand/session/catch/names"
)

// draft is an entry while its parts are collected.
type draft struct {
	fish      catchToken
	count     int  // before the name or after x; 0 for none
	spoken    bool // the count was in words, or after x
	article   bool // "a snapper"
	pre       []catchToken
	post      []catchToken
	repeat    bool // "48 x2": the length before x is that of each
	each      bool // "all about 32"
	about     bool
	measure   string
	note      string
	fate      catchKind // cKept or cLetGo of all of it; cNumber for none
	fateSaid  string
	all       bool // the fate said all
	both, it  bool
	kept, let int // -1: no number said

	ones, onesKept int // lengths with a fate of their own, and how many of those were kept
	shorts         int // "2 undersize" of them
	lost           bool
	prefixed       bool // the fate stood before the name
	joined         bool // "and" alone stands between it and the one before
	many, manyOf   bool // how many is not said; between two numbers
	limit          bool
	short, legal   bool // undersize; legal, as they said
	cut            bool // the line was cut
	top            bool // what was measured is the largest
	ranged         bool
	rangeSaid      string
	perPerson      bool
	who            []whose
	time           string
	clause         int
	tok            int // where its name stands
}

func (d *draft) hasFate() bool { return d.fate != cNumber || d.kept >= 0 || d.let >= 0 }

// Bare numbers in the group's unit. Below short no fish is reported by length; from long on, no
// tally is likelier than a length; up to tally, a lone number counts fish. Between tally and long
// it is asked (common practice, no source).
func (g Terms) bounds() (tally, short, long, top float64) {
	if g.Units == Imperial {
		return 5, 3, 13, 80
	}
	return 7, 5, 15, 200
}

// wholeBare says whether a number can be a count.
func (t catchToken) wholeBare() bool {
	return t.kind == cNumber && t.q.whole && t.q.unit == "" && !t.q.more
}

// hasNumber says whether the entry has a count or a length already.
func (d *draft) hasNumber() bool { return d.count > 0 || len(d.pre)+len(d.post) > 0 }

func lower(s string) string { return strings.ToLower(s) }

// hasSize says whether anything was measured.
func (d *draft) hasSize() bool { return len(d.pre)+len(d.post) > 0 }

// measured says whether a number stands among the sizes already.
func (d *draft) measured(t catchToken) bool {
	for _, x := range append(slices.Clone(d.pre), d.post...) {
		if x.q.v == t.q.v && (x.q.unit == t.q.unit || t.q.unit == "" && grams[x.q.unit] == 0) {
			return true
		}
	}
	return false
}

// restTo says what became of those of which nothing else was said.
func (d *draft) restTo(t catchToken) error {
	said := d.kept
	if t.kind == cKept {
		said = d.let
	}
	if said < 0 || d.fate != cNumber {
		return &Doubt{Said: t.said, Question: AskFate}
	}
	return nil // the other number says it
}

// setFate notes what became of n of the entry's fish, -1 for all of them.
func (d *draft) setFate(t catchToken, n int) error {
	clash := &Doubt{Said: t.said, Question: AskFate}
	if d.fate != cNumber {
		return clash
	}
	if n < 0 {
		if d.kept >= 0 || d.let >= 0 {
			return clash
		}
		d.fate, d.fateSaid = t.kind, t.said
		return nil
	}
	to := &d.kept
	if t.kind == cLetGo {
		to = &d.let
	}
	if *to >= 0 {
		return clash
	}
	*to, d.fateSaid = n, t.said
	return nil
}

// finish turns the drafts into entries. The first doubt is returned, with all that was read.
func (r *catchReader) finish() (CatchLine, error) {
	var first error
	note := func(err error) {
		if first == nil && err != nil {
			first = err
		}
	}
	landed := r.got[:0]
	for _, d := range r.got {
		if d.lost {
			r.out.LostN += d.count
			continue
		}
		landed = append(landed, d)
	}
	for i := 1; i < len(landed); i++ { // "kept 2 bream and 3 tailor"
		d, before := &landed[i], landed[i-1]
		if d.joined && before.prefixed && before.fate != cNumber && !d.hasFate() && !d.short {
			d.prefixed, d.fate, d.fateSaid = true, before.fate, before.fateSaid
		}
	}
	if n := len(landed); n > 1 {
		last := &landed[n-1]
		for i := range landed[:n-1] {
			switch earlier := &landed[i]; {
			case earlier.hasFate() || earlier.short || !last.hasFate() || last.prefixed:
			case last.all && !last.both && last.fate != cNumber, last.both && n == 2:
				earlier.fate, earlier.fateSaid = last.fate, last.fateSaid
				last.both = false
			case last.clause != earlier.clause: // "2 bream, 1 tailor kept"
				note(&Doubt{Said: last.fateSaid, Question: AskFate})
			default:
				note(&Doubt{Said: last.fateSaid, Question: AskFate})
			}
		}
	}
	if r.shared != "" && len(landed) > 0 {
		note(&Doubt{Said: r.shared, Question: AskWho})
	}
	times := map[string]bool{}
	for i := range landed {
		d := &landed[i]
		e, err := d.entry(r.g)
		if r.out.LostN > 0 && d.kept >= 0 && d.let < 0 && e.Count == d.kept+r.out.LostN && d.fate == cNumber {
			note(&Doubt{Said: d.fateSaid, Question: AskFate}) // "2 pigs kept 1 lost 1": two landed, or two hooked?
		}
		if _, refused := err.(*Unread); refused {
			return CatchLine{}, err
		}
		note(err)
		if d.time != "" {
			times[d.time] = true
		}
		switch {
		case len(d.who) > 1 && d.perPerson:
			for _, w := range d.who {
				e.Who, e.Me = w.name, w.me
				r.out.Entries = append(r.out.Entries, e)
			}
			continue
		case len(d.who) > 1:
			note(&Doubt{Said: d.fish.said, Question: AskWho})
		case len(d.who) == 1:
			e.Who, e.Me = d.who[0].name, d.who[0].me
		}
		if e.Wide && len(e.Species) > 1 && r.out.Ask == "" && !(e.Kept != nil && *e.Kept == 0) {
			r.out.Ask = AskSpecies
		}
		r.out.Entries = append(r.out.Entries, e)
	}
	if !slices.ContainsFunc(r.out.Entries, func(e Entry) bool { return e.Who != "" }) {
		for i := range r.out.Entries { // "I got 2 bream": nobody else's are in the line
			r.out.Entries[i].Me = false
		}
	}
	if len(times) > 1 {
		note(&Doubt{Said: r.line, Question: AskCatchTime})
	}
	if r.out.Effort.Hours > 0 && r.out.Effort.Rods == 0 {
		r.out.Effort.Rods = 1
	}
	if r.out.Effort.Hours > 48 {
		return CatchLine{}, &Unread{Said: r.line, Why: WhyRange, Example: catchExample}
	}
	if r.out.Blank && r.out.Effort.Hours == 0 {
		r.out.Ask = AskEffort
	}
	return r.out, first
}

// entry works out count, lengths and fate.
func (d *draft) entry(g Terms) (Entry, error) {
	e := Entry{Named: d.fish.said, NotFish: d.fish.notFish, Measure: d.measure, Estimated: d.about, Note: d.note, Largest: d.top, Time: d.time, DayBefore: yesterday[d.time]}
	for _, s := range d.fish.species {
		e.Species = append(e.Species, s.ID)
	}
	e.Wide = wide[lower(d.fish.said)] && d.fish.notFish == "" && len(e.Species) != 1
	e.Unsure = d.fish.unsure
	var first error
	doubt := func(q Word, said string) {
		if first == nil {
			first = &Doubt{Said: said, Question: q}
		}
	}
	var sizes []catchToken
	for _, t := range append(d.pre, d.post...) {
		if _, isWeight := grams[t.q.unit]; isWeight {
			w, ok := t.q.grams()
			if !ok {
				return e, &Unread{Said: t.said, Why: WhyRange, Example: catchExample}
			}
			e.WeightsG = append(e.WeightsG, w)
			e.Estimated = e.Estimated || t.q.more
			continue
		}
		sizes = append(sizes, t)
	}
	e.Count = d.count
	if why := d.settleCount(g, &e, &sizes); why != "" {
		doubt(why, d.fish.said)
	}
	if d.ranged && e.Count > 0 { // between two lengths: none of them was measured
		e.Estimated, e.Note = true, strings.TrimSpace(e.Note+" "+d.rangeSaid)
	}
	tally, short, _, top := g.bounds()
	for _, t := range sizes {
		s, ok := t.q.size(g.Units)
		switch {
		case !ok, s.UM > MaxLengthUM, s.UM < MinLengthUM:
			return e, &Unread{Said: t.said, Why: WhyRange, Example: catchExample}
		case t.q.unit == "" && (t.q.v < short || t.q.v > top || len(sizes) > 1 && t.q.v <= tally):
			doubt(AskLength, t.said)
			continue
		}
		e.Lengths = append(e.Lengths, s)
		e.Estimated = e.Estimated || t.q.more
	}
	if e.Count > 1 && len(e.Lengths) == 1 && !d.top {
		switch {
		case d.repeat || d.each || sizes[0].q.more || d.about:
			e.Estimated = e.Estimated || d.each && d.about
			for range e.Count - 1 {
				e.Lengths = append(e.Lengths, e.Lengths[0])
			}
		default:
			doubt(AskLengths, d.fish.said)
		}
	} else if e.Count > 0 && len(e.Lengths) > e.Count {
		doubt(AskLengths, d.fish.said)
	}
	if n := len(e.WeightsG); n > e.Count && e.Count > 0 || n > 0 && n < e.Count && !d.top {
		doubt(AskLengths, d.fish.said)
	}
	if why := g.slip(d.fish.species, e); why != nil {
		return e, why
	}
	if err := d.settleFate(&e); err != nil && first == nil {
		first = err
	}
	switch {
	case e.NotFish != "" || e.Wide:
	case d.fish.kind == cTalk:
		e.Named = "fish"
		doubt(AskWhatFish, d.fish.said)
	case (len(e.Species) != 1 || e.Unsure) && first == nil:
		first = &Doubt{Said: d.fish.said, Question: AskSpecies, Species: e.Species}
	case len(e.Species) != 1 || e.Unsure:
		if x, ok := first.(*Doubt); ok && x.Question == AskTally {
			x.Species = e.Species // which fish is asked first
		}
	}
	return e, first
}

// slip refuses lengths and weights that no fish of the kind has.
func (g Terms) slip(species []names.Species, e Entry) error {
	if len(species) == 0 {
		return nil
	}
	for _, l := range e.Lengths {
		all := g.Longest != nil
		for _, s := range species {
			if g.Longest != nil {
				cm, ok := g.Longest(s, e.Measure == "FL")
				all = all && ok && float64(l.UM) > cm*10_000
			}
		}
		if all {
			return &Unread{Said: e.Named, Why: WhyRange, Example: catchExample}
		}
	}
	for _, w := range e.WeightsG {
		all := g.Heavier != nil
		for _, s := range species {
			all = all && g.Heavier(s, float64(w))
		}
		if all {
			return &Unread{Said: e.Named, Why: WhyRange, Example: catchExample}
		}
	}
	return nil
}

// settleCount works out how many fish there are where no count was typed, and whether the numbers
// after the name are lengths at all. It returns the question that is left.
func (d *draft) settleCount(g Terms, e *Entry, sizes *[]catchToken) Word {
	tally, _, long, top := g.bounds()
	list := *sizes
	if d.many || d.limit || d.manyOf {
		if d.limit || d.kept < 0 && d.let < 0 {
			e.Count = 0
			return AskCount
		}
		e.Count = 0
		return AskLetGo
	}
	if d.count > 0 {
		// "40 tailor": forty fish, or one of 40 cm with the word order of "45cm tailor"?
		said := d.spoken || len(list) > 0 || len(e.WeightsG) > 0 || d.all || d.kept >= 0 || d.let >= 0 || d.ranged || d.top || d.fish.notFish != "" || len(d.who) > 0
		if float64(d.count) >= long && !said {
			e.Count = 0
			return AskTally
		}
		return ""
	}
	if len(list) == 0 && len(e.WeightsG) == 0 && d.kept >= 0 && d.let >= 0 && d.kept+d.let > 0 {
		e.Count = d.kept + d.let
		return ""
	}
	switch {
	case d.ranged && len(list) == 1 && list[0].wholeBare() && list[0].q.v <= tally && list[0].q.v >= 1:
		e.Count, *sizes = int(list[0].q.v), nil
		return ""
	case d.ranged:
		*sizes = nil
		return AskTally // of one fish, or of how many
	case len(list) == 0 && len(e.WeightsG) > 1:
		e.Count = len(e.WeightsG)
		return ""
	case len(list) == 0 && (d.legal || d.short) && !d.fish.plural:
		e.Count = 1
		if !d.article && !d.short {
			return AskLength
		}
		return ""
	case len(list) == 0 && (d.article || len(e.WeightsG) == 1 || d.fish.notFish != "" && !d.fish.plural):
		e.Count = 1
		return ""
	case len(list) == 0:
		return AskCount
	case len(list) == 1:
		q := list[0].q
		one := d.article || d.ones > 0 || d.short || d.legal || d.cut || d.fate != cNumber && !d.all || d.measure != "" || d.about || q.more || len(e.WeightsG) > 0
		switch {
		case q.unit != "" || !q.whole:
			e.Count = 1
		case q.v <= tally && !d.article && d.measure == "" && !d.about && !q.more && len(e.WeightsG) == 0:
			e.Count, *sizes = int(q.v), nil
			if e.Count < 1 {
				return AskCount
			}
		case q.v > top:
			*sizes = nil
			return AskLength // millimetres?
		case q.v < long, d.fish.plural, int(q.v)%10 == 0 && !one:
			*sizes = nil
			return AskTally
		default:
			e.Count = 1
		}
		return ""
	}
	// "bream 2 31 33": a count first.
	if q := list[0].q; list[0].wholeBare() && q.v <= tally && int(q.v) == len(list)-1 {
		e.Count, *sizes = int(q.v), list[1:]
		return ""
	}
	e.Count = len(list)
	return ""
}

// settleFate works out how many were kept and let go.
func (d *draft) settleFate(e *Entry) error {
	n := e.Count
	doubt := &Doubt{Said: d.fateSaid, Question: AskFate}
	if d.ones > 0 {
		kept, let := d.onesKept, d.ones-d.onesKept
		if d.hasFate() || kept+let != n {
			return doubt
		}
		e.Kept, e.Released = &kept, &let
		return nil
	}
	if !d.hasFate() {
		if (d.short || d.cut) && n > 0 { // what is undersize, or was cut off at the trace, went back
			none := 0
			e.Kept, e.Released = &none, &n
		} else if d.shorts > 0 {
			return doubt
		}
		return nil
	}
	if n == 0 && (d.many || d.limit) {
		if !d.limit {
			if d.kept >= 0 {
				e.Kept = &d.kept
			}
			if d.let >= 0 {
				e.Released = &d.let
			}
		}
		return nil
	}
	switch {
	case n == 0:
		return doubt
	case d.both && n != 2, d.it && n != 1:
		return doubt
	}
	kept, let := d.kept, d.let
	if d.shorts > 0 && let < 0 { // "kept 2, 3 undersize"
		let = d.shorts
	}
	switch {
	case d.fate == cKept && d.shorts > 0:
		kept, let = n-d.shorts, d.shorts
	case d.fate == cKept:
		kept, let = n, 0
	case d.fate == cLetGo:
		kept, let = 0, n
	case kept >= 0 && let < 0:
		let = n - kept
	case let >= 0 && kept < 0:
		kept = n - let
	}
	if kept < 0 || let < 0 || kept+let != n {
		return doubt
	}
	e.Kept, e.Released = &kept, &let
	return nil
}

// String is for test failures and logs of the owner's own machine only: it holds what was typed.
func (e Entry) String() string {
	show := func(p *int) string {
		if p == nil {
			return "?"
		}
		return fmt.Sprint(*p)
	}
	return fmt.Sprintf("%d %q %v lengths %v%s weights %v estimated %v kept %s released %s",
		e.Count, e.Named, e.Species, e.Lengths, e.Measure, e.WeightsG, e.Estimated, show(e.Kept), show(e.Released))
}
