package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"
	"time"

	"ledgehand/bot"
	"ledgehand/bot/chat"
	"ledgehand/bot/mail"
)

// mailSettings say through which server mail goes out; without a server none does.
type mailSettings struct {
	server, user, password, from, tls string
}

func readMail(get func(string) string) (s mailSettings, err error) {
	s = mailSettings{server: get("LEDGEHAND_MAIL_SERVER"), user: get("LEDGEHAND_MAIL_USER"), from: get("LEDGEHAND_MAIL_FROM"), tls: get("LEDGEHAND_MAIL_TLS")}
	file := get("LEDGEHAND_MAIL_PASSWORD_FILE")
	if s.server == "" {
		if s.user+file+s.from+s.tls != "" {
			return s, errors.New("LEDGEHAND_MAIL_SERVER is not set, though other mail settings are: where mail goes out. Type: export LEDGEHAND_MAIL_SERVER=mail.your-domain:587")
		}
		return s, nil
	}
	if file != "" {
		raw, err := os.ReadFile(file)
		if err != nil {
			return s, fmt.Errorf("read LEDGEHAND_MAIL_PASSWORD_FILE: %w", err)
		}
		s.password = strings.TrimSpace(string(raw))
	}
	if _, err := s.sender(time.Now); err != nil {
		return s, fmt.Errorf("the settings LEDGEHAND_MAIL_… do not fit together: %w. Type: export LEDGEHAND_MAIL_SERVER=mail.your-domain:587 LEDGEHAND_MAIL_FROM=\"Ledgehand <ledgehand@your-domain>\" LEDGEHAND_MAIL_USER=ledgehand LEDGEHAND_MAIL_PASSWORD_FILE=mail.password", err)
	}
	return s, nil
}

// sender is nil without a server.
func (s mailSettings) sender(now func() time.Time) (*mail.Sender, error) {
	if s.server == "" {
		return nil, nil
	}
	return mail.NewSender(mail.Options{Server: s.server, User: s.user, Password: s.password, From: s.from, TLS: mail.TLS(s.tls), Now: now})
}

// ways sends each message the way its reader is reached.
type ways struct {
	bot.Sender
	mail *mail.Sender // nil: there is no mail server
}

// Send is bot.Sender. A contact by mail of a bot that has no mail server any more is out of reach, and those who depend on it hear so.
func (w ways) Send(ctx context.Context, m chat.Message, edit int) chat.Sent {
	switch {
	case m.Mail == nil:
		return w.Sender.Send(ctx, m, edit)
	case w.mail == nil:
		return chat.Sent{Result: chat.ResultBlocked, Why: "no mail server is set"}
	}
	return w.mail.Send(ctx, m, edit)
}
