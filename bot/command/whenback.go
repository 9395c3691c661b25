package command

import (
	"slices"
	"time"
)

// onlyBack works out a line that says when to be back and not when it starts.
func (p *plan) onlyBack(s said, dates dateChoice) (Window, error) {
	refuse := func(why Word) (Window, error) { return Window{}, &Unread{Said: p.line, Why: why} }
	var list []reading
	add := func(r reading) {
		r.w = Window{BackBy: r.at, Confirm: dates.confirm}
		list = append(list, r)
	}
	if s.day.kind != dayNone {
		return p.ask(AskStart, nil)
	}
	whole := p.part
	if s.part != "" {
		whole = s.part
	}
	today := len(p.days) == 0 || p.onlyToday()
	switch {
	case s.point != nil && today:
		if list = p.pointAfter(p.now, s, false); len(list) > 0 && list[0].at.Sub(p.now) > MaxSpan {
			list[0].question = AskFar
		}
		for i := range list {
			list[i].w = Window{BackBy: list[i].at}
		}
		if len(list) == 0 {
			return Window{}, p.untold(s.point.unknown())
		}
	case s.point != nil:
		for _, date := range dates.list {
			es, near := p.onDate(*s.point, date, whole)
			for _, e := range es {
				r := reading{at: e.Add(s.point.offset)}
				if near || len(es) > 1 {
					r.question = AskTurn
				}
				add(r)
			}
		}
		if len(list) == 0 {
			return Window{}, p.untold(s.point.unknown())
		}
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
				date := ofNight(date, whole, m)
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
	if p.later.set {
		stretched, why := p.stretch(list)
		if why != "" {
			return refuse(why)
		}
		for i := range list {
			list[i] = stretched[i]
			list[i].at = list[i].w.BackBy
		}
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
