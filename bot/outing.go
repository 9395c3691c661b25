package bot

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/conditions/ledge"
	"ledgehand/session"
	"ledgehand/session/outing"
	"ledgehand/session/trip"
)

// The job "outing": who is out, and who is told if they are not back.

// OutingDue puts what became due of an outing into messages (session.Herald).
func (d *Desk) OutingDue(tx *session.Tx, o outing.Outing, effects []outing.Effect) error {
	c, _, err := tx.LoadCrew()
	if err != nil {
		return err
	}
	d.sayOuting(tx, wording.For(c.Language, wording.Units(c.Units), zone(o.Zone)), o, effects)
	return nil
}

// sayOuting queues one message an effect. Everything an outing says is urgent: somebody's safety hangs on it.
func (d *Desk) sayOuting(tx *session.Tx, w wording.Words, o outing.Outing, effects []outing.Effect) {
	w = w.In(o.Zone)
	for _, e := range effects {
		m := chat.Message{To: e.To.Chat, Thread: e.To.Thread, Text: w.Outing(o, e, tx.Now())}
		switch e.Kind {
		case outing.SayOpened:
			m.Buttons, m.Panel = outingButtons(w, o), "outing/"+o.ID
		case outing.SayRemind, outing.SayAsk, outing.SayDelayed, outing.SayMemberOff:
			if e.To.Role != outing.RoleContact {
				m.Buttons = outingButtons(w, o)
			}
		case outing.SayParty:
			m.Buttons = alertButtons(w, o, false)
		case outing.SayContact:
			m.Buttons = alertButtons(w, o, true)
		case outing.SayPlan:
			m.Buttons = [][]chat.Button{{button(w.T("b_plan"), actPlan, ref(session.CrewID(o.Crew), o.ID), ""), button(w.T("b_letgo"), actLetGo, ref(session.CrewID(o.Crew), o.ID), "")}}
		case outing.SayOff, outing.SayStandDown:
			if e.To.Role != outing.RoleContact {
				m.Buttons = [][]chat.Button{{button(w.T("b_home"), actHome, ref(session.CrewID(o.Crew), o.ID), "")}}
			}
		}
		entry := session.Entry{ID: o.MessageID(e), Lane: session.Urgent, Alert: e.Alert}
		if e.WantOutcome {
			entry.About = "outing/" + string(o.Crew) + "/" + o.ID
		}
		say(tx, entry, m)
		if e.Kind == outing.SayContact && e.First {
			// The sheet goes along at once: with one bar ashore a second tap may not get through.
			sheet := chat.Message{To: e.To.Chat, Text: w.Sheet(o, tx.Now())}
			say(tx, session.Entry{ID: o.MessageID(e) + "/sheet", Lane: session.Urgent, Alert: true}, sheet)
		}
	}
}

// apply lets an event happen to an outing of the tx's crew and says what follows.
func (a *ask) apply(tx *session.Tx, w wording.Words, o outing.Outing, e outing.Event) (outing.Outing, error) {
	next, effects, err := o.Apply(e, tx.Now())
	if err != nil {
		return o, err
	}
	if next.Closed() || !next.BackBy.Equal(o.BackBy) {
		for _, id := range o.Outstanding() { // what was decided for the old state must not go out any more (I5)
			tx.Unsay(id, id+"/sheet")
		}
	}
	if err := tx.PutOuting(next); err != nil {
		return o, err
	}
	a.sayOuting(tx, w, next, effects)
	a.panel(tx, w, next)
	return next, nil
}

// partyChat is where the party reads: the group, or the lone angler's own chat.
func partyChat(o outing.Outing) int64 {
	if o.Group != 0 {
		return o.Group
	}
	return cmp.Or(o.People[0].Chat, o.People[0].ID)
}

// panel brings the outing's first message up to date; once closed, without buttons.
func (a *ask) panel(tx *session.Tx, w wording.Words, o outing.Outing) {
	w = w.In(o.Zone)
	m := chat.Message{To: partyChat(o), Thread: o.Thread, Panel: "outing/" + o.ID, Quiet: true}
	if o.Closed() {
		m.Text = w.T("panel_closed", "who", w.People(o), "ledge", o.Ledge, "at", w.Clock(o.ClosedAt))
	} else {
		m.Text = w.Outing(o, outing.Effect{Kind: outing.SayOpened}, tx.Now())
		m.Buttons = outingButtons(w, o)
	}
	say(tx, session.Entry{Lane: session.Slow}, m)
}

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
	if len(c.Ledges) == 0 {
		a.answer(tx, w.T("no_ledges"))
		return nil
	}
	led, rest, ok := c.LedgeIn(args)
	if !ok && len(c.Ledges) == 1 {
		led, rest, ok = c.Ledges[0], args, true
	}
	if !ok {
		c.Ask(session.Pending{Who: a.r.From.ID, Chat: a.r.Place.ID, What: "out", Args: map[string]string{"line": args}, At: tx.Now()})
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		a.question(tx, w.T("out_which", "ledges", w.Names(ledgeNames(c))), w.T("hint_ledge"))
		return nil
	}
	card, err := cardOf(led)
	if err != nil {
		return err
	}
	z := zone(card.Zone)
	w = w.In(card.Zone)
	rest, with := company(c, rest)
	when, err := backBy(rest, a.at(), z, order(c))
	if err != nil {
		var amb *command.Ambiguous
		question, rows := w.T("out_when", "who", a.name(), "ledge", led.Name), [][]chat.Button(nil)
		if errors.As(err, &amb) && len(amb.Candidates) > 0 {
			question = w.T("out_which_time", "said", amb.Said)
			rows = timeButtons(w, a.crew, amb.Candidates, tx.Now())
		} else if strings.TrimSpace(rest) != "" {
			question = w.T("out_unread", "said", wording.Clean(rest, 60), "ledge", led.Name)
		}
		c.Ask(session.Pending{Who: a.r.From.ID, Chat: a.r.Place.ID, What: "out", Args: map[string]string{"ledge": led.Name, "with": joinIDs(with.ids), "guests": strings.Join(with.guests, " ")}, At: tx.Now()})
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
		OpenedBy: a.r.From.ID, BackBy: back, Ladder: outing.DefaultLadder(),
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
	ids := append([]int64{a.r.From.ID}, with.ids...)
	for _, id := range ids {
		if slices.ContainsFunc(o.People, func(m outing.Member) bool { return m.ID == id }) {
			continue
		}
		m := outing.Member{ID: id, Name: a.name()}
		p, err := a.person(id)
		if err != nil {
			return err
		}
		if p.Private {
			m.Chat = id
		}
		if cm, ok := c.Member(id); ok {
			m.Name = cm.Name
		}
		// Who holds somebody's plans, and how to ring them, is true of the person, in whichever crew it was said.
		holders := c.HoldersOf(id)
		crews := []session.Crew{c}
		for _, crew := range crewsOf(p) {
			if crew == tx.Crew {
				continue
			}
			other, err := a.crewRecord(crew)
			if err != nil {
				return err
			}
			crews, holders = append(crews, other), append(holders, other.HoldersOf(id)...)
		}
		for _, x := range crews {
			cm, _ := x.Member(id)
			m.Phone, o.Sheet.Car = cmp.Or(m.Phone, cm.Phone), cmp.Or(o.Sheet.Car, cm.Car)
		}
		o.People = append(o.People, m)
		for _, h := range holders {
			if !slices.ContainsFunc(o.Contacts, func(x outing.Contact) bool { return x.ID == h.ID }) && !slices.Contains(ids, h.ID) {
				o.Contacts = append(o.Contacts, outing.Contact{ID: h.ID, Name: h.Name, Chat: h.Chat})
			}
		}
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
	a.sayOuting(tx, w, o, effects)
	if a.r.Place.ID != partyChat(o) { // asked for elsewhere, it is confirmed there too
		a.answer(tx, w.Outing(o, outing.Effect{Kind: outing.SayOpened}, tx.Now()), outingButtons(w, o)...)
	}
	a.toast = w.T("toast_out", "by", w.Clock(o.BackBy))
	return nil
}

// backBy reads a return time. What needs confirming is asked, and words that were not understood are no return time
// either: it is never guessed.
func backBy(line string, now time.Time, z *time.Location, ord command.DayOrder) (time.Time, error) {
	win, err := command.WhenBack(line, now, z, ord)
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

// party is who goes along with the person: members of the crew by id, and guests, of whom only the name is known.
type party struct {
	ids    []int64
	guests []string
}

// timeWords end the names after "with".
var timeWords = []string{"back", "by", "at", "until", "till", "til", "for", "home", "today", "tonight", "tomorrow",
	"noon", "midnight", "half", "quarter", "before", "in", "mon", "tue", "wed", "thu", "fri", "sat", "sun",
	"monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"}

// company picks those named after "with" out of a line. Somebody who never wrote to us is a guest: they cannot tap,
// but those ashore must know of them.
func company(c session.Crew, line string) (rest string, p party) {
	words := strings.Fields(line)
	i := slices.IndexFunc(words, func(s string) bool { return strings.EqualFold(s, "with") })
	if i < 0 {
		return line, p
	}
	j := i + 1
	for ; j < len(words); j++ {
		n := strings.Trim(words[j], ",.@")
		if slices.Contains(timeWords, strings.ToLower(n)) || strings.ContainsAny(n, "0123456789:") {
			break
		}
		if strings.EqualFold(n, "and") || n == "" || n == "&" {
			continue
		}
		if m, k, ok := longName(c, words[j:]); ok {
			p.ids, j = append(p.ids, m.ID), j+k-1
			continue
		}
		if m, ok := c.Named(n); ok {
			p.ids = append(p.ids, m.ID)
		} else {
			p.guests = append(p.guests, wording.Clean(n, 40))
		}
	}
	return strings.Join(append(slices.Clone(words[:i]), words[j:]...), " "), p
}

// longName finds a member whose name begins a line and has several words, and how many.
func longName(c session.Crew, words []string) (session.Member, int, bool) {
	for n := min(len(words), 6); n > 1; n-- {
		if m, ok := c.Named(strings.Trim(strings.Join(words[:n], " "), ",.@")); ok {
			return m, n, true
		}
	}
	return session.Member{}, 0, false
}

// found is an outing of somebody, and the crew it belongs to.
type found struct {
	crew session.CrewID
	o    outing.Outing
}

// myOutings finds outings a person has to do with, newest first: in a group those of its crew, in private those of all
// crews they are known in, as one of the party or as the holder of a plan. Nothing here changes; the use case loads
// again inside its own change.
func (a *ask) myOutings(want func(o outing.Outing) bool) ([]found, error) {
	if a.r.Place.Group {
		return a.outingsIn([]session.CrewID{a.crew}, want)
	}
	return a.everyOuting(want)
}

// everyOuting is myOutings without regard to where the person writes.
func (a *ask) everyOuting(want func(o outing.Outing) bool) ([]found, error) {
	p, err := a.person(a.r.From.ID)
	if err != nil {
		return nil, err
	}
	crews := append([]session.CrewID{a.crew}, crewsOf(p)...)
	for _, h := range p.Holds {
		of, err := a.person(h.Of)
		if err != nil {
			return nil, err
		}
		crews = append(append(crews, h.Crew), crewsOf(of)...)
	}
	return a.outingsIn(crews, want)
}

// ownOutings are the outings somebody is out on, wherever they say it: those of the group they write in first.
func (a *ask) ownOutings(want func(o outing.Outing) bool) ([]found, error) {
	here, err := a.myOutings(want)
	if err != nil || !a.r.Place.Group {
		return here, err
	}
	p, err := a.person(a.r.From.ID)
	if err != nil {
		return nil, err
	}
	there, err := a.outingsIn(slices.DeleteFunc(crewsOf(p), func(c session.CrewID) bool { return c == a.crew }), want)
	return append(here, there...), err
}

func (a *ask) outingsIn(crews []session.CrewID, want func(o outing.Outing) bool) (out []found, err error) {
	crews = slices.Clone(crews)
	slices.Sort(crews)
	for _, crew := range slices.Compact(crews) {
		if err := a.Session.View(a.ctx, crew, a.cause.Now, func(tx *session.Tx) error {
			open, err := tx.OpenOutings()
			for _, o := range open {
				if want(o) {
					out = append(out, found{crew, o})
				}
			}
			return err
		}); err != nil {
			return nil, err
		}
	}
	slices.SortFunc(out, func(x, y found) int { return y.o.OpenedAt.Compare(x.o.OpenedAt) })
	return out, nil
}

func (a *ask) mine(o outing.Outing) bool {
	m, ok := o.Member(a.r.From.ID)
	return ok && m.OffAt.IsZero()
}

// onMine applies an event to the outing the person is out on, told by typed command.
func (a *ask) onMine(event func(o outing.Outing) outing.Event) error {
	fs, err := a.ownOutings(a.mine)
	if err != nil {
		return err
	}
	if len(fs) == 0 {
		return a.notOut()
	}
	return a.onOuting(fs[0].crew, fs[0].o.ID, event)
}

func (a *ask) notOut() error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		a.answer(tx, w.T("not_out"))
		return nil
	})
}

// onOuting applies an event to a named outing and answers the person where they are.
func (a *ask) onOuting(crew session.CrewID, id string, event func(o outing.Outing) outing.Event) error {
	return a.onOutingAs(a.cause, crew, id, event)
}

func (a *ask) onOutingAs(cause session.Cause, crew session.CrewID, id string, event func(o outing.Outing) outing.Event) error {
	return a.doIn(crew, cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
		o, ok, err := tx.LoadOuting(id)
		if err != nil {
			return err
		}
		if !ok {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		w = w.In(o.Zone)
		e := event(o)
		next, err := a.apply(tx, w, o, e)
		if err != nil {
			return a.problem(tx, w, err)
		}
		a.confirm(tx, w, c, next, e)
		return nil
	})
}

// confirm answers the person in their own chat when the party's message went elsewhere, and fills the tap's answer.
func (a *ask) confirm(tx *session.Tx, w wording.Words, c session.Crew, o outing.Outing, e outing.Event) {
	var kind outing.EffectKind
	switch e := e.(type) {
	case outing.SayOffRocks:
		kind = outing.SayOff
		if !o.Closed() {
			kind = outing.SayMemberOff
		}
		a.toast = w.T("toast_off", "at", w.Clock(tx.Now()))
	case outing.SetDelay:
		kind = outing.SayDelayed
		a.toast = w.T("toast_more", "by", w.Clock(o.BackBy))
	case outing.Acknowledge:
		a.toast = w.T("toast_ack")
		return // everybody alarmed is told, this chat among them
	case outing.SayAtHome:
		a.toast = w.T("toast_home")
		return
	case outing.LetGo:
		a.toast = w.T("letgo_done")
		a.answer(tx, w.T("letgo_done"))
		return
	default:
		_ = e
		return
	}
	switch {
	case a.r.Place.ID == partyChat(o):
	case a.r.Place.Group: // another crew's: no ledge and no names there
		a.answer(tx, a.toast)
	default:
		a.answer(tx, w.Outing(o, outing.Effect{Kind: kind, Who: a.name(), For: o.BackBy}, tx.Now()))
	}
}

// off is /off, "/off all", or /off with names of the party. Whoever is off is off everywhere: an outing that somebody
// else named them in must not alarm anybody for them (I5).
func (a *ask) off(args string) error {
	words := offWords(args)
	fs, err := a.ownOutings(func(o outing.Outing) bool { _, in := o.Member(a.r.From.ID); return in })
	if err != nil {
		return err
	}
	var first func(o outing.Outing) outing.Event
	switch {
	case len(words) == 0:
		fs = slices.DeleteFunc(fs, func(f found) bool { return !a.mine(f.o) })
	case slices.Contains(words, "all"):
		first = func(o outing.Outing) outing.Event { return offEvent(o, a.r.From.ID) }
	default: // for others, even by one who is off already
		i := slices.IndexFunc(fs, func(f found) bool { _, ok := named(f.o, words); return ok })
		if i < 0 { // a name nobody has must not pass for the speaker's own
			return a.help("off")
		}
		return a.onOuting(fs[i].crew, fs[i].o.ID, func(o outing.Outing) outing.Event {
			who, _ := named(o, words)
			return outing.SayOffRocks{By: a.r.From.ID, Who: who}
		})
	}
	if len(fs) == 0 {
		return a.notOut()
	}
	for i := len(fs) - 1; i >= 0; i-- {
		cause, event := a.cause, func(outing.Outing) outing.Event { return outing.SayOffRocks{By: a.r.From.ID} }
		if i > 0 {
			if cause = cause.Then("off/" + fs[i].o.ID); !a.mine(fs[i].o) {
				continue
			}
		} else if first != nil {
			event = first
		}
		if err := a.onOutingAs(cause, fs[i].crew, fs[i].o.ID, event); err != nil {
			return err
		}
	}
	return nil
}

// offWords are the words after /off that say who; what only dresses an "I am off" is none of them.
func offWords(args string) []string {
	words := strings.FieldsFunc(strings.ToLower(strings.ReplaceAll(args, "’", "'")), func(r rune) bool { return strings.ContainsRune(" ,.!&", r) })
	dress := []string{"the", "rocks", "now", "i'm", "im", "i", "am", "off", "safe", "fine", "ok", "okay", "thanks", "and"}
	return slices.DeleteFunc(words, func(s string) bool { return slices.Contains(dress, s) })
}

// named finds those of the party whom words name, whole names or first ones; ok only if every word is part of the name
// of just one of them.
func named(o outing.Outing, words []string) (who []int64, ok bool) {
	for len(words) > 0 {
		var fit []int64
		used := 0
		for n := min(len(words), 6); n > 0 && len(fit) == 0; n-- {
			said := strings.Join(words[:n], " ")
			for _, m := range o.People {
				name := strings.ToLower(m.Name)
				first, _, _ := strings.Cut(name, " ")
				if name == said || n == 1 && first == said {
					fit, used = append(fit, m.ID), n
				}
			}
		}
		if len(fit) != 1 {
			return nil, false
		}
		who, words = append(who, fit[0]), words[used:]
	}
	return who, true
}

// offEvent calls the whole party off.
func offEvent(o outing.Outing, by int64) outing.Event {
	e := outing.SayOffRocks{By: by}
	for _, m := range o.People {
		e.Who = append(e.Who, m.ID)
	}
	return e
}

func (a *ask) home() error {
	// Home is said after the outing closed, so open ones are not enough to look at.
	fs, err := a.ownOutings(func(o outing.Outing) bool { _, ok := o.Member(a.r.From.ID); return ok })
	if err != nil {
		return err
	}
	if len(fs) > 0 {
		return a.onOuting(fs[0].crew, fs[0].o.ID, func(outing.Outing) outing.Event { return outing.SayAtHome{By: a.r.From.ID} })
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		a.reply(tx, w.T("home", "who", a.name()))
		return nil
	})
}

// more is /more 30 [why], /more 1h, /more until 15:00.
func (a *ask) more(args string) error {
	fs, err := a.ownOutings(a.mine)
	if err != nil {
		return err
	}
	if len(fs) == 0 {
		return a.notOut()
	}
	e, err := moreEvent(args, a.r.From.ID, fs[0].o, a.at())
	if err != nil {
		return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
			a.answer(tx, w.T("more_unread", "said", wording.Clean(args, 60)))
			return nil
		})
	}
	return a.onOuting(fs[0].crew, fs[0].o.ID, func(outing.Outing) outing.Event { return e })
}

func moreEvent(args string, by int64, o outing.Outing, now time.Time) (outing.Event, error) {
	words := strings.Fields(args)
	for n := min(len(words), 4); n > 0; n-- {
		head, why := strings.Join(words[:n], " "), strings.Join(words[n:], " ")
		if clockLike(head) {
			continue // "900" is more likely nine o'clock than fifteen hours
		}
		if d, err := command.Span(head); err == nil && d > 0 {
			return outing.SetDelay{By: by, For: d, Why: why}, nil
		}
		if t, err := backBy(head, now, zone(o.Zone), command.DayFirst); err == nil {
			return outing.SetDelay{By: by, To: t, Why: why}, nil
		}
	}
	return nil, fmt.Errorf("read %q: no length of time in it", args)
}

// clockLike says whether a bare number is too long for minutes that anybody would count out.
func clockLike(s string) bool {
	n, err := strconv.Atoi(strings.TrimPrefix(s, "+"))
	return err == nil && n > 240 && n < 1000
}

// plan is /plan: the hand-over sheet. The exact place goes to the party and to those who hold the plan, in private
// only; in a group it is said that it went there (I8).
func (a *ask) plan() error {
	fs, err := a.everyOuting(a.mayRead) // it goes to them alone, wherever they ask
	if err != nil {
		return err
	}
	if len(fs) == 0 {
		return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
			a.answer(tx, w.T("no_plan"))
			return nil
		})
	}
	return a.showPlan(fs[0].crew, fs[0].o.ID)
}

func (a *ask) mayRead(o outing.Outing) bool {
	_, in := o.Member(a.r.From.ID)
	_, holds := o.Holder(a.r.From.ID)
	return in || holds
}

func (a *ask) showPlan(crew session.CrewID, id string) error {
	p, err := a.person(a.r.From.ID)
	if err != nil {
		return err
	}
	return a.doIn(crew, a.cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
		o, ok, err := tx.LoadOuting(id)
		if err != nil {
			return err
		}
		if !ok {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		w = w.In(o.Zone)
		if !a.mayRead(o) {
			return a.problem(tx, w, outing.ErrNotContact)
		}
		sheet := w.Sheet(o, tx.Now())
		switch {
		case !a.r.Place.Group:
			a.answer(tx, sheet)
		case p.Private:
			a.post(tx, "", session.Urgent, chat.Message{To: a.r.From.ID, Text: sheet})
			a.toast = w.T("plan_in_private")
			if a.r.Kind == chat.KindText {
				a.reply(tx, w.T("plan_in_private"))
			}
		default:
			a.toast, a.loud = w.T("plan_start_first"), true
			if a.r.Kind == chat.KindText {
				a.reply(tx, w.T("plan_start_first"))
			}
		}
		return nil
	})
}

// acknowledge is /trying, /reached, /called.
func (a *ask) acknowledge(k outing.AckKind) error {
	now := a.cause.Now
	fs, err := a.myOutings(func(o outing.Outing) bool {
		_, holds := o.Holder(a.r.From.ID)
		return (holds || a.r.Place.Group) && o.Standing(now) != outing.Out
	})
	if err != nil {
		return err
	}
	if len(fs) == 0 {
		return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
			a.answer(tx, w.T("nothing_to_ack"))
			return nil
		})
	}
	if len(fs) > 1 {
		// Which of them is not guessed: quiet about the wrong party would be silence about the other.
		return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
			for _, f := range fs {
				_, holds := f.o.Holder(a.r.From.ID)
				e := outing.Effect{Kind: outing.SayParty, For: f.o.BackBy}
				a.answer(tx, w.Outing(f.o, e, tx.Now()), alertButtons(w.In(f.o.Zone), f.o, holds && !a.r.Place.Group)...)
			}
			return nil
		})
	}
	return a.ackOuting(fs[0].crew, fs[0].o.ID, k)
}

func (a *ask) ackOuting(crew session.CrewID, id string, k outing.AckKind) error {
	early := false
	if err := a.Session.View(a.ctx, crew, a.cause.Now, func(tx *session.Tx) error {
		o, ok, err := tx.LoadOuting(id)
		early = ok && !o.Closed() && o.Standing(tx.Now()) == outing.Out
		return err
	}); err != nil {
		return err
	}
	if early { // an old alert's button: taken on now, it would hold back the alerts of the new time
		return a.doIn(crew, a.cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
			a.toast, a.loud = short(w.T("nothing_to_ack")), true
			return nil
		})
	}
	return a.onOuting(crew, id, func(o outing.Outing) outing.Event {
		mate := a.r.Place.Group && a.r.Place.ID == o.Group
		return outing.Acknowledge{By: a.r.From.ID, Name: a.name(), Chat: a.r.Place.ID, What: k, Mate: mate}
	})
}

// letGo is /letgo: a contact gives the plan back.
func (a *ask) letGo() error {
	fs, err := a.everyOuting(func(o outing.Outing) bool { _, holds := o.Holder(a.r.From.ID); return holds })
	if err != nil {
		return err
	}
	if len(fs) == 0 {
		return a.leaveHolding()
	}
	for i, f := range fs { // all of them: they are told that they hold no plan any more
		event := func(outing.Outing) outing.Event { return outing.LetGo{By: a.r.From.ID} }
		if i == len(fs)-1 {
			return a.onOuting(f.crew, f.o.ID, event)
		}
		if err := a.doIn(f.crew, a.cause.Then("letgo/"+f.o.ID), func(tx *session.Tx, _ session.Crew, w wording.Words) error {
			o, ok, err := tx.LoadOuting(f.o.ID)
			if err != nil || !ok {
				return err
			}
			_, err = a.apply(tx, w, o, event(o))
			return err
		}); err != nil {
			return err
		}
	}
	return nil
}

// cancel is /cancel: nobody went after all.
func (a *ask) cancel() error {
	return a.onMine(func(outing.Outing) outing.Event { return outing.Cancel{By: a.r.From.ID} })
}

// setSheet notes a fact of the hand-over sheet.
func (a *ask) setSheet(crew session.CrewID, id string, set func(s *outing.Sheet)) error {
	return a.doIn(crew, a.cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
		o, ok, err := tx.LoadOuting(id)
		if err != nil {
			return err
		}
		if !ok || o.Closed() {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		if _, in := o.Member(a.r.From.ID); !in {
			return a.problem(tx, w, outing.ErrNotMember)
		}
		set(&o.Sheet)
		if err := tx.PutOuting(o); err != nil {
			return err
		}
		a.toast = w.T("toast_noted")
		a.panel(tx, w, o)
		return nil
	})
}

// outcome is how one of our messages fared; an outing's contact who cannot be reached is news for those out.
func (a *ask) outcome() error {
	oc := a.r.Outcome
	if oc.Result == chat.ResultMoved {
		var to int64
		if _, err := fmt.Sscan(oc.Why, &to); err != nil || to == 0 {
			return nil
		}
		return a.Session.Move(a.ctx, a.cause, oc.Chat, to)
	}
	p := strings.SplitN(oc.About, "/", 3)
	if len(p) != 3 || p[0] != "outing" {
		return nil
	}
	var e outing.Event
	switch oc.Result {
	case chat.ResultSent, chat.ResultSame:
		e = outing.Reached{Chat: oc.Chat}
	default:
		e = outing.Unreached{Chat: oc.Chat}
	}
	crew := session.CrewID(p[1])
	return a.Session.Do(a.ctx, a.cause, crew, func(tx *session.Tx) error {
		c, _, err := tx.LoadCrew()
		if err != nil {
			return err
		}
		o, ok, err := tx.LoadOuting(p[2])
		if err != nil || !ok {
			return err
		}
		if _, no := e.(outing.Unreached); no {
			e = outing.Unreached{Chat: oc.Chat, Name: c.Title}
		}
		_, err = a.apply(tx, wording.For(c.Language, wording.Units(c.Units), zone(o.Zone)), o, e)
		return err
	})
}

// signOfLife notes on the person's outing that they were heard from.
func (a *ask) signOfLife(tx *session.Tx, what string) error {
	open, err := tx.OpenOutings()
	if err != nil {
		return err
	}
	for _, o := range open {
		if !a.mine(o) {
			continue
		}
		next, _, err := o.Apply(outing.Sign{By: a.r.From.ID, What: what}, tx.Now())
		if err != nil {
			return err
		}
		return tx.PutOuting(next)
	}
	return nil
}

var _ session.Herald = (*Desk)(nil)

// timeButtons offers the times a line may mean.
func timeButtons(w wording.Words, crew session.CrewID, ts []time.Time, now time.Time) [][]chat.Button {
	var row []chat.Button
	for _, t := range ts[:min(4, len(ts))] {
		row = append(row, button(w.When(t, now), actTime, ref(crew, ""), strconv.FormatInt(t.Unix()/60, 36)))
	}
	return [][]chat.Button{row}
}

// timeChosen is a tap on one of them: it answers the question that was asked of this person, and of nobody else.
func (a *ask) timeChosen(arg string) error {
	minutes, err := strconv.ParseInt(arg, 36, 64)
	if err != nil {
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
		return a.open(tx, c, w.In(card.Zone), led, card, time.Unix(minutes*60, 0).UTC(), party{splitIDs(q.Args["with"]), strings.Fields(q.Args["guests"])}, nil)
	})
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
