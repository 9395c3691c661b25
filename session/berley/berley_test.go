package berley

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"
)

func recipe() Recipe {
	return Recipe{Anglers: 2, Over: 4 * time.Hour, Parts: []Part{
		{Name: "soaked bread", Amount: 4000, Unit: Gram}, {Name: "bran", Amount: 1000, Unit: Gram}, {Name: "pilchard", Amount: 500, Unit: Gram},
		{Name: "loaves", Amount: 3, Unit: Piece}, {Name: "sea water", Amount: 600, Unit: Millilitre}, {Name: "sand"},
	}}
}

func said(parts []Part) string {
	var out []string
	for _, p := range parts {
		out = append(out, fmt.Sprintf("%g%s", p.Amount, p.Unit))
	}
	return strings.Join(out, " ")
}

// Arithmetic done here: amount times angler-hours over angler-hours.
func TestARecipeIsScaledByAnglerHours(t *testing.T) {
	for _, tt := range []struct {
		anglers int
		over    time.Duration
		want    string
	}{
		{2, 4 * time.Hour, "4000g 1000g 500g 3piece 600ml 0"},
		{1, 4 * time.Hour, "2000g 500g 250g 1.5piece 300ml 0"},
		{4, 4 * time.Hour, "8000g 2000g 1000g 6piece 1200ml 0"},
		{2, 2 * time.Hour, "2000g 500g 250g 1.5piece 300ml 0"},
		{3, 200 * time.Minute, "5000g 1250g 625g 4piece 750ml 0"}, // 3.75 loaves: four
		{1, 30 * time.Minute, "250g 62.5g 31.25g 0.5piece 37.5ml 0"},
		{0, 4 * time.Hour, ""}, {2, 0, ""}, {-1, time.Hour, ""}, {1, -time.Hour, ""},
	} {
		if got := said(recipe().For(tt.anglers, tt.over)); got != tt.want {
			t.Errorf("For(%d, %v) = %s, want %s", tt.anglers, tt.over, got, tt.want)
		}
	}
	for _, r := range []Recipe{{}, {Parts: recipe().Parts}, {Parts: recipe().Parts, Anglers: 2}, {Anglers: 2, Over: time.Hour}} {
		if r.Known() || r.For(2, time.Hour) != nil {
			t.Errorf("%+v counts as a recipe", r)
		}
	}
	r := recipe()
	r.For(7, time.Hour)
	if said(r.Parts) != said(recipe().Parts) {
		t.Error("scaling changed the recipe itself")
	}
}

// Twice the people is twice the weight, and a trip in two halves needs what it needs in one.
func TestScalingIsLinear(t *testing.T) {
	r := recipe()
	for anglers := 1; anglers <= 20; anglers++ {
		for min := 15; min <= 14*60; min += 15 {
			over := time.Duration(min) * time.Minute
			got, twice, half := Grams(r.For(anglers, over)), Grams(r.For(2*anglers, over)), Grams(r.For(anglers, over/2))
			if math.Abs(twice-2*got) > 1e-6 || math.Abs(2*half-got) > 1e-6 {
				t.Fatalf("%d for %v: %g, twice as many %g, half as long %g", anglers, over, got, twice, half)
			}
			for i, p := range r.For(anglers, over) {
				if p.Amount < 0 || p.Unit == Piece && (math.Mod(p.Amount*2, 1) != 0 || p.Amount == 0) || (p.Amount == 0) != (r.Parts[i].Amount == 0) {
					t.Fatalf("%d for %v: %+v", anglers, over, p)
				}
			}
		}
	}
}

func TestSensibleAmounts(t *testing.T) {
	for v, want := range map[float64]float64{
		4000: 4000, 4120: 4100, 4150: 4200, 1250: 1300, 994: 990, 996: 1000, 625: 630, 62.5: 63, 10.4: 10, 9.96: 10, 3.3333: 3.3, 0.04: 0.1, 0.31: 0.3, 12_345: 12_000, 0: 0, -1: 0,
	} {
		if got := Sensible(v); math.Abs(got-want) > 1e-9 {
			t.Errorf("Sensible(%g) = %g, want %g", v, got, want)
		}
	}
	if Sensible(math.NaN()) != 0 || Sensible(math.Inf(1)) != 0 {
		t.Error("what is no number has an amount")
	}
	for v := 0.1; v < 1e5; v *= 1.013 {
		if got := Sensible(v); got == 0 || v >= 1 && math.Abs(got-v)/v > 0.05+1e-9 {
			t.Errorf("Sensible(%g) = %g, off by more than a twentieth", v, got)
		}
	}
}

func TestWhatIsPreparedTheEveningBefore(t *testing.T) {
	for name, want := range map[string]Prep{
		"soaked bread": Soak, "stale loaves": Soak, "Breadcrumbs": Soak, "pan duro": Soak, "barras de pan": Soak, "pan remojado": Soak, "soaked pilchard pellets": Soak,
		"pilchard": Thaw, "Pilchards, minced": Thaw, "frozen mussels": Thaw, "sardina": Thaw, "boquerones": Thaw, "camarón": Thaw, "squid": Thaw, "frozen bread": Thaw,
		"bran": "", "sand": "", "sardine oil": "", "aceite de sardina": "", "harina de pescado": "", "panela": "", "mussels": "", "": "", "salted sardines": "",
	} {
		if got := (Part{Name: name}).Prep(); got != want {
			t.Errorf("Prep(%q) = %q, want %q", name, got, want)
		}
	}
	for name, want := range map[string]bool{"prawns": true, "Green prawn heads": true, "king-prawns": true, "shrimp": true, "langostinos": true, "gambas": true, "camarón": true, "pilchards": false, "spawn": false, "": false, "gamble": false} {
		if got := Prawns(name); got != want {
			t.Errorf("Prawns(%q) = %v, want %v", name, got, want)
		}
	}
}
