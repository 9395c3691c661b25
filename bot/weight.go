package bot

import (
	"errors"

	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/catch"
	"ledgehand/session/catch/names"
	"ledgehand/session/catch/weight"
)

// scales is the table of lengths and weights in use.
func (d *Desk) scales() *weight.Table {
	if d.Weights != nil {
		return d.Weights
	}
	return weight.Bundled()
}

// weighs is what the echo says of a fish's weight: only of one fish, measured, of which it was said from where to where,
// and not weighed.
func (a *ask) weighs(w wording.Words, e catch.Entry) string {
	s, ok := names.ByID(e.Species)
	if !ok || e.Count != 1 || len(e.LengthsUM) != 1 || e.Measure == "" || e.Estimated || len(e.WeightsG) > 0 {
		return ""
	}
	got, err := a.scales().Of(s.Scientific, weight.Measure(e.Measure), float64(e.LengthsUM[0])/10_000)
	if err != nil {
		return ""
	}
	return w.T("weighs", "weight", w.Weight(got.Grams), "quality", string(got.Quality))
}

// weight is /weight bream 31: what such a fish weighs as a rule.
func (a *ask) weight(args string) error {
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		line, err := command.Catch(args, a.terms(c))
		var doubt *command.Doubt
		if errors.As(err, &doubt) && doubt.Question == command.AskTally { // here a number is a length
			line, err = command.Catch("1 "+args, a.terms(c))
		}
		if errors.As(err, &doubt) && len(line.Entries) == 1 && len(line.Entries[0].Species) == 1 && len(line.Entries[0].Lengths) == 1 {
			err = nil
		}
		if errors.As(err, &doubt) && doubt.Question == command.AskSpecies {
			a.reply(tx, w.T("catch_which_many", "said", shownName(w, doubt.Said)))
			return nil
		}
		if err != nil || len(line.Entries) != 1 || len(line.Entries[0].Species) != 1 || len(line.Entries[0].Lengths) != 1 {
			a.reply(tx, w.T("weight_how"))
			return nil
		}
		e := line.Entries[0]
		s, _ := names.ByID(e.Species[0])
		m, of := weight.Measure(e.Measure), "weight_of"
		if m == "" {
			m, of = weight.TL, "weight_of_assumed"
		}
		got, err := a.scales().Of(s.Scientific, m, e.Lengths[0].MM()/10)
		var no *weight.Refused
		if errors.As(err, &no) {
			id := map[weight.Why]string{weight.WhyUnknown: "weight_no_numbers", weight.WhyListed: "weight_no_agreement", weight.WhyConversion: "weight_no_conversion", weight.WhyLength: "weight_no_length"}[no.Why]
			if id == "" {
				id = "weight_how"
			}
			a.reply(tx, w.T(id, "fish", s.Canonical))
			return nil
		}
		if err != nil {
			return err
		}
		a.reply(tx, w.T(of, "fish", s.Canonical, "len", w.Length(e.Lengths[0].UM), "measure", string(m), "weight", w.Weight(got.Grams), "quality", string(got.Quality))+"\n"+w.T("weight_quality"))
		return nil
	})
}
