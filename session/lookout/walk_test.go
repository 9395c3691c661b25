package lookout

import (
	"encoding/json"
	"flag"
	"fmt"
	"reflect"
	"slices"
	"testing"
	"time"
)

var long = flag.Bool("long", false, "walk further")

type place struct {
	l     Lookout
	now   time.Time
	depth int
	way   string
}

// TestEveryWayOfALookout: on every way of so many steps through a standing order a look that is due is taken and moves
// the next one ahead; none lies after the order's end; looks alone come to an end; nothing in force is ever told twice;
// what is handed in never changes; the stored form reads back the same.
func TestEveryWayOfALookout(t *testing.T) {
	depth := 5
	if *long {
		depth = 7
	}
	made := time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
	zone := time.FixedZone("", 11*3600)
	many := make([]string, mostTold+2)
	for i := range many {
		many[i] = fmt.Sprintf("w%d", i)
	}
	news := [][]string{nil, {"w0"}, {"w0", "w1", "w0"}, {"x"}, many}
	places := []place{
		{l: ForTrip("t1", made.Add(26*time.Hour), zone, made), now: made, way: "trip"},
		{l: ForTrip("t1", made.Add(time.Hour), zone, made), now: made, way: "trip soon"},
		{l: ForOuting("k1", made.Add(time.Hour), made), now: made, way: "outing"},
		{l: ForTide("k1", made, true, []time.Time{made.Add(90 * time.Minute), made.Add(5 * time.Hour)}, made), now: made, way: "tide"},
		{l: ForAfter("k1", made, zone), now: made, way: "after"},
	}
	seen, steps, looks := map[string]bool{}, 0, 0
	for i := 0; i < len(places) && !t.Failed(); i++ {
		p := places[i]
		bad := func(what, format string, args ...any) {
			t.Helper()
			t.Errorf("%s → %s: %s", p.way, what, fmt.Sprintf(format, args...))
		}
		at := p.l.NextLook()
		if at.After(p.l.Until) {
			bad("next look", "%v, after the end %v", at, p.l.Until)
		}
		body, err := json.Marshal(p.l)
		var back Lookout
		if err != nil || json.Unmarshal(body, &back) != nil || !back.NextLook().Equal(at) || !slices.Equal(back.Told, p.l.Told) {
			bad("store", "reads back as %+v, want %+v", back, p.l)
		}
		ends(p, bad)
		if p.depth == depth {
			continue
		}
		was := p.l
		was.At, was.Told = slices.Clone(was.At), slices.Clone(was.Told)
		add := func(what string, l Lookout, now time.Time) {
			steps++
			q := place{l, now, p.depth + 1, p.way + " → " + what}
			if k := fmt.Sprint(l.Kind, l.NextLook().Sub(now), l.At, l.Until, l.Told, l.Every, now.After(l.Until)); !seen[k] {
				seen[k] = true
				places = append(places, q)
			}
		}
		next, look := p.l.Tick(p.now)
		due := !at.IsZero() && !at.After(p.now)
		if look != due || !due && !reflect.DeepEqual(next, p.l) || due && !next.NextLook().IsZero() && !next.NextLook().After(p.now) {
			bad("look", "due %v, looked %v, next %v", due, look, next.NextLook())
		}
		if look {
			looks++
		}
		add("look", next, p.now)
		for n, ids := range news {
			next, fresh := p.l.News(ids)
			for _, id := range ids {
				if slices.Contains(fresh, id) == slices.Contains(p.l.Told, id) {
					bad("news", "%q told before %v, fresh %v", id, slices.Contains(p.l.Told, id), slices.Contains(fresh, id))
				}
			}
			if again, fresh := next.News(ids); len(fresh) != 0 || !slices.Equal(again.Told, next.Told) {
				bad("news", "twice tells %q again", fresh)
			}
			if len(next.Told) > max(mostTold, len(ids)) {
				bad("news", "remembers %d ids", len(next.Told))
			}
			add(fmt.Sprint("news ", n), next, p.now)
		}
		if l := p.l.Ended(); !l.NextLook().IsZero() {
			bad("ended", "next look %v", l.NextLook())
		} else {
			add("ended", l, p.now)
		}
		if !at.IsZero() {
			for _, d := range []time.Duration{-time.Nanosecond, 0, 4 * time.Minute, 7 * time.Hour, 100 * time.Hour} {
				add(fmt.Sprint("look+", d), p.l, at.Add(d))
			}
		}
		if !reflect.DeepEqual(was, p.l) {
			bad("all moves", "some move changed the order it was handed")
		}
	}
	t.Logf("%d places, %d steps, %d looks", len(places), steps, looks)
	if looks == 0 {
		t.Error("nothing was ever looked at")
	}
}

// ends: by looks alone an order is over some time, and no look is lost that was to come.
func ends(p place, bad func(string, string, ...any)) {
	l := p.l
	for n := 0; !l.NextLook().IsZero(); n++ {
		at := l.NextLook()
		if at.Before(p.now) {
			at = p.now
		}
		next, look := l.Tick(at)
		if !look || n > 200 {
			bad("looks alone", "look %d at %v: looked %v", n, at, look)
			return
		}
		l = next
	}
}
