package main

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgehand/bot/bottest"
	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/telegram"
	"ledgehand/conditions/feed"
	"ledgehand/session"
)

// Updates as nobody sends them: too large, too deep, with numbers no type holds. At worst they end among the dead; what
// comes after them is heard.

func oddUpdates() map[string]string {
	deep := strings.Repeat("[", 9000) + strings.Repeat("]", 9000)
	deeper := strings.Repeat(`{"chat":`, 9000) + "1" + strings.Repeat("}", 9000)
	msg := func(fields string) string {
		return `{"message":{"message_id":7,"date":1773500400,"chat":{"id":-31,"type":"group","title":"The crew"},"from":{"id":301,"is_bot":false,"first_name":"Ana"}` + fields + `}}`
	}
	return map[string]string{
		"Empty":            `{}`,
		"Null":             `{"message":null}`,
		"NotAnObject":      `{"message":[1,2]}`,
		"NoChat":           `{"message":{"message_id":1,"date":1,"text":"/off"}}`,
		"NoPerson":         `{"message":{"message_id":1,"date":1,"chat":{"id":-31,"type":"group"},"text":"/off"}}`,
		"NoType":           `{"message":{"message_id":1,"date":1,"chat":{"id":-31},"from":{"id":309},"text":"/help"}}`,
		"Deep":             msg(`,"reply_markup":` + deep),
		"Deeper":           `{"message":` + deeper + `}`,
		"DeepReply":        msg(`,"text":"/help","reply_to_message":` + strings.Repeat(`{"reply_to_message":`, 3000) + `{}` + strings.Repeat("}", 3000)),
		"Long":             msg(`,"text":"/catch ` + strings.Repeat("x", 1<<20) + `"`),
		"LongName":         `{"message":{"message_id":1,"date":1773500400,"chat":{"id":309,"type":"private"},"from":{"id":309,"first_name":"` + strings.Repeat("<b>", 200000) + `"},"text":"/start"}}`,
		"LongTitle":        `{"message":{"message_id":1,"date":1773500400,"chat":{"id":-77,"type":"group","title":"` + strings.Repeat("&", 300000) + `"},"from":{"id":309,"first_name":"E"},"text":"/help"}}`,
		"PersonOver53Bits": `{"message":{"message_id":1,"date":1773500400,"chat":{"id":9007199254740993,"type":"private"},"from":{"id":9007199254740993,"first_name":"E"},"text":"/start"}}`,
		"PersonMax":        `{"message":{"message_id":1,"date":1773500400,"chat":{"id":9223372036854775807,"type":"private"},"from":{"id":9223372036854775807,"first_name":"E"},"text":"/start"}}`,
		"GroupMin":         `{"message":{"message_id":1,"date":1773500400,"chat":{"id":-9223372036854775808,"type":"supergroup","title":"x"},"from":{"id":309,"first_name":"E"},"text":"/ledge add A at 1 2 lip 3 faces 4"}}`,
		"PersonTooLarge":   `{"message":{"message_id":1,"date":1,"chat":{"id":9223372036854775808,"type":"private"},"from":{"id":1},"text":"/start"}}`,
		"PersonFraction":   `{"message":{"message_id":1,"date":1,"chat":{"id":1.5,"type":"private"},"from":{"id":1.5},"text":"/start"}}`,
		"PersonExponent":   `{"message":{"message_id":1,"date":1,"chat":{"id":1e400,"type":"private"},"from":{"id":1e400},"text":"/start"}}`,
		"PersonNegative":   `{"message":{"message_id":1,"date":1773500400,"chat":{"id":-5,"type":"private"},"from":{"id":-5,"first_name":"E"},"text":"/out Anvil back in 1 hour"}}`,
		"GroupPositive":    `{"message":{"message_id":1,"date":1773500400,"chat":{"id":55,"type":"group","title":"x"},"from":{"id":309,"first_name":"E"},"text":"/help"}}`,
		"MessageNegative":  `{"message":{"message_id":-9,"date":-9,"message_thread_id":-1,"is_topic_message":true,"chat":{"id":309,"type":"private"},"from":{"id":309,"first_name":"E"},"text":"/help"}}`,
		"DateHuge":         `{"message":{"message_id":1,"date":9223372036854775807,"chat":{"id":309,"type":"private"},"from":{"id":309,"first_name":"E"},"text":"/catch"}}`,
		"DateLow":          `{"message":{"message_id":1,"date":1,"chat":{"id":309,"type":"private"},"from":{"id":309,"first_name":"E"},"text":"/catch"}}`,
		"EntityWild":       msg(`,"text":"/help","entities":[{"type":"bot_command","offset":0,"length":2147483647},{"type":"bot_command","offset":-1,"length":-5}]`),
		"EntityInside":     msg(`,"text":"/🎣🎣","entities":[{"type":"bot_command","offset":0,"length":2}]`),
		"PlaceOffGlobe":    msg(`,"location":{"latitude":1e308,"longitude":-1e308}`),
		"PlaceWords":       msg(`,"location":{"latitude":"38.9","longitude":{}}`),
		"PlacePole":        `{"message":{"message_id":1,"date":1773500400,"chat":{"id":309,"type":"private"},"from":{"id":309,"first_name":"E"},"location":{"latitude":90,"longitude":180,"live_period":9223372036854775807}}}`,
		"PlaceNowhere":     `{"message":{"message_id":1,"date":1773500400,"chat":{"id":309,"type":"private"},"from":{"id":309,"first_name":"E"},"location":{"latitude":-90,"longitude":-180,"horizontal_accuracy":-1}}}`,
		"PhotoWild":        msg(`,"caption":"/help","photo":[{"file_id":"x","width":9223372036854775807,"height":9223372036854775807}]`),
		"LoneSurrogate":    msg(`,"text":"/catch \ud800\udfff \udc00"`),
		"Nul":              msg(`,"text":"/me car \u0000\u0001"`),
		"NoUTF8Name":       `{"message":{"message_id":1,"date":1773500400,"chat":{"id":309,"type":"private"},"from":{"id":309,"first_name":"\ud800"},"text":"/start"}}`,
		"TwoKinds":         `{"message":{"message_id":1,"date":1,"chat":{"id":309,"type":"private"},"from":{"id":309},"text":"/help"},"callback_query":{"id":"1","from":{"id":309},"data":"x"}}`,
		"UnknownKind":      `{"some_new_kind":{"chat":{"id":-31,"type":"group"},"from":{"id":301}}}`,
		"UnknownKindGroup": `{"message_reaction":{"chat":{"id":-7777,"type":"supergroup"},"user":{"id":301}}}`,
		"MovedToItself":    `{"message":{"message_id":1,"date":1,"chat":{"id":-88,"type":"group"},"migrate_to_chat_id":-88}}`,
		"MovedToAPerson":   `{"message":{"message_id":1,"date":1,"chat":{"id":-89,"type":"group"},"migrate_to_chat_id":309}}`,
		"MemberOdd":        `{"my_chat_member":{"chat":{"id":-90,"type":"group"},"from":{"id":309},"date":1,"old_chat_member":{"status":"wizard"},"new_chat_member":{"status":"wizard"}}}`,
		"MemberEmpty":      `{"my_chat_member":{}}`,
		"TapEmpty":         `{"callback_query":{}}`,
		"TapNoData":        `{"callback_query":{"id":"1","from":{"id":309,"first_name":"E"},"message":{"message_id":1,"date":0,"chat":{"id":309,"type":"private"}}}}`,
		"TapLong":          `{"callback_query":{"id":"` + strings.Repeat("9", 5000) + `","from":{"id":309,"first_name":"E"},"message":{"message_id":1,"date":0,"chat":{"id":309,"type":"private"}},"data":"` + strings.Repeat("a|", 5000) + `"}}`,
		"TapNumber":        `{"callback_query":{"id":5,"from":{"id":309},"data":7}}`,
	}
}

func TestOddUpdates(t *testing.T) {
	g := underway(t)
	all := oddUpdates()
	for _, name := range slices.Sorted(maps.Keys(all)) {
		t.Run(name, func(t *testing.T) {
			raw, before := all[name], len(g.dead(t))
			g.server.Raw(raw)
			g.rest()
			_, err := telegram.Decode([]byte(strings.Replace(raw, "{", `{"update_id":1,`, 1)), day, telegram.Me{})
			if raw == "{}" {
				err = nil
			}
			dead := g.dead(t)
			if err == nil && len(dead) > before {
				t.Errorf("it can be read and is among the dead: %.300q", dead)
			}
			if err != nil && len(dead) != before+1 {
				t.Errorf("it cannot be read (%v) and %d letters are among the dead, want it alone", err, len(dead)-before)
			}
			if stuck := g.stuck(t); len(stuck) > 0 {
				t.Errorf("letters %v wait for ever", stuck)
			}
			at := g.mark()
			g.writes(crew, ana, "/more@"+bottest.BotUsername+" 1 because")
			if g.replies(crew, at, "stays on Anvil") != 1 {
				t.Errorf("the line after it is not heard: %q", g.texts(crew, at))
			}
		})
	}
	if strings.Contains(g.log.String(), "panicked") {
		t.Errorf("a panic:\n%s", g.log)
	}
}

// Numbers and words that no ledge, limit, fish or time has: refused in words, never among the dead.
func TestOddNumbers(t *testing.T) {
	g := underway(t)
	for _, n := range []string{"nan", "inf", "-inf", "1e400", "-1e400", "1e308", "9223372036854775808", "-0", "0x1p10", "1_000", "٣", "½", "1,5", "..", "", "-1", "0"} {
		var lines []string
		for _, line := range []string{
			"/ledge limits Anvil swell %s", "/ledge limits Anvil gust %s period %[1]s wash %[1]s", "/ledge add A%[1]s at %[1]s %[1]s lip %[1]s faces %[1]s", "/ledge add B at 38.9 -123.7 lip %s faces %[1]s foot %[1]s slope 1:%[1]s gate %[1]s walkout %[1]s",
			"/catch %s greenling %[1]s cm kept %[1]s", "/catch greenling %s", "/rule greenling min %s bag %[1]s checked today", "/more %s", "/more until %s", "/watch Anvil %s", "/trip Anvil tomorrow %s til %[1]s", "/conditions Anvil %s", "/hours %sh", "/tide Anvil %s",
			"/light Anvil %s", "/in car %s", "/settings zone %s", "/ledge timezone Anvil = %s", "/ledge station Anvil = %s", "/out Anvil back in %s hours", "/me phone %s",
		} {
			lines = append(lines, fmt.Sprintf(strings.ReplaceAll(line, "%s", "%[1]s"), n))
		}
		g.burst(crew, ana, lines...)
	}
	g.house.desk.Unbounded = true // from here on it is not the pace that is tried
	g.server.SendPlace(ana, ana, 38.9, -123.7)
	g.rest()
	for _, arg := range args { // the answers to what is asked of a new ledge
		for _, x := range [][2]string{{"faces", arg}, {"clock", arg}, {"lip", arg}, {"faces", "270"}, {"lip", arg}, {"lip", "deep"}} {
			if data, err := command.Pack(command.Payload{Act: x[0], Ref: string(session.CrewOf(crew)) + ".", Arg: x[1]}); err == nil {
				g.server.Forge(ana, ana, 1, data)
			}
		}
		g.rest()
		c := g.crewRecord(session.CrewOf(crew))
		if _, ok := c.Question(ana, ana, g.now()); !ok {
			g.server.SendPlace(ana, ana, 38.9, -123.7)
			g.rest()
		}
	}
	g.sane()
	g.answered()
}

// deaf is a chat service that takes everything.
type deaf struct{}

func (deaf) Send(context.Context, chat.Message, int) chat.Sent {
	return chat.Sent{Result: chat.ResultSent, Message: 1}
}
func (deaf) Typing(context.Context, int64, int)             {}
func (deaf) Fetch(context.Context, string) ([]byte, error)  { return nil, chat.ErrFileGone }
func (deaf) Admins(context.Context, int64) ([]int64, error) { return nil, nil }

// bench is a house without a chat service, for many updates in a row.
type bench struct {
	*house
	n    int64
	at   time.Time
	stop func()
}

func newBench(tb testing.TB) *bench {
	tb.Helper()
	store, stop, err := memory(context.Background())
	must2(tb, err)
	seer, err := feed.NewRecorded(day.Add(-8*time.Hour), false)
	must2(tb, err)
	b := &bench{at: day, stop: stop, n: 100}
	b.house = build(parts{
		store: store, seer: seer, sender: deaf{}, now: func() time.Time { return b.at }, log: slog.New(slog.DiscardHandler),
		decode: func(raw []byte, got time.Time) (chat.Request, error) {
			return telegram.Decode(raw, got, telegram.Me{ID: bottest.BotID, Username: bottest.BotUsername})
		},
		link: func(token string) string { return deepLink(bottest.BotUsername, token) },
	})
	must2(tb, b.lead(context.Background(), b.at, 365*24*time.Hour))
	for _, text := range []string{anvil, "/trip Anvil tomorrow 8am til 11am", "/out Anvil back in 5 hours", "/watch Anvil", "/catch 2 greenling 31 28", "/contact"} {
		raw, err := json.Marshal(map[string]any{"message": map[string]any{
			"message_id": 1, "date": b.at.Unix(), "chat": map[string]any{"id": crew, "type": "group", "title": "The crew"}, "from": map[string]any{"id": ana, "first_name": "Ana"}, "text": text,
		}})
		must2(tb, err)
		b.hears(tb, raw)
	}
	return b
}

// hears lets one update come in as the poller takes it, and lets all follow that follows. It says whether it was read.
func (b *bench) hears(tb testing.TB, raw []byte) (read bool) {
	tb.Helper()
	ctx := context.Background()
	b.n++
	b.at = b.at.Add(10 * time.Second)
	var fields map[string]json.RawMessage
	if json.Unmarshal(raw, &fields) == nil && fields != nil {
		fields["update_id"] = fmt.Append(nil, b.n)
		if again, err := json.Marshal(fields); err == nil {
			raw = again
		}
	}
	id, chatID, _ := telegram.Peek(raw)
	if id == "" {
		id = fmt.Sprintf("unreadable-%x", sha256.Sum256(raw))[:32]
	}
	_, err := telegram.Decode(raw, b.at, telegram.Me{ID: bottest.BotID, Username: bottest.BotUsername})
	must2(tb, b.take(ctx, "u"+id, chatID, raw, b.at))
	must2(tb, b.house.settle(ctx, b.at))
	for _, s := range b.alive() {
		waiting, werr := b.store.Waiting(ctx, s, "", 10)
		if len(waiting) > 0 || werr != nil {
			tb.Fatalf("%d letters wait for ever (%v) after %.500q", len(waiting), werr, raw)
		}
		dead, derr := b.store.Buried(ctx, s, 1)
		must2(tb, derr)
		if err == nil && len(dead) > 0 && dead[0].ID == "u"+id {
			tb.Fatalf("it can be read and is among the dead: %s, of %.500q", dead[0].Why, raw)
		}
	}
	return err == nil
}

// fuzzed hands inputs to a bench that is made anew now and then, so that none is full of what came before.
func fuzzed(f *testing.F) func(t *testing.T, raw []byte) {
	var b *bench
	n := 0
	f.Cleanup(func() {
		if b != nil {
			b.stop()
		}
	})
	return func(t *testing.T, raw []byte) {
		if n++; b == nil || n%100 == 0 {
			if b != nil {
				b.stop()
			}
			b = newBench(t)
		}
		b.hears(t, raw)
	}
}

func FuzzUpdate(f *testing.F) {
	for _, raw := range oddUpdates() {
		if len(raw) < 4096 {
			f.Add([]byte(raw))
		}
	}
	for _, text := range []string{"/off", "/more 30", "/ledge name Anvil = <b>", "/start c_gv_AAAA", "/conditions Anvil", "/settings zone right/UTC", "/hours 4h", "/tide tomorrow", "/rule x min 30"} {
		f.Add(fmt.Appendf(nil, `{"message":{"message_id":1,"date":1773500400,"chat":{"id":-31,"type":"group"},"from":{"id":301,"first_name":"Ana"},"text":%q}}`, text))
		f.Add(fmt.Appendf(nil, `{"message":{"message_id":1,"date":1773500400,"chat":{"id":309,"type":"private"},"from":{"id":309,"first_name":"Eve"},"text":%q}}`, text))
	}
	do := fuzzed(f)
	f.Fuzz(func(t *testing.T, raw []byte) { do(t, raw) })
}

func FuzzTap(f *testing.F) {
	for i, act := range acts {
		data, err := command.Pack(command.Payload{Act: act, Ref: string(session.CrewOf(crew)) + ".103", Arg: args[i%len(args)]})
		if err == nil {
			f.Add(data, ana, crew)
			f.Add(data, eve, eve)
		}
	}
	f.Add("", ana, ana)
	do := fuzzed(f)
	f.Fuzz(func(t *testing.T, data string, from, where int64) {
		raw, err := json.Marshal(map[string]any{"callback_query": map[string]any{
			"id": "1", "from": map[string]any{"id": from, "first_name": "P"}, "data": data,
			"message": map[string]any{"message_id": 1, "date": 0, "chat": map[string]any{"id": where, "type": map[bool]string{true: "group", false: "private"}[where < 0]}},
		}})
		if err != nil {
			t.Fatal(errors.Join(err, errors.New("a map is always JSON")))
		}
		do(t, raw)
	})
}
