package wording

import (
	"time"

	"ledgehand/conditions"
	"ledgehand/session/notice"
)

func init() { areas["lookout"] = lookoutSamples }

func lookoutSamples(w Words, c cast) []sample {
	plan := plan(c)
	calm := morning(c)
	calm.Reasons = nil
	was := notice.Mark{Verdict: "not expected on this forecast", Hs: new(1.2), Wind: new(4.0), Gust: new(7.0), Gate: true, Floods: at(8, 40), At: at(-5, 0)}
	now := was
	now.Verdict, now.Hs, now.At = "likely washed", new(1.9), at(4, 50)
	all := now
	all.Wind, all.Gust, all.Floods = new(9.0), new(14.0), at(8, 10)
	wind := was
	wind.Gust = new(12.0)
	dry, wet := was, was
	dry.Floods = time.Time{}
	alone := plan
	alone.PlanB = ""
	gone := notice.Mark{Verdict: "cannot tell", At: at(4, 50), Missing: []notice.Blind{notice.NoSea}}
	unknown := doubts(blind(c), conditions.WhySeaUnknown)
	unknown.SeaWhy = "down"
	list := warned(morning(c)).Warnings.List
	some := party(c)
	some.People[1].OffAt = at(8, 50)
	return []sample{
		{"worse", w.TripNews(plan, &was, now, nil, calm)},
		{"worse in every way", w.TripNews(plan, &was, all, nil, calm)},
		{"gusts alone", w.TripNews(plan, &was, wind, nil, calm)},
		{"walk-in stays dry", w.TripNews(plan, &wet, dry, nil, calm)},
		{"walk-in floods now", w.TripNews(plan, &dry, wet, nil, calm)},
		{"worse, no plan B, a warning", w.TripNews(alone, &was, now, list, warned(morning(c)))},
		{"a warning alone", w.TripNews(plan, &was, was, list, warned(morning(c)))},
		{"not known any more", w.TripNews(plan, &was, gone, nil, unknown)},
		{"not known still", w.TripNews(plan, &gone, gone, nil, unknown)},
		{"known again", w.TripNews(plan, &gone, was, nil, calm)},
		{"as planned again", w.TripNews(plan, &was, was, nil, calm)},
		{"never looked before", w.TripNews(plan, nil, now, nil, calm)},
		{"warning to those out", w.OutingWarning(party(c), list, false)},
		{"warning, one still out", w.OutingWarning(some, list[:1], false)},
		{"warning to those ashore", w.OutingWarning(outBy9(c), list, true)},
	}
}
