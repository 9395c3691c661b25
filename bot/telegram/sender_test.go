package telegram_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"log"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"ledgehand/bot/bottest"
	"ledgehand/bot/chat"
	"ledgehand/bot/telegram"
)

func newSender(t testing.TB, s *bottest.Server) *telegram.Sender {
	t.Helper()
	out, err := telegram.NewSender(telegram.Options{Token: bottest.Token, Server: "http://constructed.invalid", Client: s.Client()})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func drawing(t testing.TB, w, h int) *chat.Picture {
	t.Helper()
	im := image.NewGray(image.Rect(0, 0, w, h))
	im.Set(w/2, h/2, color.White)
	var b bytes.Buffer
	if err := png.Encode(&b, im); err != nil {
		t.Fatal(err)
	}
	return &chat.Picture{PNG: b.Bytes(), Name: "swell.png", Alt: "swell over the day"}
}

func only(t *testing.T, s *bottest.Server, chatID int64) bottest.Post {
	t.Helper()
	all := s.Messages(chatID)
	if len(all) != 1 {
		t.Fatalf("%d messages in chat %d, want 1: %+v", len(all), chatID, all)
	}
	return all[0]
}

func TestSendText(t *testing.T) {
	s := shore(time.Now)
	s.SetPrivacy(false)
	q := s.Write(crew, bram, "anyone out?")
	res := newSender(t, s).Send(t.Context(), chat.Message{
		To: crew, Text: "<b>Ana</b> &lt;3 out at <i>Anvil</i>", Quiet: true, ReplyTo: q,
		Buttons: [][]chat.Button{
			{{Label: "I'm off", Data: "off:1", Style: chat.StyleGood}, {Label: "Help", Data: "help:1", Style: chat.StyleGrave}},
			{{Label: "Copy\nplace", Copy: "33°30'S 151°15'E"}},
		},
	}, 0)
	p := only(t, s, crew)
	if res.Result != chat.ResultSent || res.Message != p.ID || res.Why != "" {
		t.Errorf("Send = %+v, want sent as %d", res, p.ID)
	}
	if p.Text != "Ana <3 out at Anvil" || !p.Quiet || p.ReplyTo != q {
		t.Errorf("posted %+v, want plain text, quiet, as a reply to %d", p, q)
	}
	want := [][]chat.Button{
		{{Label: "I'm off", Data: "off:1", Style: chat.StyleGood}, {Label: "Help", Data: "help:1", Style: chat.StyleGrave}},
		{{Label: "Copy place", Copy: "33°30'S 151°15'E"}},
	}
	if len(p.Buttons) != 2 || len(p.Buttons[0]) != 2 || p.Buttons[0][0] != want[0][0] || p.Buttons[0][1] != want[0][1] || p.Buttons[1][0] != want[1][0] {
		t.Errorf("buttons %+v, want %+v", p.Buttons, want)
	}
}

func TestSendHostileNames(t *testing.T) {
	s := shore(time.Now)
	s.Start(mo, "")
	for _, name := range []string{"&lt;b&gt;&amp;&quot;", strings.Repeat("🦑", 64), "\u202Eمحمد\u202C", "a\u0000b"} {
		res := newSender(t, s).Send(t.Context(), chat.Message{To: mo, Text: "<b>" + name + "</b> is late"}, 0)
		if res.Result != chat.ResultSent || res.Why != "" {
			t.Errorf("Send to Mo about %q = %+v, want sent", name, res)
		}
	}
}

func TestAskingForAnswers(t *testing.T) {
	s := shore(time.Now)
	s.Start(ana, "")
	send := newSender(t, s).Send
	s.SetPrivacy(false)
	q := s.Write(crew, ana, "/plan")
	for _, m := range []chat.Message{
		{To: ana, Text: "When back?", AskReply: strings.Repeat("as 17:30 or +3h ", 8)},
		{To: ana, Text: "Where?", AskPlace: "Send my place"},
		{To: crew, Text: "Where?", AskPlace: "Answer with a place", ReplyTo: q},
	} {
		if res := send(t.Context(), m, 0); res.Result != chat.ResultSent || res.Why != "" {
			t.Errorf("Send(%q) = %+v, want sent", m.Text, res)
		}
	}
	mine, theirs := s.Messages(ana), s.Messages(crew)
	if hint := mine[0].AskReply; len([]rune(hint)) != 64 || !strings.HasSuffix(hint, "…") {
		t.Errorf("hint %q, want 64 characters ended with …", hint)
	}
	if mine[1].AskPlace != "Send my place" {
		t.Errorf("location key %q, want it in the private chat", mine[1].AskPlace)
	}
	if theirs[0].AskReply != "Answer with a place" || theirs[0].AskPlace != "" {
		t.Errorf("in the group %+v, want the reply box instead of a location key", theirs[0])
	}
}

func TestLongTextGoesOutInPieces(t *testing.T) {
	s := shore(time.Now)
	line := strings.Repeat("x", 99) + "\n"
	res := newSender(t, s).Send(t.Context(), chat.Message{To: crew, Text: "<b>" + strings.Repeat(line, 90) + "</b>",
		Buttons: [][]chat.Button{{{Label: "Back", Data: "b"}}}}, 0)
	all := s.Messages(crew)
	if len(all) != 3 || res.Result != chat.ResultSent || res.Message != all[2].ID {
		t.Fatalf("Send = %+v in %d messages, want 3 and the id of the last", res, len(all))
	}
	total := 0
	for i, p := range all {
		total += strings.Count(p.Text, "x")
		if (len(p.Buttons) > 0) != (i == 2) {
			t.Errorf("message %d has buttons %v, want them under the last", i, p.Buttons)
		}
	}
	if total != 90*99 {
		t.Errorf("%d characters arrived, want %d", total, 90*99)
	}
}

func TestSendPicture(t *testing.T) {
	t.Run("with its text as caption", func(t *testing.T) {
		s := shore(time.Now)
		pic := drawing(t, 40, 30)
		res := newSender(t, s).Send(t.Context(), chat.Message{To: crew, Text: "<b>Anvil</b>", Picture: pic, Buttons: [][]chat.Button{{{Label: "Later", Data: "l"}}}}, 0)
		p := only(t, s, crew)
		if res.Result != chat.ResultSent || res.Message != p.ID || !bytes.Equal(p.Picture, pic.PNG) || p.Text != "Anvil" || len(p.Buttons) != 1 {
			t.Errorf("Send = %+v, posted %+v, want one picture with caption and button", res, p)
		}
	})
	t.Run("before a long text", func(t *testing.T) {
		s := shore(time.Now)
		res := newSender(t, s).Send(t.Context(), chat.Message{To: crew, Text: strings.Repeat("word ", 300), Picture: drawing(t, 40, 30), Buttons: [][]chat.Button{{{Label: "Later", Data: "l"}}}}, 0)
		all := s.Messages(crew)
		if len(all) != 2 || all[0].Picture == nil || all[0].Text != "" || all[0].Buttons != nil || res.Message != all[1].ID || len(all[1].Buttons) != 1 {
			t.Errorf("Send = %+v, posted %+v, want the picture, then the text with the button", res, all)
		}
	})
	t.Run("that Telegram does not take leaves the words", func(t *testing.T) {
		s := shore(time.Now)
		res := newSender(t, s).Send(t.Context(), chat.Message{To: crew, Text: "overdue", Picture: &chat.Picture{PNG: []byte("no picture"), Name: "x.png"}}, 0)
		p := only(t, s, crew)
		if res.Result != chat.ResultSent || p.Text != "overdue" || p.Picture != nil || !strings.Contains(res.Why, "without its picture") {
			t.Errorf("Send = %+v, posted %+v, want the words and a note", res, p)
		}
	})
}

func TestEdit(t *testing.T) {
	post := func(t *testing.T, m chat.Message) (*bottest.Server, *telegram.Sender, int) {
		s := shore(time.Now)
		x := newSender(t, s)
		m.To = crew
		res := x.Send(t.Context(), m, 0)
		if res.Result != chat.ResultSent {
			t.Fatalf("Send = %+v, want sent", res)
		}
		return s, x, res.Message
	}
	rows := [][]chat.Button{{{Label: "Off", Data: "off"}}}
	t.Run("changes words and buttons", func(t *testing.T) {
		s, x, id := post(t, chat.Message{Text: "Out: Ana", Buttons: rows})
		res := x.Send(t.Context(), chat.Message{To: crew, Text: "Home: Ana"}, id)
		if p := only(t, s, crew); res.Result != chat.ResultSent || res.Message != id || p.Text != "Home: Ana" || p.Buttons != nil || p.Edited.IsZero() {
			t.Errorf("edit = %+v, shows %+v, want Home: Ana without buttons", res, p)
		}
	})
	t.Run("that changes nothing is as good as sent", func(t *testing.T) {
		_, x, id := post(t, chat.Message{Text: "Out: Ana", Buttons: rows})
		if res := x.Send(t.Context(), chat.Message{To: crew, Text: "Out: Ana", Buttons: rows}, id); res.Result != chat.ResultSame || res.Message != id {
			t.Errorf("edit = %+v, want same", res)
		}
	})
	t.Run("of a message that is gone", func(t *testing.T) {
		_, x, id := post(t, chat.Message{Text: "Out: Ana"})
		if res := x.Send(t.Context(), chat.Message{To: crew, Text: "Home: Ana"}, id+1); res.Result != chat.ResultGone {
			t.Errorf("edit = %+v, want gone", res)
		}
	})
	t.Run("of a picture's caption", func(t *testing.T) {
		s, x, id := post(t, chat.Message{Text: "08:00", Picture: drawing(t, 20, 20), Buttons: rows})
		res := x.Send(t.Context(), chat.Message{To: crew, Text: "09:00", Buttons: rows}, id)
		if p := only(t, s, crew); res.Result != chat.ResultSent || p.Text != "09:00" || p.Picture == nil {
			t.Errorf("edit = %+v, shows %+v, want the new caption", res, p)
		}
		if res := x.Send(t.Context(), chat.Message{To: crew, Text: strings.Repeat("long ", 400), Buttons: rows}, id); res.Result != chat.ResultGone {
			t.Errorf("edit to a text longer than a caption = %+v, want gone", res)
		}
	})
	t.Run("of a picture", func(t *testing.T) {
		s, x, id := post(t, chat.Message{Text: "08:00", Picture: drawing(t, 20, 20), Buttons: rows})
		pic := drawing(t, 30, 20)
		res := x.Send(t.Context(), chat.Message{To: crew, Text: "09:00", Picture: pic, Buttons: rows}, id)
		if p := only(t, s, crew); res.Result != chat.ResultSent || res.Message != id || p.Text != "09:00" || !bytes.Equal(p.Picture, pic.PNG) {
			t.Errorf("edit = %+v, shows %+v, want the new picture", res, p)
		}
		if res := x.Send(t.Context(), chat.Message{To: crew, Text: strings.Repeat("long ", 400), Picture: pic}, id); res.Result != chat.ResultGone {
			t.Errorf("edit to a text longer than a caption = %+v, want gone", res)
		}
		if res := x.Send(t.Context(), chat.Message{To: crew, Text: "10:00", Picture: &chat.Picture{PNG: []byte("x")}}, id); res.Result != chat.ResultGone {
			t.Errorf("edit to a broken picture = %+v, want gone", res)
		}
	})
	t.Run("to more than a message holds is cut", func(t *testing.T) {
		s, x, id := post(t, chat.Message{Text: "Out"})
		res := x.Send(t.Context(), chat.Message{To: crew, Text: "<b>" + strings.Repeat("🌊", 3000) + "</b>"}, id)
		if p := only(t, s, crew); res.Result != chat.ResultSent || !strings.HasSuffix(p.Text, "🌊…") {
			t.Errorf("edit = %+v, ends in %q, want it cut with …", res, p.Text[len(p.Text)-10:])
		}
	})
}

func TestAnswerTap(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := shore(time.Now)
		x := newSender(t, s)
		id := x.Send(t.Context(), chat.Message{To: crew, Text: "Out", Buttons: [][]chat.Button{{{Label: "Off", Data: "off"}}}}, 0).Message
		tap, err := s.Tap(crew, bram, id, "Off")
		if err != nil {
			t.Fatal(err)
		}
		res := x.Send(t.Context(), chat.Message{Answer: &chat.Answer{TapID: tap, Text: strings.Repeat("noted ", 50), Loud: true}}, 0)
		events := s.Transcript()
		last := events[len(events)-1]
		if res.Result != chat.ResultSent || last.What != bottest.Answered || last.To != "Bram" || !last.Loud || len([]rune(last.Text)) != 200 {
			t.Errorf("answer = %+v, shown %+v, want a box of 200 characters for Bram", res, last)
		}
		late, err := s.Tap(crew, bram, id, "off")
		if err != nil {
			t.Fatal(err)
		}
		time.Sleep(150 * time.Second)
		if res := x.Send(t.Context(), chat.Message{Answer: &chat.Answer{TapID: late}}, 0); res.Result != chat.ResultSame {
			t.Errorf("answer after 150 s = %+v, want same: the spinner is gone", res)
		}
	})
}

func TestResults(t *testing.T) {
	const old, super int64 = -4002, -1009000000001
	cases := []struct {
		name string
		set  func(t *testing.T, s *bottest.Server)
		to   int64
		want chat.Sent // Why is only looked at for being there
	}{
		{"flood", func(t *testing.T, s *bottest.Server) { s.Inject(bottest.Fault{Code: 429, RetryAfter: 10072}) }, crew, chat.Sent{Result: chat.ResultLater, After: 10072 * time.Second, Shut: true}},
		{"group takes no more for now", func(t *testing.T, s *bottest.Server) {
			s.LimitGroups(1)
			if res := newSender(t, s).Send(t.Context(), chat.Message{To: crew, Text: "first"}, 0); res.Result != chat.ResultSent {
				t.Fatalf("first = %+v", res)
			}
		}, crew, chat.Sent{Result: chat.ResultLater, After: 61 * time.Second, Shut: true}},
		{"never pressed Start", nil, mo, chat.Sent{Result: chat.ResultBlocked}},
		{"unknown chat", nil, 99, chat.Sent{Result: chat.ResultBlocked}},
		{"blocked", func(t *testing.T, s *bottest.Server) { s.Start(mo, ""); s.Block(mo) }, mo, chat.Sent{Result: chat.ResultBlocked}},
		{"thrown out", func(t *testing.T, s *bottest.Server) { s.RemoveBot(crew, ana) }, crew, chat.Sent{Result: chat.ResultBlocked}},
		{"muted", func(t *testing.T, s *bottest.Server) { s.MuteBot(crew, ana) }, crew, chat.Sent{Result: chat.ResultBlocked}},
		{"moved", func(t *testing.T, s *bottest.Server) {
			s.AddGroup(old, "Long Step crew", ana)
			s.AddBot(old, ana)
			s.Migrate(old, super, false)
		}, old, chat.Sent{Result: chat.ResultMoved, MovedTo: super}},
		{"answer lost after the effect", func(t *testing.T, s *bottest.Server) { s.Inject(bottest.Fault{Lost: true}) }, crew, chat.Sent{Result: chat.ResultUnknown}},
		{"connection cut", func(t *testing.T, s *bottest.Server) { s.Inject(bottest.Fault{Cut: true}) }, crew, chat.Sent{Result: chat.ResultUnknown}},
		{"no answer in time", func(t *testing.T, s *bottest.Server) { s.Inject(bottest.Fault{Stall: true}) }, crew, chat.Sent{Result: chat.ResultUnknown}},
		{"server error", func(t *testing.T, s *bottest.Server) {
			s.Inject(bottest.Fault{Code: 500, Description: "Internal Server Error: restart"})
		}, crew, chat.Sent{Result: chat.ResultUnknown}},
		{"gateway's page", func(t *testing.T, s *bottest.Server) {
			s.Inject(bottest.Fault{Code: 502, Body: "<html>Bad Gateway</html>"})
		}, crew, chat.Sent{Result: chat.ResultUnknown}},
		{"nonsense with status 200", func(t *testing.T, s *bottest.Server) { s.Inject(bottest.Fault{Body: "hello"}) }, crew, chat.Sent{Result: chat.ResultUnknown}},
		{"refused for ever", func(t *testing.T, s *bottest.Server) {
			s.Inject(bottest.Fault{Code: 400, Times: -1, Description: "Bad Request: message must be nicer"})
		}, crew, chat.Sent{Result: chat.ResultRefused}},
		{"token revoked", func(t *testing.T, s *bottest.Server) { s.Inject(bottest.Fault{Code: 401, Description: "Unauthorized"}) }, crew, chat.Sent{Result: chat.ResultLater, After: time.Minute}},
		{"deleted account", func(t *testing.T, s *bottest.Server) {
			s.Inject(bottest.Fault{Code: 403, Description: "Forbidden: user is deactivated"})
		}, crew, chat.Sent{Result: chat.ResultBlocked}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				s := shore(time.Now)
				if c.set != nil {
					c.set(t, s)
				}
				got := newSender(t, s).Send(t.Context(), chat.Message{To: c.to, Text: "Bram is <b>overdue</b> at Long Step"}, 0)
				if got.Why == "" || strings.Contains(got.Why, "Bram") || strings.Contains(got.Why, bottest.Token) {
					t.Errorf("Why = %q, want the service's words without ours or the token", got.Why)
				}
				got.Why = ""
				if got != c.want {
					t.Errorf("Send = %+v, want %+v", got, c.want)
				}
			})
		})
	}
}

func TestNewSenderWantsAToken(t *testing.T) {
	if _, err := telegram.NewSender(telegram.Options{Token: " "}); err == nil {
		t.Error("NewSender without a token = nil error, want one")
	}
}

func TestALostAnswerHadItsEffect(t *testing.T) {
	s := shore(time.Now)
	s.Inject(bottest.Fault{Method: "sendMessage", Lost: true})
	x := newSender(t, s)
	if res := x.Send(t.Context(), chat.Message{To: crew, Text: "overdue"}, 0); res.Result != chat.ResultUnknown {
		t.Errorf("Send = %+v, want unknown", res)
	}
	only(t, s, crew)
}

func TestSofteningComplaints(t *testing.T) {
	const forum int64 = -1009000000002
	for _, c := range []struct {
		name string
		m    chat.Message
		says string
		want string
	}{
		{"markup it cannot read goes out plain", chat.Message{Text: "gust <b>20</b> &amp; <40 kn <i>"}, "plain text", "gust 20 & <40 kn"},
		{"a topic that is gone", chat.Message{Text: "<b>overdue</b>", Thread: 6}, "without its topic", "overdue"},
		{"buttons it does not take", chat.Message{Text: "<b>overdue</b>", Buttons: [][]chat.Button{{{Label: "x", Data: strings.Repeat("d", 65)}}}}, "without its buttons", "overdue"},
		{"all of it at once", chat.Message{Text: "a<b>overdue", Thread: 6, Buttons: [][]chat.Button{{{Label: "x", Data: strings.Repeat("d", 65)}}}}, "BUTTON_DATA_INVALID", "aoverdue"},
		{"a question that was deleted", chat.Message{Text: "overdue", ReplyTo: 4711}, "", "overdue"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := shore(time.Now)
			s.AddGroup(forum, "Forum", ana)
			s.AddBot(forum, ana)
			s.AddTopic(forum, 5)
			c.m.To = forum
			res := newSender(t, s).Send(t.Context(), c.m, 0)
			p := only(t, s, forum)
			if strings.Contains(res.Why, `"40"`) {
				t.Errorf("Why = %q quotes the message", res.Why)
			}
			if res.Result != chat.ResultSent || res.Message != p.ID || p.Text != c.want || !strings.Contains(res.Why, c.says) || (c.says == "") != (res.Why == "") {
				t.Errorf("Send = %+v, posted %q, want %q and a note %q", res, p.Text, c.want, c.says)
			}
		})
	}
	t.Run("a topic that is there is kept", func(t *testing.T) {
		s := shore(time.Now)
		s.AddGroup(forum, "Forum", ana)
		s.AddBot(forum, ana)
		s.AddTopic(forum, 5)
		newSender(t, s).Send(t.Context(), chat.Message{To: forum, Text: "hello", Thread: 5}, 0)
		if p := only(t, s, forum); p.Thread != 5 {
			t.Errorf("posted to topic %d, want 5", p.Thread)
		}
	})
}

// Telegram's words change. An alert that it refuses in words of next year still arrives with all of its own, as long as
// it takes them plain; and one that was refused its topic, its buttons, its markup and its picture one after another does.
func TestAnAlertArrivesWithAllItsWords(t *testing.T) {
	text := "⚠ <b>Ana has not checked in.</b> She was due off <i>Anvil</i> at 09:00.\n1. Ring Ana: +00 555 0142\n2. No answer? <b>Call 911</b> &amp; say where."
	plain := "⚠ Ana has not checked in. She was due off Anvil at 09:00.\n1. Ring Ana: +00 555 0142\n2. No answer? Call 911 & say where."
	const forum int64 = -1009000000002
	for name, says := range map[string][]string{
		"one after another":   {"message thread not found", "BUTTON_URL_INVALID", "message to be replied not found", `can't parse entities: Unsupported start tag "b" at byte offset 4`},
		"markup":              {"can't find end of the entity starting at byte offset 4"},
		"a closed topic":      {"TOPIC_CLOSED"},
		"buttons":             {"can't parse inline keyboard button: text buttons are unallowed"},
		"words of next year":  {"the message is not as it should be"},
		"first this, then so": {"TOPIC_DELETED", "the message is not as it should be"},
	} {
		for _, pic := range []*chat.Picture{nil, drawing(t, 20, 20)} {
			t.Run(fmt.Sprintf("%s/picture %t", name, pic != nil), func(t *testing.T) {
				s := shore(time.Now)
				s.AddGroup(forum, "Forum", ana)
				s.AddBot(forum, ana)
				s.AddTopic(forum, 5)
				s.SetPrivacy(false)
				q := s.Write(forum, ana, "/out Anvil", bottest.InTopic(5))
				for _, d := range says {
					s.Inject(bottest.Fault{Chat: forum, Code: 400, Description: "Bad Request: " + d})
				}
				if pic != nil {
					s.Inject(bottest.Fault{Chat: forum, Code: 400, Description: "Bad Request: IMAGE_PROCESS_FAILED"})
				}
				m := chat.Message{To: forum, Thread: 5, ReplyTo: q, Text: text, Picture: pic, Buttons: [][]chat.Button{{{Label: "I'm trying", Data: "x"}}}}
				res := newSender(t, s).Send(t.Context(), m, 0)
				if p := only(t, s, forum); res.Result != chat.ResultSent || p.Text != plain || p.Picture != nil {
					t.Errorf("Send = %+v, posted %q, want %q", res, p.Text, plain)
				}
				if strings.Contains(res.Why, "Ana") {
					t.Errorf("Why = %q quotes the message", res.Why)
				}
			})
		}
	}
}

// An answer we cannot decode, say with a new kind of content in it, is an answer all the same: a
// repeated alert would be the price of forgetting that.
func TestAnAnswerNewerThanTheLibrary(t *testing.T) {
	srv := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Write([]byte(`{"ok":true,"result":{"message_id":77,"date":1,"chat":{"id":5,"type":"private"},"forward_origin":{"type":"hologram"}}}`))
	}))
	defer srv.Close()
	x, err := telegram.NewSender(telegram.Options{Token: bottest.Token, Server: srv.URL})
	if err != nil {
		t.Fatal(err)
	}
	if res := x.Send(t.Context(), chat.Message{To: 5, Text: "overdue"}, 0); res.Result != chat.ResultSent || res.Message != 77 {
		t.Errorf("Send = %+v, want sent as 77", res)
	}
}

// failing is a transport that fails before anything is sent.
type failing struct{ err error }

func (f failing) RoundTrip(*http.Request) (*http.Response, error) { return nil, f.err }

func TestNobodyListens(t *testing.T) {
	closed := httptest.NewServer(http.NotFoundHandler())
	url := closed.URL
	closed.Close()
	strange := httptest.NewTLSServer(http.NotFoundHandler()) // whose certificate we do not know
	strange.Config.ErrorLog = log.New(io.Discard, "", 0)
	defer strange.Close()
	for _, o := range []telegram.Options{
		{Server: url},
		{Server: strange.URL},
		{Client: &http.Client{Transport: failing{&net.DNSError{Err: "no such host", Name: "nowhere.invalid", IsNotFound: true}}}},
	} {
		o.Token = bottest.Token
		x, err := telegram.NewSender(o)
		if err != nil {
			t.Fatal(err)
		}
		res := x.Send(t.Context(), chat.Message{To: 5, Text: "overdue"}, 0)
		if res.Result != chat.ResultLater || strings.Contains(res.Why, bottest.Token) || res.Why == "" {
			t.Errorf("Send to %s = %+v, want later: nothing was sent", o.Server, res)
		}
	}
}

func TestAnAnswerCutInTheMiddle(t *testing.T) {
	srv := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Length", "100")
		w.Write([]byte(`{"ok":true,"result":{"message_id":7`))
	}))
	defer srv.Close()
	x, err := telegram.NewSender(telegram.Options{Token: bottest.Token, Server: srv.URL})
	if err != nil {
		t.Fatal(err)
	}
	if res := x.Send(t.Context(), chat.Message{To: 5, Text: "overdue"}, 0); res.Result != chat.ResultUnknown {
		t.Errorf("Send = %+v, want unknown", res)
	}
}

func TestTheTokenIsNotTakenElsewhere(t *testing.T) {
	asked := ""
	other := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) { asked = r.URL.Path }))
	defer other.Close()
	srv := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		http.Redirect(w, r, other.URL+r.URL.Path, http.StatusTemporaryRedirect)
	}))
	defer srv.Close()
	x, err := telegram.NewSender(telegram.Options{Token: bottest.Token, Server: srv.URL})
	if err != nil {
		t.Fatal(err)
	}
	if res := x.Send(t.Context(), chat.Message{To: 5, Text: "overdue"}, 0); res.Result != chat.ResultUnknown || asked != "" {
		t.Errorf("Send = %+v and another server was asked for %q, want unknown and nothing", res, asked)
	}
}

func TestSenderOverTCP(t *testing.T) {
	s := shore(time.Now)
	srv := httptest.NewServer(s)
	defer srv.Close()
	x, err := telegram.NewSender(telegram.Options{Token: bottest.Token, Server: srv.URL + "/", Timeout: time.Second})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		fault *bottest.Fault
		want  chat.Result
	}{
		{nil, chat.ResultSent},
		{&bottest.Fault{Lost: true}, chat.ResultUnknown},
		{&bottest.Fault{Cut: true}, chat.ResultUnknown},
		{&bottest.Fault{Stall: true}, chat.ResultUnknown},
		{nil, chat.ResultSent},
	} {
		if c.fault != nil {
			s.Inject(*c.fault)
		}
		res := x.Send(t.Context(), chat.Message{To: crew, Text: "overdue", Picture: drawing(t, 20, 10)}, 0)
		if res.Result != c.want {
			t.Errorf("Send with %+v = %+v, want %s", c.fault, res, c.want)
		}
	}
	if n := len(s.Messages(crew)); n != 3 {
		t.Errorf("%d messages arrived, want 3: two told of, one whose answer got lost", n)
	}
}

func TestGetMe(t *testing.T) {
	s := shore(time.Now)
	me, err := newSender(t, s).GetMe(t.Context())
	if want := us; err != nil || me != want {
		t.Errorf("GetMe = %+v, %v, want %+v", me, err, want)
	}
	s.SetPrivacy(false)
	if me, err := newSender(t, s).GetMe(t.Context()); err != nil || !me.ReadsAll {
		t.Errorf("GetMe = %+v, %v, want that it reads all", me, err)
	}
	x, err := telegram.NewSender(telegram.Options{Token: "7000000001:old", Server: "http://constructed.invalid", Client: s.Client()})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := x.GetMe(t.Context()); !errors.Is(err, telegram.ErrToken) {
		t.Errorf("GetMe with an old token = %v, want ErrToken", err)
	}
}

func TestSetCommands(t *testing.T) {
	s := shore(time.Now)
	x := newSender(t, s)
	for language, list := range map[string][]telegram.Command{"": {{Name: "out", Description: "I go out"}}, "de": {{Name: "out", Description: "Ich gehe raus"}}} {
		if err := x.SetCommands(t.Context(), language, list); err != nil {
			t.Errorf("SetCommands(%q) = %v, want nil", language, err)
		}
		if got := s.Commands(language); len(got) != 1 || got[0].Command != "out" || got[0].Description != list[0].Description {
			t.Errorf("commands in %q are %+v, want %+v", language, got, list)
		}
	}
	for _, c := range []telegram.Command{{"Out", "x"}, {"", "x"}, {"out", ""}, {strings.Repeat("a", 33), "x"}, {"out", strings.Repeat("x", 257)}} {
		if err := x.SetCommands(t.Context(), "", []telegram.Command{c}); err == nil {
			t.Errorf("SetCommands(%+v) = nil, want an error", c)
		}
	}
}

func TestTypingNeverFails(t *testing.T) {
	s := shore(time.Now)
	x := newSender(t, s)
	x.Typing(t.Context(), crew, 0)
	x.Typing(t.Context(), mo, 0) // who never pressed Start
	n := 0
	for _, e := range s.Transcript() {
		if e.What == bottest.Busy {
			n++
		}
	}
	if n != 1 {
		t.Errorf("busy shown %d times, want once", n)
	}
}

// Both orders of a move lead to the same request, whichever side tells first.
func TestMigrationBothOrders(t *testing.T) {
	for _, newFirst := range []bool{false, true} {
		synctest.Test(t, func(t *testing.T) {
			const super int64 = -1009000000003
			s, b := shore(time.Now), &box{}
			x := newSender(t, s)
			old := x.Send(t.Context(), chat.Message{To: crew, Text: "Out: Ana"}, 0).Message
			s.Migrate(crew, super, newFirst)
			stop := run(t, poller(s, b, &diary{}))
			time.Sleep(time.Second)
			stop()
			moves := 0
			for _, l := range b.all() {
				r, err := telegram.Decode(l.raw, l.got, us)
				if err != nil {
					t.Fatal(err)
				}
				if r.Kind == chat.KindMoved {
					moves++
					if r.Place.ID != crew || r.MovedTo != super || l.at != crew {
						t.Errorf("newFirst %t: moved %d to %d in the queue of %d, want %d to %d in that of the old", newFirst, r.Place.ID, r.MovedTo, l.at, crew, super)
					}
				}
			}
			if moves != 2 {
				t.Errorf("newFirst %t: told of %d moves, want 2", newFirst, moves)
			}
			if res := x.Send(t.Context(), chat.Message{To: crew, Text: "overdue"}, 0); res.Result != chat.ResultMoved || res.MovedTo != super {
				t.Errorf("Send to the old chat = %+v, want moved to %d", res, super)
			}
			if res := x.Send(t.Context(), chat.Message{To: super, Text: "overdue"}, 0); res.Result != chat.ResultSent {
				t.Errorf("Send to the new chat = %+v, want sent", res)
			}
			if res := x.Send(t.Context(), chat.Message{To: super, Text: "Home: Ana"}, old+10); res.Result != chat.ResultGone {
				t.Errorf("edit of an old message in the new chat = %+v, want gone", res)
			}
		})
	}
}

func TestSendInACancelledContext(t *testing.T) {
	s := shore(time.Now)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if res := newSender(t, s).Send(ctx, chat.Message{To: crew, Text: "overdue"}, 0); res.Result != chat.ResultUnknown && res.Result != chat.ResultLater {
		t.Errorf("Send = %+v, want something that is tried again", res)
	}
	if len(s.Messages(crew)) != 0 {
		t.Error("a cancelled message was posted")
	}
}
