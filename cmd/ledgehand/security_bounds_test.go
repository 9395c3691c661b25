package main

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"ledgehand/bot/bottest"
	"ledgehand/session"
)

// How much anybody may ask; what a life may hang on is never held back.

// replies counts what the bot posted in a chat since an event.
func (g *guarded) replies(chatID int64, from int, words string) (n int) {
	for _, text := range g.texts(chatID, from) {
		if strings.Contains(text, words) {
			n++
		}
	}
	return n
}

// drain lets the seconds pass in which answers go out, for a chat takes about one a second.
func (g *guarded) drain() {
	g.t.Helper()
	for range 180 {
		must(g.t, g.settle(g.t.Context()))
		waiting := 0
		for _, s := range g.house.alive() {
			n, _, err := g.house.store.Pending(g.t.Context(), s)
			must(g.t, err)
			waiting += n
		}
		if waiting == 0 {
			return
		}
		g.set(g.now().Add(time.Second))
	}
	g.t.Error("answers wait for over three minutes")
}

func TestBounds(t *testing.T) {
	g := guard(t, stageParts{}, nil, "The crew")
	g.starts(ana, "")
	g.starts(eve, "")
	g.writes(crew, ana, anvil)
	flood := func(chatID, who int64, n int, text string) int {
		t.Helper()
		at := g.mark()
		for range n {
			g.server.Write(chatID, who, text)
		}
		g.drain()
		return at
	}

	// A stranger: ten, then one line that says so, then nothing, until the minute is over.
	at := flood(eve, eve, 30, "/privacy")
	if got, told := g.replies(eve, at, "What I keep"), g.replies(eve, at, "Too fast"); got != 10 || told != 1 {
		t.Errorf("a stranger's 30 lines: %d answers and %d words about it, want 10 and 1", got, told)
	}
	if at = flood(eve, eve, 5, "/privacy"); len(g.texts(eve, at)) != 0 {
		t.Errorf("within the minute: %q, want nothing", g.texts(eve, at))
	}
	g.set(g.now().Add(time.Minute))
	if at = flood(eve, eve, 1, "/privacy"); g.replies(eve, at, "What I keep") != 1 {
		t.Error("a minute later a line is not answered")
	}

	// A member: twenty. In private, for chatter in a group waits until it has room.
	at = flood(ana, ana, 40, "/privacy")
	if got, told := g.replies(ana, at, "What I keep"), g.replies(ana, at, "Too fast"); got != 20 || told != 1 {
		t.Errorf("a member's 40 lines: %d answers and %d words about it, want 20 and 1", got, told)
	}
	if at = flood(ana, ana, 1, "/privacy"); len(g.texts(ana, at)) != 0 {
		t.Error("what is not urgent comes through within the minute")
	}

	// Bram, who said nothing, is not held back by Ana's lines; nor is Ana where it matters.
	if at = flood(crew, bram, 1, "/privacy@"+bottest.BotUsername); g.replies(crew, at, "What I keep") != 1 {
		t.Error("one is held back by another's lines")
	}
	at = flood(crew, ana, 1, "/out@"+bottest.BotUsername+" Anvil back in 1 hour")
	if g.replies(crew, at, "Out: Ana") != 1 {
		t.Error("an out is held back")
	}
	for i := range 30 {
		at = flood(crew, ana, 1, fmt.Sprintf("/more@%s %d because", bottest.BotUsername, i+1))
		if g.replies(crew, at, "stays on Anvil") != 1 {
			t.Fatalf("delay %d is held back: %q", i, g.texts(crew, at))
		}
	}
	for _, l := range []string{"/fellin", "/overboard he slipped", "/feelin", "Man overboard!"} {
		if at = flood(ana, ana, 1, l); g.replies(ana, at, "person in the water at 38.9546") != 1 {
			t.Errorf("%q is held back: %q", l, g.texts(ana, at))
		}
	}
	if at = flood(ana, ana, 1, "I'm off!"); g.replies(crew, at, "Ana: off the rocks") != 1 {
		t.Error("a typed off is held back")
	}
}

// Taps beyond the bound are answered, every one; an alert is acknowledged and an outing called off all the same.
func TestTapsBeyondTheBoundAreAnswered(t *testing.T) {
	g := underway(t)
	at := g.mark()
	for range 40 {
		g.server.Forge(crew, bram, 1, "aunits|"+string(session.CrewOf(crew))+".|imperial|0")
	}
	must(t, g.settle(t.Context()))
	if got := g.replies(crew, at, "Noted"); got != 20 {
		t.Errorf("%d taps had an effect, want 20", got)
	}
	if got := g.replies(crew, at, "Too fast"); got != 20 {
		t.Errorf("%d taps were told to wait, want 20", got)
	}
	must(t, g.until(t.Context(), g.now().Add(4*time.Hour)))
	for range 40 {
		g.server.Forge(crew, bram, 1, "aunits|"+string(session.CrewOf(crew))+".|metric|0")
	}
	g.server.Forge(crew, bram, 1, "aack|"+g.outingRef()+"|trying|0")
	g.server.Forge(crew, ana, 1, "aoff|"+g.outingRef()+"||0")
	at = g.mark()
	must(t, g.settle(t.Context()))
	if g.replies(crew, at, "Bram is trying to reach Ana") == 0 || g.replies(crew, at, "Stand down") == 0 {
		t.Errorf("an acknowledgement or an off is held back: %q", g.texts(crew, at))
	}
	g.answered()
}

// What was written over hours and comes at once after an outage is not too fast.
func TestABacklogIsNotTooFast(t *testing.T) {
	g := guard(t, stageParts{}, nil, "The crew")
	g.starts(eve, "")
	at := g.mark()
	for i := range 40 {
		g.server.Write(eve, eve, "/privacy", bottest.Ago(time.Duration(40-i)*10*time.Second))
	}
	g.drain()
	if got := g.replies(eve, at, "What I keep"); got != 40 {
		t.Errorf("%d of 40 lines of seven minutes answered", got)
	}
}

// A group of strangers that all write at once.
func TestAGroupHasABound(t *testing.T) {
	const square int64 = -9010
	g := guard(t, stageParts{}, nil, "The crew")
	var people []int64
	for i := range int64(30) {
		g.server.AddPerson(5000+i, fmt.Sprintf("P%d", i))
		people = append(people, 5000+i)
	}
	g.server.AddGroup(square, "Square", people...)
	g.server.AddBot(square, people[0])
	g.rest()
	at := g.mark()
	for _, p := range people {
		g.server.Write(square, p, "/privacy@"+bottest.BotUsername)
	}
	for range 20 { // chatter in a group waits until it has room
		g.rest()
	}
	if got, told := g.replies(square, at, "What I keep"), g.replies(square, at, "Too fast"); got != 20 || told != 1 {
		t.Errorf("30 strangers in a group: %d answers and %d words about it, want 20 and 1", got, told)
	}
}

// Whoever adds us to group after group is not answered any more that day; in a group that knows us, we are back.
func TestNewGroupsOfOnePerson(t *testing.T) {
	g := guard(t, stageParts{}, nil, "The crew")
	hellos := func(group int64) int { return g.replies(group, 0, "I'm Ledgehand") }
	add := func(n int64, by int64) {
		g.server.AddGroup(n, "Group", by)
		g.server.AddBot(n, by)
		g.rest()
	}
	for i := range int64(8) {
		add(-9100-i, eve)
		if want := 1; i < 5 && hellos(-9100-i) != want {
			t.Errorf("group %d: %d hellos, want %d", i, hellos(-9100-i), want)
		} else if i >= 5 && len(g.texts(-9100-i, 0)) != 0 {
			t.Errorf("group %d: %q, want nothing", i, g.texts(-9100-i, 0))
		}
	}
	if c := g.crewRecord(session.CrewOf(-9107)); !c.Met.IsZero() {
		t.Error("a group beyond the bound is stored")
	}
	add(-9200, bram)
	if hellos(-9200) != 1 {
		t.Error("another person's group is not greeted")
	}
	g.server.RemoveBot(-9100, eve)
	g.server.AddBot(-9100, eve)
	g.rest()
	if hellos(-9100) != 2 {
		t.Error("a group that knows us is not greeted again")
	}
	must(t, g.until(t.Context(), g.now().Add(24*time.Hour)))
	add(-9300, eve)
	if hellos(-9300) != 1 {
		t.Error("a day later a new group is not greeted")
	}
}

// Nothing grows without end.
func TestCaps(t *testing.T) {
	g := guard(t, stageParts{}, nil, "The crew")
	g.starts(ana, "")
	last := func(words string) {
		t.Helper()
		if _, ok := g.said(crew, words); !ok {
			t.Errorf("nobody was told %q", words)
		}
	}
	g.house.desk.Unbounded = true // it is not the pace that is tried
	many := func(n int, line func(i int) string) {
		t.Helper()
		for i := range n {
			g.server.Write(crew, ana, line(i))
		}
		for range n/8 + 2 { // chatter in a group waits until it has room
			g.rest()
		}
	}
	many(65, func(i int) string { return fmt.Sprintf("/ledge add L%d at 38.9546 -123.7406 lip 6 faces 270", i) })
	last("There are 60 ledges noted")
	many(14, func(int) string { return "/trip L1 tomorrow 8am til 11am" })
	last("There are 12 plans standing")
	many(40, func(i int) string { return fmt.Sprintf("/bring thing%d", i) })
	last("There are 30 things on this list")
	many(62, func(i int) string {
		return fmt.Sprintf("/rule fish%s min 30 bag 10 checked today from the book", strings.Repeat("x", i+1))
	})
	for range 8 {
		g.server.Write(ana, ana, "/contact")
	}
	g.drain()
	if n := g.replies(ana, 0, "?start="); n != 5 {
		t.Errorf("%d links in a day, want 5", n)
	}
	if g.replies(ana, 0, "That is 5 links in a day") != 3 {
		t.Errorf("the last links: %q", g.texts(ana, 0))
	}
	many(14, func(i int) string { return fmt.Sprintf("/ledge name L0 = L%d", 100+i) })
	many(34, func(i int) string { return fmt.Sprintf("/ledge note L1 note %d", i) })
	last("I keep 30 notes a ledge")
	many(1, func(int) string { return "/ledge alias L1 = aa, bb, cc, dd, ee, ff, gg, hh, ii, jj, kk" })
	last("At most 10 other names a ledge")
	many(7, func(int) string { return "/ledge share L1" })
	last("You made 5 such links within a day")
	c := g.crewRecord(session.CrewOf(crew))
	if l, _ := c.LedgeNamed("L1"); len(l.Notes) != 30 || len(c.Shares) > 5 {
		t.Errorf("%d notes and %d shares, want 30 and up to 5", len(l.Notes), len(c.Shares))
	}
	if len(c.Ledges) != 60 || len(c.Trips) != 12 || len(c.Rules) > 60 {
		t.Errorf("%d ledges, %d trips, %d rules, want 60, 12 and up to 60", len(c.Ledges), len(c.Trips), len(c.Rules))
	}
	for _, l := range c.Ledges {
		if len(l.Aliases) > 10 {
			t.Errorf("ledge %s has %d old names", l.Name, len(l.Aliases))
		}
	}
	g.sane()
}
