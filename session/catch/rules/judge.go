package rules

import (
	"cmp"
	"slices"
	"time"

	"ledgehand/session/catch"
)

// Case is what is asked: when and where, and all that is known of what was caught and kept.
type Case struct {
	Now  time.Time
	Zone *time.Location // of the place: bags are counted by its days
	Area string         // the crew's, as AU-NSW
	Mode string         // shore or boat; "": shore
	Near int            // how close to a limit is measured again, micrometres; 0: the usual
	Days []catch.Day    // as many as Back asks for
	Home []Stock

	// Convert turns a length measured one way into another, where it is known how; nil: never.
	Convert func(e catch.Entry, from, to Measure, um int) (int, bool)
}

// Near is how close to a limit, in micrometres, a length must be to be measured again, and the bounds a crew may set it in. A tape
// on a wet, bent fish is not good to five millimetres. common practice, no source.
const (
	Near      = 5_000
	LeastNear = 5_000
	MostNear  = 10_000
)

// nearWeight is the part of a weight limit within which a spring balance in the wind decides nothing. common practice, no source.
const nearWeight = 0.02

// nearConverted is the part of a length limit within which a converted length decides nothing. common practice, no source.
const nearConverted = 0.05

// Stock is what somebody says they have at home.
type Stock struct {
	WhoID   int64
	Who     string
	Species string // as an entry has it
	Named   string
	N       int
	Grams   float64 // 0: not said
	At      time.Time
}

// StockLasts is how long what somebody said of their freezer counts.
const StockLasts = 14 * 24 * time.Hour

// What is one thing the rules say.
type What string

// What rules say, a closed set: each has words in every language.
const (
	Short       What = "short"
	Long        What = "long"
	NearMin     What = "near_min"
	NearMax     What = "near_max"
	Light       What = "light"        // under the least weight
	NearWeight  What = "near_weight"  //
	NotMeasured What = "not_measured" // a size rule and no length, or a guessed one
	NotWeighed  What = "not_weighed"
	OtherWay    What = "other_way"  // measured another way than the rule
	Converted   What = "converted"  // by a table's line, clear of the limit
	HowUnsaid   What = "how_unsaid" // the source does not say how to measure
	OverLong    What = "over_long"  // more long ones than may be kept
	OverSmall   What = "over_small" // more undersize ones than are let pass
	LongOnes    What = "long_ones"  // how many long ones there are is not known
	OverBag     What = "over_bag"
	AtBag       What = "at_bag" // full with this one: stop
	BagUnsure   What = "bag_unsure"
	BagUnweighd What = "bag_unweighed"
	OneKind     What = "one_kind" // too many of one kind in a bag
	OverHeld    What = "over_possession"
	HomeUnsaid  What = "home_unsaid" // a possession limit, and what is at home was not said
	OverVessel  What = "over_vessel"
	ClosedFish  What = "closed_fish" // no fishing for it now
	ClosedKeep  What = "closed_keep" // none may be kept now
	NeedsPaper  What = "needs"       // a permit that we do not know of
	NoRule      What = "no_rule"
	Ended       What = "ended"        // the rule we hold is over
	Old         What = "rule_stale"   // nobody checked it for a year
	SecondHand  What = "second_hand"  // not from the agency
	OnlyExample What = "only_example" //
	AreaUnknown What = "area_unknown" // it hangs on where in the pack's areas
	WhoUnknown  What = "who_unknown"  // it hangs on licence or age
	FishUnsure  What = "fish_unsure"  // which fish it is
	DefaultBare What = "default_bare" // the default for unlisted fish, in a pack that does not list all
	KeptUnsaid  What = "kept_unsaid"
	NoBagHeld   What = "no_bag"  // a size rule is held and no bag
	Differs     What = "differs" // another source says otherwise
	Unread      What = "unread"  // a pack cannot be read
)

// Whats are all of them.
var Whats = []What{Short, Long, NearMin, NearMax, Light, NearWeight, NotMeasured, NotWeighed, OtherWay, Converted, HowUnsaid, OverLong, OverSmall, LongOnes, OverBag, AtBag,
	BagUnsure, BagUnweighd, OneKind, OverHeld, HomeUnsaid, OverVessel, ClosedFish, ClosedKeep, NeedsPaper, NoRule, Ended, Old, SecondHand, OnlyExample,
	AreaUnknown, WhoUnknown, FishUnsure, DefaultBare, KeptUnsaid, NoBagHeld, Differs, Unread}

// Forbids says whether it is something that a rule forbids. What is weak by its source can say so and forbid nothing.
func (w What) Forbids() bool {
	switch w {
	case Short, Long, Light, OverLong, OverSmall, OverBag, OneKind, OverHeld, OverVessel, ClosedFish, ClosedKeep:
		return true
	}
	return false
}

// Level is what a finding does to the answer.
type Level int

// The levels.
const (
	Note Level = iota
	Unknown
	Broken
)

// Finding is one thing a rule says about an entry.
type Finding struct {
	What   What
	Level  Level
	Pack   *Pack
	Rule   *Rule  // nil with NoRule, KeptUnsaid
	Stated Stated // where the rule is from, its pack's words filled in
	UM     int    // the length that decided
	Limit  int    // what it was held against, micrometres
	UG     int64
	LimUG  int64
	Given  Measure // with OtherWay
	Count  *Count
	Season *Season
	Areas  []string // with AreaUnknown: the names to choose from
}

// Answer is what the rules held say about one entry.
type Answer struct {
	Verdict  catch.Verdict
	Findings []Finding // what decides first
	Counts   []Count   // bags its fish are in, the fullest first
	From     *Finding  // the rule to name: the one that decided, else the fish's own
}

// Has says whether a finding is among them.
func (a Answer) Has(w What) bool {
	return slices.ContainsFunc(a.Findings, func(f Finding) bool { return f.What == w })
}

// Book is all that a crew holds.
type Book []Held

// candidate is a rule that has to do with an entry.
type candidate struct {
	h    Held
	r    *Rule
	sure tri
	why  What // why it is not sure

	replaced bool // not sure only because an exception to it may hold instead
}

// candidates are the rules for a fish on a day, the narrowest areas first. ended is a rule for it that is over.
func (b Book) candidates(c Case, f fish, day time.Time) (out []candidate, ended *candidate) {
	for _, h := range b {
		here := yes
		if c.Area == "" && h.Jurisdiction != ownPlace {
			here = perhaps
		} else if h.Jurisdiction != ownPlace && !h.HoldsIn(c.Area) {
			continue
		}
		var of []candidate
		for _, r := range h.all() {
			if !r.limits() {
				continue
			}
			x := candidate{h: h, r: r, sure: h.covers(r, f)}
			if x.sure == perhaps {
				x.why = FishUnsure
			}
			who, where := r.forMode(c.mode()), h.where(r).and(here)
			if x.sure == no || who == no || where == no {
				continue
			}
			if where == perhaps {
				x.why = AreaUnknown
			} else if who == perhaps && x.why == "" {
				x.why = WhoUnknown
			}
			x.sure = x.sure.and(who).and(where)
			if !r.during(day) {
				if x.sure == yes && r.kind == isRule && len(r.InForce) == 0 {
					ended = &x
				}
				continue
			}
			of = append(of, x)
		}
		for _, x := range of {
			of = slices.DeleteFunc(of, func(y candidate) bool {
				return y.r != nil && slices.Contains(x.r.ExceptionTo, y.r.ID) && x.sure == yes
			})
			for i := range of {
				if y := &of[i]; slices.Contains(x.r.ExceptionTo, y.r.ID) && y.sure == yes {
					y.sure, y.why, y.replaced = perhaps, x.why, true
				}
			}
		}
		out = append(out, of...)
	}
	slices.SortStableFunc(out, func(x, y candidate) int {
		return cmp.Or(cmp.Compare(y.sure, x.sure), cmp.Compare(x.r.kind, y.r.kind), cmp.Compare(y.h.narrow(y.r), x.h.narrow(x.r)))
	})
	return out, ended
}

func (c Case) mode() string { return cmp.Or(c.Mode, Shore) }

// day is a calendar day of the place, as midnight UTC, so that it can be compared with dates that have no zone.
func (c Case) day(t time.Time) time.Time {
	zone := c.Zone
	if zone == nil {
		zone = time.UTC
	}
	y, m, d := t.In(zone).Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

// keeping is how many of an entry are kept, or would be.
func keeping(e catch.Entry) int {
	if e.Kept != nil {
		return *e.Kept
	}
	n := e.Count
	if e.Released != nil {
		n -= *e.Released
	}
	return max(0, n)
}

// Judge says what the rules held say about an entry that is already in the days. Only kept fish are judged; with keeping unsaid,
// as if it were kept, for there is still time to let it go. What was let go breaks no rule but that nobody may fish for it.
func (b Book) Judge(c Case, e catch.Entry) Answer {
	if e.Blank {
		return Answer{Verdict: catch.Allowed}
	}
	keep := keeping(e)
	cands, ended := b.candidates(c, fishOf(e), c.day(e.At))
	a := Answer{Verdict: catch.Allowed}
	if keep == 0 {
		for _, x := range cands {
			if x.sure != yes {
				continue
			}
			a.take(x.firm(c, slices.DeleteFunc(x.seasons(c, e), func(f Finding) bool { return f.What != ClosedFish })), false)
		}
		a.decide()
		return a
	}
	own := false
	for _, x := range cands {
		found := x.evaluate(c, e, keep)
		if x.sure != yes {
			// What may not hold cannot forbid. Where it would, or cannot say, the answer hangs on whether it holds.
			if slices.ContainsFunc(found, func(f Finding) bool { return f.Level != Note }) {
				a.take([]Finding{x.finding(x.why, Unknown)}, false)
				continue
			}
			if !x.replaced {
				continue
			}
			// It or its exception holds, and by it nothing speaks against the fish.
		}
		own = own || x.r.kind != isCap || x.h.ListsAll // then nothing but the cap is held for it because there is nothing
		for _, f := range found {
			if f.Count != nil && f.What == counted {
				a.Counts = append(a.Counts, *f.Count)
			}
		}
		found = slices.DeleteFunc(found, func(f Finding) bool { return f.What == counted })
		a.take(x.firm(c, found), x.r.kind == isRule)
	}
	if e.Kept == nil {
		a.take([]Finding{{What: KeptUnsaid, Level: Unknown}}, false)
	}
	if !own {
		i := slices.IndexFunc(cands, func(x candidate) bool { return x.r.kind != isCap })
		switch {
		case i >= 0:
			a.take([]Finding{cands[i].finding(cands[i].why, Unknown)}, false)
		case ended != nil:
			a.take([]Finding{ended.finding(Ended, Unknown)}, false)
		default:
			a.take([]Finding{{What: NoRule, Level: Unknown}}, false)
		}
	} else if x := cands[0]; len(a.Counts) == 0 && x.sure == yes && x.r.Possession == nil {
		a.take([]Finding{x.finding(NoBagHeld, Note)}, true)
	}
	a.decide()
	return a
}

// Add is a finding more, and the verdict with it.
func (a *Answer) Add(f Finding) {
	a.take([]Finding{f}, false)
	a.decide()
}

// take adds findings, each kind once but for those of different rules that forbid.
func (a *Answer) take(found []Finding, own bool) {
	for _, f := range found {
		if f.What != fine && (f.Level == Broken || !a.Has(f.What)) {
			a.Findings = append(a.Findings, f)
		}
		if own && a.From == nil {
			x := f
			a.From = &x
		}
	}
}

// decide orders what was found and gives the verdict.
func (a *Answer) decide() {
	slices.SortStableFunc(a.Findings, func(x, y Finding) int { return cmp.Compare(y.Level, x.Level) })
	slices.SortStableFunc(a.Counts, func(x, y Count) int { return cmp.Compare(x.room(), y.room()) })
	if a.Verdict = catch.Allowed; len(a.Findings) == 0 {
		return
	}
	switch a.Findings[0].Level {
	case Broken:
		a.Verdict = catch.NotAllowed
	case Unknown:
		a.Verdict = catch.CannotTell
	}
	if f := a.Findings[0]; f.Rule != nil && f.Level != Note || a.From == nil && f.Rule != nil {
		a.From = &f
	}
}

func (x candidate) finding(w What, l Level) Finding {
	f := Finding{What: w, Level: l, Pack: x.h.Pack, Rule: x.r, Stated: x.h.stated(x.r)}
	if w == AreaUnknown {
		for _, a := range x.h.Areas {
			f.Areas = append(f.Areas, a.Name)
		}
	}
	return f
}

// firm weakens what a rule says by how far it can be trusted. A stale rule still forbids: letting a fish go is never wrong.
// An example or a second-hand text forbids nothing and allows nothing.
func (x candidate) firm(c Case, found []Finding) []Finding {
	st := x.h.stated(x.r)
	weak := What("")
	switch {
	case x.h.Example:
		weak = OnlyExample
	case st.Provenance == Secondary:
		weak = SecondHand
	}
	if weak != "" {
		for i := range found {
			found[i].Level = min(found[i].Level, Unknown)
		}
		return append([]Finding{x.finding(weak, Unknown)}, found...)
	}
	if x.r.BagFrom == Secondary {
		for i := range found {
			if f := &found[i]; f.Level == Broken && f.Count != nil {
				f.Level = Unknown
				found = append(found, x.finding(SecondHand, Unknown))
			}
		}
	}
	if st.StaleAt(c.Now) {
		found = append(found, x.finding(Old, Unknown))
	}
	if x.r.Default && !x.h.ListsAll {
		found = append(found, x.finding(DefaultBare, Unknown))
		for i := range found {
			found[i].Level = min(found[i].Level, Unknown)
		}
	}
	if x.r.Disagree != "" {
		found = append(found, x.finding(Differs, Unknown))
	}
	return found
}

// evaluate says everything that one rule says about an entry.
func (x candidate) evaluate(c Case, e catch.Entry, keep int) (out []Finding) {
	out = append(out, x.seasons(c, e)...)
	out = append(out, x.sizes(c, e, keep)...)
	out = append(out, x.bags(c, e)...)
	if x.r.Needs != "" {
		out = append(out, x.finding(NeedsPaper, Unknown))
	}
	if len(out) == 0 && x.r.kind == isRule {
		out = append(out, x.finding(fine, Note))
	}
	return out
}

const (
	fine    What = "fine"    // a rule that has nothing against it; only to name it
	counted What = "counted" // carries a count
)

func (x candidate) seasons(c Case, e catch.Entry) (out []Finding) {
	day := c.day(e.At)
	only, open := -1, false
	for i, s := range x.r.Seasons {
		where := x.h.within(s.Where)
		if s.Means == KeepOnly {
			if where == no {
				continue
			}
			only, open = i, open || s.holds(day)
			continue
		}
		if !s.holds(day) || where == no {
			continue
		}
		f := x.finding(ClosedKeep, Broken)
		if s.Means == NoFish {
			f.What = ClosedFish
		}
		f.Season = &x.r.Seasons[i]
		if where == perhaps {
			f = x.finding(AreaUnknown, Unknown)
			f.Season = &x.r.Seasons[i]
		}
		out = append(out, f)
	}
	if only >= 0 && !open {
		f := x.finding(ClosedKeep, Broken)
		f.Season = &x.r.Seasons[only]
		out = append(out, f)
	}
	return out
}
