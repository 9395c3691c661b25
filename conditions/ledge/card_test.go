package ledge

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

// anvil is an invented ledge, complete.
func anvil() Card {
	return Card{
		Name: "Anvil", Aliases: []string{"the anvil", "north rock"},
		Exact: &measure.Position{Lat: 38.9142, Lon: -123.7275}, SeaAnchor: &measure.Position{Lat: 38.9166666, Lon: -123.75},
		TideStation: "9416841", Datum: "MLLW", LipHeight: new(measure.Metres(4.2)), LipMeasured: Measured,
		FootDepth: new(measure.Metres(7)), Faces: new(measure.From(265)), OpenSector: &Sector{200, 330}, FaceSlope: new(0.3), Roughness: 1,
		WalkInGate: new(measure.Metres(1.4)), WaysOut: []string{"gully behind the pool"}, LandFish: "notch on the south side",
		RescueRing: &RescueRing{Where: "post at the car park", LastSeen: time.Date(2026, 2, 1, 0, 0, 0, 0, time.UTC)},
		Signal:     SignalPatchy, Parking: "lay-by", Emergency: Emergency{Number: "911", AskFor: "coast guard"},
		Rules:    Rules{LifejacketByLaw: No, GroundBait: Unknown},
		Limits:   Limits{Hs: new(measure.Metres(1.5)), WashChance: new(0.2), SetBy: "Ana", SetAt: time.Date(2026, 1, 3, 0, 0, 0, 0, time.UTC)},
		Capacity: 3, Zone: "America/Los_Angeles",
	}
}

func TestCardCheckPasses(t *testing.T) {
	for name, c := range map[string]Card{"Complete": anvil(), "JustAName": {Name: "Long Step"}} {
		t.Run(name, func(t *testing.T) {
			if err := c.Check(); err != nil {
				t.Errorf("Check() = %v, want nil", err)
			}
		})
	}
}

func TestCardCheckNamesTheFault(t *testing.T) {
	nan := math.NaN()
	for _, tt := range []struct {
		name   string
		change func(*Card)
		field  string
		fault  Fault
	}{
		{"NoName", func(c *Card) { c.Name = " " }, "name", Missing},
		{"NameWithLineBreak", func(c *Card) { c.Name = "An\nvil" }, "name", BadText},
		{"LongName", func(c *Card) { c.Name = strings.Repeat("é", 41) }, "name", BadText},
		{"BrokenText", func(c *Card) { c.Parking = "\xff" }, "parking", BadText},
		{"AliasTwice", func(c *Card) { c.Aliases = []string{"ANVIL"} }, "aliases", Repeated},
		{"PositionNotOnEarth", func(c *Card) { c.Exact = &measure.Position{Lat: -123.7, Lon: 38.9} }, "exact", NotAPlace},
		{"AnchorNotOnEarth", func(c *Card) { c.SeaAnchor = &measure.Position{Lat: nan} }, "sea_anchor", NotAPlace},
		{"LipInFeetOfACliff", func(c *Card) { c.LipHeight = new(measure.Metres(140)) }, "lip_m", OutOfRange},
		{"LipNotANumber", func(c *Card) { c.LipHeight = new(measure.Metres(nan)) }, "lip_m", OutOfRange},
		{"LipUnsaidHow", func(c *Card) { c.LipMeasured = "" }, "lip_measured", NeedsAnother},
		{"LipAboveNothing", func(c *Card) { c.TideStation = "" }, "tide_station", NeedsAnother},
		{"LipWord", func(c *Card) { c.LipMeasured = "guessed" }, "lip_measured", UnknownWord},
		{"Facing", func(c *Card) { c.Faces = new(measure.From(365)) }, "faces", OutOfRange},
		{"SectorEmpty", func(c *Card) { c.OpenSector = &Sector{200, 200} }, "open_sector", ShutFromSea},
		{"SectorBehind", func(c *Card) { c.OpenSector = &Sector{0, 100} }, "open_sector", ShutFromSea},
		{"SectorEnd", func(c *Card) { c.OpenSector = &Sector{200, 380} }, "open_sector", OutOfRange},
		{"Slope", func(c *Card) { c.FaceSlope = new(-0.2) }, "cot_alpha", OutOfRange},
		{"Roughness", func(c *Card) { c.Roughness = 1.5 }, "gamma_f", OutOfRange},
		{"Foot", func(c *Card) { c.FootDepth = new(measure.Metres(nan)) }, "foot_depth_m", OutOfRange},
		{"Gate", func(c *Card) { c.WalkInGate = new(measure.Metres(99)) }, "walk_in_gate_m", OutOfRange},
		{"RingNowhere", func(c *Card) { c.RescueRing.Where = "" }, "rescue_ring", Missing},
		{"SignalWord", func(c *Card) { c.Signal = "4G" }, "signal", UnknownWord},
		{"NumberWithWords", func(c *Card) { c.Emergency.Number = "call Mo" }, "emergency", BadText},
		{"NumberWithoutDigits", func(c *Card) { c.Emergency.Number = "+ " }, "emergency", BadText},
		{"LawWord", func(c *Card) { c.Rules.LifejacketByLaw = "maybe" }, "lifejacket_by_law", UnknownWord},
		{"BaitWord", func(c *Card) { c.Rules.GroundBait = "some" }, "ground_bait", UnknownWord},
		{"LimitHeight", func(c *Card) { c.Limits.Hs = new(measure.Metres(0)) }, "limits.hs_m", OutOfRange},
		{"LimitPeriod", func(c *Card) { c.Limits.Period = new(measure.Seconds(90)) }, "limits.period_s", OutOfRange},
		{"LimitGust", func(c *Card) { c.Limits.Gust = new(measure.MetresPerSecond(nan)) }, "limits.gust_ms", OutOfRange},
		{"LimitChancePercent", func(c *Card) { c.Limits.WashChance = new(20.0) }, "limits.wash_chance", OutOfRange},
		{"LimitOfNobody", func(c *Card) { c.Limits.SetBy = "" }, "limits", NeedsAnother},
		{"LimitOfNoDay", func(c *Card) { c.Limits.SetAt = time.Time{} }, "limits", NeedsAnother},
		{"Capacity", func(c *Card) { c.Capacity = -1 }, "capacity", OutOfRange},
		{"ZoneOfTheMachine", func(c *Card) { c.Zone = "Local" }, "zone", UnknownWord},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c := anvil()
			tt.change(&c)
			err := c.Check()
			if err == nil {
				t.Fatalf("Check() = nil, want %s: %s", tt.field, tt.fault)
			}
			for _, e := range err.(interface{ Unwrap() []error }).Unwrap() {
				var f *FieldError
				if errors.As(e, &f) && f.Field == tt.field && f.Fault == tt.fault {
					return
				}
			}
			t.Errorf("Check() = %v, want %s: %s", err, tt.field, tt.fault)
		})
	}
}

// I8: the exact position never reaches logs or error texts.
func TestCardI8KeepsThePositionToItself(t *testing.T) {
	c := anvil()
	secrets := []string{"38.91", "123.72"}
	hides := func(what, s string) {
		t.Helper()
		for _, x := range secrets {
			if strings.Contains(s, x) {
				t.Errorf("%s = %s, want no %q in it", what, s, x)
			}
		}
	}
	c.SeaAnchor = nil
	hides("a printed card", fmt.Sprintf("%v %+v %#v", c, c, c))
	b, err := json.Marshal(c.WithoutPosition())
	if err != nil {
		t.Fatal(err)
	}
	hides("a card without position", string(b))
	if c.Exact == nil {
		t.Error("WithoutPosition took the position from the card itself")
	}
	c.Exact = &measure.Position{Lat: -123.7275, Lon: 38.9142} // halves swapped
	hides("the error of a swapped position", c.Check().Error())
	if _, err := SnapSeaAnchor(*c.Exact, 270); err == nil {
		t.Error("SnapSeaAnchor of a swapped position = nil error, want a refusal")
	} else {
		hides("the anchor's error", err.Error())
	}
}

func TestCardRoundTrip(t *testing.T) {
	want := anvil()
	b, err := json.Marshal(want)
	if err != nil {
		t.Fatal(err)
	}
	var got Card
	if err := json.Unmarshal(b, &got); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("card after JSON = %s, want %s", mustJSON(t, got), b)
	}
	if b := mustJSON(t, Card{Name: "Long Step"}); b != `{"name":"Long Step"}` {
		t.Errorf("card with a name alone = %s, want nothing else in it", b)
	}
	for _, bad := range []string{`{"signal":"4G"}`, `{"lip_measured":"guess"}`, `{"rules":{"ground_bait":"some"}}`} {
		if err := json.Unmarshal([]byte(bad), new(Card)); err == nil {
			t.Errorf("Unmarshal(%s) = nil, want an error: a word we do not know", bad)
		}
	}
	if err := json.Unmarshal([]byte(`"safe"`), new(Verdict)); err == nil {
		t.Error(`Unmarshal("safe") into a verdict = nil, want an error`)
	}
}

func mustJSON(t *testing.T, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func TestCardFace(t *testing.T) {
	got, err := anvil().Face()
	want := Face{Height: 4.2, Faces: 265, Open: [2]measure.From{200, 330}, FootDepth: 7, Cot: 0.3, Roughness: 1}
	if err != nil || got != want {
		t.Errorf("Face() = %+v, %v, want %+v", got, err, want)
	}
	_, err = Card{Name: "Long Step", Faces: new(measure.From(0))}.Face()
	for _, field := range []string{"lip_m", "open_sector", "foot_depth_m", "cot_alpha"} {
		if err == nil || !strings.Contains(err.Error(), field+": missing") {
			t.Errorf("Face() of a name = %v, want %s missing", err, field)
		}
	}
	if err != nil && strings.Contains(err.Error(), "faces") {
		t.Errorf("Face() = %v, want no complaint of a facing of 0, which is north", err)
	}
}

func TestCardCalled(t *testing.T) {
	for name, want := range map[string]bool{"anvil": true, " ANVIL ": true, "North Rock": true, "": false, "the spot": false} {
		if got := anvil().Called(name); got != want {
			t.Errorf("Called(%q) = %v, want %v", name, got, want)
		}
	}
}

func TestHowMeasuredSpread(t *testing.T) {
	if !(Measured.Spread() < Estimated.Spread() && Estimated.Spread() < Unmeasured.Spread()) || HowMeasured("").Spread() != Unmeasured.Spread() {
		t.Error("Spread does not grow from measured over estimated to unmeasured and unsaid")
	}
}

func TestSnapSeaAnchor(t *testing.T) {
	const seed = 2
	rnd := rand.New(rand.NewPCG(seed, 0))
	for range 3000 {
		p := measure.Position{Lat: -70 + 140*rnd.Float64(), Lon: -180 + 360*rnd.Float64()}
		faces := measure.From(360 * rnd.Float64())
		a, err := SnapSeaAnchor(p, faces)
		if err != nil {
			t.Fatalf("seed %d: SnapSeaAnchor(%v, %v) = %v", seed, p, faces, err)
		}
		if a.Check() != nil || math.Abs(math.Remainder(a.Lat, 1.0/12)) > 1e-9 || math.Abs(math.Remainder(a.Lon, 1.0/12)) > 1e-9 {
			t.Errorf("seed %d: SnapSeaAnchor(%v, %v) = %v, want a multiple of 1/12 degree on Earth", seed, p, faces, a)
		}
		out := measure.Offset(p, measure.Towards(faces), 5)
		if d := measure.DistanceKm(out, a); d > 6.6 { // half the diagonal of a cell at the equator
			t.Errorf("seed %d: anchor %v is %v km from the point 5 km out, want the nearest of the grid", seed, a, d)
		}
		// Every step on is a cell towards the sea.
		next := NextSeaAnchor(a, faces)
		if next.Check() != nil || measure.DistanceKm(a, next) < 3 || measure.DistanceKm(a, next) > 13.2 {
			t.Errorf("seed %d: NextSeaAnchor(%v, %v) = %v, want a neighbour", seed, a, faces, next)
		}
	}
}

// Two ledges of one bay share an anchor, so it cannot tell them apart; the same ledge always
// gets the same one.
func TestSnapSeaAnchorHidesTheLedge(t *testing.T) {
	a, err := SnapSeaAnchor(measure.Position{Lat: 38.9142, Lon: -123.7275}, 265)
	if err != nil {
		t.Fatal(err)
	}
	b, err := SnapSeaAnchor(measure.Position{Lat: 38.9301, Lon: -123.7302}, 270)
	if err != nil {
		t.Fatal(err)
	}
	if a != b {
		t.Errorf("anchors of two ledges 2 km apart: %v and %v, want one", a, b)
	}
}

func TestNextSeaAnchorGoesTowardsTheSea(t *testing.T) {
	at := measure.Position{Lat: 10, Lon: 179 + 11.0/12}
	for faces, want := range map[measure.From][2]float64{0: {1, 0}, 44: {1, 1}, 90: {0, 1}, 180: {-1, 0}, 225: {-1, -1}, 270: {0, -1}, 350: {1, 0}} {
		got := NextSeaAnchor(at, faces)
		if d := math.Abs(got.Lat - at.Lat - want[0]/12); d > 1e-9 {
			t.Errorf("NextSeaAnchor(%v, %v) = %v, want %v cells north", at, faces, got, want[0])
		}
		if d := math.Abs(measure.Wrap180(got.Lon - at.Lon - want[1]/12)); d > 1e-9 {
			t.Errorf("NextSeaAnchor(%v, %v) = %v, want %v cells east", at, faces, got, want[1])
		}
	}
}
