package bot

import (
	"errors"
	"slices"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/conditions/sky"
	"ledgehand/conditions/tide"
	"ledgehand/session"
)

// Times that people type, read with the tide and the light of the ledge they speak of. What may mean several things is
// asked, with a button for each; the answer may be typed too, and the line goes on from there.

// localOf works out the tide and the light of a place on some days, given as midnight UTC, and those beside them. What is
// not known there is left out: then it is asked for.
func localOf(s spot, days []time.Time) (out command.Local) {
	var dates []time.Time
	for _, d := range days {
		for n := -1; n <= 1; n++ {
			dates = append(dates, d.AddDate(0, 0, n))
		}
	}
	slices.SortFunc(dates, time.Time.Compare)
	dates = slices.CompactFunc(dates, time.Time.Equal)
	p, err := tide.Open(s.station)
	tides := s.station != "" && err == nil
	at := s.place()
	for _, date := range dates {
		d := sky.DateIn(date, time.UTC)
		if from, to, err := d.Bounds(s.zone); tides && err == nil {
			for _, x := range p.Extremes(from, to.Add(-time.Second)) {
				turn := command.NextLow
				if x.Kind == tide.High {
					turn = command.NextHigh
				}
				out.Tides = append(out.Tides, command.TideTurn{At: x.At.Truncate(time.Minute), Turn: turn})
			}
		}
		if at == nil {
			continue
		}
		day, err := sky.SunDayAt(*at, d, s.zone)
		if err != nil {
			continue
		}
		when := func(e sky.Event) time.Time {
			if !e.OK {
				return time.Time{}
			}
			return e.At.Truncate(time.Minute)
		}
		out.Light = append(out.Light, command.DayLight{
			FirstLight: when(day.CivilDawn), Sunrise: when(day.Sunrise), Sunset: when(day.Sunset), LastLight: when(day.CivilDusk),
		})
	}
	return out
}

// mostLooks is how often a line is read again as it asks for more days: its start, its end, its return.
const mostLooks = 3

// readAt reads a line about times at a place. The tide and the light are worked out only for the days that it asks for.
func readAt(s spot, read func(command.Local) (command.Window, error)) (command.Window, error) {
	w, err := read(command.Local{})
	var days []time.Time
	for range mostLooks {
		var amb *command.Ambiguous
		if !errors.As(err, &amb) || len(amb.Days) == 0 {
			break
		}
		days = append(days, amb.Days...)
		w, err = read(localOf(s, days))
	}
	return w, err
}

// returnsOf are the times to be back that a line may mean, which is what is offered to somebody who goes out: never one of
// its starts.
func returnsOf(amb *command.Ambiguous, now time.Time) (out []time.Time) {
	if len(amb.Readings) == 0 {
		return amb.Candidates
	}
	for _, r := range amb.Readings {
		t := r.BackBy
		if t.IsZero() {
			t = r.End
		}
		if t.After(now) && !slices.ContainsFunc(out, t.Equal) {
			out = append(out, t)
		}
	}
	return out
}

// windowLabel is a reading on a button. Two that look alike, as in the night in which clocks go back, bear their zone.
func windowLabels(w wording.Words, readings []command.Window, now time.Time) []string {
	var out []string
	for _, r := range readings {
		s := w.When(r.Start, now)
		if end := endOf(r); !end.IsZero() {
			s += "–" + w.Clock(end)
		}
		out = append(out, s)
	}
	for i, r := range readings {
		for k := range readings {
			if k != i && out[k] == out[i] {
				out[i] += " " + w.ZoneName(r.Start)
				break
			}
		}
	}
	return out
}

// endOf is when a window ends: the fishing, or else the time to be back.
func endOf(w command.Window) time.Time {
	if w.End.IsZero() {
		return w.BackBy
	}
	return w.End
}

// packSpan puts a window into a button; unpackSpan reads it. No end is a window that still lacks one.
func packSpan(start, end time.Time) string {
	if end.IsZero() {
		return "#" + minutes36(start)
	}
	return "#" + minutes36(start) + "." + minutes36(end)
}

func unpackSpan(s string) (start, end time.Time, ok bool) {
	a, b, both := strings.Cut(strings.TrimPrefix(s, "#"), ".")
	start, ok = unpackTime("@" + a)
	if ok && both {
		end, ok = unpackTime("@" + b)
	}
	return start, end, ok && strings.HasPrefix(s, "#") && (!both || end.After(start))
}

// pendingTrip is the question when a trip is.
const pendingTrip = "trip"

// askTripTime asks when a trip is: what its line may mean, or the part it lacks. The line stays with the question.
func (a *ask) askTripTime(args string, led session.Ledge, sure command.Window, amb *command.Ambiguous) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		card, err := cardOf(led)
		if err != nil {
			return err
		}
		w = w.In(card.Zone)
		q := session.Pending{Who: a.r.From.ID, Chat: a.r.Place.ID, What: pendingTrip, Args: map[string]string{"line": args}, At: tx.Now()}
		var offers []command.Window
		text := w.T("trip_when", "ledge", led.Name)
		switch {
		case len(amb.Readings) > 0:
			offers = slices.DeleteFunc(slices.Clone(amb.Readings), func(r command.Window) bool { return r.Start.IsZero() })
			text = w.WhenAsk(string(amb.Question), amb.Said, amb.Candidates, tx.Now())
		case !sure.Start.IsZero():
			q.Args["start"] = minutes36(sure.Start)
			text = w.T("trip_until", "ledge", led.Name, "start", w.When(sure.Start, tx.Now()))
			for _, h := range []time.Duration{3, 4, 5} { // offered, not guessed
				offers = append(offers, command.Window{Start: sure.Start, End: sure.Start.Add(h * time.Hour)})
			}
		}
		c.Ask(q)
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		var rows [][]chat.Button
		offers = offers[:min(4, len(offers))]
		for i, label := range windowLabels(w, offers, tx.Now()) {
			if i%2 == 0 {
				rows = append(rows, nil)
			}
			b := button(label, actTripTime, ref(tx.Crew, ""), packSpan(offers[i].Start, endOf(offers[i])))
			rows[len(rows)-1] = append(rows[len(rows)-1], b)
		}
		if rows == nil {
			a.question(tx, text, w.T("hint_when"))
			return nil
		}
		a.reply(tx, text, rows...)
		return nil
	})
}

// tripTimeChosen is a tap on one of the times a plan may be: it answers the question that was asked of this person.
func (a *ask) tripTimeChosen(arg string) error {
	start, end, ok := unpackSpan(arg)
	var q session.Pending
	var led session.Ledge
	if err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		var asked bool
		q, asked = c.Question(a.r.From.ID, a.r.Place.ID, tx.Now())
		if ok = ok && asked && q.What == pendingTrip; ok {
			led, _, _, ok = tripLine(c, q.Args["line"])
		}
		return nil
	}); err != nil {
		return err
	}
	switch {
	case !ok:
		return a.oldPanel()
	case end.IsZero():
		return a.askTripTime(q.Args["line"], led, command.Window{Start: start}, &command.Ambiguous{Question: command.AskUntil})
	}
	return a.newTripIn(q.Args["line"], &command.Window{Start: start, End: end})
}

// tripTimeTyped is a line in answer to the same question. What it comes to is said back with a button: the plan itself asks
// the feeds, and a plain line must not wait for them.
func (a *ask) tripTimeTyped(q session.Pending) error {
	var led session.Ledge
	var win command.Window
	var readErr error
	found := false
	if err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		var rest string
		if led, _, rest, found = tripLine(c, q.Args["line"]); !found {
			return nil
		}
		s, err := spotOfLedge(c, led)
		if err != nil {
			return err
		}
		start, _ := unpackTime("@" + q.Args["start"])
		if q.Args["start"] == "" {
			start = time.Time{}
		}
		win, readErr = readAt(s, func(l command.Local) (command.Window, error) {
			return l.Answer(rest, a.r.Text, start, tx.Now(), s.zone, order(c))
		})
		return nil
	}); err != nil {
		return err
	}
	var amb *command.Ambiguous
	switch {
	case !found:
		return a.oldPanel()
	case errors.As(readErr, &amb):
		return a.askTripTime(q.Args["line"], led, win, amb)
	case readErr != nil || win.Start.IsZero() || endOf(win).IsZero():
		return a.askTripTime(q.Args["line"], led, command.Window{}, &command.Ambiguous{Question: command.AskTime})
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		card, err := cardOf(led)
		if err != nil {
			return err
		}
		w = w.In(card.Zone)
		b := button(w.T("b_plan_it"), actTripTime, ref(tx.Crew, ""), packSpan(win.Start, endOf(win)))
		a.reply(tx, w.T("trip_read", "ledge", led.Name, "day", w.Day(win.Start), "span", w.Span(win.Start, endOf(win))), []chat.Button{b})
		return nil
	})
}

// returnChosen takes a line as the choice of one of the times that somebody's line about going out may mean.
func returnChosen(c session.Crew, q session.Pending, line string, now time.Time) (led session.Ledge, back time.Time, ok bool) {
	led, found := c.LedgeNamed(q.Args["ledge"])
	if !found || q.Args["said"] == "" {
		return led, back, false
	}
	s, err := spotOfLedge(c, led)
	if err != nil {
		return led, back, false // going on says so
	}
	_, err = s.backBy(q.Args["said"], q.At, order(c))
	var amb *command.Ambiguous
	if !errors.As(err, &amb) {
		return led, back, false
	}
	offered := returnsOf(amb, now)
	i, ok := command.Choose(line, offered, s.zone)
	if ok {
		back = offered[i]
	}
	return led, back, ok
}

// spotIn is the place of a ledge of some crew.
func (a *ask) spotIn(crew session.CrewID, ledge string) (s spot, ok bool, err error) {
	err = a.Session.View(a.ctx, crew, a.cause.Now, func(tx *session.Tx) error {
		c, err := a.load(tx)
		if err != nil {
			return err
		}
		led, found := c.LedgeNamed(ledge)
		if !found {
			return nil
		}
		ok = true
		s, err = spotOfLedge(c, led)
		return err
	})
	return s, ok, err
}

// partyAsked is who goes along, as it was noted with a question.
func partyAsked(q session.Pending) party {
	p := party{ids: splitIDs(q.Args["with"]), guests: strings.Fields(q.Args["guests"])}
	if q.Args["home"] != "" {
		p.home, _ = unpackTime("@" + q.Args["home"])
	}
	return p
}

// when reads the hours of a line at a place, as it is meant at an instant.
func (s spot) when(line string, at time.Time, ord command.DayOrder) (command.Window, error) {
	return readAt(s, func(l command.Local) (command.Window, error) { return l.When(line, at, s.zone, ord) })
}

// backBy reads a return time at a place; what needs confirming is asked.
func (s spot) backBy(line string, now time.Time, ord command.DayOrder) (time.Time, error) {
	return returnOf(line, func() (command.Window, error) {
		return readAt(s, func(l command.Local) (command.Window, error) { return l.WhenBack(line, now, s.zone, ord) })
	})
}

// conditionsButtons offer the hours that a question about conditions may mean.
func conditionsButtons(w wording.Words, crew session.CrewID, ledge int, amb *command.Ambiguous, now time.Time) (rows [][]chat.Button) {
	if ledge < 0 {
		return nil
	}
	offers := slices.DeleteFunc(slices.Clone(amb.Readings), func(r command.Window) bool { return r.Start.IsZero() })
	for i, label := range windowLabels(w, offers[:min(4, len(offers))], now) {
		to := endOf(offers[i])
		if to.IsZero() {
			to = offers[i].Start.Add(usualStay)
		}
		rows = append(rows, []chat.Button{button(label, actConditions, ref(crew, ""), packWindow(ledge, offers[i].Start, to))})
	}
	return rows
}
