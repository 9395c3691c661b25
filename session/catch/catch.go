// Package catch keeps what was caught, by whom, and what the rules the crew holds say about
// it. It is pure. It answers only: allowed by the rules held, not allowed and by which, or
// cannot tell. It never says "legal", and it does not model seasons, areas, slots by licence
// or possession at home: a rule it cannot express must not be entered as if it could.
package catch

import (
	"slices"
	"strings"
	"time"
)

// Version is the stored form.
const Version = 1

// Day is what one crew caught on one day of its own zone.
type Day struct {
	V       int     `json:"v"`
	Crew    string  `json:"crew"`
	Date    string  `json:"date"` // YYYY-MM-DD in the crew's zone
	Entries []Entry `json:"entries,omitempty"`
}

// Entry is one line of one person: fish of one kind, or a blank.
type Entry struct {
	ID        string    `json:"id"`
	At        time.Time `json:"at"`
	By        int64     `json:"by"`  // who wrote it
	Who       string    `json:"who"` // whose fish: a person's name
	WhoID     int64     `json:"who_id,omitempty"`
	Species   string    `json:"species,omitempty"` // as resolved; "" with Blank
	Named     string    `json:"named,omitempty"`   // as written
	Count     int       `json:"count,omitempty"`
	LengthsUM []int     `json:"lengths_um,omitempty"` // micrometres, so that inches stay exact; may be fewer than Count
	Estimated bool      `json:"estimated,omitempty"`
	Kept      *int      `json:"kept,omitempty"` // nil: not said, and never assumed
	Released  *int      `json:"released,omitempty"`
	Measure   string    `json:"measure,omitempty"`   // TL or FL as said; "": not said
	WeightsG  []float64 `json:"weights_g,omitempty"` // grams as weighed; may be fewer than Count
	Blank     bool      `json:"blank,omitempty"`
	Rods      int       `json:"rods,omitempty"`    // in the water, 0: not said
	RodMin    int       `json:"rod_min,omitempty"` // rods x minutes that lines were in, 0: not said
	Ledge     string    `json:"ledge,omitempty"`
	Outing    string    `json:"outing,omitempty"`
	Undone    time.Time `json:"undone,omitzero"`
}

// Add appends an entry unless one of the same id is there.
func (d Day) Add(e Entry) Day {
	if slices.ContainsFunc(d.Entries, func(x Entry) bool { return x.ID == e.ID }) {
		return d
	}
	d.V = Version
	d.Entries = append(slices.Clone(d.Entries), e)
	return d
}

// Undo marks an entry as never having been; ok says whether it was there, by the same writer, and not undone before.
func (d Day) Undo(id string, by int64, now time.Time) (Day, Entry, bool) {
	i := slices.IndexFunc(d.Entries, func(x Entry) bool { return x.ID == id })
	if i < 0 || d.Entries[i].By != by || !d.Entries[i].Undone.IsZero() {
		return d, Entry{}, false
	}
	d.Entries = slices.Clone(d.Entries)
	d.Entries[i].Undone = now
	return d, d.Entries[i], true
}

// Last is the newest entry written by somebody that stands.
func (d Day) Last(by int64) (Entry, bool) {
	for i := len(d.Entries) - 1; i >= 0; i-- {
		if e := d.Entries[i]; e.By == by && e.Undone.IsZero() {
			return e, true
		}
	}
	return Entry{}, false
}

// KeptBy counts fish of a kind that somebody kept this day. Entries where keeping was not said count
// as unsure: they may be in the bag.
func (d Day) KeptBy(who string, species string) (kept, unsure int) {
	for _, e := range d.Entries {
		if !e.Undone.IsZero() || e.Blank || !strings.EqualFold(e.Who, who) || e.Species != species {
			continue
		}
		if e.Kept != nil {
			kept += *e.Kept
			continue
		}
		unsure += e.Count
		if e.Released != nil {
			unsure -= *e.Released
		}
	}
	return kept, unsure
}

// Rule is one size and bag rule as the crew entered it, with where it is from.
type Rule struct {
	Species string    `json:"species"`          // resolved id, or the plain name
	Named   string    `json:"named"`            // as the crew calls it
	MinUM   int       `json:"min_um,omitempty"` // micrometres, 0: none
	MaxUM   int       `json:"max_um,omitempty"` // micrometres, 0: none
	Bag     *int      `json:"bag,omitempty"`    // a person a day, nil: none, 0: none may be kept
	Source  string    `json:"source,omitempty"`
	Checked time.Time `json:"checked"` // when somebody last compared it with the real rule
	By      string    `json:"by,omitempty"`
}

// Stale is when a rule is too old to answer by.
const Stale = 365 * 24 * time.Hour

// Near is how close to a limit, in micrometres, a length must be to be measured again. A tape on a wet, bent
// fish is not good to five millimetres. common practice, no source.
const Near = 5000

// Verdict is the answer of the rules held.
type Verdict string

// The three answers, and none else.
const (
	Allowed    Verdict = "allowed"
	NotAllowed Verdict = "not allowed"
	CannotTell Verdict = "cannot tell"
)

// Finding is one thing the rules say about an entry.
type Finding string

// The findings.
const (
	Short       Finding = "short"        // under the minimum
	Long        Finding = "long"         // over the maximum
	NearMin     Finding = "near_min"     // so close that it must be measured again
	NearMax     Finding = "near_max"     //
	OverBag     Finding = "over_bag"     //
	AtBag       Finding = "at_bag"       // the bag is full with this one: stop
	NoRule      Finding = "no_rule"      // the crew holds no rule for it
	RuleStale   Finding = "rule_stale"   // nobody checked it for a year
	NotMeasured Finding = "not_measured" // a size rule and no length, or a guessed one
	KeptUnsaid  Finding = "kept_unsaid"  // whether it was kept was not said
	BagUnsure   Finding = "bag_unsure"   // earlier lines of the day did not say either
)

// Judgement is what the rules held say about one entry.
type Judgement struct {
	Verdict  Verdict
	Findings []Finding
	Rule     *Rule
	UM       int // the length that decided, with Short, Long, NearMin, NearMax
	Kept     int // of this kind today by this person, this entry included
	Excess   int // how many over the bag
}

// Judge says what the rules held say about an entry that is already in the day. Only kept fish are
// judged; with keeping unsaid, the sizes are told as if it were kept, for there is still time to let it go.
func Judge(rules []Rule, d Day, e Entry, now time.Time) Judgement {
	if e.Blank {
		return Judgement{Verdict: Allowed}
	}
	keeping := e.Count
	if e.Kept != nil {
		keeping = *e.Kept
	}
	if keeping == 0 {
		return Judgement{Verdict: Allowed}
	}
	i := slices.IndexFunc(rules, func(r Rule) bool { return r.Species == e.Species })
	if i < 0 {
		return Judgement{Verdict: CannotTell, Findings: []Finding{NoRule}}
	}
	r := rules[i]
	j := Judgement{Verdict: Allowed, Rule: &r}
	add := func(f Finding, v Verdict) {
		j.Findings = append(j.Findings, f)
		if v == NotAllowed || (v == CannotTell && j.Verdict == Allowed) {
			j.Verdict = v
		}
	}
	if now.Sub(r.Checked) > Stale {
		add(RuleStale, CannotTell)
	}
	j.sizes(r, e, keeping, add)
	kept, unsure := d.KeptBy(e.Who, e.Species)
	if e.Kept == nil {
		add(KeptUnsaid, CannotTell)
	}
	j.Kept = kept
	if r.Bag != nil {
		switch {
		case kept > *r.Bag:
			j.Excess = kept - *r.Bag
			add(OverBag, NotAllowed)
		case kept+unsure > *r.Bag:
			add(BagUnsure, CannotTell)
		case kept == *r.Bag:
			add(AtBag, Allowed)
		}
	}
	return j
}

// sizes compares lengths without rounding. Which of several fish was kept is only known when all were; else the kept
// ones are taken to be those that fit best. A fish that was not measured may fit: where the answer hangs on it, it is
// not known.
func (j *Judgement) sizes(r Rule, e Entry, keeping int, add func(Finding, Verdict)) {
	if r.MinUM == 0 && r.MaxUM == 0 {
		return
	}
	if e.Estimated || len(e.LengthsUM) == 0 {
		add(NotMeasured, CannotTell)
		return
	}
	// How badly a length breaks the rule: 0 fits well, 1 fits but is near, 2 just misses, 3 misses clearly.
	type fish struct {
		um    int
		grade int
		what  Finding
	}
	grade := func(um int) fish {
		switch {
		case r.MinUM > 0 && um < r.MinUM-Near:
			return fish{um, 3, Short}
		case r.MinUM > 0 && um < r.MinUM:
			return fish{um, 2, Short}
		case r.MaxUM > 0 && um > r.MaxUM+Near:
			return fish{um, 3, Long}
		case r.MaxUM > 0 && um > r.MaxUM:
			return fish{um, 2, Long}
		case r.MinUM > 0 && um < r.MinUM+Near:
			return fish{um, 1, NearMin}
		case r.MaxUM > 0 && um > r.MaxUM-Near:
			return fish{um, 1, NearMax}
		}
		return fish{um, 0, ""}
	}
	all := make([]fish, 0, len(e.LengthsUM))
	for _, um := range e.LengthsUM {
		all = append(all, grade(um))
	}
	slices.SortStableFunc(all, func(a, b fish) int { return a.grade - b.grade })
	fit := 0
	for _, f := range all {
		if f.grade <= 1 {
			fit++
		}
	}
	if unmeasured := max(0, e.Count-len(all)); keeping > fit {
		if keeping -= unmeasured; keeping <= fit {
			add(NotMeasured, CannotTell)
			return
		}
	}
	worst := all[min(keeping, len(all))-1]
	j.UM = worst.um
	switch worst.grade {
	case 3:
		add(worst.what, NotAllowed)
	case 2: // short by less than the tape is good for: still not to be kept as it stands, but measure again first
		add(worst.what, NotAllowed)
		if worst.what == Short {
			add(NearMin, NotAllowed)
		} else {
			add(NearMax, NotAllowed)
		}
	case 1:
		add(worst.what, Allowed)
	}
}
