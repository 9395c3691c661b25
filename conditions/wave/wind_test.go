package wave

import (
	"errors"
	"math"
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

// wind_relative.csv, given to 5 digits.
func TestWindOnTable(t *testing.T) {
	var w worst
	for _, r := range table(t, "wind_relative.csv") {
		speed := r.Num(t, "speed_m_s")
		got := WindOn(measure.From(r.Num(t, "ledge_faces_deg")), measure.From(r.Num(t, "wind_from_deg")), measure.MetresPerSecond(speed))
		at := r["ledge_faces_deg"] + " " + r["wind_from_deg"] + " "
		w.Check(t, at+"off", got.Off, r.Num(t, "angle_off_deg"), 1e-9)
		w.Check(t, at+"onshore", float64(got.Onshore), r.Num(t, "onshore_component_m_s"), 5.01e-5)
		w.Check(t, at+"cross", float64(got.Cross), r.Num(t, "cross_component_m_s"), 5.01e-5)
		w.Check(t, at+"gust", GustFactor*speed, r.Num(t, "rule_of_thumb_gust_m_s"), 1e-9)
		if string(got.Class) != r["class"] {
			t.Errorf("%sclass = %q, want %q", at, got.Class, r["class"])
		}
	}
	w.Log(t)
}

func TestWindOnClasses(t *testing.T) {
	for off, want := range map[measure.From]WindClass{0: Onshore, 45: Onshore, 46: CrossOnshore, 79: CrossOnshore, 80: CrossShore, 100: CrossShore, 101: CrossOffshore, 134: CrossOffshore, 135: Offshore, 180: Offshore} {
		for _, from := range []measure.From{200 + off, 200 - off} {
			if got := WindOn(200, from, 5).Class; got != want {
				t.Errorf("WindOn(200, %v).Class = %q, want %q", from, got, want)
			}
		}
	}
}

// beaufort.csv: WMO code table 1100.
func TestBeaufortTable(t *testing.T) {
	for _, r := range table(t, "beaufort.csv") {
		want := int(r.Num(t, "force"))
		speeds := []float64{r.Num(t, "m_s_low")}
		if r["m_s_high"] != "" {
			speeds = append(speeds, r.Num(t, "m_s_high"))
		}
		for _, v := range speeds {
			if got, err := Beaufort(measure.MetresPerSecond(v)); err != nil || got != want {
				t.Errorf("Beaufort(%v) = %v, %v, want %v", v, got, err, want)
			}
		}
	}
	for _, v := range []float64{-1, math.NaN()} {
		if got, err := Beaufort(measure.MetresPerSecond(v)); err == nil {
			t.Errorf("Beaufort(%v) = %v, want an error", v, got)
		}
	}
}

// wind_chill.csv: the US weather service's chart, and the 2001 formula in both unit systems.
// In the row 10 F, 4 mph the published value is the metric formula in Fahrenheit.
func TestWindChillTable(t *testing.T) {
	var formula, chart worst
	for _, r := range table(t, "wind_chill.csv") {
		at := r["units"] + " " + r["air_temp"] + " " + r["wind"]
		f := WindChillF
		if r["units"] == "C,km/h" {
			f = WindChillC
		}
		got, err := f(r.Num(t, "air_temp"), r.Num(t, "wind"))
		if err != nil {
			t.Fatal(at, err)
		}
		formula.Check(t, at, got, r.Num(t, "formula_value"), 5.01e-6*math.Max(1, math.Abs(got)*10))
		if at == "F,mph 10 4" {
			c, err := WindChillC((10-32)/1.8, 4*1.609344)
			if err != nil {
				t.Fatal(at, err)
			}
			chart.Check(t, at+" through Celsius", c*1.8+32, r.Num(t, "table_value"), r.Tol(t))
			continue
		}
		chart.Check(t, at+" chart", got, r.Num(t, "table_value"), r.Num(t, "tol"))
	}
	formula.Log(t)
	chart.Log(t)
}

func TestWindChillIsNotDefinedEverywhere(t *testing.T) {
	for _, in := range [][2]float64{{10.1, 20}, {5, 4.9}, {math.NaN(), 20}, {5, math.NaN()}, {5, math.Inf(1)}} {
		if got, err := WindChillC(in[0], in[1]); !errors.Is(err, ErrChillNotDefined) {
			t.Errorf("WindChillC(%v) = %v, %v, want ErrChillNotDefined", in, got, err)
		}
	}
	for _, in := range [][2]float64{{50.1, 20}, {40, 2.9}, {math.NaN(), 20}} {
		if got, err := WindChillF(in[0], in[1]); !errors.Is(err, ErrChillNotDefined) {
			t.Errorf("WindChillF(%v) = %v, %v, want ErrChillNotDefined", in, got, err)
		}
	}
}

// forecast_error_model.csv: our own assumed model, computed elsewhere, given to 4 digits.
func TestForecastSpreadTable(t *testing.T) {
	var w worst
	for _, r := range table(t, "forecast_error_model.csv") {
		lead := time.Duration(r.Num(t, "lead_day") * 24 * float64(time.Hour))
		open := ForecastSpread(lead, false)
		for column, v := range map[string]float64{
			"sigma_lnHs_open": open, "sigma_lnHs_nearshore": ForecastSpread(lead, true),
			"multiplier_p90_open": Margin(open, OneInTen), "multiplier_p95_open": Margin(open, OneInTwenty),
		} {
			want := r.Num(t, column)
			tol := math.Max(lastDigit(r[column]), 5.01e-5)
			if want > 1 { // the table took its deviates rounded to 1.2816 and 1.645
				tol += 1.5e-4 * open * want
			}
			w.Check(t, r["lead_day"]+" "+column, v, want, tol)
		}
	}
	w.Log(t)
	if got := ForecastSpread(-time.Hour, false); got != 0.13 {
		t.Errorf("ForecastSpread(the past) = %v, want 0.13", got)
	}
}
