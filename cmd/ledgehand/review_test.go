package main

import (
	"context"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"ledgehand/bot/bottest"
	"ledgehand/bot/chat"
	"ledgehand/bot/telegram"
)

// Days on which something goes wrong around an outing that a story file has no act for.

// plays plays lines of a story, and functions between them.
func plays(t *testing.T, steps ...any) *story {
	t.Helper()
	s := startStory(t, "start 2026-03-13 19:00 America/Los_Angeles")
	s.cast("people ana bram chidi; ashore mo")
	for _, step := range steps {
		switch step := step.(type) {
		case func(*story):
			s.since, s.posted = len(s.server.Transcript()), len(s.post.Mails())
			step(s)
			must(t, s.settle(t.Context()))
		case string:
			if m := stamped.FindStringSubmatch(step); m != nil {
				if err := s.act(s.instant(m[1], m[2]+":"+m[3]), m[4]); err != nil {
					t.Fatalf("%s: %v", step, err)
				}
				continue
			}
			chat, words, _ := strings.Cut(step, ": ")
			if err := s.expect(chat, words); err != nil {
				t.Fatalf("%s\n%v", step, err)
			}
		}
	}
	return s
}

// ready is a crew with a ledge; moHolds makes Mo the one ashore for Ana.
var ready = []any{
	"[Fri 19:00] bot joins",
	"[Fri 19:01] ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 number 911",
	"[Fri 19:02] ana starts",
}

var moHolds = []any{
	"[Fri 19:03] ana private> /contact",
	"[Fri 19:04] mo follows",
	"[Fri 19:05] mo private taps Yes, I hold Ana's plans",
}

func all(parts ...[]any) (out []any) {
	for _, p := range parts {
		out = append(out, p...)
	}
	return out
}

// A group that cannot be written to any more is news for those out and for those ashore, while they can act on it.
func TestRemovedFromTheGroupWithAnOutingOpen(t *testing.T) {
	for name, away := range map[string]func(*story){
		"Removed": func(s *story) { s.server.RemoveBot(storyGroup, 202) },
		"Muted":   func(s *story) { s.server.MuteBot(storyGroup, 202) },
	} {
		t.Run(name, func(t *testing.T) {
			plays(t, all(ready, moHolds, []any{
				"[Sat 07:00] ana> /out Anvil back 9am",
				away,
				"ana: My message to The crew did not get through",
				"mo: My message to The crew did not get through",
				"[Sat 09:15] wait",
				"ana: are you off Anvil?",
				"[Sat 09:30] wait",
				"mo: Ana has not checked in",
				"[Sat 09:31] ana private> /off",
				"mo: Stand down",
				"ana: off Anvil, 09:31",
			})...)
		})
	}
}

// A group that the bot was thrown out of is not where a private "out" goes.
func TestPrivateOutDoesNotGoToADeadGroup(t *testing.T) {
	plays(t, all(ready, []any{
		func(s *story) { s.server.RemoveBot(storyGroup, 202) },
		"[Sat 07:00] ana private> /out Anvil back 9am",
		"ana: I know no ledge yet",
	})...)
}

// In two crews: what is said in private belongs to the crew one spoke in last.
func TestPrivateLineBelongsToTheCrewOneSpokeInLast(t *testing.T) {
	const other int64 = -9009
	write := func(group int64, text string) func(*story) {
		return func(s *story) { s.server.Write(group, 201, text) }
	}
	s := plays(t, all(ready, []any{
		func(s *story) {
			s.server.AddGroup(other, "The others", 201)
			s.server.AddBot(other, 201)
		},
		write(other, "/ledge add Long Step at 38.9211 -123.7302 lip 3.0 faces 200"),
		write(storyGroup, "/ledge"),
		"[Sat 07:00] ana private> /out back 9am",
		"crew: Out: Ana, alone, Anvil",
		// Off is off, wherever it is said; what another crew should not read is not said there.
		write(other, "/off"),
		"crew: Ana: off Anvil",
	})...)
	for _, p := range s.server.Messages(other) {
		if strings.Contains(p.Text, "Anvil") {
			t.Errorf("the other crew reads %q, want nothing of the ledge", p.Text)
		}
	}
}

// Names as people have them: with a family name.
func TestAPartyIsNamedByFirstNames(t *testing.T) {
	s := startStory(t, "start 2026-03-13 19:00 America/Los_Angeles")
	s.cast("people ana bram")
	s.server.AddPerson(202, "Bram Okafor")
	do := func(at, line string) {
		t.Helper()
		must(t, s.act(s.instant(at[:3], at[4:]), line))
	}
	expect := func(chat, words string) {
		t.Helper()
		must(t, s.expect(chat, words))
	}
	do("Fri 19:00", "bot joins")
	do("Fri 19:01", "ana> /ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270")
	do("Fri 19:02", "bram> /in")
	do("Sat 07:00", "ana> /out Anvil with Bram back 9am")
	expect("crew", "Out: Ana and Bram Okafor, Anvil")
	do("Sat 08:00", "bram taps I'm off")
	expect("crew", "Bram Okafor is off the rocks. Still out: Ana")
	do("Sat 08:01", "ana> /off")
	do("Sat 08:02", "ana> /out Anvil with Bram Okafor back 9am")
	expect("crew", "Out: Ana and Bram Okafor, Anvil")
	do("Sat 08:30", "ana> /off bram")
	expect("crew", "Bram Okafor is off the rocks. Still out: Ana")
}

// An alert that waits for Telegram's leave to be sent is called back by "off", also when the group changed its id meanwhile.
func TestOffCallsBackAnAlertAcrossAMove(t *testing.T) {
	const fresh int64 = -1000000007007
	s := plays(t, all(ready, []any{
		"[Sat 07:00] ana> /out Anvil back 9am",
		"[Sat 09:14] wait",
		func(s *story) {
			s.server.Inject(bottest.Fault{Method: "sendMessage", Chat: storyGroup, Code: 429, RetryAfter: 1800})
		},
		"[Sat 09:15] wait",
		"crew: nothing",
		func(s *story) { s.server.Migrate(storyGroup, fresh, false) },
		"[Sat 09:20] ana private> /off",
		"[Sat 12:00] wait",
	})...)
	for _, group := range []int64{storyGroup, fresh} {
		for _, p := range s.server.Messages(group) {
			if strings.Contains(p.Text, "has not checked in") {
				t.Errorf("chat %d reads %q after the off", group, p.Text)
			}
		}
	}
	if _, ok := s.said(fresh, "off the rocks, 09:20"); !ok {
		t.Error("the moved group was not stood down")
	}
}

// What asks a feed must not hold up those who check in (I7).
func TestWhateverAsksAFeedIsSlow(t *testing.T) {
	s := plays(t, ready...)
	for _, act := range []string{"cond", "why", "tsea", "lip"} {
		if !s.house.desk.Slow(chat.Request{Kind: chat.KindTap, Data: "a" + act + "|g5en.|#0.1.2|0"}) {
			t.Errorf("Slow(tap on %q) = false, want true: it asks the feeds", act)
		}
	}
}

// A length of time counts from when it was written, not from when we got round to it.
func TestALateLineIsReadAtItsOwnTime(t *testing.T) {
	s := plays(t, ready...)
	must(t, s.until(t.Context(), time.Date(2026, 3, 14, 14, 0, 0, 0, time.UTC)))
	s.server.Write(storyGroup, 201, "/out Anvil back in 3 hours")
	s.set(time.Date(2026, 3, 14, 16, 0, 0, 0, time.UTC))
	must(t, s.settle(t.Context()))
	if _, ok := s.said(storyGroup, "Out: Ana, alone, Anvil. Off the rocks by 10:00"); !ok {
		t.Errorf("written at 07:00, read at 09:00: %v", s.server.Transcript()[s.since:])
	}
}

// A thing of the crew's own with a long name must not cost a plan its buttons.
func TestALongThingLeavesThePanelItsButtons(t *testing.T) {
	s := plays(t, all(ready, []any{
		"[Fri 19:06] ana> /trip Anvil sat 8am til 11am",
		"[Fri 19:07] ana> /bring räucherfischbrötchen mit extra öl und güte",
		"[Fri 19:08] ana> /bring räucherfischbrötchen mit extra öl und güte",
		"[Fri 19:09] ana> /bring throw line",
		"[Fri 19:09] ana> /bring first aid",
		"[Fri 19:09] ana> /bring berley",
		"[Fri 19:09] ana> /bring bait",
		"[Fri 19:11] bram taps In",
		"crew: In: Ana, Bram",
	})...)
	p, ok := s.said(storyGroup, "In: Ana, Bram")
	if !ok || len(p.Buttons) == 0 {
		t.Errorf("the plan has buttons %v, want some", p.Buttons)
	}
}

// Names from outside are shown on buttons as they are.
func TestButtonsShowNamesAsTheyAre(t *testing.T) {
	s := startStory(t, "start 2026-03-13 19:00 America/Los_Angeles")
	s.cast("people ana; ashore mo")
	s.server.AddPerson(201, `<b>&"Ana`)
	must(t, s.act(s.instant("Fri", "19:02"), "ana starts"))
	must(t, s.act(s.instant("Fri", "19:03"), "ana private> /contact"))
	must(t, s.act(s.instant("Fri", "19:04"), "mo follows"))
	must(t, s.act(s.instant("Fri", "19:05"), `mo private taps Yes, I hold <b>&"Ana's plans`))
	must(t, s.expect("mo", "You hold"))
}

// A token in a group makes the group nobody's contact: the sheet would go to all of them.
func TestAGroupHoldsNoPlan(t *testing.T) {
	s := plays(t, all(ready, []any{"[Fri 19:03] ana private> /contact"})...)
	p, ok := s.said(201, "?start=")
	if !ok {
		t.Fatal("no link")
	}
	_, token, _ := strings.Cut(p.Text, "?start=c_g5en_")
	s.server.Forge(storyGroup, 202, 1, "aaccept|g5en."+strings.Fields(token)[0]+"||0")
	must(t, s.settle(t.Context()))
	if _, ok := s.said(storyGroup, "holds Ana's plans"); ok {
		t.Error("a tap in the group made a contact of it")
	}
}

// What waited at Telegram is stored, all of it, before deadlines are judged (I10); an empty queue holds nobody up.
func TestCaughtUpMeansEverythingIsStored(t *testing.T) {
	for name, waiting := range map[string]int{"Nothing": 0, "MoreThanABatch": 250} {
		t.Run(name, func(t *testing.T) {
			server := bottest.NewServer(time.Now)
			server.AddPerson(201, "Ana")
			for range waiting {
				server.Start(201, "")
			}
			web := httptest.NewServer(server)
			defer web.Close()
			ctx, stop := context.WithCancel(t.Context())
			taken, caught := 0, make(chan int, 1)
			p := telegram.Poller{Token: stageToken, Server: web.URL, CaughtUp: func() { caught <- taken },
				Take: func(context.Context, string, int64, []byte, time.Time) error { taken++; return nil }}
			done := make(chan error, 1)
			go func() { done <- p.Run(ctx) }()
			select {
			case n := <-caught:
				if n != waiting {
					t.Errorf("CaughtUp after %d updates, want %d", n, waiting)
				}
			case <-time.After(20 * time.Second):
				t.Error("CaughtUp was not called")
			}
			stop()
			must(t, <-done)
		})
	}
}

// An alert's button that is left from before a delay takes nothing on: it would hold back the alerts of the new time.
func TestAnOldAlertIsNotTakenOnAfterADelay(t *testing.T) {
	plays(t, all(ready, moHolds, []any{
		"[Sat 07:00] ana> /out Anvil back 9am",
		"[Sat 09:15] wait",
		"crew: Ana has not checked in",
		"[Sat 09:16] ana> /more until 10:30am",
		func(s *story) {
			p, _ := s.said(storyGroup, "has not checked in")
			_, err := s.server.Tap(storyGroup, 202, p.ID, "Reached: they are fine")
			must(s.t, err)
		},
		"toast: Nobody is late",
		"[Sat 11:00] wait",
		"mo: Ana has not checked in",
		"[Sat 11:10] wait",
		"mo: (still)",
	})...)
}

// A contact who writes in some group is freed of every plan that they are told to be free of.
func TestLetGoWhereverItIsSaid(t *testing.T) {
	const elsewhere int64 = -9009
	plays(t, all(ready, moHolds, []any{
		"[Sat 07:00] ana> /out Anvil back 9am",
		func(s *story) {
			s.server.AddGroup(elsewhere, "Elsewhere", 204)
			s.server.AddBot(elsewhere, 204)
		},
		func(s *story) { s.server.Write(elsewhere, 204, "/letgo") },
		"crew: Mo gave your plan back | Nobody ashore holds this plan",
	})...)
}

// Who stays at home takes the watch from nobody who went.
func TestCancelIsForOneself(t *testing.T) {
	plays(t, all(ready, []any{
		"[Sat 06:00] bram> /in",
		"[Sat 07:00] ana> /out Anvil with Bram back 9am",
		"[Sat 07:10] bram> /cancel",
		"crew: Still out: Ana",
		"[Sat 09:15] wait",
		"crew: Ana has not checked in",
	})...)
}

// A group that refuses an alert, without a word before, is news for those who can still be written to.
func TestARefusedAlertIsNotTheEndOfIt(t *testing.T) {
	plays(t, all(ready, moHolds, []any{
		"[Sat 07:00] ana> /out Anvil back 9am",
		"[Sat 09:14] wait",
		func(s *story) {
			s.server.Inject(bottest.Fault{Chat: storyGroup, Times: -1, Code: 403, Description: "Forbidden: bot is not a member of the group chat"})
		},
		"[Sat 09:15] wait",
		"mo: My message to The crew did not get through",
		"ana: My message to The crew did not get through",
		"[Sat 09:30] wait",
		"mo: Ana has not checked in",
	})...)
}

// With the group deaf and nobody ashore the mates hear of it in private, and can take it on there.
func TestMatesHearInPrivateWhenTheGroupIsDeaf(t *testing.T) {
	plays(t, all(ready, []any{
		"[Fri 20:00] bram> /in",
		"[Fri 20:01] bram starts",
		"[Sat 07:00] ana> /out Anvil back 9am",
		func(s *story) {
			s.server.Inject(bottest.Fault{Chat: storyGroup, Times: -1, Code: 403, Description: "Forbidden: bot is not a member of the group chat"})
		},
		"[Sat 09:15] wait",
		"bram: Ana has not checked in",
		"[Sat 09:16] bram private> /trying",
		"bram: Bram is trying to reach Ana",
		"[Sat 09:20] ana private> /off",
		"bram: Stand down",
	})...)
}

// A question asked before the group changed its id is still open after it.
func TestAQuestionMovesWithItsGroup(t *testing.T) {
	const fresh int64 = -1000000007007
	s := plays(t, all(ready, []any{
		"[Sat 07:00] ana> /out Anvil",
		"crew: off the rocks by when?",
		func(s *story) { s.server.Migrate(storyGroup, fresh, false) },
		func(s *story) { s.server.Write(fresh, 201, "/help@"+bottest.BotUsername+" off") },
		func(s *story) {
			p, _ := s.said(fresh, "/off")
			s.server.WriteReply(fresh, 201, p.ID, "9am")
		},
	})...)
	if _, ok := s.said(fresh, "Out: Ana, alone, Anvil. Off the rocks by 09:00"); !ok {
		t.Error("the answer to the question was not taken")
	}
}

// Forty guests with long and hostile names: everybody is told, nothing breaks.
func TestAPartyWithoutEndIsStillSaid(t *testing.T) {
	names := strings.Repeat("<b>&quot;x\u202e😀😀😀😀😀😀😀😀😀😀😀😀😀😀😀😀😀😀 ", 110)
	plays(t, all(ready, moHolds, []any{
		"[Sat 07:00] ana> /out Anvil back 9am with " + names[:3900],
		"crew: Out: Ana",
		"mo: You hold the plan of Ana",
		"[Sat 09:40] wait",
		"mo: Call 911 now",
		"mo: HAND-OVER SHEET",
		"[Sat 09:31] ana> /off all",
		"mo: Stand down",
		"crew: Stand down",
	})...)
}

// What Mo gave back for today comes back to Mo neither by another's invitation nor unasked.
func TestAPlanGivenBackStaysGivenBack(t *testing.T) {
	plays(t, all(ready, moHolds, []any{
		"[Fri 19:06] bram starts",
		"[Sat 07:00] ana> /out Anvil back 9am",
		"[Sat 07:01] mo private> /letgo",
		"crew: Mo gave your plan back",
		"[Sat 07:02] bram private> /contact",
		func(s *story) {
			p, _ := s.said(202, "?start=")
			_, token, _ := strings.Cut(p.Text, "?start=")
			s.server.Start(204, strings.Fields(token)[0])
		},
		"[Sat 07:03] mo private taps Yes, I hold Bram's plans",
		func(*story) {},
		"mo: nothing",
		"[Sat 09:30] wait",
		"mo: nothing",
		"crew: Ana has not checked in | Nobody ashore",
	})...)
}
