package command

import (
	"strings"
	"time"
)

// said is a clock time with the part of the day that stood beside it.
type said struct {
	clock
	part part
	set  bool
}

// plan is what the tokens of a line say, before it is worked out what instants they are.
type plan struct {
	line  string
	now   time.Time
	zone  *time.Location
	order DayOrder

	start, end, back said
	days             []day
	part             part // of the whole line
	startNow         bool
	startIn          time.Duration // leaving in
	length           time.Duration // 3 hrs
	lengthFor        bool          // for 3 hrs
	backIn           time.Duration // back in
	bareIn           time.Duration // in 3 hours, and nothing says what
	vague            bool          // the end is a word no contact can act on
	openBack         bool          // "back", and nothing after it
	left             bool          // the start came after "leaving"
	returns          bool          // a lone time or span is the return
}

func (p *plan) hasStart() bool { return p.start.set || p.startNow || p.startIn > 0 }

type expecting uint8

const (
	expectNothing expecting = iota
	expectStart
	expectEnd
	expectBack
)

// walk gives each token its place. It returns the text that has none.
func (p *plan) walk(toks []token) (rest string, err error) {
	var words []string
	wordEnd := -1
	add := func(t token) {
		if wordEnd == t.at {
			words[len(words)-1] += p.line[t.at:t.end]
		} else {
			words = append(words, p.line[t.at:t.end])
		}
		wordEnd = t.end
	}
	var fault error
	refuse := func(t token, why Word) {
		if fault == nil {
			fault = &Unread{Said: p.line[t.at:t.end], Why: why}
		}
	}
	expect := expectNothing
	var last *said // the clock time just read
	for i, t := range toks {
		next := token{kind: tokSep}
		if i+1 < len(toks) {
			next = toks[i+1]
		}
		before := token{kind: tokSep}
		if i > 0 {
			before = toks[i-1]
		}
		justRead := last
		last = nil
		pending := expect == expectEnd || expect == expectBack
		switch t.kind {
		case tokWord:
			if pending {
				refuse(toks[i-1], WhyOrder)
			}
			add(t)
		case tokSep:
			last = justRead
		case tokStop:
			if pending && (t.why == AskVague || t.why == WhyTideLight) && p.hasStart() {
				p.vague, expect = true, expectNothing
				break
			}
			if t.why == AskVague {
				if fault == nil {
					fault = &Ambiguous{Said: p.line[t.at:t.end], Question: AskVague}
				}
				break
			}
			refuse(t, t.why)
		case tokDay:
			if pending && p.hasStart() {
				refuse(t, WhyTwoDays) // the day of the end: plans of two days are not read yet
			}
			p.days = append(p.days, t.day)
		case tokPart:
			if pending && p.hasStart() {
				refuse(t, WhyOrder)
			}
			if t.day.kind != dayNone {
				p.days = append(p.days, t.day)
			}
			own := justRead != nil && (next.kind == tokTo || p.start.part != "" || justRead != &p.start && !p.start.open)
			switch {
			case own && justRead.part == "":
				justRead.part = t.part
			case p.part == "" && !own:
				p.part = t.part
			default:
				refuse(t, WhyClash)
			}
		case tokNow:
			if p.hasStart() || expect != expectNothing && expect != expectStart || before.kind == tokWord {
				refuse(t, WhyOrder) // "just now" is not now
			}
			p.startNow, expect = true, expectNothing
		case tokLeave:
			if p.hasStart() || expect != expectNothing {
				refuse(t, WhyOrder)
			}
			expect, p.left = expectStart, true
		case tokTo:
			glued := t.dash && before.end == t.at && t.end == next.at
			switch {
			case glued && before.kind == tokWord && next.kind == tokWord:
				add(t) // "Long-Step"
			case !t.dash && !p.hasStart() && next.kind == tokWord && p.line[t.at:t.end] == "to":
				// "going to Anvil": a filler
			case pending, t.dash && !p.hasStart(), p.end.set:
				refuse(t, WhyOrder)
			default:
				expect = expectEnd
			}
		case tokBack:
			if expect != expectNothing || p.back.set || p.backIn > 0 || p.openBack {
				refuse(t, WhyOrder)
			}
			expect = expectBack
		case tokIn:
			if next.kind != tokSpan && next.kind != tokHours {
				refuse(t, WhyOrder)
			}
		case tokFor:
			switch next.kind {
			case tokSpan, tokHours, tokDay, tokPart, tokWord:
			default:
				refuse(t, WhyOrder)
			}
		case tokHours, tokSpan:
			asClock := t.kind == tokHours && before.kind != tokIn && before.kind != tokFor && (next.kind == tokTo || before.kind == tokTo ||
				expect == expectBack && t.clock.minutes >= 720)
			if asClock {
				p.place(&t, &expect, &last, refuse)
				break
			}
			p.placeSpan(t, before, toks, i, &expect, refuse)
		case tokClock:
			bare := t.clock.open && !strings.ContainsAny(p.line[t.at:t.end], ":.")
			if before.kind == tokFor || before.kind == tokIn || bare && before.kind == tokWord && next.kind != tokTo {
				refuse(t, WhyToken) // "5:30 for 6", "Ledge 2"
			}
			p.place(&t, &expect, &last, refuse)
		}
	}
	switch expect {
	case expectBack:
		p.openBack = true
	case expectEnd:
		p.vague = true
	case expectStart:
		refuse(toks[len(toks)-1], WhyOrder)
	}
	return strings.Join(words, " "), fault
}

// place gives a clock time its role.
func (p *plan) place(t *token, expect *expecting, last **said, refuse func(token, Word)) {
	c := t.clock
	if t.kind == tokHours { // "7h", "14h00": the 24-hour clock
		if c.minutes > 1440 {
			refuse(*t, WhyClock)
		}
		if c.minutes == 1440 {
			c = clock{midnight: true}
		}
	}
	var to *said
	switch *expect {
	case expectEnd:
		to = &p.end
	case expectBack:
		to = &p.back
	default:
		if to = &p.start; p.hasStart() {
			refuse(*t, WhyTwoTimes)
			return
		}
	}
	*to = said{clock: c, set: true}
	*last, *expect = to, expectNothing
}

// placeSpan gives a span its role.
func (p *plan) placeSpan(t, before token, toks []token, i int, expect *expecting, refuse func(token, Word)) {
	if t.span <= 0 || t.span > MaxDuration {
		refuse(t, WhyRange)
		return
	}
	in := before.kind == tokIn
	switch {
	case in && *expect == expectStart:
		p.startIn, *expect = t.span, expectNothing
	case in && *expect == expectBack:
		p.backIn, *expect = t.span, expectNothing
	case *expect != expectNothing:
		refuse(t, WhyOrder)
	case in && p.bareIn == 0:
		p.bareIn = t.span
	case in || p.length > 0 || p.end.set:
		refuse(t, WhyTwoTimes)
	default:
		p.length, p.lengthFor = t.span, before.kind == tokFor
	}
}

