package feed

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

// The newest row of the invented buoy files.
var bigSwell = ts("2026-12-06T15:50:00Z")

const (
	textHead = "#YY  MM DD hh mm WDIR WSPD GST  WVHT   DPD   APD MWD   PRES  ATMP  WTMP  DEWP  VIS PTDY  TIDE\n" +
		"#yr  mo dy hr mn degT m/s  m/s     m   sec   sec degT   hPa  degC  degC  degC  nmi  hPa    ft\n"
	specHead = "#YY  MM DD hh mm WVHT  SwH  SwP  WWH  WWP SwD WWD  STEEPNESS  APD MWD\n" +
		"#yr  mo dy hr mn    m    m  sec    m  sec  -  degT     -      sec degT\n"
)

// textRow is a row of a .txt file at a time of 2026-12-06 with the eight values from WDIR to MWD.
func textRow(clock, values string) string {
	return "2026 12 06 " + clock + " " + values + " 1013.0  12.0  13.0    MM   MM   MM    MM\n"
}

func mustBuoy(t testing.TB, raw string, now time.Time) Buoy {
	t.Helper()
	b, err := DecodeBuoyText([]byte(raw), now)
	if err != nil {
		t.Fatalf("DecodeBuoyText: %v", err)
	}
	return b
}

func TestDecodeBuoyText(t *testing.T) {
	b, err := DecodeBuoyText(sample(t, "46xxx_big_swell.constructed.txt"), bigSwell.Add(5*time.Minute))
	if err != nil {
		t.Fatalf("DecodeBuoyText: %v", err)
	}
	obs := b.Observations
	if len(obs) != 288 || !obs[0].At.Equal(ts("2026-12-04T16:00:00Z")) || !obs[287].At.Equal(bigSwell) || obs[0].At.Location() != time.UTC {
		t.Fatalf("%d observations from %v to %v, want 288, oldest first, UTC", len(obs), obs[0].At, obs[len(obs)-1].At)
	}
	o := obs[287] // 2026 12 06 15 50 330  7.0  8.8   5.2    16    9.9 312 1013.8  12.2  13.2
	if *o.Hs != 5.2 || *o.Peak != 16 || *o.Mean != 9.9 || *o.From != 312 || *o.Wind != 7 || *o.Gust != 8.8 || *o.WindFrom != 330 ||
		*o.PressureHPa != 1013.8 || *o.AirTempC != 12.2 || *o.WaterTempC != 13.2 {
		t.Errorf("newest = %+v, want 5.2 m, peak 16 s, mean 9.9 s, from 312", o)
	}
	if o.Station != "" || o.Position != nil || o.Swell != nil || o.WindSea != nil || o.Steepness != "" {
		t.Errorf("newest = %+v, want nothing that the file does not say", o)
	}
	if b.Age != 5*time.Minute || !b.Latest.At.Equal(bigSwell) || !b.PeakAt.Equal(bigSwell) {
		t.Errorf("latest of %v, aged %v, peak of %v, want %v, 5m, the same", b.Latest.At, b.Age, b.PeakAt, bigSwell)
	}
	heights, peaks := 0, 0
	for _, o := range obs {
		if o.Hs != nil {
			heights++
		}
		if o.Peak != nil {
			peaks++
		}
	}
	if heights != 96 || peaks != 48 {
		t.Errorf("%d heights, %d peak periods, want 96 and 48", heights, peaks)
	}
}

// Height and peak period come in different rows, and most rows have neither.
func TestLatestWalksBackForTheWaves(t *testing.T) {
	row := func(clock, waves string) string { return textRow(clock, "330  7.0  8.8 "+waves) }
	for _, tc := range []struct {
		name, rows, now, at, peakAt string
		peak                        float64
	}{
		{"the row itself", row("15 50", "5.2 16 9.9 312") + row("15 40", "5.1 MM 9.9 312"), "15:55", "15:50", "15:50", 16},
		{"the peak of the row before", row("15 40", "5.2 MM 9.9 312") + row("14 50", "5.0 15 9.9 312"), "15:45", "15:40", "14:50", 15},
		{"the nearer of two", row("15 40", "5.2 MM 9.9 312") + row("15 20", "5.1 14 9.9 312") + row("14 50", "5.0 15 9.9 312"), "15:55", "15:40", "15:20", 14},
		{"a peak without a height counts for nothing", row("15 50", "MM 17 9.9 312") + row("15 40", "5.2 MM 9.9 312") + row("15 20", "5.0 15 9.9 312"), "15:55", "15:40", "15:20", 15},
		{"rows without waves are passed over", row("18 30", "MM MM MM MM") + row("15 40", "5.2 14 9.9 312"), "18:40", "15:40", "15:40", 14},
		{"a height of zero is passed over", row("15 50", "0.0 14 9.9 312") + row("15 40", "5.2 13 9.9 312"), "15:55", "15:40", "15:40", 13},
		{"no peak near enough", row("15 40", "5.2 MM 9.9 312") + row("14 30", "5.0 15 9.9 312"), "15:45", "15:40", "", 0},
	} {
		t.Run(tc.name, func(t *testing.T) {
			clock := func(s string) time.Time { return ts("2026-12-06T" + s + ":00Z") }
			b := mustBuoy(t, textHead+tc.rows, clock(tc.now))
			if !b.Latest.At.Equal(clock(tc.at)) || b.Age != clock(tc.now).Sub(clock(tc.at)) {
				t.Errorf("latest of %v, aged %v, want %s", b.Latest.At, b.Age, tc.at)
			}
			switch {
			case tc.peakAt == "":
				if b.Latest.Peak != nil || !b.PeakAt.IsZero() {
					t.Errorf("peak %v of %v, want none", *b.Latest.Peak, b.PeakAt)
				}
			case b.Latest.Peak == nil || float64(*b.Latest.Peak) != tc.peak || !b.PeakAt.Equal(clock(tc.peakAt)):
				t.Errorf("peak %v of %v, want %v of %s", b.Latest.Peak, b.PeakAt, tc.peak, tc.peakAt)
			}
		})
	}
}

func TestBuoyTextMissingIsMissing(t *testing.T) {
	full := textRow("15 50", "330  7.0  8.8   5.2    16    9.9 312")
	one := func(t *testing.T, values string) Observation {
		t.Helper()
		return mustBuoy(t, textHead+full+textRow("15 40", values), bigSwell).Observations[0]
	}
	t.Run("MM", func(t *testing.T) {
		if o := one(t, "MM MM MM MM MM MM MM"); o.Hs != nil || o.Peak != nil || o.Mean != nil || o.From != nil || o.Wind != nil || o.Gust != nil || o.WindFrom != nil {
			t.Errorf("observation = %+v, want nothing", o)
		}
	})
	t.Run("nines, each column its own", func(t *testing.T) {
		if o := one(t, "999 99.0 99.0 99.00 99.00 99.00 999"); o.Hs != nil || o.Peak != nil || o.Mean != nil || o.From != nil || o.Wind != nil || o.Gust != nil || o.WindFrom != nil {
			t.Errorf("observation = %+v, want nothing", o)
		}
		o := one(t, "99 9.0 9.9 9.00 9.00 9.90 99")
		if *o.WindFrom != 99 || *o.Wind != 9 || *o.Gust != 9.9 || *o.Hs != 9 || *o.Peak != 9 || *o.Mean != 9.9 || *o.From != 99 {
			t.Errorf("observation = %+v, want every number", o)
		}
	})
	t.Run("a direction of -99", func(t *testing.T) {
		if o := one(t, "330 7.0 8.8 5.2 16 9.9 -99"); o.From != nil || *o.Hs != 5.2 {
			t.Errorf("observation = %+v, want no direction and the height", o)
		}
	})
	t.Run("360 is north", func(t *testing.T) {
		if o := one(t, "360 7.0 8.8 5.2 16 9.9 360"); *o.From != 0 || *o.WindFrom != 0 {
			t.Errorf("from %v, wind from %v, want 0", *o.From, *o.WindFrom)
		}
	})
	t.Run("a height of zero is no calm, and nothing beside it counts", func(t *testing.T) {
		if o := one(t, "330 7.0 8.8 0.0 16 9.9 312"); o.Hs != nil || o.Peak != nil || o.Mean != nil || o.From != nil || *o.Wind != 7 {
			t.Errorf("observation = %+v, want the wind alone", o)
		}
	})
	t.Run("a period of zero is none", func(t *testing.T) {
		if o := one(t, "330 7.0 8.8 5.2 0 0.0 312"); o.Peak != nil || o.Mean != nil || *o.Hs != 5.2 {
			t.Errorf("observation = %+v, want the height and no periods", o)
		}
	})
	t.Run("a moment of calm is wind, weeks of it are a broken sensor", func(t *testing.T) {
		if o := one(t, "330 0.0 8.8 5.2 16 9.9 312"); *o.Wind != 0 {
			t.Errorf("wind = %v, want 0", *o.Wind)
		}
		b := mustBuoy(t, textHead+textRow("15 50", "MM 0.0 0.0 5.2 16 9.9 312")+textRow("15 40", "MM 0.0 0.0 5.2 16 9.9 312"), bigSwell)
		if o := b.Observations[1]; o.Wind != nil || o.Gust != nil {
			t.Errorf("wind %v, gust %v, want none", *o.Wind, *o.Gust)
		}
	})
}

func TestDecodeBuoyTextRefuses(t *testing.T) {
	row := textRow("15 50", "330  7.0  8.8   5.2    16    9.9 312")
	older := textRow("15 40", "330  7.0  8.8   5.2    MM    9.9 312")
	good := textHead + row + older
	swap := func(old, new string) string {
		if !strings.Contains(good, old) {
			t.Fatalf("the sample has no %q", old)
		}
		return strings.Replace(good, old, new, 1)
	}
	waves := func(s string) string { return textHead + textRow("15 50", "330 7.0 8.8 "+s) }
	for _, tc := range []struct {
		name, raw string
		status    string
		why       Why
	}{
		{"nothing", "", "refused", Unreadable},
		{"space", " \n\r\n", "refused", Unreadable},
		{"a page of markup", "\n<!DOCTYPE html><html>404</html>", "refused", Unreadable},
		{"JSON", `{"error":true}`, "refused", Unreadable},
		{"a file without names", row, "refused", Unreadable},
		{"a file of before 2007, without units", strings.TrimPrefix(strings.SplitAfterN(good, "\n", 2)[0], "#") + row, "refused", Unreadable},
		{"names and no units", strings.SplitAfterN(good, "\n", 2)[0] + row, "refused", WrongUnits},
		{"feet", swap("m/s     m ", "m/s    ft "), "refused", WrongUnits},
		{"knots", swap("degT m/s ", "degT kts "), "refused", WrongUnits},
		{"fewer units than names", swap("  hPa    ft\n", "  hPa\n"), "refused", WrongShape},
		{"a column twice", swap(" DEWP ", " WVHT "), "refused", WrongShape},
		{"no wave height", swap(" WVHT ", " WVHX "), "refused", WrongShape},
		{"no peak period", swap(" DPD ", " DPX "), "refused", WrongShape},
		{"no minutes", swap(" mm WDIR", " nn WDIR"), "refused", WrongShape},
		{"a wave summary", specHead + "2026 12 06 15 40  5.2  5.0 16.0  1.3  4.8  NW NNW      SWELL  9.9 312\n", "refused", WrongShape},
		{"a list of stations", latestSample, "refused", WrongShape},
		{"a short row", swap("   MM    MM\n", "\n"), "refused", WrongShape},
		{"a sentence glued on", good + "Internal Server Error\n", "refused", WrongShape},
		{"markup glued on", good + "<html>\n", "refused", WrongShape},
		{"cut off within a number", good[:len(good)-2], "refused", WrongShape},
		{"rows out of order", good + row, "refused", WrongShape},
		{"a time twice", textHead + row + row, "refused", WrongShape},
		{"a month of 13", swap("2026 12 06", "2026 13 06"), "refused", WrongValue},
		{"the 31st of November", swap("2026 12 06", "2026 11 31"), "refused", WrongValue},
		{"an hour of 24", swap("06 15 50", "06 24 50"), "refused", WrongValue},
		{"a year of two digits", swap("2026 12 06", "98 12 06"), "refused", WrongValue},
		{"a time with a fraction", swap("06 15 50", "06 15 5.5"), "refused", WrongShape},
		{"a word among the numbers", waves("high 16 9.9 312"), "refused", WrongShape},
		{"NaN", waves("NaN 16 9.9 312"), "refused", WrongShape},
		{"Inf", waves("Inf 16 9.9 312"), "refused", WrongShape},
		{"hexadecimal", waves("0x5 16 9.9 312"), "refused", WrongShape},
		{"two points", waves("5.2.1 16 9.9 312"), "refused", WrongShape},
		{"a negative height", waves("-5.2 16 9.9 312"), "refused", WrongValue},
		{"a height that no sea has", waves("36 16 9.9 312"), "refused", WrongValue},
		{"a period of minutes", waves("5.2 99 99.0 312") + textRow("15 40", "330 7.0 8.8 5.2 61 9.9 312"), "refused", WrongValue},
		{"a direction of 361", waves("5.2 16 9.9 361"), "refused", WrongValue},
		{"another column's nines", waves("999 16 9.9 312"), "refused", WrongValue},
		{"an observation from the future", textHead + textRow("16 51", "330 7.0 8.8 5.2 16 9.9 312"), "refused", WrongValue},
		{"names and no rows", textHead, "unknown", AllNull},
		{"no height in any row", waves("MM MM MM MM"), "unknown", AllNull},
		{"zero in every row", waves("0.0 MM MM MM"), "unknown", AllZero},
		{"zeros and nothing", waves("0.0 5 4 3") + textRow("15 40", "330 7.0 8.8 MM MM MM MM"), "unknown", AllZero},
	} {
		t.Run(tc.name, func(t *testing.T) {
			b, err := DecodeBuoyText([]byte(tc.raw), bigSwell)
			if err == nil || b.Observations != nil {
				t.Fatalf("DecodeBuoyText = %d observations, %v, want an error", len(b.Observations), err)
			}
			wantStatus(t, err, tc.status, tc.why)
		})
	}
	t.Run("three hours are the limit", func(t *testing.T) {
		if _, err := DecodeBuoyText([]byte(good), bigSwell.Add(3*time.Hour)); err != nil {
			t.Errorf("DecodeBuoyText at 3 h = %v, want nil", err)
		}
		_, err := DecodeBuoyText([]byte(good), bigSwell.Add(3*time.Hour+time.Second))
		wantStatus(t, err, "unknown", TooOld)
	})
	t.Run("fresh wind does not make old waves fresh", func(t *testing.T) {
		raw := textHead + textRow("19 00", "330 7.0 8.8 MM MM MM MM") + row
		_, err := DecodeBuoyText([]byte(raw), ts("2026-12-06T19:05:00Z"))
		wantStatus(t, err, "unknown", TooOld)
	})
}

func TestBuoyTextInItsOtherForms(t *testing.T) {
	newer, older := textRow("15 50", "330  7.0  8.8   5.2    16    9.9 312"), textRow("15 40", "330  7.0  8.8   5.1    MM    9.9 312")
	want := mustBuoy(t, textHead+newer+older, bigSwell)
	for name, raw := range map[string]string{
		"oldest first, as the yearly files": textHead + older + newer,
		"no end to the last row":            textHead + newer + strings.TrimSuffix(older, "\n"),
		"carriage returns":                  strings.ReplaceAll(textHead+newer+older, "\n", "\r\n"),
		"a mark of byte order":              "\ufeff" + textHead + newer + older,
		"a year of four letters":            strings.Replace(textHead, "#YY  ", "#YYYY ", 1) + newer + older,
		"remarks and empty rows":            textHead + "# adrift since noon\n" + newer + "\n" + older + "#\n",
		"a column we do not know":           strings.NewReplacer("TIDE", "TIDE FOAM", "    ft", "    ft   kg", "    MM\n", "    MM 1x\n").Replace(textHead + newer + older),
	} {
		t.Run(name, func(t *testing.T) {
			got := mustBuoy(t, raw, bigSwell)
			if len(got.Observations) != 2 || !got.Observations[0].At.Equal(want.Observations[0].At) || *got.Observations[0].Hs != 5.1 || *got.Latest.Hs != 5.2 {
				t.Errorf("DecodeBuoyText = %+v, want %+v", got, want)
			}
		})
	}
}

func TestDecodeBuoySpec(t *testing.T) {
	b, err := DecodeBuoySpec(sample(t, "46xxx_big_swell.constructed.spec"), bigSwell)
	if err != nil {
		t.Fatalf("DecodeBuoySpec: %v", err)
	}
	if len(b.Observations) != 48 || b.Age != 10*time.Minute {
		t.Fatalf("%d observations, the newest %v old, want 48, 10m", len(b.Observations), b.Age)
	}
	o := b.Latest // 2026 12 06 15 40  5.2  5.0 16.0  1.3  4.8  NW NNW      SWELL  9.9 312
	if *o.Hs != 5.2 || o.Swell.Hs != 5 || *o.Swell.Period != 16 || *o.Swell.From != 315 || o.WindSea.Hs != 1.3 || *o.WindSea.Period != 4.8 ||
		*o.WindSea.From != 337.5 || o.Steepness != "SWELL" || *o.Mean != 9.9 || *o.From != 312 || o.Wind != nil {
		t.Errorf("newest = %+v, swell %+v, wind sea %+v", o, *o.Swell, *o.WindSea)
	}
	if _, err := DecodeBuoySpec(sample(t, "46xxx_big_swell.constructed.txt"), bigSwell); err == nil {
		t.Error("DecodeBuoySpec of a .txt = nil error, want one")
	}
}

func TestBuoySpecRows(t *testing.T) {
	one := func(t *testing.T, values string) Observation {
		t.Helper()
		b, err := DecodeBuoySpec([]byte(specHead+"2026 12 06 15 40 "+values+"\n"), bigSwell)
		if err != nil {
			t.Fatalf("DecodeBuoySpec: %v", err)
		}
		return b.Observations[0]
	}
	for _, tc := range []struct {
		name, values string
		peak         float64 // 0: not known
	}{
		{"the peak is the swell's, on whose direction it falls", "1.2 0.6 7.7 1.0 6.2 SE WSW AVERAGE 4.3 146", 7.7},
		{"the peak is the wind sea's", "1.2 0.6 8.3 1.0 5.9 SE SSW STEEP 4.5 209", 5.9},
		{"directions too near to tell", "1.6 1.3 12.0 1.0 4.5 NW NNW AVERAGE 7.4 326", 0},
		{"neither direction", "1.6 1.3 12.0 1.0 4.5 N S AVERAGE 7.4 90", 0},
		{"no swell found", "1.1 0.0 MM 1.1 6.2 MM SSW STEEP 4.3 212", 6.2},
		{"no wind sea found", "1.1 1.1 9.2 0.0 MM SSW MM SWELL 4.3 212", 9.2},
		{"a swell not given is not none", "1.1 MM MM 1.1 6.2 MM SSW STEEP 4.3 212", 0},
		{"no directions measured", "1.2 0.6 7.7 1.0 6.2 MM MM AVERAGE 4.3 MM", 0},
		{"one direction measured does not exclude the other", "1.2 0.6 7.7 1.0 6.2 SE MM AVERAGE 4.3 140", 0},
	} {
		t.Run(tc.name, func(t *testing.T) {
			o := one(t, tc.values)
			if got := o.Peak; got == nil && tc.peak != 0 || got != nil && float64(*got) != tc.peak {
				t.Errorf("peak = %v, want %v", got, tc.peak)
			}
		})
	}
	t.Run("none of a kind, and what is not given, are absent", func(t *testing.T) {
		if o := one(t, "1.1 0.0 MM 1.1 6.2 MM SSW N/A 4.3 -99"); o.Swell != nil || o.WindSea == nil || o.Steepness != "" || o.From != nil {
			t.Errorf("observation = %+v, want no swell, no steepness, no direction", o)
		}
		if o := one(t, "1.1 0.5 MM 1.0 MM -99 NO MM MM MM"); o.Swell.Period != nil || o.Swell.From != nil || o.WindSea.Period != nil || o.WindSea.From != nil || o.Mean != nil {
			t.Errorf("observation = %+v, swell %+v, want heights alone", o, *o.Swell)
		}
	})
	t.Run("sixteen points", func(t *testing.T) {
		for i, p := range compassPoints {
			o := one(t, fmt.Sprintf("1.1 0.5 9 1.0 5 %s S AVERAGE 4.3 180", p))
			if want := measure.From(22.5 * float64(i)); *o.Swell.From != want {
				t.Errorf("%s = %v, want %v", p, *o.Swell.From, want)
			}
		}
	})
	t.Run("a total of zero takes its parts along", func(t *testing.T) {
		raw := specHead + "2026 12 06 15 40 1.1 0.5 9 1.0 5 N S AVERAGE 4.3 180\n2026 12 06 14 40 0.0 0.5 9 1.0 5 N S AVERAGE 4.3 180\n"
		b, err := DecodeBuoySpec([]byte(raw), bigSwell)
		if err != nil || b.Observations[0].Swell != nil || b.Observations[0].Peak != nil || b.Observations[0].Steepness != "" {
			t.Errorf("DecodeBuoySpec = %+v, %v, want nothing in the older row", b, err)
		}
	})
}

// Recorded from NDBC by others (Unidata/siphon, BSD-3-Clause; CDJellen/ndbc-api, MIT; data public domain).
func TestRealBuoys(t *testing.T) {
	now := ts("2018-08-01T15:12:00Z")
	b, err := DecodeBuoyText(recordedByOthers(t, "ndbc/41002_20180801.txt"), now)
	if err != nil {
		t.Fatalf("DecodeBuoyText: %v", err)
	}
	heights, peaks := 0, 0
	for _, o := range b.Observations {
		if o.Hs != nil {
			heights++
		}
		if o.Peak != nil {
			peaks++
		}
	}
	if len(b.Observations) != 300 || heights != 68 || peaks != 52 {
		t.Errorf("%d rows, %d heights, %d peaks, want 300, 68, 52 (counted in the file by column)", len(b.Observations), heights, peaks)
	}
	if l := b.Latest; *l.Hs != 1.2 || *l.Peak != 6 || *l.Mean != 4.5 || *l.From != 209 || b.Age != 22*time.Minute {
		t.Errorf("latest = %+v aged %v, want 1.2 m, 6 s, 4.5 s, 209, 22m", l, b.Age)
	}
	t.Run("the wave summary tells the peak period that the other file has", func(t *testing.T) {
		s, err := DecodeBuoySpec(recordedByOthers(t, "ndbc/41002_20180801.spec"), now)
		if err != nil {
			t.Fatalf("DecodeBuoySpec: %v", err)
		}
		if len(s.Observations) != 120 {
			t.Errorf("%d observations, want 120", len(s.Observations))
		}
		peakOf := map[time.Time]float64{}
		for _, o := range b.Observations {
			if o.Peak != nil {
				peakOf[o.At.Truncate(time.Hour)] = float64(*o.Peak)
			}
		}
		near := func(p *measure.Seconds, whole float64) bool {
			return p != nil && math.Abs(float64(*p)-whole) <= 0.5+1e-9 // the other file rounds to whole seconds
		}
		hours, oneOfTwo, told, right := 0, 0, 0, 0
		for _, o := range s.Observations {
			whole, ok := peakOf[o.At.Truncate(time.Hour)]
			if !ok {
				continue
			}
			hours++
			if o.Swell != nil && near(o.Swell.Period, whole) || o.WindSea != nil && near(o.WindSea.Period, whole) {
				oneOfTwo++
			}
			if o.Peak != nil {
				told++
				if near(o.Peak, whole) {
					right++
				}
			}
		}
		if hours != 52 || oneOfTwo != 52 || told != 44 || right != 44 {
			t.Errorf("%d hours, %d with one of the two periods, %d told, %d rightly, want 52, 52, 44, 44", hours, oneOfTwo, told, right)
		}
	})
	t.Run("a summary whose steepness is not given", func(t *testing.T) {
		s, err := DecodeBuoySpec(recordedByOthers(t, "ndbc/44013_20220605.spec"), ts("2022-06-05T13:00:00Z"))
		if err != nil {
			t.Fatalf("DecodeBuoySpec: %v", err)
		}
		steep := map[string]int{}
		for _, o := range s.Observations {
			steep[o.Steepness]++
		}
		if len(s.Observations) != 70 || *s.Latest.Hs != 0.5 || *s.Latest.Swell.From != 90 || *s.Latest.WindSea.From != 292.5 || steep[""] == 0 || steep["N/A"] != 0 || steep["VERY_STEEP"] == 0 {
			t.Errorf("%d observations, latest %+v, steepness %v", len(s.Observations), s.Latest, steep)
		}
	})
	t.Run("a yearly file filled with nines has wind and no waves", func(t *testing.T) {
		raw := recordedByOthers(t, "ndbc/tplm2_hist_2020_nine_filled.txt")
		_, err := DecodeBuoyText(raw, ts("2020-01-03T09:30:00Z"))
		wantStatus(t, err, "unknown", AllNull)
		table, err := readBuoyTable(raw, false)
		if err != nil {
			t.Fatalf("readBuoyTable: %v", err)
		}
		obs := table.observations()
		if o := obs[0]; len(obs) != 58 || *o.Wind != 6.1 || *o.WindFrom != 188 || *o.PressureHPa != 1006.1 || *o.WaterTempC != 6.6 || o.Hs != nil || o.From != nil {
			t.Errorf("%d rows, first %+v, want 58 with wind 6.1 from 188 and no waves", len(obs), o)
		}
	})
}

// Wherever a live file is cut, it is refused or what is left of it is true: no number loses a digit.
func TestBuoyTextCutAnywhere(t *testing.T) {
	raw := sample(t, "46xxx_big_swell.constructed.txt")[:1200]
	whole := mustBuoy(t, string(raw[:bytes.LastIndexByte(raw, '\n')+1]), bigSwell)
	byTime := map[time.Time]Observation{}
	for _, o := range whole.Observations {
		byTime[o.At] = o
	}
	read := 0
	for n := range raw {
		b, err := DecodeBuoyText(raw[:n], bigSwell)
		if err != nil {
			continue
		}
		read++
		for _, o := range b.Observations {
			w := byTime[o.At]
			if (o.Hs == nil) != (w.Hs == nil) || o.Hs != nil && (*o.Hs != *w.Hs || *o.From != *w.From) {
				t.Fatalf("cut at %d: %+v, want %+v", n, o, w)
			}
		}
	}
	if read < 8 { // after a whole row, and before and after its end
		t.Errorf("%d cuts were read, want some", read)
	}
}
