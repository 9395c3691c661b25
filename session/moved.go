package session

import (
	"context"
	"fmt"
	"slices"
)

// moved is a chat's pointer to the crew it belongs to, when the crew was first met under another chat id.
type moved struct {
	Crew CrewID `json:"crew"`
}

// CrewOfChat is the crew of a chat, followed through changes of the chat's id.
func (s *Service) CrewOfChat(ctx context.Context, chat int64) (CrewID, error) {
	id := CrewOf(chat)
	if chat > 0 {
		return id, nil // private chats never move
	}
	tx := s.tx(ctx, Cause{}, id, id.Shard())
	var m moved
	found, err := tx.load(movedKey(id), &m)
	if err != nil {
		return "", fmt.Errorf("find the crew of a chat: %w", err)
	}
	if found {
		return m.Crew, nil
	}
	return id, nil
}

// Move makes a crew reachable under its chat's new id: first the pointer, then the crew's own note of where
// to write. Either half alone does no harm, and both are idempotent, so a crash between them heals on redelivery.
// Open outings follow through Retarget.
func (s *Service) Move(ctx context.Context, cause Cause, from, to int64) error {
	crew, err := s.CrewOfChat(ctx, from)
	if err != nil {
		return err
	}
	newID := CrewOf(to)
	if newID != crew {
		if err := s.do(ctx, cause.Then("pointer"), newID, newID.Shard(), []string{movedKey(newID)}, func(tx *Tx) error {
			return tx.put(movedKey(newID), moved{Crew: crew})
		}); err != nil {
			return fmt.Errorf("point the new chat at its crew: %w", err)
		}
	}
	return s.Do(ctx, cause, crew, func(tx *Tx) error {
		c, found, err := tx.LoadCrew()
		if err != nil || !found {
			return err
		}
		c.Chat = to
		c.Pending = slices.Clone(c.Pending)
		for i := range c.Pending {
			if c.Pending[i].Chat == from {
				c.Pending[i].Chat = to
			}
		}
		if err := tx.PutCrew(c); err != nil {
			return err
		}
		outings, err := tx.OpenOutings()
		if err != nil {
			return err
		}
		for _, o := range outings {
			if o.Group == from {
				if err := tx.PutOuting(o.Retarget(from, to)); err != nil {
					return err
				}
			}
		}
		watches, err := tx.RunningWatches()
		if err != nil {
			return err
		}
		for _, w := range watches {
			if w.Chat == from {
				w.Chat = to
				if err := tx.PutWatch(w); err != nil {
					return err
				}
			}
		}
		trips, err := tx.OpenTrips()
		if err != nil {
			return err
		}
		for _, t := range trips {
			if t.Chat == from {
				t.Chat, t.Panel = to, 0 // what was posted stays behind
				if err := tx.PutTrip(t); err != nil {
					return err
				}
			}
		}
		return tx.moveVotes(from, to)
	})
}
