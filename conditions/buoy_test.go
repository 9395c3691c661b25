package conditions

import (
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

// A reading stands beside what was forecast for its own time; clearly more than that is said, and corrects nothing.
func TestABuoyStandsBesideTheForecast(t *testing.T) {
	q := anvil(t)
	before := q.From.Add(-2 * time.Hour) // the sea of these tests begins then, with 1 m
	for hs, over := range map[measure.Metres]bool{0.6: false, 1.0: false, 1.2: false, 1.29: false, 1.4: true, 2.5: true} {
		q.Buoy = &Observed{Station: "EX001", Km: 40, At: before, Hs: hs}
		r := assess(t, q)
		if says(r, BuoyOver) != over {
			t.Errorf("buoy at %v m, forecast 1 m: over %v, want %v", hs, says(r, BuoyOver), over)
		}
		if r.ForecastAtBuoy == nil || *r.ForecastAtBuoy != 1 || r.Buoy != q.Buoy {
			t.Errorf("forecast at the buoy's time = %v, want 1 m", r.ForecastAtBuoy)
		}
		plain := q
		plain.Buoy = nil
		if p := assess(t, plain); p.Verdict != r.Verdict || p.PStay != r.PStay {
			t.Errorf("a buoy changed the answer from %v, %v to %v, %v", p.Verdict, p.PStay, r.Verdict, r.PStay)
		}
	}
	q.Sea = nil
	q.Buoy = &Observed{Station: "EX001", At: before, Hs: 3}
	if r := assess(t, q); r.Buoy == nil || r.ForecastAtBuoy != nil || says(r, BuoyOver) {
		t.Errorf("without a forecast: %+v, want the reading alone", r.Buoy)
	}
}
