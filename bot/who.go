package bot

import (
	"slices"

	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/outing"
)

// who is /who: who is out and who is off. In a group of that crew, in private of all the person's crews and of those whose plans
// they hold. No places: they go to those who hold the plan.
func (a *ask) who() error {
	crews, theirs := []session.CrewID{a.crew}, []session.CrewID(nil)
	if !a.r.Place.Group {
		p, err := a.person(a.r.From.ID)
		if err != nil {
			return err
		}
		crews = append(crews, everywhere(p)...)
		for _, h := range p.Holds {
			of, err := a.person(h.Of)
			if err != nil {
				return err
			}
			theirs = append(append(theirs, h.Crew), everywhere(of)...)
		}
	}
	os, err := a.latelyIn(crews, func(outing.Outing) bool { return true })
	if err != nil {
		return err
	}
	held, err := a.latelyIn(slices.DeleteFunc(theirs, func(c session.CrewID) bool { return slices.Contains(crews, c) }), a.mayRead)
	if err != nil {
		return err
	}
	os = append(os, held...)
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		a.reply(tx, w.Who(os, tx.Now()))
		return nil
	})
}

// latelyIn reads the outings of crews that are open or ended within the last days.
func (a *ask) latelyIn(crews []session.CrewID, want func(outing.Outing) bool) (out []outing.Outing, err error) {
	crews = slices.Clone(crews)
	slices.Sort(crews)
	for _, crew := range slices.Compact(crews) {
		ids, err := a.Session.LookedAtOf(a.ctx, crew)
		if err != nil {
			return nil, err
		}
		if err := a.Session.View(a.ctx, crew, a.cause.Now, func(tx *session.Tx) error {
			for _, id := range ids {
				o, found, err := tx.LoadOuting(id)
				if err != nil {
					return err
				}
				if found && want(o) {
					out = append(out, o)
				}
			}
			return nil
		}); err != nil {
			return nil, err
		}
	}
	return out, nil
}
