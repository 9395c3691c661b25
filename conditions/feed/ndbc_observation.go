package feed

import (
	"errors"
	"math"
	"slices"
	"strings"
	"time"

	"ledgehand/conditions/measure"
)

// Our judgement: how old an observed sea may be and still be told as what the sea does now (a swell can double in three
// hours), how far ahead of us the clock of a file may run, and how far from a height its period may have been taken.
const (
	buoyFresh = 3 * time.Hour
	buoyAhead = time.Hour
	periodBy  = time.Hour
)

var errNotMeasured = errors.New("neither a number nor MM")

// Observation is what one station measured at one instant (UTC). What it did not measure is nil, and so is a wave
// height of zero with all that goes with it: 0.0 is what a sensor out of order says, not the open sea.
//
// The definitions are NDBC's own (pages "Measurement descriptions and units" and "How are significant wave height,
// dominant period, average period calculated").
type Observation struct {
	Station  string            // in capitals, empty where the file does not say
	Position *measure.Position // nil where the file does not say
	At       time.Time         // end of the sampling

	Hs   *measure.Metres  // WVHT: significant, over 20 minutes
	Peak *measure.Seconds // DPD: the peak period Tp, in whole seconds; of a .spec see summaryPeak
	// Mean is APD: the mean zero-crossing period sqrt(m0/m2) at NDBC's own buoys, so conditions.PeriodZero; those of
	// Scripps report m0/m1 here and those of some European services their own mean. Never a peak.
	Mean *measure.Seconds
	From *measure.From // MWD: the direction from which the waves of the peak period come

	Swell, WindSea *WaveSystem // .spec only; nil: none told apart, or not given
	Steepness      string      // .spec only: VERY_STEEP, STEEP, AVERAGE, SWELL, empty

	Wind, Gust  *measure.MetresPerSecond // WSPD, a mean of 8 minutes (on shore 2), GST; at the height of the sensor, not at 10 m
	WindFrom    *measure.From
	PressureHPa *float64
	AirTempC    *float64
	WaterTempC  *float64
}

// WaveSystem is the swell or the wind sea of an Observation. Period is the peak period of that system; From is one of 16
// points, right to 11 degrees.
type WaveSystem struct {
	Hs     measure.Metres
	Period *measure.Seconds
	From   *measure.From
}

// Buoy is the record of one station.
type Buoy struct {
	Observations []Observation // oldest first
	// Latest is the newest observation that has a wave height, Age how old it was at now. A station may send height and
	// peak period in different rows: PeakAt is when Latest.Peak was taken, within the hour before; zero if there is none.
	Latest Observation
	Age    time.Duration
	PeakAt time.Time
}

// DecodeBuoyText reads the standard meteorological file of one station as of now, live (realtime2 .txt) or yearly. A
// record without wave heights, or whose last one is more than 3 hours old, is a *NoData; anything odd is a *BadBody. The
// file does not name its station.
func DecodeBuoyText(raw []byte, now time.Time) (Buoy, error) { return decodeBuoy(raw, now, "DPD") }

// DecodeBuoySpec reads the wave summary of one station (realtime2 .spec): as DecodeBuoyText, with the swell and the wind
// sea apart. The file has no column for the peak period of the whole sea; see summaryPeak for when it is known.
func DecodeBuoySpec(raw []byte, now time.Time) (Buoy, error) { return decodeBuoy(raw, now, "SwH") }

// decodeBuoy reads a file that must have a column; it tells the two kinds apart.
func decodeBuoy(raw []byte, now time.Time, column string) (Buoy, error) {
	t, err := readBuoyTable(raw, false)
	if err != nil {
		return Buoy{}, err
	}
	if t.num[column] == nil {
		return Buoy{}, &BadBody{Why: WrongShape, Detail: column + " is missing"}
	}
	if why := emptiness(t.num["WVHT"]); why != "" {
		return Buoy{}, &NoData{Why: why}
	}
	for _, name := range []string{"WSPD", "GST"} {
		if emptiness(t.num[name]) != "" { // a stuck sensor, as nothing else reads calm for weeks
			delete(t.num, name)
		}
	}
	b := Buoy{Observations: t.observations()}
	obs := b.Observations
	if len(obs) > 1 && obs[1].At.Before(obs[0].At) {
		slices.Reverse(obs)
	}
	last := -1
	for i := range obs {
		if i > 0 && !obs[i].At.After(obs[i-1].At) {
			return Buoy{}, &BadBody{Why: WrongShape, Detail: "rows that are not in order of time, or twice the same time"}
		}
		if obs[i].Hs != nil {
			last = i
		}
	}
	if obs[len(obs)-1].At.After(now.Add(buoyAhead)) {
		return Buoy{}, &BadBody{Why: WrongValue, Detail: "observations from the future"}
	}
	b.Latest, b.Age = obs[last], now.Sub(obs[last].At)
	if b.Age > buoyFresh {
		return Buoy{}, &NoData{Why: TooOld}
	}
	for i := last; i >= 0 && obs[last].At.Sub(obs[i].At) <= periodBy; i-- {
		if obs[i].Peak != nil {
			b.Latest.Peak, b.PeakAt = obs[i].Peak, obs[i].At
			break
		}
	}
	return b, nil
}

// DecodeBuoys reads the newest observation of every station (latest_obs), with positions, in the order of the file. A row
// of impossible values is left out. Ages are for NearBuoys to judge.
func DecodeBuoys(raw []byte) ([]Observation, error) {
	t, err := readBuoyTable(raw, true)
	if err != nil {
		return nil, err
	}
	for _, name := range []string{"LAT", "LON"} {
		if t.num[name] == nil {
			return nil, &BadBody{Why: WrongShape, Detail: name + " is missing"}
		}
	}
	if why := emptiness(t.num["WVHT"]); why != "" {
		return nil, &NoData{Why: why}
	}
	return t.observations(), nil
}

// observations builds the rows. The numbers lie in a few arrays, as in merge.
func (t *buoyTable) observations() []Observation {
	n := len(t.at)
	obs := make([]Observation, n)
	hs, peak, mean, from := metres(t.num["WVHT"]), periods(t.num["DPD"]), periods(t.num["APD"]), froms(t.num["MWD"])
	wind, gust, windFrom := speeds(t.num["WSPD"]), speeds(t.num["GST"]), froms(t.num["WDIR"])
	swell := waveSystems(t.num["SwH"], t.num["SwP"], t.words["SwD"])
	windSea := waveSystems(t.num["WWH"], t.num["WWP"], t.words["WWD"])
	place := make([]measure.Position, n)
	for i := range obs {
		o := &obs[i]
		o.At = t.at[i]
		if id := t.words["STN"]; id != nil {
			o.Station = strings.ToUpper(id[i])
		}
		if lat, lon := at(t.num["LAT"], i), at(t.num["LON"], i); !math.IsNaN(lat) && !math.IsNaN(lon) {
			place[i] = measure.Position{Lat: lat, Lon: lon}
			o.Position = &place[i]
		}
		if h := at(t.num["WVHT"], i); h > 0 {
			o.Hs, o.Peak, o.Mean, o.From = hs(i), peak(i), mean(i), from(i)
			o.Swell, o.WindSea = swell(i), windSea(i)
			if t.num["DPD"] == nil {
				o.Peak = t.summaryPeak(o, i)
			}
			if s := t.words["STEEPNESS"]; s != nil && s[i] != "N/A" && s[i] != "MM" {
				o.Steepness = s[i]
			}
		}
		o.Wind, o.Gust, o.WindFrom = wind(i), gust(i), windFrom(i)
		o.PressureHPa, o.AirTempC, o.WaterTempC = given(t.num["PRES"], i), given(t.num["ATMP"], i), given(t.num["WTMP"], i)
	}
	return obs
}

// summaryPeak finds the peak period of the whole sea in a wave summary. It is that of the swell or of the wind sea, not
// always of the higher: MWD is the direction of the peak, so the part whose direction it falls on has the peak too, and
// where only one part was found it is that one. Directions too near to tell leave it unknown. Checked where a record has
// both files (41002, 2018-07-30 to 08-01): the peak was one of the two in 52 hours of 52, and the one told here
// in 44 of the 44 told; the higher part's in 29 of the 45 with two parts.
func (t *buoyTable) summaryPeak(o *Observation, i int) *measure.Seconds {
	const halfPoint = 22.5/2 + 0.5 // MWD is in whole degrees
	on := func(s *WaveSystem) bool {
		return s.From != nil && o.From != nil && measure.Between(*s.From, *o.From) <= halfPoint
	}
	switch s, w := o.Swell, o.WindSea; {
	case s == nil && w != nil && at(t.num["SwH"], i) == 0:
		return w.Period
	case w == nil && s != nil && at(t.num["WWH"], i) == 0:
		return s.Period
	case s == nil || w == nil:
		return nil
	case s.From != nil && w.From != nil && on(s) && !on(w):
		return s.Period
	case s.From != nil && w.From != nil && on(w) && !on(s):
		return w.Period
	}
	return nil
}

// pointers gives the values of a column as pointers into one array of its unit; nil where there is none.
func pointers[T ~float64](column []float64, ok func(float64) bool, as func(float64) float64) func(int) *T {
	out := make([]T, len(column))
	return func(i int) *T {
		v := at(column, i)
		if math.IsNaN(v) || !ok(v) {
			return nil
		}
		out[i] = T(as(v))
		return &out[i]
	}
}

func anyOf(float64) bool      { return true }
func positive(v float64) bool { return v > 0 }
func same(v float64) float64  { return v }
func metres(c []float64) func(int) *measure.Metres {
	return pointers[measure.Metres](c, positive, same)
}
func periods(c []float64) func(int) *measure.Seconds {
	return pointers[measure.Seconds](c, positive, same)
}
func speeds(c []float64) func(int) *measure.MetresPerSecond {
	return pointers[measure.MetresPerSecond](c, anyOf, same)
}
func froms(c []float64) func(int) *measure.From {
	return pointers[measure.From](c, anyOf, measure.Wrap360)
}

// waveSystems gives a part of the sea; one of zero height was not found.
func waveSystems(height, period []float64, dirs []string) func(int) *WaveSystem {
	out := make([]WaveSystem, len(height))
	dir := make([]measure.From, len(height))
	t := periods(period)
	return func(i int) *WaveSystem {
		h := at(height, i)
		if !(h > 0) {
			return nil
		}
		s := &out[i]
		s.Hs, s.Period = measure.Metres(h), t(i)
		if dirs != nil {
			if p := slices.Index(compassPoints, dirs[i]); p >= 0 {
				dir[i] = measure.From(float64(p) * 22.5)
				s.From = &dir[i]
			}
		}
		return s
	}
}

// compassPoints from north, clockwise; anything else (MM, -99, NO) is no direction.
var compassPoints = []string{"N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"}
