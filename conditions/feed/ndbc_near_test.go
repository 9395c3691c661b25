package feed

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

// latestSample is an invented list of the newest observations: good ones, a stale one, one of wind alone, one with a
// height of zero, one of an impossible height, one far off.
const latestSample = `#STN     LAT      LON  YYYY MM DD hh mm WDIR WSPD   GST WVHT  DPD APD MWD   PRES  PTDY  ATMP  WTMP  DEWP  VIS   TIDE
#text    deg      deg   yr mo day hr mn degT  m/s   m/s   m   sec sec degT   hPa   hPa  degC  degC  degC  nmi     ft
46901  39.000 -125.000 2026 12 06 15 20 330   7.0   8.8  5.2   16 9.9 312 1013.8    MM  12.2  13.2    MM   MM     MM
46902  39.000 -123.500 2026 12 06 15 20  MM    MM    MM  1.4   MM 4.9 317     MM    MM    MM  11.5    MM   MM     MM
46903  39.000 -124.200 2026 12 06 12 10  MM    MM    MM  2.0    6 4.9 317     MM    MM    MM  11.5    MM   MM     MM
wind1  39.000 -124.010 2026 12 06 15 30 300   9.0  11.0   MM   MM  MM  MM 1014.0    MM    MM    MM    MM   MM     MM
46904  39.000 -124.020 2026 12 06 15 20  MM    MM    MM  0.0    6 4.9 317     MM    MM    MM  11.5    MM   MM     MM
46905  39.000 -124.030 2026 12 06 15 20  MM    MM    MM 77.0    6 4.9 317     MM    MM    MM  11.5    MM   MM     MM
46906  33.000 -140.000 2026 12 06 15 20  MM    MM    MM  2.2    9 4.9 317     MM    MM    MM  11.5    MM   MM     MM
`

func stationsOf(ns []NearBuoy) string {
	var ids []string
	for _, n := range ns {
		ids = append(ids, n.Station)
	}
	return strings.Join(ids, " ")
}

func TestDecodeBuoys(t *testing.T) {
	obs, err := DecodeBuoys([]byte(latestSample))
	if err != nil {
		t.Fatalf("DecodeBuoys: %v", err)
	}
	if len(obs) != 6 { // the impossible one is left out
		t.Fatalf("%d observations, want 6", len(obs))
	}
	if o := obs[0]; o.Station != "46901" || *o.Position != (measure.Position{Lat: 39, Lon: -125}) || *o.Hs != 5.2 || *o.Peak != 16 || !o.At.Equal(ts("2026-12-06T15:20:00Z")) {
		t.Errorf("first = %+v", o)
	}
	if o := obs[3]; o.Station != "WIND1" || o.Hs != nil || *o.Wind != 9 {
		t.Errorf("fourth = %+v, want WIND1 with wind alone", o)
	}
	if o := obs[4]; o.Hs != nil || o.Peak != nil {
		t.Errorf("fifth = %+v, want a height of zero to be none", o)
	}
	for _, tc := range []struct {
		name, raw string
		status    string
		why       Why
	}{
		{"markup", "<html>", "refused", Unreadable},
		{"one station's file", textHead + textRow("15 50", "330  7.0  8.8   5.2    16    9.9 312"), "refused", WrongShape},
		{"no ids", strings.Replace(latestSample, "#STN", "#XXX", 1), "refused", WrongShape},
		{"no longitudes", strings.Replace(latestSample, " LON ", " LXN ", 1), "refused", WrongShape},
		{"cut off", latestSample[:len(latestSample)-4], "refused", WrongShape},
		{"a short row", strings.Replace(latestSample, "   MM     MM\n", "\n", 1), "refused", WrongShape},
		{"nothing but impossible rows", strings.NewReplacer("5.2", "52.", "1.4", "41.", "2.0", "42.", "0.0  ", "55.  ", "2.2", "42.", "300   9.0", "300  -9.0").Replace(latestSample), "refused", WrongValue},
		{"no waves anywhere", strings.NewReplacer(" 5.2 ", "  MM ", " 1.4 ", "  MM ", " 2.0 ", "  MM ", " 0.0 ", "  MM ", " 2.2 ", "  MM ").Replace(latestSample), "unknown", AllNull},
	} {
		t.Run(tc.name, func(t *testing.T) {
			obs, err := DecodeBuoys([]byte(tc.raw))
			if err == nil {
				t.Fatalf("DecodeBuoys = %d observations, want an error", len(obs))
			}
			wantStatus(t, err, tc.status, tc.why)
		})
	}
}

func TestNearBuoys(t *testing.T) {
	obs, err := DecodeBuoys([]byte(latestSample))
	if err != nil {
		t.Fatal(err)
	}
	now, at := ts("2026-12-06T15:40:00Z"), measure.Position{Lat: 39, Lon: -124}
	seaward := func(deg float64) *measure.From { f := measure.From(deg); return &f }
	for _, tc := range []struct {
		name string
		want BuoyWant
		now  time.Time
		ids  string
	}{
		{"by distance; stale, without waves, at zero or far ones are none", BuoyWant{At: at}, now, "46902 46901"},
		{"the side the waves come from first", BuoyWant{At: at, Facing: seaward(300)}, now, "46901 46902"},
		{"no other side is left out", BuoyWant{At: at, Facing: seaward(90)}, now, "46902 46901"},
		{"within the reach stated", BuoyWant{At: at, ReachKm: 50}, now, "46902"},
		{"a wider reach", BuoyWant{At: at, ReachKm: 1000}, now, "46902 46901"},
		{"three hours are the limit", BuoyWant{At: at}, ts("2026-12-06T15:10:00Z"), "46903 46902 46901"},
		{"and to the minute", BuoyWant{At: at}, ts("2026-12-06T18:20:00Z"), "46902 46901"},
		{"then none is useful", BuoyWant{At: at}, ts("2026-12-06T18:21:00Z"), ""},
		{"from the future", BuoyWant{At: at}, ts("2026-12-06T10:00:00Z"), ""},
		{"a reach of nothing", BuoyWant{At: at, ReachKm: -1}, now, ""},
		{"a reach round the globe", BuoyWant{At: at, ReachKm: 20000}, now, ""},
		{"a reach that is not a number", BuoyWant{At: at, ReachKm: math.NaN()}, now, ""},
		{"no place", BuoyWant{At: measure.Position{Lat: 91}}, now, ""},
		{"nobody near", BuoyWant{At: measure.Position{Lat: -33.9, Lon: 151.3}}, now, ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if got := stationsOf(NearBuoys(obs, tc.want, tc.now)); got != tc.ids {
				t.Errorf("NearBuoys = %q, want %q", got, tc.ids)
			}
		})
	}
	t.Run("distance, bearing and age", func(t *testing.T) {
		n := NearBuoys(obs, BuoyWant{At: at, Facing: seaward(300)}, now)[0]
		// One degree of longitude on the parallel of 39, along the great circle on a sphere of 6371.0088 km:
		// 2 R asin(cos 39° sin 0.5°) = 86.413 km, setting out at 270° + half the convergence, 0.315°.
		if math.Abs(n.Km-86.413) > 0.002 || math.Abs(float64(n.Bearing)-270.315) > 0.001 || n.Age != 20*time.Minute || !n.Facing {
			t.Errorf("nearest = %.3f km, %.3f°, %v, facing %v, want 86.413, 270.315, 20m, true", n.Km, float64(n.Bearing), n.Age, n.Facing)
		}
	})
	t.Run("the newest of a station's observations counts", func(t *testing.T) {
		older, newer := obs[0], obs[0]
		older.At = older.At.Add(-time.Hour)
		for _, all := range [][]Observation{{older, newer}, {newer, older}} {
			if got := NearBuoys(all, BuoyWant{At: at}, now); len(got) != 1 || !got[0].At.Equal(newer.At) {
				t.Errorf("NearBuoys = %d, the first of %v, want one of %v", len(got), got[0].At, newer.At)
			}
		}
	})
	t.Run("an observation without a place is nowhere", func(t *testing.T) {
		o := obs[0]
		o.Position = nil
		if got := NearBuoys([]Observation{o}, BuoyWant{At: at}, now); got != nil {
			t.Errorf("NearBuoys = %v, want none", stationsOf(got))
		}
	})
	t.Run("across 180 degrees", func(t *testing.T) {
		o := obs[0]
		o.Position = &measure.Position{Lat: 0, Lon: -179.9}
		got := NearBuoys([]Observation{o}, BuoyWant{At: measure.Position{Lat: 0, Lon: 179.9}}, now)
		if len(got) != 1 || math.Abs(got[0].Km-22.239) > 0.001 || math.Abs(float64(got[0].Bearing)-90) > 1e-6 {
			t.Errorf("NearBuoys = %+v, want one 22.239 km to the east", got)
		}
	})
}

const stationsSample = `<?xml version="1.0" encoding="UTF-8"?>
<stations created="2026-12-06T14:40:01UTC" count="3">
  <!--Site Elevation (elev attribute)-->
  <station id="13910" lat="0" lon="0" elev="0" name="Nought" owner="x" pgm="y" type="buoy" met="n"/>
  <station id="abcd1" lat="39.5" lon="-124" name="Zig &amp; Zag&apos;s Rock, CA" type="fixed" met="y"/>
  <station id="46901" lat="39.0" lon="-125" name="" type="other" met="y"/>
</stations>`

func TestDecodeBuoyStations(t *testing.T) {
	list, err := DecodeBuoyStations([]byte(stationsSample))
	if err != nil {
		t.Fatalf("DecodeBuoyStations: %v", err)
	}
	want := []BuoyStation{
		{ID: "13910", Name: "Nought", Kind: "buoy"}, // at 0, 0 and met="n"
		{ID: "ABCD1", Name: "Zig & Zag's Rock, CA", Kind: "fixed", Position: measure.Position{Lat: 39.5, Lon: -124}, Met: true},
		{ID: "46901", Kind: "other", Position: measure.Position{Lat: 39, Lon: -125}, Met: true},
	}
	if !slices.Equal(list, want) {
		t.Errorf("stations = %+v, want %+v", list, want)
	}
	if s, ok := FindBuoyStation(list, "abcd1"); !ok || s.ID != "ABCD1" {
		t.Errorf("FindBuoyStation = %+v, %v", s, ok)
	}
	if s, ok := FindBuoyStation(list, "46999"); ok {
		t.Errorf("FindBuoyStation = %+v, want none", s)
	}
	swap := func(old, new string) string {
		if !strings.Contains(stationsSample, old) {
			t.Fatalf("the sample has no %q", old)
		}
		return strings.Replace(stationsSample, old, new, 1)
	}
	for _, tc := range []struct {
		name, raw string
		status    string
		why       Why
	}{
		{"nothing", "", "refused", Unreadable},
		{"text", "nothing here", "refused", Unreadable},
		{"a page of markup", "<html><body>404</body></html>", "refused", WrongShape},
		{"a page of loose markup", "<!DOCTYPE html><html><body>404<br></body></html>", "refused", WrongShape},
		{"cut off", stationsSample[:400], "refused", Unreadable},
		{"cut off at an end", swap("</stations>", ""), "refused", Unreadable},
		{"fewer than it says", swap(`count="3"`, `count="4"`), "refused", WrongShape},
		{"more than it says", swap(`count="3"`, `count="2"`), "refused", WrongShape},
		{"no count", swap(` count="3"`, ``), "refused", WrongShape},
		{"a second document", stationsSample + stationsSample[39:], "refused", WrongShape},
		{"a station without position", swap(` lat="39.5"`, ``), "refused", WrongShape},
		{"a station without id", swap(` id="abcd1"`, ``), "refused", WrongShape},
		{"a station off the globe", swap(`lat="39.5"`, `lat="95"`), "refused", WrongValue},
		{"a station nowhere", swap(`lat="39.5"`, `lat="MM"`), "refused", WrongValue},
		{"an entity of the sender's own", swap(`name="Nought"`, `name="&boom;"`), "refused", Unreadable},
		{"no stations", `<stations count="0"></stations>`, "unknown", AllNull},
	} {
		t.Run(tc.name, func(t *testing.T) {
			list, err := DecodeBuoyStations([]byte(tc.raw))
			if err == nil {
				t.Fatalf("DecodeBuoyStations = %d stations, want an error", len(list))
			}
			wantStatus(t, err, tc.status, tc.why)
		})
	}
}

// Recorded from NDBC by others (Unidata/siphon, BSD-3-Clause; CDJellen/ndbc-api, MIT; data public domain).
func TestRealListsOfBuoys(t *testing.T) {
	obs, err := DecodeBuoys(recordedByOthers(t, "ndbc/latest_obs_20180730.txt"))
	if err != nil {
		t.Fatalf("DecodeBuoys: %v", err)
	}
	list, err := DecodeBuoyStations(recordedByOthers(t, "ndbc/activestations_20240827.xml"))
	if err != nil {
		t.Fatalf("DecodeBuoyStations: %v", err)
	}
	waves := 0
	for _, o := range obs {
		if o.Hs != nil {
			waves++
		}
	}
	met := 0
	for _, s := range list {
		if s.Met {
			met++
		}
	}
	if len(obs) != 840 || waves != 216 || len(list) != 1348 || met != 911 {
		t.Errorf("%d observations, %d with waves, %d stations, %d with met, want 840, 216, 1348, 911 (counted in the files; four more heights are 0.0)", len(obs), waves, len(list), met)
	}
	if s, ok := FindBuoyStation(list, "13010"); !ok || s.Position != (measure.Position{}) || s.Kind != "buoy" {
		t.Errorf("13010 = %+v, want the buoy at 0, 0", s)
	}
	t.Run("both lists agree where a moored buoy is", func(t *testing.T) {
		for _, id := range []string{"41002", "41004", "46042", "46214"} {
			s, ok := FindBuoyStation(list, id)
			i := slices.IndexFunc(obs, func(o Observation) bool { return o.Station == id })
			if !ok || i < 0 {
				t.Fatalf("%s: not in both lists", id)
			}
			if d := measure.DistanceKm(s.Position, *obs[i].Position); d > 15 { // laid anew in six years
				t.Errorf("%s: %.1f km apart", id, d)
			}
		}
	})
	t.Run("off Point Arena", func(t *testing.T) {
		got := NearBuoys(obs, BuoyWant{At: measure.Position{Lat: 38.9, Lon: -123.8}}, ts("2018-07-30T21:20:00Z"))
		if len(got) == 0 || got[0].Station != "46214" || math.Abs(got[0].Km-109.43) > 0.05 || *got[0].Hs != 2 || *got[0].Peak != 6 {
			t.Errorf("NearBuoys = %+v, want 46214 at 109.43 km with 2.0 m", got)
		}
	})
}
