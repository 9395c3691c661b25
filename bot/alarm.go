package bot

import (
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/outing"
)

// When who is told of those who are late: the crew's own times, or those of one outing, inside bounds that keep an alert useful.

// ladderOf are a crew's times.
func ladderOf(c session.Crew) outing.Ladder {
	if c.Ladder != nil {
		return *c.Ladder
	}
	return outing.DefaultLadder()
}

// alarm is /alarm, /alarm mates 15 ashore 30, /alarm today ashore 20, /alarm usual.
func (a *ask) alarm(args string) error {
	words := strings.Fields(strings.ToLower(args))
	if len(words) > 0 && words[0] == "today" {
		return a.alarmToday(words[1:])
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		switch {
		case len(words) == 0:
		case len(words) == 1 && words[0] == "usual":
			c.Ladder = nil
		default:
			l, err := setLadder(ladderOf(c), words)
			if err != nil {
				a.reply(tx, w.T("alarm_unread", "said", wording.Clean(args, 60), "bounds", wording.HTML(w.AlarmBounds())))
				return nil
			}
			c.Ladder = &l
		}
		if len(words) > 0 {
			if err := tx.PutCrew(c); err != nil {
				return err
			}
		}
		a.reply(tx, w.Alarm(ladderOf(c)))
		return nil
	})
}

// alarmToday sets the times of the outing the person is on.
func (a *ask) alarmToday(words []string) error {
	fs, err := a.ownOutings(a.mine)
	if err != nil {
		return err
	}
	if len(fs) == 0 {
		return a.notOut()
	}
	l, err := setLadder(fs[0].o.Ladder, words)
	if err != nil || len(words) == 0 {
		return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
			a.answer(tx, w.T("alarm_unread", "said", wording.Clean(strings.Join(words, " "), 60), "bounds", wording.HTML(w.AlarmBounds())))
			return nil
		})
	}
	return a.onOuting(fs[0].crew, fs[0].o.ID, func(outing.Outing) outing.Event { return outing.SetLadder{By: a.r.From.ID, Ladder: l} })
}

// setLadder reads pairs of whom and after how long, and holds the result to what people may set.
func setLadder(l outing.Ladder, words []string) (outing.Ladder, error) {
	l.Sooner = true
	for i := 0; i < len(words); i += 2 {
		var to *time.Duration
		switch words[i] {
		case "remind":
			to = &l.Remind
		case "mates":
			to = &l.Party
		case "ashore":
			to = &l.Contact
		case "repeat":
			to = &l.Repeat
		}
		if to == nil || i+1 == len(words) {
			return l, &command.Unread{Said: words[i], Why: command.WhyToken}
		}
		if words[i+1] == "off" && to == &l.Remind {
			l.Remind = 0
			continue
		}
		d, err := command.Span(words[i+1])
		if err != nil {
			return l, err
		}
		*to = d
	}
	return l, l.Settable()
}

// askUntil is a tap on "other": until when, in words.
func (a *ask) askUntil(crew session.CrewID, id string) error {
	return a.doIn(crew, a.cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
		o, ok, err := tx.LoadOuting(id)
		if err != nil {
			return err
		}
		switch {
		case !ok || o.Closed():
			return a.problem(tx, w, wording.ErrOldPanel)
		case !a.mine(o):
			return a.problem(tx, w, outing.ErrNotMember)
		}
		w = w.In(o.Zone)
		c.Ask(session.Pending{Who: a.r.From.ID, Chat: a.r.Place.ID, What: "more", At: tx.Now()})
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		m := chat.Message{To: a.r.Place.ID, Thread: a.r.Place.Thread, Text: w.T("more_until", "who", a.name(), "by", w.When(o.BackBy, tx.Now()))}
		if a.r.Place.Group { // there a plain line would not reach us
			m.AskReply = w.T("hint_back")
		}
		a.post(tx, "", session.Urgent, m)
		return nil
	})
}
