package pump_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/session"
)

// flooded is a service that answers some chats with a pause until an instant each.
type flooded map[int64]time.Time

func (f flooded) answer(now *time.Time) func(chat.Message, int) chat.Sent {
	return func(m chat.Message, _ int) chat.Sent {
		if wait := f[m.To].Sub(*now); wait > 0 {
			return chat.Sent{Result: chat.ResultLater, After: wait, Shut: true}
		}
		return chat.Sent{Result: chat.ResultSent, Message: 1}
	}
}

// A hundred messages that wait for a chat are not a hundred more refusals, in neither lane; other chats go on. When the
// pause is over everything goes out, alerts first.
func TestNothingIsTriedInAChatThatAskedForAPause(t *testing.T) {
	b := open(t)
	now := noon
	b.sender.answer = flooded{group: noon.Add(time.Minute)}.answer(&now)
	for i := range 50 {
		b.post(say(fmt.Sprintf("u%d", i), session.Urgent, chat.Message{To: group, Text: "noted"}), say(fmt.Sprintf("s%d", i), session.Slow, chat.Message{To: group, Text: "chatter"}))
	}
	b.post(alert("a", chat.Message{To: group, Text: "overdue"}), alert("b", chat.Message{To: mo, Text: "overdue, Mo"}))
	for ; now.Before(noon.Add(time.Minute)); now = now.Add(time.Second) {
		b.send(now)
	}
	to := func(chat int64) (texts []string) {
		for _, a := range b.sender.attempts() {
			if a.to == chat {
				texts = append(texts, a.text)
			}
		}
		return texts
	}
	if got := to(group); len(got) != 1 {
		t.Errorf("%d attempts in a chat that asked for a minute, want the one that it answered so", len(got))
	}
	if got := to(mo); len(got) != 1 {
		t.Errorf("%d messages to the other chat, want its alert", len(got))
	}
	for end := now.Add(10 * time.Minute); now.Before(end); now = now.Add(time.Second) {
		b.send(now)
	}
	got := to(group)
	if len(got) != 102 || b.pending() != 0 {
		t.Fatalf("%d attempts with %d waiting, want all 101 and the first one twice", len(got), b.pending())
	}
	if i := slices.Index(got, "overdue"); i != 1 {
		t.Errorf("the alert went out as number %d after the pause, want it first", i)
	}
	if n := b.log.count("asks for a pause"); n != 1 {
		t.Errorf("logged %d times, want once", n)
	}
}

// An alert that is held back for hours is told to the record it is about, once, whether it was tried itself or only waits
// behind another; it stays, and goes out when it can. A short wait is told to nobody, nor is a message that is no alert.
func TestAnAlertHeldUpForLongIsTold(t *testing.T) {
	const about = "outing/g1/k1"
	for _, tt := range []struct {
		name  string
		wait  time.Duration
		tried bool // the alert is the one that hears of the pause
		kind  func(id string, m chat.Message) session.Entry
		told  bool
	}{
		{"tried", 10_000 * time.Second, true, alert, true},
		{"behind another", 10_000 * time.Second, false, alert, true},
		{"short", 2 * time.Minute, true, alert, false},
		{"short and behind another", 2 * time.Minute, false, alert, false},
		{"no alert", 10_000 * time.Second, true, func(id string, m chat.Message) session.Entry { return say(id, session.Urgent, m) }, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b := open(t)
			now, over := noon, noon.Add(tt.wait)
			b.sender.answer = flooded{group: over}.answer(&now)
			if !tt.tried {
				b.post(say("first", session.Urgent, chat.Message{To: group, Text: "first"}))
				b.send(now)
			}
			e := tt.kind("m", chat.Message{To: group, Text: "overdue"})
			e.About = about
			b.post(e)
			for ; now.Before(over); now = now.Add(50 * time.Second) {
				b.send(now)
			}
			want := []chat.Outcome{{About: about, Chat: group, Result: chat.ResultLater, Until: over}}
			if !tt.told {
				want = nil
			}
			if got := b.outcomes(); !slices.Equal(got, want) {
				t.Errorf("outcomes while it waits %+v, want %+v", got, want)
			}
			if n := len(b.sender.attempts()); n != 1 {
				t.Errorf("%d attempts in the pause, want 1", n)
			}
			now = over.Add(4 * time.Second)
			b.send(now)
			want = append(want, chat.Outcome{About: about, Chat: group, Result: chat.ResultSent, Number: 1})
			if got := b.outcomes(); !slices.Equal(got, want) {
				t.Errorf("outcomes once it is over %+v, want %+v", got, want)
			}
		})
	}
}

// When several chats ask for a pause everything pauses, at most a minute, and an alert tries first whether it is over.
func TestSeveralPausesPauseAll(t *testing.T) {
	b := open(t)
	now := noon
	f := flooded{}
	b.sender.answer = f.answer(&now)
	for i := range int64(3) {
		f[-600-i] = noon.Add(3 * time.Hour)
		b.post(say(fmt.Sprint("u", i), session.Urgent, chat.Message{To: -600 - i, Text: "noted"}))
	}
	f[mo] = noon.Add(12 * time.Second) // all of it is over then, but for the three
	b.send(now)
	b.post(alert("a", chat.Message{To: mo, Text: "overdue"}), say("s", session.Slow, chat.Message{To: ana, Text: "chatter"}), say("u", session.Urgent, chat.Message{To: ana, Text: "noted"}))
	sent := func(want ...string) {
		t.Helper()
		if got := b.sender.texts()[3:]; !slices.Equal(got, want) {
			t.Errorf("after %v tried %q, want %q", now.Sub(noon), got, want)
		}
	}
	run := func(to time.Duration) {
		for ; now.Before(noon.Add(to)); now = now.Add(time.Second) {
			b.send(now)
		}
	}
	run(5 * time.Second)
	sent()
	run(12 * time.Second)
	sent("overdue") // refused: the pause goes on
	run(18 * time.Second)
	sent("overdue", "overdue")
	b.post(say("v", session.Urgent, chat.Message{To: ana, Text: "off noted"})) // it went through: the pause is over
	run(20 * time.Second)
	sent("overdue", "overdue", "off noted")
	run(100 * time.Second) // what was put off comes at the time it was put off to
	sent("overdue", "overdue", "off noted", "noted", "chatter")
}
