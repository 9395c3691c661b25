package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgehand/bot/command"
	"ledgehand/session"
)

// Buttons that nobody showed: made up, of others, of what is over, by those who have no right to them.

// records is everything that is stored, opened: what a tap may not change. What we remember of the tapper is left out.
func (g *guarded) records(tapper int64) string {
	g.t.Helper()
	var out []string
	for s := range session.Shard(session.Shards) {
		keys, err := g.house.store.Keys(g.t.Context(), s, "")
		must(g.t, err)
		for _, k := range keys {
			if k == fmt.Sprintf("person/%d", tapper) || strings.HasPrefix(k, "lookout/") || strings.HasPrefix(k, "sea/") {
				continue // the last two move with time
			}
			recs, err := g.house.store.Load(g.t.Context(), s, k)
			must(g.t, err)
			var body bytes.Buffer
			must(g.t, json.Compact(&body, recs[0].Body))
			out = append(out, k+" "+body.String())
		}
	}
	slices.Sort(out)
	return strings.Join(out, "\n")
}

// unlike lists the records of after that were not so before.
func unlike(before, after string) string {
	was := strings.Split(before, "\n")
	return strings.Join(slices.DeleteFunc(strings.Split(after, "\n"), func(s string) bool { return slices.Contains(was, s) }), "\n")
}

// underway is a crew with a trip, a watch, an outing that Mo holds the plan of, and one that is over.
func underway(t *testing.T) *guarded {
	g := guard(t, stageParts{}, nil, "The crew")
	for _, id := range []int64{ana, bram, eve} {
		g.starts(id, "")
	}
	g.writes(crew, ana, anvil)
	g.writes(ana, ana, "/contact")
	g.starts(mo, g.linkOf(ana))
	g.press(mo, mo, "accept")
	g.writes(crew, bram, "/out Anvil back in 3 hours")
	g.writes(crew, bram, "/off")
	g.writes(crew, ana, "/trip Anvil tomorrow 8am til 11am")
	g.writes(crew, ana, "/out Anvil back in 3 hours")
	g.writes(crew, ana, "/watch Anvil")
	g.writes(crew, ana, "/stopwatch") // else it prompts while others tap
	g.writes(crew, ana, "/catch 2 greenling 31 28")
	g.writes(ana, ana, "/contact")
	return g
}

// refs are what buttons can be about: everything there is, of this crew, of Ana's own, and of nobody.
func (g *guarded) refs() (out []string) {
	own, group := string(session.CrewOf(ana)), string(session.CrewOf(crew))
	for _, c := range []string{group, own, string(session.CrewOf(eve)), "gzz", "", "x", "g1/../" + group} {
		out = append(out, c+".", c+".nothere", c+".2026-03-14")
	}
	for s := range session.Shard(session.Shards) {
		keys, err := g.house.store.Keys(g.t.Context(), s, "")
		must(g.t, err)
		for _, k := range keys {
			if p := strings.Split(k, "/"); len(p) == 3 {
				out = append(out, p[1]+"."+p[2])
			}
		}
	}
	_, token, _ := strings.Cut(g.linkOf(ana), "_")
	c, token, _ := strings.Cut(token, "_")
	return append(out, c+"."+token[:len(token)-1]+"x", own+"."+token)
}

var acts = []string{
	"off", "offall", "home", "more", "plan", "ack", "letgo", "accept", "decline", "wave", "unwave", "stopw", "say", "bring", "calloff", "tsea", "go",
	"cond", "why", "tide", "light", "undo", "kept", "units", "lang", "zone", "clock", "faces", "lip", "jacket", "signal", "time", "nosuch",
	"noteundo", "import", "takel", "ring", "edit", "quiet", "crew", "setstop",
}

// args are what a button can carry, ours and nonsense.
var args = []string{
	"", "30", "all", "trying", "called", "yes", "in", "throw line", "imperial", "en", "America/Los_Angeles", "1", "0", "-1", "270", "l4", "lNaN", "lInf", "l1e308", "l-", "deep",
	"@hljd0", "@zzzzzzzzzzzz", "@-zzzzzzzzzzzz", "#0.hljd0.hlji0", "#99.zzzzzzz.0", "#-1.1.2", "admins", "off", "22-7", "gone", "stop", "9223372036854775807h", "-5", "1xyz", "\xff\xfe", "\x00",
}

// A stranger in private, with every act on everything there is, changes nothing and reads nothing; each tap is answered.
func TestStrangersTapsChangeNothing(t *testing.T) {
	g := underway(t)
	g.house.desk.Unbounded = true // it is not the pace that is tried
	before, from := g.records(eve), g.mark()
	for _, ref := range g.refs() {
		for i, act := range acts {
			data, err := command.Pack(command.Payload{Act: act, Ref: ref, Arg: args[(i*7)%len(args)]})
			if err != nil {
				continue
			}
			if strings.HasPrefix(ref, string(session.CrewOf(eve))+".") {
				continue // her own
			}
			g.server.Forge(eve, eve, 1, data)
		}
		must(t, g.settle(t.Context()))
	}
	if after := g.records(eve); after != before {
		t.Errorf("a stranger's taps changed what is stored:\n%s", unlike(before, after))
	}
	for _, text := range g.texts(eve, from) {
		if !strings.Contains(text, "That is over, so nothing is changed") {
			t.Errorf("a stranger's tap was answered %q", text)
		}
	}
	g.sane()
	g.answered()
}

// The same taps in the group and by Ana herself: with whatever effect, none of them ends up among the dead or is left
// without an answer, and none calls off somebody else.
func TestEveryTapIsAnswered(t *testing.T) {
	for who, id := range map[string]int64{"Ana": ana, "Bram": bram} {
		for where, chatID := range map[string]int64{"Group": crew, "Private": id} {
			t.Run(who+where, func(t *testing.T) {
				t.Parallel()
				g := underway(t)
				g.house.desk.Unbounded = true
				rng := rand.New(rand.NewPCG(20260314, uint64(id)))
				var all []string
				for _, ref := range g.refs() {
					for _, act := range acts {
						for _, arg := range args {
							if data, err := command.Pack(command.Payload{Act: act, Ref: ref, Arg: arg, Rev: rng.IntN(3)}); err == nil {
								all = append(all, data)
							}
						}
					}
				}
				rng.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
				var first []string // what is there, with a word that no button carries, before anything of it is over
				for _, ref := range g.refs() {
					for _, act := range []string{"say", "bring", "ack", "more", "undo", "kept", "jacket", "time", "units"} {
						if data, err := command.Pack(command.Payload{Act: act, Ref: ref, Arg: "nonsense"}); err == nil && strings.ContainsAny(ref, "0123456789") {
							first = append(first, data)
						}
					}
				}
				for i, data := range append(first, all[:100]...) {
					g.server.Forge(chatID, id, 1+rng.IntN(40), data)
					if i%8 == 7 { // twice, and at one instant
						g.server.Forge(chatID, id, 1, data)
					}
					if i%16 == 15 {
						g.rest()
					}
				}
				g.rest()
				g.sane()
				g.answered()
			})
		}
	}
}

// Bytes that are no button of ours.
func TestRandomBytesAreAnswered(t *testing.T) {
	g := underway(t)
	g.house.desk.Unbounded = true
	before := g.records(eve)
	rng := rand.New(rand.NewPCG(20260314, 3))
	for i := range 200 {
		b := make([]byte, rng.IntN(65))
		for j := range b {
			b[j] = byte(rng.Uint32())
		}
		data := strings.ToValidUTF8(string(b), "?")
		if i%3 == 0 {
			data = "a" + data + "|||0"
		}
		g.server.Forge(eve, eve, i, data)
		if i%40 == 39 {
			g.rest()
		}
	}
	g.rest()
	if after := g.records(eve); after != before {
		t.Errorf("random bytes changed what is stored:\n%s", unlike(before, after))
	}
	g.sane()
	g.answered()
}

// Those who stand for nobody: what one of them taps or says, all of them would have (Bot API, Message.sender_chat; the ids
// are those of GroupAnonymousBot, Channel_Bot and the account that forwards a channel's posts).
func TestNobodyTaps(t *testing.T) {
	for name, from := range map[string]string{
		"AnonymousAdmin": `{"id":1087968824,"is_bot":true,"first_name":"Group","username":"GroupAnonymousBot"}`,
		"AsChannel":      `{"id":136817688,"is_bot":true,"first_name":"Channel","username":"Channel_Bot"}`,
		"Forwarder":      `{"id":777000,"is_bot":false,"first_name":"Telegram"}`,
		"Bot":            `{"id":4242,"is_bot":true,"first_name":"Other"}`,
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			g := underway(t)
			before, from0, answers := g.records(0), g.mark(), g.server.Calls("answerCallbackQuery")
			open := ""
			for _, o := range g.refs() {
				if strings.HasPrefix(o, string(session.CrewOf(crew))+".10") {
					open = o
				}
			}
			n := 0
			for _, data := range []string{"aoff|" + open + "||0", "aoffall|" + open + "||0", "aack|" + open + "|trying|0", "asay|" + open + "|in|0", "aunits|" + string(session.CrewOf(crew)) + ".|imperial|0"} {
				n++
				g.server.Raw(fmt.Sprintf(`{"callback_query":{"id":"%d","from":%s,"message":{"message_id":5,"date":0,"chat":{"id":%d,"type":"group","title":"The crew"}},"chat_instance":"1","data":%q}}`, n, from, crew, data))
				g.rest()
			}
			for _, text := range []string{"/off", "/out Anvil back in 2 hours", "/trying", "/in", "/settings area XX", "/contact", "/ledge add Long at 38.9 -123.7 lip 3 faces 270"} {
				n++
				g.server.Raw(fmt.Sprintf(`{"message":{"message_id":%d,"date":%d,"from":%s,"sender_chat":{"id":%d,"type":"group","title":"The crew"},"chat":{"id":%d,"type":"group","title":"The crew"},"text":%q,"entities":[{"type":"bot_command","offset":0,"length":4}]}}`,
					900+n, g.now().Unix(), from, crew, crew, text))
				g.rest()
			}
			if after := g.records(0); after != before {
				t.Errorf("what nobody did changed what is stored:\n%s", unlike(before, after))
			}
			if got := g.server.Calls("answerCallbackQuery") - answers; got != 5 {
				t.Errorf("%d of 5 taps answered", got)
			}
			for _, text := range g.texts(crew, from0) {
				if !strings.Contains(text, "I can't see who you are") {
					t.Errorf("nobody was answered %q", text)
				}
			}
			if dead := g.dead(t); len(dead) > 0 {
				t.Errorf("dead letters %v", dead)
			}
		})
	}
}

// A tap under a message sent inline has no chat; we never send such, and it is answered all the same.
func TestATapWithoutAChatIsAnswered(t *testing.T) {
	g := underway(t)
	before := g.records(eve)
	n := g.server.Calls("answerCallbackQuery")
	g.server.Raw(`{"callback_query":{"id":"1","from":{"id":309,"is_bot":false,"first_name":"Eve"},"inline_message_id":"x","chat_instance":"1","data":"aoff|gv.1||0"}}`)
	g.rest()
	if got := g.server.Calls("answerCallbackQuery") - n; got != 1 || g.records(eve) != before {
		t.Errorf("%d answers, want 1 and nothing changed", got)
	}
}

// The same tap twice, and twice delivered, counts once where it counts anything.
func TestADoubleTapIsOne(t *testing.T) {
	g := underway(t)
	g.press(crew, ana, "off")
	for range 2 {
		g.server.Forge(crew, ana, 1, "aoff|"+g.outingRef()+"||0")
		g.server.Forge(crew, ana, 1, "aoff|"+g.outingRef()+"||0")
		g.rest()
	}
	if n := strings.Count(g.String(), "Ana: off Anvil"); n == 0 {
		t.Errorf("no confirmation:\n%s", g)
	}
	if n := g.count("Stand down"); n != 0 {
		t.Errorf("%d stand-downs without an alert, want none", n)
	}
	g.sane()
	g.answered()
}

// An alert is taken on with one of the three answers there are, by those it is for.
func TestAnAlertTakesOnlyTheAnswersThereAre(t *testing.T) {
	g := underway(t)
	must(t, g.until(t.Context(), g.now().Add(4*time.Hour)))
	at := g.mark()
	for _, arg := range []string{"", "nonsense", "trying ", "off", "all"} {
		if data, err := command.Pack(command.Payload{Act: "ack", Ref: g.outingRef(), Arg: arg}); err == nil {
			g.forges(crew, bram, 1, data)
			g.forges(mo, mo, 1, data)
		}
	}
	g.forges(eve, eve, 1, "aack|"+g.outingRef()+"|trying|0")
	if n := g.replies(crew, at, "trying to reach"); n != 0 {
		t.Errorf("taken on %d times, want never", n)
	}
	g.forges(mo, mo, 1, "aack|"+g.outingRef()+"|trying|0")
	if g.replies(crew, at, "Mo is trying to reach Ana") == 0 {
		t.Error("Mo's answer is not taken")
	}
	g.sane()
	g.answered()
}

func (g *guarded) outingRef() string {
	for s := range session.Shard(session.Shards) {
		keys, err := g.house.store.Keys(g.t.Context(), s, "outing/")
		must(g.t, err)
		if len(keys) > 0 {
			p := strings.Split(slices.Max(keys), "/")
			return p[1] + "." + p[2]
		}
	}
	g.t.Fatal("no outing")
	return ""
}

// Somebody of another crew, in their own group, with the ids of this one.
func TestAnotherGroupsTapsChangeNothing(t *testing.T) {
	const others int64 = -9009
	g := underway(t)
	g.server.AddGroup(others, "The others", eve)
	g.server.AddBot(others, eve)
	g.rest()
	g.house.desk.Unbounded = true
	before := g.records(eve)
	for _, ref := range g.refs() {
		if strings.HasPrefix(ref, string(session.CrewOf(others))) || strings.HasPrefix(ref, string(session.CrewOf(eve))) {
			continue
		}
		for i, act := range acts {
			if data, err := command.Pack(command.Payload{Act: act, Ref: ref, Arg: args[i%len(args)]}); err == nil {
				g.server.Forge(others, eve, 1, data)
			}
		}
		must(t, g.settle(t.Context()))
	}
	if after := g.records(eve); after != before {
		t.Errorf("another group's taps changed what is stored:\n%s", unlike(before, after))
	}
	g.sane()
	g.answered()
}
