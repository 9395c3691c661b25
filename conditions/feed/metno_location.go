package feed

import (
	"strings"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/measure"
)

// MetSky is what a step of MET Norway's forecast says of the time after it.
type MetSky struct {
	Symbol      string // as given, e.g. "heavyrainandthunder"; empty: none
	SymbolHours int    // the hours it is for: 1, later 6; 0: none
	Thunder     bool   // the symbol has thunder in it. No thunder is no promise: outside the Nordic area there is no probability either
	ThunderPct  *float64
	FogPct      *float64 // of the area, at the step itself
}

// MetWeather is a forecast with the sky of each of its hours.
type MetWeather struct {
	Weather conditions.Weather
	Sky     []MetSky // as long as Weather.Hours
}

// DecodeMetLocation reads an answer of MET Norway's location forecast (compact or complete) for one point, fetched at now.
// Wind is the 10 minute mean at 10 m, directions "from", instants UTC; what is absent or null stays nil, as gusts do
// outside the Nordic area. Code is the symbol of the hours after the instant as a WMO 4677 code, thunder 95; RainMM is of
// the hour before, as everywhere here. Steps widen from 1 to 6 hours. Source.RunAt is updated_at. No wind, or none but
// zeros, or a forecast more than a day old is a *NoData, anything odd a *BadBody.
func DecodeMetLocation(raw []byte, now time.Time, asked measure.Position) (MetWeather, error) {
	none := MetWeather{}
	b, err := decodeMet(raw, now, asked)
	if err != nil {
		return none, err
	}
	var wind, gust, from, air, pressure, fog, rain, thunder []float64
	for _, c := range []struct {
		to   *[]float64
		name string
		field
		get func(*metStep) *float64
	}{
		{&wind, "wind_speed", speed, func(s *metStep) *float64 { return s.Data.Instant.Details.Wind }},
		{&gust, "wind_speed_of_gust", speed, func(s *metStep) *float64 { return s.Data.Instant.Details.Gust }},
		{&from, "wind_from_direction", metDirection, func(s *metStep) *float64 { return s.Data.Instant.Details.WindFrom }},
		{&air, "air_temperature", field{"celsius", -90, 60}, func(s *metStep) *float64 { return s.Data.Instant.Details.Air }},
		{&pressure, "air_pressure_at_sea_level", field{"hPa", 850, 1100}, func(s *metStep) *float64 { return s.Data.Instant.Details.Pressure }},
		{&fog, "fog_area_fraction", percent, func(s *metStep) *float64 { return s.Data.Instant.Details.Fog }},
		{&rain, "precipitation_amount", field{"mm", 0, 500}, func(s *metStep) *float64 {
			if s.Data.Next1 == nil {
				return nil
			}
			return s.Data.Next1.Details.Rain
		}},
		{&thunder, "probability_of_thunder", percent, func(s *metStep) *float64 {
			if n, _ := s.next(); n != nil {
				return n.Details.Thunder
			}
			return nil
		}},
	} {
		if *c.to, err = b.column(c.name, c.field, c.get); err != nil {
			return none, err
		}
	}
	if why := emptiness(wind); why == AllNull || why == AllZero && emptiness(gust) != "" {
		return none, &NoData{Why: why}
	}
	if b.over(wind, now) {
		return none, &NoData{Why: Ended}
	}
	steps := *b.Properties.Steps
	n := len(steps)
	out := MetWeather{
		Weather: conditions.Weather{Source: b.source("locationforecast", now), Hours: make([]conditions.WeatherHour, n)},
		Sky:     make([]MetSky, n),
	}
	winds, gusts, dirs := speeds(wind), speeds(gust), froms(from)
	codes := make([]int, n)
	for i := range steps {
		h, s := &out.Weather.Hours[i], &out.Sky[i]
		h.At = b.times[i]
		h.Wind, h.Gust, h.WindFrom = winds(i), gusts(i), dirs(i)
		h.AirTempC, h.PressureHPa = given(air, i), given(pressure, i)
		if i > 0 && b.times[i].Sub(b.times[i-1]) == time.Hour { // given for the hour after a step, told for the hour before one
			h.RainMM = given(rain, i-1)
		}
		if next, hours := steps[i].next(); next != nil && next.Summary.Symbol != "" {
			s.Symbol, s.SymbolHours = next.Summary.Symbol, hours
			s.Thunder = strings.Contains(s.Symbol, "thunder")
			if code, ok := symbolCode(s.Symbol); ok {
				codes[i] = code
				h.Code = &codes[i]
			}
		}
		s.ThunderPct, s.FogPct = given(thunder, i), given(fog, i)
	}
	return out, nil
}

var (
	metDirection = field{"degrees", 0, 360}
	percent      = field{"%", 0, 100}
)

// next is what the step says of the time after it, over how many hours: the first hour where it is given.
func (s *metStep) next() (*metNext, int) {
	switch {
	case s.Data.Next1 != nil:
		return s.Data.Next1, 1
	case s.Data.Next6 != nil:
		return s.Data.Next6, 6
	}
	return nil, 0
}

// symbols are the names of MET Norway's weather symbols as codes of WMO 4677, the table from memory. Thunder is looked
// for first and apart: it stands within longer names, some of which are misspelt at the source.
var symbols = map[string]int{
	"clearsky": 0, "fair": 1, "partlycloudy": 2, "cloudy": 3, "fog": 45,
	"lightrain": 61, "rain": 63, "heavyrain": 65,
	"lightsleet": 68, "sleet": 69, "heavysleet": 69,
	"lightsnow": 71, "snow": 73, "heavysnow": 75,
	"lightrainshowers": 80, "rainshowers": 81, "heavyrainshowers": 82,
	"lightsleetshowers": 83, "sleetshowers": 84, "heavysleetshowers": 84,
	"lightsnowshowers": 85, "snowshowers": 86, "heavysnowshowers": 86,
}

// symbolCode is the code of a symbol, less its ending for day, night or polar twilight; not ok for one we do not know.
func symbolCode(symbol string) (int, bool) {
	if strings.Contains(symbol, "thunder") {
		return 95, true
	}
	name, _, _ := strings.Cut(symbol, "_")
	code, ok := symbols[name]
	return code, ok
}
