package bot

import (
	"slices"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/trip"
)

// Another ledge or other hours: those who are in are asked again, for they agreed to something else.

// changeTrip is /trip change [LEDGE] [WHEN].
func (a *ask) changeTrip(args string) error {
	id, err := a.lastTrip()
	if err != nil {
		return err
	}
	var led session.Ledge
	var start, end time.Time
	refusal := ""
	if err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		t, ok, err := tx.LoadTrip(id)
		switch {
		case err != nil:
			return err
		case id == "" || !ok:
			refusal = w.T("no_trips")
			return nil
		case strings.TrimSpace(args) == "":
			refusal = w.T("trip_change_how")
			return nil
		}
		var found bool
		var rest string
		if led, rest, found = c.LedgeIn(args); !found {
			rest = args
			if led, found = c.LedgeNamed(t.Ledge); !found {
				refusal = w.T("trip_which", "ledges", w.Names(ledgeNames(c)))
				return nil
			}
		}
		place, err := spotOfLedge(c, led)
		if err != nil {
			return err
		}
		start, end = t.Start, t.End
		if strings.TrimSpace(rest) == "" {
			return nil
		}
		win, err := hoursOfChange(rest, t, tx.Now(), place.zone, func(from time.Time) (command.Window, error) { return place.when(rest, from, order(c)) })
		if err != nil || strings.TrimSpace(win.Rest) != "" {
			if refusal = whenProblem(w.In(place.zone.String()), err, led.Name); isUnread(err) {
				refusal = w.T("trip_change_how")
			}
			return nil
		}
		start, end = win.Start, win.End
		return nil
	}); err != nil {
		return err
	}
	if refusal != "" {
		return a.tell(refusal)
	}
	return a.movePlan(id, led, start, end, nil)
}

func isUnread(err error) bool { _, ok := err.(*command.Unread); return ok || err == nil }

// fromToday are words that count from the moment somebody writes, whatever day the plan is for.
var fromToday = []string{"today", "tonight", "now", "in", "leaving", "hoy", "ahora", "dentro", "en"}

// hoursOfChange reads new hours of a plan. Hours without a day are those of the plan's own day; a start alone keeps its length,
// an end alone its start. read reads the line as if it were written at an instant.
func hoursOfChange(line string, t trip.Trip, now time.Time, z *time.Location, read func(from time.Time) (command.Window, error)) (command.Window, error) {
	local := t.Start.In(z)
	day := time.Date(local.Year(), local.Month(), local.Day(), 0, 0, 0, 0, z)
	if day.Before(now) {
		day = now
	}
	counted := slices.ContainsFunc(strings.Fields(strings.ToLower(line)), func(s string) bool { return slices.Contains(fromToday, s) })
	win, err := read(day)
	on := win.Start
	if on.IsZero() {
		on = later(win.End, win.BackBy)
	}
	if counted || err == nil && on.In(z).YearDay() != local.YearDay() {
		win, err = read(now)
	}
	if err != nil {
		return win, err
	}
	switch end := later(win.End, win.BackBy); {
	case win.Start.IsZero() && end.IsZero():
		return win, &command.Unread{Said: line, Why: command.WhyNoTime}
	case win.Start.IsZero():
		win.Start, win.End = t.Start, end
	case end.IsZero():
		win.End = win.Start.Add(t.End.Sub(t.Start))
	default:
		win.End = end
	}
	return win, nil
}

// goPlanB is the button: the same hours on the ledge of plan B. What is left then is going home.
func (a *ask) goPlanB(id string, seq int) error {
	var led session.Ledge
	var t trip.Trip
	found := false
	if err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) (err error) {
		if t, found, err = tx.LoadTrip(id); err != nil || !found {
			return err
		}
		led, found = c.LedgeNamed(t.PlanB)
		return nil
	}); err != nil {
		return err
	}
	if !found || t.Seq != seq {
		return a.oldPlan()
	}
	return a.movePlan(id, led, t.Start, t.End, &seq)
}

// oldPlan answers a button that stands under a plan which has changed since.
func (a *ask) oldPlan() error {
	return a.view(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		a.toast, a.loud = w.T("toast_plan_changed"), true
		return nil
	})
}

// movePlan looks at the ledge and the hours a plan moves to, and moves it. With seq it goes to plan B, from the plan so numbered.
func (a *ask) movePlan(id string, led session.Ledge, start, end time.Time, seq *int) error {
	look, err := a.look(led, start, end)
	if err != nil {
		return err
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		was, ok, err := tx.LoadTrip(id)
		if err != nil {
			return err
		}
		if !ok {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		if seq != nil && was.Seq != *seq {
			a.toast, a.loud = w.T("toast_plan_changed"), true
			return nil
		}
		if p, on := was.Person(a.r.From.ID); was.CalledOff.IsZero() && was.By != a.r.From.ID && (!on || p.Answer == trip.Cant) {
			return a.problem(tx, w, trip.ErrNotIn)
		}
		if out, err := a.tripIsOut(tx, was); err != nil || out {
			if err == nil {
				err = a.problem(tx, w, wording.ErrTripOut)
			}
			return err
		}
		is, err := was.Apply(trip.Change{
			By: a.r.From.ID, Ledge: led.Name, Start: start, End: end, Zone: look.card.Zone,
			Capacity: look.card.Capacity, Dark: look.dark, Sea: look.tripSea(),
		}, tx.Now())
		if err != nil {
			return a.problem(tx, w, err)
		}
		if is.Seq == was.Seq {
			a.reply(tx, w.T("trip_change_same"))
			return nil
		}
		b := was.PlanB
		if l, ok := c.LedgeNamed(b); ok && l.Name == is.Ledge {
			b = trip.Home
		}
		if b != "" {
			if is, err = is.Apply(trip.SetPlanB{Name: b, DecideBy: decideBy(is.Start, tx.Now())}, tx.Now()); err != nil {
				return err
			}
		}
		if err := tx.PutSea(look.note); err != nil {
			return err
		}
		if err := tx.PutTrip(is); err != nil {
			return err
		}
		if err := sawSea(tx, is, look.report); err != nil {
			return err
		}
		if err := a.replanned(tx, c, is); err != nil {
			return err
		}
		a.toast = w.T("toast_noted")
		a.tripPanel(tx, c, is, false)
		w = a.wordsTo(c, is.Chat)
		a.post(tx, "", session.Urgent, chat.Message{To: is.Chat, Thread: is.Thread, Text: w.TripChanged(was, is, a.name(), seq != nil, tx.Now()), Buttons: tripButtons(w.In(is.Zone), c, is)[:1]})
		return nil
	})
}

// tripIsOut says whether those of a plan are on the rocks.
func (a *ask) tripIsOut(tx *session.Tx, t trip.Trip) (bool, error) {
	if t.Outing == "" {
		return false, nil
	}
	o, found, err := tx.LoadOuting(t.Outing)
	return found && !o.Closed(), err
}
