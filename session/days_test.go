package session_test

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"ledgehand/session"
	"ledgehand/session/catch"
	"ledgehand/session/outing"
	"ledgehand/session/storetest"
)

// counting counts what a store is asked.
type counting struct {
	session.Store
	loads, keys int
}

func (c *counting) Load(ctx context.Context, s session.Shard, keys ...string) ([]session.Record, error) {
	c.loads++
	return c.Store.Load(ctx, s, keys...)
}

func (c *counting) Keys(ctx context.Context, s session.Shard, prefix string) ([]string, error) {
	c.keys++
	return c.Store.Keys(ctx, s, prefix)
}

// A crew of years: its newest days are read in order, a hundred in a round trip, and nobody else's.
func TestDaysOfYears(t *testing.T) {
	m := storetest.NewMemory()
	now := time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC)
	const mine, other = session.CrewID("g7"), session.CrewID("g7a") // one begins like the other
	store := &counting{Store: m}
	s := session.New(store, func(session.Shard) session.Fence { return session.Guest })
	put := func(crew session.CrewID, i int, lines int) {
		t.Helper()
		d := now.AddDate(0, 0, -i)
		err := s.Do(t.Context(), session.Cause{ID: fmt.Sprintf("%s.%d", crew, i), Now: now}, crew, func(tx *session.Tx) error {
			day, err := tx.LoadDay(d.Format(time.DateOnly))
			for j := range lines {
				day = day.Add(catch.Entry{ID: fmt.Sprintf("%d.%d", i, j), At: d, Who: string(crew), Count: 1})
			}
			if err == nil {
				err = tx.PutDay(day)
			}
			if err == nil && i < 3 {
				err = tx.PutOuting(outing.Outing{ID: fmt.Sprintf("o%d", i), BackBy: now.Add(time.Hour), People: []outing.Member{{ID: 1}}})
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	for i := range 1050 {
		put(mine, i, 2)
	}
	put(other, 0, 2)
	store.loads, store.keys = 0, 0
	days, older, unread, err := s.Days(t.Context(), mine, "", "9999", session.Most{Days: 1000, Lines: 20_000})
	if err != nil || len(days) != 1000 || older != 50 || unread != 0 || store.keys != 1 || store.loads != 10 {
		t.Fatalf("%d days, %d older, %d unread, %v in %d and %d round trips, want 1000 and 50 in 1 and 10", len(days), older, unread, err, store.keys, store.loads)
	}
	for i, d := range days {
		if want := now.AddDate(0, 0, i-999).Format(time.DateOnly); d.Date != want || d.Crew != string(mine) || len(d.Entries) != 2 {
			t.Fatalf("day %d is %s of %s, want %s", i, d.Date, d.Crew, want)
		}
	}
	if days, older, _, err := s.Days(t.Context(), mine, "2026-03-01", "2026-03-05", session.Most{Days: 1000, Lines: 20_000}); err != nil || len(days) != 5 || older != 0 || days[0].Date != "2026-03-01" || days[4].Date != "2026-03-05" {
		t.Errorf("five days of March: %d, %d older, %v", len(days), older, err)
	}
	if days, older, _, err := s.Days(t.Context(), mine, "", "9999", session.Most{Days: 1000, Lines: 300}); err != nil || len(days) != 200 || older != 850 || days[199].Date != "2026-03-14" {
		t.Errorf("bounded by lines: %d days, %d older, %v", len(days), older, err)
	}
	all, more, _, err := s.Outings(t.Context(), mine, 2)
	if err != nil || len(all) != 2 || !more {
		t.Errorf("%d outings, more %v, %v", len(all), more, err)
	}
	if all, more, _, err = s.Outings(t.Context(), mine, 100); err != nil || len(all) != 3 || more || strings.Join([]string{all[0].ID, all[1].ID, all[2].ID}, " ") != "o0 o1 o2" {
		t.Errorf("%d outings, more %v, %v", len(all), more, err)
	}
}
