package bot

import (
	"math"
	"time"

	"ledgehand/bot/picture"
	"ledgehand/bot/wording"
	"ledgehand/conditions"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/tide"
	"ledgehand/conditions/wave"
)

// chartOf lays a conditions answer out for its picture.
func chartOf(w wording.Words, l *looked) picture.Chart {
	r := l.report
	c := picture.Chart{
		Title:   r.Ledge + ", " + w.Day(r.From),
		Verdict: w.Verdict(string(r.Verdict)),
		Zone:    r.Zone, Datum: w.Datum(r.Datum), Lip: math.NaN(),
		Window: picture.Span{From: r.From, To: r.To}, TurnBack: r.TurnBack,
		Units: picture.Metric, Labels: w.ChartLabels(r),
	}
	if w.Units == wording.Imperial {
		c.Units = picture.Imperial
	}
	if l.card.LipHeight != nil {
		c.Lip = float64(*l.card.LipHeight)
	}
	if g := l.card.WalkInGate; g != nil {
		v := float64(*g)
		c.Gate = &v
	}
	if h := l.card.Limits.Hs; h != nil {
		v := float64(*h)
		c.LimitHs = &v
	}
	for _, h := range r.Hours {
		x := chartHour(h)
		x.WindTo = windMeets(w, l.card.Faces, h)
		c.Hours = append(c.Hours, x)
	}
	if p, err := tide.Open(l.card.TideStation); err == nil {
		for t := r.From; !t.After(r.To); t = t.Add(10 * time.Minute) {
			c.TideCurve = append(c.TideCurve, picture.Point{At: t, Height: float64(p.Height(t))})
		}
		for _, e := range r.Extremes {
			if !e.At.Before(r.From) && !e.At.After(r.To) {
				c.Extremes = append(c.Extremes, picture.Extreme{At: e.At, Height: float64(e.Height), High: e.Kind == tide.High})
			}
		}
	}
	if !r.FirstLight.IsZero() && r.FirstLight.Sub(r.From) > 5*time.Minute {
		c.Dark = append(c.Dark, picture.Span{From: r.From, To: earlier(r.FirstLight, r.To)})
	}
	if !r.LastLight.IsZero() && r.To.Sub(r.LastLight) > 5*time.Minute {
		c.Dark = append(c.Dark, picture.Span{From: later(r.LastLight, r.From), To: r.To})
	}
	return c
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

// windMeets is a short word for how the wind of an hour meets a ledge; "" where either is not known.
func windMeets(w wording.Words, faces *measure.From, h conditions.Hour) string {
	if faces == nil || h.Wind == nil || h.WindFrom == nil {
		return ""
	}
	switch wave.WindOn(*faces, *h.WindFrom, *h.Wind).Class {
	case wave.Onshore, wave.CrossOnshore:
		return wording.Plain(w.T("pic_on"))
	case wave.Offshore, wave.CrossOffshore:
		return wording.Plain(w.T("pic_off"))
	}
	return wording.Plain(w.T("pic_side"))
}

func chartHour(h conditions.Hour) picture.Hour {
	out := picture.Hour{
		At: h.At, Known: h.Known && h.Hs != nil, HsP90: math.NaN(), PeriodS: math.NaN(), SwellFromDeg: math.NaN(), P: math.NaN(), Violent: h.Violent,
		GustMS: math.NaN(), WindFromDeg: math.NaN(),
	}
	if h.Hs != nil {
		out.Hs = float64(*h.Hs)
	}
	if h.HsP90 != nil {
		out.HsP90 = float64(*h.HsP90)
	}
	if h.Period != nil {
		out.PeriodS = float64(*h.Period)
	}
	if h.SwellFrom != nil {
		out.SwellFromDeg = float64(*h.SwellFrom)
	}
	if h.Judged {
		out.P = h.P
	}
	if h.Wind != nil {
		out.WindKnown, out.WindMS = true, float64(*h.Wind)
		if h.Gust != nil {
			out.GustMS = float64(*h.Gust)
		}
		if h.WindFrom != nil {
			out.WindFromDeg = float64(*h.WindFrom)
		}
	}
	return out
}
