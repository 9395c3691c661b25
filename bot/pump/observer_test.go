package pump_test

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"slices"
	"testing"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/pump"
	"ledgehand/session"
)

// ear writes down what it hears.
type ear struct {
	events []string
	clean  []session.Shard
	err    error
}

func (e *ear) Handled(aside bool) { e.events = append(e.events, fmt.Sprint("handled ", !aside)) }
func (e *ear) Sent(l session.Lane, r chat.Result) {
	e.events = append(e.events, fmt.Sprintf("%s %s", l, r))
}
func (e *ear) Round(clean []session.Shard, err error) { e.clean, e.err = clean, err }

func listened(b *bench, sweep func(session.Shard) error) (*pump.Pump, *ear) {
	e := &ear{}
	b.inbox.Observer, b.outbox.Observer = e, e
	return &pump.Pump{Inbox: b.inbox, Outbox: b.outbox, Now: func() time.Time { return noon }, Log: slog.New(slog.DiscardHandler), Observer: e,
		Sweep: func(_ context.Context, s session.Shard, _ time.Time) (int, error) { return 0, sweep(s) }}, e
}

func TestAnObserverHearsWhatBecameOfLettersAndMessages(t *testing.T) {
	b := open(t)
	p, e := listened(b, func(session.Shard) error { return nil })
	b.take(shard, "u1", "hello")
	b.take(shard, "u2", "garbage")
	b.post(alert("a", chat.Message{To: ana, Text: "alert"}), say("s", session.Slow, chat.Message{To: mo, Text: "chatter"}))
	b.sender.answer = func(m chat.Message, _ int) chat.Sent {
		if m.Text == "chatter" {
			return chat.Sent{Result: chat.ResultBlocked}
		}
		return chat.Sent{Result: chat.ResultSent, Message: 1}
	}
	if _, err := p.Round(t.Context(), shard, noon); err != nil {
		t.Fatal(err)
	}
	if want := []string{"handled true", "handled false", "urgent sent", "slow blocked"}; !slices.Equal(e.events, want) {
		t.Errorf("heard %q, want %q", e.events, want)
	}
	if !slices.Equal(e.clean, []session.Shard{shard}) || e.err != nil {
		t.Errorf("heard of clean %v, %v, want the shard", e.clean, e.err)
	}
}

// A shard is clean only if all of its turn went well. Where the store went away in between nobody knows of the others.
func TestACleanShardHadItsWholeTurn(t *testing.T) {
	for name, c := range map[string]struct {
		err  error
		want int
	}{
		"AllWell":       {nil, 64},
		"OneFails":      {errors.New("a record cannot be read"), 63},
		"TheStoreIsOff": {fmt.Errorf("claim: %w", session.ErrUnavailable), 0},
	} {
		t.Run(name, func(t *testing.T) {
			p, e := listened(open(t), func(s session.Shard) error {
				if s == 20 {
					return c.err
				}
				return nil
			})
			if err := p.Settle(t.Context(), noon); !errors.Is(err, c.err) {
				t.Fatal(err)
			}
			if len(e.clean) != c.want || (e.err != nil) != (c.err != nil) || c.err != nil && slices.Contains(e.clean, 20) {
				t.Errorf("clean %v, %v, want %d shards", e.clean, e.err, c.want)
			}
		})
	}
}
