package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"ledgehand/bot/bottest"
	"ledgehand/conditions/feed"
)

// The invented crew of the demo, and the one ashore.
const (
	demoCrew  int64 = -4001
	demoAna   int64 = 101
	demoBram  int64 = 102
	demoChidi int64 = 103
	demoDell  int64 = 104
	demoMo    int64 = 105
)

// runDemo plays one invented day through the real handlers, store, sweep, outbox, poller and client. It prints the
// chats side by side as they happen and fails if any step did not happen.
func runDemo(ctx context.Context, args []string, _ io.Reader, out, _ io.Writer) error {
	dir := ""
	switch {
	case len(args) == 1 && !strings.HasPrefix(args[0], "-"):
		dir = args[0]
		if err := os.MkdirAll(dir, 0o755); err != nil {
			return fmt.Errorf("make the folder for pictures: %w", err)
		}
	case len(args) > 0:
		return fmt.Errorf("%w: demo [FOLDER for the pictures]", errUsage)
	default:
		var err error
		if dir, err = os.MkdirTemp("", "ledgehand-demo-"); err != nil {
			return fmt.Errorf("make the folder for pictures: %w", err)
		}
	}
	began := time.Now()
	d, err := newDemo(ctx, out, dir)
	if err != nil {
		return err
	}
	defer func() { _ = d.close() }()
	err = d.play(ctx)
	d.print()
	if err != nil {
		return fmt.Errorf("the day stopped after %d steps: %w", d.steps, err)
	}
	fmt.Fprintf(out, "\nAll %d steps happened in %.1f s, %d messages over HTTP, on a store inside this process that now forgets them.\nPictures: %s\n",
		d.steps, time.Since(began).Seconds(), d.messages, strings.Join(d.pictures, ", "))
	fmt.Fprintln(out, "All of it is invented: the people, the ledges, the sea. The tide and light are computed for Arena Cove, California.\nNo forecast makes a ledge safe. Follow local rescue services and rules.")
	return nil
}

type demo struct {
	*stage
	out      io.Writer
	dir      string
	zone     *time.Location
	day      time.Time // local midnight of the Saturday
	steps    int
	messages int
	shown    int // events already printed
	pictures []string
	seen     map[[2]int64]string // by chat and message: what it said last
}

func newDemo(ctx context.Context, out io.Writer, dir string) (*demo, error) {
	zone, err := time.LoadLocation("America/Los_Angeles")
	if err != nil {
		return nil, fmt.Errorf("load the zone of the demo: %w", err)
	}
	day := time.Date(2026, time.March, 14, 0, 0, 0, 0, zone)
	// The invented sea begins on the Friday: the quiet morning of its second day is the Saturday's.
	seer, err := feed.NewRecorded(day, false)
	if err != nil {
		return nil, err
	}
	st, err := openStage(ctx, day.Add(-5*time.Hour), stageParts{seer: seer})
	if err != nil {
		return nil, err
	}
	d := &demo{stage: st, out: out, dir: dir, zone: zone, day: day, seen: map[[2]int64]string{}}
	for id, name := range map[int64]string{demoAna: "Ana", demoBram: "Bram", demoChidi: "Chidi", demoDell: "Dell", demoMo: "Mo"} {
		st.server.AddPerson(id, name)
	}
	st.server.AddGroup(demoCrew, "Wet Socks", demoAna, demoBram, demoChidi, demoDell)
	fmt.Fprintf(out, "%-6s%-*s  %-*s  %-*s\n", "", column, "Wet Socks (the crew's group)", column, "Ana, private", column, "Mo ashore, private")
	fmt.Fprintln(out, strings.Repeat("─", 6+3*column+4))
	return d, nil
}

// at is a clock time of the Saturday; negative hours lie on the Friday.
func (d *demo) at(h, m int) time.Time {
	return d.day.Add(time.Duration(h)*time.Hour + time.Duration(m)*time.Minute)
}

// step does one thing and checks that the bot said what it should in a chat.
func (d *demo) step(ctx context.Context, what string, act func() error, chatID int64, words ...string) error {
	d.steps++
	before := len(d.server.Transcript())
	if err := act(); err != nil {
		return fmt.Errorf("step %d, %s: %w", d.steps, what, err)
	}
	if err := d.settle(ctx); err != nil {
		return fmt.Errorf("step %d, %s: %w", d.steps, what, err)
	}
	d.print()
	for _, e := range d.server.Transcript()[before:] {
		if e.Bot && e.Chat == chatID && !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(e.Text, w) }) {
			return nil
		}
	}
	return fmt.Errorf("step %d, %s: nothing said in chat %d has %q in it", d.steps, what, chatID, words)
}

func (d *demo) play(ctx context.Context) error {
	type s struct {
		when  time.Time
		what  string
		act   func() error
		chat  int64
		words []string
	}
	write := func(chatID, who int64, text string) func() error {
		return func() error { d.server.Write(chatID, who, text); return nil }
	}
	tap := func(chatID, who int64, label string) func() error {
		return func() error { return d.tap(chatID, who, label) }
	}
	wait := func() error { return nil }
	steps := []s{
		{d.at(-5, 0), "the bot joins", func() error { d.server.AddBot(demoCrew, demoAna); return nil }, demoCrew, []string{"I'm Ledgehand", "location"}},
		{d.at(-5, 2), "first ledge", write(demoCrew, demoAna, "/ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270 open 200-330 foot 12 slope wall gate 1.9 walkout 25 signal no number 911"), demoCrew, []string{"Anvil noted", "Arena Cove"}},
		{d.at(-5, 3), "second ledge", write(demoCrew, demoBram, "/ledge add Long Step at 38.9211 -123.7302 lip 3.4 faces 160 open 110-210 foot 5 slope wall number 911"), demoCrew, []string{"Long Step noted"}},
		{d.at(-5, 4), "limits", write(demoCrew, demoAna, "/ledge limits Anvil swell 2 gust 12"), demoCrew, []string{"your limits"}},
		{d.at(-5, 5), "a rule", write(demoCrew, demoChidi, "/rule kelp greenling min 30 bag 2 source Example Coast leaflet checked 2 Mar"), demoCrew, []string{"greenling", "30 cm"}},
		{d.at(-5, 8), "conditions with a picture", write(demoCrew, demoBram, "/conditions Anvil sat 8am til 3pm"), demoCrew, []string{"Anvil", "08:00–15:00", "Watch"}},
		{d.at(-5, 10), "tide below the step", write(demoCrew, demoBram, "/tide Anvil below 0.5 sat"), demoCrew, []string{"at or below 0.5 m", "Predicted, not measured"}},
		{d.at(-5, 11), "last light", write(demoCrew, demoChidi, "/light Anvil sat"), demoCrew, []string{"last light", "Leave by"}},
		{d.at(-5, 12), "trip", write(demoCrew, demoAna, "/trip Anvil sat 8am til 11am plan b Long Step"), demoCrew, []string{"Not ready", "throw line"}},
		{d.at(-5, 14), "Chidi is in", tap(demoCrew, demoChidi, "In"), demoCrew, []string{"In: Ana, Chidi"}},
		{d.at(-5, 15), "Dell may come", tap(demoCrew, demoDell, "Maybe"), demoCrew, []string{"Maybe: Dell"}},
		{d.at(-5, 15), "Bram cannot", tap(demoCrew, demoBram, "Can't"), demoCrew, []string{"Can't: Bram"}},
		{d.at(-5, 16), "throw line", tap(demoCrew, demoAna, "I bring throw line"), demoCrew, []string{"throw line: Ana"}},
		{d.at(-5, 17), "float", tap(demoCrew, demoChidi, "I bring float"), demoCrew, []string{"float: Chidi"}},
		{d.at(-5, 18), "first aid", write(demoCrew, demoChidi, "/bring first aid"), demoCrew, []string{"Ready"}},
		{d.at(-4, 0), "Ana starts the private chat", func() error { d.server.Start(demoAna, ""); return nil }, demoAna, []string{"I'm Ledgehand"}},
		{d.at(-4, 1), "Ana's phone", write(demoAna, demoAna, "/me phone +00 555 0142"), demoAna, []string{"+00 555 0142"}},
		{d.at(-4, 1), "Ana's car", write(demoAna, demoAna, "/me car grey van at the cypress gate"), demoAna, []string{"grey van"}},
		{d.at(-4, 2), "Ana asks for a link", write(demoAna, demoAna, "/contact"), demoAna, []string{"Forward this"}},
		{d.at(-4, 9), "Mo follows it", d.follow, demoMo, []string{"Ana asks you to hold"}},
		{d.at(-4, 10), "Mo accepts", tap(demoMo, demoMo, "Yes, I hold Ana's plans"), demoMo, []string{"You hold Ana's plans"}},
		{d.at(6, 40), "Chidi drops out", tap(demoCrew, demoChidi, "Can't"), demoCrew, []string{"Not ready", "float"}},
		{d.at(7, 5), "the sea again", tap(demoCrew, demoAna, "Sea now"), demoCrew, []string{"Anvil"}},
		{d.at(7, 30), "Ana goes alone", write(demoCrew, demoAna, "/out Anvil back 9:30am"), demoMo, []string{"You hold the plan of Ana", "09:30"}},
		{d.at(7, 31), "lifejacket", tap(demoCrew, demoAna, "Lifejacket on"), demoCrew, []string{"Lifejacket on: yes", "it got through"}},
		{d.at(7, 35), "the watch", write(demoCrew, demoAna, "/watch Anvil 20"), demoCrew, []string{"Watching Anvil", "20 min"}},
		{d.at(7, 49), "two prompts", wait, demoCrew, nil},
		{d.at(7, 56), "the result", wait, demoCrew, nil},
		{d.at(8, 20), "one kept", write(demoCrew, demoAna, "/catch kelp greenling 34 kept"), demoCrew, []string{"kept 1", "Allowed", "1 of 2"}},
		{d.at(8, 31), "one too small", write(demoCrew, demoAna, "/catch kelp greenling 28 kept"), demoCrew, []string{"Not allowed", "30 cm"}},
		{d.at(8, 32), "taken back", tap(demoCrew, demoAna, "Undo"), demoCrew, []string{"Taken back"}},
		{d.at(8, 33), "let go", write(demoCrew, demoAna, "/catch kelp greenling 28 let go"), demoCrew, []string{"let go 1"}},
		{d.at(8, 50), "the bag is full", write(demoCrew, demoAna, "/catch kelp greenling 36 kept"), demoCrew, []string{"bag is full"}},
		{d.at(9, 10), "half an hour more", write(demoCrew, demoAna, "/more 30"), demoMo, []string{"by 10:00", "was 09:30"}},
		{d.at(10, 1), "the question", wait, demoAna, nil},
		{d.at(10, 16), "the mates", wait, demoCrew, nil},
		{d.at(10, 31), "the contact", wait, demoMo, nil},
		{d.at(10, 33), "Mo takes it on", tap(demoMo, demoMo, "I'm trying to reach them"), demoCrew, []string{"Mo is trying to reach Ana"}},
		{d.at(10, 49), "it goes on", wait, demoMo, nil},
		{d.at(10, 52), "off the rocks at last", write(demoAna, demoAna, "/off"), demoMo, []string{"Stand down"}},
		{d.at(10, 53), "home", tap(demoCrew, demoAna, "Home"), demoCrew, []string{"Ana is home"}},
	}
	// What must have been said by itself, by the sweep, before a waiting step ends.
	owed := map[string][]struct {
		chat  int64
		words []string
	}{
		"two prompts":  {{demoCrew, []string{"13 min to go"}}, {demoCrew, []string{"7 min to go"}}},
		"the result":   {{demoCrew, []string{"20 minutes, dry", "only rules out"}}},
		"the question": {{demoAna, []string{"are you off Anvil?"}}},
		"the mates":    {{demoCrew, []string{"has not checked in"}}},
		"the contact":  {{demoMo, []string{"has not checked in", "Nobody has been called", "911"}}, {demoMo, []string{"HAND-OVER SHEET", "38.95460, -123.74060", "grey van"}}},
		"it goes on":   {{demoMo, []string{"(still)", "has not checked in", "Nothing heard since Mo took it on"}}},
	}
	for _, x := range steps {
		if err := d.until(ctx, x.when); err != nil {
			return fmt.Errorf("waiting for %q: %w", x.what, err)
		}
		if o, waits := owed[x.what]; waits {
			d.steps++
			d.print()
			for _, w := range o {
				if !d.everSaid(w.chat, w.words...) {
					return fmt.Errorf("step %d, %s: nothing said in chat %d has %q in it", d.steps, x.what, w.chat, w.words)
				}
			}
			continue
		}
		if err := d.step(ctx, x.what, x.act, x.chat, x.words...); err != nil {
			return err
		}
	}
	d.steps++
	if _, ok := d.said(demoCrew, "Stand down"); !ok {
		return errors.New("the group got no stand-down")
	}
	if err := d.until(ctx, d.at(14, 0)); err != nil {
		return err
	}
	for _, e := range d.server.Transcript()[d.shown:] {
		if e.Bot && strings.Contains(e.Text, "⚠") {
			return errors.New("an alert went out after the stand-down")
		}
	}
	if len(d.pictures) == 0 {
		return errors.New("no picture was sent")
	}
	return nil
}

// everSaid looks at all that was ever said, edits included.
func (d *demo) everSaid(chatID int64, words ...string) bool {
	return slices.ContainsFunc(d.server.Transcript(), func(e bottest.Event) bool {
		return e.Bot && e.Chat == chatID && !slices.ContainsFunc(words, func(w string) bool { return !strings.Contains(e.Text, w) })
	})
}

// follow is Mo opening the link that Ana forwarded.
func (d *demo) follow() error {
	p, ok := d.said(demoAna, "Forward this")
	if !ok {
		return errors.New("there is no link to forward")
	}
	_, token, ok := strings.Cut(p.Text, "?start=")
	if !ok {
		return fmt.Errorf("no token in %q", p.Text)
	}
	d.server.Start(demoMo, strings.Fields(token)[0])
	return nil
}

const column = 44 // characters a chat takes in the terminal

// print shows what happened since the last call, each event in its chat's column, and saves pictures.
func (d *demo) print() {
	events := d.server.Transcript()
	for _, e := range events[d.shown:] {
		col := 0
		switch e.Chat {
		case demoAna:
			col = 1
		case demoMo:
			col = 2
		}
		text := e.Text
		switch e.What {
		case bottest.Wrote:
			text = e.Who + "> " + text
		case bottest.Tapped:
			text = e.Who + " taps [" + text + "]"
		case bottest.Posted:
			d.messages++
		case bottest.Changed:
			d.messages++
			e.Buttons = nil
			text = news(d.seen[[2]int64{e.Chat, int64(e.Message)}], e.Text)
		case bottest.Joined:
			text = "(the bot joins)"
		default: // toasts and the busy sign are not part of what stays in a chat
			continue
		}
		if e.What == bottest.Changed {
			if text == "" { // only buttons went, or a line
				continue
			}
			text = "(changed) " + text
		}
		if e.Bot {
			d.seen[[2]int64{e.Chat, int64(e.Message)}] = e.Text
		}
		if e.Picture != nil {
			name := filepath.Join(d.dir, fmt.Sprintf("%02d-%s.png", len(d.pictures)+1, e.At.In(d.zone).Format("1504")))
			if err := os.WriteFile(name, e.Picture, 0o644); err == nil {
				d.pictures = append(d.pictures, name)
			}
			text = "[picture " + filepath.Base(name) + "]\n" + text
		}
		var labels []string
		for _, row := range e.Buttons {
			for _, b := range row {
				labels = append(labels, "["+b.Label+"]")
			}
		}
		if len(labels) > 0 && e.Bot {
			text += "\n" + strings.Join(labels, " ")
		}
		stamp := e.At.In(d.zone).Format("15:04")
		for _, l := range wrap(text, column) {
			fmt.Fprintf(d.out, "%-6s%s%s\n", stamp, strings.Repeat(" ", col*(column+2)), l)
			stamp = ""
		}
	}
	d.shown = len(events)
}

// news is what an edited message says that it did not say before: the panel itself stays where it is in a chat.
func news(old, text string) string {
	var out []string
	for _, l := range strings.Split(text, "\n") {
		if !slices.Contains(strings.Split(old, "\n"), l) {
			out = append(out, l)
		}
	}
	return strings.Join(out, "\n")
}

// wrap breaks text into lines of at most n characters, at spaces where it can.
func wrap(text string, n int) []string {
	var out []string
	for _, para := range strings.Split(text, "\n") {
		line := []rune(strings.TrimRight(para, " "))
		for len(line) > n {
			cut := n
			for cut > n/2 && line[cut] != ' ' {
				cut--
			}
			if line[cut] != ' ' {
				cut = n
			}
			out = append(out, strings.TrimRight(string(line[:cut]), " "))
			line = []rune(strings.TrimLeft(string(line[cut:]), " "))
		}
		out = append(out, string(line))
	}
	return out
}
