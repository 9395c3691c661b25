package main

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"ledgehand/session"
)

// Links that make somebody a shore contact: random, for one person, once, for a while, and only for whose they are.

// The payload of a deep link is up to 64 of A-Z a-z 0-9 _ - (Telegram, Bot features, Deep Linking).
var payload = regexp.MustCompile(`^[A-Za-z0-9_-]{1,64}$`)

func TestLinksAreRandomAndFitTelegram(t *testing.T) {
	seen := map[string]bool{}
	for range 3 {
		g := guard(t, stageParts{}, nil, "The crew")
		g.starts(ana, "")
		for range 3 {
			g.writes(ana, ana, "/contact")
			token := g.linkOf(ana)
			secret := token[strings.LastIndex(token, "_")+1:]
			if !payload.MatchString(token) {
				t.Errorf("link %q does not fit Telegram", token)
			}
			// 20 letters of base32 are 100 bits; NIST SP 800-63B asks for 64 at least of a random look-up secret.
			if len(secret) != 20 || seen[secret] {
				t.Errorf("secret %q, want 20 letters never seen before", secret)
			}
			seen[secret] = true
		}
	}
}

const tooLate = "used up or too old"

func TestALinkIsForOneAndOnce(t *testing.T) {
	g := guard(t, stageParts{}, nil, "The crew")
	for _, id := range []int64{ana, bram} {
		g.starts(id, "")
	}
	g.writes(crew, ana, anvil)
	g.writes(ana, ana, "/contact")
	first := g.linkOf(ana)
	g.writes(ana, ana, "/contact")
	link := g.linkOf(ana)

	says := func(what string, to int64, from int, words string) {
		t.Helper()
		if texts := strings.Join(g.texts(to, from), "\n"); !strings.Contains(texts, words) {
			t.Errorf("%s: %d reads %q, want %q", what, to, texts, words)
		}
	}
	silent := func(what string, to int64, from int) {
		t.Helper()
		if texts := g.texts(to, from); len(texts) > 0 {
			t.Errorf("%s: %d reads %q, want nothing", what, to, texts)
		}
	}

	at := g.mark()
	g.starts(ana, link)
	says("by the one who made it", ana, at, "for somebody ashore, not for you")

	at = g.mark()
	g.starts(eve, first)
	says("a link that a newer one replaced", eve, at, tooLate)
	says("the angler hears of it", crew, at, "Eve opened a link of Ana's")
	at = g.mark()
	g.starts(eve, first)
	silent("and again: the angler is told once", crew, at)

	other := "7" // than its last letter, whatever that is
	if strings.HasSuffix(link, other) {
		other = "2"
	}
	for what, guess := range map[string]string{
		"one letter off": link[:len(link)-1] + other, "another crew's": "c_gzz_" + link[strings.LastIndex(link, "_")+1:], "no secret": "c_gv_", "no link": "hello", "a wild one": strings.Repeat("A", 64),
		"a path": "c_../x_y", "with the key's own signs": "c_g1/2_abc", "long": "c_gv_" + strings.Repeat("A", 4000),
	} {
		at = g.mark()
		g.starts(eve, guess)
		if what != "another crew's" { // it is answered by that crew's shard, which this stage does not serve
			says(what, eve, at, tooLate)
		}
		silent(what+": nobody is bothered with guesses", crew, at)
		silent(what, ana, at)
	}

	at = g.mark()
	g.starts(mo, link)
	says("the one it is for", mo, at, "asks you to hold their plans")
	g.press(mo, mo, "accept")
	says("the crew hears who it is", crew, at, "Mo holds Ana's plans")

	at = g.mark()
	g.starts(mo, link)
	says("the same again", mo, at, tooLate)
	silent("the same again", crew, at)

	at = g.mark()
	g.starts(eve, link)
	says("somebody else", eve, at, tooLate)
	says("the angler hears of it", crew, at, "Eve opened a link of Ana's that is used up or too old, so they hold no plan by it")
	g.forges(eve, eve, 1, "aaccept|"+strings.Replace(strings.TrimPrefix(link, "c_"), "_", ".", 1)+"||0")
	says("somebody else's forged yes", eve, at, "That is over")
	if c := g.crewRecord(session.CrewOf(ana)); len(c.Holders) != 0 {
		t.Errorf("holders of nobody's crew: %+v", c.Holders)
	}
	if c := g.crewRecord(session.CrewOf(crew)); len(c.Holders) != 1 || c.Holders[0].ID != mo {
		t.Errorf("holders %+v, want Mo alone", c.Holders)
	}

	// A week later a link is worth nothing.
	g.writes(ana, ana, "/contact")
	old := g.linkOf(ana)
	must(t, g.until(t.Context(), g.now().Add(7*24*time.Hour+time.Hour)))
	at = g.mark()
	g.starts(eve, old)
	says("after a week", eve, at, tooLate)
	says("the angler hears of it", crew, at, "Eve opened a link of Ana's")
	g.forges(eve, eve, 1, "aaccept|"+strings.Replace(strings.TrimPrefix(old, "c_"), "_", ".", 1)+"||0")
	if c := g.crewRecord(session.CrewOf(crew)); len(c.Holders) != 1 {
		t.Errorf("holders %+v, want Mo alone", c.Holders)
	}

	// Whoever says no is not asked by the same link again, and nobody says no in the angler's place.
	g.writes(ana, ana, "/contact")
	link = g.linkOf(ana)
	at = g.mark()
	g.forges(ana, ana, 1, "adecline|"+strings.Replace(strings.TrimPrefix(link, "c_"), "_", ".", 1)+"||0")
	silent("the angler's own no", crew, at)
	g.starts(eve, link)
	g.press(eve, eve, "decline")
	says("a no", crew, at, "Eve cannot hold Ana's plans")
	at = g.mark()
	g.starts(eve, link)
	says("after the no", eve, at, tooLate)
	silent("after the no", crew, at)
	g.sane()
	g.answered()
}

func (g *guarded) crewRecord(id session.CrewID) (c session.Crew) {
	g.t.Helper()
	must(g.t, g.house.session.View(g.t.Context(), id, g.now(), func(tx *session.Tx) (err error) {
		c, _, err = tx.LoadCrew()
		return err
	}))
	return c
}
