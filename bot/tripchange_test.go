package bot

import (
	"testing"
	"time"

	"ledgehand/bot/command"
	"ledgehand/session/trip"
)

// Hours without a day are those of the plan's own day; days that are named, and words that count from now, are what they say.
func TestHoursOfAChange(t *testing.T) {
	z, err := time.LoadLocation("America/Los_Angeles")
	if err != nil {
		t.Fatal(err)
	}
	at := func(day, hour, minute int) time.Time { return time.Date(2026, 3, day, hour, minute, 0, 0, z) }
	now := at(13, 19, 5)
	for line, want := range map[string][2]time.Time{
		"9am til noon":          {at(15, 9, 0), at(15, 12, 0)},
		"09:30-12:30":           {at(15, 9, 30), at(15, 12, 30)},
		"6am for 2h":            {at(15, 6, 0), at(15, 8, 0)},
		"sun 9am til noon":      {at(15, 9, 0), at(15, 12, 0)},
		"sat 9am til noon":      {at(14, 9, 0), at(14, 12, 0)},
		"mon 9am til noon":      {at(16, 9, 0), at(16, 12, 0)},
		"tomorrow 9am til noon": {at(14, 9, 0), at(14, 12, 0)},
		"today 9pm til 11pm":    {at(13, 21, 0), at(13, 23, 0)},
		"20 mar 9am til noon":   {at(20, 9, 0), at(20, 12, 0)},
		"10:00 a 13:00":         {at(15, 10, 0), at(15, 13, 0)},
		"sábado 10:00 a 13:00":  {at(14, 10, 0), at(14, 13, 0)},
		"until 1pm":             {at(15, 8, 0), at(15, 13, 0)},
		"back by 1pm":           {at(15, 8, 0), at(15, 13, 0)},
	} {
		p := trip.Trip{Start: at(15, 8, 0), End: at(15, 11, 0)}
		got, err := hoursOfChange(line, p, now, z, reading(line, z))
		if err != nil || !got.Start.Equal(want[0]) || !got.End.Equal(want[1]) {
			t.Errorf("hoursOfChange(%q) = %v to %v, %v, want %v to %v", line, got.Start.In(z), got.End.In(z), err, want[0], want[1])
		}
	}
	for _, line := range []string{"9 til 12 maybe", "whenever", "sun"} {
		if got, err := hoursOfChange(line, trip.Trip{Start: at(15, 8, 0), End: at(15, 11, 0)}, now, z, reading(line, z)); err == nil && got.Rest == "" {
			t.Errorf("hoursOfChange(%q) = %+v, want it refused", line, got)
		}
	}
	// On the day itself an hour that has passed is none of that day.
	p := trip.Trip{Start: at(13, 20, 0), End: at(13, 22, 0)}
	if got, err := hoursOfChange("9pm til 11pm", p, now, z, reading("9pm til 11pm", z)); err != nil || !got.Start.Equal(at(13, 21, 0)) {
		t.Errorf("on the day itself: %+v, %v", got, err)
	}
}

func reading(line string, z *time.Location) func(time.Time) (command.Window, error) {
	return func(from time.Time) (command.Window, error) { return command.When(line, from, z, command.DayFirst) }
}
