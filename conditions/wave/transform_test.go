package wave

import (
	"math"
	"strings"
	"testing"

	"ledgehand/conditions/measure"
)

// transformation.csv: USACE ACES User's Guide 3-1-5 (Snell), CEM II-4-1 (breaking), Miche's limit
// and the Iribarren number. Not covered, because we have no use for them: wave power (R5x)
// and Sainflou's clapotis (R6x).
func TestTransformationTable(t *testing.T) {
	const g = 9.81
	var w worst
	left := 0
	for _, r := range table(t, "transformation.csv") {
		if r["inputs"] == "" || strings.HasPrefix(r["case"], "as above") || r["id"] == "R01" {
			continue // the worked examples below
		}
		at := r["id"] + " " + r["quantity"]
		num := func(name string) float64 { return in(t, r, "inputs", name) }
		want, tol := r.Num(t, "value"), r.Tol(t)
		switch {
		case r["case"] == "parallel contours":
			angle := in(t, r, "inputs", "angle0")
			got, err := Refract(measure.Seconds(num("T")), measure.Metres(num("h")), angle, g)
			if err != nil {
				t.Fatal(at, err)
			}
			w.Check(t, at, map[string]float64{
				"local angle": got.Angle, "Kr": got.Kr, "Ks": got.Ks, "H": num("H0") * got.Kr * got.Ks,
			}[r["quantity"]], want, tol)
		case r["id"] == "R20" || r["id"] == "R22":
			got, err := Break(measure.Metres(num("H0")), measure.Seconds(num("T")), num("slope"), g)
			if err != nil {
				t.Fatal(at, err)
			}
			w.Check(t, at, map[string]float64{
				"breaker height": float64(got.Height), "gamma_b": got.Index, "breaker depth": float64(got.Depth),
			}[r["quantity"]], want, tol)
		case r["case"] == "Miche limit":
			got, err := HighestStanding(measure.Seconds(num("T")), measure.Metres(num("h")), g)
			if err != nil {
				t.Fatal(at, err)
			}
			w.Check(t, at, float64(got), want, tol)
		case strings.HasPrefix(r["case"], "Iribarren"):
			w.Check(t, at, Iribarren(num("tan_alpha"), measure.Metres(num("H")), measure.Seconds(num("T")), g), want, tol)
		case strings.HasPrefix(r["id"], "R5") || strings.HasPrefix(r["id"], "R6"):
			left++
		case r["id"] == "R05":
		default:
			t.Errorf("%s: a row no case takes", at)
		}
	}
	if w.Rows != 16+6+3+3 || left != 5 {
		t.Errorf("checked %d rows and left %d, want 28 and 5", w.Rows, left)
	}
	w.Log(t)
}

// USACE ACES User's Guide v1.07, example 3-1-5, in feet: a wave of 10 ft, 7.5 s at 10 degrees in
// 25 ft of water was 10.68 ft at 15.0 degrees in deep water, and is 10.27 ft at 9.12 degrees in 20 ft.
// The tolerances are the table's (R01 to R04).
func TestRefractAgreesWithACES(t *testing.T) {
	const ft = 0.3048
	deep, at25, err := Unrefract(7.5, 25*ft, 10, measure.Gravity)
	if err != nil {
		t.Fatal(err)
	}
	h0 := 10 / (at25.Kr * at25.Ks)
	at20, err := Refract(7.5, 20*ft, deep, measure.Gravity)
	if err != nil {
		t.Fatal(err)
	}
	var w worst
	w.Check(t, "deep-water angle", deep, 15.0, 0.02)
	w.Check(t, "deep-water height", h0, 10.68, 0.01)
	w.Check(t, "angle in 20 ft", at20.Angle, 9.12, 0.01)
	w.Check(t, "height in 20 ft", h0*at20.Kr*at20.Ks, 10.27, 0.01)
	w.Log(t)
}

func TestRefractAndBreakRefuse(t *testing.T) {
	if _, err := Refract(10, 5, 90, 9.81); err == nil {
		t.Error("Refract at 90 degrees = nil error, want a refusal")
	}
	if d, _, err := Unrefract(14, 3, 60, 9.81); err == nil {
		t.Errorf("Unrefract(14 s, 3 m, 60 degrees) = %v, want a refusal: no deep-water wave arrives so", d)
	}
	if b, err := Break(0, 10, 0.02, 9.81); err == nil {
		t.Errorf("Break of no wave = %+v, want a refusal", b)
	}
	if b, err := Break(5, 3, 0.3, 9.81); err == nil {
		t.Errorf("Break of 5 m at 3 s = %+v, want a refusal", b)
	}
}

func TestRefractIsUndoneByUnrefract(t *testing.T) {
	for _, a := range []float64{0, 10, 45, 80, 89} {
		there, err := Refract(12, 7, a, 9.81)
		if err != nil {
			t.Fatal(err)
		}
		back, r, err := Unrefract(12, 7, there.Angle, 9.81)
		if err != nil || math.Abs(back-a) > 1e-9 || math.Abs(r.Kr-there.Kr) > 1e-9 {
			t.Errorf("Unrefract(Refract(%v)) = %v, %+v, %v", a, back, r, err)
		}
	}
}
