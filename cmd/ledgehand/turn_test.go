package main

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"ledgehand/conditions/feed"
	"ledgehand/session"
)

// What somebody says in the group and in private counts in the order in which they said it, although the two lie in
// different shards, and whichever of these is read first.
func TestWhatOnePersonSaysCountsInOrder(t *testing.T) {
	const crew int64 = -7007
	for name, first := range map[string]bool{"private read first": true, "group read first": false} {
		angler := int64(300)
		for (session.ShardOfChat(angler) < session.ShardOfChat(crew)) != first {
			angler++
		}
		t.Run(name, func(t *testing.T) {
			start := time.Date(2026, 3, 14, 14, 0, 0, 0, time.UTC)
			seer, err := feed.NewRecorded(start, false)
			if err != nil {
				t.Fatal(err)
			}
			g, err := openStage(t.Context(), start, stageParts{seer: seer})
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { _ = g.close() })
			g.server.AddPerson(angler, "Ana")
			g.server.AddGroup(crew, "The crew", angler)
			g.server.AddBot(crew, angler)
			g.server.Start(angler, "")
			settle := func() {
				t.Helper()
				if err := g.settle(t.Context()); err != nil {
					t.Fatal(err)
				}
			}
			settle()
			g.server.Write(crew, angler, "/ledge add Anvil at 38.9546 -123.7406 lip 4.2 faces 270 number 911")
			settle()
			minute := 0
			for n, lines := range [][]struct {
				chat int64
				line string
				said string // where it was written
			}{
				{{crew, "/out Anvil back 9am", "Out: Ana"}, {angler, "/off", ": off Anvil"}},
				{{angler, "/out Anvil back 9am", "Out: Ana"}, {crew, "/off", ": off Anvil"}},
				{{crew, "/out Anvil back 9am", "Out: Ana"}, {angler, "/more 30", "stays on Anvil"}, {crew, "/off", ": off Anvil"}, {angler, "/out Anvil back 10am", "Out: Ana"}, {crew, "I'm off", ""}, {angler, "/off", ": off Anvil"}},
			} {
				minute += 5
				before := len(g.server.Transcript())
				for _, l := range lines {
					g.server.Write(l.chat, angler, l.line)
				}
				g.set(start.Add(time.Duration(minute) * time.Minute))
				settle()
				var said []string
				for _, ev := range g.server.Transcript()[before:] {
					if ev.Bot {
						said = append(said, fmt.Sprintf("%d: %s", ev.Chat, ev.Text))
					}
				}
				all := strings.Join(said, "\n")
				for _, l := range lines {
					if !strings.Contains(all, l.said) {
						t.Errorf("%d: nobody read %q after %q, but\n%s", n, l.said, l.line, all)
					}
				}
				for _, wrong := range []string{"I have you on no ledge", "You are out on"} {
					if strings.Contains(all, wrong) {
						t.Errorf("%d: said %q:\n%s", n, wrong, all)
					}
				}
			}
		})
	}
}
