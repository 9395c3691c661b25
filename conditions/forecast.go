package conditions

import (
	"time"

	"ledgehand/conditions/measure"
	"ledgehand/conditions/wave"
)

// PeriodKind says which statistic a feed's "period" is; feeds differ, so it travels with every number.
type PeriodKind = wave.PeriodKind

// The kinds of wave period.
const (
	PeriodPeak   = wave.Peak   // Tp
	PeriodEnergy = wave.Energy // Tm-1,0, also called Te
	PeriodMean01 = wave.Mean01 // Tm01
	PeriodZero   = wave.Zero   // Tz, Tm02
)

// Source says where numbers came from and how old they are; it is shown with them.
type Source struct {
	Name      string           `json:"name"`               // as credited, e.g. "Open-Meteo, MFWAM"
	Licence   string           `json:"licence"`            // e.g. "CC BY 4.0"
	Model     string           `json:"model,omitempty"`    //
	RunAt     time.Time        `json:"run_at,omitzero"`    // start of the model run, zero if the feed does not say
	FetchedAt time.Time        `json:"fetched_at"`         //
	Point     measure.Position `json:"point"`              // the grid point that answered
	Km        float64          `json:"km"`                 // from the point asked for (the sea anchor)
	Silent    string           `json:"silent,omitempty"`   // another source that was asked too and could not be had: nothing here was made harsher by it
	Recorded  bool             `json:"recorded,omitempty"` // an invented or recorded sample, not today's sea: must be said
}

// Partition is one wave system. Zero Hs means none; a missing one is absent, never zero.
type Partition struct {
	Kind       string          `json:"kind"` // swell, swell2, wind
	Hs         measure.Metres  `json:"hs_m"`
	Period     measure.Seconds `json:"period_s"`
	PeriodKind PeriodKind      `json:"period_kind"`
	From       measure.From    `json:"from_deg"`
}

// SeaHour is the sea at one instant, offshore.
type SeaHour struct {
	At         time.Time
	Hs         *measure.Metres  // total significant wave height
	Period     *measure.Seconds // total
	PeriodKind PeriodKind
	From       *measure.From
	Partitions []Partition
	WaterTempC *float64
	SeaLevel   *measure.Metres // above mean sea level, tide included; a cross-check only
}

// Sea is a sea-state forecast for one point.
type Sea struct {
	Source Source
	Hours  []SeaHour
}

// WeatherHour is wind and sky at one instant.
type WeatherHour struct {
	At          time.Time
	Wind        *measure.MetresPerSecond // 10 m, 10 min mean
	Gust        *measure.MetresPerSecond // greatest of the hour before
	WindFrom    *measure.From
	AirTempC    *float64
	PressureHPa *float64
	VisibilityM *float64
	Code        *int     // WMO 4677 subset as the feed gives it
	CAPE        *float64 // J/kg
	RainMM      *float64
}

// Weather is a wind and sky forecast for one point.
type Weather struct {
	Source Source
	Hours  []WeatherHour
}

// Observed is what a buoy read: the sea over there and then, beside the forecast for here.
type Observed struct {
	Station string
	Source  string
	Km      float64         // from the sea anchor
	Bearing measure.Towards // from the sea anchor to the buoy
	At      time.Time       // end of the sampling
	Hs      measure.Metres
	Peak    *measure.Seconds
	From    *measure.From
	Facing  bool // it lies on the side the ledge looks to
}

// Concern is the gravity of a warning for somebody on a ledge.
type Concern string

// Red keeps people off, Amber is a no by default, Note is said.
const (
	Red   Concern = "red"
	Amber Concern = "amber"
	Note  Concern = "note"
)

// Warning is one official warning, its words verbatim.
type Warning struct {
	ID       string
	Event    string
	Headline string
	Text     string
	Sender   string
	Concern  Concern
	Onset    time.Time // zero: from the time it was sent
	Ends     time.Time // zero: not said
	Covers   *bool     // the ledge or its sea lies in the area; nil: it could not be placed
}

// KeepsOff says whether a warning speaks against going: more than a note, and not known to be for elsewhere.
func (w Warning) KeepsOff() bool { return w.Concern != Note && (w.Covers == nil || *w.Covers) }

// WarningState is three-valued: silence of a feed is not "none".
type WarningState string

// The states of the warnings for a place.
const (
	WarningsNone    WarningState = "none"
	WarningsInForce WarningState = "in force"
	WarningsUnknown WarningState = "unknown"
)

// Warnings is what the official warning feeds say for a place.
type Warnings struct {
	State     WarningState
	Why       string // with unknown: no feed for this coast, feed down, feed too old
	List      []Warning
	Source    string
	CheckedAt time.Time
}
