package pump_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/session"
)

func mailTo(n int, text string) chat.Message {
	a := fmt.Sprintf("mo%d@example.org", n)
	return chat.Message{To: chat.MailNumber(a), Text: text, Mail: &chat.Mail{Address: a, Subject: text}}
}

// I7: a mail server that takes its time holds no alert up, in its lane or another.
func TestAMailUnderWayHoldsNobodyUp(t *testing.T) {
	b := open(t)
	answer := make(chan chat.Sent)
	under := make(chan bool, 9)
	b.sender.answer = func(m chat.Message, _ int) chat.Sent {
		if m.Mail == nil {
			return chat.Sent{Result: chat.ResultSent, Message: 1}
		}
		if m.Entry == "" {
			t.Error("a mail is sent without the name of its entry")
		}
		under <- true
		return <-answer
	}
	b.post(alert("a", mailTo(1, "overdue")), alert("b", chat.Message{To: mo, Text: "overdue"}), say("c", session.Urgent, chat.Message{To: ana, Text: "noted"}))
	b.send(noon) // returns with the mail under way
	<-under
	if got := b.sender.texts(); !slices.Contains(got, "noted") || len(got) != 3 {
		t.Errorf("sent %q while a mail is under way, want all", got)
	}
	if n := b.pending(); n != 1 {
		t.Errorf("%d wait, want the mail alone: it is not settled", n)
	}
	b.send(noon.Add(30 * time.Second)) // nor is it sent again
	answer <- chat.Sent{Result: chat.ResultSent}
	if n := b.outbox.Wait(); n != 1 || b.pending() != 0 {
		t.Errorf("Wait() = %d with %d waiting, want it settled", n, b.pending())
	}
	if n := b.outbox.Wait(); n != 0 {
		t.Errorf("second Wait() = %d, want 0", n)
	}
	if got := len(b.sender.attempts()); got != 3 {
		t.Errorf("%d attempts, want 3", got)
	}
}

// One reader has one mail at a time, and there is an end to how many are under way.
func TestHowManyMailsAreUnderWay(t *testing.T) {
	b := open(t)
	answer := make(chan chat.Sent)
	b.sender.answer = func(chat.Message, int) chat.Sent { return <-answer }
	var es []session.Entry
	for i := range 12 {
		es = append(es, say(fmt.Sprint("u", i), session.Urgent, mailTo(i, "u")), say(fmt.Sprint("same", i), session.Urgent, mailTo(0, "same")))
	}
	b.post(es...)
	b.send(noon)
	for range 8 {
		answer <- chat.Sent{Result: chat.ResultSent}
	}
	if n := b.outbox.Wait(); n != 8 || b.pending() != 16 {
		t.Errorf("%d were under way and %d wait, want 8 and 16", n, b.pending())
	}
	slow := open(t)
	slow.sender.answer = func(chat.Message, int) chat.Sent { return <-answer }
	for i := range 4 {
		slow.post(say(fmt.Sprint("s", i), session.Slow, mailTo(i, "invitation")))
	}
	slow.send(noon)
	for range 2 {
		answer <- chat.Sent{Result: chat.ResultSent}
	}
	if n := slow.outbox.Wait(); n != 2 || slow.pending() != 2 {
		t.Errorf("%d invitations were under way and %d wait, want 2 and 2: alerts need the room", n, slow.pending())
	}
}

// What a chat service asks for says nothing of mail, and the other way round. A reader's number has no group's rule.
func TestMailIsCountedApart(t *testing.T) {
	b := open(t)
	b.sender.answer = func(m chat.Message, _ int) chat.Sent {
		if m.Mail != nil {
			return chat.Sent{Result: chat.ResultSent}
		}
		return chat.Sent{Result: chat.ResultLater, Shut: true, After: time.Hour}
	}
	for i := range 3 { // three chats ask for a pause: everything of the service rests
		b.post(say(fmt.Sprint("p", i), session.Urgent, chat.Message{To: int64(900 + i), Text: "pause"}))
	}
	b.send(noon)
	b.post(say("m", session.Urgent, mailTo(1, "mail")), say("c", session.Urgent, chat.Message{To: ana, Text: "chat"}))
	b.send(noon.Add(time.Second))
	b.outbox.Wait()
	if got := b.sender.texts(); !slices.Contains(got, "mail") || slices.Contains(got, "chat") {
		t.Errorf("sent %q, want the mail and nothing by the service that asked for a pause", got)
	}
	b.send(noon.Add(2 * time.Second))
	if got := b.sender.texts(); slices.Contains(got, "chat") {
		t.Error("a mail that went ended the service's pause")
	}
	many := open(t)
	for i := range 40 { // over 20 a minute, which is a group's rule
		many.post(say(fmt.Sprint(i), session.Urgent, mailTo(1, "x")))
	}
	for s := range 59 {
		many.send(noon.Add(time.Duration(s) * 1100 * time.Millisecond))
		many.outbox.Wait()
	}
	if got := len(many.sender.attempts()); got != 40 {
		t.Errorf("%d mails to one reader in a minute, want 40: one a second", got)
	}
}

// A mail server that is away: an alert is tried every minute for ever; those who depend on it hear so as soon as it is certain to be
// more than two minutes late; and it arrives.
func TestAnAlertWaitsForTheMailServer(t *testing.T) {
	b := open(t)
	away := true
	b.sender.answer = func(chat.Message, int) chat.Sent {
		if away {
			return chat.Sent{Result: chat.ResultLater, Apart: true}
		}
		return chat.Sent{Result: chat.ResultSent}
	}
	a := alert("a", mailTo(1, "overdue"))
	a.About, a.Made = "outing/g1/k1", noon
	b.post(a)
	var tries, told []time.Duration
	for s := range 3600 / 5 {
		at := noon.Add(time.Duration(s) * 5 * time.Second)
		before, notes := len(b.sender.attempts()), len(b.waiting(shard))
		b.send(at)
		b.outbox.Wait()
		if len(b.sender.attempts()) > before {
			tries = append(tries, at.Sub(noon))
		}
		if len(b.waiting(shard)) > notes {
			told = append(told, at.Sub(noon))
		}
	}
	for i := 1; i < len(tries); i++ {
		if gap := tries[i] - tries[i-1]; gap > 65*time.Second {
			t.Fatalf("%v between two tries, want at most a minute", gap)
		}
	}
	if len(told) == 0 || told[0] < 30*time.Second || told[0] > 2*time.Minute {
		t.Errorf("told after %v, want between half a minute and two", told[:min(1, len(told))])
	}
	for _, o := range b.outcomes()[:1] {
		if o.Result != chat.ResultLater || o.Until.IsZero() || o.About != "outing/g1/k1" {
			t.Errorf("told %+v, want that it is held up", o)
		}
	}
	away = false
	b.send(noon.Add(time.Hour + time.Minute))
	b.outbox.Wait()
	if b.pending() != 0 {
		t.Error("the alert still waits though the server is back")
	}
	if os := b.outcomes(); os[len(os)-1].Result != chat.ResultSent {
		t.Errorf("last told %+v, want that it got through", os[len(os)-1])
	}
}

// What a plan hangs on is tried for a day, and told as held up; chatter is let go soon, and nobody is told.
func TestHowLongMailIsTried(t *testing.T) {
	plan, news := say("p", session.Urgent, mailTo(1, "plan")), say("n", session.Slow, mailTo(2, "invitation"))
	plan.About, news.About = "outing/g1/k1", "mailinvite/p1/x"
	plan.Made, news.Made = noon, noon
	for name, c := range map[string]struct {
		e          session.Entry
		after      time.Duration
		wantHeldUp bool
		wantLeft   int
	}{
		"a plan after 20 hours": {plan, 20 * time.Hour, true, 1}, "a plan after 26 hours": {plan, 26 * time.Hour, true, 0}, "an invitation after two hours": {news, 2 * time.Hour, false, 0},
	} {
		t.Run(name, func(t *testing.T) {
			b := open(t)
			b.sender.answer = func(chat.Message, int) chat.Sent { return chat.Sent{Result: chat.ResultLater, Apart: true} }
			b.post(c.e)
			for at := noon; at.Before(noon.Add(c.after)); at = at.Add(20 * time.Minute) {
				b.send(at)
				b.outbox.Wait()
			}
			held := 0
			os := b.outcomes()
			for _, o := range os {
				if !o.Until.IsZero() {
					held++
				}
			}
			if (held > 0) != c.wantHeldUp || b.pending() != c.wantLeft {
				t.Errorf("told %d times that it is held up, %d left, want %v and %d", held, b.pending(), c.wantHeldUp, c.wantLeft)
			}
			if c.wantLeft == 0 && !os[len(os)-1].Until.IsZero() {
				t.Error("nobody is told that it was given up")
			}
		})
	}
}

// A shard that is not ours any more sends no mail, and gives back what it held.
func TestAMailOfALostShardIsNotSent(t *testing.T) {
	for name, lose := range map[string]func(b *bench){
		"Ours": func(b *bench) { b.outbox.Ours = func(session.Shard) bool { return false } },
		"Use":  func(b *bench) { b.outbox.Use = func(session.Shard) (func(), bool) { return nil, false } },
	} {
		b := open(t)
		lose(b)
		b.post(alert("a", mailTo(1, "overdue")))
		b.send(noon)
		b.outbox.Wait()
		if len(b.sender.attempts()) != 0 || b.pending() != 1 {
			t.Errorf("%s: %d sent, %d wait, want it left to whoever serves the shard", name, len(b.sender.attempts()), b.pending())
		}
		b.outbox.Ours, b.outbox.Use = nil, nil
		b.send(noon.Add(2 * time.Minute))
		b.outbox.Wait()
		if len(b.sender.attempts()) != 1 || b.pending() != 0 {
			t.Errorf("%s: %d sent and %d wait when it is ours, want it sent", name, len(b.sender.attempts()), b.pending())
		}
	}
}

// A sender that breaks takes nobody along, and the mail is sent again.
func TestABrokenMailSender(t *testing.T) {
	b := open(t)
	b.sender.answer = func(chat.Message, int) chat.Sent { panic("mo1@example.org") }
	b.post(alert("a", mailTo(1, "overdue")))
	b.send(noon)
	b.outbox.Wait()
	if b.log.count("panicked") != 1 || b.log.count("example.org") != 0 {
		t.Error("want the panic logged, without what it was panicked with")
	}
	b.sender.answer = nil
	b.send(noon.Add(2 * time.Minute))
	b.outbox.Wait()
	if b.pending() != 0 {
		t.Error("the mail still waits")
	}
}
