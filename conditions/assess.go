// Package conditions answers the question before every trip: will this ledge, in these hours,
// be washed, how sure is that, and until when. It puts tide, sea, light, wind and warnings
// together with what is known of the ledge; the physics are in its sub-packages, the feeds in
// feed. It is pure: everything comes in with the Question, its Now included.
//
// Of surge it knows only what air pressure does. It does not model gullies, refraction around headlands or currents, and it never
// says that a ledge is safe: no data, old data or an unknown state of warnings is "cannot tell".
package conditions

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/sky"
	"ledgehand/conditions/tide"
	"ledgehand/conditions/wave"
)

// Limits of what a forecast is good for (engineering judgement, see the package wave for the spread it grows by).
const (
	SeaRefused  = 12 * time.Hour // a sea forecast fetched longer ago says nothing
	RunRefused  = 36 * time.Hour // nor one of a model run longer ago: three runs of the slowest model were missed
	FarthestDay = 4 * 24 * time.Hour
	MostHours   = 48
	// CalibratedAt is how many watches and reports make a ledge's own number worth more than the formula.
	CalibratedAt = 5
)

// ErrWindow means the hours asked for make no window.
var ErrWindow = errors.New("hours asked for")

// dimFor is how much of an hour may lie beyond civil twilight before the hour counts as dark: light does not end to the minute.
const dimFor = 5 * time.Minute

// assumedFoot stands in where nobody said how deep the water is; the verdict then is "cannot tell".
const assumedFoot = 10.0

// Assess answers a question. The error is only for questions that make no sense; whatever is
// missing ends in the verdict "cannot tell" with its reason.
func Assess(q Question) (Report, error) {
	if !q.To.After(q.From) || q.To.Sub(q.From) > MostHours*time.Hour {
		return Report{}, fmt.Errorf("%w from %s to %s: need up to %d hours", ErrWindow, q.From.UTC().Format(time.RFC3339), q.To.UTC().Format(time.RFC3339), MostHours)
	}
	if q.Zone == nil {
		q.Zone = time.UTC
	}
	r := Report{
		Ledge: q.Card.Name, From: q.From, To: q.To, Now: q.Now, Zone: q.Zone, Worst: -1,
		Warnings: q.Warnings, SeaWhy: q.SeaWhy, WeatherWhy: q.WeatherWhy, WatchMinutes: 20,
		Watches: len(q.Learned),
	}
	for _, o := range q.Learned {
		if o.Report {
			r.Reports++
		}
	}
	if q.Sea != nil {
		r.SeaSource = &q.Sea.Source
	}
	if q.Weather != nil {
		r.WeatherSource = &q.Weather.Source
	}
	r.Hours = make([]Hour, int((q.To.Sub(q.From)+time.Hour-1)/time.Hour))
	a := assessment{q: q, r: &r, sea: make([]instant, 0, len(r.Hours))}
	for i := range r.Hours {
		r.Hours[i] = Hour{At: q.From.Add(time.Duration(i) * time.Hour), Tide: measure.Metres(math.NaN()), Freeboard: measure.Metres(math.NaN())}
	}
	a.warnings()
	a.surge()
	a.tide()
	a.light()
	a.hours()
	a.wash()
	a.buoy()
	a.limits()
	a.turnBack()
	r.Verdict = r.ByNumbers
	for _, x := range r.Reasons {
		if x.Doubt {
			r.Verdict = ledge.First(r.ByNumbers, ledge.CannotTell)
		}
	}
	return r, nil
}

type assessment struct {
	q     Question
	r     *Report
	sea   []instant // one an hour of the report
	pred  *tide.Predictor
	level []measure.Metres // of the tide from From on, every tideStep
}

// tideStep is how finely the tide is followed: an hour is judged at its wettest.
const (
	tideStep = 10 * time.Minute
	stepsPer = int(time.Hour / tideStep)
)

func (a *assessment) doubt(word string) {
	for _, x := range a.r.Reasons {
		if x.Word == word {
			return
		}
	}
	a.r.Reasons = append(a.r.Reasons, Reason{Word: word, Doubt: true})
}

// warnings outrank every computation; an unknown state is no "none".
func (a *assessment) warnings() {
	switch a.q.Warnings.State {
	case WarningsNone:
	case WarningsInForce:
		if len(a.q.Warnings.List) == 0 { // of which nobody says what they are
			a.doubt(WhyWarningsUnknown)
		}
		for _, w := range a.q.Warnings.List {
			over := (w.Ends.IsZero() || w.Ends.After(a.q.From)) && (w.Onset.IsZero() || w.Onset.Before(a.q.To))
			if over && w.KeepsOff() {
				a.doubt(WhyWarning)
			}
		}
	default:
		a.doubt(WhyWarningsUnknown)
	}
}

func (a *assessment) tide() {
	if a.q.Card.TideStation == "" {
		a.doubt(WhyTide)
		return
	}
	p, err := tide.Open(a.q.Card.TideStation)
	if err != nil {
		a.doubt(WhyTide)
		return
	}
	s := p.Station()
	level := make([]measure.Metres, (len(a.r.Hours)+1)*stepsPer+1)
	p.HeightsInto(level, a.q.From, tideStep)
	for _, h := range level {
		if math.IsNaN(float64(h)) { // a subordinate station whose reference has no highs and lows
			a.doubt(WhyTide)
			return
		}
	}
	a.pred, a.level = p, level
	a.r.Station, a.r.Datum, a.r.TideAtStart = s.Name, p.Datum(), level[0]
	if at := a.q.Card.Place(); at != nil {
		if a.r.StationKm = measure.DistanceKm(*at, s.Position); a.r.StationKm > tide.VeryFarKm {
			a.doubt(WhyTideFar)
		}
	}
	a.r.Extremes = p.Extremes(a.q.From.Add(-7*time.Hour), a.q.To.Add(14*time.Hour))
	if g := a.q.Card.WalkInGate; g != nil {
		a.r.HasGate = true
		lift := measure.Metres(0)
		if a.r.Surge != nil {
			lift = a.r.Surge.Height
		}
		a.r.WalkInDry = p.Below(*g-lift, a.q.From, a.q.To)
	}
}

func (a *assessment) light() {
	at := a.q.Card.Place()
	if at == nil {
		return
	}
	d, err := sky.SunDayAt(*at, sky.DateIn(a.q.From, a.q.Zone), a.q.Zone)
	if err != nil {
		return
	}
	if d.CivilDawn.OK {
		a.r.FirstLight = d.CivilDawn.At
	}
	if d.CivilDusk.OK {
		a.r.LastLight = d.CivilDusk.At
		if walk := a.q.Card.Walk(); walk != nil {
			a.r.LeaveBy = d.CivilDusk.At.Add(-*walk)
		}
	}
}

// hours lays out the window hour by hour with what the feeds say.
func (a *assessment) hours() {
	a.ages()
	var found finder
	if a.q.Sea != nil && !a.hasDoubt(WhySeaOld) {
		found.hours = a.q.Sea.Hours
	}
	lights, lit := a.lights()
	first := found.at(a.q.From)
	for i := range a.r.Hours {
		h := &a.r.Hours[i]
		end := h.At.Add(time.Hour)
		if end.After(a.q.To) {
			end = a.q.To
		}
		a.still(h, i, end)
		// A last piece may be shorter than what may be dim of it: then its middle counts.
		dim := min(dimFor, end.Sub(h.At)/2)
		h.Dark = lit && (dark(lights.At(h.At.Add(dim))) || dark(lights.At(end.Add(-dim))))
		last := found.at(end)
		a.waves(h, first, last)
		a.wind(h, end)
		first = last
	}
}

// ages doubts what is too old or too far off to say anything.
func (a *assessment) ages() {
	switch {
	case a.q.Sea == nil:
		a.doubt(WhySeaUnknown)
	case a.q.Now.Sub(a.q.Sea.Source.FetchedAt) > SeaRefused, a.q.Now.Sub(a.issued()) > RunRefused:
		a.doubt(WhySeaOld)
	}
	if a.q.To.Sub(a.q.Now) > FarthestDay {
		a.doubt(WhyTooFar)
	}
}

// issued is when the forecast was made, as far as is known: its error grows from there, not from when it was fetched.
func (a *assessment) issued() time.Time {
	if a.q.Sea != nil && !a.q.Sea.Source.RunAt.IsZero() && a.q.Sea.Source.RunAt.Before(a.q.Now) {
		return a.q.Sea.Source.RunAt
	}
	return a.q.Now
}

// still sets the highest tide of an hour, and what it leaves of the lip and the walk-in.
func (a *assessment) still(h *Hour, i int, end time.Time) {
	if a.pred == nil {
		return
	}
	h.Tide = a.level[i*stepsPer]
	for k := 1; k <= stepsPer; k++ {
		if t := h.At.Add(time.Duration(k) * tideStep); t.After(end) {
			h.Tide = max(h.Tide, a.pred.Height(end))
			break
		}
		h.Tide = max(h.Tide, a.level[i*stepsPer+k])
	}
	if lip := a.q.Card.LipHeight; lip != nil {
		h.Freeboard = *lip - h.Tide - h.Surge
	}
	if g := a.q.Card.WalkInGate; g != nil && h.Tide+h.Surge > *g {
		h.WalkInWet = true
	}
}

// lights is the light of the window; false: nobody said where the ledge is.
func (a *assessment) lights() (sky.Lights, bool) {
	at := a.q.Card.Place()
	if at == nil {
		return sky.Lights{}, false
	}
	l, err := sky.LightsBetween(*at, a.q.From, a.q.To)
	return l, err == nil
}

func dark(l sky.Light) bool { return l == sky.NauticalTwilight || l == sky.Dark }

// waves sets the sea of an hour. Its height is the greater of the two ends; what is judged is the end whose waves bring
// more power to this ledge: a bigger chop along the coast is milder than a smaller, long swell on the nose. An end that
// is not known leaves the hour unknown, for a hole in a forecast is no calm.
func (a *assessment) waves(h *Hour, first, last instant) {
	h.Known = len(first.parts) > 0 && len(last.parts) > 0
	if !h.Known && !a.hasDoubt(WhySeaOld) {
		a.doubt(WhySeaUnknown)
	}
	if first.sea == nil || last.sea == nil {
		a.sea = append(a.sea, instant{})
		return
	}
	x := first
	period, from := x.main()
	if p, f := last.main(); a.power(last) > a.power(first) {
		x, period, from = last, p, f
	}
	a.sea = append(a.sea, x)
	h.Hs, h.Period, h.SwellFrom = first.sea.Hs, period, from
	if *last.sea.Hs > *h.Hs {
		h.Hs = last.sea.Hs
	}
}

// wind sets the strongest wind of an hour. An hour without any is not a still one.
func (a *assessment) wind(h *Hour, end time.Time) {
	var w *WeatherHour
	if a.q.Weather != nil {
		w, h.Gust = windiest(a.q.Weather.Hours, h.At, end)
	}
	if w == nil {
		a.doubt(WhyWindUnknown)
		return
	}
	h.Wind, h.WindFrom = w.Wind, w.WindFrom
	if f := a.q.Card.Faces; f != nil && w.WindFrom != nil {
		h.OnshoreMS = new(float64(wave.WindOn(*f, *w.WindFrom, *w.Wind).Onshore))
	}
}

// A buoy reads clearly more than was forecast by a quarter and 0.3 m: beyond the scatter of a good forecast (engineering
// judgement).
const (
	buoyTimes  = 1.25
	buoyMetres = 0.3
)

// buoy sets a reading beside what was forecast for that time. It corrects nothing: it is another place.
func (a *assessment) buoy() {
	b := a.q.Buoy
	if b == nil {
		return
	}
	a.r.Buoy = b
	if a.q.Sea == nil {
		return
	}
	f := finder{hours: a.q.Sea.Hours}.at(b.At)
	if f.sea == nil {
		return
	}
	a.r.ForecastAtBuoy = f.sea.Hs
	if b.Hs > *f.sea.Hs*buoyTimes && b.Hs > *f.sea.Hs+buoyMetres {
		a.r.Reasons = append(a.r.Reasons, Reason{Word: BuoyOver, Value: float64(b.Hs), Limit: float64(*f.sea.Hs)})
	}
}

func (a *assessment) hasDoubt(words ...string) bool {
	for _, x := range a.r.Reasons {
		if slices.Contains(words, x.Word) {
			return true
		}
	}
	return false
}

// footUnknown says whether nobody told what waves meet below the lip.
func footUnknown(c ledge.Card) bool {
	return c.FootDepth == nil || c.FaceSlope == nil || c.Faces == nil
}

// washInput is what the chain is told of a ledge and of what its watches taught; its hours are yet to be filled in.
func washInput(c ledge.Card, post *ledge.Posterior, calibrated bool) ledge.WashInput {
	wl := c.LipMeasured.Spread()
	in := ledge.WashInput{Ledge: face(c), StepMinutes: 60, SigmaWL: &wl, LongSwellWraps: !calibrated}
	if post != nil {
		in.Kappa, in.SigmaKappa = &post.Median, &post.Spread
	}
	return in
}

// wash runs the chain over the hours whose sea is known.
func (a *assessment) wash() {
	r, card := a.r, a.q.Card
	r.ByNumbers = ledge.CannotTell
	for _, h := range r.Hours {
		if h.Freeboard <= 0 { // still water over the lip needs no waves, and so no forecast of them
			r.ByNumbers = ledge.LikelyWashed
		}
	}
	post := a.learned()
	if card.LipHeight == nil || !card.LipMeasured.Known() && !r.Calibrated {
		a.doubt(WhyLip)
	}
	if footUnknown(card) {
		a.doubt(WhyFoot)
	}
	if card.LipHeight == nil || card.Faces == nil || a.pred == nil {
		return
	}
	in := washInput(card, post, r.Calibrated)
	var at []int
	for i, h := range r.Hours {
		if !h.Known {
			continue
		}
		at = append(at, i)
		in.StepPartitions = append(in.StepPartitions, a.sea[i].parts)
		in.WaterLevel = append(in.WaterLevel, h.Tide+h.Surge)
		in.StepSigmaHs = append(in.StepSigmaHs, wave.ForecastSpread(max(0, h.At.Sub(a.issued())), !r.Calibrated))
	}
	if len(at) == 0 {
		return
	}
	res, err := ledge.Wash(in)
	if err != nil {
		// One hour the chain cannot take must not silence what the others say.
		if at = a.sift(&in, at); len(at) == 0 {
			return
		}
		if res, err = ledge.Wash(in); err != nil {
			a.doubt(WhySeaUnknown)
			return
		}
	}
	for k, i := range at {
		s, h := res.Steps[k], &r.Hours[i]
		h.HsLocal, h.HsReach, h.Tz = s.HsLocal, s.HsLocal*measure.Metres(s.GammaBeta), s.Tz
		h.WashesMedian, h.WashesBad, h.P, h.ExcessBad, h.Violent = s.PerHourMedian, s.PerHourBad, s.Chance, s.ExcessBad, s.Violent
		h.Judged = true
		h.HsP90 = new(measure.Metres(float64(*h.Hs) * wave.Margin(in.StepSigmaHs[k], wave.OneInTen)))
	}
	r.Worst = at[res.Worst]
	r.PStay, r.ExcessMedian, r.ExcessBad, r.PerTideRise = res.Chance, res.ExcessMedian, res.ExcessBad, res.TideMultiplier
	r.ByNumbers = ledge.First(res.Verdict, r.ByNumbers)
	if r.ByNumbers == ledge.CannotTell {
		r.ByNumbers = res.Verdict
	}
	if res.AnyViolent {
		a.doubt(WhyViolent)
	}
}

// sift leaves in the window only the hours that the chain can take by themselves; the sea of the others is not known.
func (a *assessment) sift(in *ledge.WashInput, at []int) []int {
	all, n := *in, 0
	for k, i := range at {
		one := all
		one.StepPartitions, one.WaterLevel, one.StepSigmaHs = all.StepPartitions[k:k+1], all.WaterLevel[k:k+1], all.StepSigmaHs[k:k+1]
		if _, err := ledge.Wash(one); err != nil {
			a.r.Hours[i].Known = false
			a.doubt(WhySeaUnknown)
			continue
		}
		at[n], in.StepPartitions[n], in.WaterLevel[n], in.StepSigmaHs[n] = i, all.StepPartitions[k], all.WaterLevel[k], all.StepSigmaHs[k]
		n++
	}
	in.StepPartitions, in.WaterLevel, in.StepSigmaHs = in.StepPartitions[:n], in.WaterLevel[:n], in.StepSigmaHs[:n]
	return at[:n]
}

// face is the card as the chain takes it; what nobody said is assumed, and doubted elsewhere.
func face(card ledge.Card) ledge.Face {
	f := ledge.Face{
		Height: *card.LipHeight, Faces: *card.Faces, FootDepth: assumedFoot, Roughness: card.Roughness,
		Open: [2]measure.From{measure.From(measure.Wrap360(float64(*card.Faces) - 90)), measure.From(measure.Wrap360(float64(*card.Faces) + 90))},
	}
	if f.Roughness == 0 {
		f.Roughness = 1
	}
	if card.FootDepth != nil {
		f.FootDepth = *card.FootDepth
	}
	if card.FaceSlope != nil {
		f.Cot = *card.FaceSlope
	}
	if card.OpenSector != nil {
		f.Open = *card.OpenSector
	}
	return f
}
