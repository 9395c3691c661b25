package bot

import (
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/wording"
	"ledgehand/session"
)

// Near misses: what nearly went wrong, kept with the ledge for the crew, and shown before anything else about it.

// pendingNear is the question what happened.
const pendingNear = "nearmiss"

// mostNearText bounds a note, in characters.
const mostNearText = 300

// nearMiss is /nearmiss LEDGE what happened; without words it lists those of the ledge, alone those of all.
func (a *ask) nearMiss(args string) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		if len(c.Ledges) == 0 {
			a.reply(tx, w.T("no_ledges"))
			return nil
		}
		if strings.TrimSpace(args) == "" {
			a.reply(tx, a.nearAll(tx, c, w))
			return nil
		}
		l, rest, ok := c.LedgeMeant(args)
		if !ok {
			a.reply(tx, w.T("near_which", "ledges", w.Names(ledgeNames(c))))
			return nil
		}
		if text := strings.Join(strings.Fields(args), " "); !strings.HasSuffix(text, strings.Join(strings.Fields(rest), " ")) {
			rest = text // the ledge is named within the sentence, which stays whole
		}
		if strings.TrimSpace(rest) == "" {
			if lines := a.nearOf(w, l, tx.Now(), session.MostNear); lines != "" {
				a.reply(tx, lines)
			} else {
				a.reply(tx, w.T("near_none", "ledge", l.Name))
			}
			return nil
		}
		return a.noteNear(tx, c, w, l, session.NearMiss{At: a.at(), Text: rest})
	})
}

// nearAll lists the near misses of all ledges, ledge by ledge.
func (a *ask) nearAll(tx *session.Tx, c session.Crew, w wording.Words) string {
	var out []string
	for _, l := range c.Ledges {
		if lines := a.nearOf(w, l, tx.Now(), mostNearListed); lines != "" {
			out = append(out, w.T("near_head", "ledge", l.Name), lines)
		}
	}
	if len(out) == 0 {
		return w.T("near_none_at_all")
	}
	text := strings.Join(out, "\n")
	for len(out) > 2 && len([]rune(text)) > chat.MaxText/2 { // names and markup are longer than they look
		out = out[:len(out)-2]
		text = strings.Join(out, "\n") + "\n" + w.T("near_more")
	}
	return text
}

// How many are shown where others are too.
const (
	mostNearListed = 3
	mostNearShown  = 2
)

// nearOf are the newest near misses of a ledge's last year, one a line; "" for none.
func (a *ask) nearOf(w wording.Words, l session.Ledge, now time.Time, most int) string {
	if card, err := cardOf(l); err == nil {
		w = w.In(card.Zone)
	}
	var out []string
	for _, n := range l.NearLately(now) {
		if len(out) == most {
			break
		}
		out = append(out, w.NearMiss(n.At, n.Text))
	}
	return strings.Join(out, "\n")
}

// noteNear keeps one and says so, with a way to take it back.
func (a *ask) noteNear(tx *session.Tx, c session.Crew, w wording.Words, l session.Ledge, n session.NearMiss) error {
	n.ID, n.By, n.Text = recordID(a.cause.ID), a.r.From.ID, wording.Clean(n.Text, mostNearText)
	if n.Text == "" {
		a.reply(tx, w.T("near_empty"))
		return nil
	}
	c.NoteNear(l.Name, n)
	if err := tx.PutCrew(c); err != nil {
		return err
	}
	if card, err := cardOf(l); err == nil {
		w = w.In(card.Zone)
	}
	a.post(tx, "", session.Slow, chat.Message{
		To: a.r.Place.ID, Thread: a.r.Place.Thread, Panel: "near/" + n.ID,
		Text:    w.T("near_kept", "ledge", l.Name) + "\n" + w.NearMiss(n.At, n.Text),
		Buttons: [][]chat.Button{{button(w.T("b_undo"), actNearUndo, ref(tx.Crew, n.ID), "")}},
	})
	return nil
}

// takeBackNear is a tap on its button, by whoever wrote it.
func (a *ask) takeBackNear(crew session.CrewID, id string) error {
	return a.doIn(crew, a.cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
		ledge, ok := c.TakeBackNear(id, a.r.From.ID)
		if !ok {
			return a.problem(tx, w, wording.ErrNothingToUndo)
		}
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		a.toast = w.T("toast_noted")
		a.post(tx, "", session.Slow, chat.Message{To: a.r.Place.ID, Thread: a.r.Place.Thread, Panel: "near/" + id, Text: w.T("near_taken_back", "ledge", ledge)})
		return nil
	})
}

// nearAsked finds the crew in which somebody was asked in this chat what happened. In private it may be another than the one
// they write to.
func (a *ask) nearAsked() (crew session.CrewID, asked bool, err error) {
	crews := []session.CrewID{a.crew}
	if !a.r.Place.Group {
		p, err := a.person(a.r.From.ID)
		if err != nil {
			return "", false, err
		}
		crews = append(crews, crewsOf(p)...)
	}
	for _, crew := range crews {
		c, err := a.crewRecord(crew)
		if err != nil {
			return "", false, err
		}
		if q, ok := c.Question(a.r.From.ID, a.r.Place.ID, a.cause.Now); ok && q.What == pendingNear {
			return crew, true, nil
		}
	}
	return "", false, nil
}

// nearAnswered keeps a line as the answer.
func (a *ask) nearAnswered(crew session.CrewID) error {
	return a.doIn(crew, a.cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
		q, ok := c.Question(a.r.From.ID, a.r.Place.ID, tx.Now())
		l, known := c.LedgeNamed(q.Args["ledge"])
		if !ok || q.What != pendingNear || !known {
			return nil // taken meanwhile
		}
		on, err := time.Parse(time.RFC3339, q.Args["on"])
		if err != nil {
			on = a.at()
		}
		c.Answered(a.r.From.ID, a.r.Place.ID)
		return a.noteNear(tx, c, w, l, session.NearMiss{At: on, Text: a.r.Text, Outing: q.Args["outing"]})
	})
}
