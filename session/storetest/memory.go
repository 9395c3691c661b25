package storetest

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"ledgehand/session"
)

// Memory is a store in plain Go that does what the scripts of redisstore do, step by step and down to the holds it gives
// out. It exists to be copied: a test that follows every order of events goes on from thousands of its states. It must pass
// the contract, and Alike compares it with a store on Redis. It is safe for concurrent use, and it keeps nothing secret.
type Memory struct {
	mu     sync.Mutex
	shards map[session.Shard]*memShard
}

type memShard struct {
	owner      string
	until      int64
	fence      int64
	seq, count int64
	inbox      []session.Letter
	dead       []session.DeadLetter
	seen, done map[string]int64
	recs       map[string]session.Record
	due        map[string]int64
	dueFor     map[string]int64
	out        map[string]memEntry
	panels     map[string]int
}

type memEntry struct {
	session.Entry
	rev, claim int64
	score      int64 // not before, or end of the hold
	urgent     int64 // when it was made, as long as it counts as urgent
	lane       session.Lane
}

var (
	_ session.Store  = (*Memory)(nil)
	_ session.Leases = (*Memory)(nil)
)

// The memory of ids: a letter of the same id is a repeat for 48 hours.
const repeats = 48 * time.Hour

// NewMemory is an empty store.
func NewMemory() *Memory { return &Memory{shards: map[session.Shard]*memShard{}} }

// Clone is a copy that shares nothing that either will change.
func (m *Memory) Clone() *Memory {
	m.mu.Lock()
	defer m.mu.Unlock()
	c := NewMemory()
	for s, k := range m.shards {
		n := *k
		n.inbox, n.dead = slices.Clone(k.inbox), slices.Clone(k.dead)
		n.seen, n.done, n.recs, n.due = maps.Clone(k.seen), maps.Clone(k.done), maps.Clone(k.recs), maps.Clone(k.due)
		n.dueFor, n.out, n.panels = maps.Clone(k.dueFor), maps.Clone(k.out), maps.Clone(k.panels)
		c.shards[s] = &n
	}
	return c
}

// Key names the whole state: two stores of one key hold the same.
func (m *Memory) Key() string {
	m.mu.Lock()
	defer m.mu.Unlock()
	var b strings.Builder
	for _, s := range slices.Sorted(maps.Keys(m.shards)) {
		k := m.shards[s]
		fmt.Fprintln(&b, s, k.owner, k.until, k.fence, k.seq, k.count)
		for _, l := range k.inbox {
			fmt.Fprint(&b, l.Seq, l.ID, l.Got.UnixMilli(), string(l.Body), ";")
		}
		fmt.Fprint(&b, len(k.dead), k.seen, k.done, k.due, k.dueFor, k.panels)
		for _, key := range slices.Sorted(maps.Keys(k.recs)) {
			fmt.Fprint(&b, key, k.recs[key].Version, string(k.recs[key].Body), ";")
		}
		for _, id := range slices.Sorted(maps.Keys(k.out)) {
			e := k.out[id]
			fmt.Fprint(&b, id, e.rev, e.claim, e.score, e.Attempt, e.lane, string(e.Body), ";")
		}
	}
	return b.String()
}

func (m *Memory) shard(s session.Shard) (*memShard, error) {
	if s < 0 || s >= session.Shards {
		return nil, fmt.Errorf("no shard %d", s)
	}
	k := m.shards[s]
	if k == nil {
		k = &memShard{seen: map[string]int64{}, done: map[string]int64{}, recs: map[string]session.Record{}, due: map[string]int64{},
			dueFor: map[string]int64{}, out: map[string]memEntry{}, panels: map[string]int{}}
		m.shards[s] = k
	}
	return k, nil
}

func (m *Memory) led(s session.Shard, f session.Fence) (*memShard, error) {
	k, err := m.shard(s)
	if err == nil && k.fence != int64(f) {
		err = session.ErrFenced
	}
	return k, err
}

func utc(ms int64) time.Time { return time.UnixMilli(ms).UTC() }

// body is as it comes back from a store: of its own, and never nil.
func body(b []byte) []byte { return append([]byte{}, b...) }

var errName = errors.New("a name, an instant or a hold that cannot be stored")

func named(names ...string) bool {
	return !slices.ContainsFunc(names, func(n string) bool { return n == "" || !utf8.ValidString(n) })
}

// dated says whether instants can be kept; none at all is fine.
func dated(ts ...time.Time) bool {
	return !slices.ContainsFunc(ts, func(t time.Time) bool { return !t.IsZero() && (t.Year() < -9999 || t.Year() > 9999) })
}

// Lead is session.Leases.
func (m *Memory) Lead(_ context.Context, s session.Shard, owner string, now time.Time, ttl time.Duration) (session.Fence, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	k, err := m.shard(s)
	if err != nil {
		return 0, err
	}
	if !named(owner) || ttl < time.Millisecond {
		return 0, errName
	}
	if k.owner != owner {
		if k.owner != "" && k.until > now.UnixMilli() {
			return 0, session.ErrFenced
		}
		k.owner = owner
		k.fence++
	}
	k.until = now.Add(ttl).UnixMilli()
	return session.Fence(k.fence), nil
}

// Resign is session.Leases.
func (m *Memory) Resign(_ context.Context, s session.Shard, owner string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	k, err := m.shard(s)
	if err == nil && k.owner == owner {
		k.owner, k.until = "", 0
	}
	return err
}

func (k *memShard) take(l session.Letter) bool {
	got := l.Got.UnixMilli()
	if last, ok := k.seen[l.ID]; ok && got-last < repeats.Milliseconds() {
		return false
	}
	k.seen[l.ID] = got
	k.seq++
	k.inbox = append(k.inbox, session.Letter{Seq: fmt.Sprintf("%d-0", k.seq), ID: l.ID, Got: utc(got), Body: body(l.Body)})
	return true
}

// Take is session.Inbox.
func (m *Memory) Take(_ context.Context, s session.Shard, l session.Letter) (bool, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	k, err := m.shard(s)
	if err != nil || !named(l.ID) || l.Got.IsZero() || !dated(l.Got) {
		return false, cmp.Or(err, errName)
	}
	return k.take(l), nil
}

func place(seq string) (int64, error) {
	n, rest, ok := strings.Cut(seq, "-")
	i, err := strconv.ParseInt(n, 10, 64)
	if _, err2 := strconv.ParseInt(rest, 10, 64); err != nil || err2 != nil || !ok {
		return 0, fmt.Errorf("%q is not a place in an inbox", seq)
	}
	return i, nil
}

// Waiting is session.Inbox.
func (m *Memory) Waiting(_ context.Context, s session.Shard, after string, n int) ([]session.Letter, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	k, err := m.shard(s)
	if err != nil {
		return nil, err
	}
	from := int64(-1)
	if after != "" {
		if from, err = place(after); err != nil {
			return nil, err
		}
	}
	var out []session.Letter
	for _, l := range k.inbox {
		if at, err := place(l.Seq); err == nil && at > from && len(out) < n {
			l.Body = body(l.Body)
			out = append(out, l)
		}
	}
	return out, nil
}

func (k *memShard) drop(seq string) (l session.Letter, ok bool) {
	i := slices.IndexFunc(k.inbox, func(l session.Letter) bool { return l.Seq == seq })
	if i < 0 {
		return l, false
	}
	l = k.inbox[i]
	k.inbox = slices.Delete(slices.Clone(k.inbox), i, i+1)
	return l, true
}

// Discard is session.Inbox.
func (m *Memory) Discard(_ context.Context, s session.Shard, f session.Fence, seq string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if _, err := place(seq); err != nil {
		return err
	}
	k, err := m.led(s, f)
	if err == nil {
		k.drop(seq)
	}
	return err
}

// Bury is session.Inbox.
func (m *Memory) Bury(_ context.Context, s session.Shard, f session.Fence, seq, why string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if _, err := place(seq); err != nil {
		return err
	}
	k, err := m.led(s, f)
	if err != nil {
		return err
	}
	if l, ok := k.drop(seq); ok {
		k.dead = append(k.dead, session.DeadLetter{Letter: l, Why: why})
		k.dead = k.dead[max(0, len(k.dead)-1000):]
	}
	return nil
}

// Buried is session.Inbox.
func (m *Memory) Buried(_ context.Context, s session.Shard, n int) ([]session.DeadLetter, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	k, err := m.shard(s)
	if err != nil {
		return nil, err
	}
	out := slices.Clone(k.dead)
	slices.Reverse(out)
	return out[:min(len(out), max(n, 0))], nil
}

// Load is session.Records.
func (m *Memory) Load(_ context.Context, s session.Shard, keys ...string) ([]session.Record, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	k, err := m.shard(s)
	if err != nil {
		return nil, err
	}
	var out []session.Record
	for _, key := range keys {
		if key == "" {
			return nil, errName
		}
		r, ok := k.recs[key]
		if ok {
			r.Body = body(r.Body)
		}
		r.Key = key
		out = append(out, r)
	}
	return out, nil
}

// Keys is session.Records.
func (m *Memory) Keys(_ context.Context, s session.Shard, prefix string) ([]string, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	k, err := m.shard(s)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, key := range slices.Sorted(maps.Keys(k.recs)) {
		if strings.HasPrefix(key, prefix) {
			out = append(out, key)
		}
	}
	return out, nil
}

// Done is session.Records.
func (m *Memory) Done(_ context.Context, s session.Shard, cause string) (bool, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	k, err := m.shard(s)
	if err != nil || cause == "" {
		return false, cmp.Or(err, errName)
	}
	_, ok := k.done[cause]
	return ok, nil
}

// Begin is session.Records.
func (m *Memory) Begin(ctx context.Context, s session.Shard, cause string, keys ...string) (bool, []session.Record, error) {
	done, err := m.Done(ctx, s, cause)
	if err != nil {
		return false, nil, err
	}
	recs, err := m.Load(ctx, s, keys...)
	return done, recs, err
}

// CommitAll is session.Records.
func (m *Memory) CommitAll(ctx context.Context, s session.Shard, f session.Fence, all []session.Change) []error {
	errs := make([]error, len(all))
	for i, c := range all {
		errs[i] = m.Commit(ctx, s, f, c)
	}
	return errs
}

// Commit is session.Records.
func (m *Memory) Commit(_ context.Context, s session.Shard, f session.Fence, c session.Change) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if err := checkChange(c); err != nil {
		return err
	}
	k, err := m.led(s, f)
	if f == session.Guest {
		k, err = m.shard(s)
	}
	if err != nil {
		return err
	}
	if _, ok := k.done[c.Cause]; ok {
		return session.ErrDone
	}
	for _, w := range c.Writes {
		if k.recs[w.Key].Version != w.Version {
			return fmt.Errorf("%w: record %q", session.ErrConflict, w.Key)
		}
	}
	for _, r := range c.Same {
		if k.recs[r.Key].Version != r.Version {
			return fmt.Errorf("%w: record %q", session.ErrConflict, r.Key)
		}
	}
	k.done[c.Cause] = c.Now.UnixMilli()
	k.drop(c.Letter)
	for _, w := range c.Writes {
		if w.Body == nil {
			delete(k.recs, w.Key)
		} else {
			k.recs[w.Key] = session.Record{Key: w.Key, Version: w.Version + 1, Body: body(w.Body)}
		}
	}
	for _, d := range c.Due {
		if d.At.IsZero() {
			delete(k.due, d.Item)
		} else {
			k.due[d.Item] = d.At.UnixMilli()
		}
		delete(k.dueFor, d.Item)
	}
	for _, id := range c.Cancel {
		delete(k.out, id)
	}
	for _, e := range c.Post {
		if e.At.IsZero() {
			e.At = c.Now
		}
		if e.Made.IsZero() {
			e.Made = c.Now
		}
		e.Body = body(e.Body)
		k.count++
		n := memEntry{Entry: e, rev: k.count, score: e.At.UnixMilli(), lane: e.Lane}
		if e.Lane == session.Urgent {
			n.urgent = e.Made.UnixMilli()
		}
		k.out[e.ID] = n
	}
	for _, note := range c.Notes {
		if note.Got.IsZero() {
			note.Got = c.Now
		}
		k.take(note)
	}
	return nil
}

// checkChange refuses what redisstore refuses before it asks the server.
func checkChange(c session.Change) error {
	if !named(c.Cause) || c.Now.IsZero() || !dated(c.Now) {
		return errName
	}
	if c.Letter != "" {
		if _, err := place(c.Letter); err != nil {
			return err
		}
	}
	for i, w := range c.Writes {
		if !named(w.Key) || w.Version < 0 || slices.ContainsFunc(c.Writes[:i], func(o session.Record) bool { return o.Key == w.Key }) {
			return fmt.Errorf("record %q at version %d, once: %w", w.Key, w.Version, errName)
		}
	}
	for _, r := range c.Same {
		if !named(r.Key) {
			return errName
		}
	}
	for _, d := range c.Due {
		if !named(d.Item) || !dated(d.At) {
			return errName
		}
	}
	if len(c.Cancel) > 0 && !named(c.Cancel...) {
		return errName
	}
	for _, e := range c.Post {
		if !named(e.ID) || !dated(e.At, e.Made) || e.Lane != session.Urgent && e.Lane != session.Slow {
			return fmt.Errorf("entry %q in lane %q: %w", e.ID, e.Lane, errName)
		}
	}
	for _, n := range c.Notes {
		if !named(n.ID) || !dated(n.Got) {
			return errName
		}
	}
	return nil
}

// ClaimDue is session.Deadlines.
func (m *Memory) ClaimDue(_ context.Context, s session.Shard, f session.Fence, now time.Time, hold time.Duration, n int) ([]session.DueItem, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if hold < time.Millisecond {
		return nil, errName
	}
	k, err := m.led(s, f)
	if err != nil || n <= 0 {
		return nil, err
	}
	var out []session.DueItem
	for _, item := range byScore(k.due, now.UnixMilli(), n) {
		if _, held := k.dueFor[item]; !held {
			k.dueFor[item] = k.due[item]
		}
		k.due[item] = now.Add(hold).UnixMilli()
		out = append(out, session.DueItem{Item: item, At: utc(k.dueFor[item])})
	}
	slices.SortStableFunc(out, func(a, b session.DueItem) int { return a.At.Compare(b.At) })
	return out, nil
}

// byScore lists up to n members whose score has come, by score and then by name.
func byScore(scores map[string]int64, now int64, n int) []string {
	var out []string
	for member, at := range scores {
		if at <= now {
			out = append(out, member)
		}
	}
	slices.SortFunc(out, func(a, b string) int { return cmp.Or(cmp.Compare(scores[a], scores[b]), cmp.Compare(a, b)) })
	return out[:min(n, len(out))]
}

// AllDue is session.Deadlines.
func (m *Memory) AllDue(_ context.Context, s session.Shard) ([]session.DueItem, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	k, err := m.shard(s)
	if err != nil {
		return nil, err
	}
	var out []session.DueItem
	for item, at := range k.due {
		if held, ok := k.dueFor[item]; ok {
			at = held
		}
		out = append(out, session.DueItem{Item: item, At: utc(at)})
	}
	slices.SortFunc(out, func(a, b session.DueItem) int { return cmp.Or(a.At.Compare(b.At), cmp.Compare(a.Item, b.Item)) })
	return out, nil
}

func (e memEntry) member() string { return fmt.Sprintf("%016d:%s", e.rev, e.ID) }

func (e memEntry) tag() string { return fmt.Sprintf("%016d:%d", e.rev, e.claim) }

// ClaimOut is session.Outbox.
func (m *Memory) ClaimOut(_ context.Context, s session.Shard, f session.Fence, lane session.Lane, now time.Time, hold time.Duration, n int) ([]session.Claimed, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if lane != session.Urgent && lane != session.Slow || hold < time.Millisecond {
		return nil, errName
	}
	k, err := m.led(s, f)
	if err != nil || n <= 0 {
		return nil, err
	}
	scores, ids := map[string]int64{}, map[string]string{}
	for id, e := range k.out {
		if e.lane == lane {
			scores[e.member()], ids[e.member()] = e.score, id
		}
	}
	var out []session.Claimed
	for _, member := range byScore(scores, now.UnixMilli(), n) {
		e := k.out[ids[member]]
		k.count++
		e.claim, e.score = k.count, now.Add(hold).UnixMilli()
		k.out[e.ID] = e
		entry := e.Entry
		entry.Body = body(entry.Body)
		out = append(out, session.Claimed{Entry: entry, Hold: e.tag()})
	}
	return out, nil
}

// Settle is session.Outbox.
func (m *Memory) Settle(_ context.Context, s session.Shard, f session.Fence, c session.Claimed, o session.Settlement) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if len(c.Hold) < 18 || c.ID == "" || o.Note != nil && (o.Note.ID == "" || o.Note.Got.IsZero()) {
		return errName
	}
	if !o.Retry.IsZero() && c.Lane != session.Urgent && c.Lane != session.Slow {
		return errName
	}
	k, err := m.led(s, f)
	if err != nil {
		return err
	}
	if o.Note != nil {
		k.take(*o.Note)
	}
	if c.PanelKey != "" {
		switch field := panelName(c.Chat, c.PanelKey); {
		case o.Panel < 0:
			delete(k.panels, field)
		case o.Panel > 0:
			k.panels[field] = o.Panel
		}
	}
	e, ok := k.out[c.ID]
	if !ok || e.tag() != c.Hold {
		return nil // replaced, cancelled, settled or claimed anew
	}
	if o.Retry.IsZero() {
		delete(k.out, c.ID)
		return nil
	}
	e.Entry = c.Entry
	e.At, e.Attempt, e.Body = o.Retry, c.Attempt+1, body(c.Body)
	e.claim, e.score = 0, o.Retry.UnixMilli()
	k.out[c.ID] = e
	return nil
}

func panelName(chat int64, key string) string { return fmt.Sprintf("%d/%s", chat, key) }

// Panel is session.Outbox.
func (m *Memory) Panel(_ context.Context, s session.Shard, chat int64, key string) (int, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	k, err := m.shard(s)
	if err != nil {
		return 0, err
	}
	return k.panels[panelName(chat, key)], nil
}

// Pending is session.Outbox.
func (m *Memory) Pending(_ context.Context, s session.Shard) (n int, oldest time.Time, err error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	k, err := m.shard(s)
	if err != nil {
		return 0, oldest, err
	}
	for _, e := range k.out {
		if made := utc(e.urgent); e.urgent != 0 && (oldest.IsZero() || made.Before(oldest)) {
			oldest = made
		}
	}
	return len(k.out), oldest, nil
}
