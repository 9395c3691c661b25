package bot

import (
	"errors"
	"slices"
	"strings"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/catch"
	"ledgehand/session/catch/names"
	"ledgehand/session/catch/rules"
)

// What is asked about a catch line, one thing at a time, and what is done with the answer.

// mostChoices is how many fish are offered by button; of more the name must be written.
const mostChoices = 6

// catchDoubt answers a line that was not noted.
func (a *ask) catchDoubt(tx *session.Tx, c session.Crew, w wording.Words, line string, err error) error {
	var doubt *command.Doubt
	if !errors.As(err, &doubt) {
		a.reply(tx, w.T("catch_unread", "said", wording.Clean(line, 60)))
		return nil
	}
	said := shownName(w, doubt.Said)
	if doubt.Question == command.AskSpecies {
		return a.askSpecies(tx, c, w, line, said, doubt)
	}
	if doubt.Question == command.AskFix {
		_, e, found, err := a.lastEntry(tx, c)
		if err != nil {
			return err
		}
		if !found {
			return a.problem(tx, w, wording.ErrNothingToUndo)
		}
		a.reply(tx, w.T("catch_ask_fix", "said", wording.HTML(w.Caught(e, fishName(e)))))
		return nil
	}
	id, ok := map[command.Word]string{
		command.AskTally: "catch_ask_tally", command.AskCount: "catch_ask_count", command.AskLengths: "catch_ask_lengths", command.AskFate: "catch_ask_fate",
		command.AskLetGo: "catch_ask_gone", command.AskWhatFish: "catch_ask_fish", command.AskLength: "catch_ask_length", command.AskWho: "catch_ask_who",
		command.AskCatchTime: "catch_ask_time",
	}[doubt.Question]
	if !ok {
		id = "catch_unsure"
	}
	a.reply(tx, w.T(id, "said", said))
	return nil
}

// shownName is words somebody typed as they may be shown again.
func shownName(w wording.Words, said string) string {
	for _, word := range append(strings.Fields(said), said) {
		if names.InputOnly(word) {
			return w.T("that_name")
		}
	}
	return wording.Clean(said, 60)
}

// askSpecies asks once which fish a name means; the answer is kept for the crew, and the line goes on.
func (a *ask) askSpecies(tx *session.Tx, c session.Crew, w wording.Words, line, said string, doubt *command.Doubt) error {
	var row []chat.Button
	var rows [][]chat.Button
	var choices []string
	for _, id := range doubt.Species {
		s, ok := names.ByID(id)
		if !ok {
			continue
		}
		choices = append(choices, s.Canonical)
		row = append(row, button(s.Canonical, actFish, ref(tx.Crew, ""), id))
		if len(row) == 2 {
			rows, row = append(rows, row), nil
		}
	}
	rows = append(rows, row)
	if len(choices) == 0 || len(choices) > mostChoices {
		a.reply(tx, w.T("catch_which_many", "said", said))
		return nil
	}
	c.Ask(session.Pending{Who: a.r.From.ID, Chat: a.r.Place.ID, What: "fish", At: tx.Now(), Args: map[string]string{"line": line, "name": names.Fold(doubt.Said), "of": strings.Join(doubt.Species, " ")}})
	if err := tx.PutCrew(c); err != nil {
		return err
	}
	a.reply(tx, w.T("catch_which", "said", said, "choices", w.Names(choices)), rows...)
	return nil
}

// fishChosen is a tap on one of the fish that a name may mean.
func (a *ask) fishChosen(id string) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		q, ok := c.Question(a.r.From.ID, a.r.Place.ID, tx.Now())
		if !ok || q.What != "fish" || !slices.Contains(strings.Fields(q.Args["of"]), id) {
			return a.problem(tx, w, wording.ErrOldPanel)
		}
		c.Answered(a.r.From.ID, a.r.Place.ID)
		c, full := settleName(c, q.Args["name"], id)
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		a.toast = w.T("toast_noted")
		if full {
			a.reply(tx, w.T("fish_full", "n", mostFishNames))
			return nil
		}
		return a.readCatch(tx, c, w, q.Args["line"])
	})
}

// fishNamed takes a line as the answer to which fish was meant; done is false where it names none of those asked about.
func (a *ask) fishNamed(q session.Pending) (done bool, err error) {
	var c session.Crew
	if c, err = a.crewRecord(a.crew); err != nil {
		return false, err
	}
	of := strings.Fields(q.Args["of"])
	for _, id := range of {
		s, ok := names.ByID(id)
		found := names.Find(a.r.Text, c.Area)
		if ok && (names.Fold(s.Canonical) == names.Fold(a.r.Text) || len(found) == 1 && found[0].ID == id) {
			return true, a.fishChosen(id)
		}
	}
	return false, nil
}

// settleName keeps what a name means in a crew.
func settleName(c session.Crew, name, id string) (_ session.Crew, full bool) {
	settled := map[string]string{}
	for k, v := range c.FishNames {
		settled[k] = v
	}
	if _, known := settled[name]; !known && len(settled) >= mostFishNames {
		return c, true
	}
	settled[name] = id
	c.FishNames = settled
	return c, false
}

// effortTold takes a line as the answer to how long with how many rods a blank was.
func (a *ask) effortTold(q session.Pending) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		line, err := command.Catch("blank, "+a.r.Text, a.terms(c))
		if err != nil || line.Effort.Hours == 0 || len(line.Entries) > 0 {
			a.reply(tx, w.T("catch_ask_effort"))
			return nil
		}
		day, err := tx.LoadDay(q.Args["date"])
		if err != nil {
			return err
		}
		i := slices.IndexFunc(day.Entries, func(e catch.Entry) bool { return e.ID == q.Args["id"] && e.Undone.IsZero() && e.By == a.r.From.ID })
		c.Answered(a.r.From.ID, a.r.Place.ID)
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		if i < 0 {
			return a.problem(tx, w, wording.ErrNothingToUndo)
		}
		e := day.Entries[i]
		e.Rods, e.RodMin = line.Effort.Rods, int(float64(line.Effort.Rods)*line.Effort.Hours*60+0.5)
		if err := tx.PutDay(day.Change(e)); err != nil {
			return err
		}
		a.reply(tx, w.Catch(e, "", rules.Answer{}, "", tx.Now()), a.entryButtons(tx, w, day.Date, e))
		return nil
	})
}
