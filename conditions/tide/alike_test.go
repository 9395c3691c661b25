package tide

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"
)

func station(t testing.TB, id string) Station {
	t.Helper()
	s, err := Find(id)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Gauges within 2 km of each other whose constants disagree, as the notes beside the data list them.
func TestSuspectPairsAreUnlike(t *testing.T) {
	if _, err := os.Stat(filepath.Join(full, "suspect_pairs.csv")); err != nil {
		t.Skip("no shared folder beside the repository: no list of pairs")
	}
	checked := 0
	for _, r := range readTable(t, full, "suspect_pairs.csv") {
		a, errA := Find(r["station_a"])
		b, errB := Find(r["station_b"])
		if err := errors.Join(errA, errB); err != nil {
			continue // one of them is marked as wrong in the source and left out of the catalogue
		}
		checked++
		if d := Differ(a, b); !d.Unlike() {
			t.Errorf("%s and %s: %+v, want unlike", a.ID, b.ID, d)
		}
		if x, y := rhythmOf(a), rhythmOf(b); x.daily()+y.daily() > diurnalFrom*(x.half()+y.half()) {
			continue // the list goes by M2, which does not lead here
		}
		lag := time.Duration(r.Num(t, "M2_lag_h") * float64(time.Hour))
		if d := Differ(b, a); (d.Later - lag).Abs() > time.Minute {
			t.Errorf("%s after %s by %s, the list has %s", a.ID, b.ID, d.Later, lag)
		}
	}
	if checked < 40 {
		t.Errorf("%d pairs checked, want over 40", checked)
	}
}

func TestDifferencesOfKnownWaters(t *testing.T) {
	for _, c := range []struct {
		name, a, b string
		unlike     bool
	}{
		{"OneHarbourTwoGauges", "noaa/9414290", "noaa/9414290", false},
		{"OpenCaliforniaPointReyesToArenaCove", "noaa/9415020", "noaa/9416841", false},
		{"BothSidesOfTheAucklandIsthmus", "ticon/auckland-auct-nzl-ttw", "ticon/manukau-mnkt-nzl-ttw", true},
		{"BothSidesOfThePanamaIsthmus", "ticon/cristobal-266-pan-uhslc_fd", "noaa/9812501", true},
		{"LagoonAndOceanPier", "noaa/8722669", "noaa/8722670", true},
		{"TwoGaugesWithoutTide", "ticon/visby-2080-swe-smhi", "ticon/toronto_ontario-13320-can-meds", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			a, b := station(t, c.a), station(t, c.b)
			d, back := Differ(a, b), Differ(b, a)
			if d.Unlike() != c.unlike || back.Unlike() != c.unlike {
				t.Errorf("Differ = %+v, back %+v: want unlike %v", d, back, c.unlike)
			}
		})
	}
}

func TestDifferencesAreNumbersAndTurnRound(t *testing.T) {
	ss := someStations(t, 400)
	for i, a := range ss[1:] {
		b := ss[i]
		d, back := Differ(a, b), Differ(b, a)
		if !finite(float64(d.Apart)) || d.Apart < 0 || !(d.Ratio >= 0) || d.Later.Abs() > 13*time.Hour {
			t.Errorf("Differ(%s, %s) = %+v", a.ID, b.ID, d)
		}
		half := d.Later.Abs() > 6*time.Hour // half a tide either way is the same
		if d.Later != -back.Later && !half || math.Abs(d.Ratio*back.Ratio-1) > 1e-9 || math.Abs(float64(d.Apart-back.Apart)) > 1e-9 {
			t.Errorf("Differ(%s, %s) = %+v, back %+v", a.ID, b.ID, d, back)
		}
		if self := Differ(a, a); self.Later != 0 || self.Ratio != 1 || self.Apart > 1e-6 {
			t.Errorf("Differ of %s from itself = %+v", a.ID, self)
		}
	}
}

// Offsets are what they say: later by their mean, and the range by both ratios about the mean level above the datum.
func TestSubordinateStationsDifferByTheirOffsets(t *testing.T) {
	s := station(t, "noaa/1612376") // +11 min and ×0.88 for highs, +5 min and ×0.75 for lows
	ref := station(t, s.Reference)
	d := Differ(ref, s)
	r := rhythmOf(ref)
	half, z := r.half()+r.daily(), float64(ref.MeanLevel)
	want := (0.88*(z+half) - 0.75*(z-half)) / (2 * half)
	if d.Later != 8*time.Minute || math.Abs(d.Ratio-want) > 1e-9 {
		t.Errorf("Differ = %+v, want 8 min and %.4f", d, want)
	}
}

// The estimate against a month of predicted waters, at every seventh station and its neighbours.
func TestDifferencesAgainstPredictedWaters(t *testing.T) {
	if testing.Short() {
		t.Skip("predicts a thousand months")
	}
	type errs struct{ minutes, ratio []float64 }
	var half, daily errs
	to := newYear.AddDate(0, 0, 29)
	c := stations()
	for i := 0; i < c.count; i += 7 {
		a := c.station(i)
		for _, b := range Near(a.Position, 4) {
			if b.ID == a.ID || a.Warning != "" || b.Warning != "" || b.Km > 40 {
				continue
			}
			d := Differ(a, b.Station)
			here := open(t, a.ID).Extremes(newYear, to)
			there := open(t, b.ID).Extremes(newYear.AddDate(0, 0, -1), to.AddDate(0, 0, 1))
			var off spread
			for _, e := range here {
				nearest := time.Duration(math.MaxInt64)
				for _, f := range there {
					if x := f.At.Sub(e.At) - d.Later; e.Kind == High && f.Kind == High && x.Abs() < nearest.Abs() {
						nearest = x
					}
				}
				if e.Kind == High {
					off.add(nearest.Minutes())
				}
			}
			if len(off.all) == 0 || len(there) < 3 {
				continue
			}
			to := &half
			if r := rhythmOf(a); r.daily() > diurnalFrom*r.half() {
				to = &daily
			}
			to.minutes = append(to.minutes, math.Abs(off.mean()))
			to.ratio = append(to.ratio, math.Abs(math.Log(meanRange(there)/meanRange(here)/d.Ratio)))
		}
	}
	at := func(v []float64, q float64) float64 {
		slices.Sort(v)
		return v[int(q*float64(len(v)))]
	}
	for _, k := range []struct {
		name           string
		errs           errs
		median, nine   float64 // minutes
		medianR, nineR float64 // ratio
	}{
		{"half-daily", half, 5, 24, 1.03, 1.13},
		{"daily", daily, 18, 50, 1.06, 1.20},
	} {
		m, n := at(k.errs.minutes, 0.5), at(k.errs.minutes, 0.9)
		mr, nr := math.Exp(at(k.errs.ratio, 0.5)), math.Exp(at(k.errs.ratio, 0.9))
		t.Logf("%s, %d pairs: time off %.0f min at half, %.0f at nine of ten; range %.3f, %.3f", k.name, len(k.errs.minutes), m, n, mr, nr)
		if m > k.median || n > k.nine || mr > k.medianR || nr > k.nineR {
			t.Errorf("%s: want at most %.0f and %.0f min, %.2f and %.2f", k.name, k.median, k.nine, k.medianR, k.nineR)
		}
	}
}

func meanRange(es []Extreme) float64 {
	var sum float64
	for i := 1; i < len(es); i++ {
		sum += math.Abs(float64(es[i].Height - es[i-1].Height))
	}
	return sum / float64(len(es)-1)
}
