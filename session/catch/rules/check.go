package rules

import (
	"regexp"
	"slices"
	"strings"
)

var (
	idShape      = regexp.MustCompile(`^[a-z0-9][a-z0-9-]{0,39}$`)
	packShape    = regexp.MustCompile(`^[a-z0-9][a-z0-9-]{0,23}$`)
	placeShape   = regexp.MustCompile(`^[A-Z]{2}(-[A-Z0-9]{1,4})?$`)
	speciesShape = regexp.MustCompile(`^(\*|[A-Z][a-z-]{2,}( [a-z-]{2,}| spp\.)?)$`)
	measureShape = regexp.MustCompile(`^[A-Z]{2,4}$`)
)

// check looks at what a file means: what it names must be there, and what cannot both be is refused.
func (p *Pack) check(n *node) error {
	at := func(field string) *node {
		if f := n.field(field); f != nil {
			return f
		}
		return &node{line: n.line, path: field}
	}
	switch {
	case p.Format != Format:
		return at("format").refuse(WhyWord, "1")
	case !packShape.MatchString(p.ID):
		return at("id").refuse(WhyWord, "nsw-salt")
	case p.Title == "":
		return at("title").refuse(WhyMissing, "title: …")
	case !placeShape.MatchString(p.Jurisdiction):
		return at("jurisdiction").refuse(WhyWord, "AU-NSW, IE, US-CA")
	case p.Source == "":
		return at("source").refuse(WhyMissing, "source: …")
	case p.AsOf == "":
		return at("as_of").refuse(WhyMissing, "as_of: 2025-03-01")
	case !slices.Contains(provenances, p.Provenance):
		return at("provenance").refuse(WhyWord, words(provenances))
	case len(p.Rules) == 0:
		return at("rules").refuse(WhyMissing, "rules: …")
	}
	for i, c := range p.Covers {
		if !placeShape.MatchString(c) {
			return at("covers").vals[i].refuse(WhyWord, "ES, FR, PT")
		}
	}
	if err := p.checkAreas(at("areas")); err != nil {
		return err
	}
	seen := map[string]bool{}
	for _, part := range []struct {
		field string
		list  []*Rule
		kind  kind
	}{{"groups", p.Groups, isGroup}, {"caps", p.Caps, isCap}, {"rules", p.Rules, isRule}} {
		for i, r := range part.list {
			x := at(part.field).vals[i]
			r.kind = part.kind
			if seen[r.ID] {
				return x.get("id").refuse(WhyTwice, "")
			}
			seen[r.ID] = true
			if err := p.checkRule(r, x); err != nil {
				return err
			}
		}
	}
	for _, part := range []struct {
		field string
		list  []*Rule
	}{{"groups", p.Groups}, {"caps", p.Caps}, {"rules", p.Rules}} {
		for i, r := range part.list {
			x := at(part.field).vals[i]
			for _, id := range r.ExceptionTo {
				if !seen[id] || id == r.ID {
					return x.get("exception_to").say(id).refuse(WhyNoSuch, "")
				}
			}
			if err := p.checkInside(r, x.get("inside"), nil); err != nil {
				return err
			}
		}
	}
	return nil
}

// get is a field, or the place where it should be.
func (n *node) get(field string) *node {
	if f := n.field(field); f != nil {
		return f
	}
	return &node{line: n.line, path: joinPath(n.path, field)}
}

// say is the node with other words in it.
func (n *node) say(text string) *node {
	out := *n
	out.text = text
	return &out
}

var provenances = []Provenance{Official, Copied, Secondary, OwnWord}

func words[S ~string](of []S) string {
	var out []string
	for _, s := range of {
		out = append(out, string(s))
	}
	return strings.Join(out, "; ")
}

func (p *Pack) area(id string) (Area, bool) {
	i := slices.IndexFunc(p.Areas, func(a Area) bool { return a.ID == id })
	if i < 0 {
		return Area{}, false
	}
	return p.Areas[i], true
}

func (p *Pack) checkAreas(n *node) error {
	for i, a := range p.Areas {
		x := n.vals[i]
		switch {
		case !idShape.MatchString(a.ID):
			return x.get("id").refuse(WhyWord, "west-coast")
		case a.Name == "":
			return x.get("name").refuse(WhyMissing, "name: …")
		case slices.ContainsFunc(p.Areas[:i], func(b Area) bool { return a.ID == b.ID || strings.EqualFold(a.Name, b.Name) }):
			return x.get("id").refuse(WhyTwice, "")
		}
	}
	for i, a := range p.Areas {
		x := n.vals[i].get("inside")
		for up, steps := a.Inside, 0; up != ""; steps++ {
			b, ok := p.area(up)
			if !ok {
				return x.refuse(WhyNoSuch, "")
			}
			if steps > len(p.Areas) {
				return x.refuse(WhyCircle, "")
			}
			up = b.Inside
		}
	}
	return nil
}

func (p *Pack) checkInside(r *Rule, n *node, above []string) error {
	for _, id := range r.Inside {
		i := slices.IndexFunc(p.Groups, func(g *Rule) bool { return g.ID == id })
		if i < 0 {
			return n.say(id).refuse(WhyNoSuch, "")
		}
		if slices.Contains(above, id) || id == r.ID || len(above) > mostDepth {
			return n.say(id).refuse(WhyCircle, "")
		}
		if err := p.checkInside(p.Groups[i], n, append(slices.Clone(above), id)); err != nil {
			return err
		}
	}
	return nil
}

func (p *Pack) checkRule(r *Rule, n *node) error {
	if !idShape.MatchString(r.ID) {
		return n.get("id").refuse(WhyWord, "bream-length")
	}
	if r.kind == isCap && len(r.Species) == 0 || r.Default && len(r.Species) == 0 {
		r.Species = []string{"*"}
	}
	if len(r.Species)+len(r.Named) == 0 && !(r.kind == isGroup && p.hasMember(r.ID)) {
		return n.get("species").refuse(WhyMissing, "species: [Sparus aurata]")
	}
	for _, field := range []struct {
		name string
		list []string
	}{{"species", r.Species}, {"but", r.But}} {
		for i, s := range field.list {
			if !speciesShape.MatchString(s) {
				x := n.get(field.name)
				if i < len(x.vals) {
					x = x.vals[i]
				}
				return x.refuse(WhyWord, "Sparus aurata; Sebastes spp.; Labridae; *")
			}
		}
	}
	if r.Name == "" {
		return n.get("name").refuse(WhyMissing, "name: bream")
	}
	for field, list := range map[string][]string{"areas": r.Areas, "not_in": r.NotIn} {
		for _, id := range list {
			if _, ok := p.area(id); !ok {
				return n.get(field).say(id).refuse(WhyNoSuch, "")
			}
		}
	}
	for _, w := range []struct {
		field, said string
		of          []string
	}{
		{"measure_stated", r.MeasureFrom, []string{"", "yes", "assumed"}},
		{"inclusive", r.Inclusive, []string{"", "both", "none", "min", "max"}},
		{"counts_released", r.Counts, []string{"", "no", "yes"}},
		{"provenance", string(r.Provenance), []string{"", string(Official), string(Copied), string(Secondary), string(OwnWord)}},
		{"bag_provenance", string(r.BagFrom), []string{"", string(Official), string(Copied), string(Secondary), string(OwnWord)}},
	} {
		if !slices.Contains(w.of, w.said) {
			return n.get(w.field).refuse(WhyWord, words(slices.DeleteFunc(slices.Clone(w.of), func(s string) bool { return s == "" })))
		}
	}
	if m := r.Applies.Mode; m != "" && m != Shore && m != Boat {
		return n.get("applies").get("mode").refuse(WhyWord, "shore; boat")
	}
	if r.Measure != "" && !measureShape.MatchString(string(r.Measure)) {
		return n.get("measure").refuse(WhyWord, "TL; FL; CL")
	}
	if err := p.checkLimits(r, n); err != nil {
		return err
	}
	for _, part := range []struct {
		field string
		list  []Season
	}{{"seasons", r.Seasons}, {"in_force", r.InForce}} {
		for i, s := range part.list {
			x := n.get(part.field).vals[i]
			switch {
			case !s.From.set:
				return x.get("from").refuse(WhyMissing, "from: 15 Oct")
			case !s.To.set:
				return x.get("to").refuse(WhyMissing, "to: end of Feb")
			case (s.From.Year == 0) != (s.To.Year == 0), s.From.Year != 0 && s.To.before(s.From):
				return x.get("to").refuse(WhyClash, "")
			case part.field == "seasons" && !slices.Contains([]string{NoFish, NoKeep, KeepOnly, Closed}, s.Means):
				return x.get("means").refuse(WhyWord, "no-fish; no-keep; keep-only; closed")
			}
			for _, id := range s.Where {
				if _, ok := p.area(id); !ok {
					return x.get("where").say(id).refuse(WhyNoSuch, "")
				}
			}
		}
	}
	for i, g := range r.Gear {
		x := n.get("gear").vals[i]
		if g.What == "" {
			return x.get("what").refuse(WhyMissing, "what: rods")
		}
		for _, id := range g.Areas {
			if _, ok := p.area(id); !ok {
				return x.get("areas").say(id).refuse(WhyNoSuch, "")
			}
		}
	}
	return nil
}

func (p *Pack) checkLimits(r *Rule, n *node) error {
	switch {
	case r.Min != nil && r.Max != nil && r.Min.UM > r.Max.UM:
		return n.get("max").refuse(WhyClash, "")
	case r.EitherOr && (r.Min == nil || r.MinWeight == nil):
		return n.get("either_or").refuse(WhyClash, "min, min_weight")
	case r.Over != nil && r.Over.Than == nil:
		return n.get("over").get("than").refuse(WhyMissing, "than: 24 in")
	case r.Over != nil && n.get("over").field("n") == nil:
		return n.get("over").get("n").refuse(WhyMissing, "n: 1")
	case r.Processed != nil && r.Processed.Min == nil:
		return n.get("processed").get("min").refuse(WhyMissing, "min: 10 in")
	case r.Undersize > 0 && r.Min == nil && r.MinWeight == nil:
		return n.get("undersize").refuse(WhyClash, "min")
	case r.OfOneKind > 0 && r.Bag == nil:
		return n.get("of_one_kind").refuse(WhyClash, "bag")
	case r.Possession != nil && r.Possession.Times > 0 && !p.hasBag(r):
		return n.get("possession").refuse(WhyClash, "bag")
	case !r.ValidFrom.IsZero() && !r.ValidTo.IsZero() && r.ValidTo.Before(r.ValidFrom.Time):
		return n.get("valid_to").refuse(WhyClash, "")
	case r.Applies.AgeTo > 0 && r.Applies.AgeTo < r.Applies.AgeFrom:
		return n.get("applies").get("age_to").refuse(WhyClash, "")
	}
	return nil
}

// hasBag says whether a rule, or a group it is inside, has a bag for a possession limit to be counted from.
func (p *Pack) hasBag(r *Rule) bool {
	return r.Bag != nil || slices.ContainsFunc(p.Groups, func(g *Rule) bool { return slices.Contains(r.Inside, g.ID) && g.Bag != nil })
}

func (p *Pack) hasMember(group string) bool {
	return slices.ContainsFunc(append(slices.Clone(p.Rules), p.Groups...), func(r *Rule) bool { return slices.Contains(r.Inside, group) })
}
