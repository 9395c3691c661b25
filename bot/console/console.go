// Package console is the offline chat: several invented people in a terminal, talking to the
// same bot as on Telegram. It knows only chat; what is typed goes into the inbox it is given and
// what the bot says comes out through Send. Time can be skipped. It does not model privacy mode,
// limits or outages: those are the fake Bot API server's.
package console

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"ledgehand/bot/chat"
)

// Crew is the group chat everybody of the console is in.
const Crew int64 = -1000

// Room is the terminal's set of people and chats.
type Room struct {
	Out    io.Writer
	Take   func(ctx context.Context, id string, to int64, raw []byte, got time.Time) error
	Settle func(ctx context.Context, now time.Time) error // lets the bot work until nothing moves
	Plain  func(html string) string                       // markup as a terminal shows it
	Read   func(path string) ([]byte, error)              // a file of this machine, for people to send; nil: none can be sent

	mu      sync.Mutex
	now     time.Time
	private bool
	people  []string
	updates int
	posted  []posted
	files   [][]byte // sent by people
}

type posted struct {
	to  int64
	msg chat.Message
}

// New makes a room whose clock starts at now.
func New(out io.Writer, now time.Time, people ...string) *Room {
	return &Room{Out: out, now: now, people: people}
}

// Now is the room's clock.
func (r *Room) Now() time.Time {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.now
}

// id of a person; anybody who speaks exists.
func (r *Room) id(name string) int64 {
	i := slices.IndexFunc(r.people, func(p string) bool { return strings.EqualFold(p, name) })
	if i < 0 {
		r.people = append(r.people, name)
		i = len(r.people) - 1
	}
	return int64(i + 1)
}

func (r *Room) name(id int64) string {
	if id < 0 {
		return "#crew"
	}
	if int(id) <= len(r.people) && id > 0 {
		return r.people[id-1] + ", private"
	}
	return "?"
}

// Decode reads what Take was given.
func Decode(raw []byte, _ time.Time) (chat.Request, error) {
	var q chat.Request
	if err := json.Unmarshal(raw, &q); err != nil {
		return chat.Request{}, fmt.Errorf("decode console line: %w", err)
	}
	return q, nil
}

// Help explains the terminal's own words.
const Help = `You are everybody here. Lines:
  ana> /help                 Ana writes in the crew's chat (any name will do)
  #private                   from now on people write to the bot in private; #crew goes back
  ana taps 4b                Ana presses button b of message 4
  ana sends 38.9142 -123.7275   Ana sends a location
  ana sends rules.yaml /rules   Ana sends that file of this machine, with a caption
  skip 3h                    let time pass (20m, 3h); the bot does what falls due
  time                       what time it is here
  help                       this
  quit                       end
Nothing is kept: this chat forgets all when it ends, and nobody is really told.`

// Do runs one line. done is true at quit.
func (r *Room) Do(ctx context.Context, line string) (done bool, err error) {
	line = strings.TrimSpace(line)
	word, rest, _ := strings.Cut(line, " ")
	switch {
	case line == "":
		return false, nil
	case line == "quit" || line == "exit":
		return true, nil
	case line == "help":
		r.print(Help)
	case line == "time":
		r.print(r.Now().UTC().Format("Mon 2 Jan 15:04 UTC"))
	case line == "#crew" || line == "#private":
		r.mu.Lock()
		r.private = line == "#private"
		r.mu.Unlock()
		r.print("(now writing in " + map[bool]string{true: "private chats", false: "#crew"}[r.private] + ")")
	case word == "skip":
		return false, r.skip(ctx, rest)
	case strings.Contains(word, ">") || strings.HasPrefix(rest, "> "):
		who, text, _ := strings.Cut(line, ">")
		return false, r.says(ctx, strings.TrimSpace(who), strings.TrimSpace(text))
	case strings.HasPrefix(rest, "taps "):
		return false, r.taps(ctx, word, strings.TrimSpace(strings.TrimPrefix(rest, "taps ")))
	case strings.HasPrefix(rest, "sends "):
		return false, r.sends(ctx, word, strings.TrimPrefix(rest, "sends "))
	default:
		r.print(`I don't read that. Try "ana> /help", "skip 3h" or "help".`)
	}
	return false, nil
}

func (r *Room) print(s string) { fmt.Fprintln(r.Out, s) }

func (r *Room) request(who string, kind chat.Kind) chat.Request {
	r.mu.Lock()
	defer r.mu.Unlock()
	id := r.id(who)
	r.updates++
	q := chat.Request{ID: "c" + strconv.Itoa(r.updates), At: r.now, Got: r.now, Kind: kind, From: chat.Person{ID: id, Name: who}}
	if r.private {
		q.Place = chat.Place{ID: id}
	} else {
		q.Place = chat.Place{ID: Crew, Group: true, Title: "crew"}
		// In a terminal there is no reply arrow: a line after a question of ours answers it.
		q.ReplyTo = len(r.posted)
	}
	return q
}

func (r *Room) give(ctx context.Context, q chat.Request) error {
	raw, err := json.Marshal(q)
	if err != nil {
		return fmt.Errorf("encode console line: %w", err)
	}
	if err := r.Take(ctx, q.ID, q.Place.ID, raw, q.Got); err != nil {
		return err
	}
	return r.Settle(ctx, r.Now())
}

// AddBot lets the bot be added to the crew's chat, as the first thing that happens.
func (r *Room) AddBot(ctx context.Context, by string) error {
	return r.give(ctx, r.request(by, chat.KindAdded))
}

func (r *Room) says(ctx context.Context, who, text string) error {
	if who == "" || text == "" {
		r.print(`Who says what? For example "ana> /help".`)
		return nil
	}
	q := r.request(who, chat.KindText)
	q.Text = text
	return r.give(ctx, q)
}

func (r *Room) sends(ctx context.Context, who, text string) error {
	var lat, lon float64
	if _, err := fmt.Sscan(strings.ReplaceAll(text, ",", " "), &lat, &lon); err != nil {
		return r.sendsFile(ctx, who, text)
	}
	q := r.request(who, chat.KindPlace)
	q.Point = &chat.Point{Lat: lat, Lon: lon}
	return r.give(ctx, q)
}

func (r *Room) sendsFile(ctx context.Context, who, text string) error {
	path, caption, _ := strings.Cut(text, " ")
	if r.Read == nil || path == "" || path[0] == '-' || path[0] >= '0' && path[0] <= '9' {
		r.print(`A place is two numbers: "ana sends 38.9142 -123.7275". A file is its path: "ana sends rules.yaml /rules".`)
		return nil
	}
	data, err := r.Read(path)
	if err != nil {
		r.print("That file cannot be read: " + err.Error())
		return nil
	}
	q := r.request(who, chat.KindText)
	q.Text = strings.TrimSpace(caption)
	r.mu.Lock()
	r.files = append(r.files, data)
	q.File = &chat.File{ID: strconv.Itoa(len(r.files)), Name: path[strings.LastIndexByte(path, '/')+1:], Size: int64(len(data))}
	r.mu.Unlock()
	return r.give(ctx, q)
}

// Fetch hands out a file that somebody sent.
func (r *Room) Fetch(_ context.Context, id string) ([]byte, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	n, err := strconv.Atoi(id)
	switch {
	case err != nil || n < 1 || n > len(r.files):
		return nil, chat.ErrFileGone
	case len(r.files[n-1]) > chat.MaxFile:
		return nil, chat.ErrFileTooBig
	}
	return r.files[n-1], nil
}

// taps presses a button: "4b" is the second button of message 4.
func (r *Room) taps(ctx context.Context, who, which string) error {
	i := strings.IndexFunc(which, func(c rune) bool { return c < '0' || c > '9' })
	r.mu.Lock()
	var b *chat.Button
	var to int64
	if i > 0 && len(which) == i+1 {
		if n, err := strconv.Atoi(which[:i]); err == nil && n >= 1 && n <= len(r.posted) {
			to = r.posted[n-1].to
			k := int(which[i] - 'a')
			for _, row := range r.posted[n-1].msg.Buttons {
				for j := range row {
					if k == 0 {
						b = &row[j]
					}
					k--
				}
			}
		}
	}
	r.mu.Unlock()
	if b == nil {
		r.print(`No such button. Messages are numbered, buttons lettered: "ana taps 4b".`)
		return nil
	}
	if b.Copy != "" {
		r.print("(copied: " + b.Copy + ")")
		return nil
	}
	q := r.request(who, chat.KindTap)
	q.Data, q.TapID = b.Data, q.ID
	q.Message, _ = strconv.Atoi(which[:i])
	q.Place = chat.Place{ID: to, Group: to < 0, Title: "crew"}
	return r.give(ctx, q)
}

// skip lets time pass a minute at a time, so that what falls due does so at its own minute.
func (r *Room) skip(ctx context.Context, text string) error {
	d, err := time.ParseDuration(strings.ReplaceAll(strings.ReplaceAll(text, " ", ""), "min", "m"))
	if err != nil || d <= 0 || d > 48*time.Hour {
		r.print(`How long? For example "skip 20m" or "skip 3h", up to 48h.`)
		return nil
	}
	for end := r.Now().Add(d); r.Now().Before(end); {
		r.mu.Lock()
		r.now = r.now.Add(min(time.Minute, end.Sub(r.now)))
		r.mu.Unlock()
		if err := r.Settle(ctx, r.Now()); err != nil {
			return err
		}
		if err := ctx.Err(); err != nil {
			return err
		}
	}
	r.print(r.Now().UTC().Format("(Mon 2 Jan 15:04 UTC)"))
	return nil
}

// Send shows a message of the bot, or changes one already shown.
func (r *Room) Send(_ context.Context, m chat.Message, edit int) chat.Sent {
	r.mu.Lock()
	defer r.mu.Unlock()
	if m.Answer != nil {
		if m.Answer.Text != "" {
			fmt.Fprintf(r.Out, "        (%s)\n", m.Answer.Text)
		}
		return chat.Sent{Result: chat.ResultSent}
	}
	n, what := edit, " (changed)"
	if edit < 1 || edit > len(r.posted) {
		r.posted = append(r.posted, posted{to: m.To})
		n, what = len(r.posted), ""
	}
	r.posted[n-1].msg = m
	fmt.Fprintf(r.Out, "\n[%s] bot in %s, message %d%s\n", r.now.UTC().Format("15:04Z"), r.name(m.To), n, what)
	if m.Picture != nil {
		fmt.Fprintf(r.Out, "    [picture: %s]\n", m.Picture.Alt)
	}
	if m.File != nil {
		fmt.Fprintf(r.Out, "    [file: %s, %d bytes]\n", m.File.Name, len(m.File.Data))
	}
	for _, l := range strings.Split(r.Plain(m.Text), "\n") {
		fmt.Fprintf(r.Out, "    %s\n", l)
	}
	k := 'a'
	for _, row := range m.Buttons {
		var out []string
		for _, b := range row {
			out = append(out, fmt.Sprintf("[%d%c %s]", n, k, b.Label))
			k++
		}
		fmt.Fprintf(r.Out, "    %s\n", strings.Join(out, " "))
	}
	return chat.Sent{Result: chat.ResultSent, Message: n}
}

// Typing shows that something takes a moment.
func (r *Room) Typing(context.Context, int64, int) {
	r.mu.Lock()
	defer r.mu.Unlock()
	fmt.Fprintln(r.Out, "    …looking")
}

// Admins are the people who administer the group: here everybody does.
func (r *Room) Admins(context.Context, int64) ([]int64, error) {
	r.mu.Lock()
	people := slices.Clone(r.people)
	r.mu.Unlock()
	var out []int64
	for _, p := range people {
		out = append(out, r.id(p))
	}
	return out, nil
}
