package conditions

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/sky"
	"ledgehand/conditions/tide"
)

// Bounds of a search, engineering judgement all of them.
const (
	DefaultStay   = 2 * time.Hour // how long a window must be where nobody said
	MostSearched  = 10 * 24 * time.Hour
	DefaultAround = 2 * time.Hour // either side of a high or low water that a wish for one means

	// Swell comes earlier or later than forecast: by 3 hours on the first two days, by 6 on the next two (engineering judgement).
	// An hour counts with the worst sea in that time around it.
	arrivalNear = 3
	arrivalFar  = 6
	nearDays    = 48 * time.Hour
)

// Reasons that only a search has; the others are those of a Report.
const (
	WhyLight        = "light_unknown"    // nobody said where the ledge is, so nobody knows when it gets dark there
	WalkInWet       = "walk_in_wet"      // water over the walk-in gate, or within the time of the walk
	OutsideTideWish = "tide_wish"        // not the tide that was wished for
	OverStayChance  = "over_stay_chance" // each hour is within the limit, the chance of a wash in the whole stay is not
	LongestStay     = "longest_stay"     // a stay was cut at MostHours
)

// WindowsQuestion asks for the hours of the coming days that meet the crew's own limits.
type WindowsQuestion struct {
	Now      time.Time
	From, To time.Time  // the search; what lies before Now is not searched; at most MostSearched long
	Ledges   []Question // what is known of each, as Assess takes it; their Now, From and To are not read
	Least    time.Duration
	Tide     TideWish
	Nights   bool // hours between civil dusk and dawn count too; left out: only daylight, less the walk out
}

// TideKind is what tide somebody wishes for.
type TideKind string

// The wishes. Levels are of the predicted tide, without surge.
const (
	AnyTide        TideKind = ""
	MakingTide     TideKind = "making"
	EbbingTide     TideKind = "ebbing"
	TideAroundLow  TideKind = "around low"
	TideAroundHigh TideKind = "around high"
	TideBelowLevel TideKind = "below"
	TideAboveLevel TideKind = "above"
)

// TideWish is a tide that every minute of a window must have.
type TideWish struct {
	Kind  TideKind
	Level measure.Metres // of below and above: metres over the datum of each ledge's own station
	// Around is how far from the high or low water a stay may reach, either side; 0 means DefaultAround.
	Around time.Duration
}

// WindowsAnswer lists, ledge by ledge in the order asked, the hours that meet the limits. It compares no ledge with
// another: what is not known of each is larger than what they differ by.
type WindowsAnswer struct {
	Now      time.Time
	From, To time.Time // what was searched, UTC
	// Until is the end of day 4, 96 hours after Now: windows end by the full hour before it, past it a day gets a word and no hours.
	Until  time.Time
	Least  time.Duration
	Tide   TideWish
	Nights bool
	Ledges []LedgeWindows
}

// LedgeWindows is what the search found for one ledge. With Doubts there is nothing else: what holds for the whole
// search "cannot be told", and that is treated like a no.
type LedgeWindows struct {
	Ledge  string
	Zone   *time.Location // never nil; the days below are days on its clocks
	Limits ledge.Limits
	// LimitsSet is false where the crew set none: then only the chance of a wash decided, against a limit of ours.
	LimitsSet bool
	// HourChance and StayChance are the limits that the chance of a wash in an hour and in a whole stay were held against,
	// 0 to 1; ours where the crew set none, and never above the chance from which on this program says "likely washed".
	HourChance, StayChance float64

	Doubts  []string // the words of reasons, first the feeds' then the card's
	Windows []Window // in order of time
	Off     []DayOff // the days up to day 4 that have no window, in order
	Outlook []DayOutlook

	// SeaUntil and WeatherUntil are the last instants the forecasts reach, UTC; zero: there is none. Days past SeaUntil are not
	// spoken of, and the last hours before it are not known, for a swell may come later than forecast.
	SeaUntil, WeatherUntil   time.Time
	Station, Datum           string // of the tide
	Watches                  int
	Warnings                 Warnings
	SeaSource, WeatherSource *Source
	SeaWhy, WeatherWhy       string
}

// Window is a stay that meets the limits from its first minute to its last: instants in UTC, to the minute.
type Window struct {
	From, To time.Time
	// Room holds the window and every other stay of that part of the day that would do too. It is longer than the window only
	// where a limit on the chance of a wash in the whole stay forbids staying for all of it.
	Room tide.Span
	// TurnBack is when to leave at the latest: an hour before what ends the window, and never after To. It lies after From.
	TurnBack time.Time
	Ends     Hindrance // what ends it; no Word: the search does

	TideAtStart, TideAtEnd TideMark
	Turns                  []tide.Extreme           // highs and lows in it
	HsP90                  measure.Metres           // the worst that was judged: 1 in 10 is higher, arrival allowed for
	Period                 measure.Seconds          // the longest peak period, arrival allowed for
	Gust                   *measure.MetresPerSecond // nil: not known for all of it
	Chance                 float64                  // of at least one wash in From to To on the forecast as it stands, as Assess gives it
	ChanceP90              float64                  // the same in a sea that comes as high as HsP90 and at its worst time: what was judged
	ExcessBad              measure.Metres           // biggest wave's reach over the lip, bad case (1 in 20), forecast as it stands
	Verdict                ledge.Verdict            // by the numbers, forecast as it stands
	Notes                  []Reason                 // what else Assess would say: thunder, fog, cold water, long swell, dark
}

// TideMark is the predicted tide at an instant, metres above the datum of the ledge's station.
type TideMark struct {
	Height measure.Metres
	Motion tide.Motion
}

// Hindrance is why hours do not meet the limits: the reason, with its worst value and its limit in SI where it has them.
type Hindrance struct {
	Reason
	Best float64 // the mildest value of the hours in question, where Value is the worst
	// From and Until frame the stretch it holds for, UTC; zero where it reaches past what was searched.
	From, Until time.Time
}

// DayOff is a day without a window and what stands in the way: the one thing without which there would be a window, else
// what takes most of the day.
type DayOff struct {
	Day sky.Date
	Hindrance
}

// Outlook is all that is said of a day past day 4.
type Outlook string

// The outlooks. They go by the forecast as it stands: its margin is so wide by then that hardly a day would be left.
const (
	OutlookMayBe      Outlook = "may be within your limits"
	OutlookOver       Outlook = "over your limits"
	OutlookCannotTell Outlook = "cannot tell"
)

// DayOutlook is a day past day 4, without hours; the Hindrance's own times and values are for the forecast as it stands.
type DayOutlook struct {
	Day  sky.Date
	Word Outlook
	Hindrance
}

// Found is a window together with where it is.
type Found struct {
	Ledge *LedgeWindows
	Window
}

// ByTime lists the windows of all ledges, the soonest first.
func (a *WindowsAnswer) ByTime() []Found {
	out := a.all()
	slices.SortStableFunc(out, func(x, y Found) int { return x.From.Compare(y.From) })
	return out
}

// ByLength lists the windows of all ledges, the longest first.
func (a *WindowsAnswer) ByLength() []Found {
	out := a.all()
	slices.SortStableFunc(out, func(x, y Found) int {
		return cmp.Or(cmp.Compare(y.To.Sub(y.From), x.To.Sub(x.From)), x.From.Compare(y.From))
	})
	return out
}

func (a *WindowsAnswer) all() []Found {
	var out []Found
	for i := range a.Ledges {
		for _, w := range a.Ledges[i].Windows {
			out = append(out, Found{&a.Ledges[i], w})
		}
	}
	return out
}

// Windows searches the coming days for the hours that meet the crew's limits: the sea at its P90 and at the worst of
// the time it may come early or late, gusts, the chance of a wash, no violent breaking, no warning, the walk-in dry both ways,
// daylight, the tide that was wished for. What is not known does not meet a limit. It is as good as the forecasts that it is
// given, says nothing of fish, and does not say that any hour is safe.
//
// It fails with ErrWindow on a search that is empty, past, or longer than MostSearched, on a least length of an hour or less
// (that is what turning back takes) and on a wish it does not know.
func Windows(q WindowsQuestion) (WindowsAnswer, error) {
	if q.From.Before(q.Now) {
		q.From = q.Now
	}
	if q.Least == 0 {
		q.Least = DefaultStay
	}
	if q.Tide.Around == 0 {
		q.Tide.Around = DefaultAround
	}
	switch length := q.To.Sub(q.From); {
	case length <= 0 || length > MostSearched:
		return WindowsAnswer{}, fmt.Errorf("%w from %s to %s: need up to %d days to come", ErrWindow, q.From.UTC().Format(time.RFC3339), q.To.UTC().Format(time.RFC3339), int(MostSearched.Hours()/24))
	case q.Least <= turnBackGap || q.Least > MostHours*time.Hour:
		return WindowsAnswer{}, fmt.Errorf("%w: least length %s: need over %s and up to %d hours", ErrWindow, q.Least, turnBackGap, MostHours)
	case q.Tide.Around < 0 || math.IsNaN(float64(q.Tide.Level)) || math.IsInf(float64(q.Tide.Level), 0):
		return WindowsAnswer{}, fmt.Errorf("%w: tide %s %v m, %s around: need numbers", ErrWindow, q.Tide.Kind, q.Tide.Level, q.Tide.Around)
	}
	if known := []TideKind{AnyTide, MakingTide, EbbingTide, TideAroundLow, TideAroundHigh, TideBelowLevel, TideAboveLevel}; !slices.Contains(known, q.Tide.Kind) {
		return WindowsAnswer{}, fmt.Errorf("%w: tide %q: need one of %q", ErrWindow, q.Tide.Kind, known)
	}
	a := WindowsAnswer{
		Now: q.Now, From: q.From.UTC(), To: q.To.UTC(), Until: q.Now.Add(FarthestDay).UTC(),
		Least: q.Least, Tide: q.Tide, Nights: q.Nights, Ledges: make([]LedgeWindows, len(q.Ledges)),
	}
	for i, l := range q.Ledges {
		a.Ledges[i] = newSearch(&q, l).windows()
	}
	return a, nil
}
