package wording

import (
	"strings"
	"testing"
	"time"

	"ledgehand/session/outing"
)

// outBy9 is Ana alone on Anvil, off by nine, with Mo ashore.
func outBy9(c cast) outing.Outing {
	lat, lon, water := 38.9546, -123.7406, 11.2
	return outing.Outing{
		ID: "o1", Crew: "g7", Group: -7, Ledge: c.anvil, Zone: zoneName, OpenedBy: 1, OpenedAt: at(6, 30), BackBy: at(9, 0),
		People:   []outing.Member{{ID: 1, Name: c.ana, Chat: 1, Phone: "+00 555 0142"}},
		Contacts: []outing.Contact{{ID: 9, Name: c.mo, Chat: 9, Reached: at(6, 31)}},
		Ladder:   outing.DefaultLadder(),
		Heard:    []outing.Heard{{At: at(6, 30), Who: c.ana, What: "opened"}, {At: at(7, 12), Who: c.ana, What: "watch_dry"}},
		Sheet: outing.Sheet{
			Lat: &lat, Lon: &lon, Access: "path from the cypress gate, 2 km", WaysOut: "gully to the south, above the high line",
			Parking: "cypress gate", Ring: "post at the gully, seen 2 Mar", Number: "911", AskFor: "the coast guard", Car: "grey van, AB 123",
			Lifejacket: "yes", Signal: "no", Wearing: "orange smock, white helmet", Notes: "bad left knee",
			SeaHs: 1.6, SeaHsLater: 2.1, SeaPeriod: 13, SeaAt: at(9, 0), WaterC: &water,
			NextTide: at(11, 20), NextTideIsHigh: true, NextTideHeight: 1.7, Datum: "MLLW", LastLight: at(18, 40),
		},
	}
}

// party is Ana, Bram and a guest, with nothing known and nobody ashore.
func party(c cast) outing.Outing {
	return outing.Outing{
		ID: "o2", Crew: "g7", Group: -7, Ledge: c.longStep, Zone: zoneName, OpenedBy: 1, OpenedAt: at(6, 30), BackBy: at(9, 0),
		People: []outing.Member{{ID: 1, Name: c.ana}, {ID: 2, Name: c.bram}, {ID: -1, Name: c.eve}},
		Ladder: outing.DefaultLadder(),
		Heard:  []outing.Heard{{At: at(6, 30), Who: c.ana, What: "opened"}},
	}
}

func told(o outing.Outing, kinds ...outing.Role) outing.Outing {
	for _, k := range kinds {
		chat := o.Group
		name := ""
		if k == outing.RoleContact {
			chat, name = o.Contacts[0].Chat, o.Contacts[0].Name
		}
		o.Told = append(o.Told, outing.Told{Rung: outing.RungContact, For: o.BackBy, At: at(9, 30), Alert: true, To: []outing.Recipient{{Role: k, Chat: chat, Name: name}}})
	}
	return o
}

func acked(o outing.Outing, c cast, k outing.AckKind) outing.Outing {
	a := outing.Ack{By: 9, Name: c.mo, What: k, At: at(9, 33), Until: at(9, 48)}
	o.Ack = &a
	o.Tries = append(o.Tries, a)
	return o
}

func offAt(o outing.Outing, t time.Time, by string) outing.Outing {
	o.People = append([]outing.Member(nil), o.People...)
	for i := range o.People {
		o.People[i].OffAt = t
		if i > 0 {
			o.People[i].OffBy = by
		}
	}
	o.ClosedAt = t
	return o
}

func outingSamples(w Words, c cast) []sample {
	alone, bare := outBy9(c), party(c)
	waiting := outBy9(c)
	waiting.Contacts[0].Reached = time.Time{}
	two := outBy9(c)
	two.Contacts = append(two.Contacts, outing.Contact{ID: 8, Name: c.dell, Chat: 8, Reached: at(6, 31)})
	two.People = append(two.People, outing.Member{ID: 3, Name: c.chidi, Phone: "+00 555 0177"})
	lone := outBy9(c)
	lone.Group, lone.Contacts, lone.Sheet.Lifejacket = 0, nil, "no"
	later := outBy9(c)
	later.Delays = []outing.Delay{{At: at(8, 50), By: c.ana, From: at(9, 0), To: at(9, 30)}}
	later.BackBy = at(9, 30)
	why := later
	why.Delays = append(append([]outing.Delay(nil), later.Delays...), outing.Delay{At: at(9, 20), By: c.ana, From: at(9, 30), To: at(24, 15), Why: "tide is late"})
	why.BackBy = at(24, 15)
	some := party(c)
	some.People[1].OffAt = at(8, 50)
	calledEarlier := acked(outBy9(c), c, outing.AckCalled)
	calledEarlier.Ack = nil
	reachedEarlier := acked(outBy9(c), c, outing.AckReached)
	reachedEarlier.Ack = nil
	night := outBy9(c)
	night.BackBy, night.Sheet.LastLight, night.Sheet.NextTide, night.Sheet.NextTideIsHigh, night.Sheet.Signal = at(19, 0), at(18, 40), at(23, 5), false, "patchy"
	blocked := outBy9(c)
	blocked.Contacts[0].Refused = at(6, 32)
	left := two
	left.Contacts = two.Contacts[1:]

	group := outing.Recipient{Role: outing.RoleGroup, Chat: -7}
	mo := outing.Recipient{Role: outing.RoleContact, Chat: 9, ID: 9, Name: c.mo}
	var out []sample
	add := func(name string, o outing.Outing, e outing.Effect, now time.Time) {
		out = append(out, sample{name, w.Outing(o, e, now)})
	}
	add("opened: alone, plan got through, no signal", alone, outing.Effect{Kind: outing.SayOpened, To: group}, at(6, 31))
	add("opened: alone, plan on its way", waiting, outing.Effect{Kind: outing.SayOpened, To: group}, at(6, 30))
	add("opened: two, two ashore", two, outing.Effect{Kind: outing.SayOpened, To: group}, at(6, 31))
	add("opened: party with a guest, nobody ashore, nothing known", bare, outing.Effect{Kind: outing.SayOpened, To: group}, at(6, 30))
	add("opened: no group, nobody ashore, no lifejacket", lone, outing.Effect{Kind: outing.SayOpened}, at(6, 30))
	add("plan", alone, outing.Effect{Kind: outing.SayPlan, To: mo}, at(6, 30))
	add("plan: no number", bare, outing.Effect{Kind: outing.SayPlan, To: mo}, at(6, 30))
	add("remind", alone, outing.Effect{Kind: outing.SayRemind}, at(8, 45))
	add("ask: alone", alone, outing.Effect{Kind: outing.SayAsk}, at(9, 0))
	add("ask: party", bare, outing.Effect{Kind: outing.SayAsk}, at(9, 0))
	add("ask: we were away", alone, outing.Effect{Kind: outing.SayAsk, Missed: true}, at(9, 12))
	deaf := outing.Deaf{From: at(8, 5), To: at(8, 40)}
	add("heard nobody: before the time", alone, outing.Effect{Kind: outing.SayDeaf, N: 1, Deaf: deaf}, at(8, 41))
	add("heard nobody: past the time", bare, outing.Effect{Kind: outing.SayDeaf, N: 1, Deaf: outing.Deaf{From: at(8, 5), To: at(9, 40)}, Alert: true}, at(9, 41))
	add("heard nobody: a contact", alone, outing.Effect{Kind: outing.SayDeaf, N: 1, Deaf: outing.Deaf{From: at(8, 5), To: at(9, 40)}, To: mo, Alert: true}, at(9, 41))
	add("heard nobody: for more than a day", alone, outing.Effect{Kind: outing.SayDeaf, N: 1, Deaf: outing.Deaf{From: at(8, 5), To: at(8, 5).Add(25 * time.Hour)}, Alert: true}, at(9, 6).Add(24*time.Hour))
	add("ask: again, others told", told(outBy9(c), outing.RoleGroup, outing.RoleContact), outing.Effect{Kind: outing.SayAsk, N: 1}, at(9, 40))
	add("party: alone", alone, outing.Effect{Kind: outing.SayParty, To: group, Alert: true}, at(9, 15))
	add("party: guests, nobody ashore", bare, outing.Effect{Kind: outing.SayParty, To: group, Alert: true}, at(9, 15))
	add("party: one is off", some, outing.Effect{Kind: outing.SayParty, To: group, Alert: true}, at(9, 15))
	add("party: again, after an acknowledgement", acked(outBy9(c), c, outing.AckTrying), outing.Effect{Kind: outing.SayParty, To: group, N: 1, Alert: true, AckBy: c.mo, AckAt: at(9, 33)}, at(9, 48))
	add("contact: first", alone, outing.Effect{Kind: outing.SayContact, To: mo, Alert: true, First: true}, at(9, 30))
	add("contact: two out", two, outing.Effect{Kind: outing.SayContact, To: mo, Alert: true, First: true}, at(9, 30))
	add("contact: nothing known", bare, outing.Effect{Kind: outing.SayContact, To: mo, Alert: true, First: true}, at(9, 30))
	add("contact: dark, patchy signal", night, outing.Effect{Kind: outing.SayContact, To: mo, Alert: true, First: true}, at(19, 30))
	add("contact: we were away", alone, outing.Effect{Kind: outing.SayContact, To: mo, Alert: true, First: true, Missed: true}, at(9, 50))
	add("contact: again, tried", acked(outBy9(c), c, outing.AckTrying), outing.Effect{Kind: outing.SayContact, To: mo, N: 1, Alert: true, AckBy: c.mo, AckAt: at(9, 33)}, at(9, 48))
	add("contact: again, reached but no off", reachedEarlier, outing.Effect{Kind: outing.SayContact, To: mo, N: 2, Alert: true, AckBy: c.mo, AckAt: at(9, 33)}, at(10, 33))
	add("contact: again, called", calledEarlier, outing.Effect{Kind: outing.SayContact, To: mo, N: 2, Alert: true, AckBy: c.mo, AckAt: at(9, 33)}, at(10, 3))
	add("delayed: to the party", later, outing.Effect{Kind: outing.SayDelayed, To: group}, at(8, 50))
	add("delayed: to the one ashore", later, outing.Effect{Kind: outing.SayDelayed, To: mo}, at(8, 50))
	add("delayed: past midnight, with a reason", why, outing.Effect{Kind: outing.SayDelayed, To: mo}, at(9, 20))
	for _, k := range []outing.AckKind{outing.AckTrying, outing.AckReached, outing.AckCalled} {
		add("acked: "+string(k), acked(outBy9(c), c, k), outing.Effect{Kind: outing.SayAcked, To: group, Who: c.mo}, at(9, 33))
	}
	add("acked: said after a later change", reachedEarlier, outing.Effect{Kind: outing.SayAcked, To: group, Who: c.mo}, at(9, 34))
	add("member off", some, outing.Effect{Kind: outing.SayMemberOff, To: group, Who: c.bram}, at(8, 50))
	add("member off: two at once", some, outing.Effect{Kind: outing.SayMemberOff, To: group, Who: c.ana + ", " + c.bram}, at(8, 50))
	add("off", offAt(outBy9(c), at(8, 55), ""), outing.Effect{Kind: outing.SayOff, To: group}, at(8, 55))
	add("stand down: own word", offAt(outBy9(c), at(9, 47), ""), outing.Effect{Kind: outing.SayStandDown, To: mo}, at(9, 47))
	add("stand down: by word of another", offAt(party(c), at(9, 16), c.ana), outing.Effect{Kind: outing.SayStandDown, To: group}, at(9, 16))
	add("contact off", offAt(outBy9(c), at(8, 55), ""), outing.Effect{Kind: outing.SayContactOff, To: mo}, at(8, 55))
	add("home", alone, outing.Effect{Kind: outing.SayHome, To: group, Who: c.ana}, at(10, 40))
	add("unreachable: nobody left", blocked, outing.Effect{Kind: outing.SayUnreachable, To: group, Who: c.mo}, at(6, 32))
	add("held up", left, outing.Effect{Kind: outing.SayUnreachable, To: group, Who: c.mo, Until: at(12, 18)}, at(9, 31))
	add("unreachable: the group", left, outing.Effect{Kind: outing.SayUnreachable, To: mo, N: -1, Who: "The crew"}, at(9, 31))
	add("unreachable: the group is held up", left, outing.Effect{Kind: outing.SayUnreachable, To: mo, N: -1, Who: "The crew", Until: at(12, 18)}, at(9, 31))
	add("unreachable: another holds it", left, outing.Effect{Kind: outing.SayUnreachable, To: group, Who: c.mo}, at(6, 32))
	add("contact left: nobody left", bare, outing.Effect{Kind: outing.SayContactLeft, To: group, Who: c.mo}, at(6, 40))
	add("contact left: another holds it", left, outing.Effect{Kind: outing.SayContactLeft, To: group, Who: c.mo}, at(6, 40))
	flood, wet := two, two
	flood.Sheet.Signal, flood.Sheet.SeaHsLater, flood.Sheet.WalkInFloods, flood.Sheet.WalkInDries = "yes", 1.6, at(9, 10), at(13, 40)
	wet.Sheet.WalkInFloods, wet.Sheet.WalkInDries, wet.BackBy, wet.Sheet.LastLight = at(5, 0), at(7, 20), at(19, 30), at(18, 40)
	add("opened: the walk-in floods", flood, outing.Effect{Kind: outing.SayOpened, To: group}, at(6, 31))
	add("opened: the walk-in is wet, dark before they are due", wet, outing.Effect{Kind: outing.SayOpened, To: group}, at(6, 31))
	add("gate", flood, outing.Effect{Kind: outing.SayGate, To: outing.Recipient{Role: outing.RoleAngler, Chat: 1}}, at(8, 40))
	add("light", wet, outing.Effect{Kind: outing.SayLight, To: outing.Recipient{Role: outing.RoleAngler, Chat: 1}}, at(17, 55))
	add("along: to the party", two, outing.Effect{Kind: outing.SayAlong, To: group, Who: c.chidi}, at(7, 10))
	add("along: to the one ashore", two, outing.Effect{Kind: outing.SayAlong, To: mo, Who: c.chidi}, at(7, 10))
	add("times: to the party", two, outing.Effect{Kind: outing.SayTimes, To: group, Who: c.ana}, at(7, 10))
	add("times: to the one ashore", two, outing.Effect{Kind: outing.SayTimes, To: mo, Who: c.ana}, at(7, 10))
	add("contact: the walk-in is under water", flood, outing.Effect{Kind: outing.SayContact, To: mo, Alert: true, First: true}, at(9, 40))
	add("cancelled", alone, outing.Effect{Kind: outing.SayCancelled, To: group}, at(6, 40))
	return out
}

func sheetSamples(w Words, c cast) []sample {
	empty := party(c)
	tried := acked(outBy9(c), c, outing.AckTrying)
	tried = acked(tried, c, outing.AckCalled)
	some := party(c)
	some.People[1].OffAt = at(8, 50)
	shown := outBy9(c)
	shown.People[0].Position = &outing.Position{Lat: 38.95433, Lon: -123.74101, At: at(8, 42), Live: at(12, 0)}
	return []sample{
		{"full", w.Sheet(outBy9(c), at(9, 30))},
		{"full, nobody late yet", w.Sheet(outBy9(c), at(7, 30))},
		{"nothing known", w.Sheet(empty, at(9, 30))},
		{"tried and called", w.Sheet(tried, at(9, 48))},
		{"one is off", w.Sheet(some, at(9, 30))},
		{"a phone that showed where it was", w.Sheet(shown, at(9, 30))},
	}
}

func TestAlertsSayTheEssentialInTheFirstLine(t *testing.T) {
	w := words(Metric)
	for _, s := range outingSamples(w, crew) {
		kind, _, _ := strings.Cut(s.name, ":")
		if kind != "party" && kind != "contact" {
			continue
		}
		first, _, _ := strings.Cut(Plain(s.text), "\n")
		for _, part := range []string{"⚠ ", " not checked in", "Due off ", "; it is "} {
			if !strings.Contains(first, part) {
				t.Errorf("first line of %q = %q, want %q in it", s.name, first, part)
			}
		}
		if !strings.Contains(Plain(s.text), "all 911") && !strings.Contains(Plain(s.text), "local emergency number") {
			t.Errorf("%q does not say whom to call:\n%s", s.name, Plain(s.text))
		}
	}
}

// An alert must not say that nobody has been called once somebody told us that help was called.
func TestCalledIsNotDeniedLater(t *testing.T) {
	o := acked(outBy9(crew), crew, outing.AckCalled)
	o.Ack = nil
	got := words(Metric).Outing(o, outing.Effect{Kind: outing.SayContact, N: 1, AckBy: "Mo", AckAt: at(9, 33)}, at(10, 3))
	if strings.Contains(got, "Nobody has been called") {
		t.Errorf("contact alert after %q still says that nobody has been called:\n%s", outing.AckCalled, got)
	}
	if n := strings.Count(got, "Mo said at 09:33 that help was called"); n != 1 {
		t.Errorf("contact alert after %q says %d times who said so and when, want once:\n%s", outing.AckCalled, n, got)
	}
}

// Every effect kind has words; a kind without any would show as its own name in brackets.
func TestEveryEffectHasWords(t *testing.T) {
	w := words(Metric)
	for kind := range constants(t, "../../session/outing/ladder.go", "EffectKind") {
		o := told(outBy9(crew), outing.RoleContact)
		o.Delays = []outing.Delay{{By: "Ana", From: at(8, 0), To: at(9, 0)}}
		got := w.Outing(o, outing.Effect{Kind: outing.EffectKind(kind), Who: "Mo"}, at(9, 0))
		if strings.ContainsAny(got, "[]") || got == "" {
			t.Errorf("Outing(%s) = %q, want words", kind, got)
		}
	}
}
