package sky

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

// moonUp is MoonUp where it must not fail.
func moonUp(t testing.TB, p measure.Position, from, to time.Time) []Span {
	t.Helper()
	spans, err := MoonUp(p, from, to)
	if err != nil {
		t.Fatalf("MoonUp(%v, %v, %v): %v", p, from, to, err)
	}
	return spans
}

// US Naval Observatory, tables of one year: the moon comes up at each rise and goes down at each set.
func TestMoonUpAgreesWithYearTables(t *testing.T) {
	const around = 20 * time.Minute
	eachTable(t, "usno_year_riseset.csv", func(t *testing.T, rows []row) {
		var w worst
		for _, r := range rows {
			if r["body"] != "moon" || r["note"] != "" {
				continue // the sun's are not moonrises; days without are asked of Day
			}
			want := utc(t, r["utc"])
			from, to := want.Add(-around), want.Add(around)
			where := "moon" + r["event"] + " at " + r["place"] + " " + r["utc"]
			spans := moonUp(t, position(t, r), from, to)
			if len(spans) != 1 {
				t.Errorf("%s: %v, want one span", where, spans)
				continue
			}
			at, cut, edge := spans[0].From, spans[0].To, to
			if r["event"] == "set" {
				at, cut, edge = spans[0].To, spans[0].From, from
			}
			if !cut.Equal(edge) {
				t.Errorf("%s: %v, want the other end at %v", where, spans, edge)
			}
			minutes(t, &w, Event{At: at, OK: true}, want, r.Num(t, "tol_min"), where)
		}
		w.report(t, "min")
	})
}

// US Naval Observatory, data for one day: the days on which the moon is always or never up.
func TestMoonUpAgreesWithPolarFlags(t *testing.T) {
	eachTable(t, "usno_oneday_utc.csv", func(t *testing.T, rows []row) {
		flags := 0
		for _, r := range rows {
			always := r["event"] == "always_above_horizon"
			if r["body"] != "moon" || !always && r["event"] != "always_below_horizon" {
				continue
			}
			flags++
			from := date(t, r, "utc_date").start(time.UTC)
			to := from.Add(24 * time.Hour)
			var want []Span
			if always {
				want = []Span{{from, to}}
			}
			if got := moonUp(t, position(t, r), from, to); !slices.Equal(got, want) {
				t.Errorf("MoonUp(%s, %s) = %v, want %v", r["place"], r["utc_date"], got, want)
			}
		}
		if flags != 20 {
			t.Errorf("%d flags checked, want 20", flags)
		}
	})
}

// JPL Horizons: the moon's lit part, seen from where it is up and from where it is down.
func TestMoonlightAgreesWithHorizons(t *testing.T) {
	eachTable(t, "moon_illumination.csv", func(t *testing.T, rows []row) {
		seen := map[Moonlight]int{}
		for _, r := range rows {
			want := FaintMoon
			if r.Num(t, "illuminated_fraction") > 0.5 {
				want = BrightMoon
			}
			at := utc(t, r["utc"])
			for lon := -180.0; lon < 180; lon += 60 {
				p := measure.Position{Lat: 10, Lon: lon}
				s, err := At(Moon, p, at)
				if err != nil {
					t.Fatal(err)
				}
				if math.Abs(s.Altitude) < 3 {
					continue // on the horizon: that is asked of the tables of rise and set
				}
				want := want
				if s.Altitude < 0 {
					want = NoMoon
				}
				seen[want]++
				if got, err := MoonlightAt(p, at); err != nil || got != want {
					t.Errorf("MoonlightAt(%v, %s) = %q, %v, want %q", p, r["utc"], got, err, want)
				}
			}
		}
		if seen[BrightMoon] == 0 || seen[FaintMoon] == 0 || seen[NoMoon] == 0 {
			t.Errorf("seen %v, want all three", seen)
		}
	})
}

// JPL Horizons, altitudes from the ground: the moon is up above the horizon and not below it.
func TestMoonlightAgreesWithAltitudes(t *testing.T) {
	eachTable(t, "jpl_altaz.csv", func(t *testing.T, rows []row) {
		n := 0
		for _, r := range rows {
			altitude := r.Num(t, "altitude_deg")
			// The centre of a moon whose upper limb is on the horizon stands 0.25 degrees below it, to 0.1.
			if r["body"] != "moon" || math.Abs(altitude+0.25) < 0.1 {
				continue
			}
			n++
			got, err := MoonlightAt(position(t, r), utc(t, r["utc"]))
			if err != nil || (got != NoMoon) != (altitude > -0.25) {
				t.Errorf("MoonlightAt(%s, %s) = %q, %v, with the moon at %v", r["place"], r["utc"], got, err, altitude)
			}
		}
		if n < 30 {
			t.Errorf("%d altitudes checked, want at least 30", n)
		}
	})
}

// Anywhere, for fifteen days: spans in order, inside the window, and the moon is up at an instant if a span holds it.
func TestMoonUpIsWhenThereIsMoonlight(t *testing.T) {
	r := random(t)
	for i := range 24 {
		p, from := anywhere(r)
		if i%2 == 0 { // where the moon stays up or down for days, and grazes the horizon
			p.Lat = math.Copysign(58+14*r.Float64(), p.Lat)
		}
		to := from.Add(time.Duration(r.Int64N(int64(maxMoonWindow))))
		spans := moonUp(t, p, from, to)
		for j, s := range spans {
			if !s.From.Before(s.To) || s.From.Before(from) || s.To.After(to) || j > 0 && !spans[j-1].To.Before(s.From) {
				t.Errorf("MoonUp(%v, %v, %v) = %v, want spans in order within the window", p, from, to, spans)
			}
		}
		for range 300 {
			at := from.Add(time.Duration(r.Int64N(int64(to.Sub(from)) + 1)))
			in, edge := false, false
			for _, s := range spans {
				in = in || !at.Before(s.From) && at.Before(s.To)
				edge = edge || at.Sub(s.From).Abs() < 2*time.Second || at.Sub(s.To).Abs() < 2*time.Second
			}
			if edge {
				continue // rounding
			}
			h, standard := direct(Moon, p, at)
			if math.Abs(h-standard) < 0.001 {
				continue // grazing
			}
			got, err := MoonlightAt(p, at)
			if err != nil || (got != NoMoon) != in {
				t.Errorf("MoonlightAt(%v, %v) = %q, %v, in a span: %v", p, at, got, err, in)
			}
		}
	}
}

// Windows that are laid end to end tell of the same rises and sets as the days do, on both
// hemispheres, on both sides of the date line, and where the moon stays up for days.
func TestMoonUpAgreesWithTheDays(t *testing.T) {
	for _, name := range []string{"Australia/Sydney", "America/Los_Angeles", "Pacific/Apia", "Pacific/Kiritimati", "Arctic/Longyearbyen"} {
		p, loc := places[name], zone(t, name)
		first, last := Date{2026, 1, 1}, Date{2027, 1, 1}
		rises, sets := map[int64]bool{}, map[int64]bool{}
		start, end := first.start(loc).Add(-halfMinute), last.start(loc).Add(-halfMinute)
		for from := start; from.Before(end); {
			to := from.Add(maxMoonWindow)
			if to.After(end) {
				to = end
			}
			for _, s := range moonUp(t, p, from, to) {
				if !s.From.Equal(from.UTC()) {
					rises[s.From.Unix()] = true
				}
				if !s.To.Equal(to.UTC()) {
					sets[s.To.Unix()] = true
				}
			}
			from = to
		}
		found := func(m map[int64]bool, e Event) bool {
			for s := int64(-1); s <= 1; s++ {
				if m[e.At.Unix()+s] {
					delete(m, e.At.Unix()+s)
					return true
				}
			}
			return false
		}
		n := 0
		for d := first; d.before(last); d = d.next() {
			day := days{}.on(t, p, d, loc)
			if day.Moonrise.OK {
				if n++; !found(rises, day.Moonrise) {
					t.Errorf("%s: moonrise of %s, %v, begins no span", name, d, day.Moonrise.At)
				}
			}
			if day.Moonset.OK {
				if n++; !found(sets, day.Moonset) {
					t.Errorf("%s: moonset of %s, %v, ends no span", name, d, day.Moonset.At)
				}
			}
		}
		// What is left over is the second rise of a day, or the first set: in the far north.
		for s := range rises {
			day := days{}.on(t, p, DateIn(time.Unix(s, 0).Add(halfMinute), loc), loc)
			if !day.Moonrise.OK || day.Moonrise.At.Unix() > s {
				t.Errorf("%s: rise at %v is in no day", name, time.Unix(s, 0).In(loc))
			}
		}
		for s := range sets {
			day := days{}.on(t, p, DateIn(time.Unix(s, 0).Add(halfMinute), loc), loc)
			if !day.Moonset.OK || day.Moonset.At.Unix() < s {
				t.Errorf("%s: set at %v is in no day", name, time.Unix(s, 0).In(loc))
			}
		}
		t.Logf("%s: %d rises and sets, %d left over", name, n, len(rises)+len(sets))
	}
}

func TestMoonUpWindows(t *testing.T) {
	// US Naval Observatory, Melbourne by UTC: rise 2026-06-21 01:52, set 14:05.
	p := measure.Position{Lat: -37.814, Lon: 144.96332}
	sydney := zone(t, "Australia/Sydney")
	rise, noon, set := utc(t, "2026-06-21T01:52:00Z"), utc(t, "2026-06-21T08:00:00Z"), utc(t, "2026-06-21T14:05:00Z")
	got := moonUp(t, p, rise.Add(-time.Hour), set.Add(time.Hour))
	if len(got) != 1 || got[0].From.Sub(rise).Abs() > time.Minute || got[0].To.Sub(set).Abs() > time.Minute {
		t.Errorf("MoonUp = %v, want %v to %v", got, rise, set)
	}
	within := Span{noon.Add(300 * time.Millisecond), noon.Add(time.Hour)}
	if got := moonUp(t, p, within.From.In(sydney), within.To.In(sydney)); len(got) != 1 || got[0] != within {
		t.Errorf("MoonUp(while it is up) = %v, want the window, UTC: %v", got, within)
	}
	for name, spans := range map[string][]Span{
		"Down":  moonUp(t, p, set.Add(2*time.Minute), set.Add(6*time.Hour)),
		"Empty": moonUp(t, p, noon, noon),
	} {
		if len(spans) != 0 {
			t.Errorf("%s: MoonUp = %v, want none", name, spans)
		}
	}
	if spans := moonUp(t, p, noon, noon.Add(maxMoonWindow)); len(spans) < 14 || len(spans) > 16 {
		t.Errorf("MoonUp(15 days) = %d spans, want about one a day", len(spans))
	}
}

// A rise or set that falls where two tracks meet, a day into the window, or right at an end of it, is
// neither lost nor told twice nor told outside, however the rounding falls.
func TestMoonUpWhereTracksAndWindowsMeet(t *testing.T) {
	for _, name := range []string{"Australia/Sydney", "America/Los_Angeles", "Pacific/Kiritimati"} {
		p := places[name]
		day := days{}.on(t, p, Date{2026, 3, 12}, time.UTC)
		for what, e := range map[string]Event{"rise": day.Moonrise, "set": day.Moonset} {
			if !e.OK {
				continue
			}
			n := len(moonUp(t, p, e.At.Add(-25*time.Hour), e.At.Add(25*time.Hour)))
			for ms := -600; ms <= 600; ms += 4 {
				meet := e.At.Add(time.Duration(ms) * time.Millisecond)
				from, to := meet.Add(-24*time.Hour), meet.Add(25*time.Hour)
				spans := moonUp(t, p, from, to)
				hits := 0
				for _, s := range spans {
					for _, end := range []time.Time{s.From, s.To} {
						if end.Sub(e.At).Abs() <= 2*time.Second {
							hits++
						}
					}
				}
				// The window is an hour shorter than the one above: at most the piece at its start is gone.
				if hits != 1 || len(spans) < n-1 || len(spans) > n {
					t.Fatalf("%s: MoonUp from %v = %v, want one %s at %v", name, from, spans, what, e.At)
				}
				for _, s := range append(moonUp(t, p, meet, to), moonUp(t, p, from, meet)...) {
					if s.From.Before(from) || s.To.After(to) || s.From.Before(meet) && s.To.After(meet) || !s.From.Before(s.To) {
						t.Fatalf("%s: %v to %v is outside of the windows that meet at %v", name, s.From, s.To, meet)
					}
				}
			}
		}
	}
}

func TestMoonlightRefusals(t *testing.T) {
	p, noon := measure.Position{Lat: -33, Lon: 151}, time.Date(2026, 7, 1, 12, 0, 0, 0, time.UTC)
	bad, late := measure.Position{Lat: 91}, time.Date(2100, 12, 31, 23, 0, 0, 0, time.UTC)
	for name, try := range map[string]func() error{
		"BadPosition":   func() error { _, err := MoonUp(bad, noon, noon); return err },
		"Backwards":     func() error { _, err := MoonUp(p, noon, noon.Add(-time.Second)); return err },
		"LightPosition": func() error { _, err := MoonlightAt(bad, noon); return err },
	} {
		if err := try(); err == nil {
			t.Errorf("%s = nil, want an error", name)
		}
	}
	if _, err := MoonUp(p, noon, noon.Add(maxMoonWindow+1)); err == nil || !strings.Contains(err.Error(), "360h") {
		t.Errorf("MoonUp(longer than 15 days) = %v, want an error that names the limit", err)
	}
	var year *YearError
	for name, err := range map[string]error{
		"FromTooEarly": func() error {
			_, err := MoonUp(p, time.Date(1899, 12, 31, 23, 0, 0, 0, time.UTC), time.Date(1900, 1, 2, 0, 0, 0, 0, time.UTC))
			return err
		}(),
		"ToTooLate": func() error { _, err := MoonUp(p, late, late.Add(24*time.Hour)); return err }(),
		"At":        func() error { _, err := MoonlightAt(p, late.Add(24*time.Hour)); return err }(),
	} {
		if !errors.As(err, &year) {
			t.Errorf("%s = %v, want a YearError", name, err)
		}
	}
}
