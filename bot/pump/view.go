package pump

import (
	"context"
	"time"

	"ledgehand/session"
)

// view is what waits where, at a glance. Without one everything may wait everywhere.
type view struct {
	heads map[session.Shard]session.Head
	blind bool // nobody can tell
}

func (p *Pump) view(ctx context.Context, shards []session.Shard) view {
	v := view{heads: make(map[session.Shard]session.Head, len(shards))}
	if p.Glance == nil {
		v.blind = true
		for _, s := range shards {
			v.heads[s] = session.Head{}
		}
		return v
	}
	for i, h := range p.Glance(ctx, shards) {
		v.heads[shards[i]] = h
	}
	return v
}

// by asks one thing of a head.
type by func(session.Head) bool

func lettersWait(h session.Head) bool { return !h.Letter.IsZero() }

func dueBy(now time.Time) by {
	return func(h session.Head) bool { return come(h.Due, now) }
}

func urgentBy(now time.Time) by { return laneBy(session.Urgent, now) }

func laneBy(l session.Lane, now time.Time) by {
	return func(h session.Head) bool {
		if l == session.Urgent {
			return come(h.Urgent, now)
		}
		return come(h.Slow, now)
	}
}

func come(at, now time.Time) bool { return !at.IsZero() && !at.After(now) }

func (v view) has(s session.Shard, q by) bool {
	h, ok := v.heads[s]
	return v.blind || ok && h.Err == nil && q(h)
}

func (v view) any(q by) bool {
	for s := range v.heads {
		if v.has(s, q) {
			return true
		}
	}
	return false
}

func (v view) err(s session.Shard) error { return v.heads[s].Err }

// allAway says that no shard could be read.
func (v view) allAway() bool {
	for _, h := range v.heads {
		if h.Err == nil {
			return false
		}
	}
	return len(v.heads) > 0
}
