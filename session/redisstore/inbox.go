package redisstore

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/redis/go-redis/v9"

	"ledgehand/session"
)

// letterPlace binds a letter to its shard and id, not to its stream: bury moves it as it is.
func (k *keys) letterPlace(id string) string { return k.in + "\x00" + id }

// whyPlace binds the reason of a burial to the letter's place.
func (k *keys) whyPlace(seq string) string { return k.dead + "\x00" + seq }

// Take stores a letter unless one of the same id was got less than 48 hours before it.
func (st *Store) Take(ctx context.Context, s session.Shard, l session.Letter) (fresh bool, err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("take letter %q into shard %d: %w", clip(l.ID), s, err)
		}
	}()
	k, err := st.keys(s)
	if err != nil {
		return false, err
	}
	if err := checkName("id", l.ID); err != nil {
		return false, err
	}
	got, err := millis("got", l.Got)
	if err != nil {
		return false, err
	}
	word, _, err := st.run(ctx, takeScript, []string{k.in, k.seen(l.ID)},
		l.ID, got, st.sealer.Seal(k.letterPlace(l.ID), l.Body), seenWindowMS, memoryTTLMS)
	return word == "fresh", err
}

// Waiting lists letters, oldest first. An unreadable one has a nil Body and is named in the error;
// the others are there all the same.
func (st *Store) Waiting(ctx context.Context, s session.Shard, after string, n int) (letters []session.Letter, err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("list letters of shard %d: %w", s, err)
		}
	}()
	k, err := st.keys(s)
	if err != nil || n <= 0 {
		return nil, err
	}
	from := "-"
	if after != "" {
		if err := checkSeq(after); err != nil {
			return nil, err
		}
		from = "(" + after
	}
	found, err := st.rdb.XRangeN(ctx, k.in, from, "+", int64(n)).Result()
	if err != nil {
		return nil, explain(ctx, err)
	}
	var unreadable []error
	for _, m := range found {
		l, err := st.readLetter(k, m.ID, m)
		if err != nil {
			unreadable = append(unreadable, err)
		}
		letters = append(letters, l)
	}
	return letters, errors.Join(unreadable...)
}

// readLetter reads one entry of the inbox or of the dead letters. Without a readable body it still
// returns the place, so that the letter can be buried.
func (st *Store) readLetter(k *keys, seq string, m redis.XMessage) (session.Letter, error) {
	l := session.Letter{Seq: seq, ID: text(m.Values["i"])}
	got, err := instant(text(m.Values["t"]))
	if err != nil {
		return l, fmt.Errorf("letter %s: got: %w", seq, err)
	}
	l.Got = got
	l.Body, err = st.sealer.Open(k.letterPlace(l.ID), []byte(text(m.Values["b"])))
	if err != nil {
		return l, fmt.Errorf("letter %s (id %q): %w", seq, l.ID, err)
	}
	return l, nil
}

// Discard drops a letter. One that is gone already is fine.
func (st *Store) Discard(ctx context.Context, s session.Shard, f session.Fence, seq string) error {
	k, err := st.keys(s)
	if err == nil {
		err = checkSeq(seq)
	}
	if err == nil {
		_, _, err = st.run(ctx, discardScript, []string{k.lead, k.in}, fenceArg(f), seq)
	}
	if err != nil {
		return fmt.Errorf("discard letter %q of shard %d: %w", clip(seq), s, err)
	}
	return nil
}

// Bury moves a letter to the dead letters, of which the newest 1000 are kept. One that is gone already is fine.
func (st *Store) Bury(ctx context.Context, s session.Shard, f session.Fence, seq, why string) error {
	k, err := st.keys(s)
	if err == nil {
		err = checkSeq(seq)
	}
	if err == nil {
		_, _, err = st.run(ctx, buryScript, []string{k.lead, k.in, k.dead},
			fenceArg(f), seq, st.sealer.Seal(k.whyPlace(seq), []byte(why)), strconv.Itoa(maxBuried))
	}
	if err != nil {
		return fmt.Errorf("bury letter %q of shard %d: %w", clip(seq), s, err)
	}
	return nil
}

// Buried lists dead letters, newest first; unreadable ones as in Waiting.
func (st *Store) Buried(ctx context.Context, s session.Shard, n int) (dead []session.DeadLetter, err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("list dead letters of shard %d: %w", s, err)
		}
	}()
	k, err := st.keys(s)
	if err != nil || n <= 0 {
		return nil, err
	}
	found, err := st.rdb.XRevRangeN(ctx, k.dead, "+", "-", int64(n)).Result()
	if err != nil {
		return nil, explain(ctx, err)
	}
	var unreadable []error
	for _, m := range found {
		seq := text(m.Values["q"])
		l, err := st.readLetter(k, seq, m)
		if err != nil {
			unreadable = append(unreadable, err)
		}
		why, err := st.sealer.Open(k.whyPlace(seq), []byte(text(m.Values["w"])))
		if err != nil {
			unreadable = append(unreadable, fmt.Errorf("reason for letter %s: %w", seq, err))
		}
		dead = append(dead, session.DeadLetter{Letter: l, Why: string(why)})
	}
	return dead, errors.Join(unreadable...)
}

// checkSeq refuses what Redis would not take as a place in a stream; inside a script that would be an
// error after other writes.
func checkSeq(seq string) error {
	ms, n, ok := strings.Cut(seq, "-")
	if ok {
		_, err1 := strconv.ParseUint(ms, 10, 64)
		_, err2 := strconv.ParseUint(n, 10, 64)
		ok = err1 == nil && err2 == nil
	}
	if !ok {
		return fmt.Errorf("%q is not a place in an inbox", clip(seq))
	}
	return nil
}

// clip shortens a name for an error text.
func clip(name string) string {
	if len(name) > 80 {
		return name[:77] + "..."
	}
	return name
}
