package rules

import (
	"math"
	"slices"

	"ledgehand/session/catch"
)

// How badly one fish breaks a size rule.
const (
	fits    = iota
	fitsBy  // by so little that it must be measured again
	misses  // by as little
	fails   //
	unknown // not measured, or not so that it can be held against the rule
)

// graded is one fish held against a rule.
type graded struct {
	grade  int
	what   What
	um     int
	limit  int
	ug     int64
	given  Measure // measured another way
	over   bool    // longer than what only some may be
	small  bool    // under the minimum, and let pass if there are not too many
	unsure bool    // whether it is over is not known
}

// sizes compares lengths and weights without rounding. Which of several fish was kept is only known when all were; else the
// kept ones are taken to be those that fit best. A fish that was not measured may fit: where the answer hangs on it, it is not known.
func (x candidate) sizes(c Case, e catch.Entry, keep int) (out []Finding) {
	r := x.r
	if r.Min == nil && r.Max == nil && r.MinWeight == nil && r.Over == nil {
		return nil
	}
	all := x.grade(c, e)
	slices.SortStableFunc(all, func(a, b graded) int { return a.grade - b.grade })
	fit, measured := 0, 0
	for _, g := range all {
		if g.grade <= fitsBy {
			fit++
		}
		if g.grade != unknown {
			measured++
		}
	}
	say := func(g graded, w What, l Level) {
		f := x.finding(w, l)
		f.UM, f.Limit, f.UG, f.Given = g.um, g.limit, g.ug, g.given
		if r.MinWeight != nil {
			f.LimUG = r.MinWeight.UG
		}
		out = append(out, f)
	}
	unmeasured := len(all) - measured
	left := keep
	if left > fit {
		left -= unmeasured
	}
	if r.Min != nil || r.Max != nil || r.MinWeight != nil {
		switch {
		case keep > fit && left <= fit: // it hangs on what was not measured
			say(all[len(all)-1], all[len(all)-1].what, Unknown)
		default:
			worst := all[min(left, measured)-1]
			switch worst.grade {
			case fails:
				say(worst, worst.what, Broken)
			case misses:
				say(worst, worst.what, Broken)
				say(worst, near(worst.what), Broken)
			case fitsBy:
				say(worst, worst.what, Note)
			default:
				say(worst, fine, Note)
			}
			if worst.given != "" {
				say(worst, Converted, Note)
			}
			// Where the source does not say how to measure, a fish that passes one way may fail another.
			if worst.grade <= fitsBy && r.lengths() && (r.MeasureFrom == "assumed" || r.Measure == "") && x.h.stated(r).Provenance != OwnWord {
				say(worst, HowUnsaid, Unknown)
			}
		}
	}
	return append(out, x.allowances(c, e)...)
}

func (r *Rule) lengths() bool { return r.Min != nil || r.Max != nil || r.Over != nil }

func near(w What) What {
	switch w {
	case Short:
		return NearMin
	case Light:
		return NearWeight
	}
	return NearMax
}

// grade holds every fish of an entry against a rule; there are as many as were caught.
func (x candidate) grade(c Case, e catch.Entry) []graded {
	n := max(e.Count, 1)
	out := make([]graded, n)
	for i := range out {
		um, ug := -1, int64(-1)
		if !e.Estimated {
			if i < len(e.LengthsUM) {
				um = e.LengthsUM[i]
			}
			// Which weight is of which fish is only known when there is one for each.
			if len(e.WeightsG) == n || len(e.LengthsUM) == 0 && i < len(e.WeightsG) {
				ug = int64(math.Round(e.WeightsG[i] * 1e6))
			}
		}
		out[i] = x.gradeOne(c, e, um, ug)
	}
	return out
}

func (x candidate) gradeOne(c Case, e catch.Entry, um int, ug int64) graded {
	r := x.r
	length := x.gradeLength(c, e, um)
	if r.MinWeight == nil {
		return length
	}
	weight := graded{grade: unknown, what: NotWeighed}
	if ug >= 0 {
		weight = graded{what: Light, ug: ug}
		margin := int64(float64(r.MinWeight.UG) * nearWeight)
		switch {
		case ug < r.MinWeight.UG-margin:
			weight.grade = fails
		case ug < r.MinWeight.UG || r.exclusive(true) && ug == r.MinWeight.UG:
			weight.grade = misses
		case ug < r.MinWeight.UG+margin:
			weight.grade, weight.what = fitsBy, NearWeight
		default:
			weight.what = ""
		}
	}
	if !r.lengths() {
		return x.pardon(weight)
	}
	if r.EitherOr {
		a, b := length, weight
		if b.grade < a.grade {
			a, b = b, a
		}
		if a.grade != unknown && a.grade >= misses && b.grade == unknown {
			return b // the other may save it
		}
		if a.grade >= misses && a.grade != unknown && length.grade != unknown {
			return x.pardon(length)
		}
		return a
	}
	if weight.grade > length.grade && !(weight.grade == unknown && length.grade >= misses) {
		return x.pardon(weight)
	}
	return x.pardon(length)
}

// pardon lets an undersize fish pass where some may be; how many there are is counted apart.
func (x candidate) pardon(g graded) graded {
	if x.r.Undersize > 0 && (g.what == Short || g.what == Light) && (g.grade == misses || g.grade == fails) {
		g.grade, g.what, g.small = fits, "", true
	}
	return g
}

func (x candidate) gradeLength(c Case, e catch.Entry, um int) graded {
	r := x.r
	if !r.lengths() {
		return graded{}
	}
	if um < 0 {
		return graded{grade: unknown, what: NotMeasured, unsure: r.Over != nil}
	}
	least, most := 0, 0
	if r.Min != nil {
		least = r.Min.UM
	}
	if r.Max != nil {
		most = r.Max.UM
	}
	near := c.Near
	if near == 0 {
		near = Near
	}
	g := graded{um: um}
	given := Measure(e.Measure)
	switch {
	case given == AL && r.Processed != nil:
		least, most = r.Processed.Min.UM, 0
	case given != "" && r.Measure != "" && given != r.Measure:
		g.given = given
		to, ok := 0, false
		if c.Convert != nil {
			to, ok = c.Convert(e, given, r.Measure, um)
		}
		margin := func(limit int) int { return int(float64(limit) * nearConverted) }
		close := func(limit int) bool { return limit > 0 && to > limit-margin(limit) && to < limit+margin(limit) }
		if !ok || close(least) || close(most) || r.Over != nil && close(r.Over.Than.UM) {
			return graded{grade: unknown, what: OtherWay, um: um, given: given, unsure: r.Over != nil}
		}
		um = to
	}
	if r.Over != nil && um > r.Over.Than.UM {
		g.over = true
		if most > 0 && r.Over.N > 0 {
			most = 0 // that there are not too many of them is counted apart
		}
	}
	switch {
	case least > 0 && um < least-near:
		g.grade, g.what, g.limit = fails, Short, least
	case least > 0 && (um < least || r.exclusive(true) && um == least):
		g.grade, g.what, g.limit = misses, Short, least
	case most > 0 && um > most+near:
		g.grade, g.what, g.limit = fails, Long, most
	case most > 0 && (um > most || r.exclusive(false) && um == most):
		g.grade, g.what, g.limit = misses, Long, most
	case least > 0 && um < least+near:
		g.grade, g.what, g.limit = fitsBy, NearMin, least
	case most > 0 && um > most-near:
		g.grade, g.what, g.limit = fitsBy, NearMax, most
	}
	if r.EitherOr {
		return g
	}
	return x.pardon(g)
}

// exclusive says whether a fish right on the edge may not be kept.
func (r *Rule) exclusive(least bool) bool {
	switch r.Inclusive {
	case "none":
		return true
	case "min":
		return !least
	case "max":
		return least
	}
	return false
}

// allowances counts the fish that are allowed to be too long or too small, over the period of the bag.
func (x candidate) allowances(c Case, e catch.Entry) (out []Finding) {
	count := func(is, maybe func(graded) bool, everybody bool) (sure, possible int) {
		for _, s := range x.counted(c, e, x.r, x.period(), everybody, false) {
			if s.sure == no {
				continue
			}
			bad, open := 0, 0
			for _, g := range x.grade(c, s.e) {
				if is(g) {
					bad++
				} else if maybe(g) {
					open++
				}
			}
			keep := keeping(s.e)
			most := min(keep, bad+open)
			if s.e.Kept != nil && s.sure == yes {
				sure += max(0, keep-(max(s.e.Count, 1)-bad))
			}
			possible += most
		}
		return sure, possible
	}
	tell := func(w What, sure, possible, most int) {
		f := x.finding(w, Broken)
		if sure <= most {
			if possible <= most {
				return
			}
			f.What, f.Level = LongOnes, Unknown
		}
		f.Count = &Count{Pack: x.h.Pack, Rule: x.r, Who: e.Who, Kept: sure, Unsure: possible - sure, Limit: most, Period: x.period()}
		if x.r.Over != nil {
			f.Limit = x.r.Over.Than.UM
		}
		out = append(out, f)
	}
	if o := x.r.Over; o != nil {
		over := func(g graded) bool { return g.over }
		unsure := func(g graded) bool { return g.unsure }
		sure, possible := count(over, unsure, false)
		tell(OverLong, sure, possible, o.N)
		if o.Vessel > 0 && c.mode() == Boat {
			sure, possible := count(over, unsure, true)
			tell(OverVessel, sure, possible, o.Vessel)
		}
	}
	if n := x.r.Undersize; n > 0 {
		sure, possible := count(func(g graded) bool { return g.small }, func(g graded) bool { return g.grade == unknown }, false)
		tell(OverSmall, sure, possible, n)
	}
	return out
}

func (x candidate) period() string {
	if x.r.Bag != nil {
		return x.r.Bag.Period
	}
	return Day
}
