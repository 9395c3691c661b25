package tally

import (
	"cmp"
	"slices"
	"strings"
	"time"
)

// Best is somebody's longest fish of a kind, kept or let go. It is a measured length that somebody typed: nothing for a law or a record.
type Best struct {
	Species string // id or plain name, as in the entry
	Named   string
	UM      int    // micrometres
	Fork    bool   // to the fork of the tail: such lengths are compared with each other alone
	Ledge   string // may be ""
	At      time.Time
}

// Bests are the longest measured fish of what one person caught, by kind; of two equal ones the earlier. Guessed lengths are none.
func Bests(trips []Trip, id int64) []Best {
	type kind struct {
		species string
		fork    bool
	}
	best := map[kind]Best{}
	for _, t := range All(trips, id) {
		for _, e := range t.Entries {
			if e.Blank || e.Estimated {
				continue
			}
			k := kind{e.Species, strings.EqualFold(e.Measure, "FL")}
			for _, um := range e.LengthsUM {
				if um > best[k].UM {
					best[k] = Best{e.Species, e.Named, um, k.fork, e.Ledge, e.At}
				}
			}
		}
	}
	var out []Best
	for _, b := range best {
		out = append(out, b)
	}
	slices.SortFunc(out, func(a, b Best) int {
		return cmp.Or(b.At.Compare(a.At), strings.Compare(a.Species, b.Species), cmp.Compare(b2i(a.Fork), b2i(b.Fork)))
	})
	return out
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// Season is what a stretch of days came to.
type Season struct {
	From, To string // first and last day, YYYY-MM-DD
	Sum
	Trips  int
	Blanks int    // of them without a fish
	NoTime int    // of them without any known effort: in no rate
	Loose  int    // fish of people who did not say their effort, on trips where others did: in no rate either
	Kinds  []Kind // most first, then by name
}

// Kind is what was caught of one kind.
type Kind struct {
	Species, Named         string
	Fish, Kept, Gone, Open int
}

// SeasonAt is the season that a day lies in: a year that begins with the first of a month (1 to 12; else January).
func SeasonAt(date string, month int) (from, to string) {
	t, err := time.Parse(time.DateOnly, date)
	if err != nil {
		return "", ""
	}
	if month < 1 || month > 12 {
		month = 1
	}
	y := t.Year()
	if int(t.Month()) < month {
		y--
	}
	a := time.Date(y, time.Month(month), 1, 0, 0, 0, 0, time.UTC)
	return a.Format(time.DateOnly), a.AddDate(1, 0, -1).Format(time.DateOnly)
}

// Between keeps the trips whose first line is of these days, both included.
func Between(trips []Trip, from, to string) (out []Trip) {
	for _, t := range trips {
		if t.Date >= from && t.Date <= to {
			out = append(out, t)
		}
	}
	return out
}

// SeasonOf sums trips up.
func SeasonOf(trips []Trip, from, to string) Season {
	s := Season{From: from, To: to}
	kinds := map[string]*Kind{}
	for _, t := range Between(trips, from, to) {
		s.Trips++
		if t.Blank() {
			s.Blanks++
		}
		if t.RodMin == 0 {
			s.NoTime++
		} else {
			s.Loose += t.Fish - t.Rated
		}
		s.Fish, s.Kept, s.Released, s.Unsaid = s.Fish+t.Fish, s.Kept+t.Kept, s.Released+t.Released, s.Unsaid+t.Unsaid
		s.RodMin, s.Rated, s.Unrated = s.RodMin+t.RodMin, s.Rated+t.Rated, s.Unrated+t.Unrated
		for _, e := range t.Entries {
			if e.Blank {
				continue
			}
			k := kinds[e.Species]
			if k == nil {
				k = &Kind{Species: e.Species, Named: e.Named}
				kinds[e.Species] = k
			}
			kept, gone, open := Fate(e)
			k.Fish, k.Kept, k.Gone, k.Open = k.Fish+kept+gone+open, k.Kept+kept, k.Gone+gone, k.Open+open
		}
	}
	for _, k := range kinds {
		s.Kinds = append(s.Kinds, *k)
	}
	slices.SortFunc(s.Kinds, func(a, b Kind) int { return cmp.Or(cmp.Compare(b.Fish, a.Fish), strings.Compare(a.Species, b.Species)) })
	return s
}

// Count is how many fish somebody noted: a plain number, in no order but that of names, and only where the crew asked for it.
type Count struct {
	Who  string
	Fish int
	Out  int // trips
}

// Counts are those of everybody, by name.
func Counts(trips []Trip) []Count {
	of := map[string]*Count{}
	var order []string
	for _, t := range trips {
		seen := map[string]bool{}
		for _, e := range t.Entries {
			w := who(e)
			if of[w] == nil {
				of[w] = &Count{}
				order = append(order, w)
			}
			of[w].Who = e.Who // the newest name
			if !e.Blank {
				of[w].Fish += e.Count
			}
			if !seen[w] {
				seen[w] = true
				of[w].Out++
			}
		}
	}
	var out []Count
	for _, w := range order {
		out = append(out, *of[w])
	}
	slices.SortStableFunc(out, func(a, b Count) int { return strings.Compare(strings.ToLower(a.Who), strings.ToLower(b.Who)) })
	return out
}

// On keeps the trips to one ledge, newest first.
func On(trips []Trip, ledges ...string) (out []Trip) {
	for _, t := range slices.Backward(trips) {
		if t.Ledge != "" && slices.ContainsFunc(ledges, func(l string) bool { return strings.EqualFold(l, t.Ledge) }) {
			out = append(out, t)
		}
	}
	return out
}

// Between two lines of a trip the tide may have turned: StagesOf are the stages its lines were written at, in order, each once.
func StagesOf(t Trip) (out []string) {
	for _, e := range t.Entries {
		if e.Then != nil && e.Then.Tide != nil && !slices.Contains(out, e.Then.Tide.Stage) {
			out = append(out, e.Then.Tide.Stage)
		}
	}
	return out
}
