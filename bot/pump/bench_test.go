package pump_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"

	"ledgehand/bot/chat"
	"ledgehand/bot/pump"
	"ledgehand/session"
	"ledgehand/session/redisstore"
	"ledgehand/session/storetest"
)

func TestMain(m *testing.M) {
	redisstore.LogTo(nil) // the outages below are wanted
	os.Exit(m.Run())
}

const (
	group    = -500
	ana, mo  = 11, 21
	fence    = session.Fence(1)
	prefix   = "t"
	sendHold = 90 * time.Second // of the outbox
)

var (
	noon  = time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC)
	shard = session.ShardOfChat(group)
)

// bench is the three queues on a real store, with a desk and a chat service that do as told.
type bench struct {
	testing.TB
	redis  *miniredis.Miniredis
	store  *storetest.Refusing
	desk   *desk
	sender *sender
	inbox  *pump.Inbox
	outbox *pump.Outbox
	log    *lines
}

func open(t testing.TB) *bench {
	t.Helper()
	return openOn(t, miniredis.RunT(t))
}

// openOn opens a store on a server that may live outside a synctest bubble.
func openOn(t testing.TB, m *miniredis.Miniredis) *bench {
	t.Helper()
	st := storetest.OpenRedis(t, m.Addr(), prefix)
	storetest.LeadAll(t, st, noon, fence)
	b := &bench{TB: t, redis: m, store: storetest.NewRefusing(st, st), desk: &desk{}, sender: &sender{}, log: &lines{}}
	log := slog.New(slog.NewTextHandler(b.log, nil))
	b.inbox = &pump.Inbox{Store: b.store, Fence: b.fence, Decode: decode, Desk: b.desk, Log: log}
	b.outbox = &pump.Outbox{Store: b.store, Fence: b.fence, Sender: b.sender, Log: log}
	return b
}

func (b *bench) fence(session.Shard) session.Fence { return fence }

// lines keeps what is logged.
type lines struct {
	mu   sync.Mutex
	text strings.Builder
}

func (l *lines) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.Write(p)
}

func (l *lines) count(s string) int {
	l.mu.Lock()
	defer l.mu.Unlock()
	return strings.Count(l.text.String(), s)
}

// decode takes a letter's bytes for a line of text.
func decode(raw []byte, got time.Time) (chat.Request, error) {
	if string(raw) == "garbage" {
		return chat.Request{}, errors.New("not a line")
	}
	r := chat.Request{At: got, Got: got, Kind: chat.KindText, Text: string(raw)}
	if who, text, ok := strings.Cut(r.Text, ": "); ok { // somebody's
		r.From.ID, r.Text = int64(len(who)), text
	}
	return r, nil
}

// desk notes what it handles; do, when set, says how it ends.
type desk struct {
	do     func(ctx context.Context, r chat.Request, cause session.Cause) error
	refuse error // what Failed answers

	elsewhere []session.Shard // where else people speak

	mu      sync.Mutex
	handled []string
	failed  []string
	asked   []chat.Request
	causes  []session.Cause
}

func (d *desk) Handle(ctx context.Context, r chat.Request, cause session.Cause) error {
	d.mu.Lock()
	d.handled = append(d.handled, r.Text)
	d.asked = append(d.asked, r)
	d.causes = append(d.causes, cause)
	d.mu.Unlock()
	if d.do != nil {
		return d.do(ctx, r, cause)
	}
	return nil
}

func (d *desk) Elsewhere(_ context.Context, r chat.Request, _ session.Shard, _ time.Time) ([]session.Shard, error) {
	if r.From.ID == 0 {
		return nil, nil
	}
	return d.elsewhere, nil
}

func (d *desk) Slow(r chat.Request) bool { return strings.HasPrefix(r.Text, "slow") }

func (d *desk) Failed(_ context.Context, r chat.Request, _ session.Cause, ref string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.failed = append(d.failed, r.Text+" "+ref)
	if d.refuse != nil && d.refuse.Error() == "panic" {
		panic("no words")
	}
	return d.refuse
}

func (d *desk) lines() []string {
	d.mu.Lock()
	defer d.mu.Unlock()
	return slices.Clone(d.handled)
}

func (d *desk) wantHandled(t testing.TB, want ...string) {
	t.Helper()
	if got := d.lines(); !slices.Equal(got, want) {
		t.Errorf("handled %q, want %q", got, want)
	}
}

// attempt is one call of the sender.
type attempt struct {
	to   int64
	text string
	edit int
}

// sender notes what it is given; answer, when set, says what becomes of it.
type sender struct {
	answer func(m chat.Message, edit int) chat.Sent

	mu   sync.Mutex
	sent []attempt
}

func (s *sender) Send(_ context.Context, m chat.Message, edit int) chat.Sent {
	s.mu.Lock()
	s.sent = append(s.sent, attempt{m.To, m.Text, edit})
	n := len(s.sent)
	s.mu.Unlock()
	if s.answer != nil {
		return s.answer(m, edit)
	}
	return chat.Sent{Result: chat.ResultSent, Message: 100 + n}
}

func (s *sender) attempts() []attempt {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.sent)
}

func (s *sender) texts() (got []string) {
	for _, a := range s.attempts() {
		got = append(got, a.text)
	}
	return got
}

func (b *bench) take(s session.Shard, id, line string) {
	b.Helper()
	b.takeAt(s, id, line, noon)
}

func (b *bench) takeAt(s session.Shard, id, line string, got time.Time) {
	b.Helper()
	if fresh, err := b.store.Take(b.Context(), s, session.Letter{ID: id, Got: got, Body: []byte(line)}); err != nil || !fresh {
		b.Fatalf("Take(%s) = %v, %v", id, fresh, err)
	}
}

func (b *bench) waiting(s session.Shard) (ids []string) {
	b.Helper()
	letters, err := b.store.Waiting(b.Context(), s, "", 1000)
	if err != nil {
		b.Fatal(err)
	}
	for _, l := range letters {
		ids = append(ids, l.ID)
	}
	return ids
}

func (b *bench) wantWaiting(want ...string) {
	b.Helper()
	if got := b.waiting(shard); !slices.Equal(got, want) {
		b.Errorf("waiting %q, want %q", got, want)
	}
}

func (b *bench) wantBuried(want ...string) {
	b.Helper()
	dead, err := b.store.Buried(b.Context(), shard, 100)
	if err != nil && !errors.Is(err, redisstore.ErrBroken) {
		b.Fatal(err)
	}
	var got []string
	for _, d := range dead {
		got = append(got, d.ID+": "+strings.SplitN(d.Why, "\n", 2)[0])
	}
	slices.Sort(got)
	if !slices.Equal(got, want) {
		b.Errorf("dead letters %q, want %q", got, want)
	}
}

func (b *bench) step(now time.Time) int {
	b.Helper()
	n, err := b.inbox.Step(b.Context(), shard, now)
	if err != nil {
		b.Errorf("Inbox.Step() = %v, want no error", err)
	}
	return n
}

func (b *bench) send(now time.Time) {
	b.Helper()
	if _, err := b.outbox.Step(b.Context(), shard, now); err != nil {
		b.Errorf("Outbox.Step() = %v, want no error", err)
	}
}

var posts int

// post queues messages; those without a time of their own may go from noon on.
func (b *bench) post(entries ...session.Entry) {
	b.Helper()
	posts++
	c := session.Change{Cause: fmt.Sprintf("post%d", posts), Now: noon, Post: entries}
	if err := b.store.Commit(b.Context(), shard, fence, c); err != nil {
		b.Fatal(err)
	}
}

func say(id string, lane session.Lane, m chat.Message) session.Entry {
	body, err := json.Marshal(m)
	if err != nil {
		panic(err)
	}
	return session.Entry{ID: id, Lane: lane, Chat: m.To, PanelKey: m.Panel, Body: body}
}

func alert(id string, m chat.Message) session.Entry {
	e := say(id, session.Urgent, m)
	e.Alert = true
	return e
}

func (b *bench) pending() int {
	b.Helper()
	n, _, err := b.store.Pending(b.Context(), shard)
	if err != nil {
		b.Fatal(err)
	}
	return n
}
