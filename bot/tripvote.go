package bot

import (
	"strconv"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/lookout"
	"ledgehand/session/trip"
)

// Which day shall it be: one panel with the forecast beside each, until somebody takes one.

// voteFresh is how old the sea beside the options may be before a tap looks again.
const voteFresh = time.Hour

// newVote is /trip vote LEDGE WHEN | [LEDGE] WHEN | … [plan b LEDGE].
func (a *ask) newVote(args string) error {
	v := trip.Vote{ID: recordID(a.cause.ID), Crew: string(a.crew), By: a.r.From.ID, ByName: a.name(), Chat: a.r.Place.ID, Thread: a.r.Place.Thread}
	var leds []session.Ledge
	refusal := ""
	if err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		open, err := tx.OpenVotes()
		switch {
		case err != nil:
			return err
		case len(open) >= mostVotes:
			refusal = w.T("votes_full", "n", mostVotes)
			return nil
		case !strings.Contains(args, "|"):
			refusal = w.T("vote_how", "n", trip.MostOptions)
			return nil
		}
		parts := strings.Split(args, "|")
		if len(parts) > 2*trip.MostOptions {
			refusal, _ = w.Problem(trip.ErrMany)
			return nil
		}
		var led session.Ledge
		known := false
		for i, part := range parts {
			if strings.TrimSpace(part) == "" {
				continue
			}
			l, planB, rest, ok := tripLine(c, part)
			if planB != "" {
				v.PlanB = planB
			}
			if _, _, named := c.LedgeIn(part); ok && (named || !known) { // one that is not named is the one before
				led, known = l, true
			}
			if !known {
				refusal = w.T("vote_part", "no", i+1, "why", wording.HTML(w.T("trip_which", "ledges", w.Names(ledgeNames(c)))))
				return nil
			}
			place, err := spotOfLedge(c, led)
			if err != nil {
				return err
			}
			card := place.card
			win, err := place.when(rest, tx.Now(), order(c))
			if err != nil || win.Start.IsZero() || win.End.IsZero() || strings.TrimSpace(win.Rest) != "" {
				refusal = w.T("vote_part", "no", i+1, "why", wording.HTML(whenProblem(w.In(card.Zone), err, led.Name)))
				return nil
			}
			leds = append(leds, led)
			v.Options = append(v.Options, trip.Option{Ledge: led.Name, Start: win.Start, End: win.End, Zone: card.Zone, Capacity: card.Capacity})
		}
		if c.Group && !a.r.Place.Group {
			v.Chat, v.Thread = c.Chat, c.Thread
		}
		if _, err := trip.NewVote(v, tx.Now()); err != nil { // before any feed is asked
			var ok bool
			if refusal, ok = w.Problem(err); !ok {
				return err
			}
		}
		return nil
	}); err != nil {
		return err
	}
	if refusal != "" {
		return a.tell(refusal)
	}
	for i, led := range leds {
		look, err := a.look(led, v.Options[i].Start, v.Options[i].End)
		if err != nil {
			return err
		}
		v.Options[i].Sea, v.Options[i].Dark = look.tripSea(), look.dark
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		v, err := trip.NewVote(v, tx.Now())
		if err != nil {
			return a.problem(tx, w, err)
		}
		if err := tx.TidyPlans(); err != nil {
			return err
		}
		if err := tx.PutVote(v); err != nil {
			return err
		}
		if err := tx.PutLookout(lookout.ForTrip(v.ID, v.Begins(), zone(v.Options[0].Zone), tx.Now())); err != nil {
			return err
		}
		a.votePanel(tx, c, v, false, false)
		return nil
	})
}

// votePanel brings a vote's panel up to date.
func (a *ask) votePanel(tx *session.Tx, c session.Crew, v trip.Vote, which, repost bool) {
	w := a.wordsTo(c, v.Chat)
	a.postPanel(tx, aboutVote, v.ID, v.Panel, chat.Message{
		To: v.Chat, Thread: v.Thread, Text: w.Vote(v, which, tx.Now()), Buttons: voteButtons(w, v, which, tx.Now()), Panel: "vote/" + v.ID, Repost: repost,
	})
	if a.r.Place.ID != v.Chat && a.r.Place.ID != 0 && (a.r.Kind == chat.KindText || which) {
		w := a.words(c)
		a.reply(tx, w.Vote(v, which, tx.Now()), voteButtons(w, v, which, tx.Now())...)
	}
}

func voteButtons(w wording.Words, v trip.Vote, which bool, now time.Time) (rows [][]chat.Button) {
	if !v.Open(now) {
		return nil
	}
	r, act := ref(session.CrewID(v.Crew), v.ID), actVote
	if which {
		act = actTake
	}
	for i, o := range v.Options {
		if o.Start.After(now) {
			rows = append(rows, []chat.Button{button(w.OptionLabel(i, o), act, r, strconv.Itoa(i))})
		}
	}
	if which {
		return append(rows, []chat.Button{button(w.T("b_back"), actVoteView, r, "main"), button(w.T("b_vote_drop"), actVoteDrop, r, "")})
	}
	return append(rows, []chat.Button{button(w.T("b_vote_none"), actVote, r, "none"), button(w.T("b_vote_take"), actVoteView, r, "which")})
}

// onVote applies events to a vote, none to show another side of it.
func (a *ask) onVote(id string, which bool, events ...trip.VoteEvent) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		v, ok, err := tx.LoadVote(id)
		if err != nil {
			return err
		}
		if !ok {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		if !v.Open(tx.Now()) {
			return a.problem(tx, w, trip.ErrVoteOver)
		}
		for _, e := range events {
			if v, err = v.Apply(e, tx.Now()); err != nil {
				return a.problem(tx, w, err)
			}
		}
		if len(events) > 0 {
			if err := tx.PutVote(v); err != nil {
				return err
			}
			a.toast = w.T("toast_noted")
		}
		a.votePanel(tx, c, v, which, false)
		return nil
	})
}

// castVote is somebody who could come, or could not after all; the sea is looked at again when it is old.
func (a *ask) castVote(id string, option int) error {
	seas, err := a.seasOfVote(id, voteFresh)
	if err != nil {
		a.Log.Warn("sea of a vote not looked at", "err", err) // the vote counts all the same
	}
	said := []trip.VoteEvent{trip.Cast{ID: a.r.From.ID, Name: a.name(), Option: option}}
	if seas != nil {
		said = append(said, trip.SeaOf{Seas: seas})
	}
	return a.onVote(id, false, said...)
}

// seasOfVote looks at the hours of all options, unless that was done within fresh; nil then, and for what is over.
func (a *ask) seasOfVote(id string, fresh time.Duration) ([]trip.Sea, error) {
	var v trip.Vote
	var leds []session.Ledge
	open := false
	if err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) (err error) {
		if v, open, err = tx.LoadVote(id); err != nil || !open {
			return err
		}
		open = v.Open(tx.Now()) && tx.Now().Sub(v.SeenAt) >= fresh
		for _, o := range v.Options {
			l, _ := c.LedgeNamed(o.Ledge)
			leds = append(leds, l)
		}
		return nil
	}); err != nil || !open {
		return nil, err
	}
	seas := make([]trip.Sea, len(v.Options))
	for i, o := range v.Options {
		if leds[i].Name == "" || !o.End.After(a.cause.Now) {
			continue
		}
		look, err := a.look(leds[i], o.Start, o.End)
		if err != nil {
			return nil, err
		}
		seas[i] = look.tripSea()
	}
	return seas, nil
}

// lookAtVote is the look ahead for a vote: its panel is brought up to date, and nobody is rung for it.
func (a *ask) lookAtVote(id string) error {
	seas, err := a.seasOfVote(id, 0)
	if err != nil {
		return err
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		v, ok, err := tx.LoadVote(id)
		if err != nil {
			return err
		}
		if !ok || seas == nil || !c.Gone.IsZero() {
			return a.endLookout(tx, lookout.Trip, id)
		}
		if v, err = v.Apply(trip.SeaOf{Seas: seas}, tx.Now()); err != nil {
			return a.endLookout(tx, lookout.Trip, id)
		}
		if err := tx.PutVote(v); err != nil {
			return err
		}
		a.votePanel(tx, c, v, false, false)
		return nil
	})
}

// takeVote makes an option the plan. Two who take at once make one plan: the second hears that it is over.
func (a *ask) takeVote(id string, option int) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		v, ok, err := tx.LoadVote(id)
		if err != nil {
			return err
		}
		if !ok {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		open, err := tx.OpenTrips()
		if err != nil {
			return err
		}
		if len(open) >= mostTrips {
			a.toast, a.loud = short(w.T("trips_full", "n", mostTrips)), true
			return nil
		}
		of := trip.Trip{ID: recordID(a.cause.ID), Crew: v.Crew, Chat: v.Chat, Thread: v.Thread, By: a.r.From.ID, ByName: a.name()}
		over, err := v.Apply(trip.Take{Option: option, Trip: of.ID}, tx.Now())
		if err != nil {
			return a.problem(tx, w, err)
		}
		if v.PlanB != "" {
			of.DecideBy = decideBy(v.Options[option].Start, tx.Now())
		}
		t, err := v.FromVote(option, of, tx.Now())
		if err != nil {
			return a.problem(tx, w, err)
		}
		if err := tx.PutVote(over); err != nil {
			return err
		}
		if err := tx.PutTrip(t); err != nil {
			return err
		}
		if err := a.endLookout(tx, lookout.Trip, v.ID); err != nil {
			return err
		}
		if err := looksAhead(tx, t); err != nil {
			return err
		}
		a.toast = w.T("toast_noted")
		a.votePanel(tx, c, over, false, false)
		a.tripPanel(tx, c, t, false)
		return nil
	})
}
