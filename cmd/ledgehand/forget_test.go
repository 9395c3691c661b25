package main

import (
	"strconv"
	"strings"
	"testing"
	"time"

	"ledgehand/bot/bottest"
	"ledgehand/session"
)

// Somebody whose name, number and things stand nowhere else.
const (
	vale      int64 = 7305550199
	valeName        = "Valezed"
	valeOlder       = "Olderzed"
)

// traces are what may be left of them: their number in both its forms, their names, phone and car.
var traces = []string{strconv.FormatInt(vale, 10), strconv.FormatInt(vale, 36), "valezed", "olderzed", "555 0177", "redvan", "tealhood", "gutterzed"}

func (g *guarded) tracesIn(t *testing.T) (left []string) {
	t.Helper()
	for key, body := range g.everyRecord(t) {
		for _, s := range traces {
			if strings.Contains(strings.ToLower(key+" "+body), s) {
				left = append(left, s+" in "+key+": "+body)
			}
		}
	}
	return left
}

// A person with a part in everything there is: afterwards no record of the store has anything of them.
func TestNothingOfTheForgottenIsLeft(t *testing.T) {
	g := guard(t, stageParts{}, nil, "The crew")
	g.server.AddPerson(vale, valeOlder)
	g.server.AddGroup(crew-1, "Another crew", ana, vale)
	g.server.AddBot(crew-1, ana)
	g.server.AddGroup(crew, "The crew", ana, bram, vale)
	g.server.AddBot(crew, ana)
	g.starts(ana, "")
	g.starts(mo, "")
	g.starts(vale, "")
	lone := vale
	for _, l := range []string{"/ledge add Inlet at 38.9700 -123.7500 lip 3 faces 270 number 911", "/out Inlet back in 1 hour", "/watch Inlet", "/stopwatch", "/catch 1 kelp greenling 33 kept 1", "/off", "/trip Inlet tomorrow 8am til 11am"} {
		g.writes(lone, vale, l) // with no crew yet: all of it is in their private chat
	}
	g.writes(crew, bram, "/in")
	g.writes(crew, ana, "/ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270 number 911")
	g.writes(crew, vale, "/ledge add Long Step at 38.9612 -123.7431 lip 5 faces 270 number 911")
	g.server.Rename(vale, valeName) // another name from here on
	g.writes(crew, vale, "/watch Long Step")
	g.writes(crew, vale, "/stopwatch")
	g.writes(crew, vale, "/rule greenling min 30 bag 10 checked today")
	g.writes(crew, vale, "/freezer 4 opaleye")
	g.writes(crew, vale, "/trip Anvil tomorrow 8am til 11am")
	g.writes(crew, vale, "/bring throw line")
	g.writes(vale, vale, "/trip calendar")
	g.press(vale, vale, "crew") // the first of their crews is meant
	g.writes(crew, vale, "/catch 2 kelp greenling 31 28 kept 1")
	g.writes(crew, ana, "/catch valezed 1 kelp greenling 40")
	g.writes(crew, vale, "/ledge note Anvil land fish at the gutterzed")
	g.writes(crew, vale, "/ledge limits Anvil swell 2")
	g.writes(crew, vale, "/settings number 911, a sign on the path")
	g.server.SendPhoto(crew, vale, "/ledge photo Anvil")
	g.rest()
	g.writes(crew, vale, "/ledge share Long Step")
	g.writes(vale, vale, "/me phone +00 555 0177")
	g.writes(vale, vale, "/me car redvan")
	g.writes(vale, vale, "/me wearing tealhood")
	g.writes(ana, ana, "/me phone +00 555 0142")
	g.writes(vale, vale, "/contact")
	g.starts(mo, g.linkOf(vale))
	g.press(mo, mo, "accept")
	g.writes(ana, ana, "/contact")
	g.starts(vale, g.linkOf(ana))
	g.press(vale, vale, "accept")
	g.writes(crew, ana, "/out Anvil with Valezed back in 2 hours") // of the party
	g.writes(crew, vale, "/more 5 fish are on")
	g.writes(crew, vale, "/fellin")
	g.writes(crew, vale, "/off")
	g.writes(crew, ana, "/off")
	g.writes(crew, ana, "/out Long Step back in 1 hour") // ashore, and alarmed
	must(t, g.until(t.Context(), g.now().Add(100*time.Minute)))
	g.writes(vale, vale, "/called")

	refused := func(what string) {
		t.Helper()
		g.writes(vale, vale, "/forget")
		if _, ok := g.said(vale, what); !ok {
			t.Errorf("want %q refused:\n%s", what, g)
		}
	}
	refused("Not now: you hold the plan of Ana")
	g.writes(crew, ana, "/off")
	g.writes(crew, vale, "/out Long Step with Bram back in 1 hour")
	refused("Not now: you are in the party of an open outing on Long Step")
	g.writes(crew, vale, "/off")
	refused("Not now: you are in the party") // Bram is out still: whoever was there may know something
	g.writes(crew, bram, "/off")

	// What is shown to them before: all of it, and of others no more than names.
	g.writes(vale, vale, "/export")
	for _, words := range []string{"You: Valezed, number " + traces[0], "Crew The crew: you are Valezed; phone +00 555 0177; car redvan; wearing tealhood", "ledge Inlet at 38.97000", "ledge Long Step at 38.96120",
		"rule for greenling", "Valezed, 4 opaleye", "your note on Anvil", "a photo of Anvil by you", "shares Long Step", "emergency number 911 set by you", "Mo holds your plans", "You hold the plans of Ana", "Outing", "Ana and Valezed", "said at", "took an alert on", "ashore, with the plan",
		"Trip 15 Mar 2026, Anvil", "you bring throw line", "The calendar file of a planned trip went to you alone", "Watch 14 Mar 2026 08:14, Long Step", "Olderzed, 1 kelp greenling 33 cm, kept 1", "Valezed, 2 kelp greenling 31 cm 28 cm, kept 1"} {
		if _, ok := g.said(vale, words); !ok {
			t.Errorf("an export lacks %q:\n%s", words, g)
		}
	}
	if p, ok := g.said(vale, "All I hold about Valezed"); ok && strings.Contains(p.Text, "0142") {
		t.Errorf("an export tells of others more than names:\n%s", p.Text)
	}
	before := len(g.tracesIn(t))
	if before < 15 {
		t.Fatalf("only %d traces: this proves little", before)
	}

	// Asked, and too late; asked again, and done.
	g.writes(vale, vale, "/forget")
	g.set(g.now().Add(11 * time.Minute))
	g.press(vale, vale, "forget")
	if n := len(g.tracesIn(t)); n != before {
		t.Errorf("a button of 11 minutes ago left %d traces of %d", n, before)
	}
	g.writes(vale, vale, "/forget")
	since := len(g.server.Transcript())
	g.press(vale, vale, "forget")
	if left := g.tracesIn(t); len(left) > 0 {
		t.Errorf("left of them:\n%s", strings.Join(left, "\n"))
	}
	if dead := g.dead(t); len(dead) > 0 {
		t.Errorf("put aside: %v", dead)
	}
	heard := map[string]bool{}
	for _, e := range g.server.Transcript()[since:] {
		if e.Bot && e.What == bottest.Posted {
			for _, w := range []string{"Deleted.", "gave your plan back", "You hold none of their plans any more"} {
				if strings.Contains(e.Text, w) {
					heard[w] = true
				}
			}
		}
	}
	if len(heard) != 3 {
		t.Errorf("of the person, their anglers and those ashore heard of it: %v", heard)
	}
	for s := range session.Shard(session.Shards) {
		if mended, err := g.house.session.Reconcile(t.Context(), s, g.now()); err != nil || len(mended) != 0 {
			t.Errorf("the index differs in %v, %v", mended, err)
		}
	}

	// What others share with them is there, and whoever comes back is met anew: their "off" in private is heard.
	g.writes(crew, ana, "/catch")
	if _, ok := g.said(crew, "somebody: "); !ok {
		t.Errorf("what they caught is gone from the crew's day:\n%s", g)
	}
	g.writes(crew, vale, "/out Anvil back in 1 hour")
	g.writes(vale, vale, "/off")
	if _, ok := g.said(vale, "Valezed: off Anvil"); !ok {
		t.Errorf("back again, their off in private is not heard:\n%s", g)
	}
}

// Who holds one plan hears of nobody else of that crew, and of no place.
func TestWhoIsOutIsToldToThoseWhoMayKnow(t *testing.T) {
	g := guard(t, stageParts{}, nil, "The crew")
	g.starts(ana, "")
	g.writes(ana, ana, "/contact")
	g.starts(mo, g.linkOf(ana))
	g.press(mo, mo, "accept")
	g.starts(eve, "")
	g.writes(crew, ana, "/ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270")
	g.writes(crew, ana, "/out Anvil back in 2 hours")
	g.writes(crew, bram, "/out Anvil back in 3 hours")
	for who, c := range map[int64]struct{ has, lacks []string }{
		ana: {[]string{"Ana, alone", "Bram, alone"}, nil}, mo: {[]string{"Ana, alone"}, []string{"Bram"}}, eve: {[]string{"Nobody is out"}, []string{"Ana", "Bram", "Anvil"}},
	} {
		g.writes(who, who, "/who")
		p, ok := g.said(who, c.has...)
		if !ok {
			t.Errorf("%d is not told %q:\n%s", who, c.has, g)
		}
		for _, s := range append(c.lacks, "38.9", "123.7") {
			if strings.Contains(p.Text, s) {
				t.Errorf("%d is told %q: %s", who, s, p.Text)
			}
		}
	}
}
