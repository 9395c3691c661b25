package feed

import (
	"math"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/measure"
)

// DecodeForecast reads an answer of the Open-Meteo forecast interface for one point, asked
// with timeformat=unixtime and wind_speed_unit=ms, fetched at now. Wind is the 10 minute mean
// at 10 m, gusts and rain are of the hour before, instants UTC; a missing value stays nil. A
// wind of nulls or of nothing but zeros is a *NoData, anything odd a *BadBody, an error body
// of the service an *Unavailable.
func DecodeForecast(raw []byte, now time.Time, asked measure.Position) (conditions.Weather, error) {
	none := conditions.Weather{}
	b, err := decode(raw, asked)
	if err != nil {
		return none, err
	}
	if _, ok := b.Hourly["wind_speed_10m"]; !ok {
		return none, &BadBody{Why: WrongShape, Detail: "wind_speed_10m is missing"}
	}
	var wind, gust, from, air, pressure, visibility, code, cape, rain []float64
	for _, c := range []struct {
		to   *[]float64
		name string
		field
	}{
		{&wind, "wind_speed_10m", speed},
		{&gust, "wind_gusts_10m", speed},
		{&from, "wind_direction_10m", direction},
		{&air, "temperature_2m", field{"°C", -90, 60}},
		{&pressure, "pressure_msl", field{"hPa", 850, 1100}},
		{&visibility, "visibility", field{"m", 0, 1e6}},
		{&code, "weather_code", field{"wmo code", 0, 99}},
		{&cape, "cape", field{"J/kg", 0, 2e4}},
		{&rain, "precipitation", field{"mm", 0, 500}},
	} {
		if *c.to, err = b.read(c.name, c.field); err != nil {
			return none, err
		}
	}
	if why := emptiness(wind); why == AllNull || why == AllZero && emptiness(gust) != "" {
		return none, &NoData{Why: why}
	}
	n := len(b.times)
	hours := make([]conditions.WeatherHour, n)
	winds := make([]measure.MetresPerSecond, 2*n)
	froms := make([]measure.From, n)
	codes := make([]int, n)
	last := -1
	for i := range hours {
		h := &hours[i]
		h.At = b.times[i]
		if v := at(wind, i); !math.IsNaN(v) {
			winds[2*i] = measure.MetresPerSecond(v)
			h.Wind = &winds[2*i]
			last = i
		}
		if v := at(gust, i); !math.IsNaN(v) {
			winds[2*i+1] = measure.MetresPerSecond(v)
			h.Gust = &winds[2*i+1]
		}
		if v := at(from, i); !math.IsNaN(v) {
			froms[i] = measure.From(measure.Wrap360(v))
			h.WindFrom = &froms[i]
		}
		if v := at(code, i); !math.IsNaN(v) {
			if v != math.Trunc(v) {
				return none, &BadBody{Why: WrongValue, Detail: "weather_code is not a whole number"}
			}
			codes[i] = int(v)
			h.Code = &codes[i]
		}
		h.AirTempC, h.PressureHPa = given(air, i), given(pressure, i)
		h.VisibilityM, h.CAPE, h.RainMM = given(visibility, i), given(cape, i), given(rain, i)
	}
	if !hours[last].At.Add(time.Hour).After(now) {
		return none, &NoData{Why: Ended}
	}
	return conditions.Weather{
		Source: conditions.Source{
			Name: "Open-Meteo", Licence: "CC BY 4.0", Model: "best_match", FetchedAt: now, Point: b.cell, Km: b.km,
		},
		Hours: hours,
	}, nil
}

// given points at the i-th value of a column, nil where there is none.
func given(column []float64, i int) *float64 {
	if column == nil || math.IsNaN(column[i]) {
		return nil
	}
	return &column[i]
}
