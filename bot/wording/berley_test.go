package wording

import (
	"html"
	"strings"
	"testing"
	"time"

	"ledgehand/conditions/ledge"
	"ledgehand/session/berley"
	"ledgehand/session/trip"
)

func init() {
	areas["berley"] = berleySamples
	areas["calendar"] = calendarSamples
}

func mix(c cast) berley.Recipe {
	return berley.Recipe{Anglers: 2, Over: 4 * time.Hour, Parts: []berley.Part{
		{Name: "soaked bread", Amount: 4000, Unit: berley.Gram}, {Name: "bran", Amount: 1000, Unit: berley.Gram}, {Name: "pilchard", Amount: 500, Unit: berley.Gram},
		{Name: "stale loaves", Amount: 2, Unit: berley.Piece}, {Name: "sand"},
	}}
}

func berleySamples(w Words, c cast) []sample {
	p := bring(plan(c), trip.Berley, 3, c.chidi)
	b := BerleyPlan{Trip: p, Recipe: mix(c)}
	no, yes, much, empty := b, b, b, b
	no.Ground, yes.Ground = ledge.No, ledge.Yes
	much.Recipe.Parts = []berley.Part{{Name: "soaked bread", Amount: 8000, Unit: berley.Gram}}
	much.Trip = plan(c)
	empty.Trip.Roster = nil
	none := BerleyPlan{Trip: p}
	both := []string{trip.Berley, trip.Bait, "green prawns"}
	in := w
	in.Units = Imperial
	return []sample{
		{"for a trip", w.Berley(b)},
		{"for a trip, in pounds", in.Berley(b)},
		{"allowed", w.Berley(yes)},
		{"not allowed", w.Berley(no)},
		{"much", w.Berley(much)},
		{"nobody is in", w.Berley(empty)},
		{"noted", w.Recipe(mix(c))},
		{"the evening before, to who brings it", w.Prepare(b, "", []string{trip.Berley}, at(-5, 0))},
		{"the evening before, bait and more", w.Prepare(yes, "", both, at(-5, 0))},
		{"the evening before, in the group", w.Prepare(b, c.chidi, []string{trip.Berley}, at(-5, 0))},
		{"the evening before, nobody", w.Prepare(much, "", nil, at(-5, 0))},
		{"the evening before, no recipe", w.Prepare(none, "", []string{trip.Bait}, at(-5, 0))},
		{"the evening before, not allowed", w.Prepare(no, "", []string{trip.Berley}, at(-5, 0))},
		{"prawns in New South Wales", w.Prawns("Australia/Sydney", "")},
		{"prawns in Western Australia", w.Prawns("Australia/Perth", "")},
		{"prawns elsewhere", w.Prawns("America/Los_Angeles", "US-CA")},
		{"a timer", w.LadleSet(10*time.Minute, at(6, 30))},
	}
}

func calendarSamples(w Words, c cast) []sample {
	p := bring(bring(plan(c), trip.Berley, 3, c.chidi), trip.Float, 1, c.ana)
	off, alone := p, plan(c)
	off.CalledOff = at(-2, 0)
	alone.PlanB, alone.Roster, alone.Gear = "", nil, nil
	of := func(t trip.Trip) string {
		summary, description := w.Calendar(t)
		return html.EscapeString(summary + "\n" + description) // as it is, and compared as markup here
	}
	return []sample{
		{"a plan", of(p)}, {"a bare plan", of(alone)}, {"called off", of(off)},
		{"under the file", w.CalendarSent(p, false)}, {"under a newer one", w.CalendarSent(p, true)}, {"under the last one", w.CalendarSent(off, true)},
	}
}

func TestWeightsAreInWhatTheCrewWeighsWith(t *testing.T) {
	// The pound, international avoirdupois: 453.59237 g (NIST Special Publication 811).
	for g, want := range map[float64][2]string{
		4000: {"4 kg", "8.8 lb"}, 4125: {"4.1 kg", "9.1 lb"}, 500: {"500 g", "1.1 lb"}, 100: {"100 g", "3.5 oz"}, 453.59237: {"450 g", "1 lb"}, 996: {"1 kg", "2.2 lb"},
		447: {"450 g", "1 lb"}, 12_340: {"12 kg", "27 lb"}, 3: {"3 g", "0.1 oz"},
	} {
		for i, u := range []Units{Metric, Imperial} {
			if got := words(u).weight(g); got != want[i] {
				t.Errorf("weight(%g) in %s = %q, want %q", g, u, got, want[i])
			}
		}
	}
}

// A calendar goes to servers of others: of the ledge it has a name, and no number that could be a place.
func TestACalendarKnowsNoPlace(t *testing.T) {
	for _, l := range Languages {
		s, d := wordsOf(l, Metric).Calendar(plan(crew))
		if strings.ContainsAny(s+d, "°<>&") || !strings.Contains(s, "Anvil") || strings.Contains(d, "38.9") {
			t.Errorf("%s: %q %q", l, s, d)
		}
	}
}
