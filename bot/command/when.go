package command

import (
	"slices"
	"strings"
	"time"
)

// DayOrder is how a group writes dates with slashes.
type DayOrder string

// The orders. Day first outside the United States, month first there.
const (
	DayFirst   DayOrder = "day-first"
	MonthFirst DayOrder = "month-first"
)

// MaxSpan is the longest trip that is read without asking, and how far past midnight an end may wrap.
const MaxSpan = 14 * time.Hour

// MaxAhead is how far ahead a trip may start.
const MaxAhead = 400 * 24 * time.Hour

// Window is when a trip is. Zero times were not given. All are in the zone asked for.
type Window struct {
	Start, End time.Time // the fishing
	BackBy     time.Time // off the rocks by
	Rest       string    // what was not about time: the ledge, as typed
	Confirm    Word      // AskDate or AskHour: read with good reason, but say it back as a question; "" otherwise
}

// When reads a trip line in a zone: "sat 5am til 10", "Fri 18:30-22:00", "back by 3pm",
// "north ledge tomorrow 0530-0900 back by 10", "for 3h", "leaving in half an hour, 3 hrs".
//
// The answer is a window with a start and an end, or a time to be back by, or both. Otherwise the
// error is *Ambiguous (ask; the window holds what is certain) or *Unread (refuse). Text it did not
// use is in Rest either way. The rules:
//
//   - An hour without am, pm or a 24-hour spelling is read only if something settles it: a part of
//     the day, the other end of the range, or that one of the two has passed.
//   - An end, or a time to be back, is the first such time after the start: the early reading raises
//     the alert early. More than MaxSpan is asked about.
//   - A bare time to be back with no start is read if both halves of the day lie ahead of now on
//     different days, the nearer this afternoon or evening; it then carries Confirm.
//   - A weekday is the next whose time is ahead; "next sat" is asked. A day may be named once.
//   - A local time that a change of clocks doubles or skips is asked.
//
// Ledge names may hold numbers or words about time ("Ledge 9", "Back Rock", "Low Shelf"): take the
// names you know out of the line first.
func When(text string, now time.Time, zone *time.Location, order DayOrder) (Window, error) {
	return when(text, now, zone, order, false)
}

// WhenBack reads the line of somebody who goes out now: as When, but a time or a span with nothing
// beside it is the return, "15:00" as "back by 15:00" and "3h" as "for 3h" from now (the early
// reading: it raises the alert early). What comes back without an error has an End or a BackBy.
func WhenBack(text string, now time.Time, zone *time.Location, order DayOrder) (Window, error) {
	return when(text, now, zone, order, true)
}

func when(text string, now time.Time, zone *time.Location, order DayOrder, returns bool) (Window, error) {
	line := strings.TrimSpace(text)
	if len(line) > MaxLine {
		return Window{}, &Unread{Said: strings.ToValidUTF8(line[:20], ""), Why: WhyLong}
	}
	if line == "" {
		return Window{}, &Unread{Why: WhyEmpty}
	}
	toks, err := tokenize(line, lex(line))
	if err != nil {
		return Window{}, err
	}
	p := plan{returns: returns, line: line, now: now.In(zone).Truncate(time.Minute), zone: zone, order: order}
	rest, err := p.walk(toks)
	if err != nil {
		return Window{Rest: rest}, err
	}
	w, err := p.resolve()
	w.Rest = rest
	if ask, ok := err.(*Ambiguous); ok {
		for i := range ask.Readings {
			ask.Readings[i].Rest = rest
		}
	}
	return w, err
}

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

// options lists the minutes of the day a clock time can be, given a part of the day; none if they clash.
func (s said) options(whole part) []int {
	in := s.part
	if in == "" {
		in = whole
	}
	if s.midnight {
		return []int{0}
	}
	m := s.minutes
	if !s.open {
		from, to := 0, 1440
		switch in {
		case morning:
			to = 720
		case afternoon:
			from, to = 720, 1140
		case evening:
			from = 900
		case night:
			from = 1020
		}
		if m < from || m >= to {
			return nil
		}
		return []int{m}
	}
	switch {
	case in == morning && m >= 60:
		return []int{m}
	case in == afternoon && m < 480, in == evening && m >= 240, in == night && m >= 300:
		return []int{m + 720}
	case in == morning, in == evening:
		return nil
	}
	return []int{m, m + 720}
}

// reading is one thing the line can mean.
type reading struct {
	w        Window
	at       time.Time // the instant that sets it apart
	question Word      // why it cannot stand by itself: AskMissing, AskFirstOrTwo, AskLong ...
	past     bool
	wraps    bool // the end is on a later date than the start
}

func (p *plan) ask(q Word, list []reading) (Window, error) {
	slices.SortStableFunc(list, func(a, b reading) int { return a.at.Compare(b.at) })
	e := &Ambiguous{Said: p.line, Question: q}
	var sure Window
	for i, r := range list {
		if i > 0 && r.at.Equal(list[i-1].at) {
			continue
		}
		e.Candidates = append(e.Candidates, r.at)
		e.Readings = append(e.Readings, r.w)
		if i == 0 {
			sure = r.w
			continue
		}
		if !r.w.Start.Equal(sure.Start) {
			sure.Start = time.Time{}
		}
		if !r.w.End.Equal(sure.End) {
			sure.End = time.Time{}
		}
		if !r.w.BackBy.Equal(sure.BackBy) {
			sure.BackBy = time.Time{}
		}
	}
	if len(list) == 1 && list[0].question != "" {
		// One reading that must be confirmed: what it asks about is not sure.
		switch at := list[0].at; {
		case at.Equal(sure.Start):
			sure.Start = time.Time{}
		case at.Equal(sure.BackBy):
			sure.BackBy = time.Time{}
		case at.Equal(sure.End):
			sure.End = time.Time{}
		}
	}
	sure.Confirm = ""
	return sure, e
}

// resolve works out the instants.
func (p *plan) resolve() (Window, error) {
	refuse := func(why Word) (Window, error) { return Window{}, &Unread{Said: p.line, Why: why} }
	if len(p.days) > 2 {
		return refuse(WhyTwoDays)
	}
	if p.returns {
		switch {
		case p.start.set && !p.left && !p.end.set && !p.back.set && !p.vague && !p.openBack && p.length == 0:
			p.back, p.start = p.start, said{}
		case p.bareIn > 0 && !p.hasStart() && !p.end.set && !p.back.set && p.length == 0:
			p.backIn, p.bareIn = p.bareIn, 0
		case p.length > 0 && !p.hasStart():
			p.lengthFor = true
		}
	}
	if p.hasStart() && (p.end.set || p.vague) && p.length > 0 || p.length > 0 && p.backIn > 0 {
		return refuse(WhyTwoTimes)
	}
	if p.backIn > 0 && (p.hasStart() || len(p.days) > 0) || p.bareIn > 0 && (p.hasStart() || p.end.set || p.back.set || p.length > 0) {
		return p.ask(AskStartBack, nil)
	}
	if (p.startNow || p.startIn > 0) && len(p.days) > 0 && !p.onlyToday() {
		return refuse(WhyClash)
	}
	switch {
	case p.bareIn > 0:
		at := p.now.Add(p.bareIn)
		return p.ask(AskStartBack, []reading{{w: Window{Start: at}, at: at, question: AskStartBack}})
	case p.backIn > 0:
		if p.backIn > MaxSpan {
			at := p.now.Add(p.backIn)
			return p.ask(AskLong, []reading{{w: Window{BackBy: at}, at: at, question: AskLong}})
		}
		return Window{BackBy: p.now.Add(p.backIn)}, nil
	case !p.hasStart() && p.length > 0:
		if !p.lengthFor || len(p.days) > 0 || p.part != "" || p.back.set {
			return p.ask(AskStart, nil)
		}
		p.startNow = true
	}
	dates, why := p.dates()
	if why != "" {
		return refuse(why)
	}
	switch {
	case p.hasStart():
		return p.fromStart(dates)
	case p.end.set && p.back.set:
		return p.ask(AskStart, nil)
	case p.back.set:
		return p.onlyBack(p.back, dates)
	case p.end.set && (len(p.days) == 0 || p.onlyToday()):
		return p.onlyBack(p.end, dates) // "til 3pm": out now, off the rocks by then
	case p.end.set:
		return p.ask(AskStart, nil)
	case p.openBack:
		return p.ask(AskBack, nil)
	case len(p.days) > 0 || p.part != "" || p.vague:
		return p.ask(AskTime, nil)
	}
	return refuse(WhyNoTime)
}

func (p *plan) onlyToday() bool {
	for _, d := range p.days {
		if d.kind != dayOffset || d.n != 0 {
			return false
		}
	}
	return true
}

// starts lists the readings of the start alone.
func (p *plan) starts(dates dateChoice) (list []reading, why Word) {
	if p.startNow || p.startIn > 0 {
		at := p.now.Add(p.startIn)
		return []reading{{w: Window{Start: at}, at: at}}, ""
	}
	s := p.start
	if dates.iso && s.padded {
		s = s.as24()
	}
	options := s.options(p.part)
	if len(options) == 0 {
		return nil, WhyClash
	}
	for _, date := range dates.list {
		if s.midnight && dates.step != 1 {
			late := midnightOf(date.AddDate(0, 0, 1), p.zone)
			if p.part != night && s.part != night {
				early := midnightOf(date, p.zone)
				list = append(list, reading{w: Window{Start: early}, at: early, question: AskMidnight, past: early.Before(p.now)})
			}
			list = append(list, reading{w: Window{Start: late}, at: late, past: late.Before(p.now)})
			continue
		}
		for _, m := range options {
			at, shown := moments(date, m, p.zone)
			confirm := dates.confirm
			if dates.step > 0 && beforeAll(at, shown, p.now) {
				at, shown = moments(date.AddDate(0, 0, dates.step), m, p.zone)
				confirm = AskDate
			}
			if len(at) == 0 {
				list = append(list, reading{w: Window{Start: shown}, at: shown, question: AskMissing, past: shown.Before(p.now)})
			}
			for _, t := range at {
				r := reading{w: Window{Start: t, Confirm: confirm}, at: t, past: t.Before(p.now)}
				if len(at) > 1 {
					r.question = AskFirstOrTwo
				}
				list = append(list, r)
			}
		}
	}
	return list, ""
}

// as24 takes "10:30" for the 24-hour clock, as next to a date written year first.
func (s said) as24() said {
	if s.open {
		if s.minutes < 60 {
			s.minutes += 720 // "12:30" was folded
		}
		s.open = false
	}
	return s
}

func beforeAll(at []time.Time, shown, now time.Time) bool {
	if len(at) == 0 {
		return shown.Before(now)
	}
	return at[len(at)-1].Before(now)
}

// fromStart works out a window that has a start.
func (p *plan) fromStart(dates dateChoice) (Window, error) {
	refuse := func(why Word) (Window, error) { return Window{}, &Unread{Said: p.line, Why: why} }
	starts, why := p.starts(dates)
	if why != "" {
		return refuse(why)
	}
	var list []reading
	for _, s := range starts {
		full, why := p.finish(s)
		if why != "" {
			return refuse(why)
		}
		list = append(list, full...)
	}
	ahead := slices.DeleteFunc(slices.Clone(list), func(r reading) bool { return r.past })
	if len(ahead) == 0 {
		for _, r := range list {
			if last := later(r.w.End, r.w.BackBy); last.After(p.now) && r.w.Start.Add(MaxSpan).After(p.now) {
				r.question = AskStarted
				return p.ask(AskStarted, []reading{r})
			}
		}
		return refuse(WhyPast)
	}
	for _, r := range ahead {
		if r.w.Start.Sub(p.now) > MaxAhead {
			return refuse(WhyTooFar)
		}
	}
	if dates.question != "" {
		return p.ask(dates.question, ahead)
	}
	// A start of either half of the day is settled if the other half makes the trip longer than
	// MaxSpan, and the trip does not then run through a midnight nobody named.
	if p.start.open && len(ahead) > 1 {
		short := slices.DeleteFunc(slices.Clone(ahead), func(r reading) bool { return r.question == AskLong })
		if len(short) != 1 || short[0].question != "" || short[0].wraps {
			return p.ask(p.why(ahead, AskHour), ahead)
		}
		ahead = short
	}
	if len(ahead) > 1 {
		return p.ask(p.why(ahead, AskDate), ahead)
	}
	r := ahead[0]
	if r.question != "" {
		return p.ask(r.question, ahead)
	}
	if p.openBack {
		return askRest(r.w, p.line, AskBack)
	}
	if r.w.End.IsZero() && r.w.BackBy.IsZero() {
		return askRest(r.w, p.line, AskUntil)
	}
	return r.w, nil
}

// askRest asks for a missing part; all the window holds is certain.
func askRest(w Window, line string, q Word) (Window, error) {
	w.Confirm = ""
	return w, &Ambiguous{Said: line, Question: q}
}

// why names what sets the readings apart: the change of clocks if nothing else does.
func (p *plan) why(list []reading, other Word) Word {
	q := list[0].question
	for _, r := range list {
		if r.question == "" || r.question == AskLong || r.question != q && r.question != AskMidnight && q != AskMidnight {
			if q != AskMidnight {
				return other
			}
		}
	}
	return q
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// finish adds the end and the time to be back to a start.
func (p *plan) finish(s reading) (list []reading, why Word) {
	list = []reading{s}
	if p.length > 0 {
		list[0].w.End = s.w.Start.Add(p.length)
		if p.length > MaxSpan {
			list[0] = list[0].asking(AskLong, list[0].w.End)
		}
	}
	if p.end.set {
		var out []reading
		ends, why := p.after(s.w.Start, p.end, false)
		if why != "" {
			return nil, why
		}
		for _, e := range ends {
			r := list[0]
			r.w.End = e.at
			r.wraps = civilOf(e.at.Add(-time.Minute), p.zone).After(civilOf(s.w.Start, p.zone))
			if e.question != "" {
				r = r.asking(e.question, e.at)
			}
			if e.at.Sub(s.w.Start) > MaxSpan {
				r = r.asking(AskLong, e.at)
			}
			out = append(out, r)
		}
		list = out
	}
	if !p.back.set {
		return list, ""
	}
	var out []reading
	for _, r := range list {
		from, inclusive := s.w.Start, false
		if p.back.open && !r.w.End.IsZero() {
			from, inclusive = r.w.End, true
		}
		backs, why := p.after(from, p.back, inclusive)
		if why != "" {
			return nil, why
		}
		for _, b := range backs {
			r := r
			r.w.BackBy = b.at
			r.wraps = r.wraps || civilOf(b.at.Add(-time.Minute), p.zone).After(civilOf(s.w.Start, p.zone))
			switch {
			case b.question != "":
				r = r.asking(b.question, b.at)
			case b.at.Before(r.w.End):
				r = r.asking(AskBackFirst, b.at)
			case b.at.Sub(s.w.Start) > MaxSpan:
				r = r.asking(AskLong, b.at)
			}
			out = append(out, r)
		}
	}
	return out, ""
}

// asking marks a reading as one to be asked about, unless its start already is.
func (r reading) asking(q Word, at time.Time) reading {
	if r.question == "" {
		r.question, r.at = q, at
	}
	return r
}

// after finds the first time after from at which clocks show what was said.
func (p *plan) after(from time.Time, s said, inclusive bool) (list []reading, why Word) {
	options := s.options(s.part)
	if len(options) == 0 {
		return nil, WhyClash
	}
	day := civilOf(from, p.zone)
	var best []reading
	for _, m := range options {
		for add := range 3 {
			at, shown := moments(day.AddDate(0, 0, add), m, p.zone)
			var found []reading
			for _, t := range at {
				if t.After(from) || inclusive && t.Equal(from) {
					r := reading{at: t}
					if len(at) > 1 {
						r.question = AskFirstOrTwo
					}
					found = append(found, r)
				}
			}
			if len(at) == 0 && shown.After(from) {
				found = append(found, reading{at: shown, question: AskMissing})
			}
			if len(found) > 0 {
				if best == nil || found[0].at.Before(best[0].at) {
					best = found
				}
				break
			}
		}
	}
	if best == nil {
		return nil, WhyClash
	}
	return best, ""
}

// onlyBack works out a line that says when to be back and not when it starts.
func (p *plan) onlyBack(s said, dates dateChoice) (Window, error) {
	refuse := func(why Word) (Window, error) { return Window{}, &Unread{Said: p.line, Why: why} }
	var list []reading
	add := func(r reading) {
		r.w = Window{BackBy: r.at, Confirm: dates.confirm}
		list = append(list, r)
	}
	whole := p.part
	if s.part != "" {
		whole = s.part
	}
	today := len(p.days) == 0 || p.onlyToday()
	switch {
	case today && s.midnight:
		add(reading{at: midnightOf(civilOf(p.now, p.zone).AddDate(0, 0, 1), p.zone)})
	case s.midnight:
		for _, date := range dates.list {
			add(reading{at: midnightOf(date, p.zone)})
			add(reading{at: midnightOf(date.AddDate(0, 0, 1), p.zone)})
		}
		return p.ask(AskMidnight, list)
	case today:
		// "Back by 1am" said tonight is after midnight: the first such time ahead, whatever the date.
		if whole == night && !s.open && s.minutes < 300 {
			whole = ""
		}
		options := s.options(whole)
		if len(options) == 0 {
			return refuse(WhyClash)
		}
		for _, m := range options {
			one := said{clock: clock{minutes: m}}
			found, why := p.after(p.now, one, false)
			if why != "" {
				return refuse(why)
			}
			for _, r := range found {
				add(r)
			}
		}
	default:
		options := s.options(whole)
		if dates.iso && s.padded {
			options = s.as24().options(whole)
		}
		if len(options) == 0 {
			return refuse(WhyClash)
		}
		for _, date := range dates.list {
			for _, m := range options {
				at, shown := moments(date, m, p.zone)
				if dates.step > 0 && beforeAll(at, shown, p.now) {
					at, shown = moments(date.AddDate(0, 0, dates.step), m, p.zone)
				}
				if len(at) == 0 {
					add(reading{at: shown, question: AskMissing})
				}
				for _, t := range at {
					r := reading{at: t}
					if len(at) > 1 {
						r.question = AskFirstOrTwo
					}
					add(r)
				}
			}
		}
	}
	slices.SortStableFunc(list, func(a, b reading) int { return a.at.Compare(b.at) })
	list = slices.DeleteFunc(list, func(r reading) bool { return !r.at.After(p.now) })
	if len(list) == 0 {
		return refuse(WhyPast)
	}
	first := list[0]
	if first.at.Sub(p.now) > MaxAhead {
		return refuse(WhyTooFar)
	}
	if dates.question != "" {
		return p.ask(dates.question, list)
	}
	if today && len(list) == 2 && s.open && first.question == "" && list[1].question == "" {
		sameDay := civilOf(first.at, p.zone).Equal(civilOf(p.now, p.zone))
		// The hour after midnight still is tonight to those who say "back by 12".
		otherDay := !civilOf(list[1].at.Add(-time.Hour), p.zone).Equal(civilOf(p.now, p.zone))
		if sameDay && otherDay {
			first.w.Confirm = AskHour
			return first.w, nil
		}
		return p.ask(AskHour, list)
	}
	if len(list) > 1 {
		return p.ask(p.why(list, AskHour), list)
	}
	switch {
	case first.question != "":
		return p.ask(first.question, list)
	case today && first.at.Sub(p.now) > MaxSpan:
		first.question = AskFar
		return p.ask(AskFar, []reading{first})
	}
	return first.w, nil
}
