package tide

import (
	"fmt"
	"time"

	"ledgehand/conditions/measure"
)

// A Station is a place of the catalogue with a tide prediction.
type Station struct {
	ID       string
	Name     string
	Country  string // ISO 3166 two letters
	Region   string // in the United States the two letters of the state, else ""; see Near
	Zone     string // IANA time zone, for display
	Position measure.Position

	Source  string // "noaa", "ticon", "kartverket"
	Licence string
	Credit  string // the line to show where the origin of the data is told
	Brief   string // whose constants, in a word or two, and under what licence, to show with a prediction

	Datum     string         // chart datum the heights are above: MLLW, LAT, CD, MSL, ...
	MeanLevel measure.Metres // mean sea level above that datum (Z0); NaN at a subordinate station
	Highest   measure.Metres // highest astronomical tide above the datum, NaN when not known
	Lowest    measure.Metres // lowest astronomical tide above the datum, NaN when not known
	FirstYear int            // of the record or epoch behind the constants, 0 when not known
	LastYear  int

	Subordinate bool
	Reference   string // id of the reference station of a subordinate one
	Offsets     Offsets

	Warning Warning
}

// Warning is a word for why a prediction may mislead.
type Warning string

const (
	River  Warning = "river"               // discharge or weir moves the level as much as the tide does
	Season Warning = "large season"        // the mean season is 0.3 m or more, and no two years have the same
	NoTide Warning = "no significant tide" // spring range under 0.1 m
)

// Thresholds are engineering judgement, no source: they part the river gauges of the catalogue from its coast.
const (
	riverFortnight  = 0.10 // m of MSF, and 5 % of M2: friction in a channel makes it, the sea does not
	riverFortShare  = 0.05
	largeSeason     = 0.30 // m of SA
	riverSeasonPart = 0.5  // SA against M2 + S2 + K1 + O1
	noTide          = 0.05 // m of M2 + S2 + K1 + O1
)

// warningOf judges constants; scale is what a subordinate station makes of its reference's heights.
func warningOf(cs []Constituent, scale float64) Warning {
	var tide, m2, sa, msf float64
	for _, c := range cs {
		a := float64(c.Amplitude)
		switch c.Name {
		case "M2":
			m2 = a
			tide += a
		case "S2", "K1", "O1":
			tide += a
		case "SA", "SA_KV":
			sa = a
		case "MSF":
			msf = a
		}
	}
	switch {
	case msf >= riverFortnight && msf >= riverFortShare*m2, sa >= largeSeason && sa >= riverSeasonPart*tide:
		return River
	case tide*scale < noTide:
		return NoTide
	case sa >= largeSeason:
		return Season
	}
	return ""
}

type source struct{ licence, brief, credit string }

var sources = map[string]source{
	"noaa": {"public domain", "NOAA CO-OPS", "Tide constants: NOAA CO-OPS."},
	"ticon": {"CC BY 4.0", "TICON-4, CC BY 4.0", "Tide constants: Hart-Davis, M., Dettmering, D., Seitz, F. (2025), TICON-4: TIdal CONstants based on GESLA-4 " +
		"sea-level records, SEANOE, doi 10.17882/109129, CC BY 4.0, modified."},
	"kartverket": {"CC BY 4.0", "Kartverket, CC BY 4.0", "Tide constants: Kartverket (Norwegian Mapping Authority), Hydrographic Service, CC BY 4.0, modified."},
}

// Credits are the lines that must be shown where the origin of the tide data is told.
func Credits() []string {
	return []string{
		sources["noaa"].credit,
		sources["ticon"].credit,
		sources["kartverket"].credit,
		"Compiled in the Neaps tide database; some place names from GeoNames, CC BY 4.0.",
		"Modified: datums re-expressed above chart datum, constituents renamed, some phases turned by multiples of 90°, zero amplitudes dropped, values rounded.",
		"CC BY 4.0: https://creativecommons.org/licenses/by/4.0/",
	}
}

// UnknownStationError names a station that is not in the catalogue.
type UnknownStationError struct{ ID string }

func (e UnknownStationError) Error() string { return fmt.Sprintf("unknown tide station %q", e.ID) }

// minutes is how offsets are stored.
func minutes(n int16) time.Duration { return time.Duration(n) * time.Minute }
