package redisstore

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"time"

	"ledgehand/session"
)

// ClaimDue holds due items. They are chosen by their place in the index (when they fell due, or
// when an earlier hold ended) and returned by what they are due for, oldest first.
//
// If the reply is lost, the client's second try finds nothing: those items come again when the
// hold ends. They are late by the hold, never lost, so holds are to be short.
func (st *Store) ClaimDue(ctx context.Context, s session.Shard, f session.Fence, now time.Time, hold time.Duration, n int) (items []session.DueItem, err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("claim due items of shard %d: %w", s, err)
		}
	}()
	k, err := st.keys(s)
	if err != nil || n <= 0 {
		return nil, err
	}
	from, until, err := holdArgs(now, hold)
	if err != nil {
		return nil, err
	}
	_, got, err := st.run(ctx, claimDueScript, []string{k.lead, k.due, k.dueFor}, fenceArg(f), from, until, strconv.Itoa(n))
	if err != nil {
		return nil, err
	}
	for i := 0; i+1 < len(got); i += 2 {
		at, err := instant(text(got[i+1]))
		if err != nil {
			return nil, fmt.Errorf("item %q: %w", text(got[i]), err)
		}
		items = append(items, session.DueItem{Item: text(got[i]), At: at})
	}
	sortDue(items)
	return items, nil
}

// AllDue lists the index. An item that is held is listed with what it is due for, not with the end of its hold.
func (st *Store) AllDue(ctx context.Context, s session.Shard) (items []session.DueItem, err error) {
	defer func() {
		if err != nil {
			err = fmt.Errorf("list due items of shard %d: %w", s, err)
		}
	}()
	k, err := st.keys(s)
	if err != nil {
		return nil, err
	}
	_, got, err := st.run(ctx, allDueScript, []string{k.due, k.dueFor})
	if err != nil {
		return nil, err
	}
	if len(got) != 2 {
		return nil, fmt.Errorf("script answered %d lists", len(got))
	}
	scores, _ := got[0].([]any)
	held, _ := got[1].([]any)
	dueFor := make(map[string]string, len(held)/2)
	for i := 0; i+1 < len(held); i += 2 {
		dueFor[text(held[i])] = text(held[i+1])
	}
	for i := 0; i+1 < len(scores); i += 2 {
		item, ms := text(scores[i]), text(scores[i+1])
		if orig, ok := dueFor[item]; ok {
			ms = orig
		}
		at, err := instant(ms)
		if err != nil {
			return nil, fmt.Errorf("item %q: %w", item, err)
		}
		items = append(items, session.DueItem{Item: item, At: at})
	}
	sortDue(items)
	return items, nil
}

func sortDue(items []session.DueItem) {
	slices.SortStableFunc(items, func(a, b session.DueItem) int { return a.At.Compare(b.At) })
}
