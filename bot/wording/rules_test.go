package wording

import (
	"testing"

	"ledgehand/session/catch"
	"ledgehand/session/catch/rules"
)

// packSamples are what larger rules say, each kind once, and what is said of the packs.
func packSamples(w Words, c cast) (out []sample) {
	now := at(8, 30)
	pack := &rules.Pack{ID: "example-coast", Title: "Example Coast", Jurisdiction: "US-CA", Areas: []rules.Area{{ID: "cove", Name: "The Cove"}, {ID: "bay", Name: "The Bay"}}}
	pack.Source, pack.AsOf, pack.Provenance, pack.CheckedOn = "Example Coast leaflet", "2026-01-01", rules.Official, rules.Date{Time: at(0, 0).AddDate(0, 0, -12)}
	r := &rules.Rule{ID: "bass", Name: "kelp bass", Min: &rules.Length{UM: 355_600, Said: "14 in"}, Max: &rules.Length{UM: 609_600, Said: "24 in"}, Measure: rules.TL, Needs: "bass card",
		MinWeight: &rules.Weight{UG: 2_267_961_850}, Disagree: "another page says 12 in", Bag: &rules.Bag{Amount: rules.Amount{N: rules.Number{Milli: 5000}, Unit: "fish"}}}
	e := catch.Entry{Who: c.chidi, Count: 1, Kept: ptr(1), Species: "kelp bass", Named: "kelp bass"}
	count := rules.Count{Pack: pack, Rule: r, Stated: pack.Stated, Who: c.chidi, Kept: 6, Unsure: 1, Limit: 5, Period: rules.Day, Sure: true}
	season := rules.Season{From: rules.When{Month: 10, Day: 15}, To: rules.When{Month: 2, Day: 29}, Means: rules.NoKeep}
	for _, what := range rules.Whats {
		for _, level := range []rules.Level{rules.Broken, rules.Unknown, rules.Note} {
			if level != levelOf(what) {
				continue
			}
			f := rules.Finding{What: what, Level: level, Pack: pack, Rule: r, Stated: pack.Stated, UM: 353_000, Limit: 355_600, UG: 2_200_000_000, LimUG: r.MinWeight.UG, Given: rules.FL, Count: &count, Season: &season, Areas: []string{"The Cove", "The Bay"}}
			if what == rules.NearMax || what == rules.Long {
				f.UM, f.Limit = 612_000, 609_600
			}
			var a rules.Answer
			a.From = &f
			if what == rules.NoRule || what == rules.Unread || what == rules.KeptUnsaid {
				f.Rule, a.From = nil, nil
			}
			if what == rules.AtBag {
				full := count
				full.Kept = 5
				a.Counts = []rules.Count{full}
			}
			a.Add(f)
			out = append(out, sample{string(what), w.judgement(e, "kelp bass", a, now)})
		}
	}
	kg := count
	kg.Limit, kg.LimitUG, kg.UG, kg.MostUG, kg.Unsure, kg.Period = 0, 5_000_000_000, 3_250_000_000, 3_250_000_000, 0, rules.Any24
	only := season
	only.Means = rules.KeepOnly
	for _, x := range []struct {
		name string
		f    rules.Finding
	}{
		{"over by weight", rules.Finding{What: rules.OverBag, Level: rules.Broken, Count: func() *rules.Count { n := kg; n.UG = 6_500_000_000; return &n }()}},
		{"closed but for a season", rules.Finding{What: rules.ClosedKeep, Level: rules.Broken, Season: &only}},
		{"whose rules", rules.Finding{What: rules.AreaUnknown, Level: rules.Unknown}},
	} {
		x.f.Pack, x.f.Rule, x.f.Stated = pack, r, pack.Stated
		var a rules.Answer
		a.Add(x.f)
		out = append(out, sample{x.name, w.judgement(e, "kelp bass", a, now)})
	}
	never, copied := pack.Stated, pack.Stated
	never.CheckedOn, copied.Provenance = rules.Date{}, rules.Copied
	for i, st := range []rules.Stated{never, copied} {
		name := []string{"never checked", "quoted"}[i]
		f := rules.Finding{What: rules.Old, Level: rules.Unknown, Pack: pack, Rule: r, Stated: st}
		if name == "quoted" {
			f.What, f.Level, f.UM, f.Limit = rules.NearMin, rules.Note, 356_000, 355_600
		}
		a := rules.Answer{From: &f, Counts: []rules.Count{kg}}
		a.Add(f)
		out = append(out, sample{name, w.judgement(e, "kelp bass", a, now)})
	}
	weak := rules.Finding{What: rules.SecondHand, Level: rules.Unknown, Pack: pack, Rule: r, Stated: pack.Stated}
	short := weak
	short.What, short.UM, short.Limit = rules.Short, 300_000, 355_600
	a := rules.Answer{From: &weak}
	a.Add(weak)
	a.Add(short)
	return append(out, sample{"short, by hearsay", w.judgement(e, "kelp bass", a, now)})
}

// levelOf is what a finding does to the answer.
func levelOf(what rules.What) rules.Level {
	switch what {
	case rules.NearMin, rules.NearMax, rules.NearWeight, rules.Converted, rules.AtBag, rules.HomeUnsaid, rules.NoBagHeld:
		return rules.Note
	}
	if what.Forbids() {
		return rules.Broken
	}
	return rules.Unknown
}

// bagSamples are the lines of the bags, and of what a crew holds.
func bagSamples(w Words, c cast) (out []sample) {
	now := at(8, 30)
	pack := &rules.Pack{ID: "example-coast", Title: "Example Coast", Jurisdiction: "US-CA"}
	pack.Source, pack.AsOf, pack.Provenance, pack.CheckedOn = "Example Coast leaflet", "2026-01-01", rules.Official, rules.Date{Time: at(0, 0).AddDate(0, 0, -12)}
	r := &rules.Rule{Name: "bass and perch"}
	base := rules.Count{Pack: pack, Rule: r, Stated: pack.Stated, Kept: 6, Limit: 10, Period: rules.Day, Sure: true}
	line := func(name string, change func(*rules.Count)) {
		n := base
		change(&n)
		out = append(out, sample{name, w.BagLine(n, c.chidi, now)})
	}
	line("room", func(*rules.Count) {})
	line("unsure", func(n *rules.Count) { n.Unsure = 2 })
	line("full", func(n *rules.Count) { n.Kept = 10 })
	line("over", func(n *rules.Count) { n.Kept = 11 })
	line("by weight", func(n *rules.Count) { n.LimitUG, n.UG, n.MostUG = 5_000_000_000, 3_250_000_000, 3_250_000_000 })
	line("not weighed", func(n *rules.Count) { n.LimitUG, n.Blind = 5_000_000_000, 2 })
	line("party", func(n *rules.Count) { n.Party, n.Period = true, rules.Trip })
	line("any 24 hours, if it holds", func(n *rules.Count) { n.Sure, n.Period = false, rules.Any24 })
	line("a year, stale", func(n *rules.Count) { n.Stated.CheckedOn, n.Period = rules.Date{}, rules.Year })
	line("second-hand", func(n *rules.Count) { n.Stated.Provenance = rules.Secondary })
	line("example", func(n *rules.Count) { n.Pack = &rules.Pack{Title: "Example Coast", Example: true} })

	held := func(name, place, area string, change func(*rules.Pack)) {
		p := *pack
		p.Areas = []rules.Area{{ID: "cove", Name: "The Cove"}, {ID: "bay", Name: "The Bay"}}
		change(&p)
		out = append(out, sample{"pack: " + name, w.Pack(&p, place, area, now)})
	}
	held("checked", "cove", "US-CA", func(*rules.Pack) {})
	held("elsewhere", rules.Elsewhere, "US-CA", func(*rules.Pack) {})
	held("area not said", "", "US-CA", func(*rules.Pack) {})
	held("stale", "cove", "US-CA", func(p *rules.Pack) { p.CheckedOn = rules.Date{Time: at(0, 0).AddDate(-2, 0, 0)} })
	held("never checked", "cove", "US-CA", func(p *rules.Pack) { p.CheckedOn = rules.Date{} })
	held("example", "cove", "US-CA", func(p *rules.Pack) { p.Example = true })
	held("second-hand", "cove", "US-CA", func(p *rules.Pack) { p.Provenance = rules.Secondary })
	held("of another place", "cove", "AU-NSW", func(*rules.Pack) {})
	held("place not said", "", "", func(p *rules.Pack) { p.Areas = nil })
	for _, why := range rules.Whys {
		out = append(out, sample{"refused: " + string(why), w.PackRefused(&rules.Refused{Line: 12, Field: "rules 3, min", Said: "25", Why: why, Want: "25 cm, 22 in"})})
	}
	out = append(out, sample{"shore", w.RulesMode(rules.Shore)}, sample{"boat", w.RulesMode(rules.Boat)}, sample{"area", w.RulesArea("The Cove")}, sample{"elsewhere", w.RulesArea("elsewhere")},
		sample{"gear", w.Gear([]rules.GearRule{{Gear: rules.Gear{What: "rods", Most: 2, Text: "handlines count"}, Sure: true, Stated: pack.Stated},
			{Gear: rules.Gear{What: "lights", Ban: true}, Where: "The Cove", Stated: pack.Stated, Example: true}, {Handling: "cut a fin", Stated: pack.Stated}, {Gear: rules.Gear{What: "barbless hooks"}, Stated: pack.Stated}})},
		sample{"no gear", w.Gear(nil)})
	return out
}

func TestEveryFindingIsSpokenOf(t *testing.T) {
	said := map[string]string{}
	for _, s := range packSamples(words(Metric), crew) {
		if s.text == "" {
			t.Errorf("%s: no words", s.name)
		}
		said[s.name] = s.text
	}
	if len(said) < len(rules.Whats) {
		t.Errorf("%d of %d findings have a sample", len(said), len(rules.Whats))
	}
	for what := range constants(t, "../../session/catch/rules/judge.go", "What") {
		if said[what] == "" && what != "fine" && what != "counted" {
			t.Errorf("%s: no words", what)
		}
	}
}
