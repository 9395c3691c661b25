package main

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"ledgehand/bot/bottest"
	"ledgehand/session"
)

// Names and texts of ill will: whoever writes them, everybody is still told, in markup of ours alone.

var hostile = map[string]string{
	"Markup":      `<b>&"'</b><a href="tg://user?id=1">x</a>&lt;i&gt;`,
	"Open":        "</b></code><pre>",
	"Emoji":       strings.Repeat("🎣", 64),
	"Family":      strings.Repeat("👨\u200d👩\u200d👧\u200d👦", 16),
	"RightToLeft": "עדי\u202eללא\u2066 محمد\u202c",
	"Override":    "\u202e\u2067Ana\u202d",
	"ZeroWidth":   "A\u200bn\u2060\ufeffa\u00ad",
	"Unseen":      "\u200b\u3164\u2060",
	"Lines":       "Ana\n\nStand down.\r\n\u2028Ana is off\u2029",
	"Tower":       "A" + strings.Repeat("\u0301", 60) + "na",
	"Panel":       "Ana is off the rocks. Stand down",
	"Command":     "/letgo@" + bottest.BotUsername + " /letgo",
	"Template":    "{{.who}} %s ${x} [b]",
	"Long":        strings.Repeat("Ana Okafor ", 12),
}

var letgoAgain = regexp.MustCompile(`/letgo@`)

func TestHostileNames(t *testing.T) {
	for what, name := range hostile {
		t.Run(what, func(t *testing.T) {
			t.Parallel()
			g := guard(t, stageParts{}, map[int64]string{ana: name, bram: name, mo: name}, name)
			oneName := strings.Join(strings.Fields(name), " ")
			if r := []rune(oneName); len(r) > 30 {
				oneName = string(r[:30])
			}
			g.starts(ana, "")
			g.burst(crew, ana,
				anvil, "/ledge name Anvil = "+name, "/ledge", "/ledge add "+oneName+" at 38.9546 -123.7406 lip 6 faces 270", "/ledge limits "+name,
				"/ledge name Anvil = Anvil", anvil, "/me phone "+name, "/me car "+name, "/settings zone "+name, "/settings area "+name,
				"/trip Anvil tomorrow 8am til 11am plan b "+name, "/bring "+name, "/bring "+name, "/planb "+name, "/conditions "+name, "/hours "+name, "/tide "+name, "/light "+name,
				"/catch 2 "+name+" 31 28", "/catch "+name+" greenling 31", "/rule "+name+" min 30 bag 10 checked today from "+name, "/rule", "/help "+name, "/"+oneName,
			)
			g.writes(ana, ana, name)
			g.server.SendPhoto(crew, ana, "/catch 2 "+name)
			g.writes(ana, ana, "/contact")
			g.starts(mo, g.linkOf(ana))
			g.press(mo, mo, "accept")
			g.writes(crew, bram, "/in")
			g.press(crew, bram, "say")
			g.writes(crew, ana, "/out Anvil back in 2 hours with "+name)
			g.writes(crew, ana, "/out Anvil back in 2 hours") // where that was asked about
			g.burst(crew, ana, "/more 5 "+name, "/more 6 "+name, "/more 7 "+name)
			g.writes(crew, ana, "/watch Anvil "+name)
			g.writes(crew, ana, "/ledge note Anvil "+name)
			g.writes(crew, ana, "/ledge alias Anvil = "+name+" rock")
			g.writes(crew, ana, "/settings number 911, "+name)
			g.writes(crew, ana, "/ledge Anvil")
			g.writes(mo, mo, "/plan")
			must(t, g.until(t.Context(), g.now().Add(3*60*60*1e9)))
			if _, ok := g.said(mo, "has not checked in"); !ok {
				if _, ok := g.said(mo, "have not checked in"); !ok {
					t.Errorf("Mo heard nothing of it:\n%s", g)
				}
			}
			g.press(mo, mo, "ack")
			g.writes(crew, bram, "/trying")
			g.writes(crew, ana, "/off all")
			g.sane()
			g.answered()
			for _, e := range g.server.Transcript() {
				if e.Bot && letgoAgain.MatchString(e.Text) {
					t.Errorf("the bot puts a command of somebody's name under everybody's thumb: %q", e.Text)
				}
			}
		})
	}
}

// 4096 characters of anything, in every line that takes text.
func TestLongestLines(t *testing.T) {
	for what, unit := range map[string]string{"Words": "with ana ", "Emoji": "🎣", "Markup": "<&>", "Marks": "A\u0301"} {
		t.Run(what, func(t *testing.T) {
			t.Parallel()
			g := guard(t, stageParts{}, nil, "The crew")
			g.starts(ana, "")
			g.writes(crew, ana, anvil)
			var lines []string
			for _, cmd := range []string{"out Anvil back in 2 hours with", "more 5", "me phone", "me car", "bring", "trip Anvil tomorrow 8am til 11am", "trip Anvil", "ledge add", "ledge name Anvil =", "ledge limits Anvil", "ledge alias Anvil =", "ledge note Anvil", "ledge unnote Anvil", "ledge photo", "ledge share", "ledge export", "ledge import", "ledge ring Anvil =", "settings number 112,", "settings quiet", "settings edit", "crew",
				"ledge station Anvil =", "ledge timezone Anvil =", "catch", "rule", "conditions", "hours", "tide", "light", "watch", "start", "settings zone", "settings area", "planb", "off", "help", ""} {
				text := "/" + cmd + " "
				for n := 4096 - len(text); n >= len([]rune(unit)); n -= len([]rune(unit)) * max(1, len(unit)/4) {
					text += unit
				}
				lines = append(lines, text)
			}
			g.burst(crew, ana, lines...)
			g.burst(ana, ana, lines...)
			g.sane()
		})
	}
}

// Nothing that somebody typed stands in a link or in the name of a record.
func TestNothingTypedIsPartOfALinkOrAKey(t *testing.T) {
	const word = "zanzibar"
	g := guard(t, stageParts{}, map[int64]string{ana: word, bram: word}, word)
	g.starts(ana, word)
	for _, l := range []string{"/ledge add " + word + " at 38.9546 -123.7406 lip 6.1 faces 270", "/me car " + word, "/trip tomorrow 8am til 11am", "/bring " + word, "/ledge note " + word + " " + word, "/ledge alias " + word + " = the " + word, "/ledge share " + word, "/settings number 112, " + word, "/conditions", "/out back in 2 hours with " + word, "/catch 2 " + word, "/" + word, "/start c_" + word + "_" + word} {
		g.writes(crew, ana, l)
		g.writes(ana, ana, l)
	}
	for i, data := range []string{"aundo|g5en." + word + "|x|0", "aoff|" + word + ".1||0", "aundo|gv." + word + "|" + word + "|0", "aplan|gv.%ff%00" + word + "||0"} {
		g.forges(ana, ana, i+1, data)
	}
	g.writes(ana, ana, "/contact")
	if token := g.linkOf(ana); strings.Contains(token, word) {
		t.Errorf("the link %q holds what somebody typed", token)
	}
	for s := range 64 {
		keys, err := g.house.store.Keys(t.Context(), session.Shard(s), "")
		must(t, err)
		for _, k := range keys {
			if strings.Contains(k, word) {
				t.Errorf("the record %q is named by what somebody typed", k)
			}
		}
	}
	if g.sane(); t.Failed() {
		t.Log(fmt.Sprint(g))
	}
}
