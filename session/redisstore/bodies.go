package redisstore

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/redis/go-redis/v9"

	"ledgehand/session"
)

// A BodyKind is where a sealed body lies.
type BodyKind string

// The places there are.
const (
	RecordBody BodyKind = "record"
	EntryBody  BodyKind = "outbox entry"
	LetterBody BodyKind = "letter"
	DeadBody   BodyKind = "dead letter"
	ReasonBody BodyKind = "reason" // why a dead letter was buried
)

// A Body is one sealed thing that is stored, for the operator's checks.
type Body struct {
	Kind  BodyKind
	Name  string    // a record's key, an entry's or a letter's id
	Seq   string    // of letters and reasons: the letter's place in the inbox
	Got   time.Time // of letters and reasons: when the letter was received
	KeyID string    // the key it was sealed with, "" when it is no sealed body at all
	Plain []byte    // what is in it; nil when Err is not
	Err   error     // why it cannot be opened: *UnknownKeyError or ErrBroken

	place, at, field, entry, sealed string
}

// bodyStep is how many bodies are fetched at once.
const bodyStep = 200

// Bodies shows every sealed body of a shard to fn, opened where it can be. What comes or goes meanwhile may be shown or
// not. An error of fn ends it.
func (st *Store) Bodies(ctx context.Context, s session.Shard, fn func(Body) error) (err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("read what is stored in shard %d: %w", s, err)
		}
	}()
	k, err := st.keys(s)
	if err != nil {
		return err
	}
	show := func(b Body) error {
		b.KeyID = keyOf(b.sealed)
		b.Plain, b.Err = st.sealer.Open(b.place, []byte(b.sealed))
		return fn(b)
	}
	if err := st.recordBodies(ctx, s, k, show); err != nil {
		return err
	}
	if err := st.entryBodies(ctx, k, show); err != nil {
		return err
	}
	err = st.streamBodies(ctx, k.in, func(m redis.XMessage, got time.Time) error {
		id := text(m.Values["i"])
		return show(Body{Kind: LetterBody, Name: id, Seq: m.ID, Got: got, place: k.letterPlace(id), at: k.in, entry: m.ID, field: "b", sealed: text(m.Values["b"])})
	})
	if err != nil {
		return err
	}
	return st.streamBodies(ctx, k.dead, func(m redis.XMessage, got time.Time) error {
		id, seq := text(m.Values["i"]), text(m.Values["q"])
		err := show(Body{Kind: DeadBody, Name: id, Seq: seq, Got: got, place: k.letterPlace(id), at: k.dead, entry: m.ID, field: "b", sealed: text(m.Values["b"])})
		if err != nil {
			return err
		}
		return show(Body{Kind: ReasonBody, Name: id, Seq: seq, Got: got, place: k.whyPlace(seq), at: k.dead, entry: m.ID, field: "w", sealed: text(m.Values["w"])})
	})
}

func (st *Store) recordBodies(ctx context.Context, s session.Shard, k *keys, show func(Body) error) error {
	names, err := st.Keys(ctx, s, "")
	if err != nil {
		return err
	}
	for len(names) > 0 {
		some := names[:min(bodyStep, len(names))]
		names = names[len(some):]
		got := make([]*redis.StringCmd, len(some))
		_, err := st.rdb.Pipelined(ctx, func(p redis.Pipeliner) error {
			for i, name := range some {
				got[i] = p.HGet(ctx, k.record(name), "b")
			}
			return nil
		})
		if err != nil && !errors.Is(err, redis.Nil) {
			return explain(ctx, err)
		}
		for i, name := range some {
			sealed, err := got[i].Result()
			if errors.Is(err, redis.Nil) {
				continue // deleted meanwhile
			}
			if err != nil {
				return explain(ctx, err)
			}
			if err := show(Body{Kind: RecordBody, Name: name, place: k.recordPlace(name), at: k.record(name), field: "b", sealed: sealed}); err != nil {
				return err
			}
		}
	}
	return nil
}

func (st *Store) entryBodies(ctx context.Context, k *keys, show func(Body) error) error {
	seen := map[string]bool{} // a scan may show one twice
	for cursor := uint64(0); ; {
		pairs, next, err := st.rdb.HScan(ctx, k.body, cursor, "", bodyStep).Result()
		if err != nil {
			return explain(ctx, err)
		}
		for i := 0; i+1 < len(pairs); i += 2 {
			id := pairs[i]
			if seen[id] {
				continue
			}
			seen[id] = true
			if err := show(Body{Kind: EntryBody, Name: id, place: k.entryPlace(id), at: k.body, field: id, sealed: pairs[i+1]}); err != nil {
				return err
			}
		}
		if cursor = next; cursor == 0 {
			return nil
		}
	}
}

func (st *Store) streamBodies(ctx context.Context, stream string, show func(m redis.XMessage, got time.Time) error) error {
	for from := "-"; ; {
		found, err := st.rdb.XRangeN(ctx, stream, from, "+", bodyStep).Result()
		if err != nil {
			return explain(ctx, err)
		}
		for _, m := range found {
			got, _ := instant(text(m.Values["t"]))
			if err := show(m, got); err != nil {
				return err
			}
			from = "(" + m.ID
		}
		if len(found) < bodyStep {
			return nil
		}
	}
}
