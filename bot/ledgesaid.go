package bot

import (
	"strings"

	"ledgehand/bot/wording"
	"ledgehand/conditions/ledge"
	"ledgehand/session"
)

// What a ledge's card says in words, for whoever reads the hand-over sheet to rescuers: the way in, the ways out, where cars stand, where
// the rescue ring hangs, whom to ask for.

// mostSaid bounds one such line: it is read out.
const mostSaid = 120

// ledgeSaid is /ledge access Anvil = path from the gate, 2 km.
func (a *ask) ledgeSaid(what, rest string) error {
	name, said, ok := strings.Cut(rest, "=")
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		l, found := c.LedgeNamed(name)
		if said = wording.Clean(said, mostSaid); !ok || said == "" {
			a.reply(tx, w.T("ledge_said_unread"))
			return nil
		}
		if !found {
			a.reply(tx, w.T("ledge_unknown", "said", wording.Clean(name, 40), "ledges", w.Names(ledgeNames(c))))
			return nil
		}
		card, err := cardOf(l)
		if err != nil {
			return err
		}
		if said == "-" {
			said = ""
		}
		switch what {
		case "access":
			card.Access = said
		case "waysout":
			if card.WaysOut = nil; said != "" {
				card.WaysOut = []string{said}
			}
		case "parking":
			card.Parking = said
		case "ring":
			if card.RescueRing = nil; said != "" {
				card.RescueRing = &ledge.RescueRing{Where: said, LastSeen: tx.Now()}
			}
		case "landfish":
			card.LandFish = said
		case "askfor":
			card.Emergency.AskFor = said
		}
		next, err := a.ledgeOf(card)
		if err != nil {
			return err
		}
		next.Observed, next.Near, next.Aliases = l.Observed, l.Near, l.Aliases
		c.PutLedge(next)
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		a.reply(tx, w.T("ledge_said", "name", l.Name, "said", orDash(said)))
		return nil
	})
}
