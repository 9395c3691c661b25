package pump

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"sync"
	"time"

	"golang.org/x/time/rate"

	"ledgehand/bot/chat"
	"ledgehand/session"
)

// Sender is a chat service. Edit, when not zero, is the id of the message to change instead of posting anew.
type Sender interface {
	Send(ctx context.Context, m chat.Message, edit int) chat.Sent
}

// Outbox sends what waits, urgent first.
type Outbox struct {
	Store  session.Outbox
	Fence  func(session.Shard) session.Fence
	Sender Sender
	Log    *slog.Logger

	Observer Observer // nil: nobody listens

	mu    sync.Mutex
	chats map[int64]*rate.Limiter
}

// sendHold is how long a claimed message stays with us: longer than any attempt takes. After a crash it is sent then.
const sendHold = 90 * time.Second

// Group chats take about 20 messages a minute (Telegram's FAQ for bots). Chatter gets 14 of them, so that alerts,
// which do not ask this limiter, always find room.
const (
	chatterPerMinute = 14
	chatterBurst     = 8
)

// Step sends what is to go out of a shard at now. A refusal or an outage of one chat does not hold up another.
func (b *Outbox) Step(ctx context.Context, s session.Shard, now time.Time) (int, error) {
	sent, err := b.Lane(ctx, s, session.Urgent, now)
	n, err2 := b.Lane(ctx, s, session.Slow, now)
	return sent + n, errors.Join(err, err2)
}

// Lane is Step for one lane.
func (b *Outbox) Lane(ctx context.Context, s session.Shard, lane session.Lane, now time.Time) (sent int, err error) {
	var errs []error
	for {
		entries, err := b.Store.ClaimOut(ctx, s, b.Fence(s), lane, now, sendHold, 20)
		if err != nil {
			errs = append(errs, fmt.Errorf("claim messages: %w", err))
		}
		for _, e := range entries {
			if e.Body == nil {
				continue // cannot be opened, as the error says; it stays and is claimed again: the key may come back
			}
			went, err := b.one(ctx, s, lane, e, now)
			if err != nil {
				errs = append(errs, err)
			}
			if went {
				sent++
			}
		}
		if len(entries) < 20 {
			return sent, errors.Join(errs...)
		}
	}
}

// one tries to send one message and settles what became of it. went is false when it was only put off.
func (b *Outbox) one(ctx context.Context, s session.Shard, lane session.Lane, e session.Claimed, now time.Time) (went bool, err error) {
	var m chat.Message
	if err := json.Unmarshal(e.Body, &m); err != nil {
		b.Log.Error("message cannot be read, dropped", "entry", e.ID, "err", err)
		return true, b.settle(ctx, s, e, session.Settlement{})
	}
	if lane == session.Slow && m.To < 0 {
		if wait := b.room(m.To, now); wait > 0 {
			e.Attempt-- // waiting for room is no attempt
			return false, b.settle(ctx, s, e, session.Settlement{Retry: now.Add(wait)})
		}
	}
	edit := 0
	if e.PanelKey != "" {
		if edit, err = b.Store.Panel(ctx, s, e.Chat, e.PanelKey); err != nil {
			return false, fmt.Errorf("find the panel to edit: %w", err)
		}
		if m.Repost {
			edit = 0
		}
	}
	res := b.Sender.Send(ctx, m, edit)
	if res.Result == chat.ResultGone && edit != 0 {
		res = b.Sender.Send(ctx, m, 0)
	}
	if res.Result == chat.ResultMoved && res.MovedTo != 0 {
		m.To = res.MovedTo
		old := e.Chat
		res2 := b.Sender.Send(ctx, m, 0)
		note := b.note(e, chat.ResultMoved, fmt.Sprint(res.MovedTo), 0, now)
		note.ID += "/moved"
		if err := b.tellMoved(ctx, s, note, old, res.MovedTo); err != nil {
			return false, err
		}
		res = res2
	}
	hears(b.Observer).Sent(lane, res.Result)
	return true, b.settle(ctx, s, e, b.settlement(e, lane, res, now))
}

// settlement decides what to do after an attempt. Alerts are never given up; where it is unknown whether something
// arrived, what matters goes out again (a duplicate is allowed, silence is not) and chatter is let go.
func (b *Outbox) settlement(e session.Claimed, lane session.Lane, res chat.Sent, now time.Time) session.Settlement {
	var out session.Settlement
	again := func(limit int, wait time.Duration) bool {
		if !e.Alert && e.Attempt+1 >= limit {
			return false
		}
		out.Retry = now.Add(max(wait, backoff(e.Attempt)))
		return true
	}
	limit := 5
	if lane == session.Urgent {
		limit = 20
	}
	switch res.Result {
	case chat.ResultSent, chat.ResultSame:
		if e.PanelKey != "" && res.Message != 0 {
			out.Panel = res.Message
		}
		if e.About != "" {
			n := b.note(e, chat.ResultSent, "", res.Message, now)
			out.Note = &n
		}
		return out
	case chat.ResultLater:
		if again(limit, res.After) {
			return out
		}
	case chat.ResultUnknown:
		if (lane == session.Urgent || e.PanelKey != "") && again(limit, 0) {
			return out
		}
	}
	b.Log.Warn("message did not get through", "entry", e.ID, "result", res.Result, "why", res.Why)
	if e.About != "" {
		n := b.note(e, res.Result, res.Why, 0, now)
		out.Note = &n
	}
	return out
}

func backoff(attempt int) time.Duration {
	return min(5*time.Second<<min(attempt, 5), 2*time.Minute)
}

func (b *Outbox) note(e session.Claimed, r chat.Result, why string, message int, now time.Time) session.Letter {
	body, err := json.Marshal(chat.Outcome{About: e.About, Chat: e.Chat, Result: r, Why: why, Number: message})
	if err != nil {
		panic(fmt.Sprintf("an outcome is always JSON: %v", err)) // strings and numbers only
	}
	return session.Letter{ID: fmt.Sprintf("%s%s/%d", notePrefix, e.ID, e.Attempt), Got: now, Body: body}
}

// tellMoved feeds a move that we learned from a refusal into the inbox, like one that the service announces.
func (b *Outbox) tellMoved(ctx context.Context, s session.Shard, note session.Letter, from, to int64) error {
	type taker interface {
		Take(ctx context.Context, s session.Shard, l session.Letter) (bool, error)
	}
	in, ok := b.Store.(taker)
	if !ok {
		return nil
	}
	body, err := json.Marshal(chat.Outcome{Chat: from, Result: chat.ResultMoved, Number: 0, Why: fmt.Sprint(to)})
	if err != nil {
		return fmt.Errorf("encode a move: %w", err)
	}
	note.Body = body
	if _, err := in.Take(ctx, s, note); err != nil {
		return fmt.Errorf("note that a chat moved: %w", err)
	}
	return nil
}

func (b *Outbox) settle(ctx context.Context, s session.Shard, e session.Claimed, o session.Settlement) error {
	if err := b.Store.Settle(ctx, s, b.Fence(s), e, o); err != nil {
		return fmt.Errorf("settle message %s: %w", e.ID, err)
	}
	return nil
}

// room says how long chatter must wait for this group, zero for not at all.
func (b *Outbox) room(to int64, now time.Time) time.Duration {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.chats == nil {
		b.chats = map[int64]*rate.Limiter{}
	}
	l := b.chats[to]
	if l == nil {
		l = rate.NewLimiter(rate.Every(time.Minute/chatterPerMinute), chatterBurst)
		b.chats[to] = l
	}
	if l.AllowN(now, 1) {
		return 0
	}
	return time.Minute / chatterPerMinute
}
