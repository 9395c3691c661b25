package feed

import (
	"bytes"
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

func TestDecodeForecast(t *testing.T) {
	raw := sample(t, "forecast_sydney_rising_longperiod.constructed.json")
	w, err := DecodeForecast(raw, begin, sydney)
	if err != nil {
		t.Fatalf("DecodeForecast: %v", err)
	}
	if len(w.Hours) != 168 || !w.Hours[0].At.Equal(begin) {
		t.Fatalf("%d hours from %v, want 168 from %v", len(w.Hours), w.Hours[0].At, begin)
	}
	h := w.Hours[0]
	if *h.Wind != 3.34 || *h.Gust != 5.26 || *h.WindFrom != 40 || *h.AirTempC != 21.2 || *h.PressureHPa != 1016 ||
		*h.VisibilityM != 24140 || *h.Code != 2 || *h.CAPE != 0 || *h.RainMM != 0 {
		t.Errorf("first hour = wind %v gust %v from %v ..., want 3.34 5.26 40", *h.Wind, *h.Gust, *h.WindFrom)
	}
	if s := w.Source; s.Name != "Open-Meteo" || s.Licence != "CC BY 4.0" || !s.FetchedAt.Equal(begin) || s.Km < 2 || s.Km > 4 {
		t.Errorf("source = %+v", s)
	}
	swap := func(old, new string) []byte {
		if !bytes.Contains(raw, []byte(old)) {
			t.Fatalf("the sample has no %q", old)
		}
		return bytes.Replace(raw, []byte(old), []byte(new), 1)
	}
	one := func(columns ...[3]string) []byte { return line(columns...) }
	for _, tc := range []struct {
		name   string
		raw    []byte
		status string
		why    Why
	}{
		{"km/h", swap(`"wind_speed_10m":"m/s"`, `"wind_speed_10m":"km/h"`), "refused", WrongUnits},
		{"knots in the gusts", swap(`"wind_gusts_10m":"m/s"`, `"wind_gusts_10m":"kn"`), "refused", WrongUnits},
		{"°F", swap(`"temperature_2m":"°C"`, `"temperature_2m":"°F"`), "refused", WrongUnits},
		{"several points", append(append([]byte("["), raw...), ']'), "refused", WrongShape},
		{"cut off", raw[:4000], "refused", Unreadable},
		{"no wind", swap(`"wind_speed_10m":[`, `"wind":[`), "refused", WrongShape},
		{"all null", one([3]string{"wind_speed_10m", "m/s", "null,null"}), "unknown", AllNull},
		{"all null, undefined", one([3]string{"wind_speed_10m", "undefined", "null,null"}), "unknown", AllNull},
		{"all zero", one([3]string{"wind_speed_10m", "m/s", "0,0"}, [3]string{"wind_gusts_10m", "m/s", "0,0"}), "unknown", AllZero},
		{"all zero, no gusts", one([3]string{"wind_speed_10m", "m/s", "0,0"}), "unknown", AllZero},
		{"half a weather code", one([3]string{"wind_speed_10m", "m/s", "1"}, [3]string{"weather_code", "wmo code", "2.5"}), "refused", WrongValue},
		{"over", one([3]string{"wind_speed_10m", "m/s", "1"}), "", ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			now := begin
			if tc.name == "over" {
				now, tc.status, tc.why = begin.Add(time.Hour), "unknown", Ended
			}
			w, err := DecodeForecast(tc.raw, now, sydney)
			if err == nil || w.Hours != nil {
				t.Fatalf("DecodeForecast = %d hours, %v, want an error", len(w.Hours), err)
			}
			wantStatus(t, err, tc.status, tc.why)
		})
	}
	t.Run("null is unknown and never zero", func(t *testing.T) {
		w, err := DecodeForecast(one([3]string{"wind_speed_10m", "m/s", "1,null"}, [3]string{"visibility", "undefined", "null,null"}), begin, sydney)
		if err != nil {
			t.Fatalf("DecodeForecast: %v", err)
		}
		if h := w.Hours[1]; h.Wind != nil || h.Gust != nil || h.VisibilityM != nil || h.Code != nil || h.AirTempC != nil {
			t.Errorf("hour = %+v, want nothing", h)
		}
	})
	t.Run("another place", func(t *testing.T) {
		_, err := DecodeForecast(raw, begin, measure.Position{Lat: 33.9, Lon: 151.3})
		wantStatus(t, err, "refused", WrongPlace)
	})
}
