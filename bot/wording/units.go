package wording

import (
	"fmt"
	"math"
	"strings"
	"time"
)

// Clock is a time of day in the crew's zone, 24 h.
func (w Words) Clock(t time.Time) string { return t.In(w.Zone).Format("15:04") }

// Day is a short day, "Sat 14 Mar".
func (w Words) Day(t time.Time) string {
	l := t.In(w.Zone)
	return fmt.Sprintf("%s %d %s", w.T("wd"+fmt.Sprint(int(l.Weekday()))), l.Day(), w.T("mo"+fmt.Sprint(int(l.Month()))))
}

// Date is a day with its year, for what may be old: "2 Mar 2026".
func (w Words) Date(t time.Time) string {
	l := t.In(w.Zone)
	return fmt.Sprintf("%d %s %d", l.Day(), w.T("mo"+fmt.Sprint(int(l.Month()))), l.Year())
}

// When is a clock time, with the day in front when it is not the day of now.
func (w Words) When(t, now time.Time) string {
	a, b := t.In(w.Zone), now.In(w.Zone)
	if a.YearDay() == b.YearDay() && a.Year() == b.Year() {
		return w.Clock(t)
	}
	return w.Day(t) + " " + w.Clock(t)
}

// Span is "06:00–11:00".
func (w Words) Span(from, to time.Time) string { return w.Clock(from) + "–" + w.Clock(to) }

// ZoneName is the zone as people on the phone understand it: abbreviation and offset.
func (w Words) ZoneName(t time.Time) string {
	name, off := t.In(w.Zone).Zone()
	sign := '+'
	if off < 0 {
		sign, off = '-', -off
	}
	utc := fmt.Sprintf("UTC%c%d", sign, off/3600)
	if m := off % 3600 / 60; m != 0 {
		utc += fmt.Sprintf(":%02d", m)
	}
	if name == "" || strings.HasPrefix(name, "+") || strings.HasPrefix(name, "-") || name == "UTC" {
		return utc
	}
	return name + ", " + utc
}

// Ago is an age in words short enough for a line: "12 min", "3 h", "2 d".
func (w Words) Ago(d time.Duration) string {
	switch {
	case d < time.Minute:
		return w.T("moments")
	case d < 2*time.Hour:
		return fmt.Sprintf("%d min", int(d.Minutes()))
	case d < 48*time.Hour:
		return fmt.Sprintf("%d h", int(d.Hours()))
	}
	return fmt.Sprintf("%d d", int(d.Hours()/24))
}

const feet = 0.3048 // m, international foot, exact

// Height is a wave, tide or lip height.
func (w Words) Height(m float64) string {
	if w.Units == Imperial {
		return fmt.Sprintf("%.1f ft", zero(m/feet, 1))
	}
	return fmt.Sprintf("%.1f m", zero(m, 1))
}

// zero keeps "-0.0" from being shown.
func zero(v float64, digits int) float64 {
	p := math.Pow(10, float64(digits))
	if r := math.Round(v*p) / p; r == 0 {
		return 0
	}
	return v
}

// Speed is wind: m/s, or miles an hour.
func (w Words) Speed(ms float64) string {
	if w.Units == Imperial {
		return fmt.Sprintf("%.0f mph", ms/0.44704) // international mile an hour, exact
	}
	return fmt.Sprintf("%.0f m/s", ms)
}

// Km is a distance over ground.
func (w Words) Km(km float64) string {
	v, u := km, "km"
	if w.Units == Imperial {
		v, u = km/1.609344, "mi" // international mile, exact
	}
	if v < 10 {
		return fmt.Sprintf("%.1f %s", v, u)
	}
	return fmt.Sprintf("%.0f %s", v, u)
}

// Degrees Celsius or Fahrenheit.
func (w Words) Temp(c float64) string {
	if w.Units == Imperial {
		return fmt.Sprintf("%.0f °F", c*9/5+32)
	}
	return fmt.Sprintf("%.0f °C", zero(c, 0))
}

// Length is a fish's length, in micrometres in.
func (w Words) Length(um int) string {
	v, unit := float64(um)/10_000, "cm"
	digits := 1
	if w.Units == Imperial {
		v, unit, digits = float64(um)/25_400, "in", 2
	}
	s := strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.*f", digits, v), "0"), ".")
	return s + " " + unit
}

// Compass is one of sixteen points.
func (w Words) Compass(deg float64) string {
	i := int(math.Round(math.Mod(math.Mod(deg, 360)+360, 360)/22.5)) % 16
	return strings.Fields(w.T("compass_points"))[i]
}

// Chance is a chance in words people weigh well: "1 in 4", "4 in 10", and "nearly certain", "under 1 in 100" at the
// ends. It is never "none".
func (w Words) Chance(p float64) string {
	switch {
	case math.IsNaN(p):
		return w.T("chance_unknown")
	case p < 0.01:
		return w.T("chance_under", "n", 100)
	case p >= 0.95:
		return w.T("chance_sure")
	case p > 0.3: // "1 in 3" would be as far off as 0.4 is from 0.33
		return w.T("chance_of_ten", "n", int(math.Round(p*10)))
	}
	return w.T("chance_one_in", "n", int(math.Round(1/p)))
}

// Position is a place in decimal degrees and in degrees and decimal minutes, the two ways rescuers take.
func (w Words) Position(lat, lon float64) (decimal, minutes string) {
	dm := func(v float64, pos, neg string) string {
		h := pos
		if v < 0 {
			h, v = neg, -v
		}
		d := math.Floor(v)
		m := math.Round((v-d)*60*1000) / 1000
		if m >= 60 {
			d, m = d+1, m-60
		}
		return fmt.Sprintf("%.0f°%06.3f' %s", d, m, h)
	}
	return fmt.Sprintf("%.5f, %.5f", lat, lon), dm(lat, "N", "S") + " " + dm(lon, "E", "W")
}

// Metres is a height typed in the crew's units.
func (w Words) Metres(v float64) float64 {
	if w.Units == Imperial {
		return v * feet
	}
	return v
}

// MetresPerSecond is a speed typed in the crew's units.
func (w Words) MetresPerSecond(v float64) float64 {
	if w.Units == Imperial {
		return v * 0.44704
	}
	return v
}
