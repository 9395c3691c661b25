package conditions

import (
	"math"
	"math/rand/v2"
	"runtime"
	"sync"
	"testing"
	"time"

	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/tide"
	"ledgehand/conditions/wave"
)

// world is how the invented truth departs from what formula, forecast and tide table say. Spreads are standard
// deviations of natural logarithms unless a unit is named.
type world struct {
	name string

	kappa   float64 // of a ledge's true run-up coefficient about the formula's
	formula float64 // true over the formula's, on average
	near    float64 // lasting error of the forecast at one ledge
	day     float64 // times wave.ForecastSpread: error of one day's forecast
	low     float64 // sea over forecast, on average: above 1 the forecast runs low
	lip     float64 // m, lasting error of the lip's height
	level   float64 // m, error of one day's water level
	period  float64 // of one day's period

	unmeasured  bool    // nobody measured the lip, and the card says so
	nearDaily   bool    // the error near shore is another every day
	aboutTheSea bool    // forecasts scatter about the sea, not the sea about its forecast: calm days come out worse than forecast
	hourlyTide  bool    // the water really stands all hour as high as its highest, which is what the chain takes
	midLevel    bool    // a watch is kept with the water level in its middle, not with that of the forecast's nearest hour
	reports     bool    // "washed" or "dry" of a whole session, no counts
	hushed      float64 // share of wet watches that nobody keeps
	swell       float64 // of kappa between swells; all watches in one, the stay in another 60 degrees away
	sameDay     bool    // the last watch is that of the day, an hour before the stay, on the same forecast
}

// asAssumed is the world the chain is made for: waves.md section 6, and the spreads of the package ledge. Of the 0.15 m
// the chain allows for lip and water level together, 0.11 last and 0.10 are another every day.
func asAssumed() world {
	return world{
		name: "as the chain assumes", kappa: ledge.DefaultSigmaKappa, formula: 1, near: 0.15, day: 1, low: 1, lip: 0.11, level: 0.10, period: 0.05,
	}
}

// Of all invented ledges and days.
const (
	footDepth   = 20.0 // m, at datum: deep enough that no wave breaks before it is there
	meanSea     = 0.96 // m, mean sea level over the datum of the tide station used
	usualHs     = 1.3  // m
	usualSpread = 0.4  // of ln Hs between days
	watchLong   = 20 * time.Minute
)

// inventor draws ledges, days and seas. Not for use by several goroutines.
type inventor struct {
	world
	t    testing.TB
	rnd  *rand.Rand
	pred *tide.Predictor

	surfaces map[[2]float64]*waterSurface // by peak enhancement and size
	waves    []oneWave
	level    []measure.Metres

	card     ledge.Card
	textbook float64 // kappa of the formula
	kappa    float64 // of the rock
	nearErr  float64 // lasting errors, see world
	lipErr   float64
}

// ledge draws the next ledge: its lip where usual days come up to it often, seldom or hardly ever.
func (v *inventor) ledge() {
	cot := []float64{0, 0.5, 1}[v.rnd.IntN(3)]
	k, ok := formula(ledge.Card{FaceSlope: &cot}, usualHs, 10)
	if !ok {
		v.t.Error("no formula for the face")
	}
	v.textbook, v.kappa = k, k*v.formula*math.Exp(v.world.kappa*v.rnd.NormFloat64())
	v.nearErr, v.lipErr = v.near*v.rnd.NormFloat64(), v.lip*v.rnd.NormFloat64()
	lip := meanSea + k*usualHs*(0.9+2.1*v.rnd.Float64())
	v.card = ledge.Card{
		Name: "Anvil", TideStation: arenaCove, LipHeight: new(measure.Metres(lip)), LipMeasured: ledge.Measured,
		FootDepth: new(measure.Metres(footDepth)), Faces: new(measure.From(270)), OpenSector: &ledge.Sector{180, 360}, FaceSlope: &cot,
	}
	if v.unmeasured {
		v.card.LipMeasured = ledge.Unmeasured
	}
}

// weather is one day: what is forecast and what comes.
type weather struct {
	hs, tp       float64 // forecast
	seaHs, seaTp float64 // true, offshore
	gamma        float64 // peak enhancement
	from         measure.From
	levelErr     float64
}

func (v *inventor) weather(lead time.Duration, from measure.From) weather {
	d := weather{hs: usualHs * math.Exp(usualSpread*v.rnd.NormFloat64()), tp: 7 + 8*v.rnd.Float64(), from: from}
	kinds := []float64{3.3, 5, 7} // narrow swell, which comes in sets
	switch {
	case d.tp < 9:
		kinds = []float64{1, 2, 3.3}
	case d.tp < 12:
		kinds = []float64{2, 3.3, 5}
	}
	d.gamma = kinds[v.rnd.IntN(len(kinds))]
	err, near := v.day*wave.ForecastSpread(lead, false)*v.rnd.NormFloat64(), v.nearErr
	if v.nearDaily {
		near = v.near * v.rnd.NormFloat64()
	}
	d.seaHs = d.hs * math.Exp(near) * v.low
	if v.aboutTheSea {
		d.hs *= math.Exp(-err)
	} else {
		d.seaHs *= math.Exp(err)
	}
	d.seaTp = d.tp * math.Exp(v.period*v.rnd.NormFloat64())
	d.levelErr = v.world.level * v.rnd.NormFloat64()
	return d
}

// question is what the bot would ask about these hours.
func (v *inventor) question(d weather, now, from, to time.Time) Question {
	s := &Sea{Source: Source{Name: "an invented sea", FetchedAt: now}}
	for at := from.Add(-time.Hour); at.Before(to.Add(2 * time.Hour)); at = at.Add(time.Hour) {
		s.Hours = append(s.Hours, seaHour(at, swell(measure.Metres(d.hs), measure.Seconds(d.tp), d.from)))
	}
	return Question{Card: v.card, From: from, To: to, Now: now, Zone: time.UTC, Sea: s, Warnings: Warnings{State: WarningsNone, CheckedAt: now}}
}

func (v *inventor) assess(q Question) Report {
	r, err := Assess(q)
	if err != nil {
		v.t.Errorf("Assess = %v, want a report", err)
	}
	return r
}

// happens draws the sea for so long, and counts the waves that wash a ledge of this kappa. excess is how far the biggest
// passed the lip, m.
func (v *inventor) happens(d weather, from time.Time, long time.Duration, kappa float64) (washes int, excess float64) {
	size := 8192.0
	if long < time.Hour {
		size = 2048
	}
	key := [2]float64{d.gamma, size}
	s := v.surfaces[key]
	if s == nil {
		s = newSurface(d.gamma, int(size))
		v.surfaces[key] = s
	}
	v.waves = s.waves(v.rnd, long.Seconds()/d.seaTp, v.waves)
	ks, err := wave.Shoaling(measure.Seconds(d.seaTp), footDepth+meanSea, measure.Gravity)
	if err != nil {
		v.t.Error(err)
	}
	share := wave.Exposure(d.from, wave.SwellSpread, *v.card.Faces, *v.card.OpenSector)
	reach := kappa * d.seaHs * ks * math.Sqrt(share) * wave.ObliqueRunUp(measure.Between(d.from, *v.card.Faces))
	v.level = append(v.level[:0], make([]measure.Metres, int(long/tideStep)+2)...)
	v.pred.HeightsInto(v.level, from, tideStep)
	if v.hourlyTide {
		for i := 0; i < len(v.level)-1; i += stepsPer {
			hour := v.level[i:min(i+stepsPer+1, len(v.level))]
			top := max(hour[0], hour[len(hour)-1])
			for k := range hour {
				top = max(top, hour[k])
			}
			for k := range hour[:min(stepsPer, len(hour))] {
				hour[k] = top
			}
		}
	}
	lip := float64(*v.card.LipHeight) + v.lipErr - d.levelErr
	excess = math.Inf(-1)
	for _, w := range v.waves {
		x := w.at * d.seaTp / tideStep.Seconds()
		i := int(x)
		still := float64(v.level[i])
		if !v.hourlyTide {
			still += (x - float64(i)) * float64(v.level[i+1]-v.level[i])
		}
		over := reach*w.height - (lip - still)
		if over > 0 {
			washes++
		}
		excess = max(excess, over)
	}
	return washes, excess
}

// watch is one observation from time at on, kept as the bot keeps it. Not ok: nobody would have gone down on such a day, or
// nobody kept it.
func (v *inventor) watch(d weather, now, at time.Time, kappa float64) (o ledge.Observation, ok bool) {
	start := now.Truncate(time.Hour)
	long := watchLong
	if v.reports {
		long = time.Duration(2+v.rnd.IntN(3)) * time.Hour
	}
	r := v.assess(v.question(d, now, start, at.Truncate(time.Hour).Add(long+2*time.Hour)))
	o = ledge.Observation{At: at.Add(long), Phi: ledge.PhiOf(measure.Seconds(d.tp))}
	if v.reports {
		for _, h := range r.Hours {
			begin, end := h.At, h.At.Add(time.Hour)
			if at.After(begin) {
				begin = at
			}
			end = earlier(end, o.At)
			if end.After(begin) {
				o.Spans = append(o.Spans, span(h, end.Sub(begin)))
			}
		}
	} else {
		h := r.Hours[0]
		for _, x := range r.Hours {
			if x.At.Sub(at).Abs() < h.At.Sub(at).Abs() {
				h = x
			}
		}
		if v.midLevel {
			h.Freeboard = *v.card.LipHeight - v.pred.Height(at.Add(long/2))
		}
		o.Spans = append(o.Spans, span(h, long))
	}
	for _, s := range o.Spans {
		if s.Rc < 0.3 || float64(s.Rc) < 0.8*v.textbook*float64(s.Hs) {
			return o, false
		}
	}
	o.Washes, _ = v.happens(d, at, long, kappa)
	if v.reports {
		o = ledge.Reported(o.At, min(o.Washes, ledge.ReportedOnce), measure.Seconds(d.tp), o.Spans...)
	}
	return o, o.Washes == 0 || v.rnd.Float64() >= v.hushed
}

func span(h Hour, long time.Duration) ledge.Span {
	return ledge.Span{Minutes: long.Minutes(), Hs: h.HsReach, Tz: h.Tz, Rc: h.Freeboard, From: h.SwellFrom}
}

// stated is what was said of a stay after so many watches.
type stated struct {
	chance       float64
	verdict      ledge.Verdict
	low, bad     float64 // of the biggest wave over the lip, m: one case in twenty is below, one in twenty above
	spread       float64 // of ln kappa and the forecast's lasting error together
	kLow, kHigh  float64 // the 90 % of kappa that the chain reckons with
	calibrated   bool
	wet, watches int
}

// tale is one ledge with its watches, and one stay on it.
type tale struct {
	said   []stated // by count of watches
	washed bool
	excess float64 // of the biggest wave over the lip, m
	kappa  float64 // true, as forecast and Rayleigh law see it
}

var firstDay = time.Date(2026, 1, 5, 0, 0, 0, 0, time.UTC)

// tell draws a ledge, the watches of the five months before, and a stay that is judged as if there had been only the
// newest of them, for every count.
func (v *inventor) tell(counts []int) tale {
	v.ledge()
	watched, stayed := measure.From(270), measure.From(270)
	then, now := v.kappa, v.kappa
	if v.swell > 0 {
		watched, stayed = 300, 240
		then, now = then*math.Exp(v.swell*v.rnd.NormFloat64()), now*math.Exp(v.swell*v.rnd.NormFloat64())
	}
	from := firstDay.Add(time.Duration((150+v.rnd.IntN(200))*24+v.rnd.IntN(24)) * time.Hour)
	long := time.Duration(2+v.rnd.IntN(3)) * time.Hour
	lead := time.Duration(6+v.rnd.IntN(66)) * time.Hour
	if v.sameDay {
		lead = 3 * time.Hour
	}
	asked := from.Add(-lead)
	d := v.weather(lead, stayed)

	var seen []ledge.Observation
	for n := counts[len(counts)-1]; len(seen) < n; {
		if v.sameDay && len(seen) == 0 {
			if o, ok := v.watch(d, asked, from.Add(-time.Hour), now); ok {
				seen = append(seen, o)
				asked = o.At
				continue
			}
			d = v.weather(lead, stayed)
			continue
		}
		at := from.Add(-time.Duration(len(seen)*12+5)*24*time.Hour - time.Duration(v.rnd.IntN(8*24*60))*time.Minute)
		before := time.Duration(v.rnd.IntN(180)) * time.Minute
		if o, ok := v.watch(v.weather(before, watched), at.Add(-before), at, then); ok {
			seen = append(seen, o)
		}
	}
	q := v.question(d, asked, from, from.Add(long))
	var out tale
	washes, excess := v.happens(d, from, long, now)
	out.washed, out.excess = washes > 0, excess
	out.kappa = now * math.Exp(v.nearErr) * v.low * rayleighShare
	for _, n := range counts {
		q.Learned = seen[:n]
		out.said = append(out.said, v.say(q))
	}
	return out
}

// say asks and reads the answer.
func (v *inventor) say(q Question) stated {
	r := v.assess(q)
	s := stated{chance: r.PStay, verdict: r.ByNumbers, bad: float64(r.ExcessBad), calibrated: r.Calibrated, watches: len(q.Learned)}
	for _, o := range q.Learned {
		if o.Washes > 0 {
			s.wet++
		}
	}
	// In the worst step all of it is one log-normal factor, so the low case lies below the median as the bad one lies above.
	rc := float64(r.Hours[r.Worst].Freeboard)
	mid := float64(r.ExcessMedian) + rc
	s.low = mid*mid/(s.bad+rc) - rc
	kappa := v.textbook
	s.spread = ledge.DefaultSigmaKappa
	if len(q.Learned) > 0 {
		a := assessment{q: q, r: &r}
		if post := a.learned(); post != nil {
			kappa, s.spread = post.Median, post.Spread
		}
	}
	if !r.Calibrated {
		s.spread = math.Hypot(s.spread, nearShore)
	}
	s.kLow, s.kHigh = kappa*math.Exp(-wave.OneInTwenty*s.spread), kappa*math.Exp(wave.OneInTwenty*s.spread)
	return s
}

// tales are so many of them. Each has its own stream of chance, so that the number of workers changes nothing.
func tales(t testing.TB, w world, n int, counts []int, seed uint64) []tale {
	t.Helper()
	out := make([]tale, n)
	var wg sync.WaitGroup
	workers := min(2, runtime.GOMAXPROCS(0))
	for k := range workers {
		wg.Go(func() {
			p, err := tide.Open(arenaCove)
			if err != nil {
				t.Error(err)
				return
			}
			v := &inventor{world: w, t: t, pred: p, surfaces: map[[2]float64]*waterSurface{}}
			for i := k; i < n; i += workers {
				v.rnd = rand.New(rand.NewPCG(seed, uint64(i)))
				out[i] = v.tell(counts)
			}
		})
	}
	wg.Wait()
	if t.Failed() {
		t.FailNow()
	}
	return out
}
