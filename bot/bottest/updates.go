package bottest

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"time"
)

// update waits for the bot to fetch and confirm it.
type update struct {
	id   int64
	kind string
	raw  json.RawMessage
	at   time.Time
	lane string // in which it is delivered one after the other
	trip
}

// How long Telegram keeps what nobody fetches (read in its open-source Bot API server).
const (
	keepsMessages = 24 * time.Hour
	keepsTaps     = 150 * time.Second
)

const longestPoll = 50 * time.Second

func (u *update) stale(now time.Time) bool { return now.Sub(u.at) >= u.keeps() }

func (u *update) keeps() time.Duration {
	if u.kind == "callback_query" {
		return keepsTaps
	}
	return keepsMessages
}

// push queues an update of one kind.
func (s *Server) push(kind string, body any) {
	if s.allowed != nil && !s.allowed[kind] {
		return
	}
	s.pushRaw(kind, map[string]any{kind: body})
}

func (s *Server) pushRaw(kind string, fields map[string]any) {
	fields["update_id"] = s.nextID
	raw, err := json.Marshal(fields)
	if err != nil {
		panic(fmt.Sprintf("bottest: an update that is no JSON: %v", err))
	}
	s.queue = append(s.queue, &update{id: s.nextID, kind: kind, raw: raw, at: s.now(), lane: lane(s.nextID, kind, raw)})
	s.nextID++
	close(s.bell)
	s.bell = make(chan struct{})
}

// Raw queues an update as it stands, but for its id: {"message":{…}}. What is inside may be
// anything that is JSON, readable for the bot or not.
func (s *Server) Raw(update string) {
	var fields map[string]json.RawMessage
	if err := json.Unmarshal([]byte(update), &fields); err != nil {
		panic(fmt.Sprintf("bottest: raw update is no JSON object: %v", err))
	}
	body, kind := map[string]any{}, ""
	for k, v := range fields {
		if k != "update_id" {
			body[k], kind = v, k
		}
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.pushRaw(kind, body)
}

// Renumber makes the next update have this id. After a week of silence Telegram goes on at random, even lower.
func (s *Server) Renumber(next int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.nextID = next
}

// Pending is how many updates wait to be fetched or confirmed.
func (s *Server) Pending() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.expire()
	return len(s.queue)
}

func (s *Server) expire() {
	now := s.now()
	kept := s.queue[:0:0]
	for _, u := range s.queue {
		if !u.stale(now) {
			kept = append(kept, u)
		}
	}
	s.queue = kept
}

func (s *Server) confirm(offset int64) {
	switch {
	case offset < 0:
		if n := len(s.queue) + int(offset); n > 0 {
			s.queue = s.queue[n:]
		}
	case offset > s.nextID: // never given out: Telegram falls back to the head of the queue
	default:
		for len(s.queue) > 0 && s.queue[0].id < offset {
			s.queue = s.queue[1:]
		}
	}
}

var cutOff = &refusal{code: http.StatusConflict, text: "Conflict: terminated by other getUpdates request; make sure that only one bot instance is running"}

// ask remembers which kinds of update the bot asked for, if it said.
func (s *Server) ask(p params) *refusal {
	var allowed []string
	ok, no := p.object("allowed_updates", &allowed)
	if no != nil || !ok {
		return no
	}
	s.allowed = nil
	if len(allowed) > 0 {
		s.allowed = map[string]bool{}
		for _, k := range allowed {
			s.allowed[k] = true
		}
	}
	return nil
}

// whyCut is what a poll that was cut off is told.
func (s *Server) whyCut() *refusal {
	if s.hook.url != "" {
		return hookSet
	}
	return cutOff
}

func (s *Server) getUpdates(ctx context.Context, p params) (any, *refusal) {
	limit := p.int("limit")
	if limit < 1 || limit > 100 {
		limit = 100
	}
	timeout := min(time.Duration(p.int("timeout"))*time.Second, longestPoll)

	s.mu.Lock()
	if s.hook.url != "" {
		s.mu.Unlock()
		return nil, hookActive
	}
	if no := s.ask(p); no != nil {
		s.mu.Unlock()
		return nil, no
	}
	if s.poll != nil {
		close(s.poll) // the newer poll wins
	}
	mine := make(chan struct{})
	s.poll = mine
	s.confirm(p.id("offset"))
	over := time.NewTimer(timeout)
	defer over.Stop()
	for {
		s.expire()
		if len(s.queue) > 0 || timeout <= 0 {
			break
		}
		bell := s.bell
		s.mu.Unlock()
		select {
		case <-bell:
		case <-over.C:
			timeout = 0
		case <-mine:
			s.mu.Lock()
			defer s.mu.Unlock()
			return nil, s.whyCut()
		case <-ctx.Done():
			s.mu.Lock()
			if s.poll == mine {
				s.poll = nil
			}
			s.mu.Unlock()
			panic(http.ErrAbortHandler)
		}
		s.mu.Lock()
		if s.poll != mine {
			defer s.mu.Unlock()
			return nil, s.whyCut()
		}
	}
	defer s.mu.Unlock()
	s.poll = nil
	batch := []json.RawMessage{}
	for _, u := range s.queue[:min(limit, len(s.queue))] {
		batch = append(batch, u.raw)
	}
	return batch, nil
}
