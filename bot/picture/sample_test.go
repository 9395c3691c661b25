package picture

import (
	"flag"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"
	_ "time/tzdata" // the zones of the samples must be there on every machine
)

var outFolder = flag.String("out", "", "write the sample pictures into this folder, to be looked at")

// The samples are invented: the ledges Anvil and Long Step, in no real place.

func zone(tb testing.TB, name string) *time.Location {
	tb.Helper()
	z, err := time.LoadLocation(name)
	if err != nil {
		tb.Fatal(err)
	}
	return z
}

func words() Labels {
	return Labels{
		Asked: "asked", TurnBack: "turn back by", Dark: "dark",
		Water: "Water and ledge", Lip: "lip", Gate: "walk-in", GateWet: "walk-in wet", Gap: "gap", UnderWater: "ledge under water", High: "high", Low: "low",
		Swell: "Swell", SwellNote: "band: may well be up to this", Limit: "your limit", UpTo: "up to", Period: "period", GoesTo: "goes to",
		Chance: "Chance of a wave over the lip", ChanceNote: "each hour", Violent: "breaks on the ledge", Wind: "wind", Gust: "gust", WindTo: "to ledge",
		WorstOf: "number: worst of {n} h", Unknown: "not known", ClockChange: "clocks change",
		Weekdays: [7]string{"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"},
		Source:   "Model run 00Z, fetched 12 min ago, sea point 6 km WSW. Tide: station 9 km away.",
		Caution:  "Watch the water yourself for 20 minutes. A dry watch does not make a dry session.",
	}
}

// tideOf is a semidiurnal tide about a mean, with its high at a given time.
func tideOf(from, to, high time.Time, mean, amp float64) (curve []Point, extremes []Extreme) {
	const half = 12*time.Hour + 25*time.Minute
	h := func(t time.Time) float64 {
		return mean + amp*math.Cos(2*math.Pi*float64(t.Sub(high))/float64(half))
	}
	for t := from; !t.After(to); t = t.Add(10 * time.Minute) {
		curve = append(curve, Point{t, h(t)})
	}
	for k := -5; k <= 8; k++ {
		t := high.Add(time.Duration(k) * half / 2)
		if !t.Before(from) && !t.After(to) {
			extremes = append(extremes, Extreme{t, h(t), k%2 == 0})
		}
	}
	return curve, extremes
}

func ptr(v float64) *float64 { return &v }

// calm is a quiet morning: 8 hours, all known.
func calm(tb testing.TB) Chart {
	z := zone(tb, "Europe/Lisbon")
	from := time.Date(2026, 3, 14, 5, 0, 0, 0, z)
	c := Chart{
		Title: "Long Step, Sat 14 Mar", Verdict: "wash not expected on this forecast", Zone: z, Lip: 4.6, Gate: ptr(2.9), Datum: "m above chart datum",
		Window:  Span{from.Add(time.Hour), from.Add(5 * time.Hour)},
		Dark:    []Span{{from.Add(-9 * time.Hour), from.Add(74 * time.Minute)}},
		LimitHs: ptr(1.5), Units: Metric, Labels: words(),
	}
	for i := range 8 {
		x := float64(i)
		c.Hours = append(c.Hours, Hour{
			At: from.Add(time.Duration(i) * time.Hour), Known: true, Hs: 0.7 + 0.02*x, HsP90: 0.9 + 0.03*x, PeriodS: 9, SwellFromDeg: 305,
			P: 0.002 + 0.002*x, WindKnown: true, WindMS: 2 + 0.4*x, GustMS: 4 + 0.5*x, WindFromDeg: 80,
		})
	}
	c.TideCurve, c.Extremes = tideOf(from.Add(-time.Hour), from.Add(10*time.Hour), from.Add(6*time.Hour+20*time.Minute), 2, 1.3)
	return c
}

// rising is a day and a night with the swell coming up: 24 hours in feet, with a turn-back time and hours of breaking waves.
func rising(tb testing.TB) Chart {
	z := zone(tb, "America/Los_Angeles")
	from := time.Date(2026, 3, 14, 4, 0, 0, 0, z)
	c := Chart{
		Title: "Anvil, Sat 14 Mar", Verdict: "could be washed", Zone: z, Lip: 3.1, Gate: ptr(1.5), Datum: "ft above MLLW",
		Window:   Span{from.Add(8 * time.Hour), from.Add(15 * time.Hour)},
		Dark:     []Span{{from.Add(-9 * time.Hour), from.Add(178 * time.Minute)}, {from.Add(15*time.Hour + 36*time.Minute), from.Add(27 * time.Hour)}},
		TurnBack: from.Add(13*time.Hour + 10*time.Minute),
		LimitHs:  ptr(1.5), Units: Imperial, Labels: words(),
	}
	for i := range 24 {
		x := float64(i)
		hs := 0.9 + 1.7/(1+math.Exp(-(x-14)/3))
		c.Hours = append(c.Hours, Hour{
			At: from.Add(time.Duration(i) * time.Hour), Known: true, Hs: hs, HsP90: hs * (1.15 + 0.01*x), PeriodS: 10 + x/5, SwellFromDeg: 250,
			P: 1 / (1 + math.Exp(-(x-15)/2.2)), Violent: i >= 20, WindKnown: true, WindMS: 3 + 0.4*x, GustMS: 5 + 0.6*x, WindFromDeg: 200 + 3*x,
		})
	}
	c.TideCurve, c.Extremes = tideOf(from, from.Add(24*time.Hour), from.Add(7*time.Hour+25*time.Minute), 0.9, 0.95)
	return c
}

// partly is half a day of which the forecast ends, with a hole in the middle.
func partly(tb testing.TB) Chart {
	z := zone(tb, "Australia/Hobart")
	from := time.Date(2026, 6, 20, 6, 0, 0, 0, z)
	c := Chart{
		Title: "Anvil, Sat 20 Jun", Verdict: "cannot tell: treat it as a no", Zone: z, Lip: 2.4, Datum: "m above LAT",
		Window: Span{from.Add(time.Hour), from.Add(11 * time.Hour)},
		Dark:   []Span{{from.Add(-12 * time.Hour), from.Add(70 * time.Minute)}, {from.Add(11*time.Hour + 15*time.Minute), from.Add(24 * time.Hour)}},
		Units:  Metric, Labels: words(),
	}
	for i := range 12 {
		h := Hour{At: from.Add(time.Duration(i) * time.Hour)}
		if i < 3 || i == 5 || i == 6 {
			h = Hour{At: h.At, Known: true, Hs: 1.3, HsP90: 1.7, PeriodS: 13, SwellFromDeg: 225, P: 0.22}
		}
		if i < 8 {
			h.WindKnown, h.WindMS, h.GustMS, h.WindFromDeg = true, 6, 9, 315
		}
		c.Hours = append(c.Hours, h)
	}
	c.TideCurve, c.Extremes = tideOf(from, from.Add(9*time.Hour), from.Add(3*time.Hour), 1.3, 1.25)
	return c
}

// clocksBack is a whole day on which 01:00 to 02:00 comes twice, the ledge flooded at both highs, the turn-back time gone by.
func clocksBack(tb testing.TB) Chart {
	z := zone(tb, "America/New_York")
	from := time.Date(2026, 10, 31, 20, 0, 0, 0, z)
	c := rising(tb)
	c.Title, c.Verdict, c.Zone, c.Units, c.Datum = "Anvil, Sun 1 Nov", "likely washed, and the waves break on the ledge", z, Metric, "m above MLLW"
	c.Window, c.TurnBack, c.LimitHs = Span{from.Add(6 * time.Hour), from.Add(9 * time.Hour)}, from.Add(-30*time.Minute), ptr(2)
	c.Dark = []Span{{from.Add(-time.Hour), from.Add(10*time.Hour + 50*time.Minute)}}
	c.Hours = c.Hours[:12]
	for i := range c.Hours {
		c.Hours[i].At = from.Add(time.Duration(i) * time.Hour)
		c.Hours[i].Hs, c.Hours[i].HsP90 = 2.4, 3.3
		c.Hours[i].P, c.Hours[i].Violent = 1, i >= 7 && i < 10
	}
	c.Lip, c.Gate = 1.9, ptr(1.1)
	c.TideCurve, c.Extremes = tideOf(from.Add(-time.Hour), from.Add(13*time.Hour), from.Add(5*time.Hour), 1.4, 1.2)
	return c
}

// longest is two days, the most that one picture takes, over a high ledge.
func longest(tb testing.TB) Chart {
	c := rising(tb)
	from := c.Hours[0].At
	for i := 24; i < 48; i++ {
		h := c.Hours[47-i]
		h.At, h.Violent = from.Add(time.Duration(i)*time.Hour), false
		if i == 30 || i == 31 || i >= 44 {
			h = Hour{At: h.At}
		}
		c.Hours = append(c.Hours, h)
	}
	c.Lip = 9
	c.Dark = append(c.Dark, Span{from.Add(39*time.Hour + 36*time.Minute), from.Add(51 * time.Hour)})
	c.TideCurve, c.Extremes = tideOf(from, from.Add(48*time.Hour), from.Add(7*time.Hour+25*time.Minute), 0.9, 0.95)
	return c
}

// shortest is one hour, of which the lip, the limit, the gate and the tide are not known.
func shortest(tb testing.TB) Chart {
	c := partly(tb)
	c.Hours, c.Lip, c.TideCurve, c.Extremes, c.Window, c.Dark = c.Hours[:1], math.NaN(), nil, nil, Span{}, nil
	return c
}

func samples(tb testing.TB) map[string]Chart {
	return map[string]Chart{"calm": calm(tb), "rising": rising(tb), "partly": partly(tb), "clocks": clocksBack(tb), "longest": longest(tb), "shortest": shortest(tb)}
}

func drawn(tb testing.TB, c Chart) []byte {
	tb.Helper()
	p, err := PNG(c)
	if err != nil {
		tb.Fatalf("PNG: %v", err)
	}
	return p
}

func TestSamplesFitAChat(t *testing.T) {
	for name, c := range samples(t) {
		p := drawn(t, c)
		if *outFolder != "" {
			if err := os.WriteFile(filepath.Join(*outFolder, name+".png"), p, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if len(p) > 100_000 {
			t.Errorf("PNG(%s) = %d bytes, want at most 100000", name, len(p))
		}
		t.Logf("%s: %d bytes", name, len(p))
	}
}

func BenchmarkPNG(b *testing.B) {
	c := rising(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := PNG(c); err != nil {
			b.Fatal(err)
		}
	}
}
