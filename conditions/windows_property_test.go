package conditions

import (
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"
	"time"

	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/sky"
	"ledgehand/conditions/tide"
)

// inventedWeek is a search over a random ledge in a sea that comes and goes, with now and then a warning, a hole in a forecast, a
// gate, a wish, limits of any kind or none.
func inventedWeek(t testing.TB, rnd *rand.Rand) WindowsQuestion {
	now := time.Date(2026, time.Month(1+rnd.IntN(12)), 1+rnd.IntN(28), rnd.IntN(24), rnd.IntN(60), rnd.IntN(60), 0, pacific(t))
	q, l := weekFrom(t, now)
	some := func(one int) bool { return rnd.IntN(one) == 0 }
	base, swing, every := 0.3+rnd.Float64(), 0.8*rnd.Float64(), 4+30*rnd.Float64()
	period, dir := 8+7*rnd.Float64(), 230+80*rnd.Float64()
	for i, h := range l.Sea.Hours {
		hs := measure.Metres(math.Max(0.1, base+swing*math.Sin(float64(i)/every)))
		l.Sea.Hours[i] = seaHour(h.At, swell(hs, measure.Seconds(period+rnd.Float64()), measure.From(dir+10*rnd.Float64())), chop(hs/3, 5, 300))
	}
	for i := range l.Weather.Hours {
		l.Weather.Hours[i].Gust = new(measure.MetresPerSecond(7 + 6*math.Sin(float64(i)/every/2)))
		l.Weather.Hours[i].PressureHPa = new(1005 + 15*math.Sin(float64(i)/20) - 15*rnd.Float64())
	}
	c := &l.Card
	c.LipHeight, c.FootDepth = new(measure.Metres(4+4*rnd.Float64())), new(measure.Metres(6+12*rnd.Float64()))
	c.FaceSlope = new([]float64{0, 0.5, 1}[rnd.IntN(3)])
	c.LipMeasured = []ledge.HowMeasured{ledge.Measured, ledge.Estimated}[rnd.IntN(2)]
	c.WalkMinutes = rnd.IntN(90)
	c.Limits = ledge.Limits{}
	if !some(3) {
		c.Limits.Hs = new(measure.Metres(0.8 + rnd.Float64()))
	}
	if some(3) {
		c.Limits.Gust = new(measure.MetresPerSecond(9 + 4*rnd.Float64()))
	}
	if some(3) {
		c.Limits.Period = new(measure.Seconds(10 + 6*rnd.Float64()))
	}
	if some(3) {
		c.Limits.WashChance = new(math.Pow(10, -3*rnd.Float64()))
	}
	if some(2) {
		c.WalkInGate = new(measure.Metres(0.5 + 1.5*rnd.Float64()))
	}
	if some(4) {
		at := now.Add(time.Duration(rnd.IntN(90*60)) * time.Minute)
		warn(l, Warning{Concern: Red, Covers: new(true), Onset: at, Ends: at.Add(time.Duration(rnd.IntN(20*60)) * time.Minute)})
	}
	if some(4) {
		l.Sea.Hours[rnd.IntN(100)].Hs = nil
	}
	if some(4) {
		l.Weather.Hours[rnd.IntN(100)].Gust = nil
	}
	if some(3) {
		l.Sea.Source.RunAt = now.Add(-time.Duration(rnd.IntN(30)) * time.Hour)
	}
	if some(4) {
		l.Learned = watched(Question{Now: now}, 1+rnd.IntN(12), rnd.IntN(3))
	}
	if some(3) {
		kinds := []TideKind{MakingTide, EbbingTide, TideAroundLow, TideAroundHigh, TideBelowLevel, TideAboveLevel}
		q.Tide = TideWish{Kind: kinds[rnd.IntN(len(kinds))], Level: measure.Metres(0.5 + rnd.Float64())}
	}
	q.Least = time.Duration(61+rnd.IntN(180)) * time.Minute
	q.Nights = some(5)
	return q
}

// Every hour of a window, and of its room, meets everything when it is asked about alone; and the window as a whole has no
// hour that turns people back.
func TestEveryHourOfAWindowPassesAlone(t *testing.T) {
	const seed = 20260313
	t.Logf("seed %d", seed)
	rnd := rand.New(rand.NewPCG(seed, 0))
	n, hours := 0, 0
	for range 120 {
		q := inventedWeek(t, rnd)
		a := windows(t, q)
		o, l := a.Ledges[0], q.Ledges[0]
		l.Now = q.Now
		for _, w := range o.Windows {
			n++
			for u := w.Room.From; u.Before(w.Room.To); u = u.Add(time.Hour) {
				hours++
				one := l
				one.From, one.To = u, u.Add(time.Hour)
				if one.To.After(w.Room.To) {
					one.From, one.To = w.Room.To.Add(-time.Hour), w.Room.To
				}
				r := assess(t, one)
				passes(t, q, o, r, clock(a, one.From, one.To))
			}
			if w.To.Sub(w.From) > MostHours*time.Hour {
				t.Fatalf("window %s longer than %d hours", clock(a, w.From, w.To), MostHours)
			}
			one := l
			one.From, one.To = w.From, w.To
			r := assess(t, one)
			passes(t, q, o, r, clock(a, one.From, one.To))
			if !r.TurnBack.IsZero() && !q.Nights {
				t.Errorf("Assess turns back at %s from the window %s", r.TurnBack, clock(a, w.From, w.To))
			}
			if r.PStay > o.StayChance || r.ByNumbers == ledge.LikelyWashed {
				t.Errorf("window %s: chance %v, %q; want at most %v", clock(a, w.From, w.To), r.PStay, r.ByNumbers, o.StayChance)
			}
		}
	}
	if n < 100 {
		t.Errorf("%d windows in all, want at least 100 to judge by", n)
	}
	t.Logf("%d windows, %d hours", n, hours)
}

func passes(t *testing.T, q WindowsQuestion, o LedgeWindows, r Report, when string) {
	t.Helper()
	if d := doubts(r); len(d) > 0 {
		t.Errorf("%s: doubts %q, want none", when, d)
	}
	if o.LimitsSet && !r.WithinLimits {
		t.Errorf("%s: not within limits %+v: %+v", when, o.Limits, r.Reasons)
	}
	for _, h := range r.Hours {
		lim := o.Limits
		if lim.Hs != nil && h.HsP90 == nil || lim.Gust != nil && h.Gust == nil || lim.Period != nil && h.Period == nil {
			t.Errorf("%s: hour %+v, not known for %+v", when, h, lim)
			continue
		}
		if h.P >= o.HourChance || h.Violent || h.WalkInWet || h.Dark && !q.Nights || !h.Judged ||
			lim.Hs != nil && *h.HsP90 > *lim.Hs || lim.Gust != nil && *h.Gust > *lim.Gust || lim.Period != nil && *h.Period > *lim.Period {
			t.Errorf("%s: hour %+v does not meet %+v with a chance of %v", when, h, lim, o.HourChance)
		}
	}
}

// Windows have the length asked for, lie in the light and before the end of day 4, turn back within themselves, and come in order
// without overlapping.
func TestWindowsKeepTheirBounds(t *testing.T) {
	const seed = 11
	t.Logf("seed %d", seed)
	rnd := rand.New(rand.NewPCG(seed, 0))
	for range 80 {
		q := inventedWeek(t, rnd)
		a := windows(t, q)
		o := a.Ledges[0]
		var last tide.Span
		for _, w := range o.Windows {
			if w.To.Sub(w.From) < q.Least || w.To.After(q.Now.Add(FarthestDay)) || w.From.Before(q.Now) || w.To.After(o.SeaUntil) {
				t.Errorf("window %s: want %s or more from now %s to day 4", clock(a, w.From, w.To), q.Least, q.Now)
			}
			if w.Room.From.Before(last.To) || w.From.Before(w.Room.From) || w.To.After(w.Room.To) {
				t.Errorf("window %s in its room %v after %v: want order", clock(a, w.From, w.To), w.Room, last)
			}
			last = w.Room
			if !w.TurnBack.After(w.From) || w.TurnBack.After(w.To) || w.To.Sub(w.TurnBack) > turnBackGap {
				t.Errorf("window %s turns back at %s", clock(a, w.From, w.To), w.TurnBack)
			}
			if q.Nights {
				continue
			}
			out := w.To.Add(time.Duration(q.Ledges[0].Card.WalkMinutes) * time.Minute)
			for _, u := range []time.Time{w.From.Add(time.Second), w.To.Add(-time.Second), out.Add(-time.Second)} { // the sky is told to the second
				if l, err := sky.LightAt(*q.Ledges[0].Card.Place(), u); err != nil || l != sky.Daylight && l != sky.CivilTwilight {
					t.Errorf("%q at %s (%v), in or on the way out of the window %s", l, u, err, clock(a, w.From, w.To))
				}
			}
		}
		for _, d := range o.Off {
			if d.Word == "" || d.Limit != 0 && d.Word != WalkInWet && !(d.Value >= d.Limit) {
				t.Errorf("%s off because of %+v, want a reason over its limit", d.Day, d.Hindrance)
			}
		}
	}
}

// keeps fails for a room of before that lies in no room of after, or whose window there is shorter.
func keeps(t *testing.T, what string, n int, before, after WindowsAnswer) {
	t.Helper()
	for _, w := range before.Ledges[0].Windows {
		if !slices.ContainsFunc(after.Ledges[0].Windows, func(x Window) bool {
			return !x.Room.From.After(w.Room.From) && !x.Room.To.Before(w.Room.To) && x.To.Sub(x.From) >= w.To.Sub(w.From)
		}) {
			t.Errorf("case %d, %s: window %s is gone from %q", n, what, clock(before, w.From, w.To), clocks(after, after.Ledges[0].Windows))
		}
	}
}

func TestALowerSeaNeverTakesAWindow(t *testing.T) {
	const seed = 5
	t.Logf("seed %d", seed)
	rnd := rand.New(rand.NewPCG(seed, 0))
	for n := range 60 {
		q := inventedWeek(t, rnd)
		lower := q
		lower.Ledges = slices.Clone(q.Ledges)
		by := measure.Metres(0.5 + 0.5*rnd.Float64())
		s := &Sea{Source: q.Ledges[0].Sea.Source}
		for _, h := range q.Ledges[0].Sea.Hours {
			if h.Hs == nil {
				s.Hours = append(s.Hours, h)
				continue
			}
			var ps []Partition
			for _, p := range h.Partitions {
				p.Hs *= by
				ps = append(ps, p)
			}
			s.Hours = append(s.Hours, seaHour(h.At, ps...))
		}
		lower.Ledges[0].Sea = s
		if *q.Ledges[0].Card.FaceSlope > 0 {
			lower.Ledges[0].Learned, q.Ledges[0].Learned = nil, nil // on a slope what was learned starts from the steepness of the sea
		}
		keeps(t, "lower sea", n, windows(t, q), windows(t, lower))
	}
}

func TestARaisedLimitNeverTakesAWindow(t *testing.T) {
	const seed = 6
	t.Logf("seed %d", seed)
	rnd := rand.New(rand.NewPCG(seed, 0))
	for n := range 40 {
		q := inventedWeek(t, rnd)
		before := windows(t, q)
		by := 1 + rnd.Float64()
		for what, raise := range map[string]func(c *ledge.Card){
			"height":  func(c *ledge.Card) { c.Limits.Hs = higher(c.Limits.Hs, by) },
			"period":  func(c *ledge.Card) { c.Limits.Period = higher(c.Limits.Period, by) },
			"gust":    func(c *ledge.Card) { c.Limits.Gust = higher(c.Limits.Gust, by) },
			"chance":  func(c *ledge.Card) { c.Limits.WashChance = higher(c.Limits.WashChance, by) },
			"gate":    func(c *ledge.Card) { c.WalkInGate = higher(c.WalkInGate, by) },
			"no gate": func(c *ledge.Card) { c.WalkInGate = nil },
			"no walk": func(c *ledge.Card) { c.WalkMinutes = 0 },
		} {
			x := q
			x.Ledges = slices.Clone(q.Ledges)
			if raise(&x.Ledges[0].Card); reflect.DeepEqual(x.Ledges[0].Card, q.Ledges[0].Card) {
				continue // nothing to raise
			}
			keeps(t, what, n, before, windows(t, x))
		}
		x := q
		x.Tide = TideWish{}
		keeps(t, "any tide", n, before, windows(t, x))
		x = q
		x.Nights = true
		if longestWindow(windows(t, x)) < MostHours*time.Hour { // else the longest stay of a room may be another
			keeps(t, "nights", n, before, windows(t, x))
		}
		x = q
		x.Least = 61 * time.Minute
		keeps(t, "shorter stays", n, before, windows(t, x))
	}
}

func higher[T ~float64](p *T, by float64) *T {
	if p == nil {
		return nil
	}
	return new(*p * T(by))
}

func longestWindow(a WindowsAnswer) (most time.Duration) {
	for _, w := range a.Ledges[0].Windows {
		most = max(most, w.To.Sub(w.From))
	}
	return most
}

// Taking something away never makes a window: what is not known meets no limit.
func TestLessKnownIsNeverAWindowMore(t *testing.T) {
	const seed = 8
	t.Logf("seed %d", seed)
	rnd := rand.New(rand.NewPCG(seed, 0))
	for n := range 60 {
		q := inventedWeek(t, rnd)
		q.Ledges[0].Learned = nil // dry watches hold a ledge open; without them it rightly closes or opens
		before := windows(t, q)
		x := q
		x.Ledges = slices.Clone(q.Ledges)
		s := *q.Ledges[0].Sea
		s.Hours = slices.Clone(s.Hours)
		for range 1 + rnd.IntN(5) {
			s.Hours[12+rnd.IntN(100)].Hs = nil
		}
		x.Ledges[0].Sea = &s
		keeps(t, "holes", n, windows(t, x), before)
		x.Ledges[0].Sea = nil
		if o := windows(t, x).Ledges[0]; len(o.Windows) > 0 || !slices.Contains(o.Doubts, WhySeaUnknown) {
			t.Errorf("case %d: windows without a sea = %+v", n, o.Windows)
		}
	}
}

func TestWindowsAnswersTheSameTwice(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 0))
	for range 10 {
		q := inventedWeek(t, rnd)
		a, b := windows(t, q), windows(t, q)
		if got, want := clocks(a, a.Ledges[0].Windows), clocks(b, b.Ledges[0].Windows); !slices.Equal(got, want) || !slices.Equal(a.Ledges[0].Off, b.Ledges[0].Off) {
			t.Errorf("Windows = %q, then %q", got, want)
		}
	}
}
