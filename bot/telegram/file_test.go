package telegram_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"time"

	"ledgehand/bot/bottest"
	"ledgehand/bot/chat"
	"ledgehand/bot/telegram"
)

// A file that somebody sends is read back byte for byte, by the reference in the update (Bot API: getFile and the address it tells).
func TestFilesComeIn(t *testing.T) {
	s := shore(time.Now)
	sender := newSender(t, s)
	want := []byte("rules:\n  - bream\x00\xff")
	s.SendFile(crew, bram, "/rules@"+bottest.BotUsername, "our rules.yaml", want)
	var file *chat.File
	raw := updates(t, s)
	for _, r := range raw {
		q, err := telegram.Decode(r, time.Now(), telegram.Me{ID: bottest.BotID, Username: bottest.BotUsername})
		if err != nil {
			t.Fatal(err)
		}
		if q.File != nil {
			file = q.File
			if q.Kind != chat.KindText || q.Text != "/rules" || q.File.Name != "our rules.yaml" || q.File.Size != int64(len(want)) {
				t.Errorf("decoded %+v of a file %+v, want its caption, name and size", q, *q.File)
			}
		}
	}
	if file == nil {
		t.Fatalf("no file in %d updates", len(raw))
	}
	if got, err := sender.Fetch(t.Context(), file.ID); err != nil || !bytes.Equal(got, want) {
		t.Errorf("Fetch = %q, %v, want %q", got, err, want)
	}
	s.ForgetFiles()
	if _, err := sender.Fetch(t.Context(), file.ID); !errors.Is(err, chat.ErrFileGone) {
		t.Errorf("Fetch of a file that is gone: %v, want ErrFileGone", err)
	}
}

// What is larger than we read is refused, by what Telegram says of it and by what comes.
func TestFilesThatAreTooLarge(t *testing.T) {
	for _, size := range []int{chat.MaxFile, chat.MaxFile + 1, 21 << 20} {
		s := shore(time.Now)
		s.SendFile(crew, bram, "/rules", "x.yaml", make([]byte, size))
		got, err := newSender(t, s).Fetch(t.Context(), "file1")
		if ok := size <= chat.MaxFile; ok != (err == nil && len(got) == size) || !ok && !errors.Is(err, chat.ErrFileTooBig) {
			t.Errorf("Fetch of %d bytes: %d bytes, %v", size, len(got), err)
		}
	}
}

// The address of a file holds the token: no error may.
func TestFetchTellsNobodyTheToken(t *testing.T) {
	for _, call := range []string{"getFile", "download"} {
		for _, f := range []bottest.Fault{{Method: call, Code: 500}, {Method: call, Cut: true}, {Method: call, Code: 404}} {
			s := shore(time.Now)
			s.SendFile(crew, bram, "/rules", "x.yaml", []byte("x"))
			s.Inject(f)
			_, err := newSender(t, s).Fetch(t.Context(), "file1")
			if err == nil || strings.Contains(err.Error(), bottest.Token) {
				t.Errorf("%+v: error %v, want one that does not hold the token", f, err)
			}
		}
	}
}

// A file goes out with its words under it; words too long for that go ahead of it, and the buttons stay with the file.
func TestFilesGoOut(t *testing.T) {
	s := shore(time.Now)
	doc := &chat.Document{Data: []byte("BEGIN:VCALENDAR\r\n"), Name: "Anvil trip.ics", Type: "text/calendar"}
	rows := [][]chat.Button{{{Label: "Again", Data: "again:1"}}}
	if res := newSender(t, s).Send(t.Context(), chat.Message{To: crew, Text: "<b>Anvil</b>", File: doc, Buttons: rows}, 0); res.Result != chat.ResultSent {
		t.Fatalf("Send = %+v, want sent", res)
	}
	p := only(t, s, crew)
	if !bytes.Equal(p.File, doc.Data) || p.FileName != "Anvil-trip.ics" || p.Text != "Anvil" || len(p.Buttons) != 1 {
		t.Errorf("posted %+v, want the file with its words and button", p)
	}
	long := strings.Repeat("word ", 400)
	if res := newSender(t, s).Send(t.Context(), chat.Message{To: crew, Text: long, File: doc, Buttons: rows}, 0); res.Result != chat.ResultSent {
		t.Fatalf("Send = %+v, want sent", res)
	}
	all := s.Messages(crew)
	if len(all) != 3 || all[1].File != nil || all[1].Text != strings.TrimSpace(long) && all[1].Text != long || all[2].File == nil || len(all[2].Buttons) != 1 {
		t.Errorf("%d messages, want the words and then the file with the button", len(all))
	}
}

// A photo that somebody sent is shown by the service's own reference, and words are sent without it when it is gone.
func TestPhotosByReference(t *testing.T) {
	s := shore(time.Now)
	sender := newSender(t, s)
	first := sender.Send(t.Context(), chat.Message{To: crew, Text: "a", Picture: drawing(t, 20, 10)}, 0)
	if first.Result != chat.ResultSent {
		t.Fatal(first)
	}
	gone := sender.Send(t.Context(), chat.Message{To: crew, Text: "the ledge", Picture: &chat.Picture{Ref: "nothing", Alt: "photo"}}, 0)
	all := s.Messages(crew)
	if gone.Result != chat.ResultSent || len(all) != 2 || all[1].Text != "the ledge" || all[1].Picture != nil {
		t.Errorf("a photo that is gone: %+v, %d messages, want the words alone", gone, len(all))
	}
}

func updates(t *testing.T, s *bottest.Server) [][]byte {
	t.Helper()
	res, err := s.Client().Get("http://constructed.invalid/bot" + bottest.Token + "/getUpdates?limit=100")
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	var got struct{ Result []json.RawMessage }
	if err := json.NewDecoder(res.Body).Decode(&got); err != nil {
		t.Fatal(err)
	}
	var out [][]byte
	for _, r := range got.Result {
		out = append(out, r)
	}
	return out
}
