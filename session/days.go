package session

import (
	"context"
	"fmt"
	"slices"

	"ledgehand/session/catch"
	"ledgehand/session/outing"
)

// What a crew noted over time. The store keeps the keys of a shard in order, and those of catches end in their day: they are the index.

// Most bounds what is read of a crew's log: days and lines, the newest.
type Most struct{ Days, Lines int }

// Days are the days of a crew on which something was noted, oldest first, from one day to another (YYYY-MM-DD, both included): of the
// newest as many as most allows, by the hundred. older says how many more there are, unread how many cannot be read. It reads a
// hundred in one round trip and changes nothing: what takes long must not be done inside a change.
func (s *Service) Days(ctx context.Context, crew CrewID, from, to string, most Most) (days []catch.Day, older, unread int, err error) {
	prefix := dayKey(crew, "")
	keys, err := s.store.Keys(ctx, crew.Shard(), prefix)
	if err != nil {
		return nil, 0, 0, fmt.Errorf("list the days of a crew: %w", err)
	}
	keys = slices.DeleteFunc(keys, func(k string) bool { return k[len(prefix):] < from || k[len(prefix):] > to })
	slices.Sort(keys)
	slices.Reverse(keys)
	read, lines := 0, 0
	for chunk := range slices.Chunk(keys[:min(len(keys), most.Days)], eachAtOnce) {
		if lines > most.Lines {
			break
		}
		read += len(chunk)
		n, err := s.some(ctx, crew.Shard(), chunk, func(_ string, v any) {
			if d, ok := v.(*catch.Day); ok {
				days, lines = append(days, *d), lines+len(d.Entries)
			}
		})
		if unread += n; err != nil {
			return nil, 0, unread, err
		}
	}
	slices.Reverse(days)
	return days, len(keys) - read, unread, nil
}

// Outings are all outings of a crew, at most so many, in no order. more says that there are others.
func (s *Service) Outings(ctx context.Context, crew CrewID, most int) (all []outing.Outing, more bool, unread int, err error) {
	keys, err := s.store.Keys(ctx, crew.Shard(), outingKey(crew, ""))
	if err != nil {
		return nil, false, 0, fmt.Errorf("list the outings of a crew: %w", err)
	}
	if more = len(keys) > most; more {
		slices.Sort(keys)
		keys = keys[:most]
	}
	unread, err = s.some(ctx, crew.Shard(), keys, func(_ string, v any) {
		if o, ok := v.(*outing.Outing); ok {
			all = append(all, *o)
		}
	})
	return all, more, unread, err
}

// some reads records by their keys, in that order; what cannot be read is counted.
func (s *Service) some(ctx context.Context, shard Shard, keys []string, fn func(key string, record any)) (unread int, err error) {
	for chunk := range slices.Chunk(keys, eachAtOnce) {
		records, err := s.loadEach(ctx, shard, chunk)
		if err != nil {
			return unread, err
		}
		unread += len(chunk) - len(records)
		for _, r := range records {
			if r.Version == 0 {
				continue // gone meanwhile
			}
			v, err := Decode(r.Key, r.Body, false)
			if err != nil {
				unread++
				continue
			}
			fn(r.Key, v)
		}
	}
	return unread, nil
}
