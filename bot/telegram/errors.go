package telegram

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/url"
	"strings"
)

// ErrToken means that Telegram does not know the bot's token. Nothing gets better by waiting.
var ErrToken = errors.New("telegram refuses the bot token: ask BotFather for the current one, put it where the token is read from and start again")

// ErrOtherPoller means that somebody else fetches this bot's updates: a second copy of the bot, or a webhook.
var ErrOtherPoller = errors.New("somebody else fetches this bot's updates: stop the other copy, or delete the webhook")

// ErrStranger means that a call at the webhook's address was not Telegram's, or that Telegram has another secret than we do.
var ErrStranger = errors.New("somebody who is not telegram called the webhook")

// ErrFlood means that Telegram asks for a pause.
var ErrFlood = errors.New("telegram asks for a pause")

// sayWhy puts an error of a call into words that hold neither the token, which is part of
// every address, nor anything a person wrote.
func sayWhy(err error, token string) string {
	var at *url.Error
	if errors.As(err, &at) {
		err = at.Err // what is left out is the address
	}
	return redact(err.Error(), token)
}

const longestWhy = 300

func redact(s, token string) string {
	if token != "" {
		s = strings.ReplaceAll(s, token, "***")
		s = strings.ReplaceAll(s, url.PathEscape(token), "***")
		s = strings.ReplaceAll(s, url.QueryEscape(token), "***")
	}
	if len(s) > longestWhy {
		s = strings.ToValidUTF8(s[:longestWhy], "") + "…"
	}
	return s
}

// jsonTrouble words an error of encoding/json without the value it choked on, which may be a position.
func jsonTrouble(err error) error {
	var wrong *json.UnmarshalTypeError
	if errors.As(err, &wrong) {
		return fmt.Errorf("field %q is not a %s", wrong.Field, wrong.Type)
	}
	return err
}
