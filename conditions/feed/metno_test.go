package feed

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

var (
	lofoten  = measure.Position{Lat: 68.15, Lon: 13}
	metBegin = ts("2026-12-05T06:00:00Z")
)

// met builds an answer for Lofoten with a unit table and steps of an hour, given as what stands in "data".
func met(units string, data ...string) []byte {
	var steps []string
	for i, d := range data {
		steps = append(steps, fmt.Sprintf(`{"time":"2026-12-05T%02d:00:00Z","data":%s}`, 6+i, d))
	}
	return []byte(`{"type":"Feature","geometry":{"type":"Point","coordinates":[13.0,68.15,2]},"properties":{"meta":{"updated_at":"2026-12-05T05:00:00Z","units":{` +
		units + `}},"timeseries":[` + strings.Join(steps, ",") + `]}}`)
}

func instantMet(details string) string { return `{"instant":{"details":{` + details + `}}}` }

const (
	windUnits = `"wind_speed":"m/s","wind_speed_of_gust":"m/s","wind_from_direction":"degrees","precipitation_amount":"mm","probability_of_thunder":"%"`
	waveUnits = `"sea_surface_wave_height":"m","sea_surface_wave_from_direction":"degrees","sea_water_speed":"m/s","sea_water_to_direction":"degrees"`
)

func TestDecodeMetLocation(t *testing.T) {
	w, err := DecodeMetLocation(sample(t, "locationforecast_complete_lofoten.constructed.json"), metBegin, lofoten)
	if err != nil {
		t.Fatalf("DecodeMetLocation: %v", err)
	}
	hs := w.Weather.Hours
	if len(hs) != 72 || len(w.Sky) != 72 || !hs[0].At.Equal(metBegin) || !hs[71].At.Equal(ts("2026-12-10T12:00:00Z")) || hs[0].At.Location() != time.UTC {
		t.Fatalf("%d hours from %v to %v, want 72 from %v", len(hs), hs[0].At, hs[len(hs)-1].At, metBegin)
	}
	h := hs[0]
	if *h.Wind != 8.6 || *h.Gust != 12.5 || *h.WindFrom != 220 || *h.AirTempC != 1.7 || *h.PressureHPa != 991.5 || *h.Code != 81 || h.VisibilityM != nil || h.CAPE != nil {
		t.Errorf("first hour = %+v, want wind 8.6 gust 12.5 from 220", h)
	}
	if s := w.Sky[0]; s.Symbol != "rainshowers_night" || s.SymbolHours != 1 || s.Thunder || *s.ThunderPct != 2.2 || *s.FogPct != 0 {
		t.Errorf("first sky = %+v", s)
	}
	t.Run("rain is told for the hour before, where there is one", func(t *testing.T) {
		if hs[0].RainMM != nil || *hs[1].RainMM != 0.8 || *hs[2].RainMM != 0 || hs[60].RainMM == nil || hs[61].RainMM != nil {
			t.Errorf("rain = %v %v %v ... %v, want none, 0.8, 0 ... none across six hours", hs[0].RainMM, *hs[1].RainMM, *hs[2].RainMM, hs[61].RainMM)
		}
	})
	t.Run("later steps are six hours apart and their symbols for six hours", func(t *testing.T) {
		if d := hs[61].At.Sub(hs[60].At); d != 6*time.Hour || w.Sky[60].SymbolHours != 6 || w.Sky[60].ThunderPct != nil || w.Sky[71].Symbol != "" || hs[71].Code != nil {
			t.Errorf("step of %v, sky %+v, last %+v", d, w.Sky[60], w.Sky[71])
		}
	})
	t.Run("thunder", func(t *testing.T) {
		n := 0
		for i, s := range w.Sky {
			if s.Thunder {
				n++
				if *hs[i].Code != 95 || !strings.Contains(s.Symbol, "thunder") {
					t.Errorf("hour %d: code %d for %q, want 95", i, *hs[i].Code, s.Symbol)
				}
			}
		}
		if n == 0 {
			t.Error("no thunder in the sample, want some")
		}
	})
	t.Run("the source says who, when made, where and how far", func(t *testing.T) {
		src := w.Weather.Source
		if src.Name != "MET Norway" || src.Licence != "CC BY 4.0" || !src.RunAt.Equal(ts("2026-12-05T05:28:20Z")) || !src.FetchedAt.Equal(metBegin) ||
			src.Point != (measure.Position{Lat: 68.146, Lon: 13.02}) || src.Km < 0.8 || src.Km > 1.1 {
			t.Errorf("source = %+v", src)
		}
	})
}

func TestDecodeMetOcean(t *testing.T) {
	s, err := DecodeMetOcean(sample(t, "oceanforecast_lofoten.constructed.json"), metBegin, lofoten)
	if err != nil {
		t.Fatalf("DecodeMetOcean: %v", err)
	}
	hs := s.Sea.Hours
	if len(hs) != 120 || len(s.Currents) != 120 || !hs[0].At.Equal(metBegin) {
		t.Fatalf("%d hours from %v, want 120 from %v", len(hs), hs[0].At, metBegin)
	}
	h, c := hs[0], s.Currents[0]
	if *h.Hs != 3.4 || *h.From != 254 || *h.WaterTempC != 7.2 || *c.Speed != 0.3 || *c.Towards != 38.7 {
		t.Errorf("first hour = %v m from %v, water %v, current %v to %v, want 3.4 254 7.2 0.3 38.7", *h.Hs, *h.From, *h.WaterTempC, *c.Speed, *c.Towards)
	}
	if h.Period != nil || h.PeriodKind != "" || h.Partitions != nil || h.SeaLevel != nil {
		t.Errorf("first hour = %+v, want no period: this feed has none", h)
	}
	if src := s.Sea.Source; src.Model != "oceanforecast" || !src.RunAt.Equal(ts("2026-12-05T05:20:00Z")) || src.Point != (measure.Position{Lat: 68.1421, Lon: 13.0057}) || !(src.Km > 0.5) {
		t.Errorf("source = %+v, want the snapped point and how far it is", src)
	}
}

func TestMetMissingIsMissing(t *testing.T) {
	t.Run("a location", func(t *testing.T) {
		raw := met(windUnits,
			instantMet(`"wind_speed":5`), instantMet(`"wind_speed":null,"wind_speed_of_gust":null,"wind_from_direction":null`), `{"instant":{"details":{}}}`, `{}`,
			instantMet(`"wind_speed":0,"wind_from_direction":360`))
		w, err := DecodeMetLocation(raw, metBegin, lofoten)
		if err != nil {
			t.Fatalf("DecodeMetLocation: %v", err)
		}
		if h := w.Weather.Hours[0]; *h.Wind != 5 || h.Gust != nil || h.WindFrom != nil || h.AirTempC != nil || h.PressureHPa != nil || h.Code != nil || h.RainMM != nil {
			t.Errorf("hour = %+v, want the wind alone", h)
		}
		for _, i := range []int{1, 2, 3} {
			if h := w.Weather.Hours[i]; h.Wind != nil || h.Gust != nil || h.WindFrom != nil {
				t.Errorf("hour %d = %+v, want nothing", i, h)
			}
		}
		if h := w.Weather.Hours[4]; *h.Wind != 0 || *h.WindFrom != 0 {
			t.Errorf("hour = wind %v from %v, want a calm hour among others, from north", *h.Wind, *h.WindFrom)
		}
	})
	t.Run("a sea", func(t *testing.T) {
		raw := met(waveUnits,
			instantMet(`"sea_surface_wave_height":2,"sea_surface_wave_from_direction":360`), instantMet(`"sea_surface_wave_height":null,"sea_surface_wave_from_direction":90`),
			instantMet(`"sea_surface_wave_height":0.0,"sea_surface_wave_from_direction":90,"sea_water_speed":0`), instantMet(`"sea_surface_wave_to_direction":90,"sea_surface_wave_height":1`))
		s, err := DecodeMetOcean(raw, metBegin, lofoten)
		if err != nil {
			t.Fatalf("DecodeMetOcean: %v", err)
		}
		if h := s.Sea.Hours[0]; *h.Hs != 2 || *h.From != 0 || h.WaterTempC != nil || s.Currents[0].Speed != nil || s.Currents[0].Towards != nil {
			t.Errorf("hour = %+v, want 2 m from north and no more", h)
		}
		if h := s.Sea.Hours[1]; h.Hs != nil || h.From != nil {
			t.Errorf("hour = %+v, want null to be unknown", h)
		}
		if h := s.Sea.Hours[2]; h.Hs != nil || h.From != nil || *s.Currents[2].Speed != 0 {
			t.Errorf("hour = %+v, want zero to be unknown, and slack water to be slack", h)
		}
		if h := s.Sea.Hours[3]; *h.Hs != 1 || h.From != nil {
			t.Errorf("hour = %+v, want no direction of one in which waves go", h)
		}
	})
}

func TestMetRefuses(t *testing.T) {
	goodSea, goodWind := sample(t, "oceanforecast_lofoten.constructed.json"), sample(t, "locationforecast_complete_lofoten.constructed.json")
	swap := func(old, new string) []byte {
		if !bytes.Contains(goodSea, []byte(old)) {
			t.Fatalf("the sample has no %q", old)
		}
		return bytes.Replace(goodSea, []byte(old), []byte(new), 1)
	}
	h := func(values ...string) []byte {
		var data []string
		for _, v := range values {
			data = append(data, instantMet(`"sea_surface_wave_height":`+v))
		}
		return met(waveUnits, data...)
	}
	land := func(properties, top string) []byte {
		return []byte(`{"type":"Feature","geometry":{"type":"Point","coordinates":[13,68.15]}` + top + `,"properties":{` + properties + `}}`)
	}
	for _, tc := range []struct {
		name   string
		raw    []byte
		status string
		why    Why
	}{
		{"nothing", nil, "refused", Unreadable},
		{"a page of markup", []byte("<!DOCTYPE html><html>503</html>"), "refused", Unreadable},
		{"a bare word", []byte("Unprocessable Entity"), "refused", Unreadable},
		{"cut off", goodSea[:len(goodSea)/2], "refused", Unreadable},
		{"cut off with a sentence glued on", append(bytes.Clone(goodSea[:5000]), "Internal error"...), "refused", Unreadable},
		{"two documents", append(bytes.Clone(goodSea), goodSea...), "refused", Unreadable},
		{"a list", []byte(`[]`), "refused", Unreadable},
		{"an empty object", []byte(`{}`), "refused", WrongShape},
		{"an answer of another service", sample(t, "marine_sydney_rising_longperiod.constructed.json"), "refused", WrongShape},
		{"a point on land: a complaint in the head", land(`"meta":{"updated_at":null,"units":{},"error":"no data"},"timeseries":[]`, ``), "unknown", NotCovered},
		{"a point on land: a complaint of several words", land(`"meta":{"error":{"code":1,"text":"land"}}`, ``), "unknown", NotCovered},
		{"a point on land: a complaint beside the steps", land(`"message":"no ocean here","timeseries":null`, ``), "unknown", NotCovered},
		{"a point on land: a complaint on top", land(``, `,"error":"no ocean here"`), "unknown", NotCovered},
		{"no steps and no word why", land(`"meta":{"updated_at":"2026-12-05T05:20:00Z"},"timeseries":[]`, ``), "unknown", AllNull},
		{"all null", h("null", "null"), "unknown", AllNull},
		{"all zero", h("0", "0.0", "null"), "unknown", AllZero},
		{"a forecast of wind", goodWind, "unknown", AllNull},
		{"several points", swap(`"type": "Point"`, `"type": "MultiPoint"`), "refused", WrongShape},
		{"a collection", swap(`"type": "Feature"`, `"type": "FeatureCollection"`), "refused", WrongShape},
		{"a point that is null", swap(`[13.0057, 68.1421]`, `[null, 68.1421]`), "refused", WrongShape},
		{"half a point", swap(`[13.0057, 68.1421]`, `[13.0057]`), "refused", WrongShape},
		{"latitude first", swap(`[13.0057, 68.1421]`, `[68.1421, 13.0057]`), "refused", WrongPlace},
		{"another place", swap(`[13.0057, 68.1421]`, `[13.0057, 69.1421]`), "refused", WrongPlace},
		{"an impossible place", swap(`[13.0057, 68.1421]`, `[13.0057, 98.1421]`), "refused", WrongValue},
		{"no word when it was made", swap(`"updated_at"`, `"updated"`), "refused", WrongShape},
		{"feet", swap(`"sea_surface_wave_height": "m"`, `"sea_surface_wave_height": "ft"`), "refused", WrongUnits},
		{"no unit", swap(`"sea_surface_wave_height": "m", `, ``), "refused", WrongUnits},
		{"a unit that is null", swap(`"sea_surface_wave_height": "m"`, `"sea_surface_wave_height": null`), "refused", WrongUnits},
		{"radians", swap(`"sea_surface_wave_from_direction": "degrees"`, `"sea_surface_wave_from_direction": "rad"`), "refused", WrongUnits},
		{"kelvin", swap(`"sea_water_temperature": "celsius"`, `"sea_water_temperature": "K"`), "refused", WrongUnits},
		{"a height in words", swap(`"sea_surface_wave_height": 3.4`, `"sea_surface_wave_height": "3.4"`), "refused", Unreadable},
		{"a negative height", h("-1"), "refused", WrongValue},
		{"a height no sea has", h("1", "36"), "refused", WrongValue},
		{"NaN", h("NaN"), "refused", Unreadable},
		{"a direction of 361", met(waveUnits, instantMet(`"sea_surface_wave_height":1,"sea_surface_wave_from_direction":361`)), "refused", WrongValue},
		{"a time twice", swap(`"time": "2026-12-05T07:00:00Z"`, `"time": "2026-12-05T06:00:00Z"`), "refused", WrongShape},
		{"time that goes back", swap(`"time": "2026-12-05T07:00:00Z"`, `"time": "2026-12-05T05:00:00Z"`), "refused", WrongShape},
		{"a time in another zone's clock is an instant", swap(`"time": "2026-12-05T07:00:00Z"`, `"time": "2026-12-05T07:00:00+01:00"`), "refused", WrongShape}, // 06:00 again
		{"a time without a zone", swap(`"time": "2026-12-05T07:00:00Z"`, `"time": "2026-12-05T07:00:00"`), "refused", Unreadable},
		{"no time", swap(`"time": "2026-12-05T07:00:00Z"`, `"tide": "2026-12-05T07:00:00Z"`), "refused", WrongShape},
		{"a time of long ago", swap(`"time": "2026-12-05T06:00:00Z"`, `"time": "1026-12-05T06:00:00Z"`), "refused", WrongValue},
		{"made a day and more ago", swap(`"updated_at": "2026-12-05T05:20:00Z"`, `"updated_at": "2026-12-04T05:59:00Z"`), "unknown", TooOld},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s, err := DecodeMetOcean(tc.raw, metBegin, lofoten)
			if err == nil || s.Sea.Hours != nil || s.Currents != nil {
				t.Fatalf("DecodeMetOcean = %d hours, %v, want an error", len(s.Sea.Hours), err)
			}
			wantStatus(t, err, tc.status, tc.why)
		})
	}
	windy := func(details ...string) []byte {
		var data []string
		for _, d := range details {
			data = append(data, instantMet(d))
		}
		return met(windUnits, data...)
	}
	for _, tc := range []struct {
		name   string
		raw    []byte
		status string
		why    Why
	}{
		{"a forecast of the sea", goodSea, "unknown", AllNull},
		{"all null", windy(`"wind_speed":null`), "unknown", AllNull},
		{"all zero", windy(`"wind_speed":0`, `"wind_speed":0,"wind_speed_of_gust":0`), "unknown", AllZero},
		{"km/h", bytes.Replace(goodWind, []byte(`"wind_speed": "m/s"`), []byte(`"wind_speed": "km/h"`), 1), "refused", WrongUnits},
		{"gusts without a unit", bytes.Replace(goodWind, []byte(`"wind_speed_of_gust": "m/s"`), []byte(`"gust": "m/s"`), 1), "refused", WrongUnits},
		{"kelvin", bytes.Replace(goodWind, []byte(`"air_temperature": "celsius"`), []byte(`"air_temperature": "K"`), 1), "refused", WrongUnits},
		{"pascal", windy(`"wind_speed":5,"air_pressure_at_sea_level":101300`), "refused", WrongValue},
		{"a wind no storm has", windy(`"wind_speed":151`), "refused", WrongValue},
		{"a chance of 101 %", met(windUnits, `{"instant":{"details":{"wind_speed":5}},"next_1_hours":{"details":{"probability_of_thunder":101}}}`), "refused", WrongValue},
	} {
		t.Run("wind: "+tc.name, func(t *testing.T) {
			w, err := DecodeMetLocation(tc.raw, metBegin, lofoten)
			if err == nil || w.Weather.Hours != nil {
				t.Fatalf("DecodeMetLocation = %d hours, %v, want an error", len(w.Weather.Hours), err)
			}
			wantStatus(t, err, tc.status, tc.why)
		})
	}
	t.Run("a question about no place", func(t *testing.T) {
		if _, err := DecodeMetOcean(goodSea, metBegin, measure.Position{Lat: 91}); err == nil {
			t.Error("DecodeMetOcean = nil error, want one")
		}
	})
	t.Run("an end that has passed", func(t *testing.T) {
		raw := h("1", "1.2", "null") // at 06, 07 and 08
		if _, err := DecodeMetOcean(raw, ts("2026-12-05T07:59:00Z"), lofoten); err != nil {
			t.Errorf("within the last hour known = %v, want nil", err)
		}
		_, err := DecodeMetOcean(raw, ts("2026-12-05T08:00:00Z"), lofoten)
		wantStatus(t, err, "unknown", Ended)
		_, err = DecodeMetLocation(windy(`"wind_speed":5`), ts("2026-12-05T07:00:00Z"), lofoten)
		wantStatus(t, err, "unknown", Ended)
	})
	t.Run("a zone's clock is turned to UTC, each time by its own offset", func(t *testing.T) {
		raw := bytes.Replace(h("1", "1.2"), []byte("2026-12-05T07:00:00Z"), []byte("2026-12-05T09:00:00+02:00"), 1)
		s, err := DecodeMetOcean(raw, metBegin, lofoten)
		if err != nil || !s.Sea.Hours[1].At.Equal(ts("2026-12-05T07:00:00Z")) || s.Sea.Hours[1].At.Location() != time.UTC {
			t.Errorf("DecodeMetOcean = %+v, %v, want 07:00 UTC", s.Sea.Hours, err)
		}
	})
}

func TestMetSymbols(t *testing.T) {
	for symbol, want := range map[string]int{
		"clearsky_day": 0, "fair_polartwilight": 1, "partlycloudy_night": 2, "cloudy": 3, "fog": 45, "lightrain": 61, "heavyrain": 65,
		"rainshowers_day": 81, "snow": 73, "heavysnowshowers_night": 86, "rainandthunder": 95, "heavyrainshowersandthunder_day": 95,
		"lightssleetshowersandthunder_day": 95, // misspelt at the source
		"somethingnewwiththunder":          95,
	} {
		if got, ok := symbolCode(symbol); !ok || got != want {
			t.Errorf("symbolCode(%q) = %d, %v, want %d", symbol, got, ok, want)
		}
	}
	for _, symbol := range []string{"", "plague_day", "_day"} {
		if got, ok := symbolCode(symbol); ok {
			t.Errorf("symbolCode(%q) = %d, want none", symbol, got)
		}
	}
	t.Run("a symbol we do not know is told and has no code", func(t *testing.T) {
		w, err := DecodeMetLocation(met(windUnits, `{"instant":{"details":{"wind_speed":5}},"next_1_hours":{"summary":{"symbol_code":"plague_day"}}}`), metBegin, lofoten)
		if err != nil || w.Weather.Hours[0].Code != nil || w.Sky[0].Symbol != "plague_day" {
			t.Errorf("DecodeMetLocation = %+v, %v", w, err)
		}
	})
}

// The worked example of the service's documentation (metno/weatherapi-docs, CC BY 4.0, MET Norway).
func TestMetDocumentationExample(t *testing.T) {
	w, err := DecodeMetLocation(recordedByOthers(t, "metno/locationforecast_complete_documentation_excerpt_2020.json"), ts("2020-06-10T13:10:00Z"), measure.Position{Lat: 60.1, Lon: 10})
	if err != nil {
		t.Fatalf("DecodeMetLocation: %v", err)
	}
	h, s := w.Weather.Hours[0], w.Sky[0]
	if len(w.Weather.Hours) != 1 || *h.Wind != 2.5 || *h.Gust != 6.6 || *h.WindFrom != 151.8 || *h.AirTempC != 20.7 || *h.PressureHPa != 1020.5 || *h.Code != 2 ||
		s.Symbol != "partlycloudy_day" || *s.ThunderPct != 0 || w.Weather.Source.Km != 0 || !w.Weather.Source.RunAt.Equal(ts("2020-06-10T13:04:26Z")) {
		t.Errorf("hour = %+v, sky %+v, source %+v", h, s, w.Weather.Source)
	}
}
