package tide

import (
	"math"
	"strings"
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

func constituent(name string, c [2]float64) Constituent {
	return Constituent{Name: name, Amplitude: measure.Metres(c[0]), Phase: c[1]}
}

// forCase opens the predictor of a published case; shift is how far its clock is ahead of UTC.
func forCase(t testing.TB, c row, mode Mode) (p *Predictor, shift time.Duration) {
	t.Helper()
	z0 := measure.Metres(c.Num(t, "z_m"))
	var err error
	switch {
	case c["source"] == "rws-vlissingen-ext":
		p, err = New(z0, withDutchFactors(t, vlissingen(t)), WithMode(mode))
		shift = time.Hour
	case c["station"] == "rws/VLISSGN":
		p, err = New(z0, vlissingen(t), WithMode(mode))
		shift = time.Hour
	case strings.HasPrefix(c["source"], "noaa-swain"):
		p, err = Open(c["station"], WithMode(mode)) // a subordinate station: the level is its reference's
	default:
		p, err = Open(c["station"], WithMode(mode), WithMeanLevel(z0))
	}
	if err != nil {
		t.Fatalf("open %s: %v", c["station"], err)
	}
	return p, shift
}

func isUnrevised(c row) bool { return strings.Contains(c["note"], "reproduce it") }

// NOAA CO-OPS predictions (data API replies of 2021 and exports of 2023, see sources.csv), rounded to 1 mm.
func TestYearModeReproducesNOAASeriesToAMillimetre(t *testing.T) {
	overTables(t, func(t *testing.T, dir string) {
		values := by(readTable(t, dir, "authority_series.csv"), "case")
		var worst float64
		n := 0
		for _, c := range readTable(t, dir, "authority_cases.csv") {
			if c["kind"] != "series" || !isUnrevised(c) {
				continue
			}
			p, _ := forCase(t, c, Year)
			for _, v := range values[c["case"]] {
				at, want := v.Time(t, "time_utc"), v.Num(t, "height_m")
				got := float64(p.Height(at))
				worst = math.Max(worst, math.Abs(got-want))
				n++
				if math.Abs(got-want) > 0.001 {
					t.Errorf("%s Height(%s) = %.4f, want %.3f", c["station"], at, got, want)
				}
			}
		}
		t.Logf("%d values, worst %.2f mm", n, worst*1000)
		if n < 500 {
			t.Errorf("only %d values compared, want at least 500", n)
		}
	})
}

// Holding f and u over the year is worst at New Year; tides.md section 10 of the data's notes measured up to 16 mm
// at stations with M2 up to 1 m.
func TestInstantModeStaysWithinCentimetresOfNOAASeries(t *testing.T) {
	values := by(readTable(t, kept, "authority_series.csv"), "case")
	var worst float64
	for _, c := range readTable(t, kept, "authority_cases.csv") {
		if c["kind"] != "series" || !isUnrevised(c) {
			continue
		}
		p, _ := forCase(t, c, Instant)
		for _, v := range values[c["case"]] {
			worst = math.Max(worst, math.Abs(float64(p.Height(v.Time(t, "time_utc")))-v.Num(t, "height_m")))
		}
	}
	t.Logf("worst %.1f mm", worst*1000)
	if worst > 0.016 {
		t.Errorf("worst difference %.4f m, want at most 0.016", worst)
	}
}

// Rijkswaterstaat, Vlissingen January to June 2019, hourly, rounded to 1 cm. They correct some nodes by
// factors of their own, which we do not have: 2.5 cm.
func TestYearModeReproducesVlissingen(t *testing.T) {
	overTables(t, func(t *testing.T, dir string) {
		var d spread
		for _, c := range readTable(t, dir, "authority_cases.csv") {
			if c["source"] != "rws-vlissingen" {
				continue
			}
			p, shift := forCase(t, c, Year)
			for _, v := range by(readTable(t, dir, "authority_series.csv"), "case")[c["case"]] {
				got, want := float64(p.Height(v.Time(t, "time_utc").Add(shift))), v.Num(t, "height_m")
				d.add(got - want)
				if math.Abs(got-want) > 0.025 {
					t.Errorf("Height(%s) = %.3f, want %.2f within 0.025", v["time_utc"], got, want)
				}
			}
		}
		t.Logf("%d values, mean %.4f, sd %.4f, max %.4f m", len(d.all), d.mean(), d.sd(), d.max())
		if len(d.all) < 200 {
			t.Fatalf("%d values compared, want at least 200", len(d.all))
		}
	})
}

// withDutchFactors applies what Rijkswaterstaat does to node factors at Vlissingen in 2019: f becomes 1 + x(f − 1),
// for S2 with f of M2 (the factors x from memory).
func withDutchFactors(t testing.TB, cs []Constituent) []Constituent {
	t.Helper()
	x := map[string]float64{
		"MU2": 0, "N2": 0, "NU2": 0.8, "M2": 0.53, "2MN2": 0.2, "S2": -0.82,
		"M4": 0.7, "MS4": 0, "M6": 0.75, "2MS6": 0.7, "M8": 0.7, "3MS8": 0.6,
	}
	a := yearArc(2019)
	for i, c := range cs {
		l, err := lineNamed(c.Name)
		if err != nil {
			t.Fatal(err)
		}
		if by, ok := x[c.Name]; ok {
			_, _, lnf, _ := a.argument(l)
			f, of := math.Exp(lnf), math.Exp(lnf)
			if c.Name == "S2" {
				of = math.Exp(a.lnf[ofM2])
			}
			cs[i].Amplitude *= measure.Metres((1 + by*(of-1)) / f)
		}
	}
	return cs
}

// With their factors the rest is their rounding to 1 cm and a few millimetres of lines defined otherwise (M7).
func TestVlissingenWithDutchFactorsAgreesWithinTheirRounding(t *testing.T) {
	p, err := New(0.01, withDutchFactors(t, vlissingen(t)), WithMode(Year))
	if err != nil {
		t.Fatal(err)
	}
	var d spread
	for _, v := range by(readTable(t, kept, "authority_series.csv"), "case")["rws-vlissingen:VLISSGN"] {
		d.add(float64(p.Height(v.Time(t, "time_utc").Add(time.Hour))) - v.Num(t, "height_m"))
	}
	t.Logf("%d values, sd %.4f, max %.4f m", len(d.all), d.sd(), d.max())
	if len(d.all) < 200 || d.max() > 0.01 {
		t.Errorf("%d values differ by up to %.4f m, want at most 0.01", len(d.all), d.max())
	}
}

// match compares published high and low waters with ours: differences in metres and in minutes.
func match(t testing.TB, p *Predictor, shift time.Duration, rows []row) (dh, dt spread) {
	t.Helper()
	first, last := rows[0].Time(t, "time_utc"), rows[0].Time(t, "time_utc")
	for _, r := range rows {
		if at := r.Time(t, "time_utc"); at.Before(first) {
			first = at
		} else if at.After(last) {
			last = at
		}
	}
	ours := p.Extremes(first.Add(shift-3*time.Hour), last.Add(shift+3*time.Hour))
	for _, r := range rows {
		kind := High
		if strings.HasPrefix(r["type"], "L") {
			kind = Low
		}
		at := r.Time(t, "time_utc").Add(shift)
		best := -1
		for i, e := range ours {
			if e.Kind == kind && (best < 0 || e.At.Sub(at).Abs() < ours[best].At.Sub(at).Abs()) {
				best = i
			}
		}
		if best < 0 || ours[best].At.Sub(at).Abs() > 90*time.Minute {
			t.Errorf("no %s water near %s %s", kind, r["time_utc"], r["type"])
			continue
		}
		dt.add(ours[best].At.Sub(at).Minutes())
		if r["height_m"] != "" {
			dh.add(float64(ours[best].Height) - r.Num(t, "height_m"))
		}
	}
	return dh, dt
}

// Published high and low waters. LINZ: standard-port tables 2011 to 2025, heights to 0.1 m above the national chart
// datum, which is not ours, so the mean is taken out: 8 cm and 5 min of standard deviation at each port. Rijkswaterstaat,
// Vlissingen 2019, with their factors: 2.5 cm (without, 2 of 700 are 2.6 cm off). The others were published from constants revised since, and are held to what
// was measured when the tables were collected (authority_cases.csv).
func TestHighAndLowWatersAgreeWithPublishedTables(t *testing.T) {
	limits := map[string][4]float64{ // height sd, height max (m); time sd, time max (min)
		"linz-old": {0.08, 0.30, 5, 26}, "linz-new": {0.08, 0.53, 5, 57.5},
		"rws-vlissingen-ext": {0.005, 0.025, 2, 7.5}, "kartverket-oslo": {0.018, 0.083, 3, 6.5},
		"noaa-rtide-monterey": {0.004, 0.017, 1.2, 2.3}, "noaa-swain-readme": {0.007, 0.024, 1.9, 3.5},
		"noaa-swain-ht": {1, 1, 2.6, 6.8}, // times only
	}
	overTables(t, func(t *testing.T, dir string) {
		waters := by(readTable(t, dir, "authority_hilo.csv"), "case")
		ports := map[string][]row{}
		for _, c := range readTable(t, dir, "authority_cases.csv") {
			if c["kind"] == "hilo" {
				key := c["source"] + " " + c["station"]
				ports[key] = append(ports[key], c)
			}
		}
		for port, cases := range ports {
			t.Run(port, func(t *testing.T) {
				mode := Year
				if s := cases[0]["source"]; strings.HasPrefix(s, "linz") || strings.HasPrefix(s, "kartverket") {
					mode = Instant
				}
				var dh, dt spread
				for _, c := range cases {
					p, shift := forCase(t, c, mode)
					h, m := match(t, p, shift, waters[c["case"]])
					dh.all, dt.all = append(dh.all, h.all...), append(dt.all, m.all...)
				}
				limit, ok := limits[cases[0]["source"]]
				if !ok || len(dt.all) < 6 {
					t.Fatalf("%d waters, limits known %v", len(dt.all), ok)
				}
				what := [4]string{"height sd (m)", "height max (m)", "time sd (min)", "time max (min)"}
				got := [4]float64{dh.sd(), dh.max(), dt.sd(), dt.max()}
				t.Logf("%d waters: %v = %.4f", len(dt.all), what, got)
				for i := range got {
					if got[i] > limit[i] {
						t.Errorf("%s = %.4f, want at most %v", what[i], got[i], limit[i])
					}
				}
			})
		}
	})
}

// The same formulas in another program, its defective lines left out on both sides.
func TestHeightsAgreeWithAnotherProgram(t *testing.T) {
	overTables(t, func(t *testing.T, dir string) {
		values := by(readTable(t, dir, "library_hourly.csv"), "station")
		for _, st := range readTable(t, dir, "library_stations.csv") {
			t.Run(st["station"], func(t *testing.T) {
				p, err := Open(st["station"], Without(strings.Fields(st["excluded"])...))
				if err != nil {
					t.Fatal(err)
				}
				limit := 0.001
				if strings.HasPrefix(st["station"], "kartverket") {
					limit = 0.002 // it takes J1's factors for other lines
				}
				var d spread
				for _, v := range values[st["station"]] {
					d.add(float64(p.Height(v.Time(t, "time_utc"))) - v.Num(t, "height_schureman_m"))
				}
				t.Logf("%d values, max %.2f mm", len(d.all), d.max()*1000)
				if len(d.all) == 0 || d.max() > limit {
					t.Errorf("%d values differ by up to %.4f m, want at most %v", len(d.all), d.max(), limit)
				}
			})
		}
	})
}

func TestHighAndLowWatersAgreeWithAnotherProgram(t *testing.T) {
	overTables(t, func(t *testing.T, dir string) {
		waters := by(readTable(t, dir, "library_hilo.csv"), "station")
		for _, st := range readTable(t, dir, "library_stations.csv") {
			t.Run(st["station"], func(t *testing.T) {
				p, err := Open(st["station"], Without(strings.Fields(st["excluded"])...))
				if err != nil {
					t.Fatal(err)
				}
				rows := waters[st["station"]]
				dh, dt := match(t, p, 0, rows)
				limit := 0.001
				if strings.HasPrefix(st["station"], "kartverket") {
					limit = 0.002
				}
				t.Logf("%d waters, max %.2f mm, %.2f min", len(dt.all), dh.max()*1000, dt.max())
				if dh.max() > limit || dt.max() > 1 {
					t.Errorf("%d waters differ by up to %.4f m, %.2f min, want at most %v m, 1 min", len(dt.all), dh.max(), dt.max(), limit)
				}
				if st["kind"] != "ref" {
					return
				}
				for _, stretch := range unbroken(t, rows) {
					noneTooMany(t, p, stretch)
				}
			})
		}
	})
}

// noneTooMany sees that every water of ours is in the table, unless it is a ripple of about a centimetre: those
// the other program drops one by one, together with a neighbour or not, so that in its table two highs can follow each other.
func noneTooMany(t testing.TB, p *Predictor, table []row) {
	t.Helper()
	from, to := table[0].Time(t, "time_utc"), table[len(table)-1].Time(t, "time_utc")
	ours := p.Extremes(from.Add(-2*time.Minute), to.Add(2*time.Minute))
	for i, e := range ours {
		found := false
		for _, r := range table {
			found = found || r.Time(t, "time_utc").Sub(e.At).Abs() <= time.Minute
		}
		ripple := false
		for j := max(i-2, 0); j <= i+1 && j+1 < len(ours); j++ {
			ripple = ripple || math.Abs(float64(ours[j+1].Height-ours[j].Height)) < 0.011
		}
		if !found && !ripple {
			t.Errorf("Extremes has a %s water at %s, the table has none", e.Kind, e.At)
		}
	}
}

// unbroken parts rows where more than three days lie between two.
func unbroken(t testing.TB, rows []row) [][]row {
	var out [][]row
	for i, r := range rows {
		if i == 0 || r.Time(t, "time_utc").Sub(rows[i-1].Time(t, "time_utc")) > 72*time.Hour {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], r)
	}
	return out
}
