package main

import (
	"strings"
	"testing"
	"time"

	"ledgehand/bot/bottest"
)

// Drills: the chat service fails around an alert, in each of the ways it can, and those who depend on it hear of it all
// the same. Everything is real but Telegram itself.

const (
	anaID, bramID, moID int64 = 201, 202, 204
	movedGroup          int64 = -1000000007007
)

// bramHoldsToo makes Bram the second one to hold Ana's plans.
var bramHoldsToo = []any{
	"[Fri 19:06] ana private> /contact",
	"[Fri 19:07] bram follows",
	"[Fri 19:08] bram private taps Yes, I hold Ana's plans",
}

// bramInPrivate makes Bram one of the crew who can be told in private.
var bramInPrivate = []any{
	"[Fri 20:00] bram> /in",
	"[Fri 20:01] bram starts",
}

func inject(f bottest.Fault) func(*story) { return func(s *story) { s.server.Inject(f) } }

// posts counts the bot's messages in a chat that hold the words.
func (s *story) posts(chat int64, words string) (n int) {
	for _, p := range s.server.Messages(chat) {
		if strings.Contains(p.Text, words) {
			n++
		}
	}
	return n
}

func (s *story) wantPosts(chat int64, words string, want int) {
	s.t.Helper()
	if n := s.posts(chat, words); n != want {
		s.t.Errorf("chat %d has %d messages with %q, want %d", chat, n, words, want)
	}
}

// The one ashore is gone without a word: found out at the first message, told to the crew, and the next one is told.
func TestDrillTheContactIsGone(t *testing.T) {
	for name, gone := range map[string]func(*story){
		"DeletedAccount": func(s *story) { s.server.DeleteAccount(moID) },
		"BlockedUnseen":  inject(bottest.Fault{Chat: moID, Times: -1, Code: 403, Description: "Forbidden: bot was blocked by the user"}),
		"ChatNotFound":   inject(bottest.Fault{Chat: moID, Times: -1, Code: 400, Description: "Bad Request: chat not found"}),
	} {
		t.Run(name, func(t *testing.T) {
			plays(t, all(ready, moHolds, bramHoldsToo, []any{
				"[Sat 07:00] ana> /out Anvil back 9am",
				"mo: You hold the plan of Ana",
				"[Sat 09:29] wait",
				gone,
				"[Sat 09:30] wait",
				"crew: My message to Mo did not get through",
				"bram: Ana has not checked in",
				"bram: HAND-OVER SHEET",
				"[Sat 09:33] ana> /off",
				"bram: Stand down",
			})...)
		})
	}
	t.Run("Blocks", func(t *testing.T) { // and says so: then it is news before anything is late
		plays(t, all(ready, moHolds, []any{
			"[Sat 07:00] ana> /out Anvil back 9am",
			"[Sat 08:00] mo blocks",
			"crew: My message to Mo did not get through | Nobody ashore holds this plan",
		})...)
	})
}

// The angler's own chat is gone: the question goes to the group, where whoever is with them can answer it.
func TestDrillTheAnglersChatIsGone(t *testing.T) {
	plays(t, all(ready, []any{
		"[Sat 07:00] ana> /out Anvil back 9am",
		"[Sat 08:59] wait",
		inject(bottest.Fault{Chat: anaID, Times: -1, Code: 403, Description: "Forbidden: user is deactivated"}),
		"[Sat 09:00] wait",
		"crew: are you off Anvil?",
		"[Sat 09:15] wait",
		"crew: Ana has not checked in",
	})...)
}

// The group cannot be written to, and nobody said so: those out, those ashore and the mates hear of it, each in private.
func TestDrillTheGroupIsGone(t *testing.T) {
	for name, gone := range map[string]func(*story){
		"Deleted":      func(s *story) { s.server.DeleteGroup(storyGroup) },
		"KickedUnseen": inject(bottest.Fault{Chat: storyGroup, Times: -1, Code: 403, Description: "Forbidden: bot was kicked from the group chat"}),
		"MutedUnseen":  inject(bottest.Fault{Chat: storyGroup, Times: -1, Code: 400, Description: "Bad Request: not enough rights to send text messages to the chat"}),
	} {
		t.Run(name, func(t *testing.T) {
			s := plays(t, all(ready, moHolds, bramInPrivate, []any{
				"[Sat 07:00] ana> /out Anvil back 9am",
				"[Sat 09:14] wait",
				gone,
				"[Sat 09:15] wait",
				"ana: My message to The crew did not get through",
				"mo: My message to The crew did not get through",
				"bram: Ana has not checked in",
				"[Sat 09:30] wait",
				"mo: Ana has not checked in",
				"[Sat 09:40] wait",
				"bram: (still) Ana has not checked in",
				"ana: Told that you are late: Bram and Mo",
				"[Sat 09:41] bram private> /trying",
				"mo: Bram is trying to reach Ana",
				"[Sat 09:45] ana private> /off",
				"mo: Stand down",
				"bram: Stand down",
			})...)
			s.wantPosts(anaID, "did not get through", 1)
		})
	}
}

// The group gets another id in the middle of an outing: the alert finds it, the panel is there anew, its buttons work.
func TestDrillTheGroupMoves(t *testing.T) {
	tell := func() {}
	moves := map[string]func(*story){
		"OldSideFirst":       func(s *story) { s.server.Migrate(storyGroup, movedGroup, false) },
		"NewSideFirst":       func(s *story) { s.server.Migrate(storyGroup, movedGroup, true) },
		"FoundOutByTheAlert": func(s *story) { tell = s.server.MigrateUnseen(storyGroup, movedGroup) },
	}
	for name, move := range moves {
		t.Run(name, func(t *testing.T) {
			s := plays(t, all(ready, moHolds, []any{
				"[Sat 07:00] ana> /out Anvil back 9am",
				"[Sat 08:00] wait",
				move,
				"[Sat 09:15] wait",
			})...)
			s.wantPosts(movedGroup, "Ana has not checked in", 1)
			s.wantPosts(movedGroup, "Off the rocks by 09:00", 1)
			tell() // late: nothing is said twice for it
			must(t, s.settle(t.Context()))
			s.wantPosts(movedGroup, "Ana has not checked in", 1)
			s.wantPosts(movedGroup, "Off the rocks by 09:00", 1)
			must(t, s.tap(movedGroup, bramID, "I'm trying to reach them"))
			must(t, s.settle(t.Context()))
			s.wantPosts(movedGroup, "Bram is trying to reach Ana", 1)
			must(t, s.tap(movedGroup, anaID, "I'm off"))
			must(t, s.settle(t.Context()))
			s.wantPosts(movedGroup, "Stand down", 1)
			s.wantPosts(storyGroup, "Stand down", 0)
		})
	}
}

// A crew that asks without end while somebody is overdue: the group's limit is never reached, and the alert is there at
// once, whatever else waits.
func TestDrillABusyGroup(t *testing.T) {
	s := plays(t, all(ready, moHolds, []any{"[Sat 07:00] ana> /out Anvil back 9am", "[Sat 09:13] wait"})...)
	s.server.LimitGroups(20)
	for range 120 {
		s.set(s.now().Add(time.Second))
		s.server.Write(storyGroup, bramID, "/help")
		s.server.Write(storyGroup, 203, "/catch")
		must(t, s.settle(t.Context()))
	}
	if at := s.now().In(s.zone).Format("15:04:05"); at != "09:15:00" {
		t.Fatalf("it is %s, want the minute of the alert", at)
	}
	s.wantPosts(storyGroup, "Ana has not checked in", 1)
	if n := s.server.Flooded(); n != 0 {
		t.Errorf("Telegram asked for a pause %d times, want never", n)
	}
}

// The topic that an outing was told in is deleted: its alerts come where the rest of the group reads.
func TestDrillTheTopicIsGone(t *testing.T) {
	s := plays(t, all(ready, []any{
		func(s *story) { s.server.AddTopic(storyGroup, 5) },
		func(s *story) { s.server.Write(storyGroup, anaID, "/out Anvil back 9am", bottest.InTopic(5)) },
		"crew: Out: Ana, alone, Anvil",
		"[Sat 09:14] wait",
		func(s *story) { s.server.CloseTopic(storyGroup, 5) },
		"[Sat 09:15] wait",
		"crew: Ana has not checked in",
		"[Sat 09:16] ana private> /off",
		"crew: Stand down",
	})...)
	for _, p := range s.server.Messages(storyGroup) {
		if strings.Contains(p.Text, "has not checked in") && (p.Thread != 0 || len(p.Buttons) == 0) {
			t.Errorf("the alert is in topic %d with buttons %v, want the main chat and all its buttons", p.Thread, p.Buttons)
		}
	}
}

// Telegram's pause of a minute in the group at alarm time: the alert is a minute late and nobody is alarmed about it.
func TestDrillAMinutesPauseInTheGroup(t *testing.T) {
	plays(t, all(ready, moHolds, []any{
		"[Sat 07:00] ana> /out Anvil back 9am",
		"[Sat 09:14] wait",
		inject(bottest.Fault{Chat: storyGroup, Code: 429, RetryAfter: 60}),
		"[Sat 09:15] wait",
		"crew: nothing",
		"ana: nothing",
		"mo: nothing",
		"[Sat 09:16] wait",
		"crew: Ana has not checked in",
	})...)
}

// A pause of three hours must not silence the alert: those out, those ashore and the mates are told in private, and the
// group hears the newest of it, once, as soon as it can.
func TestDrillThreeHoursPauseInTheGroup(t *testing.T) {
	s := plays(t, all(ready, moHolds, bramInPrivate, []any{
		"[Sat 07:00] ana> /out Anvil back 9am",
		"[Sat 09:14] wait",
		inject(bottest.Fault{Chat: storyGroup, Code: 429, RetryAfter: 3 * 3600}),
		"[Sat 09:15] wait",
		"ana: My messages to The crew are held up until about 12:15",
		"mo: My messages to The crew are held up until about 12:15",
		"bram: Ana has not checked in",
		"[Sat 09:30] wait",
		"mo: Ana has not checked in",
		"[Sat 09:40] wait",
		"bram: (still) Ana has not checked in",
		"mo: (still) Ana has not checked in",
		"[Sat 12:14] wait",
		"crew: nothing",
		"[Sat 12:16] wait",
		"crew: (still) Ana has not checked in",
	})...)
	if n := s.server.Calls("sendMessage"); n > 200 {
		t.Errorf("%d messages tried, want nothing tried in the pause", n)
	}
	s.wantPosts(storyGroup, "has not checked in", 1)
	s.wantPosts(anaID, "held up", 1)
	must(t, s.act(s.instant("Sat", "12:20"), "ana private> /off"))
	for _, chat := range []string{"crew", "mo", "bram"} {
		must(t, s.expect(chat, "Stand down"))
	}
}

// The same in the chat of the one ashore: the crew hears of it and the next one ashore is told at once. What is said
// meanwhile gets to the first one when it can, and from then on that one counts again.
func TestDrillThreeHoursPauseAshore(t *testing.T) {
	s := plays(t, all(ready, moHolds, bramHoldsToo, []any{
		"[Sat 07:00] ana> /out Anvil back 9am",
		"[Sat 09:29] wait",
		inject(bottest.Fault{Chat: moID, Code: 429, RetryAfter: 3 * 3600}),
		"[Sat 09:30] wait",
		"mo: nothing",
		"crew: My messages to Mo are held up until about 12:30",
		"bram: Ana has not checked in",
		"[Sat 09:35] ana> /more until 2pm",
		"bram: 14:00",
		"[Sat 12:29] wait",
		"mo: nothing",
		"[Sat 12:31] wait",
		"mo: 14:00",
		"[Sat 14:30] wait",
		"mo: Ana has not checked in",
	})...)
	s.wantPosts(moID, "Ana has not checked in", 1) // the alert for 09:00 was called back by the delay
}

// The stand-down does not get into the group: its people hear it in private, for they may be on their way.
func TestDrillTheStandDownIsHeldUp(t *testing.T) {
	plays(t, all(ready, bramInPrivate, []any{
		"[Sat 07:00] ana> /out Anvil back 9am",
		"[Sat 09:15] wait",
		"crew: Ana has not checked in",
		inject(bottest.Fault{Chat: storyGroup, Code: 429, RetryAfter: 3 * 3600}),
		"[Sat 09:20] ana private> /off",
		"crew: nothing",
		"bram: Stand down",
		"[Sat 12:21] wait",
		"crew: Stand down",
	})...)
}

// The answer is lost after the effect: what matters is said again rather than not at all, chatter is not, and an edit is
// made again, which changes nothing.
func TestDrillTheAnswerIsLost(t *testing.T) {
	t.Run("Alert", func(t *testing.T) {
		s := plays(t, all(ready, moHolds, []any{
			"[Sat 07:00] ana> /out Anvil back 9am",
			"[Sat 09:29] wait",
			inject(bottest.Fault{Method: "sendMessage", Chat: moID, Lost: true}),
			"[Sat 09:30] wait",
			"mo: Ana has not checked in",
			"[Sat 09:31] wait",
			"mo: Ana has not checked in",
		})...)
		s.wantPosts(moID, "Ana has not checked in", 2)
		s.wantPosts(moID, "HAND-OVER SHEET", 1)
	})
	t.Run("Urgent", func(t *testing.T) {
		s := plays(t, all(ready, []any{
			"[Sat 07:00] ana> /out Anvil back 9am",
			"[Sat 08:00] wait",
			inject(bottest.Fault{Method: "sendMessage", Chat: storyGroup, Lost: true}),
			"[Sat 08:01] ana> /off",
			"[Sat 08:02] wait",
		})...)
		s.wantPosts(storyGroup, "Ana: off Anvil", 2)
	})
	t.Run("Chatter", func(t *testing.T) {
		s := plays(t, all(ready, []any{
			"[Sat 05:00] wait",
			inject(bottest.Fault{Method: "sendMessage", Chat: storyGroup, Lost: true}),
			"[Sat 05:01] ana> /help",
			"[Sat 05:10] wait",
			"crew: nothing",
		})...)
		if n := s.server.Calls("sendMessage"); n == 0 {
			t.Error("nothing was sent")
		}
	})
	t.Run("Picture", func(t *testing.T) {
		s := plays(t, all(ready, []any{
			"[Sat 05:00] wait",
			inject(bottest.Fault{Method: "sendPhoto", Chat: storyGroup, Lost: true}),
			"[Sat 05:01] ana> /conditions Anvil 6am til 9am",
			"[Sat 05:10] wait",
		})...)
		pictures := 0
		for _, p := range s.server.Messages(storyGroup) {
			if p.Picture != nil {
				pictures++
			}
		}
		if pictures != 1 || s.server.Calls("sendPhoto") != 1 {
			t.Errorf("%d pictures in %d calls, want one: chatter is not repeated", pictures, s.server.Calls("sendPhoto"))
		}
	})
	t.Run("Edit", func(t *testing.T) {
		s := plays(t, all(ready, []any{
			"[Sat 07:00] ana> /out Anvil back 9am",
			"[Sat 08:00] wait",
			inject(bottest.Fault{Method: "editMessageText", Chat: storyGroup, Cut: true}),
			"[Sat 08:01] ana> /more 30",
			"[Sat 08:02] wait",
		})...)
		s.wantPosts(storyGroup, "Out: Ana, alone, Anvil. Off the rocks by 09:30", 1)
		edits := s.server.Calls("editMessageText")
		s.server.Inject(bottest.Fault{Method: "editMessageText", Chat: storyGroup, Lost: true})
		must(t, s.act(s.instant("Sat", "08:03"), "ana> /more 30"))
		must(t, s.act(s.instant("Sat", "08:05"), "wait"))
		s.wantPosts(storyGroup, "Out: Ana, alone, Anvil. Off the rocks by 10:00", 1)
		if n := s.server.Calls("editMessageText") - edits; n != 2 {
			t.Errorf("%d edits, want the lost one and another", n)
		}
	})
}
