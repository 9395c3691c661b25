package conditions

import (
	"errors"
	"math"
	"reflect"
	"slices"
	"testing"
	"time"

	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/tide"
)

// march is an instant of March 2026 on Anvil's clocks, an hour of PDT but for the first days of the month.
func march(t testing.TB, day, hour int) time.Time {
	t.Helper()
	return time.Date(2026, 3, day, hour, 0, 0, 0, pacific(t))
}

func wantClocks(t *testing.T, a WindowsAnswer, day int, want ...string) []Window {
	t.Helper()
	got := onDay(a, day)
	if c := clocks(a, got); !slices.Equal(c, append([]string{}, want...)) {
		t.Fatalf("windows of day %d = %q, want %q (doubts %q, off %+v)", day, c, want, a.Ledges[0].Doubts, a.Ledges[0].Off)
	}
	return got
}

// In a calm the windows are the daylight: civil dawn (the almanac's 07:01 on 14 March at Arena Cove) to civil dusk at 19:47
// less the walk of 20 minutes, and what is left of Friday; Tuesday ends at noon, 96 hours after the question.
func TestInACalmTheWindowsAreTheDaylight(t *testing.T) {
	q, _ := aWeek(t)
	a := windows(t, q)
	wantClocks(t, a, 13, "13 12:00 to 13 19:26")
	w := wantClocks(t, a, 14, "14 07:01 to 14 19:27")[0]
	wantClocks(t, a, 15, "15 07:00 to 15 19:28")
	wantClocks(t, a, 16, "16 06:58 to 16 19:29")
	last := wantClocks(t, a, 17, "17 06:57 to 17 12:00")[0]
	if w.Ends.Word != Dark || w.TurnBack.In(q.Now.Location()).Format("15:04") != "18:47" {
		t.Errorf("ends by %q, turn back %s; want %q and 18:47, an hour before dusk", w.Ends.Word, w.TurnBack, Dark)
	}
	if last.Ends.Word != WhyTooFar || !last.To.Equal(a.Until) || !last.TurnBack.Equal(last.To.Add(-time.Hour)) {
		t.Errorf("last window ends by %q at %s, turn back %s; want %q at %s and an hour before", last.Ends.Word, last.To, last.TurnBack, WhyTooFar, a.Until)
	}
	if w.Room != (tide.Span{From: w.From, To: w.To}) {
		t.Errorf("room = %v, want the window itself", w.Room)
	}
	if len(a.Ledges[0].Off) > 0 || !a.Ledges[0].LimitsSet {
		t.Errorf("days off = %+v, limits set %v; want none, true", a.Ledges[0].Off, a.Ledges[0].LimitsSet)
	}
	var days []int
	for _, o := range a.Ledges[0].Outlook {
		days = append(days, o.Day.Day)
		if o.Word != OutlookMayBe || o.Hindrance != (Hindrance{}) {
			t.Errorf("outlook of %s = %q because of %+v, want %q", o.Day, o.Word, o.Hindrance, OutlookMayBe)
		}
	}
	if !slices.Equal(days, []int{17, 18, 19, 20}) {
		t.Errorf("outlook for the days %v, want 17 to 20", days)
	}
}

// A swell of 2 m at 15:00 and 16:00 on day 2 may come three hours early: the first hour it can touch ends at 12:00. At 17:00 on
// day 4 it may come six hours early: the first hour ends at 11:00.
func TestAnHourCountsWithTheWorstSeaAroundIt(t *testing.T) {
	q, l := aWeek(t)
	swellBetween(l, march(t, 14, 15), march(t, 14, 16), swell(2, 11, 285))
	swellBetween(l, march(t, 16, 17), march(t, 16, 17), swell(2, 11, 285))
	a := windows(t, q)
	w := wantClocks(t, a, 14, "14 07:01 to 14 11:00")[0]
	wantClocks(t, a, 15, "15 07:00 to 15 19:28")
	wantClocks(t, a, 16, "16 06:58 to 16 10:00")
	if w.Ends.Word != OverHs || w.Ends.Limit != 1.5 || !w.Ends.From.Equal(w.To) || !w.Ends.Until.Equal(march(t, 14, 20)) {
		t.Errorf("ends = %+v, want %q against 1.5 m from 11:00 to 20:00", w.Ends, OverHs)
	}
	if want := march(t, 14, 10); !w.TurnBack.Equal(want) {
		t.Errorf("turn back = %s, want %s", w.TurnBack, want)
	}

	// A forecast of a run of yesterday is that much less sure when: day 2 is its day 3.
	q, l = aWeek(t)
	swellBetween(l, march(t, 15, 15), march(t, 15, 15), swell(2, 11, 285))
	wantClocks(t, windows(t, q), 15, "15 07:00 to 15 11:00")
	l.Sea.Source.RunAt = q.Now.Add(-24 * time.Hour)
	wantClocks(t, windows(t, q), 15)
}

// The limit is held against the height that one sea in ten passes: exp(1.2816 sqrt(0.13² + 0.15² + (0.06 day)²)) times the forecast.
func TestTheLimitIsHeldAgainstTheP90(t *testing.T) {
	// 31 hours and 20 minutes ahead, at the end of the last hour of Saturday that people may be there in, 19:00 to 20:00.
	margin := math.Exp(1.2815515655446004 * math.Sqrt(0.13*0.13+0.15*0.15+math.Pow(0.06*34/24, 2)))
	for _, tt := range []struct {
		hs  measure.Metres
		off bool
	}{
		{1.1, false}, // P90 1.45
		{1.2, true},  // P90 1.58, though the forecast itself is under 1.5
	} {
		q, l := aWeek(t)
		q.To = march(t, 15, 0)
		q.From = march(t, 14, 0)
		swellBetween(l, march(t, 1, 0), march(t, 30, 0), swell(tt.hs, 11, 285))
		a := windows(t, q)
		if got := len(a.Ledges[0].Windows) == 0; got != tt.off {
			t.Fatalf("%v m: off %v, want %v (%+v)", tt.hs, got, tt.off, a.Ledges[0])
		}
		if !tt.off {
			if w := a.Ledges[0].Windows[0]; math.Abs(float64(w.HsP90)-1.1*margin) > 1e-9 {
				t.Errorf("worst P90 = %v, want %v", w.HsP90, 1.1*margin)
			}
			continue
		}
		// The last hour judged is 19:00; with three hours of arrival the worst is that of 22:00, 34 hours ahead.
		if h := offOn(t, a, 14); h.Word != OverHs || math.Abs(h.Value-1.2*margin) > 1e-9 || h.Limit != 1.5 || !(h.Best < h.Value) || h.Until != (time.Time{}) {
			t.Errorf("off = %+v, want %q of %v against 1.5 with no end in sight", h, OverHs, 1.2*margin)
		}
	}
}

func TestAWarningSplitsAWindow(t *testing.T) {
	for _, tt := range []struct {
		name string
		w    Warning
		want []string
	}{
		{"InTheMiddle", Warning{Concern: Red, Covers: new(true), Onset: march(t, 14, 11), Ends: march(t, 14, 13)}, []string{"14 07:01 to 14 11:00", "14 13:00 to 14 19:27"}},
		{"NotPlaced", Warning{Concern: Amber, Onset: march(t, 14, 11), Ends: march(t, 14, 13)}, []string{"14 07:01 to 14 11:00", "14 13:00 to 14 19:27"}},
		{"WithoutAnEnd", Warning{Concern: Amber, Onset: march(t, 14, 11)}, []string{"14 07:01 to 14 11:00"}},
		{"WithoutAnOnset", Warning{Concern: Amber, Ends: march(t, 14, 11)}, []string{"14 11:00 to 14 19:27"}},
		{"EndBeforeOnset", Warning{Concern: Red, Onset: march(t, 14, 13), Ends: march(t, 14, 11)}, []string{"14 07:01 to 14 11:00", "14 13:00 to 14 19:27"}},
		{"Elsewhere", Warning{Concern: Red, Covers: new(false)}, []string{"14 07:01 to 14 19:27"}},
		{"OnlyANote", Warning{Concern: Note, Covers: new(true)}, []string{"14 07:01 to 14 19:27"}},
		{"Always", Warning{Concern: Red}, nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			q, l := aWeek(t)
			warn(l, tt.w)
			a := windows(t, q)
			got := wantClocks(t, a, 14, tt.want...)
			if tt.name == "InTheMiddle" && (got[0].Ends.Word != WhyWarning || !got[0].Ends.Doubt || !got[0].Ends.Until.Equal(march(t, 14, 13))) {
				t.Errorf("ends = %+v, want %q until 13:00", got[0].Ends, WhyWarning)
			}
			if tt.name == "Always" {
				if h := offOn(t, a, 14); h.Word != WhyWarning || !h.From.IsZero() || !h.Until.IsZero() {
					t.Errorf("off = %+v, want %q without beginning or end", h, WhyWarning)
				}
			}
		})
	}
	// Two that overlap are as one.
	q, l := aWeek(t)
	l.Warnings = Warnings{State: WarningsInForce, List: []Warning{
		{Concern: Red, Onset: march(t, 14, 12), Ends: march(t, 14, 14)}, {Concern: Amber, Onset: march(t, 14, 11), Ends: march(t, 14, 13)},
	}}
	wantClocks(t, windows(t, q), 14, "14 07:01 to 14 11:00", "14 14:00 to 14 19:27")
}

// The forecast ends at 14:00 on Sunday: what the swell does after that is not known, and it may come three hours early; the hour
// from 10:00 is the last one known. Nothing is said of the days after.
func TestNothingIsSaidPastTheForecast(t *testing.T) {
	q, l := aWeek(t)
	l.Sea.Hours = slices.DeleteFunc(l.Sea.Hours, func(h SeaHour) bool { return h.At.After(march(t, 15, 14)) })
	a := windows(t, q)
	if w := wantClocks(t, a, 15, "15 07:00 to 15 11:00")[0]; w.Ends.Word != WhySeaUnknown {
		t.Errorf("ends = %+v, want %q", w.Ends, WhySeaUnknown)
	}
	o := a.Ledges[0]
	if !o.SeaUntil.Equal(march(t, 15, 14)) {
		t.Errorf("sea until %s, want Sunday 14:00", o.SeaUntil)
	}
	if len(o.Off) > 0 || len(o.Outlook) > 0 || !o.Windows[len(o.Windows)-1].To.Before(o.SeaUntil) {
		t.Errorf("off %+v, outlook %+v; want nothing of the days after", o.Off, o.Outlook)
	}

	// It ends at 09:00 on Monday: that day has light left that nothing is known of.
	q, l = aWeek(t)
	l.Sea.Hours = slices.DeleteFunc(l.Sea.Hours, func(h SeaHour) bool { return h.At.After(march(t, 16, 9)) })
	a = windows(t, q)
	if h := offOn(t, a, 16); h.Word != WhySeaUnknown || !h.Doubt || !h.Until.IsZero() {
		t.Errorf("off = %+v, want %q with no end", h, WhySeaUnknown)
	}

	// Gusts only count where the crew set a limit on them. The last forecast hour is 14:00, and speaks for the hour before it.
	q, l = aWeek(t)
	l.Weather.Hours = slices.DeleteFunc(l.Weather.Hours, func(h WeatherHour) bool { return h.At.After(march(t, 14, 14)) })
	a = windows(t, q)
	if w := wantClocks(t, a, 14, "14 07:01 to 14 14:00")[0]; w.Ends.Word != WhyWindUnknown || w.Gust == nil || *w.Gust != 6 {
		t.Errorf("ends = %+v, gust %v; want %q and 6 m/s", w.Ends, w.Gust, WhyWindUnknown)
	}
	if !a.Ledges[0].WeatherUntil.Equal(march(t, 14, 14)) {
		t.Errorf("weather until %s, want Saturday 14:00", a.Ledges[0].WeatherUntil)
	}
	l.Card.Limits.Gust = nil
	if w := wantClocks(t, windows(t, q), 14, "14 07:01 to 14 14:00")[0]; w.Ends.Word != WhyWindUnknown {
		t.Errorf("ends = %+v, want %q: past the forecast the wind is not known, limit or none", w.Ends, WhyWindUnknown)
	}
	// Neither do those of a forecast fetched too long ago.
	q, l = aWeek(t)
	l.Weather.Source.FetchedAt = q.Now.Add(-SeaRefused - time.Second)
	if a = windows(t, q); len(a.Ledges[0].Windows) > 0 || offOn(t, a, 14).Word != WhyWindUnknown {
		t.Errorf("windows by old weather = %q, want none", clocks(a, a.Ledges[0].Windows))
	}
}

// One hour that is not known takes the hours that its sea could reach, but no hour that has been.
func TestAHoleIsNoCalm(t *testing.T) {
	q, l := aWeek(t)
	gone := func(at time.Time) {
		l.Sea.Hours = slices.DeleteFunc(l.Sea.Hours, func(h SeaHour) bool { return h.At.Equal(at) })
	}
	gone(march(t, 14, 12))
	gone(march(t, 13, 10))
	a := windows(t, q)
	wantClocks(t, a, 13, "13 12:00 to 13 19:26")
	wantClocks(t, a, 14, "14 16:00 to 14 19:27")
	// That hour beyond this world is as unknown.
	q, l = aWeek(t)
	swellBetween(l, march(t, 14, 12), march(t, 14, 12), swell(60, 12, 285))
	l.Card.Limits = ledge.Limits{}
	a = windows(t, q)
	if w := wantClocks(t, a, 14, "14 16:00 to 14 19:27"); len(w) != 1 {
		t.Errorf("windows = %d, want 1", len(w))
	}
}

// What is not known of the whole search is said, and nothing else.
func TestWhatIsNotKnownMeetsNoLimit(t *testing.T) {
	for _, tt := range []struct {
		name  string
		want  []string
		spoil func(l *Question)
	}{
		{"NoSea", []string{WhySeaUnknown}, func(l *Question) { l.Sea = nil }},
		{"EmptySea", []string{WhySeaUnknown}, func(l *Question) { l.Sea.Hours = nil }},
		{"ZeroFilledSea", []string{WhySeaUnknown}, func(l *Question) {
			for i := range l.Sea.Hours {
				l.Sea.Hours[i] = SeaHour{At: l.Sea.Hours[i].At, Hs: new(measure.Metres(0)), Period: new(measure.Seconds(0)), PeriodKind: PeriodPeak, From: new(measure.From(0))}
			}
		}},
		{"SeaThatIsPast", []string{WhySeaUnknown}, func(l *Question) { l.Sea.Hours = l.Sea.Hours[:10] }},
		{"SeaOlderThanTwelveHours", []string{WhySeaOld}, func(l *Question) { l.Sea.Source.FetchedAt = march(t, 13, 12).Add(-SeaRefused - time.Second) }},
		{"SeaOfAnUnknownAge", []string{WhySeaOld}, func(l *Question) { l.Sea.Source.FetchedAt = time.Time{} }},
		{"RunOfTheDayBeforeYesterday", []string{WhySeaOld}, func(l *Question) { l.Sea.Source.RunAt = march(t, 13, 12).Add(-RunRefused - time.Second) }},
		{"WarningsUnknown", []string{WhyWarningsUnknown}, func(l *Question) { l.Warnings = Warnings{State: WarningsUnknown} }},
		{"WarningsNeverAskedFor", []string{WhyWarningsUnknown}, func(l *Question) { l.Warnings = Warnings{} }},
		{"WarningsInForceButNoneNamed", []string{WhyWarningsUnknown}, func(l *Question) { l.Warnings = Warnings{State: WarningsInForce} }},
		{"NoTideStation", []string{WhyTide}, func(l *Question) { l.Card.TideStation = "" }},
		{"TideStationFarAway", []string{WhyTideFar}, func(l *Question) { l.Card.Exact.Lat += 4 }},
		{"NoLip", []string{WhyLip}, func(l *Question) { l.Card.LipHeight = nil }},
		{"LipUnmeasured", []string{WhyLip}, func(l *Question) { l.Card.LipMeasured = ledge.Unmeasured }},
		{"NoFootDepth", []string{WhyFoot}, func(l *Question) { l.Card.FootDepth = nil }},
		{"NoFacing", []string{WhyFoot}, func(l *Question) { l.Card.Faces = nil }},
		{"NoSlope", []string{WhyFoot}, func(l *Question) { l.Card.FaceSlope = nil }},
		{"NoPosition", []string{WhyLight}, func(l *Question) { l.Card.Exact = nil }},
		{"NothingAtAll", []string{WhySeaUnknown, WhyWarningsUnknown, WhyTide, WhyLip, WhyFoot, WhyLight}, func(l *Question) { *l = Question{} }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			q, l := aWeek(t)
			tt.spoil(l)
			o := windows(t, q).Ledges[0]
			if !slices.Equal(o.Doubts, tt.want) || len(o.Windows)+len(o.Off)+len(o.Outlook) > 0 {
				t.Errorf("Windows = doubts %q, %d windows, off %+v, outlook %+v; want only %q", o.Doubts, len(o.Windows), o.Off, o.Outlook, tt.want)
			}
		})
	}
	// With nights nobody need know when it gets dark.
	q, l := aWeek(t)
	l.Card.Exact, q.Nights = nil, true
	if o := windows(t, q).Ledges[0]; len(o.Doubts) > 0 || len(o.Windows) == 0 {
		t.Errorf("Windows by night without a position = doubts %q, %d windows; want some", o.Doubts, len(o.Windows))
	}
}

// A lip that nobody measured is made up for by watches of the swell that comes, as in Assess.
func TestWatchesStandInForAMeasuredLip(t *testing.T) {
	q, l := aWeek(t)
	l.Card.LipMeasured = ledge.Unmeasured
	l.Learned = watched(Question{Now: q.Now}, 12, 3)
	one := *l
	one.Now, one.From, one.To = q.Now, march(t, 14, 8), march(t, 14, 14)
	r := assess(t, one)
	if !r.Calibrated {
		t.Fatalf("Assess with twelve watches is not calibrated (%+v): the test needs more", r.Reasons)
	}
	a := windows(t, q)
	if len(onDay(a, 14)) == 0 {
		t.Errorf("windows = %q (doubts %q), want some on day 14", clocks(a, a.Ledges[0].Windows), a.Ledges[0].Doubts)
	}
	// The same number of watches that contradict each other teach nothing: then each day says why.
	for i := range l.Learned {
		l.Learned[i].Washes, l.Learned[i].Spans[0].Hs, l.Learned[i].Spans[0].Rc = 140, 0.3, 6
	}
	a = windows(t, q)
	if h := offOn(t, a, 14); len(a.Ledges[0].Windows) > 0 || h.Word != WhyLip || !h.Doubt {
		t.Errorf("windows = %q, off %+v; want none because of %q", clocks(a, a.Ledges[0].Windows), h, WhyLip)
	}
	if d := outlookOn(t, a, 19); d.Word != OutlookCannotTell || d.Hindrance.Word != WhyLip {
		t.Errorf("outlook = %+v, want %q because of %q", d, OutlookCannotTell, WhyLip)
	}
}

// Where the crew set nothing the chance of a wash in an hour decides, against the same limit that turns people back.
func TestWithoutLimitsTheChanceOfAWashDecides(t *testing.T) {
	q, l := aWeek(t)
	l.Card.Limits = ledge.Limits{}
	swellBetween(l, march(t, 14, 0), march(t, 14, 23), swell(1.8, 11, 275))
	a := windows(t, q)
	o := a.Ledges[0]
	if o.LimitsSet || o.HourChance != badHour || o.StayChance != ledge.LikelyChance {
		t.Errorf("limits set %v, chances %v and %v; want none, %v and %v", o.LimitsSet, o.HourChance, o.StayChance, badHour, ledge.LikelyChance)
	}
	if h := offOn(t, a, 14); h.Word != OverChance || h.Limit != badHour || !(h.Value > badHour && h.Value <= 1 && h.Best >= badHour) {
		t.Errorf("off = %+v, want %q over %v", h, OverChance, badHour)
	}
	wantClocks(t, a, 16, "16 06:58 to 16 19:29")
	// What holds in the evening and in the morning holds in the night between, and in the last evening has no end yet.
	two := q
	two.Ledges, two.To = slices.Clone(q.Ledges), march(t, 16, 0)
	sea := *l.Sea
	sea.Hours = slices.Clone(sea.Hours)
	two.Ledges[0].Sea = &sea
	swellBetween(&two.Ledges[0], march(t, 14, 0), march(t, 15, 12), swell(1.8, 11, 275))
	b := windows(t, two)
	if h := offOn(t, b, 14); !h.Until.After(march(t, 15, 12)) {
		t.Errorf("off = %+v, want it to last through the night to Sunday afternoon", h)
	}
	swellBetween(&two.Ledges[0], march(t, 14, 0), march(t, 16, 12), swell(1.8, 11, 275))
	if h := offOn(t, windows(t, two), 15); h.Word != OverChance || !h.Until.IsZero() {
		t.Errorf("off = %+v, want %q with no end in sight", h, OverChance)
	}
	// A limit on the chance that lets through what this program calls "likely washed" is no limit that it offers hours by.
	l.Card.Limits.WashChance = new(1.0)
	a = windows(t, q)
	if o := a.Ledges[0]; !o.LimitsSet || o.HourChance != ledge.LikelyChance || o.StayChance != ledge.LikelyChance {
		t.Errorf("with a limit of 1: set %v, held against %v and %v; want %v", o.LimitsSet, o.HourChance, o.StayChance, ledge.LikelyChance)
	}
	for _, w := range onDay(a, 14) {
		if w.Verdict == ledge.LikelyWashed || w.ChanceP90 >= ledge.LikelyChance || w.To.Sub(w.From) > 6*time.Hour {
			t.Errorf("with a limit of 1: %s, %q with a chance of %v; want only what is left around low water", clock(a, w.From, w.To), w.Verdict, w.ChanceP90)
		}
	}
}

// The numbers of a window are those of a Report for the same hours.
func TestAWindowSaysWhatAssessSays(t *testing.T) {
	for _, tt := range []struct {
		watches int
		swell   Partition
	}{
		{0, swell(0.9, 11, 285)}, {8, swell(1, 11, 285)},
		{0, swell(1.9, 15, 30)}, // from behind: long swell comes round all the same, as long as nobody watched it
	} {
		n := tt.watches
		q, l := aWeek(t)
		l.Card.Limits.Hs = nil
		l.Learned = watched(Question{Now: q.Now}, n, 1)
		for i, h := range l.Sea.Hours { // highest at noon on Saturday
			p := tt.swell
			p.Hs += measure.Metres(0.1 * math.Cos(float64(i-36)/3))
			l.Sea.Hours[i] = seaHour(h.At, p, chop(0.3, 5, 300))
		}
		for i := range l.Weather.Hours {
			l.Weather.Hours[i].PressureHPa = new(1003.25)
		}
		l.Weather.Hours[36].Code = new(95)
		q.From, q.To = march(t, 14, 9), march(t, 14, 16)
		a := windows(t, q)
		w := wantClocks(t, a, 14, "14 09:00 to 14 16:00")[0]
		one := *l
		one.Now, one.From, one.To = q.Now, w.From, w.To
		r := assess(t, one)
		if math.Abs(w.Chance-r.PStay) > 1e-12 || math.Abs(float64(w.ExcessBad-r.ExcessBad)) > 1e-12 || w.Verdict != r.ByNumbers {
			t.Errorf("%d watches: chance %v, excess %v, %q; want those of Assess: %v, %v, %q", n, w.Chance, w.ExcessBad, w.Verdict, r.PStay, r.ExcessBad, r.ByNumbers)
		}
		if !(w.ChanceP90 > w.Chance) || w.Chance <= 0 {
			t.Errorf("%d watches: chance %v, in a P90 sea %v; want more", n, w.Chance, w.ChanceP90)
		}
		if w.TideAtStart.Height != r.TideAtStart || w.TideAtStart.Motion != tide.Ebbing || a.Ledges[0].Station != r.Station || a.Ledges[0].Datum != r.Datum {
			t.Errorf("tide %+v at %s over %s; want %v ebbing at %s over %s", w.TideAtStart, a.Ledges[0].Station, a.Ledges[0].Datum, r.TideAtStart, r.Station, r.Datum)
		}
		if len(w.Turns) != 1 || w.Turns[0].Kind != tide.Low || w.TideAtEnd.Motion != tide.Making {
			t.Errorf("turns = %+v, want the low water of the afternoon", w.Turns)
		}
		if !slices.ContainsFunc(w.Notes, func(x Reason) bool { return x.Word == Thunder }) || !says(r, Thunder) {
			t.Errorf("notes = %+v, want %q as in %+v", w.Notes, Thunder, r.Reasons)
		}
		if w.Ends != (Hindrance{}) {
			t.Errorf("ends = %+v, want nothing: the search does", w.Ends)
		}
	}
}

// Each hour within the limit, the stay over it: the room is cut to the longest stay that is not.
func TestTheChanceOfAWholeStayShortensIt(t *testing.T) {
	q, l := aWeek(t)
	l.Card.Limits = ledge.Limits{}
	swellBetween(l, march(t, 1, 0), march(t, 30, 0), swell(1.1, 11, 285))
	q.From, q.To = march(t, 14, 0), march(t, 15, 0)
	free := windows(t, q).Ledges[0].Windows
	if len(free) != 1 {
		t.Fatalf("windows without a limit = %+v, want one", free)
	}
	limit := 0.6 * free[0].ChanceP90
	l.Card.Limits.WashChance = &limit
	a := windows(t, q)
	got := a.Ledges[0].Windows
	if len(got) == 0 {
		t.Fatalf("no window with a limit of %v on the stay: %+v", limit, a.Ledges[0].Off)
	}
	cut := false
	for _, w := range got {
		if w.ChanceP90 > limit {
			t.Errorf("chance of a wash in %s = %v, over %v", clock(a, w.From, w.To), w.ChanceP90, limit)
		}
		if w.From.Before(w.Room.From) || w.To.After(w.Room.To) {
			t.Errorf("window %s outside its room %s", clock(a, w.From, w.To), clock(a, w.Room.From, w.Room.To))
		}
		if w.Ends.Word == OverStayChance {
			cut = true
			if !(w.Ends.Value > limit && w.Ends.Limit == limit) {
				t.Errorf("ends = %+v, want more than %v", w.Ends, limit)
			}
		}
	}
	if !cut {
		t.Errorf("windows = %q, want one that the chance of the stay ends", clocks(a, got))
	}
	// So tight that an hour passes and two do not.
	s := newSearch(&WindowsQuestion{Now: q.Now, From: q.From, To: q.To, Least: DefaultStay}, *l)
	s.windows()
	best, hour := 1.0, 1.0
	first, end := s.overlapping(tide.Span{From: free[0].From, To: free[0].To})
	for i := first; i+1 < end; i++ {
		best, hour = min(best, s.stayOf(i, i+2).chance()), min(hour, max(s.cells[i].chance(), s.cells[i+1].chance()))
	}
	limit = (best + hour) / 2
	if !(hour < limit && limit < best) {
		t.Fatalf("least chance of an hour of two %v, of two hours %v: the test needs a gap", hour, best)
	}
	a = windows(t, q)
	if h := offOn(t, a, 14); len(a.Ledges[0].Windows) > 0 || h.Word != OverStayChance && h.Word != OverChance || h.Limit != limit {
		t.Errorf("windows = %q, off = %+v; want none because of the chance over %v", clocks(a, a.Ledges[0].Windows), h, limit)
	}
}

func TestWindowsRefusesWhatMakesNoSense(t *testing.T) {
	for _, tt := range []struct {
		name  string
		spoil func(q *WindowsQuestion)
	}{
		{"EndsBeforeItBegins", func(q *WindowsQuestion) { q.To = q.From.Add(-time.Hour) }},
		{"Past", func(q *WindowsQuestion) { q.From, q.To = q.Now.Add(-9*time.Hour), q.Now }},
		{"ElevenDays", func(q *WindowsQuestion) { q.To = q.From.Add(MostSearched + time.Second) }},
		{"AnHour", func(q *WindowsQuestion) { q.Least = time.Hour }},
		{"Negative", func(q *WindowsQuestion) { q.Least = -time.Hour }},
		{"ThreeDaysAtAStretch", func(q *WindowsQuestion) { q.Least = 72 * time.Hour }},
		{"UnknownWish", func(q *WindowsQuestion) { q.Tide.Kind = "slack" }},
		{"LevelNoNumber", func(q *WindowsQuestion) { q.Tide = TideWish{Kind: TideBelowLevel, Level: measure.Metres(math.NaN())} }},
		{"NegativeAround", func(q *WindowsQuestion) { q.Tide = TideWish{Kind: TideAroundLow, Around: -time.Hour} }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			q, _ := aWeek(t)
			tt.spoil(&q)
			if a, err := Windows(q); !errors.Is(err, ErrWindow) || !reflect.DeepEqual(a, WindowsAnswer{}) {
				t.Errorf("Windows = %+v, %v; want ErrWindow", a, err)
			}
		})
	}
	q, _ := aWeek(t)
	q.From = q.Now.Add(-30 * time.Hour)
	if a := windows(t, q); !a.From.Equal(q.Now) {
		t.Errorf("searched from %s, want from now %s", a.From, q.Now)
	}
}

// The order is that of time or of length, over all ledges; ledges keep the order they were asked in.
func TestWindowsAreOrderedByTimeOrLength(t *testing.T) {
	q, l := aWeek(t)
	other := *l
	other.Card.Name = "Long Step"
	other.Card.WalkMinutes = 90
	q.Ledges = append(q.Ledges, other)
	a := windows(t, q)
	if len(a.Ledges) != 2 || a.Ledges[0].Ledge != "Anvil" || a.Ledges[1].Ledge != "Long Step" {
		t.Fatalf("ledges = %+v, want Anvil, Long Step", a.Ledges)
	}
	byTime, byLength := a.ByTime(), a.ByLength()
	if len(byTime) != 10 || len(byLength) != 10 {
		t.Fatalf("%d by time, %d by length; want five days of two ledges", len(byTime), len(byLength))
	}
	for i := 1; i < 10; i++ {
		if byTime[i].From.Before(byTime[i-1].From) {
			t.Errorf("by time: %s after %s", byTime[i].From, byTime[i-1].From)
		}
		if byLength[i].To.Sub(byLength[i].From) > byLength[i-1].To.Sub(byLength[i-1].From) {
			t.Errorf("by length: %s after %s", byLength[i].To.Sub(byLength[i].From), byLength[i-1].To.Sub(byLength[i-1].From))
		}
	}
	if byTime[0].Ledge.Ledge != "Anvil" || byTime[1].Ledge.Ledge != "Long Step" {
		t.Errorf("first by time %q, then %q; want Anvil before Long Step", byTime[0].Ledge.Ledge, byTime[1].Ledge.Ledge)
	}
}
