package pump

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/session"
)

// What one person says counts in the order in which they said it, wherever they said it. Every shard reads its own letters in order,
// but a group and a private chat lie in different shards: after an outage "/off" in private could be read before the "/out" it is
// about, and an outing be open whose people have long gone home.

// errNotYet says that a letter waits for an older one of the same person in another shard. The shard is looked at again in the same
// round, and nothing is judged before.
var errNotYet = errors.New("an older letter of the same person waits in another shard")

// turnUntil is how long a letter waits for older ones, from when this replica first put it off: a shard that nobody serves is taken
// over in that time, and letters that lay here through a fall of ours are no older than others. Then it is read all the same; that is
// late, and better than never.
const turnUntil = time.Minute

// inOrder says errNotYet while an older letter of the same person waits elsewhere.
func (b *Inbox) inOrder(ctx context.Context, s session.Shard, l session.Letter, r chat.Request, now time.Time) error {
	if r.From.ID == 0 {
		return nil
	}
	shards, err := b.Desk.Elsewhere(ctx, r, s, now)
	if err != nil {
		return fmt.Errorf("find where else somebody speaks: %w", err)
	}
	for _, other := range shards {
		if other == s {
			continue
		}
		letters, err := b.Store.Waiting(ctx, other, "", 100)
		if err != nil && len(letters) == 0 {
			return fmt.Errorf("look what waits in another shard: %w", err)
		}
		if slices.ContainsFunc(letters, func(x session.Letter) bool { return b.before(x, l, r) }) {
			if b.putOff(s, l.Seq, now) < turnUntil {
				return errNotYet
			}
			b.Log.Warn("a letter is read before an older one of the same person, which nobody reads", "id", l.ID)
			break
		}
	}
	b.inTurn(s, l.Seq)
	return nil
}

// putOff notes that a letter waits, and says for how long it has.
func (b *Inbox) putOff(s session.Shard, seq string, now time.Time) time.Duration {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.waits == nil {
		b.waits = map[string]time.Time{}
	}
	key := flightKey(s, seq)
	since, known := b.waits[key]
	if !known {
		since = now
		b.waits[key] = now
	}
	return now.Sub(since)
}

// inTurn ends that.
func (b *Inbox) inTurn(s session.Shard, seq string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	delete(b.waits, flightKey(s, seq))
}

// before says whether a letter of another shard is the same person's, older, and none that takes its time (I7).
func (b *Inbox) before(x, l session.Letter, r chat.Request) bool {
	if !older(x, l) {
		return false
	}
	said, err := b.read(x)
	return err == nil && said.From.ID == r.From.ID && !b.Desk.Slow(said)
}

// older compares by when letters were received, and among those received together by the number of the update.
func older(x, l session.Letter) bool {
	if !x.Got.Equal(l.Got) {
		return x.Got.Before(l.Got)
	}
	xn, err := strconv.ParseInt(strings.TrimPrefix(x.ID, "u"), 10, 64)
	ln, err2 := strconv.ParseInt(strings.TrimPrefix(l.ID, "u"), 10, 64)
	return err == nil && err2 == nil && xn < ln
}
