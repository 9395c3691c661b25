package bot

import (
	"slices"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/lookout"
	"ledgehand/session/outing"
	"ledgehand/session/trip"
)

// Commands are all commands with their help, in the order of a day on the rocks. Their one-line help is the
// message cmd_NAME of the catalogue.
var Commands = []string{
	"fellin",
	"conditions", "hours", "tide", "light", "trip", "in", "maybe", "cant", "bring", "planb", "berley", "calloff",
	"out", "off", "home", "more", "who", "plan", "cancel", "alarm", "contact", "letgo", "trying", "reached", "called",
	"watch", "wave", "stopwatch", "ladle", "nearmiss", "catch", "undo", "fish", "weight", "bag", "freezer", "rule", "rules", "tally",
	"ledge", "settings", "crew", "me", "about", "privacy", "export", "forget", "help",
}

// text answers a written line: a command, the answer to a question of ours, or in private nothing we understand.
func (a *ask) text() error {
	cmd, args, ok := command.Split(a.r.Text)
	if !ok {
		return a.plain()
	}
	if command.FellIn(cmd, Commands) {
		return a.fellIn(args)
	}
	was := a.crew
	if err := a.crewByLedge(cmd, args); err != nil {
		return err
	}
	if a.crew == was {
		if asked, err := a.whichCrew(cmd); asked || err != nil {
			return err
		}
	}
	switch cmd {
	case "start":
		return a.start(args)
	case "help":
		return a.help(args)
	case "conditions":
		return a.conditions(args)
	case "hours":
		return a.hours(args)
	case "tide":
		return a.tide(args)
	case "light":
		return a.light(args)
	case "trip":
		if calendarAsked(args) {
			return a.tripCalendar()
		}
		return a.newTrip(args)
	case "berley":
		return a.berleyCmd(args)
	case "ladle":
		return a.ladle(args)
	case "in":
		return a.sayTrip(trip.In, args)
	case "maybe":
		return a.sayTrip(trip.Maybe, args)
	case "cant":
		return a.sayTrip(trip.Cant, args)
	case "bring":
		return a.bring(args)
	case "planb":
		return a.planB(args)
	case "calloff":
		return a.typedTrip(func() (trip.Event, bool) { return trip.CallOff{}, true })
	case "out":
		return a.out(args)
	case "off":
		return a.off(args)
	case "home":
		return a.home()
	case "more":
		return a.more(args)
	case "alarm":
		return a.alarm(args)
	case "plan":
		return a.plan(args)
	case "cancel":
		return a.cancel()
	case "contact":
		return a.contact(args)
	case "letgo":
		return a.letGo()
	case "trying":
		return a.acknowledge(outing.AckTrying)
	case "reached":
		return a.acknowledge(outing.AckReached)
	case "called":
		return a.acknowledge(outing.AckCalled)
	case "watch":
		return a.watch(args)
	case "wave":
		return a.wave(args)
	case "stopwatch":
		return a.stopWatch()
	case "nearmiss":
		return a.nearMiss(args)
	case "catch":
		return a.catch(args)
	case "undo":
		return a.undo("", "")
	case "fish":
		return a.fish(args)
	case "weight":
		return a.weight(args)
	case "rule":
		return a.rule(args)
	case "rules":
		return a.rules(args)
	case "bag":
		return a.bag()
	case "freezer":
		return a.freezer(args)
	case "tally":
		return a.tally(args)
	case "ledge":
		return a.ledge(args)
	case "settings":
		return a.settings(args)
	case "crew":
		return a.chooseCrew()
	case "me":
		return a.me(args)
	case "who":
		return a.who()
	case "about":
		return a.about()
	case "privacy":
		return a.say("privacy")
	case "export":
		return a.export()
	case "forget":
		return a.forget()
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		near, ok := command.Nearest(cmd, Commands)
		if ok {
			a.reply(tx, w.T("unknown_command_near", "said", cmd, "near", near))
		} else {
			a.reply(tx, w.T("unknown_command", "said", wording.Clean(cmd, 32)))
		}
		return nil
	})
}

// plain is a line that is no command: the answer to a question, or talk among mates, which is none of our business.
func (a *ask) plain() error {
	var q session.Pending
	asked := false
	if err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		q, asked = c.Question(a.r.From.ID, a.r.Place.ID, a.cause.Now)
		if !asked && len(c.Ledges) == 0 && a.r.Place.Group {
			// Until a group has a ledge, a reply to us is taken as the place we asked for, by whom and whenever it comes.
			q, asked = session.Pending{What: "place"}, true
		}
		return nil
	}); err != nil {
		return err
	}
	toUs := !a.r.Place.Group || a.r.ReplyTo != 0
	if toUs && a.packSent() {
		return a.takePack()
	}
	if toUs && command.FellInPlainly(a.r.Text) {
		return a.fellIn("")
	}
	if toUs && plainlyOff(a.r.Text) { // before any question of ours: nothing else can be meant by it
		return a.off("")
	}
	if toUs && perhapsOff(a.r.Text) {
		if answered, err := a.perhapsOff(); answered || err != nil {
			return err
		}
	}
	if timeAsked := asked && (q.What == "out" || q.What == "more" || q.What == pendingTrip); toUs && !timeAsked { // "no, 29" right after a catch is about that
		if done, err := a.fixedPlainly(); done || err != nil {
			return err
		}
	}
	if asked && toUs && (q.What == "out" || q.What == "place" || q.What == "more" || q.What == pendingTrip) {
		return a.answered(q)
	}
	if asked && toUs && q.What == "effort" {
		return a.effortTold(q)
	}
	if asked && toUs && q.What == "fish" {
		if done, err := a.fishNamed(q); done || err != nil {
			return err
		}
	}
	if asked && toUs {
		if done, err := a.ledgeAnswered(q); done || err != nil {
			return err
		}
	}
	if toUs && strings.TrimSpace(a.r.Text) != "" {
		switch crew, near, err := a.nearAsked(); {
		case err != nil:
			return err
		case near:
			return a.nearAnswered(crew)
		}
	}
	if noted, err := a.notedReply(); noted || err != nil {
		return err
	}
	if a.r.Place.Group || strings.TrimSpace(a.r.Text) == "" {
		return nil // deliberate silence
	}
	return a.say("not_understood")
}

// answered takes a line as the answer to what we asked.
func (a *ask) answered(q session.Pending) error {
	switch q.What {
	case pendingTrip:
		return a.tripTimeTyped(q)
	case "out":
		line := strings.TrimSpace(q.Args["line"] + " " + a.r.Text)
		if l := q.Args["ledge"]; l != "" {
			line = l + " " + a.r.Text
		}
		return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
			if led, back, ok := returnChosen(c, q, a.r.Text, a.at()); ok {
				card, err := cardOf(led)
				if err != nil {
					return err
				}
				return a.open(tx, c, w.In(card.Zone), led, card, back, partyAsked(q), nil)
			}
			var names []string
			for _, id := range splitIDs(q.Args["with"]) {
				if m, ok := c.Member(id); ok {
					names = append(names, m.Name)
				}
			}
			if names = append(names, strings.Fields(q.Args["guests"])...); len(names) > 0 {
				line += " with " + strings.Join(names, " ")
			}
			return a.startOut(tx, c, w, line, nil)
		})
	case "place":
		return a.placeNamed(a.r.Text)
	case "more":
		return a.more("until " + a.r.Text)
	}
	return nil
}

// tap answers a pressed button. Its data may be old or forged: everything is checked again against the record.
func (a *ask) tap() error {
	p, err := command.Unpack(a.r.Data)
	if err != nil {
		return a.oldPanel()
	}
	crew, id, ok := aimed(p)
	if !ok {
		return a.oldPanel()
	}
	// Most buttons belong to the crew whose chat shows them; those a contact sees in private name a crew they are not in.
	if crew != a.crew && a.r.Place.Group {
		return a.oldPanel()
	}
	if !a.r.Place.Group {
		if may, err := a.mayAim(p.Act, crew, id); err != nil {
			return err
		} else if !may {
			return a.oldPanel()
		}
	}
	a.crew = crew
	switch p.Act {
	case actOff:
		return a.onOuting(crew, id, func(outing.Outing) outing.Event { return outing.SayOffRocks{By: a.r.From.ID} })
	case actOffAll:
		return a.onOuting(crew, id, func(o outing.Outing) outing.Event { return offEvent(o, a.r.From.ID) })
	case actHome:
		return a.onOuting(crew, id, func(outing.Outing) outing.Event { return outing.SayAtHome{By: a.r.From.ID} })
	case actMore:
		if to, ok := unpackTime(p.Arg); ok {
			return a.onOuting(crew, id, func(outing.Outing) outing.Event { return outing.SetDelay{By: a.r.From.ID, To: to} })
		}
		d, err := command.Span(p.Arg)
		if err != nil {
			return a.oldPanel()
		}
		return a.onOuting(crew, id, func(outing.Outing) outing.Event { return outing.SetDelay{By: a.r.From.ID, For: d} })
	case actOther:
		return a.askUntil(crew, id)
	case actAlong:
		return a.along(crew, id)
	case actPlan:
		return a.showPlan(crew, id)
	case actAck:
		k := outing.AckKind(oneOf(p.Arg, string(outing.AckTrying), string(outing.AckReached), string(outing.AckCalled)))
		if k == "" {
			return a.oldPanel()
		}
		return a.ackOuting(crew, id, k)
	case actLetGo:
		return a.onOuting(crew, id, func(outing.Outing) outing.Event { return outing.LetGo{By: a.r.From.ID} })
	case actJacket:
		return a.setSheet(crew, id, func(s *outing.Sheet) { s.Lifejacket = oneOf(p.Arg, "yes", "no") })
	case actSignal:
		return a.setSheet(crew, id, func(s *outing.Sheet) { s.Signal = oneOf(p.Arg, "yes", "no") })
	case actTime:
		return a.timeChosen(p.Arg)
	case actOutLedge:
		return a.outLedge(p.Arg)
	case actAccept, actDecline:
		if a.r.Place.Group {
			return a.oldPanel() // a plan is held by one person, in private
		}
		if p.Act == actDecline {
			return a.decline(crew, id)
		}
		return a.accept(crew, id)
	case actWave, actUnwave, actStopWatch, actLonger:
		return a.tappedWatch(crew, id, p.Act, p.Arg)
	case actAfter:
		return a.onAfter(crew, id, p.Arg)
	case actNearUndo:
		return a.takeBackNear(crew, id)
	case actSay:
		return a.onTrip(id, trip.Say{ID: a.r.From.ID, Name: a.name(), Answer: trip.Answer(p.Arg), Seen: p.Rev})
	case actTripView, actGear, actDrive, actFirst, actWalk, actGoPlanB, actVote, actVoteView, actTake, actVoteDrop:
		return a.tappedPlan(id, p)
	case actBring:
		return a.onTrip(id, trip.Bring{ID: a.r.From.ID, Name: a.name(), Item: p.Arg})
	case actCallOff:
		return a.onTrip(id, trip.CallOff{})
	case actTripTime:
		return a.tripTimeChosen(p.Arg)
	case actTripSea:
		return a.tripSea(id)
	case actGo:
		return a.goTrip(id, p.Rev)
	case actCalendar:
		return a.calendar(id)
	case actGround:
		return a.setGround(id, p.Arg)
	case actConditions:
		return a.conditions(p.Arg)
	case actTide:
		return a.tide(p.Arg)
	case actLight:
		return a.light(p.Arg)
	case actWhy:
		return a.why(p.Arg)
	case actUndo:
		return a.undo(id, p.Arg)
	case actFish:
		return a.fishChosen(p.Arg)
	case actKept:
		return a.keep(id, p.Arg)
	case actUnits, actLanguage, actZone:
		return a.setting(p.Act, p.Arg)
	case actSetClock:
		return a.setClock(p.Arg)
	case actSetFaces:
		return a.setFaces(p.Arg)
	case actSetLip:
		return a.setLip(p.Arg)
	case actForget:
		return a.forgetNow()
	case actNoteUndo:
		return a.takeBackNote(crew, id)
	case actImport:
		return a.importTapped(p.Arg)
	case actTakeLedge:
		return a.takeLedge(crew, id)
	case actRing:
		return a.onRing(crew, id, p.Arg)
	case actEdit, actQuiet:
		return a.crewSetting(p.Act, p.Arg)
	case actCrew:
		return a.crewChosen(crew)
	case actSetStop:
		return a.setupStop()
	}
	return a.oldPanel()
}

// checkedByRecord are the acts that an outing, a watch or an invitation itself allows to those it knows.
var checkedByRecord = []string{
	actOff, actOffAll, actHome, actMore, actOther, actPlan, actAck, actLetGo, actJacket, actSignal, actAccept, actDecline, actWave, actUnwave, actStopWatch, actLonger, actAfter, actRing,
}

func oneOf(s string, allowed ...string) string {
	if slices.Contains(allowed, s) {
		return s
	}
	return ""
}

// oldPanel answers a tap on something that is no more, or never was ours. Nothing changes.
func (a *ask) oldPanel() error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		return a.problem(tx, w, wording.ErrOldPanel)
	})
}

// say answers with one message of the catalogue.
func (a *ask) say(id string, kv ...any) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		a.reply(tx, w.T(id, kv...))
		return nil
	})
}

// tell answers with words that were put together before, in a view.
func (a *ask) tell(text string) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		a.reply(tx, text)
		return nil
	})
}

// unlisted answers a command from someone who hides behind a group or channel: we must know who goes out.
func (a *ask) unlisted() error {
	if a.r.TapID != "" {
		return a.view(func(tx *session.Tx, c session.Crew, w wording.Words) error {
			a.toast, a.loud = short(w.T("unlisted")), true
			return nil
		})
	}
	if cmd, args, ok := command.Split(a.r.Text); ok && command.FellIn(cmd, Commands) {
		return a.fellIn(args)
	}
	if _, _, ok := command.Split(a.r.Text); !ok && !(a.r.ReplyTo != 0 && (plainlyOff(a.r.Text) || perhapsOff(a.r.Text))) {
		return nil
	}
	return a.say("unlisted")
}

// help is /help, alone or for one command.
func (a *ask) help(args string) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		if one := strings.TrimPrefix(strings.ToLower(strings.TrimSpace(args)), "/"); one != "" {
			if slices.Contains(Commands, one) {
				a.reply(tx, w.T("help_one", "cmd", one, "says", wording.HTML(w.T("cmd_"+one))))
				return nil
			}
		}
		out := []string{w.T("help_head")}
		for _, cmd := range Commands {
			out = append(out, w.T("help_line", "cmd", cmd, "says", wording.HTML(w.T("cmd_"+cmd))))
		}
		out = append(out, w.T("help_foot"))
		a.reply(tx, strings.Join(out, "\n"))
		return nil
	})
}

// hello introduces us, once, to a group or a person; what it asks for leads to a first conditions answer.
func (a *ask) hello(tx *session.Tx, c session.Crew, w wording.Words) error {
	m := chat.Message{To: a.r.Place.ID, Thread: a.r.Place.Thread, Text: w.T("hello_group")}
	if !a.r.Place.Group {
		m.Text, m.AskPlace = w.T("hello_private"), w.T("b_send_place")
		c.Ask(session.Pending{Who: a.r.From.ID, Chat: a.r.Place.ID, What: "place", At: tx.Now()})
		if err := tx.PutCrew(c); err != nil {
			return err
		}
	} else {
		m.AskReply = w.T("hint_place")
	}
	a.post(tx, "", session.Slow, m)
	return nil
}

// added is the bot being added to a group. Whoever adds it to group after group is not answered any more that day.
func (a *ask) added() error {
	c, err := a.crewRecord(a.crew)
	if err != nil {
		return err
	}
	by, fresh := a.r.From.ID, c.Met.IsZero()
	if fresh && by != 0 {
		p, err := a.person(by)
		if err != nil || len(lately(p.Groups, a.cause.Now)) >= mostGroups {
			return err
		}
	}
	if err := a.noteMember(a.crew); err != nil {
		return err
	}
	if err := a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		c.Gone = time.Time{}
		if err := a.groupSpeaks(tx, c, outing.Reached{Chat: a.r.Place.ID}); err != nil {
			return err
		}
		if err := a.endLookout(tx, lookout.Gone, goneOf); err != nil {
			return err
		}
		c.Chat, c.Group = a.r.Place.ID, true
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		return a.hello(tx, c, w)
	}); err != nil || !fresh || by == 0 {
		return err
	}
	return a.Session.DoPerson(a.ctx, a.cause.Then("group"), by, func(tx *session.Tx) error {
		p, _, err := tx.LoadPerson(by)
		if err != nil {
			return err
		}
		p.Groups = append(lately(p.Groups, tx.Now()), tx.Now())
		return tx.PutPerson(p)
	})
}

// removed is the bot being removed from a group, or blocked by a person. A person who blocked us cannot be asked
// or alarmed any more: that is noted, and an outing of theirs hears of it at the first message that is refused.
func (a *ask) removed() error {
	if a.r.Place.Group {
		return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
			if c.Chat != a.r.Place.ID {
				return nil // a chat that the group left behind
			}
			c.Gone = tx.Now()
			if err := tx.PutCrew(c); err != nil {
				return err
			}
			if err := tx.PutLookout(lookout.ForGone(goneOf, c.Gone.Add(session.GoneKept), tx.Now())); err != nil {
				return err
			}
			name := c.Title
			if t := wording.Clean(a.r.Place.Title, 60); t != "" {
				name = t
			}
			return a.groupSpeaks(tx, c, outing.Unreached{Chat: a.r.Place.ID, Name: name})
		})
	}
	id := a.r.Place.ID
	// Whoever is out, and whoever counts on the one who blocked us, hears of it while they can act on it.
	fs, err := a.myOutings(func(o outing.Outing) bool {
		_, in := o.Member(id)
		_, holds := o.Holder(id)
		return in || holds
	})
	if err != nil {
		return err
	}
	for _, f := range fs {
		if err := a.doIn(f.crew, a.cause.Then("away/"+f.o.ID), func(tx *session.Tx, c session.Crew, _ wording.Words) error {
			o, ok, err := tx.LoadOuting(f.o.ID)
			if err != nil || !ok {
				return err
			}
			_, err = a.apply(tx, c, o, outing.Unreached{Chat: id})
			return err
		}); err != nil {
			return err
		}
	}
	return a.Session.DoPerson(a.ctx, a.cause, id, func(tx *session.Tx) error {
		p, _, err := tx.LoadPerson(id)
		if err != nil {
			return err
		}
		p.Private = false
		return tx.PutPerson(p)
	})
}

// groupSpeaks lets the crew's open outings know whether the group can be written to.
func (a *ask) groupSpeaks(tx *session.Tx, c session.Crew, e outing.Event) error {
	open, err := tx.OpenOutings()
	if err != nil {
		return err
	}
	for _, o := range open {
		if _, err := a.apply(tx, c, o, e); err != nil {
			return err
		}
	}
	return nil
}
