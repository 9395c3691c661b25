package bot

import (
	"cmp"
	"errors"
	"slices"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/outing"
)

// Somebody fell in. Whoever says so gets the number, the place and what to do before anything else is done, from what we hold and
// without a question; then those ashore and the mates are alarmed.

// scene is a ledge where it may be, with the open outings there.
type scene struct {
	crew session.CrewID
	at   wording.Where
	used time.Time // when it was last added or watched
	name session.Ledge
	zone string
	out  []found
}

// mostScenes is how many places one message can give and still be read.
const mostScenes = 4

// fellIn is /fellin [LEDGE]. The exact place may go to the group now: this is the escalation (I8).
func (a *ask) fellIn(args string) error {
	scenes, gathering := a.fellInScenes()
	at, unsure := a.fellInAt(scenes, args)
	where := wheres(at[:min(mostScenes, len(at))])
	// The answer is a change of its own and first: whatever is wrong with the rest must not keep it back.
	if err := a.doIn(a.crew, a.cause.Then("fellin"), func(tx *session.Tx, c session.Crew, w wording.Words) error {
		say(tx, session.Entry{Lane: session.Urgent, Alert: true}, chat.Message{
			To: a.r.Place.ID, Thread: a.r.Place.Thread, Text: w.FellIn(where), Buttons: copyPlaces(w, where),
		})
		return nil
	}); err != nil {
		return errors.Join(err, gathering)
	}
	if gathering != nil || a.r.From.ID == 0 { // who stands for nobody alarms nobody
		return gathering
	}
	return a.alarmFellIn(at, unsure)
}

// alarmFellIn tells those ashore and the mates, each outing as a change of its own: one that cannot be read holds no other back.
func (a *ask) alarmFellIn(at []scene, unsure bool) error {
	var errs []error
	told, crews := false, map[session.CrewID][]scene{}
	for _, s := range at {
		crews[s.crew] = append(crews[s.crew], s)
		for _, f := range s.out {
			told = true
			errs = append(errs, a.doIn(f.crew, a.cause.Then("fell/"+f.o.ID), func(tx *session.Tx, c session.Crew, _ wording.Words) error {
				o, ok, err := tx.LoadOuting(f.o.ID)
				if err != nil || !ok || o.Closed() {
					return err
				}
				next, effects, err := o.Apply(outing.FellIn{By: a.r.From.ID, Name: a.name(), Chat: a.r.Place.ID, Unsure: unsure}, tx.Now())
				if err != nil {
					return err
				}
				if err := tx.PutOuting(next); err != nil {
					return err
				}
				a.sayOuting(tx, c, next, effects)
				return nil
			}))
		}
	}
	if told || a.r.Place.Group {
		return errors.Join(errs...)
	}
	// Nobody is out there that we know of, and there is no outing to remember it by: the groups are told, once a minute.
	if ok, _ := a.fell.admit(a.r.From.ID, a.cause.ID, a.at(), 1); !ok {
		return nil
	}
	for crew, here := range crews {
		errs = append(errs, a.doIn(crew, a.cause.Then("mates/"+string(crew)), func(tx *session.Tx, c session.Crew, w wording.Words) error {
			if !c.Group || !c.Gone.IsZero() {
				return nil
			}
			where := wheres(here[:min(mostScenes, len(here))])
			say(tx, session.Entry{Lane: session.Urgent, Alert: true}, chat.Message{
				To: c.Chat, Thread: c.Thread, Text: w.In(here[0].zone).FellInTold(a.name(), where, tx.Now()), Buttons: copyPlaces(w, where),
			})
			return nil
		}))
	}
	return errors.Join(errs...)
}

// fellInScenes are all the ledges it may be at: those of the group, in private those of all the person's crews, with their open
// outings; and outings they are out on elsewhere, or hold the plan of.
func (a *ask) fellInScenes() ([]scene, error) {
	crews := []session.CrewID{a.crew}
	if a.r.From.ID != 0 && !a.r.Place.Group {
		p, err := a.person(a.r.From.ID)
		if err != nil {
			return nil, err
		}
		crews = append(crews, crewsOf(p)...)
	}
	var scenes []scene
	for i, crew := range crews {
		if slices.Contains(crews[:i], crew) {
			continue
		}
		c, err := a.crewRecord(crew)
		if err != nil {
			return scenes, err
		}
		for _, l := range c.Ledges {
			s := scene{crew: crew, at: wording.Where{Ledge: l.Name}, used: l.At, name: l}
			for _, o := range l.Observed {
				if o.At.After(s.used) {
					s.used = o.At
				}
			}
			if card, err := cardOf(l); err == nil { // a card that cannot be read leaves the name, which is better than no answer
				if card.Exact != nil {
					s.at.Lat, s.at.Lon = &card.Exact.Lat, &card.Exact.Lon
				}
				s.zone = card.Zone
				s.at.Access, s.at.Number, s.at.AskFor = cmp.Or(card.Access, card.Parking), numberOf(c, card), card.Emergency.AskFor
			}
			scenes = append(scenes, s)
		}
	}
	fs, err := a.outingsIn(crews, func(outing.Outing) bool { return true })
	if err != nil {
		return scenes, err
	}
	if a.r.From.ID != 0 {
		elsewhere, err := a.everyOuting(a.mayRead)
		if err != nil {
			return scenes, err
		}
		for _, f := range elsewhere {
			if !slices.Contains(crews, f.crew) && (!a.r.Place.Group || a.mine(f.o)) { // who holds a plan says so in private
				fs = append(fs, f)
			}
		}
	}
	for _, f := range fs {
		i := slices.IndexFunc(scenes, func(s scene) bool { return s.crew == f.crew && s.called(f.o.Ledge) })
		if i < 0 {
			i = len(scenes)
			scenes = append(scenes, scene{crew: f.crew, at: wording.WhereOf(f.o), name: session.Ledge{Name: f.o.Ledge}})
		}
		s, on := &scenes[i], wording.WhereOf(f.o)
		if s.at.Lat == nil || s.at.Lon == nil {
			s.at.Lat, s.at.Lon = on.Lat, on.Lon
		}
		s.at.Access = cmp.Or(on.Access, s.at.Access)
		if s.at.Number == "" {
			s.at.Number, s.at.AskFor = on.Number, on.AskFor
		}
		s.out = append(s.out, f)
	}
	return scenes, nil
}

// called says whether the ledge has that name, or had it.
func (s scene) called(name string) bool {
	return strings.EqualFold(s.name.Name, name) || slices.ContainsFunc(s.name.Aliases, func(n string) bool { return strings.EqualFold(n, name) })
}

// fellInAt is where it is: at the ledge named; else where the person is, or was, out; else at the only ledge with somebody out.
// Where that is unclear, unsure, it is all that have somebody out, or all there are.
func (a *ask) fellInAt(scenes []scene, line string) (at []scene, unsure bool) {
	var all session.Crew
	for _, s := range scenes {
		all.Ledges = append(all.Ledges, s.name)
	}
	l, _, ok := all.LedgeIn(line)
	if !ok {
		l, ok = all.LedgeNamed(line)
	}
	if ok {
		for _, s := range scenes {
			if s.called(l.Name) {
				at = append(at, s)
			}
		}
		// One name may be two crews' ledges: that with somebody out is meant.
		if i := slices.IndexFunc(at, func(s scene) bool { return len(s.out) > 0 }); i >= 0 {
			return at[i : i+1], false
		}
		return at[:1], false
	}
	member := func(o outing.Outing) bool { _, in := o.Member(a.r.From.ID); return in }
	for _, want := range []func(outing.Outing) bool{a.mine, member} {
		if s, ok := newest(scenes, want); ok && a.r.From.ID != 0 {
			return []scene{s}, false
		}
	}
	at = slices.Clone(scenes)
	slices.SortStableFunc(at, func(x, y scene) int { return y.used.Compare(x.used) })
	if out := slices.DeleteFunc(slices.Clone(at), func(s scene) bool { return len(s.out) == 0 }); len(out) > 0 {
		at = out
	}
	return at, len(at) > 1
}

// newest is the place of the newest outing that is wanted, with the outings there.
func newest(scenes []scene, want func(outing.Outing) bool) (best scene, ok bool) {
	var opened time.Time
	for _, s := range scenes {
		for _, f := range s.out {
			if want(f.o) && (!ok || f.o.OpenedAt.After(opened)) {
				best, opened, ok = s, f.o.OpenedAt, true
			}
		}
	}
	return best, ok
}

func wheres(scenes []scene) (out []wording.Where) {
	for _, s := range scenes {
		out = append(out, s.at)
	}
	return out
}

// copyButtons put positions and the number where a call can be made from.
func copyPlaces(w wording.Words, at []wording.Where) (rows [][]chat.Button) {
	var numbers []string
	for _, p := range at {
		if p.Number != "" && !slices.Contains(numbers, p.Number) {
			numbers = append(numbers, p.Number)
		}
		if p.Lat == nil || p.Lon == nil {
			continue
		}
		label := w.T("b_copy_place")
		if len(at) > 1 {
			label = w.T("b_copy_of", "ledge", p.Ledge)
		}
		dec, _ := w.Position(*p.Lat, *p.Lon)
		rows = append(rows, []chat.Button{{Label: label, Copy: dec}})
	}
	if len(numbers) == 1 {
		rows = append(rows, []chat.Button{{Label: w.T("b_copy_number", "number", numbers[0]), Copy: numbers[0]}})
	}
	return rows
}
