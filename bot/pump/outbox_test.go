package pump_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/session"
)

func TestUrgentGoesFirst(t *testing.T) {
	b := open(t)
	b.post(say("s", session.Slow, chat.Message{To: ana, Text: "chatter"}), say("u", session.Urgent, chat.Message{To: ana, Text: "off noted"}),
		alert("a", chat.Message{To: mo, Text: "overdue"}))
	b.send(noon)
	if got, want := b.sender.texts(), []string{"off noted", "overdue", "chatter"}; !slices.Equal(got, want) {
		t.Errorf("sent %q, want %q", got, want)
	}
	if b.pending() != 0 {
		t.Errorf("%d messages wait, want none", b.pending())
	}
}

func TestNothingGoesBeforeItsTime(t *testing.T) {
	b := open(t)
	e := say("u", session.Urgent, chat.Message{To: ana, Text: "later"})
	e.At = noon.Add(time.Minute)
	b.post(e)
	b.send(noon.Add(59 * time.Second))
	if got := b.sender.texts(); len(got) != 0 {
		t.Errorf("sent %q before its time", got)
	}
	b.send(noon.Add(time.Minute))
	if got := b.sender.texts(); len(got) != 1 {
		t.Errorf("sent %q, want it now", got)
	}
}

func TestMoreThanOneClaimTakesIsSent(t *testing.T) {
	b := open(t)
	var es []session.Entry
	for i := range 65 {
		es = append(es, say(fmt.Sprint(i), session.Urgent, chat.Message{To: ana, Text: fmt.Sprint(i)}))
	}
	b.post(es...)
	for s := range 65 {
		b.send(noon.Add(time.Duration(s) * time.Second))
	}
	got := b.sender.texts()
	for i, text := range got {
		if text != fmt.Sprint(i) {
			t.Fatalf("sent %q, want them in order", got)
		}
	}
	if len(got) != 65 {
		t.Errorf("sent %d, want 65", len(got))
	}
}

// What becomes of a message that never gets through, by what it is and how it fails: alerts are never given up.
func TestHowOftenAMessageIsTried(t *testing.T) {
	const ever = 60
	kinds := map[string]session.Entry{
		"alert":  alert("m", chat.Message{To: mo, Text: "overdue"}),
		"urgent": say("m", session.Urgent, chat.Message{To: ana, Text: "noted"}),
		"panel":  say("m", session.Slow, chat.Message{To: ana, Text: "panel", Panel: "p"}),
		"chat":   say("m", session.Slow, chat.Message{To: ana, Text: "chatter"}),
	}
	for _, tt := range []struct {
		result chat.Result
		want   map[string]int
	}{
		{chat.ResultSent, map[string]int{"alert": 1, "urgent": 1, "panel": 1, "chat": 1}},
		{chat.ResultSame, map[string]int{"alert": 1, "urgent": 1, "panel": 1, "chat": 1}},
		{chat.ResultLater, map[string]int{"alert": ever, "urgent": 20, "panel": 5, "chat": 5}},
		{chat.ResultUnknown, map[string]int{"alert": ever, "urgent": 20, "panel": 5, "chat": 1}},
		{chat.ResultBlocked, map[string]int{"alert": 1, "urgent": 1, "panel": 1, "chat": 1}},
		{chat.ResultRefused, map[string]int{"alert": 1, "urgent": 1, "panel": 1, "chat": 1}},
		{chat.ResultGone, map[string]int{"alert": 1, "urgent": 1, "panel": 1, "chat": 1}},
	} {
		for kind, e := range kinds {
			t.Run(fmt.Sprintf("%s/%s", tt.result, kind), func(t *testing.T) {
				b := open(t)
				b.sender.answer = func(chat.Message, int) chat.Sent { return chat.Sent{Result: tt.result} }
				e.About = "outing/g1/k1"
				b.post(e)
				for i := range ever {
					b.send(noon.Add(time.Duration(i) * 2 * time.Minute))
				}
				if got := len(b.sender.attempts()); got != tt.want[kind] {
					t.Errorf("tried %d times, want %d", got, tt.want[kind])
				}
				left, notes := 0, 1
				if tt.want[kind] == ever {
					left, notes = 1, 0
				}
				if got := b.pending(); got != left {
					t.Errorf("%d messages wait, want %d", got, left)
				}
				// Who depends on it hears how it ended, once.
				if got := b.waiting(shard); len(got) != notes {
					t.Errorf("notes %q, want %d", got, notes)
				}
			})
		}
	}
}

func TestWaitsGrowAndAreBounded(t *testing.T) {
	b := open(t)
	b.sender.answer = func(chat.Message, int) chat.Sent { return chat.Sent{Result: chat.ResultUnknown} }
	b.post(alert("m", chat.Message{To: mo, Text: "overdue"}))
	var waits []time.Duration
	last := noon
	for now, n := noon, 0; len(waits) < 8; now = now.Add(time.Second) {
		b.send(now)
		if got := len(b.sender.attempts()); got > n {
			if n > 0 {
				waits = append(waits, now.Sub(last))
			}
			n, last = got, now
		}
	}
	want := []time.Duration{5 * time.Second, 10 * time.Second, 20 * time.Second, 40 * time.Second, 80 * time.Second, 2 * time.Minute, 2 * time.Minute, 2 * time.Minute}
	if !slices.Equal(waits, want) {
		t.Errorf("waits between attempts %v, want %v", waits, want)
	}
}

func TestTheServiceSaysHowLongToWait(t *testing.T) {
	b := open(t)
	b.sender.answer = func(chat.Message, int) chat.Sent {
		return chat.Sent{Result: chat.ResultLater, After: 10 * time.Minute}
	}
	b.post(alert("m", chat.Message{To: mo, Text: "overdue"}))
	b.send(noon)
	b.send(noon.Add(10*time.Minute - time.Millisecond))
	if got := len(b.sender.attempts()); got != 1 {
		t.Errorf("tried %d times before the time was up, want once", got)
	}
	b.send(noon.Add(10 * time.Minute))
	if got := len(b.sender.attempts()); got != 2 {
		t.Errorf("tried %d times, want again once the time was up", got)
	}
}

func (b *bench) outcomes() (got []chat.Outcome) {
	b.Helper()
	letters, err := b.store.Waiting(b.Context(), shard, "", 100)
	if err != nil {
		b.Fatal(err)
	}
	for _, l := range letters {
		var o chat.Outcome
		if err := json.Unmarshal(l.Body, &o); err != nil {
			b.Fatal(err)
		}
		got = append(got, o)
	}
	return got
}

func TestHowItFaredComesBack(t *testing.T) {
	const about = "outing/g1/k1"
	for _, tt := range []struct {
		sent chat.Sent
		want chat.Outcome
	}{
		{chat.Sent{Result: chat.ResultSent, Message: 7}, chat.Outcome{About: about, Chat: mo, Result: chat.ResultSent, Number: 7}},
		{chat.Sent{Result: chat.ResultBlocked, Why: "blocked by the user"}, chat.Outcome{About: about, Chat: mo, Result: chat.ResultBlocked, Why: "blocked by the user"}},
		{chat.Sent{Result: chat.ResultRefused, Why: "chat not found"}, chat.Outcome{About: about, Chat: mo, Result: chat.ResultRefused, Why: "chat not found"}},
	} {
		b := open(t)
		b.sender.answer = func(chat.Message, int) chat.Sent { return tt.sent }
		e := alert("m", chat.Message{To: mo, Text: "overdue"})
		e.About = about
		b.post(e, alert("other", chat.Message{To: mo, Text: "nobody asks"}))
		b.send(noon)
		if got := b.outcomes(); len(got) != 1 || got[0] != tt.want {
			t.Errorf("outcomes of %s = %+v, want %+v alone", tt.sent.Result, got, tt.want)
		}
		b.step(noon)
		if len(b.desk.asked) != 1 || b.desk.asked[0].Kind != chat.KindOutcome || *b.desk.asked[0].Outcome != tt.want {
			t.Errorf("the desk hears %+v, want the outcome", b.desk.asked)
		}
	}
}

func TestPanels(t *testing.T) {
	b := open(t)
	now := noon
	put := func(id, text string, repost bool) attempt {
		t.Helper()
		now = now.Add(2 * time.Second)
		b.post(say(id, session.Urgent, chat.Message{To: ana, Text: text, Panel: "p", Repost: repost}))
		b.send(now)
		all := b.sender.attempts()
		return all[len(all)-1]
	}
	answer := chat.Sent{Result: chat.ResultSent, Message: 7}
	b.sender.answer = func(chat.Message, int) chat.Sent { return answer }
	if got := put("1", "first", false); got.edit != 0 {
		t.Errorf("the first edits %d, want it posted", got.edit)
	}
	if got := put("2", "second", false); got.edit != 7 {
		t.Errorf("the second edits %d, want 7", got.edit)
	}
	answer = chat.Sent{Result: chat.ResultSame}
	put("3", "second", false)
	answer = chat.Sent{Result: chat.ResultSent, Message: 9}
	if got := put("4", "again below", true); got.edit != 0 {
		t.Errorf("a repost edits %d, want it posted", got.edit)
	}
	if got := put("5", "third", false); got.edit != 9 {
		t.Errorf("after a repost edits %d, want 9", got.edit)
	}
	b.post(say("6", session.Urgent, chat.Message{To: mo, Text: "another chat", Panel: "p"}), say("7", session.Urgent, chat.Message{To: ana, Text: "another panel", Panel: "q"}))
	b.send(now)
	if all := b.sender.attempts(); all[len(all)-1].edit != 0 || all[len(all)-2].edit != 0 {
		t.Errorf("other panels edit %+v, want both posted", all[len(all)-2:])
	}

	// Somebody deleted it: it is posted anew, at once, and that one is edited from then on.
	b.sender.answer = func(_ chat.Message, edit int) chat.Sent {
		if edit == 9 {
			return chat.Sent{Result: chat.ResultGone}
		}
		return chat.Sent{Result: chat.ResultSent, Message: 12}
	}
	n := len(b.sender.attempts())
	if got := put("8", "fourth", false); got.edit != 0 || len(b.sender.attempts()) != n+2 {
		t.Errorf("with the panel gone: %+v, want an edit and then a new post", b.sender.attempts()[n:])
	}
	if got := put("9", "fifth", false); got.edit != 12 {
		t.Errorf("after that edits %d, want 12", got.edit)
	}
}

func TestAMovedChatIsFollowedAndTold(t *testing.T) {
	const to = -1001234567890
	move := func(m chat.Message, _ int) chat.Sent {
		if m.To == group {
			return chat.Sent{Result: chat.ResultMoved, MovedTo: to}
		}
		return chat.Sent{Result: chat.ResultSent, Message: 3}
	}
	b := open(t)
	b.sender.answer = move
	b.post(alert("m", chat.Message{To: group, Text: "overdue"}))
	b.send(noon)
	if got, want := b.sender.attempts(), []attempt{{group, "overdue", 0}, {to, "overdue", 0}}; !slices.Equal(got, want) {
		t.Errorf("sent %+v, want %+v: an alert does not wait for the move to be noted", got, want)
	}
	if got := b.outcomes(); len(got) != 1 || got[0].Result != chat.ResultMoved || got[0].Chat != group || got[0].Why != fmt.Sprint(to) {
		t.Errorf("outcomes %+v, want the move from %d to %d", got, group, to)
	}
	if b.pending() != 0 {
		t.Errorf("%d messages wait, want none", b.pending())
	}

	b = open(t)
	b.sender.answer = func(m chat.Message, edit int) chat.Sent {
		if s := move(m, edit); s.Result == chat.ResultMoved {
			return s
		}
		return chat.Sent{Result: chat.ResultLater}
	}
	b.post(alert("m", chat.Message{To: group, Text: "overdue"}))
	b.send(noon)
	b.sender.answer = move
	b.send(noon.Add(5 * time.Second))
	if got := b.sender.attempts(); len(got) != 4 || got[3].to != to || b.pending() != 0 {
		t.Errorf("sent %+v with %d waiting, want it to get through at the new place in the end", got, b.pending())
	}
}

// I7: groups take about 20 messages a minute. Chatter is held to fewer, so that alerts always find room; and what waits
// for room in one group holds up no other chat.
func TestGroupChatterIsLimitedAndAlertsPass(t *testing.T) {
	b := open(t)
	var es []session.Entry
	for i := range 30 {
		es = append(es, say(fmt.Sprintf("s%02d", i), session.Slow, chat.Message{To: group, Text: fmt.Sprintf("chatter %d", i)}))
	}
	b.post(es...)
	at := map[string]time.Time{} // when a text got through
	refused := false
	var now time.Time
	b.sender.answer = func(m chat.Message, _ int) chat.Sent {
		if m.Text == "chatter 29" && !refused { // put off many times by then, and yet this is its first attempt
			refused = true
			return chat.Sent{Result: chat.ResultLater}
		}
		at[m.Text] = now
		return chat.Sent{Result: chat.ResultSent, Message: 1}
	}
	sent := func() int { return len(b.sender.attempts()) }
	run := func(from, to int) {
		for s := from; s < to; s++ {
			now = noon.Add(time.Duration(s) * time.Second)
			b.send(now)
		}
	}
	run(0, 50)
	if n := sent(); n != 14 {
		t.Errorf("%d lines of chatter in the first minute, want 14", n)
	}
	for i := range 6 {
		b.post(alert(fmt.Sprintf("a%d", i), chat.Message{To: group, Text: fmt.Sprintf("overdue %d", i)}))
	}
	b.post(say("p", session.Slow, chat.Message{To: ana, Text: "private"}), say("g", session.Slow, chat.Message{To: group - 1, Text: "another group"}))
	run(50, 51)
	if got := b.sender.texts()[14:]; len(got) != 8 || got[0] != "overdue 0" || got[5] != "overdue 5" {
		t.Errorf("sent %q, want all 6 alerts, the private line and the other group's", got)
	}
	// The reserve is gone too. The next alert waits for the next free moment and not a step longer, before all chatter;
	// one for another chat does not wait.
	b.post(alert("a6", chat.Message{To: group, Text: "overdue 6"}), alert("other", chat.Message{To: mo, Text: "overdue elsewhere"}))
	run(51, 61)
	if got := b.sender.texts()[22:]; !slices.Equal(got, []string{"overdue elsewhere"}) {
		t.Errorf("sent %q with the group full, want the other chat's alert alone", got)
	}
	run(61, 63)
	if got := b.sender.texts(); got[len(got)-1] != "overdue 6" || len(got) != 24 {
		t.Errorf("sent %q after the minute, want the alert that waited and nothing before it", got[22:])
	}
	run(63, 360)
	if n := sent(); n != 24+17 || b.pending() != 0 {
		t.Errorf("%d attempts with %d waiting, want all through, one of them twice: waiting for room is no failed attempt", n, b.pending())
	}
}

func TestAMessageThatCannotBeReadHoldsUpNobody(t *testing.T) {
	b := open(t)
	bad := alert("bad", chat.Message{})
	bad.Body = []byte("garbage")
	b.post(bad, alert("good", chat.Message{To: mo, Text: "overdue"}))
	b.send(noon)
	if got := b.sender.texts(); !slices.Equal(got, []string{"overdue"}) || b.pending() != 0 {
		t.Errorf("sent %q with %d waiting, want the readable one", got, b.pending())
	}
}

// A message that was damaged in the store, or sealed with a key that is gone, must not silence the others. It stays:
// it may be an alert, and the key may come back.
func TestAMessageThatDoesNotOpenHoldsUpNobody(t *testing.T) {
	b := open(t)
	b.post(alert("bad", chat.Message{To: mo, Text: "first"}), alert("good", chat.Message{To: mo, Text: "second"}))
	body := fmt.Sprintf("%s:{%02d}:out:body", prefix, int(shard))
	sealed := b.redis.HGet(body, "bad")
	b.redis.HSet(body, "bad", "no sealed body")
	if _, err := b.outbox.Step(t.Context(), shard, noon); err == nil {
		t.Error("Step() = no error, want the one that cannot be opened named")
	}
	if got := b.sender.texts(); !slices.Equal(got, []string{"second"}) || b.pending() != 1 {
		t.Errorf("sent %q with %d waiting, want the other sent and this one kept", got, b.pending())
	}
	b.redis.HSet(body, "bad", sealed)
	b.send(noon.Add(sendHold))
	if got := b.sender.texts(); !slices.Equal(got, []string{"second", "first"}) || b.pending() != 0 {
		t.Errorf("sent %q with %d waiting, want it sent once it can be read", got, b.pending())
	}
}

// A crash between sending and settling sends again when the hold ends: a duplicate is allowed, silence is not.
func TestACrashAfterSendingSendsAgain(t *testing.T) {
	b := open(t)
	b.sender.answer = func(chat.Message, int) chat.Sent {
		b.store.Off()
		return chat.Sent{Result: chat.ResultSent, Message: 1}
	}
	b.post(alert("m", chat.Message{To: mo, Text: "overdue"}))
	if _, err := b.outbox.Step(t.Context(), shard, noon); !errors.Is(err, session.ErrUnavailable) {
		t.Errorf("Step() = %v, want ErrUnavailable", err)
	}
	b.store.On()
	b.sender.answer = nil
	b.send(noon.Add(sendHold - time.Millisecond))
	if got := len(b.sender.attempts()); got != 1 {
		t.Errorf("sent %d times within the hold, want once", got)
	}
	b.send(noon.Add(sendHold))
	b.send(noon.Add(2 * sendHold))
	if got := len(b.sender.attempts()); got != 2 {
		t.Errorf("sent %d times, want twice", got)
	}
}

// I5: what is called back while it waits for its next try does not go out.
func TestWhatIsCalledBackStaysBack(t *testing.T) {
	b := open(t)
	b.sender.answer = func(chat.Message, int) chat.Sent {
		if len(b.sender.attempts()) == 1 { // the "off" is committed while the alert is on its way
			if err := b.store.Commit(t.Context(), shard, fence, session.Change{Cause: "off", Now: noon, Cancel: []string{"m"}}); err != nil {
				t.Error(err)
			}
		}
		return chat.Sent{Result: chat.ResultUnknown}
	}
	b.post(alert("m", chat.Message{To: mo, Text: "overdue"}))
	b.send(noon)
	b.send(noon.Add(time.Hour))
	if got := len(b.sender.attempts()); got != 1 || b.pending() != 0 {
		t.Errorf("sent %d times with %d waiting, want it not tried again", got, b.pending())
	}
}

// A process that was frozen wakes with an alert in hand: by its own clock the shard may be another's, so it sends nothing.
func TestNothingIsSentOfAShardThatIsNotOursAnyMore(t *testing.T) {
	b := open(t)
	b.post(alert("a", chat.Message{To: mo, Text: "overdue"}))
	ours := false
	b.outbox.Ours = func(session.Shard) bool { return ours }
	b.send(noon)
	if got := b.sender.texts(); len(got) != 0 || b.pending() != 1 {
		t.Errorf("sent %q, %d wait, want it to stay", got, b.pending())
	}
	ours = true
	b.send(noon.Add(2 * time.Minute))
	if got := b.sender.texts(); len(got) != 1 || b.pending() != 0 {
		t.Errorf("when its hold has ended: sent %q, %d wait, want it sent", got, b.pending())
	}
}
