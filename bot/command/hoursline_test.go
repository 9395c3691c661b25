package command

import (
	"errors"
	"testing"
	"time"
)

func TestWishesForHoursAreRead(t *testing.T) {
	for line, want := range map[string]HoursLine{
		"":                             {},
		"3h":                           {Least: 3 * time.Hour},
		"at least 2 hours":             {Least: 2 * time.Hour},
		"90 min ebbing":                {Least: 90 * time.Minute, Tide: TideEbbing},
		"around low water, nights too": {Tide: TideLow, Nights: true},
		"high tide":                    {Tide: TideHigh},
		"rising 4h Anvil":              {Least: 4 * time.Hour, Tide: TideMaking, Rest: "Anvil"},
		"below 1.2":                    {Tide: TideBelow, Level: 1.2, Bare: true},
		"above 0.5 m 2h":               {Tide: TideAbove, Level: 0.5, Least: 2 * time.Hour},
		"Ledge 2":                      {Rest: "Ledge 2"},
	} {
		if got, err := Hours(line); err != nil || got != want {
			t.Errorf("Hours(%q) = %+v, %v, want %+v", line, got, err, want)
		}
	}
	for _, line := range []string{"making ebbing", "low making", "2h 3h", "below", "below 1 low", "below 5000"} {
		got, err := Hours(line)
		var un *Unread
		if !errors.As(err, &un) || un.Example != HoursExample {
			t.Errorf("Hours(%q) = %+v, %v, want *Unread with an example", line, got, err)
		}
	}
}

func FuzzHours(f *testing.F) {
	for _, s := range []string{"3h ebbing", "below 1,2 m", "Чёрный 2 hours", "0h", "99999h"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if got, err := Hours(s); err == nil && (got.Least < 0 || got.Least > MaxDuration || !(got.Level >= -20 && got.Level <= 20)) {
			t.Errorf("Hours(%q) = %+v", s, got)
		}
	})
}
