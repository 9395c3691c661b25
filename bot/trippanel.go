package bot

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/trip"
)

// The panel of a plan: one message that is edited, and posted anew when nobody sees it any more.

// buriedAfter is after how many messages of a chat a panel is posted anew when somebody writes about its plan: about two screens
// of a phone. common practice, no source.
const buriedAfter = 25

// What our outbox reports about: which message shows a plan.
const (
	aboutTrip = "trip"
	aboutVote = "vote"
)

// buried says whether a panel has gone up out of sight. Ids of messages grow within a chat; in a small group they count messages
// elsewhere too, so that a panel comes anew sooner there. Whoever taps a panel sees it.
func (a *ask) buried(to int64, panel int) bool {
	return a.r.Kind == chat.KindText && a.r.Place.ID == to && panel > 0 && a.r.Message-panel > buriedAfter
}

// answers says whether a line is a reply to a panel.
func (a *ask) answers(to int64, panel int) bool {
	return panel > 0 && a.r.Place.ID == to && a.r.ReplyTo == panel
}

// tripText is what a plan's panel says: the plan, and what happened on that ledge before.
func (a *ask) tripText(c session.Crew, w wording.Words, t trip.Trip, v wording.View, now time.Time) string {
	text := w.TripView(t, v, now)
	if l, ok := c.LedgeNamed(t.Ledge); ok && t.CalledOff.IsZero() && (v == wording.ViewMain || v == wording.ViewMore) {
		text = strings.TrimSpace(text + "\n" + a.nearOf(w, l, now, 1))
	}
	return text
}

func (a *ask) tripPanel(tx *session.Tx, c session.Crew, t trip.Trip, repost bool) {
	a.tripView(tx, c, t, wording.ViewMain, repost)
}

// tripView brings the panel up to date on one of its sides.
func (a *ask) tripView(tx *session.Tx, c session.Crew, t trip.Trip, v wording.View, repost bool) {
	w := a.wordsTo(c, t.Chat).In(t.Zone)
	a.postPanel(tx, aboutTrip, t.ID, t.Panel, chat.Message{
		To: t.Chat, Thread: t.Thread, Text: a.tripText(c, w, t, v, tx.Now()) + a.berleyLine(tx, w, t, v), Buttons: viewButtons(w, c, t, v), Panel: "trip/" + t.ID, Repost: repost,
	})
	if a.r.Place.ID != t.Chat && a.r.Kind == chat.KindText {
		w := a.words(c).In(t.Zone)
		a.reply(tx, a.tripText(c, w, t, v, tx.Now())+a.berleyLine(tx, w, t, v), viewButtons(w, c, t, v)...)
	}
}

// postPanel posts or edits the panel of a plan or a vote; where a new message may come of it we want to hear which.
func (a *ask) postPanel(tx *session.Tx, about, id string, known int, m chat.Message) {
	m.Repost = m.Repost || a.buried(m.To, known)
	e := session.Entry{Lane: session.Slow}
	if m.Repost || known == 0 {
		e.About = fmt.Sprintf("%s/%s/%s", about, tx.Crew, id)
	}
	say(tx, e, m)
}

// planShown notes which message shows a plan or a vote.
func (a *ask) planShown(crew session.CrewID, about, id string, oc *chat.Outcome) error {
	if oc.Number <= 0 || oc.Result != chat.ResultSent && oc.Result != chat.ResultSame {
		return nil
	}
	return a.Session.Do(a.ctx, a.cause, crew, func(tx *session.Tx) error {
		if about == aboutVote {
			v, ok, err := tx.LoadVote(id)
			if err != nil || !ok || v.Chat != oc.Chat {
				return err
			}
			if v, err = v.Apply(trip.VoteShown{Message: oc.Number}, tx.Now()); err != nil {
				return nil // over meanwhile: nobody looks for it
			}
			return tx.PutVote(v)
		}
		t, ok, err := tx.LoadTrip(id)
		if err != nil || !ok || t.Chat != oc.Chat {
			return err
		}
		if t, err = t.Apply(trip.Shown{Message: oc.Number}, tx.Now()); err != nil {
			return nil
		}
		return tx.PutTrip(t)
	})
}

// plansMoved posts what is open anew in a group that has another id: what was posted stays behind with the old one.
func (a *ask) plansMoved(tx *session.Tx, c session.Crew) error {
	ts, err := tx.OpenTrips()
	if err != nil {
		return err
	}
	vs, err := tx.OpenVotes()
	if err != nil {
		return err
	}
	for _, v := range vs {
		if v.Chat == c.Chat {
			a.votePanel(tx, c, v, false, false)
		}
	}
	for _, t := range ts {
		if t.Chat == c.Chat {
			a.tripPanel(tx, c, t, false)
		}
	}
	return nil
}

// onTrip applies an event to a trip and brings its panel up to date.
func (a *ask) onTrip(id string, e trip.Event) error { return a.onTripIn(id, e, wording.ViewMain) }

// seenNow is a Say of somebody who typed it: they mean the plan as it stood when they wrote.
const seenNow = -1

// onTripIn is onTrip from one side of the panel, which stays in sight.
func (a *ask) onTripIn(id string, e trip.Event, v wording.View) error {
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
		said, says := e.(trip.Say)
		if says && said.Seen == seenNow {
			if said.Seen = t.Seq; a.at().Before(t.ChangedAt) {
				said.Seen = max(0, t.Seq-1)
			}
			e = said
		}
		next, err := t.Apply(e, tx.Now())
		if err != nil {
			return a.problem(tx, w, err)
		}
		stale := says && said.Answer == trip.In && said.Seen < t.Seq && isUnconfirmed(next, said.ID)
		if next.Rev == t.Rev && !stale {
			a.toast = w.T("toast_same")
			return nil
		}
		if err := tx.PutTrip(next); err != nil {
			return err
		}
		a.toast = w.T("toast_noted")
		a.tripView(tx, c, next, v, false)
		a.brought(tx, c, next, e)
		if next.Seq != t.Seq {
			if err := a.replanned(tx, c, next); err != nil {
				return err
			}
		}
		switch was, _ := t.Person(said.ID); {
		case stale: // a yes to the old plan is none to the new one
			a.toast, a.loud = w.T("toast_plan_changed"), true
		case says && said.Answer == trip.In && was.Answer != trip.In && next.Over() > 0:
			a.tooMany(tx, w, next)
		}
		if _, off := e.(trip.CallOff); off {
			// Who is called off must not depend on noticing that a panel changed.
			w := a.wordsTo(c, t.Chat).In(t.Zone)
			a.post(tx, "", session.Urgent, chat.Message{To: t.Chat, Thread: t.Thread, Text: w.T("trip_called_off", "ledge", t.Ledge, "day", w.Day(t.Start))})
		}
		return nil
	})
}

func isUnconfirmed(t trip.Trip, id int64) bool {
	for _, p := range t.Unconfirmed() {
		if p.ID == id {
			return true
		}
	}
	return false
}

// tooMany tells whoever came last that the ledge does not take them; the panel says it to all.
func (a *ask) tooMany(tx *session.Tx, w wording.Words, t trip.Trip) {
	text := w.T("trip_one_too_many", "ledge", t.Ledge, "n", t.Capacity)
	if a.r.Kind != chat.KindTap {
		a.reply(tx, text)
		return
	}
	a.toast, a.loud = short(text), true
}

// tappedPlan answers the buttons of plans and votes that ask more than an answer.
func (a *ask) tappedPlan(id string, p command.Payload) error {
	me, n := a.r.From.ID, 0
	if x, err := strconv.Atoi(p.Arg); err == nil && x >= 0 && x < 1000 {
		n = x
	}
	switch p.Act {
	case actTripView:
		if v := wording.View(oneOf(p.Arg, string(wording.ViewMain), string(wording.ViewMore), string(wording.ViewGear), string(wording.ViewCars))); v != "" {
			return a.showView(id, v)
		}
	case actGear:
		return a.onTripIn(id, trip.Bring{ID: me, Name: a.name(), Item: p.Arg}, wording.ViewGear)
	case actDrive:
		return a.onTripIn(id, trip.Drive{ID: me, Name: a.name(), Car: p.Arg != "no", Seats: n}, wording.ViewCars)
	case actFirst:
		return a.onTripIn(id, trip.Newcomer{ID: me, First: p.Arg == "yes"}, wording.ViewCars)
	case actWalk:
		with, err := strconv.ParseInt(p.Arg, 10, 64)
		if err == nil {
			return a.onTrip(id, trip.WalkWith{ID: me, Name: a.name(), With: with})
		}
	case actGoPlanB:
		return a.goPlanB(id, p.Rev)
	case actVote:
		if p.Arg == "none" {
			n = trip.NoOption
		}
		return a.castVote(id, n)
	case actVoteView:
		return a.onVote(id, p.Arg == "which")
	case actTake:
		return a.takeVote(id, n)
	case actVoteDrop:
		return a.onVote(id, false, trip.Drop{})
	}
	return a.oldPanel()
}

// showView turns the panel to another side; in private, where the panel is not, it is a message.
func (a *ask) showView(id string, v wording.View) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		t, ok, err := tx.LoadTrip(id)
		if err != nil {
			return err
		}
		if !ok || !t.CalledOff.IsZero() {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		if a.r.Place.ID != t.Chat {
			w = w.In(t.Zone)
			a.reply(tx, a.tripText(c, w, t, v, tx.Now())+a.berleyLine(tx, w, t, v), viewButtons(w, c, t, v)...)
			return nil
		}
		a.tripView(tx, c, t, v, false)
		return nil
	})
}

// tripPress is a button of a plan; it carries the Seq of the plan that it stands under.
func tripPress(label, act string, t trip.Trip, arg string) chat.Button {
	data, err := command.Pack(command.Payload{Act: act, Ref: ref(session.CrewID(t.Crew), t.ID), Arg: arg, Rev: t.Seq})
	if err != nil {
		return chat.Button{Label: label} // too long: the typed command does the same
	}
	return chat.Button{Label: label, Data: data}
}

func tripButtons(w wording.Words, c session.Crew, t trip.Trip) [][]chat.Button {
	return viewButtons(w, c, t, wording.ViewMain)
}

// viewButtons are those of one side of the panel.
func viewButtons(w wording.Words, c session.Crew, t trip.Trip, v wording.View) [][]chat.Button {
	if !t.CalledOff.IsZero() {
		return nil
	}
	back := []chat.Button{tripPress(w.T("b_back"), actTripView, t, string(wording.ViewMain))}
	switch v {
	case wording.ViewGear:
		return append(gearButtons(w, t, actGear, mostGearButtons, func(trip.Item) bool { return true }), back)
	case wording.ViewCars:
		rows := [][]chat.Button{{tripPress(w.T("b_car_none"), actDrive, t, "no"), tripPress(w.T("b_car_full"), actDrive, t, "0")}, nil}
		for n := 1; n <= 4; n++ {
			rows[1] = append(rows[1], tripPress(w.T("b_car", "n", n), actDrive, t, strconv.Itoa(n)))
		}
		return append(rows, []chat.Button{tripPress(w.T("b_first"), actFirst, t, "yes"), tripPress(w.T("b_not_first"), actFirst, t, "no")}, back)
	case wording.ViewMore:
		return [][]chat.Button{{calendarButton(w, t)}, back}
	}
	rows := [][]chat.Button{{
		tripPress(w.T("b_in"), actSay, t, string(trip.In)),
		tripPress(w.T("b_maybe"), actSay, t, string(trip.Maybe)),
		tripPress(w.T("b_cant"), actSay, t, string(trip.Cant)),
	}}
	rows = append(rows, gearButtons(w, t, actBring, 4, func(it trip.Item) bool { return it.Vital })...)
	for i, p := range t.Newcomers() {
		if p.WalkBy == 0 && i < 2 {
			rows = append(rows, []chat.Button{tripPress(w.T("b_walk", "who", p.Name), actWalk, t, strconv.FormatInt(p.ID, 10))})
		}
	}
	rows = append(rows,
		[]chat.Button{tripPress(w.T("b_bring_more"), actTripView, t, string(wording.ViewGear)), tripPress(w.T("b_cars"), actTripView, t, string(wording.ViewCars)), tripPress(w.T("b_view_more"), actTripView, t, string(wording.ViewMore))},
		[]chat.Button{tripPress(w.T("b_sea"), actTripSea, t, ""), tripPress(w.T("b_go"), actGo, t, "")})
	last := []chat.Button{tripPress(w.T("b_calloff"), actCallOff, t, "")}
	if l, ok := c.LedgeNamed(t.PlanB); ok && l.Name != t.Ledge {
		last = append([]chat.Button{tripPress(w.T("b_go_plan_b", "ledge", l.Name), actGoPlanB, t, "")}, last...)
	}
	return append(rows, last)
}

const mostGearButtons = 12

// gearButtons offer what nobody is sure to bring yet.
func gearButtons(w wording.Words, t trip.Trip, act string, most int, of func(trip.Item) bool) (rows [][]chat.Button) {
	n := 0
	for _, it := range t.Gear {
		_, _, perhaps := t.Brings(it)
		if it.By != 0 && !(perhaps && it.Vital) || !of(it) || n == most {
			continue
		}
		if n%2 == 0 {
			rows = append(rows, nil)
		}
		n++
		rows[len(rows)-1] = append(rows[len(rows)-1], tripPress(w.T("b_bring", "item", w.Item(it.Name)), act, t, it.Name))
	}
	return rows
}
