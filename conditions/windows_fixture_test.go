package conditions

import (
	"testing"
	"time"

	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
)

// aWeek is a search over seven days for Anvil, asked at noon on Friday 13 March 2026 (12:00 PDT, 19:00 UTC), in a swell of half
// a metre, light wind, no warning, with a forecast from twelve hours before to ten days after. The crew's limit is 1.5 m, 12 m/s
// of gust; the walk takes 20 minutes.
func aWeek(t testing.TB) (WindowsQuestion, *Question) {
	t.Helper()
	now := time.Date(2026, 3, 13, 12, 0, 0, 0, pacific(t))
	return weekFrom(t, now)
}

func weekFrom(t testing.TB, now time.Time) (WindowsQuestion, *Question) {
	t.Helper()
	l := anvil(t)
	l.From, l.To = time.Time{}, time.Time{}
	l.Sea = sea(now.Add(-12*time.Hour).Truncate(time.Hour), 11*24, swell(0.5, 11, 285))
	l.Sea.Source.FetchedAt = now
	l.Weather = wind(now.Add(-12*time.Hour).Truncate(time.Hour), 11*24, 4, 6, 90)
	l.Weather.Source.FetchedAt = now
	l.Card.Limits = ledge.Limits{Hs: new(measure.Metres(1.5)), Gust: new(measure.MetresPerSecond(12))}
	l.Card.WalkMinutes = 20
	q := WindowsQuestion{Now: now, From: now, To: now.Add(7 * 24 * time.Hour), Ledges: []Question{l}}
	return q, &q.Ledges[0]
}

// swellBetween raises the swell of a forecast from the first to the last of two hours, both included.
func swellBetween(l *Question, from, to time.Time, p Partition) {
	for i, h := range l.Sea.Hours {
		if !h.At.Before(from) && !h.At.After(to) {
			l.Sea.Hours[i] = seaHour(h.At, p)
		}
	}
}

func windows(t testing.TB, q WindowsQuestion) WindowsAnswer {
	t.Helper()
	a, err := Windows(q)
	if err != nil {
		t.Fatalf("Windows = %v, want an answer", err)
	}
	return a
}

// onDay are the windows of the first ledge that begin on a day of the month, on the ledge's clocks.
func onDay(a WindowsAnswer, day int) []Window {
	var out []Window
	for _, w := range a.Ledges[0].Windows {
		if w.From.In(a.Ledges[0].Zone).Day() == day {
			out = append(out, w)
		}
	}
	return out
}

// clock is a stretch on the clocks of the first ledge.
func clock(a WindowsAnswer, from, to time.Time) string {
	return from.In(a.Ledges[0].Zone).Format("2 15:04") + " to " + to.In(a.Ledges[0].Zone).Format("2 15:04")
}

func clocks(a WindowsAnswer, ws []Window) []string {
	out := []string{}
	for _, w := range ws {
		out = append(out, clock(a, w.From, w.To))
	}
	return out
}

func offOn(t testing.TB, a WindowsAnswer, day int) Hindrance {
	t.Helper()
	for _, d := range a.Ledges[0].Off {
		if d.Day.Day == day {
			return d.Hindrance
		}
	}
	t.Fatalf("no day %d among the days off %+v (windows %q, doubts %q)", day, a.Ledges[0].Off, clocks(a, a.Ledges[0].Windows), a.Ledges[0].Doubts)
	return Hindrance{}
}

func outlookOn(t testing.TB, a WindowsAnswer, day int) DayOutlook {
	t.Helper()
	for _, d := range a.Ledges[0].Outlook {
		if d.Day.Day == day {
			return d
		}
	}
	t.Fatalf("no day %d in the outlook %+v", day, a.Ledges[0].Outlook)
	return DayOutlook{}
}
