package storetest

import (
	"context"
	"time"

	"ledgehand/session"
)

var _ session.Gauge = (*Memory)(nil)

// Backlog is session.Gauge.
func (m *Memory) Backlog(ctx context.Context, s session.Shard) (session.Backlog, error) {
	due, err := m.AllDue(ctx, s)
	if err != nil {
		return session.Backlog{}, err
	}
	_, oldest, err := m.Pending(ctx, s)
	if err != nil {
		return session.Backlog{}, err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	k, err := m.shard(s)
	if err != nil {
		return session.Backlog{}, err
	}
	b := session.Backlog{Letters: len(k.inbox), Dead: len(k.dead), OldestUrgent: oldest}
	if len(k.inbox) > 0 {
		b.OldestLetter = k.inbox[0].Got
	}
	if len(due) > 0 {
		b.OldestDue = due[0].At
	}
	for _, e := range k.out {
		if e.lane == session.Urgent {
			b.Urgent++
		} else {
			b.Slow++
		}
	}
	return b, nil
}

// TryWrite is session.Gauge: what is kept in memory always can be written.
func (m *Memory) TryWrite(_ context.Context, s session.Shard, _ time.Time) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	_, err := m.shard(s)
	return err
}
