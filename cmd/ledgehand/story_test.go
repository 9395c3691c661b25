package main

import (
	"bufio"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgehand/bot/bottest"
	"ledgehand/bot/mail"
	"ledgehand/bot/mailtest"
	"ledgehand/conditions/feed"
)

// Stories are days written down line by line and played through the real handlers, store, poller and client.
//
//	start 2026-03-13 19:00 America/Los_Angeles   the first line; the invented sea begins on the following midnight
//	people ana bram chidi dell; ashore mo        who is in the group, who is not
//	speaks mo es-MX                              what Mo's Telegram tells of their language from here on; "-": nothing
//	[Fri 19:02] ana> /ledge add …                Ana writes in the group
//	[Fri 19:02] ana private> /contact            Ana writes to the bot in private
//	[Fri 19:03] ana answers> Anvil               Ana replies to the bot's newest message in the group
//	[Fri 19:03] ana places 38.9546 -123.7406     Ana replies with a location
//	[Fri 19:04] ana taps In                      the newest button so labelled in the group; "ana private taps In"
//	[Fri 19:04] ana forges aoff|gx.y||0          a tap with data that no button shows
//	[Fri 19:04] ana edits /out Anvil back 3pm    her newest line in the group is changed
//	[Fri 19:05] ana follows                      presses Start with the newest link that anybody was given
//	[Fri 19:05] ana codes                        tells the bot the code of the newest invitation that anybody got by mail
//	[Fri 19:05] ana starts | ana blocks          presses Start, blocks the bot
//	[Fri 19:04] ana pins 38.9546 -123.7406       sends a location that answers nothing
//	[Fri 19:04] ana shares 38.9546 -123.7406     shares a live location for eight hours; "ana moves …", "ana stops …" go on with it
//	[Fri 19:04] ana pictures> /catch 2 tailor    sends a photo with a caption; "pictures-answers>" as a reply to the bot
//	[Fri 19:04] ana sends stories/x.json> /rules sends that file of testdata with a caption
//	[Fri 19:04] ana photographs /ledge photo A   sends a photo with a caption; "ana shoots" replies with one to the bot's newest message
//	[Fri 19:04] ana administers                  is made one of the group's administrators
//	[Fri 19:04] ana leaves                       leaves the group
//	[Fri 19:04] ana forwards /off                passes on somebody else's line
//	[Fri 19:04] ana hidden> /off                 writes as an anonymous admin
//	[Fri 19:05] bot joins | bot stops | bot goes on   nothing of the bot moves in between; Telegram keeps what is written
//	[Fri 19:05] bot goes                         it is put out of the group
//	[Fri 19:05] group moves                      it gets another id, and is "crew" under that one
//	[Fri 19:06] sea higher 2.5                   the sea turns: story_sea_test.go
//	[Fri 19:06] raw {…}                          an update as it is
//	[Fri 19:06] wait
//	crew: words                                  since the last act the bot said this in the group
//	mo: words                                    … in private to Mo
//	crew: nothing                                … it said nothing there
//	crew: without words                          … no message there has all of these words
//	toast: words                                 … the tap was answered so
//	mail mo: words                               … a mail came to mo@example.org, its subject and text say so
//	mail mo: nothing                             … none came
//
// A message of the bot with a file reads "[file NAME] words". Words are parts of the text, separated by " | " where several must stand in the same message.
type story struct {
	*stage
	t      *testing.T
	zone   *time.Location
	since  int // events before the last act
	people map[string]int64
	lines  map[string]int // newest line of a person in the group
	update int
	eyes   eyes
	group  int64
	down   bool
	live   map[string]int // the live location somebody shares
	sea    *storySea

	post   *mailtest.Server
	posted int // mails before the last act
}

const storyGroup int64 = -7007

func TestStories(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("..", "..", "testdata", "stories", "*.story"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no stories: %v", err)
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".story"), func(t *testing.T) {
			t.Parallel()
			playStory(t, file)
		})
	}
}

var stamped = regexp.MustCompile(`^\[([A-Z][a-z]{2}) (\d\d):(\d\d)\] (.*)$`)

func playStory(t *testing.T, file string) {
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = f.Close() }()
	var s *story
	sc := bufio.NewScanner(f)
	for n := 1; sc.Scan(); n++ {
		line := strings.TrimSpace(sc.Text())
		where := fmt.Sprintf("%s:%d: %s", filepath.Base(file), n, line)
		switch {
		case line == "" || strings.HasPrefix(line, "#"):
		case strings.HasPrefix(line, "start "):
			s = startStory(t, line)
		case s == nil:
			t.Fatalf("%s: the story must begin with start", where)
		case strings.HasPrefix(line, "people "):
			s.cast(line)
		case strings.HasPrefix(line, "speaks "):
			w := strings.Fields(line)
			if len(w) != 3 || s.people[w[1]] == 0 {
				t.Fatalf("%s: want speaks PERSON LANGUAGE", where)
			}
			s.server.Speaks(s.people[w[1]], strings.TrimPrefix(w[2], "-"))
		case stamped.MatchString(line):
			m := stamped.FindStringSubmatch(line)
			if err := s.act(s.instant(m[1], m[2]+":"+m[3]), m[4]); err != nil {
				t.Fatalf("%s: %v", where, err)
			}
		default:
			chat, words, ok := strings.Cut(line, ": ")
			if !ok {
				t.Fatalf("%s: not a line of a story", where)
			}
			if err := s.expect(chat, words); err != nil {
				t.Fatalf("%s\n%v", where, err)
			}
		}
	}
	if err := sc.Err(); err != nil {
		t.Fatal(err)
	}
	s.eyes.sawNobody(t, s)
}

func startStory(t *testing.T, line string) *story {
	w := strings.Fields(line)
	if len(w) != 4 {
		t.Fatalf("%q: want start DATE TIME ZONE", line)
	}
	zone, err := time.LoadLocation(w[3])
	if err != nil {
		t.Fatal(err)
	}
	start, err := time.ParseInLocation("2006-01-02 15:04", w[1]+" "+w[2], zone)
	if err != nil {
		t.Fatal(err)
	}
	y, m, d := start.Date()
	seer, err := feed.NewRecorded(time.Date(y, m, d+1, 0, 0, 0, 0, zone), false)
	if err != nil {
		t.Fatal(err)
	}
	post, err := mailtest.Start(mailtest.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(post.Close)
	var eyes eyes
	sea := &storySea{turning: turning{Seer: seer}}
	st, err := openStage(t.Context(), start, stageParts{seer: sea, vitals: eyes.open, mail: &mail.Options{Server: post.Addr, From: "Ledgehand <bot@example.com>"}})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = st.close() })
	return &story{stage: st, t: t, zone: zone, people: map[string]int64{}, lines: map[string]int{}, update: 900_000, eyes: eyes, group: storyGroup, live: map[string]int{}, post: post, sea: sea}
}

func (s *story) cast(line string) {
	inside, ashore, _ := strings.Cut(strings.TrimPrefix(line, "people "), ";")
	var members []int64
	for i, n := range append(strings.Fields(inside), strings.Fields(strings.TrimPrefix(strings.TrimSpace(ashore), "ashore"))...) {
		id := int64(201 + i)
		s.people[n] = id
		s.server.AddPerson(id, strings.ToUpper(n[:1])+n[1:])
		if i < len(strings.Fields(inside)) {
			members = append(members, id)
		}
	}
	s.server.AddGroup(storyGroup, "The crew", members...)
}

// instant is the next such weekday and time from now on.
func (s *story) instant(day, clock string) time.Time {
	t := s.now().In(s.zone)
	for range 8 {
		at, err := time.ParseInLocation("2006-01-02 15:04", t.Format("2006-01-02 ")+clock, s.zone)
		if err != nil {
			s.t.Fatal(err)
		}
		if t.Format("Mon") == day && !at.Before(s.now()) {
			return at
		}
		t = t.AddDate(0, 0, 1)
	}
	s.t.Fatalf("no %s %s ahead of %s", day, clock, s.now())
	return time.Time{}
}

func (s *story) act(at time.Time, line string) error {
	// What falls due on the way belongs to this act: "wait" is how a story waits for it.
	s.since, s.posted = len(s.server.Transcript()), len(s.post.Mails())
	if line == "bot goes on" {
		s.down = false
		s.set(at)
		return s.settle(s.t.Context())
	}
	if s.down {
		s.set(at)
		return s.do(line)
	}
	if err := s.until(s.t.Context(), at); err != nil {
		return err
	}
	if line != "wait" {
		s.since, s.posted = len(s.server.Transcript()), len(s.post.Mails())
	}
	if err := s.do(line); err != nil || s.down {
		return err
	}
	return s.settle(s.t.Context())
}

func (s *story) do(line string) error {
	if line == "wait" {
		return nil
	}
	if line == "bot goes" {
		s.server.RemoveBot(storyGroup, 201)
		return nil
	}
	if line == "bot joins" {
		s.server.AddBot(storyGroup, 201) // the first of the people
		return nil
	}
	if line == "bot stops" {
		s.down = true
		return nil
	}
	if line == "group moves" {
		const moved = -1000000007007
		s.server.Migrate(s.group, moved, false)
		s.group = moved
		return nil
	}
	if sea, ok := strings.CutPrefix(line, "sea "); ok {
		return s.sea.act(sea)
	}
	if raw, ok := strings.CutPrefix(line, "raw "); ok {
		s.server.Raw(raw)
		return nil
	}
	who, rest, ok := strings.Cut(line, " ")
	if !ok {
		return fmt.Errorf("%q: who does what?", line)
	}
	where := s.group
	if strings.HasSuffix(who, ">") {
		who, rest = strings.TrimSuffix(who, ">"), "> "+rest
	}
	id, known := s.people[who]
	if !known {
		return fmt.Errorf("%q is nobody of this story", who)
	}
	if r, ok := strings.CutPrefix(rest, "private"); ok {
		where, rest = id, strings.TrimSpace(r)
	}
	verb, what, _ := strings.Cut(rest, " ")
	switch verb {
	case ">":
		n := s.server.Write(where, id, what)
		s.lines[who] = n
	case "answers>":
		posts := s.server.Messages(where)
		s.server.WriteReply(where, id, posts[len(posts)-1].ID, what)
	case "places":
		var lat, lon float64
		if _, err := fmt.Sscan(what, &lat, &lon); err != nil {
			return err
		}
		posts := s.server.Messages(where)
		s.server.SendPlace(where, id, lat, lon, bottest.ReplyTo(posts[len(posts)-1].ID))
	case "pictures>": // a photo with its caption
		s.server.SendPhoto(where, id, what)
	case "pictures-answers>": // a photo with a caption, in reply to the bot's newest message
		posts := s.server.Messages(where)
		s.server.SendPhoto(where, id, what, bottest.ReplyTo(posts[len(posts)-1].ID))
	case "sends": // a file of testdata, with its caption
		path, caption, _ := strings.Cut(what, "> ")
		data, err := os.ReadFile(filepath.Join("..", "..", "testdata", path))
		s.server.SendFile(where, id, caption, filepath.Base(path), data)
		return err
	case "photographs":
		s.server.SendPhoto(where, id, what)
	case "shoots":
		posts := s.server.Messages(where)
		s.server.SendPhoto(where, id, "", bottest.ReplyTo(posts[len(posts)-1].ID))
	case "administers":
		s.server.MakeAdmin(s.group, id)
	case "leaves":
		s.server.Leave(s.group, id, id)
	case "pins":
		lat, lon, err := degrees(what)
		s.server.SendPlace(where, id, lat, lon)
		return err
	case "shares":
		lat, lon, err := degrees(what)
		s.live[who] = s.server.SendPlace(where, id, lat, lon, bottest.Live(8*time.Hour))
		return err
	case "moves", "stops":
		lat, lon, err := degrees(what)
		s.server.MovePlace(where, id, s.live[who], lat, lon, verb == "stops")
		return err
	case "forwards":
		s.server.Write(where, id, what, bottest.Forwarded("Somebody"))
	case "hidden>":
		s.server.Write(where, id, what, bottest.Anonymous())
	case "taps":
		return s.tap(where, id, what)
	case "forges":
		posts := s.server.Messages(where)
		s.server.Forge(where, id, posts[len(posts)-1].ID, what)
	case "edits":
		s.server.Edit(where, id, s.lines[who], what)
	case "codes":
		for _, m := range slices.Backward(s.post.Mails()) {
			if _, code, ok := strings.Cut(m.Body, "\nCode: "); ok {
				s.server.Write(id, id, "/contact code "+strings.ToLower(strings.Fields(code)[0]))
				return nil
			}
		}
		return fmt.Errorf("nobody was invited by mail")
	case "starts":
		s.server.Start(id, what)
	case "blocks":
		s.server.Block(id)
	case "follows":
		for _, p := range s.people {
			if post, ok := s.said(p, "?start="); ok {
				_, token, _ := strings.Cut(post.Text, "?start=")
				s.server.Start(id, strings.Fields(token)[0])
				return nil
			}
		}
		return fmt.Errorf("nobody was given a link")
	default:
		return fmt.Errorf("%q: no such act", verb)
	}
	return nil
}

// mailed looks for words in the mails to somebody since the last act.
func (s *story) mailed(who, words string) error {
	var came []string
	for _, m := range s.post.Mails()[s.posted:] {
		if m.To != who+"@example.org" {
			continue
		}
		text := m.Subject + "\n\n" + m.Body
		came = append(came, text)
		all := words != "nothing"
		for _, w := range strings.Split(words, " | ") {
			all = all && strings.Contains(text, strings.TrimSpace(w))
		}
		if all {
			return nil
		}
	}
	if words == "nothing" && len(came) == 0 {
		return nil
	}
	return fmt.Errorf("to %s came %d mails:\n%s", who, len(came), strings.Join(came, "\n---\n"))
}

func degrees(s string) (lat, lon float64, err error) {
	_, err = fmt.Sscan(s, &lat, &lon)
	return lat, lon, err
}

func (s *story) expect(chat, words string) error {
	if who, ok := strings.CutPrefix(chat, "mail "); ok {
		return s.mailed(who, words)
	}
	words, without := strings.CutPrefix(words, "without ")
	var heard []string
	id, known := s.people[chat]
	if chat == "crew" {
		id, known = s.group, true
	}
	if !known && chat != "toast" {
		return fmt.Errorf("%q is no chat of this story", chat)
	}
	parts := strings.Split(words, " | ")
	for _, e := range s.server.Transcript()[s.since:] {
		if !e.Bot || e.What == bottest.Busy || e.What == bottest.Joined || e.What == bottest.Left {
			continue
		}
		if toast := e.What == bottest.Answered; toast != (chat == "toast") || !toast && e.Chat != id {
			continue
		}
		if chat == "toast" && e.Text == "" {
			continue
		}
		heard = append(heard, e.Text)
		all := true
		for _, w := range parts {
			all = all && strings.Contains(e.Text, strings.TrimSpace(w))
		}
		if all && without {
			return fmt.Errorf("%s heard, and should not have:\n%s", chat, e.Text)
		}
		if all && words != "nothing" {
			return nil
		}
	}
	if without {
		return nil
	}
	if words == "nothing" && len(heard) == 0 {
		return nil
	}
	var all []string
	for _, e := range s.server.Transcript()[max(0, s.since-6):] {
		all = append(all, e.String())
	}
	return fmt.Errorf("%s heard:\n%s\nand all in all:\n%s", chat, strings.Join(heard, "\n---\n"), strings.Join(all, "\n"))
}
