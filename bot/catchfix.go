package bot

import (
	"math"
	"slices"
	"strings"
	"time"

	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/catch"
)

// fixWithin is how long after a catch a plain line such as "no, 29" or "scrap that" is taken to be about it. Later it
// may be about anything, and /catch says that it is not.
const fixWithin = 15 * time.Minute

// fixedPlainly does what a plain line says about the writer's catch of a moment ago; done is false for any other line.
func (a *ask) fixedPlainly() (done bool, err error) {
	if strings.TrimSpace(a.r.Text) == "" {
		return false, nil
	}
	line, _ := command.Catch(a.r.Text, command.Terms{}) // no fish are known: only "no, 29" and "scrap that" can be read so
	if !line.Delete && line.Fix == nil {
		var c session.Crew
		if c, err = a.crewRecord(a.crew); err != nil {
			return false, err
		}
		if line, err = command.Catch(a.r.Text, a.terms(c)); err != nil || line.Fix == nil {
			return false, nil // no line of ours, or none that we can read
		}
	}
	fresh := false
	if err := a.view(func(tx *session.Tx, c session.Crew, _ wording.Words) error {
		_, last, ok, err := a.lastEntry(tx, c)
		fresh = ok && a.at().Sub(last.At).Abs() <= fixWithin
		return err
	}); err != nil || !fresh {
		return false, err
	}
	return true, a.catch(a.r.Text)
}

// fix puts the writer's last entry right and says what it is now.
func (a *ask) fix(tx *session.Tx, c session.Crew, w wording.Words, f command.Fix) error {
	day, e, ok, err := a.lastEntry(tx, c)
	if err != nil {
		return err
	}
	if !ok || e.Blank {
		return a.problem(tx, w, wording.ErrNothingToUndo)
	}
	next, ok := fixed(e, f)
	if !ok {
		a.reply(tx, w.T("catch_ask_fix", "said", wording.HTML(w.Caught(e, fishName(e)))))
		return nil
	}
	day = day.Change(next)
	if err := tx.PutDay(day); err != nil {
		return err
	}
	name, news := introduced(w, &c, next)
	if news {
		if err := tx.PutCrew(c); err != nil {
			return err
		}
	}
	a.reply(tx, w.Catch(next, name, a.judge(tx, c, day, next), a.weighs(w, next), tx.Now()), a.entryButtons(tx, w, day.Date, next))
	return nil
}

// fixed is an entry as a correction leaves it; ok is false where the correction may mean several things.
func fixed(e catch.Entry, f command.Fix) (_ catch.Entry, ok bool) {
	x := f.Entry
	if id := speciesOf(x); id != "" && !x.Unsure {
		e.Species, e.Named = id, x.Named
	}
	var um []int
	um = append(um, x.LengthsUM()...)
	if len(x.WeightsG) > 0 {
		e.WeightsG = nil
		for _, g := range x.WeightsG {
			e.WeightsG = append(e.WeightsG, float64(g))
		}
	}
	if x.Measure != "" {
		e.Measure = x.Measure
	}
	switch {
	case len(um) == 1 && f.Was > 0: // "29 not 31"
		i := slices.IndexFunc(e.LengthsUM, func(l int) bool { return l == scale(um[0], x, f.Was) })
		switch {
		case i >= 0:
			e.LengthsUM = slices.Clone(e.LengthsUM)
			e.LengthsUM[i] = um[0]
		case f.Bare > 0 && float64(e.Count) == f.Was:
			return recount(e, int(f.Bare))
		default:
			return e, false
		}
	case len(um) == 1 && e.Count <= 1:
		e.LengthsUM, e.Estimated = um, x.Estimated
	case len(um) == 1 && f.Bare > 0 && len(e.LengthsUM) == 0: // "30 tailor": "no, 29"
		return recount(e, int(f.Bare))
	case len(um) == 1:
		return e, false // which of them?
	case len(um) > 1:
		e.LengthsUM, e.Estimated = um, x.Estimated
		if n := max(len(um), x.Count); n != e.Count {
			var ok bool
			if e, ok = recount(e, n); !ok {
				return e, false
			}
		}
	case f.Bare > 0 && f.Was > 0 && float64(e.Count) != f.Was:
		return e, false
	case x.Count > 0 && x.Count != e.Count:
		var ok bool
		if e, ok = recount(e, x.Count); !ok {
			return e, false
		}
	}
	return refate(e, x.Kept, x.Released)
}

// scale is a number in the unit in which a length was typed, micrometres.
func scale(um int, x command.Entry, was float64) int {
	per := 10_000.0
	switch x.Lengths[0].Unit {
	case command.Millimetre:
		per = 1000
	case command.Metre:
		per = 1e6
	case command.Inch:
		per = 25_400
	case command.Foot:
		per = 304_800
	}
	return int(math.Round(was * per))
}

// recount makes an entry one of n fish; what all of them had in common stays so.
func recount(e catch.Entry, n int) (catch.Entry, bool) {
	if n < 1 || n > command.MaxCount || len(e.LengthsUM) > n || len(e.WeightsG) > n {
		return e, false
	}
	none := 0
	switch {
	case e.Kept == nil || e.Released == nil:
		e.Kept, e.Released = nil, nil
	case *e.Released == 0:
		e.Kept, e.Released = &n, &none
	case *e.Kept == 0:
		e.Kept, e.Released = &none, &n
	default:
		e.Kept, e.Released = nil, nil // not said of how many now
	}
	e.Count = n
	return e, true
}

// refate says what became of the fish; -1 is as many as there are.
func refate(e catch.Entry, kept, let *int) (catch.Entry, bool) {
	if kept == nil && let == nil {
		return e, true
	}
	k, l := -1, -1
	if kept != nil {
		if k = *kept; k < 0 {
			k = e.Count
		}
		l = e.Count - k
	}
	if let != nil {
		if l = *let; l < 0 {
			l = e.Count
		}
		if kept == nil {
			k = e.Count - l
		}
	}
	if k < 0 || l < 0 || k+l != e.Count {
		return e, false
	}
	e.Kept, e.Released = &k, &l
	return e, true
}
