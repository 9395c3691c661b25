package main

import (
	"fmt"
	"ledgehand/conditions/checkrows"
	"math"
	"strings"
	"testing"
	"time"
)

// skyDay is one question of a table and the rows that it answers.
type skyDay struct {
	question object
	rows     []record
}

// skyDays gathers the rows of a table by place and day.
func skyDays(t testing.TB, rows []record, dateColumn string, tz func(r record) string) []skyDay {
	t.Helper()
	var out []skyDay
	index := map[string]int{}
	for _, r := range rows {
		zone := tz(r)
		key := strings.Join([]string{r["lat_deg"], r["lon_deg_east"], r[dateColumn], zone}, " ")
		i, ok := index[key]
		if !ok {
			i = len(out)
			index[key] = i
			out = append(out, skyDay{question: object{"op": "sky", "lat": r.Num(t, "lat_deg"), "lon": r.Num(t, "lon_deg_east"), "date": r[dateColumn], "tz": zone}})
		}
		out[i].rows = append(out[i].rows, r)
	}
	return out
}

func answerDays(t testing.TB, days []skyDay) []object {
	t.Helper()
	var in asking
	for _, d := range days {
		in.add(t, d.question)
	}
	return in.answers(t)
}

// offsetZone names a table's hours east of Greenwich.
func offsetZone(t testing.TB, r record) string {
	h := r.Num(t, "utc_offset_h")
	return fmt.Sprintf("%+03d:%02d", int(h), int(math.Abs(h-math.Trunc(h))*60))
}

// US Naval Observatory, tables of rise and set for one year, in standard time: to the minute they are printed to. On days
// with two sets we give the last, and the first is not compared.
func TestCalcSkyAgreesWithYearTables(t *testing.T) {
	overChecks(t, "sky", func(t *testing.T, dir string) {
		days := skyDays(t, checkTable(t, dir, "usno_year_riseset.csv"), "local_date", func(r record) string { return offsetZone(t, r) })
		var m misfit
		none := 0
		for i, a := range answerDays(t, days) {
			latest := map[string]time.Time{}
			for _, r := range days[i].rows {
				if k := r["body"] + " " + r["event"]; r["note"] == "" && r.Time(t, "utc").After(latest[k]) {
					latest[k] = r.Time(t, "utc")
				}
			}
			for _, r := range days[i].rows {
				k := r["body"] + " " + r["event"]
				key := map[string]string{"sun rise": "sunrise", "sun set": "sunset", "moon rise": "moonrise", "moon set": "moonset"}[k]
				where := fmt.Sprintf("%s at %s on %s", key, r["place"], r["local_date"])
				if r["note"] != "" {
					none++
					if v, ok := a[key]; !ok || v != nil {
						t.Errorf("%s = %v, want null", where, v)
					}
					continue
				}
				if r["event"] == "set" && r.Time(t, "utc").Before(latest[k]) {
					continue
				}
				m.near(t, where, instantIn(t, a, key).Sub(r.Time(t, "utc")).Minutes(), 0, r.Num(t, "tol_min"))
			}
		}
		m.log(t, 300, "min")
		if none == 0 {
			t.Error("no day without an event was checked")
		}
	})
}

// US Naval Observatory, data for one day, by UTC day, from 78 south to 78 north, polar days and nights with it.
func TestCalcSkyAgreesWithOneDayData(t *testing.T) {
	overChecks(t, "sky", func(t *testing.T, dir string) {
		days := skyDays(t, checkTable(t, dir, "usno_oneday_utc.csv"), "utc_date", func(record) string { return "UTC" })
		var m, lit misfit
		flags := 0
		for i, a := range answerDays(t, days) {
			for _, r := range days[i].rows {
				what := r["body"] + " " + r["event"]
				where := fmt.Sprintf("%s at %s on %s", what, r["place"], r["utc_date"])
				key, ok := map[string]string{
					"sun rise": "sunrise", "sun set": "sunset", "moon rise": "moonrise", "moon set": "moonset", "sun civil_dawn": "civil_dawn", "sun civil_dusk": "civil_dusk",
				}[what]
				switch {
				case what == "sun always_above_horizon" || what == "sun always_below_horizon":
					flags++
					want := map[bool]string{true: "always up", false: "always down"}[strings.Contains(what, "above")]
					if a["sun"] != want || a["sunrise"] != nil || a["sunset"] != nil {
						t.Errorf("%s: sun %v, rise %v, want %q and null", where, a["sun"], a["sunrise"], want)
					}
				case what == "moon illuminated_percent_at_noon_utc_day":
					lit.near(t, where, 100*numberIn(t, a, "moon_lit"), r.Num(t, "value_hhmm_or_pct"), r.Num(t, "tol"))
				case ok:
					want := checkrows.Time(t, r["utc_date"]+"T"+r["value_hhmm_or_pct"]+"Z")
					m.near(t, where, instantIn(t, a, key).Sub(want).Minutes(), 0, r.Num(t, "tol"))
				}
			}
		}
		m.log(t, 50, "min")
		lit.log(t, 5, "per cent lit")
		if flags == 0 {
			t.Error("no polar day was checked")
		}
	})
}

// Twilights of London, Defiance OH and a place at 28.538 N (the origin of the last is not stated).
func TestCalcSkyAgreesWithTwilights(t *testing.T) {
	overChecks(t, "sky", func(t *testing.T, dir string) {
		var in asking
		var rows []record
		for _, r := range checkTable(t, dir, "twilight.csv") {
			if !strings.HasPrefix(r["event"], "civil_") && !strings.HasPrefix(r["event"], "nautical_") {
				continue
			}
			zone := time.FixedZone("", int(math.Round(r.Num(t, "lon_deg_east")/15))*3600) // the day its sun goes by
			rows = append(rows, r)
			at := r.Time(t, "utc").In(zone)
			in.add(t, object{"op": "sky", "lat": r.Num(t, "lat_deg"), "lon": r.Num(t, "lon_deg_east"), "date": at.Format(time.DateOnly), "tz": at.Format("-07:00")})
		}
		var m misfit
		for i, a := range in.answers(t) {
			r := rows[i]
			m.near(t, r["event"]+" "+r["utc"], instantIn(t, a, r["event"]).Sub(r.Time(t, "utc")).Minutes(), 0, r.Num(t, "tol_min"))
		}
		m.log(t, 10, "min")
	})
}

// JPL Horizons, apparent altitude and azimuth with refraction.
func TestCalcSkyAtAgreesWithHorizons(t *testing.T) {
	overChecks(t, "sky", func(t *testing.T, dir string) {
		rows := checkTable(t, dir, "jpl_altaz.csv")
		var in asking
		for _, r := range rows {
			in.add(t, object{"op": "sky.at", "body": r["body"], "lat": r.Num(t, "lat_deg"), "lon": r.Num(t, "lon_deg_east"), "t": r["utc"]})
		}
		var alt, az misfit
		for i, a := range in.answers(t) {
			r := rows[i]
			where := r["body"] + " at " + r["place"] + " " + r["utc"]
			alt.near(t, where, numberIn(t, a, "altitude_deg"), r.Num(t, "altitude_deg"), r.Num(t, "tol_deg"))
			turn := math.Remainder(numberIn(t, a, "azimuth_deg")-r.Num(t, "azimuth_deg"), 360)
			az.near(t, where, turn*math.Cos(r.Num(t, "altitude_deg")*math.Pi/180), 0, r.Num(t, "tol_deg"))
			if _, ok := a["lit"]; ok != (r["body"] == "moon") {
				t.Errorf("%s = %v, want lit for the moon only", where, a)
			}
		}
		alt.log(t, 50, "degrees of altitude")
		az.log(t, 50, "degrees of azimuth, on the sphere")
	})
}

// JPL Horizons: lit part and distance of the moon, from the middle of the Earth.
func TestCalcSkyAtAgreesWithTheMoonsOfHorizons(t *testing.T) {
	overChecks(t, "sky", func(t *testing.T, dir string) {
		var in asking
		var rows []record
		for _, r := range checkTable(t, dir, "moon_illumination.csv") {
			if r["distance_km"] == "" {
				continue
			}
			rows = append(rows, r)
			in.add(t, object{"op": "sky.at", "body": "moon", "lat": 0, "lon": 0, "t": r["utc"]})
		}
		var lit, km misfit
		for i, a := range in.answers(t) {
			lit.near(t, rows[i]["utc"], numberIn(t, a, "lit"), rows[i].Num(t, "illuminated_fraction"), rows[i].Num(t, "tol_fraction"))
			km.near(t, rows[i]["utc"], numberIn(t, a, "distance_km"), rows[i].Num(t, "distance_km"), rows[i].Num(t, "tol_km"))
		}
		lit.log(t, 20, "lit")
		km.log(t, 20, "km")
	})
}

// US Naval Observatory, phases of the moon: each alone in the two days around it.
func TestCalcPhasesAgreeWithTheAlmanac(t *testing.T) {
	overChecks(t, "sky", func(t *testing.T, dir string) {
		rows := checkTable(t, dir, "moon_phases.csv")
		var in asking
		for _, r := range rows {
			in.add(t, object{"op": "sky.phases", "from": r.Time(t, "utc").Add(-24 * time.Hour), "to": r.Time(t, "utc").Add(24 * time.Hour)})
		}
		var m misfit
		for i, a := range in.answers(t) {
			list := listIn(t, a, "phases")
			if len(list) != 1 || list[0].(object)["phase"] != rows[i]["phase"] {
				t.Errorf("phases around %s = %v, want one, %q", rows[i]["utc"], list, rows[i]["phase"])
				continue
			}
			m.near(t, rows[i]["phase"]+" "+rows[i]["utc"], instantIn(t, list[0].(object), "t").Sub(rows[i].Time(t, "utc")).Minutes(), 0, rows[i].Num(t, "tol_min"))
		}
		m.log(t, 50, "min")
	})
}

// A zone may be a name or an offset; where the clocks do not change both give the same day.
func TestCalcSkyTakesZonesAndOffsets(t *testing.T) {
	name := ask1(t, `{"op":"sky","lat":-33.9,"lon":151.3,"date":"2026-07-01","tz":"Australia/Brisbane"}`)
	offset := ask1(t, `{"op":"sky","lat":-33.9,"lon":151.3,"date":"2026-07-01","tz":"+10:00"}`)
	if fmt.Sprint(name) != fmt.Sprint(offset) || name["sunrise"] == nil {
		t.Errorf("sky at +10:00 = %v, want %v", offset, name)
	}
}
