package tally

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"
	"time"

	"ledgehand/session/catch"
)

var zone = time.FixedZone("", -8*3600)

func at(day, hour, minute int) time.Time { return time.Date(2026, 3, day, hour, minute, 0, 0, zone) }

func ptr[T any](v T) *T { return &v }

const cm = 10_000

// fish is a line of Ana (1) or Bram (2).
func fish(id string, by int64, t time.Time, n int, change ...func(*catch.Entry)) catch.Entry {
	e := catch.Entry{ID: id, At: t, By: by, WhoID: by, Who: map[int64]string{1: "Ana", 2: "Bram"}[by], Species: "hexagrammos_decagrammus", Named: "kelp greenling", Count: n, Ledge: "Anvil", Blank: n == 0}
	for _, c := range change {
		c(&e)
	}
	return e
}

func outing(id string) func(*catch.Entry) { return func(e *catch.Entry) { e.Outing = id } }
func effortOf(rods, minutes int) func(*catch.Entry) {
	return func(e *catch.Entry) { e.Rods, e.RodMin = rods, rods*minutes }
}
func long(cms ...int) func(*catch.Entry) {
	return func(e *catch.Entry) {
		for _, c := range cms {
			e.LengthsUM = append(e.LengthsUM, c*cm)
		}
	}
}

func day(date string, entries ...catch.Entry) catch.Day {
	return catch.Day{V: catch.Version, Crew: "g7", Date: date, Entries: entries}
}

func TestTripsAreOutingsOrDaysOnALedge(t *testing.T) {
	undone := fish("u", 1, at(2, 9, 0), 7, outing("o1"))
	undone.Undone = at(2, 9, 1)
	elsewhere := fish("d", 1, at(3, 15, 0), 2)
	elsewhere.Ledge = "Long Step"
	days := []catch.Day{
		day("2026-03-03", fish("e", 2, at(3, 0, 30), 1, outing("o1")), elsewhere, fish("c", 1, at(3, 9, 0), 0)),
		day("2026-03-02", fish("a", 1, at(2, 21, 0), 3, outing("o1")), undone, fish("b", 2, at(2, 22, 0), 0, outing("o1"))),
	}
	trips := Trips(days, map[string]Stay{"o1": {From: at(2, 20, 0), To: at(3, 1, 0)}})
	var got []string
	for _, x := range trips {
		got = append(got, fmt.Sprintf("%s %s %s %d fish of %d lines, blank %v", x.Date, x.Ledge, x.Outing, x.Fish, len(x.Entries), x.Blank()))
	}
	want := []string{"2026-03-02 Anvil o1 4 fish of 3 lines, blank false", "2026-03-03 Anvil  0 fish of 1 lines, blank true", "2026-03-03 Long Step  2 fish of 1 lines, blank false"}
	if !slices.Equal(got, want) {
		t.Errorf("trips\n%q, want\n%q", got, want)
	}
	if x, ok := trips[0].Of(2); !ok || x.Fish != 1 || len(x.Entries) != 2 || trips[0].Fish != 4 {
		t.Errorf("Bram's part: %+v", x)
	}
	if _, ok := trips[1].Of(2); ok {
		t.Error("Bram has a part in a trip of Ana's")
	}
	if n := len(All(trips, 0)); n != 0 {
		t.Errorf("nobody has %d trips", n)
	}
}

func TestWhatBecameOfTheFish(t *testing.T) {
	for _, c := range []struct {
		n              int
		kept, released *int
		want           [3]int
	}{
		{3, nil, nil, [3]int{0, 0, 3}}, {3, ptr(1), nil, [3]int{1, 2, 0}}, {3, ptr(1), ptr(2), [3]int{1, 2, 0}}, {3, nil, ptr(2), [3]int{0, 2, 1}}, {3, ptr(9), nil, [3]int{3, 0, 0}}, {3, ptr(0), nil, [3]int{0, 3, 0}},
	} {
		k, r, u := Fate(catch.Entry{Count: c.n, Kept: c.kept, Released: c.released})
		if got := [3]int{k, r, u}; got != c.want || k+r+u != c.n {
			t.Errorf("%+v: %v, want %v", c, got, c.want)
		}
	}
	if k, r, u := Fate(catch.Entry{Blank: true, Count: 4}); k+r+u != 0 {
		t.Error("a blank has fish")
	}
}

func TestEffortIsCountedOnce(t *testing.T) {
	one := func(entries ...catch.Entry) Trip { return Trips([]catch.Day{day("2026-03-02", entries...)}, nil)[0] }
	for name, c := range map[string]struct {
		trip  Trip
		min   int
		rated int
		none  int
	}{
		"nobody said":                     {one(fish("a", 1, at(2, 9, 0), 2)), 0, 0, 1},
		"a blank of two rods, four hours": {one(fish("a", 1, at(2, 9, 0), 0, effortOf(2, 240))), 480, 0, 0},
		"two kinds in one message":        {one(fish("a", 1, at(2, 9, 0), 2, effortOf(2, 60)), fish("a-1", 1, at(2, 9, 0), 1, effortOf(2, 60))), 120, 3, 0},
		"one stretch after another":       {one(fish("a", 1, at(2, 8, 0), 2, effortOf(1, 60)), fish("b", 1, at(2, 10, 0), 1, effortOf(1, 120))), 180, 3, 0},
		"the whole, said at the end":      {one(fish("a", 1, at(2, 8, 0), 2, effortOf(1, 60)), fish("b", 1, at(2, 10, 0), 1, effortOf(1, 180))), 180, 3, 0},
		"less, said at the end":           {one(fish("a", 1, at(2, 8, 0), 2, effortOf(1, 200)), fish("b", 1, at(2, 9, 0), 1, effortOf(1, 120))), 200, 3, 0},
		"said once for all that is hers":  {one(fish("a", 1, at(2, 8, 0), 2), fish("b", 1, at(2, 10, 0), 1, effortOf(2, 90)), fish("c", 2, at(2, 10, 0), 5)), 180, 3, 1},
		"both said":                       {one(fish("b", 1, at(2, 10, 0), 1, effortOf(2, 90)), fish("c", 2, at(2, 10, 0), 5, effortOf(1, 30))), 210, 6, 0},
	} {
		if c.trip.RodMin != c.min || c.trip.Rated != c.rated || c.trip.Unrated != c.none {
			t.Errorf("%s: %d rod-minutes, %d fish, %d did not say; want %d, %d, %d", name, c.trip.RodMin, c.trip.Rated, c.trip.Unrated, c.min, c.rated, c.none)
		}
		if e, ok := c.trip.Counts(); ok != (c.min > 0) || ok && (e.Fish != c.rated || e.Hours*60 != float64(c.min)) {
			t.Errorf("%s: counts as %+v, %v", name, e, ok)
		}
	}
	open := Trips([]catch.Day{day("2026-03-02", fish("a", 1, at(2, 9, 0), 2, outing("o"), effortOf(1, 60)))}, map[string]Stay{"o": {Open: true}})
	if _, ok := open[0].Counts(); ok {
		t.Error("a trip that is not over is in a rate")
	}
}

func TestBestsAreMeasuredLengths(t *testing.T) {
	guess := func(e *catch.Entry) { e.Estimated = true }
	fork := func(e *catch.Entry) { e.Measure = "FL" }
	undone := fish("u", 1, at(4, 9, 0), 1, long(90))
	undone.Undone = at(4, 9, 1)
	ling := fish("l", 1, at(5, 9, 0), 1, long(70), func(e *catch.Entry) { e.Species, e.Named, e.Kept = "ophiodon_elongatus", "lingcod", ptr(0) })
	trips := Trips([]catch.Day{day("2026-03-02", fish("a", 1, at(2, 9, 0), 2, long(31, 44)), fish("b", 1, at(2, 10, 0), 1, long(60), guess), fish("c", 2, at(2, 9, 0), 1, long(50)), fish("d", 1, at(2, 11, 0), 1, long(41), fork)),
		day("2026-03-03", fish("e", 1, at(3, 9, 0), 1, long(44))), day("2026-03-04", undone), day("2026-03-05", ling)}, nil)
	var got []string
	for _, b := range Bests(trips, 1) {
		got = append(got, fmt.Sprintf("%s %d fork %v %s", b.Named, b.UM/cm, b.Fork, b.At.Format("02 15h")))
	}
	want := []string{"lingcod 70 fork false 05 09h", "kelp greenling 41 fork true 02 11h", "kelp greenling 44 fork false 02 09h"}
	if !slices.Equal(got, want) {
		t.Errorf("bests %q, want %q", got, want)
	}
}

func TestSeasons(t *testing.T) {
	for _, c := range []struct {
		date     string
		month    int
		from, to string
	}{
		{"2026-03-14", 0, "2026-01-01", "2026-12-31"}, {"2026-03-14", 13, "2026-01-01", "2026-12-31"}, {"2026-03-14", 7, "2025-07-01", "2026-06-30"},
		{"2026-07-01", 7, "2026-07-01", "2027-06-30"}, {"2024-02-29", 3, "2023-03-01", "2024-02-29"}, {"soon", 1, "", ""},
	} {
		if from, to := SeasonAt(c.date, c.month); from != c.from || to != c.to {
			t.Errorf("season of %s from month %d: %s to %s, want %s to %s", c.date, c.month, from, to, c.from, c.to)
		}
	}
	ling := func(e *catch.Entry) { e.Species, e.Named = "ophiodon_elongatus", "lingcod" }
	trips := Trips([]catch.Day{
		day("2025-12-31", fish("z", 1, at(-60, 9, 0), 9)),
		day("2026-03-02", fish("a", 1, at(2, 9, 0), 2, func(e *catch.Entry) { e.Kept = ptr(1) }, effortOf(1, 120)), fish("b", 2, at(2, 9, 0), 3, ling)),
		day("2026-03-03", fish("c", 1, at(3, 9, 0), 0, effortOf(2, 60))),
		day("2026-03-04", fish("d", 2, at(4, 9, 0), 0)),
	}, nil)
	got := SeasonOf(trips, "2026-01-01", "2026-12-31")
	want := Season{From: "2026-01-01", To: "2026-12-31", Trips: 3, Blanks: 2, NoTime: 1, Loose: 3,
		Sum:   Sum{Fish: 5, Kept: 1, Released: 1, Unsaid: 3, RodMin: 240, Rated: 2, Unrated: 2},
		Kinds: []Kind{{"ophiodon_elongatus", "lingcod", 3, 0, 0, 3}, {"hexagrammos_decagrammus", "kelp greenling", 2, 1, 1, 0}}}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("season\n%+v, want\n%+v", got, want)
	}
	if mine := SeasonOf(All(trips, 2), "2026-01-01", "2026-12-31"); mine.Trips != 2 || mine.Fish != 3 || mine.Blanks != 1 || mine.RodMin != 0 {
		t.Errorf("Bram's: %+v", mine)
	}
	if c := Counts(Between(trips, "2026-01-01", "2026-12-31")); !reflect.DeepEqual(c, []Count{{"Ana", 2, 2}, {"Bram", 3, 2}}) {
		t.Errorf("counts %+v, want them by name", c)
	}
	if on := On(trips, "ANVIL", "Old name"); len(on) != 4 || on[0].Date != "2026-03-04" {
		t.Errorf("log %+v", on)
	}
}

func TestComparisonsAreFewAndChosenBefore(t *testing.T) {
	var days []catch.Day
	stays := map[string]Stay{}
	add := func(i, n int, making, lit float64) {
		id := fmt.Sprintf("o%d", i)
		t := at(1, 9, 0).AddDate(0, 0, i)
		days = append(days, day(t.Format(time.DateOnly), fish(id, 1, t, n, outing(id), effortOf(1, 180))))
		stays[id] = Stay{From: t.Add(-3 * time.Hour), To: t, Making: making, Lit: lit}
	}
	for i := range 24 { // 12 making with plenty, 12 ebbing with next to nothing
		add(i, []int{6, 0}[i%2]+i%3%2, []float64{0.9, 0.1}[i%2], 1)
	}
	add(24, 3, 0.5, -1)
	add(25, 3, -1, 0)
	trips := Trips(days, stays)
	var all []Effort
	for _, x := range trips {
		e, _ := x.Counts()
		all = append(all, e)
	}
	p, _ := Fit(all)
	c := Compare(p, ByTide, trips, time.Time{})
	if c.One.Trips != 12 || c.Two.Trips != 12 || c.Mixed != 2 || !c.Enough() || c.More() != 1 {
		t.Errorf("by tide: %+v, more %d", c, c.More())
	}
	c.One, c.Two = c.Two, c.One
	if c.More() != -1 {
		t.Errorf("the other way round: %d", c.More())
	}
	if c := Compare(p, ByLight, trips, time.Time{}); c.One.Trips != 24 || c.Two.Trips != 1 || c.Mixed != 1 || c.Enough() || c.More() != 0 {
		t.Errorf("by light: %+v", c)
	}
	if c := Compare(p, ByTide, trips, at(8, 0, 0)); c.One.Trips+c.Two.Trips+c.Mixed != 20-1 || c.More() != 0 {
		t.Errorf("since the 8th: %+v, more %d", c, c.More())
	}
	// Without an outing the lines must agree.
	then := func(stage string) func(*catch.Entry) {
		return func(e *catch.Entry) { e.Then = &catch.Then{Tide: &catch.ThenTide{Stage: stage}, Light: "day"} }
	}
	loose := Trips([]catch.Day{day("2026-04-01", fish("x", 1, at(32, 8, 0), 1, effortOf(1, 60), then("making")), fish("y", 1, at(32, 9, 0), 1, then("making"))),
		day("2026-04-02", fish("v", 1, at(33, 8, 0), 1, effortOf(1, 60), then("making")), fish("w", 1, at(33, 9, 0), 1, then("high"))),
		day("2026-04-03", fish("q", 1, at(34, 8, 0), 1, effortOf(1, 60)))}, nil)
	if c := Compare(p, ByTide, loose, time.Time{}); c.One.Trips != 1 || c.Two.Trips != 0 || c.Mixed != 2 {
		t.Errorf("without outings: %+v", c)
	}
	if s := StagesOf(loose[1]); !slices.Equal(s, []string{"making", "high"}) {
		t.Errorf("stages %q", s)
	}
}

// Whatever is in a log, its parts add up, and the order in which days are read is nothing.
func TestSumsAddUp(t *testing.T) {
	for seed := range 200 {
		r := rand.New(rand.NewPCG(uint64(seed), 4))
		var days []catch.Day
		for i := range 1 + r.IntN(8) {
			x := day(at(1+i, 0, 0).Format(time.DateOnly))
			for j := range r.IntN(6) {
				e := fish(fmt.Sprintf("%d.%d", i, j), int64(1+r.IntN(2)), at(1+i, r.IntN(24), r.IntN(60)), r.IntN(4), outing([]string{"", "o1", "o2"}[r.IntN(3)]))
				if r.IntN(3) == 0 {
					effortOf(1+r.IntN(2), 30*(1+r.IntN(6)))(&e)
				}
				if r.IntN(2) == 0 {
					e.Kept = ptr(r.IntN(4))
				}
				if r.IntN(6) == 0 {
					e.Undone = e.At
				}
				x.Entries = append(x.Entries, e)
			}
			days = append(days, x)
		}
		trips := Trips(days, nil)
		n, lines := 0, 0
		for _, x := range days {
			for _, e := range x.Entries {
				if e.Stands() {
					n, lines = n+e.Count, lines+1
				}
			}
		}
		s := SeasonOf(trips, "2026-01-01", "2026-12-31")
		kinds, people, byLine := 0, 0, 0
		for _, k := range s.Kinds {
			kinds += k.Fish
		}
		for _, c := range Counts(trips) {
			people += c.Fish
		}
		for _, x := range trips {
			byLine += len(x.Entries)
			if x.Rated > x.Fish || x.Fish != x.Kept+x.Released+x.Unsaid {
				t.Fatalf("seed %d: %+v", seed, x.Sum)
			}
		}
		if s.Fish != n || kinds != n || people != n || byLine != lines {
			t.Fatalf("seed %d: season %d, kinds %d, people %d, want %d; lines %d, want %d", seed, s.Fish, kinds, people, n, byLine, lines)
		}
		slices.Reverse(days)
		if again := Trips(days, nil); len(again) != len(trips) || SeasonOf(again, "2026-01-01", "2026-12-31").Sum != s.Sum {
			t.Fatalf("seed %d: read in another order it is another season", seed)
		}
	}
}
