package telegram

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"time"

	"github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"

	"ledgehand/bot/chat"
)

// Sender posts, edits and answers. Each call is one attempt with an honest report; trying again
// is the outbox's to decide.
type Sender struct {
	api     *bot.Bot
	client  *http.Client // for files: their addresses are not calls
	token   string
	timeout time.Duration
	known   pictures
}

// Options say how to reach Telegram.
type Options struct {
	Token   string
	Server  string        // "" for Telegram's own
	Client  *http.Client  // nil for one with time limits that follows no redirects
	Timeout time.Duration // of one call; 0 for 30 s
}

// NewSender prepares a Sender. It calls nobody.
func NewSender(o Options) (*Sender, error) {
	client := o.Client
	if client == nil {
		client = defaultClient
	}
	// The library's own handlers print updates and errors, places and texts with them.
	api, err := bot.New(o.Token,
		bot.WithSkipGetMe(),
		bot.WithServerURL(strings.TrimRight(orElse(o.Server, defaultServer), "/")),
		bot.WithHTTPClient(longestHold, watched{client}),
		bot.WithDefaultHandler(func(context.Context, *bot.Bot, *models.Update) {}),
		bot.WithErrorsHandler(func(error) {}),
		bot.WithDebugHandler(func(string, ...any) {}),
	)
	if err != nil {
		return nil, fmt.Errorf("prepare the telegram client: %s", redact(err.Error(), o.Token))
	}
	return &Sender{api: api, client: client, token: o.Token, timeout: orElse(o.Timeout, 30*time.Second)}, nil
}

// Send makes one attempt at a message. edit, when not zero, is the message of ours to change
// instead of posting anew. A text too long for one message goes out in several; the report names
// the last, which has the buttons.
//
// What Telegram refuses for its looks is sent again without them: text whose markup it cannot
// read without markup, into a topic that is gone without the topic, with buttons it does not
// take without buttons, with a picture it does not take without the picture. Why then says so
// beside ResultSent. A picture it was given before is named by its id, and uploaded if it does not
// know the id any more.
func (s *Sender) Send(ctx context.Context, m chat.Message, edit int) chat.Sent {
	m.Text = strings.ToValidUTF8(m.Text, "\uFFFD") // Telegram refuses what is not UTF-8
	switch {
	case m.Answer != nil:
		return s.answer(ctx, *m.Answer)
	case strings.TrimSpace(Plain(m.Text)) == "" && m.Picture == nil && m.File == nil:
		return chat.Sent{Result: chat.ResultRefused, Why: "nothing to say: the text is empty"}
	case edit != 0 && m.File != nil:
		return chat.Sent{Result: chat.ResultGone, Why: "a file is posted anew"}
	case edit != 0:
		return s.edit(ctx, m, edit)
	}
	return s.post(ctx, m)
}

func (s *Sender) answer(ctx context.Context, a chat.Answer) chat.Sent {
	return s.call(ctx, func(ctx context.Context) error {
		_, err := s.api.AnswerCallbackQuery(ctx, &bot.AnswerCallbackQueryParams{
			CallbackQueryID: a.TapID, Text: shorten(strings.ToValidUTF8(a.Text, "\uFFFD"), maxToast), ShowAlert: a.Loud,
		})
		return err
	}).Sent
}

// call makes one call within the time limit and judges it.
func (s *Sender) call(ctx context.Context, do func(context.Context) error) verdict {
	ctx, cancel := context.WithTimeout(ctx, s.timeout)
	defer cancel()
	ctx, a := withAttempt(ctx)
	return judge(do(ctx), a, s.token)
}

// Typing shows that an answer is being prepared. It fails in silence: nothing depends on it.
func (s *Sender) Typing(ctx context.Context, chatID int64, thread int) {
	s.call(ctx, func(ctx context.Context) error {
		_, err := s.api.SendChatAction(ctx, &bot.SendChatActionParams{ChatID: chatID, MessageThreadID: thread, Action: models.ChatActionTyping})
		return err
	})
}

// SetCommands registers the command list that people who use that language see; "" is the list
// for everybody else.
func (s *Sender) SetCommands(ctx context.Context, language string, list []Command) error {
	p := &bot.SetMyCommandsParams{LanguageCode: language, Commands: []models.BotCommand{}}
	for _, c := range list {
		if !validCommand(c.Name) {
			return fmt.Errorf("command name %q: want 1 to 32 characters of a-z, 0-9 and _", c.Name)
		}
		if n := len([]rune(c.Description)); n < 1 || n > 256 {
			return fmt.Errorf("description of command %q has %d characters, want 1 to 256", c.Name, n)
		}
		p.Commands = append(p.Commands, models.BotCommand{Command: c.Name, Description: c.Description})
	}
	ctx, cancel := context.WithTimeout(ctx, s.timeout)
	defer cancel()
	ctx, a := withAttempt(ctx)
	if _, err := s.api.SetMyCommands(ctx, p); err != nil {
		return callError("register commands", err, a, s.token)
	}
	return nil
}

func validCommand(name string) bool {
	return len(name) >= 1 && len(name) <= 32 && strings.Trim(name, "abcdefghijklmnopqrstuvwxyz0123456789_") == ""
}

// GetMe asks who the bot is. An error that is ErrToken is worth stopping for; any other may pass.
func (s *Sender) GetMe(ctx context.Context) (Me, error) {
	ctx, cancel := context.WithTimeout(ctx, s.timeout)
	defer cancel()
	ctx, a := withAttempt(ctx)
	u, err := s.api.GetMe(ctx)
	if err != nil {
		return Me{}, callError("ask telegram who the bot is", err, a, s.token)
	}
	if u.ID == 0 || u.Username == "" {
		return Me{}, errors.New("ask telegram who the bot is: the answer has no name")
	}
	return Me{ID: u.ID, Username: u.Username, Name: person(*u).Name, ReadsAll: u.CanReadAllGroupMessages}, nil
}

func plainName(name, otherwise string) string {
	name = strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '.', r == '-', r == '_':
			return r
		}
		return '-'
	}, name)
	if name == "" {
		return otherwise
	}
	return name
}
