package wording

import (
	"strings"
	"testing"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/sky"
	"ledgehand/conditions/tide"
)

func init() { areas["hours"] = hoursSamples }

// onDay is an instant of the invented week; the 14th is its Saturday.
func onDay(day, hour, minute int) time.Time { return at(hour, minute).AddDate(0, 0, day-14) }

func hoursAnswer(c cast) conditions.WindowsAnswer {
	z, err := time.LoadLocation(zoneName)
	if err != nil {
		panic(err)
	}
	day := func(d int) sky.Date { return sky.Date{Year: 2026, Month: time.March, Day: d} }
	reason := func(word string, value, limit float64) conditions.Hindrance {
		return conditions.Hindrance{Reason: conditions.Reason{Word: word, Value: value, Limit: limit}}
	}
	stay := func(from, to time.Time, ends conditions.Hindrance, notes ...conditions.Reason) conditions.Window {
		return conditions.Window{
			From: from, To: to, Room: tide.Span{From: from, To: to}, TurnBack: to.Add(-time.Hour), Ends: ends,
			TideAtStart: conditions.TideMark{Height: 1.2, Motion: tide.Ebbing}, TideAtEnd: conditions.TideMark{Height: 0.6, Motion: tide.Making},
			Turns: []tide.Extreme{{At: from.Add(2 * time.Hour), Height: 0.3, Kind: tide.Low}},
			HsP90: 1.42, Period: 11.4, Gust: new(measure.MetresPerSecond(9)), Chance: 0.01, ChanceP90: 0.03, Notes: notes,
		}
	}
	roomy := stay(onDay(16, 7, 0), onDay(16, 11, 0), reason(conditions.OverStayChance, 0.12, 0.1))
	roomy.Room.To, roomy.Gust = onDay(16, 15, 0), nil
	overnight := stay(onDay(17, 22, 0), onDay(18, 2, 0), conditions.Hindrance{})
	return conditions.WindowsAnswer{
		Now: onDay(13, 12, 0), From: onDay(13, 12, 0), To: onDay(20, 12, 0), Until: onDay(17, 12, 0), Least: 2 * time.Hour,
		Ledges: []conditions.LedgeWindows{{
			Ledge: c.anvil, Zone: z, Limits: ledge.Limits{Hs: new(measure.Metres(1.5)), Gust: new(measure.MetresPerSecond(12))}, LimitsSet: true,
			HourChance: 0.2, StayChance: 0.5, Station: "Arena Cove", Datum: "MLLW", SeaUntil: onDay(19, 9, 0),
			Windows: []conditions.Window{
				stay(onDay(14, 7, 1), onDay(14, 11, 0), reason(conditions.OverHs, 2.04, 1.5), conditions.Reason{Word: conditions.Thunder}, conditions.Reason{Word: conditions.ColdWater}),
				roomy, overnight, stay(onDay(18, 7, 0), onDay(18, 12, 0), reason(conditions.WhyTooFar, 0, 0)), stay(onDay(18, 13, 0), onDay(18, 15, 0), reason(conditions.Dark, 0, 0)),
			},
			Off: []conditions.DayOff{
				{Day: day(13), Hindrance: reason(conditions.OverHs, 2.2, 1.5)}, {Day: day(15), Hindrance: reason(conditions.OverHs, 2.6, 1.5)},
				{Day: day(17), Hindrance: reason(conditions.WalkInWet, 1.1, 0.9)},
			},
			Outlook: []conditions.DayOutlook{
				{Day: day(17), Word: conditions.OutlookMayBe}, {Day: day(18), Word: conditions.OutlookMayBe}, {Day: day(19), Word: conditions.OutlookCannotTell},
			},
			SeaSource: &conditions.Source{Name: "Open wave model", FetchedAt: onDay(13, 11, 30), Km: 4},
			Warnings:  conditions.Warnings{State: conditions.WarningsNone, Source: "an office", CheckedAt: onDay(13, 11, 55)},
		}},
	}
}

func hoursSamples(w Words, c cast) []sample {
	full := hoursAnswer(c)
	unset := hoursAnswer(c)
	unset.Nights, unset.Tide = true, conditions.TideWish{Kind: conditions.TideAroundLow, Around: 2 * time.Hour}
	l := &unset.Ledges[0]
	l.Limits, l.LimitsSet, l.Windows, l.Watches = ledge.Limits{}, false, l.Windows[:1], 7
	unset.Ledges = append(unset.Ledges, conditions.LedgeWindows{
		Ledge: c.longStep, Zone: l.Zone, Doubts: []string{conditions.WhySeaUnknown, conditions.WhyWarningsUnknown, conditions.WhyLight}, SeaUntil: onDay(13, 6, 0),
	})
	none := hoursAnswer(c)
	l = &none.Ledges[0]
	l.Windows, l.Off = nil, nil
	none.Tide = conditions.TideWish{Kind: conditions.TideBelowLevel, Level: 1.2}
	for i, x := range []conditions.Reason{
		{Word: conditions.WhyWarning}, {Word: conditions.WhyWindUnknown}, {Word: conditions.WhyViolent}, {Word: conditions.OverPeriod, Value: 17, Limit: 14},
		{Word: conditions.OverGust, Value: 18, Limit: 12}, {Word: conditions.OverChance, Value: 0.4, Limit: 0.1}, {Word: conditions.OutsideTideWish},
	} {
		l.Off = append(l.Off, conditions.DayOff{Day: sky.Date{Year: 2026, Month: time.March, Day: 13 + i}, Hindrance: conditions.Hindrance{Reason: x}})
	}
	blind := hoursAnswer(c)
	blind.Ledges = []conditions.LedgeWindows{{
		Ledge: c.anvil, Zone: l.Zone, Doubts: []string{conditions.WhySeaOld, conditions.WhyLip, conditions.WhyTide},
		SeaSource: &conditions.Source{Name: "Open wave model", FetchedAt: onDay(12, 20, 0), Km: 4},
	}}
	return []sample{
		{"hours, limits and reasons of every kind", w.Hours(full)},
		{"no limits set, one ledge unknown", w.Hours(unset)},
		{"no hours", w.Hours(none)},
		{"nothing can be told", w.Hours(blind)},
	}
}

// What nobody set cannot be met, and where nothing is known "none" would be a claim.
func TestHoursClaimNoMoreThanIsKnown(t *testing.T) {
	s := hoursSamples(words(Metric), crew)
	for i, tt := range []struct{ has, hasNot string }{
		{"soonest within your limits", "you set no limits"},
		{"you set no limits", "within your limits"},
		{"No hours within your limits", "soonest"},
		{"Treat that as a no", "No hours within"},
	} {
		head, _, _ := strings.Cut(s[i].text, "\n")
		if !strings.Contains(head, tt.has) || strings.Contains(head, tt.hasNot) {
			t.Errorf("%s: head %q, want %q and not %q", s[i].name, head, tt.has, tt.hasNot)
		}
	}
}

// Four ledges with a week full of hours still are one message.
func TestHoursFitOneMessage(t *testing.T) {
	a := hoursAnswer(crew)
	l := a.Ledges[0]
	l.Ledge = strings.Repeat("L", 40)
	for range 10 {
		l.Windows = append(l.Windows, l.Windows[0])
		l.Off = append(l.Off, conditions.DayOff{Day: l.Off[0].Day, Hindrance: conditions.Hindrance{Reason: conditions.Reason{Word: conditions.OverGust, Value: 18, Limit: 12}}}, l.Off[2])
	}
	l.Off = l.Off[:5] // there are five days up to day 4
	a.Ledges = []conditions.LedgeWindows{l, l, l, l}
	if n := units16(words(Metric).Hours(a)); n > 4096 {
		t.Errorf("%d UTF-16 units, want up to 4096", n)
	}
}
