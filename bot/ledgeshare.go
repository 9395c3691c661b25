package bot

import (
	"strings"

	"ledgehand/bot/chat"
	"ledgehand/bot/wording"
	"ledgehand/conditions/ledge"
	"ledgehand/session"
)

// A ledge is its crew's secret. One of them may hand a copy of its card to one person, by a link that works once.

// shareLedge is /ledge share Anvil.
func (a *ask) shareLedge(rest string) error {
	p, err := a.person(a.r.From.ID)
	if err != nil {
		return err
	}
	token := a.Token()
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		l, _, ok := ledgeCalled(c, rest)
		if !ok {
			return a.noLedge(tx, c, w, rest)
		}
		n := 0
		for _, s := range c.Shares {
			if s.Of == a.r.From.ID && tx.Now().Sub(s.Made) < aDay {
				n++
			}
		}
		if n >= mostLinks {
			a.reply(tx, w.T("share_full", "n", mostLinks))
			return nil
		}
		if a.r.Place.Group && !p.Private {
			a.reply(tx, w.T("export_start"))
			return nil
		}
		c.Share(session.LedgeShare{Token: token, Ledge: l.Name, Of: a.r.From.ID, Name: a.name(), Made: tx.Now()})
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		own := wordsIn(c, p.Language)
		a.replyAlone(tx, w, p, own.T("share_link", "name", l.Name, "link", a.Link(shareToken(tx.Crew, token))), w.T("share_in_private"))
		return nil
	})
}

// shareToken packs crew and secret into what a deep link may carry.
func shareToken(c session.CrewID, token string) string { return "s_" + string(c) + "_" + token }

func splitShare(s string) (crew session.CrewID, token string, ok bool) {
	p := strings.Split(s, "_")
	if len(p) != 3 || p[0] != "s" || p[1] == "" || p[2] == "" {
		return "", "", false
	}
	crew = session.CrewID(p[1])
	return crew, p[2], crew.Valid() && session.ValidID(p[2])
}

// shareOpened is somebody pressing Start on such a link. Whoever comes too late learns nothing of the ledge.
func (a *ask) shareOpened(crew session.CrewID, token string) error {
	return a.doIn(crew, a.cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
		s, known := c.Shared(token)
		_, there := c.LedgeNamed(s.Ledge)
		switch {
		case a.r.Place.Group:
			a.reply(tx, w.T("invite_private_only"))
		case !known || !s.Open(tx.Now()) || !there:
			a.reply(tx, w.T("share_dead"))
		case s.Of == a.r.From.ID:
			a.reply(tx, w.T("share_own"))
		default:
			yes := button(w.T("b_take_ledge"), actTakeLedge, ref(tx.Crew, token), "")
			yes.Style = chat.StyleGood
			a.reply(tx, w.T("share_ask", "who", s.Name, "name", s.Ledge), []chat.Button{yes})
		}
		return nil
	})
}

// takeLedge copies the card into the private crew of whoever taps. The link is used up first: a crash in between leaves it theirs, and
// the tap comes again.
func (a *ask) takeLedge(crew session.CrewID, token string) error {
	if a.r.Place.Group {
		return a.oldPanel()
	}
	var s session.LedgeShare
	var led session.Ledge
	ok := false
	if err := a.doIn(crew, a.cause.Then("taken"), func(tx *session.Tx, c session.Crew, _ wording.Words) error {
		x, taken := c.TakeShare(token, a.r.From.ID, tx.Now())
		if !taken || x.Of == a.r.From.ID {
			return nil
		}
		return tx.PutCrew(c)
	}); err != nil {
		return err
	}
	if err := a.Session.View(a.ctx, crew, a.cause.Now, func(tx *session.Tx) error {
		c, _, err := tx.LoadCrew()
		if err != nil {
			return err
		}
		if s, ok = c.Shared(token); ok {
			ok = s.Taken == a.r.From.ID
		}
		if ok {
			led, ok = c.LedgeNamed(s.Ledge)
		}
		return nil
	}); err != nil {
		return err
	}
	if !ok {
		return a.oldPanel()
	}
	card, err := cardOf(led)
	if err != nil {
		return err
	}
	card.Limits, card.Aliases = ledge.Limits{}, nil // what a crew set for itself is its own
	own := session.CrewOf(a.r.From.ID)
	return a.doIn(own, a.cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
		if c.Met.IsZero() || c.Chat == 0 {
			c.Chat, c.Group, c.Title = a.r.Place.ID, false, ""
		}
		if len(c.Ledges) >= mostLedges {
			a.reply(tx, w.T("ledges_full", "n", mostLedges))
			return nil
		}
		for _, l := range c.Ledges {
			if x, err := cardOf(l); err == nil && x.Exact != nil && card.Exact != nil && *x.Exact == *card.Exact {
				a.reply(tx, w.T("import_is_known", "name", card.Name, "known", l.Name))
				return nil
			}
		}
		if card.Name = freeName(c, w, led.Name); card.Name == "" {
			a.reply(tx, w.T("ledges_full", "n", mostLedges))
			return nil
		}
		next, err := a.ledgeOf(card)
		if err != nil {
			return err
		}
		next.From = s.Name
		c.PutLedge(next)
		settle(&c, card)
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		a.toast = w.T("toast_noted")
		a.reply(tx, w.T("share_taken", "name", card.Name, "who", s.Name, "lacks", w.Names(append(cardLacks(w, card, numberOf(c, card)), w.T("gap_limits")))))
		return nil
	})
}
