package watch

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"reflect"
	"slices"
	"testing"
	"time"
)

var long = flag.Bool("long", false, "walk further")

// place is a point of a walk through a watch. Two are the same when nothing can differ from there on: which waves are
// counted matters only by their number, capped where no rule looks further.
type place struct {
	w     Watch
	now   time.Time
	said  []Effect
	depth int
	way   string
}

func (p place) key() string {
	w := p.w
	return fmt.Sprint(w.StartedAt.Sub(p.now), min(len(w.Waves), 3), w.Prompts, w.EndedAt.IsZero(), w.Stopped, w.EndedAt.Sub(w.StartedAt), w.Length, w.Deaf, p.said)
}

// TestEveryWayOfAWatch: on every way of so many steps through a watch the next look exists exactly while it runs and
// always has something to do; each prompt is said at most once and in order, the result exactly once and last; an ended
// watch never changes; what is handed in never changes; the stored form reads back the same.
func TestEveryWayOfAWatch(t *testing.T) {
	depth := 9
	if *long {
		depth = 14
	}
	begun := time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
	w, err := New(Watch{ID: "w1", By: 11, Length: 20*time.Minute + time.Nanosecond}, begun)
	if err != nil {
		t.Fatal(err)
	}
	seen, steps, results := map[string]bool{}, 0, 0
	places := []place{{w: w, now: begun, way: "begun"}}
	for i := 0; i < len(places) && !t.Failed(); i++ {
		p := places[i]
		bad := func(what, format string, args ...any) {
			t.Helper()
			t.Errorf("%s → %s: %s", p.way, what, fmt.Sprintf(format, args...))
		}
		look, ended := p.w.NextLook(), !p.w.EndedAt.IsZero()
		if look.IsZero() != ended || look.After(begun.Add(p.w.Length)) {
			bad("look", "ended %v, next look %v", ended, look)
		}
		body, err := json.Marshal(p.w)
		var back Watch
		if err != nil || json.Unmarshal(body, &back) != nil || !reflect.DeepEqual(back, p.w) {
			bad("store", "reads back as %+v, want %+v", back, p.w)
		}
		if d := p.w.Watched(p.now); d < 0 || d > p.w.Length {
			bad("watched", "for %v, want it within the watch", d)
		}
		was := p.w
		was.Waves = slices.Clone(was.Waves)
		if p.depth == depth {
			continue
		}
		try := func(what string, next Watch, es []Effect, err error, at time.Time) {
			steps++
			if err != nil {
				if len(es) != 0 || !errors.Is(err, ErrEnded) && !errors.Is(err, ErrNotYours) && !errors.Is(err, ErrShorter) {
					bad(what, "= %v with %v", err, es)
				}
				return
			}
			if ended && (!reflect.DeepEqual(next, p.w) || len(es) != 0) {
				bad(what, "an ended watch becomes %+v and says %v", next, es)
			}
			q := place{w: next, now: at, said: append(slices.Clone(p.said), es...), depth: p.depth + 1, way: p.way + " → " + what}
			n := 0 // prompts in order, then one result
			for i, e := range q.said {
				if e.Kind == SayResult && i != len(q.said)-1 || e.Kind == SayPrompt && e.N <= n {
					bad(what, "says in all %v", q.said)
				}
				n = e.N
			}
			if done := len(q.said) > 0 && q.said[len(q.said)-1].Kind == SayResult; done == next.EndedAt.IsZero() {
				bad(what, "ended at %v having said %v", next.EndedAt, q.said)
			} else if done && !ended {
				results++
			}
			if k := q.key(); !seen[k] {
				seen[k] = true
				places = append(places, q)
			}
		}
		next, es := p.w.Tick(p.now)
		try("look", next, es, nil, p.now)
		if due := !ended && !look.After(p.now); due != (len(es) > 0) || due && !next.NextLook().IsZero() && !next.NextLook().After(p.now) {
			bad("look", "due %v, says %v, next look %v", due, es, next.NextLook())
		}
		for _, by := range []int64{11, 12} {
			next, err := p.w.Wave(by, p.now)
			try("wave", next, nil, err, p.now)
			next, err = p.w.Unwave(by)
			try("unwave", next, nil, err, p.now)
			next, err = p.w.Lengthen(by, 30*time.Minute)
			try("lengthen", next, nil, err, p.now)
			next, es, err := p.w.Stop(by, p.now)
			try("stop", next, es, err, p.now)
		}
		if !ended {
			try("deaf", p.w.WasDeaf(begun.Add(5*time.Minute), begun.Add(9*time.Minute)), nil, nil, p.now)
			for _, d := range []time.Duration{-time.Nanosecond, 0, 4 * time.Minute, 8 * time.Minute, 30 * time.Hour} {
				try(fmt.Sprint("look+", d), p.w, nil, nil, look.Add(d))
			}
			try("a clock two seconds behind", p.w, nil, nil, p.now.Add(-2*time.Second))
		}
		if !reflect.DeepEqual(was, p.w) {
			bad("all moves", "some move changed the watch it was handed")
		}
	}
	t.Logf("%d places, %d steps, %d ends", len(places), steps, results)
	if results == 0 {
		t.Error("no watch ended on any way: it proves nothing of the end")
	}
}
