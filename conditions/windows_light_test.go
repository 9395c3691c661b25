package conditions

import (
	"slices"
	"testing"
	"time"

	"ledgehand/conditions/measure"
	"ledgehand/conditions/sky"
	"ledgehand/conditions/tide"
)

// arctic moves the ledge of a search to 70.4 N, by the tide gauge of Prudhoe Bay, Alaska (NOAA 9497645).
func arctic(t testing.TB, now time.Time) (WindowsQuestion, *Question) {
	t.Helper()
	q, l := weekFrom(t, now)
	zone, err := time.LoadLocation("America/Anchorage")
	if err != nil {
		t.Fatal(err)
	}
	l.Card.Exact, l.Card.TideStation, l.Zone = &measure.Position{Lat: 70.41, Lon: -148.53}, "noaa/9497645", zone
	return q, l
}

// In the polar night there is no daylight to have a window in, and the search says so, day by day.
func TestThePolarNightHasNoWindow(t *testing.T) {
	q, _ := arctic(t, time.Date(2026, 12, 18, 21, 0, 0, 0, time.UTC))
	// Civil twilight there lasts four hours about noon even at the solstice; with a walk of three there is no time left.
	q.Ledges[0].Card.WalkMinutes = 180
	a := windows(t, q)
	o := a.Ledges[0]
	if len(o.Windows) > 0 || len(o.Doubts) > 0 || len(o.Off) < 4 {
		t.Fatalf("windows %q, doubts %q, off %+v; want four days off or more", clocks(a, o.Windows), o.Doubts, o.Off)
	}
	for _, d := range o.Off {
		if d.Word != Dark {
			t.Errorf("%s off because of %q, want %q", d.Day, d.Word, Dark)
		}
	}
	for _, d := range o.Outlook {
		if d.Word != OutlookOver || d.Hindrance.Word != Dark {
			t.Errorf("outlook of %s = %q because of %q, want %q because of %q", d.Day, d.Word, d.Hindrance.Word, OutlookOver, Dark)
		}
	}
	if len(o.Outlook) < 3 {
		t.Errorf("outlook = %+v, want three days", o.Outlook)
	}
	// Those who want to go by night may; Assess takes no more than two days at a stretch.
	q.Nights = true
	a = windows(t, q)
	if len(a.Ledges[0].Windows) != 1 {
		t.Fatalf("windows by night = %q, want one", clocks(a, a.Ledges[0].Windows))
	}
	w := a.Ledges[0].Windows[0]
	if w.To.Sub(w.From) != MostHours*time.Hour || w.Ends.Word != LongestStay || !w.Room.From.Equal(q.Now) || !w.Room.To.Equal(a.Until) {
		t.Errorf("window = %s ending by %q in %v, want 48 hours of all four days", clock(a, w.From, w.To), w.Ends.Word, w.Room)
	}
	if !slices.ContainsFunc(w.Notes, func(x Reason) bool { return x.Word == Dark }) {
		t.Errorf("notes = %+v, want it said that it is dark", w.Notes)
	}
}

// Where the sun does not set a window runs over midnight, and is not cut there.
func TestThePolarDayRunsOverMidnight(t *testing.T) {
	q, l := arctic(t, time.Date(2026, 6, 19, 20, 0, 0, 0, time.UTC))
	warn(l, Warning{Concern: Red, Onset: time.Date(2026, 6, 20, 18, 0, 0, 0, time.UTC), Ends: time.Date(2026, 6, 22, 2, 0, 0, 0, time.UTC)})
	a := windows(t, q)
	if got, want := clocks(a, a.Ledges[0].Windows), []string{"19 12:00 to 20 10:00", "21 18:00 to 23 12:00"}; !slices.Equal(got, want) {
		t.Errorf("windows = %q, want %q", got, want)
	}
	// The end of a search is no dusk: nobody need be back for it.
	q.To = time.Date(2026, 6, 20, 8, 0, 0, 0, time.UTC) // midnight there
	a = windows(t, q)
	if got, want := clocks(a, a.Ledges[0].Windows), []string{"19 12:00 to 20 00:00"}; !slices.Equal(got, want) {
		t.Errorf("windows = %q, want %q", got, want)
	}
}

// The light of a day comes in two pieces where dusk falls past midnight: at 59.5 N in June with clocks that stand 80 minutes
// ahead of the sun.
func TestDuskPastMidnight(t *testing.T) {
	zone := time.FixedZone("", 3*3600)
	at := &measure.Position{Lat: 59.5, Lon: 25}
	from := time.Date(2026, 6, 9, 12, 0, 0, 0, zone)
	lit, ok := daylight(at, from, from.Add(48*time.Hour), zone, 0)
	if !ok || len(lit) != 3 {
		t.Fatalf("daylight = %v, %v; want three stretches with two short nights between", lit, ok)
	}
	for i := range lit[1:] {
		dusk, dawn := lit[i].To.In(zone), lit[i+1].From.In(zone)
		if dusk.Hour() > 3 || dawn.Hour() > 3 || dawn.Sub(dusk) > 3*time.Hour || dusk.Day() != dawn.Day() {
			t.Errorf("night from %s to %s, want it short and past midnight", dusk, dawn)
		}
	}
	for i := range 48 * 12 {
		u := from.Add(time.Duration(i) * 5 * time.Minute)
		in := slices.ContainsFunc(lit, func(s tide.Span) bool { return !u.Before(s.From) && !u.After(s.To) })
		l, err := sky.LightAt(*at, u)
		if err != nil {
			t.Fatal(err)
		}
		if light := l == sky.Daylight || l == sky.CivilTwilight; light != in {
			t.Errorf("at %s daylight is %v, want %q", u, in, l)
		}
	}
}

// The clocks go forward on Sunday 8 March and back on 1 November 2026: windows stay where the light and the sea are, each day
// is spoken of once, and the day of 23 or 25 hours is one day.
func TestTheClocksChange(t *testing.T) {
	loc := pacific(t)
	for _, tt := range []struct {
		name      string
		now, high time.Time
		want      []string
		days      []int
	}{
		{"Forward", time.Date(2026, 3, 7, 12, 0, 0, 0, loc), time.Date(2026, 3, 8, 15, 0, 0, 0, loc),
			[]string{"7 12:00 to 7 18:20", "8 07:11 to 8 11:00", "9 07:09 to 9 19:22", "10 07:08 to 10 19:23", "11 07:06 to 11 13:00"}, []int{11, 12, 13, 14}},
		{"Back", time.Date(2026, 10, 31, 12, 0, 0, 0, loc), time.Date(2026, 11, 1, 13, 0, 0, 0, loc),
			[]string{"31 12:00 to 31 18:22", "1 06:15 to 1 09:00", "2 06:16 to 2 17:20", "3 06:17 to 3 17:19", "4 06:18 to 4 11:00"}, []int{4, 5, 6, 7}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			q, l := weekFrom(t, tt.now)
			swellBetween(l, tt.high, tt.high, swell(2, 11, 285))
			a := windows(t, q)
			if got := clocks(a, a.Ledges[0].Windows); !slices.Equal(got, tt.want) {
				t.Errorf("windows = %q, want %q", got, tt.want)
			}
			var days []int
			for _, o := range a.Ledges[0].Outlook {
				days = append(days, o.Day.Day)
			}
			if !slices.Equal(days, tt.days) || len(a.Ledges[0].Off) > 0 {
				t.Errorf("outlook of the days %v, off %+v; want %v, none", days, a.Ledges[0].Off, tt.days)
			}
		})
	}
}

// On clocks that are half an hour off, windows begin and end on their full hours all the same.
func TestHoursAreThoseOfTheLedgesClocks(t *testing.T) {
	q, l := aWeek(t)
	l.Zone = time.FixedZone("", 5*3600+45*60)
	q.Nights = true
	swellBetween(l, march(t, 14, 15), march(t, 14, 15), swell(2, 11, 285))
	a := windows(t, q)
	if len(a.Ledges[0].Windows) != 2 {
		t.Fatalf("windows = %q, want two", clocks(a, a.Ledges[0].Windows))
	}
	for _, at := range []time.Time{a.Ledges[0].Windows[0].Room.To, a.Ledges[0].Windows[1].From} {
		if m := at.In(l.Zone).Minute(); m != 0 {
			t.Errorf("edge at %s, want a full hour there", at.In(l.Zone))
		}
	}
	// An instant of the forecast stands for the half hours around it, so the hour that it lies in and those it may come early in are out.
	if end := a.Ledges[0].Windows[0].Room.To; end.After(march(t, 14, 12)) || end.Before(march(t, 14, 10)) {
		t.Errorf("first window ends %s, want about 11:00 on Anvil's clocks", end.In(q.Now.Location()))
	}
}
