package redisstore

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/redis/go-redis/v9"

	"ledgehand/session"
)

var (
	_ session.Sharing = (*Store)(nil)
	_ session.Glances = (*Store)(nil)
)

// Keys of no shard, each in a slot of its own.
func (st *Store) replicas() string        { return st.prefix + ":replicas" }
func (st *Store) beat() string            { return st.prefix + ":beat" }
func (st *Store) seat(name string) string { return st.prefix + ":seat:" + name }

// Present notes a replica and lists all.
func (st *Store) Present(ctx context.Context, owner string, now time.Time, ttl time.Duration) ([]string, error) {
	if err := checkName("owner", owner); err != nil {
		return nil, err
	}
	from, until, err := holdArgs(now, ttl)
	if err != nil {
		return nil, fmt.Errorf("note replica %q: %w", clip(owner), err)
	}
	_, got, err := st.run(ctx, presentScript, []string{st.replicas()}, owner, from, until, "")
	if err != nil {
		return nil, fmt.Errorf("note replica %q: %w", clip(owner), err)
	}
	if len(got) != 1 {
		return nil, fmt.Errorf("note replica %q: script answered %d values", clip(owner), len(got))
	}
	names, _ := got[0].([]any)
	var out []string
	for _, n := range names {
		out = append(out, text(n))
	}
	slices.Sort(out)
	return out, nil
}

// Leave takes a replica off the list.
func (st *Store) Leave(ctx context.Context, owner string) error {
	if _, _, err := st.run(ctx, presentScript, []string{st.replicas()}, "", "0", "0", owner); err != nil {
		return fmt.Errorf("take replica %q off: %w", clip(owner), err)
	}
	return nil
}

// Sit takes or renews a seat. It is a lease like that of a shard, under a key of its own.
func (st *Store) Sit(ctx context.Context, seat, owner string, now time.Time, ttl time.Duration) error {
	err := errors.Join(checkName("seat", seat), checkName("owner", owner))
	var from, until string
	if err == nil {
		from, until, err = holdArgs(now, ttl)
	}
	if err == nil {
		_, _, err = st.run(ctx, leadScript, []string{st.seat(seat)}, owner, from, until, "")
	}
	if err != nil {
		return fmt.Errorf("take the seat %q for %q: %w", clip(seat), clip(owner), err)
	}
	return nil
}

// Stand gives a seat up.
func (st *Store) Stand(ctx context.Context, seat, owner string) error {
	if _, _, err := st.run(ctx, resignScript, []string{st.seat(seat)}, owner); err != nil {
		return fmt.Errorf("give the seat %q up: %w", clip(seat), err)
	}
	return nil
}

// Beat notes an instant.
func (st *Store) Beat(ctx context.Context, at time.Time) error {
	ms, err := millis("beat", at)
	if err == nil {
		_, _, err = st.run(ctx, beatScript, []string{st.beat()}, ms)
	}
	if err != nil {
		return fmt.Errorf("note the beat: %w", err)
	}
	return nil
}

// LastBeat reads it.
func (st *Store) LastBeat(ctx context.Context) (time.Time, error) {
	ms, err := st.rdb.Get(ctx, st.beat()).Result()
	switch {
	case errors.Is(err, redis.Nil):
		return time.Time{}, nil
	case err != nil:
		return time.Time{}, fmt.Errorf("read the beat: %w", explain(ctx, err))
	}
	return instant(ms)
}

// Heads reads what waits in every shard in one pipeline. It is no script: nothing is written, and the four parts of a head need
// not be of one instant, for whoever acts on them asks again.
func (st *Store) Heads(ctx context.Context, shards []session.Shard) []session.Head {
	type asked struct {
		letter            *redis.XMessageSliceCmd
		due, urgent, slow *redis.ZSliceCmd
	}
	heads, cmds := make([]session.Head, len(shards)), make([]asked, len(shards))
	pipe := st.rdb.Pipeline()
	for i, s := range shards {
		k, err := st.keys(s)
		if err != nil {
			heads[i].Err = err
			continue
		}
		cmds[i] = asked{
			letter: pipe.XRangeN(ctx, k.in, "-", "+", 1), due: pipe.ZRangeWithScores(ctx, k.due, 0, 0),
			urgent: pipe.ZRangeWithScores(ctx, k.urgent, 0, 0), slow: pipe.ZRangeWithScores(ctx, k.slow, 0, 0),
		}
	}
	exec(ctx, pipe)
	for i, c := range cmds {
		if c.letter == nil {
			continue
		}
		h := &heads[i]
		for _, err := range []error{c.letter.Err(), c.due.Err(), c.urgent.Err(), c.slow.Err()} {
			if err != nil {
				h.Err = fmt.Errorf("glance at shard %d: %w", shards[i], explain(ctx, err))
			}
		}
		if h.Err != nil {
			continue
		}
		if got := c.letter.Val(); len(got) > 0 {
			ms, _ := got[0].Values["t"].(string)
			if h.Letter, h.Err = instant(ms); h.Err != nil {
				continue
			}
		}
		h.Due, h.Urgent, h.Slow = first(c.due), first(c.urgent), first(c.slow)
	}
	return heads
}

func first(c *redis.ZSliceCmd) time.Time {
	if len(c.Val()) == 0 {
		return time.Time{}
	}
	return time.UnixMilli(int64(c.Val()[0].Score)).UTC()
}
