package session

import (
	"context"
	"time"
)

// Guest is the fence of a replica that does not serve a shard. What came in through one shard may change a record in another, whose
// server is somebody else: Commit takes it, for there a record's version and the cause decide. Nothing else does: only the shard's
// server reads its inbox, looks at its deadlines and sends its messages.
const Guest Fence = -1

// Head is what waits in one shard, at a glance. Zero instants: nothing.
type Head struct {
	Letter time.Time // when the oldest waiting letter was got
	Due    time.Time // when the first item of the due index wants its look; a held one, the end of its hold
	Urgent time.Time // when the first entry of the lane may go out; a held one, the end of its hold
	Slow   time.Time
	Err    error // this shard could not be read; the instants mean nothing
}

// Glances look at many shards in one round trip, so that idle shards cost next to nothing.
type Glances interface {
	// Heads reads the heads of the shards, in the order asked. A shard that cannot be read says so in its own Head.
	Heads(ctx context.Context, shards []Shard) []Head
}

// Sharing lets replicas know of each other. None of it is needed for what is stored to be right: fences see to that.
type Sharing interface {
	// Present notes that a replica is here until now+ttl and returns all that are, in the order of their names.
	Present(ctx context.Context, owner string, now time.Time, ttl time.Duration) ([]string, error)
	// Leave takes a replica off that list.
	Leave(ctx context.Context, owner string) error
	// Sit takes or renews a seat that only one replica may have at a time, until now+ttl. ErrFenced if another has it.
	Sit(ctx context.Context, seat, owner string, now time.Time, ttl time.Duration) error
	// Stand gives a seat up, if owner has it.
	Stand(ctx context.Context, seat, owner string) error
	// Beat notes that all that had come in by then is stored. It never goes back.
	Beat(ctx context.Context, at time.Time) error
	// LastBeat is the newest; zero if there was none.
	LastBeat(ctx context.Context) (time.Time, error)
}

// shareOf is how many shards the i-th of n replicas serves.
func shareOf(i, n int) int {
	share := Shards / n
	if i < Shards%n {
		share++
	}
	return share
}

// Share is how many shards a replica is to serve when these are present, and which it tries first, so that replicas that start
// together do not all reach for the same. A replica that is not among them gets none.
func Share(owner string, present []string) (shards int, first Shard) {
	at := 0
	for i, p := range present {
		n := shareOf(i, len(present))
		if p == owner {
			return n, Shard(at)
		}
		at += n
	}
	return 0, 0
}
