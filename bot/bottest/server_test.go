package bottest_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/png"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"ledgehand/bot/bottest"
)

const (
	ana, bram, mo int64 = 11, 12, 21
	crew          int64 = -4001
)

func shore(now func() time.Time) *bottest.Server {
	s := bottest.NewServer(now)
	s.AddPerson(ana, "Ana")
	s.AddPerson(bram, "Bram")
	s.AddPerson(mo, "Mo")
	s.AddGroup(crew, "Anvil crew", ana, bram)
	s.AddBot(crew, ana)
	return s
}

// reply is an answer of the server, read without any library.
type reply struct {
	OK          bool            `json:"ok"`
	Result      json.RawMessage `json:"result"`
	Code        int             `json:"error_code"`
	Description string          `json:"description"`
	Parameters  struct {
		After   int   `json:"retry_after"`
		MovedTo int64 `json:"migrate_to_chat_id"`
	} `json:"parameters"`
}

type args map[string]any

func call(t testing.TB, s *bottest.Server, method string, a args) reply {
	t.Helper()
	r, err := try(t.Context(), s, method, a)
	if err != nil {
		t.Fatalf("%s(%v): %v", method, a, err)
	}
	return r
}

func try(ctx context.Context, s *bottest.Server, method string, a args) (reply, error) {
	body, err := json.Marshal(a)
	if err != nil {
		return reply{}, err
	}
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, "http://constructed.invalid/bot"+bottest.Token+"/"+method, bytes.NewReader(body))
	if err != nil {
		return reply{}, err
	}
	req.Header.Set("Content-Type", "application/json")
	resp, err := s.Client().Do(req)
	if err != nil {
		return reply{}, err
	}
	defer resp.Body.Close()
	var r reply
	if err := json.NewDecoder(resp.Body).Decode(&r); err != nil {
		return reply{}, err
	}
	return r, nil
}

// post sends a text and returns its id.
func post(t testing.TB, s *bottest.Server, to int64, text string, more args) int {
	t.Helper()
	a := args{"chat_id": to, "text": text}
	for k, v := range more {
		a[k] = v
	}
	r := call(t, s, "sendMessage", a)
	var m struct {
		ID int `json:"message_id"`
	}
	if err := json.Unmarshal(r.Result, &m); err != nil || m.ID == 0 {
		t.Fatalf("sendMessage(%v) = %+v, want a message", a, r)
	}
	return m.ID
}

func keys(buttons ...args) args {
	return args{"reply_markup": args{"inline_keyboard": [][]args{buttons}}}
}

// updates fetches without waiting and returns ids and kinds.
func updates(t testing.TB, s *bottest.Server, offset int64) (ids []int64, kinds []string) {
	t.Helper()
	r := call(t, s, "getUpdates", args{"offset": offset})
	var batch []map[string]json.RawMessage
	if err := json.Unmarshal(r.Result, &batch); err != nil {
		t.Fatalf("getUpdates = %+v: %v", r, err)
	}
	for _, u := range batch {
		for k, v := range u {
			if k == "update_id" {
				var id int64
				if err := json.Unmarshal(v, &id); err != nil {
					t.Fatal(err)
				}
				ids = append(ids, id)
			} else {
				kinds = append(kinds, k)
			}
		}
	}
	return ids, kinds
}

func TestUpdatesStayUntilConfirmed(t *testing.T) {
	s := shore(time.Now)
	s.Start(ana, "abc")
	first, _ := updates(t, s, 0)
	again, kinds := updates(t, s, 0)
	if len(first) != 2 || !slices.Equal(first, again) || !slices.Equal(kinds, []string{"my_chat_member", "message"}) {
		t.Fatalf("fetched %v, then %v (%v), want the same two twice", first, again, kinds)
	}
	if left, _ := updates(t, s, first[0]+1); !slices.Equal(left, first[1:]) {
		t.Errorf("after confirming the first %v, want the second", left)
	}
	if left, _ := updates(t, s, first[1]+1); len(left) != 0 || s.Pending() != 0 {
		t.Errorf("after confirming both %v, want none", left)
	}
	s.Write(ana, ana, "x")
	if left, _ := updates(t, s, first[1]+1000); len(left) != 1 {
		t.Errorf("with an offset never given out %v, want the head of the queue", left)
	}
}

func TestAllowedUpdatesPersist(t *testing.T) {
	s := shore(time.Now)
	s.Start(ana, "")
	call(t, s, "getUpdates", args{"offset": -1, "allowed_updates": []string{"my_chat_member"}})
	s.Write(ana, ana, "not asked for")
	s.Block(ana)
	if _, kinds := updates(t, s, 0); !slices.Equal(kinds, []string{"message", "my_chat_member"}) {
		t.Errorf("kinds %v, want the message queued before and the membership", kinds)
	}
}

func TestAge(t *testing.T) {
	now := time.Date(2026, 11, 25, 5, 0, 0, 0, time.UTC)
	s := shore(func() time.Time { return now })
	id := post(t, s, crew, "Out", keys(args{"text": "Off", "callback_data": "off"}))
	tap, err := s.Tap(crew, bram, id, "Off")
	if err != nil {
		t.Fatal(err)
	}
	s.Write(crew, bram, "/off@"+bottest.BotUsername)
	for _, c := range []struct {
		after time.Duration
		want  int
	}{{149 * time.Second, 3}, {150 * time.Second, 2}, {24*time.Hour - time.Second, 2}, {24 * time.Hour, 0}} {
		now = time.Date(2026, 11, 25, 5, 0, 0, 0, time.UTC).Add(c.after)
		if n := s.Pending(); n != c.want {
			t.Errorf("after %s %d updates wait, want %d", c.after, n, c.want)
		}
	}
	if r := call(t, s, "answerCallbackQuery", args{"callback_query_id": tap}); r.Code != 400 || !strings.Contains(r.Description, "query is too old") {
		t.Errorf("answer to an old tap = %+v, want 400 query is too old", r)
	}
}

func TestLongPoll(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := shore(time.Now)
		ids, _ := updates(t, s, 0)
		next := ids[0] + 1
		from := time.Now()
		go func() {
			time.Sleep(20 * time.Second)
			s.Start(ana, "")
		}()
		r := call(t, s, "getUpdates", args{"offset": next, "timeout": 300})
		if took := time.Since(from); took != 20*time.Second || !strings.Contains(string(r.Result), "/start") {
			t.Errorf("poll = %s after %s, want the line as soon as it came", r.Result, took)
		}
		from = time.Now()
		if r := call(t, s, "getUpdates", args{"offset": next + 1, "timeout": 300}); string(r.Result) != "[]" || time.Since(from) != 50*time.Second {
			t.Errorf("empty poll = %s after %s, want [] after 50s at most", r.Result, time.Since(from))
		}
		older := make(chan reply)
		go func() {
			r, _ := try(t.Context(), s, "getUpdates", args{"offset": next + 1, "timeout": 30})
			older <- r
		}()
		synctest.Wait()
		go try(t.Context(), s, "getUpdates", args{"offset": next + 1, "timeout": 1})
		if r := <-older; r.Code != 409 {
			t.Errorf("older poll = %+v, want 409", r)
		}
	})
}

func TestRefusals(t *testing.T) {
	now := time.Date(2026, 11, 25, 5, 0, 0, 0, time.UTC)
	long := strings.Repeat("x", 4097)
	for _, c := range []struct {
		name   string
		method string
		a      args
		code   int
		says   string
	}{
		{"unknown chat", "sendMessage", args{"chat_id": 99, "text": "x"}, 400, "chat not found"},
		{"never started", "sendMessage", args{"chat_id": mo, "text": "x"}, 403, "can't initiate conversation"},
		{"not in the group", "sendMessage", args{"chat_id": -4002, "text": "x"}, 403, "not a member"},
		{"no text", "sendMessage", args{"chat_id": crew, "text": " "}, 400, "message text is empty"},
		{"too long", "sendMessage", args{"chat_id": crew, "text": long}, 400, "message is too long"},
		{"stray angle", "sendMessage", args{"chat_id": crew, "text": "gust <20 kn>", "parse_mode": "HTML"}, 400, "Unsupported start tag"},
		{"tag left open", "sendMessage", args{"chat_id": crew, "text": "<b>x", "parse_mode": "HTML"}, 400, "Can't find end tag"},
		{"tags crossed", "sendMessage", args{"chat_id": crew, "text": "<b><i>x</b></i>", "parse_mode": "HTML"}, 400, "Unmatched end tag"},
		{"no topic", "sendMessage", args{"chat_id": crew, "text": "x", "message_thread_id": 5}, 400, "message thread not found"},
		{"nothing to reply to", "sendMessage", args{"chat_id": crew, "text": "x", "reply_parameters": args{"message_id": 900}}, 400, "message to be replied not found"},
		{"long data", "sendMessage", args{"chat_id": crew, "text": "x", "reply_markup": args{"inline_keyboard": [][]args{{{"text": "a", "callback_data": strings.Repeat("é", 33)}}}}}, 400, "BUTTON_DATA_INVALID"},
		{"button without effect", "sendMessage", args{"chat_id": crew, "text": "x", "reply_markup": args{"inline_keyboard": [][]args{{{"text": "a"}}}}}, 400, "Text buttons are unallowed"},
		{"wide keyboard", "sendMessage", args{"chat_id": crew, "text": "x", "reply_markup": args{"inline_keyboard": [][]args{slices.Repeat([]args{{"text": "a", "callback_data": "a"}}, 9)}}}, 400, "reply markup is too long"},
		{"location key in a group", "sendMessage", args{"chat_id": crew, "text": "x", "reply_markup": args{"keyboard": [][]args{{{"text": "a", "request_location": true}}}}}, 400, "private chats only"},
		{"edit of nothing", "editMessageText", args{"chat_id": crew, "message_id": 900, "text": "x"}, 400, "message to edit not found"},
		{"delete of nothing", "deleteMessage", args{"chat_id": crew, "message_id": 900}, 400, "message to delete not found"},
		{"photo without a file", "sendPhoto", args{"chat_id": crew}, 400, "no photo"},
		{"bad command", "setMyCommands", args{"commands": []args{{"command": "Out", "description": "x"}}}, 400, "BOT_COMMAND_INVALID"},
		{"unknown method", "sendTelepathy", args{}, 404, "Not Found"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := shore(func() time.Time { return now })
			s.AddGroup(-4002, "Long Step crew", ana)
			if r := call(t, s, c.method, c.a); r.OK || r.Code != c.code || !strings.Contains(r.Description, c.says) {
				t.Errorf("%s = %+v, want %d with %q", c.method, r, c.code, c.says)
			}
		})
	}
}

func TestEditRules(t *testing.T) {
	s := shore(time.Now)
	s.SetPrivacy(false)
	id := post(t, s, crew, "<b>Out</b>", args{"parse_mode": "HTML"})
	theirs := s.Write(crew, ana, "hello")
	for _, c := range []struct {
		method string
		a      args
		says   string
	}{
		{"editMessageText", args{"message_id": id, "text": "<strong>Out</strong>", "parse_mode": "HTML"}, "message is not modified"},
		{"editMessageCaption", args{"message_id": id, "caption": "x"}, "there is no caption"},
		{"editMessageText", args{"message_id": theirs, "text": "x"}, "message can't be edited"},
		{"editMessageReplyMarkup", args{"message_id": id}, "message is not modified"},
	} {
		c.a["chat_id"] = crew
		if r := call(t, s, c.method, c.a); r.OK || !strings.Contains(r.Description, c.says) {
			t.Errorf("%s(%v) = %+v, want %q", c.method, c.a, r, c.says)
		}
	}
	if r := call(t, s, "editMessageText", args{"chat_id": crew, "message_id": id, "text": "Out"}); !r.OK {
		t.Errorf("edit that drops the bold = %+v, want ok", r)
	}
	if r := call(t, s, "deleteMessage", args{"chat_id": crew, "message_id": id}); !r.OK || len(s.Messages(crew)) != 0 {
		t.Errorf("deleteMessage = %+v with %d messages left, want none", r, len(s.Messages(crew)))
	}
}

func TestPhotoOverTCP(t *testing.T) {
	s := shore(time.Now)
	srv := httptest.NewServer(s)
	defer srv.Close()
	send := func(file []byte) reply {
		var body bytes.Buffer
		form := multipart.NewWriter(&body)
		form.WriteField("chat_id", fmt.Sprint(crew))
		form.WriteField("caption", "swell")
		w, err := form.CreateFormFile("photo", "a.png")
		if err != nil {
			t.Fatal(err)
		}
		w.Write(file)
		form.Close()
		resp, err := http.Post(srv.URL+"/bot"+bottest.Token+"/sendPhoto", form.FormDataContentType(), &body)
		if err != nil {
			t.Fatal(err)
		}
		defer resp.Body.Close()
		var r reply
		if err := json.NewDecoder(resp.Body).Decode(&r); err != nil {
			t.Fatal(err)
		}
		return r
	}
	var good, thin bytes.Buffer
	if err := errors.Join(png.Encode(&good, image.NewGray(image.Rect(0, 0, 8, 8))), png.Encode(&thin, image.NewGray(image.Rect(0, 0, 210, 10)))); err != nil {
		t.Fatal(err)
	}
	if r := send(good.Bytes()); !r.OK || !bytes.Equal(s.Messages(crew)[0].Picture, good.Bytes()) {
		t.Errorf("sendPhoto = %+v, want it as it was", r)
	}
	if r := send([]byte("GIF89a")); r.Description != "Bad Request: IMAGE_PROCESS_FAILED" {
		t.Errorf("sendPhoto of no PNG = %+v, want IMAGE_PROCESS_FAILED", r)
	}
	if r := send(thin.Bytes()); r.Description != "Bad Request: PHOTO_INVALID_DIMENSIONS" {
		t.Errorf("sendPhoto of 210x10 = %+v, want PHOTO_INVALID_DIMENSIONS", r)
	}
}

func TestPrivacyMode(t *testing.T) {
	s := shore(time.Now)
	ids, _ := updates(t, s, 0)
	next := ids[len(ids)-1] + 1
	s.Write(crew, bram, "/out") // before the bot ever spoke
	s.Write(crew, bram, "off")
	s.Write(crew, bram, "/out@anotherbot")
	s.SendPlace(crew, bram, -33.5, 151.2)
	if ids, _ := updates(t, s, next); len(ids) != 0 {
		t.Errorf("%d updates, want none of these to be seen", len(ids))
	}
	s.Write(crew, bram, "/out@LEDGEHANDtestbot")
	id := post(t, s, crew, "Where?", nil)
	s.Write(crew, bram, "/out")
	s.SendPlace(crew, bram, -33.5, 151.2, bottest.ReplyTo(id))
	if ids, _ := updates(t, s, next); len(ids) != 3 {
		t.Errorf("%d updates, want the command by name, the one after we spoke and the answer", len(ids))
	}
	s.PromoteBot(crew, ana)
	s.Write(crew, bram, "off")
	if ids, _ := updates(t, s, next); len(ids) != 5 {
		t.Errorf("%d updates, want the promotion and everything an administrator sees", len(ids))
	}
	unseen := 0
	for _, e := range s.Transcript() {
		if e.Unseen {
			unseen++
		}
	}
	if unseen != 4 {
		t.Errorf("%d events marked unseen, want 4", unseen)
	}
}

func TestGroupsTakeTwentyAMinute(t *testing.T) {
	now := time.Date(2026, 11, 25, 5, 0, 0, 0, time.UTC)
	s := shore(func() time.Time { return now })
	s.Start(ana, "")
	s.LimitGroups(20)
	for range 20 {
		post(t, s, crew, "x", nil)
		now = now.Add(time.Second)
	}
	r := call(t, s, "sendMessage", args{"chat_id": crew, "text": "x"})
	if r.Code != 429 || r.Parameters.After < 40 || r.Parameters.After > 41 {
		t.Errorf("21st message in 20 s = %+v, want 429 with about 40 s", r)
	}
	post(t, s, ana, "private chats go on", nil)
	now = now.Add(time.Duration(r.Parameters.After) * time.Second)
	post(t, s, crew, "x", nil)
}

func TestTapsNeedTheButton(t *testing.T) {
	s := shore(time.Now)
	id := post(t, s, crew, "Out", keys(args{"text": "Off", "callback_data": "off"}, args{"text": "Copy", "copy_text": args{"text": "x"}}))
	if _, err := s.Tap(crew, bram, id, "Help"); err == nil || !strings.Contains(err.Error(), `"Off"`) {
		t.Errorf("Tap of a missing button = %v, want an error that names what is there", err)
	}
	if _, err := s.Tap(crew, bram, id, "Copy"); err == nil {
		t.Error("Tap of a copy button = nil, want an error: it sends nothing")
	}
	call(t, s, "editMessageText", args{"chat_id": crew, "message_id": id, "text": "Home"})
	if _, err := s.Tap(crew, bram, id, "Off"); err == nil {
		t.Error("Tap after the button was taken away = nil, want an error")
	}
	s.Forge(crew, bram, id, "off")
	if _, kinds := updates(t, s, 0); !slices.Contains(kinds, "callback_query") {
		t.Errorf("kinds %v, want the forged tap", kinds)
	}
}

func TestMigration(t *testing.T) {
	const super int64 = -1009000000001
	s := shore(time.Now)
	old := post(t, s, crew, "Out", nil)
	s.Migrate(crew, super, true)
	if r := call(t, s, "sendMessage", args{"chat_id": crew, "text": "x"}); r.Code != 400 || r.Parameters.MovedTo != super {
		t.Errorf("send to the old chat = %+v, want 400 with the new id", r)
	}
	if r := call(t, s, "editMessageText", args{"chat_id": crew, "message_id": old, "text": "Moved"}); !r.OK {
		t.Errorf("edit in the old chat = %+v, want ok", r)
	}
	post(t, s, super, "here", nil)
}

func TestFaults(t *testing.T) {
	s := shore(time.Now)
	s.Inject(bottest.Fault{Method: "sendMessage", Chat: crew, Code: 500, Times: 2})
	s.Inject(bottest.Fault{Method: "sendMessage", Lost: true})
	s.Start(ana, "")
	for i, want := range []int{500, 500} {
		if r := call(t, s, "sendMessage", args{"chat_id": crew, "text": "x"}); r.Code != want {
			t.Errorf("call %d = %+v, want %d", i, r, want)
		}
	}
	if _, err := try(t.Context(), s, "sendMessage", args{"chat_id": crew, "text": "x"}); !errors.Is(err, io.ErrUnexpectedEOF) {
		t.Errorf("lost answer = %v, want a cut connection", err)
	}
	if n := len(s.Messages(crew)); n != 1 {
		t.Errorf("%d messages, want the one whose answer got lost", n)
	}
	s.Inject(bottest.Fault{Code: 500, Times: -1})
	call(t, s, "getMe", nil)
	s.Heal()
	if r := call(t, s, "getMe", nil); !r.OK {
		t.Errorf("getMe after Heal = %+v, want ok", r)
	}
}

func TestTranscript(t *testing.T) {
	now := time.Date(2026, 11, 25, 5, 0, 0, 0, time.UTC)
	s := shore(func() time.Time { return now })
	s.Write(crew, ana, "/out@LedgehandTestBot Anvil")
	now = now.Add(time.Minute)
	id := post(t, s, crew, "Ana &lt;3 is <b>out</b>", args{"parse_mode": "HTML", "reply_markup": args{"inline_keyboard": [][]args{{{"text": "Off", "callback_data": "off"}}}}})
	tap, err := s.Tap(crew, bram, id, "off")
	if err != nil {
		t.Fatal(err)
	}
	call(t, s, "answerCallbackQuery", args{"callback_query_id": tap, "text": "noted"})
	var lines []string
	for _, e := range s.Transcript() {
		lines = append(lines, e.String())
	}
	want := []string{
		"[Wed 05:00] Anvil crew, Ana> (joined) ",
		"[Wed 05:00] Anvil crew, Ana> /out@LedgehandTestBot Anvil",
		"[Wed 05:01] Anvil crew, Ledgehand> Ana <3 is out\n    [Off]",
		"[Wed 05:01] Anvil crew, Bram> (tapped) Off",
		"[Wed 05:01] Anvil crew, Ledgehand> (to Bram) noted",
	}
	if !slices.Equal(lines, want) {
		t.Errorf("transcript\n%s\nwant\n%s", strings.Join(lines, "\n"), strings.Join(want, "\n"))
	}
}

func TestMistakesOfTheScriptPanic(t *testing.T) {
	s := shore(time.Now)
	for name, act := range map[string]func(){
		"a stranger writes in the group": func() { s.Write(crew, mo, "hi") },
		"private line before Start":      func() { s.Write(mo, mo, "hi") },
		"nobody":                         func() { s.Write(crew, 999, "hi") },
		"reply to nothing":               func() { s.WriteReply(crew, ana, 999, "hi") },
		"edit of another's line":         func() { s.Edit(crew, bram, s.Write(crew, ana, "hi"), "ho") },
	} {
		t.Run(name, func(t *testing.T) {
			defer func() {
				if recover() == nil {
					t.Error("no panic, want one that names the mistake")
				}
				s.Calls("getMe") // hangs if the server stayed locked
			}()
			act()
		})
	}
}
