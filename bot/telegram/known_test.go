package telegram_test

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"ledgehand/bot/bottest"
	"ledgehand/bot/chat"
)

// Telegram throttles repeated uploads: a picture goes up once, and by its id from then on, in posts and edits, with
// whatever text.
func TestAPictureIsUploadedOnce(t *testing.T) {
	s := shore(time.Now)
	x := newSender(t, s)
	one, two := drawing(t, 40, 30), drawing(t, 30, 40)
	again := *one
	again.PNG, again.Name = bytes.Clone(one.PNG), "another-name.png"
	send := func(m chat.Message, edit, uploads int) int {
		t.Helper()
		m.To = crew
		res := x.Send(t.Context(), m, edit)
		if res.Result != chat.ResultSent || res.Why != "" {
			t.Fatalf("Send(%q) = %+v, want sent", m.Text, res)
		}
		if got := s.Uploads(); got != uploads {
			t.Errorf("after %q %d pictures were uploaded, want %d", m.Text, got, uploads)
		}
		return res.Message
	}
	first := send(chat.Message{Text: "08:00", Picture: one}, 0, 1)
	send(chat.Message{Text: "<b>09:00</b>", Picture: &again}, 0, 1)
	send(chat.Message{Text: strings.Repeat("word ", 300), Picture: one}, 0, 1)
	send(chat.Message{Text: "10:00", Picture: two}, first, 2)
	second := send(chat.Message{Text: "11:00", Picture: two}, 0, 2)
	send(chat.Message{Text: "12:00", Picture: one}, second, 2)
	for _, p := range s.Messages(crew) {
		want := one.PNG
		if p.ID == first {
			want = two.PNG
		}
		if p.Picture != nil && !bytes.Equal(p.Picture, want) {
			t.Errorf("message %q shows the wrong picture", p.Text)
		}
	}
	// An id that Telegram does not know any more is no reason to go without the picture.
	s.ForgetPictures()
	send(chat.Message{Text: "13:00", Picture: one}, 0, 3)
	send(chat.Message{Text: "14:00", Picture: one}, 0, 3)
	s.ForgetPictures()
	send(chat.Message{Text: "15:00", Picture: one}, second, 4)
	if p := s.Messages(crew); !bytes.Equal(p[len(p)-1].Picture, one.PNG) {
		t.Error("the picture was not uploaded anew")
	}
}

// What is refused by id for another reason is refused as an upload too, and the words get through; a lost answer tells no id.
func TestAPictureByIdThatIsRefusedLeavesTheWords(t *testing.T) {
	s := shore(time.Now)
	x := newSender(t, s)
	pic := drawing(t, 40, 30)
	s.Inject(bottest.Fault{Method: "sendPhoto", Lost: true})
	if res := x.Send(t.Context(), chat.Message{To: crew, Text: "08:00", Picture: pic}, 0); res.Result != chat.ResultUnknown {
		t.Fatalf("Send = %+v, want unknown", res)
	}
	x.Send(t.Context(), chat.Message{To: crew, Text: "09:00", Picture: pic}, 0)
	if n := s.Uploads(); n != 2 {
		t.Errorf("%d uploads, want 2: the id of the first was never heard", n)
	}
	s.Inject(bottest.Fault{Method: "sendPhoto", Times: -1, Code: 400, Description: "Bad Request: not enough rights to send photos to the chat"})
	res := x.Send(t.Context(), chat.Message{To: crew, Text: "10:00", Picture: pic}, 0)
	if p := s.Messages(crew); res.Result != chat.ResultSent || p[len(p)-1].Text != "10:00" || p[len(p)-1].Picture != nil {
		t.Errorf("Send = %+v, shown %+v, want the words", res, p[len(p)-1])
	}
}

// However many pictures there are, what is remembered is bounded: the oldest is uploaded anew, the newest is not.
func TestPicturesRememberedAreBounded(t *testing.T) {
	s := shore(time.Now)
	x := newSender(t, s)
	const most = 512
	for i := range most + 1 {
		x.Send(t.Context(), chat.Message{To: crew, Text: "chart", Picture: drawing(t, 10+i%30, 10+i/30)}, 0)
	}
	if n := s.Uploads(); n != most+1 {
		t.Fatalf("%d uploads of %d pictures", n, most+1)
	}
	x.Send(t.Context(), chat.Message{To: crew, Text: "the newest", Picture: drawing(t, 10+most%30, 10+most/30)}, 0)
	x.Send(t.Context(), chat.Message{To: crew, Text: "the second", Picture: drawing(t, 11, 10)}, 0)
	if n := s.Uploads(); n != most+1 {
		t.Errorf("%d uploads, want the newest %d remembered", n, most)
	}
	x.Send(t.Context(), chat.Message{To: crew, Text: "the oldest", Picture: drawing(t, 10, 10)}, 0)
	if n := s.Uploads(); n != most+2 {
		t.Errorf("%d uploads, want the oldest forgotten", n)
	}
}
