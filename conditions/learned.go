package conditions

import (
	"time"

	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/wave"
)

// learned is what watches taught about the run-up coefficient, to stand in the place of the formula's; nil if they
// taught nothing. It also says whether there are enough of them to go by.
func (a *assessment) learned() *ledge.Posterior {
	seen := a.q.Learned
	if len(seen) == 0 {
		return nil
	}
	prior := ledge.Prior{Kappa: ledge.VerticalKappa, Sigma: ledge.DefaultSigmaKappa}
	for _, h := range a.r.Hours {
		if !h.Known || h.Period == nil {
			continue
		}
		if k, ok := formula(a.q.Card, *h.Hs, *h.Period); ok {
			prior.Kappa = k
		}
		if h.SwellFrom != nil {
			seen = ledge.ForSwell(seen, *h.SwellFrom)
		}
		break
	}
	post, err := ledge.Learn(prior, seen, a.q.Now)
	if err != nil { // an observation that says nothing must not silence the others
		seen = sound(prior, seen, a.q.Now)
		post, err = ledge.Learn(prior, seen, a.q.Now)
	}
	if err != nil || len(seen) == 0 || post.Contradicted {
		return nil // what was seen does not fit together: the formula with its full spread is the more honest answer
	}
	a.r.Calibrated = len(seen) >= CalibratedAt
	return &post
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
