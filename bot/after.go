package bot

import (
	"slices"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/after"
	"ledgehand/session/lookout"
	"ledgehand/session/outing"
)

// After an outing: what the ledge did, asked of those who were there. It is how a ledge card becomes true.

// begins keeps the sea of an outing's hours as it is forecast when people go: later answers write over it.
func begins(tx *session.Tx, o outing.Outing) error {
	r := after.Report{ID: o.ID, Crew: o.Crew, Ledge: o.Ledge, Zone: o.Zone, From: o.OpenedAt}
	r, err := withSea(tx, r)
	if err != nil {
		return err
	}
	return tx.PutAfter(r)
}

// ends lays down when those of an outing that is over are asked. One that was called off before anybody went is not.
func ends(tx *session.Tx, o outing.Outing) error {
	if o.Cancelled {
		return nil
	}
	r, found, err := tx.LoadAfter(o.ID)
	if err != nil {
		return err
	}
	if !found { // it began before we kept this
		r = after.Report{ID: o.ID, Crew: o.Crew, Ledge: o.Ledge, Zone: o.Zone, From: o.OpenedAt}
	}
	// Whoever forgot to say that they are off was not on the ledge all that time.
	if r.To = o.ClosedAt; o.BackBy.Add(o.Ladder.Contact).Before(r.To) {
		r.To = o.BackBy.Add(o.Ladder.Contact)
	}
	if r, err = withSea(tx, r); err != nil {
		return err
	}
	if err := tx.PutAfter(r); err != nil {
		return err
	}
	return tx.PutLookout(lookout.ForAfter(o.ID, o.ClosedAt, zone(o.Zone)))
}

// withSea adds what the last conditions answer said of the hours, unless it is too old to say anything.
func withSea(tx *session.Tx, r after.Report) (after.Report, error) {
	n, found, err := tx.LoadSea(r.Ledge)
	if err != nil || !found || tx.Now().Sub(n.FetchedAt) > session.SeaStale {
		return r, err
	}
	var hours []after.Hour
	for _, h := range n.Hours {
		if h.At.Sub(r.From) < outing.Longest+time.Hour {
			hours = append(hours, after.Hour{At: h.At, Hs: h.HsLocal, Tz: h.Tz, Period: h.Period, Rc: h.Rc, From: h.From})
		}
	}
	return r.Sea(hours, n.FetchedAt), nil
}

// askAfter asks those of an outing what the ledge did, once: each in private where that works, the others together in the
// group, by name.
func (a *ask) askAfter(id string) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		o, found, err := tx.LoadOuting(id)
		if err != nil || !found || !o.Closed() || o.Cancelled || tx.Now().Sub(o.ClosedAt) > lookout.AskWithin {
			return err
		}
		r, found, err := tx.LoadAfter(id)
		if err != nil || !found || !r.Asked.IsZero() {
			return err
		}
		led, known := c.LedgeNamed(r.Ledge)
		if !known {
			return nil
		}
		if out, err := outAgain(tx, o); err != nil || out {
			if err != nil {
				return err
			}
			l, found, err := tx.LoadLookout(lookout.Lookout{Kind: lookout.After, Of: id}.ID())
			if err != nil || !found {
				return err
			}
			return tx.PutLookout(l.Later(tx.Now(), zone(o.Zone)))
		}
		var people []after.Person
		for _, m := range o.People {
			p := after.Person{ID: m.ID, Name: m.Name, Chat: m.Chat, Off: m.OffAt}
			switch {
			case m.ID <= 0: // a guest, who cannot answer
				continue
			case p.Chat != 0:
			case o.Group != 0 && o.GroupRefused.IsZero() && c.Gone.IsZero():
				p.Chat = o.Group
			default:
				continue
			}
			people = append(people, p)
		}
		if len(people) == 0 {
			return nil
		}
		r = r.Ask(people, tx.Now())
		if card, err := cardOf(led); err == nil {
			r.Ring = ringAsked(card, tx.Now())
		}
		if err := tx.PutAfter(r); err != nil {
			return err
		}
		var asked []int64
		for _, p := range r.People {
			if !slices.Contains(asked, p.Chat) {
				asked = append(asked, p.Chat)
				a.afterPanel(tx, wordsOf(c, o, p.Chat), o, r, p.Chat)
			}
		}
		return nil
	})
}

// outAgain says whether one of an outing is on the rocks again: whoever stands there is not asked about yesterday.
func outAgain(tx *session.Tx, was outing.Outing) (bool, error) {
	open, err := tx.OpenOutings()
	if err != nil {
		return false, err
	}
	for _, o := range open {
		for _, m := range o.StillOut() {
			if _, in := was.Member(m.ID); in && m.ID > 0 {
				return true, nil
			}
		}
	}
	return false, nil
}

// afterPanel posts the questions in a chat, or brings them up to date with what was answered there.
func (a *ask) afterPanel(tx *session.Tx, w wording.Words, o outing.Outing, r after.Report, to int64) {
	m := chat.Message{To: to, Panel: "after/" + r.ID, Quiet: true, Text: w.In(r.Zone).After(r, to)}
	if to < 0 {
		m.Thread = o.Thread
	}
	var own *after.Person // whose answers are marked on the buttons; in the group they are several people's
	if i := slices.IndexFunc(r.People, func(p after.Person) bool { return p.Chat == to }); i >= 0 && to > 0 {
		own = &r.People[i]
	}
	press := func(label, arg string, chosen bool) chat.Button {
		if chosen {
			label = "✓ " + label
		}
		return button(label, actAfter, ref(tx.Crew, r.ID), arg)
	}
	var rows [][]chat.Button
	var row []chat.Button
	for _, x := range []after.Water{after.WaterNo, after.WaterSome, after.WaterOften} {
		row = append(row, press(w.T("b_after_water_"+string(x)), afterWater+string(x), own != nil && own.Water == x))
	}
	rows = append(rows, row)
	for _, pair := range [][]after.Wet{{after.WetNo, after.WetFeet}, {after.WetKnocked, after.WetIn}} {
		row = nil
		for _, x := range pair {
			row = append(row, press(w.T("b_after_wet_"+string(x)), afterWet+string(x), own != nil && own.Wet == x))
		}
		rows = append(rows, row)
	}
	if r.Ring {
		row = nil
		for _, x := range []after.Ring{after.RingThere, after.RingGone, after.RingUnseen} {
			label := w.T("b_ring_" + string(x))
			if own != nil && own.Ring == x {
				label = "✓ " + label
			}
			row = append(row, button(label, actRing, ref(tx.Crew, r.ID), string(x)))
		}
		rows = append(rows, row)
		if c, _, err := tx.LoadCrew(); err == nil {
			m.Text += "\n" + ringQuestion(w, c, r)
		}
	}
	m.Buttons = rows
	a.post(tx, "", session.Slow, m)
}

// How answers stand in buttons.
const (
	afterWater = "w."
	afterWet   = "p."
)

// onAfter takes an answer, keeps what it teaches with the ledge, and asks those who had a near miss what happened.
func (a *ask) onAfter(crew session.CrewID, id, arg string) error {
	said, isWater := strings.CutPrefix(arg, afterWater)
	water := after.Water(oneOf(said, string(after.WaterNo), string(after.WaterSome), string(after.WaterOften)))
	var wet after.Wet
	if !isWater {
		wet = after.Wet(oneOf(strings.TrimPrefix(arg, afterWet), string(after.WetNo), string(after.WetFeet), string(after.WetKnocked), string(after.WetIn)))
	}
	if isWater && water == "" || !isWater && wet == "" {
		return a.oldPanel()
	}
	return a.doIn(crew, a.cause, func(tx *session.Tx, c session.Crew, w wording.Words) error {
		r, o, err := reportOf(tx, id)
		if err != nil {
			return a.problem(tx, w, err)
		}
		r, near, err := r.Answer(a.r.From.ID, water, wet, tx.Now())
		if err != nil {
			return a.problem(tx, w, err)
		}
		if err := tx.PutAfter(r); err != nil {
			return err
		}
		learnReport(&c, r)
		if near {
			c.Ask(session.Pending{Who: a.r.From.ID, Chat: a.r.Place.ID, What: pendingNear, At: tx.Now(), Args: map[string]string{
				"ledge": r.Ledge, "outing": r.ID, "on": r.From.UTC().Format(time.RFC3339),
			}})
		}
		if q, asked := c.Question(a.r.From.ID, a.r.Place.ID, tx.Now()); asked && q.What == pendingNear && wet != "" && !wet.Near() {
			c.Answered(a.r.From.ID, a.r.Place.ID) // it was none: their next line is no answer any more
		}
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		a.reportAnswered(tx, w, o, r)
		if near {
			a.question(tx, w.T("after_near", "ledge", r.Ledge), w.T("hint_near"))
		}
		return nil
	})
}

// reportOf is what was asked after an outing, and the outing; wording.ErrOldPanel when one of them is gone.
func reportOf(tx *session.Tx, id string) (r after.Report, o outing.Outing, err error) {
	r, found, err := tx.LoadAfter(id)
	if err != nil {
		return r, o, err
	}
	o, there, err := tx.LoadOuting(id)
	if err == nil && (!found || !there) {
		err = wording.ErrOldPanel
	}
	return r, o, err
}

// reportAnswered shows an answer of whoever tapped where they were asked, wherever they tapped; a group may have another id by now.
func (a *ask) reportAnswered(tx *session.Tx, w wording.Words, o outing.Outing, r after.Report) {
	a.toast = w.T("toast_noted")
	to := o.Group
	if i := slices.IndexFunc(r.People, func(p after.Person) bool { return p.ID == a.r.From.ID }); r.People[i].Chat > 0 {
		to = r.People[i].Chat
	}
	a.afterPanel(tx, w, o, r, to)
}

// learnReport keeps with the ledge what all answers of an outing say together, in the place of what they said before.
func learnReport(c *session.Crew, r after.Report) {
	l, ok := c.LedgeNamed(r.Ledge)
	if !ok {
		return
	}
	l.Observed = slices.DeleteFunc(slices.Clone(l.Observed), func(o session.Observed) bool { return o.Report == r.ID })
	water, until, _ := r.Told()
	if hours := r.Teaches(); len(hours) > 0 {
		first := hours[0]
		o := session.Observed{At: until, Report: r.ID, K: leastWashes(water), Hs: first.Hs, Tz: first.Tz, Rc: first.Rc, From: first.Hour.From, Period: first.Period}
		for _, h := range hours {
			o.Minutes += h.Minutes
			o.Spans = append(o.Spans, session.ObservedSpan{Minutes: h.Minutes, Hs: h.Hs, Tz: h.Tz, Rc: h.Rc, From: h.Hour.From})
		}
		l.Observed = append(l.Observed, o)
	}
	n := 0
	for i := len(l.Observed) - 1; i >= 0; i-- { // the newest stay
		if l.Observed[i].Report == "" {
			continue
		}
		if n++; n > mostReports {
			l.Observed = slices.Delete(l.Observed, i, i+1)
		}
	}
	l.Observed = l.Observed[max(0, len(l.Observed)-mostWatches):]
	c.PutLedge(l)
}
