package lookout

import (
	"testing"
	"time"
)

// At seven in the evening before, by the clock of the ledge; on the nights in which clocks change too. A plan made later than
// that is told of half an hour on, and not when the start is near.
func TestBaitIsPreparedTheEveningBefore(t *testing.T) {
	z := pacific(t)
	for _, tt := range []struct{ start, now, want string }{
		{"2026-03-14 05:30", "2026-03-10 12:00", "2026-03-13 19:00"},
		{"2026-03-14 05:30", "2026-03-13 18:59", "2026-03-13 19:00"},
		{"2026-03-14 05:30", "2026-03-13 19:00", "2026-03-13 19:30"},
		{"2026-03-14 05:30", "2026-03-13 23:10", "2026-03-13 23:40"},
		{"2026-03-14 05:30", "2026-03-14 03:01", ""},
		{"2026-03-14 05:30", "2026-03-14 06:00", ""},
		{"2026-03-14 00:30", "2026-03-12 12:00", "2026-03-13 19:00"},
		{"2026-03-14 23:30", "2026-03-12 12:00", "2026-03-13 19:00"},
		{"2026-03-08 05:30", "2026-03-05 12:00", "2026-03-07 19:00"}, // the clocks go on in that night
		{"2026-11-01 05:30", "2026-10-30 12:00", "2026-10-31 19:00"}, // and back in that
		{"2027-01-01 05:30", "2026-12-30 12:00", "2026-12-31 19:00"},
	} {
		at := func(s string) time.Time {
			x, err := time.ParseInLocation("2006-01-02 15:04", s, z)
			if err != nil {
				t.Fatal(err)
			}
			return x
		}
		l := ForBerley("t1", at(tt.start), z, at(tt.now))
		got := ""
		if next := l.NextLook(); !next.IsZero() {
			got = next.In(z).Format("2006-01-02 15:04")
		}
		if got != tt.want || l.ID() != "berley.t1" {
			t.Errorf("start %s, planned %s: %s at %q, want at %q", tt.start, tt.now, l.ID(), got, tt.want)
		}
		if tt.want == "" {
			continue
		}
		next, look := l.Tick(at(tt.want))
		if _, again := next.Tick(at(tt.start)); !look || again {
			t.Errorf("start %s: looked %v, again %v, want once", tt.start, look, again)
		}
		if _, look := l.Tick(at(tt.start).Add(-time.Minute)); !look { // we were away that evening: late, and not lost
			t.Errorf("start %s: what was missed is lost", tt.start)
		}
	}
}

func TestLadlingGoesOnAndEnds(t *testing.T) {
	now := time.Date(2026, 3, 14, 15, 0, 0, 0, time.UTC)
	l := ForLadle("k1-0", 10*time.Minute, now)
	looks, last := 0, now
	for next := l.NextLook(); !next.IsZero(); next = l.NextLook() {
		var look bool
		if l, look = l.Tick(next); !look || next.Sub(last) != 10*time.Minute {
			t.Fatalf("look %v after %v", look, next.Sub(last))
		}
		last = next
		looks++
	}
	if looks != 72 || l.ID() != "ladle.k1-0" {
		t.Errorf("%s: %d looks, want 72 in twelve hours", l.ID(), looks)
	}
	l = ForLadle("k1-0", 10*time.Minute, now)
	if l, look := l.Tick(now.Add(time.Hour)); !look || !l.NextLook().Equal(now.Add(70*time.Minute)) {
		t.Errorf("after an hour away: %v, next at %v, want one look and the next ten minutes on", look, l.NextLook())
	}
	if !ForLadle("k1-0", time.Hour, now).Ended().NextLook().IsZero() {
		t.Error("it goes on after its end")
	}
}
