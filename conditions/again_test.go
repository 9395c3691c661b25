package conditions

import (
	"errors"
	"math/rand/v2"
	"testing"
	"time"

	"ledgehand/conditions/ledge"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/tide"
)

// From whenever and with whatever step: the times lie ahead, far enough apart, each at a turn of the tide or on water that has
// risen by the step over all that was watched or told of; and no such rise stands for longer than that without one.
func TestWatchAgain(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 1))
	p, err := tide.Open(arenaCove)
	if err != nil {
		t.Fatal(err)
	}
	turns, rises := 0, 0
	for range 300 {
		from := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC).Add(time.Duration(rng.Int64N(int64(60 * 24 * time.Hour)))).Truncate(time.Second)
		until, step := from.Add(24*time.Hour), leastRise+measure.Metres(rng.Float64())*(mostRise-leastRise)
		got, err := WatchAgain(arenaCove, from, until, step)
		if err != nil {
			t.Fatal(err)
		}
		last, top, k := from, p.Height(from), 0
		for at := from; !at.After(until); at = at.Add(time.Minute) {
			for k < len(got) && !got[k].At.After(at) {
				a := got[k]
				k++
				h := p.Height(a.At)
				if a.At.Sub(last) < AgainAfter || a.At.After(until) {
					t.Fatalf("from %v: %v after the one at %v", from, a.At, last)
				}
				if d := a.Rise - (h - p.Height(from)); d > 0.01 || d < -0.01 {
					t.Fatalf("at %v: rise %v, off by %v", a.At, a.Rise, d)
				}
				if a.Turn != "" {
					turns++
					if es := p.Extremes(a.At.Add(-time.Minute), a.At.Add(time.Minute)); len(es) != 1 || es[0].Kind != a.Turn {
						t.Fatalf("at %v no %s water", a.At, a.Turn)
					}
				} else if rises++; h-top < step-0.001 {
					t.Fatalf("at %v the water is %v over what was known, want %v", a.At, h-top, step)
				}
				last, top = a.At, max(top, h)
			}
			if h := p.Height(at); h-top > step+0.1 && at.Sub(last) > AgainAfter+6*time.Minute && p.Height(at.Add(-10*time.Minute)) < h {
				t.Fatalf("from %v, step %v: at %v the water is %v over what was known and nothing was said since %v", from, step, at, h-top, last)
			}
		}
	}
	if turns < 300 || rises < 100 {
		t.Errorf("%d turns and %d rises in 300 days: the test proves little", turns, rises)
	}
}

func TestWatchAgainKnowsItsBounds(t *testing.T) {
	now := time.Date(2026, 3, 14, 15, 0, 0, 0, time.UTC)
	var unknown tide.UnknownStationError
	if _, err := WatchAgain("nowhere", now, now.Add(time.Hour), 0.3); !errors.As(err, &unknown) {
		t.Errorf("WatchAgain(nowhere) = %v", err)
	}
	if _, err := AgainNow("nowhere", now, now); !errors.As(err, &unknown) {
		t.Errorf("AgainNow(nowhere) = %v", err)
	}
	for _, until := range []time.Time{now, now.Add(-time.Hour), now.Add(AgainAfter - time.Minute)} {
		if got, err := WatchAgain(arenaCove, now, until, 0.3); err != nil || len(got) != 0 {
			t.Errorf("until %v: %v, %v, want none", until, got, err)
		}
	}
	got, err := WatchAgain(arenaCove, now, now.Add(24*time.Hour), 0.3)
	if err != nil || len(got) == 0 {
		t.Fatal(got, err)
	}
	for _, a := range got {
		is, err := AgainNow(arenaCove, now, a.At)
		if d := is.Rise - a.Rise; err != nil || d > 0.01 || d < -0.01 || is.Turn != a.Turn {
			t.Errorf("AgainNow at %v = %+v, %v, want %+v", a.At, is, err, a)
		}
	}
}

func TestRiseToWatch(t *testing.T) {
	now := time.Date(2026, 3, 14, 15, 0, 0, 0, time.UTC)
	wall := ledge.Card{FaceSlope: new(float64)}
	for _, tt := range []struct {
		name   string
		hs, rc measure.Metres
		want   measure.Metres
	}{
		{"SeaNotKnown", 0, 3, usualRise}, {"LipNotKnown", 1.5, 0, usualRise}, {"UnderWater", 1.5, -0.5, usualRise},
		{"AsWorkedOut", 1.5, 3, 0.2236}, // ledge.RiseThatDoubles
		{"ALipFarUp", 1, 6, leastRise},  // 0.05 m double next to nothing
		{"Awash", 2, 1, mostRise},
	} {
		if got := RiseToWatch(wall, nil, tt.hs, 12, tt.rc, now); got-tt.want > 0.001 || tt.want-got > 0.001 {
			t.Errorf("%s: rise %v, want %v", tt.name, got, tt.want)
		}
	}
	var wet []ledge.Observation
	for range 6 {
		wet = append(wet, ledge.Counted(now, 20, 12, ledge.Span{Minutes: 20, Hs: 1.2, Tz: 9, Rc: 3}))
	}
	if dry, got := RiseToWatch(wall, nil, 1.2, 12, 3, now), RiseToWatch(wall, wet, 1.2, 12, 3, now); got <= dry {
		t.Errorf("rise %v on a ledge that runs up more than the textbook, %v on one nobody watched: a wetter one doubles slower", got, dry)
	}
}
