package bot

import (
	"encoding/json"
	"fmt"
	"slices"

	"ledgehand/bot/chat"
	"ledgehand/bot/wording"
	"ledgehand/conditions/ledge"
	"ledgehand/session"
	"ledgehand/session/after"
)

// Whether the rescue ring of a ledge still hangs there: asked with the questions after a day, of those who were there, when nobody has seen it
// for half a year. Never at the water's edge.

// ringQuestion is the line of the panel that asks, with where the ring is said to hang.
func ringQuestion(w wording.Words, c session.Crew, r after.Report) string {
	l, ok := c.LedgeNamed(r.Ledge)
	card, err := cardOf(l)
	if !ok || err != nil || card.RescueRing == nil {
		return w.T("ring_ask_plain", "ledge", r.Ledge)
	}
	return w.T("ring_ask", "where", card.RescueRing.Where, "day", w.In(r.Zone).Date(card.RescueRing.LastSeen))
}

// onRing takes such an answer and brings the card up to date.
func (a *ask) onRing(crew session.CrewID, id, arg string) error {
	ring := after.Ring(oneOf(arg, string(after.RingThere), string(after.RingGone), string(after.RingUnseen)))
	if ring == "" {
		return a.oldPanel()
	}
	return a.doIn(crew, a.cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
		r, o, err := reportOf(tx, id)
		if err != nil {
			return a.problem(tx, w, err)
		}
		was := slices.Clone(r.People)
		if r, err = r.AnswerRing(a.r.From.ID, ring, tx.Now()); err != nil {
			return a.problem(tx, w, err)
		}
		if err := tx.PutAfter(r); err != nil {
			return err
		}
		i := slices.IndexFunc(r.People, func(p after.Person) bool { return p.ID == a.r.From.ID })
		if was[i].Ring != ring && ring != after.RingUnseen {
			if err := a.ringSeen(tx, &c, r, ring); err != nil {
				return err
			}
		}
		a.reportAnswered(tx, w, o, r)
		return nil
	})
}

// ringSeen notes on the card what was seen on the day of an outing, and tells the crew of a ring that is gone.
func (a *ask) ringSeen(tx *session.Tx, c *session.Crew, r after.Report, ring after.Ring) error {
	l, ok := c.LedgeNamed(r.Ledge)
	if !ok {
		return nil
	}
	card, err := cardOf(l)
	if err != nil || card.RescueRing == nil || card.RescueRing.LastSeen.After(r.To) { // somebody wrote of it since
		return err
	}
	x := ledge.RescueRing{Where: card.RescueRing.Where, LastSeen: card.RescueRing.LastSeen}
	if ring == after.RingThere {
		x.LastSeen = r.To
	} else {
		x.Gone = r.To
	}
	card.RescueRing = &x
	if l.Card, err = json.Marshal(card); err != nil {
		return fmt.Errorf("encode a ledge card: %w", err)
	}
	c.PutLedge(l)
	if err := tx.PutCrew(*c); err != nil {
		return err
	}
	if ring == after.RingGone {
		w := a.wordsTo(*c, c.Chat)
		a.post(tx, "", session.Slow, chat.Message{To: c.Chat, Thread: c.Thread, Text: w.T("ring_gone", "who", a.name(), "ledge", l.Name, "where", x.Where)})
	}
	return nil
}
