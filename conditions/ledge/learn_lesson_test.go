package ledge

import (
	"encoding/json"
	"math"
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

func summarise(t *testing.T, seen ...Observation) Lesson {
	t.Helper()
	l, err := Summarise(uncalibrated, seen, time.Time{})
	if err != nil {
		t.Fatalf("Summarise = %v, want a lesson", err)
	}
	return l
}

func TestSummarise(t *testing.T) {
	t.Run("NoWatchIsTheTextbook", func(t *testing.T) {
		l := summarise(t)
		if l.Watches != 0 || math.Abs(l.Factor-1) > 1e-6 || l.Calibrated || len(l.Swells) != 0 {
			t.Errorf("Summarise of nothing = %+v, want factor 1, not calibrated", l)
		}
		if math.Abs(math.Log(l.High/l.Low)/2-1.645*DefaultSigmaKappa) > 0.01 {
			t.Errorf("Summarise of nothing: factor from %v to %v, want the prior's nine in ten", l.Low, l.High)
		}
	})
	t.Run("TheTruthComesOut", func(t *testing.T) {
		// 150 waves of 20 min, freeboard twice Hs: at 0.8 of the textbook's run-up 150 exp(-2 (2/(0.8*1.287))²) = 0.08 of them wash.
		for _, tt := range []struct{ factor, minutes float64 }{{0.8, 2000}, {1, 1000}, {1.3, 200}} {
			k := tt.minutes * 60 / 8 * math.Exp(-2*math.Pow(2/(tt.factor*VerticalKappa), 2))
			var seen []Observation
			for range 8 {
				seen = append(seen, watched(int(math.Round(k)), tt.minutes))
			}
			l := summarise(t, seen...)
			if math.Abs(l.Factor/tt.factor-1) > 0.03 || !l.Calibrated || l.Watches != 8 || l.Wet != 8 {
				t.Errorf("Summarise of 8 watches at %v of the textbook = %+v", tt.factor, l)
			}
			if !(l.Low < l.Factor && l.Factor < l.High) || math.Abs(l.Kappa/l.Factor/VerticalKappa-1) > 1e-9 {
				t.Errorf("Summarise = %+v, want the factor within its interval and kappa behind it", l)
			}
		}
	})
	t.Run("DryWatchesFarBelowTheLipAreNoCalibration", func(t *testing.T) {
		var seen []Observation
		for range 30 {
			o := watched(0, 20)
			o.Spans[0].Rc = 9
			seen = append(seen, o)
		}
		if l := summarise(t, seen...); l.Calibrated || l.Spread < 0.3 || l.Wet != 0 {
			t.Errorf("Summarise of 30 watches that could show nothing = %+v, want no calibration", l)
		}
	})
	t.Run("FewWatchesAreNoCalibration", func(t *testing.T) {
		seen := []Observation{watched(3, 60), watched(3, 60), watched(3, 60), watched(3, 60)}
		if l := summarise(t, seen...); l.Calibrated {
			t.Errorf("Summarise of 4 = %+v, want not calibrated", l)
		}
		if l := summarise(t, append(seen, watched(3, 60))...); !l.Calibrated {
			t.Errorf("Summarise of 5 = %+v, want calibrated", l)
		}
	})
	t.Run("ContradictedIsSaid", func(t *testing.T) {
		var seen []Observation
		for range 6 {
			seen = append(seen, Observation{Washes: 400, Spans: []Span{{Minutes: 60, Hs: 0.2, Tz: 8, Rc: 8}}})
		}
		if l := summarise(t, seen...); !l.Contradicted || l.Calibrated {
			t.Errorf("Summarise of what cannot be = %+v, want it contradicted", l)
		}
	})
	t.Run("SwellsOfTheirOwn", func(t *testing.T) {
		var seen []Observation
		for range 5 {
			west, south := inSwell(265), inSwell(190)
			west.Washes, west.Spans[0].Minutes = 12, 60
			seen = append(seen, west, south)
		}
		l := summarise(t, seen[:8]...)
		if len(l.Swells) != 0 {
			t.Errorf("Summarise with 4 a swell = %+v, want none on its own", l.Swells)
		}
		l = summarise(t, seen...)
		if len(l.Swells) != 2 || l.Swells[0].From != 180 || l.Swells[1].From != 270 || l.Watches != 10 {
			t.Fatalf("Summarise of 5 in each of two swells = %+v, want south and west on their own", l)
		}
		s, w := l.Swells[0], l.Swells[1]
		if !(s.Factor < l.Factor && l.Factor < w.Factor) || s.Watches != 5 || s.Wet != 0 || w.Wet != 5 {
			t.Errorf("south %+v, west %+v, together %+v; want the dry one below and the wet one above", s.Lesson, w.Lesson, l)
		}
	})
}

func TestReported(t *testing.T) {
	spans := []Span{{Minutes: 60, Hs: 1.5, Tz: 8, Rc: 3}, {Minutes: 60, Hs: 1.5, Tz: 8, Rc: 3.4}}
	dry, wet := Reported(time.Time{}, 0, 12, spans...), Reported(time.Time{}, ReportedOnce, 12, spans...)
	counted := Counted(time.Time{}, 40, 12, spans...)
	often := Reported(time.Time{}, ReportedOften, 12, spans...)
	if o := learn(t, often); !(learn(t, wet).Median < o.Median) {
		t.Errorf("median %v of often, %v of once or twice", o.Median, learn(t, wet).Median)
	}
	none, d, w, c := learn(t), learn(t, dry), learn(t, wet), learn(t, counted)
	if !(d.Median < none.Median && none.Median < w.Median && w.Median < c.Median) {
		t.Errorf("median %v dry, %v before, %v washed, %v washed forty times; want them to rise in this order", d.Median, none.Median, w.Median, c.Median)
	}
	if !(w.Spread > c.Spread) {
		t.Errorf("spread %v of a report, %v of a count, want a report to say less", w.Spread, c.Spread)
	}
	// Poisson's chance of one or more: nothing but -mu and ln(1-e^-mu) of the two spans together, tempered.
	mu := func(k float64) float64 {
		return 450 * (math.Exp(-2*math.Pow(2/k, 2)) + math.Exp(-2*math.Pow(3.4/1.5/k, 2)))
	}
	for _, k := range []float64{0.6, 1, 1.3, 2} {
		for _, tt := range []struct {
			o    Observation
			want float64
		}{
			{dry, -mu(k) / (ReportDoubt * PhiSwell)}, {wet, math.Log(1-math.Exp(-mu(k))) / (ReportDoubt * PhiSwell)},
			{often, math.Log(1-math.Exp(-mu(k))*(1+mu(k)+mu(k)*mu(k)/2)) / (ReportDoubt * PhiSwell)},
		} {
			e := tt.o.evidence(time.Time{})
			if got := e.logLikelihood(k); math.Abs(got-tt.want) > 1e-7*math.Abs(tt.want) {
				t.Errorf("log-likelihood of %+v at %v = %v, want %v", tt.o, k, got, tt.want)
			}
		}
	}
	for peak, want := range map[float64]float64{0: PhiSwell, 6: PhiWindSea, 9.9: PhiWindSea, 10: PhiSwell, 16: PhiSwell} {
		if got := Reported(time.Time{}, ReportedOnce, measure.Seconds(peak)).Phi; got != want*ReportDoubt {
			t.Errorf("overdispersion at a peak of %v s = %v, want %v", peak, got, want*ReportDoubt)
		}
	}
}

// What a report is worth: in no sea more than a watch over the same hours, not even beside nine short ones; and dry it lowers what is
// believed, without ever lowering it by more than they.
func TestAReportSaysLessThanAWatchOfTheSameHours(t *testing.T) {
	for _, hs := range []float64{0.8, 1.2, 1.5, 2, 3} {
		for _, rc := range []float64{2, 3, 4, 6} {
			for _, sigma := range []float64{0, 0.14} {
				span := func(min float64) Span {
					return Span{Minutes: min, Hs: measure.Metres(hs), Tz: 9, Rc: measure.Metres(rc)}
				}
				doubted := func(o Observation) Observation { o.Sigma = sigma; return o }
				none := learn(t)
				report := learn(t, doubted(Reported(time.Time{}, 0, 12, span(60), span(60), span(60))))
				watch := learn(t, doubted(Counted(time.Time{}, 0, 12, span(180))))
				if !(watch.Median <= report.Median+1e-9 && report.Median <= none.Median+1e-9) {
					t.Errorf("Hs %v, Rc %v, error %v: median %v before, %v after a dry report, %v after as much watching; want the report between", hs, rc, sigma, none.Median, report.Median, watch.Median)
				}
				var nine []Observation
				for range 9 {
					nine = append(nine, doubted(Counted(time.Time{}, 0, 12, span(20))))
				}
				if nine := learn(t, nine...); report.Median < nine.Median-1e-9 {
					t.Errorf("Hs %v, Rc %v, error %v: median %v after a dry report of 3 h, %v after nine dry watches of 20 min", hs, rc, sigma, report.Median, nine.Median)
				}
				// Water that was seen once in a watch of three hours says more than water that was told of.
				wet, once := learn(t, doubted(Reported(time.Time{}, ReportedOnce, 12, span(180)))), learn(t, doubted(Counted(time.Time{}, 1, 12, span(180))))
				if !once.Contradicted && once.Spread > wet.Spread+1e-9 {
					t.Errorf("Hs %v, Rc %v, error %v: spread %v after a report, %v after a count", hs, rc, sigma, wet.Spread, once.Spread)
				}
			}
		}
	}
}

func TestReportsAreCountedApart(t *testing.T) {
	span := Span{Minutes: 120, Hs: 1.5, Tz: 9, Rc: 3}
	l, err := Summarise(uncalibrated, []Observation{watched(0, 20), Reported(time.Time{}, ReportedOften, 12, span), Reported(time.Time{}, 0, 12, span)}, time.Time{})
	if err != nil || l.Watches != 3 || l.Reports != 2 || l.Wet != 1 {
		t.Errorf("%d in all, %d reports, %d wet, %v; want 3, 2, 1", l.Watches, l.Reports, l.Wet, err)
	}
}

// An observation stored before directions and errors were kept still decodes, and says only what it knows.
func TestOldObservationsDecode(t *testing.T) {
	const old = `{"at":"2026-03-14T06:00:00Z","k":2,"spans":[{"minutes":20,"hs_m":1.5,"tz_s":8,"rc_m":3}]}`
	var o Observation
	if err := json.Unmarshal([]byte(old), &o); err != nil {
		t.Fatal(err)
	}
	if o.swellFrom() != nil || o.Sigma != 0 || o.AtLeast {
		t.Errorf("decoded %+v, want no direction, no error, a count", o)
	}
	want := watched(2, 20)
	if got, want := learn(t, o), learn(t, want); got.Median != want.Median {
		t.Errorf("median %v of the stored one, want %v", got.Median, want.Median)
	}
	b, err := json.Marshal(doubted(inSwell(280), 0.14))
	if err != nil {
		t.Fatal(err)
	}
	var back Observation
	if err := json.Unmarshal(b, &back); err != nil || back.Sigma != 0.14 || *back.swellFrom() != 280 {
		t.Errorf("%s came back as %+v, %v", b, back, err)
	}
}
