package wording

import (
	"math"
	"strings"
	"testing"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/tide"
)

func zoneOf(t string) *time.Location {
	z, err := time.LoadLocation(t)
	if err != nil {
		panic(err)
	}
	return z
}

// morning is a forecast for Anvil on Saturday six to eleven, everything known, the sea rising.
func morning(c cast) conditions.Report {
	m := func(v float64) *measure.Metres { x := measure.Metres(v); return &x }
	ms := func(v float64) *measure.MetresPerSecond { x := measure.MetresPerSecond(v); return &x }
	sec := func(v float64) *measure.Seconds { x := measure.Seconds(v); return &x }
	from := func(v float64) *measure.From { x := measure.From(v); return &x }
	r := conditions.Report{
		Ledge: c.anvil, From: at(6, 0), To: at(11, 0), Now: at(5, 22), Zone: zoneOf(zoneName),
		Verdict: ledge.CouldBe, ByNumbers: ledge.CouldBe,
		Warnings: conditions.Warnings{State: conditions.WarningsNone, Source: "US National Weather Service", CheckedAt: at(5, 20)},
		Worst:    4, PStay: 0.38, ExcessMedian: 0.4, ExcessBad: 1.1, PerTideRise: 4.6,
		Extremes: []tide.Extreme{{At: at(-1, 10), Height: 1.5, Kind: tide.High}, {At: at(4, 50), Height: 0.2, Kind: tide.Low}, {At: at(11, 20), Height: 1.7, Kind: tide.High}},
		HasGate:  true, WalkInDry: []tide.Span{{From: at(6, 0), To: at(10, 10)}},
		FirstLight: at(6, 58), LastLight: at(19, 47), TideAtStart: 0.4,
		Station: "Arena Cove", StationKm: 5.1, Datum: "MLLW", WatchMinutes: 20,
		SeaSource: &conditions.Source{Name: "Open-Meteo, MFWAM", RunAt: at(-7, 0), FetchedAt: at(5, 10), Km: 6},
	}
	for i := range 5 {
		onshore := 1.5 * float64(i)
		r.Hours = append(r.Hours, conditions.Hour{
			At: at(6+i, 0), Tide: measure.Metres(0.4 + 0.3*float64(i)), Freeboard: measure.Metres(3.8 - 0.3*float64(i)),
			Hs: m(1.2 + 0.1*float64(i)), HsP90: m(1.5 + 0.1*float64(i)), Tz: 8.6, Judged: true, Known: true, Period: sec(13), SwellFrom: from(247),
			Wind: ms(3 + float64(i)), Gust: ms(5 + 1.5*float64(i)), WindFrom: from(240), OnshoreMS: &onshore, P: 0.002 * math.Pow(3.3, float64(i)),
		})
	}
	return r
}

func doubts(r conditions.Report, words ...string) conditions.Report {
	r.Verdict = ledge.CannotTell
	for _, x := range words {
		r.Reasons = append(r.Reasons, conditions.Reason{Word: x, Doubt: true})
	}
	return r
}

func blind(c cast) conditions.Report {
	r := morning(c)
	r.Worst, r.PStay, r.ByNumbers, r.SeaSource = -1, 0, ledge.CannotTell, nil
	for i := range r.Hours {
		r.Hours[i] = conditions.Hour{At: r.Hours[i].At, Tide: r.Hours[i].Tide, Freeboard: r.Hours[i].Freeboard}
	}
	return r
}

var everyDoubt = []string{
	conditions.WhyWarning, conditions.WhyWarningsUnknown, conditions.WhySeaUnknown, conditions.WhySeaOld, conditions.WhyTooFar,
	conditions.WhyViolent, conditions.WhyLip, conditions.WhyFoot, conditions.WhyTide,
}

// warned holds invented warnings in the form official ones have.
func warned(r conditions.Report) conditions.Report {
	yes := true
	r = doubts(r, conditions.WhyWarning)
	r.Warnings = conditions.Warnings{State: conditions.WarningsInForce, Source: "US National Weather Service", CheckedAt: at(5, 20), List: []conditions.Warning{
		{Event: "High Surf Warning", Headline: "High Surf Warning issued March 13 at 1:04PM PDT until March 14 at 6:00PM PDT by NWS Example Bay", Sender: "NWS Example Bay CA", Concern: conditions.Red, Covers: &yes},
		{Event: "Gale <Watch> & more", Sender: "NWS Example Bay CA", Concern: conditions.Amber},
	}}
	return r
}

func conditionsSamples(w Words, c cast) []sample {
	imperial := For(w.Lang, Imperial, nil)
	m := func(v float64) *measure.Metres { x := measure.Metres(v); return &x }
	calm := morning(c)
	calm.Verdict, calm.ByNumbers, calm.PStay, calm.ExcessMedian, calm.ExcessBad, calm.WithinLimits, calm.Watches, calm.Calibrated = ledge.NotExpected, ledge.NotExpected, 0.004, -2.1, -0.9, true, 7, true
	calm.Hours[4].P, calm.PerTideRise, calm.WalkInDry = 0.001, 0, []tide.Span{{From: at(6, 0), To: at(11, 0)}}
	over := morning(c)
	over.GoodFrom, over.TurnBack = at(7, 0), at(9, 0)
	over.Watches = 1
	over.Reasons = []conditions.Reason{
		{Word: conditions.OverHs, Value: 1.6, Limit: 1.5}, {Word: conditions.OverPeriod, Value: 13.2, Limit: 12}, {Word: conditions.OverGust, Value: 13, Limit: 12},
		{Word: conditions.OverChance, Value: 0.38, Limit: 0.1}, {Word: conditions.Dark}, {Word: conditions.OnshoreRising}, {Word: conditions.Thunder},
		{Word: conditions.Fog}, {Word: conditions.ColdWater}, {Word: conditions.LongPeriod},
	}
	over.WatchMinutes = 30
	likely := morning(c)
	likely.Verdict, likely.ByNumbers, likely.PStay, likely.NoGoodHour, likely.ExcessMedian, likely.ExcessBad = ledge.LikelyWashed, ledge.LikelyWashed, 0.99, true, 1.9, 3.2
	likely.Hours[4].P, likely.WalkInDry = 0.97, nil
	likely.Surge = &conditions.Surge{HPa: 984, Height: 0.29}
	under := likely
	under.Hours = append([]conditions.Hour(nil), likely.Hours...)
	under.Hours[4].Freeboard = -0.3
	violent := doubts(morning(c), conditions.WhyViolent)
	violent.ByNumbers = ledge.CannotTell
	violent.Hours[4].Violent = true
	old := doubts(blind(c), conditions.WhySeaOld, conditions.WhySeaUnknown)
	old.SeaSource = &conditions.Source{Name: "Open-Meteo, MFWAM", FetchedAt: at(-9, 10), Km: 6}
	down := doubts(blind(c), conditions.WhySeaUnknown, conditions.WhyWarningsUnknown)
	down.SeaWhy, down.Warnings = "down", conditions.Warnings{State: conditions.WarningsUnknown, Why: "no feed here"}
	partly := doubts(morning(c), conditions.WhySeaUnknown)
	partly.Hours[0] = conditions.Hour{At: partly.Hours[0].At, Tide: 0.4, Freeboard: 3.8}
	no := doubts(blind(c), conditions.WhyTide)
	no.Station, no.Extremes, no.HasGate, no.FirstLight = "", nil, false, time.Time{}
	far := doubts(morning(c), conditions.WhyTooFar)
	recorded := morning(c)
	recorded.SeaSource = &conditions.Source{Name: "sample", Recorded: true}
	turn := morning(c)
	turn.Extremes[1].At = at(6, 10)
	turn.WalkInDry = []tide.Span{{From: at(7, 15), To: at(10, 10)}}
	high := morning(c)
	high.Extremes = []tide.Extreme{{At: at(6, 10), Height: 1.7, Kind: tide.High}, {At: at(12, 30), Height: 0.1, Kind: tide.Low}}
	high.WalkInDry = []tide.Span{{From: at(8, 40), To: at(11, 0)}}
	high.StationKm = 34
	buoyed, over2 := morning(c), morning(c)
	buoyed.Buoy = &conditions.Observed{Station: "EX001", Km: 34, Bearing: 270, At: at(4, 40), Hs: 1.3}
	buoyed.ForecastAtBuoy = m(1.2)
	over2.Buoy = &conditions.Observed{Station: "EX001", Km: 34, Bearing: 270, At: at(4, 40), Hs: 2.3}
	over2.ForecastAtBuoy, over2.Reasons = m(1.2), []conditions.Reason{{Word: conditions.BuoyOver, Value: 2.3, Limit: 1.2}}
	lone := blind(c)
	lone.Buoy = over2.Buoy
	late := morning(c)
	late.From, late.To, late.LeaveBy = at(15, 0), at(20, 0), at(19, 22)
	return []sample{
		{"not expected", w.Conditions(calm)},
		{"could be washed", w.Conditions(morning(c))},
		{"could be washed: over every limit, every note", w.Conditions(over)},
		{"could be washed: feet and miles", imperial.Conditions(over)},
		{"could be washed: low water at the start, walk-in dry between", w.Conditions(turn)},
		{"could be washed: high water at the start, far station", w.Conditions(high)},
		{"could be washed: until dark", w.Conditions(late)},
		{"could be washed: a buoy beside the forecast", w.Conditions(buoyed)},
		{"could be washed: a buoy over the forecast", w.Conditions(over2)},
		{"cannot tell: nothing but a buoy", w.Conditions(doubts(lone, conditions.WhySeaUnknown))},
		{"likely washed", w.Conditions(likely)},
		{"likely washed: under water", w.Conditions(under)},
		{"cannot tell: warnings", w.Conditions(warned(morning(c)))},
		{"cannot tell: no sea, no warning feed", w.Conditions(down)},
		{"cannot tell: some hours", w.Conditions(partly)},
		{"cannot tell: old forecast", w.Conditions(old)},
		{"cannot tell: too far ahead", w.Conditions(far)},
		{"cannot tell: violent", w.Conditions(violent)},
		{"cannot tell: lip and foot", w.Conditions(doubts(morning(c), conditions.WhyLip, conditions.WhyFoot))},
		{"cannot tell: no tide station", w.Conditions(no)},
		{"recorded sample", w.Conditions(recorded)},
		{"worst realistic", worstRealistic(imperial, c)},
	}
}

// worstRealistic is the longest answer to be expected: a real-length warning headline, two limits passed, four notes,
// nothing calibrated, and three other ledges of the crew below it, as the desk appends them.
func worstRealistic(w Words, c cast) string {
	r := warned(morning(c))
	r.Warnings.List = r.Warnings.List[:1]
	r.Warnings.List[0].Covers = nil
	r.TurnBack, r.StationKm, r.WatchMinutes = at(9, 0), 34, 30
	r.Reasons = append(r.Reasons, conditions.Reason{Word: conditions.WhyLip, Doubt: true},
		conditions.Reason{Word: conditions.OverHs, Value: 1.6, Limit: 1.5}, conditions.Reason{Word: conditions.OverGust, Value: 13, Limit: 12},
		conditions.Reason{Word: conditions.Dark}, conditions.Reason{Word: conditions.OnshoreRising}, conditions.Reason{Word: conditions.ColdWater}, conditions.Reason{Word: conditions.LongPeriod})
	out := w.Conditions(r)
	for range 3 {
		out += "\n" + w.T("alt_verdict", "ledge", c.longStep, "verdict", HTML(w.Verdict("cannot tell")))
	}
	return out
}

func whySamples(w Words, c cast) []sample {
	mixed := morning(c)
	mixed.Hours[1] = conditions.Hour{At: mixed.Hours[1].At, Freeboard: measure.Metres(math.NaN())}
	mixed.Hours[2].Violent = true
	mixed.Hours[3].Freeboard = -0.3
	mixed.Hours[3].P = 1
	mixed.Hours[4].P = 0
	long := morning(c)
	for i := range 43 {
		h := long.Hours[4]
		h.At = at(11+i, 0)
		long.Hours = append(long.Hours, h)
	}
	return []sample{
		{"all known", w.Why(morning(c))},
		{"unknown, violent and under water", w.Why(mixed)},
		{"feet and miles", For(w.Lang, Imperial, nil).Why(morning(c))},
		{"48 hours", w.Why(long)},
	}
}

func TestWhyTableFitsAPhone(t *testing.T) {
	for _, s := range whySamples(words(Metric), crew) {
		table, _, _ := strings.Cut(strings.SplitN(s.text, "<pre>", 2)[1], "</pre>")
		for _, l := range strings.Split(Plain(table), "\n") {
			if n := len([]rune(l)); n > 34 { // a small phone shows about that many of fixed width: from memory
				t.Errorf("%s: line of %d characters, want up to 34: %q", s.name, n, l)
			}
		}
	}
}

func TestUnknownHoursShowNoChance(t *testing.T) {
	r := blind(crew)
	got := Plain(words(Metric).Why(r))
	if strings.Contains(got, "%") || strings.Contains(got, "NaN") {
		t.Errorf("Why of a sea that is not known = %q, want no chance in it", got)
	}
}

func TestEveryReasonHasWords(t *testing.T) {
	r := doubts(morning(crew), everyDoubt...)
	got := words(Metric).Conditions(r)
	if strings.Contains(got, "[") {
		t.Errorf("Conditions with every doubt = %q, want a sentence for each", got)
	}
	if n := strings.Count(got, "Treat that as a no."); n != 1 {
		t.Errorf("Conditions with every doubt says %d times that it is a no, want once", n)
	}
}

func TestWithinLimitsIsNotSaidBesideANo(t *testing.T) {
	for v, want := range map[ledge.Verdict]bool{ledge.NotExpected: true, ledge.CouldBe: true, ledge.CannotTell: false, ledge.LikelyWashed: false} {
		r := morning(crew)
		r.Verdict, r.WithinLimits = v, true
		if got := strings.Contains(words(Metric).Conditions(r), "Within the limits"); got != want {
			t.Errorf("Conditions(%s) says within limits: %t, want %t", v, got, want)
		}
	}
}

func TestChance(t *testing.T) {
	for _, x := range []struct {
		p    float64
		want string
	}{
		{0, "under 1 in 100"}, {0.0099, "under 1 in 100"}, {0.01, "1 in 100"}, {0.15, "1 in 7"}, {0.25, "1 in 4"}, {0.3, "1 in 3"},
		{0.4, "4 in 10"}, {0.5, "5 in 10"}, {0.94, "9 in 10"}, {0.95, "nearly certain"}, {1, "nearly certain"}, {math.NaN(), "unknown chance"},
	} {
		if got := words(Metric).Chance(x.p); got != x.want {
			t.Errorf("Chance(%v) = %q, want %q", x.p, got, x.want)
		}
	}
}
