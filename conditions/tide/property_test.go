package tide

import (
	"math"
	"math/rand/v2"
	"sync"
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

// someStations picks stations of every kind by a printed seed.
func someStations(t *testing.T, n int) []Station {
	t.Helper()
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	r := rand.New(rand.NewPCG(seed, 1))
	c := stations()
	var out []Station
	for len(out) < n {
		out = append(out, c.station(r.IntN(c.count)))
	}
	return out
}

func open(t testing.TB, id string, opts ...Option) *Predictor {
	t.Helper()
	p, err := Open(id, opts...)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

var newYear = time.Date(2027, time.January, 1, 0, 0, 0, 0, time.UTC)

func TestHeightsAddUp(t *testing.T) {
	cs := Constituents("noaa/9455920") // 120 names
	whole, err := New(1.5, cs)
	if err != nil {
		t.Fatal(err)
	}
	one, _ := New(1.5, cs[:50])
	rest, _ := New(0, cs[50:])
	for h := range 500 {
		at := newYear.Add(time.Duration(h) * 37 * time.Minute)
		if d := whole.Height(at) - one.Height(at) - rest.Height(at); math.Abs(float64(d)) > 1e-9 {
			t.Fatalf("at %s the parts differ from the whole by %v m", at, d)
		}
	}
}

func TestSeriesEqualsSingleHeights(t *testing.T) {
	for _, mode := range []Mode{Instant, Year} {
		for _, id := range []string{"noaa/9455920", "ticon/newlyn-new-gbr-bodc", "kartverket/OSL", "noaa/8531526"} {
			p := open(t, id, WithMode(mode))
			for _, step := range []time.Duration{time.Second, 6 * time.Minute, time.Hour, 7*time.Hour + time.Millisecond, 25 * time.Hour} {
				from := newYear.Add(-300*step - 1500*time.Microsecond)
				got := p.Heights(from, from.Add(700*step), step)
				if len(got) != 701 {
					t.Fatalf("Heights over 700 steps = %d values, want 701", len(got))
				}
				for i, h := range got {
					at := from.Add(time.Duration(i) * step)
					if want := p.Height(at); math.Abs(float64(h-want)) > 1e-9 {
						t.Fatalf("%s %s step %s: Heights at %s = %.9f, Height = %.9f", id, mode, step, at, h, want)
					}
				}
			}
		}
	}
}

func TestHeightsOfNothingIsNil(t *testing.T) {
	p := open(t, "noaa/9414290")
	if got := p.Heights(newYear, newYear.Add(time.Hour), 0); got != nil {
		t.Errorf("Heights with no step = %v, want nil", got)
	}
	if got := p.Heights(newYear, newYear.Add(-time.Hour), time.Minute); got != nil {
		t.Errorf("Heights backwards = %v, want nil", got)
	}
	if got := p.Heights(newYear, newYear, time.Minute); len(got) != 1 {
		t.Errorf("Heights at one instant = %v, want one", got)
	}
}

func TestInstantModeHasNoStepAtMidnight(t *testing.T) {
	for _, s := range someStations(t, 40) {
		p := open(t, s.ID)
		for _, midnight := range []time.Time{newYear, newYear.AddDate(0, 0, 1), newYear.AddDate(0, 6, 0), newYear.AddDate(1, 0, 0)} {
			before, after := p.Height(midnight.Add(-time.Millisecond)), p.Height(midnight)
			if math.Abs(float64(after-before)) > 1e-5 { // a spring tide of 16 m runs 2.5 m an hour, 0.7 µm a millisecond
				t.Errorf("%s steps %v m at %s", s.ID, after-before, midnight)
			}
		}
	}
	// the step that year mode has: 6 cm at Eastport in the year it was measured
	p := open(t, "noaa/8410140", WithMode(Year))
	if d := p.Height(newYear) - p.Height(newYear.Add(-time.Millisecond)); math.Abs(float64(d)) < 0.001 {
		t.Errorf("year mode steps %v m at New Year, want more: is it year mode?", d)
	}
}

func TestHighsAndLowsAlternateAndAreFlat(t *testing.T) {
	for _, s := range someStations(t, 60) {
		p := open(t, s.ID)
		es := p.Extremes(newYear.AddDate(0, 0, -20), newYear.AddDate(0, 0, 40))
		for i, e := range es {
			if i > 0 && (es[i-1].Kind == e.Kind || !es[i-1].At.Before(e.At)) {
				t.Errorf("%s: %v follows %v", s.ID, e, es[i-1])
			}
			if d := p.Height(e.At) - e.Height; math.Abs(float64(d)) > 1e-4 {
				t.Errorf("%s: Height(%s) is %v off the extreme's", s.ID, e.At, d)
			}
			// a ripple on a flank may be lower than the micrometre that heights are given to
			if up := i > 0 && e.Height > es[i-1].Height; i > 0 && !s.Subordinate && (e.Kind == High) != up && e.Height != es[i-1].Height {
				t.Errorf("%s: %v after %v", s.ID, e, es[i-1])
			}
			const dt = 10 * time.Second
			slope := float64(p.Height(e.At.Add(dt))-p.Height(e.At.Add(-dt))) / (2 * dt.Hours())
			if math.Abs(slope) > 0.02 {
				t.Errorf("%s: water runs %.4f m/h at %v, want none", s.ID, slope, e)
			}
		}
	}
}

// Places with double highs, aggers, double lows, diurnal and mixed tides, against looking at every minute.
func TestNoTurnIsMissed(t *testing.T) {
	for _, id := range []string{
		"ticon/southampton-sou-gbr-da_idh", "noaa/8729840", "noaa/9455920", "noaa/9462620", "ticon/hong_kong-329-hkg-uhslc_fd",
		"ticon/vlissingen-vlis-nld-rws", "ticon/severn_bridge-ssc-gbr-cco", "noaa/9751381", "ticon/visby-2080-swe-smhi",
	} {
		p := open(t, id, WithPrune(0))
		from, to := newYear.AddDate(0, 0, -30), newYear.AddDate(0, 0, 60)
		hs := p.Heights(from, to, time.Minute)
		var want []time.Time
		for i := 1; i+1 < len(hs); i++ {
			if (hs[i]-hs[i-1])*(hs[i+1]-hs[i]) <= 0 {
				want = append(want, from.Add(time.Duration(i)*time.Minute))
			}
		}
		got := p.Extremes(from.Add(time.Minute), to.Add(-time.Minute))
		if len(got) < len(want) {
			t.Errorf("%s: %d turns, looking at every minute finds %d", id, len(got), len(want))
		}
		j := 0
		for _, w := range want {
			for j < len(got) && got[j].At.Before(w.Add(-time.Minute)) {
				j++
			}
			if j == len(got) || got[j].At.After(w.Add(time.Minute)) {
				t.Errorf("%s: no turn near %s", id, w)
			}
		}
	}
}

func TestExtremesDoNotHangOnTheWindow(t *testing.T) {
	for _, s := range someStations(t, 20) {
		p := open(t, s.ID)
		long := p.Extremes(newYear.AddDate(0, 0, -10), newYear.AddDate(0, 0, 10))
		for d := -9; d < 9; d++ {
			from := newYear.AddDate(0, 0, d).Add(5 * time.Hour)
			to := from.Add(31 * time.Hour)
			var want []Extreme
			for _, e := range long {
				if !e.At.Before(from) && !e.At.After(to) {
					want = append(want, e)
				}
			}
			got := p.Extremes(from, to)
			if len(got) != len(want) {
				t.Fatalf("%s: Extremes(%s, %s) = %v, want %v", s.ID, from, to, got, want)
			}
			for i := range got {
				if got[i] != want[i] {
					t.Errorf("%s: %v in the short window, %v in the long", s.ID, got[i], want[i])
				}
			}
		}
	}
}

func TestExtremesAtTheEdgeOfAWindowBelongToIt(t *testing.T) {
	p := open(t, "noaa/9414290")
	e := p.Extremes(newYear, newYear.AddDate(0, 0, 1))[1]
	if got := p.Extremes(e.At, e.At); len(got) != 1 || got[0] != e {
		t.Errorf("Extremes at the instant of %v = %v", e, got)
	}
	if got := p.Extremes(e.At, e.At.Add(-time.Hour)); got != nil {
		t.Errorf("Extremes backwards = %v, want nil", got)
	}
}

func TestPruningDropsOnlyRipples(t *testing.T) {
	ts := []turn{{0, 0, false}, {1, 1, true}, {2, 0.5, false}, {3, 0.505, true}, {4, 0.503, false}, {5, 0.506, true}, {6, -1, false}}
	got := prune(append([]turn(nil), ts...), 0.01)
	want := []float64{0, 1, 2, 5, 6} // the higher high of the two stays
	if len(got) != len(want) {
		t.Fatalf("prune = %v, want the turns at %v", got, want)
	}
	for i := range got {
		if got[i].at != want[i] {
			t.Errorf("prune = %v, want the turns at %v", got, want)
		}
	}
	if got := prune(append([]turn(nil), ts...), 0); len(got) != len(ts) {
		t.Errorf("prune without a limit = %v, want all", got)
	}
}

func TestStageFollowsTheWater(t *testing.T) {
	for _, s := range someStations(t, 25) {
		p := open(t, s.ID)
		for k := range 60 {
			at := newYear.Add(time.Duration(k) * 97 * time.Minute)
			st := p.StageAt(at)
			if st.Motion == Still {
				continue
			}
			if st.Last.At.After(at) || !st.Next.At.After(at) || st.Last.Kind == st.Next.Kind || st.Height != p.Height(at) {
				t.Fatalf("%s: StageAt(%s) = %+v", s.ID, at, st)
			}
			if (st.Motion == Making) != (st.Next.Kind == High) {
				t.Errorf("%s: %s towards %s water", s.ID, st.Motion, st.Next.Kind)
			}
			next, ok := p.Next(at, st.Next.Kind)
			if !ok || next != st.Next {
				t.Errorf("%s: Next(%s, %s) = %v, want %v", s.ID, at, st.Next.Kind, next, st.Next)
			}
		}
	}
}

func TestAPlaceWithoutATideStandsStill(t *testing.T) {
	p, err := New(1.2, nil)
	if err != nil {
		t.Fatal(err)
	}
	if st := p.StageAt(newYear); st.Motion != Still || st.Height != 1.2 {
		t.Errorf("StageAt without constituents = %+v, want still at 1.2 m", st)
	}
	if _, ok := p.Next(newYear, High); ok {
		t.Error("Next high water without constituents = one, want none")
	}
	if p.Warning() != NoTide {
		t.Errorf("Warning = %q, want %q", p.Warning(), NoTide)
	}
	if got := p.Below(2, newYear, newYear.Add(time.Hour)); len(got) != 1 || got[0] != (Span{newYear, newYear.Add(time.Hour)}) {
		t.Errorf("Below 2 m = %v, want the whole hour", got)
	}
	if got := p.Below(1, newYear, newYear.Add(time.Hour)); got != nil {
		t.Errorf("Below 1 m = %v, want none", got)
	}
}

// Looked at minute by minute; an end may be a second off, to the dry side only.
func TestBelowNeverCallsWetDry(t *testing.T) {
	for _, s := range someStations(t, 25) {
		p := open(t, s.ID)
		from, to := newYear.Add(-40*time.Hour+123*time.Millisecond), newYear.Add(70*time.Hour)
		hs := p.Heights(from, to, 7*time.Minute)
		lo, hi := hs[0], hs[0]
		for _, h := range hs {
			lo, hi = min(lo, h), max(hi, h)
		}
		for _, level := range []measure.Metres{lo - 1, lo + (hi-lo)/10, (lo + hi) / 2, hi - (hi-lo)/20, hi + 1} {
			dry, wet := p.Below(level, from, to), p.Above(level, from, to)
			in := func(spans []Span, at time.Time) bool {
				for _, x := range spans {
					if !at.Before(x.From) && !at.After(x.To) {
						return true
					}
				}
				return false
			}
			for i, h := range hs {
				at := from.Add(time.Duration(i) * 7 * time.Minute)
				if in(dry, at) && h > level+1e-6 {
					t.Fatalf("%s: Below(%v) has %s, where the level is %v", s.ID, level, at, h)
				}
				edge := in(dry, at.Add(2*time.Second)) || in(dry, at.Add(-2*time.Second))
				if !in(dry, at) && h <= level && !edge {
					t.Fatalf("%s: Below(%v) lacks %s, where the level is %v: %v", s.ID, level, at, h, dry)
				}
				if !in(dry, at) && !in(wet, at) {
					t.Fatalf("%s: %s neither below nor above %v", s.ID, at, level)
				}
			}
			for i, x := range dry {
				if !x.To.After(x.From) || i > 0 && !x.From.After(dry[i-1].To) {
					t.Errorf("%s: Below(%v) = %v, want spans in order and apart", s.ID, level, dry)
				}
			}
		}
	}
}

func TestYearModeKeepsHighsAndLowsInTurnOverNewYear(t *testing.T) {
	for _, s := range someStations(t, 80) {
		p := open(t, s.ID, WithMode(Year))
		for _, year := range []int{2020, 2025, 2027, 2031} {
			at := time.Date(year, time.January, 1, 0, 0, 0, 0, time.UTC)
			es := p.Extremes(at.AddDate(0, 0, -3), at.AddDate(0, 0, 3))
			for i := 1; i < len(es); i++ {
				if es[i-1].Kind == es[i].Kind || es[i].At.Before(es[i-1].At) {
					t.Errorf("%s: %v follows %v", s.ID, es[i], es[i-1])
				}
			}
		}
	}
}

func TestOnePredictorServesManyAtOnce(t *testing.T) {
	for _, id := range []string{"noaa/9414290", "noaa/8531526"} {
		p := open(t, id)
		want := p.Heights(newYear, newYear.AddDate(0, 0, 60), 3*time.Hour)
		var all sync.WaitGroup
		for g := range 4 {
			all.Go(func() {
				for i := range want {
					i = (i*7 + g*101) % len(want)
					at := newYear.Add(time.Duration(i) * 3 * time.Hour)
					if got := p.Height(at); math.Abs(float64(got-want[i])) > 1e-9 {
						t.Errorf("%s: Height(%s) = %v beside others, want %v", id, at, got, want[i])
					}
				}
			})
		}
		all.Wait()
	}
}

func TestFarInstantsGiveNumbers(t *testing.T) {
	for _, id := range []string{"noaa/9414290", "noaa/8531526"} {
		for _, mode := range []Mode{Instant, Year} {
			p := open(t, id, WithMode(mode))
			for _, at := range []time.Time{{}, time.Date(1583, 1, 1, 0, 0, 0, 1, time.UTC), time.Date(1969, 12, 31, 23, 59, 59, 999999999, time.UTC), time.Date(9999, 12, 31, 23, 59, 0, 0, time.UTC)} {
				if h := float64(p.Height(at)); !finite(h) || math.Abs(h) > 5 {
					t.Errorf("%s %s: Height(%s) = %v, want a tide", id, mode, at, h)
				}
				if st := p.StageAt(at); st.Motion == Still {
					t.Errorf("%s %s: StageAt(%s) = still, want a tide", id, mode, at)
				}
			}
		}
	}
}
