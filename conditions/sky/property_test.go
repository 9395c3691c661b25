package sky

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/soniakeys/meeus/v3/sidereal"

	"ledgehand/conditions/measure"
)

func random(t *testing.T) *rand.Rand {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	return rand.New(rand.NewPCG(seed, 0))
}

// anywhere is a position between 89 south and 89 north and an instant of the years 1950 to 2050.
func anywhere(r *rand.Rand) (measure.Position, time.Time) {
	p := measure.Position{Lat: 178*r.Float64() - 89, Lon: 360*r.Float64() - 180}
	return p, time.Unix(-631152000+r.Int64N(3155760000), 0).UTC()
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %v, want %v within %v", what, got, want, tol)
	}
}

// direct is the altitude a track stands for, without its polynomial and its uniform turning.
func direct(b Body, p measure.Position, t time.Time) (altitude, standard float64) {
	jd := julianDay(t)
	o, θ := observer(p), localAngle(observer(p), sidereal.Apparent(jd))
	c := bodyAt(b, ephemerisDay(jd))
	if b == Sun {
		altitude, _ = horizontal(o, θ, c.vector())
		return altitude, sunAltitude.Deg()
	}
	altitude, _ = horizontal(o, θ, fromGround(o, θ, c))
	return altitude, moonAltitude(c.km).Deg()
}

func TestTrackStaysWithTheSeries(t *testing.T) {
	r := random(t)
	var w worst
	for range 300 {
		p, start := anywhere(r)
		for _, b := range []Body{Sun, Moon} {
			k := newTrack(b, observer(p), start, 25*3600, lookEvery)
			s := r.Float64()*27*3600 - 3600
			s = min(max(s, -lookEvery), 25*3600+lookEvery)
			sin, above := k.height(s)
			h, standard := direct(b, p, start.Add(time.Duration(s*1e9)))
			w.see((sin-math.Sin(h*math.Pi/180))*206265, string(b)+" "+start.String())
			near(t, "sine of the altitude of the "+string(b), sin, math.Sin(h*math.Pi/180), 0.1/206265)
			near(t, "sine above standard", above, math.Sin(h*math.Pi/180)-math.Sin(standard*math.Pi/180), 0.1/206265)
		}
	}
	w.report(t, "seconds of arc")
}

func TestEventsLieAtTheirStandardAltitudes(t *testing.T) {
	r := random(t)
	seen := 0
	for range 300 {
		p, at := anywhere(r)
		day, err := DayAt(p, DateIn(at, time.UTC), time.UTC)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range []struct {
			name string
			b    Body
			e    Event
			at   float64
		}{
			{"sunrise", Sun, day.Sunrise, -50.0 / 60}, {"sunset", Sun, day.Sunset, -50.0 / 60},
			{"civil dawn", Sun, day.CivilDawn, -6}, {"civil dusk", Sun, day.CivilDusk, -6},
			{"nautical dawn", Sun, day.NauticalDawn, -12}, {"nautical dusk", Sun, day.NauticalDusk, -12},
			{"moonrise", Moon, day.Moonrise, math.NaN()}, {"moonset", Moon, day.Moonset, math.NaN()},
		} {
			if !c.e.OK {
				continue
			}
			seen++
			h, standard := direct(c.b, p, c.e.At)
			if c.b == Sun {
				standard = c.at
			}
			// Half a second, as events are rounded, at a quarter of a minute of arc a second.
			near(t, c.name+" altitude", h, standard, 0.0022)
			if c.e.At.Before(day.From.Add(-halfMinute)) || !c.e.At.Before(day.To.Add(-halfMinute+time.Second)) {
				t.Errorf("%s = %v, want its nearest minute from %v to before %v", c.name, c.e.At, day.From, day.To)
			}
		}
	}
	if seen < 1000 {
		t.Errorf("%d events seen, want at least 1000 of 300 days", seen)
	}
}

// The almanacs' altitude of moonrise is for the middle of a round Earth; ours from the ground must be the same there.
func TestMoonStandardAltitudeIsTheAlmanacsOnARoundEarth(t *testing.T) {
	for _, km := range []float64{356500, 384400, 406700} {
		π := math.Asin(6378.14 / km)
		h0 := 0.7275*π - 34.0/60*math.Pi/180
		// Shift the origin from the middle to the surface of a sphere: down by one radius.
		up := math.Sin(h0) - math.Sin(π)
		ground := math.Atan2(up, math.Cos(h0)) * 180 / math.Pi
		near(t, "altitude from the ground", moonAltitude(km).Deg(), ground, 0.001)
	}
}

// All passages of a day through the three levels of the sun and that of the moon: they alternate, and
// looking every four seconds finds no other.
func TestNoPassageIsMissed(t *testing.T) {
	r := random(t)
	const length, fine = 86400.0, 4.0
	pairs := 0
	for i := range 80 {
		p, start := anywhere(r)
		if i%4 > 0 { // most of them where events crowd together
			p.Lat = math.Copysign(55+18*r.Float64(), p.Lat)
		}
		b, levels := Sun, []float64{sunAltitude.Sin(), civilAltitude.Sin(), nauticalAltitude.Sin()}
		if i%2 == 0 {
			b, levels = Moon, []float64{0}
		}
		k := newTrack(b, observer(p), start, length, lookEvery)
		f := func(s float64) float64 {
			sin, above := k.height(s)
			if b == Moon {
				return above
			}
			return sin
		}
		l := take(f, length)
		for _, level := range levels {
			got := l.crossings(f, level)
			var want []crossing
			for s := 0.0; s < length; s += fine {
				if a, z := f(s) < level, f(s+fine) < level; a != z {
					want = append(want, crossing{s + fine/2, a})
				}
			}
			if len(got) != len(want) {
				t.Errorf("%s at %v from %v: %v, want %v", b, p, start, got, want)
				continue
			}
			for j := range got {
				if got[j].up != want[j].up || math.Abs(got[j].s-want[j].s) > fine {
					t.Errorf("%s at %v from %v: %v, want %v", b, p, start, got, want)
				}
				if j > 0 && got[j].up == got[j-1].up {
					t.Errorf("%s at %v from %v: %v, want rise and set in turn", b, p, start, got)
				}
				if j > 0 && got[j].s-got[j-1].s < 2*3600 {
					pairs++
				}
			}
		}
	}
	t.Logf("%d pairs within two hours", pairs)
}

// Where the midnight sun only just touches the horizon, both events fall between two looks.
func TestShortDipsAreFound(t *testing.T) {
	start := time.Date(2026, 6, 10, 12, 0, 0, 0, time.UTC) // the sun is lowest about midnight at longitude 0
	at := func(lat float64) []crossing {
		k := newTrack(Sun, observer(measure.Position{Lat: lat}), start, 86400, lookEvery)
		f := func(s float64) float64 { sin, _ := k.height(s); return sin }
		return take(f, 86400).crossings(f, sunAltitude.Sin())
	}
	sets, never := 60.0, 70.0
	for never-sets > 1e-9 {
		if mid := (sets + never) / 2; len(at(mid)) > 0 {
			sets = mid
		} else {
			never = mid
		}
	}
	for _, south := range []float64{1e-8, 1e-7, 1e-6, 1e-5, 1e-4} {
		got := at(sets - south)
		if len(got) != 2 || got[0].up || !got[1].up {
			t.Fatalf("%g degrees south of the last sunset at %v: %v, want a set and a rise", south, sets, got)
		}
		if gap := got[1].s - got[0].s; gap > 600 {
			t.Errorf("%g degrees south: down for %v s, want a dip shorter than a look", south, gap)
		}
	}
	// Without air and radius the limit would be 90 less the declination, 23.0 on that day; both lift it by 0.83.
	near(t, "latitude of the last sunset", sets, 90-23.05-50.0/60, 0.1)
}

func TestLitIsAFraction(t *testing.T) {
	r := random(t)
	for range 2000 {
		_, at := anywhere(r)
		if lit := litAt(ephemerisDay(julianDay(at))); !(lit >= 0 && lit <= 1) {
			t.Errorf("litAt(%v) = %v, want 0 to 1", at, lit)
		}
	}
}

func TestQuartersAlternateAndMatchTheLight(t *testing.T) {
	from, to := time.Date(1950, 1, 1, 0, 0, 0, 0, time.UTC), time.Date(2050, 1, 1, 0, 0, 0, 0, time.UTC)
	got, err := Phases(from, to)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "quarters in a century", float64(len(got)), 36524.5/29.530588861*4, 2)
	for i, q := range got {
		jde := ephemerisDay(julianDay(q.At))
		n := 0
		for quarters[n] != q.Phase {
			n++
		}
		off := measure.Wrap180(elongationAt(jde) - 90*float64(n))
		near(t, string(q.Phase)+" elongation "+q.At.String(), off, 0, 0.015) // the sun's 0.01 and the moon's 0.003
		near(t, string(q.Phase)+" lit "+q.At.String(), litAt(jde), []float64{0, 0.5, 1, 0.5}[n], 0.005)
		if i > 0 {
			if quarters[mod4(n-1)] != got[i-1].Phase {
				t.Errorf("%s follows %s at %v", q.Phase, got[i-1].Phase, q.At)
			}
			if gap := q.At.Sub(got[i-1].At).Hours() / 24; gap < 6.4 || gap > 8.4 {
				t.Errorf("%v days from quarter to quarter at %v, want about 7.4", gap, q.At)
			}
		}
	}
}

func TestPhaseWordsRunThroughTheMonth(t *testing.T) {
	order := []Phase{New, WaxingCrescent, FirstQuarter, WaxingGibbous, Full, WaningGibbous, LastQuarter, WaningCrescent}
	place := map[Phase]int{}
	for i, p := range order {
		place[p] = i
	}
	d := Date{2026, 1, 1}
	last := -1
	for range 730 {
		day, err := DayAt(measure.Position{Lat: -33, Lon: 151}, d, time.UTC)
		if err != nil {
			t.Fatal(err)
		}
		i, ok := place[day.MoonPhase]
		if !ok {
			t.Fatalf("%s: phase %q, want one of %v", d, day.MoonPhase, order)
		}
		if last >= 0 && i != last && i != (last+1)%8 {
			t.Errorf("%s: %q after %q", d, day.MoonPhase, order[last])
		}
		last, d = i, d.next()
	}
	if got := LastQuarter.Words(); got != "last quarter" {
		t.Errorf("Words() = %q, want %q", got, "last quarter")
	}
}
