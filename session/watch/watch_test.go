package watch

import (
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"
)

var t0 = time.Date(2026, 3, 14, 5, 30, 0, 0, time.UTC)

const ana, bram = 11, 12

func began(t testing.TB, length time.Duration) Watch {
	t.Helper()
	w, err := New(Watch{ID: "w1", Crew: "g1", Chat: -500, Ledge: "Anvil", By: ana, ByName: "Ana", Length: length}, t0)
	if err != nil {
		t.Fatalf("New(%v) = %v, want a watch", length, err)
	}
	return w
}

func told(es []Effect) string {
	s := ""
	for _, e := range es {
		s += fmt.Sprintf("%s%d ", e.Kind, e.N)
	}
	return s
}

func TestLengths(t *testing.T) {
	for _, tt := range []struct {
		length time.Duration
		want   error
	}{
		{Shortest - time.Second, ErrTooShort}, {0, ErrTooShort}, {-time.Hour, ErrTooShort},
		{Shortest, nil}, {Usual, nil}, {Longest, nil}, {Longest + time.Second, ErrTooLong},
	} {
		w, err := New(Watch{Length: tt.length}, t0)
		if !errors.Is(err, tt.want) {
			t.Errorf("New(%v) = %v, want %v", tt.length, err, tt.want)
		}
		if err == nil && (!w.StartedAt.Equal(t0) || w.V != Version) {
			t.Errorf("New(%v) starts at %v in version %d, want %v and %d", tt.length, w.StartedAt, w.V, t0, Version)
		}
	}
}

func TestPromptsAtThirdsAndTheResultAtTheEnd(t *testing.T) {
	w := began(t, 21*time.Minute)
	for _, step := range []struct {
		minute int
		want   string
	}{{7, "prompt1 "}, {14, "prompt2 "}, {21, "result0 "}} {
		at := t0.Add(time.Duration(step.minute) * time.Minute)
		if next := w.NextLook(); !next.Equal(at) {
			t.Fatalf("NextLook() = %v, want minute %d", next, step.minute)
		}
		if _, es := w.Tick(at.Add(-time.Nanosecond)); len(es) != 0 {
			t.Errorf("Tick just before minute %d says %s, want nothing", step.minute, told(es))
		}
		var es []Effect
		if w, es = w.Tick(at); told(es) != step.want {
			t.Errorf("Tick at minute %d says %q, want %q", step.minute, told(es), step.want)
		}
		if _, es := w.Tick(at); len(es) != 0 {
			t.Errorf("Tick twice at minute %d says %s again, want nothing", step.minute, told(es))
		}
	}
	if !w.NextLook().IsZero() {
		t.Errorf("NextLook() of an ended watch = %v, want none", w.NextLook())
	}
	if w.Stopped || !w.EndedAt.Equal(t0.Add(21*time.Minute)) {
		t.Errorf("ended at %v, stopped %v; want its own end, not stopped", w.EndedAt, w.Stopped)
	}
	if _, es := w.Tick(t0.Add(24 * time.Hour)); len(es) != 0 {
		t.Errorf("Tick of an ended watch says %s, want nothing", told(es))
	}
}

func TestAfterAnOutageOnlyTheNewestIsSaid(t *testing.T) {
	for _, tt := range []struct {
		minute int
		want   string
	}{{13, "prompt1 "}, {20, "prompt2 "}, {21, "result0 "}, {600, "result0 "}} {
		w, es := began(t, 21*time.Minute).Tick(t0.Add(time.Duration(tt.minute) * time.Minute))
		if told(es) != tt.want {
			t.Errorf("first Tick at minute %d says %q, want %q", tt.minute, told(es), tt.want)
		}
		if w.EndedAt.IsZero() == (tt.minute >= 21) || w.EndedAt.After(t0.Add(21*time.Minute)) {
			t.Errorf("first Tick at minute %d ends it at %v, want its own end if any: nobody watched longer", tt.minute, w.EndedAt)
		}
	}
}

func TestStopEarlyCountsForAsLongAsItWas(t *testing.T) {
	w, es, err := began(t, Usual).Stop(ana, t0.Add(16*time.Minute))
	if err != nil || told(es) != "result0 " || !w.Stopped {
		t.Fatalf("Stop() = stopped %v, %q, %v; want stopped, the result", w.Stopped, told(es), err)
	}
	if got := w.Watched(t0.Add(5 * time.Hour)); got != 16*time.Minute {
		t.Errorf("Watched() = %v, want the 16 minutes it was watched", got)
	}
	late, _, err := began(t, Usual).Stop(ana, t0.Add(25*time.Minute))
	if err != nil || late.Stopped {
		t.Errorf("Stop() after its time = stopped %v, %v; want an ordinary end", late.Stopped, err)
	}
	if got := late.Watched(t0.Add(time.Hour)); got != Usual {
		t.Errorf("Watched() = %v, want no more than its length %v", got, Usual)
	}
	if got := began(t, Usual).Watched(t0.Add(4 * time.Minute)); got != 4*time.Minute {
		t.Errorf("Watched() of a running watch = %v, want the 4 minutes so far", got)
	}
}

func TestWaves(t *testing.T) {
	w := began(t, Usual)
	one, err := w.Wave(ana, t0.Add(time.Minute))
	if err != nil {
		t.Fatal(err)
	}
	two, err := one.Wave(ana, t0.Add(2*time.Minute))
	if err != nil {
		t.Fatal(err)
	}
	other, err := one.Wave(ana, t0.Add(3*time.Minute))
	if err != nil {
		t.Fatal(err)
	}
	if len(w.Waves) != 0 || len(one.Waves) != 1 || len(two.Waves) != 2 || !two.Waves[1].Equal(t0.Add(2*time.Minute)) || !other.Waves[1].Equal(t0.Add(3*time.Minute)) {
		t.Errorf("waves = %v, %v, %v, %v; want none, one, two, and none changed behind its owner", w.Waves, one.Waves, two.Waves, other.Waves)
	}
	back, err := two.Unwave(ana)
	if err != nil || len(back.Waves) != 1 || !back.Waves[0].Equal(t0.Add(time.Minute)) {
		t.Errorf("Unwave() = %v, %v, want the first wave left", back.Waves, err)
	}
	if none, err := w.Unwave(ana); err != nil || len(none.Waves) != 0 {
		t.Errorf("Unwave() of none = %v, %v, want none and no error", none.Waves, err)
	}
}

func TestOnlyItsKeeperAndOnlyWhileItRuns(t *testing.T) {
	running := began(t, Usual)
	stopped, _, err := running.Stop(ana, t0.Add(time.Minute))
	if err != nil {
		t.Fatal(err)
	}
	ran, _ := running.Tick(t0.Add(time.Hour))
	for _, tt := range []struct {
		name string
		w    Watch
		by   int64
		want error
	}{
		{"Running/Keeper", running, ana, nil}, {"Running/Mate", running, bram, ErrNotYours},
		{"Stopped/Keeper", stopped, ana, ErrEnded}, {"Stopped/Mate", stopped, bram, ErrEnded},
		{"RanOut/Keeper", ran, ana, ErrEnded}, {"RanOut/Mate", ran, bram, ErrEnded},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if _, err := tt.w.Wave(tt.by, t0.Add(2*time.Minute)); !errors.Is(err, tt.want) {
				t.Errorf("Wave() = %v, want %v", err, tt.want)
			}
			if _, err := tt.w.Unwave(tt.by); !errors.Is(err, tt.want) {
				t.Errorf("Unwave() = %v, want %v", err, tt.want)
			}
			if _, es, err := tt.w.Stop(tt.by, t0.Add(2*time.Minute)); !errors.Is(err, tt.want) || (err != nil && es != nil) {
				t.Errorf("Stop() = %v, %v, want %v and nothing said when refused", es, err, tt.want)
			}
		})
	}
}

// Whatever the length and whenever it is looked at, the next look lies ahead until it has ended, and each prompt and
// the result are said at most once, in order. It also survives being stored in between.
func TestNextLookIsAlwaysAhead(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	rng := rand.New(rand.NewPCG(seed, 0))
	for range 500 {
		w := began(t, Shortest+time.Duration(rng.Int64N(int64(Longest-Shortest+1))))
		now, said := t0, ""
		for w.EndedAt.IsZero() {
			if next := w.NextLook(); !next.After(now) {
				t.Fatalf("length %v: NextLook() = %v at %v, want it ahead", w.Length, next, now)
			}
			if rng.IntN(2) == 0 {
				now = w.NextLook()
			} else {
				now = now.Add(time.Duration(rng.Int64N(int64(30 * time.Minute))))
			}
			var es []Effect
			w, es = w.Tick(now)
			said += told(es)
			body, err := json.Marshal(w)
			if err != nil {
				t.Fatal(err)
			}
			w = Watch{}
			if err := json.Unmarshal(body, &w); err != nil {
				t.Fatal(err)
			}
		}
		switch said {
		case "prompt1 prompt2 result0 ", "prompt1 result0 ", "prompt2 result0 ", "result0 ":
		default:
			t.Fatalf("length %v: says %q, want prompts in order, each once, then the result", w.Length, said)
		}
		if got := w.Watched(now.Add(time.Hour)); got != w.Length {
			t.Fatalf("Watched() = %v, want %v", got, w.Length)
		}
	}
}

// The walk found it: stopped by a replica whose clock is behind that of the one which began it.
func TestWatchedIsNeverNegative(t *testing.T) {
	begun := time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
	w, err := New(Watch{By: 11, Length: Usual}, begun)
	if err != nil {
		t.Fatal(err)
	}
	if w, _, err = w.Stop(11, begun.Add(-time.Second)); err != nil {
		t.Fatal(err)
	}
	if d := w.Watched(begun); d != 0 {
		t.Errorf("Watched() = %v, want 0", d)
	}
}

func TestSeveralWavesAtOnce(t *testing.T) {
	w := began(t, Usual)
	three, err := w.Count(ana, 3, t0.Add(time.Minute))
	if err != nil || len(three.Waves) != 3 || len(w.Waves) != 0 {
		t.Fatalf("Count(3) = %v, %v, want three and none in the watch handed in", three.Waves, err)
	}
	one, err := three.Count(ana, -2, t0.Add(2*time.Minute))
	if err != nil || len(one.Waves) != 1 || len(three.Waves) != 3 {
		t.Errorf("Count(-2) of three = %v, %v, want one left", one.Waves, err)
	}
	if none, err := one.Count(ana, -5, t0); err != nil || len(none.Waves) != 0 {
		t.Errorf("Count(-5) of one = %v, %v, want none left", none.Waves, err)
	}
	for _, n := range []int{MostAtOnce + 1, -MostAtOnce - 1, 1 << 40} {
		if _, err := w.Count(ana, n, t0); !errors.Is(err, ErrTooMany) {
			t.Errorf("Count(%d) = %v, want %v", n, err, ErrTooMany)
		}
	}
	for len(w.Waves) < MostWaves {
		if w, err = w.Count(ana, min(MostAtOnce, MostWaves-len(w.Waves)), t0); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := w.Wave(ana, t0); !errors.Is(err, ErrTooMany) {
		t.Errorf("Wave() after %d = %v, want %v", MostWaves, err, ErrTooMany)
	}
	if _, err := began(t, Usual).Count(bram, 3, t0); !errors.Is(err, ErrNotYours) {
		t.Errorf("Count() by a mate = %v, want %v", err, ErrNotYours)
	}
}

func TestALongerWatchHasItsPromptsLater(t *testing.T) {
	w, es := began(t, 21*time.Minute).Tick(t0.Add(7 * time.Minute))
	if told(es) != "prompt1 " {
		t.Fatal(told(es))
	}
	longer, err := w.Lengthen(ana, 30*time.Minute)
	if err != nil || !longer.NextLook().Equal(t0.Add(20*time.Minute)) || longer.Prompts != 1 || w.Length != 21*time.Minute {
		t.Fatalf("Lengthen() = %v long with %d prompts said, next look %v, %v; want 30 min, the second prompt at 20", longer.Length, longer.Prompts, longer.NextLook(), err)
	}
	for to, want := range map[time.Duration]error{20 * time.Minute: ErrShorter, 21 * time.Minute: nil, Longest: nil, Longest + 1: ErrTooLong} {
		if _, err := w.Lengthen(ana, to); !errors.Is(err, want) {
			t.Errorf("Lengthen(%v) = %v, want %v", to, err, want)
		}
	}
	if _, err := w.Lengthen(bram, Longest); !errors.Is(err, ErrNotYours) {
		t.Errorf("Lengthen() by a mate = %v, want %v", err, ErrNotYours)
	}
	over, _ := w.Tick(t0.Add(time.Hour))
	if _, err := over.Lengthen(ana, Longest); !errors.Is(err, ErrEnded) {
		t.Errorf("Lengthen() when over = %v, want %v", err, ErrEnded)
	}
}

// What nobody was heard in is neither watched nor dry.
func TestDeafTimeIsNotWatched(t *testing.T) {
	at := func(min int) time.Time { return t0.Add(time.Duration(min) * time.Minute) }
	w := began(t, Usual)
	for _, tt := range []struct {
		name    string
		windows [][2]int
		want    time.Duration // of 20 minutes, at the end
		n       int
	}{
		{"None", nil, 20 * time.Minute, 0},
		{"Within", [][2]int{{5, 9}}, 16 * time.Minute, 1},
		{"OverTheStart", [][2]int{{-10, 3}}, 17 * time.Minute, 1},
		{"OverTheEnd", [][2]int{{15, 40}}, 15 * time.Minute, 1},
		{"All", [][2]int{{-10, 40}}, 0, 1},
		{"Before", [][2]int{{-10, -2}}, 20 * time.Minute, 0},
		{"After", [][2]int{{21, 30}}, 20 * time.Minute, 0},
		{"Two", [][2]int{{12, 14}, {2, 4}}, 16 * time.Minute, 2},
		{"TheSameTwice", [][2]int{{5, 9}, {5, 9}}, 16 * time.Minute, 1},
		{"Overlapping", [][2]int{{5, 9}, {7, 12}}, 13 * time.Minute, 1},
		{"Bridged", [][2]int{{2, 4}, {8, 10}, {3, 9}}, 12 * time.Minute, 1},
		{"BackToFront", [][2]int{{9, 5}}, 20 * time.Minute, 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			x := w
			for _, d := range tt.windows {
				x = x.WasDeaf(at(d[0]), at(d[1]))
			}
			if got := x.Watched(at(120)); got != tt.want || len(x.Deaf) != tt.n {
				t.Errorf("Watched() = %v in %d windows, want %v in %d", got, len(x.Deaf), tt.want, tt.n)
			}
			over, _ := x.Tick(at(60))
			if got := over.Watched(at(600)); got != tt.want || !over.EndedAt.Equal(at(20)) {
				t.Errorf("over at %v, Watched() = %v, want %v", over.EndedAt, got, tt.want)
			}
			if got := x.Watched(at(10)); got < 0 || got > 10*time.Minute {
				t.Errorf("Watched() after ten minutes = %v", got)
			}
		})
	}
}
