package bot

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"ledgehand/bot/wording"
	"ledgehand/conditions"
	"ledgehand/conditions/feed"
	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/session"
)

// The place at sea that forecasts are asked for is worked out from where a ledge lies and looks. On a crooked coast that may be
// land to a wave model: then the next cells seaward are tried, and the first with waves is kept on the card.

// mostSeaward is how many cells further out is still the same sea. Engineering judgement.
const mostSeaward = 2

// landOnly says whether a wave model has no sea at a point, which will not change by asking again.
func landOnly(err error) bool {
	var no *feed.NoData
	return errors.As(err, &no) && (no.Why == feed.AllNull || no.Why == feed.AllZero || no.Why == feed.NotCovered)
}

// seaward asks for the next cells out, and moves the question's anchor to the first that has waves. Without one it gives
// back the first refusal.
func (a *ask) seaward(ctx context.Context, q *conditions.Question, refused error) (*conditions.Sea, error) {
	if q.Card.Faces == nil {
		return nil, refused
	}
	at := *q.Card.SeaAnchor
	for range mostSeaward {
		at = ledge.NextSeaAnchor(at, *q.Card.Faces)
		anchor, err := feed.Snap(at)
		if err != nil {
			return nil, refused
		}
		sea, err := a.Seer.Sea(ctx, anchor, q.Now)
		if err == nil {
			q.Card.SeaAnchor = &at
			return sea, nil
		}
		if !landOnly(err) {
			return nil, err // the service is in trouble: nothing was found out about this cell
		}
	}
	return nil, refused
}

// keepAnchor stores an anchor that was moved, unless the ledge was changed meanwhile.
func (a *ask) keepAnchor(name string, was, is *measure.Position) error {
	if was == nil || is == nil || *was == *is {
		return nil
	}
	return a.doIn(a.crew, a.cause.Then("anchor "+name), func(tx *session.Tx, c session.Crew, w wording.Words) error {
		l, ok := c.LedgeNamed(name)
		if !ok {
			return nil
		}
		card, err := cardOf(l)
		if err != nil || card.SeaAnchor == nil || *card.SeaAnchor != *was {
			return err
		}
		card.SeaAnchor = is
		if l.Card, err = json.Marshal(card); err != nil {
			return fmt.Errorf("encode a ledge card: %w", err)
		}
		c.PutLedge(l)
		return tx.PutCrew(c)
	})
}
