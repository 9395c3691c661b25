package main

import (
	"bytes"
	"fmt"
	"log/slog"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
	"unicode"
	"unicode/utf16"

	"ledgehand/bot/bottest"
	"ledgehand/bot/chat"
	"ledgehand/conditions/feed"
	"ledgehand/session"
)

// What the security tests share: a stage whose log is kept, and the rules that hold for everything the bot says.

const (
	mo  int64 = 304 // ashore
	eve int64 = 309 // of no crew
)

// lockedBuffer is a log that several goroutines write.
type lockedBuffer struct {
	mu  sync.Mutex
	buf bytes.Buffer
}

func (b *lockedBuffer) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.buf.Write(p)
}

func (b *lockedBuffer) String() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.buf.String()
}

// guarded is a stage with a group of Ana and Bram, Mo ashore and Eve a stranger, and its log at the finest level.
type guarded struct {
	*stage
	t   *testing.T
	log *lockedBuffer
}

func guard(t *testing.T, p stageParts, names map[int64]string, title string) *guarded {
	t.Helper()
	g := &guarded{t: t, log: &lockedBuffer{}}
	if p.seer == nil {
		seer, err := feed.NewRecorded(day.Add(-8*time.Hour), false)
		must(t, err)
		p.seer = seer
	}
	p.log = slog.New(slog.NewTextHandler(g.log, &slog.HandlerOptions{Level: slog.LevelDebug}))
	st, err := openStage(t.Context(), day, p)
	must(t, err)
	t.Cleanup(func() { _ = st.close() })
	g.stage = st
	for id, name := range map[int64]string{ana: "Ana", bram: "Bram", mo: "Mo", eve: "Eve"} {
		if n, ok := names[id]; ok {
			name = n
		}
		st.server.AddPerson(id, name)
	}
	st.server.AddGroup(crew, title, ana, bram)
	st.server.AddBot(crew, ana)
	g.rest()
	return g
}

// rest waits until all is said, and lets a minute pass so that nobody is too fast. What falls due in it comes with what is done next.
func (g *guarded) rest() {
	g.t.Helper()
	must(g.t, g.settle(g.t.Context()))
	g.set(g.now().Add(time.Minute))
}

// burst is lines one after the other, as fast as a member may write them.
func (g *guarded) burst(chatID, person int64, lines ...string) {
	g.t.Helper()
	for i, l := range lines {
		g.server.Write(chatID, person, l, bottest.Ago(time.Duration(len(lines)-1-i)*4*time.Second))
	}
	g.set(g.now().Add(time.Duration(len(lines)) * 4 * time.Second))
	g.rest()
}

func (g *guarded) writes(chatID, person int64, text string) {
	g.t.Helper()
	g.server.Write(chatID, person, text)
	g.rest()
}

func (g *guarded) starts(person int64, payload string) {
	g.t.Helper()
	g.server.Start(person, payload)
	g.rest()
}

// press taps the newest button of an act that is shown in a chat.
func (g *guarded) press(chatID, person int64, act string) {
	g.t.Helper()
	for _, p := range slices.Backward(g.server.Messages(chatID)) {
		for _, row := range p.Buttons {
			for _, b := range row {
				if strings.HasPrefix(b.Data, "a"+act+"|") {
					if _, err := g.server.Tap(chatID, person, p.ID, b.Data); err != nil {
						g.t.Fatal(err)
					}
					g.rest()
					return
				}
			}
		}
	}
	g.t.Fatalf("no button %q is shown in chat %d", act, chatID)
}

// forges sends a tap with data that nobody shows, on a message that is there or not.
func (g *guarded) forges(chatID, person int64, message int, data string) {
	g.t.Helper()
	g.server.Forge(chatID, person, message, data)
	g.rest()
}

// dead counts the letters that nobody could handle.
func (st *stage) dead(t testing.TB) (out []string) {
	t.Helper()
	for s := range session.Shard(session.Shards) {
		letters, err := st.house.store.Buried(t.Context(), s, 1000)
		must2(t, err)
		for _, l := range letters {
			out = append(out, l.ID+": "+l.Why)
		}
	}
	return out
}

// stuck lists letters that wait although everything came to rest.
func (st *stage) stuck(t testing.TB) (out []string) {
	t.Helper()
	for s := range session.Shard(session.Shards) {
		letters, err := st.house.store.Waiting(t.Context(), s, "", 100)
		must2(t, err)
		for _, l := range letters {
			out = append(out, l.ID)
		}
	}
	return out
}

func must2(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// mention is the one link we make: of a person by their number.
var mention = regexp.MustCompile(`^<a href="tg://user\?id=3[0-9]{2}">$`)

var tagOf = regexp.MustCompile(`<[^>]*>`)

// sane checks everything the bot said so far: it was taken by the server, it is markup of ours alone, nothing in it is
// hidden or turns the text around, buttons are one line and carry what Telegram takes.
func (g *guarded) sane() {
	g.t.Helper()
	for _, e := range g.server.Transcript() {
		if !e.Bot || e.What == bottest.Busy {
			continue
		}
		if n := len(utf16.Encode([]rune(e.Text))); n > chat.MaxText {
			g.t.Errorf("a text of %d UTF-16 units, want up to %d", n, chat.MaxText)
		}
		for _, tag := range tagOf.FindAllString(e.HTML, -1) {
			if !mention.MatchString(tag) && !slices.Contains([]string{"<b>", "</b>", "<i>", "</i>", "<code>", "</code>", "<pre>", "</pre>", "</a>"}, tag) {
				g.t.Errorf("tag %s in %q, want ours alone", tag, e.HTML)
			}
		}
		g.visible(e.Text, true)
		for _, row := range e.Buttons {
			for _, b := range row {
				g.visible(b.Label, false)
				if strings.ContainsAny(b.Label, "\r\n\t") {
					g.t.Errorf("button %q has more than one line", b.Label)
				}
				if len(b.Data) > chat.MaxButtonData {
					g.t.Errorf("button %q carries %d bytes, want up to %d", b.Label, len(b.Data), chat.MaxButtonData)
				}
			}
		}
	}
	for _, no := range g.server.Refused() { // the sender would send it again without markup, and nobody would see why
		if !strings.Contains(no, "message is not modified") {
			g.t.Errorf("refused: %s", no)
		}
	}
	for _, bad := range []string{"did not get through", "put aside", "dropped", "cannot be read"} {
		if strings.Contains(g.log.String(), bad) {
			g.t.Errorf("the log says %q:\n%s", bad, g.log)
		}
	}
	if dead := g.dead(g.t); len(dead) > 0 {
		g.t.Errorf("dead letters %v, want none", dead)
	}
	if stuck := g.stuck(g.t); len(stuck) > 0 {
		g.t.Errorf("letters %v wait, want none", stuck)
	}
}

// visible checks a text for what is not seen. Isolates are ours where they come in pairs.
func (g *guarded) visible(text string, isolates bool) {
	g.t.Helper()
	depth := 0
	before := rune(0)
	for _, r := range text {
		switch {
		case r == '\n':
		case r == '\u2068' && isolates:
			depth++
		case r == '\u2069' && isolates:
			depth--
		case r == '\u200d' || r == '\u200c':
			if before < 0x0590 {
				g.t.Errorf("a joiner after %q in %q", before, text)
			}
		case unicode.In(r, unicode.C, unicode.Other_Default_Ignorable_Code_Point):
			g.t.Errorf("%U in %q", r, text)
		}
		if depth < 0 {
			break
		}
		before = r
	}
	if depth != 0 {
		g.t.Errorf("isolates of %q do not match", text)
	}
}

// answered checks that no button spins: every tap was answered.
func (g *guarded) answered() {
	g.t.Helper()
	taps, answers := 0, 0
	for _, e := range g.server.Transcript() {
		switch e.What {
		case bottest.Tapped:
			taps++
		case bottest.Answered:
			answers++
		}
	}
	if taps != answers {
		g.t.Errorf("%d taps and %d answers, want each answered", taps, answers)
	}
}

// texts are what the bot said in a chat since the event number from.
func (g *guarded) texts(chatID int64, from int) (out []string) {
	for _, e := range g.server.Transcript()[from:] {
		if e.Bot && e.Chat == chatID && e.What != bottest.Busy {
			out = append(out, e.Text)
		}
	}
	return out
}

func (g *guarded) mark() int { return len(g.server.Transcript()) }

// linkOf is the token of the newest invitation somebody was given.
func (g *guarded) linkOf(person int64) string {
	g.t.Helper()
	p, ok := g.said(person, "?start=")
	if !ok {
		g.t.Fatalf("%d was given no link", person)
	}
	_, token, _ := strings.Cut(p.Text, "?start=")
	return strings.Fields(token)[0]
}

const anvil = "/ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270 foot 12 slope wall number 911"

func (g *guarded) String() string {
	var out []string
	for _, e := range g.server.Transcript() {
		out = append(out, e.String())
	}
	return strings.Join(out, "\n")
}

var _ fmt.Stringer = (*guarded)(nil)
