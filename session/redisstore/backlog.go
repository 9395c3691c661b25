package redisstore

import (
	"context"
	"fmt"
	"time"

	"ledgehand/session"
)

var _ session.Gauge = (*Store)(nil)

// Backlog counts what waits in a shard. No body is opened.
func (st *Store) Backlog(ctx context.Context, s session.Shard) (b session.Backlog, err error) {
	defer func() {
		if err != nil {
			b, err = session.Backlog{}, fmt.Errorf("count what waits in shard %d: %w", s, err)
		}
	}()
	k, err := st.keys(s)
	if err != nil {
		return b, err
	}
	_, got, err := st.run(ctx, backlogScript, []string{k.in, k.dead, k.due, k.dueFor, k.urgent, k.slow, k.made})
	if err != nil {
		return b, err
	}
	if len(got) != 7 {
		return b, fmt.Errorf("script answered %d values", len(got))
	}
	for i, to := range []*int{&b.Letters, &b.Dead, &b.Urgent, &b.Slow} {
		n, _ := got[i].(int64)
		*to = int(n)
	}
	for i, to := range []*time.Time{&b.OldestLetter, &b.OldestDue, &b.OldestUrgent} {
		if ms := text(got[4+i]); ms != "" {
			if *to, err = instant(ms); err != nil {
				return b, err
			}
		}
	}
	return b, nil
}

// TryWrite sets one small key. It grows what is stored, in the server's eyes, so that a server out of memory refuses it, as
// does one that is a replica or cannot save.
func (st *Store) TryWrite(ctx context.Context, s session.Shard, now time.Time) error {
	k, err := st.keys(s)
	ms := ""
	if err == nil {
		ms, err = millis("now", now)
	}
	if err == nil {
		err = explain(ctx, st.rdb.Set(ctx, k.try, ms, memoryTTL).Err())
	}
	if err != nil {
		return fmt.Errorf("try a write in shard %d: %w", s, err)
	}
	return nil
}
