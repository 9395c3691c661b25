package conditions

import (
	"math"
	"time"

	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/wave"
)

// learned is what watches taught about the run-up coefficient, to stand in the place of the formula's; nil if they
// taught nothing. It also says whether they are enough to go by.
//
// What the forecast lastingly gets wrong at this shore is learned along with the rock: kappa is asked for as the
// forecast sees it. So the prior is wider by that error. As long as the ledge is not calibrated the chain adds the
// same error to the forecast's; so much of it as the observations speak of is taken out of the spread, not to be counted
// twice. Those of another swell do not speak of it, and less of the rock.
func (a *assessment) learned() *ledge.Posterior {
	if len(a.q.Learned) == 0 {
		return nil
	}
	prior := before(ledge.VerticalKappa)
	var from *measure.From
	for _, h := range a.r.Hours {
		if !h.Known || h.Period == nil {
			continue
		}
		if k, ok := formula(a.q.Card, *h.Hs, *h.Period); ok {
			prior = before(k)
		}
		from = h.SwellFrom
		break
	}
	all := weighed(a.q.Learned)
	seen := forSwell(all, from)
	post, err := ledge.Learn(prior, seen, a.q.Now)
	if err != nil { // an observation that says nothing must not silence the others
		all = sound(prior, all, a.q.Now)
		seen = forSwell(all, from)
		post, err = ledge.Learn(prior, seen, a.q.Now)
	}
	if err != nil || len(seen) == 0 || post.Contradicted {
		return nil // what was seen does not fit together: the formula with its full spread is the more honest answer
	}
	speak := speakFor(seen, from)
	a.r.Calibrated = speak >= CalibratedAt && post.Spread <= ledge.WellKnown
	share := float64(speak) / float64(len(seen))
	v := sq(post.Spread) + (1-share)*sq(betweenSwells)
	if !a.r.Calibrated {
		v -= share * sq(nearShore)
	}
	post.Spread = math.Sqrt(max(0, v))
	return &post
}

// forSwell are the observations to learn from; all where nobody knows where the swell comes from.
func forSwell(seen []ledge.Observation, from *measure.From) []ledge.Observation {
	if from == nil {
		return seen
	}
	return ledge.ForSwell(seen, *from)
}

// speakFor is how many observations can speak for swell from a direction: those of its own sector, and those of which
// nobody knows the direction. Watches of another swell say how far waves run up the rock, but not what this one
// does on its way in.
func speakFor(seen []ledge.Observation, from *measure.From) int {
	if from == nil {
		return len(seen)
	}
	n := ledge.InSector(seen, *from)
	for _, o := range seen {
		if o.Spans[0].From == nil {
			n++
		}
	}
	return n
}

// betweenSwells is how far the kappa of one ledge may differ between a swell it was watched in and another, a standard
// deviation of its logarithm (engineering judgement: it differs as swells come in by different ways).
const betweenSwells = 0.2

// nearShore is the lasting part of the forecast's error at one ledge, of ln Hs (engineering judgement: added near shore
// unless the ledge is calibrated; what wave.ForecastSpread adds).
var nearShore = math.Sqrt(sq(wave.ForecastSpread(0, true)) - sq(wave.ForecastSpread(0, false)))

func sq(x float64) float64 { return x * x }

// before is what is believed of a ledge's run-up coefficient, as the forecast sees it, before any watch.
func before(kappa float64) ledge.Prior {
	return ledge.Prior{Kappa: kappa, Sigma: math.Hypot(ledge.DefaultSigmaKappa, nearShore)}
}

// weighed gives every observation that does not say so what the forecast it was held against may be off by: the spread
// of a forecast of the same day, and the error of tide and surge as a share of the freeboard.
func weighed(seen []ledge.Observation) []ledge.Observation {
	out := make([]ledge.Observation, len(seen))
	for i, o := range seen {
		if o.Sigma == 0 && len(o.Spans) > 0 {
			o.Sigma = wave.ForecastSpread(0, false)
			if rc := float64(o.Spans[0].Rc); rc > 0 {
				o.Sigma = math.Hypot(o.Sigma, math.Min(1, ledge.DefaultSigmaWL/rc))
			}
		}
		out[i] = o
	}
	return out
}

// Taught is what watches and reports of a ledge have taught up to now, for its card: as a share of what the formula says of
// its face, in the sea they were held in. Observations that say nothing are not counted.
func Taught(card ledge.Card, seen []ledge.Observation, now time.Time) ledge.Lesson {
	prior := before(ledge.VerticalKappa)
	if hs, tp, ok := usualSea(seen); ok {
		if k, ok := formula(card, hs, tp); ok {
			prior = before(k)
		}
	}
	l, err := ledge.Summarise(prior, sound(prior, weighed(seen), now), now)
	if err != nil { // cannot be: each was learned from alone
		return ledge.Lesson{}
	}
	return l
}

// usualSea is the mean sea of some observations, where their first spans make sense: the formula of gentle faces asks for it.
func usualSea(seen []ledge.Observation) (hs measure.Metres, tp measure.Seconds, ok bool) {
	n := 0
	for _, o := range seen {
		if len(o.Spans) == 0 {
			continue
		}
		s := o.Spans[0]
		p, err := wave.Convert(s.Tz, wave.Zero, wave.Peak, wave.WindSeaPeak)
		if err != nil || !(s.Hs > 0 && s.Hs < 50) || !(p > 0 && p < 60) { // no sea of this world
			continue
		}
		hs, tp, n = hs+s.Hs, tp+p, n+1
	}
	if n == 0 {
		return 0, 0, false
	}
	return hs / measure.Metres(n), tp / measure.Seconds(n), true
}

// formula is the run-up coefficient of the face without any watch.
func formula(card ledge.Card, hs measure.Metres, tp measure.Seconds) (float64, bool) {
	cot, rough := 0.0, card.Roughness
	if card.FaceSlope != nil {
		cot = *card.FaceSlope
	}
	if rough == 0 {
		rough = 1
	}
	te, err := wave.Convert(tp, wave.Peak, wave.Energy, wave.WindSeaPeak)
	if err != nil {
		return 0, false
	}
	k, err := wave.Kappa(cot, rough, hs, te, measure.Gravity)
	return k, err == nil
}

// sound are the observations that can be learned from.
func sound(prior ledge.Prior, seen []ledge.Observation, now time.Time) []ledge.Observation {
	var out []ledge.Observation
	for _, o := range seen {
		if _, err := ledge.Learn(prior, []ledge.Observation{o}, now); err == nil {
			out = append(out, o)
		}
	}
	return out
}
