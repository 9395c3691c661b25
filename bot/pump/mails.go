package pump

import (
	"context"
	"runtime/debug"
	"sync"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/session"
)

// Mails take seconds where a chat service takes a fraction of one, and a mail server that does not answer takes all the time it is
// given. They go out beside the lanes, so that no alert waits behind one (I7), and are counted apart: what a chat service takes, and the
// pauses it asks for, say nothing of a mail server.

// How many mails are under way at once, and of chatter. One reader gets one at a time.
const (
	mailsAtOnce   = 8
	chatterAtOnce = 2
)

// sameReader is how long a mail waits for the one before it to the same reader.
const sameReader = time.Second

// mails are those under way.
type mails struct {
	limits Limits
	wg     sync.WaitGroup

	mu      sync.Mutex
	flying  map[int64]bool
	chatter int
	landed  int
}

// begin takes a place for a mail, if there is one.
func (m *mails) begin(to int64, c Class) bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.flying == nil {
		m.flying = map[int64]bool{}
	}
	if m.flying[to] || len(m.flying) >= mailsAtOnce || c == Chatter && m.chatter >= chatterAtOnce {
		return false
	}
	if m.flying[to] = true; c == Chatter {
		m.chatter++
	}
	return true
}

func (m *mails) end(to int64, c Class, landed bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	delete(m.flying, to)
	if c == Chatter {
		m.chatter--
	}
	if landed {
		m.landed++
	}
}

// Wait waits for the mails under way and returns how many were settled since the last call.
func (b *Outbox) Wait() int {
	b.mails.wg.Wait()
	b.mails.mu.Lock()
	defer b.mails.mu.Unlock()
	n := b.mails.landed
	b.mails.landed = 0
	return n
}

// mail sends a mail beside the lane. It is held like any claimed message: should we die, it is sent when the hold ends.
func (b *Outbox) mail(ctx context.Context, s session.Shard, lane session.Lane, e session.Claimed, m chat.Message, now time.Time) error {
	c := class(lane, e)
	if !b.mails.begin(m.To, c) {
		return b.putOff(ctx, s, e, sameReader, 0, now)
	}
	if wait := b.mails.limits.Ask(m.To, c, 1, now); wait > 0 {
		b.mails.end(m.To, c, false)
		return b.putOff(ctx, s, e, wait, 0, now)
	}
	through := func() {}
	if b.Use != nil {
		done, ok := b.Use(s)
		if !ok {
			b.mails.end(m.To, c, false)
			return nil
		}
		through = done
	}
	if b.Ours != nil && !b.Ours(s) {
		through()
		b.mails.end(m.To, c, false)
		return nil
	}
	ctx = context.WithoutCancel(ctx)
	b.mails.wg.Go(func() {
		settled := false
		defer func() {
			if v := recover(); v != nil { // it stays held, and is sent again
				b.Log.Error("a mail", "entry", e.ID, "err", panicOf(v, debug.Stack()))
			}
			through()
			b.mails.end(m.To, c, settled)
		}()
		res := b.Sender.Send(ctx, m, 0)
		hears(b.Observer).Sent(lane, res.Result)
		now := b.clock(now)
		if err := b.settle(ctx, s, e, b.settlement(e, lane, res, now)); err != nil {
			b.Log.Error("a mail", "entry", e.ID, "err", untold(err))
			return
		}
		settled = true
	})
	return nil
}

// apart is for a way of sending that is out while others work: how long to wait, and until when to go on trying. An alert is tried every
// minute for ever; what somebody's plan hangs on, for a day.
const (
	apartAtMost = time.Minute
	apartFor    = 24 * time.Hour
)

// apartly decides on a message that only its own way of sending keeps back.
func (b *Outbox) apartly(e session.Claimed, res chat.Sent, now time.Time) (out session.Settlement, again bool) {
	depends := e.Lane == session.Urgent && e.About != ""
	if !e.Alert && !(depends && now.Sub(e.Made) < apartFor) {
		return out, false
	}
	wait := max(res.After, backoff(e.Attempt))
	if e.Alert {
		wait = min(wait, apartAtMost)
	}
	out.Retry = now.Add(wait)
	if depends && out.Retry.Sub(e.Made) > tellAfter {
		n := b.letter(e, chat.Outcome{About: e.About, Chat: e.Chat, Result: chat.ResultLater, Until: out.Retry}, now)
		n.ID += "/held"
		out.Note = &n
	}
	return out, true
}
