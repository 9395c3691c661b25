package lookout

import (
	"slices"
	"testing"
	"time"
)

func TestTheTideIsLookedAtAheadOnly(t *testing.T) {
	since := time.Date(2026, 3, 14, 15, 0, 0, 0, time.UTC)
	at := func(m int) time.Time { return since.Add(time.Duration(m) * time.Minute) }
	l := ForTide("k1", since, true, []time.Time{at(200), at(90), at(30)}, at(30))
	var looks []time.Time
	for next := l.NextLook(); !next.IsZero(); next = l.NextLook() {
		var look bool
		if l, look = l.Tick(next); !look {
			t.Fatalf("no look at %v, which is due", next)
		}
		looks = append(looks, next)
	}
	if !slices.Equal(looks, []time.Time{at(90), at(200)}) || l.ID() != "tide.k1" {
		t.Errorf("%s looks at %v, want at 90 and 200 minutes", l.ID(), looks)
	}
	if l := ForTide("k1", since, false, nil, since); !l.NextLook().IsZero() {
		t.Errorf("nothing to look at, and yet a look at %v", l.NextLook())
	}
}

// Three hours later, but neither from ten at night nor before eight, by the clock of the ledge; on the nights in which clocks change too.
func TestNobodyIsAskedInTheNight(t *testing.T) {
	z := pacific(t)
	for closed, want := range map[string]string{
		"2026-03-14 09:30": "2026-03-14 12:30", "2026-03-14 18:59": "2026-03-14 21:59", "2026-03-14 19:00": "2026-03-15 08:00",
		"2026-03-14 20:40": "2026-03-15 08:00", "2026-03-14 23:30": "2026-03-15 08:00", "2026-03-15 04:59": "2026-03-15 08:00",
		"2026-03-15 05:00": "2026-03-15 08:00", "2026-03-15 05:01": "2026-03-15 08:01",
		"2026-03-07 20:00": "2026-03-08 08:00", "2026-10-31 21:00": "2026-11-01 08:00", "2026-12-31 22:10": "2027-01-01 08:00",
	} {
		at, err := time.ParseInLocation("2006-01-02 15:04", closed, z)
		if err != nil {
			t.Fatal(err)
		}
		l := ForAfter("k1", at, z)
		if got := l.NextLook().In(z).Format("2006-01-02 15:04"); got != want {
			t.Errorf("off at %s: asked at %s, want %s", closed, got, want)
		}
		next, look := l.Tick(l.NextLook())
		if _, again := next.Tick(at.Add(48 * time.Hour)); !look || again || !next.NextLook().IsZero() {
			t.Errorf("off at %s: asked %v, again %v, want once", closed, look, again)
		}
		if late := l.NextLook().Sub(at); late < AskAfter || late > AskWithin {
			t.Errorf("off at %s: asked %v later", closed, late)
		}
	}
}

// Those who are out again are asked when they are back, if that is within the day.
func TestWhoIsOutAgainIsAskedLater(t *testing.T) {
	z := pacific(t)
	closed := time.Date(2026, 3, 14, 20, 50, 0, 0, z)
	l := ForAfter("k1", closed, z)
	var looks []string
	for next := l.NextLook(); !next.IsZero(); next = l.NextLook() {
		l, _ = l.Tick(next)
		looks = append(looks, next.In(z).Format("02 15:04"))
		l = l.Later(next, z)
	}
	if n := len(looks); n != 13 || looks[0] != "15 08:00" || looks[n-1] != "15 20:00" {
		t.Errorf("looks at %v, want hourly by day until a day after", looks)
	}
	l = ForAfter("k1", closed.Add(-8*time.Hour), z).Later(closed.Add(30*time.Minute), z)
	if got := l.NextLook().In(z).Format("02 15:04"); got != "15 08:00" {
		t.Errorf("put off in the evening: asked at %s, want in the morning", got)
	}
}
