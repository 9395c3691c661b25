package wording

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"ledgehand/session/catch"
	"ledgehand/session/catch/rules"
)

// mostFindings is how many things the rules say are said at once: the first decide, and the rest comes when they are settled.
const mostFindings = 2

// judgement is what the rules held say about an entry, in a line: what decides, how full the fullest bag is, and the rule with its
// date and source. "" for what swims away.
func (w Words) judgement(e catch.Entry, name string, a rules.Answer, now time.Time) string {
	if e.Kept != nil && *e.Kept == 0 && !a.Has(rules.ClosedFish) {
		return ""
	}
	var out []string
	against := false
	say := func(level rules.Level, most int) {
		for _, f := range a.Findings {
			if f.Level != level || passedOver(a, f) {
				continue
			}
			if level == rules.Unknown && f.What.Forbids() { // by an example, or by hearsay: never said as if it were the law
				against = true
				continue
			}
			if s := w.finding(f, e, name); s != "" && !slices.Contains(out, s) && len(out) < most {
				out = append(out, s)
			}
		}
	}
	say(rules.Broken, mostFindings)
	unknown := len(out)
	if len(out) == 0 {
		say(rules.Unknown, mostFindings)
	}
	unknown = len(out) - unknown
	if against && unknown > 0 {
		out[len(out)-1] += " " + w.T("weak_against")
	}
	old := a.Has(rules.Old) && a.From != nil
	if old {
		out = append(out, w.stale(a.From.Stated))
		unknown++
	}
	switch {
	case a.Verdict == catch.CannotTell && unknown > 0:
		out[len(out)-1] += " " + w.T("doubt_is_no")
	case a.Verdict == catch.CannotTell:
		out = append(out, w.T("kept_unsaid"))
	}
	if a.Has(rules.NoRule) {
		return strings.Join(append(out, w.T("rule_none_do")), " ")
	}
	if a.Verdict != catch.NotAllowed {
		n := len(out)
		say(rules.Note, n+1)
		if a.Verdict == catch.Allowed && (len(out) == n || a.Has(rules.Converted)) {
			out = slices.Insert(out, n, w.T("allowed"))
		}
	}
	if len(a.Counts) > 0 && e.Kept != nil && !a.Has(rules.OverBag) && !a.Has(rules.OnlyExample) {
		out = append(out, w.bagCount(a.Counts[0], e.Who))
	}
	if a.Has(rules.HomeUnsaid) && a.Verdict == catch.Allowed {
		out = append(out, w.T("home_unsaid"))
	}
	if a.From != nil && !old {
		out = append(out, w.ruleFrom(a.From.Stated))
	}
	return strings.Join(out, " ")
}

// passedOver says which findings are said by another, or in a place of their own.
func passedOver(a rules.Answer, f rules.Finding) bool {
	switch f.What {
	case rules.Short:
		return a.Has(rules.NearMin)
	case rules.Long:
		return a.Has(rules.NearMax)
	case rules.Light:
		return a.Has(rules.NearWeight)
	case rules.Old, rules.KeptUnsaid, rules.AtBag, rules.HomeUnsaid:
		return true
	}
	return false
}

// finding is one thing that a rule says.
func (w Words) finding(f rules.Finding, e catch.Entry, name string) string {
	has, bag, called := "", "", ""
	if f.Count != nil {
		has, bag = w.amounts(*f.Count)
	}
	if f.Rule != nil {
		called = Clean(f.Rule.Name, 60)
	}
	switch f.What {
	case rules.Short:
		return w.T("short", "len", w.Length(f.UM), "min", w.ruleLimit(f))
	case rules.Long:
		return w.T("long", "len", w.Length(f.UM), "max", w.ruleLimit(f))
	case rules.NearMin:
		return w.T("near_min", "len", w.Length(f.UM), "min", w.ruleLimit(f))
	case rules.NearMax:
		return w.T("near_max", "len", w.Length(f.UM), "max", w.ruleLimit(f))
	case rules.Light:
		return w.T("too_light", "has", w.ruleWeight(f.UG), "least", w.ruleWeight(f.LimUG))
	case rules.NearWeight:
		return w.T("near_weight", "has", w.ruleWeight(f.UG), "least", w.ruleWeight(f.LimUG))
	case rules.NotMeasured:
		return w.T("not_measured")
	case rules.NotWeighed:
		return w.T("not_weighed")
	case rules.OtherWay:
		return w.T("other_way", "want", w.howMeasured(f.Rule.Measure), "given", w.howMeasured(f.Given))
	case rules.Converted:
		return w.T("length_converted", "given", w.howMeasured(f.Given), "want", w.howMeasured(f.Rule.Measure))
	case rules.HowUnsaid:
		return w.T("how_unsaid")
	case rules.OverLong:
		return w.T("over_long", "who", e.Who, "has", has, "len", w.ruleLimit(f), "most", bag)
	case rules.OverSmall:
		return w.T("over_small", "who", e.Who, "has", has, "most", bag)
	case rules.LongOnes:
		return w.T("long_ones", "most", bag)
	case rules.OverBag:
		if own(f) {
			return w.T("over_bag", "who", e.Who, "over", f.Count.Over(), "bag", f.Count.Limit)
		}
		over := strconv.Itoa(f.Count.Over())
		if f.Count.Weighs() {
			over = w.ruleWeight(f.Count.OverUG())
		}
		return w.T("over_bag_of", "who", w.bagOf(*f.Count, e.Who), "over", over, "bag", bag, "name", called, "period", w.period(f.Count.Period))
	case rules.BagUnsure:
		if own(f) {
			return w.T("bag_unsure", "bag", f.Count.Limit)
		}
		return w.T("bag_unsure_of", "bag", bag, "name", called)
	case rules.BagUnweighd:
		return w.T("bag_unweighed", "bag", bag, "name", called)
	case rules.OneKind:
		return w.T("one_kind", "who", e.Who, "has", has, "most", bag)
	case rules.OverHeld:
		return w.T("over_possession", "who", e.Who, "has", has, "most", bag, "name", called)
	case rules.OverVessel:
		return w.T("over_vessel", "has", has, "most", bag)
	case rules.ClosedFish:
		return w.T("closed_fish", "fish", called, "from", w.dayOf(f.Season.From), "to", w.dayOf(f.Season.To))
	case rules.ClosedKeep:
		if f.Season.Means == rules.KeepOnly {
			return w.T("closed_outside", "fish", called, "from", w.dayOf(f.Season.From), "to", w.dayOf(f.Season.To))
		}
		return w.T("closed_keep", "fish", called, "from", w.dayOf(f.Season.From), "to", w.dayOf(f.Season.To))
	case rules.NeedsPaper:
		return w.T("needs_paper", "paper", Clean(f.Rule.Needs, 60))
	case rules.NoRule:
		return w.T("rule_none", "fish", name)
	case rules.Ended:
		return w.T("rule_ended", "fish", called)
	case rules.SecondHand:
		return w.T("second_hand")
	case rules.OnlyExample:
		return w.T("only_example", "title", Clean(f.Pack.Title, 80))
	case rules.AreaUnknown:
		if len(f.Areas) == 0 {
			return w.T("area_unsaid")
		}
		return w.T("area_unknown", "areas", someOf(f.Areas), "one", Clean(f.Areas[0], 60))
	case rules.WhoUnknown:
		return w.T("who_unknown", "name", called)
	case rules.FishUnsure:
		return w.T("fish_unsure", "fish", name, "name", called)
	case rules.DefaultBare:
		return w.T("default_bare", "title", Clean(f.Pack.Title, 80))
	case rules.Differs:
		return w.T("sources_differ", "words", Clean(f.Rule.Disagree, 200))
	case rules.Unread:
		return w.T("rules_cannot_be_read")
	}
	return ""
}

// ruleLimit is the length a fish was held against, in the words of its rule: what a rule says in inches is no whole number of
// millimetres, and must not look like one.
func (w Words) ruleLimit(f rules.Finding) string {
	r := f.Rule
	said := []*rules.Length{r.Min, r.Max}
	if r.Over != nil {
		said = append(said, r.Over.Than)
	}
	if r.Processed != nil {
		said = append(said, r.Processed.Min)
	}
	for _, l := range said {
		if l == nil || l.UM != f.Limit || l.Said == "" {
			continue
		}
		if here := w.Length(l.UM); here != l.Said && strings.Contains(l.Said, "in") != (w.Units == Imperial) {
			if w.Units == Metric {
				here = strconv.FormatFloat(float64(l.UM)/10_000, 'f', -1, 64) + " cm"
			}
			return l.Said + " (" + here + ")"
		}
		return l.Said
	}
	return w.Length(f.Limit)
}

// own says whether a rule is one that the crew typed.
func own(f rules.Finding) bool { return f.Stated.Provenance == rules.OwnWord && f.Pack.Title == "" }

// amounts are what is in a bag and what may be, with their unit where it is no number of fish.
func (w Words) amounts(c rules.Count) (has, of string) {
	if c.Weighs() {
		return w.ruleWeight(c.UG), w.ruleWeight(c.LimitUG)
	}
	return strconv.Itoa(c.Kept), strconv.Itoa(c.Limit)
}

// ruleWeight is a weight as rules write it: no decimals but those it has, to a gram.
func (w Words) ruleWeight(ug int64) string {
	per, unit := 1e9, " kg"
	if w.Units == Imperial {
		per, unit = 453_592_370, " lb"
	}
	return strconv.FormatFloat(round3(float64(ug)/per), 'f', -1, 64) + unit
}

func round3(x float64) float64 {
	y, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'f', 3, 64), 64)
	return y
}

func (w Words) howMeasured(m rules.Measure) string {
	switch m {
	case rules.TL:
		return w.T("rule_in_tl")
	case rules.FL:
		return w.T("rule_in_fl")
	}
	return Clean(string(m), 8)
}

// period is over which time a bag is counted.
func (w Words) period(p string) HTML {
	switch p {
	case rules.Any24:
		return HTML(w.T("period_24h"))
	case rules.Trip:
		return HTML(w.T("period_trip"))
	case rules.Year:
		return HTML(w.T("period_year"))
	}
	return HTML(w.T("period_day"))
}

// bagOf is the person a bag is of, or all of the party.
func (w Words) bagOf(c rules.Count, who string) string {
	if c.Party {
		return w.T("bag_party")
	}
	return who
}

// dayOf is a day of a season.
func (w Words) dayOf(d rules.When) string {
	out := strconv.Itoa(d.Day) + " " + w.T("mo"+strconv.Itoa(d.Month))
	if d.Month == 2 && d.Day == 29 && d.Year == 0 {
		return w.T("end_of_february")
	}
	if d.Year != 0 {
		out += " " + strconv.Itoa(d.Year)
	}
	return out
}

// bagCount is how full a bag is, after a catch.
func (w Words) bagCount(c rules.Count, who string) string {
	if c.Pack.Title == "" { // typed by the crew
		if c.Full() {
			return w.T("at_bag", "who", who, "n", c.Kept)
		}
		return w.T("bag_count", "who", who, "n", c.Kept, "bag", c.Limit)
	}
	has, of := w.amounts(c)
	if c.Full() {
		return w.T("bag_full_of", "who", w.bagOf(c, who), "has", has, "of", of, "name", Clean(c.Rule.Name, 60), "period", w.period(c.Period))
	}
	return w.T("bag_count_of", "who", w.bagOf(c, who), "has", has, "of", of, "name", Clean(c.Rule.Name, 60), "period", w.period(c.Period))
}

// BagLine is one bag of somebody, for the list of all.
func (w Words) BagLine(c rules.Count, who string, now time.Time) string {
	has, of := w.amounts(c)
	id := []any{"who", w.bagOf(c, who), "has", has, "of", of, "name", Clean(c.Rule.Name, 60), "period", w.period(c.Period)}
	var out string
	over := c.Kept > c.Limit
	if c.Weighs() {
		over = c.UG > c.LimitUG
	}
	room := strconv.Itoa(c.Room())
	if c.Weighs() {
		room = w.ruleWeight(max(0, c.LimitUG-c.MostUG))
	}
	switch {
	case over:
		out = w.T("bag_line_over", id...)
	case c.Full():
		out = w.T("bag_line_full", id...)
	case c.Weighs() && c.Blind > 0:
		out = w.T("bag_line_blind", append(id, "n", c.Blind)...) + " " + w.T("doubt_is_no")
	case c.Unsure > 0:
		out = w.T("bag_line_unsure", append(id, "n", c.Unsure, "room", room)...)
	default:
		out = w.T("bag_line", append(id, "room", room)...)
	}
	switch {
	case c.Pack.Example:
		out += " " + w.T("bag_example")
	case c.Stated.Provenance == rules.Secondary || c.Rule.BagFrom == rules.Secondary:
		out += " " + w.T("bag_second_hand")
	case c.Stated.StaleAt(now):
		out += " " + w.T("bag_stale") + " " + w.T("doubt_is_no")
	case !c.Sure:
		out += " " + w.T("bag_where")
	}
	return out
}

// ruleFrom is where a rule is from and how old it is.
func (w Words) ruleFrom(s rules.Stated) string {
	switch {
	case s.Provenance == rules.OwnWord && s.AsOf == "":
		return w.T("rule_from", "source", s.Source, "checked", w.Day(s.CheckedOn.Time))
	case s.CheckedOn.IsZero():
		return w.T("rule_from_unchecked", "source", Clean(s.Source, 160), "of", Clean(s.AsOf, 60))
	case s.Provenance == rules.Copied:
		return w.T("rule_from_copy", "source", Clean(s.Source, 160), "of", Clean(s.AsOf, 60), "checked", w.civil(s.CheckedOn.Time))
	}
	return w.T("rule_from_text", "source", Clean(s.Source, 160), "of", Clean(s.AsOf, 60), "checked", w.civil(s.CheckedOn.Time))
}

// civil is a day by the calendar, of no zone.
func (w Words) civil(t time.Time) string {
	w.Zone = time.UTC
	return w.Date(t)
}

// stale says that nobody compared a rule with the real one for too long.
func (w Words) stale(s rules.Stated) string {
	if s.CheckedOn.IsZero() {
		return w.T("rule_never_checked", "source", Clean(s.Source, 160), "of", Clean(s.AsOf, 60))
	}
	if s.AsOf == "" {
		return w.T("rule_stale", "checked", w.Date(s.CheckedOn.Time))
	}
	return w.T("rule_stale", "checked", w.civil(s.CheckedOn.Time))
}

// Pack is one pack in a line or two.
func (w Words) Pack(p *rules.Pack, place, area string, now time.Time) string {
	out := w.T("pack_line", "title", Clean(p.Title, 80), "id", p.ID, "place", p.Jurisdiction, "n", len(p.Rules)+len(p.Groups)+len(p.Caps), "of", Clean(p.AsOf, 60))
	switch {
	case p.Example:
		out += " " + w.T("pack_example") + " " + w.T("doubt_is_no")
	case p.CheckedOn.IsZero():
		out += " " + w.T("pack_never") + " " + w.T("doubt_is_no")
	case p.Stated.StaleAt(now):
		out += " " + w.T("pack_stale", "checked", w.civil(p.CheckedOn.Time)) + " " + w.T("doubt_is_no")
	default:
		out += " " + w.T("pack_checked", "checked", w.civil(p.CheckedOn.Time))
	}
	if !p.Example && p.Provenance == rules.Secondary {
		out += " " + w.T("pack_second_hand") + " " + w.T("doubt_is_no")
	}
	if area != "" && !p.HoldsIn(area) {
		out += " " + w.T("pack_other_place", "area", area, "place", p.Jurisdiction)
	} else if area == "" {
		out += " " + w.T("area_unsaid")
	}
	if len(p.Areas) == 0 {
		return out
	}
	if place == rules.Elsewhere {
		return out + " " + w.T("pack_elsewhere")
	}
	if a, ok := p.AreaNamed(place); ok {
		return out + " " + w.T("pack_area", "area", Clean(a.Name, 60))
	}
	return out + " " + w.T("pack_where", "areas", AreaNames(p), "one", Clean(p.Areas[0].Name, 60))
}

// someOf are some names in a list, no more than can be read.
func someOf(all []string) string {
	const most = 8
	var out []string
	for _, n := range all[:min(len(all), most)] {
		out = append(out, Clean(n, 60))
	}
	if len(all) > most {
		out = append(out, "…")
	}
	return strings.Join(out, "; ")
}

// AreaNames are the areas of a pack.
func AreaNames(p *rules.Pack) string {
	var all []string
	for _, a := range p.Areas {
		all = append(all, a.Name)
	}
	return someOf(all)
}

// PackRefused says why a file was not taken, where in it, and what to write instead.
func (w Words) PackRefused(r *rules.Refused) string {
	out := w.T("pack_refused")
	if r.Line > 0 {
		out += " " + w.T("pack_line_no", "line", r.Line)
	}
	if r.Field != "" {
		out += " <code>" + Escape(Clean(r.Field, 80)) + "</code>:"
	}
	out += " " + w.T("pack_why_"+string(r.Why))
	if r.Said != "" {
		out += " “" + Escape(Clean(r.Said, 60)) + "”."
	}
	if r.Want != "" {
		out += " " + w.T("pack_want", "want", r.Want)
	}
	return out
}

// RulesMode says how the crew is taken to fish.
func (w Words) RulesMode(mode string) string {
	if mode == rules.Boat {
		return w.T("rules_mode_boat")
	}
	return w.T("rules_mode_shore")
}

// RulesArea says where the crew is taken to fish.
func (w Words) RulesArea(name string) string {
	if strings.EqualFold(name, "elsewhere") {
		return w.T("rules_elsewhere")
	}
	return w.T("rules_area", "area", name)
}

// Gear are rules about gear and handling, a line each.
func (w Words) Gear(all []rules.GearRule) string {
	if len(all) == 0 {
		return w.T("gear_none")
	}
	out := []string{w.T("gear_head")}
	for _, g := range all[:min(len(all), mostGearLines)] {
		what := Clean(g.Handling, 80)
		g.What = Clean(g.What, 60)
		switch {
		case g.Handling != "":
		case g.Ban:
			what = w.T("gear_ban", "what", g.What)
		case g.Most > 0:
			what = w.T("gear_most", "what", g.What, "most", g.Most)
		default:
			what = g.What
		}
		if g.Text != "" {
			what += " (" + Clean(g.Text, 80) + ")"
		}
		l := w.T("gear_line", "what", what, "source", Clean(g.Stated.Source, 160), "of", Clean(g.Stated.AsOf, 60))
		if g.Where != "" && !g.Sure {
			l += " " + w.T("gear_where", "areas", Clean(g.Where, 120))
		}
		if g.Example {
			l += " " + w.T("bag_example")
		}
		out = append(out, l)
	}
	return strings.Join(out, "\n")
}

// mostGearLines bounds the list.
const mostGearLines = 10
