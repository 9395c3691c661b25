package feed

import (
	"bytes"
	"strings"
	"testing"
	"time"
)

func predictions(rows ...string) []byte {
	return []byte(`{"predictions":[` + strings.Join(rows, ",") + `]}`)
}

func prediction(clock, v string) string { return `{"t":"2026-12-05 ` + clock + `","v":"` + v + `"}` }

func water(clock, v, kind string) string {
	return `{"t":"2026-12-05 ` + clock + `","v":"` + v + `","type":"` + kind + `"}`
}

func TestDecodeTidePredictions(t *testing.T) {
	p, err := DecodeTidePredictions(sample(t, "9414290_predictions_hilo_mllw_m_gmt.constructed.json"), begin)
	if err != nil {
		t.Fatalf("DecodeTidePredictions: %v", err)
	}
	if len(p.List) != 12 || !p.HiLo {
		t.Fatalf("%d predictions, high and low waters: %v, want 12, true", len(p.List), p.HiLo)
	}
	if x := p.List[0]; !x.At.Equal(ts("2026-12-05T03:14:00Z")) || *x.Height != 1.71 || x.Kind != "high" {
		t.Errorf("first = %v %v %q, want 03:14 1.71 high", x.At, *x.Height, x.Kind)
	}
	if x := p.List[11]; !x.At.Equal(ts("2026-12-07T23:57:00Z")) || *x.Height != -0.54 || x.Kind != "low" {
		t.Errorf("last = %v %v %q, want 23:57 -0.54 low", x.At, *x.Height, x.Kind)
	}
	if p.Datum != "" {
		t.Errorf("datum = %q: the answer does not say, nor may we", p.Datum)
	}
	t.Run("a series, with a gap, with what is missing", func(t *testing.T) {
		p, err := DecodeTidePredictions(predictions(prediction("00:00", "0.512"), prediction("01:00", ""), `{"t":"2026-12-05 02:00","v":null}`, `{"t":"2026-12-05 03:00"}`, prediction("06:00", "-0.1")), begin)
		if err != nil {
			t.Fatalf("DecodeTidePredictions: %v", err)
		}
		if p.HiLo || len(p.List) != 5 || *p.List[0].Height != 0.512 || p.List[1].Height != nil || p.List[2].Height != nil || p.List[3].Height != nil || *p.List[4].Height != -0.1 || p.List[0].Kind != "" {
			t.Errorf("predictions = %+v", p)
		}
	})
	t.Run("a height of zero is one, the datum lies there", func(t *testing.T) {
		p, err := DecodeTidePredictions(predictions(prediction("00:00", "0.5"), prediction("01:00", "0.000")), begin)
		if err != nil || *p.List[1].Height != 0 {
			t.Errorf("DecodeTidePredictions = %+v, %v, want 0", p, err)
		}
	})
	t.Run("a datum that is said is told", func(t *testing.T) {
		p, err := DecodeTidePredictions([]byte(`{"datum":"MLLW","units":"metric","predictions":[`+prediction("03:00", "1.2")+`]}`), begin)
		if err != nil || p.Datum != "MLLW" {
			t.Errorf("DecodeTidePredictions = %+v, %v, want MLLW", p, err)
		}
	})
	t.Run("a low water missing between two high ones", func(t *testing.T) {
		p, err := DecodeTidePredictions(predictions(water("01:00", "1.5", "H"), water("07:00", "", "L"), water("13:00", "1.2", "HH")), begin)
		if err != nil || p.List[1].Height != nil || p.List[2].Kind != "high" {
			t.Errorf("DecodeTidePredictions = %+v, %v", p, err)
		}
	})
}

func TestDecodeTidePredictionsRefuses(t *testing.T) {
	good := sample(t, "9414290_predictions_hilo_mllw_m_gmt.constructed.json")
	swap := func(old, new string) []byte {
		if !bytes.Contains(good, []byte(old)) {
			t.Fatalf("the sample has no %q", old)
		}
		return bytes.Replace(good, []byte(old), []byte(new), 1)
	}
	for _, tc := range []struct {
		name   string
		raw    []byte
		status string
		why    Why
	}{
		{"nothing", nil, "refused", Unreadable},
		{"a page of markup", []byte("<html>502</html>"), "refused", Unreadable},
		{"cut off", good[:len(good)/2], "refused", Unreadable},
		{"two documents", append(bytes.Clone(good), good...), "refused", Unreadable},
		{"an empty object", []byte(`{}`), "refused", WrongShape},
		{"predictions that are null", []byte(`{"predictions":null}`), "refused", WrongShape},
		{"measured levels", []byte(`{"metadata":{"id":"9414290"},"data":[{"t":"2026-12-05 03:00","v":"1.2","s":"0.0","f":"0,0,0,0","q":"v"}]}`), "refused", WrongShape},
		{"harmonic constants", []byte(`{"units":"feet","HarmonicConstituents":[{"number":1,"name":"M2"}]}`), "refused", WrongShape},
		{"feet", []byte(`{"units":"feet","predictions":[` + prediction("03:00", "1.2") + `]}`), "refused", WrongUnits},
		{"no predictions", predictions(), "unknown", AllNull},
		{"none with a height", predictions(prediction("03:00", ""), prediction("04:00", "")), "unknown", AllNull},
		{"all zero", predictions(prediction("03:00", "0.000"), prediction("04:00", "-0.0")), "unknown", AllZero},
		{"no tide predictions at this station", sample(t, "error_no_predictions.constructed.json"), "unknown", NotCovered},
		{"another complaint", []byte(`{"error":{"message":"Wrong Date Format"}}`), "unknown", BadRequest},
		{"an empty complaint", []byte(`{"error":{}}`), "unknown", BadRequest},
		{"numbers that are no text", swap(`"v": "1.710"`, `"v": 1.710`), "refused", Unreadable},
		{"a height in words", swap(`"v": "1.710"`, `"v": "high"`), "refused", WrongShape},
		{"NaN", swap(`"v": "1.710"`, `"v": "NaN"`), "refused", WrongShape},
		{"MM", swap(`"v": "1.710"`, `"v": "MM"`), "refused", WrongShape},
		{"a height no tide has", swap(`"v": "1.710"`, `"v": "171.0"`), "refused", WrongValue},
		{"a time with seconds", swap(`03:14"`, `03:14:00"`), "refused", WrongShape},
		{"a time with a zone", swap(`"2026-12-05 03:14"`, `"2026-12-05T03:14:00Z"`), "refused", WrongShape},
		{"no time", swap(`"t": "2026-12-05 03:14"`, `"x": ""`), "refused", WrongShape},
		{"a time of long ago", swap(`2026-12-05 03:14`, `1026-12-05 03:14`), "refused", WrongValue},
		{"a time twice, as local clocks show when summer time ends", predictions(prediction("01:00", "1.2"), prediction("01:00", "1.3")), "refused", WrongShape},
		{"time that goes back", predictions(prediction("01:48", "1.2"), prediction("01:00", "1.3")), "refused", WrongShape},
		{"an unknown kind of water", swap(`"type": "L"`, `"type": "X"`), "refused", WrongShape},
		{"a kind in a part of them", swap(`, "type": "L"`, ``), "refused", WrongShape},
		{"a high water below the low one", swap(`"v": "0.890"`, `"v": "1.890"`), "refused", WrongValue},
		{"as high as low", swap(`"v": "0.890"`, `"v": "1.710"`), "refused", WrongValue},
	} {
		t.Run(tc.name, func(t *testing.T) {
			p, err := DecodeTidePredictions(tc.raw, begin)
			if err == nil || p.List != nil {
				t.Fatalf("DecodeTidePredictions = %+v, %v, want an error", p, err)
			}
			wantStatus(t, err, tc.status, tc.why)
		})
	}
	t.Run("none left", func(t *testing.T) {
		last := ts("2026-12-07T23:57:00Z")
		if _, err := DecodeTidePredictions(good, last.Add(-time.Minute)); err != nil {
			t.Errorf("before the last = %v, want nil", err)
		}
		_, err := DecodeTidePredictions(good, last)
		wantStatus(t, err, "unknown", Ended)
	})
}

// Recorded from NOAA CO-OPS by others (GClunies/noaa_coops, Apache-2.0; data public domain): answers to other questions.
func TestRealTideAnswersThatAreNoPredictions(t *testing.T) {
	for _, name := range []string{"9447130_water_level_mllw_m_20150101.json", "9447130_harcon_feet.json", "9447130_datums_feet.json"} {
		_, err := DecodeTidePredictions(recordedByOthers(t, "coops/"+name), ts("2015-01-01T00:00:00Z"))
		wantStatus(t, err, "refused", WrongShape)
	}
}
