// Package redisstore keeps a session.Store and its leases in Redis: one server (7.0 or newer), a
// Sentinel group or a Cluster, with the same keys and scripts on each.
//
// Every change is one Lua script that touches one slot, checks everything before it writes
// anything, and may be sent twice: the client re-sends after a lost reply. Bodies are sealed here
// before they travel; ids, scores and versions stay readable, because Redis sorts by them.
//
// It does not make Redis durable. Whether an answer survives a power cut is decided by the server's
// append-only file and how it is flushed, which Check looks at; replicas of Sentinel and Cluster follow with a delay, so a
// failover can lose the last moments of what was confirmed.
//
// Instants are kept to the millisecond, cut off, within the years that fit 2^53 milliseconds.
// Names (ids, record keys, causes, panel keys) are UTF-8 of 1 to 512 bytes.
package redisstore

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"strconv"
	"time"
	"unicode/utf8"

	"github.com/redis/go-redis/v9"
	"github.com/redis/go-redis/v9/maintnotifications"

	"ledgehand/session"
)

// Options say where Redis is and how to talk to it.
type Options struct {
	Addrs    []string // host:port, or the path of a unix socket; several mean a Cluster, or the Sentinels when MasterName is set
	Cluster  bool     // a Cluster although Addrs names only one of its nodes
	Username string
	Password string
	DB       int // must be 0 on a Cluster

	MasterName       string // the master's name at the Sentinels
	SentinelUsername string
	SentinelPassword string

	TLS    bool                                                              // TLS 1.2 or newer, certificates checked against the system's roots
	Dialer func(ctx context.Context, network, addr string) (net.Conn, error) // optional; brings its own TLS if it wants any

	Sealer Sealer // seals every body; required
	Prefix string // begins every key; "ledgehand" if empty. It is part of what is sealed: a store cannot be renamed.
}

// Time limits of one command. The client tries a command at most 1 + maxRetries times, so an
// unreachable server is reported within about ten seconds, sooner if the context ends first.
const (
	dialTimeout = 2 * time.Second
	ioTimeout   = 2 * time.Second
	poolTimeout = 3 * time.Second
	maxRetries  = 2
)

const (
	// seenWindow is how long a second letter of one id counts as a repeat; Telegram repeats for 24 hours.
	seenWindow = 48 * time.Hour
	// memoryTTL is when Redis may forget ids and causes; well beyond what they count for.
	memoryTTL = 72 * time.Hour
	// maxBuried is how many dead letters are kept.
	maxBuried = 1000
	// maxName is the longest id, key, cause or owner in bytes.
	maxName = 512
	// maxMillis is the greatest whole number that a score keeps exactly, 2^53.
	maxMillis = 1 << 53
)

var (
	seenWindowMS = strconv.FormatInt(seenWindow.Milliseconds(), 10)
	memoryTTLMS  = strconv.FormatInt(memoryTTL.Milliseconds(), 10)
)

// Store is a session.Store and session.Leases in Redis. It is safe for concurrent use.
//
// A body that cannot be opened does not hide its neighbours: Waiting, Buried and ClaimOut return
// everything they found, an unreadable one with a nil Body, together with an error that names it.
type Store struct {
	rdb    redis.UniversalClient
	sealer Sealer
	prefix string
	shards [session.Shards]keys
}

var (
	_ session.Store  = (*Store)(nil)
	_ session.Leases = (*Store)(nil)
)

// Open connects and asks for one sign of life. Close the store when done.
func Open(ctx context.Context, o Options) (*Store, error) {
	if len(o.Addrs) == 0 {
		return nil, errors.New("open redis store: no address")
	}
	if o.Sealer == nil {
		return nil, errors.New("open redis store: no sealing key")
	}
	if o.Prefix == "" {
		o.Prefix = defaultPrefix
	}
	if err := checkPrefix(o.Prefix); err != nil {
		return nil, fmt.Errorf("open redis store: %w", err)
	}
	cluster := o.MasterName == "" && (o.Cluster || len(o.Addrs) > 1)
	if cluster && o.DB != 0 {
		return nil, fmt.Errorf("open redis store: database %d on a cluster (it has only 0)", o.DB)
	}
	st := &Store{rdb: redis.NewUniversalClient(universal(o, cluster)), sealer: o.Sealer, prefix: o.Prefix}
	for s := range st.shards {
		st.shards[s] = keysOf(o.Prefix, session.Shard(s))
	}
	if err := st.rdb.Ping(ctx).Err(); err != nil {
		return nil, errors.Join(fmt.Errorf("open redis store: %w", explain(ctx, err)), st.rdb.Close())
	}
	return st, nil
}

func universal(o Options, cluster bool) *redis.UniversalOptions {
	u := &redis.UniversalOptions{
		Addrs:            o.Addrs,
		IsClusterMode:    cluster,
		ClientName:       "ledgehand",
		Username:         o.Username,
		Password:         o.Password,
		DB:               o.DB,
		MasterName:       o.MasterName,
		SentinelUsername: o.SentinelUsername,
		SentinelPassword: o.SentinelPassword,
		Dialer:           o.Dialer,

		MaxRetries:    maxRetries,
		DialTimeout:   dialTimeout,
		DialerRetries: 1, // a command's own retries dial again; five attempts in each would add up to half a minute
		ReadTimeout:   ioTimeout,
		WriteTimeout:  ioTimeout,
		PoolTimeout:   poolTimeout,
		// Without this a caller's deadline would not reach a read that hangs.
		ContextTimeoutEnabled: true,

		// Not understood by servers before 7.2; the name above is enough to find us in CLIENT LIST.
		DisableIdentity:          true,
		MaintNotificationsConfig: &maintnotifications.Config{Mode: maintnotifications.ModeDisabled},
	}
	if o.TLS {
		u.TLSConfig = &tls.Config{MinVersion: tls.VersionTLS12}
	}
	return u
}

// Close ends all connections.
func (st *Store) Close() error {
	if err := st.rdb.Close(); err != nil {
		return fmt.Errorf("close redis store: %w", err)
	}
	return nil
}

// keys names the keys of a shard, if there is such a shard.
func (st *Store) keys(s session.Shard) (*keys, error) {
	if s < 0 || int(s) >= len(st.shards) {
		return nil, fmt.Errorf("shard %d (there are %d)", s, len(st.shards))
	}
	return &st.shards[s], nil
}

// run runs a script and returns what follows its word. Refusals come back as the errors of session.
func (st *Store) run(ctx context.Context, sc *redis.Script, keys []string, args ...any) (string, []any, error) {
	return answer(ctx, sc.Run(ctx, st.rdb, keys, args...))
}

// answer reads what a script answered.
func answer(ctx context.Context, cmd *redis.Cmd) (string, []any, error) {
	reply, err := cmd.Slice()
	if err != nil {
		return "", nil, explain(ctx, err)
	}
	if len(reply) == 0 {
		return "", nil, errors.New("script answered nothing")
	}
	word, _ := reply[0].(string)
	rest := reply[1:]
	switch word {
	case "fenced":
		if len(rest) == 1 {
			return word, nil, fmt.Errorf("%w: %q", session.ErrFenced, rest[0])
		}
		return word, nil, session.ErrFenced
	case "done":
		return word, nil, session.ErrDone
	case "conflict":
		return word, nil, fmt.Errorf("%w: record %q", session.ErrConflict, rest[0])
	}
	return word, rest, nil
}

// text is an element of a reply that is a string; anything else is a bug of a script and reads as "".
func text(reply any) string {
	s, _ := reply.(string)
	return s
}

// millis writes an instant as whole milliseconds since 1970.
func millis(what string, t time.Time) (string, error) {
	if t.IsZero() {
		return "", fmt.Errorf("%s: no instant given", what)
	}
	ms := t.UnixMilli()
	if ms > maxMillis || ms < -maxMillis {
		return "", fmt.Errorf("%s: the year %d is out of range", what, t.Year())
	}
	return strconv.FormatInt(ms, 10), nil
}

// instant reads what millis wrote. Scores come back from some servers as floating point.
func instant(ms string) (time.Time, error) {
	n, err := strconv.ParseInt(ms, 10, 64)
	if err != nil {
		f, ferr := strconv.ParseFloat(ms, 64)
		if ferr != nil || f != f || f > maxMillis || f < -maxMillis {
			return time.Time{}, fmt.Errorf("%q is not an instant in milliseconds", ms)
		}
		n = int64(f)
	}
	return time.UnixMilli(n).UTC(), nil
}

// checkName refuses what cannot be a name in a key or field.
func checkName(what, name string) error {
	switch {
	case name == "":
		return fmt.Errorf("%s: empty", what)
	case len(name) > maxName:
		return fmt.Errorf("%s: %d bytes long (limit: %d)", what, len(name), maxName)
	case !utf8.ValidString(name):
		return fmt.Errorf("%s %q: not UTF-8", what, name)
	}
	return nil
}

// fenceArg writes a fence number.
func fenceArg(f session.Fence) string { return strconv.FormatInt(int64(f), 10) }

// holdArgs writes the now and the end of a hold, which must lie ahead, or the claim would not hold anything.
func holdArgs(now time.Time, hold time.Duration) (from, until string, err error) {
	if hold < time.Millisecond {
		return "", "", fmt.Errorf("hold of %v (must be at least 1ms)", hold)
	}
	if from, err = millis("now", now); err != nil {
		return "", "", err
	}
	until, err = millis("end of the hold", now.Add(hold))
	return from, until, err
}
