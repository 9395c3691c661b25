package vitals

import (
	"fmt"
	"strings"
	"time"
)

// Bounds say how old a fact may be before it is a trouble. Zero values are replaced by those of DefaultBounds.
type Bounds struct {
	Turn   time.Duration // since the loop last came round, before the process counts as stuck
	Clean  time.Duration // since a shard's last round without trouble
	Poll   time.Duration // since it was last known that no update waits unfetched
	Store  time.Duration // since the store was last counted, and last took a write
	Due    time.Duration // how late a deadline may be looked at
	Urgent time.Duration // how long an urgent message may wait unsent
	Letter time.Duration // how long a letter may wait in the inbox
}

// DefaultBounds fit a tick of a second. A poll may be held open 50 s, be 15 s late and follow a pause of 30 s; a round that
// meets a chat service which does not answer takes half a minute a message, and killing the process for it helps nobody.
var DefaultBounds = Bounds{
	Turn: 5 * time.Minute, Clean: 2 * time.Minute, Poll: 150 * time.Second, Store: 45 * time.Second,
	Due: time.Minute, Urgent: 3 * time.Minute, Letter: 3 * time.Minute,
}

func (b Bounds) filled() Bounds {
	for _, f := range []struct {
		to *time.Duration
		or time.Duration
	}{
		{&b.Turn, DefaultBounds.Turn}, {&b.Clean, DefaultBounds.Clean}, {&b.Poll, DefaultBounds.Poll}, {&b.Store, DefaultBounds.Store},
		{&b.Due, DefaultBounds.Due}, {&b.Urgent, DefaultBounds.Urgent}, {&b.Letter, DefaultBounds.Letter},
	} {
		if *f.to == 0 {
			*f.to = f.or
		}
	}
	return b
}

// trouble is one thing that is not as it should be. word stays the same while the trouble lasts; much says how bad it is.
type trouble struct{ word, much string }

func (t trouble) String() string {
	if t.much == "" {
		return t.word
	}
	return t.word + " (" + t.much + ")"
}

func say(list []trouble) string {
	var out []string
	for _, t := range list {
		out = append(out, t.String())
	}
	return strings.Join(out, "; ")
}

// stuck says whether the queues' loop stands still. Who serves no shard has no loop to turn.
func stuck(f facts, b Bounds, now time.Time) (trouble, bool) {
	var since time.Time
	for _, s := range f.shards {
		if !s.since.IsZero() && s.since.After(since) {
			since = s.since
		}
	}
	if since.IsZero() {
		return trouble{}, false
	}
	if f.turned.After(since) {
		since = f.turned
	}
	if d := age(since, now); d > b.Turn {
		return trouble{"the queues' loop does not turn", seconds(d)}, true
	}
	return trouble{}, false
}

// unfit says why we do not serve as we should, empty for all is well. A clean round must be younger than cleanSince, in every shard.
func unfit(f facts, b Bounds, cleanSince, now time.Time) (out []trouble) {
	add := func(bad bool, word, much string) {
		if bad {
			out = append(out, trouble{word, much})
		}
	}
	current, lapsed := f.served(now)
	add(current+lapsed == 0, "no shard is served here", "")
	add(lapsed > 0, "leases ran out", fmt.Sprintf("%d shards", lapsed))
	dirty := 0
	for _, s := range f.shards {
		if s.ours(now) && !s.clean.After(cleanSince) {
			dirty++
		}
	}
	add(dirty > 0, "shards had no clean round lately", fmt.Sprintf("%d shards", dirty))
	add(f.counted.IsZero() || age(f.counted, now) > b.Store, "the store cannot be counted", since(f.counted, now))
	add(f.writeBad || f.written.IsZero() || age(f.written, now) > b.Store, "the store takes no writes", since(f.written, now))
	heard := f.polled
	if f.heard.After(heard) { // another replica may be the one that polls, or sees that nothing waits for a webhook
		heard = f.heard
	}
	add(heard.IsZero() || age(heard, now) > b.Poll, "no updates come in", since(heard, now))
	late := max(f.late.worst(now), age(f.backlog.OldestDue, now))
	add(late > b.Due, "deadlines are looked at late", seconds(late))
	urgent := age(f.backlog.OldestUrgent, now)
	add(urgent > b.Urgent, "an urgent message waits unsent", seconds(urgent))
	letter := age(f.backlog.OldestLetter, now)
	add(letter > b.Letter, "a letter waits unread", seconds(letter))
	return out
}

func seconds(d time.Duration) string { return fmt.Sprintf("%.0f s", d.Seconds()) }

func since(t, now time.Time) string {
	if t.IsZero() {
		return "not yet"
	}
	return "last " + seconds(age(t, now)) + " ago"
}
