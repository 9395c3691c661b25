package main

import (
	"context"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"ledgehand/session"
)

// What is told of a day is one observation of the ledge, over the hours that were spent there, and changes with the answer.
func TestAReportIsKeptOnce(t *testing.T) {
	st := outAt(t, stageParts{}) // Ana, from 08:00
	st.server.Start(ana, "")
	st.server.Write(crew, ana, "/conditions Anvil")
	must(t, st.settle(t.Context()))
	must(t, st.until(t.Context(), day.Add(90*time.Minute)))
	st.server.Write(crew, ana, "/off")
	must(t, st.settle(t.Context()))
	must(t, st.until(t.Context(), day.Add(6*time.Hour)))
	for _, tt := range []struct {
		label string
		k     int
	}{{"No water", 0}, {"Often", 3}, {"Often", 3}, {"Once or twice", 1}} {
		st.set(st.now().Add(time.Minute))
		must(t, st.tapStarting(crew, ana, tt.label))
		must(t, st.settle(t.Context()))
		seen := st.crewNow(t).Ledges[0].Observed
		if len(seen) != 1 || seen[0].Report == "" || seen[0].K != tt.k || seen[0].Minutes != 90 || len(seen[0].Spans) != 2 {
			t.Fatalf("after %q the ledge has %+v, want one report of 90 minutes in two hours, %d at least", tt.label, seen, tt.k)
		}
	}
}

// tapStarting presses the newest button whose label is that, ticked or not.
func (st *stage) tapStarting(chatID, person int64, label string) error {
	if err := st.tap(chatID, person, label); err != nil {
		return st.tap(chatID, person, "✓ "+label)
	}
	return nil
}

// rotten gives back nonsense for some records, once it is told to.
type rotten struct {
	session.Store
	session.Leases
	prefix string
	on     atomic.Bool
}

func (r *rotten) Load(ctx context.Context, s session.Shard, keys ...string) ([]session.Record, error) {
	records, err := r.Store.Load(ctx, s, keys...)
	for i := range records {
		if r.on.Load() && strings.HasPrefix(records[i].Key, r.prefix) && records[i].Version > 0 {
			records[i].Body = []byte(`{"v":"rotten"}`)
		}
	}
	return records, err
}

// What is only asked afterwards, or only kept for later, holds nobody's "off" up when it cannot be read.
func TestAnUnreadableReportHoldsNoOffUp(t *testing.T) {
	for _, prefix := range []string{"after/", "sea/", "lookout/tide.", "lookout/after."} {
		t.Run(strings.Trim(prefix, "/"), func(t *testing.T) {
			store, stop, err := memory(t.Context())
			must(t, err)
			t.Cleanup(stop)
			r := &rotten{Store: store, Leases: store, prefix: prefix}
			st := outAt(t, stageParts{store: r})
			st.server.Write(crew, ana, "/conditions Anvil")
			must(t, st.settle(t.Context()))
			r.on.Store(true)
			st.server.Write(crew, ana, "/watch")
			must(t, st.settle(t.Context()))
			st.server.Write(crew, ana, "/off")
			must(t, st.settle(t.Context()))
			if _, ok := st.said(crew, "Ana: off Anvil"); !ok {
				t.Error("the off is not confirmed")
			}
		})
	}
}
