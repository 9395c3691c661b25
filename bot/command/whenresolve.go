package command

import (
	"slices"
	"time"
)

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
			if from = 1020; m < smallHours {
				return []int{m}
			}
		case postNoon:
			from = 720
		}
		if m < from || m >= to {
			return nil
		}
		return []int{m}
	}
	switch {
	case in == morning && m >= 60:
		return []int{m}
	case in == postNoon:
		return []int{m + 720}
	case in == afternoon && m < 480, in == evening && m >= 240, in == night && m >= 300:
		return []int{m + 720}
	case in == morning, in == evening:
		return nil
	case in == night && m < smallHours: // two at night is no afternoon
		return []int{m}
	}
	return []int{m, m + 720}
}

// smallHours is until when after midnight it is still the night of the day before, in minutes.
const smallHours = 300

// ofNight is the date on which a minute of the day lies that is said of a night: after midnight that is the next.
func ofNight(date time.Time, in part, minute int) time.Time {
	if in == night && minute < smallHours {
		return date.AddDate(0, 0, 1)
	}
	return date
}

// reading is one thing the line can mean.
type reading struct {
	w        Window
	at       time.Time // the instant that sets it apart
	question Word      // why it cannot stand by itself: AskMissing, AskFirstOrTwo, AskLong ...
	past     bool
	ends     time.Time // of a start on the tide that is past: when what is left of it ends
	wraps    bool      // the end is on a later date than the start
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
	switch {
	case q == AskTurn || q == AskMeet:
		sure.Start, sure.BackBy = time.Time{}, time.Time{}
		if p.length > 0 {
			sure.End = time.Time{}
		}
	case q == AskHour && p.start.half && len(e.Readings) > 0:
		// "Half five til 9" is asked for its half; the end is that of the early reading, as who says so means the morning.
		sure.End = e.Readings[0].End
	}
	if q == AskDate && len(list) == 1 { // a date that nobody is sure of
		return Window{}, e
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
		case p.start.set && p.start.point == nil && !p.left && !p.end.set && !p.back.set && !p.vague && !p.openBack && p.length == 0:
			p.back, p.start = p.start, said{}
		case p.bareIn > 0 && !p.hasStart() && !p.end.set && !p.back.set && p.length == 0:
			p.backIn, p.bareIn = p.bareIn, 0
		case p.length > 0 && !p.hasStart():
			p.lengthFor = true
		}
	}
	if p.bareIn > 0 && !p.hasStart() && (p.length > 0 || p.end.set || p.back.set || p.vague || !p.returns) && p.backIn == 0 {
		p.startIn, p.bareIn = p.bareIn, 0 // "in 2 hours for 3h", "in an hour til 6"
	}
	if p.hasStart() && p.end.set && p.length > 0 || p.length > 0 && p.backIn > 0 {
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
	case p.back.set && p.vague:
		return p.ask(AskVague, nil)
	case p.back.set:
		return p.onlyBack(p.back, dates)
	case p.end.set && (len(p.days) == 0 || p.onlyToday()):
		return p.onlyBack(p.end, dates) // "til 3pm": out now, off the rocks by then
	case p.end.set:
		if w, err := p.onlyBack(p.end, dates); err == nil {
			return askRest(Window{End: w.BackBy}, p.line, AskStart)
		}
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
	if p.start.point != nil {
		return p.pointStarts(dates)
	}
	s := p.start
	if dates.iso && s.padded {
		s = s.as24()
	}
	options := s.options(p.part)
	if len(options) == 0 {
		return nil, WhyClash
	}
	in := s.part
	if in == "" {
		in = p.part
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
			date := ofNight(date, in, m)
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
	if len(starts) == 0 {
		return p.askUnknown(*p.start.point, dates)
	}
	var list []reading
	for _, s := range starts {
		full, why := p.finish(s)
		if asks(why) { // the end hangs on what nobody told us
			ahead := slices.DeleteFunc(slices.Clone(starts), func(r reading) bool { return r.past })
			switch {
			case len(ahead) == 0:
				return refuse(WhyPast)
			case len(ahead) > 1 || ahead[0].question != "":
				return Window{}, p.untold(why)
			}
			sure := ahead[0].w
			sure.Confirm = ""
			return sure, p.untold(why)
		}
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
	if p.meet.set {
		for i := range ahead {
			ahead[i].question, ahead[i].at = AskMeet, ahead[i].w.Start
		}
		return p.ask(AskMeet, ahead)
	}
	if dates.question != "" {
		return p.ask(dates.question, ahead)
	}
	if dates.either && len(ahead) == 1 && ahead[0].w.End.IsZero() && ahead[0].w.BackBy.IsZero() {
		return p.ask(AskDate, ahead) // "5/4 6am": as more must be asked, the date is too
	}
	// A start of either half of the day is settled if the other half makes the trip longer than
	// MaxSpan, and the trip does not then run through a midnight nobody named.
	if p.start.open && len(ahead) > 1 {
		short := slices.DeleteFunc(slices.Clone(ahead), func(r reading) bool {
			// "3-5pm" are both of the afternoon, though 3 in the morning is within reach.
			return r.question == AskLong || p.end.set && !p.end.open && p.end.point == nil && !p.end.midnight && r.w.End.Sub(r.w.Start) >= 12*time.Hour
		})
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
		if !s.ends.IsZero() {
			list[0].w.End = s.ends
		}
		if p.length > MaxSpan {
			list[0] = list[0].asking(AskLong, list[0].w.End)
		}
	}
	if p.end.set {
		var out []reading
		end := p.end
		if p.start.h24 && end.padded { // "22:30 til 12:00" are on one clock
			end = end.as24()
		}
		ends, why := p.after(s.w.Start, end, false)
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
		return p.stretch(list)
	}
	var out []reading
	for _, r := range list {
		from, inclusive := s.w.Start, false
		if p.back.open && !r.w.End.IsZero() {
			from, inclusive = r.w.End, true
		}
		back := p.back
		if p.start.h24 && back.padded {
			back = back.as24()
		}
		backs, why := p.after(from, back, inclusive)
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
	return p.stretch(out)
}

// mostSlack is how far apart two promises may be.
const mostSlack = 6 * time.Hour

// stretch puts the later of two promises, "back by 10, call it 11 if we walk slow", in the place of the earlier: the alert
// goes by it.
func (p *plan) stretch(list []reading) ([]reading, Word) {
	if !p.later.set {
		return list, ""
	}
	for i := range list {
		r := &list[i]
		from := later(r.w.End, r.w.BackBy)
		found, why := p.after(from, p.later, false)
		if why != "" {
			return nil, why
		}
		if len(found) != 1 || found[0].at.Sub(from) > mostSlack {
			return nil, WhyClash
		}
		r.w.BackBy = found[0].at
		if found[0].question != "" {
			*r = r.asking(found[0].question, found[0].at)
		}
		if !r.w.Start.IsZero() && r.w.BackBy.Sub(r.w.Start) > MaxSpan {
			*r = r.asking(AskLong, r.w.BackBy)
		}
	}
	return list, ""
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
	if s.point != nil {
		if list = p.pointAfter(from, s, inclusive); len(list) == 0 {
			return nil, s.point.unknown()
		}
		return list, ""
	}
	options := s.options(s.part)
	if len(options) == 0 {
		return nil, WhyClash
	}
	day, days := civilOf(from, p.zone), 3
	if s.day.kind != dayNone {
		c, why := p.dateOf(s.day, civilOf(p.now, p.zone))
		if s.day.kind == dayWeekday { // the first such day from the start on
			c, why = p.dateOf(s.day, day)
		}
		if why != "" {
			return nil, why
		}
		if len(c.list) != 1 || c.question != "" || s.midnight {
			return nil, WhyTwoDays
		}
		if c.list[0].Before(day) || c.list[0].Sub(day) > 7*24*time.Hour {
			return nil, WhyTwoDays
		}
		day, days = c.list[0], 1
	}
	var best []reading
	for _, m := range options {
		for add := range days {
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
