package bot

import (
	"errors"
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
	"ledgehand/session/catch/rules"
)

// The job "catch": one line in, one line back, counted against the rules the crew holds.

// catch is /catch LINE, and /catch alone for the day so far.
func (a *ask) catch(args string) error {
	if strings.TrimSpace(args) == "" {
		return a.day()
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		line, err := command.Catch(args, command.Terms{
			Units:  command.Units(c.Units),
			Fish:   func(n string) []names.Species { return names.Find(n, c.Area) },
			Person: func(n string) bool { _, ok := c.Named(n); return ok },
		})
		if err != nil {
			a.reply(tx, catchProblem(w, err, args))
			return nil
		}
		who, whoID := a.name(), a.r.From.ID
		if line.Who != "" {
			m, ok := c.Named(line.Who)
			if !ok {
				a.reply(tx, w.T("catch_who", "who", line.Who))
				return nil
			}
			who, whoID = m.Name, m.ID
		}
		day, err := tx.LoadDay(a.date(tx, c))
		if err != nil {
			return err
		}
		if len(day.Entries) >= mostCatches {
			a.reply(tx, w.T("catches_full", "n", mostCatches))
			return nil
		}
		ledgeName, outingID, err := a.onWhichLedge(tx, whoID)
		if err != nil {
			return err
		}
		base := catch.Entry{At: a.r.At, By: a.r.From.ID, Who: who, WhoID: whoID, Ledge: ledgeName, Outing: outingID}
		var said []string
		var rows [][]chat.Button
		if line.Blank {
			e := base
			e.ID, e.Blank = recordID(a.cause.ID), true
			day = day.Add(e)
			said = append(said, w.Catch(e, "", rules.Answer{}, "", tx.Now()))
			rows = append(rows, []chat.Button{button(w.T("b_undo"), actUndo, ref(tx.Crew, day.Date), e.ID)})
		}
		for i, x := range line.Entries {
			e := base
			e.ID = recordID(a.cause.ID)
			if i > 0 {
				e.ID = fmt.Sprintf("%s-%d", e.ID, i)
			}
			e.Named, e.Count, e.Estimated, e.Kept, e.Released = x.Named, x.Count, x.Estimated, x.Kept, x.Released
			e.LengthsUM = x.LengthsUM()
			e.Species = strings.ToLower(x.Named)
			if len(x.Species) == 1 {
				e.Species = x.Species[0]
			}
			day = day.Add(e)
			name := fishName(e)
			j := a.judge(tx, c, day, e)
			said = append(said, w.Catch(e, name, j, "", tx.Now()))
			row := []chat.Button{button(w.T("b_undo"), actUndo, ref(tx.Crew, day.Date), e.ID)}
			if e.Kept == nil {
				row = append(row, button(w.T("b_kept"), actKept, ref(tx.Crew, day.Date), "1"+e.ID), button(w.T("b_let_go"), actKept, ref(tx.Crew, day.Date), "0"+e.ID))
			}
			rows = append(rows, row)
		}
		if err := tx.PutDay(day); err != nil {
			return err
		}
		if err := a.signOfLife(tx, "catch"); err != nil {
			return err
		}
		a.reply(tx, strings.Join(said, "\n"), rows...)
		return nil
	})
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

func catchProblem(w wording.Words, err error, line string) string {
	var doubt *command.Doubt
	if errors.As(err, &doubt) {
		if len(doubt.Species) > 0 {
			var choices []string
			for _, id := range doubt.Species {
				if s, ok := names.ByID(id); ok {
					choices = append(choices, s.Canonical)
				}
			}
			return w.T("catch_which", "said", doubt.Said, "choices", w.Names(choices))
		}
		return w.T("catch_unsure", "said", wording.Clean(doubt.Said, 60))
	}
	return w.T("catch_unread", "said", wording.Clean(line, 60))
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
		if date == "" {
			date = a.date(tx, c)
		}
		day, err := tx.LoadDay(date)
		if err != nil {
			return err
		}
		if id == "" {
			if last, ok := day.Last(a.r.From.ID); ok {
				id = last.ID
			}
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
		}
		a.reply(tx, w.T("undone", "who", e.Who, "n", e.Count, "fish", fish))
		return nil
	})
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
		a.reply(tx, w.Catch(*e, fishName(*e), a.judge(tx, c, day, *e), "", tx.Now()))
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
