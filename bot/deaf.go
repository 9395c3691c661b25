package bot

import (
	"ledgehand/bot/chat"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/outing"
)

// wasDeaf tells every open outing of the letter's shard when we heard nobody (I10). Each is a change of its own: a letter that is
// read twice changes nothing the second time.
func (a *ask) wasDeaf(d chat.Deaf) error {
	open, err := a.Session.LookedAtIn(a.ctx, a.cause.Shard)
	if err != nil {
		return err
	}
	for _, o := range open {
		if err := a.doIn(o.Crew, a.cause.Then(o.ID), func(tx *session.Tx, c session.Crew, _ wording.Words) error {
			o, found, err := tx.LoadOuting(o.ID)
			if err != nil || !found || o.Closed() {
				return err
			}
			next, effects, err := o.Apply(outing.WasDeaf{From: d.From, To: d.To}, tx.Now())
			if err != nil {
				return err
			}
			if err := tx.PutOuting(next); err != nil {
				return err
			}
			a.sayOuting(tx, c, next, effects)
			return nil
		}); err != nil {
			return err
		}
	}
	return nil
}
