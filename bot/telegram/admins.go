package telegram

import (
	"context"
	"fmt"
	"net/http"

	"github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"

	"ledgehand/bot/chat"
)

// Admins are the people who administer a group (Bot API, getChatAdministrators: all but other bots).
func (s *Sender) Admins(ctx context.Context, group int64) ([]int64, error) {
	ctx, cancel := context.WithTimeout(ctx, s.timeout)
	defer cancel()
	ctx, a := withAttempt(ctx)
	all, err := s.api.GetChatAdministrators(ctx, &bot.GetChatAdministratorsParams{ChatID: group})
	if err != nil {
		err = callError("ask who administers a group", err, a, s.token)
		if a.answer.Code == http.StatusBadRequest || a.answer.Code == http.StatusForbidden {
			return nil, fmt.Errorf("%w: %w", chat.ErrNotIn, err)
		}
		return nil, err
	}
	var out []int64
	for _, m := range all {
		switch {
		case m.Type == models.ChatMemberTypeOwner && m.Owner != nil && m.Owner.User != nil:
			out = append(out, m.Owner.User.ID)
		case m.Type == models.ChatMemberTypeAdministrator && m.Administrator != nil:
			out = append(out, m.Administrator.User.ID)
		}
	}
	return out, nil
}
