package telegram_test

import (
	"errors"
	"slices"
	"testing"
	"time"

	"ledgehand/bot/bottest"
	"ledgehand/bot/chat"
	"ledgehand/bot/telegram"
)

// Who leaves a group is told by a service message, whoever sent it (Bot API, Message.left_chat_member); other bots that leave, and we ourselves,
// are nobody's business here.
func TestWhoLeft(t *testing.T) {
	for _, c := range []struct {
		name, raw string
		kind      chat.Kind
		gone      int64
	}{
		{"by themselves", `{"update_id":1,"message":{"message_id":2,"date":1,"chat":{"id":-9,"type":"group"},"from":{"id":11,"first_name":"Ana"},"left_chat_member":{"id":11,"first_name":"Ana"}}}`, chat.KindLeft, 11},
		{"thrown out by an anonymous admin", `{"update_id":1,"message":{"message_id":2,"date":1,"chat":{"id":-9,"type":"supergroup"},"from":{"id":1087968824,"is_bot":true,"first_name":"G"},"sender_chat":{"id":-9,"type":"supergroup"},"left_chat_member":{"id":12,"first_name":"Bram"}}}`, chat.KindLeft, 12},
		{"a bot", `{"update_id":1,"message":{"message_id":2,"date":1,"chat":{"id":-9,"type":"group"},"from":{"id":11,"first_name":"Ana"},"left_chat_member":{"id":99,"is_bot":true,"first_name":"B"}}}`, chat.KindOther, 0},
		{"nobody", `{"update_id":1,"message":{"message_id":2,"date":1,"chat":{"id":-9,"type":"group"},"from":{"id":11,"first_name":"Ana"},"left_chat_member":{}}}`, chat.KindOther, 0},
	} {
		r, err := telegram.Decode([]byte(c.raw), time.Now(), telegram.Me{ID: 99, Username: "x"})
		if err != nil || r.Kind != c.kind || (r.Gone != nil) != (c.gone != 0) || r.Gone != nil && r.Gone.ID != c.gone || r.From.ID != 0 {
			t.Errorf("%s: %+v, %v, want %s of %d and from nobody", c.name, r, err, c.kind, c.gone)
		}
	}
}

func TestAdmins(t *testing.T) {
	s := shore(time.Now)
	sender := newSender(t, s)
	s.MakeAdmin(crew, bram)
	s.MakeAdmin(crew, ana)
	if ids, err := sender.Admins(t.Context(), crew); err != nil || !slices.Equal(ids, []int64{bram, ana}) {
		t.Errorf("Admins = %v, %v", ids, err)
	}
	s.Leave(crew, bram, ana)
	if ids, err := sender.Admins(t.Context(), crew); err != nil || !slices.Equal(ids, []int64{ana}) {
		t.Errorf("when one left: %v, %v", ids, err)
	}
	s.Inject(bottest.Fault{Method: "getChatAdministrators", Code: 500})
	if ids, err := sender.Admins(t.Context(), crew); err == nil || errors.Is(err, chat.ErrNotIn) || len(ids) > 0 {
		t.Errorf("with Telegram in trouble: %v, %v, want trouble that may pass", ids, err)
	}
	s.RemoveBot(crew, ana)
	if _, err := sender.Admins(t.Context(), crew); !errors.Is(err, chat.ErrNotIn) {
		t.Errorf("put out of the group: %v, want ErrNotIn", err)
	}
}
