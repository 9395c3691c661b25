package telegram

import (
	"encoding/json"
	"errors"
	"fmt"
	"net"
	"net/http"
	"strings"
	"time"

	"github.com/go-telegram/bot"

	"ledgehand/bot/chat"
)

// verdict is a report with what the code that sends needs to try another way.
type verdict struct {
	chat.Sent
	complaint string // Telegram's description in lower case, "" unless it refused
	fileID    string // of the photo it has now, "" for none
}

// tokenPause is how long a message waits when the token is refused: for a person to put it right.
const tokenPause = time.Minute

// judge says what became of a call. Codes and parameters decide, words only where there is
// nothing else; words are Telegram's prose and may change.
func judge(err error, a *attempt, token string) verdict {
	if err == nil || a.answer.OK {
		// The library may fail to decode what it got about a message that was sent all the same.
		return verdict{Sent: chat.Sent{Result: chat.ResultSent, Message: messageID(a.answer.Result)}, fileID: fileID(a.answer.Result)}
	}
	why := a.answer.Description
	if why == "" {
		why = sayWhy(err, token)
	}
	v := verdict{Sent: chat.Sent{Why: redact(why, token)}}
	var flood *bot.TooManyRequestsError
	var moved *bot.MigrateError
	switch {
	case errors.As(err, &flood):
		v.Result, v.Shut = chat.ResultLater, true
		v.After = time.Duration(max(flood.RetryAfter, 1)) * time.Second
	case errors.As(err, &moved):
		v.Result = chat.ResultMoved
		v.MovedTo = a.answer.Parameters.MigrateTo // the library's own is too short on 32-bit machines
	case errors.Is(err, bot.ErrorForbidden):
		v.Result = chat.ResultBlocked
	case errors.Is(err, bot.ErrorUnauthorized), errors.Is(err, bot.ErrorNotFound):
		v.Result, v.After, v.Why = chat.ResultLater, tokenPause, ErrToken.Error()
	case errors.Is(err, bot.ErrorBadRequest):
		judgeWords(&v, a.answer.Description)
	case a.status != 0:
		v.Result = chat.ResultUnknown
		v.Why = fmt.Sprintf("status %d", a.status)
		if a.answer.Code != 0 {
			v.Why += ": " + redact(a.answer.Description, token)
		}
	case !a.built:
		v.Result = chat.ResultRefused
	case neverLeft(err, a):
		v.Result = chat.ResultLater
	default:
		v.Result = chat.ResultUnknown
	}
	return v
}

// judgeWords reads the descriptions of a 400 (texts as in Telegram's open-source Bot API server).
func judgeWords(v *verdict, description string) {
	said := strings.ToLower(description)
	v.Result, v.complaint = chat.ResultRefused, said
	switch {
	case strings.Contains(said, "message is not modified"):
		v.Result = chat.ResultSame
	case has(said, "message to edit not found", "message can't be edited", "message_id_invalid", "message identifier is not specified"):
		v.Result = chat.ResultGone
	case has(said, "query is too old", "query id is invalid", "query_id_invalid"):
		v.Result = chat.ResultSame // the spinner has stopped by itself: nothing is left to do
	case badPicture(said): // a chat may forbid pictures and still take words
	case has(said, "chat not found", "peer_id_invalid", "user_deactivated", "user not found", "not enough rights to send",
		"have no rights to send", "need administrator rights", "chat_write_forbidden", "chat_restricted", "group is deactivated",
		"group chat was deactivated", "bot was kicked", "user is deactivated"):
		v.Result = chat.ResultBlocked
	case badMarkup(said):
		v.Why = "can't parse entities" // what follows in the description quotes the text
	}
}

func badMarkup(said string) bool {
	return has(said, "can't parse entities", "can't parse message text", "entity_", "unsupported start tag", "can't find end tag")
}

func badThread(said string) bool {
	return has(said, "message thread not found", "topic_closed", "topic_deleted", "topic closed", "topic deleted")
}

func badReply(said string) bool {
	return has(said, "message to be replied not found", "message to reply not found", "replied message not found", "reply_message_id_invalid")
}

func badKeys(said string) bool {
	return has(said, "button", "keyboard", "reply markup", "reply_markup", "location can be requested")
}

func badPicture(said string) bool {
	return has(said, "photo_", "image_process_failed", "wrong type of the web page content", "not enough rights to send photos", "file is too big", "file must be non-empty")
}

func has(s string, any ...string) bool {
	for _, a := range any {
		if strings.Contains(s, a) {
			return true
		}
	}
	return false
}

// neverLeft says whether a call certainly did not reach Telegram.
func neverLeft(err error, a *attempt) bool {
	if a.reached.Load() {
		return false
	}
	if a.dialled.Load() {
		return true // a connection was asked for and never had
	}
	var op *net.OpError
	var dns *net.DNSError
	return errors.As(err, &op) && op.Op == "dial" || errors.As(err, &dns)
}

func messageID(result json.RawMessage) int {
	var m struct {
		ID int `json:"message_id"`
	}
	if json.Unmarshal(result, &m) != nil {
		return 0 // an edit or an answered tap may be answered with a plain true
	}
	return m.ID
}

// callError words a failed call that is not about a message, without what is to be hidden besides the token.
func callError(what string, err error, a *attempt, token string, hide ...string) error {
	v := judge(err, a, token)
	if a.answer.Code == http.StatusUnauthorized || a.answer.Code == http.StatusNotFound {
		return fmt.Errorf("%s: %w", what, ErrToken)
	}
	for _, h := range hide {
		v.Why = redact(v.Why, h)
	}
	return fmt.Errorf("%s: %s", what, v.Why)
}
