package telegram

import (
	"context"
	"fmt"
	"net/url"
	"strings"
	"time"

	"github.com/go-telegram/bot"
)

// hookConnections is how many updates Telegram may deliver at the same time (setWebhook,
// max_connections: 1 to 100, 40 by default).
const hookConnections = 40

// SetWebhook asks Telegram to deliver updates to an address of ours, https on port 443, 80, 88 or
// 8443, with the secret beside each; what waits is kept and delivered. From then on polls are
// refused. The address must hold neither the token nor the secret: addresses are logged everywhere.
func (s *Sender) SetWebhook(ctx context.Context, address, secret string) error {
	const what = "set the webhook"
	if err := checkSecret(secret); err != nil {
		return fmt.Errorf("%s: %w", what, err)
	}
	u, err := url.Parse(address)
	switch {
	case err != nil, u.Host == "", u.Scheme != "https" && u.Scheme != "http":
		return fmt.Errorf("%s: the address is no URL with a host", what)
	case strings.Contains(address, secret), s.holdsToken(address):
		return fmt.Errorf("%s: the address holds the token or the secret", what)
	}
	ctx, cancel := context.WithTimeout(ctx, s.timeout)
	defer cancel()
	ctx, a := withAttempt(ctx)
	_, err = s.api.SetWebhook(ctx, &bot.SetWebhookParams{
		URL: address, SecretToken: secret, MaxConnections: hookConnections, AllowedUpdates: wanted,
	})
	if err != nil {
		return callError(what, err, a, s.token, secret)
	}
	return nil
}

// holdsToken finds the token, or the half of it that is not the bot's id.
func (s *Sender) holdsToken(address string) bool {
	_, half, _ := strings.Cut(s.token, ":")
	return half != "" && strings.Contains(address, half)
}

// DeleteWebhook makes Telegram keep updates to be polled. What waits is kept.
func (s *Sender) DeleteWebhook(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, s.timeout)
	defer cancel()
	ctx, a := withAttempt(ctx)
	if _, err := s.api.DeleteWebhook(ctx, &bot.DeleteWebhookParams{}); err != nil {
		return callError("delete the webhook", err, a, s.token)
	}
	return nil
}

// WebhookInfo is how delivery goes, as Telegram sees it.
type WebhookInfo struct {
	Host    string    // of the address it delivers to, with its port if it has one; "" for none: updates are polled
	Pending int       // updates that wait
	Failed  time.Time // of the last delivery that failed; zero for none
	Why     string    // it failed, in Telegram's words, without token and address
}

// WebhookInfo asks how delivery goes.
func (s *Sender) WebhookInfo(ctx context.Context) (WebhookInfo, error) {
	ctx, cancel := context.WithTimeout(ctx, s.timeout)
	defer cancel()
	ctx, a := withAttempt(ctx)
	got, err := s.api.GetWebhookInfo(ctx)
	if err != nil {
		return WebhookInfo{}, callError("ask about the webhook", err, a, s.token)
	}
	info := WebhookInfo{Pending: got.PendingUpdateCount, Why: got.LastErrorMessage}
	if got.URL != "" {
		info.Host = "?" // an address that somebody else set may be anything
		if u, err := url.Parse(got.URL); err == nil && u.Host != "" {
			info.Host = u.Host
		}
		info.Why = strings.ReplaceAll(info.Why, got.URL, info.Host)
	}
	info.Why = redact(info.Why, s.token)
	if got.LastErrorDate > 0 {
		info.Failed = time.Unix(int64(got.LastErrorDate), 0).UTC()
	}
	return info, nil
}
