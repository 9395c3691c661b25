package pump

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"time"

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
	// Ours says whether a shard is ours by our own clock. A process that was frozen wakes with messages in hand whose shard another
	// serves by now, and whose outing may be over. nil: it always is.
	Ours func(session.Shard) bool
	Now  func() time.Time // for the limits while a lane is under way; nil: the lane's own instant
	// Use marks a shard as being worked on by a mail until done is called; not ok: it is not ours any more. nil: it always is.
	Use func(s session.Shard) (done func(), ok bool)

	Observer Observer // nil: nobody listens

	limits Limits
	mails  mails
}

// sendHold is how long a claimed message stays with us: longer than any attempt takes. After a crash it is sent then.
const sendHold = 90 * time.Second

// tellAfter is how long the service may hold an alert back before those who depend on it are told another way.
const tellAfter = 2 * time.Minute

// Step sends what is to go out of a shard at now. A refusal or an outage of one chat does not hold up another.
func (b *Outbox) Step(ctx context.Context, s session.Shard, now time.Time) (int, error) {
	sent, err := b.Lane(ctx, s, session.Urgent, now)
	n, err2 := b.Lane(ctx, s, session.Slow, now)
	return sent + n, errors.Join(err, err2)
}

// Lane is Step for one lane.
func (b *Outbox) Lane(ctx context.Context, s session.Shard, lane session.Lane, now time.Time) (sent int, err error) {
	var errs []error
	behind := map[int64]time.Duration{} // how far the next one that waits in a chat stands behind the first
	for {
		entries, err := b.Store.ClaimOut(ctx, s, b.Fence(s), lane, now, sendHold, 20)
		if err != nil {
			errs = append(errs, fmt.Errorf("claim messages: %w", err))
		}
		for _, e := range entries {
			if e.Body == nil {
				continue // cannot be opened, as the error says; it stays and is claimed again: the key may come back
			}
			went, err := b.one(ctx, s, lane, e, b.clock(now), behind)
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

// clock is the instant by which sending is limited: calls take their time, and a lane may be long.
func (b *Outbox) clock(now time.Time) time.Time {
	if b.Now == nil {
		return now
	}
	if t := b.Now(); t.After(now) {
		return t
	}
	return now
}

// one tries to send one message and settles what became of it. went is false when it was only put off.
func (b *Outbox) one(ctx context.Context, s session.Shard, lane session.Lane, e session.Claimed, now time.Time, behind map[int64]time.Duration) (went bool, err error) {
	var m chat.Message
	if err := json.Unmarshal(e.Body, &m); err != nil {
		b.Log.Error("message cannot be read, dropped", "entry", e.ID, "err", err)
		return true, b.settle(ctx, s, e, session.Settlement{})
	}
	m.Entry = e.ID
	if m.Mail != nil {
		return false, b.mail(ctx, s, lane, e, m, now) // Wait counts it
	}
	c := class(lane, e)
	if wait := b.limits.Ask(m.To, c, parts(m), now); wait > 0 {
		if c != Alert { // in a queue of their own: all at once they would only be put off again
			wait += behind[m.To]
			behind[m.To] += every(m.To, c)
		}
		return false, b.putOff(ctx, s, e, wait, 0, now)
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
	if b.Ours != nil && !b.Ours(s) {
		return false, nil // it stays held, and whoever serves the shard sends it if it is still to be sent
	}
	res := b.attempt(ctx, m, edit, now)
	if res.Result == chat.ResultGone && edit != 0 {
		if wait := b.limits.Ask(m.To, c, parts(m), now); wait > 0 {
			return false, b.putOff(ctx, s, e, wait, -1, now)
		}
		res = b.attempt(ctx, m, 0, now)
	}
	if res.Result == chat.ResultMoved && res.MovedTo != 0 {
		note := b.note(e, chat.ResultMoved, fmt.Sprint(res.MovedTo), 0, now)
		note.ID += "/moved"
		if err := b.tellMoved(ctx, s, note, e.Chat, res.MovedTo); err != nil {
			return false, err
		}
		m.To = res.MovedTo
		if wait := b.limits.Ask(m.To, c, parts(m), now); wait > 0 {
			return false, b.putOff(ctx, s, e, wait, 0, now)
		}
		res = b.attempt(ctx, m, 0, now)
	}
	hears(b.Observer).Sent(lane, res.Result)
	return true, b.settle(ctx, s, e, b.settlement(e, lane, res, now))
}

// attempt is one call of the sender; the limits learn how it went.
func (b *Outbox) attempt(ctx context.Context, m chat.Message, edit int, now time.Time) chat.Sent {
	res := b.Sender.Send(ctx, m, edit)
	switch {
	case res.Result == chat.ResultLater && res.Shut:
		b.Log.Warn("the chat service asks for a pause", "wait", res.After)
		b.limits.Shut(m.To, res.After, b.clock(now))
	case res.Result == chat.ResultSent, res.Result == chat.ResultSame:
		b.limits.Went(now)
	}
	return res
}

func class(lane session.Lane, e session.Claimed) Class {
	switch {
	case e.Alert:
		return Alert
	case lane == session.Urgent:
		return Urgent
	}
	return Chatter
}

// parts is how many messages a message may take: a long text goes out in several, and a picture before it. Markup counts
// here and does not there, so that it is rather too many.
func parts(m chat.Message) int {
	n := 1 + len(m.Text)/chat.MaxText
	if m.Picture != nil && len(m.Text) > chat.MaxCaption {
		n++
	}
	return n
}

// putOff keeps a message that has to wait for room, which is no attempt. panel is as in a Settlement.
func (b *Outbox) putOff(ctx context.Context, s session.Shard, e session.Claimed, wait time.Duration, panel int, now time.Time) error {
	until := now.Add(wait)
	o := session.Settlement{Retry: until, Panel: panel, Note: b.heldUp(e, until, now)}
	e.Attempt--
	return b.settle(ctx, s, e, o)
}

// heldUp is the note that an alert goes out so late that whoever depends on it must be told another way, as if it had
// been refused. nil when it need not be: it is soon, no alert, or nobody's.
func (b *Outbox) heldUp(e session.Claimed, until, now time.Time) *session.Letter {
	if !e.Alert || e.About == "" || until.Sub(now) <= tellAfter {
		return nil
	}
	n := b.letter(e, chat.Outcome{About: e.About, Chat: e.Chat, Result: chat.ResultLater, Until: until}, now)
	n.ID += "/held" // one an attempt: waiting on says nothing new
	return &n
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
		if res.Apart {
			if apart, again := b.apartly(e, res, now); again {
				return apart
			}
		}
		if again(limit, res.After) {
			if res.Shut {
				out.Note = b.heldUp(e, out.Retry, now)
			}
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
	return b.letter(e, chat.Outcome{About: e.About, Chat: e.Chat, Result: r, Why: why, Number: message}, now)
}

func (b *Outbox) letter(e session.Claimed, o chat.Outcome, now time.Time) session.Letter {
	body, err := json.Marshal(o)
	if err != nil {
		panic(fmt.Sprintf("an outcome is always JSON: %v", err)) // strings, numbers and times only
	}
	id := fmt.Sprintf("%s%s/%d", notePrefix, e.ID, e.Attempt)
	if e.PanelKey != "" { // the states of a panel share an entry's name; each has an outcome of its own
		id += fmt.Sprintf("/%d", e.Made.UnixMilli())
	}
	return session.Letter{ID: id, Got: now, Body: body}
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
