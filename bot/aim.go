package bot

import (
	"slices"
	"strings"

	"ledgehand/bot/command"
	"ledgehand/session"
)

// What a tap is aimed at. Its data can be made up by anybody who writes a client of their own: nothing in it is
// believed, and nothing of it becomes part of a key unless it has the shape of a name that we give.

// aimed reads which record of which crew a button means; id is "" for the crew itself.
func aimed(p command.Payload) (crew session.CrewID, id string, ok bool) {
	c, id, _ := strings.Cut(p.Ref, ".")
	crew = session.CrewID(c)
	return crew, id, crew.Valid() && session.ValidID(id)
}

// mayAim says whether somebody who taps in private has anything to do with a crew or a record of it. To a stranger
// what is there and what is not look the same.
func (a *ask) mayAim(act string, crew session.CrewID, id string) (bool, error) {
	if act == actAccept || act == actDecline || act == actTakeLedge {
		return true, nil // who knows the token was invited
	}
	who, err := a.person(a.r.From.ID)
	if err != nil || slices.Contains(crewsOf(who), crew) {
		return err == nil, err
	}
	if !slices.Contains(checkedByRecord, act) || id == "" {
		return false, nil
	}
	may := false
	err = a.Session.View(a.ctx, crew, a.cause.Now, func(tx *session.Tx) error {
		o, found, err := tx.LoadOuting(id)
		if err != nil {
			return err
		}
		_, in := o.Member(a.r.From.ID)
		_, holds := o.Holder(a.r.From.ID)
		if may = found && (in || holds || o.Mate(a.r.From.ID)); may {
			return nil
		}
		x, found, err := tx.LoadWatch(id)
		may = found && x.By == a.r.From.ID
		return err
	})
	return may, err
}
