package session

import (
	"context"
	"errors"
	"time"
)

// A Store keeps everything that must survive: what came in, what is true, what is due,
// what is still to be said. All of one crew lives in one shard, so that every commit is
// one atomic step there (invariants I1 to I4). Implementations seal every body they are
// handed; ids, scores and versions stay in the clear.
//
// The contract, which storetest checks on every implementation:
//
//   - Take stores a raw update durably and at most once per id before it returns.
//   - Commit applies all of a Change or none of it, at most once per Change.Cause.
//   - A due item never leaves the index but in a Commit; ClaimDue only moves it later.
//   - An entry never leaves the outbox but in a Commit that cancels it, or in Settle.
type Store interface {
	Inbox
	Records
	Deadlines
	Outbox
}

// Errors a Store returns, wrapped with what was being done.
var (
	// ErrDone means the cause was committed before: its effect stands, nothing changed now.
	ErrDone = errors.New("already committed")
	// ErrConflict means a record changed since it was loaded: load again and decide anew.
	ErrConflict = errors.New("record changed since it was read")
	// ErrFenced means another replica took the shard over: stop serving it.
	ErrFenced = errors.New("shard is served by another replica")
	// ErrUnavailable means the store cannot be reached or refuses writes; nothing may be confirmed to anyone.
	ErrUnavailable = errors.New("store unavailable")
)

// Shards is how many shards there are. It is part of the stored layout and never changes.
const Shards = 64

// Shard is a number in [0, Shards).
type Shard int

// Fence is the number a replica got when it took a shard; a Commit or Settle with an older number is refused.
type Fence int64

// Letter is one raw thing in the inbox, oldest first.
type Letter struct {
	Seq  string    // the place in the shard's inbox, assigned by the store
	ID   string    // the update's own id (or the cause of an internal event)
	Got  time.Time // when it was received, UTC, to the millisecond
	Body []byte    // raw, as received
}

// Inbox holds what came in and has not had its effect yet.
type Inbox interface {
	// Take stores a letter unless one of the same id was taken in the last 48 hours; fresh says which.
	Take(ctx context.Context, s Shard, l Letter) (fresh bool, err error)
	// Waiting lists up to n letters after the given place ("" from the start), oldest first. They stay.
	Waiting(ctx context.Context, s Shard, after string, n int) ([]Letter, error)
	// Discard drops a letter that has no effect to commit. A letter with an effect leaves through Change.Letter.
	Discard(ctx context.Context, s Shard, f Fence, seq string) error
	// Bury moves a letter that cannot be read to the dead letters, with the reason, for the operator.
	Bury(ctx context.Context, s Shard, f Fence, seq, why string) error
	// Buried lists up to n dead letters, newest first; Seq and ID and Got as they were, Body as received.
	Buried(ctx context.Context, s Shard, n int) ([]DeadLetter, error)
}

// DeadLetter is a letter nobody could read.
type DeadLetter struct {
	Letter
	Why string
}

// Record is one stored document. Version 0 means that there is none yet.
type Record struct {
	Key     string
	Version int64
	Body    []byte // nil when Version is 0
}

// Records are the truth; everything else is an index of them or on its way out.
type Records interface {
	// Load reads the named records of one shard, in the order asked. Missing ones have version 0.
	Load(ctx context.Context, s Shard, keys ...string) ([]Record, error)
	// Keys lists all record keys of a shard that start with the prefix, in any order (for the reconciler).
	Keys(ctx context.Context, s Shard, prefix string) ([]string, error)
	// Commit applies one change atomically. ErrDone, ErrConflict, ErrFenced or ErrUnavailable.
	Commit(ctx context.Context, s Shard, f Fence, c Change) error
	// CommitAll applies changes in their order, each as Commit does and apart from the others, in one round trip for many. The errors
	// are those of the changes, nil for each that was applied: one that is refused keeps no other from its effect.
	CommitAll(ctx context.Context, s Shard, f Fence, all []Change) []error
	// Done says whether a cause was committed before.
	Done(ctx context.Context, s Shard, cause string) (bool, error)
	// Begin is Done and Load at one instant, in one round trip.
	Begin(ctx context.Context, s Shard, cause string, keys ...string) (done bool, records []Record, err error)
}

// Change is everything one cause does, in one shard, in one step.
type Change struct {
	Cause  string    // what this is the effect of: "u123" for an update, "due:outing/x@1700000000000" for a sweep
	Now    time.Time // the instant of the change; ages the memory of causes (kept at least 48 hours)
	Letter string    // the Seq of the inbox letter that this settles; "" for none
	Writes []Record  // Version is the one loaded; the stored one becomes Version+1. A nil Body deletes.
	Same   []Record  // not written, but what follows was derived from them: they must still have the Version loaded (0: none)
	Due    []DueItem // set (At non-zero) or removed (At zero)
	Post   []Entry   // to the outbox; an entry with the ID of a waiting one replaces it (that is how edits coalesce)
	Cancel []string  // outbox entry ids that must not go out any more; unknown ids are fine
	Notes  []Letter  // internal events for this shard's own inbox (Seq is assigned), deduplicated by ID like Take
}

// DueItem is one line of the due index.
type DueItem struct {
	Item string // the record key it looks at, e.g. "outing/k3f9"
	At   time.Time
}

// Deadlines is the due index: which record wants the next look, and when.
type Deadlines interface {
	// ClaimDue returns up to n items whose time is at or before now, oldest first, each moved to now+hold
	// so that nobody else takes it meanwhile. At is the time it was due for. It never removes one.
	ClaimDue(ctx context.Context, s Shard, f Fence, now time.Time, hold time.Duration, n int) ([]DueItem, error)
	// AllDue lists the whole index of a shard with its times, for the reconciler and for health.
	AllDue(ctx context.Context, s Shard) ([]DueItem, error)
}

// Lane says how much an entry of the outbox matters.
type Lane string

// The lanes. Everything that a person's safety depends on is Urgent and never waits behind Slow.
const (
	Urgent Lane = "urgent"
	Slow   Lane = "slow"
)

// Entry is one message on its way out. Body is the chat.Message as JSON; the store does not look inside.
type Entry struct {
	ID       string    `json:"id"`                  // the same message always has the same id
	Lane     Lane      `json:"lane"`                //
	Chat     int64     `json:"chat"`                // where it goes, for per-chat order and limits
	At       time.Time `json:"at"`                  // not before
	Made     time.Time `json:"made"`                // when it was decided
	Attempt  int       `json:"attempt,omitempty"`   // how often it was tried
	About    string    `json:"about,omitempty"`     // what wants to hear how it fared, e.g. "outing/k3f9"; "" for nobody
	Alert    bool      `json:"alert,omitempty"`     // an alert: resent on unknown outcome, never given up
	PanelKey string    `json:"panel_key,omitempty"` // the panel it posts or edits
	Body     []byte    `json:"body"`
}

// Outbox holds what was decided to be said and has not been taken by the chat service yet.
type Outbox interface {
	// ClaimOut returns up to n entries of the lane whose time has come, oldest first, each held until now+hold.
	// Hold says which claim it was: Settle with an outdated one changes nothing but the panel.
	ClaimOut(ctx context.Context, s Shard, f Fence, lane Lane, now time.Time, hold time.Duration, n int) ([]Claimed, error)
	// Settle ends or postpones a claimed entry: Retry non-zero keeps it for then (Attempt+1), else it leaves.
	// Panel, when non-zero, remembers the message id under the entry's chat and PanelKey; a negative one forgets it.
	// Note, when not nil, goes into the shard's inbox in the same step, so that a refusal is never lost.
	// If the entry was replaced or cancelled since the claim, the newer state stays.
	Settle(ctx context.Context, s Shard, f Fence, c Claimed, o Settlement) error
	// Panel is the message id last posted in this chat under this name, 0 for none.
	Panel(ctx context.Context, s Shard, chat int64, key string) (int, error)
	// Pending counts what waits in the outbox of a shard, and the oldest Made among Urgent entries (zero if none).
	Pending(ctx context.Context, s Shard) (count int, oldestUrgent time.Time, err error)
}

// Claimed is an entry held by us for a while.
type Claimed struct {
	Entry
	Hold string // opaque: the revision of the entry that was claimed
}

// Settlement is how an attempt ended.
type Settlement struct {
	Retry time.Time
	Panel int
	Note  *Letter
}

// Leases decide which replica serves a shard.
type Leases interface {
	// Lead takes the shard for owner until now+ttl if it is free, run out, or already owner's, and returns the fence
	// number. A new owner gets a higher number than anyone before; a renewal keeps it. ErrFenced if another holds it.
	Lead(ctx context.Context, s Shard, owner string, now time.Time, ttl time.Duration) (Fence, error)
	// Resign gives the shard up at once, if owner holds it.
	Resign(ctx context.Context, s Shard, owner string) error
}

// Backlog is what waits in a shard at one instant: numbers and instants, nothing of what is in it. A zero instant means
// that nothing waits there.
type Backlog struct {
	Letters      int       // in the inbox
	OldestLetter time.Time // when the oldest of them was got
	Dead         int       // letters put aside
	OldestDue    time.Time // the earliest look the index wants, in the future mostly; a held item counts by what it is due for
	Urgent, Slow int       // in the outbox, held ones included
	OldestUrgent time.Time // when the oldest urgent entry was decided
}

// Gauge tells those who watch the bot how its store fares. It needs no fence: anybody may look.
type Gauge interface {
	// Backlog costs by what is held and waits first, not by what is open.
	Backlog(ctx context.Context, s Shard) (Backlog, error)
	// TryWrite writes the instant down and nothing else, to see that the store takes writes. ErrUnavailable if it does not.
	TryWrite(ctx context.Context, s Shard, now time.Time) error
}
