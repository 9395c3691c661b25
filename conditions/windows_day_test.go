package conditions

import (
	"slices"
	"testing"

	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/sky"
)

func gustsBetween(l *Question, day, from, to int, gust measure.MetresPerSecond, t *testing.T) {
	for i, h := range l.Weather.Hours {
		if !h.At.Before(march(t, day, from)) && !h.At.After(march(t, day, to)) {
			l.Weather.Hours[i].Gust = &gust
		}
	}
}

// A day without a window has one reason: the thing that, were it gone, would leave a window; with its numbers and its end.
func TestADayOffSaysWhatStandsInTheWay(t *testing.T) {
	for _, tt := range []struct {
		name         string
		word         string
		value, limit float64 // 0: none, or not looked at
		until        int     // hour of the 14th on Anvil's clocks; 0: on another day, or none
		spoil        func(l *Question)
	}{
		{"Period", OverPeriod, 16, 14, 23, func(l *Question) {
			l.Card.Limits.Period = new(measure.Seconds(14))
			swellBetween(l, march(t, 14, 7), march(t, 14, 19), swell(0.5, 16, 285))
		}},
		{"Gust", OverGust, 15, 12, 21, func(l *Question) { gustsBetween(l, 14, 0, 20, 15, t) }},
		{"GustNotKnown", WhyWindUnknown, 0, 0, 21, func(l *Question) {
			for i, h := range l.Weather.Hours {
				if !h.At.Before(march(t, 14, 0)) && h.At.Before(march(t, 14, 21)) {
					l.Weather.Hours[i].Gust = nil
				}
			}
		}},
		{"Warning", WhyWarning, 0, 0, 22, func(l *Question) {
			warn(l, Warning{Concern: Red, Covers: new(true), Onset: march(t, 14, 1), Ends: march(t, 14, 22)})
		}},
		{"Hole", WhySeaUnknown, 0, 0, 23, func(l *Question) {
			l.Sea.Hours = slices.DeleteFunc(l.Sea.Hours, func(h SeaHour) bool { return h.At.After(march(t, 14, 7)) && h.At.Before(march(t, 14, 20)) })
		}},
		{"Violent", WhyViolent, 0, 0, 0, func(l *Question) {
			l.Card.Limits = ledge.Limits{}
			swellBetween(l, march(t, 14, 0), march(t, 14, 23), swell(4, 14, 285))
		}},
		// The swell takes 05:00 to 14:00, the wind all day: without the swell there still is no window, without the wind there is.
		{"TheWindMoreThanTheSwell", OverGust, 15, 12, 21, func(l *Question) {
			swellBetween(l, march(t, 14, 9), march(t, 14, 10), swell(2, 11, 285))
			gustsBetween(l, 14, 0, 20, 15, t)
		}},
		// The other way round: the wind only from 12:00, the swell all day.
		{"TheSwellMoreThanTheWind", OverHs, 0, 1.5, 23, func(l *Question) {
			swellBetween(l, march(t, 14, 3), march(t, 14, 19), swell(2, 11, 285))
			gustsBetween(l, 14, 13, 20, 15, t)
		}},
		// Neither alone would do: that which takes more of the light.
		{"BothAllDay", OverHs, 0, 1.5, 23, func(l *Question) {
			swellBetween(l, march(t, 14, 3), march(t, 14, 19), swell(2, 11, 285))
			gustsBetween(l, 14, 8, 20, 15, t)
		}},
		// The swell takes 06:00 to 18:00, the wind all day, and what the swell leaves is too short.
		{"TheWindForLonger", OverGust, 15, 12, 21, func(l *Question) {
			swellBetween(l, march(t, 14, 10), march(t, 14, 14), swell(2, 11, 285))
			gustsBetween(l, 14, 0, 20, 15, t)
		}},
		// Of two stretches of wind the longer is told.
		{"TheLongerOfTwo", OverGust, 15, 12, 17, func(l *Question) {
			gustsBetween(l, 14, 7, 16, 15, t)
			gustsBetween(l, 14, 19, 20, 15, t)
		}},
		// Swell and wind both take the time until 15:00, the wish for an ebbing tide less of the day than either: but without it the
		// evening would do.
		{"TheTideMoreThanEither", OutsideTideWish, 0, 0, 0, func(l *Question) {
			swellBetween(l, march(t, 14, 10), march(t, 14, 11), swell(2, 11, 285))
			gustsBetween(l, 14, 5, 14, 15, t)
		}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			q, l := aWeek(t)
			if tt.spoil(l); tt.word == OutsideTideWish {
				q.Tide.Kind = EbbingTide
				q.To = march(t, 15, 0)
			}
			a := windows(t, q)
			wantClocks(t, a, 14)
			h := offOn(t, a, 14)
			if h.Word != tt.word || h.Limit != tt.limit || tt.value > 0 && h.Value != tt.value {
				t.Errorf("off = %+v, want %q with %v against %v", h, tt.word, tt.value, tt.limit)
			}
			if tt.until > 0 && !h.Until.Equal(march(t, 14, tt.until)) {
				t.Errorf("until %s, want %s", h.Until, march(t, 14, tt.until))
			}
			if len(a.Ledges[0].Off) != 1 {
				t.Errorf("days off = %+v, want one", a.Ledges[0].Off)
			}
			if q.To.After(march(t, 16, 0)) {
				wantClocks(t, a, 16, "16 06:58 to 16 19:29")
			}
		})
	}
}

// Too little of a day left, or asked for, is nothing to speak of; a day whose light is too short is dark.
func TestShortDays(t *testing.T) {
	q, _ := aWeek(t)
	q.Now, q.From, q.To = march(t, 13, 18), march(t, 13, 18), march(t, 14, 8)
	a := windows(t, q)
	if h := offOn(t, a, 13); h.Word != Dark || len(a.Ledges[0].Off) != 2 || offOn(t, a, 14).Word != Dark {
		t.Errorf("off = %+v, want Friday evening and Saturday before 08:00 for the dark", a.Ledges[0].Off)
	}
	q.From, q.To = march(t, 13, 23), march(t, 14, 1)
	if o := windows(t, q).Ledges[0]; len(o.Off)+len(o.Windows)+len(o.Outlook) > 0 {
		t.Errorf("an hour of two days = %+v, want nothing", o)
	}
}

// Past day 4 a day gets a word by the forecast as it stands, and the reason for it.
func TestPastDayFourThereIsAnOutlook(t *testing.T) {
	day := func(from, to int, p ...Partition) func(l *Question) {
		return func(l *Question) {
			for i, h := range l.Sea.Hours {
				if !h.At.Before(march(t, 19, from)) && h.At.Before(march(t, 19, to)) {
					l.Sea.Hours[i] = seaHour(h.At, p...)
				}
			}
		}
	}
	for _, tt := range []struct {
		name  string
		want  Outlook
		why   string
		spoil func(l *Question)
	}{
		{"Calm", OutlookMayBe, "", func(*Question) {}},
		{"UnderTheLimitButNotItsP90", OutlookMayBe, "", day(0, 24, swell(1.3, 9, 285))},
		{"OverTheLimit", OutlookOver, OverHs, day(0, 24, swell(2, 11, 285))},
		{"OverInTheMorning", OutlookMayBe, "", day(0, 12, swell(2, 11, 285))},
		{"Gusts", OutlookOver, OverGust, func(l *Question) { gustsBetween(l, 19, 0, 23, 15, t) }},
		{"NotKnown", OutlookCannotTell, WhySeaUnknown, day(7, 20)},
		{"KnownForAMorningOverTheLimit", OutlookCannotTell, WhySeaUnknown, func(l *Question) {
			day(0, 12, swell(2, 11, 285))(l)
			day(12, 20)(l)
		}},
		{"WarnedOfThenNotKnown", OutlookCannotTell, WhySeaUnknown, func(l *Question) {
			warn(l, Warning{Concern: Red, Onset: march(t, 19, 1), Ends: march(t, 19, 12)})
			day(12, 20)(l)
		}},
		{"GustsInASeaNotKnown", OutlookOver, OverGust, func(l *Question) {
			gustsBetween(l, 19, 0, 23, 15, t)
			day(0, 24)(l)
		}},
		{"AWarningWithoutAnEnd", OutlookOver, WhyWarning, func(l *Question) { warn(l, Warning{Concern: Red, Onset: march(t, 19, 1)}) }},
		{"Violent", OutlookCannotTell, WhyViolent, func(l *Question) {
			l.Card.Limits.Hs, l.Card.LipHeight = nil, new(measure.Metres(30))
			day(0, 24, swell(5, 14, 285))(l)
		}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			q, l := aWeek(t)
			tt.spoil(l)
			a := windows(t, q)
			d := outlookOn(t, a, 19)
			if d.Word != tt.want || d.Hindrance.Word != tt.why {
				t.Errorf("outlook = %q because of %+v, want %q because of %q", d.Word, d.Hindrance, tt.want, tt.why)
			}
			if tt.why == OverHs && (d.Value != 2 || d.Limit != 1.5) {
				t.Errorf("outlook = %+v, want 2 m against 1.5", d.Hindrance)
			}
		})
	}
	// Asked in the evening, day 4 ends in the evening: the hour of light that is left then is not spoken of twice.
	q, _ := weekFrom(t, march(t, 13, 18))
	o := windows(t, q).Ledges[0]
	if len(o.Outlook) == 0 || o.Outlook[0].Day != (sky.Date{Year: 2026, Month: 3, Day: 18}) {
		t.Errorf("outlook = %+v, want it from the 18th on", o.Outlook)
	}
	// Asked in the early morning, day 4 ends in the early morning: that day has an outlook only.
	q, _ = weekFrom(t, march(t, 13, 6))
	a := windows(t, q)
	wantClocks(t, a, 17)
	if d := outlookOn(t, a, 17); d.Word != OutlookMayBe || len(a.Ledges[0].Off) > 0 {
		t.Errorf("outlook = %+v, off %+v; want %q and no day off", d, a.Ledges[0].Off, OutlookMayBe)
	}
}
