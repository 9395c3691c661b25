package bot

import (
	"time"

	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/outing"
)

// A location shared by somebody who is out. The newest is kept for those who hold the plan, and goes with the "off".

// shows notes where somebody's phone is; done says that they are out, so that the location is no new ledge.
func (a *ask) shows() (done bool, err error) {
	if a.r.Point == nil || a.r.Point.Forwarded {
		return false, nil // somebody else's, or of another time
	}
	fs, err := a.ownOutings(a.mine)
	if err != nil || len(fs) == 0 {
		return false, err
	}
	f := fs[0]
	e := outing.Shows{By: a.r.From.ID, Position: outing.Position{Lat: a.r.Point.Lat, Lon: a.r.Point.Lon, At: a.at(), Live: a.r.Point.LiveUntil}}
	next, _, err := f.o.Apply(e, a.cause.Now)
	if was, _ := f.o.Member(a.r.From.ID); err == nil {
		if is, _ := next.Member(a.r.From.ID); is.Position == was.Position {
			return true, nil // nothing worth a write: a phone that moves sends one every few seconds
		}
	}
	return true, a.doIn(f.crew, a.cause, func(tx *session.Tx, _ session.Crew, w wording.Words) error {
		o, ok, err := tx.LoadOuting(f.o.ID)
		if err != nil || !ok {
			return err
		}
		w = w.In(o.Zone)
		first := true
		if m, _ := o.Member(a.r.From.ID); m.Position != nil {
			first = m.Position.Live.IsZero()
		}
		next, _, err := o.Apply(e, tx.Now())
		if err != nil {
			return nil // off meanwhile: nothing is kept of where they are
		}
		if err := tx.PutOuting(next); err != nil {
			return err
		}
		switch {
		case e.Position.Live.IsZero():
			a.reply(tx, w.T("position_noted", "at", w.Clock(e.Position.At)))
		case first:
			a.reply(tx, w.T("position_live", "until", w.When(until(e.Position.Live, o.BackBy, tx.Now()), tx.Now())))
		}
		return nil
	})
}

// until is when a shared location ends, or the end of a day for one that is shared for ever.
func until(live, backBy, now time.Time) time.Time {
	if live.Sub(now) > 24*time.Hour {
		return backBy
	}
	return live
}
