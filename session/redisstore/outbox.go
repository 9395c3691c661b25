package redisstore

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"time"

	"github.com/redis/go-redis/v9"

	"ledgehand/session"
)

// entryPlace binds a sealed entry to its id.
func (k *keys) entryPlace(id string) string { return k.body + "\x00" + id }

// sealEntry checks an entry and closes all of it: chat and subject are nobody's business either.
func (st *Store) sealEntry(k *keys, e session.Entry) ([]byte, error) {
	if err := checkName("entry", e.ID); err != nil {
		return nil, err
	}
	if e.Lane != session.Urgent && e.Lane != session.Slow {
		return nil, fmt.Errorf("entry %q: no lane is called %q", e.ID, e.Lane)
	}
	for _, n := range []struct{ what, name string }{{"panel of entry", e.PanelKey}, {"subject of entry", e.About}} {
		if n.name != "" {
			if err := checkName(n.what+" "+e.ID, n.name); err != nil {
				return nil, err
			}
		}
	}
	plain, err := json.Marshal(e)
	if err != nil {
		return nil, fmt.Errorf("entry %q: %w", e.ID, err)
	}
	return st.sealer.Seal(k.entryPlace(e.ID), plain), nil
}

// openEntry reads what sealEntry wrote. The id is there in any case.
func (st *Store) openEntry(k *keys, id, sealed string) (session.Entry, error) {
	plain, err := st.sealer.Open(k.entryPlace(id), []byte(sealed))
	if err != nil {
		return session.Entry{ID: id}, fmt.Errorf("entry %q: %w", id, err)
	}
	var e session.Entry
	if err := json.Unmarshal(plain, &e); err != nil {
		return session.Entry{ID: id}, fmt.Errorf("entry %q: %w", id, err)
	}
	if e.Body == nil {
		e.Body = []byte{} // nil means unreadable
	}
	return e, nil
}

// ClaimOut holds entries of one lane, in the order of their time, those of one millisecond as they
// were posted. An unreadable one comes with nothing but its id, lane and Hold and is named in the
// error; the others are there all the same, held and to be sent. A lost reply: see ClaimDue.
func (st *Store) ClaimOut(ctx context.Context, s session.Shard, f session.Fence, lane session.Lane, now time.Time, hold time.Duration, n int) (claimed []session.Claimed, err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("claim %s entries of shard %d: %w", lane, s, err)
		}
	}()
	k, err := st.keys(s)
	if err != nil || n <= 0 {
		return nil, err
	}
	if lane != session.Urgent && lane != session.Slow {
		return nil, fmt.Errorf("no lane is called %q", lane)
	}
	from, until, err := holdArgs(now, hold)
	if err != nil {
		return nil, err
	}
	_, got, err := st.run(ctx, claimOutScript, []string{k.lead, k.lane(lane), k.tag, k.body, k.count},
		fenceArg(f), from, until, strconv.Itoa(n))
	if err != nil {
		return nil, err
	}
	var unreadable []error
	for i := 0; i+2 < len(got); i += 3 {
		e, err := st.openEntry(k, text(got[i]), text(got[i+2]))
		if err != nil {
			unreadable = append(unreadable, err)
			e.Lane = lane
		}
		claimed = append(claimed, session.Claimed{Entry: e, Hold: text(got[i+1])})
	}
	return claimed, errors.Join(unreadable...)
}

// Settle ends or postpones a claimed entry. A claim that is outdated is no error: what is newer
// stays, panel and note are kept. Without a PanelKey there is no panel to remember.
func (st *Store) Settle(ctx context.Context, s session.Shard, f session.Fence, c session.Claimed, o session.Settlement) error {
	k, err := st.keys(s)
	if err == nil {
		err = st.settle(ctx, k, f, c, o)
	}
	if err != nil {
		return fmt.Errorf("settle entry %q of shard %d: %w", clip(c.ID), s, err)
	}
	return nil
}

func (st *Store) settle(ctx context.Context, k *keys, f session.Fence, c session.Claimed, o session.Settlement) error {
	if len(c.Hold) < 18 {
		return fmt.Errorf("%q is no hold", c.Hold)
	}
	// All is checked before anything is sent, even when the entry only ends.
	again := c.Entry
	retry, sealed := "", []byte(nil)
	if !o.Retry.IsZero() {
		var err error
		if retry, err = millis("retry", o.Retry); err != nil {
			return err
		}
		again.At, again.Attempt = o.Retry, again.Attempt+1
		if sealed, err = st.sealEntry(k, again); err != nil {
			return err
		}
	} else if err := checkName("entry", c.ID); err != nil {
		return err
	}
	field, panel := panelField(c.Chat, c.PanelKey), ""
	if c.PanelKey != "" {
		switch {
		case o.Panel < 0:
			panel = "-"
		case o.Panel > 0:
			panel = strconv.Itoa(o.Panel)
		}
	}
	seen, noteID, noteGot, noteBody := k.in, "", "", []byte(nil)
	if o.Note != nil {
		if err := checkName("note", o.Note.ID); err != nil {
			return err
		}
		var err error
		if noteGot, err = millis("got of note "+o.Note.ID, o.Note.Got); err != nil {
			return err
		}
		seen, noteID = k.seen(o.Note.ID), o.Note.ID
		noteBody = st.sealer.Seal(k.letterPlace(noteID), o.Note.Body)
	}
	_, _, err := st.run(ctx, settleScript,
		[]string{k.lead, k.lane(c.Lane), k.body, k.tag, k.made, k.panels, k.in, seen},
		fenceArg(f), c.ID, c.Hold, retry, sealed, field, panel,
		noteID, noteGot, noteBody, seenWindowMS, memoryTTLMS)
	return err
}

// Panel is the message id last remembered for a chat and panel key, 0 for none.
func (st *Store) Panel(ctx context.Context, s session.Shard, chat int64, key string) (int, error) {
	k, err := st.keys(s)
	id := 0
	if err == nil {
		id, err = st.rdb.HGet(ctx, k.panels, panelField(chat, key)).Int()
		if errors.Is(err, redis.Nil) {
			return 0, nil
		}
		err = explain(ctx, err)
	}
	if err != nil {
		return 0, fmt.Errorf("look up panel %q in shard %d: %w", clip(key), s, err)
	}
	return id, nil
}

// Pending counts both lanes, held entries included.
func (st *Store) Pending(ctx context.Context, s session.Shard) (count int, oldestUrgent time.Time, err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("count the outbox of shard %d: %w", s, err)
		}
	}()
	k, err := st.keys(s)
	if err != nil {
		return 0, time.Time{}, err
	}
	_, got, err := st.run(ctx, pendingScript, []string{k.urgent, k.slow, k.made})
	if err != nil {
		return 0, time.Time{}, err
	}
	if len(got) != 3 {
		return 0, time.Time{}, fmt.Errorf("script answered %d values", len(got))
	}
	urgent, _ := got[0].(int64)
	slow, _ := got[1].(int64)
	if ms := text(got[2]); ms != "" {
		if oldestUrgent, err = instant(ms); err != nil {
			return 0, time.Time{}, err
		}
	}
	return int(urgent + slow), oldestUrgent, nil
}
