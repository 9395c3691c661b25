package command

import (
	"errors"
	"math"
	"testing"
	"time"
)

func TestTideQuestionsAreRead(t *testing.T) {
	for line, want := range map[string]struct {
		level float64 // NaN: none
		bare  bool
		above bool
		turn  Turn
		rest  string
	}{
		"":                               {math.NaN(), false, false, "", ""},
		"sat":                            {math.NaN(), false, false, "", "sat"},
		"next low":                       {math.NaN(), false, false, NextLow, ""},
		"High water tomorrow":            {math.NaN(), false, false, NextHigh, "tomorrow"},
		"when is low water?":             {math.NaN(), false, false, NextLow, ""},
		"below 1.2":                      {1.2, true, false, "", ""},
		"below 1,2 m sat":                {1.2, false, false, "", "sat"},
		"when is it under 4 ft tomorrow": {4 * 0.3048, false, false, "", "tomorrow"},
		"under 4ft":                      {4 * 0.3048, false, false, "", ""},
		"over 0.5m 14 mar":               {0.5, false, true, "", "14 mar"},
		"above -0.3 sun":                 {-0.3, true, true, "", "sun"},
		"Long Step below 0":              {0, true, false, "", "Long Step"},
		"Seven Mile Head sat":            {math.NaN(), false, false, "", "Seven Mile Head sat"},
	} {
		got, err := Tide(line)
		if err != nil {
			t.Errorf("Tide(%q) = %v", line, err)
			continue
		}
		level := math.NaN()
		if got.Level != nil {
			level = float64(*got.Level)
		}
		same := math.IsNaN(level) == math.IsNaN(want.level) && !(math.Abs(level-want.level) > 1e-9)
		if !same || got.Bare != want.bare || got.Above != want.above || got.Turn != want.turn || got.Rest != want.rest {
			t.Errorf("Tide(%q) = %+v (level %v), want %+v", line, got, level, want)
		}
	}
}

func TestTideQuestionsThatMakeNoSenseAreRefused(t *testing.T) {
	for _, line := range []string{"below", "below sat", "below 1.2 above 0.4", "below 1.2 kg", "under 300", "low high", "above nan"} {
		got, err := Tide(line)
		var un *Unread
		if !errors.As(err, &un) || un.Example == "" {
			t.Errorf("Tide(%q) = %+v, %v, want *Unread with an example", line, got, err)
		}
	}
}

func TestTheDayIsTakenOutOfALine(t *testing.T) {
	zone := zoneOf(t, "America/Los_Angeles")
	now := time.Date(2026, 3, 13, 23, 30, 0, 0, zone) // a Friday; Saturday in UTC
	for line, want := range map[string]struct{ day, rest string }{
		"":                 {"2026-03-13", ""},
		"today":            {"2026-03-13", ""},
		"tomorrow":         {"2026-03-14", ""},
		"sat":              {"2026-03-14", ""},
		"fri":              {"2026-03-13", ""},
		"Long Step sunday": {"2026-03-15", "Long Step"},
		"20 mar Long-Step": {"2026-03-20", "Long-Step"},
		"2026-12-24":       {"2026-12-24", ""},
		"sat 14 mar":       {"2026-03-14", ""},
		"tonight":          {"2026-03-13", ""},
		"Newlyn":           {"2026-03-13", "Newlyn"},
	} {
		day, rest, err := Day(line, now, zone, DayFirst)
		if err != nil || day.Format(time.DateOnly) != want.day || rest != want.rest {
			t.Errorf("Day(%q) = %s, %q, %v, want %s, %q", line, day.Format(time.DateOnly), rest, err, want.day, want.rest)
		}
	}
	for _, line := range []string{"31 feb", "sat 5am", "next sat", "sat sun mon", "yesterday", "2031-01-01"} {
		if day, _, err := Day(line, now, zone, DayFirst); err == nil {
			t.Errorf("Day(%q) = %s, want an error", line, day)
		}
	}
}

func FuzzTide(f *testing.F) {
	for _, s := range []string{"below 1.2 sat", "next low", "over 4 ft 14/3", "Чёрный below ,5", "below 1e9", "−", "14 mar 2026 tomorrow"} {
		f.Add(s)
	}
	now := time.Date(2026, 3, 13, 12, 0, 0, 0, time.UTC)
	f.Fuzz(func(t *testing.T, s string) {
		if got, err := Tide(s); err == nil && got.Level != nil && !(math.Abs(float64(*got.Level)) <= 20) {
			t.Errorf("Tide(%q) has the level %v", s, *got.Level)
		}
		day, _, err := Day(s, now, time.UTC, MonthFirst)
		if err == nil && (day.Before(now.AddDate(0, 0, -1)) || day.After(now.Add(MaxAhead)) || day.Hour() != 0) {
			t.Errorf("Day(%q) = %s", s, day)
		}
	})
}
