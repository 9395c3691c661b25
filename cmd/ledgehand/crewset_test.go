package main

import (
	"strings"
	"testing"
	"time"

	"ledgehand/bot/bottest"
	"ledgehand/session"
)

// In quiet hours that never end chatter makes no sound, and everything that somebody's safety hangs on does: asking, alerting, the sheet, a
// fall, the stand-down, wherever it is said.
func TestNothingOfSafetyIsEverQuiet(t *testing.T) {
	loudWith := func(quiet string) (loud map[string]bool, hushed int) {
		g := guard(t, stageParts{}, nil, "The crew")
		g.starts(ana, "")
		g.starts(mo, "")
		g.writes(crew, ana, "/ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270 number 911")
		g.writes(crew, ana, "/settings quiet "+quiet)
		g.writes(ana, ana, "/contact")
		g.starts(mo, g.linkOf(ana))
		g.press(mo, mo, "accept")
		since := len(g.server.Transcript())
		g.writes(crew, bram, "/ledge Anvil")
		g.writes(crew, ana, "/out Anvil with Bram back in 1 hour")
		g.writes(crew, ana, "/more 15 fish are on")
		g.writes(crew, bram, "/fellin")
		must(t, g.until(t.Context(), g.now().Add(3*time.Hour)))
		g.writes(mo, mo, "/trying")
		g.writes(crew, ana, "/off all")
		loud = map[string]bool{}
		for _, e := range g.server.Transcript()[since:] {
			if !e.Bot || e.What != bottest.Posted {
				continue
			}
			if e.Quiet {
				hushed++
				continue
			}
			head, _, _ := strings.Cut(e.Text, "\n")
			loud[head] = true
		}
		return loud, hushed
	}
	never, quiet0 := loudWith("off")
	always, quiet1 := loudWith("12:00-11:59")
	if len(never) < 10 || quiet1 <= quiet0 {
		t.Fatalf("%d kinds of message, %d quiet of chatter, %d without quiet hours: this proves little", len(never), quiet1, quiet0)
	}
	for head := range never {
		chatter := strings.HasPrefix(head, "Anvil: lip") // the card that was asked for
		if !always[head] && !chatter {
			t.Errorf("in quiet hours this makes no sound: %s", head)
		}
		if chatter && always[head] {
			t.Errorf("in quiet hours this makes a sound: %s", head)
		}
	}
}

// Half a year after a ring was seen those who come back are asked for it, once a day out; what they say is on the card, and on no sheet if
// it is gone.
func TestTheRescueRingIsAskedFor(t *testing.T) {
	g := guard(t, stageParts{}, nil, "The crew")
	g.starts(ana, "")
	g.writes(crew, ana, "/ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270 number 911")
	g.writes(crew, ana, "/ledge ring Anvil = post by the steps")
	dayOut := func() (asked bool) {
		t.Helper()
		since := len(g.server.Transcript())
		g.writes(crew, ana, "/out Anvil back in 1 hour")
		g.writes(ana, ana, "/plan")
		g.writes(crew, ana, "/off")
		must(t, g.until(t.Context(), g.now().Add(20*time.Hour)))
		n := 0
		for _, e := range g.server.Transcript()[since:] {
			if e.Bot && strings.Contains(e.Text, "rescue ring (") {
				n++
			}
		}
		if n > 1 {
			t.Errorf("asked %d times after one day", n)
		}
		return n > 0
	}
	ringOf := func() string {
		t.Helper()
		g.writes(crew, ana, "/ledge Anvil")
		p, _ := g.said(crew, "Anvil: lip")
		_, ring, _ := strings.Cut(p.Text, "Rescue ring")
		ring, _, _ = strings.Cut(ring, ".")
		return ring
	}
	if dayOut() {
		t.Error("a ring that was seen today is asked for")
	}
	must(t, g.until(t.Context(), g.now().Add(200*24*time.Hour)))
	if !dayOut() {
		t.Fatalf("a ring that nobody saw for half a year is not asked for:\n%s", g)
	}
	must(t, g.tap(ana, ana, "Did not look"))
	g.rest()
	if ring := ringOf(); !strings.Contains(ring, "Mar") {
		t.Errorf("not having looked changes the card: %q", ring)
	}
	must(t, g.tap(ana, ana, "Ring gone"))
	g.rest()
	if _, ok := g.said(crew, "the rescue ring at Anvil is gone"); !ok {
		t.Errorf("the crew does not hear of it:\n%s", g)
	}
	if ring := ringOf(); !strings.HasPrefix(ring, " gone since") {
		t.Errorf("on the card: %q", ring)
	}
	since := len(g.server.Transcript())
	if dayOut() {
		t.Error("a ring that is gone is asked for")
	}
	for _, e := range g.server.Transcript()[since:] {
		if strings.Contains(e.Text, "post by the steps") {
			t.Errorf("a ring that is gone stands in the plan:\n%s", e.Text)
		}
	}
	g.writes(crew, ana, "/ledge ring Anvil = new one by the gate")
	if ring := ringOf(); !strings.Contains(ring, "new one by the gate") {
		t.Errorf("on the card: %q", ring)
	}
}

// A month after we were put out of a group nothing of it is left but who holds whose plans; while somebody is out, and where we were only
// muted, all of it stays.
func TestWhatIsLeftOfACrewThatPutUsOut(t *testing.T) {
	records := func(g *guarded) (n int, all string) {
		for key, body := range g.everyRecord(t) {
			if strings.Contains(key, string(session.CrewOf(crew))) && !strings.HasPrefix(key, "lookout/") {
				n++
				all += key + " " + body + "\n"
			}
		}
		return n, all
	}
	full := func() *guarded {
		g := guard(t, stageParts{}, nil, "The crew")
		g.starts(ana, "")
		g.starts(mo, "")
		g.writes(ana, ana, "/contact")
		g.starts(mo, g.linkOf(ana))
		g.press(mo, mo, "accept")
		g.writes(crew, ana, "/ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270 number 911")
		g.writes(ana, ana, "/me phone +00 555 0142")
		for range 16 { // more than one change removes
			g.writes(crew, ana, "/out Anvil back in 1 hour")
			g.writes(crew, ana, "/off")
		}
		g.writes(crew, ana, "/catch 2 kelp greenling 31 28 kept 1")
		return g
	}
	g := full()
	before, _ := records(g)
	g.server.MuteBot(crew, ana)
	g.rest()
	jump(g, 40*24*time.Hour)
	if n, _ := records(g); n < before {
		t.Errorf("muted for 40 days %d records of %d are left", n, before)
	}
	g.server.RemoveBot(crew, ana)
	g.rest()
	must(t, g.until(t.Context(), g.now().Add(29*24*time.Hour)))
	if n, _ := records(g); n < before {
		t.Errorf("after 29 days %d records of %d are left", n, before)
	}
	must(t, g.until(t.Context(), g.now().Add(3*24*time.Hour)))
	n, all := records(g)
	if n != 1 || strings.Contains(all, "Anvil") || strings.Contains(all, "0142") || !strings.Contains(all, `"name":"Mo"`) {
		t.Errorf("after 32 days %d records are left:\n%s", n, all)
	}
	for s := range session.Shard(session.Shards) {
		if mended, err := g.house.session.Reconcile(t.Context(), s, g.now()); err != nil || len(mended) != 0 {
			t.Errorf("the index differs in %v, %v", mended, err)
		}
	}

	// Somebody is out and never says off: it is watched for as long as that takes.
	g = guard(t, stageParts{}, nil, "The crew")
	g.starts(ana, "")
	g.writes(crew, ana, "/ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270 number 911")
	g.writes(crew, ana, "/out Anvil back in 1 hour")
	g.server.RemoveBot(crew, bram)
	g.rest()
	jump(g, 33*24*time.Hour)
	if _, all := records(g); !strings.Contains(all, "outing/") || !strings.Contains(all, "Anvil") {
		t.Errorf("an open outing is gone:\n%s", all)
	}
	g.writes(ana, ana, "/off")
	if _, ok := g.said(ana, "Ana: off Anvil"); !ok {
		t.Errorf("an off is not heard:\n%s", g)
	}
	jump(g, 10*24*time.Hour)
	must(t, g.until(t.Context(), g.now().Add(time.Hour)))
	if n, all := records(g); n != 1 || strings.Contains(all, "Anvil") {
		t.Errorf("when it is over %d records are left:\n%s", n, all)
	}
}

// jump is time in which nothing of us ran: what fell due in it comes at once, late.
func jump(g *guarded, d time.Duration) {
	g.t.Helper()
	g.set(g.now().Add(d))
	g.rest()
	must(g.t, g.until(g.t.Context(), g.now().Add(time.Minute)))
}

// Who administers the group decides where a crew says so; when that cannot be seen nothing changes, and nobody who is out is held up.
func TestEditorsThatCannotBeSeen(t *testing.T) {
	g := guard(t, stageParts{}, nil, "The crew")
	g.server.MakeAdmin(crew, ana)
	g.writes(crew, ana, "/ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270 number 911")
	g.writes(crew, ana, "/settings edit admins")
	g.set(g.now().Add(time.Hour))
	g.server.Inject(bottest.Fault{Method: "getChatAdministrators", Code: 500})
	g.writes(crew, ana, "/ledge limits Anvil swell 3")
	if _, ok := g.said(crew, "I can't see now who administers the group"); !ok {
		t.Errorf("not refused:\n%s", g)
	}
	g.writes(crew, bram, "/out Anvil back in 1 hour")
	g.writes(crew, bram, "/off")
	if _, ok := g.said(crew, "Bram: off Anvil"); !ok {
		t.Errorf("an off is held up:\n%s", g)
	}
	g.set(g.now().Add(time.Minute))
	g.writes(crew, ana, "/ledge limits Anvil swell 3")
	if _, ok := g.said(crew, "swell 3.0 m"); !ok {
		t.Errorf("refused still:\n%s", g)
	}
}
