package tide

import (
	"math"
	"strings"
	"testing"

	"ledgehand/conditions/measure"
)

// Longitudes printed by other programs (T_TIDE, UTide, ASTRO5, IERS arguments) and by Meeus' examples 25.a and 47.a (those
// from memory). 0.01° is what dynamical time for UTC, 69 s, makes of the moon.
func TestLongitudesAgreeWithOtherPrograms(t *testing.T) {
	for _, r := range readTable(t, kept, "astro_longitudes.csv") {
		l := meanLongitudes(unix(r.Time(t, "time")))
		for col, got := range map[string]float64{"s_deg": l.s, "h_deg": l.h, "p_deg": l.p, "N_deg": l.n, "p1_deg": l.p1} {
			if r[col] == "" {
				continue
			}
			if d := measure.Wrap180(got - r.Num(t, col)); math.Abs(d) > 0.0105 {
				t.Errorf("%s at %s = %.4f, want %s", col, r["time"], measure.Wrap360(got), r[col])
			}
		}
	}
}

// Schureman's angles from other software. One of the two takes the obliquity of the date instead of that of 1900,
// 0.015° less, and says so.
func TestNodeAnglesAgreeWithOtherPrograms(t *testing.T) {
	for _, r := range readTable(t, kept, "schureman_angles.csv") {
		l := meanLongitudes(unix(r.Time(t, "time_utc")))
		a := anglesAt(l)
		lnf, u := nodeFactors(l)
		tol := 0.003
		if strings.Contains(r["note"]+r["source"], "obliquity of date") {
			tol = 0.03
		}
		var got float64
		switch r["angle"] {
		case "I":
			got = a.i
		case "xi":
			got = a.xi
		case "nu":
			got = a.nu
		case "nu_prime":
			got = a.nu1
		case "nu_2prime":
			got = a.nu2 / 2
			if math.Abs(got-r.Num(t, "value_deg")) > 1 { // some print 2ν″
				got = a.nu2
			}
		case "P":
			got = a.p
		case "R":
			got = u[ofM2] - u[ofL2]
		case "1/Ra":
			got = math.Exp(lnf[ofL2] - lnf[ofM2])
			tol = 0.0005
		case "omega":
			continue // they use the date's, we 1900's
		default:
			t.Fatalf("unknown angle %q", r["angle"])
		}
		if d := measure.Wrap180(got - r.Num(t, "value_deg")); math.Abs(d) > tol {
			t.Errorf("%s at %s = %.5f, want %s within %v", r["angle"], r["time_utc"], measure.Wrap180(got), r["value_deg"], tol)
		}
	}
}

// Whole-year factors of NOAA's 37 constituents, by other code than ours from the same formulas; it was checked
// through the predictions it reproduces.
func TestYearFactorsAgreeWithTheTable(t *testing.T) {
	rows := readTable(t, kept, "node_factors_noaa_year.csv")
	for _, r := range rows {
		a := yearArc(int(r.Num(t, "year")))
		l, err := lineNamed(r["constituent"])
		if err != nil {
			t.Fatal(err)
		}
		v, _, lnf, _ := a.argument(l)
		if f := math.Exp(lnf); math.Abs(f-r.Num(t, "f_mid_year")) > 0.000051 {
			t.Errorf("f of %s in %s = %.5f, want %s", l.name, r["year"], f, r["f_mid_year"])
		}
		if d := measure.Wrap180(v - r.Num(t, "V0_plus_u_deg")); math.Abs(d) > 0.0051 {
			t.Errorf("V0+u of %s in %s = %.3f, want %s", l.name, r["year"], measure.Wrap360(v), r["V0_plus_u_deg"])
		}
	}
}

// exactly gives V + u in degrees and ln f of a line at a Unix time by the formulas themselves, without arcs.
func exactly(l *line, at float64) (v, lnf float64) {
	lon := meanLongitudes(at)
	hours := math.Mod(at, secondsPerDay) / 3600
	v = l.konst
	for i, x := range [5]float64{180 + 15*hours, lon.s, lon.h, lon.p, lon.p1} {
		v += l.v[i] * x
	}
	f, u := nodeFactors(lon)
	for _, n := range l.nodes {
		v += n.by * u[n.of]
		lnf += math.Abs(n.by) * f[n.of]
		if n.of == ofM1 {
			v += n.by * halfYearOfPerigee
		}
	}
	return v, lnf
}

func TestInstantFactorsAgreeWithTheTable(t *testing.T) {
	for _, r := range readTable(t, kept, "node_factors_instant.csv") {
		at := r.Time(t, "time_utc")
		l, err := lineNamed(r["constituent"])
		if err != nil {
			t.Fatal(err)
		}
		v, lnf := exactly(l, unix(at))
		if l.name == "M1" {
			v -= halfYearOfPerigee // the table leaves it out
		}
		if f := math.Exp(lnf); math.Abs(f-r.Num(t, "f")) > 0.00001 {
			t.Errorf("f of %s at %s = %.6f, want %s", l.name, at, f, r["f"])
		}
		if d := measure.Wrap180(v - r.Num(t, "V_plus_u_deg")); math.Abs(d) > 0.0015 {
			t.Errorf("V+u of %s at %s = %.4f, want %s", l.name, at, measure.Wrap360(v), r["V_plus_u_deg"])
		}
	}
}

// Between the ends of an arc f and u are interpolated. Over a node cycle of 18.6 years and every station of the
// catalogue that is never off by more than 0.06 mm, even if the errors of all its constituents fell together.
func TestArcsFollowTheNodeFactors(t *testing.T) {
	worst := map[*line]float64{}
	for day := int64(18262); day < 18262+19*366; day += arcDays { // from 2020 on
		a := instantArc(day * secondsPerDay)
		const tau = 24 * arcDays / 2.0 // where it is worst
		at := float64(a.start) + tau*3600
		for _, l := range lines() {
			v, rate, lnf, dlnf := a.argument(l)
			w, lnw := exactly(l, at)
			sin, cos := sincosDeg(v + rate*tau - w)
			f := math.Exp(lnf + dlnf*tau - lnw)
			worst[l] = math.Max(worst[l], math.Exp(lnw)*math.Hypot(f*cos-1, f*sin))
		}
	}
	c := stations()
	most, where := 0.0, ""
	for i := range c.count {
		sum := 0.0
		for _, k := range c.constituents(c.record(i)) {
			l, err := lineNamed(k.Name)
			if err != nil {
				t.Fatal(err)
			}
			sum += float64(k.Amplitude) * worst[l]
		}
		if sum > most {
			most, where = sum, c.text(c.record(i), 0)
		}
	}
	t.Logf("at most %.4f mm, at %s", most*1000, where)
	if most > 0.06e-3 || most == 0 {
		t.Errorf("arcs are off by up to %.4f mm at %s, want at most 0.06", most*1000, where)
	}
}

// Every compound of the table, read by the rule for unknown names, must come out with the multiples and the constant
// the table gives: the rule was printed for exactly these (IHO list of tidal constituents, 2017).
func TestCompoundsAreReadAsTheTableHasThem(t *testing.T) {
	n := 0
	for _, row := range strings.Split(strings.TrimSpace(constituentTable), "\n") {
		cells := strings.Split(row, ",")
		name, rule := cells[0], cells[7]
		// not compounds of the rule: lines named after products that the rule gives another species or line
		if !strings.Contains(rule, "^") || otherwiseSpelled[name] {
			continue
		}
		got, ok := compound(name)
		if !ok {
			t.Errorf("compound(%q) not read", name)
			continue
		}
		n++
		want := lines()[name]
		if got.v != want.v || measure.Wrap360(got.konst-want.konst) != 0 {
			t.Errorf("compound(%q) = %v %v, want %v %v", name, got.v, got.konst, want.v, want.konst)
		}
		a := instantArc(20000 * secondsPerDay)
		_, _, f1, _ := a.argument(got)
		_, _, f2, _ := a.argument(want)
		if math.Abs(f1-f2) > 1e-12 {
			t.Errorf("ln f of %q = %v, want %v", name, f1, f2)
		}
	}
	if n < 60 {
		t.Errorf("%d compounds read, want at least 60", n)
	}
}

// The table's own readings of four names that do not add up by the rule: OO2 = O1 + Q1, M2KS2 = M2 + 2K2 − 2S2,
// 2MN8 = 2(M2 + N2), 2MS8 = 2(M2 + S2).
var otherwiseSpelled = map[string]bool{"OO2": true, "M2KS2": true, "2MN8": true, "2MS8": true}

func TestSpeedsAreThoseOfTheList(t *testing.T) {
	// IHO list of tidal constituents (2017), degrees an hour
	for name, want := range map[string]float64{
		"SA": 0.0410686, "SSA": 0.0821373, "MM": 0.5443747, "MSF": 1.0158958, "MF": 1.0980331, "Q1": 13.3986609, "O1": 13.9430356,
		"NO1": 14.4966939, "M1": 14.4966939, "K1": 15.0410686, "J1": 15.5854433, "OO1": 16.1391017, "MU2": 27.9682085, "N2": 28.4397295,
		"M2": 28.9841042, "L2": 29.5284789, "T2": 29.9589333, "S2": 30, "K2": 30.0821373, "2SM2": 31.0158958, "M3": 43.4761564,
		"MK3": 44.0251729, "M4": 57.9682085, "MS4": 58.9841042, "M6": 86.9523127, "M8": 115.9364170, "5MS12": 174.9205212,
	} {
		l, err := lineNamed(name)
		if err != nil {
			t.Fatal(err)
		}
		var got float64
		l0, l1 := meanLongitudes(j2000Unix-50*secondsPerDay), meanLongitudes(j2000Unix+50*secondsPerDay)
		for i, d := range [5]float64{15 * 2400, l1.s - l0.s, l1.h - l0.h, l1.p - l0.p, l1.p1 - l0.p1} {
			got += l.v[i] * d / 2400
		}
		if math.Abs(got-want) > 2e-7 {
			t.Errorf("speed of %s = %.7f, want %.7f", name, got, want)
		}
	}
}

func TestUnknownNamesAreErrorsThatNameThem(t *testing.T) {
	for _, name := range []string{"", "X2", "SGM", "M", "2", "MS9", "()2", "(M2", "M)2", "99M2", "ZZZ4", "M99", "2(2(MS))4", "😀2"} {
		_, err := New(0, []Constituent{{name, 1, 0}})
		unknown, ok := err.(UnknownConstituentError)
		if !ok || unknown.Name != name || !strings.Contains(err.Error(), name) {
			t.Errorf("New with %q = %v, want an error naming it", name, err)
		}
	}
	if _, err := New(0, nil, Without("NOPE1")); err == nil {
		t.Error("New leaving out an unknown name = nil, want an error")
	}
}

func TestArcsMeetWithoutAStep(t *testing.T) {
	all := lines()
	// over 20 years, so that every angle passes its ±180°
	for day := int64(10957); day < 10957+7305; day += arcDays {
		a := instantArc(day * secondsPerDay)
		b := instantArc(a.end)
		for name, l := range all {
			v, rate, lnf, dlnf := a.argument(l)
			w, _, lng, _ := b.argument(l)
			const length = 24 * arcDays
			if d := measure.Wrap180(v + rate*length - w); math.Abs(d) > 1e-6 || math.Abs(lnf+dlnf*length-lng) > 1e-9 {
				t.Fatalf("%s in the arc of day %d ends %.9f° and ln f %.3g off the next", name, day, d, lnf+dlnf*length-lng)
			}
			if want := speed(l); math.Abs(rate-want) > 0.02 {
				t.Fatalf("%s on day %d turns %.4f°/h, want %.4f within 0.02", name, day, rate, want)
			}
		}
	}
}

func speed(l *line) float64 {
	return 15*l.v[0] + 0.5490165*l.v[1] + 0.0410686*l.v[2] + 0.0046418*l.v[3] + 0.000002*l.v[4]
}

func TestArcsAreCachedWithoutMixingTimes(t *testing.T) {
	const at = 20000 * secondsPerDay
	first := *instantArc(at)
	instantArc(at + int64(len(recent))*arcSeconds) // same slot
	if again := *instantArc(at); again != first {
		t.Error("instantArc after another time in its slot differs from before")
	}
	for _, second := range []int64{0, -1, 1, arcSeconds - 1, arcSeconds, -arcSeconds, -arcSeconds - 1} {
		if a := instantArc(second); second < a.start || second >= a.end || a.start%secondsPerDay != 0 {
			t.Errorf("instantArc(%d) runs from %d to %d", second, a.start, a.end)
		}
	}
}
