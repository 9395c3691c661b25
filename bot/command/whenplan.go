package command

import (
	"slices"
	"strings"
	"time"
)

// said is a time with the part of the day and the day that stood beside it.
type said struct {
	clock
	part  part
	point *point // instead of a clock time
	day   day    // of an end: "til sat 2am"
	set   bool
}

// plan is what the tokens of a line say, before it is worked out what instants they are.
type plan struct {
	line  string
	now   time.Time
	zone  *time.Location
	order DayOrder
	local Local

	start, end, back said
	later            said // "call it 11": the later of two promises
	meet             said // "5:30 for 6": where the start is 6
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
	missed           []time.Time   // civil dates whose tides or light were looked for
}

func (p *plan) hasStart() bool { return p.start.set || p.startNow || p.startIn > 0 }

type expecting uint8

const (
	expectNothing expecting = iota
	expectStart
	expectEnd
	expectBack
	expectLater
	expectBetween // the end after "between 5 and"
)

// asks says whether a word about time is asked about; the others are refused.
func asks(why Word) bool {
	switch why {
	case AskVague, AskTide, AskLight, AskDate, AskTime, AskStart:
		return true
	}
	return false
}

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
	ask := func(t token, q Word) {
		if fault == nil {
			fault = &Ambiguous{Said: p.line[t.at:t.end], Question: q}
		}
	}
	expect := expectNothing
	between, proviso, idle := false, false, false
	var last *said // the time just read
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
		pending := expect == expectEnd || expect == expectBack || expect == expectLater
		if proviso { // "if we walk slow": why there are two promises, and nothing else
			if t.kind != tokWord && t.kind != tokStop && t.kind != tokSep {
				refuse(t, WhyToken)
			}
			continue
		}
		idle = idle && (t.kind == tokWord || t.kind == tokStop)
		switch t.kind {
		case tokWord:
			if t.filler {
				// "Going 3pm" is when somebody starts, also where a lone time is the return.
				p.left = p.left || !slices.Contains(polite, strings.ToLower(p.line[t.at:t.end]))
				last = justRead
				break
			}
			if expect == expectEnd && p.hasStart() && !before.dash || idle {
				p.vague, expect, idle = true, expectNothing, true // "til the bite stops"
				break
			}
			if pending {
				refuse(toks[i-1], WhyOrder)
			}
			add(t)
		case tokSep:
			if p.returns && p.line[t.at:t.end] == "?" {
				ask(t, AskVague) // somebody is not sure when they will be back
			}
			last = justRead
		case tokStop:
			word := p.line[t.at:t.end]
			switch {
			case p.later.set && strings.EqualFold(word, "if"):
				proviso = true
			case p.vague:
			case pending && asks(t.why) && (p.hasStart() || t.why == AskVague && expect != expectEnd):
				p.vague, expect = true, expectNothing
			case asks(t.why) && t.why == AskVague && p.hasStart() && !p.end.set && !p.back.set && p.length == 0 && before.kind != tokIn:
				p.vague = true
			case asks(t.why):
				ask(t, t.why)
			default:
				refuse(t, t.why)
			}
		case tokDay:
			switch {
			case pending && p.hasStart():
				p.endDay(expect, t.day)
			case justRead != nil && justRead != &p.start && p.hasStart() && len(p.days) > 0 && justRead.day.kind == dayNone:
				justRead.day = t.day // "fri 10pm til 2am sat"
			default:
				p.days = append(p.days, t.day)
			}
		case tokPart:
			if p.vague {
				if t.day.kind != dayNone {
					p.days = append(p.days, t.day)
				}
				if p.part == "" {
					p.part = t.part // "7 till late tonight"
				}
				break
			}
			if pending && p.hasStart() {
				if next.kind == tokClock || next.kind == tokHours || next.kind == tokSep || next.kind == tokDay {
					if next.kind != tokClock && next.kind != tokHours {
						p.vague, expect = true, expectNothing // "til the evening"
						break
					}
				}
				ask(t, AskVague)
				break
			}
			if t.day.kind != dayNone {
				p.days = append(p.days, t.day)
			}
			own := justRead != nil && (next.kind == tokTo || next.kind == tokAnd || p.start.part != "" || justRead != &p.start && !p.start.open)
			switch {
			case own && justRead.part == "":
				justRead.part = t.part
			case p.part == "" && !own:
				p.part = t.part
			case p.part == t.part, own && justRead.part == t.part:
			default:
				refuse(t, WhyClash)
			}
		case tokNow:
			if p.hasStart() || expect != expectNothing && expect != expectStart || before.kind == tokWord && !before.filler {
				refuse(t, WhyOrder)
			}
			p.startNow, expect = true, expectNothing
		case tokLeave:
			if p.hasStart() || expect != expectNothing {
				refuse(t, WhyOrder)
			}
			expect, p.left = expectStart, true
		case tokBetween:
			between = true
		case tokAnd:
			if !between || !p.hasStart() {
				refuse(t, WhyToken)
			}
			between, expect = false, expectEnd
		case tokTo:
			glued := t.dash && before.end == t.at && t.end == next.at
			switch {
			case glued && before.kind == tokWord && next.kind == tokWord:
				add(t) // "Long-Step"
			case !t.dash && !p.hasStart() && next.kind == tokWord && strings.EqualFold(p.line[t.at:t.end], "to"):
				// "going to Anvil": a filler
			case t.dash && p.vague, t.dash && expect == expectNothing && !p.hasStart() && before.kind != tokTo && (next.kind == tokClock || next.kind == tokHours || next.kind == tokPoint || next.kind == tokDay || next.kind == tokPart) && before.end < t.at && t.end < next.at && i > 0:
				// "sat morning - 6 til 9": a pause
			case pending, t.dash && !p.hasStart(), p.end.set:
				refuse(t, WhyOrder)
			default:
				expect = expectEnd
			}
		case tokBack:
			if i+1 == len(toks) && justRead == &p.back {
				break
			}
			if expect != expectNothing || p.back.set || p.backIn > 0 || p.openBack {
				refuse(t, WhyOrder)
			}
			expect = expectBack
		case tokCall:
			if expect != expectNothing || !p.back.set && !p.end.set || p.later.set {
				refuse(t, WhyOrder)
			}
			expect = expectLater
		case tokLatest: // "11 at the latest"
			if justRead == nil || justRead == &p.start {
				refuse(t, WhyOrder)
			}
			last = justRead
		case tokIn:
			switch {
			case next.kind == tokClock:
				ask(t, AskVague) // "back in 2": hours?
			case next.kind != tokSpan && next.kind != tokHours && !p.vague:
				refuse(t, WhyOrder)
			}
		case tokFor:
			switch next.kind {
			case tokSpan, tokHours, tokDay, tokPart, tokWord:
			case tokStop:
				if !asks(next.why) {
					refuse(t, WhyOrder)
				}
			case tokClock:
				if !p.start.set || p.end.set || p.back.set || p.meet.set || p.start.point != nil || expect != expectNothing {
					refuse(t, WhyOrder)
				} else { // meet and fish
					p.meet, p.start = p.start, said{}
				}
			default:
				refuse(t, WhyOrder)
			}
		case tokSide:
			if !p.start.set || p.start.point == nil || p.length > 0 || p.end.set || expect != expectNothing {
				refuse(t, WhyOrder)
				break
			}
			p.start.point.offset -= t.span
			p.length = 2 * t.span
		case tokPoint:
			if p.vague {
				break
			}
			if t.span > 0 && (p.hasStart() || p.length > 0 || expect != expectNothing && expect != expectStart) {
				refuse(t, WhyTwoTimes)
				break
			}
			p.place(&t, &expect, &last, next, refuse)
			p.length = max(p.length, t.span)
		case tokHours, tokSpan:
			if p.vague {
				break
			}
			asClock := t.kind == tokHours && before.kind != tokIn && before.kind != tokFor && (next.kind == tokTo || before.kind == tokTo ||
				expect == expectBack && t.clock.minutes >= 720 || expect == expectStart)
			if asClock {
				p.place(&t, &expect, &last, next, refuse)
				break
			}
			p.placeSpan(t, before, &expect, refuse)
		case tokClock:
			if p.vague {
				break
			}
			bare := t.clock.open && !strings.ContainsAny(p.line[t.at:t.end], ":.")
			if before.kind == tokFor && !p.meet.set || before.kind == tokIn || bare && before.kind == tokWord && !before.filler && next.kind != tokTo && next.kind != tokAnd {
				refuse(t, WhyToken) // "Ledge 2"
			}
			if expect == expectNothing && p.hasStart() && next.kind == tokBack && i+2 == len(toks) && !p.back.set {
				expect = expectBack // "9am back"
			}
			p.place(&t, &expect, &last, next, refuse)
		}
	}
	switch expect {
	case expectBack:
		p.openBack = true
	case expectEnd, expectLater:
		p.vague = true
	case expectStart:
		refuse(toks[len(toks)-1], WhyOrder)
	}
	return strings.Join(words, " "), fault
}

// endDay notes the day of an end that follows.
func (p *plan) endDay(e expecting, d day) {
	switch e {
	case expectEnd:
		p.end.day = d
	case expectBack:
		p.back.day = d
	}
}

// place gives a time its role.
func (p *plan) place(t *token, expect *expecting, last **said, next token, refuse func(token, Word)) {
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
	case expectLater:
		to = &p.later
	default:
		switch {
		case next.kind == tokLatest && (p.back.set || p.end.set) && !p.later.set: // "back by 10, 11 at the latest"
			to = &p.later
		case !p.hasStart():
			to = &p.start
		default:
			refuse(*t, WhyTwoTimes)
			return
		}
	}
	*to = said{clock: c, set: true, day: to.day}
	if t.kind == tokPoint {
		pt := t.point
		to.point = &pt
	}
	*last, *expect = to, expectNothing
}

// placeSpan gives a span its role.
func (p *plan) placeSpan(t, before token, expect *expecting, refuse func(token, Word)) {
	if t.span <= 0 || t.span > MaxDuration {
		refuse(t, WhyRange)
		return
	}
	in := before.kind == tokIn || t.in
	switch {
	case in && *expect == expectStart:
		p.startIn, *expect = t.span, expectNothing
	case in && *expect == expectBack:
		p.backIn, *expect = t.span, expectNothing
	case *expect != expectNothing:
		refuse(t, WhyOrder)
	case in && p.bareIn == 0 && !p.hasStart():
		p.bareIn = t.span
	case in || p.length > 0 || p.end.set:
		refuse(t, WhyTwoTimes)
	default:
		p.length, p.lengthFor = t.span, before.kind == tokFor
	}
}
