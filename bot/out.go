package bot

import (
	"errors"
	"slices"
	"strconv"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/conditions/ledge"
	"ledgehand/session"
	"ledgehand/session/lookout"
	"ledgehand/session/outing"
	"ledgehand/session/trip"
)

// Going out: /out asks only for what is missing, and never guesses when somebody will be back.

// out is /out: it asks only for what is missing, and never guesses when somebody will be back.
func (a *ask) out(args string) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		return a.startOut(tx, c, w, args, nil)
	})
}

func (a *ask) startOut(tx *session.Tx, c session.Crew, w wording.Words, args string, t *trip.Trip) error {
	open, err := tx.OpenOutings()
	if err != nil {
		return err
	}
	for _, o := range open {
		if m, ok := o.Member(a.r.From.ID); ok && m.OffAt.IsZero() {
			a.answer(tx, w.T("out_already", "ledge", o.Ledge, "by", w.In(o.Zone).When(o.BackBy, tx.Now())), outingButtons(w, o)...)
			return nil
		}
	}
	if len(open) >= mostOutings {
		a.answer(tx, w.T("outings_full", "n", mostOutings))
		return nil
	}
	if len(c.Ledges) == 0 {
		a.answer(tx, w.T("no_ledges"))
		return nil
	}
	led, rest, ok := c.LedgeMeant(args)
	if !ok {
		c.Ask(session.Pending{Who: a.r.From.ID, Chat: a.r.Place.ID, What: "out", Args: map[string]string{"line": args}, At: tx.Now()})
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		if rows := outLedgeButtons(tx.Crew, c); len(rows) > 0 {
			a.answer(tx, w.T("out_which", "ledges", w.Names(ledgeNames(c))), rows...)
		} else {
			a.question(tx, w.T("out_which", "ledges", w.Names(ledgeNames(c))), w.T("hint_ledge"))
		}
		return nil
	}
	card, err := cardOf(led)
	if err != nil {
		return err
	}
	z := zone(card.Zone)
	w = w.In(card.Zone)
	rest, with := company(c, rest)
	place, err := spotOfLedge(c, led)
	if err != nil {
		return err
	}
	rest, with.home = homeBy(rest, a.at(), place, order(c))
	when, err := place.backBy(rest, a.at(), order(c))
	if err != nil {
		var amb *command.Ambiguous
		question, rows := w.T("out_when", "who", a.name(), "ledge", led.Name), [][]chat.Button(nil)
		if errors.As(err, &amb) && len(returnsOf(amb, a.at())) > 0 {
			question = w.T("out_which_time", "said", amb.Said)
			rows = timeButtons(w, a.crew, returnsOf(amb, a.at()), tx.Now())
		} else if strings.TrimSpace(rest) == "" {
			rows = timeButtons(w, a.crew, someHours(a.at(), z), tx.Now())
		} else {
			question = w.T("out_unread", "said", wording.Clean(rest, 60), "ledge", led.Name)
		}
		c.Ask(session.Pending{Who: a.r.From.ID, Chat: a.r.Place.ID, What: "out", Args: outAsked(led.Name, rest, with), At: tx.Now()})
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		m := chat.Message{To: a.r.Place.ID, Thread: a.r.Place.Thread, Text: question, ReplyTo: a.r.Message, Buttons: rows}
		if rows == nil && a.r.Place.Group {
			m.AskReply = w.T("hint_back")
		}
		a.post(tx, "", session.Urgent, m)
		return nil
	}
	return a.open(tx, c, w, led, card, when, with, t)
}

// open opens the outing with everything that is known by now.
func (a *ask) open(tx *session.Tx, c session.Crew, w wording.Words, led session.Ledge, card ledge.Card, back time.Time, with party, t *trip.Trip) error {
	c.Answered(a.r.From.ID, a.r.Place.ID)
	if err := tx.PutCrew(c); err != nil {
		return err
	}
	o := outing.Outing{
		ID: recordID(a.cause.ID), Crew: string(tx.Crew), Ledge: led.Name, Zone: card.Zone,
		OpenedBy: a.r.From.ID, OpenedAt: a.at(), BackBy: back, Ladder: ladderOf(c),
	}
	if c.Group {
		o.Group = c.Chat
		if a.r.Place.Group {
			o.Thread = a.r.Place.Thread
		}
	}
	if t != nil {
		o.Trip = t.ID
	}
	if with.home.After(back) {
		o.HomeBy = with.home
	}
	ids := append([]int64{a.r.From.ID}, with.ids...)
	for _, id := range ids {
		if slices.ContainsFunc(o.People, func(m outing.Member) bool { return m.ID == id }) {
			continue
		}
		g, err := a.goer(tx, c, id)
		if err != nil {
			return err
		}
		o.People = append(o.People, g.member)
		if g.car == "" && with.drives != nil && with.drives(id) {
			g.car = wording.Plain(w.T("car_untold"))
		}
		o.Sheet.Car = outing.Joined(o.Sheet.Car, ofWhom(g.member.Name, g.car, len(ids)))
		o.Sheet.Wearing = outing.Joined(o.Sheet.Wearing, ofWhom(g.member.Name, g.wears, len(ids)))
		for _, h := range g.ashore {
			if !slices.ContainsFunc(o.Contacts, func(x outing.Contact) bool { return x.ID == h.ID }) && !slices.Contains(ids, h.ID) {
				o.Contacts = append(o.Contacts, h)
			}
		}
	}
	o.Sheet.Notes = with.notes
	if err := a.fillMates(&o, c); err != nil {
		return err
	}
	for i, g := range with.guests {
		o.People = append(o.People, outing.Member{ID: -int64(i + 1), Name: g})
	}
	if err := a.fillSheet(tx, &o, led, card); err != nil {
		return err
	}
	o, effects, err := outing.New(o, tx.Now())
	if err != nil {
		return a.problem(tx, w, err)
	}
	if err := tx.PutOuting(o); err != nil {
		return err
	}
	if err := tx.PutLookout(lookout.ForOuting(o.ID, o.BackBy, tx.Now())); err != nil {
		return err
	}
	a.lesser("look at the tide", tideFromNow(tx, led, o))
	a.lesser("keep the sea", begins(tx, o))
	a.sayOuting(tx, c, o, effects)
	if a.r.Place.ID != o.PartyChat() { // asked for elsewhere, it is confirmed there too
		a.answer(tx, w.Outing(o, outing.Effect{Kind: outing.SayOpened}, tx.Now()), outingButtons(w, o)...)
	}
	a.toast = w.T("toast_out", "by", w.Clock(o.BackBy))
	return nil
}

// returnOf is the return time that a line was read to hold. What needs confirming is asked, and words that were not
// understood are no return time either: it is never guessed.
func returnOf(line string, read func() (command.Window, error)) (time.Time, error) {
	win, err := read()
	if err != nil {
		return time.Time{}, err
	}
	back := win.BackBy
	if back.IsZero() {
		back = win.End
	}
	switch {
	case back.IsZero():
		return time.Time{}, &command.Unread{Said: line, Why: command.WhyNoTime}
	case strings.TrimSpace(win.Rest) != "":
		return time.Time{}, &command.Unread{Said: win.Rest, Why: command.WhyToken}
	case win.Confirm != "":
		return time.Time{}, &command.Ambiguous{Said: line, Question: win.Confirm, Candidates: []time.Time{back}}
	}
	return back, nil
}

// timeButtons offers the times a line may mean.
func timeButtons(w wording.Words, crew session.CrewID, ts []time.Time, now time.Time) [][]chat.Button {
	var row []chat.Button
	for _, t := range ts[:min(4, len(ts))] {
		row = append(row, button(w.When(t, now), actTime, ref(crew, ""), packTime(t)))
	}
	return [][]chat.Button{row}
}

// timeChosen is a tap on one of them: it answers the question that was asked of this person, and of nobody else.
func (a *ask) timeChosen(arg string) error {
	back, ok := unpackTime(arg)
	if !ok {
		return a.oldPanel()
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		q, ok := c.Question(a.r.From.ID, a.r.Place.ID, tx.Now())
		led, found := c.LedgeNamed(q.Args["ledge"])
		if !ok || q.What != "out" || !found {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		card, err := cardOf(led)
		if err != nil {
			return err
		}
		return a.open(tx, c, w.In(card.Zone), led, card, back, partyAsked(q), nil)
	})
}

// outAsked is what is noted beside the question when somebody will be back.
func outAsked(ledge, said string, with party) map[string]string {
	args := map[string]string{"ledge": ledge, "with": joinIDs(with.ids), "guests": strings.Join(with.guests, " ")}
	if said = strings.TrimSpace(said); said != "" {
		args["said"] = said
	}
	if !with.home.IsZero() {
		args["home"] = minutes36(with.home)
	}
	return args
}

// mostLedgeButtons is up to how many ledges are offered to tap; more are typed.
const mostLedgeButtons = 8

// outLedgeButtons offer the crew's ledges to somebody who is going out.
func outLedgeButtons(crew session.CrewID, c session.Crew) (rows [][]chat.Button) {
	if len(c.Ledges) > mostLedgeButtons {
		return nil
	}
	for i, l := range c.Ledges {
		b := button(l.Name, actOutLedge, ref(crew, ""), "#"+strconv.Itoa(i))
		if i%2 == 0 {
			rows = append(rows, nil)
		}
		rows[len(rows)-1] = append(rows[len(rows)-1], b)
	}
	return rows
}

// outLedge is a tap on one of them: it answers the question that was asked of this person.
func (a *ask) outLedge(arg string) error {
	i, err := strconv.Atoi(strings.TrimPrefix(arg, "#"))
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		q, ok := c.Question(a.r.From.ID, a.r.Place.ID, tx.Now())
		if err != nil || i < 0 || i >= len(c.Ledges) || !ok || q.What != "out" || q.Args["ledge"] != "" {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		return a.startOut(tx, c, w, c.Ledges[i].Name+" "+q.Args["line"], nil)
	})
}

// someHours are times to tap for somebody who said none: they are offered, not guessed.
func someHours(now time.Time, z *time.Location) (out []time.Time) {
	t := now.In(z)
	t = time.Date(t.Year(), t.Month(), t.Day(), t.Hour(), 30*((t.Minute()+29)/30), 0, 0, z)
	for _, h := range []int{2, 3, 4, 6} {
		out = append(out, t.Add(time.Duration(h)*time.Hour).UTC())
	}
	return out
}

func joinIDs(ids []int64) string {
	var out []string
	for _, id := range ids {
		out = append(out, strconv.FormatInt(id, 10))
	}
	return strings.Join(out, " ")
}

func splitIDs(s string) []int64 {
	var out []int64
	for _, f := range strings.Fields(s) {
		if id, err := strconv.ParseInt(f, 10, 64); err == nil {
			out = append(out, id)
		}
	}
	return out
}

// mostMates bounds who is looked up: a group too large to be a crew is told as a group or not at all.
const mostMates = 30

// fillMates notes who of the crew can be told in private, should the group turn deaf.
func (a *ask) fillMates(o *outing.Outing, c session.Crew) error {
	if o.Group == 0 {
		return nil
	}
	for _, m := range c.Members[:min(mostMates, len(c.Members))] {
		_, out := o.Member(m.ID)
		_, holds := o.Holder(m.ID)
		if out || holds {
			continue
		}
		p, err := a.person(m.ID)
		if err != nil {
			return err
		}
		if p.Private {
			o.Mates = append(o.Mates, outing.Contact{ID: m.ID, Name: m.Name, Chat: m.ID, Language: p.Language})
		}
	}
	return nil
}
