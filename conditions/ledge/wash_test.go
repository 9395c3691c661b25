package ledge

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"ledgehand/conditions/measure"
)

const tables = "../../testdata/waves"

type scenario struct {
	ID       string          `json:"id"`
	Inputs   json.RawMessage `json:"inputs"`
	Expected json.RawMessage `json:"expected"`
}

func scenarios(t testing.TB) []scenario {
	t.Helper()
	b, err := os.ReadFile(tables + "/chain_scenarios.json")
	if err != nil {
		t.Fatal(err)
	}
	var out []scenario
	if err := json.Unmarshal(b, &out); err != nil {
		t.Fatal(err)
	}
	return out
}

func input(t testing.TB, s scenario) WashInput {
	t.Helper()
	var in WashInput
	d := json.NewDecoder(bytes.NewReader(s.Inputs))
	d.DisallowUnknownFields() // a field we do not read would be a case we do not check
	if err := d.Decode(&in); err != nil {
		t.Fatalf("%s: inputs: %v", s.ID, err)
	}
	return in
}

// chain_scenarios.json: every number of every step, computed by other code from the same recipe
// with g = 9.81 m/s². With that g we hold what its five digits allow, half a unit of the
// last, and 1e-4 on probabilities (its own average over u is only that good; ours has
// converged, see below). With standard gravity we hold the file's own tolerance.
func TestWashAgreesWithTheScenarios(t *testing.T) {
	for _, s := range scenarios(t) {
		for name, w := range map[string]*difference{
			"ToItsDigits":         {g: 9.81, relTol: 5.01e-5, probTol: 1e-4},
			"WithStandardGravity": {g: 0, relTol: 0.01, probTol: 0.01},
		} {
			t.Run(s.ID+name, func(t *testing.T) {
				in := input(t, s)
				in.Gravity = w.g
				got, err := Wash(in)
				if err != nil {
					t.Fatalf("Wash = %v, want a result", err)
				}
				b, err := json.Marshal(got)
				if err != nil {
					t.Fatal(err)
				}
				var have, want any
				if err := json.Unmarshal(b, &have); err != nil {
					t.Fatal(err)
				}
				if err := json.Unmarshal(s.Expected, &want); err != nil {
					t.Fatal(err)
				}
				w.compare(t, s.ID, "", have, want)
				t.Logf("%d values; worst relative %.2g at %s, worst probability off by %.2g", w.values, w.rel, w.at, w.abs)
			})
		}
	}
}

type difference struct {
	g, relTol, probTol float64

	rel, abs float64
	at       string
	values   int
}

func (w *difference) compare(t *testing.T, at, name string, have, want any) {
	t.Helper()
	switch want := want.(type) {
	case map[string]any:
		h, ok := have.(map[string]any)
		if !ok {
			t.Fatalf("%s = %v, want an object", at, have)
		}
		for k, v := range want {
			hv, ok := h[k]
			if !ok {
				t.Errorf("%s.%s is missing", at, k)
				continue
			}
			w.compare(t, at+"."+k, k, hv, v)
		}
	case []any:
		h, ok := have.([]any)
		if !ok || len(h) != len(want) {
			t.Fatalf("%s = %v, want %d values", at, have, len(want))
		}
		for i := range want {
			w.compare(t, at, name, h[i], want[i])
		}
	case float64:
		w.values++
		h, ok := have.(float64)
		d := math.Abs(h - want)
		switch {
		case !ok:
			t.Errorf("%s = %v, want %v", at, have, want)
		case strings.HasPrefix(name, "P_"):
			if !(d <= w.probTol) {
				t.Errorf("%s = %.6g, want %.6g within %v", at, h, want, w.probTol)
			}
			w.abs = math.Max(w.abs, d)
		default:
			if !(d <= w.relTol*math.Abs(want)) {
				t.Errorf("%s = %.6g, want %.6g within %v of it", at, h, want, w.relTol)
			}
			if want != 0 && d/math.Abs(want) > w.rel {
				w.rel, w.at = d/math.Abs(want), at
			}
		}
	default:
		w.values++
		if have != want {
			t.Errorf("%s = %v, want %v", at, have, want)
		}
	}
}

// base is the first scenario's ledge in a middling sea: a lip of 4 m, vertical, 10 m of water.
func base(levels ...measure.Metres) WashInput {
	return WashInput{
		Ledge:       Face{Height: 4, Faces: 270, Open: [2]measure.From{200, 340}, FootDepth: 10, Roughness: 1},
		Partitions:  []Partition{{Kind: "swell", Hs: 1.2, Tp: 12, From: 280}, {Kind: "wind", Hs: 0.5, Tp: 5, From: 240}},
		WaterLevel:  levels,
		StepMinutes: 60,
	}
}

func wash(t testing.TB, in WashInput) WashResult {
	t.Helper()
	out, err := Wash(in)
	if err != nil {
		t.Fatalf("Wash = %v, want a result", err)
	}
	return out
}

func TestWashGrowsWithTheSea(t *testing.T) {
	const seed = 3
	rnd := rand.New(rand.NewPCG(seed, 0))
	for range 40 {
		in := base(measure.Metres(-1+3*rnd.Float64()), measure.Metres(-1+3*rnd.Float64()))
		in.Ledge.Cot = []float64{0, 0.5, 1}[rnd.IntN(3)]
		last := -1.0
		for hs := 0.2; hs < 5; hs += 0.2 {
			in.Partitions = []Partition{{Kind: "swell", Hs: measure.Metres(hs), Tp: 12, From: 290}}
			got := wash(t, in)
			if got.Chance < last {
				t.Errorf("seed %d: Wash(%+v).Chance = %v, want at least the %v of a lower sea", seed, in, got.Chance, last)
			}
			last = got.Chance
		}
	}
}

// The deep foot keeps shoaling out of it: more water alone lowers Ks a little.
func TestWashGrowsWithTheTide(t *testing.T) {
	for _, unmeasured := range []bool{false, true} {
		for _, hs := range []measure.Metres{0.3, 0.8, 1.5, 3} {
			in := base()
			in.Ledge.FootDepth = 200
			in.LipUnmeasured = unmeasured
			in.Partitions = []Partition{{Kind: "swell", Hs: hs, Tp: 12, From: 270}}
			var last WashResult
			for i := range 600 {
				in.WaterLevel = []measure.Metres{measure.Metres(i) * 0.01}
				got := wash(t, in)
				s := got.Steps[0]
				if s.PerHourMedian < last.WashesMedian {
					t.Errorf("Hs %v, level %v: %v washes an hour, want at least %v", hs, in.WaterLevel, s.PerHourMedian, last.WashesMedian)
				}
				// The part of the spread that comes with the level grows as the freeboard shrinks, so
				// an almost certain wash may turn a little less certain on the way; never by more than
				// this, and never in the verdict.
				if got.Chance < last.Chance-0.005 {
					t.Errorf("Hs %v, level %v, unmeasured %v: chance %v, want about %v or more", hs, in.WaterLevel, unmeasured, got.Chance, last.Chance)
				}
				last = got
			}
			if last.Chance != 1 || last.Verdict != LikelyWashed || !last.Steps[0].UnderWater {
				t.Errorf("Hs %v with the tide 2 m over the lip: %v, chance %v, want likely washed, 1", hs, last.Verdict, last.Chance)
			}
		}
	}
}

func TestWashUnderWaterIsLikelyWashed(t *testing.T) {
	for _, level := range []measure.Metres{4, 4.3, 9} {
		in := base(0, level)
		in.Partitions = []Partition{{Kind: "swell", Hs: 0.1, Tp: 8, From: 270}}
		got := wash(t, in)
		s := got.Steps[1]
		if got.Verdict != LikelyWashed || !s.UnderWater || s.ShareMedian != 1 || s.Chance < 1-1e-9 || got.Worst != 1 {
			t.Errorf("Wash with still water at %v over a lip of 4 = %q %+v, want likely washed with every wave", level, got.Verdict, s)
		}
	}
}

func TestWashWithADryFootCannotTell(t *testing.T) {
	in := base(0.5)
	in.Ledge.FootDepth = -1
	got := wash(t, in)
	if got.Verdict != CannotTell || !got.AnyViolent || got.Steps[0].HsLocal != 0 {
		t.Errorf("Wash with a dry foot = %q %+v, want cannot tell, violent", got.Verdict, got.Steps[0])
	}
	if _, err := json.Marshal(got); err != nil {
		t.Errorf("Marshal of a dry foot: %v, want numbers only", err)
	}
}

func TestWashUnmeasuredLip(t *testing.T) {
	in := base(0)
	in.Partitions = []Partition{{Kind: "swell", Hs: 0.4, Tp: 8, From: 270}}
	if got := wash(t, in); got.Verdict != NotExpected {
		t.Fatalf("Wash measured = %q, want not expected", got.Verdict)
	}
	in.LipUnmeasured = true
	got := wash(t, in)
	if got.Verdict != CannotTell {
		t.Errorf("Wash with the lip unmeasured = %q, want cannot tell", got.Verdict)
	}
	if want := math.Sqrt(0.35*0.35 + 0.13*0.13 + 0.06*0.06 + 0.15*0.15 + 0.125*0.125); math.Abs(got.Steps[0].SigmaTotal-want) > 1e-12 {
		t.Errorf("sigma_total = %v, want %v with 0.5 m of 4 m", got.Steps[0].SigmaTotal, want)
	}
	in.Kappa = new(1.1)
	if got := wash(t, in); got.Verdict == CannotTell {
		t.Errorf("Wash with the lip unmeasured but kappa learned = %q, want a verdict by the numbers", got.Verdict)
	}
}

func TestWashSeaPerStep(t *testing.T) {
	in := base(1, 1.5, 2)
	one := wash(t, in)
	in.StepPartitions = [][]Partition{in.Partitions, in.Partitions, in.Partitions}
	in.Partitions = nil
	each := wash(t, in)
	a, _ := json.Marshal(one)
	b, _ := json.Marshal(each)
	if !bytes.Equal(a, b) {
		t.Errorf("Wash with the same sea given for each step:\n%s\nwant\n%s", b, a)
	}
	in.StepPartitions[2] = []Partition{{Kind: "swell", Hs: 3, Tp: 14, From: 270}}
	if rough := wash(t, in); !(rough.Steps[2].PerHourMedian > 2*each.Steps[2].PerHourMedian) || rough.Steps[0].Rc != each.Steps[0].Rc || rough.Worst != 2 {
		t.Errorf("Wash with a rough last step = %+v, want that step the worst", rough.Steps)
	}
	in.StepSigmaHs = []float64{0.15, 0.2, 0.4}
	for i, s := range wash(t, in).Steps {
		want := math.Sqrt(0.35*0.35 + in.StepSigmaHs[i]*in.StepSigmaHs[i] + math.Pow(0.15/float64(s.Rc), 2))
		if math.Abs(s.SigmaTotal-want) > 1e-12 {
			t.Errorf("step %d: sigma_total = %v, want %v", i, s.SigmaTotal, want)
		}
	}
}

// The sum over nodes against one of twenty times the nodes over a wider reach, for the calmest,
// roughest, surest and least sure of windows.
func TestWashAverageHasConverged(t *testing.T) {
	fine := func(r WashResult) float64 {
		var p, sum float64
		const n = 16000
		for j := range n + 1 {
			u := -8 + 16*float64(j)/n
			m := math.Exp(-u * u / 2)
			var l float64
			for i := range r.Steps {
				l += r.Steps[i].Waves * r.Steps[i].share(u)
			}
			p += m * -math.Expm1(-l)
			sum += m
		}
		return p / sum
	}
	var most float64
	for _, hs := range []measure.Metres{0.2, 0.6, 1, 1.5, 2.5, 4} {
		for _, sk := range []float64{0, 0.12, 0.35, 0.8} {
			for _, level := range []measure.Metres{-1, 0, 2, 3, 3.5, 3.9, 3.99} {
				in := base(level, level+0.005)
				in.SigmaKappa = &sk
				in.Partitions = []Partition{{Kind: "swell", Hs: hs, Tp: 12, From: 270}}
				got := wash(t, in)
				d := math.Abs(got.Chance - fine(got))
				most = math.Max(most, d)
				if d > 1e-6 {
					t.Errorf("Hs %v, sigma_kappa %v, level %v: chance %v, want %v", hs, sk, level, got.Chance, fine(got))
				}
			}
		}
	}
	t.Logf("greatest error of the average %.2g", most)
}

// From the formula: for 3 m of freeboard and 1.5 m on a vertical face, 0.3 m of tide makes washes
// 2.5 times as frequent. A deep foot keeps shoaling and breaking out of it.
func TestTideMultiplier(t *testing.T) {
	in := base(1)
	in.Ledge.FootDepth = 500
	in.Partitions = []Partition{{Kind: "swell", Hs: 1.5, Tp: 10, From: 270}}
	got := wash(t, in)
	want := math.Exp(2 * (3*3 - 2.7*2.7) / math.Pow(1.8/math.Sqrt(math.Log(50)/2)*float64(got.Steps[0].HsLocal), 2))
	if math.Abs(got.TideMultiplier/want-1) > 1e-6 || math.Abs(want-2.5) > 0.05 {
		t.Errorf("TideMultiplier = %v, want %v, about 2.5", got.TideMultiplier, want)
	}
	t.Run("OneUnderWater", func(t *testing.T) {
		in.WaterLevel = []measure.Metres{5}
		if got := wash(t, in); math.Abs(got.TideMultiplier-1) > 1e-9 {
			t.Errorf("TideMultiplier under water = %v, want 1", got.TideMultiplier)
		}
	})
	t.Run("NeverInfinite", func(t *testing.T) {
		in.WaterLevel = []measure.Metres{-5}
		in.Partitions[0].Hs = 0.01
		got := wash(t, in)
		if got.TideMultiplier != greatestMultiplier {
			t.Errorf("TideMultiplier in a flat sea = %v, want the bound", got.TideMultiplier)
		}
		if _, err := json.Marshal(got); err != nil {
			t.Error(err)
		}
	})
}

func TestWashLongSwellWrapsWhenTold(t *testing.T) {
	in := base(1)
	in.Partitions = []Partition{{Kind: "swell", Hs: 2, Tp: 14, From: 100}}
	before := wash(t, in)
	in.LongSwellWraps = true
	got := wash(t, in)
	if want := measure.Metres(2 * 0.3 * got.Steps[0].Ks[0]); math.Abs(float64(got.Steps[0].HsCombined-want)) > 1e-9 || before.Steps[0].HsCombined > 0.01 {
		t.Errorf("Hs_combined of swell from behind = %v, %v when it wraps, want next to nothing, %v", before.Steps[0].HsCombined, got.Steps[0].HsCombined, want)
	}
	in.Partitions[0].Tp = 11
	if got := wash(t, in); got.Steps[0].HsCombined > 0.01 {
		t.Errorf("Hs_combined of 11 s from behind = %v, want next to nothing", got.Steps[0].HsCombined)
	}
}

func TestWashNeverTakesSilenceForCalm(t *testing.T) {
	in := base(1, 1)
	for name, sea := range map[string][]Partition{"NoPartitions": nil, "Zeros": {{Kind: "swell", Hs: 0, Tp: 0, From: 0}}} {
		t.Run(name, func(t *testing.T) {
			in := in
			in.Partitions, in.StepPartitions = nil, [][]Partition{in.Partitions, sea}
			if got, err := Wash(in); !errors.Is(err, ErrUnknownSea) {
				t.Errorf("Wash = %q, %v, want ErrUnknownSea", got.Verdict, err)
			}
		})
	}
}

func TestWashRefuses(t *testing.T) {
	nan := math.NaN()
	for name, change := range map[string]func(*WashInput){
		"NoWaterLevels":     func(in *WashInput) { in.WaterLevel = nil },
		"WaterLevelNotANum": func(in *WashInput) { in.WaterLevel[0] = measure.Metres(nan) },
		"NoStep":            func(in *WashInput) { in.StepMinutes = 0 },
		"EmptySector":       func(in *WashInput) { in.Ledge.Open = [2]measure.From{90, 90} },
		"FacingNotANum":     func(in *WashInput) { in.Ledge.Faces = measure.From(nan) },
		"LipNotANum":        func(in *WashInput) { in.Ledge.Height = measure.Metres(math.Inf(1)) },
		"SlopeNegative":     func(in *WashInput) { in.Ledge.Cot = -1 },
		"RoughnessAboveOne": func(in *WashInput) { in.Ledge.Roughness = 1.2 },
		"UnknownKind":       func(in *WashInput) { in.Partitions[0].Kind = "tsunami" },
		"NegativeHeight":    func(in *WashInput) { in.Partitions[0].Hs = -1 },
		"HeightNotANum":     func(in *WashInput) { in.Partitions[0].Hs = measure.Metres(nan) },
		"NoPeriod":          func(in *WashInput) { in.Partitions[0].Tp = 0 },
		"DirectionNotANum":  func(in *WashInput) { in.Partitions[1].From = measure.From(nan) },
		"NegativeSpread":    func(in *WashInput) { in.SigmaKappa = new(-0.1) },
		"SpreadNotANum":     func(in *WashInput) { in.SigmaHs = &nan },
		"ZeroKappa":         func(in *WashInput) { in.Kappa = new(0.0) },
		"GravityNotANum":    func(in *WashInput) { in.Gravity = nan },
		"SeaGivenTwice":     func(in *WashInput) { in.StepPartitions = [][]Partition{in.Partitions} },
		"StepSeasTooFew": func(in *WashInput) {
			in.StepPartitions, in.Partitions = [][]Partition{in.Partitions, in.Partitions}, nil
		},
		"StepSpreadsTooMany":  func(in *WashInput) { in.StepSigmaHs = []float64{0.2, 0.2} },
		"StepSpreadNotANum":   func(in *WashInput) { in.StepSigmaHs = []float64{nan} },
		"HeightBeyondAnySea":  func(in *WashInput) { in.Partitions[0].Hs = 1e200 },
		"PeriodBeyondAnySea":  func(in *WashInput) { in.Partitions[0].Tp = 1e-9 },
		"LipInSpace":          func(in *WashInput) { in.Ledge.Height = 1e9 },
		"WaterSpreadTooLarge": func(in *WashInput) { in.SigmaWL = new(4.0) },
	} {
		t.Run(name, func(t *testing.T) {
			in := base(1)
			change(&in)
			if got, err := Wash(in); err == nil {
				t.Errorf("Wash = %q, want an error", got.Verdict)
			}
		})
	}
}

func TestFirst(t *testing.T) {
	for _, tt := range []struct {
		in   []Verdict
		want Verdict
	}{
		{[]Verdict{NotExpected, CannotTell}, CannotTell},
		{[]Verdict{CouldBe, CannotTell}, CannotTell},
		{[]Verdict{CannotTell, LikelyWashed}, LikelyWashed},
		{[]Verdict{NotExpected, CouldBe}, CouldBe},
		{[]Verdict{NotExpected}, NotExpected},
		{[]Verdict{NotExpected, "fine"}, CannotTell},
		{nil, CannotTell},
	} {
		if got := First(tt.in...); got != tt.want {
			t.Errorf("First(%q) = %q, want %q", tt.in, got, tt.want)
		}
	}
}

func TestJudge(t *testing.T) {
	nan := math.NaN()
	for _, tt := range []struct {
		chance, perHour, excess float64
		under, doubt            bool
		want                    Verdict
	}{
		{0.5, 0, -1, false, false, LikelyWashed},
		{0.5, 0, -1, false, true, LikelyWashed},
		{0, 1, -1, false, true, LikelyWashed},
		{0, 0, -1, true, true, LikelyWashed},
		{0.3, 0.1, 1, false, true, CannotTell},
		{0.01, 0, -1, false, true, CannotTell},
		{0.05, 0, -1, false, false, CouldBe},
		{0.049, 0, 0.01, false, false, CouldBe},
		{0.049, 0.99, 0, false, false, NotExpected},
		{nan, 0, -1, false, false, CannotTell},
		{0.01, 0, nan, false, false, CannotTell},
	} {
		if got := judge(tt.chance, tt.perHour, tt.excess, tt.under, tt.doubt); got != tt.want {
			t.Errorf("judge(%v, %v, %v, %v, %v) = %q, want %q", tt.chance, tt.perHour, tt.excess, tt.under, tt.doubt, got, tt.want)
		}
	}
}

func BenchmarkWash(b *testing.B) {
	for name, hs := range map[string]measure.Metres{"Calm": 0.6, "Middling": 1.4, "Rough": 3} {
		b.Run(name+"168Steps", func(b *testing.B) {
			in := base()
			in.Partitions = nil
			for i := range 168 {
				in.WaterLevel = append(in.WaterLevel, measure.Metres(0.8+1.2*math.Sin(float64(i)*2*math.Pi/12.42)))
				in.StepPartitions = append(in.StepPartitions, []Partition{
					{Kind: "swell", Hs: hs, Tp: 13, From: 280}, {Kind: "swell2", Hs: hs / 2, Tp: 16, From: 250}, {Kind: "wind", Hs: hs / 3, Tp: 5, From: 300},
				})
			}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Wash(in); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
