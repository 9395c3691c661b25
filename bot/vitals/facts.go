package vitals

import (
	"time"

	"ledgehand/session"
)

// facts is all that a judgement goes by. It is a plain value: copied out under the lock, judged without it.
type facts struct {
	shards [session.Shards]shardFacts
	turned time.Time // when the loop last came round, whatever it met
	polled time.Time // when this replica last fetched updates, or was brought one
	heard  time.Time // by when all that was said is stored, as far as any replica knows
	late   lateness

	backlog  session.Backlog // of all shards; instants are the earliest
	counted  time.Time       // when that was last read in full
	written  time.Time       // when the store last took a trial write
	writeBad bool            // it refused the last one
	pinged   time.Time       // when the watchdog was last tried
}

// shardFacts is what we know of our serving one shard. since is zero while it is not ours.
type shardFacts struct {
	since time.Time
	until time.Time // end of the lease
	clean time.Time // the last round without trouble
}

// forgetAfter is when a lease that ran out is no more than history: others serve the shard by then, or it shows in what waits.
const forgetAfter = 2 * time.Minute

func (s shardFacts) ours(now time.Time) bool {
	return !s.since.IsZero() && now.Before(s.until.Add(forgetAfter))
}

func (f facts) served(now time.Time) (current, lapsed int) {
	for _, s := range f.shards {
		switch {
		case !s.ours(now):
		case s.until.After(now):
			current++
		default:
			lapsed++
		}
	}
	return current, lapsed
}

// lateness keeps how late due items were looked at in the last half to whole minute, so that a backlog that was worked
// off is no trouble for ever.
type lateness struct {
	slot        int64
	this, other time.Duration
}

const lateSlot = 30 * time.Second

func (l *lateness) turn(now time.Time) {
	switch slot := now.UnixNano() / int64(lateSlot); slot - l.slot {
	case 0:
	case 1:
		l.slot, l.other, l.this = slot, l.this, 0
	default:
		*l = lateness{slot: slot}
	}
}

func (l *lateness) note(late time.Duration, now time.Time) {
	l.turn(now)
	l.this = max(l.this, late)
}

func (l lateness) worst(now time.Time) time.Duration {
	l.turn(now)
	return max(l.this, l.other)
}

// age is how long ago t was; 0 for none and for the future.
func age(t, now time.Time) time.Duration {
	if t.IsZero() {
		return 0
	}
	return max(0, now.Sub(t))
}

// merge adds what waits in another shard.
func merge(a, b session.Backlog) session.Backlog {
	first := func(x, y time.Time) time.Time {
		if x.IsZero() || !y.IsZero() && y.Before(x) {
			return y
		}
		return x
	}
	return session.Backlog{
		Letters: a.Letters + b.Letters, OldestLetter: first(a.OldestLetter, b.OldestLetter), Dead: a.Dead + b.Dead,
		OldestDue: first(a.OldestDue, b.OldestDue), Urgent: a.Urgent + b.Urgent, Slow: a.Slow + b.Slow,
		OldestUrgent: first(a.OldestUrgent, b.OldestUrgent),
	}
}
