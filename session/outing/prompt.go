package outing

import "time"

// Two things end a stay whatever was planned: the tide over the walk-in, and the dark. Those out hear of each once, while
// they can still act on it, where there is signal.

// How long before. common practice, no source: time to pack, and to walk out on a falling margin.
const (
	GateAhead  = 30 * time.Minute
	LightAhead = 45 * time.Minute
)

// prompts are the steps for what ends the stay before they are due back or soon after. What lies so near the start
// that it was said then is none.
func (o Outing) prompts() []step {
	if o.Sheet.Signal == "no" {
		return nil
	}
	var out []step
	for _, x := range []struct {
		rung  Rung
		ends  time.Time
		ahead time.Duration
	}{{RungGate, o.Sheet.WalkInFloods, GateAhead}, {RungLight, o.Sheet.LastLight, LightAhead}} {
		at := x.ends.Add(-x.ahead)
		if x.ends.IsZero() || !at.After(o.OpenedAt) || !at.Before(o.BackBy) || o.climbed(x.rung) {
			continue
		}
		out = append(out, step{rung: x.rung, at: at, until: x.ends})
	}
	return out
}

// climbed says whether a rung was climbed, for whatever back-by time.
func (o Outing) climbed(r Rung) bool {
	for _, t := range o.Told {
		if t.Rung == r {
			return true
		}
	}
	return false
}
