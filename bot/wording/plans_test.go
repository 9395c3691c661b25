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
	perhaps := bring(ready, trip.Float, 4, c.dell)
	moved := ready
	moved.Roster = slices.Clone(ready.Roster)
	moved.Gear = slices.Clone(ready.Gear)
	moved.Roster[0].Confirmed, moved.Seq, moved.Start, moved.End, moved.SeaNow = 1, 1, at(6, 30), at(10, 0), ready.SeaAtPlan
	for i := range moved.Roster {
		moved.Roster[i].ID = -1 - moved.Roster[i].ID // guests: links are tried by a test of their own
	}
	for i := range moved.Gear {
		moved.Gear[i].By = -1 - moved.Gear[i].By
	}
	voted := moved
	voted.Vote = "v1"
	walked := ready
	walked.Roster = slices.Clone(ready.Roster)
	walked.Roster[1].WalkBy, walked.Roster[1].WalkName = 1, c.ana
	lift := ready
	lift.Roster = []trip.Place{{ID: 1, Name: c.ana, Answer: trip.In, Seats: 1}, {ID: 2, Name: c.bram, Answer: trip.In}, {ID: 3, Name: c.chidi, Answer: trip.In}, {ID: 4, Name: c.dell, Answer: trip.In, Drives: true}}
	lift.Capacity = 4
	noted := own
	for i, text := range []string{"gate is locked, park at the corner", "fog until nine, they say"} {
		noted.Notes = append(noted.Notes, trip.Note{By: 1, Name: c.ana, Text: text, At: at(-4, 10*i)})
	}
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
		{"not ready: only a maybe brings it", w.Trip(perhaps, at(-5, 2))},
		{"not ready: changed, one has not confirmed", w.Trip(moved, now)},
		{"not ready: from a vote, one has not confirmed", w.Trip(voted, now)},
		{"ready: somebody walks in with the first-timer", w.Trip(walked, at(-5, 2))},
		{"ready: too few seats", w.Trip(lift, at(-5, 2))},
		{"ready: plan B is home, a comment", w.Trip(func() trip.Trip { x := noted; x.PlanB = trip.Home; return x }(), at(-3, 0))},
		{"more", w.TripView(noted, ViewMore, at(-3, 0))},
		{"who brings what", w.TripView(perhaps, ViewGear, at(-3, 0))},
		{"who drives", w.TripView(lift, ViewCars, at(-3, 0))},
		{"changed", w.TripChanged(ready, moved, c.ana, false, now)},
		{"plan B", w.TripChanged(ready, func() trip.Trip { x := moved; x.Ledge, x.PlanB = c.longStep, trip.Home; return x }(), c.bram, true, now)},
		{"gone out: one has not confirmed", w.TripGoAsked(moved.Unconfirmed())},
		{"gone out: two have not confirmed", w.TripGoAsked(moved.Roster[1:3])},
		{"gone out: one is out elsewhere", w.TripGoElsewhere(moved.Roster[1:2])},
		{"gone out: two are out elsewhere", w.TripGoElsewhere(moved.Roster[1:3])},
		{"for those ashore", escape(w.FirstTimers(walked.Newcomers()))},
		{"for those ashore: nobody walks in with them", escape(w.FirstTimers(ready.Newcomers()))},
		{"vote", w.Vote(vote(c), false, now)},
		{"vote: which one", w.Vote(vote(c), true, now)},
		{"vote: taken", w.Vote(taken(vote(c)), false, now)},
		{"vote: dropped", w.Vote(func() trip.Vote { x := vote(c); x.Closed = now; return x }(), false, now)},
	}
}

func vote(c cast) trip.Vote {
	dry := trip.Sea{Hs: 1.2, Period: 11, Verdict: "not expected on this forecast", At: at(3, 0)}
	return trip.Vote{ID: "v1", Crew: "g7", Chat: -7, PlanB: trip.Home, None: []trip.Voter{{ID: 4, Name: c.dell}}, Options: []trip.Option{
		{Ledge: c.anvil, Start: at(4, 30), End: at(9, 0), Zone: zoneName, Sea: dry},
		{Ledge: c.anvil, Start: at(5, 30), End: at(9, 0), Zone: zoneName, Sea: dry, For: []trip.Voter{{ID: 1, Name: c.ana}, {ID: 3, Name: c.chidi}}},
		{Ledge: c.longStep, Start: at(30, 0), End: at(34, 0), Zone: zoneName, Sea: trip.Sea{Verdict: "cannot tell", At: at(3, 0)}, For: []trip.Voter{{ID: 2, Name: c.bram}}},
		{Ledge: c.longStep, Start: at(54, 0), End: at(58, 0), Zone: zoneName},
	}}
}

func taken(v trip.Vote) trip.Vote {
	v.Closed, v.Trip, v.TakenNo = at(5, 0), "t1", 2
	return v
}

// Those who must say yes again are named so that their own phones sound.
func TestWhoMustConfirmIsRung(t *testing.T) {
	p := plan(crew)
	p.Seq = 1
	for name, got := range map[string]string{
		"changed": words(Metric).TripChanged(p, p, "Ana", false, at(5, 0)), "gone out": words(Metric).TripGoAsked(p.Unconfirmed()),
	} {
		if want := `<a href="tg://user?id=3">Chidi</a>`; !strings.Contains(got, want) || strings.Contains(got, "Dell</a>") {
			t.Errorf("%s: %q, want %s and nobody who is not in", name, got, want)
		}
	}
}

// What is ready says so of people and things; a sea that is none to go in is said in the same breath.
func TestReadyIsNotReadyForAnySea(t *testing.T) {
	p := plan(crew)
	for _, it := range []string{trip.Float, trip.FirstAid, trip.Lights} {
		p = bring(p, it, 3, crew.chidi)
	}
	for verdict, want := range map[string]string{
		"not expected on this forecast": "Ready.", "could be washed": "Ready but for the sea: could be washed.", "likely washed": "Ready but for the sea: likely washed.",
		"cannot tell": "Ready but for the sea: cannot tell (treat that as a no).", "": "Ready but for the sea: cannot tell (treat that as a no).",
	} {
		if p.SeaNow = (trip.Sea{Verdict: verdict, At: at(4, 0)}); verdict == "" {
			p.SeaNow = trip.Sea{}
		}
		if got := Plain(words(Metric).Trip(p, at(5, 0))); !strings.Contains(got, want) {
			t.Errorf("verdict %q: %q, want %q", verdict, got, want)
		}
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
	long := entry("1", 1, ptr(1), 62)
	long.Measure, long.WeightsG = "FL", []float64{2400}
	out = append(out, sample{"to the fork, weighed", w.Catch(long, w.Scientific("greenling", "Hexagrammos decagrammus"), rules.Answer{Verdict: catch.Allowed}, "", now)})
	long.Measure, long.WeightsG = "TL", nil
	out = append(out, sample{"total, weight by length", w.Catch(long, "greenling", rules.Answer{Verdict: catch.Allowed}, w.T("weighs", "weight", w.Weight(2155), "quality", "A"), now)})
	worked := entry("1", 2, nil)
	worked.Rods, worked.RodMin = 2, 360
	out = append(out, sample{"with effort", w.Catch(worked, "greenling", rules.Answer{Verdict: catch.Allowed}, "", now)}, sample{"as a part", w.Caught(worked, "greenling")})
	out = append(out, sample{"blank with effort", w.Catch(catch.Entry{Who: c.chidi, Blank: true, Rods: 1, RodMin: 150}, "", rules.Answer{}, "", now)})
	out = append(out, sample{"weights", strings.Join([]string{w.Weight(47.4), w.Weight(994), w.Weight(1321), w.Weight(10_499), w.Weighed(1021), w.Weighed(450)}, ", ")})
	out = append(out, sample{"blank", w.Catch(catch.Entry{Who: c.chidi, Blank: true}, "", rules.Answer{}, "", now)})
	out = append(out, sample{"rule", w.Rule(rule)}, sample{"rule: nothing in it", w.Rule(catch.Rule{Named: "greenling", Source: c.ana, Checked: now})})
	return out
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
