package conditions

import (
	"fmt"
	"math"
	"time"

	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/tide"
)

// When to watch the water again while people are out. The ledge at five is not the ledge at nine: watch again at each stage
// of the tide (common practice, no source). Worked out beforehand from the predicted tide, without any feed.

// AgainAfter is how far apart two such times are at least: a watch takes 20 minutes, and whoever is asked more often stops
// listening (common practice, no source).
const AgainAfter = 90 * time.Minute

// Bounds of the rise that is worth another watch. Less than the least is within what the prediction is off by; more than
// the most is another ledge; the usual one stands where sea or lip are not known (engineering judgement).
const (
	leastRise measure.Metres = 0.2
	usualRise measure.Metres = 0.3
	mostRise  measure.Metres = 0.5
)

// RiseToWatch is by how much the water must rise until the ledge is worth watching again: what doubles the share of waves
// that wash it, by what formula and watches say of its run-up, held within leastRise and mostRise. hs is at the foot of
// the ledge; what is not known is 0.
func RiseToWatch(card ledge.Card, seen []ledge.Observation, hs measure.Metres, peak measure.Seconds, freeboard measure.Metres, now time.Time) measure.Metres {
	if !(hs > 0) || !(freeboard > 0) {
		return usualRise
	}
	kappa := ledge.VerticalKappa
	if peak > 0 {
		if k, ok := formula(card, hs, peak); ok {
			kappa = k
		}
	}
	if l := Taught(card, seen, now); l.Factor > 0 && !l.Contradicted {
		kappa *= l.Factor
	}
	return min(mostRise, max(leastRise, ledge.RiseThatDoubles(kappa, hs, freeboard)))
}

// Again is one time to watch again.
type Again struct {
	At   time.Time
	Turn tide.Kind      // the tide turns then; "" for water that has risen
	Rise measure.Metres // over what it was at the last watch; negative: the water is lower
}

// WatchAgain are the times from the last watch on at which the tide turns, or while it makes has risen by another step over the
// highest water that was watched or told of. Two lie AgainAfter apart at least: a turn nearer to the last one is left out, a
// rise waits and is left out if the water has fallen again meanwhile. It fails with tide.UnknownStationError; a station
// whose water cannot be told gives none.
func WatchAgain(station string, watched, until time.Time, step measure.Metres) ([]Again, error) {
	p, err := tide.Open(station)
	if err != nil {
		return nil, fmt.Errorf("when to watch again: %w", err)
	}
	const every = 5 * time.Minute
	first := p.Height(watched)
	if math.IsNaN(float64(first)) || !until.After(watched) {
		return nil, nil
	}
	turns := p.Extremes(watched, until)
	heights := p.Heights(watched, until, every)
	var out []Again
	last, top := watched, first
	for i, h := range heights {
		at := watched.Add(time.Duration(i) * every)
		for len(turns) > 0 && !turns[0].At.After(at) {
			e := turns[0]
			if turns = turns[1:]; e.At.Sub(last) >= AgainAfter {
				out = append(out, Again{At: e.At, Turn: e.Kind, Rise: e.Height - first})
				last, top = e.At, max(top, e.Height)
			}
		}
		making := i > 0 && h > heights[i-1]
		if making && h-top >= step && at.Sub(last) >= AgainAfter {
			out = append(out, Again{At: at, Rise: h - first})
			last, top = at, h
		}
	}
	return out, nil
}

// AgainNow is what such a time says when it has come: how far the water is over what it was at the last watch, and whether the
// tide turned within the last quarter of an hour. Errors are those of WatchAgain.
func AgainNow(station string, watched, now time.Time) (Again, error) {
	p, err := tide.Open(station)
	if err != nil {
		return Again{}, fmt.Errorf("watch again: %w", err)
	}
	a := Again{At: now, Rise: p.Height(now) - p.Height(watched)}
	for _, e := range p.Extremes(now.Add(-15*time.Minute), now) {
		a.Turn = e.Kind
	}
	return a, nil
}
