package redisstore

import (
	"context"
	"fmt"
	"strconv"
	"strings"
	"time"

	"ledgehand/session"
)

// Lead takes or renews a shard. A shard that nobody ever led has the fence number 0. The lease ends
// by the clocks of those who ask, which Check compares; the fence number holds whatever they say.
func (st *Store) Lead(ctx context.Context, s session.Shard, owner string, now time.Time, ttl time.Duration) (session.Fence, error) {
	f, err := st.lead(ctx, s, owner, now, ttl)
	if err != nil {
		return 0, fmt.Errorf("take shard %d for %q: %w", s, clip(owner), err)
	}
	return f, nil
}

func (st *Store) lead(ctx context.Context, s session.Shard, owner string, now time.Time, ttl time.Duration) (session.Fence, error) {
	k, err := st.keys(s)
	if err != nil {
		return 0, err
	}
	if err := checkName("owner", owner); err != nil {
		return 0, err
	}
	from, until, err := holdArgs(now, ttl)
	if err != nil {
		return 0, err
	}
	_, got, err := st.run(ctx, leadScript, []string{k.lead}, owner, from, until, strings.Join(st.keyIDs(), " "))
	if err != nil {
		return 0, err
	}
	if len(got) != 1 {
		return 0, fmt.Errorf("script answered %d values", len(got))
	}
	n, err := strconv.ParseInt(text(got[0]), 10, 64)
	if err != nil {
		return 0, fmt.Errorf("fence number: %w", err)
	}
	return session.Fence(n), nil
}

// Resign gives a shard up. One that is somebody else's stays theirs.
func (st *Store) Resign(ctx context.Context, s session.Shard, owner string) error {
	k, err := st.keys(s)
	if err == nil {
		err = checkName("owner", owner)
	}
	if err == nil {
		_, _, err = st.run(ctx, resignScript, []string{k.lead}, owner)
	}
	if err != nil {
		return fmt.Errorf("resign shard %d for %q: %w", s, clip(owner), err)
	}
	return nil
}
