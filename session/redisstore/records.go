package redisstore

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"

	"github.com/redis/go-redis/v9"

	"ledgehand/session"
)

// maxChange bounds one Change: a script holds the whole server while it runs.
const maxChange = 10_000

// recordPlace binds a record's body to its key.
func (k *keys) recordPlace(key string) string { return k.record(key) }

// Load reads records at one instant.
func (st *Store) Load(ctx context.Context, s session.Shard, names ...string) (records []session.Record, err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("load records of shard %d: %w", s, err)
		}
	}()
	k, err := st.keys(s)
	if err != nil || len(names) == 0 {
		return nil, err
	}
	full, err := k.recordKeys(nil, names)
	if err != nil {
		return nil, err
	}
	_, got, err := st.run(ctx, loadScript, full)
	if err != nil {
		return nil, err
	}
	return st.openRecords(k, names, got)
}

// Begin is Done and Load at one instant.
func (st *Store) Begin(ctx context.Context, s session.Shard, cause string, names ...string) (done bool, records []session.Record, err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("begin %q in shard %d: %w", clip(cause), s, err)
		}
	}()
	k, err := st.keys(s)
	if err == nil {
		err = checkName("cause", cause)
	}
	if err != nil {
		return false, nil, err
	}
	full, err := k.recordKeys([]string{k.done(cause)}, names)
	if err != nil {
		return false, nil, err
	}
	_, got, err := st.run(ctx, beginScript, full)
	if err != nil {
		return false, nil, err
	}
	if len(got) == 0 {
		return false, nil, errors.New("script does not say whether it was done")
	}
	records, err = st.openRecords(k, names, got[1:])
	if err != nil {
		return false, nil, err
	}
	return text(got[0]) != "", records, nil
}

// recordKeys puts the keys of records after others.
func (k *keys) recordKeys(full, names []string) ([]string, error) {
	full = slices.Grow(full, len(names))
	for _, name := range names {
		if err := checkName("record key", name); err != nil {
			return nil, err
		}
		full = append(full, k.record(name))
	}
	return full, nil
}

// openRecords reads what load.lua answers.
func (st *Store) openRecords(k *keys, names []string, got []any) (records []session.Record, err error) {
	if len(got) != 2*len(names) {
		return nil, fmt.Errorf("%d values for %d records", len(got), len(names))
	}
	records = make([]session.Record, len(names))
	for i, name := range names {
		r := session.Record{Key: name}
		if v := text(got[2*i]); v != "" {
			if r.Version, err = strconv.ParseInt(v, 10, 64); err != nil {
				return nil, fmt.Errorf("version of record %q: %w", name, err)
			}
			if r.Body, err = st.sealer.Open(k.recordPlace(name), []byte(text(got[2*i+1]))); err != nil {
				return nil, fmt.Errorf("record %q: %w", name, err)
			}
		}
		records[i] = r
	}
	return records, nil
}

// Keys lists the keys that start with the prefix, sorted, a thousand a step: a record that comes or
// goes meanwhile may be listed or not, all others are.
func (st *Store) Keys(ctx context.Context, s session.Shard, prefix string) (found []string, err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("list records %q of shard %d: %w", clip(prefix), s, err)
		}
	}()
	k, err := st.keys(s)
	if err != nil {
		return nil, err
	}
	const step = 1000
	from, to := "["+prefix, "+"
	if prefix != "" {
		to = "(" + prefix + "\xff" // no name holds this byte: names are UTF-8
	}
	for {
		some, err := st.rdb.ZRangeByLex(ctx, k.recs, &redis.ZRangeBy{Min: from, Max: to, Count: step}).Result()
		if err != nil {
			return nil, explain(ctx, err)
		}
		found = append(found, some...)
		if len(some) < step {
			return found, nil
		}
		from = "(" + some[len(some)-1]
	}
}

// Done says whether a cause was committed; Redis remembers causes for 72 hours.
func (st *Store) Done(ctx context.Context, s session.Shard, cause string) (bool, error) {
	k, err := st.keys(s)
	if err == nil {
		err = checkName("cause", cause)
	}
	var n int64
	if err == nil {
		n, err = st.rdb.Exists(ctx, k.done(cause)).Result()
		err = explain(ctx, err)
	}
	if err != nil {
		return false, fmt.Errorf("look up cause %q in shard %d: %w", clip(cause), s, err)
	}
	return n == 1, nil
}

// Commit applies a Change in one step.
//
// Cancels come before posts, so a Change may cancel an entry and post another of the same id. A
// post without At may go at once; without Made it is made now; a note without Got is got now. If the
// reply to a successful commit is lost, the client asks again and the answer is ErrDone: the effect
// stands, which is what ErrDone says.
func (st *Store) Commit(ctx context.Context, s session.Shard, f session.Fence, c session.Change) error {
	k, err := st.keys(s)
	if err == nil {
		var names []string
		var args []any
		if names, args, err = st.commitArgs(k, f, c); err == nil {
			_, _, err = st.run(ctx, commitScript, names, args...)
		}
	}
	if err != nil {
		return fmt.Errorf("commit %q in shard %d: %w", clip(c.Cause), s, err)
	}
	return nil
}

// maxPiped bounds how many changes travel at once, so that the reply to the last comes well within a command's time limit.
const maxPiped = 200

// CommitAll sends changes one behind the other without waiting for the replies between. Each is a script of its own, and the server
// serves others in between; what it flushes to disk it flushes for all that came together.
func (st *Store) CommitAll(ctx context.Context, s session.Shard, f session.Fence, all []session.Change) []error {
	errs := make([]error, 0, len(all))
	for some := range slices.Chunk(all, maxPiped) {
		errs = append(errs, st.commitAll(ctx, s, f, some)...)
	}
	return errs
}

func (st *Store) commitAll(ctx context.Context, s session.Shard, f session.Fence, all []session.Change) []error {
	errs, cmds := make([]error, len(all)), make([]*redis.Cmd, len(all))
	k, err := st.keys(s)
	pipe := st.rdb.Pipeline()
	for i, c := range all {
		var names []string
		var args []any
		if errs[i] = err; err == nil {
			names, args, errs[i] = st.commitArgs(k, f, c)
		}
		if errs[i] == nil {
			cmds[i] = commitScript.EvalSha(ctx, pipe, names, args...)
		}
	}
	if pipe.Len() > 0 {
		exec(ctx, pipe)
	}
	for i, c := range all {
		switch {
		case cmds[i] != nil && redis.HasErrorPrefix(cmds[i].Err(), "NOSCRIPT"): // a server that started anew knows no scripts yet
			errs[i] = st.Commit(ctx, s, f, c)
			continue
		case cmds[i] != nil:
			_, _, errs[i] = answer(ctx, cmds[i])
		}
		if errs[i] != nil {
			errs[i] = fmt.Errorf("commit %q in shard %d: %w", clip(c.Cause), s, errs[i])
		}
	}
	return errs
}

// commitArgs checks a Change and lays out the KEYS and ARGV of commit.lua. Whatever could make a
// Redis command fail half way through the script is refused here.
func (st *Store) commitArgs(k *keys, f session.Fence, c session.Change) (names []string, args []any, err error) {
	if err := checkName("cause", c.Cause); err != nil {
		return nil, nil, err
	}
	now, err := millis("now", c.Now)
	if err != nil {
		return nil, nil, err
	}
	if c.Letter != "" {
		if err := checkSeq(c.Letter); err != nil {
			return nil, nil, err
		}
	}
	if n := len(c.Writes) + len(c.Same) + len(c.Due) + len(c.Cancel) + len(c.Post) + len(c.Notes); n > maxChange {
		return nil, nil, fmt.Errorf("%d parts in one change (limit: %d)", n, maxChange)
	}
	names = make([]string, 0, 12+len(c.Writes)+len(c.Same)+len(c.Notes))
	names = append(names, k.lead, k.done(c.Cause), k.in, k.due, k.dueFor, k.recs,
		k.urgent, k.slow, k.body, k.tag, k.made, k.count)
	args = make([]any, 0, 11+4*len(c.Writes)+2*len(c.Same)+2*len(c.Due)+len(c.Cancel)+5*len(c.Post)+3*len(c.Notes))
	args = append(args, fenceArg(f), now, memoryTTLMS, c.Letter,
		len(c.Writes), len(c.Due), len(c.Cancel), len(c.Post), len(c.Notes), seenWindowMS, len(c.Same))

	for _, r := range c.Same {
		if err := checkName("record key", r.Key); err != nil {
			return nil, nil, err
		}
		args = append(args, r.Key, strconv.FormatInt(r.Version, 10))
	}
	for i, w := range c.Writes {
		if err := checkName("record key", w.Key); err != nil {
			return nil, nil, err
		}
		if w.Version < 0 || w.Version+1 < 0 {
			return nil, nil, fmt.Errorf("record %q: version %d", w.Key, w.Version)
		}
		if slices.ContainsFunc(c.Writes[:i], func(o session.Record) bool { return o.Key == w.Key }) {
			return nil, nil, fmt.Errorf("record %q is written twice", w.Key)
		}
		names = append(names, k.record(w.Key))
		next, body := "", []byte(nil)
		if w.Body != nil {
			next = strconv.FormatInt(w.Version+1, 10)
			body = st.sealer.Seal(k.recordPlace(w.Key), w.Body)
		}
		args = append(args, w.Key, strconv.FormatInt(w.Version, 10), next, body)
	}
	for _, r := range c.Same {
		names = append(names, k.record(r.Key))
	}
	for _, d := range c.Due {
		if err := checkName("due item", d.Item); err != nil {
			return nil, nil, err
		}
		at := ""
		if !d.At.IsZero() {
			if at, err = millis("due time of "+d.Item, d.At); err != nil {
				return nil, nil, err
			}
		}
		args = append(args, d.Item, at)
	}
	for _, id := range c.Cancel {
		if err := checkName("entry to cancel", id); err != nil {
			return nil, nil, err
		}
		args = append(args, id)
	}
	for _, e := range c.Post {
		if e.At.IsZero() {
			e.At = c.Now
		}
		if e.Made.IsZero() {
			e.Made = c.Now
		}
		sealed, err := st.sealEntry(k, e)
		if err != nil {
			return nil, nil, err
		}
		at, err := millis("time of entry "+e.ID, e.At)
		if err != nil {
			return nil, nil, err
		}
		made, err := millis("making of entry "+e.ID, e.Made)
		if err != nil {
			return nil, nil, err
		}
		args = append(args, e.ID, string(e.Lane), at, made, sealed)
	}
	for _, note := range c.Notes {
		if note.Got.IsZero() {
			note.Got = c.Now
		}
		if err := checkName("note", note.ID); err != nil {
			return nil, nil, err
		}
		got, err := millis("got of note "+note.ID, note.Got)
		if err != nil {
			return nil, nil, err
		}
		names = append(names, k.seen(note.ID))
		args = append(args, note.ID, got, st.sealer.Seal(k.letterPlace(note.ID), note.Body))
	}
	return names, args, nil
}
