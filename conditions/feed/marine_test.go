package feed

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/measure"
)

func TestDecodeMarine(t *testing.T) {
	s, err := DecodeMarine(sample(t, "marine_sydney_rising_longperiod.constructed.json"), begin, sydney)
	if err != nil {
		t.Fatalf("DecodeMarine: %v", err)
	}
	if len(s.Hours) != 168 || !s.Hours[0].At.Equal(begin) || !s.Hours[167].At.Equal(begin.Add(167*time.Hour)) {
		t.Fatalf("%d hours from %v to %v, want 168 from %v", len(s.Hours), s.Hours[0].At, s.Hours[len(s.Hours)-1].At, begin)
	}
	h := s.Hours[0]
	if h.At.Location() != time.UTC {
		t.Errorf("hour in %v, want UTC", h.At.Location())
	}
	if *h.Hs != 0.68 || *h.Period != 6.65 || *h.From != 123 || *h.WaterTempC != 20.3 || *h.SeaLevel != -0.53 {
		t.Errorf("first hour = %v m %v s from %v, %v °C, level %v, want 0.68 6.65 123 20.3 -0.53", *h.Hs, *h.Period, *h.From, *h.WaterTempC, *h.SeaLevel)
	}
	t.Run("the default model's periods carry their kinds", func(t *testing.T) {
		if h.PeriodKind != conditions.PeriodEnergy {
			t.Errorf("total kind = %q, want %q", h.PeriodKind, conditions.PeriodEnergy)
		}
		want := []conditions.Partition{
			{Kind: "swell", Hs: 0.62, Period: 8.5, PeriodKind: conditions.PeriodMean01, From: 135},
			{Kind: "swell2", Hs: 0.3, Period: 6.1, PeriodKind: conditions.PeriodMean01, From: 60},
			{Kind: "wind", Hs: 0.02, Period: 1.8, PeriodKind: conditions.PeriodMean01, From: 40},
		}
		if len(h.Partitions) != 3 || [3]conditions.Partition(h.Partitions) != [3]conditions.Partition(want) {
			t.Errorf("partitions = %+v, want %+v", h.Partitions, want)
		}
	})
	t.Run("the source says who, when and how far", func(t *testing.T) {
		src := s.Source
		if src.Name != "Open-Meteo, MFWAM" || src.Licence != "CC BY 4.0" || src.Model != "best_match" || src.Recorded {
			t.Errorf("source = %+v", src)
		}
		if !src.FetchedAt.Equal(begin) || !src.RunAt.IsZero() || src.Point != (measure.Position{Lat: -33.875, Lon: 151.29167}) {
			t.Errorf("source = %+v, want fetched at %v, no run time, the cell of the answer", src, begin)
		}
		// 0.025 degrees of latitude and 0.00833 of longitude: 2.780 and 0.769 km.
		if want := math.Hypot(2.780, 0.769); math.Abs(src.Km-want) > 0.01 {
			t.Errorf("Km = %.3f, want %.3f", src.Km, want)
		}
	})
}

func TestDecodeMarineTakesTheLargerOfSeveralModels(t *testing.T) {
	s, err := DecodeMarine(sample(t, "marine_sydney_three_models.constructed.json"), begin, sydney)
	if err != nil {
		t.Fatalf("DecodeMarine: %v", err)
	}
	h := s.Hours[0] // 0.68, 0.76 and 0.63 m
	if *h.Hs != 0.76 || *h.From != 123 || h.PeriodKind != conditions.PeriodEnergy {
		t.Errorf("first hour = %v m %s, want 0.76 of ecmwf_wam025", *h.Hs, h.PeriodKind)
	}
	if want := "larger of marine_best_match, ecmwf_wam025, ncep_gfswave025"; s.Source.Model != want {
		t.Errorf("model = %q, want %q", s.Source.Model, want)
	}
	if want := "Open-Meteo, MFWAM, ECMWF WAM, NOAA GFS-Wave"; s.Source.Name != want {
		t.Errorf("name = %q, want %q", s.Source.Name, want)
	}
}

// line builds an answer of one or more hours off Sydney from columns given as name, unit, values.
func line(columns ...[3]string) []byte {
	var units, values []string
	n := 1
	for _, c := range columns {
		n = max(n, strings.Count(c[2], ",")+1)
		units = append(units, `"`+c[0]+`":"`+c[1]+`"`)
		values = append(values, `"`+c[0]+`":[`+c[2]+`]`)
	}
	times := []string{"1796428800", "1796432400", "1796436000", "1796439600"}[:n]
	return []byte(`{"latitude":-33.875,"longitude":151.29167,"hourly_units":{"time":"unixtime",` + strings.Join(units, ",") +
		`},"hourly":{"time":[` + strings.Join(times, ",") + `],` + strings.Join(values, ",") + `}}`)
}

func TestDecodeMarineHours(t *testing.T) {
	total := [][3]string{{"wave_height", "m", "2,2,null,0"}, {"wave_period", "s", "9,9,null,0"}, {"wave_direction", "°", "360,90,null,0"}}
	hours := func(t *testing.T, more ...[3]string) []conditions.SeaHour {
		t.Helper()
		s, err := DecodeMarine(line(append(append([][3]string{}, total...), more...)...), begin, sydney)
		if err != nil {
			t.Fatalf("DecodeMarine: %v", err)
		}
		return s.Hours
	}
	t.Run("null is unknown and never zero", func(t *testing.T) {
		h := hours(t)[2]
		if h.Hs != nil || h.Period != nil || h.From != nil || len(h.Partitions) != 0 || h.WaterTempC != nil || h.SeaLevel != nil {
			t.Errorf("hour = %+v, want nothing", h)
		}
	})
	t.Run("a flat hour among others is zero with no period", func(t *testing.T) {
		h := hours(t)[3]
		if h.Hs == nil || *h.Hs != 0 || h.Period != nil {
			t.Errorf("hour = %+v, want zero height, no period", h)
		}
	})
	t.Run("360 is north", func(t *testing.T) {
		if got := *hours(t)[0].From; got != 0 {
			t.Errorf("From = %v, want 0", got)
		}
	})
	t.Run("a peak period is preferred where there is one", func(t *testing.T) {
		h := hours(t, [3]string{"wave_peak_period", "s", "14,null,null,0"})
		if *h[0].Period != 14 || h[0].PeriodKind != conditions.PeriodPeak || *h[1].Period != 9 || h[1].PeriodKind != conditions.PeriodEnergy {
			t.Errorf("hours = %v %s, %v %s, want 14 peak, 9 energy", *h[0].Period, h[0].PeriodKind, *h[1].Period, h[1].PeriodKind)
		}
	})
	t.Run("partitions are all or none", func(t *testing.T) {
		h := hours(t,
			[3]string{"swell_wave_height", "m", "1.8,1.8,1.8,0"}, [3]string{"swell_wave_period", "s", "10,10,null,0"}, [3]string{"swell_wave_direction", "°", "180,180,180,0"},
			[3]string{"wind_wave_height", "m", "0.5,null,0.5,0"}, [3]string{"wind_wave_period", "s", "4,4,4,0"}, [3]string{"wind_wave_direction", "°", "20,20,20,0"})
		if got := len(h[0].Partitions); got != 2 {
			t.Errorf("complete hour has %d partitions, want 2", got)
		}
		if got := h[1].Partitions; len(got) != 0 {
			t.Errorf("hour without wind sea has %+v, want none", got)
		}
		if got := h[2].Partitions; len(got) != 0 {
			t.Errorf("hour without swell period has %+v, want none", got)
		}
		if got := h[3].Partitions; len(got) != 2 || got[0].Hs != 0 || got[1].Hs != 0 {
			t.Errorf("flat hour has %+v, want two of zero height", got)
		}
	})
	t.Run("a model that is all zero does not count beside one that is not", func(t *testing.T) {
		s, err := DecodeMarine(line([3]string{"wave_height_ewam", "m", "1.1"}, [3]string{"wave_height_ncep_gfswave016", "m", "0"}), begin, sydney)
		if err != nil || *s.Hours[0].Hs != 1.1 || s.Source.Model != "ewam" {
			t.Errorf("DecodeMarine = %+v, %v, want 1.1 m of ewam alone", s, err)
		}
	})
	t.Run("GFS-Wave gives peaks", func(t *testing.T) {
		s, err := DecodeMarine(line([3]string{"wave_height_ncep_gfswave016", "m", "1"}, [3]string{"wave_period_ncep_gfswave016", "s", "12"}), begin, sydney)
		if err != nil || s.Hours[0].PeriodKind != conditions.PeriodPeak {
			t.Errorf("DecodeMarine = %+v, %v, want a peak period", s, err)
		}
	})
}

func TestDecodeMarineKeepsTheTailUnknown(t *testing.T) {
	s, err := DecodeMarine(sample(t, "marine_galicia_16d_trailing_null.constructed.json"), begin, galicia)
	if err != nil {
		t.Fatalf("DecodeMarine: %v", err)
	}
	waves, level := 0, 0
	for i, h := range s.Hours {
		if h.Hs != nil {
			waves = i + 1
		}
		if h.SeaLevel != nil {
			level = i + 1
		}
	}
	if len(s.Hours) != 384 || waves != 240 && waves != 241 || level >= waves || level < 200 {
		t.Errorf("%d hours, waves to %d, level to %d, want 384, day 10, day 9", len(s.Hours), waves, level)
	}
	t.Run("and has no data once the waves have ended", func(t *testing.T) {
		_, err := DecodeMarine(sample(t, "marine_galicia_16d_trailing_null.constructed.json"), begin.Add(12*24*time.Hour), galicia)
		wantStatus(t, err, "unknown", Ended)
	})
}

func wantStatus(t *testing.T, err error, status string, why Why) {
	t.Helper()
	if s, w := Status(err); s != status || w != why {
		t.Errorf("Status(%v) = %q, %q, want %q, %q", err, s, w, status, why)
	}
}

func TestDecodeMarineRefuses(t *testing.T) {
	good := sample(t, "marine_sydney_rising_longperiod.constructed.json")
	swap := func(old, new string) []byte {
		if !bytes.Contains(good, []byte(old)) {
			t.Fatalf("the sample has no %q", old)
		}
		return bytes.Replace(good, []byte(old), []byte(new), 1)
	}
	h := func(v string) []byte { return line([3]string{"wave_height", "m", v}) }
	for _, tc := range []struct {
		name   string
		raw    []byte
		asked  measure.Position
		status string
		why    Why
	}{
		{"inland, all null", sample(t, "marine_inland_all_null.constructed.json"), inland, "unknown", AllNull},
		{"a zero-filled land cell", sample(t, "marine_gfs_zero_filled.constructed.json"), canary, "unknown", AllZero},
		{"zeros and nulls", h("0,null,0.0"), sydney, "unknown", AllZero},
		{"feet", sample(t, "marine_oahu_imperial_units.constructed.json"), oahu, "refused", WrongUnits},
		{"local times", sample(t, "marine_sydney_iso8601_dst_fixed_offset.constructed.json"), sydney, "refused", WrongUnits},
		{"several points", sample(t, "marine_multi_point.constructed.json"), sydney, "refused", WrongShape},
		{"cut off with a sentence glued on", sample(t, "body_200_truncated_stream.constructed.txt"), sydney, "refused", Unreadable},
		{"cut off", good[:len(good)/2], sydney, "refused", Unreadable},
		{"two documents", append(bytes.Clone(good), good...), sydney, "refused", Unreadable},
		{"a page of markup", []byte("\n<!DOCTYPE html><html>429</html>"), sydney, "refused", Unreadable},
		{"nothing", nil, sydney, "refused", Unreadable},
		{"a place that is not a number", []byte(`{"latitude":nan,"longitude":nan,"generationtime_ms":0.01}`), sydney, "unknown", NotCovered},
		{"not a number among the heights", h("1,NaN"), sydney, "refused", Unreadable},
		{"another place", good, galicia, "refused", WrongPlace},
		{"no place", swap(`"latitude":-33.875,`, ``), sydney, "refused", WrongShape},
		{"an impossible place", swap(`"latitude":-33.875,`, `"latitude":-133.875,`), sydney, "refused", WrongValue},
		{"no heights", []byte(strings.ReplaceAll(string(good), `"wave_height"`, `"wave_hight"`)), sydney, "refused", WrongShape},
		{"no unit", swap(`"wave_height":"m",`, ``), sydney, "refused", WrongUnits},
		{"values of undefined unit", swap(`"wave_height":"m"`, `"wave_height":"undefined"`), sydney, "refused", WrongUnits},
		{"a column too short", swap(`"wave_height":[0.68,`, `"wave_height":[`), sydney, "refused", WrongShape},
		{"a column too long", swap(`"wave_height":[0.68,`, `"wave_height":[0.68,0.68,`), sydney, "refused", WrongShape},
		{"a column of words", swap(`"wave_height":[0.68,`, `"wave_height":["0.68",`), sydney, "refused", WrongShape},
		{"a nested column", swap(`"wave_height":[0.68,`, `"wave_height":[[0.68],`), sydney, "refused", WrongShape},
		{"a column that is null", swap(`"wave_height":[`, `"wave_height":null,"x":[`), sydney, "refused", WrongShape},
		{"a number beyond all numbers", h("1e999"), sydney, "refused", WrongShape},
		{"a negative height", h("-0.1"), sydney, "refused", WrongValue},
		{"times among the heights", h("1796428800"), sydney, "refused", WrongValue},
		{"a direction of 361", line([3]string{"wave_height", "m", "1"}, [3]string{"wave_direction", "°", "361"}), sydney, "refused", WrongValue},
		{"time that stands still", swap(`[1796428800,1796432400`, `[1796428800,1796428800`), sydney, "refused", WrongShape},
		{"time that goes back", swap(`[1796428800,1796432400`, `[1796432400,1796428800`), sydney, "refused", WrongShape},
		{"time in thousandths", swap(`[1796428800,`, `[1796428800000,`), sydney, "refused", WrongValue},
		{"time with a null", swap(`[1796428800,`, `[null,`), sydney, "refused", WrongValue},
		{"time with a fraction", swap(`[1796428800,`, `[1796428800.5,`), sydney, "refused", WrongShape},
		{"no time", []byte(`{"latitude":-33.875,"longitude":151.29,"hourly_units":{"time":"unixtime"},"hourly":{}}`), sydney, "refused", WrongShape},
		{"no hours", []byte(`{"latitude":-33.875,"longitude":151.29,"hourly_units":{"time":"unixtime"},"hourly":{"time":[]}}`), sydney, "unknown", AllNull},
		{"a model whose periods we do not know", line([3]string{"wave_height_newmodel", "m", "1"}), sydney, "refused", WrongShape},
		{"an error for a variable", sample(t, "error_400_bad_variable.constructed.json"), sydney, "unknown", BadRequest},
		{"an error for the place", sample(t, "error_400_latitude.constructed.json"), sydney, "unknown", BadRequest},
		{"an error for too many requests", sample(t, "error_429_minutely.constructed.json"), sydney, "unknown", Limited},
		{"an error for overload", sample(t, "error_503_overloaded.constructed.json"), sydney, "unknown", Down},
		{"an error for no data", []byte(`{"reason":"No data is available for this location","error":true}`), sydney, "unknown", NotCovered},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s, err := DecodeMarine(tc.raw, begin, tc.asked)
			if err == nil || s.Hours != nil {
				t.Fatalf("DecodeMarine = %d hours, %v, want an error and no hours", len(s.Hours), err)
			}
			wantStatus(t, err, tc.status, tc.why)
		})
	}
	t.Run("a question about no place", func(t *testing.T) {
		if _, err := DecodeMarine(good, begin, measure.Position{Lat: math.NaN()}); err == nil {
			t.Error("DecodeMarine = nil error, want one")
		}
	})
	t.Run("the errors are of their types", func(t *testing.T) {
		_, err := DecodeMarine(h("0"), begin, sydney)
		var none *NoData
		if !errors.As(err, &none) {
			t.Errorf("all zero gives %T, want *NoData", err)
		}
		_, err = DecodeMarine(good[:100], begin, sydney)
		var bad *BadBody
		if !errors.As(err, &bad) {
			t.Errorf("cut off gives %T, want *BadBody", err)
		}
	})
}

// Payloads recorded from the real service by others (frenck/python-open-meteo, MIT; data CC BY 4.0).
func TestDecodeMarineOfRealAnswers(t *testing.T) {
	netherlands := measure.Position{Lat: 53.04, Lon: 3.96}
	real := recordedByOthers(t, "openmeteo/marine_north_sea_20261003.json")
	t.Run("local times are refused", func(t *testing.T) {
		_, err := DecodeMarine(real, ts("2026-10-03T00:00:00Z"), netherlands)
		wantStatus(t, err, "refused", WrongUnits)
	})
	t.Run("with whole seconds it decodes, EWAM's peaks and undefined units included", func(t *testing.T) {
		text := strings.ReplaceAll(string(real), `"iso8601"`, `"unixtime"`)
		i := strings.Index(text, `"2026-10-03T00:00"`)
		if i < 0 {
			t.Fatal("the recording has other times than it had")
		}
		for k, label := range []string{"2026-10-03T00:00", "2026-10-03T01:00", "2026-10-03T02:00"} {
			stamp := []string{"1790978400", "1790982000", "1790985600"}[k] // 22:00, 23:00, 00:00 UTC: the recording is of GMT+2
			text = strings.ReplaceAll(text, `"`+label+`"`, stamp)
		}
		s, err := DecodeMarine([]byte(text), ts("2026-10-02T22:00:00Z"), netherlands)
		if err != nil {
			t.Fatalf("DecodeMarine: %v", err)
		}
		h := s.Hours[0]
		if *h.Hs != 0.76 || *h.Period != 3.8 || h.PeriodKind != conditions.PeriodEnergy || *h.WaterTempC != 18.4 {
			t.Errorf("hour = %v m %v s %s, want 0.76 3.8 energy", *h.Hs, *h.Period, h.PeriodKind)
		}
		if p := h.Partitions[0]; p.Period != 4.3 || p.PeriodKind != conditions.PeriodPeak {
			t.Errorf("swell = %+v, want its peak period of 4.3 s", p)
		}
	})
	t.Run("not covered", func(t *testing.T) {
		_, err := DecodeMarine(recordedByOthers(t, "openmeteo/body_200_not_covered_nan.txt"), begin, netherlands)
		wantStatus(t, err, "unknown", NotCovered)
	})
}

func TestModelRun(t *testing.T) {
	r, err := DecodeRun(sample(t, "model_meta_mfwave.constructed.json"))
	if err != nil {
		t.Fatalf("DecodeRun: %v", err)
	}
	for _, tc := range []struct{ name, now, want string }{
		{"ten minutes after it is out it is the newest", "2026-12-05T08:39:00Z", "2026-12-05T00:00:00Z"},
		{"before that the one before may have answered", "2026-12-05T08:38:00Z", "2026-12-04T12:00:00Z"},
	} {
		if got := r.At(ts(tc.now)); !got.Equal(ts(tc.want)) {
			t.Errorf("%s: At(%s) = %v, want %s", tc.name, tc.now, got, tc.want)
		}
	}
	if got := r.At(ts("2026-12-04T00:00:00Z")); !got.IsZero() {
		t.Errorf("At(before the run) = %v, want none", got)
	}
	for _, raw := range []string{``, `{}`, `{"last_run_initialisation_time":1796428800}`, `<html>`, `[]`} {
		if r, err := DecodeRun([]byte(raw)); err == nil {
			t.Errorf("DecodeRun(%q) = %+v, want an error", raw, r)
		}
	}
}
