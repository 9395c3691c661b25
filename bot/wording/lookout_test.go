package wording

import (
	"ledgehand/conditions"
	"ledgehand/session/trip"
)

func init() { areas["lookout"] = lookoutSamples }

func lookoutSamples(w Words, c cast) []sample {
	was := trip.Sea{Hs: 1.2, Period: 11, Verdict: "not expected on this forecast", At: at(-5, 0)}
	worse := plan(c)
	worse.SeaNow = trip.Sea{Hs: 1.9, Period: 13, Verdict: "likely washed", At: at(4, 50)}
	alone := worse
	alone.PlanB = ""
	gone := worse
	gone.SeaNow = trip.Sea{Verdict: "cannot tell", At: at(4, 50)}
	calm := morning(c)
	calm.Reasons = nil
	unknown := doubts(blind(c), conditions.WhySeaUnknown)
	unknown.SeaWhy = "down"
	list := warned(morning(c)).Warnings.List
	some := party(c)
	some.People[1].OffAt = at(8, 50)
	return []sample{
		{"worse", w.TripNews(worse, was, nil, calm)},
		{"worse, no plan B, a warning", w.TripNews(alone, was, list, warned(morning(c)))},
		{"not known any more", w.TripNews(gone, was, nil, unknown)},
		{"never looked before", w.TripNews(worse, trip.Sea{}, nil, calm)},
		{"warning to those out", w.OutingWarning(party(c), list, false)},
		{"warning, one still out", w.OutingWarning(some, list[:1], false)},
		{"warning to those ashore", w.OutingWarning(outBy9(c), list, true)},
	}
}
