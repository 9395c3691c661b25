package feed

import (
	"math"
	"testing"

	"ledgehand/conditions/warning"
)

func seeds(f *testing.F, names ...string) {
	f.Helper()
	for _, n := range names {
		f.Add(sample(f, n))
	}
	for _, s := range []string{``, `{`, `[]`, `null`, `{"latitude":nan}`, `{"hourly":{"time":[1]}}`, "\xff\xfe{}", `{"error":true}`} {
		f.Add([]byte(s))
	}
	f.Add(line([3]string{"wave_height", "m", "1,null"}, [3]string{"wave_period", "s", "9,9"}))
	f.Add(line([3]string{"wind_speed_10m", "m/s", "1,null"}))
}

// Whatever comes, it is refused or it is a sea with sense: rising hours, and numbers in bounds.
func FuzzDecodeMarine(f *testing.F) {
	seeds(f, "marine_sydney_three_models.constructed.json", "marine_gfs_zero_filled.constructed.json",
		"marine_inland_all_null.constructed.json", "body_200_truncated_stream.constructed.txt", "error_429_minutely.constructed.json")
	f.Fuzz(func(t *testing.T, raw []byte) {
		s, err := DecodeMarine(raw, begin, sydney)
		if (err == nil) == (len(s.Hours) == 0) {
			t.Fatalf("DecodeMarine(%q) = %d hours, %v, want hours or an error", raw, len(s.Hours), err)
		}
		high := 0.0
		for i, h := range s.Hours {
			if i > 0 && !h.At.After(s.Hours[i-1].At) {
				t.Fatalf("hour %d at %v, not after %v", i, h.At, s.Hours[i-1].At)
			}
			if h.Hs != nil {
				high = max(high, float64(*h.Hs))
				if !(*h.Hs >= 0 && *h.Hs <= 35) {
					t.Fatalf("hour %d: height %v", i, *h.Hs)
				}
			}
			if h.Period != nil && (!(*h.Period > 0 && *h.Period <= 60) || h.PeriodKind == "") {
				t.Fatalf("hour %d: period %v of kind %q", i, *h.Period, h.PeriodKind)
			}
			if h.From != nil && !(*h.From >= 0 && *h.From < 360) {
				t.Fatalf("hour %d: from %v", i, *h.From)
			}
			for _, p := range h.Partitions {
				if p.Hs > 0 && !(p.Period > 0) || math.IsNaN(float64(p.From)) || p.PeriodKind == "" {
					t.Fatalf("hour %d: partition %+v", i, p)
				}
			}
		}
		if err == nil && high == 0 {
			t.Fatalf("DecodeMarine(%q) is flat in every hour", raw)
		}
	})
}

func FuzzDecodeForecast(f *testing.F) {
	seeds(f, "forecast_sydney_rising_longperiod.constructed.json")
	f.Fuzz(func(t *testing.T, raw []byte) {
		w, err := DecodeForecast(raw, begin, sydney)
		if (err == nil) == (len(w.Hours) == 0) {
			t.Fatalf("DecodeForecast(%q) = %d hours, %v, want hours or an error", raw, len(w.Hours), err)
		}
		for i, h := range w.Hours {
			if h.Wind != nil && !(*h.Wind >= 0 && *h.Wind <= 150) {
				t.Fatalf("hour %d: wind %v", i, *h.Wind)
			}
			if h.WindFrom != nil && !(*h.WindFrom >= 0 && *h.WindFrom < 360) {
				t.Fatalf("hour %d: wind from %v", i, *h.WindFrom)
			}
		}
	})
}

// Whatever comes, an alert that was read can be judged, and none gets lost in judging.
func FuzzDecodeAlerts(f *testing.F) {
	seeds(f, "alerts_active_central_california.constructed.json", "alerts_active_none.constructed.json", "error_points_marine_404.constructed.json")
	f.Fuzz(func(t *testing.T, raw []byte) {
		a, err := DecodeAlerts(raw)
		if err != nil {
			if s, why := Status(err); s != "refused" || why == "" {
				t.Fatalf("Status(%v) = %q, %q, want refused", err, s, why)
			}
			return
		}
		if got := warning.Judge(a.List, warning.InZones([]string{"CAZ340"}), begin); len(got) != len(a.List) {
			t.Fatalf("Judge of %d alerts = %d", len(a.List), len(got))
		}
	})
}
