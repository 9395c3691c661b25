package bot

import (
	"errors"
	"slices"
	"strings"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/conditions/ledge"
	"ledgehand/session"
	"ledgehand/session/berley"
	"ledgehand/session/lookout"
	"ledgehand/session/trip"
)

// Berley and bait: the crew's own recipe, what it comes to for a trip, and what has to be soaked or thawed the evening before.

// berleyCmd is /berley, /berley recipe 4 kg soaked bread … for 2 anglers 4 hours, /berley recipe none.
func (a *ask) berleyCmd(args string) error {
	args = strings.TrimSpace(args)
	first, rest, _ := strings.Cut(args, " ")
	switch strings.ToLower(first) {
	case "":
		return a.showBerley()
	case "recipe", "receta":
		return a.setRecipe(strings.TrimSpace(rest))
	}
	return a.setRecipe(args) // "recipe" is easily left out
}

// setRecipe writes the crew's recipe down.
func (a *ask) setRecipe(line string) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		switch strings.ToLower(line) {
		case "-", "none", "off", "ninguna", "nada":
			if err := tx.PutBerley(berley.Recipe{}); err != nil {
				return err
			}
			a.reply(tx, w.T("berley_gone"))
			return nil
		}
		read, err := command.Berley(line)
		if err != nil {
			var un *command.Unread
			if errors.As(err, &un) && un.Why == command.WhyMissing {
				a.reply(tx, w.T("berley_unread_scale", "example", command.BerleyExample))
			} else if line == "" {
				a.reply(tx, w.T("berley_none", "example", command.BerleyExample))
			} else {
				said := line
				if un != nil && un.Said != "" {
					said = un.Said
				}
				a.reply(tx, w.T("berley_unread", "said", wording.Clean(said, 40), "example", command.BerleyExample))
			}
			return nil
		}
		r := berley.Recipe{Anglers: read.Anglers, Over: read.Over, At: tx.Now()}
		prawns := false
		for _, p := range read.Parts {
			r.Parts = append(r.Parts, berley.Part{Name: wording.Clean(p.Name, command.MaxName), Amount: p.Amount, Unit: berley.Unit(p.Unit)})
			prawns = prawns || berley.Prawns(p.Name)
		}
		if err := tx.PutBerley(r); err != nil {
			return err
		}
		text := w.Recipe(r)
		if prawns {
			text += "\n" + w.Prawns(crewZone(c, ""), c.Area)
		}
		a.reply(tx, text)
		return nil
	})
}

// showBerley is what the recipe comes to for the newest trip, or the recipe itself where none is planned.
func (a *ask) showBerley() error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		r, err := tx.LoadBerley()
		if err != nil {
			return err
		}
		if !r.Known() {
			a.reply(tx, w.T("berley_none", "example", command.BerleyExample))
			return nil
		}
		ts, err := tx.OpenTrips()
		if err != nil {
			return err
		}
		if len(ts) == 0 {
			a.reply(tx, w.Recipe(r))
			return nil
		}
		b := a.berleyPlan(c, r, ts[len(ts)-1])
		a.reply(tx, w.Berley(b), berleyButtons(w, tx.Crew, c, b)...)
		return nil
	})
}

// berleyPlan puts a trip together with the recipe and what its ledge allows.
func (a *ask) berleyPlan(c session.Crew, r berley.Recipe, t trip.Trip) wording.BerleyPlan {
	b := wording.BerleyPlan{Trip: t, Recipe: r}
	led, ok := c.LedgeNamed(t.Ledge)
	if !ok {
		return b // gone since: nobody can say what is allowed there
	}
	card, err := cardOf(led)
	a.lesser("what a ledge allows", err) // then nobody can say, and bait thaws all the same
	b.Ground = card.Rules.GroundBait
	return b
}

// berleyLine is what the recipe comes to, under the things that people bring; empty where there is none.
func (a *ask) berleyLine(tx *session.Tx, w wording.Words, t trip.Trip, v wording.View) string {
	if v != wording.ViewGear || !t.CalledOff.IsZero() {
		return ""
	}
	r, err := tx.LoadBerley()
	if a.lesser("a recipe", err); !r.Known() {
		return ""
	}
	return "\n" + w.BerleyLine(wording.BerleyPlan{Trip: t, Recipe: r})
}

// berleyButtons ask what is not known: who brings it, and whether it is allowed.
func berleyButtons(w wording.Words, crew session.CrewID, c session.Crew, b wording.BerleyPlan) (rows [][]chat.Button) {
	open := slices.ContainsFunc(b.Trip.Gear, func(it trip.Item) bool { return it.Name == trip.Berley && it.By == 0 })
	if open && b.Ground != ledge.No {
		rows = append(rows, []chat.Button{button(w.T("b_bring", "item", w.Item(trip.Berley)), actBring, ref(crew, b.Trip.ID), trip.Berley)})
	}
	if _, known := c.LedgeNamed(b.Trip.Ledge); known && (b.Ground == "" || b.Ground == ledge.Unknown) {
		r := ref(crew, b.Trip.ID)
		rows = append(rows, []chat.Button{button(w.T("b_ground_yes"), actGround, r, string(ledge.Yes)), button(w.T("b_ground_no"), actGround, r, string(ledge.No))})
	}
	return rows
}

// setGround writes on the card of a trip's ledge whether ground-bait is allowed there.
func (a *ask) setGround(id, arg string) error {
	says := ledge.Answer(oneOf(arg, string(ledge.Yes), string(ledge.No)))
	if ok, err := a.mayEdit(false); !ok || err != nil { // it is written on the ledge's card
		return err
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		t, ok, err := tx.LoadTrip(id)
		if err != nil {
			return err
		}
		led, known := c.LedgeNamed(t.Ledge)
		if !ok || !known || says == "" {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		card, err := cardOf(led)
		if err != nil {
			return err
		}
		card.Rules.GroundBait = says
		next, err := a.ledgeOf(card)
		if err != nil {
			return err
		}
		led.Card = next.Card // the rest of it, and whose it is, stays
		c.PutLedge(led)
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		a.toast = w.T("toast_noted")
		if says == ledge.Yes {
			a.reply(tx, w.T("ground_set_yes", "ledge", led.Name, "who", a.name()))
		} else {
			a.reply(tx, w.T("ground_set_no", "ledge", led.Name, "who", a.name()))
		}
		return nil
	})
}

// crewZone is where a crew fishes, as far as a zone tells: that of the trip, its own, or that of its first ledge.
func crewZone(c session.Crew, of string) string {
	if of == "" {
		of = c.Zone
	}
	if zones := ledgeZones(c); of == "" && len(zones) > 0 {
		of = zones[0]
	}
	return of
}

// brought says what must be known of a thing that somebody just claimed: prawns. A claim that is let go is none.
func (a *ask) brought(tx *session.Tx, c session.Crew, t trip.Trip, e trip.Event) {
	b, ok := e.(trip.Bring)
	if !ok || !berley.Prawns(b.Item) {
		return
	}
	name := strings.ToLower(strings.TrimSpace(b.Item))
	if slices.ContainsFunc(t.Gear, func(it trip.Item) bool { return it.Name == name && it.By == b.ID }) {
		a.reply(tx, a.words(c).Prawns(crewZone(c, t.Zone), c.Area))
	}
}

// brings is one who brings berley, bait, or something that has to thaw.
type brings struct {
	place trip.Place
	items []string
}

// toPrepare are those who have something to prepare, in the order in which they said that they come.
func toPrepare(t trip.Trip) (out []brings) {
	for _, p := range t.Roster {
		b := brings{place: p}
		for _, it := range t.Gear {
			if it.By == p.ID && (it.Name == trip.Berley || it.Name == trip.Bait || berley.Part{Name: it.Name}.Prep() != "") {
				b.items = append(b.items, it.Name)
			}
		}
		if len(b.items) > 0 {
			out = append(out, b)
		}
	}
	return out
}

// lookAtBerley tells the evening before what is to be soaked and thawed: those who bring it, in private where that works; where
// nobody does, the group. What it says is worked out now, from the plan as it stands.
func (a *ask) lookAtBerley(id string) error {
	private := map[int64]session.Person{}
	if err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		t, found, err := tx.LoadTrip(id)
		if err != nil || !found {
			return err
		}
		for _, b := range toPrepare(t) {
			p, err := a.person(b.place.ID) // lies elsewhere, so it is read before
			if err != nil {
				return err
			}
			private[p.ID] = p
		}
		return nil
	}); err != nil {
		return err
	}
	return a.do(func(tx *session.Tx, c session.Crew, _ wording.Words) error {
		t, found, err := tx.LoadTrip(id)
		if err != nil {
			return err
		}
		if !found || !t.CalledOff.IsZero() || t.Outing != "" || !c.Gone.IsZero() || !t.Start.After(tx.Now()) {
			return a.endLookout(tx, lookout.Berley, id)
		}
		if at := lookout.PrepareAt(t.Start, zone(t.Zone)); at.After(tx.Now()) { // put off meanwhile
			return tx.PutLookout(lookout.ForBerley(id, t.Start, zone(t.Zone), tx.Now()))
		}
		r, err := tx.LoadBerley()
		if err != nil {
			return err
		}
		b := a.berleyPlan(c, r, t)
		w := a.wordsTo(c, t.Chat).In(t.Zone)
		all := toPrepare(t)
		for _, x := range all {
			p := private[x.place.ID]
			if !p.Private || p.ID == 0 {
				a.post(tx, "", session.Slow, chat.Message{To: t.Chat, Thread: t.Thread, Text: w.Prepare(b, x.place.Name, x.items, tx.Now())})
				continue
			}
			a.post(tx, "", session.Slow, chat.Message{To: p.ID, Text: wordsIn(c, p.Language).In(t.Zone).Prepare(b, "", x.items, tx.Now())})
		}
		berleyComes := slices.ContainsFunc(all, func(x brings) bool { return slices.Contains(x.items, trip.Berley) })
		if r.Known() && !berleyComes && b.Ground != ledge.No {
			a.post(tx, "", session.Slow, chat.Message{
				To: t.Chat, Thread: t.Thread, Text: w.Prepare(b, "", nil, tx.Now()), Buttons: berleyButtons(w, tx.Crew, c, b),
			})
		}
		return nil
	})
}
