package command

import (
	"fmt"
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

// group gives each token to an entry.
func (r *catchReader) group() error {
	var pending []catchToken // numbers and articles before a name
	var prefix *catchToken   // "released a 45cm tailor"
	about := false
	unread := func(t catchToken) error { return &Unread{Said: t.said, Why: WhyToken, Example: catchExample} }
	tally, _, long, _ := r.g.bounds()
	for i := 0; i < len(r.toks); i++ {
		t := r.toks[i]
		at := func(k int) catchToken {
			if k < 0 || k >= len(r.toks) {
				return catchToken{kind: cSep}
			}
			return r.toks[k]
		}
		var cur *draft
		if len(r.got) > 0 {
			cur = &r.got[len(r.got)-1]
		}
		switch t.kind {
		case cSep:
		case cBlank:
			if cur != nil || r.out.Blank || len(pending) > 0 || prefix != nil {
				return unread(t)
			}
			r.out.Blank = true
		case cFish:
			d := draft{fish: t, kept: -1, let: -1, fate: cNumber, about: about}
			for _, n := range pending {
				switch {
				case n.kind == cOne:
					d.article = true
				case n.wholeBare() && d.count == 0 && len(d.pre) == 0:
					if n.q.v < 1 || n.q.v > MaxCount {
						return &Unread{Said: n.said, Why: WhyRange, Example: catchExample}
					}
					d.count, d.spoken = int(n.q.v), n.spoken
				default:
					d.pre = append(d.pre, n)
				}
			}
			if prefix != nil {
				d.fate, d.fateSaid, d.all = prefix.kind, prefix.said, false
			}
			pending, prefix, about = nil, nil, false
			r.got = append(r.got, d)
		case cOne:
			if k := at(i + 1).kind; k != cFish && k != cNumber {
				return unread(t)
			}
			pending = append(pending, t)
		case cAbout:
			if k := at(i + 1); k.kind != cNumber {
				return unread(t)
			}
			if cur != nil && at(i+2).kind != cFish {
				cur.about = true
			} else {
				about = true
			}
		case cNumber:
			switch next := at(i + 1); next.kind {
			case cRods, cHours:
				if !t.q.whole && next.kind == cRods || t.q.unit != "" || t.q.v <= 0 || t.q.v > 48 {
					return unread(t)
				}
				if next.kind == cRods {
					r.out.Effort.Rods = int(t.q.v)
				} else {
					r.out.Effort.Hours = t.q.v
				}
				i++
				continue
			case cFish:
				// Without a comma a number between two names may be the length of the first.
				if cur != nil && at(i-1).kind != cSep && t.q.unit == "" && !t.spoken && (t.q.v >= long || !cur.hasNumber()) {
					return &Doubt{Said: t.said + " " + next.said, Question: AskTally}
				}
				pending = append(pending, t)
				continue
			case cNumber:
				if cur == nil || t.spoken {
					pending = append(pending, t)
					continue
				}
				if at(i+2).kind == cFish && at(i-1).kind == cSep {
					pending = append(pending, t)
					continue
				}
			case cKept, cLetGo:
				if cur != nil && t.wholeBare() && next.n == 0 && next.q.unit == "" && cur.hasNumber() && (t.q.v <= tally || t.spoken) &&
					(at(i+2).kind != cNumber || at(i+3).kind == cKept || at(i+3).kind == cLetGo) {
					if err := cur.setFate(next, int(t.q.v)); err != nil {
						return err
					}
					i++
					continue
				}
			}
			if cur == nil || len(pending) > 0 {
				pending = append(pending, t)
				continue
			}
			if t.spoken {
				return &Doubt{Said: t.said, Question: AskCount}
			}
			cur.post = append(cur.post, t)
		case cTimes:
			if cur == nil || cur.count > 0 || t.n > MaxCount {
				if t.n > MaxCount {
					return &Unread{Said: t.said, Why: WhyRange, Example: catchExample}
				}
				return unread(t)
			}
			cur.count, cur.spoken = t.n, true
			cur.repeat = len(cur.post)+len(cur.pre) == 1
		case cMeasure:
			m := map[string]string{"tl": "TL", "fl": "FL"}[t.said]
			if cur == nil || cur.measure != "" || len(cur.post)+len(cur.pre) == 0 {
				return unread(t)
			}
			cur.measure = m
		case cNote:
			if cur == nil || cur.note != "" {
				return unread(t)
			}
			cur.note = t.said
		case cAll, cBoth:
			if cur == nil {
				return unread(t)
			}
			switch next := at(i + 1); {
			case next.kind == cAbout && t.kind == cAll && len(cur.post) == 0:
				cur.each = true
			case (next.kind == cKept || next.kind == cLetGo) && next.n == 0 && next.q.unit == "":
				cur.all, cur.both = true, t.kind == cBoth
				if err := cur.setFate(next, -1); err != nil {
					return err
				}
				i++
			default:
				return unread(t)
			}
		case cIt:
			return unread(t)
		case cKept, cLetGo:
			next := at(i + 1)
			if cur == nil {
				if prefix != nil || t.n > 0 || t.q.unit != "" {
					return unread(t)
				}
				if len(pending) > 0 {
					return &Doubt{Said: pending[0].said, Question: AskWhatFish}
				}
				prefix = &r.toks[i]
				continue
			}
			if t.n > 0 { // let 3 go
				if err := cur.setFate(t, t.n); err != nil {
					return err
				}
				continue
			}
			switch {
			case t.q.unit == "it":
				cur.it = true
			case t.q.unit == "all":
				cur.all = true
			case t.q.unit == "both":
				cur.all, cur.both = true, true
			case next.kind == cAll, next.kind == cBoth, next.kind == cIt:
				cur.all, cur.both, cur.it = next.kind != cIt, next.kind == cBoth, next.kind == cIt
				i++
			case next.kind == cNumber && at(i+2).kind == cFish, next.kind == cOne, next.kind == cFish:
				return &Doubt{Said: t.said + " " + next.said, Question: AskFate} // of the fish before, or of those after?
			case next.kind == cNumber:
				n := int(next.q.v)
				// "Kept 1 released": kept and one let go, or one kept and the rest let go?
				loose := (at(i+2).kind == cKept || at(i+2).kind == cLetGo) && at(i+2).n == 0 && at(i+3).kind != cNumber
				if !next.wholeBare() || next.q.v >= long && cur.count < n || loose {
					return &Doubt{Said: t.said + " " + next.said, Question: AskFate}
				}
				if err := cur.setFate(t, n); err != nil {
					return err
				}
				i++
				continue
			}
			if err := cur.setFate(t, -1); err != nil {
				return err
			}
		case cRods, cHours:
			return unread(t)
		}
	}
	if len(pending) > 0 {
		return &Doubt{Said: pending[0].said, Question: AskWhatFish}
	}
	if prefix != nil {
		return &Doubt{Said: prefix.said, Question: AskWhatFish}
	}
	if len(r.got) == 0 && !r.out.Blank {
		return &Unread{Said: r.line, Why: WhyNoFish, Example: catchExample}
	}
	if len(r.got) > 0 && r.out.Blank {
		return &Unread{Said: r.line, Why: WhyClash, Example: catchExample}
	}
	return nil
}

// hasNumber says whether the entry has a count or a length already.
func (d *draft) hasNumber() bool { return d.count > 0 || len(d.pre)+len(d.post) > 0 }

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
	if n := len(r.got); n > 1 {
		last := &r.got[n-1]
		for i := range r.got[:n-1] {
			switch earlier := &r.got[i]; {
			case earlier.hasFate() || !last.hasFate():
			case last.all && !last.both && last.fate != cNumber, last.both && n == 2:
				earlier.fate, earlier.fateSaid = last.fate, last.fateSaid
				last.both = false
			default:
				note(&Doubt{Said: last.fateSaid, Question: AskFate})
			}
		}
	}
	for i := range r.got {
		e, err := r.got[i].entry(r.g)
		if _, refused := err.(*Unread); refused {
			return r.out, err
		}
		note(err)
		r.out.Entries = append(r.out.Entries, e)
	}
	return r.out, first
}

// entry works out count, lengths and fate.
func (d *draft) entry(g Terms) (Entry, error) {
	e := Entry{Named: d.fish.said, Measure: d.measure, Estimated: d.about, Note: d.note}
	for _, s := range d.fish.species {
		e.Species = append(e.Species, s.ID)
	}
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
	_, short, _, top := g.bounds()
	for _, t := range sizes {
		s, ok := t.q.size(g.Units)
		switch {
		case !ok, s.UM > MaxLengthUM, s.UM < MinLengthUM:
			return e, &Unread{Said: t.said, Why: WhyRange, Example: catchExample}
		case t.q.unit == "" && (t.q.v < short || t.q.v > top):
			doubt(AskLength, t.said)
			continue
		}
		e.Lengths = append(e.Lengths, s)
		e.Estimated = e.Estimated || t.q.more
	}
	if e.Count > 1 && len(e.Lengths) == 1 {
		switch {
		case d.repeat || d.each || sizes[0].q.more:
			e.Estimated = e.Estimated || d.each
			for range e.Count - 1 {
				e.Lengths = append(e.Lengths, e.Lengths[0])
			}
		default:
			doubt(AskLengths, d.fish.said)
		}
	} else if e.Count > 0 && len(e.Lengths) > 0 && len(e.Lengths) != e.Count {
		doubt(AskLengths, d.fish.said)
	}
	if len(e.WeightsG) > 0 && len(e.WeightsG) != e.Count {
		doubt(AskLengths, d.fish.said)
	}
	if err := d.settleFate(&e); err != nil && first == nil {
		first = err
	}
	if len(e.Species) > 1 && first == nil {
		first = &Doubt{Said: d.fish.said, Question: AskSpecies, Species: e.Species}
	}
	return e, first
}

// settleCount works out how many fish there are where no count was typed, and whether the numbers
// after the name are lengths at all. It returns the question that is left.
func (d *draft) settleCount(g Terms, e *Entry, sizes *[]catchToken) Word {
	tally, _, long, top := g.bounds()
	list := *sizes
	if d.count > 0 {
		// "40 tailor": forty fish, or one of 40 cm with the word order of "45cm tailor"?
		said := d.spoken || len(list) > 0 || len(e.WeightsG) > 0 || d.all || d.kept >= 0 || d.let >= 0
		if float64(d.count) >= long && !said {
			e.Count = 0
			return AskTally
		}
		return ""
	}
	switch {
	case len(list) == 0 && (d.article || len(e.WeightsG) == 1):
		e.Count = 1
		return ""
	case len(list) == 0:
		return AskCount
	case len(list) == 1:
		q := list[0].q
		one := d.article || d.fate != cNumber && !d.all || d.measure != "" || d.about || q.more || len(e.WeightsG) > 0
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
	if !d.hasFate() {
		return nil
	}
	doubt := &Doubt{Said: d.fateSaid, Question: AskFate}
	n := e.Count
	switch {
	case n == 0:
		return doubt
	case d.both && n != 2, d.it && n != 1:
		return doubt
	}
	kept, let := d.kept, d.let
	switch {
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
