package session_test

import (
	"testing"
	"time"

	"ledgehand/session"
	"ledgehand/session/catch"
)

func TestPacksTakeEachOthersPlace(t *testing.T) {
	var r session.Rules
	if r.PutPack(session.Pack{ID: "a", File: "one", Area: "cove"}) || r.PutPack(session.Pack{ID: "b", File: "two"}) {
		t.Error("PutPack() of a new one says that it took another's place")
	}
	before := r.Packs
	if !r.PutPack(session.Pack{ID: "a", File: "three"}) || r.Packs[0].File != "three" || r.Packs[0].Area != "cove" || len(r.Packs) != 2 {
		t.Errorf("PutPack() again = %+v, want it in the same place, and where they fish kept", r.Packs)
	}
	if before[0].File != "one" {
		t.Error("PutPack() changed what was read")
	}
	if r.Bytes() != 8 || r.DropPack("c") || !r.DropPack("a") || len(r.Packs) != 1 {
		t.Errorf("after DropPack(): %+v", r.Packs)
	}
}

func TestFreezersAreSaidAnew(t *testing.T) {
	var r session.Rules
	lasts := 24 * time.Hour
	r.Freeze(session.Freezer{Who: 1, Species: "bream", N: 4, At: noon}, lasts)
	r.Freeze(session.Freezer{Who: 2, Species: "bream", N: 5, At: noon}, lasts)
	r.Freeze(session.Freezer{Who: 1, Species: "Bream", N: 6, At: noon.Add(time.Hour)}, lasts)
	if len(r.Home) != 2 || r.Home[1].N != 6 {
		t.Errorf("Freeze() = %+v, want one a person and kind", r.Home)
	}
	r.Freeze(session.Freezer{Who: 1, Species: "luderick", N: 1, At: noon.Add(lasts + time.Minute)}, lasts)
	if len(r.Home) != 2 {
		t.Errorf("Freeze() = %+v, want what is too old gone", r.Home)
	}
}

// Days are read in one go, with what this change wrote and without those that nobody caught on.
func TestLoadDays(t *testing.T) {
	b := open(t)
	put := func(date string) func(tx *session.Tx) error {
		return func(tx *session.Tx) error {
			d, err := tx.LoadDay(date)
			if err != nil {
				return err
			}
			return tx.PutDay(d.Add(catch.Entry{ID: date, At: noon}))
		}
	}
	b.do("u1", noon, put("2026-03-01"))
	b.do("u2", noon, put("2026-03-12"))
	b.do("u3", noon, func(tx *session.Tx) error {
		if err := put("2026-03-14")(tx); err != nil {
			return err
		}
		for _, tt := range []struct {
			from, to string
			want     int
		}{{"2026-03-12", "2026-03-14", 2}, {"2026-03-13", "2026-03-13", 0}, {"2025-03-14", "2026-03-14", 3}} {
			got, err := tx.LoadDays(tt.from, tt.to)
			if err != nil || len(got) != tt.want {
				t.Errorf("LoadDays(%s, %s) = %d days, %v, want %d", tt.from, tt.to, len(got), err, tt.want)
			}
		}
		if _, err := tx.LoadDays("yesterday", "2026-03-14"); err == nil {
			t.Error("LoadDays() of no date: no error")
		}
		return nil
	})
}
