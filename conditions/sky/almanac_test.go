package sky

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/soniakeys/meeus/v3/base"
	"github.com/soniakeys/meeus/v3/solar"

	"ledgehand/conditions/measure"
)

// days remembers the days asked for, since the tables list several events of each.
type days map[string]Day

func (m days) on(t *testing.T, p measure.Position, d Date, loc *time.Location) Day {
	t.Helper()
	key := fmt.Sprint(p, d, loc)
	day, ok := m[key]
	if !ok {
		var err error
		if day, err = DayAt(p, d, loc); err != nil {
			t.Fatalf("DayAt(%v, %v, %v): %v", p, d, loc, err)
		}
		m[key] = day
	}
	return day
}

func hoursEast(h float64) *time.Location {
	return time.FixedZone(fmt.Sprintf("UTC%+g", h), int(h*3600))
}

// minutes compares an event to a published minute.
func minutes(t *testing.T, w *worst, e Event, want time.Time, tol float64, where string) {
	t.Helper()
	if !e.OK {
		t.Errorf("%s: no event, want %s", where, want.Format(time.RFC3339))
		return
	}
	err := e.At.Sub(want).Minutes()
	w.see(err, where)
	if math.Abs(err) > tol {
		t.Errorf("%s = %s, want %s within %v min", where, e.At.Format(time.RFC3339), want.Format("15:04Z"), tol)
	}
}

// US Naval Observatory, tables of rise and set for one year, in standard time all year.
func TestDayAgreesWithYearTables(t *testing.T) {
	eachTable(t, "usno_year_riseset.csv", func(t *testing.T, rows []row) {
		seen := days{}
		w := map[string]*worst{"sun": {}, "moon": {}}
		twice, none := twiceADay(rows), 0
		for _, r := range rows {
			loc := hoursEast(r.Num(t, "utc_offset_h"))
			day := seen.on(t, position(t, r), date(t, r, "local_date"), loc)
			e := map[string]Event{
				"sun rise": day.Sunrise, "sun set": day.Sunset,
				"moon rise": day.Moonrise, "moon set": day.Moonset,
			}[r["body"]+" "+r["event"]]
			where := fmt.Sprintf("%s of the %s at %s on %s", r["event"], r["body"], r["place"], r["local_date"])
			if r["note"] != "" {
				none++
				if e.OK {
					t.Errorf("%s = %s, want none that day", where, e.At.In(loc).Format(time.RFC3339))
				}
				continue
			}
			want := utc(t, r["utc"])
			if k := eventOf(r); len(twice[k]) > 1 && want.Sub(day.From) < 12*time.Hour {
				// Day gives the last set of the day; the first is found by asking for the crossings.
				e = firstSet(t, position(t, r), day)
			}
			minutes(t, w[r["body"]], e, want, r.Num(t, "tol_min"), where)
		}
		if n := w["sun"].n + w["moon"].n + none; n != len(rows) || none == 0 {
			t.Errorf("%d of %d rows were checked, %d of them for no event, want all", n, len(rows), none)
		}
		w["sun"].report(t, "min (sun)")
		w["moon"].report(t, "min (moon)")
	})
}

func eventOf(r row) string {
	return strings.Join([]string{r["place"], r["body"], r["event"], r["local_date"]}, " ")
}

func twiceADay(rows []row) map[string][]row {
	m := map[string][]row{}
	for _, r := range rows {
		if r["note"] == "" {
			m[eventOf(r)] = append(m[eventOf(r)], r)
		}
	}
	return m
}

// firstSet is the first sunset of a day, which Day leaves out when there is a second.
func firstSet(t *testing.T, p measure.Position, day Day) Event {
	t.Helper()
	start, length := day.From.Add(-halfMinute), day.To.Sub(day.From).Seconds()
	k := newTrack(Sun, observer(p), start, length, lookEvery)
	f := func(s float64) float64 { sin, _ := k.height(s); return sin }
	for _, c := range take(f, length).crossings(f, sunAltitude.Sin()) {
		if !c.up {
			return Event{At: after(start, c.s), OK: true}
		}
	}
	return Event{}
}

// US Naval Observatory, data for one day, by UTC day, from 78 south to 78 north.
func TestDayAgreesWithOneDayData(t *testing.T) {
	eachTable(t, "usno_oneday_utc.csv", func(t *testing.T, rows []row) {
		seen := days{}
		var times, transits, percent worst
		flags := 0
		for _, r := range rows {
			d := date(t, r, "utc_date")
			day := seen.on(t, position(t, r), d, time.UTC)
			where := fmt.Sprintf("%s of the %s at %s on %s", r["event"], r["body"], r["place"], r["utc_date"])
			state := func(got, want State) {
				flags++
				if got != want {
					t.Errorf("%s: state %q, want %q", where, got, want)
				}
			}
			var e Event
			switch what := r["body"] + " " + r["event"]; what {
			case "sun always_above_horizon":
				state(day.Sun, AlwaysUp)
				continue
			case "sun always_below_horizon":
				state(day.Sun, AlwaysDown)
				continue
			case "sun always_above_civil_limit":
				state(day.Civil, AlwaysUp)
				continue
			case "sun always_below_civil_limit":
				state(day.Civil, AlwaysDown)
				continue
			case "moon always_above_horizon":
				state(day.Moon, AlwaysUp)
				continue
			case "moon always_below_horizon":
				state(day.Moon, AlwaysDown)
				continue
			case "moon illuminated_percent_at_noon_utc_day":
				want, got := r.Num(t, "value_hhmm_or_pct"), day.MoonLit*100
				percent.see(got-want, where)
				if math.Abs(got-want) > r.Num(t, "tol") {
					t.Errorf("%s = %.2f, want %v", where, got, want)
				}
				continue
			case "sun rise":
				e = day.Sunrise
			case "sun set":
				e = day.Sunset
			case "sun civil_dawn":
				e = day.CivilDawn
			case "sun civil_dusk":
				e = day.CivilDusk
			case "moon rise":
				e = day.Moonrise
			case "moon set":
				e = day.Moonset
			case "sun transit", "moon transit", "sun lower_transit", "moon lower_transit":
				minutes(t, &transits, meridian(position(t, r), day, Body(r["body"]), r["event"]),
					utc(t, r["utc_date"]+"T"+r["value_hhmm_or_pct"]+"Z"), r.Num(t, "tol"), where)
				continue
			default:
				t.Fatalf("unknown event %q", what)
			}
			minutes(t, &times, e, utc(t, r["utc_date"]+"T"+r["value_hhmm_or_pct"]+"Z"), r.Num(t, "tol"), where)
		}
		if flags == 0 {
			t.Error("no polar flag was checked")
		}
		t.Logf("%d polar flags checked", flags)
		if n := times.n + transits.n + percent.n + flags; n != len(rows) {
			t.Errorf("%d of %d rows were checked, want all", n, len(rows))
		}
		times.report(t, "min")
		if transits.n > 0 { // the copy leaves them out; see transit_test.go
			transits.report(t, "min (transit)")
		}
		percent.report(t, "per cent lit")
	})
}

// meridian is a transit of a day; the lower one, under foot, is not offered by Day but comes the same way.
func meridian(p measure.Position, day Day, b Body, event string) Event {
	if event == "lower_transit" {
		start, length := day.From.Add(-halfMinute), day.To.Sub(day.From).Seconds()
		s, ok := newTrack(b, observer(p), start, length, lookEvery).reaches(math.Pi, length)
		return Event{At: after(start, s), OK: ok}
	}
	if b == Moon {
		return day.MoonTransit
	}
	return day.SunTransit
}

// US Naval Observatory, the same data: an event that a day does not list, it does not have. The
// tables list no transit of a body that stays under the horizon.
func TestDayHasNoEventTheOneDayDataLeaveOut(t *testing.T) {
	eachWhole(t, "usno_oneday_utc.csv", func(t *testing.T, rows []row) {
		listed := map[string]bool{}
		sample := map[string]row{}
		key := func(r row, what string) string { return r["place"] + " " + r["utc_date"] + " " + what }
		for _, r := range rows {
			listed[key(r, r["body"]+" "+r["event"])] = true
			sample[key(r, "")] = r
		}
		left := map[string]int{}
		for _, r := range sample {
			day := days{}.on(t, position(t, r), date(t, r, "utc_date"), time.UTC)
			for what, e := range map[string]Event{
				"sun rise": day.Sunrise, "sun set": day.Sunset, "sun transit": day.SunTransit,
				"sun civil_dawn": day.CivilDawn, "sun civil_dusk": day.CivilDusk,
				"moon rise": day.Moonrise, "moon set": day.Moonset, "moon transit": day.MoonTransit,
			} {
				if listed[key(r, what)] {
					continue
				}
				left[what]++
				body, event, _ := strings.Cut(what, " ")
				if e.OK && !(event == "transit" && listed[key(r, body+" always_below_horizon")]) {
					t.Errorf("%s at %s on %s = %v, want none", what, r["place"], r["utc_date"], e.At)
				}
			}
		}
		if left["moon transit"] == 0 || left["moon rise"] == 0 || left["moon set"] == 0 {
			t.Errorf("left out %v, want days without a rise, a set and a transit of the moon", left)
		}
		t.Logf("left out: %v", left)
	})
}

// US Naval Observatory, moon at Fairbanks in June and July 2006: it skips days both up and down.
func TestDayAgreesWithFairbanksMoon(t *testing.T) {
	eachTable(t, "usno_fairbanks_moon.csv", func(t *testing.T, rows []row) {
		var times, azimuths, altitudes worst
		for _, r := range rows {
			p, loc := position(t, r), hoursEast(r.Num(t, "utc_offset_h"))
			day := days{}.on(t, p, date(t, r, "local_date"), loc)
			for _, c := range []struct {
				name string
				e    Event
			}{{"rise", day.Moonrise}, {"set", day.Moonset}, {"transit", day.MoonTransit}} {
				where := fmt.Sprintf("moon%s on %s", c.name, r["local_date"])
				if r[c.name] == "" {
					if c.e.OK {
						t.Errorf("%s = %s, want none", where, c.e.At.In(loc))
					}
					continue
				}
				want, err := time.ParseInLocation("2006-01-02 15:04", r["local_date"]+" "+r[c.name], loc)
				if err != nil {
					t.Fatal(err)
				}
				minutes(t, &times, c.e, want, r.Num(t, "tol_min"), where)
				s, err := At(Moon, p, c.e.At)
				if err != nil {
					t.Fatal(err)
				}
				if c.name == "transit" { // printed as degrees over the south point
					high, south := strings.CutSuffix(r["transit_alt"], "S")
					alt, err := strconv.ParseFloat(high, 64)
					if err != nil || !south {
						t.Fatalf("transit_alt %q: %v", r["transit_alt"], err)
					}
					altitudes.see(s.Altitude-alt, where)
					near(t, "altitude at "+where, s.Altitude, alt, 0.7) // half a degree of printing, and refraction
					near(t, "azimuth at "+where, float64(s.Azimuth), 180, 0.1)
					continue
				}
				off := measure.Wrap180(float64(s.Azimuth) - r.Num(t, c.name+"_az"))
				azimuths.see(off, where)
				if math.Abs(off) > 1 { // printed to the degree, and it runs up to a degree in two minutes
					t.Errorf("azimuth at %s = %.2f, want %v", where, float64(s.Azimuth), r[c.name+"_az"])
				}
			}
		}
		times.report(t, "min")
		azimuths.report(t, "degrees")
		altitudes.report(t, "degrees (altitude at transit)")
	})
}

// Twilights of three places, see the source column; astronomical ones are not offered by Day but come
// from the same crossings.
func TestTwilightAgreesWithTables(t *testing.T) {
	eachTable(t, "twilight.csv", func(t *testing.T, rows []row) {
		seen := days{}
		var w worst
		for _, r := range rows {
			p, want := position(t, r), utc(t, r["utc"])
			loc := hoursEast(math.Round(p.Lon / 15))
			day := seen.on(t, p, DateIn(want, loc), loc)
			var e Event
			switch r["event"] {
			case "civil_dawn":
				e = day.CivilDawn
			case "civil_dusk":
				e = day.CivilDusk
			case "nautical_dawn":
				e = day.NauticalDawn
			case "nautical_dusk":
				e = day.NauticalDusk
			case "sunrise":
				e = day.Sunrise
			case "sunset":
				e = day.Sunset
			case "astronomical_dawn", "astronomical_dusk":
				dawn, dusk := through(p, day, -18)
				if e = dusk; r["event"] == "astronomical_dawn" {
					e = dawn
				}
			case "solar_noon":
				e = day.SunTransit
			default:
				t.Fatalf("unknown event %q", r["event"])
			}
			minutes(t, &w, e, want, r.Num(t, "tol_min"), r["event"]+" at "+r["place"]+" "+r["utc"])
		}
		w.report(t, "min")
	})
}

// through is when the sun passes an altitude of any number of degrees.
func through(p measure.Position, day Day, degrees float64) (up, down Event) {
	start, length := day.From.Add(-halfMinute), day.To.Sub(day.From).Seconds()
	k := newTrack(Sun, observer(p), start, length, lookEvery)
	f := func(s float64) float64 { sin, _ := k.height(s); return sin }
	l, level := take(f, length), math.Sin(degrees*math.Pi/180)
	up, down, _ = frame(start, l.crossings(f, level), l.h[1] >= level)
	return up, down
}

// US Naval Observatory, phases of the moon.
func TestPhasesAgreeWithTable(t *testing.T) {
	eachTable(t, "moon_phases.csv", func(t *testing.T, rows []row) {
		var w worst
		for _, r := range rows {
			want := utc(t, r["utc"])
			got, err := Phases(want.Add(-36*time.Hour), want.Add(36*time.Hour))
			if err != nil || len(got) != 1 || string(got[0].Phase) != r["phase"] {
				t.Errorf("Phases(around %s) = %v, %v, want one %s", r["utc"], got, err, r["phase"])
				continue
			}
			minutes(t, &w, Event{At: got[0].At, OK: true}, want, r.Num(t, "tol_min"), r["phase"]+" "+r["utc"])
			day := days{}.on(t, measure.Position{}, DateIn(got[0].At, time.UTC), time.UTC)
			if string(day.MoonPhase) != r["phase"] {
				t.Errorf("phase of the day %s = %q, want %q", day.Date, day.MoonPhase, r["phase"])
			}
		}
		w.report(t, "min")
	})
}

// JPL Horizons, lit part of the moon and its distance, from the middle of the Earth.
func TestMoonLitAgreesWithHorizons(t *testing.T) {
	eachTable(t, "moon_illumination.csv", func(t *testing.T, rows []row) {
		var lit, km worst
		for _, r := range rows {
			s, err := At(Moon, measure.Position{Lat: 50, Lon: 7}, utc(t, r["utc"]))
			if err != nil {
				t.Fatal(err)
			}
			dl := s.Lit - r.Num(t, "illuminated_fraction")
			lit.see(dl, r["utc"])
			if math.Abs(dl) > r.Num(t, "tol_fraction") {
				t.Errorf("lit at %s = %v, want %v", r["utc"], s.Lit, r["illuminated_fraction"])
			}
			if r["distance_km"] == "" {
				continue
			}
			dk := s.DistanceKm - r.Num(t, "distance_km")
			km.see(dk, r["utc"])
			if math.Abs(dk) > r.Num(t, "tol_km") {
				t.Errorf("distance at %s = %v, want %v", r["utc"], s.DistanceKm, r["distance_km"])
			}
		}
		lit.report(t, "lit")
		km.report(t, "km")
	})
}

// JPL Horizons, apparent positions with refraction, from the ground.
func TestAtAgreesWithHorizons(t *testing.T) {
	eachTable(t, "jpl_altaz.csv", func(t *testing.T, rows []row) {
		var altitude, azimuth, up worst
		for _, r := range rows {
			where := r["body"] + " at " + r["place"] + " " + r["utc"]
			s, err := At(Body(r["body"]), position(t, r), utc(t, r["utc"]))
			if err != nil {
				t.Fatal(err)
			}
			tol := r.Num(t, "tol_deg")
			da := s.Altitude - r.Num(t, "altitude_deg")
			dz := measure.Wrap180(float64(s.Azimuth) - r.Num(t, "azimuth_deg"))
			altitude.see(da, where)
			if r.Num(t, "altitude_deg") > 0 {
				up.see(da, where)
			}
			azimuth.see(dz, where)
			if math.Abs(da) > tol || math.Abs(dz) > tol {
				t.Errorf("%s = altitude %.3f azimuth %.3f, want %s and %s within %v",
					where, s.Altitude, float64(s.Azimuth), r["altitude_deg"], r["azimuth_deg"], tol)
			}
		}
		altitude.report(t, "degrees of altitude")
		up.report(t, "degrees of altitude, above the horizon")
		azimuth.report(t, "degrees of azimuth")
	})
}

// US Naval Observatory, seasons: the sun's apparent longitude is a whole quarter of a circle. The
// tables give minutes, 0.0007 degrees of it; the sun here is good to 0.01.
func TestSunStandsAtTheSeasons(t *testing.T) {
	eachWhole(t, "seasons.csv", func(t *testing.T, rows []row) {
		var w worst
		apsides := 0
		for _, r := range rows {
			longitude, ok := map[string]float64{
				"march_equinox": 0, "june_solstice": 90, "september_equinox": 180, "december_solstice": 270,
			}[r["event"]]
			if !ok {
				apsides++ // nearest and farthest: the distance hardly changes for a day around
				continue
			}
			jde := ephemerisDay(julianDay(utc(t, r["utc"])))
			got := solar.ApparentLongitude(base.J2000Century(jde)).Deg()
			off := measure.Wrap180(got - longitude)
			w.see(off, r["event"]+" "+r["utc"])
			near(t, "longitude at "+r["event"]+" "+r["utc"], off, 0, 0.0107)
		}
		w.report(t, "degrees")
		t.Logf("%d apsides left out", apsides)
	})
}
