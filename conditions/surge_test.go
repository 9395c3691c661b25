package conditions

import (
	"math"
	"testing"
	"time"

	"ledgehand/conditions/measure"
	"ledgehand/conditions/tide"
)

func under(q Question, hPa float64) Question {
	w := *q.Weather
	w.Hours = append([]WeatherHour(nil), w.Hours...)
	for i := range w.Hours {
		w.Hours[i].PressureHPa = new(hPa)
	}
	q.Weather = &w
	return q
}

// Low pressure lifts the water by a centimetre a hectopascal (rule of thumb of the handbooks, from memory; hydrostatics give
// 9.94 mm), and everything that hangs on the water level with it.
func TestLowPressureTakesFromTheFreeboard(t *testing.T) {
	q := anvil(t)
	q.Card.WalkInGate = new(measure.Metres(1.2))
	calm, low := assess(t, under(q, tide.StandardPressure)), assess(t, under(q, 975))
	const want = (tide.StandardPressure - 975) * 0.01
	if low.Surge == nil || math.Abs(float64(low.Surge.Height)-want) > 0.005 || low.Surge.HPa != 975 {
		t.Fatalf("Surge = %+v, want about %.2f m at 975 hPa", low.Surge, want)
	}
	for i := range low.Hours {
		if low.Hours[i].Tide != calm.Hours[i].Tide {
			t.Errorf("hour %d: tide %v, want the prediction untouched, %v", i, low.Hours[i].Tide, calm.Hours[i].Tide)
		}
		if d := float64(calm.Hours[i].Freeboard - low.Hours[i].Freeboard); math.Abs(d-float64(low.Surge.Height)) > 1e-9 {
			t.Errorf("hour %d: freeboard lower by %.3f m, want %.3f", i, d, low.Surge.Height)
		}
	}
	if low.PStay <= calm.PStay {
		t.Errorf("chance %.4f under low pressure, %.4f else: want it higher", low.PStay, calm.PStay)
	}
	length := func(r Report) (d time.Duration) {
		for _, s := range r.WalkInDry {
			d += s.To.Sub(s.From)
		}
		return d
	}
	if length(low) >= length(calm) {
		t.Errorf("walk-in dry for %s under low pressure, %s else: want less", length(low), length(calm))
	}
}

func TestHighPressureIsNotCountedOn(t *testing.T) {
	q := anvil(t)
	r, none := assess(t, under(q, 1040)), assess(t, q)
	if r.Surge == nil || r.Surge.Height != 0 {
		t.Errorf("Surge = %+v, want 0 m", r.Surge)
	}
	if none.Surge != nil {
		t.Errorf("Surge = %+v without a pressure, want none", none.Surge)
	}
	for i := range r.Hours {
		if r.Hours[i].Freeboard != none.Hours[i].Freeboard {
			t.Errorf("hour %d: freeboard %v, want %v", i, r.Hours[i].Freeboard, none.Hours[i].Freeboard)
		}
	}
}

// The lowest pressure of an hour counts, of its beginning or its end, and of no other hour.
func TestEachHourHasItsOwnSurge(t *testing.T) {
	q := under(anvil(t), 1000)
	q.Weather.Hours[5].PressureHPa = new(980.0) // 11:00, from two hours before 08:00 on
	r := assess(t, q)
	for i, h := range r.Hours {
		want := tide.InverseBarometer(1000)
		if i == 2 || i == 3 { // 10 to 11 and 11 to 12
			want = tide.InverseBarometer(980)
		}
		if math.Abs(float64(h.Surge-want)) > 1e-9 {
			t.Errorf("hour %d from %s: surge %.3f m, want %.3f", i, h.At.Format("15:04"), h.Surge, want)
		}
	}
	if r.Surge.HPa != 980 {
		t.Errorf("Surge = %+v, want that of the worst hour", r.Surge)
	}
}
