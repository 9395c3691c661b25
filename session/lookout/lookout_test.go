package lookout

import (
	"slices"
	"testing"
	"time"
)

func pacific(t *testing.T) *time.Location {
	t.Helper()
	z, err := time.LoadLocation("America/Los_Angeles")
	if err != nil {
		t.Fatal(err)
	}
	return z
}

func TestATripIsLookedAtTheEveningBeforeAndTwoHoursBefore(t *testing.T) {
	z := pacific(t)
	// The clocks go forward in the night of 8 March 2026: the evening before is still at eight by the clock.
	start := time.Date(2026, 3, 8, 8, 0, 0, 0, z)
	made := time.Date(2026, 3, 6, 12, 0, 0, 0, z)
	l := ForTrip("t1", start, z, made)
	var looks []string
	for now := made; now.Before(start.Add(24 * time.Hour)); now = now.Add(time.Minute) {
		next, look := l.Tick(now)
		if look {
			looks = append(looks, now.In(z).Format("02 15:04"))
		}
		l = next
	}
	if want := []string{"07 20:00", "08 06:00"}; !slices.Equal(looks, want) {
		t.Errorf("looks at %v, want %v", looks, want)
	}
	if !l.NextLook().IsZero() {
		t.Errorf("next look %s after the last, want none", l.NextLook())
	}
}

func TestATripMadeLateIsLookedAtOnlyAtWhatIsStillToCome(t *testing.T) {
	z := pacific(t)
	start := time.Date(2026, 3, 14, 8, 0, 0, 0, z)
	for made, want := range map[time.Time]int{
		start.Add(-20 * time.Hour): 2, start.Add(-11 * time.Hour): 1, start.Add(-time.Hour): 0,
	} {
		if l := ForTrip("t", start, z, made); len(l.At) != want {
			t.Errorf("made %s before: looks at %v, want %d", start.Sub(made), l.At, want)
		}
	}
}

func TestLooksMissedInAnOutageAreOne(t *testing.T) {
	z := pacific(t)
	start := time.Date(2026, 3, 14, 8, 0, 0, 0, z)
	l := ForTrip("t", start, z, start.Add(-30*time.Hour))
	l, look := l.Tick(start.Add(-time.Hour)) // both have passed
	if !look || !l.NextLook().IsZero() {
		t.Errorf("look %v, next %s, want one look and none after", look, l.NextLook())
	}
	if _, again := l.Tick(start); again {
		t.Error("a second look, want none")
	}
}

func TestAnOutingIsLookedAtEveryRoundUntilADayAfter(t *testing.T) {
	now := time.Date(2026, 3, 14, 15, 0, 0, 0, time.UTC)
	back := now.Add(2 * time.Hour)
	l := ForOuting("o", back, now)
	n := 0
	for at := now; at.Before(back.Add(48 * time.Hour)); at = at.Add(time.Minute) {
		next, look := l.Tick(at)
		if look {
			n++
			if next.NextLook().Sub(at) != Round && !next.NextLook().IsZero() {
				t.Fatalf("next look %s after one at %s", next.NextLook(), at)
			}
		}
		l = next
	}
	if want := int((2*time.Hour + mostAfter) / Round); n != want {
		t.Errorf("%d looks, want %d", n, want)
	}
	if ended := ForOuting("o", back, now).Ended(); !ended.NextLook().IsZero() {
		t.Errorf("ended, and yet a look at %s", ended.NextLook())
	}
}

func TestNewsIsToldOnce(t *testing.T) {
	l := Lookout{}
	l, fresh := l.News([]string{"a", "b"})
	if !slices.Equal(fresh, []string{"a", "b"}) {
		t.Errorf("fresh = %v", fresh)
	}
	before := l
	l, fresh = l.News([]string{"b", "c"})
	if !slices.Equal(fresh, []string{"c"}) || len(before.Told) != 2 {
		t.Errorf("fresh = %v, want c only; the old value has %v", fresh, before.Told)
	}
	for i := range 100 {
		l, _ = l.News([]string{string(rune(0x4e00 + i))})
	}
	if len(l.Told) > mostTold {
		t.Errorf("%d remembered, want at most %d", len(l.Told), mostTold)
	}
}

// However many are in force at once, none of them is told twice; what is over is forgotten in time.
func TestWhatIsInForceIsNeverForgotten(t *testing.T) {
	var many []string
	for i := range 3 * mostTold {
		many = append(many, string(rune(0x4e00+i)))
	}
	l, fresh := Lookout{}.News(many)
	if len(fresh) != len(many) {
		t.Fatalf("%d told, want %d", len(fresh), len(many))
	}
	for range 3 {
		if l, fresh = l.News(many); len(fresh) > 0 {
			t.Errorf("%d told again", len(fresh))
		}
	}
	l, fresh = l.News(append([]string{"new"}, many...))
	if !slices.Equal(fresh, []string{"new"}) {
		t.Errorf("fresh = %v, want what is new", fresh)
	}
	if l, _ = l.News([]string{"new"}); len(l.Told) != mostTold || !slices.Contains(l.Told, "new") {
		t.Errorf("%d remembered when the others are over, want %d with what is in force", len(l.Told), mostTold)
	}
}
