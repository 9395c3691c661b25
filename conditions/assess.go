// Package conditions answers the question before every trip: will this ledge, in these hours,
// be washed, how sure is that, and until when. It puts tide, sea, light, wind and warnings
// together with what is known of the ledge; the physics are in its sub-packages, the feeds in
// feed. It is pure: everything comes in with the Question, its Now included.
//
// It does not model gullies, refraction around headlands, currents or surge, and it never
// says that a ledge is safe: no data, old data or an unknown state of warnings is "cannot tell".
package conditions

import (
	"errors"
	"fmt"
	"math"
	"time"

	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/sky"
	"ledgehand/conditions/tide"
	"ledgehand/conditions/wave"
)

// Limits of what a forecast is good for (engineering judgement, see the package wave for the spread it grows by).
const (
	SeaRefused  = 12 * time.Hour // a sea forecast fetched longer ago says nothing
	FarthestDay = 4 * 24 * time.Hour
	MostHours   = 48
	// CalibratedAt is how many watches and reports make a ledge's own number worth more than the formula.
	CalibratedAt = 5
)

// ErrWindow means the hours asked for make no window.
var ErrWindow = errors.New("hours asked for")

// dimFor is how much of an hour may lie beyond civil twilight before the hour counts as dark: light does not end to the minute.
const dimFor = 5 * time.Minute

// assumedFoot stands in where nobody said how deep the water is; the verdict then is "cannot tell".
const assumedFoot = 10.0

// Assess answers a question. The error is only for questions that make no sense; whatever is
// missing ends in the verdict "cannot tell" with its reason.
func Assess(q Question) (Report, error) {
	if !q.To.After(q.From) || q.To.Sub(q.From) > MostHours*time.Hour {
		return Report{}, fmt.Errorf("%w from %s to %s: need up to %d hours", ErrWindow, q.From.UTC().Format(time.RFC3339), q.To.UTC().Format(time.RFC3339), MostHours)
	}
	if q.Zone == nil {
		q.Zone = time.UTC
	}
	r := Report{
		Ledge: q.Card.Name, From: q.From, To: q.To, Now: q.Now, Zone: q.Zone, Worst: -1,
		Warnings: q.Warnings, SeaWhy: q.SeaWhy, WeatherWhy: q.WeatherWhy, WatchMinutes: 20,
		Watches: len(q.Learned), Calibrated: len(q.Learned) >= CalibratedAt,
	}
	if q.Sea != nil {
		r.SeaSource = &q.Sea.Source
	}
	if q.Weather != nil {
		r.WeatherSource = &q.Weather.Source
	}
	a := assessment{q: q, r: &r}
	a.warnings()
	a.tide()
	a.light()
	a.hours()
	a.wash()
	a.limits()
	a.turnBack()
	r.Verdict = r.ByNumbers
	for _, x := range r.Reasons {
		if x.Doubt {
			r.Verdict = ledge.First(r.ByNumbers, ledge.CannotTell)
		}
	}
	return r, nil
}

type assessment struct {
	q    Question
	r    *Report
	sea  []*SeaHour // one an hour of the report, nil where not known
	pred *tide.Predictor
}

func (a *assessment) doubt(word string) {
	for _, x := range a.r.Reasons {
		if x.Word == word {
			return
		}
	}
	a.r.Reasons = append(a.r.Reasons, Reason{Word: word, Doubt: true})
}

// warnings outrank every computation; an unknown state is no "none".
func (a *assessment) warnings() {
	switch a.q.Warnings.State {
	case WarningsNone:
	case WarningsInForce:
		for _, w := range a.q.Warnings.List {
			over := (w.Ends.IsZero() || w.Ends.After(a.q.From)) && (w.Onset.IsZero() || w.Onset.Before(a.q.To))
			if over && (w.Covers == nil || *w.Covers) && w.Concern != Note {
				a.doubt(WhyWarning)
			}
		}
	default:
		a.doubt(WhyWarningsUnknown)
	}
}

func (a *assessment) tide() {
	if a.q.Card.TideStation == "" {
		a.doubt(WhyTide)
		return
	}
	p, err := tide.Open(a.q.Card.TideStation)
	if err != nil {
		a.doubt(WhyTide)
		return
	}
	a.pred = p
	s := p.Station()
	a.r.Station, a.r.Datum, a.r.TideAtStart = s.Name, p.Datum(), p.Height(a.q.From)
	if at := a.place(); at != nil {
		a.r.StationKm = measure.DistanceKm(*at, s.Position)
	}
	a.r.Extremes = p.Extremes(a.q.From.Add(-7*time.Hour), a.q.To.Add(14*time.Hour))
	if g := a.q.Card.WalkInGate; g != nil {
		a.r.HasGate = true
		a.r.WalkInDry = p.Below(*g, a.q.From, a.q.To)
	}
}

// place is where the ledge is, as exactly as we know.
func (a *assessment) place() *measure.Position {
	if a.q.Card.Exact != nil {
		return a.q.Card.Exact
	}
	return a.q.Card.SeaAnchor
}

func (a *assessment) light() {
	at := a.place()
	if at == nil {
		return
	}
	d, err := sky.DayAt(*at, sky.DateIn(a.q.From, a.q.Zone), a.q.Zone)
	if err != nil {
		return
	}
	if d.CivilDawn.OK {
		a.r.FirstLight = d.CivilDawn.At
	}
	if d.CivilDusk.OK {
		a.r.LastLight = d.CivilDusk.At
	}
}

// hours lays out the window hour by hour with what the feeds say.
func (a *assessment) hours() {
	if a.q.Sea == nil {
		a.doubt(WhySeaUnknown)
	} else if a.q.Now.Sub(a.q.Sea.Source.FetchedAt) > SeaRefused {
		a.doubt(WhySeaOld)
	}
	if a.q.To.Sub(a.q.Now) > FarthestDay {
		a.doubt(WhyTooFar)
	}
	at := a.place()
	for t := a.q.From; t.Before(a.q.To); t = t.Add(time.Hour) {
		end := t.Add(time.Hour)
		if end.After(a.q.To) {
			end = a.q.To
		}
		h := Hour{At: t, Tide: measure.Metres(math.NaN()), Freeboard: measure.Metres(math.NaN())}
		if a.pred != nil {
			h.Tide = highest(a.pred, t, end)
			if lip := a.q.Card.LipHeight; lip != nil {
				h.Freeboard = *lip - h.Tide
			}
			if g := a.q.Card.WalkInGate; g != nil && h.Tide > *g {
				h.WalkInWet = true
			}
		}
		if at != nil {
			for _, x := range []time.Time{t.Add(dimFor), end.Add(-dimFor)} {
				if l, err := sky.LightAt(*at, x); err == nil && (l == sky.NauticalTwilight || l == sky.Dark) {
					h.Dark = true
				}
			}
		}
		var sea *SeaHour
		if a.q.Sea != nil && !a.hasDoubt(WhySeaOld) {
			sea = worseOf(a.q.Sea.Hours, t, end)
		}
		if sea != nil {
			h.Known = true
			h.Hs = sea.Hs
			h.SwellFrom = sea.From
			if sea.Period != nil {
				if tp, err := wave.Convert(*sea.Period, sea.PeriodKind, wave.Peak, wave.WindSeaPeak); err == nil {
					h.Period = &tp
				}
			}
			// The period that matters is that of the swell which carries most energy, not of the mix.
			if p := strongest(sea.Partitions); p != nil {
				if tp, err := wave.Convert(p.Period, p.PeriodKind, wave.Peak, wave.WindSeaPeak); err == nil {
					h.Period = &tp
				}
				from := p.From
				h.SwellFrom = &from
			}
		} else {
			a.doubt(WhySeaUnknown)
		}
		if a.q.Weather != nil {
			if w := windiest(a.q.Weather.Hours, t, end); w != nil {
				h.Wind, h.Gust, h.WindFrom = w.Wind, w.Gust, w.WindFrom
				if f := a.q.Card.Faces; f != nil && w.Wind != nil && w.WindFrom != nil {
					on := float64(wave.WindOn(*f, *w.WindFrom, *w.Wind).Onshore)
					h.OnshoreMS = &on
				}
			}
		}
		a.sea = append(a.sea, sea)
		a.r.Hours = append(a.r.Hours, h)
	}
}

func (a *assessment) hasDoubt(word string) bool {
	for _, x := range a.r.Reasons {
		if x.Word == word {
			return true
		}
	}
	return false
}

// highest is the highest predicted tide between two instants, to ten minutes: the hour is judged at its wettest.
func highest(p *tide.Predictor, from, to time.Time) measure.Metres {
	top := p.Height(to)
	for t := from; t.Before(to); t = t.Add(10 * time.Minute) {
		top = max(top, p.Height(t))
	}
	return top
}

// worseOf is the bigger sea at the two ends of an hour; an end that is not known leaves the hour unknown, for a hole
// in a forecast is no calm.
func worseOf(hours []SeaHour, from, to time.Time) *SeaHour {
	a, b := seaAt(hours, from), seaAt(hours, to)
	if a == nil || b == nil {
		return nil
	}
	if *b.Hs > *a.Hs {
		return b
	}
	return a
}

// seaAt is the forecast hour that an instant lies in, if its height is known.
func seaAt(hours []SeaHour, t time.Time) *SeaHour {
	for i := range hours {
		if d := t.Sub(hours[i].At); d >= -30*time.Minute && d < 30*time.Minute {
			if hours[i].Hs == nil {
				return nil
			}
			return &hours[i]
		}
	}
	return nil
}

func strongest(ps []Partition) *Partition {
	var best *Partition
	energy := 0.0
	for i := range ps {
		if e := float64(ps[i].Hs*ps[i].Hs) * float64(ps[i].Period); ps[i].Period > 0 && e > energy {
			best, energy = &ps[i], e
		}
	}
	return best
}

func windiest(hours []WeatherHour, from, to time.Time) *WeatherHour {
	var best *WeatherHour
	for i := range hours {
		h := &hours[i]
		if h.At.Before(from.Add(-30*time.Minute)) || h.At.After(to.Add(30*time.Minute)) || h.Wind == nil {
			continue
		}
		if best == nil || *h.Wind > *best.Wind {
			best = h
		}
	}
	return best
}

// wash runs the chain over the hours whose sea is known.
func (a *assessment) wash() {
	r := a.r
	r.ByNumbers = ledge.CannotTell
	card := a.q.Card
	if card.LipHeight == nil || card.LipMeasured == "" || card.LipMeasured == ledge.Unmeasured {
		if !r.Calibrated {
			a.doubt(WhyLip)
		}
	}
	if card.FootDepth == nil || card.FaceSlope == nil {
		a.doubt(WhyFoot)
	}
	if card.LipHeight == nil || card.Faces == nil || a.pred == nil {
		return
	}
	face := ledge.Face{
		Height: *card.LipHeight, Faces: *card.Faces, FootDepth: assumedFoot, Roughness: card.Roughness,
		Open: [2]measure.From{measure.From(measure.Wrap360(float64(*card.Faces) - 90)), measure.From(measure.Wrap360(float64(*card.Faces) + 90))},
	}
	if face.Roughness == 0 {
		face.Roughness = 1
	}
	if card.FootDepth != nil {
		face.FootDepth = *card.FootDepth
	}
	if card.FaceSlope != nil {
		face.Cot = *card.FaceSlope
	}
	if card.OpenSector != nil {
		face.Open = *card.OpenSector
	}
	wl := card.LipMeasured.Spread()
	in := ledge.WashInput{Ledge: face, StepMinutes: 60, SigmaWL: &wl, LongSwellWraps: !r.Calibrated}
	var at []int
	for i := range r.Hours {
		ps := partitions(a.sea[i])
		if len(ps) == 0 {
			if r.Hours[i].Known {
				r.Hours[i].Known = false // a height without any period or direction cannot be judged
				a.doubt(WhySeaUnknown)
			}
			continue
		}
		at = append(at, i)
		in.StepPartitions = append(in.StepPartitions, ps)
		in.WaterLevel = append(in.WaterLevel, r.Hours[i].Tide)
		in.StepSigmaHs = append(in.StepSigmaHs, wave.ForecastSpread(max(0, r.Hours[i].At.Sub(a.q.Now)), !r.Calibrated))
	}
	if len(at) == 0 {
		return
	}
	a.learned(&in)
	res, err := ledge.Wash(in)
	if err != nil {
		a.doubt(WhySeaUnknown)
		return
	}
	for k, i := range at {
		s, h := res.Steps[k], &r.Hours[i]
		h.HsLocal, h.HsReach, h.Tz = s.HsLocal, s.HsLocal*measure.Metres(s.GammaBeta), s.Tz
		h.WashesMedian, h.WashesBad, h.P, h.ExcessBad, h.Violent = s.PerHourMedian, s.PerHourBad, s.Chance, s.ExcessBad, s.Violent
		h.Judged = true
		if h.Hs != nil {
			p90 := measure.Metres(float64(*h.Hs) * wave.Margin(in.StepSigmaHs[k], wave.OneInTen))
			h.HsP90 = &p90
		}
	}
	r.Worst = at[res.Worst]
	r.PStay, r.ExcessMedian, r.ExcessBad, r.PerTideRise = res.Chance, res.ExcessMedian, res.ExcessBad, res.TideMultiplier
	r.ByNumbers = res.Verdict
	if res.AnyViolent {
		a.doubt(WhyViolent)
	}
}

// learned puts what watches taught in the place of the formula's run-up coefficient.
func (a *assessment) learned(in *ledge.WashInput) {
	if len(a.q.Learned) == 0 {
		return
	}
	kappa := ledge.VerticalKappa
	if w := a.r.Hours[0]; w.Hs != nil && w.Period != nil {
		if te, err := wave.Convert(*w.Period, wave.Peak, wave.Energy, wave.WindSeaPeak); err == nil {
			if k, err := wave.Kappa(in.Ledge.Cot, in.Ledge.Roughness, *w.Hs, te, measure.Gravity); err == nil {
				kappa = k
			}
		}
	}
	seen := a.q.Learned
	if f := a.r.Hours[0].SwellFrom; f != nil {
		seen = ledge.ForSwell(seen, *f)
	}
	post, err := ledge.Learn(ledge.Prior{Kappa: kappa, Sigma: ledge.DefaultSigmaKappa}, seen, a.q.Now)
	if err != nil || post.Contradicted {
		return // what was seen does not fit together: the formula with its full spread is the more honest answer
	}
	in.Kappa, in.SigmaKappa = &post.Median, &post.Spread
}

// partitions are the wave systems of an hour with peak periods; the total where a feed gives no parts.
func partitions(s *SeaHour) []ledge.Partition {
	if s == nil {
		return nil
	}
	var out []ledge.Partition
	add := func(kind string, hs measure.Metres, t measure.Seconds, k PeriodKind, from measure.From) {
		if hs <= 0 || t <= 0 {
			return
		}
		tp, err := wave.Convert(t, k, wave.Peak, wave.WindSeaPeak)
		if err != nil {
			return
		}
		out = append(out, ledge.Partition{Kind: kind, Hs: hs, Tp: tp, From: from})
	}
	var m0 float64
	for _, p := range s.Partitions {
		add(p.Kind, p.Hs, p.Period, p.PeriodKind, p.From)
		m0 += float64(p.Hs * p.Hs)
	}
	// Parts that do not add up to the total leave waves out: then the total is the better number.
	if s.Hs != nil && s.Period != nil && s.From != nil && (len(out) == 0 || math.Sqrt(m0) < 0.8*float64(*s.Hs)) {
		out = nil
		add("total", *s.Hs, *s.Period, s.PeriodKind, *s.From)
	}
	return out
}
