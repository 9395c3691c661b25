package bot

import (
	"errors"
	"slices"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/lookout"
	"ledgehand/session/trip"
)

// The job "trip": the plan with mates, in one panel that is edited.

// newTrip is /trip LEDGE WHEN [plan b LEDGE].
func (a *ask) newTrip(args string) error {
	if strings.TrimSpace(args) == "" {
		return a.showTrips()
	}
	return a.newTripIn(args, nil)
}

// newTripIn is newTrip with the hours that were chosen of those the line may mean; nil: the line says them.
func (a *ask) newTripIn(args string, chosen *command.Window) error {
	var unclear *command.Ambiguous
	var led session.Ledge
	var win command.Window
	var planB, refusal string
	if err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		if open, err := tx.OpenTrips(); err != nil || len(open) >= mostTrips {
			refusal = w.T("trips_full", "n", mostTrips)
			return err
		}
		var rest string
		var ok bool
		if led, planB, rest, ok = tripLine(c, args); !ok {
			refusal = w.T("trip_which", "ledges", w.Names(ledgeNames(c)))
			return nil
		}
		card, err := cardOf(led)
		if err != nil {
			return err
		}
		if chosen != nil {
			win = *chosen
			return nil
		}
		place, err := spotOfLedge(c, led)
		if err != nil {
			return err
		}
		win, err = readAt(place, func(l command.Local) (command.Window, error) { return l.When(rest, tx.Now(), place.zone, order(c)) })
		win.End = endOf(win)
		switch {
		case strings.TrimSpace(win.Rest) != "":
			refusal = w.In(card.Zone).T("trip_when", "ledge", led.Name)
		case errors.As(err, &unclear):
		case err == nil && win.Start.IsZero():
			unclear = &command.Ambiguous{Said: rest, Question: command.AskStart}
		case err != nil:
			refusal = w.In(card.Zone).T("trip_when", "ledge", led.Name)
		}
		return nil
	}); err != nil {
		return err
	}
	if unclear != nil {
		return a.askTripTime(args, led, win, unclear)
	}
	if refusal != "" {
		return a.tell(refusal)
	}
	look, err := a.look(led, win.Start, win.End)
	if err != nil {
		return err
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		card := look.card
		w = w.In(card.Zone)
		t := trip.Trip{
			ID: recordID(a.cause.ID), Crew: string(tx.Crew), Chat: a.r.Place.ID, Thread: a.r.Place.Thread,
			Ledge: led.Name, PlanB: planB, Start: win.Start, End: win.End, Zone: card.Zone,
			By: a.r.From.ID, ByName: a.name(), Capacity: card.Capacity, Dark: look.dark,
		}
		if planB != "" {
			t.DecideBy = decideBy(win.Start, tx.Now())
		}
		if c.Group && !a.r.Place.Group { // a plan of the crew is shown where the crew reads, and called off there
			t.Chat, t.Thread = c.Chat, c.Thread
		}
		t, err := trip.New(t, tx.Now())
		if err != nil {
			return a.problem(tx, w, err)
		}
		if t, err = t.Apply(trip.NewSea{Sea: look.tripSea()}, tx.Now()); err != nil {
			return err
		}
		if err := tx.PutSea(look.note); err != nil {
			return err
		}
		if q, asked := c.Question(a.r.From.ID, a.r.Place.ID, tx.Now()); asked && q.What == pendingTrip {
			c.Answered(a.r.From.ID, a.r.Place.ID)
			if err := tx.PutCrew(c); err != nil {
				return err
			}
		}
		if err := tx.PutTrip(t); err != nil {
			return err
		}
		if err := tx.PutLookout(lookout.ForTrip(t.ID, t.Start, zone(t.Zone), tx.Now())); err != nil {
			return err
		}
		a.tripPanel(tx, c, t, false)
		return nil
	})
}

// decideBy is the evening before at eight, or half way there when that has passed.
func decideBy(start, now time.Time) time.Time {
	d := start.Add(-10 * time.Hour)
	if !d.After(now) {
		d = now.Add(start.Sub(now) / 2).Truncate(5 * time.Minute)
	}
	return d
}

func tripLine(c session.Crew, args string) (led session.Ledge, planB, rest string, ok bool) {
	line := args
	lower := strings.ToLower(line)
	if i := strings.Index(lower, "plan b"); i >= 0 {
		b := strings.Trim(line[i+len("plan b"):], " :,")
		line = line[:i]
		if l, after, found := c.LedgeIn(b); found {
			planB = l.Name
			line += " " + after
		} else {
			planB = wording.Clean(b, 40)
		}
	}
	led, rest, ok = c.LedgeMeant(line)
	return led, planB, rest, ok
}

// tripText is what a plan's panel says: the plan, and what happened on that ledge before.
func (a *ask) tripText(c session.Crew, w wording.Words, t trip.Trip, now time.Time) string {
	text := w.Trip(t, now)
	if l, ok := c.LedgeNamed(t.Ledge); ok && t.CalledOff.IsZero() {
		text = strings.TrimSpace(text + "\n" + a.nearOf(w, l, now, 1))
	}
	return text
}

func (a *ask) tripPanel(tx *session.Tx, c session.Crew, t trip.Trip, repost bool) {
	w := a.wordsTo(c, t.Chat).In(t.Zone)
	text := a.tripText(c, w, t, tx.Now())
	a.post(tx, "", session.Slow, chat.Message{
		To: t.Chat, Thread: t.Thread, Text: text, Buttons: tripButtons(w, t), Panel: "trip/" + t.ID, Repost: repost,
	})
	if a.r.Place.ID != t.Chat && a.r.Kind == chat.KindText {
		w := a.words(c).In(t.Zone)
		a.reply(tx, a.tripText(c, w, t, tx.Now()), tripButtons(w, t)...)
	}
}

// showTrips is /trip alone: the panels again, at the bottom of the chat.
func (a *ask) showTrips() error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		ts, err := tx.OpenTrips()
		if err != nil {
			return err
		}
		if len(ts) == 0 {
			a.reply(tx, w.T("no_trips"))
		}
		for _, t := range ts {
			a.tripPanel(tx, c, t, true)
		}
		return nil
	})
}

// onTrip applies an event to a trip and brings its panel up to date.
func (a *ask) onTrip(id string, e trip.Event) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		t, ok, err := tx.LoadTrip(id)
		if err != nil {
			return err
		}
		if !ok {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		if b, brings := e.(trip.Bring); brings && len(t.Gear) >= mostGear && !t.Has(b.Item) {
			a.reply(tx, w.T("gear_full", "n", mostGear))
			return nil
		}
		next, err := t.Apply(e, tx.Now())
		if err != nil {
			return a.problem(tx, w, err)
		}
		if next.Rev == t.Rev {
			a.toast = w.T("toast_same")
			return nil
		}
		if err := tx.PutTrip(next); err != nil {
			return err
		}
		a.toast = w.T("toast_noted")
		a.tripPanel(tx, c, next, false)
		if _, off := e.(trip.CallOff); off {
			// Who is called off must not depend on noticing that a panel changed.
			w := a.wordsTo(c, t.Chat).In(t.Zone)
			a.post(tx, "", session.Urgent, chat.Message{To: t.Chat, Thread: t.Thread, Text: w.T("trip_called_off", "ledge", t.Ledge, "day", w.Day(t.Start))})
		}
		return nil
	})
}

// lastTrip is the trip that a typed command means: the newest that stands.
func (a *ask) lastTrip() (string, error) {
	var id string
	err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		ts, err := tx.OpenTrips()
		if len(ts) > 0 {
			id = ts[len(ts)-1].ID
		}
		return err
	})
	return id, err
}

// typedTrip applies an event to the newest trip, for commands typed instead of tapped.
func (a *ask) typedTrip(event func() (trip.Event, bool)) error {
	id, err := a.lastTrip()
	if err != nil {
		return err
	}
	e, ok := event()
	if id == "" || !ok {
		return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
			if id == "" {
				a.reply(tx, w.T("no_trips"))
			} else {
				a.reply(tx, w.T("bring_what"))
			}
			return nil
		})
	}
	return a.onTrip(id, e)
}

func (a *ask) sayTrip(ans trip.Answer, args string) error {
	return a.typedTrip(func() (trip.Event, bool) {
		e := trip.Say{ID: a.r.From.ID, Name: a.name(), Answer: ans}
		e.Seats, e.First = rosterWords(args)
		return e, true
	})
}

// rosterWords reads "car 2" or "2 seats", and "first time".
func rosterWords(args string) (seats *int, first *bool) {
	words := strings.Fields(strings.ToLower(args))
	for i, x := range words {
		if (x == "car" || x == "seats" || x == "seat") && len(words) > 1 {
			for _, j := range []int{i - 1, i + 1} {
				if j >= 0 && j < len(words) && len(words[j]) == 1 && words[j][0] >= '0' && words[j][0] <= '9' {
					n := int(words[j][0] - '0')
					seats = &n
				}
			}
		}
		if x == "first" {
			yes := true
			first = &yes
		}
	}
	return seats, first
}

func (a *ask) bring(args string) error {
	return a.typedTrip(func() (trip.Event, bool) {
		item := wording.Clean(strings.ToLower(args), 40)
		return trip.Bring{ID: a.r.From.ID, Name: a.name(), Item: item}, item != ""
	})
}

// planB is /planb LEDGE.
func (a *ask) planB(args string) error {
	id, err := a.lastTrip()
	if err != nil {
		return err
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		t, ok, err := tx.LoadTrip(id)
		if err != nil {
			return err
		}
		b := wording.Clean(args, 40)
		if l, found := c.LedgeNamed(args); found {
			b = l.Name
		}
		if !ok || b == "" {
			a.reply(tx, w.T("no_trips"))
			return nil
		}
		next, err := t.Apply(trip.SetPlanB{Name: b, DecideBy: decideBy(t.Start, tx.Now())}, tx.Now())
		if err != nil {
			return a.problem(tx, w, err)
		}
		if err := tx.PutTrip(next); err != nil {
			return err
		}
		a.tripPanel(tx, c, next, false)
		return nil
	})
}

// goTrip turns a plan into an outing of everybody who is in. The end of the plan is shown as the return time, by
// the person's own tap: it was stated by the crew, not guessed.
func (a *ask) goTrip(id string) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		t, ok, err := tx.LoadTrip(id)
		if err != nil {
			return err
		}
		if !ok || !t.CalledOff.IsZero() {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		if p, in := t.Person(a.r.From.ID); !in || p.Answer != trip.In {
			return a.problem(tx, w, trip.ErrNotIn)
		}
		if t.Outing != "" {
			if o, found, err := tx.LoadOuting(t.Outing); err != nil || (found && !o.Closed()) {
				a.toast = w.T("toast_out", "by", w.In(o.Zone).Clock(o.BackBy))
				return err
			}
		}
		if !t.End.After(tx.Now()) {
			return a.problem(tx, w, trip.ErrOver)
		}
		if t.Start.Sub(tx.Now()) > 3*time.Hour {
			return a.problem(tx, w, wording.ErrTooEarly)
		}
		led, found := c.LedgeNamed(t.Ledge)
		if !found {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		card, err := cardOf(led)
		if err != nil {
			return err
		}
		var ids []int64
		for _, p := range t.Who(trip.In) {
			if p.ID != a.r.From.ID {
				ids = append(ids, p.ID)
			}
		}
		if err := a.open(tx, c, w.In(card.Zone), led, card, t.End, party{ids: slices.Compact(ids)}, &t); err != nil {
			return err
		}
		next, err := t.Apply(trip.Becomes{Outing: recordID(a.cause.ID)}, tx.Now())
		if err != nil {
			return err
		}
		return tx.PutTrip(next)
	})
}
