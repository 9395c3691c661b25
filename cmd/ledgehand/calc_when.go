package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"ledgehand/bot/command"
	"ledgehand/bot/wording"
)

// whenAnswer is what a line about time means, or the question to ask. On an ask start, end and back_by are what is certain.
type whenAnswer struct {
	Status     string   `json:"status"` // ok, ask, refuse
	Start      *string  `json:"start,omitempty"`
	End        *string  `json:"end,omitempty"`
	BackBy     *string  `json:"back_by,omitempty"`
	Ask        string   `json:"ask,omitempty"`
	Question   string   `json:"question,omitempty"` // the kind of question, in one word
	Candidates []string `json:"start_candidates,omitempty"`
	Why        string   `json:"why,omitempty"` // of a refusal, in one word
	Said       string   `json:"said,omitempty"`
	Example    string   `json:"example,omitempty"`
	Rest       string   `json:"rest,omitempty"` // words that are not about time, as a ledge's name
}

func calcWhen(raw json.RawMessage) (any, error) {
	if err := need(raw, "line", "ref", "tz"); err != nil {
		return nil, err
	}
	var q struct {
		Line  string `json:"line"`
		Ref   moment `json:"ref"`
		TZ    string `json:"tz"`
		Tides []struct {
			T    *moment `json:"t"`
			Type string  `json:"type"`
		} `json:"tides"`
		Sun map[string]struct {
			FirstLight *moment `json:"first_light"`
			Sunrise    *moment `json:"sunrise"`
			Sunset     *moment `json:"sunset"`
			LastLight  *moment `json:"last_light"`
		} `json:"sun"`
	}
	if err := read(raw, &q); err != nil {
		return nil, err
	}
	zone, err := zoneNamed(q.TZ)
	if err != nil {
		return nil, err
	}
	var place command.Local
	for i, t := range q.Tides {
		turn := command.Turn(t.Type)
		switch {
		case t.T == nil:
			return nil, fmt.Errorf("tide %d: %w", i+1, missing("t"))
		case turn != command.NextHigh && turn != command.NextLow:
			return nil, fmt.Errorf("tide %d: type %q: want high or low", i+1, t.Type)
		}
		place.Tides = append(place.Tides, command.TideTurn{At: t.T.Time, Turn: turn})
	}
	at := func(m *moment) time.Time {
		if m == nil {
			return time.Time{}
		}
		return m.Time
	}
	for day, s := range q.Sun {
		if _, err := time.Parse(time.DateOnly, day); err != nil {
			return nil, fmt.Errorf("sun of %q: want a date, such as 2026-03-14", day)
		}
		place.Light = append(place.Light, command.DayLight{FirstLight: at(s.FirstLight), Sunrise: at(s.Sunrise), Sunset: at(s.Sunset), LastLight: at(s.LastLight)})
	}
	win, err := place.When(q.Line, q.Ref.Time, zone, command.OrderIn(q.TZ))
	w := wording.For("en", wording.Metric, zone)
	out := whenAnswer{Status: "ok", Start: stamp(win.Start), End: stamp(win.End), BackBy: stamp(win.BackBy), Rest: strings.TrimSpace(win.Rest)}
	var ask *command.Ambiguous
	var no *command.Unread
	switch {
	case errors.As(err, &no):
		return whenAnswer{Status: "refuse", Why: string(no.Why), Said: no.Said, Example: "sat 5:30am til 9am"}, nil
	case errors.As(err, &ask):
		out.Status, out.Question = "ask", string(ask.Question)
		out.Ask = wording.Plain(w.WhenAsk(string(ask.Question), ask.Said, ask.Candidates, q.Ref.Time))
		for _, r := range ask.Readings {
			if s := stamp(r.Start); s != nil {
				out.Candidates = append(out.Candidates, *s)
			}
		}
	case err != nil:
		return nil, err
	case win.Confirm != "": // read with good reason, and said back
		times := []time.Time{win.BackBy}
		if win.BackBy.IsZero() || !win.Start.IsZero() {
			times[0] = win.Start
		}
		out.Question, out.Ask = string(win.Confirm), wording.Plain(w.WhenAsk(string(win.Confirm), q.Line, times, q.Ref.Time))
	}
	return out, nil
}

// stamp is an instant as calc writes it; nil for none.
func stamp(t time.Time) *string {
	if t.IsZero() {
		return nil
	}
	return new(t.UTC().Format(time.RFC3339))
}
