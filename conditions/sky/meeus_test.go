package sky

import (
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/soniakeys/meeus/v3/base"
	"github.com/soniakeys/meeus/v3/globe"
	"github.com/soniakeys/meeus/v3/moonillum"
	"github.com/soniakeys/meeus/v3/moonphase"
	"github.com/soniakeys/meeus/v3/moonposition"
	"github.com/soniakeys/meeus/v3/nutation"
	"github.com/soniakeys/meeus/v3/sidereal"
	"github.com/soniakeys/meeus/v3/solar"
	"github.com/soniakeys/unit"
)

// The worked examples of Meeus, Astronomical Algorithms, 2nd edition, for what this package computes
// or has computed for it. The key is example/quantity; the value is in the unit of the table.
var worked = map[string]func() float64{
	"12.a/mean_sidereal_time_greenwich":     func() float64 { return sidereal.Mean(2446895.5).Sec() },
	"12.a/apparent_sidereal_time_greenwich": func() float64 { return sidereal.Apparent(2446895.5).Sec() },

	"13.b/azimuth_from_south_westward": func() float64 { _, az := venus(); return az - 180 },
	"13.b/altitude_true":               func() float64 { h, _ := venus(); return h },

	"16.a/refraction true upper limb 33.246 arcmin; Saemundsson": func() float64 { return refraction(33.246/60) * 60 },

	"22.a/nutation_longitude": func() float64 { Δψ, _ := nutation.Nutation(2446895.5); return Δψ.Sec() },
	"22.a/nutation_obliquity": func() float64 { _, Δε := nutation.Nutation(2446895.5); return Δε.Sec() },
	"22.a/true_obliquity": func() float64 {
		_, Δε := nutation.Nutation(2446895.5)
		return (nutation.MeanObliquity(2446895.5) + Δε).Sec()
	},

	"25.a/sun_true_longitude": func() float64 { s, _ := solar.True(base.J2000Century(2448908.5)); return s.Deg() },
	"25.a/sun_distance":       func() float64 { return sunAt(2448908.5).km / auKm },
	"25.a/sun_apparent_longitude": func() float64 {
		return solar.ApparentLongitude(base.J2000Century(2448908.5)).Sec()
	},
	"25.a/sun_apparent_ra":  func() float64 { return sunAt(2448908.5).ra.Time().Sec() },
	"25.a/sun_apparent_dec": func() float64 { return sunAt(2448908.5).dec.Sec() },

	"47.a/moon_longitude_geometric": func() float64 { λ, _, _ := moonposition.Position(2448724.5); return λ.Deg() },
	"47.a/moon_latitude":            func() float64 { _, β, _ := moonposition.Position(2448724.5); return β.Deg() },
	"47.a/moon_distance":            func() float64 { return moonAt(2448724.5).km },
	"47.a/moon_equatorial_parallax": func() float64 { return moonposition.Parallax(moonAt(2448724.5).km).Deg() },
	"47.a/moon_apparent_ra":         func() float64 { return moonAt(2448724.5).ra.Deg() },
	"47.a/moon_apparent_dec":        func() float64 { return moonAt(2448724.5).dec.Deg() },

	"48.a/phase_angle": func() float64 {
		deg := unit.AngleFromDeg
		return moonillum.PhaseAngleEq(unit.RAFromDeg(134.6885), deg(13.7684), 368410,
			unit.RAFromDeg(20.6579), deg(8.6964), 149971520).Deg()
	},
	"48.a/illuminated_fraction as above": func() float64 { return litAt(2448724.5) },

	"49.a/JDE_true": func() float64 { return moonphase.New(2000 - 283/12.3685) },
	"49.a/JDE_mean": func() float64 { return moonphase.MeanNew(2000 - 283/12.3685) },
	"49.a/TD": func() float64 { // example 49.a counts k = -283 lunations
		at := quarterAt(-283 * 4)
		return julianDay(at)*secondsPerDay + deltaT(julianDay(at))
	},
}

// unusedExample says why a row of the table is left out; "" is that it should not be.
func unusedExample(r row) string {
	for prefix, why := range map[string]string{
		"7.b/julian_day":                  "the Julian calendar: years from 1900 on only",
		"15.a/":                           "interpolates three positions of Venus, where a track follows the series",
		"25.a/sun_mean_anomaly":           "inside the library",
		"25.a/earth_eccentricity":         "inside the library",
		"27.a/":                           "the seasons are not offered; TestSunStandsAtTheSeasons has published ones",
		"table 27.E/":                     "likewise",
		"28.a/":                           "in TestEquationOfTimeOfExample28a: its sun is finer than ours",
		"28.b/":                           "an approximation not used here",
		"48.a/position_angle_bright_limb": "not offered",
	} {
		if strings.HasPrefix(r["example"]+"/"+r["quantity"], prefix) {
			return why
		}
	}
	switch {
	case r["quantity"] == "refraction" && strings.Contains(r["inputs"], "Bennett"):
		return "from apparent to true: the other way round"
	case r["quantity"] == "illuminated_fraction" && strings.Contains(r["inputs"], "approximate"):
		return "an approximation not used here"
	}
	return ""
}

// venus stands over Washington in example 13.b.
func venus() (altitude, azimuth float64) {
	p := place{ra: unit.NewRA(23, 9, 16.641), dec: unit.NewAngle('-', 6, 43, 11.61)}
	o := globe.Coord{Lat: unit.NewAngle(' ', 38, 55, 17), Lon: unit.NewAngle(' ', 77, 3, 56)} // west is positive there
	st := sidereal.Apparent(julianDay(time.Date(1987, 4, 10, 19, 21, 0, 0, time.UTC)))
	h, az := horizontal(o, localAngle(o, st), p.vector())
	return h, float64(az)
}

func TestWorkedExamplesOfMeeus(t *testing.T) {
	eachTable(t, "meeus_examples.csv", func(t *testing.T, rows []row) {
		seen := map[string]bool{}
		julian, unused := 0, 0
		for _, r := range rows {
			if date, ok := strings.CutSuffix(r["inputs"], " Gregorian"); ok && r["quantity"] == "julian_day" {
				julian++
				if got := julianDay(fraction(t, date)); math.Abs(got-r.Num(t, "expected")) > r.Num(t, "tol") {
					t.Errorf("julianDay(%s) = %v, want %v", date, got, r["expected"])
				}
				continue
			}
			key := r["example"] + "/" + r["quantity"]
			compute, ok := worked[key]
			if !ok {
				key += " " + r["inputs"]
				if compute, ok = worked[key]; !ok {
					if why := unusedExample(r); why == "" {
						t.Errorf("example %s is neither computed nor said to be unused", key)
					}
					unused++
					continue
				}
			}
			seen[key] = true
			want, got := sexagesimal(t, r), compute()
			tol, err := strconv.ParseFloat(strings.Fields(r["tol"])[0], 64)
			if err != nil {
				t.Fatalf("tolerance of %s: %v", key, err)
			}
			if math.Abs(got-want) > tol {
				t.Errorf("%s = %v, want %v within %v", key, got, want, tol)
			}
		}
		for key := range worked {
			if !seen[key] {
				t.Errorf("example %s is not in the table", key)
			}
		}
		if julian < 5 {
			t.Errorf("%d Julian days checked, want at least 5", julian)
		}
		t.Logf("%d examples and %d Julian days checked, %d unused", len(seen), julian, unused)
	})
}

// fraction reads 1957-10-04.81.
func fraction(t *testing.T, s string) time.Time {
	t.Helper()
	date, part, _ := strings.Cut(s, ".")
	day, err := time.Parse(time.DateOnly, date)
	if err != nil {
		t.Fatal(err)
	}
	f, err := strconv.ParseFloat("0."+part, 64)
	if err != nil {
		t.Fatal(err)
	}
	return day.Add(time.Duration(f * 24 * float64(time.Hour)))
}

// sexagesimal reads the expected value: a number, an instant (as seconds of the Julian day), or
// hours or degrees with minutes and seconds (as seconds).
func sexagesimal(t *testing.T, r row) float64 {
	t.Helper()
	s := r["expected"]
	if r["quantity"] == "TD" {
		at, err := time.Parse("2006-01-02T15:04:05", s)
		if err != nil {
			t.Fatal(err)
		}
		return julianDay(at) * secondsPerDay
	}
	if !strings.Contains(s, ":") {
		return r.Num(t, "expected")
	}
	sign := 1.0
	if strings.HasPrefix(s, "-") {
		sign, s = -1, s[1:]
	}
	sum := 0.0
	for part := range strings.SplitSeq(s, ":") {
		v, err := strconv.ParseFloat(part, 64)
		if err != nil {
			t.Fatal(err)
		}
		sum = sum*60 + v
	}
	return sign * sum
}
