package wording

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/tide"
	"ledgehand/session/catch"
	"ledgehand/session/catch/rules"
	"ledgehand/session/trip"
	"ledgehand/session/watch"
)

func plan(c cast) trip.Trip {
	t, err := trip.New(trip.Trip{
		ID: "t1", Crew: "g7", Chat: -7, Ledge: c.anvil, PlanB: c.longStep, DecideBy: at(-4, 0), Start: at(5, 30), End: at(9, 0),
		Zone: zoneName, By: 1, ByName: c.ana, Capacity: 3, Dark: true,
	}, at(-5, 0))
	if err != nil {
		panic(err)
	}
	t.Roster = []trip.Place{
		{ID: 1, Name: c.ana, Answer: trip.In, Seats: 2}, {ID: 3, Name: c.chidi, Answer: trip.In, First: true},
		{ID: 4, Name: c.dell, Answer: trip.Maybe}, {ID: 2, Name: c.bram, Answer: trip.Cant},
	}
	return bring(t, trip.ThrowLine, 1, c.ana)
}

func bring(t trip.Trip, item string, id int64, name string) trip.Trip {
	t.Gear = slices.Clone(t.Gear)
	for i := range t.Gear {
		if t.Gear[i].Name == item {
			t.Gear[i].By, t.Gear[i].ByName = id, name
		}
	}
	return t
}

func tripSamples(w Words, c cast) []sample {
	ready := plan(c)
	for _, it := range []string{trip.Float, trip.FirstAid, trip.Lights, trip.Berley} {
		ready = bring(ready, it, 3, c.chidi)
	}
	ready.SeaAtPlan = trip.Sea{Hs: 1.2, Period: 11, Verdict: "not expected on this forecast", At: at(-5, 0)}
	own := ready
	own.Gear = append(slices.Clone(ready.Gear), trip.Item{Name: "kettle", By: 4, ByName: c.dell})
	solo := ready
	solo.Roster = ready.Roster[:1]
	same := ready
	same.SeaNow = trip.Sea{Hs: 1.3, Period: 11, Verdict: "not expected on this forecast", At: at(4, 50)}
	higher := ready
	higher.SeaNow = trip.Sea{Hs: 1.6, Period: 13, Verdict: "could be washed", At: at(4, 50)}
	worse := ready
	worse.SeaNow = trip.Sea{Hs: 1.3, Period: 11, Verdict: "cannot tell", At: at(4, 50)}
	lost := ready
	lost.SeaNow = trip.Sea{Verdict: "cannot tell", At: at(4, 50)}
	off := ready
	off.CalledOff = at(4, 0)
	crowd := plan(c)
	crowd.PlanB, crowd.DecideBy, crowd.Capacity = "", time.Time{}, 1
	nobody := plan(c)
	nobody.Roster = nil
	now := at(5, 0)
	return []sample{
		{"not ready", w.Trip(plan(c), at(-5, 0))},
		{"not ready: no plan B, too many", w.Trip(crowd, at(-5, 0))},
		{"not ready: nobody is in", w.Trip(nobody, at(-5, 0))},
		{"ready", w.Trip(ready, at(-5, 2))},
		{"ready: a thing of their own", w.Trip(own, at(-5, 2))},
		{"ready: one person", w.Trip(solo, now)},
		{"looked up again, same sea", w.Trip(same, now)},
		{"changed sea", w.Trip(higher, now)},
		{"changed verdict, same swell", w.Trip(worse, now)},
		{"the sea is not known any more", w.Trip(lost, now)},
		{"called off", w.Trip(off, now)},
	}
}

// A panel shows the newest look: an old verdict under a new time would send people down on it.
func TestTripShowsTheNewestVerdict(t *testing.T) {
	p := plan(crew)
	p.SeaAtPlan = trip.Sea{Hs: 1.2, Period: 11, Verdict: "not expected on this forecast", At: at(-5, 0)}
	p.SeaNow = trip.Sea{Hs: 1.3, Period: 12, Verdict: "likely washed", At: at(4, 50)}
	got := Plain(words(Metric).Trip(p, at(5, 0)))
	if !strings.Contains(got, "not expected on this forecast → likely washed") || !strings.Contains(got, "10 min ago") {
		t.Errorf("Trip with a worse verdict on the same swell = %q, want the change and the age of the newest look", got)
	}
}

func aWatch(c cast, length time.Duration, waves int) watch.Watch {
	x := watch.Watch{ID: "w1", Ledge: c.anvil, Zone: zoneName, By: 1, ByName: c.ana, StartedAt: at(7, 0), Length: length, EndedAt: at(7, 0).Add(length)}
	for i := range waves {
		x.Waves = append(x.Waves, at(7, 3*i+1))
	}
	return x
}

func watchSamples(w Words, c cast) []sample {
	dry := aWatch(c, 20*time.Minute, 0)
	wet := aWatch(c, 20*time.Minute, 3)
	one := aWatch(c, 20*time.Minute, 1)
	short := aWatch(c, 20*time.Minute, 0)
	short.Stopped, short.EndedAt = true, at(7, 4)
	again := at(9, 15)
	part, none := dry.WasDeaf(at(7, 4), at(7, 12)), dry.WasDeaf(at(6, 50), at(7, 40))
	return []sample{
		{"started", w.WatchStarted(aWatch(c, 20*time.Minute, 0), 18*time.Minute, 0)},
		{"started: one so far", w.WatchStarted(one, 0, 0)},
		{"started: rare sets", w.WatchStarted(aWatch(c, 20*time.Minute, 0), 26*time.Minute, 30*time.Minute)},
		{"prompt 1", w.WatchPrompt(dry, 1)},
		{"prompt 2", w.WatchPrompt(wet, 2)},
		{"dry: known sea", w.WatchResult(dry, Look{Waves: 95, UpperPerH: 8.98, SetsMinutes: 26, TideMaking: true, Again: again, BiggestHere: 1.51, BiggestStay: 1.90, Stay: 5 * time.Hour})},
		{"dry: unknown sea", w.WatchResult(dry, Look{UpperPerH: 8.98})},
		{"dry: long swell", w.WatchResult(dry, Look{Waves: 80, UpperPerH: 8.98, SetsMinutes: 34, LongPeriod: true, Again: again})},
		{"dry: stopped early", w.WatchResult(short, Look{Waves: 19, UpperPerH: 44.9, SetsMinutes: 26})},
		{"wet", w.WatchResult(wet, Look{Waves: 95, UpperPerH: 23.2, SetsMinutes: 26, TideMaking: true, Again: again})},
		{"wet: one wave", w.WatchResult(one, Look{Waves: 95, UpperPerH: 14.2})},
		{"dry: away for a part", w.WatchResult(part, Look{Waves: 57, UpperPerH: 15, SetsMinutes: 17, Late: 25 * time.Minute, Again: again})},
		{"nothing heard", w.WatchResult(none, Look{Late: 40 * time.Minute})},
		{"tide has made", w.WatchTide(conditions.Again{Rise: 0.48}, at(7, 20), true)},
		{"tide has made, nothing watched", w.WatchTide(conditions.Again{Rise: 0.48}, at(7, 20), false)},
		{"low water", w.WatchTide(conditions.Again{Turn: tide.Low, Rise: -0.9}, at(7, 20), true)},
		{"high water", w.WatchTide(conditions.Again{Turn: tide.High, Rise: 0.6}, at(7, 20), true)},
	}
}

func ptr[T any](v T) *T { return &v }

const um = 10_000 // micrometres in a centimetre

func catchSamples(w Words, c cast) []sample {
	now := at(8, 30)
	rule := catch.Rule{Species: "greenling", Named: "greenling", MinUM: 30 * um, MaxUM: 60 * um, Bag: ptr(2), Source: "Example Coast leaflet", Checked: at(8, 0).AddDate(0, 0, -12), By: c.chidi}
	old := rule
	old.Checked = at(8, 0).AddDate(-2, 0, 0)
	bagOnly := rule
	bagOnly.MinUM, bagOnly.MaxUM = 0, 0
	entry := func(id string, n int, kept *int, cm ...float64) catch.Entry {
		e := catch.Entry{ID: id, At: now, By: 3, Who: c.chidi, Species: "greenling", Named: "greenling", Count: n, Kept: kept}
		for _, x := range cm {
			e.LengthsUM = append(e.LengthsUM, int(x*um+0.5))
		}
		if kept != nil {
			e.Released = ptr(n - *kept)
		}
		return e
	}
	var out []sample
	add := func(name string, lines []catch.Rule, e catch.Entry, before ...catch.Entry) {
		d := catch.Day{}
		for _, b := range before {
			d = d.Add(b)
		}
		d = d.Add(e)
		out = append(out, sample{name, w.Catch(e, e.Named, rules.Book{rules.FromLines(lines)}.Judge(rules.Case{Now: now, Zone: w.Zone, Days: []catch.Day{d}}, e), "", now)})
	}
	lines := []catch.Rule{rule}
	add("allowed", lines, entry("1", 1, ptr(1), 34))
	add("allowed: two, one let go", lines, entry("1", 2, ptr(1), 31, 28))
	add("at the bag", lines, entry("1", 2, ptr(2), 34, 36))
	add("over the bag", lines, entry("1", 1, ptr(1), 34), entry("0", 2, ptr(2), 36, 37))
	add("short", lines, entry("1", 1, ptr(1), 28))
	add("long", lines, entry("1", 1, ptr(1), 72))
	add("near the minimum, under", lines, entry("1", 1, ptr(1), 29.8))
	add("near the minimum, over", lines, entry("1", 1, ptr(1), 30.2))
	add("near the maximum", lines, entry("1", 1, ptr(1), 59.8))
	add("not measured", lines, entry("1", 1, ptr(1)))
	guess := entry("1", 1, ptr(1), 33)
	guess.Estimated = true
	add("a guessed length", lines, guess)
	add("kept not said", lines, entry("1", 1, nil, 34))
	add("bag unsure", []catch.Rule{bagOnly}, entry("1", 1, ptr(1)), entry("0", 2, nil))
	add("no rule", nil, entry("1", 1, ptr(1), 34))
	add("rule too old", []catch.Rule{old}, entry("1", 1, ptr(1), 34))
	add("let go", lines, entry("1", 1, ptr(0), 28))
	out = append(out, sample{"blank", w.Catch(catch.Entry{Who: c.chidi, Blank: true}, "", rules.Answer{}, "", now)})
	out = append(out, sample{"rule", w.Rule(rule)}, sample{"rule: nothing in it", w.Rule(catch.Rule{Named: "greenling", Source: c.ana, Checked: now})})
	return out
}

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

// In every answer, what cannot be told is followed by what to make of it.
func TestCannotTellIsANo(t *testing.T) {
	for _, u := range []Units{Metric, Imperial} {
		for name, text := range everySample(words(u), crew) {
			p := strings.ToLower(Plain(text))
			i := strings.Index(p, "cannot tell")
			if i < 0 || strings.HasPrefix(name, "desk/") {
				continue
			}
			if !strings.Contains(p[i:], "treat that as a no") {
				t.Errorf("%s says that it cannot tell, and not that this is a no:\n%s", name, Plain(text))
			}
		}
	}
	if got := words(Metric).Verdict("cannot tell"); got != "cannot tell (treat that as a no)" {
		t.Errorf("Verdict(cannot tell) = %q, want what to make of it", got)
	}
}

func Example_lengths() {
	w := words(Imperial)
	fmt.Println(w.Length(254_000), "/", w.Height(1.5), "/", w.Km(8), "/", w.Speed(10))
	// Output: 10 in / 4.9 ft / 5.0 mi / 22 mph
}
