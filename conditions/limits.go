package conditions

import (
	"math"
	"slices"
	"time"
)

// Thresholds at which something is worth a sentence.
const (
	longPeriod  = 12.0 // s: sets are minutes apart, and a short watch falls into a lull
	onshoreMS   = 10.0 // m/s onto the ledge on a rising tide (engineering judgement)
	coldWaterC  = 15.0 // cold shock below about this (from memory)
	fogMetres   = 1000 // visibility at which the feed's own fog code starts
	badHour     = 0.2  // chance of a wash in one hour at which to have turned back, where the crew set none
	stormyCAPE  = 1000 // J/kg: showers on this much may thunder though the feed's code does not say so
	turnBackGap = time.Hour
)

// limits states what the crew set itself against what is forecast, and what else must be said.
func (a *assessment) limits() {
	r, lim := a.r, a.q.Card.Limits
	set, over, known := false, false, true
	check := func(word string, limit *float64, value func(h Hour) (float64, bool)) {
		if limit == nil {
			return
		}
		set = true
		worst := math.Inf(-1)
		for _, h := range r.Hours {
			v, ok := value(h)
			if !ok {
				known = false
				continue
			}
			worst = max(worst, v)
		}
		if worst > *limit {
			over = true
			r.Reasons = append(r.Reasons, Reason{Word: word, Value: worst, Limit: *limit})
		}
	}
	check(OverHs, number(lim.Hs), func(h Hour) (float64, bool) { return deref(h.Hs) })
	check(OverPeriod, number(lim.Period), func(h Hour) (float64, bool) { return deref(h.Period) })
	check(OverGust, number(lim.Gust), func(h Hour) (float64, bool) { return deref(h.Gust) })
	if lim.WashChance != nil {
		set = true
		if r.Worst >= 0 && r.PStay > *lim.WashChance {
			over = true
			r.Reasons = append(r.Reasons, Reason{Word: OverChance, Value: r.PStay, Limit: *lim.WashChance})
		}
		known = known && !a.hasDoubt(WhyViolent, WhyLip, WhyFoot, WhyTide, WhyTideFar)
	}
	if lim.Hs != nil { // a forecast just under the limit may well be over it: then "within" is too much to say
		known = known && !slices.ContainsFunc(r.Hours, func(h Hour) bool { return h.HsP90 == nil || *h.HsP90 > *lim.Hs })
	}
	// "Within" is only said when everything the limits speak of is known, in every hour.
	r.WithinLimits = set && !over && known && r.Worst >= 0 && !a.hasDoubt(WhySeaUnknown, WhySeaOld, WhyTooFar)
	a.notes()
}

func (a *assessment) notes() {
	r := a.r
	note := func(word string, on bool) {
		if on {
			r.Reasons = append(r.Reasons, Reason{Word: word})
		}
	}
	var dark, long, onshore, thunder, fog, cold bool
	for i, h := range r.Hours {
		dark = dark || h.Dark
		long = long || h.Period != nil && *h.Period >= longPeriod
		onshore = onshore || h.OnshoreMS != nil && *h.OnshoreMS >= onshoreMS && a.rises(i)
		if s := a.sea[i].sea; s != nil && s.WaterTempC != nil && *s.WaterTempC < coldWaterC {
			cold = true
		}
	}
	if a.q.Weather != nil {
		for _, w := range a.q.Weather.Hours {
			if w.At.Before(a.q.From.Add(-time.Hour)) || w.At.After(a.q.To.Add(time.Hour)) {
				continue
			}
			if c := w.Code; c != nil {
				thunder = thunder || *c >= 95
				fog = fog || *c == 45 || *c == 48
			}
			thunder = thunder || w.CAPE != nil && *w.CAPE >= stormyCAPE && w.RainMM != nil && *w.RainMM > 0
			fog = fog || w.VisibilityM != nil && *w.VisibilityM < fogMetres
		}
	}
	note(Dark, dark)
	note(OnshoreRising, onshore)
	note(Thunder, thunder)
	note(Fog, fog)
	note(ColdWater, cold)
	note(LongPeriod, long)
	if long {
		r.WatchMinutes = 30
	}
}

// rises says whether the tide makes at some time in an hour.
func (a *assessment) rises(i int) bool {
	if a.pred == nil {
		return false
	}
	for k := i * stepsPer; k < (i+1)*stepsPer; k++ {
		if a.level[k+1] > a.level[k] {
			return true
		}
	}
	return false
}

// turnBack is an hour before the first hour that passes a limit, so that packing up and the walk out fit in.
func (a *assessment) turnBack() {
	r, lim := a.r, a.q.Card.Limits
	bad := func(h Hour) bool {
		chance := badHour
		if lim.WashChance != nil {
			chance = *lim.WashChance
		}
		return !h.Judged || h.Violent || h.Dark || h.WalkInWet || h.P >= chance ||
			lim.Hs != nil && h.Hs != nil && *h.Hs > *lim.Hs ||
			lim.Period != nil && h.Period != nil && *h.Period > *lim.Period || lim.Gust != nil && h.Gust != nil && *h.Gust > *lim.Gust
	}
	first := slices.IndexFunc(r.Hours, func(h Hour) bool { return !bad(h) })
	if first < 0 {
		r.NoGoodHour = true
		return
	}
	if first > 0 {
		r.GoodFrom = r.Hours[first].At
	}
	for _, h := range r.Hours[first:] {
		if !bad(h) {
			continue
		}
		if r.TurnBack = h.At.Add(-turnBackGap); !r.TurnBack.After(r.Hours[first].At) {
			// A stay that would have to end as it begins is none.
			r.GoodFrom, r.TurnBack, r.NoGoodHour = time.Time{}, time.Time{}, true
		}
		return
	}
}

func number[T ~float64](p *T) *float64 {
	if p == nil {
		return nil
	}
	v := float64(*p)
	return &v
}

func deref[T ~float64](p *T) (float64, bool) {
	if p == nil {
		return 0, false
	}
	return float64(*p), true
}
