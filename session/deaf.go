package session

import (
	"context"
	"encoding/json"
	"fmt"
	"time"
)

// DeafPrefix begins the ids of letters that say when we may have missed what people said.
const DeafPrefix = "deaf:"

// Deaf is the body of such a letter.
type Deaf struct {
	From time.Time `json:"from"`
	To   time.Time `json:"to"`
}

// NoteDeaf puts such a letter behind all that waits in every shard. The same time makes the same letters, so that it may be called
// again after it failed half way.
func (s *Service) NoteDeaf(ctx context.Context, from, to time.Time) error {
	body, err := json.Marshal(Deaf{From: from.UTC(), To: to.UTC()})
	if err != nil {
		return fmt.Errorf("encode when we heard nobody: %w", err)
	}
	l := Letter{ID: fmt.Sprintf("%s%d-%d", DeafPrefix, from.UnixMilli(), to.UnixMilli()), Got: to, Body: body}
	for shard := range Shard(Shards) {
		if _, err := s.store.Take(ctx, shard, l); err != nil {
			return fmt.Errorf("note when we heard nobody: %w", err)
		}
	}
	return nil
}

// LookedAt names an outing that stands in the due index.
type LookedAt struct {
	Crew CrewID
	ID   string
}

// RunningWatch names a watch.
type RunningWatch struct {
	Crew CrewID
	ID   string
}

// LookedAtIn lists the outings of a shard that want a next look: all that are open (I4), and those that ended of late and are not
// wiped yet.
func (s *Service) LookedAtIn(ctx context.Context, shard Shard) ([]LookedAt, error) {
	items, err := s.store.AllDue(ctx, shard)
	if err != nil {
		return nil, fmt.Errorf("list the outings of shard %d that are looked at: %w", shard, err)
	}
	var out []LookedAt
	for _, it := range items {
		if kind, crew, id, ok := splitKey(it.Item); ok && kind == "outing" {
			out = append(out, LookedAt{crew, id})
		}
	}
	return out, nil
}

// LookedAtOf are those of one crew, by their ids.
func (s *Service) LookedAtOf(ctx context.Context, crew CrewID) ([]string, error) {
	all, err := s.LookedAtIn(ctx, crew.Shard())
	var ids []string
	for _, o := range all {
		if o.Crew == crew {
			ids = append(ids, o.ID)
		}
	}
	return ids, err
}

// RunningIn lists the watches of a shard that were not ended yet, whether their time is over or not.
func (s *Service) RunningIn(ctx context.Context, shard Shard) ([]RunningWatch, error) {
	items, err := s.store.AllDue(ctx, shard)
	if err != nil {
		return nil, fmt.Errorf("list the running watches of shard %d: %w", shard, err)
	}
	var out []RunningWatch
	for _, it := range items {
		if kind, crew, id, ok := splitKey(it.Item); ok && kind == "watch" {
			out = append(out, RunningWatch{crew, id})
		}
	}
	return out, nil
}
