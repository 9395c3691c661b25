package bot

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/catch"
	"ledgehand/session/catch/names"
)

// The job "catch": one line in, one line back, counted against the rules the crew holds.

// catch is /catch LINE, and /catch alone for the day so far.
func (a *ask) catch(args string) error {
	if strings.TrimSpace(args) == "" {
		return a.day()
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		return a.readCatch(tx, c, w, args)
	})
}

// readCatch reads a line and does what it says: notes fish or a blank, puts the last entry right, takes it back.
func (a *ask) readCatch(tx *session.Tx, c session.Crew, w wording.Words, args string) error {
	line, err := command.Catch(args, a.terms(c))
	switch {
	case err != nil:
		return a.catchDoubt(tx, c, w, args, err)
	case line.Delete:
		return a.takeBack(tx, c, w, "", "")
	case line.Fix != nil:
		return a.fix(tx, c, w, *line.Fix)
	}
	return a.note(tx, c, w, line)
}

// terms is what words mean in a crew.
func (a *ask) terms(c session.Crew) command.Terms {
	g := CatchTerms(c.Units, c.Area, c.FishNames)
	g.Person = func(n string) bool { _, ok := c.Named(n); return ok }
	return g
}

// note records what a line tells: first the record, then at most one question.
func (a *ask) note(tx *session.Tx, c session.Crew, w wording.Words, line command.CatchLine) error {
	type told struct {
		at time.Time
		e  catch.Entry
	}
	var all []told
	if line.Blank {
		all = append(all, told{a.r.At, catch.Entry{Who: a.name(), WhoID: a.r.From.ID, Blank: true}})
	}
	for _, x := range line.Entries {
		e, ok := a.entryOf(c, x)
		if !ok {
			a.reply(tx, w.T("catch_who", "who", wording.Clean(x.Who, 40)))
			return nil
		}
		at := a.r.At
		if x.DayBefore {
			at = at.AddDate(0, 0, -1)
		}
		all = append(all, told{at, e})
	}
	if len(all) == 0 {
		a.reply(tx, w.T("catch_lost"))
		return nil
	}
	if h := line.Effort.Hours; line.Effort.Rods > 0 || h > 0 {
		all[0].e.Rods, all[0].e.RodMin = line.Effort.Rods, int(float64(line.Effort.Rods)*h*60+0.5)
	}
	days := map[string]catch.Day{}
	var said []string
	var rows [][]chat.Button
	shown := false
	for i, t := range all {
		date := t.at.In(zone(c.Zone)).Format(time.DateOnly)
		day, ok := days[date]
		if !ok {
			var err error
			if day, err = tx.LoadDay(date); err != nil {
				return err
			}
		}
		if len(day.Entries) >= mostCatches {
			a.reply(tx, w.T("catches_full", "n", mostCatches))
			return nil
		}
		e := t.e
		e.ID, e.At, e.By = recordID(a.cause.ID), a.r.At, a.r.From.ID
		if i > 0 {
			e.ID = fmt.Sprintf("%s-%d", e.ID, i)
		}
		if t.at.Equal(a.r.At) { // of yesterday nobody said where, or when
			var err error
			if e.Ledge, e.Outing, err = a.onWhichLedge(tx, e.WhoID); err != nil {
				return err
			}
			e.Then = a.then(tx, c, e.Ledge, a.at())
		}
		day = day.Add(e)
		days[date] = day
		name, news := introduced(w, &c, e)
		shown = shown || news
		said = append(said, w.Catch(e, name, a.judge(tx, c, day, e), a.weighs(w, e), tx.Now()))
		rows = append(rows, a.entryButtons(tx, w, day.Date, e))
	}
	for _, day := range days {
		if err := tx.PutDay(day); err != nil {
			return err
		}
	}
	if line.Blank && line.Ask == command.AskEffort {
		first := all[0]
		c.Ask(session.Pending{Who: a.r.From.ID, Chat: a.r.Place.ID, What: "effort", At: tx.Now(),
			Args: map[string]string{"date": first.at.In(zone(c.Zone)).Format(time.DateOnly), "id": recordID(a.cause.ID)}})
		shown = true
	}
	if shown {
		if err := tx.PutCrew(c); err != nil {
			return err
		}
	}
	if err := a.signOfLife(tx, "catch"); err != nil {
		return err
	}
	text := strings.Join(said, "\n")
	if line.Blank && line.Ask == command.AskEffort {
		text += "\n" + w.T("catch_ask_effort")
	}
	a.reply(tx, text, rows...)
	return nil
}

// entryOf turns what was read into an entry; ok is false where nobody is called so.
func (a *ask) entryOf(c session.Crew, x command.Entry) (e catch.Entry, ok bool) {
	e = catch.Entry{Who: a.name(), WhoID: a.r.From.ID, Named: x.Named, Count: x.Count, LengthsUM: x.LengthsUM(), Measure: x.Measure, Estimated: x.Estimated, Kept: x.Kept, Released: x.Released}
	for _, g := range x.WeightsG {
		e.WeightsG = append(e.WeightsG, float64(g))
	}
	e.Species = speciesOf(x)
	if x.Who == "" {
		return e, true
	}
	if m, found := c.Named(x.Who); found {
		e.Who, e.WhoID = m.Name, m.ID
		return e, true
	}
	if e.Who, e.WhoID = wording.Clean(x.Who, 40), 0; e.Who == "" {
		return e, false
	}
	return e, true
}

// speciesOf is the id of a species, or the plain name of what has none: an octopus, a wrasse of some kind.
func speciesOf(x command.Entry) string {
	switch {
	case x.NotFish != "":
		return x.NotFish
	case len(x.Species) == 1:
		return x.Species[0]
	}
	return strings.ToLower(x.Named)
}

func (a *ask) entryButtons(tx *session.Tx, w wording.Words, date string, e catch.Entry) []chat.Button {
	row := []chat.Button{button(w.T("b_undo"), actUndo, ref(tx.Crew, date), e.ID)}
	if e.Kept == nil && !e.Blank {
		row = append(row, button(w.T("b_kept"), actKept, ref(tx.Crew, date), "1"+e.ID), button(w.T("b_let_go"), actKept, ref(tx.Crew, date), "0"+e.ID))
	}
	return row
}

// introduced is what to call a fish: with its scientific name the first time in a crew, which is news to its record.
func introduced(w wording.Words, c *session.Crew, e catch.Entry) (name string, news bool) {
	s, ok := names.ByID(e.Species)
	if !ok || slices.Contains(c.FishSeen, e.Species) {
		return fishName(e), false
	}
	c.FishSeen = append(slices.Clone(c.FishSeen), e.Species)
	return w.Scientific(fishName(e), s.Scientific), true
}

// fishName is what to call a fish: its plain name where the table knows the species, else as it was written.
func fishName(e catch.Entry) string {
	if s, ok := names.ByID(e.Species); ok {
		return s.Canonical
	}
	if names.InputOnly(e.Named) {
		return "fish" // understood, but no name to print back
	}
	return wording.Clean(e.Named, 40)
}

// date is the day of the request in the crew's zone: bags are counted by the day of the place.
func (a *ask) date(tx *session.Tx, c session.Crew) string {
	return a.r.At.In(zone(c.Zone)).Format(time.DateOnly)
}

func (a *ask) onWhichLedge(tx *session.Tx, who int64) (ledge, id string, err error) {
	open, err := tx.OpenOutings()
	for _, o := range open {
		if _, ok := o.Member(who); ok {
			return o.Ledge, o.ID, nil
		}
	}
	return "", "", err
}

// day is the crew's day so far, a line a person and kind.
func (a *ask) day() error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		day, err := tx.LoadDay(a.date(tx, c))
		if err != nil {
			return err
		}
		type sum struct{ who, fish string }
		var order []sum
		kept, gone, unsaid := map[sum]int{}, map[sum]int{}, map[sum]int{}
		for _, e := range day.Entries {
			if !e.Undone.IsZero() || e.Blank {
				continue
			}
			s := sum{e.Who, fishName(e)}
			if !slices.Contains(order, s) {
				order = append(order, s)
			}
			switch {
			case e.Kept == nil:
				unsaid[s] += e.Count
			default:
				kept[s] += *e.Kept
				gone[s] += e.Count - *e.Kept
			}
		}
		if len(order) == 0 {
			a.reply(tx, w.T("day_empty"))
			return nil
		}
		out := []string{w.T("day_head", "day", w.Day(a.r.At))}
		for _, s := range order {
			l := w.T("day_line", "who", s.who, "fish", s.fish, "kept", kept[s], "gone", gone[s])
			if unsaid[s] > 0 {
				l += " " + w.T("day_unsaid", "n", unsaid[s])
			}
			out = append(out, l)
		}
		a.reply(tx, strings.Join(out, "\n"))
		return nil
	})
}

// undo takes an entry back: the one a button names, or the writer's last of the day.
func (a *ask) undo(date, id string) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		return a.takeBack(tx, c, w, date, id)
	})
}

func (a *ask) takeBack(tx *session.Tx, c session.Crew, w wording.Words, date, id string) error {
	var day catch.Day
	var err error
	if date == "" {
		var last catch.Entry
		if day, last, _, err = a.lastEntry(tx, c); err != nil {
			return err
		}
		id = last.ID
	} else if day, err = tx.LoadDay(date); err != nil {
		return err
	}
	next, e, ok := day.Undo(id, a.r.From.ID, tx.Now())
	if !ok {
		return a.problem(tx, w, wording.ErrNothingToUndo)
	}
	if err := tx.PutDay(next); err != nil {
		return err
	}
	a.toast = w.T("toast_undone")
	fish := fishName(e)
	if e.Blank {
		fish = w.T("blank")
		a.reply(tx, w.T("undone_blank", "who", e.Who, "fish", fish))
		return nil
	}
	a.reply(tx, w.T("undone", "who", e.Who, "n", e.Count, "fish", fish))
	return nil
}

// lastEntry is the newest entry the writer made that stands: of today, or of the day before.
func (a *ask) lastEntry(tx *session.Tx, c session.Crew) (day catch.Day, e catch.Entry, ok bool, err error) {
	for back := range 2 {
		day, err = tx.LoadDay(a.r.At.In(zone(c.Zone)).AddDate(0, 0, -back).Format(time.DateOnly))
		if err != nil {
			return day, e, false, err
		}
		if e, ok = day.Last(a.r.From.ID); ok {
			return day, e, true, nil
		}
	}
	return day, e, false, nil
}

// keep says afterwards whether fish were kept; arg is "1" or "0" before the entry's id.
func (a *ask) keep(date, arg string) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		day, err := tx.LoadDay(date)
		if err != nil {
			return err
		}
		if len(arg) < 2 {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		i := slices.IndexFunc(day.Entries, func(e catch.Entry) bool { return e.ID == arg[1:] && e.Undone.IsZero() })
		if i < 0 || day.Entries[i].By != a.r.From.ID {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		day.Entries = slices.Clone(day.Entries)
		e := &day.Entries[i]
		kept, gone := e.Count, 0
		if arg[0] == '0' {
			kept, gone = 0, e.Count
		}
		e.Kept, e.Released = &kept, &gone
		if err := tx.PutDay(day); err != nil {
			return err
		}
		a.toast = w.T("toast_noted")
		a.reply(tx, w.Catch(*e, fishName(*e), a.judge(tx, c, day, *e), a.weighs(w, *e), tx.Now()))
		return nil
	})
}

// rule is /rule: a size and bag rule as the crew reads it in the real book, with where from and when checked.
func (a *ask) rule(args string) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		if strings.TrimSpace(args) == "" {
			if len(c.Rules) == 0 {
				a.reply(tx, w.T("no_rules"))
				return nil
			}
			out := []string{w.T("rules_head")}
			for _, r := range c.Rules {
				out = append(out, w.Rule(r))
			}
			a.reply(tx, strings.Join(out, "\n"))
			return nil
		}
		f, err := command.Rule(args, command.Units(c.Units), tx.Now(), zone(c.Zone), order(c))
		if err != nil {
			a.reply(tx, w.T("rule_unread", "said", wording.Clean(args, 60)))
			return nil
		}
		r := catch.Rule{Species: strings.ToLower(f.Named), Named: wording.Clean(f.Named, 40), Bag: f.Bag, Source: wording.Clean(f.Source, 60), Checked: f.Checked, By: a.name()}
		if f.Min != nil {
			r.MinUM = f.Min.UM
		}
		if f.Max != nil {
			r.MaxUM = f.Max.UM
		}
		if r.Checked.IsZero() {
			a.reply(tx, w.T("rule_when_checked", "said", wording.Clean(args, 60)))
			return nil
		}
		if s := names.Find(f.Named, c.Area); len(s) == 1 {
			r.Species = s[0].ID
		}
		if r.Source == "" {
			r.Source = w.T("rule_own_word", "who", a.name())
		}
		c.Rules = slices.DeleteFunc(slices.Clone(c.Rules), func(x catch.Rule) bool { return x.Species == r.Species })
		if len(c.Rules) >= mostRules {
			a.reply(tx, w.T("rules_full", "n", mostRules))
			return nil
		}
		c.Rules = append(c.Rules, r)
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		a.reply(tx, w.T("rule_noted", "rule", wording.HTML(w.Rule(r))))
		return nil
	})
}
