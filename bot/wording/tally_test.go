package wording

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"ledgehand/session/catch"
	"ledgehand/session/catch/tally"
)

// invented is a log of so many trips of Ana on one ledge, some with Bram, each third without a fish, of known effort but for the last.
func invented(c cast, n int) []tally.Trip {
	var days []catch.Day
	stays := map[string]tally.Stay{}
	for i := range n {
		t := at(8, 30).AddDate(0, 0, i-n)
		id := fmt.Sprintf("o%d", i)
		e := catch.Entry{ID: fmt.Sprintf("e%d", i), At: t, By: 1, WhoID: 1, Who: c.ana, Ledge: c.anvil, Outing: id, Species: "greenling", Named: "greenling", Count: i%3 + i%2, Rods: 1, RodMin: 150,
			LengthsUM: []int{(30 + i) * um}, Kept: ptr(i % 2), Then: &catch.Then{Tide: &catch.ThenTide{Stage: []string{"making", "high"}[i%2], HeightM: 1.2, Datum: "MLLW", Turn: "high", TurnMin: -30}, Sea: &catch.ThenSea{HsM: 1.6}, Light: "dawn"}}
		if e.Count == 0 {
			e.Blank, e.LengthsUM, e.Kept = true, nil, nil
		}
		if i == n-1 {
			e.Rods, e.RodMin, e.Kept = 0, 0, nil
		}
		d := catch.Day{Date: t.Format(time.DateOnly), Entries: []catch.Entry{e}}
		if i%4 == 1 {
			d.Entries = append(d.Entries, catch.Entry{ID: fmt.Sprintf("f%d", i), At: t.Add(time.Hour), By: 2, WhoID: 2, Who: c.bram, Ledge: c.anvil, Outing: id, Species: "lingcod", Named: "lingcod", Count: 1, LengthsUM: []int{70 * um}, Measure: "FL", Kept: ptr(0), Rods: 1, RodMin: 90})
		}
		days = append(days, d)
		stays[id] = tally.Stay{From: t.Add(-2 * time.Hour), To: t.Add(time.Hour), Making: float64(i % 2), Lit: 1}
	}
	return tally.Trips(days, stays)
}

func tallyOf(c cast, n int) Tally {
	trips := invented(c, n)
	var all []tally.Effort
	for _, x := range trips {
		if e, ok := x.Counts(); ok {
			all = append(all, e)
		}
	}
	t := Tally{Season: tally.SeasonOf(trips, "2026-01-01", "2026-12-31"), Fish: func(_, named string) string { return named }, Log: tally.On(trips, c.anvil)}
	if p, ok := tally.Fit(all); ok {
		t.Prior, t.Rate = &p, tally.RateOf(p, all)
	}
	return t
}

func tallySamples(w Words, c cast) []sample {
	mine := tallyOf(c, 5)
	mine.Who, mine.Bests = c.ana, tally.Bests(invented(c, 5), 1)
	bram := mine
	bram.Bests = tally.Bests(invented(c, 5), 2)
	empty := Tally{Season: tally.SeasonOf(nil, "2025-07-01", "2026-06-30"), Ledge: c.anvil}
	one := tallyOf(c, 2)
	many := tallyOf(c, 40)
	many.Open, many.Silent, many.Older, many.Days = 1, 3, 12, 1000
	many.Counts = []tally.Count{{Who: c.ana, Fish: 62, Out: 40}, {Who: c.bram, Fish: 10, Out: 10}}
	rate := func(n int, lo, hi float64) tally.Rate { return tally.Rate{Trips: n, Lo: lo, Hi: hi} }
	compare := func(by tally.By, one, two tally.Rate) Tally {
		x := tallyOf(c, 12)
		x.Compare = &tally.Comparison{By: by, One: one, Two: two, Mixed: 2}
		return x
	}
	blank := tallyOf(c, 4)
	blank.Prior, blank.Rate = nil, tally.Rate{Trips: 4, Hours: 13}
	ledge := func(n int) Tally {
		x := tallyOf(c, n)
		x.Ledge = c.anvil
		if x.Prior != nil { // what other ledges gave draws it up
			x.Prior.Beta, x.Prior.Fitted = x.Prior.Beta/2, n > 10
			x.Rate = tally.RateOf(*x.Prior, []tally.Effort{{Fish: x.Rate.Fish / 2, Hours: x.Rate.Hours / 2}, {Fish: x.Rate.Fish / 4, Hours: x.Rate.Hours / 4}, {Fish: x.Rate.Fish / 4, Hours: x.Rate.Hours / 4}})
		}
		return x
	}
	loose := ledge(1)
	loose.Log[0].Entries[0].Then = nil
	return []sample{
		{"mine", w.TallyMine(mine)}, {"mine: to the fork", w.TallyMine(bram)}, {"mine: nothing", w.TallyMine(empty)},
		{"crew: two trips are listed", w.TallyCrew(one)}, {"crew: many trips, counts asked for, old days left out", w.TallyCrew(many)}, {"crew: nothing", w.TallyCrew(empty)},
		{"crew: only blanks", w.TallyCrew(blank)},
		{"crew: more on one", w.TallyCrew(compare(tally.ByTide, rate(12, 0.9, 1.8), rate(11, 0.1, 0.5)))},
		{"crew: more on the other", w.TallyCrew(compare(tally.ByLight, rate(12, 0.1, 0.3), rate(11, 0.4, 0.9)))},
		{"crew: no difference", w.TallyCrew(compare(tally.ByTide, rate(12, 0.1, 0.6), rate(11, 0.4, 0.9)))},
		{"crew: too few to compare", w.TallyCrew(compare(tally.ByTide, rate(9, 0.1, 0.2), rate(11, 0.4, 0.9)))},
		{"ledge: nothing", w.TallyLedge(empty, at(9, 0))}, {"ledge: one trip", w.TallyLedge(loose, at(9, 0))}, {"ledge: five trips", w.TallyLedge(ledge(5), at(9, 0))}, {"ledge: forty trips", w.TallyLedge(ledge(40), at(9, 0))},
	}
}

// However much there is, an answer has at most six lines; of one and two trips no rate is said, of few no comparison; never a score.
func TestTalliesSayLittleOfLittle(t *testing.T) {
	for _, w := range everyWords() {
		for _, s := range tallySamples(w, crew) {
			if n := strings.Count(s.text, "\n") + 1; n > 6 {
				t.Errorf("%s: %q has %d lines:\n%s", w.Lang, s.name, n, s.text)
			}
			if p := strings.ToLower(Plain(s.text)); strings.Contains(p, "moon") || strings.Contains(p, "luna") || strings.Contains(p, "best time") || strings.Contains(p, "mejor hora") {
				t.Errorf("%s: %q says more than a log can:\n%s", w.Lang, s.name, p)
			}
		}
		for n, said := range map[int]bool{1: false, 2: false, 3: false, 4: true, 9: true} { // the last trip's effort is not known
			x := tallyOf(crew, n)
			p := Plain(w.TallyCrew(x))
			if got := strings.Contains(p, ": about ") || strings.Contains(p, ": cerca de "); got != said {
				t.Errorf("%s: of %d trips with known effort a rate is said: %v, want %v:\n%s", w.Lang, n-1, got, said, w.TallyCrew(x))
			}
		}
	}
}

func TestSeasonNames(t *testing.T) {
	w := words(Metric)
	for _, c := range [][3]string{{"2026-01-01", "2026-12-31", "2026"}, {"2025-07-01", "2026-06-30", "Jul 2025–Jun 2026"}, {"x", "y", "x–y"}} {
		if got := w.SeasonName(c[0], c[1]); got != c[2] {
			t.Errorf("SeasonName(%s, %s) = %q, want %q", c[0], c[1], got, c[2])
		}
	}
	for v, want := range map[float64]string{0: "0.00", 0.319: "0.32", 0.9437: "0.94", 0.999: "1.0", 1.13: "1.1", 12: "12.0"} {
		if got := rate(v); got != want {
			t.Errorf("rate(%g) = %q, want %q", v, got, want)
		}
	}
	for v, want := range map[float64]string{0.5: "0.5", 3: "3", 2.04: "2", 9.96: "10", 14.5: "14", 30: "30"} {
		if got := hoursOf(v); got != want {
			t.Errorf("hoursOf(%g) = %q, want %q", v, got, want)
		}
	}
}
