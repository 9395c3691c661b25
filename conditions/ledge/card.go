package ledge

import (
	"errors"
	"strings"
	"time"

	"ledgehand/conditions/measure"
)

// Card is what a crew has written down about a ledge. Whatever nobody has said yet is absent, never
// zero: a facing of 0 is north, a foot depth of 0 dries at datum. Heights are metres above the
// datum of the tide station.
type Card struct {
	Name    string   `json:"name"`
	Aliases []string `json:"aliases,omitempty"`

	Exact     *measure.Position `json:"exact,omitempty"`      // to be sealed when stored; see WithoutPosition
	SeaAnchor *measure.Position `json:"sea_anchor,omitempty"` // where forecasts are asked for; public, see SnapSeaAnchor

	TideStation string          `json:"tide_station,omitempty"`   // id in the station catalogue
	Datum       string          `json:"datum,omitempty"`          // e.g. MLLW, as the station has it
	LipHeight   *measure.Metres `json:"lip_m,omitempty"`          // where feet stand
	LipMeasured HowMeasured     `json:"lip_measured,omitempty"`   //
	FootDepth   *measure.Metres `json:"foot_depth_m,omitempty"`   // of the sea bed at the face below datum; negative dries
	Faces       *measure.From   `json:"faces,omitempty"`          // the way it looks to sea
	OpenSector  *Sector         `json:"open_sector,omitempty"`    // directions waves can come from
	FaceSlope   *float64        `json:"cot_alpha,omitempty"`      // cotangent of the slope of the face, 0 is vertical
	Roughness   float64         `json:"gamma_f,omitempty"`        // 1, and when left out: smooth rock
	WalkInGate  *measure.Metres `json:"walk_in_gate_m,omitempty"` // the walk-in floods above this tide
	WalkMinutes int             `json:"walk_min,omitempty"`       // from the ledge to where the dark does not matter, 0 not said
	Access      string          `json:"access,omitempty"`         // the way in, as it is read out to rescuers
	WaysOut     []string        `json:"ways_out,omitempty"`       // above the high line, when the walk-in floods
	LandFish    string          `json:"land_fish,omitempty"`      // where a fish, or a swimmer, can be landed
	RescueRing  *RescueRing     `json:"rescue_ring,omitempty"`
	Signal      Signal          `json:"signal,omitempty"` // of a phone on the ledge
	Parking     string          `json:"parking,omitempty"`
	Emergency   Emergency       `json:"emergency,omitzero"`
	Rules       Rules           `json:"rules,omitzero"`
	Limits      Limits          `json:"limits,omitzero"`
	Capacity    int             `json:"capacity,omitempty"` // people at most, 0 not said
	Zone        string          `json:"zone,omitempty"`     // IANA name; times are said in it
}

// Sector is an arc of directions, clockwise from the first to the second.
type Sector [2]measure.From

// HowMeasured says how far the lip's height can be trusted.
type HowMeasured string

// Ways the lip's height came about.
const (
	Measured   HowMeasured = "measured"   // against the tide on a calm day, or levelled
	Estimated  HowMeasured = "estimated"  // by eye from a known tide
	Unmeasured HowMeasured = "unmeasured" // a guess
)

// UnmarshalText refuses a word it does not know.
func (h *HowMeasured) UnmarshalText(b []byte) error {
	return readWord(h, b, "way of measuring", []HowMeasured{Measured, Estimated, Unmeasured})
}

// Known says whether somebody measured or estimated the lip.
func (h HowMeasured) Known() bool { return h != "" && h != Unmeasured }

// Spread is the standard deviation, in metres, of the freeboard: lip, predicted tide and surge
// together. Our own judgement; an unsaid way counts as a guess.
func (h HowMeasured) Spread() float64 {
	switch h {
	case Measured:
		return DefaultSigmaWL
	case Estimated:
		return 0.3
	}
	return UnmeasuredSigmaWL
}

// Signal is whether a phone works on the ledge.
type Signal string

// The answers.
const (
	SignalYes     Signal = "yes"
	SignalNo      Signal = "no"
	SignalPatchy  Signal = "patchy"
	SignalUnknown Signal = "unknown"
)

// UnmarshalText refuses a word it does not know.
func (s *Signal) UnmarshalText(b []byte) error {
	return readWord(s, b, "signal", []Signal{SignalYes, SignalNo, SignalPatchy, SignalUnknown})
}

// Answer is yes, no or not known.
type Answer string

// The answers.
const (
	Yes     Answer = "yes"
	No      Answer = "no"
	Unknown Answer = "unknown"
)

// UnmarshalText refuses a word it does not know.
func (a *Answer) UnmarshalText(b []byte) error {
	return readWord(a, b, "answer", []Answer{Yes, No, Unknown})
}

// RescueRing is public flotation near the ledge.
type RescueRing struct {
	Where    string    `json:"where"`
	LastSeen time.Time `json:"last_seen,omitzero"`
	Gone     time.Time `json:"gone,omitzero"` // somebody looked, and it was not there
}

// Emergency is whom to ring here.
type Emergency struct {
	Number string `json:"number,omitempty"`
	AskFor string `json:"ask_for,omitempty"` // e.g. "coast guard"
}

// Rules are those of the ground itself; rules for fish are kept elsewhere.
type Rules struct {
	LifejacketByLaw Answer `json:"lifejacket_by_law,omitempty"`
	GroundBait      Answer `json:"ground_bait,omitempty"` // is it allowed
}

// Limits are what the crew itself has said is too much for this ledge. They are facts to be
// shown, never advice of ours.
type Limits struct {
	Hs         *measure.Metres          `json:"hs_m,omitempty"`
	Period     *measure.Seconds         `json:"period_s,omitempty"`
	Gust       *measure.MetresPerSecond `json:"gust_ms,omitempty"`
	WashChance *float64                 `json:"wash_chance,omitempty"` // of any wash in the stay, 0 to 1
	SetBy      string                   `json:"set_by,omitempty"`
	SetAt      time.Time                `json:"set_at,omitzero"`
}

// Face is the card as the wash chain takes it. What the chain cannot do without and nobody has said
// comes back as joined FieldErrors with Missing: the answer is then "cannot tell".
func (c Card) Face() (Face, error) {
	var errs []error
	for _, m := range []struct {
		field  string
		absent bool
	}{
		{"lip_m", c.LipHeight == nil}, {"faces", c.Faces == nil}, {"open_sector", c.OpenSector == nil},
		{"foot_depth_m", c.FootDepth == nil}, {"cot_alpha", c.FaceSlope == nil},
	} {
		if m.absent {
			errs = append(errs, &FieldError{Field: m.field, Fault: Missing})
		}
	}
	if len(errs) > 0 {
		return Face{}, errors.Join(errs...)
	}
	rough := c.Roughness
	if rough == 0 {
		rough = 1
	}
	return Face{
		Height: *c.LipHeight, Faces: *c.Faces, Open: *c.OpenSector,
		FootDepth: *c.FootDepth, Cot: *c.FaceSlope, Roughness: rough,
	}, nil
}

// WithoutPosition is the card as it may be stored in the open, shown to anybody, or sent on.
func (c Card) WithoutPosition() Card {
	c.Exact = nil
	return c
}

// Place is where the ledge is, as exactly as is known: itself, or its sea anchor; nil for neither.
func (c Card) Place() *measure.Position {
	if c.Exact != nil {
		return c.Exact
	}
	return c.SeaAnchor
}

// Called says whether the card goes by this name, whatever its case.
func (c Card) Called(name string) bool {
	name = strings.TrimSpace(name)
	for _, n := range append([]string{c.Name}, c.Aliases...) {
		if strings.EqualFold(strings.TrimSpace(n), name) {
			return name != ""
		}
	}
	return false
}

// Walk is how long the walk out takes; nil when nobody said.
func (c Card) Walk() *time.Duration {
	if c.WalkMinutes <= 0 {
		return nil
	}
	d := time.Duration(c.WalkMinutes) * time.Minute
	return &d
}

// Lifted is the card with every height counted from a datum that lies by so many metres lower: the rock stays where it is.
func (c Card) Lifted(by measure.Metres) Card {
	up := func(m *measure.Metres, by measure.Metres) *measure.Metres {
		if m == nil {
			return nil
		}
		v := *m + by
		return &v
	}
	c.LipHeight, c.WalkInGate, c.FootDepth = up(c.LipHeight, by), up(c.WalkInGate, by), up(c.FootDepth, -by)
	return c
}
