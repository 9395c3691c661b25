package feed

import (
	"context"
	"math"
	"testing"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/measure"
)

// asked is what the chat needs of a feed; the recorded one must do for it.
type asked interface {
	Sea(context.Context, Anchor, time.Time) (*conditions.Sea, error)
	Weather(context.Context, Anchor, time.Time) (*conditions.Weather, error)
	Warnings(context.Context, WarningPlace, time.Time) conditions.Warnings
}

var (
	_ asked = (*Client)(nil)
	_ asked = (*Recorded)(nil)
)

func TestRecorded(t *testing.T) {
	start := ts("2027-03-20T00:20:00-07:00")
	hour0 := ts("2027-03-20T07:00:00Z")
	r, err := NewRecorded(start, true)
	if err != nil {
		t.Fatalf("NewRecorded: %v", err)
	}
	a := snap(t, measure.Position{Lat: 38.9, Lon: -123.8})
	now := hour0.Add(8 * time.Hour)
	sea, err := r.Sea(t.Context(), a, now)
	if err != nil {
		t.Fatalf("Sea: %v", err)
	}
	weather, err := r.Weather(t.Context(), a, now)
	if err != nil {
		t.Fatalf("Weather: %v", err)
	}
	if !sea.Source.Recorded || !weather.Source.Recorded || !sea.Source.FetchedAt.Equal(now) || sea.Source.Km > 10 {
		t.Errorf("sources = %+v, %+v, want recorded, fetched at %v, near", sea.Source, weather.Source, now)
	}
	if len(sea.Hours) != 72 || len(weather.Hours) != 72 || !sea.Hours[0].At.Equal(hour0) || !weather.Hours[71].At.Equal(hour0.Add(71*time.Hour)) {
		t.Errorf("%d and %d hours from %v, want 72 from %v", len(sea.Hours), len(weather.Hours), sea.Hours[0].At, hour0)
	}
	t.Run("the swell rises from 1.2 m at 11 s to 2.4 m at 15 s by late afternoon", func(t *testing.T) {
		for _, tc := range []struct {
			hour     int
			hs, peak float64
		}{{8, 1.2, 11}, {17, 2.4, 15}} {
			p := sea.Hours[tc.hour].Partitions[0]
			// The sample gives Tm01 in steps of 0.05 s, as the model does; the peak is 1.20 times that.
			if peak := float64(p.Period) * 1.20; p.Kind != "swell" || p.PeriodKind != conditions.PeriodMean01 || float64(p.Hs) != tc.hs || math.Abs(peak-tc.peak) > 0.04 {
				t.Errorf("hour %d: %+v, want %v m with a peak of %v s", tc.hour, p, tc.hs, tc.peak)
			}
			if p.From < 285 || p.From > 300 {
				t.Errorf("hour %d: swell from %v, want west-north-west", tc.hour, p.From)
			}
		}
	})
	t.Run("the wind turns from the land to the sea", func(t *testing.T) {
		if h := weather.Hours[8]; *h.Wind > 3 || *h.WindFrom < 45 || *h.WindFrom > 100 {
			t.Errorf("morning wind = %v from %v, want light from the east", *h.Wind, *h.WindFrom)
		}
		if h := weather.Hours[15]; *h.Wind != 9 || *h.Gust != 13 || *h.WindFrom != 315 {
			t.Errorf("afternoon wind = %v gusts %v from %v, want 9, 13 from 315", *h.Wind, *h.Gust, *h.WindFrom)
		}
	})
	t.Run("every hour has its partitions and they make up the total", func(t *testing.T) {
		for i, h := range sea.Hours {
			sum := 0.0
			for _, p := range h.Partitions {
				sum += float64(p.Hs * p.Hs)
			}
			if len(h.Partitions) != 3 || math.Abs(math.Sqrt(sum)-float64(*h.Hs)) > 0.03 {
				t.Errorf("hour %d: total %v of %+v", i, *h.Hs, h.Partitions)
			}
		}
	})
	t.Run("the statement is to come, here, and then over", func(t *testing.T) {
		place := WarningPlace{Zones: []string{"CAZ109", "PZZ455"}}
		w := r.Warnings(t.Context(), place, now)
		if w.State != conditions.WarningsInForce || len(w.List) != 1 || w.List[0].Concern != conditions.Amber || w.List[0].Covers == nil || !w.List[0].Onset.Equal(hour0.Add(11*time.Hour)) {
			t.Errorf("Warnings = %+v, want the statement from hour 11", w)
		}
		for _, h := range []time.Duration{3, 41} {
			if w := r.Warnings(t.Context(), place, hour0.Add(h*time.Hour)); w.State != conditions.WarningsNone {
				t.Errorf("Warnings at hour %d = %+v, want none", h, w)
			}
		}
		if w := r.Warnings(t.Context(), WarningPlace{State: "OR"}, now); w.State != conditions.WarningsUnknown || w.Why != string(NoFeed) {
			t.Errorf("Warnings of another coast = %+v, want unknown", w)
		}
	})
	t.Run("without the statement there are none", func(t *testing.T) {
		quiet, err := NewRecorded(start, false)
		if err != nil {
			t.Fatal(err)
		}
		if w := quiet.Warnings(t.Context(), WarningPlace{State: "CA"}, now.Add(30*24*time.Hour)); w.State != conditions.WarningsNone {
			t.Errorf("Warnings = %+v, want none", w)
		}
	})
	t.Run("after the third day it has no data", func(t *testing.T) {
		_, err := r.Sea(t.Context(), a, hour0.Add(72*time.Hour))
		wantStatus(t, err, "unknown", Ended)
		_, err = r.Weather(t.Context(), a, hour0.Add(72*time.Hour))
		wantStatus(t, err, "unknown", Ended)
	})
	t.Run("no anchor, no sea", func(t *testing.T) {
		if _, err := r.Sea(t.Context(), Anchor{}, now); err == nil {
			t.Error("Sea = nil error, want one")
		}
	})
}
