// Package picture draws one answer about a ledge as a PNG for a phone held in wet hands: the water against the ledge,
// the swell, and the chance of a wave over the lip, one above the other on one time axis in the ledge's own zone.
//
// Shape, pattern, number and word carry the meaning; colour only helps. What is not known is hatched crosswise and
// carries a question mark, so that it can never be taken for a calm sea.
//
// It computes nothing about the sea: every number and every word is handed in. It knows nothing of scripts that have
// to be shaped or read from right to left (see Drawable), and it draws at most MaxHours hours.
package picture

import "time"

// MaxHours is the longest stretch one picture takes; more hours than this are thinner than a finger can tell apart.
const MaxHours = 48

// Chart is what is to be drawn. Heights and wave heights are in metres, speeds in metres a second, bearings in degrees
// true; Units says how they are shown.
type Chart struct {
	Title   string         // the ledge and the day
	Verdict string         // in plain words
	Zone    *time.Location // of the ledge

	Hours     []Hour    // in order; an hour missing between two others is drawn as not known
	TideCurve []Point   // still water above the datum, about every 10 minutes; where it has a gap the water is not known
	Extremes  []Extreme // highs and lows
	Lip       float64   // of the ledge above the datum, m; NaN when nobody knows it
	Gate      *float64  // the tide height, m, that wets the walk-in; nil if there is no such place
	Datum     string    // what heights are counted from, as it is to be read: "m above MLLW"
	Dark      []Span    // outside civil twilight
	Window    Span      // the hours that were asked for
	TurnBack  time.Time // leave by; zero if there is no such time
	LimitHs   *float64  // the crew's own limit, m

	Units  Units
	Labels Labels
}

// Hour is one hour from At on. The zero value is an hour of which nothing is known.
type Hour struct {
	At           time.Time
	Known        bool    // the sea of this hour is known; if not, Hs, HsP90, PeriodS, SwellFromDeg, P and Violent are not looked at
	Hs           float64 // significant wave height, m
	HsP90        float64 // what it may well be (1 in 10 is higher), m; NaN or below Hs draws no band
	PeriodS      float64 // s; NaN if not known
	SwellFromDeg float64 // where it comes from; NaN if not known
	P            float64 // chance of at least one wave over the lip, 0 to 1; NaN if not known
	Violent      bool    // waves break onto the ledge: no chance can be given

	WindKnown   bool    // the wind of this hour is known; if not, the three below are not looked at
	WindMS      float64 // mean, m/s
	GustMS      float64 // m/s; NaN if not known
	WindFromDeg float64 // where it comes from; NaN if not known
	WindTo      string  // a short word for how it meets the ledge: "on", "side", "off"; "" if not known
}

// Point is a height of still water above the datum, in metres.
type Point struct {
	At     time.Time
	Height float64
}

// Extreme is a high or a low water, in metres above the datum.
type Extreme struct {
	At     time.Time
	Height float64
	High   bool
}

// Span is a stretch of time.
type Span struct{ From, To time.Time }

// Scale turns an SI value into the one people read: value times Factor, with that many decimals, then Unit.
type Scale struct {
	Factor float64
	Digits int
	Unit   string
}

// Units is how heights and speeds are shown.
type Units struct{ Height, Speed Scale }

// Metric and Imperial are the two usual ways, with units in letters that need no translation.
var (
	Metric   = Units{Height: Scale{1, 1, "m"}, Speed: Scale{1, 0, "m/s"}}
	Imperial = Units{Height: Scale{1 / 0.3048, 1, "ft"}, Speed: Scale{3600 / 1609.344, 0, "mph"}} // international foot and mile, exact
)

// Labels are all the words of the picture. The comments show what each may say.
type Labels struct {
	Asked    string // "asked", before the asked hours
	TurnBack string // "turn back by", before the time
	Dark     string // "dark"

	Water      string // heading: "Water and ledge"
	Lip        string // "lip", before its height
	Gate       string // "walk-in", before its height
	GateWet    string // "walk-in wet"
	Gap        string // "gap", before the smallest height of the lip over the water in the asked hours
	UnderWater string // "ledge under water"
	High, Low  string // "high", "low", before the time

	Swell     string // heading: "Swell"
	SwellNote string // "band: may be up to this", may be empty
	Limit     string // "your limit", before the height
	UpTo      string // "up to", between the forecast height and what it may well be
	Period    string // row: "period", the unit is added
	GoesTo    string // row of arrows: "goes to"

	Chance     string // heading: "Chance of a wave over the lip"
	ChanceNote string // "each hour", may be empty
	Violent    string // "breaks on the ledge"
	Wind       string // row: "wind", the unit of speed is added
	Gust       string // row: "gust"
	WindTo     string // row: "to ledge", drawn if any hour has a word for it

	WorstOf     string    // "number: worst of {n} h", shown when a number stands for {n} hours
	Unknown     string    // "not known"
	ClockChange string    // "clocks change"
	Weekdays    [7]string // Sunday first, short

	Source  string // where the numbers come from and how old they are
	Caution string // watch the water yourself
}
