package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"

	"ledgehand/bot"
	"ledgehand/bot/command"
	"ledgehand/session/catch/names"
)

// catchAnswer is the reading of one catch line.
type catchAnswer struct {
	Status  string       `json:"status"` // ok, ask, refuse
	Entries []catchEntry `json:"entries"`
	Ask     string       `json:"ask,omitempty"` // one question: with ask before recording, with ok after it
	Blank   bool         `json:"blank,omitempty"`
	Effort  *catchEffort `json:"effort,omitempty"`
	Flags   []string     `json:"flags,omitempty"`
	Why     string       `json:"why,omitempty"`     // of a refusal
	Example string       `json:"example,omitempty"` // of a refusal: a line that is read
}

type catchEntry struct {
	Species   *string   `json:"species_id"`
	Count     *int      `json:"count"`
	Lengths   []float64 `json:"lengths_mm"`
	Measure   *string   `json:"measure"`
	Estimated bool      `json:"estimated"`
	Weights   []int     `json:"weights_g"`
	Kept      *int      `json:"kept"`
	Released  *int      `json:"released"`
	Who       string    `json:"who,omitempty"`
	Typed     string    `json:"typed,omitempty"` // as written, where the species is not sure
	Note      string    `json:"note,omitempty"`
}

type catchEffort struct {
	Rods  int     `json:"rods,omitempty"`
	Hours float64 `json:"hours,omitempty"`
}

// calcCatch reads a line as /catch does; whoever a line names is taken for one of the crew.
func calcCatch(raw json.RawMessage) (any, error) {
	var q struct {
		Line  string `json:"line"`
		Units string `json:"units"`
		Area  string `json:"area"`
	}
	if err := errors.Join(need(raw, "line"), read(raw, &q)); err != nil {
		return nil, err
	}
	switch q.Units {
	case "":
		q.Units = string(command.Metric)
	case string(command.Metric), string(command.Imperial):
	default:
		return nil, fmt.Errorf("units %q: want metric or imperial", q.Units)
	}
	line, err := command.Catch(q.Line, bot.CatchTerms(q.Units, q.Area, nil))
	a := catchAnswer{Status: "ok", Entries: []catchEntry{}, Blank: line.Blank, Flags: line.Flags}
	var doubt *command.Doubt
	var unread *command.Unread
	switch {
	case errors.As(err, &unread):
		a.Status, a.Why, a.Example, a.Blank, a.Flags = "refuse", string(unread.Why), unread.Example, false, nil
		if unread.Said != "" {
			a.Why += ": " + unread.Said
		}
		return a, nil
	case errors.As(err, &doubt):
		a.Status, a.Ask = "ask", catchQuestion(doubt.Question, doubt.Species)
	case err != nil:
		return nil, err
	case line.Ask != "":
		var species []string
		for _, e := range line.Entries {
			if e.Wide {
				species = e.Species
			}
		}
		a.Ask = catchQuestion(line.Ask, species)
	}
	for _, e := range line.Entries {
		a.Entries = append(a.Entries, shownEntry(e))
		if e.NotFish != "" {
			a.flag("not_finfish")
		}
		if e.Wide {
			a.flag("species_unsure")
		}
	}
	if line.Effort != (command.Effort{}) {
		a.Effort = &catchEffort{line.Effort.Rods, round(line.Effort.Hours, 2)}
	}
	if line.LostN > 0 {
		a.flag(fmt.Sprintf("lost_fish:%d", line.LostN))
	} else if line.Lost {
		a.flag("lost_fish")
	}
	if line.Fix != nil {
		a.flag("edit_last")
	}
	if line.Delete {
		a.flag("delete_last")
	}
	return a, nil
}

func (a *catchAnswer) flag(s string) {
	for _, f := range a.Flags {
		if f == s {
			return
		}
	}
	a.Flags = append(a.Flags, s)
}

func shownEntry(e command.Entry) catchEntry {
	out := catchEntry{Lengths: []float64{}, Weights: []int{}, Estimated: e.Estimated, Kept: e.Kept, Released: e.Released, Who: e.Who, Note: e.Note}
	for _, n := range []**int{&out.Kept, &out.Released} { // "of as many as there were" is for whoever holds the entry
		if *n != nil && **n < 0 {
			*n = nil
		}
	}
	if len(e.Species) == 1 && !e.Unsure {
		out.Species = &e.Species[0]
	} else {
		out.Typed = e.Named
	}
	if e.Count > 0 {
		out.Count = &e.Count
	}
	for _, l := range e.Lengths {
		out.Lengths = append(out.Lengths, math.Round(l.MM()*1000)/1000)
	}
	if e.Measure != "" {
		out.Measure = &e.Measure
	}
	out.Weights = append(out.Weights, e.WeightsG...)
	if e.Me {
		out.Who = "sender"
	}
	if e.Largest {
		out.Note = "largest only"
	}
	return out
}

// catchQuestion is a question in plain English; the bot's own are in its catalogue.
func catchQuestion(q command.Word, species []string) string {
	switch q {
	case command.AskSpecies:
		out := ""
		for i, id := range species {
			if s, ok := names.ByID(id); ok {
				if i > 0 {
					out += " or "
				}
				out += s.Canonical
			}
		}
		if out == "" {
			return "Which fish?"
		}
		return out + "?"
	case command.AskTally:
		return "Is that number a length or a count?"
	case command.AskCount:
		return "How many?"
	case command.AskLengths:
		return "Which length is of which fish?"
	case command.AskFate:
		return "How many were kept, how many let go?"
	case command.AskLetGo:
		return "About how many were let go?"
	case command.AskWhatFish:
		return "What was caught, and how many?"
	case command.AskLength:
		return "What did it measure?"
	case command.AskWho:
		return "Whose were they?"
	case command.AskEffort:
		return "How long did you fish, and how many rods?"
	case command.AskCatchTime:
		return "When exactly was each?"
	case command.AskFix:
		return "What is to be changed?"
	}
	return string(q)
}
