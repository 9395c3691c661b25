package sky

import (
	"errors"
	"fmt"
	"math"
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

// walkOut is WalkOut where it must not fail.
func walkOut(t testing.TB, p measure.Position, at time.Time, walk time.Duration) LeaveBy {
	t.Helper()
	by, err := WalkOut(p, at, walk)
	if err != nil {
		t.Fatalf("WalkOut(%v, %v, %v): %v", p, at, walk, err)
	}
	return by
}

// US Naval Observatory, data for one day: a walk that is left for in time ends at the published sunset
// or civil dusk, seen from an hour before it.
func TestWalkOutEndsAtThePublishedLight(t *testing.T) {
	const walk = 35 * time.Minute
	eachTable(t, "usno_oneday_utc.csv", func(t *testing.T, rows []row) {
		w := map[string]*worst{"set": {}, "civil_dusk": {}}
		for _, r := range rows {
			if r["body"] != "sun" || w[r["event"]] == nil {
				continue
			}
			want := utc(t, r["utc_date"]+"T"+r["value_hhmm_or_pct"]+"Z")
			by := walkOut(t, position(t, r), want.Add(-time.Hour), walk)
			end, leave, state := by.Sunset, by.BeforeSunset, by.Sun
			if r["event"] == "civil_dusk" {
				end, leave, state = by.Dusk, by.BeforeDark, by.Civil
			}
			where := r["event"] + " at " + r["place"] + " on " + r["utc_date"]
			minutes(t, w[r["event"]], end, want, r.Num(t, "tol"), where)
			if state != Normal || !leave.OK || end.At.Sub(leave.At) != walk {
				t.Errorf("%s: leave by %v for the end at %v (%s), want %v between", where, leave, end, state, walk)
			}
		}
		w["set"].report(t, "min (sunset)")
		w["civil_dusk"].report(t, "min (civil dusk)")
	})
}

var (
	longyearbyen = measure.Position{Lat: 78.22334, Lon: 15.64689}
	reykjavik    = measure.Position{Lat: 64.13548, Lon: -21.89541}
	melbourne    = measure.Position{Lat: -37.814, Lon: 144.96332}
)

// Published times and flags are those of the US Naval Observatory for the UTC day.
func TestWalkOutTellsWhichLightHolds(t *testing.T) {
	for _, tt := range []struct {
		name             string
		p                measure.Position
		at               string
		sunset, dusk     string // "" is none
		sunState, darkly State
	}{
		{"Day", melbourne, "2026-03-20T03:00:00Z", "2026-03-20T08:32:00Z", "2026-03-20T08:58:00Z", Normal, Normal},
		{"NightBefore", melbourne, "2026-03-19T18:00:00Z", "2026-03-20T08:32:00Z", "2026-03-20T08:58:00Z", Normal, Normal},
		// The sun is down: tomorrow's sunset would be no answer to somebody on the ledge.
		{"BetweenSunsetAndDusk", melbourne, "2026-03-20T08:45:00Z", "", "2026-03-20T08:58:00Z", AlwaysDown, Normal},
		{"MidnightSun", longyearbyen, "2026-06-21T12:00:00Z", "", "", AlwaysUp, AlwaysUp},
		{"PolarNight", longyearbyen, "2026-01-03T00:00:00Z", "", "", AlwaysDown, AlwaysDown},
		{"WhiteNight", reykjavik, "2026-06-20T12:00:00Z", "2026-06-21T00:03:00Z", "", Normal, AlwaysUp},
		// Published for 2026-03-20 there: sunset 17:22, dusk 19:10.
		{"SlantingSun", longyearbyen, "2026-03-20T12:00:00Z", "2026-03-20T17:22:00Z", "2026-03-20T19:10:00Z", Normal, Normal},
	} {
		t.Run(tt.name, func(t *testing.T) {
			by := walkOut(t, tt.p, utc(t, tt.at), 25*time.Minute)
			if by.Sun != tt.sunState || by.Civil != tt.darkly {
				t.Errorf("sun %q civil %q, want %q and %q", by.Sun, by.Civil, tt.sunState, tt.darkly)
			}
			for _, c := range []struct {
				name      string
				end, want Event
				by        Event
			}{
				{"sunset", by.Sunset, published(t, tt.sunset), by.BeforeSunset},
				{"dusk", by.Dusk, published(t, tt.dusk), by.BeforeDark},
			} {
				if c.end.OK != c.want.OK || c.by.OK != c.want.OK || c.end.At.Sub(c.want.At).Abs() > time.Minute {
					t.Errorf("%s = %v, leave by %v, want %v", c.name, c.end, c.by, c.want)
				}
			}
		})
	}
	t.Run("SunBelowAllDayButTwilight", func(t *testing.T) {
		// At 70 north the sun stays under the horizon at the solstice and above -6 about noon.
		by := walkOut(t, measure.Position{Lat: 70, Lon: 25}, utc(t, "2026-12-21T06:00:00Z"), 10*time.Minute)
		if by.Sun != AlwaysDown || by.Sunset.OK || by.BeforeSunset.OK || by.Civil != Normal || !by.BeforeDark.OK {
			t.Errorf("%+v, want a dusk and no sunset", by)
		}
	})
}

func published(t *testing.T, s string) Event {
	t.Helper()
	if s == "" {
		return Event{}
	}
	return Event{At: utc(t, s), OK: true}
}

// When the sun is up for less than the walk takes, nobody walks all of it in daylight.
func TestWalkLongerThanTheLight(t *testing.T) {
	morning := utc(t, "2026-12-21T08:00:00Z") // Reykjavik, US Naval Observatory: sun 11:22 to 15:29, civil 10:03 to 16:49
	for _, tt := range []struct {
		at        time.Time
		walk      time.Duration
		day, dusk bool
	}{
		{morning, 4 * time.Hour, true, true},
		{morning, 4*time.Hour + 10*time.Minute, false, true},
		{morning, 6*time.Hour + 40*time.Minute, false, true},
		{morning, 6*time.Hour + 50*time.Minute, false, false},
		// By noon the sun is up, and it is only too late.
		{morning.Add(4 * time.Hour), 4*time.Hour + 10*time.Minute, true, true},
	} {
		by := walkOut(t, reykjavik, tt.at, tt.walk)
		if !by.Sunset.OK || !by.Dusk.OK || by.BeforeSunset.OK != tt.day || by.BeforeDark.OK != tt.dusk {
			t.Errorf("walk of %v from %v: %+v, want in daylight %v, before dark %v", tt.walk, tt.at, by, tt.day, tt.dusk)
		}
		if by.BeforeSunset.OK && by.BeforeSunset.At.Before(tt.at) != (tt.at != morning) {
			t.Errorf("walk of %v from %v: leave by %v", tt.walk, tt.at, by.BeforeSunset.At)
		}
	}
}

// Anywhere and at any time: who leaves by the instant that is told walks in that light to the end,
// the two are of one evening, and nothing is told that does not exist.
func TestWalkOutKeepsTheLight(t *testing.T) {
	r := random(t)
	seen := map[string]int{}
	for range 400 {
		p, at := anywhere(r)
		walk := time.Duration(r.Int64N(int64(3 * time.Hour)))
		by := walkOut(t, p, at, walk)
		if by.Sunset.OK != (by.Sun == Normal) || by.Dusk.OK != (by.Civil == Normal) {
			t.Errorf("WalkOut(%v, %v) = %+v, want events where it is normal", p, at, by)
		}
		seen[fmt.Sprintf("%s, %s", by.Sun, by.Civil)]++
		for _, c := range []struct {
			end, leave Event
			enough     func(Light) bool
		}{
			{by.Sunset, by.BeforeSunset, func(l Light) bool { return l == Daylight }},
			{by.Dusk, by.BeforeDark, func(l Light) bool { return l == Daylight || l == CivilTwilight }},
		} {
			if !c.end.OK {
				continue
			}
			if c.end.At.Before(at.Add(-time.Second)) || c.end.At.Sub(at) > 25*time.Hour {
				t.Errorf("WalkOut(%v, %v) ends at %v, want within 25 hours", p, at, c.end.At)
			}
			after, err := LightAt(p, c.end.At.Add(3*time.Second))
			if err != nil || c.enough(after) && polarCalm(p, c.end.At) {
				t.Errorf("light at %v just after the end at %v = %q, %v", p, c.end.At, after, err)
			}
			if !c.leave.OK || c.leave.At.Before(at) {
				continue
			}
			for _, part := range []float64{0, 0.01, 0.3, 0.6, 0.9, 0.999} {
				on := c.leave.At.Add(time.Duration(part * float64(walk))).Add(time.Second)
				if !on.Before(c.end.At.Add(-time.Second)) {
					continue // rounding
				}
				if l, err := LightAt(p, on); err != nil || !c.enough(l) && polarCalm(p, on) {
					t.Errorf("WalkOut(%v, %v, %v) = %+v, but %q at %v", p, at, walk, by, l, on)
				}
			}
		}
		if by.Sunset.OK && by.Dusk.OK {
			if !by.Sunset.At.Before(by.Dusk.At) {
				t.Errorf("WalkOut(%v, %v): sunset %v, dusk %v, want one evening", p, at, by.Sunset.At, by.Dusk.At)
			}
			dusk, err := NextDusk(p, at)
			if err != nil || dusk.At.Sub(by.Dusk.At).Abs() > time.Second {
				t.Errorf("dusk = %v, NextDusk = %v, %v", by.Dusk, dusk, err)
			}
		}
	}
	t.Logf("seen: %v", seen)
	for _, want := range []string{"normal, normal", "always down, normal", "always up, always up", "always down, always down"} {
		if seen[want] == 0 {
			t.Errorf("state %q not seen among %v", want, seen)
		}
	}
}

// polarCalm is whether the sun climbs or sinks fast enough at p for a few seconds to tell: it does not
// where it circles at one height.
func polarCalm(p measure.Position, at time.Time) bool {
	a, _ := direct(Sun, p, at)
	b, _ := direct(Sun, p, at.Add(time.Second))
	return math.Abs(b-a) > 0.0001
}

func TestWalkOutRefusals(t *testing.T) {
	noon := time.Date(2026, 7, 1, 12, 0, 0, 0, time.UTC)
	for name, try := range map[string]func() error{
		"BadPosition":  func() error { _, err := WalkOut(measure.Position{Lon: 181}, noon, time.Hour); return err },
		"NegativeWalk": func() error { _, err := WalkOut(melbourne, noon, -time.Second); return err },
		"EndlessWalk":  func() error { _, err := WalkOut(melbourne, noon, 24*time.Hour+1); return err },
	} {
		if err := try(); err == nil {
			t.Errorf("%s = nil, want an error", name)
		}
	}
	var year *YearError
	if _, err := WalkOut(melbourne, time.Date(2101, 1, 1, 0, 0, 0, 0, time.UTC), time.Hour); !errors.As(err, &year) {
		t.Errorf("WalkOut(2101) = %v, want a YearError", err)
	}
	if by := walkOut(t, melbourne, noon, 0); by.BeforeSunset != by.Sunset || by.BeforeDark != by.Dusk {
		t.Errorf("WalkOut(no walk) = %+v, want to leave at the end of the light", by)
	}
}
