package feed

import (
	"errors"
	"testing"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/measure"
)

// soundBuoy fails unless an observation is one a sea can have; a calm is none.
func soundBuoy(t *testing.T, o Observation) {
	t.Helper()
	if o.Hs != nil && !(*o.Hs > 0 && *o.Hs <= 35) {
		t.Fatalf("height %v", *o.Hs)
	}
	if o.Hs == nil && (o.Peak != nil || o.Mean != nil || o.From != nil || o.Swell != nil || o.WindSea != nil) {
		t.Fatalf("waves without a height: %+v", o)
	}
	for _, p := range []*measure.Seconds{o.Peak, o.Mean} {
		if p != nil && !(*p > 0 && *p <= 60) {
			t.Fatalf("period %v", *p)
		}
	}
	for _, d := range []*measure.From{o.From, o.WindFrom} {
		if d != nil && !(*d >= 0 && *d < 360) {
			t.Fatalf("direction %v", *d)
		}
	}
	for _, s := range []*WaveSystem{o.Swell, o.WindSea} {
		if s != nil && (!(s.Hs > 0 && s.Hs <= 35) || s.Period != nil && !(*s.Period > 0)) {
			t.Fatalf("system %+v", *s)
		}
	}
	if o.Position != nil && o.Position.Check() != nil {
		t.Fatalf("position %+v", *o.Position)
	}
}

func FuzzDecodeBuoy(f *testing.F) {
	for _, s := range []string{
		``, `#`, "#\n#\n", `<html>`, textHead, textHead + textRow("15 50", "330  7.0  8.8   5.2    16    9.9 312") + textRow("15 40", "99 MM 99.0 0.0 99 9.9 -99"),
		specHead + "2026 12 06 15 40  5.2  5.0 16.0  0.0  MM  NW  MM      SWELL  9.9 312\n", latestSample,
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		for _, decode := range []func([]byte, time.Time) (Buoy, error){DecodeBuoyText, DecodeBuoySpec} {
			b, err := decode(raw, bigSwell)
			if (err == nil) == (len(b.Observations) == 0) {
				t.Fatalf("decode(%q) = %d observations, %v, want some or an error", raw, len(b.Observations), err)
			}
			for i, o := range b.Observations {
				soundBuoy(t, o)
				if i > 0 && !o.At.After(b.Observations[i-1].At) {
					t.Fatalf("observation %d at %v, not after %v", i, o.At, b.Observations[i-1].At)
				}
			}
			if err == nil && (b.Latest.Hs == nil || b.Age > buoyFresh || b.Age < -buoyAhead) {
				t.Fatalf("latest %+v aged %v", b.Latest, b.Age)
			}
		}
		obs, err := DecodeBuoys(raw)
		if (err == nil) == (len(obs) == 0) {
			t.Fatalf("DecodeBuoys(%q) = %d observations, %v, want some or an error", raw, len(obs), err)
		}
		for _, o := range obs {
			soundBuoy(t, o)
		}
		for _, n := range NearBuoys(obs, BuoyWant{At: measure.Position{Lat: 39, Lon: -124}}, bigSwell) {
			if n.Hs == nil || !(n.Km >= 0 && n.Km <= buoyReachKm) || n.Age > buoyFresh {
				t.Fatalf("near %+v", n)
			}
		}
	})
}

func FuzzDecodeBuoyStations(f *testing.F) {
	for _, s := range []string{``, `<`, `<stations count="0"/>`, `<stations count="1"><station id="a" lat="1" lon="2"/></stations>`, stationsSample} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		list, err := DecodeBuoyStations(raw)
		if (err == nil) == (len(list) == 0) {
			t.Fatalf("DecodeBuoyStations(%q) = %d stations, %v, want some or an error", raw, len(list), err)
		}
		for _, s := range list {
			if s.ID == "" || s.Position.Check() != nil {
				t.Fatalf("station %+v", s)
			}
		}
	})
}

func FuzzDecodeMet(f *testing.F) {
	f.Add([]byte(``))
	f.Add([]byte(`{"type":"Feature","properties":{"meta":{"error":1}}}`))
	f.Add(met(windUnits, `{"instant":{"details":{"wind_speed":5,"wind_from_direction":360}},"next_1_hours":{"summary":{"symbol_code":"fog"},"details":{"precipitation_amount":1}}}`, `{}`))
	f.Add(met(waveUnits, instantMet(`"sea_surface_wave_height":2,"sea_surface_wave_from_direction":360,"sea_water_speed":0.1,"sea_water_to_direction":10`), instantMet(`"sea_surface_wave_height":0`)))
	f.Fuzz(func(t *testing.T, raw []byte) {
		s, err := DecodeMetOcean(raw, metBegin, lofoten)
		if (err == nil) == (len(s.Sea.Hours) == 0) || len(s.Currents) != len(s.Sea.Hours) {
			t.Fatalf("DecodeMetOcean(%q) = %d hours, %v, want hours or an error", raw, len(s.Sea.Hours), err)
		}
		known := false
		for i, h := range s.Sea.Hours {
			if i > 0 && !h.At.After(s.Sea.Hours[i-1].At) {
				t.Fatalf("hour %d at %v, not after %v", i, h.At, s.Sea.Hours[i-1].At)
			}
			if h.Hs != nil && !(*h.Hs > 0 && *h.Hs <= 35) || h.From != nil && !(*h.From >= 0 && *h.From < 360) || h.Period != nil {
				t.Fatalf("hour %d: %+v", i, h)
			}
			known = known || h.Hs != nil
		}
		if err == nil && !known {
			t.Fatalf("DecodeMetOcean(%q) knows no hour", raw)
		}
		w, err := DecodeMetLocation(raw, metBegin, lofoten)
		if (err == nil) == (len(w.Weather.Hours) == 0) || len(w.Sky) != len(w.Weather.Hours) {
			t.Fatalf("DecodeMetLocation(%q) = %d hours, %v, want hours or an error", raw, len(w.Weather.Hours), err)
		}
		high := 0.0
		for i, h := range w.Weather.Hours {
			for _, v := range []*measure.MetresPerSecond{h.Wind, h.Gust} {
				if v != nil {
					if high = max(high, float64(*v)); !(*v >= 0 && *v <= 150) {
						t.Fatalf("hour %d: wind %v", i, *v)
					}
				}
			}
			if h.WindFrom != nil && !(*h.WindFrom >= 0 && *h.WindFrom < 360) {
				t.Fatalf("hour %d: wind from %v", i, *h.WindFrom)
			}
		}
		if err == nil && high == 0 {
			t.Fatalf("DecodeMetLocation(%q) is calm in every hour", raw)
		}
	})
}

func FuzzDecodeTidePredictions(f *testing.F) {
	for _, s := range [][]byte{nil, []byte(`{"error":{"message":"No Predictions data was found."}}`), []byte(`{"predictions":[]}`),
		predictions(prediction("01:00", "0.5"), prediction("02:00", "")), predictions(water("01:00", "1.5", "H"), water("07:00", "-0.2", "L"))} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, raw []byte) {
		p, err := DecodeTidePredictions(raw, begin)
		if (err == nil) == (len(p.List) == 0) {
			t.Fatalf("DecodeTidePredictions(%q) = %d, %v, want some or an error", raw, len(p.List), err)
		}
		for i, x := range p.List {
			if i > 0 && !x.At.After(p.List[i-1].At) || x.Height != nil && !(*x.Height >= -tideMost && *x.Height <= tideMost) || (x.Kind != "") != p.HiLo {
				t.Fatalf("prediction %d: %+v", i, x)
			}
		}
	})
}

// Whatever comes as an answer of whatever kind, it is read or refused, and an answer that says nothing is an error.
func FuzzRead(f *testing.F) {
	for i := range Kinds() {
		for _, s := range []string{``, `{}`, `<html>`, `#`, stationsSample, latestSample} {
			f.Add(i, []byte(s))
		}
	}
	f.Add(7, sample(f, "alerts_active_central_california.constructed.json"))
	f.Fuzz(func(t *testing.T, i int, raw []byte) {
		kinds := Kinds()
		k := kinds[uint(i)%uint(len(kinds))]
		r, err := Read(k, raw, Asked{Now: begin, At: &lofoten})
		if err != nil {
			if errors.Is(err, ErrNoPlace) {
				t.Fatalf("Read(%q) = %v", k, err)
			}
			return
		}
		if !k.Warns() && r.Sea == nil && r.Weather == nil && r.Buoy == nil && r.Tides == nil && len(r.Near) == 0 {
			t.Fatalf("Read(%q, %q) = nothing, want something or an error", k, raw)
		}
		if r.Sea != nil && emptySea(r.Sea) {
			t.Fatalf("Read(%q, %q) = a sea without waves", k, raw)
		}
	})
}

func emptySea(s *conditions.Sea) bool {
	for _, h := range s.Hours {
		if h.Hs != nil && *h.Hs > 0 {
			return false
		}
	}
	return true
}
