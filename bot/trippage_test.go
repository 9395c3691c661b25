package bot

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/trip"
)

// How a plan goes from a vote to the rocks, message by message, in every language: testdata/trips. The states come from the
// machine itself, the words and buttons are those that are sent.

// rehearsal plays the invented plan and keeps what was shown.
type rehearsal struct {
	t     *testing.T
	a     *ask
	c     session.Crew
	p     trip.Trip
	v     trip.Vote
	now   time.Time
	shown []tripScene
}

// tripScene is one message as it appears; text gives it in a language.
type tripScene struct {
	head heading
	text func(w wording.Words) chat.Message
}

func (r *rehearsal) at(day, hour, minute int) time.Time {
	z, err := time.LoadLocation(safetyZone)
	if err != nil {
		r.t.Fatal(err)
	}
	return time.Date(2026, 3, day, hour, minute, 0, 0, z).UTC()
}

func (r *rehearsal) apply(events ...trip.Event) {
	r.t.Helper()
	for _, e := range events {
		var err error
		if r.p, err = r.p.Apply(e, r.now); err != nil {
			r.t.Fatalf("%T%+v: %v", e, e, err)
		}
	}
}

func (r *rehearsal) cast(events ...trip.VoteEvent) {
	r.t.Helper()
	for _, e := range events {
		var err error
		if r.v, err = r.v.Apply(e, r.now); err != nil {
			r.t.Fatalf("%T%+v: %v", e, e, err)
		}
	}
}

func (r *rehearsal) plan(v wording.View, en, es string) {
	p, now := r.p, r.now
	r.shown = append(r.shown, tripScene{heading{en, es}, func(w wording.Words) chat.Message {
		w = w.In(p.Zone)
		return chat.Message{Text: r.a.tripText(r.c, w, p, v, now), Buttons: viewButtons(w, r.c, p, v)}
	}})
}

func (r *rehearsal) vote(which bool, en, es string) {
	v, now := r.v, r.now
	r.shown = append(r.shown, tripScene{heading{en, es}, func(w wording.Words) chat.Message {
		return chat.Message{Text: w.Vote(v, which, now), Buttons: voteButtons(w, v, which, now)}
	}})
}

func (r *rehearsal) says(en, es string, text func(w wording.Words) string) {
	r.shown = append(r.shown, tripScene{heading{en, es}, func(w wording.Words) chat.Message { return chat.Message{Text: text(w.In(safetyZone))} }})
}

func rehearse(t *testing.T) []tripScene {
	r := &rehearsal{t: t, a: &ask{Desk: &Desk{}}, c: session.Crew{ID: "g7", Chat: -7, Group: true, Ledges: []session.Ledge{{Name: "Anvil"}, {Name: "Long Step"}}}}
	const ana, bram, chidi, dell = 11, 12, 13, 14
	r.now = r.at(12, 19, 0)
	sea := func(hs, period float64, verdict string) trip.Sea {
		return trip.Sea{Hs: hs, Period: period, Verdict: verdict, At: r.now}
	}
	day := func(ledge string, d, from, to int, s trip.Sea) trip.Option {
		return trip.Option{Ledge: ledge, Start: r.at(d, from, 0), End: r.at(d, to, 0), Zone: safetyZone, Capacity: 3, Sea: s}
	}
	var err error
	if r.v, err = trip.NewVote(trip.Vote{ID: "v1", Crew: "g7", Chat: -7, By: ana, ByName: "Ana", PlanB: "Long Step", Options: []trip.Option{
		day("Anvil", 14, 8, 11, sea(1.2, 11, "not expected on this forecast")), day("Anvil", 15, 9, 12, sea(1.7, 13, "could be washed")), day("Long Step", 21, 8, 11, trip.Sea{Verdict: "cannot tell", At: r.now}),
	}}, r.now); err != nil {
		t.Fatal(err)
	}
	r.vote(false, "A vote begins", "Empieza una votación")
	r.now = r.at(12, 20, 10)
	r.cast(trip.Cast{ID: ana, Name: "Ana", Option: 0}, trip.Cast{ID: chidi, Name: "Chidi", Option: 0}, trip.Cast{ID: chidi, Name: "Chidi", Option: 1}, trip.Cast{ID: bram, Name: "Bram", Option: trip.NoOption})
	r.vote(false, "Three have voted", "Han votado tres")
	r.vote(true, "Somebody is about to take one", "Alguien va a elegir uno")
	if r.p, err = r.v.FromVote(0, trip.Trip{ID: "t1", Crew: "g7", Chat: -7, By: ana, ByName: "Ana", DecideBy: r.at(13, 20, 0)}, r.now); err != nil {
		t.Fatal(err)
	}
	r.cast(trip.Take{Option: 0, Trip: "t1"})
	r.vote(false, "Taken", "Elegido")
	r.plan(wording.ViewMain, "The plan that came of it", "El plan que ha salido")
	r.apply(trip.Say{ID: chidi, Name: "Chidi", Answer: trip.In, Seen: 1}, trip.Drive{ID: ana, Car: true, Seats: 2}, trip.Bring{ID: ana, Name: "Ana", Item: trip.ThrowLine},
		trip.Bring{ID: chidi, Name: "Chidi", Item: trip.FirstAid}, trip.Say{ID: dell, Name: "Dell", Answer: trip.Maybe, First: new(true)}, trip.Bring{ID: dell, Name: "Dell", Item: trip.Float})
	r.plan(wording.ViewMain, "Dell is a maybe and brings the float", "Dell quizá va y lleva el flotador")
	r.plan(wording.ViewGear, "Who brings what", "Quién lleva qué")
	r.plan(wording.ViewCars, "Who drives, and who is new to the ledge", "Quién conduce y quién no conoce la repisa")
	r.apply(trip.Say{ID: dell, Name: "Dell", Answer: trip.In, Seen: 1}, trip.WalkWith{ID: ana, Name: "Ana", With: dell}, trip.AddNote{ID: ana, Name: "Ana", Text: "gate locked: park at the corner"})
	r.plan(wording.ViewMain, "All is there", "Está todo")
	r.apply(trip.AddNote{ID: chidi, Name: "Chidi", Text: "fog until nine"}, trip.Bring{ID: chidi, Name: "Chidi", Item: trip.Bait})
	r.plan(wording.ViewMore, "More", "Más")
	ready := r.p
	r.apply(trip.Say{ID: bram, Name: "Bram", Answer: trip.In, Seen: 1})
	r.plan(wording.ViewMain, "Bram comes too: one more than the ledge takes", "También va Bram: uno más de los que caben")
	over := r.p
	r.says("To Bram alone, on his tap", "Solo a Bram, al pulsar", func(w wording.Words) string {
		return w.T("trip_one_too_many", "ledge", over.Ledge, "n", over.Capacity)
	})
	r.p, r.now = ready, r.at(13, 19, 0)
	r.apply(trip.NewSea{Sea: sea(1.9, 14, "could be washed")})
	r.plan(wording.ViewMain, "The evening before: more sea than when it was planned", "La víspera: más mar que al planearlo")
	was := r.p
	r.now = r.at(13, 20, 0)
	r.apply(trip.Change{By: chidi, Ledge: "Long Step", Sea: sea(1.9, 14, "not expected on this forecast")}, trip.SetPlanB{Name: trip.Home, DecideBy: r.at(13, 22, 0)})
	is, now := r.p, r.now
	r.says("Chidi taps plan B: to all who are in", "Chidi pulsa el plan B: a quienes van", func(w wording.Words) string {
		return w.TripChanged(was, is, "Chidi", true, now)
	})
	r.plan(wording.ViewMain, "The panel after it", "El panel después")
	r.apply(trip.Say{ID: ana, Name: "Ana", Answer: trip.In, Seen: 2})
	asked := r.p
	r.says("Ana and Chidi go out, Dell has not confirmed", "Ana y Chidi bajan, Dell no ha confirmado", func(w wording.Words) string { return w.TripGoAsked(asked.Unconfirmed()) })
	r.apply(trip.Say{ID: chidi, Name: "Chidi", Answer: trip.Cant}, trip.Say{ID: dell, Name: "Dell", Answer: trip.Cant})
	r.plan(wording.ViewMain, "One is left", "Queda una persona")
	r.apply(trip.CallOff{})
	r.plan(wording.ViewMain, "Called off", "Anulada")
	off := r.p
	r.says("Called off: to all", "Anulada: a todos", func(w wording.Words) string {
		return w.T("trip_called_off", "ledge", off.Ledge, "day", w.Day(off.Start))
	})
	return r.shown
}

var tripTop = map[string]string{
	"en": "# What is said while a trip is planned\n\nOne invented plan of Ana, Bram, Chidi and Dell on the ledges Anvil and Long Step. Each message is as it appears in the group, its buttons\n" +
		"below it in brackets; a vote and a plan are one message each, which is edited.\n\nWritten by `go test ./bot -run TestTripMessages -update`, and kept true by it.\n",
	"es": "# Lo que se dice mientras se planea una salida\n\nUn plan inventado de Ana, Bram, Chidi y Dell en las repisas Anvil y Long Step. Cada mensaje está como aparece en el grupo, con sus\n" +
		"botones debajo entre corchetes; una votación y un plan son un mensaje cada uno, que se edita.\n\nLo escribe `go test ./bot -run TestTripMessages -update`, que también comprueba que siga siendo así.\n",
}

// mostPanelLines is how long a panel may be: more is not read on a cracked screen. A vote has a line an option besides.
const mostPanelLines = 7

func TestTripMessages(t *testing.T) {
	for _, l := range wording.Languages {
		w := wording.For(l, wording.Metric, nil)
		page := strings.Builder{}
		page.WriteString(tripTop[l])
		for _, s := range rehearse(t) {
			head := s.head.en
			if l == "es" {
				head = s.head.es
			}
			m := s.text(w)
			text := wording.Plain(m.Text)
			if text == "" || strings.Contains(text, "[") || strings.Contains(text, "<no value>") {
				t.Errorf("%s: %s says %q", l, head, text)
			}
			if n := strings.Count(text, "\n") + 1; n > mostPanelLines && s.head.en != "More" {
				t.Errorf("%s: %s has %d lines, want up to %d:\n%s", l, head, n, mostPanelLines, text)
			}
			fmt.Fprintf(&page, "\n## %s\n\n```\n%s\n", head, text)
			for _, row := range m.Buttons {
				var labels []string
				for _, b := range row {
					if b.Data == "" {
						t.Errorf("%s: %s: the button %q carries nothing", l, head, b.Label)
					}
					labels = append(labels, "["+b.Label+"]")
				}
				page.WriteString(strings.Join(labels, " ") + "\n")
			}
			page.WriteString("```\n")
		}
		keepPage(t, "trips", "messages."+l+".md", page.String())
	}
}

// The longest ids and names there can be still fit on the buttons that must not be missing.
func TestPlanButtonsHoldTheLongestIDs(t *testing.T) {
	crew := session.CrewOf(-(1<<52 - 1))
	p := trip.Trip{ID: strings.Repeat("z", 16), Crew: string(crew), Ledge: "Anvil", PlanB: "Long Step", Seq: 999, Zone: safetyZone,
		Roster: []trip.Place{{ID: 1<<52 - 1, Name: "Dell", Answer: trip.In, First: true}}, Gear: []trip.Item{{Name: trip.Board}, {Name: trip.ThrowLine, Vital: true}}}
	c := session.Crew{Ledges: []session.Ledge{{Name: "Anvil"}, {Name: "Long Step"}}}
	w := wording.For("en", wording.Metric, nil)
	for _, v := range []wording.View{wording.ViewMain, wording.ViewMore, wording.ViewGear, wording.ViewCars} {
		for _, row := range viewButtons(w, c, p, v) {
			for _, b := range row {
				if b.Data == "" {
					t.Errorf("%s: the button %q carries nothing", v, b.Label)
				}
			}
		}
	}
	o := trip.Option{Ledge: "Anvil", Start: time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)}
	vote := trip.Vote{ID: strings.Repeat("z", 16), Crew: string(crew), Options: []trip.Option{o, o, o, o, o, o}}
	for _, which := range []bool{false, true} {
		for _, row := range voteButtons(w, vote, which, o.Start.Add(-time.Hour)) {
			for _, b := range row {
				if b.Data == "" {
					t.Errorf("the button %q carries nothing", b.Label)
				}
			}
		}
	}
}
