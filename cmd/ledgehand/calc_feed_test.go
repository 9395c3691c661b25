package main

import (
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// feedSample is one of our invented answers.
func feedSample(t testing.TB, name string) string {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("..", "..", "testdata", "feeds", name))
	if err != nil {
		t.Fatal(err)
	}
	return string(raw)
}

// feedRecorded is an answer recorded from a real service by others, which stays outside the repository.
func feedRecorded(t testing.TB, name string) string {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join("..", "..", "..", "shared", "data", "feeds", name))
	if err != nil {
		t.Skipf("recorded by others, not in the repository: %v", err)
	}
	return string(raw)
}

// askFeed asks with the body as the text it came as.
func askFeed(t testing.TB, kind, body, now string, more object) object {
	t.Helper()
	var in asking
	q := object{"op": "feed", "kind": kind, "body": body, "now": now}
	maps.Copy(q, more)
	in.add(t, q)
	return in.answers(t)[0]
}

func place(lat, lon float64) object { return object{"lat": lat, "lon": lon} }

func feedHour(t testing.TB, answer object, i int) object {
	t.Helper()
	hours := listIn(t, answer, "hours")
	if i < 0 {
		i += len(hours)
	}
	h, ok := hours[i].(object)
	if !ok {
		t.Fatalf("hour %d = %v, want an object", i, hours[i])
	}
	return h
}

// expect compares fields of an answer; a nil must be there as null.
func expect(t testing.TB, what string, got, want object) {
	t.Helper()
	for k, w := range want {
		if g, ok := got[k]; !ok || g != w {
			t.Errorf("%s: %q = %v (there: %v), want %v", what, k, g, ok, w)
		}
	}
}

func TestCalcFeedReadsEveryKindOfHours(t *testing.T) {
	for _, tt := range []struct {
		kind, sample, now string
		at                object
		n                 int
		first, last       object
	}{
		{"openmeteo.marine", "marine_sydney_rising_longperiod.constructed.json", "2026-12-05T00:00:00Z", place(-33.9, 151.3), 168,
			object{"t": "2026-12-05T00:00:00Z", "hs_m": 0.68, "dir_deg": 123.0, "period_s": 6.65, "period_kind": "energy", "water_c": 20.3, "sea_level_m": -0.53}, object{"t": "2026-12-11T23:00:00Z"}},
		{"openmeteo.marine", "marine_galicia_16d_trailing_null.constructed.json", "2026-12-05T00:00:00Z", place(43.4, -8.4), 384,
			object{"t": "2026-12-05T00:00:00Z"}, object{"hs_m": nil, "tp_s": nil, "dir_deg": nil, "period_s": nil, "sea_level_m": nil}},
		{"openmeteo.forecast", "forecast_sydney_rising_longperiod.constructed.json", "2026-12-05T00:00:00Z", place(-33.9, 151.3), 168,
			object{"hs_m": nil, "tp_s": nil, "dir_deg": nil, "wind_ms": 3.34, "gust_ms": 5.26, "wind_dir_deg": 40.0, "pressure_hpa": 1016.0, "weather_code": 2.0}, object{"t": "2026-12-11T23:00:00Z"}},
		{"ndbc.txt", "46xxx_big_swell.constructed.txt", "2026-12-06T15:55:00Z", nil, 288,
			object{"t": "2026-12-04T16:00:00Z", "hs_m": nil, "tp_s": nil, "dir_deg": nil, "wind_ms": 5.0},
			object{"t": "2026-12-06T15:50:00Z", "hs_m": 5.2, "tp_s": 16.0, "dir_deg": 312.0, "mean_period_s": 9.9, "swell": nil}},
		{"ndbc.spec", "46xxx_big_swell.constructed.spec", "2026-12-06T15:55:00Z", nil, 48,
			object{"t": "2026-12-04T16:40:00Z", "hs_m": 1.5}, object{"t": "2026-12-06T15:40:00Z", "hs_m": 5.2, "tp_s": 16.0, "dir_deg": 312.0, "mean_period_s": 9.9, "wind_ms": nil}},
		{"metno.location", "locationforecast_complete_lofoten.constructed.json", "2026-12-05T06:10:00Z", place(68.15, 13), 72,
			object{"t": "2026-12-05T06:00:00Z", "hs_m": nil, "wind_ms": 8.6, "gust_ms": 12.5, "wind_dir_deg": 220.0, "air_c": 1.7, "symbol": "rainshowers_night", "thunder": false, "thunder_pct": 2.2, "visibility_m": nil},
			object{"t": "2026-12-10T12:00:00Z", "symbol": nil, "weather_code": nil}},
		{"metno.ocean", "oceanforecast_lofoten.constructed.json", "2026-12-05T06:10:00Z", place(68.15, 13), 120,
			object{"t": "2026-12-05T06:00:00Z", "hs_m": 3.4, "tp_s": nil, "dir_deg": 254.0, "period_s": nil, "water_c": 7.2}, object{"t": "2026-12-10T05:00:00Z", "hs_m": 3.1}},
		{"coops.predictions", "9414290_predictions_hilo_mllw_m_gmt.constructed.json", "2026-12-05T00:00:00Z", place(37.8, -122.5), 12,
			object{"t": "2026-12-05T03:14:00Z", "height_m": 1.71, "kind": "high", "hs_m": nil}, object{"t": "2026-12-07T23:57:00Z", "height_m": -0.54, "kind": "low"}},
	} {
		t.Run(tt.kind+" "+tt.sample, func(t *testing.T) {
			body := feedSample(t, tt.sample)
			got := askFeed(t, tt.kind, body, tt.now, tt.at)
			expect(t, "answer", got, object{"kind": tt.kind, "status": "ok", "why": ""})
			if n := len(listIn(t, got, "hours")); n != tt.n {
				t.Fatalf("%d hours, want %d", n, tt.n)
			}
			expect(t, "first hour", feedHour(t, got, 0), tt.first)
			expect(t, "last hour", feedHour(t, got, -1), tt.last)
			before := time.Time{}
			for i := range tt.n {
				at := instantIn(t, feedHour(t, got, i), "t")
				if !at.After(before) {
					t.Fatalf("hour %d at %v, not after %v", i, at, before)
				}
				before = at
			}
			if body[0] != '{' {
				return
			}
			var in asking // the same body not as text but as JSON
			q := object{"op": "feed", "kind": tt.kind, "body": json.RawMessage(body), "now": tt.now}
			maps.Copy(q, tt.at)
			in.add(t, q)
			again, err := json.Marshal(in.answers(t)[0])
			if err != nil {
				t.Fatal(err)
			}
			if first, err := json.Marshal(got); err != nil || string(first) != string(again) {
				t.Errorf("as JSON = %.200s, want as as text = %.200s", again, first)
			}
		})
	}
}

func TestCalcFeedSaysWhatABuoySaysNow(t *testing.T) {
	got := askFeed(t, "ndbc.txt", feedSample(t, "46xxx_big_swell.constructed.txt"), "2026-12-06T15:55:00Z", nil)
	latest, _ := got["latest"].(object)
	expect(t, "latest", latest, object{"t": "2026-12-06T15:50:00Z", "age_s": 300.0, "hs_m": 5.2, "tp_s": 16.0, "tp_t": "2026-12-06T15:50:00Z", "dir_deg": 312.0, "mean_period_s": 9.9})
	got = askFeed(t, "ndbc.txt", feedSample(t, "46xxx_big_swell.constructed.txt"), "2026-12-06T18:51:00Z", nil)
	expect(t, "three hours later", got, object{"status": "unknown", "why": "too old"})
	if n := len(listIn(t, got, "hours")); n != 0 {
		t.Errorf("%d hours, want none", n)
	}
	spec := askFeed(t, "ndbc.spec", feedSample(t, "46xxx_big_swell.constructed.spec"), "2026-12-06T15:55:00Z", nil)
	swell, _ := feedHour(t, spec, -1)["swell"].(object)
	expect(t, "swell", swell, object{"kind": "swell", "hs_m": 5.0, "tp_s": 16.0, "dir_deg": 315.0, "period_kind": "peak"})
}

// The total is a Tm-1,0 and the parts Tm01: for a JONSWAP spectrum of gamma 3.3 the peak is 1.107 and 1.199 of them (computed
// by other code: testdata/waves/period_ratios.csv).
func TestCalcFeedGivesPeakPeriods(t *testing.T) {
	got := askFeed(t, "openmeteo.marine", feedSample(t, "marine_sydney_rising_longperiod.constructed.json"), "2026-12-05T00:00:00Z", place(-33.9, 151.3))
	var m misfit
	h := feedHour(t, got, 0)
	m.near(t, "total", numberIn(t, h, "tp_s")/numberIn(t, h, "period_s"), 1.107, 0.002)
	parts := listIn(t, h, "partitions")
	for _, p := range parts {
		p, _ := p.(object)
		m.near(t, "part", numberIn(t, p, "tp_s")/numberIn(t, p, "period_s"), 1.199, 0.002)
		expect(t, "part", p, object{"period_kind": "mean"})
	}
	m.log(t, 4, "")
	line := func(columns string) object {
		return askFeed(t, "openmeteo.marine", `{"latitude":-33.875,"longitude":151.29167,"hourly_units":{"time":"unixtime","wave_height":"m","wave_period":"s","wave_direction":"°","wave_peak_period":"s","swell_wave_height":"m","swell_wave_period":"s","swell_wave_direction":"°","wind_wave_height":"m","wind_wave_period":"s","wind_wave_direction":"°"},"hourly":{"time":[1796428800,1796432400],`+columns+`}}`,
			"2026-12-05T00:00:00Z", place(-33.9, 151.3))
	}
	t.Run("a peak period is given as it is", func(t *testing.T) {
		got := line(`"wave_height":[2,2],"wave_period":[9,9],"wave_peak_period":[14,null]`)
		expect(t, "with a peak", feedHour(t, got, 0), object{"tp_s": 14.0, "period_s": 14.0, "period_kind": "peak"})
		expect(t, "without", feedHour(t, got, 1), object{"period_s": 9.0, "period_kind": "energy"})
	})
	t.Run("a height of zero is not known, and so is what goes with it", func(t *testing.T) {
		got := line(`"wave_height":[2,0],"wave_period":[9,9],"wave_direction":[180,180],"swell_wave_height":[2,2],"swell_wave_period":[9,9],"swell_wave_direction":[180,180],"wind_wave_height":[0,1],"wind_wave_period":[0,3],"wind_wave_direction":[0,0]`)
		expect(t, "zero", feedHour(t, got, 1), object{"hs_m": nil, "tp_s": nil, "dir_deg": nil, "period_s": nil, "period_kind": nil})
		if n := len(listIn(t, feedHour(t, got, 1), "partitions")); n != 0 {
			t.Errorf("%d parts of a sea that is not known, want none", n)
		}
		if n := len(listIn(t, feedHour(t, got, 0), "partitions")); n != 1 {
			t.Errorf("%d parts, want the swell: there is no wind sea", n)
		}
	})
	t.Run("an hour missing within", func(t *testing.T) {
		expect(t, "missing", feedHour(t, line(`"wave_height":[null,2],"wave_direction":[180,null]`), 0), object{"hs_m": nil, "tp_s": nil, "dir_deg": nil})
	})
}

func TestCalcFeedRefusesOrDoesNotKnow(t *testing.T) {
	for _, tt := range []struct {
		kind, body, now string
		at              object
		status, why     string
	}{
		{"openmeteo.marine", feedSample(t, "marine_inland_all_null.constructed.json"), "2026-12-05T00:00:00Z", place(50.45, 9.95), "unknown", "all null"},
		{"openmeteo.marine", feedSample(t, "marine_gfs_zero_filled.constructed.json"), "2026-12-05T00:00:00Z", place(28.7, -14), "unknown", "all zero"},
		{"openmeteo.marine", feedSample(t, "marine_oahu_imperial_units.constructed.json"), "2026-12-05T00:00:00Z", place(21.6, -158.1), "refused", "unexpected units"},
		{"openmeteo.marine", feedSample(t, "marine_sydney_iso8601_dst_fixed_offset.constructed.json"), "2026-10-02T14:00:00Z", place(-33.9, 151.3), "refused", "unexpected units"},
		{"openmeteo.marine", feedSample(t, "marine_multi_point.constructed.json"), "2026-12-05T00:00:00Z", place(-33.9, 151.3), "refused", "unexpected shape"},
		{"openmeteo.marine", feedSample(t, "body_200_truncated_stream.constructed.txt"), "2026-12-05T00:00:00Z", place(-33.9, 151.3), "refused", "unreadable"},
		{"openmeteo.marine", `{"latitude":nan,"longitude":nan}`, "2026-12-05T00:00:00Z", place(-33.9, 151.3), "unknown", "not covered"},
		{"openmeteo.marine", feedSample(t, "error_429_minutely.constructed.json"), "2026-12-05T00:00:00Z", place(-33.9, 151.3), "unknown", "limited"},
		{"openmeteo.marine", feedSample(t, "marine_sydney_rising_longperiod.constructed.json"), "2026-12-05T00:00:00Z", place(33.9, 151.3), "refused", "unexpected place"},
		{"openmeteo.marine", feedSample(t, "marine_sydney_rising_longperiod.constructed.json"), "2026-12-12T00:00:00Z", place(-33.9, 151.3), "unknown", "ended"},
		{"openmeteo.forecast", feedSample(t, "marine_sydney_rising_longperiod.constructed.json"), "2026-12-05T00:00:00Z", place(-33.9, 151.3), "refused", "unexpected shape"},
		{"ndbc.txt", feedSample(t, "46xxx_big_swell.constructed.spec"), "2026-12-06T15:55:00Z", nil, "refused", "unexpected shape"},
		{"ndbc.spec", feedSample(t, "46xxx_big_swell.constructed.txt"), "2026-12-06T15:55:00Z", nil, "refused", "unexpected shape"},
		{"ndbc.txt", feedSample(t, "46xxx_big_swell.constructed.txt"), "2026-12-05T15:55:00Z", nil, "refused", "impossible values"}, // from the future
		{"ndbc.txt", "<html>not found</html>", "2026-12-05T15:55:00Z", nil, "refused", "unreadable"},
		{"ndbc.txt", "", "2026-12-05T15:55:00Z", nil, "refused", "unreadable"},
		{"metno.ocean", feedSample(t, "locationforecast_complete_lofoten.constructed.json"), "2026-12-05T06:10:00Z", place(68.15, 13), "unknown", "all null"},
		{"metno.ocean", feedSample(t, "oceanforecast_lofoten.constructed.json"), "2026-12-06T06:10:00Z", place(68.15, 13), "unknown", "too old"},
		{"metno.location", "<html>", "2026-12-05T06:10:00Z", place(68.15, 13), "refused", "unreadable"},
		{"coops.predictions", feedSample(t, "error_no_predictions.constructed.json"), "2026-12-05T00:00:00Z", nil, "unknown", "not covered"},
		{"nws.alerts", feedSample(t, "error_points_marine_404.constructed.json"), "2026-12-05T00:00:00Z", nil, "refused", "unexpected shape"},
		{"nws.alerts", feedSample(t, "alerts_active_central_california.constructed.json"), "2026-12-06T13:16:00Z", nil, "unknown", "too old"},
		{"cap", "<html></html>", "2026-12-05T00:00:00Z", nil, "refused", "unexpected shape"},
		{"cap.index", `<rss version="2.0"><channel><title>x</title><lastBuildDate>Sat, 05 Dec 2026 08:00:00 +0000</lastBuildDate></channel></rss>`, "2026-12-05T09:00:00Z", nil, "unknown", "all null"},
	} {
		got := askFeed(t, tt.kind, tt.body, tt.now, tt.at)
		expect(t, tt.kind+" "+tt.why, got, object{"status": tt.status, "why": tt.why})
		if d, _ := got["detail"].(string); d == "" {
			t.Errorf("%s %s: no detail in %v", tt.kind, tt.why, got)
		}
		if _, warns := got["warnings"]; warns {
			expect(t, tt.kind, got, object{"state": "unknown"})
		} else if n := len(listIn(t, got, "hours")); n != 0 {
			t.Errorf("%s %s: %d hours, want none", tt.kind, tt.why, n)
		}
	}
}

func TestCalcFeedWarns(t *testing.T) {
	const now = "2026-12-05T13:30:00Z"
	body := feedSample(t, "alerts_active_central_california.constructed.json")
	of := func(t *testing.T, answer object, event string) object {
		t.Helper()
		for _, w := range listIn(t, answer, "warnings") {
			if w, ok := w.(object); ok && w["event"] == event {
				return w
			}
		}
		t.Fatalf("no %q in %v", event, answer)
		return nil
	}
	got := askFeed(t, "nws.alerts", body, now, place(34.9, -120.75))
	expect(t, "answer", got, object{"status": "ok", "state": "in force"})
	if _, ok := got["hours"]; ok {
		t.Errorf("answer has hours: %v", got)
	}
	expect(t, "surf", of(t, got, "High Surf Advisory"), object{"state": "to come", "concern": "red", "expires": "2026-12-06T03:30:00Z", "onset": "2026-12-06T00:00:00Z", "ends": "2026-12-08T06:00:00Z", "covers": nil})
	expect(t, "marine", of(t, got, "Special Marine Warning"), object{"state": "in force", "ends": nil, "expires": "2026-12-05T14:00:00Z", "covers": true})
	t.Run("elsewhere", func(t *testing.T) {
		expect(t, "marine", of(t, askFeed(t, "nws.alerts", body, now, place(36, -121.5)), "Special Marine Warning"), object{"covers": false})
	})
	t.Run("with zones", func(t *testing.T) {
		got := askFeed(t, "nws.alerts", body, now, object{"lat": 36, "lon": -121.5, "zones": []string{"CAZ340"}})
		expect(t, "surf", of(t, got, "High Surf Advisory"), object{"covers": true})
	})
	t.Run("no position, nothing placed", func(t *testing.T) {
		expect(t, "marine", of(t, askFeed(t, "nws.alerts", body, now, nil), "Special Marine Warning"), object{"covers": nil})
	})
	t.Run("none", func(t *testing.T) {
		got := askFeed(t, "nws.alerts", feedSample(t, "alerts_active_none.constructed.json"), "2026-12-05T14:00:00Z", place(36, -121.5))
		expect(t, "answer", got, object{"status": "ok", "state": "none"})
		if n := len(listIn(t, got, "warnings")); n != 0 {
			t.Errorf("%d warnings, want none", n)
		}
	})
	t.Run("an old list leaves it unknown and tells what it holds", func(t *testing.T) {
		got := askFeed(t, "nws.alerts", body, "2026-12-06T13:16:00Z", place(36, -121.5))
		expect(t, "answer", got, object{"status": "unknown", "why": "too old", "state": "unknown"})
		expect(t, "surf", of(t, got, "High Surf Advisory"), object{"state": "in force"})
	})
	t.Run("a CAP message", func(t *testing.T) {
		message := `<alert xmlns="urn:oasis:names:tc:emergency:cap:1.2"><identifier>EX.1</identifier><sender>a@feeds.example</sender><sent>2026-12-05T08:00:00+00:00</sent><status>Actual</status><msgType>Alert</msgType><scope>Public</scope><info><category>Met</category><event>Hazardous Surf Warning</event><urgency>Expected</urgency><severity>Severe</severity><certainty>Likely</certainty><onset>2026-12-06T00:00:00+11:00</onset><expires>2026-12-06T18:00:00+11:00</expires><area><areaDesc>Coast</areaDesc><polygon>-34,151 -34,152 -33,152 -33,151 -34,151</polygon></area></info></alert>`
		got := askFeed(t, "cap", message, "2026-12-05T14:00:00Z", place(-33.5, 151.5))
		expect(t, "answer", got, object{"status": "ok", "state": "in force"})
		expect(t, "surf", of(t, got, "Hazardous Surf Warning"), object{"state": "in force", "onset": "2026-12-05T13:00:00Z", "ends": "2026-12-06T07:00:00Z", "expires": "2026-12-06T07:00:00Z", "covers": true, "concern": "red"})
		// One message elsewhere, or over, does not say that there is none.
		expect(t, "elsewhere", askFeed(t, "cap", message, "2026-12-05T14:00:00Z", place(-43.5, 151.5)), object{"status": "ok", "state": "unknown"})
		expect(t, "over", askFeed(t, "cap", message, "2026-12-06T14:00:00Z", place(-33.5, 151.5)), object{"status": "ok", "state": "unknown"})
	})
}

func TestCalcFeedBadQuestions(t *testing.T) {
	sea := func(more string) string {
		return `{"op":"feed","kind":"openmeteo.marine","body":{},"now":"2026-12-05T00:00:00Z"` + more + `}`
	}
	for _, line := range []string{
		`{"op":"feed"}`, `{"op":"feed","kind":"openmeteo.marine"}`,
		`{"op":"feed","kind":"openmeteo.marine","body":{},"lat":1,"lon":2}`, `{"op":"feed","kind":"openmeteo.marine","now":"2026-12-05T00:00:00Z","lat":1,"lon":2}`,
		`{"op":"feed","body":{},"now":"2026-12-05T00:00:00Z","lat":1,"lon":2}`,
		`{"op":"feed","kind":"openmeteo.marine","body":null,"now":"2026-12-05T00:00:00Z","lat":1,"lon":2}`,
		`{"op":"feed","kind":"openmeteo.marine","body":{},"now":"yesterday","lat":1,"lon":2}`,
		`{"op":"feed","kind":"wave.buoy","body":{},"now":"2026-12-05T00:00:00Z","lat":1,"lon":2}`,
		`{"op":"feed","kind":7,"body":{},"now":"2026-12-05T00:00:00Z","lat":1,"lon":2}`,
		`{"op":"feed","kind":"ndbc.txt","body":"x","now":"2026-12-05T00:00:00Z","lat":91,"lon":2}`,
		sea(``), sea(`,"lat":1`), sea(`,"lon":1`), sea(`,"lat":null,"lon":null`), sea(`,"lat":91,"lon":0`), sea(`,"lat":0,"lon":181`), sea(`,"lat":"1","lon":2`),
	} {
		got := ask1(t, line)
		if e, _ := got["error"].(string); e == "" || len(got) != 1 {
			t.Errorf("%s = %v, want an error alone", line, got)
		}
	}
	t.Run("a body that is no document is refused, not an error", func(t *testing.T) {
		for _, body := range []string{`17`, `true`, `""`, `"\u0000"`, `[]`, `{}`, `[[]]`} {
			got := ask1(t, `{"op":"feed","kind":"openmeteo.marine","body":`+body+`,"now":"2026-12-05T00:00:00Z","lat":1,"lon":2}`)
			expect(t, body, got, object{"status": "refused"})
		}
	})
}

// Recorded from NDBC by others (Unidata/siphon, BSD-3-Clause; CDJellen/ndbc-api, MIT; data public domain).
func TestCalcFeedReadsRealBuoys(t *testing.T) {
	got := askFeed(t, "ndbc.txt", feedRecorded(t, "ndbc/41002_20180801.txt"), "2018-08-01T15:12:00Z", place(31.76, -74.84))
	latest, _ := got["latest"].(object)
	expect(t, "latest", latest, object{"t": "2018-08-01T14:50:00Z", "age_s": 1320.0, "hs_m": 1.2, "tp_s": 6.0, "dir_deg": 209.0, "mean_period_s": 4.5})
	expect(t, "the newest row, wind alone", feedHour(t, got, -1), object{"t": "2018-08-01T15:10:00Z", "hs_m": nil, "tp_s": nil, "dir_deg": nil, "wind_ms": 6.0})
	got = askFeed(t, "ndbc.spec", feedRecorded(t, "ndbc/44013_20220605.spec"), "2022-06-05T13:12:00Z", nil)
	expect(t, "44013", feedHour(t, got, -1), object{"t": "2022-06-05T12:40:00Z", "hs_m": 0.5, "tp_s": 6.7, "dir_deg": 100.0})
	got = askFeed(t, "ndbc.txt", feedRecorded(t, "ndbc/tplm2_hist_2020_nine_filled.txt"), "2020-01-03T09:12:00Z", nil)
	expect(t, "nines", got, object{"status": "unknown", "why": "all null"})
	got = askFeed(t, "ndbc.latest", feedRecorded(t, "ndbc/latest_obs_20180730.txt"), "2018-07-30T21:20:00Z", place(38.9, -123.8))
	station, _ := got["station"].(object)
	expect(t, "nearest", station, object{"id": "46214", "distance_km": 109.431, "bearing_deg": 164.8})
}

func BenchmarkCalcFeedMarineWeek(b *testing.B) {
	line, err := json.Marshal(object{"op": "feed", "kind": "openmeteo.marine", "body": feedSample(b, "marine_sydney_rising_longperiod.constructed.json"), "now": "2026-12-05T00:00:00Z", "lat": -33.9, "lon": 151.3})
	if err != nil {
		b.Fatal(err)
	}
	ops := operations()
	b.SetBytes(int64(len(line)))
	b.ReportAllocs()
	for b.Loop() {
		if answer := calcLine(ops, line); strings.HasPrefix(string(answer[:9]), `{"error"`) {
			b.Fatalf("%s", answer)
		}
	}
}
