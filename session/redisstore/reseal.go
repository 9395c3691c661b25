package redisstore

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"ledgehand/session"
)

// ErrOldKeys means that the replica that serves could not open what is sealed with the first key: it was started before
// that key was put into the file.
var ErrOldKeys = errors.New("the replica that serves does not know the first key")

// Resealed is what Reseal did in one shard.
type Resealed struct {
	From   map[string]int // bodies sealed anew, by the id of the key they were sealed with
	Closed map[string]int // bodies that do not open, left as they are, by the id of their key ("" when damaged beyond that)
	Left   int            // bodies under older keys that others kept writing while we looked
}

// resealPasses is how often a shard is looked through: what others write under an older key meanwhile comes next time.
const resealPasses = 5

// keyIDs are the ids of the keys the sealer has, the one that seals first; none when it does not tell.
func (st *Store) keyIDs() []string {
	if ring, ok := st.sealer.(interface{ IDs() []string }); ok {
		return ring.IDs()
	}
	return nil
}

// Reseal seals every body of a shard that was sealed with another key than the first with that one. Nothing else changes:
// no version, no order, no id, so a replica may serve meanwhile; a body that is written at the same moment stays as it
// was written. It may be broken off and run again. ErrOldKeys when a replica serves that could not read the result.
func (st *Store) Reseal(ctx context.Context, s session.Shard, now time.Time) (done Resealed, err error) {
	done = Resealed{From: map[string]int{}}
	defer func() {
		if err != nil {
			err = fmt.Errorf("seal shard %d anew: %w", s, err)
		}
	}()
	k, err := st.keys(s)
	if err != nil {
		return done, err
	}
	ids := st.keyIDs()
	if len(ids) == 0 {
		return done, errors.New("the sealer does not name its keys")
	}
	for range resealPasses {
		owner, ring, err := st.serving(ctx, k, now)
		if err != nil {
			return done, err
		}
		if owner != "" && !slices.Contains(strings.Fields(ring), ids[0]) {
			return done, fmt.Errorf("%w (%s): start it anew with this key file, then seal anew", ErrOldKeys, ids[0])
		}
		old, err := st.oldBodies(ctx, s, ids[0], &done)
		if err != nil || len(old) == 0 {
			done.Left = 0
			return done, err
		}
		done.Left = len(old)
		for where, bodies := range old {
			if err := st.resealAt(ctx, where, bodies, &done); err != nil {
				return done, err
			}
		}
	}
	return done, nil
}

// oldBodies are those to be sealed anew: of each stream all, since it is laid anew as a whole; of hashes some at a time.
func (st *Store) oldBodies(ctx context.Context, s session.Shard, first string, done *Resealed) (map[string][]Body, error) {
	old := map[string][]Body{}
	done.Closed = map[string]int{}
	err := st.Bodies(ctx, s, func(b Body) error {
		switch {
		case b.Err != nil:
			done.Closed[b.KeyID]++
		case b.KeyID == first:
		case b.Kind == RecordBody || b.Kind == EntryBody:
			old["hashes"] = append(old["hashes"], b)
		default:
			old[b.at] = append(old[b.at], b)
		}
		return nil
	})
	return old, err
}

func (st *Store) resealAt(ctx context.Context, where string, bodies []Body, done *Resealed) error {
	stream := where != "hashes"
	if stream {
		n, err := st.rdb.XLen(ctx, where).Result()
		if err != nil {
			return explain(ctx, err)
		}
		if n > maxChange { // a script holds the whole server while it runs
			return fmt.Errorf("%d letters wait (at most %d can be laid anew at once): let serve work them off first", n, maxChange)
		}
	}
	step := 50
	if stream {
		step = len(bodies)
	}
	for some := range slices.Chunk(bodies, step) {
		var names []string
		var args []any
		for _, b := range some {
			if stream {
				args = append(args, b.entry)
			} else {
				names = append(names, b.at)
			}
			args = append(args, b.field, b.sealed, st.sealer.Seal(b.place, b.Plain))
		}
		script := resealHashScript
		if stream {
			script, names = resealStreamScript, []string{where}
		}
		_, got, err := st.run(ctx, script, names, args...)
		if err != nil {
			return err
		}
		if len(got) != 1 {
			return fmt.Errorf("script answered %d values", len(got))
		}
		n, _ := got[0].(int64)
		// Which of them others wrote first is not told; nearly always none.
		for i, b := range some {
			if int64(i) < n {
				done.From[b.KeyID]++
			}
		}
	}
	return nil
}
