package bottest

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"time"
)

// The words and rules here follow the open-source Bot API server (tdlib/telegram-bot-api,
// WebhookActor.cpp and Client.cpp).

// hook is where updates are delivered to. The zero hook is none.
type hook struct {
	url    string
	secret string
	most   int // deliveries at the same time
	set    int // counts up with every change, so that what was under way is known to be of an older one
	failed time.Time
	why    string
}

var (
	hookActive = &refusal{code: http.StatusConflict, text: "Conflict: can't use getUpdates method while webhook is active; use deleteWebhook to delete the webhook first"}
	hookSet    = &refusal{code: http.StatusConflict, text: "Conflict: terminated by setWebhook request"} // wording from memory
)

// Limits of setWebhook (Bot API).
const (
	mostHookSecret = 256
	mostHookConns  = 100
	usualHookConns = 40
)

func (s *Server) setWebhook(ctx context.Context, p params) (any, *refusal) {
	address := p.str("url")
	if address == "" {
		return s.deleteWebhook(ctx, p)
	}
	u, err := url.Parse(address)
	if err != nil || u.Host == "" || u.Scheme != "https" && u.Scheme != "http" {
		return nil, bad("invalid webhook URL specified")
	}
	secret := p.str("secret_token")
	if len(secret) > mostHookSecret {
		return nil, bad("secret token is too long")
	}
	if strings.Trim(secret, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_-") != "" {
		return nil, bad("secret token contains unallowed characters")
	}
	most := p.int("max_connections")
	if most == 0 {
		most = usualHookConns
	}
	most = min(max(most, 1), mostHookConns)
	if no := s.ask(p); no != nil {
		return nil, no
	}
	if p.flag("drop_pending_updates") {
		s.queue = nil
	}
	if s.poll != nil {
		close(s.poll)
		s.poll = nil
	}
	if s.hook.url != address || s.hook.secret != secret || s.hook.most != most {
		s.newHook(hook{url: address, secret: secret, most: most})
	}
	return true, nil
}

func (s *Server) deleteWebhook(_ context.Context, p params) (any, *refusal) {
	if p.flag("drop_pending_updates") {
		s.queue = nil
	}
	if s.hook.url != "" {
		s.newHook(hook{})
	}
	return true, nil
}

// newHook starts anew: what failed before is due at once.
func (s *Server) newHook(h hook) {
	h.set = s.hook.set + 1
	s.hook = h
	for _, u := range s.queue {
		u.trip = trip{}
	}
}

func (s *Server) getWebhookInfo(context.Context, params) (any, *refusal) {
	s.expire()
	info := map[string]any{"url": s.hook.url, "has_custom_certificate": false, "pending_update_count": len(s.queue)}
	if s.hook.url != "" {
		info["max_connections"] = s.hook.most
	}
	if !s.hook.failed.IsZero() {
		info["last_error_date"], info["last_error_message"] = s.hook.failed.Unix(), s.hook.why
	}
	if s.allowed != nil {
		kinds := []string{}
		for k := range s.allowed {
			kinds = append(kinds, k)
		}
		info["allowed_updates"] = kinds
	}
	return info, nil
}

// lane names the queue an update is delivered in: messages by chat, taps by person, the bot's
// membership by chat beside the messages. What belongs to none of them waits for nothing.
func lane(id int64, kind string, raw json.RawMessage) string {
	type who struct {
		ID int64 `json:"id"`
	}
	var fields map[string]json.RawMessage
	var body struct {
		Chat who `json:"chat"`
		From who `json:"from"`
	}
	if json.Unmarshal(raw, &fields) == nil {
		_ = json.Unmarshal(fields[kind], &body) // of what cannot be read, as much as can
	}
	switch {
	case (kind == "message" || kind == "edited_message") && body.Chat.ID != 0:
		return fmt.Sprintf("chat %d", body.Chat.ID)
	case kind == "callback_query" && body.From.ID != 0:
		return fmt.Sprintf("taps of %d", body.From.ID)
	case kind == "my_chat_member" && body.Chat.ID != 0:
		return fmt.Sprintf("membership in %d", body.Chat.ID)
	}
	return fmt.Sprintf("update %d", id)
}
