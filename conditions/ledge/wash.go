package ledge

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"ledgehand/conditions/measure"
	"ledgehand/conditions/wave"
)

// Face is what the wash chain needs to know of a ledge.
type Face struct {
	Height    measure.Metres  `json:"height_m"`                 // lip above the tide datum
	Faces     measure.From    `json:"faces"`                    // the way it looks to sea
	Open      [2]measure.From `json:"open_sector"`              // clockwise from the first to the second
	FootDepth measure.Metres  `json:"foot_depth_below_datum_m"` // of the sea bed at the face; negative dries
	Cot       float64         `json:"cot_alpha"`                // cotangent of the face's slope, 0 is vertical
	Roughness float64         `json:"gamma_f,omitempty"`        // 1 smooth rock (and when left out) to 0.55 blocks
}

// Partition is one wave system of the forecast, before it comes near the ledge.
type Partition struct {
	Kind string          `json:"kind"` // swell, swell2, swell3, wind, or total when a feed has no parts
	Hs   measure.Metres  `json:"Hs"`
	Tp   measure.Seconds `json:"Tp"` // peak period; convert other kinds with wave.Convert
	From measure.From    `json:"dir_from"`
}

// WashInput is one window at one ledge, in steps of equal length.
type WashInput struct {
	Ledge          Face             `json:"ledge"`
	Partitions     []Partition      `json:"partitions,omitempty"`      // one sea for all steps, or
	StepPartitions [][]Partition    `json:"step_partitions,omitempty"` // one a step
	WaterLevel     []measure.Metres `json:"water_level_m"`             // tide and surge above the datum, one a step
	StepMinutes    float64          `json:"step_min"`

	// Spreads are standard deviations; left out they take the value for an uncalibrated ledge and
	// tomorrow's forecast.
	SigmaKappa  *float64  `json:"sigma_kappa,omitempty"`   // of ln kappa, 0.35
	SigmaHs     *float64  `json:"sigma_Hs,omitempty"`      // of ln Hs, wave.ForecastSpread of one day near shore
	StepSigmaHs []float64 `json:"step_sigma_Hs,omitempty"` // instead, one a step: later hours are less sure
	SigmaWL     *float64  `json:"sigma_wl_m,omitempty"`    // of lip and water level together, 0.15 m

	Kappa          *float64 `json:"kappa,omitempty"`            // learned run-up coefficient; left out: from the face
	LipUnmeasured  bool     `json:"lip_unmeasured,omitempty"`   // nobody measured the lip: at least 0.5 m of SigmaWL
	LongSwellWraps bool     `json:"long_swell_wraps,omitempty"` // count 0.3 of the height of swell of 12 s and more from any direction
	NoShoaling     bool     `json:"no_shoaling,omitempty"`      // the forecast is for water as shallow as the foot
	Gravity        float64  `json:"g,omitempty"`                // measure.Gravity if left out
}

// WashStep is one step of a window. Median means every uncertain number at its best estimate,
// bad the one case in twenty on the wet side.
type WashStep struct {
	HOverHs       float64         `json:"h_over_Hs"`                // depth over local height, 0 with a dry foot
	Impulsiveness float64         `json:"impulsiveness_h2_over_HL"` // 0 with a dry foot
	Violent       bool            `json:"violent_flag"`             // waves break onto the face: the numbers are not valid
	UnderWater    bool            `json:"under_water"`              // still water at or above the lip
	Rc            measure.Metres  `json:"Rc"`                       // freeboard: lip above still water
	HFoot         measure.Metres  `json:"h_foot"`                   // depth at the face
	F             []float64       `json:"F"`                        // share of each partition's energy that can arrive
	Ks            []float64       `json:"Ks"`                       // shoaling of each, 1 with a dry foot
	HsCombined    measure.Metres  `json:"Hs_combined"`              // at the foot, unbroken
	HsLocal       measure.Metres  `json:"Hs_local"`                 // at most 0.6 of the depth
	Tm10          measure.Seconds `json:"Tm10"`                     //
	Tz            measure.Seconds `json:"Tz"`                       //
	GammaBeta     float64         `json:"gamma_beta"`               // oblique arrival, energy weighted
	Kappa         float64         `json:"kappa"`                    //
	SigmaTotal    float64         `json:"sigma_total"`              //
	ShareMedian   float64         `json:"p_wave_median"`            // of waves that wash
	PerHourMedian float64         `json:"washes_per_hour_median"`   //
	PerHourBad    float64         `json:"washes_per_hour_bad"`      //
	Waves         float64         `json:"n_waves"`                  // in the step
	Chance        float64         `json:"P_ge1_mean"`               // of at least one wash in this step, averaged over what is not known
	ExcessMedian  measure.Metres  `json:"excess_height_m_median"`   // of the step's biggest wave over the lip
	ExcessBad     measure.Metres  `json:"excess_height_m_bad_case"` //
	reach         float64         // kappa gamma_beta Hs_local: what a wave of the height Hs reaches, m
}

// WashResult is the answer for a window.
type WashResult struct {
	Steps          []WashStep     `json:"steps"`
	Waves          float64        `json:"N_waves"`
	WashesMedian   float64        `json:"expected_washes_median"`
	ChanceMedian   float64        `json:"P_ge1_median"`
	Chance         float64        `json:"P_ge1_mean"` // averaged over what is not known: the one to show
	ChanceBad      float64        `json:"P_ge1_bad_case_u1645"`
	ExcessMedian   measure.Metres `json:"excess_height_m_median"`
	ExcessBad      measure.Metres `json:"excess_height_m_bad_case"`
	AnyViolent     bool           `json:"any_violent_flag"`
	Verdict        Verdict        `json:"verdict"`           // by the numbers alone: ages and warnings are the caller's
	Worst          int            `json:"worst_step"`        // most washes an hour, median
	TideMultiplier float64        `json:"per_0.3m_of_tide"`  // washes an hour at the worst step with 0.3 m more water, over those without; at most 1e6
	Calibrated     bool           `json:"kappa_was_learned"` //
}

// Defaults and fixed numbers of the chain: engineering judgement unless a source is named.
const (
	DefaultSigmaKappa  = 0.35
	DefaultSigmaWL     = 0.15
	UnmeasuredSigmaWL  = 0.5
	badDeviate         = 1.645 // one case in twenty
	longSwellPeriod    = 12
	longSwellLeast     = 0.3
	tideRise           = 0.3
	greatestMultiplier = 1e6
)

// ErrUnknownSea means a step has no waves in it. Missing partitions and zeros are what a feed
// that does not know sends; they are never taken for a calm.
var ErrUnknownSea = errors.New("the sea is not known")

// Wash computes how likely waves are to reach the lip of a ledge over a window of steps.
//
// A wave of height H reaches kappa gammaBeta H above still water, heights are Rayleigh, so
// a wave washes with p = exp(-2 (Rc/X)²), X = kappa gammaBeta Hs at the foot. What is not known
// (kappa, the forecast height, the water level) is one log-normal factor e^(sigma u) on X that is
// the same for all steps, as a forecast that is too low now is too low all morning. The
// washes of all steps add to Lambda(u), and 1 - exp(-Lambda) is averaged over u ~ N(0,1).
// At or below zero freeboard every wave washes.
//
// The level's part of sigma, SigmaWL/Rc, is the first term of a series and grows without bound
// as the freeboard vanishes, which would make a ledge look drier the nearer the water comes.
// It is therefore held at 1, that is from SigmaWL of freeboard down.
func Wash(in WashInput) (WashResult, error) {
	c, err := newChain(in)
	if err != nil {
		return WashResult{}, err
	}
	out := WashResult{Steps: make([]WashStep, len(in.WaterLevel)), Calibrated: in.Kappa != nil}
	var lambdaBad float64
	for i, level := range in.WaterLevel {
		s, err := c.step(i, level)
		if err != nil {
			return WashResult{}, fmt.Errorf("step %d: %w", i, err)
		}
		s.Chance = c.add(&s)
		out.Waves += s.Waves
		out.WashesMedian += s.Waves * s.ShareMedian
		lambdaBad += s.Waves * s.share(badDeviate)
		out.AnyViolent = out.AnyViolent || s.Violent
		out.Steps[i] = s
	}
	out.ChanceMedian = wave.AnyOf(1, out.WashesMedian)
	out.ChanceBad = wave.AnyOf(1, lambdaBad)
	out.Chance = c.chance()

	var underWater bool
	var perHour float64
	out.ExcessMedian, out.ExcessBad = measure.Metres(math.Inf(-1)), measure.Metres(math.Inf(-1))
	for i := range out.Steps {
		s := &out.Steps[i]
		out.ExcessMedian = max(out.ExcessMedian, s.excess(0, out.Waves))
		out.ExcessBad = max(out.ExcessBad, s.excess(badDeviate, out.Waves))
		underWater = underWater || s.UnderWater
		perHour = max(perHour, s.PerHourMedian)
		if s.logRate() > out.Steps[out.Worst].logRate() {
			out.Worst = i
		}
	}
	worst := &out.Steps[out.Worst]
	higher, err := c.step(out.Worst, in.WaterLevel[out.Worst]+tideRise)
	if err != nil {
		return WashResult{}, fmt.Errorf("step %d with more tide: %w", out.Worst, err)
	}
	out.TideMultiplier = multiplier(worst.logRate(), higher.logRate())
	doubt := out.AnyViolent || in.LipUnmeasured && !out.Calibrated
	out.Verdict = judge(out.Chance, perHour, float64(out.ExcessBad), underWater, doubt)
	return out, nil
}

// chain is a window being worked through.
type chain struct {
	in      WashInput
	g       float64
	kappa2  float64 // SigmaKappa squared
	sigmaHs float64
	sigmaWL float64
	systems []wave.System
	shares  []float64 // one store for F and Ks of all steps
	lambda  [nodes]float64
}

func newChain(in WashInput) (*chain, error) {
	n := len(in.WaterLevel)
	c := &chain{in: in, g: in.Gravity}
	if c.g == 0 {
		c.g = measure.Gravity
	}
	if c.in.Ledge.Roughness == 0 {
		c.in.Ledge.Roughness = 1
	}
	if err := c.in.Ledge.check(); err != nil {
		return nil, err
	}
	switch {
	case n == 0:
		return nil, errors.New("water levels: none given")
	case !(in.StepMinutes > 0 && in.StepMinutes <= 1e6):
		return nil, fmt.Errorf("step of %v minutes: outside 0 to 1000000", in.StepMinutes)
	case len(in.StepPartitions) > 0 && len(in.Partitions) > 0:
		return nil, errors.New("partitions: given both for the window and for its steps")
	case len(in.StepPartitions) > 0 && len(in.StepPartitions) != n:
		return nil, fmt.Errorf("partitions for %d steps: water levels are for %d", len(in.StepPartitions), n)
	case len(in.StepSigmaHs) > 0 && len(in.StepSigmaHs) != n:
		return nil, fmt.Errorf("spreads of Hs for %d steps: water levels are for %d", len(in.StepSigmaHs), n)
	case in.Kappa != nil && !(*in.Kappa >= 0.01 && *in.Kappa <= 20):
		return nil, fmt.Errorf("run-up coefficient %v: outside 0.01 to 20", *in.Kappa)
	case !(c.g >= 1 && c.g <= 100):
		return nil, fmt.Errorf("gravity %v m/s2: outside 1 to 100", c.g)
	}
	for _, s := range in.StepSigmaHs {
		if !(s >= 0 && s <= 3) {
			return nil, fmt.Errorf("spread of Hs %v: outside 0 to 3", s)
		}
	}
	sigmaKappa, err := spread("kappa", in.SigmaKappa, DefaultSigmaKappa)
	if err != nil {
		return nil, err
	}
	if c.sigmaHs, err = spread("Hs", in.SigmaHs, wave.ForecastSpread(day, true)); err != nil {
		return nil, err
	}
	if c.sigmaWL, err = spread("the water level", in.SigmaWL, DefaultSigmaWL); err != nil {
		return nil, err
	}
	if in.LipUnmeasured {
		c.sigmaWL = max(c.sigmaWL, UnmeasuredSigmaWL)
	}
	c.kappa2 = sigmaKappa * sigmaKappa

	total := 2 * n * len(in.Partitions)
	most := len(in.Partitions)
	for _, ps := range in.StepPartitions {
		total += 2 * len(ps)
		most = max(most, len(ps))
	}
	c.shares = make([]float64, 0, total+2*most) // the worst step is done twice
	c.systems = make([]wave.System, 0, most)
	return c, nil
}

func spread(of string, given *float64, otherwise float64) (float64, error) {
	if given == nil {
		return otherwise, nil
	}
	if !(*given >= 0 && *given <= 3) {
		return 0, fmt.Errorf("spread of %s %v: outside 0 to 3", of, *given)
	}
	return *given, nil
}

// Bounds of what is taken for a number of this world; they keep every sum finite.
const (
	highest   = 1000.0 // metres, either way
	turns     = 720.0  // degrees, either way
	roughest  = 50.0   // metres of significant height
	shortest  = 0.5    // seconds
	longest   = 60.0   // seconds
	steepness = 50.0   // cotangent
)

func (f Face) check() error {
	for _, v := range []struct {
		what     string
		v, bound float64
	}{
		{"lip height", float64(f.Height), highest}, {"foot depth", float64(f.FootDepth), highest}, {"facing", float64(f.Faces), turns},
		{"open sector", float64(f.Open[0]), turns}, {"open sector", float64(f.Open[1]), turns}, {"face slope cotangent", f.Cot, steepness},
	} {
		if !(math.Abs(v.v) <= v.bound) {
			return fmt.Errorf("%s %v: beyond %v", v.what, v.v, v.bound)
		}
	}
	if f.Open[0] == f.Open[1] {
		return fmt.Errorf("open sector from %v to %v degrees: empty", f.Open[0], f.Open[1])
	}
	return nil // slope and roughness are checked where kappa is worked out
}

// spreadOf is the spread of directions of a kind of wave system. A total sea is taken as wind
// sea, the wider: some of it may come from anywhere.
func spreadOf(kind string) (float64, error) {
	switch {
	case strings.HasPrefix(kind, "swell"):
		return wave.SwellSpread, nil
	case kind == "wind", kind == "total":
		return wave.WindSeaSpread, nil
	}
	return 0, fmt.Errorf("kind of waves %q: not swell, wind or total", kind)
}

// step works out one step, but for the chance.
func (c *chain) step(i int, level measure.Metres) (WashStep, error) {
	if !(math.Abs(float64(level)) <= highest) {
		return WashStep{}, fmt.Errorf("water level %v m: beyond %v", level, highest)
	}
	parts := c.in.Partitions
	if len(c.in.StepPartitions) > 0 {
		parts = c.in.StepPartitions[i]
	}
	face := c.in.Ledge
	s := WashStep{Rc: face.Height - level, HFoot: face.FootDepth + level}
	s.UnderWater = s.Rc <= 0
	if err := c.sea(&s, parts); err != nil {
		return WashStep{}, err
	}
	s.HsLocal = max(0, min(s.HsCombined, wave.DepthLimit*s.HFoot))
	s.Violent = wave.Violent(s.HFoot, s.HsLocal, s.Tm10, c.g)
	if s.HFoot > 0 {
		s.HOverHs = float64(s.HFoot / s.HsLocal)
		s.Impulsiveness = wave.Impulsiveness(s.HFoot, s.HsLocal, s.Tm10, c.g)
	}
	if c.in.Kappa != nil {
		s.Kappa = *c.in.Kappa
	} else {
		k, err := wave.Kappa(face.Cot, face.Roughness, s.HsLocal, s.Tm10, c.g)
		if err != nil {
			return WashStep{}, err
		}
		s.Kappa = k
	}
	s.reach = s.Kappa * s.GammaBeta * float64(s.HsLocal)
	hs := c.sigmaHs
	if len(c.in.StepSigmaHs) > 0 {
		hs = c.in.StepSigmaHs[i]
	}
	var wl float64
	if !s.UnderWater {
		wl = min(1, c.sigmaWL/float64(s.Rc))
	}
	s.SigmaTotal = math.Sqrt(c.kappa2 + hs*hs + wl*wl)
	s.Waves = c.in.StepMinutes * 60 / float64(s.Tz)
	s.ShareMedian = s.share(0)
	s.PerHourMedian = 3600 / float64(s.Tz) * s.ShareMedian
	s.PerHourBad = 3600 / float64(s.Tz) * s.share(badDeviate)
	s.ExcessMedian = s.excess(0, s.Waves)
	s.ExcessBad = s.excess(badDeviate, s.Waves)
	return s, nil
}

// sea brings the partitions to the foot of the ledge and adds them.
func (c *chain) sea(s *WashStep, parts []Partition) error {
	face := c.in.Ledge
	ratios, err := wave.JonswapRatios(wave.WindSeaPeak)
	if err != nil {
		return err
	}
	at := len(c.shares)
	c.shares = c.shares[:at+2*len(parts)]
	s.F, s.Ks = c.shares[at:at+len(parts):at+len(parts)], c.shares[at+len(parts):]
	c.systems = c.systems[:0]
	var energy, weighted float64
	for j, p := range parts {
		width, err := spreadOf(p.Kind)
		if err != nil {
			return err
		}
		if !(p.Hs >= 0 && p.Hs <= roughest) {
			return fmt.Errorf("%s height %v m: outside 0 to %v", p.Kind, p.Hs, roughest)
		}
		if !(math.Abs(float64(p.From)) <= turns) {
			return fmt.Errorf("%s direction %v degrees: beyond %v", p.Kind, p.From, turns)
		}
		s.F[j], s.Ks[j] = wave.Exposure(p.From, width, face.Faces, face.Open), 1
		if p.Hs == 0 {
			continue
		}
		if !(p.Tp >= shortest && p.Tp <= longest) {
			return fmt.Errorf("%s peak period %v s: outside %v to %v", p.Kind, p.Tp, shortest, longest)
		}
		if s.HFoot > 0 && !c.in.NoShoaling {
			if s.Ks[j], err = wave.Shoaling(p.Tp, s.HFoot, c.g); err != nil {
				return err
			}
		}
		k := math.Sqrt(s.F[j])
		if c.in.LongSwellWraps && p.Tp >= longSwellPeriod {
			k = max(k, longSwellLeast)
		}
		hs := float64(p.Hs) * k * s.Ks[j]
		c.systems = append(c.systems, wave.System{
			Hs: measure.Metres(hs), Energy: p.Tp * measure.Seconds(ratios.Energy), Zero: p.Tp * measure.Seconds(ratios.Zero),
		})
		energy += hs * hs
		weighted += hs * hs * wave.ObliqueRunUp(measure.Between(p.From, face.Faces))
	}
	sum, err := wave.Combine(c.systems)
	if errors.Is(err, wave.ErrNoWaves) {
		return fmt.Errorf("%d partitions: %w (%w)", len(parts), ErrUnknownSea, err)
	}
	if err != nil {
		return err
	}
	s.HsCombined, s.Tm10, s.Tz = sum.Hs, sum.Energy, sum.Zero
	s.GammaBeta = weighted / energy
	return nil
}

// ratio2 is 2 (Rc/X)², the exponent of the share of waves that wash.
func (s *WashStep) ratio2() float64 {
	switch {
	case s.UnderWater:
		return 0
	case s.reach == 0: // a dry foot: no wave the model knows gets there
		return math.Inf(1)
	}
	r := float64(s.Rc) / s.reach
	return 2 * r * r
}

// share is the share of waves that wash when the unknowns stand at deviate u.
func (s *WashStep) share(u float64) float64 {
	return math.Exp(-s.ratio2() * math.Exp(-2*s.SigmaTotal*u))
}

// logRate orders steps, and keeps them in order when the rate itself underflows.
func (s *WashStep) logRate() float64 { return -s.ratio2() - math.Log(float64(s.Tz)) }

// excess is how far the most probable biggest of n waves reaches over the lip; negative is below it.
func (s *WashStep) excess(u, n float64) measure.Metres {
	highest := math.Sqrt(math.Log(math.Max(1, n)) / 2)
	return measure.Metres(s.reach*math.Exp(s.SigmaTotal*u)*highest) - s.Rc
}

// multiplier is the ratio of two rates given by their logarithms.
func multiplier(from, to float64) float64 {
	if math.IsInf(from, -1) && math.IsInf(to, -1) {
		return 1
	}
	return math.Min(greatestMultiplier, math.Exp(to-from))
}
