package bot

import (
	"errors"
	"strings"
	"time"

	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/trip"
)

// The job "trip": the plan with mates, in one panel that is edited.

// newTrip is /trip LEDGE WHEN [plan b LEDGE].
func (a *ask) newTrip(args string) error {
	if strings.TrimSpace(args) == "" {
		return a.showTrips()
	}
	if done, err := a.tripWord(args); done || err != nil {
		return err
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
		win, err = place.when(rest, tx.Now(), order(c))
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
		if err := tx.TidyPlans(); err != nil {
			return err
		}
		if err := tx.PutTrip(t); err != nil {
			return err
		}
		if err := looksAhead(tx, t); err != nil {
			return err
		}
		if err := sawSea(tx, t, look.report); err != nil {
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
			planB = planBName(c, b)
		}
	}
	led, rest, ok = c.LedgeMeant(line)
	return led, planB, rest, ok
}

// planBName is a plan B as it is kept: a ledge of the crew by its name, home, or their own words.
func planBName(c session.Crew, said string) string {
	if l, found := c.LedgeNamed(said); found {
		return l.Name
	}
	if b := strings.ToLower(strings.TrimSpace(said)); b == trip.Home || b == "casa" || b == "a casa" {
		return trip.Home
	}
	return wording.Clean(said, 40)
}

func whenProblem(w wording.Words, err error, ledge string) string {
	var amb *command.Ambiguous
	if errors.As(err, &amb) && len(amb.Candidates) > 0 {
		return w.T("when_ambiguous", "said", amb.Said, "times", w.Times(amb.Candidates))
	}
	return w.T("trip_when", "ledge", ledge)
}

// tripWord is /trip with a word of its own: vote, change, note. A ledge that begins with such a word goes before.
func (a *ask) tripWord(args string) (done bool, err error) {
	word, rest, _ := strings.Cut(strings.TrimSpace(args), " ")
	word = strings.ToLower(strings.TrimRight(word, ":,"))
	do, ok := map[string]func(string) error{
		"vote": a.newVote, "votar": a.newVote, "change": a.changeTrip, "cambiar": a.changeTrip, "note": a.noteTrip, "nota": a.noteTrip,
	}[word]
	if !ok {
		return false, nil
	}
	named := false
	if err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		l, _, found := c.LedgeIn(args)
		first, _, _ := strings.Cut(l.Name, " ")
		named = found && strings.EqualFold(first, word)
		return nil
	}); err != nil || named {
		return false, err
	}
	return true, do(strings.TrimSpace(rest))
}

// showTrips is /trip alone: the panels again, at the bottom of the chat.
func (a *ask) showTrips() error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		ts, err := tx.OpenTrips()
		if err != nil {
			return err
		}
		vs, err := tx.OpenVotes()
		if err != nil {
			return err
		}
		if len(ts)+len(vs) == 0 {
			a.reply(tx, w.T("no_trips"))
		}
		for _, v := range vs {
			a.votePanel(tx, c, v, false, true)
		}
		for _, t := range ts {
			a.tripPanel(tx, c, t, true)
		}
		return nil
	})
}

// lastTrip is the trip that a typed command means: the one whose panel it answers, else the newest that stands.
func (a *ask) lastTrip() (string, error) {
	var id string
	err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		ts, err := tx.OpenTrips()
		for _, t := range ts {
			if id = t.ID; a.answers(t.Chat, t.Panel) {
				break
			}
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
		e := trip.Say{ID: a.r.From.ID, Name: a.name(), Answer: ans, Seen: seenNow}
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
		b := planBName(c, args)
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
