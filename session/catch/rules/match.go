package rules

import (
	"slices"
	"strings"
	"time"

	"ledgehand/session/catch"
	"ledgehand/session/catch/names"
)

// tri is no, perhaps or yes.
type tri int

const (
	no tri = iota
	perhaps
	yes
)

func (t tri) and(o tri) tri { return min(t, o) }

// fish is which fish an entry is of, as far as that is known.
type fish struct {
	id     string // as the entry has it
	sci    string // scientific name, "" when not resolved
	called []string
}

func fishOf(e catch.Entry) fish {
	f := fish{id: e.Species}
	for _, n := range []string{e.Species, e.Named} {
		if n = names.Fold(n); n != "" {
			f.called = append(f.called, n)
		}
	}
	if s, ok := names.ByID(e.Species); ok {
		f.sci = s.Scientific
		f.called = append(f.called, names.Fold(s.Canonical))
	}
	return f
}

// is says whether a fish falls under one name of a rule.
func (f fish) is(pattern string) tri {
	if pattern == "*" {
		return yes
	}
	if f.sci == "" {
		return perhaps
	}
	genus, _, two := strings.Cut(f.sci, " ")
	want, rest, ofGenus := strings.Cut(pattern, " ")
	switch {
	case !ofGenus && strings.EqualFold(f.sci, want): // known by its family alone
		return yes
	case !two: // only the family is known of it
		if families[want] == f.sci {
			return perhaps
		}
		return no
	case ofGenus && rest == "spp.":
		return when(genus == want)
	case ofGenus:
		return when(strings.EqualFold(f.sci, pattern))
	}
	family, known := families[genus]
	if !known {
		return perhaps
	}
	return when(family == want || genus == want)
}

func when(b bool) tri {
	if b {
		return yes
	}
	return no
}

// under says whether a rule's own list has a fish. A fish known by a plain name that the pack has is not taken for any other.
func (p *Pack) under(r *Rule, f fish) tri {
	out := no
	settled := f.sci == "" && p.names(f)
	for _, s := range r.Species {
		if t := f.is(s); t != perhaps || !settled {
			out = max(out, t)
		}
	}
	for _, n := range r.Named {
		if slices.Contains(f.called, names.Fold(n)) {
			out = yes
		}
	}
	if r.Open && out == no && !p.ownRule(f) {
		out = perhaps
	}
	if r.ButOpen && !p.ownRule(f) {
		out = out.and(perhaps)
	}
	for _, s := range r.But {
		switch f.is(s) {
		case yes:
			return no
		case perhaps:
			out = out.and(perhaps)
		}
	}
	return out
}

// names says whether a rule of the pack calls a fish by a name it was given.
func (p *Pack) names(f fish) bool {
	for _, r := range p.all() {
		for _, n := range r.Named {
			if slices.Contains(f.called, names.Fold(n)) {
				return true
			}
		}
	}
	return false
}

// ownRule says whether the pack has a rule for this very fish: then it is none of the "others" of an open list.
func (p *Pack) ownRule(f fish) bool {
	return slices.ContainsFunc(p.Rules, func(r *Rule) bool {
		return !r.Open && !r.Default && slices.ContainsFunc(r.Species, func(s string) bool { return s != "*" && f.is(s) == yes })
	})
}

// Elsewhere is the place of a crew that fishes in none of a pack's areas.
const Elsewhere = "-"

// Held is a pack and where in it the crew fishes.
type Held struct {
	*Pack
	Place string // an area's id, Elsewhere, or "": not said
}

// in says whether the crew fishes in an area.
func (h Held) in(id string) tri {
	if h.Place == "" {
		return perhaps
	}
	up := func(from, to string) bool {
		for steps := 0; from != "" && steps <= len(h.Areas); steps++ {
			if from == to {
				return true
			}
			a, _ := h.area(from)
			from = a.Inside
		}
		return false
	}
	switch {
	case h.Place == Elsewhere:
		return no
	case up(h.Place, id):
		return yes
	case up(id, h.Place): // somewhere in a wider one
		return perhaps
	}
	return no
}

func (h Held) within(areas []string) tri {
	if len(areas) == 0 {
		return yes
	}
	out := no
	for _, id := range areas {
		out = max(out, h.in(id))
	}
	return out
}

// where says whether a rule holds where the crew fishes.
func (h Held) where(r *Rule) tri {
	out := h.within(r.Areas)
	if len(r.NotIn) > 0 {
		out = out.and(yes - h.within(r.NotIn))
	}
	return out
}

// narrow is how many areas lie around the narrowest a rule is for: narrower ones are named first.
func (h Held) narrow(r *Rule) int {
	deep := 0
	for _, id := range r.Areas {
		n := 0
		for up := id; up != "" && n <= len(h.Areas); n++ {
			a, _ := h.area(up)
			up = a.Inside
		}
		deep = max(deep, n)
	}
	return deep
}

// during says whether a rule is in force on a day.
func (r *Rule) during(day time.Time) bool {
	if !r.ValidFrom.IsZero() && day.Before(r.ValidFrom.Time) || !r.ValidTo.IsZero() && day.After(r.ValidTo.Time) {
		return false
	}
	return len(r.InForce) == 0 || slices.ContainsFunc(r.InForce, func(s Season) bool { return s.holds(day) })
}

// for whom a rule is: licence and age are not known here.
func (r *Rule) forMode(mode string) tri {
	if r.Applies.Mode != "" && r.Applies.Mode != mode {
		return no
	}
	if r.Applies.Licence != "" || r.Applies.AgeFrom > 0 || r.Applies.AgeTo > 0 {
		return perhaps
	}
	return yes
}

// Ways of fishing.
const (
	Shore = "shore"
	Boat  = "boat"
)

// covers says whether a fish counts in a rule: by its own list, by that of a member of the group, or as what is listed nowhere.
func (p *Pack) covers(r *Rule, f fish) tri {
	if r.Default {
		return p.under(r, f).and(yes - p.lists(f))
	}
	out := p.under(r, f)
	if r.kind == isGroup && out != yes {
		for _, m := range append(slices.Clone(p.Rules), p.Groups...) {
			if slices.Contains(m.Inside, r.ID) {
				out = max(out, p.covers(m, f))
			}
		}
	}
	return out
}

// lists says whether a pack has a rule of its own for a fish, whether or not it holds here and now.
func (p *Pack) lists(f fish) tri {
	out := no
	for _, r := range append(slices.Clone(p.Rules), p.Groups...) {
		if !r.Default && !slices.Contains(r.Species, "*") && r.limits() {
			out = max(out, p.under(r, f))
		}
	}
	return out
}

// limits says whether a rule is about fish, not about gear alone.
func (r *Rule) limits() bool {
	return r.Min != nil || r.Max != nil || r.MinWeight != nil || r.Over != nil || r.Bag != nil || r.Possession != nil || r.Vessel != nil ||
		len(r.Seasons) > 0 || len(r.Inside) > 0 || r.Processed != nil || r.kind == isGroup
}

// HoldsIn says whether a pack is for a crew's area: the jurisdiction itself, or a part of it.
func (p *Pack) HoldsIn(area string) bool {
	area = strings.ToUpper(area)
	for _, j := range append([]string{p.Jurisdiction}, p.Covers...) {
		if area == j || strings.HasPrefix(area, j+"-") {
			return true
		}
	}
	return false
}
