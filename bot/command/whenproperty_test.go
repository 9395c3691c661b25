package command

import (
	"errors"
	"math/rand/v2"
	"strings"
	"testing"
	"time"
)

// around makes a place's tides and light on the days about an instant: a high every 12 h 25 min with a low between, and a sun
// that keeps the same hours.
func around(now time.Time, zone *time.Location) (l Local) {
	day := midnightOf(civilOf(now, zone), zone).AddDate(0, 0, -2)
	for n := range 40 {
		l.Tides = append(l.Tides, TideTurn{day.Add(time.Duration(n)*12*time.Hour + time.Duration(25*n)*time.Minute), NextHigh})
		l.Tides = append(l.Tides, TideTurn{day.Add(time.Duration(n)*12*time.Hour + time.Duration(25*n+372)*time.Minute), NextLow})
	}
	for n := range 20 {
		d := civilOf(day, zone).AddDate(0, 0, n)
		at := func(m int) time.Time {
			t, shown := moments(d, m, zone)
			if len(t) == 0 {
				return shown
			}
			return t[0]
		}
		l.Light = append(l.Light, DayLight{at(365), at(391), at(1143), at(1169)})
	}
	return l
}

// madeLine is a line put together of what people type.
func madeLine(rng *rand.Rand) string {
	one := func(of ...string) string { return of[rng.IntN(len(of))] }
	clock := func() string {
		return one("5", "5am", "5:30am", "0530", "05:30", "17h30", "7pm", "half five", "half past 6", "quarter to 6", "noon", "midnight", "10", "10:00", "2:30am", "6 in the morning", "a las 5 y media", "12",
			"low", "high tide", "an hour before low", "2h after high", "first light", "dawn", "sunset", "dark", "sunset plus an hour", "hw-2", "una hora antes de la bajamar", "the morning low")
	}
	day := func() string {
		return one("sat", "saturday", "tomorrow", "today", "tonight", "this arvo", "the 14th", "14 mar", "3/4", "2026-04-05", "next sat", "sat week", "el sábado", "mañana", "sunday", "fri", "yesterday", "tomorrow morning", "sat morning", "sun night")
	}
	length := func() string {
		return one("for 3h", "3 hours", "for an hour and a half", "2h either side", "for a bit", "durante 2 horas")
	}
	end := func() string {
		return one("til ", "to ", "until ", "-", " - ", "back by ", "home by ", "hasta ", "till ") + clock()
	}
	parts := []string{day(), one(clock(), clock(), clock(), "now", "in 2 hours"), one(end(), end(), end(), length(), "", "2h either side of low", "last 2 of the ebb"),
		one("", "", "", "", "", day(), end(), "back by 11", "call it 11")}
	if rng.IntN(3) == 0 {
		parts = parts[1:]
	}
	return strings.Join(parts, " ")
}

// Whatever is put together of what people type: a window that is read has its end after its start, is in the zone and not
// past; written with full dates it is read as itself; and case, spaces and stops at the end change nothing.
func TestWhenHoldsItsProperties(t *testing.T) {
	seed := uint64(20260404)
	rng := rand.New(rand.NewPCG(seed, 2))
	zones := []*time.Location{zoneOf(t, "Australia/Sydney"), zoneOf(t, "Europe/London"), zoneOf(t, "America/Los_Angeles"), zoneOf(t, "Pacific/Auckland")}
	read, asked := 0, 0
	for n := range 8000 {
		line := madeLine(rng)
		zone := zones[n%len(zones)]
		now := time.Date(2026, 3, 26, 0, 0, 0, 0, zone).Add(time.Duration(rng.IntN(21*24*60)) * time.Minute)
		l := around(now, zone)
		got, err := l.When(line, now, zone, DayFirst)
		for _, same := range []string{strings.ToUpper(line), " " + strings.ReplaceAll(line, " ", "   ") + "\t", line + ".", line + " !"} {
			if strings.ContainsRune(line, 'ñ') || strings.HasSuffix(line, "-") {
				continue
			}
			again, errAgain := l.When(same, now, zone, DayFirst)
			if answered(err) != answered(errAgain) || !again.Start.Equal(got.Start) || !again.End.Equal(got.End) || !again.BackBy.Equal(got.BackBy) {
				t.Fatalf("seed %d: When(%q) at %v = %s, %v, but %q = %s, %v", seed, line, now, show(got, zone), err, same, show(again, zone), errAgain)
			}
		}
		for _, w := range append(readingsOf(err), got) {
			for _, at := range []time.Time{w.Start, w.End, w.BackBy} {
				if !at.IsZero() && at.Location() != zone {
					t.Fatalf("seed %d: When(%q) is in %v, want %v", seed, line, at.Location(), zone)
				}
			}
		}
		if err != nil {
			asked++
			continue
		}
		read++
		if !got.Start.IsZero() && (got.Start.Before(now.Truncate(time.Minute)) || !got.End.IsZero() && !got.End.After(got.Start) || !got.BackBy.IsZero() && !got.BackBy.After(got.Start)) ||
			got.Start.IsZero() && !got.BackBy.After(now) {
			t.Fatalf("seed %d: When(%q) at %v = %s", seed, line, now, show(got, zone))
		}
		if got.Start.IsZero() || got.End.IsZero() {
			continue
		}
		full := got.Start.Format("2006-01-02 15:04") + got.End.Format(" til 15:04")
		again, err := When(full, now, zone, DayFirst)
		var ask *Ambiguous
		if errors.As(err, &ask) && ask.Question == AskFirstOrTwo {
			continue
		}
		if err != nil || !again.Start.Equal(got.Start) || !again.End.Equal(got.End) {
			t.Fatalf("seed %d: When(%q) = %s, but written as %q it is %s, %v", seed, line, show(got, zone), full, show(again, zone), err)
		}
	}
	t.Logf("%d lines read, %d asked about or refused", read, asked)
	if read < 1000 {
		t.Errorf("only %d lines were read", read)
	}
}

func readingsOf(err error) []Window {
	var ask *Ambiguous
	if errors.As(err, &ask) {
		return ask.Readings
	}
	return nil
}

// An answer to a question is one of what was offered, the part that was missing, or the line anew; else the question stands.
func TestAnswer(t *testing.T) {
	zone := zoneOf(t, "Australia/Sydney")
	now := time.Date(2026, 3, 12, 14, 30, 0, 0, zone)
	for _, tt := range []struct{ line, answer, start, want string }{
		{"sat 5-10", "morning", "", "from Sat 14 Mar 05:00 to Sat 14 Mar 10:00"},
		{"sat 5-10", "The evening one, please", "", "from Sat 14 Mar 17:00 to Sat 14 Mar 22:00"},
		{"sat 5-10", "pm", "", "from Sat 14 Mar 17:00 to Sat 14 Mar 22:00"},
		{"sat 5-10", "17:00", "", "from Sat 14 Mar 17:00 to Sat 14 Mar 22:00"},
		{"sat 5-10", "5", "", "ask"},
		{"sat 5-10", "2nd", "", "from Sat 14 Mar 17:00 to Sat 14 Mar 22:00"},
		{"sat 5-10", "sun 6am-9am", "", "from Sun 15 Mar 06:00 to Sun 15 Mar 09:00"},
		{"sat 5-10", "banana", "", "refuse"},
		{"next sat 6am-9am", "the 21st", "", "from Sat 21 Mar 06:00 to Sat 21 Mar 09:00"},
		{"next sat 6am-9am", "21 march", "", "from Sat 21 Mar 06:00 to Sat 21 Mar 09:00"},
		{"next sat 6am", "later", "", "ask"},
		{"sat 5am", "9", "", "from Sat 14 Mar 05:00 to Sat 14 Mar 09:00"},
		{"sat 5am", "til 9am", "", "from Sat 14 Mar 05:00 to Sat 14 Mar 09:00"},
		{"sat 5am", "3 hours", "", "from Sat 14 Mar 05:00 to Sat 14 Mar 08:00"},
		{"sat 5am", "back by 10", "", "from Sat 14 Mar 05:00 back Sat 14 Mar 10:00"},
		{"sat 5am", "dunno", "", "ask"},
		{"sat", "5am til 9", "", "from Sat 14 Mar 05:00 to Sat 14 Mar 09:00"},
		{"sat arvo", "2-5", "", "from Sat 14 Mar 14:00 to Sat 14 Mar 17:00"},
		{"sat 5-10", "11am", "2026-03-14T07:00:00+11:00", "from Sat 14 Mar 07:00 to Sat 14 Mar 11:00"},
		{"sábado de 6 a 9", "la segunda", "", "from Sat 14 Mar 18:00 to Sat 14 Mar 21:00"},
	} {
		var start time.Time
		if tt.start != "" {
			start, _ = time.Parse(time.RFC3339, tt.start)
		}
		got, err := Local{}.Answer(tt.line, tt.answer, start, now, zone, DayFirst)
		if s := show(got, zone); err == nil && s != tt.want || err != nil && answered(err) != tt.want {
			t.Errorf("Answer(%q, %q) = %s, %v, want %s", tt.line, tt.answer, s, err, tt.want)
		}
	}
}

// Dates are month first in all of the United States and nowhere else (IANA time zone database, zone.tab, for which zones are
// theirs).
func TestOrderIn(t *testing.T) {
	for zone, want := range map[string]DayOrder{
		"America/New_York": MonthFirst, "America/Indiana/Knox": MonthFirst, "Pacific/Honolulu": MonthFirst, "US/Pacific": MonthFirst, "America/Anchorage": MonthFirst,
		"America/Toronto": DayFirst, "America/Santiago": DayFirst, "America/Argentina/Ushuaia": DayFirst, "Australia/Sydney": DayFirst, "Europe/London": DayFirst, "UTC": DayFirst, "": DayFirst,
	} {
		if got := OrderIn(zone); got != want {
			t.Errorf("OrderIn(%q) = %s, want %s", zone, got, want)
		}
	}
}
