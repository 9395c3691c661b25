package conditions

import (
	"time"

	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/tide"
)

// Question is one ledge for some hours, asked at Now with what is known.
type Question struct {
	Card       ledge.Card
	From, To   time.Time
	Now        time.Time
	Zone       *time.Location
	Sea        *Sea     // nil: none could be had, SeaWhy says why
	SeaWhy     string   //
	Weather    *Weather // nil: none could be had
	WeatherWhy string
	Warnings   Warnings
	Buoy       *Observed           // nil: none near, or none that reported
	Learned    []ledge.Observation // what watches and reports taught about this ledge
}

// Hour is one step of a Report.
type Hour struct {
	At           time.Time
	Tide         measure.Metres  // above the datum, predicted; NaN when no station
	Surge        measure.Metres  // what low pressure is estimated to add to it, 0 or more
	Freeboard    measure.Metres  // lip minus still water: tide and surge
	Hs           *measure.Metres // offshore, total
	Tz           measure.Seconds
	HsP90        *measure.Metres  // what it may well be, 1 in 10 is higher
	Judged       bool             // the wash chain ran for this hour: P, WashesMedian and ExcessBad mean something
	HsReach      measure.Metres   // HsLocal lowered for oblique arrival: what watches learn from
	HsLocal      measure.Metres   // at the foot of the ledge
	Period       *measure.Seconds // peak, after conversion
	SwellFrom    *measure.From
	Wind, Gust   *measure.MetresPerSecond
	WindFrom     *measure.From
	OnshoreMS    *float64 // component onto the ledge, negative offshore
	WashesMedian float64  // waves an hour over the lip
	WashesBad    float64
	P            float64        // chance of at least one wave over the lip in this hour
	ExcessBad    measure.Metres // biggest wave's reach over the lip, bad case (1 in 20)
	Violent      bool           // waves break onto the face: the model does not hold
	Dark         bool           // sun below civil twilight: the water cannot be read
	WalkInWet    bool           // tide above the walk-in gate
	Known        bool           // false: the sea of this hour is not known
}

// Reason is one thing that speaks for the verdict; Word names it for bot/wording.
type Reason struct {
	Word  string
	Doubt bool    // it makes the verdict "cannot tell", or worse
	Value float64 // what is, in SI; zero where it is not a quantity
	Limit float64 // what the crew set, in SI
}

// The reasons. The first ones are doubts.
const (
	WhyWarning         = "warning"          // an official warning that keeps people off is in force
	WhyWarningsUnknown = "warnings_unknown" // no feed says whether one is
	WhySeaUnknown      = "sea_unknown"      // no forecast for some or all hours
	WhySeaOld          = "sea_old"          // fetched more than 12 hours ago
	WhyTooFar          = "too_far"          // beyond day 4
	WhyWindUnknown     = "wind_unknown"     // no wind forecast for some or all hours
	WhyViolent         = "violent"          // waves break onto the face
	WhyLip             = "lip_unmeasured"   // nobody measured the ledge, nor watched it often
	WhyFoot            = "foot_unknown"     // nobody said which way the face looks, its slope, or how deep the water at it is
	WhyTide            = "tide_unknown"     // no tide station
	WhyTideFar         = "tide_far"         // the nearest is so far that its table says nothing
	OverHs             = "over_hs"
	OverPeriod         = "over_period"
	OverGust           = "over_gust"
	OverChance         = "over_chance"
	Dark               = "dark"
	OnshoreRising      = "onshore_rising"
	Thunder            = "thunder"
	Fog                = "fog"
	ColdWater          = "cold_water"
	LongPeriod         = "long_period"
	BuoyOver           = "buoy_over" // the buoy reads clearly more than was forecast for then
)

// Report is the answer: the verdict first, the numbers behind it, what changes it.
type Report struct {
	Ledge     string
	From, To  time.Time
	Now       time.Time
	Zone      *time.Location
	Verdict   ledge.Verdict
	ByNumbers ledge.Verdict // what the numbers alone would say, before warnings and ages
	Reasons   []Reason
	Warnings  Warnings

	Hours                    []Hour
	Worst                    int            // index into Hours, -1 if none is known
	PStay                    float64        // chance of at least one wave over the lip in the whole window, mean over what is not known
	ExcessMedian, ExcessBad  measure.Metres // of the biggest wave of the window
	PerTideRise              float64        // by what +0.3 m of tide multiplies the washes, at the worst hour
	GoodFrom                 time.Time      // the hours before it pass a limit, are dark or have a wet walk-in; zero: good from the start
	TurnBack                 time.Time      // leave by: an hour before the hour that first passes a limit; zero if none does
	Extremes                 []tide.Extreme // highs and lows around the window
	HasGate                  bool
	WalkInDry                []tide.Span // when the walk-in is dry within the window, only with HasGate
	WithinLimits             bool        // the crew set limits and none is passed
	NoGoodHour               bool        // the first hour asked for passes a limit already
	FirstLight, LastLight    time.Time   // civil, of the day of From; zero if there is none
	LeaveBy                  time.Time   // to walk out before dusk; zero: nobody said how long the walk is, or there is no dusk
	Watches                  int         // how many watches and reports the ledge has learned from
	Reports                  int         // of them: told afterwards, nobody watched
	Calibrated               bool
	Surge                    *Surge         // nil: no pressure is known
	TideAtStart              measure.Metres // predicted at From, above Datum
	Station                  string         // tide station and how far
	StationKm                float64
	TideDoubts               []tide.Doubt // why its tide may not be that of the ledge; only where somebody asks why
	Datum                    string
	SeaSource, WeatherSource *Source
	Buoy                     *Observed
	ForecastAtBuoy           *measure.Metres // what was forecast, for here, for the time the buoy read
	SeaWhy, WeatherWhy       string          // why one is missing
	WatchMinutes             int             // how long to watch for: 20, 30 with long swell
}
