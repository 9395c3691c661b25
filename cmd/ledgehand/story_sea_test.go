package main

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/feed"
	"ledgehand/conditions/measure"
)

// storySea is the invented sea of a story, which the story can turn:
//
//	[Fri 20:00] sea higher 2.5     every height from here on is that many times the invented one; "sea as before"
//	[Fri 20:00] sea windier 3      so is every wind and gust
//	[Fri 20:00] sea silent         the forecast of the sea does not answer; "sea answers"
//	[Fri 20:00] sea warns High Surf Warning until Saturday evening
type storySea struct {
	turning
	wind float64
}

func (s *storySea) act(line string) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	verb, rest, _ := strings.Cut(line, " ")
	by := &s.times
	switch verb {
	case "silent", "answers":
		s.down = verb == "silent"
	case "warns":
		s.warnings = append(slices.Clone(s.warnings), conditions.Warning{ID: rest, Event: rest, Headline: rest, Sender: "An invented office", Concern: conditions.Red})
	case "as":
		s.times, s.wind = 1, 1
	case "windier":
		by = &s.wind
		fallthrough
	case "higher":
		_, err := fmt.Sscan(rest, by)
		return err
	default:
		return fmt.Errorf("sea %q: no such act", line)
	}
	return nil
}

func (s *storySea) silent() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.down
}

func (s *storySea) Sea(ctx context.Context, a feed.Anchor, now time.Time) (*conditions.Sea, error) {
	if s.silent() {
		return nil, &feed.Unavailable{Why: feed.Down}
	}
	return s.turning.Sea(ctx, a, now)
}

func (s *storySea) Weather(ctx context.Context, a feed.Anchor, now time.Time) (*conditions.Weather, error) {
	w, err := s.Seer.Weather(ctx, a, now)
	s.mu.Lock()
	defer s.mu.Unlock()
	if err != nil || s.wind == 0 {
		return w, err
	}
	out := *w
	out.Hours = slices.Clone(w.Hours)
	for i := range out.Hours {
		for _, v := range []**measure.MetresPerSecond{&out.Hours[i].Wind, &out.Hours[i].Gust} {
			if *v != nil {
				*v = new(higher(**v, s.wind))
			}
		}
	}
	return &out, nil
}

// Warnings are those of the story, and before it has any what the invented sea says.
func (s *storySea) Warnings(ctx context.Context, place feed.WarningPlace, now time.Time) conditions.Warnings {
	s.mu.Lock()
	some := len(s.warnings) > 0
	s.mu.Unlock()
	if some {
		return s.turning.Warnings(ctx, place, now)
	}
	return s.Seer.Warnings(ctx, place, now)
}

func (s *storySea) Buoy(ctx context.Context, a feed.Anchor, faces *measure.From, now time.Time) (*conditions.Observed, error) {
	return s.Seer.Buoy(ctx, a, faces, now)
}
