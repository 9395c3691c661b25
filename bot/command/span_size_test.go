package command

import (
	"errors"
	"math"
	"testing"
	"time"
)

func TestSpan(t *testing.T) {
	for in, want := range map[string]time.Duration{
		"30": 30 * time.Minute, "+30 min": 30 * time.Minute, " +30": 30 * time.Minute, "1h": time.Hour, "1h30": 90 * time.Minute,
		"1h 30m": 90 * time.Minute, "1 h 30 min": 90 * time.Minute, "90m": 90 * time.Minute, "an hour": time.Hour, "AN HOUR": time.Hour,
		"half an hour": 30 * time.Minute, "half hour": 30 * time.Minute, "an hour and a half": 90 * time.Minute, "two hours": 2 * time.Hour, "two and a half hours": 150 * time.Minute, "2½ h": 150 * time.Minute, "2 1/2 hours": 150 * time.Minute,
		"1.5h": 90 * time.Minute, "2.25 hrs": 135 * time.Minute, "1h05": 65 * time.Minute, "24h": 24 * time.Hour, "1 min": time.Minute,
	} {
		if got, err := Span(in); err != nil || got != want {
			t.Errorf("Span(%q) = %v, %v, want %v", in, got, err, want)
		}
	}
	for in, why := range map[string]Word{
		"": WhyEmpty, "+": WhyToken, "0": WhyRange, "0 min": WhyRange, "25h": WhyRange, "-30": WhyToken, "30 40": WhyToken, "1h3": WhyToken,
		"1h75": WhyToken, "30 bananas": WhyToken, "1:30": WhyToken, "half": WhyToken, "1,5h": WhyToken, "9999999999 min": WhyToken, "a": WhyToken,
		"٣٠": WhyToken, "30 min or so": WhyToken, "1.5": WhyToken, "2 hours past": WhyToken,
	} {
		got, err := Span(in)
		var u *Unread
		if !errors.As(err, &u) || u.Why != why {
			t.Errorf("Span(%q) = %v, %v, want Unread %s", in, got, err, why)
		}
	}
}

func TestLength(t *testing.T) {
	for _, tt := range []struct {
		in    string
		units Units
		mm    float64
		unit  Unit
	}{
		{"31", Metric, 310, Centimetre}, {"31", Imperial, 787.4, Inch}, {"31cm", Imperial, 310, Centimetre}, {"310 mm", Metric, 310, Millimetre},
		{"12in", Metric, 304.8, Inch}, {`12"`, Metric, 304.8, Inch}, {"12 1/2 in", Metric, 317.5, Inch}, {"12½", Imperial, 317.5, Inch},
		{"22 in", Imperial, 558.8, Inch}, {"16 1/2 inches", Metric, 419.1, Inch}, {"29 1/4", Imperial, 742.95, Inch}, {`13 3/4"`, Metric, 349.25, Inch},
		{"1.04m", Metric, 1040, Metre}, {"3ft", Metric, 914.4, Foot}, {"3ft 2in", Metric, 965.2, Foot}, {`3' 2"`, Metric, 965.2, Foot},
		{"30,5 cm", Metric, 305, Centimetre}, {"30.5", Metric, 305, Centimetre}, {"500", Metric, 5000, Centimetre}, {"31 CM", Metric, 310, Centimetre},
	} {
		got, err := Length(tt.in, tt.units)
		if err != nil || got.UM != int(math.Round(tt.mm*1000)) || got.Unit != tt.unit {
			t.Errorf("Length(%q, %s) = %v, %v, want %v mm in %s", tt.in, tt.units, got, err, tt.mm, tt.unit)
		}
	}
	for in, why := range map[string]Word{
		"": WhyEmpty, "-31": WhyNumber, "0": WhyRange, "501": WhyRange, "31kg": WhyUnit, "31 pounds": WhyUnit, "about 31": WhyNumber, "31ish": WhyNumber,
		"30+": WhyNumber, "31 33": WhyToken, "31/33": WhyToken, "31cm fish": WhyToken, "31 in the wash": WhyToken, "3.1.4": WhyToken, "31,33": WhyToken,
		"12345678": WhyNumber, "5mm": WhyRange, "NaN": WhyNumber, "1e3": WhyNumber, "31x": WhyNumber,
	} {
		got, err := Length(in, Metric)
		var u *Unread
		if !errors.As(err, &u) || u.Why != why {
			t.Errorf("Length(%q) = %v, %v, want Unread %s", in, got, err, why)
		}
	}
}

// TestInchesAreExact walks every sixteenth of an inch up to ten feet: 25.4 mm exactly, to the half
// micrometre that a sixteenth (1.5875 mm) cannot be held to.
func TestInchesAreExact(t *testing.T) {
	for n := 16; n <= 120*16; n++ {
		q := quantity{v: float64(n) / 16, unit: "in"}
		got, _ := q.size(Metric)
		if off := got.UM*160 - n*25_400*10; off > 80 || off < -80 {
			t.Errorf("%d/16 in = %d µm, off by %v µm", n, got.UM, float64(off)/160)
		}
	}
}
